//! How are height plans, reel wear and grinding asked and told on the wire?

use tonic::Status;

use super::speaker::Speaker;
use super::{Calculation, count};
use crate::domain::settings::height_plan::{HeightPlanInputs, height_plan};
use crate::domain::settings::reel_wear::{DiameterReading, ReelWearInputs, reel_wear};
use crate::domain::settings::relief::{ReliefGrindInputs, relief_grind};
use crate::domain::settings::wheel_speed::{WheelSpeedInputs, wheel_speed};
use crate::pb;

impl Calculation for pb::HeightPlanRequest {
    type Reply = pb::HeightPlanResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => HeightPlanInputs {
            current_height_mm, target_height_mm, time_available_days, max_removed_fraction,
            mowing_interval_days, growth_mm_per_day, step_limit_mm, start_date,
        });
        let answer = height_plan(&inputs)?;
        let steps = answer.steps.into_iter();
        Ok(reply!(speaker, answer => HeightPlanResponse {
            step_heights_mm, reaches_target_in_time, earliest_day, earliest_date,
            lowest_next_height_mm, mow_before_height_mm,
        } {
            steps: steps
                .map(|step| pb::HeightStep {
                    day: step.day,
                    date: step.date,
                    standing_height_mm: step.standing_height_mm,
                    height_mm: step.height_mm,
                    removed_fraction: step.removed_fraction,
                })
                .collect(),
        }))
    }
}

impl Calculation for pb::ReelWearRequest {
    type Reply = pb::ReelWearResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let reading = |row: pb::DiameterReading| {
            take!(row => DiameterReading {
                time_h, diameter_mm, left_diameter_mm, right_diameter_mm, after_grinding,
            })
        };
        let inputs = take!(self => ReelWearInputs {
            diameter_readings_mm, reading_times_h, grinding_times_h, minimum_diameter_mm,
            left_diameter_mm, right_diameter_mm, taper_limit_mm, grinding_interval_h,
            confidence_fraction,
        } { readings: self.readings.into_iter().map(reading).collect() });
        let answer = reel_wear(&inputs)?;
        Ok(reply!(speaker, answer => ReelWearResponse {
            wear_rate_mm_per_h, wear_rate_standard_error_mm_per_h, grinding_loss_mm,
            remaining_life_h, remaining_life_low_h, remaining_life_high_h, taper_mm, next_grind_h,
            residual_sd_mm,
        } { degrees_of_freedom: answer.degrees_of_freedom.map(count) }))
    }
}

impl Calculation for pb::ReliefGrindRequest {
    type Reply = pb::ReliefGrindResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => ReliefGrindInputs {
            relief_angle_deg, reel_diameter_mm, finger_offset_mm, land_width_mm,
            blade_thickness_mm, pass_depth_mm, radius_wear_mm,
        });
        let answer = relief_grind(&inputs)?;
        Ok(reply!(speaker, answer => ReliefGrindResponse {
            finger_offset_mm, relief_angle_deg, reel_diameter_mm, land_width_mm, pass_depth_mm,
            ground_face_mm, land_growth_per_radius_mm,
        }))
    }
}

impl Calculation for pb::WheelSpeedRequest {
    type Reply = pb::WheelSpeedResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => WheelSpeedInputs {
            wheel_diameter_mm, wheel_speed_rpm, rated_surface_speed_mps, rated_wheel_speed_rpm,
        });
        let answer = wheel_speed(&inputs)?;
        Ok(reply!(speaker, answer => WheelSpeedResponse {
            surface_speed_mps, max_wheel_speed_rpm, speed_to_rated_ratio, over_marked_maximum,
            max_wheel_diameter_mm,
        }))
    }
}
