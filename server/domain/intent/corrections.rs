//! Which numbers does the speaker take back: "10 blades, no sorry, 11 blades", "twenty degrees,
//! make that eighteen", "2,000 not 1,800"? The later number takes the place of the one taken back.
//! Deliberately absent: corrections of one answer by the next, which a conversation has.

use crate::domain::language::text::{Kind, Token};
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::{any_said_at, said_at};
use crate::domain::units::Unit;

/// Words that take back what was said just before.
const TAKES_BACK: &[&str] = &[
    "sorry",
    "nah",
    "no i lie",
    "no wait",
    "no sorry",
    "no hang on",
    "no hold on",
    "no i mean",
    "no make that",
    "wait",
    "hang on",
    "hold on",
    "make that",
    "make it",
    "i mean",
    "i meant",
    "i tell a lie",
    "tell a lie",
    "scratch that",
    "strike that",
    "correction",
    "or rather",
    "my mistake",
    "no ,",
    "nope",
    "actually no",
    "no actually",
    "no it is",
    "no that is",
    "no make",
    "beg your pardon",
    "pardon me",
    "my bad",
    "no i read wrong",
    "no scrub that",
    "i read wrong",
    "no i read it wrong",
    "read wrong",
    "read that wrong",
    "misread",
    "i lie",
    "scrub that",
    "cancel that",
    "forget that",
    "ignore that",
    "that is wrong",
    "apologies",
    "whoops",
    "oops",
    "well nearer",
    "well , nearer",
    "or nearer",
    "well more like",
    "or more like",
    "or closer to",
    "put it down as",
    "put that down as",
    "but say",
    CALL_IT,
];
/// What makes a number rounder, where both are of one kind: "a third of a turn, call it 0.3".
const CALL_IT: &str = "call it";
/// Words that take back nothing after "and": "15, 18 and, hang on, 21".
const PAUSES: &[&str] = &["wait", "hang on", "hold on", "let me see", "let me look"];
/// What says that a number said before was another: "I said 245, it was 254".
const WAS_MEANT: &[&str] =
    &["it was", "it is", "i meant", "i mean", "that was", "should be", "it should be", "make it"];
/// Words that take back at once and may be followed by why: "fourteen, no, I've got the book here,
/// thirteen". They stand after a sign.
const TAKES_BACK_WITH_WHY: &[&str] =
    &["no ,", "no i", "no it", "no that", "no the", "no wait", "no thinking", "sorry ,", "sorry the",
      "sorry i", "sorry it", "wait ,"];
/// Tokens from those words to the new number.
const WHY_MAX: usize = 14;
/// Tokens between what is taken back and the words that do it, and from them to the new number.
const BEFORE_MAX: usize = 4;
const AFTER_MAX: usize = 5;
/// Numbers without a unit further apart than this are of different things.
const RATIO_MAX: f64 = 4.0;
/// Nouns that say that a bare number counts something else than what was measured before.
const COUNTED: &[&str] = &["blade", "blades", "bladed", "points", "units", "reels", "passes"];

/// One number in the place of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Correction {
    /// First and last token of the number taken back.
    pub first: usize,
    pub last: usize,
    /// Up to the last token of the new number.
    pub end: usize,
    /// From the first token of the words that take back.
    pub from: usize,
    /// Index of the new quantity, once those taken back are gone.
    pub quantity: usize,
}

/// Takes the numbers taken back out of `quantities`.
pub fn corrected(
    text: &str,
    tokens: &[Token],
    quantities: &mut Vec<Quantity>,
) -> Vec<Correction> {
    let mut before = said_before(tokens, quantities);
    let mut out: Vec<Correction> = Vec::new();
    let mut at = 0;
    while at + 1 < quantities.len() {
        let (old, new) = (&quantities[at], &quantities[at + 1]);
        if not_that(tokens, old, new) {
            let unit = old.unit.or(new.unit);
            quantities[at].unit = unit;
            quantities.remove(at + 1);
            moved_up(&mut before, at);
            continue;
        }
        if let Some(pause) = pause(tokens, old, new, at) {
            out.push(pause);
            at += 1;
            continue;
        }
        let back = taken_back(tokens, old, new).filter(|_| alike(tokens, old, new));
        let Some(from) = back.or_else(|| said_again(text, tokens, old, new)) else {
            at += 1;
            continue;
        };
        let (first, last) = (old.first, old.last);
        let unit = new.unit.or(old.unit);
        quantities[at + 1].unit = unit;
        let end = quantities[at + 1].last;
        quantities.remove(at);
        moved_up(&mut before, at);
        match out.last_mut().filter(|known| known.quantity == at) {
            // Taken back twice: the first place holds the last number.
            Some(known) => known.end = end,
            None => out.push(Correction { first, last, end, from, quantity: at }),
        }
    }
    out.extend(before);
    out
}

/// One quantity was taken out, at or after an index.
fn moved_up(correction: &mut Option<Correction>, at: usize) {
    if let Some(one) = correction.as_mut().filter(|one| one.quantity > at) {
        one.quantity -= 1;
    }
}

/// "18 and, hang on, 21": somebody looks for the next number of a row.
fn pause(tokens: &[Token], old: &Quantity, new: &Quantity, quantity: usize) -> Option<Correction> {
    let last = new.first.min(old.last + 2 + BEFORE_MAX);
    let mut starts = old.last + 1..last;
    let (from, said) =
        starts.find_map(|from| Some((from, any_said_at(tokens, from, PAUSES)?)))?;
    let sign = |token: &Token| token.kind == Kind::Sign;
    let before = tokens[old.last + 1..from].iter().rev().find(|token| !sign(token))?;
    let only = before.text == "and" && tokens[said + 1..new.first].iter().all(sign);
    let end = new.first - 1;
    only.then_some(Correction { first: old.first, last: old.last, end, from, quantity })
}

/// "Five mil... five millimetres": the same number said anew.
fn said_again(
    text: &str,
    tokens: &[Token],
    old: &Quantity,
    new: &Quantity,
) -> Option<usize> {
    let between = text.get(tokens[old.last].end..tokens[new.first].start)?;
    let dots = between.contains("..") || between.contains('\u{2026}');
    let only = between.chars().all(|ch| matches!(ch, '.' | '\u{2026}' | ' '));
    let same = (old.value - new.value).abs() < f64::EPSILON;
    let said = old.unit.is_some() && alike(tokens, old, new);
    (dots && only && same && said).then_some(new.first)
}

/// "260, 245 and 300, I said 245, it was 254": the number that was said before is the last one.
fn said_before(tokens: &[Token], quantities: &mut Vec<Quantity>) -> Option<Correction> {
    let said = |at: usize| {
        let first = quantities[at].first;
        first > 1 && tokens[first - 1].text == "said" && tokens[first - 2].text == "i"
    };
    let meant = |at: usize| {
        let (said, new) = (&quantities[at], &quantities[at + 1]);
        (said.last + 1..new.first).any(|from| {
            any_said_at(tokens, from, WAS_MEANT).is_some_and(|end| end + 1 == new.first)
        })
    };
    let same = |one: usize, two: usize| {
        (quantities[one].value - quantities[two].value).abs() < f64::EPSILON
    };
    let last = quantities.len().saturating_sub(1);
    let again = (1..last).find(|at| said(*at) && meant(*at))?;
    let old = (0..again).find(|at| same(*at, again))?;
    let from = quantities[again].first - 2;
    let new = quantities[again + 1].clone();
    quantities.drain(again..=again + 1);
    // Where it was said, so that all numbers stay in the order of the words.
    let (first, last) = (quantities[old].first, quantities[old].last);
    quantities[old].value = new.value;
    quantities[old].unit = new.unit.or(quantities[old].unit);
    Some(Correction { first, last, end: new.last, from, quantity: old })
}

/// "2,000 not 1,800": the second is what it is not.
fn not_that(tokens: &[Token], old: &Quantity, new: &Quantity) -> bool {
    let denied = new.first > 0 && tokens[new.first - 1].text == "not";
    denied && new.first - old.last <= BEFORE_MAX && alike(tokens, old, new)
}

/// Where the words that take back begin.
fn taken_back(tokens: &[Token], old: &Quantity, new: &Quantity) -> Option<usize> {
    let last = new.first.min(old.last + 2 + BEFORE_MAX);
    (old.last + 1..last).find(|from| {
        let from = *from;
        let end = any_said_at(tokens, from, TAKES_BACK);
        let bare = tokens[from].text == "no" && from + 1 == new.first;
        let rounded = said_at(tokens, from, CALL_IT).is_some();
        if rounded && old.unit.is_none() && new.unit.is_some() {
            return false;
        }
        let near = |end: usize, most: usize| end < new.first && new.first - end <= most;
        bare || end.is_some_and(|end| near(end, AFTER_MAX)) || {
            let parted = tokens[from - 1].kind == Kind::Sign;
            let why = any_said_at(tokens, from, TAKES_BACK_WITH_WHY);
            parted && why.is_some_and(|end| near(end, WHY_MAX))
        }
    }).or_else(|| thought_better(tokens, old, new))
}

/// "I was going to run it thirty below, but let's be kind and say twenty": where the other begins.
fn thought_better(tokens: &[Token], old: &Quantity, new: &Quantity) -> Option<usize> {
    let but = (old.last + 1..new.first).find(|at| tokens[*at].text == "but")?;
    let say = matches!(tokens[new.first - 1].text.as_str(), "say" | "to" | "for" | "at");
    let say = say && (but..new.first).any(|at| matches!(&*tokens[at].text, "say" | "go" | "went"));
    (say && new.first - but <= WHY_MAX && old.unit.is_some() && old.unit == new.unit).then_some(but)
}

fn alike(tokens: &[Token], old: &Quantity, new: &Quantity) -> bool {
    let kind = |quantity: &Quantity| quantity.unit.and_then(Unit::named).map(|unit| unit.kind);
    match (old.unit, new.unit) {
        (Some(_), Some(_)) => {
            old.unit == new.unit || kind(old).is_some_and(|known| kind(new) == Some(known))
        }
        (None, Some(_)) => true,
        (_, None) => {
            let next = tokens.get(new.last + 1).filter(|next| next.kind == Kind::Word);
            let counts = |at: usize| {
                tokens.get(at + 1).is_some_and(|next| COUNTED.contains(&next.text.as_str()))
            };
            let other = next.is_some() && counts(new.last) && !counts(old.last);
            let near = |one: f64, two: f64| one.max(two) <= one.min(two) * RATIO_MAX;
            let (one, two) = (old.value.abs(), new.value.abs());
            // "Twenty-six, no twenty-seven hundred".
            let begun = old.in_words && new.in_words && near(one * 100.0, two);
            !other && (near(one, two) || begun)
        }
    }
}
