//! What becomes of words that are said while something is open: do they supply what is missing, add
//! to the proposal, or stand on their own? They are understood alone first; only what means nothing
//! alone, or lacks what the open record has, is joined to it. New work beside an open proposal
//! replaces nothing: both are asked for in turn.

use super::asked_of_the_answer::{bare, core};
use super::decide::{Meaning, Sense};
use super::follow_up::{Earlier, repeats, without_correction};
use super::putting_right::takes_back as corrects;
use super::{Action, Actions, Asked, Conversation, Proposal, Proposed, say};
use crate::domain::catalogue::Knowledge;
use crate::domain::limits;

/// What is kept of a turn while its words are found out.
#[derive(Clone, Debug)]
pub(super) struct Turn<C> {
    pub words: String,
    /// A proposal was shown right before it.
    pub was_fresh: bool,
    /// It was said right before it that a proposal is still not stored.
    pub was_reminded: bool,
    /// The words lean on earlier ones, or add to them.
    pub leans: bool,
    /// They tell of the next thing as the one before was.
    pub repeats: bool,
    /// They put right what was stored.
    pub amends: bool,
    pub joining: Option<Joining<C>>,
    /// What was put behind the words of the record that stands open, to put it right.
    pub told_again: Option<String>,
    /// What the check asked that these words did not answer.
    pub unanswered: Option<Asked<C>>,
    /// The words, and those they lean on, that the question which of several is of.
    pub told_before: (Earlier, Vec<String>),
}

impl<C> Turn<C> {
    pub fn begun(words: &str, was_fresh: bool) -> Turn<C> {
        Turn {
            words: words.to_owned(),
            was_fresh,
            was_reminded: false,
            leans: false,
            repeats: repeats(words),
            amends: false,
            joining: None,
            told_again: None,
            unanswered: None,
            told_before: Default::default(),
        }
    }
}

/// Whether all of these words that say something were of no use.
pub(super) fn unused<C>(words: &str, meaning: &Meaning<C>) -> bool {
    let unheard: Vec<&str> =
        meaning.unheard.iter().flat_map(|part| part.split_whitespace()).collect();
    let long = |word: &&str| word.chars().count() > 3;
    let all: Vec<&str> = words.split_whitespace().filter(long).collect();
    let of_no_use = |word: &&str| unheard.contains(&word.trim_matches([',', '.', ';']));
    !all.is_empty() && all.iter().all(of_no_use)
}

/// "We were half way through setting the reel, pick it up": a job that was left is gone on with.
pub(super) fn takes_up_again(words: &str) -> bool {
    const LEFT: &[&str] =
        &["half way", "halfway", "part way", "left off", "in the middle of", "we left", "i left"];
    const GO_ON: &[&str] = &[
        "pick it up", "pick up", "pick that up", "resume", "carry on", "continue", "go on with",
        "back to it", "take it up", "finish it", "let's finish", "lets finish",
    ];
    let lower = words.to_lowercase();
    let says = |signs: &[&str]| signs.iter().any(|sign| lower.contains(sign));
    says(LEFT) && says(GO_ON)
}

/// What words may be joined to.
#[derive(Clone, Debug)]
pub(super) enum Joining<C> {
    /// Words of a record or question that lack something.
    Lacking(String),
    /// The proposal; what the words mean alone is kept meanwhile.
    Proposal(String, Box<Meaning<C>>),
}

/// First words of questions and commands that stand on their own.
#[rustfmt::skip]
const OWN_BEGINNINGS: &[&str] = &[
    "what", "whats", "what's", "when", "whens", "when's", "who", "whos", "who's", "where", "why", "how",
    "hows", "how's", "which", "is", "are", "was", "were", "did", "does", "do", "has", "have", "can",
    "could", "should", "will", "show", "list", "find", "search", "log", "history", "tell", "give",
    "plan", "walk", "teach", "print", "anything", "any",
];
/// Fewer words than these supply what is missing, unless they ask.
const OWN_WORDS_MIN: usize = 5;
/// A complaint of fewer words may be the state that was asked for.
const COMPLAINT_WORDS_MIN: usize = 3;
/// With figures to a decimal they give the values that were asked for, unless they tell more.
const MEASURING_WORDS_MIN: usize = 9;
/// Kind of what a complaint comes to.
pub const COMPLAINT: &str = "complaint";

pub(super) fn asks(words: &str) -> bool {
    let lower = words.to_lowercase();
    let first = lower.split_whitespace().next().unwrap_or_default();
    lower.trim_end().ends_with('?') || OWN_BEGINNINGS.contains(&first.trim_matches([',', '.', ':']))
}

/// The same behind small words: "and how much is it out at that end then".
pub(super) fn asks_at_all(words: &str) -> bool {
    asks(words) || asks(core(&bare(words)))
}

/// Whether a clause of the words asks: "the verticuts, when were they done".
pub(super) fn asks_within(words: &str) -> bool {
    asks(words) || words.split(',').any(|clause| asks(clause.trim_start()))
}

/// "9.47 left, 9.5 right".
fn measures(words: &str) -> bool {
    words.split_whitespace().any(|word| {
        word.contains('.') && word.starts_with(|ch: char| ch.is_ascii_digit() || ch == '.')
    })
}

/// Whether words with this meaning stand on their own beside a record that lacks something.
fn stands_alone<C>(words: &str, meaning: &Meaning<C>) -> bool {
    match &meaning.sense {
        Sense::Refused | Sense::Walk(_) => true,
        Sense::Read { .. } => {
            let count = words.split_whitespace().count();
            let least = match (measures(words), meaning.kind == COMPLAINT) {
                (true, _) => MEASURING_WORDS_MIN,
                (false, true) => COMPLAINT_WORDS_MIN,
                (false, false) => OWN_WORDS_MIN,
            };
            asks(words) || count >= least
        }
        // A record that lacks nothing, of something that it names itself.
        Sense::Write(_) => meaning.missing.is_empty() && !meaning.subject.is_empty(),
        Sense::OutOfScope | Sense::Unclear => asks(words),
    }
}

impl<C: Clone> Conversation<C> {
    /// What words mean alone was found out.
    pub fn alone(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        meaning: Meaning<C>,
    ) -> Actions<C> {
        match self.turn.joining.take() {
            Some(Joining::Lacking(before)) if !stands_alone(words, &meaning) => {
                self.turn.leans = true;
                let both = joined(&before, ", ", words);
                vec![Action::Interpret(both.unwrap_or_else(|| words.to_owned()))]
            }
            Some(Joining::Lacking(_)) => {
                let text = "What was begun before is left; say it whole to record it.";
                let mut actions = vec![say(text)];
                actions.extend(self.decide(knowledge, words, meaning));
                actions
            }
            _ if self.may_add(words, &meaning) => {
                let before = self.earlier.words.clone();
                let Some(both) = joined(&before, ", ", words) else {
                    return self.decide(knowledge, words, meaning);
                };
                let alone = Box::new(meaning);
                self.turn.joining = Some(Joining::Proposal(words.to_owned(), alone));
                vec![Action::Interpret(both)]
            }
            _ => self.decide(knowledge, words, meaning),
        }
    }

    /// Words said right after a command was proposed may add to it.
    pub(super) fn adds_to_the_proposal(&self) -> bool {
        let open = self.proposal.as_ref().filter(|_| self.turn.was_fresh && self.walking.is_none());
        open.is_some_and(|open| matches!(open.what, Proposed::Command(_)))
            && !self.earlier.words.is_empty()
    }

    fn may_add(&self, words: &str, meaning: &Meaning<C>) -> bool {
        let adds = match &meaning.sense {
            Sense::Write(_) => meaning.subject.is_empty() && !self.is_other_work(words, meaning),
            _ if without_correction(words).is_some() && corrects(words) => false,
            Sense::Unclear | Sense::OutOfScope => true,
            Sense::Read { .. } if self.tells_more_work(words, meaning) => true,
            Sense::Read { .. } | Sense::Walk(_) | Sense::Refused => false,
        };
        adds && !asks(words) && self.adds_to_the_proposal()
    }

    /// "He has set it to 9.5 now", while readings stand open: work of its own beside them.
    fn is_other_work(&self, words: &str, meaning: &Meaning<C>) -> bool {
        let open = self.proposal.as_ref().map_or("", |open| open.kind.as_str());
        let read = open == "height reading" && meaning.kind == "adjustment";
        let lower = words.to_lowercase();
        read && lower.split_whitespace().any(|word| word == "set" || word == "reset") && measures(words)
    }

    /// Joined words were understood: `Ok` when they come to the open record with something added,
    /// else what the new words mean alone.
    pub(super) fn settled(
        &mut self,
        meaning: Meaning<C>,
    ) -> Result<Meaning<C>, (String, Meaning<C>)> {
        let Some(Joining::Proposal(words, alone)) = self.turn.joining.take() else {
            return Ok(meaning);
        };
        let kind = self.proposal.as_ref().map(|open| open.kind.as_str());
        let same = matches!(meaning.sense, Sense::Write(_))
            && meaning.missing.is_empty()
            && kind == Some(meaning.kind.as_str());
        // Words that add nothing to it are not put in.
        if same && !unused(&words, &meaning) {
            self.turn.leans = true;
            return Ok(meaning);
        }
        Err((words, *alone))
    }

    /// Opens a proposal. What leans on the one that is open takes its place; otherwise that one is
    /// asked for afterwards.
    pub(super) fn propose(
        &mut self,
        what: Proposed<C>,
        understood: String,
        kind: String,
    ) -> Actions<C> {
        self.count += 1;
        let mut actions = Vec::new();
        let notes = match &self.proposal {
            Some(open) if self.turn.leans => open.notes.clone(),
            _ => Vec::new(),
        };
        if let Some(open) = self.proposal.take().filter(|_| !self.turn.leans) {
            actions.push(say(format!(
                "Still open, and asked for after this one: {}",
                lower_end(&open.understood)
            )));
            self.held.push(open);
            if self.held.len() > limits::CHOICES_MAX {
                self.held.remove(0);
            }
        }
        let of_words = matches!(what, Proposed::Command(_) | Proposed::Amend { .. });
        let about = if of_words { self.meant.clone() } else { String::new() };
        let understood = told_of(understood, &about);
        self.proposal = Some(Proposal {
            number: self.count,
            what,
            understood,
            said: self.said.join("; "),
            about,
            kind,
            of: self.earlier.clone(),
            fresh: true,
            reminded: false,
            doubted: false,
            notes,
        });
        self.asked = None;
        actions.push(Action::Propose);
        actions
    }

    /// Shows the proposal that waits, when none is open.
    pub fn next_held(&mut self) -> Actions<C> {
        if self.proposal.is_some() {
            return Vec::new();
        }
        let Some(mut open) = self.held.pop() else { return Vec::new() };
        open.fresh = true;
        self.earlier.clone_from(&open.of);
        self.said = vec![open.said.clone()];
        self.proposal = Some(open);
        vec![say("Still open:"), Action::Propose]
    }

    /// The job is left, so its record cannot be stored any more.
    pub(super) fn drop_records_of_walks(&mut self) {
        let of_walk = |open: &Proposal<C>| matches!(open.what, Proposed::Walk { .. });
        self.held.retain(|open| !of_walk(open));
        self.proposal = self.proposal.take().filter(|open| !of_walk(open));
    }
}

/// Earlier words with what was said to them, as one text; `None` when that is too long.
pub fn joined(before: &str, mark: &str, words: &str) -> Option<String> {
    let both = format!("{before}{mark}{words}");
    (both.chars().count() <= limits::TEXT_CHARS_MAX).then_some(both)
}

/// The sentence with what was meant instead in the place of what the words name.
pub(super) fn told_of(sentence: String, about: &str) -> String {
    let several: Vec<String> = about.split(' ').map(|one| {
        let ids: Vec<&str> = one.split('/').skip(2).collect::<Vec<_>>().chunks(2)
            .filter_map(|pair| pair.get(1).copied()).collect();
        ids.join(", unit ")
    }).collect();
    if several.len() > 1 {
        let Some((before, behind)) = sentence.split_once(" on ") else { return sentence };
        let Some(end) = behind.find([':', ';', '.']) else { return sentence };
        // What it came to on each was of other units.
        let whole = behind.find(" min in all, ").and_then(|at| behind[..at].rfind(". "));
        let tail = &behind[end..whole.map_or(behind.len(), |at| (at + 1).max(end))];
        return format!("{before} on {}{tail}", several.join(" and "));
    }
    let ids: Vec<&str> = about.split('/').skip(2).collect::<Vec<_>>().chunks(2)
        .filter_map(|pair| pair.get(1).copied()).collect();
    let short = match ids[..] {
        [machine] => machine.to_owned(),
        [machine, unit] => format!("{machine}, unit {unit}"),
        _ => return sentence,
    };
    let Some((before, behind)) = sentence.split_once(" on ") else { return sentence };
    let Some(end) = behind.find([':', ';', '.']) else { return sentence };
    format!("{before} on {short}{}", &behind[end..])
}

fn lower_end(sentence: &str) -> String {
    let text = sentence.trim_end_matches('.');
    format!("{text}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn questions_and_commands_stand_on_their_own() {
        for words in ["show last grind of unit 1", "what keeps coming back", "unit 3?", "log unit 2"] {
            assert!(asks(words), "{words}");
        }
        for words in ["unit 2 of the gang", "9.47 left 9.5 right", "at 1012 hours", "the apprentice"] {
            assert!(!asks(words), "{words}");
        }
    }
}
