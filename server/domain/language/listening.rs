//! What does the model make of each run of words, and of what follows it?
//!
//! Each segment and each sentence is judged by itself. What is taken back afterwards, and what the
//! model denies once it hears the words after it as well, is denied there.

use super::clauses::{Clause, denial_of, windows};
use super::hearing::{Ear, FINDING_DIMENSIONS, Reading};
use super::model::Listener;
use super::taken_back::{Followed, TakenBack, followed, taken_back};

/// Words on either side of a phrase that the model hears with it.
const SUPPORT_MARGINS: &[usize] = &[0, 3, 6];
/// From so many words on a phrase may support itself.
const TELLING_WORDS: usize = 4;
/// From this chance on the model denies clearly what it would state by itself.
const CLEARLY: f32 = 0.5;

/// What the model made of the clauses of a text, and its ear for any other run of words.
pub struct Clauses<'a> {
    pub whole: Vec<Clause>,
    listener: Listener<'a, FINDING_DIMENSIONS>,
    turned: Vec<Turned>,
}

/// Words whose sense is turned by what follows.
struct Turned {
    said: TakenBack,
    /// What they say by themselves.
    alone: Vec<f32>,
    /// The columns that state what is denied.
    columns: Vec<usize>,
}

impl Clauses<'_> {
    /// Whether what the words `first..=last` state in this column is denied by what follows.
    pub fn is_turned(&self, column: usize, first: usize, last: usize) -> bool {
        self.turned.iter().any(|Turned { said: (from, to), columns, .. }| {
            *from <= first && last <= *to && columns.contains(&column)
        })
    }
}

impl Ear {
    /// What the model makes of each clause.
    pub(super) fn clauses(&self, reading: &Reading) -> Clauses<'_> {
        let listener = self.model.listen(&reading.stems());
        let same = |at: usize, of: usize| {
            reading.words.get(at).is_some_and(|word| word.sentence == reading.words[of].sentence)
        };
        let judge = |(first, last): (usize, usize)| {
            let begins = first.checked_sub(1).is_none_or(|before| !same(before, first));
            let sentence = begins && !same(last + 1, last);
            Clause { first, last, sentence, chances: listener.chances(first, last) }
        };
        let taken_back = taken_back(reading);
        let mut windows = windows(&reading.words);
        windows.extend(taken_back.iter().filter(|(first, last)| last > first));
        let mut whole: Vec<Clause> = windows.into_iter().map(judge).collect();
        let mut turned = Vec::new();
        for said in taken_back {
            let alone = alone(&whole, &listener, said);
            turned.push(Turned { said, columns: (0..alone.len()).collect(), alone });
        }
        for Followed { said, ends } in followed(reading) {
            let alone = alone(&whole, &listener, said);
            let columns = self.denied_by_what_follows(&listener, &alone, said, &ends);
            turned.push(Turned { said, alone, columns });
        }
        for Turned { said: (first, last), alone, columns } in &turned {
            let over = |clause: &&mut Clause| clause.first <= *last && *first <= clause.last;
            let over = whole.iter_mut().filter(over);
            over.for_each(|clause| clause.turn(alone, columns, self.columns.all()));
        }
        Clauses { whole, listener, turned }
    }

    /// The columns that state what words say alone, and that the model denies when it hears what
    /// follows as well.
    fn denied_by_what_follows(
        &self,
        listener: &Listener<FINDING_DIMENSIONS>,
        alone: &[f32],
        (first, _): TakenBack,
        ends: &[usize],
    ) -> Vec<usize> {
        let denial = |at| denial_of(at, alone, self.columns.all()).map(|denied| (at, denied));
        let stated: Vec<(usize, usize)> = (0..alone.len()).filter_map(denial).collect();
        if stated.is_empty() {
            return Vec::new();
        }
        let together: Vec<Vec<f32>> =
            ends.iter().map(|end| listener.chances(first, *end)).collect();
        let is_denied = |&(at, denied): &(usize, usize)| {
            together.iter().any(|of| of[denied] >= CLEARLY && of[denied] > of[at])
        };
        stated.into_iter().filter(is_denied).map(|(at, _)| at).collect()
    }

    /// The best chance of a label in the clauses that hold a phrase, and in the words around it.
    pub(super) fn support(
        &self,
        reading: &Reading,
        clauses: &Clauses,
        column: usize,
        (first, last): (usize, usize),
    ) -> f64 {
        let holds = |clause: &&Clause| clause.first <= first && last <= clause.last;
        let held = clauses.whole.iter().filter(holds).map(|clause| clause.chances[column]);
        let sentence = reading.words[first].sentence;
        let inside = |at: &usize| reading.words[*at].sentence == sentence;
        // A word or two would always support themselves: they are heard with what is around them.
        let alone = usize::from(last - first + 1 < TELLING_WORDS);
        let around = SUPPORT_MARGINS.iter().skip(alone).map(|margin| {
            let from = (first.saturating_sub(*margin)..=first).find(inside).unwrap_or(first);
            let end = (last + margin).min(reading.words.len() - 1);
            let to = (last..=end).rev().find(inside).unwrap_or(last);
            clauses.listener.chance(from, to, column)
        });
        f64::from(held.chain(around).fold(0.0, f32::max))
    }
}

/// What the model makes of these words by themselves.
fn alone(
    whole: &[Clause],
    listener: &Listener<FINDING_DIMENSIONS>,
    (first, last): TakenBack,
) -> Vec<f32> {
    let known = whole.iter().find(|clause| (clause.first, clause.last) == (first, last));
    known.map_or_else(|| listener.chances(first, last), |clause| clause.chances.clone())
}
