//! Which part of a text shows why it was found? The stretch that holds most of what was looked for,
//! cut at words, with the matches marked. Deliberately absent: how a match is shown.

use std::collections::BTreeSet;

use super::terms::{Pipeline, is_word};

/// Bytes of a snippet, about two lines.
const LENGTH: usize = 180;
/// Of two stretches that show as much, the one that begins a sentence.
const LEAD: usize = 60;

/// A part of a snippet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    pub text: String,
    /// It is what was looked for.
    pub matched: bool,
}

/// The stretch of a text that shows most of the wanted terms. `wanted`: every term of a concept
/// with the concept's number.
pub fn snippet(pipeline: &Pipeline, text: &str, wanted: &[(&str, usize)]) -> Vec<Piece> {
    // Reading quantities is dear, and most questions have none.
    let quantities = wanted.iter().any(|(term, _)| !is_word(term));
    let mut matches: Vec<(usize, usize, usize)> = Vec::new();
    pipeline.each_term(text, quantities, |term, start, end| {
        matches.extend(concept_of(term, wanted).map(|concept| (start, end, concept)));
    });
    matches.sort_unstable();
    let start = best_start(&matches);
    let start = begin(text, start);
    let end = finish(text, start);
    pieces(text, start, end, &matches)
}

fn concept_of(term: &str, wanted: &[(&str, usize)]) -> Option<usize> {
    wanted.iter().find(|(text, _)| *text == term).map(|(_, concept)| *concept)
}

/// Where the stretch begins that holds most different concepts; of several the first, since people
/// say first what matters.
fn best_start(matches: &[(usize, usize, usize)]) -> usize {
    let mut best = (0, 0);
    for (at, (start, _, _)) in matches.iter().enumerate() {
        let within = matches[at..].iter().take_while(|(_, end, _)| *end <= start + LENGTH - LEAD);
        let different = within.map(|(_, _, concept)| concept).collect::<BTreeSet<_>>().len();
        if different > best.0 {
            best = (different, *start);
        }
    }
    best.1
}

/// The start of the sentence when it is near, else of a word a little before.
fn begin(text: &str, wanted: usize) -> usize {
    let from = floor(text, wanted.saturating_sub(LEAD));
    if from == 0 {
        return 0;
    }
    let before = &text[from..wanted];
    let sentence = before.rfind(['\n']).map(|at| at + 1).max(before.rfind(". ").map(|at| at + 2));
    let word = before.find(' ').map(|at| at + 1);
    from + sentence.or(word).unwrap_or(before.len())
}

fn finish(text: &str, start: usize) -> usize {
    let end = floor(text, start + LENGTH);
    if end == text.len() {
        return end;
    }
    match text[start..end].rfind(char::is_whitespace) {
        Some(at) => start + at,
        None => end,
    }
}

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn pieces(text: &str, start: usize, end: usize, matches: &[(usize, usize, usize)]) -> Vec<Piece> {
    let mut out = Vec::new();
    let plain = |from: usize, to: usize, out: &mut Vec<Piece>| {
        if from < to {
            out.push(Piece { text: one_line(&text[from..to]), matched: false });
        }
    };
    if start > 0 {
        out.push(Piece { text: "\u{2026} ".to_owned(), matched: false });
    }
    let mut at = start;
    for (from, to, _) in matches.iter().copied().filter(|m| m.0 >= start && m.1 <= end) {
        // Names of several words lie over their words; what is marked is not marked again.
        if to <= at {
            continue;
        }
        let from = from.max(at);
        plain(at, from, &mut out);
        out.push(Piece { text: one_line(&text[from..to]), matched: true });
        at = to;
    }
    plain(at, end, &mut out);
    if text[end..].trim() != "" {
        out.push(Piece { text: " \u{2026}".to_owned(), matched: false });
    }
    out
}

fn one_line(text: &str) -> String {
    text.replace(['\n', '\r', '\t'], " ")
}
