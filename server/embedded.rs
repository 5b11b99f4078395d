//! Where does the knowledge come from when nobody names a directory? From the program itself: what
//! the build made of the files of `knowledge/` when it checked them, and the models fitted to them.

use std::io;
use std::path::Path;

use crate::domain::catalogue::Knowledge;
use crate::domain::language::dangers::DangerModel;
use crate::domain::language::hearing::FindingModel;
use crate::domain::language::purpose::PurposeModel;
use crate::domain::language::scope::ScopeModel;
use crate::domain::said::naming::NamingModel;
use crate::domain::said::placing::PlacingModel;
use crate::knowledge::{self, File, Fitted, Problem};

include!(concat!(env!("OUT_DIR"), "/knowledge_files.rs"));

/// The knowledge without its models, which are in the other piece.
static KNOWN: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/knowledge.bin"));
static FITTED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/fitted.bin"));

/// The knowledge that the program was built with.
pub fn knowledge() -> Knowledge {
    let mut known: Knowledge = postcard::from_bytes(KNOWN).expect("the build made it");
    let models = Fitted::models(FITTED).expect("the build made it");
    let [findings, scope, purposes, placings, names, dangers] = models;
    known.ear.model = FindingModel::read(findings).expect("the build fitted it");
    known.scope_ear.model = ScopeModel::read(scope).expect("the build fitted it");
    known.purpose_ear.model = PurposeModel::read(purposes).expect("the build fitted it");
    known.placing_ear.model = PlacingModel::read(placings).expect("the build fitted it");
    known.naming_ear.model = NamingModel::read(names).expect("the build fitted it");
    known.danger_ear.model = DangerModel::read(dangers).expect("the build fitted it");
    known
}

/// The file of the data directory that keeps the models fitted to somebody's own phrasings.
const LEARNED: &str = "learned.bin";

/// The knowledge of a directory, and what is wrong with it. The models are fitted anew only when
/// the phrasings there are neither those the program was built with nor those that the data
/// directory keeps the models of; that takes a minute, so `learning` is called first, and is kept
/// for the next time.
pub fn from_directory(
    directory: &Path,
    data: Option<&Path>,
    learning: impl FnOnce(),
) -> io::Result<Read> {
    let files = knowledge::files_of(directory)?;
    if let Some(fitted) = learned(&files, data) {
        let (known, _, problems) = knowledge::read(&files, Some(fitted));
        return Ok((known, problems));
    }
    let (known, problems) = knowledge::check(&files);
    if !problems.is_empty() {
        return Ok((known, problems));
    }
    learning();
    let (known, fitted, problems) = knowledge::read(&files, Fitted::from_bytes(FITTED));
    if let Some(data) = data {
        std::fs::create_dir_all(data)?;
        fitted.keep(&data.join(LEARNED))?;
    }
    Ok((known, problems))
}

/// Knowledge, and the mistakes in it.
pub type Read = (Knowledge, Vec<Problem>);

/// What is wrong with the knowledge of a directory; nothing is learned from its phrasings.
pub fn check_directory(directory: &Path) -> io::Result<Read> {
    Ok(knowledge::check(&knowledge::files_of(directory)?))
}

/// The models fitted to the phrasings of these files, where there are any.
fn learned(files: &[File], data: Option<&Path>) -> Option<Fitted> {
    let built_in = Fitted::from_bytes(FITTED).filter(|fitted| fitted.is_of(files));
    let kept = || Fitted::kept(&data?.join(LEARNED)).filter(|fitted| fitted.is_of(files));
    built_in.or_else(kept)
}
