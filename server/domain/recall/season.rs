//! How did a stretch of time go, in ten lines at most, and which parts are worth having at hand?
//! Deliberately absent: prices, which nobody keeps here.

use std::collections::BTreeMap;

use super::answers::{Desk, fault};
use super::tally::{came_back, hours_of, parts};
use super::{Answer, day, standing};
use crate::domain::fleet::due::Due;
use crate::domain::fleet::parts::Family;
use crate::domain::records::choices::Choice as _;
use crate::domain::records::{Record, RecordKind, SubjectName};
use crate::domain::units::decimal;
use crate::domain::wording::counted;

/// Parts that are due within so many hours are worth having at hand (no source).
const AT_HAND_H: f64 = 100.0;
/// Rows of one line.
const TOLD_MAX: usize = 4;

/// Work, hours, faults, what held, parts, and what stands open.
pub fn summary(desk: &Desk) -> Answer {
    let records = &desk.kept.records;
    let period = desk.query.period(desk.books);
    let last = period.until.plus_seconds(-1).min(desk.books.now);
    let mut lines = vec![format!("{} to {}:", day(period.from), day(last))];
    let minutes = |of: Option<RecordKind>| -> f64 {
        let of = |one: &&Record| of.is_none_or(|kind| one.content.kind() == kind);
        records.iter().filter(of).filter_map(|one| one.content.duration_min).sum()
    };
    let count = |kind: RecordKind| records.iter().filter(|one| one.content.kind() == kind).count();
    let kinds: Vec<String> = [
        RecordKind::Sharpening, RecordKind::Adjustment, RecordKind::FaultFixed,
        RecordKind::PartReplaced, RecordKind::Inspection,
    ]
    .into_iter()
    .filter(|kind| count(*kind) > 0)
    .map(|kind| {
        let (name, many) = (kind.id().replace('_', " "), count(kind));
        match minutes(Some(kind)) {
            spent if spent > 0.0 => format!("{name} {} in {many}", hours_of(spent)),
            _ => format!("{name} {many}, not timed"),
        }
    })
    .collect();
    lines.push(format!(
        "Work: {} in {}{}.",
        hours_of(minutes(None)),
        counted(records.len() as u64, "record"),
        if kinds.is_empty() { String::new() } else { format!(" ({})", kinds.join(", ")) }
    ));
    lines.push(machine_hours(desk));
    lines.push(faults(desk));
    let (cures, back) = came_back(desk);
    if cures > 0 {
        lines.push(format!("Held: of {cures} cures {back} came back."));
    }
    lines.push(format!("Parts changed: {}.", parts(desk)));
    if desk.query.until.is_none_or(|until| until > desk.books.now) {
        lines.extend(standing::in_short(desk));
    }
    Answer { lines, ..Answer::default() }
}

fn machine_hours(desk: &Desk) -> String {
    let period = desk.query.period(desk.books);
    let now = desk.books.now;
    let mut each: Vec<(f64, &str)> = desk
        .books
        .machines
        .iter()
        .filter(|machine| {
            let asked = &desk.query.subjects;
            let holds = |name: &SubjectName| machine.name == *name || machine.name.holds(name);
            asked.is_empty() || asked.iter().any(holds)
        })
        .map(|machine| {
            let ran = machine.meter.run_between(period.from, period.until, now);
            (ran, machine.title.as_str())
        })
        .filter(|(ran, _)| *ran > 0.0)
        .collect();
    each.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let total: f64 = each.iter().map(|one| one.0).sum();
    let told: Vec<String> = each
        .iter()
        .take(TOLD_MAX)
        .map(|(ran, title)| format!("{title} {}", decimal(*ran, 0)))
        .collect();
    let told = if each.len() > 1 { format!(" (most: {})", told.join(", ")) } else { String::new() };
    format!("The machines ran {} h{told}.", decimal(total, 0))
}

fn faults(desk: &Desk) -> String {
    let faults: Vec<&Record> =
        desk.kept.records.iter().filter(|record| fault(record).is_some()).collect();
    let mut causes: BTreeMap<&str, usize> = BTreeMap::new();
    for record in &faults {
        let cause = fault(record).map_or("", |fault| fault.cause.as_str());
        if !cause.is_empty() {
            *causes.entry(cause).or_default() += 1;
        }
    }
    let mut causes: Vec<(&str, usize)> = causes.into_iter().collect();
    causes.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(b.0)));
    let told: Vec<String> = causes
        .iter()
        .take(TOLD_MAX)
        .map(|(cause, count)| format!("{} {count}", (desk.title)(cause)))
        .collect();
    let told =
        if told.is_empty() { String::new() } else { format!(", most often {}", told.join(", ")) };
    format!("Faults: {}{told}.", faults.len())
}

/// The parts whose time is up or comes soon.
pub fn order(desk: &Desk) -> Answer {
    let part = |row: &&Due| Family::ALL.iter().any(|family| family.id() == row.work);
    let soon = |row: &&Due| row.left_h.is_some_and(|left| left <= AT_HAND_H);
    let rows: Vec<&Due> = desk
        .due
        .iter()
        .filter(|row| desk.query.is_about(&desk.books.units[row.unit].name))
        .filter(part)
        .filter(soon)
        .collect();
    let mut lines = vec![match rows.len() {
        0 => format!("No part is due within {} h by the records.", decimal(AT_HAND_H, 0)),
        count => format!(
            "By the records, {} due now or within {} h:",
            counted(count as u64, "part"),
            decimal(AT_HAND_H, 0)
        ),
    }];
    for row in rows {
        let unit = &desk.books.units[row.unit];
        let last = unit.changes.iter().rev().find(|change| {
            change.family.is_some_and(|family| family.id() == row.work)
        });
        let many = last.map_or(1, |change| change.count);
        let many = if many > 1 { format!(" ({many} last time)") } else { String::new() };
        let left = row.left_h.unwrap_or_default();
        let when = match left <= 0.0 {
            true => format!("{} h over", decimal(-left, 0)),
            false => format!("in {} h", decimal(left, 0)),
        };
        let title = desk.books.title_of(row.unit);
        lines.push(format!("  {}{many}: {title}, {when}", row.work));
    }
    lines.push(
        "Forecasts from parts that ended here; part numbers and stock are not kept.".to_owned(),
    );
    Answer { lines, ..Answer::default() }
}
