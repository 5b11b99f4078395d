//! What do words add to a question that the knowledge answered: "and lapping", "which one for
//! thatch", "why not deeper", "just the questions"? The question before with the new part in it;
//! it is taken so only where the knowledge answers it.

use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::{guide, why};
use crate::domain::language::hearing::Reading;
use crate::domain::language::text::{Token, tokens};
use crate::domain::passages::form::{self, Form};
use crate::domain::passages::told;
use crate::domain::wording::lower_first;

use super::acts::{self, Act};
use super::asked_of_the_answer::{bare, core};
use super::decide::{Meaning, Sense};
use super::only_asked::only_asks;
use super::{Action, Actions, Conversation, in_turn, safety, say, two_questions};

/// A question to the knowledge, and what it was about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnowledgeAsked {
    form: Form,
    query: String,
    /// Two things that were held against each other.
    things: Vec<String>,
}

/// Beginnings that put another thing in the place of the one asked about.
const INSTEAD: &[&str] = &[
    "and ", "what about ", "how about ", "same for ", "the same for ", "same with ", "same on ",
    "and for ", "and what about ", "now ", "or ", "and the ", "what of ",
];
/// Beginnings that go on about it.
const ON: &[&str] = &[
    "and ", "but ", "so ", "then ", "why ", "which one", "which of", "which is", "just ", "how ",
    "for ", "what if", "what ", "when ", "is it", "is that", "are they", "does it", "do they",
    "can it", "can you", "in ", "at ", "with ", "by ", "print", "show", "give", "where ",
];
/// Words that point at what was spoken of.
#[rustfmt::skip]
const POINTING: &[&str] = &[
    "it", "its", "that", "this", "them", "they", "those", "these", "one", "ones", "then", "there",
    "other", "him", "he", "same",
];
/// Words of a follow-up that carry no matter of their own.
#[rustfmt::skip]
const EMPTY: &[&str] = &[
    "and", "but", "so", "then", "what", "about", "how", "why", "not", "which", "same", "just", "or",
    "other", "now", "for", "with", "lad", "lads", "again", "questions", "question", "answers",
    "answer", "here", "sheet", "print", "show", "ours", "mine", "deep", "much",
];
/// Words behind "how" that ask for a measure.
const HOW_MUCH: &[&str] = &["tight", "light", "hard", "close", "far", "high", "sharp", "firm", "loose"];
/// Longer words are a question of their own.
const WORDS_MAX: usize = 10;
/// Words without a pointing word are still a follow-up when there are no more.
const BARE_WORDS_MAX: usize = 4;

impl KnowledgeAsked {
    /// From the topic and the words of a question that was understood.
    pub fn of(knowledge: &Knowledge, topic: &str, words: &str) -> Option<KnowledgeAsked> {
        let form = topic.strip_prefix(why::TOLD).and_then(Form::from_id)?;
        let mut query = why::query_for(knowledge, form, words);
        if form == Form::Judge {
            let said = words.split_whitespace().map(|word| word.trim_matches([',', '?', ';']));
            let values: Vec<&str> = said.filter(|word| word.parse::<f64>().is_ok()).collect();
            query = format!("{} {query}", values.join(" "));
        }
        if query.is_empty() && form != Form::Wear {
            return None;
        }
        let things = match form {
            Form::Differ => query.split(told::OR).map(str::to_owned).collect(),
            _ => Vec::new(),
        };
        Some(KnowledgeAsked { form, query, things })
    }

    /// What the knowledge is asked now, when these words go on from the question before.
    pub fn further(&self, knowledge: &Knowledge, words: &str) -> Option<KnowledgeAsked> {
        let plain = acts::plain(words);
        let said: Vec<&str> = plain.split_whitespace().collect();
        let reading = knowledge.ear.read(words);
        let own_leave = danger::heard(knowledge, &reading).leave.is_some();
        if said.len() > WORDS_MAX || own_leave || plain.contains(|ch: char| ch.is_ascii_digit()) {
            return None;
        }
        if let Some(form) = self.of_sheet(&said) {
            return Some(KnowledgeAsked { form, ..self.clone() });
        }
        if said.contains(&"other") && !self.things.is_empty() {
            let query = self.things.last()?.clone();
            let next = KnowledgeAsked { form: Form::Define, query, things: self.things.clone() };
            return next.answered(knowledge);
        }
        let instead = INSTEAD.iter().any(|start| plain.starts_with(start));
        let points = said.iter().any(|word| POINTING.contains(word));
        let on = ON.iter().any(|start| plain.starts_with(start));
        // What was measured, when that was asked.
        let names = self.form == Form::Judge && !in_turn::asks(words);
        let goes_on = names || instead || (on && (points || said.len() <= BARE_WORDS_MAX));
        goes_on.then(|| self.next(knowledge, &reading, instead)).flatten()
    }

    fn next(
        &self,
        knowledge: &Knowledge,
        reading: &Reading,
        instead: bool,
    ) -> Option<KnowledgeAsked> {
        let passages = knowledge.passages();
        let (asked, _) = form::heard(knowledge, reading);
        let own = asked.iter().find(|one| one.form != Form::Differ && one.form != Form::Wrong);
        let tokens = own.map_or_else(|| reading.tokens.clone(), |one| one.rest(reading));
        let matter = |token: &&Token| {
            !EMPTY.contains(&token.text.as_str()) && !POINTING.contains(&token.text.as_str())
        };
        let kept: Vec<Token> = tokens.iter().filter(matter).cloned().collect();
        let points = reading.tokens.iter().any(|token| POINTING.contains(&token.text.as_str()));
        // "How's that different from a spin grind": both side by side.
        let differs = asked.iter().find(|one| one.form == Form::Differ && one.compares() && points);
        let other = differs.map(|one| {
            let rest = one.rest(reading);
            passages.terms.said(&rest.iter().filter(matter).cloned().collect::<Vec<_>>())
        });
        if let Some(other) = other.filter(|other| !other.is_empty() && self.form != Form::Differ) {
            let one = self.query.replace(told::OR, " ");
            let query = format!("{one}{}{other}", told::OR);
            let both = KnowledgeAsked { form: Form::Differ, query, things: vec![one, other] };
            if let Some(both) = both.answered(knowledge) {
                return Some(both);
            }
        }
        let new = passages.terms.said(&kept);
        let before = self.query.replace(told::OR, " ");
        let old_form = match self.form {
            Form::Differ => Form::Use,
            // Another job begins with its sheet again.
            Form::Answers | Form::Quiz | Form::Whole => Form::Sheet,
            form => form,
        };
        // "So how tight then" asks for what is good.
        let first = reading.tokens.iter().position(|token| token.text == "how");
        let how = first.and_then(|at| reading.tokens.get(at + 1));
        let good = how.is_some_and(|token| HOW_MUCH.contains(&token.text.as_str()));
        let form = if good { Form::Good } else { own.map_or(old_form, |one| one.form) };
        let deep = reading.tokens.iter().any(|token| token.text == "deep");
        let made = |form: Form, query: String| {
            let things = self.things.clone();
            KnowledgeAsked { form, query, things }.answered(knowledge)
        };
        if new.is_empty() {
            let query = if deep { format!("{before} depth") } else { before.clone() };
            let other = form != self.form || deep;
            return other.then(|| made(form, query)).flatten();
        }
        if self.form == Form::Judge {
            let values = self.query.split_whitespace().filter(|word| word.parse::<f64>().is_ok());
            let values: Vec<&str> = values.collect();
            return made(Form::Judge, format!("{} {new}", values.join(" ")));
        }
        let known = passages.terms.of(&new).iter().all(|word| passages.knows(word));
        if !known {
            return None;
        }
        // A question that is whole by itself stands by itself.
        let whole = own.is_some() && (!points || passages.terms.of(&new).len() >= 2);
        if whole && !instead && told::answer(knowledge, passages, form, &new).is_some() {
            return None;
        }
        let both = format!("{before} {new}");
        let (first, second) = if instead { (new, both) } else { (both, new) };
        made(form, first).or_else(|| made(form, second))
    }

    /// "How do you measure it": the job, with what was spoken of in the place of "it".
    fn job_meant(&self, knowledge: &Knowledge, words: &str) -> Option<String> {
        const ASKS: &[&str] = &[
            "how do ", "how would ", "how can ", "how does ", "walk me through ", "show me how to ",
            "show him ", "show her ", "show them ", "show me how ", "walk him ", "walk her ", "walk them ",
            "talk him ", "talk me ", "talk them ", "take him ", "take me ", "can you show ",
        ];
        // Nothing but that it is done.
        const DOES: &[&str] = &["do", "doing", "through", "done", "about"];
        const FORMED: &[&str] = &["know", "tell", "work", "explain", "spot", "see"];
        let plain = acts::plain(words);
        let said: Vec<&str> = plain.split_whitespace().collect();
        let at = said.iter().rposition(|word| matches!(*word, "it" | "that" | "this" | "them"))?;
        let asks = ASKS.iter().any(|start| plain.starts_with(start));
        let formed = said.iter().any(|word| FORMED.contains(word));
        if !asks || formed || said.len() > WORDS_MAX || said.len() < 3 {
            return None;
        }
        let meant = self.query.replace(told::OR, " ");
        if at > 0 && DOES.contains(&said[at - 1]) {
            let id = guide::procedure(knowledge, &tokens(&meant))?;
            let title = &knowledge.procedure(id)?.title;
            return Some(format!("walk me through {}", lower_first(title)));
        }
        Some([&said[..at], &[meant.as_str()], &said[at + 1..]].concat().join(" "))
    }

    /// "Just the questions", "and the answers", "print it here", after a training sheet.
    fn of_sheet(&self, said: &[&str]) -> Option<Form> {
        if !matches!(self.form, Form::Sheet | Form::Quiz | Form::Answers | Form::Whole) {
            return None;
        }
        let says = |words: &[&str]| said.iter().any(|word| words.contains(word));
        let short = said.len() <= 7;
        match () {
            () if !short => None,
            () if says(&["answers", "answer"]) => Some(Form::Answers),
            () if says(&["questions", "question"]) => Some(Form::Quiz),
            () if says(&["print", "here", "show", "whole", "full"]) && !says(&["for", "on"]) => {
                Some(Form::Whole)
            }
            () => None,
        }
    }

    fn answered(self, knowledge: &Knowledge) -> Option<KnowledgeAsked> {
        let passages = knowledge.passages();
        told::answer(knowledge, passages, self.form, &self.query).is_some().then_some(self)
    }
}

/// What words ask of the knowledge, whole or in one of their clauses.
fn asked_in(knowledge: &Knowledge, words: &str) -> Option<KnowledgeAsked> {
    let clauses = words.split([',', '?', '.', ';']).map(str::trim).filter(|part| !part.is_empty());
    std::iter::once(words).chain(clauses).find_map(|part| {
        let reading = knowledge.ear.read(part);
        let (asked, _) = form::heard(knowledge, &reading);
        let forms = asked.iter().map(|one| one.form);
        let of_a_note = |form: &Form| !form.of_a_job() && *form != Form::Judge;
        let forms = forms.filter(of_a_note).chain([Form::Why]);
        forms.into_iter().find_map(|form| {
            let query = why::query_for(knowledge, form, part);
            KnowledgeAsked { form, query, things: Vec::new() }.answered(knowledge)
        })
    })
}

/// Whether words tell a sign; that it is one unit, or all of a gang, is none.
fn tells_of_the_cut(knowledge: &Knowledge, words: &str) -> bool {
    let hearing = knowledge.ear.hear(&knowledge.ear.read(words));
    let of_place = |id: &str| {
        knowledge.finding(id).is_some_and(|row| row.title.to_lowercase().contains("unit"))
    };
    hearing.heard.iter().any(|one| one.present && !one.implied && !of_place(&one.finding))
}

/// Said where the question that was taken for a fault has no answer here.
const ASKS_NOTHING_KNOWN: &str = "Taken back: no fault is looked into. Ask it by itself, such as \
                                  \"what does relief do\" or \"why is a reel lapped\".";
/// Said where what was told of the knowledge says nothing of what is asked of it.
const NO_MORE: &str = "What was told does not say that, and nothing more of it is known here.";
/// Longer words ask something of their own.
const OF_IT_WORDS_MAX: usize = 6;

impl<C: Clone> Conversation<C> {
    /// "Does it matter on the gang", "which lasts longer", after a note that does not say: that it is
    /// not known, rather than a complaint or another matter.
    pub(super) fn not_in_the_knowledge(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        meaning: &Meaning<C>,
    ) -> Option<Actions<C>> {
        let busy = self.proposal.is_some() || self.walking.is_some() || self.context.case.is_some();
        let text = bare(words);
        let said: Vec<&str> = core(&text).split_whitespace().collect();
        let points = said.iter().any(|word| POINTING.contains(word));
        // "Which is better": of two that were spoken of.
        let last = said.last().copied().unwrap_or_default();
        let two = said.first() == Some(&"which") && said.len() < OF_IT_WORDS_MAX
            && (last.ends_with("er") || matches!(last, "best" | "worse"));
        let often = matches!(said[..], ["how", "often" | "long" | "much" | "many" | "deep" | "far" | "tight"]);
        let nothing = match &meaning.sense {
            Sense::Unclear | Sense::OutOfScope => points || two || often,
            Sense::Read { .. } if meaning.kind == in_turn::COMPLAINT => {
                points && in_turn::asks(words) && !tells_of_the_cut(knowledge, core(&text))
            }
            Sense::Read { question, .. } => two && *question && meaning.subject.is_empty(),
            _ => false,
        };
        let few = (1..=OF_IT_WORDS_MAX).contains(&said.len());
        self.knowledge_asked.as_ref().filter(|_| nothing && few && !busy)?;
        self.last.leaves_lines = true;
        Some(vec![say(NO_MORE)])
    }

    /// A question that was taken for a complaint is looked up, and the complaint taken back.
    pub(super) fn no_complaint(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let free = self.context.case.is_some() && self.proposal.is_none() && self.walking.is_none();
        if !free || !only_asks(words) || danger::is_judged(knowledge, words) {
            return None;
        }
        let danger = danger::heard(knowledge, &knowledge.ear.read(&self.case_words));
        // What has to stop stays stopped, whatever is asked.
        if let Some(stop) = safety::stop(knowledge, &danger) {
            return Some(vec![stop]);
        }
        let said = std::mem::take(&mut self.case_words);
        self.close_case();
        self.other_talk();
        let next = asked_in(knowledge, &said);
        let (form, query) = match &next {
            Some(next) => (next.form, next.query.clone()),
            None => return Some(vec![say(ASKS_NOTHING_KNOWN)]),
        };
        self.knowledge_asked = next;
        Some(vec![Action::Tell { form, query }])
    }

    /// What is only whole with what was said before: a sign with "can I keep using it", a job with
    /// "what do I wear".
    pub(super) fn goes_on_from_what_was_said(
        &self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let both = self.going_on_with_what_was_said(knowledge, words);
        let both = both.map(|both| vec![Action::Interpret(both)]);
        both.or_else(|| self.worn_for_the_job(knowledge, words))
    }

    /// "What does he have to wear", of the job that was spoken of: what is worn for that job.
    fn worn_for_the_job(&self, knowledge: &Knowledge, words: &str) -> Option<Actions<C>> {
        let names = |words: &str| guide::procedure(knowledge, &tokens(words)).map(str::to_owned);
        let (first, second) = match two_questions::of(words) {
            Some((first, second)) => (first, Some(second)),
            None => (words, None),
        };
        let reading = knowledge.ear.read(first);
        let (asked, _) = form::heard(knowledge, &reading);
        let wears = asked.iter().any(|one| one.form == Form::Wear) && names(first).is_none();
        if !wears || first.split_whitespace().count() > WORDS_MAX {
            return None;
        }
        let id = names(&self.words_before).or_else(|| names(&self.earlier.words))?;
        let title = lower_first(&knowledge.procedure(&id)?.title);
        let whole = format!("what should I wear to {title}");
        // The work is the first word of its title: "whats the brush for" of lapping.
        let work = title.split_whitespace().next().unwrap_or_default();
        let second = second.map(|words| {
            let whole = format!("{} {work}", words.trim_end_matches('?'));
            match asked_in(knowledge, &whole) {
                Some(next) => Action::Tell { form: next.form, query: next.query },
                None => Action::Interpret(words.to_owned()),
            }
        });
        Some([Some(Action::Interpret(whole)), second].into_iter().flatten().collect())
    }

    /// Words that go on from the last question to the knowledge.
    pub(super) fn of_the_knowledge(
        &mut self,
        knowledge: &Knowledge,
        act: Option<&Act>,
        words: &str,
    ) -> Option<Actions<C>> {
        // "Walk me through it", where nothing else was advised.
        let walk = matches!(act, Some(Act::DoAdvised(0))) && self.advised.is_empty();
        let why = matches!(act, None | Some(Act::Why)) || walk;
        let before = self.knowledge_asked.as_ref().filter(|_| why)?;
        if let Some(whole) = before.job_meant(knowledge, words) {
            return Some(vec![Action::Interpret(whole)]);
        }
        let next = before.further(knowledge, words).filter(|_| !walk)?;
        self.other_talk();
        let (form, query) = (next.form, next.query.clone());
        self.knowledge_asked = Some(next);
        Some(vec![Action::Tell { form, query }])
    }
}
