//! Which number do numerals in words make: "nine hundred and twelve", "nineteen fifty", "three
//! fifty", "one two seven point one", "point two five"?
//! Deliberately absent: parts of one, figures and units, which `numbers` has.

use super::numbers::{is_sign, is_tie, word};
use super::places::place_at;
use crate::domain::language::text::Token;

/// Words for the numbers below twenty, each at its place.
pub const SMALL: &[&str] = &[
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];

/// Words for the tens from twenty on.
pub const TENS: &[&str] =
    &["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// A whole number in words to the thousands, and its last token.
pub fn whole_at(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let (mut value, mut next) = match word(tokens, at)? {
        "hundred" | "thousand" => (1.0, at),
        "dozen" => return Some((12.0, at)),
        "couple" => return Some((2.0, at + usize::from(word(tokens, at + 1) == Some("of")))),
        _ if let Some(found) = figures_said(tokens, at) => return Some(found),
        _ => {
            let (small, last) = below_hundred(tokens, at)?;
            if let Some(found) = in_two_halves(tokens, small, last) {
                return Some(found);
            }
            (small, last + 1)
        }
    };
    if word(tokens, next) == Some("hundred") {
        (value, next) = with_rest(tokens, value * 100.0, next + 1);
    }
    if word(tokens, next) == Some("thousand") {
        (value, next) = (value * 1_000.0, next + 1);
        let after = next + usize::from(word(tokens, next) == Some("and"));
        if let Some((rest, last)) = below_hundred(tokens, after) {
            (value, next) = if word(tokens, last + 1) == Some("hundred") {
                let (rest, next) = with_rest(tokens, rest * 100.0, last + 2);
                (value + rest, next)
            } else {
                (value + rest, last + 1)
            };
        }
    }
    Some((value, next - 1))
}

/// What follows a hundred ("and twelve", "twenty"), and the token after it.
fn with_rest(tokens: &[Token], value: f64, next: usize) -> (f64, usize) {
    let after = next + usize::from(word(tokens, next) == Some("and"));
    match below_hundred(tokens, after) {
        // "Four hundred and four fifty", "six hundred seven fifty" are two.
        Some((rest, last)) if in_two_halves(tokens, rest, last).is_some() => {
            (value, next)
        }
        Some((rest, last)) => (value + rest, last + 1),
        None => (value, next),
    }
}

/// "Nineteen fifty", "three fifty", "twelve oh five": hundreds, then the rest, without the word.
fn in_two_halves(tokens: &[Token], hundreds: f64, last: usize) -> Option<(f64, usize)> {
    if hundreds < 1.0 || tokens.get(last + 1)?.segment != tokens[last].segment {
        return None;
    }
    // "One-fifty thou".
    let dash = usize::from(is_sign(tokens, last + 1, "-"));
    let last = last + dash;
    let (rest, end) = match nought(tokens, last + 1) {
        true => below_hundred(tokens, last + 2).filter(|(rest, _)| *rest < 10.0)?,
        false => below_hundred(tokens, last + 1).filter(|(rest, _)| *rest >= 10.0)?,
    };
    // "Ten twelve fifteen" is a list; "two ten inch wheels" counts.
    let goes_on = below_hundred(tokens, end + 1).is_some()
        || matches!(word(tokens, end + 1), Some("hundred" | "thousand"));
    let counts = hundreds < 10.0 && rest < 20.0 && word(tokens, end + 1) == Some("inch");
    // "Five thirty-seconds".
    let parts = is_tie(tokens, end + 1) && matches!(word(tokens, end + 2), Some("second" | "seconds"));
    (!goes_on && !counts && !parts).then_some((hundreds * 100.0 + rest, end))
}

/// "Three point five", "one two seven point one", "point two five", "nought point oh four".
pub fn decimal_at(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let (whole, point) = match word(tokens, at)? {
        "point" if !is_no_point(tokens, at) => (String::new(), at),
        _ => digits_at(tokens, at)
            .filter(|(_, next)| word(tokens, *next) == Some("point"))
            .or_else(|| {
                let (value, last) = whole_at(tokens, at)?;
                Some((value.to_string(), last + 1))
            })?,
    };
    if word(tokens, point)? != "point" {
        return None;
    }
    let (digits, next) = digits_at(tokens, point + 1).or_else(|| {
        let (value, last) = below_hundred(tokens, point + 1)?;
        Some((value.to_string(), last + 1))
    })?;
    let value: f64 = format!("{whole}.{digits}").parse().ok()?;
    Some((value, next - 1))
}

/// "At this point two reels": a point in time.
fn is_no_point(tokens: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|before| word(tokens, before));
    matches!(before, Some("this" | "that" | "the" | "some" | "which" | "one" | "cutting" | "any"))
}

/// Digits said one by one, and the token after them.
fn digits_at(tokens: &[Token], at: usize) -> Option<(String, usize)> {
    let mut digits = String::new();
    let mut next = at;
    loop {
        let said = word(tokens, next).and_then(|w| SMALL[..10].iter().position(|s| *s == w));
        let digit = if nought(tokens, next) { Some(0) } else { said };
        let Some(digit) = digit else { break };
        digits.push_str(&digit.to_string());
        next += 1;
    }
    (!digits.is_empty()).then_some((digits, next))
}

/// "Four nine eight", figure by figure: three to five of them, the first not nought.
fn figures_said(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let (digits, next) = digits_at(tokens, at)?;
    let sound = (3..=5).contains(&digits.len()) && !digits.starts_with('0');
    let ends = below_hundred(tokens, next).is_none();
    Some((digits.parse().ok()?, next - 1)).filter(|_| sound && ends)
}

fn nought(tokens: &[Token], at: usize) -> bool {
    matches!(word(tokens, at), Some("oh" | "o" | "nought" | "naught" | "zero"))
}

/// "One, two, two": a one among numbers in words parted by commas.
pub fn is_listed(tokens: &[Token], at: usize, last: usize) -> bool {
    let comma = |at: usize| is_sign(tokens, at, ",") || is_sign(tokens, at, "/");
    let number = |at: usize| below_hundred(tokens, at).is_some();
    let place = |at: usize| place_at(tokens, at).is_some_and(|(_, length)| length == 1);
    // "Left one, centre two", "left two, centre one".
    let placed = at >= 1 && place(at - 1);
    let next = placed && comma(last + 1) && place(last + 2) && number(last + 3);
    let before = placed && at >= 4 && comma(at - 2) && number(at - 3) && place(at - 4);
    let listed = at >= 2 && comma(at - 1) && number(at - 2);
    // "Two left, one right".
    let after = at >= 3 && comma(at - 1) && place(at - 2) && number(at - 3) && place(last + 1);
    let listed = listed || after;
    (comma(last + 1) && number(last + 2)) || listed || next || before
}

/// "A full turn got me from 5.0 to 5.6": one turn that was tried.
pub fn is_turn_tried(tokens: &[Token], last: usize) -> bool {
    let turn = matches!(word(tokens, last), Some("turn" | "click" | "flat"));
    let tried = matches!(word(tokens, last + 1), Some("got" | "took" | "brought" | "has" | "put"));
    turn && tried && (last + 2..last + 6).any(|at| word(tokens, at) == Some("from"))
}

/// "To nines", "with tens": so many of whatever was told of, by a word that names them.
fn in_plural(tokens: &[Token], at: usize) -> Option<f64> {
    const PLURALS: &[&str] = &[
        "fives", "sixes", "sevens", "eights", "nines", "tens", "elevens", "twelves", "thirteens",
        "fourteens",
    ];
    const BEFORE: &[&str] = &["to", "for", "with", "on", "into", "are", "fitted", "now", "the"];
    let before = at.checked_sub(1).and_then(|before| word(tokens, before))?;
    let place = PLURALS.iter().position(|known| Some(*known) == word(tokens, at))?;
    BEFORE.contains(&before).then_some(place as f64 + 5.0)
}

/// A number below a hundred in words, and its last token.
pub fn below_hundred(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let first = word(tokens, at)?;
    if let Some(several) = in_plural(tokens, at) {
        return Some((several, at));
    }
    if let Some(small) = SMALL.iter().position(|known| *known == first) {
        return Some((small as f64, at));
    }
    if matches!(first, "nought" | "naught") {
        return Some((0.0, at));
    }
    let tens = 10.0 * (TENS.iter().position(|known| *known == first)? as f64 + 2.0);
    let next = at + 1 + usize::from(is_sign(tokens, at + 1, "-"));
    let ones =
        word(tokens, next).and_then(|word| SMALL[..10].iter().position(|known| *known == word));
    match ones.filter(|ones| *ones > 0) {
        Some(ones) => Some((tens + ones as f64, next)),
        None => Some((tens, at)),
    }
}
