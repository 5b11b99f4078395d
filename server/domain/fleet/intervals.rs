//! How often does this shop grind or sharpen units of one kind? From its own grindings, whenever
//! they were done; the middle of the hours between two.
//! Deliberately absent: whether that is often enough. It is what the shop does.

use std::collections::BTreeMap;

use super::books::{Books, UnitBook};
use super::{median, quantile};
use crate::domain::catalogue::Equipment;
use crate::domain::records::Moment;
use crate::domain::records::choices::SharpeningMethod;

/// Fewer intervals than this are no habit.
pub const INTERVALS_MIN: usize = 3;

/// Units that are alike: of one equipment, and of one type where types are given.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kind {
    pub equipment: Equipment,
    pub unit_type: String,
}

impl Kind {
    pub fn of(unit: &UnitBook) -> Option<Kind> {
        Some(Kind { equipment: unit.equipment?, unit_type: unit.facts.unit_type.clone() })
    }

    /// "greens reel", or "reel unit" without a type.
    pub fn title(&self) -> &str {
        if self.unit_type.is_empty() { self.equipment.title() } else { &self.unit_type }
    }
}

/// The hours between two grindings of units of a kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Habit {
    pub intervals_h: Vec<f64>,
}

impl Habit {
    pub fn median_h(&self) -> Option<f64> {
        if self.intervals_h.len() < INTERVALS_MIN { None } else { median(&self.intervals_h) }
    }

    /// Between which hours the middle half of the intervals lies.
    pub fn middle_half_h(&self) -> Option<(f64, f64)> {
        Some((quantile(&self.intervals_h, 0.25)?, quantile(&self.intervals_h, 0.75)?))
    }
}

/// The way of sharpening that counts as the job, by equipment.
pub fn job(equipment: Equipment) -> Option<SharpeningMethod> {
    match equipment {
        Equipment::ReelUnit => Some(SharpeningMethod::SpinGrind),
        Equipment::RotaryDeck => Some(SharpeningMethod::BladeGrind),
        Equipment::Groomer | Equipment::RearRollerBrush | Equipment::VerticutReel => None,
    }
}

/// When the job was done, none twice.
fn done(unit: &UnitBook) -> Vec<Moment> {
    let method = unit.equipment.and_then(job);
    let jobs = unit.sharpenings.iter().filter(|one| Some(one.method) == method);
    let mut times: Vec<Moment> = jobs.map(|one| one.time).collect();
    times.dedup();
    times
}

pub fn habits(books: &Books) -> BTreeMap<Kind, Habit> {
    let mut habits: BTreeMap<Kind, Habit> = BTreeMap::new();
    for unit in &books.units {
        let Some(kind) = Kind::of(unit) else { continue };
        let meter = &books.machine_of(unit).meter;
        let hours: Vec<Option<f64>> = done(unit).into_iter().map(|time| meter.at(time)).collect();
        let between = hours.windows(2).filter_map(|pair| Some(pair[1]? - pair[0]?));
        // Two grindings in one hour are one job.
        let intervals = between.filter(|hours| *hours >= 1.0);
        habits.entry(kind).or_default().intervals_h.extend(intervals);
    }
    habits
}

/// The last time the job was done, and the hours run since.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    pub time: Moment,
    /// None where no hours are known of that time or of now.
    pub hours_h: Option<f64>,
}

/// From the last grinding recorded, or from what somebody stated later than that.
pub fn since_job(books: &Books, unit: &UnitBook) -> Option<Since> {
    // A groomer is not ground when the reels of its machine are.
    job(unit.equipment?)?;
    let meter = &books.machine_of(unit).meter;
    let now_h = meter.now(books.now);
    let last = done(unit).last().copied();
    let stated = unit.stated_since_grind.filter(|(time, _)| last.is_none_or(|last| last < *time));
    let stated = stated.and_then(|(time, since_h)| {
        let ground_at_h = meter.at(time)? - since_h;
        Some(Since { time, hours_h: Some((now_h? - ground_at_h).max(0.0)) })
    });
    let recorded = last.map(|time| Since {
        time,
        hours_h: meter.at(time).zip(now_h).map(|(then, now)| (now - then).max(0.0)),
    });
    match recorded {
        Some(since) if since.hours_h.is_some() => Some(since),
        other => stated.or(other),
    }
}
