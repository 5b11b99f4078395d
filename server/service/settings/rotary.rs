//! How are tip speed, deck level and blade balance asked and told on the wire?

use tonic::Status;

use super::Calculation;
use super::speaker::Speaker;
use crate::domain::settings::balance::{BladeBalanceInputs, blade_balance};
use crate::domain::settings::rotary_level::{
    DeckHanger, RotaryLevelInputs, TipHeight, rotary_level,
};
use crate::domain::settings::tip_speed::{RotaryTipSpeedInputs, rotary_tip_speed};
use crate::pb;

impl Calculation for pb::RotaryTipSpeedRequest {
    type Reply = pb::RotaryTipSpeedResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => RotaryTipSpeedInputs {
            blade_length_mm, spindle_speed_rpm, max_tip_speed_mps,
        });
        let answer = rotary_tip_speed(&inputs)?;
        Ok(reply!(speaker, answer => RotaryTipSpeedResponse {
            tip_speed_mps, max_spindle_speed_rpm, tip_speed_limit_mps, over_published_limit,
            max_blade_length_mm,
        }))
    }
}

impl Calculation for pb::RotaryLevelRequest {
    type Reply = pb::RotaryLevelResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let tip = |row: pb::TipHeight| take!(row => TipHeight { point, x_mm, y_mm, height_mm });
        let hanger = |row: pb::DeckHanger| take!(row => DeckHanger { hanger, x_mm, y_mm });
        let inputs = take!(self => RotaryLevelInputs { rake_front_low_mm, target_height_mm } {
            tip_heights_mm: self.tip_heights_mm.into_iter().map(tip).collect(),
            hangers: self.hangers.into_iter().map(hanger).collect(),
        });
        let answer = rotary_level(&inputs)?;
        let corrections = answer.hanger_corrections_mm.into_iter();
        let residuals = answer.residuals.into_iter();
        Ok(reply!(speaker, answer => RotaryLevelResponse {
            mean_height_mm, side_tilt_mm, rake_mm, residual_sd_mm,
        } {
            hanger_corrections_mm: corrections
                .map(|row| pb::HangerCorrection { hanger: row.hanger, move_mm: row.move_mm })
                .collect(),
            residuals: residuals
                .map(|row| pb::TipResidual { point: row.point, residual_mm: row.residual_mm })
                .collect(),
        }))
    }
}

impl Calculation for pb::BladeBalanceRequest {
    type Reply = pb::BladeBalanceResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => BladeBalanceInputs {
            blade_mass_kg, spindle_speed_rpm, balance_grade_mm_per_s, heavy_mass_kg,
            heavy_radius_mm, unbalance_g_mm,
        });
        let answer = blade_balance(&inputs)?;
        Ok(reply!(speaker, answer => BladeBalanceResponse {
            permissible_unbalance_g_mm, unbalance_g_mm, unbalance_force_n, permissible_mass_g,
            unbalance_ratio, achieved_grade_mm_per_s,
        }))
    }
}
