//! What `rotary_level` promises: any plane comes back exactly, whatever the units and the origin,
//! and what is not a plane is called so.

use super::places::corner;
use super::*;
use proptest::prelude::{prop_assert, proptest};

fn tip(point: &str, place: Option<(f64, f64)>, height_mm: f64) -> TipHeight {
    TipHeight {
        point: point.to_owned(),
        x_mm: place.map(|(x, _)| x),
        y_mm: place.map(|(_, y)| y),
        height_mm: Some(height_mm),
    }
}

fn corners(heights: [f64; 4]) -> Vec<TipHeight> {
    let names = ["left_front", "left_rear", "right_front", "right_rear"];
    names.iter().zip(heights).map(|(name, height)| tip(name, None, height)).collect()
}

fn level(tips: Vec<TipHeight>, rake: Option<f64>) -> Result<RotaryLevelAnswer, SettingError> {
    rotary_level(&RotaryLevelInputs {
        tip_heights_mm: tips,
        rake_front_low_mm: rake,
        ..RotaryLevelInputs::default()
    })
}

fn has(answer: &RotaryLevelAnswer, id: &str) -> bool {
    answer.common.advisories.iter().any(|advice| advice.id == id)
}

#[test]
fn one_line_fixes_no_plane() {
    let line = vec![
        tip("a", Some((-300.0, -300.0)), 60.0),
        tip("b", Some((0.0, 0.0)), 61.0),
        tip("c", Some((300.0, 300.0)), 62.0),
    ];
    assert_eq!(level(line, None).expect_err("one line").field, "tip_heights_mm");
    let names = vec![tip("left", None, 60.0), tip("middle", None, 60.0), tip("right", None, 60.0)];
    assert!(level(names, None).is_err(), "a middle alone has neither side nor end");
    let off = vec![
        tip("a", Some((-300.0, -300.0)), 60.0),
        tip("b", Some((0.0, 1.0)), 61.0),
        tip("c", Some((300.0, 300.0)), 62.0),
    ];
    assert!(level(off, None).is_ok(), "a millimetre off the line is a plane, if a poor one");
}

#[test]
fn names_mean_places_in_any_order_and_wrong_ones_are_refused() {
    assert_eq!(corner("Front-Left"), Some((-0.5, 0.5)));
    assert_eq!(corner("right back"), Some((0.5, -0.5)));
    assert_eq!(corner("front"), Some((0.0, 0.5)));
    assert_eq!(corner("left_middle"), Some((-0.5, 0.0)));
    for wrong in ["", "middle", "left_left", "left_right", "blade_1"] {
        assert_eq!(corner(wrong), None, "{wrong}");
    }
    let mut tips = corners([60.0; 4]);
    tips[1].point = "blade_1".to_owned();
    assert_eq!(level(tips, None).expect_err("no such place").field, "tip_heights_mm[1].point");
    let mut tips = corners([60.0; 4]);
    tips[1].point = "left_front".to_owned();
    assert_eq!(level(tips, None).expect_err("twice").field, "tip_heights_mm[1].point");
}

#[test]
fn half_given_places_and_hangers_without_places_are_refused() {
    let mut tips = corners([60.0; 4]);
    tips[0].x_mm = Some(-300.0);
    assert_eq!(level(tips, None).expect_err("no y").field, "tip_heights_mm[0].y_mm");
    let with_hangers = RotaryLevelInputs {
        tip_heights_mm: corners([60.0; 4]),
        hangers: vec![DeckHanger { hanger: "left".into(), x_mm: Some(0.0), y_mm: Some(0.0) }],
        ..RotaryLevelInputs::default()
    };
    assert_eq!(
        rotary_level(&with_hangers).expect_err("no distances").field,
        "tip_heights_mm[0].x_mm"
    );
}

#[test]
fn too_few_readings_ask_for_more() {
    let answer = level(corners([60.0; 4])[..2].to_vec(), None).expect("an ordinary reply");
    assert_eq!(answer.common.missing[0].field, "tip_heights_mm");
    assert!(answer.hanger_corrections_mm.is_empty());
}

#[test]
fn a_bent_blade_is_not_answered_with_a_hanger() {
    let answer = level(corners([60.0, 66.0, 60.0, 80.0]), Some(6.0)).expect("inside");
    assert!(has(&answer, "not_a_plane"));
    assert!(answer.common.answer.starts_with("Do not turn a hanger"));
    let answer = level(corners([60.0, 66.0, 60.0, 66.0]), Some(6.0)).expect("inside");
    assert!(!has(&answer, "not_a_plane"));
    assert!(answer.common.answer.starts_with("Leave the hangers"));
}

#[test]
fn without_a_rake_it_takes_the_usual_one_and_says_so() {
    let answer = level(corners([60.0; 4]), None).expect("inside");
    assert!(has(&answer, "rake_assumed") && has(&answer, "square_assumed"));
    let moves: Vec<f64> =
        answer.hanger_corrections_mm.iter().map(|hanger| hanger.move_mm).collect();
    assert_eq!(moves, [-2.25, 2.25, -2.25, 2.25]);
    assert!(has(&level(corners([60.0; 4]), Some(10.0)).expect("inside"), "rake_unusual"));
    assert!(has(
        &level(corners([60.0, 60.0, 70.0, 70.0]), None).expect("inside"),
        "side_tilt_large"
    ));
}

#[test]
fn the_front_is_made_lower_never_higher() {
    let answer = level(corners([66.0, 60.0, 66.0, 60.0]), Some(4.0)).expect("inside");
    assert_eq!(answer.rake_mm, Some(-6.0));
    let of = |index: usize| answer.hanger_corrections_mm[index].move_mm;
    assert!(of(0) < 0.0 && of(1) > 0.0, "left front down, left rear up");
}

#[test]
fn absurd_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -0.0, -1.0] {
        let mut tips = corners([60.0; 4]);
        tips[2].height_mm = Some(bad);
        let error = level(tips, None).expect_err("height out of bounds");
        assert_eq!(error.field, "tip_heights_mm[2].height_mm");
    }
    for bad in [f64::NAN, f64::INFINITY, 1e308, -1.0] {
        assert!(level(corners([60.0; 4]), Some(bad)).is_err());
        let target = RotaryLevelInputs {
            tip_heights_mm: corners([60.0; 4]),
            target_height_mm: Some(bad),
            ..RotaryLevelInputs::default()
        };
        assert_eq!(rotary_level(&target).expect_err("target").field, "target_height_mm");
    }
    for bad in [f64::NAN, f64::INFINITY, 1e308, 5_001.0] {
        let tips = vec![
            tip("a", Some((bad, 0.0)), 60.0),
            tip("b", Some((0.0, 0.0)), 60.0),
            tip("c", Some((0.0, 9.0)), 60.0),
        ];
        assert_eq!(level(tips, None).expect_err("x").field, "tip_heights_mm[0].x_mm");
    }
}

proptest! {
    #[test]
    fn the_plane_comes_back_and_the_moves_make_it_level_with_the_rake(
        a in 40.0..120.0f64, right in -0.02..0.02f64, forward in -0.02..0.02f64,
        shift_x in -400.0..400.0f64, shift_y in -400.0..400.0f64, rake in 0.0..10.0f64,
    ) {
        let spots = [(-450., 280.), (-420., -260.), (430., 250.), (460., -290.), (0., 300.)];
        let height = |x: f64, y: f64| a + right * x + forward * y;
        let named = |shift_x: f64, shift_y: f64| -> Vec<TipHeight> {
            spots.iter().enumerate()
                .map(|(index, (x, y))| {
                    tip(&format!("p{index}"), Some((x + shift_x, y + shift_y)), height(*x, *y))
                })
                .collect()
        };
        let answer = level(named(0.0, 0.0), Some(rake)).expect("inside");
        for residual in &answer.residuals {
            prop_assert!(residual.residual_mm.abs() < 1e-9);
        }
        prop_assert!((answer.rake_mm.expect("fitted") + forward * 590.0).abs() < 1e-9);
        prop_assert!((answer.side_tilt_mm.expect("fitted") - right * 910.0).abs() < 1e-9);
        // The hangers stand at the tips: moving them there leaves the wanted plane.
        let after: Vec<f64> = spots.iter().zip(&answer.hanger_corrections_mm)
            .map(|((x, y), hanger)| height(*x, *y) + hanger.move_mm)
            .collect();
        for (index, (_, y)) in spots.iter().enumerate() {
            let wanted = after[0] - rake / 590.0 * (y - spots[0].1);
            prop_assert!((after[index] - wanted).abs() < 1e-9);
        }
        let mean_before: f64 = spots.iter().map(|(x, y)| height(*x, *y)).sum::<f64>() / 5.0;
        prop_assert!((after.iter().sum::<f64>() / 5.0 - mean_before).abs() < 1e-9);
        // Where the middle was taken to be makes no difference.
        let moved = level(named(shift_x, shift_y), Some(rake)).expect("inside");
        for (one, other) in answer.hanger_corrections_mm.iter().zip(&moved.hanger_corrections_mm) {
            prop_assert!((one.move_mm - other.move_mm).abs() < 1e-8);
        }
    }

    #[test]
    fn a_target_height_raises_every_hanger_alike(
        heights in proptest::array::uniform4(50.0..90.0f64), lift in -5.0..5.0f64,
    ) {
        let with = |target: Option<f64>| rotary_level(&RotaryLevelInputs {
            tip_heights_mm: corners(heights),
            target_height_mm: target,
            ..RotaryLevelInputs::default()
        }).expect("inside");
        let kept = with(None);
        let lifted = with(kept.mean_height_mm.map(|mean| mean + lift));
        for (one, other) in kept.hanger_corrections_mm.iter().zip(&lifted.hanger_corrections_mm) {
            prop_assert!((other.move_mm - one.move_mm - lift).abs() < 1e-9);
        }
    }
}
