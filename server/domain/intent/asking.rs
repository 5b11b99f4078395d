//! How much do the words sound like a question, and which words that could ask only tell more?
//! Deliberately absent: what is asked, and whether it may be a record (`never_told`).

use super::cues::{Cue, weight};
use super::spoken::Spoken;

/// How much the words sound like a question. "Did it" asks only where a clause begins with it.
pub fn asking(spoken: &Spoken, cues: &[Cue]) -> u32 {
    let begins = |cue: &&Cue| {
        let (at, words) = (cue.first(), &spoken.words);
        cue.weight > 1 || at == 0 || words[at - 1].segment != words[at].segment
            || ASKING.contains(&words[at - 1].text.as_str())
    };
    // "1,766 is what the clock says": told, not asked.
    let word = |at: usize| spoken.words[at].text.as_str();
    let tells = |cue: &&Cue| {
        let at = cue.first();
        let said = matches!(word(at), "what" | "how" | "where" | "which" | "why");
        let is = at > 1 && matches!(word(at - 1), "is" | "was" | "are" | "were" | "found");
        (said && is) || is_conjunction(spoken, at)
    };
    let all: Vec<Cue> = cues
        .iter()
        .filter(|cue| cue.family == "kind" && cue.id == "question" && !tells(cue))
        .filter(begins)
        .cloned()
        .collect();
    weight(&all, "kind", "question")
}

/// "When we wanted 4", "the top pitch, which is dry": no question begins with these words.
fn is_conjunction(spoken: &Spoken, at: usize) -> bool {
    const ASKS: &[&str] = &[
        "do", "does", "did", "should", "will", "would", "can", "could", "is", "are", "am", "must",
        "to", "shall", "next", "has", "have", "due", "might", "ought",
    ];
    let word = |at: usize| spoken.word(at);
    match word(at) {
        "when" => !ASKS.contains(&word(at + 1)),
        "which" => tells_more(spoken, at),
        _ => false,
    }
}

/// "The top pitch, which is dry", ", which took an hour": it tells more of what was named.
pub fn tells_more(spoken: &Spoken, at: usize) -> bool {
    const TELLS: &[&str] = &[
        "is", "was", "are", "were", "never", "it", "had", "has", "made", "means", "took", "takes", "gave",
        "gives", "left", "leaves", "came", "brought", "makes", "put", "puts", "comes", "works",
    ];
    let (before, next) = (at.checked_sub(1).map_or("", |at| spoken.word(at)), spoken.word(at + 1));
    let tells = TELLS.contains(&next) || (next.len() > 4 && next.ends_with("ed"));
    spoken.word(at) == "which" && at > 0 && !ASKING.contains(&before) && tells
}

/// Words that a question goes on after.
const ASKING: &[&str] = &["what", "how", "and", "or", "so", "then", "speed", "when", "where"];
