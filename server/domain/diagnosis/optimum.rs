//! How good is the plan? Solves small problems exactly, over every order of checks and repairs,
//! and works out what following the planner costs on the same problem. Used to measure the planner,
//! never to answer a request: the time grows with the product of all answers and subsets.

use std::collections::BTreeMap;

use super::plan::{Action, choose};
use super::problem::{Problem, Situation, bit};
use super::{DiagnosisError, within};

/// Checks and repairs together of a problem that may be solved exactly.
pub const EXACT_ACTIONS_MAX: usize = 12;

/// Identifies a situation: answers so far (one number per question), repairs tried.
type Key = (Vec<u16>, u64);

/// The fewest expected minutes that any plan can reach.
pub fn exact_optimum(problem: &Problem) -> Result<f64, DiagnosisError> {
    solve(problem, best_of_all)
}

/// The expected minutes of following `plan::choose` to the end.
pub fn policy_minutes(problem: &Problem) -> Result<f64, DiagnosisError> {
    solve(problem, as_planned)
}

fn solve(
    problem: &Problem,
    rule: fn(&mut Search, &Situation, &[u16]) -> f64,
) -> Result<f64, DiagnosisError> {
    problem.validate()?;
    let actions = problem.questions.len() + problem.repairs.len();
    within("number of checks and repairs", actions as f64, 0.0, EXACT_ACTIONS_MAX as f64)?;
    let mut search = Search { problem, rule, known: BTreeMap::new() };
    let start = problem.start();
    let answers = vec![0; problem.questions.len()];
    let mass: f64 = start.belief.iter().sum();
    Ok(search.minutes(start, answers) / mass)
}

struct Search<'a> {
    problem: &'a Problem,
    rule: fn(&mut Search, &Situation, &[u16]) -> f64,
    known: BTreeMap<Key, f64>,
}

impl Search<'_> {
    /// Expected minutes from here, times the sum of the belief.
    fn minutes(&mut self, situation: Situation, answers: Vec<u16>) -> f64 {
        let key = (answers, situation.tried);
        if let Some(minutes) = self.known.get(&key) {
            return *minutes;
        }
        let minutes = (self.rule)(self, &situation, &key.0);
        self.known.insert(key, minutes);
        minutes
    }

    fn specialist(&self, situation: &Situation) -> f64 {
        situation.belief.iter().sum::<f64>() * self.problem.specialist_minutes
    }

    fn repair(&mut self, situation: &Situation, answers: &[u16], repair: usize) -> f64 {
        let work = &self.problem.repairs[repair];
        let mass: f64 = situation.belief.iter().sum();
        let now = mass * (work.minutes + self.problem.opening_due(work.opening, situation.opened));
        let after = self.problem.after_failed_repair(situation, repair);
        now + self.minutes(after, answers.to_vec())
    }

    fn ask(&mut self, situation: &Situation, answers: &[u16], question: usize) -> f64 {
        let problem = self.problem;
        let asked = &problem.questions[question];
        let mass: f64 = situation.belief.iter().sum();
        let due = problem.opening_due(asked.opening, situation.opened);
        let mut total = mass * (asked.minutes + due);
        for (answer, belief) in full_outcomes(problem, &situation.belief, question) {
            let mut answers = answers.to_vec();
            answers[question] = answer;
            let after = problem.after_answer(situation, question, belief);
            total += self.minutes(after, answers);
        }
        total
    }
}

fn best_of_all(search: &mut Search, situation: &Situation, answers: &[u16]) -> f64 {
    let mut best = search.specialist(situation);
    for repair in 0..search.problem.repairs.len() {
        if situation.tried & bit(repair) == 0 {
            best = best.min(search.repair(situation, answers, repair));
        }
    }
    for question in 0..search.problem.questions.len() {
        if situation.asked & bit(question) == 0 {
            best = best.min(search.ask(situation, answers, question));
        }
    }
    best
}

fn as_planned(search: &mut Search, situation: &Situation, answers: &[u16]) -> f64 {
    match choose(search.problem, situation) {
        Action::Specialist => search.specialist(situation),
        Action::Repair(repair) => search.repair(situation, answers, repair),
        Action::Ask(question) => search.ask(situation, answers, question),
    }
}

/// Every outcome of a question, none taken together, numbered from 1 by its yes and no answers.
fn full_outcomes(problem: &Problem, belief: &[f64], question: usize) -> Vec<(u16, Vec<f64>)> {
    let mut outcomes = vec![(1u16, belief.to_vec())];
    for likelihood in &problem.questions[question].findings {
        let mut split = Vec::with_capacity(2 * outcomes.len());
        for (answer, outcome) in outcomes {
            let with = |weight: fn(f64) -> f64| -> Vec<f64> {
                outcome.iter().zip(likelihood).map(|(mass, &p)| mass * weight(p)).collect()
            };
            split.push((2 * answer, with(|p| 1.0 - p)));
            split.push((2 * answer + 1, with(|p| p)));
        }
        outcomes = split;
    }
    outcomes.retain(|(_, belief)| belief.iter().sum::<f64>() > 0.0);
    outcomes
}
