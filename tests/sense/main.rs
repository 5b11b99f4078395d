//! How is the judgement fitted that asks whether what was heard makes sense (`domain::sense`)?
//!
//! `cargo run --release --example sense -- tests/cases > examples.csv` hears the complaints of each
//! author with a model that has not met them (their own are left out of `phrasings/told*.tsv`), and
//! prints what was weighed and whether it was really said: a quarter of an hour.
//! `cargo run --release --example sense -- examples.csv > server/domain/sense_weights.csv` fits the
//! network to that in seconds. Both print the same bytes every time.

mod fit;

use std::path::{Path, PathBuf};

use serde_json::Value;
use sward_core::domain::catalogue::{Equipment, Knowledge};
use sward_core::domain::complaint::{Models, Question};
use sward_core::domain::sense::{SIGNS, signs};
use sward_core::knowledge::{self, File};

/// Complaints of authors whose misses nobody has read: they are kept to judge the result.
const KEPT: &str = "_unread";

fn main() -> Result<(), String> {
    let named = std::env::args().nth(1).ok_or("name the directory of cases, or the examples")?;
    let named = Path::new(&named);
    if named.is_dir() {
        show(&heard(named)?);
    } else {
        let text = std::fs::read_to_string(named).map_err(|error| error.to_string())?;
        if text.lines().count() < 2 {
            return Err(format!("{} holds no examples", named.display()));
        }
        print!("{}", fit::fitted(&examples(&text)?).table());
    }
    Ok(())
}

/// What every author but those kept said, and what was heard of it.
fn heard(cases: &Path) -> Result<Vec<fit::Example>, String> {
    let files = knowledge::files_of(Path::new("knowledge")).map_err(|error| error.to_string())?;
    let mut examples = Vec::new();
    for path in complaints(cases)? {
        let author = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        eprintln!("{author}");
        let (known, _, problems) = knowledge::read(&without(&files, &author), None);
        if let Some(problem) = problems.first() {
            return Err(problem.to_string());
        }
        let models = Models::new(&known).map_err(|error| error.to_string())?;
        let text = std::fs::read_to_string(&path).map_err(|error| error.to_string())?;
        for line in text.lines() {
            let row = serde_json::from_str(line).map_err(|error| format!("{author}: {error}"))?;
            hear((&known, &models), &row, &mut examples)?;
        }
    }
    Ok(examples)
}

/// The examples as a table.
fn show(examples: &[fit::Example]) {
    println!("said,{}", SIGNS.join(","));
    for example in examples {
        let signs: Vec<String> = example.signs.iter().map(|sign| format!("{sign:.4}")).collect();
        println!("{},{}", u8::from(example.said), signs.join(","));
    }
}

/// The examples of such a table.
fn examples(text: &str) -> Result<Vec<fit::Example>, String> {
    let row = |line: &str| -> Option<fit::Example> {
        let cells: Option<Vec<f64>> = line.split(',').map(|cell| cell.parse().ok()).collect();
        let (said, signs) = cells.as_deref()?.split_first()?;
        Some(fit::Example { signs: signs.try_into().ok()?, said: *said > 0.5 })
    };
    let lines = text.lines().enumerate().skip(1);
    lines.map(|(at, line)| row(line).ok_or(format!("line {} is no example", at + 1))).collect()
}

/// The files of complaints, in order.
fn complaints(cases: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = std::fs::read_dir(cases).map_err(|error| error.to_string())?;
    let mut paths: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            name.starts_with("complaints") && name.ends_with(".jsonl") && !name.contains(KEPT)
        })
        .collect();
    paths.sort();
    Ok(paths)
}

/// The knowledge without what one author told; his part begins with "# " and the name of his file.
fn without(files: &[File], author: &str) -> Vec<File> {
    let mut files = files.to_vec();
    for file in files.iter_mut().filter(|file| file.path.starts_with("phrasings/told")) {
        let mut own = false;
        let kept: Vec<&str> = file
            .text
            .lines()
            .filter(|line| {
                if let Some(name) = line.strip_prefix("# ") {
                    own = name == author;
                }
                !own
            })
            .collect();
        file.text = kept.join("\n") + "\n";
    }
    files
}

/// Adds everything weighed in one complaint, and whether it was really said.
fn hear(
    (knowledge, models): (&Knowledge, &Models),
    row: &Value,
    examples: &mut Vec<fit::Example>,
) -> Result<(), String> {
    let complaint = row["complaint"].as_str().unwrap_or_default().to_owned();
    let equipment = row["equipment"].as_str().and_then(Equipment::from_id);
    let network = models.network(equipment.unwrap_or(Equipment::ReelUnit));
    let question = Question { complaint, equipment, ..Question::default() };
    let hearing = knowledge.ear.hear(&knowledge.ear.read(&question.complaint));
    let judged = signs(knowledge, network, &hearing, &question)
        .map_err(|error| format!("{}: {}", error.field, error.remedy))?;
    examples.extend(judged.into_iter().map(|(one, signs)| {
        let told = row["volunteered"].get(&one.heard.finding).and_then(Value::as_bool);
        fit::Example { signs, said: told == Some(one.heard.present) }
    }));
    Ok(())
}
