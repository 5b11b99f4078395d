//! When did it happen? A moment to the microsecond, written and read as RFC 3339.
//! Deliberately absent: now (it comes in as an argument) and time zones. A date without a time of
//! day is noon in UTC, which is the same date nearly everywhere.

use std::fmt;

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::RecordError;

/// Microseconds since the start of 1970 in UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(i64);

/// 1950-01-01: no shop's history that is typed in goes back further.
pub const EARLIEST: Moment = Moment(-631_152_000_000_000);
/// How far ahead of the clock a time may lie: clocks and time zones differ, the future does not
/// happen.
pub const AHEAD_MAX_S: i64 = 86_400;

const REMEDY: &str = "write 2026-03-14, 2026-03-14 07:30 (UTC) or 2026-03-14T07:30:00+01:00";

/// How a date written with slashes or dots is to be read; without this it is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    DayFirst,
    MonthFirst,
}

impl Moment {
    pub const fn from_microseconds(microseconds: i64) -> Moment {
        Moment(microseconds)
    }

    pub const fn microseconds(self) -> i64 {
        self.0
    }

    pub const fn plus_seconds(self, seconds: i64) -> Moment {
        Moment(self.0.saturating_add(seconds.saturating_mul(1_000_000)))
    }

    /// Seconds and nanoseconds as a protocol timestamp gives them; finer than a microsecond is cut.
    pub fn from_timestamp(field: &str, seconds: i64, nanos: i32) -> Result<Moment, RecordError> {
        let whole = seconds.checked_mul(1_000_000);
        let fine = i64::from(nanos) / 1_000;
        match whole.and_then(|whole| whole.checked_add(fine)) {
            Some(microseconds) if (0..1_000_000_000).contains(&nanos) => Ok(Moment(microseconds)),
            _ => Err(RecordError::new(field, format!("{seconds} s {nanos} ns"), REMEDY)),
        }
    }

    pub fn parse(field: &str, text: &str, order: Option<DateOrder>) -> Result<Moment, RecordError> {
        let text = text.trim();
        let fail = |remedy: &str| RecordError::new(field, text, remedy);
        if let Ok(timestamp) = text.parse::<Timestamp>() {
            return Ok(Moment(timestamp.as_microsecond()));
        }
        if text.contains(['/', '.']) && !text.contains(':') {
            let Some(order) = order else {
                return Err(fail(
                    "say whether the day or the month comes first, or write it as \
                    2026-03-14",
                ));
            };
            return slashed(text, order).and_then(noon).ok_or_else(|| fail(REMEDY));
        }
        // A date alone also parses as a time of day at midnight, so dates go first.
        if text.len() == "2026-03-14".len() {
            return text.parse().ok().and_then(noon).ok_or_else(|| fail(REMEDY));
        }
        let civil = text.parse::<DateTime>().map_err(|_| fail(REMEDY))?;
        in_utc(civil).ok_or_else(|| fail(REMEDY))
    }

    /// Whether the moment can be that of work done, when it is now `now`.
    pub fn check(self, field: &str, now: Moment) -> Result<Moment, RecordError> {
        if self < EARLIEST {
            Err(RecordError::new(field, self, "give a time in or after 1950"))
        } else if self > now.plus_seconds(AHEAD_MAX_S) {
            Err(RecordError::new(field, self, "it lies in the future; record work when it is done"))
        } else {
            Ok(self)
        }
    }
}

fn noon(date: Date) -> Option<Moment> {
    in_utc(date.at(12, 0, 0, 0))
}

fn in_utc(time: DateTime) -> Option<Moment> {
    let timestamp = TimeZone::UTC.to_timestamp(time).ok()?;
    Some(Moment(timestamp.as_microsecond()))
}

/// 14/3/2026 or 14.3.2026, in the order given. Two-digit years are refused.
fn slashed(text: &str, order: DateOrder) -> Option<Date> {
    let parts: Vec<&str> = text.split(['/', '.']).map(str::trim).collect();
    let [first, second, year] = parts[..] else { return None };
    if year.len() != 4 {
        return None;
    }
    let (day, month) = match order {
        DateOrder::DayFirst => (first, second),
        DateOrder::MonthFirst => (second, first),
    };
    Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let start = Timestamp::UNIX_EPOCH;
        match start.checked_add(SignedDuration::from_micros(self.0)) {
            Ok(timestamp) => write!(f, "{timestamp}"),
            Err(_) => write!(f, "{} microseconds from 1970", self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds since 1970 as `date -u -d ... +%s` gives them (geometry of the calendar).
    #[test]
    fn times_are_read_as_written() {
        for (text, order, seconds) in [
            ("2026-03-14T07:30:00Z", None, 1_773_473_400),
            ("2026-03-14T07:30:00+01:00", None, 1_773_469_800),
            ("2026-03-14 07:30", None, 1_773_473_400),
            ("2026-03-14", None, 1_773_489_600),
            ("14/3/2026", Some(DateOrder::DayFirst), 1_773_489_600),
            ("03/14/2026", Some(DateOrder::MonthFirst), 1_773_489_600),
            ("14.03.2026", Some(DateOrder::DayFirst), 1_773_489_600),
        ] {
            let moment = Moment::parse("time", text, order).expect(text);
            assert_eq!(moment.microseconds(), seconds * 1_000_000, "{text}");
        }
    }

    #[test]
    fn doubtful_times_are_refused() {
        for (text, order) in [
            ("03/04/2026", None),
            ("14/3/26", Some(DateOrder::DayFirst)),
            ("13/14/2026", Some(DateOrder::DayFirst)),
            ("2026-02-30", None),
            ("yesterday", None),
            ("", None),
            ("2026-03-14 25:00", None),
        ] {
            let error = Moment::parse("time", text, order).expect_err(text);
            assert_eq!(error.field, "time");
            assert!(!error.remedy.is_empty());
        }
    }

    #[test]
    fn a_moment_reads_back_what_it_writes() {
        for microseconds in [0, 1, -1, 1_773_473_400_123_456, EARLIEST.0] {
            let moment = Moment(microseconds);
            assert_eq!(Moment::parse("time", &moment.to_string(), None), Ok(moment));
        }
        assert_eq!(EARLIEST.to_string(), "1950-01-01T00:00:00Z");
    }

    #[test]
    fn work_is_not_recorded_before_it_is_done() {
        let now = Moment::parse("now", "2026-03-14T07:30:00Z", None).expect("a time");
        assert!(now.plus_seconds(AHEAD_MAX_S).check("time", now).is_ok());
        assert!(now.plus_seconds(AHEAD_MAX_S + 1).check("time", now).is_err());
        assert!(EARLIEST.plus_seconds(-1).check("time", now).is_err());
        assert!(Moment::from_timestamp("time", i64::MAX, 0).is_err());
        assert!(Moment::from_timestamp("time", 0, -1).is_err());
    }
}
