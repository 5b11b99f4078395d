//! Which day to come is an event that a plan has to be done by: "by Easter", "before Christmas", "in
//! time for 1 May"? A plan of heights is then counted back from it.
//! Deliberately absent: days that lie behind (`periods`, `dates`).

use jiff::civil::{Date, date};
use jiff::{ToSpan, ZonedDateTime};

use super::calculations::Asked;
use super::dates::{DAYS, MONTHS};
use super::filled::{Filled, Value};
use crate::domain::language::text::Token;
use crate::domain::said::numbers::Quantity;
use crate::domain::settings::height_plan::{HeightPlanInputs, height_plan};
use crate::domain::wording::upper_first;

/// Words before the day by which it is done.
const BY: &[&str] = &["by", "before", "for", "until", "till", "to"];
pub(super) const HEIGHT_PLAN: &str = "height_plan";

/// An event that is named, its day, and the tokens that say it.
pub(super) struct Event {
    pub name: String,
    pub day: Date,
    pub first: usize,
    pub last: usize,
}

/// The event to come that the words name behind "by" or the like.
pub(super) fn named(tokens: &[Token], now: &ZonedDateTime) -> Option<Event> {
    let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let today = now.date();
    (0..tokens.len()).filter(|at| BY.contains(&word(*at))).find_map(|first| {
        let mut at = first + 1;
        while matches!(word(at), "the" | "start" | "beginning" | "of" | "end" | "my" | "our") {
            at += 1;
        }
        let year = today.year();
        let of_year = |year: i16| -> Option<(Date, usize, String)> {
            if let Some(month) = MONTHS.iter().position(|month| *month == word(at)) {
                // "June 1", "June 1st".
                let behind = word(at + 1).trim_end_matches(char::is_alphabetic);
                let number: Option<i8> = behind.parse().ok();
                let of_month = i8::try_from(month + 1).ok()?;
                let of = |number| Some((number, Date::new(year, of_month, number).ok()?));
                if let Some((number, day)) = number.and_then(of) {
                    return Some((day, at + 1, format!("{number} {}", upper_first(word(at)))));
                }
                let day = date(year, i8::try_from(month + 1).ok()?, 1);
                return Some((day, at, upper_first(word(at))));
            }
            let number: Option<i8> = word(at).trim_end_matches(char::is_alphabetic).parse().ok();
            let month = MONTHS.iter().position(|month| *month == word(at + 1));
            if let (Some(number), Some(month)) = (number, month) {
                let day = Date::new(year, i8::try_from(month + 1).ok()?, number).ok()?;
                return Some((day, at + 1, format!("{number} {}", upper_first(word(at + 1)))));
            }
            if let Some((day, last)) = weekday_ahead(&word, at, today) {
                return Some((day, last, upper_first(word(at))));
            }
            match word(at) {
                "easter" => Some((easter(year)?, at, "Easter".to_owned())),
                "christmas" | "xmas" => Some((date(year, 12, 25), at, "Christmas".to_owned())),
                _ => None,
            }
        };
        let years = [year, year + 1];
        let found = years.into_iter().filter_map(of_year).find(|(day, ..)| *day > today)?;
        let (day, last, name) = found;
        Some(Event { name, day, first, last })
    })
}

/// "Saturday", "Saturday week": the next of that name, or the one a week after it.
fn weekday_ahead<'a>(
    word: &dyn Fn(usize) -> &'a str,
    at: usize,
    today: Date,
) -> Option<(Date, usize)> {
    let (_, named) = DAYS.iter().find(|(name, _)| *name == word(at) && name.len() > 4)?;
    let next = today.tomorrow().ok()?;
    let ahead = next.weekday().until(*named);
    let week = word(at + 1) == "week";
    let day = next.checked_add(i64::from(ahead + if week { 7 } else { 0 }).days()).ok()?;
    Some((day, at + usize::from(week)))
}

/// Takes numbers out of a plan that only say the day: the 12 of "by 12 December".
pub(super) fn without_the_day(asked: &mut Asked, event: &Event, quantities: &[Quantity]) {
    let of_day = |index: usize| (event.first..=event.last).contains(&quantities[index].first);
    let taken = asked.placed.iter().filter(|(index, ..)| of_day(*index));
    let fields: Vec<String> = taken.map(|(_, field, _)| field.clone()).collect();
    for field in &fields {
        asked.filled.remove(field);
    }
    asked.placed.retain(|(index, ..)| !of_day(*index));
}

/// Easter Sunday of the Gregorian calendar: the first Sunday after the full moon on or after 21
/// March (the anonymous computus of 1876; from memory).
pub(super) fn easter(year: i16) -> Option<Date> {
    let year_i = i32::from(year);
    let golden = year_i % 19;
    let (century, rest) = (year_i / 100, year_i % 100);
    let leap = (century / 4, century % 4);
    let shift = (century - (century + 8) / 25 + 1) / 3;
    let moon = (19 * golden + century - leap.0 - shift + 15) % 30;
    let week = (32 + 2 * leap.1 + 2 * (rest / 4) - moon - rest % 4) % 7;
    let late = (golden + 11 * moon + 22 * week) / 451;
    let count = moon + week - 7 * late + 114;
    Date::new(year, i8::try_from(count / 31).ok()?, i8::try_from(count % 31 + 1).ok()?).ok()
}

/// Counts a plan of heights back from the event that is its end; how that is told.
pub(super) fn end_of_a_plan(asked: &mut Asked, event: &Event, today: Date) -> Option<String> {
    let filled: &Filled = &asked.filled;
    let free = !filled.has("start_date") && !filled.has("time_available_days");
    if !free {
        return None;
    }
    let number = |field: &str| match filled.get(field) {
        Some(Value::Number(value)) => Some(*value),
        _ => None,
    };
    let plan = height_plan(&HeightPlanInputs {
        current_height_mm: number("current_height_mm"),
        target_height_mm: number("target_height_mm"),
        mowing_interval_days: number("mowing_interval_days"),
        max_removed_fraction: number("max_removed_fraction"),
        growth_mm_per_day: number("growth_mm_per_day"),
        step_limit_mm: number("step_limit_mm"),
        ..HeightPlanInputs::default()
    });
    // Whole days, far inside an i64.
    let days = plan.ok()?.steps.last()?.day.ceil() as i64;
    let start = event.day.checked_sub(days.days()).ok()?;
    let told = |day: Date| day.strftime("%-d %b %Y").to_string();
    let (name, day) = (&event.name, told(event.day));
    let of_day = match day.starts_with(name.as_str()) {
        true => day.clone(),
        false => format!("{name}, {day}"),
    };
    if start < today {
        asked.filled.number("time_available_days", f64::from((event.day - today).get_days()));
        return Some(format!("{of_day}, is sooner than such steps need; day 0 is today."));
    }
    asked.filled.text("start_date", &start.to_string());
    Some(format!("Counted back from {of_day}: day 0 is {} at the latest.", told(start)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn an_event_lies_ahead() {
        // Easter days from memory: 5 Apr 2026, 28 Mar 2027, 16 Apr 2028.
        let now: ZonedDateTime = "2026-11-28T10:30:00+00:00[UTC]".parse().expect("a time");
        for (words, wanted) in [
            ("down to 3 by easter", Some("2027-03-28")),
            ("before Christmas", Some("2026-12-25")),
            ("for the start of may", Some("2027-05-01")),
            ("by 12 june", Some("2027-06-12")),
            (".140 to .115 by june 1", Some("2027-06-01")),
            ("by june 1st", Some("2027-06-01")),
            ("3.5 to 3.0", None),
        ] {
            let found = named(&tokens(words), &now).map(|event| event.day.to_string());
            assert_eq!(found.as_deref(), wanted, "{words}");
        }
        let days = [2026, 2028].map(|year| easter(year).expect("a day").to_string());
        assert_eq!(days, ["2026-04-05", "2028-04-16"]);
    }
}
