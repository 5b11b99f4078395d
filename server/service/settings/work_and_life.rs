//! How are area mown, repair cost and the life of parts asked and told on the wire?

use tonic::Status;

use super::speaker::Speaker;
use super::{Calculation, count, not_listed};
use crate::domain::settings::capacity::{FieldCapacityInputs, field_capacity};
use crate::domain::settings::repair::{MowerType, RepairCostInputs, repair_cost};
use crate::domain::settings::service_interval::{ServiceIntervalInputs, service_interval};
use crate::pb;

impl Calculation for pb::FieldCapacityRequest {
    type Reply = pb::FieldCapacityResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => FieldCapacityInputs {
            working_width_mm, overlap_mm, ground_speed_mps, field_efficiency_fraction, area_ha,
            time_h,
        });
        let answer = field_capacity(&inputs)?;
        Ok(reply!(speaker, answer => FieldCapacityResponse {
            field_capacity_ha_per_h, time_h, area_ha, ground_speed_mps, working_width_mm,
            field_efficiency_fraction,
        }))
    }
}

impl Calculation for pb::RepairCostRequest {
    type Reply = pb::RepairCostResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => RepairCostInputs {
            purchase_price, machine_time_h, start_time_h, accumulated_repair_cost,
        } { mower_type: mower_type(self.mower_type)? });
        let answer = repair_cost(&inputs)?;
        Ok(reply!(speaker, answer => RepairCostResponse {
            accumulated_repair_cost, cost_fraction, cost_in_period, cost_per_hour, machine_time_h,
        }))
    }
}

fn mower_type(value: i32) -> Result<Option<MowerType>, Status> {
    match pb::MowerType::try_from(value) {
        Ok(pb::MowerType::Unspecified) => Ok(None),
        Ok(pb::MowerType::Cutterbar) => Ok(Some(MowerType::Cutterbar)),
        Ok(pb::MowerType::Rotary) => Ok(Some(MowerType::Rotary)),
        Ok(pb::MowerType::Conditioner) => Ok(Some(MowerType::Conditioner)),
        Ok(pb::MowerType::RotaryConditioner) => Ok(Some(MowerType::RotaryConditioner)),
        Err(_) => Err(not_listed("mower_type", value, "MowerType")),
    }
}

impl Calculation for pb::ServiceIntervalRequest {
    type Reply = pb::ServiceIntervalResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => ServiceIntervalInputs {
            failure_times_h, still_running_times_h, survived_time_h, horizon_h,
            allowed_failure_fraction, confidence_fraction, repair_times_h, watched_time_h,
            expected_life_h, exposure_h,
        } { event_count: self.event_count.map(f64::from) });
        let answer = service_interval(&inputs)?;
        let rows = answer.survival_rows.into_iter();
        Ok(reply!(speaker, answer => ServiceIntervalResponse {
            next_due_h, next_due_low_h, next_due_high_h, b10_life_h, shape, scale_h, mean_life_h,
            failure_probability, mean_life_low_h, mean_life_high_h, growth_exponent,
            growth_coefficient, steady_rate_probability, plain_mean_life_h,
        } {
            estimator: answer.estimator.to_owned(),
            failure_count: answer.failure_count.map(|number| count(number as usize)),
            survival_rows: rows
                .map(|row| pb::SurvivalRow {
                    age_h: row.age_h,
                    at_risk_count: count(row.at_risk),
                    failed_count: count(row.failed),
                    survival_fraction: row.survival,
                    standard_error: row.standard_error,
                })
                .collect(),
        }))
    }
}
