//! What do the flags of these commands mean? Quantities with units, dates, names typed in short.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use sward_core::domain::units::parse_field;

use crate::call::Failure;
use crate::compute::values::refuse;

/// A quantity typed after a flag, in the unit of its field.
pub fn quantity(flag: &str, field: &str, text: Option<&str>) -> Result<Option<f64>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let parsed = parse_field(field, text).map_err(|error| refuse(flag, text, &error.remedy))?;
    if let Some(assumption) = &parsed.assumption {
        eprintln!("note: {flag}: {assumption}");
    }
    Ok(Some(parsed.value))
}

/// The first moment of a day here, where the work is done.
pub fn day(flag: &str, text: Option<&str>) -> Result<Option<prost_types::Timestamp>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let fail = || refuse(flag, text, "write a date as 2026-03-14");
    let date: Date = text.trim().parse().map_err(|_| fail())?;
    let zoned = date.to_zoned_datetime(TimeZone::system()).map_err(|_| fail())?;
    Ok(Some(prost_types::Timestamp { seconds: zoned.timestamp().as_second(), nanos: 0 }))
}

/// NAME=NUMBER.
pub fn priced<'a>(flag: &str, text: &'a str) -> Result<(&'a str, f64), Failure> {
    let fail = || refuse(flag, text, "write NAME=PRICE");
    let (name, price) = text.rsplit_once('=').ok_or_else(fail)?;
    Ok((name.trim(), price.trim().parse().map_err(|_| fail())?))
}

/// The full name of a site, or of a machine or unit typed in short; everything when left out.
pub fn parent(typed: Option<&str>) -> String {
    typed.map_or_else(String::new, crate::records::full_name)
}
