//! What is one unit in another, and how is a number written for people? The one table of factors.
//! Reading a value that someone typed is in `typed_quantity`; free text is read in `language`.
//! Deliberately absent: types that carry their unit. A name that ends in its unit does that work.
//!
//! Factors: NIST Special Publication 811, appendix B.8 (published). Those marked exact there are
//! written out in full here; the acre is the one of the international foot, 4 parts in a million
//! smaller than the US survey acre of the printed table.

pub use crate::domain::typed_quantity::{Parsed, QuantityError, parse_field, parse_quantity};

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Length,
    Speed,
    Rotation,
    Mass,
    Force,
    Pressure,
    Angle,
    Temperature,
    Area,
    Time,
    Growth,
    /// Turning of a screw.
    Turn,
    /// A part of a whole: a fraction or a percentage.
    Share,
    /// A count, a ratio or a price: no unit is written.
    Number,
}

/// One unit: `value` of it is `value * factor + offset` of the base unit of its kind, the one whose
/// factor is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    pub symbol: &'static str,
    pub kind: Kind,
    pub factor: f64,
    pub offset: f64,
    /// Other ways it is written, in lower case.
    pub names: &'static [&'static str],
}

const fn unit(
    symbol: &'static str,
    kind: Kind,
    factor: f64,
    names: &'static [&'static str],
) -> Unit {
    Unit { symbol, kind, factor, offset: 0.0, names }
}

const POUND_KG: f64 = 0.453_592_37;
const GRAVITY_MPS2: f64 = 9.806_65;
pub const INCH_MM: f64 = 25.4;
/// The seconds of an hour, as `f64`.
const HOUR_S: f64 = 3_600.0;
/// One pound-force on a square inch, in kPa: lb to kg, times gravity, over the square inch in m2.
const PSI_KPA: f64 = POUND_KG * GRAVITY_MPS2 / (0.025_4 * 0.025_4) / 1_000.0;

/// Every unit. The first of a kind is its base unit.
#[rustfmt::skip]
pub const UNITS: &[Unit] = &[
    unit("mm", Kind::Length, 1.0, &["millimetre", "millimetres", "millimeter", "millimeters"]),
    unit("cm", Kind::Length, 10.0, &["centimetre", "centimetres", "centimeter", "centimeters"]),
    unit("m", Kind::Length, 1_000.0, &["metre", "metres", "meter", "meters"]),
    unit("in", Kind::Length, INCH_MM, &["inch", "inches", "ins", "\"", "\u{2033}", "\u{201d}"]),
    unit("ft", Kind::Length, 12.0 * INCH_MM, &["foot", "feet", "'", "\u{2032}", "\u{2019}"]),
    unit("yd", Kind::Length, 36.0 * INCH_MM, &["yard", "yards"]),
    unit("thou", Kind::Length, INCH_MM / 1_000.0, &["thous", "thousandth", "thousandths"]),
    // As a word this is a thousandth of an inch; as slang, a millimetre. See `typed_quantity`.
    unit("mil", Kind::Length, INCH_MM / 1_000.0, &["mils", "mill", "mills"]),
    unit("m/s", Kind::Speed, 1.0, &["mps", "metres a second", "metres per second",
        "meters a second", "meters per second"]),
    unit("km/h", Kind::Speed, 1_000.0 / HOUR_S, &["kmh", "kph", "km/hr", "kilometres an hour",
        "kilometres per hour", "kilometers an hour", "kilometers per hour"]),
    unit("mph", Kind::Speed, 0.447_04, &["mi/h", "miles an hour", "miles per hour"]),
    unit("ft/min", Kind::Speed, 0.005_08, &["fpm", "feet a minute", "feet per minute"]),
    unit("m/min", Kind::Speed, 1.0 / 60.0, &["metres a minute", "metres per minute",
        "meters a minute", "meters per minute"]),
    unit("rpm", Kind::Rotation, 1.0, &["rev/min", "r/min", "revs", "revs a minute",
        "revs per minute", "revolutions a minute", "revolutions per minute"]),
    unit("kg", Kind::Mass, 1.0, &["kgs", "kilo", "kilos", "kilogram", "kilograms"]),
    unit("g", Kind::Mass, 0.001, &["gram", "grams", "gramme", "grammes"]),
    unit("lb", Kind::Mass, POUND_KG, &["lbs", "pound", "pounds"]),
    unit("oz", Kind::Mass, POUND_KG / 16.0, &["ounce", "ounces"]),
    unit("N", Kind::Force, 1.0, &["n", "newton", "newtons"]),
    unit("lbf", Kind::Force, POUND_KG * GRAVITY_MPS2, &["pounds-force", "pound-force"]),
    unit("kgf", Kind::Force, GRAVITY_MPS2, &["kilograms-force", "kilogram-force"]),
    unit("kPa", Kind::Pressure, 1.0, &["kpa", "kilopascal", "kilopascals"]),
    unit("bar", Kind::Pressure, 100.0, &["bars"]),
    unit("psi", Kind::Pressure, PSI_KPA, &["lb/in2", "lbf/in2"]),
    unit("deg", Kind::Angle, 1.0, &["\u{b0}", "degree", "degrees"]),
    unit("C", Kind::Temperature, 1.0, &["c", "\u{b0}c", "deg c", "celsius"]),
    Unit { symbol: "F", kind: Kind::Temperature, factor: 1.0 / 1.8, offset: -32.0 / 1.8,
        names: &["f", "\u{b0}f", "deg f", "fahrenheit"] },
    unit("ha", Kind::Area, 1.0, &["hectare", "hectares"]),
    unit("m2", Kind::Area, 1e-4, &["m\u{b2}", "sq m", "square metre", "square metres",
        "square meter", "square meters"]),
    unit("acre", Kind::Area, 0.404_685_642_24, &["acres", "ac"]),
    unit("ft2", Kind::Area, 9.290_304e-6, &["ft\u{b2}", "sq ft", "square foot", "square feet"]),
    unit("h", Kind::Time, 1.0, &["hr", "hrs", "hour", "hours"]),
    unit("min", Kind::Time, 1.0 / 60.0, &["mins", "minute", "minutes"]),
    unit("s", Kind::Time, 1.0 / HOUR_S, &["sec", "secs", "second", "seconds"]),
    unit("days", Kind::Time, 24.0, &["d", "day"]),
    unit("weeks", Kind::Time, 168.0, &["wk", "wks", "week"]),
    unit("fortnights", Kind::Time, 336.0, &["fortnight"]),
    unit("mm/day", Kind::Growth, 1.0, &["mm a day", "mm per day"]),
    unit("mm/week", Kind::Growth, 1.0 / 7.0, &["mm a week", "mm per week"]),
    unit("in/day", Kind::Growth, INCH_MM, &["inch a day", "inches a day", "inches per day"]),
    unit("in/week", Kind::Growth, INCH_MM / 7.0, &["inch a week", "inches a week",
        "inches per week"]),
    unit("turns", Kind::Turn, 1.0, &["turn", "revolution", "revolutions"]),
    unit("flats", Kind::Turn, 1.0 / 6.0, &["flat"]),
    unit("fraction", Kind::Share, 1.0, &[]),
    unit("%", Kind::Share, 0.01, &["percent", "per cent", "pct"]),
    unit("number", Kind::Number, 1.0, &[]),
];

/// Endings of field names and the unit each stands for, longer ones before the ones they end with.
const FIELD_UNITS: &[(&str, &str)] = &[
    ("_mm_per_day", "mm/day"),
    ("_mm_per_s", "number"),
    ("_g_mm", "number"),
    ("_mm", "mm"),
    ("_mps", "m/s"),
    ("_rpm", "rpm"),
    ("_kg", "kg"),
    ("_n", "N"),
    ("_kpa", "kPa"),
    ("_deg", "deg"),
    ("_ha", "ha"),
    ("_h", "h"),
    ("_days", "days"),
    ("_fraction", "fraction"),
    ("turns_count", "turns"),
];

impl Unit {
    /// The unit written so; letters may be of either case.
    pub fn named(text: &str) -> Option<&'static Unit> {
        let lower = text.to_lowercase();
        let symbol = UNITS.iter().find(|unit| unit.symbol == text);
        symbol.or_else(|| {
            UNITS.iter().find(|unit| {
                unit.symbol.to_lowercase() == lower || unit.names.contains(&lower.as_str())
            })
        })
    }

    /// The unit in which a field is given, by the ending of its name.
    pub fn of_field(field: &str) -> &'static Unit {
        let ending = FIELD_UNITS.iter().find(|(ending, _)| field.ends_with(ending));
        let symbol = ending.map_or("number", |(_, symbol)| symbol);
        Unit::named(symbol).expect("FIELD_UNITS names units of the table")
    }

    pub fn to_base(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    pub fn from_base(&self, value: f64) -> f64 {
        (value - self.offset) / self.factor
    }
}

/// A value in one unit, in another of the same kind. `None` when a unit is unknown or they do not
/// measure the same thing.
pub fn convert(value: f64, from: &str, to: &str) -> Option<f64> {
    let (from, to) = (Unit::named(from)?, Unit::named(to)?);
    if from.symbol == to.symbol {
        // The same number, not the same number after a round trip.
        return Some(value);
    }
    (from.kind == to.kind).then(|| to.from_base(from.to_base(value)))
}

/// A number as it is written on a board: five figures, no trailing zeros.
pub fn plain(value: f64) -> String {
    figures(value, 5)
}

/// A number to so many significant figures, no trailing zeros.
pub fn figures(value: f64, count: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = usize::try_from((count - 1 - magnitude).max(0)).unwrap_or(0);
    decimal(value, decimals.min(12))
}

/// A number rounded to so many decimals, no trailing zeros and no minus before zero.
pub fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The lengths people read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    Millimetre,
    Inch,
}

/// A length for people: hundredths of a millimetre or thousandths of an inch, a figure finer under
/// a tenth of a millimetre, where the settings of edges lie.
pub fn format_length(length_mm: f64, shown_in: LengthUnit) -> String {
    let fine = usize::from(length_mm.abs() < 0.1);
    match shown_in {
        LengthUnit::Millimetre => format!("{length_mm:.decimals$} mm", decimals = 2 + fine),
        LengthUnit::Inch => {
            format!("{:.decimals$} in", length_mm / INCH_MM, decimals = 3 + fine)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 appendix B.8 (published): exact factors exactly, printed ones to their digits.
    #[test]
    fn factors_are_those_of_sp_811() {
        for (value, from, to, wanted, relative) in [
            (1.0, "in", "mm", 25.4, 0.0),
            (1.0, "mil", "mm", 0.0254, 1e-15),
            (1.0, "thou", "mm", 0.0254, 1e-15),
            (1.0, "ft", "m", 0.3048, 1e-15),
            (1.0, "yd", "m", 0.9144, 1e-15),
            (1.0, "mph", "m/s", 0.447_04, 0.0),
            (1.0, "mph", "km/h", 1.609_344, 1e-15),
            (1.0, "ft/min", "m/s", 0.005_08, 0.0),
            (1.0, "acre", "m2", 4_046.856_422_4, 1e-14),
            (1_000.0, "ft2", "m2", 92.903_04, 1e-14),
            (1.0, "lb", "kg", 0.453_592_37, 0.0),
            (1.0, "lb", "kg", 0.453_592_4, 1e-7),
            (1.0, "oz", "g", 28.349_523_125, 1e-14),
            (1.0, "lbf", "N", 4.448_221_615_260_5, 1e-14),
            (1.0, "kgf", "N", 9.806_65, 0.0),
            (1.0, "psi", "kPa", 6.894_757, 1e-7),
            (1.0, "bar", "kPa", 100.0, 0.0),
            (212.0, "F", "C", 100.0, 1e-14),
            (68.0, "F", "C", 20.0, 1e-14),
            (2.0, "weeks", "days", 14.0, 0.0),
            (90.0, "min", "h", 1.5, 1e-15),
            (15.0, "%", "fraction", 0.15, 1e-15),
        ] {
            let got = convert(value, from, to).expect("both units are in the table");
            let error = (got - wanted).abs() / wanted;
            assert!(error <= relative, "{value} {from} in {to}: {got}, wanted {wanted}");
        }
    }

    /// A printed table gives 4046.873 m2 for an acre; that is the acre of the survey foot.
    #[test]
    fn the_acre_is_the_international_one() {
        let acre = convert(1.0, "acre", "m2").expect("known units");
        assert!((acre - 4_046.873).abs() > 0.016, "{acre}");
    }

    #[test]
    fn every_unit_comes_back_and_has_one_meaning() {
        for unit in UNITS {
            for value in [0.0, 1.0, -3.25, 1e-6, 98_765.4] {
                let back = unit.from_base(unit.to_base(value));
                assert!((back - value).abs() <= 1e-9 * value.abs().max(1.0), "{}", unit.symbol);
            }
            for name in unit.names {
                assert_eq!(Unit::named(name).map(|found| found.symbol), Some(unit.symbol));
            }
            let base = UNITS.iter().find(|other| other.kind == unit.kind);
            assert_eq!(base.map(|base| (base.factor, base.offset)), Some((1.0, 0.0)));
        }
    }

    #[test]
    fn unlike_or_unknown_units_do_not_convert() {
        assert_eq!(convert(1.0, "mm", "kg"), None);
        assert_eq!(convert(1.0, "furlong", "mm"), None);
    }

    #[test]
    fn a_field_tells_its_unit() {
        for (field, symbol) in [
            ("clip_spacing_mm", "mm"),
            ("growth_mm_per_day", "mm/day"),
            ("time_available_days", "days"),
            ("time_h", "h"),
            ("balance_grade_mm_per_s", "number"),
            ("blade_count", "number"),
            ("max_removed_fraction", "fraction"),
            ("height_change_per_turn_mm", "mm"),
        ] {
            assert_eq!(Unit::of_field(field).symbol, symbol, "{field}");
        }
    }

    #[test]
    fn numbers_are_written_short() {
        for (value, text) in [
            (4.545_454, "4.5455"),
            (60_000.0, "60000"),
            (0.0, "0"),
            (-0.32, "-0.32"),
            (2.011_68, "2.0117"),
            (0.000_123_456, "0.00012346"),
            (1_234_567.0, "1234567"),
        ] {
            assert_eq!(plain(value), text);
        }
        assert_eq!(decimal(-0.001, 2), "0");
    }

    #[test]
    fn lengths_are_shown_in_either_unit() {
        assert_eq!(format_length(3.175, LengthUnit::Inch), "0.125 in");
        assert_eq!(format_length(3.5, LengthUnit::Millimetre), "3.50 mm");
        assert_eq!(format_length(0.05, LengthUnit::Inch), "0.0020 in");
        assert_eq!(format_length(0.025, LengthUnit::Millimetre), "0.025 mm");
    }
}
