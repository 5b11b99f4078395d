//! What `brush_contact` promises: overlap, distance and speeds solve each other.

use super::*;
use proptest::prelude::{prop_assert, proptest};

fn answered(inputs: BrushContactInputs) -> BrushContactAnswer {
    brush_contact(&inputs).expect("inside the bounds")
}

fn pair(brush: f64, roller: f64) -> BrushContactInputs {
    BrushContactInputs {
        brush_diameter_mm: Some(brush),
        roller_diameter_mm: Some(roller),
        ..BrushContactInputs::default()
    }
}

#[test]
fn wear_is_followed_by_half_and_the_limit_is_named() {
    let answer = answered(BrushContactInputs {
        brush_diameter_when_set_mm: Some(100.0),
        minimum_brush_diameter_mm: Some(95.0),
        ..pair(95.0, 63.0)
    });
    assert_eq!(answer.setting_change_mm, Some(-2.5));
    assert_eq!(answer.wear_to_limit_mm, Some(0.0));
    assert!(answer.common.answer.contains("replace it"));
}

#[test]
fn a_clear_brush_has_a_negative_overlap() {
    let answer =
        answered(BrushContactInputs { centre_distance_mm: Some(80.0), ..pair(95.0, 63.0) });
    assert_eq!(answer.brush_interference_mm, Some(-1.0));
    assert!(answer.common.answer.contains("clear"));
}

#[test]
fn an_overlap_wanted_beside_the_one_found_says_which_way_to_move() {
    let answer = answered(BrushContactInputs {
        centre_distance_mm: Some(78.0),
        brush_interference_mm: Some(0.2),
        ..pair(95.0, 63.0)
    });
    assert!(answer.common.answer.contains("0.8 mm apart"), "{}", answer.common.answer);
}

#[test]
fn too_little_asks_for_what_fits_the_question() {
    let fields = |inputs: BrushContactInputs| {
        let answer = answered(inputs);
        answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    assert_eq!(
        fields(BrushContactInputs::default()),
        ["brush_diameter_mm", "roller_diameter_mm", "centre_distance_mm"]
    );
    assert_eq!(fields(pair(95.0, 63.0)), ["centre_distance_mm"]);
    let speed = BrushContactInputs { ground_speed_mps: Some(1.5), ..BrushContactInputs::default() };
    assert_eq!(fields(speed), ["brush_diameter_mm", "brush_speed_rpm"]);
}

#[test]
fn absurd_numbers_and_impossible_results_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308] {
        for index in 0..9 {
            let mut given = [
                Some(95.0),
                Some(63.0),
                Some(79.0),
                Some(0.0),
                Some(600.0),
                Some(1.5),
                Some(85.0),
                Some(100.0),
                Some(2.0),
            ];
            given[index] = Some(bad);
            let result = brush_contact(&BrushContactInputs {
                brush_diameter_mm: given[0],
                roller_diameter_mm: given[1],
                centre_distance_mm: given[2],
                brush_interference_mm: given[3],
                brush_speed_rpm: given[4],
                ground_speed_mps: given[5],
                minimum_brush_diameter_mm: given[6],
                brush_diameter_when_set_mm: given[7],
                surface_speed_ratio: given[8],
            });
            assert!(result.is_err(), "field {index} at {bad}");
        }
    }
    let inside_out = BrushContactInputs { brush_interference_mm: Some(50.0), ..pair(40.0, 50.0) };
    assert!(brush_contact(&inside_out).is_err(), "the shafts cannot pass each other");
}

proptest! {
    #[test]
    fn overlap_and_distance_undo_each_other(
        brush in 60.0..500.0f64, roller in 60.0..500.0f64, overlap in -10.0..10.0f64,
    ) {
        let set = answered(BrushContactInputs {
            brush_interference_mm: Some(overlap),
            ..pair(brush, roller)
        });
        let found = answered(BrushContactInputs {
            centre_distance_mm: set.centre_distance_mm,
            ..pair(brush, roller)
        });
        prop_assert!((found.brush_interference_mm.expect("solved") - overlap).abs() < 1e-9);
    }

    #[test]
    fn ratio_and_brush_speed_undo_each_other(
        brush in 60.0..500.0f64, ratio in 0.1..5.0f64, ground in 0.1..5.0f64,
    ) {
        let one = |rpm: Option<f64>, ratio: Option<f64>| answered(BrushContactInputs {
            brush_diameter_mm: Some(brush),
            brush_speed_rpm: rpm,
            ground_speed_mps: Some(ground),
            surface_speed_ratio: ratio,
            ..BrushContactInputs::default()
        });
        let rpm = one(None, Some(ratio)).brush_speed_rpm;
        let back = one(rpm, None).surface_speed_ratio.expect("solved");
        prop_assert!((back / ratio - 1.0).abs() < 1e-12);
    }
}
