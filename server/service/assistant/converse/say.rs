//! How do answers read in a conversation? The answer first, then why, then the caution, then what
//! it rests on. Short: the whole of it is in the message beside the lines.

use super::fields;
use crate::domain::units::plain;
use crate::pb;

/// Causes, steps and hits that are told.
const TOLD_MAX: usize = 3;
/// Rows of a list that are told.
const ROWS_MAX: usize = 200;

/// What every calculation answers beside its numbers.
pub struct Calculated<'a> {
    pub answer: &'a str,
    pub working: &'a [pb::WorkingStep],
    pub advisories: &'a [pb::Advisory],
    pub cautions: &'a [pb::Caution],
    pub references: &'a [pb::Reference],
    pub missing: &'a [pb::MissingInput],
}

pub fn calculation(of: &Calculated<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    if !of.answer.is_empty() {
        lines.push(of.answer.to_owned());
    }
    for missing in of.missing {
        let name = missing.field.replace('_', " ");
        lines.push(format!("I still need the {name}: {}", missing.why));
    }
    for step in of.working.iter().filter(|step| !step.expression.is_empty()) {
        let value = format!("{} {}", plain(step.value), step.unit);
        lines.push(format!("  {}: {} = {}", step.text, step.expression, value.trim_end()));
    }
    lines.extend(of.advisories.iter().map(|advisory| format!("  Note: {}", advisory.text)));
    lines.extend(cautions(of.cautions));
    if of.missing.is_empty() {
        lines.push(basis(of.references));
    }
    lines
}

/// What an answer rests on, each source once.
fn basis(references: &[pb::Reference]) -> String {
    let mut told: Vec<String> = Vec::new();
    for reference in references {
        let line = match reference.basis() {
            pb::Basis::Published => reference.citation.clone(),
            pb::Basis::FromMemory => format!("{} (from memory)", reference.citation),
            pb::Basis::Geometry => "geometry".to_owned(),
            pb::Basis::CommonPractice | pb::Basis::Unspecified => "common practice".to_owned(),
        };
        if !told.contains(&line) {
            told.push(line);
        }
    }
    if told.is_empty() {
        told.push("arithmetic on the numbers given".to_owned());
    }
    format!("Basis: {}", told.join("; "))
}

pub fn cautions(cautions: &[pb::Caution]) -> Vec<String> {
    let line = |caution: &pb::Caution| {
        let sign = if caution.stops_work { "STOP" } else { "!" };
        format!("  {sign} {}: {}", caution.title, caution.text)
    };
    cautions.iter().map(line).collect()
}

pub fn diagnosis(reply: &pb::DiagnoseResponse) -> Vec<String> {
    let mut lines = vec![reply.message.clone()];
    if reply.outcome() == pb::Outcome::Diagnosed {
        for cause in reply.causes.iter().take(TOLD_MAX) {
            lines.push(format!("  {:.0} in 100: {}", cause.probability * 100.0, cause.title));
        }
        let other = reply.other_cause_probability * 100.0;
        lines.push(format!("  {other:.0} in 100: none of the known causes"));
    }
    lines.extend(reply.history.iter().map(|line| format!("  {line}")));
    let heard: Vec<String> = reply
        .heard
        .iter()
        .map(|heard| if heard.present { heard.title.clone() } else { format!("not: {}", heard.title) })
        .collect();
    if !heard.is_empty() {
        lines.push(format!("Heard: {}", heard.join("; ")));
    }
    if !reply.unheard.is_empty() {
        lines.push(format!("Not used: {}", reply.unheard.join(" ")));
    }
    if let Some(step) = reply.next_steps.first() {
        lines.push(format!("Next ({:.0} min): {} {}", step.minutes, step.title, step.why));
        lines.extend(cautions(&step.cautions));
    } else {
        lines.extend(cautions(&reply.cautions));
    }
    if reply.outcome() == pb::Outcome::Diagnosed {
        lines.push(format!(
            "Basis: the decision table, knowledge {}; chances are judgement",
            reply.knowledge_version
        ));
    }
    lines
}

pub fn found(reply: &pb::SearchResponse) -> Vec<String> {
    let mut lines = Vec::new();
    if reply.hits.is_empty() {
        return vec!["Nothing was written down about that.".to_owned()];
    }
    for (number, hit) in (1..).zip(reply.hits.iter().take(TOLD_MAX)) {
        lines.push(format!("  {number}. {} [{}]", one_line(&hit.title), hit.name));
        if let Some(snippet) = &hit.snippet {
            lines.push(format!("     {}", one_line(&snippet.text)));
        }
    }
    let total = reply.total_size;
    lines.insert(0, match reply.hits.len() {
        shown if shown <= TOLD_MAX => format!("{total} found:"),
        _ => format!("{total} found; the first {TOLD_MAX}:"),
    });
    lines
}

pub fn procedure(reply: &pb::GetProcedureResponse) -> Vec<String> {
    let Some(row) = &reply.procedure else { return Vec::new() };
    let mut lines = vec![format!("{} ({} min)", row.title, plain(row.minutes))];
    for step in &row.steps {
        lines.push(format!("{}. {}", step.number, step.title));
        lines.extend(cautions(&step.cautions));
        lines.extend(step.text.lines().map(|line| format!("  {}", line.replace('`', ""))));
        lines.push(format!("  Why: {}", step.why));
    }
    lines
}

pub fn listed<'a>(rows: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    rows.take(ROWS_MAX).map(|(id, title)| format!("  {id}  {title}")).collect()
}

/// A record as one line of what it says.
pub fn record(request: &pb::CreateRecordRequest) -> Vec<String> {
    let Some(record) = &request.record else { return Vec::new() };
    let subject = match request.parent.as_str() {
        "" => "the shop as a whole",
        name => name.strip_prefix("sites/home/").unwrap_or(name),
    };
    let mut lines = vec![format!("  {}: {subject}", kind(record))];
    let said = fields::said(record);
    lines.extend(said.iter().map(|(field, value)| format!("    {field}: {value}")));
    lines
}

fn kind(record: &pb::Record) -> &'static str {
    use pb::record::Detail;
    match &record.detail {
        Some(Detail::Sharpening(_)) => "sharpening",
        Some(Detail::Adjustment(_)) => "adjustment",
        Some(Detail::PartReplaced(_)) => "part replaced",
        Some(Detail::HeightReading(_)) => "height reading",
        Some(Detail::Inspection(_)) => "inspection",
        Some(Detail::FaultFixed(_)) => "fault",
        Some(Detail::Hours(_)) => "hours",
        None => "record",
    }
}

/// Without line ends and other signs that would steer a terminal.
fn one_line(text: &str) -> String {
    text.chars().map(|ch| if ch.is_control() { ' ' } else { ch }).collect()
}
