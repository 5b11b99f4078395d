//! What keeps coming back? Faults by cause over all units, and by cause and unit with small numbers
//! drawn toward their like, as rates per 100 hours of the machine with intervals.
//! Deliberately absent: faults at times of which no hours are known; they are counted apart.

use std::collections::BTreeMap;

use super::books::{Books, Fault};
use super::rates::{Alike, Counted, Rate, alike, exact};
use super::{CONFIDENCE, Period};
use crate::domain::catalogue::Equipment;

/// Rows of causes by unit that are worked out to the end; the rest are counted.
pub const RETURNING_ROWS_MAX: usize = 100;
/// Once is chance.
const RETURNS_MIN: u32 = 2;

/// One cause over all units of a kind of equipment.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseRow {
    pub cause: String,
    pub equipment: Equipment,
    pub counted: Counted,
    /// An hour; none without hours.
    pub rate: Option<Rate>,
    /// Units on which it was found.
    pub unit_count: u32,
    pub minutes: f64,
    /// Found when no hours were known; not in the rate.
    pub without_hours: u32,
}

/// One cause on one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitRow {
    pub cause: String,
    pub unit: usize,
    pub counted: Counted,
    /// As counted, an hour.
    pub own: Option<f64>,
    /// Drawn toward the mean of the units that are alike.
    pub believed: Rate,
    pub mean: f64,
    /// Found here more often than chance would have it.
    pub comes_back: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Faults {
    /// Most time lost first.
    pub causes: Vec<CauseRow>,
    /// Highest believed rate first.
    pub units: Vec<UnitRow>,
    /// Rows that were left out of `units`.
    pub left_out: usize,
}

/// Hours of each unit within a period, and whether a moment lies in hours that are known.
pub struct Exposure<'a> {
    books: &'a Books,
    period: Period,
    by_machine: Vec<f64>,
}

impl<'a> Exposure<'a> {
    pub fn new(books: &'a Books, period: Period) -> Exposure<'a> {
        let run = |machine: &super::books::MachineBook| {
            machine.meter.run_between(period.from, period.until, books.now)
        };
        Exposure { books, period, by_machine: books.machines.iter().map(run).collect() }
    }

    pub fn of_unit(&self, unit: usize) -> f64 {
        self.by_machine[self.books.units[unit].machine]
    }

    pub fn of_machines(&self) -> f64 {
        self.by_machine.iter().sum()
    }

    /// Whether the fault counts in the rate of its unit.
    pub fn counts(&self, fault: &Fault) -> bool {
        let machine = fault.machine.map(|machine| &self.books.machines[machine]);
        let known = machine.and_then(|machine| machine.meter.known(self.books.now));
        known.is_some_and(|(from, until)| from <= fault.time && fault.time <= until)
    }

    pub fn faults(&self) -> impl Iterator<Item = &'a Fault> + use<'a> {
        let period = self.period;
        self.books.faults.iter().filter(move |fault| period.holds(fault.time))
    }
}

pub fn faults(books: &Books, period: Period) -> Faults {
    let exposure = Exposure::new(books, period);
    let mut tallies: BTreeMap<(&str, Equipment), Tally> = BTreeMap::new();
    for fault in exposure.faults() {
        let Some(unit) = fault.unit.filter(|_| !fault.cause.is_empty()) else { continue };
        let Some(equipment) = books.units[unit].equipment else { continue };
        let tally = tallies.entry((&fault.cause, equipment)).or_default();
        tally.minutes += fault.minutes;
        if exposure.counts(fault) {
            *tally.by_unit.entry(unit).or_default() += 1;
        } else {
            tally.without_hours += 1;
        }
    }
    let mut all = Faults::default();
    let mut candidates: Vec<Candidate> = Vec::new();
    for ((cause, equipment), tally) in &tallies {
        let counted = tally.of_all(&exposure, books, *equipment);
        let pooled = counted.iter().fold(Counted::default(), |sum, (_, one)| sum.and(*one));
        all.causes.push(CauseRow {
            cause: (*cause).to_owned(),
            equipment: *equipment,
            counted: pooled,
            rate: exact(pooled, CONFIDENCE),
            // As many as there are units.
            unit_count: tally.by_unit.len() as u32,
            minutes: tally.minutes,
            without_hours: tally.without_hours,
        });
        let units: Vec<Counted> = counted.iter().map(|(_, one)| *one).collect();
        let Some(alike) = alike(&units) else { continue };
        let found = counted.iter().filter(|(_, one)| one.count > 0);
        candidates.extend(found.map(|&(unit, counted)| {
            let believed = alike.rate_of(counted);
            Candidate { cause, unit, counted, alike, believed }
        }));
    }
    all.causes.sort_by(|a, b| {
        b.minutes
            .total_cmp(&a.minutes)
            .then(b.counted.count.cmp(&a.counted.count))
            .then_with(|| (&a.cause, a.equipment).cmp(&(&b.cause, b.equipment)))
    });
    candidates.sort_by(|a, b| {
        b.believed.total_cmp(&a.believed).then_with(|| (a.cause, a.unit).cmp(&(b.cause, b.unit)))
    });
    all.left_out = candidates.len().saturating_sub(RETURNING_ROWS_MAX);
    candidates.truncate(RETURNING_ROWS_MAX);
    all.units = candidates.iter().filter_map(Candidate::row).collect();
    all
}

#[derive(Default)]
struct Tally {
    by_unit: BTreeMap<usize, u32>,
    minutes: f64,
    without_hours: u32,
}

impl Tally {
    /// Counts of every unit of the equipment, also of those that never had it.
    fn of_all(
        &self,
        exposure: &Exposure<'_>,
        books: &Books,
        equipment: Equipment,
    ) -> Vec<(usize, Counted)> {
        let alike = books.units.iter().enumerate().filter(|(_, u)| u.equipment == Some(equipment));
        let counted = alike.map(|(at, _)| {
            let count = self.by_unit.get(&at).copied().unwrap_or(0);
            (at, Counted { count, exposure_h: exposure.of_unit(at) })
        });
        counted.filter(|(_, one)| one.exposure_h > 0.0).collect()
    }
}

struct Candidate<'a> {
    cause: &'a str,
    unit: usize,
    counted: Counted,
    alike: Alike,
    believed: f64,
}

impl Candidate<'_> {
    fn row(&self) -> Option<UnitRow> {
        let believed = self.alike.of_unit(self.counted, CONFIDENCE)?;
        let stands_out = self.alike.variance > 0.0 && believed.low > self.alike.mean;
        Some(UnitRow {
            cause: self.cause.to_owned(),
            unit: self.unit,
            counted: self.counted,
            own: self.counted.rate(),
            believed,
            mean: self.alike.mean,
            comes_back: stands_out && self.counted.count >= RETURNS_MIN,
        })
    }
}
