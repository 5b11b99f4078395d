//! How is what was understood told in one plain sentence?
//! Deliberately absent: British or American; whoever shows it sees to that.

use jiff::ZonedDateTime;

use super::settle::{Settled, unit_of_field};
use crate::domain::records::choices::Choice as _;
use crate::domain::records::{Content, Detail, SubjectName};
use crate::domain::units::{Kind, plain};

/// A field's name as people read it: without its unit and underscores.
pub fn label(field: &str) -> String {
    const ENDINGS: &[&str] = &[
        "_mm_per_day",
        "_mm_per_s",
        "_ha_per_h",
        "_mm_per_h",
        "_g_mm",
        "_g",
        "_mm",
        "_mps",
        "_rpm",
        "_deg",
        "_days",
        "_kg",
        "_kpa",
        "_ha",
        "_h",
        "_n",
        "_fraction",
        "_min",
        "_count",
    ];
    let last = field.rsplit('.').next().unwrap_or(field);
    let bare = last.split('[').next().unwrap_or(last);
    let ending =
        ENDINGS.iter().find(|ending| bare.ends_with(**ending) && bare.len() > ending.len());
    let bare = ending.map_or(bare, |ending| &bare[..bare.len() - ending.len()]);
    bare.replace('_', " ")
}

fn value(field: &str, settled: &Settled) -> String {
    let last = field.rsplit('.').next().unwrap_or(field).split('[').next().unwrap_or(field);
    let unit = unit_of_field(last);
    match unit.kind {
        Kind::Number | Kind::Share => plain(settled.value),
        _ => format!("{} {}", plain(settled.value), unit.symbol),
    }
}

/// "Work out clip spacing from ground speed 1.6667 m/s, blades 11, ...".
pub fn computed(solve_for: &str, placed: &[(usize, String, Settled)]) -> String {
    let given: Vec<String> = placed
        .iter()
        .map(|(_, field, settled)| format!("{} {}", label(field), value(field, settled)))
        .collect();
    let from = if given.is_empty() { String::new() } else { format!(" from {}", given.join(", ")) };
    format!("Work out {}{from}.", label(solve_for))
}

/// "Record part replaced on fairway-1, unit 5: bedknife, machine hours 1412 h; on 28 Nov 2026."
pub fn recorded(
    records: &[(SubjectName, Content)],
    time: Option<&ZonedDateTime>,
    placed: &[(usize, String, Settled)],
) -> String {
    let mut kinds: Vec<String> = Vec::new();
    let mut subjects: Vec<String> = Vec::new();
    let mut given: Vec<String> = Vec::new();
    for (name, content) in records {
        let (kind, name) = (said(content.kind().id()), short(name));
        if !kinds.contains(&kind) {
            given.extend(matter(&content.detail));
            kinds.push(kind);
        }
        if !subjects.contains(&name) {
            subjects.push(name);
        }
    }
    let kind = kinds.join(" and ");
    given.extend(
        placed.iter().map(|(_, field, settled)| format!("{} {}", label(field), value(field, settled))),
    );
    let what = if given.is_empty() { String::new() } else { format!(": {}", given.join(", ")) };
    let day = time.map_or(String::new(), |time| format!("; on {}", time.strftime("%-d %b %Y")));
    format!("Record {kind} on {}{what}{day}.", subjects.join(" and "))
}

/// What was done or found, beside the numbers.
fn matter(detail: &Detail) -> Vec<String> {
    match detail {
        Detail::PartReplaced(detail) => detail.parts.iter().map(|part| part.part.clone()).collect(),
        Detail::Sharpening(detail) => detail.method.iter().map(|how| said(how.id())).collect(),
        Detail::Adjustment(detail) => detail.target.iter().map(|what| said(what.id())).collect(),
        Detail::FaultFixed(detail) => {
            let texts = [&detail.fault, &detail.found, &detail.action];
            texts.into_iter().filter(|text| !text.is_empty()).cloned().collect()
        }
        Detail::HeightReading(_) | Detail::Inspection(_) | Detail::Hours(_) => Vec::new(),
    }
}

/// An id as words.
fn said(id: &str) -> String {
    id.replace('_', " ")
}

/// A subject without its site and kinds.
pub fn short(name: &SubjectName) -> String {
    match name {
        SubjectName::Site { .. } => "the shop".to_owned(),
        SubjectName::Machine { machine, .. } => machine.to_string(),
        SubjectName::Unit { machine, unit, .. } => format!("{machine}, unit {unit}"),
        SubjectName::Area { area, .. } => area.to_string(),
    }
}
