//! Safety said in any words: who is hurt, what has to stop, what may be done. Sentences are our own;
//! the complaints of `tests/cases` that may be read must not be turned away for it.

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use sward_core::domain::catalogue::{Guard, Knowledge};
use sward_core::domain::danger::{self, Danger};
use sward_core::domain::language::scope::Scope;
use sward_core::domain::passages::form::Form;
use sward_core::domain::passages::told;
use sward_core::embedded;

fn heard(knowledge: &Knowledge, words: &str) -> Danger {
    danger::heard(knowledge, &knowledge.ear.read(words))
}

#[test]
fn whoever_is_hurt_comes_first() {
    let knowledge = embedded::knowledge();
    for (words, row) in [
        ("the lad has caught his hand in the belt", "injury"),
        ("I've sliced my thumb on a reel blade", "injury"),
        ("trailer ramp came down on her foot", "injury"),
        ("flint flew out of the deck and struck a walker's leg, he is bleeding", "injury"),
        ("degreaser went in both eyes", "injury"),
        ("battery acid splashed on his arm", "injury"),
        ("our apprentice burnt his wrist on the exhaust", "injury"),
        ("fluid from a hose has been injected in his palm", "injection"),
        ("pinhole leak jabbed my finger, tiny dot", "injection"),
        ("hydraulic oil got under her skin", "injection"),
        ("petrol is dripping on the hot silencer", "fire"),
        ("the mower is on fire", "fire"),
    ] {
        assert_eq!(heard(&knowledge, words).emergency.as_deref(), Some(row), "{words}");
    }
}

#[test]
fn what_only_sounds_like_hurt_is_none() {
    let knowledge = embedded::knowledge();
    for words in [
        "a stone hit the bedknife",
        "cut my greens at 3 mm this morning",
        "grease injected into the bearing until it showed at the seal",
        "the blade trapped a stick and stalled",
        "nobody was hurt, but the guard is off",
        "how do I set it without cutting my fingers",
        "will I cut my hand if I turn it by the blades",
        "he lost a finger in it years ago",
        "my left hand unit is cut up at the end",
        "oil is leaking and the motor runs hot",
        "backed the reel off a hair and it burns less fuel",
    ] {
        assert_eq!(heard(&knowledge, words).emergency, None, "{words}");
    }
}

#[test]
fn a_machine_that_must_stop_is_told_to() {
    let knowledge = embedded::knowledge();
    for (words, row) in [
        ("the reels keep turning after I let go of the lever", "does_not_disengage"),
        ("one blade flew off into the hedge", "came_off"),
        ("the front deck shakes since i changed the blades", "shakes_since_blades"),
        ("ever since we had the blades sharpened it vibrates like mad", "shakes_since_blades"),
        ("clouted a kerb and now the whole deck shakes", "struck"),
        ("there's smoke from the belt cover", "smoke"),
        ("diesel is leaking under the tank", "fuel_leak"),
        ("he keeps a brick on the seat switch", "interlock_defeated"),
        ("the bail arm is cable tied", "interlock_defeated"),
        ("somebody has strapped the blade lever down", "interlock_defeated"),
    ] {
        assert_eq!(heard(&knowledge, words).stop.as_deref(), Some(row), "{words}");
    }
}

#[test]
fn complaints_are_not_turned_away_for_safety() {
    let knowledge = embedded::knowledge();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut away: Vec<String> = Vec::new();
    let mut count = 0;
    for name in ["complaints", "complaints_fresh", "complaints_fourth", "complaints_ninth"] {
        let text = fs::read_to_string(folder.join(format!("{name}.jsonl"))).expect("cases");
        for line in text.lines() {
            let row: Value = serde_json::from_str(line).expect("a JSON row");
            let words = row["complaint"].as_str().unwrap_or_default();
            count += 1;
            let danger = heard(&knowledge, words);
            if danger.emergency.is_some() {
                away.push(words.to_owned());
            }
        }
    }
    assert!(away.len() * 500 <= count, "{} of {count}:\n{}", away.len(), away.join("\n"));
}

#[test]
fn every_answer_of_safety_has_words_that_lead_to_it() {
    let knowledge = embedded::knowledge();
    for row in knowledge.refusals.iter().filter(|row| row.guard != Guard::Refuse) {
        let section = format!("safety:{}", row.id);
        assert!(knowledge.intent.sections.contains(&section), "{section}");
    }
}

#[test]
fn a_passage_answers_or_nothing_does() {
    let knowledge = embedded::knowledge();
    let passages = knowledge.passages();
    let answer = |form: Form, query: &str| told::answer(&knowledge, passages, form, query);
    for (form, query, holds) in [
        (Form::Define, "bedbar", "carries the bedknife"),
        (Form::Differ, "groomer or verticut", "groomer"),
        (Form::Tools, "replace reel bearings", "Replace the reel bearings and seals"),
        (Form::Long, "spin grind reel", "75 minutes"),
        (Form::Good, "land width", "1 to 1.5 mm"),
        (Form::Good, "torque bedknife screws", "manual"),
        (Form::Looks, "marcelling", "ripples"),
        (Form::Order, "tighten bedknife screws", "middle"),
        (Form::Why, "lap distance", "distance"),
        // By hand: 1.5 of 5 is 0.3; 2 of 5 is 0.4, over a third.
        (Form::Wrong, "height in one go 5 3.5", "takes 30 per cent of what stands, inside a third"),
        (Form::Wrong, "height in one go 5 3", "takes 40 per cent of what stands, more than a third"),
        (Form::Why, "reel dull one end", "that end touches and the other does not"),
    ] {
        let lines = answer(form, query).map(|told| told.lines.join("\n")).unwrap_or_default();
        assert!(lines.contains(holds), "{query}: {lines}");
    }
    for (form, query) in [
        (Form::Define, "flux capacitor"),
        (Form::Differ, "lathe or bandsaw"),
        (Form::Tools, "gearbox rebuild"),
    ] {
        assert_eq!(answer(form, query), None, "{query}");
    }
}

/// Sentences of our own that stand in no file of the knowledge.
#[test]
fn danger_is_heard_in_words_that_no_phrase_holds() {
    let knowledge = embedded::knowledge();
    let rows = |words: &str| -> Vec<String> {
        let reading = knowledge.ear.read(words);
        let hearing = knowledge.ear.hear(&reading);
        let (judged, danger) = danger::judged(&knowledge, &reading, &hearing);
        let refused = match judged.scope {
            Scope::Unsafe(id) => Some(id),
            _ => None,
        };
        [danger.emergency, refused, danger.stop, danger.leave].into_iter().flatten().collect()
    };
    for (words, row) in [
        (
            "deck is bunged up again, quickest way to hoick it out with the belt still going round?",
            "free_a_deck",
        ),
        (
            "there's twine round the cylinder, I'll just flick it off as it turns",
            "reach_into_moving_reel",
        ),
        (
            "one blade tip snapped off, the other two are fine so we'll do the last pitch",
            "run_damaged_wheel_or_blade",
        ),
        ("caught the corner of a manhole lid with the deck on, awful clang", "struck"),
        ("young fella's gashed his palm on the bottom blade", "injury"),
        ("he slaps the paste on with his fingers while the reel runs back", "lap_by_hand"),
        (
            "I nip underneath while it hangs on the chain block, two minutes",
            "work_under_unsupported",
        ),
        ("welder's set up next to where the petrol cans live, that a worry?", "flame_near_fuel"),
        ("belt cover kept rattling so it lives in the van now", "remove_guard"),
    ] {
        assert!(rows(words).iter().any(|one| one == row), "{words}: {:?}", rows(words));
    }
    for words in [
        "what paste do we lap the fairway reels with",
        "how do I set the height of cut on the tees mower",
        "blades leave a fringe on the left and it hums",
        "who fitted the blades on the deck in may",
        "sharpened both blades on the deck, 40 min, balanced",
    ] {
        assert!(rows(words).is_empty(), "{words}: {:?}", rows(words));
    }
    let words = "lost the fingers guard off the groomer, can we run it";
    assert!(!rows(words).iter().any(|one| one == "injury"), "{words}: {:?}", rows(words));
}
