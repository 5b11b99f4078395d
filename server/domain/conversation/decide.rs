//! What do words that were understood lead to? Reads are carried out at once, writes are proposed,
//! a job is begun, doubt is asked about, and what cannot be answered gets what can be.

use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::leave::RUNNING_ON;
use crate::domain::limits;
use crate::domain::number_text::read_number;
use crate::domain::units::{Unit, convert};

use super::follow_up::Earlier;
use super::in_turn;
use super::knowledge_asked::KnowledgeAsked;
use super::other_subject::Named;
use super::safety::{self, Refused};
use super::turning::Heights;
use crate::domain::intent::ahead::NOT_YET;
use crate::domain::intent::by_role::NOT_JUDGED;
use crate::domain::intent::what_we_have::HELD_HERE;
use crate::domain::intent::undone::NOT_DONE;
use crate::domain::intent::no_orders;

use super::{Action, Actions, Asked, Conversation, HeardNumber, Proposed, say};

/// What words mean, as far as a turn has to know it.
#[derive(Clone, Debug)]
pub struct Meaning<C> {
    pub sense: Sense<C>,
    /// In one plain sentence; for a refusal the safe way.
    pub understood: String,
    /// What has to be given first, each as a sentence that asks for it.
    pub missing: Vec<String>,
    /// Other ways to take the words, each in a sentence.
    pub alternatives: Vec<Choice<C>>,
    pub numbers: Vec<HeardNumber>,
    /// Words of no use, as they stand.
    pub unheard: Vec<String>,
    /// Doubts and assumptions, each a sentence.
    pub assumed: Vec<String>,
    /// Cautions of what was asked, by id.
    pub cautions: Vec<String>,
    /// Resource name of what the words name; empty when they name nothing of the shop.
    pub subject: String,
    /// The part that is asked for. Empty: all of it.
    pub topic: String,
    /// Kind of the record it would store.
    pub kind: String,
}

#[derive(Clone, Debug)]
pub enum Sense<C> {
    /// Only reads. `calculation`: later words may change its quantities.
    /// `question`: one to the records, which later words may ask of something else.
    Read { command: C, calculation: bool, question: bool },
    /// Would store something.
    Write(C),
    /// A job to be walked through, by the id of its procedure.
    Walk(String),
    Refused,
    OutOfScope,
    Unclear,
}

/// One way to take words.
#[derive(Clone, Debug)]
pub struct Choice<C> {
    pub understood: String,
    pub sense: Sense<C>,
}

/// Said of words beside a complaint that tell nothing.
const NO_SIGN: &str = "I hear no sign that I know in that, so what was found so far stands. Say what \
                       it shows in other words, or \"new fault\" for something else.";
/// Said of few words behind a question to the records that ask nothing of them.
const NO_QUESTION: &str = "I cannot tell what of the records that asks. Say the machine or part with \
                           when, who, how many, how long or how often, such as \"how many blades \
                           on the verticuts last time\".";
/// Said of few words behind a sum that ask what it does not say.
const NOT_OF_THE_SUM: &str = "The sum does not say that, and I know nothing that does. Give it another \
                              number, ask for its working with \"why\", or ask of one thing by its name.";
/// More words than these tell something of their own.
const SHORT_WORDS: usize = 5;
/// The same behind a sum.
const OF_A_SUM_WORDS: usize = 9;
/// Stands before the topic of what is looked up in notes and procedures.
const LOOKED_UP: &str = crate::domain::intent::why::TOLD;

impl<C: Clone> Conversation<C> {
    /// The words understood last.
    pub fn earlier_words(&self) -> &str {
        &self.earlier.words
    }

    /// What to do about words with this meaning.
    pub fn decide(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        meaning: Meaning<C>,
    ) -> Actions<C> {
        let mut actions = self.decided(knowledge, words, meaning);
        self.choice_at_the_end(&mut actions);
        actions
    }

    fn decided(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        meaning: Meaning<C>,
    ) -> Actions<C> {
        let meaning = match self.settled(meaning) {
            Ok(meaning) => meaning,
            Err((alone, meaning)) => {
                let noted = self.noted(&alone, &meaning);
                return noted.unwrap_or_else(|| self.decided(knowledge, &alone, meaning));
            }
        };
        let told = self.puts_nothing_right(words, &meaning);
        if let Some(told) = told.or_else(|| self.not_in_the_knowledge(knowledge, words, &meaning)) {
            return told;
        }
        let writes = matches!(meaning.sense, Sense::Write(_));
        if writes && self.is_no_record_here(words, &meaning.kind, &meaning.subject) {
            return self.not_noted(knowledge);
        }
        let amends = std::mem::take(&mut self.turn.amends);
        let leave = Refused::told(knowledge, &meaning.topic, words);
        let mut actions: Actions<C> = match self.stop_first(knowledge, words, &meaning) {
            Ok(stop) => stop.into_iter().collect(),
            Err(alone) => return alone,
        };
        let told = matches!(meaning.sense, Sense::Read { .. } | Sense::Write(_) | Sense::Walk(_));
        if told || !meaning.alternatives.is_empty() {
            self.note_what_was_said(&meaning.subject);
        }
        if told {
            if !amends {
                self.stored_is_past();
            }
            self.speak_of(&meaning.subject);
            self.context.topic.clone_from(&meaning.topic);
            self.note_a_sign(knowledge, words);
            self.note_spoken_of(words, &meaning);
            self.knowledge_asked = KnowledgeAsked::of(knowledge, &meaning.topic, words);
            self.note_heights(words, &meaning);
            self.context.summed = matches!(meaning.sense, Sense::Read { calculation: true, .. });
            if self.context.summed {
                self.note_units(&meaning.numbers);
            }
            self.earlier = Earlier {
                words: words.to_owned(),
                numbers: meaning.numbers.clone(),
                about: Named::of(&meaning.subject),
            };
            actions.push(Action::Understood {
                sentence: meaning.understood.clone(),
                unheard: meaning.unheard.clone(),
                assumed: meaning.assumed.clone(),
            });
        }
        let aside = self.leaves_the_choice(&meaning);
        actions.splice(0..0, if aside { None } else { self.not_recorded(&meaning) });
        match meaning.sense {
            Sense::Refused => actions.push(Action::Refuse {
                text: meaning.understood,
                cautions: meaning.cautions,
            }),
            _ if meaning.alternatives.len() > 1 => {
                actions.extend(self.ask_which(meaning.alternatives));
            }
            Sense::Unclear => match meaning.alternatives.into_iter().next() {
                Some(only) => actions.extend(self.ask_which(vec![only])),
                None if meaning.topic == HELD_HERE => actions.push(say(meaning.understood)),
                None => actions.extend(self.not_understood(words, &meaning.understood)),
            },
            Sense::OutOfScope => actions.extend(self.outside(&meaning.understood)),
            Sense::Write(_) | Sense::Read { calculation: false, .. }
                if !meaning.missing.is_empty() =>
            {
                self.asked = Some(Asked::More(words.to_owned()));
                actions.push(Action::Ask(meaning.missing));
            }
            Sense::Write(command) if amends => {
                actions.extend(self.amend(command, meaning.understood, meaning.kind));
            }
            sense => {
                let (understood, kind) = (meaning.understood, meaning.kind);
                actions.extend(self.carry_out(knowledge, sense, understood, kind));
            }
        }
        actions.extend(aside.then(|| self.chosen_is_asked_again()).flatten());
        self.remind(knowledge, &mut actions);
        self.refused = Refused::of(&actions, words).or(leave);
        actions
    }

    /// Words that say that something was wrong, and tell nothing that fits what stands open.
    fn puts_nothing_right(&mut self, words: &str, meaning: &Meaning<C>) -> Option<Actions<C>> {
        let again = self.turn.told_again.take();
        if again.is_some_and(|again| in_turn::unused(&again, meaning)) {
            return self.fits_nothing();
        }
        let stores = matches!(meaning.sense, Sense::Write(_) | Sense::Walk(_) | Sense::Refused);
        if stores { None } else { self.corrects_nothing(words) }
    }

    /// What is said of words of something else; what was told before may still be asked of.
    fn outside(&mut self, understood: &str) -> Actions<C> {
        self.last.leaves_lines = true;
        cannot(understood)
    }

    /// What is said of words that mean nothing here.
    fn not_understood(&mut self, words: &str, understood: &str) -> Actions<C> {
        self.last.leaves_lines = true;
        if understood == NOT_JUDGED {
            return cannot(understood);
        }
        if self.context.case.is_some() && !in_turn::asks(words) {
            return [say(NO_SIGN)].into_iter().chain(self.asked_again()).collect();
        }
        let few = words.split_whitespace().count() <= OF_A_SUM_WORDS;
        if self.context.summed && in_turn::asks(words) && few {
            return vec![say(NOT_OF_THE_SUM)];
        }
        // What follows a question to the records and asks nothing they can tell.
        match self.context.question.is_some() && short(words) {
            true => vec![say(NO_QUESTION)],
            false => cannot(understood),
        }
    }

    /// What the check asked and was not answered.
    pub(super) fn asked_again(&mut self) -> Option<Action<C>> {
        let asked = self.turn.unanswered.take()?;
        let Asked::Findings { left, .. } = &asked else {
            let Asked::Which(choices) = asked else { return None };
            return self.ask_which(choices).into_iter().next();
        };
        let question = left.first().map(|(_, question)| super::ask(question.clone()));
        self.asked = Some(asked);
        question
    }

    /// A machine that has to stop now is told to before anything else is said; `Err`: that is all.
    fn stop_first(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        meaning: &Meaning<C>,
    ) -> Result<Option<Action<C>>, Actions<C>> {
        use Sense::{OutOfScope, Read, Refused, Unclear, Walk, Write};
        let sum = matches!(meaning.sense, Refused | Read { calculation: true, .. });
        let reading = knowledge.ear.read(words);
        let danger = danger::heard(knowledge, &reading);
        let Some(stop) = safety::stop(knowledge, &danger).filter(|_| !sum) else {
            let wrongly = || safety::done_wrongly(knowledge, &reading, &danger);
            return Ok(matches!(meaning.sense, Write(_)).then(wrongly).flatten());
        };
        let unclear = matches!(meaning.sense, Unclear | OutOfScope);
        let bare = meaning.kind == in_turn::COMPLAINT && !tells_a_sign(knowledge, words);
        let writes = matches!(meaning.sense, Write(_) | Walk(_));
        let defeated = safety::is_defeated(&danger) && !writes;
        if ((unclear || bare) && meaning.topic.is_empty()) || defeated {
            // Nothing to look into is told yet; what is asked next is of this.
            self.sign_said = Some(words.to_owned());
            return Err(vec![stop]);
        }
        // Whether it may go on is answered with the stop.
        Ok(Some(stop).filter(|_| meaning.topic != RUNNING_ON))
    }

    /// Keeps the sentence with those that it leans on; what they were said to be about instead
    /// holds until something else is named.
    fn note_what_was_said(&mut self, subject: &str) {
        let goes_on = self.turn.leans || self.turn.repeats;
        if !goes_on {
            self.said.clear();
        }
        if self.said.len() < limits::CHOICES_MAX {
            self.said.push(self.turn.words.clone());
        }
        if !self.turn.leans || subject != self.named {
            self.meant.clear();
        }
        subject.clone_into(&mut self.named);
    }

    /// Keeps in which unit each number of a sum was said, the latest last.
    fn note_units(&mut self, numbers: &[HeardNumber]) {
        let said_in = &mut self.context.said_in;
        // Of several said at once, what belongs to the machine is meant last.
        let stays = |number: &&HeardNumber| {
            let field = number.meant.as_str();
            numbers.len() > 1 && OF_THE_MACHINE.iter().any(|start| field.starts_with(start))
        };
        let first = numbers.iter().filter(stays);
        for number in first.chain(numbers.iter().filter(|number| !stays(number))) {
            let field = number.meant.replace(' ', "_");
            let before = said_in.iter().find(|(known, _)| *known == field);
            let before = before.map(|(_, unit)| unit.clone()).unwrap_or_default();
            let unit = match number.unit.as_str() {
                "" => unit_taken(number, &field, &before),
                said => said.to_owned(),
            };
            said_in.retain(|(known, _)| *known != field);
            said_in.push((field, unit));
        }
        let more = said_in.len().saturating_sub(limits::CHOICES_MAX * 4);
        said_in.drain(..more);
    }

    /// What was named is what is spoken of from now on.
    fn speak_of(&mut self, subject: &str) {
        self.note_machine(subject);
        if subject.is_empty() || subject == self.context.subject {
            return;
        }
        // Another machine may be of another kind.
        self.context.equipment = None;
        subject.clone_into(&mut self.context.subject);
    }

    pub(super) fn carry_out(
        &mut self,
        knowledge: &Knowledge,
        sense: Sense<C>,
        understood: String,
        kind: String,
    ) -> Actions<C> {
        if !matches!(sense, Sense::Read { .. }) {
            self.context.question = None;
        }
        match sense {
            Sense::Read { command, calculation, question } => {
                if calculation {
                    self.context.previous = Some(command.clone());
                    self.context.heights = Heights::default();
                }
                let topic = self.context.topic.clone();
                // What is looked up in between leaves the question to the records as it was.
                if question || !topic.starts_with(LOOKED_UP) {
                    self.context.question = question.then(|| (command.clone(), topic));
                }
                vec![Action::Run(command)]
            }
            // What corrects an amendment that is open is one as well.
            Sense::Write(command) => match self.proposal.as_ref().map(|open| &open.what) {
                Some(Proposed::Amend { names, .. }) if self.turn.leans => {
                    let names = names.clone();
                    self.propose(Proposed::Amend { names, command }, understood, kind)
                }
                _ => self.propose(Proposed::Command(command), understood, kind),
            },
            Sense::Walk(id) => {
                let words = self.turn.words.clone();
                self.note_job(&words);
                self.begin(knowledge, &id, "")
            }
            Sense::Refused | Sense::OutOfScope | Sense::Unclear => cannot(&understood),
        }
    }

    /// What was stored just now is to be replaced by this.
    fn amend(&mut self, command: C, understood: String, kind: String) -> Actions<C> {
        let Some(stored) = &self.stored else {
            return self.propose(Proposed::Command(command), understood, kind);
        };
        let names = stored.names.clone();
        self.propose(Proposed::Amend { names, command }, understood, kind)
    }

    /// Somebody in the middle of a job is told where they stand after other talk.
    fn remind(&self, knowledge: &Knowledge, actions: &mut Actions<C>) {
        let shown = |action: &Action<C>| {
            use Action::{NextReading, Opened, Propose, Step};
            matches!(action, Step | Opened | NextReading | Propose)
        };
        if actions.iter().any(shown) {
            return;
        }
        let Some(walking) = &self.walking else { return };
        let Some(view) = walking.walk.view(knowledge) else { return };
        actions.push(say(format!(
            "You are at step {} of {}; \"again\" shows it.",
            view.number, view.procedure.title
        )));
    }
}

fn short(words: &str) -> bool {
    words.split_whitespace().count() <= SHORT_WORDS
}

/// Whether the words tell what the turf or the machine shows.
fn tells_a_sign(knowledge: &Knowledge, words: &str) -> bool {
    let hearing = knowledge.ear.hear(&knowledge.ear.read(words));
    hearing.heard.iter().any(|heard| heard.present && !heard.implied)
}

/// Beginnings of what a machine has, as against what is set or driven.
const OF_THE_MACHINE: &[&str] = &[
    "thread pitch", "height change per turn", "blade count", "blade thickness", "blade diameter",
    "roller diameter", "brush diameter", "wheel diameter", "reel diameter", "working width",
    "front roller", "rear roller", "adjuster travel", "slot angle",
];

/// The unit that a number without one was taken in: that of the field, else one that makes of it
/// what it came to.
fn unit_taken(number: &HeardNumber, field: &str, before: &str) -> String {
    const TRIED: &[&str] = &["mm", "in", "thou", "km/h", "mph", "m/s", "cm", "m", "psi", "bar"];
    let own = Unit::of_field(field).symbol;
    let said = read_number(&number.text).ok().map(|typed| typed.value);
    let (Some(said), Some(value)) = (said, number.value) else { return before.to_owned() };
    let makes = |unit: &&str| {
        !unit.is_empty()
            && convert(said, unit, own).is_some_and(|made| (made.abs() - value.abs()).abs() < 1e-6)
    };
    let tried = [before, own].into_iter().chain(TRIED.iter().copied());
    tried.into_iter().find(makes).unwrap_or(before).to_owned()
}

/// What cannot be answered, and what can be.
fn cannot<C>(understood: &str) -> Actions<C> {
    if matches!(understood, NOT_YET | NOT_DONE | NOT_JUDGED) || no_orders::is_told(understood) {
        return vec![say(understood)];
    }
    let can = "What I can do: find the cause of a poor cut, work out a setting, record work, walk \
               you through a job, tell what records and notes say. \"help\" shows how.";
    let mut lines = Vec::new();
    if !understood.is_empty() {
        lines.push(understood.to_owned());
    }
    lines.push(can.to_owned());
    vec![Action::Say(lines)]
}
