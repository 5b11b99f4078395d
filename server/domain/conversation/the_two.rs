//! Which two machines are meant by "which of the two": the two that were spoken of last.
//! Deliberately absent: a machine that is named, and "it" (`intent`).

use super::Conversation;

/// How two are pointed at.
const TWO: &[&str] =
    &["of the two", "of them two", "of those two", "of these two", "of the pair", "of them both", "of these 2", "of the 2", "of those 2", "of them 2", "the two of them"];
/// What is counted by two and is no machine.
const OTHER_TWO: &[&str] = &[
    "weeks", "week", "days", "day", "months", "month", "hours", "years", "units", "unit", "reels", "reel", "cylinders",
    "heads", "blades", "knives", "bedknives", "rollers", "decks", "ends", "sides", "greens", "jobs", "grinds",
];
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
        let (start, end) = TWO.iter().find_map(|sign| place_of(&lower, sign))?;
        let [one, other] = &self.machines_said[..] else { return None };
        let rest = words.trim().trim_end_matches(['?', '.', '!']);
        let named = lower.contains(one.as_str()) || lower.contains(other.as_str());
        let which = lower.contains("which");
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

/// Where two machines are pointed at by whole words: none in "of the 24 units", "of the 2 weeks".
fn place_of(lower: &str, sign: &str) -> Option<(usize, usize)> {
    let whole = |at: usize| {
        let (before, behind) = (&lower[..at], &lower[at + sign.len()..]);
        let letter = |ch: char| ch.is_alphanumeric();
        let inside = before.ends_with(letter) || behind.starts_with(letter);
        let next = behind.split(|ch: char| !ch.is_alphanumeric()).find(|word| !word.is_empty());
        !inside && !next.is_some_and(|word| OTHER_TWO.contains(&word))
    };
    let at = lower.match_indices(sign).map(|(at, _)| at).find(|at| whole(*at))?;
    Some((at, at + sign.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_machines_are_pointed_at_by_whole_words() {
        for (words, wanted) in [
            ("which of the two broke down more", true),
            ("which of the 2 needs grinding first", true),
            ("what is due on both of the two machines", true),
            ("which of the 24 units was ground last", false),
            ("what's due on the 2nd of the 2 weeks", false),
            ("which of the two reels is smaller", false),
        ] {
            assert_eq!(TWO.iter().any(|sign| place_of(words, sign).is_some()), wanted, "{words}");
        }
    }
}
