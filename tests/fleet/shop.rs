//! The invented shop read as a whole: nothing is guessed, the order of reading does not matter, and
//! what was put into it is found again.

use std::collections::BTreeSet;

use sward_core::domain::demo;
use sward_core::domain::fleet::change::compare;
use sward_core::domain::fleet::costs::{Prices, costs};
use sward_core::domain::fleet::due::{Ground, due};
use sward_core::domain::fleet::faults::faults;
use sward_core::domain::fleet::months::months;
use sward_core::domain::fleet::state::{height_series, states};
use sward_core::domain::fleet::{Books, Entry, Period, heights};
use sward_core::domain::records::{Id, Moment, NewRecord, Subject, Which};

use super::books::{START, Written, day, machine, name};

fn moment(text: &str) -> Moment {
    Moment::parse("time", text, None).expect(text)
}

/// The records of the shop that stand, up to a moment.
pub fn standing(shop: &demo::Demo, now: Moment) -> Vec<&NewRecord> {
    let superseded: BTreeSet<String> = shop
        .records
        .iter()
        .filter_map(|record| match &record.supersedes {
            Some(Which::Request(id)) => Some(id.to_string()),
            _ => None,
        })
        .collect();
    let stands = |record: &&NewRecord| {
        !record.content.withdrawn && !superseded.contains(&record.request_id.to_string())
    };
    let past = |record: &&NewRecord| record.time.is_some_and(|time| time <= now);
    shop.records.iter().filter(stands).filter(past).collect()
}

pub fn subjects(shop: &demo::Demo) -> Vec<Subject> {
    let kept = |new: &sward_core::domain::records::NewSubject| Subject {
        name: new.name.clone(),
        label: new.label.clone(),
        facts: new.facts.clone(),
        created: START,
        updated: START,
        version: 1,
    };
    shop.subjects.iter().map(kept).collect()
}

fn entries<'a>(records: &[&'a NewRecord]) -> Vec<Entry<'a>> {
    let entry = |record: &&'a NewRecord| Entry {
        subject: &record.subject,
        time: record.time.expect("the shop's records have times"),
        content: &record.content,
    };
    records.iter().map(entry).collect()
}

fn books(now: Moment) -> Books {
    let shop = demo::shop(&Id::home(), 1);
    let records = standing(&shop, now);
    Books::of(&subjects(&shop), entries(&records), now)
}

#[test]
fn the_order_of_reading_does_not_matter() {
    let shop = demo::shop(&Id::home(), 1);
    let now = moment("2026-09-01T00:00:00Z");
    let records = standing(&shop, now);
    let mut turned = entries(&records);
    turned.reverse();
    let again = Books::of(&subjects(&shop), turned, now);
    assert_eq!(due(&books(now), &[]), due(&again, &[]));
    assert_eq!(states(&books(now)), states(&again));
}

#[test]
fn what_is_due_has_its_reason_and_the_soonest_is_first() {
    let now = moment("2026-09-01T00:00:00Z");
    let books = books(now);
    let rows = due(&books, &[]);
    assert!(rows.len() >= books.units.len());
    for row in &rows {
        assert!(row.why.ends_with('.'), "{row:?}");
        assert_eq!(row.left_h.is_none(), row.ground == Ground::NotEnough, "{row:?}");
        if row.ground == Ground::NotEnough {
            assert!(row.why.starts_with("Not enough readings"), "{row:?}");
        }
        if let (Some(left), Some(low)) = (row.left_h, row.left_low_h) {
            assert!(low <= left + 1e-6, "{row:?}");
        }
    }
    let told: Vec<f64> = rows.iter().filter_map(|row| row.left_h).filter(|h| *h <= 0.0).collect();
    assert!(told.windows(2).all(|pair| pair[0] <= pair[1]));
    let days: Vec<Moment> = rows.iter().filter_map(|row| row.day).filter(|d| *d > now).collect();
    assert!(days.windows(2).all(|pair| pair[0] <= pair[1]), "soonest first");
    // Every reel is ground and every bedknife changed in two seasons, so both can be told.
    for work in ["reel_grinding", "bedknife", "reel_diameter"] {
        let of_work = rows.iter().filter(|row| row.work == work);
        assert!(of_work.clone().count() >= 13, "{work}");
        let told = of_work.filter(|row| row.left_h.is_some()).count();
        assert!(told >= 10, "{work}: {told}");
    }
}

#[test]
fn in_winter_hours_are_told_and_no_dates() {
    let books = books(moment("2027-02-01T00:00:00Z"));
    let rows = due(&books, &[]);
    assert!(rows.iter().any(|row| row.left_h.is_some_and(|hours| hours > 0.0)));
    assert!(rows.iter().all(|row| row.day.is_none() || row.overdue()));
}

#[test]
fn the_streaks_of_one_spring_are_what_comes_back() {
    let now = moment("2026-10-30T00:00:00Z");
    let books = books(now);
    let found = faults(&books, Period { from: START, until: now });
    let streaks: Vec<_> = found.units.iter().filter(|row| row.cause == "edge_damage").collect();
    let most = streaks.iter().max_by_key(|row| row.counted.count).expect("streaks");
    assert_eq!(
        books.units[most.unit].name.to_string(),
        "sites/home/machines/greens-triplex/units/2"
    );
    assert!(most.counted.count >= 3);
    assert!(most.believed.rate > most.mean, "{most:?}");
    assert!(most.believed.rate < most.own.expect("hours"), "{most:?}");
}

#[test]
fn every_unit_has_a_state_and_heights_stand_beside_their_neighbours() {
    let books = books(moment("2026-10-30T00:00:00Z"));
    let all = states(&books);
    assert_eq!(all.len(), books.units.len());
    let greens = books.unit(&name("sites/home/machines/greens-triplex/units/1")).expect("a unit");
    let state = &all[greens];
    let height = state.height.expect("read on the bench");
    assert_eq!(height.target_mm, Some(3.5));
    assert!((height.mean_mm - 3.5).abs() < 0.05, "{height:?}");
    assert!(height.neighbour_difference_mm.is_some_and(|apart| apart.abs() < 0.1));
    let used = state.wear.used_fraction.expect("diameters are known");
    assert!((0.0..1.5).contains(&used), "{used}");
    assert!(height_series(&books.units[greens]).limits.is_some());
}

#[test]
fn time_and_parts_add_up_over_machines_and_months() {
    let now = moment("2026-10-30T00:00:00Z");
    let books = books(now);
    let period = Period { from: START, until: now };
    let prices = Prices { labour_per_h: Some(30.0), ..Prices::default() };
    let rows = costs(&books, period, &prices).expect("prices inside their bounds");
    let by_machine: f64 = rows.iter().map(|row| row.minutes).sum();
    let by_month: f64 = months(&books, period).iter().map(|month| month.minutes).sum();
    let whole: f64 = books.work.iter().map(|work| work.minutes).sum();
    assert!((by_machine - whole).abs() < 1e-6 && (by_month - whole).abs() < 1e-6);
    let labour: f64 = rows.iter().filter_map(|row| row.labour_cost).sum();
    assert!((labour - 30.0 * whole / 60.0).abs() < 1e-6);
    let refused = Prices { labour_per_h: Some(f64::NAN), ..Prices::default() };
    assert_eq!(costs(&books, period, &refused).expect_err("no price").field, "labour_cost_per_h");
}

#[test]
fn a_change_splits_the_faults_in_two() {
    let now = moment("2026-10-30T00:00:00Z");
    let books = books(now);
    let period = Period { from: START, until: now };
    let rows = compare(&books, period, moment("2026-04-01T00:00:00Z"));
    let parts = rows[1..].iter().map(|row| row.before.count + row.after.count).sum::<u32>();
    assert_eq!(parts, rows[0].before.count + rows[0].after.count);
    assert!(rows[0].ratio.is_some());
}

#[test]
fn the_plan_keeps_the_third_and_the_clip_equal_to_the_height() {
    let now = moment("2026-09-01T00:00:00Z");
    let books = books(now);
    let area = books.areas.iter().position(|area| area.title == "6 green").expect("an area");
    let machine = books.machines.iter().position(|one| one.title == "Greens triplex");
    let asked = heights::Asked {
        area,
        machine,
        current_height_mm: Some(4.0),
        reel_speed_rpm: Some(2_000.0),
        ..heights::Asked::default()
    };
    let plan = heights::plan(&books, &asked).expect("inside the bounds");
    assert!(!plan.steps.is_empty() && plan.reading_count > 0);
    for step in &plan.steps {
        assert!(step.on_turf.removed_fraction <= 1.0 / 3.0 + 1e-9, "{step:?}");
        assert_eq!(step.units.len(), 3);
        for unit in &step.units {
            // The unit sinks into 6 green by about 0.55 mm, so the bench stands higher.
            let bench = unit.bench_height_mm.expect("from its readings");
            assert!(bench > step.on_turf.height_mm + 0.2, "{unit:?}");
            // Clip = 60000 v / (z n) with 11 blades (definition of the clip).
            let speed = unit.ground_speed_mps.expect("reel speed and blades are known");
            let clip = 60_000.0 * speed / (11.0 * 2_000.0);
            assert!((clip - step.on_turf.height_mm).abs() < 1e-9);
        }
    }
    let nobody = heights::Asked { machine: None, ..asked };
    let plan = heights::plan(&books, &nobody).expect("inside the bounds");
    assert!(plan.plan.common.missing.iter().any(|missing| missing.field == "machine"));
}

#[test]
fn too_little_is_said_and_never_guessed() {
    let written = Written::default();
    let books = written.books(&machine(2), day(100.0));
    let rows = due(&books, &[]);
    assert_eq!(rows.len(), 2 * 5);
    assert!(rows.iter().all(|row| row.left_h.is_none() && row.interval_h.is_none()));
    assert!(faults(&books, Period { from: START, until: day(100.0) }).causes.is_empty());
}
