//! Which passage of the knowledge answers a question? Notes, procedures, their steps and readings,
//! causes, findings, cautions and targets, each with its title; a passage has to hold what is asked
//! about, so that nothing is answered by the nearest word.
//!
//! Order of reading: terms (words that mean one thing) -> here (which passage) -> form (what kind
//! of question) -> told (the answer in words) -> practical (what is worn, worked out, how often).

pub mod form;
pub mod job;
mod judged;
pub mod one_go;
pub mod practical;
pub mod terms;
pub mod told;

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalogue::{Equipment, Knowledge};
use terms::Terms;

/// A word in the title counts for so much more than one in the text.
const IN_TITLE: f64 = 1.7;
/// How much a title that is about nothing else adds.
const TO_THE_POINT: f64 = 0.7;
/// A word that stands nowhere in the knowledge counts as much as one that stands in one passage of
/// twenty: it tells that something else may be meant, and must not hide what is.
const UNKNOWN_WEIGHT: f64 = 3.0;
/// So much of what is asked about has to be in a passage.
const COVERED_MIN: f64 = 0.6;

/// What works at a depth of its own: a height of cut is none of theirs.
const DEVICES: &[(&str, Equipment)] =
    &[("verticut", Equipment::VerticutReel), ("groomer", Equipment::Groomer)];

/// Where a passage stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    Note(usize),
    Procedure(usize),
    Step { procedure: usize, step: usize },
    Reading { procedure: usize, step: usize, reading: usize },
    Target(usize),
    Cause(usize),
    Finding(usize),
    Caution(usize),
}

/// A passage found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    pub source: Source,
    pub score: f64,
    /// The share of what was asked about that stands in it, by weight.
    pub covered: f64,
    /// The share of it that stands in the title.
    pub titled: f64,
    /// The share of the title that was asked about.
    pub to_the_point: f64,
}

#[derive(Clone, Debug)]
struct Passage {
    source: Source,
    title: BTreeSet<String>,
    text: BTreeSet<String>,
    /// Of what it is; empty: of anything.
    equipment: Vec<Equipment>,
}

impl Passage {
    /// Whether it may tell of one of these devices.
    fn is_of(&self, devices: &[(String, Equipment)]) -> bool {
        let of = |(term, kind): &(String, Equipment)| {
            self.equipment.contains(kind) || self.title.contains(term) || self.text.contains(term)
        };
        devices.is_empty() || self.equipment.is_empty() || devices.iter().any(of)
    }
}

/// All passages of the knowledge, with how rare each word is.
#[derive(Clone, Debug)]
pub struct Passages {
    pub terms: Terms,
    all: Vec<Passage>,
    uses: BTreeMap<String, usize>,
}

impl Passages {
    pub fn new(knowledge: &Knowledge) -> Passages {
        let terms = Terms::new(knowledge);
        let mut all: Vec<Passage> = Vec::new();
        let mut add_of = |source: Source, title: &str, text: &str, equipment: &[Equipment]| {
            let (title, text) = (terms.of(title), terms.of(text));
            let (title, text) = (title.into_iter().collect(), text.into_iter().collect());
            all.push(Passage { source, title, text, equipment: equipment.to_vec() });
        };
        for (at, row) in knowledge.notes.iter().enumerate() {
            add_of(Source::Note(at), &row.title, &row.text, &row.equipment);
        }
        let mut add = |source: Source, title: &str, text: &str| add_of(source, title, text, &[]);
        for (procedure, row) in knowledge.procedures.iter().enumerate() {
            let text = format!("{} {}", row.summary, row.id.replace('_', " "));
            add(Source::Procedure(procedure), &row.title, &text);
            for (step, one) in row.steps.iter().enumerate() {
                let title = format!("{} {}", row.title, one.title);
                add(Source::Step { procedure, step }, &title, &format!("{} {}", one.why, one.text));
                for (reading, value) in one.readings.iter().enumerate() {
                    add(Source::Reading { procedure, step, reading }, &value.label, &row.title);
                }
            }
        }
        for (at, row) in knowledge.setting_targets.iter().enumerate() {
            let title = format!("{} {}", row.title, row.setting.replace('_', " "));
            add(Source::Target(at), &title, &format!("{} {}", row.how, row.equipment.title()));
        }
        for (at, row) in knowledge.causes.iter().enumerate() {
            add(Source::Cause(at), &row.title, &row.remedy);
        }
        for (at, row) in knowledge.findings.iter().enumerate() {
            add(Source::Finding(at), &row.title, &row.question);
        }
        for (at, row) in knowledge.cautions.iter().enumerate() {
            add(Source::Caution(at), &row.title, &row.text);
        }
        let mut uses: BTreeMap<String, usize> = BTreeMap::new();
        for word in all.iter().flat_map(|one| one.title.union(&one.text)) {
            *uses.entry(word.clone()).or_default() += 1;
        }
        Passages { terms, all, uses }
    }

    /// How much a word tells: a rare one more.
    pub fn weight(&self, word: &str) -> f64 {
        let Some(uses) = self.uses.get(word).copied() else { return UNKNOWN_WEIGHT };
        (1.0 + self.all.len() as f64 / (1.0 + uses as f64)).ln()
    }

    /// The devices that words name, each with its term.
    fn devices_in(&self, asked: &[String]) -> Vec<(String, Equipment)> {
        let term = |(name, kind): &(&str, Equipment)| Some((self.terms.of(name).pop()?, *kind));
        let all = DEVICES.iter().filter_map(term);
        all.filter(|(term, _)| asked.contains(term)).collect()
    }

    /// Whether a note is of something else than the device that words name: mowing heights tell no
    /// depth of a verticut.
    pub fn is_of_another(&self, note: usize, asked: &[String]) -> bool {
        let devices = self.devices_in(asked);
        let own = self.all.iter().find(|one| one.source == Source::Note(note));
        own.is_some_and(|one| !one.is_of(&devices))
    }

    /// Whether any passage holds the word.
    pub fn knows(&self, word: &str) -> bool {
        self.uses.contains_key(word)
    }

    /// The passages that hold enough of the words, the best first; ties as they stand.
    pub fn find(&self, asked: &[String], wanted: impl Fn(Source) -> bool) -> Vec<Found> {
        let mut found = self.scores(asked, wanted);
        found.retain(|found| found.covered >= COVERED_MIN);
        found
    }

    /// All passages that are wanted, the best first; ties as they stand.
    pub fn scores(&self, asked: &[String], wanted: impl Fn(Source) -> bool) -> Vec<Found> {
        let whole: f64 = asked.iter().map(|word| self.weight(word)).sum();
        if whole <= 0.0 {
            return Vec::new();
        }
        let judge = |one: &Passage| {
            let (mut score, mut covered, mut titled) = (0.0, 0.0, 0.0);
            for word in asked {
                let in_title = one.title.contains(word);
                if in_title || one.text.contains(word) {
                    let weight = self.weight(word);
                    covered += weight;
                    titled += if in_title { weight } else { 0.0 };
                    score += weight * if in_title { IN_TITLE } else { 1.0 };
                }
            }
            let of_title: f64 = one.title.iter().map(|word| self.weight(word)).sum();
            let asked_of: f64 = one
                .title
                .iter()
                .filter(|word| asked.contains(word))
                .map(|word| self.weight(word))
                .sum();
            let to_the_point = if of_title > 0.0 { asked_of / of_title } else { 0.0 };
            let score = score / whole + TO_THE_POINT * to_the_point;
            let (covered, titled) = (covered / whole, titled / whole);
            Found { source: one.source, score, covered, titled, to_the_point }
        };
        let devices = self.devices_in(asked);
        let mut found: Vec<Found> = self
            .all
            .iter()
            .filter(|one| wanted(one.source) && one.is_of(&devices))
            .map(judge)
            .collect();
        found.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.source.cmp(&b.source)));
        found
    }
}
