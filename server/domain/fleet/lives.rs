//! How long do parts last here? The hours at which parts of a kind failed or wore out, and the ages
//! of those still running, through `service_interval`: once for each kind of unit and part.
//! Deliberately absent: lives that nobody can reckon, because no hours are known at either end.

use std::collections::BTreeMap;

use super::books::{Books, PartChange, UnitBook};
use super::intervals::Kind;
use super::parts::{Family, watched};
use crate::domain::records::Moment;
use crate::domain::records::choices::ReplacementReason;
use crate::domain::settings::service_interval::{
    ServiceIntervalAnswer, ServiceIntervalInputs, service_interval,
};

/// Of fewer ends of life nothing is told: one failure may be chance, two no scatter.
pub const FAILURES_MIN: usize = 3;

/// Lives that one fit goes through, which takes its time with each.
const LIVES_MAX: usize = 100;

/// A part that now runs on a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    pub since: Moment,
    pub age_h: f64,
}

/// What is known of one kind of part on one kind of unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lives {
    pub failures_h: Vec<f64>,
    pub survivors_h: Vec<f64>,
    /// How long such parts last; none when too few have failed yet.
    pub answer: Option<ServiceIntervalAnswer>,
}

impl Lives {
    /// The age by which the allowed share has failed, with the ends of its interval.
    pub fn change_at_h(&self) -> Option<(f64, Option<f64>, Option<f64>)> {
        let answer = self.answer.as_ref()?;
        Some((answer.next_due_h?, answer.next_due_low_h, answer.next_due_high_h))
    }
}

/// The changes of one kind of part on a unit, those of one moment taken as one.
fn changes(unit: &UnitBook, family: Family) -> Vec<&PartChange> {
    let mut list: Vec<&PartChange> =
        unit.changes.iter().filter(|change| change.family == Some(family)).collect();
    list.dedup_by_key(|change| change.time);
    list
}

/// The part now on a unit, when it is known since when.
pub fn running(books: &Books, unit: &UnitBook, family: Family) -> Option<Running> {
    let meter = &books.machine_of(unit).meter;
    let since = changes(unit, family).last()?.time;
    let run_h = meter.now(books.now).zip(meter.at(since)).map(|(now, then)| (now - then).max(0.0));
    let age_h = run_h.or(meter.is_unread_since(since).then_some(0.0))?;
    Some(Running { since, age_h })
}

pub fn lives(books: &Books) -> BTreeMap<(Kind, Family), Lives> {
    let mut all: BTreeMap<(Kind, Family), Lives> = BTreeMap::new();
    for unit in &books.units {
        let Some(kind) = Kind::of(unit) else { continue };
        for family in watched(kind.equipment) {
            gather(books, unit, *family, all.entry((kind.clone(), *family)).or_default());
        }
    }
    for lives in all.values_mut() {
        lives.answer = fit(lives);
    }
    all
}

/// The ended lives and the running one of a part on a unit. A part that was taken off before its
/// time, or struck, had reached its age without failing.
fn gather(books: &Books, unit: &UnitBook, family: Family, lives: &mut Lives) {
    let meter = &books.machine_of(unit).meter;
    let mut before: Option<f64> = None;
    for change in changes(unit, family) {
        let hours = meter.at(change.time);
        let reckoned = hours.zip(before).map(|(now, then)| now - then);
        let life = change.life_h.or(reckoned).filter(|hours| *hours > 0.0);
        before = hours;
        let Some(life_h) = life else { continue };
        match change.reason {
            Some(ReplacementReason::Failed | ReplacementReason::WornOut) => {
                lives.failures_h.push(life_h);
            }
            // Nobody said why it came off: that it failed is not known.
            Some(ReplacementReason::Damaged | ReplacementReason::Planned) | None => {
                lives.survivors_h.push(life_h);
            }
        }
    }
    let age = running(books, unit, family).map(|part| part.age_h);
    lives.survivors_h.extend(age.filter(|hours| *hours > 0.0));
}

fn fit(lives: &Lives) -> Option<ServiceIntervalAnswer> {
    if lives.failures_h.len() < FAILURES_MIN {
        return None;
    }
    // A long history is thinned evenly, failures and survivors alike, which leaves the shape of the
    // life as it is and its interval a little wider.
    let longest = lives.failures_h.len().max(lives.survivors_h.len());
    let step = longest.div_ceil(LIVES_MAX).max(1);
    let thinned = |ages: &[f64]| {
        let mut sorted = ages.to_vec();
        sorted.sort_by(f64::total_cmp);
        sorted.into_iter().skip(step / 2).step_by(step).collect::<Vec<f64>>()
    };
    service_interval(&ServiceIntervalInputs {
        failure_times_h: thinned(&lives.failures_h),
        still_running_times_h: thinned(&lives.survivors_h),
        ..ServiceIntervalInputs::default()
    })
    .ok()
}
