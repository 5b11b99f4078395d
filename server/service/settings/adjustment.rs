//! How are adjuster turns, strip readings and gangs of units asked and told on the wire?

use tonic::Status;

use super::speaker::Speaker;
use super::{Calculation, count, not_listed, surface};
use crate::domain::settings::adjuster::{AdjusterTurnsInputs, adjuster_turns};
use crate::domain::settings::match_units::{MatchUnitsInputs, UnitEndHeight, match_units};
use crate::domain::settings::paper_map::{
    GapReading, PaperAction, PaperMapInputs, StripResult, paper_map,
};
use crate::pb;

impl Calculation for pb::AdjusterTurnsRequest {
    type Reply = pb::AdjusterTurnsResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => AdjusterTurnsInputs {
            height_change_mm, current_height_mm, target_height_mm, thread_pitch_mm,
            height_change_per_turn_mm, calibration_turns_count, calibration_height_before_mm,
            calibration_height_after_mm, front_roller_diameter_mm, rear_roller_diameter_mm,
            roller_centre_distance_mm, edge_to_rear_roller_mm, slot_angle_deg,
            adjuster_travel_ratio, turns_count,
        });
        let answer = adjuster_turns(&inputs)?;
        Ok(reply!(speaker, answer => AdjusterTurnsResponse {
            turns_count, flats_count, height_change_mm, resulting_height_mm,
            height_change_per_turn_mm, roller_travel_mm, linear_turns_count, attitude_change_deg,
        }))
    }
}

impl Calculation for pb::PaperMapRequest {
    type Reply = pb::PaperMapResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let readings = self.gap_mm.into_iter().enumerate();
        let inputs = PaperMapInputs {
            gap_mm: readings.map(gap_reading).collect::<Result<_, _>>()?,
            target_gap_mm: self.target_gap_mm,
            gap_per_flat_mm: self.gap_per_flat_mm,
        };
        let answer = paper_map(&inputs)?;
        let adjustments = answer.adjustment_mm.into_iter();
        let blades = answer.blade_error_mm.into_iter();
        let residuals = answer.residuals.into_iter();
        Ok(reply!(speaker, answer => PaperMapResponse {
            mean_gap_mm, tilt_mm, tilt_standard_error_mm, bow_mm, bow_standard_error_mm,
            residual_sd_mm, repeat_sd_mm,
        } {
            action: answer.action.map_or(pb::PaperAction::Unspecified, action).into(),
            adjustment_mm: adjustments
                .map(|row| {
                    let (end, move_mm) = (row.end, row.move_mm);
                    pb::EndAdjustment { end, move_mm, flats_count: row.flats_count }
                })
                .collect(),
            blade_error_mm: blades
                .map(|row| pb::BladeError {
                    blade: row.blade,
                    error_mm: row.error_mm,
                    standard_error_mm: row.standard_error_mm,
                })
                .collect(),
            residuals: residuals
                .map(|row| pb::GapResidual {
                    blade: row.blade,
                    station: row.station,
                    residual_mm: row.residual_mm,
                })
                .collect(),
            degrees_of_freedom: answer.degrees_of_freedom.map(count),
        }))
    }
}

fn gap_reading((index, row): (usize, pb::GapReading)) -> Result<GapReading, Status> {
    let strip = match pb::StripResult::try_from(row.strip) {
        Ok(pb::StripResult::Unspecified) => None,
        Ok(pb::StripResult::Cuts) => Some(StripResult::Cuts),
        Ok(pb::StripResult::Folds) => Some(StripResult::Folds),
        Ok(pb::StripResult::Grips) => Some(StripResult::Grips),
        Ok(pb::StripResult::Free) => Some(StripResult::Free),
        Err(_) => {
            return Err(not_listed(&format!("gap_mm[{index}].strip"), row.strip, "StripResult"));
        }
    };
    Ok(take!(row => GapReading { blade, station, gap_mm, station_position_mm } { strip: strip }))
}

fn action(action: PaperAction) -> pb::PaperAction {
    match action {
        PaperAction::Nothing => pb::PaperAction::None,
        PaperAction::Adjust => pb::PaperAction::Adjust,
        PaperAction::GrindReel => pb::PaperAction::GrindReel,
        PaperAction::GrindBedknife => pb::PaperAction::GrindBedknife,
        PaperAction::CheckBearings => pb::PaperAction::CheckBearings,
        PaperAction::Sharpen => pb::PaperAction::Sharpen,
    }
}

impl Calculation for pb::MatchUnitsRequest {
    type Reply = pb::MatchUnitsResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let end = |row: pb::UnitEndHeight| take!(row => UnitEndHeight { unit, end, height_mm });
        let inputs = take!(self => MatchUnitsInputs {
            target_height_mm, tolerance_mm, thread_pitch_mm, height_change_per_turn_mm,
        } {
            unit_heights_mm: self.unit_heights_mm.into_iter().map(end).collect(),
            surface: surface(self.surface)?,
        });
        let answer = match_units(&inputs)?;
        let (moves, units) = (answer.end_moves_mm.into_iter(), answer.units.into_iter());
        Ok(reply!(speaker, answer => MatchUnitsResponse {
            target_height_mm, tolerance_mm, mean_height_mm, spread_mm, spread_after_mm,
            natural_limit_mm,
        } {
            end_moves_mm: moves
                .map(|row| pb::UnitEndMove {
                    unit: row.unit,
                    end: row.end,
                    height_mm: row.height_mm,
                    move_mm: row.move_mm,
                    turns_count: row.turns_count,
                })
                .collect(),
            units: units
                .map(|row| pb::UnitSummary {
                    unit: row.unit,
                    mean_height_mm: row.mean_height_mm,
                    slope_mm: row.slope_mm,
                    departure_mm: row.departure_mm,
                })
                .collect(),
        }))
    }
}
