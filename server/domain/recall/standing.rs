//! Is it ready: does anything stand open on it, or is anything due? The records can say what is
//! open, never that a machine is safe. Deliberately absent: a yes.

use super::answers::{Desk, line, place, row};
use super::{Answer, day};
use crate::domain::fleet::due::Due;
use crate::domain::fleet::state::states;
use crate::domain::units::decimal;

/// Records shown of the latest work.
const LATEST_MAX: usize = 5;
/// Lines of each part.
const LINES_MAX: usize = 8;

/// What is asked of a person before a machine goes out.
const LOOK: &str = "Records cannot say that it is safe: look it over, try the stops and guards, and \
                    go by the machine's manual before it is used.";

pub fn ready(desk: &Desk) -> Answer {
    let books = desk.books;
    let mut open = Vec::new();
    for state in states(books) {
        let name = &books.units[state.unit].name;
        if !desk.query.is_about(name) {
            continue;
        }
        let title = place(desk, name);
        open.extend(state.open_faults.iter().map(|fault| {
            let known = Some(&fault.cause).filter(|cause| !cause.is_empty());
            let cause = known.map_or_else(String::new, |id| format!(" ({})", (desk.title)(id)));
            format!("  {title}: {}{cause}, {}, not known to be cured", fault.fault, day(fault.time))
        }));
        open.extend(state.watch.iter().map(|seen| {
            let condition = seen.condition.map_or("watch", |condition| {
                crate::domain::records::choices::Choice::id(condition)
            });
            format!("  {title}: {} {}, {condition}, seen {}", seen.item, seen.found, day(seen.time))
        }));
    }
    let due: Vec<String> = desk
        .due
        .iter()
        .filter(|row| desk.query.is_about(&books.units[row.unit].name))
        .filter_map(|row| over(desk, row))
        .collect();
    let mut lines = vec![match (open.len(), due.len()) {
        (0, 0) => "Nothing stands open on it in the records, and nothing is overdue.".to_owned(),
        (open, due) => format!("{open} open or to be watched, {due} overdue."),
    }];
    for mut part in [open, due] {
        let left = part.len().saturating_sub(LINES_MAX);
        part.truncate(LINES_MAX);
        lines.append(&mut part);
        if left > 0 {
            lines.push(format!("  and {left} more"));
        }
    }
    lines.push(LOOK.to_owned());
    let latest = desk.kept.records.iter().take(LATEST_MAX);
    let rows = latest.map(|record| row(desk, record)).collect();
    let newest = desk.kept.records.first();
    lines.extend(newest.map(|newest| format!("Latest: {}.", line(desk, newest))));
    Answer { lines, rows, ..Answer::default() }
}

fn over(desk: &Desk, row: &Due) -> Option<String> {
    let left = row.left_h.filter(|left| *left <= 0.0)?;
    let title = desk.books.title_of(row.unit);
    Some(format!("  {title}: {}, {} h overdue", row.title.to_lowercase(), decimal(-left, 0)))
}
