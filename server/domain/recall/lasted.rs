//! Did a repair hold, which faults came back, and how long did a part last?
//! Deliberately absent: what cured a fault, and when it was done (`answers`).

use std::collections::BTreeSet;

use super::answers::{
    Desk, ROWS_MAX, fault, line, newest_of_each, parts_of, row, rows, with_comebacks,
};
use super::deeds::changed_parts;
use super::sieve::Kept;
use super::{Answer, Row, day, hours, tally};
use crate::domain::fleet::books::Fault as Again;
use crate::domain::fleet::median;
use crate::domain::fleet::parts::Family;
use crate::domain::records::{Record, SubjectName};
use crate::domain::units::decimal;
use crate::domain::wording::counted;

/// Lives told one by one.
const LIVES_TOLD_MAX: usize = 4;

/// The next time the same cause was found on the same unit.
pub fn again<'a>(desk: &'a Desk, record: &Record) -> Option<&'a Again> {
    let cause = &fault(record)?.cause;
    let unit = desk.books.unit(&record.name.subject)?;
    desk.books.faults.iter().find(|later| {
        later.time > record.time && later.unit == Some(unit) && later.cause == *cause
    })
}

pub fn held(desk: &Desk) -> Answer {
    let latest = desk.kept.records.iter().find_map(|record| Some((record, fault(record)?)));
    let Some((record, found)) = latest else { return held_since(desk) };
    let when = day(record.time);
    let (all, back) = tally::came_back(desk);
    let cause = &found.cause;
    let mut others = desk.kept.records.iter().filter_map(fault);
    // Of several kinds of fault the latest says nothing of the others.
    let several = all > 1 && others.any(|other| other.cause != *cause);
    let summed = format!("Of {all} cures recorded {back} came back.");
    if several && desk.query.done_by.is_empty() {
        return returns(desk, summed);
    }
    let mut rows = with_comebacks(desk);
    rows.retain(|row| fault(&row.record).is_some());
    if several {
        // Of what one man did: which of it came back.
        rows.retain(|row| !row.remark.is_empty());
        return Answer { lines: vec![summed], rows, ..Answer::default() };
    }
    let mut lines = vec![match (found.fixed, again(desk, record)) {
        (Some(false), _) => format!("No: on {when} it was not cured."),
        (_, Some(later)) => format!("No: put right {when}, and found again {}.", day(later.time)),
        (Some(true), None) => {
            format!("Yes, as far as is recorded: put right {when}, not found again since.")
        }
        (None, None) => {
            format!("Nobody has said: the work was done {when}, and not found again since.")
        }
    }];
    lines.extend(hours::since_line(desk, record));
    if all > 1 {
        lines.push(summed);
    }
    Answer { lines, rows, ..Answer::default() }
}

/// The faults that had been put right before on the same unit: every one is a return, also when
/// the cure lies before the days asked about.
fn returns(desk: &Desk, summed: String) -> Answer {
    let mut rows: Vec<Row> = Vec::new();
    for record in &desk.kept.records {
        if let Some(before) = cured_before(desk, record) {
            let mut row = row(desk, record);
            row.remark = format!("put right before on {}", day(before.time));
            rows.push(row);
        }
    }
    let many = desk.kept.records.iter().filter(|one| fault(one).is_some()).count();
    let first = format!(
        "{} of {} had been put right on the same unit before, and came back.",
        rows.len(),
        counted(many as u64, "fault")
    );
    rows.truncate(ROWS_MAX);
    Answer { lines: vec![first, summed], rows, ..Answer::default() }
}

/// The last time before that the same cause was put right on the same unit.
fn cured_before<'a>(desk: &'a Desk, record: &Record) -> Option<&'a Again> {
    let cause = &fault(record)?.cause;
    let unit = desk.books.unit(&record.name.subject)?;
    let earlier = desk.books.faults.iter().rev().find(|earlier| {
        earlier.time < record.time && earlier.unit == Some(unit) && earlier.cause == *cause
    })?;
    (!cause.is_empty() && earlier.fixed == Some(true)).then_some(earlier)
}

/// Whether work held that put no fault right: nobody says; what was found there since is told.
fn held_since(desk: &Desk) -> Answer {
    let newest = &desk.kept.records[0];
    let mut lines = vec![
        "Nobody has written whether it held; it put no fault right.".to_owned(),
        format!("Last: {}.", line(desk, newest)),
    ];
    let done: BTreeSet<&SubjectName> = newest_of_each(desk)
        .into_iter()
        .filter(|record| day(record.time) == day(newest.time))
        .map(|record| &record.name.subject)
        .collect();
    let since: Vec<&Again> = desk
        .books
        .faults
        .iter()
        .filter(|later| later.time > newest.time)
        .filter(|later| later.unit.is_some_and(|at| done.contains(&desk.books.units[at].name)))
        .collect();
    match since.first() {
        None => lines.push("No fault has been written there since.".to_owned()),
        Some(first) => {
            let many = counted(since.len() as u64, "fault");
            let (when, what) = (day(first.time), &first.fault);
            lines.push(format!("Since then {many} there, the first on {when}: {what}."));
        }
    }
    Answer { lines, ..Answer::default() }
}

/// Of a part that was changed after the last reading: what the one before had run up to that.
fn just_changed(desk: &Desk) -> Option<Answer> {
    let newest = desk.kept.records.first()?;
    let stated = parts_of(newest).iter().any(|part| part.life_h.is_some());
    if stated || hours::run_before(desk, newest).is_some() || newest_of_each(desk).len() > 1 {
        return None;
    }
    let before = desk.kept.records.get(1)?;
    let (ran_h, read) = hours::run_to_reading(desk, before)?;
    let mut lines = vec![format!(
        "The one taken out {} had run {} h by the reading of {}; none was taken since.",
        day(newest.time),
        decimal(ran_h, 0),
        day(read)
    )];
    lines.extend(against_due(desk, Some(ran_h)));
    Some(Answer { lines, rows: rows(desk), ..Answer::default() })
}

/// Whether the one that came out last had run past the hours at which such a part is due.
fn against_due(desk: &Desk, ran_h: Option<f64>) -> Option<String> {
    let record = desk.kept.records.first()?;
    let unit = desk.books.unit(&record.name.subject)?;
    let parts = changed_parts(record);
    let family = parts.iter().find_map(|part| Family::of(part))?;
    let job = desk.due.iter().find(|job| job.unit == unit && job.work == family.id())?;
    let (ran_h, due_h) = (ran_h?, job.interval_h?);
    let due = decimal(due_h, 0);
    Some(match ran_h - due_h {
        over if over >= 0.5 => {
            let over = decimal(over, 0);
            format!("So it was overdue: {over} h over the {due} h at which such are due here by now.")
        }
        short => format!(
            "So it was not overdue: {} h short of the {due} h at which such are due here.",
            decimal(-short, 0)
        ),
    })
}

pub fn life(desk: &Desk) -> Answer {
    // What was only set or looked at ends no life.
    let changes = |record: &&Record| !changed_parts(record).is_empty();
    let records: Vec<Record> = desk.kept.records.iter().filter(changes).cloned().collect();
    if records.len() < desk.kept.records.len() {
        let kept = Kept { total: records.len(), records, worded: true, ..Kept::default() };
        let (query, books, due, title) = (desk.query, desk.books, desk.due, desk.title);
        return lives_of(&Desk { query, kept, books, due, title });
    }
    lives_of(desk)
}

fn lives_of(desk: &Desk) -> Answer {
    if let Some(told) = just_changed(desk) {
        return told;
    }
    let lived = |record: &Record| -> Vec<f64> {
        let stated: Vec<f64> = parts_of(record).iter().filter_map(|part| part.life_h).collect();
        match stated.is_empty() {
            true => hours::run_before(desk, record).into_iter().collect(),
            false => stated,
        }
    };
    let lives: Vec<f64> = desk.kept.records.iter().flat_map(lived).collect();
    let rows = rows(desk);
    let Some(middle) = median(&lives) else {
        let text = "How long they lasted was not recorded, and no two changes on one unit tell it.";
        return Answer { lines: vec![text.to_owned()], rows, ..Answer::default() };
    };
    let low = lives.iter().copied().fold(f64::INFINITY, f64::min);
    let high = lives.iter().copied().fold(0.0, f64::max);
    let of = match lives.len() {
        1 => "the only one that ended".to_owned(),
        count => {
            format!("the middle of {count}, from {} to {} h", decimal(low, 0), decimal(high, 0))
        }
    };
    let mut lines = vec![format!("About {} h of the machine: {of}.", decimal(middle, 0))];
    // On one unit the last one matters, and the one that is in now.
    if newest_of_each(desk).len() == 1 {
        let told = desk.kept.records.iter().take(LIVES_TOLD_MAX).filter_map(|record| {
            let ran = lived(record).first().map(|hours| decimal(*hours, 0))?;
            Some(format!("{ran} h (out {})", day(record.time)))
        });
        let told: Vec<String> = told.collect();
        if let Some((last, before)) = told.split_first() {
            let before = match before {
                [] => String::new(),
                several => format!("; before it {}", several.join(", ")),
            };
            lines.insert(0, format!("The last one ran {last}{before}."));
            lines.extend(against_due(desk, lived(&desk.kept.records[0]).first().copied()));
        }
        lines.extend(hours::since_line(desk, &desk.kept.records[0]));
    }
    Answer { lines, rows, ..Answer::default() }
}
