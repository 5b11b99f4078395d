//! What can go wrong in the store? A variant for each thing that a caller acts on differently.
//! Every message says what was wrong, with the value, and what to do.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::domain::records::RecordError;

#[derive(Debug, Clone)]
pub enum StoreError {
    /// A machine, unit, area or record of this name is not there.
    NotFound { name: String },
    /// A machine, unit or area of this name is already there.
    AlreadyExists { name: String },
    /// The request cannot be carried out on what is stored; `error` names the field.
    Conflict(RecordError),
    /// The request cannot be understood; `error` names the field.
    Invalid(RecordError),
    /// The disk, or the quota, is full. Nothing was stored; what was stored before is safe.
    DiskFull { path: PathBuf },
    /// Another server uses the data directory.
    InUse { path: PathBuf, by: String },
    /// The data directory cannot hold a database.
    Unsuitable { path: PathBuf, why: String },
    /// The database was written by a newer version of the program.
    TooNew { path: PathBuf, found: i64, supported: i64 },
    /// The file is damaged, or is no database of this program.
    Corrupt { path: PathBuf, detail: String },
    /// The writer has stopped; the program must be started again.
    Stopped,
    /// Anything else that the system refused.
    Failed { doing: String, cause: Arc<dyn std::error::Error + Send + Sync> },
}

impl StoreError {
    pub fn failed(
        doing: impl Into<String>,
        cause: impl std::error::Error + Send + Sync + 'static,
    ) -> StoreError {
        StoreError::Failed { doing: doing.into(), cause: Arc::new(cause) }
    }

    /// An error of the file system at a path.
    pub fn io(doing: &str, path: &Path, cause: std::io::Error) -> StoreError {
        use std::io::ErrorKind;
        match cause.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
                StoreError::DiskFull { path: path.to_owned() }
            }
            ErrorKind::PermissionDenied
            | ErrorKind::ReadOnlyFilesystem
            | ErrorKind::NotADirectory
            | ErrorKind::AlreadyExists => {
                StoreError::Unsuitable { path: path.to_owned(), why: cause.to_string() }
            }
            _ => StoreError::failed(format!("{doing} {}", path.display()), cause),
        }
    }

    /// An error of SQLite on the database at a path.
    pub fn sqlite(doing: &str, path: &Path, cause: rusqlite::Error) -> StoreError {
        use rusqlite::ErrorCode;
        let path = path.to_owned();
        match cause.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => StoreError::DiskFull { path },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                StoreError::Corrupt { path, detail: cause.to_string() }
            }
            Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => {
                StoreError::Unsuitable { path, why: cause.to_string() }
            }
            _ => StoreError::failed(format!("{doing} {}", path.display()), cause),
        }
    }

    /// Whether the fault lies in what was asked, so that others asked with it may still succeed.
    pub fn is_of_request(&self) -> bool {
        match self {
            StoreError::NotFound { .. }
            | StoreError::AlreadyExists { .. }
            | StoreError::Conflict(_)
            | StoreError::Invalid(_) => true,
            StoreError::DiskFull { .. }
            | StoreError::InUse { .. }
            | StoreError::Unsuitable { .. }
            | StoreError::TooNew { .. }
            | StoreError::Corrupt { .. }
            | StoreError::Stopped
            | StoreError::Failed { .. } => false,
        }
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StoreError::NotFound { name } => write!(f, "{name} is not there"),
            StoreError::AlreadyExists { name } => {
                write!(f, "{name} is already there; update it, or choose another id")
            }
            StoreError::Conflict(error) | StoreError::Invalid(error) => error.fmt(f),
            StoreError::DiskFull { path } => write!(
                f,
                "the disk is full, so nothing was stored in {}; what was stored before is safe. \
                 Free some space and try again",
                path.display()
            ),
            StoreError::InUse { path, by } => write!(
                f,
                "{} is in use by {by}; use that server, or stop it, or name another data directory",
                path.display()
            ),
            StoreError::Unsuitable { path, why } => write!(
                f,
                "{} cannot hold the records: {why}; name a directory on a local disk that may be \
                 written",
                path.display()
            ),
            StoreError::TooNew { path, found, supported } => write!(
                f,
                "{} has format {found}, and this version reads formats up to {supported}; \
                 use the newer version of the program, or restore an older backup",
                path.display()
            ),
            StoreError::Corrupt { path, detail } => write!(
                f,
                "{} is damaged or is not a database of this program ({detail}); \
                 keep a copy of it and restore a backup",
                path.display()
            ),
            StoreError::Stopped => f.write_str("the store has stopped; start the program again"),
            StoreError::Failed { doing, cause } => write!(f, "{doing}: {cause}"),
        }
    }
}

impl std::error::Error for StoreError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            StoreError::Failed { cause, .. } => Some(&**cause),
            StoreError::Conflict(error) | StoreError::Invalid(error) => Some(error),
            StoreError::NotFound { .. }
            | StoreError::AlreadyExists { .. }
            | StoreError::DiskFull { .. }
            | StoreError::InUse { .. }
            | StoreError::Unsuitable { .. }
            | StoreError::TooNew { .. }
            | StoreError::Corrupt { .. }
            | StoreError::Stopped => None,
        }
    }
}
