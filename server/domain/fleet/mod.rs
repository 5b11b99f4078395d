//! What does the shop's history say to whoever runs it? What is due, how each unit stands, what
//! keeps coming back, which remedies held, where time and parts go, what a change did, the card
//! above the bench, and the heights of a season.
//! Deliberately absent: reading records (they come in as they stand, each once and in any order),
//! the clock (`now` comes in), and the words of cautions and references, which are named by id.
//!
//! Order of reading: books (what is kept) -> ledger (one pass over the records) -> meter (hours at
//! any time) -> rates, control_chart (the statistics) -> due, then wear, intervals and lives ->
//! state -> faults, remedies, change -> costs, months -> card -> heights.

pub mod books;
pub mod card;
pub mod change;
pub mod control_chart;
pub mod costs;
pub mod due;
pub mod faults;
pub mod heights;
pub mod intervals;
pub mod ledger;
pub mod lives;
pub mod meter;
pub mod months;
pub mod parts;
pub mod rates;
pub mod remedies;
pub mod state;
pub mod wear;

use super::records::Moment;

pub use books::{Books, Entry};
pub use ledger::Ledger;

/// Confidence of every interval, unless an answer says another.
pub const CONFIDENCE: f64 = 0.90;

/// From a moment up to and not including another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Period {
    pub from: Moment,
    pub until: Moment,
}

impl Period {
    pub fn holds(self, time: Moment) -> bool {
        self.from <= time && time < self.until
    }
}

pub const DAY_US: i64 = 86_400_000_000;

/// Days from one moment to another; minus when it lies before.
pub fn days_between(from: Moment, to: Moment) -> f64 {
    (to.microseconds() - from.microseconds()) as f64 / DAY_US as f64
}

/// A moment so many days later; finer than a second is cut.
pub fn after_days(from: Moment, days: f64) -> Moment {
    // Within a few hundred years, far from the ends of i64.
    from.plus_seconds((days * 86_400.0) as i64)
}

/// The date of a moment, as 2026-03-14.
pub fn date(moment: Moment) -> String {
    let text = moment.to_string();
    text.split('T').next().unwrap_or_default().to_owned()
}

/// The middle of some numbers; none without any.
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// The value below which a share of the numbers lies, between neighbours in a straight line.
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    let place = share * last as f64;
    let low = place.floor();
    // Between 0 and the last index.
    let (at, part) = (low as usize, place - low);
    let next = sorted[(at + 1).min(last)];
    Some(sorted[at] + part * (next - sorted[at]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Type 7 quantiles of 1, 2, 3, 4 as numpy.quantile gives them.
    #[test]
    fn quantiles_lie_between_neighbours() {
        let values = [4.0, 1.0, 3.0, 2.0];
        assert_eq!(median(&values), Some(2.5));
        assert_eq!(quantile(&values, 0.25), Some(1.75));
        assert_eq!(quantile(&[7.0], 0.9), Some(7.0));
        assert_eq!(quantile(&[], 0.5), None);
    }
}
