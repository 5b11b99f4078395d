//! What does it cost to read a whole fleet at once? Every answer of the fleet from so many records
//! of three hundred units: the invented shop fourteen times over, and year upon year.

use std::time::Instant;

use sward_core::domain::demo;
use sward_core::domain::fleet::change::compare;
use sward_core::domain::fleet::costs::{Prices, costs};
use sward_core::domain::fleet::due::due;
use sward_core::domain::fleet::faults::faults;
use sward_core::domain::fleet::months::months;
use sward_core::domain::fleet::remedies::remedies;
use sward_core::domain::fleet::state::states;
use sward_core::domain::fleet::{Books, Entry, Period};
use sward_core::domain::records::{
    Content, Detail, Facts, Id, Moment, Subject, SubjectKind, SubjectName,
};

use crate::Failure;

const USAGE: &str = "bench fleet [--records N]";
const RECORDS_DEFAULT: usize = 100_000;
/// The shop has 22 units.
const COPIES: u64 = 14;
/// The shop's two seasons, one after the other.
const SEASONS_S: i64 = 731 * 86_400;
/// Hours by which a later pair of seasons starts higher.
const HOURS_APART: f64 = 2_000.0;
/// The first of November 2026.
const NOW: Moment = Moment::from_microseconds(1_793_491_200_000_000);

/// A record with its subject, as it would be read.
type Row = (SubjectName, Moment, Content);

pub fn run(words: &[String]) -> Result<(), Failure> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let count = match words[..] {
        [] => RECORDS_DEFAULT,
        ["--records", number] => number.replace(['_', ','], "").parse()?,
        _ => return Err(USAGE.into()),
    };
    let (subjects, rows) = invented(count)?;
    let units = subjects.iter().filter(|one| matches!(one.facts, Facts::Unit(_))).count();
    println!("{} records of {units} units", rows.len());
    let whole = Instant::now();
    let entries =
        rows.iter().map(|(subject, time, content)| Entry { subject, time: *time, content });
    let books = timed("one pass over the records", || Books::of(&subjects, entries, NOW));
    let from = books.work.first().map_or(NOW, |work| work.time);
    let period = Period { from, until: NOW };
    let jobs = timed("what is due", || due(&books, &[])).len();
    timed("how each unit stands", || states(&books));
    let returning = timed("what keeps coming back", || faults(&books, period)).units.len();
    timed("which remedies held", || remedies(&books, period));
    let priced = Prices { labour_per_h: Some(30.0), ..Prices::default() };
    timed("time and cost", || costs(&books, period, &priced)).map_err(|error| error.to_string())?;
    timed("month by month", || months(&books, period));
    timed("before and after", || compare(&books, period, NOW.plus_seconds(-SEASONS_S / 2)));
    println!("{:>9.1} ms  all of it", whole.elapsed().as_secs_f64() * 1e3);
    println!("{jobs} jobs, {returning} rows of what comes back");
    Ok(())
}

fn timed<T>(what: &str, work: impl FnOnce() -> T) -> T {
    let started = Instant::now();
    let done = work();
    println!("{:>9.1} ms  {what}", started.elapsed().as_secs_f64() * 1e3);
    done
}

fn invented(count: usize) -> Result<(Vec<Subject>, Vec<Row>), Failure> {
    let site = Id::parse("site", "home").map_err(|error| error.to_string())?;
    let one = demo::shop(&site, 1);
    let moment = NOW;
    let kept = |name: SubjectName, new: &sward_core::domain::records::NewSubject| Subject {
        name,
        label: new.label.clone(),
        facts: new.facts.clone(),
        created: moment,
        updated: moment,
        version: 1,
    };
    let mut subjects = Vec::new();
    for new in &one.subjects {
        if new.name.kind() == SubjectKind::Area {
            subjects.push(kept(new.name.clone(), new));
            continue;
        }
        for copy in 0..COPIES {
            subjects.push(kept(copied(&new.name, copy)?, new));
        }
    }
    let pairs = count.div_ceil(one.records.len() * COPIES as usize) as u64;
    let mut rows = Vec::with_capacity(count);
    for pair in 0..pairs {
        for copy in 0..COPIES {
            let later = pairs - 1 - pair;
            for record in demo::shop(&site, 1 + pair * COPIES + copy).records {
                if record.content.withdrawn || rows.len() == count {
                    continue;
                }
                let time = record.time.unwrap_or(NOW).plus_seconds(-(later as i64) * SEASONS_S);
                let mut content = record.content;
                content.machine_hours_h =
                    content.machine_hours_h.map(|hours| hours + pair as f64 * HOURS_APART);
                if let Detail::HeightReading(read) = &mut content.detail {
                    for point in &mut read.readings {
                        point.unit = point.unit.as_ref().map(|u| copied(u, copy)).transpose()?;
                    }
                }
                rows.push((copied(&record.subject, copy)?, time, content));
            }
        }
    }
    Ok((subjects, rows))
}

/// The same machine or unit in another copy of the shop.
fn copied(name: &SubjectName, copy: u64) -> Result<SubjectName, Failure> {
    let text = name.to_string();
    let Some((head, rest)) = text.split_once("/machines/") else { return Ok(name.clone()) };
    let (machine, tail) = rest.split_once('/').unwrap_or((rest, ""));
    let tail = if tail.is_empty() { String::new() } else { format!("/{tail}") };
    let text = format!("{head}/machines/{machine}-{copy}{tail}");
    SubjectName::parse("name", &text).map_err(|error| error.to_string().into())
}
