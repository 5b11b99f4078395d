//! What `field_capacity` promises: every quantity left out comes back from the others.

use super::*;
use proptest::prelude::{prop_assert, proptest};

fn machine(width: f64, speed: f64, efficiency: f64) -> FieldCapacityInputs {
    FieldCapacityInputs {
        working_width_mm: Some(width),
        ground_speed_mps: Some(speed),
        field_efficiency_fraction: Some(efficiency),
        ..FieldCapacityInputs::default()
    }
}

fn answered(inputs: &FieldCapacityInputs) -> FieldCapacityAnswer {
    field_capacity(inputs).expect("inside the bounds")
}

#[test]
fn overlap_that_leaves_no_width_is_refused() {
    let of = |overlap| {
        field_capacity(&FieldCapacityInputs {
            overlap_mm: Some(overlap),
            ..machine(1_000.0, 2.0, 0.8)
        })
    };
    assert_eq!(of(1_000.0).expect_err("nothing left").field, "overlap_mm");
    assert!(of(999.9).is_ok());
}

#[test]
fn more_than_the_time_holds_is_refused_by_the_time() {
    let rushed = FieldCapacityInputs {
        field_efficiency_fraction: None,
        area_ha: Some(1.0),
        time_h: Some(0.5),
        ..machine(1_000.0, 2.0, 0.0)
    };
    assert_eq!(field_capacity(&rushed).expect_err("over 100 %").field, "time_h");
}

#[test]
fn an_area_and_a_time_both_given_say_whether_it_fits() {
    let of = |time| {
        answered(&FieldCapacityInputs {
            area_ha: Some(1.0),
            time_h: Some(time),
            ..machine(2_000.0, 2.0, 0.8)
        })
    };
    assert!(of(2.0).common.answer.contains("inside"));
    assert!(of(0.5).common.answer.contains("over"));
}

#[test]
fn too_little_asks_for_the_rest() {
    let fields = |inputs: &FieldCapacityInputs| {
        let answer = answered(inputs);
        answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
    };
    let all = ["working_width_mm", "ground_speed_mps", "field_efficiency_fraction"];
    assert_eq!(fields(&FieldCapacityInputs::default()), all);
    let both = FieldCapacityInputs {
        area_ha: Some(1.0),
        time_h: Some(1.0),
        working_width_mm: Some(2_000.0),
        ..FieldCapacityInputs::default()
    };
    assert_eq!(fields(&both), all[1..]);
    // 6 ha at 2.5 m/s over 1.65 m: 4.04 h, and by 0.9 and 0.75 of it 4.49 and 5.39 h.
    let but_the_share = FieldCapacityInputs {
        field_efficiency_fraction: None,
        overlap_mm: Some(150.0),
        area_ha: Some(6.0),
        ..machine(1_800.0, 2.5, 1.0)
    };
    let why = answered(&but_the_share).common.missing[0].why.clone();
    assert!(why.contains("comes to 4 h 2 min") && why.contains("4 h 29 min to 5 h 23 min"), "{why}");
}

#[test]
fn times_read_as_a_day_is_planned() {
    assert_eq!(clock(0.25), "15 min");
    assert_eq!(clock(1.999), "2 h 0 min");
    assert_eq!(clock(5.6), "5 h 36 min");
}

#[test]
fn absurd_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1.0] {
        for index in 0..6 {
            let mut given =
                [Some(2_000.0), Some(100.0), Some(2.0), Some(0.8), Some(1.0), Some(1.0)];
            given[index] = Some(bad);
            let result = field_capacity(&FieldCapacityInputs {
                working_width_mm: given[0],
                overlap_mm: given[1],
                ground_speed_mps: given[2],
                field_efficiency_fraction: given[3],
                area_ha: given[4],
                time_h: given[5],
            });
            assert!(result.is_err(), "field {index} at {bad}");
        }
    }
}

proptest! {
    #[test]
    fn each_of_width_speed_and_efficiency_comes_back(
        width in 300.0..10_000.0f64, overlap_share in 0.0..0.5f64,
        speed in 0.2..6.0f64, efficiency in 0.05..0.99f64, time in 0.1..100.0f64,
    ) {
        let whole = FieldCapacityInputs {
            overlap_mm: Some(width * overlap_share),
            time_h: Some(time),
            ..machine(width, speed, efficiency)
        };
        let area_ha = answered(&whole).area_ha;
        let known = FieldCapacityInputs { area_ha, ..whole.clone() };
        let left_out = answered(&FieldCapacityInputs { working_width_mm: None, ..known.clone() });
        prop_assert!((left_out.working_width_mm.expect("solved") / width - 1.0).abs() < 1e-9);
        let left_out = answered(&FieldCapacityInputs { ground_speed_mps: None, ..known.clone() });
        prop_assert!((left_out.ground_speed_mps.expect("solved") / speed - 1.0).abs() < 1e-9);
        let left_out =
            answered(&FieldCapacityInputs { field_efficiency_fraction: None, ..known.clone() });
        let solved = left_out.field_efficiency_fraction.expect("solved");
        prop_assert!((solved / efficiency - 1.0).abs() < 1e-9);
        let left_out = answered(&FieldCapacityInputs { time_h: None, ..known });
        prop_assert!((left_out.time_h.expect("solved") / time - 1.0).abs() < 1e-9);
    }

    #[test]
    fn overlap_only_ever_costs_area(width in 500.0..5_000.0f64, overlap in 1.0..400.0f64) {
        let plain = answered(&machine(width, 2.0, 0.8));
        let lapped = answered(&FieldCapacityInputs {
            overlap_mm: Some(overlap),
            ..machine(width, 2.0, 0.8)
        });
        prop_assert!(lapped.field_capacity_ha_per_h < plain.field_capacity_ha_per_h);
    }
}
