//! How long do the parts of a diagnosis take, inside the process and without any call?

use sward_core::domain::complaint::{self, Diagnosis, Models, Outcome, Question, diagnose};
use sward_core::domain::diagnosis::plan::next_steps;
use sward_core::domain::diagnosis::posterior::{contributions, posterior};
use sward_core::embedded;

use super::pace::Pace;
use super::{COMPLAINTS, micro};
use crate::Failure;

const TIMES: usize = 2_000;

pub fn print(typical: &str) -> Result<(), Failure> {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge)?;
    let ask = |complaint: &str| -> Result<Diagnosis, Failure> {
        let question = Question { complaint: complaint.to_owned(), ..Question::default() };
        diagnose(&knowledge, &models, &question).map_err(|error| format!("{error:?}").into())
    };
    println!("inside the process                              p50        p99");
    let typical_words = [typical.to_owned()];
    let all: Vec<String> = COMPLAINTS
        .lines()
        .filter_map(|line| {
            let row: serde_json::Value = serde_json::from_str(line).ok()?;
            Some(row.get("complaint")?.as_str()?.to_owned())
        })
        .collect();
    let whole = |complaints: &[String]| {
        Pace::measure(TIMES, |at| {
            std::hint::black_box(ask(&complaints[at % complaints.len()])?);
            Ok(())
        })
    };
    row("a whole complaint, the typical one", &whole(&typical_words)?);
    row("a whole complaint, 160 in turn", &whole(&all)?);
    let hear = Pace::measure(TIMES, |_| {
        let reading = knowledge.ear.read(typical);
        std::hint::black_box(knowledge.ear.hear(&reading));
        Ok(())
    })?;
    row("  of it hearing", &hear);
    let answer = ask(typical)?;
    let kind = answer.equipment.filter(|_| answer.outcome == Outcome::Diagnosed);
    let (network, bench) = models.of(kind.ok_or("the typical complaint is not diagnosed")?);
    let question = Question { complaint: typical.to_owned(), ..Question::default() };
    let evidence = complaint::evidence(&knowledge, network, &answer.heard, &question)
        .map_err(|error| format!("{error:?}"))?;
    let order: Vec<usize> = (0..5).collect();
    let exact = Pace::measure(TIMES, |_| {
        std::hint::black_box(posterior(network, &evidence)?);
        Ok(())
    })?;
    row("  of it the exact posterior", &exact);
    let why = Pace::measure(TIMES, |_| {
        std::hint::black_box(contributions(network, &evidence, &order)?);
        Ok(())
    })?;
    row("  of it the evidence for five causes", &why);
    let steps = Pace::measure(TIMES, |_| {
        std::hint::black_box(next_steps(network, bench, &evidence)?);
        Ok(())
    })?;
    row("  of it the next steps", &steps);
    Ok(())
}

fn row(title: &str, pace: &Pace) {
    println!("{title:<41} {:>7.1} µs {:>7.1} µs", micro(pace.at(0.5)), micro(pace.at(0.99)));
}
