//! Which single records are asked about: the machines and units, the days, and the words of the
//! work or the fault? "When was unit 3 of the five last lapped" is the last of `lapped` on that unit.
//! Deliberately absent: what is asked (`fleet`), and finding the records (`domain::recall`).

use jiff::{ToSpan, ZonedDateTime};

use super::fleet::{Part, id_and_told};
use super::kind::CommandKind;
use super::asked_first::{EVERYBODY, with_change};
use super::subjects::Mention;
use super::periods::Period;
use super::{Command, Interpretation, Reader, understood};
use crate::domain::catalogue::Equipment;
use crate::domain::fleet::parts::Family;
use crate::domain::language::text::{Kind, stem};
use crate::domain::recall::By;
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::numerals::SMALL;
use crate::domain::wording::counted;

/// A question to single records.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    pub asked: crate::domain::recall::Asked,
    /// Empty: the whole shop.
    pub subjects: Vec<SubjectName>,
    /// Words of the work, part or fault; empty: any.
    pub words: String,
    pub start: Option<ZonedDateTime>,
    pub end: Option<ZonedDateTime>,
    /// Each answered beside the others, as the records write them.
    pub people: Vec<String>,
    /// Stretches of time that are answered beside each other, first moment and first after.
    pub spans: Vec<Span>,
    /// Told apart by this.
    pub by: Option<By>,
    /// So many of the newest are passed over.
    pub passed_over: usize,
    /// The signs of a complaint: faults that showed any of them are meant, whatever the words.
    pub findings: Vec<String>,
    /// Names of all records that the answer told; empty: too many to be named.
    pub told: Vec<String>,
    /// It is asked of those alone.
    pub of_told: bool,
}

/// Settings other than the height of cut.
const SETTINGS: &[&str] = &[
    "groomer", "groomers", "brush", "brushes", "verticut", "depth", "contact", "gap", "tyre", "tyres",
    "pressure", "clip", "stop",
];
/// Words of which no record is.
const NO_THINGS: &[&str] = &[
    "set", "sets", "lot", "bit", "stuff", "thing", "things", "shorter", "longer", "own", "figures", "old",
    "hrs", "anything", "something", "us", "complaints", "complaint", "mean", "committee", "bother",
    "chairman", "boss", "manager", "term",
    // Work of no certain kind.
    "fool", "fooled", "fooling", "mess", "messed", "messing", "fiddle", "fiddled", "fiddling", "tinker", "tinkered",
];
/// Longer words that nobody says here may name a thing all the same.
const STRANGE_MAX: usize = 4;
/// Words of looking that are work when it is asked when it was done.
const LOOKED: &[&str] = &["checked", "inspected", "measured"];

/// What is kept as a unit of its own beside the reel that it is on.
const ATTACHED: &[&str] = &["groomer", "brush", "verticut"];
/// Between its name and its number.
const NUMBER_WORDS: &[&str] = &["no", "number", "unit", "#", "on", "of", "."];
/// Where and by whom hours are worked, and what follows then (common practice, no source).
const PLACES: &[&str] = &[
    "bench", "workshop", "shop", "shed", "bay", "garage", "floor", "spanner", "wrench", "man", "technician", "tech",
    "fitter", "mechanic", "mechanics", "labour", "labor",
];
/// The shop itself, the words that lead to it, and those behind which another thing is meant.
const SHOP: &[&str] = &["bench", "workshop", "shop", "shed", "bay", "garage"];
const LEADS_TO_PLACE: &[&str] = &["the", "our", "in", "on", "at", "by", "your"];
const NOT_THE_PLACE: &[&str] =
    &["one", "two", "three", "four", "height", "heights", "grinder", "setting", "bar", "reading", "readings"];
const TIME: &[&str] = &["time", "hours", "hrs", "hour"];
/// What is read on the turf, and against the bench; the first as the records are asked for it.
pub(super) const PRISM: &[&str] = &["prism", "prisms", "sinking", "sink", "sinkage"];

/// A stretch of time: its first moment, and the first after.
pub type Span = (Option<ZonedDateTime>, Option<ZonedDateTime>);

impl Past {
    /// The signs of a complaint are asked about.
    pub(super) fn has_signs(&self) -> bool {
        !self.findings.is_empty()
    }

    /// The days that were said in the place of those before, and how they are told.
    pub(super) fn put_in(&mut self, periods: &[Period]) -> String {
        let span = |one: &Period| (one.start.clone(), one.end.clone());
        match periods {
            [] => String::new(),
            [only] => {
                (self.start, self.end) = span(only);
                self.spans.clear();
                format!(", {}", only.told())
            }
            several => {
                self.spans = several.iter().map(span).collect();
                String::new()
            }
        }
    }
}

impl Reader<'_> {
    /// A question to single records, of the part `id` in `fleet::PARTS`.
    pub(super) fn past(
        &self,
        asked: crate::domain::recall::Asked,
        id: &'static str,
        told: &str,
    ) -> Interpretation {
        let shape = self.shape();
        // The depth of a groomer is no height of cut, and a height needs no words.
        let height = asked == crate::domain::recall::Asked::Height;
        let matter = self.matter_without(id, &shape.taken);
        let other = matter.split_whitespace().any(|word| SETTINGS.contains(&word));
        let (asked, id, told) = match height && other {
            // Of what is set otherwise the last setting is told.
            true => {
                let last = crate::domain::recall::Asked::Last;
                let (id, told) = id_and_told(Part::Single(last));
                (last, id, told)
            }
            false => (asked, id, told),
        };
        let (matter, fillers) = self.without_no_things(matter);
        let mut subjects = self.asked_about();
        let matter = without_attached(&matter, &subjects);
        let prism = height && self.says(PRISM);
        if prism {
            // It is read on the turf, and on no machine.
            subjects.retain(|name| name.kind() == SubjectKind::Area);
        }
        let mut past = Past {
            asked,
            subjects,
            words: match asked {
                _ if prism => PRISM[0].to_owned(),
                _ if height && !other => String::new(),
                // What parts came to in hours of work is asked of those that were changed.
                crate::domain::recall::Asked::Labour => {
                    let said = self.without_place_of_hours(&without_hours(&matter));
                    let trade = self.trade_of(&said);
                    if trade.is_empty() { said } else { with_change(&trade) }
                }
                _ if asked.is_of_doing() => self.with_what_was_done(matter),
                _ => matter,
            },
            people: shape.people.clone(),
            by: shape.by,
            ..self.blank(asked)
        };
        let when = past.put_in(&shape.periods);
        Interpretation { unheard: fillers, ..self.past_in_words(past, (id, told), &when) }
    }

    /// "When did we last do the blades": an edge is done by sharpening it as well as by a new one.
    pub(super) fn with_what_was_done(&self, words: String) -> String {
        let edge = |word: &str| matches!(Family::of(word), Some(Family::Blades | Family::Bedknife));
        let said = self.spoken.texts();
        let does = |at: usize| match said[at] {
            "done" | "doing" => true,
            // "When do we change it" is no work by itself.
            "do" => at > 1 && !matches!(said[at - 1], "when" | "how" | "where" | "what" | "often"),
            "did" | "does" => at > 0 && matches!(said[at - 1], "who" | "he" | "they"),
            _ => false,
        };
        let bare = !words.is_empty() && words.split_whitespace().all(edge);
        match bare && (0..said.len()).any(does) {
            true => format!("{words} done"),
            false => words,
        }
    }

    /// The words without those that name no thing: nothing is recorded of a "set", or of a word that
    /// nobody here ever says beside one of the trade or a machine.
    fn without_no_things(&self, words: String) -> (String, Vec<String>) {
        let ear = &self.knowledge.ear;
        let trade = !self.trade_of(&words).is_empty();
        let named = !self.machines_asked_about().is_empty();
        let no_thing = |word: &&str| {
            let strange = !ear.common.contains(&stem(word)) && word.len() <= STRANGE_MAX;
            let strange = strange && (trade || named) && self.trade_of(word).is_empty();
            NO_THINGS.contains(word) || strange
        };
        let left = words.split_whitespace().filter(|word| !no_thing(word));
        let left = left.collect::<Vec<_>>().join(" ");
        let fillers = words.split_whitespace().filter(no_thing).map(str::to_owned).collect();
        (left, fillers)
    }

    /// "Bench time", "workshop hours", "fitter time": whose or where the hours are is nothing to look
    /// for.
    fn without_place_of_hours(&self, words: &str) -> String {
        let said = self.spoken.texts();
        let at = |word: &str| said.iter().position(|one| *one == word);
        let word = |at: usize| said.get(at).copied().unwrap_or_default();
        // "The bench", and neither "bench two" nor "the bench height".
        let place = |word_at: usize| {
            let led = word_at > 0 && LEADS_TO_PLACE.contains(&word(word_at - 1));
            led && SHOP.contains(&word(word_at)) && !NOT_THE_PLACE.contains(&word(word_at + 1))
                && word(word_at + 1).parse::<u32>().is_err()
        };
        let of_hours = |one: &&str| {
            at(one).is_some_and(|at| {
                place(at) || (PLACES.contains(one) && TIME.contains(&word(at + 1)))
            })
        };
        words.split_whitespace().filter(|word| !of_hours(word)).collect::<Vec<_>>().join(" ")
    }

    /// A question before, asked again.
    pub(super) fn told_past(&self, past: Past) -> Interpretation {
        let (id, told) = id_and_told(Part::Single(past.asked));
        if past.passed_over > 0 && !past.of_told {
            return self.past_in_words(past, (id, "Look up the one before"), "");
        }
        let day = |time: &ZonedDateTime| time.strftime("%-d %b %Y").to_string();
        let last = |time: &ZonedDateTime| {
            time.checked_sub(1.day()).map_or_else(|_| day(time), |time| day(&time))
        };
        let when = match (&past.start, &past.end) {
            (Some(start), Some(end)) => match (day(start), last(end)) {
                (first, last) if first == last => format!(", {first}"),
                (first, last) => format!(", {first} to {last}"),
            },
            (Some(start), None) => format!(", from {}", day(start)),
            (None, Some(end)) => format!(", up to {}", last(end)),
            (None, None) => String::new(),
        };
        let told = if past.passed_over > 0 { "Look up the first" } else { told };
        let told = if past.of_told { told.trim_end_matches(" by") } else { told };
        self.past_in_words(past, (id, told), &when)
    }

    fn past_in_words(&self, past: Past, (id, told): (&str, &str), when: &str) -> Interpretation {
        let of = match &past.subjects[..] {
            [] => String::new(),
            several => {
                let names: Vec<String> = several.iter().map(understood::short).collect();
                format!(", for {}", names.join(" and "))
            }
        };
        let people = match &past.people[..] {
            [] => String::new(),
            people => format!(", by {}", people.join(" and ")),
        };
        let apart = match past.by {
            None => "",
            Some(By::Machine) => ", by machine",
            Some(By::Unit) => ", by unit",
            Some(By::Person) => ", by who did it",
            Some(By::Month) => ", by month",
            Some(By::Cause) => ", by cause",
        };
        let when = match past.spans.len() {
            0 => when.to_owned(),
            count => format!(", {count} stretches of time side by side"),
        };
        let what = match (past.findings.is_empty(), past.words.is_empty()) {
            _ if past.of_told => {
                format!(" of the {} just told", counted(past.told.len() as u64, "record"))
            }
            (false, _) => " of such a complaint".to_owned(),
            (true, true) => String::new(),
            (true, false) => format!(" \"{}\"", past.words),
        };
        let everybody = past.people.is_empty() && past.by != Some(By::Person);
        let whom = self.who_is_meant().filter(|_| everybody);
        let whom = whom.map_or_else(String::new, |told| format!(" {told}"));
        let homeless = past.subjects.len() > 1 && past.subjects == self.of_any_machine();
        let whom = match homeless {
            true => format!("{whom} No machine was named, so it is of each."),
            false => whom,
        };
        let understood = format!("{told}{what}{of}{people}{when}{apart}.{whom}");
        Interpretation {
            topic: id.to_owned(),
            ..self.answer(CommandKind::Search, understood, Command::Past(past))
        }
    }

    /// Units that are named, else machines, else areas; else what the words point at.
    fn asked_about(&self) -> Vec<SubjectName> {
        let mut names = self.machines_asked_about();
        names = names.into_iter().map(|name| self.attached(name)).collect();
        names.sort();
        names.dedup();
        if !names.is_empty() {
            return names;
        }
        let pointed: Vec<SubjectName> = self.pointed_at().into_iter().collect();
        if pointed.is_empty() { self.of_any_machine() } else { pointed }
    }

    /// "Unit 1" where no machine is named or was spoken of: that of every machine that has one.
    pub(super) fn of_any_machine(&self) -> Vec<SubjectName> {
        let homeless = self.heard.named.units.iter();
        let homeless = homeless.filter(|unit| unit.name.kind() == SubjectKind::Site);
        let tokens = &self.spoken.tokens;
        let numbers: Vec<&str> = homeless
            .flat_map(|unit| &tokens[unit.first..=unit.last])
            .filter(|token| token.kind == Kind::Number)
            .map(|token| token.text.as_str())
            .collect();
        let known = self.question.shop.subjects.iter().map(|known| &known.name);
        let so = known.filter(|name| {
            name.kind() == SubjectKind::Unit && numbers.contains(&name.id().as_str())
        });
        so.cloned().collect()
    }

    /// "The groomer on unit 3": the unit of its own that the shop keeps of it, "groomer-3".
    pub(super) fn attached(&self, unit: SubjectName) -> SubjectName {
        let shop = self.question.shop;
        let known = |kind: &&&str| {
            let said = [kind.to_string(), format!("{kind}s")];
            self.says(&[&said[0], &said[1]])
        };
        let own = ATTACHED.iter().filter(known).find_map(|kind| {
            let machine = unit.holder().filter(|name| name.kind() == SubjectKind::Machine)?;
            shop.unit(&machine, &format!("{kind}-{}", unit.id())).map(|known| known.name.clone())
        });
        own.unwrap_or(unit)
    }

    /// "Groomer 2": units that are named by what they are and a number, and the tokens that do. Of
    /// several machines that have one, that which is named or was spoken of.
    pub(super) fn attached_numbered(&self) -> Vec<(SubjectName, (usize, usize))> {
        let tokens = &self.spoken.tokens;
        let shop = self.question.shop;
        let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
        let named = self.named_here();
        let spoken_of = shop.machine_spoken_of();
        let own = |id: &str| -> Option<SubjectName> {
            let all = shop.subjects.iter().map(|known| &known.name);
            let is = |name: &&SubjectName| {
                name.kind() == SubjectKind::Unit && name.id().as_str() == id
            };
            let all: Vec<&SubjectName> = all.filter(is).collect();
            let of = |machine: &SubjectName| {
                all.iter().find(|name| machine.holds(name)).map(|name| (*name).clone())
            };
            let only = || if all.len() == 1 { Some(all[0].clone()) } else { None };
            named.iter().find_map(of).or_else(|| spoken_of.as_ref().and_then(of)).or_else(only)
        };
        // "Brush 1", where only 3 has one of its own: the reel of that number, and no other brush.
        let beside = |kind: &str, number: &str| -> Option<SubjectName> {
            let like = |name: &&SubjectName| {
                name.kind() == SubjectKind::Unit
                    && name.id().as_str().starts_with(&format!("{kind}-"))
            };
            let mut machines = shop.subjects.iter().map(|known| &known.name).filter(like);
            let machine = machines.next()?.holder()?;
            let only = machines.all(|name| machine.holds(name));
            shop.unit(&machine, number).filter(|_| only).map(|known| known.name.clone())
        };
        let mut out = Vec::new();
        for first in 0..tokens.len() {
            let said = [word(first), word(first).trim_end_matches('s')];
            let Some(kind) = ATTACHED.iter().find(|kind| said.contains(kind)) else { continue };
            let mut at = first + 1;
            // "Groomers 2 and 3".
            loop {
                while NUMBER_WORDS.contains(&word(at)) {
                    at += 1;
                }
                let unit = own(&format!("{kind}-{}", word(at)));
                // What it is stays a word that is looked for, where the reel is more than that.
                let from = if unit.is_some() { first } else { at };
                let Some(unit) = unit.or_else(|| beside(kind, word(at))) else { break };
                out.push((unit, (from, at)));
                at += 1;
                if !matches!(word(at), "and" | "," | "&") {
                    break;
                }
                at += 1;
            }
        }
        out
    }

    /// Units of the shop that are named, else machines, else areas.
    pub(super) fn named_here(&self) -> Vec<SubjectName> {
        let named = &self.heard.named;
        let known = |list: &[Mention]| -> Vec<SubjectName> {
            let named = list.iter().filter(|one| one.known);
            named.map(|one| self.machine_called_so(one).unwrap_or(one.name.clone())).collect()
        };
        let mut all = [&named.units, &named.machines, &named.areas].into_iter();
        all.find_map(|list| Some(known(list)).filter(|names| !names.is_empty())).unwrap_or_default()
    }

    /// "Fairway 5" is the machine where the shop calls it "Fairway five", though it has a unit 5;
    /// "unit 5" is that unit.
    fn machine_called_so(&self, mention: &Mention) -> Option<SubjectName> {
        let id = mention.name.id().to_string();
        let numeral = SMALL.get(id.parse::<usize>().ok()?)?;
        let machine = mention.name.holder().filter(|name| name.kind() == SubjectKind::Machine)?;
        let called = machine.id().to_string();
        let token = |at: usize| self.spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        let number = (mention.first..=mention.last).find(|at| token(*at) == id)?;
        let before = number.checked_sub(1).map_or("", token);
        let so = called.split('-').any(|word| word == *numeral)
            && called.split('-').any(|word| word == before);
        so.then_some(machine)
    }

    /// The words that name work, part or fault: those that are no name, no day and no asking.
    /// `id`: of the part that is asked, whose own words are left out too; `spans`: words with use.
    pub(super) fn matter_without(&self, id: &str, spans: &[(usize, usize)]) -> String {
        let named = &self.heard.named;
        let all = named.machines.iter().chain(&named.units).chain(&named.areas);
        let known = all.filter(|mention| mention.known);
        let mut taken: Vec<(usize, usize)> =
            known.map(|mention| (mention.first, mention.last)).collect();
        taken.extend(spans);
        let asking = self.heard.cues.iter().filter(|cue| {
            cue.family == "asking" && (cue.id == "word" || cue.id == id)
        });
        for place in asking.flat_map(|cue| &cue.words).map(|word| &self.spoken.places[*word]) {
            taken.push((place.first, place.last));
        }
        let tokens = &self.spoken.tokens;
        let small = &self.knowledge.ear.small_words;
        let free = |at: usize| !taken.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let names = named.spans();
        let taken_by_name =
            |at: usize| names.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let matters = |at: usize| {
            let token = &tokens[at];
            // "Bench two" is somebody; any other number counts.
            let after = at > 0 && free(at - 1) && tokens[at - 1].kind == Kind::Word
                && !small.contains(&tokens[at - 1].stem) && tokens[at - 1].text != "unit";
            match token.kind {
                Kind::Word if is_numeral(&token.text) => after,
                Kind::Word if EVERYBODY.contains(&token.text.as_str()) => false,
                // "When was it last checked" asks after checks, "check when it was" does not.
                Kind::Word if LOOKED.contains(&token.text.as_str()) && !taken_by_name(at) => true,
                Kind::Word => !small.contains(&token.stem) && !small.contains(&token.text),
                Kind::Number | Kind::Sign => false,
            }
        };
        let looked = |at: usize| LOOKED.contains(&tokens[at].text.as_str());
        let words = (0..tokens.len()).filter(|at| (free(*at) || looked(*at)) && matters(*at));
        words.map(|at| self.meant_by(tokens[at].text.as_str())).collect::<Vec<_>>().join(" ")
    }

    /// "Knives" are the bedknives of reel units, and the blades of what has no other.
    pub(super) fn meant_by<'a>(&self, word: &'a str) -> &'a str {
        if !matches!(word, "knife" | "knives") {
            return word;
        }
        let asked = self.machines_asked_about();
        let shop = self.question.shop;
        let has = |kind: Equipment| {
            shop.subjects.iter().any(|known| {
                known.equipment == Some(kind) && asked.iter().any(|name| name.holds(&known.name))
            })
        };
        let blades = has(Equipment::RotaryDeck) || has(Equipment::VerticutReel);
        match (word, blades && !has(Equipment::ReelUnit)) {
            (_, true) => "blades",
            ("knife", false) => "bedknife",
            (_, false) => "bedknives",
        }
    }
}

/// The words without what the units that are asked about are: all of "groomer 2" is groomer.
fn without_attached(words: &str, units: &[SubjectName]) -> String {
    let is = |word: &str| {
        ATTACHED.iter().any(|kind| {
            let said = word == *kind || word.trim_end_matches('s') == *kind;
            said && units.iter().any(|name| {
                name.kind() == SubjectKind::Unit && name.id().as_str().starts_with(&format!("{kind}-"))
            })
        })
    };
    words.split_whitespace().filter(|word| !is(word)).collect::<Vec<_>>().join(" ")
}

/// The words without those that ask for the hours themselves.
fn without_hours(words: &str) -> String {
    const HOURS: &[&str] = &[
        "hours", "hour", "hrs", "time", "put", "spent", "spend", "spending", "work", "labour", "labor",
    ];
    let kept = words.split_whitespace().filter(|word| !HOURS.contains(word));
    kept.collect::<Vec<_>>().join(" ")
}

fn is_numeral(word: &str) -> bool {
    SMALL.contains(&word)
}
