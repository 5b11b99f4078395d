//! What does the shop's own history add to a diagnosis? Which confirmed fixes were like this fault,
//! how often each cause was the one, and whether what was learned changed the order.
//! Deliberately absent: reading records, and moving probabilities (`diagnosis::learning`).

use std::collections::BTreeMap;

use super::complaint::{Diagnosis, Outcome};
use super::records::{Detail, Moment, Record, SubjectName};

/// Fixes that "the last N times" looks back on.
const LAST_FIXES: usize = 5;
/// A cause less likely than this is not told of.
const LIKELY_MIN: f64 = 0.05;
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
