//! A record written into a table reads back as itself, whatever it holds; a row is read once.

use std::collections::BTreeMap;

use sward_core::domain::records::directory::Directory;
use sward_core::domain::records::export::{column_names, csv_header, csv_line, json_line};
use sward_core::domain::records::import::{self, Reading};
use sward_core::domain::records::moment::DateOrder;
use sward_core::domain::records::row::{Header, Row};
use sward_core::domain::records::subject::{Area, Facts, Label, Machine, Subject, Unit};
use sward_core::domain::records::{
    NewRecord, Record, RecordName, SubjectKind, SubjectName, Superseded, Which,
};

use super::filled::{self, NOW, SUBJECTS, name};

fn subject(text: &str, display_name: &str) -> Subject {
    let name = name(text);
    let facts = match name.kind() {
        SubjectKind::Site => Facts::Site,
        SubjectKind::Machine => Facts::Machine(Machine::default()),
        SubjectKind::Unit => Facts::Unit(Unit::default()),
        SubjectKind::Area => Facts::Area(Area::default()),
    };
    let label = Label { display_name: display_name.to_owned(), ..Label::default() };
    Subject { name, label, facts, created: NOW, updated: NOW, version: 1 }
}

fn directory() -> Directory {
    let mut subjects: Vec<Subject> = SUBJECTS.iter().map(|text| subject(text, text)).collect();
    subjects.push(subject("sites/home/machines/gang", "Fairway gang"));
    Directory::new(subjects)
}

fn reading(directory: &Directory) -> Reading<'_> {
    Reading { site: SubjectName::home(), directory, date_order: None }
}

fn stored(new: &NewRecord, number: u64) -> Record {
    Record {
        name: RecordName { subject: new.subject.clone(), number },
        time: new.time.expect("filled records have one"),
        created: NOW,
        request_id: new.request_id,
        supersedes: None,
        superseded_by: None,
        unit_type: String::new(),
        content: new.content.clone(),
    }
}

/// The rows of a text of CSV, as any reader of RFC 4180 splits it.
fn csv_rows(text: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    let mut lines = reader
        .records()
        .map(|line| line.expect("sound CSV").iter().map(str::to_owned).collect::<Vec<String>>());
    let header = lines.next().expect("a header");
    let header = Header::read(&header, &BTreeMap::new()).expect("our own columns");
    lines
        .zip(2..)
        .map(|(cells, number)| Row::from_cells(number, &header, &cells))
        .collect::<Result<_, _>>()
        .expect("as many cells as columns")
}

#[test]
fn every_record_reads_back_from_csv_and_json() {
    let directory = directory();
    let names = column_names(&[]);
    for seed in 0..700 {
        let new = filled::record(seed);
        let record = stored(&new, seed + 1);
        let text = csv_header(&names) + &csv_line(&names, &record, true);
        let rows = csv_rows(&text);
        assert_eq!(rows.len(), 1, "{text}");
        let read = import::record(&rows[0], &reading(&directory));
        assert_eq!(read.as_ref(), Ok(&new), "seed {seed}: {text}");

        let line = json_line(&record, true);
        assert_eq!(line.matches('\n').count(), 1, "{line}");
        let row = Row::from_json(1, &line, &BTreeMap::new()).expect("our own columns");
        assert_eq!(import::record(&row, &reading(&directory)).as_ref(), Ok(&new), "{line}");
    }
}

#[test]
fn a_history_keeps_what_supersedes_what() {
    let directory = directory();
    let old = stored(&filled::record(1), 1);
    let mut newer = stored(&filled::record(2), 2);
    newer.supersedes = Some(Superseded { name: old.name.clone(), request_id: old.request_id });
    newer.content.withdrawn = true;
    let read = |line: &str| {
        let row = Row::from_json(1, line, &BTreeMap::new()).expect("our own columns");
        import::record(&row, &reading(&directory)).expect("a record")
    };
    let told = read(&json_line(&newer, true));
    assert_eq!(told.supersedes, Some(Which::Request(old.request_id)));
    assert!(told.content.withdrawn);
    // Without its history the old record is not in the table, so nothing points to it.
    assert_eq!(read(&json_line(&newer, false)).supersedes, None);
}

fn row(cells: &[(&str, &str)]) -> Row {
    Row::new(4, cells.iter().map(|&(column, text)| (column.to_owned(), text.to_owned())))
}

#[test]
fn a_row_that_is_read_again_is_the_same_request() {
    let directory = directory();
    let cells = [
        ("kind", "hours"),
        ("time", "2026-03-14"),
        ("machine", "gang"),
        ("machine_hours_h", "1,412"),
    ];
    let mut turned = cells;
    turned.reverse();
    let id = |row: &Row| import::record(row, &reading(&directory)).expect("a row").request_id;
    assert_eq!(id(&row(&cells)), id(&row(&turned)));
    let mut other = cells;
    other[3].1 = "1,413";
    assert_ne!(id(&row(&cells)), id(&row(&other)));
}

#[test]
fn every_fault_of_a_row_is_told_with_its_column_value_and_remedy() {
    let directory = directory();
    let faults = import::record(
        &row(&[
            ("kind", "sharpening"),
            ("time", "03/04/2026"),
            ("machine", "the digger"),
            ("method", "lapping"),
            ("diameter_after_mm", "5,02"),
            ("part", "belt"),
            ("request_id", "17"),
            ("withdrawn", "perhaps"),
        ]),
        &reading(&directory),
    )
    .expect_err("nothing of it is right");
    let told: Vec<(u64, &str, &str)> = faults
        .iter()
        .map(|fault| (fault.row, fault.error.field.as_str(), fault.error.value.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            (4, "machine", "the digger"),
            (4, "time", "03/04/2026"),
            (4, "request_id", "17"),
            (4, "withdrawn", "perhaps"),
            (4, "method", "lapping"),
            (4, "diameter_after_mm", "5,02"),
            (4, "part", "belt"),
        ]
    );
    assert!(faults.iter().all(|fault| !fault.error.remedy.is_empty()));
}

#[test]
fn a_table_brings_the_machines_it_names() {
    let directory = directory();
    let rows = [
        row(&[("machine", "Old Bess"), ("unit", "4"), ("equipment", "reel_unit")]),
        row(&[("machine", "gang"), ("unit", "1")]),
        row(&[("machine", "Old Bess"), ("reading_unit", "4|5")]),
        row(&[("reading_area", "6-green|14 green")]),
    ];
    let mut reading = reading(&directory);
    reading.date_order = Some(DateOrder::DayFirst);
    let needed = import::subjects_needed(&rows, &reading).expect("all can be named");
    let names: Vec<String> = needed.iter().map(|new| new.name.to_string()).collect();
    assert_eq!(
        names,
        [
            "sites/home/machines/old-bess",
            "sites/home/machines/old-bess/units/4",
            "sites/home/machines/old-bess/units/5",
            "sites/home/areas/14-green",
        ]
    );
    assert_eq!(needed[0].label.display_name, "Old Bess");
    let fault = import::subjects_needed(&[row(&[("area", "\u{2014}")])], &reading)
        .expect_err("it has no letter for an id");
    assert_eq!((fault[0].row, fault[0].error.field.as_str()), (4, "area"));
}
