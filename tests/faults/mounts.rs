//! File systems of our own to break: a small one in memory, and one on a file.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A mounted file system; unmounted when dropped.
pub struct Mount {
    pub path: PathBuf,
    _parent: tempfile::TempDir,
}

/// Runs a command; what it complained of when it failed.
pub fn run(program: &str, arguments: &[&str]) -> Result<(), String> {
    let output = Command::new(program)
        .args(arguments)
        .output()
        .map_err(|error| format!("{program}: {error}"))?;
    if output.status.success() {
        return Ok(());
    }
    Err(format!("{program}: {}", String::from_utf8_lossy(&output.stderr).trim()))
}

impl Mount {
    /// A directory seen through a file system that a program serves.
    pub fn by_program(program: &str, directory: &Path) -> Result<Mount, String> {
        Mount::with(program, &[&directory.to_string_lossy()])
    }

    fn new(arguments: &[&str], source: &str) -> Result<Mount, String> {
        Mount::with("mount", &[arguments, &[source]].concat())
    }

    fn with(program: &str, arguments: &[&str]) -> Result<Mount, String> {
        let parent = tempfile::tempdir().map_err(|error| error.to_string())?;
        let path = parent.path().join("mount");
        std::fs::create_dir(&path).map_err(|error| error.to_string())?;
        let target = path.to_string_lossy();
        run(program, &[arguments, &[&*target]].concat())?;
        Ok(Mount { path, _parent: parent })
    }

    pub fn in_memory(bytes: u64) -> Result<Mount, String> {
        Mount::new(&["-t", "tmpfs", "-o", &format!("size={bytes}")], "tmpfs")
    }

    /// The file system on a file. Nothing reaches the file by itself for as long as a test takes.
    pub fn on_file(image: &Path) -> Result<Mount, String> {
        Mount::new(&["-o", "loop,commit=300"], &image.to_string_lossy())
    }
}

impl Drop for Mount {
    fn drop(&mut self) {
        if let Err(reason) = run("umount", &[&self.path.to_string_lossy()]) {
            eprintln!("{} is still mounted: {reason}", self.path.display());
        }
    }
}

/// A file with a new file system in it.
pub fn image(path: &Path, bytes: u64) -> Result<(), String> {
    let file = std::fs::File::create(path).map_err(|error| error.to_string())?;
    file.set_len(bytes).map_err(|error| error.to_string())?;
    run("mkfs.ext4", &["-q", &path.to_string_lossy()])
}

/// The mount, or a word on why the test is left out.
pub fn or_skip(mount: Result<Mount, String>, what: &str) -> Option<Mount> {
    mount.map_err(|reason| println!("skipped, {what}: {reason}")).ok()
}
