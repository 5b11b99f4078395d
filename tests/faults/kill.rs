//! The process is killed at any moment: while it opens, while it writes, while it restores.

use std::time::Duration;

use sward_core::domain::records::SubjectName;
use sward_core::store::{RecordQuery, Store};

use super::child::start;
use super::judge::{Acknowledged, judge};
use super::rounds;
use crate::records::filled::{self, Dice, NOW};
use crate::store::against_model::all_records;
use crate::store::{add_subjects, open};

#[test]
fn killed_while_it_writes() {
    let directory = tempfile::tempdir().expect("a directory");
    let mut dice = Dice::new(rounds(12) as u64);
    let mut acknowledged = Acknowledged::default();
    let (mut acks, mut early) = (0, 0);
    for round in 0..rounds(12) {
        let started = start("write", directory.path(), round);
        // Some are killed before they are ready: while the log of the last one is read in.
        if dice.below(4) > 0 {
            started.wait_for("ready");
        } else {
            started.wait_for("");
        }
        std::thread::sleep(Duration::from_micros(dice.below(150_000) as u64));
        let told = acknowledged.note(round, &started.kill());
        acks += told;
        early += usize::from(told == 0);
        drop(judge(directory.path(), &acknowledged));
    }
    println!(
        "killed {} times: {acks} acknowledged, all there; {early} killed before the first",
        rounds(12)
    );
    assert!(acks > rounds(12), "hardly anything was written: {acks}");
}

#[test]
fn killed_while_it_restores() {
    let directory = tempfile::tempdir().expect("a directory");
    let about = RecordQuery::about(SubjectName::home());
    let query = RecordQuery { history: true, ..about };
    let store = open(directory.path()).expect("new");
    add_subjects(&store);
    let mut states = Vec::new();
    for (copy, seeds) in [("a.sqlite3", 0..150), ("b.sqlite3", 1_000..1_400)] {
        store.append(seeds.map(filled::record).collect(), NOW).expect("new");
        store.backup(&directory.path().join(copy)).expect("a copy");
        states.push(all_records(&store, &query, 1_000));
    }
    drop(store);
    let mut dice = Dice::new(7);
    let mut seen = [0, 0];
    for round in 0..rounds(6) {
        let started = start("restore", directory.path(), round);
        started.wait_for("ready");
        std::thread::sleep(Duration::from_micros(dice.below(400_000) as u64));
        started.kill();
        let store = open(directory.path()).expect("sound after the kill");
        let found = all_records(&store, &query, 1_000);
        let which = states.iter().position(|state| *state == found);
        seen[which.expect("all of one copy or all of the other")] += 1;
    }
    println!(
        "killed {} times: the first copy {} times, the second {}",
        rounds(6),
        seen[0],
        seen[1]
    );
}
