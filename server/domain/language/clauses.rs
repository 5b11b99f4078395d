//! In which run of words is a label likeliest? The runs that the model judges, and the best of them
//! for each label.

use std::collections::BTreeSet;

use super::columns::Column;
use super::patterns::Word;
use super::verdict::log_odds;

/// What is less likely than this in a clause is no rival of what is heard there.
const RIVAL: f32 = 0.1;

/// A run of words that the model judged, and the chance of each label.
pub struct Clause {
    pub first: usize,
    pub last: usize,
    /// It is all of its sentence.
    pub sentence: bool,
    pub chances: Vec<f32>,
}

impl Clause {
    /// By how much a finding of this chance is likelier than the next in the clause, in log odds.
    pub fn lead(&self, chance: f64, finding: &str, columns: &[Column]) -> f64 {
        let others = columns.iter().zip(&self.chances);
        let next = others
            .filter(|(column, chance)| column.finding != finding && **chance >= RIVAL)
            .fold(0.0, |most, (_, chance)| f64::max(most, f64::from(*chance)));
        log_odds(chance) - log_odds(next)
    }

    /// What some words state by themselves (`alone`) is denied in this clause, in these columns.
    pub fn turn(&mut self, alone: &[f32], stated: &[usize], columns: &[Column]) {
        for &at in stated {
            if let Some(denied) = denial_of(at, alone, columns) {
                self.chances[denied] = self.chances[denied].max(alone[at]);
                self.chances[at] = self.chances[at].min(alone[denied]);
            }
        }
    }
}

/// The column that denies what this one states, where words state it rather than deny it.
pub fn denial_of(at: usize, chances: &[f32], columns: &[Column]) -> Option<usize> {
    let denied = columns[at].opposite.filter(|_| columns[at].present)?;
    (chances[at] > RIVAL && chances[at] > chances[denied]).then_some(denied)
}

/// The runs the model judges: each segment, and each whole sentence; none of a single word.
pub fn windows(words: &[Word]) -> BTreeSet<(usize, usize)> {
    let mut out = BTreeSet::new();
    for together in [
        |one: &Word, next: &Word| one.segment == next.segment,
        |one: &Word, next: &Word| one.sentence == next.sentence,
    ] {
        let mut from = 0;
        for run in words.chunk_by(together) {
            out.insert((from, from + run.len() - 1));
            from += run.len();
        }
    }
    out.retain(|(first, last)| last > first);
    out
}

/// Where a label is likeliest.
#[derive(Clone, Copy, Default)]
pub struct Best {
    pub clause: usize,
    pub chance: f64,
    pub in_sentence: f64,
    pub words: usize,
    pub likeliest: bool,
}

/// The best clause of each label.
pub fn best_clauses(clauses: &[Clause], labels: usize) -> Vec<Best> {
    let mut all = vec![Best::default(); labels];
    for (number, clause) in clauses.iter().enumerate() {
        let most = clause.chances.iter().copied().fold(0.0, f32::max);
        for (best, chance) in all.iter_mut().zip(&clause.chances) {
            let likeliest = *chance >= most;
            let chance = f64::from(*chance);
            if clause.sentence {
                best.in_sentence = best.in_sentence.max(chance);
            }
            if chance > best.chance {
                let words = clause.last - clause.first + 1;
                *best = Best { clause: number, chance, words, likeliest, ..*best };
            }
        }
    }
    all
}
