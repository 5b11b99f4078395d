//! The invented shop as large as one likes, and its store as search reads it.

use std::path::Path;
use std::sync::Arc;

use sward_core::domain::demo;
use sward_core::domain::records::{Id, Moment, NewRecord};
use sward_core::index::{self, Source};
use sward_core::store::{Change, DataDirectory, Options, SqliteStore, Store};

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

/// The store, as the search index reads it.
pub struct Findable(pub Arc<SqliteStore>);

impl Source for Findable {
    fn database_id(&self) -> [u8; 16] {
        self.0.database_id().0
    }

    fn last_sequence(&self) -> u64 {
        self.0.last_sequence()
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<index::Change>, String> {
        let changes = self.0.changes_since(sequence, limit).map_err(|error| error.to_string())?;
        let seen = |change: Change| index::Change {
            sequence: change.sequence(),
            record: match change {
                Change::Record(record) => Some(record),
                Change::Subject(_) => None,
            },
        };
        Ok(changes.into_iter().map(seen).collect())
    }
}
