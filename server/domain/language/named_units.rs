//! Does this text name one unit of a gang ("number 3", "the left rear head"), or several? Who names
//! just one most often means that the fault is behind that one and no other.

use super::quantities::Quantity;
use super::text::{Kind, Token};

/// Words before the number of a unit.
const NUMBERED: &[&str] =
    &["number", "num", "nr", "unit", "head", "reel", "cylinder", "groomer", "spindle", "position"];
/// Words for where a unit stands.
const PLACES: &[&str] = &[
    "front", "rear", "back", "left", "right", "centre", "center", "middle", "inside", "outside",
    "outer", "inner", "nearside", "offside", "far", "near", "wing",
];
/// Words that may stand between a place and the unit.
const BETWEEN: &[&str] = &["hand", "side", "-"];
/// What a unit is called.
const UNITS: &[&str] = &[
    "unit", "head", "reel", "cylinder", "groomer", "brush", "verticut", "cassette", "deck",
    "spindle", "blade", "rotor", "box", "roller", "cutter",
];
/// The highest number a unit of a gang bears.
const NUMBER_MAX: f64 = 12.0;

/// Units named in a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NamedUnits {
    #[default]
    None,
    One,
    Several,
}

/// Counts the different units that are named.
pub fn named_units(tokens: &[Token], quantities: &[Quantity]) -> NamedUnits {
    let mut names: Vec<String> = Vec::new();
    for at in 0..tokens.len() {
        let found = numbered(tokens, quantities, at).or_else(|| placed(tokens, at));
        names.extend(found.filter(|name| !names.contains(name)));
    }
    match names.len() {
        0 => NamedUnits::None,
        1 => NamedUnits::One,
        _ => NamedUnits::Several,
    }
}

/// "number 3", "unit two".
fn numbered(tokens: &[Token], quantities: &[Quantity], at: usize) -> Option<String> {
    if !NUMBERED.contains(&tokens[at].text.as_str()) {
        return None;
    }
    let sign = tokens.get(at + 1).is_some_and(|token| token.text == "#" || token.text == ".");
    let number = at + 1 + usize::from(sign);
    let quantity = quantities.iter().find(|quantity| quantity.first == number)?;
    let counts = (1.0..=NUMBER_MAX).contains(&quantity.value) && quantity.value.fract() == 0.0;
    (quantity.unit.is_none() && counts).then(|| quantity.value.to_string())
}

/// "the left rear head", "right hand unit"; several at once are not one ("the front units").
fn placed(tokens: &[Token], at: usize) -> Option<String> {
    let place = |at: usize| tokens.get(at).filter(|token| PLACES.contains(&token.text.as_str()));
    place(at)?;
    if at.checked_sub(1).and_then(place).is_some() {
        return None;
    }
    let mut name = Vec::new();
    let mut next = at;
    while let Some(token) = tokens.get(next).filter(|token| token.kind != Kind::Number) {
        match token.text.as_str() {
            text if PLACES.contains(&text) => name.push(text),
            text if BETWEEN.contains(&text) => {}
            text if UNITS.contains(&text) => return Some(name.join(" ")),
            _ => return None,
        }
        next += 1;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::{quantities::quantities, text};
    use super::*;

    #[test]
    fn units_are_counted_once_each() {
        // Own wording of usual ways to name a unit.
        let rows = [
            ("number 3 leaves a line", NamedUnits::One),
            ("no. 3 leaves a line, I looked at unit three twice", NamedUnits::One),
            ("unit 2 and the left rear head", NamedUnits::Several),
            ("the right-hand reel streaks", NamedUnits::One),
            ("the front units are fine at 3 mm", NamedUnits::None),
            ("head 5 mm too high", NamedUnits::None),
            ("a line on the left side of the green", NamedUnits::None),
        ];
        for (words, expected) in rows {
            let tokens = text::tokens(words);
            assert_eq!(named_units(&tokens, &quantities(&tokens)), expected, "{words}");
        }
    }
}
