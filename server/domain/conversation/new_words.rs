//! What becomes of words that answer nothing that is open: an act of the conversation itself, a
//! danger, something that leans on what was said before, or words that stand for themselves?
//! The order is the point: danger first, and the words as they are last.
//! Deliberately absent: answers to what was asked, and a job that is being walked (`mod`).

use super::acts::Act;
use super::another_day::{day_put_in, name_and_day};
use super::follow_up::{FollowUp, follow_up};
use super::help::help_lines;
use super::loose_acts::thanks;
use super::not_kept::{before_rain, not_kept};
use super::other_unit::machine_put_in;
use super::units_meant::machine_numbered;
use super::{
    Action, Actions, Conversation, in_turn, records_of_stored, safety, say, two_questions,
    two_works_told,
};
use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::stored::before_booking;

impl<C: Clone> Conversation<C> {
    /// Acts that need no job, proposal or question.
    pub(super) fn general(&mut self, knowledge: &Knowledge, act: Act) -> Actions<C> {
        match act {
            Act::Help => vec![Action::Say(help_lines())],
            Act::Cautions => self.cautions_again(),
            Act::Afresh => {
                self.close_case();
                vec![say("Say what is wrong, and behind which unit.")]
            }
            Act::Drafts => vec![Action::Drafts],
            Act::Resume(number) => vec![Action::Resume(number)],
            Act::Discard(number) => vec![Action::Discard(number)],
            Act::Walk(id) => self.begin(knowledge, &id, ""),
            Act::DoAdvised(number) => self.begin_advised(knowledge, number),
            Act::Choose(number) if !self.advised.is_empty() => {
                self.begin_advised(knowledge, number)
            }
            Act::Greeting if thanks(&self.turn.words) => vec![say("You are welcome.")],
            Act::Greeting => vec![say(
                "Say what is wrong with the cut, what you did, or what you want worked out; \
                 \"help\" shows more.",
            )],
            Act::Undo => self.undo(),
            Act::WhatWasStored => self.what_was_stored(),
            Act::Cancel if self.context.case.is_some() => {
                self.close_case();
                vec![say("Left open. Nothing of it is stored; say it again when you go on with it.")]
            }
            Act::Yes | Act::No | Act::Acknowledge | Act::Done | Act::Cancel | Act::Unknown => {
                vec![say("Nothing is open that this would answer.")]
            }
            Act::Back | Act::Again | Act::Skip | Act::Stop | Act::Record | Act::Why
            | Act::GoTo(_) | Act::Restart | Act::Choose(_) => vec![say(
                "You are in no job just now. \"drafts\" lists what was left half way; \"walk me \
                 through setting the reel\" begins one.",
            )],
        }
    }

    /// The cautions of the last answer in full; all there are, when none was told yet.
    fn cautions_again(&self) -> Actions<C> {
        match self.cautions.latest() {
            [] => vec![Action::Interpret("list all the cautions".to_owned())],
            latest => vec![Action::Cautions(latest.to_vec())],
        }
    }

    pub(super) fn new_words(&mut self, knowledge: &Knowledge, words: &str) -> Actions<C> {
        // A sum that only sounds like a danger ("grind off 0.35") is worked out.
        let refusal = safety::refusal(knowledge, words);
        let named = refusal.as_ref().is_some_and(|(id, _)| danger::is_named(knowledge, id, words));
        if let Some(sum) = (!named).then(|| self.small_sum(words)).flatten() {
            self.stored_is_past();
            return sum;
        }
        let told = self.context.case.is_some() || self.sign_said.is_some();
        let goes_on = told && danger::only_goes_on(knowledge, words);
        if let Some((_, refusal)) = refusal.filter(|_| !goes_on) {
            return vec![refusal];
        }
        if let Some(told) = self.safe_way_of_what_was_said(knowledge, words) {
            return vec![told];
        }
        if let Some(actions) = self.goes_on_from_what_was_said(knowledge, words) {
            return actions;
        }
        if asks_for_cautions(words) && !self.cautions.latest().is_empty() {
            return self.cautions_again();
        }
        if let Some(line) = not_kept(words).filter(|_| !danger::is_any(knowledge, words)) {
            return vec![say(line)];
        }
        if let Some(line) = before_rain(words).filter(|_| !danger::is_judged(knowledge, words)) {
            return vec![say(line)];
        }
        if asks_to_print(words) {
            return vec![say(PRINTED)];
        }
        if let Some(told) = self.job_asked(knowledge, words) {
            return told;
        }
        if let Some(lean) = self.puts_the_complaint_right(words) {
            return self.leaning(knowledge, lean);
        }
        if let Some(actions) = self.looked_at(knowledge, &[], &[], words) {
            return actions;
        }
        if self.walking.is_none() && in_turn::takes_up_again(words) {
            return vec![Action::ResumeNamed(words.to_owned())];
        }
        if let Some(rest) = records_of_stored::without_the_turn_away(words) {
            self.context.question = None;
            let put_in = records_of_stored::topic_put_in(rest);
            return self.of_their_own(knowledge, put_in.as_deref().unwrap_or(rest));
        }
        if let Some(whole) = records_of_stored::topic_put_in(words) {
            return vec![Action::Interpret(whole)];
        }
        if let Some(whole) = self.due_of_the_part(words) {
            let new = self.proposal.is_some().then(|| {
                say("The one that stands open here counts once it is stored; till then by the old one:")
            });
            return new.into_iter().chain([Action::Interpret(whole)]).collect();
        }
        if let Some(whole) = self.due_at_a_rate(words) {
            return vec![Action::Interpret(whole)];
        }
        if let Some(whole) = hours_of_a_year(words).or_else(|| self.in_full(words)) {
            return vec![Action::Interpret(whole)];
        }
        if let Some(whole) = self.of_what_was_stored(words) {
            return vec![Action::Interpret(whole)];
        }
        if let Some(actions) = self.taken_back(knowledge, words) {
            return actions;
        }
        if let Some(actions) = self.from_before(words) {
            return actions;
        }
        if let Some(actions) = self.puts_earlier_right(knowledge, words) {
            return actions;
        }
        if let Some(whole) = self.told_of_before(words) {
            return vec![Action::Interpret(whole)];
        }
        let whole = self.books_the_clicks(words).or_else(|| self.job_done(words));
        let whole = whole.or_else(|| self.turns_told(words));
        if let Some(whole) = whole.or_else(|| self.again_with_a_time(words)) {
            return vec![Action::Interpret(whole)];
        }
        if let Some(rest) = self.goes_on(words) {
            return vec![Action::InterpretAlone(rest)];
        }
        if let Some(named) = self.records_again(words) {
            return vec![Action::RecordAgain(named)];
        }
        self.of_their_own(knowledge, words)
    }

    /// Words that make no record like the one before.
    pub(super) fn of_their_own(&mut self, knowledge: &Knowledge, words: &str) -> Actions<C> {
        if let Some(whole) = self.readings_of_the_stored(words) {
            self.turn.amends = true;
            return self.leaning(knowledge, FollowUp::Words(whole));
        }
        if let Some(lean) = follow_up(words, &self.earlier, false) {
            // "Make it 0.8" of a sum: its understanding tells which number.
            if matches!(lean, FollowUp::Which(_)) && self.context.summed {
                return vec![Action::Interpret(words.to_owned())];
            }
            self.turn.amends = self.puts_the_stored_right(words);
            return self.leaning(knowledge, lean);
        }
        let stored = self.puts_the_stored_right(words);
        if let Some(name) = machine_numbered(words, &self.context.subject).filter(|_| stored) {
            return vec![Action::PutRight(name)];
        }
        if let Some(whole) = self.put_in_the_stored(words) {
            self.turn.amends = true;
            return self.leaning(knowledge, FollowUp::Words(whole));
        }
        if let Some(rest) = self.names_what_was_meant(words) {
            let day = name_and_day(&rest).and_then(|(name, day)| {
                Some((name.to_owned(), day_put_in(day, &self.earlier.words)?))
            });
            return match day {
                Some((name, whole)) => {
                    self.turn.leans = true;
                    vec![Action::PutRight(name), Action::Interpret(whole)]
                }
                None => vec![Action::PutRight(rest)],
            };
        }
        let case = self.context.case.is_some() && self.proposal.is_none();
        if let Some(whole) = machine_put_in(words, &self.earlier).filter(|_| case) {
            return vec![Action::Interpret(whole)];
        }
        if let Some((first, second)) = two_questions::of(words) {
            return vec![
                Action::Interpret(first.to_owned()),
                Action::Interpret(second.to_owned()),
            ];
        }
        let words = before_booking(words).unwrap_or(words);
        if let Some((first, second)) = two_works_told::of(words).filter(|_| !in_turn::asks(words)) {
            self.afterwards.push(second.to_owned());
            return vec![
                say(format!("Asked for after this one: {second}.")),
                Action::InterpretAlone(first.to_owned()),
            ];
        }
        if self.adds_to_the_proposal() && !in_turn::asks(words) {
            return vec![Action::InterpretAlone(words.to_owned())];
        }
        vec![Action::Interpret(words.to_owned())]
    }
}

/// "Hours run tees mower 2026": a year, and no reading of the meter.
fn hours_of_a_year(words: &str) -> Option<String> {
    const WORDS_MAX: usize = 7;
    let plain = super::acts::plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let (last, rest) = said.split_last()?;
    let year = last.len() == 4 && last.starts_with("20") && last.chars().all(|ch| ch.is_ascii_digit());
    let (first, rest) = rest.split_first()?;
    let hours = matches!(*first, "hours" | "hrs") && said.len() <= WORDS_MAX;
    let small = |word: &&&str| matches!(**word, "run" | "ran" | "done" | "on" | "by" | "of" | "for" | "in" | "the" | "did");
    let name: Vec<&str> = rest.iter().filter(|word| !small(word)).copied().collect();
    let figure = |word: &&&str| word.len() > 1 && word.chars().all(|ch| ch.is_ascii_digit());
    let figures = name.iter().any(|word| figure(&word));
    let whole = || format!("how many hours did the {} run in {last}", name.join(" "));
    (year && hours && !name.is_empty() && !figures).then(whole)
}

/// "And what should he watch for with his hands": the cautions of what was told.
fn asks_for_cautions(words: &str) -> bool {
    const ASKS: &[&str] = &["what", "whats", "anything", "which", "how"];
    const OF: &[&str] = &["watch", "careful", "mind", "beware", "safe", "safely", "hurt", "look out"];
    const BODY: &[&str] =
        &["hand", "hands", "finger", "fingers", "safety", "careful", "hurt", "himself", "herself"];
    let plain = super::acts::plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let early = said.iter().take(3).any(|word| ASKS.contains(word));
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    early && has(OF) && has(BODY) && said.len() <= CAUTIONS_WORDS_MAX
}

/// "Can you print that", "print me the list".
fn asks_to_print(words: &str) -> bool {
    const AROUND: &[&str] = &[
        "can", "could", "you", "i", "we", "please", "how", "do", "would", "that", "this", "it", "them", "those", "these",
        "the", "a", "list", "out", "off", "for", "me", "us", "him", "get", "answer", "all", "of", "on", "paper", "so",
        "and", "ok", "then", "to", "want", "need", "have", "give", "copy", "just", "page", "report",
    ];
    const PRINTS: &[&str] = &["print", "printed", "printout", "prints", "printing"];
    let plain = super::acts::plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let prints = said.iter().any(|word| PRINTS.contains(word));
    prints && said.iter().all(|word| PRINTS.contains(word) || AROUND.contains(word))
}

/// How a list goes on paper.
const PRINTED: &str = "Nothing is printed from here. These write one page to print: \
    \"sward due --format html --file due.html\" what is due; \"sward report fleet --since DAY --until DAY \
    --format html --file report.html\" the work, parts and faults of that time; \"sward sheet MACHINE/UNIT \
    --format html --file card.html\" a setting card.";

/// Longer words ask of something of their own.
const CAUTIONS_WORDS_MAX: usize = 12;
