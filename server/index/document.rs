//! What can be found? Notes and procedures of the knowledge, and records of the shop, each as a
//! heading, a text, and what it concerns.

use std::collections::{BTreeMap, BTreeSet};

use super::record_text;
use crate::domain::catalogue::{Knowledge, Note, Procedure};
use crate::domain::records::detail::Detail;
use crate::domain::records::{Moment, Record, concerned};

/// What kind of thing a document is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Note,
    Procedure,
    Record,
}

impl Kind {
    pub const ALL: [Kind; 3] = [Kind::Note, Kind::Procedure, Kind::Record];

    pub fn number(self) -> u64 {
        match self {
            Kind::Note => 0,
            Kind::Procedure => 1,
            Kind::Record => 2,
        }
    }

    pub fn numbered(number: u64) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.number() == number)
    }
}

/// Something that can be found.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// A record's own number; notes and procedures are numbered above all records.
    pub key: u64,
    pub kind: Kind,
    /// Its resource name.
    pub name: String,
    pub title: String,
    pub body: String,
    /// Further words by which it is found, not shown and not kept: those of its id, and the titles
    /// of what it names.
    pub also: String,
    /// Causes of the catalogue that it concerns.
    pub causes: Vec<String>,
    /// Names of the sites, machines, units and areas that it concerns.
    pub subjects: Vec<String>,
    pub time: Option<Moment>,
}

/// First keys of notes and procedures. A record's number is below 2^63.
const FIRST_NOTE: u64 = 1 << 63;
const FIRST_PROCEDURE: u64 = FIRST_NOTE | 1 << 62;

/// Whether the key is that of a record.
pub fn is_record(key: u64) -> bool {
    key < FIRST_NOTE
}

/// Every note and procedure of the knowledge.
pub fn of_knowledge(knowledge: &Knowledge) -> Vec<Document> {
    let titles = Titles::new(knowledge);
    let notes = (FIRST_NOTE..).zip(&knowledge.notes).map(|(key, note)| of_note(key, note, &titles));
    let procedures = (FIRST_PROCEDURE..)
        .zip(&knowledge.procedures)
        .map(|(key, procedure)| of_procedure(key, procedure, knowledge, &titles));
    notes.chain(procedures).collect()
}

fn of_note(key: u64, note: &Note, titles: &Titles) -> Document {
    let findings = note.findings.iter().filter_map(|id| titles.findings.get(id));
    let causes = note.causes.iter().filter_map(|id| titles.causes.get(id));
    Document {
        key,
        kind: Kind::Note,
        name: format!("notes/{}", note.id),
        title: note.title.clone(),
        body: note.text.clone(),
        also: also(&note.id, findings.chain(causes)),
        causes: note.causes.clone(),
        subjects: Vec::new(),
        time: None,
    }
}

fn of_procedure(
    key: u64,
    procedure: &Procedure,
    knowledge: &Knowledge,
    titles: &Titles,
) -> Document {
    let mut parts = vec![procedure.summary.clone()];
    if !procedure.tools.is_empty() {
        parts.push(format!("Tools: {}.", procedure.tools.join(", ")));
    }
    parts.extend(procedure.steps.iter().map(|step| format!("{}. {}", step.title, step.text)));
    let cured: BTreeSet<&String> = knowledge
        .causes
        .iter()
        .filter(|cause| cause.procedure == procedure.id)
        .map(|cause| &cause.id)
        .collect();
    Document {
        key,
        kind: Kind::Procedure,
        name: format!("procedures/{}", procedure.id),
        title: procedure.title.clone(),
        body: parts.join("\n"),
        also: also(&procedure.id, cured.iter().filter_map(|id| titles.causes.get(*id))),
        causes: cured.into_iter().cloned().collect(),
        subjects: Vec::new(),
        time: None,
    }
}

fn also<'a>(id: &str, titles: impl Iterator<Item = &'a String>) -> String {
    let words = id.replace('_', " ");
    titles.fold(words, |all, title| format!("{all}. {title}"))
}

/// Titles of the catalogue by id, so that a record is found by the words of what it names.
#[derive(Debug, Clone, Default)]
pub struct Titles {
    pub findings: BTreeMap<String, String>,
    pub causes: BTreeMap<String, String>,
    pub procedures: BTreeMap<String, String>,
}

impl Titles {
    pub fn new(knowledge: &Knowledge) -> Titles {
        let findings = knowledge.findings.iter().map(|row| (row.id.clone(), row.title.clone()));
        let procedures = knowledge.procedures.iter().map(|row| (row.id.clone(), row.title.clone()));
        let mut causes = BTreeMap::new();
        for row in &knowledge.causes {
            causes.entry(row.id.clone()).or_insert_with(|| row.title.clone());
        }
        Titles { findings: findings.collect(), causes, procedures: procedures.collect() }
    }
}

/// A record as it is found.
pub fn of_record(record: &Record, titles: &Titles) -> Document {
    let causes = match &record.content.detail {
        Detail::FaultFixed(fault) if !fault.cause.is_empty() => vec![fault.cause.clone()],
        _ => Vec::new(),
    };
    let subjects = concerned(&record.name.subject, &record.content);
    Document {
        key: record.name.number,
        kind: Kind::Record,
        name: record.name.to_string(),
        title: record_text::title(record),
        body: record_text::body(record, titles),
        also: String::new(),
        causes,
        subjects: subjects.iter().map(ToString::to_string).collect(),
        time: Some(record.time),
    }
}
