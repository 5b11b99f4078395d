//! What did paper show, told by what it did not do: "won't cut paper on the right end", "isn't
//! slicing paper at the left"?
//! Deliberately absent: paper that was cut, and paper in a job's readings.

use super::catalogue::Knowledge;
use super::language::hearing::{Heard, Hearing};

const NEGATORS: &[&str] = &[
    "not", "wont", "doesnt", "dont", "isnt", "cant", "aint", "wasnt", "didnt", "never", "stopped",
    "fails", "failed", "failing", "refuses", "hardly", "barely", "without", "nor", "couldnt",
];
const CUTS: &[&str] = &[
    "cut", "cuts", "cutting", "slice", "slices", "slicing", "shear", "shears", "grip", "grips",
    "gripping", "snip", "snips", "touch", "touching",
];
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
    let lower = words.to_lowercase().replace(['\'', '\u{2019}'], "");
    let said: Vec<&str> = lower
        .split(|ch: char| !ch.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let paper = said.iter().position(|word| *word == "paper")?;
    let near = paper.saturating_sub(PAPER_REACH)..(paper + PAPER_REACH + 1).min(said.len());
    let negated = |at: &usize| {
        let before = &said[at.saturating_sub(REACH)..*at];
        CUTS.contains(&said[*at]) && before.iter().any(|word| NEGATORS.contains(word))
    };
    let verb = near.clone().find(negated)?;
    let first = verb.min(paper);
    let places = said.iter().skip(first).take(PLACE_REACH + verb.abs_diff(paper));
    let place = ENDS.iter().find(|end| places.clone().any(|word| word == *end))?;
    // Signs that were left out make the place a little uncertain; the sentence holds it.
    let (start, end) = (words.len().min(lower.find(said[first])?), words.len());
    Some((place, start, end))
}

/// Adds it to what was heard, where nothing of paper was heard.
pub fn add(knowledge: &Knowledge, words: &str, hearing: &mut Hearing) {
    let of_paper = |id: &str| id.starts_with("paper_");
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
