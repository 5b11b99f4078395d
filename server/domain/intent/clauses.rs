//! What are the clauses of a sentence, and which of their words say something of their own?
//! Deliberately absent: grammar. A clause ends at a comma, stop, dash or "and then".

use super::spoken::Spoken;

/// Words `first..=last` between two stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clause {
    pub first: usize,
    pub last: usize,
}

/// Words that begin another clause.
const BREAKS: &[&str] = &["but", "because", "so", "then"];

pub fn clauses(spoken: &Spoken) -> Vec<Clause> {
    let mut out = Vec::new();
    let mut first = 0;
    for at in 0..spoken.words.len() {
        let last = at + 1 == spoken.words.len();
        let ends = last
            || spoken.words[at + 1].segment != spoken.words[at].segment
            || BREAKS.contains(&spoken.words[at + 1].text.as_str());
        if ends {
            out.push(Clause { first, last: at });
            first = at + 1;
        }
    }
    out
}

/// The words of a clause without those of the runs of tokens given, and without what joins them.
pub fn without(spoken: &Spoken, clause: Clause, taken: &[(usize, usize)]) -> String {
    const EDGES: &[&str] = &[
        "on", "the", "of", "a", "an", "at", "to", "for", "in", "and", "with", "from", "it", "was",
        "were", "is", "i", "we", "by", "off", "so", "but", "then",
    ];
    let inside = |word: usize| {
        let place = &spoken.places[word];
        taken.iter().any(|(first, last)| place.first <= *last && place.last >= *first)
    };
    let mut run: Vec<usize> = Vec::new();
    let mut best: Vec<usize> = Vec::new();
    for word in clause.first..=clause.last {
        if inside(word) {
            if run.len() > best.len() {
                best.clone_from(&run);
            }
            run.clear();
        } else {
            run.push(word);
        }
    }
    if run.len() > best.len() {
        best = run;
    }
    let edge = |word: &usize| EDGES.contains(&spoken.words[*word].text.as_str());
    while best.last().is_some_and(edge) {
        best.pop();
    }
    while best.first().is_some_and(edge) {
        best.remove(0);
    }
    match (best.first(), best.last()) {
        (Some(first), Some(last)) => spoken.phrase(*first, *last).trim().to_owned(),
        _ => String::new(),
    }
}
