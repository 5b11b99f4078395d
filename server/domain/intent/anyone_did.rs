//! Was some work done at all since a day, and where was something found? "Has anyone greased the gang
//! since September", "which unit had the leak": both are told by their form, whatever they sound like.
//! Deliberately absent: which records those are (`domain::recall`).

use super::other_kind::CARE;
use super::{Interpretation, Reader};
use crate::domain::recall::Asked as Single;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;

/// Longer words tell something of their own.
const WORDS_MAX: usize = 16;

impl Reader<'_> {
    /// "Has anyone greased the gang since September", "did we change the belt": the last of such work,
    /// which is none where nothing is recorded.
    pub(super) fn anyone_did(&self) -> Option<Interpretation> {
        const ANYONE: &[&str] = &["anyone", "anybody", "someone", "somebody", "they", "we"];
        const BETWEEN: &[&str] = &["ever", "already", "yet", "actually", "even", "been"];
        let said = self.spoken.texts();
        let at = self.at_first();
        let begins = said.get(at).is_some_and(|word| matches!(*word, "has" | "have" | "did"));
        let whom = said.get(at + 1).is_some_and(|word| ANYONE.contains(word));
        let skipped = said.iter().skip(at + 2).take_while(|word| BETWEEN.contains(word)).count();
        let done = said.get(at + 2 + skipped).and_then(|word| work(word));
        // "Did we have" any, "have we new ones": of what is there, and no work.
        let deed = done.is_some_and(|(_, deed)| !matches!(deed, Some(Deed::Cure | Deed::Fault)));
        let there = self.says(&["got", "any", "enough", "stock", "spare", "spares", "or"]);
        let danger = &self.heard.danger;
        let asks_leave = danger.leave.is_some() || danger.sound.is_some();
        let beside = self.says(&["safe", "running", "while", "before", "spinning", "started"]);
        // "Did we grind too much off", "did we set it wrong": whether it was well done.
        let beside = beside || self.says(&["too", "wrong", "wrongly", "properly", "correctly", "overdo"]);
        let stops = danger.stop.is_some() || asks_leave || beside || said.len() > WORDS_MAX;
        if !(begins && whom && deed) || there || stops || !self.gives_no_number() {
            return self.all_been_done();
        }
        let (words, subjects) = (self.matter_of("last"), self.meant_here());
        Some(self.told_of(Single::Last, words, subjects, &self.shape().periods))
    }

    /// "Has everything been inspected before the winter": which had it not.
    fn all_been_done(&self) -> Option<Interpretation> {
        const ALL: &[&str] = &["everything", "every", "each", "all"];
        let begins = matches!(self.first_word(), "has" | "have" | "is" | "are" | "was" | "were");
        let danger = &self.heard.danger;
        let stops = danger.stop.is_some() || danger.leave.is_some() || danger.sound.is_some();
        let all = self.says(ALL) && self.says(&["been"]) && self.says(&["everything", "machine", "machines", "mower", "mowers"]);
        let words = self.matter_of("never");
        let is_deed = |word: &str| {
            CARE.contains(&word) || work(word).is_some_and(|(_, deed)| deed.is_some())
        };
        // "So can I send them out" asks for more than whether it was done.
        let leave = self.says(&["safe", "send", "out", "go", "use", "run", "ready", "fit"]);
        let deed = words.split_whitespace().all(is_deed);
        let named = !self.machines_asked_about().is_empty();
        let stops = stops || leave || named || self.spoken.words.len() > WORDS_MAX;
        if !(begins && all && deed) || words.is_empty() || stops || !self.gives_no_number() {
            return None;
        }
        Some(self.told_of(Single::Never, words, Vec::new(), &self.shape().periods))
    }

    /// "Which unit had the leak": where something was found, and no rank of all that was.
    pub(super) fn which_one_had(&self) -> Option<Interpretation> {
        const WHERE: &[&str] =
            &["unit", "units", "machine", "machines", "one", "ones", "mower", "reel", "head", "deck"];
        let text = self.spoken.texts();
        let at = text.iter().position(|word| matches!(*word, "which" | "what"))?;
        let of = text.get(at + 1).is_some_and(|word| WHERE.contains(word));
        // What one "has" is as it is now, unless that is a fault.
        let had = match text.get(at + 2) {
            Some(&"had") => true,
            Some(&"has") => self.tells_a_fault(),
            _ => false,
        };
        let ranked = self.says(&[
            "most", "least", "worst", "fewest", "more", "never", "not", "due", "left", "lowest", "highest", "best",
            "oldest", "newest", "longest", "shortest", "biggest",
        ]);
        let words = self.matter_of("history");
        let words: Vec<&str> =
            words.split_whitespace().filter(|word| !WHERE.contains(word)).collect();
        if at > 2 || !of || !had || ranked || words.is_empty() || !self.gives_no_number() {
            return None;
        }
        let (words, subjects) = (words.join(" "), self.meant_or_before());
        Some(self.told_of(Single::History, words, subjects, &self.shape().periods))
    }
}
