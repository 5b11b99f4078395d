//! Are the blades in balance, where it is told of some of them only: "balanced two of three, one still
//! heavy", "two balanced and one not"? The record says it of the whole set, so that one left out makes
//! it no, and what was told of each stays in the notes.
//! Deliberately absent: a fault of balance that is complained of (`language`).

use super::record::Builder;
use super::spoken::Spoken;
use crate::domain::language::patterns::NUMBER;

/// Words that speak of balance.
const BALANCE: &[&str] = &["balanced", "balance", "unbalanced", "balancing"];
/// How a blade that is not in balance hangs.
const HANGS: &[&str] = &["heavy", "drops", "dropping", "dips", "tips"];
/// What may stand behind "not" where it denies the balance.
const NOT_YET: &[&str] = &["yet", "right", "balanced", "and", "so", "level", "true", "done"];
/// Who of a set is not balanced.
const OF_SET: &[&str] = &["one", "two", "three", "other", "last", "third", "rest", "others"];
/// What stands between the balance and a "not" that is of it.
const OF_BALANCE: &[&str] = &["but", "though", "them", "it", "they", "blades", "blade", "both", "all"];
/// What may stand behind "two of the three".
const BEHIND_SOME: &[&str] = &["balanced", "were", "are", "now", "only", "so", "and", "but", "done"];
/// Words from the balance to what was left out.
const REACH: usize = 9;

/// First and last word of what tells that some are not balanced.
fn some_left(spoken: &Spoken) -> Option<(usize, usize)> {
    let word = |at: usize| spoken.word(at);
    let count = spoken.words.len();
    let at = (0..count).find(|at| BALANCE.contains(&word(*at)))?;
    let same = |other: usize| {
        spoken.words.get(other).is_some_and(|one| one.sentence == spoken.words[at].sentence)
    };
    let counts = |at: usize| spoken.words[at].stem == NUMBER || word(at) == "one";
    let first = at - usize::from(at > 0 && counts(at - 1));
    let whole = |at: usize| {
        let [index] = spoken.places.get(at)?.quantities[..] else { return None };
        let one = &spoken.quantities[index];
        (one.unit.is_none() && one.value.fract() == 0.0).then_some(one.value)
    };
    // "Two out of three".
    let of = |from: usize| {
        let some = whole(from)?;
        let last = (from + 1..from + 5).find(|other| !matches!(word(*other), "out" | "of" | "the"))?;
        let between = (from + 1..last).any(|other| word(other) == "of");
        let all = whole(last).filter(|_| between)?;
        // "1 of the 2 belts" counts no blades, and "2 of the 3 back" no balance.
        let segment = |at: usize| spoken.words.get(at).map(|one| one.segment);
        let noun = last + 1 + usize::from(matches!(word(last + 1), "blades" | "blade"));
        let open = segment(noun) != segment(last) || BEHIND_SOME.contains(&word(noun));
        (some < all && open).then_some(last)
    };
    let near = at.saturating_sub(5)..(at + 4).min(count);
    let counted = near.into_iter().find_map(|from| Some((from, of(from)?)));
    if let Some((from, last)) = counted.filter(|(from, _)| same(*from)) {
        return Some((from.min(at), last.max(at)));
    }
    let reach = at + 1..(at + REACH).min(count);
    let segment = |at: usize| spoken.words.get(at).map(|one| one.segment);
    let closes = |at: usize| segment(at) != segment(at + 1);
    let ends = |at: usize| {
        let at = at + usize::from(word(at + 1) == "quite");
        closes(at) || NOT_YET.contains(&word(at + 1))
    };
    // "One is not", "balanced but not yet", and not "deck not done yet".
    let of_blades = |at: usize| {
        let be = |at: &usize| matches!(word(*at), "is" | "are" | "was" | "were");
        let Some(who) = (0..at).rev().find(|at| !be(at)) else { return false };
        let same = spoken.words[who].segment == spoken.words[at].segment;
        let balance = OF_BALANCE.contains(&word(who)) || BALANCE.contains(&word(who));
        same && (OF_SET.contains(&word(who)) || whole(who).is_some() || balance)
    };
    // "But one was bent" tells of no balance.
    let but = |at: usize| {
        let bent = matches!(word(at + 2), "was" | "were" | "is" | "had" | "has" | "got");
        let bent = bent && !BALANCE.contains(&word(at + 3)) && word(at + 3) != "not";
        (word(at + 1) == "one" || whole(at + 1).is_some()) && !bent
    };
    // "None balanced", "only one balanced".
    let told = (1..count).filter(|at| BALANCE.contains(&word(*at))).find_map(|at| {
        let counted = word(at - 1) == "one" || whole(at - 1).is_some();
        let only = counted && at > 1 && word(at - 2) == "only";
        (only || word(at - 1) == "none").then_some((at - if only { 2 } else { 1 }, at))
    });
    if told.is_some() {
        return told;
    }
    // "One not", "the last one isn't", "all but one", "two to do", "one still heavy".
    let left = |other: &usize| match word(*other) {
        "not" | "never" => ends(*other) && of_blades(*other),
        "except" => true,
        "but" | "bar" => but(*other),
        "to" => word(other + 1) == "do" && closes(other + 1) && word(other.saturating_sub(2)) != "all" && (OF_SET.contains(&word(other - 1)) || whole(other - 1).is_some()),
        "still" => (other + 1..other + 4).any(|next| HANGS.contains(&word(next))),
        _ => false,
    };
    let last = reach.clone().filter(|other| same(*other)).find(left);
    let behind = |last: usize| match word(last) {
        "not" | "never" => 0,
        "to" => 1,
        _ => 2,
    };
    let last = last.map(|last| (last + behind(last)).min(count - 1));
    // "All but one balanced".
    let before = (at.saturating_sub(3)..at).find(|other| {
        word(*other) == "except" || (matches!(word(*other), "but" | "bar") && but(*other))
    });
    last.map(|last| (first, last)).or(before.map(|before| (before, at)))
}

/// Whether a number counts the blades that were balanced, and not those that were sharpened.
pub(super) fn counts(spoken: &Spoken, quantity: usize) -> bool {
    let one = &spoken.quantities[quantity];
    let behind = spoken.tokens.get(one.last + 1).map_or("", |token| token.text.as_str());
    let before = one.first.checked_sub(1).map_or("", |at| spoken.tokens[at].text.as_str());
    let some = some_left(spoken).is_some();
    some && (BALANCE.contains(&behind) || BALANCE.contains(&before))
}

impl Builder<'_> {
    /// "Balanced it", "didn't balance it", "not balanced yet", "two balanced and one not".
    pub(super) fn balanced(&self) -> Option<bool> {
        let word = |at: usize| self.spoken.word(at);
        let said = |at: &usize| matches!(word(*at), "balanced" | "balance" | "unbalanced");
        let at = (0..self.spoken.words.len()).find(said)?;
        let before = at.saturating_sub(3)..at;
        let denied = before.into_iter().any(|at| matches!(word(at), "not" | "never" | "no"));
        match word(at) {
            _ if some_left(self.spoken).is_some() => Some(false),
            "balanced" => Some(!denied),
            "unbalanced" => Some(false),
            _ => denied.then_some(false),
        }
    }

    /// What was told of the balance of some of them, as it was said.
    pub(super) fn balance_note(&self) -> Option<String> {
        let (first, last) = some_left(self.spoken)?;
        Some(self.spoken.phrase(first, last).trim().to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn some_of_a_set_are_told_apart() {
        for (words, wanted) in [
            ("sharpened them, two balanced and one not", Some("two balanced and one not")),
            ("sharpened the blades, balanced two of three", Some("balanced two of three")),
            ("two out of three balanced, all sharp", Some("two out of three balanced")),
            ("balanced 2 of the 3 blades", Some("balanced 2 of the 3")),
            ("sharpened, all balanced but one", Some("balanced but one")),
            ("sharpened the blades, one balanced, two to do", Some("one balanced, two to do")),
            ("sharpened and balanced them, deck to do tomorrow", None),
            ("sharpened the blades, balanced all three to do the rough tomorrow", None),
            ("sharpened them, balanced them, two to do the next job", None),
            ("sharpened and balanced all three", None),
            ("sharpened them, none balanced", Some("none balanced")),
            ("sharpened them, only one balanced", Some("only one balanced")),
            ("sharpened them, two balanced, the last one is not", Some("two balanced, the last one is not")),
            ("sharpened them and balanced them on the bar", None),
            ("took them off, balanced bar stool used", None),
            ("sharpened and balanced, deck not done yet", None),
            ("balanced them, still out on the mower", None),
            ("sharpened and balanced, not quite happy with the edge", None),
            ("balanced them, never right first time", None),
            ("sharpened and balanced them, 1 of the 2 belts cracked", None),
            ("balanced and put 2 of the 3 back", None),
            ("all balanced but one was bent and replaced", None),
            ("balanced, not sharp yet", None),
            ("balanced three of three", None),
            ("sharpened three and balanced them", None),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            let found = some_left(&spoken);
            let found = found.map(|(first, last)| spoken.phrase(first, last).trim().to_owned());
            assert_eq!(found.as_deref(), wanted, "{words}");
        }
    }
}
