//! What the build works out once, kept in one piece: the models fitted to the phrasings and the
//! compiled lexicon, so that a first answer does not wait for them.

use std::borrow::Cow;

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
    pub lexicon: CompiledLexicon,
    /// Names the knowledge this was worked out from.
    pub version: String,
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
const FIT_FORMAT: u32 = 8;

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
        let parts = [&head, self.finding_table.as_ref(), &self.scope_table, &self.lexicon.table];
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
        let (lengths, mut rest) = bytes.split_at_checked(16)?;
        let mut parts = lengths.as_chunks::<4>().0.iter().map(|length| {
            let (part, tail) = rest.split_at_checked(u32::from_le_bytes(*length) as usize)?;
            rest = tail;
            Some(part)
        });
        let mut part = || parts.next().flatten();
        let mut fitted: Fitted = postcard::from_bytes(part()?).ok()?;
        fitted.finding_table = Cow::Borrowed(part()?);
        fitted.scope_table = Cow::Borrowed(part()?);
        fitted.lexicon.table = Cow::Borrowed(part()?);
        Some(fitted)
    }
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
