//! What `clip_spacing` promises: the four quantities solve each other, and bounds are kept.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, prop_assert_eq, proptest};

fn asked(
    speed: Option<f64>,
    blades: Option<i32>,
    rpm: Option<f64>,
    clip: Option<f64>,
) -> ClipSpacingInputs {
    ClipSpacingInputs {
        ground_speed_mps: speed,
        blade_count: blades,
        reel_speed_rpm: rpm,
        clip_spacing_mm: clip,
        ..Default::default()
    }
}

fn clip(speed: f64, blades: i32, rpm: f64) -> f64 {
    let answer = clip_spacing(&asked(Some(speed), Some(blades), Some(rpm), None));
    answer.expect("inside").clip_spacing_mm.expect("answered")
}

fn close(got: Option<f64>, wanted: f64) -> bool {
    got.is_some_and(|got| (got - wanted).abs() <= 1e-9 * wanted.abs())
}

proptest! {
    #[test]
    fn forward_and_back_return_the_input(
        speed in 0.3..4.0_f64, blades in 3..16_i32, rpm in 500.0..3_000.0_f64,
    ) {
        let clip = clip(speed, blades, rpm);
        let back = |inputs: &ClipSpacingInputs| clip_spacing(inputs).expect("inside");
        let from_clip = back(&asked(None, Some(blades), Some(rpm), Some(clip)));
        prop_assert!(close(from_clip.ground_speed_mps, speed));
        let from_clip = back(&asked(Some(speed), Some(blades), None, Some(clip)));
        prop_assert!(close(from_clip.reel_speed_rpm, rpm));
        let from_clip = back(&asked(Some(speed), None, Some(rpm), Some(clip)));
        prop_assert_eq!(from_clip.blade_count, Some(blades));
    }

    #[test]
    fn clip_grows_with_speed_and_shrinks_with_blades_and_reel_speed(
        speed in 0.3..4.0_f64, blades in 3..16_i32, rpm in 500.0..3_000.0_f64,
    ) {
        let base = clip(speed, blades, rpm);
        prop_assert!(clip(speed * 1.01, blades, rpm) > base);
        prop_assert!(clip(speed, blades + 1, rpm) < base);
        prop_assert!(clip(speed, blades, rpm * 1.01) < base);
        // Ground driven: both speeds together leave the clip as it is.
        prop_assert!((clip(speed * 2.0, blades, rpm * 2.0) / base - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_whole_count_of_blades_never_gives_a_longer_clip(
        speed in 0.5..3.0_f64, rpm in 800.0..2_500.0_f64, wanted in 4.0..15.0_f64,
    ) {
        if let Ok(answer) = clip_spacing(&asked(Some(speed), None, Some(rpm), Some(wanted))) {
            let clip = answer.clip_spacing_mm.expect("answered");
            prop_assert!(clip <= wanted * (1.0 + 1e-8));
            let fewer = answer.blade_count.expect("answered") - 1;
            prop_assert!(60_000.0 * speed / (f64::from(fewer) * rpm) > wanted);
        }
    }
}

#[test]
fn bounds_are_kept() {
    let base = ClipSpacingInputs {
        height_of_cut_mm: Some(5.0),
        ..asked(Some(1.5), Some(10), Some(2_000.0), Some(4.5))
    };
    holds_bounds(&base, "ground_speed_mps", |i, v| i.ground_speed_mps = Some(v), clip_spacing);
    holds_bounds(&base, "reel_speed_rpm", |i, v| i.reel_speed_rpm = Some(v), clip_spacing);
    holds_bounds(&base, "clip_spacing_mm", |i, v| i.clip_spacing_mm = Some(v), clip_spacing);
    holds_bounds(&base, "height_of_cut_mm", |i, v| i.height_of_cut_mm = Some(v), clip_spacing);
    for (blades, taken) in [(i32::MIN, false), (1, false), (2, true), (30, true), (31, false)] {
        let answer = clip_spacing(&ClipSpacingInputs { blade_count: Some(blades), ..base.clone() });
        assert_eq!(answer.is_ok(), taken, "{blades} blades");
    }
}

#[test]
fn a_result_that_no_machine_has_names_what_to_change() {
    for (inputs, field) in [
        (asked(Some(15.0), None, Some(100.0), Some(1.0)), "blade_count"),
        (asked(Some(0.1), None, Some(9_000.0), Some(100.0)), "blade_count"),
        (asked(Some(15.0), Some(2), None, Some(1.0)), "reel_speed_rpm"),
        (asked(None, Some(30), Some(9_000.0), Some(400.0)), "ground_speed_mps"),
        (asked(Some(15.0), Some(2), Some(1.0), None), "clip_spacing_mm"),
    ] {
        let error = clip_spacing(&inputs).expect_err("no such machine");
        assert_eq!(error.field, field, "{error}");
    }
}

#[test]
fn too_little_is_asked_for_by_name() {
    let fields = |inputs: &ClipSpacingInputs| {
        let answer = clip_spacing(inputs).expect("inside");
        assert!(answer.common.answer.is_empty() && answer.common.working.is_empty());
        answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    let all = ["ground_speed_mps", "blade_count", "reel_speed_rpm"];
    assert_eq!(fields(&asked(None, None, None, None)), all);
    assert_eq!(fields(&asked(None, None, None, Some(5.0))), all);
    assert_eq!(fields(&asked(Some(1.0), Some(8), None, None)), ["reel_speed_rpm"]);
}

#[test]
fn without_a_clip_the_height_is_aimed_for() {
    let inputs = ClipSpacingInputs {
        height_of_cut_mm: Some(12.0),
        ..asked(None, Some(8), Some(1_500.0), None)
    };
    let answer = clip_spacing(&inputs).expect("inside");
    assert!(close(answer.ground_speed_mps, 12.0 * 8.0 * 1_500.0 / 60_000.0));
    assert!(answer.common.advisories.iter().any(|a| a.id == "clip_taken_as_height"));
}

#[test]
fn a_measured_clip_is_held_against_the_computed_one() {
    for (measured, id) in [
        (4.5, "clip_agrees_with_measured"),
        (5.2, "clip_differs_from_measured"),
        (3.9, "clip_differs_from_measured"),
    ] {
        let inputs = asked(Some(1.5), Some(10), Some(2_000.0), Some(measured));
        let answer = clip_spacing(&inputs).expect("inside");
        assert!(answer.common.advisories.iter().any(|a| a.id == id), "{measured}");
        assert!(close(answer.clip_spacing_mm, 4.5), "the computed clip is the answer");
    }
}
