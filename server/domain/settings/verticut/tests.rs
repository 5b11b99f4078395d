//! What `verticut` promises: shares that make sense, and targets and speeds that come back.

use super::*;
use proptest::prelude::{prop_assert, prop_assert_eq, proptest};

fn answered(inputs: VerticutInputs) -> VerticutAnswer {
    verticut(&inputs).expect("inside the bounds")
}

fn slits(thickness: f64, spacing: f64) -> VerticutInputs {
    VerticutInputs {
        blade_thickness_mm: Some(thickness),
        blade_spacing_mm: Some(spacing),
        ..VerticutInputs::default()
    }
}

fn travel(
    points: f64,
    shaft: Option<f64>,
    ground: Option<f64>,
    pitch: Option<f64>,
) -> VerticutInputs {
    VerticutInputs {
        points_per_blade_count: Some(points),
        shaft_speed_rpm: shaft,
        ground_speed_mps: ground,
        cut_pitch_mm: pitch,
        ..VerticutInputs::default()
    }
}

#[test]
fn blades_that_touch_and_holes_that_run_together_are_refused() {
    assert_eq!(verticut(&slits(3.0, 3.0)).expect_err("touching").field, "blade_spacing_mm");
    assert!(verticut(&slits(3.0, 3.001)).is_ok());
    let holes = |diameter, spacing| VerticutInputs {
        hole_diameter_mm: Some(diameter),
        hole_spacing_across_mm: Some(spacing),
        hole_spacing_along_mm: Some(spacing),
        ..VerticutInputs::default()
    };
    assert_eq!(verticut(&holes(20.1, 20.0)).expect_err("together").field, "hole_diameter_mm");
    assert!(verticut(&holes(20.0, 20.0)).is_ok());
    let crowd = VerticutInputs {
        hole_diameter_mm: Some(12.7),
        holes_per_m2: Some(10_000.0),
        ..VerticutInputs::default()
    };
    assert_eq!(verticut(&crowd).expect_err("no turf left").field, "hole_diameter_mm");
}

#[test]
fn slits_and_holes_or_two_densities_at_once_are_refused() {
    let both = VerticutInputs { hole_diameter_mm: Some(12.7), ..slits(2.0, 12.7) };
    assert!(verticut(&both).is_err());
    let twice = VerticutInputs {
        hole_diameter_mm: Some(12.7),
        holes_per_m2: Some(1_076.0),
        hole_spacing_across_mm: Some(31.75),
        hole_spacing_along_mm: Some(31.75),
        ..VerticutInputs::default()
    };
    assert_eq!(verticut(&twice).expect_err("two densities").field, "holes_per_m2");
    let shallow =
        VerticutInputs { depth_mm: Some(25.0), profile_depth_mm: Some(20.0), ..slits(2.0, 12.7) };
    assert_eq!(verticut(&shallow).expect_err("shallow layer").field, "profile_depth_mm");
}

#[test]
fn volume_is_the_surface_share_of_the_worked_layer() {
    let answer = answered(VerticutInputs { depth_mm: Some(10.0), ..slits(2.0, 12.7) });
    assert_eq!(answer.volume_share_fraction, answer.surface_share_fraction);
    let deeper = answered(VerticutInputs {
        depth_mm: Some(10.0),
        profile_depth_mm: Some(40.0),
        ..slits(2.0, 12.7)
    });
    let share = deeper.surface_share_fraction.expect("given");
    assert!((deeper.volume_share_fraction.expect("given") - share / 4.0).abs() < 1e-15);
}

#[test]
fn share_and_pitch_asked_together_are_both_answered() {
    let answer = answered(VerticutInputs {
        shaft_speed_rpm: Some(900.0),
        points_per_blade_count: Some(4.0),
        ground_speed_mps: Some(1.5),
        ..slits(2.0, 12.7)
    });
    assert_eq!(answer.common.solved_for, "surface_share_fraction");
    assert!((answer.cut_pitch_mm.expect("given") - 25.0).abs() < 1e-12);
    assert!(answer.common.answer.contains("25 mm apart"));
}

#[test]
fn too_little_asks_for_what_fits_the_question() {
    let fields = |inputs: VerticutInputs| {
        let answer = answered(inputs);
        answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    assert_eq!(fields(VerticutInputs::default()), ["blade_thickness_mm", "blade_spacing_mm"]);
    assert_eq!(fields(travel(4.0, None, None, None)), ["shaft_speed_rpm", "ground_speed_mps"]);
    let hole = VerticutInputs { hole_diameter_mm: Some(12.0), ..VerticutInputs::default() };
    assert_eq!(fields(hole), ["hole_spacing_across_mm", "hole_spacing_along_mm"]);
}

#[test]
fn absurd_numbers_are_refused() {
    type Put = fn(&mut VerticutInputs, f64);
    let fields: [(&str, Put); 14] = [
        ("blade_thickness_mm", |i, v| i.blade_thickness_mm = Some(v)),
        ("blade_spacing_mm", |i, v| i.blade_spacing_mm = Some(v)),
        ("depth_mm", |i, v| i.depth_mm = Some(v)),
        ("profile_depth_mm", |i, v| i.profile_depth_mm = Some(v)),
        ("hole_diameter_mm", |i, v| i.hole_diameter_mm = Some(v)),
        ("hole_spacing_across_mm", |i, v| i.hole_spacing_across_mm = Some(v)),
        ("hole_spacing_along_mm", |i, v| i.hole_spacing_along_mm = Some(v)),
        ("holes_per_m2", |i, v| i.holes_per_m2 = Some(v)),
        ("passes_count", |i, v| i.passes_count = Some(v)),
        ("target_surface_share_fraction", |i, v| i.target_surface_share_fraction = Some(v)),
        ("shaft_speed_rpm", |i, v| i.shaft_speed_rpm = Some(v)),
        ("points_per_blade_count", |i, v| i.points_per_blade_count = Some(v)),
        ("ground_speed_mps", |i, v| i.ground_speed_mps = Some(v)),
        ("cut_pitch_mm", |i, v| i.cut_pitch_mm = Some(v)),
    ];
    for (name, put) in fields {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1.0, -0.0] {
            let mut inputs = VerticutInputs::default();
            put(&mut inputs, bad);
            assert_eq!(verticut(&inputs).expect_err("out of bounds").field, name, "{bad}");
        }
    }
}

proptest! {
    #[test]
    fn spacing_solved_for_a_target_gives_the_target(
        thickness in 0.5..5.0f64, target in 0.05..0.9f64, passes in 1.0..6.0f64,
    ) {
        let solved = match verticut(&VerticutInputs {
            blade_thickness_mm: Some(thickness),
            target_surface_share_fraction: Some(target),
            passes_count: Some(passes),
            ..VerticutInputs::default()
        }) {
            Ok(solved) => solved,
            // Thick blades that are to touch little of the surface, in many passes.
            Err(refused) => {
                prop_assert_eq!(refused.field, "blade_spacing_mm");
                return Ok(());
            }
        };
        let back = answered(VerticutInputs {
            passes_count: Some(passes),
            ..slits(thickness, solved.blade_spacing_mm.expect("solved"))
        });
        let total = back.total_surface_share_fraction.expect("given");
        prop_assert!((total / target - 1.0).abs() < 1e-12);
    }

    #[test]
    fn pitch_speed_and_shaft_undo_each_other(
        points in 1.0..60.0f64, shaft in 100.0..5_000.0f64, ground in 0.1..5.0f64,
    ) {
        let points = points.round();
        let pitch = answered(travel(points, Some(shaft), Some(ground), None)).cut_pitch_mm;
        if pitch.expect("given") > 5_000.0 { return Ok(()) }
        let back = answered(travel(points, Some(shaft), None, pitch)).ground_speed_mps;
        prop_assert!((back.expect("solved") / ground - 1.0).abs() < 1e-12);
        let back = answered(travel(points, None, Some(ground), pitch)).shaft_speed_rpm;
        prop_assert!((back.expect("solved") / shaft - 1.0).abs() < 1e-12);
    }

    #[test]
    fn share_does_not_depend_on_the_unit_and_rises_with_thickness(
        thickness in 0.5..5.0f64, gap in 1.1..10.0f64, factor in 0.5..4.0f64,
    ) {
        let of = |t: f64, p: f64| answered(slits(t, p)).surface_share_fraction.expect("given");
        let one = of(thickness, thickness * gap);
        let other = of(thickness * factor, thickness * gap * factor);
        prop_assert!((one / other - 1.0).abs() < 1e-12);
        prop_assert!(of(thickness * 1.05, thickness * gap) > one);
    }
}
