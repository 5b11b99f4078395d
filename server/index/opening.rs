//! Whose files are these, and can they be used? Files lie in a folder named after everything they
//! depend on; those of another make are another folder's, and go once ours stands. Files that are
//! damaged are set aside and made again; files that cannot be used now (a lock, a permission, a
//! full disk) are left alone, since they may be sound.

use std::fs;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use tantivy::directory::error::{OpenDirectoryError, OpenReadError, OpenWriteError};
use tantivy::{IndexReader, ReloadPolicy, TantivyError};

use super::IndexError;
use super::disk::{Fields, SCHEMA_NUMBER, schema};

const ASIDE: &str = "aside";

/// Files that are open.
pub struct Files {
    pub index: tantivy::Index,
    pub reader: IndexReader,
    pub fields: Fields,
    /// The last change in the files; nothing when they were only just made.
    pub sequence: Option<u64>,
}

/// The folder of files that depend on this knowledge and this database.
pub fn folder(directory: &Path, knowledge_version: &str, database: [u8; 16]) -> PathBuf {
    let library = tantivy::INDEX_FORMAT_VERSION;
    let database = u128::from_be_bytes(database);
    directory.join(format!("{SCHEMA_NUMBER}-{library}-{knowledge_version}-{database:032x}"))
}

/// Opens the files of a folder; makes them when they are not there, damaged or never finished.
pub fn open(folder: &Path) -> Result<Files, IndexError> {
    fs::create_dir_all(folder).map_err(|error| unusable(folder, &error))?;
    // A damaged file can make the library panic; that is damage like any other.
    let opened = catch_unwind(AssertUnwindSafe(|| open_existing(folder)))
        .unwrap_or_else(|_| Err(TantivyError::InternalError("the library panicked".to_owned())));
    match opened {
        Ok(Some(files)) => return Ok(files),
        Ok(None) => {}
        Err(error) if is_damage(&error) => {
            tracing::warn!(%error, folder = %folder.display(), "search index is made again");
        }
        Err(error) => return Err(IndexError::of(folder, error)),
    }
    set_aside(folder).map_err(|error| unusable(folder, &error))?;
    fs::create_dir_all(folder).map_err(|error| unusable(folder, &error))?;
    let (schema, fields) = schema();
    let made = tantivy::Index::create_in_dir(folder, schema)
        .and_then(|index| Ok((manual_reader(&index)?, index)));
    let (reader, index) = made.map_err(|error| IndexError::of(folder, error))?;
    Ok(Files { index, reader, fields, sequence: None })
}

/// Files that were finished once; nothing when they never were.
fn open_existing(folder: &Path) -> Result<Option<Files>, TantivyError> {
    if !folder.join("meta.json").exists() {
        return Ok(None);
    }
    let index = tantivy::Index::open_in_dir(folder)?;
    let (schema, fields) = schema();
    if index.schema() != schema {
        return Err(TantivyError::SchemaError("the fields are others".to_owned()));
    }
    let payload = index.load_metas()?.payload;
    let Some(sequence) = payload.and_then(|text| text.parse().ok()) else { return Ok(None) };
    let reader = manual_reader(&index)?;
    // Each part says at its end what it is; a file that was cut short has no end.
    for segment in reader.searcher().segment_readers() {
        segment.inverted_index(fields.text())?;
        segment.get_store_reader(1)?;
    }
    Ok(Some(Files { index, reader, fields, sequence: Some(sequence) }))
}

/// The last change in the files below a directory, without opening them; 0 when they are not there
/// or must be made again.
pub fn last_change(directory: &Path, knowledge_version: &str, database: [u8; 16]) -> u64 {
    let folder = folder(directory, knowledge_version, database);
    let metas = || tantivy::Index::open_in_dir(&folder).and_then(|index| index.load_metas());
    let metas = catch_unwind(AssertUnwindSafe(metas)).ok().and_then(Result::ok);
    metas.and_then(|metas| metas.payload?.parse().ok()).unwrap_or(0)
}

/// Blocks of stored text that are kept unpacked for each segment, of 16 KiB each. The library's own
/// hundred would be kept for every answer whose pages are kept, hundreds of MiB in all.
const UNPACKED_BLOCKS: usize = 8;

fn manual_reader(index: &tantivy::Index) -> Result<IndexReader, TantivyError> {
    let builder = index.reader_builder().doc_store_cache_num_blocks(UNPACKED_BLOCKS);
    builder.reload_policy(ReloadPolicy::Manual).try_into()
}

/// Moves the files away, so that new ones can be made; what was set aside before goes.
pub fn set_aside(folder: &Path) -> io::Result<()> {
    let Some(parent) = folder.parent() else { return Ok(()) };
    // A folder that is not there, or was only just made, has nothing to keep.
    if fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_none()) {
        return Ok(());
    }
    let aside = parent.join(ASIDE);
    if aside.exists() {
        fs::remove_dir_all(&aside)?;
    }
    fs::rename(folder, &aside)
}

/// Removes the folders of other makes. A folder that cannot go does no harm.
pub fn sweep(folder: &Path) {
    let Some(entries) = folder.parent().and_then(|parent| fs::read_dir(parent).ok()) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let ours = name.to_string_lossy().chars().filter(|ch| *ch == '-').count() == 3;
        if ours && entry.path() != folder {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

fn unusable(folder: &Path, error: &io::Error) -> IndexError {
    IndexError::Unusable { directory: folder.to_owned(), why: error.to_string() }
}

impl IndexError {
    pub(super) fn of(folder: &Path, error: TantivyError) -> IndexError {
        if is_damage(&error) {
            IndexError::Damaged(error.to_string())
        } else {
            IndexError::Unusable { directory: folder.to_owned(), why: error.to_string() }
        }
    }
}

/// Whether the files themselves are at fault, not the moment or the place.
fn is_damage(error: &TantivyError) -> bool {
    let bad = |error: &io::Error| {
        matches!(error.kind(), io::ErrorKind::InvalidData | io::ErrorKind::UnexpectedEof)
    };
    match error {
        TantivyError::LockFailure(..)
        | TantivyError::OpenDirectoryError(
            OpenDirectoryError::FailedToCreateTempDir(_) | OpenDirectoryError::IoError { .. },
        )
        | TantivyError::OpenWriteError(OpenWriteError::IoError { .. })
        | TantivyError::ErrorInThread(_)
        | TantivyError::SystemError(_) => false,
        TantivyError::IoError(error) => bad(error),
        TantivyError::OpenReadError(OpenReadError::IoError { io_error, .. }) => bad(io_error),
        _ => true,
    }
}
