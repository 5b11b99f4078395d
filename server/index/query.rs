//! What exactly is looked for, once it is known what is there? Concepts with the worth of each of
//! their terms, misspelt words replaced, and the filters.

use super::ask::{Ask, Repair};
use super::document::Kind;
use super::rank::{Corpus, NEEDED_SHARE};
use super::terms::{Concept, Pipeline};
use super::typos::Nearest;

/// What is there, as far as a question needs it.
pub trait Lexicon {
    /// Documents that hold the term; some may be gone since.
    fn holding(&self, term: &str) -> Result<u64, tantivy::TantivyError>;

    /// Shows every word that is there.
    fn show_words(&self, nearest: &mut Nearest<'_>) -> Result<(), tantivy::TantivyError>;
}

/// A concept with the worth of each of its terms.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    pub terms: Vec<(String, f64)>,
    pub rarity: f64,
}

impl Sought {
    /// A part is worth its own rarity, but never as much as the whole.
    fn new(
        terms: &[(String, f64)],
        holding: u64,
        parts: &[(String, u64)],
        corpus: &Corpus,
    ) -> Sought {
        let rarest = parts.iter().map(|(_, holding)| *holding).min();
        let rarity = corpus.rarity(if holding > 0 { holding } else { rarest.unwrap_or(0) });
        let whole = terms.iter().map(|(term, weight)| (term.clone(), weight * rarity));
        let part = |(term, holding): &(String, u64)| {
            (term.clone(), PART_WEIGHT * corpus.rarity(*holding).min(rarity))
        };
        Sought { terms: whole.chain(parts.iter().map(part)).collect(), rarity }
    }
}

/// Weight of a word of a name of several words, where the whole is not there.
const PART_WEIGHT: f64 = 0.5;

/// A question as it is put to the documents.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    pub concepts: Vec<Sought>,
    /// Rarity of all concepts there must be in a document, at the least.
    pub needed: f64,
    pub repairs: Vec<Repair>,
}

impl Plan {
    pub fn new(
        pipeline: &Pipeline,
        query: &str,
        corpus: &Corpus,
        lexicon: &dyn Lexicon,
    ) -> Result<Plan, tantivy::TantivyError> {
        let mut plan = Plan { concepts: Vec::new(), needed: 0.0, repairs: Vec::new() };
        for concept in pipeline.concepts(query) {
            let mut terms = concept.terms.clone();
            let mut holding = holders(lexicon, &terms)?;
            if holding == 0 && concept.word && pipeline.ways().typos {
                let meant = meant(lexicon, &concept)?;
                if !meant.is_empty() {
                    let words = meant.iter().map(|(word, _)| word.clone()).collect();
                    plan.repairs.push(Repair { written: concept.written, meant: words });
                    holding = holders(lexicon, &meant)?;
                    terms = meant;
                }
            }
            let mut parts = Vec::new();
            let whole = concept.code && holding > 0;
            for part in concept.parts.into_iter().filter(|_| !whole) {
                let holding = lexicon.holding(&part)?;
                parts.extend((holding > 0).then_some((part, holding)));
            }
            // What nothing holds cannot be asked of anything.
            if holding == 0 && parts.is_empty() {
                continue;
            }
            plan.concepts.push(Sought::new(&terms, holding, &parts, corpus));
        }
        plan.needed = NEEDED_SHARE * plan.concepts.iter().map(|sought| sought.rarity).sum::<f64>();
        Ok(plan)
    }

    /// Every term with the number of its concept.
    pub fn wanted(&self) -> Vec<(&str, usize)> {
        let numbered = self.concepts.iter().enumerate();
        numbered
            .flat_map(|(at, sought)| sought.terms.iter().map(move |(term, _)| (term.as_str(), at)))
            .collect()
    }
}

fn holders(
    lexicon: &dyn Lexicon,
    terms: &[(String, f64)],
) -> Result<u64, tantivy::TantivyError> {
    terms.iter().map(|(term, _)| lexicon.holding(term)).sum()
}

fn meant(
    lexicon: &dyn Lexicon,
    concept: &Concept,
) -> Result<Vec<(String, f64)>, tantivy::TantivyError> {
    let Some((stem, _)) = concept.terms.first() else { return Ok(Vec::new()) };
    let Some(mut nearest) = Nearest::new(stem) else { return Ok(Vec::new()) };
    lexicon.show_words(&mut nearest)?;
    Ok(nearest.meant())
}

/// What must hold of a document whatever its words.
#[derive(Debug, Clone)]
pub struct Filter {
    kinds: Vec<Kind>,
    pub subject: Option<String>,
    pub cause: Option<String>,
    from: Option<i64>,
    until: Option<i64>,
    /// Records after this change were not there when the first page was asked for.
    last_key: Option<u64>,
}

impl Filter {
    pub fn new(ask: &Ask, last_key: Option<u64>) -> Filter {
        Filter {
            kinds: ask.kinds.clone(),
            subject: ask.subject.clone(),
            cause: ask.cause.clone(),
            from: ask.from.map(|moment| moment.microseconds()),
            until: ask.until.map(|moment| moment.microseconds()),
            last_key,
        }
    }

    /// Whether the time of a document matters.
    pub fn is_dated(&self) -> bool {
        self.from.is_some() || self.until.is_some()
    }

    /// Whether the key of a document matters.
    pub fn is_keyed(&self) -> bool {
        self.last_key.is_some()
    }

    /// Whether a document of this kind, time and key may be an answer.
    pub fn admits(&self, kind: Kind, time: i64, key: u64) -> bool {
        let dated = self.is_dated();
        let old_enough = |last: u64| kind != Kind::Record || key <= last;
        (self.kinds.is_empty() || self.kinds.contains(&kind))
            && (!dated || kind == Kind::Record)
            && self.from.is_none_or(|from| time >= from)
            && self.until.is_none_or(|until| time < until)
            && self.last_key.is_none_or(old_enough)
    }
}
