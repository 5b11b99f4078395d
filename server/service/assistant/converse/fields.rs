//! What does a record say, field by field, for somebody who is to confirm it? Every field that is
//! set, with its unit; nothing is left out that would be stored.

use prost_reflect::{DynamicMessage, FieldDescriptor, Kind, ReflectMessage, Value};

use crate::domain::units::{Kind as Measure, Unit, plain};
use crate::pb;
use crate::service::records::wire;

/// Fields that say nothing to a person.
const HIDDEN: &[&str] = &["name", "request_id", "create_time", "unit_type", "supersedes"];

/// Label and value of everything that is said.
pub fn said(record: &pb::Record) -> Vec<(String, String)> {
    let mut out = Vec::new();
    collect(&wire::dynamic("Record", record), "", &mut out);
    out
}

fn collect(message: &DynamicMessage, before: &str, out: &mut Vec<(String, String)>) {
    let mut fields: Vec<FieldDescriptor> = message.descriptor().fields().collect();
    fields.sort_by_key(FieldDescriptor::number);
    for field in fields {
        if HIDDEN.contains(&field.name()) || !message.has_field(&field) {
            continue;
        }
        let value = message.get_field(&field);
        let own = label(field.name());
        let name = if before.is_empty() { own } else { format!("{before}, {own}") };
        match value.as_ref() {
            Value::List(rows) => {
                for (number, row) in (1..).zip(rows) {
                    let one = if rows.len() == 1 { name.clone() } else { format!("{name} {number}") };
                    write(row, &field, one, out);
                }
            }
            Value::Message(inner) if field.containing_oneof().is_some() => {
                collect(inner, before, out);
            }
            value => write(value, &field, name, out),
        }
    }
}

fn write(value: &Value, field: &FieldDescriptor, name: String, out: &mut Vec<(String, String)>) {
    let text = match value {
        Value::Message(inner) if inner.descriptor().full_name() == "google.protobuf.Timestamp" => {
            moment(inner)
        }
        Value::Message(inner) => return collect(inner, &name, out),
        Value::F64(number) => format!("{} {}", plain(*number), unit(field.name())),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::EnumNumber(number) => choice(field, *number),
        Value::String(text) => text.replace('\n', " "),
        Value::U32(number) => number.to_string(),
        Value::I32(number) => number.to_string(),
        Value::U64(number) => number.to_string(),
        other => format!("{other:?}"),
    };
    out.push((name, text.trim_end().to_owned()));
}

/// A refusal as a person reads it: `diameter_before_mm is "0.1524": it must be ...` names the field
/// by its label, and the number with its unit.
pub fn refusal(message: &str) -> String {
    let told = || {
        let (field, rest) = message.split_once(" is \"")?;
        let (value, remedy) = rest.split_once("\": ")?;
        let name = field.rsplit('.').next()?;
        let is_field = |ch: char| ch.is_ascii_lowercase() || ch.is_ascii_digit() || ch == '_';
        let number: f64 = value.parse().ok().filter(|_| name.chars().all(is_field))?;
        let (label, value, unit) = (label(name), plain(number), unit(name));
        Some(format!("{label} {value} {unit}").trim_end().to_owned() + ": " + remedy)
    };
    told().unwrap_or_else(|| message.to_owned())
}

/// "diameter_before_mm" is "diameter before".
fn label(field: &str) -> String {
    let bare = match unit(field) {
        "" => field,
        _ => field.rsplit_once('_').map_or(field, |(bare, _)| bare),
    };
    bare.replace('_', " ")
}

fn unit(field: &str) -> &'static str {
    if field.ends_with("_min") {
        return "min";
    }
    if field.ends_with("_s") {
        return "s";
    }
    if field.ends_with("_g") {
        return "g";
    }
    let unit = Unit::of_field(field);
    if matches!(unit.kind, Measure::Number | Measure::Share) { "" } else { unit.symbol }
}

fn choice(field: &FieldDescriptor, number: i32) -> String {
    let Kind::Enum(of) = field.kind() else { return number.to_string() };
    let start = of.values().next().map(|zero| zero.name().replace("UNSPECIFIED", ""));
    let name = of.get_value(number).map(|value| value.name().to_owned()).unwrap_or_default();
    let name = name.strip_prefix(&start.unwrap_or_default()).unwrap_or(&name);
    name.to_lowercase().replace('_', " ")
}

/// The day and the hour, by universal time.
fn moment(message: &DynamicMessage) -> String {
    let seconds = message.get_field_by_name("seconds").and_then(|value| value.as_i64());
    let time = seconds.and_then(|seconds| jiff::Timestamp::from_second(seconds).ok());
    time.map_or_else(String::new, |time| time.strftime("%-d %b %Y, %H:%M UTC").to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_names_no_raw_field() {
        for (message, wanted) in [
            (
                "diameter_before_mm is \"0.15239999999999998\": it must be at least 20 (why)",
                "diameter before 0.1524 mm: it must be at least 20 (why)",
            ),
            ("readings[1].height_mm is \"900\": too high", "height 900 mm: too high"),
            ("method is \"polish\": say which", "method is \"polish\": say which"),
            ("out of reach", "out of reach"),
        ] {
            assert_eq!(refusal(message), wanted);
        }
    }

    #[test]
    fn everything_said_is_shown_with_its_unit() {
        let detail = pb::SharpeningDetail {
            method: pb::SharpeningMethod::SpinGrind.into(),
            diameter_before_mm: Some(126.4),
            balanced: Some(false),
            ..pb::SharpeningDetail::default()
        };
        let record = pb::Record {
            time: Some(prost_types::Timestamp { seconds: 1_773_478_800, nanos: 0 }),
            duration_min: Some(20.0),
            done_by: "Ada".to_owned(),
            detail: Some(pb::record::Detail::Sharpening(detail)),
            ..pb::Record::default()
        };
        let lines: Vec<String> =
            said(&record).iter().map(|(label, value)| format!("{label}: {value}")).collect();
        assert_eq!(lines, [
            "time: 14 Mar 2026, 09:00 UTC",
            "duration: 20 min",
            "done by: Ada",
            "method: spin grind",
            "diameter before: 126.4 mm",
            "balanced: no",
        ]);
    }
}
