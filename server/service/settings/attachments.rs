//! How are groomer, rear roller brush and verticut reel asked and told on the wire?

use tonic::Status;

use super::Calculation;
use super::speaker::Speaker;
use crate::domain::settings::brush::{BrushContactInputs, brush_contact};
use crate::domain::settings::groomer::{GroomerDepthInputs, groomer_depth};
use crate::domain::settings::verticut::{VerticutInputs, verticut};
use crate::pb;

impl Calculation for pb::GroomerDepthRequest {
    type Reply = pb::GroomerDepthResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => GroomerDepthInputs {
            height_of_cut_mm, penetration_below_cut_mm, groomer_setting_mm,
            blade_diameter_when_set_mm, blade_diameter_mm, offset_mm,
        });
        let answer = groomer_depth(&inputs)?;
        Ok(reply!(speaker, answer => GroomerDepthResponse {
            groomer_setting_mm, penetration_below_cut_mm, penetration_fraction, setting_change_mm,
            effective_tip_height_mm, height_of_cut_mm,
        }))
    }
}

impl Calculation for pb::BrushContactRequest {
    type Reply = pb::BrushContactResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => BrushContactInputs {
            brush_diameter_mm, roller_diameter_mm, centre_distance_mm, brush_interference_mm,
            brush_speed_rpm, ground_speed_mps, minimum_brush_diameter_mm,
            brush_diameter_when_set_mm, surface_speed_ratio,
        });
        let answer = brush_contact(&inputs)?;
        Ok(reply!(speaker, answer => BrushContactResponse {
            brush_interference_mm, centre_distance_mm, surface_speed_ratio,
            brush_surface_speed_mps, wear_to_limit_mm, setting_change_mm, brush_speed_rpm,
        }))
    }
}

impl Calculation for pb::VerticutRequest {
    type Reply = pb::VerticutResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => VerticutInputs {
            blade_thickness_mm, blade_spacing_mm, depth_mm, profile_depth_mm, hole_diameter_mm,
            hole_spacing_across_mm, hole_spacing_along_mm, holes_per_m2, passes_count,
            target_surface_share_fraction, shaft_speed_rpm, ground_speed_mps, cut_pitch_mm,
        } { points_per_blade_count: self.points_per_blade_count.map(f64::from) });
        let answer = verticut(&inputs)?;
        Ok(reply!(speaker, answer => VerticutResponse {
            surface_share_fraction, total_surface_share_fraction, volume_share_fraction,
            cut_pitch_mm, passes_for_target_count, blade_spacing_mm, ground_speed_mps,
            shaft_speed_rpm,
        }))
    }
}
