//! Is this word one of many that are known? Tens of thousands of words in one piece of text, found
//! by halving, so that they cost neither time at the start nor memory beside their letters.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// Words in order, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WordSet {
    letters: String,
    /// Where each word ends.
    ends: Vec<u32>,
}

impl WordSet {
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// The word at a place, in order of their letters.
    pub fn word(&self, at: usize) -> &str {
        let start = at.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.letters[start as usize..self.ends[at] as usize]
    }

    pub fn contains(&self, word: &str) -> bool {
        let (mut from, mut to) = (0, self.len());
        while from < to {
            let middle = from.midpoint(to);
            match self.word(middle).cmp(word) {
                std::cmp::Ordering::Less => from = middle + 1,
                std::cmp::Ordering::Greater => to = middle,
                std::cmp::Ordering::Equal => return true,
            }
        }
        false
    }
}

impl<'a> FromIterator<&'a str> for WordSet {
    fn from_iter<Words: IntoIterator<Item = &'a str>>(words: Words) -> WordSet {
        let mut set = WordSet::default();
        for word in words.into_iter().collect::<BTreeSet<&str>>() {
            set.letters.push_str(word);
            set.ends.push(u32::try_from(set.letters.len()).expect("far below 4 GiB"));
        }
        set
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_and_others_are_not() {
        let words = ["reel", "", "bedknife", "reels", "reel", "é"];
        let set: WordSet = words.into_iter().collect();
        assert_eq!(set.len(), 5, "each once");
        assert!(words.iter().all(|word| set.contains(word)));
        for word in ["r", "ree", "reelss", "zz", "a"] {
            assert!(!set.contains(word), "{word}");
        }
        let in_order: Vec<&str> = (0..set.len()).map(|at| set.word(at)).collect();
        assert_eq!(in_order, ["", "bedknife", "reel", "reels", "é"]);
        assert!(WordSet::default().is_empty() && !WordSet::default().contains(""));
    }
}
