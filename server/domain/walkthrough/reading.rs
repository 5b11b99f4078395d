//! What does a value typed for a reading mean, and is it good? A bare number is in the unit that
//! was asked for; another unit of the same kind is converted. Nothing is rounded or clamped.

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
pub fn read(asked: &StepReading, text: &str) -> Result<Value, String> {
    let text = text.trim().trim_end_matches(['.', '!']).trim();
    if asked.accept == Acceptance::Yes {
        return yes_or_no(text)
            .map(|yes| if yes { Value::Yes } else { Value::No })
            .ok_or_else(|| format!("\"{text}\": answer yes or no"));
    }
    number(asked, text).map(Value::Number).map_err(|remedy| format!("\"{text}\": {remedy}"))
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

fn number(asked: &StepReading, text: &str) -> Result<f64, String> {
    let typed = read_number(text)?;
    let unit = unit_of(asked);
    if typed.rest.is_empty() {
        // In this trade a bare fraction is inches, and the reading is asked in another unit.
        let doubtful = typed.fraction && unit.is_some_and(|unit| unit.kind == Kind::Length);
        let remedy = format!("write \"{text} in\" if it is inches, or the value in {}", asked.unit);
        return if doubtful { Err(remedy) } else { Ok(typed.value) };
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
        return millimetres.ok_or_else(|| "write it in mm".to_owned());
    }
    match Unit::named(&typed.rest).filter(|given| given.kind == own.kind) {
        Some(given) => convert(typed.value, given.symbol, own.symbol)
            .ok_or_else(|| format!("write it in {}", own.symbol)),
        None => Err(format!("\"{}\" is not a unit of it; write it in {}", typed.rest, asked.unit)),
    }
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
            let Ok(Value::Number(got)) = read(&millimetres(), text) else { panic!("{text}") };
            assert!((got - wanted).abs() < 1e-12, "{text}: {got}");
        }
        let speed = asked("ground_speed_mps", "m/s", Acceptance::Range { min: 0.3, max: 4.0 });
        let Ok(Value::Number(got)) = read(&speed, "5.4 km/h") else { panic!("a speed") };
        assert!((got - 1.5).abs() < 1e-12, "{got}");
        let share = asked("speed_drop_percent", "%", Acceptance::Range { min: 0.0, max: 10.0 });
        assert_eq!(read(&share, "7 %"), Ok(Value::Number(7.0)));
        let turning = asked("reel_speed_rpm", "rev/min", Acceptance::Range { min: 1.0, max: 9e3 });
        assert_eq!(read(&turning, "2200 rpm"), Ok(Value::Number(2200.0)));
        assert_eq!(read(&turning, "2200 rev/min"), Ok(Value::Number(2200.0)));
    }

    #[test]
    fn what_is_no_value_says_what_to_write() {
        for text in ["", "about right", "5 bar", "3..4", "3 to 4", "3/16"] {
            let error = read(&millimetres(), text).expect_err(text);
            assert!(error.starts_with(&format!("\"{text}\": ")), "{error}");
        }
        let question = asked("tight", "yes/no", Acceptance::Yes);
        assert_eq!(read(&question, "Aye"), Ok(Value::Yes));
        assert_eq!(read(&question, "no."), Ok(Value::No));
        assert!(read(&question, "0.3").expect_err("a number").contains("yes or no"));
        assert!(fits(&question, &Value::Number(1.0)).is_err());
        assert!(fits(&millimetres(), &Value::Yes).is_err());
        assert!(fits(&millimetres(), &Value::Number(f64::NAN)).is_err());
        assert!(fits(&millimetres(), &Value::Number(1e7)).is_err());
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
