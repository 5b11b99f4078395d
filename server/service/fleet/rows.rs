//! Which rows do several replies share? A job that is due, how a unit stands, titles and times.

use super::books::ground;
use crate::domain::fleet::Books;
use crate::domain::fleet::books::LookedAt;
use crate::domain::fleet::due::Due;
use crate::domain::fleet::state::UnitState;
use crate::domain::records::Moment;
use crate::domain::records::choices::Condition;
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;
use crate::service::speech::equipment;

pub fn timestamp(moment: Moment) -> prost_types::Timestamp {
    let microseconds = moment.microseconds();
    // Less than a million.
    let fine = microseconds.rem_euclid(1_000_000) as i32;
    prost_types::Timestamp { seconds: microseconds.div_euclid(1_000_000), nanos: fine * 1_000 }
}

pub fn job(books: &Books, due: &Due, words: &Wording) -> pb::DueJob {
    pb::DueJob {
        unit: books.units[due.unit].name.to_string(),
        unit_title: books.title_of(due.unit),
        work: due.work.clone(),
        title: words.say(&due.title),
        ground: ground(due.ground).into(),
        left_h: due.left_h,
        left_low_h: due.left_low_h,
        left_high_h: due.left_high_h,
        interval_h: due.interval_h,
        due_time: due.day.map(timestamp),
        why: words.say(&due.why),
    }
}

pub fn state(books: &Books, state: &UnitState) -> pb::UnitState {
    let unit = &books.units[state.unit];
    let height = state.height;
    let wear = &state.wear;
    pb::UnitState {
        unit: unit.name.to_string(),
        unit_title: books.title_of(state.unit),
        equipment: unit.equipment.map_or(pb::Equipment::Unspecified, equipment).into(),
        machine_hours_h: state.machine_hours_h,
        height_time: height.map(|height| timestamp(height.time)),
        height_mm: height.map(|height| height.mean_mm),
        target_height_mm: height.and_then(|height| height.target_mm),
        end_difference_mm: height.and_then(|height| height.end_difference_mm),
        neighbour_difference_mm: height.and_then(|height| height.neighbour_difference_mm),
        diameter_time: wear.last.map(|(time, _)| timestamp(time)),
        diameter_mm: wear.last.map(|(_, mm)| mm),
        wear_used_fraction: wear.used_fraction,
        taper_mm: wear.taper_mm,
        loss_per_100_h_mm: wear.loss_per_100_h_mm,
        ground_time: state.since_grind.map(|since| timestamp(since.time)),
        since_ground_h: state.since_grind.and_then(|since| since.hours_h),
        open_faults: state
            .open_faults
            .iter()
            .map(|fault| pb::OpenFault {
                time: Some(timestamp(fault.time)),
                cause: fault.cause.clone(),
                fault: fault.fault.clone(),
            })
            .collect(),
        watch: state.watch.iter().map(watched).collect(),
    }
}

fn watched(seen: &LookedAt) -> pb::WatchedItem {
    pb::WatchedItem {
        time: Some(timestamp(seen.time)),
        item: seen.item.clone(),
        found: seen.found.clone(),
        bad: seen.condition == Some(Condition::Bad),
    }
}

impl Shop {
    /// A cause in words; empty for one that is not in the catalogue.
    pub(super) fn title_of_cause(&self, id: &str, words: &Wording) -> String {
        let row = self.knowledge.causes.iter().find(|row| row.id == id);
        row.map_or_else(String::new, |row| words.say(&row.title))
    }

    pub(super) fn title_of_procedure(&self, id: &str, words: &Wording) -> String {
        let row = self.knowledge.procedure(id);
        row.map_or_else(String::new, |row| words.say(&row.title))
    }
}
