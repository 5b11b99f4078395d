//! Which value do words hold for the reading that is asked: "yes, everything's tight", "about 12 mm
//! left on it", "left 5 thou, right 3"? Only a value of its kind counts; a question holds none, nor
//! do words about another unit. Deliberately absent: whether the value is good (`reading`).

use super::reading::{self, Value};
use crate::domain::catalogue::{Acceptance, StepReading};
use crate::domain::number_text::read_number;
use crate::domain::units::{Kind, Unit};

/// What words hold for a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Spoken {
    /// The value, and the words behind it, which may hold the next one.
    Value(Value, String),
    /// A value is meant, and it cannot be told which; the text asks.
    Doubt(String),
    Nothing,
}

/// Words longer than this are a story and no value.
const WORDS_MAX: usize = 14;

const QUESTIONS: &[&str] = &[
    "is", "are", "was", "were", "does", "do", "did", "what", "whats", "what's", "why", "how", "when",
    "where", "which", "who", "should", "can", "could", "would",
];

/// Ends and places, those that cannot be each other.
const SIDES: &[&[&str]] = &[
    &["leading", "middle", "trailing"],
    &["left", "centre", "center", "right"],
    &["front", "rear"],
    &["inner", "outer"],
];

/// Words before a number that is a name.
const NAMING: &[&str] = &[
    "unit", "units", "step", "no", "no.", "number", "reel", "blade", "station", "hole", "green",
    "walker", "machine", "grit", "with", "bench", "fairway", "triplex",
];

/// Words that may stand behind a number that has no unit.
#[rustfmt::skip]
const BEHIND: &[&str] = &[
    "now", "left", "right", "at", "on", "the", "and", "both", "so", "is", "about", "leading",
    "trailing", "front", "rear", "middle", "all", "each", "then", "after", "before", "still", "again",
    "here", "there", "for", "in", "not", "instead", "ish", "or", "give", "but", "mate", "i", "it", "that", "roughly",
];

/// The value that words hold for `asked`.
pub fn value(asked: &StepReading, words: &str, inches: bool) -> Spoken {
    let lower = words.to_lowercase().replace('\u{2019}', "'");
    let said: Vec<&str> = lower.split_whitespace().collect();
    let question = lower.trim_end().ends_with('?')
        || said.first().is_some_and(|first| QUESTIONS.contains(&bare(first)));
    let elsewhere = said.windows(2).any(|pair| {
        matches!(bare(pair[0]), "unit" | "units") && is_figure(pair[1])
    });
    if question || elsewhere || said.len() > WORDS_MAX {
        return Spoken::Nothing;
    }
    match asked.accept {
        // A measure is no answer to it.
        Acceptance::Yes if said.len() <= MEASURE_WORDS_MAX && measures(&said) => doubt(asked),
        Acceptance::Yes => yes_or_no(asked, &lower),
        Acceptance::Range { .. } => number(asked, &said, inches),
    }
}

/// Words of a bare measure at the most.
const MEASURE_WORDS_MAX: usize = 6;

/// A number with a unit of length behind it.
fn measures(said: &[&str]) -> bool {
    let length = |word: &str| Unit::named(word).is_some_and(|unit| unit.kind == Kind::Length);
    let joined = |word: &&str| {
        read_number(bare(word)).is_ok_and(|typed| length(&typed.rest))
    };
    said.windows(2).any(|pair| is_figure(pair[0]) && length(bare(pair[1])))
        || said.iter().any(joined)
}

fn bare(word: &str) -> &str {
    word.trim_matches(|ch: char| ",.;:!?()\"".contains(ch))
}

/// A number in words, where it stands, and the end it is said of.
struct Found<'a> {
    value: f64,
    last: usize,
    side: Option<&'a str>,
}

fn number(asked: &StepReading, said: &[&str], inches: bool) -> Spoken {
    let ranged = said
        .windows(3)
        .any(|three| three[1] == "to" && is_figure(three[0]) && is_figure(three[2]));
    if ranged {
        return Spoken::Nothing;
    }
    let mut found: Vec<Found<'_>> = Vec::new();
    let mut doubt = None;
    let mut at = 0;
    while at < said.len() {
        match number_at(asked, said, at, inches) {
            Some(Ok((value, count))) => {
                let last = at + count - 1;
                found.push(Found { value, last, side: side_of(said, at, last) });
                at += count;
            }
            Some(Err(remedy)) => {
                doubt.get_or_insert(remedy);
                at += 1;
            }
            None => at += 1,
        }
    }
    let wanted = label_side(&asked.label);
    let one = match (&found[..], wanted) {
        ([], _) => return doubt.filter(|_| said.len() > 1).map_or(Spoken::Nothing, Spoken::Doubt),
        ([only], Some(wanted)) => {
            let other = only.side.filter(|side| excludes(wanted, side));
            if let Some(other) = other {
                return Spoken::Doubt(format!("That is told of the {other} end"));
            }
            only
        }
        ([only], None) => only,
        (several, wanted) => {
            let named = wanted
                .and_then(|wanted| several.iter().find(|found| found.side == Some(wanted)));
            let others = wanted.is_some_and(|wanted| {
                several.iter().all(|found| found.side.is_some_and(|side| excludes(wanted, side)))
            });
            if others {
                return Spoken::Nothing;
            }
            // Told in turn, as they are asked.
            named.unwrap_or(&several[0])
        }
    };
    Spoken::Value(Value::Number(one.value), said[one.last + 1..].join(" "))
}

fn is_figure(word: &str) -> bool {
    word.starts_with(|ch: char| ch.is_ascii_digit())
}

/// Words before which "in" tells a place.
const PLACED: &[&str] = &["the", "that", "this", "there", "here", "middle", "between", "my"];

/// The number that begins at a word, and how many words it takes. An error: it is one, and it has
/// to be asked what is meant.
fn number_at(
    asked: &StepReading,
    said: &[&str],
    at: usize,
    inches: bool,
) -> Option<Result<(f64, usize), String>> {
    let first = said[at];
    let figures = first.trim_start_matches(['+', '-']).starts_with(|ch: char| {
        ch.is_ascii_digit() || ch == '.'
    }) && first.contains(|ch: char| ch.is_ascii_digit());
    let before = at.checked_sub(1).map(|before| bare(said[before]));
    // "12, not 20".
    if before.is_some_and(|before| NAMING.contains(&before) || before == "not") {
        return None;
    }
    let read = |count: usize| {
        let text = said.get(at..at + count)?.join(" ");
        let text = text.trim_end_matches([',', ';', ':', '!', ')']).trim_end_matches('.');
        match reading::read(asked, text, inches) {
            Ok(Value::Number(value)) => Some(Ok(value)),
            Ok(_) => None,
            Err(remedy) => Some(Err(remedy)),
        }
    };
    // The longest that reads as a value with its unit: "1 1/8 in", "five thou".
    for count in (2..=4).rev() {
        let ends_early = said.get(at..at + count - 1)
            .is_some_and(|words| words.iter().any(|word| word.ends_with([',', ';'])));
        // "126.2 in the middle" is not inches.
        let unit = said.get(at + count - 1).copied();
        let place = unit == Some("in")
            && said.get(at + count).is_some_and(|next| PLACED.contains(&bare(next)));
        if ends_early || place {
            continue;
        }
        if let Some(Ok(value)) = read(count) {
            return Some(Ok((value, count)));
        }
    }
    if !figures {
        return None;
    }
    let behind = said.get(at + 1).map(|word| bare(word));
    let apart = first.ends_with([',', ';', '.', ':']);
    if !apart && let Some(behind) = behind {
        let another = Unit::named(behind).is_some() && !BEHIND.contains(&behind);
        let known = BEHIND.contains(&behind) || is_figure(behind);
        // With its unit behind it, and still no value of this kind: it measures something else.
        if another || (!known && first.ends_with(|ch: char| ch.is_ascii_digit())) {
            return None;
        }
    }
    match read(1)? {
        Ok(value) => Some(Ok((value, 1))),
        // "12min" measures something else; a bare number is in doubt.
        Err(remedy) => {
            let bare_number = first.trim_end_matches([',', ';', ':', '!', '.']);
            let plain = bare_number.parse::<f64>().is_ok() || bare_number.contains('/');
            plain.then_some(Err(remedy))
        }
    }
}

/// The end that a number is said of: the nearest named before it, else right behind it.
fn side_of<'a>(said: &[&'a str], first: usize, last: usize) -> Option<&'a str> {
    let is_side = |word: &&str| SIDES.iter().any(|family| family.contains(word));
    let before = said[first.saturating_sub(4)..first].iter().rev().map(|word| bare(word));
    let before = before.take_while(|word| !is_figure(word)).find(is_side);
    // "12 mm left on it" tells what remains.
    let behind = said[last + 1..].iter().take(3).map(|word| bare(word));
    let behind: Vec<&str> = behind.take_while(|word| !is_figure(word)).collect();
    let remains = behind.first() == Some(&"left");
    before.or_else(|| behind.into_iter().filter(|_| !remains).find(is_side))
}

/// The end that a label names; "Bristle left" names none.
pub fn label_side(label: &str) -> Option<&'static str> {
    const AROUND: &[&str] = &["end", "outer", "inner", "tip", "side", "hand"];
    let lower = label.to_lowercase();
    let words: Vec<&str> =
        lower.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let says = |side: &&&str| {
        words.iter().enumerate().any(|(at, word)| {
            let next = words.get(at + 1).copied().unwrap_or_default();
            let remains = matches!(*word, "left" | "right") && !AROUND.contains(&next);
            word == *side && !remains
        })
    };
    let all = SIDES.iter().flat_map(|family| family.iter());
    let named: Vec<&&str> = all.filter(says).collect();
    match named[..] {
        [only] => Some(*only),
        _ => None,
    }
}

/// The end that words name, the first of several.
pub fn side_said(words: &str) -> Option<&'static str> {
    let named = words.split(|ch: char| !ch.is_alphanumeric()).find_map(|word| {
        SIDES.iter().flat_map(|family| family.iter()).find(|side| **side == word)
    });
    named.copied()
}

/// Whether two sides belong together and are not the same.
fn excludes(one: &str, other: &str) -> bool {
    one != other && SIDES.iter().any(|family| family.contains(&one) && family.contains(&other))
}

/// Small words beside a yes, a no or the state asked about.
#[rustfmt::skip]
const SMALL: &[&str] = &[
    "the", "a", "an", "is", "are", "it", "its", "it's", "they", "they're", "all", "both", "ends", "end",
    "everything", "everythings", "everything's", "that", "that's", "thats", "there", "theres",
    "there's", "at", "of", "to", "i", "can", "feel", "felt", "any", "nice", "and", "still", "now",
    "just", "really", "very", "good", "fine", "either", "on", "as", "before", "did", "does", "was",
    "were", "been", "checked", "mate", "them", "all's", "alls", "same", "so", "be", "seems", "looks",
];
/// Those of them that say by themselves that all is well.
const WELL: &[&str] = &["good", "fine"];
const NOT: &[&str] = &[
    "no", "not", "isnt", "isn't", "arent", "aren't", "none", "nothing", "without", "doesnt", "doesn't",
    "didnt", "didn't", "never", "wont", "won't", "cant", "can't", "cannot", "couldnt", "couldn't",
];
/// States and what they are not (common practice, no source).
const OPPOSITES: &[(&str, &str)] = &[
    ("tight", "loose"), ("clean", "dirty"), ("sharp", "dull"), ("freely", "stiff"), ("free", "stiff"),
    ("level", "uneven"), ("straight", "bent"), ("straight", "bowed"), ("whole", "broken"),
    ("smooth", "rough"), ("smoothly", "roughly"), ("firm", "slack"),
];

fn yes_or_no(asked: &StepReading, words: &str) -> Spoken {
    let (head, rest) = words.split_once([',', ';', '.']).unwrap_or((words, ""));
    let rest = rest.trim();
    let plain = head.trim();
    let against = words.split_whitespace().any(|word| {
        matches!(bare(word), "but" | "except" | "apart" | "until" | "though" | "nearly" | "almost")
    });
    let told = match led_by(plain) {
        Some(_) if against => return doubt(asked),
        // "No play" of a label that says "No play felt" is no answer of no.
        Some((false, behind)) if !is_sentence(behind) && state(asked, plain).is_some() => {
            state(asked, plain)
        }
        // "Yes everything's tight": what follows has to agree.
        Some((yes, behind)) => match state(asked, behind).filter(|_| !behind.is_empty()) {
            Some(state) if state != yes => return doubt(asked),
            _ => Some(yes),
        },
        None if against => None,
        None => state(asked, plain),
    };
    match told {
        Some(true) => Spoken::Value(Value::Yes, rest.to_owned()),
        Some(false) => Spoken::Value(Value::No, rest.to_owned()),
        None => Spoken::Nothing,
    }
}

/// "There is play", not "play".
fn is_sentence(behind: &str) -> bool {
    behind.is_empty()
        || behind.split_whitespace().any(|word| {
            matches!(
                word,
                "is" | "are" | "was" | "were" | "there" | "there's" | "theres" | "has" | "it" | "it's"
                    | "they" | "they're" | "one" | "some" | "still" | "its"
            )
        })
}

fn doubt(asked: &StepReading) -> Spoken {
    Spoken::Doubt(format!("Is that a yes or a no to \"{}\"", asked.label))
}

/// A yes or no at the beginning, and what is said behind it.
fn led_by(plain: &str) -> Option<(bool, &str)> {
    const NO_ANSWER: &[&str] = &[
        "clue", "idea", "need", "worries", "rush", "thanks", "wonder", "point", "chance", "way",
    ];
    const ASKING: &[&str] = &["where", "what", "how", "which", "why", "who", "when"];
    let (first, rest) = plain.split_once(' ').unwrap_or((plain, ""));
    // "No clue where it goes" says no to nothing.
    let mut behind = rest.split_whitespace();
    if behind.clone().next().is_some_and(|word| NO_ANSWER.contains(&word))
        || behind.any(|word| ASKING.contains(&word))
    {
        return None;
    }
    let yes = match first {
        "yes" | "yep" | "yeah" | "yup" | "aye" | "y" => true,
        "no" | "nope" | "nah" | "n" => false,
        _ => return None,
    };
    Some((yes, rest.trim()))
}

/// What the words say of the state that the label names.
fn state(asked: &StepReading, text: &str) -> Option<bool> {
    let label: Vec<String> = asked
        .label
        .split(|ch: char| !ch.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let in_label = |word: &str| label.iter().any(|known| known == word);
    let denied_there = label.iter().any(|word| NOT.contains(&word.as_str()));
    let said: Vec<&str> =
        text.split_whitespace().map(bare).filter(|word| !word.is_empty()).collect();
    let mut denied = false;
    let mut names = false;
    let mut well = false;
    for word in said {
        let opposite = OPPOSITES.iter().any(|(one, other)| {
            (in_label(one) && *other == word) || (in_label(other) && *one == word)
        });
        if NOT.contains(&word) {
            denied = !denied;
        } else if opposite {
            (denied, names) = (!denied, true);
        } else if in_label(word) && !SMALL.contains(&word) {
            names = true;
        } else if WELL.contains(&word) {
            well = true;
        } else if !SMALL.contains(&word) {
            return None;
        }
    }
    match (names, well) {
        (true, _) => Some(denied == denied_there),
        (false, true) => Some(!denied),
        (false, false) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(label: &str, unit: &str, accept: Acceptance) -> StepReading {
        let (id, unit, label) = ("x".into(), unit.into(), label.into());
        StepReading { id, unit, label, accept, otherwise_step: None }
    }

    fn range(label: &str, unit: &str, min: f64, max: f64) -> StepReading {
        asked(label, unit, Acceptance::Range { min, max })
    }

    /// A thou is a thousandth of 25.4 mm (NIST SP 811).
    #[test]
    fn a_number_in_a_sentence_is_the_reading() {
        let bristle = range("Bristle left", "mm", 2.0, 80.0);
        let leading = range("Clearance at the leading end", "mm", 0.0, 0.08);
        let trailing = range("Clearance at the trailing end", "mm", 0.0, 0.08);
        let middle = range("Diameter in the middle", "mm", 50.0, 300.0);
        let turning = range("Reel speed", "rev/min", 1.0, 9e3);
        for (asked, words, wanted) in [
            (&bristle, "about 12mm left on it", Some(12.0)),
            (&bristle, "done, its 1mm now", Some(1.0)),
            (&bristle, "no sorry it was 11", Some(11.0)),
            (&leading, "leading end is .002", Some(0.050_8)),
            (&leading, "left 5 thou right 3 thou", Some(0.127)),
            (&leading, "trailing 2 thou, leading 3 thou", Some(0.076_2)),
            (&trailing, "trailing's two thou", Some(0.050_8)),
            (&middle, "126.2 in the middle", Some(126.2)),
            (&middle, "4.97 in at the middle", Some(126.238)),
            (&turning, "2200 rpm on the tacho", Some(2200.0)),
            (&bristle, "is 2 mm enough?", None),
            (&bristle, "backlapped unit 3 for 20 minutes", None),
            (&bristle, "20 minutes so far", None),
            (&bristle, "3 blades are nicked", None),
            (&leading, "3 to 4", None),
        ] {
            let got = match value(asked, words, false) {
                Spoken::Value(Value::Number(got), _) => Some(got),
                _ => None,
            };
            let same = match (got, wanted) {
                (Some(got), Some(wanted)) => (got - wanted).abs() < 1e-9,
                (got, wanted) => got == wanted,
            };
            assert!(same, "{words}: {got:?}");
        }
        let other = value(&leading, "trailing end 2 thou", false);
        assert!(matches!(other, Spoken::Doubt(_)), "{other:?}");
    }

    #[test]
    fn a_yes_or_no_may_say_more() {
        let tight = asked("Bedknife and bedbar fixings tight", "yes/no", Acceptance::Yes);
        let play = asked("No play felt at either end of the reel", "yes/no", Acceptance::Yes);
        for (asked, words, wanted) in [
            (&tight, "yes everythings tight, no play", Some(Value::Yes)),
            (&tight, "all tight", Some(Value::Yes)),
            (&tight, "tight", Some(Value::Yes)),
            (&tight, "all good", Some(Value::Yes)),
            (&tight, "no, one was loose", Some(Value::No)),
            (&tight, "they're loose", Some(Value::No)),
            (&play, "no play", Some(Value::Yes)),
            (&play, "cant feel any play", Some(Value::Yes)),
            (&play, "there's play", Some(Value::No)),
            (&play, "yes", Some(Value::Yes)),
            (&play, "no, there is play", Some(Value::No)),
            (&tight, "are they meant to be tight", None),
            (&tight, "the drive side rumbles", None),
        ] {
            let got = match value(asked, words, false) {
                Spoken::Value(got, _) => Some(got),
                _ => None,
            };
            assert_eq!(got, wanted, "{words}");
        }
        let but = value(&tight, "yes but one keeps coming loose", false);
        assert!(matches!(but, Spoken::Doubt(_)), "{but:?}");
    }
}
