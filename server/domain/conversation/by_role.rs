//! What do words mean that lean on what stands open, in ways that no list holds? The model of turns
//! tells what they do to it (`language::turns`); said in words that this conversation knows, they
//! are understood like any others.
//! Deliberately absent: what more of a complaint or of a question is told (`intent::by_role`).

use super::only_asked::{asked_instead, only_asks};
use super::asked_of_the_answer::{asks_of_a_cause, bare, core};
use super::follow_up::without_correction;
use super::of_the_case::{BEFORE, GOES_ON, TIME};
use super::{Asked, Conversation, acts, in_turn, second_hand};
use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::guide;
use crate::domain::intent::leave::OVERDUE;
use crate::domain::language::purpose::{ASKED, Purposes};
use crate::domain::language::text::tokens;
use crate::domain::language::turns::{self, Open};

/// What asks whether a machine may go out, and how likely that has to be (no source).
const READY: &str = "ready";
const LIKELY: f64 = 0.3;
/// Longer words name what they ask of.
const READY_WORDS_MAX: usize = 8;

/// What a turn does to what stands open; none when it is not clear.
pub(super) fn role_of(knowledge: &Knowledge, words: &str, open: Open) -> Option<&'static str> {
    turns::role(&knowledge.purpose_ear.hear(&knowledge.ear.read(words)), open)
}

impl<C: Clone> Conversation<C> {
    /// The words said whole, where they lean on the complaint and answer none of its checks.
    pub(super) fn said_whole(&self, knowledge: &Knowledge, words: &str) -> Option<String> {
        let free = self.proposal.is_none() && self.walking.is_none();
        let of_case = self.context.case.is_some() && free;
        // "No, I want to know if it can go out": the no denies nothing, and it is asked of what ails.
        let ails = of_case || (free && self.stops_something(knowledge));
        if let Some(asked) = asked_instead(words).filter(|_| ails) {
            let goes_on = danger::asks_to_run_on(knowledge, &asked);
            let whole = if goes_on { None } else { self.said_whole(knowledge, &asked) };
            return Some(whole.unwrap_or(asked));
        }
        // "No, I mean may it go out with the leak": the no denies no leak.
        let corrected = without_correction(words).filter(|_| of_case);
        if let Some(asked) = corrected.filter(|asked| danger::asks_to_run_on(knowledge, asked)) {
            return Some(asked.to_owned());
        }
        let answers = self.answers_the_check(words).is_some();
        let free_of = self.says_until_when(words) || second_hand::was_mistaken(words);
        if answers || free_of || only_asks(words) {
            return None;
        }
        let by_role = || self.meant_by_role(knowledge, words).map(str::to_owned);
        let checked = of_case && matches!(self.asked, Some(Asked::Findings { .. }));
        let harmless = || !danger::is_any(knowledge, words);
        let told = || second_hand::plainly_told(words).filter(|_| checked && harmless());
        self.meant_of_the_case(knowledge, words).or_else(told).or_else(by_role)
    }

    /// Whether something that was told has to stop first.
    fn stops_something(&self, knowledge: &Knowledge) -> bool {
        let told = self.sign_said.iter().map(String::as_str).chain([self.case_words.as_str()]);
        let stops = |said: &str| danger::heard(knowledge, &knowledge.ear.read(said)).stop.is_some();
        told.into_iter().any(stops) || stops(&self.told_lately())
    }

    /// The words that are known here for what these do to the complaint that is looked into.
    fn meant_by_role(&self, knowledge: &Knowledge, words: &str) -> Option<&'static str> {
        let waits = !matches!(self.asked, None | Some(Asked::Findings { .. }));
        // What is asked after a hurt is of that.
        let waits = waits || self.hurt > 0;
        let busy = self.proposal.is_some() || self.walking.is_some() || waits;
        if busy || self.context.case.is_none() || acts::of(words).is_some() {
            return None;
        }
        let purposes = knowledge.purpose_ear.hear(&knowledge.ear.read(words));
        let role = |open: Open| turns::role(&purposes, open);
        if self.context.question.is_some() && role(Open::Records).is_some() {
            return None;
        }
        // "Is it safe to send out", of what ails: the records cannot tell.
        if asks_if_ready(&purposes, words) && !is_dangerous(knowledge, words) {
            return Some(GOES_ON);
        }
        let advised = !self.advised.is_empty();
        match role(Open::Complaint)? {
            // What is asked with a guard off or a hand in it has its own answer.
            _ if danger::is_judged(knowledge, words) && is_dangerous_work(words) => None,
            "next" if danger::asks_to_run_on(knowledge, words) => Some(GOES_ON),
            "next" => Some("what now"),
            "how" if advised && self.how_of_it(knowledge, words) => Some("walk me through it"),
            "why" => Some("why"),
            "past" if !asks_for_one_thing(words) => Some(BEFORE),
            // "We timed it, bang on" tells what a look came to.
            "time" if advised && !tells_a_look(words) => Some(TIME),
            // "Does sand do it" asks for the cause.
            "may" if !is_dangerous(knowledge, words) && !of_a_cause(words) => Some(GOES_ON),
            "drop" if knowledge.ear.hear(&knowledge.ear.read(words)).heard.is_empty() => {
                Some("forget it")
            }
            _ => None,
        }
    }

    /// It asks how that is done which was advised: no job is named, and no hand is at a blade.
    fn how_of_it(&self, knowledge: &Knowledge, words: &str) -> bool {
        // "Put it right" names no job of another kind of machine.
        let fits = |id: &str| {
            let row = knowledge.procedure(id);
            let of = |kind| row.is_some_and(|row| row.equipment.contains(&kind));
            self.context.equipment.is_none_or(of)
        };
        let named = guide::procedure(knowledge, &tokens(words)).is_some_and(fits);
        !named && self.safe_way_after(knowledge, &self.turn.words, words).is_none()
    }
}

/// Whether the words tell that somebody looked, and ask for nothing.
fn tells_a_look(words: &str) -> bool {
    const LOOKED: &[&str] = &["timed", "measured", "checked", "clocked", "tested", "looked", "tried"];
    let plain = acts::plain(words);
    !in_turn::asks(words) && plain.split_whitespace().any(|word| LOOKED.contains(&word))
}

/// Whether few words that name no machine by its number ask if it may go out.
fn asks_if_ready(purposes: &Purposes, words: &str) -> bool {
    let few = words.split_whitespace().count() <= READY_WORDS_MAX;
    let numbered = words.contains(|ch: char| ch.is_ascii_digit());
    let likely = purposes.likeliest_of(ASKED);
    few && !numbered && likely.is_some_and(|(topic, chance)| topic == READY && chance >= LIKELY)
}

fn of_a_cause(words: &str) -> bool {
    asks_of_a_cause(words, core(&bare(words)))
}

/// "Who dealt with it last time": one thing of what was done before.
fn asks_for_one_thing(words: &str) -> bool {
    let plain = acts::plain(words);
    let first = plain.split_whitespace().next().unwrap_or_default();
    matches!(first, "who" | "whos" | "when" | "what" | "whats" | "how")
}

/// Whether the words put a hand, a guard or a switch where it hurts.
fn is_dangerous_work(words: &str) -> bool {
    const HAND: &[&str] = &["reach", "hand", "hands", "fingers", "finger", "inside", "under", "underneath"];
    const GUARD: &[&str] = &["guard", "guards", "cover", "covers", "chute", "shield", "switch", "interlock"];
    let plain = acts::plain(words);
    plain.split_whitespace().any(|word| HAND.contains(&word) || GUARD.contains(&word))
}

/// What is dangerous by itself has its own answer.
fn is_dangerous(knowledge: &Knowledge, words: &str) -> bool {
    let own = danger::heard(knowledge, &knowledge.ear.read(words));
    // Whether it may go on, with nothing named that hurts, only sounds dangerous.
    let sounds = own.sound.is_some() && !own.hazard;
    let leave = own.leave.as_deref().is_some_and(|id| id != OVERDUE && !sounds);
    own.stop.is_some() || own.emergency.is_some() || leave
}
