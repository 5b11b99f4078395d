//! What holds for every plan: random small problems against every order and the exact optimum, and
//! a small workshop through the front door.

use proptest::prelude::{Strategy, any, prop, prop_assert, proptest};

use super::evidence::{Evidence, EvidenceKind};
use super::optimum::{exact_optimum, plan_quality, policy_minutes};
use super::plan::{Step, StepKind, gross_saving, least_minutes, next_steps};
use super::problem::{Answer, Problem, Question, Repair, Situation, bit};
use super::repair_order::{best_order, by_subsets};
use super::{Bench, Cause, Check, Finding, Link, Network, Opening};

fn shares(belief: &[f64]) -> Vec<f64> {
    let total: f64 = belief.iter().sum();
    belief.iter().map(|mass| mass / total).collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

fn opening() -> impl Strategy<Value = Option<usize>> {
    (0usize..4).prop_map(|at| (at < 2).then_some(at))
}

/// Up to `causes_max` causes with a repair each, two openings, up to `questions_max` checks.
fn problems(causes_max: usize, questions_max: usize) -> impl Strategy<Value = Problem> {
    (1..=causes_max, 0..=questions_max).prop_flat_map(|(causes, questions)| {
        let repair = (1.0..90.0, opening(), 0.5..=1.0);
        let row = prop::collection::vec(0.02..0.98, causes + 1);
        let answers = prop::collection::vec((0usize..6, row), 1..=2);
        let question = (1.0..15.0, opening(), answers);
        (
            prop::collection::vec(0.01..1.0, causes + 1),
            prop::collection::vec(repair, causes),
            prop::collection::vec(question, questions),
            (0.0..20.0, 0.0..20.0),
            60.0..400.0,
        )
            .prop_map(|(belief, repairs, questions, openings, specialist)| {
                let repair = |(cause, (minutes, opening, success))| Repair {
                    minutes,
                    opening,
                    cures: vec![(cause, success)],
                };
                let answer = |(fact, yes)| Answer { fact, yes };
                let question = |(minutes, opening, answers): (f64, Option<usize>, Vec<_>)| {
                    let answers = answers.into_iter().map(answer).collect();
                    Question { minutes, opening, answers }
                };
                Problem::new(
                    shares(&belief),
                    repairs.into_iter().enumerate().map(repair).collect(),
                    questions.into_iter().map(question).collect(),
                    vec![openings.0, openings.1],
                    specialist,
                )
                .expect("drawn within bounds")
            })
    })
}

/// The least expected minutes over every order of every subset of repairs: the definition.
fn least_of_all_orders(problem: &Problem, state: &Situation, spent: f64) -> f64 {
    let mass: f64 = state.belief.iter().sum();
    let mut best = spent + mass * problem.specialist_minutes;
    for repair in 0..problem.repairs.len() {
        if state.tried & bit(repair) == 0 {
            let minutes = spent + mass * problem.repair_minutes(state, repair);
            let after = problem.after_failed_repair(state, repair);
            best = best.min(least_of_all_orders(problem, &after, minutes));
        }
    }
    best
}

proptest! {
    #[test]
    fn order_of_repairs_is_the_best_of_all(problem in problems(6, 0)) {
        let start = problem.start();
        let order = best_order(&problem, &start);
        let least = least_of_all_orders(&problem, &start, 0.0);
        prop_assert!(close(order.minutes, least), "{} against {least}", order.minutes);
        prop_assert!(close(by_subsets(&problem, &start).minutes, least));
    }

    /// Without openings and with certain cures, chance per minute is the whole rule.
    #[test]
    fn chance_per_minute_is_the_rule(mut problem in problems(7, 0)) {
        problem.repairs.iter_mut().for_each(|repair| {
            repair.opening = None;
            repair.cures[0].1 = 1.0;
        });
        let order = best_order(&problem, &problem.start());
        let rate = |&repair: &usize| problem.belief[repair] / problem.repairs[repair].minutes;
        let rates: Vec<f64> = order.sequence.iter().map(rate).collect();
        prop_assert!(rates.is_sorted_by(|a, b| a >= b), "{rates:?}");
        let least = least_of_all_orders(&problem, &problem.start(), 0.0);
        prop_assert!(close(order.minutes, least));
    }

    #[test]
    fn answers_never_cost_before_they_are_paid_for(problem in problems(6, 3)) {
        let start = problem.start();
        let now = best_order(&problem, &start);
        for question in 0..problem.questions.len() {
            let gross = gross_saving(&problem, &start, question);
            prop_assert!(gross >= -1e-9, "{gross}");
            let same_plan = problem.outcomes(&start, question).iter().all(|(_, belief)| {
                let mut state = problem.after_answer(&start, question, belief);
                state.opened = start.opened;
                best_order(&problem, &state).sequence == now.sequence
            });
            prop_assert!(!same_plan || gross.abs() < 1e-9, "{gross} though the plan stays");
        }
    }

    #[test]
    fn answers_commute(problem in problems(5, 2), first in any::<bool>(), second in any::<bool>()) {
        let mut answers = problem.questions.iter().flat_map(|question| &question.answers);
        let (Some(a), Some(b)) = (answers.next(), answers.next()) else { return Ok(()) };
        let tell = |answer: &Answer, yes: bool, belief: &[f64]| {
            if yes { answer.yes(belief) } else { answer.no(belief) }
        };
        let ab = tell(b, second, &tell(a, first, &problem.belief));
        let ba = tell(a, first, &tell(b, second, &problem.belief));
        for (ab, ba) in ab.iter().zip(&ba) {
            prop_assert!(close(*ab, *ba));
        }
    }

    #[test]
    fn no_order_beats_knowing_the_fault(problem in problems(6, 1)) {
        let start = problem.start();
        let known = least_minutes(&problem);
        let known: f64 = problem.belief.iter().zip(&known).map(|(mass, least)| mass * least).sum();
        let mass: f64 = problem.belief.iter().sum();
        prop_assert!(best_order(&problem, &start).minutes >= known / mass - 1e-9);
    }

    #[test]
    fn outcomes_share_out_the_belief(problem in problems(5, 3)) {
        for question in 0..problem.questions.len() {
            let outcomes = problem.outcomes(&problem.start(), question);
            for (at, mass) in problem.belief.iter().enumerate() {
                let sum: f64 = outcomes.iter().map(|(_, outcome)| outcome[at]).sum();
                prop_assert!(close(sum, *mass));
            }
            for (chance, outcome) in outcomes.iter() {
                prop_assert!(close(chance, outcome.iter().sum()));
            }
        }
    }
}

proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(48))]
    #[test]
    fn no_plan_beats_the_optimum(problem in problems(4, 3)) {
        let best = exact_optimum(&problem).expect("small");
        let planned = policy_minutes(&problem).expect("small");
        prop_assert!(planned >= best - 1e-9, "{planned} beats {best}");
        prop_assert!(planned <= 1.25 * best, "{planned} against {best}");
        prop_assert!(best <= best_order(&problem, &problem.start()).minutes + 1e-9);
    }
}

/// Numbers between 0 and 1 that are the same on every run.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A workshop drawn at random: five causes, eight findings, five checks of one or two findings, one
/// opening. Each cause shows as about half of the findings.
fn drawn_workshop(draws: &mut Draws) -> (Network, Bench) {
    let causes: Vec<Cause> = (0..5)
        .map(|at| Cause {
            id: format!("d{at}"),
            prior: 0.02 + 0.1 * draws.next(),
            repair_minutes: 5.0 + 80.0 * draws.next(),
            success: 0.8 + 0.2 * draws.next(),
            opening: (draws.next() < 0.5).then_some(0),
            specialist: false,
            remedy: String::new(),
        })
        .collect();
    let findings: Vec<Finding> = (0..8)
        .map(|at| Finding {
            id: format!("f{at}"),
            leak: 0.01 + 0.05 * draws.next(),
            sensitivity: 0.85,
            false_alarm: 0.02,
            group: String::new(),
        })
        .collect();
    let mut links = Vec::new();
    for cause in &causes {
        for finding in &findings {
            if draws.next() < 0.5 {
                let (cause, finding) = (cause.id.clone(), finding.id.clone());
                links.push(Link { cause, finding, probability: 0.1 + 0.85 * draws.next() });
            }
        }
    }
    let network = Network::from_compound(causes, findings, &links).expect("valid");
    let checks = (0..5)
        .map(|at| Check {
            id: format!("c{at}"),
            minutes: 1.0 + 10.0 * draws.next(),
            opening: (draws.next() < 0.5).then_some(0),
            reveals: vec![3 + at, 2 + at],
        })
        .collect();
    let openings = vec![Opening { id: "open".to_string(), minutes: 6.0 }];
    let bench = Bench::new(&network, checks, openings, 240.0).expect("valid");
    (network, bench)
}

/// The bar is 3 % over the exact optimum on average; measured, it is under 0.5 %.
#[test]
fn plans_are_close_to_the_optimum() {
    let mut draws = Draws(20_240_501);
    let (mut planned, mut optimum) = (0.0, 0.0);
    for _ in 0..25 {
        let (network, bench) = drawn_workshop(&mut draws);
        let heard = |finding| Evidence {
            finding,
            present: true,
            kind: EvidenceKind::Heard { confidence: 1.0 },
        };
        let quality = plan_quality(&network, &bench, &[heard(0), heard(1)]).expect("valid");
        assert!(quality.planned_minutes >= quality.optimum_minutes - 1e-9);
        planned += quality.planned_minutes;
        optimum += quality.optimum_minutes;
    }
    assert!(planned <= 1.005 * optimum, "{planned} against {optimum}");
}

fn named(network: &Network, bench: &Bench, steps: &[Step]) -> Vec<(String, [u64; 4])> {
    let name = |step: &Step| match (step.kind, step.index) {
        (StepKind::Check, Some(at)) => bench.checks[at].id.clone(),
        (_, Some(at)) => network.causes[at].id.clone(),
        (_, None) => "specialist".to_string(),
    };
    let numbers = |step: &Step| {
        [step.minutes, step.minutes_saved, step.why.expected_minutes, step.why.chance]
            .map(f64::to_bits)
    };
    steps.iter().map(|step| (name(step), numbers(step))).collect()
}

/// The order in which a workshop is written down changes no byte of the plan.
#[test]
fn order_of_writing_changes_no_byte() {
    let mut draws = Draws(7);
    for _ in 0..20 {
        let (network, bench) = drawn_workshop(&mut draws);
        let mut turned = bench.clone();
        turned.checks.reverse();
        turned.checks.iter_mut().for_each(|check| check.reveals.reverse());
        let Bench { checks, openings, specialist_minutes } = turned;
        let turned = Bench::new(&network, checks, openings, specialist_minutes).expect("valid");
        let mut evidence: Vec<Evidence> = [0, 1, 6]
            .map(|finding| Evidence { finding, present: finding < 2, kind: EvidenceKind::Answered })
            .to_vec();
        let plain = next_steps(&network, &bench, &evidence).expect("possible");
        evidence.reverse();
        let other = next_steps(&network, &turned, &evidence).expect("possible");
        assert_eq!(named(&network, &bench, &plain), named(&network, &turned, &other));
    }
}

/// Checks that pay come first and save minutes, then repairs worth more than handing over, then
/// optional checks, which save none; handing over is last.
#[test]
fn steps_are_in_order_of_worth() {
    let mut draws = Draws(11);
    for _ in 0..20 {
        let (network, bench) = drawn_workshop(&mut draws);
        let heard =
            Evidence { finding: 0, present: true, kind: EvidenceKind::Heard { confidence: 0.9 } };
        let steps = next_steps(&network, &bench, &[heard]).expect("possible");
        let kinds: Vec<(StepKind, bool)> =
            steps.iter().map(|step| (step.kind, step.optional)).collect();
        let rank = |kind: &(StepKind, bool)| match kind {
            (StepKind::Check, false) => 0,
            (StepKind::Repair, _) => 1,
            (StepKind::Check, true) => 2,
            (StepKind::Specialist, _) => 3,
        };
        assert!(kinds.is_sorted_by_key(rank), "{kinds:?}");
        let last = steps.last().expect("somebody can always be asked");
        assert_eq!(kinds.iter().filter(|(kind, _)| *kind == StepKind::Specialist).count(), 1);
        assert_eq!(last.kind, StepKind::Specialist);
        for step in &steps {
            match step.kind {
                StepKind::Check => assert_eq!(step.optional, step.minutes_saved <= 1e-9, "{step:?}"),
                StepKind::Repair => {
                    assert!(step.why.expected_minutes < last.why.expected_minutes, "{step:?}");
                }
                StepKind::Specialist => {}
            }
        }
    }
}
