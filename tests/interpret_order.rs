//! Are numbers understood that stand before their names, are taken back, or were of what is there no
//! more? The sentences are our own.

use sward_core::domain::intent::Command;
use sward_core::domain::intent::filled::Value;
use sward_core::domain::records::RecordKind;
use sward_core::embedded;

use super::interpret::{ask, recorded};

/// Words, calculation, what is asked for, and some of its numbers.
type Row = (&'static str, &'static str, &'static str, &'static [(&'static str, f64)]);

// A yard is 0.9144 m and an inch 25.4 mm, both exactly (NIST SP 811).
const ROWS: &[Row] = &[
    ("80 between centres, 95 the brush, 68 the roller. How hard's it pressing?", "brush_contact",
        "brush_interference_mm",
        &[("centre_distance_mm", 80.0), ("brush_diameter_mm", 95.0), ("roller_diameter_mm", 68.0)]),
    ("12 the collar's at. 8 for the open day. Twelve days. What are the steps?", "height_plan",
        "step_heights_mm",
        &[("current_height_mm", 12.0), ("target_height_mm", 8.0), ("time_available_days", 12.0)]),
    ("8 now, 5 wanted, three weeks to get there. Stages?", "height_plan", "step_heights_mm",
        &[("current_height_mm", 8.0), ("target_height_mm", 5.0), ("time_available_days", 21.0)]),
    ("A hundred yards takes me a minute, eleven blades, 2,100 revs. How long is each snip?",
        "clip_spacing", "clip_spacing_mm",
        &[("ground_speed_mps", 1.524), ("blade_count", 11.0), ("reel_speed_rpm", 2_100.0)]),
    ("4 mph on the mower, 1,700 on the reel, from eleven blades to nines. Clip now?",
        "clip_spacing", "clip_spacing_mm", &[("blade_count", 9.0), ("reel_speed_rpm", 1_700.0)]),
    ("swapped 20 inch blades for 18s, spindle still 3,100. What are the tips doing?",
        "rotary_tip_speed", "tip_speed_mps",
        &[("blade_length_mm", 457.2), ("spindle_speed_rpm", 3_100.0)]),
    ("gone from a 200 wheel to a 150 one, motor still 2,900. What's the rim doing?", "wheel_speed",
        "surface_speed_mps", &[("wheel_diameter_mm", 150.0), ("wheel_speed_rpm", 2_900.0)]),
    ("25 kg it was and 31 it is, sinking 0.9 mm at the old weight. Sinks to what now?",
        "sinkage_change", "new_sinkage_mm",
        &[("roller_load_kg", 25.0), ("new_roller_load_kg", 31.0), ("sinkage_mm", 0.9)]),
    ("1.5 pitch. I'd like it a millimetre, no, 0.6 higher. Turns?", "adjuster_turns",
        "turns_count", &[("thread_pitch_mm", 1.5), ("height_change_mm", 0.6)]),
    ("close it up 0.06 mm, each click being worth 0.02. How many clicks?", "adjuster_turns",
        "turns_count", &[("height_change_per_turn_mm", 0.02), ("height_change_mm", 0.06)]),
    ("3.9 on the bar, 3.4 asked for, 0.6 a turn. Wind it how far?", "adjuster_turns",
        "turns_count",
        &[("current_height_mm", 3.9), ("target_height_mm", 3.4),
            ("height_change_per_turn_mm", 0.6)]),
    ("Two turns and it's come from 4.8 to 4.4, 4.0's what I'm after. Another how many?",
        "adjuster_turns", "turns_count",
        &[("calibration_turns_count", 2.0), ("current_height_mm", 4.4), ("target_height_mm", 4.0)]),
    ("0.6 under bench it's been, and 7 on the prism is the order. Bench figure?", "bench_height",
        "bench_height_mm", &[("sinkage_mm", 0.6), ("target_effective_height_mm", 7.0)]),
    ("Twice ground speed for the tips, at 1.2 m/s, 95 the brush. Brush revs?", "brush_contact",
        "brush_speed_rpm", &[("surface_speed_ratio", 2.0), ("brush_diameter_mm", 95.0)]),
    ("Twenty-two thousand we gave for the triplex. 4,000 hours is where it's headed. Repairs come \
        to what?", "repair_cost", "accumulated_repair_cost",
        &[("purchase_price", 22_000.0), ("machine_time_h", 4_000.0)]),
    ("Six mil... six millimetres lower in front. Left front 70, right front 72, left rear 75, \
        right rear 77. What does each hanger want?", "rotary_level", "hanger_corrections_mm",
        &[("rake_front_low_mm", 6.0)]),
    ("with the box full the roller carries 44 kilos and empty it's 36. How many times deeper does \
        it go full?", "sinkage_change", "sinkage_ratio",
        &[("roller_load_kg", 36.0), ("new_roller_load_kg", 44.0)]),
    ("A narrower roller, 540 mm in place of 600, sinks 0.7 mm at present. How far will it then?",
        "sinkage_change", "new_sinkage_mm",
        &[("roller_width_mm", 600.0), ("new_roller_width_mm", 540.0)]),
    ("a 20 inch walker at 3 mph, no overlap, 70%. How long on a 5,400 square foot green?",
        "field_capacity", "time_h", &[("area_ha", 0.050_167_621_6)]),
    ("Reel log: 240, 4.97; 580, 4.92; scrap at 4.7. Hours left?", "reel_wear", "remaining_life_h",
        &[("minimum_diameter_mm", 119.38)]),
    ("heights L/R: 1) 4.10/4.14 2) 4.05/4.10. should be 4.10 +/- 0.03, which to move?",
        "match_units", "end_moves_mm", &[("target_height_mm", 4.1), ("tolerance_mm", 0.03)]),
];

#[test]
fn numbers_find_their_names_from_either_side() {
    let knowledge = embedded::knowledge();
    for (text, wanted, asked, numbers) in ROWS {
        let answer = ask(&knowledge, text);
        let Command::Compute { calculation, filled, solve_for } = &answer.command else {
            panic!("{text}: {answer:?}");
        };
        assert_eq!((calculation, solve_for.as_str()), (wanted, *asked), "{text}");
        for (field, value) in *numbers {
            let got = filled.get_number(field).unwrap_or_else(|| panic!("{text}: {filled:?}"));
            assert!((got - value).abs() < 1e-6 * value.abs().max(1.0), "{text}: {field} {got}");
        }
    }
}

#[test]
fn a_number_of_a_list_may_be_put_right_or_looked_for() {
    let knowledge = embedded::knowledge();
    // Words, list, and its numbers; our own sentences.
    let rows: &[(&str, &str, &[f64])] = &[
        ("Seals went at 410, 380 and 450 hours, I said 380, it was 308. How often to change them?",
            "failure_times_h", &[410.0, 308.0, 450.0]),
        ("came up 0.4, 0.5 and, hang on, 0.6 mm under bench, bench is 4 mm, true cut?",
            "sinkage_readings_mm", &[0.4, 0.5, 0.6]),
        ("Reel log: 240, 4.97; 580, 4.92; scrap at 4.7. Hours left?", "reading_times_h",
            &[240.0, 580.0]),
    ];
    for (text, list, wanted) in rows {
        let answer = ask(&knowledge, text);
        let Command::Compute { filled, .. } = &answer.command else {
            panic!("{text}: {answer:?}");
        };
        let Some(Value::Numbers(found)) = filled.get(list) else { panic!("{text}: {filled:?}") };
        let same = |(one, two): (&f64, &f64)| (one - two).abs() < 1e-9;
        let all = found.len() == wanted.len() && found.iter().zip(*wanted).all(same);
        assert!(all, "{text}: {found:?}");
    }
}

#[test]
fn work_is_told_with_its_numbers_first() {
    let knowledge = embedded::knowledge();
    // Words, kind of record, and of what; our own sentences.
    let rows: &[(&str, RecordKind, &str)] = &[
        ("greens 3, u2 reel miked 4.88 L 4.87 R inch", RecordKind::Inspection,
            "sites/home/machines/greens-3/units/2"),
        ("1,480 is what the clock says on walker 3", RecordKind::Hours,
            "sites/home/machines/walker-3"),
        ("40 hours the groomer has on those blades, greens 2", RecordKind::Hours,
            "sites/home/machines/greens-2"),
        ("relief ground no 4 reel fairway mower 2, 25, no, 27 degrees", RecordKind::Sharpening,
            "sites/home/machines/fairway-mower-2/units/4"),
        ("3.25 left and 3.31 right is what unit 2 of greens 4 reads on the bench",
            RecordKind::HeightReading, "sites/home/machines/greens-4/units/2"),
        ("127.1 at the left, 126.8 at the right, that's what unit 3's reel miked at, tees mower 2",
            RecordKind::Inspection, "sites/home/machines/tees-mower-2/units/3"),
        ("rotary blades, park deck, 3 off, edges put back on and balanced",
            RecordKind::Sharpening, "sites/home/machines/park-deck"),
    ];
    for (text, kind, subject) in rows {
        let records = recorded(&knowledge, text);
        let (name, content) = &records[0];
        assert_eq!((content.kind(), name.to_string().as_str()), (*kind, *subject), "{text}");
    }
}
