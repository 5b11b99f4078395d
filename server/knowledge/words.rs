//! How do people say it? Lexicon, phrasings, implications and spelling become an ear.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::commands;
use super::dangers;
use super::fitted::{self, CompiledLexicon, Fitted};
use super::marks::unmarked;
use super::{File, Problems, files_in, text_of};
use crate::domain::catalogue::{FindingKind, Knowledge};
use crate::domain::language::columns::Columns;
use crate::domain::language::dangers::{DANGER, DangerEar, DangerModel};
use crate::domain::language::hearing::{Ear, FindingModel, FindingTraits, Implication};
use crate::domain::language::model::{self, EPOCHS, Example, with_pairs};
use crate::domain::language::patterns::{Builder, Lexicon, Mistake};
use crate::domain::language::purpose::{COMMAND, PurposeEar, PurposeModel};
use crate::domain::language::scope::{SCOPE_LABELS, ScopeEar, ScopeModel};
use crate::domain::language::spelling::Speller;
use crate::domain::language::turns::{TURN, is_role};
use crate::domain::language::{text, words_of};
use crate::domain::said::naming::{NamingEar, NamingModel};
use crate::domain::said::placing::{PlacingEar, PlacingModel};

/// Findings that say where or when a fault is, so that they may share words with what it is.
const CONTEXT_GROUPS: &[&str] = &["extent", "swap", "soft_surface", "wet_leaf"];
const CONTEXT_PREFIXES: &[&str] = &["after_", "worse_", "one_unit", "all_units", "tall_before"];

/// A label seen in fewer clauses cannot be learned.
const FEWEST_EXAMPLES: usize = 4;
/// A word of so many clauses, and of one clause in so many, is nobody's name (from memory).
const FEWEST_COMMON: usize = 10;
const COMMON_SHARE: usize = 6_000;

pub fn read(
    files: &[File],
    fitted: Option<Fitted>,
    knowledge: &mut Knowledge,
    problems: &mut Problems,
) -> Fitted {
    let (lexicon, compiled) = compiled_lexicon(files, fitted.as_ref(), problems);
    let phrasings = phrasings(files, problems);
    let stamp = fitted::stamp_of(files);
    let mut fitted = fitted
        .filter(|known| known.stamp == stamp)
        .unwrap_or_else(|| fit(stamp, &phrasings.unwrap_or_else(|| parse_phrasings(files))));
    fitted.lexicon = compiled;
    hear(files, lexicon, &fitted, knowledge, problems);
    fitted
}

fn hear(
    files: &[File],
    lexicon: Lexicon,
    fitted: &Fitted,
    knowledge: &mut Knowledge,
    problems: &mut Problems,
) {
    let small = small_words(files);
    let findings = traits(knowledge);
    let trade = || fitted.lexicon.trade.iter().map(String::as_str);
    let known = fitted.vocabulary.iter().chain(&small).map(String::as_str);
    knowledge.ear = Ear {
        lexicon,
        speller: Speller::new(trade(), known),
        columns: Columns::new(&fitted.labels, &findings),
        findings,
        model: FindingModel::read(fitted.finding_table.clone()).unwrap_or_default(),
        implications: implications(files, problems),
        common: fitted.common.iter().map(String::as_str).chain(trade()).collect(),
        small_words: small,
    };
    let model = ScopeModel::read(fitted.scope_table.clone()).unwrap_or_default();
    knowledge.scope_ear = ScopeEar { model };
    let model = PurposeModel::read(fitted.purpose_table.clone()).unwrap_or_default();
    knowledge.purpose_ear = PurposeEar { names: fitted.purposes.clone(), model };
    let model = NamingModel::read(fitted.naming_table.clone()).unwrap_or_default();
    knowledge.naming_ear = NamingEar { model };
    let model = PlacingModel::read(fitted.placing_table.clone()).unwrap_or_default();
    knowledge.placing_ear = PlacingEar { fields: fitted.placings.clone(), model };
    let model = DangerModel::read(fitted.danger_table.clone()).unwrap_or_default();
    knowledge.danger_ear = DangerEar { names: fitted.dangers.clone(), model };
    knowledge.spelling = spelling(files, problems);
}

/// Takes the lexicon as it was compiled when its files are the same, else compiles it.
fn compiled_lexicon(
    files: &[File],
    fitted: Option<&Fitted>,
    problems: &mut Problems,
) -> (Lexicon, CompiledLexicon) {
    let stamp = fitted::lexicon_stamp_of(files);
    let kept = fitted.map(|fitted| &fitted.lexicon).filter(|kept| kept.stamp == stamp);
    if let Some(kept) = kept
        && let Ok(lexicon) = postcard::from_bytes(&kept.table)
    {
        return (lexicon, kept.clone());
    }
    let (lexicon, trade) = lexicon(files, problems);
    let table = postcard::to_allocvec(&lexicon).expect("plain data can always be written");
    (lexicon, CompiledLexicon { stamp, trade, table: Cow::Owned(table) })
}

fn lexicon(files: &[File], problems: &mut Problems) -> (Lexicon, Vec<String>) {
    let mut builder = Builder::default();
    let all: Vec<&File> = {
        // Classes of words.txt may be used by every file, so it is read first.
        let (first, rest): (Vec<&File>, Vec<&File>) =
            files_in(files, "lexicon/", ".txt").partition(|file| file.path.ends_with("/words.txt"));
        first.into_iter().chain(rest).collect()
    };
    for file in &all {
        report(file, builder.classes(&file.text), problems);
    }
    for file in &all {
        report(file, builder.patterns(&file.text), problems);
    }
    let trade = builder.vocabulary();
    (builder.build(), trade)
}

fn report(file: &File, mistakes: Vec<Mistake>, problems: &mut Problems) {
    for Mistake { line, what, remedy } in mistakes {
        problems.add(&file.path, line, what, &remedy);
    }
}

fn traits(knowledge: &Knowledge) -> BTreeMap<String, FindingTraits> {
    knowledge
        .findings
        .iter()
        .map(|finding| {
            let context = CONTEXT_GROUPS.contains(&finding.group.as_str())
                || CONTEXT_PREFIXES.iter().any(|prefix| finding.id.starts_with(prefix));
            let observable = finding.kind == FindingKind::Complaint;
            let kinds = finding.equipment.iter().fold(0, |bits, kind| bits | 1 << *kind as u8);
            (finding.id.clone(), FindingTraits { observable, context, kinds })
        })
        .collect()
}

/// Beside a command: its names and numbers are not marked, and teach nothing of where they go.
const UNMARKED: &str = "unmarked";

/// Stands beside the labels of a clause of which nothing is known but these: it teaches how they
/// are stated or denied, and nothing of what else it may say.
const ALONE: &str = "alone";

/// A labelled clause of the phrasings, and the numbers of it that are marked as a field.
pub struct Phrasing<'a> {
    pub labels: Vec<&'a str>,
    pub clause: String,
    pub marks: Vec<(Range<usize>, &'a str)>,
}

/// Checks every line; `None` when nothing was wrong and nobody needs them yet.
fn phrasings<'a>(files: &'a [File], problems: &mut Problems) -> Option<Vec<Phrasing<'a>>> {
    let mut wrong = false;
    for file in files_in(files, "phrasings/", ".tsv") {
        for (at, line) in file.text.lines().enumerate() {
            if let Err(what) = phrasing(line) {
                wrong = true;
                let remedy = "write labels, a tab, and the clause";
                problems.add(&file.path, at + 1, what, remedy);
            }
        }
    }
    wrong.then(|| parse_phrasings(files))
}

fn parse_phrasings(files: &[File]) -> Vec<Phrasing<'_>> {
    files_in(files, "phrasings/", ".tsv")
        .flat_map(|file| file.text.lines())
        .filter_map(|line| phrasing(line).ok().flatten())
        .collect()
}

fn phrasing(line: &str) -> Result<Option<Phrasing<'_>>, String> {
    let heading = line == "labels\tclause";
    if heading || line.trim().is_empty() || line.starts_with("# ") || line == "#" {
        return Ok(None);
    }
    let Some((labels, clause)) = line.split_once('\t') else {
        return Err("a line without a tab".to_owned());
    };
    let labels: Vec<&str> = labels.split_whitespace().filter(|label| *label != "-").collect();
    for label in &labels {
        let scope = label.strip_prefix("scope=").is_some_and(|name| SCOPE_LABELS.contains(&name));
        let named = |prefix| label.strip_prefix(prefix).is_some_and(|name: &str| !name.is_empty());
        let whole = named(COMMAND) || named(DANGER);
        let turn = label.strip_prefix(TURN).is_some_and(is_role);
        let mark = [UNMARKED, ALONE].contains(label);
        if !scope && !whole && !turn && !mark && fitted::label(label).is_none() {
            return Err(format!("\"{label}\" is not a label"));
        }
    }
    if clause.trim().is_empty() {
        return Err("a clause without words".to_owned());
    }
    let (clause, marks) = unmarked(clause)?;
    Ok(Some(Phrasing { labels, clause, marks }))
}

/// Fits all models; what the build does once.
fn fit(stamp: String, phrasings: &[Phrasing<'_>]) -> Fitted {
    let of_danger = |phrasing: &&Phrasing| dangers::danger_of(phrasing).is_some();
    let of_command = |phrasing: &&Phrasing| commands::command_of(phrasing).is_some();
    let (alone, others): (Vec<&Phrasing>, Vec<&Phrasing>) =
        phrasings.iter().partition(|phrasing| phrasing.labels.contains(&ALONE));
    let (told, others): (Vec<&Phrasing>, Vec<&Phrasing>) = others.into_iter().partition(of_danger);
    let (commands, clauses): (Vec<&Phrasing>, Vec<&Phrasing>) =
        others.into_iter().partition(of_command);
    let (dangers, danger_table) = dangers::fit_dangers(&told, &commands, &clauses);
    let (purposes, purpose_table) = commands::fit_purposes(&commands, &clauses);
    let is_marked = |one: &&&Phrasing| !one.labels.contains(&UNMARKED);
    let marked: Vec<&Phrasing> = commands.iter().filter(is_marked).copied().collect();
    let (placings, placing_table) = commands::fit_placings(&marked);
    Fitted {
        dangers,
        danger_table: Cow::Owned(danger_table),
        purposes,
        purpose_table: Cow::Owned(purpose_table),
        placings,
        placing_table: Cow::Owned(placing_table),
        naming_table: Cow::Owned(commands::fit_names(&marked)),
        ..fit_clauses(stamp, &clauses, &alone)
    }
}

pub fn stems_of(phrasing: &Phrasing<'_>) -> Vec<String> {
    stems(&phrasing.clause)
}

pub fn stems(clause: &str) -> Vec<String> {
    words_of(&text::tokens(clause)).0.into_iter().map(|word| word.stem).collect()
}

/// Fits the models of findings and scope.
fn fit_clauses(stamp: String, phrasings: &[&Phrasing<'_>], alone: &[&Phrasing<'_>]) -> Fitted {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for label in phrasings.iter().flat_map(|phrasing| &phrasing.labels) {
        *counts.entry(label).or_default() += 1;
    }
    counts.retain(|label, count| !label.starts_with("scope=") && *count >= FEWEST_EXAMPLES);
    let names: Vec<&str> = counts.into_keys().collect();
    let mut heard: BTreeMap<String, usize> = BTreeMap::new();
    let mut clauses = Vec::new();
    let mut utterances = Vec::new();
    for phrasing in phrasings {
        let stems = stems_of(phrasing);
        for stem in &stems {
            *heard.entry(stem.clone()).or_default() += 1;
        }
        let scope = phrasing.labels.iter().find_map(|label| label.strip_prefix("scope="));
        let column = scope.unwrap_or("in");
        let column = SCOPE_LABELS.iter().position(|name| *name == column);
        utterances.push(Example { words: stems.clone(), labels: column.into_iter().collect() });
        if scope.is_none() {
            let labels = phrasing
                .labels
                .iter()
                .filter_map(|label| names.binary_search(label).ok())
                .collect();
            clauses.push(Example { words: stems, labels });
        }
    }
    let mut examples = with_pairs(clauses);
    examples.extend(alone.iter().flat_map(|phrasing| alone_of(phrasing, &names)));
    let of_one = |labels: &[usize]| match labels {
        [_, of] if *of >= names.len() => {
            commands::columns_of(&names, finding_of(names[of - names.len()]))
        }
        _ => 0..names.len(),
    };
    let finding_table =
        FindingModel::fit_within(&model::known(&examples), names.len(), EPOCHS, of_one);
    let fewest = FEWEST_COMMON.max(phrasings.len() / COMMON_SHARE);
    let common = heard.iter().filter(|(_, count)| **count >= fewest);
    Fitted {
        stamp,
        labels: names.iter().filter_map(|name| fitted::label(name)).collect(),
        common: common.map(|(stem, _)| stem.clone()).collect(),
        vocabulary: heard.into_keys().collect(),
        finding_table: Cow::Owned(finding_table),
        scope_table: Cow::Owned(ScopeModel::fit(&utterances, SCOPE_LABELS.len(), EPOCHS)),
        ..Fitted::default()
    }
}

/// A clause of which nothing is known but its own labels, once for each of these. A second label,
/// counted from behind the last, says so.
fn alone_of(phrasing: &Phrasing<'_>, names: &[&str]) -> Vec<Example> {
    let words = stems_of(phrasing);
    let columns = phrasing.labels.iter().filter_map(|label| names.binary_search(label).ok());
    let labels = columns.map(|column| vec![column, names.len() + column]);
    labels.map(|labels| Example { words: words.clone(), labels }).collect()
}

/// The finding of a label, with the sign behind it.
fn finding_of(label: &str) -> &str {
    label.split_inclusive('=').next().unwrap_or(label)
}

/// `small_words.txt`: words that carry no matter of their own.
fn small_words(files: &[File]) -> BTreeSet<String> {
    text_of(files, "small_words.txt")
        .unwrap_or_default()
        .lines()
        .filter(|line| !line.starts_with('#'))
        .flat_map(str::split_whitespace)
        .map(text::stem)
        .collect()
}

/// `implications.csv`: `if,then,basis` with `finding=yes` or `finding=no`.
fn implications(files: &[File], problems: &mut Problems) -> Vec<Implication> {
    let path = "implications.csv";
    let mut out = Vec::new();
    for (at, line) in text_of(files, path).unwrap_or_default().lines().enumerate().skip(1) {
        let mut cells = line.split(',').map(str::trim);
        let rule = cells.next().and_then(fitted::label).zip(cells.next().and_then(fitted::label));
        match rule {
            Some(((if_finding, if_present), (finding, present))) => {
                out.push(Implication { if_finding, if_present, finding, present });
            }
            None if line.trim().is_empty() => {}
            None => problems.add(
                path,
                at + 1,
                format!("\"{line}\" is not an implication"),
                "write finding=yes,finding=no,basis",
            ),
        }
    }
    out
}

fn spelling(files: &[File], problems: &mut Problems) -> Vec<(String, String)> {
    let path = "spelling.csv";
    let mut out = Vec::new();
    for (at, line) in text_of(files, path).unwrap_or_default().lines().enumerate().skip(1) {
        match line.split_once(',') {
            Some((british, american)) => {
                out.push((british.trim().to_owned(), american.trim().to_owned()));
            }
            None if line.trim().is_empty() => {}
            None => problems.add(path, at + 1, "a row without a comma", "write british,american"),
        }
    }
    out
}
