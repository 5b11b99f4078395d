//! Which side, end or corner of a unit do words name: "left", "LF", "rear right"?
//! Deliberately absent: what was read there.

use super::numbers::is_middle;
use crate::domain::language::text::{Kind, Token};

/// The place that words name, side before end, and how many tokens they take.
pub fn place_at(tokens: &[Token], at: usize) -> Option<(String, usize)> {
    let one = |at: usize| {
        tokens.get(at).filter(|token| token.kind == Kind::Word).and_then(|token| {
            Some(match token.text.as_str() {
                "left" | "lefts" | "l" | "lh" | "nearside" => "left",
                "right" | "rights" | "r" | "rh" | "offside" => "right",
                "front" | "fronts" => "front",
                "rear" | "back" | "rears" | "backs" => "rear",
                "middle" | "mid" | "center" | "centre" => "middle",
                "leading" => "leading",
                "trailing" => "trailing",
                "m" if is_middle(tokens, at) => "middle",
                _ => return None,
            })
        })
    };
    if let Some(corner) = corner(tokens.get(at)?) {
        return Some((corner.to_owned(), 1));
    }
    let first = one(at)?;
    let hand = usize::from(tokens.get(at + 1).is_some_and(|token| token.text == "hand"));
    let next = at + 1 + hand;
    let skip = usize::from(tokens.get(next).is_some_and(|token| token.text == "-"));
    let second = one(next + skip).filter(|second| is_side(first) != is_side(second));
    let second = second.filter(|second| is_end(first) || is_end(second));
    match second {
        Some(second) => {
            let pair = if is_side(first) { [first, second] } else { [second, first] };
            Some((pair.join("_"), next + skip - at + 1))
        }
        None => Some((first.to_owned(), 1 + hand)),
    }
}

/// "LF", "RR"; with a slash between it is two places.
fn corner(token: &Token) -> Option<&'static str> {
    let whole = token.kind == Kind::Word && token.end - token.start == 2;
    match token.text.as_str() {
        "lf" | "fl" if whole => Some("left_front"),
        "rf" | "fr" if whole => Some("right_front"),
        "lr" | "rl" if whole => Some("left_rear"),
        "rr" if whole => Some("right_rear"),
        _ => None,
    }
}

fn is_side(word: &str) -> bool {
    matches!(word, "left" | "right")
}

fn is_end(word: &str) -> bool {
    matches!(word, "front" | "rear")
}
