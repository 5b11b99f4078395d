//! What do all the records say of each machine, unit and area? One pass: each record is looked at
//! once, in any order (of two of the same moment the later read stands), and only what an answer
//! needs of it is kept, so that memory follows what was done and not how it was told.
//! Deliberately absent: records that were superseded or withdrawn; whoever reads leaves them out.

use std::collections::HashMap;

use super::books::{
    AreaBook, Books, Diameter, Entry, Fault, Height, LookedAt, MachineBook, Measured, PartChange,
    Setting, Sharpened, TurfHeight, UnitBook, Work,
};
use super::meter::Meter;
use super::parts::{Family, changed};
use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::{HeightMethod, ReplacementReason, SharpeningMethod};
use crate::domain::records::detail::{
    Adjustment, FaultFixed, HeightReading, Hours, Inspection, Part, Sharpening,
};
use crate::domain::records::subject::Facts;
use crate::domain::records::{Content, Detail, Moment, Subject, SubjectName};

/// Reads records one by one.
pub struct Ledger {
    books: Books,
    places: HashMap<SubjectName, Slot>,
    /// By machine: readings of its meter, and hours noted as run.
    readings: Vec<Vec<(Moment, f64)>>,
    runs: Vec<Vec<(Moment, f64)>>,
    units_of: Vec<Vec<usize>>,
}

#[derive(Debug, Clone, Copy)]
enum Slot {
    Machine(usize),
    Unit(usize),
    Area(usize),
}

impl Ledger {
    /// An empty ledger of these machines, units and areas; those no longer in use are left out.
    pub fn new(subjects: &[Subject], now: Moment) -> Ledger {
        let books = Books {
            now,
            machines: Vec::new(),
            units: Vec::new(),
            areas: Vec::new(),
            faults: Vec::new(),
            work: Vec::new(),
            record_count: 0,
        };
        let mut ledger = Ledger {
            books,
            places: HashMap::new(),
            readings: Vec::new(),
            runs: Vec::new(),
            units_of: Vec::new(),
        };
        let mut used: Vec<&Subject> = subjects.iter().filter(|one| !one.label.retired).collect();
        used.sort_by(|a, b| a.name.cmp(&b.name));
        // Machines before their units.
        used.iter().for_each(|subject| ledger.open_machine_or_area(subject));
        let equipment: HashMap<&SubjectName, Option<Equipment>> =
            used.iter().map(|subject| (&subject.name, subject.facts.equipment())).collect();
        for subject in &used {
            let of_machine = subject.name.holder().and_then(|name| *equipment.get(&name)?);
            ledger.open_unit(subject, of_machine);
        }
        ledger
    }

    fn open_machine_or_area(&mut self, subject: &Subject) {
        let (name, title) = (subject.name.clone(), subject.label.display_name.clone());
        match &subject.facts {
            Facts::Machine(_) => {
                self.places.insert(name.clone(), Slot::Machine(self.books.machines.len()));
                let meter = Meter::default();
                self.books.machines.push(MachineBook { name, title, meter, unit_count: 0 });
                self.readings.push(Vec::new());
                self.runs.push(Vec::new());
                self.units_of.push(Vec::new());
            }
            Facts::Area(facts) => {
                self.places.insert(name.clone(), Slot::Area(self.books.areas.len()));
                let facts = facts.clone();
                self.books.areas.push(AreaBook { name, title, facts, turf: Vec::new() });
            }
            Facts::Site | Facts::Unit(_) => {}
        }
    }

    fn open_unit(&mut self, subject: &Subject, of_machine: Option<Equipment>) {
        let Facts::Unit(facts) = &subject.facts else { return };
        let holder = subject.name.holder();
        let Some(Slot::Machine(machine)) = holder.and_then(|name| self.places.get(&name).copied())
        else {
            return;
        };
        let at = self.books.units.len();
        self.places.insert(subject.name.clone(), Slot::Unit(at));
        self.units_of[machine].push(at);
        self.books.machines[machine].unit_count += 1;
        self.books.units.push(UnitBook {
            name: subject.name.clone(),
            title: subject.label.display_name.clone(),
            machine,
            equipment: facts.equipment.or(of_machine),
            facts: facts.clone(),
            sharpenings: Vec::new(),
            diameters: Vec::new(),
            heights: Vec::new(),
            changes: Vec::new(),
            settings: Vec::new(),
            looked_at: Vec::new(),
            measured: Measured::default(),
            stated_since_grind: None,
        });
    }

    /// One record that stands. What is about nothing known here counts as read and nothing more.
    pub fn read(&mut self, entry: Entry<'_>) {
        self.books.record_count += 1;
        let (unit, machine) = match self.places.get(entry.subject) {
            Some(Slot::Unit(unit)) => (Some(*unit), Some(self.books.units[*unit].machine)),
            Some(Slot::Machine(machine)) => (None, Some(*machine)),
            Some(Slot::Area(_)) | None => (None, None),
        };
        let about = About { time: entry.time, unit, machine };
        let content = entry.content;
        if let (Some(machine), Some(hours)) = (machine, content.machine_hours_h) {
            self.readings[machine].push((entry.time, hours));
        }
        let mut part_count = 0;
        match &content.detail {
            Detail::Sharpening(done) => self.sharpening(about, done),
            Detail::Adjustment(done) => self.adjustment(about, done),
            Detail::PartReplaced(done) => part_count = self.parts(about, &done.parts),
            Detail::HeightReading(read) => self.heights(about, entry.subject, read),
            Detail::Inspection(seen) => self.inspection(about, seen),
            Detail::FaultFixed(fault) => part_count = self.fault(about, fault, content),
            Detail::Hours(hours) => self.hours(about, hours),
        }
        self.books.work.push(Work {
            time: entry.time,
            machine,
            unit,
            kind: content.kind(),
            minutes: content.duration_min.unwrap_or(0.0),
            part_count,
        });
    }

    pub fn record_count(&self) -> u64 {
        self.books.record_count
    }

    /// The units that a record is about: its unit, or all of its machine.
    fn concerned(&self, about: About) -> Vec<usize> {
        match (about.unit, about.machine) {
            (Some(unit), _) => vec![unit],
            (None, Some(machine)) => self.units_of[machine].clone(),
            (None, None) => Vec::new(),
        }
    }

    fn sharpening(&mut self, about: About, done: &Sharpening) {
        let Some(method) = done.method else { return };
        let fits = |equipment: Option<Equipment>| {
            let blades = equipment == Some(Equipment::RotaryDeck);
            blades == (method == SharpeningMethod::BladeGrind)
                || matches!(method, SharpeningMethod::HandDress | SharpeningMethod::Other)
        };
        for at in self.concerned(about) {
            let unit = &mut self.books.units[at];
            if about.unit.is_none() && !fits(unit.equipment) {
                continue;
            }
            let (time, land_width_mm) = (about.time, done.land_width_mm);
            unit.sharpenings.push(Sharpened { time, method, land_width_mm });
            for (mm, after_grinding) in
                [(done.diameter_before_mm, false), (done.diameter_after_mm, true)]
            {
                if mm.is_some() && about.unit.is_some() {
                    let mean_mm = mm;
                    let (left_mm, right_mm) = (None, None);
                    unit.diameters.push(Diameter {
                        time,
                        mean_mm,
                        left_mm,
                        right_mm,
                        after_grinding,
                    });
                }
            }
        }
    }

    fn adjustment(&mut self, about: About, done: &Adjustment) {
        let Some(target) = done.target else { return };
        for at in self.concerned(about) {
            let settings = &mut self.books.units[at].settings;
            let new = Setting { time: about.time, target, adjustment: done.clone() };
            keep_latest(settings, new, |a, b| a.target == b.target, |one| one.time);
        }
    }

    fn parts(&mut self, about: About, parts: &[Part]) -> u32 {
        for part in parts {
            let family = Family::of(&part.part);
            for at in self.concerned(about) {
                let unit = &mut self.books.units[at];
                let watched = unit.equipment.map_or(&[][..], super::parts::watched);
                if about.unit.is_none() && !family.is_some_and(|one| watched.contains(&one)) {
                    continue;
                }
                unit.changes.push(PartChange {
                    time: about.time,
                    family,
                    part: part.part.clone(),
                    count: part.count.unwrap_or(1),
                    life_h: part.life_h,
                    reason: part.reason,
                });
            }
        }
        parts.iter().map(|part| part.count.unwrap_or(1)).sum()
    }

    fn heights(&mut self, about: About, subject: &SubjectName, read: &HeightReading) {
        let area_of_record = match self.places.get(subject) {
            Some(Slot::Area(area)) => Some(*area),
            _ => None,
        };
        for point in &read.readings {
            let Some(height_mm) = point.height_mm else { continue };
            let named = point.unit.as_ref().and_then(|name| self.places.get(name));
            let unit = match named {
                Some(Slot::Unit(unit)) => Some(*unit),
                _ => about.unit,
            };
            let area = match point.area.as_ref().and_then(|name| self.places.get(name)) {
                Some(Slot::Area(area)) => Some(*area),
                _ => area_of_record,
            };
            let on_turf = read.method == Some(HeightMethod::Prism);
            if let Some(area) = area.filter(|_| on_turf) {
                let machine = unit.map(|unit| self.books.units[unit].machine).or(about.machine);
                let (time, bench_mm) = (about.time, read.bench_height_mm);
                let turf = TurfHeight { time, unit, machine, bench_mm, height_mm };
                self.books.areas[area].turf.push(turf);
            } else if let Some(unit) = unit.filter(|_| !on_turf) {
                self.books.units[unit].heights.push(Height {
                    time: about.time,
                    end: point.end,
                    height_mm,
                    target_mm: read.target_height_mm,
                });
            }
        }
    }

    fn inspection(&mut self, about: About, seen: &Inspection) {
        let alone = about.unit.is_some();
        for at in self.concerned(about) {
            let unit = &mut self.books.units[at];
            for item in &seen.items {
                let new = LookedAt {
                    time: about.time,
                    item: item.item.to_lowercase(),
                    condition: item.condition,
                    found: item.found.clone(),
                    remaining_h: item.remaining_h,
                };
                keep_latest(&mut unit.looked_at, new, |a, b| a.item == b.item, |one| one.time);
            }
            measure(&mut unit.measured, about.time, seen, alone);
            if alone && (seen.left_diameter_mm.is_some() || seen.right_diameter_mm.is_some()) {
                let both = seen.left_diameter_mm.is_some() && seen.right_diameter_mm.is_some();
                let one = seen.left_diameter_mm.or(seen.right_diameter_mm).filter(|_| !both);
                unit.diameters.push(Diameter {
                    time: about.time,
                    mean_mm: one,
                    left_mm: seen.left_diameter_mm.filter(|_| both),
                    right_mm: seen.right_diameter_mm.filter(|_| both),
                    after_grinding: false,
                });
            }
        }
    }

    fn fault(&mut self, about: About, fault: &FaultFixed, content: &Content) -> u32 {
        let mut part_count = self.parts(about, &fault.parts);
        // "replace_reel_bearings" or "new belt" ended the life of the part before.
        if let (Some(unit), true) = (about.unit, fault.parts.is_empty()) {
            let mut families: Vec<Family> =
                changed(fault).iter().filter_map(|part| Family::of(part)).collect();
            families.sort_unstable();
            families.dedup();
            for family in families {
                part_count += 1;
                self.books.units[unit].changes.push(PartChange {
                    time: about.time,
                    family: Some(family),
                    part: family.id().to_owned(),
                    count: 1,
                    life_h: None,
                    reason: Some(reason_of(&fault.cause)),
                });
            }
        }
        self.books.faults.push(Fault {
            time: about.time,
            machine: about.machine,
            unit: about.unit,
            cause: fault.cause.clone(),
            procedure: fault.procedure.clone(),
            fault: fault.fault.clone(),
            fixed: fault.fixed,
            minutes: content.duration_min.unwrap_or(0.0),
        });
        part_count
    }

    fn hours(&mut self, about: About, hours: &Hours) {
        if let (Some(machine), Some(run_h)) = (about.machine, hours.hours_run_h) {
            self.runs[machine].push((about.time, run_h));
        }
        let ground = |words: &str| words.contains("grind") || words.contains("ground");
        for since in &hours.since {
            let Some(since_h) = since.hours_h.filter(|_| ground(&since.since.to_lowercase()))
            else {
                continue;
            };
            for at in self.concerned(about) {
                let stated = &mut self.books.units[at].stated_since_grind;
                if stated.is_none_or(|(time, _)| time <= about.time) {
                    *stated = Some((about.time, since_h));
                }
            }
        }
    }

    /// Sorts what was read by time and works out the hours.
    pub fn close(mut self) -> Books {
        for (at, machine) in self.books.machines.iter_mut().enumerate() {
            machine.meter = Meter::new(&self.readings[at], &self.runs[at]);
        }
        for unit in &mut self.books.units {
            unit.sharpenings.sort_by_key(|one| one.time);
            unit.diameters.sort_by_key(|one| (one.time, one.after_grinding));
            unit.heights.sort_by_key(|one| (one.time, one.end));
            unit.changes.sort_by(|a, b| (a.time, &a.part).cmp(&(b.time, &b.part)));
            unit.settings.sort_by_key(|one| one.target);
            unit.looked_at.sort_by(|a, b| a.item.cmp(&b.item));
        }
        for area in &mut self.books.areas {
            area.turf.sort_by(|a, b| {
                (a.time, a.unit).cmp(&(b.time, b.unit)).then(a.height_mm.total_cmp(&b.height_mm))
            });
        }
        self.books.faults.sort_by(|a, b| {
            (a.time, a.unit, a.machine, &a.cause, &a.procedure, &a.fault).cmp(&(
                b.time,
                b.unit,
                b.machine,
                &b.cause,
                &b.procedure,
                &b.fault,
            ))
        });
        self.books.work.sort_by(|a, b| {
            let key = |one: &Work| (one.time, one.unit, one.machine, one.kind, one.part_count);
            key(a).cmp(&key(b)).then(a.minutes.total_cmp(&b.minutes))
        });
        self.books
    }
}

/// What a stone did says nothing of how long such parts last.
fn reason_of(cause: &str) -> ReplacementReason {
    let struck = ["damage", "bent"].iter().any(|word| cause.contains(word));
    if struck { ReplacementReason::Damaged } else { ReplacementReason::Failed }
}

/// When a record was made, and of what.
#[derive(Debug, Clone, Copy)]
struct About {
    time: Moment,
    unit: Option<usize>,
    machine: Option<usize>,
}

fn keep_latest<T>(
    kept: &mut Vec<T>,
    new: T,
    same: impl Fn(&T, &T) -> bool,
    time: impl Fn(&T) -> Moment,
) {
    match kept.iter_mut().find(|one| same(one, &new)) {
        Some(one) if time(one) <= time(&new) => *one = new,
        Some(_) => {}
        None => kept.push(new),
    }
}

/// Speeds and pressures hold for a whole machine; what lies at an edge is of one unit alone.
fn measure(measured: &mut Measured, time: Moment, seen: &Inspection, alone: bool) {
    let put = |into: &mut Option<(Moment, f64)>, value: Option<f64>| {
        if let Some(value) = value
            && into.is_none_or(|(before, _)| before <= time)
        {
            *into = Some((time, value));
        }
    };
    put(&mut measured.pressure_kpa, seen.pressure_kpa);
    put(&mut measured.reel_speed_rpm, seen.reel_speed_rpm);
    put(&mut measured.ground_speed_mps, seen.ground_speed_mps);
    put(&mut measured.blade_stop_time_s, seen.blade_stop_time_s);
    if alone {
        put(&mut measured.gap_mm, seen.gap_mm);
        put(&mut measured.end_play_mm, seen.end_play_mm);
        put(&mut measured.land_width_mm, seen.land_width_mm);
        put(&mut measured.clip_spacing_mm, seen.clip_spacing_mm);
    }
}
