//! "Three-and-a-half-pound", "five-and-three-quarter-inch": which dashes only tie a numeral together?
//! Deliberately absent: the number that it makes, which `numbers` reads.

use super::numbers::{is_part_name, is_tie, number_at, word};
use crate::domain::language::text::Token;

/// Words from "and" to the part of one, at most.
const PART_WORDS_MAX: usize = 3;

/// Takes out the dashes around the "and" of a numeral, as far as its part of one.
pub fn untied(tokens: &mut Vec<Token>) {
    let mut at = 1;
    while at + 1 < tokens.len() {
        let and = word(tokens, at) == Some("and");
        let numeral = at > 1 && number_at(tokens, at - 2).is_some();
        if and && numeral && is_tie(tokens, at - 1) && is_tie(tokens, at + 1) {
            untie_part(tokens, at + 1);
            tokens.remove(at - 1);
        }
        at += 1;
    }
}

fn untie_part(tokens: &mut Vec<Token>, first: usize) {
    for next in first..first + PART_WORDS_MAX {
        if !is_tie(tokens, next) {
            return;
        }
        tokens.remove(next);
        if word(tokens, next).is_some_and(is_part_name) {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::numbers::quantities;
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
