//! "Three-and-a-half-pound", "four and seven-eighths", "two-point-one": which dashes only tie a
//! numeral together?
//! Deliberately absent: the number that it makes, which `numbers` reads.

use super::numbers::{is_part_name, is_tie, word};
use super::numerals::{SMALL, TENS};
use super::said_units::unit_at;
use crate::domain::language::text::{Kind, Token};

/// Takes out the dashes between the words of a numeral.
pub fn untied(tokens: &mut Vec<Token>) {
    let mut at = 1;
    while at + 1 < tokens.len() {
        if is_tie(tokens, at) && ties_a_numeral(tokens, at) {
            tokens.remove(at);
        } else {
            at += 1;
        }
    }
}

fn ties_a_numeral(tokens: &[Token], at: usize) -> bool {
    let (before, after) = (word(tokens, at - 1), word(tokens, at + 1));
    // "Thirty-second", "sixty-fourth" are parts of one by their dash.
    let part = matches!((before, after), (Some("thirty"), _) | (Some("sixty"), Some("fourth" | "fourths")));
    let figure = tokens[at - 1].kind == Kind::Number;
    let measured = || unit_at(tokens, at - 1).is_some_and(|(_, last)| last == at - 1);
    match after {
        // "2-and-a-half", "inch-and-a-quarter".
        Some("and") => figure || before.is_some_and(is_of_numeral) || measured(),
        Some(after) => !part && is_of_numeral(after) && before.is_some_and(is_of_numeral),
        None => false,
    }
}

/// Whether a word can be part of a numeral.
fn is_of_numeral(word: &str) -> bool {
    const JOINING: &[&str] = &["a", "and", "point", "oh", "nought", "naught", "hundred", "thousand"];
    [SMALL, TENS, JOINING].iter().any(|words| words.contains(&word)) || is_part_name(word)
}

#[cfg(test)]
mod tests {
    use crate::domain::said::numbers::quantities;
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn a_numeral_tied_by_dashes_is_one_number() {
        // (words, value, unit): our own sentences.
        let rows: &[(&str, f64, &str)] = &[
            ("a two-and-a-quarter-pound blade", 2.25, "lb"),
            ("the seven-and-a-half-foot gang", 7.5, "ft"),
            ("four-and-three-quarter-inch brush", 4.75, "in"),
            ("a three-and-a-half pound blade", 3.5, "lb"),
            ("four and seven-eighths inches", 4.875, "in"),
            ("inch-and-a-half centres", 1.5, "in"),
            ("the two-point-one metre machine", 2.1, "m"),
            ("hour and three-quarters on it", 1.75, "h"),
            ("five and three-quarter hours", 5.75, "h"),
            ("a hundred-and-twenty mm brush", 120.0, "mm"),
            ("one-fifty-five thou", 155.0, "thou"),
            ("a thirty-second inch", 0.03125, "in"),
            ("five thirty-seconds of an inch", 0.15625, "in"),
        ];
        for (text, value, unit) in rows {
            let mut all = tokens(text);
            untied(&mut all);
            let found = quantities(&all);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert_eq!((found[0].value, found[0].unit), (*value, Some(*unit)), "{text}");
        }
    }
}
