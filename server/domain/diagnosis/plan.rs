//! What is the next best step: a check, a repair, or the specialist? Minutes decide.
//!
//! A check is worth asking only when its minutes plus the expected minutes after it are fewer than
//! those of acting now; information for its own sake is worth nothing here. The worth is worked out
//! one check ahead, and for the best few two checks ahead.
//!
//! After the steps that pay come the optional ones: checks that cost more minutes than they are
//! expected to save but still tell the causes apart. They are marked, their `minutes_saved` is not
//! above 0, and they are ordered by information per minute. They serve whoever wants to be surer
//! before a long repair. Checks that tell nothing are never listed.

use super::evidence::{Evidence, settle};
use super::posterior::{Posterior, posterior_of_settled};
use super::problem::{NetworkProblem, Problem, Situation, bit};
use super::repair_order::{Order, best_order};
use super::{Bench, DiagnosisError, Network};

/// Minutes below which a saving is rounding, not a reason.
const SAVING_MIN: f64 = 1e-9;
/// Information below which an optional check tells nothing, in bits.
const INFORMATION_MIN_BITS: f64 = 0.01;
/// Checks that are looked at two ahead.
const LOOK_AHEAD: usize = 3;

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

/// The worth of one question in one situation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Minutes of the question with the opening that is due.
    pub minutes: f64,
    /// Expected minutes of asking and then doing the best.
    pub expected_minutes: f64,
    /// Minutes that the answers save, before the cost of asking. Never negative.
    pub gross_saving: f64,
    pub chance_of_change: f64,
    pub information_bits: f64,
}

/// What to do first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    Ask(usize),
    Repair(usize),
    Specialist,
}

/// The steps worth taking now, best first: checks that pay, then acting, then optional checks.
pub fn next_steps(
    network: &Network,
    bench: &Bench,
    evidence: &[Evidence],
) -> Result<Vec<Step>, DiagnosisError> {
    let settled = settle(network, evidence)?;
    let posterior = posterior_of_settled(network, &settled)?;
    let planned = NetworkProblem::new(network, bench, &posterior, &settled);
    Ok(steps(network, &planned, &posterior))
}

fn steps(network: &Network, planned: &NetworkProblem, posterior: &Posterior) -> Vec<Step> {
    let problem = &planned.problem;
    let start = problem.start();
    let order = best_order(problem, &start);
    let mut paying = Vec::new();
    let mut optional = Vec::new();
    for (question, worth) in worths(problem, &start, &order) {
        let saved = order.minutes - worth.expected_minutes;
        let step = Step {
            kind: StepKind::Check,
            index: Some(planned.questions[question]),
            minutes: worth.minutes,
            minutes_saved: saved,
            optional: saved <= SAVING_MIN,
            why: Why {
                expected_minutes: worth.expected_minutes,
                chance: worth.chance_of_change,
                information_bits: worth.information_bits,
            },
        };
        if !step.optional {
            paying.push(step);
        } else if worth.information_bits >= INFORMATION_MIN_BITS {
            optional.push(step);
        }
    }
    let by_minutes = |a: &Step, b: &Step| {
        a.why.expected_minutes.total_cmp(&b.why.expected_minutes).then(a.index.cmp(&b.index))
    };
    let told = |step: &Step| step.why.information_bits / step.minutes;
    paying.sort_by(by_minutes);
    optional.sort_by(|a, b| told(b).total_cmp(&told(a)).then(a.index.cmp(&b.index)));
    let mut acting = acting_steps(network, planned, &start, posterior);
    acting.sort_by(by_minutes);
    paying.extend(acting);
    paying.extend(optional);
    paying
}

/// Every repair as the first step, and the specialist.
fn acting_steps(
    network: &Network,
    planned: &NetworkProblem,
    start: &Situation,
    posterior: &Posterior,
) -> Vec<Step> {
    let problem = &planned.problem;
    let mut steps = Vec::with_capacity(problem.repairs.len() + 1);
    for (repair, work) in problem.repairs.iter().enumerate() {
        let minutes = work.minutes + problem.opening_due(work.opening, start.opened);
        let after = best_order(problem, &problem.after_failed_repair(start, repair));
        let cured = work.cures.iter().map(|&(at, success)| problem.belief[at] * success).sum();
        let likeliest = work.cures.iter().map(|&(at, _)| at).reduce(|best, at| {
            if problem.belief[at] > problem.belief[best] { at } else { best }
        });
        steps.push(Step {
            kind: StepKind::Repair,
            index: likeliest.map(|at| planned.hypotheses[at]),
            minutes,
            minutes_saved: problem.specialist_minutes - minutes - after.minutes,
            optional: false,
            why: Why {
                expected_minutes: minutes + after.minutes,
                chance: cured,
                information_bits: 0.0,
            },
        });
    }
    let for_specialist = (0..network.causes.len())
        .filter(|&cause| network.causes[cause].specialist)
        .reduce(|a, b| if posterior.single[b] > posterior.single[a] { b } else { a });
    steps.push(Step {
        kind: StepKind::Specialist,
        index: for_specialist,
        minutes: problem.specialist_minutes,
        minutes_saved: 0.0,
        optional: false,
        why: Why {
            expected_minutes: problem.specialist_minutes,
            chance: 1.0,
            information_bits: 0.0,
        },
    });
    steps
}

/// The action with the fewest expected minutes, as `next_steps` would advise it.
pub fn choose(problem: &Problem, situation: &Situation) -> Action {
    let order = best_order(problem, situation);
    let mut best = order.minutes - SAVING_MIN;
    let mut action = order.sequence.first().map_or(Action::Specialist, |&r| Action::Repair(r));
    for (question, worth) in worths(problem, situation, &order) {
        if worth.expected_minutes < best {
            best = worth.expected_minutes;
            action = Action::Ask(question);
        }
    }
    action
}

/// The worth of every question not asked yet: one ahead for all, two ahead for the best few.
fn worths(problem: &Problem, situation: &Situation, order: &Order) -> Vec<(usize, Worth)> {
    let mut worths: Vec<(usize, Worth)> = (0..problem.questions.len())
        .filter(|&question| situation.asked & bit(question) == 0)
        .map(|question| (question, worth(problem, situation, order, question)))
        .collect();
    let mut promising: Vec<usize> = (0..worths.len()).collect();
    promising.sort_by(|&a, &b| {
        worths[a].1.expected_minutes.total_cmp(&worths[b].1.expected_minutes).then(a.cmp(&b))
    });
    promising.truncate(LOOK_AHEAD);
    let pool: Vec<usize> = promising.iter().map(|&at| worths[at].0).collect();
    for &at in &promising {
        let question = worths[at].0;
        let ahead = two_ahead(problem, situation, question, &pool);
        let worth = &mut worths[at].1;
        worth.expected_minutes = worth.expected_minutes.min(worth.minutes + ahead);
    }
    worths
}

/// What a question is worth when its answer is followed by acting.
pub fn worth(problem: &Problem, situation: &Situation, now: &Order, question: usize) -> Worth {
    let mass: f64 = situation.belief.iter().sum();
    let asked = &problem.questions[question];
    let minutes = asked.minutes + problem.opening_due(asked.opening, situation.opened);
    let (mut after, mut after_unopened, mut changed, mut uncertainty) = (0.0, 0.0, 0.0, 0.0);
    let opens = problem.opening_due(asked.opening, situation.opened) > 0.0;
    for belief in problem.outcomes(&situation.belief, question) {
        let chance: f64 = belief.iter().sum();
        uncertainty += chance * entropy_bits(&belief);
        let mut state = problem.after_answer(situation, question, belief);
        let order = best_order(problem, &state);
        after += order.minutes;
        if order.sequence.first() != now.sequence.first() {
            changed += chance;
        }
        if opens {
            state.opened = situation.opened;
            after_unopened += best_order(problem, &state).minutes;
        } else {
            after_unopened += order.minutes;
        }
    }
    Worth {
        minutes,
        expected_minutes: minutes + after / mass,
        gross_saving: ((now.minutes - after_unopened) / mass).max(0.0),
        chance_of_change: changed / mass,
        information_bits: (entropy_bits(&situation.belief) - uncertainty / mass).max(0.0),
    }
}

/// Expected minutes after a question when its answer may be followed by one more of `pool`.
fn two_ahead(problem: &Problem, situation: &Situation, question: usize, pool: &[usize]) -> f64 {
    let mass: f64 = situation.belief.iter().sum();
    let mut total = 0.0;
    for belief in problem.outcomes(&situation.belief, question) {
        let chance: f64 = belief.iter().sum();
        let state = problem.after_answer(situation, question, belief);
        let order = best_order(problem, &state);
        let mut best = order.minutes;
        for &next in pool.iter().filter(|&&next| next != question) {
            best = best.min(chance * expected_minutes(problem, &state, next));
        }
        total += best;
    }
    total / mass
}

/// Expected minutes of asking one question and then acting, per unit of belief.
fn expected_minutes(problem: &Problem, situation: &Situation, question: usize) -> f64 {
    let mass: f64 = situation.belief.iter().sum();
    let asked = &problem.questions[question];
    let minutes = asked.minutes + problem.opening_due(asked.opening, situation.opened);
    let after: f64 = problem
        .outcomes(&situation.belief, question)
        .into_iter()
        .map(|belief| {
            best_order(problem, &problem.after_answer(situation, question, belief)).minutes
        })
        .sum();
    minutes + after / mass
}

/// Entropy of a belief that need not sum to 1, in bits.
fn entropy_bits(belief: &[f64]) -> f64 {
    let total: f64 = belief.iter().sum();
    let mut bits = 0.0;
    for mass in belief.iter().filter(|mass| **mass > 0.0) {
        let share = mass / total;
        bits -= share * share.log2();
    }
    bits
}
