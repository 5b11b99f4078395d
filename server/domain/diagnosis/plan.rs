//! What is the next best step: a check, a repair, or the specialist? Minutes decide.
//!
//! A check is worth asking only when its minutes plus the expected minutes after it are fewer than
//! those of acting now; information for its own sake is worth nothing here. Every first step is
//! weighed with the best of what follows: acting, or one more check and then acting. That second
//! look is taken for the few most promising first steps only.
//!
//! After the steps that pay come the optional ones: checks that cost more minutes than they are
//! expected to save but still tell the causes apart. They are marked, their `minutes_saved` is not
//! above 0, and they are ordered by information per minute, stopping for a check included. They
//! serve whoever wants to be surer before a long repair. Checks that tell nothing are never listed.
//!
//! Handing over comes last, since one who looks himself looks first; a repair that costs more
//! minutes per cure than handing over is not listed.

use super::evidence::{Evidence, settle};
use super::network_problem::NetworkProblem;
use super::posterior::{Posterior, posterior_of_settled};
use super::problem::{Problem, Situation, bit};
use super::repair_order::Orderer;
use super::{Bench, DiagnosisError, Network};

/// Minutes below which a saving is rounding, not a reason.
const SAVING_MIN: f64 = 1e-9;
/// Information below which an optional check tells nothing, in bits.
const INFORMATION_MIN_BITS: f64 = 0.01;
/// Chance of changing what is done first below which a check saves nothing by itself: what it seems
/// to save is saved by the check after it (from memory).
const CHANGES_MIN: f64 = 0.005;
/// Added to the minutes of an optional check when it is compared with others: without it, a glance
/// that tells little would come before the check that decides (from memory; 10 or more named the
/// right cause more often on drawn cases than 0).
const STOPPING_MINUTES: f64 = 10.0;
/// Checks that are followed by a second look, and that are looked at second.
const PROMISING_CHECKS: usize = 3;
/// Repairs, the most likely to be worth it first, that are followed by a second look.
const PROMISING_REPAIRS: usize = 2;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepKind {
    Check,
    Repair,
    Specialist,
}

/// Something to do next.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub kind: StepKind,
    /// The check in `Bench::checks`, or the cause in `Network::causes` whose repair it is. For the
    /// specialist, the most probable cause that needs one, if any.
    pub index: Option<usize>,
    /// Minutes of the step itself, with the opening that is due.
    pub minutes: f64,
    /// A check: against acting now. A repair or the specialist: against the specialist at once.
    pub minutes_saved: f64,
    /// A check that does not pay in minutes, for whoever wants to be surer.
    pub optional: bool,
    pub why: Why,
}

/// The numbers behind a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Why {
    /// Expected minutes to the cure when the work begins with this step.
    pub expected_minutes: f64,
    /// A check: the chance that its answer changes what is done first. A repair: the chance that
    /// it cures the fault. The specialist: 1.
    pub chance: f64,
    /// What a check is expected to tell about the cause, in bits; 0 for other steps.
    pub information_bits: f64,
}

/// What to do first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    Ask(usize),
    Repair(usize),
    Specialist,
}

/// Something that could be done first, and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prospect {
    pub action: Action,
    /// Minutes of the action itself, with the opening that is due.
    pub minutes: f64,
    pub why: Why,
}

/// The steps worth taking now, best first: checks that pay, then repairs, then optional checks,
/// then handing over.
pub fn next_steps(
    network: &Network,
    bench: &Bench,
    evidence: &[Evidence],
) -> Result<Vec<Step>, DiagnosisError> {
    let settled = settle(network, evidence)?;
    let posterior = posterior_of_settled(network, &settled)?;
    let planned = NetworkProblem::new(network, bench, &posterior, &settled)?;
    Ok(steps(network, &planned, &posterior))
}

fn steps(network: &Network, planned: &NetworkProblem, posterior: &Posterior) -> Vec<Step> {
    let problem = &planned.problem;
    let prospects = prospects(problem, &problem.start());
    let acting = least_acting(&prospects);
    let mut steps: Vec<Step> = Vec::with_capacity(prospects.len());
    for prospect in &prospects {
        let (kind, index, against) = match prospect.action {
            Action::Ask(question) => (StepKind::Check, Some(planned.questions[question]), acting),
            Action::Repair(repair) => {
                let cause = planned.likeliest_cause(repair);
                (StepKind::Repair, Some(cause), problem.specialist_minutes)
            }
            Action::Specialist => {
                let cause = likeliest_for_specialist(network, posterior);
                (StepKind::Specialist, cause, problem.specialist_minutes)
            }
        };
        let mut minutes_saved = against - prospect.why.expected_minutes;
        if kind == StepKind::Check && prospect.why.chance < CHANGES_MIN {
            minutes_saved = minutes_saved.min(0.0);
        }
        let worth = prospect.why.chance * problem.specialist_minutes;
        if kind == StepKind::Repair && prospect.minutes >= worth {
            continue;
        }
        steps.push(Step {
            kind,
            index,
            minutes: prospect.minutes,
            minutes_saved,
            optional: kind == StepKind::Check && minutes_saved <= SAVING_MIN,
            why: prospect.why,
        });
    }
    let told = |step: &Step| step.why.information_bits / (step.minutes + STOPPING_MINUTES);
    steps.retain(|step| !step.optional || step.why.information_bits >= INFORMATION_MIN_BITS);
    steps.sort_by(|a, b| {
        let by_minutes = a.why.expected_minutes.total_cmp(&b.why.expected_minutes);
        let by_worth = if a.optional { told(b).total_cmp(&told(a)) } else { by_minutes };
        rank(a).cmp(&rank(b)).then(by_worth).then(a.index.cmp(&b.index))
    });
    steps
}

/// Checks that pay, then repairs, then optional checks, then handing over.
fn rank(step: &Step) -> u8 {
    match (step.kind, step.optional) {
        (StepKind::Check, false) => 0,
        (StepKind::Repair, _) => 1,
        (StepKind::Check, true) => 2,
        (StepKind::Specialist, _) => 3,
    }
}

fn likeliest_for_specialist(network: &Network, posterior: &Posterior) -> Option<usize> {
    (0..network.causes.len())
        .filter(|&cause| network.causes[cause].specialist)
        .reduce(|a, b| if posterior.single[b] > posterior.single[a] { b } else { a })
}

/// The action with the fewest expected minutes; a check only when it beats acting now.
pub fn choose(problem: &Problem, situation: &Situation) -> Action {
    let prospects = prospects(problem, situation);
    let acting = least_acting(&prospects);
    let pays = |prospect: &&Prospect| match prospect.action {
        Action::Ask(_) => prospect.why.expected_minutes < acting - SAVING_MIN,
        Action::Repair(_) | Action::Specialist => true,
    };
    prospects
        .iter()
        .filter(pays)
        .reduce(|a, b| if b.why.expected_minutes < a.why.expected_minutes { b } else { a })
        .map_or(Action::Specialist, |best| best.action)
}

fn least_acting(prospects: &[Prospect]) -> f64 {
    prospects
        .iter()
        .filter(|prospect| !matches!(prospect.action, Action::Ask(_)))
        .map(|prospect| prospect.why.expected_minutes)
        .fold(f64::INFINITY, f64::min)
}

/// Everything that could be done first: the specialist, each repair, each check that brings news.
pub fn prospects(problem: &Problem, situation: &Situation) -> Vec<Prospect> {
    let mut look = Look::new(problem);
    let mut checks: Vec<Prospect> = (0..problem.questions.len())
        .filter(|&question| situation.asked & bit(question) == 0)
        .filter_map(|question| look.check(situation, question))
        .collect();
    let mut repairs: Vec<Prospect> = (0..problem.repairs.len())
        .filter(|&repair| situation.tried & bit(repair) == 0)
        .map(|repair| look.repair(situation, repair))
        .collect();
    // Stable: equals stay in order of index.
    checks.sort_by(|a, b| a.why.expected_minutes.total_cmp(&b.why.expected_minutes));
    repairs.sort_by(|a, b| a.why.expected_minutes.total_cmp(&b.why.expected_minutes));
    let pool: Vec<usize> = checks
        .iter()
        .take(PROMISING_CHECKS)
        .filter_map(|check| match check.action {
            Action::Ask(question) => Some(question),
            Action::Repair(_) | Action::Specialist => None,
        })
        .collect();
    for prospect in checks.iter_mut().take(PROMISING_CHECKS) {
        prospect.why.expected_minutes = look.two_ahead(situation, prospect, &pool);
    }
    for prospect in repairs.iter_mut().take(PROMISING_REPAIRS) {
        prospect.why.expected_minutes = look.two_ahead(situation, prospect, &pool);
    }
    let minutes = problem.specialist_minutes;
    let why = Why { expected_minutes: minutes, chance: 1.0, information_bits: 0.0 };
    let specialist = Prospect { action: Action::Specialist, minutes, why };
    std::iter::once(specialist).chain(repairs).chain(checks).collect()
}

/// Minutes that the answers of a question save before the cost of asking, when acting follows.
/// Never negative, and 0 when no answer changes the plan.
pub fn gross_saving(problem: &Problem, situation: &Situation, question: usize) -> f64 {
    let mut look = Look::new(problem);
    let mass: f64 = situation.belief.iter().sum();
    let mut after = 0.0;
    for (chance, belief) in problem.outcomes(situation, question).iter() {
        let mut state = problem.after_answer(situation, question, belief);
        state.opened = situation.opened;
        after += chance / mass * look.acting(&state);
    }
    look.acting(situation) - after
}

/// Looks ahead in one problem. All minutes are expected minutes to the cure.
struct Look<'a> {
    problem: &'a Problem,
    orderer: Orderer<'a>,
    /// Minutes that each hypothesis takes at the least, were it known to be the fault.
    least_minutes: Vec<f64>,
}

impl<'a> Look<'a> {
    fn new(problem: &'a Problem) -> Look<'a> {
        let least_minutes = least_minutes(problem);
        Look { problem, orderer: Orderer::new(problem), least_minutes }
    }

    /// Repairs in the best order and then the specialist, with no more checks.
    fn acting(&mut self, situation: &Situation) -> f64 {
        self.orderer.minutes_and_first(situation).0
    }

    /// One question, then acting.
    fn asking(&mut self, situation: &Situation, question: usize) -> f64 {
        let mass: f64 = situation.belief.iter().sum();
        let mut after = 0.0;
        for (chance, belief) in self.problem.outcomes(situation, question).iter() {
            after += chance * self.acting(&self.problem.after_answer(situation, question, belief));
        }
        self.problem.question_minutes(situation, question) + after / mass
    }

    /// The best of acting and of asking one of `pool`, then acting.
    fn acting_or_asking(&mut self, situation: &Situation, pool: &[usize]) -> f64 {
        let mut best = self.acting(situation);
        let mass: f64 = situation.belief.iter().sum();
        let known: f64 = situation.belief.iter().zip(&self.least_minutes).map(|(m, t)| m * t).sum();
        for &question in pool.iter().filter(|&&question| situation.asked & bit(question) == 0) {
            // Could it tell the fault for certain, it would still cost more than it saves.
            if self.problem.question_minutes(situation, question) + known / mass < best {
                best = best.min(self.asking(situation, question));
            }
        }
        best
    }

    /// A question as the first step, followed by acting; nothing when it brings no news.
    fn check(&mut self, situation: &Situation, question: usize) -> Option<Prospect> {
        let outcomes = self.problem.outcomes(situation, question);
        if outcomes.len() < 2 {
            return None;
        }
        let mass: f64 = situation.belief.iter().sum();
        let first_now = self.orderer.minutes_and_first(situation).1;
        let (mut after, mut changed, mut uncertainty) = (0.0, 0.0, 0.0);
        for (chance, belief) in outcomes.iter() {
            let share = chance / mass;
            uncertainty += share * entropy_bits(belief);
            let state = self.problem.after_answer(situation, question, belief);
            let (minutes, first) = self.orderer.minutes_and_first(&state);
            after += share * minutes;
            changed += if first == first_now { 0.0 } else { share };
        }
        let minutes = self.problem.question_minutes(situation, question);
        let information_bits = (entropy_bits(&situation.belief) - uncertainty).max(0.0);
        let why = Why { expected_minutes: minutes + after, chance: changed, information_bits };
        Some(Prospect { action: Action::Ask(question), minutes, why })
    }

    /// A repair as the first step, followed by acting.
    fn repair(&mut self, situation: &Situation, repair: usize) -> Prospect {
        let minutes = self.problem.repair_minutes(situation, repair);
        let state = self.problem.after_failed_repair(situation, repair);
        let mass: f64 = situation.belief.iter().sum();
        let failed = state.belief.iter().sum::<f64>() / mass;
        let expected_minutes = minutes + failed * self.acting(&state);
        let why = Why { expected_minutes, chance: 1.0 - failed, information_bits: 0.0 };
        Prospect { action: Action::Repair(repair), minutes, why }
    }

    /// Expected minutes of a first step followed by acting, or by one more check and then acting.
    fn two_ahead(&mut self, situation: &Situation, first: &Prospect, pool: &[usize]) -> f64 {
        let problem = self.problem;
        let mass: f64 = situation.belief.iter().sum();
        let mut after = 0.0;
        let mut add = |state: Situation, chance: f64| {
            if chance > 0.0 {
                after += chance * self.acting_or_asking(&state, pool);
            }
        };
        match first.action {
            Action::Specialist => {}
            Action::Repair(repair) => {
                let state = problem.after_failed_repair(situation, repair);
                let chance = state.belief.iter().sum();
                add(state, chance);
            }
            Action::Ask(question) => {
                for (chance, belief) in problem.outcomes(situation, question).iter() {
                    add(problem.after_answer(situation, question, belief), chance);
                }
            }
        }
        first.minutes + after / mass
    }
}

/// A repair of the fault and, should it fail, the specialist; or the specialist at once. A second
/// repair of the same fault may come between, so that there the specialist is left out.
pub(super) fn least_minutes(problem: &Problem) -> Vec<f64> {
    let specialist = problem.specialist_minutes;
    let mut least = vec![specialist; problem.belief.len()];
    for repair in &problem.repairs {
        for &(hypothesis, success) in &repair.cures {
            let failed = if problem.overlapping { 0.0 } else { 1.0 - success };
            least[hypothesis] = least[hypothesis].min(repair.minutes + failed * specialist);
        }
    }
    least
}

/// Entropy of a belief that need not sum to 1, in bits.
fn entropy_bits(belief: &[f64]) -> f64 {
    let total: f64 = belief.iter().sum();
    let mut sum = 0.0;
    for mass in belief.iter().filter(|mass| **mass > 0.0) {
        sum += mass * mass.log2();
    }
    total.log2() - sum / total
}
