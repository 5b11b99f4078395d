//! Many clients for a long time: the figures, and whether all was right.

use std::time::Duration;

use crate::Failure;
use crate::crowd::{self, Plan};
use crate::program;

const USAGE: &str = "bench load [--minutes N] [--seconds N] [--clients N] [--questions N] [--seed S] [--faults]";

pub fn run(words: &[String]) -> Result<(), Failure> {
    let time = Duration::from_secs(600);
    let mut plan = Plan { clients: 200, questions: 1_000, time, faults: false, seed: 1 };
    let mut words = words.iter();
    while let Some(word) = words.next() {
        let mut number = || words.next().and_then(|text| text.parse().ok()).ok_or(USAGE);
        match word.as_str() {
            "--minutes" => plan.time = Duration::from_secs(60 * number()?),
            "--seconds" => plan.time = Duration::from_secs(number()?),
            "--clients" => plan.clients = usize::try_from(number()?)?,
            "--questions" => plan.questions = usize::try_from(number()?)?,
            "--seed" => plan.seed = number()?,
            "--faults" => plan.faults = true,
            _ => return Err(USAGE.into()),
        }
    }
    let report = crowd::run(&program::server()?, &plan)?;
    println!("{report}");
    if report.wrong.is_empty() { Ok(()) } else { Err("it was not all right".into()) }
}
