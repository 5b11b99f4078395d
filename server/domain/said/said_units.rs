//! How is each unit said? The symbol of `units` beside the words people use for it.
//! Deliberately absent: factors, which `units` has.

use super::numbers::Quantity;
use crate::domain::language::text::Token;

/// "Threads to the inch": a pitch upside down. Not a unit of `units`.
pub const THREADS_PER_INCH: &str = "tpi";
/// Money of whatever currency.
pub const MONEY: &str = "money";

/// Units of what no calculation asks for (power, fuel): their numbers are left alone.
pub const OTHER: &str = "other";

/// Unbalance as balancing machines read it.
pub const GRAM_MILLIMETRES: &str = "g mm";
/// Torque. Not a unit of `units`.
pub const NEWTON_METRES: &str = "N m";
/// Torque as it is said in inches. Not a unit of `units`.
pub const FOOT_POUNDS: &str = "ft lb";
/// Steps of an adjuster that clicks. Not a unit of `units`.
pub const CLICKS: &str = "clicks";

/// Symbol, and the ways it is said. A blank parts words; signs are words here.
#[rustfmt::skip]
const SAID: &[(&str, &[&str])] = &[
    ("mm", &["mm", "mms", "millimetre", "millimetres", "millimeter", "millimeters",
        "of a mm", "of a millimetre", "of a millimeter", "a mm", "a millimetre", "a millimeter",
        "full mm", "full millimetre", "full millimeter", "whole millimetre"]),
    ("mil", &["mil", "mils", "mill", "mills", "of a mil", "of a mill", "a mil", "full mil"]),
    ("thou", &["thou", "thous", "thousandth", "thousandths", "thousandths of an inch",
        "thousandth of an inch", "thou of an inch"]),
    ("cm", &["cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"]),
    ("in", &["in", "ins", "inch", "inches", "\"", "of an inch", "an inch", "inchs", "incher", "full inch"]),
    ("ft", &["ft", "foot", "feet", "'", "of a foot"]),
    ("yd", &["yd", "yds", "yard", "yards"]),
    ("m", &["m", "metre", "metres", "meter", "meters"]),
    ("km/h", &["km / h", "kmh", "kph", "km an hour", "km per hour", "km / hr", "k an hour",
        "k per hour", "kilometres an hour", "kilometres per hour", "kilometre an hour",
        "kilometre per hour", "kilometers an hour", "kilometers per hour", "kilometer an hour",
        "kms an hour", "ks an hour", "klicks", "kmph", "km ph", "kms per hour", "ks per hour",
        "km / hour", "k / h", "kms / h", "km by hour", "km each hour", "km the hour",
        "km in one hour", "km in an hour", "km in the hour", "km in hour",
        "kilometres in one hour",
        "kilometres in an hour", "kilometres in the hour", "kilometre in one hour",
        "kilometre in the hour", "kilometres by hour", "kilometres the hour"]),
    ("mph", &["mph", "miles an hour", "miles per hour", "mile an hour", "mile per hour", "mi / h",
        "mi / hr", "miles in the hour", "miles in an hour", "miles the hour", "mile in the hour",
        "miles / hour"]),
    ("m/s", &["ms", "m / s", "mps", "metres a second", "metres per second", "meters per second",
        "meters a second", "metre a second", "metre per second", "meter a second", "m per second",
        "m a second", "m per sec", "m a sec", "metres a sec", "metres per sec", "m / sec",
        "meter per second", "meters a sec", "meters per sec", "msec", "m / second",
        "metres in one second", "metre in one second", "metre in second", "metres in second",
        "metres in a second", "metres each second",
        "metre each second", "metres by second", "m by second", "m in one second"]),
    ("m/min", &["mmin", "m / min", "metres a minute", "metres per minute", "meters a minute",
        "meters per minute", "m per min", "m a minute"]),
    ("ft/min", &["ft / min", "fpm", "feet a minute", "feet per minute", "foot a minute",
        "foot per minute", "ft per min", "ft a minute", "ft per minute", "sfpm",
        "surface feet per minute", "surface feet a minute", "surface feet", "sfm"]),
    ("rpm", &["rpm", "rpms", "revs", "rev", "revs a minute", "revs per minute", "revs a min",
        "revs per min", "rev / min", "r / min", "rmin", "revolutions a minute",
        "revolutions per minute", "rev a minute", "rev per minute", "turns a minute",
        "turns per minute", "turn a minute", "turn per minute", "turns in one minute",
        "turn in one minute", "turns in a minute", "turns each minute", "turns every minute",
        "turns by minute", "turns / min", "revs in one minute", "revs in a minute",
        "revs each minute", "revs every minute", "revs / min", "rotations per minute",
        "rotations a minute", "rotation per minute", "rounds per minute", "rounds a minute",
        "revolution per minute", "times a minute", "times per minute", "a minute", "per minute",
        "every minute", "each minute", "/ min", "r p m"]),
    ("kg", &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"]),
    ("g", &["g", "gm", "gms", "gram", "grams", "gramme", "grammes"]),
    ("lb", &["lb", "lbs", "pound", "pounds"]),
    ("oz", &["oz", "ounce", "ounces"]),
    ("N", &["n", "newton", "newtons"]),
    ("psi", &["psi", "pounds per square inch", "pounds a square inch", "lb per square inch"]),
    ("bar", &["bar", "bars"]),
    ("kPa", &["kpa", "kilopascal", "kilopascals"]),
    ("deg", &["\u{b0}", "deg", "degs", "degree", "degrees"]),
    ("%", &["%", "percent", "per cent", "pct"]),
    ("h", &["h", "hr", "hrs", "hour", "hours", "of an hour", "an hour"]),
    ("min", &["min", "mins", "minute", "minutes"]),
    ("s", &["s", "sec", "secs", "second", "seconds", "of a second", "a second"]),
    ("days", &["day", "days"]),
    ("weeks", &["week", "weeks", "wk", "wks"]),
    ("fortnights", &["fortnight", "fortnights"]),
    ("months", &["month", "months"]),
    ("years", &["year", "years"]),
    ("ha", &["ha", "hectare", "hectares", "of a hectare"]),
    ("acre", &["acre", "acres", "of an acre"]),
    ("m2", &["sq m", "sqm", "square metre", "square metres", "square meter", "square meters",
        "m squared"]),
    ("ft2", &["sq ft", "sqft", "square foot", "square feet", "sq feet", "sq foot"]),
    ("mm/day", &["mm a day", "mm per day", "mm / day", "millimetres a day", "millimetre a day",
        "mil a day", "mm every day", "mm daily"]),
    ("mm/week", &["mm a week", "mm per week", "mm / week"]),
    ("in/day", &["inch a day", "inches a day", "inches per day", "inch per day", "in a day"]),
    ("in/week", &["inch a week", "inches a week", "inches per week", "inch per week"]),
    ("turns", &["turn", "turns", "of a turn", "a turn", "full turn", "full turns", "whole turn",
        "whole turns", "complete turn", "complete turns", "revolution",
        "full revolution"]),
    ("flats", &["flat", "flats", "of a flat"]),
    (GRAM_MILLIMETRES, &["g mm", "gram mm", "grams mm", "gram millimetres", "gram millimetre", "gmm",
        "g - mm", "gram millimeters", "gram - millimetres", "gram - mm"]),
    (CLICKS, &["click", "clicks", "notch", "notches"]),
    (NEWTON_METRES, &["nm", "n m", "newton metre", "newton metres", "newton meter",
        "newton meters"]),
    (FOOT_POUNDS, &["foot pounds", "foot pound", "foot lbs", "foot lb", "ft lb", "ft lbs", "ft pounds",
        "foot - pounds", "ft - lb", "ft - lbs", "ft . lbs", "lb ft", "lbs ft", "lb - ft", "pound feet",
        "pounds feet", "pound foot", "ftlb", "ftlbs"]),
    (THREADS_PER_INCH, &["tpi", "threads to the inch", "threads per inch", "threads an inch",
        "thread to the inch", "thread per inch", "threads to an inch",
        "thread - per - inch", "threads - per - inch", "thread"]),
    (OTHER, &["hp", "bhp", "horse", "horsepower", "kw", "kilowatt", "kilowatts", "cc", "volt",
        "volts", "amps", "litre", "litres", "l / h", "gallons", "hours a year", "hours per year",
        "hrs a year", "hours a season",
        "hours a week", "hrs a week"]),
    (MONEY, &["quid", "grand", "bucks", "dollars", "euros", "euro", "pounds sterling", "k"]),
];

/// A unit that was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SaidUnit {
    /// Its token.
    pub at: usize,
    pub symbol: &'static str,
    /// By itself: "gaps in thou", "all in mm".
    pub alone: bool,
}

/// Every unit said: with a number, or by itself.
pub fn said_units(tokens: &[Token], quantities: &[Quantity]) -> Vec<SaidUnit> {
    let counted = |q: &Quantity| Some(SaidUnit { at: q.last, symbol: q.unit?, alone: false });
    let mut out: Vec<SaidUnit> = quantities.iter().filter_map(counted).collect();
    let mut inside = vec![false; tokens.len()];
    quantities.iter().for_each(|quantity| inside[quantity.first..=quantity.last].fill(true));
    for (at, token) in tokens.iter().enumerate().filter(|(at, _)| !inside[*at]) {
        let symbol = match token.text.as_str() {
            "mm" | "millimetres" | "millimeters" | "millimetre" | "millimeter" => "mm",
            "cm" | "cms" | "centimetres" | "centimeters" => "cm",
            "thou" | "thous" | "thousandths" | "thousandth" => "thou",
            "inch" | "inches" => "in",
            "mph" => "mph",
            "psi" => "psi",
            "kph" | "kmh" => "km/h",
            _ => continue,
        };
        out.push(SaidUnit { at, symbol, alone: true });
    }
    out
}

/// The unit said from token `at` on, and its last token; the longest way of saying it wins.
pub fn unit_at(tokens: &[Token], at: usize) -> Option<(&'static str, usize)> {
    let mut best: Option<(&'static str, usize)> = None;
    for (symbol, ways) in SAID {
        for way in *ways {
            let Some(last) = said_at(tokens, at, way) else { continue };
            if best.is_none_or(|(_, known)| last > known) {
                best = Some((symbol, last));
            }
        }
    }
    best
}

/// The last token of the longest of these that stands from token `at` on.
pub fn any_said_at(tokens: &[Token], at: usize, all: &[&str]) -> Option<usize> {
    all.iter().filter_map(|words| said_at(tokens, at, words)).max()
}

/// The last token of the words when they stand from token `at` on.
pub fn said_at(tokens: &[Token], at: usize, words: &str) -> Option<usize> {
    let mut next = at;
    for word in words.split(' ') {
        if tokens.get(next)?.text != word {
            return None;
        }
        next += 1;
    }
    Some(next - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::said::numbers::quantities;
    use crate::domain::language::text::tokens;

    #[test]
    fn torque_is_said_in_foot_pounds_as_well() {
        for words in ["90 foot pounds", "90 ft-lbs", "90 ft lbs", "90 lb ft"] {
            let all = quantities(&tokens(words));
            assert_eq!(all.len(), 1, "{words}");
            assert_eq!((all[0].value, all[0].unit), (90.0, Some(FOOT_POUNDS)), "{words}");
        }
    }
}
