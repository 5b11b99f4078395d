//! How tapered is a reel, and when is it next ground? Deliberately absent: its wear; see
//! `reel_wear`.

use super::least_squares::fit;
use super::reel_readings::{Reading, Readings};
use super::reel_wear::ReelWearAnswer;
use crate::domain::units::{decimal, plain};

pub fn describe_taper(limit: f64, answer: &mut ReelWearAnswer) {
    let Some(taper) = answer.taper_mm else { return };
    let common = &mut answer.common;
    common.step("Taper", "left end - right end", taper, "mm", "geometry");
    common.cite("reel_limits");
    if taper.abs() > limit {
        common.advise(
            "taper_over_limit",
            format!(
                "The reel is a cone of {} mm, over the limit of {} mm: grind it, and look for the \
                 cause: uneven adjustment, a worn bearing, or sand thrown to one side.",
                decimal(taper.abs(), 3),
                decimal(limit, 3)
            ),
        );
    }
}

/// The sooner of the hour at which the taper reaches its limit and the usual interval runs out.
pub fn next_grind(
    readings: &Readings,
    interval: Option<f64>,
    limit: f64,
    answer: &mut ReelWearAnswer,
) {
    let by_taper = match answer.taper_mm {
        Some(taper) if taper.abs() >= limit => Some(0.0),
        _ => hours_to_taper(&readings.since_grinding(), limit),
    };
    let by_interval = readings.last_grinding_h.zip(readings.rows.last()).and_then(|(last, row)| {
        let mean =
            || Some(readings.grindings_per_h()).filter(|&per_h| per_h > 0.0).map(|p| 1.0 / p);
        interval.or_else(mean).map(|hours| (last + hours - row.time_h).max(0.0))
    });
    let Some(hours) = by_taper.into_iter().chain(by_interval).reduce(f64::min) else { return };
    let basis = if by_taper == Some(hours) {
        format!("Next grinding: when the taper reaches {} mm", plain(limit))
    } else {
        "Next grinding: when the usual interval runs out".to_owned()
    };
    answer.common.step(basis, "hours from the last reading", hours, "h", "");
    answer.next_grind_h = Some(hours);
}

/// Hours from the last of these readings until the taper, growing as it has, is at the limit.
fn hours_to_taper(readings: &[Reading], limit: f64) -> Option<f64> {
    let tapered: Vec<(f64, f64)> =
        readings.iter().filter_map(|row| row.taper_mm.map(|taper| (row.time_h, taper))).collect();
    let &(last_h, last_taper) = tapered.last()?;
    let rows: Vec<Vec<f64>> = tapered.iter().map(|(hour, _)| vec![1.0, hour - last_h]).collect();
    let tapers: Vec<f64> = tapered.iter().map(|&(_, taper)| taper).collect();
    let line = fit(&rows, &tapers).ok()?;
    // Grows away from zero, whichever end it favours.
    let growth = line.coefficients[1] * last_taper.signum();
    (growth > 0.0).then(|| (limit - last_taper.abs()) / growth)
}
