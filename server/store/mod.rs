//! Where are the shop's records kept? The one truth: what was acknowledged is on the disk.
//! Everything here is synchronous; a caller that must not wait calls it from a thread that may.
//! Deliberately absent: what makes a record valid (`domain::records::check` comes first), the
//! search index, and the clock: the moment comes in as an argument.
//!
//! `SqliteStore` is the store of a single shop. A database server for many shops would be another
//! implementation of `Store`.
//!
//! Order of reading: error, data_directory (may we use this place) -> schema (what is on disk) ->
//! rows (records as stored text) -> writer, changes (one thread, many writers, one sync) -> read,
//! page (queries and their pages) -> learning (counts) -> backup -> sqlite (all of it together) ->
//! drafts (work left half way).

mod backup;
mod changes;
pub mod data_directory;
pub mod drafts;
pub mod error;
mod learning;
pub mod page;
mod read;
mod record_list;
mod row_format;
mod rows;
mod schema;
mod sqlite;
mod writer;

use std::path::Path;

pub use backup::BackupReport;
pub use data_directory::DataDirectory;
pub use error::StoreError;
pub use page::{Page, PageSize};
pub use schema::FORMAT;
pub use sqlite::{Options, SqliteStore};

use crate::domain::records::lesson::Lesson;
use crate::domain::records::{
    Id, Moment, NewRecord, NewSubject, Record, RecordKind, RecordName, RequestId, Subject,
    SubjectKind, SubjectName,
};

/// Which database this is: a new one, or one that was restored, has an id of its own, so that a
/// copy made from another (an index) is known to be stale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DatabaseId(pub [u8; 16]);

/// A record after it was asked to be stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored {
    pub record: Record,
    /// The request had been carried out before; this is what it stored then.
    pub already_there: bool,
}

/// Something that changed, in the order it changed.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    Subject(Box<Subject>),
    Record(Box<Record>),
}

impl Change {
    /// Where the change stands among all changes. Numbers rise; some are left out.
    pub fn sequence(&self) -> u64 {
        match self {
            Change::Subject(subject) => subject.version,
            Change::Record(record) => record.name.number,
        }
    }
}

/// Which machines, units or areas are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct SubjectQuery {
    pub parent: SubjectName,
    pub kind: SubjectKind,
    /// Those no longer in use too.
    pub retired: bool,
}

/// In which order records are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// By the time of the work, latest first.
    NewestFirst,
    OldestFirst,
    /// As they were stored, so that what is superseded comes before what supersedes it.
    AsStored,
}

/// Which records are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordQuery {
    /// Everything about this and what belongs to it.
    pub subject: SubjectName,
    /// Empty: every kind.
    pub kinds: Vec<RecordKind>,
    /// Faults fixed with this cause.
    pub cause: Option<String>,
    /// At or after.
    pub from: Option<Moment>,
    /// Before.
    pub until: Option<Moment>,
    /// What was superseded or withdrawn too.
    pub history: bool,
    pub order: Order,
}

impl RecordQuery {
    /// Everything that stands about a subject, latest first.
    pub fn about(subject: SubjectName) -> RecordQuery {
        RecordQuery {
            subject,
            kinds: Vec::new(),
            cause: None,
            from: None,
            until: None,
            history: false,
            order: Order::NewestFirst,
        }
    }
}

/// Durable records. A call that returns `Ok` has its change on the disk.
pub trait Store: Send + Sync {
    fn database_id(&self) -> DatabaseId;

    /// Number of the latest change, whichever it was.
    fn last_sequence(&self) -> u64;

    /// Adds a machine, unit or area. A site comes into being with its first machine or area.
    fn add_subject(&self, new: NewSubject, now: Moment) -> Result<Subject, StoreError>;

    /// Replaces the facts of a machine, unit or area. When `version` is given and it has changed
    /// since, nothing is done.
    fn change_subject(
        &self,
        new: NewSubject,
        version: Option<u64>,
        now: Moment,
    ) -> Result<Subject, StoreError>;

    fn subject(&self, name: &SubjectName) -> Result<Subject, StoreError>;

    fn subjects(
        &self,
        query: &SubjectQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Subject>, StoreError>;

    /// Every machine, unit and area of a site, to look names up in.
    fn all_subjects(&self, site: &Id) -> Result<Vec<Subject>, StoreError>;

    /// Stores all of them or none.
    fn append(&self, records: Vec<NewRecord>, now: Moment) -> Result<Vec<Stored>, StoreError>;

    /// Stores each that can be stored. The outer error is one that hit them all.
    fn append_each(
        &self,
        records: Vec<NewRecord>,
        now: Moment,
    ) -> Result<Vec<Result<Stored, StoreError>>, StoreError>;

    /// The record of this name. The name may also say something that holds the record's subject,
    /// as `sites/home/records/r17` does.
    fn record(&self, name: &RecordName) -> Result<Record, StoreError>;

    fn record_of_request(&self, request_id: RequestId) -> Result<Option<Record>, StoreError>;

    /// A page of records. Pages that follow show what was there when the first was asked for,
    /// whatever is stored meanwhile.
    fn records(
        &self,
        query: &RecordQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Record>, StoreError>;

    /// Records stored, those that were superseded among them. Only those that came since the last
    /// time are counted.
    fn record_count(&self) -> Result<u64, StoreError>;

    /// Changes after a sequence number, in order, at most `limit`.
    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, StoreError>;

    /// What confirmed fixes taught, in order; of one site or of all.
    fn lessons(&self, site: Option<&Id>) -> Result<Vec<Lesson>, StoreError>;

    /// Counts all lessons again from the records. The counts are the same as before.
    fn recount_lessons(&self) -> Result<(), StoreError>;

    /// Writes a verified copy to a file that is not there yet, while work goes on.
    fn backup(&self, file: &Path) -> Result<BackupReport, StoreError>;

    /// Puts a verified copy in the place of everything stored. What was there before is kept in
    /// the data directory; the report names the file.
    fn restore(&self, file: &Path) -> Result<BackupReport, StoreError>;
}
