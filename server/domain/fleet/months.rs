//! How did the season go, month by month? Hours, faults, minutes and parts, and months whose faults
//! lie outside the limits that chance sets (chart of counts over unequal hours).
//! Deliberately absent: months that have not begun.

use super::Period;
use super::books::Books;
use super::control_chart::{Limits, of_counts};
use super::date;
use super::faults::Exposure;
use super::rates::Counted;
use crate::domain::records::Moment;

/// A chart of fewer months says nothing.
const MONTHS_MIN: usize = 3;

#[derive(Debug, Clone, PartialEq)]
pub struct Month {
    /// As 2026-03.
    pub name: String,
    pub from: Moment,
    pub until: Moment,
    /// Faults with known hours, over the hours of all machines.
    pub faults: Counted,
    pub minutes: f64,
    pub part_count: u32,
    pub record_count: u32,
    /// Within which the rate an hour lies by chance; none with few months or hours.
    pub limits: Option<Limits>,
}

impl Month {
    /// Outside the limits: more, or fewer, than chance would have it.
    pub fn stands_out(&self) -> bool {
        self.limits.zip(self.faults.rate()).is_some_and(|(limits, rate)| !limits.hold(rate))
    }
}

pub fn months(books: &Books, period: Period) -> Vec<Month> {
    let until = period.until.min(books.now);
    let mut months: Vec<Month> = Vec::new();
    let mut from = period.from;
    while from < until {
        let end = next_month(from).min(until);
        months.push(of_month(books, Period { from, until: end }));
        from = end;
    }
    let all = months.iter().fold(Counted::default(), |sum, month| sum.and(month.faults));
    let with_hours = months.iter().filter(|month| month.faults.exposure_h > 0.0).count();
    if let Some(mean) = all.rate().filter(|_| with_hours >= MONTHS_MIN) {
        for month in &mut months {
            month.limits = of_counts(mean, month.faults);
        }
    }
    months
}

fn of_month(books: &Books, period: Period) -> Month {
    let exposure = Exposure::new(books, period);
    let count = exposure.faults().filter(|fault| exposure.counts(fault)).count();
    // Work lies in order of time.
    let first = books.work.partition_point(|work| work.time < period.from);
    let end = books.work.partition_point(|work| work.time < period.until);
    let work = &books.work[first..end];
    Month {
        name: date(period.from)[..7].to_owned(),
        from: period.from,
        until: period.until,
        // Counts are at most the number of records.
        faults: Counted { count: count as u32, exposure_h: exposure.of_machines() },
        minutes: work.iter().map(|one| one.minutes).sum(),
        part_count: work.iter().map(|one| one.part_count).sum(),
        record_count: work.len() as u32,
        limits: None,
    }
}

/// Midnight of the first day of the month after, in UTC.
fn next_month(moment: Moment) -> Moment {
    let text = date(moment);
    let mut parts = text.split('-').map(|part| part.parse::<i32>().unwrap_or(1));
    let (year, month) = (parts.next().unwrap_or(1970), parts.next().unwrap_or(1));
    let (year, month) = if month == 12 { (year + 1, 1) } else { (year, month + 1) };
    let text = format!("{year:04}-{month:02}-01T00:00:00Z");
    Moment::parse("month", &text, None).unwrap_or(moment.plus_seconds(31 * 86_400))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_follow_each_other_over_the_year() {
        let at = |text: &str| Moment::parse("time", text, None).expect("a time");
        assert_eq!(next_month(at("2026-12-31T23:59:59Z")), at("2027-01-01T00:00:00Z"));
        assert_eq!(next_month(at("2028-02-01T00:00:00Z")), at("2028-03-01T00:00:00Z"));
    }
}
