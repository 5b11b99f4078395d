//! Which procedure, finding or cause do the words mean, and what is to be searched for?
//! Titles are compared word by word: a rare word in common counts for more than a frequent one.
//! Deliberately absent: the ranking of search results.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalogue::{Equipment, Knowledge, Procedure};
use crate::domain::language::text::{Kind, Token, stem, tokens};
use crate::domain::passages::form::Form;
use crate::domain::passages::Source;

use super::kind::CommandKind;
use super::{Command, Interpretation, Reader};

/// What a title must share with the words, in the measure of [`likeness`].
const LIKE_MIN: f64 = 0.35;

/// So much of what is asked is nearly all of it.
const WELL_COVERED: f64 = 0.8;
/// Words that ask to be shown a job.
#[rustfmt::skip]
const ASKED_WITH: &[&str] = &[
    "walk", "talk", "take", "run", "guide", "lead", "step", "steps", "through", "thru", "show",
    "how", "do", "we", "i", "you", "teach", "procedure", "instructions", "method", "routine",
    "process", "checklist", "fix", "way", "training", "learn", "unit", "units", "number", "left",
    "right", "front",
];

/// "No nicks. How do I check the belt": the sentence that asks, without those before it, where one of
/// them denies something; what is not there names no job.
fn without_denied(tokens: &[Token]) -> &[Token] {
    const DENIES: &[&str] = &["no", "not", "none", "never", "without"];
    let how = tokens.iter().position(|token| matches!(token.text.as_str(), "how" | "hows"));
    let Some(how) = how else { return tokens };
    let segment = tokens[how].segment;
    let begins = tokens.iter().position(|token| token.segment == segment).unwrap_or(0);
    let denied = tokens[..begins].iter().any(|token| DENIES.contains(&token.text.as_str()));
    if denied { &tokens[begins..] } else { tokens }
}

/// The words before "with a gauge bar", which tells by what it is done and not what.
fn without_means(tokens: &[Token]) -> &[Token] {
    let with = tokens.iter().position(|token| matches!(token.text.as_str(), "with" | "using"));
    with.filter(|at| *at >= MEANS_FROM).map_or(tokens, |at| &tokens[..at])
}

/// Words that name who is shown: "a first year lad".
const SOMEBODY_WORDS_MAX: usize = 5;
/// So many words stand before it, the asking among them.
const MEANS_FROM: usize = 5;
/// All the words said stand in a title.
const ALL_TITLED: f64 = 0.99;
/// A title is just what was said when so much of it was.
const JUST_THAT: f64 = 0.75;
/// More jobs than these are not named, but a whole group.
const ALIKE_MAX: usize = 6;

/// How much a word counts against a title that lacks it.
const LEFT_OUT: f64 = 0.3;

/// Words that stand for one another in titles and questions.
const SAME: &[(&str, &str)] = &[
    ("cylinder", "reel"),
    ("bottom", "bedknif"),
    ("knife", "bedknif"),
    ("knive", "bedknif"),
    ("hoc", "height"),
    ("backlap", "backlap"),
    ("lap", "backlap"),
    ("sharpen", "grind"),
    ("ground", "grind"),
    ("face", "grind"),
    ("fac", "grind"),
    ("tyre", "tyre"),
    ("tire", "tyre"),
    ("chang", "replac"),
    ("swap", "replac"),
    ("fit", "replac"),
    ("adjust", "set"),
    ("verticutt", "verticut"),
    ("leveling", "level"),
    ("levell", "level"),
    ("deck", "deck"),
    ("mow", "cut"),
];

/// Words that ask for a fault to be put right.
const CURING: &[&str] =
    &["fix", "cure", "mend", "rid", "sort", "stop", "solve", "remedy", "correct", "repair"];

fn matter(word: &str, small: &BTreeSet<String>) -> Option<String> {
    // "And for the grind after" names no job by its "after".
    if matches!(word, "after" | "before" | "when" | "then") {
        return None;
    }
    let stem = stem(word);
    let stem = SAME.iter().find(|(from, _)| *from == stem).map_or(stem, |(_, to)| (*to).to_owned());
    let kept = matches!(stem.as_str(), "set" | "cut" | "level" | "replac");
    (kept || (!small.contains(&stem) && stem.len() > 2)).then_some(stem)
}

fn stems_of(text: &str, small: &BTreeSet<String>) -> BTreeSet<String> {
    tokens(text)
        .iter()
        .filter(|token| token.kind == Kind::Word)
        .filter_map(|token| matter(&token.text, small))
        .collect()
}

/// The id whose title the words are most like.
fn most_like<'a>(
    words: &[Token],
    small: &BTreeSet<String>,
    titles: impl Iterator<Item = (&'a str, String)>,
) -> Option<(&'a str, f64)> {
    // "Engine off obviously, how do I do it" names no job of the engine.
    let stands = |at: usize| {
        let next = words.get(at + 1).map_or("", |token| token.text.as_str());
        let drive = matches!(words[at].text.as_str(), "engine" | "motor" | "ignition" | "power");
        drive && matches!(next, "off" | "stopped" | "isolated")
    };
    let said: BTreeSet<String> = words
        .iter()
        .enumerate()
        .filter(|(at, token)| token.kind == Kind::Word && !stands(*at))
        .filter_map(|(_, token)| matter(&token.text, small))
        .collect();
    let all: Vec<(&str, BTreeSet<String>)> =
        titles.map(|(id, title)| (id, stems_of(&title, small))).collect();
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for word in all.iter().flat_map(|(_, words)| words) {
        *uses.entry(word).or_default() += 1;
    }
    let rarity = |word: &str| 1.0 / (1.0 + *uses.get(word).unwrap_or(&1) as f64).ln().max(0.5);
    let likeness = |title: &BTreeSet<String>| {
        let sum = |words: &mut dyn Iterator<Item = &String>| -> f64 {
            words.map(|word| rarity(word)).sum()
        };
        let shared = sum(&mut title.intersection(&said));
        let whole = sum(&mut title.iter());
        // Of two titles that fit whole, the one that leaves less of the words out.
        let left = said.iter().filter(|word| uses.contains_key(word.as_str()));
        let left = sum(&mut left.filter(|word| !title.contains(*word)));
        if whole > 0.0 { shared * shared / (whole + LEFT_OUT * left) } else { 0.0 }
    };
    all.iter()
        .map(|(id, title)| (*id, likeness(title)))
        .filter(|(_, like)| *like >= LIKE_MIN)
        .reduce(|best, one| if one.1 > best.1 + 1e-9 { one } else { best })
}

/// The procedure that the words ask for: by its title, or by the fault that it is to cure.
pub fn procedure<'a>(knowledge: &'a Knowledge, words: &[Token]) -> Option<&'a str> {
    let titles = knowledge
        .procedures
        .iter()
        .map(|row| (row.id.as_str(), format!("{} {}", row.title, row.id.replace('_', " "))));
    let small = &knowledge.ear.small_words;
    let by_title = most_like(words, small, titles);
    let cured = words.iter().any(|token| CURING.contains(&token.text.as_str()));
    let by_fault = cured.then(|| remedy(knowledge, words)).flatten();
    match (by_fault, by_title) {
        (Some(fault), Some(title)) if fault.1 <= title.1 => Some(title.0),
        (Some(fault), _) => Some(fault.0),
        (None, title) => title.map(|(id, _)| id),
    }
}

impl Reader<'_> {
    /// "How do I walk a first year through setting the reel": the job behind "through".
    pub(super) fn shown_to_another(&self) -> Option<Interpretation> {
        const LEADS: &[&str] = &["walk", "talk", "take", "guide", "lead", "run"];
        let tokens = &self.spoken.tokens;
        let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
        let lead = (0..tokens.len()).find(|at| LEADS.contains(&word(*at)))?;
        let far = lead + 1..=lead + SOMEBODY_WORDS_MAX;
        let through = far.into_iter().find(|at| matches!(word(*at), "through" | "thru"))?;
        let proof = &self.heard.proof;
        if through == lead + 1 || proof.told || !self.spoken.quantities.is_empty() {
            return None;
        }
        let rest = tokens.get(through + 1..)?;
        let id = procedure(self.knowledge, rest)?;
        let title = &self.knowledge.procedure(id)?.title;
        let told = format!("Show the procedure \"{title}\".");
        Some(self.answer(CommandKind::Procedure, told, Command::Procedure(id.to_owned())))
    }

    /// The job that is asked for; a note, where that is about what is asked.
    pub(super) fn procedure(&self) -> Interpretation {
        let tokens = without_means(without_denied(&self.spoken.tokens));
        let named = procedure(self.knowledge, tokens);
        let spans = self.heard.named.spans();
        let of_name = |at: usize| spans.iter().any(|(first, last)| (*first..=*last).contains(&at));
        // Names are kept by where they stand in all the words.
        let all = &self.spoken.tokens;
        let place = |token: &Token| all.iter().position(|one| one.start == token.start);
        let said = tokens.iter().map(|token| (place(token), token));
        let said = said.filter(|(at, _)| at.is_none_or(|at| !of_name(at)));
        let said: Vec<_> = said.map(|(_, token)| token.clone()).collect();
        let found = covered(self.knowledge, &said, named);
        if let Some(Covered::Note(query)) = found {
            return self.asked_of_knowledge(Form::Why, query);
        }
        let better = found.and_then(|found| match found {
            Covered::Procedure(id) => Some(id),
            Covered::Note(_) => None,
        });
        let alternatives = self.jobs_alike(&said);
        if alternatives.len() > 1 {
            let told = "More than one job is named so.".to_owned();
            let command = Command::Procedures;
            return Interpretation {
                alternatives,
                ..self.answer(CommandKind::Procedure, told, command)
            };
        }
        match better.or(named) {
            Some(id) => {
                let title = self.knowledge.procedure(id).map_or(id, |row| row.title.as_str());
                let told = format!("Show the procedure \"{title}\".");
                let command = Command::Procedure(id.to_owned());
                Interpretation {
                    topic: id.to_owned(),
                    ..self.answer(CommandKind::Procedure, told, command)
                }
            }
            None => {
                let told = "List the procedures; none of them is named so.".to_owned();
                self.answer(CommandKind::Procedure, told, Command::Procedures)
            }
        }
    }
}

impl Reader<'_> {
    /// The jobs whose titles hold all the words that were said of it, where no title is just them:
    /// "grinding the reel" is a spin grind or a relief grind.
    pub(super) fn jobs_alike(&self, said: &[Token]) -> Vec<(CommandKind, String, Command)> {
        let passages = self.knowledge.passages();
        let before = |token: &&Token| !ASKED_WITH.contains(&token.text.as_str());
        let words: Vec<Token> = said.iter().filter(before).cloned().collect();
        let asked = passages.terms.of_tokens(&words);
        let found = passages.find(&asked, |source| matches!(source, Source::Procedure(_)));
        let whole: Vec<_> = found.iter().filter(|found| found.titled >= ALL_TITLED).collect();
        let exact = whole.first().is_some_and(|found| found.to_the_point >= JUST_THAT);
        if asked.len() < 2 || exact || whole.len() > ALIKE_MAX {
            return Vec::new();
        }
        let rows = whole.iter().filter_map(|found| match found.source {
            Source::Procedure(at) => self.knowledge.procedures.get(at),
            _ => None,
        });
        let choice = |row: &Procedure| {
            let command = Command::Procedure(row.id.clone());
            (CommandKind::Procedure, row.title.clone(), command)
        };
        rows.map(choice).collect()
    }
}

/// What holds more of the words than the procedure that was named by its title.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Covered<'a> {
    Procedure(&'a str),
    /// A note, by what it is found with.
    Note(String),
}

/// A title may hold two words of three and miss the one that is asked about: another procedure, or
/// a note, that holds all of them is meant.
pub fn covered<'a>(
    knowledge: &'a Knowledge,
    words: &[Token],
    named: Option<&str>,
) -> Option<Covered<'a>> {
    let passages = knowledge.passages();
    let before = |token: &&Token| !ASKED_WITH.contains(&token.text.as_str());
    let words: Vec<Token> = words.iter().filter(before).cloned().collect();
    let asked = passages.terms.of_tokens(&words);
    let is = |source: Source, id: &str| match source {
        Source::Procedure(at) => knowledge.procedures.get(at).is_some_and(|row| row.id == id),
        _ => false,
    };
    let wanted = |source: Source| matches!(source, Source::Note(_) | Source::Procedure(_));
    let found = passages.find(&asked, wanted);
    let own = found.iter().find(|found| named.is_some_and(|id| is(found.source, id)));
    // What it was taken for holds most of the words already.
    if own.is_some() {
        return None;
    }
    let best = found.iter().find(|found| found.covered > WELL_COVERED && found.to_the_point > 0.2)?;
    match best.source {
        Source::Procedure(at) => {
            knowledge.procedures.get(at).map(|row| Covered::Procedure(&row.id))
        }
        _ => Some(Covered::Note(passages.terms.said(&words))),
    }
}

/// The procedure of the cause that shows the finding named.
fn remedy<'a>(knowledge: &'a Knowledge, words: &[Token]) -> Option<(&'a str, f64)> {
    let findings = knowledge
        .findings
        .iter()
        .map(|row| (row.id.as_str(), format!("{} {}", row.title, row.id.replace('_', " "))));
    let (finding, like) = most_like(words, &knowledge.ear.small_words, findings)?;
    let shows = knowledge.table.iter().filter(|cell| cell.finding == finding);
    // What shows it most often, of causes as common.
    let weighed = shows.filter_map(|cell| {
        let cause = knowledge.cause(cell.equipment, &cell.cause)?;
        Some((cell.probability * cause.weight, cause))
    });
    let best = weighed.reduce(|best, one| if one.0 > best.0 + 1e-9 { one } else { best })?;
    Some((best.1.procedure.as_str(), like))
}

/// The finding, cause or procedure that the words are about: whichever is most like them.
pub fn topic<'a>(knowledge: &'a Knowledge, words: &[Token]) -> Option<&'a str> {
    let findings = knowledge
        .findings
        .iter()
        .map(|row| (row.id.as_str(), format!("{} {}", row.title, row.id.replace('_', " "))));
    let causes = knowledge
        .causes
        .iter()
        .map(|row| (row.id.as_str(), format!("{} {}", row.title, row.id.replace('_', " "))));
    let small = &knowledge.ear.small_words;
    let by_finding = most_like(words, small, findings);
    let by_cause = most_like(words, small, causes);
    match (by_finding, by_cause) {
        (Some(finding), Some(cause)) if cause.1 > finding.1 => Some(cause.0),
        (Some(finding), _) => Some(finding.0),
        (None, cause) => cause.map(|(id, _)| id),
    }
}

/// The cause of the catalogue that was stated, on equipment when that is known.
pub fn cause<'a>(
    knowledge: &'a Knowledge,
    stated: &str,
    equipment: Option<Equipment>,
) -> Option<&'a str> {
    let rows = knowledge
        .causes
        .iter()
        .filter(|row| equipment.is_none_or(|equipment| row.equipment == equipment))
        .map(|row| (row.id.as_str(), format!("{} {}", row.title, row.id.replace('_', " "))));
    most_like(&tokens(stated), &knowledge.ear.small_words, rows)
        .filter(|(_, like)| *like >= 1.2)
        .map(|(id, _)| id)
}

/// The words to search for: those that carry matter, in order, without the asking.
pub fn query(words: &[Token], small: &BTreeSet<String>, taken: &[(usize, usize)]) -> String {
    const ASKING: &[&str] = &[
        "what",
        "when",
        "who",
        "find",
        "search",
        "show",
        "list",
        "look",
        "record",
        "records",
        "note",
        "notes",
        "history",
        "last",
        "time",
        "spring",
        "summer",
        "autumn",
        "winter",
        "year",
        "month",
        "week",
        "season",
        "did",
        "do",
        "does",
        "done",
        "anything",
        "everything",
        "about",
        "ever",
        "before",
        "entries",
        "jobs",
        "previous",
        "recorded",
        "written",
        "often",
        "many",
        "times",
        "anyone",
        "any",
        "pull",
        "dig",
        "bring",
        "fetch",
        "logged",
        "log",
        "tell",
        "give",
        "get",
        "me",
        "us",
        "we",
        "was",
        "were",
        "it",
        "this",
        "that",
        "the",
        "and",
        "on",
        "of",
        "in",
        "for",
        "to",
        "at",
        "with",
        "by",
        "from",
    ];
    let inside = |at: usize| taken.iter().any(|(first, last)| (*first..=*last).contains(&at));
    let kept: Vec<&str> = words
        .iter()
        .enumerate()
        .filter(|(at, token)| token.kind != Kind::Sign && !inside(*at))
        .filter(|(_, token)| !ASKING.contains(&token.text.as_str()))
        .filter(|(_, token)| !small.contains(&stem(&token.text)) && token.text.len() > 1)
        .map(|(_, token)| token.text.as_str())
        .collect();
    kept.join(" ").chars().take(400).collect()
}
