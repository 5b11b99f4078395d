//! What is one length less or more another ("what's .110 minus a sixteenth"), what is the average of
//! lengths and how far are they apart ("3.48, 3.52 and 3.55, how far apart"), and where do blade tips
//! stand that go so far under the cut ("from .125 to .110, a sixteenth under the cut")? Sums of one step
//! that say all their numbers, or ask it of lengths that were told just now.
//! Deliberately absent: turns of an adjuster and depths that the turf decides (`settings`).

use crate::domain::intent::lengths::CUT_MM;
use crate::domain::language::text::{Kind, Token, says, text_at, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{INCH_MM, convert, figures};

/// More words than these tell more than a sum.
const WORDS_MAX: usize = 32;
/// Words between a depth and what it is under: "a sixteenth inch below the".
const NEAR: usize = 2;
/// Words around a sum that ask for nothing but it.
const OF_SUMS: &[&str] = &[
    "what", "whats", "what's", "is", "s", "how", "much", "many", "the", "a", "an", "of", "to", "does", "do", "make",
    "makes", "come", "comes", "that", "it", "be", "would", "will", "in", "inch", "inches", "mm", "thou", "metric", "so",
    "ok", "and", "then", "give", "gives", "get", "i", "we", "you", "me", "please", "height", "cut", "bench", "hoc",
    "setting", "at", "if", "from", "set", "go", "now", "if", "off", "out", "work", "tell",
];
/// Figures of an answer.
const FIGURES: i32 = 4;

/// A length in mm, and whether it was said in inches.
#[derive(Clone, Copy)]
struct Length {
    mm: f64,
    inches: bool,
}

impl Length {
    fn of(one: &Quantity) -> Option<Length> {
        let said = one.unit.or((one.leading_point || one.fraction).then_some("in"));
        let unit = said.or((one.value.fract() != 0.0).then_some("mm"))?;
        let inches = matches!(unit, "in" | "thou");
        convert(one.value, unit, "mm").map(|mm| Length { mm, inches })
    }

    /// "0.0475 in (1.207 mm)", in the unit that was said first.
    fn told(mm: f64, inches: bool) -> String {
        let (mm, inch) = (figures(mm, FIGURES), figures(mm / INCH_MM, FIGURES));
        if inches { format!("{inch} in ({mm} mm)") } else { format!("{mm} mm ({inch} in)") }
    }
}

/// The sum that the words ask for.
pub(super) fn worked_out(words: &str) -> Option<String> {
    let all = tokens(words);
    if all.len() > WORDS_MAX || !asks(&all) {
        return None;
    }
    if asks_more_of_them(&all) {
        return None;
    }
    let sum = tips_under_the_cut(&all).or_else(|| more_or_less(&all));
    sum.or_else(|| average_and_apart(&all, &readings(&all)?))
}

/// "The difference between 8 mm and 10 mm on the look of the grass": what it does, and no sum.
fn asks_more_of_them(all: &[Token]) -> bool {
    const OF_WHAT: &[&str] = &["unit", "units", "ends", "end", "left", "right", "front", "rear", "side", "sides", "one", "other"];
    let Some(last) = quantities(all).last().map(|one| one.last) else { return false };
    let lists = [OF_SUMS, APART, AVERAGE, OF_WHAT];
    let known = |word: &str| lists.iter().any(|list| list.contains(&word));
    let behind = all[last + 1..].iter().filter(|token| token.kind == Kind::Word);
    let on = matches!(text_at(all, last + 1), "cut" | "on" | "for" | "to");
    let mut more = behind.into_iter();
    says(all, &["difference"]) && on && more.any(|token| !known(token.text.as_str()))
}

/// "How far apart are they", "and the average": the same of the lengths that were told last.
pub(super) fn of_those_told(words: &str, told: &str) -> Option<String> {
    const SHORT_MAX: usize = 9;
    const POINTING: &[&str] =
        &["they", "them", "those", "these", "all", "three", "two", "four", "ends", "units", "both", "readings", "heights"];
    let all = tokens(words);
    let known = |token: &Token| {
        let word = token.text.as_str();
        [OF_SUMS, APART, AVERAGE, POINTING].iter().any(|list| list.contains(&word)) || word == "are"
    };
    let plain = all.iter().filter(|token| token.kind == Kind::Word).all(known);
    let figures = words.contains(|ch: char| ch.is_ascii_digit());
    if all.len() > SHORT_MAX || figures || !plain {
        return None;
    }
    average_and_apart(&all, &readings(&tokens(told))?)
}

/// What asks for the middle of several, and how far they lie apart.
const AVERAGE: &[&str] = &["average", "averages", "avg", "mean"];
const APART: &[&str] = &["apart", "spread", "range", "differ", "difference", "far", "between"];
/// Readings of one thing are no more than so many times the least (common practice, no source).
const ALIKE: f64 = 2.0;

/// The lengths of one sort that were said: several of a size, beside names with a number at most.
fn readings(all: &[Token]) -> Option<Vec<Length>> {
    const BEFORE_NAMES: &[&str] = &["unit", "units", "no", "number", "walker", "reel", "head", "all", "and", ","];
    let said = quantities(all);
    let lengths: Vec<Length> = said.iter().filter_map(Length::of).collect();
    let named = |one: &Quantity| {
        let before = one.first.checked_sub(1).map_or("", |at| text_at(all, at));
        let whole = one.unit.is_none() && one.value.fract() == 0.0;
        whole && (one.in_words || BEFORE_NAMES.contains(&before))
    };
    let other = said.iter().any(|one| Length::of(one).is_none() && !named(one));
    let most = lengths.iter().map(|one| one.mm).fold(0.0, f64::max);
    let least = lengths.iter().map(|one| one.mm).fold(f64::MAX, f64::min);
    let alike = lengths.len() > 1 && least > 0.0 && most <= ALIKE * least;
    let unit = lengths.first()?.inches;
    (alike && !other && lengths.iter().all(|one| one.inches == unit)).then_some(lengths)
}

/// "Average 3.517 mm. The furthest apart are 0.07 mm, from 3.48 to 3.55 mm."
fn average_and_apart(all: &[Token], lengths: &[Length]) -> Option<String> {
    let average = says(all, AVERAGE);
    let apart = says(all, &["apart", "spread", "range", "differ"])
        || (says(all, &["difference"]) && says(all, &["between", "what", "whats"]));
    let inches = lengths.first()?.inches;
    let told = |mm: f64| Length::told(mm, inches);
    let most = lengths.iter().map(|one| one.mm).fold(f64::MIN, f64::max);
    let least = lengths.iter().map(|one| one.mm).fold(f64::MAX, f64::min);
    let middle = lengths.iter().map(|one| one.mm).sum::<f64>() / lengths.len() as f64;
    let middle = average.then(|| format!("The average of {} is {}.", lengths.len(), told(middle)));
    let spread = apart.then(|| match most - least {
        none if none < 1e-9 => format!("All are {}.", told(most)),
        spread => format!("They lie {} apart, from {} to {}.", told(spread), told(least), told(most)),
    });
    let lines: Vec<String> = middle.into_iter().chain(spread).collect();
    (!lines.is_empty()).then(|| lines.join(" "))
}

fn asks(all: &[Token]) -> bool {
    let asking = ["how", "what", "whats", "where", "wheres", "?"];
    says(all, &asking)
}

/// ".110 minus a sixteenth".
fn more_or_less(all: &[Token]) -> Option<String> {
    let said = quantities(all);
    let [one, two] = &said[..] else { return None };
    let sign = match text_at(all, one.last + 1) {
        "minus" | "less" => -1.0,
        "plus" => 1.0,
        "more" if text_at(all, one.last + 2) == "than" => 1.0,
        _ => return None,
    };
    let within = |at: usize| [one, two].iter().any(|said| (said.first..=said.last).contains(&at));
    let between = one.last + 1..two.first;
    let mut outside = (0..all.len()).filter(|at| !within(*at) && !between.contains(at));
    let word = |at: usize| all[at].kind == Kind::Word;
    let more_asked = outside.any(|at| word(at) && !OF_SUMS.contains(&text_at(all, at)));
    if two.first > one.last + 3 || more_asked {
        return None;
    }
    // "5 mm less than 10 mm" is taken from the 10; without "what" it asks whether it is.
    let than = text_at(all, one.last + 2) == "than";
    let what = all.iter().any(|token| matches!(token.text.as_str(), "what" | "whats" | "what's"));
    if than && !what {
        return None;
    }
    let (one, two) = if than { (two, one) } else { (one, two) };
    let (first, second) = (Length::of(one)?, Length::of(two)?);
    // "Minus a sixteenth" may be heard as a number below nothing.
    let second = Length { mm: second.mm.abs(), ..second };
    let sum = Length::told(first.mm + sign * second.mm, first.inches);
    let way = if sign < 0.0 { "less" } else { "and" };
    let told = |length: Length| Length::told(length.mm, first.inches);
    Some(format!("{} {way} {} is {sum}.", told(first), told(second)))
}

/// "From .125 to .110, how far down for a sixteenth under the cut": tips stand at the height of cut less
/// their depth, over the line of the rollers.
fn tips_under_the_cut(all: &[Token]) -> Option<String> {
    const TIPS: &[&str] = &[
        "verticut", "verticuts", "verticutter", "verticutters", "groomer", "groomers", "tips", "scarifier",
    ];
    const CUT: &[&str] = &["cut", "height", "hoc", "bench", "mowing"];
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let said = quantities(all);
    let lengths: Vec<(&Quantity, Length)> =
        said.iter().filter_map(|one| Some((one, Length::of(one)?))).collect();
    let under = |one: &Quantity| {
        let below = (one.last + 1..=one.last + NEAR)
            .find(|at| matches!(text_at(all, *at), "under" | "below" | "beneath"));
        below.is_some_and(|at| (at + 1..at + 4).any(|at| CUT.contains(&text_at(all, at))))
    };
    let depths: Vec<&(&Quantity, Length)> = lengths.iter().filter(|(one, _)| under(one)).collect();
    let [(_, depth)] = depths[..] else { return None };
    let heights: Vec<Length> =
        lengths.iter().filter(|(one, _)| !under(one)).map(|(_, length)| *length).collect();
    let last = heights.last()?;
    if !has(TIPS) || heights.len() > 2 || !heights.iter().all(|one| CUT_MM.contains(&one.mm)) {
        return None;
    }
    let told = |mm: f64| Length::told(mm, last.inches);
    let stands = |height: &Length| match height.mm - depth.mm {
        over if over >= 0.0 => format!("{} over the roller line", told(over)),
        under => format!("{} under the roller line", told(-under)),
    };
    let now = format!("At {} the tips stand {}", told(last.mm), stands(last));
    let way = format!("the height of cut less {}", told(depth.mm));
    let before = match &heights[..] {
        [before, after] if before.mm != after.mm => {
            let moved = before.mm - after.mm;
            let side = if moved > 0.0 { "lower" } else { "higher" };
            format!(" At {} they stood {}, so they go {} {side}.",
                told(before.mm), stands(before), told(moved.abs()))
        }
        _ => String::new(),
    };
    Some(format!("{now}: {way}.{before} Wear of the blades is not in it: read the tips with the bar."))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 0.110 - 0.0625 = 0.0475 and 0.125 - 0.0625 = 0.0625 in, at 25.4 mm to the inch.
    #[test]
    fn one_length_is_taken_from_another() {
        for (words, wanted) in [
            ("what's .110 minus a sixteenth", Some("0.11 in (2.794 mm) less 0.0625 in (1.587 mm) is 0.0475 in (1.207 mm).")),
            ("what is 3.2 mm plus 0.5 mm", Some("3.2 mm (0.126 in) and 0.5 mm (0.01969 in) is 3.7 mm (0.1457 in).")),
            ("took .110 minus a sixteenth", None),
            ("what is 3 less 2", None),
            ("what is 5 mm less than 10 mm", Some("10 mm (0.3937 in) less 5 mm (0.1969 in) is 5 mm (0.1969 in).")),
            ("what is 0.5 mm more than 10 mm", Some("10 mm (0.3937 in) and 0.5 mm (0.01969 in) is 10.5 mm (0.4134 in).")),
            ("is 5 mm less than 10 mm?", None),
            ("set to 3.2 plus 0.2, what speed do I need", None),
        ] {
            assert_eq!(worked_out(words).as_deref(), wanted, "{words}");
        }
        // By hand: (3.48 + 3.52 + 3.55) / 3 = 3.5167 and 3.55 - 3.48 = 0.07.
        let (average, apart) = (
            "The average of 3 is 3.517 mm (0.1385 in).",
            "They lie 0.07 mm (0.002756 in) apart, from 3.48 mm (0.137 in) to 3.55 mm (0.1398 in).",
        );
        let heights = "bench heights on the triplex were 3.48, 3.52 and 3.55";
        let both = format!("{average} {apart}");
        let all = worked_out(&format!("{heights}, what is the average and how far apart are they"));
        assert_eq!(all.as_deref(), Some(both.as_str()));
        assert_eq!(worked_out("what is the average of 3.48, 3.52 and 3.55 mm?").as_deref(), Some(average));
        assert_eq!(worked_out(heights), None);
        for (words, wanted) in [
            ("how far apart are they", Some(apart)),
            ("and what's the average", Some(average)),
            ("how far apart are the holes", None),
            ("how far apart are they at 5 km/h", None),
            ("what are they", None),
        ] {
            assert_eq!(of_those_told(words, heights).as_deref(), wanted, "{words}");
        }
        assert_eq!(of_those_told("how far apart are they", "set it to 3.5 at 5 km/h"), None);
        let words = "if I go from .125 to .110 how many thousandths down do the verticutters need to be to \
                     go a sixteenth under the cut";
        let told = worked_out(words).expect("a sum");
        assert!(told.starts_with("At 0.11 in (2.794 mm) the tips stand 0.0475 in"), "{told}");
        assert!(told.contains("At 0.125 in (3.175 mm) they stood 0.0625 in"), "{told}");
        assert!(told.contains("so they go 0.015 in (0.381 mm) lower"), "{told}");
        let deep = worked_out("bench .125, where do groomer tips sit 0.15 in below the cut").expect("a sum");
        assert!(deep.contains("0.025 in (0.635 mm) under the roller line"), "{deep}");
    }
}
