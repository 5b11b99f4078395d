//! What does a sentence say to somebody who works in inches? Its lengths in inches, its speeds in
//! miles an hour or feet a minute, its pressures in psi.
//! Deliberately absent: results with a field of their own (`answer`), and what was typed.

use crate::commands::Units;
use sward_core::domain::units;

/// Speeds from this on are those of blade tips and wheels, told in feet a minute (no source).
const OF_TIPS_MPS: f64 = 15.0;
/// Beginnings of lines that quote.
const QUOTES: &[&str] = &["words: ", "Assumed: ", "Not used: "];
/// Under this a length is told to a tenth of a thousandth (no source).
const FINE_MM: f64 = 0.1;

/// Every length, speed and pressure of a line in the units that were asked for. What the line says
/// in both already, it says once. What is asked in mm is asked in inches, and what was said is
/// quoted as it was said.
pub fn in_units_of(text: &str, shown_in: Units) -> String {
    let quotes = QUOTES.iter().any(|start| text.trim_start().starts_with(start));
    if shown_in == Units::Mm || quotes {
        return text.to_owned();
    }
    let text = asked_in_inches(text);
    let mut words: Vec<String> = text.split(' ').map(str::to_owned).collect();
    say_once(&mut words);
    let mut told = 0;
    for at in 1..words.len() {
        // "3.2 mm is 0.126 in": told because it was asked.
        let is = words.get(at + 1).is_some_and(|next| next == "is");
        let inch = |pair: &[String]| number_in(&pair[0]).is_some() && is_inch(&pair[1]);
        if is && words[at + 2..].windows(2).any(inch) {
            continue;
        }
        let unit = words[at].trim_end_matches([')', ',', '.', ';', ':', '?']).to_owned();
        let Some(shown) = convert(&mut words[at - 1], &unit) else { continue };
        if at >= 3 && words[at - 2] == "to" {
            convert(&mut words[at - 3], &unit);
        }
        // "At least 20 and at most 1000 mm".
        let bounds = at >= 5 && matches!(&*words[at - 2], "most" | "under");
        let low = if words.get(at.wrapping_sub(3)).is_some_and(|word| word == "at") { 5 } else { 4 };
        if bounds && at >= low && words[at - low + 1] == "and" {
            convert(&mut words[at - low], &unit);
        }
        if unit == "mm" {
            convert_list(&mut words[told..at]);
        }
        told = at;
        words[at] = format!("{shown}{}", &words[at][unit.len()..]);
    }
    drop_repeats(&mut words);
    words.join(" ")
}

/// "2.86 mph (2.86 mph)": two units that come to one are said once.
fn drop_repeats(words: &mut Vec<String>) {
    let mut at = 2;
    while at + 1 < words.len() {
        let inside = words[at].strip_prefix('(').is_some_and(|number| number == words[at - 2]);
        let unit = words[at + 1].split_once(')');
        let unit = unit.filter(|(unit, _)| inside && *unit == words[at - 1]);
        match unit.map(|(_, behind)| behind.to_owned()) {
            Some(behind) => {
                words[at - 1].push_str(&behind);
                words.drain(at..=at + 1);
            }
            None => at += 1,
        }
    }
}

/// A number of one unit as it is said in the other, and that unit; none for units that stay.
fn other_unit(unit: &str, (value, decimals): (f64, usize)) -> Option<(String, &'static str)> {
    let to = |unit_to: &str| units::convert(value, unit, unit_to);
    Some(match unit {
        "mm" => (inches((value, decimals)), "in"),
        "m/s" if value >= OF_TIPS_MPS => (units::decimal(to("ft/min")?, 0), "ft/min"),
        "m/s" | "km/h" => (units::decimal(to("mph")?, 2), "mph"),
        "kPa" => (units::decimal(to("psi")?, 1), "psi"),
        _ => return None,
    })
}

/// Rounding that takes more of a small length is none (no source).
const LOST_MAX: f64 = 0.03;

/// As many decimals as mm had and two more, to a thousandth at most.
fn inches((value, decimals): (f64, usize)) -> String {
    let most = 3 + usize::from(value.abs() < FINE_MM);
    let inches = value / units::INCH_MM;
    let told = (decimals + 2).min(most);
    let rounded: f64 = units::decimal(inches, told).parse().unwrap_or(inches);
    // 0.0096 is not told as 0.01.
    let lost = (rounded - inches).abs() > LOST_MAX * inches.abs();
    units::decimal(inches, if lost && decimals > 2 { told + 1 } else { told })
}

/// Puts the number of a word into the other unit, which is the answer; what stands around it stays.
fn convert(word: &mut String, unit: &str) -> Option<&'static str> {
    let (told, shown) = other_unit(unit, number_in(word)?)?;
    let start = word.find(is_figure).unwrap_or(0);
    let end = word.rfind(|ch: char| ch.is_ascii_digit()).map_or(word.len(), |at| at + 1);
    word.replace_range(start..end, &told);
    Some(shown)
}

/// "1 left 3.48; 1 right 3.47; 2 left 3.5 mm": the unit stands only once, at the end.
fn convert_list(words: &mut [String]) {
    let last = words.len().saturating_sub(1);
    let sentence = words[..last].iter().rposition(|word| word.ends_with([':', '.']));
    let own = sentence.map_or(0, |end| end + 1);
    for word in words[own..last].iter_mut().filter(|word| word.ends_with(';')) {
        convert(word, "mm");
    }
    // "3.48, 3.47, 3.5 mm": as far back as nothing but numbers stands.
    for word in words[own..last].iter_mut().rev() {
        if !word.ends_with(',') || convert(word, "mm").is_none() {
            break;
        }
    }
}

/// "38 mm (1.5 in)" and "1.5 in (38 mm)" are said once, in inches.
fn say_once(words: &mut Vec<String>) {
    let mut at = 1;
    while at < words.len() {
        let is_mm = |word: &String| word.trim_end_matches([')', ',', '.', ';']) == "mm";
        if is_mm(&words[at]) && number_in(&words[at - 1]).is_some() {
            let from = if at >= 3 && words[at - 2] == "to" { at - 3 } else { at - 1 };
            if words[from].starts_with('(') && from >= 1 && is_inch(&words[from - 1]) {
                let behind = words[at].trim_start_matches("mm)").to_owned();
                words[from - 1].push_str(&behind);
                words.drain(from..=at);
                at = from;
                continue;
            }
            if let Some(end) = inches_behind(words, at) {
                words[end] = words[end].replacen(')', "", 1);
                words[at + 1].remove(0);
                words.drain(from..=at);
                at = from;
            }
        }
        at += 1;
    }
}

/// Where "(1.5 in)" or "(1 to 1.5 in)" right behind this word ends.
fn inches_behind(words: &[String], at: usize) -> Option<usize> {
    words.get(at + 1).filter(|word| word.starts_with('('))?;
    let mut ends = at + 2..(at + 5).min(words.len());
    ends.find(|&end| is_inch(&words[end]) && words[end].contains(')'))
}

fn is_inch(word: &str) -> bool {
    matches!(word.trim_matches([')', ',', '.', ';']), "in" | "inch" | "inches")
}

/// "(mm, good: 0 to 0.08)" as "(in, good: 0 to 0.003)".
fn asked_in_inches(text: &str) -> String {
    const ASKED: &str = "(mm, good: ";
    let Some((before, rest)) = text.split_once(ASKED) else { return text.to_owned() };
    let Some((range, behind)) = rest.split_once(')') else { return text.to_owned() };
    let both = range.split_once(" to ").and_then(|(min, max)| {
        Some((number_in(min)?, number_in(max)?))
    });
    match both {
        Some((min, max)) => {
            format!("{before}(in, good: {} to {}){behind}", inches(min), inches(max))
        }
        None => text.to_owned(),
    }
}

fn is_figure(ch: char) -> bool {
    ch.is_ascii_digit() || matches!(ch, '.' | '-' | '\u{2212}')
}

/// A number that is all of a word but its signs, and its decimals.
fn number_in(word: &str) -> Option<(f64, usize)> {
    let number = word.trim_start_matches('(').trim_end_matches([';', ',', ')']);
    let number = number.replace('\u{2212}', "-");
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let told = number.starts_with(is_figure) && number.ends_with(|ch: char| ch.is_ascii_digit());
    number.parse().ok().filter(|_| told).map(|value| (value, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By the exact factors of NIST SP 811 (published): 25.4 mm, 0.44704 m/s, 6.894757 kPa.
    #[test]
    fn a_sentence_is_told_in_inches_only() {
        for (text, wanted) in [
            ("Set 3.175 mm.", "Set 0.125 in."),
            ("raise 0.50 mm, now", "raise 0.02 in, now"),
            ("0.004 mm/h of wear", "0.004 mm/h of wear"),
            ("from (12.7 mm)", "from (0.5 in)"),
            ("a few mm", "a few mm"),
            ("gauges 0.03 to 0.10 mm;", "gauges 0.0012 to 0.004 in;"),
            ("38 mm (1.5 in) of it", "1.5 in of it"),
            ("below 1.5 in (38 mm), or so", "below 1.5 in, or so"),
            ("0.001 to 0.003 in (0.025 to 0.076 mm).", "0.001 to 0.003 in."),
            ("0.025 to 0.076 mm (0.001 to 0.003 in).", "0.001 to 0.003 in."),
            ("Read: The gap (mm, good: 0 to 0.08)", "Read: The gap (in, good: 0 to 0.0031)"),
            ("| 0 to 0.08 mm | yes", "| 0 to 0.0031 in | yes"),
            ("-0.254 mm (-0.01 in)", "-0.01 in"),
            ("bar: 1 left 3.48; 2 left 3.5 mm", "bar: 1 left 0.137; 2 left 0.138 in"),
            (
                "bar, 1 left 9.5; 1 right 9.47 mm, target 9.5 mm",
                "bar, 1 left 0.374; 1 right 0.373 in, target 0.374 in",
            ),
            ("height 3.48, 3.5 mm; target 3.5 mm", "height 0.137, 0.138 in; target 0.138 in"),
            ("3.2 mm is 0.126 in.", "3.2 mm is 0.126 in."),
            ("more than 3 mm is taken in steps", "more than 0.12 in is taken in steps"),
            ("drive at 1.11 m/s, or", "drive at 2.48 mph, or"),
            ("tips at 80 m/s.", "tips at 15748 ft/min."),
            ("70 kPa", "10.2 psi"),
            ("Drive at 1.28 m/s (4.6 km/h).", "Drive at 2.86 mph."),
            ("at least 20 and at most 1000 mm (why)", "at least 0.79 and at most 39.37 in (why)"),
            ("over 0 and under 5 mm", "over 0 and under 0.2 in"),
            ("unit 3 at 5 mm", "unit 3 at 0.2 in"),
            ("  words: set to 3.2 mm", "  words: set to 3.2 mm"),
            ("  Assumed: 3.5 taken as 3.5 mm", "  Assumed: 3.5 taken as 3.5 mm"),
        ] {
            assert_eq!(in_units_of(text, Units::In), wanted);
            assert_eq!(in_units_of(text, Units::Mm), text);
        }
    }
}
