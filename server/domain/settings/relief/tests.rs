//! What `relief_grind` promises: angle, diameter and offset solve each other, land and depth too.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, proptest};

fn asked(angle: Option<f64>, diameter: Option<f64>, finger: Option<f64>) -> ReliefGrindInputs {
    ReliefGrindInputs {
        relief_angle_deg: angle,
        reel_diameter_mm: diameter,
        finger_offset_mm: finger,
        ..Default::default()
    }
}

fn blade(land: Option<f64>, depth: Option<f64>, wear: f64) -> ReliefGrindInputs {
    ReliefGrindInputs {
        blade_thickness_mm: Some(4.5),
        land_width_mm: land,
        pass_depth_mm: depth,
        radius_wear_mm: Some(wear),
        ..asked(Some(30.0), Some(127.0), None)
    }
}

fn run(inputs: &ReliefGrindInputs) -> ReliefGrindAnswer {
    relief_grind(inputs).expect("inside")
}

fn close(got: Option<f64>, wanted: f64) -> bool {
    got.is_some_and(|got| (got - wanted).abs() <= 1e-9 * wanted.abs().max(1.0))
}

proptest! {
    #[test]
    fn forward_and_back_return_the_input(angle in 5.5..49.5_f64, diameter in 60.0..250.0_f64) {
        let finger = run(&asked(Some(angle), Some(diameter), None)).finger_offset_mm;
        prop_assert!(close(run(&asked(None, Some(diameter), finger)).relief_angle_deg, angle));
        prop_assert!(close(run(&asked(Some(angle), None, finger)).reel_diameter_mm, diameter));
    }

    #[test]
    fn a_steeper_angle_and_a_larger_reel_need_more_offset(
        angle in 5.5..49.0_f64, diameter in 60.0..240.0_f64,
    ) {
        let offset = |a: f64, d: f64| run(&asked(Some(a), Some(d), None)).finger_offset_mm;
        prop_assert!(offset(angle + 0.5, diameter) > offset(angle, diameter));
        prop_assert!(offset(angle, diameter + 1.0) > offset(angle, diameter));
        prop_assert!(close(offset(angle, 2.0 * diameter), 2.0 * offset(angle, diameter).unwrap()));
    }

    #[test]
    fn land_and_depth_undo_each_other(land in 0.1..4.3_f64) {
        let depth = run(&blade(Some(land), None, 0.0)).pass_depth_mm;
        prop_assert!(close(run(&blade(None, depth, 0.0)).land_width_mm, land));
        let deeper = run(&blade(None, depth.map(|d| d + 0.01), 0.0)).land_width_mm;
        prop_assert!(deeper < Some(land));
    }

    #[test]
    fn wear_widens_the_land(land in 0.5..2.0_f64, wear in 0.01..0.5_f64) {
        let answer = run(&blade(Some(land), None, wear));
        let growth = answer.land_growth_per_radius_mm.expect("told");
        prop_assert!(close(answer.land_width_mm, land + wear * growth));
    }
}

#[test]
fn a_right_triangle_by_hand() {
    // Own geometry: at 45 degrees, 3 mm of face run 3 mm deep, and the face is their diagonal.
    let inputs = ReliefGrindInputs { relief_angle_deg: Some(45.0), ..blade(Some(1.5), None, 0.0) };
    let answer = run(&inputs);
    assert!(close(answer.pass_depth_mm, 3.0));
    assert!(close(answer.ground_face_mm, 3.0 * 2.0_f64.sqrt()));
    assert!(close(answer.land_growth_per_radius_mm, 1.0));
}

#[test]
fn worn_out_relief_is_told() {
    let answer = run(&blade(Some(1.0), None, 3.0));
    assert!(close(answer.land_width_mm, 4.5), "the whole blade");
    assert!(answer.common.advisories.iter().any(|a| a.id == "relief_worn_away"));
}

#[test]
fn contradictions_are_refused_by_the_field_to_change() {
    for (inputs, field) in [
        (asked(Some(30.0), Some(128.0), Some(32.0)), "finger_offset_mm"),
        (asked(None, Some(128.0), Some(65.0)), "finger_offset_mm"),
        (asked(None, Some(128.0), Some(60.0)), "finger_offset_mm"),
        (asked(None, Some(128.0), Some(2.0)), "finger_offset_mm"),
        (asked(Some(5.0), None, Some(100.0)), "finger_offset_mm"),
        (blade(Some(4.5), None, 0.0), "land_width_mm"),
        (blade(Some(1.0), Some(1.0), 0.0), "pass_depth_mm"),
        (blade(None, Some(3.0), 0.0), "pass_depth_mm"),
    ] {
        let error = relief_grind(&inputs).expect_err(field);
        assert_eq!(error.field, field, "{error}");
    }
}

#[test]
fn too_little_is_asked_for_by_name() {
    let fields = |inputs: &ReliefGrindInputs| {
        run(inputs).common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    assert_eq!(fields(&asked(Some(30.0), None, None)), ["reel_diameter_mm"]);
    assert_eq!(fields(&asked(None, Some(128.0), None)), ["relief_angle_deg"]);
    let both = ["reel_diameter_mm", "relief_angle_deg"];
    assert_eq!(fields(&asked(None, None, None)), both);
    assert_eq!(fields(&asked(None, None, Some(20.0))), both);
}

#[test]
fn grinding_carries_its_cautions() {
    let cautions = run(&asked(Some(30.0), Some(128.0), None)).common.cautions;
    for id in ["mounted_wheel", "guards_in_place", "eye_and_face", "grinding_dust"] {
        assert!(cautions.contains(&id), "{id}");
    }
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut ReliefGrindInputs, f64);
    let angle_and_diameter = blade(Some(0.0), None, 0.0);
    let fields: [(&str, Set); 5] = [
        ("relief_angle_deg", |i, v| i.relief_angle_deg = Some(v)),
        ("reel_diameter_mm", |i, v| i.reel_diameter_mm = Some(v)),
        ("land_width_mm", |i, v| i.land_width_mm = Some(v)),
        ("blade_thickness_mm", |i, v| i.blade_thickness_mm = Some(v)),
        ("radius_wear_mm", |i, v| i.radius_wear_mm = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&angle_and_diameter, field, set, relief_grind);
    }
    let depth: Set = |i, v| i.pass_depth_mm = Some(v);
    holds_bounds(&blade(None, Some(1.0), 0.0), "pass_depth_mm", depth, relief_grind);
    let finger: Set = |i, v| i.finger_offset_mm = Some(v);
    holds_bounds(&asked(None, Some(128.0), Some(32.0)), "finger_offset_mm", finger, relief_grind);
}
