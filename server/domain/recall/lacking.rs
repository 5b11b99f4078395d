//! Which units had it never, or not in that time; and is it true that nobody did it?
//! Deliberately absent: what was done where it was done (`answers`).

use std::collections::BTreeSet;

use super::answers::{
    Desk, ROWS_MAX, UNITS_TOLD_MAX, line, newest_of_each, nothing, place, row, said,
};
use super::{Answer, day};
use crate::domain::fleet::books::UnitBook;
use crate::domain::records::SubjectName;
use crate::domain::wording::{counted, lower_first};

/// Machines told one by one.
const MACHINES_TOLD_MAX: usize = 12;

/// Those of a kind that had it, and those that had not.
struct Sides<'a> {
    done: Vec<&'a SubjectName>,
    without: Vec<&'a SubjectName>,
    what: &'static str,
}

/// Units that are like those it was done on, by whether it was done on them in that time.
fn sides<'a>(desk: &'a Desk) -> Sides<'a> {
    let books = desk.books;
    let had: BTreeSet<&SubjectName> =
        desk.kept.records.iter().map(|record| &record.name.subject).collect();
    let kinds: BTreeSet<_> = desk
        .kept
        .records
        .iter()
        .filter(|record| books.unit(&record.name.subject).is_some())
        .filter_map(|record| record.content.equipment)
        .collect();
    // What was done on a whole machine as well is asked of machines.
    let whole = |name: &&&SubjectName| books.machines.iter().any(|machine| machine.name == ***name);
    let by_unit = !kinds.is_empty() && !had.iter().any(|name| whole(&name));
    let names: Vec<&SubjectName> = if by_unit {
        let fits =
            |unit: &&UnitBook| unit.equipment.is_some_and(|kind| kinds.contains(&kind));
        books.units.iter().filter(fits).map(|unit| &unit.name).collect()
    } else {
        books.machines.iter().map(|machine| &machine.name).collect()
    };
    let asked = |name: &SubjectName| {
        desk.query.is_about(name)
            || (!by_unit && desk.query.subjects.iter().any(|unit| name.holds(unit)))
    };
    let names = names.into_iter().filter(|name| asked(name));
    // One unit of five is not the machine: all of its kind had it, or it had it itself.
    let all_units = |name: &SubjectName| {
        let of = || had.iter().filter(|done| name.holds(done));
        let book = |done: &SubjectName| books.units.iter().find(|unit| unit.name == *done);
        let kind = of().find_map(|done| book(done)?.equipment);
        let like = |unit: &&UnitBook| kind.is_none() || unit.equipment == kind;
        let own = |unit: &&UnitBook| name.holds(&unit.name) && like(unit);
        of().next().is_some()
            && books.units.iter().filter(own).all(|unit| had.contains(&unit.name))
    };
    let covered = |name: &SubjectName| {
        had.iter().any(|done| *done == name || done.holds(name)) || (!by_unit && all_units(name))
    };
    let (done, without) = names.partition(|name| covered(name));
    Sides { done, without, what: if by_unit { "unit" } else { "machine" } }
}

fn named(desk: &Desk, names: &[&SubjectName]) -> Vec<String> {
    let told = names.iter().take(UNITS_TOLD_MAX).map(|name| format!("  {}", place(desk, name)));
    let mut told: Vec<String> = told.collect();
    if names.len() > UNITS_TOLD_MAX {
        told.push(format!("  and {} more", names.len() - UNITS_TOLD_MAX));
    }
    told
}

/// Units that are like those it was done on, and never had it, or not in that time.
pub fn never(desk: &Desk) -> Answer {
    let Sides { done, without, what } = sides(desk);
    let mut lines = vec![match (without.len(), done.len()) {
        (0, 0) => nothing(desk),
        (0, 1) => format!("None: it was done on the one {what}."),
        (0, count) => format!("None: it was done on each of the {count} {what}s."),
        (count, _) => format!("Not recorded on {}:", counted(count as u64, what)),
    }];
    lines.extend(named(desk, &without));
    let each = newest_of_each(desk);
    lines.extend(each.last().map(|oldest| format!("Longest ago: {}.", line(desk, oldest))));
    if without.is_empty() && what == "machine" && done.len() > 1 {
        lines.push("Last on each:".to_owned());
        let newest = |name: &&&SubjectName| {
            each.iter().find(|one| one.name.subject == ***name || name.holds(&one.name.subject))
        };
        let told = done.iter().filter_map(|name| newest(&name)).take(MACHINES_TOLD_MAX);
        lines.extend(told.map(|record| format!("  {}", line(desk, record))));
    }
    let rows = each.into_iter().take(ROWS_MAX).map(|one| row(desk, one)).collect();
    Answer { lines, rows, ..Answer::default() }
}

/// Whether it is true that nobody did it: yes or no, and the last time.
pub fn nobody(desk: &Desk) -> Answer {
    let days = desk.query.from.is_some() || desk.query.until.is_some();
    let when = match (desk.query.from, days) {
        (Some(from), _) => format!(" since {}", day(from)),
        (None, true) => " in that time".to_owned(),
        (None, false) => String::new(),
    };
    let Some(newest) = desk.kept.records.first() else {
        return said(format!("Yes, that is right by the records: {}", lower_first(&nothing(desk))));
    };
    let Sides { done, without, what } = sides(desk);
    let mut lines = Vec::new();
    if without.is_empty() || done.is_empty() {
        lines.push(format!("No, it was done{when}; the last: {}.", line(desk, newest)));
        if done.len() > 1 {
            lines.push(format!("It was done on each of the {} {what}s.", done.len()));
        }
    } else {
        let all = done.len() + without.len();
        lines.push(format!(
            "Not quite: it was done{when} on {} of {all} {what}s; the last: {}.",
            done.len(),
            line(desk, newest)
        ));
        lines.push("Not on:".to_owned());
        lines.extend(named(desk, &without));
    }
    let each = newest_of_each(desk);
    let rows = each.into_iter().take(ROWS_MAX).map(|one| row(desk, one)).collect();
    Answer { lines, rows, ..Answer::default() }
}
