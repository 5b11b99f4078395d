//! May this directory hold the records, and are they ours alone? One server at a time, on a local
//! disk. A lock that the system lets go when the process ends, however it ends; the lock file
//! itself stays and means nothing.
//! Deliberately absent: what is in the directory beside the lock.

use std::fs::{File, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::error::StoreError;

const LOCK_FILE: &str = "lock";
/// The database below the data directory.
pub const DATABASE_FILE: &str = "records.sqlite3";
/// How long to wait for whoever holds the directory, and how long between two looks: a command
/// that is just ending needs no more.
const CLAIM_WAIT: Duration = Duration::from_secs(2);
const LOOK_INTERVAL: Duration = Duration::from_millis(20);

/// A directory that this process holds until it is dropped.
#[derive(Debug)]
pub struct DataDirectory {
    path: PathBuf,
    /// Holds the lock while it is open.
    _lock: File,
}

impl DataDirectory {
    /// Creates the directory if it is not there, and takes it. On a network file system the
    /// records are at risk (locks and shared memory do not work over it), so it is refused
    /// unless `network_allowed`.
    pub fn claim(path: &Path, network_allowed: bool) -> Result<DataDirectory, StoreError> {
        let new = !path.exists();
        create_private(path)?;
        let path = &path.canonicalize().map_err(|error| StoreError::io("finding", path, error))?;
        if !network_allowed && let Some(kind) = network_file_system_at(path)? {
            return Err(StoreError::Unsuitable {
                path: path.clone(),
                why: format!("it is on a network file system ({kind}), which loses records"),
            });
        }
        let lock = lock(path)?;
        // The directory itself must outlast a power failure, or all that is in it goes.
        sync_directory(path)?;
        if new && let Some(parent) = path.parent() {
            sync_directory(parent)?;
        }
        Ok(DataDirectory { path: path.clone(), _lock: lock })
    }

    /// Whether anybody ever kept records here.
    pub fn was_claimed(path: &Path) -> bool {
        path.join(LOCK_FILE).exists()
    }

    /// Whether another process holds the directory at this moment.
    pub fn is_held(path: &Path) -> bool {
        let file = File::open(path.join(LOCK_FILE));
        file.is_ok_and(|file| matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    pub fn database(&self) -> PathBuf {
        self.path.join(DATABASE_FILE)
    }
}

/// Only the owner may read a shop's records.
fn create_private(path: &Path) -> Result<(), StoreError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path).map_err(|error| StoreError::io("creating", path, error))
}

fn lock(directory: &Path) -> Result<File, StoreError> {
    let path = directory.join(LOCK_FILE);
    let mut file = File::options()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(&path)
        .map_err(|error| StoreError::io("opening", &path, error))?;
    let until = Instant::now() + CLAIM_WAIT;
    let mut tried = file.try_lock();
    while matches!(tried, Err(TryLockError::WouldBlock)) && Instant::now() < until {
        std::thread::sleep(LOOK_INTERVAL);
        tried = file.try_lock();
    }
    match tried {
        Ok(()) => {
            sign(&mut file).map_err(|error| StoreError::io("writing", &path, error))?;
            Ok(file)
        }
        Err(TryLockError::WouldBlock) => {
            let mut by = String::new();
            // Who holds it is a help to people; the lock stands without it.
            let _ = file.read_to_string(&mut by);
            let by = if by.trim().is_empty() { "another server" } else { by.trim() };
            Err(StoreError::InUse { path: directory.to_owned(), by: by.to_owned() })
        }
        Err(TryLockError::Error(error)) => Err(StoreError::io("locking", &path, error)),
    }
}

fn sign(file: &mut File) -> std::io::Result<()> {
    file.set_len(0)?;
    file.seek(SeekFrom::Start(0))?;
    writeln!(file, "process {}", std::process::id())
}

/// Makes the entries of a directory durable.
pub fn sync_directory(path: &Path) -> Result<(), StoreError> {
    let synced = File::open(path).and_then(|directory| directory.sync_all());
    synced.map_err(|error| StoreError::io("syncing", path, error))
}

#[cfg(target_os = "linux")]
fn network_file_system_at(path: &Path) -> Result<Option<&'static str>, StoreError> {
    let status = rustix::fs::statfs(path)
        .map_err(|error| StoreError::io("looking at", path, error.into()))?;
    // The kernel's numbers fit 32 bits; some platforms carry them in a signed word.
    Ok(network_file_system(status.f_type as u32))
}

/// Elsewhere the kind of file system is not asked; the lock is all there is.
#[cfg(not(target_os = "linux"))]
fn network_file_system_at(_: &Path) -> Result<Option<&'static str>, StoreError> {
    Ok(None)
}

/// The network file system of a kernel's magic number. Numbers: `linux/magic.h` and the
/// statfs(2) manual page (from memory).
#[cfg(any(target_os = "linux", test))]
fn network_file_system(magic: u32) -> Option<&'static str> {
    match magic {
        0x6969 => Some("NFS"),
        0x517b => Some("SMB"),
        0xfe53_4d42 => Some("SMB2"),
        0xff53_4d42 => Some("CIFS"),
        0x0102_1997 => Some("9P"),
        0x5346_414f => Some("AFS"),
        0x00c3_6400 => Some("Ceph"),
        0x7375_7245 => Some("Coda"),
        0x0bd0_0bd0 => Some("Lustre"),
        0x786f_4256 => Some("a shared folder of a virtual machine"),
        0x6573_5546 => Some("FUSE, such as sshfs"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn network_file_systems_are_known_and_local_ones_are_not_refused() {
        assert_eq!(network_file_system(0x6969), Some("NFS"));
        assert_eq!(network_file_system(0xff53_4d42), Some("CIFS"));
        // ext4, btrfs, xfs, tmpfs, overlay.
        for magic in [0xef53, 0x9123_683e, 0x5846_5342, 0x0102_1994, 0x794c_7630] {
            assert_eq!(network_file_system(magic), None);
        }
    }

    #[test]
    fn a_directory_is_held_by_one_at_a_time() {
        let place = tempfile::tempdir().expect("a directory");
        let path = place.path().join("new/data");
        let first = DataDirectory::claim(&path, false).expect("free");
        let error = DataDirectory::claim(&path, false).expect_err("held");
        let StoreError::InUse { by, .. } = error else { panic!("{error}") };
        assert_eq!(by, format!("process {}", std::process::id()));
        assert!(DataDirectory::is_held(&path));
        drop(first);
        assert!(!DataDirectory::is_held(&path));
        DataDirectory::claim(&path, false).expect("free again");
    }

    #[test]
    fn whoever_comes_a_moment_too_early_waits() {
        let place = tempfile::tempdir().expect("a directory");
        let path = place.path().to_owned();
        let first = DataDirectory::claim(&path, false).expect("free");
        let second = std::thread::spawn(move || DataDirectory::claim(&path, false).map(|_| ()));
        std::thread::sleep(CLAIM_WAIT / 4);
        drop(first);
        second.join().expect("no panic").expect("free in time");
    }
}
