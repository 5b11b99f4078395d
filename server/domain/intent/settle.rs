//! What does a number mean for the field it goes to: in the field's unit, and with what assumption?
//! A number without a unit takes the unit of its neighbours when that is likely for the field, else
//! the one unit that is likely; each such choice is told. Deliberately absent: the bounds, which
//! the calculation or the record checks itself.

use super::spoken::Spoken;
use crate::domain::limits::Bound;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::{CLICKS, GRAM_MILLIMETRES, SaidUnit, THREADS_PER_INCH};
use crate::domain::typed_quantity::plausible;
use crate::domain::units::{Kind, Unit, plain};

/// A number as it goes into a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// In the unit of the field.
    pub value: f64,
    /// Symbol of the unit said or assumed.
    pub unit: &'static str,
    /// What was assumed, in a sentence.
    pub assumption: Option<String>,
}

/// What fields that `typed_quantity` does not list are likely to be, in their own unit (common
/// practice, no source). It settles units and which number goes where, and refuses nothing.
#[rustfmt::skip]
const LIKELY: &[(&str, f64, f64)] = &[
    ("reel_speed_rpm", 150.0, 4_000.0),
    ("spindle_speed_rpm", 800.0, 8_000.0),
    ("wheel_speed_rpm", 300.0, 20_000.0),
    ("rated_wheel_speed_rpm", 300.0, 20_000.0),
    ("brush_speed_rpm", 60.0, 3_000.0),
    ("shaft_speed_rpm", 100.0, 4_000.0),
    ("blade_count", 3.0, 20.0),
    ("points_per_blade_count", 1.0, 24.0),
    ("passes_count", 1.0, 20.0),
    ("relief_angle_deg", 5.0, 50.0),
    ("roller_load_kg", 1.0, 400.0),
    ("new_roller_load_kg", 5.0, 400.0),
    ("overlap_mm", 10.0, 1_200.0),
    ("working_width_mm", 200.0, 30_000.0),
    ("area_ha", 0.02, 500.0),
    ("time_h", 0.1, 500.0),
    ("machine_time_h", 10.0, 20_000.0),
    ("start_time_h", 10.0, 20_000.0),
    ("purchase_price", 500.0, 500_000.0),
    ("accumulated_repair_cost", 50.0, 500_000.0),
    ("field_efficiency_fraction", 0.3, 1.0),
    ("max_removed_fraction", 0.05, 0.5),
    ("target_surface_share_fraction", 0.01, 1.0),
    ("time_available_days", 1.0, 365.0),
    ("mowing_interval_days", 0.25, 30.0),
    ("balance_grade_mm_per_s", 1.0, 100.0),
    ("heavy_mass_kg", 0.0005, 1.0),
    ("heavy_radius_mm", 50.0, 1_000.0),
    ("turns_count", 0.02, 20.0),
    ("calibration_turns_count", 0.05, 10.0),
    // A click or a flat is worth a few hundredths, a turn some millimetres (common practice, no
    // source).
    ("height_change_per_turn_mm", 0.005, 4.0),
    ("sinkage_exponent", 0.1, 1.3),
    ("ground_firmness_ratio", 0.2, 5.0),
    ("surface_speed_ratio", 0.2, 30.0),
    ("slot_angle_deg", 0.0, 60.0),
    ("adjuster_travel_ratio", 0.1, 5.0),
    ("brush_diameter_when_set_mm", 30.0, 300.0),
    ("survived_time_h", 1.0, 20_000.0),
    ("horizon_h", 1.0, 5_000.0),
    ("watched_time_h", 1.0, 50_000.0),
    ("expected_life_h", 1.0, 20_000.0),
    ("failure_times_h", 1.0, 20_000.0),
    ("still_running_times_h", 1.0, 20_000.0),
    ("repair_times_h", 1.0, 20_000.0),
    ("reading_times_h", 0.0, 20_000.0),
    ("grinding_times_h", 0.0, 20_000.0),
    ("grinding_interval_h", 1.0, 5_000.0),
    ("profile_depth_mm", 5.0, 300.0),
    ("holes_per_m2", 10.0, 5_000.0),
    ("allowed_failure_fraction", 0.005, 0.9),
    ("confidence_fraction", 0.5, 0.999),
    ("unbalance_g_mm", 1.0, 50_000.0),
    ("event_count", 1.0, 200.0),
    ("exposure_h", 10.0, 200_000.0),
    // Fields of records.
    ("diameter_before_mm", 30.0, 400.0),
    ("diameter_after_mm", 30.0, 400.0),
    ("taken_off_mm", 0.01, 3.0),
    ("setting_mm", -5.0, 150.0),
    ("setting_before_mm", -5.0, 150.0),
    ("movement_mm", 0.01, 200.0),
    ("old_diameter_mm", 10.0, 400.0),
    ("thickness_mm", 0.3, 20.0),
    ("end_play_mm", 0.005, 5.0),
    ("pressure_kpa", 20.0, 500.0),
    ("pressure_before_kpa", 20.0, 500.0),
    ("machine_hours_h", 20.0, 50_000.0),
    ("hours_run_h", 0.1, 60.0),
    ("hours_h", 0.1, 20_000.0),
    ("hours_since_h", 0.1, 5_000.0),
    ("life_h", 1.0, 20_000.0),
    ("remaining_h", 1.0, 5_000.0),
    ("duration_min", 1.0, 3_000.0),
    ("duration_each_min", 0.5, 600.0),
    ("blade_stop_time_s", 0.2, 60.0),
    ("mass_removed_g", 0.5, 3_000.0),
    ("grit", 30.0, 1_200.0),
    ("sharpened_blade_count", 1.0, 30.0),
    ("count", 1.0, 500.0),
    ("turns", 0.02, 20.0),
    ("left_diameter_mm", 30.0, 400.0),
    ("right_diameter_mm", 30.0, 400.0),
    ("bedknife_top_angle_deg", 0.0, 45.0),
    ("bedknife_front_angle_deg", 0.0, 60.0),
];

/// The likely range of a field in its own unit.
pub fn likely(field: &str) -> Option<(f64, f64)> {
    let row = LIKELY.iter().find(|(name, _, _)| *name == field);
    row.map(|(_, low, high)| (*low, *high)).or_else(|| plausible(field))
}

/// Fields that hold whole numbers.
pub fn is_count(field: &str) -> bool {
    const COUNTS: &[&str] = &[
        "blade_count",
        "points_per_blade_count",
        "event_count",
        "grit",
        "sharpened_blade_count",
        "count",
    ];
    COUNTS.contains(&field)
}

/// The unit of a field; record fields of minutes, grams and turns among them.
pub fn unit_of_field(field: &str) -> &'static Unit {
    let symbol = if field.ends_with("_min") {
        "min"
    } else if field.ends_with("_g") {
        "g"
    } else if field.ends_with("_s") && !field.ends_with("_mm_per_s") {
        "s"
    } else if field == "turns" {
        "turns"
    } else {
        return Unit::of_field(field);
    };
    Unit::named(symbol).expect("the units of records are in the table")
}

/// The number in the field's unit, when it can be of the field at all.
pub fn settle(spoken: &Spoken, index: usize, field: &str) -> Option<Settled> {
    let quantity = &spoken.quantities[index];
    let own = unit_of_field(field);
    if field.ends_with("_days") && matches!(quantity.unit, Some("months" | "years")) {
        let days = if quantity.unit == Some("months") { 30.0 } else { 365.0 };
        let told = format!("{} taken as {} days", spoken.written(quantity), quantity.value * days);
        return Some(Settled {
            value: quantity.value * days,
            unit: "days",
            assumption: Some(told),
        });
    }
    match quantity.unit.map(|unit| spoken_of(unit, own.kind)) {
        Some(GRAM_MILLIMETRES) => (field == "unbalance_g_mm").then(|| exact(quantity, own)),
        Some(THREADS_PER_INCH) => pitch(quantity, field),
        // "Three clicks is 60 thou": counted as turns are, and answered so.
        Some(CLICKS) => (field == "calibration_turns_count").then(|| exact(quantity, own)),
        Some("money") if spoken.tokens[quantity.last].text == "k" && !is_money(field) => {
            thousands(quantity, field)
        }
        Some("money") => {
            (own.kind == Kind::Number && is_money(field)).then(|| exact(quantity, own))
        }
        Some("lb") if is_money(field) && is_pounds(spoken, quantity) => {
            Some(exact(quantity, own))
        }
        Some("mil") if own.kind == Kind::Length => mil(spoken, quantity, field),
        Some(symbol) => {
            let unit = Unit::named(symbol)?;
            let value = own.from_base(unit.to_base(quantity.value));
            let same = unit.kind == own.kind;
            let said_in = symbol == "in" && spoken.tokens[quantity.last].text == "in";
            if said_in && !is_likely(field, value) {
                // "0.3 in overlap": the word was no unit.
                return bare(spoken, index, field);
            }
            (same && holds(field, value)).then_some(Settled {
                value,
                unit: symbol,
                assumption: None,
            })
        }
        None => bare(spoken, index, field),
    }
}

/// "Nine clicks" of speed are kilometres an hour; of an adjuster they are its own. "Twelve pounds in
/// every tyre" are pounds on the square inch.
fn spoken_of(unit: &'static str, kind: Kind) -> &'static str {
    match (unit, kind) {
        (CLICKS, Kind::Speed) => "km/h",
        ("lb", Kind::Pressure) => "psi",
        _ => unit,
    }
}

fn exact(quantity: &Quantity, own: &Unit) -> Settled {
    Settled { value: quantity.value, unit: own.symbol, assumption: None }
}

/// "A 62,000 pound machine".
fn is_pounds(spoken: &Spoken, quantity: &Quantity) -> bool {
    matches!(spoken.tokens[quantity.last].text.as_str(), "pound" | "pounds")
}

fn is_money(field: &str) -> bool {
    field == "purchase_price" || field == "accumulated_repair_cost"
}

/// "Ten k" of speed are kilometres an hour; of revs or hours thousands.
fn thousands(quantity: &Quantity, field: &str) -> Option<Settled> {
    let own = unit_of_field(field);
    let (value, symbol) = match own.kind {
        Kind::Speed => (quantity.value / 1_000.0, "km/h"),
        Kind::Rotation | Kind::Time => (quantity.value, own.symbol),
        _ => return None,
    };
    let value = own.from_base(Unit::named(symbol)?.to_base(value));
    let settled = Settled { value, unit: symbol, assumption: None };
    (is_likely(field, value) && holds(field, value)).then_some(settled)
}

fn pitch(quantity: &Quantity, field: &str) -> Option<Settled> {
    let told = format!(
        "{} threads to the inch is a pitch of 25.4/{} mm",
        plain(quantity.value),
        plain(quantity.value)
    );
    let value = 25.4 / quantity.value;
    let sound = field == "thread_pitch_mm" && value.is_finite() && holds(field, value);
    sound.then_some(Settled { value, unit: "in", assumption: Some(told) })
}

/// "Mil" is a thousandth of an inch, and in the shop also a millimetre.
fn mil(spoken: &Spoken, quantity: &Quantity, field: &str) -> Option<Settled> {
    let (thou, mm) = (quantity.value * 0.0254, quantity.value);
    let written = spoken.written(quantity);
    // Where both are likely the millimetre is: a thousandth is mostly called a thou.
    let (value, unit) =
        if is_likely(field, mm) || !is_likely(field, thou) { (mm, "mm") } else { (thou, "thou") };
    let told = format!(
        "{written} taken as {} {unit}: a mil may be a thousandth of an inch or a \
        millimetre",
        plain(quantity.value)
    );
    holds(field, value).then_some(Settled { value, unit, assumption: Some(told) })
}

/// A number without a unit.
fn bare(spoken: &Spoken, index: usize, field: &str) -> Option<Settled> {
    let quantity = &spoken.quantities[index];
    let own = unit_of_field(field);
    // "A third" is a share, or of something that was named.
    if own.kind == Kind::Length && quantity.fraction && (quantity.value * 3.0).fract() < 1e-9 {
        return None;
    }
    let told = |unit: &str, why: &str| {
        let written = spoken.tokens.get(quantity.first).map_or("", |_| spoken.written(quantity));
        Some(format!("{written} taken as {} {unit}: {why}", plain(quantity.value)))
    };
    // "Forty-five minutes, 3,415 on the meter".
    let too_short = |symbol: &str| own.symbol == "h" && matches!(symbol, "min" | "s");
    let all = candidates(spoken, index, field);
    for (symbol, why) in all.into_iter().filter(|(symbol, _)| !too_short(symbol)) {
        let unit = Unit::named(symbol)?;
        let value = own.from_base(unit.to_base(quantity.value));
        // "Down to 150 psi from 180": what stands beside it tells, however high both are.
        let beside = spoken.quantities.iter().any(|other| {
            let near = other.value <= quantity.value * 2.0 && quantity.value <= other.value * 2.0;
            other.unit == Some(symbol) && near && own.kind == Kind::Pressure
        });
        if (is_likely(field, value) || beside) && holds(field, value) {
            let assumption =
                if is_plain(own.kind, quantity.value) { None } else { told(symbol, why) };
            return Some(Settled { value, unit: symbol, assumption });
        }
    }
    None
}

/// Kinds of which one unit is usual, so that nothing is assumed.
fn is_plain(kind: Kind, value: f64) -> bool {
    match kind {
        Kind::Number | Kind::Rotation | Kind::Angle | Kind::Turn => true,
        Kind::Share => value <= 1.0,
        _ => false,
    }
}

/// Units to try, surest first, and why.
fn candidates(spoken: &Spoken, index: usize, field: &str) -> Vec<(&'static str, &'static str)> {
    let quantity = &spoken.quantities[index];
    let kind = unit_of_field(field).kind;
    let mut out: Vec<(&'static str, &'static str)> = Vec::new();
    if kind == Kind::Length {
        if quantity.fraction && is_of_inches(quantity.value) {
            out.push(("in", "it is a fraction"));
        } else if quantity.leading_point && !metric(spoken) {
            out.push(("in", "it begins with the point, as inches are written"));
        }
    }
    for symbol in near_units(spoken, quantity.first, kind) {
        out.push((symbol, "the numbers beside it are"));
    }
    let usual: &[&'static str] = match kind {
        Kind::Length if !is_long(field) => &["mm", "in"],
        Kind::Length if imperial(spoken) => &["mm", "in", "ft", "m"],
        // "4.6 metres wide, overlap 0.4".
        Kind::Length if spoken.quantities.iter().any(|q| q.unit == Some("m")) => {
            &["mm", "m", "in", "ft"]
        }
        Kind::Length => &["mm", "in", "m", "ft"],
        Kind::Speed if imperial(spoken) => &["mph", "km/h", "m/s"],
        Kind::Speed => &["km/h", "m/s", "mph"],
        Kind::Mass if imperial(spoken) => &["lb", "kg", "g"],
        Kind::Mass => &["kg", "g"],
        Kind::Area if imperial(spoken) => &["acre", "ha"],
        Kind::Area => &["ha", "acre"],
        Kind::Pressure => &["psi", "bar", "kPa"],
        Kind::Share if quantity.value > 1.0 => &["%"],
        Kind::Share => &["fraction"],
        Kind::Time if symbol_of(field) == "min" => &["min", "h"],
        Kind::Time => &["h"],
        Kind::Growth => &["mm/day"],
        Kind::Rotation => &["rpm"],
        Kind::Angle => &["deg"],
        Kind::Turn => &["turns"],
        Kind::Force => &["N"],
        Kind::Temperature => &["C"],
        Kind::Number => &["number"],
    };
    out.extend(usual.iter().map(|symbol| (*symbol, "no unit was said")));
    out
}

/// What is told in metres or feet without saying so.
fn is_long(field: &str) -> bool {
    matches!(field, "working_width_mm" | "overlap_mm" | "blade_length_mm")
}

/// Rulers part an inch by halves; a third or a tenth is of something else.
fn is_of_inches(value: f64) -> bool {
    (value * 64.0).fract() == 0.0
}

/// Whether millimetres are spoken in, and nothing else: "gaps in mm".
fn metric(spoken: &Spoken) -> bool {
    let said = |said: &SaidUnit| matches!(said.symbol, "mm" | "cm" | "mil");
    spoken.units.iter().any(said) && !imperial(spoken)
}

fn symbol_of(field: &str) -> &'static str {
    unit_of_field(field).symbol
}

/// Units of a kind said in the text, those of the same sentence first, then by distance.
fn near_units(spoken: &Spoken, from: usize, kind: Kind) -> Vec<&'static str> {
    let sentence = spoken.tokens[from].sentence;
    let own = from_last(spoken, from);
    // "Readings in cm", "all mm": said of all the numbers.
    let declared = |said: &SaidUnit| {
        let before = said.at.checked_sub(1).map_or("", |before| spoken.tokens[before].text.as_str());
        said.alone && matches!(before, "in" | "all" | "is" | "are")
    };
    let mut found: Vec<(bool, bool, usize, &'static str)> = spoken
        .units
        .iter()
        .filter(|said| said.at != own || said.symbol != "in")
        .filter(|said| Unit::named(said.symbol).is_some_and(|unit| unit.kind == kind))
        .filter(|said| kind != Kind::Length || !matches!(said.symbol, "m" | "ft" | "yd" | "mil"))
        .map(|said| {
            let other = spoken.tokens[said.at].sentence != sentence;
            (other, !declared(said), said.at.abs_diff(from), said.symbol)
        })
        .collect();
    found.sort_unstable();
    let mut out: Vec<&'static str> = Vec::new();
    for (_, _, _, symbol) in found {
        if !out.contains(&symbol) {
            out.push(symbol);
        }
    }
    out
}

/// The last token of the quantity that begins at a token.
fn from_last(spoken: &Spoken, first: usize) -> usize {
    let own = spoken.quantities.iter().find(|quantity| quantity.first == first);
    own.map_or(first, |quantity| quantity.last)
}

/// Whether imperial units are spoken in.
pub fn imperial(spoken: &Spoken) -> bool {
    const IMPERIAL: &[&str] = &["in", "ft", "thou", "mph", "lb", "oz", "acre", "psi", "ft/min"];
    // The word "in" is as often none.
    let worded = |said: &&SaidUnit| spoken.tokens[said.at].text != "in";
    spoken.units.iter().filter(worded).any(|said| IMPERIAL.contains(&said.symbol))
}

pub fn is_likely(field: &str, value: f64) -> bool {
    let whole = !is_count(field) || value.fract() == 0.0;
    let Some((low, high)) = likely(field) else { return whole };
    let signed = matches!(field, "setting_mm" | "setting_before_mm");
    let size = if signed { value } else { value.abs() };
    whole && ((size >= low && size <= high) || value == 0.0)
}

fn holds(field: &str, value: f64) -> bool {
    Bound::of(field).is_none_or(|bound| bound.holds(value)) && value.is_finite()
}
