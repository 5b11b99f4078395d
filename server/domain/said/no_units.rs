//! Which words look like a unit and are none: "4 in the morning", "3 flat blades", "M10 thread"?
//! Deliberately absent: the units themselves, which `said_units` has.

use super::numbers::{Number, is_middle, number_at, word};
use super::said_units::unit_at;
use crate::domain::language::text::Token;

/// "Unit 1 in January"; "may" is another word as well.
#[rustfmt::skip]
const MONTHS: &[&str] = &[
    "january", "february", "march", "april", "june", "july", "august", "september", "october",
    "november", "december", "jan", "feb", "mar", "apr", "jun", "jul", "aug", "sep", "sept", "oct", "nov",
    "dec", "spring", "summer", "autumn", "winter", "last",
];

/// Words that look like a unit and are none here.
pub(super) fn is_no_unit(
    tokens: &[Token],
    number: &Number,
    (symbol, last): (&'static str, usize),
) -> bool {
    let said = tokens[last].text.as_str();
    let single = last == number.last + 1;
    let next = tokens.get(last + 1).map_or("", |token| token.text.as_str());
    match symbol {
        // "4 in the morning", "3 in total".
        "in" if said == "in" => {
            const NO_UNIT: &[&str] = &[
                "the", "a", "my", "our", "one", "each", "total", "all", "this", "service", "use",
                "stock", "there", "it",
            ];
            // "126.8 in, 126.3 out": so many inches are told in whole ones (from memory).
            let far = number.value > 30.0 && number.value.fract() != 0.0;
            // "20,000 in repairs": nothing of ours has so many inches (from memory).
            let far = far || number.value >= 1_000.0;
            let named = MONTHS.contains(&next);
            NO_UNIT.contains(&next) || named || is_time(tokens, last + 1) || far
        }
        // "0.6 a turn" is what a turn is worth.
        "turns" if tokens[number.last + 1].text == "a" => {
            !number.in_words && !number.fraction && number.value.fract() != 0.0
        }
        "tpi" if said == "thread" => is_pitch(tokens, number),
        // "12 flats" is a unit, "3 flat blades" is not.
        "flats" => next == "blade" || next == "blades" || is_exactly(number, said),
        "s" if said == "s" => single && are_sizes(tokens, last),
        "s" => single && matches!(said, "second") && is_ordinal_place(tokens, last),
        // ".500 bar readings".
        "bar" => matches!(next, "reading" | "readings" | "height" | "heights" | "check"),
        "N" => single && said == "n",
        // "L 0.03 M 0.04 R 0.05".
        "m" => said == "m" && is_middle(tokens, last),
        // "triplex 2's", "6's".
        "ft" => said == "'" && next == "s",
        _ => false,
    }
}

/// "M10 thread", "1.5 thread": a size or a pitch; "an 18 thread screw" has so many to the inch, and
/// no adjuster has fewer than eleven (common practice, no source).
fn is_pitch(tokens: &[Token], number: &Number) -> bool {
    const FEWEST: f64 = 11.0;
    let sized = number.last > 0 && word(tokens, number.last - 1) == Some("m");
    sized || number.value < FEWEST || number.value.fract() != 0.0
}

/// "14.1 and fourteen flat": a nut has six flats, and no such part of one is told.
fn is_exactly(number: &Number, said: &str) -> bool {
    let parts = (number.value * 4.0).fract() != 0.0 && !number.fraction;
    said == "flat" && (number.value > 6.0 || parts)
}

/// "From 50 mm rollers to 60s": things of a size, and no seconds.
fn are_sizes(tokens: &[Token], at: usize) -> bool {
    let touches = at > 0 && tokens[at - 1].end == tokens[at].start;
    let things = ["roller", "rollers", "blades", "brushes", "reels", "wheels"];
    touches && tokens.iter().any(|token| things.contains(&token.text.as_str()))
}

/// "In four weeks", "in about 10 days": a time follows.
fn is_time(tokens: &[Token], at: usize) -> bool {
    let about = matches!(word(tokens, at), Some("about" | "around" | "under" | "roughly" | "just"));
    let number = number_at(tokens, at + usize::from(about));
    let unit = number.and_then(|number| unit_at(tokens, number.last + 1));
    unit.is_some_and(|(unit, _)| {
        matches!(unit, "h" | "min" | "s" | "days" | "weeks" | "fortnights" | "months" | "years")
    })
}

fn is_ordinal_place(tokens: &[Token], at: usize) -> bool {
    tokens.get(at + 1).is_some_and(|next| {
        matches!(next.text.as_str(), "unit" | "reel" | "head" | "blade" | "mower" | "pass")
    })
}
