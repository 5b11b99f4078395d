//! What does a complaint end in that asks only for the next step: "so where do I send him next", "which
//! do I check first"? That is what an answer to a complaint tells anyway, and changes no complaint into
//! a question to the records.
//! Deliberately absent: questions that name a part, a time or some work (`asked_first`).

use super::kind::CommandKind;
use super::{Interpretation, Question, interpret};
use crate::domain::catalogue::Knowledge;
use crate::domain::wording::plain;

/// A complaint before it has so many words.
const COMPLAINT_WORDS_MIN: usize = 3;
/// A tail is not longer.
const TAIL_WORDS_MAX: usize = 10;
const LINKS: &[&str] = &["so", "and", "now", "then", "but", "ok", "okay", "anyway"];
const ASKS: &[&str] = &["what", "whats", "which", "where", "wheres"];
/// One of them is asked for (common practice, no source).
const STEPS: &[&str] = &[
    "next", "first", "now", "start", "begin", "check", "look", "looking", "try", "send", "likely", "causing", "cause",
];
/// And nothing but these stands beside it.
#[rustfmt::skip]
const BESIDE: &[&str] = &[
    "is", "are", "the", "do", "does", "should", "would", "shall", "can", "could", "to", "i", "we", "he",
    "she", "they", "you", "u", "it", "him", "her", "them", "me", "us", "go", "tell", "show", "test",
    "at", "thing", "things", "place", "places", "of", "one", "most", "be", "my", "checking", "for", "with",
    "please", "mate", "lads", "lad", "apprentice", "say", "reckon", "think", "suggest", "this", "that",
];

/// The complaint before such a tail.
pub fn complaint_before(knowledge: &Knowledge, question: &Question) -> Option<Interpretation> {
    let text = without(question.text)?;
    let body = interpret(knowledge, &Question { text, ..question.clone() });
    (body.kind == CommandKind::Diagnose).then_some(body)
}

/// The words without such a tail; `None` when there is none.
fn without(text: &str) -> Option<&str> {
    let said = |part: &str| -> Vec<String> {
        let plain = plain(part);
        plain.split_whitespace().map(bare).filter(|word| !word.is_empty()).collect()
    };
    let mut found = None;
    for (at, _) in text.rmatch_indices(char::is_whitespace) {
        let tail = said(&text[at..]);
        if tail.len() > TAIL_WORDS_MAX {
            break;
        }
        let links = tail.iter().take_while(|word| LINKS.contains(&word.as_str())).count();
        let rest = &tail[links..];
        let asks = rest.first().is_some_and(|first| ASKS.contains(&first.as_str()));
        let is = |list: &[&str], word: &String| list.contains(&word.as_str());
        let known = rest.iter().skip(1).all(|word| is(STEPS, word) || is(BESIDE, word));
        let step = rest.iter().any(|word| is(STEPS, word));
        let before = text[..at].trim_end();
        let parted = links > 0 || before.ends_with([',', '.', ';', '-', '?', '!', ':']);
        if asks && known && step && parted {
            found = Some(before.trim_end_matches([',', ';', '-', ':', ' ']));
        }
    }
    found.filter(|body| body.split_whitespace().count() >= COMPLAINT_WORDS_MIN)
}

fn bare(word: &str) -> String {
    word.chars().filter(|ch| ch.is_alphanumeric()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tail_asks_only_for_the_next_step() {
        for (text, wanted) in [
            ("unit 2 tears at the right, so where do I send him next?", Some("unit 2 tears at the right")),
            ("it leaves a line, which do I check first", Some("it leaves a line")),
            ("reel squeals on unit 1. what should I look at first?", Some("reel squeals on unit 1.")),
            ("greens are white at the tips so what do we try now", Some("greens are white at the tips")),
            ("it leaves a line, what's the most likely cause?", Some("it leaves a line")),
            ("it leaves a line, what cured it last time", None),
            ("it leaves a line, which bearing do I change first", None),
            ("it leaves a line, can we carry on", None),
            ("what should I check first", None),
            ("the reel is hot, where do I put my hand", None),
        ] {
            assert_eq!(without(text), wanted, "{text}");
        }
    }
}
