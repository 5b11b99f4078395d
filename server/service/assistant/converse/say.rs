//! How do answers read in a conversation? The answer first, then why, then the caution, then what
//! it rests on. Short: the whole of it is in the message beside the lines.

use super::fields;
use crate::domain::intent::understood::label;
use crate::domain::units::plain;
use crate::domain::wording::{first_sentence, upper_first};
use crate::pb;

/// Causes, steps and hits that are told.
const TOLD_MAX: usize = 3;
/// Cautions of which a sentence is told.
const CAUTIONS_TOLD_MAX: usize = 3;
/// Rows of a list that are told.
const ROWS_MAX: usize = 200;

/// What every calculation answers beside its numbers.
pub struct Calculated<'a> {
    pub answer: &'a str,
    pub working: &'a [pb::WorkingStep],
    pub advisories: &'a [pb::Advisory],
    pub missing: &'a [pb::MissingInput],
}

/// Under a figure whose working is told when it is asked for.
pub const WORKING_HINT: &str = "(\"why\" shows the working)";
/// Sums that come to several figures, which their working tells apart.
const OF_SEVERAL: &[&str] = &[
    "PaperMap", "MatchUnits", "HeightPlan", "ReelWear", "RotaryLevel", "RepairCost",
    "ServiceInterval",
];

/// A sum as it is told.
pub struct Sum {
    pub lines: Vec<String>,
    /// Told when it is asked for; empty: it stands in the lines.
    pub working: Vec<String>,
    pub notes: Vec<String>,
}

/// The figure first; how it came about only where there are several, or one is still missing.
pub fn calculation(of: &Calculated<'_>, name: &str) -> Sum {
    let mut lines = Vec::new();
    if !of.answer.is_empty() {
        lines.push(of.answer.to_owned());
    }
    lines.extend(still_needed(of.missing));
    let steps = of.working.iter().filter(|step| !step.expression.is_empty());
    let mut working: Vec<String> = steps
        .map(|step| {
            let value = format!("{} {}", plain(step.value), step.unit);
            format!("  {}: {} = {}", step.text, step.expression, value.trim_end())
        })
        .collect();
    if OF_SEVERAL.contains(&name) || of.answer.is_empty() {
        lines.append(&mut working);
    }
    let notes: Vec<String> =
        of.advisories.iter().map(|advisory| format!("  Note: {}", advisory.text)).collect();
    lines.extend(notes.iter().cloned());
    let notes = [of.answer.to_owned()].into_iter().chain(notes).collect();
    Sum { lines, working, notes }
}

/// What has to be said first, in plain words; a reason that several share is told once.
pub fn still_needed(missing: &[pb::MissingInput]) -> Vec<String> {
    let mut told: Vec<&str> = Vec::new();
    missing.iter().map(|missing| {
        let bare = label(&missing.field);
        let name = match missing.field.strip_suffix("_count") {
            Some(of) if !of.ends_with('s') => format!("number of {bare}s"),
            _ => bare,
        };
        let why = missing.why.as_str();
        let new = !told.contains(&why);
        told.push(why);
        match missing.field.as_str() {
            // Which machine it was is asked as people ask.
            "parent" => upper_first(why),
            _ if new => format!("I still need the {name}: {why}"),
            _ => format!("I still need the {name}"),
        }
    }).collect()
}

/// What a calculation rests on; nothing while it waits for a number.
pub fn basis_of(references: &[pb::Reference], missing: &[pb::MissingInput]) -> Vec<String> {
    if missing.is_empty() { vec![basis(references)] } else { Vec::new() }
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
    cautions.iter().map(caution).collect()
}

pub fn caution(caution: &pb::Caution) -> String {
    let sign = if caution.stops_work { "STOP" } else { "!" };
    format!("  {sign} {}: {}", caution.title, caution.text)
}

/// Cautions of an answer that are told for the first time: what stops the work whole and first, of
/// the others one sentence each, and those beyond three by their names.
pub fn cautions_in_short(cautions: &[&pb::Caution]) -> Vec<String> {
    let (stops, others): (Vec<&pb::Caution>, Vec<&pb::Caution>) =
        cautions.iter().partition(|one| one.stops_work);
    let mut lines: Vec<String> = stops.into_iter().map(caution).collect();
    let told = others.iter().take(CAUTIONS_TOLD_MAX);
    lines.extend(told.map(|one| format!("  ! {}: {}", one.title, first_sentence(&one.text))));
    let more: Vec<&str> =
        others.iter().skip(CAUTIONS_TOLD_MAX).map(|one| one.title.as_str()).collect();
    match (more.is_empty(), others.is_empty()) {
        (false, _) => {
            lines.push(format!("  ! {} (\"cautions\" gives all of them whole)", more.join("; ")));
        }
        (true, false) => lines.push("  (\"cautions\" gives them whole)".to_owned()),
        (true, true) => {}
    }
    lines
}

/// Cautions that were told before: the first of them by their names, and how many more.
pub fn cautions_again(titles: &[&str]) -> Option<String> {
    let more = match titles.len().saturating_sub(CAUTIONS_TOLD_MAX) {
        0 => String::new(),
        more => format!("; {more} more"),
    };
    let named = &titles[..titles.len().min(CAUTIONS_TOLD_MAX)];
    (!titles.is_empty()).then(|| {
        format!("  ! As told before: {}{more} (\"cautions\" shows them again)", named.join("; "))
    })
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
        lines.extend(step.text.lines().map(|line| format!("  {line}")));
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

pub fn kind(record: &pb::Record) -> &'static str {
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
