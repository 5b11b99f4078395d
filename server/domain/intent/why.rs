//! Is it asked why something is done or matters in general? "Why is my reel leaving a line?" is a
//! complaint; "why lap after grinding?" is answered from notes and procedures.

use super::kind::CommandKind;
use crate::domain::language::text::tokens;

use super::{Command, Interpretation, Reader, guide};

/// What such a question asks of a thing.
#[rustfmt::skip]
const MATTERS: &[&str] = &[
    "matter", "matters", "important", "importance", "necessary", "needed", "worth", "bother",
    "point", "reason", "purpose", "should", "must", "shouldn\u{2019}t",
];
/// Work of the trade, as it follows "why".
#[rustfmt::skip]
const WORK: &[&str] = &[
    "lap", "backlap", "grind", "set", "check", "tip", "block", "isolate", "use", "measure", "turn",
    "lock", "clean", "grease", "replace", "keep", "record", "match", "sharpen", "relief", "wear",
    "chock", "wait", "not", "never", "test", "raise", "lower", "adjust", "tighten", "level",
    "balance", "log", "write", "clamp", "prove", "wash", "dress", "swap", "read", "start", "mow",
    "spin", "paper", "begin", "change", "take", "put",
];
/// Words by which somebody speaks of their own machine.
#[rustfmt::skip]
const OWN: &[&str] = &[
    "my", "our", "it", "its", "this", "that", "these", "those", "still", "keeps", "suddenly", "now",
];
const PEOPLE: &[&str] = &["we", "you", "i", "they", "people", "mechanics", "one", "anybody"];
const BEGINNINGS: &[&[&str]] = &[
    &["what", "is", "the", "point", "of"],
    &["what", "is", "the", "reason", "for"],
    &["what", "is", "the", "use", "of"],
    &["what", "is", "the", "purpose", "of"],
    &["what", "is", "the", "difference", "between"],
];
/// Longer words ask for more than what a thing is.
const WHAT_IS_WORDS_MAX: usize = 5;
/// From this weight on it is a question to the catalogue.
const CATALOGUE_SURE: u32 = 5;
/// Words before "why" that say nothing.
const LEAD: usize = 3;
/// Words of the asking, which nothing is to be looked up by.
#[rustfmt::skip]
const ASKING: &[&str] =
    &["why", "matter", "matters", "point", "reason", "purpose", "important", "necessary", "bother",
      "should", "must", "worth", "needed", "people", "mechanics", "is", "are", "the", "of", "a",
      "an", "mean", "means", "meaning", "meant", "by", "you", "i", "one", "if", "there", "it", "to",
      "on", "in", "for", "with", "so", "and", "but", "not", "use", "explain", "define", "be",
      "difference", "between"];

impl Reader<'_> {
    pub(super) fn why(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.words.iter().map(|word| word.text.as_str()).collect();
        let general = self.asks_in_general(&words) || self.asks_what_is(&words);
        general.then(|| self.explained(CommandKind::Search)).flatten()
    }

    /// Notes and procedures about what the words ask after.
    pub(super) fn explained(&self, kind: CommandKind) -> Option<Interpretation> {
        let tokens: Vec<_> = self
            .spoken
            .tokens
            .iter()
            .filter(|token| !ASKING.contains(&token.text.as_str()))
            .cloned()
            .collect();
        let query = guide::query(&tokens, &self.knowledge.ear.small_words, &[]);
        if query.is_empty() {
            return None;
        }
        let told = format!("Look up what is known about \"{query}\".");
        Some(Interpretation {
            topic: "why".to_owned(),
            ..self.answer(kind, told, Command::Why(query))
        })
    }

    /// "What is lapping": a word of the trade by itself, which is no finding and no sum.
    fn asks_what_is(&self, words: &[&str]) -> bool {
        let (Some(&"what"), Some(&("is" | "are" | "does")), 3..=WHAT_IS_WORDS_MAX) =
            (words.first(), words.get(1), words.len())
        else {
            return false;
        };
        let small = &self.knowledge.ear.small_words;
        let matter =
            self.spoken.words.iter().skip(2).filter(|word| {
                !ASKING.contains(&word.text.as_str()) && !small.contains(&word.stem)
            });
        let mut matter = matter.map(|word| word.stem.as_str()).peekable();
        let catalogue = self.heard.proof.catalogue >= CATALOGUE_SURE;
        if !self.spoken.quantities.is_empty() || catalogue || matter.peek().is_none() {
            return false;
        }
        let titles = self.titles();
        matter.all(|word| titles.iter().any(|known| known == word))
    }

    /// The words in titles of notes and procedures, cut to their stems.
    fn titles(&self) -> Vec<String> {
        let notes = self.knowledge.notes.iter().map(|row| row.title.as_str());
        let titles = notes.chain(self.knowledge.procedures.iter().map(|row| row.title.as_str()));
        titles.flat_map(tokens).map(|token| token.stem).collect()
    }

    fn asks_in_general(&self, words: &[&str]) -> bool {
        let proof = &self.heard.proof;
        if proof.deed && proof.told {
            return false;
        }
        let begins = BEGINNINGS.iter().any(|start| words.starts_with(start));
        let at = words.iter().take(LEAD).position(|word| *word == "why");
        let Some(at) = at.map(|at| at + 1).or(begins.then_some(0)) else { return false };
        let rest = &words[at..];
        let next = |at: usize| rest.get(at).copied().unwrap_or_default();
        let own = rest.iter().any(|word| OWN.contains(word)) || proof.named > 0;
        let matters = begins || rest.iter().any(|word| MATTERS.contains(word));
        let people = matches!(next(0), "do" | "does" | "did") && PEOPLE.contains(&next(1));
        let work = WORK.contains(&next(0)) || (people && WORK.contains(&next(2)));
        work || (matters && proof.findings <= 1) || (proof.findings == 0 && !own)
    }
}
