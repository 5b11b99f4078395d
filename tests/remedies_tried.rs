//! What was done in vain is heard, counts less and is not advised again. Sentences are our own.

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::tried;
use sward_core::embedded;

fn ids(words: &str, kind: Equipment) -> Vec<String> {
    let knowledge = &embedded::knowledge();
    tried::in_vain(knowledge, kind, words).iter().map(|row| row.id.clone()).collect()
}

#[test]
fn what_was_done_and_did_not_help_is_heard() {
    for (words, cause) in [
        ("Greens look grey. didnt fix it, lapped it and still grey", "edges_dull"),
        ("lines across. My lad says he has slowed down already and it is no better", "clip_too_long"),
        ("we've set it twice and paper still folds at one end", "gap_open_one_end"),
        ("pumped the tyres up, no difference", "tyre_pressure_wrong"),
        ("We lapped it last week. No better", "edges_dull"),
    ] {
        let found = ids(words, Equipment::ReelUnit);
        assert!(found.iter().any(|id| id == cause), "{words}: {found:?}");
    }
    let found = ids("we swapped the blade. still does it", Equipment::RotaryDeck);
    assert!(found.iter().any(|id| id == "rotary_blade_bent"), "{found:?}");
}

#[test]
fn what_was_not_done_or_helped_is_not() {
    for words in [
        "we have not lapped it yet and it still tears",
        "lapped it last week, cuts lovely since",
        "the ground is still soft",
        "leaves a line behind unit 2",
    ] {
        assert_eq!(ids(words, Equipment::ReelUnit), [String::new(); 0], "{words}");
    }
}
