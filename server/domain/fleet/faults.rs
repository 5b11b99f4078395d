//! What keeps coming back? Faults by cause over all units, and by cause and unit with small numbers
//! drawn toward their like, as rates per 100 hours of the machine with intervals.
//! Deliberately absent: faults at times of which no hours are known; they are counted apart.

use std::collections::{BTreeMap, BTreeSet};

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

/// The causes found on the units that are asked about, counted on those alone.
pub fn causes_on(books: &Books, period: Period, asked: impl Fn(usize) -> bool) -> Vec<CauseRow> {
    let exposure = Exposure::new(books, period);
    let tallies = tallies(&exposure, &asked);
    let row = |((cause, equipment), tally): (&(&str, Equipment), &Tally)| {
        let counted = tally.of_all(&exposure, books, *equipment).into_iter();
        let counted: Vec<(usize, Counted)> = counted.filter(|(unit, _)| asked(*unit)).collect();
        tally.row(cause, *equipment, &counted)
    };
    let mut rows: Vec<CauseRow> = tallies.iter().map(row).collect();
    most_time_first(&mut rows);
    rows
}

fn tallies<'a>(
    exposure: &Exposure<'a>,
    asked: impl Fn(usize) -> bool,
) -> BTreeMap<(&'a str, Equipment), Tally> {
    let mut tallies: BTreeMap<(&str, Equipment), Tally> = BTreeMap::new();
    for fault in exposure.faults() {
        let told = fault.unit.filter(|unit| !fault.cause.is_empty() && asked(*unit));
        let Some(unit) = told else { continue };
        let Some(equipment) = exposure.books.units[unit].equipment else { continue };
        let tally = tallies.entry((&fault.cause, equipment)).or_default();
        tally.minutes += fault.minutes;
        tally.units.insert(unit);
        if exposure.counts(fault) {
            *tally.by_unit.entry(unit).or_default() += 1;
        } else {
            tally.without_hours += 1;
        }
    }
    tallies
}

fn most_time_first(causes: &mut [CauseRow]) {
    causes.sort_by(|a, b| {
        b.minutes
            .total_cmp(&a.minutes)
            .then(b.counted.count.cmp(&a.counted.count))
            .then_with(|| (&a.cause, a.equipment).cmp(&(&b.cause, b.equipment)))
    });
}

pub fn faults(books: &Books, period: Period) -> Faults {
    let exposure = Exposure::new(books, period);
    let tallies = tallies(&exposure, |_| true);
    let mut all = Faults::default();
    let mut candidates: Vec<Candidate> = Vec::new();
    for ((cause, equipment), tally) in &tallies {
        let counted = tally.of_all(&exposure, books, *equipment);
        all.causes.push(tally.row(cause, *equipment, &counted));
        let units: Vec<Counted> = counted.iter().map(|(_, one)| *one).collect();
        let Some(alike) = alike(&units) else { continue };
        let found = counted.iter().filter(|(_, one)| one.count > 0);
        candidates.extend(found.map(|&(unit, counted)| {
            let believed = alike.rate_of(counted);
            Candidate { cause, unit, counted, alike, believed }
        }));
    }
    most_time_first(&mut all.causes);
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
    /// Units on which it was found, with hours or without.
    units: BTreeSet<usize>,
}

impl Tally {
    /// The row of a cause over these units.
    fn row(&self, cause: &str, equipment: Equipment, counted: &[(usize, Counted)]) -> CauseRow {
        let pooled = counted.iter().fold(Counted::default(), |sum, (_, one)| sum.and(*one));
        CauseRow {
            cause: cause.to_owned(),
            equipment,
            counted: pooled,
            rate: exact(pooled, CONFIDENCE),
            // As many as there are units.
            unit_count: self.units.len() as u32,
            minutes: self.minutes,
            without_hours: self.without_hours,
        }
    }

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
