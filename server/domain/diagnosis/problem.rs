//! What is there to decide? Hypotheses with their chances, repairs that cure some of them, checks
//! that tell them apart, and what each costs in minutes. This is the planner's view: exactly one
//! fault is present, or something unknown; the theory of repair order needs that.
//! Deliberately absent: the choice itself (see plan and optimum).

use super::evidence::Settled;
use super::posterior::Posterior;
use super::{Bench, DiagnosisError, Network, positive, within};

/// Causes kept apart in a plan; the rest count as unknown.
pub const LIVE_CAUSES_MAX: usize = 24;
/// A cause with a smaller share of the belief counts as unknown in a plan.
pub const LIVE_SHARE_MIN: f64 = 0.002;
/// Repairs, openings and checks are kept as bits of one word.
const BITS: usize = 64;
/// Outcomes of one check that are planned for one by one; the least likely are taken together.
const OUTCOMES_MAX: usize = 48;
/// Outcomes less likely than this are taken together.
const OUTCOME_SHARE_MIN: f64 = 0.002;

/// A repair: what it costs and which hypotheses it cures, each with its chance of success.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    pub minutes: f64,
    pub opening: Option<usize>,
    pub cures: Vec<(usize, f64)>,
}

/// A check: for each finding it reveals, P(present | hypothesis) over all hypotheses.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    pub minutes: f64,
    pub opening: Option<usize>,
    pub findings: Vec<Vec<f64>>,
}

/// Everything a plan needs to know. The last hypothesis is the unknown fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    pub belief: Vec<f64>,
    pub repairs: Vec<Repair>,
    pub questions: Vec<Question>,
    pub opening_minutes: Vec<f64>,
    pub specialist_minutes: f64,
}

/// Where the work stands. The belief need not sum to 1: its sum is the chance of getting here.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    pub belief: Vec<f64>,
    /// Bit r: repair r was tried and did not cure the fault.
    pub tried: u64,
    /// Bit q: question q was answered.
    pub asked: u64,
    /// Bit o: opening o is done.
    pub opened: u64,
}

/// A problem taken from a network, and what its numbers stand for there.
#[derive(Debug, Clone, PartialEq)]
pub struct NetworkProblem {
    pub problem: Problem,
    /// The causes behind the hypotheses, in order of index; the unknown fault has none.
    pub hypotheses: Vec<usize>,
    /// The check behind each question.
    pub questions: Vec<usize>,
}

impl Problem {
    pub fn validate(&self) -> Result<(), DiagnosisError> {
        positive("specialist_minutes", self.specialist_minutes)?;
        within("number of repairs", self.repairs.len() as f64, 0.0, BITS as f64)?;
        within("number of questions", self.questions.len() as f64, 0.0, BITS as f64)?;
        within("number of openings", self.opening_minutes.len() as f64, 0.0, BITS as f64)?;
        for belief in &self.belief {
            within("belief", *belief, 0.0, 1.0)?;
        }
        for repair in &self.repairs {
            positive("minutes of a repair", repair.minutes)?;
            for &(_, success) in &repair.cures {
                within("success of a repair", success, 0.0, 1.0)?;
            }
        }
        for question in &self.questions {
            positive("minutes of a question", question.minutes)?;
            for probability in question.findings.iter().flatten() {
                within("probability of a finding", *probability, 0.0, 1.0)?;
            }
        }
        Ok(())
    }

    pub fn start(&self) -> Situation {
        Situation { belief: self.belief.clone(), tried: 0, asked: 0, opened: 0 }
    }

    /// Minutes of an opening, 0 when none is needed or it is done.
    pub fn opening_due(&self, opening: Option<usize>, opened: u64) -> f64 {
        match opening {
            Some(opening) if opened & bit(opening) == 0 => self.opening_minutes[opening],
            _ => 0.0,
        }
    }

    /// The situation after a repair was tried and the fault is still there. An imperfect repair
    /// leaves part of the belief in its cause.
    pub fn after_failed_repair(&self, situation: &Situation, repair: usize) -> Situation {
        let mut after = situation.clone();
        for &(hypothesis, success) in &self.repairs[repair].cures {
            after.belief[hypothesis] *= 1.0 - success;
        }
        after.tried |= bit(repair);
        after.opened |= opening_bit(self.repairs[repair].opening);
        after
    }

    /// The beliefs to which the answers of a question lead; their sums are the chances of the
    /// answers. Findings are independent given the fault. A finding on which all hypotheses agree
    /// is skipped. Rare outcomes are taken together, which can only make the check look worth
    /// less than it is.
    pub fn outcomes(&self, belief: &[f64], question: usize) -> Vec<Vec<f64>> {
        let total: f64 = belief.iter().sum();
        let mut outcomes = vec![belief.to_vec()];
        let mut rare: Option<Vec<f64>> = None;
        for likelihood in &self.questions[question].findings {
            if agree(likelihood, belief) {
                continue;
            }
            let mut split = Vec::with_capacity(2 * outcomes.len());
            for outcome in outcomes {
                let present: Vec<f64> =
                    outcome.iter().zip(likelihood).map(|(mass, p)| mass * p).collect();
                let absent: Vec<f64> =
                    outcome.iter().zip(likelihood).map(|(mass, p)| mass * (1.0 - p)).collect();
                for part in [absent, present] {
                    let mass: f64 = part.iter().sum();
                    if mass >= OUTCOME_SHARE_MIN * total {
                        split.push(part);
                    } else if mass > 0.0 {
                        pool(&mut rare, part);
                    }
                }
            }
            if split.len() > OUTCOMES_MAX {
                split.sort_by(|a, b| b.iter().sum::<f64>().total_cmp(&a.iter().sum::<f64>()));
                split.drain(OUTCOMES_MAX..).for_each(|part| pool(&mut rare, part));
            }
            outcomes = split;
        }
        outcomes.extend(rare);
        outcomes
    }

    /// The situation after a question was asked and one of its outcomes came.
    pub fn after_answer(
        &self,
        situation: &Situation,
        question: usize,
        belief: Vec<f64>,
    ) -> Situation {
        Situation {
            belief,
            tried: situation.tried,
            asked: situation.asked | bit(question),
            opened: situation.opened | opening_bit(self.questions[question].opening),
        }
    }
}

pub(super) fn bit(index: usize) -> u64 {
    1 << index
}

pub(super) fn opening_bit(opening: Option<usize>) -> u64 {
    opening.map_or(0, bit)
}

/// Whether every hypothesis still believed in gives the finding the same chance.
fn agree(likelihood: &[f64], belief: &[f64]) -> bool {
    let mut believed = likelihood.iter().zip(belief).filter(|(_, mass)| **mass > 0.0);
    match believed.next() {
        Some((first, _)) => believed.all(|(other, _)| other == first),
        None => true,
    }
}

fn pool(rare: &mut Option<Vec<f64>>, part: Vec<f64>) {
    match rare {
        None => *rare = Some(part),
        Some(rare) => rare.iter_mut().zip(&part).for_each(|(sum, mass)| *sum += mass),
    }
}

impl NetworkProblem {
    /// The problem that remains after the evidence.
    pub fn new(
        network: &Network,
        bench: &Bench,
        posterior: &Posterior,
        settled: &[Settled],
    ) -> NetworkProblem {
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
        let mut questions = Vec::new();
        let mut asked = Vec::new();
        for (index, check) in bench.checks.iter().enumerate() {
            let findings: Vec<Vec<f64>> =
                check.reveals.iter().filter_map(|&finding| rows.row(finding)).collect();
            if findings.iter().all(|row| agree(row, &belief)) || asked.len() == BITS {
                continue;
            }
            let (minutes, opening) = (check.minutes, check.opening);
            questions.push(Question { minutes, opening, findings });
            asked.push(index);
        }
        let problem = Problem {
            repairs: repairs(network, &hypotheses),
            belief,
            questions,
            opening_minutes: bench.openings.iter().map(|opening| opening.minutes).collect(),
            specialist_minutes: bench.specialist_minutes,
        };
        NetworkProblem { problem, hypotheses, questions: asked }
    }
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
