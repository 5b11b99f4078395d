//! What was learned from the phrasings, kept in one piece so that it need not be fitted at start.

use super::{File, files_in, fnv1a};

/// Models fitted to `phrasings/`, and the words that occur there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fitted {
    /// Names the phrasings and the fitting code that this came from.
    pub stamp: String,
    /// The columns of the finding model: finding and whether present.
    pub labels: Vec<(String, bool)>,
    /// Stems that occur in the phrasings.
    pub vocabulary: Vec<String>,
    pub finding_table: Vec<u8>,
    pub scope_table: Vec<u8>,
}

/// Raised when the fitting changes, so that older tables are not taken for its own.
const FIT_FORMAT: u32 = 2;

/// The stamp that a fit to these files bears.
pub fn stamp_of(files: &[File]) -> String {
    let texts = files_in(files, "phrasings/", ".tsv").flat_map(|file| file.text.bytes());
    format!("{FIT_FORMAT}-{:016x}", fnv1a(texts))
}

impl Fitted {
    pub fn to_bytes(&self) -> Vec<u8> {
        let labels: Vec<String> = self
            .labels
            .iter()
            .map(|(finding, present)| format!("{finding}={}", if *present { "yes" } else { "no" }))
            .collect();
        let head = format!(
            "{}\n{}\n{}\n{}\n",
            self.stamp,
            labels.join(" "),
            self.vocabulary.join(" "),
            self.finding_table.len()
        );
        [head.as_bytes(), &self.finding_table, &self.scope_table].concat()
    }

    /// `None` when the bytes are not such a file.
    pub fn from_bytes(bytes: &[u8]) -> Option<Fitted> {
        let mut rest = bytes;
        let mut line = || {
            let end = rest.iter().position(|byte| *byte == b'\n')?;
            let (line, tail) = rest.split_at(end);
            rest = &tail[1..];
            std::str::from_utf8(line).ok()
        };
        let stamp = line()?.to_owned();
        let labels = line()?.split_whitespace().map(label).collect::<Option<_>>()?;
        let vocabulary = line()?.split_whitespace().map(str::to_owned).collect();
        let length: usize = line()?.parse().ok()?;
        let (finding_table, scope_table) = rest.split_at_checked(length)?;
        let (finding_table, scope_table) = (finding_table.to_vec(), scope_table.to_vec());
        Some(Fitted { stamp, labels, vocabulary, finding_table, scope_table })
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
