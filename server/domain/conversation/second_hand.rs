//! What did somebody do whose work another tells: "the apprentice tells me he ground it last week",
//! "Alan says he changed it again on Friday"? The words as he would have told them.
//! Deliberately absent: complaints at second hand, which are heard as they stand.

use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::deeds::DEEDS;

const TELLS: &[&str] = &[
    "tells", "told", "says", "said", "reckons", "reports", "reported", "mentioned", "mentions", "thinks",
];
const SMALL: &[&str] = &["me", "us", "that", "he", "she", "they", "has", "have", "had", "just", "also", "only"];
/// Somebody is named in no more words.
const NAME_WORDS_MAX: usize = 4;

/// The question of another as he asks it; other words as they are. What is dangerous stays whole,
/// and so does what tells of a fault before the question.
pub(super) fn as_asked<'a>(knowledge: &Knowledge, words: &'a str) -> &'a str {
    let Some(question) = asked_by(words) else { return words };
    let ear = &knowledge.ear;
    let lead = &words[..words.len() - question.len()];
    let danger = danger::heard(knowledge, &ear.read(words));
    // Who asks why asks no leave.
    let leave = (danger.leave.is_some() || danger.sound.is_some()) && !question.starts_with("why ");
    let dangerous = danger.emergency.is_some() || danger.stop.is_some() || leave;
    let sign = |section: usize| ear.findings.contains_key(&ear.lexicon.sections[section]);
    let signs = ear.read(lead).matches.iter().any(|found| sign(found.section));
    let tells = lead.contains([',', '.', ';', '!']) || signs;
    if dangerous || tells { words } else { question }
}

/// "Apprentice wants to know why we don't just run it tight": the question, without who asks it.
fn asked_by(words: &str) -> Option<&str> {
    const ASKS: &[&str] = &[
        " wants to know ", " want to know ", " wanted to know ", " would like to know ", " was asking me ",
        " is asking me ", " keeps asking me ", " keeps asking ", " was asking ", " is asking ", " asked me ",
        " asks me ", " wonders ", " was wondering ", " is wondering ",
    ];
    const QUESTION: &[&str] =
        &["why ", "how ", "what ", "whats ", "what's ", "when ", "which ", "can ", "should ", "does ", "do "];
    let lower = words.to_lowercase();
    // Letters that change their length in small letters move the places.
    let same = lower.len() == words.len();
    // Of those that begin there the longest: "keeps asking me".
    let found = ASKS.iter().filter_map(|part| Some((lower.find(part)?, part)));
    let (at, part) = found.min_by_key(|(at, part)| (*at, usize::MAX - part.len()))?;
    let named = words.get(..at)?.split_whitespace().count() <= NAME_WORDS_MAX;
    let question = words.get(at + part.len()..)?;
    let asks = QUESTION.iter().any(|start| lower[at + part.len()..].starts_with(start));
    (same && named && asks).then_some(question)
}

/// The words without who told them.
pub(super) fn told_by(words: &str) -> Option<String> {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let bare = |at: usize| parts.get(at).map(|word| word.trim_matches([',', '.']).to_lowercase());
    let is = |at: usize, list: &[&str]| bare(at).is_some_and(|word| list.contains(&word.as_str()));
    if words.trim_end().ends_with('?') {
        return None;
    }
    let at = (1..parts.len().min(NAME_WORDS_MAX + 1)).find(|at| is(*at, TELLS))?;
    let mut next = at + 1;
    let mut named = false;
    while is(next, SMALL) {
        named |= is(next, &["he", "she", "they"]);
        next += 1;
    }
    let did = is(next, DEEDS) && named;
    let asks = is(0, &["who", "what", "when", "which", "how", "why", "where", "i", "we", "it", "he", "she", "they"]);
    if !did || asks {
        return None;
    }
    let first = usize::from(is(0, &["my", "our"]));
    let the = if first == 1 { "the " } else { "" };
    Some(format!("{the}{} {}", parts[first..at].join(" "), parts[next..].join(" ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_of_another_is_asked_as_his() {
        for (words, wanted) in [
            ("apprentice wants to know why we lap", Some("why we lap")),
            ("The new lad keeps asking me what a land is", Some("what a land is")),
            ("the boss wants to know it by Friday", None),
            ("why does he want to know", None),
        ] {
            assert_eq!(asked_by(words), wanted, "{words}");
        }
    }

    #[test]
    fn work_told_by_another_is_told_as_his() {
        for (words, wanted) in [
            ("My apprentice tells me he ground the reel last week", Some("the apprentice ground the reel last week")),
            ("Pat says he changed it again on Friday.", Some("Pat changed it again on Friday.")),
            ("the lad told me that he has just greased it", Some("the lad greased it")),
            ("the lad says it is streaking", None),
            ("who said he changed it", None),
            ("Pat says he changed it?", None),
        ] {
            assert_eq!(told_by(words).as_deref(), wanted, "{words}");
        }
    }
}
