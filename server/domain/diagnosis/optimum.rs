//! How good is the plan? Solves small problems exactly, over every order of checks and repairs,
//! and works out what following the planner costs on the same problem. Used to measure the planner,
//! never to answer a request: the time grows with the product of all answers and subsets.

use std::collections::BTreeMap;

use super::checked::at_most;
use super::evidence::{Evidence, settle};
use super::network_problem::{NetworkProblem, spread};
use super::plan::{Action, choose, prospects};
use super::posterior::posterior_of_settled;
use super::problem::{Answer, Problem, Question, Repair, Situation, bit};
use super::{Bench, DiagnosisError, Network};

/// Checks and repairs together of a problem that may be solved exactly.
pub const EXACT_ACTIONS_MAX: usize = 12;

/// Sizes to which a real problem is cut down before it is solved exactly: it then takes
/// milliseconds, and what is cut is improbable or of little use.
const HYPOTHESES_KEPT: usize = 5;
const QUESTIONS_KEPT: usize = 4;
const ANSWERS_KEPT: usize = 3;

/// Identifies a situation: answers so far (one number per question), repairs tried.
type Key = (Vec<u64>, u64);

/// Expected minutes of the planner and of the best plan there is, on the same problem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanQuality {
    pub planned_minutes: f64,
    pub optimum_minutes: f64,
}

/// How close the planner comes after this evidence, on the problem cut down to the likeliest causes
/// and the most useful checks.
pub fn plan_quality(
    network: &Network,
    bench: &Bench,
    evidence: &[Evidence],
) -> Result<PlanQuality, DiagnosisError> {
    let settled = settle(network, evidence)?;
    let posterior = posterior_of_settled(network, &settled)?;
    let whole = NetworkProblem::new(network, bench, &posterior, &settled)?.problem;
    let small = small(&whole, HYPOTHESES_KEPT, QUESTIONS_KEPT, ANSWERS_KEPT);
    Ok(PlanQuality {
        planned_minutes: policy_minutes(&small)?,
        optimum_minutes: exact_optimum(&small)?,
    })
}

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
    rule: fn(&mut Search, &Situation, &[u64]) -> f64,
) -> Result<f64, DiagnosisError> {
    let actions = problem.questions.len() + problem.repairs.len();
    at_most("number of checks and repairs", actions, EXACT_ACTIONS_MAX)?;
    let mut search = Search { problem, rule, known: BTreeMap::new() };
    let start = problem.start();
    let answers = vec![0; problem.questions.len()];
    let mass: f64 = start.belief.iter().sum();
    Ok(search.minutes(start, answers) / mass)
}

/// A problem small enough to be solved exactly: the hypotheses believed in most, the rest joined to
/// the unknown fault, and the questions with the fewest expected minutes, each with its most
/// telling answers.
pub fn small(
    problem: &Problem,
    hypotheses_max: usize,
    questions_max: usize,
    answers_max: usize,
) -> Problem {
    let unknown = problem.belief.len() - 1;
    let mut kept: Vec<usize> = (0..unknown).collect();
    kept.sort_by(|&a, &b| problem.belief[b].total_cmp(&problem.belief[a]).then(a.cmp(&b)));
    let mut joined = kept.split_off(hypotheses_max.min(unknown));
    joined.push(unknown);
    kept.sort_unstable();

    let rest: f64 = joined.iter().map(|&at| problem.belief[at]).sum();
    let mut belief: Vec<f64> = kept.iter().map(|&at| problem.belief[at]).collect();
    belief.push(rest);
    let keep_row = |row: &[f64]| -> Vec<f64> {
        let mut small: Vec<f64> = kept.iter().map(|&at| row[at]).collect();
        let sum: f64 = joined.iter().map(|&at| problem.belief[at] * row[at]).sum();
        small.push(if rest > 0.0 { sum / rest } else { row[unknown] });
        small
    };
    let keep_cure =
        |&(at, success): &(usize, f64)| kept.binary_search(&at).ok().map(|small| (small, success));

    let asked = prospects(problem, &problem.start());
    let mut ranked: Vec<(f64, usize)> = asked
        .iter()
        .filter_map(|prospect| match prospect.action {
            Action::Ask(question) => Some((prospect.why.expected_minutes, question)),
            Action::Repair(_) | Action::Specialist => None,
        })
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    ranked.truncate(questions_max);
    let questions = ranked.iter().map(|&(_, at)| {
        let question = &problem.questions[at];
        let mut telling: Vec<&Answer> = question.answers.iter().collect();
        let told = |answer: &Answer| spread(&answer.yes, &problem.belief);
        telling.sort_by(|a, b| told(b).total_cmp(&told(a)).then(a.fact.cmp(&b.fact)));
        telling.truncate(answers_max);
        let keep = |answer: &&Answer| Answer { fact: answer.fact, yes: keep_row(&answer.yes) };
        Question { answers: telling.iter().map(keep).collect(), ..question.clone() }
    });
    let repairs = problem.repairs.iter().map(|repair| {
        let cures = repair.cures.iter().filter_map(keep_cure).collect();
        Repair { cures, ..repair.clone() }
    });
    Problem {
        belief,
        questions: questions.collect(),
        repairs: repairs.filter(|repair| !repair.cures.is_empty()).collect(),
        ..problem.clone()
    }
}

struct Search<'a> {
    problem: &'a Problem,
    rule: fn(&mut Search, &Situation, &[u64]) -> f64,
    known: BTreeMap<Key, f64>,
}

impl Search<'_> {
    /// Expected minutes from here, times the sum of the belief.
    fn minutes(&mut self, situation: Situation, answers: Vec<u64>) -> f64 {
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

    fn repair(&mut self, situation: &Situation, answers: &[u64], repair: usize) -> f64 {
        let work = &self.problem.repairs[repair];
        let mass: f64 = situation.belief.iter().sum();
        let now = mass * (work.minutes + self.problem.opening_due(work.opening, situation.opened));
        let after = self.problem.after_failed_repair(situation, repair);
        now + self.minutes(after, answers.to_vec())
    }

    fn ask(&mut self, situation: &Situation, answers: &[u64], question: usize) -> f64 {
        let problem = self.problem;
        let asked = &problem.questions[question];
        let mass: f64 = situation.belief.iter().sum();
        let due = problem.opening_due(asked.opening, situation.opened);
        let mut total = mass * (asked.minutes + due);
        for (answer, belief) in full_outcomes(problem, situation, question) {
            let mut answers = answers.to_vec();
            answers[question] = answer;
            let after = problem.after_answer(situation, question, belief);
            total += self.minutes(after, answers);
        }
        total
    }
}

fn best_of_all(search: &mut Search, situation: &Situation, answers: &[u64]) -> f64 {
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

fn as_planned(search: &mut Search, situation: &Situation, answers: &[u64]) -> f64 {
    match choose(search.problem, situation) {
        Action::Specialist => search.specialist(situation),
        Action::Repair(repair) => search.repair(situation, answers, repair),
        Action::Ask(question) => search.ask(situation, answers, question),
    }
}

/// Every outcome of a question, none taken together. The number of an outcome has one digit per
/// answer, in base 3: yes, no, or not news.
fn full_outcomes(
    problem: &Problem,
    situation: &Situation,
    question: usize,
) -> Vec<(u64, Vec<f64>)> {
    let mut settled = situation.settled;
    let mut outcomes = vec![(1u64, situation.belief.to_vec())];
    for answer in &problem.questions[question].answers {
        if settled & (1 << answer.fact) != 0 {
            outcomes.iter_mut().for_each(|(number, _)| *number = 3 * *number + 2);
            continue;
        }
        settled |= 1 << answer.fact;
        let mut split = Vec::with_capacity(2 * outcomes.len());
        for (number, belief) in outcomes {
            split.push((3 * number, answer.no(&belief)));
            split.push((3 * number + 1, answer.yes(&belief)));
        }
        outcomes = split;
    }
    outcomes.retain(|(_, belief)| belief.iter().sum::<f64>() > 0.0);
    outcomes
}
