//! How far does a rear roller brush press into its roller, where are its shafts set, and how fast
//! does its surface run against the roller's? Own geometry throughout. Deliberately absent: what
//! pressure is right; no figure for it is published, so the machine's manual and a light touch say.

use std::f64::consts::PI;

use super::{Common, SettingError};
use crate::domain::limits::{check, check_given};
use crate::domain::units::{decimal, plain};

/// Two settings closer than a rule between shafts can show are the same setting.
const SAME_MM: f64 = 0.1;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct BrushContactInputs {
    pub brush_diameter_mm: Option<f64>,
    pub roller_diameter_mm: Option<f64>,
    pub centre_distance_mm: Option<f64>,
    /// Overlap of bristle and roller; minus is clear.
    pub brush_interference_mm: Option<f64>,
    pub brush_speed_rpm: Option<f64>,
    pub ground_speed_mps: Option<f64>,
    pub minimum_brush_diameter_mm: Option<f64>,
    pub brush_diameter_when_set_mm: Option<f64>,
    pub surface_speed_ratio: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct BrushContactAnswer {
    pub brush_interference_mm: Option<f64>,
    pub centre_distance_mm: Option<f64>,
    pub surface_speed_ratio: Option<f64>,
    pub brush_surface_speed_mps: Option<f64>,
    /// Minus once past the limit.
    pub wear_to_limit_mm: Option<f64>,
    /// Change of the shafts' distance that wear asks for; minus brings them closer.
    pub setting_change_mm: Option<f64>,
    /// Only when solved for.
    pub brush_speed_rpm: Option<f64>,
    pub common: Common,
}

pub fn brush_contact(inputs: &BrushContactInputs) -> Result<BrushContactAnswer, SettingError> {
    let given = checked(inputs)?;
    let mut answer = BrushContactAnswer::default();
    contact(&mut answer, &given)?;
    speeds(&mut answer, &given)?;
    wear(&mut answer, &given);
    if answer.common.answer.is_empty() {
        ask(&mut answer.common, &given);
        return Ok(answer);
    }
    for caution in ["isolate_drive", "block_tipped_unit", "hands_clear_of_reel"] {
        answer.common.caution(caution);
    }
    Ok(answer)
}

fn checked(inputs: &BrushContactInputs) -> Result<BrushContactInputs, SettingError> {
    Ok(BrushContactInputs {
        brush_diameter_mm: check_given("brush_diameter_mm", inputs.brush_diameter_mm)?,
        roller_diameter_mm: check_given("roller_diameter_mm", inputs.roller_diameter_mm)?,
        centre_distance_mm: check_given("centre_distance_mm", inputs.centre_distance_mm)?,
        brush_interference_mm: check_given("brush_interference_mm", inputs.brush_interference_mm)?,
        brush_speed_rpm: check_given("brush_speed_rpm", inputs.brush_speed_rpm)?,
        ground_speed_mps: check_given("ground_speed_mps", inputs.ground_speed_mps)?,
        minimum_brush_diameter_mm: check_given(
            "minimum_brush_diameter_mm",
            inputs.minimum_brush_diameter_mm,
        )?,
        brush_diameter_when_set_mm: check_given(
            "brush_diameter_when_set_mm",
            inputs.brush_diameter_when_set_mm,
        )?,
        surface_speed_ratio: check_given("surface_speed_ratio", inputs.surface_speed_ratio)?,
    })
}

/// Says the answer, or, once there is one, adds to it.
fn say(common: &mut Common, solved_for: &'static str, words: String) {
    if common.answer.is_empty() {
        common.conclude(solved_for, words);
    } else {
        common.answer.push(' ');
        common.answer.push_str(&words);
    }
}

fn contact(
    answer: &mut BrushContactAnswer,
    given: &BrushContactInputs,
) -> Result<(), SettingError> {
    let (Some(brush_mm), Some(roller_mm)) = (given.brush_diameter_mm, given.roller_diameter_mm)
    else {
        return Ok(());
    };
    let touching_mm = (brush_mm + roller_mm) / 2.0;
    let common = &mut answer.common;
    common.step(
        "distance at which the bristles just touch = (brush + roller) / 2",
        format!("({} + {}) / 2", plain(brush_mm), plain(roller_mm)),
        touching_mm,
        "mm",
        "geometry",
    );
    match (given.centre_distance_mm, given.brush_interference_mm) {
        (Some(distance_mm), wanted) => {
            let overlap_mm = touching_mm - distance_mm;
            common.step(
                "overlap = touching distance - distance of the shafts",
                format!("{} - {}", plain(touching_mm), plain(distance_mm)),
                overlap_mm,
                "mm",
                "geometry",
            );
            let words =
                if overlap_mm > 0.0 { "presses into the roller by" } else { "stands clear by" };
            let by = decimal(overlap_mm.abs(), 2);
            say(common, "brush_interference_mm", format!("The brush {words} {by} mm."));
            answer.brush_interference_mm = Some(overlap_mm);
            answer.centre_distance_mm = Some(distance_mm);
            if let Some(wanted_mm) = wanted.filter(|mm| (mm - overlap_mm).abs() > SAME_MM) {
                let change_mm = overlap_mm - wanted_mm;
                let way = if change_mm > 0.0 { "apart" } else { "closer" };
                let by = decimal(change_mm.abs(), 2);
                let to = decimal(wanted_mm, 2);
                let words = format!("Move the shafts {by} mm {way} for the {to} mm wanted.");
                say(common, "brush_interference_mm", words);
            }
        }
        (None, Some(overlap_mm)) => {
            let distance_mm = check("centre_distance_mm", touching_mm - overlap_mm)?;
            common.step(
                "distance of the shafts = touching distance - overlap",
                format!("{} - {}", plain(touching_mm), plain(overlap_mm)),
                distance_mm,
                "mm",
                "geometry",
            );
            let at = decimal(distance_mm, 2);
            say(common, "centre_distance_mm", format!("Set the shafts {at} mm apart."));
            answer.brush_interference_mm = Some(overlap_mm);
            answer.centre_distance_mm = Some(distance_mm);
        }
        (None, None) => return Ok(()),
    }
    common.advise(
        "light_contact",
        "Bristle ends clean; pressed flat they rub, heat and wear. Begin with the lightest touch \
         that clears the roller, the same at both ends. The machine's manual gives the figure.",
    );
    Ok(())
}

fn speeds(answer: &mut BrushContactAnswer, given: &BrushContactInputs) -> Result<(), SettingError> {
    let Some(brush_mm) = given.brush_diameter_mm else {
        return Ok(());
    };
    let common = &mut answer.common;
    let solved_rpm = speed_for_ratio(common, given, brush_mm)?;
    let Some(speed_rpm) = given.brush_speed_rpm.or(solved_rpm) else {
        return Ok(());
    };
    let surface_mps = PI * brush_mm * speed_rpm / 60_000.0;
    common.step(
        "brush surface speed = pi * diameter * speed / 60000",
        format!("pi * {} * {} / 60000", plain(brush_mm), plain(speed_rpm)),
        surface_mps,
        "m/s",
        "geometry",
    );
    answer.brush_surface_speed_mps = Some(surface_mps);
    answer.brush_speed_rpm = solved_rpm;
    let Some(ground_mps) = given.ground_speed_mps else {
        say(
            common,
            "brush_surface_speed_mps",
            format!("The brush's surface runs at {} m/s.", decimal(surface_mps, 2)),
        );
        return Ok(());
    };
    let ratio = surface_mps / ground_mps;
    common.step(
        "ratio = brush surface speed / roller surface speed (a roller that does not slip runs at \
         ground speed)",
        format!("{} / {}", plain(surface_mps), plain(ground_mps)),
        ratio,
        "",
        "geometry",
    );
    answer.surface_speed_ratio = Some(ratio);
    let words = format!(
        "The brush's surface runs at {} times the roller's ({} m/s against {} m/s).",
        decimal(ratio, 2),
        decimal(surface_mps, 2),
        decimal(ground_mps, 2)
    );
    if let Some(rpm) = solved_rpm {
        say(
            common,
            "brush_speed_rpm",
            format!("Run the brush at {} rpm. {words}", decimal(rpm, 0)),
        );
    } else {
        say(common, "surface_speed_ratio", words);
    }
    Ok(())
}

/// The brush speed for a wanted ratio, when no speed was given.
fn speed_for_ratio(
    common: &mut Common,
    given: &BrushContactInputs,
    brush_mm: f64,
) -> Result<Option<f64>, SettingError> {
    let (None, Some(ratio), Some(ground_mps)) =
        (given.brush_speed_rpm, given.surface_speed_ratio, given.ground_speed_mps)
    else {
        return Ok(None);
    };
    let rpm = 60_000.0 * ratio * ground_mps / (PI * brush_mm);
    common.step(
        "brush speed = 60000 * ratio * ground speed / (pi * brush diameter)",
        format!("60000 * {} * {} / (pi * {})", plain(ratio), plain(ground_mps), plain(brush_mm)),
        rpm,
        "rpm",
        "geometry",
    );
    check("brush_speed_rpm", rpm).map(Some)
}

fn wear(answer: &mut BrushContactAnswer, given: &BrushContactInputs) {
    let Some(brush_mm) = given.brush_diameter_mm else {
        return;
    };
    let common = &mut answer.common;
    if let Some(set_mm) = given.brush_diameter_when_set_mm {
        let change_mm = (brush_mm - set_mm) / 2.0;
        common.step(
            "change of the shafts' distance = (diameter now - diameter when set) / 2",
            format!("({} - {}) / 2", plain(brush_mm), plain(set_mm)),
            change_mm,
            "mm",
            "geometry",
        );
        answer.setting_change_mm = Some(change_mm);
        let way = if change_mm < 0.0 { "closer" } else { "apart" };
        let by = decimal(change_mm.abs(), 2);
        let words = format!("To restore the touch it had, move the shafts {by} mm {way}.");
        say(common, "setting_change_mm", words);
    }
    if let Some(minimum_mm) = given.minimum_brush_diameter_mm {
        let left_mm = brush_mm - minimum_mm;
        common.step(
            "diameter left to wear = diameter now - diameter at the limit",
            format!("{} - {}", plain(brush_mm), plain(minimum_mm)),
            left_mm,
            "mm",
            "geometry",
        );
        answer.wear_to_limit_mm = Some(left_mm);
        let words = if left_mm > 0.0 {
            format!("There are {} mm of diameter left to wear.", decimal(left_mm, 1))
        } else {
            "The brush is worn to its limit: replace it.".to_owned()
        };
        say(common, "wear_to_limit_mm", words);
    }
}

fn ask(common: &mut Common, given: &BrushContactInputs) {
    if given.brush_diameter_mm.is_none() {
        common.need("brush_diameter_mm", "mm", "Measure across the bristles at both ends.");
    }
    let about_speed = given.brush_speed_rpm.is_some()
        || given.ground_speed_mps.is_some()
        || given.surface_speed_ratio.is_some();
    if about_speed {
        if given.brush_speed_rpm.is_none() {
            common.need("brush_speed_rpm", "rpm", "Measure the brush shaft with a tachometer.");
        }
        return;
    }
    if given.roller_diameter_mm.is_none() {
        common.need("roller_diameter_mm", "mm", "Measure the rear roller, scraped clean.");
    }
    if given.centre_distance_mm.is_none() && given.brush_interference_mm.is_none() {
        common.need(
            "centre_distance_mm",
            "mm",
            "Measure from shaft centre to shaft centre; or give the overlap wanted instead.",
        );
    }
}

#[cfg(test)]
mod tests;
