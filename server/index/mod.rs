//! RING 1: what was written down about this? Notes, procedures and records, found by words.
//! A disposable copy: it can be thrown away at any moment and is then made again from the knowledge
//! and from whoever keeps the records. Deliberately absent: the records' own store, which comes in
//! as a `Source`, and what an answer means.
//!
//! Order of reading: codes (part numbers are one name) -> terms (words as they are compared) ->
//! document (what is found) -> ask (what is looked for) -> shelf (documents in memory), disk
//! (documents in files) -> rank (which come first) -> snippet -> opening (whose files are these) ->
//! keeper (who writes them) -> snapshot (what was there) -> search.

mod ask;
mod codes;
mod disk;
mod document;
mod keeper;
mod opening;
mod query;
mod rank;
mod record_text;
mod search;
mod shelf;
mod snapshot;
mod snippet;
mod terms;
mod typos;

use std::fmt;
use std::path::PathBuf;

pub use ask::{Ask, Cursor, Found, Hit, PAGE_HITS_DEFAULT, PAGE_HITS_MAX, Repair};
pub use document::{Document, Kind, Titles, of_record};
pub use opening::{last_change, set_aside};
pub use search::Index;
pub use snippet::Piece;
pub use terms::{Concept, Pipeline, Ways};

use crate::domain::records::Record;

/// A change of the records: its number, and the record when it was one.
pub struct Change {
    pub sequence: u64,
    pub record: Option<Box<Record>>,
}

/// Whoever keeps the records. A change that was acknowledged is in it.
pub trait Source: Send + Sync {
    /// Differs for another database, or one that was restored.
    fn database_id(&self) -> [u8; 16];

    /// Number of the latest change.
    fn last_sequence(&self) -> u64;

    /// Changes after this number, in order, at most `limit`; none only when there are no more.
    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, String>;
}

/// Why nothing can be found.
#[derive(Debug)]
pub enum IndexError {
    /// The files are damaged or of another make: set them aside and open again.
    Damaged(String),
    /// The files cannot be used now; they may be sound.
    Unusable { directory: PathBuf, why: String },
    /// The records cannot be read.
    Source(String),
}

impl fmt::Display for IndexError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            IndexError::Damaged(why) => write!(f, "the search index is damaged: {why}"),
            IndexError::Unusable { directory, why } => {
                write!(f, "the search index in {} cannot be used: {why}", directory.display())
            }
            IndexError::Source(why) => write!(f, "the records cannot be read for search: {why}"),
        }
    }
}

impl std::error::Error for IndexError {}
