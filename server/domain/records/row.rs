//! What does one line of a table say? Texts by column, whatever the file was: a line of JSON or
//! cells under a header. Columns may be called as people call them, and may be in another unit:
//! `diameter_before_in` is `diameter_before_mm` in inches.
//! Deliberately absent: splitting a file into lines and cells, and what the texts mean.

use std::collections::BTreeMap;

use crate::domain::units::{Unit, convert};

use super::RecordError;
use super::cell::{joined, split};
use super::row_fields::{Column, all_columns};

/// What people write for some of the columns.
const ALIASES: &[(&str, &str)] = &[
    ("by", "done_by"),
    ("comment", "notes"),
    ("comments", "notes"),
    ("date", "time"),
    ("note", "notes"),
    ("operator", "done_by"),
    ("type", "kind"),
    ("when", "time"),
];

/// One line: its number in the file, and the texts that are not empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub number: u64,
    cells: BTreeMap<String, String>,
}

/// A fault in one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    pub row: u64,
    /// `field` is the column.
    pub error: RecordError,
}

/// Which of our columns each column of a file is.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    targets: Vec<Option<Target>>,
}

#[derive(Debug, Clone, PartialEq)]
struct Target {
    column: String,
    /// Unit of a bare number, where it is not the column's own.
    unit: Option<&'static str>,
}

impl Header {
    /// Understands the columns of a file. `mapping` says what the file's columns are where they
    /// are not called as ours; a column mapped to nothing is left out.
    pub fn read(
        names: &[String],
        mapping: &BTreeMap<String, String>,
    ) -> Result<Header, Vec<RecordError>> {
        let known = all_columns();
        let mut errors = Vec::new();
        for name in mapping.keys().filter(|name| !names.contains(name)) {
            errors.push(RecordError::new("mapping", name, "the file has no such column"));
        }
        let mut targets: Vec<Option<Target>> = Vec::with_capacity(names.len());
        for name in names {
            let wanted = mapping.get(name).map_or(name.as_str(), String::as_str);
            if wanted.trim().is_empty() {
                targets.push(None);
                continue;
            }
            match target(wanted, known) {
                Ok(target) => {
                    if targets.iter().flatten().any(|other| other.column == target.column) {
                        let remedy =
                            format!("{} is given twice; map one to nothing", target.column);
                        errors.push(RecordError::new(name, wanted, remedy));
                    }
                    targets.push(Some(target));
                }
                Err(remedy) => errors.push(RecordError::new(name, wanted, remedy)),
            }
        }
        if errors.is_empty() { Ok(Header { targets }) } else { Err(errors) }
    }
}

/// Our column of this name, alias, or name with another unit at its end.
fn target(name: &str, known: &[Column]) -> Result<Target, String> {
    let folded = name.trim().to_lowercase().replace([' ', '-'], "_");
    let folded = match ALIASES.iter().find(|(alias, _)| *alias == folded) {
        Some((_, column)) => (*column).to_owned(),
        None => folded,
    };
    if known.iter().any(|column| column.name == folded) {
        return Ok(Target { column: folded, unit: None });
    }
    let other_unit = folded.rsplit_once('_').and_then(|(stem, ending)| {
        let unit = Unit::named(ending)?.symbol;
        let column = known.iter().find(|column| {
            column.name.rsplit_once('_').is_some_and(|(own_stem, _)| own_stem == stem)
                && convert(1.0, unit, column.unit).is_some()
        })?;
        Some(Target { column: column.name.clone(), unit: Some(unit) })
    });
    other_unit.ok_or_else(|| {
        "there is no such column; map it to one of ours, or to nothing to leave it out".to_owned()
    })
}

impl Row {
    /// A line of cells under a header.
    pub fn from_cells(number: u64, header: &Header, cells: &[String]) -> Result<Row, RowFault> {
        if cells.len() != header.targets.len() {
            let remedy = format!(
                "the header has {}; look for a stray comma or quotation mark",
                header.targets.len()
            );
            let error = RecordError::new("columns", cells.len(), remedy);
            return Err(RowFault { row: number, error });
        }
        let told = header.targets.iter().zip(cells);
        let texts = told.filter_map(|(target, cell)| target.as_ref().map(|target| (target, cell)));
        Ok(Row::new(
            number,
            texts.map(|(target, cell)| {
                (target.column.clone(), {
                    target.unit.map_or_else(|| cell.clone(), |unit| with_unit(cell, unit))
                })
            }),
        ))
    }

    /// A line that is one JSON object. Its members are our columns; a list is an array.
    pub fn from_json(
        number: u64,
        line: &str,
        mapping: &BTreeMap<String, String>,
    ) -> Result<Row, Vec<RowFault>> {
        let fault = |error: RecordError| RowFault { row: number, error };
        let object: serde_json::Map<String, serde_json::Value> = serde_json::from_str(line)
            .map_err(|error| {
                vec![fault(RecordError::new("line", error, "write one JSON object on each line"))]
            })?;
        let names: Vec<String> = object.keys().cloned().collect();
        // A mapping speaks of the whole file; a line may lack a column that it names.
        let mapping: BTreeMap<String, String> = mapping
            .iter()
            .filter(|(name, _)| names.contains(name))
            .map(|(name, target)| (name.clone(), target.clone()))
            .collect();
        let header = Header::read(&names, &mapping)
            .map_err(|errors| errors.into_iter().map(fault).collect::<Vec<_>>())?;
        let cells: Result<Vec<String>, RowFault> =
            object.iter().map(|(name, value)| json_text(name, value).map_err(fault)).collect();
        let cells = cells.map_err(|error| vec![error])?;
        Row::from_cells(number, &header, &cells).map_err(|error| vec![error])
    }

    /// A line from texts by our own columns.
    pub fn new(number: u64, texts: impl IntoIterator<Item = (String, String)>) -> Row {
        let trimmed = texts.into_iter().map(|(column, text)| (column, text.trim().to_owned()));
        Row { number, cells: trimmed.filter(|(_, text)| !text.is_empty()).collect() }
    }

    pub fn get(&self, column: &str) -> Option<&str> {
        self.cells.get(column).map(String::as_str)
    }

    /// Columns and texts in order of column.
    pub fn cells(&self) -> impl Iterator<Item = (&str, &str)> {
        self.cells.iter().map(|(column, text)| (column.as_str(), text.as_str()))
    }

    pub fn fault(&self, error: RecordError) -> RowFault {
        RowFault { row: self.number, error }
    }
}

/// Writes the unit behind every bare number of a cell.
fn with_unit(cell: &str, unit: &str) -> String {
    let members = split(cell).into_iter().map(|member| {
        let bare = member.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        if bare { format!("{member} {unit}") } else { member }
    });
    joined(&members.collect::<Vec<_>>())
}

fn json_text(name: &str, value: &serde_json::Value) -> Result<String, RecordError> {
    use serde_json::Value;
    match value {
        Value::Null => Ok(String::new()),
        Value::Bool(flag) => Ok(if *flag { "yes" } else { "no" }.to_owned()),
        // Written out in full: `to_string` of a small number has an exponent.
        Value::Number(number) => match (number.as_i64(), number.as_f64()) {
            (None, Some(number)) => Ok(number.to_string()),
            _ => Ok(number.to_string()),
        },
        Value::String(text) => Ok(text.clone()),
        Value::Array(members) => {
            let texts: Result<Vec<String>, RecordError> = members
                .iter()
                .map(|member| match member {
                    Value::Array(_) => Err(nested(name, value)),
                    _ => json_text(name, member),
                })
                .collect();
            Ok(joined(&texts?))
        }
        Value::Object(_) => Err(nested(name, value)),
    }
}

fn nested(name: &str, value: &serde_json::Value) -> RecordError {
    RecordError::new(name, value, "write a text, a number, true or false, or an array of these")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(values: &[&str]) -> Vec<String> {
        values.iter().map(|&value| value.to_owned()).collect()
    }

    fn mapping(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs.iter().map(|&(from, to)| (from.to_owned(), to.to_owned())).collect()
    }

    #[test]
    fn columns_are_known_by_name_alias_unit_or_mapping() {
        let names = texts(&["Date", "Duration min", "diameter before in", "HOC", "Weather"]);
        let mapping = mapping(&[("HOC", "reading_height_mm"), ("Weather", "")]);
        let header = Header::read(&names, &mapping).expect("all are known");
        let cells = texts(&["2026-03-14", "12", "5.02", "3.5|", "rain"]);
        let row = Row::from_cells(2, &header, &cells).expect("as many cells");
        let told: Vec<(&str, &str)> = row.cells().collect();
        assert_eq!(
            told,
            [
                ("diameter_before_mm", "5.02 in"),
                ("duration_min", "12"),
                ("reading_height_mm", "3.5|"),
                ("time", "2026-03-14"),
            ]
        );
    }

    #[test]
    fn a_header_that_is_not_understood_is_refused_whole() {
        let names = texts(&["Date", "when", "HOC", "part_life_kg"]);
        let errors = Header::read(&names, &mapping(&[("Hoc", "time")])).expect_err("four faults");
        let fields: Vec<&str> = errors.iter().map(|error| error.field.as_str()).collect();
        assert_eq!(fields, ["mapping", "when", "HOC", "part_life_kg"]);
    }

    #[test]
    fn a_line_of_json_is_the_same_row() {
        let line = r#"{"kind":"part_replaced","part":["bedknife","screw"],"part_count":[1,11],
            "withdrawn":false,"notes":null,"machine_hours_h":1412.5}"#;
        let row = Row::from_json(1, line, &BTreeMap::new()).expect("an object");
        let told: Vec<(&str, &str)> = row.cells().collect();
        assert_eq!(
            told,
            [
                ("kind", "part_replaced"),
                ("machine_hours_h", "1412.5"),
                ("part", "bedknife|screw"),
                ("part_count", "1|11"),
                ("withdrawn", "no"),
            ]
        );
        for line in ["", "[]", "{", r#"{"notes":{"a":1}}"#, r#"{"part":[["a"]]}"#, r#"{"x":1}"#] {
            assert!(Row::from_json(1, line, &BTreeMap::new()).is_err(), "{line}");
        }
    }

    #[test]
    fn a_stray_comma_is_noticed() {
        let header = Header::read(&texts(&["time", "kind"]), &BTreeMap::new()).expect("known");
        let fault = Row::from_cells(7, &header, &texts(&["a", "b", "c"])).expect_err("one more");
        assert_eq!((fault.row, fault.error.value.as_str()), (7, "3"));
    }
}
