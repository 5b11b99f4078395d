//! How long does a durable record take, beside bare SQLite that writes the same rows? Printed, and
//! held to a ratio: times alone say more of the machine than of the store.
//! Runs when `SWARD_SLOW_TESTS` is set.

use std::path::Path;
use std::time::Instant;

use rusqlite::{Connection, params};
use sward_core::domain::records::{NewRecord, SubjectName, concerned};
use sward_core::store::Store;

use crate::records::filled::{self, NOW};
use crate::store::{add_subjects, open};

const RECORDS: u64 = 2_000;
/// One record through the store over one in bare SQLite, both synced: the aim is 1.3 on a quiet
/// machine; a busy one adds the change of threads.
const RATIO_MAX: f64 = 2.0;

/// Times in microseconds, in order.
struct Times(Vec<f64>);

impl Times {
    fn of(count: u64, mut work: impl FnMut(u64)) -> Times {
        let mut times: Vec<f64> = (0..count)
            .map(|at| {
                let start = Instant::now();
                work(at);
                start.elapsed().as_secs_f64() * 1e6
            })
            .collect();
        times.sort_by(f64::total_cmp);
        Times(times)
    }

    fn at(&self, share: f64) -> f64 {
        self.0[((self.0.len() - 1) as f64 * share) as usize]
    }

    fn print(&self, what: &str) {
        println!("{what:<44} p50 {:>7.0} us  p99 {:>7.0} us", self.at(0.5), self.at(0.99));
    }
}

/// The same rows into the same tables and indexes, by SQLite alone in one thread.
fn bare(path: &Path) -> Times {
    let store = open(path).expect("new");
    add_subjects(&store);
    drop(store);
    let connection = Connection::open(path.join("records.sqlite3")).expect("open");
    for (pragma, value) in [("journal_mode", "WAL"), ("synchronous", "FULL")] {
        connection.pragma_update(None, pragma, value).expect("set");
    }
    let row_of = |name: &SubjectName| -> i64 {
        connection
            .query_row("SELECT id FROM subject WHERE name = ?1", [name.to_string()], |row| {
                row.get(0)
            })
            .expect("added")
    };
    let rows: Vec<(NewRecord, String, Vec<i64>)> = (0..RECORDS)
        .map(filled::record)
        .map(|new| {
            let text = format!("{:?}", new.content);
            let concerns = concerned(&new.subject, &new.content).iter().map(row_of).collect();
            (new, text, concerns)
        })
        .collect();
    Times::of(RECORDS, |at| {
        let (new, text, concerns) = &rows[at as usize];
        let number = at as i64 + 100;
        let time_us = new.time.expect("given").microseconds();
        let request_id = new.request_id.bytes();
        let write = || -> rusqlite::Result<()> {
            let transaction = connection.unchecked_transaction()?;
            transaction
                .prepare_cached(
                    "INSERT INTO record VALUES (?1, 1, 'hours', ?2, ?2, ?3, NULL, 0, '', 1, ?4, \
                     NULL)",
                )?
                .execute(params![number, time_us, request_id, text])?;
            for concern in concerns {
                transaction
                    .prepare_cached("INSERT INTO concern VALUES (?1, ?2, ?3, 'hours')")?
                    .execute(params![concern, time_us, number])?;
            }
            transaction.commit()
        };
        write().expect("written");
    })
}

fn one_by_one(path: &Path) -> Times {
    let store = open(path).expect("new");
    add_subjects(&store);
    let records: Vec<NewRecord> = (0..RECORDS).map(filled::record).collect();
    Times::of(RECORDS, |at| {
        store.append(vec![records[at as usize].clone()], NOW).expect("stored");
    })
}

/// Many writers: what group commit is for.
fn together(path: &Path, writers: u64) -> f64 {
    let store = open(path).expect("new");
    add_subjects(&store);
    let start = Instant::now();
    let store = &store;
    std::thread::scope(|scope| {
        for writer in 0..writers {
            scope.spawn(move || {
                for at in 0..RECORDS / writers {
                    let seed = writer * 1_000_000 + at;
                    store.append(vec![filled::record(seed)], NOW).expect("stored");
                }
            });
        }
    });
    RECORDS as f64 / start.elapsed().as_secs_f64()
}

#[test]
fn a_durable_record_takes_little_more_than_bare_sqlite() {
    if std::env::var_os("SWARD_SLOW_TESTS").is_none() {
        println!("skipped, latency: SWARD_SLOW_TESTS is not set");
        return;
    }
    let directory = || tempfile::tempdir().expect("a directory");
    let mut ratios = Vec::new();
    for _ in 0..3 {
        let bare = bare(directory().path());
        bare.print("bare SQLite, the same rows, synced");
        let store = one_by_one(directory().path());
        store.print("the store, one writer");
        ratios.push(store.at(0.5) / bare.at(0.5));
    }
    for writers in [1, 4, 16] {
        let rate = together(directory().path(), writers);
        println!("{writers} writers: {rate:.0} records a second");
    }
    ratios.sort_by(f64::total_cmp);
    println!("ratio of the medians: {ratios:.2?}");
    assert!(ratios[1] <= RATIO_MAX, "{ratios:?}");
}
