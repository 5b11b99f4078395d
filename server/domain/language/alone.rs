//! Does a sign stand alone in its clause, so that no other word could change its sense?

use super::hearing::{Ear, Reading};
use super::patterns::{Match, NUMBER, Word};

/// A bare sign with its machine is not longer (no source).
const BARE_WORDS_MAX: usize = 10;
/// What says that a fault is there after all.
const THERE_NOW: &[&str] = &["now", "still", "already"];
/// What machines and their units are called (common practice, no source).
const MACHINES: &[&str] = &[
    "triplex", "walker", "mower", "gang", "rotary", "machine", "quint", "unit", "head", "number",
    "no", "fairway", "fairways", "greens", "tees", "green", "tee", "rough", "collar", "front",
];

/// Where on a machine a sign is (common practice, no source).
const PLACES: &[&str] =
    &["left", "right", "lh", "rh", "middle", "centre", "center", "side", "hand", "rear", "outside"];

/// What is mown, behind the verb of a sign: "scalping the collars" (common practice, no source).
const AREAS: &[&str] = &[
    "collars", "apron", "aprons", "surround", "surrounds", "fringe", "fringes", "approach",
    "approaches", "roughs", "pitch", "pitches", "outfield", "square", "lawn", "lawns", "turf",
    "grass", "banks", "banking", "edges",
];
/// With these another clause tells that it is over, or of what came before.
const OVER: &[&str] = &[
    "was", "were", "had", "sorted", "gone", "fixed", "cured", "before", "used", "since", "after",
    "no", "not", "never", "but", "because", "if", "when", "think", "thinks", "reckon", "reckons",
];

/// "Squeal on walker 1", "... and now it squeals": a phrase with nothing beside it but a machine and
/// small words, in a text or a clause of its own.
pub fn says_nothing_else(ear: &Ear, reading: &Reading, found: &Match) -> bool {
    let segment = reading.words[found.first()].segment;
    let words = || reading.words.iter().enumerate();
    let clause: Vec<_> = words().filter(|(_, word)| word.segment == segment).collect();
    let is_there = |(_, word): &(usize, &Word)| THERE_NOW.contains(&&*word.text);
    let rest = || words().filter(|(_, word)| word.segment != segment);
    // "Scalping the collars, others ok": the rest tells no sign of its own.
    let tells = |one: &Match| {
        let traits = ear.findings.get(&ear.lexicon.sections[one.section]);
        let fault = traits.is_some_and(|traits| !traits.context);
        fault && reading.words[one.first()].segment != segment
    };
    let silent = || {
        rest().all(|(_, word)| !OVER.contains(&&*word.text)) && !reading.matches.iter().any(tells)
    };
    let whole = clause.iter().any(is_there) || silent();
    let beside = |(at, word): (usize, &Word)| {
        let small = ear.small_words.contains(&word.stem) || word.stem == NUMBER;
        let named = [MACHINES, PLACES, AREAS].iter().any(|list| list.contains(&&*word.text));
        small || named || found.words.contains(&at)
    };
    whole && clause.len() <= BARE_WORDS_MAX && clause.into_iter().all(beside)
}
