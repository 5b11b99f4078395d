//! Which side or place of a complaint is put right: "I was mistaken, it is the right end, not the
//! left", "sorry, trailing end I mean"? The complaint with the other side in it.
//! Deliberately absent: sides of records (`follow_up`), other units and machines (`spoken_of`).

use super::follow_up::{PAIRS, side_put_in};
use super::{Action, Actions, Conversation, in_turn};
use crate::domain::wording::plain;

/// What says that something before was wrong.
const CUES: &[&str] = &[
    "mistaken", "mistake", "meant", "mean", "actually", "no", "sorry", "wrong", "correction", "not",
    "rather", "wait", "scratch", "oops", "muddled", "tell", "hang", "other",
];
/// Words that may stand beside a side in such a correction.
#[rustfmt::skip]
const BESIDE: &[&str] = &[
    "i", "was", "am", "im", "it", "its", "is", "the", "end", "side", "hand", "one", "on", "at",
    "that", "thats", "said", "should", "be", "have", "been", "a", "lie", "my", "got", "round",
    "way", "you", "know", "of", "in", "fact", "and", "but", "then", "unit", "oh", "ah", "to",
    "think",
];

/// The words that name the side that is meant; what is denied is left out.
fn meant(words: &str) -> Option<String> {
    let lower = plain(words);
    let said: Vec<&str> =
        lower.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let is_side = |word: &str| PAIRS.iter().any(|(one, other)| word == *one || word == *other);
    let cue = said.iter().any(|word| CUES.contains(word));
    let only = said
        .iter()
        .all(|word| is_side(word) || CUES.contains(word) || BESIDE.contains(word));
    if !cue || !only {
        return None;
    }
    let denied = |at: usize| {
        let from = at.saturating_sub(3);
        said[from..at].iter().any(|word| matches!(*word, "not" | "isnt" | "wasnt"))
    };
    let sides: Vec<&str> = (0..said.len())
        .filter(|at| is_side(said[*at]) && !denied(*at))
        .map(|at| said[at])
        .collect();
    match sides[..] {
        [side] => Some(side.to_owned()),
        _ => None,
    }
}

impl<C: Clone> Conversation<C> {
    /// The complaint of before on the side that is meant.
    pub(super) fn side_of_the_case(&mut self, words: &str) -> Option<Actions<C>> {
        if in_turn::asks(words) || self.case_words.is_empty() {
            return None;
        }
        let side = meant(words)?;
        let whole = side_put_in(&side, &self.case_words)?;
        self.case_words.clear();
        self.turn.words.clone_from(&whole);
        // In the place of what was said before, and of the same machine.
        Some(vec![Action::Interpret(format!("forget that, {whole}"))])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_side_that_is_meant_is_told_beside_the_one_that_is_not() {
        for (words, wanted) in [
            ("I was mistaken; it is the right end, not the left.", Some("right")),
            ("not the left, the right", Some("right")),
            ("sorry its the trailing end", Some("trailing")),
            ("no, rear i mean", Some("rear")),
            ("the left tyre is soft", None),
            ("left and right, not the middle one", None),
        ] {
            assert_eq!(meant(words).as_deref(), wanted, "{words}");
        }
    }
}
