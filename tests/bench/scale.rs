//! What does it cost to keep and to find many records, and how does that grow with their number?
//! The records are the invented shop's, over and over with other dice. Each step runs in a process
//! of its own, so that its memory is its own.

mod ask;
mod bare;
mod fill;
mod shop;

use std::path::Path;
use std::process::Command;

use crate::Failure;

const RECORDS_DEFAULT: &str = "10000,100000";
const USAGE: &str = "bench scale [--records N,N,...]";

/// One line of the table: ours, the bare library's where there is one, and the unit.
struct Figure {
    what: String,
    ours: f64,
    bare: Option<f64>,
    unit: String,
}

/// Said by a step, read by whoever started it.
fn say(what: &str, ours: f64, bare: Option<f64>, unit: &str) {
    let bare = bare.map_or_else(String::new, |bare| bare.to_string());
    println!("{what}\t{ours}\t{bare}\t{unit}");
}

pub fn run(words: &[String]) -> Result<(), Failure> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        [] => report(RECORDS_DEFAULT),
        ["--records", numbers] => report(numbers),
        ["--fill", data, records] => fill::run(Path::new(data), records.parse()?),
        ["--ask", data, records] => ask::run(Path::new(data), records.parse()?),
        _ => Err(USAGE.into()),
    }
}

fn report(numbers: &str) -> Result<(), Failure> {
    let mut columns = Vec::new();
    for number in numbers.split(',') {
        let records: usize = number.trim().replace('_', "").parse()?;
        let place = tempfile::tempdir()?;
        let mut figures = step("--fill", place.path(), records)?;
        figures.extend(step("--ask", place.path(), records)?);
        print(records, &figures);
        columns.push((records, figures));
    }
    if let ([(few, first), .., (many, last)], true) = (&columns[..], columns.len() > 1) {
        println!("\nGrowth from {few} to {many} records, which is {} fold", many / few);
        for (one, other) in first.iter().zip(last) {
            println!("  {:<44} {:>8.2} fold", one.what, other.ours / one.ours);
        }
    }
    Ok(())
}

/// Runs this program again for one step.
fn step(name: &str, data: &Path, records: usize) -> Result<Vec<Figure>, Failure> {
    let output = Command::new(std::env::current_exe()?)
        .args(["scale", name])
        .arg(data)
        .arg(records.to_string())
        .stderr(std::process::Stdio::inherit())
        .output()?;
    if !output.status.success() {
        return Err(format!("{name} with {records} records failed").into());
    }
    String::from_utf8(output.stdout)?.lines().map(figure).collect()
}

fn figure(line: &str) -> Result<Figure, Failure> {
    let parts: Vec<&str> = line.split('\t').collect();
    let [what, ours, bare, unit] = parts[..] else { return Err(line.into()) };
    let bare = if bare.is_empty() { None } else { Some(bare.parse()?) };
    Ok(Figure { what: what.to_owned(), ours: ours.parse()?, bare, unit: unit.to_owned() })
}

fn print(records: usize, figures: &[Figure]) {
    println!("\n{records} records                                    ours       bare      ratio");
    for figure in figures {
        let (bare, ratio) = match figure.bare {
            Some(bare) => (format!("{bare:.1}"), format!("{:.2}", figure.ours / bare)),
            None => Default::default(),
        };
        println!(
            "  {:<44} {:>10.1} {bare:>10} {ratio:>8}  {}",
            figure.what, figure.ours, figure.unit
        );
    }
}
