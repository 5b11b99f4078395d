//! Which tokens are a quantity, and how much is it?
//!
//! Numbers as people write and say them (3.5, .125, 5/32, 1 1/8, "four and a half", "a quarter of
//! an inch") with the unit that follows. A number without a unit stays without one: what it must
//! mean is decided by whoever knows the question.

use super::text::{Kind, Token};

/// A run of tokens that states one number, with its unit when one is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// Index of the first and last token of the run.
    pub first: usize,
    pub last: usize,
    /// The number in the unit as written.
    pub value: f64,
    /// Key of [`UNIT_WORDS`], for example "mm" or "thou".
    pub unit: Option<&'static str>,
}

/// Unit key and the ways it is written, longest first where one contains another.
pub const UNIT_WORDS: &[(&str, &[&[&str]])] = &[
    ("mm", &[&["mm"], &["millimetre"], &["millimetres"], &["millimeter"], &["millimeters"],
        &["mills"], &["mill"]]),
    ("mil", &[&["mil"], &["mils"]]),
    ("thou", &[&["thou"], &["thous"], &["thousandth"], &["thousandths"],
        &["thousandths", "of", "an", "inch"], &["thousandth", "of", "an", "inch"]]),
    ("cm", &[&["cm"], &["cms"], &["centimetre"], &["centimetres"], &["centimeters"]]),
    ("in", &[&["in"], &["inch"], &["inches"], &["ins"], &["\""], &["of", "an", "inch"],
        &["an", "inch"]]),
    ("ft", &[&["ft"], &["foot"], &["feet"], &["'"], &["of", "a", "foot"]]),
    ("yd", &[&["yd"], &["yards"], &["yard"]]),
    ("m", &[&["m"], &["metre"], &["metres"], &["meter"], &["meters"]]),
    ("km/h", &[&["km", "/", "h"], &["kmh"], &["kph"], &["km", "an", "hour"], &["km", "per", "hour"],
        &["kilometres", "an", "hour"], &["kilometres", "per", "hour"], &["k", "an", "hour"],
        &["km", "/", "hr"], &["kilometers", "an", "hour"], &["kilometers", "per", "hour"]]),
    ("mph", &[&["mph"], &["miles", "an", "hour"], &["miles", "per", "hour"], &["mile", "an", "hour"]]),
    ("m/s", &[&["m", "/", "s"], &["metres", "a", "second"], &["metres", "per", "second"],
        &["meters", "per", "second"], &["meters", "a", "second"], &["metre", "a", "second"]]),
    ("ft/min", &[&["ft", "/", "min"], &["feet", "per", "minute"], &["feet", "a", "minute"]]),
    ("rpm", &[&["rpm"], &["revs", "a", "minute"], &["revs", "per", "minute"], &["revs"],
        &["rev", "/", "min"]]),
    ("kg", &[&["kg"], &["kgs"], &["kilo"], &["kilos"], &["kilogram"], &["kilograms"]]),
    ("g", &[&["g"], &["gram"], &["grams"], &["gramme"], &["grammes"]]),
    ("lb", &[&["lb"], &["lbs"], &["pound"], &["pounds"]]),
    ("n", &[&["newton"], &["newtons"]]),
    ("psi", &[&["psi"]]),
    ("bar", &[&["bars"]]),
    ("deg", &[&["\u{b0}"], &["deg"], &["degree"], &["degrees"]]),
    ("%", &[&["%"], &["percent"], &["per", "cent"], &["pct"]]),
    ("h", &[&["h"], &["hr"], &["hrs"], &["hour"], &["hours"]]),
    ("min", &[&["min"], &["mins"], &["minute"], &["minutes"]]),
    ("s", &[&["s"], &["sec"], &["secs"], &["second"], &["seconds"]]),
    ("day", &[&["day"], &["days"]]),
    ("week", &[&["week"], &["weeks"]]),
    ("month", &[&["month"], &["months"]]),
    ("acre", &[&["acre"], &["acres"]]),
    ("ha", &[&["ha"], &["hectare"], &["hectares"]]),
    ("turn", &[&["turn"], &["turns"]]),
];

const WORD_NUMBERS: &[(&str, f64)] = &[
    ("one", 1.0), ("two", 2.0), ("three", 3.0), ("four", 4.0), ("five", 5.0), ("six", 6.0),
    ("seven", 7.0), ("eight", 8.0), ("nine", 9.0), ("ten", 10.0), ("eleven", 11.0),
    ("twelve", 12.0), ("thirteen", 13.0), ("fourteen", 14.0), ("fifteen", 15.0),
    ("sixteen", 16.0), ("eighteen", 18.0), ("twenty", 20.0), ("thirty", 30.0), ("forty", 40.0),
    ("fifty", 50.0), ("sixty", 60.0), ("hundred", 100.0),
];

/// The quantities of a text, left to right, none overlapping.
pub fn quantities(tokens: &[Token]) -> Vec<Quantity> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        match quantity_at(tokens, at) {
            Some(found) => {
                at = found.last + 1;
                out.push(found);
            }
            None => at += 1,
        }
    }
    out
}

fn quantity_at(tokens: &[Token], at: usize) -> Option<Quantity> {
    let (value, mut last) = number_at(tokens, at)?;
    let written = tokens[at].kind == Kind::Number;
    let unit = unit_at(tokens, last + 1);
    if let Some((_, unit_last)) = unit {
        last = unit_last;
    }
    // A bare "one" or "two" counts things; it is a quantity only with a unit.
    if !written && unit.is_none() {
        return None;
    }
    Some(Quantity { first: at, last, value, unit: unit.map(|(key, _)| key) })
}

fn number_at(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    if tokens[at].kind == Kind::Number {
        let whole: f64 = finite(&tokens[at].text)?;
        if let Some((fraction, last)) = fraction_at(tokens, at) {
            return Some((fraction, last));
        }
        let next = at + 1 + usize::from(is_sign(tokens, at + 1, "-"));
        if whole.fract() == 0.0
            && let Some((fraction, last)) = fraction_at(tokens, next)
            && fraction < 1.0
        {
            return Some((whole + fraction, last));
        }
        return Some((whole, at));
    }
    let word = tokens[at].text.as_str();
    let half = |at: usize| tokens.get(at).is_some_and(|token| token.text == "half");
    if half(at) {
        return Some((0.5, at));
    }
    if word == "quarter" {
        return Some((0.25, at));
    }
    let (_, value) = WORD_NUMBERS.iter().find(|(known, _)| *known == word)?;
    let and_a_half = tokens.get(at + 1).is_some_and(|t| t.text == "and")
        && tokens.get(at + 2).is_some_and(|t| t.text == "a")
        && half(at + 3);
    if and_a_half { Some((value + 0.5, at + 3)) } else { Some((*value, at)) }
}

/// Some hundreds of digits are no number that anybody measured.
fn finite(text: &str) -> Option<f64> {
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

fn fraction_at(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let whole = |at: usize| -> Option<f64> {
        let token = tokens.get(at)?;
        let number = token.kind == Kind::Number && !token.text.contains('.');
        if number { finite(&token.text) } else { None }
    };
    let above = whole(at)?;
    if !is_sign(tokens, at + 1, "/") {
        return None;
    }
    let below = whole(at + 2)?;
    let common = matches!(below as u32, 2 | 3 | 4 | 8 | 16 | 32 | 64) && above < below;
    if common { Some((above / below, at + 2)) } else { None }
}

fn is_sign(tokens: &[Token], at: usize, sign: &str) -> bool {
    tokens.get(at).is_some_and(|token| token.kind == Kind::Sign && token.text == sign)
}

fn unit_at(tokens: &[Token], at: usize) -> Option<(&'static str, usize)> {
    let mut best: Option<(&'static str, usize)> = None;
    for (key, spellings) in UNIT_WORDS {
        for spelling in *spellings {
            let fits = spelling.iter().enumerate().all(|(ahead, word)| {
                tokens.get(at + ahead).is_some_and(|token| token.text == *word)
            });
            let last = at + spelling.len() - 1;
            if fits && best.is_none_or(|(_, known)| last > known) {
                best = Some((key, last));
            }
        }
    }
    best.filter(|(key, last)| !is_preposition_in(tokens, key, *last))
}

/// "4 in the morning": "in" is no inch before an article or a place.
fn is_preposition_in(tokens: &[Token], key: &str, last: usize) -> bool {
    key == "in"
        && tokens[last].text == "in"
        && tokens.get(last + 1).is_some_and(|next| {
            matches!(next.text.as_str(), "the" | "a" | "my" | "our" | "one" | "each" | "total")
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn numbers_as_people_write_them() {
        // (text, value, unit): NIST-style fraction arithmetic, own wording.
        let rows = [
            ("set at 3.5 mm", 3.5, Some("mm")),
            (".125\"", 0.125, Some("in")),
            ("5/32 in", 0.15625, Some("in")),
            ("1 1/8 inch", 1.125, Some("in")),
            ("1-1/8 inch", 1.125, Some("in")),
            ("12 thou lower", 12.0, Some("thou")),
            ("six inches", 6.0, Some("in")),
            ("four and a half miles an hour", 4.5, Some("mph")),
            ("half an inch", 0.5, Some("in")),
            ("5 in the morning", 5.0, None),
        ];
        for (text, value, unit) in rows {
            let found = quantities(&tokens(text));
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert_eq!((found[0].value, found[0].unit), (value, unit), "{text}");
        }
    }

    #[test]
    fn counting_words_are_not_quantities() {
        assert!(quantities(&tokens("the other two are fine")).is_empty());
    }
}
