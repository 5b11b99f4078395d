//! How does a stored record stand in a table? A line of CSV (RFC 4180) or of JSON, with the same
//! columns, that reads back as the same record. Lines end in a line feed alone.
//! Deliberately absent: machines, units and areas with their facts; a backup has those.

use super::cell::Cell;
use super::choices::Choice;
use super::fields::Fields;
use super::import::machine_of;
use super::names::SubjectKind;
use super::row_fields::{Writer, all_columns, columns};
use super::{Content, Moment, NewRecord, Record, RecordKind, RequestId, SubjectName, Which};

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
    let supersedes = record.supersedes.as_ref().filter(|_| history).map(|old| old.request_id);
    let mut cells = vec![("record".to_owned(), Cell::Text(record.name.to_string()))];
    cells.extend(said(&record.name.subject, Some(record.time), &record.content));
    cells.extend(asked(record.request_id, supersedes, &record.content));
    cells
}

/// The cells of a record that is yet to be stored. What it supersedes is named by its request.
fn cells_of_new(new: &NewRecord) -> Vec<(String, Cell)> {
    let supersedes = match &new.supersedes {
        Some(Which::Request(id)) => Some(*id),
        Some(Which::Name(_)) | None => None,
    };
    let mut cells = said(&new.subject, new.time, &new.content);
    cells.extend(asked(new.request_id, supersedes, &new.content));
    cells
}

/// By which request, and in the place of what.
fn asked(id: RequestId, old: Option<RequestId>, content: &Content) -> Vec<(String, Cell)> {
    let mut cells = vec![("request_id".to_owned(), Cell::Text(id.to_string()))];
    cells.extend(old.map(|id| ("supersedes".to_owned(), Cell::Text(id.to_string()))));
    cells.extend(content.withdrawn.then(|| ("withdrawn".to_owned(), Cell::Flag(true))));
    cells
}

/// What was done, when, and to what.
fn said(subject: &SubjectName, time: Option<Moment>, content: &Content) -> Vec<(String, Cell)> {
    let machine = machine_of(subject);
    let text = |text: String| Cell::Text(text);
    let mut cells = vec![("kind".to_owned(), text(content.kind().id().to_owned()))];
    cells.extend(time.map(|time| ("time".to_owned(), text(time.to_string()))));
    if let Some(machine) = &machine {
        cells.push(("machine".to_owned(), text(machine.id().to_string())));
    }
    match subject.kind() {
        SubjectKind::Unit => cells.push(("unit".to_owned(), text(subject.id().to_string()))),
        SubjectKind::Area => cells.push(("area".to_owned(), text(subject.id().to_string()))),
        SubjectKind::Site | SubjectKind::Machine => {}
    }
    let mut writer = Writer::new(machine);
    content.clone().visit(&mut writer);
    cells.extend(writer.finish());
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
    json_line_of(&cells(record, history))
}

/// A record that is yet to be stored, as one line of JSON.
pub fn json_line_of_new(new: &NewRecord) -> String {
    json_line_of(&cells_of_new(new))
}

fn json_line_of(cells: &[(String, Cell)]) -> String {
    let member = |(column, cell): &(String, Cell)| {
        format!("{}:{}", serde_json::Value::from(column.as_str()), json(cell))
    };
    let members: Vec<String> = cells.iter().map(member).collect();
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
