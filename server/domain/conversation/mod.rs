//! What is to be done about what somebody says? The turns of a conversation, pure: what is kept of
//! it, the words, and what they mean come in; a list of actions goes out, which the service carries
//! out in their order. `C` is a command of the contract, of which nothing is known here.
//! Two promises hold by construction. `Write` is given only for a proposal that was shown last and
//! answered with a yes. A step of a job is shown only through its walk, cautions first.
//! Deliberately absent: what words mean (`intent`), carrying anything out, and the clock.
//!
//! Order of reading: acts and loose_acts (words of the conversation itself) -> follow_up and
//! other_subject, other_unit (words that lean) -> cautions (which were told) -> here (what is kept,
//! and who gets the words) -> decide (what words that were understood lead to) -> in_turn (several
//! proposals, words that add) -> putting_right (what was stored) -> walking (a job, its record) ->
//! words_in_a_job, measured_ends -> asked_on_the_way -> knowledge_asked -> looked_at, short_answers
//! -> lines_told, asked_of_the_answer, of_the_remedy -> of_the_case -> safety; new_words: the rest.

pub mod acts;
pub mod asked_of_the_answer;
mod another_day;
mod by_role;
mod case;
mod asked_on_the_way;
pub mod cautions;
pub mod decide;
pub mod follow_up;
pub mod help;
mod in_full;
pub mod in_turn;
pub mod knowledge_asked;
mod joints;
mod cuts_and_travel;
mod lengths_apart;
mod lines_told;
mod loose_acts;
mod looked_at;
mod measured_ends;
pub mod measures;
mod nearest;
mod new_words;
mod not_kept;
mod of_the_case;
mod only_asked;
mod of_the_remedy;
mod open_proposal;
mod put_in_place;
mod small_sums;
mod work_on_top;
mod other_subject;
mod other_unit;
mod readings_of_units;
mod records_of_stored;
pub mod putting_right;
mod reel_sums;
mod reworded;
mod second_hand;
mod short_answers;
mod side_put_right;
mod spoken_of;
mod taking_back;
mod the_two;
pub mod safety;
pub mod turning;
mod two_questions;
mod two_works_told;
pub mod units_meant;
mod walking;
mod which_one;
mod words_in_a_job;

use super::catalogue::{Equipment, Knowledge};
use super::language::turns::Open;
use super::limits;
use super::passages::form::Form;
use super::records::Content;
use super::walkthrough::{Checked, Walk};
use acts::Act;
use asked_of_the_answer::LastAnswer;
use by_role::role_of;
use cautions::CautionsTold;
use follow_up::{Earlier, HeardNumber};
pub use in_turn::joined;
use in_turn::Turn;
use knowledge_asked::KnowledgeAsked;
use measures::Answered;
use putting_right::Stored;
use safety::Refused;
use small_sums::Clicks;
use turning::Heights;
use units_meant::UnitsMeant;

/// What is kept of a conversation. Every part is bounded, so the whole is.
#[derive(Clone, Debug)]
pub struct Conversation<C> {
    pub context: Context<C>,
    pub cautions: CautionsTold,
    pub last: LastAnswer,
    /// The words understood last, which follow-ups lean on.
    earlier: Earlier,
    proposal: Option<Proposal<C>>,
    /// Proposals that wait until the one shown is settled, the latest last.
    held: Vec<Proposal<C>>,
    /// What a yes stored last, and the words of what it is storing.
    stored: Option<Stored>,
    confirmed: Earlier,
    /// What was told beside what stands open, to be understood once that is stored.
    afterwards: Vec<String>,
    /// The turn that is being taken.
    turn: Turn<C>,
    /// What was said, turn by turn, that `earlier` came of.
    said: Vec<String>,
    /// What their words name, and what was meant instead; empty: the same.
    named: String,
    meant: String,
    /// A step and its cautions were what was shown last; and so it was when the turn began.
    step_shown: bool,
    was_shown: bool,
    asked: Option<Asked<C>>,
    walking: Option<Walking>,
    /// Procedures that the last diagnosis advises, each with the cause it is the remedy of.
    advised: Vec<Advised>,
    /// What was refused by the last answer; it stays refused when it is pushed for.
    refused: Option<Refused>,
    /// The last question, when the knowledge answered it.
    knowledge_asked: Option<KnowledgeAsked>,
    /// The last words that told a sign of a fault.
    sign_said: Option<String>,
    /// What was said in the turn before.
    words_before: String,
    /// The words that began the last job.
    job_words: String,
    /// What the complaint was told with, and the part and the work that were spoken of last.
    case_words: String,
    /// The two machines that were spoken of last.
    machines_said: Vec<String>,
    closed: Option<(C, String)>,
    part_said: String,
    deed_said: String,
    /// What was said in the last turns: a danger may be told over several.
    lately: Vec<String>,
    /// Turns for which what is asked may be of somebody who was hurt, or nearly.
    hurt: usize,
    /// Proposals and walks so far; numbers them.
    count: u64,
}

/// What was spoken of.
#[derive(Clone, Debug)]
pub struct Context<C> {
    pub equipment: Option<Equipment>,
    /// Resource name of the unit, machine or area.
    pub subject: String,
    /// The last calculation.
    pub previous: Option<C>,
    /// The complaint that is being looked into, with what is known of it.
    pub case: Option<C>,
    /// The last question to the records, with its topic, while nothing else was asked.
    pub question: Option<(C, String)>,
    /// The part that the last question asked for, as its meaning names it. Empty: all of it.
    pub topic: String,
    /// Whoever speaks works in inches.
    pub inches: bool,
    /// The number that the last sum came to.
    pub answered: Option<Answered>,
    /// Fields of the last sums with the unit each was said in, the one said last behind.
    pub said_in: Vec<(String, String)>,
    /// What was understood last was a sum.
    pub summed: bool,
    /// Unit that a measure was wanted in last.
    pub measured_in: Option<&'static str>,
    /// Heights that were told last.
    pub heights: Heights,
    /// The last sum of clicks.
    pub clicks: Clicks,
    /// How far an adjuster was turned by the last record, minus for down.
    pub turned: Option<f64>,
}

/// A job somebody is walked through.
#[derive(Clone, Debug)]
pub struct Walking {
    /// Counted within the conversation; the name of its draft follows from it.
    pub number: u64,
    pub walk: Walk,
}

/// A procedure that was advised.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Advised {
    pub procedure: String,
    /// Empty: it is a check.
    pub cause: String,
}

/// Something that would be stored, waiting for a yes.
#[derive(Clone, Debug)]
pub struct Proposal<C> {
    pub number: u64,
    pub what: Proposed<C>,
    /// In one plain sentence.
    pub understood: String,
    /// What was said, and nothing else.
    pub said: String,
    /// What it is about, when that was put right. Empty: what the command says.
    pub about: String,
    /// Kind of its record.
    kind: String,
    /// It is what was shown last. A yes said after other talk is asked for again.
    fresh: bool,
    /// The words it came of, for those that lean on it.
    of: Earlier,
    /// After other talk it was said last that it is still not stored: a yes stores it.
    reminded: bool,
    /// It was asked what a correction of it meant: a yes shows it again.
    doubted: bool,
    /// More of the same work that no field takes; kept in its notes.
    pub notes: Vec<String>,
}

#[derive(Clone, Debug)]
pub enum Proposed<C> {
    /// As the words were understood.
    Command(C),
    /// The record of a walk, about this resource name (empty: the shop).
    Walk { subject: String, content: Box<Content> },
    /// In the place of the records of these names.
    Amend { names: Vec<String>, command: C },
    /// The records of these names should not have been made.
    Withdraw { names: Vec<String> },
}

/// What was asked and waits for an answer.
#[derive(Clone, Debug)]
enum Asked<C> {
    /// Which of these is meant.
    Which(Vec<decide::Choice<C>>),
    /// What these words lack.
    More(String),
    /// Findings of the check advised, with their questions; and what was answered so far.
    Findings { left: Vec<(String, String)>, known: Vec<(String, bool)> },
    /// The unit, the name and the outcome of the job that is to be recorded.
    Subject,
    SignedBy,
    Fixed,
}

/// What is to be done. The service does it in order.
#[derive(Clone, Debug)]
pub enum Action<C> {
    /// Plain lines.
    Say(Vec<String>),
    /// A question that waits for an answer.
    Ask(Vec<String>),
    /// How the words were understood, and which of them were of no use.
    Understood { sentence: String, unheard: Vec<String>, assumed: Vec<String> },
    /// Find out what these words mean, and go on with `decide`.
    Interpret(String),
    /// Find out what these words mean alone, and go on with `alone`.
    InterpretAlone(String),
    /// Put the unit, machine or area of these words in what is proposed or was stored, and go on
    /// with `put_right` or `not_put_right`.
    PutRight(String),
    /// The record that stands open is of these units; go on with `units_put_right` or
    /// `no_such_units`.
    Units(UnitsMeant),
    /// Carry out a command that only reads.
    Run(C),
    /// What the knowledge says to a question of this form about these words.
    Tell { form: Form, query: String },
    /// How much each end is to be turned.
    Turn(Heights),
    /// Propose the record that is open, or was stored last, for what these words name instead; go
    /// on with `again_for` or `not_again`.
    RecordAgain(String),
    /// The complaint that is being looked into is known to show these, or not to.
    Know(Vec<(String, bool)>),
    /// Ask the last diagnosis again with what is known now.
    Observe(Vec<(String, bool)>),
    /// Show the proposal.
    Propose,
    /// Store the proposal: it was confirmed.
    Write(Proposal<C>),
    /// Readings held against what is good.
    Checked(Vec<Checked>),
    /// What a job is, before its first step.
    Opening(String),
    /// Show the step the walk is at, its cautions in full.
    Step,
    /// Show it right after its cautions were shown in full and acknowledged.
    Opened,
    /// Ask for the next value of the step that is shown already.
    NextReading,
    /// Not done: it would hurt someone. The text says the safe way.
    Refuse { text: String, cautions: Vec<String> },
    /// The cautions of these ids in full.
    Cautions(Vec<String>),
    KeepDraft(Walking),
    DropDraft(u64),
    Drafts,
    Resume(usize),
    /// Goes on with the draft that these words tell of.
    ResumeNamed(String),
    Discard(usize),
    /// Find the unit, machine or area of these words, and go on with `subject_found`.
    FindSubject(String),
}

type Actions<C> = Vec<Action<C>>;

impl<C: Clone> Default for Conversation<C> {
    fn default() -> Conversation<C> {
        Conversation {
            context: Context {
                equipment: None,
                subject: String::new(),
                previous: None,
                case: None,
                question: None,
                topic: String::new(),
                inches: false,
                answered: None,
                said_in: Vec::new(),
                summed: false,
                measured_in: None,
                heights: Heights::default(),
                clicks: Clicks::default(),
                turned: None,
            },
            cautions: CautionsTold::default(),
            last: LastAnswer::default(),
            earlier: Earlier::default(),
            proposal: None,
            held: Vec::new(),
            stored: None,
            confirmed: Earlier::default(),
            afterwards: Vec::new(),
            turn: Turn::begun("", false),
            said: Vec::new(),
            named: String::new(),
            meant: String::new(),
            step_shown: false,
            was_shown: false,
            asked: None,
            walking: None,
            advised: Vec::new(),
            refused: None,
            knowledge_asked: None,
            sign_said: None,
            words_before: String::new(),
            job_words: String::new(),
            case_words: String::new(),
            closed: None,
            part_said: String::new(),
            machines_said: Vec::new(),
            deed_said: String::new(),
            lately: Vec::new(),
            hurt: 0,
            count: 0,
        }
    }
}

fn say<C>(line: impl Into<String>) -> Action<C> {
    Action::Say(vec![line.into()])
}

fn ask<C>(line: impl Into<String>) -> Action<C> {
    Action::Ask(vec![line.into()])
}

impl<C: Clone> Conversation<C> {
    pub fn proposal(&self) -> Option<&Proposal<C>> {
        self.proposal.as_ref()
    }

    pub fn walking(&self) -> Option<&Walking> {
        self.walking.as_ref()
    }

    /// Whether an answer, a confirmation or a step is waited for.
    pub fn waits(&self) -> bool {
        self.proposal.is_some() || self.asked.is_some() || self.walking.is_some()
    }

    /// What to do about what somebody said.
    pub fn hear(&mut self, knowledge: &Knowledge, words: &str) -> Actions<C> {
        if let Err((value, remedy)) = limits::complaint(words) {
            return vec![say(format!("What you said is {value}: {remedy}."))];
        }
        let words = words.trim();
        if words.is_empty() {
            return vec![say("Say what is wrong, what you did, or what you want to know.")];
        }
        let refused = self.refused.take();
        let of_two = self.with_the_two(words);
        let words = second_hand::as_asked(knowledge, of_two.as_deref().unwrap_or(words));
        let whole = self.said_whole(knowledge, words);
        let words = whole.as_deref().unwrap_or(words);
        let mut actions = self.taken(knowledge, words, refused.as_ref());
        self.choice_at_the_end(&mut actions);
        self.refused = Refused::of(&actions, words).or_else(|| self.refused.take());
        actions
    }

    fn taken(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        refused: Option<&Refused>,
    ) -> Actions<C> {
        let act = acts::of(words).filter(|act| self.takes(act, words));
        let act = act.or_else(|| self.answers_the_check(words));
        let said = act.is_none();
        let told = said.then(|| safety::arises(knowledge, &self.told_lately(), words)).flatten();
        let hurt = match &told {
            Some((first, true)) => Some(first.clone()),
            _ if said => safety::emergency(knowledge, words),
            _ => None,
        };
        if said {
            self.keep_lately(knowledge, words, hurt.is_some());
        }
        if let Some(first) = hurt {
            self.other_talk();
            self.turn.words = words.to_owned();
            return vec![first];
        }
        if let Some(after) = self.after_hurt(knowledge, words).filter(|_| said) {
            self.other_talk();
            self.turn.words = words.to_owned();
            return vec![after];
        }
        // What is refused says its own.
        let told = told.filter(|_| safety::refused::<C>(knowledge, words).is_none());
        let mut actions: Actions<C> = told.into_iter().map(|(first, _)| first).collect();
        if !actions.is_empty() && self.context.case.is_none() {
            // Nothing is looked into yet, so that is all; what is asked next is of this.
            self.sign_said = Some(self.told_lately());
            self.turn.words = words.to_owned();
            return actions;
        }
        actions.extend(self.heard_of(knowledge, words, refused, act));
        actions
    }

    /// What words that tell of no danger mean.
    fn heard_of(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
        refused: Option<&Refused>,
        act: Option<Act>,
    ) -> Actions<C> {
        // "Why" after a refusal asks for its reason, in a job and out of it.
        let why = matches!(act, None | Some(Act::Why));
        let again = refused.filter(|_| why);
        let role = again.and_then(|_| role_of(knowledge, words, Open::Refusal));
        let again = again.and_then(|before| safety::refused_again(knowledge, words, before, role));
        if let Some(again) = again {
            self.other_talk();
            return vec![again];
        }
        let further = refused.filter(|_| why);
        let further =
            further.and_then(|before| Some((before, before.further(knowledge, words, role)?)));
        if let Some((before, actions)) = further {
            self.other_talk();
            self.refused = Some(before.clone());
            return actions;
        }
        let was_fresh = self.proposal.as_mut().is_some_and(|open| {
            std::mem::replace(&mut open.fresh, false)
        });
        let reminded = self.proposal.as_mut().is_some_and(|open| {
            std::mem::replace(&mut open.reminded, false)
        });
        self.was_shown = std::mem::replace(&mut self.step_shown, false);
        self.words_before = std::mem::take(&mut self.turn.words);
        // What answers the question of a correction corrects.
        let doubted = self.proposal.as_mut().is_some_and(|open| {
            std::mem::replace(&mut open.doubted, false)
        });
        self.turn = Turn::begun(words, was_fresh || doubted);
        self.turn.was_reminded = reminded;
        if let Some(actions) = self.about_the_proposal(knowledge, act.as_ref(), words, was_fresh) {
            return actions;
        }
        let moved = act.is_none().then(|| self.case_moved(knowledge, words)).flatten();
        if let Some(actions) = moved {
            return actions;
        }
        if let Some(actions) = self.of_the_last_answer(knowledge, act.as_ref(), words) {
            return actions;
        }
        if let Some(actions) = self.an_answer(knowledge, act.as_ref(), words) {
            return actions;
        }
        if let Some(actions) = self.on_the_way(knowledge, act.as_ref(), words) {
            return actions;
        }
        if let Some(actions) = self.of_the_knowledge(knowledge, act.as_ref(), words) {
            return actions;
        }
        match act {
            Some(act) => self.general(knowledge, act),
            None => self.new_words(knowledge, words),
        }
    }

    /// Whether an act is one here: outside a job "next" and "back" are words like any others.
    fn takes(&self, act: &Act, words: &str) -> bool {
        use Act::{Again, Back, Done, Restart, Skip, Stop};
        let first = words.split_whitespace().next().unwrap_or_default();
        // "And 4" asks the last question of another unit; "what is open" asks the shop.
        let and = self.context.question.is_some() && first.eq_ignore_ascii_case("and");
        let open = *act == Act::Drafts && words.to_lowercase().contains("open");
        if self.walking.is_none() && (and || open) {
            return false;
        }
        if *act == Act::Why && !self.last.more.is_empty() {
            return true;
        }
        // "Why" of what the records said is for them to say.
        if *act == Act::Why && self.context.question.is_some() && self.walking.is_none() {
            return false;
        }
        // "And the right" puts a unit in.
        let units = words.trim().contains(' ') && self.units_of_the_open(words).is_some();
        if matches!(act, Act::Acknowledge | Act::Done) && units {
            return false;
        }
        let of_a_job = matches!(act, Again | Back | Done | Restart | Skip | Stop);
        // "At 12" outside a job is a setting.
        let step = words.to_lowercase().contains("step");
        if self.walking.is_none() && matches!(act, Act::GoTo(_)) && !step {
            return false;
        }
        // "And for 15" after a sum is a number of it.
        let chooses = self.asked.is_some() || !self.advised.is_empty() || self.walking.is_some();
        let numbered = self.context.summed || self.proposal.is_some();
        if matches!(act, Act::Choose(_)) && !chooses && numbered {
            return false;
        }
        !of_a_job || self.walking.is_some() || acts::exactly(words).is_some()
    }
}
