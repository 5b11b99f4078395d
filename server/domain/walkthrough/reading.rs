//! What does a value typed for a reading mean, and is it good? A bare number is in the unit that
//! was asked for; another unit of the same kind is converted. Lengths of somebody who works in
//! inches, and those that begin with the point, are inches. Where both fit, or a gauge could not
//! show the number, it is asked. Nothing is rounded or clamped.

use serde::{Deserialize, Serialize};

use crate::domain::catalogue::{Acceptance, StepReading};
use crate::domain::number_text::read_number;
use crate::domain::units::{Kind, Unit, convert, parse_quantity, plain};

/// A value read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Value {
    /// In the unit of the reading.
    Number(f64),
    Yes,
    No,
}

/// How a value stands against what is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judgement {
    Good,
    Over,
    Under,
    /// The answer to a yes-or-no question was no.
    NotSo,
}

/// Numbers so large are slips of the finger in every unit of the trade.
const NUMBER_MAX: f64 = 1e6;

/// The value that was typed, or what to write instead.
/// `inches`: whoever reads works in inches.
pub fn read(asked: &StepReading, text: &str, inches: bool) -> Result<Value, String> {
    let text = text.trim().trim_end_matches(['.', '!']).trim();
    if asked.accept == Acceptance::Yes {
        return yes_or_no(text)
            .map(|yes| if yes { Value::Yes } else { Value::No })
            .ok_or_else(|| format!("\"{text}\": answer yes or no"));
    }
    number(asked, text, inches).map(Value::Number).map_err(|remedy| format!("\"{text}\": {remedy}"))
}

/// Whether the words say yes or no and nothing else.
pub fn yes_or_no(text: &str) -> Option<bool> {
    let lower = text.trim().trim_end_matches(['.', '!', ',']).to_lowercase();
    match lower.as_str() {
        "y" | "yes" | "yep" | "yeah" | "aye" | "yes it is" | "yes it does" | "yes they are"
        | "it is" | "it does" | "they are" | "they do" | "true" => Some(true),
        "n" | "no" | "nope" | "nah" | "no it is not" | "no it isn't" | "it is not" | "it isn't"
        | "it doesn't" | "it does not" | "not" | "false" => Some(false),
        _ => None,
    }
}

fn number(asked: &StepReading, text: &str, inches: bool) -> Result<f64, String> {
    let typed = read_number(text)?;
    let unit = unit_of(asked);
    if typed.rest.is_empty() {
        let length = unit.is_some_and(|unit| unit.kind == Kind::Length);
        return match length {
            true if typed.fraction && !inches => Err(in_which(asked, text)),
            true => bare_length(asked, text, typed.value, inches),
            false => Ok(typed.value),
        };
    }
    let Some(own) = unit else {
        let same = typed.rest == asked.unit.to_lowercase();
        let remedy = format!("write a plain number, or one with {}", asked.unit);
        return if same { Ok(typed.value) } else { Err(remedy) };
    };
    if own.kind == Kind::Length {
        // Feet and inches, thou and mil are read where all lengths are.
        let parsed = parse_quantity(text, Kind::Length).map_err(|error| error.remedy)?;
        let millimetres = convert(parsed.value, "mm", own.symbol);
        let value = millimetres.ok_or_else(|| "write it in mm".to_owned())?;
        let in_own = Unit::named(&typed.rest).is_some_and(|given| given.symbol == own.symbol);
        return if in_own && too_fine(asked, value) { Err(finer(asked, text)) } else { Ok(value) };
    }
    match Unit::named(&typed.rest).filter(|given| given.kind == own.kind) {
        Some(given) => convert(typed.value, given.symbol, own.symbol)
            .ok_or_else(|| format!("write it in {}", own.symbol)),
        None => Err(format!("\"{}\" is not a unit of it; write it in {}", typed.rest, asked.unit)),
    }
}

/// The finest that a feeler or a micrometer shows, and a dial gauge, in mm (common practice, no
/// source).
const FEELER_FINEST_MM: f64 = 0.01;
const DIAL_FINEST_MM: f64 = 0.001;
/// Readings that may be no larger than this are taken by a dial gauge, in mm (common practice, no
/// source).
const DIAL_RANGE_MAX_MM: f64 = 0.05;
/// Readings up to here are told in thou, a half at the least (common practice, no source).
const THOU_RANGE_MAX_MM: f64 = 1.0;
const THOU_LEAST: f64 = 0.5;

/// A length without a unit: in the unit asked for, or in inches, or a question which.
fn bare_length(
    asked: &StepReading,
    text: &str,
    value: f64,
    inches: bool,
) -> Result<f64, String> {
    let of = |unit: &str| convert(value, unit, &asked.unit).filter(|value| value.is_finite());
    let (in_inches, in_thou) = (of("in").unwrap_or(f64::NAN), of("thou").unwrap_or(f64::NAN));
    let fits = |value: f64| judge(asked, &Value::Number(value)) == Judgement::Good;
    let (own_fits, inches_fit) = (fits(value), fits(in_inches));
    let impossible = too_fine(asked, value);
    if value == 0.0 {
        return Ok(value);
    }
    let pointed = text.trim_start_matches(['+', '-']).starts_with('.');
    if inches && (pointed || inches_fit || impossible) {
        return Ok(in_inches);
    }
    if pointed && (impossible || (inches_fit && !own_fits)) {
        return Ok(in_inches);
    }
    if inches || pointed || impossible {
        return Err(in_which(asked, text));
    }
    let small = matches!(asked.accept, Acceptance::Range { max, .. } if max <= THOU_RANGE_MAX_MM);
    if !own_fits && small && value >= THOU_LEAST && fits(in_thou) {
        return Err(format!("write \"{text} thou\" if it is thousandths, or \"{text} {}\"",
            asked.unit));
    }
    if !own_fits && inches_fit { Err(in_which(asked, text)) } else { Ok(value) }
}

/// No gauge that is used for it shows so little.
fn too_fine(asked: &StepReading, value: f64) -> bool {
    let finest = match asked.accept {
        Acceptance::Range { max, .. } if max <= DIAL_RANGE_MAX_MM => DIAL_FINEST_MM,
        _ => FEELER_FINEST_MM,
    };
    asked.unit == "mm" && value > 0.0 && value < finest
}

fn finer(asked: &StepReading, text: &str) -> String {
    let number = text.split_whitespace().next().unwrap_or(text).trim_end_matches("mm");
    format!(
        "that is finer than a gauge shows; write \"{number} in\" if it is inches, or the value \
         in {}",
        asked.unit
    )
}

fn in_which(asked: &StepReading, text: &str) -> String {
    let unit = &asked.unit;
    format!("write \"{text} in\" if it is inches, or the value in {unit} (\"{text} {unit}\")")
}

/// The unit of a reading in the table of units; a count has none.
fn unit_of(asked: &StepReading) -> Option<&'static Unit> {
    if asked.unit == "count" { None } else { Unit::named(&asked.unit) }
}

/// That a value is of the sort that was asked for.
pub fn fits(asked: &StepReading, value: &Value) -> Result<(), String> {
    match (asked.accept, value) {
        (Acceptance::Yes, Value::Yes | Value::No) => Ok(()),
        (Acceptance::Yes, Value::Number(number)) => {
            Err(format!("{}: \"{}\" is a number; answer yes or no.", asked.label, plain(*number)))
        }
        (Acceptance::Range { .. }, Value::Number(number)) => {
            let sound = number.is_finite() && number.abs() <= NUMBER_MAX;
            let whole = asked.unit != "count" || number.fract() == 0.0;
            match (sound, whole) {
                (true, true) => Ok(()),
                (true, false) => Err(format!("{}: give a whole number.", asked.label)),
                (false, _) => Err(format!("{}: give a number in {}.", asked.label, asked.unit)),
            }
        }
        (Acceptance::Range { .. }, Value::Yes | Value::No) => {
            Err(format!("{}: give the value in {}.", asked.label, asked.unit))
        }
    }
}

/// How a value stands. One that does not fit is never good.
pub fn judge(asked: &StepReading, value: &Value) -> Judgement {
    match (asked.accept, value) {
        (Acceptance::Yes, Value::Yes) => Judgement::Good,
        (Acceptance::Range { min, max }, Value::Number(number)) => {
            // A value worked out differs from the one on paper in its last digits.
            let slack = 1e-9 * number.abs().max(1.0);
            if *number > max + slack {
                Judgement::Over
            } else if *number < min - slack {
                Judgement::Under
            } else {
                Judgement::Good
            }
        }
        _ => Judgement::NotSo,
    }
}

/// What is asked for, with its unit and what is good: "Play at the end (mm, 0 to 0.05)".
pub fn wanted(asked: &StepReading) -> String {
    match asked.accept {
        Acceptance::Yes => format!("{} (yes or no)", asked.label),
        Acceptance::Range { .. } => {
            let unit = shown_unit(&asked.unit);
            let unit = if unit.is_empty() { String::new() } else { format!("{unit}, ") };
            format!("{} ({unit}good: {})", asked.label, range(asked))
        }
    }
}

/// What is good, in words.
pub fn range(asked: &StepReading) -> String {
    match asked.accept {
        Acceptance::Yes => "yes".to_owned(),
        Acceptance::Range { min, max } => format!("{} to {}", plain(min), plain(max)),
    }
}

/// A value with its unit.
pub fn value_text(value: &Value, unit: &str) -> String {
    match value {
        Value::Yes => "yes".to_owned(),
        Value::No => "no".to_owned(),
        Value::Number(number) => {
            let text = format!("{} {}", plain(*number), shown_unit(unit));
            text.trim_end().to_owned()
        }
    }
}

fn shown_unit(unit: &str) -> &str {
    if unit == "count" { "" } else { unit }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(id: &str, unit: &str, accept: Acceptance) -> StepReading {
        let label = "Difference between the ends".to_owned();
        StepReading { id: id.into(), unit: unit.into(), label, accept, otherwise_step: Some(4) }
    }

    fn millimetres() -> StepReading {
        asked("ends_differ_mm", "mm", Acceptance::Range { min: 0.0, max: 0.05 })
    }

    /// An inch is 25.4 mm exactly and a thou a thousandth of it (NIST SP 811).
    #[test]
    fn values_are_read_in_the_unit_asked_for_or_converted() {
        for (text, wanted) in
            [("0.31", 0.31), (".05 mm", 0.05), ("2 thou", 0.050_8), ("1/8 in", 3.175), ("0.31.", 0.31)]
        {
            let Ok(Value::Number(got)) = read(&millimetres(), text, false) else { panic!("{text}") };
            assert!((got - wanted).abs() < 1e-12, "{text}: {got}");
        }
        let speed = asked("ground_speed_mps", "m/s", Acceptance::Range { min: 0.3, max: 4.0 });
        let Ok(Value::Number(got)) = read(&speed, "5.4 km/h", false) else { panic!("a speed") };
        assert!((got - 1.5).abs() < 1e-12, "{got}");
        let share = asked("speed_drop_percent", "%", Acceptance::Range { min: 0.0, max: 10.0 });
        assert_eq!(read(&share, "7 %", false), Ok(Value::Number(7.0)));
        let turning = asked("reel_speed_rpm", "rev/min", Acceptance::Range { min: 1.0, max: 9e3 });
        assert_eq!(read(&turning, "2200 rpm", false), Ok(Value::Number(2200.0)));
        assert_eq!(read(&turning, "2200 rev/min", false), Ok(Value::Number(2200.0)));
    }

    #[test]
    fn what_is_no_value_says_what_to_write() {
        for text in ["", "about right", "5 bar", "3..4", "3 to 4", "3/16"] {
            let error = read(&millimetres(), text, false).expect_err(text);
            assert!(error.starts_with(&format!("\"{text}\": ")), "{error}");
        }
        let question = asked("tight", "yes/no", Acceptance::Yes);
        assert_eq!(read(&question, "Aye", false), Ok(Value::Yes));
        assert_eq!(read(&question, "no.", false), Ok(Value::No));
        assert!(read(&question, "0.3", false).expect_err("a number").contains("yes or no"));
        assert!(fits(&question, &Value::Number(1.0)).is_err());
        assert!(fits(&millimetres(), &Value::Yes).is_err());
        assert!(fits(&millimetres(), &Value::Number(f64::NAN)).is_err());
        assert!(fits(&millimetres(), &Value::Number(1e7)).is_err());
    }

    /// Gaps of a reel are 0 to 0.08 mm, reels measure 50 to 300 mm, as the procedures say.
    #[test]
    fn a_length_of_somebody_who_works_in_inches_is_inches() {
        let gap = asked("gap_leading_mm", "mm", Acceptance::Range { min: 0.0, max: 0.08 });
        let reel = asked("diameter_mm", "mm", Acceptance::Range { min: 50.0, max: 300.0 });
        for (asked, text, inches, wanted) in [
            (&gap, ".005", true, Some(0.127)),
            (&gap, ".002", true, Some(0.050_8)),
            (&gap, "0.002", true, Some(0.050_8)),
            (&gap, "0", true, Some(0.0)),
            (&gap, ".005", false, Some(0.127)),
            (&gap, "0.31", false, Some(0.31)),
            (&reel, "4.95", true, Some(125.73)),
            // Both may be meant, or neither can be.
            (&gap, ".05", false, None),
            (&gap, "0.005", false, None),
            (&gap, "0.005 mm", false, None),
            (&gap, "2", false, None),
            (&gap, "2 mm", false, Some(2.0)),
            (&reel, "4.95", false, None),
            (&reel, "126.4", true, None),
        ] {
            let got = read(asked, text, inches);
            match (wanted, got) {
                (Some(wanted), Ok(Value::Number(got))) => {
                    assert!((got - wanted).abs() < 1e-9, "{text}: {got}");
                }
                (None, Err(remedy)) => assert!(remedy.contains("write"), "{remedy}"),
                (_, got) => panic!("{text}: {got:?}"),
            }
        }
    }

    #[test]
    fn both_ends_of_the_range_are_good() {
        for (number, wanted) in
            [(0.0, Judgement::Good), (0.05, Judgement::Good), (0.051, Judgement::Over)]
        {
            assert_eq!(judge(&millimetres(), &Value::Number(number)), wanted, "{number}");
        }
        assert_eq!(judge(&millimetres(), &Value::Number(-0.01)), Judgement::Under);
        // 3.26 - 3.21 is a little more than 0.05 in binary.
        assert_eq!(judge(&millimetres(), &Value::Number(3.26 - 3.21)), Judgement::Good);
        assert_eq!(judge(&asked("a", "yes/no", Acceptance::Yes), &Value::No), Judgement::NotSo);
    }
}
