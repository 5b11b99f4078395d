//! Which letters and digits written together are one name: a part number ("104-22b"), a serial, a
//! thread ("m8x1.25")? They are kept whole besides their pieces, without the signs between, so
//! that "104-22B" and "10422b" meet.

use crate::domain::language::quantities::Quantity;
use crate::domain::language::text::{Kind, Token};

/// Signs that may stand within a code.
const JOINING: &[&str] = &["-", "/", "#", "+"];

/// A run of tokens that is one code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// First and last token.
    pub first: usize,
    pub last: usize,
    pub term: String,
}

/// The codes of a text, left to right. A quantity with its unit is none ("3.2mm", "1/8in"), nor is
/// the number of a unit ("no.4").
pub fn codes(tokens: &[Token], quantities: &[Quantity]) -> Vec<Code> {
    let mut out = Vec::new();
    let mut from = 0;
    for at in 0..tokens.len() {
        let ends = tokens.get(at + 1).is_none_or(|next| !touches(&tokens[at], next));
        if ends {
            out.extend(code(tokens, (from, at), quantities));
            from = at + 1;
        }
    }
    out
}

/// Whether nothing stands between two tokens, and neither is a sign that ends a name.
fn touches(token: &Token, next: &Token) -> bool {
    let belongs =
        |token: &Token| token.kind != Kind::Sign || JOINING.contains(&token.text.as_str());
    token.end == next.start && belongs(token) && belongs(next)
}

fn code(tokens: &[Token], (from, to): (usize, usize), quantities: &[Quantity]) -> Option<Code> {
    let sign = |at: &usize| tokens[*at].kind == Kind::Sign;
    let first = (from..=to).find(|at| !sign(at))?;
    let last = (from..=to).rev().find(|at| !sign(at))?;
    let run = &tokens[first..=last];
    let holds = |kind| run.iter().any(|token| token.kind == kind);
    let inside = |quantity: &Quantity| quantity.first <= last && first <= quantity.last;
    let measured = quantities.iter().any(|quantity| quantity.unit.is_some() && inside(quantity));
    if !holds(Kind::Word) || !holds(Kind::Number) || measured || run[0].text == "number" {
        return None;
    }
    let letters = run.iter().flat_map(|token| token.text.chars());
    let term = std::iter::once('%').chain(letters.filter(|ch| ch.is_alphanumeric())).collect();
    Some(Code { first, last, term })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::quantities::quantities;
    use crate::domain::language::text;

    #[test]
    fn part_numbers_are_one_name_and_quantities_are_none() {
        let rows: &[(&str, &[&str])] = &[
            ("fitted 104-22b to no.4", &["%10422b"]),
            ("fitted 104-22B, bolts m8x1.25", &["%10422b", "%m8x125"]),
            ("10422b and mark0x6.", &["%10422b", "%mark0x6"]),
            ("3.2mm, 1/8in and 20-25 mm", &[]),
            ("an anti-scalp roller, 2 blades, 104 22", &[]),
            ("unit (r2d2)", &["%r2d2"]),
        ];
        for (words, expected) in rows {
            let tokens = text::tokens_without_stems(words);
            let found = codes(&tokens, &quantities(&tokens));
            let found: Vec<&str> = found.iter().map(|code| code.term.as_str()).collect();
            assert_eq!(found, *expected, "{words}");
        }
    }
}
