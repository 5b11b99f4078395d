//! Which two machines are meant by "which of the two": the two that were spoken of last.
//! Deliberately absent: a machine that is named, and "it" (`intent`).

use super::Conversation;

/// How two are pointed at.
const TWO: &[&str] =
    &["of the two", "of them two", "of those two", "of these two", "of the pair", "of them both", "the two of them"];
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
}
