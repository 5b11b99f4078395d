//! What is told of the same work while its record stands open ("and wet ground it on the bar first", "no
//! play"), or at the end of a job that was left ("did it, 20 mins, paper clean")? What no field takes is
//! kept in the notes of the record.
//! Deliberately absent: numbers and names that are put right (`follow_up`).

use super::decide::Meaning;
use super::in_turn::COMPLAINT;
use super::{Action, Actions, Conversation, Proposed};
use crate::domain::intent::deeds::{DEEDS, FOUND_SO};
use crate::domain::language::text::{Token, tokens};
use crate::domain::limits;

/// First words of what goes on.
const GOES_ON: &[&str] = &["and", "also", "plus", "then", "with", "oh", "&", "after", "forgot"];
/// First words of what was found beside the work.
const FOUND: &[&str] = &["no", "paper", "cuts", "all", "runs", "quiet", "free", "nothing", "both", "looks"];
/// More words than these tell of something else.
const FOUND_WORDS_MAX: usize = 5;
const WORDS_MAX: usize = 20;
/// What is found wrong is no end of work.
const WRONG: &[&str] = &[
    "still", "but", "now", "again", "noise", "noisy", "loud", "hot", "smoke", "smell", "leak", "leaking",
    "streak", "streaks", "squeal", "squealing", "not", "wont", "bent", "cracked", "broken",
];
/// What people say at the end of a job.
const DONE: &[&str] = &[
    "did it", "done it", "did that", "done that", "all done", "thats it done", "that is it done", "it is done",
    "its done", "it's done", "that's it done", "job done", "got it done", "finished it", "finished",
    "thats done", "that's done", "right done", "ok done", "done",
];
/// What is done to a unit, as it is begun and as it is told afterwards.
#[rustfmt::skip]
const DEED_OF: &[(&str, &str)] = &[
    ("lapping", "lapped"), ("lap", "lapped"), ("backlapping", "backlapped"), ("backlap", "backlapped"),
    ("grinding", "ground"), ("grind", "ground"), ("sharpening", "sharpened"), ("sharpen", "sharpened"),
    ("fitting", "fitted"), ("fit", "fitted"), ("changing", "changed"), ("change", "changed"),
    ("replacing", "replaced"), ("replace", "replaced"), ("swapping", "swapped"), ("swap", "swapped"),
    ("setting", "set"), ("set", "set"), ("adjusting", "adjusted"), ("adjust", "adjusted"),
    ("levelling", "levelled"), ("level", "levelled"), ("greasing", "greased"), ("grease", "greased"),
    ("cleaning", "cleaned"), ("clean", "cleaned"), ("balancing", "balanced"), ("balance", "balanced"),
    ("checking", "checked"), ("check", "checked"), ("inspecting", "inspected"), ("inspect", "inspected"),
    ("measuring", "measured"), ("measure", "measured"), ("facing", "faced"), ("dressing", "dressed"),
    ("tightening", "tightened"), ("tighten", "tightened"), ("washing", "washed"), ("doing", "did"),
];
/// What ends the part of those words that names the job.
const ENDS: &[&str] = &[
    "this", "today", "tomorrow", "tonight", "now", "later", "walk", "talk", "take", "show", "please", "in",
    "after", "before", "next", "how", "step",
];

impl<C: Clone> Conversation<C> {
    /// Words that alone would be a complaint, and tell more of the work that stands open.
    pub(super) fn tells_more_work(&self, words: &str, meaning: &Meaning<C>) -> bool {
        meaning.kind == COMPLAINT && meaning.subject_is(&self.context.subject) && goes_on(words)
    }

    /// Keeps what no field of the open record takes in its notes.
    pub(super) fn noted(&mut self, words: &str, meaning: &Meaning<C>) -> Option<Actions<C>> {
        let known = meaning.kind == COMPLAINT || meaning.kind.is_empty();
        if !known || !goes_on(words) || !meaning.subject_is(&self.context.subject) {
            return None;
        }
        let open = self.proposal.as_mut()?;
        if !matches!(open.what, Proposed::Command(_) | Proposed::Amend { .. })
            || open.notes.len() >= limits::CHOICES_MAX
        {
            return None;
        }
        let first = |word: &&str| GOES_ON.contains(&word.to_lowercase().as_str());
        let note: Vec<&str> = words.split_whitespace().skip_while(first).collect();
        open.notes.push(note.join(" "));
        open.said = format!("{}; {words}", open.said);
        open.fresh = true;
        self.said.push(words.to_owned());
        // What is told next is of the unit that this named.
        if meaning.subject.starts_with(&self.context.subject) {
            self.context.subject.clone_from(&meaning.subject);
        }
        Some(vec![Action::Propose])
    }

    /// "Did it, 20 mins 120 grit, paper clean", after a job was left: the words of its record.
    pub(super) fn job_done(&mut self, words: &str) -> Option<String> {
        if self.walking.is_some() || self.job_words.is_empty() || self.proposal.is_some() {
            return None;
        }
        let lower = words.to_lowercase();
        let behind = DONE.iter().filter_map(|done| lower.strip_prefix(done));
        let parted = behind.filter(|rest| rest.starts_with([',', ' ', ':', '.']));
        let rest = parted.min_by_key(|rest| rest.len())?;
        let rest = words.get(words.len() - rest.len()..)?.trim_start_matches([',', ' ', ':', '.']);
        if rest.is_empty() || rest.ends_with('?') {
            return None;
        }
        let job = std::mem::take(&mut self.job_words);
        let job = told_afterwards(&job).unwrap_or(job);
        Some(format!("{job}, {rest}"))
    }

    /// Keeps the words that a job was asked for with.
    pub(super) fn note_job(&mut self, words: &str) {
        words.clone_into(&mut self.job_words);
    }
}

impl<C> Meaning<C> {
    /// Nothing else is named than what was spoken of.
    fn subject_is(&self, subject: &str) -> bool {
        let own = &self.subject;
        own.is_empty() || subject.starts_with(own.as_str()) || own.starts_with(subject)
    }
}

/// "Lapping triplex 1 this aft, walk me": "lapped triplex 1".
fn told_afterwards(words: &str) -> Option<String> {
    let all = tokens(words);
    let text = |token: &Token| token.text.clone();
    let deed = |token: &Token| DEED_OF.iter().find(|(begun, _)| token.text == *begun);
    let at = all.iter().position(|token| deed(token).is_some())?;
    let (_, done) = deed(&all[at])?;
    let segment = all[at].segment;
    let rest: Vec<String> = all[at + 1..]
        .iter()
        .take_while(|token| token.segment == segment && !ENDS.contains(&token.text.as_str()))
        .map(text)
        .collect();
    Some(format!("{done} {}", rest.join(" ")).trim_end().to_owned())
}

/// Whether words go on with work that was told.
fn goes_on(words: &str) -> bool {
    let all = tokens(words);
    let is = |list: &[&str], at: usize| {
        all.get(at).is_some_and(|token| list.contains(&token.text.as_str()))
    };
    let any = |list: &[&str]| (0..all.len()).any(|at| is(list, at));
    // "And the height is still 3.2".
    let told = is(GOES_ON, 0) && words.contains(|ch: char| ch.is_ascii_digit()) && any(&["still", "now"]);
    let wrong = any(WRONG) && !told;
    if all.len() > WORDS_MAX || words.trim_end().ends_with('?') || wrong {
        return false;
    }
    let found = is(FOUND, 0) && all.len() <= FOUND_WORDS_MAX;
    // "Forgot, one had a nick in it", "unit 4's rear roller was rough": how a part was found.
    let was = any(&["had", "was", "were"]) && any(FOUND_SO) && !any(DEEDS);
    let done = any(DEEDS) && (is(GOES_ON, 0) || all.len() <= FOUND_WORDS_MAX + 2);
    found || done || told || was || (is(GOES_ON, 0) && is(FOUND, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_of_the_same_work_is_no_complaint() {
        for words in [
            "and wet ground it on the bar first", "no play", "also greased the pivots", "paper clean all along",
            "and no play in it", "and the height is still 3.2", "forgot, one had a nick in it near the tip",
            "unit 4's rear roller was rough",
        ] {
            assert!(goes_on(words), "{words}");
        }
        for words in ["still squealing", "and now it streaks", "no cut on the left and it squeals", "how long", "it is rough now"] {
            assert!(!goes_on(words), "{words}");
        }
    }

    #[test]
    fn a_job_is_told_afterwards_as_it_was_begun() {
        for (words, wanted) in [
            ("lapping triplex 1 this aft, walk me", "lapped triplex 1"),
            ("walk me through fitting a new bedknife on tees 2", "fitted a new bedknife on tees 2"),
            ("about to change the deck belt", "changed the deck belt"),
        ] {
            assert_eq!(told_afterwards(words).as_deref(), Some(wanted), "{words}");
        }
        assert_eq!(told_afterwards("show the first job"), None);
    }
}
