//! When was it: "today", "yesterday", "last Tuesday", "two days ago", "on the 14th of March"?
//! Counted from a moment that comes in. Deliberately absent: the clock, and times of day that were
//! not said: a day without one is noon, the same date nearly everywhere.

use jiff::civil::{Date, Weekday};
use jiff::{ToSpan, ZonedDateTime};

use crate::domain::language::text::{Kind, Token, text_at};
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::unit_at;

/// A moment said, and the tokens that say it.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub time: ZonedDateTime,
    pub first: usize,
    pub last: usize,
}

pub(super) const DAYS: &[(&str, Weekday)] = &[
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
    ("mon", Weekday::Monday),
    ("tues", Weekday::Tuesday),
    ("tue", Weekday::Tuesday),
    ("weds", Weekday::Wednesday),
    ("wed", Weekday::Wednesday),
    ("thurs", Weekday::Thursday),
    ("thur", Weekday::Thursday),
    ("thu", Weekday::Thursday),
    ("fri", Weekday::Friday),
];
pub const MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

pub fn is_day_name(word: &str) -> bool {
    DAYS.iter().any(|(name, _)| *name == word) || MONTHS.contains(&word)
}

/// The first moment said, never later than now.
pub fn said(tokens: &[Token], quantities: &[Quantity], now: &ZonedDateTime) -> Option<Said> {
    (0..tokens.len()).find_map(|at| {
        by_word(tokens, at, now)
            .or_else(|| ago(tokens, quantities, at, now))
            .or_else(|| by_date(tokens, at, now))
    })
}

/// The day that the words from a token on name, and the token that ends them.
pub(super) fn day_at(tokens: &[Token], at: usize, now: &ZonedDateTime) -> Option<(Date, usize)> {
    let said = by_word(tokens, at, now).or_else(|| by_date(tokens, at, now))?;
    Some((said.time.date(), said.last))
}

/// A time of day on a day, but not after now.
fn at_hour(now: &ZonedDateTime, date: Date, hour: i8) -> Option<ZonedDateTime> {
    let time = date.at(hour, 0, 0, 0).to_zoned_datetime(now.time_zone().clone()).ok()?;
    Some(if time > *now { now.clone() } else { time })
}

fn by_word(tokens: &[Token], at: usize, now: &ZonedDateTime) -> Option<Said> {
    let today = now.date();
    let yesterday = today.checked_sub(1.day()).ok()?;
    let (one, two) = (text_at(tokens, at), text_at(tokens, at + 1));
    let (time, length) = match (one, two) {
        ("today" | "tonight", _) => (now.clone(), 1),
        // Scots "the day" is today, where nothing follows it.
        ("the", "day") if is_scots_today(tokens, at) => (now.clone(), 2),
        ("this", "morning" | "am") => (at_hour(now, today, 8)?, 2),
        ("this", "afternoon" | "arvo" | "pm") => (at_hour(now, today, 14)?, 2),
        ("lunchtime" | "dinnertime", _) => (at_hour(now, today, 12)?, 1),
        ("first", "thing") => (at_hour(now, today, 7)?, 2),
        ("this", "evening") => (at_hour(now, today, 18)?, 2),
        ("just", "now") => (now.clone(), 2),
        ("yesterday", "morning") => (at_hour(now, yesterday, 8)?, 2),
        ("yesterday", "afternoon" | "arvo") => (at_hour(now, yesterday, 14)?, 2),
        ("yesterday", _) => (at_hour(now, yesterday, 12)?, 1),
        ("last", "night") => (at_hour(now, yesterday, 20)?, 2),
        ("last", "week") => (at_hour(now, today.checked_sub(7.days()).ok()?, 12)?, 2),
        ("day", "before") if text_at(tokens, at + 2) == "yesterday" => {
            (at_hour(now, today.checked_sub(2.days()).ok()?, 12)?, 3)
        }
        ("a", "fortnight") if is_ago(tokens, at + 2) => {
            (at_hour(now, today.checked_sub(14.days()).ok()?, 12)?, 3)
        }
        // By themselves these are a verb and the sun.
        ("sat", "morning" | "afternoon" | "evening") => (weekday(now, "saturday")?, 1),
        ("sun", "morning" | "afternoon" | "evening") => (weekday(now, "sunday")?, 1),
        ("sat" | "sun", _) if is_short_day(tokens, at) => {
            let day = if one == "sat" { "saturday" } else { "sunday" };
            (weekday(now, day)?, 1)
        }
        ("last" | "on" | "past", "sat") => (weekday(now, "saturday")?, 2),
        ("last" | "on" | "past", "sun") => (weekday(now, "sunday")?, 2),
        ("last" | "on" | "this" | "past", day) => (weekday(now, day)?, 2),
        (day, next) => (weekday(now, day)?, 1 + usize::from(next == "gone")),
    };
    Some(Said { time, first: at, last: at + length - 1 })
}

/// "Greased walker 2 sat": where the words end, behind what sits nowhere.
fn is_short_day(tokens: &[Token], at: usize) -> bool {
    const SITS: &[&str] = &[
        "it", "that", "this", "has", "have", "which", "just", "unit", "the", "in", "full", "reel", "knife", "been",
        "mower", "machine", "he", "she", "they", "blade", "roller",
    ];
    let ends = tokens.get(at + 1).is_none_or(|next| next.kind == Kind::Sign);
    ends && at > 1 && !SITS.contains(&text_at(tokens, at - 1))
}

/// "Gied her a lap the day,": after a word, at the end of a clause.
fn is_scots_today(tokens: &[Token], at: usize) -> bool {
    let ends = tokens.get(at + 2).is_none_or(|next| next.kind == Kind::Sign);
    let before = at.checked_sub(1).map_or("of", |before| text_at(tokens, before));
    let spans = ["of", "in", "on", "for", "all", "through", "during", "later", "with"];
    ends && !spans.contains(&before)
}

/// The latest such day before today.
fn weekday(now: &ZonedDateTime, day: &str) -> Option<ZonedDateTime> {
    let (_, day) = DAYS.iter().find(|(name, _)| *name == day)?;
    let date = now.date().nth_weekday(-1, *day).ok()?;
    at_hour(now, date, 12)
}

/// "Three weeks ago", "three weeks back"; in "two days back to back" and "a week back on it" it is none.
fn is_ago(tokens: &[Token], at: usize) -> bool {
    let next = text_at(tokens, at + 1);
    let ends = !matches!(next, "to" | "on" | "in" | "at" | "then" | "up");
    text_at(tokens, at) == "ago" || (text_at(tokens, at) == "back" && ends)
}

/// "Two days ago", "3 weeks ago", "a week ago".
fn ago(tokens: &[Token], quantities: &[Quantity], at: usize, now: &ZonedDateTime) -> Option<Said> {
    let quantity = quantities.iter().find(|quantity| quantity.first == at)?;
    if !is_ago(tokens, quantity.last + 1) {
        return None;
    }
    let days = match quantity.unit? {
        "days" => quantity.value,
        "weeks" => quantity.value * 7.0,
        "months" => quantity.value * 30.0,
        "h" => {
            let seconds = (quantity.value * 3_600.0) as i64;
            let time = now.checked_sub(seconds.seconds()).ok()?;
            return Some(Said { time, first: at, last: quantity.last + 1 });
        }
        _ => return None,
    };
    if !(0.0..=36_500.0).contains(&days) {
        return None;
    }
    let date = now.date().checked_sub((days as i64).days()).ok()?;
    Some(Said { time: at_hour(now, date, 12)?, first: at, last: quantity.last + 1 })
}

/// "14 March", "the 14th of March", "March 14", "2026-03-14", "on the 14th".
fn by_date(tokens: &[Token], at: usize, now: &ZonedDateTime) -> Option<Said> {
    if let Some((date, last)) = written_date(tokens, at).or_else(|| short_date(tokens, at, now)) {
        return Some(Said { time: at_hour(now, date, 12)?, first: at, last });
    }
    let month = |at: usize| {
        let word = text_at(tokens, at);
        // "May" and "march" are words too: they need the day beside them, which is asked below.
        let short = |name: &str| (3..=4).contains(&word.len()) && name.starts_with(word);
        MONTHS.iter().position(|name| *name == word || short(name))
    };
    // "14th of March", "3-Jun".
    let of = usize::from(matches!(text_at(tokens, at + 1), "of" | "-"));
    let day_first = day_number(tokens, at)
        .zip(month(at + 1 + of))
        .map(|(day, month)| (day, month, at + 1 + of));
    let month_first =
        month(at).zip(day_number(tokens, at + 1)).map(|(month, day)| (day, month, at + 1));
    if let Some((day, month, last)) = day_first.or(month_first) {
        let month = i8::try_from(month + 1).ok()?;
        let date = past_date(now, |year| Date::new(year, month, day).ok())?;
        return Some(Said { time: at_hour(now, date, 12)?, first: at, last });
    }
    // "On the 14th": of this month, or of the last when it has not come yet.
    let ordinal = text_at(tokens, at).ends_with(|ch: char| ch.is_ascii_lowercase())
        && at >= 1
        && text_at(tokens, at - 1) == "the"
        && ((at >= 2 && text_at(tokens, at - 2) == "on") || stands_alone(tokens, at));
    let place = |next: &Token| matches!(next.text.as_str(), "green" | "tee" | "fairway" | "hole");
    let ends = tokens.get(at + 1).is_none_or(|next| !place(next));
    let day = day_number(tokens, at).filter(|_| ordinal && ends)?;
    let this = now.date().with().day(day).build().ok().filter(|date| *date <= now.date());
    let date =
        this.or_else(|| now.date().checked_sub(1.month()).ok()?.with().day(day).build().ok())?;
    Some(Said { time: at_hour(now, date, 12)?, first: at, last: at })
}

/// "Done the 7th", "the 7th, 40 min": what the number is of stands nowhere.
fn stands_alone(tokens: &[Token], at: usize) -> bool {
    const BEHIND: &[&str] = &["and", "it", "took", "by", "at", "with", "we", "he", "she", "they"];
    tokens.get(at + 1).is_none_or(|next| {
        next.kind == Kind::Sign || BEHIND.contains(&next.text.as_str())
    })
}

/// "2026-03-14", "14/3/2026", "14.3.26": the day first unless there is no such month.
fn written_date(tokens: &[Token], at: usize) -> Option<(Date, usize)> {
    let number = |at: usize| text_at(tokens, at).parse::<i16>().ok();
    let parted = |sign: &str| text_at(tokens, at + 1) == sign && text_at(tokens, at + 3) == sign;
    if (parted("/") || parted("-"))
        && let [Some(first), Some(second), Some(year)] = [at, at + 2, at + 4].map(number)
        && ((1950..=2200).contains(&year) || (0..100).contains(&year))
        && (1..=31).contains(&first)
    {
        let year = if year < 100 { 2000 + year } else { year };
        let date = |day: i16, month: i16| {
            Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
        };
        return date(first, second).or_else(|| date(second, first)).map(|date| (date, at + 4));
    }
    let year = number(at).filter(|year| parted("-") && (1950..=2200).contains(year))?;
    let month = i8::try_from(number(at + 2)?).ok()?;
    let day = i8::try_from(number(at + 4)?).ok()?;
    Some((Date::new(year, month, day).ok()?, at + 4))
}

/// "14/3", "9/14": a day and a month between the signs or ends of a note, the day first unless there
/// is no such month. "3/16" is a part of an inch, and "4/6" after a word is of what the word names.
fn short_date(tokens: &[Token], at: usize, now: &ZonedDateTime) -> Option<(Date, usize)> {
    let number = |at: usize| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Number)?;
        token.text.parse::<i8>().ok().filter(|number| (1..=31).contains(number))
    };
    let sign = |at: usize| tokens.get(at).is_none_or(|token| token.kind == Kind::Sign);
    let (first, second) = number(at).zip(number(at + 2))?;
    let slash = |at: usize| text_at(tokens, at) == "/";
    if !slash(at + 1) || slash(at + 3) || at.checked_sub(1).is_some_and(slash) {
        return None;
    }
    let part = first < second && matches!(second, 2 | 3 | 4 | 8 | 16);
    let padded = [at, at + 2].iter().any(|at| text_at(tokens, *at).starts_with('0'));
    let begins = at == 0 || sign(at - 1);
    let dated = at > 0 && matches!(text_at(tokens, at - 1), "on" | "dated" | "the");
    let alone = (begins || dated || sign(at + 3)) && unit_at(tokens, at + 3).is_none();
    if (part && !padded) || !alone {
        return None;
    }
    let date = |day: i8, month: i8| past_date(now, |year| Date::new(year, month, day).ok());
    date(first, second).or_else(|| date(second, first)).map(|date| (date, at + 2))
}

fn day_number(tokens: &[Token], at: usize) -> Option<i8> {
    let word = text_at(tokens, at);
    let digits = word.trim_end_matches(|ch: char| ch.is_ascii_lowercase());
    digits.parse::<i8>().ok().filter(|day| (1..=31).contains(day) && digits.len() <= 2)
}

fn past_date(now: &ZonedDateTime, date: impl Fn(i16) -> Option<Date>) -> Option<Date> {
    let this = date(now.date().year());
    this.filter(|date| *date <= now.date()).or_else(|| date(now.date().year() - 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::said::numbers::quantities;
    use crate::domain::language::text::tokens;

    #[test]
    fn days_are_counted_from_the_moment_given() {
        // The calendar of November 2026 (geometry): the 27th is a Friday.
        let now: ZonedDateTime = "2026-11-27T10:30:00+00:00[UTC]".parse().expect("a time");
        let rows = [
            ("done today", "2026-11-27T10:30:00Z"),
            ("backlapped this morning", "2026-11-27T08:00:00Z"),
            ("this afternoon", "2026-11-27T10:30:00Z"),
            ("yesterday", "2026-11-26T12:00:00Z"),
            ("last Tuesday", "2026-11-24T12:00:00Z"),
            ("on Friday", "2026-11-20T12:00:00Z"),
            ("two days ago", "2026-11-25T12:00:00Z"),
            ("a week ago", "2026-11-20T12:00:00Z"),
            ("on 14 March", "2026-03-14T12:00:00Z"),
            ("on December 3rd", "2025-12-03T12:00:00Z"),
            ("2026-03-14", "2026-03-14T12:00:00Z"),
            ("14/11/2025", "2025-11-14T12:00:00Z"),
            ("9 Sept", "2026-09-09T12:00:00Z"),
            ("on the 12th, early", "2026-11-12T12:00:00Z"),
            ("this arvo", "2026-11-27T10:30:00Z"),
            ("the 7th, 40 min", "2026-11-07T12:00:00Z"),
            ("done on sat", "2026-11-21T12:00:00Z"),
            ("ground thurs", "2026-11-26T12:00:00Z"),
        ];
        for (words, time) in rows {
            let tokens = tokens(words);
            let found = said(&tokens, &quantities(&tokens), &now).expect(words);
            assert_eq!(found.time.timestamp().to_string(), time, "{words}");
        }
        let tokens = tokens("the march of time may end");
        assert_eq!(said(&tokens, &[], &now), None);
    }
}
