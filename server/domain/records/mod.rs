//! What was done to which machine, unit or area, and when? The shop's own history as plain types.
//! A record is never changed: an amendment is a new record that supersedes the old one, and a
//! withdrawal is an amendment that says the old one should not have been made.
//! Deliberately absent: storing, numbering and the clock. Whoever stores a record gives its number
//! and the moment; here is only what a record says and what makes it valid.
//!
//! Order of reading: names, request (what things and requests are called) -> subject (what a record
//! is about) -> detail (the seven kinds) -> fields and check (every field, its key, its bound) ->
//! lesson (what a fix teaches) -> directory (which machine do these words mean) -> row, import,
//! export (tables).

pub mod bounds;
pub mod cell;
pub mod check;
pub mod choices;
pub mod detail;
pub mod directory;
pub mod doubts;
pub mod export;
pub mod fields;
pub mod import;
pub mod lesson;
pub mod moment;
pub mod names;
pub mod request;
pub mod row;
pub mod row_fields;
pub mod subject;

use std::fmt;

use crate::domain::catalogue::Equipment;

pub use choices::RecordKind;
pub use detail::Detail;
pub use moment::Moment;
pub use names::{Id, RecordName, SubjectKind, SubjectName};
pub use request::RequestId;
pub use subject::{Facts, NewSubject, Subject};

/// A value that cannot be used. `field` is its name in the request or its column, `value` as
/// given, `remedy` what to do about it; a caller shows all three.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordError {
    pub field: String,
    pub value: String,
    pub remedy: String,
}

impl RecordError {
    pub fn new(
        field: impl Into<String>,
        value: impl ToString,
        remedy: impl Into<String>,
    ) -> RecordError {
        RecordError { field: field.into(), value: value.to_string(), remedy: remedy.into() }
    }
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.value.is_empty() {
            write!(f, "{} is empty: {}", self.field, self.remedy)
        } else {
            write!(f, "{} is \"{}\": {}", self.field, self.value, self.remedy)
        }
    }
}

impl std::error::Error for RecordError {}

/// What a record says, whoever numbers it and whenever it is stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    pub detail: Detail,
    /// The equipment worked on; left out, it is that of the subject.
    pub equipment: Option<Equipment>,
    /// Working time on the whole job.
    pub duration_min: Option<f64>,
    /// Reading of the machine's hour meter when the work was done.
    pub machine_hours_h: Option<f64>,
    /// Who did it.
    pub done_by: String,
    /// What was said or written about it, word for word.
    pub words: String,
    pub notes: String,
    /// This record only says that the one it supersedes should not have been made.
    pub withdrawn: bool,
}

impl Content {
    pub fn new(detail: Detail) -> Content {
        Content {
            detail,
            equipment: None,
            duration_min: None,
            machine_hours_h: None,
            done_by: String::new(),
            words: String::new(),
            notes: String::new(),
            withdrawn: false,
        }
    }

    pub fn kind(&self) -> RecordKind {
        self.detail.kind()
    }
}

/// A record that is to be stored.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRecord {
    /// The machine, unit, area or site it is about.
    pub subject: SubjectName,
    /// When the work was done; left out, it is when the record is stored.
    pub time: Option<Moment>,
    /// The same id sent again is the same record, not a second one.
    pub request_id: RequestId,
    /// The record that this one replaces.
    pub supersedes: Option<Which>,
    pub content: Content,
}

/// Which record is meant: by its name, or by the request that made it, for a table that is read
/// in where names differ.
#[derive(Debug, Clone, PartialEq)]
pub enum Which {
    Name(RecordName),
    Request(RequestId),
}

/// A record that another one replaces.
#[derive(Debug, Clone, PartialEq)]
pub struct Superseded {
    pub name: RecordName,
    pub request_id: RequestId,
}

/// A record as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    pub name: RecordName,
    pub time: Moment,
    /// When it was stored.
    pub created: Moment,
    pub request_id: RequestId,
    pub supersedes: Option<Superseded>,
    /// The record that replaced this one; none while it stands.
    pub superseded_by: Option<RecordName>,
    /// Type of the unit when the record was stored; empty when it had none.
    pub unit_type: String,
    /// With the equipment filled in from the subject where the writer left it out.
    pub content: Content,
}

impl Record {
    /// Whether it still says what was done: neither replaced nor a withdrawal.
    pub fn stands(&self) -> bool {
        self.superseded_by.is_none() && !self.content.withdrawn
    }
}

/// Every name under which a record is found: its subject and the units and areas its readings
/// name, each with all that holds it. In order, none twice.
pub fn concerned(subject: &SubjectName, content: &Content) -> Vec<SubjectName> {
    let mut names = subject.with_holders();
    for named in content.detail.named_subjects() {
        names.extend(named.with_holders());
    }
    names.sort();
    names.dedup();
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::detail::{HeightPoint, HeightReading};

    #[test]
    fn a_height_reading_concerns_every_unit_it_names() {
        let machine = SubjectName::parse("parent", "sites/home/machines/triplex").expect("a name");
        let unit = |id: &str| {
            SubjectName::parse("unit", &format!("sites/home/machines/triplex/units/{id}"))
                .expect("a name")
        };
        let point = |id: &str| HeightPoint { unit: Some(unit(id)), ..HeightPoint::default() };
        let reading =
            HeightReading { readings: vec![point("2"), point("1")], ..HeightReading::default() };
        let content = Content::new(Detail::HeightReading(reading));
        let names: Vec<String> =
            concerned(&machine, &content).iter().map(SubjectName::to_string).collect();
        assert_eq!(
            names,
            [
                "sites/home",
                "sites/home/machines/triplex",
                "sites/home/machines/triplex/units/1",
                "sites/home/machines/triplex/units/2",
            ]
        );
    }
}
