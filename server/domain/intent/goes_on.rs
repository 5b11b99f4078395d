//! What goes on with a question to the records in a few words: what of it keeps coming back, and
//! the same of somebody else.
//! Deliberately absent: other machines, days and sides of it (`again`).

use super::again::Before;
use super::asked_shape::Shape;
use super::fleet::{Asked, Part};
use super::{Interpretation, Reader};

impl Reader<'_> {
    /// What keeps coming back of what was asked about.
    pub(super) fn back_of(&self, before: &Before, shape: &Shape) -> Interpretation {
        let asked = match before {
            Before::Whole(asked) => Asked { part: Part::Faults, ..asked.clone() },
            Before::Single(past) => Asked {
                part: Part::Faults,
                subject: past.subjects.first().cloned(),
                others: past.subjects.iter().skip(1).cloned().collect(),
                machine: None,
                start: past.start.clone(),
                end: past.end.clone(),
                within_h: None,
                words: String::new(),
            },
        };
        self.told_whole(asked, shape.periods.first())
    }

    /// "And Kev", after what somebody did: another, whom the shop may not know.
    pub(super) fn other_person(&self, before: &Before) -> Option<(usize, String)> {
        let Before::Single(past) = before else { return None };
        let [first, name] = &self.spoken.words[..] else { return None };
        let known = &self.knowledge.ear;
        let word = |text: &str| {
            let letters = text.len() > 2 && text.chars().all(char::is_alphabetic);
            letters && !known.small_words.contains(text)
                && self.trade_of(text).is_empty()
        };
        let and = matches!(first.text.as_str(), "and" | "or") && !past.people.is_empty();
        let names = !self.heard.named.spans().is_empty();
        let at = self.spoken.tokens.iter().position(|token| token.text == name.text)?;
        (and && !names && word(&name.text)).then(|| (at, name.text.clone()))
    }
}
