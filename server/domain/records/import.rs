//! Which record does a row of a table make? The row names its machine, unit or area in words; an id
//! that follows from the row's own text makes reading it twice harmless.
//! Deliberately absent: whether the record may be stored, which `check` says as for any other.

use super::choices::{Choice, RecordKind};
use super::detail::Detail;
use super::directory::Directory;
use super::fields::Fields;
use super::moment::DateOrder;
use super::names::{Id, SubjectKind, SubjectName};
use super::row::{Row, RowFault};
use super::row_fields::{FIRST_COLUMNS, LAST_COLUMNS, Reader};
use super::subject::{Area, Facts, Label, Machine, NewSubject, Unit};
use super::{Content, Moment, NewRecord, RecordError, RequestId, Which, cell};

/// How a table is to be read.
#[derive(Debug, Clone)]
pub struct Reading<'a> {
    pub site: SubjectName,
    pub directory: &'a Directory,
    pub date_order: Option<DateOrder>,
}

/// The record that a row makes, or everything that is wrong with the row.
pub fn record(row: &Row, reading: &Reading<'_>) -> Result<NewRecord, Vec<RowFault>> {
    let mut errors = Vec::new();
    let kind = sound(kind(row), &mut errors);
    let subject = sound(subject(row, reading), &mut errors);
    let time = sound(time(row, reading.date_order), &mut errors);
    let request_id = sound(request_id(row, &reading.site), &mut errors);
    let supersedes = sound(supersedes(row), &mut errors);
    let withdrawn = row.get("withdrawn").map_or(Ok(false), |text| cell::flag("withdrawn", text));
    let withdrawn = sound(withdrawn, &mut errors);
    let content = kind.and_then(|kind| content(row, reading, kind, subject.as_ref(), &mut errors));
    match (subject, request_id, supersedes, withdrawn, content) {
        (Some(subject), Some(request_id), Some(supersedes), Some(withdrawn), Some(content))
            if errors.is_empty() =>
        {
            let content = Content { withdrawn, ..content };
            Ok(NewRecord { subject, time, request_id, supersedes, content })
        }
        _ => Err(errors.into_iter().map(|error| row.fault(error)).collect()),
    }
}

/// The value, or nothing and its fault among the others.
fn sound<T>(read: Result<T, RecordError>, errors: &mut Vec<RecordError>) -> Option<T> {
    read.map_err(|error| errors.push(error)).ok()
}

fn kind(row: &Row) -> Result<RecordKind, RecordError> {
    let text = row.get("kind").unwrap_or_default();
    RecordKind::parse(text).ok_or_else(|| {
        RecordError::new("kind", text, format!("write one of: {}", RecordKind::all_ids()))
    })
}

/// A table without times would be stored as of today, which is wrong for a history.
fn time(row: &Row, order: Option<DateOrder>) -> Result<Moment, RecordError> {
    match row.get("time") {
        Some(text) => Moment::parse("time", text, order),
        None => Err(RecordError::new("time", "", "say when it was done, such as 2026-03-14")),
    }
}

fn subject(row: &Row, reading: &Reading<'_>) -> Result<SubjectName, RecordError> {
    let find = |kind: SubjectKind, text: &str, machine: Option<&SubjectName>| {
        reading.directory.find(kind.word(), kind, text, machine).map(|found| found.name.clone())
    };
    match (row.get("machine"), row.get("unit"), row.get("area")) {
        (Some(_), _, Some(area)) | (_, Some(_), Some(area)) => {
            Err(RecordError::new("area", area, "a row is about a machine or an area, not both"))
        }
        (Some(machine), None, None) => find(SubjectKind::Machine, machine, None),
        (Some(machine), Some(unit), None) => {
            let machine = find(SubjectKind::Machine, machine, None)?;
            find(SubjectKind::Unit, unit, Some(&machine))
        }
        (None, Some(unit), None) => find(SubjectKind::Unit, unit, None),
        (None, None, Some(area)) => find(SubjectKind::Area, area, None),
        (None, None, None) => Ok(reading.site.clone()),
    }
}

fn request_id(row: &Row, site: &SubjectName) -> Result<RequestId, RecordError> {
    match row.get("request_id") {
        Some(text) => RequestId::parse("request_id", text),
        None => Ok(fingerprint(row, site)),
    }
}

/// The same row of the same site is the same record, in whatever file, order of columns or format.
fn fingerprint(row: &Row, site: &SubjectName) -> RequestId {
    let mut content = site.to_string();
    for (column, text) in row.cells().filter(|(column, _)| *column != "record") {
        content.push_str(&format!("\n{column}={}:{text}", text.len()));
    }
    RequestId::of_content(content.as_bytes())
}

fn supersedes(row: &Row) -> Result<Option<Which>, RecordError> {
    let text = row.get("supersedes");
    let parse = |text| RequestId::parse("supersedes", text).map(Which::Request);
    text.map(parse).transpose()
}

fn content(
    row: &Row,
    reading: &Reading<'_>,
    kind: RecordKind,
    subject: Option<&SubjectName>,
    errors: &mut Vec<RecordError>,
) -> Option<Content> {
    let machine = subject.and_then(machine_of);
    let mut reader = Reader::new(row, reading.directory, machine);
    let mut content = Content::new(Detail::empty(kind));
    content.visit(&mut reader);
    let mut faults = reader.errors;
    for (column, text) in row.cells() {
        let own = FIRST_COLUMNS.contains(&column) || LAST_COLUMNS.contains(&column);
        if !own && !reader.used.contains(column) {
            let remedy = format!("a record of {} has no such field; empty it", kind.id());
            faults.push(RecordError::new(column, text, remedy));
        }
    }
    let sound = faults.is_empty();
    errors.extend(faults);
    sound.then_some(content)
}

/// The machine that a name is or lies on.
pub fn machine_of(name: &SubjectName) -> Option<SubjectName> {
    name.with_holders().into_iter().find(|holder| holder.kind() == SubjectKind::Machine)
}

/// The machines, units and areas that rows name and nobody has added yet, in the order named.
/// Each is called as the rows call it. A row that names what cannot be an id is a fault.
pub fn subjects_needed(
    rows: &[Row],
    reading: &Reading<'_>,
) -> Result<Vec<NewSubject>, Vec<RowFault>> {
    let mut needed: Vec<NewSubject> = Vec::new();
    let mut faults = Vec::new();
    for row in rows {
        if let Err(error) = needed_by(row, reading, &mut needed) {
            faults.push(row.fault(error));
        }
    }
    if faults.is_empty() { Ok(needed) } else { Err(faults) }
}

fn needed_by(
    row: &Row,
    reading: &Reading<'_>,
    needed: &mut Vec<NewSubject>,
) -> Result<(), RecordError> {
    let equipment = row.get("equipment").and_then(<_ as Choice>::parse);
    let mut machine = None;
    if let Some(words) = row.get("machine") {
        let facts = Facts::Machine(Machine { equipment, ..Machine::default() });
        machine = Some(found_or_needed(reading, &reading.site, words, facts, needed)?);
    }
    if let (Some(words), Some(machine)) = (row.get("unit"), &machine) {
        let facts = Facts::Unit(Unit { equipment, ..Unit::default() });
        found_or_needed(reading, machine, words, facts, needed)?;
    }
    if let Some(words) = row.get("area") {
        found_or_needed(reading, &reading.site, words, Facts::Area(Area::default()), needed)?;
    }
    for (column, kind) in [("reading_unit", SubjectKind::Unit), ("reading_area", SubjectKind::Area)]
    {
        for words in row.get(column).map(cell::split).unwrap_or_default() {
            let parent =
                if kind == SubjectKind::Unit { machine.as_ref() } else { Some(&reading.site) };
            // A unit of another machine is for that machine's own rows to bring.
            if let Some(parent) = parent.filter(|_| !words.is_empty() && !words.contains('/')) {
                let facts = match kind {
                    SubjectKind::Unit => Facts::Unit(Unit { equipment, ..Unit::default() }),
                    _ => Facts::Area(Area::default()),
                };
                found_or_needed(reading, parent, &words, facts, needed)?;
            }
        }
    }
    Ok(())
}

fn found_or_needed(
    reading: &Reading<'_>,
    parent: &SubjectName,
    words: &str,
    facts: Facts,
    needed: &mut Vec<NewSubject>,
) -> Result<SubjectName, RecordError> {
    let kind = facts.kind();
    let within = (kind == SubjectKind::Unit).then_some(parent);
    if let Ok(found) = reading.directory.find(kind.word(), kind, words, within) {
        return Ok(found.name.clone());
    }
    let name = parent.child(kind, Id::from_words(kind.word(), words)?)?;
    if needed.iter().all(|other| other.name != name) {
        let label = Label { display_name: words.to_owned(), ..Label::default() };
        needed.push(NewSubject { name: name.clone(), request_id: None, label, facts });
    }
    Ok(name)
}
