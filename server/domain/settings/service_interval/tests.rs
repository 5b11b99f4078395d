//! What `service_interval` promises: the right method for the kind of history, "not enough
//! readings" where that is the truth, and no number that a longer life would make worse.

use super::*;
use proptest::prelude::{ProptestConfig, prop, prop_assert, proptest};

fn lives(failures: &[f64], survivors: &[f64]) -> ServiceIntervalInputs {
    ServiceIntervalInputs {
        failure_times_h: failures.to_vec(),
        still_running_times_h: survivors.to_vec(),
        ..ServiceIntervalInputs::default()
    }
}

fn answered(inputs: &ServiceIntervalInputs) -> ServiceIntervalAnswer {
    service_interval(inputs).expect("inside the bounds")
}

fn has(answer: &ServiceIntervalAnswer, id: &str) -> bool {
    answer.common.advisories.iter().any(|advice| advice.id == id)
}

fn missing(answer: &ServiceIntervalAnswer) -> Vec<&'static str> {
    answer.common.missing.iter().map(|missing| missing.field).collect()
}

const FIVE: [f64; 5] = [200.0, 310.0, 385.0, 420.0, 510.0];

#[test]
fn four_failures_take_the_prior_and_five_a_fit() {
    let four = answered(&lives(&FIVE[..4], &[290.0]));
    assert!(four.estimator.contains("gamma prior") && four.shape.is_none());
    assert!(has(&four, "few_failures"));
    let five = answered(&lives(&FIVE, &[290.0]));
    assert!(five.estimator.contains("maximum likelihood") && five.shape.is_some());
    assert!(has(&five, "estimator_named"));
    // Five at one age have no fit; the prior answers and says so.
    let same = answered(&lives(&[300.0; 5], &[]));
    assert!(has(&same, "few_failures") && same.next_due_h.is_some());
}

#[test]
fn no_failure_is_not_enough_readings_and_never_a_number() {
    let none = answered(&lives(&[], &[400.0, 500.0]));
    assert_eq!(none.next_due_h, None);
    assert!(none.common.answer.is_empty());
    assert!(has(&none, "not_enough_readings"));
    assert_eq!(missing(&none), ["failure_times_h", "expected_life_h"]);
    let expected =
        ServiceIntervalInputs { expected_life_h: Some(600.0), ..lives(&[], &[400.0, 500.0]) };
    assert!(answered(&expected).next_due_h.is_some());
    assert_eq!(missing(&answered(&ServiceIntervalInputs::default())), ["failure_times_h"]);
}

#[test]
fn few_readings_give_the_wider_interval() {
    let width = |answer: &ServiceIntervalAnswer| {
        (answer.next_due_high_h.expect("due") / answer.next_due_low_h.expect("due")).ln()
    };
    let one = width(&answered(&lives(&FIVE[..1], &[])));
    let three = width(&answered(&lives(&FIVE[..3], &[])));
    let many: Vec<f64> = (0..40).map(|index| 200.0 + 10.0 * f64::from(index)).collect();
    let forty = width(&answered(&lives(&many, &[])));
    assert!(one > three && three > forty, "{one} {three} {forty}");
}

#[test]
fn a_part_past_its_due_time_is_changed_now() {
    let at = |hours| {
        answered(&ServiceIntervalInputs { survived_time_h: Some(hours), ..lives(&FIVE, &[]) })
    };
    assert!(at(600.0).common.answer.contains("change it now"));
    assert!(at(50.0).common.answer.contains("to go"));
}

#[test]
fn the_part_asked_about_is_not_counted_twice() {
    let ask = |survivors: &[f64]| {
        answered(&ServiceIntervalInputs {
            survived_time_h: Some(290.0),
            horizon_h: Some(50.0),
            ..lives(&[310.0, 385.0, 420.0], survivors)
        })
        .failure_probability
        .expect("horizon given")
    };
    assert_eq!(ask(&[290.0]), ask(&[]), "listed or not, it is the same part");
    assert!(ask(&[290.0, 290.0]) < ask(&[290.0]), "a second one is another part");
}

#[test]
fn chance_failures_are_not_answered_with_a_change_by_the_hours() {
    let early = answered(&lives(&[2.0, 10.0, 50.0, 300.0, 1_500.0], &[]));
    assert!(early.shape.expect("fitted") < 1.0);
    assert!(has(&early, "no_wear_out"));
    let count = answered(&ServiceIntervalInputs {
        event_count: Some(4.0),
        exposure_h: Some(2_000.0),
        ..ServiceIntervalInputs::default()
    });
    assert!(has(&count, "steady_rate"));
}

#[test]
fn one_kind_of_history_at_a_time() {
    let mixed = ServiceIntervalInputs { event_count: Some(2.0), ..lives(&FIVE, &[]) };
    assert_eq!(service_interval(&mixed).expect_err("two kinds").field, "event_count");
    let mixed = ServiceIntervalInputs { repair_times_h: vec![10.0], ..lives(&FIVE, &[]) };
    assert_eq!(service_interval(&mixed).expect_err("two kinds").field, "repair_times_h");
}

#[test]
fn a_watch_covers_its_repairs_and_is_asked_for() {
    let repairs = |times: &[f64], watched| ServiceIntervalInputs {
        repair_times_h: times.to_vec(),
        watched_time_h: watched,
        ..ServiceIntervalInputs::default()
    };
    assert_eq!(missing(&answered(&repairs(&[10.0, 20.0], None))), ["watched_time_h"]);
    let error = service_interval(&repairs(&[10.0, 20.0], Some(19.9))).expect_err("too early");
    assert_eq!(error.field, "watched_time_h");
    let few = answered(&repairs(&[100.0, 300.0], Some(400.0)));
    assert!(has(&few, "too_few_for_a_trend"));
    assert_eq!(few.mean_life_h, Some(200.0));
    assert!(few.next_due_h.expect("due") > 400.0);
    let shuffled = answered(&repairs(&[300.0, 43.0, 175.0, 5.0], Some(400.0)));
    let sorted = answered(&repairs(&[5.0, 43.0, 175.0, 300.0], Some(400.0)));
    assert_eq!(shuffled, sorted);
}

#[test]
fn crowding_and_thinning_are_told_apart() {
    let trend = |times: Vec<f64>| {
        answered(&ServiceIntervalInputs {
            repair_times_h: times,
            watched_time_h: Some(1_000.0),
            ..ServiceIntervalInputs::default()
        })
        .common
        .answer
    };
    let late = trend((1..=10).map(|index| 1_000.0 - 5.0 * f64::from(index * index)).collect());
    assert!(late.contains("crowding"), "{late}");
    let early = trend((1..=10).map(|index| 0.9 * 2f64.powi(index)).collect());
    assert!(early.contains("thinning"), "{early}");
    let even = trend((1..=10).map(|index| 95.0 * f64::from(index)).collect());
    assert!(even.contains("no clear trend"), "{even}");
}

#[test]
fn a_count_of_nought_gives_a_lower_end_and_no_due_time() {
    let count = |events, expected| {
        answered(&ServiceIntervalInputs {
            event_count: Some(events),
            exposure_h: Some(800.0),
            expected_life_h: expected,
            ..ServiceIntervalInputs::default()
        })
    };
    let none = count(0.0, None);
    assert_eq!((none.next_due_h, none.mean_life_h, none.mean_life_high_h), (None, None, None));
    assert_eq!(none.common.solved_for, "mean_life_low_h");
    assert!(none.common.answer.contains("Not enough readings"));
    assert_eq!(count(1.0, Some(400.0)).mean_life_h, Some(600.0));
    assert_eq!(count(8.0, Some(400.0)).mean_life_h, Some(100.0), "enough failures need no prior");
    let half = ServiceIntervalInputs {
        event_count: Some(1.5),
        exposure_h: Some(800.0),
        ..lives(&[], &[])
    };
    assert_eq!(service_interval(&half).expect_err("half a failure").field, "event_count");
    let half_told = ServiceIntervalInputs { exposure_h: Some(800.0), ..lives(&[], &[]) };
    assert_eq!(missing(&answered(&half_told)), ["event_count"]);
}

#[test]
fn absurd_numbers_are_refused_by_name() {
    type Put = fn(&mut ServiceIntervalInputs, f64);
    let fields: [(&str, Put); 10] = [
        ("failure_times_h[1]", |i, v| i.failure_times_h = vec![9.0, v]),
        ("still_running_times_h[0]", |i, v| i.still_running_times_h = vec![v]),
        ("survived_time_h", |i, v| i.survived_time_h = Some(v)),
        ("horizon_h", |i, v| i.horizon_h = Some(v)),
        ("allowed_failure_fraction", |i, v| i.allowed_failure_fraction = Some(v)),
        ("confidence_fraction", |i, v| i.confidence_fraction = Some(v)),
        ("repair_times_h[0]", |i, v| i.repair_times_h = vec![v]),
        ("watched_time_h", |i, v| i.watched_time_h = Some(v)),
        ("event_count", |i, v| i.event_count = Some(v)),
        ("exposure_h", |i, v| i.exposure_h = Some(v)),
    ];
    for (name, put) in fields {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1.0] {
            let mut inputs = ServiceIntervalInputs::default();
            put(&mut inputs, bad);
            assert_eq!(service_interval(&inputs).expect_err("out of bounds").field, name, "{bad}");
        }
    }
    assert!(service_interval(&lives(&[0.0], &[])).is_err(), "a life of nothing is no life");
    assert!(service_interval(&lives(&[-0.0], &[])).is_err());
}

#[test]
fn the_extremes_inside_the_bounds_still_give_finite_numbers() {
    for (failures, survivors) in [
        (vec![1e-6, 200_000.0], vec![]),
        (vec![200_000.0; 1_000], vec![200_000.0; 1_000]),
        (vec![1e-6, 1e-5, 1e-3, 1.0, 200_000.0], vec![1e-6; 20]),
        (vec![99.999, 100.0, 100.001, 100.0, 100.0], vec![]),
    ] {
        let answer = answered(&ServiceIntervalInputs {
            survived_time_h: Some(200_000.0),
            horizon_h: Some(200_000.0),
            allowed_failure_fraction: Some(0.001),
            confidence_fraction: Some(0.999),
            ..lives(&failures, &survivors)
        });
        for number in [answer.next_due_h, answer.next_due_low_h] {
            assert!(number.is_some_and(f64::is_finite), "{failures:?}: {number:?}");
        }
        // An upper end past every machine's life is left out, not shown.
        assert!(answer.next_due_high_h.is_none_or(|high| high <= 1e6), "{failures:?}");
        let chance = answer.failure_probability.expect("horizon given");
        assert!((0.0..=1.0).contains(&chance), "{failures:?}: {chance}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn a_longer_survivor_never_brings_the_change_forward(
        failures in prop::collection::vec(100.0..1_000.0f64, 6..12),
        share in 0.1..0.9f64,
    ) {
        // Up to the shortest failure a survivor says only that parts last.
        let shortest = failures.iter().copied().fold(f64::INFINITY, f64::min);
        let due = |survivor: f64| answered(&lives(&failures, &[survivor])).next_due_h.expect("due");
        prop_assert!(due(shortest * share) <= due(shortest) + 1e-6);
    }

    #[test]
    fn allowing_more_failures_moves_the_change_later(
        failures in prop::collection::vec(100.0..1_000.0f64, 1..9),
        allowed in 0.01..0.4f64,
    ) {
        let due = |allowed: f64| answered(&ServiceIntervalInputs {
            allowed_failure_fraction: Some(allowed),
            ..lives(&failures, &[])
        }).next_due_h.expect("due");
        prop_assert!(due(allowed) < due(allowed * 1.5));
    }

    #[test]
    fn chance_of_failing_rises_with_the_horizon(
        failures in prop::collection::vec(100.0..1_000.0f64, 1..9),
        horizon in 1.0..500.0f64,
    ) {
        let chance = |horizon: f64| answered(&ServiceIntervalInputs {
            survived_time_h: Some(80.0),
            horizon_h: Some(horizon),
            ..lives(&failures, &[])
        }).failure_probability.expect("horizon given");
        prop_assert!(chance(horizon) <= chance(horizon * 2.0) + 1e-12);
    }
}
