//! What the build works out once, kept in one piece: the models fitted to the phrasings and the
//! compiled lexicon, so that a first answer does not wait for them.

use std::borrow::Cow;
use std::path::Path;
use std::{fs, io};

use serde::{Deserialize, Serialize};

use super::{File, files_in, fnv1a};

/// Models fitted to `phrasings/`, and the words that occur there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Fitted {
    /// Names the phrasings and the fitting code that this came from.
    pub stamp: String,
    /// The columns of the finding model: finding and whether present.
    pub labels: Vec<(String, bool)>,
    /// Stems that occur in the phrasings.
    pub vocabulary: Vec<String>,
    /// Those that occur in many.
    pub common: Vec<String>,
    #[serde(skip)]
    pub finding_table: Cow<'static, [u8]>,
    #[serde(skip)]
    pub scope_table: Cow<'static, [u8]>,
    /// The columns of the model of whole sentences.
    pub purposes: Vec<String>,
    #[serde(skip)]
    pub purpose_table: Cow<'static, [u8]>,
    /// The columns of the model of numbers.
    pub placings: Vec<String>,
    #[serde(skip)]
    pub placing_table: Cow<'static, [u8]>,
    #[serde(skip)]
    pub naming_table: Cow<'static, [u8]>,
    /// The columns of the model of dangers.
    pub dangers: Vec<String>,
    #[serde(skip)]
    pub danger_table: Cow<'static, [u8]>,
    pub lexicon: CompiledLexicon,
}

/// The lexicon as compiled.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CompiledLexicon {
    /// Names the files it was compiled from.
    pub stamp: String,
    /// The words of its patterns: what misspellings are repaired to.
    pub trade: Vec<String>,
    #[serde(skip)]
    pub table: Cow<'static, [u8]>,
}

/// Raised when the fitting changes, so that older tables are not taken for its own.
const FIT_FORMAT: u32 = 16;

/// The stamp that a fit to these files bears.
pub fn stamp_of(files: &[File]) -> String {
    let texts = files_in(files, "phrasings/", ".tsv").flat_map(|file| file.text.bytes());
    format!("{FIT_FORMAT}-{:016x}", fnv1a(texts))
}

/// The stamp that the lexicon compiled from these files bears.
pub fn lexicon_stamp_of(files: &[File]) -> String {
    let texts = files_in(files, "lexicon/", ".txt")
        .flat_map(|file| file.path.bytes().chain(file.text.bytes()));
    format!("{FIT_FORMAT}-{:016x}", fnv1a(texts))
}

impl Fitted {
    /// The lengths of the head and of the tables, the head, the tables.
    pub fn to_bytes(&self) -> Vec<u8> {
        let head = postcard::to_allocvec(self).expect("plain data can always be written");
        let parts = [
            &head,
            self.finding_table.as_ref(),
            &self.scope_table,
            &self.purpose_table,
            &self.placing_table,
            &self.naming_table,
            &self.danger_table,
            &self.lexicon.table,
        ];
        let mut out = Vec::new();
        for part in parts {
            let length = u32::try_from(part.len()).expect("far below 4 GiB");
            out.extend(length.to_le_bytes());
        }
        out.extend(parts.concat());
        out
    }

    /// Reads the tables in place; `None` when the bytes are not such a piece.
    pub fn from_bytes(bytes: &'static [u8]) -> Option<Fitted> {
        let [head, tables @ ..] = parts(bytes)?;
        Fitted::put_together(head, tables.map(Cow::Borrowed))
    }

    /// The tables of the models of findings, of scope, of whole sentences, of numbers, of names and
    /// of dangers.
    pub fn models(bytes: &'static [u8]) -> Option<[Cow<'static, [u8]>; 6]> {
        let [_, models @ .., _] = parts(bytes)?;
        Some(models.map(Cow::Borrowed))
    }

    fn put_together(head: &[u8], tables: [Cow<'static, [u8]>; 7]) -> Option<Fitted> {
        let mut fitted: Fitted = postcard::from_bytes(head).ok()?;
        let [findings, scope, purposes, placings, names, dangers, lexicon] = tables;
        (fitted.finding_table, fitted.scope_table) = (findings, scope);
        (fitted.purpose_table, fitted.placing_table) = (purposes, placings);
        (fitted.naming_table, fitted.danger_table) = (names, dangers);
        fitted.lexicon.table = lexicon;
        Some(fitted)
    }

    /// Stands for the models of these files where none are needed.
    pub fn without_models(files: &[File]) -> Fitted {
        Fitted { stamp: stamp_of(files), ..Fitted::default() }
    }

    /// Whether the models were fitted to the phrasings of these files.
    pub fn is_of(&self, files: &[File]) -> bool {
        self.stamp == stamp_of(files)
    }

    /// Keeps everything in a file, which is whole or not there: a sum of the bytes stands first.
    pub fn keep(&self, file: &Path) -> io::Result<()> {
        let bytes = self.to_bytes();
        let sum = fnv1a(bytes.iter().copied()).to_le_bytes();
        let unfinished = file.with_extension(format!("{}.part", std::process::id()));
        fs::write(&unfinished, [&sum[..], &bytes].concat())?;
        fs::rename(&unfinished, file)
    }

    /// What was kept; `None` when there is no such file, or it is not as it was written.
    pub fn kept(file: &Path) -> Option<Fitted> {
        let all = fs::read(file).ok()?;
        let (sum, bytes) = all.split_first_chunk::<8>()?;
        if u64::from_le_bytes(*sum) != fnv1a(bytes.iter().copied()) {
            return None;
        }
        let [head, tables @ ..] = parts(bytes)?;
        Fitted::put_together(head, tables.map(|table| Cow::Owned(table.to_vec())))
    }
}

/// The head and the seven tables.
fn parts(bytes: &[u8]) -> Option<[&[u8]; 8]> {
    let (lengths, mut rest) = bytes.split_at_checked(4 * 8)?;
    let mut parts = [rest; 8];
    for (part, length) in parts.iter_mut().zip(lengths.as_chunks::<4>().0) {
        (*part, rest) = rest.split_at_checked(u32::from_le_bytes(*length) as usize)?;
    }
    Some(parts)
}

/// `finding=yes` or `finding=no`.
pub fn label(text: &str) -> Option<(String, bool)> {
    let (finding, value) = text.split_once('=')?;
    match value {
        "yes" => Some((finding.to_owned(), true)),
        "no" => Some((finding.to_owned(), false)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fitted() -> Fitted {
        let mut fitted = Fitted {
            stamp: stamp_of(&phrasings("it drags")),
            labels: vec![("ragged_tips".to_owned(), true)],
            finding_table: Cow::Owned(vec![1, 2, 3]),
            scope_table: Cow::Owned(vec![4]),
            purpose_table: Cow::Owned(vec![7, 8]),
            placing_table: Cow::Owned(vec![9]),
            naming_table: Cow::Owned(vec![10, 11]),
            danger_table: Cow::Owned(vec![12]),
            ..Fitted::default()
        };
        fitted.lexicon.table = Cow::Owned(vec![5, 6]);
        fitted
    }

    fn phrasings(clause: &str) -> Vec<File> {
        let text = format!("ragged_tips=yes\t{clause}\n");
        vec![File { path: "phrasings/own.tsv".to_owned(), text }]
    }

    #[test]
    fn what_was_kept_is_found_again_for_the_same_phrasings() {
        let place = tempfile::tempdir().expect("a directory");
        let file = place.path().join("learned.bin");
        assert_eq!(Fitted::kept(&file), None, "nothing was kept yet");
        fitted().keep(&file).expect("it can be written");
        let kept = Fitted::kept(&file).expect("whole");
        assert_eq!(kept, fitted());
        assert!(kept.is_of(&phrasings("it drags")) && !kept.is_of(&phrasings("it tears")));
        assert_eq!(fs::read_dir(place.path()).expect("a directory").count(), 1);
    }

    /// A disk that lost a byte or the end of the file.
    #[test]
    fn what_is_not_as_it_was_written_is_not_used() {
        let place = tempfile::tempdir().expect("a directory");
        let file = place.path().join("learned.bin");
        fitted().keep(&file).expect("it can be written");
        let whole = fs::read(&file).expect("it was written");
        for at in 0..whole.len() {
            let mut spoilt = whole.clone();
            spoilt[at] ^= 1;
            fs::write(&file, spoilt).expect("a disk");
            assert_eq!(Fitted::kept(&file), None, "byte {at}");
            fs::write(&file, &whole[..at]).expect("a disk");
            assert_eq!(Fitted::kept(&file), None, "{at} bytes");
        }
    }
}
