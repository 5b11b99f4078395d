//! What is asked of the work that was stored a moment ago: "was that overdue", "how long did the old
//! one do"? And what stands behind words that only turn away: "skip that, when was it lapped".
//! Deliberately absent: putting right what was stored (`putting_right`).

use super::{Conversation, in_turn};
use crate::domain::fleet::parts::Family;

/// Whether it was due when it was done.
const WAS_DUE: &[&str] = &[
    "was that overdue", "was it overdue", "were they overdue", "was that due", "was it due",
    "were they due", "was that late", "was it late", "was that early", "was it early",
    "how overdue was", "how late was", "how far over was",
];
/// What came out.
const OLD_ONE: &[&str] = &[
    "old one", "old ones", "last one", "last ones", "one before", "one that came out", "old set",
    "last set", "previous one", "that one",
];
const RAN: &[&str] = &["how many hours", "how many hrs", "how long", "what did", "hours did"];
/// Words that turn away from what was spoken of.
const TURNS_AWAY: &[&str] = &[
    "skip that", "skip it", "leave that", "leave it", "never mind that", "never mind", "forget that",
    "forget it", "anyway", "not that", "different question", "another question", "other question",
    "moving on",
];

impl<C: Clone> Conversation<C> {
    /// The question with the part that was changed in it.
    pub(super) fn of_what_was_stored(&self, words: &str) -> Option<String> {
        self.stored.as_ref()?;
        let lower = words.to_lowercase();
        let lower = lower.trim().trim_start_matches("and ").trim_start_matches("so ");
        let due = WAS_DUE.iter().any(|start| lower.starts_with(start));
        let old = OLD_ONE.iter().any(|one| lower.contains(one))
            && RAN.iter().any(|start| lower.starts_with(start));
        if !(due || old) || lower.split_whitespace().count() > 10 {
            return None;
        }
        let mut said = self.earlier.words.split(|c: char| !c.is_alphanumeric());
        let part = said.find(|word| Family::of(word).is_some())?;
        Some(format!("how long does the {} on it last", part.to_lowercase()))
    }
}

/// What is said behind words that only turn away.
pub(super) fn without_the_turn_away(words: &str) -> Option<&str> {
    let start = TURNS_AWAY.iter().find(|start| {
        words.get(..start.len()).is_some_and(|head| head.eq_ignore_ascii_case(start))
    })?;
    let behind = &words[start.len()..];
    let rest = behind.trim_start_matches([',', '.', ';', ':', '-', ' ']);
    let parted = behind.starts_with([',', '.', ';', ':', '-']);
    // "Forget that, the whole width folds" is taken back, and no question.
    (parted && rest.split_whitespace().count() > 2 && in_turn::asks_within(rest)).then_some(rest)
}

/// "The verticuts, when were they done": the question with what stands before it put in.
pub(super) fn topic_put_in(words: &str) -> Option<String> {
    const ASK: &[&str] = &["when", "who", "how", "what", "did", "has", "have", "was", "were", "is", "are"];
    const FOR: &[&str] = &["they", "it", "them", "that", "those"];
    let (topic, question) = words.split_once(',')?;
    let topic = topic.trim();
    let count = topic.split_whitespace().count();
    let first = topic.split_whitespace().next()?.to_lowercase();
    let mut parts: Vec<&str> = question.split_whitespace().collect();
    let asks = parts.first().is_some_and(|one| ASK.contains(&one.to_lowercase().as_str()));
    let named = matches!(first.as_str(), "the" | "our" | "those" | "these") && (2..=4).contains(&count);
    if !asks || !named {
        return None;
    }
    let at = parts.iter().position(|one| {
        FOR.contains(&one.to_lowercase().trim_end_matches(['?', '.']))
    })?;
    let sign = if parts[at].ends_with('?') { "?" } else { "" };
    parts[at] = topic;
    Some(parts.join(" ") + sign)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_turns_away_is_left_out() {
        let rest = without_the_turn_away("Skip that, when was the belt changed");
        assert_eq!(rest, Some("when was the belt changed"));
        assert_eq!(without_the_turn_away("skip that"), None);
        assert_eq!(without_the_turn_away("leave it on"), None);
        let put_in = topic_put_in("the old brushes, when were they changed?");
        assert_eq!(put_in.as_deref(), Some("when were the old brushes changed?"));
        assert_eq!(topic_put_in("the brush, 20 min"), None);
    }
}
