//! Whole complaints as data: what is heard, what is refused, and how often the cause comes first.
//! The cases were written by people who had not seen the lexicon; the floors are what was reached,
//! less a margin, so that a change for the worse is seen.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use sward_core::domain::catalogue::{Equipment, Knowledge};
use sward_core::domain::complaint::{self, Models, Outcome, Question, diagnose};
use sward_core::domain::diagnosis::plan::{StepKind, next_steps};
use sward_core::embedded;

fn rows(name: &str) -> Vec<Value> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(name);
    let text = fs::read_to_string(path).expect("the cases are there");
    text.lines().map(|line| serde_json::from_str(line).expect("a JSON row")).collect()
}

/// (file, least F1 of findings, least share of cases with the cause among the first three).
const FLOORS: &[(&str, f64, f64)] = &[
    ("complaints.jsonl", 0.92, 0.95),
    ("complaints_fresh.jsonl", 0.92, 0.95),
    ("complaints_third.jsonl", 0.84, 0.87),
    ("complaints_eighth.jsonl", 0.90, 0.91),
    ("complaints_unread.jsonl", 0.87, 0.94),
];

#[test]
fn findings_and_causes_of_unseen_complaints() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    for (file, f1, in_three) in FLOORS {
        let (got_f1, got_in_three) = findings_and_causes(&knowledge, &models, file);
        assert!(got_f1 >= *f1, "{file}: findings F1 fell to {got_f1:.3}");
        assert!(got_in_three >= *in_three, "{file}: cause in three fell to {got_in_three:.3}");
    }
}

/// F1 of the findings heard, and the share of cases with the cause among the first three.
fn findings_and_causes(knowledge: &Knowledge, models: &Models, file: &str) -> (f64, f64) {
    let (mut right, mut extra, mut missed) = (0.0, 0.0, 0.0);
    let (mut in_three, mut count) = (0.0, 0.0);
    for row in rows(file) {
        let question = Question {
            complaint: row["complaint"].as_str().expect("words").to_owned(),
            equipment: row["equipment"].as_str().and_then(Equipment::from_id),
            ..Question::default()
        };
        let answer = diagnose(knowledge, models, &question).expect("a fair question");
        let heard: BTreeMap<&str, bool> =
            answer.heard.iter().map(|heard| (heard.finding.as_str(), heard.present)).collect();
        let gold = row["volunteered"].as_object().expect("findings");
        for (finding, present) in gold {
            let hit = heard.get(finding.as_str()) == present.as_bool().as_ref();
            if hit { right += 1.0 } else { missed += 1.0 }
        }
        extra += heard
            .iter()
            .filter(|(finding, present)| gold.get(**finding).and_then(Value::as_bool) != Some(**present))
            .count() as f64;
        count += 1.0;
        let wanted = row["cause"].as_str().expect("a cause");
        in_three += f64::from(answer.causes.iter().take(3).any(|cause| cause.id == wanted));
    }
    (2.0 * right / (2.0 * right + extra + missed), in_three / count)
}

#[test]
fn what_must_not_be_answered_is_not() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    let (mut outside, mut kept) = (0.0, 0.0);
    let files = ["outside.jsonl", "outside_fresh.jsonl", "outside_third.jsonl"];
    for row in files.into_iter().flat_map(rows) {
        let words = row["utterance"].as_str().expect("words").to_owned();
        let question = Question { complaint: words.clone(), ..Question::default() };
        let answer = diagnose(&knowledge, &models, &question).expect("a fair question");
        if row["why"] == "unsafe_request" {
            assert_eq!(answer.outcome, Outcome::RefusedUnsafe, "{words}");
            assert!(!answer.cautions.is_empty(), "no caution: {words}");
            assert!(answer.steps.is_empty(), "steps all the same: {words}");
            continue;
        }
        outside += 1.0;
        kept += f64::from(answer.outcome != Outcome::Diagnosed);
    }
    assert!(kept / outside >= 0.97, "out of scope recall fell to {:.3}", kept / outside);
}

#[test]
fn fair_complaints_are_not_refused() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    let rows: Vec<Value> =
        rows("complaints.jsonl").into_iter().chain(rows("complaints_fresh.jsonl")).collect();
    let mut refused = 0;
    for row in &rows {
        let words = row["complaint"].as_str().expect("words").to_owned();
        let question = Question { complaint: words, ..Question::default() };
        let answer = diagnose(&knowledge, &models, &question).expect("a fair question");
        refused += usize::from(matches!(
            answer.outcome,
            Outcome::RefusedUnsafe | Outcome::OutOfScope
        ));
    }
    assert!(refused * 100 <= rows.len(), "{refused} of {} refused", rows.len());
}

/// Questions that name a danger only to keep clear of it.
#[test]
fn questions_about_the_safe_way_are_seldom_refused() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    let rows = rows("safe_third.jsonl");
    let refused = rows.iter().filter(|row| {
        let complaint = row["utterance"].as_str().expect("words").to_owned();
        let question = Question { complaint, ..Question::default() };
        let answer = diagnose(&knowledge, &models, &question).expect("a fair question");
        answer.outcome == Outcome::RefusedUnsafe
    });
    let refused = refused.count();
    assert!(refused * 5 <= rows.len(), "{refused} of {} refused", rows.len());
}

/// A knife of too thin a section is not held against the cause because it is not too thick as well
/// (`knowledge/exclusions.csv`); who says both is taken at his word.
#[test]
fn of_two_that_exclude_each_other_one_is_enough() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("sound");
    let network = models.network(Equipment::ReelUnit);
    let about = |observations: &[(&str, bool)]| {
        let observations =
            observations.iter().map(|(id, present)| ((*id).to_owned(), *present)).collect();
        let question = Question { observations, ..Question::default() };
        complaint::evidence(&knowledge, network, &[], &question).expect("possible")
    };
    let (thin, thick) = ("bedknife_too_thin_for_height", "bedknife_too_thick_for_height");
    assert_eq!(about(&[(thin, true), (thick, false)]), about(&[(thin, true)]));
    assert_eq!(about(&[(thick, false)]).len(), about(&[]).len() + 1);
    assert_eq!(about(&[(thin, true), (thick, true)]).len(), about(&[]).len() + 2);
}

/// However many checks could be made, the reply ends with what to do when none of them finds it.
#[test]
fn handing_over_is_told_last_and_never_left_out() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("sound");
    let complaint = "unit 2 leaves ragged grey tips, the others are fine".to_owned();
    let question = Question { complaint, ..Question::default() };
    let answer = diagnose(&knowledge, &models, &question).expect("it is answered");
    assert_eq!(answer.steps.last().map(|step| step.kind), Some(StepKind::Specialist));
    assert!(answer.steps.len() > 3, "{:?}", answer.steps);
}

/// Who troubleshoots at least cost makes no repair whose minutes per cure are more than those of
/// calling for service (Heckerman, Breese and Rommelse 1995, "Decision-theoretic troubleshooting").
#[test]
fn no_repair_costs_more_per_cure_than_handing_over() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("sound");
    let mut repairs = 0;
    for row in rows("complaints_third.jsonl") {
        let complaint = row["complaint"].as_str().expect("words").to_owned();
        let question = Question { complaint, ..Question::default() };
        let answer = diagnose(&knowledge, &models, &question).expect("it is answered");
        let Some(kind) = answer.equipment else { continue };
        let (network, bench) = models.of(kind);
        let evidence = complaint::evidence(&knowledge, network, &answer.heard, &question);
        let steps = next_steps(network, bench, &evidence.expect("possible")).expect("possible");
        for step in steps.iter().filter(|step| step.kind == StepKind::Repair) {
            repairs += 1;
            assert!(step.minutes < step.why.chance * bench.specialist_minutes, "{step:?}");
        }
    }
    assert!(repairs > 100, "{repairs} repairs");
}

/// Own words; whether they are about another machine.
const NAMED_IN_PASSING: &[(&str, bool)] = &[
    ("All units leave ridges across the line of travel, it looks like a ploughed field", false),
    ("The plough will not lift on the left arm", true),
    ("A buggy ran over the gauge bar and now every unit cuts taller than the bar says", false),
    ("The buggy will not start after the rain", true),
];

#[test]
fn another_machine_named_in_passing_is_not_what_is_meant() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("sound");
    for (words, other) in NAMED_IN_PASSING {
        let question = Question { complaint: (*words).to_owned(), ..Question::default() };
        let answer = diagnose(&knowledge, &models, &question).expect("it is answered");
        assert_eq!(answer.outcome == Outcome::OutOfScope, *other, "{words}");
    }
}

/// A word alone is no clause that the model judges.
#[test]
fn single_words_are_heard_or_not_and_nothing_breaks() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    for word in ["streaky", "Mohican.", "rumble", "Scalp. Streaky.", "clumps", "?", "no"] {
        let question = Question { complaint: word.to_owned(), ..Question::default() };
        diagnose(&knowledge, &models, &question).expect(word);
    }
}

/// That a fault shows not behind every unit is heard only with behind how many it does.
#[test]
fn an_extent_denied_by_itself_is_not_heard() {
    let knowledge = embedded::knowledge();
    for row in rows("complaints_third.jsonl") {
        let words = row["complaint"].as_str().expect("words");
        let heard = knowledge.ear.hear(&knowledge.ear.read(words)).heard;
        let extents: Vec<bool> = heard
            .iter()
            .filter(|heard| ["all_units", "one_unit_only"].contains(&heard.finding.as_str()))
            .map(|heard| heard.present)
            .collect();
        assert_ne!(extents, [false], "{words}");
    }
}
