//! What `paper_map` promises: known faults are told from each other, whatever the order and scale.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{ProptestConfig, prop_assert, prop_assert_eq, proptest};

const STATIONS: [(&str, f64); 5] =
    [("a", 0.0), ("b", 140.0), ("c", 280.0), ("d", 420.0), ("e", 560.0)];

fn reading(blade: &str, station: &str, position: f64, gap: f64) -> GapReading {
    GapReading {
        blade: blade.to_owned(),
        station: station.to_owned(),
        gap_mm: Some(gap),
        station_position_mm: Some(position),
        ..Default::default()
    }
}

/// Readings of a whole reel: `gap` of the place from -1 to 1 and of the blade.
fn reel(blades: usize, gap: impl Fn(f64, usize) -> f64) -> PaperMapInputs {
    let mut inputs = PaperMapInputs::default();
    for blade in 0..blades {
        for (station, position) in STATIONS {
            let gap = gap(position / 280.0 - 1.0, blade);
            inputs.gap_mm.push(reading(&blade.to_string(), station, position, gap));
        }
    }
    inputs
}

fn run(inputs: &PaperMapInputs) -> PaperMapAnswer {
    paper_map(inputs).expect("inside")
}

fn close(got: Option<f64>, wanted: f64) -> bool {
    got.is_some_and(|got| (got - wanted).abs() < 1e-10)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn parts_are_found_whatever_the_order_of_reading(
        level in 0.1..0.3_f64, tilt in -0.1..0.1_f64, bow in -0.05..0.05_f64,
        low in 0.0..0.2_f64, seed in 0..55_usize,
    ) {
        let mut inputs = reel(11, |x, blade| {
            let blade = if blade == 3 { low } else { 0.0 };
            level + tilt / 2.0 * x - bow * x * x + blade
        });
        inputs.gap_mm.rotate_left(seed);
        let answer = run(&inputs);
        prop_assert!(close(answer.tilt_mm, tilt) && close(answer.bow_mm, bow));
        let third = answer.blade_error_mm.iter().find(|error| error.blade == "3");
        prop_assert!(close(third.map(|error| error.error_mm), low));
    }

    #[test]
    fn a_wider_setting_all_along_moves_the_mean_alone(shift in 0.0..0.5_f64) {
        let gap = |x: f64, blade: usize| 0.1 + 0.03 * x + 0.001 * (blade * blade % 5) as f64;
        let (one, other) = (run(&reel(7, gap)), run(&reel(7, |x, b| gap(x, b) + shift)));
        prop_assert!(close(other.mean_gap_mm, one.mean_gap_mm.expect("told") + shift));
        prop_assert!(close(other.tilt_mm, one.tilt_mm.expect("told")));
        prop_assert!(close(other.residual_sd_mm, one.residual_sd_mm.expect("told")));
    }

    #[test]
    fn seen_from_the_other_end_the_tilt_turns_round(tilt in -0.1..0.1_f64) {
        let one = run(&reel(5, |x, _| 0.2 + tilt * x));
        let other = run(&reel(5, |x, _| 0.2 - tilt * x));
        prop_assert!(close(other.tilt_mm, -one.tilt_mm.expect("told")));
        prop_assert_eq!(one.adjustment_mm.len(), other.adjustment_mm.len());
    }

    #[test]
    fn the_moves_bring_both_ends_to_the_target(tilt in -0.1..0.1_f64, target in 0.0..0.2_f64) {
        let moves = run(&PaperMapInputs {
            target_gap_mm: Some(target),
            ..reel(5, |x, _| 0.2 + tilt * x)
        })
        .adjustment_mm;
        let moved = |end: &str| moves.iter().find(|m| m.end == end).map_or(0.0, |m| m.move_mm);
        for (end, x) in [("a", -1.0), ("e", 1.0)] {
            let left = 0.2 + tilt * x - moved(end) - target;
            prop_assert!(left.abs() <= 0.01 + 1e-9, "{} is left {}", end, left);
        }
    }
}

#[test]
fn each_fault_has_its_own_verdict() {
    let wave = |x: f64, blade: usize| {
        0.1 + 0.01 * x + 0.05 * (blade as f64 * std::f64::consts::TAU / 11.0).sin()
    };
    let nicked = |x: f64, _: usize| if x == 0.5 { 0.15 } else { 0.05 };
    let one_place = |x: f64, blade: usize| if x == 0.0 && blade == 4 { 0.2 } else { 0.05 };
    for (inputs, action, words) in [
        (reel(11, |_, _| 0.05), PaperAction::Nothing, "leave it"),
        (reel(11, |x, _| 0.08 + 0.03 * x), PaperAction::Adjust, "e end: 0.06 mm closer"),
        (reel(11, |x, _| 0.05 + 0.06 * x * x), PaperAction::GrindBedknife, "tight in the middle"),
        (reel(11, wave), PaperAction::CheckBearings, "one wave"),
        (reel(11, nicked), PaperAction::GrindBedknife, "at d"),
        (reel(11, one_place), PaperAction::GrindReel, "Blade 4 at c"),
        (
            reel(5, |_, blade| if blade == 2 { 0.15 } else { 0.05 }),
            PaperAction::GrindReel,
            "blade 2 stands 0.1 mm low",
        ),
        (
            reel(11, |_, blade| if blade == 2 { 0.01 } else { 0.05 }),
            PaperAction::GrindReel,
            "blade 2 stands 0.04 mm high",
        ),
    ] {
        let answer = run(&inputs);
        assert_eq!(answer.action, Some(action), "{}", answer.common.answer);
        assert!(answer.common.answer.contains(words), "{}", answer.common.answer);
    }
}

#[test]
fn repeats_that_differ_blame_the_bearings() {
    let mut inputs = reel(4, |_, _| 0.05);
    let again = reel(4, |_, blade| if blade % 2 == 0 { 0.12 } else { 0.05 });
    inputs.gap_mm.extend(again.gap_mm);
    let answer = run(&inputs);
    assert_eq!(answer.action, Some(PaperAction::CheckBearings));
    assert!(answer.repeat_sd_mm.expect("repeated") > 0.025);
}

#[test]
fn too_few_cells_are_asked_for() {
    let mut one_blade = reel(1, |_, _| 0.05);
    assert_eq!(run(&one_blade).common.missing[0].field, "gap_mm");
    one_blade.gap_mm.clear();
    assert_eq!(run(&one_blade).common.missing[0].field, "gap_mm");
    let mut two_stations = reel(3, |_, _| 0.05);
    two_stations.gap_mm.retain(|reading| reading.station.as_str() < "c");
    assert!(run(&two_stations).common.missing[0].why.contains("3 stations"));
    let mut gaps = reel(2, |_, _| 0.05);
    gaps.gap_mm.retain(|r| r.station.as_str() < "d" && (r.blade == "0") != (r.station == "c"));
    let answer = run(&gaps);
    assert!(answer.action.is_none() && !answer.common.missing.is_empty());
}

#[test]
fn readings_that_cannot_be_used_are_named() {
    let edit = |change: fn(&mut GapReading)| {
        let mut inputs = reel(2, |_, _| 0.05);
        change(&mut inputs.gap_mm[3]);
        paper_map(&inputs).expect_err("cannot be used")
    };
    for (error, field) in [
        (edit(|r| r.blade = " ".to_owned()), "gap_mm[3].blade"),
        (edit(|r| r.station = String::new()), "gap_mm[3].station"),
        (edit(|r| r.gap_mm = None), "gap_mm[3].gap_mm"),
        (edit(|r| r.strip = Some(StripResult::Cuts)), "gap_mm[3].gap_mm"),
        (edit(|r| (r.gap_mm, r.strip) = (None, Some(StripResult::Cuts))), "gap_mm[3].strip"),
        (edit(|r| r.station_position_mm = None), "station_position_mm"),
        (edit(|r| r.station_position_mm = Some(0.0)), "station"),
    ] {
        assert_eq!(error.field, field, "{error}");
    }
}

#[test]
fn known_names_stand_at_their_places_in_any_order() {
    let inputs = |names: [&str; 3]| {
        let mut inputs = PaperMapInputs::default();
        for blade in ["1", "2"] {
            for name in names {
                let gap = if name == "right" || name == "trailing" { 0.09 } else { 0.05 };
                let row = reading(blade, name, 0.0, gap);
                inputs.gap_mm.push(GapReading { station_position_mm: None, ..row });
            }
        }
        inputs
    };
    for names in [["right", "left", "centre"], ["middle", "trailing", "leading"]] {
        let answer = run(&inputs(names));
        assert!(close(answer.tilt_mm, 0.04), "{names:?}: {:?}", answer.tilt_mm);
    }
    let twice = paper_map(&inputs(["left", "leading", "right"])).expect_err("one end twice");
    assert_eq!(twice.field, "station");
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut PaperMapInputs, f64);
    let fields: [(&str, Set); 4] = [
        ("gap_mm", |i, v| i.gap_mm[2].gap_mm = Some(v)),
        ("station_position_mm", |i, v| {
            i.gap_mm.iter_mut().filter(|r| r.station == "e").for_each(|r| {
                r.station_position_mm = Some(v);
            });
        }),
        ("target_gap_mm", |i, v| i.target_gap_mm = Some(v)),
        ("gap_per_flat_mm", |i, v| i.gap_per_flat_mm = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&reel(3, |_, _| 0.05), field, set, paper_map);
    }
    let long = PaperMapInputs { gap_mm: reel(201, |_, _| 0.05).gap_mm, ..Default::default() };
    assert_eq!(paper_map(&long).expect_err("1005 rows").field, "gap_mm");
}
