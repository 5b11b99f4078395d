//! The training sheet as one HTML file: drawing, style and text inside it, black on white, made
//! for one sheet of A4 or letter paper.

use std::fmt::Write as _;

use sward_core::pb;

use super::{ABOVE_ALL, basis, drawing, good, letter_of, lettered, questions};

const STYLE: &str = "\
@page { size: A4; margin: 8mm }
* { box-sizing: border-box }
body { font: 7.6pt/1.22 sans-serif; color: #000; background: #fff;
  margin: 0 auto; max-width: 194mm }
h1 { font-size: 14pt; margin: 0 0 1mm }
h2 { font-size: 8.4pt; margin: 1.2mm 0 0.4mm; break-after: avoid }
p { margin: 0 0 0.6mm }
.head { display: flex; gap: 4mm; border-bottom: 1.5pt solid #000; padding-bottom: 1mm }
.head div { flex: 1 }
.head svg { width: 62mm; height: auto }
.columns { columns: 2; column-gap: 5mm; column-rule: 0.5pt solid #000; margin-top: 1mm }
.box { border: 1pt solid #000; padding: 0.6mm 1.2mm; margin-bottom: 1mm }
.step { break-inside: avoid }
.cautions { border-left: 2.5pt solid #000; padding-left: 1.2mm; font-weight: bold }
.why { font-style: italic }
table { border-collapse: collapse; width: 100%; margin: 0.4mm 0 }
td { border: 0.5pt solid #000; padding: 0.2mm 0.8mm; vertical-align: top }
td.found { width: 15mm }
ol { margin: 0; padding-left: 4.5mm }
.sign { display: flex; gap: 4mm; margin-top: 3mm }
.sign span { flex: 1; border-top: 0.75pt solid #000; padding-top: 0.4mm }
.small { font-size: 6.2pt; line-height: 1.15 }
.dense { font-size: 6.7pt; line-height: 1.18 }
";

/// Characters beyond which the smaller type is needed to stay on one sheet.
const DENSE_CHARACTERS: usize = 7_000;

pub fn sheet(row: &pb::Procedure, knowledge_version: &str) -> String {
    let mut out = String::from("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n");
    out.push_str("<meta charset=\"utf-8\">\n");
    let _ = writeln!(out, "<title>{}</title>\n<style>\n{STYLE}</style>", escaped(&row.title));
    let dense = if characters(row) > DENSE_CHARACTERS { " class=\"dense\"" } else { "" };
    let _ = writeln!(out, "</head>\n<body{dense}>");
    head(&mut out, row);
    out.push_str("<div class=\"columns\">\n");
    let letters = lettered(row);
    cautions(&mut out, &letters);
    for step in &row.steps {
        write_step(&mut out, step, &letters);
    }
    out.push_str("<h2>Questions for the trainee</h2>\n<ol>\n");
    for question in questions::of(row) {
        let _ = writeln!(out, "<li>{} (step {})</li>", escaped(&question.text), question.step);
    }
    out.push_str("</ol>\n</div>\n");
    out.push_str("<p class=\"sign\"><span>Trainee</span><span>Trainer</span>");
    out.push_str("<span>Unit</span><span>Date</span></p>\n");
    foot(&mut out, row, knowledge_version);
    out.push_str("</body>\n</html>\n");
    out
}

/// About how much there is to print.
fn characters(row: &pb::Procedure) -> usize {
    let step = |step: &pb::ProcedureStep| {
        let readings: usize = step.readings.iter().map(|reading| reading.label.len() + 40).sum();
        step.title.len() + step.text.len() + step.why.len() + readings
    };
    let cautions: usize = lettered(row).iter().map(|(_, caution)| caution.text.len()).sum();
    row.steps.iter().map(step).sum::<usize>() + cautions
}

fn head(out: &mut String, row: &pb::Procedure) {
    let _ = writeln!(out, "<div class=\"head\"><div>\n<h1>{}</h1>", escaped(&row.title));
    let _ = writeln!(out, "<p>{}</p>", escaped(&row.summary));
    let _ = writeln!(out, "<p><b>Time:</b> about {} minutes</p>", row.minutes);
    if !row.tools.is_empty() {
        let _ = writeln!(out, "<p><b>Tools:</b> {}</p>", escaped(&row.tools.join("; ")));
    }
    let _ = writeln!(out, "<p><b>{ABOVE_ALL}</b></p>\n</div>");
    out.push_str(&drawing::of(row));
    out.push_str("</div>\n");
}

fn cautions(out: &mut String, letters: &[(String, &pb::Caution)]) {
    if letters.is_empty() {
        return;
    }
    out.push_str("<div class=\"box\">\n<b>Cautions, named by letter above each step</b>\n");
    for (letter, caution) in letters {
        let stop = if caution.stops_work { "STOP: " } else { "" };
        let _ = writeln!(
            out,
            "<p><b>{letter}. {stop}{}.</b> {}</p>",
            escaped(&caution.title),
            escaped(&caution.text)
        );
    }
    out.push_str("</div>\n");
}

fn write_step(out: &mut String, step: &pb::ProcedureStep, letters: &[(String, &pb::Caution)]) {
    let _ = writeln!(
        out,
        "<div class=\"step\">\n<h2>{}. {}</h2>",
        step.number,
        escaped(&step.title)
    );
    if !step.cautions.is_empty() {
        let named = step.cautions.iter().map(|caution| {
            format!("{} {}", letter_of(letters, &caution.id), escaped(&caution.title))
        });
        let named: Vec<String> = named.collect();
        let _ = writeln!(out, "<p class=\"cautions\">! {}</p>", named.join(" &middot; "));
    }
    let text: Vec<String> = step.text.lines().map(escaped).collect();
    let _ = writeln!(out, "<p>{}</p>", text.join(" "));
    let _ = writeln!(out, "<p class=\"why\">Why: {}</p>", escaped(&step.why));
    if !step.readings.is_empty() {
        out.push_str("<table>\n");
        for reading in &step.readings {
            let back = match reading.otherwise_step {
                0 => "else: keep it".to_owned(),
                step => format!("else: step {step}"),
            };
            let _ = writeln!(
                out,
                "<tr><td>{}</td><td>{}; {back}</td><td class=\"found\"></td></tr>",
                escaped(&reading.label),
                escaped(&good(reading))
            );
        }
        out.push_str("</table>\n");
    }
    if !step.calculation.is_empty() {
        let name = step.calculation.replace('_', "-");
        let _ = writeln!(out, "<p>Work it out: sward compute {name}</p>");
    }
    out.push_str("</div>\n");
}

fn foot(out: &mut String, row: &pb::Procedure, knowledge_version: &str) {
    let sources: Vec<String> =
        row.references.iter().map(|reference| escaped(&reference.citation)).collect();
    let _ = writeln!(
        out,
        "<p class=\"small\">Basis: {}. {} Knowledge {}.</p>",
        basis(row),
        sources.join(" &middot; "),
        escaped(knowledge_version)
    );
}

pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
