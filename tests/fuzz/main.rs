//! Does anything that strangers write break the program?
//!
//! `cargo run --release --example fuzz -- TARGET [--seconds N] [--seed S]` throws inputs at one part
//! of the program for N seconds (10), made by chance from S (1), and prints what it found. Targets:
//! words, quantities, tables, knowledge, requests, conversation. It fails when there is a find; each
//! find is written so that it can become a row of `tests/fuzz.rs`.

mod dice;
mod driver;
mod messages;
mod mutate;
#[path = "../raw_call.rs"]
mod raw_call;
mod targets;

use std::process::ExitCode;
use std::time::Duration;

/// An input that takes longer is worth a look, and is printed.
const SLOW: Duration = Duration::from_secs(1);

struct Arguments {
    target: String,
    seconds: u64,
    seed: u64,
}

fn main() -> ExitCode {
    match run() {
        Ok(0) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::FAILURE,
        Err(text) => {
            eprintln!("fuzz: {text}");
            ExitCode::from(65)
        }
    }
}

/// How many finds there are.
fn run() -> Result<usize, String> {
    let Arguments { target: name, seconds, seed } = arguments()?;
    let data = tempfile::tempdir().map_err(|error| error.to_string())?;
    let named = targets::target(&name, data.path());
    let mut target = named.ok_or_else(|| format!("the targets are {}", targets::NAMES.join(", ")))?;
    let outcome = driver::drive(target.as_mut(), seed, Duration::from_secs(seconds));
    for find in &outcome.finds {
        println!("FIND {}\n     (\"{name}\", {}),", find.what, driver::shown(&find.input));
    }
    if outcome.slowest >= SLOW {
        println!("SLOW {}", driver::shown(&outcome.slowest_input));
    }
    println!(
        "{name}: {} executions, {:.0}/s, {} sorts of answer, {} inputs kept, slowest {:.0?}, {} finds",
        outcome.executions,
        outcome.executions as f64 / seconds.max(1) as f64,
        outcome.sorts,
        outcome.kept,
        outcome.slowest,
        outcome.finds.len()
    );
    Ok(outcome.finds.len())
}

fn arguments() -> Result<Arguments, String> {
    let mut words = std::env::args().skip(1);
    let mut out = Arguments { target: String::new(), seconds: 10, seed: 1 };
    while let Some(word) = words.next() {
        let mut number = || {
            let value = words.next().and_then(|text| text.parse().ok());
            value.ok_or_else(|| format!("write a whole number after {word}"))
        };
        match word.as_str() {
            "--seconds" => out.seconds = number()?,
            "--seed" => out.seed = number()?,
            _ if word.starts_with('-') => return Err(format!("unknown option {word}")),
            _ => out.target = word,
        }
    }
    Ok(out)
}
