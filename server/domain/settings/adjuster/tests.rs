//! What `adjuster_turns` promises: turns and change undo each other by every way of knowing a turn.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, proptest};

fn seen(height: f64) -> AdjusterTurnsInputs {
    AdjusterTurnsInputs {
        current_height_mm: Some(height),
        thread_pitch_mm: Some(1.25),
        front_roller_diameter_mm: Some(63.5),
        rear_roller_diameter_mm: Some(50.8),
        roller_centre_distance_mm: Some(190.0),
        edge_to_rear_roller_mm: Some(95.0),
        slot_angle_deg: Some(8.0),
        ..Default::default()
    }
}

fn bare(pitch: f64) -> AdjusterTurnsInputs {
    AdjusterTurnsInputs { thread_pitch_mm: Some(pitch), ..Default::default() }
}

fn run(inputs: &AdjusterTurnsInputs) -> AdjusterTurnsAnswer {
    adjuster_turns(inputs).expect("inside")
}

/// The turns for a change, and the change from those turns.
fn there_and_back(inputs: &AdjusterTurnsInputs, change: f64) -> (f64, f64) {
    let forward = run(&AdjusterTurnsInputs { height_change_mm: Some(change), ..inputs.clone() });
    let turns = forward.turns_count.expect("answered");
    let back = run(&AdjusterTurnsInputs { turns_count: Some(turns), ..inputs.clone() });
    (turns, back.height_change_mm.expect("answered"))
}

proptest! {
    #[test]
    fn turns_undo_changes(
        change in -2.0..4.0_f64, front in 40.0..100.0_f64, rear in 40.0..100.0_f64,
        apart in 150.0..260.0_f64, share in 0.35..0.65_f64, slot in -30.0..30.0_f64,
        pitch in 0.5..2.0_f64, ratio in 0.3..1.5_f64,
    ) {
        let view = AdjusterTurnsInputs {
            front_roller_diameter_mm: Some(front),
            rear_roller_diameter_mm: Some(rear),
            roller_centre_distance_mm: Some(apart),
            edge_to_rear_roller_mm: Some(apart * share),
            slot_angle_deg: Some(slot),
            thread_pitch_mm: Some(pitch),
            adjuster_travel_ratio: Some(ratio),
            ..seen(5.0)
        };
        let (turns, back) = there_and_back(&view, change);
        prop_assert!((back - change).abs() < 1e-10);
        prop_assert!(turns * change >= 0.0, "turns over zero raise");
        let (_, back) = there_and_back(&bare(pitch), change);
        prop_assert!((back - change).abs() < 1e-12);
    }

    #[test]
    fn more_change_takes_more_turns(change in -2.0..4.0_f64) {
        for inputs in [seen(5.0), bare(1.5)] {
            let less = there_and_back(&inputs, change).0;
            prop_assert!(there_and_back(&inputs, change + 0.1).0 > less);
        }
    }

    #[test]
    fn all_lengths_scaled_alike_leave_turns_and_attitude(scale in 0.5..2.0_f64) {
        let change = AdjusterTurnsInputs { height_change_mm: Some(1.0), ..seen(5.0) };
        let grown = |length: Option<f64>| length.map(|mm| mm * scale);
        let scaled = AdjusterTurnsInputs {
            height_change_mm: grown(change.height_change_mm),
            current_height_mm: grown(change.current_height_mm),
            thread_pitch_mm: grown(change.thread_pitch_mm),
            front_roller_diameter_mm: grown(change.front_roller_diameter_mm),
            rear_roller_diameter_mm: grown(change.rear_roller_diameter_mm),
            roller_centre_distance_mm: grown(change.roller_centre_distance_mm),
            edge_to_rear_roller_mm: grown(change.edge_to_rear_roller_mm),
            ..change.clone()
        };
        let (one, other) = (run(&change), run(&scaled));
        let apart = |a: Option<f64>, b: Option<f64>| (a.expect("told") - b.expect("told")).abs();
        prop_assert!(apart(one.turns_count, other.turns_count) < 1e-10);
        prop_assert!(apart(one.attitude_change_deg, other.attitude_change_deg) < 1e-10);
    }
}

#[test]
fn a_smaller_share_of_the_edge_takes_more_turns_than_the_bare_thread() {
    let view = there_and_back(&seen(5.0), 1.0).0;
    let thread = there_and_back(&bare(1.25), 1.0).0;
    // The edge half way between the rollers moves about half as far as the roller.
    assert!((view / thread - 2.0).abs() < 0.05, "{view} against {thread}");
}

#[test]
fn a_measured_turn_wins_over_the_thread_and_is_compared_with_the_view() {
    let measured = AdjusterTurnsInputs {
        height_change_per_turn_mm: Some(0.6),
        height_change_mm: Some(1.2),
        ..bare(1.25)
    };
    assert_eq!(run(&measured).turns_count, Some(2.0));
    let both = AdjusterTurnsInputs {
        height_change_per_turn_mm: Some(1.0),
        height_change_mm: Some(1.0),
        ..seen(5.0)
    };
    let answer = run(&both);
    assert!(answer.roller_travel_mm.is_some(), "the side view is used");
    assert!(answer.common.advisories.iter().any(|a| a.id == "measured_turn_differs"));
}

#[test]
fn a_turn_that_lowers_is_turned_back_to_raise() {
    let lowered = AdjusterTurnsInputs {
        calibration_turns_count: Some(0.5),
        calibration_height_before_mm: Some(4.0),
        calibration_height_after_mm: Some(3.7),
        height_change_mm: Some(0.3),
        ..Default::default()
    };
    let turns = run(&lowered).turns_count.expect("answered");
    assert!((turns + 0.5).abs() < 1e-12, "{turns}");
}

#[test]
fn an_incomplete_view_falls_back_and_says_so() {
    let partly = AdjusterTurnsInputs {
        edge_to_rear_roller_mm: None,
        height_change_mm: Some(1.0),
        ..seen(5.0)
    };
    let answer = run(&partly);
    let told = answer.common.advisories.iter().find(|a| a.id == "side_view_incomplete");
    assert!(told.expect("told").text.contains("edge_to_rear_roller_mm"));
    assert_eq!(answer.roller_travel_mm, None);
}

#[test]
fn what_is_missing_is_named() {
    let fields = |inputs: &AdjusterTurnsInputs| {
        run(inputs).common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    let none = AdjusterTurnsInputs::default();
    assert_eq!(fields(&none), ["height_change_mm", "thread_pitch_mm"]);
    let target = AdjusterTurnsInputs { target_height_mm: Some(4.0), ..none.clone() };
    assert_eq!(fields(&target), ["current_height_mm", "thread_pitch_mm"]);
    let half = AdjusterTurnsInputs {
        calibration_turns_count: Some(1.0),
        height_change_mm: Some(1.0),
        ..none
    };
    assert_eq!(fields(&half), ["calibration_height_before_mm", "calibration_height_after_mm"]);
}

#[test]
fn contradictions_and_impossible_units_are_refused() {
    let change = AdjusterTurnsInputs { height_change_mm: Some(1.0), ..seen(5.0) };
    let cases: [(AdjusterTurnsInputs, &str); 9] = [
        (AdjusterTurnsInputs { turns_count: Some(1.0), ..change.clone() }, "turns_count"),
        (AdjusterTurnsInputs { target_height_mm: Some(7.0), ..change.clone() }, "height_change_mm"),
        (
            AdjusterTurnsInputs { edge_to_rear_roller_mm: Some(190.0), ..change.clone() },
            "edge_to_rear_roller_mm",
        ),
        (
            AdjusterTurnsInputs { edge_to_rear_roller_mm: Some(3.0), ..change.clone() },
            "edge_to_rear_roller_mm",
        ),
        (
            AdjusterTurnsInputs {
                roller_centre_distance_mm: Some(50.0),
                edge_to_rear_roller_mm: Some(25.0),
                ..change.clone()
            },
            "roller_centre_distance_mm",
        ),
        (
            AdjusterTurnsInputs { height_change_mm: Some(-5.0), ..change.clone() },
            "height_change_mm",
        ),
        (
            AdjusterTurnsInputs {
                height_change_mm: None,
                target_height_mm: Some(400.0),
                ..change.clone()
            },
            "target_height_mm",
        ),
        (
            AdjusterTurnsInputs {
                calibration_turns_count: Some(1.0),
                calibration_height_before_mm: Some(5.0),
                ..change.clone()
            },
            "calibration_height_before_mm",
        ),
        (
            AdjusterTurnsInputs { height_change_per_turn_mm: Some(0.0), ..change },
            "height_change_per_turn_mm",
        ),
    ];
    for (inputs, field) in cases {
        let error = adjuster_turns(&inputs).expect_err(field);
        assert_eq!(error.field, field, "{error}");
    }
    let over = AdjusterTurnsInputs { height_change_mm: Some(90.0), ..bare(0.5) };
    assert_eq!(adjuster_turns(&over).expect_err("180 turns").field, "turns_count");
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut AdjusterTurnsInputs, f64);
    let change = AdjusterTurnsInputs { height_change_mm: Some(0.1), ..seen(5.0) };
    let of_view: [(&str, Set); 8] = [
        ("height_change_mm", |i, v| i.height_change_mm = Some(v)),
        ("current_height_mm", |i, v| i.current_height_mm = Some(v)),
        ("thread_pitch_mm", |i, v| i.thread_pitch_mm = Some(v)),
        ("front_roller_diameter_mm", |i, v| i.front_roller_diameter_mm = Some(v)),
        ("rear_roller_diameter_mm", |i, v| i.rear_roller_diameter_mm = Some(v)),
        ("roller_centre_distance_mm", |i, v| i.roller_centre_distance_mm = Some(v)),
        ("edge_to_rear_roller_mm", |i, v| i.edge_to_rear_roller_mm = Some(v)),
        ("slot_angle_deg", |i, v| i.slot_angle_deg = Some(v)),
    ];
    for (field, set) in of_view {
        holds_bounds(&change, field, set, adjuster_turns);
    }
    holds_bounds(
        &change,
        "adjuster_travel_ratio",
        |i, v| i.adjuster_travel_ratio = Some(v),
        adjuster_turns,
    );
    holds_bounds(&seen(5.0), "turns_count", |i, v| i.turns_count = Some(v), adjuster_turns);
    let measured = AdjusterTurnsInputs {
        current_height_mm: Some(5.0),
        target_height_mm: Some(5.1),
        calibration_turns_count: Some(1.0),
        calibration_height_before_mm: Some(4.0),
        calibration_height_after_mm: Some(4.5),
        ..Default::default()
    };
    let of_turn: [(&str, Set); 5] = [
        ("target_height_mm", |i, v| i.target_height_mm = Some(v)),
        ("calibration_turns_count", |i, v| i.calibration_turns_count = Some(v)),
        ("calibration_height_before_mm", |i, v| i.calibration_height_before_mm = Some(v)),
        ("calibration_height_after_mm", |i, v| i.calibration_height_after_mm = Some(v)),
        ("height_change_per_turn_mm", |i, v| i.height_change_per_turn_mm = Some(v)),
    ];
    for (field, set) in of_turn {
        holds_bounds(&measured, field, set, adjuster_turns);
    }
}
