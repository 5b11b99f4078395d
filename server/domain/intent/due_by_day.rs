//! How many hours of the machines may what is due lie away: "within 20 hours", "before the 12th, at 20
//! hours a week"? Days pick nothing out by themselves; with the hours of a week they do.

use jiff::{ToSpan, ZonedDateTime};

use super::Reader;
use super::dates::MONTHS;
use crate::domain::language::text::tokens;
use crate::domain::units::convert;

const WEEK_DAYS: f64 = 7.0;
const DAY_S: f64 = 86_400.0;

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
        // Of a day that is over the next is meant; where none is said, a week from now.
        let said = || {
            let end = self.period()?.end?;
            if end > *now { Some(end) } else { end.checked_add(1.year()).ok() }
        };
        let day = self.day_and_month().or_else(|| self.next_of_the_month()).or_else(said);
        let no_day = !self.says(&["by", "before", "till", "until"]) && !self.says(MONTHS);
        let week = || now.checked_add(1.week()).ok().filter(|_| no_day);
        let day = day.filter(|day| day > now).or_else(week)?;
        let days = (day.timestamp().as_second() - now.timestamp().as_second()) as f64 / DAY_S;
        Some(ByDay { week_h, hours: (week_h * days / WEEK_DAYS).round().max(1.0), day })
    }

    /// "5 December", "December the 5th": the next, at its beginning.
    fn day_and_month(&self) -> Option<ZonedDateTime> {
        let tokens = &self.spoken.tokens;
        let at = tokens.iter().position(|token| MONTHS.contains(&token.text.as_str()))?;
        let month = MONTHS.iter().position(|month| *month == tokens[at].text)?;
        let number = |at: usize| {
            let text = tokens.get(at)?.text.trim_end_matches(|ch: char| ch.is_alphabetic());
            text.parse::<i8>().ok()
        };
        let before = at.checked_sub(1).and_then(number);
        let number = before.or_else(|| (1..=2).find_map(|more| number(at + more)))?;
        let now = &self.question.now;
        let month = i8::try_from(month + 1).ok()?;
        let first = now.with().month(month).day(number).build().ok()?.start_of_day().ok()?;
        if first > *now { Some(first) } else { first.checked_add(1.year()).ok() }
    }

    /// "The 12th": the next day of that number, at its beginning.
    fn next_of_the_month(&self) -> Option<ZonedDateTime> {
        let number = self.question.text.split_whitespace().find_map(|word| {
            let word = word.trim_matches(|ch: char| !ch.is_alphanumeric()).to_lowercase();
            let figures = ["st", "nd", "rd", "th"].iter().find_map(|end| word.strip_suffix(end))?;
            figures.parse::<i8>().ok()
        })?;
        let now = &self.question.now;
        let first = now.first_of_month().ok()?.start_of_day().ok()?;
        let months = (0..=2).filter_map(|more| first.checked_add(more.months()).ok());
        months.filter_map(|month| month.with().day(number).build().ok()).find(|day| day > now)
    }

    /// "Within 20 hours".
    pub(super) fn within_h(&self) -> Option<f64> {
        if hours_a_week(self.question.text).is_some() {
            return self.by_the_day().map(|by_day| by_day.hours);
        }
        self.spoken.quantities.iter().find_map(|quantity| {
            let unit = quantity.unit?;
            convert(quantity.value, unit, "h")
        })
    }
}

/// "About 20 hrs a week", "3 hours per day": hours a week.
pub fn hours_a_week(words: &str) -> Option<f64> {
    let all = tokens(words);
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    (0..all.len()).find_map(|at| {
        let hours = text(at).parse::<f64>().ok().filter(|hours| *hours > 0.0)?;
        let of_hours = matches!(text(at + 1), "h" | "hr" | "hrs" | "hour" | "hours");
        let each = matches!(text(at + 2), "a" | "per" | "each" | "every" | "/");
        match text(at + 3) {
            "day" if of_hours && each => Some(hours * WEEK_DAYS),
            "week" | "wk" if of_hours && each => Some(hours),
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
}
