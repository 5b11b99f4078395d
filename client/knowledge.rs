//! `sward knowledge`: check edited files, or write out the built-in ones to edit.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use sward_core::embedded;

use crate::call::Failure;
use crate::commands::{Globals, KnowledgeArguments, KnowledgeWork};

pub fn run(globals: &Globals, asked: &KnowledgeArguments) -> Result<(), Failure> {
    match &asked.work {
        KnowledgeWork::Check { directory } => {
            check(directory.as_deref().or(globals.knowledge.as_deref()))
        }
        KnowledgeWork::Copy { directory } => copy(directory),
    }
}

fn check(directory: Option<&Path>) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    let Some(directory) = directory else {
        let version = embedded::knowledge().version;
        writeln!(out, "the built-in knowledge {version} was checked when it was built: no mistakes")?;
        return Ok(());
    };
    let (known, problems) = embedded::check_directory(directory).map_err(|error| {
        Failure::new(66, format!("{}: {error}", directory.display()), "name a directory of files")
    })?;
    for problem in &problems {
        writeln!(out, "{problem}")?;
    }
    if problems.is_empty() {
        writeln!(out, "no mistakes; knowledge version {}", known.version)?;
        return Ok(());
    }
    Err(Failure::new(65, format!("{} mistakes", problems.len()), ""))
}

fn copy(directory: &Path) -> Result<(), Failure> {
    if directory.exists() {
        let text = format!("{} exists already", directory.display());
        return Err(Failure::new(73, text, "name a directory that does not exist yet"));
    }
    for (path, text) in embedded::FILES {
        let path = directory.join(path);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent)?;
        }
        fs::write(path, text)?;
    }
    let mut out = std::io::stdout().lock();
    writeln!(out, "wrote {} files to {}", embedded::FILES.len(), directory.display())?;
    Ok(())
}
