//! "92 the brush", "12 the collar is at", "34 kg it was": how would the clause be said with its number
//! after what it is of? The cues that are then heard are cues of the clause as well.
//! Deliberately absent: clauses of more than one number.

use super::spoken::Spoken;
use crate::domain::language::patterns::{Lexicon, Match, Word};

/// Off the weight of a cue that is heard only so.
const TURNED: u32 = 2;
/// Words that a clause begins with before its number.
const LEADS: &[&str] = &[
    "and", "but", "so", "then", "now", "with", "well", "right", "yes", "yeah", "ok", "also", "only",
];
/// Words that part two clauses when each has a number of its own.
const PARTS: &[&str] = &["and", "but", "so"];

/// Clauses that begin with their only number, each with it put last.
#[derive(Debug, Default)]
pub struct Turned {
    words: Vec<Word>,
    /// Where each word stands in the sentence.
    places: Vec<usize>,
}

impl Turned {
    pub fn new(spoken: &Spoken) -> Turned {
        let mut out = Turned::default();
        let mut first = 0;
        for at in 1..=spoken.words.len() {
            if at == spoken.words.len() || parts(spoken, first, at) {
                out.turn(spoken, first, at);
                first = at;
            }
        }
        out
    }

    /// Adds the words `first..end` when they are a clause of that kind.
    fn turn(&mut self, spoken: &Spoken, first: usize, end: usize) {
        let lead = |at: &usize| LEADS.contains(&spoken.words[*at].text.as_str());
        let number = (first..end).find(|at| !lead(at)).unwrap_or(end);
        let rest = number + 1..end;
        let only = number < end && is_number(spoken, number);
        if !only || rest.is_empty() || rest.clone().any(|at| is_number(spoken, at)) {
            return;
        }
        // A clause of its own, so that no cue reaches from one into the next.
        let own = u32::try_from(first).unwrap_or(u32::MAX);
        for at in rest.chain([number]) {
            let word = spoken.words[at].clone();
            self.words.push(Word { sentence: 2 * own, segment: own, ..word });
            self.places.push(at);
        }
    }

    /// The patterns that are found, by the words of the sentence, a little lighter.
    pub fn find(&self, lexicon: &Lexicon) -> Vec<Match> {
        if self.words.is_empty() {
            return Vec::new();
        }
        let mut found = lexicon.find(&self.words);
        for one in &mut found {
            one.words = one.words.iter().map(|word| self.places[*word]).collect();
            one.words.sort_unstable();
            one.weight = one.weight.saturating_sub(TURNED).max(1);
        }
        found
    }
}

/// Whether a clause ends before a word.
fn parts(spoken: &Spoken, first: usize, at: usize) -> bool {
    let (before, word) = (&spoken.words[at - 1], &spoken.words[at]);
    let joins = PARTS.contains(&word.text.as_str());
    let numbers = |mut range: std::ops::Range<usize>| range.any(|at| is_number(spoken, at));
    before.segment != word.segment || (joins && numbers(first..at))
}

fn is_number(spoken: &Spoken, word: usize) -> bool {
    !spoken.places[word].quantities.is_empty()
}
