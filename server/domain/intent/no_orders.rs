//! What is never work of the shop: parts to be ordered, and somebody who was hurt? Nothing is
//! ordered here, and no accident book is kept; either is said, and nothing is offered as a record.
//! Deliberately absent: what to order, which the figures of wear tell (`fleet`).

use super::kind::CommandKind;
use super::{Interpretation, Reader};

const NO_ORDERS: &str = "I order nothing and keep no orders. \"What wears out next\" tells what to order, \
    and once a part is on, say so and it is recorded.";
const NO_ACCIDENT_BOOK: &str = "Yes, write it down today, but I keep no accident book: put it in yours, \
    with who, when, which machine, what was switched on and what was done for the person, and tell \
    whoever is responsible for safety. Nothing is recorded here.";
const ORDERS: &[&str] = &["order", "reorder", "buy", "purchase", "ordered", "ordering", "bought", "buying"];
/// Before what is ordered.
const BEFORE: &[&str] = &[
    "please", "can", "could", "will", "would", "you", "we", "i", "need", "to", "want", "just", "get", "ok", "and",
    "also", "better", "must", "should", "lets", "let", "us", "have", "put", "an", "in", "for", "gonna", "going",
    "on", "me", "place", "make", "d", "like", "'", "ve", "got", "so", "right",
];
const HURT: &[&str] = &["injured", "injury", "hurt", "accident", "cut his", "cut her", "cut their", "near miss", "first aid"];
const WRITTEN: &[&str] = &["log", "record", "write", "written", "note", "put down", "book", "enter"];

/// Whether a sentence is what is told of either.
pub fn is_told(sentence: &str) -> bool {
    sentence == NO_ORDERS || sentence == NO_ACCIDENT_BOOK
}

impl Reader<'_> {
    /// What is told of that, when the words are of it.
    pub(super) fn no_work_of_ours(&self) -> Option<Interpretation> {
        let words = &self.spoken.words;
        let first = words.iter().map(|word| word.text.as_str()).find(|word| !BEFORE.contains(word));
        let asks = words.first().is_some_and(|word| {
            matches!(word.text.as_str(), "what" | "which" | "when" | "how" | "did" | "have" | "has" | "do" | "who" | "should")
        });
        let orders = first.is_some_and(|word| ORDERS.contains(&word)) && !asks;
        // "Put it back in order".
        let last = words.last().is_some_and(|word| ORDERS.contains(&word.text.as_str()));
        if orders && (!last || words.len() == 1) {
            return Some(self.told_as(NO_ORDERS));
        }
        let lower = self.question.text.to_lowercase();
        let says = |signs: &[&str]| signs.iter().any(|sign| lower.contains(sign));
        let somebody = says(&["student", "lad", "apprentice", "operator", "somebody", "someone", "he ", "she ", "him",
            "man", "driver", "finger", "hand", "trainee", "learner", "i ", "accident", "near miss"]);
        (says(HURT) && says(WRITTEN) && somebody).then(|| self.told_as(NO_ACCIDENT_BOOK))
    }

    fn told_as(&self, text: &str) -> Interpretation {
        Interpretation { understood: text.to_owned(), ..self.nothing(CommandKind::OutOfScope) }
    }
}
