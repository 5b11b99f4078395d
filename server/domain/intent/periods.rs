//! From when to when do the words look back: "last spring", "this time last year", "since June",
//! "between March and May", "in 2025", "the past three weeks"?
//! Deliberately absent: the clock and the half of the earth; both come in.

use jiff::civil::{Date, date};
use jiff::{Span, ToSpan, ZonedDateTime};

use super::dates::{self, MONTHS};
use super::events::easter;
use crate::domain::language::text::{Token, tokens};
use crate::domain::said::numerals::SMALL;

/// First moment, and the first moment after; either may be open.
#[derive(Clone, Debug, PartialEq)]
pub struct Period {
    pub start: Option<ZonedDateTime>,
    pub end: Option<ZonedDateTime>,
    /// The tokens that say it.
    pub first: usize,
    pub last: usize,
    /// A season was named, which lies elsewhere on the other half of the earth.
    seasonal: bool,
    southern: bool,
}

/// Months as they are written short.
const SHORT_MONTHS: &[(&str, &str)] = &[
    ("jan", "january"), ("feb", "february"), ("mar", "march"), ("apr", "april"), ("jun", "june"),
    ("jul", "july"), ("aug", "august"), ("sep", "september"), ("sept", "september"),
    ("oct", "october"), ("nov", "november"), ("dec", "december"),
];
/// Days of a month in words.
const ORDINALS: &[&str] = &[
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth",
    "eighteenth", "nineteenth", "twentieth",
];
/// Words before a month that take a part of it, which is then told whole.
const PART_OF: &[&str] =
    &["early", "late", "mid", "middle", "end", "start", "beginning", "whole", "all", "month"];
/// Days on either side of "this time last year".
const ABOUT_DAYS: i64 = 30;

/// The first period said. `southern`: seasons are those of the southern half of the earth.
pub fn said(tokens: &[Token], now: &ZonedDateTime, southern: bool) -> Option<Period> {
    let reader = Reader { tokens, now, today: now.date(), southern };
    (0..tokens.len()).find_map(|at| reader.period(at))
}

/// Every period said, in order; years count that stand alone: "2025 and 2026".
pub fn all_said(tokens: &[Token], now: &ZonedDateTime, southern: bool) -> Vec<Period> {
    let reader = Reader { tokens, now, today: now.date(), southern };
    let (mut all, mut at): (Vec<Period>, usize) = (Vec::new(), 0);
    while at < tokens.len() {
        let bare = || reader.bare_year(at).or_else(|| reader.bare_month(at));
        let elliptic = || all.last().and_then(|before| reader.and_this(at, before));
        let found = reader.period(at).or_else(bare).or_else(elliptic);
        at = found.as_ref().map_or(at, |period| period.last) + 1;
        all.extend(found);
    }
    all
}

/// The period in a query, and the query without the words that say it.
pub fn taken_out(query: &str, now: &ZonedDateTime, southern: bool) -> Option<(Period, String)> {
    let all = tokens(query);
    let period = said(&all, now, southern)?;
    let (from, to) = (all[period.first].start, all[period.last].end);
    let behind = &query[to..];
    let behind = ["'s", "\u{2019}s"].iter().find_map(|s| behind.strip_prefix(s)).unwrap_or(behind);
    let rest = format!("{} {behind}", &query[..from]);
    Some((period, rest.split_whitespace().collect::<Vec<_>>().join(" ")))
}

impl Period {
    /// "1 Mar 2026 to 31 May 2026, by the seasons of the northern half of the earth".
    pub fn told(&self) -> String {
        let day = |time: &ZonedDateTime| time.strftime("%-d %b %Y").to_string();
        let last = |time: &ZonedDateTime| {
            time.checked_sub(1.day()).map_or_else(|_| day(time), |t| day(&t))
        };
        let days = match (&self.start, &self.end) {
            (Some(start), Some(end)) => format!("{} to {}", day(start), last(end)),
            (Some(start), None) => format!("from {}", day(start)),
            (None, Some(end)) => format!("up to {}", last(end)),
            (None, None) => "any day".to_owned(),
        };
        let half = if self.southern { "southern" } else { "northern" };
        match self.seasonal {
            true => format!("{days}, by the seasons of the {half} half of the earth"),
            false => days,
        }
    }
}

/// Days from the first to the one after the last, and the token that ends the words.
#[derive(Clone, Copy)]
struct Days {
    start: Date,
    end: Date,
    last: usize,
    seasonal: bool,
}

#[derive(Clone, Copy, PartialEq)]
enum Which {
    /// The latest that has begun.
    Begun,
    /// The latest that is over.
    Over,
}

struct Reader<'a> {
    tokens: &'a [Token],
    now: &'a ZonedDateTime,
    today: Date,
    southern: bool,
}

impl Reader<'_> {
    fn word(&self, at: usize) -> &str {
        match self.tokens.get(at).map_or("", |token| token.text.as_str()) {
            "yr" => "year",
            "yrs" => "years",
            "wk" => "week",
            "wks" => "weeks",
            "mth" => "month",
            "mths" => "months",
            "til" => "till",
            word => SHORT_MONTHS.iter().find(|(short, _)| *short == word).map_or(word, |two| two.1),
        }
    }

    fn period(&self, at: usize) -> Option<Period> {
        let tomorrow = self.today.checked_add(1.day()).ok()?;
        let next = at + 1;
        match self.word(at) {
            "since" | "after" => {
                let days = self.days(next)?;
                // "Since the summer", once it is over: since it ended.
                let named = !matches!(self.word(next), "last" | "this" | "past" | "previous");
                let over = days.seasonal && named && days.end <= self.today;
                let ended = self.word(at) == "after" || over;
                let start = if ended { days.end } else { days.start };
                // Nothing is after today.
                let period = self.made(at, days.last, Some(start), Some(tomorrow), days.seasonal);
                period.filter(|_| start < tomorrow)
            }
            "from" | "between" => {
                let one = self.days(next)?;
                let joins =
                    matches!(self.word(one.last + 1), "to" | "until" | "till" | "and" | "-");
                if let Some(last) = self.to_now(one.last + 1) {
                    return self.made(at, last, Some(one.start), Some(tomorrow), one.seasonal);
                }
                match joins.then(|| self.days(one.last + 2)).flatten() {
                    Some(two) if two.end > one.start => {
                        let seasonal = one.seasonal || two.seasonal;
                        self.made(at, two.last, Some(one.start), Some(two.end), seasonal)
                    }
                    _ => self.made(at, one.last, Some(one.start), Some(one.end), one.seasonal),
                }
            }
            "before" => {
                if let Some(period) = self.before_the_coming(at) {
                    return Some(period);
                }
                let days = self.days(next)?;
                self.made(at, days.last, None, Some(days.start), days.seasonal)
            }
            "until" | "till" => {
                let days = self.days(next)?;
                self.made(at, days.last, None, Some(days.end), days.seasonal)
            }
            "in" | "during" | "over" | "on" | "for" => {
                let days = self.days(next)?;
                self.made(at, days.last, Some(days.start), Some(days.end), days.seasonal)
            }
            // "At the end of October".
            "at" if self.behind_part(next + 1) > next + 1 => {
                let days = self.days(next)?;
                self.made(at, days.last, Some(days.start), Some(days.end), days.seasonal)
            }
            _ => {
                let days = self.days(at).filter(|days| self.stands_alone(at, days))?;
                self.made(at, days.last, Some(days.start), Some(days.end), days.seasonal)
            }
        }
    }

    /// "Before the winter", said in the season that leads to it: since that one began.
    fn before_the_coming(&self, at: usize) -> Option<Period> {
        let name = at + 1 + usize::from(matches!(self.word(at + 1), "the" | "this"));
        let first = season(self.word(name), self.southern)?;
        let of = usize::from(matches!(self.word(name + 1), "of" | "in"));
        let dated = self.year(name + 1 + of).is_some() || self.word(name + 1 + of) == "last";
        let year = self.today.year();
        let coming = [year, year + 1].into_iter().filter_map(|year| Date::new(year, first, 1).ok());
        let coming = coming.filter(|day| *day > self.today).min()?;
        let since = coming.checked_sub(3.months()).ok().filter(|since| *since <= self.today)?;
        // On its first days hardly anything of it has been, and what "was" done is of the last.
        let been = since.checked_add(1.months()).is_ok_and(|enough| enough <= self.today);
        let asked_now = !(0..at).any(|at| matches!(self.word(at), "did" | "was" | "were"));
        if dated || !been || !asked_now {
            return None;
        }
        self.made(at, name, Some(since), Some(coming), true)
    }

    /// "Until now", "to date", "onwards": its last token.
    fn to_now(&self, at: usize) -> Option<usize> {
        match (self.word(at), self.word(at + 1)) {
            ("on" | "onward" | "onwards", _) => Some(at),
            ("to" | "until" | "till" | "up", "now" | "date" | "today" | "present") => Some(at + 1),
            ("up", "to") if matches!(self.word(at + 2), "now" | "date" | "today") => Some(at + 2),
            _ => None,
        }
    }

    /// "Last season and this": the noun of before is not said again.
    fn and_this(&self, at: usize, before: &Period) -> Option<Period> {
        let joined = at == before.last + 1 && matches!(self.word(at),
            "and" | "or" | "vs" | "versus" | "against" | "than" | "to" | "with" | "compared");
        let at = at + usize::from(self.word(at) == "compared");
        // "And this one".
        let one = usize::from(self.word(at + 2) == "one");
        let behind = self.word(at + 2 + one);
        let noun = self.word(before.last);
        let other = match (joined, self.word(at + 1), behind) {
            (true, "this", "" | "?" | "." | ",") => "this",
            (true, "last", "" | "?" | "." | ",") => "last",
            _ => return None,
        };
        let said = tokens(&format!("{other} {noun}"));
        let mut period = said_in(&said, self)?;
        (period.first, period.last) = (at + 1, at + 1 + one);
        Some(period)
    }

    /// A year of the last twenty that no unit or number follows.
    fn bare_year(&self, at: usize) -> Option<Period> {
        let year = self.year(at)?;
        let today = self.today.year();
        let counts = matches!(self.word(at + 1), "rpm" | "mm" | "h" | "hours" | "hrs" | "g" | "-");
        let days = self.days(at).filter(|_| (today - 20..=today).contains(&year) && !counts)?;
        self.made(at, days.last, Some(days.start), Some(days.end), false)
    }

    /// A month by its name alone; "may" is one behind "and".
    fn bare_month(&self, at: usize) -> Option<Period> {
        let before = at.checked_sub(1).map_or("", |before| self.word(before));
        let said = MONTHS.contains(&self.word(at)) && (self.word(at) != "may" || before == "and");
        let days = self.named(at, Which::Begun).filter(|_| said)?;
        self.made(at, days.last, Some(days.start), Some(days.end), false)
    }

    /// Whether the words are a time without "in" or "since" before them: "spring grinding" is none.
    fn stands_alone(&self, at: usize, days: &Days) -> bool {
        let begins =
            matches!(self.word(at), "last" | "past" | "previous" | "this" | "today" | "yesterday");
        let year = self.word(days.last).len() == 4 && self.year(days.last).is_some();
        begins || self.word(days.last) == "ago" || (year && days.last > at)
    }

    fn made(
        &self,
        first: usize,
        last: usize,
        start: Option<Date>,
        end: Option<Date>,
        seasonal: bool,
    ) -> Option<Period> {
        let zone = self.now.time_zone();
        let moment = |day: Date| day.at(0, 0, 0, 0).to_zoned_datetime(zone.clone()).ok();
        let (start, end) = (start.map(moment), end.map(moment));
        if matches!(start, Some(None)) || matches!(end, Some(None)) {
            return None;
        }
        let (start, end, southern) = (start.flatten(), end.flatten(), self.southern);
        Some(Period { start, end, first, last, seasonal, southern })
    }

    /// The days that words from a token on name.
    fn days(&self, at: usize) -> Option<Days> {
        let at = self.behind_part(at + usize::from(self.word(at) == "the"));
        let plain =
            |start: Date, end: Date, last: usize| Days { start, end, last, seasonal: false };
        match (self.word(at), self.word(at + 1)) {
            ("this", "time") if self.word(at + 2) == "last" && self.word(at + 3) == "year" => {
                let about = self.today.checked_sub(1.year()).ok()?;
                let start = about.checked_sub(ABOUT_DAYS.days()).ok()?;
                let end = about.checked_add((ABOUT_DAYS + 1).days()).ok()?;
                return Some(plain(start, end, at + 3));
            }
            ("last" | "previous", "month") => {
                let end = self.today.first_of_month();
                return Some(plain(end.checked_sub(1.month()).ok()?, end, at + 1));
            }
            ("last" | "past" | "previous", _) => {
                return self.last(at + 1).or_else(|| self.named(at + 1, Which::Over));
            }
            ("this", "year") => return Some(plain(self.year_start(0)?, self.tomorrow()?, at + 1)),
            ("this", "season") => {
                return Some(plain(self.season_start(0)?, self.tomorrow()?, at + 1));
            }
            ("this", "month") => {
                return Some(plain(self.today.first_of_month(), self.tomorrow()?, at + 1));
            }
            ("this", "week") => {
                return Some(plain(self.back(7.days())?, self.tomorrow()?, at + 1));
            }
            ("this", _) => return self.named(at + 1, Which::Begun),
            _ => {}
        }
        if let Some(year) = self.year(at) {
            return Some(plain(date(year, 1, 1), date(year + 1, 1, 1), at))
                .filter(|_| self.word(at + 1) != "-")
                .or_else(|| self.day(at));
        }
        let day = self.ago(at).or_else(|| self.day(at)).or_else(|| self.feast(at));
        day.or_else(|| self.named(at, Which::Begun))
    }

    /// The latest Christmas, Easter or New Year that has begun, with the day behind it.
    fn feast(&self, at: usize) -> Option<Days> {
        let last = at + usize::from((self.word(at), self.word(at + 1)) == ("new", "year"));
        let of = |year: i16| match self.word(at) {
            "christmas" | "xmas" => Some(date(year, 12, 25)),
            "easter" => easter(year),
            "new" if last > at => Some(date(year, 1, 1)),
            _ => None,
        };
        let year = self.today.year();
        let start = [year, year - 1].into_iter().filter_map(of).find(|day| *day <= self.today)?;
        Some(Days { start, end: start.checked_add(2.days()).ok()?, last, seasonal: false })
    }

    /// Behind "the month of", "the end of", "mid", where a month or season follows.
    fn behind_part(&self, at: usize) -> usize {
        if !PART_OF.contains(&self.word(at)) {
            return at;
        }
        let next = at + 1 + usize::from(matches!(self.word(at + 1), "of" | "-" | "in"));
        let next = next + usize::from(self.word(next) == "the");
        let name = self.word(next);
        let named = MONTHS.contains(&name) || season(name, self.southern).is_some();
        if named { next } else { at }
    }

    /// "The first of September", which no figure says.
    fn ordinal_day(&self, at: usize) -> Option<(Date, usize)> {
        let day = ORDINALS.iter().position(|name| *name == self.word(at))?;
        let of = usize::from(self.word(at + 1) == "of");
        let of = of + usize::from(of > 0 && self.word(at + 1 + of) == "the");
        let last = at + 1 + of;
        let month = MONTHS.iter().position(|name| *name == self.word(last))?;
        let made = |year: i16| {
            Date::new(year, i8::try_from(month).ok()? + 1, i8::try_from(day).ok()? + 1).ok()
        };
        let this = made(self.today.year())?;
        Some((if this > self.today { made(self.today.year() - 1)? } else { this }, last))
    }

    /// "Saturday week": a week after the next one, always ahead.
    fn day_week(&self, at: usize) -> Option<(Date, usize)> {
        let (_, day) = dates::DAYS.iter().find(|(name, _)| *name == self.word(at))?;
        let next = self.today.nth_weekday(1, *day).ok()?.checked_add(7.days()).ok()?;
        (self.word(at + 1) == "week").then_some((next, at + 1))
    }

    fn day(&self, at: usize) -> Option<Days> {
        let said = self.day_week(at).or_else(|| self.ordinal_day(at));
        let said = said.or_else(|| dates::day_at(self.tokens, at, self.now));
        let (day, last) = said?;
        // "14 March 2025": the year is said.
        let year = self.year(last + 1).filter(|_| self.word(last) != "yesterday");
        let said = year.and_then(|year| Some((day.with().year(year).build().ok()?, last + 1)));
        let (day, last) = said.unwrap_or((day, last));
        Some(Days { start: day, end: day.checked_add(1.day()).ok()?, last, seasonal: false })
    }

    /// "Last week", "past month", "last three months", "last year", "last season".
    fn last(&self, at: usize) -> Option<Days> {
        let days = |start, end, last| Some(Days { start, end, last, seasonal: false });
        match self.word(at) {
            "week" => days(self.back(7.days())?, self.tomorrow()?, at),
            "month" => days(self.back(31.days())?, self.tomorrow()?, at),
            "year" => days(self.year_start(1)?, self.year_start(0)?, at),
            "season" => days(self.season_start(1)?, self.season_start(0)?, at),
            _ => {
                let span = spans(self.count(at)?, self.word(at + 1))?;
                days(self.back(span)?, self.tomorrow()?, at + 1)
            }
        }
    }

    /// "Two weeks ago": as exact as it is said.
    fn ago(&self, at: usize) -> Option<Days> {
        let (count, unit) = (self.count(at)?, self.word(at + 1));
        if self.word(at + 2) != "ago" {
            return None;
        }
        let middle = self.back(spans(count, unit)?)?;
        let about = match unit.trim_end_matches('s') {
            "day" => 0,
            "week" => 3,
            "month" => 15,
            _ => ABOUT_DAYS,
        };
        let start = middle.checked_sub(about.days()).ok()?;
        let end = middle.checked_add((about + 1).days()).ok()?;
        Some(Days { start, end, last: at + 2, seasonal: false })
    }

    /// A season or month by its name, with its year where that is said.
    fn named(&self, at: usize, which: Which) -> Option<Days> {
        let name = self.word(at);
        let season = season(name, self.southern);
        let month = || MONTHS.iter().position(|known| *known == name).map(|at| at as i8 + 1);
        let (first, months) = season.map(|first| (first, 3)).or_else(|| Some((month()?, 1)))?;
        let of = usize::from(matches!(self.word(at + 1), "of" | "in"));
        let seasonal = season.is_some();
        if let Some(year) = self.year(at + 1 + of) {
            let start = Date::new(year, first, 1).ok()?;
            let end = start.checked_add(months.months()).ok()?;
            return Some(Days { start, end, last: at + 1 + of, seasonal });
        }
        // "June last year", "June of this year".
        let back = match (self.word(at + 1 + of), self.word(at + 2 + of)) {
            ("last", "year") => Some(1),
            ("this", "year") => Some(0),
            _ => None,
        };
        if let Some(back) = back {
            let start = Date::new(self.today.year() - back, first, 1).ok()?;
            let end = start.checked_add(months.months()).ok()?;
            return Some(Days { start, end, last: at + 2 + of, seasonal });
        }
        let mut year = self.today.year();
        loop {
            let start = Date::new(year, first, 1).ok()?;
            let end = start.checked_add(months.months()).ok()?;
            let fits = match which {
                Which::Begun => start <= self.today,
                Which::Over => end <= self.today,
            };
            if fits {
                return Some(Days { start, end, last: at, seasonal });
            }
            year -= 1;
        }
    }

    fn year(&self, at: usize) -> Option<i16> {
        let word = self.word(at);
        let year: i16 = word.parse().ok().filter(|_| word.len() == 4)?;
        (1950..=2200).contains(&year).then_some(year)
    }

    /// The first of January, so many years back.
    fn year_start(&self, back: i16) -> Option<Date> {
        Date::new(self.today.year() - back, 1, 1).ok()
    }

    /// When the mowing season began: with the year, or in the south with July (common practice, no
    /// source).
    fn season_start(&self, back: i16) -> Option<Date> {
        if !self.southern {
            return self.year_start(back);
        }
        let this = Date::new(self.today.year(), 7, 1).ok()?;
        let begun = i16::from(this > self.today);
        Date::new(self.today.year() - back - begun, 7, 1).ok()
    }

    fn tomorrow(&self) -> Option<Date> {
        self.today.checked_add(1.day()).ok()
    }

    fn back(&self, span: Span) -> Option<Date> {
        self.today.checked_sub(span).ok()
    }

    fn count(&self, at: usize) -> Option<i32> {
        let word = self.word(at);
        let named = SMALL[1..=12].iter().position(|name| *name == word).map(|at| at as i32 + 1);
        let a = matches!(word, "a" | "an").then_some(1);
        let figures = || word.parse().ok().filter(|count| (1..=1_000).contains(count));
        named.or(a).or_else(figures)
    }
}

fn said_in(said: &[Token], of: &Reader) -> Option<Period> {
    Reader { tokens: said, now: of.now, today: of.today, southern: of.southern }.period(0)
}

/// First month of a season.
fn season(name: &str, southern: bool) -> Option<i8> {
    let northern = match name {
        "spring" => 3,
        "summer" => 6,
        "autumn" | "fall" => 9,
        "winter" => 12,
        _ => return None,
    };
    // Half a year apart.
    Some(if southern { (northern + 5) % 12 + 1 } else { northern })
}

fn spans(count: i32, unit: &str) -> Option<Span> {
    Some(match unit.trim_end_matches('s') {
        "day" => count.days(),
        "week" => (count * 7).days(),
        "month" => count.months(),
        "year" => count.years(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> ZonedDateTime {
        "2026-11-28T10:30:00+00:00[UTC]".parse().expect("a time")
    }

    fn days(words: &str, southern: bool) -> Option<String> {
        let period = said(&tokens(words), &now(), southern)?;
        let day = |time: &Option<ZonedDateTime>| {
            time.as_ref().map_or_else(|| "..".to_owned(), |time| time.date().to_string())
        };
        Some(format!("{} {}", day(&period.start), day(&period.end)))
    }

    #[test]
    fn days_are_those_of_the_calendar() {
        // Meteorological seasons begin with March, June, September and December (WMO usage; from
        // memory); 28 November 2026 is a Saturday (geometry of the calendar).
        for (words, wanted) in [
            ("what did we do last spring", "2026-03-01 2026-06-01"),
            ("last autumn", "2025-09-01 2025-12-01"),
            ("this autumn", "2026-09-01 2026-12-01"),
            ("last winter's grinding", "2025-12-01 2026-03-01"),
            ("in the summer of 2024", "2024-06-01 2024-09-01"),
            ("spring 2025", "2025-03-01 2025-06-01"),
            ("since christmas", "2025-12-25 2026-11-29"),
            ("since easter", "2026-04-05 2026-11-29"),
            ("since the new year", "2026-01-01 2026-11-29"),
            ("this time last year", "2025-10-29 2025-12-29"),
            ("since June", "2026-06-01 2026-11-29"),
            ("since last spring", "2026-03-01 2026-11-29"),
            ("since 14 March", "2026-03-14 2026-11-29"),
            ("since 2026-03-14", "2026-03-14 2026-11-29"),
            ("since Monday", "2026-11-23 2026-11-29"),
            ("between March and May", "2026-03-01 2026-06-01"),
            ("from June to August", "2026-06-01 2026-09-01"),
            ("in the month of May this year", "2026-05-01 2026-06-01"),
            ("in sept", "2026-09-01 2026-10-01"),
            ("in Aug last year", "2025-08-01 2025-09-01"),
            ("in mid Oct", "2026-10-01 2026-11-01"),
            ("since the first of September", "2026-09-01 2026-11-29"),
            ("from September until now", "2026-09-01 2026-11-29"),
            ("from 1 Sept onwards", "2026-09-01 2026-11-29"),
            ("at the end of oct", "2026-10-01 2026-11-01"),
            ("in 2025", "2025-01-01 2026-01-01"),
            ("before June", ".. 2026-06-01"),
            ("has it been done before the winter", "2026-09-01 2026-12-01"),
            ("before this winter", "2026-09-01 2026-12-01"),
            ("was it done before the winter", ".. 2025-12-01"),
            ("before the summer", ".. 2026-06-01"),
            ("before the winter of 2025", ".. 2025-12-01"),
            ("till Saturday week", ".. 2026-12-13"),
            ("before monday week", ".. 2026-12-07"),
            ("the past three weeks", "2026-11-07 2026-11-29"),
            ("last 2 months", "2026-09-28 2026-11-29"),
            ("last month", "2026-10-01 2026-11-01"),
            ("the past month", "2026-10-28 2026-11-29"),
            ("two weeks ago", "2026-11-11 2026-11-18"),
            ("yesterday", "2026-11-27 2026-11-28"),
            ("last year", "2025-01-01 2026-01-01"),
            ("last season", "2025-01-01 2026-01-01"),
        ] {
            assert_eq!(days(words, false).as_deref(), Some(wanted), "{words}");
        }
    }

    #[test]
    fn every_time_that_is_said_is_heard_where_several_stand_side_by_side() {
        for (words, wanted) in [
            ("last season vs this one", "2025-01-01 2026-01-01, 2026-01-01 2026-11-29"),
            ("last year compared with this", "2025-01-01 2026-01-01, 2026-01-01 2026-11-29"),
            ("and oct", "2026-10-01 2026-11-01"),
            ("2025 and 2026", "2025-01-01 2026-01-01, 2026-01-01 2027-01-01"),
            ("last year vs this year", "2025-01-01 2026-01-01, 2026-01-01 2026-11-29"),
            ("and july", "2026-07-01 2026-08-01"),
            ("june last year", "2025-06-01 2025-07-01"),
            ("it may be dull at 2100 rpm", ""),
            ("compare june and july", "2026-06-01 2026-07-01, 2026-07-01 2026-08-01"),
        ] {
            let all = all_said(&tokens(words), &now(), false);
            let day = |time: &Option<ZonedDateTime>| {
                time.as_ref().map_or_else(|| "..".to_owned(), |time| time.date().to_string())
            };
            let told = all.iter().map(|one| format!("{} {}", day(&one.start), day(&one.end)));
            assert_eq!(told.collect::<Vec<_>>().join(", "), wanted, "{words}");
        }
    }

    #[test]
    fn seasons_of_the_southern_half_lie_half_a_year_apart() {
        for (words, wanted) in [
            ("last spring", "2025-09-01 2025-12-01"),
            ("this spring", "2026-09-01 2026-12-01"),
            ("last summer", "2025-12-01 2026-03-01"),
            ("last autumn", "2026-03-01 2026-06-01"),
            ("last winter", "2026-06-01 2026-09-01"),
            ("this season", "2026-07-01 2026-11-29"),
            ("last season", "2025-07-01 2026-07-01"),
            ("last June", "2026-06-01 2026-07-01"),
        ] {
            assert_eq!(days(words, true).as_deref(), Some(wanted), "{words}");
        }
    }

    #[test]
    fn words_that_are_no_time_stay() {
        for words in [
            "spring grinding plan",
            "streaks after topdressing",
            "the last grind",
            "this reel",
            "march of time",
            "may be dull",
            "since we hit a root",
            "from unit 2 to unit 3",
            "the winter",
            "past fixes",
        ] {
            assert_eq!(days(words, false), None, "{words}");
        }
        let (_, rest) = taken_out("last spring's streaks on unit 2", &now(), false).expect("said");
        assert_eq!(rest, "streaks on unit 2");
        let (period, rest) = taken_out("streaks since June", &now(), false).expect("said");
        assert_eq!(
            (rest.as_str(), period.told().as_str()),
            ("streaks", "1 Jun 2026 to 28 Nov 2026")
        );
    }
}
