//! Which remedies held? For each cause and procedure: how often it cured, and how many hours passed
//! until the same cause was found on the same unit again; the share that holds so many hours is the
//! product-limit estimate (Kaplan-Meier; NIST/SEMATECH handbook 8.2.1.5, published), in which a
//! cure that still holds counts for the hours it has held.
//! Deliberately absent: blame. A cause may come back for reasons that no remedy could help.

use std::collections::BTreeMap;

use super::Period;
use super::books::{Books, Fault};
use crate::domain::settings::life_table;
use crate::domain::settings::weibull::Lifetimes;

/// The share that holds is told for this many hours of the machine.
pub const HELD_H: f64 = 100.0;

#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    pub cause: String,
    pub procedure: String,
    pub cured: u32,
    pub not_cured: u32,
    /// Cures after which the same cause was found on the same unit again.
    pub came_back: u32,
    /// Share of cures that hold for `HELD_H`, with Greenwood's standard error; none when no cure
    /// has been watched for so long and none came back.
    pub held_fraction: Option<f64>,
    pub held_standard_error: Option<f64>,
    /// Cures of which the hours since are known.
    pub watched: u32,
}

/// Most often tried first.
pub fn remedies(books: &Books, period: Period) -> Vec<Remedy> {
    remedies_on(books, period, |_| true)
}

/// The same on the units that are asked about.
pub fn remedies_on(
    books: &Books,
    period: Period,
    asked: impl Fn(usize) -> bool,
) -> Vec<Remedy> {
    let mut tries: BTreeMap<(&str, &str), Tries> = BTreeMap::new();
    let next = found_again(books);
    for (at, fault) in books.faults.iter().enumerate() {
        let told = !fault.cause.is_empty() && !fault.procedure.is_empty();
        if !told || !period.holds(fault.time) || !fault.unit.is_none_or(&asked) {
            continue;
        }
        let tries = tries.entry((&fault.cause, &fault.procedure)).or_default();
        match fault.fixed {
            Some(true) => tries.cure(books, fault, next[at].map(|again| &books.faults[again])),
            Some(false) => tries.not_cured += 1,
            None => {}
        }
    }
    let mut rows: Vec<Remedy> =
        tries.into_iter().map(|((cause, procedure), tries)| tries.row(cause, procedure)).collect();
    rows.retain(|row| row.cured + row.not_cured > 0);
    rows.sort_by(|a, b| {
        let tried = |row: &Remedy| row.cured + row.not_cured;
        tried(b)
            .cmp(&tried(a))
            .then_with(|| (&a.cause, &a.procedure).cmp(&(&b.cause, &b.procedure)))
    });
    rows
}

/// For each fault the next of its cause on its unit.
fn found_again(books: &Books) -> Vec<Option<usize>> {
    let mut next = vec![None; books.faults.len()];
    let mut later: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for (at, fault) in books.faults.iter().enumerate().rev() {
        if let Some(unit) = fault.unit {
            next[at] = later.insert((unit, &fault.cause), at);
        }
    }
    next
}

#[derive(Default)]
struct Tries {
    cured: u32,
    not_cured: u32,
    came_back: u32,
    again_h: Vec<f64>,
    holding_h: Vec<f64>,
}

impl Tries {
    fn cure(&mut self, books: &Books, fault: &Fault, again: Option<&Fault>) {
        self.cured += 1;
        self.came_back += u32::from(again.is_some());
        let Some(meter) = fault.machine.map(|machine| &books.machines[machine].meter) else {
            return;
        };
        let end = again.map_or_else(|| meter.now(books.now), |again| meter.at(again.time));
        let Some(held_h) = meter.at(fault.time).zip(end).map(|(from, until)| until - from) else {
            return;
        };
        match again {
            // Found again within the hour, it was hardly away: the least life there is.
            Some(_) => self.again_h.push(held_h.max(1e-3)),
            None if held_h > 0.0 => self.holding_h.push(held_h),
            None => {}
        }
    }

    fn row(self, cause: &str, procedure: &str) -> Remedy {
        let lifetimes = Lifetimes { failures_h: self.again_h, survivors_h: self.holding_h };
        let far_enough = lifetimes.longest_h() >= HELD_H;
        let table = life_table::rows(&lifetimes);
        let last = table.iter().take_while(|row| row.age_h <= HELD_H).last();
        let held = last.map_or((1.0, 0.0), |row| (row.survival, row.standard_error));
        Remedy {
            cause: cause.to_owned(),
            procedure: procedure.to_owned(),
            cured: self.cured,
            not_cured: self.not_cured,
            came_back: self.came_back,
            held_fraction: far_enough.then_some(held.0),
            held_standard_error: far_enough.then_some(held.1),
            // As many as there are records.
            watched: lifetimes.all_h().count() as u32,
        }
    }
}
