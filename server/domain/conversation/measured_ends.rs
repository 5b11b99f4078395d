//! Which step reads what was measured at the ends? "0.15 at the left, 0.05 at the right", in a job whose
//! step asks for no such value now: the step that does, and never a complaint.
//! Deliberately absent: values that the step asks for (`walking`).

use super::words_in_a_job::{BESIDE, place_of, short_label};
use super::{Actions, Conversation, in_turn, say};
use crate::domain::catalogue::{Acceptance, Knowledge, StepReading};
use crate::domain::units::plain;
use crate::domain::walkthrough::reading::{self, Value};
use crate::domain::walkthrough::{Move, spoken};

/// Units that may stand behind a number.
const UNITS: &[&str] = &["mm", "in", "inch", "inches", "thou", "hand", "reads", "reading"];
/// Values of one sentence.
const VALUES_MAX: usize = 4;

impl<C: Clone> Conversation<C> {
    pub(super) fn measured_at_ends(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let values = at_ends(words)?;
        let view = self.walking.as_ref()?.walk.view(knowledge)?;
        let numbers = |asked: &StepReading| matches!(asked.accept, Acceptance::Range { .. });
        if view.open && view.asked.is_some_and(numbers) {
            return None;
        }
        let here = view.step.readings.iter().any(numbers);
        if !view.open && here {
            // Refused with the reason: the cautions come first.
            return Some(self.make(knowledge, &Move::Done));
        }
        let fits = |asked: &StepReading, value: f64| {
            numbers(asked) && reading::fits(asked, &Value::Number(value)).is_ok()
        };
        let sided = place_of(&view, |asked| {
            spoken::label_side(&asked.label).is_some() && fits(asked, values[0])
        });
        let apart = match values.as_slice() {
            [one, other] => Some((one - other).abs()),
            _ => None,
        };
        let differs = apart.and_then(|apart| {
            place_of(&view, |asked| {
                asked.label.to_lowercase().contains("difference") && fits(asked, apart)
            })
        });
        let mut line = apart.map_or_else(String::new, |apart| {
            format!("They are {} apart. ", plain((apart * 1e4).round() / 1e4))
        });
        match sided.or(differs) {
            Some((number, asked)) => line.push_str(&format!(
                "Step {number} reads that: \"{}\". Nothing is noted of it yet; say it there.",
                short_label(asked)
            )),
            None => line.push_str("No step of this job reads such a value; nothing was noted."),
        }
        let stand = format!("You are at step {} of {}.", view.number, view.procedure.title);
        Some(vec![say(line), say(stand)])
    }
}

/// The values, where the words are nothing but numbers with their ends.
fn at_ends(words: &str) -> Option<Vec<f64>> {
    if in_turn::asks(words) {
        return None;
    }
    let lower = words.to_lowercase();
    let mut values = Vec::new();
    let mut sides = 0;
    let parts = lower.split([' ', ',', ';', ':', '/']).map(|word| word.trim_end_matches('.'));
    for word in parts.filter(|word| !word.is_empty()) {
        let number = word.trim_end_matches("mm");
        if number.starts_with(|ch: char| ch.is_ascii_digit() || ch == '.') {
            values.push(number.parse::<f64>().ok()?);
        } else if spoken::side_said(word).is_some() {
            sides += 1;
        } else if !BESIDE.contains(&word) && !UNITS.contains(&word) {
            return None;
        }
    }
    let some = !values.is_empty() && values.len() <= VALUES_MAX && sides >= values.len();
    some.then_some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_with_their_ends_and_nothing_else() {
        for (words, values) in [
            ("0.15 at the left, 0.05 at the right", Some(vec![0.15, 0.05])),
            ("left 0.2 right 0.1mm", Some(vec![0.2, 0.1])),
            ("left is .1", Some(vec![0.1])),
            ("3 turns at the left", None),
            ("0.15 and 0.05", None),
            ("is 0.15 at the left ok", None),
        ] {
            assert_eq!(at_ends(words), values, "{words}");
        }
    }
}
