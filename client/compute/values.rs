//! What does a value typed after a flag mean, in the unit of its field? What was assumed is told;
//! what is doubtful is asked.

use prost_reflect::{FieldDescriptor, Kind, Value};
use sward_core::domain::units::{self, Parsed, QuantityError, Unit, parse_field};

use super::contract;
use crate::call::Failure;
use crate::commands::Units;

/// Reads what was typed, and keeps what it had to assume.
pub struct Reader {
    /// The unit of a bare length inside a list, where it cannot be told from the number.
    pub bare: &'static str,
    pub assumptions: Vec<String>,
}

impl Reader {
    pub fn new(units: Units) -> Reader {
        let bare = match units {
            Units::Mm => "mm",
            Units::In => "in",
        };
        Reader { bare, assumptions: Vec::new() }
    }

    /// One value.
    pub fn one(
        &mut self,
        flag: &str,
        field: &FieldDescriptor,
        text: &str,
    ) -> Result<Value, Failure> {
        match field.kind() {
            Kind::String => Ok(Value::String(text.trim().to_owned())),
            Kind::Bool => truth(flag, text),
            Kind::Enum(of) => {
                let typed = text.trim().to_lowercase().replace('_', "-");
                let mut values = of.values().skip(1);
                let found = values.find(|value| contract::choice(&of, value.name()) == typed);
                let value = found.ok_or_else(|| {
                    let choices = contract::choices(&of).join(", ");
                    refuse(flag, text, &format!("write one of {choices}"))
                })?;
                Ok(Value::EnumNumber(value.number()))
            }
            _ => {
                let parsed = parse_field(field.name(), own_unit_off(field.name(), text))
                    .map_err(|error| asked(flag, &error))?;
                self.keep(flag, &parsed);
                number(flag, field, &parsed)
            }
        }
    }

    /// Values of one field that stand together, so that one unit is meant by all that name none:
    /// the one written after the last, else the one that the numbers themselves tell, else the
    /// one in which lengths are shown.
    pub fn many(
        &mut self,
        flag: &str,
        field: &FieldDescriptor,
        texts: &[&str],
    ) -> Result<Vec<Value>, Failure> {
        let of_length = field.kind() == Kind::Double
            && Unit::of_field(field.name()).kind == units::Kind::Length;
        if !of_length || !texts.iter().any(|text| is_bare(text)) {
            return texts.iter().map(|text| self.one(flag, field, text)).collect();
        }
        let unit = self.shared_unit(field, texts).unwrap_or(self.bare);
        let with_unit = |text: &&str| {
            if is_bare(text) { format!("{text} {unit}") } else { (*text).to_owned() }
        };
        let read = texts.iter().map(with_unit).map(|text| parse_field(field.name(), &text));
        let parsed: Vec<Parsed> =
            read.collect::<Result<_, _>>().map_err(|error| asked(flag, &error))?;
        parsed.iter().map(|parsed| number(flag, field, parsed)).collect()
    }

    /// The unit meant by the bare numbers of a list.
    fn shared_unit(&mut self, field: &FieldDescriptor, texts: &[&str]) -> Option<&'static str> {
        let (last, before) = texts.split_last()?;
        if !is_bare(last) && before.iter().all(|text| is_bare(text)) {
            return parse_field(field.name(), last).ok().map(|parsed| parsed.unit);
        }
        let bare = texts.iter().filter(|text| is_bare(text));
        let read: Vec<_> = bare.map(|text| parse_field(field.name(), text).ok()).collect();
        let units: Option<Vec<&'static str>> =
            read.into_iter().map(|parsed| parsed.map(|parsed| parsed.unit)).collect();
        let told = match units.as_deref() {
            Some([first, rest @ ..]) if rest.iter().all(|unit| unit == first) => *first,
            _ => self.bare,
        };
        let name = contract::label(field.name());
        self.assumptions.push(format!("{name}: the numbers without a unit are taken as {told}"));
        Some(told)
    }

    fn keep(&mut self, flag: &str, parsed: &Parsed) {
        if let Some(assumption) = &parsed.assumption {
            self.assumptions.push(format!("{flag}: {assumption}"));
        }
    }
}

/// A list typed with commas.
pub fn listed(text: &str) -> impl Iterator<Item = &str> {
    text.split(',').map(str::trim).filter(|part| !part.is_empty())
}

/// Nothing but a number: no letter, no inch or foot mark.
fn is_bare(text: &str) -> bool {
    text.chars().all(|ch| ch.is_ascii_digit() || " ./+-".contains(ch))
}

/// A field of a rare unit is read as a plain number, and its own unit may be written.
fn own_unit_off<'a>(field: &str, text: &'a str) -> &'a str {
    let text = text.trim();
    if Unit::of_field(field).kind != units::Kind::Number {
        return text;
    }
    let unit = contract::unit_of(field);
    text.strip_suffix(unit).map_or(text, str::trim_end)
}

fn number(flag: &str, field: &FieldDescriptor, parsed: &Parsed) -> Result<Value, Failure> {
    let whole = parsed.value.fract() == 0.0 && parsed.value.abs() <= f64::from(i32::MAX);
    match field.kind() {
        Kind::Int32 if whole => Ok(Value::I32(parsed.value as i32)),
        Kind::Uint32 if whole && parsed.value >= 0.0 => Ok(Value::U32(parsed.value as u32)),
        Kind::Int32 | Kind::Uint32 => Err(refuse(flag, &parsed.written, "give a whole number")),
        _ => Ok(Value::F64(parsed.value)),
    }
}

fn truth(flag: &str, text: &str) -> Result<Value, Failure> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "true" | "y" => Ok(Value::Bool(true)),
        "no" | "false" | "n" => Ok(Value::Bool(false)),
        _ => Err(refuse(flag, text, "write yes or no")),
    }
}

pub fn refuse(flag: &str, text: &str, remedy: &str) -> Failure {
    Failure::new(65, format!("{flag} is \"{}\": {remedy}", text.trim()), "")
}

fn asked(flag: &str, error: &QuantityError) -> Failure {
    let hint = if error.choices.is_empty() { "" } else { "say which unit is meant" };
    Failure::new(65, format!("{flag} is \"{}\": {}", error.value, error.remedy), hint)
}
