//! What do the strip or feeler readings along a reel and bedknife ask for: turn an end, grind the
//! reel, grind the bedknife, or look at the bearings? Deliberately absent: a setting from strips in
//! hundredths. A strip is thicker than the running clearance, so it tests the cut and is a coarse
//! feeler at best.

use super::gap_cells::{check_readings, place};
use super::gap_fit::{Cells, GapFit, fit_gaps};
use super::paper_verdict::{FORM_LIMIT_MM, judge};
use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{decimal, plain};

/// What a paper strip did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StripResult {
    Cuts,
    Folds,
    Grips,
    Free,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct GapReading {
    pub blade: String,
    pub station: String,
    pub gap_mm: Option<f64>,
    pub strip: Option<StripResult>,
    pub station_position_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct PaperMapInputs {
    pub gap_mm: Vec<GapReading>,
    pub target_gap_mm: Option<f64>,
    pub gap_per_flat_mm: Option<f64>,
}

/// One end's move, positive closer.
#[derive(Debug, Clone, PartialEq)]
pub struct EndAdjustment {
    pub end: String,
    pub move_mm: f64,
    pub flats_count: Option<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct BladeError {
    pub blade: String,
    /// Gap less the middle blade's: positive when the blade stands low.
    pub error_mm: f64,
    pub standard_error_mm: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct GapResidual {
    pub blade: String,
    pub station: String,
    pub residual_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperAction {
    Nothing,
    Adjust,
    GrindReel,
    GrindBedknife,
    CheckBearings,
    Sharpen,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct PaperMapAnswer {
    /// `None` until there are enough readings.
    pub action: Option<PaperAction>,
    pub adjustment_mm: Vec<EndAdjustment>,
    pub blade_error_mm: Vec<BladeError>,
    pub mean_gap_mm: Option<f64>,
    pub tilt_mm: Option<f64>,
    pub tilt_standard_error_mm: Option<f64>,
    pub bow_mm: Option<f64>,
    pub bow_standard_error_mm: Option<f64>,
    pub residual_sd_mm: Option<f64>,
    pub degrees_of_freedom: Option<usize>,
    pub repeat_sd_mm: Option<f64>,
    pub residuals: Vec<GapResidual>,
    pub common: Common,
}

const STATIONS_MIN: usize = 3;
const BLADES_MIN: usize = 2;
/// Inside the published running clearance of 0.025 to 0.076 mm.
const TARGET_GAP_MM: f64 = 0.05;
/// What a feeler tells apart; a smaller move is not worth making (common practice, no source).
const RESOLUTION_MM: f64 = 0.01;

/// Fits the readings and says what to do first.
pub fn paper_map(inputs: &PaperMapInputs) -> Result<PaperMapAnswer, SettingError> {
    let target = check_given("target_gap_mm", inputs.target_gap_mm)?;
    let per_flat = check_given("gap_per_flat_mm", inputs.gap_per_flat_mm)?;
    let by_strip = check_readings(&inputs.gap_mm)?;
    let mut answer = PaperMapAnswer::default();
    let cells = place(&inputs.gap_mm)?;
    if !enough(&cells, &mut answer.common) {
        return Ok(answer);
    }
    let Ok(fit) = fit_gaps(&cells) else {
        let why = "too few blades were read at every station; read every blade at every station";
        answer.common.need("gap_mm", "mm", why);
        return Ok(answer);
    };
    let ends = [-1.0, 1.0].map(|x| end_name(&cells, x));
    say_fit(&fit, &ends, by_strip, &mut answer.common);
    let target_mm = target.unwrap_or(TARGET_GAP_MM);
    answer.adjustment_mm = moves(&fit, &ends, target_mm, per_flat, &mut answer.common);
    let all_fold = inputs.gap_mm.iter().all(|r| r.strip == Some(StripResult::Folds));
    let verdict = judge(&fit, &cells, &ends, &answer.adjustment_mm, all_fold);
    advise(&fit, target.is_none(), by_strip, &ends, &mut answer.common);
    if matches!(verdict.action, PaperAction::GrindReel | PaperAction::GrindBedknife) {
        answer.common.advise(
            "set_after_grinding",
            "The moves of the ends are for after the grinding; read the gaps again then.",
        );
    }
    cautions(verdict.action, &mut answer.common);
    let solved_for = match verdict.action {
        PaperAction::GrindReel => "blade_error_mm",
        PaperAction::GrindBedknife => "bow_mm",
        _ => "adjustment_mm",
    };
    answer.common.conclude(solved_for, verdict.words);
    answer.action = Some(verdict.action);
    fill(&cells, &fit, &mut answer);
    Ok(answer)
}

fn enough(cells: &Cells, common: &mut Common) -> bool {
    let (stations, blades) = (cells.stations.len(), cells.blades.len());
    if stations >= STATIONS_MIN && blades >= BLADES_MIN {
        return true;
    }
    common.need(
        "gap_mm",
        "mm",
        format!(
            "readings at {STATIONS_MIN} stations or more and on {BLADES_MIN} blades or more; there \
             are {stations} and {blades}"
        ),
    );
    false
}

/// The name of the station nearest one end.
fn end_name(cells: &Cells, end: f64) -> String {
    let nearest =
        cells.stations.iter().min_by(|a, b| (a.x - end).abs().total_cmp(&(b.x - end).abs()));
    nearest.map(|station| station.name.clone()).unwrap_or_default()
}

fn say_fit(fit: &GapFit, ends: &[String; 2], by_strip: bool, common: &mut Common) {
    let basis = if by_strip { "paper_thickness" } else { "" };
    if by_strip {
        common.note(
            "A strip stands for a gap of: cuts 0.05, folds 0.08, grips 0.10, free 0.15 mm",
            basis,
        );
    }
    let fitted = format!("least squares over {} readings", fit.residuals.len());
    common.step("Mean gap over stations and blades", fitted, fit.mean, "mm", "geometry");
    common.step(
        format!("Tilt: the {} end stands wider than the {} end by", ends[1], ends[0]),
        format!("{} - {}", plain(fit.high_end), plain(fit.low_end)),
        fit.tilt.value,
        "mm",
        "geometry",
    );
    let between = f64::midpoint(fit.low_end, fit.high_end);
    common.step(
        "Bow: gap in the middle less the line between the ends",
        format!(
            "{} - ({} + {}) / 2",
            plain(between + fit.bow.value),
            plain(fit.low_end),
            plain(fit.high_end)
        ),
        fit.bow.value,
        "mm",
        "geometry",
    );
    let sum_of_squares: f64 = fit.residuals.iter().map(|residual| residual * residual).sum();
    let worst = fit.blades.iter().map(|blade| blade.value.abs()).fold(0.0, f64::max);
    let departures: Vec<String> = fit.blades.iter().map(|blade| decimal(blade.value, 4)).collect();
    common.step(
        "Largest departure of a blade from the middle blade",
        format!("largest of {}", departures.join(", ")),
        worst,
        "mm",
        "geometry",
    );
    common.step(
        format!("Scatter left over, {} degrees of freedom", fit.degrees_of_freedom),
        format!("√({} / {})", plain(sum_of_squares), fit.degrees_of_freedom),
        fit.residual_sd,
        "mm",
        "",
    );
}

/// Moves of the two ends to the target; a move too small to feel is left out.
fn moves(
    fit: &GapFit,
    ends: &[String; 2],
    target_mm: f64,
    per_flat: Option<f64>,
    common: &mut Common,
) -> Vec<EndAdjustment> {
    let mut made = Vec::new();
    for (end, gap) in ends.iter().zip([fit.low_end, fit.high_end]) {
        let move_mm = gap - target_mm;
        common.step(
            format!("Move of the {end} end, over zero closer"),
            format!("{} - {}", plain(gap), plain(target_mm)),
            move_mm,
            "mm",
            "clearance_2015",
        );
        if move_mm.abs() >= RESOLUTION_MM {
            let flats_count = per_flat.map(|per_flat| move_mm / per_flat);
            made.push(EndAdjustment { end: end.clone(), move_mm, flats_count });
        }
    }
    made
}

fn advise(fit: &GapFit, defaulted: bool, by_strip: bool, ends: &[String; 2], common: &mut Common) {
    if defaulted {
        common.cite("contact_or_not_stri");
        common.cite("mower_setup_usga");
        common.advise(
            "target_gap_assumed",
            "The gap aimed for is 0.05 mm, inside the published running clearance of 0.025 to \
             0.076 mm. Sources differ on light contact against none; the machine's manual wins.",
        );
    }
    common.cite("paper_thickness");
    common.advise(
        "strip_thicker_than_clearance",
        "A strip of ordinary paper is about 0.10 mm thick, more than the running clearance: it \
         proves the cut and is only a coarse feeler.",
    );
    if by_strip {
        common.advise(
            "strips_are_coarse",
            "These readings are strips: move in small equal steps and try the strip after each.",
        );
    }
    let bow = fit.bow.value.abs();
    if (RESOLUTION_MM..=FORM_LIMIT_MM).contains(&bow) {
        common.advise(
            "small_bow",
            format!("A bow of {} mm is within limits; watch it.", decimal(bow, 3)),
        );
    }
    common.cite("common_practice");
    let order = match ends[0].to_lowercase().as_str() {
        "leading" => "Set the leading end, then the trailing end,",
        _ => "Set the leading end of the reel first, then the other,",
    };
    common.advise(
        "leading_end_first",
        format!(
            "{order} by equal small steps, and prove it with a strip held upright at every station."
        ),
    );
}

fn cautions(action: PaperAction, common: &mut Common) {
    for id in ["isolate_drive", "turn_reel_by_tool", "hands_clear_of_reel", "cut_gloves_stationary"]
    {
        common.caution(id);
    }
    if matches!(action, PaperAction::GrindReel | PaperAction::GrindBedknife | PaperAction::Sharpen)
    {
        for id in ["mounted_wheel", "guards_in_place", "eye_and_face", "grinding_dust"] {
            common.caution(id);
        }
    }
}

fn fill(cells: &Cells, fit: &GapFit, answer: &mut PaperMapAnswer) {
    let blades = cells.blades.iter().zip(&fit.blades);
    answer.blade_error_mm = blades
        .map(|(blade, error)| BladeError {
            blade: blade.clone(),
            error_mm: error.value,
            standard_error_mm: error.error,
        })
        .collect();
    let residuals = cells.readings.iter().zip(&fit.residuals);
    answer.residuals = residuals
        .map(|(cell, &residual_mm)| GapResidual {
            blade: cells.blades[cell.blade].clone(),
            station: cells.stations[cell.station].name.clone(),
            residual_mm,
        })
        .collect();
    answer.mean_gap_mm = Some(fit.mean);
    answer.tilt_mm = Some(fit.tilt.value);
    answer.tilt_standard_error_mm = Some(fit.tilt.error);
    answer.bow_mm = Some(fit.bow.value);
    answer.bow_standard_error_mm = Some(fit.bow.error);
    answer.residual_sd_mm = Some(fit.residual_sd);
    answer.degrees_of_freedom = Some(fit.degrees_of_freedom);
    answer.repeat_sd_mm = fit.repeat_sd;
}

#[cfg(test)]
mod tests;
