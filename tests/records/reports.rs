//! What mechanics say at the bench fits into a record, with nothing left over. The reports are
//! invented; each line of the table is one of them, in the units that were spoken.

use std::collections::BTreeMap;

use sward_core::domain::records::check;
use sward_core::domain::records::directory::Directory;
use sward_core::domain::records::import::{self, Reading};
use sward_core::domain::records::row::Row;
use sward_core::domain::records::subject::Subject;
use sward_core::domain::records::{NewRecord, SubjectName};

use super::filled::{NOW, SomeIds};

const REPORTS: &str = include_str!("reports.jsonl");
const REPORT_COUNT: usize = 30;

/// The rows with a day each, as they would stand in a book.
fn rows() -> Vec<Row> {
    let read = |(line, number): (&str, u64)| {
        let line = line.replacen('{', r#"{"time":"2026-03-14","#, 1);
        Row::from_json(number, &line, &BTreeMap::new()).expect("columns that there are")
    };
    REPORTS.lines().zip(1..).map(read).collect()
}

/// The records of the rows, with whatever machines they name.
fn records() -> Vec<NewRecord> {
    let rows = rows();
    let nothing = Directory::default();
    let site = SubjectName::home();
    let bare = Reading { site: site.clone(), directory: &nothing, date_order: None };
    let needed = import::subjects_needed(&rows, &bare).expect("all can be named");
    let subjects = needed.into_iter().map(|new| Subject {
        name: new.name,
        label: new.label,
        facts: new.facts,
        created: NOW,
        updated: NOW,
        version: 1,
    });
    let directory = Directory::new(subjects.collect());
    let reading = Reading { site, directory: &directory, date_order: None };
    rows.iter()
        .map(|row| {
            let new = import::record(row, &reading).expect("a record");
            check::record(new, &SomeIds, NOW).expect("a valid record")
        })
        .collect()
}

#[test]
fn every_report_of_the_bench_is_a_valid_record() {
    let records = records();
    assert_eq!(records.len(), REPORT_COUNT);
    let mut ids: Vec<_> = records.iter().map(|record| record.request_id).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), REPORT_COUNT, "two reports are the same request");
}

/// An inch is 25.4 mm, a pound-force on a square inch 6.894757 kPa (NIST SP 811, published).
#[test]
fn spoken_units_become_the_units_of_the_record() {
    use sward_core::domain::records::Detail;
    let records = records();
    let near = |value: Option<f64>, wanted: f64| {
        assert!((value.expect("told") - wanted).abs() < 1e-6, "{value:?} is not {wanted}");
    };
    let Detail::Sharpening(ground) = &records[1].content.detail else { panic!("ground") };
    near(ground.diameter_before_mm, 127.508);
    near(ground.diameter_after_mm, 126.746);
    let Detail::Adjustment(levelled) = &records[8].content.detail else { panic!("levelled") };
    near(levelled.movement_mm, 4.7625);
    near(records[10].content.duration_min, 150.0);
    let Detail::HeightReading(bar) = &records[16].content.detail else { panic!("a bar") };
    near(bar.readings[1].height_mm, 9.6012);
    let Detail::Inspection(tyres) = &records[19].content.detail else { panic!("tyres") };
    near(tyres.pressure_kpa, 68.947573);
}
