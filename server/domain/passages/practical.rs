//! What is put on for a job, how is something worked out, how often is it done? From the tools and
//! cautions of jobs, from notes that say how, and from the usual intervals.

use std::collections::BTreeSet;

use super::told::{Asking, Told, sentences};
use super::job;
use crate::domain::catalogue::{Knowledge, Procedure};
use crate::domain::units::plain;
use crate::domain::wording::upper_first;

/// Words by which a tool or a sentence tells of something that is worn.
const WORN: &[&str] = &[
    "wear ", "glove", "glasses", "face shield", "hearing protection", "mask", "respirator",
    "toe protection", "eye protection",
];
/// Jobs that are named together.
const JOBS_MAX: usize = 3;
/// Sentences about what is worn, of all cautions, where no job is named.
const SENTENCES_MAX: usize = 6;
/// Words of a title that tells how something is worked out, or how often it is done.
const METHODS: &[&str] = &["work out", "formula", "how to shorten", "how much one"];
const TIMES: &[&str] = &["how often", "how many hours", "interval", "rhythm", "when to"];

fn is_worn(text: &str) -> bool {
    let lower = text.to_lowercase();
    WORN.iter().any(|word| lower.contains(word))
}

/// What is put on for these jobs: from their tools, and the sentences of their cautions.
pub fn wear(knowledge: &Knowledge, rows: &[&Procedure]) -> Vec<String> {
    let mut kit: Vec<&str> = Vec::new();
    for tool in rows.iter().flat_map(|row| &row.tools).filter(|tool| is_worn(tool)) {
        if !kit.contains(&tool.as_str()) {
            kit.push(tool);
        }
    }
    let told = |tool: &&str| match tool.contains("glove") {
        true => format!("{tool} (only while nothing can turn)"),
        false => (*tool).to_owned(),
    };
    let kit: Vec<String> = kit.iter().map(told).collect();
    let ids: BTreeSet<&String> =
        rows.iter().flat_map(|row| &row.steps).flat_map(|step| &step.cautions).collect();
    let of_jobs = knowledge.cautions.iter().filter(|row| ids.contains(&row.id));
    let titles: Vec<&str> = rows.iter().take(JOBS_MAX).map(|row| row.title.as_str()).collect();
    let mut lines = match kit.is_empty() {
        true => vec![format!("For \"{}\":", titles.join("\", \""))],
        false => vec![format!("{} (\"{}\").", upper_first(&kit.join("; ")), titles.join("\", \""))],
    };
    let told = of_jobs.flat_map(|row| sentences(&row.text)).filter(|one| is_worn(one));
    // What must not be worn is read first: a glove is drawn in.
    let (without, with): (Vec<&str>, Vec<&str>) = told.partition(|one| one.starts_with("No gloves"));
    lines.extend(with.into_iter().map(str::to_owned));
    lines.splice(0..0, without.into_iter().map(str::to_owned));
    if lines.len() == 1 && kit.is_empty() {
        return vec![format!("{}: nothing special is named to wear.", titles.join("; "))];
    }
    lines
}

/// What is put on, where no job is named.
fn wear_in_general(knowledge: &Knowledge) -> Vec<String> {
    let all = knowledge.cautions.iter().flat_map(|row| sentences(&row.text));
    let mut lines: Vec<String> =
        all.filter(|one| is_worn(one)).take(SENTENCES_MAX).map(str::to_owned).collect();
    lines.push("Say the job, and it is told for that.".to_owned());
    lines
}

impl Asking<'_> {
    pub(super) fn wear(&self) -> Option<Told> {
        let rows = job::jobs(self.knowledge, self.passages, self.asked);
        let Some(first) = rows.first() else {
            return Some(Told::of(wear_in_general(self.knowledge), None));
        };
        let lines = wear(self.knowledge, &rows[..rows.len().min(JOBS_MAX)]);
        Some(Told::of(lines, Some(first.basis.clone())))
    }

    /// A note that says how it is worked out.
    pub(super) fn method(&self) -> Option<Told> {
        self.titled_so(METHODS)
    }

    /// A note that says how often, else the usual interval.
    pub(super) fn often(&self) -> Option<Told> {
        if let Some(told) = self.titled_so(TIMES) {
            return Some(told);
        }
        let rows = self.knowledge.usual_intervals.iter();
        let mut rows = rows;
        let row = rows.find(|row| {
            let title = self.passages.terms.of(&row.title);
            self.asked.iter().filter(|word| title.contains(word)).count() * 2 > self.asked.len()
        })?;
        let (low, high) = (plain(row.low_h), plain(row.high_h));
        let line = format!("{}: every {low} to {high} hours is usual.", row.title);
        let manual = "The machine's manual wins where it speaks.".to_owned();
        Some(Told::of(vec![line, manual], Some(row.basis.clone())))
    }

    fn titled_so(&self, signs: &[&str]) -> Option<Told> {
        let notes = self.notes();
        let says = |title: &str| {
            let lower = title.to_lowercase();
            signs.iter().any(|sign| lower.contains(sign))
        };
        let (_, row) = notes.iter().find(|(found, row)| {
            says(&row.title) && found.to_the_point > 0.0
        })?;
        Some(self.first_of(row))
    }

}
