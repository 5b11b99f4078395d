//! How is a file written that only its owner may read, whole or not at all?

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::Path;

/// Only the owner reads and writes.
pub const OWNER_ONLY: u32 = 0o600;

/// Puts a file in place: written beside it, made durable, then renamed over it.
pub fn replace(path: &Path, content: &[u8]) -> io::Result<()> {
    let beside = path.with_extension("new");
    // One left by a write that was broken off.
    match fs::remove_file(&beside) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    write_new(&beside, content)?;
    fs::rename(&beside, path)?;
    sync_folder(path)
}

/// Writes a file that must not be there yet.
pub fn create(path: &Path, content: &[u8]) -> io::Result<()> {
    write_new(path, content)?;
    sync_folder(path)
}

fn write_new(path: &Path, content: &[u8]) -> io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, OWNER_ONLY);
    let mut file = options.open(path)?;
    file.write_all(content)?;
    file.sync_all()
}

fn sync_folder(path: &Path) -> io::Result<()> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => File::open(folder)?.sync_all(),
        _ => Ok(()),
    }
}

/// A folder that only its owner may look into.
pub fn create_folder(path: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}

/// Refuses a secret that others on this machine could read.
pub fn check_private(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = fs::metadata(path)?.permissions().mode() & 0o777;
        if mode & 0o077 != 0 {
            let path = path.display();
            let text = format!("{path} is open to others (mode {mode:o}): chmod 600 {path}");
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, text));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_private_and_replaced_whole() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("secret");
        replace(&path, b"one").expect("written");
        replace(&path, b"two").expect("written again");
        assert_eq!(fs::read(&path).expect("read"), b"two");
        check_private(&path).expect("private");
        let error = create(&path, b"three").expect_err("it is there");
        assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn a_file_open_to_others_is_refused_with_the_remedy() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("secret");
        replace(&path, b"one").expect("written");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("opened");
        let error = check_private(&path).expect_err("open").to_string();
        assert!(error.contains("mode 640") && error.contains("chmod 600"), "{error}");
    }
}
