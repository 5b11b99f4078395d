//! Is everything there that was acknowledged, and nothing that was not asked for?

use std::collections::BTreeMap;
use std::path::Path;

use sward_core::domain::records::{Record, RequestId, SubjectName};
use sward_core::store::{RecordQuery, SqliteStore, Store};

use super::child::{Request, WRITERS, request};
use crate::records::filled;
use crate::store::against_model::{all_records, retried};
use crate::store::open;

/// Requests beyond the last acknowledged one that may have been under way.
const UNDER_WAY: u64 = 3;

/// What was acknowledged, outside the store.
#[derive(Default)]
pub struct Acknowledged {
    /// By round and writer: the number that each request's first record was given.
    numbers: BTreeMap<(u64, u64), Vec<u64>>,
}

impl Acknowledged {
    /// Notes the lines of one round; how many acknowledgements there were.
    pub fn note(&mut self, round: usize, lines: &[String]) -> usize {
        let round = round as u64;
        for writer in 0..WRITERS {
            self.numbers.entry((round, writer)).or_default();
        }
        let acked: Vec<&String> = lines.iter().filter(|line| line.starts_with("acked ")).collect();
        for line in &acked {
            let words: Vec<u64> =
                line.split(' ').skip(1).map(|word| word.parse().expect("a number")).collect();
            let [writer, at, number] = words[..] else { panic!("{line}") };
            let numbers = self.numbers.entry((round, writer)).or_default();
            assert_eq!(numbers.len() as u64, at, "requests are acknowledged in order");
            numbers.push(number);
        }
        acked.len()
    }

    /// Every request that was acknowledged or under way; with its number when acknowledged.
    fn requests(&self) -> impl Iterator<Item = (Request, Option<u64>)> + '_ {
        self.numbers.iter().flat_map(|(&(round, writer), numbers)| {
            let last = numbers.len() as u64 + UNDER_WAY;
            (0..last).map(move |at| (request(round, writer, at), numbers.get(at as usize).copied()))
        })
    }
}

/// Opens the store as a restart does and holds it against what was acknowledged.
pub fn judge(directory: &Path, acknowledged: &Acknowledged) -> SqliteStore {
    let store = open(directory).expect("sound after the fault");
    let about = RecordQuery::about(SubjectName::home());
    let query = RecordQuery { history: true, ..about };
    let stored = all_records(&store, &query, 1_000);
    let mut left: BTreeMap<RequestId, Record> =
        stored.iter().map(|record| (record.request_id, record.clone())).collect();
    assert_eq!(left.len(), stored.len(), "a record is there twice");
    for (request, number) in acknowledged.requests() {
        let wanted = request.records();
        let found: Vec<Option<Record>> =
            wanted.iter().map(|new| left.remove(&new.request_id)).collect();
        let there = found.iter().flatten().count();
        assert!(there == 0 || there == wanted.len(), "half of {:?} is there", request.seeds);
        if let Some(number) = number {
            let first = found[0].as_ref();
            let first = first.unwrap_or_else(|| panic!("{:?} was lost", request.seeds));
            assert_eq!(first.name.number, number);
        }
        for (new, record) in wanted.iter().zip(found.iter().flatten()) {
            let asked = filled::record_of(new);
            assert_eq!(retried(&Record { supersedes: None, ..record.clone() }), asked);
            let old = record.supersedes.as_ref().map(|old| old.request_id);
            assert_eq!(old, request.amends.map(|seed| filled::record(seed).request_id));
        }
    }
    assert!(left.is_empty(), "nobody asked for {:?}", left.keys().collect::<Vec<_>>());
    let lessons = store.lessons(None).expect("counts");
    store.recount_lessons().expect("counts");
    assert_eq!(store.lessons(None).expect("counts"), lessons, "counts and records have parted");
    store
}
