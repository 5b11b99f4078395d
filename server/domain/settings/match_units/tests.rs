//! What `match_units` promises: after the moves all is inside tolerance, and nothing else was
//! moved.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::collection::vec;
use proptest::prelude::{prop_assert, prop_assert_eq, proptest};

fn gang(heights: &[f64]) -> MatchUnitsInputs {
    let rows = heights.iter().enumerate().map(|(index, &height)| UnitEndHeight {
        unit: (index / 2 + 1).to_string(),
        end: ["left", "right"][index % 2].to_owned(),
        height_mm: Some(height),
    });
    MatchUnitsInputs { unit_heights_mm: rows.collect(), ..Default::default() }
}

fn run(inputs: &MatchUnitsInputs) -> MatchUnitsAnswer {
    match_units(inputs).expect("inside")
}

/// The gang once the moves of an answer are made.
fn moved(inputs: &MatchUnitsInputs, answer: &MatchUnitsAnswer) -> MatchUnitsInputs {
    let mut after = inputs.clone();
    for row in &mut after.unit_heights_mm {
        let made = answer.end_moves_mm.iter().find(|m| m.unit == row.unit && m.end == row.end);
        row.height_mm = row.height_mm.map(|height| height + made.map_or(0.0, |m| m.move_mm));
    }
    after
}

proptest! {
    #[test]
    fn moves_are_enough_and_no_more(
        heights in vec(3.0..4.0_f64, 2..5), target in 3.0..4.0_f64, tolerance in 0.02..0.3_f64,
    ) {
        let heights: Vec<f64> = heights.iter().flat_map(|&h| [h, 7.0 - h]).collect();
        let inputs = MatchUnitsInputs {
            target_height_mm: Some(target),
            tolerance_mm: Some(tolerance),
            ..gang(&heights)
        };
        let answer = run(&inputs);
        let out = heights.iter().filter(|&&h| (h - target).abs() > tolerance + 1e-6).count();
        prop_assert_eq!(answer.end_moves_mm.len(), out);
        let after = run(&moved(&inputs, &answer));
        prop_assert!(after.end_moves_mm.is_empty());
        prop_assert!((after.spread_mm.expect("told") - answer.spread_after_mm.expect("told")).abs() < 1e-12);
        prop_assert!(after.spread_mm.expect("told") <= 2.0 * tolerance + 1e-5);
    }

    #[test]
    fn the_found_height_needs_no_more_moves_than_any_other(
        heights in vec(3.0..4.0_f64, 2..5), other in 3.0..4.0_f64, tolerance in 0.02..0.3_f64,
    ) {
        let heights: Vec<f64> = heights.iter().flat_map(|&h| [h, 7.0 - h]).collect();
        let found = MatchUnitsInputs { tolerance_mm: Some(tolerance), ..gang(&heights) };
        let at_other = MatchUnitsInputs { target_height_mm: Some(other), ..found.clone() };
        prop_assert!(run(&found).end_moves_mm.len() <= run(&at_other).end_moves_mm.len());
    }

    #[test]
    fn order_of_reading_does_not_matter(
        heights in vec(3.0..4.0_f64, 2..5), turn in 0..8_usize,
    ) {
        let heights: Vec<f64> = heights.iter().flat_map(|&h| [h, 7.0 - h]).collect();
        let inputs = MatchUnitsInputs { tolerance_mm: Some(0.1), ..gang(&heights) };
        let mut turned = inputs.clone();
        let rows = turned.unit_heights_mm.len();
        turned.unit_heights_mm.rotate_left(turn % rows);
        let (one, other) = (run(&inputs), run(&turned));
        prop_assert_eq!(one.target_height_mm, other.target_height_mm);
        prop_assert_eq!(one.end_moves_mm.len(), other.end_moves_mm.len());
        for made in &one.end_moves_mm {
            prop_assert!(other.end_moves_mm.contains(made));
        }
    }
}

#[test]
fn turns_follow_the_measured_turn_before_the_thread() {
    let inputs = MatchUnitsInputs {
        target_height_mm: Some(3.5),
        tolerance_mm: Some(0.03),
        thread_pitch_mm: Some(1.25),
        ..gang(&[3.5, 3.5, 3.0, 3.5])
    };
    assert_eq!(run(&inputs).end_moves_mm[0].turns_count, Some(0.4));
    let measured = MatchUnitsInputs { height_change_per_turn_mm: Some(-0.5), ..inputs };
    assert_eq!(run(&measured).end_moves_mm[0].turns_count, Some(-1.0));
}

#[test]
fn duplicate_missing_and_third_ends_are_named() {
    let mut twice = gang(&[3.5, 3.5, 3.5, 3.5]);
    twice.unit_heights_mm[3].end = "left".to_owned();
    assert_eq!(match_units(&twice).expect_err("read twice").field, "unit_heights_mm[3].end");
    let mut third = gang(&[3.5, 3.5, 3.5, 3.5]);
    third.unit_heights_mm[3].end = "middle".to_owned();
    assert_eq!(match_units(&third).expect_err("three ends").field, "end");
    let mut short = gang(&[3.5, 3.5, 3.5, 3.5]);
    short.unit_heights_mm.pop();
    let answer = run(&short);
    assert_eq!(answer.common.missing[0].field, "unit_heights_mm");
    assert!(answer.common.missing[0].why.contains("right end of unit 2"));
    assert!(answer.end_moves_mm.is_empty() && answer.common.answer.is_empty());
    assert_eq!(run(&gang(&[])).common.missing.len(), 1);
    let mut unread = gang(&[3.5, 3.5]);
    unread.unit_heights_mm[0].height_mm = None;
    assert_eq!(match_units(&unread).expect_err("none").field, "unit_heights_mm[0].height_mm");
}

#[test]
fn a_step_that_shows_is_told_on_greens() {
    let wide = MatchUnitsInputs {
        target_height_mm: Some(3.5),
        tolerance_mm: Some(0.2),
        ..gang(&[3.35, 3.65])
    };
    let told = |inputs: &MatchUnitsInputs| {
        run(inputs).common.advisories.iter().any(|a| a.id == "step_shows_on_greens")
    };
    assert!(told(&wide));
    assert!(!told(&MatchUnitsInputs { surface: Some(TurfSurface::Longer), ..wide.clone() }));
    assert!(!told(&MatchUnitsInputs { tolerance_mm: Some(0.1), ..wide }));
}

#[test]
fn without_a_tolerance_it_is_four_per_cent() {
    let inputs = MatchUnitsInputs { target_height_mm: Some(3.5), ..gang(&[3.5, 3.639]) };
    assert!(run(&inputs).end_moves_mm.is_empty());
    let inputs = MatchUnitsInputs { target_height_mm: Some(3.5), ..gang(&[3.5, 3.641]) };
    assert_eq!(run(&inputs).end_moves_mm.len(), 1);
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut MatchUnitsInputs, f64);
    let base = MatchUnitsInputs { target_height_mm: Some(3.5), ..gang(&[3.5, 3.5]) };
    let fields: [(&str, Set); 5] = [
        ("height_mm", |i, v| i.unit_heights_mm[0].height_mm = Some(v)),
        ("target_height_mm", |i, v| i.target_height_mm = Some(v)),
        ("tolerance_mm", |i, v| i.tolerance_mm = Some(v)),
        ("thread_pitch_mm", |i, v| i.thread_pitch_mm = Some(v)),
        ("height_change_per_turn_mm", |i, v| i.height_change_per_turn_mm = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&base, field, set, match_units);
    }
    let zero = MatchUnitsInputs { height_change_per_turn_mm: Some(0.0), ..base };
    assert!(match_units(&zero).is_err());
}
