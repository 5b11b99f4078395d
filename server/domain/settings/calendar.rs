//! What date is so many days after another? Dates are written YYYY-MM-DD in the Gregorian calendar.
//! Deliberately absent: today. A clock is the caller's.
//!
//! Days are counted from 1 March of year 0, so that the leap day is the last of its year.

use super::SettingError;

const DAYS_PER_400_YEARS: i64 = 146_097;

/// A day, counted from 0000-03-01.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(i64);

impl Date {
    /// Reads YYYY-MM-DD, from year 1900 to 2200.
    pub fn parse(field: &str, text: &str) -> Result<Date, SettingError> {
        let refuse = || {
            let remedy = "write a date of the calendar as YYYY-MM-DD, from 1900 to 2200";
            SettingError::new(field, text, remedy)
        };
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts[..] else { return Err(refuse()) };
        let figures = |part: &str, length: usize| {
            let well = part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit());
            part.parse::<i64>().ok().filter(|_| well).ok_or_else(refuse)
        };
        let (year, month, day) = (figures(year, 4)?, figures(month, 2)?, figures(day, 2)?);
        let date = Date::of(year, month, day);
        let real = (1..=12).contains(&month) && date.written() == text;
        if real && (1900..=2200).contains(&year) { Ok(date) } else { Err(refuse()) }
    }

    fn of(year: i64, month: i64, day: i64) -> Date {
        // March is month 0 of the shifted year; January and February end the year before.
        let shifted = (month + 9) % 12;
        let year = year - i64::from(month <= 2);
        let leap_days = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
        Date(365 * year + leap_days + (153 * shifted + 2) / 5 + day - 1)
    }

    pub fn plus_days(self, days: i64) -> Date {
        Date(self.0 + days)
    }

    /// YYYY-MM-DD.
    pub fn written(self) -> String {
        let era = self.0.div_euclid(DAYS_PER_400_YEARS);
        let day_of_era = self.0.rem_euclid(DAYS_PER_400_YEARS);
        let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524
            - day_of_era / (DAYS_PER_400_YEARS - 1))
            / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let shifted = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * shifted + 2) / 5 + 1;
        let month = (shifted + 2) % 12 + 1;
        let year = era * 400 + year_of_era + i64::from(month <= 2);
        format!("{year:04}-{month:02}-{day:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts of days that any calendar shows: leap years 2024 and 2000, none in 2100.
    #[test]
    fn days_are_counted_over_months_and_leap_years() {
        for (start, days, wanted) in [
            ("2026-03-01", 21, "2026-03-22"),
            ("2024-02-28", 1, "2024-02-29"),
            ("2026-02-28", 1, "2026-03-01"),
            ("2000-02-28", 2, "2000-03-01"),
            ("2100-02-28", 1, "2100-03-01"),
            ("2026-12-31", 1, "2027-01-01"),
            ("2026-01-01", 365, "2027-01-01"),
            ("2024-01-01", 366, "2025-01-01"),
            ("1970-01-01", 20_000, "2024-10-04"),
        ] {
            let date = Date::parse("start_date", start).expect("a real date");
            assert_eq!(date.plus_days(days).written(), wanted);
            assert_eq!(Date::parse("start_date", wanted).expect("real").plus_days(-days), date);
        }
    }

    #[test]
    fn what_is_no_date_is_refused() {
        for text in [
            "",
            "2026-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-01-00",
            "26-01-01",
            "2026/01/01",
            "2026-1-1",
            "1899-12-31",
            "2201-01-01",
            "+026-01-01",
            "2026-04-31",
        ] {
            let error = Date::parse("start_date", text).expect_err(text);
            assert_eq!(error.field, "start_date");
        }
    }
}
