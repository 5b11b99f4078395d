//! How does each unit stand? Last heights against target and neighbours, what is left of its
//! diameter, hours since it was ground, faults that are still open, and what to look at again.
//! Deliberately absent: what to do about it (`due`, and diagnosis).

use std::collections::BTreeMap;

use super::books::{Books, Fault, Height, LookedAt, UnitBook};
use super::control_chart::{Limits, individuals};
use super::intervals::{Since, since_job};
use super::wear::{Wear, wear};
use crate::domain::records::Moment;
use crate::domain::records::choices::{Condition, Place};

/// Bench heights at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightState {
    pub time: Moment,
    pub mean_mm: f64,
    pub target_mm: Option<f64>,
    /// Right end less left end.
    pub end_difference_mm: Option<f64>,
    /// Its mean less the mean of the other units of the machine, read at the same moment.
    pub neighbour_difference_mm: Option<f64>,
}

/// How a unit stands.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitState {
    /// Place among the units of the books.
    pub unit: usize,
    /// Hours of the machine, those of its last reading when that is long ago.
    pub machine_hours_h: Option<f64>,
    pub height: Option<HeightState>,
    pub wear: Wear,
    pub since_grind: Option<Since>,
    pub open_faults: Vec<Fault>,
    /// What was found bad, or is to be looked at again.
    pub watch: Vec<LookedAt>,
}

/// The bench heights of a unit one after the other, and the limits within which they scatter.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightSeries {
    /// Mean height of each reading.
    pub points: Vec<(Moment, f64)>,
    pub target_mm: Option<f64>,
    pub limits: Option<Limits>,
}

/// Every unit, in order of name.
pub fn states(books: &Books) -> Vec<UnitState> {
    let mut open = open_faults(books);
    let means = machine_means(books);
    (0..books.units.len())
        .map(|at| {
            let unit = &books.units[at];
            let meter = &books.machine_of(unit).meter;
            UnitState {
                unit: at,
                machine_hours_h: meter.now(books.now),
                height: height(unit, &means),
                wear: wear(books, unit),
                since_grind: since_job(books, unit),
                open_faults: open.remove(&at).unwrap_or_default(),
                watch: unit.looked_at.iter().filter(|seen| seen.is_open()).cloned().collect(),
            }
        })
        .collect()
}

impl LookedAt {
    fn is_open(&self) -> bool {
        matches!(self.condition, Some(Condition::Bad | Condition::Watch))
    }
}

/// Faults tried and not cured, or never said to be, with no later cure of the same cause.
fn open_faults(books: &Books) -> BTreeMap<usize, Vec<Fault>> {
    let mut open: BTreeMap<usize, Vec<Fault>> = BTreeMap::new();
    for fault in &books.faults {
        let Some(unit) = fault.unit else { continue };
        let of_unit = open.entry(unit).or_default();
        // A later word on the same cause stands in the place of the earlier one.
        of_unit.retain(|before| before.cause != fault.cause || fault.cause.is_empty());
        if fault.fixed != Some(true) {
            of_unit.push(fault.clone());
        }
    }
    open
}

/// Readings of one moment, from the last back.
fn last_group(heights: &[Height]) -> &[Height] {
    let Some(last) = heights.last() else { return heights };
    let from = heights.partition_point(|one| one.time < last.time);
    &heights[from..]
}

fn mean(heights: &[Height]) -> f64 {
    heights.iter().map(|one| one.height_mm).sum::<f64>() / heights.len() as f64
}

/// By machine and moment: sum of unit means and how many, for the units' last readings.
type Means = BTreeMap<(usize, Moment), (f64, usize)>;

fn machine_means(books: &Books) -> Means {
    let mut means = Means::new();
    for unit in &books.units {
        let group = last_group(&unit.heights);
        if let Some(first) = group.first() {
            let sum = means.entry((unit.machine, first.time)).or_default();
            *sum = (sum.0 + mean(group), sum.1 + 1);
        }
    }
    means
}

fn height(unit: &UnitBook, means: &Means) -> Option<HeightState> {
    let group = last_group(&unit.heights);
    let first = group.first()?;
    let mean_mm = mean(group);
    let at =
        |place: Place| group.iter().find(|one| one.end == Some(place)).map(|one| one.height_mm);
    let ends = at(Place::Left).zip(at(Place::Right));
    let (sum, count) = means.get(&(unit.machine, first.time)).copied().unwrap_or_default();
    let others = (count > 1).then(|| (sum - mean_mm) / (count - 1) as f64);
    Some(HeightState {
        time: first.time,
        mean_mm,
        target_mm: group.iter().find_map(|one| one.target_mm),
        end_difference_mm: ends.map(|(left, right)| right - left),
        neighbour_difference_mm: others.map(|others| mean_mm - others),
    })
}

pub fn height_series(unit: &UnitBook) -> HeightSeries {
    let mut series = HeightSeries::default();
    for group in unit.heights.chunk_by(|a, b| a.time == b.time) {
        series.points.push((group[0].time, mean(group)));
        series.target_mm = group.iter().find_map(|one| one.target_mm).or(series.target_mm);
    }
    let values: Vec<f64> = series.points.iter().map(|point| point.1).collect();
    series.limits = individuals(&values);
    series
}
