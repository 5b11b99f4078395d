//! What do the strip or feeler readings along a reel and bedknife ask for: turn an end, grind the
//! reel, grind the bedknife, or look at the bearings? Deliberately absent: a setting from strips in
//! hundredths. A strip is thicker than the running clearance, so it tests the cut and is a coarse
//! feeler at best.

use super::gap_fit::{Cell, Cells, GapFit, Station, fit_gaps, wave_round_reel};
use super::{Common, SettingError};
use crate::domain::limits::{check, check_given, check_rows};
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
/// A reel ground well is a cylinder within this (0.001 in, published); more is ground out.
const FORM_LIMIT_MM: f64 = 0.0254;
/// What a feeler tells apart; a smaller move is not worth making (common practice, no source).
const RESOLUTION_MM: f64 = 0.01;
/// Readings that fit no pattern by more than this contradict each other (common practice).
const SCATTER_LIMIT_MM: f64 = 0.05;
/// Share of the blade errors that one wave must explain before the bearings are blamed.
const WAVE_SHARE: f64 = 0.95;
/// An estimate counts when it is this many standard errors from zero.
const SURE: f64 = 2.0;

/// Gap that a strip result stands for, mm: the strip is about 0.10 mm thick (published); the rest is
/// common practice, no source.
fn strip_gap_mm(strip: StripResult) -> f64 {
    match strip {
        StripResult::Cuts => 0.05,
        StripResult::Folds => 0.08,
        StripResult::Grips => 0.10,
        StripResult::Free => 0.15,
    }
}

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
    let verdict = judge(&fit, &cells, &answer.adjustment_mm, all_fold);
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

/// Checks every reading; true when they are strips.
fn check_readings(readings: &[GapReading]) -> Result<bool, SettingError> {
    check_rows("gap_mm", readings.len())?;
    let by_strip = readings.first().is_some_and(|reading| reading.strip.is_some());
    for (index, reading) in readings.iter().enumerate() {
        let field = |name: &str| format!("gap_mm[{index}].{name}");
        for (name, value) in [("blade", &reading.blade), ("station", &reading.station)] {
            if value.trim().is_empty() {
                return Err(SettingError::new(
                    field(name),
                    "empty",
                    "name every blade and station",
                ));
            }
        }
        let at = |error: SettingError| SettingError { field: field(&error.field), ..error };
        match (reading.gap_mm, reading.strip) {
            (Some(gap), None) => check("gap_mm", gap).map_err(at).map(|_| ())?,
            (None, Some(_)) => {}
            (Some(gap), Some(_)) => {
                let remedy = "give either the feeler gap or the strip result of a reading";
                return Err(SettingError::new(field("gap_mm"), gap, remedy));
            }
            (None, None) => {
                let remedy = "give the feeler gap or the strip result";
                return Err(SettingError::new(field("gap_mm"), "missing", remedy));
            }
        }
        if reading.strip.is_some() != by_strip {
            let remedy = "read all cells by feeler or all by strip; the two do not mix";
            return Err(SettingError::new(field("strip"), "mixed", remedy));
        }
        if let Some(position) = reading.station_position_mm {
            check("station_position_mm", position).map_err(at)?;
        }
    }
    Ok(by_strip)
}

/// Numbers blades and stations in the order first read, and places the stations.
fn place(readings: &[GapReading]) -> Result<Cells, SettingError> {
    let mut blades: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut cells = Vec::new();
    for reading in readings {
        let blade = number(&mut blades, reading.blade.trim());
        let station = number(&mut names, reading.station.trim());
        let from_strip = reading.strip.map(strip_gap_mm);
        let gap_mm = reading.gap_mm.or(from_strip).expect("one of the two was checked") + 0.0;
        cells.push(Cell { blade, station, gap_mm });
    }
    let positions = positions(readings, &names)?;
    let stations = names.into_iter().zip(positions).map(|(name, x)| Station { name, x }).collect();
    Ok(Cells { blades, stations, readings: cells })
}

fn number(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|known| known == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Places the stations from -1 to 1: by their distances, by their names, or evenly.
fn positions(readings: &[GapReading], names: &[String]) -> Result<Vec<f64>, SettingError> {
    let measured: Vec<f64> = names
        .iter()
        .filter_map(|name| readings.iter().find(|r| r.station.trim() == name))
        .filter_map(|reading| reading.station_position_mm)
        .collect();
    let known: Vec<f64> = names.iter().filter_map(|name| known_place(name)).collect();
    let places = if measured.len() == names.len() {
        spread(&measured)
    } else if !measured.is_empty() {
        let remedy = "give the distance of every station, at its first reading, or of none";
        return Err(SettingError::new("station_position_mm", "missing", remedy));
    } else if known.len() == names.len() {
        known
    } else {
        let order: Vec<f64> = (0..names.len()).map(|index| index as f64).collect();
        spread(&order)
    };
    for (index, place) in places.iter().enumerate() {
        if let Some(twin) = places[..index].iter().position(|other| other == place) {
            let remedy = format!("it stands at the same place as {}; use one name", names[twin]);
            return Err(SettingError::new("station", &names[index], remedy));
        }
    }
    Ok(places)
}

fn known_place(name: &str) -> Option<f64> {
    match name.to_lowercase().as_str() {
        "left" | "leading" => Some(-1.0),
        "middle" | "centre" | "center" => Some(0.0),
        "right" | "trailing" => Some(1.0),
        _ => None,
    }
}

/// The values moved and scaled to run from -1 to 1.
fn spread(values: &[f64]) -> Vec<f64> {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half = (high - low) / 2.0;
    let scaled = |value: &f64| if half > 0.0 { (value - low) / half - 1.0 } else { 0.0 };
    values.iter().map(scaled).collect()
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
    common.step("Mean gap over stations and blades", "least squares", fit.mean, "mm", "geometry");
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
    let worst = fit.blades.iter().map(|blade| blade.value.abs()).fold(0.0, f64::max);
    common.step("Largest departure of a blade from the middle blade", "", worst, "mm", "geometry");
    common.step(
        format!("Scatter left over, {} degrees of freedom", fit.degrees_of_freedom),
        "√(sum of squares / degrees of freedom)",
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

struct Verdict {
    action: PaperAction,
    words: String,
}

/// The first thing that is wrong, in the order in which it spoils what comes after.
fn judge(fit: &GapFit, cells: &Cells, moves: &[EndAdjustment], all_fold: bool) -> Verdict {
    judge_bearings(fit)
        .or_else(|| judge_reel(fit, cells))
        .or_else(|| judge_bedknife(fit, cells))
        .or_else(|| judge_scatter(fit))
        .unwrap_or_else(|| judge_setting(moves, all_fold))
}

fn judge_bearings(fit: &GapFit) -> Option<Verdict> {
    let action = PaperAction::CheckBearings;
    if let Some(sd) = fit.repeat_sd.filter(|&sd| sd > FORM_LIMIT_MM) {
        let words = format!(
            "Check the reel bearings first: the same place reads differently each time, by about \
             {} mm.",
            decimal(sd, 3)
        );
        return Some(Verdict { action, words });
    }
    let (height, share) = wave_round_reel(&fit.blades)?;
    (height > FORM_LIMIT_MM && share > WAVE_SHARE).then(|| Verdict {
        action,
        words: format!(
            "Check the reel shaft and bearings first: the gap runs in one wave of {} mm round the \
             reel.",
            decimal(height, 3)
        ),
    })
}

fn judge_reel(fit: &GapFit, cells: &Cells) -> Option<Verdict> {
    let bad: Vec<String> = fit
        .blades
        .iter()
        .zip(&cells.blades)
        .filter(|(error, _)| error.value.abs() > FORM_LIMIT_MM.max(SURE * error.error))
        .map(|(error, blade)| {
            let stands = if error.value > 0.0 { "low" } else { "high" };
            format!("blade {blade} stands {} mm {stands}", decimal(error.value.abs(), 3))
        })
        .collect();
    (!bad.is_empty()).then(|| Verdict {
        action: PaperAction::GrindReel,
        words: format!("Grind the reel: {}; no adjuster cures that.", bad.join(", ")),
    })
}

fn judge_bedknife(fit: &GapFit, cells: &Cells) -> Option<Verdict> {
    let action = PaperAction::GrindBedknife;
    if fit.bow.value.abs() > FORM_LIMIT_MM.max(SURE * fit.bow.error) {
        let middle = if fit.bow.value > 0.0 { "open" } else { "tight" };
        let words = format!(
            "Bow {} mm, {middle} in the middle: grind the bedknife. If it stays, measure the reel's \
             diameter at both ends and the middle.",
            decimal(fit.bow.value.abs(), 3)
        );
        return Some(Verdict { action, words });
    }
    // With three stations the bow takes up all that a single station could show.
    let blades = cells.blades.len() as f64;
    let limit = FORM_LIMIT_MM.max(SURE * fit.residual_sd / blades.sqrt());
    let worst = fit
        .station_residuals
        .iter()
        .zip(&cells.stations)
        .filter(|(residual, _)| residual.abs() > limit)
        .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))?;
    Some(Verdict {
        action,
        words: format!(
            "Every blade reads {} mm off at {}: look for a nick or a seat that is not clean there, \
             and grind the bedknife.",
            decimal(*worst.0, 3),
            worst.1.name
        ),
    })
}

fn judge_scatter(fit: &GapFit) -> Option<Verdict> {
    (fit.residual_sd > SCATTER_LIMIT_MM).then(|| Verdict {
        action: PaperAction::CheckBearings,
        words: format!(
            "The readings contradict each other by {} mm: check the bearings for play, clean the \
             edges and read again.",
            decimal(fit.residual_sd, 3)
        ),
    })
}

fn judge_setting(moves: &[EndAdjustment], all_fold: bool) -> Verdict {
    if all_fold {
        let words =
            "The strip folds everywhere: the setting is even and the edges are dull. Sharpen.";
        return Verdict { action: PaperAction::Sharpen, words: words.to_owned() };
    }
    if moves.is_empty() {
        let words = "The setting is right all along; leave it.".to_owned();
        return Verdict { action: PaperAction::Nothing, words };
    }
    let told: Vec<String> = moves.iter().map(tell_move).collect();
    Verdict { action: PaperAction::Adjust, words: format!("{}.", told.join("; ")) }
}

fn tell_move(made: &EndAdjustment) -> String {
    let way = if made.move_mm > 0.0 { "closer" } else { "away" };
    let distance = decimal(made.move_mm.abs(), 3);
    match made.flats_count {
        Some(flats) => {
            format!("{} end: {} flats {way} ({distance} mm)", made.end, decimal(flats.abs(), 1))
        }
        None => format!("{} end: {distance} mm {way}", made.end),
    }
}

fn advise(fit: &GapFit, defaulted: bool, by_strip: bool, ends: &[String; 2], common: &mut Common) {
    if defaulted {
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
