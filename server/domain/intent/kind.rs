//! Is it a complaint, a sum to be worked out, work to be written down, something to be found, a job
//! to be shown, a question about the catalogue, or nothing for us?
//! Each kind has its evidence in numbers; the rules here weigh them in plain order. Deliberately
//! absent: words, which stand in `knowledge/intent`.

use super::calculation_table::CALCULATIONS;
use super::asking::asking;
use super::calculations::Asked;
use super::cues::{Cue, weight};
use super::deeds::{DEEDS, is_deed};
use super::kind_weights::{FEATURES, WEIGHTS};
use super::never_told;
use super::record::Recorded;
use super::spoken::Spoken;
use crate::domain::language::purpose::{COMPLAINT, KNOWN_ANY, NO_COMMAND, Purposes};
use crate::domain::language::scope::{GENERAL_REFUSAL, Scope};
use crate::domain::language::verdict::log_odds;
use crate::domain::records::RecordKind;
use crate::domain::records::detail::Detail;
use crate::domain::records::choices::Choice as _;
use crate::domain::said::said_units::OTHER;

/// What somebody wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CommandKind {
    Diagnose,
    Compute,
    Record,
    Search,
    Procedure,
    Catalogue,
    Refused,
    OutOfScope,
    Unclear,
}

/// What speaks for each kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    pub search: u32,
    pub procedure: u32,
    pub catalogue: u32,
    pub complaint: u32,
    pub question: bool,
    /// It begins as a question does, or one ends it: never work that was done.
    pub asks_us: bool,
    /// Findings that were said to be there.
    pub findings: usize,
    /// The first clause begins with something done.
    pub deed: bool,
    /// Things done, anywhere in the words.
    pub deeds: usize,
    /// Somebody asks for it to be written down.
    pub told: bool,
    /// How strongly they ask for a calculation: by words, and numbers placed.
    pub said: f64,
    pub asks: bool,
    pub placed: usize,
    /// The likeliest calculation answers with a stop by itself when what is asked is unsafe.
    pub stops: bool,
    /// Heights of units with what they should all be, and how near.
    pub table: bool,
    /// Heights of units with nothing that they should be, and nothing that is asked of them.
    pub heights: bool,
    /// The finger of the words is that of a grinder.
    pub finger: bool,
    /// It is worked out how long parts last: what still runs are parts, not an engine.
    pub lasting: bool,
    /// Numbers that the likeliest calculation has no place for.
    pub left: usize,
    pub words: usize,
    pub sentences: usize,
    /// Everything is given that a quantity of the likeliest calculation needs, and no number left.
    pub solved: bool,
    /// Machines, units and areas named.
    pub named: usize,
    /// Words beside those names.
    pub beside: usize,
    /// A day was said.
    pub dated: bool,
    /// Numbers that the record has a field for.
    pub recorded: usize,
    /// Weight of the words for the likeliest kind of record.
    pub record_words: u32,
    /// A fault is told, and then what was done about it.
    pub mended: bool,
    /// It would be a record of hours.
    pub hours: bool,
    /// It begins by saying that something was looked over.
    pub looked_over: bool,
    /// What sentences like it were for.
    pub purpose: Purpose,
}

/// Names of sentences that are neither sums nor records.
const OTHERS: [&str; 5] = ["search", "procedure", "catalogue", "outside", KNOWN_ANY];

/// How likely a whole sentence is a calculation, a record or a complaint.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Purpose {
    pub sum: f64,
    pub record: f64,
    pub complaint: f64,
    /// Something else: a question to us, or nothing for us.
    pub other: f64,
    /// Nothing for us.
    pub outside: f64,
}

impl Purpose {
    pub fn of(purposes: &Purposes) -> Purpose {
        let likeliest = |names: &mut dyn Iterator<Item = &str>| {
            names.map(|name| purposes.chance(name)).fold(0.0, f64::max)
        };
        Purpose {
            sum: likeliest(&mut CALCULATIONS.iter().map(|row| row.id)),
            record: likeliest(&mut RecordKind::ALL.iter().map(|kind| kind.id())),
            complaint: purposes.chance(COMPLAINT),
            other: likeliest(&mut OTHERS.iter().copied()),
            outside: purposes.chance(NO_COMMAND),
        }
    }

    /// The chance of the likeliest sum, record, complaint, or nothing for us. In what begins as a
    /// question does, a complaint or work is spoken of and hardly told.
    pub fn rival_of_asked(&self, in_form: bool) -> f64 {
        let told = self.record.max(self.complaint);
        let told = if in_form { SPOKEN_OF * told } else { told };
        self.sum.max(self.outside).max(told)
    }

    fn chance(&self, kind: CommandKind) -> f64 {
        match kind {
            CommandKind::Compute => self.sum,
            CommandKind::Record => self.record,
            CommandKind::Diagnose => self.complaint,
            _ => 0.0,
        }
    }

    /// The kind that it surely is, as no other is likely.
    fn sure(&self) -> Option<CommandKind> {
        let kinds = [CommandKind::Compute, CommandKind::Record, CommandKind::Diagnose];
        let is = |kind: &CommandKind| self.chance(*kind) >= SURELY;
        let kind = kinds.into_iter().find(is)?;
        let other = |other: CommandKind| other != kind && self.chance(other) > 1.0 - SURELY;
        let only = !kinds.into_iter().any(other) && self.other <= 1.0 - SURELY;
        only.then_some(kind)
    }
}


/// From this chance on a sentence is what sentences like it were for, if it can be (tried on three
/// authors left out).
const SURELY: f64 = 0.7;
/// Fewer words tell too little to be sure by (from memory).
const UNSURE_WORDS: usize = 5;
/// On each of the log odds of that, beside [`WEIGHTS`].
const LEARNED: f64 = 0.3;
/// Fewer words beside a name say nothing of it (from memory).
const SAYS_WORDS_MIN: usize = 7;
/// From this chance on words without a sign that is known are a complaint.
const LIKE_COMPLAINTS: f64 = 0.3;
/// So much of the chance of a complaint or of work is left in a question.
const SPOKEN_OF: f64 = 0.3;
/// What is refused when work at a running engine is spoken of.
const ENGINE_RUNNING: &str = "work_with_engine_running";
/// What is refused when a finger is put to an edge.
const FINGER_ON_EDGE: &str = "finger_test_edge";
/// A sentence of hours that is not longer tells nothing else.
const SHORT_WORDS_MAX: usize = 14;
/// A story of short sentences is not longer.
const STORY_WORDS_MAX: usize = 24;
/// From this weight on the words of a record tell of work done, whatever was wrong before.
const PUT_RIGHT: u32 = 12;
/// From this weight on the words of a record, with a day, are no sum unless one is asked for.
const TOLD: u32 = 10;
/// From this weight on the words of a record of a named machine are no sum that nobody asks for.
const REPORTED: u32 = 14;
/// So many numbers of a table are hardly told for any other reason.
const TABLE_MIN: usize = 6;
/// So many numbers with their places are a table.
const LAID_OUT_MIN: usize = 3;
/// Words before those that ask for something to be written down.
const LEAD_WORDS_MAX: usize = 3;
/// From this weight on the words of a calculation ask for it outright.
const ASKED_OUTRIGHT: f64 = 10.0;
/// From this weight on the words of a complaint outweigh the work that is told before it.
const NO_HELP: u32 = 8;
/// From this weight on words ask for something to be written down.
const NOTED: u32 = 8;
/// From this weight on the words of a kind are taken at their word.
const SURE: u32 = 5;

pub fn evidence(
    spoken: &Spoken,
    cues: &[Cue],
    (asked, recorded, purpose): (&Asked, Option<&Recorded>, Purpose),
    findings: usize,
) -> Evidence {
    let of = |id: &str| weight(cues, "kind", id);
    let numbers = recorded.map_or(0, |recorded| recorded.placed.len());
    let deed = begins_with_deed(spoken);
    let told = of("told");
    let led = cues.iter().any(asks_to_note);
    Evidence {
        search: of("search"),
        procedure: of("procedure"),
        catalogue: of("catalogue"),
        complaint: of("complaint"),
        question: spoken.is_question() || asking(spoken, cues) >= if led { 6 } else { 2 },
        asks_us: never_told::asks(spoken),
        findings,
        deed,
        deeds: (0..spoken.words.len()).filter(|at| is_deed(spoken, *at)).count(),
        told: told >= NOTED,
        said: asked.said,
        asks: asked.asks,
        placed: asked.placed.len(),
        stops: matches!(asked.calculation, "wheel_speed" | "rotary_tip_speed"),
        table: asked.filled.has("unit_heights_mm")
            && asked.filled.has("target_height_mm")
            && asked.filled.has("tolerance_mm"),
        heights: asked.calculation == "match_units"
            && !asked.filled.has("target_height_mm")
            && !asked.asks,
        finger: asked.calculation == "relief_grind" && asked.complete && asked.asks,
        lasting: asked.calculation == "service_interval" && asked.complete && asked.asks,
        left: left(spoken, asked),
        words: spoken.words.len(),
        sentences: spoken.sentences(),
        solved: asked.complete && left(spoken, asked) == 0 && asked.said >= 3.0,
        named: recorded.map_or(0, |recorded| recorded.named.spans().len()),
        beside: recorded.map_or(spoken.words.len(), |recorded| beside(spoken, recorded)),
        dated: recorded.is_some_and(|recorded| recorded.time.is_some()),
        recorded: numbers,
        record_words: recorded.map_or(0, |recorded| recorded.score),
        mended: recorded.is_some_and(|recorded| recorded.mended),
        hours: recorded.is_some_and(|recorded| recorded.kind == RecordKind::Hours),
        looked_over: recorded.is_some_and(|recorded| {
            let looked = cues.iter().any(|cue| begins_with_look(spoken, cue));
            let named = !recorded.named.spans().is_empty();
            let listed = lists_items(recorded) && purpose.record > purpose.complaint;
            recorded.kind == RecordKind::Inspection && ((looked && named) || listed)
        }),
        purpose,
    }
}

/// "Leaks none, gap ok, reel bearing quiet": what was looked at, one thing after the other.
fn lists_items(recorded: &Recorded) -> bool {
    const ITEMS_MIN: usize = 3;
    recorded.records.iter().any(|(_, content)| match &content.detail {
        Detail::Inspection(inspection) => inspection.items.len() >= ITEMS_MIN,
        _ => false,
    })
}

/// Words that are of no name.
fn beside(spoken: &Spoken, recorded: &Recorded) -> usize {
    let names = recorded.named.spans();
    (0..spoken.words.len()).filter(|word| !spoken.lies_within(*word, &names)).count()
}

/// Numbers without a place, but for those of what no calculation asks for.
fn left(spoken: &Spoken, asked: &Asked) -> usize {
    let known = |index: &usize| {
        asked.gone.contains(index) || asked.placed.iter().any(|(placed, _, _)| placed == index)
    };
    let of_rate = |index: &usize| {
        // "How many acres in an hour": the hour is that of the answer.
        let said = &spoken.quantities[*index];
        let hour = said.unit == Some("h") && (said.value - 1.0).abs() < f64::EPSILON;
        hour && asked.solve_for == "field_capacity_ha_per_h"
    };
    (0..spoken.quantities.len())
        .filter(|index| !known(index) && spoken.quantities[*index].unit != Some(OTHER))
        .filter(|index| !of_rate(index))
        .count()
}

/// "Put down that ...": a cue that begins by asking for it to be written down.
pub fn asks_to_note(cue: &Cue) -> bool {
    let early = cue.first() < LEAD_WORDS_MAX;
    cue.family == "kind" && cue.id == "told" && cue.weight >= NOTED && early
}

/// "Walk round of the deck: ...": a look at the whole machine that the words begin with.
fn begins_with_look(spoken: &Spoken, cue: &Cue) -> bool {
    const LOOKS: &[&str] = &["check", "inspection", "round", "walkaround", "over", "look"];
    let named = cue.words.iter().any(|word| LOOKS.contains(&spoken.word(*word)));
    let own = cue.family == "record" && cue.id == RecordKind::Inspection.id();
    own && named && cue.weight >= SURE && cue.first() < LEAD_WORDS_MAX
}

/// A deed among the first words, before any question.
fn begins_with_deed(spoken: &Spoken) -> bool {
    let soil = |at: usize| {
        spoken.word(at) == "ground" && matches!(spoken.word(at + 1), "is" | "was" | "that")
    };
    let begun = (0..spoken.words.len().min(3)).filter(|at| !soil(*at));
    let mut words = begun.map(|at| spoken.words[at].text.as_str());
    let asking = ["what", "how", "when", "why", "who", "where", "can", "should", "did", "have"];
    let first = spoken.words.first().map_or("", |word| word.text.as_str());
    !asking.contains(&first) && words.any(|word| DEEDS.contains(&word))
}

/// Longer words are more than a question to the catalogue or the records.
const QUESTION_WORDS_MAX: usize = 32;

impl Evidence {
    /// A calculation, a record or a complaint, the likeliest first.
    fn order(&self) -> Vec<CommandKind> {
        let features = self.features();
        let score = |weights: &[f64; FEATURES]| -> f64 {
            weights.iter().zip(features).map(|(weight, feature)| weight * feature).sum()
        };
        let learned = |kind: CommandKind| LEARNED * log_odds(self.purpose.chance(kind));
        let weighed =
            WEIGHTS.iter().map(|(kind, row)| (score(row) + learned(*kind), *kind));
        let mut all: Vec<(f64, CommandKind)> = weighed.collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.into_iter().map(|(_, kind)| kind).filter(|kind| self.can_be(*kind)).collect()
    }

    fn can_be(&self, kind: CommandKind) -> bool {
        match kind {
            CommandKind::Compute => {
                let spoken_of = self.said > 0.0
                    || self.question
                    || (self.placed >= 3 && !self.dated && self.findings * 5 <= self.placed);
                // Work of a day is told, and nothing is asked.
                let told = self.record_words >= TOLD && !self.question;
                let told = told && (self.dated || (self.placed < 2 && !self.asks));
                if told || self.reported() || self.only_read() {
                    return false;
                }
                (self.placed > 0 && (self.said >= 5.0 || (self.placed >= 2 && spoken_of)))
                    || (self.asks && self.said >= 10.0)
            }
            CommandKind::Record => {
                let metered = self.hours && self.recorded > 0 && self.named > 0;
                let telling = self.record_words >= 2 || self.deeds > 0 || metered;
                let telling = telling || self.is_like_records();
                self.told || (!self.asks_us && telling)
            }
            _ => true,
        }
    }

    /// Sentences like it were records, and it is no bare complaint.
    fn is_like_records(&self) -> bool {
        let told = self.deeds > 0 || (self.named > 0 && self.recorded > 0);
        let quiet = self.findings == 0 || told;
        let sure = self.purpose.sure() == Some(CommandKind::Record);
        let likely = sure || (told && self.purpose.record > 0.5);
        likely && quiet && self.words >= UNSURE_WORDS
    }

    /// More than a name, neither asked nor told in words of work.
    fn only_ails(&self) -> bool {
        let says = self.beside >= SAYS_WORDS_MIN;
        says && !self.asks_us && self.deeds == 0 && self.record_words < SURE
    }

    /// Sentences like it were complaints rather than work.
    fn is_like_complaints(&self) -> bool {
        let Purpose { complaint, record, .. } = self.purpose;
        let says = self.findings > 0 || self.complaint > 0 || self.beside >= SAYS_WORDS_MIN;
        let says = says && !self.asks_us;
        says && complaint > record && complaint > LIKE_COMPLAINTS
    }

    /// Many numbers, all of which find their place in one calculation, with its words.
    fn laid_out(&self) -> bool {
        let all = self.placed >= LAID_OUT_MIN && self.left == 0;
        let numbers = all && self.findings * 3 <= self.placed;
        let said = self.said >= 5.0 || (self.table && self.placed >= TABLE_MIN);
        numbers && said && !self.deed && !self.only_read()
    }

    /// Heights that were read off the units, and no more.
    fn only_read(&self) -> bool {
        self.heights && !self.question && self.record_words >= SURE
    }

    /// Whether a sum is asked for with its numbers.
    pub fn is_sum(&self) -> bool {
        self.sum() || self.whole() || self.asked_whole()
    }

    /// A calculation asked for with its numbers: not to be taken for anything else.
    fn sum(&self) -> bool {
        let asked = self.asks || self.question;
        self.placed >= 2 && asked && (self.said >= 7.0 || (self.solved && !self.deed))
    }

    /// All numbers make one sum, and nobody tells of work done.
    fn whole(&self) -> bool {
        let telling = self.told || self.deed || (self.dated && !self.question);
        let heard = self.findings < self.placed.max(2);
        // "Sits 2.1 mm lower than bench": a reading, though it sounds like a sign.
        let heard = heard || (self.purpose.sum > 0.5 && self.findings <= self.placed + 1);
        self.solved && self.placed >= 2 && !telling && heard && (self.asks || self.question)
    }

    /// Asked for in so many words, with all that it needs: whatever its words may sound like.
    fn asked_whole(&self) -> bool {
        let asked = self.asks && self.solved && self.said >= ASKED_OUTRIGHT;
        asked && self.sum() && self.findings <= 2 * self.placed + 1
    }

    /// Work on our machines told with a number or a name.
    fn work(&self) -> bool {
        self.record_words >= 5 && (self.named > 0 || self.recorded > 0 || self.deed)
    }

    /// Work on a named machine in so many words that no sum is meant, and nothing is asked.
    fn reported(&self) -> bool {
        let told = self.record_words >= REPORTED && !self.question;
        told && self.named > 0 && self.recorded > 0 && self.placed < LAID_OUT_MIN
    }

    /// Numbers of a record in its words, and nothing wrong nor asked.
    fn only_told(&self) -> bool {
        let short = self.sentences <= 2 && self.words <= SHORT_WORDS_MAX && self.hours;
        let told = self.recorded > 0 && self.record_words >= 8 && !self.question;
        let done = self.deed || self.dated || self.recorded > 0;
        let work = done && self.named > 0 && self.record_words >= 7 && !self.question;
        let quiet = self.findings == 0 && self.words <= 24;
        (told && (self.findings == 0 || short)) || (work && quiet)
    }

    /// Work of a day without its machine: "bearings and shaft renewed today".
    fn done_then(&self) -> bool {
        self.dated && self.record_words >= 8 && !self.question
    }

    /// A machine that was looked over, and what was found.
    fn looked_at(&self) -> bool {
        self.looked_over && !self.question && self.complaint < NO_HELP
    }

    /// A sum that is asked for, with all that it needs and nothing else.
    fn all_told(&self) -> bool {
        self.asks && self.solved && self.placed > 0 && self.left == 0
    }

    /// Asked for outright, every number of it placed: of our matters, whatever it may sound like.
    fn all_placed(&self) -> bool {
        self.asks && self.placed > 0 && self.left == 0 && self.said >= ASKED_OUTRIGHT
    }

    /// A fault of a named machine that is told to be gone: "squeal on the rotary done with".
    fn put_right(&self) -> bool {
        let short = self.words <= STORY_WORDS_MAX;
        self.record_words >= PUT_RIGHT && self.named > 0 && !self.question && short
    }

    /// "Swapped the heads, same again, the left one still smears": work that did not help.
    fn did_not_help(&self) -> bool {
        let wrong = self.complaint >= NO_HELP && (self.findings > 0 || self.complaint > NO_HELP);
        wrong && !self.mended && !self.told && self.record_words < PUT_RIGHT
    }

    /// A question to the records, the procedures or the catalogue.
    fn question_to_us(&self) -> Option<CommandKind> {
        let telling = self.told || (self.deed && !self.question) || self.only_told();
        if self.sum() || telling || self.words > QUESTION_WORDS_MAX || self.findings > 2 {
            return None;
        }
        let all = [
            (self.search, CommandKind::Search),
            (self.catalogue, CommandKind::Catalogue),
            (self.procedure, CommandKind::Procedure),
        ];
        let best = all.into_iter().reduce(|best, one| if one.0 > best.0 { one } else { best });
        best.filter(|(weight, _)| *weight >= SURE && *weight >= self.complaint)
            .map(|(_, kind)| kind)
    }
}

/// The kind of a sentence.
pub fn kind(evidence: &Evidence, scope: &Scope) -> CommandKind {
    let plain = evidence.sum() && evidence.asks && evidence.left == 0;
    let plain = plain && evidence.findings <= evidence.placed.min(3) - 1;
    let plain = plain || evidence.whole() || evidence.asked_whole();
    let telling = evidence.deed || evidence.told || evidence.reported();
    let sum = (plain || evidence.laid_out()) && !telling;
    let order = evidence.order();
    let likeliest = order.first().copied().unwrap_or(CommandKind::Unclear);
    let short = evidence.sentences <= 2 && evidence.words <= QUESTION_WORDS_MAX;
    // "Not turning. Belt was broken. I put new belt.": short sentences are one story.
    let few = evidence.words <= STORY_WORDS_MAX && evidence.named > 0;
    let story = short || (few && evidence.sentences <= 5);
    let fixed = story && evidence.mended && likeliest == CommandKind::Diagnose && evidence.work();
    let noted = evidence.told && evidence.record_words >= 2 && !evidence.question;
    let logged = noted
        || (likeliest == CommandKind::Diagnose && (evidence.only_told() || evidence.put_right()))
        || (likeliest == CommandKind::Diagnose && evidence.looked_at())
        || (likeliest == CommandKind::Compute && evidence.only_told() && evidence.named > 0);
    let likeliest = match likeliest {
        CommandKind::Record if evidence.did_not_help() => CommandKind::Diagnose,
        other => other,
    };
    let surely = evidence.purpose.sure().filter(|kind| match kind {
        CommandKind::Compute => {
            (evidence.placed > 0 || evidence.asks) && evidence.complaint < SURE
        }
        CommandKind::Record => evidence.can_be(*kind),
        _ if evidence.looked_at() => false,
        _ => evidence.findings > 0 || evidence.complaint > 0 || evidence.only_ails(),
    });
    let first = surely.unwrap_or(match (sum, fixed || logged) {
        (true, _) => CommandKind::Compute,
        (false, true) => CommandKind::Record,
        (false, false) => likeliest,
    });
    let ours = evidence.question_to_us();
    let strong = match first {
        CommandKind::Compute | CommandKind::Record if surely == Some(first) => {
            ours.is_none() && evidence.words >= UNSURE_WORDS
        }
        CommandKind::Compute => evidence.sum() || evidence.solved || evidence.all_placed(),
        CommandKind::Record => evidence.work() || evidence.done_then(),
        _ => false,
    };
    match scope {
        Scope::Unsafe(_) if evidence.stops && (plain || evidence.all_told()) => {}
        Scope::Unsafe(id) if plain && evidence.finger && id == FINGER_ON_EDGE => {}
        Scope::Unsafe(id) if evidence.lasting && evidence.sum() && id == ENGINE_RUNNING => {}
        Scope::Unsafe(id) if id != GENERAL_REFUSAL || !strong => return CommandKind::Refused,
        // Mostly numbers and letters: too little to tell the language by.
        Scope::Language if evidence.solved && evidence.placed >= 3 => {}
        Scope::Language if evidence.recorded > 1 && surely == Some(CommandKind::Record) => {}
        Scope::OtherMachine if first == CommandKind::Compute && evidence.all_placed() => {}
        Scope::OtherMachine | Scope::Language if !evidence.sum() => {
            return CommandKind::OutOfScope;
        }
        Scope::OffTopic if !strong && ours.is_none() => return CommandKind::OutOfScope,
        _ => {}
    }
    let outright = evidence.asks && evidence.said >= ASKED_OUTRIGHT && evidence.placed > 0;
    let placed = surely == Some(CommandKind::Compute) && (evidence.placed > 1 || outright);
    if let Some(kind) = ours.filter(|_| !placed) {
        return kind;
    }
    let telling = evidence.findings > 0 || evidence.complaint + 1 >= SURE;
    let little = evidence.recorded == 0 && evidence.named == 0 && !evidence.work();
    let like_records = evidence.deeds > 0 && evidence.purpose.record > 0.5;
    let little = little && !evidence.done_then() && surely.is_none() && !like_records;
    match first {
        CommandKind::Record if little && !evidence.told => {
            let wrong = evidence.findings > 0 && *scope == Scope::Answer;
            let ails = wrong || evidence.is_like_complaints();
            if ails { CommandKind::Diagnose } else { CommandKind::Unclear }
        }
        CommandKind::Diagnose
            if *scope != Scope::Answer && !telling && !evidence.is_like_complaints() =>
        {
            CommandKind::Unclear
        }
        other => other,
    }
}
