//! How does somebody go through a job in a conversation, and how does its record come about? Every
//! change of a walk is kept as a draft at once, so that nothing read or acknowledged is lost.

use crate::domain::catalogue::{Acceptance, Knowledge, StepReading};
use crate::domain::records::Detail;
use crate::domain::records::bounds::NAME_CHARACTERS_MAX;
use crate::domain::walkthrough::reading::{self, Value};
use crate::domain::walkthrough::spoken::{self, Spoken};
use crate::domain::walkthrough::{Checked, Event, Move, View, Walk, draft, sheet};

use super::acts::{self, Act};
use super::asked_on_the_way;
use super::follow_up::without_correction;
use super::loose_acts::says_read;
use super::{Action, Actions, Asked, Conversation, Proposed, Walking, ask, in_turn, safety, say};

/// Beginnings of the answer to "who did it".
const SIGNATURES: &[&str] = &["it was ", "signed by ", "by ", "i am ", "i'm ", "me, ", "my name is "];

/// Words of a value that is told before it is asked for, at the most.
pub(super) const VALUE_WORDS_MAX: usize = 7;

impl<C: Clone> Conversation<C> {
    /// Begins a job. One that is under way is put away as a draft first.
    pub(super) fn begin(&mut self, knowledge: &Knowledge, id: &str, cause: &str) -> Actions<C> {
        let Some(mut walk) = Walk::begin(knowledge, id) else {
            return vec![say(format!("There is no procedure {id}; \"help\" shows what I can do."))];
        };
        let mut actions = Vec::new();
        self.drop_records_of_walks();
        if let Some(before) = self.walking.take() {
            actions.push(say(format!(
                "{} is put away as a draft at step {}; \"resume\" takes it up again.",
                title(knowledge, before.walk.procedure()),
                before.walk.at().1
            )));
            actions.push(Action::KeepDraft(before));
        }
        walk.subject.clone_from(&self.context.subject);
        walk.cause = cause.to_owned();
        self.count += 1;
        let walking = Walking { number: self.count, walk };
        self.walking = Some(walking.clone());
        self.asked = None;
        self.step_shown = true;
        let shown = [Action::KeepDraft(walking), Action::Opening(id.to_owned()), Action::Step];
        actions.extend(shown);
        actions
    }

    pub(super) fn begin_advised(&mut self, knowledge: &Knowledge, number: usize) -> Actions<C> {
        let Some(advised) = self.advised.get(number.max(1) - 1).cloned() else {
            return vec![say("Nothing was advised yet that I could walk you through.")];
        };
        self.begin(knowledge, &advised.procedure, &advised.cause)
    }

    /// Goes on with a draft.
    pub fn resumed(&mut self, walk: Walk) -> Actions<C> {
        let mut actions = Vec::new();
        if let Some(before) = self.walking.take() {
            actions.push(Action::KeepDraft(before));
        }
        if !walk.subject.is_empty() {
            self.context.subject.clone_from(&walk.subject);
        }
        self.count += 1;
        let ended = walk.finished();
        self.walking = Some(Walking { number: self.count, walk });
        self.asked = None;
        self.drop_records_of_walks();
        if ended {
            actions.extend(self.close());
        } else {
            actions.push(say(
                "The machine may have been moved since: see that it is still secured as step 1 \
                 says before you go on.",
            ));
            self.step_shown = true;
            actions.push(Action::Step);
        }
        actions
    }

    /// What was said in the middle of a job.
    pub(super) fn on_the_way(
        &mut self,
        knowledge: &Knowledge,
        act: Option<&Act>,
        words: &str,
    ) -> Option<Actions<C>> {
        let walking = self.walking.as_ref()?;
        let asked = walking.walk.view(knowledge)?.asked.cloned();
        match act {
            Some(act) => self.act_on_the_way(knowledge, act, asked.as_ref(), words),
            None => self.value_on_the_way(knowledge, asked.as_ref(), words),
        }
    }

    fn act_on_the_way(
        &mut self,
        knowledge: &Knowledge,
        act: &Act,
        asked: Option<&StepReading>,
        words: &str,
    ) -> Option<Actions<C>> {
        let waits = self.walking.as_ref()?.walk.view(knowledge).is_some_and(|view| !view.open);
        let bare = matches!(acts::plain(words).as_str(), "ok" | "okay" | "k" | "right" | "yep");
        let of_an_answer = bare && !self.was_shown && in_turn::asks(&self.words_before);
        if *act == Act::Acknowledge && of_an_answer && asked.is_none() && !waits {
            // "Ok" to an answer given in between does not say that the step is done.
            return Some(vec![say("Say \"done\" when the step is done, \"again\" to see it.")]);
        }
        if waits && self.reads_the_cautions(act, words) {
            return Some(self.acknowledge_here(knowledge));
        }
        let made = match act {
            Act::Acknowledge => return Some(self.acknowledge_here(knowledge)),
            Act::Done if asked.is_some_and(|asked| asked.accept == Acceptance::Yes)
                && acts::beginning(words).is_some_and(|(said, _)| said == Act::Yes) =>
            {
                Move::Read(Value::Yes)
            }
            Act::Yes | Act::No => {
                let value = if *act == Act::Yes { Value::Yes } else { Value::No };
                match asked {
                    Some(_) => Move::Read(value),
                    None if *act == Act::Yes => {
                        let text = "Say \"ok\" when you have read the cautions, \"done\" when the \
                                    step is done.";
                        return Some(vec![say(text)]);
                    }
                    None => return Some(vec![say("Say \"back\", \"why\" or \"stop\".")]),
                }
            }
            Act::Choose(_) => return self.value_on_the_way(knowledge, asked, words),
            Act::Done => Move::Done,
            Act::Back => Move::Back,
            Act::GoTo(number) => Move::GoTo(*number),
            Act::Restart => Move::Restart,
            Act::Undo if self.stored.is_none() => return self.take_back(knowledge),
            Act::Again => {
                self.step_shown = true;
                return Some(vec![Action::Step]);
            }
            Act::Skip => Move::Skip,
            Act::Unknown if asked.is_some() => Move::Skip,
            Act::Walk(id) => Move::Into(id.clone()),
            Act::Why => {
                let view = self.walking.as_ref()?.walk.view(knowledge)?;
                return Some(vec![Action::Say(sheet::why_lines(&view))]);
            }
            Act::Stop | Act::Cancel => return Some(self.put_away(knowledge)),
            Act::Record => return Some(self.close()),
            Act::Discard(_) => {
                let walking = self.walking.take()?;
                let text = "Thrown away; nothing of it is kept.";
                return Some(vec![Action::DropDraft(walking.number), say(text)]);
            }
            Act::Cautions | Act::Help | Act::Drafts | Act::Resume(_) | Act::DoAdvised(_)
            | Act::Greeting | Act::Unknown | Act::Afresh | Act::Undo | Act::WhatWasStored => {
                return None;
            }
        };
        Some(self.make(knowledge, &made))
    }

    /// Words that say the cautions were read; a yes or "ready" only right after they were shown.
    fn reads_the_cautions(&self, act: &Act, words: &str) -> bool {
        let answers = *act == Act::Yes || acts::plain(words).split(' ').any(|word| word == "ready");
        matches!(act, Act::Acknowledge)
            || (matches!(act, Act::Done | Act::Yes) && says_read(words))
            || (answers && self.was_shown && matches!(act, Act::Yes | Act::Done))
    }

    /// The value given last is taken back; its step asks for it again.
    fn take_back(&mut self, knowledge: &Knowledge) -> Option<Actions<C>> {
        let walking = self.walking.as_mut()?;
        if !walking.walk.take_back(knowledge) {
            return Some(vec![say("There is no value here to take back.")]);
        }
        let kept = walking.clone();
        Some(vec![Action::KeepDraft(kept), say("Taken back; read it again."), Action::Step])
    }

    fn acknowledge_here(&mut self, knowledge: &Knowledge) -> Actions<C> {
        let Some(walking) = &self.walking else { return Vec::new() };
        let Some(view) = walking.walk.view(knowledge) else { return Vec::new() };
        // Once the step is open, "ok" says that it is done, where nothing else is asked.
        if view.open {
            return match view.asked {
                None => self.make(knowledge, &Move::Done),
                Some(_) => vec![Action::Step],
            };
        }
        let (procedure, step) = walking.walk.at();
        let made = Move::Acknowledge { procedure: procedure.to_owned(), step };
        self.make(knowledge, &made)
    }

    /// Acknowledges the cautions of a step by its name.
    pub fn acknowledge(
        &mut self,
        knowledge: &Knowledge,
        procedure: &str,
        step: usize,
    ) -> Actions<C> {
        self.other_talk();
        if self.walking.is_none() {
            return vec![say("You are in no job just now; nothing was acknowledged.")];
        }
        let made = Move::Acknowledge { procedure: procedure.to_owned(), step };
        self.make(knowledge, &made)
    }

    /// A value for the reading asked for, or one that corrects the value before it.
    fn value_on_the_way(
        &mut self,
        knowledge: &Knowledge,
        asked: Option<&StepReading>,
        words: &str,
    ) -> Option<Actions<C>> {
        let inches = self.context.inches;
        if let Some(rest) = without_correction(words)
            && let Some(actions) =
                self.correct_named(knowledge, rest).or_else(|| self.correct(knowledge, rest))
        {
            return Some(actions);
        }
        // A number corrects no yes or no.
        let corrects = without_correction(words).is_some_and(looks_like_a_value);
        if corrects && asked.is_some_and(|asked| asked.accept == Acceptance::Yes) {
            let text = "Which reading was that? Say its name and the number, or \"what was read so \
                        far\".";
            return Some(vec![ask(text)]);
        }
        let waits = self.walking.as_ref().and_then(|walking| walking.walk.view(knowledge));
        let closed = waits.as_ref().is_some_and(|view| !view.open);
        if closed && looks_like_a_value(words) {
            // Refused with the reason: the cautions come first.
            return Some(self.make(knowledge, &Move::Done));
        }
        if safety::refused::<C>(knowledge, words).is_some() {
            return None;
        }
        if let Some(actions) = self.told_of_ends(knowledge, words) {
            return Some(actions);
        }
        if let Some(actions) = self.measured_at_ends(knowledge, words) {
            return Some(actions);
        }
        let Some(asked) = asked else {
            let works_out = waits.is_some_and(|view| view.step.compute.is_some());
            let bare = looks_like_a_value(words) && words.split_whitespace().count() <= 2;
            let text = "No value is asked for here. Say \"done\" when the step is done, or \
                        \"again\" to see it.";
            if bare && !works_out {
                return Some(vec![say(text)]);
            }
            return self.told_or_moved(knowledge, words);
        };
        match reading::read(asked, words, inches) {
            Ok(value) => return Some(self.make(knowledge, &Move::Read(value))),
            // A number with something odd behind it was meant as the value; other words were not.
            Err(remedy) if looks_like_a_value(words) => {
                return Some(match spoken::value(asked, words, inches) {
                    Spoken::Value(value, rest) => self.read_in_turn(knowledge, value, &rest),
                    _ => vec![ask(format!("{remedy}. Read: {}", reading::wanted(asked)))],
                });
            }
            Err(_) => {}
        }
        match spoken::value(asked, words, inches) {
            Spoken::Value(value, rest) => Some(self.read_in_turn(knowledge, value, &rest)),
            Spoken::Doubt(doubt) => {
                Some(vec![ask(format!("{doubt}? Read: {}", reading::wanted(asked)))])
            }
            Spoken::Nothing => self.told_or_moved(knowledge, words),
        }
    }

    /// A question about the job, or a step by its title.
    fn told_or_moved(&mut self, knowledge: &Knowledge, words: &str) -> Option<Actions<C>> {
        let walk = &self.walking.as_ref()?.walk;
        let inches = self.context.inches;
        let whole = asked_on_the_way::in_the_unit_of(&self.words_before, words);
        let words = whole.as_deref().unwrap_or(words);
        if let Some(lines) = asked_on_the_way::answer(knowledge, walk, words, inches) {
            let view = walk.view(knowledge)?;
            let stand = format!("You are at step {} of {}.", view.number, view.procedure.title);
            let mut actions = vec![Action::Say(lines), say(stand)];
            if view.open && view.asked.is_some() {
                actions.push(Action::NextReading);
            }
            return Some(actions);
        }
        let view = walk.view(knowledge)?;
        let short = words.split_whitespace().count() <= VALUE_WORDS_MAX;
        if short && view.asked.is_none() && view.step.compute.is_none()
            && let Some(line) = asked_on_the_way::asked_later(&view, words, inches)
        {
            return Some(vec![say(line)]);
        }
        if let Some(number) = step_named(&view, words) {
            return Some(self.make(knowledge, &Move::GoTo(number)));
        }
        self.belongs_elsewhere(knowledge, words)
    }

    /// A value, and those told with it that the step asks for next.
    fn read_in_turn(&mut self, knowledge: &Knowledge, value: Value, rest: &str) -> Actions<C> {
        let mut actions = self.make(knowledge, &Move::Read(value));
        let mut rest = rest.to_owned();
        // Each turn of the loop uses up words.
        while !rest.is_empty() {
            let shown = matches!(actions.last(), Some(Action::NextReading));
            let view = self.walking.as_ref().and_then(|walking| walking.walk.view(knowledge));
            let Some(asked) = view.and_then(|view| view.asked).filter(|_| shown) else { break };
            let Spoken::Value(value, behind) = spoken::value(asked, &rest, self.context.inches)
            else {
                break;
            };
            actions.pop();
            actions.extend(self.make(knowledge, &Move::Read(value)));
            rest = behind;
        }
        actions
    }

    fn correct(&mut self, knowledge: &Knowledge, rest: &str) -> Option<Actions<C>> {
        // "12 not 20" says what it was not; "not 20, 12" is left to the reading of the sentence.
        let rest = rest.split(" not ").next().unwrap_or(rest).trim_end_matches(',');
        let inches = self.context.inches;
        let walking = self.walking.as_mut()?;
        let asked = walking.walk.last_asked(knowledge)?.clone();
        let in_its_unit = || reading::read(&asked, &format!("{rest} {}", asked.unit), inches).ok();
        let value = reading::read(&asked, rest, inches).ok().or_else(in_its_unit).or_else(|| {
            match spoken::value(&asked, rest, inches) {
                Spoken::Value(value @ Value::Number(_), _) => Some(value),
                _ => None,
            }
        })?;
        reading::fits(&asked, &value).ok()?;
        walking.walk.take_back(knowledge).then_some(())?;
        let mut actions = vec![say(format!("Corrected: {}.", asked.label))];
        actions.extend(self.make(knowledge, &Move::Read(value)));
        Some(actions)
    }

    pub(super) fn make(&mut self, knowledge: &Knowledge, made: &Move) -> Actions<C> {
        let Some(walking) = &mut self.walking else { return Vec::new() };
        let before = stand(knowledge, &walking.walk);
        let Some(event) = walking.walk.make(knowledge, made) else {
            return vec![say("The knowledge no longer has this procedure; say \"stop\".")];
        };
        let kept = walking.clone();
        match event {
            Event::Refused(why) => vec![say(why)],
            Event::Shown(checked) => {
                let shown = shown(before, stand(knowledge, &kept.walk), &checked);
                self.step_shown = matches!(shown, Action::Step);
                let mut actions = vec![Action::KeepDraft(kept)];
                if !checked.is_empty() {
                    actions.push(Action::Checked(checked));
                }
                actions.push(shown);
                actions
            }
            Event::Finished(checked) => {
                let mut actions = vec![Action::KeepDraft(kept)];
                if !checked.is_empty() {
                    actions.push(Action::Checked(checked));
                }
                actions.push(say("That was the last step."));
                actions.extend(self.close());
                actions
            }
        }
    }

    fn put_away(&mut self, knowledge: &Knowledge) -> Actions<C> {
        let Some(walking) = self.walking.take() else { return Vec::new() };
        let text = format!(
            "Left at step {} of {}. What was read and acknowledged is kept as a draft: \"resume\" \
             takes it up again.",
            walking.walk.at().1,
            title(knowledge, walking.walk.procedure())
        );
        vec![Action::KeepDraft(walking), say(text)]
    }

    /// What the record of the job still needs, then the proposal.
    fn close(&mut self) -> Actions<C> {
        let Some(walking) = &self.walking else { return Vec::new() };
        if walking.walk.subject.is_empty() {
            self.asked = Some(Asked::Subject);
            return vec![ask(
                "Which unit or machine was it? (Say its name, or \"skip\" to leave it open.)",
            )];
        }
        self.close_signature()
    }

    fn close_signature(&mut self) -> Actions<C> {
        let Some(walking) = &self.walking else { return Vec::new() };
        if walking.walk.signed_by.is_empty() {
            self.asked = Some(Asked::SignedBy);
            return vec![ask("Who did it and signs for it? (A name, or \"skip\".)")];
        }
        self.close_outcome()
    }

    fn close_outcome(&mut self) -> Actions<C> {
        let Some(walking) = &self.walking else { return Vec::new() };
        if walking.walk.cause.is_empty() {
            return Vec::new();
        }
        self.asked = Some(Asked::Fixed);
        vec![ask("Is the fault gone? (yes, no or don't know)")]
    }

    pub(super) fn closing_answer(
        &mut self,
        knowledge: &Knowledge,
        asked: Asked<C>,
        act: Option<&Act>,
        words: &str,
    ) -> Actions<C> {
        if matches!(act, Some(Act::Stop)) {
            return self.put_away(knowledge);
        }
        let left_open = matches!(act, Some(Act::Skip | Act::Unknown | Act::No));
        match asked {
            Asked::Subject if left_open => self.after_subject(knowledge),
            Asked::Subject => {
                self.asked = Some(Asked::Subject);
                vec![Action::FindSubject(words.to_owned())]
            }
            Asked::SignedBy => self.signed(knowledge, if left_open { "" } else { words }),
            Asked::Fixed => {
                let fixed = match act {
                    Some(Act::Yes) => Some(true),
                    Some(Act::No) => Some(false),
                    Some(Act::Unknown | Act::Skip) => None,
                    _ => {
                        self.asked = Some(Asked::Fixed);
                        return vec![ask("Is the fault gone? (yes, no or don't know)")];
                    }
                };
                self.propose_walk(knowledge, fixed)
            }
            other => {
                self.asked = Some(other);
                Vec::new()
            }
        }
    }

    fn after_subject(&mut self, knowledge: &Knowledge) -> Actions<C> {
        let actions = self.close_signature();
        if actions.is_empty() { self.propose_walk(knowledge, None) } else { actions }
    }

    fn signed(&mut self, knowledge: &Knowledge, words: &str) -> Actions<C> {
        let lower = words.to_lowercase();
        let start = SIGNATURES.iter().find(|start| lower.starts_with(**start));
        let name = start.map_or(words, |start| &words[start.len()..]).trim();
        let name = name.trim_end_matches('.');
        if name.chars().count() > NAME_CHARACTERS_MAX {
            self.asked = Some(Asked::SignedBy);
            return vec![ask(format!("A name has at most {NAME_CHARACTERS_MAX} characters."))];
        }
        if let Some(walking) = &mut self.walking {
            walking.walk.signed_by = name.to_owned();
        }
        let actions = self.close_outcome();
        if actions.is_empty() { self.propose_walk(knowledge, None) } else { actions }
    }

    fn propose_walk(&mut self, knowledge: &Knowledge, fixed: Option<bool>) -> Actions<C> {
        let Some(walking) = &self.walking else {
            return vec![say("You are in no job just now.")];
        };
        let mut content = draft::content(knowledge, &walking.walk);
        if let Detail::FaultFixed(fault) = &mut content.detail {
            fault.fixed = fixed;
        }
        let subject = walking.walk.subject.clone();
        let what = Proposed::Walk { subject, content: Box::new(content) };
        self.drop_records_of_walks();
        let understood = format!("Record: {}", title(knowledge, self.walk_procedure()));
        // Its record says by itself what was done; no sentence of anybody's is kept in it.
        self.said.clear();
        self.propose(what, understood, String::new())
    }

    fn walk_procedure(&self) -> &str {
        self.walking.as_ref().map_or("", |walking| walking.walk.procedure())
    }

    /// The unit that was asked for was found: its resource name; or why not.
    pub fn subject_found(
        &mut self,
        knowledge: &Knowledge,
        found: Result<String, String>,
    ) -> Actions<C> {
        self.other_talk();
        match found {
            Err(why) => vec![ask(format!("{why} (Or \"skip\" to leave it open.)"))],
            Ok(name) => {
                self.asked = None;
                self.context.subject.clone_from(&name);
                match &mut self.walking {
                    Some(walking) => {
                        walking.walk.subject = name;
                        self.after_subject(knowledge)
                    }
                    None => Vec::new(),
                }
            }
        }
    }

    /// The record of the job was stored.
    pub fn recorded(&mut self) -> Actions<C> {
        match self.walking.take() {
            Some(walking) => vec![Action::DropDraft(walking.number)],
            None => Vec::new(),
        }
    }
}

/// Where a walk stands: procedure, step, and whether the step is open.
type Stand = (String, usize, bool);

fn stand(knowledge: &Knowledge, walk: &Walk) -> Stand {
    let (procedure, step) = walk.at();
    (procedure.to_owned(), step, walk.view(knowledge).is_some_and(|view| view.open))
}

/// How much of a step is shown after a move: all of it when somebody comes to it.
fn shown<C>(before: Stand, after: Stand, checked: &[Checked]) -> Action<C> {
    let same = (&before.0, before.1) == (&after.0, after.1);
    let sent_back = checked.iter().any(|one| one.back_to.is_some());
    match (before.2, after.2) {
        (false, true) if same => Action::Opened,
        (true, true) if same && !checked.is_empty() && !sent_back => Action::NextReading,
        _ => Action::Step,
    }
}

fn title(knowledge: &Knowledge, id: &str) -> String {
    knowledge.procedure(id).map_or_else(|| id.to_owned(), |row| row.title.clone())
}

/// "Skip ahead to locking": the one step of the procedure whose title has the word.
fn step_named(view: &View<'_>, words: &str) -> Option<usize> {
    const STARTS: &[&str] = &[
        "go to ", "skip to ", "skip ahead to ", "jump to ", "back to ", "go back to ", "on to ",
        "go on to ", "jump ahead to ", "take me to ", "move to ", "move on to ",
    ];
    let plain = acts::plain(words);
    let name = STARTS.iter().find_map(|start| plain.strip_prefix(start))?;
    let stem = |word: &str| {
        let word = word.trim_end_matches("ing").trim_end_matches('s').trim_end_matches('e');
        word.to_owned()
    };
    let named: Vec<String> = name
        .split_whitespace()
        .filter(|word| !matches!(*word, "the" | "step" | "bit" | "part" | "again" | "please"))
        .map(stem)
        .collect();
    let has = |title: &str| {
        let lower = title.to_lowercase();
        let words: Vec<String> =
            lower.split(|ch: char| !ch.is_alphanumeric()).map(stem).collect();
        !named.is_empty() && named.iter().all(|word| words.contains(word))
    };
    let steps = view.procedure.steps.iter();
    let fit: Vec<usize> =
        (1..).zip(steps).filter(|(_, step)| has(&step.title)).map(|(number, _)| number).collect();
    match fit[..] {
        [only] => Some(only),
        _ => None,
    }
}

fn looks_like_a_value(words: &str) -> bool {
    let starts = words.starts_with(|ch: char| ch.is_ascii_digit() || ".-+".contains(ch));
    starts && words.split_whitespace().count() <= 4
}
