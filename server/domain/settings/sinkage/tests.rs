//! What `sinkage_change` promises: ratios multiply, and each new quantity is solved back.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, proptest};

fn ratio(inputs: &SinkageChangeInputs) -> f64 {
    sinkage_change(inputs).expect("inside").sinkage_ratio.expect("answered")
}

fn load(now: f64, new: f64) -> SinkageChangeInputs {
    SinkageChangeInputs {
        roller_load_kg: Some(now),
        new_roller_load_kg: Some(new),
        ..Default::default()
    }
}

fn diameter(now: f64, new: f64) -> SinkageChangeInputs {
    SinkageChangeInputs {
        roller_diameter_mm: Some(now),
        new_roller_diameter_mm: Some(new),
        ..Default::default()
    }
}

proptest! {
    #[test]
    fn steps_multiply(a in 5.0..200.0_f64, b in 5.0..200.0_f64, c in 5.0..200.0_f64) {
        let through = ratio(&load(a, b)) * ratio(&load(b, c));
        prop_assert!((through / ratio(&load(a, c)) - 1.0).abs() < 1e-12);
        let through = ratio(&diameter(a + 10.0, b + 10.0)) * ratio(&diameter(b + 10.0, c + 10.0));
        prop_assert!((through / ratio(&diameter(a + 10.0, c + 10.0)) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn heavier_sinks_more_and_larger_less(now in 20.0..200.0_f64, more in 1.001..2.0_f64) {
        prop_assert!(ratio(&load(now, now * more)) > 1.0);
        prop_assert!(ratio(&diameter(now, now * more)) < 1.0);
        let firmer = SinkageChangeInputs {
            ground_firmness_ratio: Some(more),
            ..Default::default()
        };
        prop_assert!(ratio(&firmer) < 1.0);
        // The unit of load or length does not matter.
        let scaled = ratio(&load(now * 2.2, now * more * 2.2)) / ratio(&load(now, now * more));
        prop_assert!((scaled - 1.0).abs() < 1e-12);
    }

    #[test]
    fn forward_and_back_return_the_new_quantity(
        now in 20.0..100.0_f64, new in 20.0..100.0_f64, sinkage in 0.3..2.0_f64,
        exponent in 0.1..1.3_f64,
    ) {
        let parts = |inputs: SinkageChangeInputs| SinkageChangeInputs {
            sinkage_mm: Some(sinkage),
            sinkage_exponent: Some(exponent),
            ..inputs
        };
        let forward = sinkage_change(&parts(load(now, new))).expect("inside");
        let back = sinkage_change(&SinkageChangeInputs {
            new_roller_load_kg: None,
            new_sinkage_mm: forward.new_sinkage_mm,
            ..parts(load(now, new))
        })
        .expect("inside");
        prop_assert!((back.new_roller_load_kg.expect("solved") / new - 1.0).abs() < 1e-9);
        let forward = sinkage_change(&parts(diameter(now, new))).expect("inside");
        let back = sinkage_change(&SinkageChangeInputs {
            new_roller_diameter_mm: None,
            new_sinkage_mm: forward.new_sinkage_mm,
            ..parts(diameter(now, new))
        })
        .expect("inside");
        prop_assert!((back.new_roller_diameter_mm.expect("solved") / new - 1.0).abs() < 1e-9);
    }
}

#[test]
fn bounds_are_kept() {
    let base = SinkageChangeInputs {
        roller_load_kg: Some(30.0),
        new_roller_load_kg: Some(40.0),
        roller_diameter_mm: Some(50.0),
        new_roller_diameter_mm: Some(60.0),
        roller_width_mm: Some(500.0),
        new_roller_width_mm: Some(600.0),
        sinkage_mm: Some(0.001),
        ..Default::default()
    };
    type Set = fn(&mut SinkageChangeInputs, f64);
    let fields: [(&str, Set); 10] = [
        ("roller_load_kg", |i, v| i.roller_load_kg = Some(v)),
        ("new_roller_load_kg", |i, v| i.new_roller_load_kg = Some(v)),
        ("roller_diameter_mm", |i, v| i.roller_diameter_mm = Some(v)),
        ("new_roller_diameter_mm", |i, v| i.new_roller_diameter_mm = Some(v)),
        ("roller_width_mm", |i, v| i.roller_width_mm = Some(v)),
        ("new_roller_width_mm", |i, v| i.new_roller_width_mm = Some(v)),
        ("ground_firmness_ratio", |i, v| i.ground_firmness_ratio = Some(v)),
        ("sinkage_change.sinkage_mm", |i, v| i.sinkage_mm = Some(v)),
        ("new_sinkage_mm", |i, v| i.new_sinkage_mm = Some(v)),
        ("sinkage_exponent", |i, v| i.sinkage_exponent = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&base, field, set, sinkage_change);
    }
}

#[test]
fn results_that_no_machine_has_are_refused() {
    let heavy = SinkageChangeInputs { sinkage_mm: Some(40.0), ..load(1.0, 4_000.0) };
    assert_eq!(sinkage_change(&heavy).expect_err("metres deep").field, "sinkage_mm");
    let less = SinkageChangeInputs {
        roller_diameter_mm: Some(60.0),
        sinkage_mm: Some(2.0),
        new_sinkage_mm: Some(0.1),
        ..Default::default()
    };
    assert_eq!(sinkage_change(&less).expect_err("a huge roller").field, "new_sinkage_mm");
}

#[test]
fn what_stays_the_same_does_not_matter() {
    let bare = SinkageChangeInputs {
        roller_load_kg: Some(32.0),
        new_roller_load_kg: Some(40.0),
        ..Default::default()
    };
    let with_diameter = SinkageChangeInputs { roller_diameter_mm: Some(60.0), ..bare.clone() };
    let one = sinkage_change(&bare).expect("inside bounds");
    let other = sinkage_change(&with_diameter).expect("inside bounds");
    assert_eq!(one.sinkage_ratio, other.sinkage_ratio);
    let ratio = one.sinkage_ratio.expect("answered");
    assert!(one.sinkage_ratio_low.expect("told") <= ratio);
    assert!(one.sinkage_ratio_high.expect("told") >= ratio);
}

#[test]
fn half_a_pair_and_no_change_are_asked_for() {
    let half = SinkageChangeInputs { new_roller_load_kg: Some(40.0), ..Default::default() };
    let answer = sinkage_change(&half).expect("inside bounds");
    assert_eq!(answer.common.missing[0].field, "roller_load_kg");
    let still = SinkageChangeInputs {
        roller_load_kg: Some(40.0),
        sinkage_mm: Some(1.0),
        ..Default::default()
    };
    let answer = sinkage_change(&still).expect("inside bounds");
    assert_eq!(answer.common.missing[0].field, "new_roller_load_kg");
    assert_eq!(answer.sinkage_ratio, None);
}

#[test]
fn with_two_unknowns_both_are_named() {
    let two = SinkageChangeInputs {
        roller_load_kg: Some(40.0),
        roller_diameter_mm: Some(50.0),
        sinkage_mm: Some(1.0),
        new_sinkage_mm: Some(0.8),
        ..Default::default()
    };
    let answer = sinkage_change(&two).expect("inside bounds");
    let named: Vec<&str> = answer.common.missing.iter().map(|m| m.field).collect();
    assert_eq!(named, ["new_roller_load_kg", "new_roller_diameter_mm"]);
}
