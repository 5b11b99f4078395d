//! What does the text in one cell of a table mean, and how is a value written into one? Numbers may
//! be written as people write them, with or without a unit: the column's name says which unit a
//! bare number is in. Deliberately absent: columns, rows and files.

use crate::domain::number_text::read_number;
use crate::domain::units::{Unit, convert};

use super::RecordError;

/// Stands between the members of a list.
const BETWEEN: char = '|';
/// Stands before a `|` or itself when that is meant as written.
const ESCAPE: char = '\\';

/// A value that goes into a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Text(String),
    Number(f64),
    Flag(bool),
    /// One member for each row of a list; a row that does not say it has an empty text.
    List(Vec<Cell>),
}

impl Cell {
    /// The cell as the text of a table.
    pub fn text(&self) -> String {
        match self {
            Cell::Text(text) => text.clone(),
            Cell::Number(number) => number.to_string(),
            Cell::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            Cell::List(members) => {
                let texts: Vec<String> = members.iter().map(Cell::text).collect();
                joined(&texts)
            }
        }
    }
}

/// A number in the unit of its column; `unit` is empty for a bare count or ratio.
pub fn number(column: &str, text: &str, unit: &str) -> Result<f64, RecordError> {
    let fail = |remedy: String| RecordError::new(column, text, remedy);
    let number = read_number(text).map_err(fail)?;
    if number.rest.is_empty() {
        return Ok(number.value);
    }
    if unit.is_empty() {
        return Err(fail("write the number alone; it has no unit".to_owned()));
    }
    if Unit::named(&number.rest).is_some_and(|written| written.symbol == "mil") {
        return Err(fail("a mil may be two things; write thou or mm".to_owned()));
    }
    let written = Unit::named(&number.rest).map(|written| written.symbol);
    written
        .and_then(|written| convert(number.value, written, unit))
        .ok_or_else(|| fail(format!("write it in {unit}, or with a unit of the same kind")))
}

/// A whole number, not below zero.
pub fn count(column: &str, text: &str) -> Result<u32, RecordError> {
    let value = number(column, text, "")?;
    if value < 0.0 || value > f64::from(u32::MAX) || value.fract() != 0.0 {
        return Err(RecordError::new(column, text, "write a whole number"));
    }
    // Whole and in range, so nothing is cut off.
    Ok(value as u32)
}

pub fn flag(column: &str, text: &str) -> Result<bool, RecordError> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err(RecordError::new(column, text, "write yes or no")),
    }
}

/// The members of a list.
pub fn split(text: &str) -> Vec<String> {
    let mut members = vec![String::new()];
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let last = members.last_mut().expect("it starts with one member");
        match character {
            ESCAPE if characters.peek().is_some_and(|&c| c == BETWEEN || c == ESCAPE) => {
                last.extend(characters.next());
            }
            BETWEEN => members.push(String::new()),
            _ => last.push(character),
        }
    }
    members.iter().map(|member| member.trim().to_owned()).collect()
}

/// A list as one text.
pub fn joined(members: &[String]) -> String {
    let escaped: Vec<String> = members
        .iter()
        .map(|member| member.replace(ESCAPE, r"\\").replace(BETWEEN, r"\|"))
        .collect();
    escaped.join("|")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An inch is 25.4 mm and a pound-force on a square inch 6.894757 kPa (NIST SP 811, published).
    #[test]
    fn numbers_are_read_into_the_unit_of_the_column() {
        for (text, unit, value) in [
            ("3.5", "mm", 3.5),
            ("3.5 mm", "mm", 3.5),
            ("5.02 in", "mm", 127.508),
            ("3/16\"", "mm", 4.7625),
            ("10 psi", "kPa", 68.947_572_9),
            ("2.5 h", "min", 150.0),
            ("1,412", "h", 1_412.0),
            ("40 g", "g", 40.0),
            ("-0.25", "turns", -0.25),
            ("11", "", 11.0),
        ] {
            let read = number("column", text, unit).expect(text);
            assert!((read - value).abs() < 1e-7, "{text}: {read}");
        }
        for (text, unit) in [
            ("", "mm"),
            ("3,5", "mm"),
            ("12 psi", "mm"),
            ("5 mil", "mm"),
            ("3 or 4", "mm"),
            ("11 blades", ""),
            ("about 3", "mm"),
        ] {
            assert!(number("column", text, unit).is_err(), "{text}");
        }
        assert!(count("column", "2.5").is_err());
        assert!(count("column", "-1").is_err());
        assert!(flag("column", "maybe").is_err());
    }

    #[test]
    fn a_list_reads_back_whatever_its_members_hold() {
        for members in
            [vec!["bedknife", "screws"], vec!["a|b", r"c\", r"\|", ""], vec![""], vec![r"\\", "|"]]
        {
            let members: Vec<String> = members.into_iter().map(str::to_owned).collect();
            assert_eq!(split(&joined(&members)), members);
        }
        assert_eq!(split(" a | b\\n "), ["a", "b\\n"]);
    }
}
