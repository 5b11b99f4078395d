//! Which words of a question carry matter, and which mean one thing? Stems, the names of one thing
//! (`search_synonyms.csv`) made one, and words without matter left out.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalogue::Knowledge;
use crate::domain::language::text::{Kind, Token, stem, tokens};

/// Words that are said beside a question and are not what it is about.
#[rustfmt::skip]
const BESIDE: &[&str] = &[
    "why", "what", "how", "when", "which", "who", "where", "is", "are", "do", "does", "the", "a",
    "an", "of", "to", "in", "on", "for", "with", "and", "or", "not", "never", "if", "it", "so",
    "but", "mean", "means", "meaning", "meant", "matter", "matters", "point", "reason", "purpose",
    "use", "important", "necessary", "should", "must", "worth", "bother", "needed", "need", "needs",
    "explain", "define", "difference", "between", "versus", "vs", "actually", "again", "anyway",
    "exactly", "bad", "good", "better", "best", "right", "wrong", "always", "really", "people",
    "mechanics", "me", "us", "our", "your", "my", "his", "keep", "have", "has", "be", "been", "make",
    "look", "looks", "like", "take", "takes", "long", "much", "many", "new", "old", "job", "one",
    "two", "three", "instead", "rather", "bit", "little", "sort", "kind", "term", "word", "please",
    "help", "happen", "happens", "actual", "proper", "normal", "okay", "ok", "even", "ever",
    "everyone", "everybody", "mate", "guys", "guy", "supposed", "possible", "would", "could",
    "before", "after", "then", "whole", "thing", "things", "there", "their", "them", "they", "him",
    "first", "pls", "please", "ta", "cheers", "thanks", "show", "give", "list", "print", "tell",
    "thousandths", "thou", "inches", "inch", "millimetres", "mm", "degrees", "psi", "kpa", "mower",
    "machine", "mowers", "machines", "my", "trainee", "trainees", "asks", "asked", "wants",
    "somebody", "someone", "skip", "forget", "leave", "start", "finish", "going", "gone", "far", "off", "can", "will", "any",
    "apprentice", "apprentices", "plain", "words", "simply", "simple", "17", "seventeen", "starter",
    "boss", "says", "said", "work", "worked", "works", "working", "calculate", "calculated",
    "often", "every", "tick", "sheet", "training", "learner", "anyone", "im", "yourself", "himself",
    "out", "just", "cant", "wont", "isnt", "dont", "got", "get", "gets", "comes", "come", "goes",
    "still", "already", "now", "nowadays", "anymore", "only", "more", "most", "less", "too", "very", "same", "different",
];
/// Words for one thing beside the names of the trade.
const SAME: &[(&str, &str)] = &[
    ("chang", "replac"),
    ("renew", "replac"),
    ("tire", "tyre"),
    ("adjust", "set"),
    ("paral", "parallel"),
    ("lad", "operator"),
    ("leveling", "level"),
    ("levell", "level"),
    ("hard", "tight"),
    ("height", "hoc"),
    ("deeper", "deep"),
    ("touch", "contact"),
    ("grinder", "sharpen"),
    ("depth", "deep"),
    ("tighter", "tight"),
    ("tighten", "tight"),
    ("closer", "close"),
    ("smaller", "small"),
    ("smallest", "small"),
    ("measurement", "measur"),
    ("check", "inspect"),
    ("set", "set"),
    ("shorten", "short"),
    ("balanc", "balanc"),
];

/// Makes words into terms.
#[derive(Clone, Debug)]
pub struct Terms {
    /// By first stem: names by their stems, longest first, with the name they stand for.
    names: BTreeMap<String, Vec<(Vec<String>, String)>>,
    small: BTreeSet<String>,
}

impl Terms {
    pub fn new(knowledge: &Knowledge) -> Terms {
        let stems = |name: &str| -> Vec<String> { name.split(' ').map(stem).collect() };
        let mut names: Vec<(Vec<String>, String)> = Vec::new();
        for list in &knowledge.search_synonyms {
            let Some(first) = list.first() else { continue };
            let meant = stems(first).join(" ");
            names.extend(list.iter().map(|name| (stems(name), meant.clone())));
        }
        names.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.cmp(b)));
        let mut by_first: BTreeMap<String, Vec<(Vec<String>, String)>> = BTreeMap::new();
        for (name, meant) in names {
            by_first.entry(name[0].clone()).or_default().push((name, meant));
        }
        let names = by_first;
        Terms { names, small: knowledge.ear.small_words.clone() }
    }

    pub fn of(&self, text: &str) -> Vec<String> {
        self.of_tokens(&tokens(text))
    }

    /// The terms of these words, in order, each once.
    pub fn of_tokens(&self, tokens: &[Token]) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for (term, _) in self.with_words(tokens) {
            if !out.contains(&term) {
                out.push(term);
            }
        }
        out
    }

    /// The words that carry matter, as they were said.
    pub fn said(&self, tokens: &[Token]) -> String {
        let words = self.with_words(tokens).into_iter().flat_map(|(_, words)| words);
        words.map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Each term with the words that say it.
    fn with_words<'a>(&self, tokens: &'a [Token]) -> Vec<(String, Vec<&'a Token>)> {
        let words: Vec<&Token> = tokens.iter().filter(|token| token.kind == Kind::Word).collect();
        let mut out: Vec<(String, Vec<&Token>)> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let starts = |name: &[String]| {
                name.len() <= words.len() - at
                    && name.iter().zip(&words[at..]).all(|(stem, word)| *stem == word.stem)
            };
            let named = self.names.get(&words[at].stem);
            let named = named.and_then(|list| list.iter().find(|(name, _)| starts(name)));
            let beside = BESIDE.contains(&words[at].text.as_str());
            let named = named.filter(|(name, _)| name.len() > 1 || !beside);
            let (term, taken) = match named {
                Some((name, meant)) => (Some(meant.clone()), name.len()),
                None => (self.plain(words[at]), 1),
            };
            out.extend(term.map(|term| (term, words[at..at + taken].to_vec())));
            at += taken;
        }
        out
    }

    fn plain(&self, word: &Token) -> Option<String> {
        let beside = BESIDE.contains(&word.text.as_str());
        if beside || word.text.len() < 2 {
            return None;
        }
        let meant = SAME.iter().find(|(from, _)| *from == word.stem);
        let kept = meant.map_or(word.stem.as_str(), |(_, to)| to);
        (meant.is_some() || !self.small.contains(kept)).then(|| kept.to_owned())
    }
}
