//! Which words that are there could a word that is not there have meant? Words of its length, give
//! or take, that differ by one letter, or by two in a long word. Deliberately absent: words that
//! are there as written; they are never changed.

use std::collections::BTreeMap;

use crate::domain::language::spelling::edits;

/// Shortest stem that is repaired, and from which two letters may be wrong.
const SHORTEST: usize = 4;
const LONG: usize = 7;
/// Words taken instead of one.
const MEANT_MAX: usize = 4;
/// Weight of a word that differs by so many letters.
const WEIGHTS: [f64; 3] = [1.0, 0.7, 0.5];

/// Collects the nearest words while all that are there are shown to it.
pub struct Nearest<'a> {
    written: &'a str,
    allowed: usize,
    /// How often each near word is there.
    near: BTreeMap<(usize, String), u64>,
}

impl<'a> Nearest<'a> {
    /// Nothing when the word is too short to be sure of anything.
    pub fn new(written: &'a str) -> Option<Nearest<'a>> {
        let length = written.chars().count();
        let allowed = if length >= LONG { 2 } else { 1 };
        (length >= SHORTEST).then(|| Nearest { written, allowed, near: BTreeMap::new() })
    }

    pub fn show(&mut self, word: &str, count: u64) {
        if word.len().abs_diff(self.written.len()) > self.allowed
            || word.len() < SHORTEST - 1
            || letters(word).differing(letters(self.written)) > 2 * self.allowed
        {
            return;
        }
        let distance = edits(word, self.written);
        if distance <= self.allowed {
            *self.near.entry((distance, word.to_owned())).or_default() += count;
        }
    }

    /// The words at the smallest distance, the commonest first, with their weights.
    pub fn meant(self) -> Vec<(String, f64)> {
        let Some(nearest) = self.near.keys().next().map(|(distance, _)| *distance) else {
            return Vec::new();
        };
        let mut words: Vec<(u64, String)> = self
            .near
            .into_iter()
            .filter(|((distance, _), _)| *distance == nearest)
            .map(|((_, word), count)| (count, word))
            .collect();
        words.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        words.truncate(MEANT_MAX);
        words.into_iter().map(|(_, word)| (word, WEIGHTS[nearest])).collect()
    }
}

/// Which of the 26 letters a word has.
#[derive(Clone, Copy)]
struct Letters(u32);

fn letters(word: &str) -> Letters {
    let small = word.bytes().filter(u8::is_ascii_lowercase);
    Letters(small.fold(0, |set, byte| set | 1 << (byte - b'a')))
}

impl Letters {
    fn differing(self, other: Letters) -> usize {
        (self.0 ^ other.0).count_ones() as usize
    }
}
