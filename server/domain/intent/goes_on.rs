//! What goes on with a question to the records in a few words: what of it keeps coming back, the
//! same of somebody else, and how much of it was of one machine.
//! Deliberately absent: other machines, days and sides of it (`again`).

use super::asked_first::is_time;
use super::again::{Before, POINTS};
use super::asked_shape::Shape;
use super::fleet::{Asked, Part};
use super::{Interpretation, Reader};
use crate::domain::said::said_units::any_said_at;

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

    /// "How much of that was the fairway five" tells nothing, and asks of what was told.
    pub(super) fn asks_a_share(&self) -> bool {
        let of = any_said_at(&self.spoken.tokens, 0, &["how much of", "how many of"]).is_some();
        of && self.points(POINTS) && self.question.asked.is_some()
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
        (and && !names && word(&name.text) && !is_time(&name.text)).then(|| (at, name.text.clone()))
    }
}
