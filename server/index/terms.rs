//! In which form are words compared? One pipeline for what is kept and for what is asked: lower
//! case, contractions opened, stems, trade words repaired, one word for all names of a thing, and
//! quantities as steps of a scale on which near values of any unit are near each other.
//! Deliberately absent: which documents hold a term.

use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

use super::codes::{Code, codes};
use crate::domain::catalogue::Knowledge;
use crate::domain::language::quantities::{Quantity, quantities};
use crate::domain::language::spelling::Speller;
use crate::domain::language::text::{self, Kind, Token};
use crate::domain::units::Unit;

/// What may be left out, to see what it adds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ways {
    pub synonyms: bool,
    pub typos: bool,
    pub numbers: bool,
}

impl Ways {
    pub const ALL: Ways = Ways { synonyms: true, typos: true, numbers: true };
    pub const NONE: Ways = Ways { synonyms: false, typos: false, numbers: false };
}

/// A term, and the bytes of the text that it stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    pub text: String,
    pub start: usize,
    pub end: usize,
}

/// One thing that is looked for: any of its terms will do, each for its weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Concept {
    /// As it was written.
    pub written: String,
    pub terms: Vec<(String, f64)>,
    /// The words of a name of several words, which are better than nothing.
    pub parts: Vec<String>,
    /// Whether it is a code, of which parts are of no use where something holds the whole.
    pub code: bool,
    /// Whether it is a word, which can be misspelt.
    pub word: bool,
}

/// Words too common to find anything by (common practice), in order.
const FUNCTION_WORDS: &[&str] = &[
    "a", "about", "across", "after", "all", "also", "am", "an", "and", "any", "are", "as", "at",
    "be", "because", "been", "before", "behind", "between", "but", "by", "can", "could", "did",
    "do", "does", "doing", "for", "from", "get", "getting", "go", "going", "had", "has", "have",
    "he", "her", "his", "how", "i", "if", "in", "into", "is", "it", "its", "just", "keep", "let",
    "may", "me", "more", "my", "of", "on", "or", "our", "should", "so", "some", "than", "that",
    "the", "their", "them", "then", "there", "these", "they", "this", "those", "to", "us", "was",
    "we", "were", "what", "when", "where", "which", "while", "who", "why", "will", "with",
    "would", "you", "your",
];

/// Natural logarithm of one step of the scale of quantities. With `STEPS_NEAR` steps either way,
/// values up to 1.8 % apart always meet and values 2.4 % apart never do: 1/8 in is 3.175 mm and
/// said as 3.2 mm, two thousandths of an inch are 0.0508 mm and said as 0.05 mm.
const STEP_LN: f64 = 0.006;
const STEPS_NEAR: i64 = 3;
/// What a step away takes off the weight, so that the nearer value comes first.
const STEP_LOSS: f64 = 0.05;
/// Weight of the bare number where a quantity with a unit was asked for.
const BARE_WEIGHT: f64 = 0.4;
/// Weight of inches where a bare fraction was asked for: nobody says eighths of a millimetre.
const FRACTION_INCH_WEIGHT: f64 = 0.9;

/// Words that are remembered; a shop's own vocabulary is far smaller.
const REMEMBERED_MAX: usize = 20_000;

/// Turns text into terms.
#[derive(Debug)]
pub struct Pipeline {
    ways: Ways,
    speller: Speller,
    /// What became of each word. Finding that out is dear, and the same words come again.
    known: RwLock<HashMap<String, Arc<Known>>>,
    names: Names,
}

impl Pipeline {
    pub fn new(knowledge: &Knowledge, ways: Ways) -> Pipeline {
        let names = if ways.synonyms { Names::new(knowledge) } else { Names::default() };
        let speller = if ways.typos { knowledge.ear.speller.clone() } else { Speller::default() };
        Pipeline { ways, speller, known: RwLock::default(), names }
    }

    pub fn ways(&self) -> Ways {
        self.ways
    }

    /// Every term of a text that is to be found.
    pub fn terms(&self, text: &str) -> Vec<Term> {
        let mut out = Vec::new();
        let keep = |text: &str, start, end| out.push(Term { text: text.to_owned(), start, end });
        self.each_term(text, true, keep);
        out
    }

    /// Shows every term of a text with the bytes that it stands for; quantities only when they
    /// are wanted.
    pub fn each_term(
        &self,
        text: &str,
        quantities: bool,
        mut show: impl FnMut(&str, usize, usize),
    ) {
        let tokens = text::tokens_without_stems(text);
        if self.ways.numbers && quantities {
            let quantities = with_units(&tokens);
            for code in codes(&tokens, &quantities) {
                show(&code.term, tokens[code.first].start, tokens[code.last].end);
            }
            for quantity in quantities {
                let (start, end) = (tokens[quantity.first].start, tokens[quantity.last].end);
                let step = quantity.unit.and_then(|unit| step_of(quantity.value, unit));
                if let Some((base, step)) = step {
                    show(&step_term(base, step), start, end);
                }
                show(&bare_term(quantity.value), start, end);
            }
        }
        let words = self.words(&tokens);
        for (at, word) in words.iter().enumerate() {
            if !word.known.function {
                show(&word.known.one, word.token.start, word.token.end);
            }
            if let Some((name, count)) = self.names.phrase_at(&words, at) {
                show(name, word.token.start, words[at + count - 1].token.end);
            }
        }
    }

    /// What a question looks for; what is said twice counts once.
    pub fn concepts(&self, query: &str) -> Vec<Concept> {
        let tokens = text::tokens_without_stems(query);
        let found = if self.ways.numbers { with_units(&tokens) } else { Vec::new() };
        let codes = if self.ways.numbers { codes(&tokens, &found) } else { Vec::new() };
        let mut out: Vec<(usize, Concept)> = Vec::new();
        let in_code =
            |at: usize| codes.iter().any(|code| (code.first..=code.last).contains(&at));
        for quantity in found.iter().filter(|quantity| !in_code(quantity.first)) {
            out.push((quantity.first, quantity_concept(query, &tokens, quantity)));
        }
        for code in &codes {
            out.push((code.first, self.code_concept(query, &tokens, &found, code)));
        }
        let inside =
            |at: usize| in_code(at) || found.iter().any(|q| (q.first..=q.last).contains(&at));
        let words: Vec<Word<'_>> =
            self.words(&tokens).into_iter().filter(|word| !inside(word.at)).collect();
        let mut at = 0;
        while at < words.len() {
            let (name, count) = match self.names.phrase_at(&words, at) {
                Some((name, count)) => (name.to_owned(), count),
                None => (words[at].known.one.clone(), 1),
            };
            let (first, last) = (&words[at], &words[at + count - 1]);
            if count > 1 || !first.known.function {
                let written = query[first.token.start..last.token.end].to_owned();
                let word = count == 1 && first.token.kind == Kind::Word;
                let parts =
                    words[at..at + count].iter().filter(|part| count > 1 && !part.known.function);
                let parts = parts.map(|part| part.known.one.clone()).collect();
                let terms = vec![(name, 1.0)];
                out.push((first.at, Concept { written, terms, parts, code: false, word }));
            }
            at += count;
        }
        out.sort_by_key(|(at, _)| *at);
        let mut concepts: Vec<Concept> = Vec::new();
        for (_, concept) in out {
            if !concepts.iter().any(|known| known.terms == concept.terms) {
                concepts.push(concept);
            }
        }
        concepts
    }

    /// A code as a whole, or else its pieces.
    fn code_concept(
        &self,
        query: &str,
        tokens: &[Token],
        quantities: &[Quantity],
        code: &Code,
    ) -> Concept {
        let inside = |at: usize| (code.first..=code.last).contains(&at);
        let numbers = quantities.iter().filter(|quantity| inside(quantity.first));
        let words = self.words(tokens).into_iter().filter(|word| inside(word.at));
        let words = words.filter(|word| !word.known.function).map(|word| word.known.one.clone());
        Concept {
            written: query[tokens[code.first].start..tokens[code.last].end].to_owned(),
            terms: vec![(code.term.clone(), 1.0)],
            parts: numbers.map(|quantity| bare_term(quantity.value)).chain(words).collect(),
            code: true,
            word: false,
        }
    }

    /// The words of a text with their stems, repaired; numbers where they are words like others.
    fn words<'a>(&self, tokens: &'a [Token]) -> Vec<Word<'a>> {
        let wanted = |token: &Token| match token.kind {
            Kind::Word => true,
            Kind::Number => !self.ways.numbers,
            Kind::Sign => false,
        };
        let tokens = tokens.iter().enumerate().filter(|(_, token)| wanted(token));
        tokens.map(|(at, token)| Word { at, token, known: self.known(token) }).collect()
    }

    fn known(&self, token: &Token) -> Arc<Known> {
        // Entries are only added whole, so a panic elsewhere leaves none half done.
        let known = self.known.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&token.text) {
            return Arc::clone(known);
        }
        drop(known);
        let stem = match token.kind {
            Kind::Word => text::stem(&token.text),
            Kind::Number | Kind::Sign => token.text.clone(),
        };
        let stem = self.speller.repair(&stem).map_or(stem.as_str(), |repaired| repaired).to_owned();
        let function = FUNCTION_WORDS.binary_search(&token.text.as_str()).is_ok();
        let known = Arc::new(Known { one: self.names.one(&stem), stem, function });
        let mut all = self.known.write().unwrap_or_else(PoisonError::into_inner);
        if all.len() >= REMEMBERED_MAX {
            all.clear();
        }
        all.insert(token.text.clone(), Arc::clone(&known));
        known
    }
}

/// What became of a word.
#[derive(Debug)]
struct Known {
    /// Repaired.
    stem: String,
    /// The word that stands for all names of the thing.
    one: String,
    function: bool,
}

struct Word<'a> {
    /// Which token it is.
    at: usize,
    token: &'a Token,
    known: Arc<Known>,
}

/// The names of things: for each the one word that stands for all of them.
#[derive(Debug, Default)]
struct Names {
    /// By stem, for names of one word.
    words: HashMap<String, String>,
    /// By the first stem, for names of several: their stems, the longest first.
    phrases: HashMap<String, Vec<(Vec<String>, String)>>,
}

impl Names {
    /// Where two lists share a name they speak of one thing. Spellings of several words on both
    /// sides stay words of their own.
    fn new(knowledge: &Knowledge) -> Names {
        let pairs = knowledge.spelling.iter().filter(|(b, a)| !b.contains(' ') || !a.contains(' '));
        let pairs = pairs.map(|(british, american)| vec![british, american]);
        let lists = knowledge.search_synonyms.iter().map(|names| names.iter().collect());
        let mut groups: Vec<Vec<Vec<String>>> = Vec::new();
        for list in lists.chain(pairs) {
            let list: Vec<Vec<String>> = list.into_iter().map(|name| stems_of(name)).collect();
            let shares = |group: &Vec<Vec<String>>| list.iter().any(|name| group.contains(name));
            let (mut sharing, apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(shares);
            groups = apart;
            sharing.push(list);
            groups.push(sharing.concat());
        }
        let mut out = Names::default();
        for group in groups {
            let one = group.iter().find(|name| name.len() == 1).unwrap_or(&group[0]).join("_");
            group.into_iter().for_each(|name| out.add(name, &one));
        }
        for phrases in out.phrases.values_mut() {
            phrases.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.cmp(b)));
        }
        out
    }

    fn add(&mut self, name: Vec<String>, one: &str) {
        match &name[..] {
            [] => {}
            [word] => {
                self.words.insert(word.clone(), one.to_owned());
            }
            [first, ..] => {
                self.phrases.entry(first.clone()).or_default().push((name, one.to_owned()));
            }
        }
    }

    fn one(&self, stem: &str) -> String {
        self.words.get(stem).map_or(stem, String::as_str).to_owned()
    }

    /// The longest name of several words that begins here, and how many words it has.
    fn phrase_at(&self, words: &[Word<'_>], at: usize) -> Option<(&str, usize)> {
        let sentence = words[at].token.sentence;
        let stands = |(name, _): &&(Vec<String>, String)| {
            let run = words.get(at..at + name.len());
            run.is_some_and(|run| {
                run.iter()
                    .zip(name)
                    .all(|(word, stem)| word.known.stem == *stem && word.token.sentence == sentence)
            })
        };
        let found = self.phrases.get(&words[at].known.stem)?.iter().find(stands);
        found.map(|(name, one)| (one.as_str(), name.len()))
    }
}

fn stems_of(name: &str) -> Vec<String> {
    let tokens = text::tokens(name).into_iter().filter(|token| token.kind != Kind::Sign);
    tokens.map(|token| token.stem).collect()
}

/// The quantities of a text; in "3 to 4 mm" the first has the unit of the second.
fn with_units(tokens: &[Token]) -> Vec<Quantity> {
    let mut found = quantities(tokens);
    for at in (1..found.len()).rev() {
        let joined = found[at - 1].last + 2 == found[at].first
            && matches!(tokens[found[at].first - 1].text.as_str(), "to" | "-" | "or" | "and");
        if joined && found[at - 1].unit.is_none() {
            found[at - 1].unit = found[at].unit;
        }
    }
    found
}

fn quantity_concept(query: &str, tokens: &[Token], quantity: &Quantity) -> Concept {
    let run = &tokens[quantity.first..=quantity.last];
    let written = query[run[0].start..run[run.len() - 1].end].to_owned();
    let bare = bare_term(quantity.value);
    let fraction = run.iter().any(|token| token.text == "/");
    let (step, weight, bare_weight) = match quantity.unit {
        Some(unit) => (step_of(quantity.value, unit), 1.0, BARE_WEIGHT),
        None if fraction => (step_of(quantity.value, "in"), FRACTION_INCH_WEIGHT, 1.0),
        None => (None, 1.0, 1.0),
    };
    let mut terms = Vec::new();
    if let Some((base, step)) = step {
        for away in -STEPS_NEAR..=STEPS_NEAR {
            let loss = STEP_LOSS * away.unsigned_abs() as f64;
            terms.push((step_term(base, step + away), weight * (1.0 - loss)));
        }
        terms.push((bare, bare_weight));
    } else {
        terms.push((bare, 1.0));
    }
    Concept { written, terms, parts: Vec::new(), code: false, word: false }
}

/// The base unit of a quantity's kind, and the value's step on the scale; nothing for a zero.
fn step_of(value: f64, unit: &str) -> Option<(&'static str, i64)> {
    let unit = Unit::named(unit)?;
    let base = crate::domain::units::UNITS.iter().find(|base| base.kind == unit.kind)?;
    let value = unit.to_base(value);
    let step = (value.abs().ln() / STEP_LN).round();
    // Whole numbers of this size convert exactly.
    (value != 0.0 && step.is_finite()).then_some((base.symbol, step as i64))
}

fn step_term(base: &str, step: i64) -> String {
    format!("={base}{step}")
}

fn bare_term(value: f64) -> String {
    format!("#{value}")
}

/// Whether a term is a word, not a quantity.
pub fn is_word(term: &str) -> bool {
    term.chars().all(|ch| ch.is_alphabetic() || ch == '_')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn function_words_stand_in_order() {
        assert!(FUNCTION_WORDS.is_sorted());
    }
}
