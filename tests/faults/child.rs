//! A process that works on a store until it is killed. It says on its output what it was told was
//! durable, a line for each; whoever started it reads the lines and does the killing.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};

use sward_core::domain::records::{NewRecord, Which};
use sward_core::store::{Store, StoreError};

use crate::records::filled::{self, NOW};
use crate::store::{add_subjects, open};

pub const WRITERS: u64 = 4;
/// Requests of one writer use seeds in steps of this.
const SEEDS_PER_REQUEST: u64 = 4;
/// Seeds of one writer in one round.
const SEEDS_PER_WRITER: u64 = 100_000;

/// One request of a writer.
pub struct Request {
    /// The records, stored whole or not at all.
    pub seeds: Vec<u64>,
    /// The seed of an earlier record that the first one supersedes.
    pub amends: Option<u64>,
}

/// The requests of a writer, in order, without end: one record, three at once, an amendment.
pub fn request(round: u64, writer: u64, at: u64) -> Request {
    let seed = |at: u64| (round * WRITERS + writer) * SEEDS_PER_WRITER + at * SEEDS_PER_REQUEST;
    let first = seed(at);
    match at % 3 {
        0 => Request { seeds: vec![first], amends: None },
        1 => Request { seeds: vec![first, first + 1, first + 2], amends: None },
        _ => Request { seeds: vec![first], amends: Some(seed(at - 2)) },
    }
}

impl Request {
    pub fn records(&self) -> Vec<NewRecord> {
        let mut records: Vec<NewRecord> =
            self.seeds.iter().map(|&seed| filled::record(seed)).collect();
        records[0].supersedes =
            self.amends.map(|seed| Which::Request(filled::record(seed).request_id));
        records
    }
}

/// A process that was started, and the lines it says.
pub struct Started {
    pub process: Child,
    pub lines: Receiver<String>,
}

/// Starts this same test program again, to do one thing in a directory.
pub fn start(role: &str, directory: &Path, round: usize) -> Started {
    let mut process = Command::new(std::env::current_exe().expect("this program"))
        .args(["--exact", "faults::child::work_until_killed", "--ignored", "--nocapture"])
        .env("SWARD_FAULT_ROLE", role)
        .env("SWARD_FAULT_DIRECTORY", directory)
        .env("SWARD_FAULT_ROUND", round.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("started");
    let output = BufReader::new(process.stdout.take().expect("piped"));
    let (say, lines) = channel();
    std::thread::spawn(move || {
        // A line cut short by the kill is not an acknowledgement.
        let mut output = output;
        let mut line = String::new();
        while output.read_line(&mut line).is_ok_and(|bytes| bytes > 0) {
            if line.ends_with('\n') && say.send(line.trim_end().to_owned()).is_err() {
                return;
            }
            line.clear();
        }
    });
    Started { process, lines }
}

impl Started {
    /// Waits until the process has said a line that begins so.
    pub fn wait_for(&self, start: &str) {
        let said = self.lines.iter().any(|line| line.starts_with(start));
        assert!(said, "the process ended before it said {start}");
    }

    /// Kills it, as nothing in it can prevent, and gives what it said before.
    pub fn kill(mut self) -> Vec<String> {
        self.process.kill().expect("it runs");
        self.process.wait().expect("it ends");
        self.lines.iter().collect()
    }
}

fn say(line: &str) {
    let mut output = std::io::stdout().lock();
    output.write_all(format!("{line}\n").as_bytes()).expect("someone listens");
    output.flush().expect("someone listens");
}

#[test]
#[ignore = "the other fault tests start it, each with its role"]
fn work_until_killed() {
    let setting = |name: &str| std::env::var(name).unwrap_or_else(|_| panic!("{name} is not set"));
    let directory = PathBuf::from(setting("SWARD_FAULT_DIRECTORY"));
    let round: u64 = setting("SWARD_FAULT_ROUND").parse().expect("a number");
    match setting("SWARD_FAULT_ROLE").as_str() {
        "write" => write(&directory, round),
        "restore" => restore(&directory),
        "write without syncing" => write_without_syncing(&directory),
        role => panic!("no such role: {role}"),
    }
}

/// Several writers at once; "acked WRITER AT NUMBER" when a request is durable.
fn write(directory: &Path, round: u64) {
    say("");
    let store = open(directory).expect("the store of before");
    if store.all_subjects(filled::name("sites/home").site()).expect("read").is_empty() {
        add_subjects(&store);
    }
    say("ready");
    let store = &store;
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            scope.spawn(move || {
                for at in 0.. {
                    let stored = store.append(request(round, writer, at).records(), NOW);
                    match stored {
                        Ok(stored) => {
                            let number = stored[0].record.name.number;
                            say(&format!("acked {writer} {at} {number}"));
                        }
                        Err(StoreError::DiskFull { .. }) => return,
                        Err(error) => panic!("{error}"),
                    }
                }
            });
        }
    });
}

/// Puts two copies in place in turn, without end.
fn restore(directory: &Path) {
    let store = open(directory).expect("the store of before");
    say("");
    say("ready");
    for copy in ["a.sqlite3", "b.sqlite3"].iter().cycle() {
        store.restore(&directory.join(copy)).expect("put back");
        say("restored");
    }
}

/// A bare database that is told not to sync: what the power loss must take away, or the test of it
/// proves nothing.
fn write_without_syncing(directory: &Path) {
    std::fs::create_dir_all(directory).expect("a directory");
    let database = rusqlite::Connection::open(directory.join("careless.sqlite3")).expect("open");
    database
        .execute_batch(
            "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
             CREATE TABLE row (number INTEGER PRIMARY KEY, text TEXT);
             INSERT INTO row VALUES (0, 'a row that was synced');
             PRAGMA synchronous = OFF;",
        )
        .expect("SQL");
    say("");
    say("acked 0");
    say("ready");
    for number in 1_i64.. {
        let text = "a row that was never synced";
        database
            .execute("INSERT INTO row VALUES (?1, ?2)", rusqlite::params![number, text])
            .expect("SQL");
        say(&format!("acked {number}"));
    }
}
