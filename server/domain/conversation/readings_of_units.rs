//! Which unit does each reading belong to that was told of several: "174.4 is unit 1, 174.5 2, 174.6
//! 4 and 5", "80 grit on unit 3, not 120"? The words of the record with each told of its own unit.
//! Deliberately absent: one reading put right (`other_unit`), and to which record it goes.

use super::Conversation;
use super::follow_up::{Earlier, words_put_in};
use crate::domain::intent::grinding::WIDE_MM;
use crate::domain::number_text::read_number;
use crate::domain::units::{Kind, Unit};
use crate::domain::wording::{bare_number, bare_word};

/// No machine has more units (common practice, no source).
const UNITS_MAX: u32 = 12;
/// Words between readings and units that tell nothing.
const LINKS: &[&str] = &[
    "is", "was", "are", "were", "unit", "units", "number", "no", "and", "&", "on", "for", "of", "the", "reel", "reels", "both",
    "=", "reads", "read", "at", "it", "its", "sorry", "so", "then", "order", "that", "thats", "oh", "mm", "with", "went",
];
/// What says that more than one unit was told of.
const SEVERAL: &[&str] = &["all", "both", "each", "every", "units", "reels", "and", "&", "lot"];
/// What one unit may have apart from the others, by the word behind its number.
const APART: &[&str] = &["grit"];

impl<C: Clone> Conversation<C> {
    /// The words of what was stored just now, with each reading told of its own unit.
    pub(super) fn readings_of_the_stored(&self, words: &str) -> Option<String> {
        let free = self.proposal().is_none() && !words.trim_end().ends_with('?');
        let latest = self.stored_last().filter(|stored| stored.is_latest() && free)?;
        let whole = put_in(words, latest.earlier())?;
        // Each record that was stored has its reading, and no unit is another one.
        let told = readings(words);
        let single = told.is_none();
        let ids: Vec<u32> = told.map_or_else(
            || one_unit(words).into_iter().collect(),
            |told| told.into_iter().map(|(unit, _)| unit).collect(),
        );
        let stored = latest.units();
        (ids.iter().all(|unit| stored.contains(unit)) && (single || ids.len() == stored.len()))
            .then_some(whole)
    }
}

fn plain(word: &str) -> String {
    bare_number(word).to_lowercase()
}

/// A reading: a decimal, or a length with its unit.
fn is_reading(word: &str) -> bool {
    let Ok(read) = read_number(word) else { return false };
    let length = Unit::named(&read.rest).is_some_and(|unit| unit.kind == Kind::Length);
    (word.contains('.') && read.rest.is_empty()) || length
}

fn unit_number(word: &str) -> Option<u32> {
    word.parse().ok().filter(|number| (1..=UNITS_MAX).contains(number))
}

/// The earlier words with these readings, or this value of one unit, in their place.
pub(super) fn put_in(words: &str, earlier: &Earlier) -> Option<String> {
    each_of(words, earlier).or_else(|| one_of(words, earlier))
}

/// Readings by unit, where the words tell nothing else.
fn readings(words: &str) -> Option<Vec<(u32, String)>> {
    let mut out: Vec<(u32, String)> = Vec::new();
    let (mut waiting, mut last): (Vec<u32>, Option<String>) = (Vec::new(), None);
    let mut first_is_unit = None;
    for word in words.split([' ', ',']).map(plain).filter(|word| !word.is_empty()) {
        if is_reading(&word) {
            first_is_unit.get_or_insert(false);
            if first_is_unit == Some(true) {
                out.extend(waiting.drain(..).map(|unit| (unit, word.clone())));
            }
            last = Some(word);
        } else if let Some(unit) = unit_number(&word) {
            match first_is_unit.get_or_insert(true) {
                true => waiting.push(unit),
                false => out.push((unit, last.clone()?)),
            }
        } else if !LINKS.contains(&word.as_str()) {
            return None;
        }
    }
    out.sort_by_key(|(unit, _)| *unit);
    let once = out.windows(2).all(|pair| pair[0].0 != pair[1].0);
    (waiting.is_empty() && once && out.len() > 1).then_some(out)
}

/// In the place of a row of as many readings, else behind what was told without any.
fn each_of(words: &str, earlier: &Earlier) -> Option<String> {
    let told = readings(words)?;
    // Of another kind of work, or of something else that is read, nothing is known here.
    let figure = |word: &str| read_number(&plain(word)).map_or(f64::NAN, |read| read.value);
    let size = |value: &str| value.ends_with("mm") || value.chars().all(|ch| !ch.is_alphabetic());
    let wide = told.iter().all(|(_, value)| size(value) && WIDE_MM.contains(&figure(value)));
    let other = counted(&earlier.words).is_some_and(|count| count != told.len());
    if !wide || !grinds(&earlier.words) || other {
        return None;
    }
    let each: Vec<String> = told.iter().map(|(unit, value)| format!("unit {unit} {value}")).collect();
    let each = each.join(", ");
    let parts: Vec<&str> = earlier.words.split_whitespace().collect();
    let reads = |at: &usize| is_reading(&plain(parts[*at]));
    let all: Vec<usize> = (0..parts.len()).filter(reads).collect();
    let (Some(first), Some(last)) = (all.first(), all.last()) else {
        return Some(format!("{}, {each}", earlier.words.trim_end_matches(['.', ',', ' '])));
    };
    let between = |at: &usize| reads(at) || LINKS.contains(&plain(parts[*at]).as_str());
    let row = (*first..=*last).all(|at| between(&at)) && all.len() == told.len();
    row.then(|| words_put_in(&parts, *first..last + 1, &each))
}

/// Whether words tell of reels ground, and of nothing new on them.
fn grinds(words: &str) -> bool {
    const GROUND: &[&str] = &["ground", "grind", "grinding", "reground", "spun", "spin"];
    const OTHER: &[&str] = &["new", "bedknife", "bedknives", "knife", "knives", "blade", "blades", "lapped", "backlapped"];
    let said = |list: &[&str]| words.split_whitespace().any(|word| {
        list.contains(&bare_word(word).to_lowercase().as_str())
    });
    said(GROUND) && !said(OTHER)
}

/// The five of "ground all five".
fn counted(words: &str) -> Option<usize> {
    const COUNTS: &[&str] = &["two", "three", "four", "five", "six", "seven", "eight", "nine"];
    let said: Vec<String> = words.split_whitespace().map(plain).collect();
    let behind = said.iter().position(|word| word == "all")? + 1;
    let word = said.get(behind)?;
    let count = COUNTS.iter().position(|count| count == word).map(|at| at + 2);
    count.or_else(|| word.parse().ok())
}

/// The unit of "80 grit on unit 3, not 120".
fn one_unit(words: &str) -> Option<u32> {
    let said: Vec<String> = words.split_whitespace().map(plain).collect();
    let unit = said.iter().position(|word| word == "unit" || word == "on")?;
    said[unit + 1..].iter().find_map(|word| unit_number(word))
}

/// "80 grit on unit 3, not 120": what one unit has apart from the others.
fn one_of(words: &str, earlier: &Earlier) -> Option<String> {
    let said: Vec<String> = words.split_whitespace().map(plain).collect();
    // What it was not stands in the words before.
    let end = said.iter().position(|word| word == "not").unwrap_or(said.len());
    let tells = |word: &&String| !LINKS.contains(&word.as_str());
    let own: Vec<&String> = said[..end].iter().filter(tells).collect();
    let (value, what, unit) = match own[..] {
        [value, what, unit] if APART.contains(&what.as_str()) => (value, what, unit),
        [unit, value, what] if APART.contains(&what.as_str()) => (value, what, unit),
        _ => return None,
    };
    let (unit, number) = (unit_number(unit)?, value.parse::<u32>().ok()?);
    let before = earlier.words.split_whitespace().map(|word| bare_word(word).to_lowercase());
    let before: Vec<String> = before.collect();
    let known = before.iter().any(|word| word == what);
    let several = before.iter().any(|word| SEVERAL.contains(&word.as_str()));
    let earlier = earlier.words.trim_end_matches(['.', ',', ' ']);
    (known && several).then(|| format!("{earlier}, {number} {what} on unit {unit}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_reading_goes_to_its_unit() {
        let ground = "ground all five today, 174.4 174.5 174.3 174.6 174.7, took 4 hrs";
        let bare = "ground all five on the fairway five";
        let two = "ground units 1 and 2 on the fairway five";
        let lapped = "lapped all three, 10 min each with 120 grit";
        for (before, words, wanted) in [
            (ground, "174.4 is unit 1, 174.5 2, 174.3 3, 174.6 4 and 5", Some(
                "ground all five today, unit 1 174.4, unit 2 174.5, unit 3 174.3, unit 4 174.6, unit 5 174.6, took 4 hrs")),
            (ground, "1 is 174.1, 2 is 174.2", None),
            (bare, "unit 2 was 174.2, unit 1 174.1", None),
            (two, "unit 2 was 174.2, unit 1 174.1", Some(
                "ground units 1 and 2 on the fairway five, unit 1 174.1, unit 2 174.2")),
            (two, "174.2mm on 1 and 2", Some("ground units 1 and 2 on the fairway five, unit 1 174.2mm, unit 2 174.2mm")),
            (bare, "unit 2 was 174.2", None),
            (bare, "unit 2 streaks and 3 was 174.2", None),
            (lapped, "Oh and it was 80 grit on unit 3, not 120.", Some(
                "lapped all three, 10 min each with 120 grit, 80 grit on unit 3")),
            (lapped, "unit 3 was 80 grit not 120", Some("lapped all three, 10 min each with 120 grit, 80 grit on unit 3")),
            (ground, "174.4 is unit 1, 174.5 2, 174.6 4 and 5", None),
            ("lapped units 1 and 2 on the triplex", "3.5 on 1 and 3.52 on 2", None),
            (bare, "1 was 0.2 and 2 was 0.3", None),
            ("triplex did 2010 hours", "unit 1 3.5, unit 2 3.52, unit 3 3.5", None),
            ("new bedknife on unit 2", "unit 1 12.1, unit 2 12.2", None),
            ("lapped unit 3 with 120 grit", "it was 80 grit on unit 3", None),
            (bare, "80 grit on unit 3", None),
        ] {
            let earlier = Earlier { words: before.to_owned(), ..Earlier::default() };
            assert_eq!(put_in(words, &earlier).as_deref(), wanted, "{words}");
        }
    }
}
