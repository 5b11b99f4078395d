//! What share of the turf do slits or holes work, and how far apart do the points of a vertical
//! cutter strike along travel? Deliberately absent: how deep to go; the turf and the season say.
//!
//! Passes are counted as the published tables count them: ground crossed twice counts twice.

mod pitch;

use std::f64::consts::PI;

use super::{Common, SettingError};
use crate::domain::limits::{check, check_given};
use crate::domain::units::{decimal, plain};

/// The share of a green worked in a year to hold organic matter down (published).
pub const ANNUAL_SHARE_FRACTION: (f64, f64) = (0.15, 0.20);

#[derive(Debug, Clone, Default, PartialEq)]
pub struct VerticutInputs {
    pub blade_thickness_mm: Option<f64>,
    pub blade_spacing_mm: Option<f64>,
    pub depth_mm: Option<f64>,
    pub profile_depth_mm: Option<f64>,
    pub hole_diameter_mm: Option<f64>,
    pub hole_spacing_across_mm: Option<f64>,
    pub hole_spacing_along_mm: Option<f64>,
    pub holes_per_m2: Option<f64>,
    pub passes_count: Option<f64>,
    pub target_surface_share_fraction: Option<f64>,
    pub shaft_speed_rpm: Option<f64>,
    pub points_per_blade_count: Option<f64>,
    pub ground_speed_mps: Option<f64>,
    pub cut_pitch_mm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct VerticutAnswer {
    pub surface_share_fraction: Option<f64>,
    pub total_surface_share_fraction: Option<f64>,
    pub volume_share_fraction: Option<f64>,
    pub cut_pitch_mm: Option<f64>,
    pub passes_for_target_count: Option<f64>,
    /// Only when solved for.
    pub blade_spacing_mm: Option<f64>,
    /// Only when solved for.
    pub ground_speed_mps: Option<f64>,
    /// Only when solved for.
    pub shaft_speed_rpm: Option<f64>,
    pub common: Common,
}

pub fn verticut(inputs: &VerticutInputs) -> Result<VerticutAnswer, SettingError> {
    let mut given = checked(inputs)?;
    let mut answer = VerticutAnswer::default();
    refuse_both(&given)?;
    solve_spacing(&mut answer, &mut given)?;
    let share = match slit_share(&mut answer.common, &given)? {
        Some(share) => Some(share),
        None => hole_share(&mut answer.common, &given)?,
    };
    if let Some(share) = share {
        describe_share(&mut answer, &given, share)?;
    }
    pitch::solve(&mut answer, &given)?;
    if answer.common.answer.is_empty() {
        ask(&mut answer.common, &given);
        return Ok(answer);
    }
    for caution in ["isolate_drive", "cut_gloves_stationary", "support_raised_machine"] {
        answer.common.caution(caution);
    }
    Ok(answer)
}

fn checked(inputs: &VerticutInputs) -> Result<VerticutInputs, SettingError> {
    Ok(VerticutInputs {
        blade_thickness_mm: check_given("blade_thickness_mm", inputs.blade_thickness_mm)?,
        blade_spacing_mm: check_given("blade_spacing_mm", inputs.blade_spacing_mm)?,
        depth_mm: check_given("depth_mm", inputs.depth_mm)?,
        profile_depth_mm: check_given("profile_depth_mm", inputs.profile_depth_mm)?,
        hole_diameter_mm: check_given("hole_diameter_mm", inputs.hole_diameter_mm)?,
        hole_spacing_across_mm: check_given(
            "hole_spacing_across_mm",
            inputs.hole_spacing_across_mm,
        )?,
        hole_spacing_along_mm: check_given("hole_spacing_along_mm", inputs.hole_spacing_along_mm)?,
        holes_per_m2: check_given("holes_per_m2", inputs.holes_per_m2)?,
        passes_count: check_given("passes_count", inputs.passes_count)?,
        target_surface_share_fraction: check_given(
            "target_surface_share_fraction",
            inputs.target_surface_share_fraction,
        )?,
        shaft_speed_rpm: check_given("shaft_speed_rpm", inputs.shaft_speed_rpm)?,
        points_per_blade_count: check_given(
            "points_per_blade_count",
            inputs.points_per_blade_count,
        )?,
        ground_speed_mps: check_given("ground_speed_mps", inputs.ground_speed_mps)?,
        cut_pitch_mm: check_given("cut_pitch_mm", inputs.cut_pitch_mm)?,
    })
}

fn refuse_both(given: &VerticutInputs) -> Result<(), SettingError> {
    let holes = [
        given.hole_diameter_mm,
        given.hole_spacing_across_mm,
        given.hole_spacing_along_mm,
        given.holes_per_m2,
    ];
    let slits = given.blade_thickness_mm.is_some() || given.blade_spacing_mm.is_some();
    if slits && holes.iter().any(Option::is_some) {
        let value = given.hole_diameter_mm.map_or("given".to_owned(), |mm| mm.to_string());
        let remedy = "give slits (blade thickness and spacing) or holes, not both at once";
        return Err(SettingError::new("hole_diameter_mm", value, remedy));
    }
    let spaced = given.hole_spacing_across_mm.or(given.hole_spacing_along_mm);
    if let (Some(density), Some(_)) = (given.holes_per_m2, spaced) {
        let remedy = "give the holes in a square metre or the two spacings, not both: published \
                      tables where they disagree are known";
        return Err(SettingError::new("holes_per_m2", density, remedy));
    }
    Ok(())
}

/// Thickness and a target, but no spacing: the spacing is what is asked.
fn solve_spacing(
    answer: &mut VerticutAnswer,
    given: &mut VerticutInputs,
) -> Result<(), SettingError> {
    let (Some(thickness_mm), None, Some(target)) =
        (given.blade_thickness_mm, given.blade_spacing_mm, given.target_surface_share_fraction)
    else {
        return Ok(());
    };
    let passes = given.passes_count.unwrap_or(1.0);
    let spacing_mm = check("blade_spacing_mm", thickness_mm * passes / target)?;
    answer.common.step(
        "distance between blades = thickness * passes / share wanted",
        format!("{} * {} / {}", plain(thickness_mm), plain(passes), plain(target)),
        spacing_mm,
        "mm",
        "geometry",
    );
    answer.common.conclude(
        "blade_spacing_mm",
        format!("Put the blades {} mm apart.", decimal(spacing_mm, 1)),
    );
    answer.blade_spacing_mm = Some(spacing_mm);
    given.blade_spacing_mm = Some(spacing_mm);
    Ok(())
}

fn slit_share(common: &mut Common, given: &VerticutInputs) -> Result<Option<f64>, SettingError> {
    let (Some(thickness_mm), Some(spacing_mm)) = (given.blade_thickness_mm, given.blade_spacing_mm)
    else {
        return Ok(None);
    };
    if spacing_mm <= thickness_mm {
        let remedy = format!("blades {thickness_mm} mm thick must stand further apart than that");
        return Err(SettingError::new("blade_spacing_mm", spacing_mm, remedy));
    }
    let share = thickness_mm / spacing_mm;
    common.step(
        "share of surface = blade thickness / distance between blades",
        format!("{} / {}", plain(thickness_mm), plain(spacing_mm)),
        share,
        "",
        "geometry",
    );
    Ok(Some(share))
}

fn hole_share(common: &mut Common, given: &VerticutInputs) -> Result<Option<f64>, SettingError> {
    let Some(diameter_mm) = given.hole_diameter_mm else {
        return Ok(None);
    };
    let hole_mm2 = PI * diameter_mm * diameter_mm / 4.0;
    let per_hole_mm2 =
        match (given.holes_per_m2, given.hole_spacing_across_mm, given.hole_spacing_along_mm) {
            (Some(density), _, _) => 1e6 / density,
            (None, Some(across_mm), Some(along_mm)) => {
                if diameter_mm > across_mm.min(along_mm) {
                    let remedy =
                        format!("holes {across_mm} by {along_mm} mm apart would run together");
                    return Err(SettingError::new("hole_diameter_mm", diameter_mm, remedy));
                }
                across_mm * along_mm
            }
            _ => return Ok(None),
        };
    if hole_mm2 > per_hole_mm2 {
        let remedy = "so many holes of this size leave no turf between them";
        return Err(SettingError::new("hole_diameter_mm", diameter_mm, remedy));
    }
    common.step(
        "area of one hole = pi / 4 * diameter^2",
        format!("pi / 4 * {}^2", plain(diameter_mm)),
        hole_mm2,
        "mm2",
        "geometry",
    );
    let share = hole_mm2 / per_hole_mm2;
    common.step(
        "share of surface = area of one hole / turf for each hole",
        format!("{} / {}", plain(hole_mm2), plain(per_hole_mm2)),
        share,
        "",
        "geometry",
    );
    common.advise(
        "inside_or_outside",
        "For a hollow tine the hole is its outside diameter and the core its inside one; the two \
         answers differ by nearly half.",
    );
    Ok(Some(share))
}

fn describe_share(
    answer: &mut VerticutAnswer,
    given: &VerticutInputs,
    share: f64,
) -> Result<(), SettingError> {
    let passes = given.passes_count.unwrap_or(1.0);
    let total = share * passes;
    let common = &mut answer.common;
    let mut words = format!("One pass works {} % of the surface.", decimal(100.0 * share, 2));
    if passes > 1.0 {
        common.step(
            "share over all passes = share * passes",
            format!("{} * {}", plain(share), plain(passes)),
            total,
            "",
            "geometry",
        );
        // What chance crossings leave: each pass misses the same share of what is left.
        let touched = 1.0 - (1.0 - share).powf(passes);
        words.push_str(&format!(
            " {} passes come to {} %; where they cross by chance {} % of the ground is touched.",
            plain(passes),
            decimal(100.0 * total, 1),
            decimal(100.0 * touched, 1)
        ));
    }
    let mut solved_for = "surface_share_fraction";
    if answer.blade_spacing_mm.is_some() {
        solved_for = "blade_spacing_mm";
        words = format!("{} {words}", common.answer);
    } else if let Some(target) = given.target_surface_share_fraction {
        let needed = target / share;
        common.step(
            "passes = share wanted / share of one pass",
            format!("{} / {}", plain(target), plain(share)),
            needed,
            "",
            "geometry",
        );
        solved_for = "passes_for_target_count";
        // A hair over a whole number is that number, not one more pass.
        let whole = (needed - 1e-9).ceil().max(1.0);
        let wanted = decimal(100.0 * target, 1);
        words = format!("It takes {whole} passes ({needed:.1}) for {wanted} %. {words}");
        answer.passes_for_target_count = Some(needed);
    }
    common.conclude(solved_for, words);
    annual_advice(common, total);
    answer.volume_share_fraction = volume(common, given, share)?;
    answer.surface_share_fraction = Some(share);
    answer.total_surface_share_fraction = Some(total);
    Ok(())
}

fn annual_advice(common: &mut Common, total: f64) {
    let (low, high) = ANNUAL_SHARE_FRACTION;
    common.cite("surface_target_usga");
    common.advise(
        "annual_share",
        format!(
            "A year's work on a green is commonly aimed at {} to {} % of it; this is {} %.",
            decimal(100.0 * low, 0),
            decimal(100.0 * high, 0),
            decimal(100.0 * total, 1)
        ),
    );
}

fn volume(
    common: &mut Common,
    given: &VerticutInputs,
    share: f64,
) -> Result<Option<f64>, SettingError> {
    let Some(depth_mm) = given.depth_mm else {
        return Ok(None);
    };
    let profile_mm = given.profile_depth_mm.unwrap_or(depth_mm);
    if depth_mm > profile_mm {
        let remedy = format!("the layer must be at least as deep as the work, {depth_mm} mm");
        return Err(SettingError::new("profile_depth_mm", profile_mm, remedy));
    }
    let volume = share * depth_mm / profile_mm;
    common.step(
        "share of volume = share of surface * depth / depth of the layer",
        format!("{} * {} / {}", plain(share), plain(depth_mm), plain(profile_mm)),
        volume,
        "",
        "geometry",
    );
    common.step(
        "turf and soil worked in a square metre = share of surface * depth",
        format!("{} * {}", plain(share), plain(depth_mm)),
        share * depth_mm,
        "l/m2",
        "geometry",
    );
    Ok(Some(volume))
}

fn ask(common: &mut Common, given: &VerticutInputs) {
    let about_pitch = given.shaft_speed_rpm.is_some()
        || given.points_per_blade_count.is_some()
        || given.ground_speed_mps.is_some()
        || given.cut_pitch_mm.is_some();
    if about_pitch {
        if given.points_per_blade_count.is_none() {
            common.need("points_per_blade_count", "", "Count the cutting points of one blade.");
        }
        if given.shaft_speed_rpm.is_none() {
            common.need("shaft_speed_rpm", "rpm", "Measure the shaft with a tachometer.");
        }
        if given.ground_speed_mps.is_none() {
            common.need("ground_speed_mps", "m/s", "Time the machine over a measured distance.");
        }
    } else if given.hole_diameter_mm.is_some() || given.holes_per_m2.is_some() {
        if given.hole_diameter_mm.is_none() {
            common.need("hole_diameter_mm", "mm", "Measure a hole, or the tine's outside.");
        }
        if given.holes_per_m2.is_none() {
            common.need("hole_spacing_across_mm", "mm", "From hole to hole across travel.");
            common.need("hole_spacing_along_mm", "mm", "From hole to hole along travel.");
        }
    } else {
        if given.blade_thickness_mm.is_none() {
            common.need("blade_thickness_mm", "mm", "Measure a blade at its cutting end.");
        }
        if given.blade_spacing_mm.is_none() {
            common.need("blade_spacing_mm", "mm", "From blade to blade along the shaft.");
        }
    }
}

#[cfg(test)]
mod tests;
