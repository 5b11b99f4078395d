//! Did a change help? Faults before it and after it over their hours: all together, and by cause,
//! as how many times the rate before is the rate after, with the exact interval.
//! Deliberately absent: why. Weather and people change too; the interval only says what chance
//! cannot do.

use std::collections::BTreeMap;

use super::books::Books;
use super::faults::Exposure;
use super::rates::{Counted, Rate, ratio};
use super::{CONFIDENCE, Period};
use crate::domain::records::Moment;

#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Empty: all causes together.
    pub cause: String,
    pub before: Counted,
    pub after: Counted,
    /// None where nothing can be compared; `high` is infinite when nothing was counted before.
    pub ratio: Option<Rate>,
}

impl Compared {
    /// In words: fewer, more, or no more than chance.
    pub fn verdict(&self) -> &'static str {
        match self.ratio {
            None => "not enough readings to compare",
            Some(ratio) if ratio.high < 1.0 => "fewer than before",
            Some(ratio) if ratio.low > 1.0 => "more than before",
            Some(_) => "no more apart than chance would have it",
        }
    }
}

/// All together first, then by cause, most counted first.
pub fn compare(books: &Books, period: Period, change: Moment) -> Vec<Compared> {
    let halves = [Period { until: change, ..period }, Period { from: change, ..period }];
    let exposures = halves.map(|half| Exposure::new(books, half));
    let hours = [0, 1].map(|half| exposures[half].of_machines());
    let mut counts: BTreeMap<&str, [u32; 2]> = BTreeMap::new();
    let mut all = [0; 2];
    for (half, exposure) in exposures.iter().enumerate() {
        for fault in exposure.faults().filter(|fault| exposure.counts(fault)) {
            all[half] += 1;
            if !fault.cause.is_empty() {
                counts.entry(&fault.cause).or_default()[half] += 1;
            }
        }
    }
    let row = |cause: &str, counts: [u32; 2]| {
        let [before, after] =
            [0, 1].map(|half| Counted { count: counts[half], exposure_h: hours[half] });
        let cause = cause.to_owned();
        Compared { cause, before, after, ratio: ratio(before, after, CONFIDENCE) }
    };
    let mut rows: Vec<Compared> =
        counts.iter().map(|(cause, counts)| row(cause, *counts)).collect();
    rows.sort_by(|a, b| {
        let counted = |row: &Compared| row.before.count + row.after.count;
        counted(b).cmp(&counted(a)).then_with(|| a.cause.cmp(&b.cause))
    });
    rows.insert(0, row("", all));
    rows
}
