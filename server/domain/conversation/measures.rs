//! What is a measure in another unit ("0.125 in mm", "how many thou is 3.2 mm"), what is a turn of a
//! thread worth ("a full turn on an M10"), and what was the last answer in another unit ("in thou",
//! "how many degrees")? Only words that ask for nothing else.
//! Deliberately absent: sums with more than one number (`settings`).

use crate::domain::language::text::{Kind, Token, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{Unit, convert, figures, plain};

/// The number of an answer that was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// Field of the answer.
    pub field: String,
    /// In the unit of the field.
    pub value: f64,
    /// What the answer itself said of limits and doubts.
    pub notes: Vec<String>,
}

/// A measure told in another unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub line: String,
    /// Symbol of the unit it was wanted in.
    pub unit: &'static str,
}

/// Words that ask for a measure and say nothing of it.
const ASKING: &[&str] = &[
    "what", "is", "whats", "how", "much", "many", "does", "do", "convert", "so", "and", "ok", "right",
    "then", "tell", "me", "the", "a", "an", "i", "need", "can", "you", "please", "of", "come", "comes",
    "equals", "quick", "work", "out", "mate", "give", "there", "are", "make", "makes", "in", "to",
    "into", "as", "that", "it", "for", "be", "would", "thats", "?", "=", ",", "again", "about",
    "roughly", "exactly", "or", "say", "also", ".", "was", "this", "now", "just", "thickness", "height", "length",
];
/// Words that may stand with a thread whose pitch is asked for.
const OF_A_THREAD: &[&str] = &[
    "full", "turn", "turns", "one", "worth", "on", "thread", "threads", "pitch", "coarse", "bolt",
    "adjuster", "screw", "stud", "rod", "far", "move", "moves", "complete", "whole", "revolution",
    "rev", "single", "with", "mm", "thou", "inches", "standard", "normal", "metric", "1",
];
/// Words that point at the answer before.
const POINTING_MAX: usize = 7;
/// Figures of a measure that is told.
const FIGURES: i32 = 4;

/// Nominal size and coarse pitch of metric threads, mm (ISO 262, from memory).
const COARSE_PITCHES: &[(f64, f64)] = &[
    (3.0, 0.5), (4.0, 0.7), (5.0, 0.8), (6.0, 1.0), (8.0, 1.25), (10.0, 1.5), (12.0, 1.75),
    (14.0, 2.0), (16.0, 2.0), (18.0, 2.5), (20.0, 2.5), (22.0, 2.5), (24.0, 3.0),
];

/// The coarse pitch of a metric thread of this size, mm.
pub fn coarse_pitch(size: f64) -> Option<f64> {
    COARSE_PITCHES.iter().find(|(known, _)| (known - size).abs() < 1e-9).map(|(_, pitch)| *pitch)
}

/// "M10", "m 10", "M10x1.25": a metric thread by its size, with its pitch where that is said.
pub fn thread_named(words: &str) -> Option<(f64, Option<f64>)> {
    let lower = words.to_lowercase();
    let parts: Vec<&str> = lower.split_whitespace().collect();
    parts.iter().enumerate().find_map(|(at, part)| {
        let part = part.trim_matches([',', '.', '?', '(', ')']);
        let rest = part.strip_prefix('m')?;
        let rest = match (rest, parts.get(at + 1)) {
            ("", Some(next)) => next.trim_matches([',', '.', '?']),
            (rest, _) => rest,
        };
        let (size, pitch) = rest.split_once('x').unwrap_or((rest, ""));
        let size: f64 = size.parse().ok()?;
        (3.0..=30.0).contains(&size).then(|| (size, pitch.parse().ok()))
    })
}

/// The answer to words that ask for a measure in another unit, or for a thread. `before`: the unit
/// that was wanted last, for "and 10 thou".
pub fn converted(words: &str, before: Option<&str>) -> Option<Told> {
    thread(words).or_else(|| measure(words, before)).or_else(|| two_measures(words))
}

/// "Convert 0.125 inch to mm, and tell me what 3.5 mm is in thou": both.
fn two_measures(words: &str) -> Option<Told> {
    let lower = words.to_lowercase();
    let (one, two) = [", and ", " and ", "; ", ", "].iter().find_map(|mark| lower.split_once(mark))?;
    let (one, two) = (measure(one, None)?, measure(two.trim(), None)?);
    Some(Told { line: format!("{} {}", one.line, two.line), unit: two.unit })
}

fn thread(words: &str) -> Option<Told> {
    let (size, pitch) = thread_named(words)?;
    let all = tokens(words);
    let named = format!("m{}", plain(size));
    let known = |token: &Token| {
        let text = token.text.as_str();
        let figure = token.kind == Kind::Number || text.starts_with(&named) || text == "m";
        figure || ASKING.contains(&text) || OF_A_THREAD.contains(&text) || text == "x"
    };
    let asks = all.iter().any(|token| {
        matches!(token.text.as_str(), "turn" | "turns" | "pitch" | "thread" | "rev" | "revolution")
    });
    // A number beside the thread makes a sum of it.
    let other = |one: &Quantity| {
        let of_thread = (one.value - size).abs() < 1e-9 || Some(one.value) == pitch;
        // "On an M8 in mm": the word behind the size is no inch.
        let of_size = one.unit == Some("in") && (one.value - size).abs() < 1e-9;
        let measured = one.unit.is_some_and(|unit| unit != "turns") && !of_size;
        (measured && Some(one.value) != pitch) || (!of_thread && (one.value - 1.0).abs() > 1e-9)
    };
    let numbers = quantities(&all).iter().filter(|one| other(one)).count();
    if !asks || numbers > 0 || !all.iter().all(known) {
        return None;
    }
    let (worth, source) = match pitch {
        Some(pitch) => (pitch, "the pitch said".to_owned()),
        None => {
            let size = plain(size);
            (coarse_pitch(size.parse().ok()?)?, format!("the coarse pitch of M{size}, ISO 262, from memory"))
        }
    };
    let thou = figures(convert(worth, "mm", "thou")?, FIGURES);
    Some(Told {
        line: format!(
            "One full turn is {} mm ({thou} thou): {source}. A fine thread has less, so measure one \
             turn where it matters.",
            plain(worth)
        ),
        unit: "mm",
    })
}

fn measure(words: &str, before: Option<&str>) -> Option<Told> {
    let all = tokens(words);
    let said = quantities(&all);
    let asks = all.len() > 2 && all.iter().any(|token| {
        matches!(token.text.as_str(), "in" | "to" | "into" | "as" | "how" | "what" | "whats"
            | "convert" | "=" | "is")
    });
    let (from, rest): (Quantity, Vec<usize>) = match &said[..] {
        [only] => {
            let rest = (0..all.len()).filter(|at| !(only.first..=only.last).contains(at));
            (only.clone(), rest.collect())
        }
        [] => one_of(&all)?,
        _ => return None,
    };
    let mut units: Vec<&'static Unit> = Vec::new();
    for at in rest {
        let text = all[at].text.as_str();
        // "24 to the inch" is a thread.
        if at > 0 && all[at - 1].text == "the" && Unit::named(text).is_some() {
            return None;
        }
        match Unit::named(text).filter(|_| !ASKING.contains(&text)) {
            Some(unit) => units.push(unit),
            None if ASKING.contains(&text) => {}
            None => return None,
        }
    }
    let (unit, goes_on) = match (&units[..], before) {
        ([wanted], _) if asks => (*wanted, false),
        ([], Some(before)) => (Unit::named(before)?, true),
        _ => return None,
    };
    let begins_on = all.first().is_some_and(|first| matches!(first.text.as_str(), "and" | "so"));
    if goes_on && !(begins_on && all.len() <= POINTING_MAX) {
        return None;
    }
    // "0.125 in mm", "1/8 in mm": the other of the two.
    let of = from.unit.unwrap_or(if matches!(unit.symbol, "in" | "thou") { "mm" } else { "in" });
    // Nobody asks for thou in thou: the mil beside them is said for a millimetre.
    let said_for_mm = matches!((of, unit.symbol), ("thou" | "in", "mil") | ("mil", "thou"));
    let millimetre = Unit::named("mm")?;
    let of = if said_for_mm && of == "mil" { "mm" } else { of };
    let unit = if said_for_mm && unit.symbol == "mil" { millimetre } else { unit };
    if from.unit.is_none() && unit.kind != millimetre.kind {
        return None;
    }
    let value = convert(from.value, of, unit.symbol)?;
    if of == unit.symbol {
        return None;
    }
    let told = |value: f64, unit: &str| format!("{} {unit}", figures(value, FIGURES));
    let mut line = format!("{} {of} is {}", plain(from.value), told(value, unit.symbol));
    if matches!(unit.symbol, "mm" | "in") && of != "thou" && unit.kind == millimetre.kind {
        let thou = convert(from.value, of, "thou")?;
        line.push_str(&format!(" ({})", told(thou, "thou")));
    }
    line.push('.');
    if said_for_mm {
        line.push_str(" (A mil is taken as a millimetre here.)");
    }
    if from.unit.is_none() {
        line.push_str(&format!(" ({} taken as {of}.)", plain(from.value)));
    }
    Some(Told { line, unit: unit.symbol })
}

/// "How many mm is a thou": one of a unit, and the other tokens.
fn one_of(all: &[Token]) -> Option<(Quantity, Vec<usize>)> {
    let at = (1..all.len()).find(|at| {
        let one = matches!(all[at - 1].text.as_str(), "a" | "an" | "one");
        one && Unit::named(&all[*at].text).is_some() && all[*at].text != "in"
    })?;
    let unit = Unit::named(&all[at].text)?;
    let quantity = Quantity {
        first: at - 1,
        last: at,
        value: 1.0,
        unit: Some(unit.symbol),
        number_last: at - 1,
        fraction: false,
        in_words: true,
        leading_point: false,
    };
    Some((quantity, (0..all.len()).filter(|other| *other != at && *other + 1 != at).collect()))
}

/// The last answer in the measure that these words name, when they name one and ask for nothing
/// else.
pub fn in_measure(words: &str, last: &Answered) -> Option<String> {
    let all = tokens(words);
    if all.is_empty() || all.len() > POINTING_MAX || !quantities(&all).is_empty() {
        return None;
    }
    let rest: Vec<&str> = all
        .iter()
        .map(|token| token.text.as_str())
        .filter(|text| !ASKING.contains(text) || *text == "inches")
        .collect();
    let asks = all.iter().any(|token| {
        matches!(token.text.as_str(), "in" | "how" | "what" | "as" | "convert" | "whats" | "to")
    });
    let wanted = rest.join(" ");
    if !asks || wanted.is_empty() {
        return None;
    }
    let own = Unit::of_field(&last.field);
    let turns = last.field.ends_with("turns_count");
    let fraction = last.field.ends_with("_fraction") || last.field.ends_with("_ratio");
    // Which way is said in the answer itself.
    let value = if turns { last.value.abs() } else { last.value };
    let last = &Answered { value, ..last.clone() };
    let now = told_as(last.value, &last.field);
    let answer = match wanted.as_str() {
        "degrees" | "degree" | "deg" if turns => Some((last.value * 360.0, "degrees")),
        "flats" | "flat" if turns => Some((last.value * 6.0, "flats")),
        "turns" | "turn" if turns => Some((last.value, "turns")),
        "percent" | "per cent" | "%" | "percentage" if fraction => Some((last.value * 100.0, "%")),
        "percent" | "per cent" | "%" | "percentage" | "degrees" | "flats" | "turns" => None,
        other => {
            let unit = Unit::named(other)?;
            convert(last.value, own.symbol, unit.symbol).map(|value| (value, unit.symbol))
        }
    };
    Some(match answer {
        Some((value, unit)) => format!("{now} is {} {unit}.", figures(value, FIGURES)),
        None => format!("The last answer was {now}; that is no measure of {wanted}."),
    })
}

/// A value as people read it, with the unit of its field.
pub fn told_as(value: f64, field: &str) -> String {
    if field.ends_with("turns_count") {
        return format!("{} turns", figures(value, FIGURES));
    }
    let unit = Unit::of_field(field);
    match unit.symbol {
        "number" => figures(value, FIGURES),
        symbol => format!("{} {symbol}", figures(value, FIGURES)),
    }
}

/// "Is that ok", "too much?", "is it any good": the last answer is to be judged.
pub fn asks_to_judge(words: &str) -> bool {
    const JUDGING: &[&str] = &[
        "ok", "okay", "good", "bad", "fine", "right", "much", "alright", "safe", "enough", "high",
        "low", "close", "big", "small", "fast", "slow", "tight", "loose", "acceptable", "normal",
        "wrong", "far", "off", "near", "reasonable", "sensible", "lot", "little",
    ];
    const AROUND: &[&str] = &[
        "is", "that", "it", "this", "too", "any", "those", "are", "they", "all", "and", "so", "then",
        "still", "not", "a", "bit", "of", "problem", "good", "for", "me", "about", "would", "be",
        "thats", "or", "within", "limits", "tolerance", "the", "?", ",", "both", "these", "mate",
        "between", "two", "ends", "sides",
    ];
    let all = tokens(words);
    let is = |list: &[&str], token: &Token| list.contains(&token.text.as_str());
    let asks = words.trim_end().ends_with('?')
        || all.first().is_some_and(|first| {
            matches!(first.text.as_str(), "is" | "are" | "too" | "would" | "and" | "so")
        });
    let judged = all.iter().any(|token| is(JUDGING, token) || is(&["limits", "tolerance"], token));
    let points = all.iter().any(|token| {
        is(&["that", "it", "this", "those", "they", "these", "thats", "too"], token)
    });
    asks && judged && points && all.len() <= POINTING_MAX + 4
        && all.iter().all(|token| is(JUDGING, token) || is(AROUND, token))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By 25.4 mm to the inch (NIST SP 811).
    #[test]
    fn a_measure_is_told_in_another_unit() {
        for (words, wanted) in [
            ("0.125 in mm", "0.125 in is 3.175 mm"),
            ("what's two thou in mil", "2 thou is 0.0508 mm"),
            ("6 mil in thou", "6 mm is 236.2 thou"),
            ("1/8 in mm", "0.125 in is 3.175 mm"),
            ("whats 3.2 mm in thou", "3.2 mm is 126 thou."),
            ("10 thou in mm?", "10 thou is 0.254 mm."),
            ("how many thou is 3.2 mm", "3.2 mm is 126 thou."),
            ("how much does a thou come to in mm", "1 thou is 0.0254 mm."),
            ("what is 6 km/h in mph", "6 km/h is 3.728 mph."),
            ("a full turn on an M10", "One full turn is 1.5 mm (59.06 thou)"),
            ("whats one turn worth on an M8 in mm", "One full turn is 1.25 mm"),
        ] {
            let told = converted(words, None).map(|told| told.line);
            assert!(told.as_ref().is_some_and(|told| told.starts_with(wanted)), "{words}: {told:?}");
        }
        let told = converted("and 10 thou", Some("mm")).map(|told| told.line);
        assert_eq!(told.as_deref(), Some("10 thou is 0.254 mm."));
        for words in [
            "set unit 2 to 3.2 mm", "10 thou", "3.2 mm", "how many turns for 10 thou on an M10",
            "what turn for 0.2 mm on 1.25 pitch", "lapped unit 3 in 10 min", "how much in an hour",
        ] {
            assert_eq!(converted(words, Some("mm")), None, "{words}");
        }
    }

    #[test]
    fn the_last_answer_is_told_in_the_measure_asked_for() {
        let turns = Answered { field: "turns_count".into(), value: 0.16, notes: Vec::new() };
        let clip = Answered { field: "clip_spacing_mm".into(), value: 4.33, notes: Vec::new() };
        for (words, last, wanted) in [
            ("how many degrees", &turns, Some("0.16 turns is 57.6 degrees.")),
            ("in degrees please", &turns, Some("0.16 turns is 57.6 degrees.")),
            ("in thou", &clip, Some("4.33 mm is 170.5 thou.")),
            ("whats that in inches?", &clip, Some("4.33 mm is 0.1705 in.")),
            ("in percent", &clip, Some("The last answer was 4.33 mm; that is no measure of percent.")),
            ("what is due", &clip, None),
            ("in june", &clip, None),
            ("how many hours on it", &clip, None),
        ] {
            assert_eq!(in_measure(words, last).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn only_a_bare_question_asks_for_a_judgement() {
        for words in ["is that ok", "is that too much?", "too much?", "are they good", "and is that alright"] {
            assert!(asks_to_judge(words), "{words}");
        }
        for words in ["that is ok", "is tees 2 ok", "is it ok to grind it", "good", "ok"] {
            assert!(!asks_to_judge(words), "{words}");
        }
    }
}
