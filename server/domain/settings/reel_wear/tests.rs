//! What `reel_wear` promises: wear and grinding are told apart, and little data gives a wide
//! answer.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use proptest::prelude::{prop_assert, proptest};

fn lists(times: &[f64], diameters: &[f64]) -> ReelWearInputs {
    ReelWearInputs {
        reading_times_h: times.to_vec(),
        diameter_readings_mm: diameters.to_vec(),
        minimum_diameter_mm: Some(115.0),
        ..Default::default()
    }
}

fn run(inputs: &ReelWearInputs) -> ReelWearAnswer {
    reel_wear(inputs).expect("inside")
}

/// A reel worn at a steady rate, with a wobble of the micrometer.
fn worn(rate: f64, wobble: f64, start_h: f64) -> ReelWearInputs {
    let times: Vec<f64> = (0..6).map(|index| start_h + 150.0 * f64::from(index)).collect();
    let read = |(index, time): (usize, &f64)| {
        127.0 - rate * (time - start_h) + wobble * [0.0, 1.0, -1.0, 1.0, 0.0, -1.0][index]
    };
    let diameters: Vec<f64> = times.iter().enumerate().map(read).collect();
    lists(&times, &diameters)
}

proptest! {
    #[test]
    fn a_steady_rate_is_found_whenever_it_began(
        rate in 0.001..0.008_f64, start in 0.0..5_000.0_f64,
    ) {
        let (one, other) = (run(&worn(rate, 0.0, start)), run(&worn(rate, 0.01, 0.0)));
        prop_assert!((one.wear_rate_mm_per_h.expect("told") / rate - 1.0).abs() < 1e-8);
        let later = run(&worn(rate, 0.01, start));
        let apart = later.remaining_life_h.expect("told") - other.remaining_life_h.expect("told");
        prop_assert!(apart.abs() < 1e-3, "the clock's zero does not matter: {}", apart);
    }

    #[test]
    fn the_interval_holds_the_life_and_widens_with_its_share(
        rate in 0.002..0.006_f64, wobble in 0.005..0.03_f64, share in 0.5..0.98_f64,
    ) {
        let at = |share| run(&ReelWearInputs {
            confidence_fraction: Some(share),
            ..worn(rate, wobble, 0.0)
        });
        let (narrow, wide) = (at(share), at(share + 0.015));
        let life = narrow.remaining_life_h.expect("told");
        let low = |a: &ReelWearAnswer| a.remaining_life_low_h.expect("told");
        let high = |a: &ReelWearAnswer| a.remaining_life_high_h.unwrap_or(f64::INFINITY);
        prop_assert!(low(&wide) < low(&narrow) && low(&narrow) < life);
        prop_assert!(high(&wide) > high(&narrow) && high(&narrow) > life);
    }

    #[test]
    fn a_higher_minimum_leaves_less_life(rate in 0.002..0.006_f64, more in 0.1..3.0_f64) {
        let base = worn(rate, 0.01, 0.0);
        let higher = ReelWearInputs { minimum_diameter_mm: Some(115.0 + more), ..base.clone() };
        prop_assert!(run(&higher).remaining_life_h < run(&base).remaining_life_h);
    }
}

#[test]
fn two_readings_give_a_rate_and_no_interval() {
    let answer = run(&lists(&[0.0, 400.0], &[127.0, 125.8]));
    assert!((answer.remaining_life_h.expect("told") - 10.8 / 0.003).abs() < 1e-6);
    assert_eq!((answer.remaining_life_low_h, answer.remaining_life_high_h), (None, None));
    assert!(answer.common.advisories.iter().any(|a| a.id == "no_interval"));
    assert!(answer.common.answer.contains("nothing tells how sure"));
}

#[test]
fn scattered_readings_set_no_upper_end() {
    let answer = run(&lists(&[0.0, 100.0, 200.0], &[126.0, 125.95, 125.98]));
    assert_eq!(answer.remaining_life_high_h, None);
    assert!(answer.common.advisories.iter().any(|a| a.id == "life_open_above"));
}

#[test]
fn at_the_minimum_it_is_replaced() {
    let answer = run(&lists(&[0.0, 400.0, 800.0], &[117.0, 116.0, 114.9]));
    assert_eq!(answer.remaining_life_h, Some(0.0));
    assert!(answer.common.answer.contains("replace it"), "{}", answer.common.answer);
}

#[test]
fn no_wear_gives_no_life() {
    let answer = run(&lists(&[0.0, 400.0, 800.0], &[126.0, 126.0, 126.0]));
    assert_eq!(answer.wear_rate_mm_per_h, Some(0.0));
    assert_eq!(answer.remaining_life_h, None);
    assert!(answer.common.advisories.iter().any(|a| a.id == "no_wear_shows"));
}

#[test]
fn grindings_by_the_hour_are_told_from_wear() {
    // 0.003 mm an hour and 0.25 mm a grinding, ground at 300 and 600 h.
    let times = [0.0, 150.0, 290.0, 310.0, 450.0, 590.0, 610.0, 750.0];
    let diameters = times.map(|t: f64| {
        127.0 - 0.003 * t - 0.25 * f64::from(u8::from(t > 300.0) + u8::from(t > 600.0))
    });
    let inputs =
        ReelWearInputs { grinding_times_h: vec![600.0, 300.0], ..lists(&times, &diameters) };
    let answer = run(&inputs);
    assert!((answer.wear_rate_mm_per_h.expect("told") - 0.003).abs() < 1e-9);
    assert!((answer.grinding_loss_mm.expect("told") - 0.25).abs() < 1e-7);
    // Two grindings in 750 h: next after 375 h from the last, 600 h.
    assert!((answer.next_grind_h.expect("told") - (600.0 + 375.0 - 750.0)).abs() < 1e-9);
}

#[test]
fn grinding_before_every_reading_cannot_be_told_apart() {
    let row = |time: f64, diameter: f64| DiameterReading {
        time_h: Some(time),
        diameter_mm: Some(diameter),
        after_grinding: true,
        ..Default::default()
    };
    let inputs = ReelWearInputs {
        readings: vec![row(0.0, 127.0), row(100.0, 126.5), row(200.0, 126.0), row(300.0, 125.5)],
        ..Default::default()
    };
    let answer = run(&inputs);
    assert_eq!(answer.grinding_loss_mm, None);
    assert!((answer.wear_rate_mm_per_h.expect("told") - 0.005).abs() < 1e-12);
    assert!(answer.common.advisories.iter().any(|a| a.id == "grinding_not_told_apart"));
}

#[test]
fn taper_that_grows_tells_the_next_grinding() {
    let row = |time: f64, left: f64, right: f64| DiameterReading {
        time_h: Some(time),
        left_diameter_mm: Some(left),
        right_diameter_mm: Some(right),
        ..Default::default()
    };
    let inputs = ReelWearInputs {
        readings: vec![row(0.0, 127.0, 127.0), row(100.0, 126.7, 126.6), row(200.0, 126.4, 126.2)],
        ..Default::default()
    };
    let answer = run(&inputs);
    assert!((answer.taper_mm.expect("told") - 0.2).abs() < 1e-9);
    // 0.001 mm an hour, 0.05 mm to go.
    assert!((answer.next_grind_h.expect("told") - 50.0).abs() < 1e-6);
}

#[test]
fn taper_grows_either_way_and_may_shrink() {
    let next = |first: f64, last: f64| {
        let row = |time: f64, taper: f64| DiameterReading {
            time_h: Some(time),
            left_diameter_mm: Some(126.0 + taper / 2.0 - time / 1_000.0),
            right_diameter_mm: Some(126.0 - taper / 2.0 - time / 1_000.0),
            ..Default::default()
        };
        let readings = vec![row(0.0, first), row(100.0, last)];
        run(&ReelWearInputs { readings, ..Default::default() }).next_grind_h
    };
    for (first, last) in [(0.0, 0.1), (0.0, -0.1)] {
        let hours = next(first, last).expect("0.001 mm an hour");
        assert!((hours - 150.0).abs() < 1e-6, "{first} to {last}: {hours}");
    }
    assert_eq!(next(0.1, 0.05), None, "it wears true again");
    assert_eq!(next(-0.1, -0.05), None, "it wears true again");
}

#[test]
fn readings_that_cannot_be_used_are_named() {
    let rows = vec![DiameterReading::default()];
    let both = ReelWearInputs { readings: rows.clone(), ..lists(&[0.0], &[127.0]) };
    for (inputs, field) in [
        (lists(&[0.0, 400.0], &[125.0, 127.0]), "diameter_readings_mm[1]"),
        (lists(&[400.0, 0.0], &[127.0, 126.0]), "reading_times_h[1]"),
        (lists(&[0.0], &[127.0, 126.0]), "reading_times_h"),
        (lists(&[5.0, 5.0], &[127.0, 126.99]), "reading_times_h"),
        (both, "readings"),
        (ReelWearInputs { readings: rows, ..Default::default() }, "readings[0].time_h"),
    ] {
        let error = reel_wear(&inputs).expect_err(field);
        assert_eq!(error.field, field, "{error}");
    }
}

#[test]
fn too_little_is_asked_for_by_name() {
    let fields = |inputs: &ReelWearInputs| {
        run(inputs).common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    let wanted = ["diameter_readings_mm", "reading_times_h"];
    assert_eq!(fields(&ReelWearInputs::default()), wanted);
    assert_eq!(fields(&lists(&[0.0], &[127.0])), wanted);
    let left = ReelWearInputs { left_diameter_mm: Some(127.0), ..Default::default() };
    assert_eq!(fields(&left), ["right_diameter_mm"]);
}

#[test]
fn bounds_are_kept() {
    type Set = fn(&mut ReelWearInputs, f64);
    let base = ReelWearInputs {
        left_diameter_mm: Some(126.0),
        right_diameter_mm: Some(125.9),
        grinding_times_h: vec![350.0],
        ..worn(0.003, 0.01, 0.0)
    };
    let fields: [(&str, Set); 9] = [
        ("diameter_readings_mm", |i, v| i.diameter_readings_mm[2] = v),
        ("reading_times_h", |i, v| i.reading_times_h[2] = v),
        ("grinding_times_h", |i, v| i.grinding_times_h[0] = v),
        ("minimum_diameter_mm", |i, v| i.minimum_diameter_mm = Some(v)),
        ("left_diameter_mm", |i, v| i.left_diameter_mm = Some(v)),
        ("right_diameter_mm", |i, v| i.right_diameter_mm = Some(v)),
        ("taper_limit_mm", |i, v| i.taper_limit_mm = Some(v)),
        ("grinding_interval_h", |i, v| i.grinding_interval_h = Some(v)),
        ("confidence_fraction", |i, v| i.confidence_fraction = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&base, field, set, reel_wear);
    }
    let row = DiameterReading { time_h: Some(0.0), diameter_mm: Some(127.0), ..Default::default() };
    let later = DiameterReading { time_h: Some(9.0), ..row.clone() };
    let rows = ReelWearInputs { readings: vec![row, later], ..Default::default() };
    let set: Set = |i, v| i.readings[1].time_h = Some(v);
    holds_bounds(&rows, "reel_wear.time_h", set, reel_wear);
    holds_bounds(&rows, "diameter_mm", |i, v| i.readings[1].diameter_mm = Some(v), reel_wear);
}
