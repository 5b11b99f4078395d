//! How long is a length that was said, and may it be a height of cut?
//! Deliberately absent: which field it goes to (`settle`).

use std::ops::RangeInclusive;

use crate::domain::said::numbers::Quantity;
use crate::domain::units::convert;

/// Heights of cut with a reel, mm (common practice, no source).
pub const CUT_MM: RangeInclusive<f64> = 1.5..=40.0;

/// A length in mm; without a unit ".140" is in inches and "3.5" in mm.
pub fn in_mm(said: &Quantity) -> Option<f64> {
    let unit = said.unit.unwrap_or(if said.leading_point { "in" } else { "mm" });
    convert(said.value, unit, "mm")
}
