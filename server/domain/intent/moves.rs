//! Do the words tell that something was moved: by how much, or from where to where?
//! Deliberately absent: which kind of record that makes (see `record_kind`).

use super::clauses::Clause;
use super::cues::Cue;
use super::record_kind::{REEL_MIN_MM, SMALL};
use super::spoken::Spoken;
use super::subject_words::{HEADS, TELLING};
use crate::domain::language::patterns::NUMBER;
use crate::domain::said::numbers::Quantity;

/// What stood where is told within the first clauses: a name, and then how it was.
const STOOD_CLAUSES_MAX: usize = 2;

pub(super) fn is_number(spoken: &Spoken, at: usize) -> bool {
    spoken.words.get(at).is_some_and(|word| word.stem == NUMBER)
}

/// All numbers of a cue are times.
pub(super) fn is_only_time(spoken: &Spoken, cue: &Cue) -> bool {
    let mut numbers = cue.words.iter().flat_map(|word| &spoken.places[*word].quantities).peekable();
    let time = |index: &usize| matches!(spoken.quantities[*index].unit, Some("h" | "min"));
    numbers.peek().is_some() && numbers.all(time)
}

/// "15 thou higher at the right end": how far something moved, after nothing but names.
pub(super) fn begins_with_move(spoken: &Spoken, all: &[Clause]) -> bool {
    const WAYS: &[&str] = &["higher", "lower", "up", "down", "deeper", "shallower"];
    let name = |at: usize| {
        let said = spoken.word(at);
        let known = HEADS.contains(&said) || TELLING.contains(&said) || SMALL.contains(&said);
        known || said == NUMBER || said.parse::<u32>().is_ok()
    };
    let names = |clause: &Clause| (clause.first..=clause.last).all(name);
    let moved = |clause: &Clause| {
        let place = &spoken.places[clause.first];
        let [index] = place.quantities[..] else { return false };
        let length = matches!(spoken.quantities[index].unit, Some("mm" | "mil" | "in" | "thou"));
        let than = (clause.first..=clause.last).any(|at| spoken.word(at) == "than");
        let way = clause.first < clause.last && WAYS.contains(&spoken.word(clause.first + 1));
        length && !than && way
    };
    all.iter().find(|clause| !names(clause) || moved(clause)).is_some_and(moved)
}

/// ".125 to .115 on walker 2": first of all, where a cut went from and to.
pub(super) fn begins_with_way(spoken: &Spoken) -> bool {
    let word = |at: usize| spoken.words.get(at).map_or("", |word| word.stem.as_str());
    let way = word(0) == NUMBER && word(1) == "to" && word(2) == NUMBER;
    let cut = |quantity: &Quantity| {
        matches!(quantity.unit, None | Some("mm" | "in" | "thou")) && quantity.value < REEL_MIN_MM
    };
    way && spoken.quantities.iter().take(2).all(cut)
}

/// A number that is neither a time, a speed of turning nor a count of units or new parts.
fn is_setting(spoken: &Spoken, at: usize) -> bool {
    let next = spoken.words.get(at + 1).map_or("", |word| word.stem.as_str());
    if HEADS.contains(&next) || matches!(next, "new" | "fresh" | "blade") {
        return false;
    }
    let unit = |index: &usize| spoken.quantities[*index].unit;
    let time = |index: &usize| matches!(unit(index), Some("h" | "min" | "s" | "days" | "rpm"));
    is_number(spoken, at) && !spoken.places[at].quantities.iter().any(time)
}

/// "Groomer was 0.8 below the cut, I've set it 0.4", "was 0.2 high so I turned it down": where it
/// stood, and where it stands now.
pub(super) fn reset(spoken: &Spoken, all: &[Clause]) -> bool {
    let word = |at: usize| spoken.words[at].text.as_str();
    let stood = |clause: &Clause| {
        (clause.first..clause.last).any(|at| {
            let was = matches!(word(at), "was" | "were" | "been" | "at" | "on");
            was && (at + 1..=(at + 2).min(clause.last)).any(|next| is_setting(spoken, next))
        })
    };
    let set = |clause: &Clause| {
        const SET: &[&str] = &[
            "set", "put", "now", "raised", "lowered", "reset", "dropped", "took", "moved",
            "brought", "taken", "wound", "lifted", "eased", "closed", "opened", "turned",
        ];
        const WHO: &[&str] =
            &["i", "we", "he", "she", "they", "have", "has", "had", "and", "so", "then"];
        let who = |at: &usize| *at < clause.last && WHO.contains(&word(*at));
        let done = clause.first + (clause.first..=clause.last).take_while(who).count();
        SET.contains(&word(done.min(clause.last)))
            && (done + 1..=(done + 4).min(clause.last)).any(|at| is_setting(spoken, at))
    };
    let first = all.iter().take(STOOD_CLAUSES_MAX).find(|clause| stood(clause));
    first.is_some_and(|one| all.iter().filter(|clause| clause.first > one.last).any(set))
}
