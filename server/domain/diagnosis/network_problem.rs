//! What does the planner have to decide about this machine, after this evidence? Turns network,
//! bench and posterior into a problem: the likely causes become hypotheses, their remedies repairs,
//! and the checks that bring news questions.

use super::evidence::Settled;
use super::posterior::Posterior;
use super::problem::{Answer, Problem, Question, Repair, agree};
use super::{Bench, Check, DiagnosisError, Network};

/// Causes kept apart in a plan; the rest count as unknown.
pub const LIVE_CAUSES_MAX: usize = 24;
/// A cause with a smaller share of the belief counts as unknown in a plan.
pub const LIVE_SHARE_MIN: f64 = 0.002;
/// A problem taken from a network, and what its numbers stand for there.
#[derive(Debug, Clone, PartialEq)]
pub struct NetworkProblem {
    pub problem: Problem,
    /// The causes behind the hypotheses, in order of index; the unknown fault has none.
    pub hypotheses: Vec<usize>,
    /// The check behind each question.
    pub questions: Vec<usize>,
}

impl NetworkProblem {
    /// The problem that remains after the evidence.
    pub fn new(
        network: &Network,
        bench: &Bench,
        posterior: &Posterior,
        settled: &[Settled],
    ) -> Result<NetworkProblem, DiagnosisError> {
        let hypotheses = live_causes(&posterior.single);
        let mut belief: Vec<f64> =
            hypotheses.iter().map(|&cause| posterior.single[cause]).collect();
        // Everything not kept apart is unknown; summing what is left avoids a difference.
        let mut unknown = posterior.single_unknown;
        for (cause, mass) in posterior.single.iter().enumerate() {
            if hypotheses.binary_search(&cause).is_err() {
                unknown += mass;
            }
        }
        belief.push(unknown);
        let rows = Rows { network, posterior, settled, hypotheses: &hypotheses, unknown };
        let mut facts: Vec<usize> = Vec::new();
        let mut questions = Vec::new();
        let mut asked = Vec::new();
        for (index, check) in bench.checks.iter().enumerate() {
            let answers = rows.answers(check, &belief, &mut facts);
            if answers.is_empty() {
                continue;
            }
            let (minutes, opening) = (check.minutes, check.opening);
            questions.push(Question { minutes, opening, answers });
            asked.push(index);
        }
        let problem = Problem::new(
            belief,
            repairs(network, &hypotheses),
            questions,
            opening_minutes(network, bench, settled),
            bench.specialist_minutes,
        )?;
        Ok(NetworkProblem { problem, hypotheses, questions: asked })
    }
}

impl NetworkProblem {
    /// The most probable of the causes that a repair cures.
    pub fn likeliest_cause(&self, repair: usize) -> usize {
        let belief = &self.problem.belief;
        let mut cures = self.problem.repairs[repair].cures.iter().map(|&(at, _)| at);
        let first = cures.next().expect("a repair of a network cures the cause it was made for");
        self.hypotheses[cures.fold(first, |a, b| if belief[b] > belief[a] { b } else { a })]
    }
}

/// Minutes of each opening that is still to be done. A finding that only an opened machine can
/// show was answered, so that opening is done and is not paid for again.
fn opening_minutes(network: &Network, bench: &Bench, settled: &[Settled]) -> Vec<f64> {
    let mut minutes: Vec<f64> = bench.openings.iter().map(|opening| opening.minutes).collect();
    for item in settled.iter().filter(|item| item.is_hard()) {
        let group = network.group(item.finding);
        let shows =
            |check: &&Check| check.reveals.iter().any(|&finding| network.group(finding) == group);
        let mut openings = bench.checks.iter().filter(shows).map(|check| check.opening);
        if let Some(Some(opening)) = openings.next()
            && openings.all(|other| other == Some(opening))
        {
            minutes[opening] = 0.0;
        }
    }
    minutes
}

/// The most probable causes, in order of index.
fn live_causes(single: &[f64]) -> Vec<usize> {
    let mut live: Vec<usize> =
        (0..single.len()).filter(|&cause| single[cause] >= LIVE_SHARE_MIN).collect();
    live.sort_by(|&a, &b| single[b].total_cmp(&single[a]).then(a.cmp(&b)));
    live.truncate(LIVE_CAUSES_MAX);
    live.sort_unstable();
    live
}

/// One repair per remedy and opening. It cures each of its causes, and takes as long as the
/// longest of them.
fn repairs(network: &Network, hypotheses: &[usize]) -> Vec<Repair> {
    let mut repairs: Vec<Repair> = Vec::new();
    let mut remedies: Vec<&str> = Vec::new();
    for (hypothesis, &index) in hypotheses.iter().enumerate() {
        let cause = &network.causes[index];
        if cause.specialist {
            continue;
        }
        let same = repairs.iter().zip(&remedies).position(|(repair, remedy)| {
            !remedy.is_empty() && *remedy == cause.remedy && repair.opening == cause.opening
        });
        match same {
            Some(at) => {
                repairs[at].minutes = repairs[at].minutes.max(cause.repair_minutes);
                repairs[at].cures.push((hypothesis, cause.success));
            }
            None => {
                repairs.push(Repair {
                    minutes: cause.repair_minutes,
                    opening: cause.opening,
                    cures: vec![(hypothesis, cause.success)],
                });
                remedies.push(&cause.remedy);
            }
        }
    }
    repairs
}

/// What the rows of likelihoods are worked out from.
struct Rows<'a> {
    network: &'a Network,
    posterior: &'a Posterior,
    settled: &'a [Settled],
    hypotheses: &'a [usize],
    unknown: f64,
}

impl Rows<'_> {
    /// The news a check brings, one answer per group of findings; `facts` numbers the groups. Of
    /// twins, the one that tells the hypotheses apart best is kept.
    fn answers(&self, check: &Check, belief: &[f64], facts: &mut Vec<usize>) -> Vec<Answer> {
        let mut answers: Vec<Answer> = Vec::new();
        for &finding in &check.reveals {
            let Some(yes) = self.row(finding).filter(|row| !agree(row, belief)) else { continue };
            let group = self.network.group(finding);
            let fact = facts.iter().position(|known| *known == group).unwrap_or_else(|| {
                facts.push(group);
                facts.len() - 1
            });
            match answers.iter_mut().find(|answer| answer.fact == fact) {
                None => answers.push(Answer { fact, yes }),
                Some(twin) if spread(&yes, belief) > spread(&twin.yes, belief) => twin.yes = yes,
                Some(_) => {}
            }
        }
        answers
    }

    /// P(finding present | hypothesis, what was said), or nothing when it is settled already.
    fn row(&self, finding: usize) -> Option<Vec<f64>> {
        let group = self.network.group(finding);
        let said = self.settled.iter().find(|item| self.network.group(item.finding) == group);
        if said.is_some_and(Settled::is_hard) {
            return None;
        }
        // What was said about a finding, or about its twin, already moved its chance.
        let tilt = |p: f64| match said {
            Some(said) => {
                let (present, absent) = (said.if_present * p, said.if_absent * (1.0 - p));
                if present + absent > 0.0 { present / (present + absent) } else { p }
            }
            None => p,
        };
        let chance = |cause: usize| tilt(self.network.compound(cause, finding));
        let mut row: Vec<f64> = self.hypotheses.iter().map(|&cause| chance(cause)).collect();
        let leak = self.network.findings[finding].leak;
        let mut unknown = self.posterior.single_unknown * tilt(leak);
        for (cause, mass) in self.posterior.single.iter().enumerate() {
            if self.hypotheses.binary_search(&cause).is_err() {
                unknown += mass * chance(cause);
            }
        }
        row.push(if self.unknown > 0.0 { unknown / self.unknown } else { tilt(leak) });
        Some(row)
    }
}

/// Variance of the chance of a yes over the belief: how well a finding tells hypotheses apart.
pub(super) fn spread(yes: &[f64], belief: &[f64]) -> f64 {
    let total: f64 = belief.iter().sum();
    let mean = yes.iter().zip(belief).map(|(yes, mass)| yes * mass).sum::<f64>() / total;
    yes.iter().zip(belief).map(|(yes, mass)| mass * (yes - mean).powi(2)).sum::<f64>() / total
}
