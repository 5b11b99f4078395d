//! What does one value typed beside its name mean: "3.8 mph", `5/32"`, "12 thou", "5 mil", ".125"?
//! A value whose unit is doubtful is settled by what the named quantity can plausibly be, and the
//! assumption is told; where that does not settle it, the answer is a question, never a guess.
//! Deliberately absent: values inside sentences, and any bound on the value (see `limits`).

use crate::domain::limits::TYPED_MAX;
use crate::domain::number_text::{Number, read_number};
use crate::domain::units::{Kind, Unit};

/// A value as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// In the unit of the field, or in the base unit of the kind.
    pub value: f64,
    /// Symbol of the unit that was written or assumed.
    pub unit: &'static str,
    /// What was typed.
    pub written: String,
    /// What was assumed, in a sentence; `None` when nothing was.
    pub assumption: Option<String>,
}

/// A value that cannot be used as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// What was typed.
    pub value: String,
    /// What to write instead.
    pub remedy: String,
    /// The units to choose between, when only the unit is in doubt.
    pub choices: Vec<&'static str>,
}

impl std::fmt::Display for QuantityError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "\"{}\": {}", self.value, self.remedy)
    }
}

impl std::error::Error for QuantityError {}

/// What a named quantity is likely to be, by size, in the unit of its field; zero is always likely.
/// Our own judgement of the trade (common practice, no source). It settles units and refuses
/// nothing.
#[rustfmt::skip]
const PLAUSIBLE: &[(&[&str], f64, f64)] = &[
    (&["clip_spacing_mm"], 1.5, 60.0),
    (&["height_of_cut_mm", "target_effective_height_mm", "reading_bench_height_mm",
        "effective_height_readings_mm", "effective_height_mm", "bench_height_mm",
        "current_height_mm", "target_height_mm", "height_mm", "calibration_height_before_mm",
        "calibration_height_after_mm"], 1.5, 150.0),
    (&["height_change_mm", "step_limit_mm", "sinkage_mm", "sinkage_readings_mm",
        "new_sinkage_mm"], 0.02, 30.0),
    (&["height_change_per_turn_mm"], 0.05, 4.0),
    (&["thread_pitch_mm"], 0.5, 4.0),
    (&["gap_mm", "target_gap_mm"], 0.005, 0.3),
    (&["gap_per_flat_mm"], 0.002, 0.2),
    (&["tolerance_mm"], 0.01, 1.0),
    (&["taper_limit_mm"], 0.02, 1.0),
    (&["diameter_readings_mm", "diameter_mm", "left_diameter_mm", "right_diameter_mm",
        "minimum_diameter_mm", "reel_diameter_mm"], 80.0, 300.0),
    (&["roller_diameter_mm", "new_roller_diameter_mm", "front_roller_diameter_mm",
        "rear_roller_diameter_mm", "brush_diameter_mm", "minimum_brush_diameter_mm"], 30.0, 300.0),
    (&["blade_diameter_mm", "blade_diameter_when_set_mm"], 30.0, 250.0),
    (&["wheel_diameter_mm"], 40.0, 400.0),
    (&["roller_width_mm", "new_roller_width_mm"], 200.0, 1_500.0),
    (&["roller_centre_distance_mm", "edge_to_rear_roller_mm", "centre_distance_mm"], 30.0, 600.0),
    (&["blade_length_mm"], 250.0, 1_600.0),
    (&["working_width_mm"], 300.0, 12_000.0),
    (&["finger_offset_mm"], 3.0, 120.0),
    (&["land_width_mm"], 0.4, 6.0),
    (&["blade_thickness_mm"], 0.8, 10.0),
    (&["pass_depth_mm", "radius_wear_mm"], 0.05, 6.0),
    (&["penetration_below_cut_mm", "groomer_setting_mm"], 0.05, 25.0),
    (&["brush_interference_mm"], 0.1, 10.0),
    (&["blade_spacing_mm"], 3.0, 80.0),
    (&["depth_mm"], 0.3, 60.0),
    (&["hole_diameter_mm"], 3.0, 30.0),
    (&["hole_spacing_across_mm", "hole_spacing_along_mm"], 15.0, 150.0),
    (&["rake_front_low_mm"], 1.0, 20.0),
    (&["ground_speed_mps"], 0.4, 5.0),
    (&["rated_surface_speed_mps"], 20.0, 100.0),
    (&["max_tip_speed_mps"], 40.0, 110.0),
    (&["growth_mm_per_day"], 0.02, 12.0),
    (&["blade_mass_kg"], 0.2, 6.0),
];

/// Reads a value for a named field; the result is in the field's unit.
pub fn parse_field(field: &str, text: &str) -> Result<Parsed, QuantityError> {
    read(text, Unit::of_field(field), plausible(field))
}

/// What a field is likely to be, in its own unit.
pub fn plausible(field: &str) -> Option<(f64, f64)> {
    let row = PLAUSIBLE.iter().find(|(fields, _, _)| fields.contains(&field));
    row.map(|&(_, low, high)| (low, high))
}

/// Reads a value of a kind when nothing is known of what it is for; the result is in the base unit.
pub fn parse_quantity(text: &str, kind: Kind) -> Result<Parsed, QuantityError> {
    let base = crate::domain::units::UNITS.iter().find(|unit| unit.kind == kind);
    read(text, base.expect("every kind has a base unit"), None)
}

/// The value in the unit `own`, with doubt settled by the plausible range when there is one.
fn read(text: &str, own: &Unit, plausible: Option<(f64, f64)>) -> Result<Parsed, QuantityError> {
    let parsed = settled(text, own, plausible)?;
    if parsed.value.abs() <= TYPED_MAX {
        return Ok(parsed);
    }
    let most = format!("{TYPED_MAX:e} {}", own.symbol);
    Err(refused(text, format!("that is more than {most}; write a measured value, such as 3.5")))
}

fn refused(text: &str, remedy: String) -> QuantityError {
    QuantityError { value: text.trim().to_owned(), remedy, choices: Vec::new() }
}

fn settled(text: &str, own: &Unit, plausible: Option<(f64, f64)>) -> Result<Parsed, QuantityError> {
    let fail = |remedy: String| refused(text, remedy);
    let number = read_number(text).map_err(fail)?;
    let doubt = Doubt { text: text.trim(), own, plausible, number: &number };
    if own.kind == Kind::Length
        && let Some(thou) = ten_thousandths(&number)
    {
        return Ok(doubt.taken(Unit::named("thou").expect("in the table"), thou, None));
    }
    if number.rest.is_empty() {
        return doubt.without_unit();
    }
    if own.kind == Kind::Length
        && let Some(inches) = feet_and_inches(&number)
    {
        let inch = Unit::named("in").expect("in the table");
        return Ok(doubt.taken(inch, inches, None));
    }
    match Unit::named(&number.rest) {
        Some(unit) if unit.symbol == "mil" && own.kind == Kind::Length => doubt.as_mil(),
        Some(unit) if unit.kind == own.kind => Ok(doubt.taken(unit, number.value, None)),
        _ => Err(fail(format!("\"{}\" is not a unit of it; use {}", number.rest, listed(own)))),
    }
}

/// "A ten-thousandth" and "three ten-thousandths" are tenths of a thou; "ten thousandths", which is
/// ten thou, is not meant here.
fn ten_thousandths(number: &Number) -> Option<f64> {
    match number.rest.as_str() {
        "ten thousandth" | "ten thousandths" => Some(number.value / 10.0),
        "thousandth" if number.value == 10.0 => Some(0.1),
        _ => None,
    }
}

/// "5 ft 6 in" or `5' 6"`, in inches.
fn feet_and_inches(number: &Number) -> Option<f64> {
    let foot = Unit::named("ft").expect("in the table");
    let names = foot.names.iter().chain(std::iter::once(&foot.symbol));
    let rest = names
        .filter_map(|name| number.rest.strip_prefix(name))
        .find(|rest| rest.trim_start().starts_with(|c: char| c.is_ascii_digit()))?;
    let inches = read_number(rest).ok()?;
    let unit = Unit::named(&inches.rest)?;
    (unit.symbol == "in").then_some(number.value * 12.0 + inches.value)
}

/// The units that a quantity may be given in, as a list for a message.
fn listed(own: &Unit) -> String {
    let units = crate::domain::units::UNITS.iter().filter(|unit| unit.kind == own.kind);
    let symbols: Vec<&str> = units.map(|unit| unit.symbol).collect();
    match own.kind {
        Kind::Number => "a plain number".to_owned(),
        _ => symbols.join(", "),
    }
}

/// A number whose unit may be in doubt.
struct Doubt<'a> {
    text: &'a str,
    own: &'a Unit,
    plausible: Option<(f64, f64)>,
    number: &'a Number,
}

impl Doubt<'_> {
    fn taken(&self, unit: &'static Unit, value: f64, assumption: Option<String>) -> Parsed {
        let same = unit.symbol == self.own.symbol;
        let own = if same { value } else { self.own.from_base(unit.to_base(value)) };
        Parsed { value: own, unit: unit.symbol, written: self.text.to_owned(), assumption }
    }

    /// A number typed bare.
    fn without_unit(&self) -> Result<Parsed, QuantityError> {
        let value = self.number.value;
        let candidates: &[&str] = match self.own.kind {
            // A fraction is inches by the habit of the trade.
            Kind::Length if self.number.fraction => {
                let inch = Unit::named("in").expect("in the table");
                let told = format!("{} taken as inches, because it is a fraction", self.text);
                return Ok(self.taken(inch, value, Some(told)));
            }
            Kind::Share if value.abs() > 1.0 => {
                let percent = Unit::named("%").expect("in the table");
                let told = format!("{} taken as per cent, because it is over 1", self.text);
                return Ok(self.taken(percent, value, Some(told)));
            }
            Kind::Length => &["mm", "in"],
            Kind::Speed => &["m/s", "km/h", "mph"],
            Kind::Mass => &["kg", "lb"],
            Kind::Force => &["N", "lbf", "kgf"],
            Kind::Pressure => &["kPa", "bar", "psi"],
            Kind::Temperature => &["C", "F"],
            Kind::Area => &["ha", "acre"],
            Kind::Growth => &["mm/day", "in/day"],
            // One unit is usual, the field's own.
            Kind::Rotation | Kind::Angle | Kind::Time | Kind::Turn | Kind::Share | Kind::Number => {
                let own = Unit::named(self.own.symbol).expect("own unit is in the table");
                return Ok(self.taken(own, value, None));
            }
        };
        self.settle(candidates, "no unit was written")
    }

    /// "Mil" is a thousandth of an inch, and in the shop also a millimetre.
    fn as_mil(&self) -> Result<Parsed, QuantityError> {
        self.settle(&["thou", "mm"], "a mil may be a thousandth of an inch or a millimetre")
    }

    /// Takes the one candidate that the named quantity can plausibly be.
    fn settle(&self, candidates: &[&'static str], doubt: &str) -> Result<Parsed, QuantityError> {
        let value = self.number.value;
        let units: Vec<&'static Unit> =
            candidates.iter().filter_map(|symbol| Unit::named(symbol)).collect();
        let likely: Vec<&'static Unit> = units
            .iter()
            .copied()
            .filter(|unit| {
                let size = self.own.from_base(unit.to_base(value)).abs();
                self.plausible.is_some_and(|(low, high)| size >= low && size <= high)
            })
            .collect();
        if let [only] = likely[..] {
            let told = format!("{} taken as {} {}: {doubt}", self.text, value, only.symbol);
            return Ok(self.taken(only, value, Some(told)));
        }
        let open = if likely.is_empty() { units } else { likely };
        let choices: Vec<&'static str> = open.iter().map(|unit| unit.symbol).collect();
        Err(QuantityError {
            value: self.text.to_owned(),
            remedy: format!("{doubt}; write {value} {}", choices.join(&format!(" or {value} "))),
            choices,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers and units as fixtures of arithmetic: an inch is 25.4 mm exactly (NIST SP 811).
    #[test]
    fn lengths_of_the_trade() {
        for (text, wanted_mm) in [
            ("3/16 in", 4.762_5),
            ("5/32\"", 3.968_75),
            ("1 1/8\"", 28.575),
            ("3 1/2\"", 88.9),
            (".125\"", 3.175),
            ("three thou", 0.076_2),
            ("ten thousandths", 0.254),
            ("a ten-thousandth", 0.002_54),
            ("ten thousandth", 0.002_54),
            ("three ten-thousandths", 0.007_62),
            ("a sixteenth", 1.587_5),
            ("one thirty-second", 0.793_75),
            ("half inch", 12.7),
            (".002 in", 0.050_8),
            ("4 mm", 4.0),
            (".05 mm", 0.05),
            ("12 thou", 0.304_8),
            ("3.5mm", 3.5),
            ("6 FT", 1_828.8),
            ("5' 6\"", 1_676.4),
            ("5 ft 6 in", 1_676.4),
            ("2 yards", 1_828.8),
            ("0.3m", 300.0),
            ("2.5 cm", 25.0),
        ] {
            let parsed = parse_quantity(text, Kind::Length).expect(text);
            let error = (parsed.value - wanted_mm).abs();
            assert!(error <= 1e-12 * wanted_mm, "{text}: {}", parsed.value);
            assert_eq!(parsed.written, text);
        }
        for (mm, inches) in [(4.0, 0.157_480_31), (0.05, 0.001_968_50)] {
            let got = Unit::named("in").expect("in the table").from_base(mm);
            assert!((got - inches).abs() < 5e-9, "{mm} mm is {got} in");
        }
    }

    #[test]
    fn a_mil_is_settled_by_what_it_is_said_of_and_told() {
        for (field, text, wanted, unit) in [
            ("clip_spacing_mm", "5 mil", 5.0, "mm"),
            ("height_of_cut_mm", "5 mil", 5.0, "mm"),
            ("gap_mm", "2 mil", 0.050_8, "thou"),
            ("tolerance_mm", "4 mils", 0.101_6, "thou"),
        ] {
            let parsed = parse_field(field, text).expect(text);
            assert!((parsed.value - wanted).abs() < 1e-12, "{field} {text}");
            assert_eq!(parsed.unit, unit);
            assert!(parsed.assumption.expect("told").contains("mil"), "{field} {text}");
        }
        let asked = parse_field("height_change_mm", "5 mil").expect_err("both are plausible");
        assert_eq!(asked.choices, ["thou", "mm"]);
        let asked = parse_quantity("5 mil", Kind::Length).expect_err("nothing to settle it by");
        assert_eq!(asked.choices, ["thou", "mm"]);
    }

    #[test]
    fn a_bare_number_is_settled_or_asked() {
        for (field, text, wanted, told) in [
            ("height_of_cut_mm", ".125", 3.175, true),
            ("height_of_cut_mm", "12", 12.0, true),
            ("gap_mm", ".002", 0.050_8, true),
            ("gap_mm", "0.05", 0.05, true),
            ("reel_diameter_mm", "5", 127.0, true),
            ("bench_height_mm", "5/32", 3.968_75, true),
            ("reel_speed_rpm", "2,200", 2_200.0, false),
            ("blade_count", "11", 11.0, false),
            ("relief_angle_deg", "30", 30.0, false),
            ("time_available_days", "21", 21.0, false),
            ("field_efficiency_fraction", "0.8", 0.8, false),
            ("field_efficiency_fraction", "80", 0.8, true),
        ] {
            let parsed = parse_field(field, text).expect(text);
            assert!((parsed.value - wanted).abs() < 1e-12, "{field} {text}: {}", parsed.value);
            assert_eq!(parsed.assumption.is_some(), told, "{field} {text}");
        }
        for (field, text, choices) in [
            ("ground_speed_mps", "4", &["m/s", "km/h", "mph"][..]),
            ("height_of_cut_mm", "3", &["mm", "in"][..]),
            ("roller_load_kg", "32", &["kg", "lb"][..]),
            ("area_ha", "14", &["ha", "acre"][..]),
        ] {
            let asked = parse_field(field, text).expect_err("more than one is plausible");
            assert_eq!(asked.choices, choices, "{field} {text}");
        }
    }

    #[test]
    fn every_kind_is_read_into_the_unit_of_its_field() {
        for (field, text, wanted) in [
            ("ground_speed_mps", "3.8 mph", 1.698_752),
            ("ground_speed_mps", "6 km/h", 1.666_666_666_666_666_7),
            ("ground_speed_mps", "300 ft/min", 1.524),
            ("reel_speed_rpm", "1,650 revs a minute", 1_650.0),
            ("roller_load_kg", "70 lb", 31.751_465_9),
            ("slot_angle_deg", "-5\u{b0}", -5.0),
            ("area_ha", "14 acres", 5.665_598_991_36),
            ("time_available_days", "3 weeks", 21.0),
            ("time_h", "90 min", 1.5),
            ("calibration_turns_count", "quarter turn", 0.25),
            ("turns_count", "2 flats", 1.0 / 3.0),
            ("confidence_fraction", "95 %", 0.95),
            ("growth_mm_per_day", "7 mm a week", 1.0),
        ] {
            let parsed = parse_field(field, text).expect(text);
            assert!((parsed.value - wanted).abs() <= 1e-12 * wanted.abs(), "{field} {text}");
            assert_eq!(parsed.assumption, None, "{field} {text}");
        }
    }

    #[test]
    fn a_unit_of_another_kind_is_refused_with_the_right_ones() {
        for (field, text) in [
            ("clip_spacing_mm", "5 kg"),
            ("reel_speed_rpm", "5 mm"),
            ("blade_count", "8 mm"),
            ("clip_spacing_mm", "5 furlongs"),
            ("clip_spacing_mm", "1e308"),
        ] {
            let error = parse_field(field, text).expect_err("not a unit of it");
            assert!(error.choices.is_empty() && !error.remedy.is_empty(), "{text}");
            assert_eq!(error.value, text);
        }
    }

    #[test]
    fn plausible_rows_name_fields_once_and_lie_inside_the_bounds() {
        use crate::domain::limits::Bound;
        let mut seen: Vec<&str> = Vec::new();
        for (fields, low, high) in PLAUSIBLE {
            for field in *fields {
                assert!(!seen.contains(field), "{field} has two rows");
                seen.push(field);
                let bound = Bound::of(field).expect("a bound of the same name");
                assert!(bound.holds(*low) && bound.holds(*high), "{field}");
            }
        }
    }
}
