//! How many hours of the machines may what is due lie away: "within 20 hours", "before the 12th, at 20
//! hours a week"? Days pick nothing out by themselves; with the hours of a week they do.

use std::ops::Range;

use jiff::civil::{Date, Weekday};
use jiff::{ToSpan, ZonedDateTime};

use super::Reader;
use super::dates::{DAYS, MONTHS};
use crate::domain::language::text::{Token, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{convert, plain};

const WEEK_DAYS: f64 = 7.0;
const MONTH_DAYS: f64 = 30.0;
const DAY_S: f64 = 86_400.0;
/// Nobody plans so many days ahead (common practice, no source).
const AHEAD_MAX_DAYS: f64 = 3_650.0;
/// What leads to a day that is not counted any more.
const TILL: &[&str] = &["by", "before", "till", "until", "til"];
/// What leads to a span that begins now.
const SPAN: &[&str] = &["in", "within", "over", "during", "for"];
/// What speaks of days, be they made out or not.
const OF_DAYS: &[&str] = &[
    "day", "days", "week", "weeks", "weekend", "fortnight", "fortnights", "month", "months", "season", "year", "years",
    "today", "tonight", "tomorrow", "spring", "summer", "autumn", "winter", "easter", "christmas",
];

/// Hours up to a day that is named.
pub(super) struct ByDay {
    pub week_h: f64,
    pub hours: f64,
    pub day: ZonedDateTime,
}

impl Reader<'_> {
    /// "By the 12th, at 20 hours a week".
    pub(super) fn by_the_day(&self) -> Option<ByDay> {
        let week_h = hours_a_week(self.question.text)?;
        let now = &self.question.now;
        let said = Days::of(&self.spoken.tokens, now);
        if said.hours_ahead().is_some() {
            return None;
        }
        let period = || self.period()?.end.filter(|end| end > now);
        let day = match said.named() {
            Named::Day(day) => Some(day),
            // "This season": where that is still to come.
            Named::Unclear => period(),
            Named::Nothing => now.checked_add(1.week()).ok(),
        };
        let day = day.filter(|day| day > now)?;
        let days = (day.timestamp().as_second() - now.timestamp().as_second()) as f64 / DAY_S;
        Some(ByDay { week_h, hours: (week_h * days / WEEK_DAYS).round().max(1.0), day })
    }

    /// Up to when that is, as it is told; that the hours a week are of no use where no day is made
    /// out.
    pub(super) fn told_by_the_day(&self) -> Option<String> {
        if let Some(by) = self.by_the_day() {
            return Some(format!(
                ", within {} h: {} h a week on each machine till {}",
                plain(by.hours), plain(by.week_h), by.day.strftime("%-d %b %Y")
            ));
        }
        let week_h = hours_a_week(self.question.text)?;
        Some(match Days::of(&self.spoken.tokens, &self.question.now).hours_ahead() {
            Some(hours) => format!(", within {} h", plain(hours)),
            None => format!(
                "; the {} h a week are not used, as no day was made out: say one, like \"by 12 December\"",
                plain(week_h)
            ),
        })
    }

    /// "Within 20 hours".
    pub(super) fn within_h(&self) -> Option<f64> {
        if hours_a_week(self.question.text).is_some() {
            let said = Days::of(&self.spoken.tokens, &self.question.now).hours_ahead();
            return said.or_else(|| self.by_the_day().map(|by_day| by_day.hours));
        }
        self.spoken.quantities.iter().find_map(|quantity| {
            let unit = quantity.unit?;
            convert(quantity.value, unit, "h")
        })
    }
}

/// The day that words name as the end.
#[derive(Debug, PartialEq)]
enum Named {
    Day(ZonedDateTime),
    /// One that is not made out.
    Unclear,
    Nothing,
}

/// Words and the moment they are said.
struct Days<'a> {
    all: &'a [Token],
    said: Vec<Quantity>,
    now: &'a ZonedDateTime,
    /// Tokens of "20 hours a week", which name no day.
    rate: Range<usize>,
}

impl<'a> Days<'a> {
    fn of(all: &'a [Token], now: &'a ZonedDateTime) -> Self {
        let rate = rate(all).map_or(0..0, |(at, _)| at..at + 4);
        Days { all, said: quantities(all), now, rate }
    }

    fn named(&self) -> Named {
        if let Some(month) = self.places().find_map(|at| Some((at, self.month_at(at)?))) {
            return self.in_month(month.0, month.1).map_or(Named::Unclear, Named::Day);
        }
        let day = self.of_a_month().or_else(|| self.weekday()).or_else(|| self.tomorrow());
        if let Some(day) = day.or_else(|| self.week_or_month()).or_else(|| self.span()) {
            return Named::Day(day);
        }
        let of_days = |at: usize| {
            let word = self.text(at);
            [TILL, OF_DAYS].iter().any(|list| list.contains(&word)) || self.is_weekday(at)
        };
        if self.places().any(of_days) { Named::Unclear } else { Named::Nothing }
    }

    fn text(&self, at: usize) -> &'a str {
        self.all.get(at).map_or("", |token| token.text.as_str())
    }

    fn back(&self, at: usize, by: usize) -> &'a str {
        at.checked_sub(by).map_or("", |at| self.text(at))
    }

    /// Tokens but those of the hours a week.
    fn places(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.all.len()).filter(|at| !self.rate.contains(at))
    }

    fn start(&self, date: Date) -> Option<ZonedDateTime> {
        date.at(0, 0, 0, 0).to_zoned_datetime(self.now.time_zone().clone()).ok()
    }

    /// The first of the month so many months on.
    fn first_of_month(&self, on: i64) -> Option<Date> {
        self.now.date().first_of_month().checked_add(on.months()).ok()
    }

    /// 1 to 31, as "5" or "5th", of no unit.
    fn day_number(&self, at: usize) -> Option<i8> {
        let word = self.text(at);
        let digits = word.trim_end_matches(|ch: char| ch.is_alphabetic());
        let end = matches!(&word[digits.len()..], "" | "st" | "nd" | "rd" | "th");
        let measure = self.said.iter().any(|one| one.first == at && one.unit.is_some());
        if !end || measure || self.rate.contains(&at) {
            return None;
        }
        digits.parse::<i8>().ok().filter(|day| (1..=31).contains(day))
    }

    /// "5 December", "5th of December", "December the 5th".
    fn day_beside(&self, at: usize) -> Option<i8> {
        let back = if self.back(at, 1) == "of" { 2 } else { 1 };
        let front = if self.text(at + 1) == "the" { 2 } else { 1 };
        let before = at.checked_sub(back).and_then(|at| self.day_number(at));
        before.or_else(|| self.day_number(at + front))
    }

    /// The month that a token names, from 1: "may" and "march" are words too.
    fn month_at(&self, at: usize) -> Option<i8> {
        const LEADS: &[&str] = &["of", "in", "end", "mid", "late", "early", "next", "this"];
        let word = self.text(at);
        let short = |name: &str| (3..=4).contains(&word.len()) && name.starts_with(word);
        let month = MONTHS.iter().position(|name| *name == word || short(name))?;
        let lead = self.back(at, 1);
        let said = LEADS.contains(&lead) || TILL.contains(&lead) || self.day_beside(at).is_some();
        i8::try_from(month + 1).ok().filter(|_| said)
    }

    /// The next such day, at its beginning; with no day, "by March" and "the end of March".
    fn in_month(&self, at: usize, month: i8) -> Option<ZonedDateTime> {
        let year = |at| self.text(at).parse::<i16>().ok().filter(|year| *year >= 2000);
        let year = (at + 1..=at + 3).find_map(year);
        let now = self.now.date().year();
        let coming = |date: &dyn Fn(i16) -> Option<Date>| {
            let years = year.map_or(now..=now + 1, |year| year..=year);
            years.filter_map(date).filter_map(|date| self.start(date)).find(|day| day > self.now)
        };
        if let Some(day) = self.day_beside(at) {
            return coming(&|year| Date::new(year, month, day).ok());
        }
        let lead = self.back(at, 1);
        let of = if lead == "of" { self.back(at, 2) } else { lead };
        let more = match of {
            "end" => 1,
            "start" | "beginning" => 0,
            _ if TILL.contains(&lead) => 0,
            _ => return None,
        };
        coming(&|year| Date::new(year, month, 1).ok()?.checked_add(i64::from(more).months()).ok())
    }

    /// "The 12th", "the 2nd of next month"; "the 4th green" is none.
    fn of_a_month(&self) -> Option<ZonedDateTime> {
        const COUNTED: &[&str] = &[
            "green", "greens", "tee", "tees", "hole", "holes", "fairway", "fairways", "unit", "reel", "cylinder", "head",
            "deck", "mower", "machine", "walker", "half", "week", "time", "grind", "gear", "one", "floor",
        ];
        let is = |at: &usize| {
            let ordinal = self.text(*at).ends_with(|ch: char| ch.is_alphabetic());
            ordinal && self.day_number(*at).is_some() && !COUNTED.contains(&self.text(at + 1))
        };
        let led = |at: &usize| {
            let lead = self.back(*at, 2);
            self.back(*at, 1) == "the" && (TILL.contains(&lead) || lead == "on")
        };
        let all: Vec<usize> = self.places().filter(is).collect();
        let at = *all.iter().find(|at| led(at)).or(all.first())?;
        let day = self.day_number(at)?;
        let next = (1..=3).map(|more| self.text(at + more)).eq(["of", "next", "month"]);
        let on = |on: i64| self.first_of_month(on)?.with().day(day).build().ok();
        let months = if next { 1..=1 } else { 0..=2 };
        months.filter_map(on).filter_map(|date| self.start(date)).find(|day| day > self.now)
    }

    fn is_weekday(&self, at: usize) -> bool {
        DAYS.iter().any(|(name, _)| *name == self.text(at))
    }

    /// "By Friday": the next one, at its beginning.
    fn weekday(&self) -> Option<ZonedDateTime> {
        let gone = |at: &usize| matches!(self.back(*at, 1), "last" | "past" | "since" | "every" | "each");
        let at = self.places().find(|at| self.is_weekday(*at) && !gone(at))?;
        let (_, day) = DAYS.iter().find(|(name, _)| *name == self.text(at))?;
        // "Saturday week", "a week on Saturday": a week after it.
        let on = self.back(at, 1) == "on" && self.back(at, 2) == "week";
        let week = self.text(at + 1) == "week" || on;
        let next = self.now.date().nth_weekday(1, *day).ok()?;
        self.start(if week { next.checked_add(1.week()).ok()? } else { next })
    }

    /// Before tomorrow, or till it is over.
    fn tomorrow(&self) -> Option<ZonedDateTime> {
        let at = self.places().find(|at| self.text(*at) == "tomorrow")?;
        let days = if TILL.contains(&self.back(at, 1)) { 1 } else { 2 };
        self.start(self.now.date().checked_add(i64::from(days).days()).ok()?)
    }

    /// "This week", "before next month", "by the end of the month", "in the next week".
    fn week_or_month(&self) -> Option<ZonedDateTime> {
        let at = self.places().find(|at| matches!(self.text(*at), "week" | "month"))?;
        let week = self.text(at) == "week";
        let ends = |on: i64| {
            let next = i32::try_from(on).ok()?;
            let monday = || self.now.date().nth_weekday(next, Weekday::Monday).ok();
            self.start(if week { monday()? } else { self.first_of_month(on)? })
        };
        let span = if week { 1.week() } else { 1.month() };
        let end = matches!(self.back(at, 3), "end" | "rest") && self.back(at, 2) == "of";
        match self.back(at, 1) {
            "this" => ends(1),
            "the" if end => ends(1),
            "next" if end => ends(2),
            "next" if TILL.contains(&self.back(at, 2)) => ends(1),
            "next" | "coming" if self.back(at, 2) == "the" => self.now.checked_add(span).ok(),
            "next" => ends(2),
            _ => None,
        }
    }

    /// Whether words of these stand in the two before a quantity.
    fn led(&self, one: &Quantity, list: &[&str]) -> bool {
        (1..=2).any(|by| list.contains(&self.back(one.first, by)))
    }

    /// "In the next 2 weeks": from now on.
    fn span(&self) -> Option<ZonedDateTime> {
        let days = self.said.iter().filter(|one| !self.rate.contains(&one.first)).find_map(|one| {
            let days = match one.unit? {
                "days" => 1.0,
                "weeks" => WEEK_DAYS,
                "fortnights" => 2.0 * WEEK_DAYS,
                "months" => MONTH_DAYS,
                _ => return None,
            };
            let of_now = self.led(one, SPAN) || self.led(one, &["next", "coming"]);
            Some(days * one.value).filter(|days| of_now && (0.0..=AHEAD_MAX_DAYS).contains(days))
        })?;
        self.now.checked_add(((days * DAY_S) as i64).seconds()).ok()
    }

    /// "Within 50 hours", beside the hours of a week.
    fn hours_ahead(&self) -> Option<f64> {
        self.said.iter().filter(|one| !self.rate.contains(&one.first)).find_map(|one| {
            let ahead = self.led(one, &["in", "within", "next", "coming", "under"]);
            one.unit.filter(|unit| ahead && *unit == "h").map(|_| one.value)
        })
    }
}

/// "About 20 hrs a week", "3 hours per day": hours a week.
pub fn hours_a_week(words: &str) -> Option<f64> {
    rate(&tokens(words)).map(|(_, hours)| hours)
}

/// Where that stands, and the hours of a week.
fn rate(all: &[Token]) -> Option<(usize, f64)> {
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    (0..all.len()).find_map(|at| {
        let hours = text(at).parse::<f64>().ok().filter(|hours| *hours > 0.0)?;
        let of_hours = matches!(text(at + 1), "h" | "hr" | "hrs" | "hour" | "hours");
        let each = matches!(text(at + 2), "a" | "per" | "each" | "every" | "/");
        match text(at + 3) {
            "day" if of_hours && each => Some((at, hours * WEEK_DAYS)),
            "week" | "wk" if of_hours && each => Some((at, hours)),
            _ => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_of_a_week_are_read() {
        for (words, wanted) in [
            ("we do about 20 hrs a week on the lot", Some(20.0)),
            ("3 hours per day", Some(21.0)),
            ("20 hours on it", None),
            ("twice a week", None),
        ] {
            assert_eq!(hours_a_week(words), wanted, "{words}");
        }
    }

    /// The calendar of November and December 2026 (geometry): the 30th is a Monday. "" is unclear.
    #[test]
    fn the_day_is_the_next_that_is_named() {
        let now: ZonedDateTime = "2026-11-30T17:30:00+00:00[UTC]".parse().expect("a time");
        for (words, wanted) in [
            ("what's due before friday, 20 hours a week", "2026-12-04"),
            ("what is due by monday at 20 hours a week", "2026-12-07"),
            ("what's due by the 5th of december, 20 hours per week", "2026-12-05"),
            ("due by december the 5th at 20 h a week", "2026-12-05"),
            ("due by 5 dec at 20 h a week", "2026-12-05"),
            ("due by the 1st of march at 20 h a week", "2027-03-01"),
            ("due before december 20 hours a week", "2026-12-01"),
            ("due by march, we do 20 hours a week", "2027-03-01"),
            ("due by the end of march, 20 hours a week", "2027-04-01"),
            ("due in the 2nd half of may at 20 h a week", ""),
            ("what may be due before friday at 20 h a week", "2026-12-04"),
            ("due in the next 2 weeks at 20 h a week", "2026-12-14"),
            ("due in 3 weeks at 20 h a week", "2026-12-21"),
            ("due within a fortnight at 20 h a week", "2026-12-14"),
            ("due in the next month at 15 hours a week", "2026-12-30"),
            ("due in the next week at 15 hours a week", "2026-12-07"),
            ("due next week at 15 hours a week", "2026-12-14"),
            ("due before next week at 15 hours a week", "2026-12-07"),
            ("due this week at 20 hours a week", "2026-12-07"),
            ("due by the end of the month at 20 hours a week", "2026-12-01"),
            ("due before the 2nd of next month at 20 hours a week", "2026-12-02"),
            ("due before tomorrow at 20 hours a week", "2026-12-01"),
            ("before the 4th green comp on the 12th, 20 hours a week", "2026-12-12"),
            ("due on the 7th green mower at 20 hours a week", "-"),
            ("due since last friday at 20 hours a week", ""),
            ("due by the cup at 20 hours a week", ""),
            ("what is due at 20 hours a week", "-"),
        ] {
            let all = tokens(words);
            let got = match Days::of(&all, &now).named() {
                Named::Day(day) => day.date().to_string(),
                Named::Unclear => String::new(),
                Named::Nothing => "-".to_owned(),
            };
            assert_eq!(got, wanted, "{words}");
        }
    }

    #[test]
    fn hours_ahead_stand_beside_those_of_a_week() {
        let now: ZonedDateTime = "2026-11-30T17:30:00+00:00[UTC]".parse().expect("a time");
        for (words, wanted) in [
            ("the triplex does 20 hours a week, what is due within 50 hours", Some(50.0)),
            ("due in the next 30 h, it does 20 hours a week", Some(30.0)),
            ("at 2010 hours, 20 hours a week, what is due by friday", None),
        ] {
            assert_eq!(Days::of(&tokens(words), &now).hours_ahead(), wanted, "{words}");
        }
    }
}
