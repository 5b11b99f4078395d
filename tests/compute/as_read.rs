//! What a person reads: the answer first, a stop before all, questions for what is missing.

use serde_json::Value;

use super::{complaint, printed, sward};

const CLIP: &[&str] =
    &["compute", "clip-spacing", "--ground-speed", "3.8 mph", "--blades", "15", "--reel-speed", "2200"];

/// 3.8 mph, 15 blades, 2200 rpm is 0.122 in (published worked example).
#[test]
fn the_answer_comes_first_and_its_working_and_sources_below() {
    let text = printed(CLIP);
    assert!(text.starts_with("The clip spacing is 3.09 mm."), "{text}");
    let headings = ["Results", "Working", "Worth knowing", "Cautions", "Where this comes from"];
    let order: Vec<usize> = headings
        .iter()
        .filter_map(|heading| text.find(&format!("\n{heading}\n")))
        .collect();
    assert!(order.len() >= 4 && order.is_sorted(), "{text}");
    assert!(text.contains("= 60000 × 1.6988 / (15 × 2200) = 3.0886 mm"), "{text}");
}

#[test]
fn inches_are_shown_to_those_who_ask_for_them() {
    let mut arguments = CLIP.to_vec();
    arguments.extend(["--units", "in"]);
    let text = printed(&arguments);
    assert!(text.starts_with("The clip spacing is 0.122 in."), "{text}");
    assert!(text.contains("clip spacing    0.122 in"), "{text}");
    assert!(text.contains("3.8 mph"), "{text}");
}

#[test]
fn american_words_are_used_for_those_who_speak_so() {
    let arguments = ["compute", "rotary-level", "--tips", "left_front=62,left_rear=68,right_front=90"];
    let british = printed(&arguments);
    let american = printed(&[&arguments[..], &["--words", "american"]].concat());
    assert!(british.contains("tyre"), "{british}");
    assert!(american.contains("tire") && !american.contains("tyre"), "{american}");
}

#[test]
fn json_is_the_canonical_mapping_alone_on_standard_output() {
    let arguments = [CLIP, &["--height", ".5", "--output", "json"]].concat();
    let output = sward(&arguments);
    let text = String::from_utf8(output.stdout.clone()).expect("plain text");
    let reply: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(text.lines().count(), 1);
    assert_eq!(reply["solvedFor"], "clip_spacing_mm");
    assert_eq!(reply["bladeCount"], 15);
    assert!(reply["working"].as_array().is_some_and(|steps| steps.len() > 3));
    // What was assumed is told beside it.
    assert!(complaint(&output).contains("note: --height-of-cut: .5 taken as 0.5 in"), "{text}");
}

#[test]
fn what_is_missing_is_asked_and_is_no_failure() {
    let text = printed(&["compute", "wheel-speed"]);
    assert!(text.starts_with("More is needed"), "{text}");
    assert!(text.contains("What is the wheel diameter, in mm? (--wheel-diameter)"), "{text}");
    assert!(text.contains("--wheel-speed"), "{text}");
}

#[test]
fn over_a_limit_reads_as_a_stop_before_all() {
    let tip = ["compute", "rotary-tip-speed", "--blade-length", "22 in", "--spindle-speed", "4000"];
    let wheel = [
        "compute", "wheel-speed", "--wheel-diameter", "200 mm", "--wheel-speed", "5000",
        "--rated-wheel-speed", "3000",
    ];
    for arguments in [&tip[..], &wheel[..]] {
        let text = printed(arguments);
        assert!(text.starts_with("STOP"), "{text}");
        let (stop, answer) = (text.find("  STOP "), text.find("\nStop"));
        assert!(stop.is_some() && stop < answer, "{text}");
        assert!(!text.contains("max spindle speed") && !text.contains("max wheel speed"), "{text}");
        let reply: Value =
            serde_json::from_str(&printed(&[arguments, &["--output", "json"]].concat())).expect("JSON");
        assert_eq!(reply["cautions"][0]["stopsWork"], true, "{reply}");
    }
}

/// (arguments after `compute`, exit code, what standard error must name)
#[test]
fn bad_input_names_flag_or_field_value_and_remedy() {
    let rows: &[(&[&str], i32, &[&str])] = &[
        (&["clip-spacing", "--ground-speed", "4"], 65, &["--ground-speed", "4 km/h or 4 mph"]),
        (&["clip-spacing", "--ground-speed", "4 kg"], 65, &["--ground-speed", "4 kg", "km/h"]),
        (&["clip-spacing", "--blades", "12.5"], 65, &["--blade-count", "12.5", "whole number"]),
        (&["clip-spacing", "--blades", "1e308"], 65, &["--blade-count", "1e308"]),
        (
            &["clip-spacing", "--blades=-3", "--reel-speed", "900", "--clip", "5 mm"],
            65,
            &["blade_count", "-3", "the flag is --blade-count"],
        ),
        (&["clip-spacing", "--reel-speed", "NaN"], 65, &["--reel-speed", "NaN"]),
        (
            &["match-units", "--unit-heights", "1:left"],
            65,
            &["--unit-heights", "1:left", "UNIT:END=HEIGHT"],
        ),
        (
            &["paper-map", "--gap", "1:left=bent"],
            65,
            &["--gap", "bent"],
        ),
        (
            &["height-plan", "--current", "9 mm", "--target", "6 mm", "--start-date", "2026-02-30"],
            65,
            &["start_date", "2026-02-30", "the flag is --start-date"],
        ),
        (&["repair-cost", "--mower-type", "reel"], 2, &["--mower-type", "cutterbar"]),
        (&["no-such-setting"], 2, &["no-such-setting"]),
    ];
    for (arguments, code, words) in rows {
        let output = sward(&[&["compute"], *arguments].concat());
        let said = complaint(&output);
        assert_eq!(output.status.code(), Some(*code), "{arguments:?}: {said}");
        for word in *words {
            assert!(said.contains(word), "{arguments:?} does not say {word:?}: {said}");
        }
        assert!(output.stdout.is_empty(), "{arguments:?} prints an answer");
    }
}

/// One unit is meant by every bare number of a list, and which one is told.
#[test]
fn a_list_has_one_unit() {
    for (written, wanted_mm, told) in [
        ("3.5,3.5,3.5,3.5", 3.5, "taken as mm"),
        (".270,.270,.270,.270", 6.858, "taken as in"),
        ("1.4,3.5,1.4,3.5", 2.45, "taken as mm"),
        ("0.25,0.25,0.25,0.25 in", 6.35, ""),
    ] {
        let heights: Vec<&str> = written.split(',').collect();
        let rows = format!(
            "1:left={},1:right={},2:left={},2:right={}",
            heights[0], heights[1], heights[2], heights[3]
        );
        let arguments = ["compute", "match-units", "--heights", &rows, "--output", "json"];
        let output = sward(&arguments);
        let said = complaint(&output);
        let reply: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        let mean = reply["meanHeightMm"].as_f64().expect("a mean");
        assert!((mean - wanted_mm).abs() < 1e-9, "{written}: {mean}");
        assert!(said.contains(told), "{written}: {said}");
    }
}

#[test]
fn rows_may_be_written_field_by_field() {
    let short = printed(&[
        "compute", "match-units", "--output", "json", "--unit-heights",
        "1:left=3.5 mm,1:right=3.6 mm,2:left=3.5 mm,2:right=3.5 mm",
    ]);
    let long = printed(&[
        "compute", "match-units", "--output", "json",
        "--unit-heights", "unit=1,end=left,height=3.5 mm;unit=1,end=right,height=3.6 mm",
        "--unit-heights", "unit=2,end=left,height_mm=3.5 mm;unit=2,end=right,height=3.5 mm",
    ]);
    assert_eq!(short, long);
}

#[test]
fn compute_alone_lists_the_twenty_and_each_explains_itself() {
    let text = printed(&["compute"]);
    let names: Vec<&str> = text
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert_eq!(names.len(), 20, "{text}");
    for name in names {
        let help = printed(&["compute", name, "--help"]);
        assert!(help.contains("Inputs:") && help.contains("--output"), "{help}");
    }
}
