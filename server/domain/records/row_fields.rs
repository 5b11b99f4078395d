//! How do the fields of a record stand in a row of texts? Which columns there are, reading a
//! record's content from them, and writing it into them. A list of several fields is a column for
//! each field, whose cells have one member for each row of the list.
//! Deliberately absent: the record's own columns (kind, time, subject), in `import` and `export`.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::bounds::bound;
use super::cell::{self, Cell};
use super::choices::{Choice, RecordKind};
use super::detail::Detail;
use super::directory::Directory;
use super::fields::{CatalogueList, Fields, Length, Visitor};
use super::names::{SubjectKind, SubjectName};
use super::row::Row;
use super::{Content, RecordError};

/// Columns that stand before the fields.
pub const FIRST_COLUMNS: [&str; 6] = ["record", "kind", "time", "machine", "unit", "area"];
/// Columns that stand after them.
pub const LAST_COLUMNS: [&str; 3] = ["request_id", "supersedes", "withdrawn"];

/// A column that a table may have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    pub name: String,
    /// Unit of a bare number; empty where there is none.
    pub unit: &'static str,
}

/// Every column of all kinds of record, in order of reading.
pub fn all_columns() -> &'static [Column] {
    static ALL: LazyLock<Vec<Column>> = LazyLock::new(|| columns(RecordKind::ALL));
    &ALL
}

/// Every column of these kinds of record, in order of reading.
pub fn columns(kinds: &[RecordKind]) -> Vec<Column> {
    let bare = |name: &str| Column { name: name.to_owned(), unit: "" };
    let mut columns: Vec<Column> = FIRST_COLUMNS.map(bare).into();
    for kind in kinds {
        let mut lister = Lister::default();
        Content::new(Detail::empty(*kind)).visit(&mut lister);
        for column in lister.columns {
            if !columns.contains(&column) {
                columns.push(column);
            }
        }
    }
    columns.extend(LAST_COLUMNS.map(bare));
    columns
}

fn column_name(list: Option<&str>, key: &str) -> String {
    match list {
        None => key.to_owned(),
        Some(list) if list == key => key.to_owned(),
        Some(list) => format!("{list}_{key}"),
    }
}

/// Lists the columns without looking at values.
#[derive(Default)]
struct Lister {
    columns: Vec<Column>,
    list: Option<&'static str>,
}

impl Lister {
    fn add(&mut self, key: &'static str, unit: &'static str) {
        self.columns.push(Column { name: column_name(self.list, key), unit });
    }
}

impl Visitor for Lister {
    fn number(&mut self, key: &'static str, _: &mut Option<f64>) {
        self.add(key, bound(key).unit);
    }
    fn count(&mut self, key: &'static str, _: &mut Option<u32>) {
        self.add(key, "");
    }
    fn flag(&mut self, key: &'static str, _: &mut Option<bool>) {
        self.add(key, "");
    }
    fn choice<C: Choice>(&mut self, key: &'static str, _: &mut Option<C>) {
        self.add(key, "");
    }
    fn text(&mut self, key: &'static str, _: Length, _: &mut String) {
        self.add(key, "");
    }
    fn id(&mut self, key: &'static str, _: CatalogueList, _: &mut String) {
        self.add(key, "");
    }
    fn subject(&mut self, key: &'static str, _: SubjectKind, _: &mut Option<SubjectName>) {
        self.add(key, "");
    }
    fn list<T: Fields + Default>(&mut self, _: &'static str, column: &'static str, _: &mut Vec<T>) {
        self.list = Some(column);
        T::default().visit(self);
        self.list = None;
    }
}

/// Fills fields from the texts of a row.
pub struct Reader<'a> {
    row: &'a Row,
    directory: &'a Directory,
    /// The record's machine, on which units are looked for.
    machine: Option<SubjectName>,
    /// The list and its row that is being read.
    list: Option<(&'static str, usize)>,
    pub used: BTreeSet<String>,
    pub errors: Vec<RecordError>,
}

impl<'a> Reader<'a> {
    pub fn new(row: &'a Row, directory: &'a Directory, machine: Option<SubjectName>) -> Reader<'a> {
        Reader { row, directory, machine, list: None, used: BTreeSet::new(), errors: Vec::new() }
    }

    /// The text of a field and its column, when there is one.
    fn text_of(&mut self, key: &str) -> Option<(String, String)> {
        let column = column_name(self.list.map(|(list, _)| list), key);
        let text = self.row.get(&column)?;
        self.used.insert(column.clone());
        let text = match self.list {
            None => text.to_owned(),
            Some((_, at)) => cell::split(text).into_iter().nth(at).unwrap_or_default(),
        };
        (!text.is_empty()).then_some((column, text))
    }

    /// The value read from a field's text; nothing when there is none or it was refused.
    fn read<T>(
        &mut self,
        key: &str,
        read: impl FnOnce(&str, &str) -> Result<T, RecordError>,
    ) -> Option<T> {
        let (column, text) = self.text_of(key)?;
        read(&column, &text).map_err(|error| self.errors.push(error)).ok()
    }

    /// How many rows a list has: as many as each of its columns has members.
    fn rows<T: Fields + Default>(&mut self, list: &'static str) -> usize {
        let mut lister = Lister { list: Some(list), ..Lister::default() };
        T::default().visit(&mut lister);
        let mut first: Option<(String, usize)> = None;
        for column in lister.columns {
            let Some(text) = self.row.get(&column.name) else { continue };
            let rows = cell::split(text).len();
            match &first {
                Some((name, wanted)) if *wanted != rows => {
                    let remedy = format!("it has {rows} entries between | and {name} has {wanted}");
                    self.errors.push(RecordError::new(&column.name, text, remedy));
                    self.used.insert(column.name);
                }
                Some(_) => {}
                None => first = Some((column.name, rows)),
            }
        }
        first.map_or(0, |(_, rows)| rows)
    }
}

impl Visitor for Reader<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        *value = self.read(key, |column, text| cell::number(column, text, bound(key).unit));
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        *value = self.read(key, cell::count);
    }

    fn flag(&mut self, key: &'static str, value: &mut Option<bool>) {
        *value = self.read(key, cell::flag);
    }

    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>) {
        *value = self.read(key, |column, text| {
            C::parse(text).ok_or_else(|| {
                RecordError::new(column, text, format!("write one of: {}", C::all_ids()))
            })
        });
    }

    fn text(&mut self, key: &'static str, _: Length, value: &mut String) {
        *value = self.text_of(key).map(|(_, text)| text).unwrap_or_default();
    }

    fn id(&mut self, key: &'static str, _: CatalogueList, value: &mut String) {
        *value = self.text_of(key).map(|(_, text)| text).unwrap_or_default();
    }

    fn subject(&mut self, key: &'static str, kind: SubjectKind, value: &mut Option<SubjectName>) {
        let (directory, machine) = (self.directory, self.machine.clone());
        *value = self.read(key, |column, text| {
            subject_named(directory, column, kind, text, machine.as_ref())
        });
    }

    fn list<T: Fields + Default>(
        &mut self,
        _: &'static str,
        column: &'static str,
        value: &mut Vec<T>,
    ) {
        for at in 0..self.rows::<T>(column) {
            self.list = Some((column, at));
            let mut row = T::default();
            row.visit(self);
            value.push(row);
        }
        self.list = None;
    }
}

/// The unit or area that a cell names; a unit of another machine is written `machine/unit`.
pub fn subject_named(
    directory: &Directory,
    column: &str,
    kind: SubjectKind,
    text: &str,
    machine: Option<&SubjectName>,
) -> Result<SubjectName, RecordError> {
    if kind == SubjectKind::Unit
        && let Some((other, unit)) = text.split_once('/')
    {
        let other = directory.find(column, SubjectKind::Machine, other, None)?.name.clone();
        return Ok(directory.find(column, kind, unit, Some(&other))?.name.clone());
    }
    let machine = machine.filter(|_| kind == SubjectKind::Unit);
    Ok(directory.find(column, kind, text, machine)?.name.clone())
}

/// Writes fields into cells by column; what was not said has no cell.
pub struct Writer {
    pub cells: Vec<(String, Cell)>,
    machine: Option<SubjectName>,
}

impl Writer {
    pub fn new(machine: Option<SubjectName>) -> Writer {
        Writer { cells: Vec::new(), machine }
    }

    fn add(&mut self, key: &str, cell: Option<Cell>) {
        let cell = cell.unwrap_or(Cell::Text(String::new()));
        self.cells.push((key.to_owned(), cell));
    }

    /// Leaves out what was not said.
    pub fn finish(self) -> Vec<(String, Cell)> {
        let empty = Cell::Text(String::new());
        self.cells.into_iter().filter(|(_, cell)| *cell != empty).collect()
    }
}

impl Visitor for Writer {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        self.add(key, value.map(Cell::Number));
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        self.add(key, value.map(|count| Cell::Number(f64::from(count))));
    }

    fn flag(&mut self, key: &'static str, value: &mut Option<bool>) {
        self.add(key, value.map(Cell::Flag));
    }

    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>) {
        self.add(key, value.map(|choice| Cell::Text(choice.id().to_owned())));
    }

    fn text(&mut self, key: &'static str, _: Length, value: &mut String) {
        self.add(key, Some(Cell::Text(value.clone())));
    }

    fn id(&mut self, key: &'static str, _: CatalogueList, value: &mut String) {
        self.add(key, Some(Cell::Text(value.clone())));
    }

    fn subject(&mut self, key: &'static str, _: SubjectKind, value: &mut Option<SubjectName>) {
        let cell = value.as_ref().map(|name| match name.machine() {
            // One of the record's own machine, or an area.
            Some(machine) if !self.machine.as_ref().is_some_and(|own| own.holds(name)) => {
                Cell::Text(format!("{machine}/{}", name.id()))
            }
            _ => Cell::Text(name.id().to_string()),
        });
        self.add(key, cell);
    }

    fn list<T: Fields + Default>(
        &mut self,
        _: &'static str,
        column: &'static str,
        value: &mut Vec<T>,
    ) {
        let rows: Vec<Vec<(String, Cell)>> = value
            .iter_mut()
            .map(|row| {
                let mut writer = Writer::new(self.machine.clone());
                row.visit(&mut writer);
                writer.cells
            })
            .collect();
        let Some(first) = rows.first() else { return };
        for (at, (key, _)) in first.iter().enumerate() {
            let members: Vec<Cell> = rows.iter().map(|row| row[at].1.clone()).collect();
            if members.iter().any(|member| !member.text().is_empty()) {
                self.cells.push((column_name(Some(column), key), Cell::List(members)));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_has_one_name_and_one_unit() {
        let columns = all_columns();
        for (at, column) in columns.iter().enumerate() {
            assert!(columns[..at].iter().all(|other| other.name != column.name), "{column:?}");
        }
        let units: Vec<&str> = columns.iter().map(|column| column.unit).collect();
        assert!(units.contains(&"kPa") && units.contains(&"mm") && units.contains(&"min"));
    }

    #[test]
    fn lists_of_different_lengths_are_refused() {
        let row = Row::new(
            3,
            [("part", "a|b"), ("part_count", "1"), ("part_life_h", "5|")]
                .map(|(column, text)| (column.to_owned(), text.to_owned())),
        );
        let directory = Directory::default();
        let mut reader = Reader::new(&row, &directory, None);
        Content::new(Detail::empty(RecordKind::PartReplaced)).visit(&mut reader);
        let fields: Vec<&str> = reader.errors.iter().map(|error| error.field.as_str()).collect();
        assert_eq!(fields, ["part_count"]);
    }
}
