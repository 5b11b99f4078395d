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

/// The step as it may be shown now.
pub fn step_lines(knowledge: &Knowledge, view: &View<'_>) -> Vec<String> {
    let count = view.procedure.steps.len();
    let within = if view.depth > 0 { format!(" ({})", view.procedure.title) } else { String::new() };
    let mut lines = vec![format!("Step {} of {count}{within}: {}", view.number, view.step.title)];
    for id in &view.step.cautions {
        let row = knowledge.caution(id);
        let sign = if row.is_some_and(|row| row.stops_work) { "STOP" } else { "!" };
        lines.push(match row {
            Some(row) => format!("  {sign} {}: {}", row.title, row.text),
            None => format!("  {sign} {id}"),
        });
    }
    if !view.open {
        lines.push("Say \"ok\" when you have read this; then the step is shown.".to_owned());
        return lines;
    }
    lines.extend(view.step.text.lines().map(|line| format!("  {}", without_marks(line))));
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

fn without_marks(line: &str) -> String {
    line.replace('`', "")
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
        Some(bound) => format!("{word} {}", plain(bound)),
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
