//! What do the records that are meant add up to: hours of work, which machine, person or month has
//! most, which job took longest, how many hours of the machine lie between two?
//! Deliberately absent: which records are meant (`sieve`), and answers of one record (`answers`).

use std::collections::{BTreeMap, HashMap};

use super::answers::{
    Desk, ROWS_MAX, counted_times, fault, line, part_count, place, row, rows,
};
use super::{Answer, Asked, By};
use crate::domain::fleet::median;
use crate::domain::records::choices::Choice as _;
use crate::domain::records::detail::Detail;
use crate::domain::records::{Record, RecordKind, SubjectKind, SubjectName};
use crate::domain::units::decimal;
use crate::domain::wording::counted;

/// Two records closer than this are of one piece of work (no source).
const APART_H: f64 = 2.0;
/// Rows of a rank, and jobs told of the longest.
const RANKS_MAX: usize = 8;
const LONGEST_MAX: usize = 3;
/// Units told of what came off, and grinds of each.
const UNITS_MAX: usize = 16;
const GRINDS_TOLD_MAX: usize = 3;

/// "29.7 h".
pub fn hours_of(minutes: f64) -> String {
    format!("{} h", decimal(minutes / 60.0, 1))
}

fn minutes(records: &[&Record]) -> f64 {
    records.iter().filter_map(|one| one.content.duration_min).sum()
}

/// The minutes of each that was timed.
fn timed(records: &[&Record]) -> Vec<f64> {
    records.iter().filter_map(|one| one.content.duration_min).collect()
}

/// "Jun 2026", with what puts it in order.
fn month(record: &Record) -> String {
    let time = jiff::Timestamp::from_microsecond(record.time.microseconds());
    time.map_or_else(|_| String::new(), |time| time.strftime("%b %Y").to_string())
}

fn group(desk: &Desk, by: By, record: &Record) -> Option<String> {
    let subject = &record.name.subject;
    match by {
        By::Machine => {
            let machine = |book: &&crate::domain::fleet::books::MachineBook| {
                book.name == *subject || book.name.holds(subject)
            };
            desk.books.machines.iter().find(machine).map(|book| book.title.clone())
        }
        By::Unit => (subject.kind() == SubjectKind::Unit).then(|| place(desk, subject)),
        By::Person => {
            Some(record.content.done_by.clone()).filter(|person| !person.is_empty())
        }
        By::Month => Some(month(record)).filter(|month| !month.is_empty()),
        By::Cause => match &record.content.detail {
            // Why a part was changed.
            Detail::PartReplaced(done) => {
                let why = done.parts.iter().find_map(|part| part.reason);
                why.map(|why| why.id().replace('_', " "))
            }
            _ => fault(record).map(|found| match found.cause.as_str() {
                "" => found.fault.clone(),
                cause => (desk.title)(cause),
            }),
        },
    }
}

/// What the records come to for each machine, unit, person or month, the most first.
pub fn grouped(desk: &Desk) -> Answer {
    let Some(by) = desk.query.by else { return labour(desk) };
    let mut groups: BTreeMap<String, Vec<&Record>> = BTreeMap::new();
    for record in &desk.kept.records {
        if let Some(name) = group(desk, by, record) {
            groups.entry(name).or_default().push(record);
        }
    }
    let middle = |records: &[&Record]| median(&timed(records)).unwrap_or(f64::INFINITY);
    let mut all: Vec<(String, Vec<&Record>)> = groups.into_iter().collect();
    all.retain(|(_, records)| desk.query.asked == Asked::Count || !timed(records).is_empty());
    match desk.query.asked {
        Asked::Labour => all.sort_by(|a, b| minutes(&b.1).total_cmp(&minutes(&a.1))),
        Asked::Took => all.sort_by(|a, b| middle(&a.1).total_cmp(&middle(&b.1))),
        _ => all.sort_by(|a, b| b.1.len().cmp(&a.1.len())),
    }
    let told = |(name, records): &(String, Vec<&Record>)| match desk.query.asked {
        Asked::Labour => {
            let many = counted(records.len() as u64, "record");
            format!("  {name}: {} in {many}", hours_of(minutes(records)))
        }
        Asked::Took => {
            let times = counted(timed(records).len() as u64, "time");
            format!("  {name}: {} min in the middle of {times}", decimal(middle(records), 0))
        }
        _ => format!("  {name}: {}", records.len()),
    };
    let named = named_first(desk, by, &all);
    let what = what(desk);
    let head = match (desk.query.asked, all.first()) {
        (_, None) => "Nothing that can be told apart so is recorded.".to_owned(),
        (Asked::Took, Some((name, _))) => format!("{name} is the quickest by the middle time:"),
        (Asked::Labour, Some((name, _))) => format!("{name} has most hours of work:"),
        (_, Some((name, first))) => {
            let level: Vec<&str> = all
                .iter()
                .take_while(|(_, records)| records.len() == first.len())
                .map(|(name, _)| name.as_str())
                .collect();
            match level.len() {
                1 if by == By::Cause => format!("{name}: {} of {}.", first.len(), desk.kept.total),
                1 => format!("{name}: most {what}, {}.", first.len()),
                many if by == By::Cause => {
                    format!("{many} are level, {} each of {}:", first.len(), desk.kept.total)
                }
                many if many == all.len() => format!("{} each:", first.len()),
                _ => format!("{}: most {what}, {}.", level.join(" and "), first.len()),
            }
        }
    };
    let mut lines = vec![head];
    lines.extend(all.iter().take(RANKS_MAX).map(told));
    if all.len() > RANKS_MAX {
        lines.push(format!("  and {} more", all.len() - RANKS_MAX));
    }
    if by == By::Unit {
        let whole = desk.kept.records.len() - all.iter().map(|one| one.1.len()).sum::<usize>();
        if whole > 0 {
            lines.push(format!("Besides, {whole} on whole machines."));
        }
    }
    Answer { lines, rows: rows(desk), named, ..Answer::default() }
}

/// The machine or unit that comes first, unless others are level with it.
fn named_first(desk: &Desk, by: By, all: &[(String, Vec<&Record>)]) -> Option<SubjectName> {
    let (_, first) = all.first()?;
    let level = all.get(1).is_some_and(|(_, next)| next.len() == first.len());
    let subject = &first.first()?.name.subject;
    match by {
        _ if level && desk.query.asked == Asked::Count => None,
        By::Machine if subject.kind() == SubjectKind::Unit => subject.holder(),
        By::Machine => Some(subject.clone()),
        By::Unit => Some(subject.clone()),
        By::Person | By::Month | By::Cause => None,
    }
}

/// What is counted: faults when nothing else is among the records.
fn what(desk: &Desk) -> &'static str {
    let mut kinds = desk.kept.records.iter().map(|record| record.content.kind());
    if kinds.all(|kind| kind == RecordKind::FaultFixed) { "faults" } else { "records of it" }
}

/// "12.4 h of work in 38 records", and who did it.
pub fn labour(desk: &Desk) -> Answer {
    let all: Vec<&Record> = desk.kept.records.iter().collect();
    let timed = timed(&all);
    let many = counted(all.len() as u64, "record");
    // What changed parts is counted in parts too: it is asked what they came to.
    let changed = !all.is_empty() && desk.kept.worded && all.iter().all(|one| part_count(one) > 0);
    let changed = match changed {
        true => format!("{} changed, ", counted(u64::from(parts(desk)), "part")),
        false => String::new(),
    };
    let mut lines = vec![format!("{changed}{} of work in {many}.", hours_of(timed.iter().sum()))];
    if timed.len() < all.len() {
        lines.push(format!("Of them {} say no time.", all.len() - timed.len()));
    }
    if desk.query.done_by.is_empty() {
        let mut people: BTreeMap<&str, f64> = BTreeMap::new();
        for record in &all {
            let spent = record.content.duration_min.unwrap_or(0.0);
            *people.entry(record.content.done_by.as_str()).or_default() += spent;
        }
        let mut people: Vec<(&str, f64)> =
            people.into_iter().filter(|(name, spent)| !name.is_empty() && *spent > 0.0).collect();
        people.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(b.0)));
        if people.len() > 1 {
            let told: Vec<String> = people
                .iter()
                .take(RANKS_MAX)
                .map(|(name, spent)| format!("{name} {}", hours_of(*spent)))
                .collect();
            lines.push(told.join("; ") + ".");
        }
    }
    lines.push("These are hours of people, not of the machine; no prices are kept.".to_owned());
    Answer { lines, rows: rows(desk), ..Answer::default() }
}

/// The jobs that took most minutes.
pub fn longest(desk: &Desk) -> Answer {
    let mut all: Vec<&Record> =
        desk.kept.records.iter().filter(|one| one.content.duration_min.is_some()).collect();
    let spent = |record: &Record| record.content.duration_min.unwrap_or(0.0);
    all.sort_by(|a, b| spent(b).total_cmp(&spent(a)).then(b.time.cmp(&a.time)));
    let Some(first) = all.first() else {
        return Answer { lines: vec!["No time was recorded of it.".to_owned()], ..Answer::default() };
    };
    let mut lines = vec![format!("Longest: {}.", line(desk, first))];
    if all.len() > 1 {
        lines.push("Then:".to_owned());
        let next = all.iter().skip(1).take(LONGEST_MAX);
        lines.extend(next.map(|record| format!("  {}", line(desk, record))));
    }
    let rows = all.iter().take(LONGEST_MAX + 1).map(|record| row(desk, record)).collect();
    Answer { lines, rows, ..Answer::default() }
}

/// Hours of the machine from one time to the next on the same unit.
pub fn between(desk: &Desk) -> Answer {
    let mut spans: Vec<f64> = Vec::new();
    let mut later: HashMap<&SubjectName, &Record> = HashMap::new();
    for record in &desk.kept.records {
        let subject = &record.name.subject;
        if let Some(next) = later.insert(subject, record)
            && let Some(hours) = super::hours::run_from_to(desk, record, next)
            && hours >= APART_H
        {
            spans.push(hours);
        }
    }
    let rows = rows(desk);
    let Some(middle) = median(&spans) else {
        let times = counted_times(desk.kept.total).to_lowercase();
        let line = format!("Done {times}, but no two of them on one unit with hours between.");
        return Answer { lines: vec![line], rows, ..Answer::default() };
    };
    let low = spans.iter().copied().fold(f64::INFINITY, f64::min);
    let high = spans.iter().copied().fold(0.0, f64::max);
    let lines = vec![
        match spans.len() {
            1 => format!("{} h of the machine, the only time that is known.", decimal(middle, 0)),
            many => format!(
                "{} h of the machine in the middle of {many} times, from {} to {}.",
                decimal(middle, 0), decimal(low, 0), decimal(high, 0)
            ),
        },
        format!("Latest: {}.", line(desk, &desk.kept.records[0])),
    ];
    Answer { lines, rows, ..Answer::default() }
}

/// How much of the diameter was taken off each time.
pub fn off(desk: &Desk) -> Answer {
    let taken = |record: &&Record| match &record.content.detail {
        Detail::Sharpening(done) => {
            let off = done.diameter_before_mm? - done.diameter_after_mm?;
            (off > 0.0).then_some(off)
        }
        _ => None,
    };
    let told: Vec<&Record> = desk.kept.records.iter().filter(|one| taken(one).is_some()).collect();
    let all: Vec<f64> = told.iter().filter_map(taken).collect();
    let (Some(middle), Some(newest)) = (median(&all), told.first()) else {
        if let Some(told) = grams(desk) {
            return told;
        }
        let text = "How much came off was not recorded: no diameter before and after.";
        return Answer { lines: vec![text.to_owned()], ..Answer::default() };
    };
    let low = all.iter().copied().fold(f64::INFINITY, f64::min);
    let high = all.iter().copied().fold(0.0, f64::max);
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    let mut lines = vec![
        match all.len() {
            1 => format!("{} mm off, the once it was measured.", decimal(mean, 2)),
            count => format!(
                "{} mm off in all, over {count} grinds; {} mm off on average (middle one {} mm), from {} to {} mm.",
                decimal(all.iter().sum(), 2), decimal(mean, 2), decimal(middle, 2),
                decimal(low, 2), decimal(high, 2)
            ),
        },
        format!("Latest: {}.", line(desk, newest)),
    ];
    lines.extend(off_each(desk, &told));
    lines.extend(grams(desk).and_then(|told| told.lines.into_iter().next()));
    let rows = told.iter().take(ROWS_MAX).map(|record| row(desk, record)).collect();
    Answer { lines, rows, ..Answer::default() }
}

/// "105 g off in 3 times: 33, 42, 30 g", of blades whose metal was weighed.
fn grams(desk: &Desk) -> Option<Answer> {
    let taken = |record: &&Record| match &record.content.detail {
        Detail::Sharpening(done) => done.mass_removed_g,
        _ => None,
    };
    let told: Vec<&Record> = desk.kept.records.iter().filter(|one| taken(one).is_some()).collect();
    let all: Vec<f64> = told.iter().filter_map(taken).collect();
    let newest = told.first()?;
    let each: Vec<String> = all.iter().take(RANKS_MAX).map(|g| decimal(*g, 1)).collect();
    let more = if all.len() > RANKS_MAX { " and so on" } else { "" };
    let lines = vec![
        format!(
            "{} g off in all, over {}: {} g{more}, the newest first.",
            decimal(all.iter().sum(), 1),
            counted(all.len() as u64, "time"),
            each.join(", ")
        ),
        format!("Latest: {}.", line(desk, newest)),
    ];
    let rows = told.iter().take(ROWS_MAX).map(|record| row(desk, record)).collect();
    Some(Answer { lines, rows, ..Answer::default() })
}

/// What came off each unit, where several were ground; of one, how many such grinds are left.
fn off_each(desk: &Desk, told: &[&Record]) -> Vec<String> {
    let taken = |record: &Record| match &record.content.detail {
        Detail::Sharpening(done) => {
            Some((done.diameter_before_mm? - done.diameter_after_mm?, done.diameter_after_mm?))
        }
        _ => None,
    };
    let mut units: BTreeMap<&SubjectName, Vec<(f64, f64)>> = BTreeMap::new();
    for record in told {
        let on = units.entry(&record.name.subject).or_default();
        on.extend(taken(record));
    }
    if let (1, Some((unit, grinds))) = (units.len(), units.first_key_value()) {
        let sum: f64 = grinds.iter().map(|(off, _)| off).sum();
        let (first, last) = (grinds.last().map(|(off, after)| off + after), grinds.first());
        let ends = first.zip(last).map(|(first, (_, last))| {
            format!("{} mm off in all: {} to {} mm.", decimal(sum, 2), decimal(first, 2), decimal(*last, 2))
        });
        let all = ends.filter(|_| grinds.len() > 1);
        return all.into_iter().chain(grinds_left(desk, unit, grinds)).collect();
    }
    let line = |(unit, grinds): (&&SubjectName, &Vec<(f64, f64)>)| {
        let each: Vec<String> =
            grinds.iter().take(GRINDS_TOLD_MAX).map(|(off, _)| decimal(*off, 2)).collect();
        let sum: f64 = grinds.iter().map(|(off, _)| off).sum();
        let sum = match grinds.len() {
            1 => String::new(),
            many => format!("; {} mm in {many}", decimal(sum, 2)),
        };
        format!("  {}: {} mm{sum}", place(desk, unit), each.join(", "))
    };
    let mut lines = vec!["Each unit, the newest first:".to_owned()];
    let all = units.len();
    lines.extend(units.iter().map(line).take(UNITS_MAX));
    if all > UNITS_MAX {
        lines.push(format!("  and {} more", all - UNITS_MAX));
    }
    lines
}

/// "About 30 such grinds are left: 124.69 mm, the least is 114 mm."
fn grinds_left(desk: &Desk, unit: &SubjectName, grinds: &[(f64, f64)]) -> Option<String> {
    let offs: Vec<f64> = grinds.iter().map(|(off, _)| *off).collect();
    let (middle, (_, now)) = (median(&offs)?, grinds.first()?);
    let at = desk.books.unit(unit)?;
    let least = desk.books.units[at].facts.minimum_diameter_mm?;
    let left = ((now - least) / middle).floor();
    (middle > 0.0 && left >= 0.0).then(|| {
        format!(
            "About {} such grinds are left: {} mm after the last, the least is {} mm, {} mm each; \
             wear between them makes it fewer.",
            decimal(left, 0), decimal(*now, 2), decimal(least, 2), decimal(middle, 2)
        )
    })
}

/// How many of these cures the same fault came back after, and how many there are.
pub fn came_back(desk: &Desk) -> (usize, usize) {
    let cures = desk.kept.records.iter().filter(|one| {
        fault(one).is_some_and(|fault| fault.fixed == Some(true))
    });
    cures.fold((0, 0), |(all, back), one| {
        (all + 1, back + usize::from(super::lasted::again(desk, one).is_some()))
    })
}

/// Parts that the records say were changed.
pub fn parts(desk: &Desk) -> u32 {
    desk.kept.records.iter().map(part_count).sum()
}
