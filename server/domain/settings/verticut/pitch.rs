//! How far apart do the points strike along travel, or which speed gives a wanted pitch?
//! Deliberately absent: what pitch is wanted; no figure is published.

use super::{VerticutAnswer, VerticutInputs};
use crate::domain::limits::check;
use crate::domain::settings::SettingError;
use crate::domain::units::{decimal, plain};

/// Solves for the one of pitch, ground speed and shaft speed that was left out.
pub(super) fn solve(
    answer: &mut VerticutAnswer,
    given: &VerticutInputs,
) -> Result<(), SettingError> {
    let Some(points) = given.points_per_blade_count else {
        return Ok(());
    };
    let common = &mut answer.common;
    let (solved_for, pitch_mm, words);
    match (given.ground_speed_mps, given.shaft_speed_rpm, given.cut_pitch_mm) {
        (Some(ground_mps), Some(shaft_rpm), _) => {
            pitch_mm = 60_000.0 * ground_mps / (points * shaft_rpm);
            common.step(
                "pitch = 60000 * ground speed / (points * shaft speed)",
                format!("60000 * {} / ({points} * {})", plain(ground_mps), plain(shaft_rpm)),
                pitch_mm,
                "mm",
                "geometry",
            );
            solved_for = "cut_pitch_mm";
            words = format!("Cuts land {} mm apart along travel.", decimal(pitch_mm, 1));
        }
        (None, Some(shaft_rpm), Some(wanted_mm)) => {
            let mps = check("ground_speed_mps", wanted_mm * points * shaft_rpm / 60_000.0)?;
            common.step(
                "ground speed = pitch * points * shaft speed / 60000",
                format!("{} * {points} * {} / 60000", plain(wanted_mm), plain(shaft_rpm)),
                mps,
                "m/s",
                "geometry",
            );
            answer.ground_speed_mps = Some(mps);
            pitch_mm = wanted_mm;
            solved_for = "ground_speed_mps";
            words = format!("Drive at {} m/s ({} km/h).", decimal(mps, 2), decimal(3.6 * mps, 1));
        }
        (Some(ground_mps), None, Some(wanted_mm)) => {
            let rpm = check("shaft_speed_rpm", 60_000.0 * ground_mps / (points * wanted_mm))?;
            common.step(
                "shaft speed = 60000 * ground speed / (points * pitch)",
                format!("60000 * {} / ({points} * {})", plain(ground_mps), plain(wanted_mm)),
                rpm,
                "rpm",
                "geometry",
            );
            answer.shaft_speed_rpm = Some(rpm);
            pitch_mm = wanted_mm;
            solved_for = "shaft_speed_rpm";
            words = format!("Run the shaft at {} rpm.", decimal(rpm, 0));
        }
        _ => return Ok(()),
    }
    answer.cut_pitch_mm = Some(pitch_mm);
    if common.answer.is_empty() {
        common.conclude(solved_for, words);
    } else {
        common.answer.push(' ');
        common.answer.push_str(&words);
    }
    Ok(())
}
