//! Is work told as a guess ("sharpened fairways in july i think?? check")? It is looked up, and never
//! recorded.
//! Deliberately absent: reading the records (`past`).

use super::kind::CommandKind;
use super::{Interpretation, Question, Reader, interpret};
use crate::domain::intent::deeds::DEEDS;
use crate::domain::wording::plain;

/// What says that somebody does not know.
const UNSURE: &[&str] = &[
    "??", "? check", "?check", ", check", " not sure", " can you check", " cant remember", " dont remember", "? or was it",
    " please check", " pls check",
];
/// What says so where no day is told with it.
const GUESSES: &[&str] = &["i think", "i reckon", "i guess", "maybe", "i believe", "probably", "or so"];
const MONTHS: &[&str] = &[
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december",
    "jan", "feb", "apr", "jun", "jul", "aug", "sept", "sep", "oct", "nov", "dec", "spring", "summer", "autumn", "winter", "fall",
    "year", "month", "season",
];
const WHO: &[&str] = &["we", "i", "they", "he", "she", "you", "and", "so", "the", "lads", "guys"];
/// Where what was worked on ends.
const ENDS: &[&str] = &[
    "in", "i", "back", "sometime", "around", "about", "last", "maybe", "probably", "check", "not", "was", "some", "early", "late", "end",
    "this", "on", "cant", "dont", "can", "please", "pls",
];
/// Words of the thing worked on.
const WORDS_MAX: usize = 5;

impl Reader<'_> {
    /// When it was done, by the records.
    pub(super) fn guessed(&self) -> Option<Interpretation> {
        let asked = when(self.question.text)?;
        let question = Question { text: &asked, ..self.question.clone() };
        let found = interpret(self.knowledge, &question);
        let other = matches!(found.kind, CommandKind::Record | CommandKind::Diagnose);
        // Numbers stand elsewhere in these words.
        (!other).then(|| Interpretation { quantities: Vec::new(), ..found })
    }
}

/// "When were the fairways last sharpened".
fn when(text: &str) -> Option<String> {
    let lower = plain(text);
    let words: Vec<&str> = lower
        .split(|ch: char| !(ch.is_alphanumeric() || ch == '-'))
        .filter(|word| !word.is_empty())
        .collect();
    let unsure = UNSURE.iter().any(|sign| lower.contains(sign));
    let spoken = format!(" {} ", words.join(" "));
    let guess = GUESSES.iter().any(|sign| spoken.contains(&format!(" {sign} ")));
    let month = words.iter().any(|word| MONTHS.contains(word));
    let at = words.iter().position(|word| !WHO.contains(word))?;
    let deed = words.get(at).filter(|word| DEEDS.contains(word) && !matches!(**word, "set" | "found" | "read"))?;
    let thing = words[at + 1..].iter().take_while(|word| !ENDS.contains(word));
    let thing: Vec<&str> = thing.take(WORDS_MAX).copied().collect();
    let thing = match &thing[..] {
        [] | ["em" | "them" | "those" | "these"] => "they".to_owned(),
        ["it" | "that" | "this"] => "it".to_owned(),
        other => other.join(" "),
    };
    let were = if thing == "it" { "was" } else { "were" };
    ((unsure || guess) && (month || unsure)).then(|| format!("when {were} {thing} last {deed}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guess_is_looked_up() {
        for (words, wanted) in [
            ("sharpened fairways in july i think", Some("when were fairways last sharpened")),
            ("sharpened em in july i think?? check", Some("when were they last sharpened")),
            ("we ground the walkers last spring, not sure", Some("when were the walkers last ground")),
            ("changed the belt on monday i think", None),
            ("lapped walker 1 in july", None),
        ] {
            assert_eq!(when(words).as_deref(), wanted, "{words}");
        }
    }
}
