//! What `bench_height` and `effective_height` promise: they undo each other, and know less with
//! fewer readings.

use super::*;
use crate::domain::settings::bounds_check::holds_bounds;
use crate::domain::settings::height_evidence::HeightReading;
use proptest::prelude::{prop_assert, proptest};

fn sinkages(values: &[f64]) -> HeightEvidence {
    HeightEvidence { sinkage_readings_mm: values.to_vec(), ..Default::default() }
}

fn bench(target: f64, evidence: &HeightEvidence) -> BenchHeightAnswer {
    let inputs =
        BenchHeightInputs { target_effective_height_mm: Some(target), evidence: evidence.clone() };
    bench_height(&inputs).expect("inside")
}

fn effective(bench: f64, evidence: &HeightEvidence) -> EffectiveHeightAnswer {
    let inputs = EffectiveHeightInputs { bench_height_mm: Some(bench), evidence: evidence.clone() };
    effective_height(&inputs).expect("inside")
}

fn width(answer: &BenchHeightAnswer) -> f64 {
    answer.offset_high_mm.expect("told") - answer.offset_low_mm.expect("told")
}

fn reading(bench: f64, effective: f64, area: &str, age_days: f64) -> HeightReading {
    HeightReading {
        bench_height_mm: Some(bench),
        effective_height_mm: Some(effective),
        age_days: Some(age_days),
        area: area.to_owned(),
        unit_type: String::new(),
    }
}

proptest! {
    #[test]
    fn forward_and_back_return_the_target(
        target in 2.5..6.0_f64,
        first in -1.0..1.0_f64, second in -1.0..1.0_f64, third in -1.0..1.0_f64,
    ) {
        let evidence = sinkages(&[first, second, third]);
        let set = bench(target, &evidence).bench_height_mm.expect("answered");
        let got = effective(set, &evidence).effective_height_mm.expect("answered");
        prop_assert!((got - target).abs() < 1e-12);
    }

    #[test]
    fn the_order_of_readings_does_not_matter(
        first in -1.0..1.0_f64, second in -1.0..1.0_f64, third in -1.0..1.0_f64,
    ) {
        let one = bench(5.0, &sinkages(&[first, second, third]));
        let other = bench(5.0, &sinkages(&[third, first, second]));
        let apart = one.bench_height_mm.expect("told") - other.bench_height_mm.expect("told");
        prop_assert!(apart.abs() < 1e-12 && (width(&one) - width(&other)).abs() < 1e-12);
    }

    #[test]
    fn readings_repeated_narrow_the_interval(
        first in -1.0..1.0_f64, second in -1.0..1.0_f64,
    ) {
        let few = bench(5.0, &sinkages(&[first, second]));
        let many = bench(5.0, &sinkages(&[first, second, first, second, first, second]));
        prop_assert!(width(&many) < width(&few));
    }

    #[test]
    fn a_higher_target_needs_a_higher_bench(target in 2.0..100.0_f64, sinkage in -1.0..1.5_f64) {
        let evidence = sinkages(&[sinkage, sinkage + 0.1]);
        let low = bench(target, &evidence).bench_height_mm.expect("told");
        let high = bench(target * 1.05, &evidence).bench_height_mm.expect("told");
        prop_assert!(high > low);
    }

    #[test]
    fn more_share_is_wider(share in 0.5..0.99_f64) {
        let at = |share| HeightEvidence {
            confidence_fraction: Some(share),
            ..sinkages(&[0.4, 0.5])
        };
        prop_assert!(width(&bench(5.0, &at(share + 0.009))) > width(&bench(5.0, &at(share))));
    }
}

#[test]
fn with_no_reading_it_says_measure_first_and_is_wide() {
    let none = bench(3.0, &HeightEvidence::default());
    assert!(none.measure_first);
    assert!(none.common.answer.starts_with("Measure first"));
    assert!(none.common.missing.is_empty());
    assert_eq!(none.bench_height_mm, Some(3.0), "no sign is taken for granted");
    // A green and a tall rough: as wide as offsets in print, -1.27 to +1.59 mm, or wider.
    assert!(none.offset_low_mm.expect("told") < -1.27 && none.offset_high_mm.expect("told") > 1.59);
    assert!(width(&bench(60.0, &HeightEvidence::default())) > width(&none));
    assert!(width(&bench(3.0, &sinkages(&[0.4]))) < width(&none) / 2.0);
}

#[test]
fn few_old_and_scattered_readings_are_told() {
    let told = |evidence: &HeightEvidence, id: &str| {
        bench(5.0, evidence).common.advisories.iter().any(|advisory| advisory.id == id)
    };
    assert!(told(&sinkages(&[0.4, 0.5]), "few_readings"));
    assert!(!told(&sinkages(&[0.4, 0.5, 0.4]), "few_readings"));
    let old = HeightEvidence { reading_age_days: Some(70.0), ..sinkages(&[0.4; 8]) };
    assert!(told(&old, "old_readings") && !told(&sinkages(&[0.4; 8]), "old_readings"));
    assert!(told(&sinkages(&[-1.0, 1.0, -1.0, 1.0]), "readings_scatter"));
    assert!(!told(&sinkages(&[0.3, 0.5, 0.3, 0.5]), "readings_scatter"));
}

#[test]
fn an_interval_wider_than_the_height_has_no_lower_end() {
    let none = bench(1.5, &HeightEvidence::default());
    assert_eq!(none.bench_height_low_mm, None);
    assert!(none.common.advisories.iter().any(|a| a.id == "interval_open_below"));
}

#[test]
fn the_shop_stands_behind_an_area_without_readings() {
    let history = vec![
        reading(4.0, 3.5, "1 green", 10.0),
        reading(4.0, 3.4, "2 green", 10.0),
        reading(4.0, 3.5, "3 green", 10.0),
        reading(4.0, 3.6, "4 green", 10.0),
    ];
    let evidence = HeightEvidence { history, area: "9 green".to_owned(), ..Default::default() };
    let answer = bench(3.5, &evidence);
    assert!(answer.measure_first && answer.reading_count == Some(0));
    let offset = answer.offset_mm.expect("told");
    assert!((-0.5..-0.4).contains(&offset), "drawn a little toward zero: {offset}");
    assert!(width(&answer) < width(&bench(3.5, &HeightEvidence::default())));
    // Its own readings then outweigh the shop's.
    let own = HeightEvidence { sinkage_readings_mm: vec![-0.2, -0.2, -0.2, -0.2], ..evidence };
    assert!((0.13..0.2).contains(&bench(3.5, &own).offset_mm.expect("told")));
}

#[test]
fn unit_types_are_kept_apart() {
    let behind = |unit_type: &str, effective: f64| HeightReading {
        unit_type: unit_type.to_owned(),
        ..reading(4.0, effective, "1 green", 0.0)
    };
    let history = vec![behind("floating", 4.5), behind("floating", 4.5), behind("fixed", 3.7)];
    let of = |unit_type: &str| HeightEvidence {
        history: history.clone(),
        area: "1 green".to_owned(),
        unit_type: unit_type.to_owned(),
        ..Default::default()
    };
    assert!(bench(4.0, &of("floating")).offset_mm > Some(0.4));
    assert!(bench(4.0, &of("fixed")).offset_mm < Some(0.0));
    assert_eq!(bench(4.0, &of("fixed")).reading_count, Some(1));
    assert_eq!(bench(4.0, &of("")).reading_count, Some(3));
}

#[test]
fn missing_and_impossible_inputs_are_named() {
    let answer = bench_height(&BenchHeightInputs::default()).expect("nothing out of bounds");
    assert_eq!(answer.common.missing[0].field, "target_effective_height_mm");
    let evidence = HeightEvidence { effective_height_readings_mm: vec![3.0], ..Default::default() };
    assert_eq!(bench(3.0, &evidence).common.missing[0].field, "reading_bench_height_mm");
    let half = HeightReading { bench_height_mm: Some(3.0), ..Default::default() };
    let inputs = BenchHeightInputs {
        target_effective_height_mm: Some(3.0),
        evidence: HeightEvidence { history: vec![half], ..Default::default() },
    };
    let error = bench_height(&inputs).expect_err("half a reading");
    assert_eq!(error.field, "history[0].effective_height_mm");
    let riding = BenchHeightInputs {
        target_effective_height_mm: Some(2.0),
        evidence: sinkages(&[-3.0, -3.0, -3.0]),
    };
    let error = bench_height(&riding).expect_err("no bench height is under zero");
    assert_eq!(error.field, "target_effective_height_mm");
    let sunk =
        EffectiveHeightInputs { bench_height_mm: Some(2.0), evidence: sinkages(&[3.0, 3.0, 3.0]) };
    assert_eq!(effective_height(&sunk).expect_err("in the ground").field, "bench_height_mm");
}

#[test]
fn bounds_are_kept() {
    let base = BenchHeightInputs {
        target_effective_height_mm: Some(60.0),
        evidence: HeightEvidence {
            reading_bench_height_mm: Some(60.0),
            effective_height_readings_mm: vec![59.0, 58.5],
            sinkage_readings_mm: vec![1.2],
            sinkage_mm: Some(1.0),
            reading_age_days: Some(10.0),
            history: vec![reading(60.0, 59.0, "", 5.0)],
            ..Default::default()
        },
    };
    type Set = fn(&mut BenchHeightInputs, f64);
    let fields: [(&str, Set); 9] = [
        ("target_effective_height_mm", |i, v| i.target_effective_height_mm = Some(v)),
        ("reading_bench_height_mm", |i, v| i.evidence.reading_bench_height_mm = Some(v)),
        ("effective_height_readings_mm", |i, v| i.evidence.effective_height_readings_mm[1] = v),
        ("sinkage_readings_mm", |i, v| i.evidence.sinkage_readings_mm[0] = v),
        ("sinkage_mm", |i, v| i.evidence.sinkage_mm = Some(v)),
        ("reading_age_days", |i, v| i.evidence.reading_age_days = Some(v)),
        ("confidence_fraction", |i, v| i.evidence.confidence_fraction = Some(v)),
        ("age_days", |i, v| i.evidence.history[0].age_days = Some(v)),
        ("effective_height_mm", |i, v| i.evidence.history[0].effective_height_mm = Some(v)),
    ];
    for (field, set) in fields {
        holds_bounds(&base, field, set, bench_height);
    }
    let base = EffectiveHeightInputs { bench_height_mm: Some(60.0), evidence: base.evidence };
    holds_bounds(&base, "bench_height_mm", |i, v| i.bench_height_mm = Some(v), effective_height);
}
