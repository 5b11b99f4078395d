//! Complaints: what is heard, which cause is first, and what the checks cost.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use sward_core::domain::catalogue::{Equipment, Knowledge};
use sward_core::domain::complaint::{
    Diagnosis, Models, NextStep, Outcome, Question, diagnose, plan_quality,
};
use sward_core::domain::diagnosis::plan::StepKind;
use sward_core::domain::diagnosis::score;

use crate::score_sheet::{Hits, Sheet};

/// Checks that may be answered before the first cause must be right.
const CHECKS_MAX: usize = 3;

struct Case {
    id: String,
    equipment: Option<Equipment>,
    complaint: String,
    volunteered: BTreeMap<String, bool>,
    accepted: BTreeSet<String>,
    check_findings: BTreeMap<String, bool>,
}

fn case(row: &Value) -> Option<Case> {
    let complaint = row.get("complaint")?.as_str()?.to_owned();
    let flags = |key: &str| -> BTreeMap<String, bool> {
        let map = row.get(key).and_then(Value::as_object);
        map.into_iter()
            .flatten()
            .filter_map(|(id, value)| Some((id.clone(), value.as_bool()?)))
            .collect()
    };
    let mut accepted: BTreeSet<String> = BTreeSet::new();
    accepted.extend(row.get("cause").and_then(Value::as_str).map(str::to_owned));
    let also = row.get("also_acceptable").and_then(Value::as_array);
    accepted.extend(also.into_iter().flatten().filter_map(Value::as_str).map(str::to_owned));
    Some(Case {
        id: row.get("id").and_then(Value::as_str).unwrap_or("?").to_owned(),
        equipment: row.get("equipment").and_then(Value::as_str).and_then(Equipment::from_id),
        complaint,
        volunteered: flags("volunteered"),
        accepted,
        check_findings: flags("check_findings"),
    })
}

#[derive(Default)]
struct Tally {
    cases: usize,
    /// Cases that name a cause.
    ranked: usize,
    all: Hits,
    present: Hits,
    denied: Hits,
    by_finding: BTreeMap<String, Hits>,
    /// What a pair is about, in both of its cases.
    pairs: Hits,
    top1: usize,
    top3: usize,
    gold_top1: usize,
    gold_top3: usize,
    after_checks: usize,
    checks: usize,
    equipment: usize,
    not_diagnosed: usize,
    /// Expected minutes of our plan and of the best plan there is, where it could be worked out.
    minutes: Vec<(f64, f64)>,
    losses: Vec<f64>,
    forecasts: Vec<(f64, bool)>,
}

pub fn score(
    knowledge: &Knowledge,
    models: &Models,
    rows: &[Value],
    show: bool,
    sheet: &mut Sheet,
) -> Result<(), String> {
    let mut tally = Tally::default();
    let cases: Vec<Case> = rows.iter().filter_map(case).collect();
    let pairs = pairs(&cases);
    for case in &cases {
        tally.add(knowledge, models, case, &pairs, show)?;
    }
    if tally.cases > 0 {
        tally.report(sheet);
    }
    Ok(())
}

/// Of two cases that differ by a denial alone, "n001a" and "n001b", what they are about.
fn pairs(cases: &[Case]) -> BTreeMap<String, BTreeSet<String>> {
    let mut told: BTreeMap<&str, (usize, BTreeSet<String>)> = BTreeMap::new();
    for case in cases {
        if let Some(stem) = stem(&case.id) {
            let (count, about) = told.entry(stem).or_default();
            *count += 1;
            about.extend(case.volunteered.keys().cloned());
        }
    }
    let whole = told.into_iter().filter(|(_, (count, _))| *count == 2);
    whole.map(|(stem, (_, about))| (stem.to_owned(), about)).collect()
}

fn stem(id: &str) -> Option<&str> {
    let stem = id.strip_suffix('a').or_else(|| id.strip_suffix('b'))?;
    stem.ends_with(|ch: char| ch.is_ascii_digit()).then_some(stem)
}

/// One case of a pair: the opposite of what was said is one too many and one missed, and so is
/// what was left open and heard all the same.
fn of_pair(case: &Case, about: &BTreeSet<String>, heard: &BTreeMap<&str, bool>) -> Hits {
    let mut hits = Hits::default();
    for finding in about {
        let said = case.volunteered.get(finding);
        let got = heard.get(finding.as_str());
        hits.right += usize::from(said.is_some() && said == got);
        hits.missed += usize::from(said.is_some() && said != got);
        hits.extra += usize::from(got.is_some() && said != got);
    }
    hits
}

fn ask(knowledge: &Knowledge, models: &Models, question: &Question) -> Result<Diagnosis, String> {
    diagnose(knowledge, models, question).map_err(|error| format!("{error:?}"))
}

/// Place of the first accepted cause, from 0.
fn place(answer: &Diagnosis, case: &Case) -> Option<usize> {
    answer.causes.iter().position(|cause| case.accepted.contains(&cause.id))
}

impl Tally {
    fn add(
        &mut self,
        knowledge: &Knowledge,
        models: &Models,
        case: &Case,
        pairs: &BTreeMap<String, BTreeSet<String>>,
        show: bool,
    ) -> Result<(), String> {
        self.cases += 1;
        let words = Question {
            complaint: case.complaint.clone(),
            equipment: case.equipment,
            max_causes: 100,
            ..Question::default()
        };
        let answer = ask(knowledge, models, &words)?;
        let inferred = ask(knowledge, models, &Question { equipment: None, ..words.clone() })?;
        self.equipment += usize::from(inferred.equipment == case.equipment);
        self.not_diagnosed += usize::from(answer.outcome != Outcome::Diagnosed);
        let heard = self.hear(case, &answer, show);
        if let Some(about) = stem(&case.id).and_then(|stem| pairs.get(stem)) {
            self.pairs.add(of_pair(case, about, &heard));
        }
        if case.accepted.is_empty() {
            return Ok(());
        }
        self.ranked += 1;
        let first = place(&answer, case);
        self.top1 += usize::from(first == Some(0));
        self.top3 += usize::from(first.is_some_and(|at| at < 3));
        let chance = first.map_or(1e-6, |at| answer.causes[at].probability.max(1e-6));
        self.losses.push(-chance.ln());
        for cause in &answer.causes {
            self.forecasts.push((
                cause.probability.clamp(1e-6, 1.0 - 1e-6),
                case.accepted.contains(&cause.id),
            ));
        }
        let gold = Question {
            complaint: String::new(),
            observations: case.volunteered.clone().into_iter().collect(),
            ..words.clone()
        };
        if !gold.observations.is_empty() {
            let gold = ask(knowledge, models, &gold)?;
            self.gold_top1 += usize::from(place(&gold, case) == Some(0));
            self.gold_top3 += usize::from(place(&gold, case).is_some_and(|at| at < 3));
        }
        let quality = plan_quality(knowledge, models, &words).map_err(|error| format!("{error:?}"))?;
        self.minutes.extend(quality.map(|found| (found.planned_minutes, found.optimum_minutes)));
        let (solved, checks) = self.follow(knowledge, models, case, words, answer.clone())?;
        self.after_checks += usize::from(solved);
        self.checks += checks;
        if show && (first.is_none_or(|at| at > 2) || !solved) {
            let top: Vec<String> =
                answer.causes.iter().take(3).map(|c| format!("{} {:.2}", c.id, c.probability)).collect();
            println!(
                "RANK {} {:?} wanted {:?} at {:?} solved {solved}; top {}",
                case.id, answer.outcome, case.accepted, first, top.join(", ")
            );
        }
        Ok(())
    }

    fn hear<'a>(&mut self, case: &Case, answer: &'a Diagnosis, show: bool) -> BTreeMap<&'a str, bool> {
        let heard: BTreeMap<&str, bool> =
            answer.heard.iter().map(|heard| (heard.finding.as_str(), heard.present)).collect();
        let mut misses = Vec::new();
        for (finding, present) in &case.volunteered {
            let right = heard.get(finding.as_str()) == Some(present);
            let hit = Hits { right: usize::from(right), missed: usize::from(!right), extra: 0 };
            self.count(finding, *present, hit);
            if !right {
                misses.push(format!("-{finding}={present}"));
            }
        }
        for (finding, present) in &heard {
            if case.volunteered.get(*finding) != Some(present) {
                self.count(finding, *present, Hits { extra: 1, ..Hits::default() });
                let span = answer.heard.iter().find(|heard| heard.finding == *finding);
                let span = span.map_or("", |heard| &case.complaint[heard.start..heard.end]);
                misses.push(format!("+{finding}={present} «{span}»"));
            }
        }
        if show && !misses.is_empty() {
            println!("HEAR {} {}\n     {}", case.id, misses.join("  "), case.complaint);
        }
        heard
    }

    fn count(&mut self, finding: &str, present: bool, hit: Hits) {
        self.all.add(hit);
        if present { self.present.add(hit) } else { self.denied.add(hit) }
        self.by_finding.entry(finding.to_owned()).or_default().add(hit);
    }

    /// Answers the first check proposed, optional or not, up to three times; what is not listed is absent.
    fn follow(
        &self,
        knowledge: &Knowledge,
        models: &Models,
        case: &Case,
        mut question: Question,
        mut answer: Diagnosis,
    ) -> Result<(bool, usize), String> {
        let mut asked = BTreeSet::new();
        for _ in 0..CHECKS_MAX {
            let fresh = |step: &&NextStep| {
                step.kind == StepKind::Check && !asked.contains(&step.id)
            };
            let Some(check) = answer.steps.iter().find(fresh) else { break };
            asked.insert(check.id.clone());
            let row = knowledge.check(&check.id).ok_or("a check that is not in the knowledge")?;
            for finding in &row.reveals {
                let of_kind = knowledge.finding(finding).is_some_and(|row| {
                    answer.equipment.is_some_and(|kind| row.equipment.contains(&kind))
                });
                let present = case
                    .check_findings
                    .get(finding)
                    .or_else(|| case.volunteered.get(finding))
                    .copied()
                    .unwrap_or(false);
                let new = !question.observations.iter().any(|(id, _)| id == finding);
                if of_kind && new {
                    question.observations.push((finding.clone(), present));
                }
            }
            answer = ask(knowledge, models, &question)?;
        }
        Ok((place(&answer, case) == Some(0), asked.len()))
    }

    fn report(&self, sheet: &mut Sheet) {
        sheet.number("complaints", self.cases as f64);
        sheet.hits("findings heard (micro)", self.all);
        sheet.hits("findings stated", self.present);
        sheet.hits("findings denied", self.denied);
        if self.pairs != Hits::default() {
            sheet.hits("negation pairs", self.pairs);
        }
        let mut worst: Vec<(&String, &Hits)> = self.by_finding.iter().collect();
        worst.sort_by_key(|(id, hits)| (usize::MAX - hits.extra - hits.missed, (*id).clone()));
        let worst: Vec<String> = worst
            .iter()
            .take(10)
            .map(|(id, hits)| format!("{id} ({} extra, {} missed)", hits.extra, hits.missed))
            .collect();
        sheet.words("worst ten findings", worst.join("; "));
        sheet.share("equipment inferred", self.equipment, self.cases);
        sheet.share("cause first, from words", self.top1, self.ranked);
        sheet.share("cause in three, from words", self.top3, self.ranked);
        sheet.share("cause first, gold findings", self.gold_top1, self.ranked);
        sheet.share("cause in three, gold findings", self.gold_top3, self.ranked);
        sheet.share("cause first after 3 checks", self.after_checks, self.ranked);
        sheet.number("checks asked per case", self.checks as f64 / self.ranked.max(1) as f64);
        self.report_minutes(sheet);
        sheet.number("log loss of the cause", self.losses.iter().sum::<f64>() / self.ranked.max(1) as f64);
        if let Ok(line) = score::calibration_line(&self.forecasts) {
            sheet.number("calibration slope", line.slope);
        }
        sheet.share("complaints not diagnosed", self.not_diagnosed, self.cases);
    }
    /// The best plan is worked out on each problem cut down to its likeliest causes and most useful
    /// checks, because the whole has too many orders; ours is followed on the same.
    fn report_minutes(&self, sheet: &mut Sheet) {
        let count = self.minutes.len();
        if count == 0 {
            return;
        }
        let planned: f64 = self.minutes.iter().map(|(planned, _)| planned).sum();
        let optimum: f64 = self.minutes.iter().map(|(_, optimum)| optimum).sum();
        let worst = self.minutes.iter().map(|(p, o)| p / o).fold(1.0, f64::max);
        sheet.number("expected minutes, our plan", planned / count as f64);
        sheet.number("expected minutes, exact optimum", optimum / count as f64);
        sheet.number("ratio of expected minutes", planned / optimum);
        sheet.number("  the worst case", worst);
        sheet.share("  cases worked out", count, self.ranked);
    }
}
