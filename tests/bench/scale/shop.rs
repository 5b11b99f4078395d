//! The invented shop as large as one likes, and its store.

use std::path::Path;

use sward_core::domain::demo;
use sward_core::domain::records::{Id, Moment, NewRecord};
use sward_core::store::{DataDirectory, Options, SqliteStore, Store};

use crate::Failure;

/// The first of January 2027: after the last day of the invented shop.
pub const NOW: Moment = Moment::from_microseconds(1_798_761_600_000_000);

/// Records without end, each shop after the other.
pub fn history(first_seed: u64) -> impl Iterator<Item = NewRecord> {
    (first_seed..).flat_map(|seed| demo::shop(&Id::home(), seed).records)
}

/// Opens the store of a directory; a new one has the machines, units and areas.
pub fn open(data: &Path) -> Result<SqliteStore, Failure> {
    let store = SqliteStore::open(DataDirectory::claim(data, false)?, Options::default(), NOW)?;
    if store.all_subjects(&Id::home())?.is_empty() {
        for subject in demo::shop(&Id::home(), 1).subjects {
            store.add_subject(subject, NOW)?;
        }
    }
    Ok(store)
}

