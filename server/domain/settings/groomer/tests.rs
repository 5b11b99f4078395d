//! What `groomer_depth` promises: the three lengths solve each other, and nothing goes below the
//! soil line.

use super::*;
use proptest::prelude::{prop_assert, proptest};

fn inputs(height: Option<f64>, reach: Option<f64>, setting: Option<f64>) -> GroomerDepthInputs {
    GroomerDepthInputs {
        height_of_cut_mm: height,
        penetration_below_cut_mm: reach,
        groomer_setting_mm: setting,
        ..GroomerDepthInputs::default()
    }
}

fn has(answer: &GroomerDepthAnswer, id: &str) -> bool {
    answer.common.advisories.iter().any(|advice| advice.id == id)
}

#[test]
fn a_tenth_of_the_height_is_the_first_setting() {
    let over = groomer_depth(&inputs(Some(3.5), Some(0.351), None)).expect("inside");
    let at = groomer_depth(&inputs(Some(3.5), Some(0.35), None)).expect("inside");
    assert!(has(&over, "first_setting_ten_percent"));
    assert!(!has(&at, "first_setting_ten_percent"));
}

#[test]
fn below_the_soil_line_is_refused_by_the_field_to_change() {
    let error = groomer_depth(&inputs(Some(3.0), Some(3.1), None)).expect_err("too deep");
    assert_eq!(error.field, "penetration_below_cut_mm");
    let error = groomer_depth(&inputs(Some(3.0), None, Some(-0.1))).expect_err("too deep");
    assert_eq!(error.field, "groomer_setting_mm");
    // The area's offset moves the soil line, either way.
    let floating =
        GroomerDepthInputs { offset_mm: Some(0.5), ..inputs(Some(3.0), Some(3.1), None) };
    let answer = groomer_depth(&floating).expect("the unit floats higher than the tips reach");
    assert!((answer.effective_tip_height_mm.expect("offset") - 0.4).abs() < 1e-12);
    let sinking =
        GroomerDepthInputs { offset_mm: Some(-1.0), ..inputs(Some(3.0), Some(2.5), None) };
    assert!(groomer_depth(&sinking).is_err());
}

#[test]
fn larger_blades_raise_the_shaft_and_the_same_leave_it() {
    let wear = |set, now| {
        groomer_depth(&GroomerDepthInputs {
            blade_diameter_when_set_mm: Some(set),
            blade_diameter_mm: Some(now),
            ..GroomerDepthInputs::default()
        })
        .expect("inside")
    };
    assert_eq!(wear(58.0, 61.0).setting_change_mm, Some(1.5));
    assert!(wear(58.0, 61.0).common.answer.starts_with("Raise"));
    assert!(wear(61.0, 58.0).common.answer.starts_with("Lower"));
    assert_eq!(wear(61.0, 61.0).setting_change_mm, Some(0.0));
}

#[test]
fn too_little_asks_for_what_fits_the_question() {
    let fields = |inputs: &GroomerDepthInputs| {
        let answer = groomer_depth(inputs).expect("inside");
        assert!(answer.common.answer.is_empty());
        answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    assert_eq!(fields(&inputs(None, None, None)), ["height_of_cut_mm", "penetration_below_cut_mm"]);
    assert_eq!(fields(&inputs(Some(3.0), None, None)), ["penetration_below_cut_mm"]);
    assert_eq!(fields(&inputs(None, None, Some(3.0))), ["height_of_cut_mm"]);
    let wear = GroomerDepthInputs { blade_diameter_mm: Some(58.0), ..inputs(None, None, None) };
    assert_eq!(fields(&wear), ["blade_diameter_when_set_mm"]);
}

#[test]
fn a_setting_that_contradicts_is_named() {
    let answer = groomer_depth(&inputs(Some(3.5), Some(0.6), Some(2.5))).expect("inside");
    assert!(has(&answer, "setting_differs"));
    let answer = groomer_depth(&inputs(Some(3.5), Some(0.6), Some(2.9))).expect("inside");
    assert!(!has(&answer, "setting_differs"));
}

#[test]
fn absurd_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308] {
        for index in 0..6 {
            let mut given = [Some(3.5), Some(0.6), Some(2.9), Some(61.0), Some(60.0), Some(0.0)];
            given[index] = Some(bad);
            let result = groomer_depth(&GroomerDepthInputs {
                height_of_cut_mm: given[0],
                penetration_below_cut_mm: given[1],
                groomer_setting_mm: given[2],
                blade_diameter_when_set_mm: given[3],
                blade_diameter_mm: given[4],
                offset_mm: given[5],
            });
            assert!(result.is_err(), "field {index} at {bad}");
        }
    }
}

proptest! {
    #[test]
    fn each_of_the_three_comes_back(height in 1.0..50.0f64, share in -0.5..0.95f64) {
        let reach = height * share;
        let forward = groomer_depth(&inputs(Some(height), Some(reach), None)).expect("inside");
        let setting = forward.groomer_setting_mm;
        let back = groomer_depth(&inputs(Some(height), None, setting)).expect("inside");
        let got = back.penetration_below_cut_mm.expect("solved");
        prop_assert!((got - reach).abs() < 1e-9);
        let back = groomer_depth(&inputs(None, Some(reach), setting)).expect("inside");
        let got = back.height_of_cut_mm.expect("solved");
        prop_assert!((got - height).abs() < 1e-9);
    }
}
