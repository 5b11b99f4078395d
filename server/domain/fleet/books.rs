//! What is kept of a shop's history: the meter of each machine, what was done to each unit, what
//! was read on each area, and every fault and minute of work.
//! Deliberately absent: how it comes in (`ledger`).

use super::ledger::Ledger;
use super::meter::Meter;
use super::parts::Family;
use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::{
    AdjustmentTarget, Condition, Place, ReplacementReason, SharpeningMethod,
};
use crate::domain::records::detail::Adjustment;
use crate::domain::records::subject::{Area, Unit};
use crate::domain::records::{Content, Moment, Record, RecordKind, Subject, SubjectName};

/// A record as far as an answer needs it.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    pub subject: &'a SubjectName,
    pub time: Moment,
    pub content: &'a Content,
}

impl<'a> From<&'a Record> for Entry<'a> {
    fn from(record: &'a Record) -> Entry<'a> {
        Entry { subject: &record.name.subject, time: record.time, content: &record.content }
    }
}

/// The history of a shop, ready for any question.
#[derive(Debug, Clone, PartialEq)]
pub struct Books {
    pub now: Moment,
    pub machines: Vec<MachineBook>,
    pub units: Vec<UnitBook>,
    pub areas: Vec<AreaBook>,
    /// In order of time.
    pub faults: Vec<Fault>,
    /// In order of time.
    pub work: Vec<Work>,
    pub record_count: u64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct MachineBook {
    pub name: SubjectName,
    pub title: String,
    pub meter: Meter,
    pub unit_count: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub struct UnitBook {
    pub name: SubjectName,
    pub title: String,
    /// Place among the machines.
    pub machine: usize,
    pub facts: Unit,
    /// That of its machine when it has none of its own.
    pub equipment: Option<Equipment>,
    pub sharpenings: Vec<Sharpened>,
    pub diameters: Vec<Diameter>,
    pub heights: Vec<Height>,
    pub changes: Vec<PartChange>,
    /// Latest of each.
    pub settings: Vec<Setting>,
    /// Latest of each, bad or good.
    pub looked_at: Vec<LookedAt>,
    pub measured: Measured,
    /// "Hours since grind", as somebody stated it.
    pub stated_since_grind: Option<(Moment, f64)>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct AreaBook {
    pub name: SubjectName,
    pub title: String,
    pub facts: Area,
    pub turf: Vec<TurfHeight>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sharpened {
    pub time: Moment,
    pub method: SharpeningMethod,
    pub land_width_mm: Option<f64>,
}

/// A diameter of reel, brush or blade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Diameter {
    pub time: Moment,
    pub mean_mm: Option<f64>,
    pub left_mm: Option<f64>,
    pub right_mm: Option<f64>,
    /// Read at a grinding, after it.
    pub after_grinding: bool,
}

impl Diameter {
    pub fn mm(&self) -> Option<f64> {
        let ends = self.left_mm.zip(self.right_mm);
        self.mean_mm.or(ends.map(|(left, right)| f64::midpoint(left, right)))
    }

    pub fn taper_mm(&self) -> Option<f64> {
        self.left_mm.zip(self.right_mm).map(|(left, right)| left - right)
    }
}

/// A bench height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Height {
    pub time: Moment,
    pub end: Option<Place>,
    pub height_mm: f64,
    pub target_mm: Option<f64>,
}

/// A height on turf, mown at a bench height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurfHeight {
    pub time: Moment,
    pub unit: Option<usize>,
    pub machine: Option<usize>,
    pub bench_mm: Option<f64>,
    pub height_mm: f64,
}

/// A part that came off.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChange {
    pub time: Moment,
    pub family: Option<Family>,
    pub part: String,
    pub count: u32,
    pub life_h: Option<f64>,
    pub reason: Option<ReplacementReason>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    pub time: Moment,
    pub target: AdjustmentTarget,
    pub adjustment: Adjustment,
}

#[derive(Debug, Clone, PartialEq)]
pub struct LookedAt {
    pub time: Moment,
    pub item: String,
    pub condition: Option<Condition>,
    pub found: String,
    pub remaining_h: Option<f64>,
}

/// The latest of what inspections measure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measured {
    pub gap_mm: Option<(Moment, f64)>,
    pub end_play_mm: Option<(Moment, f64)>,
    pub land_width_mm: Option<(Moment, f64)>,
    pub clip_spacing_mm: Option<(Moment, f64)>,
    pub pressure_kpa: Option<(Moment, f64)>,
    pub blade_stop_time_s: Option<(Moment, f64)>,
    pub reel_speed_rpm: Option<(Moment, f64)>,
    pub ground_speed_mps: Option<(Moment, f64)>,
}

/// A fault that was looked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    pub time: Moment,
    pub machine: Option<usize>,
    pub unit: Option<usize>,
    pub cause: String,
    pub procedure: String,
    pub fault: String,
    pub fixed: Option<bool>,
    pub minutes: f64,
}

/// Time that work took, and parts it used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    pub time: Moment,
    pub machine: Option<usize>,
    pub unit: Option<usize>,
    pub kind: RecordKind,
    pub minutes: f64,
    pub part_count: u32,
}

impl Books {
    /// All at once, from records already read.
    pub fn of<'a>(
        subjects: &[Subject],
        entries: impl IntoIterator<Item = Entry<'a>>,
        now: Moment,
    ) -> Books {
        let mut ledger = Ledger::new(subjects, now);
        entries.into_iter().for_each(|entry| ledger.read(entry));
        ledger.close()
    }

    pub fn machine_of(&self, unit: &UnitBook) -> &MachineBook {
        &self.machines[unit.machine]
    }

    pub fn unit(&self, name: &SubjectName) -> Option<usize> {
        self.units.iter().position(|unit| unit.name == *name)
    }

    /// "Greens triplex, 2 right front".
    pub fn title_of(&self, unit: usize) -> String {
        let unit = &self.units[unit];
        format!("{}, {}", self.machine_of(unit).title, unit.title)
    }
}
