//! Are two works told in one breath, each of other units: "lapped unit 1, new bedknife on unit 2"?
//! Then the first is understood now and the second after it, so that neither is put down on the
//! units of the other.
//! Deliberately absent: two works on the same units (`intent::two_works`).

use std::collections::BTreeSet;

use crate::domain::wording::plain_words;

/// What parts one work from the next.
const JOINTS: &[&str] = &[" and then ", ", and ", "; ", ", ", " and ", ". "];
/// First words of a work that is told.
const DEEDS: &[&str] = &[
    "lapped", "backlapped", "ground", "reground", "spun", "sharpened", "changed", "replaced", "fitted",
    "swapped", "renewed", "put", "set", "greased", "tightened", "adjusted", "raised", "lowered", "dropped",
    "new", "fresh", "installed", "moved", "dressed", "faced",
];
/// What a number behind it makes a unit.
const UNIT: &[&str] = &["unit", "number", "no", "reel", "head", "cylinder", "units", "reels", "heads"];
/// Words before a deed that tell nothing: "then I also changed".
const BEFORE: &[&str] = &["then", "i", "we", "also", "he", "she", "they", "have", "has", "just", "and", "a"];
/// Every unit of the machine.
const ALL: &str = "all";

/// The first and the second work.
pub(super) fn of(words: &str) -> Option<(&str, &str)> {
    JOINTS.iter().find_map(|joint| {
        words.match_indices(joint).find_map(|(at, _)| {
            let (first, second) = (words[..at].trim(), words[at + joint.len()..].trim());
            let (one, two) = (units(first), units(second));
            // A day, a time or a person at the end may be of both.
            if of_both(second) {
                return None;
            }
            let apart = !one.is_empty() && !two.is_empty() && one.is_disjoint(&two);
            (apart && tells(first) && tells(second)).then_some((first, second))
        })
    })
}

/// Whether something is told behind the work that may be of the first one as well.
fn of_both(second: &str) -> bool {
    const OF_BOTH: &[&str] = &[
        "both", "today", "yesterday", "morning", "monday", "tuesday", "wednesday", "thursday", "friday",
        "saturday", "sunday", "last", "this", "by", "min", "mins", "minutes", "hour", "hours", "took", "ago",
        "machine", "of",
    ];
    plain_words(second).iter().any(|word| OF_BOTH.contains(&word.as_str()))
}

/// Whether the words begin with a work that was done.
fn tells(words: &str) -> bool {
    let words = plain_words(words);
    let first = words.iter().find(|word| !BEFORE.contains(&word.as_str()));
    first.is_some_and(|word| DEEDS.contains(&word.as_str()))
}

/// The units named by number, or all of them.
fn units(words: &str) -> BTreeSet<String> {
    const COUNT_MAX: usize = 4;
    let words = plain_words(words);
    let is = |at: usize, list: &[&str]| {
        words.get(at).is_some_and(|word| list.contains(&word.as_str()))
    };
    let small = |word: &String| word.parse::<u32>().is_ok_and(|number| (1..=12).contains(&number));
    let mut out: BTreeSet<String> = (1..words.len())
        .filter(|at| is(at - 1, UNIT) && small(&words[*at]))
        .map(|at| words[at].clone())
        .collect();
    let all = (0..words.len()).any(|at| {
        is(at, &["all", "both", "every"])
            && (at + 1..at + COUNT_MAX).any(|at| is(at, &["units", "reels", "heads", "cylinders", "unit", "reel"]))
    });
    if all {
        out.insert(ALL.to_owned());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn works_on_other_units_are_taken_apart_and_one_work_is_left_whole() {
        let two = of("lapped unit 1 of the triplex, new bedknife on unit 2");
        assert_eq!(two, Some(("lapped unit 1 of the triplex", "new bedknife on unit 2")));
        let all = of("ground all 3 triplex reels, took 8 thou off each, new bedknife on number 2");
        assert_eq!(
            all,
            Some(("ground all 3 triplex reels, took 8 thou off each", "new bedknife on number 2"))
        );
        assert_eq!(of("lapped unit 1 and unit 2"), None, "one work on two units");
        assert_eq!(of("ground unit 2, new bedknife in unit 2"), None, "two works on one unit");
        assert_eq!(of("set unit 1 to 3.5, it was 3.6"), None);
        assert_eq!(of("lapped unit 1, new bedknife on unit 2, both done on Friday"), None);
        assert_eq!(of("changed the belt and greased it"), None);
    }
}
