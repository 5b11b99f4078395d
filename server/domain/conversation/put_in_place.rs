//! Where does a correction or an addition fit that names its place: who did it, how long it took,
//! the value of a place ("the right front was 3.52"), what a number is ("no, that is the
//! diameter")? The earlier words with it put in, and nothing else changed.
//! Deliberately absent: days, units and bare numbers (`follow_up`), units in and out
//! (`units_meant`).

use super::another_day::day_put_in;
use super::follow_up::{
    Earlier, HeardNumber, PAIRS, all_numbers, without_correction, words_put_in,
};
use super::readings_of_units;
use crate::domain::intent::dialect;
use crate::domain::intent::doers::people_in;
use crate::domain::language::text::{Kind, Token, tokens};
use crate::domain::number_text::read_number;
use crate::domain::said::numbers::quantities;
use crate::domain::units::plain;
use crate::domain::wording::bare_word;

/// No work takes longer, h (common practice, no source).
const WORKED_H_MAX: f64 = 12.0;
/// Words around a time that say no more than that it was taken.
const AROUND_TIMES: &[&str] = &[
    "took", "takes", "it", "that", "me", "us", "him", "her", "them", "and", "about", "roughly", "all", "in", "total", "a",
    "the", "ish", "for", "make", "no", "sorry", "actually", "was", "so", "just", "say", "nearly", "only", "wait", "hang",
    "on", "hold", "oh", "altogether", "each", "work", "job", "time", "spent", "we", "i", "he", "she", "they", "job's",
    "call", "around", "over", "under", "odd", "or", "meant", "mean", "rather", "put", "down", "of", "plus", "add", "also",
    "number", "is", "how", "long", "whole", "thing",
];
/// Before who did it.
const BEFORE_WHO: &[&str] = &["it", "was", "that", "thats", "that's", "its", "it's", "by", "done", "is", "were", "not", "actually"];
/// Behind it.
const BEHIND_WHO: &[&str] = &["did", "it", "that", "who", "them", "done", "the", "work", "this", "one", "job", "actually", "sorry"];
/// What came of work is told in no more words.
const RESULT_WORDS_MAX: usize = 9;
/// What a number may be.
const QUANTITIES: &[&str] = &["diameter", "diameters", "depth", "gap", "taper", "width", "thickness"];
/// Words around a value that tell no place.
const AROUND_VALUES: &[&str] = &[
    "the", "was", "is", "reads", "read", "should", "be", "at", "on", "unit", "reel", "one", "end", "side", "it", "a",
    "say", "says", "now", "actually", "no", "not", "to", "were", "of", "hand", "mm", "number", "reading", "that", "in",
    "for", "head",
];

/// The earlier words with what these words put right or add.
pub(super) fn put_in(words: &str, earlier: &Earlier, kind: &str) -> Option<String> {
    if earlier.words.is_empty() || words.trim_end().ends_with('?') {
        return None;
    }
    let plain = words.trim().trim_end_matches(['.', '!']);
    let of_units = readings_of_units::put_in(plain, earlier);
    if let Some(whole) = of_units.or_else(|| result_put_in(plain, earlier)) {
        return Some(whole);
    }
    let put_down = name_put_down(plain);
    let plain = put_down.as_deref().unwrap_or(plain);
    let span = || span_put_in(plain, earlier).filter(|_| kind != "hours");
    let cue = without_correction(plain).is_some();
    let corrected = |rest: &str| {
        let named = who_put_in(rest, earlier).or_else(|| value_at_place(rest, earlier));
        named.or_else(|| quantity_named(rest, earlier))
    };
    if let Some(whole) = span() {
        return Some(whole);
    }
    let rest = without_correction(plain);
    if let Some(whole) = rest.and_then(corrected) {
        return Some(whole);
    }
    // "No wasnt yesterday, Tuesday": what it was not is left out.
    if let Some(affirmed) = rest.and_then(affirmed) {
        let bare = without_correction(&format!("no {affirmed}")).map(str::to_owned);
        let bare = bare.unwrap_or(affirmed);
        if let Some(whole) = day_put_in(&bare, &earlier.words).or_else(|| corrected(&bare)) {
            return Some(whole);
        }
    }
    // "Kev did it", "the right front was 3.52": no word says that it corrects.
    let told = who_told(plain) || value_told(plain);
    (told && !cue).then(|| corrected(plain)).flatten()
}

/// "Put down that it cuts paper too": what came of the work, behind what was told of it.
fn result_put_in(words: &str, earlier: &Earlier) -> Option<String> {
    const ORDERS: &[&str] = &[
        "put down that ", "put that ", "put down ", "note that ", "note down that ", "note ", "add that ", "add ",
        "write that ", "write down that ", "log that ", "mention that ", "say that ", "record that ",
    ];
    const LEADS: &[&str] = &["and ", "oh ", "also ", "please ", "can you ", "could you ", "forgot to say ", "yeah "];
    const RESULTS: &[&str] = &[
        "it cuts paper", "cuts paper", "it cut paper", "they cut paper", "it's cutting paper", "its cutting paper",
        "it is cutting paper", "paper cuts", "they all cut paper", "all cut paper", "both cut paper",
    ];
    const TAILS: &[&str] = &[
        "too", "as well", "also", "now", "again", "all along", "all the way", "along", "across", "full width",
        "the full width", "both ends", "at both ends", "on both ends", "clean", "cleanly", "nicely", "fine", "lovely",
    ];
    let lower = words.to_lowercase();
    let mut rest = lower.as_str();
    while let Some(behind) = LEADS.iter().find_map(|lead| rest.strip_prefix(lead)) {
        rest = behind;
    }
    let ordered = ORDERS.iter().find_map(|order| rest.strip_prefix(order));
    let more = [" too", " as well", " also"].iter().any(|tail| rest.ends_with(tail));
    let rest = ordered.unwrap_or(rest);
    // "Cuts paper on the left only", "cuts paper badly": not all of it does.
    let whole = |mut tail: &str| loop {
        tail = tail.trim_matches([' ', ',', '.', '!']);
        let Some(behind) = TAILS.iter().find_map(|word| tail.strip_prefix(word)) else {
            break tail.is_empty();
        };
        tail = behind;
    };
    let result = RESULTS.iter().any(|result| rest.strip_prefix(result).is_some_and(whole));
    let short = rest.split_whitespace().count() <= RESULT_WORDS_MAX;
    let known = earlier.words.to_lowercase().contains("cuts paper");
    (result && short && !known && (ordered.is_some() || more))
        .then(|| format!("{}, cuts paper", earlier.words.trim_end_matches(['.', ','])))
}

/// "Who did it? Put Kyle down": as whoever says that Kyle did it.
pub(super) fn name_put_down(words: &str) -> Option<String> {
    let order = words.rsplit('?').next()?.trim();
    let (_, rest) = order.split_once(' ').filter(|(verb, _)| verb.eq_ignore_ascii_case("put"))?;
    let name = rest.split(" down").next().filter(|name| *name != rest);
    let name = name.or_else(|| rest.strip_prefix("it down to ")).or_else(|| rest.strip_prefix("down "))?;
    let first = name.split_whitespace().next().unwrap_or_default();
    let named = !matches!(first, "" | "it" | "that" | "this" | "them");
    let plain = name.chars().all(|ch| ch.is_alphabetic() || ch == ' ');
    (named && plain).then(|| format!("{name} did it"))
}

/// The one clause that does not deny, beside others that do.
fn affirmed(rest: &str) -> Option<String> {
    const DENIES: &[&str] = &["not", "wasnt", "wasn't", "isnt", "isn't", "didnt", "didn't", "never", "wasn\u{2019}t"];
    let apart = rest.replace(" it was ", ", it was ");
    let clauses = apart.split([',', ';']).map(str::trim).filter(|clause| !clause.is_empty());
    let denies = |clause: &&str| {
        clause.split_whitespace().any(|word| DENIES.contains(&word.to_lowercase().as_str()))
    };
    let (denied, told): (Vec<&str>, Vec<&str>) = clauses.partition(denies);
    let [only] = told[..] else { return None };
    (!denied.is_empty()).then(|| only.to_owned())
}

/// "1hr", "took an hour and half", "and 45 mins": how long it took, in the place of what was told.
pub(super) fn span_put_in(words: &str, earlier: &Earlier) -> Option<String> {
    let mut said = tokens(words);
    dialect::plain(&mut said);
    let found = quantities(&said);
    let [time] = &found[..] else { return None };
    let hours = match time.unit? {
        "h" => time.value,
        "min" => time.value / 60.0,
        _ => return None,
    };
    let outside = |at: usize| !(time.first..=time.last).contains(&at);
    let around: Vec<&Token> =
        said.iter().enumerate().filter(|(at, _)| outside(*at)).map(|(_, token)| token).collect();
    let mut words = around.iter().filter(|token| token.kind == Kind::Word);
    let small = words.all(|token| AROUND_TIMES.contains(&token.text.as_str()));
    let figures = around.iter().any(|token| token.kind == Kind::Number);
    if !small || figures || hours <= 0.0 || hours > WORKED_H_MAX {
        return None;
    }
    let minutes = (hours * 600.0).round() / 10.0;
    let each = if said.iter().any(|token| token.text == "each") { " each" } else { "" };
    let text = format!("{} min{each}", plain(minutes));
    let numbers = all_numbers(earlier);
    let timed = |one: &&HeardNumber| one.meant.starts_with("duration");
    let mut times: Vec<&HeardNumber> = numbers.iter().filter(timed).collect();
    if times.is_empty() {
        let loose = |one: &&HeardNumber| one.meant == "not used" && matches!(one.unit.as_str(), "min" | "mins" | "minutes");
        times = numbers.iter().filter(loose).collect();
    }
    // "2 hrs was the job": the same time, which was taken for something else.
    let same = |one: &&HeardNumber| match one.unit.as_str() {
        "h" => (one_value(one) - hours).abs() < 1e-6,
        "min" => (one_value(one) - minutes).abs() < 1e-6,
        _ => false,
    };
    let other = times.is_empty();
    if other {
        times = numbers.iter().filter(same).collect();
    }
    let text = if other && !times.is_empty() { format!("took {text}") } else { text };
    // "Ran 3 hrs since" was no time of the work: all of that clause goes.
    let run = times.first().filter(|_| other).and_then(|one| run_clause(earlier, one));
    if let Some((from, to)) = run {
        let before = earlier.words[..from].trim_end_matches([',', ';', ' ']);
        return Some(format!("{before}, {text}{}", &earlier.words[to..]));
    }
    match times[..] {
        [] => Some(format!("{}, took {text}", earlier.words)),
        [only] => replaced(earlier, only, &text),
        _ => None,
    }
}

/// The clause that tells how long it ran with this number, in bytes of the words.
fn run_clause(earlier: &Earlier, number: &HeardNumber) -> Option<(usize, usize)> {
    const RAN: &[&str] = &["since", "ran", "run", "running"];
    let from = earlier.words.get(..number.start)?.rfind([',', ';']).map_or(0, |at| at + 1);
    let behind = earlier.words.get(number.end..)?;
    let to = behind.find([',', ';']).unwrap_or(behind.len()) + number.end;
    let mut words = earlier.words[from..to].split_whitespace();
    let runs = words.any(|word| RAN.contains(&bare_word(word).to_lowercase().as_str()));
    (runs && from > 0).then_some((from, to))
}

/// The number as it was said.
fn one_value(number: &HeardNumber) -> f64 {
    read_number(&number.text).map_or(f64::NAN, |read| read.value)
}

fn replaced(earlier: &Earlier, number: &HeardNumber, text: &str) -> Option<String> {
    let (before, behind) = (earlier.words.get(..number.start)?, earlier.words.get(number.end..)?);
    Some(format!("{before}{text}{behind}"))
}

/// "Kev did it", "it was me and the lad".
fn who_told(words: &str) -> bool {
    let lower = words.to_lowercase();
    let did = [" did it", " did that", " did them", " did this"].iter().any(|did| lower.contains(did));
    did || lower.starts_with("done by ") || lower.starts_with("by ") || lower.starts_with("it was ")
}

/// "It was Kev", "Group A did it": who did it, in the place of whoever was named.
fn who_put_in(rest: &str, earlier: &Earlier) -> Option<String> {
    let said: Vec<&str> = rest.split_whitespace().collect();
    let bare = |word: &str| bare_word(word).to_lowercase();
    // "Kev, not Dave": who it was not stands in the earlier words.
    let end = said.iter().position(|word| bare(word) == "not" && *word != said[0]).unwrap_or(said.len());
    let wanted = &said[..end];
    let mut named = people_in(wanted);
    // "Jo did that one": a name that is not among those known.
    let capital = wanted.first().is_some_and(|word| word.starts_with(char::is_uppercase));
    let did = wanted.get(1).is_some_and(|word| *word == "did");
    let pronoun = wanted.first().is_some_and(|word| {
        matches!(bare(word).as_str(), "i" | "we" | "he" | "she" | "they" | "it" | "who" | "what" | "how" | "that" | "somebody" | "nobody")
    });
    // "No it was Luis", where one person was told.
    let parts: Vec<&str> = earlier.words.split_whitespace().collect();
    let lone = wanted.len() == 1 && people_in(&parts).len() == 1;
    if named.is_empty() && capital && (did || lone) && !pronoun {
        named.push((0, 0));
    }
    // "It was bench two who did it": whoever stands there did it, by whatever name.
    if named.is_empty() && let Some(span) = who_in_the_frame(wanted) {
        named.push(span);
    }
    let [(first, last)] = named[..] else { return None };
    let before = wanted[..first].iter().all(|word| BEFORE_WHO.contains(&bare(word).as_str()));
    let behind = wanted[last + 1..].iter().all(|word| BEHIND_WHO.contains(&bare(word).as_str()));
    let machine = wanted[first..=last].iter().any(|word| earlier.about.has(&bare(word)));
    if !before || !behind || machine {
        return None;
    }
    let who = wanted[first..=last].join(" ");
    let who = bare_word(&who);
    let of_machine = |(first, last): &(usize, usize)| {
        parts[*first..=*last].iter().any(|word| earlier.about.has(&bare(word)))
    };
    let people: Vec<(usize, usize)> =
        people_in(&parts).into_iter().filter(|span| !of_machine(span)).collect();
    match people[..] {
        [] => Some(format!("{}, done by {who}", earlier.words)),
        [(first, last)] => Some(words_put_in(&parts, first..last + 1, who)),
        _ => None,
    }
}

/// The name in "it was bench two who did it", "that was the new lad that did them".
fn who_in_the_frame(said: &[&str]) -> Option<(usize, usize)> {
    const NAME_WORDS_MAX: usize = 3;
    /// No name holds one of these.
    const NO_NAME: &[&str] = &[
        "unit", "units", "reel", "head", "machine", "mower", "day", "morning", "left", "right", "front", "end", "me", "us",
        "yesterday", "today", "not", "never", "only", "nobody", "somebody", "someone", "one", "both", "all", "wrong",
    ];
    let bare: Vec<String> = said.iter().map(|word| bare_word(word).to_lowercase()).collect();
    let at = |at: usize| bare.get(at).map_or("", String::as_str);
    let begins = matches!(at(0), "it" | "that") && matches!(at(1), "was" | "were");
    let from = if begins { 2 } else { 0 };
    let joins = |word: &String| word == "who" || (begins && matches!(word.as_str(), "that" | "what"));
    let who = bare.iter().skip(from).position(joins)? + from;
    let did = matches!(at(who + 1), "did" | "done" | "ground" | "lapped" | "changed" | "set");
    let name = from + usize::from(at(from) == "the")..who;
    let plain = bare.get(name.clone())?.iter().all(|word| {
        word.chars().all(char::is_alphanumeric) && !NO_NAME.contains(&word.as_str())
    });
    (did && plain && (1..=NAME_WORDS_MAX).contains(&name.len())).then(|| (from, who - 1))
}

/// A decimal beside more words than it needs: "the right front was 3.52".
fn value_told(words: &str) -> bool {
    let was = words.split_whitespace().any(|word| matches!(word, "was" | "is" | "reads" | "should"));
    was && words.split_whitespace().filter(|word| is_figure(word)).count() == 1
}

fn is_figure(word: &str) -> bool {
    let bare = word.trim_matches([',', ';', ':', '!']).trim_end_matches('.');
    bare.contains('.') && read_number(bare).is_ok()
}

/// "The right front was 3.52": the number that was told of the same place, by the words right before
/// it, else by those behind it.
fn value_at_place(rest: &str, earlier: &Earlier) -> Option<String> {
    let said: Vec<&str> = rest.split_whitespace().collect();
    let figures: Vec<&&str> = said.iter().filter(|word| is_figure(word)).collect();
    let [value] = figures[..] else { return None };
    let bare = |word: &str| bare_word(word).to_lowercase();
    let places: Vec<String> = said
        .iter()
        .filter(|word| !is_figure(word))
        .map(|word| bare(word))
        .filter(|word| !word.is_empty() && !AROUND_VALUES.contains(&word.as_str()))
        .collect();
    if places.is_empty() || places.len() > 3 {
        return None;
    }
    let mut numbers: Vec<HeardNumber> = all_numbers(earlier);
    numbers.retain(|one| one.text.contains('.'));
    numbers.sort_by_key(|one| one.start);
    let has = |text: &str| {
        let all: Vec<String> = text.split_whitespace().map(bare).collect();
        // "All 3" counts, and names no unit.
        let counts = |at: usize| at > 0 && all[at - 1] == "all";
        let own = (0..all.len()).filter(|at| !counts(*at));
        let words: Vec<&String> = own.map(|at| &all[at]).collect();
        places.iter().all(|place| words.contains(&place))
    };
    let before = |nth: usize| {
        let from = nth.checked_sub(1).map_or(0, |nth| numbers[nth].end);
        let text = earlier.words.get(from..numbers[nth].start).unwrap_or_default();
        text.rsplit([',', ';']).next().unwrap_or_default()
    };
    let behind = |nth: usize| {
        let to = numbers.get(nth + 1).map_or(earlier.words.len(), |next| next.start);
        let text = earlier.words.get(numbers[nth].end..to).unwrap_or_default();
        text.split([',', ';']).next().unwrap_or_default()
    };
    // "3.5 on the left": places stand behind their numbers, where none stands before the first.
    let placed = |text: &str| text.split_whitespace().map(bare).any(|word| {
        PAIRS.iter().any(|(one, other)| word == *one || word == *other)
            || matches!(word.as_str(), "centre" | "center" | "middle")
    });
    let ahead = numbers.is_empty() || placed(before(0)) || !placed(behind(0));
    let told: Vec<usize> = (0..numbers.len()).filter(|nth| ahead && has(before(*nth))).collect();
    let after: Vec<usize> = (0..numbers.len()).filter(|nth| has(behind(*nth))).collect();
    let nth = match (&told[..], &after[..]) {
        ([only], _) => *only,
        ([], [only]) => *only,
        _ => return None,
    };
    let value = value.trim_matches([',', ';', ':', '!']).trim_end_matches('.');
    let number = &numbers[nth];
    let unit = if number.unit.is_empty() { String::new() } else { format!(" {}", number.unit) };
    replaced(earlier, number, &format!("{value}{unit}"))
}

/// "That is the reel diameter and not the height of cut": what the numbers told are.
fn quantity_named(rest: &str, earlier: &Earlier) -> Option<String> {
    let lower = rest.to_lowercase();
    if lower.contains(|ch: char| ch.is_ascii_digit()) {
        return number_named(&lower, earlier);
    }
    let right = [" and not ", ", not ", " not "].iter().find_map(|sign| lower.split_once(sign));
    let right = right.map_or(lower.as_str(), |(right, _)| right);
    let is = |word: &&str| QUANTITIES.contains(&word.trim_matches(['.', ',']));
    let what = right.split_whitespace().find(is)?;
    let short = right.split_whitespace().count() <= 5;
    let first = all_numbers(earlier).into_iter().filter(|one| {
        matches!(one.unit.as_str(), "" | "mm" | "in" | "thou")
    }).min_by_key(|one| one.start)?;
    let (before, behind) = (earlier.words.get(..first.start)?, earlier.words.get(first.start..)?);
    let known = before.to_lowercase().contains(what.trim_end_matches('s'));
    (short && !known).then(|| format!("{before}{} {behind}", what.trim_end_matches('s')))
}

/// "The 174.1 is the reel diameter, only the bedknife is new": what one of the numbers told is.
fn number_named(lower: &str, earlier: &Earlier) -> Option<String> {
    let figures = |text: &&str| text.contains(|ch: char| ch.is_ascii_digit());
    let clause = lower.split([',', ';']).find(figures)?;
    let (before, behind) = [" is ", " was ", " means "].iter().find_map(|is| clause.split_once(is))?;
    let figures: Vec<&str> = before.split_whitespace().filter(|word| is_figure(word)).collect();
    let [figure] = figures[..] else { return None };
    let what = behind.split_whitespace().find(|word| QUANTITIES.contains(word))?;
    let number = all_numbers(earlier).into_iter().find(|one| one.text.starts_with(figure))?;
    // Nothing was made of it: what it is stays with the words of the record.
    if number.meant == "not used" {
        return Some(earlier.words.clone());
    }
    let (told, rest) = (earlier.words.get(..number.start)?, earlier.words.get(number.start..)?);
    let reel = if behind.contains("reel") { "reel " } else { "" };
    Some(format!("{told}{reel}{} {rest}", what.trim_end_matches('s')))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn earlier(words: &str) -> Earlier {
        Earlier { words: words.to_owned(), ..Earlier::default() }
    }

    #[test]
    fn what_is_named_stands_in_its_place() {
        for (before, words, wanted) in [
            ("Dave lapped walker 1", "no it was Kev", Some("Kev lapped walker 1")),
            ("lapped walker 1", "actually the lad did it", Some("lapped walker 1, done by the lad")),
            ("lapped walker 1", "Jo did that one not me", Some("lapped walker 1, done by Jo")),
            ("lapped walker 1", "Kev did it", Some("lapped walker 1, done by Kev")),
            ("lapped walker 1", "who did it? put Kev down", Some("lapped walker 1, done by Kev")),
            ("lapped walker 1", "It was bench two who did it", Some("lapped walker 1, done by bench two")),
            ("lapped walker 1", "no, bench two who did it", Some("lapped walker 1, done by bench two")),
            ("Kev lapped walker 1", "that was bench two that did it", Some("bench two lapped walker 1")),
            ("lapped walker 1", "it was the left unit that did it", None),
            ("lapped walker 1", "put it down", None),
            ("lapped walker 1", "put down that it cuts paper too", Some("lapped walker 1, cuts paper")),
            ("lapped walker 1", "it cuts paper all along as well", Some("lapped walker 1, cuts paper")),
            ("lapped walker 1", "it cuts paper on the left only", None),
            ("lapped walker 1", "put down that it cuts paper on the left only", None),
            ("lapped walker 1", "put down that it cuts paper badly", None),
            ("lapped walker 1", "note it cuts paper if you press", None),
            ("lapped walker 1", "note it cuts paper full width now", Some("lapped walker 1, cuts paper")),
            ("Kev ground it", "sorry, Group B", Some("Group B ground it")),
            ("Kev ground it", "no, me and the lad", Some("me and the lad ground it")),
            ("changed the belt", "1hr", Some("changed the belt, took 60 min")),
            ("changed the belt, 30 min", "and 45 mins", Some("changed the belt, 45 min")),
            ("changed the belt", "took an hour and a half", Some("changed the belt, took 90 min")),
            ("left front 3.5, right front 3.55, centre 3.45", "No, wait, the right front was 3.52.",
                Some("left front 3.5, right front 3.52, centre 3.45")),
            ("3.5 on the left, 3.4 on the right", "the left was 3.6", Some("3.6 on the left, 3.4 on the right")),
            ("3.5 left 3.4 right", "no, the left was 3.6", Some("3.6 left 3.4 right")),
            ("brought it from 124.4 to 124.1", "no that's the diameter not the height",
                Some("brought it from diameter 124.4 to 124.1")),
            ("new bedknife on tees 2, 174.1 on the reel", "no, the 174.1 is the reel diameter, only the knife is new",
                Some("new bedknife on tees 2, 174.1 on the reel")),
            ("Stu set it to 3.4", "no wait that wasnt Stu, it was Jen", Some("Jen set it to 3.4")),
            ("changed the belt", "no wasnt me it was Group A", Some("changed the belt, done by Group A")),
            ("changed the belt yest", "no wasnt yest, tues", Some("changed the belt tues")),
            ("sorted the knock", "no 2 hrs was the job", Some("sorted the knock, took 120 min")),
            ("sorted the knock", "2 hrs is how long it took him", Some("sorted the knock, took 120 min")),
            ("changed the belt", "no it still squeals", None),
            ("changed the belt", "it was raining", None),
        ] {
            assert_eq!(put_in(words, &earlier(before), "sharpening").as_deref(), wanted, "{words}");
        }
    }
}
