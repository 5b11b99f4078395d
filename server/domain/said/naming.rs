//! Which words of a record name its machine, where no rule knows the name: "the heath quad", "long
//! rotary", "Mabel"?
//!
//! A model fitted to the sentences of `knowledge/phrasings` whose machine is marked:
//! "`{sand triplex=machine}`, all three heads". It judges word by word whether a name begins or goes
//! on, and the likeliest row of judgements stands.
//! Deliberately absent: names that rules know; they come first (`intent::subjects`).

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::domain::language::model::{Known, Model, hash};
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::text::{Kind, Token, tokens};

/// What a mark calls the name of a machine.
pub const MACHINE: &str = "machine";

/// The model of names.
pub type NamingModel = Model<32>;

/// The columns of the model: a name begins, or goes on.
pub const COLUMNS: usize = 2;

/// Whether a word is of a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Begins,
    GoesOn,
    None,
}

const PARTS: [Part; 3] = [Part::Begins, Part::GoesOn, Part::None];

/// The ear for names.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct NamingEar {
    /// A model and no more, which is kept apart.
    #[serde(skip)]
    pub model: NamingModel,
}

impl NamingEar {
    /// The names in a sentence, each by its bytes.
    pub fn hear(&self, text: &str) -> Vec<Range<usize>> {
        let tokens = tokens(text);
        let parts = self.likeliest(text, &tokens);
        let mut names: Vec<Range<usize>> = Vec::new();
        for (token, part) in tokens.iter().zip(parts) {
            match (part, names.last_mut()) {
                (Part::Begins, _) => names.push(token.start..token.end),
                (Part::GoesOn, Some(name)) => name.end = token.end,
                _ => {}
            }
        }
        names
    }

    /// The likeliest row of judgements (Viterbi): a name goes on only where one is.
    fn likeliest(&self, text: &str, tokens: &[Token]) -> Vec<Part> {
        let mut ways: Vec<(f64, Vec<Part>)> = vec![(0.0, Vec::new())];
        for at in 0..tokens.len() {
            let own = self.model.rows_of(&own_features(text, tokens, at));
            let chances: Vec<[f64; 3]> = ways
                .iter()
                .map(|(_, way)| way.last().copied().unwrap_or(Part::None))
                .map(|before| self.chances(&own, &after_features(tokens, at, before)))
                .collect();
            let longer = |part: Part| {
                let before = ways.iter().zip(&chances);
                let before = before.filter(|((_, way), _)| can_follow(way, part));
                let sums = before.map(|((sum, way), chance)| (sum + chance[part as usize], way));
                let (sum, way) = sums.reduce(|best, one| if one.0 > best.0 { one } else { best })?;
                Some((sum, [&way[..], &[part]].concat()))
            };
            ways = PARTS.into_iter().filter_map(longer).collect();
        }
        let best = ways.into_iter().reduce(|best, one| if one.0 > best.0 { one } else { best });
        best.map_or_else(Vec::new, |(_, way)| way)
    }

    /// The logarithm of the chance that a word is each of the parts.
    fn chances(&self, own: &[u32], after: &[u32]) -> [f64; 3] {
        let rows = [own, &self.model.rows_of(after)].concat();
        // Without a model nothing is a name.
        let [begins, goes_on] = self.model.chances(&rows)[..] else { return [LEAST, LEAST, 0.0] };
        let ln = |chance: f32| f64::from(chance).ln().max(LEAST);
        [ln(begins), ln(goes_on), ln(1.0 - begins - goes_on)]
    }
}

/// A name goes on only where one is.
fn can_follow(way: &[Part], part: Part) -> bool {
    part != Part::GoesOn || way.last().is_some_and(|before| *before != Part::None)
}

/// No judgement is surer than so, in logarithms (no source).
const LEAST: f64 = -14.0;

/// The words of a sentence as the model learns them, from the bytes of its names.
pub fn examples(text: &str, names: &[&Range<usize>]) -> Vec<Known> {
    let tokens = tokens(text);
    let mut before = Part::None;
    let mut out = Vec::with_capacity(tokens.len());
    for (at, token) in tokens.iter().enumerate() {
        let name = names.iter().find(|name| name.contains(&token.start));
        let part = match name {
            Some(name) if token.start == name.start => Part::Begins,
            Some(_) if before != Part::None => Part::GoesOn,
            _ => Part::None,
        };
        let column = PARTS[..COLUMNS].iter().position(|known| *known == part);
        out.push((features(text, &tokens, at, before), column.into_iter().collect()));
        before = part;
    }
    out
}

/// Words on each side that are looked at (no source).
const NEAR: usize = 4;

/// What is known of a word wherever it stands: itself, its neighbours, how it is written.
fn own_features(text: &str, tokens: &[Token], at: usize) -> Vec<u32> {
    let own = &tokens[at];
    let left = |far: usize| left_of(tokens, at, far);
    let right = |far: usize| tokens.get(at + far).map_or("$", word);
    let mut out = vec![
        hash(&["0", word(own)]),
        hash(&["-2 -1", left(2), left(1)]),
        hash(&["-1 0", left(1), word(own)]),
        hash(&["0 1", word(own), right(1)]),
        hash(&["1 2", right(1), right(2)]),
        hash(&["0 1 2", word(own), right(1), right(2)]),
        hash(&["from the start", &at.min(3).to_string()]),
        hash(&["to the end", &(tokens.len() - at).min(3).to_string()]),
    ];
    for far in 1..=NEAR {
        out.push(hash(&["left", &far.to_string(), left(far)]));
        out.push(hash(&["right", &far.to_string(), right(far)]));
    }
    written(text, own, &mut out);
    out
}

/// What the part before adds to it.
fn after_features(tokens: &[Token], at: usize, before: Part) -> [u32; 4] {
    let (own, right) = (word(&tokens[at]), tokens.get(at + 1).map_or("$", word));
    let before = match before {
        Part::Begins => "begun",
        Part::GoesOn => "on",
        Part::None => "none",
    };
    [
        hash(&["part", before]),
        hash(&["part 0", before, own]),
        hash(&["part -1 0", before, left_of(tokens, at, 1), own]),
        hash(&["part 1", before, right]),
    ]
}

fn features(text: &str, tokens: &[Token], at: usize, before: Part) -> Vec<u32> {
    let own = own_features(text, tokens, at);
    let mut out = [&own[..], &after_features(tokens, at, before)].concat();
    out.sort_unstable();
    out.dedup();
    out
}

fn left_of(tokens: &[Token], at: usize, far: usize) -> &str {
    at.checked_sub(far).map_or("^", |at| word(&tokens[at]))
}

/// A number is as good as another.
fn word(token: &Token) -> &str {
    if token.kind == Kind::Number { NUMBER } else { &token.text }
}

/// How a word is written: a capital, its first and last letters, how many figures.
fn written(text: &str, token: &Token, out: &mut Vec<u32>) {
    let letter = text.get(token.start..).and_then(|rest| rest.chars().next());
    let capital = letter.is_some_and(char::is_uppercase);
    out.push(hash(&["capital", if capital { "yes" } else { "no" }]));
    if token.kind == Kind::Number {
        out.push(hash(&["figures", &token.text.len().to_string()]));
        return;
    }
    let letters: Vec<(usize, char)> = token.text.char_indices().collect();
    for count in 2..=4.min(letters.len()) {
        let (begins, ends) = (letters.get(count), letters[letters.len() - count].0);
        let begins = begins.map_or(token.text.len(), |(at, _)| *at);
        out.push(hash(&["begins", &token.text[..begins]]));
        out.push(hash(&["ends", &token.text[ends..]]));
    }
}
