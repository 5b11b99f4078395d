//! What did somebody else see, and what was done some time ago? "The caretaker says it dropped oil"
//! is told at second hand, and an opinion of what ails is no sign; but oil is seen by anybody, and
//! a leak can hurt whoever looks for it. "We sanded last week" is past, and tells on the edges still.

use super::catalogue::Knowledge;
use super::language::hearing::Hearing;
use super::paper_said;

/// Findings that anybody sees and nobody guesses, and words by which they are reported.
const SEEN: (&[&str], &[&str]) = (
    &["oil_on_unit"],
    &["says", "said", "saying", "thinks", "thought", "reckons", "reckoned", "reports", "claims"],
);
/// Findings of what was done lately, and words that make it past.
const LATELY: (&[&str], &[&str]) =
    (&["after_topdressing"], &["last week", "a week ago", "weeks ago", "a fortnight ago", "last month"]);

/// Adds what others saw, and what was done lately, to what was heard; its place in the words stays.
pub fn add(knowledge: &Knowledge, words: &str, hearing: &mut Hearing) {
    paper_said::add(knowledge, words, hearing);
    for (ids, phrases) in [SEEN, LATELY] {
        let missing = |id: &str| {
            ids.contains(&id) && !hearing.heard.iter().any(|heard| heard.finding == id)
        };
        let Some(plain) = without(words, phrases).filter(|_| ids.iter().any(|id| missing(id)))
        else {
            continue;
        };
        let found = knowledge.ear.hear(&knowledge.ear.read(&plain)).heard;
        let new: Vec<_> =
            found.into_iter().filter(|one| one.present && missing(&one.finding)).collect();
        hearing.heard.extend(new);
        hearing.heard.sort_by(|one, other| one.finding.cmp(&other.finding));
    }
}

/// The words with blanks where the phrases stand; `None` when none does.
fn without(words: &str, phrases: &[&str]) -> Option<String> {
    let mut plain = words.to_owned();
    let lower = words.to_ascii_lowercase();
    let edge = |at: Option<char>| at.is_none_or(|ch| !ch.is_alphanumeric());
    for phrase in phrases {
        for (at, _) in lower.match_indices(phrase) {
            let end = at + phrase.len();
            let before = edge(lower[..at].chars().next_back());
            if before && edge(lower[end..].chars().next()) {
                plain.replace_range(at..end, &" ".repeat(phrase.len()));
            }
        }
    }
    (plain != words).then_some(plain)
}
