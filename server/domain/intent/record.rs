//! Which records do the words make: kind, machine and unit, numbers, day, and who did it?
//! Deliberately absent: storing them, and whether the shop has what they name.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ZonedDateTime;

use super::assign::{Assigned, Signs, assign};
use super::cues::{Cue, cues, weight};
use super::dates;
use super::deeds::done_by;
use super::each_reel;
use super::each_unit::without_strays;
use super::grinding;
use super::measured;
use super::names::{Label, counted_units, labels};
use super::notes::notes;
use super::record_fields::{Fill, fields};
use super::record_kind::{METERED, deeds_only, fault_comes_first, likeliest};
use super::record_lists::{heights, items, part_as_said, parts, since};
use super::bare_numbers::{bare_hours, hours_of_a_day, heights_told, read_on_the_bench};
use super::settle::{Settled, is_likely};
use super::spoken::Spoken;
use super::subjects::{Named, Shop, named};
use super::taken_off;
use super::two_works;
use super::other_kind::{
    begins_with_a_check, heights_by_side, is_care, is_fine_now, names_fitting, only_cleans,
    told_otherwise, units_read,
};
use super::which_units::{both_machines, units_of_area};
use crate::domain::catalogue::Equipment;
use crate::domain::language::patterns::Lexicon;
use crate::domain::language::purpose::Purposes;
use crate::domain::language::text::Token;
use crate::domain::records::choices::{Choice, Direction, HeightMethod, SharpeningMethod};
use crate::domain::records::detail::HeightPoint;
use crate::domain::records::fields::Fields as _;
use crate::domain::records::{Content, Detail, Id, RecordKind, SubjectKind, SubjectName};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::said::naming::NamingEar;
use crate::domain::said::placing::{Leanings, Placings};
use crate::domain::said::said_units::CLICKS;

/// The records that words make.
#[derive(Clone, Debug)]
pub struct Recorded {
    pub kind: RecordKind,
    /// How strongly the words say so.
    pub score: u32,
    /// What each is about, and what it says; at least one.
    pub records: Vec<(SubjectName, Content)>,
    pub time: Option<ZonedDateTime>,
    pub named: Named,
    /// First and last token of each name, and of the day.
    pub spans: Vec<(usize, usize)>,
    pub spoken: Spoken,
    /// Quantity, field and value.
    pub placed: Vec<(usize, String, Settled)>,
    /// Words of the cues that speak for it.
    pub words: BTreeSet<usize>,
    /// A fault is told first, and then what was done about it.
    pub mended: bool,
}

/// What is known beside the words.
pub struct About<'a> {
    pub shop: &'a Shop,
    pub site: &'a Id,
    pub now: &'a ZonedDateTime,
    /// Whether the trade has a word, by its stem.
    pub known: &'a dyn Fn(&str) -> bool,
    /// Where findings that are there begin, in bytes.
    pub faults: &'a [usize],
    /// The ear for machines that no rule names.
    pub names: &'a NamingEar,
    /// How likely the whole sentence is each kind of record.
    pub purposes: &'a Purposes<'a>,
    /// What the numbers of the sentence are likely to be.
    pub placings: &'a Placings<'a>,
}

/// Reads the words as a record of the likeliest kind.
pub fn record(text: &str, tokens: &[Token], lexicon: &Lexicon, about: &About) -> Option<Recorded> {
    let About { shop, site, now, .. } = about;
    let labels = labels(tokens);
    let first = Spoken::new(text, tokens.to_vec(), &[]);
    let kind =
        likeliest(&first, &deeds_only(&first, cues(lexicon, &first)), false, about.purposes);
    let kind = kind.map(|(kind, _)| kind).or_else(|| by_numbers(&first));
    let kind = kind.or_else(|| is_care(&first).then_some(RecordKind::Inspection))?;
    let turf = kind == RecordKind::HeightReading && first.words.iter().any(|w| w.stem == "prism");
    let learned = || about.names.hear(text);
    let mut named = named(text, tokens, &labels, shop, site, turf, (about.known, &learned));
    both_machines(tokens, shop, &mut named);
    units_of_area(tokens, shop, &mut named, kind == RecordKind::HeightReading);
    let day = dates::said(tokens, &quantities(tokens), now);
    // "The 7th" is a day, and no green.
    let of_day = |at: usize| day.iter().any(|said| (said.first..=said.last).contains(&at));
    named.areas.retain(|area| !of_day(area.first) && !of_day(area.last));
    let undone = without_undone(tokens, &mut named);
    let mut spans = named.spans();
    spans.extend(day.iter().map(|said| (said.first, said.last)));
    let mut hidden = [spans.clone(), undone, super::doers::groups(tokens)].concat();
    hidden.extend(counted_units(tokens));
    let mut spoken = Spoken::new(text, tokens.to_vec(), &hidden);
    spoken.fold(&spans);
    parts_of_turns(&mut spoken);
    let cues = own_cues(&spoken, lexicon, &spans);
    let mended = fault_comes_first(&spoken, &cues, about.faults, &spans) || is_fine_now(&spoken);
    let (kind, score) = match likeliest(&spoken, &cues, mended, about.purposes) {
        Some(likeliest) => likeliest,
        // "Unit 2 on the triplex": the number is a name, and nothing else speaks of hours.
        None if kind == RecordKind::Hours && spoken.quantities.is_empty() => return None,
        None => (kind, 2),
    };
    // "Checked .126 left and .129 right, so I shimmed it level": read, and nothing was wrong.
    let read = kind == RecordKind::FaultFixed && begins_with_a_check(&spoken, &spans);
    let kind = if read && heights_by_side(&spoken) { RecordKind::HeightReading } else { kind };
    let kind = told_otherwise(&spoken, kind);
    let kind = if !mended && only_cleans(&spoken, kind) { RecordKind::Inspection } else { kind };
    measured::share_unit_by_side(&mut spoken);
    let ids = ["record", kind.id()];
    // Rows of heights and hours have their own order.
    let listed = matches!(kind, RecordKind::HeightReading | RecordKind::Hours);
    let leanings = if listed { Leanings::default() } else { about.placings.of(kind.id()) };
    let signs = Signs { cues: &cues, prefixes: &ids, learned: &leanings };
    let mut assigned = assign(&spoken, &signs, fields(kind), &BTreeSet::new());
    if kind == RecordKind::Hours {
        bare_hours(&spoken, named.machines.len(), &mut assigned);
        hours_of_a_day(&spoken, &mut assigned);
    }
    without_strays(&spoken, &named, &mut assigned);
    grinding::put_right(&spoken, kind, &mut assigned);
    if kind == RecordKind::Inspection {
        measured::keep_for_notes(&spoken, &mut assigned);
    }
    if kind == RecordKind::HeightReading {
        read_on_the_bench(&spoken, turf, &mut assigned);
        heights_told(&spoken, &mut assigned);
    }
    two_works::times(&spoken, kind, &mut assigned);
    each_reel::place(&spoken, (&named, shop), kind, &mut assigned);
    taken_off::taken_off(&spoken, &named, kind, &mut assigned);
    let mut builder = Builder {
        spoken: &spoken,
        cues: &cues,
        labels: &labels,
        named: &named,
        spans: &spans,
        assigned: &assigned,
        done_by: done_by(&spoken, &spans, about.known),
    };
    let mut records = builder.records(kind, site);
    let more = builder.other_work(kind, &records, about.placings);
    let mut all = assigned.clone();
    if !more.records.is_empty() {
        all.extend(more.assigned);
        let kept = builder.noted(kind, &all);
        records.iter_mut().for_each(|(_, content)| content.notes.clone_from(&kept));
        records.extend(more.records);
    }
    builder.taken_of_each(&mut records);
    let words = cues
        .iter()
        .filter(|cue| matches!(cue.family, "record" | "value" | "part" | "method" | "target"))
        .flat_map(|cue| cue.words.iter().copied())
        .collect();
    let placed =
        all.iter().map(|one| (one.quantity, one.field.clone(), one.settled.clone())).collect();
    let time = day.map(|said| said.time);
    Some(Recorded { kind, score, records, time, words, placed, named, spans, spoken, mended })
}

/// The cues of a record, without those that its names, its parts and its units rule out.
fn own_cues<'a>(spoken: &Spoken, lexicon: &'a Lexicon, spans: &[(usize, usize)]) -> Vec<Cue<'a>> {
    let mut cues = deeds_only(spoken, cues(lexicon, spoken));
    if !speaks_of_pressure(spoken) {
        cues.retain(|cue| !cue.id.contains("pressure"));
    } else if !spoken.quantities.iter().any(|one| matches!(one.unit, Some("mm" | "in" | "thou"))) {
        // "To 15 psi, they were 11".
        cues.retain(|cue| cue.family != "value" || !cue.id.contains("setting"));
    }
    // "The fairway cylinder" is a machine, and no part.
    let inside = |word: &usize| spoken.lies_within(*word, spans);
    let own = |cue: &Cue| {
        cue.words.last().is_some_and(inside) && cue.words.iter().skip(1).all(inside)
    };
    cues.retain(|cue| cue.family != "part" || !own(cue));
    // "Fitted a new bedknife" fits, and is no fitting.
    cues.retain(|cue| cue.id != "fitting" || names_fitting(spoken, cue));
    cues
}

/// Without units on which nothing was done: where that is said, first and last token.
fn without_undone(tokens: &[Token], named: &mut Named) -> Vec<(usize, usize)> {
    let undone = super::undone::denied(tokens);
    let within = |at: usize| undone.iter().any(|(first, last)| (*first..=*last).contains(&at));
    // "It was unit 3, not unit 4".
    let denied = |at: usize| at > 0 && tokens[at - 1].text == "not";
    let other = named.units.len() > 1;
    named.units.retain(|unit| !within(unit.first) && !(other && denied(unit.first)));
    undone
}

fn speaks_of_pressure(spoken: &Spoken) -> bool {
    let unit = spoken.quantities.iter().any(|q| matches!(q.unit, Some("psi" | "bar" | "kPa")));
    let word =
        |text: &str| matches!(text, "tyre" | "tyres" | "tire" | "tires" | "pressure" | "pressures");
    unit || spoken.tokens.iter().any(|token| word(&token.text))
}

/// "Half a turn up left, quarter down right".
fn parts_of_turns(spoken: &mut Spoken) {
    let turns = spoken.quantities.iter().any(|one| one.unit == Some("turns"));
    if turns || turns_something(spoken) {
        let bare = |one: &&mut Quantity| one.fraction && one.unit.is_none();
        spoken.quantities.iter_mut().filter(bare).for_each(|one| one.unit = Some("turns"));
    }
}

/// "Turned the right adjuster up an eighth": the part of one is of a turn.
fn turns_something(spoken: &Spoken) -> bool {
    const TURNED: &[&str] = &["turned", "turn", "wound", "screwed"];
    // "Moved the bedknife up an eighth": no inches, which would be far beyond its adjustment.
    const KNIFE: &[&str] = &["bedknife", "knife", "bedbar"];
    const ADJUSTERS: &[&str] = &["adjuster", "adjusters", "screw", "nut", "adjustment", "knob", "bolt", "it"];
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let inches = spoken.quantities.iter().any(|one| matches!(one.unit, Some("in" | "thou")));
    // "Nipped number 2 up an eighth".
    // "Backed it off an eighth": no gap is set by inches.
    let backed = said(&["backed", "eased"]) && said(&["off", "it"]);
    let by_screw = backed || said(&["nipped", "snugged", "cranked", "tweaked"]);
    let moved = said(&["moved", "brought"]) && said(KNIFE);
    ((said(TURNED) && said(ADJUSTERS)) || moved || by_screw) && !inches
}

/// A machine and a number are no more words.
const METERED_WORDS_MAX: usize = 5;

/// The kind that the numbers alone suggest.
fn by_numbers(spoken: &Spoken) -> Option<RecordKind> {
    let unit = |symbols: &[&str]| {
        spoken.quantities.iter().any(|q| q.unit.is_some_and(|unit| symbols.contains(&unit)))
    };
    // "Greens triplex 1,822": a name and a number that only a meter shows.
    let metered = |q: &Quantity| q.unit.is_none() && !q.in_words && q.value >= METERED;
    let only = spoken.words.len() <= METERED_WORDS_MAX && spoken.quantities.len() == 1;
    let early = || spoken.words.iter().take(METERED_WORDS_MAX);
    let headed = early().any(|word| matches!(word.text.as_str(), "hours" | "hrs"));
    let headed = headed && !spoken.quantities.is_empty();
    if headed || unit(&["h"]) || (only && spoken.quantities.iter().all(metered)) {
        Some(RecordKind::Hours)
    } else if unit(&["turns", "flats", CLICKS]) {
        Some(RecordKind::Adjustment)
    } else if unit(&["psi", "bar", "kPa", "rpm", "s"]) {
        Some(RecordKind::Inspection)
    } else if unit(&["mm", "in", "thou"]) || spoken.quantities.iter().any(|q| q.leading_point) {
        Some(RecordKind::HeightReading)
    } else {
        // "1 was 3.52 and 2 was 3.48".
        (units_read(spoken) > 1).then_some(RecordKind::HeightReading)
    }
}

pub(super) struct Builder<'a> {
    pub(super) spoken: &'a Spoken,
    pub(super) cues: &'a [Cue<'a>],
    pub(super) labels: &'a [Label],
    pub(super) named: &'a Named,
    pub(super) spans: &'a [(usize, usize)],
    pub(super) assigned: &'a [Assigned],
    pub(super) done_by: String,
}

impl Builder<'_> {
    fn records(&mut self, kind: RecordKind, site: &Id) -> Vec<(SubjectName, Content)> {
        if kind == RecordKind::Hours && self.named.machines.len() > 1 {
            let by_machine = self.hours_by_machine();
            if !by_machine.is_empty() {
                return by_machine;
            }
        }
        let content = self.content(kind);
        if self.named.machines.len() > 1 && matches!(content.detail, Detail::HeightReading(_)) {
            let by_machine = self.heights_by_machine(&content);
            if by_machine.len() == self.named.machines.len() {
                return by_machine;
            }
        }
        let subjects = self.subjects(kind, site);
        let mut records: Vec<(SubjectName, Content)> =
            subjects.into_iter().map(|subject| (subject, content.clone())).collect();
        self.before_of_one(&mut records);
        self.setting_of_each(&mut records);
        self.turns_of_each_end(&mut records);
        self.reels_of_each(&mut records);
        records
    }

    /// What the record is about: its units, else its machine, else its area, else the site.
    fn subjects(&self, kind: RecordKind, site: &Id) -> Vec<SubjectName> {
        let home = SubjectName::Site { site: site.clone() };
        let machine = self.named.machines.first().map(|mention| mention.name.clone());
        let machine = machine.or_else(|| self.named.machine_of_units());
        let units: Vec<SubjectName> = self
            .named
            .units
            .iter()
            .map(|mention| mention.name.clone())
            .filter(|name| name.kind() == SubjectKind::Unit)
            .collect();
        if kind == RecordKind::HeightReading && (units.len() > 1 || machine.is_none()) {
            let area = self.named.areas.first().map(|mention| mention.name.clone());
            let one_area = area.filter(|_| self.named.areas.len() == 1);
            return vec![machine.or(one_area).unwrap_or(home)];
        }
        if !units.is_empty() {
            let mut units = units;
            let mut seen: Vec<SubjectName> = Vec::new();
            units.retain(|unit| {
                let new = !seen.contains(unit);
                seen.push(unit.clone());
                new
            });
            return units;
        }
        let together = self.named.machines_together(&self.spoken.tokens);
        if !together.is_empty() {
            return together;
        }
        let area = self.named.areas.first().map(|mention| mention.name.clone());
        vec![machine.or(area).unwrap_or(home)]
    }

    fn hours_by_machine(&self) -> Vec<(SubjectName, Content)> {
        let mut out: Vec<(SubjectName, Content)> = Vec::new();
        for machine in &self.named.machines {
            let own: BTreeMap<String, f64> = self
                .assigned
                .iter()
                .filter(|one| self.machine_of(one.quantity) == Some(&machine.name))
                .map(|one| (one.field.clone(), one.settled.value))
                .collect();
            if own.is_empty() {
                continue;
            }
            let mut content = self.plain(RecordKind::Hours);
            content.visit(&mut Fill(&own));
            out.push((machine.name.clone(), content));
        }
        out
    }

    /// "Greens triplex 3.2, fairway mower 12.0": the heights of each machine.
    fn heights_by_machine(&self, whole: &Content) -> Vec<(SubjectName, Content)> {
        let points = heights(self.spoken, self.labels, self.named, self.assigned);
        let own = |name: &SubjectName| -> Vec<HeightPoint> {
            let of = |quantity: &usize| self.machine_of(*quantity) == Some(name);
            points.iter().filter(|(at, _)| of(at)).map(|(_, point)| point.clone()).collect()
        };
        let record = |name: &SubjectName| {
            let readings = own(name);
            let mut content = whole.clone();
            if let Detail::HeightReading(detail) = &mut content.detail {
                detail.readings.clone_from(&readings);
            }
            (!readings.is_empty()).then(|| (name.clone(), content))
        };
        self.named.machines.iter().filter_map(|machine| record(&machine.name)).collect()
    }

    /// The machine that hours or heights belong to: the next one named within the clause, else the
    /// last.
    fn machine_of(&self, quantity: usize) -> Option<&SubjectName> {
        let machines = &self.named.machines;
        if let Some(name) = self.machine_in_turn(quantity) {
            return Some(name);
        }
        let quantity = &self.spoken.quantities[quantity];
        let free_until = |machine: &super::subjects::Mention| {
            !self
                .spoken
                .quantities
                .iter()
                .any(|other| other.first > quantity.last && other.last < machine.first)
        };
        let after = machines.iter().find(|machine| {
            machine.first > quantity.last
                && machine.first <= quantity.last + 6
                && free_until(machine)
        });
        let before = machines.iter().rev().find(|machine| machine.last < quantity.first);
        let segment = |token: usize| self.spoken.tokens[token].segment;
        let beside = before.filter(|machine| segment(machine.last) == segment(quantity.first));
        if let Some(machine) = beside.filter(|machine| machine.last + 4 >= quantity.first) {
            return Some(&machine.name);
        }
        after.or(before).map(|mention| &mention.name)
    }

    /// "6.5 on the fairway mower and 3 on the rough mower": each number has its machine after it,
    /// or each before it; told by the first of either.
    fn machine_in_turn(&self, quantity: usize) -> Option<&SubjectName> {
        let machines = &self.named.machines;
        let hours: Vec<usize> = self.assigned.iter().map(|one| one.quantity).collect();
        if hours.len() != machines.len() || machines.is_empty() {
            return None;
        }
        let nth = hours.iter().position(|index| *index == quantity)?;
        let first = |at: usize| self.spoken.quantities[hours[at]].first;
        // "Walker 1: 4 hours, walker 2: 3.5 hours": machine and number by turns.
        let after = (0..machines.len() - 1)
            .all(|at| (first(at)..first(at + 1)).contains(&machines[at].first));
        let before = (0..machines.len() - 1)
            .all(|at| (machines[at].first..machines[at + 1].first).contains(&first(at)));
        (after || before).then(|| &machines[nth].name)
    }

    /// A record of a kind with nothing but what was said.
    fn plain(&self, kind: RecordKind) -> Content {
        let mut content = Content::new(Detail::empty(kind));
        content.words = self.spoken.text.trim().chars().take(2_000).collect();
        content.done_by.clone_from(&self.done_by);
        content.notes = self.noted(kind, self.assigned);
        content.equipment = self.equipment();
        content
    }

    /// What no field takes, and what was greased beside the work.
    fn noted(&self, kind: RecordKind, assigned: &[Assigned]) -> String {
        let measured = measured::noted(self.spoken, assigned);
        let notes = if measured.is_empty() {
            notes(self.spoken, self.spans, assigned)
        } else {
            measured
        };
        let care = two_works::care_note(self.spoken, kind);
        let scrapped = two_works::scrapped_note(self.spoken, kind);
        let sharpened = kind == RecordKind::Sharpening;
        let balance = if sharpened { self.balance_note() } else { None };
        let fitted = kind == RecordKind::PartReplaced && self.said("blades");
        let level = (fitted && self.balanced() == Some(true)).then(|| "balanced".to_owned());
        let beside = if sharpened { self.methods_beside(Some(self.method())) } else { Vec::new() };
        let all = [Some(notes), care, scrapped, balance, level].into_iter().flatten();
        let all = all.chain(beside.into_iter().map(str::to_owned)).filter(|note| !note.is_empty());
        all.collect::<Vec<_>>().join("; ")
    }

    /// The attachment worked on, when the words name one.
    pub(super) fn equipment(&self) -> Option<Equipment> {
        const SAID: &[(&str, Equipment)] = &[
            ("groomer", Equipment::Groomer),
            ("brush", Equipment::RearRollerBrush),
            ("brushes", Equipment::RearRollerBrush),
            ("verticut", Equipment::VerticutReel),
            ("deck", Equipment::RotaryDeck),
            ("rotary", Equipment::RotaryDeck),
        ];
        let is = |said: &str, word: &str| said == word || said.strip_suffix('s') == Some(word);
        let said = |word: &str| self.spoken.tokens.iter().any(|token| is(&token.text, word));
        SAID.iter().find(|(word, _)| said(word)).map(|(_, equipment)| *equipment)
    }

    pub(super) fn content(&self, kind: RecordKind) -> Content {
        let mut content = self.plain(kind);
        content.visit(&mut Fill(&self.numbers()));
        match &mut content.detail {
            Detail::Sharpening(detail) => {
                detail.method = Some(self.method());
                detail.balanced = self.balanced();
                let both = (1..self.spoken.words.len()).any(|at| {
                    let word = |at: usize| self.spoken.words[at].text.as_str();
                    let of = word(at - 1) == "of" && at > 1 && word(at - 2) == "pair";
                    let both = of || matches!(word(at - 1), "both" | "pair");
                    both && matches!(word(at), "blades" | "edges")
                });
                if both && detail.sharpened_blade_count.is_none() {
                    detail.sharpened_blade_count = Some(2);
                }
                detail.result = self.result();
                let relief = detail.method == Some(SharpeningMethod::SpinGrind)
                    && detail.relief_angle_deg.is_none() && self.said("relief");
                if relief && self.put_right("relief", &["spin", "spun"]) {
                    detail.method = Some(SharpeningMethod::ReliefGrind);
                } else if relief {
                    content.notes = [content.notes.as_str(), "relief ground as well"]
                        .into_iter().filter(|note| !note.is_empty()).collect::<Vec<_>>().join("; ");
                }
            }
            Detail::Adjustment(detail) => self.adjusted(detail),
            Detail::PartReplaced(detail) => {
                detail.parts = parts(self.spoken, &self.cues_of_parts(), self.assigned);
                if detail.parts.is_empty() {
                    detail.parts.extend(part_as_said(self.spoken, self.spans));
                }
                detail.result = self.result();
            }
            Detail::HeightReading(detail) => {
                detail.method = self.choice("height").or(Some(HeightMethod::Bench));
                let points = heights(self.spoken, self.labels, self.named, self.assigned);
                detail.readings = points.into_iter().map(|(_, point)| point).collect();
                // "Benched at 3.2" is the height itself when there is no other.
                if detail.readings.is_empty() && detail.bench_height_mm.is_some() {
                    let height_mm = detail.bench_height_mm.take();
                    detail.readings.push(HeightPoint { height_mm, ..HeightPoint::default() });
                }
            }
            Detail::Inspection(detail) => {
                detail.items = items(self.spoken, self.spans, self.assigned);
                self.cared_for(detail);
                let both = detail.left_diameter_mm.is_some() || detail.right_diameter_mm.is_some();
                if !both {
                    self.diameters(detail);
                }
            }
            Detail::FaultFixed(detail) => {
                self.fault(detail);
                detail.parts = parts(self.spoken, self.cues, self.assigned)
                    .into_iter()
                    .filter(|part| part.count.is_some())
                    .collect();
            }
            Detail::Hours(detail) => {
                detail.since = since(self.spoken, self.spans, self.assigned);
                // "Half a day, call it four hours": hours are surer than days.
                let runs = || self.assigned.iter().filter(|one| one.field == "hours_run_h");
                let run = runs().find(|one| one.settled.unit != "days").or_else(|| runs().next());
                detail.hours_run_h = run.map(|one| one.settled.value);
                // "1,089 hours on 21 November" is what the meter reads, unless it ran so long.
                let ran = ["run", "ran", "done", "did", "worked", "logged", "mowed"];
                let long = detail.hours_run_h.is_some_and(|hours| !is_likely("hours_run_h", hours));
                if long && content.machine_hours_h.is_none() && !ran.iter().any(|w| self.said(w)) {
                    content.machine_hours_h = detail.hours_run_h.take();
                }
            }
        }
        content
    }

    /// "Ground unit 3, it were relief": said of what the work was, and nobody said another.
    fn put_right(&self, what: &str, other: &[&str]) -> bool {
        let says = (1..self.spoken.words.len()).any(|at| {
            self.spoken.word(at) == what && matches!(self.spoken.word(at - 1), "was" | "were" | "a")
        });
        says && !other.iter().any(|word| self.said(word))
    }

    /// Numbers by field, with rise and drop as a signed change. A length that nothing claimed,
    /// said with a direction, is how far something moved, not where it stands.
    fn numbers(&self) -> BTreeMap<String, f64> {
        let hanger = self.said("hanger") || self.said("hangers");
        let direction = self.choice::<Direction>("direction");
        let mut out = BTreeMap::new();
        for one in self.assigned {
            let value = one.settled.value;
            let moved = one.field == "setting_mm" && (!one.by_cue || self.tells_move(one.quantity));
            let signed = one.field == "setting_mm" && self.has_plus(one.quantity);
            let apart = hanger || self.no_height_moved();
            let (field, value) = match (one.field.as_str(), direction) {
                ("height_rise_mm" | "height_drop_mm", _) if apart => ("movement_mm", value),
                ("height_rise_mm", _) => ("height_change_mm", value),
                ("height_drop_mm", _) => ("height_change_mm", -value.abs()),
                (_, Some(_)) if moved && hanger => ("movement_mm", value),
                _ if signed => ("height_change_mm", value),
                (_, Some(Direction::Up)) if moved => ("height_change_mm", value),
                (_, Some(Direction::Down)) if moved => ("height_change_mm", -value.abs()),
                (field, _) => (field, value),
            };
            out.insert(field.to_owned(), value);
        }
        out
    }

    pub(super) fn said(&self, word: &str) -> bool {
        self.spoken.tokens.iter().any(|token| token.text == word)
    }

    pub(super) fn choice<C: Choice>(&self, family: &str) -> Option<C> {
        let weighed = C::ALL.iter().map(|choice| (*choice, weight(self.cues, family, choice.id())));
        weighed
            .filter(|(_, weight)| *weight > 0)
            .reduce(|best, one| if one.1 > best.1 { one } else { best })
            .map(|(choice, _)| choice)
    }
}
