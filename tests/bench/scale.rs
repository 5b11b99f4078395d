//! What does it cost to keep and to find many records, and how does that grow with their number?
//! The records are the invented shop's, over and over with other dice.

use std::path::Path;
use std::time::Instant;

use sward_core::domain::demo;
use sward_core::domain::records::{Id, Moment, NewRecord};
use sward_core::store::{DataDirectory, Options, SqliteStore, Store};

use crate::Failure;

const RECORDS_DEFAULT: usize = 10_000;
/// Records stored at once while filling.
const BATCH_RECORDS: usize = 1_000;
/// A moment after the last day of the invented shop: the first of January 2027.
const NOW: Moment = Moment::from_microseconds(1_798_761_600_000_000);

pub fn run(words: &[String]) -> Result<(), Failure> {
    let records = match words {
        [] => RECORDS_DEFAULT,
        [flag, number] if flag == "--records" => number.replace(',', "").parse()?,
        _ => return Err("bench scale [--records N]".into()),
    };
    let place = tempfile::tempdir()?;
    let started = Instant::now();
    let store = filled(place.path(), records)?;
    let seconds = started.elapsed().as_secs_f64();
    println!("{records} records stored in {seconds:.1} s; last change {}", store.last_sequence());
    Ok(())
}

fn filled(data: &Path, records: usize) -> Result<SqliteStore, Failure> {
    let store = SqliteStore::open(DataDirectory::claim(data, false)?, Options::default(), NOW)?;
    let site = Id::parse("site", "home").map_err(|error| error.to_string())?;
    for subject in demo::shop(&site, 1).subjects {
        store.add_subject(subject, NOW)?;
    }
    let mut history = (1..).flat_map(|seed| demo::shop(&site, seed).records).take(records);
    loop {
        let batch: Vec<NewRecord> = history.by_ref().take(BATCH_RECORDS).collect();
        if batch.is_empty() {
            return Ok(store);
        }
        store.append(batch, NOW)?;
    }
}
