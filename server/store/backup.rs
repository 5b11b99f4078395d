//! How is everything copied and put back, and is the copy sound? A copy is made while work goes on,
//! synced, opened and checked before it takes its name; what cannot be proved sound is not kept.
//! A restored database gets an id of its own, so that an index made from the old one is not used.

use std::fs::File;
use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags, params};

use super::data_directory::sync_directory;
use super::error::StoreError;
use super::read::Reading;
use super::schema::{self, FORMAT, Found};

/// What a copy holds, after it was checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackupReport {
    pub file: PathBuf,
    pub bytes: u64,
    pub records: u64,
    /// Number of the latest change in it.
    pub last_sequence: u64,
    /// Where what was there before a restore is kept.
    pub kept: Option<PathBuf>,
}

/// Copies the database behind `connection` into `file`.
pub fn write(reading: Reading<'_>, file: &Path) -> Result<BackupReport, StoreError> {
    if file.exists() {
        return Err(StoreError::AlreadyExists { name: file.display().to_string() });
    }
    let partial = file.with_extension("partial");
    let outcome = write_partial(reading, &partial).and_then(|report| {
        std::fs::rename(&partial, file).map_err(|error| StoreError::io("naming", file, error))?;
        sync_directory(&parent(file))?;
        Ok(BackupReport { file: file.to_owned(), ..report })
    });
    if outcome.is_err() {
        // What is left of a copy that failed is of no use to anyone.
        let _ = std::fs::remove_file(&partial);
    }
    outcome
}

fn parent(file: &Path) -> PathBuf {
    match file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

fn write_partial(reading: Reading<'_>, partial: &Path) -> Result<BackupReport, StoreError> {
    remove_leftovers(partial)?;
    reading
        .connection
        .execute("VACUUM INTO ?1", params![partial.to_string_lossy()])
        .map_err(|cause| StoreError::sqlite("copying to", partial, cause))?;
    // SQLite leaves a copy unsynced.
    File::options()
        .write(true)
        .open(partial)
        .and_then(|copy| copy.sync_all())
        .map_err(|error| StoreError::io("syncing", partial, error))?;
    let report = verify(partial)?;
    // Records are never changed, so those up to the copy's last are the same in both.
    let here = count_records(reading, report.last_sequence)?;
    if here != report.records {
        return Err(StoreError::Corrupt {
            path: partial.to_owned(),
            detail: format!("the copy has {} records of {here}", report.records),
        });
    }
    Ok(report)
}

/// Removes a database that an earlier attempt left behind, and its logs: SQLite would take them for
/// those of the new one.
fn remove_leftovers(database: &Path) -> Result<(), StoreError> {
    for ending in ["", "-journal", "-wal", "-shm"] {
        let mut path = database.as_os_str().to_owned();
        path.push(ending);
        match std::fs::remove_file(&path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(StoreError::io("removing", Path::new(&path), error));
            }
            _ => {}
        }
    }
    Ok(())
}

fn count_records(reading: Reading<'_>, last: u64) -> Result<u64, StoreError> {
    let last = i64::try_from(last).unwrap_or(i64::MAX);
    reading
        .connection
        .query_row("SELECT count(*) FROM record WHERE number <= ?1", params![last], |row| {
            row.get::<_, i64>(0).map(i64::unsigned_abs)
        })
        .map_err(|cause| reading.failed(cause))
}

/// Checks a copy from end to end.
pub fn verify(file: &Path) -> Result<BackupReport, StoreError> {
    let failed = |cause| StoreError::sqlite("reading", file, cause);
    let bytes =
        std::fs::metadata(file).map_err(|error| StoreError::io("finding", file, error))?.len();
    let connection =
        Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(failed)?;
    let corrupt = |detail: String| StoreError::Corrupt { path: file.to_owned(), detail };
    match schema::look(&connection).map_err(failed)? {
        Found::Format(found) if found > FORMAT => {
            return Err(StoreError::TooNew { path: file.to_owned(), found, supported: FORMAT });
        }
        Found::Format(_) => {}
        Found::Empty => return Err(corrupt("it is empty".to_owned())),
        Found::Foreign => return Err(corrupt("it is of another program".to_owned())),
    }
    sound(&connection, file, "integrity_check")?;
    let broken: i64 = connection
        .query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| row.get(0))
        .map_err(failed)?;
    if broken != 0 {
        return Err(corrupt(format!("{broken} rows point to rows that are not there")));
    }
    let reading = Reading { connection: &connection, path: file };
    let last_sequence = reading.last_sequence()?;
    let records = count_records(reading, last_sequence)?;
    Ok(BackupReport { file: file.to_owned(), bytes, records, last_sequence, kept: None })
}

/// Runs one of SQLite's own checks.
pub fn sound(connection: &Connection, path: &Path, check: &str) -> Result<(), StoreError> {
    let told: String = connection
        .pragma_query_value(None, check, |row| row.get(0))
        .map_err(|cause| StoreError::sqlite("checking", path, cause))?;
    match told.as_str() {
        "ok" => Ok(()),
        _ => Err(StoreError::Corrupt { path: path.to_owned(), detail: told }),
    }
}

/// A checked copy of `file` in `directory`, in today's format and with an id of its own, ready to
/// take the place of the database.
pub fn prepare(file: &Path, directory: &Path) -> Result<BackupReport, StoreError> {
    verify(file)?;
    let ready = directory.join("restoring.sqlite3");
    remove_leftovers(&ready)?;
    std::fs::copy(file, &ready).map_err(|error| StoreError::io("copying to", &ready, error))?;
    let failed = |cause| StoreError::sqlite("preparing", &ready, cause);
    let mut connection = Connection::open(&ready).map_err(failed)?;
    if let Found::Format(format) = schema::look(&connection).map_err(failed)? {
        schema::migrate(&mut connection, format, FORMAT).map_err(failed)?;
    }
    schema::set_new_database_id(&connection).map_err(failed)?;
    drop(connection);
    verify(&ready)
}

/// Puts a prepared copy in the place of everything behind `connection`, in one transaction:
/// whoever reads sees all of the old or all of the new, and so does whoever opens it after a crash.
pub fn replace(connection: &mut Connection, ready: &Path) -> Result<(), StoreError> {
    let failed = |cause| StoreError::sqlite("restoring", ready, cause);
    let from =
        Connection::open_with_flags(ready, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(failed)?;
    let backup = Backup::new(&from, connection).map_err(failed)?;
    match backup.step(-1).map_err(failed)? {
        StepResult::Done => Ok(()),
        state => Err(StoreError::failed(
            "restoring",
            std::io::Error::other(format!("the database is in use ({state:?}); try again")),
        )),
    }
}
