//! A backup is a sound copy made while work goes on, and putting it back gives just what it held.

use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};

use sward_core::domain::records::SubjectName;
use sward_core::store::{PageSize, RecordQuery, Store, StoreError};

use super::Place;
use super::against_model::all_records;
use crate::records::filled::{self, NOW};

fn home() -> RecordQuery {
    RecordQuery { history: true, ..RecordQuery::about(SubjectName::home()) }
}

#[test]
fn a_copy_made_while_others_write_holds_all_up_to_its_last() {
    let place = Place::new();
    let store = &place.store;
    let file = place.directory.path().join("copy.sqlite3");
    let done = AtomicBool::new(false);
    let report = std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut seed = 0;
            while !done.load(Ordering::Relaxed) {
                store.append(vec![filled::record(seed)], NOW).expect("new");
                seed += 1;
            }
        });
        while store.last_sequence() < 50 {
            std::thread::yield_now();
        }
        let report = store.backup(&file).expect("a copy");
        done.store(true, Ordering::Relaxed);
        report
    });
    assert!(report.records >= 40, "{report:?}");
    assert!(store.last_sequence() > report.last_sequence);
    let mut files: Vec<_> = fs::read_dir(place.directory.path())
        .expect("a directory")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("text"))
        .collect();
    files.sort();
    assert_eq!(
        files,
        ["copy.sqlite3", "lock", "records.sqlite3", "records.sqlite3-shm", "records.sqlite3-wal"]
    );
    // Never over a file that is there.
    assert!(matches!(store.backup(&file), Err(StoreError::AlreadyExists { .. })));
}

#[test]
fn a_copy_put_back_is_what_it_was_and_what_it_replaced_is_kept() {
    let place = Place::new();
    place.store.append((0..40).map(filled::record).collect(), NOW).expect("new");
    let wanted = all_records(&place.store, &home(), 100);
    let lessons = place.store.lessons(None).expect("counts");
    let file = place.directory.path().join("copy.sqlite3");
    place.store.backup(&file).expect("a copy");
    let id = place.store.database_id();
    place.store.append((40..90).map(filled::record).collect(), NOW).expect("more");
    let replaced = all_records(&place.store, &home(), 100);

    let report = place.store.restore(&file).expect("put back");
    assert_eq!(report.records, 40);
    assert_ne!(place.store.database_id(), id, "an index of the old one must not be used");
    assert_eq!(all_records(&place.store, &home(), 100), wanted);
    assert_eq!(place.store.lessons(None).expect("counts"), lessons);
    // Work goes on, after a restart too, with the new id.
    let id = place.store.database_id();
    place.store.append(vec![filled::record(500)], NOW).expect("new");
    let place = place.reopened();
    assert_eq!(place.store.database_id(), id);
    assert_eq!(all_records(&place.store, &home(), 100).len(), 41);

    let kept = report.kept.expect("what was there before");
    place.store.restore(&kept).expect("put back");
    assert_eq!(all_records(&place.store, &home(), 100), replaced);
}

#[test]
fn whoever_reads_meanwhile_sees_all_of_one_or_all_of_the_other() {
    let place = Place::new();
    let store = &place.store;
    let path = place.directory.path();
    let mut states = Vec::new();
    for (copy, seeds) in [("a.sqlite3", 0..50), ("b.sqlite3", 100..400)] {
        store.append(seeds.map(filled::record).collect(), NOW).expect("new");
        store.backup(&path.join(copy)).expect("a copy");
        states.push(all_records(store, &home(), 1_000).len());
    }
    let token = store.records(&home(), PageSize::new(10).expect("a size"), "").expect("a page");
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while !done.load(Ordering::Relaxed) {
                    let seen = all_records(store, &home(), 1_000).len();
                    assert!(states.contains(&seen), "{seen} of {states:?}");
                }
            });
        }
        for copy in ["a.sqlite3", "b.sqlite3", "a.sqlite3", "b.sqlite3"] {
            store.restore(&path.join(copy)).expect("put back");
        }
        done.store(true, Ordering::Relaxed);
    });
    // A list that was begun before cannot be gone on with: it would mix the two.
    let size = PageSize::new(10).expect("a size");
    let error = store.records(&home(), size, &token.next_token).expect_err("another database");
    assert!(matches!(&error, StoreError::Invalid(e) if e.field == "page_token"), "{error}");
}

#[test]
fn what_is_not_a_sound_copy_is_refused_and_nothing_changes() {
    let place = Place::new();
    place.store.append((0..40).map(filled::record).collect(), NOW).expect("new");
    let wanted = all_records(&place.store, &home(), 100);
    let path = place.directory.path();
    let copy = path.join("copy.sqlite3");
    place.store.backup(&copy).expect("a copy");
    let sound = fs::read(&copy).expect("bytes");
    let mut damaged = sound.clone();
    let middle = damaged.len() / 2 / 4_096 * 4_096;
    damaged[middle..middle + 64].fill(0xa5);
    for (name, bytes) in [
        ("cut.sqlite3", &sound[..sound.len() / 2]),
        ("damaged.sqlite3", &damaged[..]),
        ("empty.sqlite3", &[]),
        ("text.sqlite3", b"these are my notes, not a database of records, and long enough"),
    ] {
        let file = path.join(name);
        fs::write(&file, bytes).expect("written");
        let error = place.store.restore(&file).expect_err(name);
        assert!(matches!(error, StoreError::Corrupt { .. }), "{name}: {error}");
        assert_eq!(all_records(&place.store, &home(), 100), wanted, "{name}");
    }
    assert!(place.store.restore(&path.join("nowhere.sqlite3")).is_err());
}
