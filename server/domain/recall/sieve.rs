//! Which records are meant? Those about what is asked after, of those days and that person, that
//! say all the words. Where none says all of them, those that say the most telling ones, and it is
//! told what was not found.
//! Deliberately absent: how words become terms; a synonym is the same term already.

use std::collections::{HashMap, HashSet, VecDeque};

use super::work_words::{PART, kind_term};
use super::{Asked, Query};
use crate::domain::records::detail::Detail;
use crate::domain::records::{Record, RecordKind, concerned};

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
    /// It names a kind of work, not a thing.
    pub work: bool,
    /// It names a part that is replaced.
    pub part: bool,
}

/// Goes through the records, the oldest first.
pub struct Sieve<'a> {
    query: &'a Query,
    wanted: Vec<Wanted>,
    /// By what they say: how many, and the newest of them.
    heaps: HashMap<u32, Heap>,
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
    ) {
        let about = concerned(&record.name.subject, &record.content);
        let asked = &self.query.subjects;
        let theirs = asked.is_empty() || asked.iter().any(|name| about.contains(name));
        let person = &self.query.done_by;
        let by = person.is_empty() || record.content.done_by.eq_ignore_ascii_case(person);
        if !theirs || !by || !self.query.holds(record.time) {
            return;
        }
        self.seen += 1;
        let terms = if self.wanted.is_empty() { HashSet::new() } else { terms() };
        let mut mask = 0;
        let kind = kind_term(record.content.kind());
        let part = has_part(record);
        let is = |term: &String| terms.contains(term) || *term == kind || (term == PART && part);
        for (at, wanted) in self.wanted.iter().enumerate() {
            if wanted.terms.iter().any(is) {
                mask |= 1 << at;
                self.says[at] += 1;
            }
        }
        let findings = &self.query.findings;
        if !findings.is_empty() && record.content.kind() == RecordKind::FaultFixed {
            let shown = shows();
            if findings.iter().any(|finding| shown.contains(finding)) {
                mask = self.whole();
            }
        }
        let heap = self.heaps.entry(mask).or_default();
        heap.count += 1;
        heap.newest.push_back((self.seen, record.clone()));
        if heap.newest.len() > KEPT_MAX {
            heap.newest.pop_front();
        }
    }

    fn whole(&self) -> u32 {
        (1_u32 << self.wanted.len()) - 1
    }

    /// The records that are meant.
    pub fn kept(self) -> Kept {
        let whole = self.whole();
        let rare = |says: &usize| ((self.seen + 1) as f64 / (*says as f64 + 0.5)).ln();
        let weights: Vec<f64> = self.says.iter().map(rare).collect();
        let weight = |mask: u32| -> f64 {
            (0..weights.len()).filter(|at| mask >> at & 1 == 1).map(|at| weights[at].max(0.0)).sum()
        };
        // What nobody wrote ever cannot be held against a record.
        let found = (0..weights.len()).filter(|at| self.says[*at] > 0);
        let found = found.fold(0, |mask, at| mask | 1 << at);
        let best = if self.heaps.contains_key(&whole) {
            whole
        } else {
            let masks = self.heaps.keys().copied();
            let better = |a: &u32, b: &u32| {
                weight(*a).total_cmp(&weight(*b)).then_with(|| b.cmp(a))
            };
            masks.max_by(better).unwrap_or(0)
        };
        let enough = best == whole || (best != 0 && weight(best) >= ENOUGH * weight(found));
        let missed = |mask: u32| -> Vec<String> {
            let lacking = self.wanted.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 0);
            lacking.map(|(_, wanted)| wanted.written.clone()).collect()
        };
        if !enough {
            return Kept { missed: missed(best), ..Kept::default() };
        }
        let mut records = Vec::new();
        let mut total = 0;
        for (mask, heap) in &self.heaps {
            if mask & best == best {
                total += heap.count;
                records.extend(heap.newest.iter().cloned());
            }
        }
        records.sort_by(|a, b| (b.1.time, b.0).cmp(&(a.1.time, a.0)));
        records.truncate(KEPT_MAX);
        let mut records: Vec<Record> = records.into_iter().map(|(_, record)| record).collect();
        if self.only_parts() && records.iter().any(has_part) {
            records.retain(has_part);
            total = records.len();
        }
        let worded = !self.wanted.is_empty() || !self.query.findings.is_empty();
        Kept { records, total, missed: missed(best), nearest: best != whole, worded }
    }

    /// "How many bedknives": new ones, and not every work at a bedknife.
    fn only_parts(&self) -> bool {
        let counted = matches!(
            self.query.asked,
            Asked::Count | Asked::Life | Asked::Last | Asked::Never | Asked::Took
        );
        counted
            && self.wanted.iter().any(|wanted| wanted.part)
            && !self.wanted.iter().any(|wanted| wanted.work)
    }
}

/// Whether it says that a part was replaced.
pub fn has_part(record: &Record) -> bool {
    match &record.content.detail {
        Detail::PartReplaced(_) => true,
        Detail::FaultFixed(fault) => !fault.parts.is_empty(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::detail::{PartReplaced, Part, Sharpening};
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

    fn wanted(word: &str, work: bool, part: bool) -> Wanted {
        Wanted { written: word.to_owned(), terms: vec![word.to_owned()], work, part }
    }

    fn query(asked: Asked) -> Query {
        Query {
            asked,
            subjects: Vec::new(),
            from: None,
            until: None,
            done_by: String::new(),
            findings: Vec::new(),
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
        let mut sieve = Sieve::new(&asked, vec![wanted("backlap", true, false)]);
        sieve.read(&record(1, unit, 10, lap()), || terms("backlap reel"), Vec::new);
        sieve.read(&record(2, unit, 20, lap()), || terms("backlap reel"), Vec::new);
        sieve.read(&record(3, unit, 30, lap()), || terms("grind reel"), Vec::new);
        let kept = sieve.kept();
        let numbers: Vec<u64> = kept.records.iter().map(|record| record.name.number).collect();
        assert_eq!((numbers, kept.total, kept.nearest), (vec![2, 1], 2, false));

        let mut sieve = Sieve::new(&asked, vec![wanted("coolant", false, false)]);
        sieve.read(&record(1, unit, 10, lap()), || terms("backlap reel"), Vec::new);
        let kept = sieve.kept();
        assert_eq!((kept.total, kept.missed), (0, vec!["coolant".to_owned()]));
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
        let mut sieve = Sieve::new(&asked, vec![wanted("bedknif", false, true)]);
        sieve.read(&record(1, unit, 10, new()), || terms("bedknif"), Vec::new);
        sieve.read(&record(2, unit, 20, set()), || terms("bedknif set"), Vec::new);
        assert_eq!(sieve.kept().total, 1);
    }
}
