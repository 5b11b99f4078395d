//! What do words mean that lean on what was said before: "no, 3.2", "the other end", "same for unit
//! 4", "no, that was the left unit"? The earlier words with the new part put in; they are then
//! understood like any others, so that nothing is changed but what was said to be.
//! Deliberately absent: "and at 5 km/h?", which the understanding of a calculation settles.

use std::ops::Range;

use super::other_subject::{Named, is_name_word, names_a_subject, subject_put_in};
use super::other_unit::{amount_of_unit, part_put_in, unit_put_in, value_of_unit};
use super::another_day::day_put_in;
use super::nearest::{closest, nearest_in_size};
use super::reworded::{defined, reworded};
use crate::domain::intent::understood::label;
use crate::domain::number_text::read_number;
use crate::domain::units::Unit;

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
    /// In the unit of what it was used for.
    pub value: Option<f64>,
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

/// Words that say that something said before was wrong.
const CUES: &[&str] = &[
    "no", "nope", "nah", "sorry", "oops", "wait", "actually", "correction", "rather", "meant", "mean",
    "make", "change", "should", "mistake", "scratch", "wrong", "hang", "hold", "bugger", "damn",
    "dammit", "blast", "mistaken", "whoops", "hell", "heck", "crap", "ah", "ach", "shoot", "apologies", "actualy",
    "actully", "acually", "acutally", "actaully", "scrub", "scrap", "strike",
];
/// Words that may stand between them and what is right.
const LINKS: &[&str] = &[
    "i", "it", "that", "was", "is", "to", "be", "and", "but", "on", "in", "fact", "my",
    "its", "it's", "thats", "that's", "said", "say", "well", "oh", "have", "been", "were", "them",
    "not", "please", "mate", "hm", "er", "um", "ok", "yes", "yeah", "did", "done",
];
/// What may stand behind what is right: "unit 1 I did".
const TAILS: &[&str] = &[
    " that i did", " i did", " we did", " i meant", " it was", " i think", " he did", " i worked on",
    " not today", " not yesterday", " instead", " i mean", " they did", " she did", " they worked on",
];
/// Those of them that correct by themselves what was said just now.
const BARE: &[&str] = &["it was ", "that was ", "it is ", "that is ", "it's ", "that's ", "thats "];

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
    if let Some(whole) = defined(words, earlier) {
        return Some(FollowUp::Words(whole));
    }
    let is_other = OTHERS.iter().any(|other| {
        lower == *other || lower.strip_prefix("no, ").is_some_and(|rest| rest == *other)
    });
    if is_other {
        return other_end(&earlier.words).map(FollowUp::Words);
    }
    let repeated = REPEATS.iter().find_map(|start| after(&plain, start));
    if let Some(rest) = repeated.filter(|rest| !is_measure(&lower, rest, earlier)) {
        return subject_put_in(&earlier.words, rest, &earlier.about).map(FollowUp::Words);
    }
    if let Some(words) =
        value_of_unit(&plain, earlier).or_else(|| amount_of_unit(&plain, earlier))
    {
        return Some(FollowUp::Words(words));
    }
    if let Some(found) = instead(without_correction(&plain).unwrap_or(&plain), earlier) {
        return Some(found);
    }
    let bare = || BARE.iter().find_map(|start| after(&plain, start));
    if let Some(words) = reworded(&plain, earlier) {
        return Some(FollowUp::Words(words));
    }
    match without_correction(&plain).or_else(bare) {
        Some(rest) => {
            let whole = correction(rest, earlier);
            // "Left was 9.52, he misread the bar": why it was wrong is no part of it.
            let first = || {
                let (first, why) = rest.split_once(", ")?;
                let figures = why.contains(|ch: char| ch.is_ascii_digit());
                (!figures && why.contains(' ')).then(|| correction(first, earlier))?
            };
            whole.or_else(first).or_else(|| part_put_in(rest, earlier).filter(|_| correcting))
        }
        None if correcting => number_put_in(&plain, earlier),
        None => None,
    }
}

/// "0.4", "10 thou", and "and for 4" where no unit was spoken of: a number, and no name.
fn is_measure(words: &str, rest: &str, earlier: &Earlier) -> bool {
    let Ok(typed) = read_number(rest) else { return false };
    let unit = !typed.rest.is_empty() && Unit::named(&typed.rest).is_some();
    let whole = words.starts_with("and for ") && !earlier.about.names_a_unit();
    let of_no_unit = typed.value.fract() != 0.0 || whole;
    let bare = typed.rest.is_empty() && of_no_unit;
    unit || bare
}

/// Whether the words tell of the next thing as the one before was, rather than correct it.
pub fn repeats(words: &str) -> bool {
    let plain = words.trim().trim_end_matches(['.', '!', '?']).to_lowercase();
    let measure = |rest: &str| read_number(rest).is_ok_and(|one| one.value.fract() != 0.0);
    let repeats = |start: &&str| plain.strip_prefix(start).is_some_and(|rest| !measure(rest));
    OTHERS.contains(&plain.as_str()) || REPEATS.iter().any(repeats)
}

/// What stands behind "no, ", "no wait it was" and the like; behind it a last "actually" or "sorry"
/// is left out, and says as much.
pub fn without_correction(words: &str) -> Option<&str> {
    let bare = |word: &str| word.trim_matches([',', '.', ':', ';', '!', '-']).to_lowercase();
    let mut rest = words.trim().trim_end_matches(['.', '!']);
    let mut cue = false;
    if let Some((before, last)) = rest.rsplit_once(' ')
        && (matches!(bare(last).as_str(), "sorry" | "rather") || bare(last).starts_with("act"))
        && CUES.contains(&bare(last).as_str())
    {
        (rest, cue) = (before.trim_end_matches(','), true);
    }
    loop {
        let (first, behind) = rest.split_once(' ').unwrap_or((rest, ""));
        let word = bare(first);
        let is_cue = CUES.contains(&word.as_str());
        if behind.is_empty() || !(is_cue || LINKS.contains(&word.as_str())) {
            break;
        }
        cue |= is_cue;
        rest = behind.trim_start();
    }
    let tail = TAILS.iter().find_map(|tail| {
        let at = rest.len().checked_sub(tail.len())?;
        rest.get(at..)?.eq_ignore_ascii_case(tail).then(|| rest[..at].trim_end_matches(','))
    });
    let rest = tail.unwrap_or(rest);
    (cue && !rest.is_empty()).then_some(rest)
}

/// What stands after a beginning, letters of either case.
pub(super) fn after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let head = text.get(..start.len())?;
    head.eq_ignore_ascii_case(start).then(|| text[start.len()..].trim())
}

fn correction(rest: &str, earlier: &Earlier) -> Option<FollowUp> {
    if let Some(words) = day_put_in(rest, &earlier.words) {
        return Some(FollowUp::Words(words));
    }
    if let Some(words) = unit_put_in(rest, earlier) {
        return Some(FollowUp::Words(words));
    }
    // "Unit 5", of the five-gang, is no other number of units.
    if names_a_subject(rest) {
        return subject_put_in(&earlier.words, rest, &earlier.about).map(FollowUp::Words);
    }
    if let Some(found) = number_put_in(rest, earlier) {
        return Some(found);
    }
    let short = rest.split_whitespace().count() <= SIDE_WORDS_MAX;
    let figures = rest.contains(|ch: char| ch.is_ascii_digit());
    let side = side_put_in(rest, &earlier.words).filter(|_| short && !figures);
    side.map(FollowUp::Words)
}

/// Words with others in the place of some of them; a comma behind those stays.
pub(super) fn words_put_in(parts: &[&str], place: Range<usize>, new: &str) -> String {
    let sign = if parts[place.end - 1].ends_with(',') { "," } else { "" };
    let put = format!("{new}{sign}");
    [&parts[..place.start], &[put.as_str()], &parts[place.end..]].concat().join(" ")
}

/// More words than these name more than a side.
const SIDE_WORDS_MAX: usize = 5;

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

/// A number as it corrects another: what is typed, and what is said of it.
struct Correction<'a> {
    /// The number, with its unit when that was said.
    text: String,
    value: f64,
    unit: String,
    side: Option<&'a str>,
    /// Other words, which may say what the number is.
    of: Vec<&'a str>,
}

/// Words around a number that say nothing of it.
const AROUND: &[&str] = &[
    "on", "at", "the", "of", "end", "side", "was", "for", "is", "it", "its", "it's", "one", "instead",
    "please", "that", "should", "be", "were", "hand", "reads", "read", "a", "an", "now", "only",
];

fn read_correction(text: &str) -> Option<Correction<'_>> {
    let words: Vec<&str> =
        text.split_whitespace().map(|word| word.trim_matches([',', ';', ':'])).collect();
    let figures = |word: &&str| {
        word.trim_start_matches(['+', '-', '.']).starts_with(|ch: char| ch.is_ascii_digit())
    };
    let at = words.iter().position(figures).or_else(|| {
        words.iter().position(|word| read_number(word).is_ok())
    })?;
    // The longest that is a number and its unit, "1 1/8 in".
    let (count, typed) = (1..=3).rev().find_map(|count| {
        let typed = read_number(&words.get(at..at + count)?.join(" ")).ok()?;
        let is_unit = typed.rest.is_empty() || Unit::named(&typed.rest).is_some();
        is_unit.then_some((count, typed))
    })?;
    let others: Vec<&str> = [&words[..at], &words[at + count..]].concat();
    if others.iter().any(figures) {
        return None;
    }
    let is_side = |word: &&&str| PAIRS.iter().any(|(one, other)| *word == one || *word == other);
    let side = others.iter().find(is_side).copied();
    let of = others.iter().filter(|word| !AROUND.contains(word) && Some(**word) != side).copied();
    Some(Correction {
        text: words[at..at + count].join(" "),
        value: typed.value,
        unit: typed.rest,
        side,
        of: of.collect(),
    })
}

/// A number in the place of the one that it corrects.
fn number_put_in(text: &str, earlier: &Earlier) -> Option<FollowUp> {
    let mut typed = read_correction(text)?;
    let says = |number: &HeardNumber, word: &&str| {
        number.meant.split_whitespace().any(|part| part.eq_ignore_ascii_case(word))
    };
    // "4 clicks": a number that nothing was made of, with the word behind it.
    if let [of] = typed.of[..]
        && let Some(words) = counted_put_in(of, &typed, &earlier.words)
    {
        return Some(FollowUp::Words(words));
    }
    let all = all_numbers(earlier);
    // "It took 20": the time it took.
    let took = typed.of.iter().any(|word| word.eq_ignore_ascii_case("took"));
    if took {
        typed.of.retain(|word| !matches!(word.to_lowercase().as_str(), "took" | "me" | "us" | "him" | "about"));
        let time = |number: &&HeardNumber| number.meant.starts_with("duration") || number.meant.ends_with(" min");
        let mut times = all.iter().filter(time);
        if let (Some(only), None) = (times.next(), times.next()) {
            return if typed.of.is_empty() { put_in(earlier, only, &typed) } else { None };
        }
    }
    // More words than say which number are a sentence of their own.
    let known = |word: &&str| all.iter().any(|number| says(number, word));
    if !typed.of.iter().all(|word| known(&word)) {
        return None;
    }
    let of_it = |number: &&HeardNumber| typed.of.iter().all(|word| says(number, word));
    let told: Vec<&HeardNumber> = all.iter().filter(of_it).collect();
    let same_unit = |number: &&&HeardNumber| {
        typed.unit.is_empty()
            || unit_of(number).is_some_and(|unit| unit_alike(unit, &typed.unit))
    };
    let mut fit: Vec<&HeardNumber> = told.iter().filter(same_unit).copied().collect();
    if fit.is_empty() {
        fit = told.into_iter().filter(|number| unit_of(number).is_none()).collect();
    }
    if let Some(side) = typed.side {
        let of = |number: &HeardNumber| side_of(&earlier.words, number);
        let there: Vec<&HeardNumber> =
            fit.iter().copied().filter(|number| of(number) == Some(side)).collect();
        let none_has = fit.iter().all(|number| of(number).is_none());
        match there.is_empty() {
            false => fit = there,
            true if none_has => {}
            // Said of the other end only: the sentence would have to say more.
            true => return which(text, &fit),
        }
    }
    if fit.len() > 1 {
        fit = nearest_in_size(fit, typed.value);
    }
    // "At 12": where it stands now.
    let says_where = text.split_whitespace().any(|word| matches!(word, "at" | "to" | "now" | "At" | "To"));
    if fit.len() > 1 && says_where && !text.to_lowercase().contains("was") {
        let now = |number: &&HeardNumber| !number.meant.contains("before");
        let of_now: Vec<&HeardNumber> = fit.iter().copied().filter(now).collect();
        fit = if of_now.is_empty() { fit } else { of_now };
    }
    // A slip is in what was measured now, where both are as near.
    if fit.len() > 1 {
        fit = closest(fit, typed.value);
    }
    match fit[..] {
        [] => None,
        [only] => put_in(earlier, only, &typed),
        _ => which(text, &fit),
    }
}

/// The numbers that were heard, and those of the words that nothing was made of: either may be the
/// one that was wrong.
pub(super) fn all_numbers(earlier: &Earlier) -> Vec<HeardNumber> {
    let mut all = earlier.numbers.clone();
    let mut at = 0;
    let mut before = "";
    for part in earlier.words.split_inclusive(char::is_whitespace) {
        let word = part.trim_end();
        let bare = word.trim_end_matches([',', ';', ':', '.']);
        let (start, end) = (at, at + bare.len());
        at += part.len();
        let names = is_name_word(before);
        before = bare;
        let taken = earlier.numbers.iter().any(|heard| heard.start < end && start < heard.end);
        let figures = bare.starts_with(|ch: char| ch.is_ascii_digit() || ch == '.');
        let Some(typed) = read_number(bare).ok().filter(|_| figures && !names && !taken) else {
            continue;
        };
        let next = earlier.words.get(at..).and_then(|rest| rest.split_whitespace().next());
        let next = next.map(|next| next.trim_end_matches([',', ';', ':', '.']));
        let of_next = next.filter(|next| typed.rest.is_empty() && Unit::named(next).is_some());
        // With its unit in the word behind it.
        let (unit, end) = match of_next {
            Some(next) => (next.to_owned(), at + next.len()),
            None => (typed.rest, end),
        };
        if let Some(text) = earlier.words.get(start..end) {
            let (text, meant) = (text.to_owned(), "not used".to_owned());
            all.push(HeardNumber { text, unit, start, end, meant, value: None });
        }
    }
    all
}

/// The unit of a number: the one said, else the one that what it was used for is told in.
fn unit_of(number: &HeardNumber) -> Option<&str> {
    if !number.unit.is_empty() {
        return Some(&number.unit);
    }
    let unit = Unit::of_field(&number.meant.replace(' ', "_"));
    (unit.symbol != "number").then_some(unit.symbol)
}

/// The earlier words with another number before the one place where `of` is counted.
fn counted_put_in(of: &str, typed: &Correction<'_>, words: &str) -> Option<String> {
    let mut parts: Vec<&str> = words.split_whitespace().collect();
    let bare = |word: &str| word.trim_matches([',', '.', ';']).to_lowercase();
    // "1 click", and then "2 clicks".
    let one = |word: &str| {
        word.strip_suffix('s').filter(|one| one.len() > 2).unwrap_or(word).to_owned()
    };
    let of = one(&of.to_lowercase());
    let counts = |pair: &[&str]| read_number(pair[0]).is_ok() && one(&bare(pair[1])) == of;
    let mut places = (0..parts.len().saturating_sub(1)).filter(|at| counts(&parts[*at..at + 2]));
    let (Some(at), None) = (places.next(), places.next()) else { return None };
    parts[at] = &typed.text;
    Some(parts.join(" "))
}

/// What a number was used for, without its unit.
fn told(meant: &str) -> String {
    label(&meant.replace(' ', "_"))
}

fn which(text: &str, fit: &[&HeardNumber]) -> Option<FollowUp> {
    let named: Vec<String> =
        fit.iter().map(|number| format!("{} ({})", number.text, told(&number.meant))).collect();
    (!named.is_empty()).then(|| {
        FollowUp::Which(format!(
            "Which number is to be {text}: {}? Say the whole sentence again, please.",
            named.join(" or ")
        ))
    })
}

fn put_in(earlier: &Earlier, number: &HeardNumber, typed: &Correction<'_>) -> Option<FollowUp> {
    let (before, behind) = (earlier.words.get(..number.start)?, earlier.words.get(number.end..)?);
    let text = &typed.text;
    let unit = if typed.unit.is_empty() && !number.unit.is_empty() {
        format!(" {}", number.unit)
    } else {
        String::new()
    };
    Some(FollowUp::Words(format!("{before}{text}{unit}{behind}")))
}

/// The side that a number of the words is said of: before it where sides stand before their
/// numbers, else behind it.
pub(super) fn side_of(words: &str, number: &HeardNumber) -> Option<&'static str> {
    let lower = words.to_lowercase();
    let side = |word: &str| {
        let word = word.trim_matches([',', ';', '.', ':', '(', ')']);
        let all = PAIRS.iter().flat_map(|(one, other)| [*one, *other]);
        all.into_iter().find(|side| *side == word)
    };
    let figures = |word: &&str| word.contains(|ch: char| ch.is_ascii_digit());
    let first_number = lower.split_whitespace().position(|word| word.starts_with(|ch: char| {
        ch.is_ascii_digit()
    }) && word.contains('.'));
    let first_side = lower.split_whitespace().position(|word| side(word).is_some());
    let behind_them = first_number.zip(first_side).is_some_and(|(number, side)| number < side);
    let (before, behind) = (lower.get(..number.start)?, lower.get(number.end..)?);
    if behind_them {
        let near = behind.split_whitespace().take(3).take_while(|word| !figures(word));
        return near.filter_map(side).next();
    }
    let near = before.split_whitespace().rev().take(3).take_while(|word| !figures(word));
    near.filter_map(side).next()
}

/// "2 clicks, not 3": the number that was wrong is named.
fn instead(rest: &str, earlier: &Earlier) -> Option<FollowUp> {
    let (right, wrong) = rest
        .split_once(", not ")
        .or_else(|| rest.split_once(" not "))
        .or_else(|| {
            let (wrong, right) = after(rest, "not ")?.split_once(", ")?;
            Some((right, wrong))
        })?;
    let bare = without_unit(right);
    let (right, wrong) = (read_correction(&bare)?, read_correction(wrong)?);
    let same = |number: &&HeardNumber| {
        read_number(&number.text).is_ok_and(|typed| (typed.value - wrong.value).abs() < 1e-9)
    };
    let heard: Vec<&HeardNumber> = earlier.numbers.iter().filter(same).collect();
    if let [only] = heard[..] {
        return put_in(earlier, only, &right);
    }
    // A number that nothing was made of stands in the words all the same.
    let figure = wrong.text.split_whitespace().next()?;
    let new = right.text.split_whitespace().next()?;
    let mut words: Vec<&str> = earlier.words.split_whitespace().collect();
    if words.iter().filter(|word| **word == figure).count() != 1 {
        return None;
    }
    let at = words.iter().position(|word| *word == figure)?;
    words[at] = new;
    Some(FollowUp::Words(words.join(" ")))
}

/// "Unit 1 3.45 right end": without the number of the unit, where another number stands behind it.
fn without_unit(right: &str) -> String {
    let words: Vec<&str> = right.split_whitespace().collect();
    let figure = |word: &&&str| word.starts_with(|ch: char| ch.is_ascii_digit());
    let names = |at: usize| is_name_word(words[at])
        && words.get(at + 1).is_some_and(|next| figure(&next));
    match (0..words.len()).find(|at| names(*at)) {
        Some(at) if words.iter().filter(figure).count() > 1 => {
            [&words[..at], &words[at + 2..]].concat().join(" ")
        }
        _ => right.to_owned(),
    }
}

fn unit_alike(one: &str, other: &str) -> bool {
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
                value: None,
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
        for (words, wanted) in [
            ("no wait it was unit 3", "set the left end of unit 3 to 3.4 mm"),
            ("sorry that was unit 3", "set the left end of unit 3 to 3.4 mm"),
            ("make it 3.2 actually", "set the left end of unit 2 to 3.2 mm"),
            ("3.2 not 3.4", "set the left end of unit 2 to 3.2 mm"),
            ("no hang on, the right end", "set the right end of unit 2 to 3.4 mm"),
        ] {
            let got = follow_up(words, &set, true);
            assert_eq!(got, Some(FollowUp::Words(wanted.to_owned())), "{words}");
        }
        // Nothing named a unit before.
        let bare = earlier("ground the reel, 126.4 mm", &[("126.4 mm", "mm", "diameter")]);
        let got = follow_up("same for unit 4", &bare, false);
        assert_eq!(got, Some(FollowUp::Words("ground the reel, 126.4 mm on unit 4".to_owned())));
    }

    #[test]
    fn the_number_that_is_meant_is_changed_and_no_other() {
        let heights = earlier("bench heights unit 2, left 3.48 right 3.56", &[
            ("3.48", "", "height"),
            ("3.56", "", "height"),
        ]);
        let behind = earlier("bench heights unit 2, 3.48 left, 3.56 right", &[
            ("3.48", "", "height"),
            ("3.56", "", "height"),
        ]);
        let lapped = earlier("lapped walker 1, 10 mins 120 grit", &[
            ("10 mins", "min", "duration"),
            ("120", "", "grit"),
        ]);
        let unused = earlier("spun reel 3, 174.8 mm to 174.4, 70 mins", &[
            ("174.8 mm", "mm", "diameter before mm"),
        ]);
        for (words, earlier, wanted) in [
            ("no, 3.46 on the right", &heights, "bench heights unit 2, left 3.48 right 3.46"),
            ("sorry, left was 3.46", &heights, "bench heights unit 2, left 3.46 right 3.56"),
            ("no, 3.46 on the right", &behind, "bench heights unit 2, 3.48 left, 3.46 right"),
            ("make that 12 mins", &lapped, "lapped walker 1, 12 mins 120 grit"),
            ("no, 15", &lapped, "lapped walker 1, 15 min 120 grit"),
            ("no wait 12 mins", &unused, "spun reel 3, 174.8 mm to 174.4, 12 mins"),
            ("no, grit was 80", &lapped, "lapped walker 1, 10 mins 80 grit"),
            ("no hang on, 100 not 120", &lapped, "lapped walker 1, 10 mins 100 grit"),
        ] {
            let got = follow_up(words, earlier, true);
            assert_eq!(got, Some(FollowUp::Words(wanted.to_owned())), "{words}");
        }
        let clicks = earlier("right end up 3 clicks", &[]);
        let got = follow_up("no hang on, 2 clicks not 3", &clicks, true);
        assert_eq!(got, Some(FollowUp::Words("right end up 2 clicks".to_owned())));
        let got = follow_up("actually 4 clicks", &clicks, false);
        assert_eq!(got, Some(FollowUp::Words("right end up 4 clicks".to_owned())));
        let between = follow_up("no 174.5", &unused, true);
        assert!(matches!(between, Some(FollowUp::Which(_))), "{between:?}");
        let between = follow_up("no, 3.5", &heights, true);
        assert!(matches!(between, Some(FollowUp::Which(_))), "{between:?}");
        for words in ["no wait", "it was 40 years ago that he left", "no, it still squeals"] {
            assert_eq!(follow_up(words, &lapped, false), None, "{words}");
        }
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
