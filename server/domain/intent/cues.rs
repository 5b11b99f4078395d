//! Which cue words of `knowledge/intent` occur in a sentence, and what do they point at?
//! Deliberately absent: weighing them against each other.

use super::spoken::Spoken;
use super::turned::Turned;
use crate::domain::language::patterns::{Lexicon, Match};

/// A pattern that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue<'a> {
    /// What stands before the colon: `about`, `ask`, `value`, `kind`, ...
    pub family: &'a str,
    /// What stands after it.
    pub id: &'a str,
    pub weight: u32,
    pub rule: usize,
    /// The words matched, ascending.
    pub words: Vec<usize>,
}

impl Cue<'_> {
    /// Words inside its span that it skipped.
    pub fn gap(&self) -> usize {
        let span = self.words[self.words.len() - 1] - self.words[0] + 1;
        span - self.words.len()
    }

    pub fn first(&self) -> usize {
        self.words[0]
    }

    pub fn last(&self) -> usize {
        self.words[self.words.len() - 1]
    }
}

/// Every cue in a sentence, in order of pattern then position.
pub fn cues<'a>(lexicon: &'a Lexicon, spoken: &Spoken) -> Vec<Cue<'a>> {
    let cue = |found: Match| {
        let (family, id) = lexicon.sections[found.section].split_once(':')?;
        let Match { weight, rule, words, .. } = found;
        Some(Cue { family, id, weight, rule, words })
    };
    let mut all: Vec<Cue<'a>> =
        lexicon.find(&spoken.words).into_iter().filter_map(cue).collect();
    let turned = Turned::new(spoken);
    let found = turned.find(lexicon).into_iter().filter_map(cue);
    all.extend(found.filter(|cue| cue.family == "value"));
    all
}

/// The weight of the cues of a family and id, each pattern once.
pub fn weight(cues: &[Cue], family: &str, id: &str) -> u32 {
    let mut seen: Vec<usize> = Vec::new();
    let mut total = 0;
    for cue in cues.iter().filter(|cue| cue.family == family && cue.id == id) {
        if !seen.contains(&cue.rule) {
            seen.push(cue.rule);
            total += cue.weight;
        }
    }
    total
}

/// The heaviest cue of a family and id; the first among equals.
pub fn heaviest<'b, 'a>(cues: &'b [Cue<'a>], family: &str, id: &str) -> Option<&'b Cue<'a>> {
    cues.iter()
        .filter(|cue| cue.family == family && cue.id == id)
        .reduce(|best, cue| if cue.weight > best.weight { cue } else { best })
}
