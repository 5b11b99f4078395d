//! Which phrases of the lexicon occur in these words?
//!
//! A pattern is a row a mechanic can edit: `thin? @line of (uncut|long) .. @grass`. Patterns are
//! compiled once into alternatives that are looked up by their first word, so that thousands of
//! patterns cost a text of fifty words well under a millisecond. What a match *means* (present,
//! denied, guessed) is not decided here.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::lists::Lists;
use super::text;

/// What is wrong with a line of a lexicon file, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    pub line: usize,
    pub what: String,
    pub remedy: String,
}

/// One word of a text as the matcher sees it.
#[derive(Clone, Debug)]
pub struct Word {
    /// As written, lower-case; [`NUMBER`] for a quantity.
    pub text: String,
    /// A stem, or [`NUMBER`] for a whole quantity ("3.5 mm").
    pub stem: String,
    pub sentence: u32,
    pub segment: u32,
}

/// The stem that stands for any number or quantity; written `#` in a pattern.
pub const NUMBER: &str = "#";

/// Widest gaps: `..` and `...` in a pattern.
const GAP_SHORT: u8 = 3;
const GAP_LONG: u8 = 6;

/// A pattern found in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Match {
    /// Index into [`Lexicon::sections`].
    pub section: usize,
    /// The line begins with `- `: it says the finding is absent.
    pub denies: bool,
    /// `* N` at the end of the line; 1 when not written.
    pub weight: u32,
    /// Index of the pattern, in file order; names the rule that fired.
    pub rule: usize,
    /// Words matched by something other than a gap, ascending.
    pub words: Vec<usize>,
}

impl Match {
    pub fn first(&self) -> usize {
        self.words[0]
    }

    pub fn last(&self) -> usize {
        self.words[self.words.len() - 1]
    }
}

#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub(super) enum Element {
    One { alternative: u32, optional: bool },
    Gap { most: u8, crosses_commas: bool },
}

#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Pattern {
    pub section: u32,
    pub denies: bool,
    pub weight: u32,
    /// Runs of elements joined by `&`: each must occur, in any order, in one sentence or the next.
    /// The first and the last of them among all runs, the last left out.
    pub runs: (u32, u32),
}

/// The compiled lexicon. It is kept with the program as compiled, because compiling takes longer
/// than a person should wait for a first answer.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Lexicon {
    /// Section names (`uncut_line`, `scope:off_topic`, ...), in the order first seen.
    pub sections: Vec<String>,
    pub(super) patterns: Vec<Pattern>,
    pub(super) runs: Lists<Element>,
    /// By pattern: alternatives that must all occur somewhere.
    pub(super) required: Lists<u32>,
    pub(super) stems: BTreeMap<String, u32>,
    /// By stem: alternatives that hold it alone.
    pub(super) alone: Lists<u32>,
    /// By first stem: longer sequences, in order of their second stem.
    pub(super) longer: Lists<Longer>,
    /// What follows the second stem of the longest.
    pub(super) rests: Lists<u32>,
    /// By alternative: the patterns whose rarest alternative it is.
    pub(super) keyed: Lists<u32>,
}

/// A sequence of two stems or more that an alternative holds.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub(super) struct Longer {
    pub second: u32,
    pub alternative: u32,
    /// The number of what follows among `rests`.
    pub rest: u32,
}

/// The sequences of all alternatives by their first stem, as they are gathered.
#[derive(Default)]
struct Starts {
    alone: Vec<Vec<u32>>,
    /// Second stem, alternative, what follows.
    longer: Vec<Vec<(u32, u32, Vec<u32>)>>,
}

/// Gathers the lines of the lexicon files, then compiles them.
#[derive(Default)]
pub struct Builder {
    classes: BTreeMap<String, Vec<Vec<String>>>,
    sections: Vec<String>,
    rows: Vec<Row>,
    /// What each written part ("(uncut|long)", "@line") stands for; many patterns share parts.
    parts: BTreeMap<String, Vec<Vec<String>>>,
}

struct Row {
    section: usize,
    denies: bool,
    weight: u32,
    runs: Vec<Vec<Part>>,
}

enum Part {
    /// A key of [`Builder::parts`].
    One {
        body: String,
        optional: bool,
    },
    Gap {
        most: u8,
        crosses_commas: bool,
    },
}

impl Builder {
    /// Reads the word classes (`@name = a, b c, @other`) of one file.
    pub fn classes(&mut self, file: &str) -> Vec<Mistake> {
        let mut mistakes = Vec::new();
        for (line, row) in meaningful(file) {
            let Some((name, members)) = class_line(row) else { continue };
            let mut sequences = Vec::new();
            for member in members.split(',').map(str::trim).filter(|m| !m.is_empty()) {
                match self.sequences(member) {
                    Ok(found) => sequences.extend(found),
                    Err(what) => mistakes.push(mistake(line, &what, "define the class above")),
                }
            }
            if self.classes.insert(name.to_owned(), sequences).is_some() {
                let what = format!("the class @{name} is defined twice");
                mistakes.push(mistake(line, &what, "keep one definition"));
            }
        }
        mistakes
    }

    /// Reads the sections and patterns of one file; call after [`Builder::classes`] of all files.
    pub fn patterns(&mut self, file: &str) -> Vec<Mistake> {
        let mut mistakes = Vec::new();
        let mut section = None;
        for (line, row) in meaningful(file) {
            if class_line(row).is_some() {
                continue;
            }
            if let Some(name) = row.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
                section = Some(self.section(name.trim()));
                continue;
            }
            let Some(section) = section else {
                mistakes.push(mistake(line, "a pattern before any [section]", "add [finding_id]"));
                continue;
            };
            match self.row(section, row) {
                Ok(parsed) => self.rows.push(parsed),
                Err(what) => {
                    mistakes.push(mistake(line, &what, "see knowledge/README.md, Patterns"));
                }
            }
        }
        mistakes
    }

    fn section(&mut self, name: &str) -> usize {
        if let Some(at) = self.sections.iter().position(|known| known == name) {
            return at;
        }
        self.sections.push(name.to_owned());
        self.sections.len() - 1
    }

    fn row(&mut self, section: usize, row: &str) -> Result<Row, String> {
        let (denies, rest) = match row.strip_prefix("- ") {
            Some(rest) => (true, rest),
            None => (false, row),
        };
        let (rest, weight) = match rest.rsplit_once(" * ") {
            Some((rest, number)) => {
                let weight = number.trim().parse().map_err(|_| {
                    format!("the weight \"{}\" is not a whole number", number.trim())
                })?;
                (rest, weight)
            }
            None => (rest, 1),
        };
        let mut runs = Vec::new();
        for run in rest.split(" & ") {
            runs.push(self.run(run)?);
        }
        Ok(Row { section, denies, weight, runs })
    }

    fn run(&mut self, run: &str) -> Result<Vec<Part>, String> {
        let mut elements = Vec::new();
        for piece in pieces(run)? {
            elements.push(self.part(&piece)?);
        }
        while matches!(elements.first(), Some(Part::Gap { .. })) {
            elements.remove(0);
        }
        while matches!(elements.last(), Some(Part::Gap { .. })) {
            elements.pop();
        }
        let required = |part: &Part| matches!(part, Part::One { optional: false, .. });
        if !elements.iter().any(required) {
            return Err(format!("\"{run}\" would match anything: every part is optional"));
        }
        Ok(elements)
    }

    fn part(&mut self, piece: &str) -> Result<Part, String> {
        match piece {
            ".." => return Ok(Part::Gap { most: GAP_SHORT, crosses_commas: false }),
            "..." => return Ok(Part::Gap { most: GAP_LONG, crosses_commas: true }),
            _ => {}
        }
        let (body, optional) = match piece.strip_suffix('?') {
            Some(body) => (body, true),
            None => (piece, false),
        };
        if !self.parts.contains_key(body) {
            let inner = body.strip_prefix('(').and_then(|rest| rest.strip_suffix(')'));
            let mut sequences = Vec::new();
            for choice in inner.unwrap_or(body).split('|') {
                sequences.extend(self.sequences(choice.trim())?);
            }
            sequences.sort();
            sequences.dedup();
            self.parts.insert(body.to_owned(), sequences);
        }
        Ok(Part::One { body: body.to_owned(), optional })
    }

    /// All word sequences that `choice` ("bottom blade", "@line of @grass") stands for.
    fn sequences(&self, choice: &str) -> Result<Vec<Vec<String>>, String> {
        let mut all: Vec<Vec<String>> = vec![Vec::new()];
        for item in choice.split_whitespace() {
            let options = if let Some(name) = item.strip_prefix('@') {
                let unknown = || format!("the class @{name} is not defined");
                self.classes.get(name).cloned().ok_or_else(unknown)?
            } else if item == NUMBER {
                vec![vec![NUMBER.to_owned()]]
            } else {
                vec![stems_of(item)]
            };
            all = all
                .iter()
                .flat_map(|head| {
                    options.iter().map(move |tail| head.iter().chain(tail).cloned().collect())
                })
                .collect();
        }
        all.retain(|sequence| !sequence.is_empty());
        if all.is_empty() { Err(format!("\"{choice}\" holds no word")) } else { Ok(all) }
    }

    /// All words that patterns and classes use: the speller's trade vocabulary.
    pub fn vocabulary(&self) -> Vec<String> {
        let mut words: Vec<String> = self.parts.values().flatten().flatten().cloned().collect();
        words.sort();
        words.dedup();
        words
    }

    /// Compiles what was read.
    pub fn build(self) -> Lexicon {
        let mut lexicon = Lexicon { sections: self.sections, ..Lexicon::default() };
        let mut alternatives: BTreeMap<&str, u32> = BTreeMap::new();
        let mut starts = Starts::default();
        for (next, (body, sequences)) in (0..).zip(&self.parts) {
            alternatives.insert(body, next);
            starts.add(next, sequences, &mut lexicon.stems);
        }
        lexicon.begin_with(starts);
        for row in self.rows {
            let mut required = Vec::new();
            let first = number_of(lexicon.runs.len());
            for run in row.runs {
                let elements: Vec<Element> = run
                    .into_iter()
                    .map(|part| match part {
                        Part::Gap { most, crosses_commas } => Element::Gap { most, crosses_commas },
                        Part::One { body, optional } => {
                            let alternative = alternatives[body.as_str()];
                            required.extend((!optional).then_some(alternative));
                            Element::One { alternative, optional }
                        }
                    })
                    .collect();
                lexicon.runs.push(elements);
            }
            let runs = (first, number_of(lexicon.runs.len()));
            let Row { section, denies, weight, .. } = row;
            let section = number_of(section);
            lexicon.patterns.push(Pattern { section, denies, weight, runs });
            lexicon.required.push(required);
        }
        lexicon.key(alternatives.len());
        lexicon
    }
}

pub(super) fn number_of(count: usize) -> u32 {
    u32::try_from(count).expect("fewer than 2^32 of anything")
}

impl Starts {
    fn add(
        &mut self,
        alternative: u32,
        sequences: &[Vec<String>],
        stems: &mut BTreeMap<String, u32>,
    ) {
        for sequence in sequences {
            let ids: Vec<u32> = sequence
                .iter()
                .map(|stem| {
                    let next = number_of(stems.len());
                    *stems.entry(stem.clone()).or_insert(next)
                })
                .collect();
            let known = self.alone.len().max(stems.len());
            self.alone.resize(known, Vec::new());
            self.longer.resize(known, Vec::new());
            let first = ids[0] as usize;
            match ids.get(1) {
                None => self.alone[first].push(alternative),
                Some(second) => {
                    self.longer[first].push((*second, alternative, ids[2..].to_vec()));
                }
            }
        }
    }
}

impl Lexicon {
    /// Takes in the sequences, the longer ones in order of their second stem.
    fn begin_with(&mut self, starts: Starts) {
        self.alone = starts.alone.into_iter().collect();
        for mut longer in starts.longer {
            longer.sort();
            let rests = &mut self.rests;
            let rows = longer.into_iter().map(|(second, alternative, rest)| {
                rests.push(rest);
                Longer { second, alternative, rest: number_of(rests.len()) - 1 }
            });
            self.longer.push(rows);
        }
    }

    /// Files each pattern under its rarest required alternative.
    fn key(&mut self, alternative_count: usize) {
        let mut uses = vec![0usize; alternative_count];
        for at in 0..self.patterns.len() {
            for alternative in self.required.of(at) {
                uses[*alternative as usize] += 1;
            }
        }
        let mut keyed = vec![Vec::new(); alternative_count];
        for at in 0..self.patterns.len() {
            let required = self.required.of(at).iter().map(|one| *one as usize);
            let rarest = required.min_by_key(|one| (uses[*one], *one));
            keyed[rarest.expect("a pattern has a required part")].push(number_of(at));
        }
        self.keyed = keyed.into_iter().collect();
    }

    /// The number of compiled patterns.
    pub fn pattern_count(&self) -> usize {
        self.patterns.len()
    }
}

/// `@name = members`, taken apart.
fn class_line(row: &str) -> Option<(&str, &str)> {
    let (name, members) = row.strip_prefix('@')?.split_once('=')?;
    let name = name.trim();
    let single = !name.is_empty() && !name.contains(char::is_whitespace);
    single.then_some((name, members))
}

/// Lines that are neither empty nor comments, with their numbers from 1.
pub fn meaningful(file: &str) -> impl Iterator<Item = (usize, &str)> {
    file.lines()
        .enumerate()
        .map(|(at, line)| (at + 1, line.trim()))
        .filter(|(_, line)| !line.is_empty() && !(line.starts_with('#') && is_comment(line)))
}

/// `# text` is a comment; a pattern may begin with the number sign only as `#` and a part.
fn is_comment(line: &str) -> bool {
    line == "#" || line.starts_with("# ") || line.starts_with("##")
}

fn stems_of(word: &str) -> Vec<String> {
    let plain = |token: &text::Token| token.kind != text::Kind::Sign;
    text::tokens(word).into_iter().filter(plain).map(|token| token.stem).collect()
}

fn mistake(line: usize, what: &str, remedy: &str) -> Mistake {
    Mistake { line, what: what.to_owned(), remedy: remedy.to_owned() }
}

/// Splits a pattern at blanks, keeping `( ... )` together with a following `?`.
fn pieces(pattern: &str) -> Result<Vec<String>, String> {
    let mut out = Vec::new();
    let mut piece = String::new();
    let mut depth = 0usize;
    for ch in pattern.chars() {
        match ch {
            '(' if depth == 0 => depth = 1,
            '(' => return Err(format!("\"{pattern}\" has brackets inside brackets")),
            ')' if depth == 0 => return Err(format!("\"{pattern}\" closes a bracket not opened")),
            ')' => depth = 0,
            _ => {}
        }
        if ch.is_whitespace() && depth == 0 {
            if !piece.is_empty() {
                out.push(std::mem::take(&mut piece));
            }
        } else {
            piece.push(ch);
        }
    }
    if depth > 0 {
        return Err(format!("\"{pattern}\" leaves a bracket open"));
    }
    if !piece.is_empty() {
        out.push(piece);
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lexicon(text: &str) -> Lexicon {
        let mut builder = Builder::default();
        assert_eq!(builder.classes(text), []);
        assert_eq!(builder.patterns(text), []);
        builder.build()
    }

    fn words(text: &str) -> Vec<Word> {
        text::tokens(text)
            .into_iter()
            .filter(|token| token.kind != text::Kind::Sign)
            .map(|token| Word {
                text: token.text,
                stem: if token.kind == text::Kind::Number { "#".into() } else { token.stem },
                sentence: token.sentence,
                segment: token.segment,
            })
            .collect()
    }

    #[test]
    fn elements_mean_what_they_say() {
        // (pattern, text, matches): own examples of each element of the pattern language.
        let rows = [
            ("thin? @line of grass", "leaves a thin strip of grass", true),
            ("thin? @line of grass", "leaves a streak of grass", true),
            ("@line of grass", "strip. of grass", false),
            ("left .. uncut", "left it all there uncut", true),
            ("left .. uncut", "left it all there and there uncut", false),
            ("left .. uncut", "left, and it is uncut", false),
            ("left ... uncut", "left, and it is uncut", true),
            ("left ... uncut", "left. it is uncut", false),
            ("bench # .. prism #", "bench 3.5 and prism 2.6", true),
            ("(both|all three) unit", "all three units", true),
            ("not cut", "isn't cutting", true),
            ("(hand|palm) & (running|spinning)", "it is running. can I put a hand in", true),
            ("(hand|palm) & (running|spinning)", "it is still. put a hand in", false),
        ];
        for (pattern, text, expected) in rows {
            let file = format!("@line = line, strip, streak\n[x]\n{pattern}\n");
            let found = lexicon(&file).find(&words(text));
            assert_eq!(!found.is_empty(), expected, "{pattern} in {text}");
        }
    }

    #[test]
    fn mistakes_name_their_line() {
        let mut builder = Builder::default();
        let file = "# heading\n[x]\n@nothing here\n(a|b\n";
        assert_eq!(builder.classes(file), []);
        let lines: Vec<usize> = builder.patterns(file).iter().map(|m| m.line).collect();
        assert_eq!(lines, [3, 4]);
    }
}
