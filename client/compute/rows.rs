//! How is a table of readings typed on one line? In short, `1:left=3.50,1:right=3.52`, where the
//! contract's row has such a form; or field by field, `unit=1,end=left,height=3.50 mm`, a flag or
//! a semicolon for each row.

use prost_reflect::{DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, Value};

use super::contract::{self, field_of};
use super::values::{Reader, listed, refuse};
use crate::call::Failure;

/// Rows with a short form: the fields named before the equals sign, and the one after it.
const SHORT: &[(&str, &[&str], &str)] = &[
    ("GapReading", &["blade", "station"], "gap_mm"),
    ("UnitEndHeight", &["unit", "end"], "height_mm"),
    ("TipHeight", &["point"], "height_mm"),
];

/// The fields given in one row, as typed.
type Row = Vec<(FieldDescriptor, String)>;

/// A sentence for the help.
pub fn how_to_write(row: &MessageDescriptor) -> String {
    let fields: Vec<String> =
        row.fields().map(|field| format!("{}=...", contract::flag_name(field.name()))).collect();
    let long = fields.join(",");
    match short_form(row) {
        Some((names, value)) => format!(
            ". Written {}={},... or {long} for each row",
            names.join(":").to_uppercase(),
            contract::without_unit(value).to_uppercase()
        ),
        None => format!(". Written {long}, once for each row"),
    }
}

fn short_form(row: &MessageDescriptor) -> Option<(&'static [&'static str], &'static str)> {
    let form = SHORT.iter().find(|(name, _, _)| *name == row.name());
    form.map(|&(_, names, value)| (names, value))
}

/// Reads the rows of all uses of a flag.
pub fn read(
    reader: &mut Reader,
    flag: &str,
    row: &MessageDescriptor,
    texts: &[&str],
) -> Result<Value, Failure> {
    let mut rows: Vec<Row> = Vec::new();
    for text in texts.iter().flat_map(|text| text.split(';')) {
        match long_row(row, text) {
            Some(fields) => rows.push(fields),
            None => {
                for part in listed(text) {
                    rows.push(short_row(flag, row, part)?);
                }
            }
        }
    }
    let mut messages = vec![DynamicMessage::new(row.clone()); rows.len()];
    for field in row.fields() {
        let given = |row: &Row| {
            row.iter().find(|(one, _)| *one == field).map(|(_, text)| text.clone())
        };
        let column: Vec<(usize, String)> = rows
            .iter()
            .enumerate()
            .filter_map(|(at, row)| given(row).map(|text| (at, text)))
            .collect();
        let texts: Vec<&str> = column.iter().map(|(_, text)| text.as_str()).collect();
        let values = reader.many(flag, &field, &texts)?;
        for ((at, _), value) in column.iter().zip(values) {
            messages[*at].set_field(&field, value);
        }
    }
    Ok(Value::List(messages.into_iter().map(Value::Message).collect()))
}

/// A row field by field; none when it is not written so.
fn long_row(row: &MessageDescriptor, text: &str) -> Option<Row> {
    let fields = listed(text).map(|part| {
        let (name, value) = part.split_once('=')?;
        Some((field_of(row, name)?, value.trim().to_owned()))
    });
    fields.collect::<Option<Row>>().filter(|fields| !fields.is_empty())
}

fn short_row(flag: &str, row: &MessageDescriptor, part: &str) -> Result<Row, Failure> {
    let remedy = how_to_write(row);
    let remedy = remedy.trim_start_matches(". W");
    let wrong = || refuse(flag, part, &format!("w{remedy}"));
    let (names, value_field) = short_form(row).ok_or_else(wrong)?;
    let (typed, value) = part.split_once('=').ok_or_else(wrong)?;
    let parts: Vec<&str> = typed.split(':').map(str::trim).collect();
    if parts.len() != names.len() || parts.contains(&"") || value.trim().is_empty() {
        return Err(wrong());
    }
    let mut fields: Row = names
        .iter()
        .zip(parts)
        .filter_map(|(name, text)| Some((row.get_field_by_name(name)?, text.to_owned())))
        .collect();
    // A word in place of a number is what the strip did.
    let field = row.fields().find(|field| match field.kind() {
        Kind::Enum(of) => contract::choices(&of).contains(&value.trim().to_lowercase()),
        _ => false,
    });
    let field = field.or_else(|| row.get_field_by_name(value_field)).ok_or_else(wrong)?;
    fields.push((field, value.trim().to_owned()));
    Ok(fields)
}
