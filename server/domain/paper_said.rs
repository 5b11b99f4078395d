//! What did paper show, told by what it did not do: "won't cut paper on the right end", "isn't
//! slicing paper at the left"; and by both, "cuts it on the left but not on the right"?
//! Deliberately absent: paper that was cut everywhere, and paper in a job's readings.

use super::catalogue::Knowledge;
use super::language::hearing::{Heard, Hearing};
use super::wording::plain;

const NEGATORS: &[&str] = &[
    "not", "wont", "doesnt", "dont", "isnt", "cant", "aint", "wasnt", "didnt", "never", "stopped",
    "fails", "failed", "failing", "refuses", "hardly", "barely", "without", "nor", "couldnt",
];
const CUTS: &[&str] = &[
    "cut", "cuts", "cutting", "slice", "slices", "slicing", "shear", "shears", "grip", "grips",
    "gripping", "snip", "snips", "touch", "touching",
];
const FOLDS: &[&str] = &["fold", "folds", "folding", "folded", "creases", "creasing"];
const ENDS: &[&str] = &["left", "right", "leading", "trailing", "one"];
/// How surely such words tell it (judgement).
const SURE: f64 = 0.9;
/// So far before the verb its negator stands, and so far from it the paper.
const REACH: usize = 3;
const PAPER_REACH: usize = 4;
/// So far behind the paper or the verb stands the place.
const PLACE_REACH: usize = 6;

/// The place where paper was not cut, and the bytes that tell it.
fn told(words: &str) -> Option<(&'static str, usize, usize)> {
    let lower = plain(words);
    let said: Vec<&str> = lower
        .split(|ch: char| !ch.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let paper = said.iter().position(|word| *word == "paper")?;
    let near = paper.saturating_sub(PAPER_REACH)..(paper + PAPER_REACH + 1).min(said.len());
    let negated = |at: &usize| {
        let before = &said[at.saturating_sub(REACH)..*at];
        let uncut = CUTS.contains(&said[*at]) && before.iter().any(|word| NEGATORS.contains(word));
        uncut || FOLDS.contains(&said[*at])
    };
    let verb = near.clone().find(negated)?;
    let first = verb.min(paper);
    let places = said.iter().skip(first).take(PLACE_REACH + verb.abs_diff(paper));
    let place = ENDS.iter().find(|end| places.clone().any(|word| word == *end))?;
    // Signs that were left out make the place a little uncertain; the sentence holds it.
    let (start, end) = (words.len().min(lower.find(said[first])?), words.len());
    Some((place, start, end))
}

/// What paper does where it is not cut.
const FAILS: &[&str] = &[
    "fold", "folds", "folding", "folded", "tear", "tears", "tearing", "crease", "creases", "bends",
    "misses", "missing", "skips", "nothing", "nowt", "uncut", "slips", "pulls", "fails", "folds",
    "jams", "chews", "chewing", "drags",
];
/// What says that it is cut.
const CLEAN: &[&str] = &[
    "fine", "ok", "okay", "clean", "cleanly", "good", "well", "perfect", "perfectly", "nicely",
    "sweet", "great", "lovely", "alright",
];
/// What begins another clause.
const PARTS: &[&str] = &["but", "whereas", "while", "yet", "though", "although", "and", "then"];
/// "Right across" is no side, and "right front" is a unit.
const NO_SIDE: &[&str] = &[
    "across", "through", "along", "away", "now", "over", "front", "rear", "unit", "wheel", "hand",
];

/// Where paper is cut and where it is not, when both are told.
#[derive(Debug, Default, PartialEq, Eq)]
struct Places {
    cut: Vec<&'static str>,
    not: Vec<&'static str>,
}

/// The place that is named here.
fn place(said: &[&str], at: usize) -> Option<&'static str> {
    let next = said.get(at + 1).copied().unwrap_or_default();
    let before = at.checked_sub(1).map_or("", |at| said[at]);
    let end = matches!(next, "end" | "side");
    // "Right hand end".
    let hand = if next == "hand" { said.get(at + 2).copied().unwrap_or_default() } else { next };
    Some(match said[at] {
        "left" if !NO_SIDE.contains(&hand) => "left",
        "right" if !NO_SIDE.contains(&hand) && before != "all" => "right",
        "leading" => "leading",
        "trailing" => "trailing",
        "middle" | "centre" | "center" => "middle",
        "ends" | "sides" | "outsides" => "ends",
        "one" if end => "one",
        "other" => "other",
        _ => return None,
    })
}

/// The places of each clause by what it says of them: "fine in the middle but folds at both ends".
fn contrast(words: &str) -> Option<Places> {
    let lower = plain(words);
    let marked = lower.replace([',', ';', '.', ':', '?'], " then ");
    let said: Vec<&str> = marked.split_whitespace().collect();
    said.contains(&"paper").then_some(())?;
    let mut places = Places::default();
    // Whether it is cut, by the clause that is read; and places that wait for it to say so.
    let mut cut: Option<bool> = None;
    let (mut own, mut waiting): (bool, Vec<&'static str>) = (false, Vec::new());
    for at in 0..said.len() {
        let word = said[at];
        let told = own && cut == Some(true) && !places.cut.is_empty();
        if PARTS.contains(&word) || (told && word == "not") {
            (own, waiting) = (false, Vec::new());
        }
        let negated = said[at.saturating_sub(REACH)..at].iter().any(|one| NEGATORS.contains(one));
        let says = match word {
            "not" | "wont" | "doesnt" | "isnt" | "cant" | "never" => Some(false),
            word if FAILS.contains(&word) => Some(false),
            word if CUTS.contains(&word) || CLEAN.contains(&word) => Some(!(negated && own)),
            _ => None,
        };
        if let Some(says) = says {
            // "Cuts fine" is one thing; "does not cut" stays a no.
            cut = Some(if own && cut == Some(false) { false } else { says });
            own = true;
            for one in waiting.drain(..) {
                if says { places.cut.push(one) } else { places.not.push(one) }
            }
        }
        let Some(here) = place(&said, at) else { continue };
        match cut.filter(|_| own) {
            Some(true) => places.cut.push(here),
            Some(false) => places.not.push(here),
            None => waiting.push(here),
        }
    }
    let both = !places.cut.is_empty() && !places.not.is_empty();
    let apart = !places.cut.iter().any(|one| places.not.contains(one));
    (both && apart).then_some(places)
}

/// The findings that such places come to, each with whether it is there.
fn findings(places: &Places) -> Vec<(&'static str, bool)> {
    let not = |place: &str| places.not.contains(&place);
    let both = not("ends") || (not("left") && not("right")) || (not("leading") && not("trailing"));
    let (leading, trailing) = ("paper_fails_leading_end", "paper_fails_trailing_end");
    match () {
        () if both => vec![(leading, true), (trailing, true), ("paper_fails_middle", false)],
        () if not("middle") => vec![("paper_fails_middle", true)],
        () if not("leading") => vec![(leading, true), (trailing, false)],
        () if not("trailing") => vec![(trailing, true), (leading, false)],
        () => vec![("uncut_at_one_end", true)],
    }
}

/// Adds it to what was heard, where nothing of paper was heard; where it is cut and where not goes
/// before what was heard of paper.
pub fn add(knowledge: &Knowledge, words: &str, hearing: &mut Hearing) {
    let of_paper = |id: &str| id.starts_with("paper_");
    if let Some(places) = contrast(words) {
        let told = findings(&places);
        let own = |id: &str| of_paper(id) || id == "uncut_at_one_end";
        hearing.heard.retain(|heard| !own(&heard.finding));
        let known = told.into_iter().filter(|(id, _)| knowledge.finding(id).is_some());
        hearing.heard.extend(known.map(|(id, present)| Heard {
            finding: id.to_owned(),
            present,
            confidence: SURE,
            start: 0,
            end: words.len(),
            implied: false,
        }));
        hearing.heard.sort_by(|one, other| one.finding.cmp(&other.finding));
        return;
    }
    if hearing.heard.iter().any(|heard| of_paper(&heard.finding)) {
        return;
    }
    let Some((place, start, end)) = told(words) else { return };
    // Which of left and right leads is not known; the grass is left at that end either way.
    let finding = match place {
        "leading" => "paper_fails_leading_end",
        "trailing" => "paper_fails_trailing_end",
        _ => "uncut_at_one_end",
    };
    let heard = hearing.heard.iter().any(|old| old.finding == finding);
    if heard || knowledge.finding(finding).is_none() {
        return;
    }
    let (finding, present, implied) = (finding.to_owned(), true, false);
    hearing.heard.push(Heard { finding, present, confidence: SURE, start, end, implied });
    hearing.heard.sort_by(|one, other| one.finding.cmp(&other.finding));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_that_cut_paper_are_told_from_those_that_do_not() {
        let one: &[(&str, bool)] = &[("uncut_at_one_end", true)];
        let middle: &[(&str, bool)] = &[("paper_fails_middle", true)];
        let ends: &[(&str, bool)] = &[
            ("paper_fails_leading_end", true),
            ("paper_fails_trailing_end", true),
            ("paper_fails_middle", false),
        ];
        for (words, wanted) in [
            ("cutting paper on the left but not the right", one),
            ("cuts paper one end, not the other", one),
            ("paper cuts fine in the middle but just folds at both ends", ends),
            ("it wont cut paper at the ends but the middle is fine", ends),
            ("in the middle it cuts paper, at the ends it folds", ends),
            ("paper cut at both ends, not in the middle", middle),
            ("cuts paper at the ends but tears it in the middle", middle),
            ("right side slices paper clean, left side nothing", one),
        ] {
            let got = contrast(words).map(|places| findings(&places));
            assert_eq!(got.as_deref(), Some(wanted), "{words}");
        }
        for words in ["cuts paper right across", "wont cut paper", "cuts paper left and right"] {
            assert_eq!(contrast(words), None, "{words}");
        }
    }

    #[test]
    fn paper_that_is_not_cut_at_an_end_is_told_in_many_ways() {
        for (words, wanted) in [
            ("greens triplex wont cut paper on the right end of 2", Some("right")),
            ("paper isn't cutting at the left hand end", Some("left")),
            ("it does not slice paper, trailing end", Some("trailing")),
            ("cuts paper at the left end", None),
            ("not cutting on the left", None),
            ("wont cut paper", None),
        ] {
            assert_eq!(told(words).map(|(place, _, _)| place), wanted, "{words}");
        }
    }
}
