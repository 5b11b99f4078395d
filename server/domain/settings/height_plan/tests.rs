//! Plans held to the rule that they follow.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, proptest};

fn plan(current: f64, target: f64) -> HeightPlanInputs {
    HeightPlanInputs {
        current_height_mm: Some(current),
        target_height_mm: Some(target),
        ..Default::default()
    }
}

#[test]
fn steps_are_even_and_inside_the_rule() {
    let answer =
        height_plan(&HeightPlanInputs { mowing_interval_days: Some(4.0), ..plan(100.0, 30.0) })
            .expect("inside bounds");
    assert_eq!(answer.steps.len(), 3);
    assert_eq!(answer.earliest_day, Some(8.0));
    for step in &answer.steps {
        assert!(step.removed_fraction <= THIRD + 1e-12, "{step:?}");
    }
    // The fewest steps leave no room for equal ones: 67.5, 45 and 30 is the evenest.
    assert!((answer.step_heights_mm[0] - 67.5).abs() < 1e-9);
    assert!((answer.step_heights_mm[1] - 45.0).abs() < 1e-9);
}

#[test]
fn a_day_too_early_names_the_earliest() {
    let answer = height_plan(&HeightPlanInputs {
        mowing_interval_days: Some(4.0),
        time_available_days: Some(7.0),
        start_date: "2026-04-27".to_owned(),
        ..plan(100.0, 30.0)
    })
    .expect("inside bounds");
    assert!(!answer.reaches_target_in_time);
    assert_eq!(answer.earliest_date, "2026-05-05");
    assert!(answer.common.answer.contains("day 8"), "{}", answer.common.answer);
}

#[test]
fn greens_are_stepped_gently_where_time_allows() {
    let answer =
        height_plan(&HeightPlanInputs { time_available_days: Some(21.0), ..plan(5.0, 3.5) })
            .expect("inside bounds");
    let wanted = [4.75, 4.5, 4.25, 4.0, 3.75, 3.5];
    assert_eq!(answer.steps.len(), wanted.len());
    for (step, height) in answer.steps.iter().zip(wanted) {
        assert!((step.height_mm - height).abs() < 1e-9, "{step:?}");
    }
    assert_eq!(answer.steps[5].day, 20.0);
}

#[test]
fn without_a_day_gentle_steps_are_days_apart() {
    let days = |interval: f64| {
        let inputs = HeightPlanInputs { mowing_interval_days: Some(interval), ..plan(4.0, 3.5) };
        let steps = height_plan(&inputs).expect("inside bounds").steps;
        steps.iter().map(|step| step.day).collect::<Vec<f64>>()
    };
    assert_eq!(days(1.0), [0.0, 2.0]);
    assert_eq!(days(3.0), [0.0, 3.0]);
}

#[test]
fn growth_that_outruns_the_rule_is_told() {
    let answer = height_plan(&HeightPlanInputs {
        growth_mm_per_day: Some(5.0),
        mowing_interval_days: Some(7.0),
        ..plan(100.0, 30.0)
    })
    .expect("inside bounds");
    assert!(!answer.reaches_target_in_time && answer.steps.is_empty());
    assert_eq!(answer.earliest_day, None);
    assert!(answer.common.answer.contains("every 3 days"), "{}", answer.common.answer);
}

#[test]
fn a_rise_needs_no_steps() {
    let answer = height_plan(&plan(3.0, 5.0)).expect("inside bounds");
    assert_eq!(answer.step_heights_mm, [5.0]);
    assert_eq!(answer.steps[0].removed_fraction, 0.0);
}

#[test]
fn endless_small_steps_are_refused() {
    let error = height_plan(&HeightPlanInputs { step_limit_mm: Some(0.001), ..plan(100.0, 30.0) })
        .expect_err("70,000 steps");
    assert_eq!(error.field, "step_limit_mm");
    let error =
        height_plan(&HeightPlanInputs { max_removed_fraction: Some(1e-9), ..plan(100.0, 30.0) })
            .expect_err("endless");
    assert_eq!(error.field, "max_removed_fraction");
}

#[test]
fn missing_inputs_are_named() {
    let answer =
        height_plan(&HeightPlanInputs { growth_mm_per_day: Some(1.0), ..Default::default() })
            .expect("nothing is out of bounds");
    let fields: Vec<&str> = answer.common.missing.iter().map(|m| m.field).collect();
    assert_eq!(fields, ["current_height_mm", "target_height_mm", "mowing_interval_days"]);
}

proptest! {
    #[test]
    fn every_step_keeps_the_rules(
        current in 5.0..150.0_f64, share in 0.15..0.95_f64, fraction in 0.1..0.5_f64,
        growth in 0.0..0.5_f64, interval in 0.5..7.0_f64, limit in 0.5..20.0_f64,
        days in 0.0..200.0_f64,
    ) {
        let inputs = HeightPlanInputs {
            max_removed_fraction: Some(fraction),
            growth_mm_per_day: Some(growth),
            mowing_interval_days: Some(interval),
            step_limit_mm: Some(limit),
            time_available_days: Some(days),
            ..plan(current, current * share)
        };
        let answer = height_plan(&inputs).expect("inside");
        let mut set = current;
        for step in &answer.steps {
            prop_assert!(step.removed_fraction <= fraction + 1e-9, "{:?}", step);
            prop_assert!(set - step.height_mm <= limit + 1e-9, "{:?}", step);
            prop_assert!(step.height_mm < set, "heights only fall");
            set = step.height_mm;
        }
        if let Some(earliest) = answer.earliest_day {
            prop_assert!((set - current * share).abs() < 1e-9, "it ends at the target");
            let last = answer.steps.last().expect("at least one step").day;
            prop_assert!(last >= earliest - 1e-9);
            prop_assert!(answer.reaches_target_in_time == (earliest <= days + 1e-6));
            prop_assert!(!answer.reaches_target_in_time || last <= days + 1e-6);
        } else {
            prop_assert!(answer.steps.is_empty() && !answer.reaches_target_in_time);
        }
    }

    #[test]
    fn all_heights_scaled_alike_take_the_same_days(scale in 1.0..3.0_f64) {
        let at = |scale: f64| HeightPlanInputs {
            mowing_interval_days: Some(3.0),
            growth_mm_per_day: Some(0.4 * scale),
            ..plan(60.0 * scale, 20.0 * scale)
        };
        let days = |scale| height_plan(&at(scale)).expect("inside").earliest_day;
        prop_assert!(days(scale) == days(1.0));
    }
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut HeightPlanInputs, f64);
    let base = HeightPlanInputs { mowing_interval_days: Some(1.0), ..plan(10.0, 9.0) };
    let fields: [(&str, Set); 7] = [
        ("current_height_mm", |i, v| i.current_height_mm = Some(v)),
        ("target_height_mm", |i, v| i.target_height_mm = Some(v)),
        ("time_available_days", |i, v| i.time_available_days = Some(v)),
        ("max_removed_fraction", |i, v| i.max_removed_fraction = Some(v)),
        ("mowing_interval_days", |i, v| i.mowing_interval_days = Some(v)),
        ("growth_mm_per_day", |i, v| i.growth_mm_per_day = Some(v)),
        ("step_limit_mm", |i, v| i.step_limit_mm = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&base, field, set, height_plan);
    }
    let error = height_plan(&HeightPlanInputs { start_date: "tomorrow".to_owned(), ..base });
    assert_eq!(error.expect_err("no date").field, "start_date");
}
