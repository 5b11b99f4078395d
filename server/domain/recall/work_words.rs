//! Which words name a kind of work, and how do the records write it? "Ground" is a grind, "swapped" a
//! part replaced. Words of the trade, common practice, no source.
//! Deliberately absent: names of one thing that are alike in every search (`search_synonyms.csv`).

use crate::domain::records::RecordKind;
use crate::domain::records::choices::Choice as _;

/// Stems of the words, and the terms of records any of which will do. `kind:` terms are those of
/// [`kind_term`].
const WORK: &[(&[&str], &[&str])] = &[
    (&["ground", "grind", "reground", "regrind", "grinded"], &["grind"]),
    (&["spun", "spin"], &["spin"]),
    (&["sharpen", "edg"], &["kind:sharpening"]),
    (&["dress", "file", "stone", "filed"], &["dress", "kind:sharpening"]),
    (
        &["chang", "replac", "fit", "fitt", "swap", "swapp", "renew", "mount", "issu", "instal",
            "install", "new", "renewal", "replacement", "repl", "exchang"],
        &["kind:part_replaced", "part"],
    ),
    (&["adjust", "adj", "reset", "retension", "tweak", "adjustment"], &["kind:adjustment"]),
    (&["inspect", "inspection", "check", "walkround"], &["kind:inspection", "kind:height_reading"]),
    (&["measur", "read", "reading", "gaug"], &["kind:height_reading", "kind:inspection"]),
    (&["fault", "problem", "troubl", "breakdown", "broke", "failur", "wrong", "mend", "repair",
        "fix", "cure", "cured"], &["kind:fault_fixed"]),
];

/// The term under which records of a kind are found.
pub fn kind_term(kind: RecordKind) -> String {
    format!("kind:{}", kind.id())
}

/// The term of records that say a part was replaced.
pub const PART: &str = "part";

/// How records write the work that a word names.
pub fn work_terms(stem: &str) -> Option<&'static [&'static str]> {
    WORK.iter().find(|(words, _)| words.contains(&stem)).map(|(_, terms)| *terms)
}
