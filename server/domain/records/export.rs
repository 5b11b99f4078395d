//! How does a stored record stand in a table? A line of CSV (RFC 4180) or of JSON, with the same
//! columns, that reads back as the same record. Lines end in a line feed alone.
//! Deliberately absent: machines, units and areas with their facts; a backup has those.

use super::cell::Cell;
use super::choices::Choice;
use super::fields::Fields;
use super::import::machine_of;
use super::names::SubjectKind;
use super::row_fields::{Writer, all_columns, columns};
use super::{Record, RecordKind};

/// Which columns a table of these kinds has; of no kind means of every kind.
pub fn column_names(kinds: &[RecordKind]) -> Vec<String> {
    let asked = if kinds.is_empty() { RecordKind::ALL } else { kinds };
    let asked = columns(asked);
    // In the order of the full table, whichever kinds were asked for.
    let names = all_columns().iter().filter(|column| asked.contains(column));
    names.map(|column| column.name.clone()).collect()
}

/// The cells of a record by column. Without `history` it does not say what it supersedes, since
/// that record is not in the table.
pub fn cells(record: &Record, history: bool) -> Vec<(String, Cell)> {
    let subject = &record.name.subject;
    let machine = machine_of(subject);
    let text = |text: String| Cell::Text(text);
    let mut cells = vec![
        ("record".to_owned(), text(record.name.to_string())),
        ("kind".to_owned(), text(record.content.kind().id().to_owned())),
        ("time".to_owned(), text(record.time.to_string())),
    ];
    if let Some(machine) = &machine {
        cells.push(("machine".to_owned(), text(machine.id().to_string())));
    }
    match subject.kind() {
        SubjectKind::Unit => cells.push(("unit".to_owned(), text(subject.id().to_string()))),
        SubjectKind::Area => cells.push(("area".to_owned(), text(subject.id().to_string()))),
        SubjectKind::Site | SubjectKind::Machine => {}
    }
    let mut writer = Writer::new(machine);
    record.content.clone().visit(&mut writer);
    cells.extend(writer.finish());
    cells.push(("request_id".to_owned(), text(record.request_id.to_string())));
    if let Some(old) = record.supersedes.as_ref().filter(|_| history) {
        cells.push(("supersedes".to_owned(), text(old.request_id.to_string())));
    }
    if record.content.withdrawn {
        cells.push(("withdrawn".to_owned(), Cell::Flag(true)));
    }
    cells
}

/// The line of a table that names its columns.
pub fn csv_header(names: &[String]) -> String {
    csv_line_of(names.iter().map(String::as_str))
}

/// The line of a record under these columns, which must be those of its kind among others.
pub fn csv_line(names: &[String], record: &Record, history: bool) -> String {
    let cells = cells(record, history);
    let texts: Vec<String> = names
        .iter()
        .map(|name| cells.iter().find(|(column, _)| column == name))
        .map(|cell| cell.map(|(_, cell)| cell.text()).unwrap_or_default())
        .collect();
    csv_line_of(texts.iter().map(String::as_str))
}

fn csv_line_of<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    let cells: Vec<String> = texts.map(quoted).collect();
    cells.join(",") + "\n"
}

fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// The record as one line of JSON, in the order of the columns.
pub fn json_line(record: &Record, history: bool) -> String {
    let member = |(column, cell): &(String, Cell)| {
        format!("{}:{}", serde_json::Value::from(column.as_str()), json(cell))
    };
    let members: Vec<String> = cells(record, history).iter().map(member).collect();
    format!("{{{}}}\n", members.join(","))
}

fn json(cell: &Cell) -> serde_json::Value {
    match cell {
        Cell::Text(text) => serde_json::Value::from(text.as_str()),
        // A whole number is written without a point.
        Cell::Number(number) if number.fract() == 0.0 && number.abs() < 1e15 => {
            serde_json::Value::from(*number as i64)
        }
        Cell::Number(number) => serde_json::Value::from(*number),
        Cell::Flag(flag) => serde_json::Value::from(*flag),
        Cell::List(members) => members.iter().map(json).collect(),
    }
}
