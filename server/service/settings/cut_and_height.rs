//! How are clip, heights and sinkage asked and told on the wire?

use tonic::Status;

use super::speaker::Speaker;
use super::{Calculation, count, surface};
use crate::domain::settings::clip::{ClipSpacingInputs, clip_spacing};
use crate::domain::settings::height::{
    BenchHeightInputs, EffectiveHeightInputs, bench_height, effective_height,
};
use crate::domain::settings::height_evidence::{HeightEvidence, HeightReading};
use crate::domain::settings::sinkage::{SinkageChangeInputs, sinkage_change};
use crate::pb;

impl Calculation for pb::ClipSpacingRequest {
    type Reply = pb::ClipSpacingResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => ClipSpacingInputs {
            ground_speed_mps, blade_count, reel_speed_rpm, clip_spacing_mm, height_of_cut_mm,
        } { surface: surface(self.surface)? });
        let answer = clip_spacing(&inputs)?;
        Ok(reply!(speaker, answer => ClipSpacingResponse {
            clip_spacing_mm, ground_speed_mps, blade_count, reel_speed_rpm, exact_blade_count,
            contact_rate_hz, cuts_per_metre, clip_to_height_ratio, leaf_length_spread_mm,
            ground_speed_for_clip_equal_height_mps,
        }))
    }
}

/// The readings of both height questions: flat on the wire, one value in the domain.
macro_rules! evidence {
    ($from:ident) => {
        take!($from => HeightEvidence {
            reading_bench_height_mm, effective_height_readings_mm, sinkage_readings_mm, sinkage_mm,
            reading_age_days, area, unit_type, confidence_fraction,
        } { history: $from.history.into_iter().map(height_reading).collect() })
    };
}

fn height_reading(row: pb::HeightReading) -> HeightReading {
    take!(row => HeightReading { bench_height_mm, effective_height_mm, age_days, area, unit_type })
}

impl Calculation for pb::BenchHeightRequest {
    type Reply = pb::BenchHeightResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = BenchHeightInputs {
            target_effective_height_mm: self.target_effective_height_mm,
            evidence: evidence!(self),
        };
        let answer = bench_height(&inputs)?;
        Ok(reply!(speaker, answer => BenchHeightResponse {
            bench_height_mm, bench_height_low_mm, bench_height_high_mm, offset_mm, offset_low_mm,
            offset_high_mm, effective_reading_count, degrees_of_freedom, measure_first,
        } { reading_count: answer.reading_count.map(count) }))
    }
}

impl Calculation for pb::EffectiveHeightRequest {
    type Reply = pb::EffectiveHeightResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = EffectiveHeightInputs {
            bench_height_mm: self.bench_height_mm,
            evidence: evidence!(self),
        };
        let answer = effective_height(&inputs)?;
        Ok(reply!(speaker, answer => EffectiveHeightResponse {
            effective_height_mm, effective_height_low_mm, effective_height_high_mm,
            next_reading_low_mm, next_reading_high_mm, offset_mm, offset_low_mm, offset_high_mm,
            effective_reading_count, degrees_of_freedom, measure_first,
        } { reading_count: answer.reading_count.map(count) }))
    }
}

impl Calculation for pb::SinkageChangeRequest {
    type Reply = pb::SinkageChangeResponse;

    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status> {
        let inputs = take!(self => SinkageChangeInputs {
            roller_load_kg, new_roller_load_kg, roller_diameter_mm, new_roller_diameter_mm,
            roller_width_mm, new_roller_width_mm, ground_firmness_ratio, sinkage_mm,
            new_sinkage_mm, sinkage_exponent,
        });
        let answer = sinkage_change(&inputs)?;
        Ok(reply!(speaker, answer => SinkageChangeResponse {
            sinkage_ratio, sinkage_ratio_low, sinkage_ratio_high, new_sinkage_mm,
            new_roller_load_kg, new_roller_diameter_mm, new_roller_width_mm,
        }))
    }
}
