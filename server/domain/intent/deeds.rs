//! What do people do to machines, and who did it?
//! Deliberately absent: the kind of record that a deed makes (see `knowledge/intent/records.txt`).

use super::doers;
use super::people::is_given_name;
use super::spoken::Spoken;
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::text::{Kind, stem};

/// How a part is found that is looked at or worked on.
#[rustfmt::skip]
pub const FOUND_SO: &[&str] = &[
    "nick", "nicks", "nicked", "rough", "worn", "dry", "loose", "slack", "tight", "stiff", "notchy", "rusty",
    "pitted", "burr", "burred", "dent", "dented", "rounded", "dull", "blunt", "chipped", "gritty", "caked",
    "packed", "dirty", "seized", "play", "ding", "dings", "scored", "glazed", "frayed", "cupped",
];
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
    "scraped",
    "tighten",
    "washed", "blown", "blew", "oiled", "drained", "flushed", "refilled", "topped", "filled",
    "repacked", "resealed", "regreased", "retorqued", "torqued", "straightened", "shortened",
    "patched", "plugged", "taped", "bled", "charged", "serviced", "stripped", "squared", "hosed",
    "brushed", "bolted", "removed", "swopped", "exchanged", "reversed", "flipped", "rotated",
    "inflated", "sealed", "aligned", "realigned", "centred", "centered", "trimmed", "fettled",
    "overhauled", "refurbished", "refaced", "honed", "stoned", "gapped", "zeroed", "calibrated",
    "finished", "completed", "lubed", "lubricated", "soldered", "rewired", "rejoined", "recut",
    "unblocked", "unjammed", "emptied", "reseated", "seated",
];

/// Something done, or the adjuster moved: "two flats in".
pub fn is_deed(spoken: &Spoken, at: usize) -> bool {
    const MOVES: &[&str] = &["flat", "flats", "click", "clicks", "notch", "notches"];
    const COUNTS: &[&str] = &["a", "one", "two", "three", "four", "five", "six", "half"];
    let counted = || {
        at > 0 && (spoken.words[at - 1].stem == NUMBER || COUNTS.contains(&spoken.word(at - 1)))
    };
    let done = DEEDS.contains(&spoken.word(at)) && !sheds(spoken, at);
    done || (MOVES.contains(&spoken.word(at)) && counted())
}

/// What a machine loses: "dropped oil", "left a trail of fluid".
pub fn sheds(spoken: &Spoken, at: usize) -> bool {
    const SHED: &[&str] = &["dropped", "lost", "left", "leaked", "shed", "threw", "dumped"];
    const MATTER: &[&str] = &["oil", "fluid", "fuel", "petrol", "diesel", "clumps", "clippings"];
    let last = (at + REACH_OF_MATTER).min(spoken.words.len().saturating_sub(1));
    SHED.contains(&spoken.word(at))
        && (at + 1..=last).any(|next| MATTER.contains(&spoken.word(next)))
}

/// What is lost stands so near.
const REACH_OF_MATTER: usize = 4;

/// Verbs that only a person before them does, beside the deeds.
const DOING: &[&str] = &[
    "has", "have", "driving", "drove", "helped", "says", "reckons", "doing", "mowing", "cutting",
];
/// Words with a capital at the beginning of a clause that are no names.
const NO_NAMES: &[&str] = &[
    "we", "i", "he", "she", "they", "it", "who", "the", "just", "also", "all", "both", "prism",
    "today", "yesterday", "tonight", "done", "fixed", "sorted", "number", "monday", "tuesday",
    "wednesday", "thursday", "friday", "saturday", "sunday",
];

/// "By Sam", "Sam changed ...", "Sam did it", "I'm Sam", "Sam's time", "- Sam": a name with a
/// capital that is no word of the trade (`known`, by its stem) and no part of the names of things
/// (`taken`).
pub fn done_by(
    spoken: &Spoken,
    taken: &[(usize, usize)],
    known: &dyn Fn(&str) -> bool,
) -> String {
    if let Some(several) = doers::together(spoken, ROLES) {
        return several;
    }
    let tokens = &spoken.tokens;
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let segment = |at: usize| tokens.get(at).map(|token| token.segment);
    let name = |at: usize| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Word)?;
        let written = spoken.text.get(token.start..token.end)?;
        let bare = written.split(['\'', '\u{2019}']).next().unwrap_or(written);
        let capital = bare.chars().next()?.is_uppercase() || is_given_name(&bare.to_lowercase());
        let lower = bare.chars().count() > 1 && bare.chars().skip(1).all(char::is_lowercase);
        let thing = taken.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let word = NO_NAMES.contains(&text(at)) || DEEDS.contains(&text(at));
        (capital && lower && !thing && !word).then(|| (with_capital(bare), token))
    };
    let looked = |at: usize| {
        text(at) == "had" && text(at + 1) == "a" && matches!(text(at + 2), "look" | "check" | "go")
    };
    let deed = |at: usize| {
        let was = text(at) == "was" && DOING.contains(&text(at + 1));
        DEEDS.contains(&text(at)) || DOING.contains(&text(at)) || looked(at) || was
    };
    // Not the repaired stem: a name may be near a word of the trade.
    let stranger = |at: usize| {
        let (written, token) = name(at)?;
        let it = deed(at + 1) && matches!(text(at + 2), "it" | "them" | "this" | "that");
        let given = is_given_name(&token.text);
        (it || given || !known(&stem(&token.text))).then_some(written)
    };
    let all = 0..tokens.len();
    let by = all.clone().skip(1).filter(|at| text(at - 1) == "by").find_map(|at| Some(name(at)?.0));
    let doing = || {
        all.clone().find_map(|at| {
            let joins = at > 0 && matches!(text(at - 1), "and" | "that");
            let starts = at == 0 || segment(at - 1) != segment(at) || joins;
            let acts = deed(at + 1) && segment(at) == segment(at + 1);
            let deeds = starts && acts && !text(at + 1).eq("spin");
            let spins = starts && text(at + 1) == "spin" && deed(at + 2);
            (deeds || spins).then(|| stranger(at))?
        })
    };
    // "Wayne and me changed it".
    let together = || {
        all.clone().find_map(|at| {
            let starts = at == 0 || segment(at - 1) != segment(at);
            let and = matches!(text(at + 1), "and" | "&") && deed(at + 3) && starts;
            let first = if and { stranger(at)? } else { return None };
            Some(match stranger(at + 2) {
                Some(second) => format!("{first} and {second}"),
                None => first,
            })
        })
    };
    let time = || {
        let owned = |at: &usize| matches!(text(at + 1), "time" | "work" | "labour" | "labor");
        all.clone().filter(owned).find_map(stranger)
    };
    let alone = || {
        all.clone().rev().find_map(|at| {
            let sign = |at: usize| tokens.get(at).is_none_or(|token| token.kind == Kind::Sign);
            let begins = at > 0 && (sign(at - 1) || segment(at - 1) != segment(at));
            (begins && (sign(at + 1) || segment(at + 1) != segment(at))).then(|| stranger(at))?
        })
    };
    // "I'm Sam" beside what was done.
    let introduced = || {
        let am = |at: usize| text(at - 2) == "i" && text(at - 1) == "am";
        all.clone().skip(2).filter(|at| am(*at)).find_map(|at| Some(name(at)?.0))
    };
    // "The new lad called Tam swapped them".
    let called = || {
        let is = |at: &usize| matches!(text(*at - 1), "called" | "named");
        all.clone().skip(1).filter(is).find_map(stranger)
    };
    let named = by.or_else(together).or_else(doing).or_else(called);
    let named = named.or_else(introduced).or_else(time).or_else(alone);
    named.or_else(|| by_role(spoken, taken)).unwrap_or_default()
}

/// A name as names are written.
fn with_capital(word: &str) -> String {
    let mut letters = word.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    first + letters.as_str()
}

/// Who people are in a workshop, by what they are called there.
const ROLES: &[&str] = &[
    "apprentice", "trainee", "student", "foreman", "mechanic", "technician", "deputy", "assistant",
    "greenkeeper", "contractor", "lad", "boss", "seasonal", "learner", "class", "group", "students",
    "learners", "lads", "apprentices", "trainees", "crew",
];
/// Words before such a name that belong to it.
const OF_ROLES: &[&str] = &["head", "first", "second", "new", "young", "other"];

/// Whether a word says what somebody is there.
pub fn is_role(word: &str) -> bool {
    ROLES.contains(&word)
}

/// "Apprentice did it", "by bench one", "(bench 2)": somebody by what they are called in the shop.
fn by_role(spoken: &Spoken, taken: &[(usize, usize)]) -> Option<String> {
    let tokens = &spoken.tokens;
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let free = |at: usize| !taken.iter().any(|(first, last)| (*first..=*last).contains(&at));
    let before = |at: usize| at.checked_sub(1).map_or("", text);
    // "Told the apprentice", "for the lad": somebody else did it.
    let other = |at: usize| {
        let from = at.saturating_sub(3);
        (from..at).any(|at| matches!(text(at), "told" | "for" | "with" | "showed" | "to" | "ask"))
    };
    (0..tokens.len()).filter(|at| free(*at)).find_map(|at| {
        let count = text(at + 1);
        let bench = text(at) == "bench"
            && (matches!(count, "one" | "two" | "three" | "four") || matches!(count, "1" | "2" | "3" | "4"))
            && !matches!(text(at + 2), "mm" | "." | "in");
        if bench {
            let word = match count {
                "1" => "one",
                "2" => "two",
                "3" => "three",
                "4" => "four",
                other => other,
            };
            return Some(format!("bench {word}"));
        }
        if !ROLES.contains(&text(at)) || other(at) {
            return None;
        }
        // "Sam's group".
        let owner = at.checked_sub(1).and_then(|at| {
            let token = &tokens[at];
            let end = tokens.get(at + 1).map_or(token.end, |next| next.start);
            let written = spoken.text.get(token.start..end)?.trim();
            let owns = written.ends_with("'s") || written.ends_with("\u{2019}s");
            let capital = written.chars().next().is_some_and(char::is_uppercase);
            (owns && capital).then(|| format!("{written} {}", text(at + 1)))
        });
        if owner.is_some() {
            return owner;
        }
        let led = OF_ROLES.contains(&before(at)).then(|| format!("{} {}", before(at), text(at)));
        Some(led.unwrap_or_else(|| text(at).to_owned()))
    })
}
