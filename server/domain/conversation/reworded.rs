//! What do earlier words come to where other words take the place of some of them: "the clutch belt,
//! not the blade belt", "it was Thursday, and it was Ben rather than Alan"?
//! Deliberately absent: numbers, days and units by themselves (`follow_up`).

use super::another_day::day_put_in;
use super::follow_up::{Earlier, without_correction, words_put_in};
use crate::domain::intent::deeds::DEEDS;
use crate::domain::number_text::read_number;
use crate::domain::units::Unit;
use crate::domain::wording::bare_word;

/// What stands between what is right and what was wrong.
const BETWEEN: &[&str] = &[" rather than ", " instead of ", ", not ", " and not ", " not "];
/// Before what is right.
const BEFORE: &[&str] = &[
    "oh ", "and ", "it was ", "that was ", "it's ", "its ", "that's ", "i meant ", "i mean ", "meant ", "the ", "a ", "on ", "was ",
    "is ", "by ",
];
/// More words name more than a thing or a person.
const WORDS_MAX: usize = 4;

/// The earlier words, put right clause by clause; every clause has to put something right.
pub(super) fn reworded(words: &str, earlier: &Earlier) -> Option<String> {
    if words.ends_with('?') || !words.contains(' ') {
        return None;
    }
    let text = without_correction(words).unwrap_or(words);
    let clauses: Vec<&str> =
        text.split(", and ").flat_map(|part| part.split(" and it was ")).collect();
    let mut whole = earlier.words.clone();
    if clauses.len() < 2 {
        return put_in(text, &whole);
    }
    for clause in clauses {
        let clause = stripped(clause);
        whole = day_put_in(clause, &whole).or_else(|| put_in(clause, &whole))?;
    }
    Some(whole)
}

/// "Cm is the course manager, 3.5mm down to 2.8mm": what a word of the earlier ones stands for, and
/// the unit of their numbers.
pub(super) fn defined(words: &str, earlier: &Earlier) -> Option<String> {
    const POINTS: &[&str] =
        &["it", "this", "that", "he", "she", "they", "what", "which", "there", "who", "where", "how", "one", "when"];
    let text = words.trim().trim_end_matches(['.', '!']);
    let text = without_correction(text).unwrap_or(text);
    let (first, rest) = text.split_once([',', ';']).unwrap_or((text, ""));
    let said: Vec<&str> = first.split_whitespace().collect();
    let [short, is, article, meant @ ..] = &said[..] else { return None };
    let names = matches!(plain(is).as_str(), "is" | "means" | "was")
        && matches!(plain(article).as_str(), "the" | "our" | "a" | "an");
    let letters = meant.iter().all(|word| word.chars().all(char::is_alphabetic));
    if !names || !letters || meant.is_empty() || meant.len() > WORDS_MAX
        || POINTS.contains(&plain(short).as_str()) || words.trim_end().ends_with('?')
    {
        return None;
    }
    let mut parts: Vec<String> = earlier.words.split_whitespace().map(str::to_owned).collect();
    let at = parts.iter().position(|part| plain(part) == plain(short))?;
    // "Cm": its letters begin the words; "the deck is the wrong way up" tells more of the deck.
    let initials: String = meant.iter().filter_map(|word| word.chars().next()).collect();
    if meant.len() < 2 || initials.to_lowercase() != plain(short) {
        return None;
    }
    parts[at] = format!("{article} {}", meant.join(" "));
    let bare = |word: &str| word.trim_matches([',', ';']).trim_end_matches('.').to_owned();
    let unit_of = |word: &str| -> Option<(f64, String)> {
        let read = read_number(&bare(word)).ok().filter(|read| Unit::named(&read.rest).is_some())?;
        Some((read.value, read.rest))
    };
    for (value, unit) in rest.split_whitespace().filter_map(unit_of) {
        let same = |part: &&mut String| {
            bare(part).parse::<f64>().is_ok_and(|one| (one - value).abs() < 1e-9)
        };
        let part = parts.iter_mut().find(same)?;
        *part = format!("{}{unit}", bare(part));
    }
    Some(parts.join(" "))
}

/// Without the words before a name.
fn stripped(text: &str) -> &str {
    let mut rest = text.trim().trim_end_matches(['.', '!']);
    while let Some(shorter) = BEFORE.iter().find_map(|start| {
        let head = rest.get(..start.len())?;
        head.eq_ignore_ascii_case(start).then(|| rest[start.len()..].trim_start())
    }) {
        rest = shorter;
    }
    rest
}

fn plain(word: &str) -> String {
    bare_word(word).to_lowercase()
}

/// "Ben rather than Alan": the right words where the wrong ones stand, once.
fn put_in(text: &str, words: &str) -> Option<String> {
    let (right, wrong) = BETWEEN.iter().find_map(|between| text.split_once(between))?;
    // "Nah forget it, that was the triplex not the verticut".
    let told = ["it was ", "that was ", "that were ", "i meant "];
    let lower = right.to_lowercase();
    let found: Vec<usize> = told
        .iter()
        .flat_map(|start| lower.match_indices(start).map(|(at, start)| at + start.len()))
        .collect();
    // More than one of them puts more than one thing right.
    let right = if let [only] = found[..] { right.get(only..).unwrap_or(right) } else { right };
    let (right, wrong) = (stripped(right), stripped(wrong));
    let (new, old): (Vec<&str>, Vec<&str>) =
        (right.split_whitespace().collect(), wrong.split_whitespace().collect());
    let figures = |text: &str| text.contains(|ch: char| ch.is_ascii_digit());
    let named = |all: &[&str]| !all.is_empty() && all.len() <= WORDS_MAX;
    if !named(&new) || !named(&old) || (figures(right) != figures(wrong)) || is_number(right) {
        return None;
    }
    // "The blades were sharpened, not changed": what else was changed stays so.
    if let [deed] = old[..]
        && DEEDS.contains(&plain(deed).as_str()) && new.len() > 1
    {
        let last = new.last().is_some_and(|word| DEEDS.contains(&plain(word).as_str()));
        return last.then(|| format!("{words}; {text}"));
    }
    let parts: Vec<&str> = words.split_whitespace().collect();
    let stands = |sought: &[&str]| -> Option<usize> {
        let is = |at: &usize| {
            sought.iter().enumerate().all(|(nth, word)| plain(parts[at + nth]) == plain(word))
        };
        let last = (parts.len() + 1).checked_sub(sought.len())?;
        let mut found = (0..last).filter(is);
        let first = found.next()?;
        found.next().is_none().then_some(first)
    };
    // "The clutch belt not the blade belt", of "a new belt".
    let head = &old[old.len() - 1..];
    let shared = new.len() > 1 && plain(new[new.len() - 1]) == plain(head[0]);
    let (at, count) = match stands(&old) {
        Some(at) => (at, old.len()),
        None => (stands(head).filter(|_| shared)?, 1),
    };
    Some(words_put_in(&parts, at..at + count, &new.join(" ")))
}

fn is_number(text: &str) -> bool {
    text.split_whitespace().next().is_some_and(|word| word.parse::<f64>().is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_words_take_the_place_of_those_that_were_wrong() {
        let earlier = |words: &str| Earlier { words: words.to_owned(), ..Earlier::default() };
        for (before, words, wanted) in [
            ("fitted a new belt, 30 min", "i meant the fan belt not blade belt", Some("fitted a new fan belt, 30 min")),
            (
                "Mo changed the seal on Friday",
                "Sorry, it was Thursday, and it was Pat rather than Mo.",
                Some("Pat changed the seal Thursday"),
            ),
            ("changed the bedknife on walker 1", "the roller, not the bedknife", Some("changed the roller on walker 1")),
            ("put 28 hours on the verticut", "nah forget it, that was the triplex not the verticut",
                Some("put 28 hours on the triplex")),
            ("set to 3.2", "3.5 not 3.2", None),
            ("belt and blades changed, 35 min", "no blades were sharpened not changed",
                Some("belt and blades changed, 35 min; blades were sharpened not changed")),
            ("changed the bedknife", "no, it is not sharp", None),
        ] {
            assert_eq!(reworded(words, &earlier(before)).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn a_word_is_said_whole() {
        let earlier = |words: &str| Earlier { words: words.to_owned(), ..Earlier::default() };
        let wants = "cm wants 2.8 from 3.5 in 2 weeks";
        for (before, words, wanted) in [
            (wants, "cm is the course manager, 3.5mm down to 2.8mm",
                Some("the course manager wants 2.8mm from 3.5mm in 2 weeks")),
            (wants, "sorry, cm is the course manager", Some("the course manager wants 2.8 from 3.5 in 2 weeks")),
            (wants, "cm is the course manager, 4.5mm", None),
            (wants, "it is the course manager", None),
            ("the deck leaves clumps", "deck is the wrong way up", None),
        ] {
            assert_eq!(defined(words, &earlier(before)).as_deref(), wanted, "{words}");
        }
    }
}
