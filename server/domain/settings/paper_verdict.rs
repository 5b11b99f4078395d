//! What is wrong first, when reel, bedknife, bearings and setting may all be: the order is that in
//! which one spoils what comes after. Deliberately absent: the fit; see `gap_fit`.

use super::gap_fit::{Cells, GapFit, wave_round_reel};
use super::paper_map::{EndAdjustment, PaperAction};
use crate::domain::units::decimal;

/// A reel ground well is a cylinder within this (0.001 in, published); more is ground out.
pub const FORM_LIMIT_MM: f64 = 0.0254;
/// Readings that fit no pattern by more than this contradict each other (common practice).
const SCATTER_LIMIT_MM: f64 = 0.05;
/// One reading that stands off by this much, and by so many times the scatter, stands alone.
const ALONE: (f64, f64) = (0.04, 2.5);
/// Share of the blade errors that one wave must explain before the bearings are blamed.
const WAVE_SHARE: f64 = 0.95;
/// An estimate counts when it is this many standard errors from zero.
const SURE: f64 = 2.0;

/// What to do first, and the sentence for it.
pub struct Verdict {
    pub action: PaperAction,
    pub words: String,
}

/// The first thing that is wrong, in the order in which it spoils what comes after.
pub fn judge(
    fit: &GapFit,
    cells: &Cells,
    ends: &[String; 2],
    moves: &[EndAdjustment],
    all_fold: bool,
) -> Verdict {
    judge_bearings(fit)
        .or_else(|| judge_place(fit, cells))
        .or_else(|| judge_reel(fit, cells))
        .or_else(|| judge_bedknife(fit, cells))
        .or_else(|| judge_scatter(fit))
        .unwrap_or_else(|| judge_setting(fit, ends, moves, all_fold))
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
    let bowed = fit.bow.value.abs() > FORM_LIMIT_MM.max(SURE * fit.bow.error);
    let place = worst_station(fit, cells);
    // One bad place drags the curve a little its way; what it leaves over is then the larger.
    let local = place.filter(|(residual, _)| !bowed || residual.abs() > fit.bow.value.abs());
    let words = if let Some((residual, name)) = local {
        format!(
            "Every blade reads {} mm off at {name}: look for a nick or a seat that is not clean \
             there, and grind the bedknife.",
            decimal(residual, 3)
        )
    } else if bowed {
        let middle = if fit.bow.value > 0.0 { "open" } else { "tight" };
        format!(
            "Bow {} mm, {middle} in the middle: grind the bedknife. If it stays, measure the reel's \
             diameter at both ends and the middle.",
            decimal(fit.bow.value.abs(), 3)
        )
    } else {
        return None;
    };
    Some(Verdict { action: PaperAction::GrindBedknife, words })
}

/// The station at which all blades stand off most, beyond what scatter makes. With three stations
/// there is none: the bow takes up all that a single one could show.
fn worst_station<'a>(fit: &GapFit, cells: &'a Cells) -> Option<(f64, &'a str)> {
    let limit = FORM_LIMIT_MM.max(SURE * fit.residual_sd / (cells.blades.len() as f64).sqrt());
    fit.station_residuals
        .iter()
        .zip(&cells.stations)
        .map(|(&residual, station)| (residual, station.name.as_str()))
        .filter(|(residual, _)| residual.abs() > limit)
        .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
}

/// One blade at one station that stands off alone: a nick.
fn judge_place(fit: &GapFit, cells: &Cells) -> Option<Verdict> {
    let limit = ALONE.0.max(ALONE.1 * fit.residual_sd);
    let (residual, cell) = fit
        .residuals
        .iter()
        .zip(&cells.readings)
        .filter(|(residual, _)| residual.abs() > limit)
        .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))?;
    Some(Verdict {
        action: PaperAction::GrindReel,
        words: format!(
            "Blade {} at {} stands {} mm off, alone: look for a nick there and dress it, or grind \
             the reel if it is deep.",
            cells.blades[cell.blade],
            cells.stations[cell.station].name,
            decimal(residual.abs(), 3)
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

fn judge_setting(
    fit: &GapFit,
    ends: &[String; 2],
    moves: &[EndAdjustment],
    all_fold: bool,
) -> Verdict {
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
    let tilt = fit.tilt.value;
    let wider = if tilt > 0.0 { &ends[1] } else { &ends[0] };
    let why = if tilt.abs() > SURE * fit.tilt.error {
        format!(" (the {wider} end stands {} mm wider)", decimal(tilt.abs(), 3))
    } else {
        String::new()
    };
    Verdict { action: PaperAction::Adjust, words: format!("{}{why}.", told.join("; ")) }
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
