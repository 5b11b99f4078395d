//! The power fails: whatever was written and not synced is gone. The store lives in a file system
//! on a file; what that file system has not been told to sync is not in the file yet. So a copy of
//! the file is what a disk holds after the power failed.
//!
//! The same is done to a database that does not sync. It must lose rows, or this proves nothing.

use std::path::Path;
use std::time::Duration;

use super::child::{Started, start};
use super::judge::{Acknowledged, judge};
use super::mounts::{Mount, image, or_skip};
use super::rounds;
use crate::records::filled::Dice;

const IMAGE_BYTES: u64 = 96 << 20;

/// Lets the process work, kills it, and takes the disk as it is at that moment.
fn cut_power(started: Started, after: Duration, image: &Path, copy: &Path) -> Vec<String> {
    started.wait_for("ready");
    std::thread::sleep(after);
    let lines = started.kill();
    std::fs::copy(image, copy).expect("copied");
    lines
}

#[test]
fn the_power_fails_while_it_writes() {
    let parent = tempfile::tempdir().expect("a directory");
    let disk = parent.path().join("disk");
    let copy = parent.path().join("copy");
    if let Err(reason) = image(&disk, IMAGE_BYTES) {
        println!("skipped, the power fails: {reason}");
        return;
    }
    let mut dice = Dice::new(3);
    let mut acknowledged = Acknowledged::default();
    let mut acks = 0;
    for round in 0..rounds(6) {
        let Some(mount) = or_skip(Mount::on_file(&disk), "the power fails") else { return };
        let after = Duration::from_micros(dice.below(150_000) as u64);
        let started = start("write", &mount.path.join("data"), round);
        let lines = cut_power(started, after, &disk, &copy);
        drop(mount);
        acks += acknowledged.note(round, &lines);
        // The copy is the disk of the next round, and of all that follow.
        std::fs::rename(&copy, &disk).expect("replaced");
        let mount = Mount::on_file(&disk).expect("mounted before");
        drop(judge(&mount.path.join("data"), &acknowledged));
    }
    println!("the power failed {} times: {acks} acknowledged, all there", rounds(6));
    assert!(acks > rounds(6), "hardly anything was written: {acks}");
}

#[test]
fn a_database_that_does_not_sync_loses_rows() {
    let parent = tempfile::tempdir().expect("a directory");
    let disk = parent.path().join("disk");
    let copy = parent.path().join("copy");
    if let Err(reason) = image(&disk, IMAGE_BYTES) {
        println!("skipped, the power fails: {reason}");
        return;
    }
    let Some(mount) = or_skip(Mount::on_file(&disk), "the power fails") else { return };
    let started = start("write without syncing", &mount.path.join("data"), 0);
    let lines = cut_power(started, Duration::from_millis(100), &disk, &copy);
    drop(mount);
    let acked = lines.iter().filter(|line| line.starts_with("acked ")).count();
    let mount = Mount::on_file(&copy).expect("mounted before");
    let database = mount.path.join("data/careless.sqlite3");
    let kept: i64 = rusqlite::Connection::open(&database)
        .and_then(|database| database.query_row("SELECT count(*) FROM row", [], |row| row.get(0)))
        .expect("what was synced is there");
    println!("a database that does not sync kept {kept} of {acked} rows");
    assert!(kept >= 1, "the row that was synced is lost, so the copy is not what a disk holds");
    assert!((kept as usize) < acked, "the copy holds what was never synced");
}
