//! The disk fills up: the error says so, nothing acknowledged is lost, reading goes on, and work
//! goes on as soon as there is space.

use std::collections::BTreeMap;

use sward_core::domain::records::{NewRecord, SubjectName};
use sward_core::store::{RecordQuery, SqliteStore, Store, StoreError};

use super::mounts::{Mount, or_skip};
use crate::records::filled::{self, NOW};
use crate::store::against_model::all_records;
use crate::store::{add_subjects, open};

const DISK_BYTES: u64 = 4 << 20;
/// What is deleted to make space.
const BALLAST_BYTES: usize = 2 << 20;

/// Stores records until the disk is full, and notes each that was acknowledged.
fn fill(store: &SqliteStore, first: u64, acknowledged: &mut BTreeMap<u64, NewRecord>) -> u64 {
    for seed in first.. {
        let new = filled::record(seed);
        match store.append(vec![new.clone()], NOW) {
            Ok(stored) => {
                acknowledged.insert(stored[0].record.name.number, new);
            }
            Err(error) => {
                assert!(matches!(error, StoreError::DiskFull { .. }), "{error}");
                assert!(error.to_string().contains("the disk is full"), "{error}");
                return seed;
            }
        }
        assert!(seed < 100_000, "a disk of {DISK_BYTES} bytes never fills");
    }
    first
}

fn all_there(store: &SqliteStore, acknowledged: &BTreeMap<u64, NewRecord>) {
    let query = RecordQuery { history: true, ..RecordQuery::about(SubjectName::home()) };
    let stored = all_records(store, &query, 1_000);
    let numbers: Vec<u64> = stored.iter().rev().map(|record| record.name.number).collect();
    assert_eq!(numbers.len(), acknowledged.len());
    for record in stored {
        assert_eq!(record.request_id, acknowledged[&record.name.number].request_id);
    }
}

#[test]
fn the_disk_fills_up_and_space_comes_back() {
    let Some(mount) = or_skip(Mount::in_memory(DISK_BYTES), "the disk fills up") else { return };
    let data = mount.path.join("data");
    let ballast = mount.path.join("ballast");
    std::fs::write(&ballast, vec![0; BALLAST_BYTES]).expect("there is space");
    let mut acknowledged = BTreeMap::new();
    let store = open(&data).expect("new");
    add_subjects(&store);
    let stopped = fill(&store, 0, &mut acknowledged);
    assert!(stopped > 100, "{stopped}");
    // Full, and still asked: reading works, writing says why it does not.
    all_there(&store, &acknowledged);
    fill(&store, stopped, &mut acknowledged);
    let copy = store.backup(&mount.path.join("copy.sqlite3")).expect_err("there is no space");
    assert!(matches!(copy, StoreError::DiskFull { .. }), "{copy}");
    assert!(!mount.path.join("copy.partial").exists(), "a half copy takes up what is left");

    // A restart on a full disk loses nothing either.
    drop(store);
    let store = open(&data).expect("sound");
    all_there(&store, &acknowledged);

    std::fs::remove_file(&ballast).expect("removed");
    let more = fill(&store, stopped, &mut acknowledged);
    assert!(more > stopped + 100, "work goes on when there is space: {stopped} to {more}");
    all_there(&store, &acknowledged);
    println!("{} acknowledged before the disk was full for good, all there", acknowledged.len());
}
