//! Which server is measured? The one that belongs to this program, in the same profile.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Failure;

/// Built now, unless that cannot be and there is one.
pub fn server() -> Result<PathBuf, Failure> {
    let own = std::env::current_exe()?;
    let folder = own.parent().and_then(Path::parent).ok_or("where is this program?")?;
    let mut build = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned()));
    build.args(["build", "--quiet", "--bins", "--target-dir"]);
    build.arg(folder.parent().ok_or("where is this program?")?);
    if folder.ends_with("release") {
        build.arg("--release");
    }
    let built = build.current_dir(env!("CARGO_MANIFEST_DIR")).status();
    let program = folder.join("swardd");
    if !built.is_ok_and(|status| status.success()) && !program.exists() {
        return Err("cargo build makes the server first".into());
    }
    Ok(program)
}
