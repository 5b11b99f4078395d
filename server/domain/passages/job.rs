//! Which job is a question about, and what does its procedure say of it: its tools, its time, its
//! cautions, its order, and what somebody who learnt it should be able to say?

use std::collections::BTreeSet;

use super::{Passages, Source};
use crate::domain::catalogue::{Acceptance, Knowledge, Procedure, StepReading};
use crate::domain::units::plain;
use crate::domain::wording::lower_first;

/// Jobs that fit about as well as the best are meant as well.
const AS_GOOD: f64 = 0.3;
/// So much of a title has to be asked about.
const NAMED_MIN: f64 = 0.15;
/// Questions made of one procedure.
pub const QUESTIONS_MAX: usize = 5;
/// A range that is wider only says what can be.
pub const NARROW_MAX: f64 = 10.0;
/// Other jobs that are named beside the one taken.
const NEAR_MAX: usize = 3;

/// The jobs whose titles hold the words, the best first.
pub fn jobs<'a>(
    knowledge: &'a Knowledge,
    passages: &Passages,
    asked: &[String],
) -> Vec<&'a Procedure> {
    let found = passages.find(asked, |source| matches!(source, Source::Procedure(_)));
    let named = found.iter().filter(|found| found.to_the_point >= NAMED_MIN);
    let best = named.clone().map(|found| found.score).fold(0.0, f64::max);
    named
        .filter(|found| best - found.score <= AS_GOOD)
        .filter_map(|found| match found.source {
            Source::Procedure(at) => knowledge.procedures.get(at),
            _ => None,
        })
        .collect()
}

pub fn tools(row: &Procedure) -> Vec<String> {
    if row.tools.is_empty() {
        return vec![format!("{}: no special tools.", row.title)];
    }
    vec![format!("{}: {}.", row.title, row.tools.join("; "))]
}

pub fn time(row: &Procedure) -> Vec<String> {
    let count = row.steps.len();
    vec![format!(
        "{}: about {} minutes, in {count} steps, proof included.",
        row.title,
        plain(row.minutes)
    )]
}

/// Every caution of these jobs, once, with what it says.
pub fn cautions(knowledge: &Knowledge, rows: &[&Procedure]) -> Vec<String> {
    let titles: Vec<&str> = rows.iter().map(|row| row.title.as_str()).collect();
    let mut lines = vec![format!("Cautions of {}:", titles.join("; "))];
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let ids = rows.iter().flat_map(|row| &row.steps).flat_map(|step| &step.cautions);
    for id in ids.filter(|id| seen.insert(id)) {
        let Some(row) = knowledge.caution(id) else { continue };
        let sign = if row.stops_work { "STOP" } else { "!" };
        lines.push(format!("  {sign} {}: {}", row.title, row.text));
    }
    lines
}

/// The steps by their titles.
pub fn order(row: &Procedure) -> Vec<String> {
    let mut lines = vec![format!("{}, in this order:", row.title)];
    lines.extend(row.steps.iter().zip(1..).map(|(step, at)| format!("  {at}. {}", step.title)));
    lines
}

/// How the training sheet is had, and what it asks; the jobs that fit as well.
pub fn sheet(rows: &[&Procedure]) -> Vec<String> {
    let Some(row) = rows.first() else { return Vec::new() };
    let mut lines = vec![
        format!(
            "Training sheet of \"{}\": say \"print it here\", or \"sward teach {}\" for paper.",
            row.title, row.id
        ),
        format!(
            "{} steps, about {} minutes, each with its why; it ends with questions:",
            row.steps.len(),
            plain(row.minutes)
        ),
    ];
    lines.extend(questions(row, QUESTIONS_MAX));
    if rows.len() > 1 {
        let others: Vec<&str> =
            rows[1..].iter().take(NEAR_MAX).map(|row| row.title.as_str()).collect();
        lines.push(format!("Or is it \"{}\"?", others.join("\", \"")));
    }
    lines
}

/// The sheet itself: every step with its why, its cautions by name, and its readings to fill in.
pub fn whole(knowledge: &Knowledge, row: &Procedure) -> Vec<String> {
    let mut lines = vec![
        format!("{} (about {} minutes). {}", row.title, plain(row.minutes), row.summary),
        format!("Tools: {}.", row.tools.join("; ")),
    ];
    for (step, at) in row.steps.iter().zip(1..) {
        lines.push(format!("[ ] {at}. {} Why: {}", step.title, step.why));
        let titles: Vec<&str> = step
            .cautions
            .iter()
            .filter_map(|id| knowledge.caution(id))
            .map(|row| row.title.as_str())
            .collect();
        if !titles.is_empty() {
            lines.push(format!("    ! {}", titles.join("; ")));
        }
        for reading in &step.readings {
            lines.push(format!("    {}: ______ (good: {})", reading.label, good_of(reading)));
        }
    }
    lines.extend(questions(row, QUESTIONS_MAX));
    lines.push("The machine's manual and local rules stand above this sheet.".to_owned());
    lines
}

/// The questions of the sheet with their answers.
pub fn answers(knowledge: &Knowledge, row: &Procedure) -> Vec<String> {
    let mut lines = vec![format!("{}, the answers:", row.title)];
    for (number, (at, _)) in questions_of(row).into_iter().take(QUESTIONS_MAX).enumerate() {
        let Some(step) = row.steps.get(at - 1) else { continue };
        let reading = step.readings.iter().rfind(|one| one.otherwise_step.is_some());
        let answer = match (number, reading) {
            (0, _) => step
                .cautions
                .iter()
                .filter_map(|id| knowledge.caution(id))
                .map(|row| row.title.as_str())
                .collect::<Vec<_>>()
                .join("; "),
            (1, Some(reading)) => {
                let back = reading.otherwise_step.and_then(|step| row.steps.get(step - 1));
                let back = back.map_or_else(String::new, |step| {
                    format!("; else back to \"{}\"", step.title)
                });
                format!("good is {}{back}", good_of(reading))
            }
            _ => step.why.trim_end_matches('.').to_owned(),
        };
        lines.push(format!("  {}. {answer} (step {at}).", number + 1));
    }
    lines
}

/// Questions for a learner, with the step that answers each.
pub fn quiz(row: &Procedure, wanted: usize) -> Vec<String> {
    let mut lines = vec![format!("{}:", row.title)];
    lines.extend(questions(row, wanted));
    lines.push(format!("\"And the answers\" tells them; \"sward teach {}\" prints them.", row.id));
    lines
}

fn questions(row: &Procedure, wanted: usize) -> Vec<String> {
    let told = questions_of(row).into_iter().take(wanted).zip(1..);
    told.map(|((step, text), at)| format!("  {at}. {text} (step {step})")).collect()
}

/// Each question with the step that answers it.
fn questions_of(row: &Procedure) -> Vec<(usize, String)> {
    let safe = row.steps.first().map(|_| {
        (1, "What makes this work safe before a hand goes near, and what does not?".to_owned())
    });
    let read = row.steps.iter().zip(1..).find_map(|(step, at)| {
        let reading = step.readings.iter().rfind(|one| one.otherwise_step.is_some())?;
        let label = reading.label.split(" (").next().unwrap_or_default();
        Some((at, format!("{label}: what is good, and what do you do when it is not?")))
    });
    let why = row.steps.iter().zip(1..).skip(1).map(|(step, at)| {
        let title = lower_first(&step.title);
        (at, format!("Why do we {title}?"))
    });
    safe.into_iter().chain(read).chain(why).collect()
}

/// What can go wrong in a job: the steps that lead back, with their whys.
pub fn wrong(row: &Procedure) -> Vec<String> {
    let mut lines = vec![format!("{}, where it goes wrong:", row.title)];
    for step in &row.steps {
        if step.readings.iter().any(|reading| reading.otherwise_step.is_some()) {
            lines.push(format!("  {}: {}", step.title, step.why));
        }
    }
    lines
}

/// A reading with its good values.
pub fn good(reading: &StepReading, row: &Procedure) -> String {
    format!("{}: {} is good (\"{}\").", reading.label, good_of(reading), row.title)
}

fn good_of(reading: &StepReading) -> String {
    let of = match reading.accept {
        Acceptance::Yes => "yes".to_owned(),
        Acceptance::Range { min, max } => {
            format!("{} to {} {}", plain(min), plain(max), reading.unit)
        }
    };
    of.trim_end().to_owned()
}
