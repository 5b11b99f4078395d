//! What is asked of the remedy that was advised: how many clicks, one work or another, will this
//! work or another speed cure it? What the knowledge says of that remedy answers; and which of two
//! parts it is, where the cause that came first is of both.
//! Deliberately absent: how it is done (`of_the_case`), and whether it is safe (`safety`).

use super::asked_of_the_answer::WORDS_MAX;
use super::{Action, Actions, Conversation, say};
use crate::domain::catalogue::{Equipment, Knowledge};
use crate::domain::complaint::in_hundred;
use crate::domain::danger;
use crate::domain::language::text::stem;
use crate::domain::passages::form::Form;
use crate::domain::passages::told::NAMED;
use crate::domain::ruled_out;
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
        let things = asks_if_it_cures(asked).filter(|_| !danger::is_any(knowledge, asked));
        if let Some(things) = things {
            let held = plain_words(&cause.remedy);
            let held: Vec<String> = held.iter().map(|one| stem(one)).collect();
            let does = things.iter().all(|word| held.contains(&stem(word)));
            let other = format!("That is not what is advised. {told}");
            return Some(vec![say(if does { told } else { other })]);
        }
        let both = either_of(asked)?;
        let held = plain_words(&format!("{} {}", cause.remedy, row.title));
        let held: Vec<String> = held.iter().map(|word| stem(word)).collect();
        both.iter().all(|verb| held.contains(&stem(verb))).then(|| vec![say(told)])
    }
}

impl<C: Clone> Conversation<C> {
    /// "Could it be the bedknife or the reel", where the cause that came first is of both: the note
    /// on that cause that names both tells which.
    pub(super) fn which_of_its_parts(
        &self,
        knowledge: &Knowledge,
        kind: Equipment,
        asked: &str,
    ) -> Option<Actions<C>> {
        let (first, chance) = self.last.ranked.first()?;
        let cause = knowledge.cause(kind, first)?;
        let terms = &knowledge.passages().terms;
        let asked = ruled_out::plain(asked).join(" ");
        let (one, other) = asked.split_once(" or ")?;
        let (title, passages) = (terms.of(&cause.title), knowledge.passages());
        let named = |text: &str| {
            let said = terms.of(text).into_iter();
            said.filter(|term| passages.knows(term)).collect::<Vec<String>>()
        };
        let (one, other) = (named(one), named(other));
        let own = |said: &[String]| {
            !said.is_empty() && said.iter().all(|term| title.contains(term))
        };
        if !own(&one) || !own(&other) || one == other {
            return None;
        }
        let line = format!("{}: {}, the most likely so far, and it may be either.", cause.title,
            in_hundred(*chance));
        // Of the notes on it the one whose title says most of its title.
        let shared = |of: &str| terms.of(of).iter().filter(|term| title.contains(term)).count();
        let of_it = knowledge.notes.iter().filter(|note| note.causes.iter().any(|id| id == first));
        let note = of_it.filter(|note| shared(&note.title) > 1);
        let note = note.max_by_key(|note| shared(&note.title));
        let mut actions = vec![say(line)];
        if let Some(note) = note {
            let query = format!("{}{NAMED}{}", note.title, note.title);
            actions.push(Action::Tell { form: Form::Named, query });
        }
        Some(actions)
    }

    /// "What about the roller brush", of a complaint on a reel unit: causes of that other unit show
    /// the same sign, and were not weighed.
    pub(super) fn of_another_kind(
        &self,
        knowledge: &Knowledge,
        kind: Equipment,
        asked: &str,
    ) -> Option<Actions<C>> {
        let terms = &knowledge.passages().terms;
        let said = terms.of(asked);
        // The last word of its name is what it is.
        let named = |other: &&Equipment| {
            let head = other.title().rsplit(' ').next().unwrap_or_default();
            **other != kind && !matches!(other, Equipment::ReelUnit | Equipment::RotaryDeck)
                && match other {
                    Equipment::VerticutReel => said.iter().any(|word| word.starts_with("verticut")),
                    _ => terms.of(head).iter().all(|term| said.contains(term)),
                }
        };
        let other = Equipment::ALL.iter().find(named)?;
        let shows = |id: &str| {
            let rows = knowledge.table.iter();
            let rows = rows.filter(|row| row.equipment == *other && row.cause == id);
            let heard = |finding: &String| self.last.heard.contains(finding);
            rows.filter(|row| heard(&row.finding)).map(|row| row.probability).fold(0.0, f64::max)
        };
        let of_kind = knowledge.causes.iter().filter(|row| row.equipment == *other);
        let mut found: Vec<(f64, &str, &str)> = of_kind
            .map(|row| (shows(&row.id), row.title.as_str(), row.remedy.as_str()))
            .filter(|row| row.0 >= SHOWS)
            .collect();
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let own = other.title();
        if found.is_empty() {
            let line = format!("Nothing that I know of the {own} shows what was heard here.");
            return Some(vec![say(line)]);
        }
        let rows = found.iter().take(SHOWN_MAX);
        let lines = rows.map(|(_, title, remedy)| format!("  {title}: {}", lower_first(remedy)));
        let first = format!("It may be: the chances told are of the {}. Of the {own}, these show it:",
            kind.title());
        Some(vec![Action::Say(std::iter::once(first).chain(lines).collect())])
    }
}

/// A cause shows a sign when it does so in half the cases.
const SHOWS: f64 = 0.5;
/// Causes of another unit that are told.
const SHOWN_MAX: usize = 3;

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

/// "Would a different speed cure it": the things that would, without how they change.
fn asks_if_it_cures(asked: &str) -> Option<Vec<&str>> {
    const ASKS: &[&str] = &["would ", "will ", "could ", "can ", "might ", "do you think "];
    const CURES: &[&str] = &[
        " cure it", " cure that", " fix it", " fix that", " sort it", " sort that", " help", " mend it",
        " stop it", " stop that", " make a difference", " shift it", " help it",
        " get rid of it", " be enough", " clear it", " put it right",
    ];
    const CHANGED: &[&str] = &[
        "a", "an", "the", "different", "another", "other", "new", "more", "less", "changing", "change",
        "in", "of", "just", "bit", "some", "going", "to", "up", "down", "at", "with", "altering", "fresh",
        "it", "that", "this", "them", "i", "we", "you", "if", "be", "they", "he", "those", "on", "ones",
    ];
    let rest = ASKS.iter().find_map(|start| asked.strip_prefix(start))?;
    let thing = CURES.iter().find_map(|end| rest.strip_suffix(end))?;
    let words = thing.split_whitespace().filter(|word| !CHANGED.contains(word));
    let words: Vec<&str> = words.collect();
    (!words.is_empty() && asked.split_whitespace().count() <= WORDS_MAX).then_some(words)
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
        assert_eq!(asks_if_it_cures("would a different speed cure it"), Some(vec!["speed"]));
        assert_eq!(asks_if_it_cures("will changing the clip help"), Some(vec!["clip"]));
        assert_eq!(asks_if_it_cures("will it help"), None);
        assert_eq!(asks_if_it_cures("would a hot bearing look like that"), None);
    }
}
