//! How well does it hear, rank, plan and refuse on cases it has never seen?
//!
//! `cargo run --release --example evaluate -- DIR [--knowledge DIR] [--output json] [--show]` reads
//! every `*.jsonl` of DIR: complaints (with "complaint"), requests that must not be answered (with
//! "why"), searches (with "query"), words that are a command ("calculation", "kind", "expect").
//! `--show` prints each miss.

mod complaints;
mod interpret;
mod outside;
mod record_parts;
mod score_sheet;
mod search;

use std::path::PathBuf;
use std::process::ExitCode;

use serde_json::Value;
use sward_core::domain::catalogue::Knowledge;
use sward_core::domain::complaint::Models;
use sward_core::embedded;

use score_sheet::Sheet;

struct Arguments {
    cases: PathBuf,
    knowledge: Option<PathBuf>,
    json: bool,
    show: bool,
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(text) => {
            eprintln!("evaluate: {text}");
            ExitCode::from(65)
        }
    }
}

fn run() -> Result<(), String> {
    let arguments = arguments()?;
    let knowledge = known(&arguments)?;
    let models = Models::new(&knowledge).map_err(|error| error.to_string())?;
    let rows = rows(&arguments.cases)?;
    let mut sheet = Sheet::default();
    complaints::score(&knowledge, &models, &rows, arguments.show, &mut sheet)?;
    outside::score(&knowledge, &models, &rows, arguments.show, &mut sheet)?;
    search::score(&knowledge, &rows, arguments.show, &mut sheet)?;
    interpret::score(&knowledge, &rows, arguments.show, &mut sheet);
    println!("{}", if arguments.json { sheet.json() } else { sheet.text() });
    Ok(())
}

fn arguments() -> Result<Arguments, String> {
    let mut words = std::env::args().skip(1);
    let (mut cases, mut knowledge, mut json, mut show) = (None, None, false, false);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--knowledge" => knowledge = Some(PathBuf::from(words.next().ok_or("--knowledge DIR")?)),
            "--output" => json = words.next().as_deref() == Some("json"),
            "--show" => show = true,
            _ if word.starts_with('-') => return Err(format!("unknown option {word}")),
            _ => cases = Some(PathBuf::from(word)),
        }
    }
    let cases = cases.ok_or("name a directory of *.jsonl files")?;
    Ok(Arguments { cases, knowledge, json, show })
}

fn known(arguments: &Arguments) -> Result<Knowledge, String> {
    let Some(directory) = &arguments.knowledge else {
        return Ok(embedded::knowledge());
    };
    let (known, problems) = embedded::from_directory(directory, None, || ()).map_err(|error| error.to_string())?;
    match problems.first() {
        Some(problem) => Err(problem.to_string()),
        None => Ok(known),
    }
}

/// Every row of every `*.jsonl`, in order of file then line.
fn rows(directory: &PathBuf) -> Result<Vec<Value>, String> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(directory)
        .map_err(|error| format!("{}: {error}", directory.display()))?
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
        .collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).map_err(|error| format!("{path:?}: {error}"))?;
        for (at, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
            let row = serde_json::from_str(line)
                .map_err(|error| format!("{}:{}: {error}", path.display(), at + 1))?;
            out.push(row);
        }
    }
    Ok(out)
}
