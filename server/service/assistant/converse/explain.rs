//! Why is something so, and what is a thing of the catalogue? From notes, the whys of procedures
//! and the catalogue, each with what it rests on; nothing is said that is not written there.

use crate::domain::catalogue::{Basis, Knowledge, Note};
use crate::domain::danger;
use crate::domain::passages::form::Form;
use crate::domain::passages::told;
use crate::domain::units::plain;

/// Causes or findings that are named.
const NAMED_MAX: usize = 6;
/// A cause shows a finding when it does so in half the cases.
const SHOWS: f64 = 0.5;

/// Said where no passage answers.
const NOTHING: &str = "The knowledge here does not answer that, and the nearest words would only \
                       mislead. Ask it of one thing, or write a note of your own.";

/// Said where no job is named so.
const NO_JOB: &str = "No job here is named so; \"list the procedures\" names them all. \
                      Sheets and questions are made of jobs only, such as \"questions on lapping\".";

/// The passage that answers a question of this form, and where more stands.
pub fn told(knowledge: &Knowledge, form: Form, query: &str) -> Vec<String> {
    let passages = knowledge.passages();
    let found = told::answer(knowledge, passages, form, query);
    // A job's sheet is no passage that is near it.
    let near = || told::answer(knowledge, passages, Form::Why, query);
    let Some(found) = found.or_else(|| if form.of_a_job() { None } else { near() }) else {
        let nothing = if form.of_a_job() { NO_JOB } else { NOTHING };
        return vec![nothing.to_owned()];
    };
    let mut lines = found.lines;
    lines.extend(found.basis.map(|of| basis(&of, knowledge)));
    lines.extend(found.more.map(|(id, title)| format!("More: sward guide note {id} (\"{title}\")")));
    lines
}

/// What holds for safety, with what it rests on.
pub fn leave(knowledge: &Knowledge, id: &str) -> Option<(Vec<String>, Vec<String>)> {
    let row = knowledge.refusal(id)?;
    let source = knowledge.reference(&row.source);
    let rests = source.map_or(row.source.as_str(), |source| source.citation.as_str());
    let lines = vec![danger::answer(row), format!("Basis: {rests}")];
    Some((lines, row.cautions.clone()))
}

fn note(row: &Note) -> Vec<String> {
    let mut lines = vec![row.title.clone()];
    lines.extend(row.text.trim().lines().map(|line| format!("  {}", line.replace('`', ""))));
    lines
}

fn basis(of: &Basis, knowledge: &Knowledge) -> String {
    match of {
        Basis::Published(id) => {
            let row = knowledge.reference(id);
            format!("Basis: {}", row.map_or(id.as_str(), |row| row.citation.as_str()))
        }
        Basis::CommonPractice => "Basis: common practice".to_owned(),
        Basis::FromMemory => "Basis: from memory".to_owned(),
        Basis::Geometry => "Basis: geometry".to_owned(),
    }
}

/// What a finding, cause or procedure of this id is; none when there is none.
pub fn about(knowledge: &Knowledge, id: &str) -> Option<Vec<String>> {
    let mut lines = finding(knowledge, id)
        .or_else(|| cause(knowledge, id))
        .or_else(|| procedure(knowledge, id))?;
    let of = |row: &&Note| row.findings.iter().chain(&row.causes).any(|known| known == id);
    // The note that is about the least else is most about this.
    let row =
        knowledge.notes.iter().filter(of).min_by_key(|row| row.findings.len() + row.causes.len());
    if let Some(row) = row {
        lines.extend(note(row));
    }
    Some(lines)
}

fn finding(knowledge: &Knowledge, id: &str) -> Option<Vec<String>> {
    let row = knowledge.finding(id)?;
    let mut lines = vec![format!("{} ({id}). It is asked so: {}", row.title, row.question)];
    let mut shown: Vec<(f64, &str)> = Vec::new();
    for cell in knowledge.table.iter().filter(|cell| cell.finding == id) {
        let cause = knowledge.cause(cell.equipment, &cell.cause);
        let Some(cause) = cause.filter(|_| cell.probability >= SHOWS) else { continue };
        if !shown.iter().any(|(_, title)| *title == cause.title) {
            shown.push((cell.probability, &cause.title));
        }
    }
    shown.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    if !shown.is_empty() {
        lines.push("Causes that mostly show it:".to_owned());
        lines.extend(shown.iter().take(NAMED_MAX).map(|(_, title)| format!("  {title}")));
        lines.push("Basis: the decision table; chances are judgement".to_owned());
    }
    Some(lines)
}

fn cause(knowledge: &Knowledge, id: &str) -> Option<Vec<String>> {
    let row = knowledge.causes.iter().find(|row| row.id == id)?;
    let mut lines = vec![format!("{}: {}", row.title, row.remedy)];
    let shows = knowledge
        .table
        .iter()
        .filter(|cell| cell.cause == id && cell.equipment == row.equipment)
        .filter(|cell| cell.probability >= SHOWS)
        .filter_map(|cell| knowledge.finding(&cell.finding));
    let shows: Vec<&str> = shows.map(|finding| finding.title.as_str()).take(NAMED_MAX).collect();
    if !shows.is_empty() {
        lines.push(format!("It mostly shows: {}.", shows.join("; ")));
    }
    lines.push(format!("\"show {}\" walks you through the remedy.", row.procedure));
    Some(lines)
}

fn procedure(knowledge: &Knowledge, id: &str) -> Option<Vec<String>> {
    let row = knowledge.procedure(id)?;
    Some(vec![
        format!("{}: {}", row.title, row.summary),
        format!(
            "{} steps, about {} minutes; \"show {id}\" walks you through it.",
            row.steps.len(),
            plain(row.minutes)
        ),
    ])
}
