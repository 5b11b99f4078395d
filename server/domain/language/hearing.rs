//! Which findings does this complaint state or deny, and how sure are we of each?
//!
//! The lexicon speaks first; the fitted model adds what no phrase fits; what one finding means for
//! another by the sense of the words (`implications.csv`) is added last. Each finding says which
//! bytes of the complaint it was heard in.

use std::collections::{BTreeMap, BTreeSet};

use super::assertion::{Assertion, assertion, negator_is_close, past_and_over};
use super::model::{Listener, Model};
use super::patterns::{Lexicon, Match, NUMBER, Word};
use super::quantities::{Quantity, quantities};
use super::readings::compared;
use super::spelling::Speller;
use super::text::{self, Token};
use super::words_of;

/// How sure a phrase of the lexicon makes us.
const PHRASE_CONFIDENCE: f64 = 0.95;
/// A phrase of this weight is exact enough to need no support by the model.
const EXACT: u32 = 2;
/// Findings that say behind how many units the fault shows.
const EXTENT: &[&str] = &["all_units", "one_unit_only"];
/// The section of phrases that count the units without saying behind how many the fault shows
/// ("all five are fine", "every head was ground").
const ASIDE: &str = "aside:extent";
/// Words on either side of a phrase that the model hears with it.
const SUPPORT_MARGINS: &[usize] = &[0, 3, 6];
/// From so many words on a phrase may support itself.
const TELLING_WORDS: usize = 4;
/// How sure an implication makes us.
const IMPLIED_CONFIDENCE: f64 = 0.9;

/// How sure the model must be before it is believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// A phrase that the model gives less than this is taken for chance: the same words said of
    /// something else ("it has dried" of the grass, not of an oil leak).
    pub support: f64,
    /// Alone, of what is seen, heard or felt in use.
    pub stated: f64,
    /// Alone, of what only a check reveals, since people guess.
    pub stated_of_check: f64,
    /// Alone, that something is denied.
    pub denied: f64,
    pub denied_of_check: f64,
    /// Alone, behind how many units it shows: every naming of a unit sounds a little like it.
    pub extent: f64,
}

impl Default for Doubt {
    fn default() -> Doubt {
        Doubt {
            support: 0.1,
            stated: 0.7,
            stated_of_check: 0.75,
            denied: 0.85,
            denied_of_check: 0.85,
            extent: 0.7,
        }
    }
}

impl Doubt {
    /// What the model must at least be sure of, whatever it says.
    fn least(&self) -> f64 {
        [self.stated_of_check, self.denied, self.denied_of_check, self.extent]
            .into_iter()
            .fold(self.stated, f64::min)
    }
}

/// A finding heard or denied.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    pub finding: String,
    pub present: bool,
    /// From 0 to 1.
    pub confidence: f64,
    /// Byte span of the complaint.
    pub start: usize,
    pub end: usize,
}

/// What the ear needs to know of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FindingTraits {
    /// Seen, heard or felt in use (not revealed by a check).
    pub observable: bool,
    /// Says where or when the fault is, so it may share words with another finding.
    pub context: bool,
    /// The kinds of equipment that can show it, as bits.
    pub kinds: u8,
}

/// `if_finding` being `if_present` means that `finding` is `present`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Implication {
    pub if_finding: String,
    pub if_present: bool,
    pub finding: String,
    pub present: bool,
}

/// Everything needed to hear; built once from the knowledge.
#[derive(Clone, Debug, Default)]
pub struct Ear {
    pub lexicon: Lexicon,
    pub speller: Speller,
    pub findings: BTreeMap<String, FindingTraits>,
    /// What each column of the model says: finding, present.
    pub labels: Vec<(String, bool)>,
    pub model: Model,
    pub implications: Vec<Implication>,
    /// Stems that carry no matter of their own; never reported as unheard.
    pub small_words: BTreeSet<String>,
    pub doubt: Doubt,
}

/// A text taken apart, ready for every question asked of it.
#[derive(Clone, Debug)]
pub struct Reading {
    pub tokens: Vec<Token>,
    pub words: Vec<Word>,
    /// First and last token of each word.
    pub spans: Vec<(usize, usize)>,
    pub quantities: Vec<Quantity>,
    pub matches: Vec<Match>,
}

impl Reading {
    /// Byte span of the words `first..=last`.
    pub fn bytes(&self, first: usize, last: usize) -> (usize, usize) {
        (self.tokens[self.spans[first].0].start, self.tokens[self.spans[last].1].end)
    }
}

/// Findings from a text, and what was not used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hearing {
    /// In order of finding id.
    pub heard: Vec<Heard>,
    /// Words that carry matter and belonged to nothing, as written, in order.
    pub unheard: Vec<String>,
}

impl Ear {
    /// Takes a text apart and finds every phrase of the lexicon in it.
    pub fn read(&self, complaint: &str) -> Reading {
        let mut tokens = text::tokens(complaint);
        for token in &mut tokens {
            if token.kind == text::Kind::Word
                && let Some(meant) = self.speller.repair(&token.stem)
            {
                token.stem = meant.to_owned();
            }
        }
        let (words, spans) = words_of(&tokens);
        let quantities = quantities(&tokens);
        let matches = self.lexicon.find(&words);
        Reading { tokens, words, spans, quantities, matches }
    }

    /// The findings of a text that has been read.
    pub fn hear(&self, reading: &Reading) -> Hearing {
        let mut said = Said::default();
        let kept = self.without_swallowed(reading);
        let clauses = self.clauses(reading);
        for found in &kept {
            self.phrase(reading, found, &clauses, &mut said);
        }
        let by_phrase: BTreeSet<String> =
            said.best.keys().chain(&said.unsaid).cloned().collect();
        self.model(reading, &clauses.whole, &by_phrase, &mut said);
        self.drop_praise(reading, &mut said);
        self.imply(&mut said);
        let unheard = self.unheard(reading, &kept, &said);
        Hearing { heard: said.best.into_values().collect(), unheard }
    }

    /// The matches, less those whose words all lie within a longer match of a finding of the same
    /// equipment that is not about where or when ("uncut line" in "uncut line between the units").
    fn without_swallowed<'a>(&self, reading: &'a Reading) -> Vec<&'a Match> {
        let section = |found: &Match| self.lexicon.sections[found.section].as_str();
        let aside: Vec<&Match> =
            reading.matches.iter().filter(|found| section(found) == ASIDE).collect();
        let is_aside = |found: &Match| {
            EXTENT.contains(&section(found))
                && aside.iter().any(|aside| {
                    aside.first() <= found.first() && found.first() <= aside.last()
                })
        };
        let own: Vec<&Match> = reading
            .matches
            .iter()
            .filter(|found| !section(found).contains(':') && !is_aside(found))
            .collect();
        let context = |found: &Match| {
            let section = &self.lexicon.sections[found.section];
            self.findings.get(section).is_none_or(|traits| traits.context)
        };
        let kinds = |found: &Match| {
            let section = &self.lexicon.sections[found.section];
            self.findings.get(section).map_or(u8::MAX, |traits| traits.kinds)
        };
        own.iter()
            .filter(|inner| {
                context(inner)
                    || !own.iter().any(|outer| {
                        outer.section != inner.section
                            && kinds(outer) & kinds(inner) != 0
                            && outer.words.len() > inner.words.len()
                            && !context(outer)
                            && inner.words.iter().all(|word| outer.words.contains(word))
                    })
            })
            .copied()
            .collect()
    }

    /// What the model makes of each clause.
    fn clauses(&self, reading: &Reading) -> Clauses<'_> {
        let stems: Vec<&str> = reading.words.iter().map(|word| word.stem.as_str()).collect();
        let listener = self.model.listen(&stems);
        let judge = |(first, last)| Clause { first, last, chances: listener.chances(first, last) };
        let whole = windows(&reading.words).into_iter().map(judge).collect();
        Clauses { whole, listener }
    }

    /// Whether a clause that holds a phrase, or the words around it, give the finding a fair
    /// chance; so it is when the model knows nothing of the finding.
    fn is_supported(
        &self,
        reading: &Reading,
        clauses: &Clauses,
        (finding, present): (&str, bool),
        (first, last): (usize, usize),
    ) -> bool {
        let column = self.labels.iter().position(|(id, is)| id == finding && *is == present);
        let Some(column) = column.filter(|column| *column < self.model.label_count()) else {
            return true;
        };
        let fair = |chance: f32| f64::from(chance) >= self.doubt.support;
        let holds = |clause: &&Clause| clause.first <= first && last <= clause.last;
        if clauses.whole.iter().filter(holds).any(|clause| fair(clause.chances[column])) {
            return true;
        }
        let sentence = reading.words[first].sentence;
        let inside = |at: &usize| reading.words[*at].sentence == sentence;
        // A word or two would always support themselves: they are heard with what is around them.
        let alone = usize::from(last - first + 1 < TELLING_WORDS);
        SUPPORT_MARGINS.iter().skip(alone).any(|margin| {
            let from = (first.saturating_sub(*margin)..=first).find(inside).unwrap_or(first);
            let end = (last + margin).min(reading.words.len() - 1);
            let to = (last..=end).rev().find(inside).unwrap_or(last);
            fair(clauses.listener.chance(from, to, column))
        })
    }

    fn phrase(
        &self,
        reading: &Reading,
        found: &Match,
        clauses: &Clauses,
        said: &mut Said,
    ) {
        let section = self.lexicon.sections[found.section].as_str();
        let (first, last) = (found.first(), found.last());
        let (start, end) = reading.bytes(first, last);
        if section.contains('|') {
            for (finding, present) in self.reading_findings(reading, found, section) {
                said.add(finding, present, PHRASE_CONFIDENCE, start, end);
            }
            return;
        }
        let traits = self.findings.get(section);
        let observable = traits.is_some_and(|traits| traits.observable);
        let fault = !found.denies && traits.is_some_and(|traits| !traits.context);
        if fault && past_and_over(&reading.words, &found.words) {
            said.unsaid.insert(section.to_owned());
            return;
        }
        let stated = match assertion(&reading.words, &found.words, observable) {
            Assertion::Unsaid => {
                said.unsaid.insert(section.to_owned());
                return;
            }
            Assertion::Stated => true,
            // "it does not run smooth" denies a denial, which says less than it seems to.
            Assertion::Denied if found.denies => return,
            Assertion::Denied => false,
        };
        let present = stated != found.denies;
        let supported =
            |present| self.is_supported(reading, clauses, (section, present), (first, last));
        // Where a negator stands close, it is enough that the words speak of the finding.
        let close = !stated && negator_is_close(&reading.words, &found.words);
        if found.weight < EXACT && !(supported(present) || (close && supported(!present))) {
            return;
        }
        said.add(section, present, PHRASE_CONFIDENCE, start, end);
    }

    fn reading_findings<'a>(
        &self,
        reading: &Reading,
        found: &Match,
        section: &'a str,
    ) -> Vec<(&'a str, bool)> {
        let numbers: Vec<&Quantity> = found
            .words
            .iter()
            .filter(|&&word| reading.words[word].stem == NUMBER)
            .filter_map(|&word| {
                let (first, _) = reading.spans[word];
                reading.quantities.iter().find(|quantity| quantity.first == first)
            })
            .collect();
        match numbers.as_slice() {
            [first, second, ..] => compared(section, first, second),
            _ => Vec::new(),
        }
    }

    /// Adds what the model is sure of in each clause and no phrase has said.
    fn model(
        &self,
        reading: &Reading,
        clauses: &[Clause],
        by_phrase: &BTreeSet<String>,
        said: &mut Said,
    ) {
        let least = self.doubt.least();
        for clause in clauses {
            let (start, end) = reading.bytes(clause.first, clause.last);
            for ((finding, present), chance) in self.labels.iter().zip(&clause.chances) {
                let chance = f64::from(*chance);
                // Nearly all are less than any threshold.
                let believed = chance >= least && chance >= self.threshold(finding, *present);
                if believed && !by_phrase.contains(finding) {
                    said.add(finding, *present, chance, start, end);
                }
            }
        }
    }

    fn threshold(&self, finding: &str, present: bool) -> f64 {
        if EXTENT.contains(&finding) {
            return self.doubt.extent;
        }
        let observable = self.findings.get(finding).is_some_and(|traits| traits.observable);
        match (observable, present) {
            (true, true) => self.doubt.stated,
            (false, true) => self.doubt.stated_of_check,
            (true, false) => self.doubt.denied,
            (false, false) => self.doubt.denied_of_check,
        }
    }

    /// "Paper cuts clean on every head" and "no line behind the left unit" say where all is well, not
    /// where the fault is: an extent is dropped when everything else in its sentence is denied.
    fn drop_praise(&self, reading: &Reading, said: &mut Said) {
        let sentence_of = |byte: usize| {
            reading.tokens.iter().find(|token| token.end > byte).map(|token| token.sentence)
        };
        let faults: Vec<(Option<u32>, bool)> = said
            .best
            .values()
            .filter(|heard| !EXTENT.contains(&heard.finding.as_str()))
            .map(|heard| (sentence_of(heard.start), heard.present))
            .collect();
        said.best.retain(|id, heard| {
            let sentence = sentence_of(heard.start);
            let inside = || faults.iter().filter(|(of, _)| *of == sentence);
            let praise = inside().next().is_some() && inside().all(|(_, present)| !present);
            !(EXTENT.contains(&id.as_str()) && praise)
        });
    }

    fn imply(&self, said: &mut Said) {
        let direct = said.best.clone();
        for rule in &self.implications {
            let Some(cause) = direct.get(&rule.if_finding) else { continue };
            if cause.present == rule.if_present && !said.best.contains_key(&rule.finding) {
                let confidence = cause.confidence * IMPLIED_CONFIDENCE;
                said.add(&rule.finding, rule.present, confidence, cause.start, cause.end);
            }
        }
    }

    fn unheard(&self, reading: &Reading, kept: &[&Match], said: &Said) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for (at, word) in reading.words.iter().enumerate() {
            let (start, end) = reading.bytes(at, at);
            let in_phrase = kept.iter().any(|found| found.words.contains(&at));
            let in_clause = said
                .best
                .values()
                .any(|heard| heard.confidence < PHRASE_CONFIDENCE
                    && heard.start <= start
                    && end <= heard.end);
            let small = word.text.len() < 3 || self.small_words.contains(&word.stem);
            if !in_phrase && !in_clause && !small && !out.contains(&word.text) {
                out.push(word.text.clone());
            }
        }
        out
    }
}

/// What the model made of the clauses of a text, and its ear for any other run of words.
struct Clauses<'a> {
    whole: Vec<Clause>,
    listener: Listener<'a>,
}

/// A run of words that the model judged, and the chance of each label.
struct Clause {
    first: usize,
    last: usize,
    chances: Vec<f32>,
}

/// The clauses the model judges: each segment, and each whole sentence.
fn windows(words: &[Word]) -> Vec<(usize, usize)> {
    let mut out = BTreeSet::new();
    let mut from = 0;
    for at in 0..words.len() {
        let ends = at + 1 == words.len() || words[at + 1].segment != words[at].segment;
        if ends {
            out.insert((from, at));
            from = at + 1;
        }
    }
    let mut from = 0;
    for at in 0..words.len() {
        let ends = at + 1 == words.len() || words[at + 1].sentence != words[at].sentence;
        if ends {
            out.insert((from, at));
            from = at + 1;
        }
    }
    out.into_iter().filter(|(first, last)| last - first >= 1).collect()
}

#[derive(Default)]
struct Said {
    best: BTreeMap<String, Heard>,
    /// Findings whose phrases were only guessed at or told of the past.
    unsaid: BTreeSet<String>,
}

impl Said {
    /// A statement beats a denial of the same finding; among alike, the surer and then the earlier.
    fn add(&mut self, finding: &str, present: bool, confidence: f64, start: usize, end: usize) {
        let new = Heard { finding: finding.to_owned(), present, confidence, start, end };
        match self.best.get_mut(finding) {
            None => {
                self.best.insert(finding.to_owned(), new);
            }
            Some(known) => {
                let better = (new.present && !known.present)
                    || (new.present == known.present && new.confidence > known.confidence);
                if better {
                    *known = new;
                }
            }
        }
    }
}
