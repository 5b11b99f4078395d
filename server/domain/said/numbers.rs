//! Which tokens of a sentence are a quantity, however it is said: "3.5", ".250", "2 1/2", "four and
//! a half", "nine hundred and twelve", "a thirty-second of an inch", "a metre and a half a second",
//! "1 hour 20", "38 grand", "5 ft 6"?
//! Deliberately absent: what a number is for, and a unit that was not said.

use super::inch_threads::inch_thread;
use super::no_units::is_no_unit;
use super::numerals::{below_hundred, decimal_at, is_listed, is_turn_tried, whole_at};
use super::said_units::{MONEY, said_at, unit_at};
use super::two_units::joined;
use crate::domain::language::text::{Kind, Token};

/// A number with its unit as it stands in the words.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// First and last token.
    pub first: usize,
    pub last: usize,
    /// In the unit as said.
    pub value: f64,
    /// Symbol; none was said.
    pub unit: Option<&'static str>,
    /// The tokens of the number alone end here.
    pub number_last: usize,
    /// Said as a fraction, which the trade takes for inches.
    pub fraction: bool,
    /// In words, not figures.
    pub in_words: bool,
    /// Begins with its point (".250"), as inches are written.
    pub leading_point: bool,
}

/// Parts of one, as a word.
const PARTS: &[(&str, f64)] = &[
    ("half", 2.0),
    ("halves", 2.0),
    ("third", 3.0),
    ("thirds", 3.0),
    ("quarter", 4.0),
    ("quarters", 4.0),
    ("fourth", 4.0),
    ("fourths", 4.0),
    ("fifth", 5.0),
    ("fifths", 5.0),
    ("sixth", 6.0),
    ("sixths", 6.0),
    ("eighth", 8.0),
    ("eighths", 8.0),
    ("eigth", 8.0),
    ("tenth", 10.0),
    ("tenths", 10.0),
    ("sixteenth", 16.0),
    ("sixteenths", 16.0),
    ("thirtysecond", 32.0),
    ("sixtyfourth", 64.0),
    ("twelfth", 12.0),
    ("twelfths", 12.0),
    ("hundredth", 100.0),
    ("hundredths", 100.0),
];
/// Ordinals that count things unless they are said as a part ("a third", "two thirds").
const ORDINALS: &[&str] = &["third", "fourth", "fifth", "sixth", "eighth", "tenth", "sixteenth"];
/// Denominators of written fractions.
const BELOW: &[u32] = &[2, 3, 4, 5, 6, 8, 10, 16, 32, 64];

/// The quantities of a text, left to right, none overlapping.
pub fn quantities(tokens: &[Token]) -> Vec<Quantity> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let clock = time_of_day(tokens, at);
        if clock > 0 {
            at += clock;
        } else if let Some(found) = quantity_at(tokens, at) {
            at = found.last + 1;
            out.push(found);
        } else {
            at += 1;
        }
    }
    out
}

/// "06:30", "out at 7:15", "6 am", "at half six", "half past six": its tokens.
fn time_of_day(tokens: &[Token], at: usize) -> usize {
    if let Some(end) = half_past(tokens, at) {
        return end - at;
    }
    let figures = |at: usize, below: u32| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Number)?;
        token.text.parse().ok().filter(|number| *number < below).map(|_: u32| token)
    };
    let half = |at: usize| usize::from(matches!(word(tokens, at), Some("am" | "pm")));
    let Some(hour) = figures(at, 24) else { return 0 };
    let Some(minute) = figures(at + 2, 60) else { return 2 * half(at + 1) };
    let colon = &tokens[at + 1];
    let touch = hour.end == colon.start && colon.end == minute.start;
    let clock = touch && colon.text == ":" && minute.text.len() == 2;
    if clock { 3 + half(at + 3) } else { 2 * half(at + 1) }
}

/// "At half six", "half past six", "quarter to seven": one behind its last token.
fn half_past(tokens: &[Token], at: usize) -> Option<usize> {
    const HOURS: &[&str] = &[
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    ];
    let part = word(tokens, at).filter(|said| matches!(*said, "half" | "quarter"))?;
    let past = matches!(word(tokens, at + 1), Some("past")) || word(tokens, at + 1) == Some("to") && part == "quarter";
    let hour = at + 1 + usize::from(past);
    let of_clock = |hour: u32| (1..=12).contains(&hour);
    let figures = |token: &Token| token.text.parse().is_ok_and(of_clock);
    let told = word(tokens, hour).is_some_and(|said| HOURS.contains(&said))
        || (past && tokens.get(hour).is_some_and(figures));
    let before = at.checked_sub(1).and_then(|before| word(tokens, before));
    let spoken = part == "half" && matches!(before, Some("at" | "by" | "since" | "before" | "after"));
    // "A quarter to three quarters", "at half two turns".
    let unit = unit_at(tokens, hour + 1).is_some() || matches!(
            word(tokens, hour + 1),
            Some("quarters" | "thou" | "eighths" | "sixteenths" | "sixteenth" | "inch" | "inches" | "turns")
        );
    // "From a quarter to three".
    let from = before == Some("a") && at > 1 && word(tokens, at - 2) == Some("from");
    let unit = unit || from;
    (told && !unit && (past || spoken)).then_some(hour + 1)
}

fn quantity_at(tokens: &[Token], at: usize) -> Option<Quantity> {
    if let Some(thread) = inch_thread(tokens, at) {
        return Some(thread);
    }
    let number = unit_and_a_half(tokens, at)
        .or_else(|| with_unit(tokens, at))
        .or_else(|| unit_alone(tokens, at))?;
    Some(joined(tokens, number))
}

/// "Three and three quarter": a number of several words.
pub fn is_long_number(tokens: &[Token], at: usize) -> bool {
    let long = |number: Number| number.in_words && number.last > at;
    number_at(tokens, at).is_some_and(long)
}

/// "Foot of overlap", "in the next fortnight": one of the unit, without saying one.
fn unit_alone(tokens: &[Token], at: usize) -> Option<Quantity> {
    let (unit, last) = unit_at(tokens, at)?;
    let before = at.checked_sub(1).and_then(|before| word(tokens, before)).unwrap_or("");
    let sound = match word(tokens, at)? {
        "foot" | "inch" | "metre" | "meter" => {
            word(tokens, last + 1) == Some("of")
                && !matches!(before, "per" | "the" | "each" | "every" | "to" | "an" | "a" | "of")
        }
        // "Hour and ten all in".
        "hour" => bare_one(tokens, at) && and_minutes(tokens, last + 1),
        "fortnight" => {
            let ahead = matches!(word(tokens, last + 1), Some("away" | "off" | "ahead" | "hence"));
            ahead || matches!(before, "next" | "the" | "this" | "in" | "within" | "one")
        }
        _ => false,
    };
    sound.then_some(Quantity {
        first: at,
        last,
        value: 1.0,
        unit: Some(unit),
        number_last: at,
        fraction: false,
        in_words: true,
        leading_point: false,
    })
}

/// "A metre and a half a second", "an hour and a quarter", "one and a half" is elsewhere.
fn unit_and_a_half(tokens: &[Token], at: usize) -> Option<Quantity> {
    let (value, unit_first, in_words) = match word(tokens, at)? {
        "a" | "an" => (1.0, at + 1, true),
        // "Inch and a quarter left", "turn and a half".
        "inch" | "turn" | "hour" | "hr" | "ounce" | "metre" | "minute" | "mil" if bare_one(tokens, at) => (1.0, at, true),
        _ => {
            let number = number_at(tokens, at)?;
            (number.value, number.last + 1, number.in_words)
        }
    };
    let (unit, unit_last) = unit_at(tokens, unit_first)?;
    let (part, part_last) = and_a_part(tokens, unit_last + 1)?;
    let compound = compound(tokens, unit_last, part_last + 1);
    let (unit, last) = compound.unwrap_or((unit, part_last));
    Some(Quantity {
        first: at,
        last,
        value: value + part,
        unit: Some(unit),
        number_last: part_last,
        fraction: false,
        in_words,
        leading_point: false,
    })
}

/// "And ten", "and twenty-five": minutes in words; fewer than five nobody counts (from memory).
fn and_minutes(tokens: &[Token], at: usize) -> bool {
    let number = number_at(tokens, at + 1).filter(|_| word(tokens, at) == Some("and"));
    number.is_some_and(|number| number.in_words && (5.0..60.0).contains(&number.value))
}

/// A unit that no number and no article stands before.
fn bare_one(tokens: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).map(|before| &tokens[before]);
    before.is_none_or(|before| {
        let said = ["right", "left", "end", "like", "want", "wants", "to", "took", "at", "be",
            "about", "for", "another", "was", "good", "nearly", "only", "says", "me", "us", "him",
            "her", "them", "over", "under"];
        before.kind == Kind::Sign || said.contains(&before.text.as_str())
    })
}

/// "metre" and, after "and a half", "a second": the unit that both make.
fn compound(tokens: &[Token], unit: usize, rest: usize) -> Option<(&'static str, usize)> {
    let joined: Vec<Token> = std::iter::once(tokens.get(unit)?)
        .chain(tokens.get(rest..)?.iter().take(2))
        .cloned()
        .collect();
    let (symbol, last) = unit_at(&joined, 0)?;
    (last == 2).then_some((symbol, rest + 1))
}

pub(super) struct Number {
    pub(super) value: f64,
    pub(super) last: usize,
    pub(super) fraction: bool,
    pub(super) in_words: bool,
}

fn with_unit(tokens: &[Token], at: usize) -> Option<Quantity> {
    let number = number_at(tokens, at)?;
    if is_year(tokens, at, &number) {
        return None;
    }
    let sign = sign_before(tokens, at);
    let money = is_priced(tokens, at);
    let mut next = number.last + 1;
    if is_sign(tokens, next, "-") && tokens.get(next + 1).is_some_and(|t| t.kind == Kind::Word) {
        next += 1;
    }
    let mut value = number.value * sign;
    if number.fraction && unit_at(tokens, next).is_none_or(|(unit, _)| unit == "rpm") {
        // "Half an ounce", "a quarter of a kilo", "half a minute".
        let of = usize::from(word(tokens, next) == Some("of"));
        let article = matches!(word(tokens, next + of), Some("a" | "an"));
        let measured = article && unit_at(tokens, next + of + 1).is_some();
        next += if measured { of + 1 } else { 0 };
    }
    // "Finished at 121 - hours to go?": a dash with a blank ends the clause.
    let apart = tokens.get(next).is_some_and(|t| t.segment != tokens[number.last].segment);
    let unit = unit_at(tokens, next).filter(|_| !apart);
    let mut unit = unit.filter(|found| !is_no_unit(tokens, &number, *found));
    if let Some((MONEY, last)) = unit {
        if matches!(tokens[last].text.as_str(), "grand" | "k") {
            value *= 1_000.0;
        }
    } else if unit.is_none() && money {
        unit = Some((MONEY, number.last));
    }
    let one = number.value <= 1.0 && number.value.fract() == 0.0 && !number.fraction;
    if number.in_words && unit.is_none() && one && !is_listed(tokens, at, number.last) {
        // "One of them", "that one".
        return None;
    }
    Some(Quantity {
        first: at,
        last: unit.map_or(number.last, |(_, last)| last),
        value,
        unit: unit.map(|(symbol, _)| symbol),
        number_last: number.last,
        fraction: number.fraction,
        in_words: number.in_words,
        leading_point: tokens[at].text.starts_with('.'),
    })
}

/// "New in 2019", "since 2021": a year is no quantity.
fn is_year(tokens: &[Token], at: usize, number: &Number) -> bool {
    let before = at.checked_sub(1).and_then(|before| word(tokens, before)).unwrap_or("");
    let dated =
        matches!(before, "in" | "since" | "spring" | "summer" | "autumn" | "winter" | "year");
    if tokens[at].text.len() == 2 && is_short_year(tokens, at) {
        return true;
    }
    let year = (1_980.0..2_050.0).contains(&number.value) && tokens[at].text.len() == 4;
    dated && year && !number.in_words && unit_at(tokens, number.last + 1).is_none()
}

/// "Bought in '19".
fn is_short_year(tokens: &[Token], at: usize) -> bool {
    let Some(mark) = at.checked_sub(1).map(|before| &tokens[before]) else { return false };
    let free = at < 2 || tokens[at - 2].end < mark.start;
    mark.text == "'" && mark.end == tokens[at].start && free
}

/// "L 0.03 M 0.04 R": the middle between a left and a right, with a number on both sides.
pub fn is_middle(tokens: &[Token], at: usize) -> bool {
    let number = |at: Option<usize>| {
        at.and_then(|at| tokens.get(at)).is_some_and(|token| token.kind == Kind::Number)
    };
    let side = |at: Option<usize>| {
        let text = at.and_then(|at| tokens.get(at)).map_or("", |token| token.text.as_str());
        matches!(text, "l" | "left" | "r" | "right")
    };
    let listed = number(at.checked_sub(1)) && number(Some(at + 1)) && side(at.checked_sub(2));
    let slash = |at: usize| is_sign(tokens, at, "/");
    let headed = at > 1 && slash(at - 1) && slash(at + 1) && side(at.checked_sub(2));
    listed || (headed && side(Some(at + 2)))
}

fn sign_before(tokens: &[Token], at: usize) -> f64 {
    if at == 0 {
        return 1.0;
    }
    let before = &tokens[at - 1];
    if before.text == "minus" {
        // "Plus or minus" is no sign.
        let either = at >= 2 && matches!(tokens[at - 2].text.as_str(), "or" | "plus" | "/" | "and");
        return if either { 1.0 } else { -1.0 };
    }
    let touches = before.text == "-" && before.end == tokens[at].start;
    let free = at < 2 || tokens[at - 2].end < before.start;
    if touches && free { -1.0 } else { 1.0 }
}

pub(super) fn number_at(tokens: &[Token], at: usize) -> Option<Number> {
    let number = match tokens.get(at)?.kind {
        Kind::Number => figures_at(tokens, at),
        Kind::Word => words_at(tokens, at),
        Kind::Sign => None,
    }?;
    // "Three and a half thousand", "one point two thousand".
    let times = match word(tokens, number.last + 1) {
        Some("thousand") => 1_000.0,
        Some("hundred") => 100.0,
        _ => return Some(number),
    };
    if number.value.fract() == 0.0 || number.value < 1.0 {
        return Some(number);
    }
    let last = number.last + 1;
    Some(Number { value: number.value * times, last, fraction: false, ..number })
}

fn figures_at(tokens: &[Token], at: usize) -> Option<Number> {
    let value: f64 = tokens[at].text.parse().ok().filter(|value: &f64| value.is_finite())?;
    let number = |value, last, fraction| Some(Number { value, last, fraction, in_words: false });
    if let Some(thousands) = parted_thousands(tokens, at) {
        return number(thousands, at + 1, false);
    }
    if let Some((part, last)) = written_fraction(tokens, at) {
        return number(part, last, true);
    }
    let next = at + 1 + usize::from(is_sign(tokens, at + 1, "-"));
    if value.fract() == 0.0
        && let Some((part, last)) = written_fraction(tokens, next)
        && part < 1.0
        && tokens[next].segment == tokens[at].segment
    {
        return number(value + part, last, true);
    }
    if let Some((part, last)) = and_a_part(tokens, at + 1).filter(|_| value.fract() == 0.0) {
        return number(value + part, last, false);
    }
    if word(tokens, at + 1) == Some("hundred") {
        return number(value * 100.0, at + 1, false);
    }
    if matches!(word(tokens, at + 1), Some("thousand")) {
        // "2 thousand 8 hundred".
        let more = tokens.get(at + 2).filter(|_| word(tokens, at + 3) == Some("hundred"));
        let hundreds = more.and_then(|token| token.text.parse::<u32>().ok());
        return match hundreds.filter(|hundreds| *hundreds < 10) {
            Some(hundreds) => {
                number(value * 1_000.0 + f64::from(hundreds) * 100.0, at + 3, false)
            }
            None => number(value * 1_000.0, at + 1, false),
        };
    }
    // "3 quarters of a turn", "3 sixteenths".
    if let Some((part, last)) = part_at(tokens, at + 1).filter(|_| value.fract() == 0.0) {
        return number(value / part, last, true);
    }
    number(value, at, false)
}

/// "33 000 hours", "61 500 euro": thousands parted by a blank. Other groups of three figures may as
/// well be a list.
fn parted_thousands(tokens: &[Token], at: usize) -> Option<f64> {
    let figures = |at: usize| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Number)?;
        token.text.bytes().all(|byte| byte.is_ascii_digit()).then_some(token)
    };
    let (above, below) = (figures(at)?, figures(at + 1)?);
    let sized = above.text.len() <= 3 && below.text.len() == 3 && !above.text.starts_with('0');
    let apart = below.start == above.end + 1;
    let money = is_priced(tokens, at)
        || unit_at(tokens, at + 2).is_some_and(|(unit, _)| unit == MONEY);
    let turning = above.text.len() == 1
        && unit_at(tokens, at + 2).is_some_and(|(unit, _)| matches!(unit, "rpm" | "h"));
    let read = |at: usize| matches!(word(tokens, at), Some("hours" | "hrs" | "clock" | "meter"));
    let ends = tokens.get(at + 2).is_none_or(|next| next.kind == Kind::Sign);
    let read = above.text.len() == 1 && ends && (at.saturating_sub(8)..at).any(read);
    let joined = format!("{}{}", above.text, below.text);
    (sized && apart && (below.text == "000" || money || turning || read)).then(|| joined.parse().ok())?
}

/// Whether the sign of a currency stands before a token.
fn is_priced(tokens: &[Token], at: usize) -> bool {
    at > 0 && matches!(tokens[at - 1].text.as_str(), "$" | "\u{a3}" | "\u{20ac}")
}

pub(super) fn written_fraction(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let whole = |at: usize| -> Option<u32> {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Number)?;
        token.text.parse().ok()
    };
    let above = whole(at)?;
    let below = whole(at + 2).filter(|_| is_sign(tokens, at + 1, "/"))?;
    let sound = BELOW.contains(&below) && above < below && above > 0;
    sound.then(|| (f64::from(above) / f64::from(below), at + 2))
}

/// "and a half", "and a quarter", "and three sixteenths", "and 3/8".
fn and_a_part(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    if word(tokens, at)? != "and" {
        return None;
    }
    if let Some(part) = written_fraction(tokens, at + 1) {
        return Some(part);
    }
    let (above, next) = match word(tokens, at + 1)? {
        "a" | "an" => (1.0, at + 2),
        "half" | "quarter" => (1.0, at + 1),
        _ => {
            let (above, last) = below_hundred(tokens, at + 1)?;
            (above, last + 1)
        }
    };
    let (below, last) = part_at(tokens, next)?;
    // "Target 12 and a tenth either way": how far off it may be.
    let tolerance = ["either way", "each way", "either side", "up or down", "plus or minus"];
    let apart = tolerance.iter().any(|words| stands(tokens, last + 1, words));
    (above < below && !apart).then_some((above / below, last))
}

fn words_at(tokens: &[Token], at: usize) -> Option<Number> {
    let number = |value, last, fraction| Some(Number { value, last, fraction, in_words: true });
    let first = word(tokens, at)?;
    // "The zero-turn" is a machine.
    let dash = usize::from(is_sign(tokens, at + 1, "-"));
    if first == "zero" && word(tokens, at + 1 + dash) == Some("turn") {
        return None;
    }
    if matches!(first, "a" | "an") {
        if let Some((below, last)) = part_at(tokens, at + 1) {
            return number(1.0 / below, last, true);
        }
        if matches!(word(tokens, at + 1), Some("hundred" | "thousand" | "dozen" | "couple")) {
            return words_at(tokens, at + 1).map(|found| Number { in_words: true, ..found });
        }
        // "A millimetre" is one; "a turn" is what something else is counted by.
        let (unit, last) = unit_at(tokens, at + 1)?;
        let measured = matches!(
            unit,
            "mm" | "in"
                | "m"
                | "m/s"
                | "ft"
                | "h"
                | "thou"
                | "weeks"
                | "days"
                | "fortnights"
                | "months"
                | "cm"
                | "acre"
                | "ha"
                | "mil"
                | "oz"
                | "kg"
        );
        let rate = matches!(tokens[last].text.as_str(), "week" | "day" | "hour" | "inch" | "min");
        let before = at.checked_sub(1).and_then(|before| word(tokens, before));
        let per = rate
            && before.is_some_and(|word| {
                matches!(
                    word,
                    "times" | "hours" | "hectares" | "acres" | "mm" | "twice" | "once" | "inches"
                )
            });
        // "An M10 thread".
        let letter = tokens[last].text == "m" && tokens[last].start + 1 == tokens[last].end;
        let measured = (measured && !letter) || is_turn_tried(tokens, last);
        let part = before == Some("of") && at >= 2 && is_part_of(tokens, at - 2);
        return if measured && !per && !part { number(1.0, at, false) } else { None };
    }
    // "Half a tenth".
    if matches!(first, "half" | "quarter")
        && word(tokens, at + 1) == Some("a")
        && let Some((below, last)) = part_at(tokens, at + 2)
    {
        let parts = if first == "half" { 2.0 } else { 4.0 };
        return number(1.0 / (parts * below), last, true);
    }
    // "Half", and "sixteenth of an inch", "eighth inch" without their article.
    if let Some((below, last)) = part_at(tokens, at) {
        let measured = unit_at(tokens, last + 1).is_some_and(|(unit, _)| {
            matches!(unit, "in" | "mm" | "mil" | "turns" | "kg" | "lb" | "oz")
        });
        if matches!(first, "half" | "quarter") || measured {
            return number(1.0 / below, last, true);
        }
    }
    if let Some((value, last)) = decimal_at(tokens, at) {
        return number(value, last, false);
    }
    let (whole, mut last) = whole_at(tokens, at)?;
    if let Some((part, part_last)) = and_a_part(tokens, last + 1) {
        return number(whole + part, part_last, false);
    }
    if let Some((below, part_last)) = part_at(tokens, last + 1 + tied(tokens, last)) {
        last = part_last;
        return number(whole / below, last, true);
    }
    number(whole, last, false)
}

/// Whether a word is a part of one: "half", "quarters", "sixteenth".
pub fn is_part_name(word: &str) -> bool {
    PARTS.iter().any(|(name, _)| *name == word)
}

/// "Three-quarter": one when a dash ties a token to the next.
fn tied(tokens: &[Token], at: usize) -> usize {
    usize::from(is_tie(tokens, at + 1))
}

/// A dash that touches what stands on both sides of it.
pub(super) fn is_tie(tokens: &[Token], at: usize) -> bool {
    let end = |at: usize| tokens.get(at).map(|token| token.end);
    let start = |at: usize| tokens.get(at).map(|token| token.start);
    let before = at.checked_sub(1).and_then(end);
    is_sign(tokens, at, "-") && before == start(at) && end(at) == start(at + 1)
}

/// "Thousandths of an inch", "a fraction of a millimetre": the unit is not one of it.
fn is_part_of(tokens: &[Token], at: usize) -> bool {
    let parts = PARTS.iter().map(|(name, _)| *name);
    let all = parts.chain(["thousandth", "thousandths", "thou", "fraction", "part", "parts"]);
    word(tokens, at).is_some_and(|word| all.into_iter().any(|part| part == word))
}

/// What one is divided by, and the last token: "quarter", "thirty-second".
fn part_at(tokens: &[Token], at: usize) -> Option<(f64, usize)> {
    let first = word(tokens, at)?;
    let next = at + 1 + usize::from(is_sign(tokens, at + 1, "-"));
    match (first, word(tokens, next)) {
        ("thirty", Some("second" | "seconds")) => return Some((32.0, next)),
        ("sixty", Some("fourth" | "fourths")) => return Some((64.0, next)),
        _ => {}
    }
    let (_, below) = PARTS.iter().find(|(name, _)| *name == first)?;
    // "The third unit", "a fifth reading" count things; a part is followed by "of" or a unit.
    let counts = ORDINALS.contains(&first)
        && tokens.get(at + 1).is_some_and(|token| {
            matches!(
                token.text.as_str(),
                "unit"
                    | "reel"
                    | "head"
                    | "time"
                    | "reading"
                    | "pass"
                    | "mower"
                    | "green"
                    | "tee"
                    | "hole"
                    | "blade"
                    | "one"
            )
        });
    if counts { None } else { Some((*below, at)) }
}

pub fn word(tokens: &[Token], at: usize) -> Option<&str> {
    tokens.get(at).filter(|token| token.kind == Kind::Word).map(|token| token.text.as_str())
}

pub fn is_sign(tokens: &[Token], at: usize, sign: &str) -> bool {
    tokens.get(at).is_some_and(|token| token.kind == Kind::Sign && token.text == sign)
}

/// Whether the words stand from token `at` on.
pub fn stands(tokens: &[Token], at: usize, words: &str) -> bool {
    said_at(tokens, at, words).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn numbers_as_people_say_them() {
        // (words, value, unit): arithmetic of numerals and fractions; the sentences are our own.
        let rows: &[(&str, f64, Option<&str>)] = &[
            ("nine hundred and twelve", 912.0, None),
            ("a hundred and four", 104.0, None),
            ("hundred and four", 104.0, None),
            ("twelve hundred revs", 1_200.0, Some("rpm")),
            ("two thousand two hundred rpm", 2_200.0, Some("rpm")),
            ("four and a half mile an hour", 4.5, Some("mph")),
            ("a metre and a half a second", 1.5, Some("m/s")),
            ("two and a half hours", 2.5, Some("h")),
            ("2 and a half hours", 2.5, Some("h")),
            ("took him hour and a half", 1.5, Some("h")),
            ("half an hour", 0.5, Some("h")),
            ("1 hour 20 of my time", 80.0, Some("min")),
            ("2 hours 10 mins", 130.0, Some("min")),
            ("38 grand", 38_000.0, Some("money")),
            ("\u{a3}42,500", 42_500.0, Some("money")),
            ("quarter turn", 0.25, Some("turns")),
            ("three quarters of a turn", 0.75, Some("turns")),
            ("five-eighths-inch spacing", 0.625, Some("in")),
            ("sixteen-thread-per-inch", 16.0, Some("tpi")),
            ("3 150 rpm", 3_150.0, Some("rpm")),
            ("a thirty-second of an inch", 0.03125, Some("in")),
            ("an eighth of an inch", 0.125, Some("in")),
            ("16 threads to the inch", 16.0, Some("tpi")),
            ("six-foot deck", 6.0, Some("ft")),
            ("5 ft 6 deck", 5.5 * 12.0, Some("in")),
            ("4 thou", 4.0, Some("thou")),
            ("half-inch centres", 0.5, Some("in")),
            ("2 1/2 inch", 2.5, Some("in")),
            ("3/16", 0.1875, None),
            (".250", 0.25, None),
            ("9 k an hour", 9.0, Some("km/h")),
            ("1.2 m/s", 1.2, Some("m/s")),
            ("35 metres a second", 35.0, Some("m/s")),
            ("thirty-eight kilos", 38.0, Some("kg")),
            ("three point five mm", 3.5, Some("mm")),
            ("more than a third", 1.0 / 3.0, None),
            ("-0.4 mm", -0.4, Some("mm")),
            ("6\" wheel", 6.0, Some("in")),
            ("75% efficient", 75.0, Some("%")),
            ("half an ounce", 0.5, Some("oz")),
            ("a quarter of a kilo", 0.25, Some("kg")),
            ("nineteen fifty rpm", 1_950.0, Some("rpm")),
            ("twenty-four fifty", 2_450.0, None),
            ("three fifty hours", 350.0, Some("h")),
            ("nineteen oh five", 1_905.0, None),
            ("one two seven point one", 127.1, None),
            ("one twenty six point four mm", 126.4, Some("mm")),
            ("point two five inch", 0.25, Some("in")),
            ("nought point oh four", 0.04, None),
            ("three and three sixteenths", 3.187_5, None),
            ("two and 3/8 inches", 2.375, Some("in")),
            ("nine and a half grand", 9_500.0, Some("money")),
            ("one twenty five point four", 125.4, None),
            ("point one five of a mil", 0.15, Some("mil")),
            ("point oh two", 0.02, None),
            ("three point twenty five", 3.25, None),
            ("four nine eight", 498.0, None),
            ("1 lb 14 oz", 30.0, Some("oz")),
            ("an hour and ten on it", 70.0, Some("min")),
            ("70 newton metres", 70.0, Some("N m")),
            ("33 000 euro", 33_000.0, Some("money")),
            ("\u{a3}61 500", 61_500.0, Some("money")),
            ("three and a half thousand hours", 3_500.0, Some("h")),
            ("one point two thousand revs", 1_200.0, Some("rpm")),
            ("sixteenth of an inch", 0.0625, Some("in")),
            ("eighth inch", 0.125, Some("in")),
            ("1350 turns in one minute", 1_350.0, Some("rpm")),
            ("eight kilometres in the hour", 8.0, Some("km/h")),
            ("a metre a second", 1.0, Some("m/s")),
            ("an hour and ten it took me", 70.0, Some("min")),
            ("a 6,500 square foot green", 6_500.0, Some("ft2")),
            ("found it, hour and twenty-five all in", 85.0, Some("min")),
            ("turn and a quarter to the left", 1.25, Some("turns")),
            ("sixteen flat", 16.0, None),
            ("fortnight away", 1.0, Some("fortnights")),
            ("3 hours 15 today", 195.0, Some("min")),
            ("3 thousand 4 hundred revs", 3_400.0, Some("rpm")),
            ("7,000 surface feet", 7_000.0, Some("ft/min")),
            ("half a tenth of a mm", 0.05, Some("mm")),
            ("2 flats", 2.0, Some("flats")),
        ];
        for (text, value, unit) in rows {
            let found = quantities(&tokens(text));
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!((found[0].value - value).abs() < 1e-12, "{text}: {found:?}");
            assert_eq!(found[0].unit, *unit, "{text}");
        }
    }

    #[test]
    fn words_that_only_count_are_left_alone() {
        for text in ["the third unit", "that one is fine", "half the reel", "a second look"] {
            let found = quantities(&tokens(text));
            let bare: Vec<_> = found.iter().filter(|q| q.unit.is_some()).collect();
            assert!(bare.is_empty(), "{text}: {found:?}");
        }
    }
}
