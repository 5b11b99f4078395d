//! The training sheet as Markdown.

use std::fmt::Write as _;

use sward_core::pb;

use super::{ABOVE_ALL, basis, good, letter_of, lettered, questions};

pub fn sheet(row: &pb::Procedure, knowledge_version: &str) -> String {
    let mut out = format!("# {}\n\n", row.title);
    let _ = writeln!(out, "{}\n\n**Time:** about {} minutes", row.summary, row.minutes);
    if !row.tools.is_empty() {
        let _ = writeln!(out, "**Tools:** {}", row.tools.join("; "));
    }
    let _ = writeln!(out, "\n> {ABOVE_ALL}\n\n## Cautions\n");
    let letters = lettered(row);
    for (letter, caution) in &letters {
        let stop = if caution.stops_work { "STOP: " } else { "" };
        let _ = writeln!(out, "- **{letter}. {stop}{}.** {}", caution.title, caution.text);
    }
    for step in &row.steps {
        write_step(&mut out, step, &letters);
    }
    out.push_str("\n## Questions for the trainee\n\n");
    for (number, question) in (1..).zip(questions::of(row)) {
        let _ = writeln!(out, "{number}. {} *(step {})*", question.text, question.step);
    }
    out.push_str("\n## Signed off\n\n");
    out.push_str("Trainee ____________  Trainer ____________  Unit ________  Date ________\n\n");
    let _ = writeln!(out, "Basis: {}. Knowledge {knowledge_version}.", basis(row));
    for reference in &row.references {
        let _ = writeln!(out, "- {}: {}", reference.id, reference.citation);
    }
    out
}

fn write_step(out: &mut String, step: &pb::ProcedureStep, letters: &[(String, &pb::Caution)]) {
    let _ = writeln!(out, "\n## {}. {}\n", step.number, step.title);
    if !step.cautions.is_empty() {
        let named = step.cautions.iter().map(|caution| {
            format!("**{}** {}", letter_of(letters, &caution.id), caution.title)
        });
        let named: Vec<String> = named.collect();
        let _ = writeln!(out, "Cautions first: {}\n", named.join("; "));
    }
    for line in step.text.lines() {
        let _ = writeln!(out, "{line}");
    }
    let _ = writeln!(out, "\n*Why: {}*", step.why);
    if !step.readings.is_empty() {
        out.push_str("\n| Read | Good | Otherwise | Found |\n| --- | --- | --- | --- |\n");
    }
    for reading in &step.readings {
        let back = match reading.otherwise_step {
            0 => "keep it".to_owned(),
            step => format!("back to step {step}"),
        };
        let label = reading.label.replace('|', "/");
        let _ = writeln!(out, "| {label} | {} | {back} | |", good(reading));
    }
    if !step.calculation.is_empty() {
        let name = step.calculation.replace('_', "-");
        let _ = writeln!(out, "\nWork it out: `sward compute {name}`");
    }
}
