//! Documents in memory: what was acknowledged and is not in the files yet, or everything when there
//! are no files. Measured by the same terms and the same formula as those on disk.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::document::{Document, is_record};
use super::query::{Filter, Lexicon, Plan};
use super::rank::{Collected, Corpus, Place, TITLE_TIMES, length_class, saturated};
use super::snapshot::At;
use super::terms::{Pipeline, is_word};
use super::typos::Nearest;

/// A document with its terms counted.
#[derive(Debug, Clone)]
pub struct Counted {
    pub document: Document,
    pub counts: BTreeMap<String, u32>,
    pub terms: u32,
}

impl Counted {
    pub fn new(document: Document, pipeline: &Pipeline) -> Counted {
        let mut counts: BTreeMap<String, u32> = BTreeMap::new();
        for (text, times) in
            [(&document.title, TITLE_TIMES), (&document.body, 1), (&document.also, 1)]
        {
            for term in pipeline.terms(text) {
                *counts.entry(term.text).or_default() += times;
            }
        }
        let terms = counts.values().sum();
        Counted { document, counts, terms }
    }

    pub fn time(&self) -> i64 {
        self.document.time.map_or(i64::MIN, |time| time.microseconds())
    }
}

/// Documents, and which others no longer stand.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    pub documents: Vec<Arc<Counted>>,
    /// Records that were superseded, with the change that did it.
    pub gone: BTreeMap<u64, u64>,
}

impl Shelf {
    /// Puts a record on the shelf, and takes away the one it replaces.
    pub fn put(&mut self, sequence: u64, document: Option<Arc<Counted>>, replaced: Option<u64>) {
        if let Some(key) = replaced {
            self.gone.insert(key, sequence);
            self.documents.retain(|counted| counted.document.key != key);
        }
        self.documents.extend(document);
    }

    /// Leaves off what is in the files up to this change.
    pub fn after(&self, sequence: u64) -> Shelf {
        let later = |counted: &&Arc<Counted>| {
            !is_record(counted.document.key) || counted.document.key > sequence
        };
        Shelf {
            documents: self.documents.iter().filter(later).cloned().collect(),
            gone: self
                .gone
                .iter()
                .filter(|(_, by)| **by > sequence)
                .map(|(k, v)| (*k, *v))
                .collect(),
        }
    }

    pub fn corpus(&self) -> Corpus {
        Corpus {
            documents: self.documents.len() as u64,
            terms: self.documents.iter().map(|counted| u64::from(counted.terms)).sum(),
        }
    }

    pub fn collect(
        &self,
        plan: &Plan,
        filter: &Filter,
        length_costs: &[f64; 256],
        out: &mut Collected<At>,
    ) {
        for (at, counted) in self.documents.iter().enumerate() {
            let document = &counted.document;
            let of_subject = |name: &String| document.subjects.contains(name);
            let of_cause = |id: &String| document.causes.contains(id);
            let admitted = filter.admits(document.kind, counted.time(), document.key)
                && filter.subject.as_ref().is_none_or(of_subject)
                && filter.cause.as_ref().is_none_or(of_cause);
            if !admitted {
                continue;
            }
            let cost = length_costs[usize::from(length_class(counted.terms))];
            let (mut score, mut matched) = (0.0, 0.0);
            for sought in &plan.concepts {
                let worth = concept_score(&sought.terms, &counted.counts, cost);
                if worth > 0.0 {
                    matched += sought.rarity;
                    score += worth;
                }
            }
            if matched < plan.needed {
                continue;
            }
            out.total += 1;
            *out.kinds.entry(document.kind).or_default() += 1;
            for cause in &document.causes {
                *out.causes.entry(cause.clone()).or_default() += 1;
            }
            let place =
                Place { score, time: counted.time(), key: document.key, at: At::Memory(at) };
            out.offer(place);
        }
    }
}

fn concept_score(terms: &[(String, f64)], counts: &BTreeMap<String, u32>, cost: f64) -> f64 {
    let scores = terms
        .iter()
        .filter_map(|(term, worth)| counts.get(term).map(|times| worth * saturated(*times, cost)));
    scores.fold(0.0, f64::max)
}

impl Lexicon for Shelf {
    fn holding(&self, term: &str) -> Result<u64, tantivy::TantivyError> {
        let holding = self.documents.iter().filter(|counted| counted.counts.contains_key(term));
        Ok(holding.count() as u64)
    }

    fn show_words(&self, nearest: &mut Nearest<'_>) -> Result<(), tantivy::TantivyError> {
        for counted in &self.documents {
            for word in counted.counts.keys().filter(|term| is_word(term)) {
                nearest.show(word, 1);
            }
        }
        Ok(())
    }
}
