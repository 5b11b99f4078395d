//! Which records are meant? Those about what is asked after, of those days and that person, that
//! say all the words. Where none says all of them, those that say the most telling ones, and it is
//! told what was not found.
//! Deliberately absent: how words become terms; a synonym is the same term already.

use std::collections::{HashMap, HashSet, VecDeque};

use super::deeds::{Deed, changed_parts};
use super::work_words::{PART, kind_term};
use super::{Asked, Query};
use crate::domain::fleet::parts::Family;
use crate::domain::language::text::stem;
use crate::domain::records::detail::{Detail, FaultFixed};
use crate::domain::records::{Record, concerned};

/// Records kept of those that are meant; of more, the newest.
pub const KEPT_MAX: usize = 5_000;
/// Words of a question that are looked for.
pub const WANTED_MAX: usize = 24;
/// From this share of the weight on, records that do not say all are better than none (no source).
const ENOUGH: f64 = 0.5;

/// One thing looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    pub written: String,
    /// Any of these terms will do.
    pub terms: Vec<String>,
    /// It names a kind of work, not a thing: a record does it, or only says the word.
    pub deed: Option<Deed>,
    /// It names a part that is replaced.
    pub part: bool,
    /// A word of the trade: when no record says it, that is told.
    pub trade: bool,
}

/// Where the bits begin that say that a record does the work, or changed the part.
const STRICT: usize = 32;
/// The bit of a fault with a cause that the words name, and that of one that says them itself.
const CAUSED: u64 = 1 << 63;
const SAID: u64 = 1 << 62;

/// Goes through the records, the oldest first.
pub struct Sieve<'a> {
    query: &'a Query,
    wanted: Vec<Wanted>,
    /// By what they say: how many, and the newest of them.
    heaps: HashMap<u64, Heap>,
    /// Records of the days and subjects asked about, and how many of them say each word.
    seen: usize,
    says: Vec<usize>,
}

#[derive(Default)]
struct Heap {
    count: usize,
    newest: VecDeque<(usize, Record)>,
}

/// The records that are meant.
#[derive(Debug, Default)]
pub struct Kept {
    /// The newest first.
    pub records: Vec<Record>,
    pub total: usize,
    /// Words that none of them says.
    pub missed: Vec<String>,
    /// None says all the words.
    pub nearest: bool,
    /// Something was looked for by words or findings.
    pub worded: bool,
    /// A part is asked about, and none of these records says that it was changed.
    pub unchanged: bool,
    /// Words that none of the records asked about says, and that name no work or part: that nothing
    /// is written of them proves nothing.
    pub strange: Vec<String>,
}

impl<'a> Sieve<'a> {
    pub fn new(query: &'a Query, mut wanted: Vec<Wanted>) -> Sieve<'a> {
        wanted.truncate(WANTED_MAX);
        let says = vec![0; wanted.len()];
        Sieve { query, wanted, heaps: HashMap::new(), seen: 0, says }
    }

    /// Takes a record that stands. `terms`: those of all it says; `shows`: findings of its fault.
    pub fn read(
        &mut self,
        record: &Record,
        terms: impl FnOnce() -> HashSet<String>,
        shows: impl FnOnce() -> Vec<String>,
        terms_of: impl Fn(&str) -> HashSet<String>,
    ) {
        let about = concerned(&record.name.subject, &record.content);
        let asked = &self.query.subjects;
        let theirs = asked.is_empty() || asked.iter().any(|name| about.contains(name));
        let person = &self.query.done_by;
        let by = person.is_empty() || record.content.done_by.eq_ignore_ascii_case(person);
        let named = self.query.records.is_empty() || self.query.records.contains(&record.name);
        if !named || !theirs || !by || !self.query.holds(record.time) {
            return;
        }
        self.seen += 1;
        let terms = if self.wanted.is_empty() { HashSet::new() } else { terms() };
        let mut mask = 0_u64;
        let kind = kind_term(record.content.kind());
        let parts = changed_parts(record);
        let is = |term: &String| {
            terms.contains(term) || *term == kind || (term == PART && !parts.is_empty())
        };
        let changed = match self.wanted.iter().any(|wanted| wanted.part) && !parts.is_empty() {
            true => terms_of(&parts.join(". ")),
            false => HashSet::new(),
        };
        for (at, wanted) in self.wanted.iter().enumerate() {
            let does = match wanted.deed {
                // A new belt is no work on the blades.
                Some(Deed::Edge) => {
                    Deed::Edge.is(record) && (parts.is_empty() || self.wants_one_of(&parts))
                }
                Some(deed) => deed.is(record),
                // A roller brush is no roller.
                None => {
                    let family = Family::of(&wanted.written);
                    let same = |part: &String| Family::of(part) == family;
                    (family.is_none() || parts.iter().any(same))
                        && wanted.terms.iter().any(|term| changed.contains(term))
                }
            };
            if does {
                mask |= 1 << (at + STRICT);
            }
            if does || wanted.terms.iter().any(is) {
                mask |= 1 << at;
                self.says[at] += 1;
            }
        }
        if let Detail::FaultFixed(fault) = &record.content.detail {
            mask = self.of_fault(fault, mask, shows);
        }
        let heap = self.heaps.entry(mask).or_default();
        heap.count += 1;
        heap.newest.push_back((self.seen, record.clone()));
        if heap.newest.len() > KEPT_MAX {
            heap.newest.pop_front();
        }
    }

    /// A part that is asked about is one of these.
    fn wants_one_of(&self, parts: &[String]) -> bool {
        let family = |wanted: &Wanted| Family::of(&wanted.written);
        let asked = |part: &String| {
            self.wanted.iter().filter_map(family).any(|wanted| Family::of(part) == Some(wanted))
        };
        parts.iter().any(asked)
    }

    /// The bits of a fault: its cause and its findings count as well as its words.
    fn of_fault(
        &self,
        fault: &FaultFixed,
        said: u64,
        shows: impl FnOnce() -> Vec<String>,
    ) -> u64 {
        let whole = self.whole();
        let mut mask = said;
        let (findings, causes) = (&self.query.findings, &self.query.causes);
        if !findings.is_empty() {
            let shown = shows();
            if findings.iter().any(|finding| shown.contains(finding)) {
                mask |= whole;
            }
        }
        // Where nobody wrote the cause, all its words have to be said.
        let caused = causes.contains(&fault.cause.as_str());
        if caused || (!causes.is_empty() && fault.cause.is_empty() && said & whole == whole) {
            mask |= whole | self.strict() | CAUSED;
        }
        // "Squeal" that somebody wrote, and not only a sign whose title says it.
        if let [only] = &self.wanted[..]
            && mask & whole == whole && only.deed.is_none() && Family::of(&only.written).is_none()
        {
            let own = format!("{}. {}. {}", fault.fault, fault.found, fault.action).to_lowercase();
            let wanted = stem(&only.written.to_lowercase());
            let mut words = own.split(|c: char| !c.is_alphanumeric());
            if words.any(|word| stem(word) == wanted) {
                mask |= SAID;
            }
        }
        mask
    }

    /// Of faults whose cause is named, or that say the word themselves, no others are meant.
    fn only_the_surest(&mut self) {
        for bit in [CAUSED, SAID] {
            if self.heaps.keys().any(|mask| mask & bit != 0) {
                self.heaps.retain(|mask, _| mask & bit != 0);
                return;
            }
        }
    }

    fn whole(&self) -> u64 {
        (1_u64 << self.wanted.len()) - 1
    }

    /// The bits of records that do the work asked about, and changed the part when it is parts that
    /// are asked about. `None`: no work is named that a record could do.
    fn strict(&self) -> u64 {
        let changes = self.wanted.iter().any(|wanted| wanted.deed == Some(Deed::Change));
        let deeds = self.wanted.iter().any(|wanted| wanted.deed.is_some());
        let parts = changes || (!deeds && self.query.asked.is_of_parts());
        let bit = |(at, wanted): (usize, &Wanted)| {
            let wants = wanted.deed.is_some() || (wanted.part && wanted.trade && parts);
            if wants { 1_u64 << (at + STRICT) } else { 0 }
        };
        self.wanted.iter().enumerate().map(bit).fold(0, |all, one| all | one)
    }

    /// The records that are meant.
    pub fn kept(self) -> Kept {
        let all = self.wanted.iter().zip(&self.says);
        let strange = all.filter(|(wanted, says)| **says == 0 && !wanted.trade);
        let strange = strange.map(|(wanted, _)| wanted.written.clone()).collect();
        Kept { strange, ..self.chosen() }
    }

    fn chosen(mut self) -> Kept {
        self.only_the_surest();
        // A cause that was never found is not looked for by single words of it.
        let (whole, found) = (self.whole(), self.heaps.keys().any(|mask| mask & CAUSED != 0));
        let said = self.heaps.keys().any(|mask| mask & whole == whole);
        if !self.query.causes.is_empty() && !found && !said {
            return Kept { missed: self.missed(0, true), worded: true, ..Kept::default() };
        }
        let strict = self.strict();
        let whole = self.whole();
        let mut deeds = self.wanted.iter().filter_map(|wanted| wanted.deed);
        let certain = match self.query.asked {
            // A life is that of a part that was changed, and of no other.
            Asked::Life => strict != 0,
            // An inspection of a part is no work on it.
            Asked::Hours => strict != 0 && self.wants_parts(),
            asked if asked.is_a_figure() => {
                deeds.next().is_some() || (strict != 0 && self.wants_parts())
            }
            Asked::Last | Asked::History => deeds.any(Deed::is_certain),
            _ => false,
        };
        let does = |mask: u64, bits: u64| mask & bits == bits;
        let any = |bits: u64| self.heaps.keys().any(|mask| does(*mask, bits));
        // What does the work is meant before what only says the word; of figures nothing else is.
        let deed_bits = self.deed_bits();
        let unchanged = self.wants_parts() && strict != 0 && !any(strict);
        // Another part that was changed is no answer.
        let part_changed = self.part_changed();
        let required = match (any(whole | strict), any(strict), any(deed_bits)) {
            (true, ..) | (_, true, _) => strict,
            _ if part_changed.is_some_and(any) => part_changed.unwrap_or(0),
            _ if part_changed.is_some() => {
                return Kept { missed: self.missed(0, true), worded: true, ..Kept::default() };
            }
            (_, _, true) if deed_bits != 0 => deed_bits,
            _ if certain => {
                return Kept { missed: self.missed(0, true), worded: true, ..Kept::default() };
            }
            _ => 0,
        };
        let heaps = std::mem::take(&mut self.heaps);
        let heaps: Vec<(u64, Heap)> = heaps
            .into_iter()
            .filter(|(mask, _)| does(*mask, required))
            .map(|(mask, heap)| (mask & (u64::MAX >> STRICT), heap))
            .collect();
        let rare = |says: &usize| ((self.seen + 1) as f64 / (*says as f64 + 0.5)).ln();
        let weights: Vec<f64> = self.says.iter().map(rare).collect();
        let weight = |mask: u64| -> f64 {
            (0..weights.len()).filter(|at| mask >> at & 1 == 1).map(|at| weights[at].max(0.0)).sum()
        };
        // What nobody wrote ever cannot be held against a record.
        let found = (0..weights.len()).filter(|at| self.says[*at] > 0);
        let found = found.fold(0, |mask, at| mask | 1 << at);
        let best = if heaps.iter().any(|(mask, _)| *mask == whole) {
            whole
        } else {
            let better = |a: &u64, b: &u64| {
                weight(*a).total_cmp(&weight(*b)).then_with(|| b.cmp(a))
            };
            heaps.iter().map(|(mask, _)| *mask).max_by(better).unwrap_or(0)
        };
        let enough = best == whole || (best != 0 && weight(best) >= ENOUGH * weight(found));
        // A figure of something else, or whether something else held, is worse than none.
        let strict_asked = self.query.asked.is_a_figure() || self.query.asked == Asked::Held;
        let thing = self.wanted.iter().enumerate().any(|(at, wanted)| {
            best >> at & 1 == 0 && wanted.trade && wanted.deed.is_none()
        });
        if !enough || self.is_another_part(best) || (strict_asked && thing) {
            return Kept { missed: self.missed(best, true), worded: true, ..Kept::default() };
        }
        let mut records = Vec::new();
        let mut total = 0;
        for (mask, heap) in heaps {
            if mask & best == best {
                total += heap.count;
                records.extend(heap.newest);
            }
        }
        records.sort_by(|a, b| (b.1.time, b.0).cmp(&(a.1.time, a.0)));
        records.truncate(KEPT_MAX);
        let records: Vec<Record> = records.into_iter().map(|(_, record)| record).collect();
        let worded = !self.wanted.is_empty() || !self.query.findings.is_empty();
        let missed = self.missed(best, false);
        let nearest = best != whole && !missed.is_empty();
        Kept { records, total, nearest, missed, worded, unchanged, strange: Vec::new() }
    }

    /// Something is named that was changed, and these records say none of it: another part that was
    /// changed is no answer.
    fn is_another_part(&self, said: u64) -> bool {
        let asked = self.query.asked;
        let strict = asked.is_a_figure() || matches!(asked, Asked::Last | Asked::Hours);
        let changes = self.wanted.iter().any(|wanted| wanted.deed == Some(Deed::Change));
        let all = self.wanted.iter().enumerate();
        let mut things = all.filter(|(_, wanted)| wanted.deed.is_none()).peekable();
        let named = things.peek().is_some();
        strict && changes && named && things.all(|(at, _)| said >> at & 1 == 0)
    }

    /// Parts that wear are asked about, and nothing else.
    fn wants_parts(&self) -> bool {
        let part = |wanted: &Wanted| wanted.deed.is_none() && Family::of(&wanted.written).is_some();
        !self.wanted.is_empty() && self.wanted.iter().all(part)
    }

    /// The bits of records that changed the part, where it is asked when or how often it was.
    fn part_changed(&self) -> Option<u64> {
        let asked = self.query.asked == Asked::Last || self.query.asked.is_a_figure();
        let changes = self.wanted.iter().any(|wanted| wanted.deed == Some(Deed::Change));
        let family = |wanted: &Wanted| {
            wanted.deed.is_none() && Family::of(&wanted.written).is_some()
        };
        let named = self.wanted.iter().any(family);
        (asked && changes && named).then(|| {
            let all = self.wanted.iter().enumerate();
            let wants = all.filter(|(_, one)| one.deed == Some(Deed::Change) || family(one));
            wants.fold(0, |bits, (at, _)| bits | 1 << (at + STRICT))
        })
    }

    fn deed_bits(&self) -> u64 {
        let deeds = self.wanted.iter().enumerate().filter(|(_, wanted)| wanted.deed.is_some());
        deeds.fold(0, |all, (at, _)| all | 1_u64 << (at + STRICT))
    }

    /// Words that are not said by these records. `all`: also those that are no words of the trade.
    fn missed(&self, mask: u64, all: bool) -> Vec<String> {
        let lacking = self.wanted.iter().enumerate().filter(|(at, wanted)| {
            mask >> at & 1 == 0 && (wanted.trade || all || self.says[*at] > 0)
        });
        lacking.map(|(_, wanted)| wanted.written.clone()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::detail::{Part, PartReplaced, Sharpening};
    use crate::domain::records::choices::SharpeningMethod;
    use crate::domain::records::{Content, Moment, RecordName, RequestId, SubjectName};

    pub fn record(number: u64, subject: &str, day: i64, detail: Detail) -> Record {
        let subject = SubjectName::parse("parent", subject).expect("a name");
        let time = Moment::from_microseconds(day * 86_400_000_000);
        Record {
            name: RecordName { subject, number },
            time,
            created: time,
            request_id: RequestId::of_content(&number.to_le_bytes()),
            supersedes: None,
            superseded_by: None,
            unit_type: String::new(),
            content: Content::new(detail),
        }
    }

    fn wanted(word: &str, deed: Option<Deed>) -> Wanted {
        let (written, terms) = (word.to_owned(), vec![word.to_owned()]);
        Wanted { written, terms, deed, part: deed.is_none(), trade: true }
    }

    fn query(asked: Asked) -> Query {
        Query {
            asked,
            subjects: Vec::new(),
            from: None,
            until: None,
            done_by: String::new(),
            findings: Vec::new(),
            causes: Vec::new(),
            by: None,
            passed_over: 0,
            records: Vec::new(),
        }
    }

    fn terms(words: &str) -> HashSet<String> {
        words.split(' ').map(str::to_owned).collect()
    }

    #[test]
    fn all_words_are_better_than_some_and_what_is_missing_is_told() {
        let lap = || Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::Backlap),
            ..Sharpening::default()
        });
        let unit = "sites/home/machines/triplex/units/2";
        let asked = query(Asked::Last);
        let mut sieve = Sieve::new(&asked, vec![wanted("backlap", Some(Deed::Backlap))]);
        sieve.read(&record(1, unit, 10, lap()), || terms("backlap reel"), Vec::new, terms);
        sieve.read(&record(2, unit, 20, lap()), || terms("backlap reel"), Vec::new, terms);
        let ground = Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::SpinGrind),
            ..Sharpening::default()
        });
        // It says the word, and is a grind all the same.
        let said = || terms("grind reel backlap");
        sieve.read(&record(3, unit, 30, ground), said, Vec::new, terms);
        let kept = sieve.kept();
        let numbers: Vec<u64> = kept.records.iter().map(|record| record.name.number).collect();
        assert_eq!((numbers, kept.total, kept.nearest), (vec![2, 1], 2, false));

        let mut sieve = Sieve::new(&asked, vec![wanted("coolant", None)]);
        sieve.read(&record(1, unit, 10, lap()), || terms("backlap reel"), Vec::new, terms);
        let kept = sieve.kept();
        assert_eq!((kept.total, kept.missed), (0, vec!["coolant".to_owned()]));
        assert!(kept.strange.is_empty(), "a word of the trade proves that there was none");

        let unknown = Wanted { trade: false, ..wanted("frobs", None) };
        let mut sieve = Sieve::new(&asked, vec![wanted("backlap", Some(Deed::Backlap)), unknown]);
        sieve.read(&record(1, unit, 10, lap()), || terms("backlap reel"), Vec::new, terms);
        let kept = sieve.kept();
        assert_eq!((kept.total, kept.strange), (1, vec!["frobs".to_owned()]));
    }

    #[test]
    fn another_part_that_was_changed_is_no_answer() {
        let new = Detail::PartReplaced(PartReplaced {
            parts: vec![Part { part: "bedknife".to_owned(), ..Part::default() }],
            ..PartReplaced::default()
        });
        let unit = "sites/home/machines/triplex/units/2";
        for (asked, thing, wanted_count) in [
            (Asked::Last, "flange", 0),
            (Asked::Count, "flange", 0),
            (Asked::Last, "bedknife", 1),
        ] {
            let asked = query(asked);
            let thing = Wanted { trade: thing == "bedknife", ..wanted(thing, None) };
            let mut sieve = Sieve::new(&asked, vec![thing, wanted("changed", Some(Deed::Change))]);
            let read = || terms("part replaced bedknife");
            sieve.read(&record(1, unit, 10, new.clone()), read, Vec::new, terms);
            assert_eq!(sieve.kept().total, wanted_count);
        }
    }

    #[test]
    fn an_edge_is_done_by_sharpening_it_and_by_a_new_one_and_by_no_new_belt() {
        let ground = Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::BladeGrind),
            ..Sharpening::default()
        });
        let new = |part: &str| Detail::PartReplaced(PartReplaced {
            parts: vec![Part { part: part.to_owned(), ..Part::default() }],
            ..PartReplaced::default()
        });
        let unit = "sites/home/machines/rotary/units/deck";
        let asked = query(Asked::Last);
        let wanted_both = vec![wanted("blades", None), wanted("done", Some(Deed::Edge))];
        let mut sieve = Sieve::new(&asked, wanted_both);
        let rows = [new("blades"), ground, new("belt")];
        for (number, detail) in (1..).zip(rows) {
            let day = i64::try_from(number).unwrap_or(0) * 10;
            sieve.read(&record(number, unit, day, detail), || terms("blades"), Vec::new, terms);
        }
        let kept = sieve.kept().records;
        let numbers: Vec<u64> = kept.iter().map(|record| record.name.number).collect();
        assert_eq!(numbers, [2, 1]);
    }

    #[test]
    fn a_part_that_is_counted_is_a_new_one() {
        let new = || Detail::PartReplaced(PartReplaced {
            parts: vec![Part { part: "bedknife".to_owned(), ..Part::default() }],
            ..PartReplaced::default()
        });
        let set = || Detail::Adjustment(crate::domain::records::detail::Adjustment::default());
        let unit = "sites/home/machines/triplex/units/2";
        let asked = query(Asked::Count);
        let mut sieve = Sieve::new(&asked, vec![wanted("bedknife", None)]);
        sieve.read(&record(1, unit, 10, new()), || terms("bedknife"), Vec::new, terms);
        sieve.read(&record(2, unit, 20, set()), || terms("bedknife set"), Vec::new, terms);
        assert_eq!(sieve.kept().total, 1);
    }
}
