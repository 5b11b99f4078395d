//! Which machines do words name that no list has: "the bowls mower", "Auld Jessie", "forty-eight
//! inch deck"? Deliberately absent: names of parts and units, and what the shop calls its own.

use super::deeds::DEEDS;
use super::subject_words::{CLOCKS, HEADS, KINDS_NAMED, NO_HEADINGS, NO_NAMES, PARTS, TELLING};
use crate::domain::language::text::{Kind, Token, stem};
use crate::domain::said::numerals::below_hundred;
use crate::domain::said::places::place_at;
use crate::domain::said::said_units::unit_at;

/// What people call a machine that they know well, before its name.
const PET: &[&str] = &[
    "old", "auld", "ol", "big", "wee", "little", "young", "poor", "uncle", "aunt", "auntie", "granny",
    "grandad", "lady", "black", "mad", "lazy", "rusty", "smoky", "long",
];

/// What an old machine is called without a name of its own.
const PET_NOUNS: &[&str] = &[
    "girl", "lady", "lass", "beast", "faithful", "workhorse", "warhorse", "brute", "dear", "bus",
];

fn word(tokens: &[Token], at: usize) -> &str {
    tokens.get(at).map_or("", |token| token.text.as_str())
}

/// Inches that decks are as wide as (common practice, no source).
pub fn is_deck_size(size: f64) -> bool {
    (30.0..=144.0).contains(&size)
}

/// Inches that a number in two words before nothing else is taken for (common practice, no source).
const WIDTHS: &[f64] = &[42.0, 48.0, 52.0, 54.0, 62.0, 72.0];

/// Tokens of a size before a kind: "72 deck", "60 inch", "72\"", "six-foot", "forty-eight inch".
pub fn size_at(tokens: &[Token], at: usize) -> usize {
    let spelled = || below_hundred(tokens, at).filter(|(size, _)| *size > 3.0);
    let figures = tokens[at].text.parse().ok().map(|size: f64| (size, at));
    let model = figures.or_else(spelled).filter(|(size, _)| is_deck_size(*size));
    if let Some((_, last)) = model
        && matches!(word(tokens, last + 1), "deck" | "rotary")
    {
        return last + 1 - at;
    }
    let last = match tokens[at].kind {
        Kind::Number => Some(at),
        _ => spelled().map(|(_, last)| last),
    };
    let Some(last) = last else { return 0 };
    let unit =
        matches!(word(tokens, last + 1), "inch" | "in" | "\"" | "foot" | "ft" | "'" | "-");
    let kind = (last + 2..last + 5)
        .any(|next| matches!(word(tokens, next), "deck" | "rotary" | "mower" | "gang"));
    if unit && kind { last + 1 - at } else { 0 }
}

/// "The bowls mower", "the fine turf machine": words of no meaning here between an article, or the
/// beginning, and a kind of machine. How many, at most two.
pub fn strange_words(tokens: &[Token], at: usize) -> usize {
    let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
    let article = matches!(before, "the" | "our" | "my" | "her" | "his" | "their");
    // ", academy mower, yesterday": a clause of its own.
    let ends = |at: usize| tokens.get(at).is_none_or(|next| next.kind == Kind::Sign);
    // "Relief grind u1 contract triplex, ...".
    let figure = at.checked_sub(1).is_some_and(|before| tokens[before].kind == Kind::Number);
    let own = before == "," || figure;
    let own = own && ends(at + 2) && !super::dates::is_day_name(word(tokens, at));
    let dash = before == "-" && tokens[at - 1].end < tokens[at].start;
    let begins = at == 0 || dash || matches!(before, "." | ":" | ";");
    if !(article || begins || own) || !is_strange(tokens, at) {
        return 0;
    }
    let kind = |at: usize| {
        let ride_on = word(tokens, at) == "ride" && matches!(word(tokens, at + 1), "-" | "on");
        KINDS_NAMED.contains(&word(tokens, at)) || ride_on
    };
    // "The members' triplex".
    let owned = word(tokens, at + 1) == "'";
    // "The brushes on triplex 3" is no name of three words.
    let telling = |at: usize| {
        let link = matches!(word(tokens, at), "on" | "in" | "behind" | "off" | "of");
        !link && (is_strange(tokens, at) || TELLING.contains(&word(tokens, at)))
    };
    if kind(at + 1) {
        1
    } else if owned && kind(at + 2) {
        2
    } else if article && telling(at + 1) && kind(at + 2) {
        2
    } else {
        0
    }
}

/// "Five gang", "7-gang": tokens of a count before it, which are part of its name.
pub fn gang_of(tokens: &[Token], at: usize) -> usize {
    let count = matches!(
        word(tokens, at),
        "three" | "five" | "seven" | "nine" | "eleven" | "3" | "5" | "7" | "9" | "11"
    );
    let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
    let dash = usize::from(word(tokens, at + 1) == "-");
    let gang = word(tokens, at + 1 + dash) == "gang";
    let spelled = tokens[at].kind == Kind::Word;
    let listed = matches!(before, "and" | ",") && !(spelled && before == ",");
    let unit = matches!(before, "unit" | "units" | "number" | "head" | "reel") || listed;
    if count && gang && !unit { 1 + dash } else { 0 }
}

/// What a gang belongs to, before how many units it has: "the park seven", "the blue five".
const GANGS_OF: &[&str] = &[
    "park", "parks", "school", "church", "estate", "sports", "club", "racecourse", "polo",
    "cricket", "football", "pitches", "lawns", "cemetery", "big", "old", "blue", "red", "yellow",
    "orange", "white", "black", "grey", "silver", "trailed", "towed", "stadium", "training",
];
/// What is said of a machine right after its name, beside deeds.
pub(super) const SAID_OF_GANG: &[&str] = &[
    "is", "was", "has", "had", "did", "ran", "today", "yesterday", "this", "last", "on", "at", "to",
    "reads", "shows", "says", "stands", "fixed", "sorted", "cured", "got", "with", "and", "since",
];

/// "The contract seven", ", stadium five,": a gang named by how many units it has, without the word
/// for it. Tokens of its name.
pub fn counted_gang(tokens: &[Token], at: usize) -> usize {
    const COUNTS: &[&str] = &["three", "five", "seven", "nine", "eleven"];
    let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
    let article = matches!(before, "the" | "our" | "my");
    let (begins, first) = (at > 0 && before == ",", at == 0);
    let count = COUNTS.contains(&word(tokens, at + 1));
    let whole = tokens.get(at + 1).is_some_and(|next| next.segment == tokens[at].segment);
    let named = is_strange(tokens, at) || GANGS_OF.contains(&word(tokens, at));
    let next = tokens.get(at + 2);
    let sign = next.is_none_or(|next| next.kind == Kind::Sign && !matches!(&*next.text, "/" | "-"));
    let said = || {
        let next = word(tokens, at + 2);
        let owned = first && OWNED.contains(&next);
        owned || SAID_OF_GANG.contains(&next) || DEEDS.contains(&next)
    };
    let told = ((article || first) && (sign || said())) || (begins && sign);
    if count && whole && named && told { 2 } else { 0 }
}

/// A word that neither tells of machines nor of work.
pub fn is_strange(tokens: &[Token], at: usize) -> bool {
    let Some(token) = tokens.get(at).filter(|token| token.kind == Kind::Word) else {
        return false;
    };
    let said = token.text.as_str();
    let verb = said.len() > 4 && (said.ends_with("ed") || said.ends_with("ing"));
    let placed = place_at(tokens, at).is_some() || below_hundred(tokens, at).is_some();
    said.len() > 2 && !verb && !placed && !is_known(said)
}

/// Whether a word tells of machines, parts or work.
pub fn is_known(said: &str) -> bool {
    let known = [TELLING, HEADS, PARTS, NO_HEADINGS, NO_NAMES, DEEDS];
    known.iter().any(|list| list.contains(&said))
}

/// "Old Bess", "Auld Jessie", "wee Maggie": a pet word and a name with a capital, from a
/// token on.
pub fn pet_name(text: &str, tokens: &[Token], from: usize) -> Option<(usize, usize)> {
    (from..tokens.len().saturating_sub(1)).find_map(|at| {
        let letter = text.get(tokens[at + 1].start..)?.chars().next()?;
        let big = text.get(tokens[at].start..)?.chars().next()?.is_uppercase();
        let second = word(tokens, at + 1);
        // "Big Red": both with a capital, and no kind of machine.
        let colour = big && TELLING.contains(&second) && !HEADS.contains(&word(tokens, at + 2));
        let colour = colour && !HEADS.contains(&second);
        let named = letter.is_uppercase() && (is_strange(tokens, at + 1) || colour);
        let old = matches!(word(tokens, at), "old" | "auld" | "ol" | "big");
        let named = named || (old && PET_NOUNS.contains(&second));
        (PET.contains(&word(tokens, at)) && named).then_some((at, at + 1))
    })
}

/// "Out of wee maggie", "on auld jock": a name that is written small, after a pet word that is said
/// of hardly anything else.
pub fn small_pet_name(tokens: &[Token], known: &dyn Fn(&str) -> bool) -> Option<(usize, usize)> {
    let last = tokens.len().saturating_sub(1);
    (1..last).find(|at| {
        let pet = matches!(word(tokens, *at), "wee" | "auld" | "ol" | "dear");
        let led = matches!(word(tokens, at - 1), "of" | "off" | "on" | "from" | "for" | "out");
        pet && led && is_strange(tokens, at + 1) && !known(&tokens[at + 1].stem)
    }).map(|at| (at, at + 1))
}

/// "F1", "GT 2" written as one: letters and a number, as a shop marks its machines, from a token
/// on. Letters that mark something else are none.
pub fn coded_name(text: &str, tokens: &[Token], from: usize) -> Option<(usize, usize)> {
    const OTHERS: &[&str] = &["b", "u", "l", "r", "m", "n", "z", "v", "h", "g", "no", "rr", "lf"];
    let written = |at: usize| tokens.get(at).and_then(|token| text.get(token.start..token.end));
    (from..tokens.len().saturating_sub(1)).find(|at| {
        let (letters, number) = (&tokens[*at], &tokens[at + 1]);
        let capitals = written(*at).is_some_and(|said| {
            said.len() <= 2 && said.bytes().all(|byte| byte.is_ascii_uppercase())
        });
        let marked = number.kind == Kind::Number && number.text.len() <= 2;
        let whole = number.text.bytes().all(|byte| byte.is_ascii_digit());
        let touches = letters.end == number.start;
        let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
        let begins = *at == 0 || tokens[at - 1].kind == Kind::Sign || BEFORE.contains(&before);
        let known = OTHERS.contains(&letters.text.as_str());
        capitals && marked && whole && touches && !known && (begins || matches!(before, "the" | "and"))
    }).map(|at| (at, at + 1))
}

/// "The verticut", "verticut did ...": the attachment as the machine it is on.
pub fn by_attachment(tokens: &[Token]) -> Option<(usize, usize)> {
    const SAID_AFTER: &[&str] = &[
        "did", "ran", "run", "done", "clock", "meter", "hours", "this", "today", "yesterday", "for",
        "heads", "units", "has", "have", "had",
    ];
    let found = (0..tokens.len()).find(|at| {
        let before = at.checked_sub(1).map_or("", |before| word(tokens, before));
        let the = *at == 0 || matches!(before, "the" | "our" | "my");
        let next = tokens.get(at + 1);
        let ends = next.is_none_or(|next| {
            next.kind == Kind::Sign || SAID_AFTER.contains(&next.text.as_str())
        });
        // "The verticut has a bent blade" tells of a part.
        let has = matches!(word(tokens, at + 1), "has" | "have" | "had");
        let ends = ends && (!has || has_run(tokens, at + 2));
        matches!(word(tokens, *at), "verticut" | "groomer") && the && ends
    })?;
    Some((found, found))
}

/// Words before a machine that is named by one word.
const BEFORE: &[&str] =
    &["on", "off", "of", "behind", "for", "from", "to", "over", "round", "under", "in", "call"];
/// What a machine has, so that the word before it is the machine.
const OWNED: &[&str] = &[
    "unit", "units", "number", "no", "reel", "reels", "clock", "meter", "engine", "tyres", "tyre",
    "tires", "hours", "deck", "left", "right", "front", "rear", "centre", "middle", "bench", "head",
    "heads", "reading", "heights", "blades", "spindle", "spindles", "belt", "groomer", "bedknife",
    "cylinder", "hour",
];
/// What is said of a machine right after its name.
const SAID_OF: &[&str] = &[
    "unit", "number", "no", "on", "clock", "meter", "tyres", "bench", "left", "right", "front", "rear",
    "centre", "middle", "head", "tires",
];

/// "The sidewinder's number 4", "unit 5 of Goliath", "the beast is at 1,950": a word that means
/// nothing here, where a machine would be named. `known`: is a stem a word of the trade?
pub fn lone_name(
    text: &str,
    tokens: &[Token],
    known: &dyn Fn(&str) -> bool,
) -> Option<(usize, usize)> {
    let written = |at: usize| tokens.get(at).and_then(|token| text.get(token.start..token.end));
    let capital = |at: usize| {
        written(at).and_then(|said| said.chars().next()).is_some_and(char::is_uppercase)
    };
    let stranger = |at: usize| {
        let token = tokens.get(at).filter(|token| token.text.chars().count() > 3);
        let fits = token.is_some_and(|token| !known(&stem(&token.text)));
        fits && is_strange(tokens, at) && !super::dates::is_day_name(word(tokens, at))
    };
    let article = |at: usize| matches!(word(tokens, at), "the" | "our" | "my");
    // Dictated words have no capitals.
    let plain = !text.chars().any(char::is_uppercase);
    (0..tokens.len()).filter(|at| stranger(*at)).find_map(|at| {
        let mut last = at;
        while capital(at) && capital(last + 1) && tokens[last + 1].segment == tokens[at].segment {
            last += 1;
        }
        let begins = at == 0 || tokens[at - 1].kind == Kind::Sign;
        let the = at > 0 && article(at - 1);
        let placed = at > usize::from(the)
            && BEFORE.contains(&word(tokens, at - 1 - usize::from(the)))
            && (the || capital(at));
        let next = word(tokens, last + 1);
        let ends = tokens.get(last + 1).is_none_or(|next| next.kind == Kind::Sign);
        let owner = written(last)
            .is_some_and(|said| said.ends_with("'s") || said.ends_with("\u{2019}s"));
        let figures = tokens.get(last + 1).is_some_and(is_figures);
        let owns = owner && (OWNED.contains(&next) || figures);
        let says = matches!(next, "is" | "has" | "was" | "had" | "at");
        let counted = matches!(next, "units" | "reels" | "heads" | "tyres" | "unit");
        let told = (begins && capital(at) && (SAID_OF.contains(&next) || next == ","))
            || (the && (says || owner || counted))
            || (begins && capital(at) && says && has_run(tokens, last + 2))
            || (begins && capital(at) && stands_with_hours(tokens, last + 1, owner))
            || called(tokens, at, last, capital(at) || plain)
            || (begins && clock_reads(tokens, last + 1) && !NEAR.contains(&word(tokens, at)));
        let stands = placed && (ends || the || next == "is" || next == "has" || next == "was");
        let pair = last > at && !begins && !matches!(word(tokens, at - 1), "by" | "and" | "with");
        let all = counted && at > 1 && matches!(word(tokens, at - 2), "all" | "both");
        (stands || owns || told || all || pair).then_some((at, last))
    })
}

/// Words before a number that are no name.
const NEAR: &[&str] = &[
    "about", "around", "roughly", "approx", "nearly", "almost", "currently", "reads", "shows",
    "says", "showing", "reading", "that", "there", "over", "under", "exactly",
];
/// From a name on to its clock there are no more tokens.
const CLOCK_TOKENS_MAX: usize = 9;

/// "Inspected ethel unit two", "Goliath number 3": a name, and the number of one of its units.
fn called(tokens: &[Token], at: usize, last: usize, name: bool) -> bool {
    let done = at == 0 || DEEDS.contains(&word(tokens, at - 1));
    let unit = matches!(word(tokens, last + 1), "unit" | "number" | "reel");
    name && done && unit && is_number(tokens, last + 2)
}

/// "633 hrs on the clock": a number, and what it was read off.
fn clock_reads(tokens: &[Token], at: usize) -> bool {
    let clock = |at: usize| CLOCKS.contains(&word(tokens, at));
    let read = (at + 1..at + CLOCK_TOKENS_MAX)
        .any(|next| clock(next) && word(tokens, next - 2) == "on" && word(tokens, next - 1) == "the");
    is_number(tokens, at) && read
}

fn is_figures(token: &Token) -> bool {
    token.kind == Kind::Number
}

/// A number in figures or in words.
fn is_number(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(is_figures) || below_hundred(tokens, at).is_some()
}

/// "Ran five hours", "Nelly's at 2,310": what is told of a machine, and a number.
fn stands_with_hours(tokens: &[Token], at: usize, owner: bool) -> bool {
    let ran = matches!(word(tokens, at), "ran" | "did" | "run");
    let stands = owner && matches!(word(tokens, at), "at" | "on");
    (ran || stands) && is_number(tokens, at + 1)
}

/// "Has run 8 hours", "has done 40": what a machine does, and no person.
fn has_run(tokens: &[Token], at: usize) -> bool {
    match word(tokens, at) {
        "done" => is_number(tokens, at + 1),
        "run" | "got" | "a" | "no" | "not" => true,
        _ => false,
    }
}

/// "On the 72", "the sixty-inch": a machine by its size alone, from a token on, where its tokens
/// are `free`.
pub fn bare_size(
    tokens: &[Token],
    from: usize,
    free: &dyn Fn(usize, usize) -> bool,
) -> Option<(usize, usize)> {
    (from.max(1)..tokens.len()).find_map(|at| {
        let said = below_hundred(tokens, at).filter(|(size, _)| is_deck_size(*size));
        let last = said.map_or(at, |(_, last)| last);
        let short = (2..=3).contains(&tokens[at].text.len());
        let figures = short && tokens[at].text.parse().is_ok_and(is_deck_size);
        let the = word(tokens, at - 1) == "the";
        let dash = usize::from(word(tokens, last + 1) == "-");
        let inch = matches!(word(tokens, last + 1 + dash), "inch" | "\"");
        // "Sixty-year-old" is no size, and "the sixty" by itself is hardly one.
        // "The seventy two" is as wide as decks are made.
        let wide = said.is_some_and(|(size, last)| last > at && WIDTHS.contains(&size));
        let sized = figures || wide || (said.is_some() && inch);
        let last = if inch { last + dash + 1 } else { last };
        let ends = tokens.get(last + 1).is_none_or(|next| {
            let counted = next.kind == Kind::Word && unit_at(tokens, last + 1).is_some();
            let decimal =
                matches!(next.text.as_str(), "/" | "%" | "\u{b0}" | "grit" | "mesh" | "compound" | "paste");
            let plural = next.kind == Kind::Word
                && next.text.ends_with('s')
                && !matches!(next.text.as_str(), "was" | "is" | "has" | "this");
            !counted && !decimal && !plural
        });
        (sized && the && ends && free(at, last)).then_some((at, last))
    })
}
