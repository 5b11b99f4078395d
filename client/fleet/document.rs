//! What does an answer about the fleet consist of, whatever it is written as? A title, a few
//! sentences, sections with a table or a drawing, and cautions.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use sward_core::domain::units::decimal;

use crate::picture::Scale;

#[derive(Default)]
pub struct Document {
    pub title: String,
    /// Under the title: what it covers.
    pub about: String,
    /// The answer first.
    pub lead: Vec<String>,
    pub sections: Vec<Section>,
    /// Title and text of each.
    pub cautions: Vec<(String, String)>,
    pub notes: Vec<String>,
    /// A card: as much as possible on one side.
    pub compact: bool,
}

#[derive(Default)]
pub struct Section {
    /// Name of its table for `--table`.
    pub name: &'static str,
    pub heading: String,
    pub words: String,
    pub table: Table,
    /// SVG.
    pub drawing: Option<String>,
}

#[derive(Default)]
pub struct Table {
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<String>>,
    /// The most rows that people see; none: all of them.
    pub shown_max: Option<usize>,
}

pub struct Column {
    /// Name in CSV; empty: not in CSV.
    pub id: &'static str,
    /// Heading for people; empty: not shown to people.
    pub title: &'static str,
    /// Numbers stand to the right.
    pub right: bool,
}

/// A column of words that everybody sees.
pub const fn words(id: &'static str, title: &'static str) -> Column {
    Column { id, title, right: false }
}

/// A column of numbers that everybody sees.
pub const fn numbers(id: &'static str, title: &'static str) -> Column {
    Column { id, title, right: true }
}

/// A column for people alone: the same is in CSV in other columns.
pub const fn shown(title: &'static str) -> Column {
    Column { id: "", title, right: false }
}

/// The same, to the right.
pub const fn shown_right(title: &'static str) -> Column {
    Column { id: "", title, right: true }
}

/// A column of CSV alone.
pub const fn data(id: &'static str) -> Column {
    Column { id, title: "", right: true }
}

impl Table {
    pub fn new(columns: Vec<Column>, rows: impl IntoIterator<Item = Vec<String>>) -> Table {
        Table { columns, rows: rows.into_iter().collect(), shown_max: None }
    }

    /// Rows that people see.
    pub fn rows_shown(&self) -> &[Vec<String>] {
        &self.rows[..self.shown_max.unwrap_or(usize::MAX).min(self.rows.len())]
    }

    /// That there is more than people see; none when there is not.
    pub fn more(&self) -> Option<String> {
        let left = self.rows.len() - self.rows_shown().len();
        (left > 0).then(|| format!("{left} more row(s) with --format csv."))
    }

    /// Places of the columns that people see: those with a heading in which something stands.
    pub fn shown(&self) -> Vec<usize> {
        let says = |at: usize| self.rows_shown().iter().any(|row| !["", "-"].contains(&&*row[at]));
        let columns = self.columns.iter().enumerate();
        let titled = columns.filter(|(_, column)| !column.title.is_empty()).map(|(at, _)| at);
        titled.filter(|at| says(*at)).collect()
    }

    /// Places of the columns in CSV.
    pub fn told(&self) -> Vec<usize> {
        let columns = self.columns.iter().enumerate();
        columns.filter(|(_, column)| !column.id.is_empty()).map(|(at, _)| at).collect()
    }
}

impl Section {
    pub fn table(name: &'static str, heading: &str, table: Table) -> Section {
        Section { name, heading: heading.to_owned(), table, ..Section::default() }
    }
}

/// A number to so many decimals; a dash where there is none.
pub fn number(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "-".to_owned(), |value| decimal(value, decimals))
}

/// A number in full for CSV; empty where there is none.
pub fn raw(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// A length with its unit; a dash where there is none.
pub fn length(value_mm: Option<f64>, scale: Scale) -> String {
    value_mm.map_or_else(|| "-".to_owned(), |mm| scale.say(mm))
}

/// "0.12 to 0.53".
pub fn range(low: f64, high: f64, decimals: usize) -> String {
    format!("{} to {}", decimal(low, decimals), decimal(high, decimals))
}

/// The date here, as 2026-03-14; a dash where there is none.
pub fn date(time: Option<&prost_types::Timestamp>) -> String {
    let time = time.and_then(|time| Timestamp::from_second(time.seconds).ok());
    time.map_or_else(
        || "-".to_owned(),
        |time| time.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d").to_string(),
    )
}

/// A time in full for CSV; empty where there is none.
pub fn moment(time: Option<&prost_types::Timestamp>) -> String {
    let time = time.and_then(|time| Timestamp::from_second(time.seconds).ok());
    time.map_or_else(String::new, |time| time.to_string())
}

/// Without signs that would steer a terminal: records hold what anyone typed.
pub fn clean(text: &str) -> String {
    text.chars().filter(|ch| !ch.is_control()).collect()
}
