//! Do sentences like it ask something else than the form of its words tells? A question to the
//! records in words that no form knows, or one of the trade that a certain note or job answers: the
//! model of whole sentences (`language::purpose`) says so, and where it is sure it is believed.
//! Deliberately absent: what is dangerous, and sums with their numbers, which forms know better.

use super::fleet::{PARTS, Part};
use super::kind::{CommandKind, Purpose};
use super::ahead::NOT_YET;
use super::leave::RUNNING_ON;
use super::never_told;
use super::undone::NOT_DONE;
use super::why::TOLD;
use super::{Command, Interpretation, Reader};
use crate::domain::language::purpose::{ASKED, ASKED_ANY, KNOWN, KNOWN_ANY, Purposes};
use crate::domain::language::turns::{self, Open};
use crate::domain::passages::form::Form;
use crate::domain::passages::{Source, told};
use crate::domain::recall::Asked as Single;

// The bounds were chosen on authors whom the model had not met (no source).

/// From this chance on it is a question to the records, when nothing else is likelier.
const LIKE_ASKED: f64 = 0.3;
/// The same where something was said before that it may lean on.
const LIKE_ASKED_IN_TALK: f64 = 0.9;
/// From this chance on it is a question of the trade.
const LIKE_KNOWN: f64 = 0.4;
/// And from this one on a certain passage answers it, when no other is nearly as likely: of an
/// author left out half the questions are answered so, nine in ten of them by the right passage.
const THE_PASSAGE: f64 = 0.02;
/// What is refused by no phrase is a question to the records, or a sum, from this chance on.
pub(super) const SURELY: f64 = 0.8;
/// Where the form tells another part of the records, its own has to be as likely.
const THE_PART: f64 = 0.2;
const THE_PART_IN_TALK: f64 = 0.9;
/// What is asked of the records has to be this likely too, or that something is nearly sure.
const TOPIC_MIN: f64 = 0.05;
const NEARLY_SURE: f64 = 0.95;
/// So many passages are weighed by the words that they hold, beside what one without any counts.
const PASSAGES: usize = 6;
const WORDLESS: f64 = 0.3;
/// Numbers that a sum has, where it is known by its sound.
const NUMBERS_MIN: usize = 2;
/// From this chance on it is a complaint, when nothing else is nearly as likely.
const LIKE_COMPLAINTS: f64 = 0.6;
/// From this one on even of a machine that seemed none of ours.
const SURELY_COMPLAINED: f64 = 0.9;
const MUCH_LIKELIER: f64 = 2.0;
/// Fewer words lean on what was said before.
const OWN_WORDS_MIN: usize = 5;
/// Parts of the records that say a part more closely than sentences are labelled.
const CLOSER: &[(Single, &[Part])] = &[
    (Single::Labour, &[Part::Costs, Part::Single(Single::Took), Part::Single(Single::History)]),
    (
        Single::Between,
        &[Part::Single(Single::Last), Part::Single(Single::Hours), Part::Single(Single::Life)],
    ),
    (Single::Longest, &[Part::Single(Single::Took), Part::Single(Single::Never)]),
    (Single::Summary, &[Part::Standing, Part::Single(Single::History)]),
    (Single::Order, &[Part::Due, Part::Costs]),
];

/// What a sentence sounds like as a whole.
#[derive(Clone, Debug, Default)]
pub struct Sounds {
    /// A question to the records, and of what.
    pub asked: f64,
    topic: f64,
    known: f64,
    /// The likeliest passages with their chances, the likeliest first.
    passages: Vec<(String, f64)>,
    /// What it does to a complaint that is looked into, and to an answer from the records.
    pub to_complaint: Option<&'static str>,
    pub to_records: Option<&'static str>,
    pub to_sum: Option<&'static str>,
}

impl Sounds {
    pub fn of(purposes: &Purposes) -> Sounds {
        // What is asked is known better than that it is asked, or the other way round.
        let topic = purposes.likeliest_of(ASKED).map_or(0.0, |(_, chance)| chance);
        let any = purposes.chance(ASKED_ANY);
        let asked = if topic >= TOPIC_MIN || any >= NEARLY_SURE { any.max(topic) } else { 0.0 };
        Sounds {
            asked,
            topic,
            known: purposes.chance(KNOWN_ANY),
            passages: purposes.first_of(KNOWN, PASSAGES),
            to_complaint: turns::role(purposes, Open::Complaint),
            to_records: turns::role(purposes, Open::Records),
            to_sum: turns::role(purposes, Open::Sum),
        }
    }

    /// The likeliest passage, where it is clear which.
    fn clear_passage(&self) -> Option<&str> {
        let (id, chance) = self.passages.first()?;
        let next = self.passages.get(1).map_or(0.0, |(_, next)| *next);
        (*chance >= THE_PASSAGE && *chance >= MUCH_LIKELIER * next).then_some(id)
    }
}

impl Reader<'_> {
    /// What no phrase refuses may be a question to the records, "is the tadpole good to run", or a
    /// sum.
    pub(super) fn surely_harmless(&self) -> bool {
        let danger = &self.heard.danger;
        let named = danger.stop.is_some() || danger.leave.is_some() || danger.hazard;
        let asked = self.heard.sounds.asked.max(self.heard.proof.purpose.sum);
        asked >= SURELY && !named && danger.sound.is_none()
    }

    /// What is asked where the answer that forms gave is none to sentences like it.
    pub(super) fn sounds_otherwise(&self, answer: &Interpretation) -> Option<Interpretation> {
        let kept = matches!(answer.kind, CommandKind::Refused)
            || self.heard.proof.is_sum()
            || self.heard.danger.stop.is_some()
            // Whether it may go on with what ails it is no question of the records.
            || answer.topic == RUNNING_ON
            || self.out_of_use().is_some();
        let role = self.by_role(answer);
        if kept || role.is_some() {
            return role;
        }
        if answer.kind != CommandKind::Record && !self.leans_on_something() && self.is_care_told() {
            return Some(self.record());
        }
        let asked = self.asked_by_sound(answer).or_else(|| self.known_by_sound(answer));
        asked.or_else(|| self.complained_by_sound(answer)).or_else(|| self.sum_by_sound(answer))
    }

    /// A sum with its numbers that forms took for a question.
    fn sum_by_sound(&self, answer: &Interpretation) -> Option<Interpretation> {
        let Purpose { complaint, record, sum, .. } = self.heard.proof.purpose;
        let rival = complaint.max(record).max(self.heard.sounds.asked);
        let likely = sum >= SURELY && rival < 1.0 - SURELY;
        let best = &self.heard.asked[0];
        let numbers = best.placed.len() >= NUMBERS_MIN && best.asks;
        let other = matches!(answer.kind, CommandKind::Search | CommandKind::Unclear);
        (likely && numbers && other && !self.leans_on_something()).then(|| self.compute())
    }

    /// A complaint that forms took for work, for none that was done, or for words to search for.
    fn complained_by_sound(&self, answer: &Interpretation) -> Option<Interpretation> {
        let Purpose { complaint, record, sum, outside, .. } = self.heard.proof.purpose;
        let rival = record.max(sum).max(outside).max(self.heard.sounds.asked);
        let told = matches!(
            answer.kind,
            CommandKind::Record
                | CommandKind::Search
                | CommandKind::Unclear
                | CommandKind::OutOfScope
        );
        let enough = match answer.kind {
            CommandKind::OutOfScope => SURELY_COMPLAINED,
            _ => LIKE_COMPLAINTS,
        };
        let sure = complaint >= enough && rival <= complaint / MUCH_LIKELIER;
        let alone = !self.leans_on_something() && !never_told::asks(self.spoken);
        // What was read is told, whatever its words sound like.
        let read = answer.kind == CommandKind::Record && self.heard.proof.recorded > 0;
        (told && !read && sure && alone && !self.heard.proof.told).then(|| self.diagnose())
    }

    fn leans_on_something(&self) -> bool {
        let question = self.question;
        question.case.is_some() || question.asked.is_some() || question.previous.is_some()
    }

    fn asked_by_sound(&self, answer: &Interpretation) -> Option<Interpretation> {
        let sounds = &self.heard.sounds;
        let purpose = &self.heard.proof.purpose;
        let in_talk = self.leans_on_something();
        let enough = if in_talk { LIKE_ASKED_IN_TALK } else { LIKE_ASKED };
        let rival = purpose.complaint.max(purpose.record).max(purpose.sum).max(purpose.outside);
        let few = in_talk && self.spoken.words.len() < OWN_WORDS_MIN;
        // What surely sounds dangerous is answered by that, and not from the records.
        let danger = self.heard.danger.sound.as_ref().is_some_and(|sound| sound.sure);
        if few || danger || sounds.asked < enough || sounds.asked <= rival.max(sounds.known) {
            return None;
        }
        let part = PARTS[self.heard.asks.0].0;
        let told = part_of(&answer.command);
        let the_part = if in_talk { THE_PART_IN_TALK } else { THE_PART };
        let closer = told.is_some() && sounds.topic < the_part;
        if closer || self.is_heard_by_its_form(answer, part) {
            return None;
        }
        (!told.is_some_and(|told| is_same(told, part))).then(|| self.fleet_of(part)).flatten()
    }

    /// Whether the form of the words left no doubt of what is asked, or that nothing is.
    fn is_heard_by_its_form(&self, answer: &Interpretation, part: Part) -> bool {
        let proof = &self.heard.proof;
        let asks = never_told::asks(self.spoken);
        match &answer.command {
            // What seems told has to sound much more like a question.
            Command::Record { .. } if !asks => {
                let read = proof.recorded > 0 && self.heard.sounds.asked < NEARLY_SURE;
                let likely = self.heard.sounds.asked < MUCH_LIKELIER * proof.purpose.record;
                // "Swapped the hose, dry now" tells that it holds.
                proof.deed || read || likely || part == Part::Single(Single::Held)
            }
            Command::Procedure(_) => true,
            // A list of the catalogue is asked for by its name.
            Command::Findings | Command::Causes | Command::Cautions | Command::Procedures => {
                proof.catalogue > 0 && self.heard.sounds.asked < NEARLY_SURE
            }
            // Apart by cause, machine or man, or two times side by side.
            Command::Past(past) => {
                let counted = !matches!(
                    part,
                    Part::Heights | Part::Card | Part::Due | Part::Single(Single::Never)
                );
                let apart = (past.by.is_some() && counted) || past.spans.len() > 1;
                apart || self.guessed().is_some() || self.of_its_form_alone().is_some()
                    || self.asks_a_share() || self.of_a_stop().is_some()
                    || self.how_long_to_stop().is_some()
            }
            Command::Fleet(_) => self.of_its_form_alone().is_some(),
            Command::Why(_) => {
                let form = answer.topic.strip_prefix(TOLD).and_then(Form::from_id);
                form.is_some_and(Form::of_a_job)
            }
            // Work that was not done.
            Command::None => !asks && matches!(answer.understood.as_str(), NOT_DONE | NOT_YET),
            _ => false,
        }
    }

    fn known_by_sound(&self, answer: &Interpretation) -> Option<Interpretation> {
        let sounds = &self.heard.sounds;
        let purpose = &self.heard.proof.purpose;
        let rival = purpose.complaint.max(purpose.record).max(purpose.sum).max(sounds.asked);
        if sounds.known < LIKE_KNOWN || sounds.known <= rival {
            return None;
        }
        // "Why is my reel leaving a line" is no question of the trade in general.
        let own = self.spoken.tokens.iter().any(|token| matches!(token.text.as_str(), "my" | "our"));
        if own && answer.kind == CommandKind::Diagnose {
            return None;
        }
        // A job, a word or a form of question that was heard is closer than a sound.
        let heard = matches!(answer.kind, CommandKind::Procedure | CommandKind::Catalogue)
            || matches!(answer.command, Command::Why(_));
        if heard || (part_of(&answer.command).is_some() && self.leans_on_something()) {
            return None;
        }
        // "Found a ding in the bottom blade, a third of the way in" tells the complaint more.
        let complained = answer.kind == CommandKind::Diagnose && self.tells_a_fault();
        if complained && !never_told::asks(self.spoken) {
            return None;
        }
        if let Some(passage) = sounds.clear_passage().filter(|id| !self.is_of_another(id)) {
            return self.passage_named(passage);
        }
        (sounds.known >= SURELY).then(|| self.passage_by_words()).flatten()
    }

    /// Of the passages that sentences like it ask for, the one that holds most of its words.
    fn passage_by_words(&self) -> Option<Interpretation> {
        let passages = self.knowledge.passages();
        let terms = passages.terms.of_tokens(&self.spoken.tokens);
        let wanted = |source| matches!(source, Source::Note(_) | Source::Procedure(_));
        let found = passages.scores(&terms, wanted);
        let id_of = |source: &Source| match source {
            Source::Note(at) => self.knowledge.notes.get(*at).map(|row| row.id.as_str()),
            Source::Procedure(at) => self.knowledge.procedures.get(*at).map(|row| row.id.as_str()),
            _ => None,
        };
        let score = |(id, chance): &(String, f64)| {
            let own = found.iter().find(|one| id_of(&one.source) == Some(id.as_str()));
            chance.sqrt() * (WORDLESS + own.map_or(0.0, |one| one.score))
        };
        let all = self.heard.sounds.passages.iter().filter(|one| !self.is_of_another(&one.0));
        let all = all.map(|one| (score(one), one.0.as_str()));
        let best = all.reduce(|best, one| if one.0 > best.0 { one } else { best });
        best.and_then(|(_, id)| self.passage_named(id))
    }

    /// Whether the note of this id is of something else than the device that is named.
    fn is_of_another(&self, id: &str) -> bool {
        let passages = self.knowledge.passages();
        let note = self.knowledge.notes.iter().position(|row| row.id == id);
        note.is_some_and(|at| {
            passages.is_of_another(at, &passages.terms.of_tokens(&self.spoken.tokens))
        })
    }

    /// The job or the note of this id.
    pub(super) fn passage_named(&self, id: &str) -> Option<Interpretation> {
        if let Some(job) = self.knowledge.procedure(id) {
            let told = format!("Show how to do it: {}.", job.title);
            let command = Command::Procedure(id.to_owned());
            return Some(self.answer(CommandKind::Procedure, told, command));
        }
        let note = self.knowledge.note(id)?;
        let tokens = &self.spoken.tokens;
        let asked = self.knowledge.passages().terms.said(tokens);
        let query = format!("{}{}{asked}", note.title, told::NAMED);
        Some(Interpretation {
            topic: format!("{TOLD}{}", Form::Named.id()),
            ..self.answer(
                CommandKind::Search,
                format!("Look up what is known: {}.", note.title),
                Command::Why(query),
            )
        })
    }
}

/// The part of the records that a command asks for.
pub(super) fn part_of(command: &Command) -> Option<Part> {
    match command {
        Command::Past(past) => Some(Part::Single(past.asked)),
        Command::Fleet(asked) => Some(asked.part),
        _ => None,
    }
}

/// Whether what is told answers a question to this part.
fn is_same(told: Part, part: Part) -> bool {
    // These two are heard by forms that nothing else has.
    if matches!(told, Part::Single(Single::Nobody | Single::Off)) {
        return true;
    }
    let closer = |(closer, of): &(Single, &[Part])| {
        told == Part::Single(*closer) && of.contains(&part)
    };
    told == part || CLOSER.iter().any(closer)
}
