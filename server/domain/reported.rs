//! What did somebody else see? "The caretaker says it dropped oil" is told at second hand, and an opinion
//! of what ails is no sign; but oil is seen by anybody, and a leak can hurt whoever looks for it.

use super::catalogue::Knowledge;
use super::language::hearing::Hearing;

/// Findings that anybody sees and nobody guesses.
const SEEN: &[&str] = &["oil_on_unit"];
/// Words by which it is reported.
const REPORTS: &[&str] =
    &["says", "said", "saying", "thinks", "thought", "reckons", "reckoned", "reports", "claims"];

/// Adds what others saw to what was heard; its place in the words stays.
pub fn add(knowledge: &Knowledge, words: &str, hearing: &mut Hearing) {
    let new = |id: &str| !hearing.heard.iter().any(|heard| heard.finding == id);
    if !SEEN.iter().any(|id| new(id)) {
        return;
    }
    let mut plain = String::with_capacity(words.len());
    for part in words.split_inclusive(|ch: char| !ch.is_alphanumeric()) {
        let word = part.trim_end_matches(|ch: char| !ch.is_alphanumeric());
        match REPORTS.contains(&word.to_lowercase().as_str()) {
            true => plain.extend(std::iter::repeat_n(' ', part.len())),
            false => plain.push_str(part),
        }
    }
    if plain == words {
        return;
    }
    let seen = knowledge.ear.hear(&knowledge.ear.read(&plain)).heard;
    let seen: Vec<_> = seen
        .into_iter()
        .filter(|heard| heard.present && SEEN.contains(&heard.finding.as_str()))
        .filter(|heard| new(&heard.finding))
        .collect();
    hearing.heard.extend(seen);
}
