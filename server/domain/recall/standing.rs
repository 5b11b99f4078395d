//! Is it ready: does anything stand open on it, or is anything due? The records can say what is
//! open, never that a machine is safe. Deliberately absent: a yes.

use super::answers::{Desk, line, place, row};
use super::{Answer, day};
use crate::domain::fleet::books::{Fault, LookedAt};
use crate::domain::fleet::due::Due;
use crate::domain::fleet::parts::Family;
use crate::domain::fleet::state::states;
use crate::domain::records::choices::Choice;
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::units::decimal;

/// Records shown of the latest work.
const LATEST_MAX: usize = 5;
/// Rows of a line of a summary.
const SHORT_MAX: usize = 4;
/// Lines of each part.
const LINES_MAX: usize = 8;

/// What is asked of a person before a machine goes out.
const LOOK: &str = "Records cannot say that it is safe: look it over, try the stops and guards, and \
                    go by the machine's manual before it is used.";

pub fn ready(desk: &Desk) -> Answer {
    let (open, due) = (open(desk), overdue(desk));
    let shop = of_the_shop(desk);
    let on = if shop { " in the shop" } else { " on it" };
    let mut lines = vec![match (open.len(), due.len()) {
        (0, 0) => format!("Nothing stands open{on} in the records, and nothing is overdue."),
        (open, due) => format!("{open} open or to be watched{on}, {due} overdue."),
    }];
    for mut part in [open, due] {
        let left = part.len().saturating_sub(LINES_MAX);
        part.truncate(LINES_MAX);
        lines.append(&mut part);
        if left > 0 {
            lines.push(format!("  and {left} more"));
        }
    }
    let latest = desk.kept.records.iter().take(LATEST_MAX);
    let rows = latest.map(|record| row(desk, record)).collect();
    // Of a whole shop nobody asks whether it may go out.
    if !shop {
        lines.push(LOOK.to_owned());
        let newest = desk.kept.records.first();
        lines.extend(newest.map(|newest| format!("Latest: {}.", line(desk, newest))));
    }
    Answer { lines, rows, ..Answer::default() }
}

/// What is overdue, and what stands open or is watched, in a line each.
pub fn in_short(desk: &Desk) -> Vec<String> {
    let told = |what: &str, none: &str, rows: Vec<String>| match &rows[..] {
        [] => none.to_owned(),
        rows => {
            let left = rows.len().saturating_sub(SHORT_MAX);
            let more = if left > 0 { format!("; and {left} more") } else { String::new() };
            let first: Vec<&str> = rows.iter().take(SHORT_MAX).map(|row| row.trim()).collect();
            format!("{what} now, {}: {}{more}.", rows.len(), first.join("; "))
        }
    };
    vec![
        told("Overdue", "Nothing is overdue.", overdue(desk)),
        told("Open or to be watched", "Nothing else stands open.", open(desk)),
    ]
}

/// No machine or unit is named. An area has no machines of its own, so that all are meant.
fn of_the_shop(desk: &Desk) -> bool {
    desk.query.subjects.iter().all(|name| name.kind() == SubjectKind::Area)
}

/// Whether what stands open there bears on what is asked about: a unit, its machine or its units.
fn bears_on(desk: &Desk, name: &SubjectName) -> bool {
    let asked = &desk.query.subjects;
    of_the_shop(desk) || desk.query.is_about(name) || asked.iter().any(|one| name.holds(one))
}

fn overdue(desk: &Desk) -> Vec<String> {
    let rows = desk.due.iter().filter(|row| bears_on(desk, &desk.books.units[row.unit].name));
    rows.filter_map(|row| over(desk, row)).collect()
}

/// Faults not known to be cured and things to be watched, each told once.
fn open(desk: &Desk) -> Vec<String> {
    let books = desk.books;
    let told = |title: &str, fault: &Fault| {
        let known = Some(&fault.cause).filter(|cause| !cause.is_empty());
        let cause = known.map_or_else(String::new, |id| format!(" ({})", (desk.title)(id)));
        format!("  {title}: {}{cause}, {}, not known to be cured", fault.fault, day(fault.time))
    };
    let mut open = Vec::new();
    let mut watched: Vec<(usize, &LookedAt, Vec<usize>)> = Vec::new();
    let states = states(books);
    for state in &states {
        let unit = &books.units[state.unit];
        if !bears_on(desk, &unit.name) {
            continue;
        }
        let title = place(desk, &unit.name);
        open.extend(state.open_faults.iter().map(|fault| told(&title, fault)));
        for seen in &state.watch {
            // What was written of a machine stands at each of its units.
            let same = watched.iter_mut().find(|(machine, known, _)| {
                (*machine, known.time, &known.item) == (unit.machine, seen.time, &seen.item)
            });
            match same {
                Some((.., units)) => units.push(state.unit),
                None => watched.push((unit.machine, seen, vec![state.unit])),
            }
        }
    }
    let of_machines = books.faults.iter().filter(|fault| {
        let machine = fault.machine.filter(|_| fault.unit.is_none());
        let cured_later = books.faults.iter().any(|later| {
            later.machine == fault.machine && later.time > fault.time
                && later.cause == fault.cause && later.fixed == Some(true)
        });
        machine.is_some_and(|at| bears_on(desk, &books.machines[at].name))
            && fault.fixed != Some(true)
            && !cured_later
    });
    open.extend(of_machines.map(|fault| {
        let title = fault.machine.map_or("", |at| books.machines[at].title.as_str());
        told(title, fault)
    }));
    open.extend(watched.iter().map(|(machine, seen, units)| watch(desk, *machine, seen, units)));
    open
}

/// What is to be watched, and what was done since that bears on it.
fn watch(desk: &Desk, machine: usize, seen: &LookedAt, units: &[usize]) -> String {
    let books = desk.books;
    let title = match units {
        [only] => books.title_of(*only),
        _ => books.machines[machine].title.clone(),
    };
    let condition = seen.condition.map_or("watch", Choice::id);
    let family = Family::of(&seen.item);
    let since: Vec<String> = units
        .iter()
        .filter_map(|at| {
            let unit = &books.units[*at];
            let done = unit.changes.iter().rev().find(|change| {
                change.time > seen.time && change.family.is_some() && change.family == family
            })?;
            Some(format!("{} changed {} on {}", seen.item, day(done.time), unit.title))
        })
        .collect();
    let since = match &since[..] {
        [] => String::new(),
        done => format!("; since then {}, and nobody has said that it is over", done.join(", ")),
    };
    format!("  {title}: {} {}, {condition}, seen {}{since}", seen.item, seen.found, day(seen.time))
}

fn over(desk: &Desk, row: &Due) -> Option<String> {
    let left = row.left_h.filter(|left| *left <= 0.0)?;
    let title = desk.books.title_of(row.unit);
    Some(format!("  {title}: {}, {} h overdue", row.title.to_lowercase(), decimal(-left, 0)))
}
