//! Is it said that work was not done ("didnt sharpen it today", "havent lapped walker 1 yet", "never got
//! round to the greasing")? Nothing is recorded then, and it says so.
//! Deliberately absent: work that is still to be done and is planned (`ahead`), and what a machine
//! does not do, which is a complaint.

use super::deeds::DEEDS;
use super::kind::CommandKind;
use super::people::is_given_name;
use super::{Interpretation, Reader};
use crate::domain::language::text::{Kind, Token};
use crate::domain::wording::plain;

/// What is said of work that was not done.
pub const NOT_DONE: &str = "Not done, so nothing is recorded and what was due stays due: say it when it is done.";

/// Work, by how its words begin and end: "lap", "lapped", "lapping".
#[rustfmt::skip]
const WORK: &[&str] = &[
    "lap", "backlap", "grind", "ground", "regrind", "reground", "sharpen", "face", "dress", "chang", "replac", "swap",
    "fit", "fitted", "renew", "greas", "oil", "lube", "lubricat", "clean", "wash", "hos", "check", "inspect", "measur",
    "adjust", "set", "reset", "level", "balanc", "tighten", "service", "servic", "spin", "spun", "do", "done", "look",
    "finish", "start", "touch", "bother", "record", "instal", "put", "move", "mov", "rais", "lower", "drop", "mow", "top",
];
const DENIES: &[&str] = &[
    "didnt", "havent", "hasnt", "wasnt", "werent", "hadnt", "couldnt", "never", "not", "cudnt", "aint", "dint", "havnt",
    "didn", "forgot", "skipped", "missed",
];
/// Between what denies and the work.
const BETWEEN: &[&str] = &[
    "get", "got", "gotten", "getting", "able", "to", "manage", "managed", "been", "actually", "even", "yet", "quite", "have",
    "had", "has", "time", "the", "a", "chance", "round", "around", "any", "of", "it", "them", "be", "really", "ever", "all",
    "too", "far", "as", "end", "up", "hours", "enough",
];
/// Before what denies, where somebody did not do it.
const WHO: &[&str] = &[
    "i", "we", "he", "she", "they", "you", "me", "us", "lad", "lads", "the", "my", "our", "apprentice", "today", "yesterday",
    "and", "still", "ive", "weve", "just", "so", "sorry", "well", "ok", "but", "have", "has", "did", "had", "was", "were", "no",
    "though", "is", "are", "nobody", "guys", "boys", "guy", "boy", "crew", "then", "actually", "im", "hes", "theyve", "night",
    "this", "morning", "afternoon", "last", "week", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
];
/// What says outright that no time was found for it.
const OUTRIGHT: &[&str] = &[
    "never got round to", "never got around to", "didnt get round to", "didnt get around to", "havent got round to",
    "havent got around to", "havent gotten to", "havent gotten around to", "didnt get to", "never got to", "havent got to", "no time to", "no time for",
    "ran out of time to", "ran out of time for", "ran out of time before", "not got round to", "not got around to",
    "couldnt get to", "couldnt get round to", "did not get round to", "did not get to", "have yet to", "has yet to",
    "didnt have time for", "didnt have time to", "hadnt time to", "hadnt time for", "never had time", "never got a chance",
    "didnt get a chance", "didnt get the chance", "didnt get time", "not had time", "not had a chance", "havent had time", "havent had a chance",
];
/// Work that was done badly was done.
const BADLY: &[&str] = &[
    "enough", "properly", "right", "well", "far", "correctly", "straight", "tight", "since", "anything", "else", "help", "matter",
    "write", "log", "book",
];
/// First words of a question.
const ASKS: &[&str] = &[
    "why", "what", "when", "who", "which", "how", "where", "if", "have", "has", "had", "did", "is", "was", "were", "are", "do",
    "does", "any", "whats", "whos", "anything", "shall", "should", "can", "could", "havent", "hasnt", "didnt",
];
/// Behind first words that may deny: "havent we lapped it".
const ASKED_OF: &[&str] = &["i", "we", "you", "he", "she", "they", "it", "the", "our", "anybody", "anyone", "that", "this"];
/// Deeds that are said of what was not done as well: "ran out of time".
const WEAK: &[&str] = &["ran", "got", "let", "put", "left", "found", "went", "set", "took", "looked", "read", "spin", "done", "did", "ground", "fit"];
/// Words between what denies and the work.
const BETWEEN_MAX: usize = 5;

impl Reader<'_> {
    /// What is told where work was not done, and none that was is told beside it.
    pub(super) fn undone(&self) -> Option<Interpretation> {
        let proof = &self.heard.proof;
        let ails = proof.findings > 0 && proof.purpose.complaint > proof.purpose.record;
        (!ails && nothing_was_done(self.question.text)).then(|| Interpretation {
            understood: NOT_DONE.to_owned(),
            ..self.nothing(CommandKind::Unclear)
        })
    }
}

/// Whether words say that work was not done, and tell of no other.
fn nothing_was_done(text: &str) -> bool {
    let lower = plain(text);
    if lower.contains('?') || asks(&lower) {
        return false;
    }
    let parted = [" but ", " because ", " cos ", " instead", " so ", " and "]
        .iter()
        .fold(lower, |text, sign| text.replace(sign, "; "));
    let clauses: Vec<&str> = parted
        .split([',', ';', ':', '!', '\n'])
        .flat_map(|clause| clause.split(". "))
        .map(str::trim)
        .filter(|clause| !clause.is_empty())
        .collect();
    let done = |clause: &&str| {
        let strong = |word: &str| DEEDS.contains(&word) && !WEAK.contains(&word);
        !is_denied(clause) && clause.split_whitespace().any(strong)
    };
    clauses.iter().any(|clause| is_denied(clause)) && !clauses.iter().any(done)
}

/// "Changed it on 1, didnt do unit 2": first and last token of what was not done.
pub(super) fn denied(tokens: &[Token]) -> Vec<(usize, usize)> {
    let ends = |at: usize| {
        tokens.get(at).is_none_or(|token| {
            let sign = token.kind == Kind::Sign && matches!(token.text.as_str(), "," | ";" | "." | ":");
            sign || matches!(token.text.as_str(), "but" | "and" | "so" | "because")
        })
    };
    let mut out = Vec::new();
    let mut first = 0;
    for at in 0..=tokens.len() {
        if !ends(at) {
            continue;
        }
        let words: Vec<&str> = tokens[first..at].iter().map(|token| token.text.as_str()).collect();
        let clause = words.join(" ").replace(" ' t", "t");
        if at > first && is_denied(&clause) {
            out.push((first, at - 1));
        }
        first = at + 1;
    }
    out
}

fn asks(lower: &str) -> bool {
    let mut words = lower.split_whitespace();
    let (first, second) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
    let open = matches!(first, "why" | "what" | "when" | "who" | "which" | "how" | "where" | "if" | "whats" | "whos");
    open || (ASKS.contains(&first) && ASKED_OF.contains(&second))
}

/// "Didnt change the bedknife", "the bedknife wasnt changed", "not lapped walker 1 yet".
fn is_denied(clause: &str) -> bool {
    let words = clause.split_whitespace().map(|word| word.trim_end_matches('.'));
    let words: Vec<&str> = words.collect();
    if words.iter().any(|word| BADLY.contains(word)) {
        return false;
    }
    if OUTRIGHT.iter().any(|said| clause.contains(said)) {
        return true;
    }
    words.iter().enumerate().filter(|(_, word)| DENIES.contains(word)).any(|(at, denies)| {
        let between = words[at + 1..].iter().take(BETWEEN_MAX).take_while(|word| {
            BETWEEN.contains(word) || WHO.contains(word)
        });
        let work = words.get(at + 1 + between.count()).is_some_and(|word| is_work(word));
        let somebody = words[..at].iter().all(|word| WHO.contains(word) || is_given_name(word));
        // "The bedknife wasnt changed".
        let passive = matches!(*denies, "wasnt" | "hasnt" | "werent" | "havent" | "not" | "never")
            && words[at + 1..].iter().any(|word| is_work(word) && is_past(word))
            && (*denies != "never" || words.get(at + 1) != Some(&"been") || words.contains(&"yet"));
        let skipped = matches!(*denies, "skipped" | "missed") && words[at + 1..].iter().any(|word| {
            is_work(word) && word.ends_with("ing")
        });
        let plain = !matches!(*denies, "skipped" | "missed") && work && somebody;
        plain || skipped || (passive && work)
    })
}

fn is_past(word: &str) -> bool {
    word.ends_with("ed") || matches!(word, "done" | "ground" | "reground" | "set" | "spun" | "put" | "fit" | "reset")
}

/// Whether a word is one of the work, in any of its forms.
fn is_work(word: &str) -> bool {
    let forms = ["", "e", "s", "ed", "ing", "d", "ped", "ping", "ted", "ting", "es", "ning", "ling", "led", "ched"];
    WORK.iter().any(|stem| {
        word.strip_prefix(stem).is_some_and(|end| forms.contains(&end))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_was_not_done_is_none() {
        for words in [
            "didnt sharpen the rotary blades today, ran out of time",
            "didn't change the bedknife on tees 2 today",
            "we havent lapped walker 1 yet",
            "never got round to greasing the triplex today",
            "wasnt able to grind walker 2",
            "the bedknife on 3 wasnt changed",
            "the blades havent been sharpened yet",
            "no time to lap the triplex",
            "Kev didnt grind unit 2 in the end",
            "forgot to grease the fairway five",
            "still not changed the belt",
            "ran out of time to check the tyres on the fairway five",
            "skipped greasing the walkers this week",
            "i was going to grind walker 1 but didnt get round to it",
        ] {
            assert!(nothing_was_done(words), "{words}");
        }
        for words in [
            "changed the bedknife on 1, didnt do 2",
            "the reel didnt cut this morning",
            "didnt grind it enough, still ragged",
            "why didnt they change the bedknife",
            "havent we lapped walker 1",
            "lapped walker 1",
            "the belt is not turning",
            "which reels havent been ground this year",
            "I did the belt friday, forgot to write it down",
            "it has not been right since it was ground",
        ] {
            assert!(!nothing_was_done(words), "{words}");
        }
    }
}
