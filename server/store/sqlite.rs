//! The store of a single shop: one SQLite file in a data directory that only we use.
//! One connection writes, on its own thread; others read beside it and never wait for it.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use crate::domain::records::lesson::Lesson;
use crate::domain::records::request::content_hash;
use crate::domain::records::{
    Id, Moment, NewRecord, NewSubject, Record, RecordName, RequestId, Subject, SubjectName,
};

use super::backup::{self, BackupReport};
use super::data_directory::{DataDirectory, sync_directory};
use super::error::StoreError;
use super::page::{Page, PageSize};
use super::read::Reading;
use super::schema::{self, FORMAT, Found};
use super::writer::Writer;
use super::{Change, DatabaseId, RecordQuery, Store, Stored, SubjectQuery, learning};

/// Connections for reading that are kept open between calls.
const READERS_KEPT_MAX: usize = 8;
/// Pages that each reader keeps (negative: KiB, as the pragma has it). The system keeps the file in
/// memory anyway; more than this would be kept eight times.
const READER_CACHE_KIB: i64 = -1_024;
/// The same of the writer, which is one, and goes back and forth between the tables of a record.
const WRITER_CACHE_KIB: i64 = -4_096;
/// How long a statement waits for another connection of ours.
const BUSY_WAIT: Duration = Duration::from_secs(5);
/// Statements that a connection keeps ready.
const STATEMENTS_KEPT: usize = 64;

#[derive(Debug, Clone, Copy, Default)]
pub struct Options {
    /// Looks over every page when the database is opened; its time grows with the records.
    pub check: bool,
}

pub struct SqliteStore {
    // Readers go first: the last connection to close, the writer's, leaves the file whole.
    readers: Readers,
    pub(super) writer: Writer,
    database_id: Mutex<DatabaseId>,
    counted: Mutex<Counted>,
    // Goes last: the directory is ours until nothing of it is open.
    directory: DataDirectory,
}

/// So many records there were up to one of them.
#[derive(Clone, Copy, Default)]
struct Counted {
    records: u64,
    last: u64,
}

impl SqliteStore {
    /// Opens the database of a directory, or makes one. `now` is noted on what is made.
    pub fn open(
        directory: DataDirectory,
        options: Options,
        now: Moment,
    ) -> Result<SqliteStore, StoreError> {
        let path = directory.database();
        let connection = open_for_writing(&path)?;
        if options.check {
            backup::sound(&connection, &path, "quick_check")?;
        }
        sync_directory(directory.path())?;
        let database_id = Reading { connection: &connection, path: &path }.database_id()?;
        let writer = Writer::start(connection, path.clone())?;
        let store = SqliteStore {
            readers: Readers { path, idle: Mutex::new(Vec::new()) },
            writer,
            database_id: Mutex::new(DatabaseId(database_id)),
            counted: Mutex::default(),
            directory,
        };
        // A single shop records without adding its site.
        let home = SubjectName::home();
        if store.read(|reading| reading.subject(&home))?.is_none() {
            store.writer.change(move |changes| changes.site(&home, now))?;
        }
        Ok(store)
    }

    /// Reads what was committed at one moment, however many statements it takes.
    pub(super) fn read<T>(
        &self,
        read: impl FnOnce(Reading<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.readers.with(|reading| {
            let snapshot = reading
                .connection
                .unchecked_transaction()
                .map_err(|cause| reading.failed(cause))?;
            let outcome = read(reading);
            // Nothing was written, so there is nothing to commit.
            snapshot.finish().map_err(|cause| reading.failed(cause))?;
            outcome
        })
    }
}

/// Checks what the file is before anything in it is touched.
fn open_for_writing(path: &Path) -> Result<Connection, StoreError> {
    let failed = |cause| StoreError::sqlite("opening", path, cause);
    let mut connection = Connection::open(path).map_err(failed)?;
    connection.busy_timeout(BUSY_WAIT).map_err(failed)?;
    let format = match schema::look(&connection).map_err(failed)? {
        Found::Empty => 0,
        Found::Format(found) if found > FORMAT => {
            return Err(StoreError::TooNew { path: path.to_owned(), found, supported: FORMAT });
        }
        Found::Format(format) => format,
        Found::Foreign => {
            let detail = "it was made by another program".to_owned();
            return Err(StoreError::Corrupt { path: path.to_owned(), detail });
        }
    };
    configure(&connection).map_err(failed)?;
    if (1..FORMAT).contains(&format) {
        let copy = path.with_extension(format!("format-{format}.sqlite3"));
        if !copy.exists() {
            backup::write(Reading { connection: &connection, path }, &copy)?;
        }
    }
    schema::migrate(&mut connection, format, FORMAT).map_err(failed)?;
    Ok(connection)
}

fn configure(connection: &Connection) -> rusqlite::Result<()> {
    // A commit is one append to the log and one sync; readers do not wait.
    let mode: String =
        connection.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))?;
    if mode != "wal" {
        let message = format!("the file system allows only the journal mode {mode}");
        return Err(rusqlite::Error::InvalidParameterName(message));
    }
    // Every commit is synced; on some systems a sync reaches the platter only when asked to.
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "fullfsync", true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    // After a big import the log goes back to this size.
    connection.pragma_update(None, "journal_size_limit", 16 << 20)?;
    connection.pragma_update(None, "cache_size", WRITER_CACHE_KIB)?;
    // What a savepoint may have to take back is kept in memory, not in a file.
    connection.pragma_update(None, "temp_store", "MEMORY")?;
    keep_statements(connection)
}

/// A statement is planned once and not again for other values.
fn keep_statements(connection: &Connection) -> rusqlite::Result<()> {
    connection.set_prepared_statement_cache_capacity(STATEMENTS_KEPT);
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true).map(|_| ())
}

/// Connections that read.
struct Readers {
    path: PathBuf,
    idle: Mutex<Vec<Connection>>,
}

impl Readers {
    fn with<T>(
        &self,
        read: impl FnOnce(Reading<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let kept = self.idle.lock().expect("no reader panics while it holds the list").pop();
        let connection = match kept {
            Some(connection) => connection,
            None => self.open()?,
        };
        let outcome = read(Reading { connection: &connection, path: &self.path });
        let mut idle = self.idle.lock().expect("no reader panics while it holds the list");
        if idle.len() < READERS_KEPT_MAX {
            idle.push(connection);
        }
        outcome
    }

    fn open(&self) -> Result<Connection, StoreError> {
        let failed = |cause| StoreError::sqlite("opening", &self.path, cause);
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(&self.path, flags).map_err(failed)?;
        connection.busy_timeout(BUSY_WAIT).map_err(failed)?;
        connection.pragma_update(None, "cache_size", READER_CACHE_KIB).map_err(failed)?;
        keep_statements(&connection).map_err(failed)?;
        Ok(connection)
    }
}

impl Store for SqliteStore {
    fn database_id(&self) -> DatabaseId {
        *self.database_id.lock().expect("nothing panics while it holds the id")
    }

    fn last_sequence(&self) -> u64 {
        self.writer.last_sequence()
    }

    fn add_subject(&self, new: NewSubject, now: Moment) -> Result<Subject, StoreError> {
        self.writer.change(move |changes| changes.add_subject(new, now))
    }

    fn change_subject(
        &self,
        new: NewSubject,
        version: Option<u64>,
        now: Moment,
    ) -> Result<Subject, StoreError> {
        self.writer.change(move |changes| changes.change_subject(new, version, now))
    }

    fn subject(&self, name: &SubjectName) -> Result<Subject, StoreError> {
        let found = self.read(|reading| reading.subject(name))?;
        let found = found.map(|row| row.subject);
        found.ok_or_else(|| StoreError::NotFound { name: name.to_string() })
    }

    fn subjects(
        &self,
        query: &SubjectQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Subject>, StoreError> {
        self.read(|reading| reading.subjects(query, size, token))
    }

    fn all_subjects(&self, site: &Id) -> Result<Vec<Subject>, StoreError> {
        self.read(|reading| reading.all_subjects(site))
    }

    fn append(&self, records: Vec<NewRecord>, now: Moment) -> Result<Vec<Stored>, StoreError> {
        self.writer.change(move |changes| {
            records.into_iter().map(|new| changes.append(new, now)).collect()
        })
    }

    fn append_each(
        &self,
        records: Vec<NewRecord>,
        now: Moment,
    ) -> Result<Vec<Result<Stored, StoreError>>, StoreError> {
        self.writer.several(move |changes| {
            let mut outcomes = Vec::with_capacity(records.len());
            for new in records {
                let outcome = changes.attempt(|changes| changes.append(new, now));
                match outcome {
                    Err(error) if !error.is_of_request() => return Err(error),
                    outcome => outcomes.push(outcome),
                }
            }
            Ok(outcomes)
        })
    }

    fn record(&self, name: &RecordName) -> Result<Record, StoreError> {
        self.read(|reading| reading.record_named(name))
    }

    fn record_of_request(&self, request_id: RequestId) -> Result<Option<Record>, StoreError> {
        self.read(|reading| reading.record_of_request(request_id))
    }

    fn records(
        &self,
        query: &RecordQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Record>, StoreError> {
        self.read(|reading| reading.records(query, size, token))
    }

    fn record_count(&self) -> Result<u64, StoreError> {
        let mut counted = self.counted.lock().expect("no reader panics while it holds the count");
        let (more, last) = self.read(|reading| reading.counted_after(counted.last))?;
        *counted = Counted { records: counted.records + more, last: last.max(counted.last) };
        Ok(counted.records)
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, StoreError> {
        self.read(|reading| reading.changes_since(sequence, limit))
    }

    fn lessons(&self, site: Option<&Id>) -> Result<Vec<Lesson>, StoreError> {
        self.read(|reading| learning::list(reading, site))
    }

    fn recount_lessons(&self) -> Result<(), StoreError> {
        self.writer.change(|changes| learning::recount(changes.reading))
    }

    fn backup(&self, file: &Path) -> Result<BackupReport, StoreError> {
        self.readers.with(|reading| backup::write(reading, file))
    }

    fn restore(&self, file: &Path) -> Result<BackupReport, StoreError> {
        let path = self.directory.database();
        let ready = backup::prepare(file, self.directory.path())?;
        // Named by what it holds, so that each state that was replaced is kept once.
        let state = content_hash(&self.database_id().0) as u32;
        let last = self.last_sequence();
        let kept = path.with_extension(format!("before-restore-{state:08x}-{last}.sqlite3"));
        if !kept.exists() {
            self.backup(&kept)?;
        }
        let from = ready.file.clone();
        let database_id = self.writer.alone(move |connection| {
            backup::replace(connection, &from)?;
            Reading { connection, path: &path }.database_id()
        })?;
        *self.database_id.lock().expect("nothing panics while it holds the id") =
            DatabaseId(database_id);
        *self.counted.lock().expect("no reader panics while it holds the count") =
            Counted::default();
        // It is in place whether or not its copy can be removed; the next restore removes it too.
        let _ = std::fs::remove_file(&ready.file);
        Ok(BackupReport { file: file.to_owned(), kept: Some(kept), ..ready })
    }
}
