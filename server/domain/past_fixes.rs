//! What does the shop's own history add to a diagnosis? Which confirmed fixes were like this fault,
//! how often each cause was the one, and whether what was learned changed the order.
//! Deliberately absent: reading records, and moving probabilities (`diagnosis::learning`).

use std::collections::BTreeMap;

use super::catalogue::{Equipment, Knowledge};
use super::complaint::{Diagnosis, Outcome};
use super::records::{Detail, Moment, Record, SubjectName};

/// Fixes that "the last N times" looks back on.
const LAST_FIXES: usize = 5;
/// A cause less likely than this is not told of.
const LIKELY_MIN: f64 = 0.05;
/// A cause that shows a sign this often may be behind it.
const SHOWS_MIN: f64 = 0.25;
/// And so much more often than it is there by itself.
const TELLING_MIN: f64 = 5.0;
/// Words of a title that a complaint has to share.
const SHARED_MIN: usize = 2;
/// Records named beside a cause.
const FIXES_NAMED_MAX: usize = 5;

/// A fault that is gone, with its cause.
#[derive(Clone, Debug, PartialEq)]
pub struct PastFix {
    pub record: String,
    pub subject: SubjectName,
    pub cause: String,
    pub time: Moment,
}

/// The confirmed fixes among records, in their order.
pub fn of_records(records: &[Record]) -> Vec<PastFix> {
    let fix = |record: &Record| match &record.content.detail {
        Detail::FaultFixed(fault)
            if record.stands() && fault.fixed == Some(true) && !fault.cause.is_empty() =>
        {
            Some(PastFix {
                record: record.name.to_string(),
                subject: record.name.subject.clone(),
                cause: fault.cause.clone(),
                time: record.time,
            })
        }
        _ => None,
    };
    records.iter().filter_map(fix).collect()
}

/// Names of the fixes of a cause, newest first as they came in.
pub fn named(fixes: &[PastFix], cause: &str) -> Vec<String> {
    let of_cause = fixes.iter().filter(|fix| fix.cause == cause);
    of_cause.take(FIXES_NAMED_MAX).map(|fix| fix.record.clone()).collect()
}

/// "4 of the last 5 times this was ...": of the newest fixes whose cause this complaint may have.
/// `where_`: "On this unit". Nothing when there were none.
pub fn how_often(
    where_: &str,
    fixes: &[PastFix],
    answer: &Diagnosis,
    title: impl Fn(&str) -> String,
) -> Option<String> {
    // Causes that this complaint hardly has are no news of it.
    let likely = |id: &str| {
        answer.causes.iter().any(|cause| cause.id == id && cause.probability >= LIKELY_MIN)
    };
    let explains = |fix: &&PastFix| likely(&fix.cause);
    if answer.outcome != Outcome::Diagnosed {
        return None;
    }
    let last: Vec<&PastFix> = fixes.iter().filter(explains).take(LAST_FIXES).collect();
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for fix in &last {
        *times.entry(&fix.cause).or_default() += 1;
    }
    // On a tie the first by id stays.
    let most = times.into_iter().reduce(|best, one| if one.1 > best.1 { one } else { best });
    let (cause, times) = most?;
    let latest = last.iter().find(|fix| fix.cause == cause)?.time.to_string();
    let day = latest.split('T').next().unwrap_or_default();
    let of = match last.len() {
        1 => "the last time this was".to_owned(),
        count => format!("{times} of the last {count} times this was"),
    };
    Some(format!("{where_}, {of} {} (latest {day}).", title(cause)))
}

/// Whether a cause may be behind this complaint: it shows something of what was heard, or the words
/// name what its title names.
pub fn fits(
    knowledge: &Knowledge,
    kind: Equipment,
    cause: &str,
    heard: &[String],
    complaint: &str,
) -> bool {
    let Some(row) = knowledge.cause(kind, cause) else { return false };
    // What is often there by itself tells of no cause.
    let telling = |id: &str, shown: f64| {
        knowledge.finding(id).is_some_and(|row| shown >= TELLING_MIN * row.leak)
    };
    let shows = knowledge.table.iter().any(|cell| {
        cell.equipment == kind && cell.cause == cause && cell.probability >= SHOWS_MIN
            && heard.contains(&cell.finding) && telling(&cell.finding, cell.probability)
    });
    let terms = &knowledge.passages().terms;
    let (said, title) = (terms.of(complaint), terms.of(&row.title));
    let shared = title.iter().filter(|term| said.contains(term)).count();
    shows || (shared >= SHARED_MIN && 2 * shared >= title.len())
}

/// "On this unit before: brush set clear of the roller, 3 times (latest 2026-08-02).": the fault
/// that came most often of those that fit, when it came more than once.
pub fn repeated(
    where_: &str,
    fixes: &[PastFix],
    fits: impl Fn(&str) -> bool,
    title: impl Fn(&str) -> String,
) -> Option<String> {
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for fix in fixes.iter().filter(|fix| fits(&fix.cause)) {
        *times.entry(&fix.cause).or_default() += 1;
    }
    let most = times.into_iter().reduce(|best, one| if one.1 > best.1 { one } else { best });
    let (cause, times) = most.filter(|(_, times)| *times > 1)?;
    let latest = fixes.iter().find(|fix| fix.cause == cause)?.time.to_string();
    let day = latest.split('T').next().unwrap_or_default();
    Some(format!("{where_} before: {}, {times} times (latest {day}).", title(cause)))
}

/// What learning changed, when it changed which causes come first.
pub fn order_changed(
    table: &Diagnosis,
    learned: &Diagnosis,
    fixes: u64,
    title: impl Fn(&str) -> String,
) -> Option<String> {
    let (before, after) = (table.causes.first()?, learned.causes.first()?);
    if before.id != after.id {
        return Some(format!(
            "Learning from {fixes} confirmed fixes changed the order: {} comes first now; by the \
             table alone it would be {}.",
            title(&after.id),
            title(&before.id)
        ));
    }
    let order = |answer: &Diagnosis| -> Vec<String> {
        answer.causes.iter().map(|cause| cause.id.clone()).collect()
    };
    (order(table) != order(learned)).then(|| {
        format!("Learning from {fixes} confirmed fixes changed the order below the first cause.")
    })
}
