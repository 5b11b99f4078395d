//! Where does the knowledge come from when nobody names a directory? From the program itself: the
//! files of `knowledge/` as they were checked in the build, and the models fitted to them.

use std::io;
use std::path::Path;

use crate::domain::catalogue::Knowledge;
use crate::knowledge::{self, File, Fitted, Problem};

include!(concat!(env!("OUT_DIR"), "/knowledge_files.rs"));

static FITTED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/fitted.bin"));

/// The knowledge that the program was built with.
pub fn knowledge() -> Knowledge {
    let worked_out = |path: &str| path.starts_with("lexicon/") || path.starts_with("phrasings/");
    let files: Vec<File> = FILES
        .iter()
        .filter(|(path, _)| !worked_out(path))
        .map(|(path, text)| File { path: (*path).to_owned(), text: (*text).to_owned() })
        .collect();
    let fitted = Fitted::from_bytes(FITTED).expect("the build made it");
    knowledge::trust(&files, &fitted)
}

/// The knowledge of a directory, and what is wrong with it. The models are fitted anew only when
/// the phrasings there are not those the program was built with.
pub fn from_directory(directory: &Path) -> io::Result<(Knowledge, Vec<Problem>)> {
    let files = knowledge::files_of(directory)?;
    let (known, _, problems) = knowledge::read(&files, Fitted::from_bytes(FITTED));
    Ok((known, problems))
}
