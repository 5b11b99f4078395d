//! How does a walk look in plain lines? The cautions stand above the step they belong to; a step
//! whose cautions were not acknowledged shows nothing but its title and them.

use crate::domain::catalogue::{Knowledge, Procedure};
use crate::domain::units::plain;

use super::reading::{Judgement, Value, value_text, wanted};
use super::{Checked, View};

/// What somebody should know before the first step.
pub fn opening_lines(procedure: &Procedure) -> Vec<String> {
    let count = procedure.steps.len();
    let mut lines = vec![
        format!("{}: {count} steps, about {} minutes.", procedure.title, plain(procedure.minutes)),
        procedure.summary.clone(),
    ];
    if !procedure.tools.is_empty() {
        lines.push(format!("Tools: {}.", procedure.tools.join("; ")));
    }
    lines
}

/// The step as it may be shown now, its cautions in full.
pub fn step_lines(knowledge: &Knowledge, view: &View<'_>) -> Vec<String> {
    let mut lines = vec![heading(view)];
    lines.extend(view.step.cautions.iter().map(|id| caution_line(knowledge, id)));
    if view.open {
        lines.extend(body(knowledge, view));
    } else {
        lines.push("Say \"ok\" when you have read this; then the step is shown.".to_owned());
    }
    lines
}

/// The step right after its cautions were shown in full and acknowledged: they are named again, and
/// those that stop the work stand in full.
pub fn opened_lines(knowledge: &Knowledge, view: &View<'_>) -> Vec<String> {
    if !view.open {
        return step_lines(knowledge, view);
    }
    let stops = |id: &&String| knowledge.caution(id).is_none_or(|row| row.stops_work);
    let (full, named): (Vec<&String>, Vec<&String>) = view.step.cautions.iter().partition(stops);
    let mut lines = vec![heading(view)];
    lines.extend(full.into_iter().map(|id| caution_line(knowledge, id)));
    let titles: Vec<&str> = named
        .into_iter()
        .filter_map(|id| knowledge.caution(id))
        .map(|row| row.title.as_str())
        .collect();
    if !titles.is_empty() {
        lines.push(format!("  ! {}", titles.join("; ")));
    }
    lines.extend(body(knowledge, view));
    lines
}

/// The next value of a step that is shown already.
pub fn next_reading_lines(knowledge: &Knowledge, view: &View<'_>) -> Vec<String> {
    match view.asked.filter(|_| view.open) {
        Some(asked) => vec![format!("Read: {}", wanted(asked))],
        None => opened_lines(knowledge, view),
    }
}

fn heading(view: &View<'_>) -> String {
    let count = view.procedure.steps.len();
    let within = if view.depth > 0 { format!(" ({})", view.procedure.title) } else { String::new() };
    format!("Step {} of {count}{within}: {}", view.number, view.step.title)
}

fn caution_line(knowledge: &Knowledge, id: &str) -> String {
    let row = knowledge.caution(id);
    let sign = if row.is_some_and(|row| row.stops_work) { "STOP" } else { "!" };
    match row {
        Some(row) => format!("  {sign} {}: {}", row.title, row.text),
        None => format!("  {sign} {id}"),
    }
}

/// What to do, and what is asked.
fn body(knowledge: &Knowledge, view: &View<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let text = knowledge.with_titles(&view.step.text);
    lines.extend(text.lines().map(|line| format!("  {line}")));
    for procedure in &view.within {
        lines.push(format!(
            "  {} is a job of its own ({} steps): say \"show {}\" to be walked through it.",
            procedure.title,
            procedure.steps.len(),
            procedure.id
        ));
    }
    lines.push(match view.asked {
        Some(asked) => format!("Read: {}", wanted(asked)),
        None => "Say \"done\" when this step is done.".to_owned(),
    });
    lines
}

/// Why the step is as it is.
pub fn why_lines(view: &View<'_>) -> Vec<String> {
    vec![format!("Step {}: {}", view.number, view.step.why)]
}

/// A reading held against what is good, and what follows.
pub fn checked_line(checked: &Checked) -> String {
    let Checked { read, label, unit, judgement, back_to, .. } = checked;
    let value = value_text(&read.value, unit);
    let how = if read.worked_out.is_empty() {
        String::new()
    } else {
        format!(" ({})", read.worked_out)
    };
    let found = format!("{}: {value}{how}", bare(label));
    let bounds = |word: &str, bound: Option<f64>| match bound {
        Some(bound) => format!("{word} {}", value_text(&Value::Number(bound), unit)),
        None => "not good".to_owned(),
    };
    let (min, max) = checked.range();
    let verdict = match judgement {
        Judgement::Good => return format!("{found}. Good."),
        Judgement::Over => bounds("over", max),
        Judgement::Under => bounds("under", min),
        Judgement::NotSo => "not as it should be".to_owned(),
    };
    match back_to {
        Some(step) if *step == read.step => {
            format!("{found}, {verdict}: do step {step} again.")
        }
        Some(step) => format!("{found}, {verdict}: go back to step {step}."),
        None => format!("{found}, {verdict}. It is kept as it is."),
    }
}

/// A label without what stands in brackets behind it.
fn bare(label: &str) -> &str {
    label.split(" (").next().unwrap_or(label)
}

impl Checked {
    fn range(&self) -> (Option<f64>, Option<f64>) {
        match (&self.read.value, self.accepted) {
            (Value::Number(_), Some((min, max))) => (Some(min), Some(max)),
            _ => (None, None),
        }
    }
}
