//! What becomes of a complaint that is being looked into: what its next check asks, finding by
//! finding; answers in a word or in many; and when it is closed.
//! Deliberately absent: whether words add to it (`intent::case`).

use super::acts::{self, Act};
use super::follow_up::follow_up;
use super::looked_at;
use super::{Action, Actions, Advised, Asked, Conversation, ask, in_turn, joined, safety, say};
use crate::domain::catalogue::{Equipment, Knowledge};
use crate::domain::danger;
use crate::domain::language::hearing::Heard;
use crate::domain::limits;

impl<C: Clone> Conversation<C> {
    /// Keeps words that tell a sign, for what is asked of it later.
    pub(super) fn note_a_sign(&mut self, knowledge: &Knowledge, words: &str) {
        let ear = &knowledge.ear;
        if ear.hear(&ear.read(words)).heard.iter().any(|heard| heard.present) {
            self.sign_said = Some(words.to_owned());
        }
    }

    /// "How do I get it out?", of what was said right before or of the last sign.
    pub(super) fn safe_way_of_what_was_said(
        &self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Action<C>> {
        self.safe_way_after(knowledge, &self.words_before, words)
    }

    /// The same, of these words or of the last sign.
    pub(super) fn safe_way_after(
        &self,
        knowledge: &Knowledge,
        before: &str,
        words: &str,
    ) -> Option<Action<C>> {
        let before = [Some(before), self.sign_said.as_deref()].into_iter().flatten();
        before
            .filter(|before| !before.is_empty())
            .find_map(|said| safety::of_what_was_said(knowledge, said, words))
    }

    /// "Is it safe to keep using it?", of a sign that was told before: both together.
    pub(super) fn going_on_with_what_was_said(
        &self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<String> {
        let sign = self.sign_said.as_ref().filter(|_| self.context.case.is_none())?;
        let reading = knowledge.ear.read(words);
        let own = !knowledge.ear.hear(&reading).heard.is_empty();
        let goes_on = danger::heard(knowledge, &reading).running_on && !own;
        goes_on.then(|| joined(sign.trim_end_matches(['?', '.', '!']), ". ", words)).flatten()
    }

    pub(super) fn finding_answered(
        &mut self,
        mut left: Vec<(String, String)>,
        mut known: Vec<(String, bool)>,
        act: &Act,
    ) -> Option<Actions<C>> {
        let answer = match act {
            Act::Yes => Some(true),
            Act::No => Some(false),
            Act::Unknown | Act::Skip => None,
            _ => return None,
        };
        let (finding, _) = left.remove(0);
        known.extend(answer.map(|present| (finding, present)));
        if let Some((_, question)) = left.first().cloned() {
            self.asked = Some(Asked::Findings { left, known });
            return Some(vec![ask(question)]);
        }
        if known.is_empty() {
            let text = "Then it stays open. Look at it when you can, and say what you saw.";
            return Some(vec![say(text)]);
        }
        Some(vec![Action::Observe(known)])
    }

    /// "No, they are all the same": a yes or no, and words that go with it. Words that tell a sign are
    /// heard as well.
    pub(super) fn answered_in_words(
        &mut self,
        knowledge: &Knowledge,
        left: Vec<(String, String)>,
        known: Vec<(String, bool)>,
        words: &str,
    ) -> Option<Actions<C>> {
        if safety::refused::<C>(knowledge, words).is_some() {
            return None;
        }
        if let Some(actions) = self.circumstance_gone(knowledge, &left, &known, words) {
            return Some(actions);
        }
        if follow_up(words, &self.earlier, false).is_some() {
            return None;
        }
        if let Some(actions) = self.readings_answer(knowledge, &left, &known, words) {
            return Some(actions);
        }
        // "No play in it" denies the play, and not what was asked; "no it isn't" answers.
        let denies = denies_a_thing(words);
        let looked = acts::beginning(words).is_none() || denies;
        if looked && let Some(actions) = self.looked_at(knowledge, &left, &known, words) {
            return Some(actions);
        }
        let said = acts::beginning(words).filter(|_| !denies);
        let (act, rest) = said.or_else(|| self.ends_in_yes(knowledge, &left, words))?;
        if looked_at::tells_of_travel(rest) && !asks_of_travel(&left) {
            // "No, same both ways" answers how it is driven, which was not asked.
            return None;
        }
        if act == Act::Yes && let Some(other) = self.names_another(knowledge, &left, rest) {
            // "Yes it drags" tells what it names, whatever was asked.
            let known: Vec<_> = known.into_iter().chain([(other, true)]).collect();
            return Some(vec![Action::Observe(known)]);
        }
        let ear = &knowledge.ear;
        let heard = ear.hear(&ear.read(rest)).heard;
        // "Yes it was soaking" tells once more what was asked.
        let asked = |id: &str| left.first().is_some_and(|(finding, _)| finding == id);
        let same = heard.iter().find(|one| one.present && asked(&one.finding));
        let within = |one: &Heard| {
            same.is_some_and(|same| same.start <= one.start && one.end <= same.end)
        };
        if heard.iter().all(|one| one.implied || within(one)) {
            return self.finding_answered(left, known, &act);
        }
        // "Yeah it cuts paper on the left but not on the right" answers with what it tells.
        let lead = act == Act::Yes && !more_follows(rest);
        let first = left.first().filter(|_| !lead).map(|(finding, _)| finding.clone());
        let answer = match act {
            Act::Yes => Some(true),
            Act::No => Some(false),
            _ => None,
        };
        let known = known.into_iter().chain(first.zip(answer)).collect();
        Some(vec![Action::Know(known), Action::Interpret(rest.to_owned())])
    }

    /// "It's wet, yeah": the yes stands behind what it says, where that denies nothing and tells of
    /// nothing else.
    fn ends_in_yes<'a>(
        &self,
        knowledge: &Knowledge,
        left: &[(String, String)],
        words: &'a str,
    ) -> Option<(Act, &'a str)> {
        let (rest, last) = words.trim_end_matches(['.', '!']).rsplit_once([' ', ','])?;
        let yes = acts::exactly(last) == Some(Act::Yes) && !in_turn::asks_at_all(rest);
        let rest = rest.trim_end_matches([',', ' ']);
        let plain = format!(" {} ", acts::plain(rest));
        let denies = [" no ", " not ", "n't ", " never ", " none ", " fine ", " ok ", " good "]
            .iter()
            .any(|sign| plain.contains(sign));
        let other = || {
            let heard = knowledge.ear.hear(&knowledge.ear.read(rest)).heard;
            heard.iter().any(|one| !left.iter().any(|(asked, _)| *asked == one.finding))
        };
        (yes && !denies && !other()).then_some((Act::Yes, rest))
    }

    /// The complaint that the record cured which is put right now, and its likely cause.
    pub fn cured(&self) -> Option<&(C, String)> {
        self.closed.as_ref().filter(|_| self.turn.amends && self.context.case.is_none())
    }

    /// The cause whose remedy is advised first.
    pub fn likely_cause(&self) -> &str {
        let first = self.advised.iter().find(|one| !one.cause.is_empty());
        first.map_or("", |one| one.cause.as_str())
    }

    /// The finding of a check that these words name, when it is none of those asked for.
    fn names_another(
        &self,
        knowledge: &Knowledge,
        left: &[(String, String)],
        rest: &str,
    ) -> Option<String> {
        let kind = self.context.equipment?;
        let named = looked_at::about(knowledge, kind, &[], rest);
        let asked = named.iter().any(|id| left.iter().any(|(asked, _)| asked == id));
        let own = looked_at::about(knowledge, kind, left, rest);
        let of_asked = own.iter().any(|id| left.iter().any(|(asked, _)| asked == id));
        match named.as_slice() {
            [only] if !asked && !of_asked => Some(only.clone()),
            _ => None,
        }
    }

    /// What was complained of is put right, or not to be looked into any more.
    pub fn close_case(&mut self) {
        let cause = self.likely_cause().to_owned();
        if let Some(case) = self.context.case.take() {
            self.closed = Some((case, cause));
        }
        self.advised.clear();
        if let Some(Asked::Findings { .. }) = self.asked {
            self.asked = None;
        }
    }

    /// A diagnosis was answered: what it was about, what it advises, and what its first check asks.
    pub fn diagnosed(
        &mut self,
        case: C,
        equipment: Option<Equipment>,
        mut advised: Vec<Advised>,
        questions: Vec<(String, String)>,
    ) -> Actions<C> {
        if self.context.case.is_none() {
            self.case_words.clear();
        }
        self.note_case_words();
        self.context.case = Some(case);
        self.context.equipment = equipment.or(self.context.equipment);
        advised.truncate(limits::CHOICES_MAX);
        self.advised = advised;
        let mut left = questions;
        left.truncate(limits::CHOICES_MAX);
        // Somebody in the middle of a job is not asked something else.
        let Some((_, question)) = left.first().cloned().filter(|_| self.walking.is_none()) else {
            return Vec::new();
        };
        self.asked = Some(Asked::Findings { left, known: Vec::new() });
        // How it is answered is told once.
        let hint = "(yes, no or don't know; \"walk me through it\" shows how to look)".to_owned();
        let hinted = std::mem::replace(&mut self.last.hinted, true);
        vec![Action::Ask([question].into_iter().chain((!hinted).then_some(hint)).collect())]
    }
}

/// "Yes and it squeals": the yes answers, and more is told with it.
fn more_follows(rest: &str) -> bool {
    const LINKS: &[&str] = &["and", "also", "plus", "but"];
    let first = rest.trim_start_matches([',', '.', ' ']).split_whitespace().next();
    let told = first.is_some_and(|first| LINKS.contains(&first.to_lowercase().as_str()));
    told || rest.starts_with([',', '.', ';'])
}

/// Whether the check asks how it is driven.
fn asks_of_travel(left: &[(String, String)]) -> bool {
    let ways = ["direction", "ways", "travel"];
    left.first().is_some_and(|(_, question)| ways.iter().any(|way| question.contains(way)))
}

/// Whether the "no" at the beginning belongs to the thing that is named behind it.
fn denies_a_thing(words: &str) -> bool {
    const ANSWERS: &[&str] = &[
        "it", "its", "it's", "they", "they're", "theyre", "that", "that's", "this", "there", "not",
        "nothing", "all", "both", "none", "i", "we", "he", "she", "still", "just", "idea", "none",
        "never", "but", "only", "thanks", "the",
    ];
    let lower = words.trim().to_lowercase();
    let next = lower.strip_prefix("no ").and_then(|rest| rest.split_whitespace().next());
    next.is_some_and(|next| !ANSWERS.contains(&next.trim_matches([',', '.'])))
}
