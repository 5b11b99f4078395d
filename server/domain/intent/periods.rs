//! From when to when do the words look back: "last spring", "last week", "in March", "this year",
//! "since Monday"? Deliberately absent: the clock; now comes in.

use jiff::civil::{Date, date};
use jiff::{ToSpan, ZonedDateTime};

use super::dates::MONTHS;
use crate::domain::language::text::Token;

/// First moment, and the first moment after.
#[derive(Clone, Debug, PartialEq)]
pub struct Period {
    pub start: ZonedDateTime,
    pub end: ZonedDateTime,
    /// The tokens that say it.
    pub first: usize,
    pub last: usize,
}

/// The first period said, by the seasons of the northern half of the earth.
pub fn said(tokens: &[Token], now: &ZonedDateTime) -> Option<Period> {
    (0..tokens.len()).find_map(|at| at_token(tokens, at, now))
}

fn at_token(tokens: &[Token], at: usize, now: &ZonedDateTime) -> Option<Period> {
    let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let today = now.date();
    let days = |back: i32| today.checked_sub(back.days()).ok();
    let tomorrow = today.checked_add(1.day()).ok()?;
    let (start, end, length) = match (word(at), word(at + 1)) {
        ("last" | "past" | "previous", "week") => (days(7)?, tomorrow, 2),
        ("last" | "past" | "previous", "month") => (days(31)?, tomorrow, 2),
        ("last" | "previous", "year" | "season") => {
            (date(today.year() - 1, 1, 1), date(today.year(), 1, 1), 2)
        }
        ("this", "year" | "season") => (date(today.year(), 1, 1), tomorrow, 2),
        ("this", "month") => (today.first_of_month(), tomorrow, 2),
        ("this", "week") => (days(7)?, tomorrow, 2),
        ("last" | "this" | "in" | "previous", name) => {
            let (start, end) = season(name, today).or_else(|| month(name, today))?;
            (start, end, 2)
        }
        _ => return None,
    };
    let zone = now.time_zone();
    let moment = |day: Date| day.at(0, 0, 0, 0).to_zoned_datetime(zone.clone()).ok();
    Some(Period { start: moment(start)?, end: moment(end)?, first: at, last: at + length - 1 })
}

/// The latest such season that has begun.
fn season(name: &str, today: Date) -> Option<(Date, Date)> {
    let first = match name {
        "spring" => 3,
        "summer" => 6,
        "autumn" | "fall" => 9,
        "winter" => 12,
        _ => return None,
    };
    latest(first, 3, today)
}

fn month(name: &str, today: Date) -> Option<(Date, Date)> {
    let at = MONTHS.iter().position(|known| *known == name)?;
    latest(i8::try_from(at + 1).ok()?, 1, today)
}

fn latest(first: i8, months: i32, today: Date) -> Option<(Date, Date)> {
    let this = Date::new(today.year(), first, 1).ok()?;
    let start = if this <= today { this } else { Date::new(today.year() - 1, first, 1).ok()? };
    Some((start, start.checked_add(months.months()).ok()?))
}
