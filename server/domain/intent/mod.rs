//! What do these words ask for? One sentence becomes one command, and nothing is carried out.
//!
//! Order of reading: numbers (which words are a quantity) -> names (which only name) -> spoken (the
//! sentence with each quantity one word) -> cues (the words of `knowledge/intent`) -> settle and
//! assign (which number goes where, in which unit) -> calculations, record, guide (what it would be
//! as each kind of command) -> kind (which of them it is).
//! Deliberately absent: the contract, the store, the clock; what the shop has and what time it is
//! come in. Nothing is invented: a number of the command stands in the words, or follows from
//! numbers there by a rule that is told.

pub mod again;
pub mod ahead;
mod ails_since;
mod anyone_did;
mod asked_first;
mod asked_of_figures;
mod of_the_answer;
mod of_those_told;
mod asked_of_trade;
pub mod asked_of_wear;
mod asked_shape;
mod asking;
pub mod assign;
mod balanced;
mod bare_numbers;
mod bare_units;
pub mod by_role;
pub mod calculation_table;
pub mod calculations;
pub mod case;
pub mod clauses;
mod clip_further;
pub mod complained;
pub mod corrections;
pub mod cues;
pub mod dates;
pub mod filled;
pub mod finish;
pub mod grinding;
pub mod fleet;
mod goes_on;
pub mod guide;
mod judged;
mod measured;
pub mod kind;
mod kind_weights;
pub mod matching;
pub mod moves;
pub mod name_ends;
pub mod names;
mod needed;
mod never_told;
pub mod no_orders;
mod nicknames;
pub mod notes;
pub mod past;
mod people;
mod other_kind;
pub mod periods;
pub mod placed_units;
mod pointing;
pub mod rates;
pub mod readings;
pub mod deeds;
pub mod dialect;
pub mod doers;
mod events;
pub mod due_by_day;
mod each_reel;
mod each_unit;
mod excepted;
pub mod record;
pub mod record_details;
pub mod record_fields;
pub mod record_kind;
pub mod record_lists;
pub mod settle;
mod shared_time;
mod several;
mod sizes;
mod shop;
pub mod shapes;
pub mod spoken;
pub mod stored;
mod sounds;
mod sum_again;
mod tails;
mod taken_off;
mod two_works;
mod guessed;
mod out_of_use;
pub mod strangers;
pub mod subject_words;
pub mod subjects;
pub mod turned;
pub mod understood;
pub mod undone;
pub mod unknown;
pub mod wanted;
pub mod what_we_have;
mod which_units;
pub mod leave;
pub mod lengths;
pub mod why;

use std::collections::BTreeSet;

use jiff::ZonedDateTime;

use super::catalogue::{Equipment, Knowledge};
use super::danger::{self, Danger};
use super::language::hearing;
use super::language::purpose::ASKED_ANY;
use super::language::scope::{GENERAL_REFUSAL, Scope};
use super::reported;
use super::records::choices::Choice as _;
use super::records::{Content, Id, RecordKind, SubjectKind, SubjectName};
use super::said::numbers::Quantity;
use calculations::Asked;
use case::Case;
use filled::Filled;
use kind::{CommandKind, evidence};
use record::Recorded;
use settle::Settled;
use sounds::Sounds;
use spoken::{Spoken, heard_tokens};
use subjects::Shop;

/// Words, and what is known when they are said.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    pub text: &'a str,
    pub now: ZonedDateTime,
    pub site: Id,
    pub shop: &'a Shop,
    pub equipment: Option<Equipment>,
    /// The last calculation and its quantities.
    pub previous: Option<(String, Filled)>,
    /// Fields of the last calculations with the unit each was said in, the latest last.
    pub said_in: Vec<(String, String)>,
    /// The complaint that is being looked into.
    pub case: Option<Case>,
    /// The last question to the records.
    pub asked: Option<again::Before>,
}

/// The command.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    None,
    Diagnose {
        complaint: String,
        unit: Option<SubjectName>,
        /// None: it follows from the words.
        equipment: Option<Equipment>,
        /// It is the complaint that is being looked into, with more said of it.
        further: bool,
    },
    Compute {
        calculation: &'static str,
        solve_for: String,
        filled: Filled,
    },
    Record {
        records: Vec<(SubjectName, Content)>,
        time: Option<ZonedDateTime>,
    },
    Search {
        query: String,
        subject: Option<SubjectName>,
        start: Option<ZonedDateTime>,
        end: Option<ZonedDateTime>,
    },
    /// Why something is so: what notes and procedures say of it.
    Why(String),
    Fleet(fleet::Asked),
    /// A question to single records.
    Past(past::Past),
    Procedure(String),
    Procedures,
    Findings,
    Causes,
    Cautions,
}

/// A number heard, and where it went.
#[derive(Clone, Debug, PartialEq)]
pub struct HeardNumber {
    pub text: String,
    pub value: f64,
    pub unit: &'static str,
    pub field: String,
    pub settled: Option<Settled>,
    pub start: usize,
    pub end: usize,
}

/// What the words mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Interpretation {
    pub kind: CommandKind,
    pub understood: String,
    pub command: Command,
    pub topic: String,
    pub quantities: Vec<HeardNumber>,
    pub unheard: Vec<String>,
    /// Other readings about as good.
    pub alternatives: Vec<(CommandKind, String, Command)>,
    /// Named and not in the shop: resource name, and what it is called.
    pub new_subjects: Vec<(SubjectName, String)>,
    /// Units named without their machine.
    pub homeless_units: Vec<String>,
    /// What is missing, as field and reason.
    pub missing: Vec<(&'static str, String)>,
    /// What of the shop the words name.
    pub subject: Option<SubjectName>,
}

/// Readings of a calculation that score within this of the best are asked about.
const CLOSE: f64 = 1.0;
/// Shorter words may be an addition to what was asked before.
const FOLLOW_UP_WORDS_MAX: usize = 14;
/// A calculation named with this weight is asked for anew.
const OWN_WORDS: f64 = 6.0;

/// What speaks for each kind of command, in numbers.
pub fn proof_of(knowledge: &Knowledge, question: &Question) -> kind::Evidence {
    let heard = Heard::new(knowledge, question);
    heard.proof
}

/// A sentence heard in every way it could be meant.
struct Heard<'a> {
    spoken: Spoken,
    named: subjects::Named,
    cues: Vec<cues::Cue<'a>>,
    asked: Vec<Asked>,
    recorded: Option<Recorded>,
    proof: kind::Evidence,
    /// The likeliest question to the records, and how likely.
    asks: (usize, f64),
    /// What it sounds like as a whole.
    sounds: Sounds,
    /// Findings said to be there or not, or to follow from what was.
    signs: usize,
    scope: Scope,
    danger: Danger,
    /// The kind of equipment that the words speak of most.
    equipment: Option<Equipment>,
    unheard: Vec<String>,
    /// Where faults that show in use were heard, in bytes.
    shown: Vec<usize>,
}

impl<'a> Heard<'a> {
    fn new(knowledge: &'a Knowledge, question: &Question) -> Heard<'a> {
        let Question { text, shop, site, now, .. } = question;
        let mut tokens = heard_tokens(text, &knowledge.ear.speller);
        bare_units::say_units(&mut tokens, shop);
        bare_units::say_greens(&mut tokens, shop);
        let labels = names::labels(&tokens);
        let mut hidden: Vec<(usize, usize)> =
            labels.iter().map(|label| (label.first, label.last)).collect();
        hidden.extend(names::numbered_areas(&tokens));
        hidden.extend(names::numbered_machines(&tokens));
        let known = |stem: &str| knowledge.ear.common.contains(stem);
        let named = subjects::named(text, &tokens, &labels, shop, site, false, (&known, &Vec::new));
        // "Fairway 1", "fairway five": the number of a unit or machine of the shop is none of a sum.
        let known_here = named.units.iter().chain(&named.machines).filter(|mention| mention.known);
        hidden.extend(known_here.map(|mention| (mention.first, mention.last)));
        hidden.extend(bare_units::counted(&tokens));
        let spoken = Spoken::new(text, tokens.clone(), &hidden);
        let mut cues = cues::cues(&knowledge.intent, &spoken);
        // "Training mower": what a name says is no kind of sentence.
        let spans = named.spans();
        let inside = |word: &usize| spoken.lies_within(*word, &spans);
        cues.retain(|cue| cue.family != "kind" || !cue.words.iter().all(inside));
        let reading = knowledge.ear.read(text);
        let purposes = knowledge.purpose_ear.hear(&reading);
        let placings = knowledge.placing_ear.hear(text);
        let asked = calculations::asked(&spoken, &cues, &labels, (&purposes, &placings));
        let mut hearing = knowledge.ear.hear(&reading);
        reported::add(knowledge, text, &mut hearing);
        let there = hearing.heard.iter().filter(|heard| heard.present);
        let faults: Vec<usize> = there.map(|heard| heard.start).collect();
        let about =
            record::About {
            shop,
            site,
            now,
            known: &known,
            faults: &faults,
            names: &knowledge.naming_ear,
            purposes: &purposes,
            placings: &placings,
        };
        let recorded = record::record(text, &tokens, &knowledge.intent, &about);
        let (judged, danger) = danger::judged(knowledge, &reading, &hearing);
        let scope = judged.scope;
        let equipment = judged.equipment.iter().max_by_key(|(_, weight)| **weight);
        let equipment = equipment.map(|(kind, _)| *kind);
        let purpose = kind::Purpose::of(&purposes);
        let asked_for = (&asked[0], recorded.as_ref(), purpose);
        let proof = evidence(&spoken, &cues, asked_for, faults.len());
        let shows = |one: &&hearing::Heard| {
            one.present && ails_since::is_fault(knowledge, &one.finding)
        };
        let shown = hearing.heard.iter().filter(shows).map(|one| one.start).collect();
        let unheard = hearing.unheard(&hearing.heard);
        let signs = hearing.heard.len();
        let sounds = Sounds::of(&purposes);
        // What asks in its form may ask the records though no one topic is likely.
        let any = purposes.chance(ASKED_ANY);
        let asked_for_it = if never_told::asks(&spoken) { any } else { sounds.asked };
        let asks = (fleet::likeliest(&purposes, &cues), asked_for_it);
        Heard {
            spoken, named, cues, asked, recorded, proof, asks, sounds, signs, scope, danger,
            equipment, unheard, shown,
        }
    }
}

/// Understands a sentence.
pub fn interpret(knowledge: &Knowledge, question: &Question) -> Interpretation {
    if let Some(complaint) = tails::complaint_before(knowledge, question) {
        return complaint;
    }
    let heard = Heard::new(knowledge, question);
    let reader = Reader { knowledge, question, heard: &heard, spoken: &heard.spoken };
    let mut answer = reader.answer_of_kind();
    // "The fairway" may have been the mower of the fairways.
    answer.subject = match &answer.command {
        Command::Past(past) if past.subjects.len() == 1 => past.subjects.first().cloned(),
        // Heights of several units are of their machine.
        Command::Record { records, .. } if heard.named.units.len() > 1 => match &records[..] {
            [(name, _)] if name.kind() == SubjectKind::Machine => Some(name.clone()),
            _ => heard.named.subject().cloned(),
        },
        _ => heard.named.subject().cloned(),
    };
    answer
}

struct Reader<'a> {
    knowledge: &'a Knowledge,
    question: &'a Question<'a>,
    heard: &'a Heard<'a>,
    spoken: &'a Spoken,
}

impl Reader<'_> {
    fn answer_of_kind(&self) -> Interpretation {
        if self.heard.danger.emergency.is_some() {
            return self.nothing(CommandKind::Refused);
        }
        let goes_on = self.heard.danger.running_on && self.question.case.is_some();
        let safe = match &self.heard.scope {
            // To go on with what was told before is answered by that.
            Scope::Unsafe(id) => id == GENERAL_REFUSAL && (goes_on || self.surely_harmless()),
            _ => true,
        };
        let booked = stored::behind_booking(self.question.text).is_some();
        let free = safe && !(booked && self.heard.recorded.is_some());
        // No sound changes what these forms ask.
        let called = || self.called_a_complaint().or_else(|| self.what_we_have());
        let formed = || self.of_those_told().or_else(called).or_else(|| self.anyone_did());
        if let Some(formed) = free.then(formed).flatten() {
            return formed;
        }
        let asked = free.then(|| {
            let asked = self.sum_in_its_turn().or_else(|| self.no_work_of_ours());
            let asked = asked.or_else(|| self.leave()).or_else(|| self.undone());
            let asked = asked.or_else(|| self.out_of_use()).or_else(|| self.guessed());
            let asked = asked.or_else(|| self.going_on()).or_else(|| self.in_one_go());
            let asked = asked.or_else(|| self.sums_told()).or_else(|| self.set_by_a_height());
            let asked = asked.or_else(|| self.either_work()).or_else(|| self.ails_since());
            let asked = asked.or_else(|| self.nobody()).or_else(|| self.judged());
            let asked = asked.or_else(|| self.told_to_the_case()).or_else(|| self.how_to());
            let asked = asked.or_else(|| self.asked_first()).or_else(|| self.again());
            let known_first = self.is_hardly_for_records() || self.asks_for_a_sheet();
            let known = |now: bool| if now { self.why() } else { None };
            let asked = asked.or_else(|| self.asked_outright());
            let quiz = self.says(&["quiz", "quizzes"]);
            let asked = asked.or_else(|| self.shown_to_another()).or_else(|| known(quiz));
            let asked = asked.or_else(|| self.shaped());
            let asked = asked.or_else(|| known(known_first)).or_else(|| self.fleet());
            let asked = asked.or_else(|| self.sum_again());
            asked.or_else(|| known(!known_first)).or_else(|| self.further())
        });
        let answer = asked.flatten().unwrap_or_else(|| self.of_likeliest_kind());
        let otherwise = free.then(|| self.sounds_otherwise(&answer)).flatten();
        otherwise.unwrap_or(answer)
    }

    fn of_likeliest_kind(&self) -> Interpretation {
        let kind = kind::kind(&self.heard.proof, &self.heard.scope);
        // A machine that has to stop now is looked into, whatever else the words would be.
        let proof = &self.heard.proof;
        let done = proof.deed || proof.told || proof.mended || proof.recorded > 0;
        let weak = matches!(kind, CommandKind::Unclear | CommandKind::OutOfScope);
        let weak = weak || (kind == CommandKind::Record && !done);
        if self.heard.danger.stop.is_some() && weak {
            return self.diagnose();
        }
        // "Talk me through it with the engine running" is no job to be shown.
        let walk = || self.asks_to_be_walked();
        if let Some(walk) = (kind != CommandKind::Refused).then(walk).flatten() {
            return walk;
        }
        let books = stored::behind_booking(self.question.text).is_some();
        let booked = books && self.heard.recorded.is_some();
        match kind {
            CommandKind::Compute if !booked => self.compute(),
            _ if booked && !matches!(kind, CommandKind::Refused) => self.record(),
            CommandKind::Record if self.is_ahead() => self.not_done_yet(),
            CommandKind::Record if self.is_sum_of_turns() => self.compute(),
            CommandKind::Record if self.ails_since_work() || self.loses_oil() => self.diagnose(),
            CommandKind::Record => self.no_record().unwrap_or_else(|| self.record()),
            CommandKind::Search => self.search(),
            CommandKind::Procedure => self.procedure(),
            CommandKind::Catalogue => self.catalogue(),
            CommandKind::Diagnose if self.is_work_told() || self.is_cure_told() => self.record(),
            CommandKind::Diagnose => self.asked_or_ails(),
            CommandKind::Unclear if self.is_cure_told() => self.record(),
            other @ (CommandKind::Unclear | CommandKind::OutOfScope) => {
                self.at_least_known().unwrap_or_else(|| self.nothing(other))
            }
            other => self.nothing(other),
        }
    }

    fn answer(&self, kind: CommandKind, understood: String, command: Command) -> Interpretation {
        Interpretation {
            kind,
            understood,
            command,
            topic: String::new(),
            quantities: numbers_heard(self.spoken, &[]),
            unheard: Vec::new(),
            alternatives: Vec::new(),
            new_subjects: Vec::new(),
            homeless_units: Vec::new(),
            missing: Vec::new(),
            subject: None,
        }
    }

    fn compute(&self) -> Interpretation {
        let best = &self.heard.asked[0];
        let mut answer = self.computed(best);
        answer.alternatives = self
            .heard
            .asked
            .iter()
            .skip(1)
            .take_while(|other| best.score - other.score < CLOSE)
            .filter(|other| !other.placed.is_empty() && other.asks)
            .map(|other| {
                let told = understood::computed(&other.solve_for, &other.placed);
                (CommandKind::Compute, told, command_of(other))
            })
            .collect();
        answer
    }

    fn search(&self) -> Interpretation {
        let named = &self.heard.named;
        let period = self.period();
        let mut taken = named.spans();
        taken.extend(period.iter().map(|period| (period.first, period.last)));
        let subject = named.subject().cloned().or_else(|| self.pointed_at());
        let unknown: Vec<(usize, usize)> =
            if subject.is_some() { taken.clone() } else { taken.split_off(named.spans().len()) };
        let tokens = &self.spoken.tokens;
        let mut query = guide::query(tokens, &self.knowledge.ear.small_words, &unknown);
        // "What was it the last time on this unit": the faults that were put right there.
        let was = tokens.windows(2).any(|pair| pair[0].text == "was" && pair[1].text == "it");
        if query.is_empty() && was && subject.is_some() {
            // As the index writes the kind of such a record.
            query = RecordKind::FaultFixed.id().replace('_', " ");
        }
        let when = period.as_ref().map_or_else(String::new, |said| format!(", {}", said.told()));
        let (start, end) = period.map_or((None, None), |said| (said.start, said.end));
        let sought = match query.as_str() {
            "" => "Show what was written down".to_owned(),
            words => format!("Search for \"{words}\""),
        };
        let told = match &subject {
            Some(subject) => format!("{sought} on {}{when}.", understood::short(subject)),
            None => format!("{sought}{when}."),
        };
        self.answer(CommandKind::Search, told, Command::Search { query, subject, start, end })
    }

    /// What the catalogue calls it.
    fn title_of(&self, id: &str) -> Option<&str> {
        let finding = self.knowledge.finding(id).map(|row| row.title.as_str());
        let mut causes = self.knowledge.causes.iter();
        finding.or_else(|| causes.find(|row| row.id == id).map(|row| row.title.as_str()))
    }

    fn period(&self) -> Option<periods::Period> {
        periods::said(&self.spoken.tokens, &self.question.now, self.question.shop.southern)
    }

    fn catalogue(&self) -> Interpretation {
        let topic = guide::topic(self.knowledge, &self.spoken.tokens).unwrap_or_default();
        let said = |words: &[&str]| {
            self.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        let (list, command) = if said(&["caution", "cautions", "warnings", "warning"]) {
            ("cautions", Command::Cautions)
        } else if said(&["procedure", "procedures", "jobs", "guides"]) {
            ("procedures", Command::Procedures)
        } else if said(&["cause", "causes", "faults", "fault"]) {
            ("causes", Command::Causes)
        } else {
            ("findings", Command::Findings)
        };
        let all = said(&["list", "which", "all", "every", "many", "there", "findings", "signs"]);
        if topic.is_empty() && list == "findings" && !all {
            return self.explained(CommandKind::Catalogue).unwrap_or_else(|| {
                self.answer(CommandKind::Catalogue, format!("Look up the {list}."), command)
            });
        }
        let told = match self.title_of(topic) {
            Some(title) => format!("Look up \"{title}\"."),
            None => format!("Look up the {list}."),
        };
        Interpretation {
            topic: topic.to_owned(),
            ..self.answer(CommandKind::Catalogue, told, command)
        }
    }

    fn nothing(&self, kind: CommandKind) -> Interpretation {
        let told = match kind {
            CommandKind::Refused => "This would hurt someone, so it is not answered.",
            CommandKind::OutOfScope => {
                "This is not about reel units, groomers, brushes, verticut reels or rotary decks."
            }
            _ => {
                "Say what is wrong with the cut, what to work out and its numbers, or what was done \
                to which machine."
            }
        };
        self.answer(kind, told.to_owned(), Command::None)
    }

    /// Words that mattered to nothing.
    fn unheard(
        &self,
        spoken: &Spoken,
        used: &BTreeSet<usize>,
        spans: &[(usize, usize)],
    ) -> Vec<String> {
        let small = &self.knowledge.ear.small_words;
        let mut out: Vec<String> = Vec::new();
        for (at, word) in spoken.words.iter().enumerate() {
            let place = &spoken.places[at];
            let inside =
                spans.iter().any(|(first, last)| place.first <= *last && place.last >= *first);
            let matters = word.text.chars().count() > 2 && !small.contains(&word.stem);
            let of_kind = |cue: &cues::Cue| matches!(cue.family, "kind" | "fixed");
            let mut cues = self.heard.cues.iter().filter(|cue| of_kind(cue));
            let by_kind = cues.any(|cue| cue.words.contains(&at));
            let free = place.quantities.is_empty() && !used.contains(&at) && !inside && !by_kind;
            if free && matters && !out.contains(&word.text) {
                out.push(word.text.clone());
            }
        }
        out
    }
}

fn command_of(asked: &Asked) -> Command {
    Command::Compute {
        calculation: asked.calculation,
        solve_for: asked.solve_for.clone(),
        filled: asked.filled.clone(),
    }
}

fn numbers_heard(spoken: &Spoken, placed: &[(usize, String, Settled)]) -> Vec<HeardNumber> {
    let heard = |(index, quantity): (usize, &Quantity)| {
        let went = placed.iter().find(|(known, _, _)| *known == index);
        HeardNumber {
            text: spoken.written(quantity).to_owned(),
            value: quantity.value,
            unit: quantity.unit.unwrap_or_default(),
            field: went.map(|(_, field, _)| field.clone()).unwrap_or_default(),
            settled: went.map(|(_, _, settled)| settled.clone()),
            start: spoken.tokens[quantity.first].start,
            end: spoken.tokens[quantity.last].end,
        }
    };
    spoken.quantities.iter().enumerate().map(heard).collect()
}

