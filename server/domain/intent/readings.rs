//! Which reading belongs to which unit, blade or place: "No1 L 3.50 R 3.52", "unit 1 3.50/3.51",
//! "126.4 leading, 126.1 trailing", "left front 62, left rear 68"?
//! Deliberately absent: what the readings are readings of.

use super::names::Label;
use super::spoken::Spoken;
use crate::domain::language::text::Token;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::places::place_at;

/// One number with the words that say where it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Index of the quantity.
    pub quantity: usize,
    /// Index of the label it stands under.
    pub label: Option<usize>,
    /// "left", "right_rear", "middle": words joined by underscores.
    pub place: Option<String>,
}

/// Tokens before the first reading among which its place is looked for.
const NEAR: usize = 9;

/// The numbers at `indexes` (ascending), each with its label and place.
pub fn readings(spoken: &Spoken, labels: &[Label], indexes: &[usize]) -> Vec<Reading> {
    let quantities: Vec<&Quantity> = indexes.iter().map(|at| &spoken.quantities[*at]).collect();
    let places: Vec<(usize, String)> = all_places(&spoken.tokens);
    let (first, last) = (quantities.first(), quantities.last());
    // "3 1 1 on blade one, 4 1 1 on blade two": each label after what was read there.
    let between = |label: &Label| quantities.iter().any(|one| one.first > label.last);
    let after = labels.len() > 1
        && labels.first().is_some_and(between)
        && first.zip(labels.first()).is_some_and(|(first, label)| first.last < label.first)
        && last.zip(labels.last()).is_some_and(|(last, label)| last.last < label.first);
    let label_of = |first: usize| {
        if after {
            labels.iter().position(|label| label.first > first)
        } else {
            labels.iter().rposition(|label| label.last < first)
        }
    };
    let mut out = Vec::new();
    let before_first = quantities.first().is_some_and(|quantity| {
        let label = label_of(quantity.first).filter(|_| !after);
        let from = label.map_or(0, |label| labels[label].last + 1);
        let near = from.max(quantity.first.saturating_sub(NEAR));
        places.iter().any(|(at, _)| *at >= near && *at < quantity.first)
            && (leads(quantity, &spoken.tokens) || !follows(&places, quantity, &spoken.tokens))
    });
    for (nth, quantity) in quantities.iter().enumerate() {
        let label = label_of(quantity.first);
        let previous = nth.checked_sub(1).map_or(0, |nth| quantities[nth].last + 1);
        let next = quantities.get(nth + 1).map_or(spoken.tokens.len(), |next| next.first);
        let before = label.filter(|_| !after);
        let from = before.map_or(previous, |label| previous.max(labels[label].last + 1));
        let place = if before_first {
            places.iter().rev().find(|(at, _)| *at >= from && *at < quantity.first)
        } else {
            places
                .iter()
                .find(|(at, _)| *at > quantity.last && *at < next)
                .filter(|(at, _)| *at <= quantity.last + 5)
        };
        let place = place.map(|(_, name)| name.clone());
        out.push(Reading { quantity: indexes[nth], label, place });
    }
    out
}

/// Whether the first of some numbers has no place where the others have theirs before them: "the
/// 72: LF 50, RF 50".
pub fn stands_before(spoken: &Spoken, first: &Quantity, second: &Quantity) -> bool {
    let (places, tokens) = (all_places(&spoken.tokens), &spoken.tokens);
    let near = first.first.saturating_sub(6)..first.first;
    let none = !places.iter().any(|(at, _)| near.contains(at)) && !follows(&places, first, tokens);
    none && leads(second, tokens)
}

/// Whether a place stands right before a number: "left 3.50 right 3.52" goes on as it began.
fn leads(quantity: &Quantity, tokens: &[Token]) -> bool {
    const LINKS: &[&str] = &["is", "was", "at", "reads", "read", "=", ":"];
    let ends = |end: usize| (1..=3).any(|back| {
        end.checked_sub(back).and_then(|at| place_at(tokens, at)).is_some_and(|one| one.1 == back)
    });
    let link = quantity.first.checked_sub(1).map_or("", |at| tokens[at].text.as_str());
    ends(quantity.first) || (LINKS.contains(&link) && ends(quantity.first - 1))
}

/// Whether a place stands right after a number, before any comma.
fn follows(places: &[(usize, String)], quantity: &Quantity, tokens: &[Token]) -> bool {
    places.iter().any(|(at, _)| {
        *at > quantity.last
            && *at <= quantity.last + 4
            && tokens[*at].segment == tokens[quantity.last].segment
    })
}

/// Every place in the tokens, by its first token.
pub fn all_places(tokens: &[Token]) -> Vec<(usize, String)> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        match place_at(tokens, at) {
            Some((name, length)) => {
                out.push((at, name));
                at += length;
            }
            None => at += 1,
        }
    }
    out
}
