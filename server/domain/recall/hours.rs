//! What does the meter say: how many hours are on a machine, how many it ran in some time, and how
//! many since something was done?
//! Deliberately absent: hours that no reading tells; how old the last reading is is always said.

use super::answers::{Desk, line, place};
use super::{Answer, day};
use crate::domain::fleet::books::MachineBook;
use crate::domain::fleet::days_between;
use crate::domain::records::{Moment, Record, RecordKind, SubjectName};
use crate::domain::units::decimal;

/// From so many days on, it is said how old the last reading is (no source).
const OLD_READING_DAYS: f64 = 14.0;
/// Machines told one by one.
const MACHINES_MAX: usize = 40;
/// Units without a record that are told by name.
const LACKING_MAX: usize = 6;

fn machine_of<'a>(desk: &'a Desk, name: &SubjectName) -> Option<&'a MachineBook> {
    desk.books.machines.iter().find(|machine| machine.name == *name || machine.name.holds(name))
}

/// Hours of its machine since a moment, up to the last reading.
fn since(machine: &MachineBook, moment: Moment) -> Option<f64> {
    let (_, last) = machine.meter.last()?;
    Some((last - machine.meter.at(moment)?).max(0.0))
}

/// "That is 63 h of the machine ago."
pub fn since_line(desk: &Desk, record: &Record) -> Option<String> {
    let machine = machine_of(desk, &record.name.subject)?;
    let ran = since(machine, record.time)?;
    let (read, _) = machine.meter.last()?;
    if read < record.time {
        return None;
    }
    let (title, ran, read) = (&machine.title, decimal(ran, 0), day(read));
    Some(format!("{title} has run {ran} h since, by its reading of {read}."))
}

/// Hours that the part before ran, from the change before on the same unit.
pub fn run_before(desk: &Desk, record: &Record) -> Option<f64> {
    let machine = machine_of(desk, &record.name.subject)?;
    let before = desk.kept.records.iter().find(|one| {
        one.name.subject == record.name.subject && one.time < record.time
    })?;
    Some(machine.meter.at(record.time)? - machine.meter.at(before.time)?)
}

/// Hours of its machine from a record up to the last reading, and when that was.
pub fn run_to_reading(desk: &Desk, from: &Record) -> Option<(f64, Moment)> {
    let machine = machine_of(desk, &from.name.subject)?;
    let (read, _) = machine.meter.last().filter(|(read, _)| *read > from.time)?;
    Some((since(machine, from.time)?, read))
}

/// Hours of its machine from one record to another of the same subject.
pub fn run_from_to(desk: &Desk, from: &Record, to: &Record) -> Option<f64> {
    let machine = machine_of(desk, &from.name.subject)?;
    Some(machine.meter.at(to.time)? - machine.meter.at(from.time)?)
}

/// "About once in 107 h: 427 h of Greens triplex, up to its reading of 10 Oct 2026": over all hours
/// of the time asked about, never the gap between two of them. When all is on one machine.
pub fn rate_line(desk: &Desk) -> Option<String> {
    let records = &desk.kept.records;
    let newest = records.first()?;
    let machine = machine_of(desk, &newest.name.subject)?;
    let on_it = |record: &Record| {
        machine.name == record.name.subject || machine.name.holds(&record.name.subject)
    };
    let (first, last) = machine.meter.known(desk.books.now)?;
    let period = desk.query.period(desk.books);
    let (from, until) = (period.from.max(first), period.until.min(last));
    // What was done when no hours are known counts for no rate.
    let count = records.iter().filter(|one| from <= one.time && one.time <= until).count();
    let ran = machine.meter.run_between(from, until, desk.books.now);
    if count == 0 || ran <= 0.0 || !records.iter().all(on_it) {
        return None;
    }
    let mut units: Vec<&SubjectName> = records.iter().map(|one| &one.name.subject).collect();
    units.sort();
    units.dedup();
    // Those of which no hours are known are in no rate, and that is said.
    let late = match records.len() - count {
        0 => String::new(),
        1 => " The other one is of a time of which no hours were read.".to_owned(),
        late => format!(" The other {late} are of times of which no hours were read."),
    };
    let together = if units.len() > 1 { ", those units together" } else { "" };
    let about = if machine.meter.is_read_near(from) { "" } else { ", partly an estimate" };
    Some(format!(
        "About once in {} h: {} h of {} from {} to its reading of {}{about}{together}.{late}",
        decimal(ran / count as f64, 0),
        decimal(ran, 0),
        machine.title,
        day(from),
        day(until)
    ))
}

/// "About 250 h, an estimate; 227 h between its readings of 22 Apr and 10 Oct 2026."
fn ran_in(machine: &MachineBook, from: Moment, until: Moment, now: Moment) -> String {
    let ran = machine.meter.run_between(from, until, now);
    let exact = machine.meter.is_read_near(from) && machine.meter.is_read_near(until);
    let read = machine.meter.read_between(from, until);
    match (exact, read) {
        (true, _) => format!("ran {} h in that time", decimal(ran, 0)),
        (false, Some(((first, low), (last, high)))) => format!(
            "ran about {} h in that time, an estimate; {} h between its readings of {} and {}",
            decimal(ran, 0), decimal(high - low, 0), day(first), day(last)
        ),
        (false, None) => format!(
            "ran about {} h in that time, an estimate from readings before and after it",
            decimal(ran, 0)
        ),
    }
}

/// What the meters say.
pub fn hours(desk: &Desk) -> Answer {
    let newest = desk.kept.records.first();
    if let Some(newest) = newest.filter(|_| !desk.kept.nearest && asks_since(desk)) {
        return since_work(desk, newest);
    }
    let machines = desk.books.machines.iter().filter(|machine| {
        let asked = &desk.query.subjects;
        let holds = |name: &SubjectName| name.holds(&machine.name) || machine.name.holds(name);
        asked.is_empty() || asked.iter().any(holds)
    });
    let mut lines = Vec::new();
    let mut old: Vec<(f64, &str)> = Vec::new();
    let mut machines: Vec<&MachineBook> = machines.take(MACHINES_MAX).collect();
    let days = desk.query.from.is_some() || desk.query.until.is_some();
    if desk.query.by.is_some() {
        // Which has most: of those days, else on the meter.
        let period = desk.query.period(desk.books);
        let ran = |machine: &MachineBook| match (days, machine.meter.last()) {
            (true, _) => machine.meter.run_between(period.from, period.until, desk.books.now),
            (false, last) => last.map_or(0.0, |(_, value)| value),
        };
        machines.sort_by(|a, b| ran(b).total_cmp(&ran(a)));
    }
    let named = machines.first().filter(|_| desk.query.by.is_some());
    let named = named.map(|machine| machine.name.clone());
    for machine in machines {
        let Some((read, value)) = machine.meter.last() else {
            lines.push(format!("{}: no hours are recorded.", machine.title));
            continue;
        };
        let when = day(read);
        let period = desk.query.period(desk.books);
        let ran = ran_in(machine, period.from, period.until.min(read), desk.books.now);
        lines.push(match days {
            // What it reads now says nothing of a time long over.
            true if period.until < read => format!("{}: {ran}.", machine.title),
            true => format!("{}: {ran}; {} h on the meter on {when}.", machine.title, decimal(value, 1)),
            false => format!("{}: {} h on {when}.", machine.title, decimal(value, 1)),
        });
        let age = days_between(read, desk.books.now);
        if age > OLD_READING_DAYS {
            old.push((age, machine.title.as_str()));
        }
    }
    let notes = match &old[..] {
        [] => Vec::new(),
        [(age, title)] => vec![format!("{title} was last read {} days ago.", decimal(*age, 0))],
        several => {
            let ages = || several.iter().map(|(age, _)| *age);
            let least = decimal(ages().fold(f64::INFINITY, f64::min), 0);
            let most = decimal(ages().fold(0.0, f64::max), 0);
            vec![format!("They were last read {least} to {most} days ago.")]
        }
    };
    if lines.is_empty() {
        lines.push("No machine of that has hours recorded.".to_owned());
    }
    Answer { lines, notes, named, ..Answer::default() }
}

/// It is asked how long ago something was done, in hours.
fn asks_since(desk: &Desk) -> bool {
    let work = |record: &Record| record.content.kind() != RecordKind::Hours;
    desk.kept.worded && desk.kept.records.iter().any(work)
}

fn since_work(desk: &Desk, newest: &Record) -> Answer {
    let mut seen = std::collections::BTreeSet::new();
    let each = desk.kept.records.iter().filter(|record| seen.insert(&record.name.subject));
    let mut lines: Vec<String> = Vec::new();
    let mut rows = Vec::new();
    for record in each.take(MACHINES_MAX) {
        let subject = &record.name.subject;
        let ran = machine_of(desk, subject).and_then(|machine| since(machine, record.time));
        let ran = ran.map(|hours| format!("{} h", decimal(hours, 0)));
        let ran = ran.unwrap_or_else(|| "hours not known".to_owned());
        lines.push(format!("{}: {ran} since {}.", place(desk, subject), day(record.time)));
        rows.push(super::answers::row(desk, record));
    }
    lines.extend(lacking(desk));
    lines.push(format!("Latest: {}.", line(desk, newest)));
    let read = machine_of(desk, &newest.name.subject).and_then(|machine| machine.meter.last());
    let notes = read.map(|(read, _)| format!("Hours up to the reading of {}.", day(read)));
    Answer { lines, rows, notes: notes.into_iter().collect(), ..Answer::default() }
}

/// Units of the machines asked about that have no such record, where others of the kind have.
fn lacking(desk: &Desk) -> Option<String> {
    let kinds: Vec<_> = desk.kept.records.iter().filter_map(|one| one.content.equipment).collect();
    let has = |name: &SubjectName| {
        desk.kept.records.iter().any(|record| {
            record.name.subject == *name || record.name.subject.holds(name)
        })
    };
    let asked = !desk.query.subjects.is_empty();
    let units = desk.books.units.iter().filter(|unit| asked && desk.query.is_about(&unit.name));
    let units = units.filter(|unit| unit.equipment.is_some_and(|kind| kinds.contains(&kind)));
    let without: Vec<&str> =
        units.filter(|unit| !has(&unit.name)).map(|unit| unit.title.as_str()).collect();
    let told = without.iter().take(LACKING_MAX).copied().collect::<Vec<_>>().join(", ");
    (!without.is_empty()).then(|| format!("Never recorded on {}: {told}.", without.len()))
}
