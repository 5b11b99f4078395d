//! What number stands at the start of a typed value? Decimals, fractions, mixed fractions, the
//! fraction characters, and number words to ninety-nine with their halves, quarters and sixteenths.
//! Deliberately absent: units, and numbers inside sentences.

use crate::domain::limits::TYPED_MAX;
use crate::domain::said::numerals::{SMALL, TENS};

/// A number read from the start of a text, and what follows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub value: f64,
    /// Written as a fraction, which in this trade means inches unless a unit says otherwise.
    pub fraction: bool,
    /// The text after the number, trimmed.
    pub rest: String,
}

const GLYPHS: &[(char, &str)] = &[
    ('\u{bd}', " 1/2"),
    ('\u{bc}', " 1/4"),
    ('\u{be}', " 3/4"),
    ('\u{2153}', " 1/3"),
    ('\u{2154}', " 2/3"),
    ('\u{215b}', " 1/8"),
    ('\u{215c}', " 3/8"),
    ('\u{215d}', " 5/8"),
    ('\u{215e}', " 7/8"),
    ('\u{2044}', "/"),
    ('\u{2212}', "-"),
    ('\u{2013}', "-"),
];

/// Parts of one that are said as a word. "Thirty second" and "sixty fourth" are two words.
const PARTS: &[(&str, f64)] = &[
    ("half", 2.0),
    ("third", 3.0),
    ("quarter", 4.0),
    ("fourth", 4.0),
    ("fifth", 5.0),
    ("eighth", 8.0),
    ("tenth", 10.0),
    ("sixteenth", 16.0),
];

/// Reads the number at the start of `text`. An error says what is wrong and what to write instead.
pub fn read_number(text: &str) -> Result<Number, String> {
    let mut plain = text.trim().to_lowercase();
    for (glyph, ascii) in GLYPHS {
        plain = plain.replace(*glyph, ascii);
    }
    let plain = plain.trim();
    let (sign, unsigned) = read_sign(plain);
    let starts_in_figures = unsigned.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    let number = if starts_in_figures { read_figures(unsigned)? } else { read_words(unsigned)? };
    if number.value <= TYPED_MAX {
        return Ok(Number { value: sign * number.value, ..number });
    }
    Err(format!("that is more than {TYPED_MAX:e}; write a measured value, such as 3.5 or 5/32"))
}

fn read_sign(text: &str) -> (f64, &str) {
    for (mark, sign) in [("-", -1.0), ("+", 1.0), ("minus ", -1.0), ("plus ", 1.0)] {
        if let Some(rest) = text.strip_prefix(mark) {
            return (sign, rest.trim_start());
        }
    }
    (1.0, text)
}

fn read_figures(text: &str) -> Result<Number, String> {
    let (first, rest) = split_figures(text);
    let first_value = figures_value(first)?;
    if let Some(under) = rest.trim_start().strip_prefix('/')
        && under.trim_start().starts_with(|c: char| c.is_ascii_digit())
    {
        let (below, rest) = split_figures(under.trim_start());
        return finish(divide(first_value, below)?, true, rest);
    }
    if let Some((part, rest)) = following_fraction(rest)? {
        return finish(first_value + part, true, rest);
    }
    finish(first_value, false, rest)
}

/// The fraction of a mixed number: " 1/8" or "-1/8", and what follows it.
fn following_fraction(text: &str) -> Result<Option<(f64, &str)>, String> {
    let joined = text.strip_prefix('-').or_else(|| text.strip_prefix(' ')).unwrap_or(text);
    let (above, rest) = split_figures(joined.trim_start());
    let Some(under) = rest.strip_prefix('/') else { return Ok(None) };
    let (below, rest) = split_figures(under);
    if above.is_empty() || below.is_empty() {
        return Ok(None);
    }
    let part = divide(figures_value(above)?, below)?;
    if part >= 1.0 {
        return Err("write one value, not two".to_owned());
    }
    Ok(Some((part, rest)))
}

fn finish(value: f64, fraction: bool, rest: &str) -> Result<Number, String> {
    let rest = rest.trim();
    let after = rest.strip_prefix('-').or_else(|| rest.strip_prefix("to "));
    if after.is_some_and(|after| after.trim_start().starts_with(|c: char| c.is_ascii_digit())) {
        return Err("that is a range; give the one value to use".to_owned());
    }
    Ok(Number { value, fraction, rest: rest.to_owned() })
}

fn divide(above: f64, below: &str) -> Result<f64, String> {
    let below = figures_value(below)?;
    if below == 0.0 { Err("a fraction cannot be over zero".to_owned()) } else { Ok(above / below) }
}

/// The run of figures, points and commas at the start, and what follows it.
fn split_figures(text: &str) -> (&str, &str) {
    let inside = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    text.split_at(text.find(|c| !inside(c)).unwrap_or(text.len()))
}

fn figures_value(figures: &str) -> Result<f64, String> {
    let mut groups = figures.split('.').next().unwrap_or("").split(',');
    let first = groups.next().unwrap_or("");
    let mut thousands = groups.clone();
    let grouped = figures.contains(',');
    // A comma groups thousands here; read as a decimal mark it would be wrong by a thousand.
    let well_grouped = !first.is_empty() && thousands.all(|group| group.len() == 3);
    if grouped && !(well_grouped && (1..=3).contains(&first.len())) {
        return Err("write the decimal mark as a point, such as 3.5".to_owned());
    }
    let value: Result<f64, _> = figures.replace(',', "").parse();
    value.map_err(|_| "write a number, such as 3.5 or 5/32".to_owned())
}

fn read_words(text: &str) -> Result<Number, String> {
    let spaced = text.replace('-', " ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let (whole, mut used) = read_whole(&words);
    let (mut value, mut fraction) = (whole, false);
    let article = usize::from(matches!(words.first(), Some(&"a" | &"an")));
    if used == 0 {
        used = article;
        value = (article == 1).then_some(1.0);
    }
    if let Some((part, length)) = read_part(&words[used..]) {
        // "Three quarters" multiplies; "half" alone is one half.
        value = Some(value.unwrap_or(1.0) / part);
        (used, fraction) = (used + length, true);
    } else if words.get(used) == Some(&"and") {
        let after = used + 1 + usize::from(matches!(words.get(used + 1), Some(&"a" | &"one")));
        let part = words.get(after..).and_then(read_part);
        if let (Some(whole), Some((part, length))) = (value, part) {
            value = Some(whole + 1.0 / part);
            (used, fraction) = (after + length, true);
        }
    }
    let value = value.ok_or("write a number, such as 3.5 or 5/32")?;
    let rest: Vec<&str> = skip_joining(&words[used..]).to_vec();
    Ok(Number { value, fraction, rest: rest.join(" ") })
}

/// Words such as "of an" between a number and its unit.
fn skip_joining<'a, 'b>(words: &'a [&'b str]) -> &'a [&'b str] {
    let joining = |word: &&&str| matches!(**word, "of" | "a" | "an");
    &words[words.iter().take_while(joining).count()..]
}

/// A whole number in words, and how many words it took.
fn read_whole(words: &[&str]) -> (Option<f64>, usize) {
    let place = |list: &[&str], word: &&str| list.iter().position(|item| item == word);
    let Some(first) = words.first() else { return (None, 0) };
    if let Some(small) = place(SMALL, first) {
        return (Some(small as f64), 1);
    }
    let Some(tens) = place(TENS, first) else { return (None, 0) };
    let tens = 10.0 * (tens as f64 + 2.0);
    match words.get(1).and_then(|word| place(&SMALL[..10], word)).filter(|&ones| ones > 0) {
        Some(ones) => (Some(tens + ones as f64), 2),
        None => (Some(tens), 1),
    }
}

/// What one is divided by in a spoken part, and how many words it took.
fn read_part(words: &[&str]) -> Option<(f64, usize)> {
    let first = words.first()?;
    let second = words.get(1).copied().unwrap_or("");
    match (*first, second) {
        ("thirty", "second" | "seconds") => return Some((32.0, 2)),
        ("sixty", "fourth" | "fourths") => return Some((64.0, 2)),
        ("halves", _) => return Some((2.0, 1)),
        _ => {}
    }
    let singular = first.strip_suffix('s').unwrap_or(first);
    PARTS.iter().find(|(name, _)| *name == singular).map(|&(_, part)| (part, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_they_are_typed() {
        for (text, value, fraction, rest) in [
            ("3.8 mph", 3.8, false, "mph"),
            (".125", 0.125, false, ""),
            ("5/32\"", 0.156_25, true, "\""),
            ("1 1/8 in", 1.125, true, "in"),
            ("1-1/8\"", 1.125, true, "\""),
            ("3\u{bd} in", 3.5, true, "in"),
            ("\u{bd}in", 0.5, true, "in"),
            ("3,450rpm", 3_450.0, false, "rpm"),
            ("-0.4 mm", -0.4, false, "mm"),
            ("\u{2212}0.4 mm", -0.4, false, "mm"),
            ("three thou", 3.0, false, "thou"),
            ("ten thousandths", 10.0, false, "thousandths"),
            ("a sixteenth", 0.062_5, true, ""),
            ("one thirty-second", 0.031_25, true, ""),
            ("three sixteenths of an inch", 0.187_5, true, "inch"),
            ("half inch", 0.5, true, "inch"),
            ("half an inch", 0.5, true, "inch"),
            ("two and a half inches", 2.5, true, "inches"),
            ("three quarters of an inch", 0.75, true, "inch"),
            ("ninety-nine thou", 99.0, false, "thou"),
            ("twenty thou", 20.0, false, "thou"),
        ] {
            let wanted = Number { value, fraction, rest: rest.to_owned() };
            assert_eq!(read_number(text), Ok(wanted), "{text}");
        }
    }

    #[test]
    fn what_is_not_one_number_is_refused() {
        for text in [
            "",
            "-",
            "mm",
            "3-4 mm",
            "3 to 4",
            "1/2 - 5/8",
            "1/0",
            "3,5 mm",
            "1.2.3",
            "..",
            "inf",
            "NaN",
            "of an inch",
            "1,23,456",
            "1000000000000001",
            "1000000000000000 1/2",
            "1/0.0000000000000001",
            &"9".repeat(400),
        ] {
            assert!(read_number(text).is_err(), "{text} was read as {:?}", read_number(text));
        }
    }
}
