//! Which two machines are meant by "which of the two": the two that were spoken of last.
//! Deliberately absent: a machine that is named, and "it" (`intent`).

use super::Conversation;

/// How two are pointed at.
const TWO: &[&str] =
    &["of the two", "of them two", "of those two", "of these two", "of the pair", "of them both", "of these 2", "of the 2", "of those 2", "of them 2", "the two of them"];
/// More words name what they ask of.
const BARE_MAX: usize = 7;
/// Two are kept.
const KEPT: usize = 2;

impl<C: Clone> Conversation<C> {
    /// Keeps the machine of a name, the latest last.
    pub(super) fn note_machine(&mut self, subject: &str) {
        let Some((_, machine)) = subject.split_once("machines/") else { return };
        let machine = machine.split('/').next().unwrap_or_default().replace('-', " ");
        self.machines_said.retain(|known| *known != machine);
        self.machines_said.push(machine);
        let more = self.machines_said.len().saturating_sub(KEPT);
        self.machines_said.drain(..more);
    }

    /// The words with the two machines in them: "which of the two broke down more".
    pub(super) fn with_the_two(&self, words: &str) -> Option<String> {
        let lower = words.to_lowercase();
        if let Some(whole) = self.which_of_both_first(&lower) {
            return Some(whole);
        }
        let sign = TWO.iter().find(|sign| lower.contains(**sign))?;
        let [one, other] = &self.machines_said[..] else { return None };
        let rest = words.trim().trim_end_matches(['?', '.', '!']);
        let named = lower.contains(one.as_str()) || lower.contains(other.as_str());
        let which = lower.contains("which");
        let start = lower.find(sign)?;
        let end = start + sign.len();
        let (before, behind) = (rest.get(..start)?, rest.get(end..)?);
        let noun = if which { "machine" } else { "of them" };
        (!named).then(|| format!("{before}{noun}{behind}, the {one} or the {other}?"))
    }

    /// "Which needs grinding first", after the same was asked of two machines.
    fn which_of_both_first(&self, lower: &str) -> Option<String> {
        let [one, other] = &self.machines_said[..] else { return None };
        let said = lower.split(|ch: char| !ch.is_alphanumeric());
        let said: Vec<&str> = said.filter(|word| !word.is_empty()).collect();
        let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
        let lead = said.iter().take_while(|word| matches!(**word, "so" | "and" | "then" | "ok" | "which" | "one")).count();
        let which = said.iter().take(lead).any(|word| *word == "which");
        let verb = said.get(lead).is_some_and(|word| {
            matches!(*word, "needs" | "need" | "is" | "wants" | "gets" | "comes" | "will" | "should" | "do" | "must")
        });
        let few = said.len() <= BARE_MAX && has(&["first", "sooner", "soonest", "earlier"]);
        let records = self.context.question.is_some();
        let rest = said.get(lead..)?.join(" ");
        (which && verb && few && records).then(|| format!("which machine {rest}, the {one} or the {other}?"))
    }
}
