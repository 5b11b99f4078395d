//! RING 1: what do the files of `knowledge/` say, and where are they wrong?
//!
//! Reading returns the good part and a list of problems, each with file, line and remedy; nothing
//! is served while the list is not empty. The same code runs in the build (a broken file breaks
//! it), in
//! `sward knowledge check`, and at the start of the server.
//! Deliberately absent: any decision about a complaint.

mod commands;
mod dangers;
mod cross_check;
mod documents;
mod fitted;
mod intent;
mod marks;
mod synonyms;
mod tables;
mod words;

use std::fmt;
use std::fs;
use std::io;
use std::path::Path;

use crate::domain::catalogue::Knowledge;

pub use fitted::Fitted;

/// A file of the knowledge: its path below the directory, with `/`, and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    pub path: String,
    pub text: String,
}

/// What is wrong, where, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    pub file: String,
    /// From 1; 0 when the whole file is meant.
    pub line: usize,
    pub what: String,
    pub remedy: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "knowledge/{}", self.file)?;
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
        }
        write!(f, ": {}; {}", self.what, self.remedy)
    }
}

/// Collects problems while the files are read.
#[derive(Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    pub fn add(&mut self, file: &str, line: usize, what: impl Into<String>, remedy: &str) {
        let (what, remedy) = (what.into(), remedy.to_owned());
        self.list.push(Problem { file: file.to_owned(), line, what, remedy });
    }
}

/// Endings of the files that are knowledge; README.md at the top is for people only.
const ENDINGS: &[&str] = &[".csv", ".toml", ".txt", ".tsv", ".md"];

/// The files of a directory and its folders, in order of path.
pub fn files_of(directory: &Path) -> io::Result<Vec<File>> {
    let mut files = Vec::new();
    collect(directory, "", &mut files)?;
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

fn collect(directory: &Path, prefix: &str, files: &mut Vec<File>) -> io::Result<()> {
    for entry in fs::read_dir(directory)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        if entry.file_type()?.is_dir() {
            collect(&entry.path(), &format!("{path}/"), files)?;
        } else if path != "README.md" && ENDINGS.iter().any(|ending| path.ends_with(ending)) {
            let text = fs::read(entry.path())?;
            let text = String::from_utf8(text).map_err(|_| {
                let text = format!("{path} is not UTF-8 text; save it as UTF-8");
                io::Error::new(io::ErrorKind::InvalidData, text)
            })?;
            files.push(File { path, text });
        }
    }
    Ok(())
}

/// Reads and checks everything. `fitted`: the models, when they were fitted to these same
/// phrasings; otherwise they are fitted here, which takes a minute. Answers the models used.
pub fn read(files: &[File], fitted: Option<Fitted>) -> (Knowledge, Fitted, Vec<Problem>) {
    let mut problems = Problems::default();
    let mut knowledge = Knowledge { version: version(files), ..Knowledge::default() };
    tables::read(files, &mut knowledge, &mut problems);
    documents::read(files, &mut knowledge, &mut problems);
    let fitted = words::read(files, fitted, &mut knowledge, &mut problems);
    knowledge.search_synonyms = synonyms::read(files, &mut problems);
    knowledge.intent = intent::read(files, &mut problems);
    cross_check::check(files, &knowledge, &mut problems);
    let mut list = problems.list;
    list.sort();
    list.dedup();
    (knowledge, fitted, list)
}

/// The same without models: what is read hears phrases only, and is there to be checked.
pub fn check(files: &[File]) -> (Knowledge, Vec<Problem>) {
    let (knowledge, _, problems) = read(files, Some(Fitted::without_models(files)));
    (knowledge, problems)
}

/// FNV-1a, 64 bit, over paths and texts in order of path.
fn version(files: &[File]) -> String {
    let bytes = files.iter().flat_map(|file| file.path.bytes().chain([0]).chain(file.text.bytes()));
    format!("{:016x}", fnv1a(bytes))
}

fn fnv1a(bytes: impl Iterator<Item = u8>) -> u64 {
    bytes.fold(0xcbf2_9ce4_8422_2325, |state, byte| {
        (state ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

fn text_of<'a>(files: &'a [File], path: &str) -> Option<&'a str> {
    files.iter().find(|file| file.path == path).map(|file| file.text.as_str())
}

fn files_in<'a>(
    files: &'a [File],
    folder: &'a str,
    ending: &'a str,
) -> impl Iterator<Item = &'a File> {
    files.iter().filter(move |file| file.path.starts_with(folder) && file.path.ends_with(ending))
}
