//! Is a record taken back by what it is, with why or with what was meant: "undo that, I meant 3.6",
//! "delete that reading, they used the wrong bar", "undo the Dave one"?
//! Deliberately absent: "undo" alone, which is an act of the conversation.

use super::follow_up::{FollowUp, follow_up};
use super::put_in_place::put_in;
use super::{Actions, Conversation, Knowledge};

const VERBS: &[&str] = &["undo", "delete", "remove", "withdraw", "take back", "scrap", "bin", "get rid of", "cancel", "strike out"];
/// What is taken back.
const NOUNS: &[&str] = &["that", "it", "record", "reading", "entry", "one", "note", "this", "last", "them", "those", "job", "records", "readings"];
/// More words tell something else.
const NAME_WORDS_MAX: usize = 5;

impl<C: Clone> Conversation<C> {
    /// What takes back, or puts right, the record that was stored last.
    pub(super) fn taken_back(&mut self, knowledge: &Knowledge, words: &str) -> Option<Actions<C>> {
        let (name, rest) = takes_back(words)?;
        let stored = self.stored.as_ref()?;
        let of = stored.earlier().clone();
        let lower = format!("{} {}", of.words, stored.understood).to_lowercase();
        let small = |word: &str| NOUNS.contains(&word) || matches!(word, "the" | "my" | "our" | "just" | "we" | "i" | "stored");
        let mut names = name.split_whitespace().filter(|word| !small(word));
        let named = names.all(|word| lower.contains(word));
        if !named || self.walking.is_some() {
            return None;
        }
        let meant = (!rest.is_empty()).then(|| {
            let text = format!("no, {rest}");
            let lean = match follow_up(&text, &of, true) {
                Some(FollowUp::Words(words)) => Some(words),
                _ => None,
            };
            put_in(&text, &of, "").or(lean)
        });
        // What stands open is of something else.
        if let Some(open) = self.proposal.take() {
            self.held.push(open);
        }
        match meant.flatten() {
            Some(whole) => {
                self.stored_again(&of);
                self.turn.amends = true;
                Some(self.leaning(knowledge, FollowUp::Words(whole)))
            }
            None => Some(self.undo()),
        }
    }
}

/// What is taken back by its name, and what is said behind it.
fn takes_back(words: &str) -> Option<(String, &str)> {
    let lower = words.to_lowercase();
    let start = VERBS.iter().filter(|verb| lower.starts_with(&format!("{verb} "))).max_by_key(|verb| verb.len())?;
    let behind = words.get(start.len()..)?.trim_start();
    let end = behind.find([',', ';', '.', ':']).unwrap_or(behind.len());
    let because = [" because ", " as ", " cos ", " since "].iter().filter_map(|word| behind.find(word)).min();
    let end = because.map_or(end, |at| at.min(end));
    let name = behind[..end].to_lowercase();
    let rest = behind.get(end..)?.trim_start_matches([',', ';', '.', ':', ' ']);
    let rest = rest.trim_end_matches(['.', '!']);
    let said: Vec<&str> = name.split_whitespace().collect();
    let points = |word: &&str| matches!(*word, "that" | "it" | "this" | "them" | "those");
    let noun = said.first().is_some_and(points) && said.len() < 3
        || said.last().is_some_and(|word| NOUNS.contains(word) && !points(word));
    let told = said.len() <= NAME_WORDS_MAX && !words.trim_end().ends_with('?');
    (noun && told).then_some((name, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_is_taken_back_by_what_it_is() {
        for (words, wanted) in [
            ("undo that, i meant 3.6", Some(("that", "i meant 3.6"))),
            ("Delete that reading; they used the wrong bar.", Some(("that reading", "they used the wrong bar"))),
            ("undo the dave one", Some(("the dave one", ""))),
            ("remove the bedknife and grind it", None),
            ("undo the bolts", None),
        ] {
            let wanted = wanted.map(|(name, rest): (&str, &str)| (name.to_owned(), rest));
            assert_eq!(takes_back(words), wanted, "{words}");
        }
    }
}
