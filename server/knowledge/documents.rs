//! What do the cautions, refusals, procedures and notes say?

use serde::Deserialize;
use toml::Spanned;

use super::tables::{BASIS_REMEDY, WORK_MINUTES, basis};
use super::{File, Problems, files_in, text_of};
use crate::domain::catalogue::{
    Acceptance, Basis, Caution, Equipment, Guard, Knowledge, Note, Procedure, Refusal, Step,
    StepReading,
};

pub fn read(files: &[File], knowledge: &mut Knowledge, problems: &mut Problems) {
    knowledge.cautions = cautions(files, problems);
    knowledge.refusals = refusals(files, problems);
    for file in files_in(files, "procedures/", ".md") {
        knowledge.procedures.extend(procedure(file, problems));
    }
    for file in files_in(files, "notes/", ".md") {
        knowledge.notes.extend(note(file, problems));
    }
    knowledge.cautions.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.refusals.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.procedures.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.notes.sort_by(|a, b| a.id.cmp(&b.id));
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CautionFile {
    caution: Vec<CautionRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CautionRow {
    id: String,
    title: String,
    text: String,
    source: String,
    #[serde(default)]
    stops_work: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RefusalFile {
    refusal: Vec<RefusalRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RefusalRow {
    id: String,
    #[serde(default)]
    guard: Guard,
    title: String,
    cautions: Vec<String>,
    safe_way: String,
    source: String,
}

fn cautions(files: &[File], problems: &mut Problems) -> Vec<Caution> {
    let file: Option<CautionFile> = toml_file(files, "cautions.toml", problems);
    let rows = file.map(|file| file.caution).unwrap_or_default();
    rows.into_iter()
        .map(|row| Caution {
            id: row.id,
            title: row.title,
            text: row.text,
            source: row.source,
            stops_work: row.stops_work,
        })
        .collect()
}

fn refusals(files: &[File], problems: &mut Problems) -> Vec<Refusal> {
    let file: Option<RefusalFile> = toml_file(files, "refusals.toml", problems);
    let rows = file.map(|file| file.refusal).unwrap_or_default();
    rows.into_iter()
        .map(|row| Refusal {
            id: row.id,
            guard: row.guard,
            title: row.title,
            cautions: row.cautions,
            safe_way: row.safe_way,
            source: row.source,
        })
        .collect()
}

fn toml_file<T: for<'de> Deserialize<'de>>(
    files: &[File],
    path: &str,
    problems: &mut Problems,
) -> Option<T> {
    let Some(text) = text_of(files, path) else {
        problems.add(path, 0, "the file is missing", "put it back");
        return None;
    };
    match toml::from_str(text) {
        Ok(value) => Some(value),
        Err(error) => {
            let line = error.span().map_or(0, |span| line_at(text, span.start));
            problems.add(path, line, error.message().to_owned(), "see knowledge/README.md");
            None
        }
    }
}

fn line_at(text: &str, byte: usize) -> usize {
    text[..byte.min(text.len())].matches('\n').count() + 1
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProcedureHead {
    id: String,
    title: String,
    equipment: Spanned<Vec<String>>,
    minutes: Spanned<f64>,
    #[serde(default)]
    tools: Vec<String>,
    basis: Spanned<String>,
    #[serde(default)]
    references: Vec<String>,
    summary: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NoteHead {
    id: String,
    title: String,
    equipment: Spanned<Vec<String>>,
    #[serde(default)]
    findings: Vec<String>,
    #[serde(default)]
    causes: Vec<String>,
    basis: Spanned<String>,
    #[serde(default)]
    references: Vec<String>,
}

/// A document: its head, its body, and the line the body starts on.
fn document<'a, T: for<'de> Deserialize<'de>>(
    file: &'a File,
    problems: &mut Problems,
) -> Option<(T, &'a str, usize)> {
    let remedy = "begin with +++, the head, +++ on lines of their own";
    let Some(rest) = file.text.strip_prefix("+++\n") else {
        problems.add(&file.path, 1, "no head", remedy);
        return None;
    };
    let Some((head, body)) = rest.split_once("\n+++\n") else {
        problems.add(&file.path, 1, "the head has no end", remedy);
        return None;
    };
    let body_line = 2 + head.lines().count() + 1;
    match toml::from_str(head) {
        Ok(value) => Some((value, body, body_line)),
        Err(error) => {
            let line = error.span().map_or(1, |span| 1 + line_at(head, span.start));
            problems.add(&file.path, line, error.message().to_owned(), "see knowledge/README.md");
            None
        }
    }
}

fn kinds(file: &File, names: &Spanned<Vec<String>>, problems: &mut Problems) -> Vec<Equipment> {
    let line = 1 + line_at(&file.text[4..], names.span().start);
    let mut out = Vec::new();
    for name in names.get_ref() {
        match Equipment::from_id(name) {
            Some(kind) => out.push(kind),
            None => {
                let what = format!("equipment holds \"{name}\"");
                problems.add(&file.path, line, what, "use the ids of knowledge/README.md");
            }
        }
    }
    out
}

fn head_basis(file: &File, text: &Spanned<String>, problems: &mut Problems) -> Basis {
    let line = 1 + line_at(&file.text[4..], text.span().start);
    basis(text.get_ref()).unwrap_or_else(|| {
        problems.add(&file.path, line, format!("basis is \"{}\"", text.get_ref()), BASIS_REMEDY);
        Basis::FromMemory
    })
}

/// The id of a document, which is its file's name. Where they differ the file's name is taken, so
/// that whatever else is wrong is told of a file that is there.
fn named_as_file(file: &File, id: String, problems: &mut Problems) -> String {
    let name = file.path.rsplit('/').next().unwrap_or_default();
    let stem = name.strip_suffix(".md").unwrap_or(name);
    if stem != id {
        let what = format!("the id \"{id}\" is not the file's name");
        problems.add(&file.path, 2, what, "name the file after its id");
    }
    stem.to_owned()
}

/// Minutes of a procedure, within what a working day or two can hold.
fn head_minutes(file: &File, minutes: &Spanned<f64>, problems: &mut Problems) -> f64 {
    let number = *minutes.get_ref();
    if !(WORK_MINUTES.0..=WORK_MINUTES.1).contains(&number) {
        let line = 1 + line_at(&file.text[4..], minutes.span().start);
        let (least, most) = WORK_MINUTES;
        let what = format!("minutes is {number}, outside {least} to {most}");
        problems.add(&file.path, line, what, "give the minutes the work usually takes");
    }
    number
}

fn note(file: &File, problems: &mut Problems) -> Option<Note> {
    let (head, body, _): (NoteHead, _, _) = document(file, problems)?;
    Some(Note {
        equipment: kinds(file, &head.equipment, problems),
        basis: head_basis(file, &head.basis, problems),
        id: named_as_file(file, head.id, problems),
        title: head.title,
        findings: head.findings,
        causes: head.causes,
        references: head.references,
        text: body.trim().to_owned(),
    })
}

fn procedure(file: &File, problems: &mut Problems) -> Option<Procedure> {
    let (head, body, line): (ProcedureHead, _, _) = document(file, problems)?;
    let steps = steps(file, body, line, problems);
    if steps.is_empty() {
        problems.add(&file.path, line, "no steps", "write each step under \"## 1. Title\"");
    }
    Some(Procedure {
        equipment: kinds(file, &head.equipment, problems),
        basis: head_basis(file, &head.basis, problems),
        id: named_as_file(file, head.id, problems),
        title: head.title,
        minutes: head_minutes(file, &head.minutes, problems),
        tools: head.tools,
        summary: head.summary,
        references: head.references,
        steps,
    })
}

fn steps(file: &File, body: &str, first_line: usize, problems: &mut Problems) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for (at, line) in body.lines().enumerate() {
        let number = first_line + at;
        if let Some(heading) = line.strip_prefix("## ") {
            let title = heading.split_once(". ").map_or(heading, |(_, title)| title);
            steps.push(Step { title: title.trim().to_owned(), ..Step::default() });
            continue;
        }
        let Some(step) = steps.last_mut() else { continue };
        if step.text.is_empty()
            && let Some((key, value)) = line.split_once(':')
            && step_field(step, key.trim(), value.trim()).unwrap_or_else(|what| {
                problems.add(&file.path, number, what, "see knowledge/README.md, Procedures");
                true
            })
        {
            continue;
        }
        if !line.trim().is_empty() || !step.text.is_empty() {
            step.text.push_str(line.trim_end());
            step.text.push('\n');
        }
    }
    for step in &mut steps {
        step.text.truncate(step.text.trim_end().len());
    }
    steps
}

/// Whether the line was a field of the step.
fn step_field(step: &mut Step, key: &str, value: &str) -> Result<bool, String> {
    match key {
        "cautions" => {
            let ids = value.split([',', '|']).map(str::trim).filter(|id| !id.is_empty());
            step.cautions = ids.map(str::to_owned).collect();
        }
        "why" => step.why = value.to_owned(),
        "compute" => step.compute = Some(value.to_owned()),
        "reading" => step.readings.push(reading(value)?),
        _ => return Ok(false),
    }
    Ok(true)
}

/// `id; unit; label; MIN..MAX or yes; else STEP`
fn reading(value: &str) -> Result<StepReading, String> {
    let cells: Vec<&str> = value.split(';').map(str::trim).collect();
    let [id, unit, label, accept, rest @ ..] = cells.as_slice() else {
        return Err(format!("the reading \"{value}\" has too few parts"));
    };
    let accept = if *accept == "yes" {
        Acceptance::Yes
    } else {
        let range = accept.split_once("..").and_then(|(min, max)| {
            Some((min.trim().parse().ok()?, max.trim().parse().ok()?))
        });
        let Some((min, max)) = range.filter(|(min, max): &(f64, f64)| min <= max) else {
            return Err(format!("the reading's range is \"{accept}\""));
        };
        Acceptance::Range { min, max }
    };
    let otherwise_step = match rest {
        [] | [""] => None,
        [otherwise, ..] => {
            let number = otherwise.trim_start_matches("else").trim();
            let number = number.trim_start_matches("step").trim();
            Some(number.parse().map_err(|_| format!("\"{otherwise}\" names no step"))?)
        }
    };
    let (id, unit, label) = ((*id).to_owned(), (*unit).to_owned(), (*label).to_owned());
    Ok(StepReading { id, unit, label, accept, otherwise_step })
}
