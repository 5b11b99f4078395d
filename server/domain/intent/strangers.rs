//! Which machines do words name that no list has: "the bowls mower", "Auld Jessie", "forty-eight
//! inch deck"? Deliberately absent: names of parts and units, and what the shop calls its own.

use super::deeds::DEEDS;
use super::numerals::below_hundred;
use super::readings::place_at;
use super::subject_words::{HEADS, KINDS_NAMED, NO_HEADINGS, NO_NAMES, PARTS, TELLING};
use crate::domain::language::text::{Kind, Token};

/// What people call a machine that they know well, before its name.
const PET: &[&str] = &["old", "auld", "ol", "big", "wee", "little", "young", "poor"];

fn word(tokens: &[Token], at: usize) -> &str {
    tokens.get(at).map_or("", |token| token.text.as_str())
}

/// Inches that decks are as wide as (common practice, no source).
pub fn is_deck_size(size: f64) -> bool {
    (30.0..=144.0).contains(&size)
}

/// Tokens of a size before a kind: "72 deck", "60 inch", "72\"", "six-foot", "forty-eight inch".
pub fn size_at(tokens: &[Token], at: usize) -> usize {
    let model = tokens[at].text.parse().is_ok_and(is_deck_size);
    if model && word(tokens, at + 1) == "deck" {
        return 1;
    }
    let last = match tokens[at].kind {
        Kind::Number => Some(at),
        _ => below_hundred(tokens, at).filter(|(size, _)| *size > 3.0).map(|(_, last)| last),
    };
    let Some(last) = last else { return 0 };
    let unit =
        matches!(word(tokens, last + 1), "inch" | "in" | "\"" | "foot" | "ft" | "'" | "-");
    let kind = (last + 2..last + 5)
        .any(|next| matches!(word(tokens, next), "deck" | "rotary" | "mower" | "gang"));
    if unit && kind { last + 1 - at } else { 0 }
}

/// "The bowls mower", "the fine turf machine": words of no meaning here between an article, or the
/// beginning, and a kind of machine. How many, at most two.
pub fn strange_words(tokens: &[Token], at: usize) -> usize {
    let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
    let article = matches!(before, "the" | "our" | "my" | "her" | "his" | "their");
    if !(article || at == 0) || !is_strange(tokens, at) {
        return 0;
    }
    let kind = |at: usize| KINDS_NAMED.contains(&word(tokens, at));
    let telling = |at: usize| is_strange(tokens, at) || TELLING.contains(&word(tokens, at));
    if kind(at + 1) {
        1
    } else if article && telling(at + 1) && kind(at + 2) {
        2
    } else {
        0
    }
}

/// A word that neither tells of machines nor of work.
fn is_strange(tokens: &[Token], at: usize) -> bool {
    let Some(token) = tokens.get(at).filter(|token| token.kind == Kind::Word) else {
        return false;
    };
    let said = token.text.as_str();
    let known = [TELLING, HEADS, PARTS, NO_HEADINGS, NO_NAMES, DEEDS];
    let verb = said.ends_with("ed") || said.ends_with("ing");
    let placed = place_at(tokens, at).is_some() || below_hundred(tokens, at).is_some();
    said.len() > 2 && !verb && !placed && !known.iter().any(|list| list.contains(&said))
}

/// "Old Bess", "Auld Jessie", "wee Maggie": a pet word and a name with a capital.
pub fn pet_name(text: &str, tokens: &[Token]) -> Option<(usize, usize)> {
    (0..tokens.len().saturating_sub(1)).find_map(|at| {
        let letter = text.get(tokens[at + 1].start..)?.chars().next()?;
        let named = letter.is_uppercase() && is_strange(tokens, at + 1);
        (PET.contains(&word(tokens, at)) && named).then_some((at, at + 1))
    })
}
