//! Which words of a broad Scots voice or of a log book are plain words here: "seven hunner an twa",
//! "quarter o an oor", "grns tri 1"?
//! Deliberately absent: words of faults, which the lexicon has.

use super::deeds::DEEDS;
use crate::domain::language::text::{Kind, Token, stem};

/// As said, and as meant (common practice, no source).
#[rustfmt::skip]
const MEANT: &[(&str, &str)] = &[
    ("hunner", "hundred"), ("hunder", "hundred"), ("hunnert", "hundred"), ("thoosand", "thousand"),
    ("oor", "hour"), ("oors", "hours"), ("twa", "two"), ("wan", "one"), ("yin", "one"),
    ("yins", "ones"), ("hauf", "half"), ("doon", "down"), ("oot", "out"), ("aboot", "about"),
    ("ower", "over"), ("nae", "no"), ("wis", "was"), ("whit", "what"), ("whits", "whats"),
    ("atween", "between"), ("ahint", "behind"), ("gaun", "going"), ("gied", "gave"),
    ("keekit", "looked"), ("sittin", "sitting"), ("roon", "round"), ("tae", "to"), ("noo", "now"),
    ("auchteen", "eighteen"), ("fower", "four"), ("nane", "none"), ("birling", "turning"),
    ("afore", "before"), ("maist", "most"), ("whaur", "where"), ("frae", "from"),
    ("waur", "worse"), ("oan", "on"), ("staun", "stand"),
    ("qtr", "quarter"), ("wi", "with"),
    // As typed in a log book.
    ("tri", "triplex"), ("tris", "triplexes"), ("fwy", "fairway"), ("fwys", "fairways"),
    ("grn", "green"), ("grns", "greens"), ("btm", "bottom"), ("eng", "engine"), ("hts", "heights"),
    ("brg", "bearing"), ("brgs", "bearings"), ("mtr", "meter"), ("rplcd", "replaced"),
    ("ctr", "centre"), ("ctrs", "centres"), ("rlr", "roller"), ("rlrs", "rollers"), ("hgr", "hanger"),
    ("bk", "bedknife"), ("bks", "bedknives"),
    ("yest", "yesterday"), ("yday", "yesterday"), ("yesty", "yesterday"), ("yesterdy", "yesterday"),
    ("yestaday", "yesterday"), ("ystday", "yesterday"),
    ("wk", "week"), ("wks", "weeks"), ("yr", "year"), ("yrs", "years"), ("mth", "month"),
    ("mths", "months"), ("sept", "september"), ("hrs", "hours"), ("b4", "before"),
    // As typed in haste.
    ("owt", "anything"), ("nowt", "nothing"), ("summat", "something"), ("wen", "when"),
    ("wot", "what"), ("wots", "whats"), ("shd", "should"), ("shud", "should"), ("wd", "would"),
    ("em", "them"), ("diff", "difference"), ("avg", "average"), ("ave", "average"),
];

/// Puts such words into plain ones; "an" after a hundred is "and", "o" before "the" is "of".
pub fn plain(tokens: &mut [Token]) {
    for at in 0..tokens.len() {
        if tokens[at].kind != Kind::Word {
            continue;
        }
        let before = at.checked_sub(1).map_or("", |before| tokens[before].text.as_str());
        let before = if before == "-" && at > 1 { tokens[at - 2].text.as_str() } else { before };
        let next = tokens.get(at + 1).map_or("", |next| next.text.as_str());
        let meant = match tokens[at].text.as_str() {
            "an" if matches!(before, "hundred" | "thousand") => Some("and"),
            // "4.88 L 4.87 R".
            side @ ("l" | "r") if beside_number(tokens, at) => {
                Some(if side == "l" { "left" } else { "right" })
            }
            "pit" if at == 0 && matches!(next, "a" | "the" | "new" | "in" | "on") => Some("put"),
            "o" if matches!(next, "the" | "a" | "an" | "'") => Some("of"),
            // "N the one before", "3.5 n 3.2", "hit a stone w unit 2".
            "n" if is_plain(tokens, at + 1) => Some("and"),
            "w" if at > 0 && tokens.get(at + 1).is_some_and(|next| next.kind == Kind::Word) => {
                Some("with")
            }
            // "On t'bench".
            "t" if next == "'" => Some("the"),
            "trip" if is_machine(tokens, at) => Some("triplex"),
            said => {
                let known = MEANT.iter().find(|(known, _)| *known == said);
                known.map(|(_, meant)| *meant).or_else(|| deed_meant(said))
            }
        };
        if let Some(meant) = meant {
            say(&mut tokens[at], meant);
        }
    }
}

/// "The trip", "trip 2", "greens trip": a mower of three units, and nothing to fall over.
fn is_machine(tokens: &[Token], at: usize) -> bool {
    const LEADS: &[&str] = &["the", "greens", "green", "fairway", "tees", "our", "my", "on", "tee"];
    const OTHER: &[&str] = &["hazard", "switch", "wire", "over", "out", "to", "up", "lever", "bar", "on"];
    const BEHIND: &[&str] = &["bench", "number", "unit", "no", "reel", "reels", "units", "heights", "groomer"];
    let next = tokens.get(at + 1);
    let of = |words: &[&str]| next.is_some_and(|next| words.contains(&next.text.as_str()));
    let numbered = of(BEHIND) || next.is_some_and(|next| next.kind == Kind::Number);
    let other = of(OTHER);
    let led = at > 0 && LEADS.contains(&tokens[at - 1].text.as_str());
    numbered || (led && !other)
}

/// A word or a number stands there.
fn is_plain(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| token.kind != Kind::Sign)
}

/// A letter with a number right before it, and parted from it.
fn beside_number(tokens: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).map(|before| &tokens[before]);
    before.is_some_and(|before| before.kind == Kind::Number && before.end < tokens[at].start)
}

/// "Sharpend", "fited": a deed as it is typed without one of its letters.
fn deed_meant(said: &str) -> Option<&'static str> {
    if said.len() < 5 || DEEDS.contains(&said) {
        return None;
    }
    let ened = said.strip_suffix("end").map(|begun| format!("{begun}ened"));
    let doubled = || {
        let begun = said.strip_suffix("ed")?;
        let letter = begun.chars().last().filter(|letter| !"aeiou".contains(*letter))?;
        Some(format!("{begun}{letter}ed"))
    };
    // "Dropd", "liftd".
    let short = || {
        let begun = said.strip_suffix('d')?;
        let letter = begun.chars().last()?;
        let doubled = format!("{begun}{letter}ed");
        let known = DEEDS.contains(&doubled.as_str());
        Some(if known { doubled } else { format!("{begun}ed") })
    };
    let meant = ened.or_else(doubled).or_else(short)?;
    DEEDS.iter().find(|deed| **deed == meant).copied()
}

/// Makes a token the word that is meant.
pub fn say(token: &mut Token, meant: &str) {
    meant.clone_into(&mut token.text);
    token.stem = stem(meant);
    token.kind = Kind::Word;
}

/// As it is typed with a figure in it, and as meant.
const TEXTED: &[(&str, &str, &str)] = &[
    ("2", "day", "today"), ("2", "nite", "tonight"), ("2", "night", "tonight"),
    ("4", "got", "forgot"), ("2", "gether", "together"), ("b", "4", "before"),
];

/// "2day": a figure that is read as a syllable of the word it touches.
pub fn texted(tokens: &mut Vec<Token>) {
    let mut at = 0;
    while at + 1 < tokens.len() {
        let touches = tokens[at].end == tokens[at + 1].start;
        let (figure, rest) = (tokens[at].text.as_str(), tokens[at + 1].text.as_str());
        let meant = TEXTED.iter().find(|(one, two, _)| touches && *one == figure && *two == rest);
        if let Some((_, _, meant)) = meant {
            tokens[at].end = tokens.remove(at + 1).end;
            say(&mut tokens[at], meant);
        }
        at += 1;
    }
}

/// What a bedknife is called in two words (common practice, no source).
const BEDKNIVES: &[&str] = &["bed", "bottom", "sole", "flat", "ledger"];
/// Of these machines a flat blade is one that turns.
const FLAT_BLADES: &[&str] = &[
    "rotary", "rotaries", "deck", "decks", "spindle", "mulching", "lift", "balance", "balanced", "balancing", "zero",
    "outfront", "flail", "pedestrian", "verticut", "rough",
];
/// Beside these it is the one under a reel.
const OF_REELS: &[&str] = &[
    "reel", "reels", "walker", "walkers", "triplex", "unit", "units", "cylinder", "cylinders", "bedbar", "quint", "gang",
];

/// "Bed blade", "the flat blade": one word for it.
pub fn bedknives(tokens: &mut Vec<Token>) {
    let said = |list: &[&str]| tokens.iter().any(|token| list.contains(&token.text.as_str()));
    // "What the flat blade bolts to" is a bar.
    let bolts = tokens.windows(2).any(|two| {
        matches!(two[0].text.as_str(), "bolts" | "screws") && two[1].text == "to"
    });
    let turns = said(FLAT_BLADES) || !(bolts || said(OF_REELS));
    let mut at = 0;
    while at + 1 < tokens.len() {
        let (first, next) = (tokens[at].text.as_str(), tokens[at + 1].text.as_str());
        let meant = match next {
            "blade" | "knife" => Some("bedknife"),
            "blades" | "knives" => Some("bedknives"),
            _ => None,
        };
        let named = BEDKNIVES.contains(&first) && !(first == "flat" && turns);
        let together = tokens[at].segment == tokens[at + 1].segment;
        if let Some(meant) = meant.filter(|_| named && together) {
            tokens[at].end = tokens.remove(at + 1).end;
            say(&mut tokens[at], meant);
        }
        at += 1;
    }
}

/// What the brush of a roller is called by what it looks like (common practice, no source).
const BRISTLY: &[&str] = &["bristle", "bristles", "bristly", "brush"];

/// "The bristle roller": the roller brush.
pub fn roller_brushes(tokens: &mut [Token]) {
    for at in 1..tokens.len() {
        if tokens[at].text == "roller" && BRISTLY.contains(&tokens[at - 1].text.as_str()) {
            say(&mut tokens[at - 1], "roller");
            say(&mut tokens[at], "brush");
        }
    }
}

/// What is said while thinking.
const FILLERS: &[&str] = &["uh", "uhh", "uhm", "um", "umm", "er", "err", "erm", "ehm", "hmm", "ehh"];

/// Takes out what is only said while thinking, with the commas around it: "at, er, 5 mph".
pub fn without_fillers(tokens: &mut Vec<Token>) {
    let comma = |token: Option<&Token>| token.is_some_and(|token| token.text == ",");
    let mut at = 0;
    while at < tokens.len() {
        // "Is like .030".
        let like = at > 0 && tokens[at].text == "like" && matches!(tokens[at - 1].text.as_str(), "is" | "was");
        if like && tokens.get(at + 1).is_some_and(|next| next.kind == Kind::Number) {
            tokens.remove(at);
            continue;
        }
        if tokens[at].kind != Kind::Word || !FILLERS.contains(&tokens[at].text.as_str()) {
            at += 1;
            continue;
        }
        let listed = at >= 2 && tokens[at - 2].kind == Kind::Number;
        let both = at > 0 && comma(tokens.get(at - 1)) && comma(tokens.get(at + 1));
        let first = if both && !listed { at - 1 } else { at };
        let last = if both || (at == 0 && comma(tokens.get(1))) { at + 1 } else { at };
        let joined = first.checked_sub(1).map(|before| tokens[before].segment);
        let own = tokens.get(last + 1).map(|next| (next.sentence, next.segment));
        tokens.drain(first..=last);
        if let (Some(segment), Some((sentence, old))) = (joined.filter(|_| both && !listed), own) {
            for token in tokens[first..].iter_mut() {
                if token.sentence == sentence && token.segment == old {
                    token.segment = segment;
                }
            }
        }
        at = first;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::said::numbers::quantities;
    use crate::domain::language::text::tokens;

    #[test]
    fn what_is_said_while_thinking_is_no_word() {
        // (as said, as heard): our own sentences.
        let rows: &[(&str, &str)] = &[
            ("at, er, 5 mph", "at 5 mph"),
            ("uh, set unit 2 to 3.5", "set unit 2 to 3.5"),
            ("read 3.1, um, 3.2 and er 3.3", "read 3.1 , 3.2 and 3.3"),
            ("an 11 blade um reel erm", "an 11 blade reel"),
            ("one turn is like .030", "one turn is .030"),
        ];
        for (said, heard) in rows {
            let mut all = tokens(said);
            without_fillers(&mut all);
            let words: Vec<&str> = all.iter().map(|token| token.text.as_str()).collect();
            assert_eq!(words.join(" "), *heard, "{said}");
        }
        let mut all = tokens("at, er, 5 mph");
        without_fillers(&mut all);
        assert!(all.windows(2).all(|pair| pair[0].segment == pair[1].segment));
    }

    #[test]
    fn broad_words_make_the_numbers_they_mean() {
        // (words, value, unit): numerals as Scots says them, from memory; sentences of our own.
        let rows: &[(&str, f64, Option<&str>)] = &[
            ("five hunner an twa oors", 502.0, Some("h")),
            ("eighteen hunner", 1_800.0, None),
            ("quarter o an oor", 0.25, Some("h")),
            ("three thoosand", 3_000.0, None),
        ];
        for (text, value, unit) in rows {
            let mut said = tokens(text);
            plain(&mut said);
            let found = quantities(&said);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!((found[0].value - value).abs() < 1e-9, "{text}: {found:?}");
            assert_eq!(found[0].unit, *unit, "{text}");
        }
    }

    #[test]
    fn a_part_is_heard_by_what_it_is_called() {
        for (words, wanted) in [
            ("changed the bed blade on unit 2", "changed the bedknife on unit 2"),
            ("the flat blade has a nick on unit 2", "the bedknife has a nick on unit 2"),
            ("how do i sharpen a flat blade", "how do i sharpen a flat blade"),
            ("new flat blades on the pedestrian mower", "new flat blades on the pedestrian mower"),
            ("changed all three flat blades on the front mower", "changed all three flat blades on the front mower"),
            ("changed the flat blade on walker 1", "changed the bedknife on walker 1"),
            ("new flat blades on the rotary", "new flat blades on the rotary"),
            ("how many bottom blades", "how many bedknives"),
            ("tap the deck flat, blades on", "tap the deck flat , blades on"),
            ("took the bristle roller off", "took the roller brush off"),
        ] {
            let mut said = tokens(words);
            bedknives(&mut said);
            roller_brushes(&mut said);
            let told: Vec<&str> = said.iter().map(|one| one.text.as_str()).collect();
            assert_eq!(told.join(" "), wanted);
        }
    }

    #[test]
    fn a_trip_is_a_triplex_where_a_machine_can_stand() {
        for (words, wanted) in [
            ("ground trip 2 today", true),
            ("the trip's ribbing", true),
            ("on the trip number 1", true),
            ("a trip hazard by the door", false),
            ("the trip switch went", false),
        ] {
            let mut said = tokens(words);
            plain(&mut said);
            assert_eq!(said.iter().any(|one| one.text == "triplex"), wanted, "{words}");
        }
    }
}
