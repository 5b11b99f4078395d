//! Which quantity of which calculation is a number likely to be, by the words around it?
//!
//! A model fitted to the sentences of `knowledge/phrasings` in which every number that is a
//! quantity is marked with its field: "`{nine=blade_count}` blades". A field is learned with its
//! calculation, as `CALCULATION.FIELD`; a number of a sentence that bears no mark is of none.
//! Deliberately absent: whether a number can be of a field at all, and which number goes where
//! when several could; `intent::assign` decides both.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use super::numbers::{Quantity, quantities};
use super::ties::untied;
use crate::domain::language::model::{Model, hash};
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::text::{Kind, Token, tokens};
use crate::domain::language::verdict::log_odds;

/// The model of numbers.
pub type PlacingModel = Model<64>;

/// The field of a number that is of none.
pub const NO_FIELD: &str = "-";

/// The ear for what a number is for.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct PlacingEar {
    /// `CALCULATION.FIELD`, in the order of the columns of the model.
    pub fields: Vec<String>,
    /// A model and no more, which is kept apart.
    #[serde(skip)]
    pub model: PlacingModel,
}

/// What the numbers of a sentence are likely to be.
#[derive(Clone, Debug, Default)]
pub struct Placings<'a> {
    fields: &'a [String],
    /// Where each number begins, in bytes, and the chance of every field.
    numbers: Vec<(usize, Vec<f32>)>,
}

/// The same as far as one calculation goes.
#[derive(Clone, Debug, Default)]
pub struct Leanings<'a> {
    /// Where each number begins, and what speaks for each field rather than for none, in log odds.
    numbers: Vec<(usize, Vec<(&'a str, f64)>)>,
}

impl PlacingEar {
    /// Hears a sentence.
    pub fn hear(&self, text: &str) -> Placings<'_> {
        let numbers = clues(text)
            .into_iter()
            .map(|number| (number.place.start, self.model.predict_features(&number.features)))
            .collect();
        Placings { fields: &self.fields, numbers }
    }
}

impl<'a> Placings<'a> {
    /// What a calculation would make of the numbers.
    pub fn of(&self, calculation: &str) -> Leanings<'a> {
        let own = |field: &'a String| field.strip_prefix(calculation)?.strip_prefix('.');
        let column = |(at, name): (usize, &'a String)| Some((at, own(name)?));
        let columns: Vec<(usize, &str)> =
            self.fields.iter().enumerate().filter_map(column).collect();
        let leanings = |chances: &Vec<f32>| {
            let odds = |at: &usize| log_odds(f64::from(chances[*at]));
            let none = columns.iter().find(|(_, field)| *field == NO_FIELD);
            let none = none.map_or(0.0, |(at, _)| odds(at));
            columns.iter().map(|(at, field)| (*field, odds(at) - none)).collect()
        };
        let numbers = self.numbers.iter().map(|(start, chances)| (*start, leanings(chances)));
        Leanings { numbers: numbers.collect() }
    }
}

impl Leanings<'_> {
    /// The fields that were learned, for whichever number.
    pub fn fields(&self) -> impl Iterator<Item = &str> {
        let first = self.numbers.first().map_or(&[][..], |(_, all)| all);
        first.iter().map(|(field, _)| *field).filter(|field| *field != NO_FIELD)
    }

    /// What speaks for a field; nothing where the number or the field was never learned.
    pub fn lean(&self, start: usize, field: &str) -> f64 {
        let number = self.numbers.iter().find(|(at, _)| *at == start);
        let field = number.and_then(|(_, all)| all.iter().find(|(known, _)| *known == field));
        field.map_or(0.0, |(_, lean)| *lean)
    }
}

/// A number of a sentence, and what is known of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clues {
    /// Its bytes, with its unit.
    pub place: Range<usize>,
    /// Names of features, ascending and unique.
    pub features: Vec<u32>,
}

/// The numbers of a sentence with what is known of each.
pub fn clues(text: &str) -> Vec<Clues> {
    let mut tokens = tokens(text);
    untied(&mut tokens);
    let numbers = quantities(&tokens);
    let words = words(&tokens, &numbers);
    let clues = |(nth, number): (usize, &Quantity)| {
        let place = tokens[number.first].start..tokens[number.last].end;
        let mut features = features(&words, &numbers, nth);
        features.sort_unstable();
        features.dedup();
        Clues { place, features }
    };
    numbers.iter().enumerate().map(clues).collect()
}

/// A word of the sentence; a number is one word, and its unit words of their own.
struct Word<'a> {
    stem: &'a str,
    number: Option<usize>,
}

fn words<'a>(tokens: &'a [Token], numbers: &[Quantity]) -> Vec<Word<'a>> {
    let mut out = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while at < tokens.len() {
        let number = numbers.iter().position(|number| number.first == at);
        if number.is_some() {
            out.push(Word { stem: NUMBER, number });
        } else if tokens[at].kind != Kind::Sign {
            out.push(Word { stem: &tokens[at].stem, number: None });
        }
        at = number.map_or(at, |number| numbers[number].number_last) + 1;
    }
    out
}

/// Words on each side of a number whose distance is told (no source, as the next).
const NEAR: usize = 4;
/// Words on each side, as far as the next number.
const AROUND: usize = 9;

fn features(words: &[Word], numbers: &[Quantity], nth: usize) -> Vec<u32> {
    let place = words.iter().position(|word| word.number == Some(nth)).expect("each has its word");
    let mut out = Vec::with_capacity(2 * words.len() + 40);
    beside(words, place, &mut out);
    around(words, place, &mut out);
    of_size(numbers, nth, &mut out);
    out.extend(words.iter().map(|word| hash(&["any", word.stem])));
    for (what, count) in [("nth", nth), ("left", numbers.len() - nth), ("of", numbers.len())] {
        out.push(hash(&[what, &count.to_string()]));
    }
    out
}

/// The words next to the number, each at its distance, and as they follow each other.
fn beside(words: &[Word], place: usize, out: &mut Vec<u32>) {
    let before = |far: usize| place.checked_sub(far).map_or("^", |at| words[at].stem);
    let after = |far: usize| words.get(place + far).map_or("$", |word| word.stem);
    for far in 1..=NEAR {
        out.push(hash(&["before", &far.to_string(), before(far)]));
        out.push(hash(&["after", &far.to_string(), after(far)]));
    }
    out.push(hash(&["before", before(2), before(1), ""]));
    out.push(hash(&["after", after(1), after(2), ""]));
    out.push(hash(&["between", before(1), after(1)]));
    out.push(hash(&["before", before(3), before(2), before(1), ""]));
    out.push(hash(&["after", after(1), after(2), after(3), ""]));
}

/// The words on each side, as far as the next number.
fn around(words: &[Word], place: usize, out: &mut Vec<u32>) {
    let plain = |word: &&Word| word.number.is_none();
    let before = words[..place].iter().rev().take_while(plain).take(AROUND);
    out.extend(before.map(|word| hash(&["some way before", word.stem])));
    let after = words[place + 1..].iter().take_while(plain).take(AROUND);
    out.extend(after.map(|word| hash(&["some way after", word.stem])));
}

/// How large the number is, by itself and among the others, and what it is counted in.
fn of_size(numbers: &[Quantity], nth: usize, out: &mut Vec<u32>) {
    let own = &numbers[nth];
    let unit = own.unit.unwrap_or("");
    let doublings = if own.value == 0.0 { "none".to_owned() } else { doublings(own.value) };
    out.push(hash(&["unit", unit]));
    out.push(hash(&["size", &doublings]));
    out.push(hash(&["size", &doublings, unit]));
    let rank = |among: &dyn Fn(&Quantity) -> bool| {
        let smaller = numbers.iter().filter(|one| among(one) && one.value < own.value).count();
        let count = numbers.iter().filter(|one| among(one)).count();
        format!("{smaller} of {count}")
    };
    out.push(hash(&["rank", &rank(&|_| true)]));
    out.push(hash(&["rank in unit", &rank(&|one| one.unit == own.unit)]));
}

fn doublings(value: f64) -> String {
    value.abs().log2().floor().to_string()
}
