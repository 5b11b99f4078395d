//! The invented shop is valid from end to end, uses only the catalogue's words, is stored once
//! however often it is asked for, and goes through a table into another store unchanged.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sward_core::domain::demo::faults::FAULTS;
use sward_core::domain::demo::{Demo, shop};
use sward_core::domain::records::check::{self, Vocabulary};
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::directory::Directory;
use sward_core::domain::records::export::json_line;
use sward_core::domain::records::fields::CatalogueList;
use sward_core::domain::records::import::{self, Reading};
use sward_core::domain::records::row::Row;
use sward_core::domain::records::{Id, Moment, Record, RecordKind, SubjectName};
use sward_core::store::{Order, RecordQuery, SqliteStore, Store};

use super::against_model::all_records;
use super::open;
use crate::records::filled::name;

/// After the second season.
const NOW: Moment = Moment::from_microseconds(1_795_600_000_000_000);

/// The catalogue as its files have it.
struct Catalogue {
    findings: BTreeSet<String>,
    /// Procedure by cause and equipment.
    remedies: BTreeMap<(String, String), String>,
}

impl Catalogue {
    fn read() -> Catalogue {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        let rows = |file: &str| -> Vec<BTreeMap<String, String>> {
            let mut reader = csv::Reader::from_path(folder.join(file)).expect(file);
            reader.deserialize().collect::<Result<_, _>>().expect(file)
        };
        let findings = rows("findings.csv").iter().map(|row| row["id"].clone()).collect();
        let remedies = rows("causes.csv")
            .iter()
            .map(|row| {
                let key = (row["id"].clone(), row["equipment"].clone());
                (key, row["procedure"].clone())
            })
            .collect();
        Catalogue { findings, remedies }
    }
}

impl Vocabulary for Catalogue {
    fn has(&self, list: CatalogueList, id: &str) -> bool {
        match list {
            CatalogueList::Findings => self.findings.contains(id),
            CatalogueList::Causes => self.remedies.keys().any(|(cause, _)| cause == id),
            CatalogueList::Procedures => self.remedies.values().any(|remedy| remedy == id),
        }
    }
}

fn stored(path: &Path, demo: &Demo) -> SqliteStore {
    let store = open(path).expect("new");
    for new in &demo.subjects {
        let new = check::subject(new.clone()).expect("valid");
        store.add_subject(new, NOW).expect("new");
    }
    store.append(demo.records.clone(), NOW).expect("new");
    store
}

fn history(store: &SqliteStore) -> Vec<Record> {
    let about = RecordQuery::about(SubjectName::home());
    all_records(store, &RecordQuery { history: true, order: Order::AsStored, ..about }, 1_000)
}

#[test]
fn every_record_is_valid_and_of_the_catalogue() {
    let catalogue = Catalogue::read();
    let demo = shop(&Id::home(), 1);
    assert_eq!(demo, shop(&Id::home(), 1));
    assert_ne!(demo.records, shop(&Id::home(), 2).records);
    for new in &demo.records {
        let checked = check::record(new.clone(), &catalogue, NOW);
        assert_eq!(checked.as_ref(), Ok(new), "{}", new.content.words);
    }
    for row in FAULTS {
        let key = (row.cause.to_owned(), row.equipment.id().to_owned());
        assert_eq!(catalogue.remedies[&key], row.procedure, "{}", row.cause);
    }
    let mut kinds: BTreeMap<RecordKind, usize> = BTreeMap::new();
    for new in &demo.records {
        *kinds.entry(new.content.kind()).or_default() += 1;
    }
    println!("{} records: {kinds:?}", demo.records.len());
    assert!((500..=800).contains(&demo.records.len()));
    assert!(RecordKind::ALL.iter().all(|kind| kinds[kind] >= 20), "{kinds:?}");
}

#[test]
fn the_shop_is_stored_once_and_goes_through_a_table_unchanged() {
    let directory = tempfile::tempdir().expect("a directory");
    let demo = shop(&Id::home(), 1);
    let store = stored(&directory.path().join("first"), &demo);
    let again = store.append(demo.records.clone(), NOW).expect("the same requests");
    assert!(again.iter().all(|one| one.already_there));
    let first = history(&store);
    assert_eq!(first.len(), demo.records.len());
    assert_eq!(first.iter().filter(|record| !record.stands()).count(), 3);
    // Streaks of the spring of 2026 on the greens triplex, by their cause.
    let spring = RecordQuery {
        cause: Some("edge_damage".to_owned()),
        from: Some(Moment::parse("from", "2026-04-01", None).expect("a time")),
        until: Some(Moment::parse("until", "2026-06-01", None).expect("a time")),
        ..RecordQuery::about(name("sites/home/machines/greens-triplex"))
    };
    assert!(all_records(&store, &spring, 100).len() >= 4);
    let lessons = store.lessons(None).expect("counts");
    assert!(lessons.len() > 100, "{}", lessons.len());

    // Into a table with its history, and from there into an empty shop with the same machines.
    let empty = Demo { records: Vec::new(), ..demo };
    let second = stored(&directory.path().join("second"), &empty);
    let known = Directory::new(second.all_subjects(&Id::home()).expect("read"));
    let reading = Reading { site: SubjectName::home(), directory: &known, date_order: None };
    let records = first.iter().zip(1..).map(|(record, number)| {
        let row = Row::from_json(number, &json_line(record, true), &BTreeMap::new());
        import::record(&row.expect("our own columns"), &reading).expect("a record")
    });
    let stored = second.append_each(records.collect(), NOW).expect("each");
    assert!(stored.iter().all(Result::is_ok));
    assert_eq!(history(&second), first);
    assert_eq!(second.lessons(None).expect("counts"), lessons);
}
