//! Which words name a kind of work, and how do the records write it? "Ground" is a grind, "swapped" a
//! part replaced. Words of the trade, common practice, no source.
//! Deliberately absent: names of one thing that are alike in every search (`search_synonyms.csv`).

use super::deeds::Deed;
use crate::domain::catalogue::Knowledge;
use crate::domain::fleet::parts::Family;
use crate::domain::language::text::stem;
use crate::domain::records::RecordKind;
use crate::domain::records::choices::Choice as _;

/// Stems of the words; terms of records any of which will do, when something is looked up; and the
/// kind of work that counts. `kind:` terms are those of [`kind_term`].
const WORK: &[(&[&str], &[&str], Option<Deed>)] = &[
    (
        &["lap", "lapp", "backlap", "backlapp"],
        &["backlap"],
        Some(Deed::Backlap),
    ),
    (
        &["ground", "grind", "grinds", "grinding", "reground", "regrind", "grinded", "grinder"],
        &["grind"],
        Some(Deed::Grind),
    ),
    (&["spun", "spin"], &["spin"], Some(Deed::SpinGrind)),
    (&["relief", "reliev"], &["relief"], Some(Deed::ReliefGrind)),
    (&["sharpen"], &["kind:sharpening"], Some(Deed::Sharpen)),
    (&["dress"], &["dress", "kind:sharpening"], Some(Deed::HandDress)),
    // A brake is read by how soon the blades stop.
    (&["brake", "brak", "stopp", "stopping"], &["stop"], None),
    // Words that name a thing as often as work count as neither.
    (&["edg"], &["kind:sharpening"], None),
    (&["file", "stone", "filed"], &["dress", "kind:sharpening"], None),
    (
        &["chang", "change", "replac", "replace", "fit", "fitt", "swap", "swapp", "renew",
            "instal", "install", "part", "parts", "spare", "new", "renewal", "replacement", "repl", "exchang"],
        &["kind:part_replaced", "part"],
        Some(Deed::Change),
    ),
    (
        &["adjust", "adj", "reset", "retension", "tweak", "adjustment"],
        &["kind:adjustment"],
        Some(Deed::Adjust),
    ),
    (
        &["inspect", "inspection", "walkround"],
        &["kind:inspection"],
        Some(Deed::Inspect),
    ),
    (
        &["check", "checked", "looked"],
        &["kind:inspection", "kind:height_reading"],
        Some(Deed::Look),
    ),
    (
        &["measur", "read", "reading", "gaug"],
        &["kind:height_reading", "kind:inspection"],
        Some(Deed::Look),
    ),
    (
        &["fault", "problem", "troubl", "trouble", "breakdown", "broke", "break", "broken", "failur", "failure", "wrong"],
        &["kind:fault_fixed"],
        Some(Deed::Fault),
    ),
    (&["greas", "greased", "grease", "lubricat", "oiled"], &["greas"], None),
    (&["servic", "serviced", "overhaul", "overhauled"], &[], Some(Deed::Work)),
    (&["done"], &[], Some(Deed::Edge)),
    (&["touch", "touched", "attention"], &[], Some(Deed::Any)),
    (
        &["mend", "repair", "fix", "fixe", "cure", "cured"],
        &["kind:fault_fixed"],
        Some(Deed::Cure),
    ),
];

/// The term under which records of a kind are found.
pub fn kind_term(kind: RecordKind) -> String {
    format!("kind:{}", kind.id())
}

/// The term of records that say a part was replaced.
pub const PART: &str = "part";

/// The work that a word names, as it is written.
pub fn work(word: &str) -> Option<(&'static [&'static str], Option<Deed>)> {
    let lower = word.to_lowercase();
    work_terms(&lower).or_else(|| work_terms(&stem(&lower)))
}

/// Whether a word names work or a part, or stands in the name of a cause, sign or job.
pub fn is_of_the_trade(knowledge: &Knowledge, word: &str) -> bool {
    work(word).is_some()
        || Family::of(word).is_some()
        || knowledge.title_stems().contains(&stem(&word.to_lowercase()))
}

/// How records write the work that a word names, and which work it is.
fn work_terms(stem: &str) -> Option<(&'static [&'static str], Option<Deed>)> {
    let row = WORK.iter().find(|(words, ..)| words.contains(&stem));
    row.map(|(_, terms, deed)| (*terms, *deed))
}
