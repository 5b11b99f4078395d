//! What is asked of the remedy that was advised: how many clicks, one work or another, will this
//! work cure it? What the knowledge says of that remedy answers.
//! Deliberately absent: how it is done (`of_the_case`), and whether it is safe (`safety`).

use super::asked_of_the_answer::WORDS_MAX;
use super::{Actions, Conversation, say};
use crate::domain::catalogue::{Equipment, Knowledge};
use crate::domain::language::text::stem;
use crate::domain::wording::{lower_first, plain_words};

impl<C: Clone> Conversation<C> {
    /// "How many clicks", "dress it or grind it": what the remedy that was advised says of it.
    pub(super) fn of_the_remedy(
        &self,
        knowledge: &Knowledge,
        kind: Equipment,
        asked: &str,
    ) -> Option<Actions<C>> {
        let (likely, _) = self.last.ranked.first()?;
        let cause = knowledge.cause(kind, likely)?;
        let row = knowledge.procedure(&cause.procedure)?;
        let walks = "\"do it\" walks you through it.";
        if asks_how_many(asked) {
            let stepped = row.steps.iter().find(|step| step.title.contains("small steps"))?;
            let line = format!(
                "No fixed number: {}, and look after each. {}: {walks}",
                lower_first(&stepped.title),
                row.title
            );
            return Some(vec![say(line)]);
        }
        let told = format!("If it is \"{}\": {} {walks}", cause.title, lower_first(&cause.remedy));
        if let Some(work) = asks_if_work_cures(asked) {
            let held = plain_words(&cause.remedy);
            let does = held.iter().any(|word| stem(word) == stem(work));
            let other = format!("That is not what is advised. {told}");
            return Some(vec![say(if does { told } else { other })]);
        }
        let both = either_of(asked)?;
        let held = plain_words(&format!("{} {}", cause.remedy, row.title));
        let held: Vec<String> = held.iter().map(|word| stem(word)).collect();
        both.iter().all(|verb| held.contains(&stem(verb))).then(|| vec![say(told)])
    }
}

/// "How many clicks", "how many turns then": how far an adjuster goes, and nothing else named.
fn asks_how_many(asked: &str) -> bool {
    const TURNED: &[&str] =
        &["clicks", "turns", "notches", "flats", "click", "notch", "degrees", "tweaks"];
    const BESIDE: &[&str] = &[
        "how", "many", "do", "i", "we", "need", "is", "it", "that", "go", "give", "should", "about",
        "to", "take", "turn", "back", "off", "in", "out", "of", "the", "screw", "adjuster", "on",
    ];
    let said: Vec<&str> = asked.split_whitespace().collect();
    let known = |word: &&str| TURNED.contains(word) || BESIDE.contains(word);
    asked.starts_with("how many ") && said.iter().any(|word| TURNED.contains(word))
        && said.iter().all(known)
}

/// "Can I lap that out", "will grinding it cure it": the work that is asked about, which hurts nobody
/// by itself.
fn asks_if_work_cures(asked: &str) -> Option<&str> {
    const ASKS: &[&str] = &[
        "can i ", "can we ", "could i ", "could we ", "will ", "would ", "should i ", "do i ",
        "is it worth ", "can you ", "could you ",
    ];
    const WORKS: &[&str] = &[
        "lap", "backlap", "grind", "regrind", "lapping", "backlapping", "grinding", "shim", "shimming",
        "facing", "face",
    ];
    const BESIDE: &[&str] = &[
        "just", "it", "that", "them", "this", "out", "off", "away", "back", "a", "the", "reel", "do",
        "cure", "fix", "sort", "help", "mend", "need", "to", "have", "get", "be", "worth", "good",
    ];
    let rest = ASKS.iter().find_map(|start| asked.strip_prefix(start))?;
    let work = rest.split_whitespace().find(|word| WORKS.contains(word))?;
    let known = rest.split_whitespace().all(|word| WORKS.contains(&word) || BESIDE.contains(&word));
    known.then_some(work.strip_suffix("ping").or(work.strip_suffix("ing")).unwrap_or(work))
}

/// The verbs on both sides of "or", where one work or the other is asked for: "dress it or grind it".
fn either_of(asked: &str) -> Option<[&str; 2]> {
    const BEFORE: &[&str] =
        &["do", "i", "we", "should", "shall", "would", "you", "just", "better", "to", "can", "best"];
    let verb = |text: &'_ str| text.split_whitespace().position(|word| !BEFORE.contains(&word));
    let (first, second) = asked.split_once(" or ")?;
    let one = first.split_whitespace().nth(verb(first)?)?;
    let other = second.split_whitespace().nth(verb(second)?)?;
    (asked.split_whitespace().count() <= WORDS_MAX && one != other).then_some([one, other])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_and_one_work_or_another_are_asked_of_the_remedy() {
        assert!(asks_how_many("how many clicks"));
        assert!(asks_how_many("how many turns do i give it"));
        assert!(!asks_how_many("how many turns on unit 2 last time"));
        assert_eq!(either_of("dress it or grind it"), Some(["dress", "grind"]));
        assert_eq!(either_of("should i lap it or just grind both"), Some(["lap", "grind"]));
        assert_eq!(either_of("is it the bearing"), None);
        assert_eq!(asks_if_work_cures("can i lap that out"), Some("lap"));
        assert_eq!(asks_if_work_cures("will lapping it cure it"), Some("lap"));
        assert_eq!(asks_if_work_cures("can i grind it with the guard off"), None);
    }
}
