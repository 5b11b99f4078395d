//! What do words mean that lean on what was said before: "no, 3.2", "the other end", "same for unit
//! 4", "no, that was the left unit"? The earlier words with the new part put in; they are then
//! understood like any others, so that nothing is changed but what was said to be.
//! Deliberately absent: "and at 5 km/h?", which the understanding of a calculation settles.

use super::other_subject::{Named, names_a_subject, subject_put_in};
use crate::domain::number_text::read_number;

/// A number heard in the earlier words.
#[derive(Clone, Debug, PartialEq)]
pub struct HeardNumber {
    /// As it stands in the words, unit and all.
    pub text: String,
    pub unit: String,
    /// Bytes of the earlier words.
    pub start: usize,
    pub end: usize,
    /// What it was used for, in words.
    pub meant: String,
}

/// What was said before and how it was heard.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Earlier {
    pub words: String,
    pub numbers: Vec<HeardNumber>,
    /// What they were understood to be about.
    pub about: Named,
}

/// What to do with words that lean on earlier ones.
#[derive(Clone, Debug, PartialEq)]
pub enum FollowUp {
    /// Understand these words in their place.
    Words(String),
    /// It cannot be told which number is meant; the text asks.
    Which(String),
}

/// Beginnings that correct.
const CORRECTIONS: &[&str] = &[
    "no, that was ", "no that was ", "no, it was ", "no it was ", "no, i meant ", "no i meant ",
    "sorry, ", "i meant ", "i mean ", "make that ", "make it ", "no, ", "no ", "not that, ",
    "actually ", "that was ", "it was ", "correction: ", "correction, ", "should be ",
    "no, should be ", "change it to ", "rather ", "wait, ",
];

/// Sides, each with the other.
pub(super) const PAIRS: &[(&str, &str)] = &[
    ("left", "right"),
    ("leading", "trailing"),
    ("front", "rear"),
    ("near", "far"),
];

const OTHERS: &[&str] = &[
    "the other end", "other end", "the other side", "other side", "and the other end",
    "and the other side", "same for the other end", "same for the other side",
    "the same for the other end", "same at the other end", "same on the other side",
    "the same on the other side",
];

/// Beginnings that repeat for something else.
const REPEATS: &[&str] = &[
    "the same for ", "same for ", "same again for ", "same again on ", "same on ", "the same on ",
    "and the same for ", "and the same on ", "and same on ", "did the same on ", "did the same to ",
    "i did the same on ", "and did the same on ", "same thing on ", "the same thing on ",
    "same with ", "the same with ", "ditto for ", "ditto on ", "ditto ", "and for ", "likewise for ",
    "likewise on ", "likewise ", "repeat for ",
];

/// The words that these come to, when they lean on earlier ones.
/// `correcting`: a proposal is open, so that a bare number corrects it.
pub fn follow_up(words: &str, earlier: &Earlier, correcting: bool) -> Option<FollowUp> {
    if earlier.words.is_empty() {
        return None;
    }
    let plain = words.trim().trim_end_matches(['.', '!', '?']).trim().to_owned();
    let lower = plain.to_lowercase();
    let is_other = OTHERS.iter().any(|other| {
        lower == *other || lower.strip_prefix("no, ").is_some_and(|rest| rest == *other)
    });
    if is_other {
        return other_end(&earlier.words).map(FollowUp::Words);
    }
    if let Some(rest) = REPEATS.iter().find_map(|start| after(&plain, start)) {
        return subject_put_in(&earlier.words, rest, &earlier.about).map(FollowUp::Words);
    }
    let corrected = CORRECTIONS.iter().find_map(|start| after(&plain, start));
    match corrected {
        Some(rest) => correction(rest, earlier),
        None if correcting => number_put_in(&plain, earlier),
        None => None,
    }
}

/// What stands after a beginning, letters of either case.
pub(super) fn after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let head = text.get(..start.len())?;
    head.eq_ignore_ascii_case(start).then(|| text[start.len()..].trim())
}

fn correction(rest: &str, earlier: &Earlier) -> Option<FollowUp> {
    if let Some(found) = number_put_in(rest, earlier) {
        return Some(found);
    }
    if names_a_subject(rest) {
        return subject_put_in(&earlier.words, rest, &earlier.about).map(FollowUp::Words);
    }
    side_put_in(rest, &earlier.words).map(FollowUp::Words)
}

/// The other of every pair of sides.
fn other_end(words: &str) -> Option<String> {
    let both = PAIRS.iter().flat_map(|(one, other)| [(*one, *other), (*other, *one)]);
    turned(words, &both.collect::<Vec<_>>())
}

/// The words with others in the place of some: each that is given, and what stands there then.
fn turned(words: &str, others: &[(&str, &str)]) -> Option<String> {
    let mut changed = false;
    let mut out = String::with_capacity(words.len());
    for part in split_words(words) {
        let lower = part.to_lowercase();
        let other = others.iter().find(|(word, _)| lower == *word);
        changed |= other.is_some();
        out.push_str(other.map_or(part, |(_, other)| other));
    }
    changed.then_some(out)
}

/// "The left unit", "left": the side named takes the place of the other in the earlier words.
pub(super) fn side_put_in(rest: &str, words: &str) -> Option<String> {
    let said: Vec<String> = split_words(rest).map(str::to_lowercase).collect();
    let says = |side: &str| said.iter().any(|word| word == side);
    // Each side that is not wanted, with the one that is.
    let sides = PAIRS.iter().filter_map(|(one, other)| match (says(one), says(other)) {
        (true, _) => Some((*other, *one)),
        (false, true) => Some((*one, *other)),
        (false, false) => None,
    });
    turned(words, &sides.collect::<Vec<_>>())
}

/// The text in words and what stands between them; joined again it is the same.
fn split_words(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive(|ch: char| !ch.is_alphanumeric()).flat_map(|part| {
        let end = part.len() - part.chars().last().filter(|ch| !ch.is_alphanumeric())
            .map_or(0, char::len_utf8);
        [&part[..end], &part[end..]]
    })
}

/// A number in the place of the one that it corrects.
fn number_put_in(text: &str, earlier: &Earlier) -> Option<FollowUp> {
    let typed = read_number(text).ok()?;
    // More words than a number and its unit are a sentence of their own.
    if typed.rest.split_whitespace().count() > 2 {
        return None;
    }
    let same_unit = |number: &&HeardNumber| {
        typed.rest.is_empty() || number.unit.is_empty() || unit_alike(&number.unit, &typed.rest)
    };
    let fit: Vec<&HeardNumber> = earlier.numbers.iter().filter(same_unit).collect();
    let number = match fit[..] {
        [] => return None,
        [only] => only,
        _ => {
            let named: Vec<String> =
                fit.iter().map(|number| format!("{} ({})", number.text, number.meant)).collect();
            return Some(FollowUp::Which(format!(
                "Which number is to be {text}: {}? Say the whole sentence again, please.",
                named.join(" or ")
            )));
        }
    };
    let (before, behind) = (earlier.words.get(..number.start)?, earlier.words.get(number.end..)?);
    let unit = if typed.rest.is_empty() && !number.unit.is_empty() {
        format!(" {}", number.unit)
    } else {
        String::new()
    };
    Some(FollowUp::Words(format!("{before}{text}{unit}{behind}")))
}

fn unit_alike(one: &str, other: &str) -> bool {
    use crate::domain::units::Unit;
    match (Unit::named(one), Unit::named(other)) {
        (Some(one), Some(other)) => one.kind == other.kind,
        _ => one.eq_ignore_ascii_case(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn earlier(words: &str, numbers: &[(&str, &str, &str)]) -> Earlier {
        let heard = numbers.iter().map(|(text, unit, meant)| {
            let start = words.find(text).expect("it stands there");
            HeardNumber {
                text: (*text).to_owned(),
                unit: (*unit).to_owned(),
                start,
                end: start + text.len(),
                meant: (*meant).to_owned(),
            }
        });
        Earlier { words: words.to_owned(), numbers: heard.collect(), about: Named::default() }
    }

    #[test]
    fn earlier_words_with_the_new_part_put_in() {
        let set = earlier("set the left end of unit 2 to 3.4 mm", &[("3.4 mm", "mm", "setting")]);
        let ground = earlier("spun unit 3, 20 minutes, no. 4 next", &[("20 minutes", "min", "time")]);
        for (words, earlier, wanted) in [
            ("no, 3.2", &set, "set the left end of unit 2 to 3.2 mm"),
            ("No, 3.2 mm", &set, "set the left end of unit 2 to 3.2 mm"),
            ("sorry, 1/8 in", &set, "set the left end of unit 2 to 1/8 in"),
            ("the other end", &set, "set the right end of unit 2 to 3.4 mm"),
            ("same for unit 4", &set, "set the left end of unit 4 to 3.4 mm"),
            ("same for 4", &set, "set the left end of unit 4 to 3.4 mm"),
            ("no, that was unit 3", &set, "set the left end of unit 3 to 3.4 mm"),
            ("no, that was the right end", &set, "set the right end of unit 2 to 3.4 mm"),
            ("same on unit 5", &ground, "spun unit 5, 20 minutes, no. 4 next"),
            ("no, 25", &ground, "spun unit 3, 25 min, no. 4 next"),
        ] {
            let got = follow_up(words, earlier, true);
            assert_eq!(got, Some(FollowUp::Words(wanted.to_owned())), "{words}");
        }
        // Nothing named a unit before.
        let bare = earlier("ground the reel, 126.4 mm", &[("126.4 mm", "mm", "diameter")]);
        let got = follow_up("same for unit 4", &bare, false);
        assert_eq!(got, Some(FollowUp::Words("ground the reel, 126.4 mm on unit 4".to_owned())));
    }

    #[test]
    fn doubt_is_asked_and_sentences_of_their_own_are_left_alone() {
        let two = earlier("126.4 leading, 126.1 trailing", &[
            ("126.4", "", "leading"),
            ("126.1", "", "trailing"),
        ]);
        let Some(FollowUp::Which(question)) = follow_up("no, 126.2", &two, true) else {
            panic!("it asks")
        };
        assert!(question.contains("126.4 (leading) or 126.1 (trailing)"), "{question}");
        for words in ["no grass is cut at the left end", "what is the clip at 5 km/h", "3.2"] {
            assert_eq!(follow_up(words, &two, false), None, "{words}");
        }
        assert_eq!(follow_up("no, 3.2", &Earlier::default(), true), None);
        assert_eq!(follow_up("the other end", &earlier("grease it", &[]), true), None);
    }
}
