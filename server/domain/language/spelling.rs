//! Which trade word did a misspelt word mean?
//!
//! An unknown word is compared with the trade words that could be near by length and by letters
//! (a 26-bit set of letters differs by at most two letters an edit), so no index has to be built at
//! start-up. Known words, numbers and words of three letters or fewer are never touched; one edit
//! is repaired in words of four to seven letters, two from eight; on a tie the word stays.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::word_set::WordSet;

/// Shortest word that is repaired, and the length from which two edits are.
const SHORTEST: usize = 4;
const LONG: usize = 8;

/// Known words, and the trade words that misspellings are repaired to.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Speller {
    known: WordSet,
    trade: WordSet,
    /// The letters of each trade word.
    letters: Vec<u32>,
}

impl Speller {
    /// `trade`: words worth repairing to. `known`: further words that are right as they are.
    pub fn new<'a>(
        trade: impl IntoIterator<Item = &'a str>,
        known: impl IntoIterator<Item = &'a str>,
    ) -> Self {
        let trade: BTreeSet<&str> = trade
            .into_iter()
            .filter(|word| word.len() >= SHORTEST && word.bytes().all(|b| b.is_ascii_lowercase()))
            .collect();
        Speller {
            known: known.into_iter().chain(trade.iter().copied()).collect(),
            letters: trade.iter().map(|word| letters(word)).collect(),
            trade: trade.into_iter().collect(),
        }
    }

    /// Whether the word stands in the vocabulary as written.
    pub fn knows(&self, word: &str) -> bool {
        self.known.contains(word)
    }

    /// The trade word meant, when the word is unknown and exactly one is nearest.
    pub fn repair(&self, word: &str) -> Option<&str> {
        let allowed = edits_for(word);
        if allowed == 0 || self.knows(word) || !word.bytes().all(|b| b.is_ascii_lowercase()) {
            return None;
        }
        let set = letters(word);
        let mut best: Option<(usize, &str)> = None;
        let mut tied = false;
        for (at, other_set) in self.letters.iter().enumerate() {
            let other = self.trade.word(at);
            let far = (set ^ other_set).count_ones() as usize > 2 * allowed
                || word.len().abs_diff(other.len()) > allowed;
            if far {
                continue;
            }
            let distance = edits(word, other);
            if distance > allowed {
                continue;
            }
            match best {
                Some((known, _)) if known < distance => {}
                Some((known, _)) if known == distance => tied = true,
                _ => {
                    best = Some((distance, other));
                    tied = false;
                }
            }
        }
        best.filter(|_| !tied).map(|(_, other)| other)
    }
}

fn letters(word: &str) -> u32 {
    word.bytes().fold(0, |set, byte| set | 1 << (byte - b'a'))
}

fn edits_for(word: &str) -> usize {
    match word.chars().count() {
        length if length < SHORTEST => 0,
        length if length < LONG => 1,
        _ => 2,
    }
}

/// Optimal string alignment distance: insert, delete, replace, swap of neighbours.
pub fn edits(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let replace = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = replace.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speller() -> Speller {
        let trade = ["bedknife", "roller", "cylinder", "vibrate", "groomer", "grooves", "scalping"];
        Speller::new(trade, ["there", "their", "rolled"])
    }

    #[test]
    fn repairs_trade_words_only() {
        // (as typed, meant): own misspellings.
        let rows = [
            ("bedknfie", Some("bedknife")),
            ("rollar", Some("roller")),
            ("cylnder", Some("cylinder")),
            ("there", None),
            ("rolled", None),
            ("cut", None),
            ("grommer", Some("groomer")),
            ("xyzzyplugh", None),
        ];
        for (typed, meant) in rows {
            assert_eq!(speller().repair(typed), meant, "{typed}");
        }
    }
}
