//! Which findings does this complaint state or deny, and how sure are we of each?
//!
//! What a phrase of the lexicon says and what the fitted model hears are weighed together
//! (`verdict`); what one finding means for another by the sense of the words (`implications.csv`)
//! is added last. Each finding says which bytes of the complaint it was heard in.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::alone::says_nothing_else;
use super::assertion::{Assertion, assertion, negator_is_close, past_and_over};
use super::clauses::{Clause, best_clauses};
use super::columns::Columns;
use super::listening::Clauses;
use super::model::Model;
use super::patterns::{Lexicon, Match, NUMBER, Word};
use super::quantities::{Quantity, quantities};
use super::readings::compared;
use super::spelling::Speller;
use super::text::{self, Token};
use super::verdict::{self, SAID, Signs, WORTH_WEIGHING};
use super::word_set::WordSet;
use super::words_of;

/// How sure a phrase of the lexicon makes us.
const PHRASE_CONFIDENCE: f64 = 0.95;
/// A phrase of this weight is exact enough to need no support by the model.
const EXACT: u32 = 2;
/// Findings that say behind how many units the fault shows.
pub const EXTENT: &[&str] = &["all_units", "one_unit_only"];
/// The section of phrases that count the units without saying behind how many the fault shows
/// ("all five are fine", "every head was ground").
const ASIDE: &str = "aside:extent";
/// What is less likely than this is not judged once more.
const DOUBTED: f64 = 0.03;
/// How sure an implication makes us.
const IMPLIED_CONFIDENCE: f64 = 0.9;
/// Dimensions in which clauses are compared; with more of them strangers are understood better, and
/// the table grows.
pub const FINDING_DIMENSIONS: usize = 256;
/// The model of clauses.
pub type FindingModel = Model<FINDING_DIMENSIONS>;

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
    /// Not said itself: it follows from what was.
    pub implied: bool,
}

/// A finding that was weighed, whether it was taken for said or not. Whoever knows what findings
/// go together may judge it once more (`domain::sense`).
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    pub heard: Heard,
    /// A phrase spoke of it.
    pub phrase: bool,
    /// Says behind how many units the fault shows.
    pub extent: bool,
    /// By how much it is likelier, in log odds, than any other finding in the same clause.
    pub lead: f64,
    /// The chance that the opposite was said.
    pub opposite: f64,
    /// How many other findings were taken for said or denied.
    pub others: usize,
}

/// What the ear needs to know of a finding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FindingTraits {
    /// Seen, heard or felt in use (not revealed by a check).
    pub observable: bool,
    /// Says where or when the fault is, so it may share words with another finding.
    pub context: bool,
    /// The kinds of equipment that can show it, as bits.
    pub kinds: u8,
}

/// `if_finding` being `if_present` means that `finding` is `present`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Implication {
    pub if_finding: String,
    pub if_present: bool,
    pub finding: String,
    pub present: bool,
}

/// Everything needed to hear; built once from the knowledge.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Ear {
    pub lexicon: Lexicon,
    pub speller: Speller,
    pub findings: BTreeMap<String, FindingTraits>,
    /// What each column of the model says.
    pub columns: Columns,
    /// Kept apart: its table is read in place.
    #[serde(skip)]
    pub model: FindingModel,
    pub implications: Vec<Implication>,
    /// Stems that carry no matter of their own; never reported as unheard.
    pub small_words: BTreeSet<String>,
    /// Stems that many people use, or the trade: never somebody's name for a machine.
    pub common: WordSet,
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
    /// The cues of commands in the same words, found when first asked for: see `Knowledge::cues`.
    pub found_cues: OnceLock<Vec<Match>>,
}

impl Reading {
    /// The stems of the words, as models know them.
    pub fn stems(&self) -> Vec<&str> {
        self.words.iter().map(|word| word.stem.as_str()).collect()
    }

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
    /// Everything that was weighed and not settled by a rule, in order of the model's columns.
    pub candidates: Vec<Candidate>,
    /// Words that carry matter, in order.
    pub words: Vec<Matter>,
}

/// A word that carries matter, and its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matter {
    pub word: String,
    pub start: usize,
    pub end: usize,
    /// A phrase holds it.
    pub in_phrase: bool,
}

impl Hearing {
    /// Words that carry matter and belonged to nothing of what was `heard` in the end, as written,
    /// each once.
    pub fn unheard(&self, heard: &[Heard]) -> Vec<String> {
        let dropped: Vec<&Heard> =
            self.heard.iter().filter(|one| !heard.iter().any(|kept| kept.is_of(one))).collect();
        let mut out: Vec<String> = Vec::new();
        for Matter { word, start, end, in_phrase } in &self.words {
            let holds = |heard: &Heard| heard.start <= *start && *end <= heard.end;
            let in_clause = heard
                .iter()
                .any(|heard| heard.confidence < PHRASE_CONFIDENCE && holds(heard));
            let in_phrase = *in_phrase && !dropped.iter().any(|heard| holds(heard));
            if !in_clause && !in_phrase && !out.contains(word) {
                out.push(word.clone());
            }
        }
        out
    }
}

impl Heard {
    /// Whether the other says the same of the same finding.
    fn is_of(&self, other: &Heard) -> bool {
        self.finding == other.finding && self.present == other.present
    }
}

impl Candidate {
    /// Whether it was taken for said.
    pub fn is_said(&self) -> bool {
        self.heard.confidence >= SAID
    }
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
        Reading { tokens, words, spans, quantities, matches, found_cues: OnceLock::new() }
    }

    /// The findings of a text that has been read.
    pub fn hear(&self, reading: &Reading) -> Hearing {
        let mut said = Said::default();
        let kept = self.without_swallowed(reading);
        let clauses = self.clauses(reading);
        let mut spoken = Spoken::default();
        for found in &kept {
            self.phrase(reading, found, &clauses, &mut spoken, &mut said);
        }
        let mut candidates = self.judge(reading, &clauses.whole, &spoken, &mut said);
        self.drop_praise(reading, &mut said);
        drop_lone_extents(&spoken, &mut said);
        let mut heard: Vec<Heard> = said.best.into_values().collect();
        self.imply(&mut heard);
        // What a rule dropped, or what follows from something else, is settled.
        candidates.retain(|one| one.is_said() == heard.iter().any(|known| known.is_of(&one.heard)));
        Hearing { heard, candidates, words: self.words(reading, &kept) }
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
                            && outer.words.len() > inner.words.len()
                            && inner.words.iter().all(|word| outer.words.contains(word))
                            && kinds(outer) & kinds(inner) != 0
                            && !context(outer)
                    })
            })
            .copied()
            .collect()
    }

    /// The column of the model for a finding stated or denied.
    pub(super) fn column(&self, finding: &str, present: bool) -> Option<usize> {
        let column = self.columns.of(finding, present);
        column.filter(|column| *column < self.model.label_count())
    }

    /// What a phrase says goes among what was spoken of, to be judged with what the model hears; an
    /// exact one, and one that the model knows nothing of, is said at once.
    fn phrase(
        &self,
        reading: &Reading,
        found: &Match,
        clauses: &Clauses,
        spoken: &mut Spoken,
        said: &mut Said,
    ) {
        let section = self.lexicon.sections[found.section].as_str();
        let (first, last) = (found.first(), found.last());
        let (start, end) = reading.bytes(first, last);
        if section.contains('|') {
            for (finding, present) in self.reading_findings(reading, found, section) {
                spoken.settled.insert(finding.to_owned());
                said.add(finding, present, PHRASE_CONFIDENCE, start, end);
            }
            return;
        }
        let Some(stated) = self.stated(reading, found, section, clauses) else {
            spoken.unsaid.insert(section.to_owned());
            return;
        };
        // "It does not run smooth" denies a denial, which says less than it seems to.
        if found.denies && !stated {
            return;
        }
        let present = stated != found.denies;
        let exact = found.weight >= EXACT || says_nothing_else(self, reading, found);
        let Some(column) = self.column(section, present).filter(|_| !exact) else {
            spoken.settled.insert(section.to_owned());
            said.add(section, present, PHRASE_CONFIDENCE, start, end);
            return;
        };
        let support = |column| self.support(reading, clauses, column, (first, last));
        let turned = !stated && negator_is_close(&reading.words, &found.words);
        let turned = self.column(section, !present).filter(|_| turned).map_or(0.0, support);
        let phrase = verdict::Phrase { support: support(column), turned };
        let new = SpokenOf { phrase, start, end };
        let known = spoken.phrases.entry(column).or_insert(new);
        if new.phrase.support > known.phrase.support {
            *known = new;
        }
    }

    /// Whether a phrase is stated or denied; nothing when it was only guessed at or is past.
    fn stated(
        &self,
        reading: &Reading,
        found: &Match,
        section: &str,
        clauses: &Clauses,
    ) -> Option<bool> {
        let column = self.column(section, true);
        if column.is_some_and(|column| clauses.is_turned(column, found.first(), found.last())) {
            return Some(false);
        }
        let traits = self.findings.get(section);
        let observable = traits.is_some_and(|traits| traits.observable);
        let fault = !found.denies && traits.is_some_and(|traits| !traits.context);
        if fault && past_and_over(&reading.words, &found.words) {
            return None;
        }
        match assertion(&reading.words, &found.words, observable) {
            Assertion::Unsaid => None,
            Assertion::Stated => Some(true),
            Assertion::Denied => Some(false),
        }
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

    /// Weighs every finding that a phrase spoke of or the model heard, and adds what was said.
    fn judge(
        &self,
        reading: &Reading,
        clauses: &[Clause],
        spoken: &Spoken,
        said: &mut Said,
    ) -> Vec<Candidate> {
        let columns = self.columns.all();
        let mut candidates = Vec::new();
        let best = best_clauses(clauses, columns.len());
        for (column, (best, label)) in best.iter().zip(columns).enumerate() {
            let (finding, present, traits) = (&label.finding, label.present, label.traits);
            let phrase = spoken.phrases.get(&column);
            let worth = best.chance >= WORTH_WEIGHING && !spoken.unsaid.contains(finding);
            if (phrase.is_none() && !worth) || spoken.settled.contains(finding) {
                continue;
            }
            let signs = Signs {
                in_clause: best.chance,
                in_sentence: best.in_sentence,
                clause_words: best.words,
                likeliest: best.likeliest,
                phrase: phrase.map(|spoken| spoken.phrase),
                opposed: label.opposite.is_some_and(|column| spoken.phrases.contains_key(&column)),
                extent: EXTENT.contains(&finding.as_str()),
                observable: traits.observable,
                context: traits.context,
                present,
            };
            let chance = signs.chance();
            if chance < DOUBTED {
                continue;
            }
            // A text of single words has no clause, and then nothing but phrases.
            let clause = clauses.get(best.clause);
            let heard_in = clause.map(|clause| reading.bytes(clause.first, clause.last));
            let spoken = phrase.map(|of| (of.start, of.end));
            let Some((start, end)) = spoken.or(heard_in) else { continue };
            if chance >= SAID {
                said.add(finding, present, chance, start, end);
            }
            let lead = clause.map_or(0.0, |of| of.lead(best.chance, finding, columns));
            let finding = finding.clone();
            let heard = Heard { finding, present, confidence: chance, start, end, implied: false };
            let (phrase, extent) = (phrase.is_some(), signs.extent);
            candidates.push(Candidate { heard, phrase, extent, lead, opposite: 0.0, others: 0 });
        }
        beside_each_other(&mut candidates);
        candidates
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

    /// Adds what follows from what was heard; all of it in order of finding.
    pub fn imply(&self, heard: &mut Vec<Heard>) {
        let mut said = Said::default();
        for rule in &self.implications {
            let direct = heard.iter().find(|heard| heard.finding == rule.if_finding);
            let Some(cause) = direct.filter(|cause| cause.present == rule.if_present) else {
                continue;
            };
            if heard.iter().all(|heard| heard.finding != rule.finding) {
                let confidence = cause.confidence * IMPLIED_CONFIDENCE;
                said.add(&rule.finding, rule.present, confidence, cause.start, cause.end);
            }
        }
        heard.extend(said.best.into_values().map(|heard| Heard { implied: true, ..heard }));
        heard.sort_by(|a, b| a.finding.cmp(&b.finding));
    }

    /// Words that carry matter.
    fn words(&self, reading: &Reading, kept: &[&Match]) -> Vec<Matter> {
        let small = |word: &Word| word.text.len() < 3 || self.small_words.contains(&word.stem);
        let words = reading.words.iter().enumerate();
        words
            .filter(|(_, word)| !small(word))
            .map(|(at, word)| {
                let (start, end) = reading.bytes(at, at);
                let in_phrase = kept.iter().any(|found| found.words.contains(&at));
                Matter { word: word.text.clone(), start, end, in_phrase }
            })
            .collect()
    }
}

/// Who says that a fault shows not behind every unit, or not behind one alone, says as well behind
/// how many it does: a denial that stands by itself, and in no exact phrase, was misheard.
fn drop_lone_extents(spoken: &Spoken, said: &mut Said) {
    let heard: Vec<(&str, bool)> = EXTENT
        .iter()
        .filter_map(|extent| said.best.get(*extent).map(|heard| (*extent, heard.present)))
        .collect();
    if let [(extent, false)] = heard[..]
        && !spoken.settled.contains(extent)
    {
        said.best.remove(extent);
    }
}

/// Fills in what each finding has beside it.
fn beside_each_other(candidates: &mut [Candidate]) {
    let said: BTreeSet<String> = candidates
        .iter()
        .filter(|one| one.is_said())
        .map(|one| one.heard.finding.clone())
        .collect();
    // The two columns of a finding need not be neighbours.
    let chance: BTreeMap<(String, bool), f64> = candidates
        .iter()
        .map(|one| ((one.heard.finding.clone(), one.heard.present), one.heard.confidence))
        .collect();
    for one in candidates {
        let Heard { finding, present, .. } = &one.heard;
        one.opposite = chance.get(&(finding.clone(), !present)).copied().unwrap_or_default();
        one.others = said.len() - usize::from(said.contains(finding));
    }
}

/// What the phrases of the lexicon spoke of.
#[derive(Default)]
struct Spoken {
    /// To be judged with what the model hears, by column of the model.
    phrases: BTreeMap<usize, SpokenOf>,
    /// Said beyond doubt.
    settled: BTreeSet<String>,
    /// Only guessed at, or told of the past.
    unsaid: BTreeSet<String>,
}

/// A phrase that spoke of a finding, and its bytes.
#[derive(Clone, Copy)]
struct SpokenOf {
    phrase: verdict::Phrase,
    start: usize,
    end: usize,
}

#[derive(Default)]
struct Said {
    best: BTreeMap<String, Heard>,
}

impl Said {
    /// The surer beats the less sure; a statement beats a denial as sure as itself, and then the
    /// earlier stands.
    fn add(&mut self, finding: &str, present: bool, confidence: f64, start: usize, end: usize) {
        let finding = finding.to_owned();
        let new = Heard { finding, present, confidence, start, end, implied: false };
        match self.best.get_mut(&new.finding) {
            None => {
                self.best.insert(new.finding.clone(), new);
            }
            Some(known) => {
                let better = (new.confidence, new.present) > (known.confidence, known.present);
                if better {
                    *known = new;
                }
            }
        }
    }
}
