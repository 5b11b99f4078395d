//! Which numbers and letters of a sentence name something: "unit 3", "No.2", "blade A", "6 green"?
//! Deliberately absent: which machine of the shop is meant (see `subjects`).

use super::deeds::DEEDS;
use super::subject_words::HEADS;
use crate::domain::language::text::{Kind, Token, text_at};
use crate::domain::said::numbers::is_long_number;
use crate::domain::said::said_units::unit_at;

/// What a label labels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Labelled {
    Unit,
    Blade,
}

/// A name by number or letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// First and last token.
    pub first: usize,
    pub last: usize,
    pub what: Labelled,
    /// "3", "a".
    pub text: String,
}

/// Units in a gang and blades on a reel are not more than this.
const LABEL_MAX: u32 = 30;
const UNIT_WORDS: &[&str] = &[
    "unit", "units", "head", "heads", "cutter", "cutters", "gang", "number", "numbers", "no",
    "nos", "u",
];
const REEL_WORDS: &[&str] = &["reel", "reels", "cylinder", "cylinders"];
pub const SPELLED: &[&str] = &[
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
];

/// Words that say that metal came off.
pub(super) const TOOK: &[&str] = &["took", "taken", "take", "removed", "lost", "taking"];

const ORDINALS: &[&str] = &["first", "second", "third", "fourth", "fifth", "sixth", "seventh"];

/// The labels of a text, left to right.
pub fn labels(tokens: &[Token]) -> Vec<Label> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let found = label_at(tokens, at);
        match found.last() {
            Some(label) => {
                at = label.last + 1;
                out.extend(found);
            }
            None => at += 1,
        }
    }
    in_order(tokens, out)
}

/// "First blade ..., second ..., third ...": all of a row that counts from the first, with the
/// word for what said at least once.
fn in_order(tokens: &[Token], found: Vec<Label>) -> Vec<Label> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let what = |at: usize| match text(at) {
        "blade" => Some(Labelled::Blade),
        "unit" | "head" | "reel" | "cylinder" => Some(Labelled::Unit),
        _ => None,
    };
    let places: Vec<usize> =
        (0..tokens.len()).filter(|at| ORDINALS.contains(&text(*at))).collect();
    let counts = places.iter().zip(ORDINALS).all(|(at, word)| text(*at) == *word);
    let Some(of) = places.iter().find_map(|at| what(at + 1)) else { return found };
    let beside = |at: &usize| {
        let before = at.checked_sub(1).map_or("", text);
        let last = at + usize::from(what(at + 1).is_some());
        let link = matches!(text(last + 1), "is" | "reads" | "was" | ":" | "," | "at" | "has");
        let read = tokens.get(last + 1 + usize::from(link)).is_some_and(|t| {
            is_reading(t) || t.kind == Kind::Number
        });
        read || (before == "the" && tokens.get(last + 1).is_none_or(|t| t.kind == Kind::Sign))
    };
    let last = places.last().copied().unwrap_or(0);
    // "... is it the grinder for number three": one of those that were counted.
    let own = |label: &Label| places.contains(&label.first) || label.first > last;
    if places.len() < 2 || !counts || !places.iter().all(beside) || found.iter().any(|l| !own(l)) {
        return found;
    }
    let label = |(nth, at): (usize, usize)| Label {
        first: at,
        last: at + usize::from(what(at + 1).is_some()),
        what: of,
        text: (nth + 1).to_string(),
    };
    places.into_iter().enumerate().map(label).collect()
}

/// The label that begins at a token, with those joined to it ("units 1, 2 and 3").
fn label_at(tokens: &[Token], at: usize) -> Vec<Label> {
    let token = &tokens[at];
    let word = token.text.as_str();
    let begun = heading_at(tokens, at).or_else(|| lettered_at(tokens, at));
    let begun = begun.or_else(|| letter_row_at(tokens, at));
    if let Some(label) = begun.or_else(|| ordinal_at(tokens, at)) {
        return vec![label];
    }
    if let Some(label) = letter_before_at(tokens, at) {
        return vec![label];
    }
    let several = counted_at(tokens, at);
    let several = if several.is_empty() { worked_on(tokens, at) } else { several };
    if !several.is_empty() {
        return several;
    }
    let hash = token.kind == Kind::Sign && word == "#";
    let unit = UNIT_WORDS.contains(&word) || hash;
    let reel = REEL_WORDS.contains(&word);
    let blade = matches!(word, "blade" | "blades");
    if !(unit || reel || blade) || (token.kind != Kind::Word && !hash) {
        return Vec::new();
    }
    let named = matches!(tokens.get(at + 1).map(|t| t.text.as_str()), Some("number" | "no" | "#"));
    let what = if blade { Labelled::Blade } else { Labelled::Unit };
    let range = range_at(tokens, at + 1, what);
    let several = matches!(word, "reels" | "cylinders");
    if (unit || blade || several) && range.len() > 1 {
        return range;
    }
    let name = at + 1 + usize::from(named && !hash);
    // "On blade two": nothing is counted there.
    let before = at.checked_sub(1).map_or("", |before| tokens[before].text.as_str());
    let row = blade && is_in_row(tokens, name);
    let sited = matches!(before, "on" | "of" | "at") || row || (reel && ends_site(tokens, at));
    let spelled = unit || named || sited || stands_as_heading(tokens, name);
    // "Gang four point six metres".
    if word == "gang" && tokens.get(name + 1).is_some_and(|next| next.text == "point") {
        return Vec::new();
    }
    let text = name_at(tokens, name, spelled).filter(|_| !is_mixed(tokens, name));
    let Some(text) = text else {
        return Vec::new();
    };
    let sure = unit || named || sited || stands_as_heading(tokens, name);
    // "Fairway gang 10 km/h" names no unit.
    let of_its_own = reel || blade || word == "gang";
    if !sure || (of_its_own && !row && is_measured(tokens, name)) {
        return Vec::new();
    }
    // "Log four hours, no three and three quarter": a number taken back.
    let back = word == "no" && at > 0 && tokens[at - 1].text == ",";
    if back && is_long_number(tokens, name) {
        return Vec::new();
    }
    // "The old gang number 3": the gang is the machine.
    let first = if word == "gang" && named { at + 1 } else { at };
    let mut out = vec![Label { first, last: name, what, text }];
    // "Units 1, 2 and 3", "1 & 3", "units one two and three".
    let spelled = matches!(word, "units" | "heads" | "reels" | "cylinders" | "numbers");
    let mut next = name + 1;
    while unit || reel {
        let comma = tokens.get(next).is_some_and(|token| matches!(token.text.as_str(), "," | "/"));
        let and = tokens.get(next + usize::from(comma)).is_some_and(|token| token.text == "and");
        let name = next + usize::from(comma) + usize::from(and);
        let said = tokens.get(name).map_or("", |token| token.text.as_str());
        // "Units 2 3 4 and 5": a row that rises, with nothing between its numbers.
        let in_row = |at: usize| spelled && is_next_in_row(tokens, at);
        let row = !comma && !and && in_row(name);
        let joined = comma || and || row || (spelled && SPELLED.contains(&said));
        let Some(text) = name_at(tokens, name, spelled).filter(|_| joined) else { break };
        // "Units 1 2 3 40 min": the time stands right behind the row.
        let ends = row && (is_measured(tokens, name + 1) || is_counting(tokens, name + 1));
        let before_number = stands_before_number(tokens, name) && !in_row(name + 1) && !ends;
        let goes_on = !is_measured(tokens, name) && !before_number;
        let goes_on = goes_on && !is_amount_off(tokens, name);
        if !goes_on {
            break;
        }
        out.push(Label { first: name, last: name, what, text });
        next = name + 1;
    }
    out
}

/// Whether a small whole number stands right behind a smaller one, and is no measure.
fn is_next_in_row(tokens: &[Token], at: usize) -> bool {
    /// No machine has more units (common practice, no source).
    const UNITS_MAX: u32 = 12;
    let number = |at: usize| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Number)?;
        token.text.parse::<u32>().ok().filter(|number| *number <= UNITS_MAX)
    };
    let pair = at.checked_sub(1).and_then(number).zip(number(at));
    pair.is_some_and(|(one, two)| one < two) && !is_measured(tokens, at) && !is_counting(tokens, at)
}

/// "Units 2 3 4 12 passes each", "10 new screws": a number that counts what stands behind it.
fn is_counting(tokens: &[Token], at: usize) -> bool {
    const NEW: &[&str] = &["new", "fresh", "more", "full", "light", "good"];
    const VERBS: &[&str] = &[
        "this", "is", "was", "has", "does", "cuts", "reads", "leaks", "needs", "looks", "squeals", "runs", "sits", "as", "its",
        "yes", "across", "streaks", "less",
    ];
    let behind = text_at(tokens, at + 1);
    // "Units 1 2 3 times two": each so often.
    let often = tokens.get(at + 2).is_some_and(|next| {
        next.kind == Kind::Number || SPELLED.contains(&next.text.as_str())
    });
    let several = behind.len() > 2 && behind.ends_with('s') && !VERBS.contains(&behind);
    let several = several && !(behind == "times" && often);
    several || NEW.contains(&behind)
}

/// "Took 5 thou off unit 1, 6 off unit 2": what came off the next unit, and no unit.
fn is_amount_off(tokens: &[Token], at: usize) -> bool {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let unit = at + 2 + usize::from(UNIT_WORDS.contains(&text(at + 2)));
    let took = tokens[..at].iter().any(|token| TOOK.contains(&token.text.as_str()));
    let off = matches!(text(at + 1), "off" | "from" | "on");
    took && off && name_at(tokens, unit, true).is_some()
}

/// "Blade one ... blade two ... blade three": one of a row that counts from the first.
fn is_in_row(tokens: &[Token], name: usize) -> bool {
    let blade = |at: usize| at > 0 && tokens[at - 1].text == "blade";
    let blades = (0..tokens.len()).filter(|at| blade(*at));
    let all: Vec<String> = blades.filter_map(|at| name_at(tokens, at, true)).collect();
    let counts = all.iter().zip(1..).all(|(said, number)| *said == number.to_string());
    all.len() > 1 && counts && name_at(tokens, name, true).is_some()
}

/// "Approach mower, reel 2, spin grind": the reel of a machine named right before it.
fn ends_site(tokens: &[Token], at: usize) -> bool {
    let comma = |at: usize| tokens.get(at).is_some_and(|token| token.text == ",");
    let machine = at > 1 && HEADS.contains(&tokens[at - 2].text.as_str());
    machine && comma(at - 1) && comma(at + 2)
}

/// "Units 1 to 5", "unit 1 to unit 5": each of them, under the tokens of the whole.
fn range_at(tokens: &[Token], at: usize, what: Labelled) -> Vec<Label> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let number = |at: usize| name_at(tokens, at, true)?.parse::<u32>().ok();
    let to = matches!(text(at + 1), "to" | "-" | "through");
    let again = usize::from(UNIT_WORDS.contains(&text(at + 2)));
    let end = at + 2 + again;
    let ends = number(at).zip(number(end)).filter(|(from, last)| to && from < last);
    let Some((from, last)) = ends.filter(|_| !is_measured(tokens, end)) else {
        return Vec::new();
    };
    (from..=last)
        .map(|unit| Label {
            first: if unit == from { at - 1 } else { end },
            last: if unit == from { at + 1 } else { end },
            what,
            text: unit.to_string(),
        })
        .collect()
}

/// "Left ends of one to three": a range that counts from one, without the word for what.
fn counted_at(tokens: &[Token], at: usize) -> Vec<Label> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let first = matches!(text(at), "1" | "one");
    let before = at.checked_sub(1).map_or("", text);
    let headed = matches!(before, "of" | "," | ":" | ";" | "all" | "heads" | "ends");
    if first && headed { range_at(tokens, at, Labelled::Unit) } else { Vec::new() }
}

/// "Backlapped 1, 2 and 3 on the triplex", "seized on 3 and 4" once the gang was named: units that
/// only a deed and their machine tell.
fn worked_on(tokens: &[Token], at: usize) -> Vec<Label> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let before = at.checked_sub(1).map_or("", text);
    let machine = |token: &Token| HEADS.contains(&token.text.as_str());
    let sited = before == "on" && tokens[..at].iter().any(machine);
    if !(sited || DEEDS.contains(&before)) {
        return Vec::new();
    }
    let mut out: Vec<Label> = Vec::new();
    let mut next = at;
    while let Some(name) = name_at(tokens, next, true) {
        out.push(Label { first: next, last: next, what: Labelled::Unit, text: name });
        let joined = (next + 1..next + 3).take_while(|at| matches!(text(*at), "," | "and" | "&"));
        match joined.last() {
            Some(last) => next = last + 1,
            None => break,
        }
    }
    let Some(last) = out.last().map(|label| label.last) else { return out };
    let on = matches!(text(last + 1), "on" | "of");
    let machine = (last + 2..last + 6).any(|at| HEADS.contains(&text(at)));
    let ends = tokens.get(last + 1).is_none_or(|next| next.kind == Kind::Sign);
    // "On the triplex today, ground 1 and 3".
    let named = tokens[..at].iter().any(|token| HEADS.contains(&token.text.as_str()));
    let told = if sited { ends } else { (on && machine) || (ends && named) };
    if told && out.len() > 1 { out } else { Vec::new() }
}

/// "1: 4.02 left 4.00 right": a number that begins a row.
fn heading_at(tokens: &[Token], at: usize) -> Option<Label> {
    let begins = at == 0
        || tokens[at - 1].sentence != tokens[at].sentence
        || matches!(tokens[at - 1].text.as_str(), "," | ";" | ":");
    // "3:40 pm" heads no row.
    let clock = tokens.get(at + 2).is_some_and(|next| next.start == tokens[at].end + 1);
    let colon = tokens.get(at + 1).is_some_and(|next| next.text == ":") && !clock;
    let headed = || begins && (colon || row_at(tokens, at));
    let number = tokens[at].kind == Kind::Number && (is_item(tokens, at) || headed());
    let number = number || (begins && heads_spelled_row(tokens, at));
    let text = name_at(tokens, at, true).filter(|_| number)?;
    Some(Label { first: at, last: at, what: Labelled::Unit, text })
}

/// "One: 3 left, 4 right. Two: 3 left, 5 right": numbers in words that head rows.
fn heads_spelled_row(tokens: &[Token], at: usize) -> bool {
    let row = |at: usize| {
        let colon = tokens.get(at + 1).is_some_and(|next| next.text == ":");
        let read = tokens.get(at + 2).is_some_and(|next| next.kind == Kind::Number);
        colon && read && SPELLED.contains(&tokens[at].text.as_str())
    };
    row(at) && (0..tokens.len()).filter(|at| row(*at)).count() > 1
}

/// "1) 3.20 2) 3.15": items of a list, by their bracket.
fn is_item(tokens: &[Token], at: usize) -> bool {
    let item = |at: usize| {
        let bracket = tokens.get(at + 1).is_some_and(|next| next.text == ")");
        let opened = at > 0 && tokens[at - 1].text == "(";
        let after = tokens.get(at + 2);
        let read = after.is_some_and(|next| is_reading(next) || next.kind == Kind::Number);
        tokens[at].kind == Kind::Number && bracket && read && !opened
    };
    item(at) && (0..tokens.len()).filter(|at| item(*at)).count() > 1
}

/// "Relief ground the B reel": a letter before the word for what; "a reel" is any.
fn letter_before_at(tokens: &[Token], at: usize) -> Option<Label> {
    let said = tokens[at].text.as_str();
    let before = at.checked_sub(1).map_or("", |before| tokens[before].text.as_str());
    let letter = said.len() == 1 && "bcdefgh".contains(said);
    let the = matches!(before, "the" | "our" | "on" | "of") && (letter || (said == "a" && before == "the"));
    let next = tokens.get(at + 1).map_or("", |next| next.text.as_str());
    let unit = matches!(next, "reel" | "unit" | "head" | "cylinder" | "cutter");
    (the && unit && tokens[at].kind == Kind::Word).then(|| Label {
        first: at,
        last: at + 1,
        what: Labelled::Unit,
        text: said.to_owned(),
    })
}

/// "B1": a blade by its letter and number written together.
fn lettered_at(tokens: &[Token], at: usize) -> Option<Label> {
    let touches = |next: &&Token| next.start == tokens[at].end && next.kind == Kind::Number;
    tokens.get(at + 1).filter(touches)?;
    let text = name_at(tokens, at + 1, false).filter(|_| tokens[at].text == "b")?;
    Some(Label { first: at, last: at + 1, what: Labelled::Blade, text })
}

/// "A 1 2 3, B 1 2 3", "one 3.20 3.25, two 3.22 3.20": a letter or number that begins a row of
/// numbers, with another row beside it.
fn letter_row_at(tokens: &[Token], at: usize) -> Option<Label> {
    let row = |at: usize| {
        let begins = at == 0 || tokens[at - 1].kind == Kind::Sign || tokens[at - 1].text == "and";
        let letter = tokens[at].text.len() == 1 && "abcdefgh".contains(&tokens[at].text);
        let number = |at: usize| tokens.get(at).is_some_and(|token| token.kind == Kind::Number);
        let read = || tokens.get(at + 1).is_some_and(|next| next.text.contains('.'));
        let spelled = SPELLED.contains(&tokens[at].text.as_str()) && number(at + 1) && read();
        let figures = number(at + 1) && number(at + 2);
        tokens[at].kind == Kind::Word && begins && ((letter && figures) || spelled)
    };
    if !row(at) || (0..tokens.len()).filter(|at| row(*at)).count() < 2 {
        return None;
    }
    let text = name_at(tokens, at, true).unwrap_or_else(|| tokens[at].text.clone());
    let blades = tokens.iter().any(|token| matches!(token.text.as_str(), "blade" | "blades"));
    let units = tokens[at].text.len() > 1 && !blades;
    let what = if units { Labelled::Unit } else { Labelled::Blade };
    Some(Label { first: at, last: at, what, text })
}

/// "First blade 0.04 left", "second unit reads 3.50": a place in the row, with its reading.
fn ordinal_at(tokens: &[Token], at: usize) -> Option<Label> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let number = ORDINALS.iter().position(|word| *word == text(at))? + 1;
    let what = match text(at + 1) {
        "blade" => Labelled::Blade,
        "unit" | "head" => Labelled::Unit,
        _ => return None,
    };
    let link = matches!(text(at + 2), "is" | "reads" | "was" | ":" | "," | "at" | "has");
    let skip = usize::from(link);
    let read = tokens.get(at + 2 + skip).is_some_and(is_reading);
    let text = number.to_string();
    read.then_some(Label { first: at, last: at + 1, what, text })
}

/// "1 9.00 and 9.02, 2 9.01 and 9.00": a whole number right before one with a point, more than
/// once.
fn row_at(tokens: &[Token], at: usize) -> bool {
    let row = |at: usize| {
        let link = |token: &Token| matches!(token.text.as_str(), "is" | "was" | "reads" | "=");
        let is = tokens.get(at + 1).is_some_and(|next| {
            link(next) || matches!(next.text.as_str(), "l" | "left" | "lh" | "r" | "right" | "rh")
        });
        let next = tokens.get(at + 1 + usize::from(is));
        let (Some(label), Some(reading)) = (tokens.get(at), next) else { return false };
        let numbers = label.kind == Kind::Number && reading.kind == Kind::Number;
        numbers && !label.text.contains('.') && reading.text.contains('.')
    };
    row(at) && (0..tokens.len()).filter(|at| row(*at)).count() > 1
}

/// A whole number or a letter that can be a name. `spelled`: "three" may be one.
fn name_at(tokens: &[Token], at: usize, spelled: bool) -> Option<String> {
    let token = tokens.get(at)?;
    match token.kind {
        Kind::Number => {
            let number: u32 = token.text.parse().ok()?;
            let fraction = tokens.get(at + 1).is_some_and(|next| next.text == "/")
                && tokens.get(at + 2).is_some_and(|next| next.kind == Kind::Number);
            let sound = number > 0 && number <= LABEL_MAX && !token.text.contains('.') && !fraction;
            sound.then(|| token.text.clone())
        }
        Kind::Word if spelled && SPELLED.contains(&token.text.as_str()) => {
            let number = SPELLED.iter().position(|word| *word == token.text)? + 1;
            Some(number.to_string())
        }
        Kind::Word => {
            let letter = token.text.len() == 1 && "abcdefgh".contains(&token.text);
            let heads = stands_as_heading(tokens, at);
            (letter && heads).then(|| token.text.clone())
        }
        Kind::Sign => None,
    }
}

/// "Reel's 5 1/4 across": a whole number and a part of an inch.
fn is_mixed(tokens: &[Token], at: usize) -> bool {
    let number = |at: usize| tokens.get(at).and_then(|token| token.text.parse::<u32>().ok());
    let slash = tokens.get(at + 2).is_some_and(|token| token.text == "/");
    let parts = number(at + 1).zip(number(at + 3)).filter(|_| slash);
    parts.is_some_and(|(above, below)| above < below && matches!(below, 2 | 4 | 8 | 16 | 32 | 64))
}

/// A name with what it names after it: ":", a number, a place.
fn stands_as_heading(tokens: &[Token], at: usize) -> bool {
    let Some(next) = tokens.get(at + 1) else { return false };
    const AFTER: &[&str] = &[
        ":", "=", "l", "left", "is", "reads", "leading", "-", "was", "were", "gave", "read", "had", "off",
        "of", "on", "from",
    ];
    let comma = next.text == "," && tokens.get(at + 2).is_some_and(is_reading);
    AFTER.contains(&next.text.as_str()) || next.kind == Kind::Number || comma
}

/// "0.03", "point oh three", "left": what a reading begins with.
fn is_reading(token: &Token) -> bool {
    let figures = token.kind == Kind::Number && token.text.contains('.');
    figures || matches!(token.text.as_str(), "point" | "nought" | "zero" | "left" | "right")
}

fn stands_before_number(tokens: &[Token], at: usize) -> bool {
    tokens.get(at + 1).is_some_and(|next| next.kind == Kind::Number)
}

/// Whether a unit of measure follows.
fn is_measured(tokens: &[Token], at: usize) -> bool {
    unit_at(tokens, at + 1).is_some_and(|(unit, _)| unit != "N" && unit != "m")
}

/// "All 3 heads", "the other two units": how many units, which is no number of the work.
pub fn counted_units(tokens: &[Token]) -> Vec<(usize, usize)> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let number = |at: usize| {
        let token = tokens.get(at);
        SPELLED.contains(&text(at)) || token.is_some_and(|token| token.kind == Kind::Number)
    };
    let units = |at: usize| {
        matches!(text(at), "heads" | "units" | "reels" | "cylinders" | "gangs" | "groomers" | "sets")
    };
    let all = |at: usize| matches!(text(at), "all" | "the" | "other" | "both");
    // "The two front reels", "all 3 triplex reels".
    let placed = |at: usize| {
        let place = matches!(text(at), "front" | "rear" | "back" | "wing" | "outer" | "outside");
        let machine = super::subject_words::HEADS.contains(&text(at));
        usize::from(place || machine)
    };
    let counted = (1..tokens.len())
        .filter(|at| all(at - 1) && number(*at) && units(at + 1 + placed(at + 1)));
    let several = (0..tokens.len()).filter(|at| {
        text(*at) == "all" && super::which_units::all_counted(tokens, *at)
    });
    counted.map(|at| (at - 1, at + 1)).chain(several.map(|at| (at, at + 1))).collect()
}

/// Names of areas by number: "6 green", "14th tee", "hole 7". First and last token.
pub fn numbered_areas(tokens: &[Token]) -> Vec<(usize, usize)> {
    const KINDS: &[&str] = &[
        "green", "tee", "fairway", "collar", "apron", "approach", "hole", "rough", "surround",
        "pitch", "court", "square",
    ];
    let mut out = Vec::new();
    for at in 0..tokens.len() {
        let token = &tokens[at];
        let number =
            token.kind == Kind::Number && token.text.len() <= 2 && !token.text.contains('.');
        let ordinal =
            token.kind == Kind::Word && token.text.starts_with(|ch: char| ch.is_ascii_digit());
        let next = tokens.get(at + 1);
        let kind = next.is_some_and(|next| {
            next.kind == Kind::Word
                && KINDS.contains(&next.text.as_str())
                && next.segment == token.segment
        });
        let of_unit = at > 0 && UNIT_WORDS.contains(&tokens[at - 1].text.as_str());
        if (number || ordinal) && kind && !of_unit {
            let machine = tokens.get(at + 2).is_some_and(|after| {
                matches!(after.text.as_str(), "mower" | "triplex" | "unit" | "machine" | "gang")
            });
            if !machine {
                out.push((at, at + 1));
            }
        } else if ordinal
            && next.is_none_or(|next| next.kind != Kind::Number || next.text.contains('.'))
        {
            out.push((at, at));
        } else if token.text == "hole" && next.is_some_and(|next| next.kind == Kind::Number) {
            out.push((at, at + 1));
        }
    }
    out
}

/// "Walker 2", "the five-gang": numbers that only tell a machine. First and last token.
pub fn numbered_machines(tokens: &[Token]) -> Vec<(usize, usize)> {
    const NUMBERED: &[&str] = &["walker", "triplex", "gang", "quint", "rotary", "mower"];
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let ends = |at: usize| {
        let next = tokens.get(at + 1);
        next.is_none_or(|next| next.kind == Kind::Sign && !matches!(next.text.as_str(), "/" | "-"))
            || matches!(text(at + 1), "is" | "was" | "has" | "on" | "moved" | "by")
    };
    let numbered = (1..tokens.len()).filter(|at| {
        let number = tokens[*at].kind == Kind::Number && tokens[*at].text.len() == 1;
        let same = tokens[*at].segment == tokens[at - 1].segment;
        number && same && NUMBERED.contains(&text(at - 1)) && ends(*at)
    });
    let counted = (0..tokens.len()).filter(|at| super::strangers::gang_of(tokens, *at) > 0);
    numbered.chain(counted).map(|at| (at, at)).collect()
}

/// "All three reels", "both units", "every head".
pub fn all_units(tokens: &[Token]) -> bool {
    (0..tokens.len()).any(|at| {
        let all = matches!(tokens[at].text.as_str(), "all" | "both" | "every" | "each");
        let next = |ahead: usize| tokens.get(at + ahead).map_or("", |token| token.text.as_str());
        let noun = |word: &str| {
            matches!(
                word,
                "reels" | "units" | "heads" | "cylinders" | "sets" | "unit" | "reel" | "head" | "round"
            )
        };
        let counted = super::which_units::all_counted(tokens, at);
        // "Both ends of reel 3": what they count is named right behind them, or the reel is one.
        let other = matches!(
            next(1),
            "ends" | "sides" | "bearings" | "blades" | "belts" | "clamps" | "screws" | "seals" | "rollers"
        );
        let one = |ahead: usize| {
            let behind = tokens.get(at + ahead + 1).is_some_and(|token| token.kind == Kind::Number);
            behind && matches!(next(ahead), "unit" | "reel" | "head")
        };
        let named = (1..=3).any(|ahead| noun(next(ahead)) && !one(ahead));
        // "All three greens triplex units".
        let of_machine = SPELLED.contains(&next(1)) && HEADS.contains(&next(3))
            && matches!(next(4), "units" | "reels" | "heads" | "cylinders");
        counted || (all && !other && (named || of_machine))
    })
}
