//! How does a roller's sinkage change with its load, diameter and width, and with the ground?
//! Only the ratio of two sinkages is answered. The sinkage itself is deliberately absent: it needs
//! soil constants, and none are published for managed turf.
//!
//! A rigid wheel on ground whose pressure grows as depth^n sinks by
//! z = (3 W / (b (3 - n) k √D))^(2 / (2n + 1)) (Bekker; read in a public source file). In a ratio
//! the stiffness k and the factor 3 - n cancel, and with w = W / b the load per width
//! z2 / z1 = (w2 / (w1 f) · √(D1 / D2))^(2 / (2n + 1)), f the firmness after over before.

use super::{Common, SettingError};
use crate::domain::limits::{Bound, check, check_given};
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct SinkageChangeInputs {
    pub roller_load_kg: Option<f64>,
    pub new_roller_load_kg: Option<f64>,
    pub roller_diameter_mm: Option<f64>,
    pub new_roller_diameter_mm: Option<f64>,
    pub roller_width_mm: Option<f64>,
    pub new_roller_width_mm: Option<f64>,
    pub ground_firmness_ratio: Option<f64>,
    pub sinkage_mm: Option<f64>,
    pub new_sinkage_mm: Option<f64>,
    pub sinkage_exponent: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct SinkageChangeAnswer {
    pub sinkage_ratio: Option<f64>,
    pub sinkage_ratio_low: Option<f64>,
    pub sinkage_ratio_high: Option<f64>,
    pub new_sinkage_mm: Option<f64>,
    pub new_roller_load_kg: Option<f64>,
    pub new_roller_diameter_mm: Option<f64>,
    pub new_roller_width_mm: Option<f64>,
    pub common: Common,
}

/// Sandy loam at 15 % moisture, the middle of the published table.
const EXPONENT_DEFAULT: f64 = 0.7;
/// Soft wet soil and dry sand, the ends of the range that is worth quoting.
const EXPONENT_RANGE: (f64, f64) = (0.3, 1.1);

/// One quantity before and after the change, and how the stress on the ground grows with it.
struct Pair {
    name: &'static str,
    field: &'static str,
    new_field: &'static str,
    unit: &'static str,
    /// Power of the quantity in the stress.
    power: f64,
    now: Option<f64>,
    new: Option<f64>,
}

fn check_pairs(i: &SinkageChangeInputs) -> Result<[Pair; 3], SettingError> {
    Ok([
        Pair {
            name: "load",
            field: "roller_load_kg",
            new_field: "new_roller_load_kg",
            unit: "kg",
            power: 1.0,
            now: check_given("roller_load_kg", i.roller_load_kg)?,
            new: check_given("new_roller_load_kg", i.new_roller_load_kg)?,
        },
        Pair {
            name: "diameter",
            field: "roller_diameter_mm",
            new_field: "new_roller_diameter_mm",
            unit: "mm",
            power: -0.5,
            now: check_given("roller_diameter_mm", i.roller_diameter_mm)?,
            new: check_given("new_roller_diameter_mm", i.new_roller_diameter_mm)?,
        },
        Pair {
            name: "width",
            field: "roller_width_mm",
            new_field: "new_roller_width_mm",
            unit: "mm",
            power: -1.0,
            now: check_given("roller_width_mm", i.roller_width_mm)?,
            new: check_given("new_roller_width_mm", i.new_roller_width_mm)?,
        },
    ])
}

/// How sinkage scales, or the new quantity that brings a wanted sinkage.
pub fn sinkage_change(inputs: &SinkageChangeInputs) -> Result<SinkageChangeAnswer, SettingError> {
    let pairs = check_pairs(inputs)?;
    let firmness = check_given("ground_firmness_ratio", inputs.ground_firmness_ratio)?;
    let sinkage = check_given("sinkage_change.sinkage_mm", inputs.sinkage_mm)?;
    let wanted = check_given("new_sinkage_mm", inputs.new_sinkage_mm)?;
    let given_exponent = check_given("sinkage_exponent", inputs.sinkage_exponent)?;
    let mut answer = SinkageChangeAnswer::default();
    let unpaired: Vec<&Pair> =
        pairs.iter().filter(|pair| pair.now.is_none() && pair.new.is_some()).collect();
    for pair in &unpaired {
        answer.common.need(pair.field, pair.unit, format!("the {} as it is now", pair.name));
    }
    if wanted.is_some() && sinkage.is_none() {
        answer.common.need("sinkage_mm", "mm", "the sinkage as it is now");
    }
    let changed = firmness.is_some() || pairs.iter().any(|pair| pair.new.is_some());
    if wanted.is_none() && !changed {
        name_missing(&pairs, &mut answer.common);
    }
    if !answer.common.missing.is_empty() {
        return Ok(answer);
    }
    let exponent = given_exponent.unwrap_or(EXPONENT_DEFAULT);
    let stress = stress_ratio(&pairs, firmness, &mut answer.common);
    match (sinkage, wanted) {
        (Some(now), Some(wanted)) => {
            solve_for_new(&pairs, stress, exponent, now, wanted, &mut answer)?
        }
        _ => ratio_from_stress(stress, exponent, given_exponent, sinkage, &mut answer)?,
    }
    if answer.common.missing.is_empty() {
        state_limits(given_exponent.is_some(), &mut answer.common);
    }
    Ok(answer)
}

/// Nothing changes yet: asks for the new value of what is known, or for any pair.
fn name_missing(pairs: &[Pair; 3], common: &mut Common) {
    let known: Vec<&Pair> = pairs.iter().filter(|pair| pair.now.is_some()).collect();
    let asked: Vec<&Pair> = if known.is_empty() { pairs.iter().collect() } else { known };
    for pair in asked {
        let why = format!("the {} after the change; leave out what stays the same", pair.name);
        common.need(pair.new_field, pair.unit, why);
    }
}

/// Stress on the ground after over before, from every pair that changes.
fn stress_ratio(pairs: &[Pair; 3], firmness: Option<f64>, common: &mut Common) -> f64 {
    let mut factors = Vec::new();
    let mut stress = 1.0;
    for pair in pairs {
        match (pair.now, pair.new) {
            (Some(now), Some(new)) => {
                stress *= (new / now).powf(pair.power);
                let (now, new) = (plain(now), plain(new));
                factors.push(match pair.name {
                    "load" => format!("{new} / {now}"),
                    "diameter" => format!("√({now} / {new})"),
                    _ => format!("{now} / {new}"),
                });
            }
            (Some(now), None) => {
                common.note(format!("The {} stays {} {}", pair.name, plain(now), pair.unit), "");
            }
            _ => {}
        }
    }
    if let Some(firmness) = firmness {
        stress /= firmness;
        factors.push(format!("1 / {}", plain(firmness)));
    }
    if !factors.is_empty() {
        common.step(
            "Stress on the ground, after over before",
            factors.join(" × "),
            stress,
            "",
            "bekker_rigid_wheel",
        );
    }
    stress
}

/// The power to which the stress is raised.
fn power_of(exponent: f64) -> f64 {
    2.0 / (2.0 * exponent + 1.0)
}

fn ratio_from_stress(
    stress: f64,
    exponent: f64,
    given_exponent: Option<f64>,
    sinkage: Option<f64>,
    answer: &mut SinkageChangeAnswer,
) -> Result<(), SettingError> {
    let ratio = stress.powf(power_of(exponent));
    let common = &mut answer.common;
    common.step(
        format!("Sinkage ratio, soil exponent n = {}", plain(exponent)),
        format!("{}^(2 / (2 × {} + 1))", plain(stress), plain(exponent)),
        ratio,
        "",
        "bekker_rigid_wheel",
    );
    let mut range = (ratio, ratio);
    if given_exponent.is_none() {
        let ends = [EXPONENT_RANGE.0, EXPONENT_RANGE.1].map(|n| stress.powf(power_of(n)));
        range = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        for (soil, n, end) in [("soft wet soil", 0.3, ends[0]), ("dry sand", 1.1, ends[1])] {
            common.step(
                format!("The same on {soil}, n = {n}"),
                format!("{}^(2 / (2 × {n} + 1))", plain(stress)),
                end,
                "",
                "bekker_soil_table",
            );
        }
    }
    let mut told = format!("It will sink {ratio:.2} times as much.");
    let mut solved_for = "sinkage_ratio";
    if let Some(now) = sinkage {
        let new = now * ratio;
        check("new_sinkage_mm", new).map_err(|_| {
            let remedy = "the sinkage after the change works out over 50 mm; check the inputs";
            SettingError::new("sinkage_mm", plain(now), remedy)
        })?;
        common.step(
            "New sinkage = sinkage now × ratio",
            format!("{} × {}", plain(now), plain(ratio)),
            new,
            "mm",
            "",
        );
        told = format!("It will sink {new:.2} mm.");
        solved_for = "new_sinkage_mm";
        answer.new_sinkage_mm = Some(new);
    }
    if given_exponent.is_none() {
        let (low, high) = range;
        told = format!(
            "{} Between {} and {} times as much by soil.",
            told,
            decimal(low, 2),
            decimal(high, 2)
        );
    }
    common.conclude(solved_for, told);
    answer.sinkage_ratio = Some(ratio);
    answer.sinkage_ratio_low = Some(range.0);
    answer.sinkage_ratio_high = Some(range.1);
    Ok(())
}

/// The one quantity whose new value was left out, for a wanted sinkage.
fn solve_for_new(
    pairs: &[Pair; 3],
    stress: f64,
    exponent: f64,
    now: f64,
    wanted: f64,
    answer: &mut SinkageChangeAnswer,
) -> Result<(), SettingError> {
    let open: Vec<&Pair> =
        pairs.iter().filter(|pair| pair.now.is_some() && pair.new.is_none()).collect();
    let [pair] = open[..] else {
        let common = &mut answer.common;
        if open.is_empty() {
            common.need(
                "roller_load_kg",
                "kg",
                "give the one quantity that may change, as it is now",
            );
        }
        for pair in open {
            let why = format!("give all new values but one; the {} may be it", pair.name);
            common.need(pair.new_field, pair.unit, why);
        }
        return Ok(());
    };
    let before = pair.now.expect("the pair was chosen for having its value now");
    let ratio = wanted / now;
    let needed_stress = ratio.powf(1.0 / power_of(exponent));
    let new = before * (needed_stress / stress).powf(1.0 / pair.power);
    let common = &mut answer.common;
    say_solution(pair, [now, wanted, before, new], [stress, needed_stress, exponent], common);
    check(pair.new_field, new).map_err(|_| {
        let range = Bound::of(pair.new_field).map(Bound::range).unwrap_or_default();
        let remedy = format!(
            "the {} for it works out at {} {}, outside {range}; ask for less change",
            pair.name,
            plain(new),
            pair.unit
        );
        SettingError::new("new_sinkage_mm", plain(wanted), remedy)
    })?;
    common.conclude(
        pair.new_field,
        format!("The {} would have to be {} {}.", pair.name, decimal(new, 1), pair.unit),
    );
    match pair.name {
        "load" => answer.new_roller_load_kg = Some(new),
        "diameter" => answer.new_roller_diameter_mm = Some(new),
        _ => answer.new_roller_width_mm = Some(new),
    }
    answer.sinkage_ratio = Some(ratio);
    answer.sinkage_ratio_low = Some(ratio);
    answer.sinkage_ratio_high = Some(ratio);
    answer.new_sinkage_mm = Some(wanted);
    Ok(())
}

/// The lines of working from a wanted sinkage to the new quantity.
fn say_solution(
    pair: &Pair,
    [now, wanted, before, new]: [f64; 4],
    [stress, needed_stress, exponent]: [f64; 3],
    common: &mut Common,
) {
    let ratio = wanted / now;
    common.step(
        "Sinkage ratio wanted",
        format!("{} / {}", plain(wanted), plain(now)),
        ratio,
        "",
        "",
    );
    common.step(
        format!("Stress ratio that gives it, soil exponent n = {}", plain(exponent)),
        format!("{}^((2 × {} + 1) / 2)", plain(ratio), plain(exponent)),
        needed_stress,
        "",
        "bekker_rigid_wheel",
    );
    common.step(
        format!("New {}", pair.name),
        format!(
            "{} × ({} / {})^{}",
            plain(before),
            plain(needed_stress),
            plain(stress),
            plain(1.0 / pair.power)
        ),
        new,
        pair.unit,
        "",
    );
}

fn state_limits(exponent_given: bool, common: &mut Common) {
    common.cite("bekker_wheel_limits");
    common.advise(
        "outside_tested_diameter",
        "A guide only: the formula was tested on wheels over about 0.5 m across, and mower rollers \
         are far smaller. No constants are published for managed turf. Measure after the change.",
    );
    if !exponent_given {
        common.advise(
            "exponent_assumed",
            "The soil exponent was not given; 0.7, a sandy loam, was used, and the range of soils \
             is told beside it.",
        );
    }
}

#[cfg(test)]
mod tests;
