//! Why is something so, and what is a thing of the catalogue? From notes, the whys of procedures
//! and the catalogue, each with what it rests on; nothing is said that is not written there.

use crate::domain::catalogue::{Basis, Knowledge, Note, Procedure, Step};
use crate::domain::language::text::{stem, tokens};
use crate::domain::units::plain;
use crate::pb;

/// Causes or findings that are named.
const NAMED_MAX: usize = 6;
/// A cause shows a finding when it does so in half the cases.
const SHOWS: f64 = 0.5;

/// The best note in full, else the step whose why fits best; and where more stands.
pub fn why(knowledge: &Knowledge, query: &str, reply: &pb::SearchResponse) -> Vec<String> {
    let ids = |folder: &'static str| {
        reply.hits.iter().filter_map(move |hit| hit.name.strip_prefix(folder))
    };
    let mut notes = ids("notes/").filter_map(|id| knowledge.notes.iter().find(|row| row.id == id));
    let best = notes.next();
    let step = ids("procedures/")
        .filter_map(|id| knowledge.procedure(id))
        .take(NAMED_MAX)
        .filter_map(|row| likest_step(row, query))
        .max_by_key(|(_, _, shared)| *shared);
    let mut lines: Vec<String> = best.into_iter().flat_map(note).collect();
    if let Some((row, step, _)) = step.filter(|_| best.is_none()) {
        lines.push(format!("In \"{}\", {}: {}", row.title, step.title.to_lowercase(), step.why));
        lines.push(basis(&row.basis, knowledge));
    }
    if lines.is_empty() {
        return vec!["Nothing here says why.".to_owned()];
    }
    lines.extend(best.map(|note| basis(&note.basis, knowledge)));
    if let Some(next) = notes.next() {
        lines.push(format!("More: sward guide note {} (\"{}\")", next.id, next.title));
    }
    lines
}

fn note(row: &Note) -> Vec<String> {
    let mut lines = vec![row.title.clone()];
    lines.extend(row.text.trim().lines().map(|line| format!("  {}", line.replace('`', ""))));
    lines
}

/// The step of a procedure that shares most words with the query, two at least.
fn likest_step<'a>(row: &'a Procedure, query: &str) -> Option<(&'a Procedure, &'a Step, usize)> {
    let asked: Vec<String> = tokens(query).iter().map(|token| token.stem.clone()).collect();
    let shared = |step: &Step| {
        let said: Vec<String> = tokens(&format!("{} {}", step.title, step.why))
            .iter()
            .map(|one| stem(&one.text))
            .collect();
        asked.iter().filter(|word| said.contains(word)).count()
    };
    let best = row.steps.iter().map(|step| (step, shared(step)));
    let (step, count) = best.reduce(|best, one| if one.1 > best.1 { one } else { best })?;
    (count >= 2).then_some((row, step, count))
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
