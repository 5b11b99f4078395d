//! What do people do to machines, and who did it?
//! Deliberately absent: the kind of record that a deed makes (see `knowledge/intent/records.txt`).

use super::spoken::Spoken;
use crate::domain::language::text::Kind;

/// What people do to machines, in the past tense.
pub const DEEDS: &[&str] = &[
    "backlapped",
    "spin",
    "lapped",
    "ground",
    "reground",
    "sharpened",
    "dressed",
    "filed",
    "faced",
    "raised",
    "lowered",
    "lifted",
    "dropped",
    "set",
    "reset",
    "adjusted",
    "levelled",
    "leveled",
    "tightened",
    "slackened",
    "loosened",
    "moved",
    "pulled",
    "pushed",
    "replaced",
    "renewed",
    "fitted",
    "refitted",
    "installed",
    "changed",
    "swapped",
    "put",
    "inspected",
    "checked",
    "looked",
    "went",
    "measured",
    "timed",
    "miked",
    "fixed",
    "sorted",
    "cured",
    "mended",
    "repaired",
    "logged",
    "ran",
    "mowed",
    "did",
    "took",
    "brought",
    "nipped",
    "cleaned",
    "greased",
    "balanced",
    "trued",
    "shimmed",
    "packed",
    "turned",
    "gave",
    "wound",
    "found",
    "closed",
    "opened",
    "eased",
    "tensioned",
    "pumped",
    "touched",
    "spun",
    "relief",
    "backed",
    "let",
    "read",
    "prismed",
    "done",
    "fit",
    "knocked",
    "freed",
    "rebuilt",
];

/// "By Sam", "Sam changed ...": a name with a capital that is no word of the trade.
pub fn done_by(spoken: &Spoken) -> String {
    let tokens = &spoken.tokens;
    let name = |at: usize| {
        let token = tokens.get(at)?;
        let written = spoken.text.get(token.start..token.end)?;
        let capital = written.chars().next()?.is_uppercase() && token.kind == Kind::Word;
        (capital && written.len() > 1 && written.chars().skip(1).all(char::is_lowercase))
            .then(|| written.to_owned())
    };
    let deed = |at: usize| tokens.get(at).is_some_and(|token| DEEDS.contains(&token.text.as_str()));
    for at in 1..tokens.len() {
        if tokens[at - 1].text == "by"
            && let Some(name) = name(at)
        {
            return name;
        }
    }
    let starts = |at: usize| at == 0 || tokens[at - 1].sentence != tokens[at].sentence;
    let known = |at: usize| {
        let text = tokens[at].text.as_str();
        DEEDS.contains(&text)
            || matches!(
                text,
                "we" | "unit"
                    | "groomer"
                    | "deck"
                    | "brush"
                    | "no"
                    | "prism"
                    | "reel"
                    | "bedknife"
                    | "he"
                    | "she"
                    | "they"
                    | "it"
                    | "who"
                    | "spin"
                    | "relief"
                    | "all"
                    | "both"
                    | "greens"
                    | "fairway"
                    | "tees"
                    | "walker"
                    | "triplex"
                    | "mower"
                    | "roller"
                    | "rear"
                    | "front"
                    | "left"
                    | "right"
                    | "the"
                    | "just"
                    | "also"
            )
    };
    for at in 0..tokens.len() {
        let has = usize::from(
            tokens.get(at + 1).is_some_and(|t| matches!(t.text.as_str(), "has" | "have")),
        );
        if starts(at)
            && deed(at + 1 + has)
            && !known(at)
            && let Some(name) = name(at)
        {
            return name;
        }
    }
    String::new()
}
