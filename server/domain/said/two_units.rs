//! Which numbers are one quantity of two units: "1 hour 20", "5 ft 6", "2 lb 3 oz"?
//! Deliberately absent: "an hour and a half", which `numbers` reads.

use super::numbers::{Quantity, number_at, word};
use super::said_units::unit_at;
use crate::domain::language::text::{Kind, Token};

/// "1 hour 20", "2 hours 10 mins", "5 ft 6", "3 weeks and 2 days": one quantity of two units.
pub(super) fn joined(tokens: &[Token], first: Quantity) -> Quantity {
    let (small, size) = match first.unit {
        Some("h") => ("min", 60.0),
        Some("ft") => ("in", 12.0),
        Some("lb") => ("oz", 16.0),
        _ => return first,
    };
    let next = first.last + 1 + usize::from(word(tokens, first.last + 1) == Some("and"));
    let Some(number) = number_at(tokens, next) else { return first };
    let unit = unit_at(tokens, number.last + 1);
    // "An hour and ten", but not "an hour and two blades".
    let tied = next == first.last + 1 || (first.in_words && number.in_words);
    let bare = unit.is_none()
        && first.unit != Some("lb")
        && tied
        && (tokens[next].kind == Kind::Number || number.value >= 5.0)
        && number.value.fract() == 0.0
        && (first.unit == Some("ft") || !continues(tokens, number.last + 1));
    let named = unit.is_some_and(|(symbol, _)| symbol == small);
    let same = tokens[first.first].segment == tokens[next].segment;
    if !same || number.value >= size || !(bare || named) {
        return first;
    }
    let last = if named { unit.map_or(number.last, |(_, last)| last) } else { number.last };
    Quantity { value: first.value * size + number.value, unit: Some(small), last, ..first }
}

/// A number that goes on ("20 blades") counts something of its own.
fn continues(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| {
        // What is hidden as a name or a day keeps its word before the mark.
        let said = token.text.split('~').next().unwrap_or_default();
        token.kind == Kind::Word
            && !matches!(
                said,
                "of" | "all"
                    | "my"
                    | "in"
                    | "for"
                    | "to"
                    | "so"
                    | "and"
                    | "on"
                    | "total"
                    | "start"
                    | "job"
                    | "together"
                    | "including"
                    | "with"
                    | "each"
                    | "this"
                    | "today"
                    | "yesterday"
                    | "last"
                    | "it"
                    | "that"
                    | "took"
                    | "i"
                    | "he"
                    | "she"
                    | "we"
                    | "spent"
                    | "altogether"
            )
    })
}
