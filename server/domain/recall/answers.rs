//! What do the records that are meant come to: the last of them, how many, what cured, whether it
//! held, how long it took, how long parts lasted, which had it never?
//! Deliberately absent: which records are meant (`sieve`), the meter and how things stand.

use std::collections::{BTreeMap, BTreeSet};

use super::deeds::changed_parts;
use super::side_by_side::side_by_side;
use super::sieve::Kept;
use super::{Answer, Asked, Query, Row, day, hours, lacking, lasted, season, standing, tally, told};
use crate::domain::fleet::due::Due;
use crate::domain::fleet::parts::Family;
use crate::domain::fleet::{Books, median};
use crate::domain::records::choices::AdjustmentTarget;
use crate::domain::records::detail::{Adjustment, Detail, FaultFixed, Part};
use crate::domain::records::{Record, RecordKind, SubjectName};
use crate::domain::units::decimal;
use crate::domain::wording::counted;

/// Up to so many records that were counted are told each.
const COUNTED_MAX: usize = 6;
/// Rows that go with an answer.
pub(super) const ROWS_MAX: usize = 200;
/// Units told one by one.
pub(super) const UNITS_TOLD_MAX: usize = 6;
/// Remedies told one by one.
const REMEDIES_TOLD_MAX: usize = 6;

/// Nothing was named that could be looked up.
const OF_WHAT: &str = "Of what? Name a machine, a part, the work or a fault, such as \"when was the \
                       belt on the rotary last changed\".";
/// Whether a fix held cannot be told without knowing which.
const WHICH_FIX: &str =
    "Which fix? Name the machine or the fault, such as \"did the squeal on walker 1 come back\".";

/// Everything that an answer is made of.
pub struct Desk<'a> {
    pub query: &'a Query,
    pub kept: Kept,
    pub books: &'a Books,
    /// Everything that is due; needed for what is ready only.
    pub due: &'a [Due],
    /// What the catalogue calls a cause or procedure.
    pub title: &'a dyn Fn(&str) -> String,
}

impl Desk<'_> {
    /// The records of each kind of equipment: a reel and a rotary blade are not one figure.
    fn by_equipment(&self) -> Vec<(String, Kept)> {
        let mut kinds: BTreeMap<String, Vec<Record>> = BTreeMap::new();
        for record in &self.kept.records {
            let Some(kind) = record.content.equipment else { return Vec::new() };
            kinds.entry(kind.id().replace('_', " ")).or_default().push(record.clone());
        }
        let kept = |records: Vec<Record>| Kept {
            total: records.len(),
            records,
            missed: self.kept.missed.clone(),
            strange: self.kept.strange.clone(),
            ..self.kept
        };
        kinds.into_iter().map(|(name, records)| (name, kept(records))).collect()
    }

    /// Neither words, machine, days nor person say what is asked about.
    fn is_about_nothing(&self) -> bool {
        let query = self.query;
        let days = query.from.is_some() || query.until.is_some();
        let named = query.records.is_empty();
        named && !self.kept.worded && query.subjects.is_empty() && query.done_by.is_empty() && !days
    }
}

/// The answer.
pub fn answer(desk: &Desk) -> Answer {
    let apart = matches!(desk.query.asked, Asked::Between | Asked::Took | Asked::Life);
    let kinds = if apart && desk.query.by.is_none() { desk.by_equipment() } else { Vec::new() };
    if kinds.len() > 1 {
        let each = kinds.into_iter().map(|(name, kept)| {
            let (query, books, due, title) = (desk.query, desk.books, desk.due, desk.title);
            (name, of_one(&Desk { query, kept, books, due, title }))
        });
        return side_by_side(desk.query.asked, each.collect());
    }
    of_one(desk)
}

fn of_one(desk: &Desk) -> Answer {
    let mut answer = match desk.query.asked {
        Asked::Height => height(desk),
        _ if desk.query.passed_over > 0 => last(desk),
        Asked::Hours if desk.kept.records.is_empty() && never_changed(desk) => said(nothing(desk)),
        Asked::Hours => hours::hours(desk),
        Asked::Ready => standing::ready(desk),
        Asked::Never => lacking::never(desk),
        Asked::Nobody => lacking::nobody(desk),
        Asked::Order => season::order(desk),
        Asked::Summary => season::summary(desk),
        Asked::Held if desk.is_about_nothing() => said(WHICH_FIX),
        Asked::Took | Asked::Life | Asked::Cured | Asked::Between
            if desk.is_about_nothing() && desk.query.by.is_none() =>
        {
            said(OF_WHAT)
        }
        Asked::Last | Asked::History | Asked::Count
            if desk.is_about_nothing() && desk.query.by.is_none() =>
        {
            of_all(desk)
        }
        _ if desk.kept.records.is_empty() => said(nothing(desk)),
        Asked::Last if desk.query.by == Some(super::By::Person) => by_whom(desk),
        Asked::Count | Asked::Labour | Asked::Took if desk.query.by.is_some() => {
            tally::grouped(desk)
        }
        Asked::Labour => tally::labour(desk),
        Asked::Between => tally::between(desk),
        Asked::Longest => tally::longest(desk),
        Asked::Last => last(desk),
        Asked::Count => count(desk),
        Asked::History => history(desk),
        Asked::Cured => cured(desk),
        Asked::Held => lasted::held(desk),
        Asked::Took => took(desk),
        Asked::Life => lasted::life(desk),
        Asked::Off => tally::off(desk),
    };
    answer.total = match desk.query.asked {
        // Only the faults are told of what was cured.
        Asked::Cured if !answer.rows.is_empty() => {
            desk.kept.records.iter().filter(|one| fault(one).is_some()).count().max(1)
        }
        _ => desk.kept.total,
    };
    if !desk.kept.strange.is_empty() && !desk.kept.records.is_empty() {
        let words = desk.kept.strange.join(" ");
        answer.notes.push(format!("Not looked for: \"{words}\", which no record says."));
    }
    if desk.kept.nearest && !answer.rows.is_empty() && !desk.kept.missed.is_empty() {
        answer.notes.insert(0, format!(
            "No record says \"{}\" as well; these are the nearest.",
            desk.kept.missed.join(" ")
        ));
    }
    answer
}

/// A part is asked about that no record says was changed.
fn never_changed(desk: &Desk) -> bool {
    desk.kept.missed.iter().any(|word| Family::of(word).is_some())
}

/// How many records there are, the newest, and what to ask instead.
fn of_all(desk: &Desk) -> Answer {
    let Some(newest) = desk.kept.records.first() else { return said(nothing(desk)) };
    let many = counted(desk.kept.total as u64, "record");
    let lines = vec![format!("{many} in all; the newest: {}.", line(desk, newest)), OF_WHAT.to_owned()];
    Answer { lines, ..Answer::default() }
}

/// "By apprentice: 3 centre, 23 Jul 2026", of what was done last on each.
fn by_whom(desk: &Desk) -> Answer {
    let each = newest_of_each(desk);
    let told = |record: &&Record| {
        let who = match record.content.done_by.as_str() {
            "" => "nobody named".to_owned(),
            who => format!("by {who}"),
        };
        format!("  {who}: {}, {}", place(desk, &record.name.subject), day(record.time))
    };
    let left = each.len().saturating_sub(UNITS_TOLD_MAX);
    let mut lines: Vec<String> = each.iter().take(UNITS_TOLD_MAX).map(told).collect();
    if let [only] = &mut lines[..] {
        *only = format!("{}.", only.trim_start());
    }
    if left > 0 {
        lines.push(format!("  and {left} more"));
    }
    Answer { lines, rows: rows(desk), ..Answer::default() }
}

/// One sentence, and no record.
pub(super) fn said(line: impl Into<String>) -> Answer {
    Answer { lines: vec![line.into()], ..Answer::default() }
}

pub(super) fn nothing(desk: &Desk) -> String {
    let parts = !desk.kept.missed.is_empty() && desk.query.asked.is_of_parts()
        && desk.kept.missed.iter().all(|word| Family::of(word).is_some());
    let of = match &desk.kept.missed[..] {
        [] => String::new(),
        missed if parts => format!(" of a change of \"{}\"", missed.join(" ")),
        missed => format!(" of \"{}\"", missed.join(" ")),
    };
    let where_ = match &desk.query.subjects[..] {
        [] => String::new(),
        [only] => format!(" on {}", place(desk, only)),
        several => format!(" on these {}", several.len()),
    };
    let when = if desk.query.from.is_some() || desk.query.until.is_some() {
        " in that time"
    } else {
        ""
    };
    let by = match desk.query.done_by.as_str() {
        "" => String::new(),
        person => format!(" by {person}"),
    };
    if desk.kept.strange.is_empty() {
        return format!("Nothing is recorded{of}{by}{where_}{when}.");
    }
    format!(
        "No record{by}{where_}{when} says \"{}\", and I know no work, part or fault of that name, so it \
         proves nothing. Say it in other words.",
        desk.kept.strange.join(" ")
    )
}

/// "Greens triplex, 2 right front", as the shop calls it.
pub fn place(desk: &Desk, name: &SubjectName) -> String {
    let books = desk.books;
    if let Some(unit) = books.unit(name) {
        return books.title_of(unit);
    }
    let machine = books.machines.iter().find(|machine| machine.name == *name);
    let area = books.areas.iter().find(|area| area.name == *name);
    let title = machine.map(|machine| &machine.title).or(area.map(|area| &area.title));
    title.cloned().unwrap_or_else(|| match name {
        SubjectName::Site { .. } => "the shop".to_owned(),
        other => other.id().to_string(),
    })
}

pub fn row(desk: &Desk, record: &Record) -> Row {
    let what = told::what(&record.content, desk.title);
    Row { record: record.clone(), what, remark: String::new() }
}

pub fn rows(desk: &Desk) -> Vec<Row> {
    desk.kept.records.iter().take(ROWS_MAX).map(|record| row(desk, record)).collect()
}

/// "by bench two, 71 min".
fn who_and_long(record: &Record) -> String {
    let content = &record.content;
    let by = Some(content.done_by.as_str()).filter(|by| !by.is_empty());
    let by = by.map(|by| format!(", by {by}")).unwrap_or_default();
    let long = content.duration_min.map(|minutes| format!(", {} min", decimal(minutes, 0)));
    by + &long.unwrap_or_default()
}

/// "22 Jul 2026, Fairway five, 3: spin grind, by bench two, 71 min".
pub fn line(desk: &Desk, record: &Record) -> String {
    let what = told::what(&record.content, desk.title);
    let place = place(desk, &record.name.subject);
    format!("{}, {place}: {what}{}", day(record.time), who_and_long(record))
}

/// The units, machines and areas that the records are about, each with its newest.
pub(super) fn newest_of_each<'a>(desk: &'a Desk) -> Vec<&'a Record> {
    let mut seen = BTreeSet::new();
    desk.kept.records.iter().filter(|record| seen.insert(&record.name.subject)).collect()
}

fn last(desk: &Desk) -> Answer {
    if let over @ 1.. = desk.query.passed_over {
        let Some(earlier) = desk.kept.records.get(over) else {
            return said("No earlier one is recorded.");
        };
        let first = !desk.query.records.is_empty() && over + 1 == desk.kept.records.len();
        let which = if first { "The first of them" } else { "The one before" };
        let line = format!("{which}: {}.", line(desk, earlier));
        return Answer { lines: vec![line], rows: vec![row(desk, earlier)], ..Answer::default() };
    }
    let newest = &desk.kept.records[0];
    let mut lines = Vec::new();
    if desk.kept.unchanged {
        lines.push("No change of it is recorded; this is the nearest.".to_owned());
    }
    lines.push(format!("Last: {}.", line(desk, newest)));
    lines.extend(hours::since_line(desk, newest));
    let each = newest_of_each(desk);
    if each.len() > 1 {
        lines.push("Last on each:".to_owned());
        let mut told: Vec<String> =
            each.iter().map(|record| format!("  {}", line(desk, record))).collect();
        let left = told.len().saturating_sub(UNITS_TOLD_MAX);
        told.truncate(UNITS_TOLD_MAX);
        lines.extend(told);
        if left > 0 {
            lines.push(format!("  and {left} more"));
        }
    } else if let Some(before) = desk.kept.records.get(1) {
        lines.push(format!("Before that: {}.", line(desk, before)));
    }
    let named = Some(newest.name.subject.clone()).filter(|_| desk.query.subjects.is_empty());
    Answer { lines, rows: rows(desk), named, ..Answer::default() }
}

fn count(desk: &Desk) -> Answer {
    let total = desk.kept.total;
    let parts: u32 = desk.kept.records.iter().map(part_count).sum();
    let mut lines = vec![match parts {
        // Nothing was named, so that nothing was counted but records.
        _ if !desk.kept.worded => format!("{} in all.", counted(total as u64, "record")),
        parts if parts as usize != total && desk.kept.records.iter().all(changes) => {
            format!("{}, {parts} parts.", counted_times(total))
        }
        _ => format!("{}.", counted_times(total)),
    }];
    let mut by_place: BTreeMap<&SubjectName, usize> = BTreeMap::new();
    for record in &desk.kept.records {
        *by_place.entry(&record.name.subject).or_default() += 1;
    }
    if by_place.len() > 1 {
        let mut each: Vec<(&SubjectName, usize)> = by_place.into_iter().collect();
        each.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(b.0)));
        let left = each.len().saturating_sub(UNITS_TOLD_MAX);
        let each = each.into_iter().take(UNITS_TOLD_MAX);
        let told = each.map(|(name, count)| format!("{}: {count}", place(desk, name)));
        let mut told: Vec<String> = told.collect();
        if left > 0 {
            told.push(format!("{left} more"));
        }
        lines.push(told.join("; ") + ".");
    }
    lines.extend(hours::rate_line(desk));
    // A few are told one by one.
    if total > COUNTED_MAX {
        lines.push(format!("Latest: {}.", line(desk, &desk.kept.records[0])));
    }
    Answer { lines, rows: rows(desk), ..Answer::default() }
}

fn changes(record: &Record) -> bool {
    !changed_parts(record).is_empty()
}

pub fn counted_times(total: usize) -> String {
    match total {
        1 => "Once".to_owned(),
        2 => "Twice".to_owned(),
        many => format!("{many} times"),
    }
}

pub(super) fn parts_of(record: &Record) -> &[Part] {
    match &record.content.detail {
        Detail::PartReplaced(done) => &done.parts,
        Detail::FaultFixed(fault) => &fault.parts,
        _ => &[],
    }
}

/// Parts that a record says were changed; what is told in words counts as one.
pub fn part_count(record: &Record) -> u32 {
    match parts_of(record) {
        [] => u32::try_from(changed_parts(record).len()).unwrap_or_default(),
        listed => listed.iter().map(|part| part.count.unwrap_or(1)).sum(),
    }
}

fn history(desk: &Desk) -> Answer {
    let minutes: f64 = desk.kept.records.iter().filter_map(|one| one.content.duration_min).sum();
    let spent = if minutes > 0.0 {
        format!(", {} h of work on them", decimal(minutes / 60.0, 1))
    } else {
        String::new()
    };
    let many = counted(desk.kept.total as u64, "record");
    let lines = vec![format!("{many}{spent}, the newest first:")];
    Answer { lines, rows: rows(desk), ..Answer::default() }
}

pub fn fault(record: &Record) -> Option<&FaultFixed> {
    match &record.content.detail {
        Detail::FaultFixed(fault) => Some(fault),
        _ => None,
    }
}

/// What was done about a fault, as the shop says it.
fn remedy(desk: &Desk, fault: &FaultFixed) -> String {
    match (fault.procedure.is_empty(), fault.action.is_empty()) {
        (false, _) => (desk.title)(&fault.procedure),
        (true, false) => fault.action.clone(),
        (true, true) if !fault.cause.is_empty() => (desk.title)(&fault.cause),
        (true, true) if !fault.found.is_empty() => fault.found.clone(),
        (true, true) => fault.fault.clone(),
    }
}

pub(super) fn with_comebacks(desk: &Desk) -> Vec<Row> {
    let mut rows = rows(desk);
    for row in &mut rows {
        if fault(&row.record).is_some_and(|fault| fault.fixed == Some(true))
            && let Some(later) = lasted::again(desk, &row.record)
        {
            row.remark = format!("came back {}", day(later.time));
        }
    }
    rows
}

fn cured(desk: &Desk) -> Answer {
    let faults: Vec<(&Record, &FaultFixed)> =
        desk.kept.records.iter().filter_map(|record| Some((record, fault(record)?))).collect();
    if faults.is_empty() {
        let mut lines = vec!["No fault of that is recorded; this is what was done:".to_owned()];
        lines.extend(history(desk).lines.into_iter().skip(1));
        return Answer { lines, rows: rows(desk), ..Answer::default() };
    }
    let mut tried: BTreeMap<String, (u32, u32, u32)> = BTreeMap::new();
    for (record, fault) in &faults {
        let row = tried.entry(remedy(desk, fault)).or_default();
        match fault.fixed {
            Some(false) => row.1 += 1,
            fixed => {
                row.0 += 1;
                row.2 += u32::from(fixed == Some(true) && lasted::again(desk, record).is_some());
            }
        }
    }
    let mut all: Vec<(String, (u32, u32, u32))> = tried.into_iter().collect();
    all.sort_by(|a, b| (b.1.0, a.1.1, &a.0).cmp(&(a.1.0, b.1.1, &b.0)));
    let told = |(what, (cured, not, back)): &(String, (u32, u32, u32))| {
        let back = if *back > 0 { format!(", of which {back} came back") } else { String::new() };
        let not = if *not > 0 { format!(", did not cure it {not}") } else { String::new() };
        format!("{what}: cured it {cured}{back}{not}")
    };
    let mut lines = Vec::new();
    match &all[..] {
        [(_, (0, ..)), ..] => lines.push("Nothing recorded has cured it yet.".to_owned()),
        [only] => lines.push(format!("{}.", told(only))),
        several => {
            lines.push("What cured it, most often first:".to_owned());
            let several = several.iter().take(REMEDIES_TOLD_MAX);
            lines.extend(several.map(|one| format!("  {}", told(one))));
        }
    }
    let mut rows = with_comebacks(desk);
    rows.retain(|row| fault(&row.record).is_some());
    Answer { lines, rows, ..Answer::default() }
}

fn took(desk: &Desk) -> Answer {
    let records = desk.kept.records.iter();
    let minutes: Vec<f64> = records.filter_map(|one| one.content.duration_min).collect();
    let rows: Vec<Row> =
        rows(desk).into_iter().filter(|row| row.record.content.duration_min.is_some()).collect();
    let Some(middle) = median(&minutes) else {
        return said("No time was recorded of it.");
    };
    let low = minutes.iter().copied().fold(f64::INFINITY, f64::min);
    let high = minutes.iter().copied().fold(0.0, f64::max);
    let mut lines = vec![match minutes.len() {
        1 => format!("{} min, the once it was timed.", decimal(middle, 0)),
        times => format!(
            "{} min in the middle of {times} times, from {} to {}.",
            decimal(middle, 0), decimal(low, 0), decimal(high, 0)
        ),
    }];
    lines.extend(last_day(desk, &rows));
    if let Some(row) = rows.first() {
        lines.push(format!("Latest: {}.", line(desk, &row.record)));
    }
    Answer { lines, rows, ..Answer::default() }
}

/// "The last time, 22 Jul 2026: 365 min on 5 units." What was done on one machine and day is one job.
fn last_day(desk: &Desk, rows: &[Row]) -> Option<String> {
    let newest = &rows.first()?.record;
    let machine = newest.name.subject.machine();
    let when = day(newest.time);
    let same: Vec<&Row> = rows
        .iter()
        .take_while(|row| day(row.record.time) == when)
        .filter(|row| row.record.name.subject.machine() == machine)
        .collect();
    let minutes: f64 = same.iter().filter_map(|row| row.record.content.duration_min).sum();
    let of_all = desk.kept.records.len() > 1 && same.len() > 1;
    of_all.then(|| {
        let units = counted(same.len() as u64, "piece of work");
        let units = units.replace("piece of works", "pieces of work");
        format!("The last time, {when}: {} min in {units}.", decimal(minutes, 0))
    })
}

/// No reel is set so far from its bedknife, nor a groomer so deep, mm (common practice, no source).
const HEIGHT_MIN_MM: f64 = 2.0;

/// Whether the height of cut was set: it is said, or the setting can be nothing else.
fn sets_height(done: &Adjustment) -> bool {
    let high = done.setting_mm.is_some_and(|setting| setting >= HEIGHT_MIN_MM);
    match done.target {
        Some(target) => target == AdjustmentTarget::HeightOfCut,
        None => high,
    }
}

fn height(desk: &Desk) -> Answer {
    let is_height = |record: &&Record| {
        let set = matches!(&record.content.detail, Detail::Adjustment(done) if sets_height(done));
        record.content.kind() == RecordKind::HeightReading || set
    };
    let heights: Vec<&Record> = desk.kept.records.iter().filter(is_height).collect();
    if let over @ 1.. = desk.query.passed_over {
        let Some(earlier) = heights.get(over) else { return said("No earlier one is recorded.") };
        let told = format!("The one before: {}.", line(desk, earlier));
        return Answer { lines: vec![told], rows: vec![row(desk, earlier)], ..Answer::default() };
    }
    let Some(newest) = heights.iter().find(|one| one.content.kind() == RecordKind::HeightReading)
        .or(heights.first())
    else {
        let of = match &desk.query.subjects[..] {
            [only] => format!(" of {}", place(desk, only)),
            _ => String::new(),
        };
        let days = desk.query.from.is_some() || desk.query.until.is_some();
        let when = if days { " in that time" } else { "" };
        return said(format!("No height{of} is recorded{when}."));
    };
    let mut lines = vec![format!("Last read: {}.", line(desk, newest))];
    let later = heights.iter().find(|one| one.time > newest.time);
    let first = match later {
        Some(set) => Some(format!("Set since it was last read: {}.", line(desk, set))),
        None => super::heights::spread(newest),
    };
    if let Some(first) = first {
        lines.insert(0, first);
    }
    let rows = heights.iter().take(ROWS_MAX).map(|record| row(desk, record)).collect();
    Answer { lines, rows, ..Answer::default() }
}
