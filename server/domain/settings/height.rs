//! What bench height gives a wanted height on turf, and what height on turf comes of a bench
//! height? Both rest on the signed offset of `height_evidence`. Deliberately absent: a fixed
//! sinkage; the offset differs with unit, roller, area and season, and may have either sign.

use super::height_evidence::{HeightEvidence, Offset, offset_at};
use super::student::student_factor;
use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct BenchHeightInputs {
    pub target_effective_height_mm: Option<f64>,
    pub evidence: HeightEvidence,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct BenchHeightAnswer {
    pub bench_height_mm: Option<f64>,
    pub bench_height_low_mm: Option<f64>,
    pub bench_height_high_mm: Option<f64>,
    pub offset_mm: Option<f64>,
    pub offset_low_mm: Option<f64>,
    pub offset_high_mm: Option<f64>,
    pub reading_count: Option<usize>,
    pub effective_reading_count: Option<f64>,
    pub degrees_of_freedom: Option<f64>,
    pub measure_first: bool,
    pub common: Common,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct EffectiveHeightInputs {
    pub bench_height_mm: Option<f64>,
    pub evidence: HeightEvidence,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct EffectiveHeightAnswer {
    pub effective_height_mm: Option<f64>,
    pub effective_height_low_mm: Option<f64>,
    pub effective_height_high_mm: Option<f64>,
    pub next_reading_low_mm: Option<f64>,
    pub next_reading_high_mm: Option<f64>,
    pub offset_mm: Option<f64>,
    pub offset_low_mm: Option<f64>,
    pub offset_high_mm: Option<f64>,
    pub reading_count: Option<usize>,
    pub effective_reading_count: Option<f64>,
    pub degrees_of_freedom: Option<f64>,
    pub measure_first: bool,
    pub common: Common,
}

/// From this share of the height on an interval is told by its figures only (no source).
const WIDE: f64 = 0.5;
/// A prism gauge is hard to read at this height and below (0.120 in, published).
const PRISM_LIMIT_MM: f64 = 3.048;
/// Beyond this share away from the height of the readings, the offset may differ.
const FAR_FROM_READINGS: f64 = 0.2;

/// Bench height to set for a wanted height on turf.
pub fn bench_height(inputs: &BenchHeightInputs) -> Result<BenchHeightAnswer, SettingError> {
    let mut answer = BenchHeightAnswer::default();
    let common = &mut answer.common;
    let target = check_given("target_effective_height_mm", inputs.target_effective_height_mm)?;
    let Some(target) = target else {
        common.need("target_effective_height_mm", "mm", "the height wanted on turf");
        return Ok(answer);
    };
    let Some(offset) = offset_at(target, &inputs.evidence, common)? else { return Ok(answer) };
    let bench = target - offset.belief.mean;
    if bench <= 0.0 {
        return Err(SettingError::new(
            "target_effective_height_mm",
            plain(target),
            format!(
                "the unit rides {} mm above its bench height here, so it cannot cut so low; read \
                 the offset again or change the roller",
                plain(offset.belief.mean)
            ),
        ));
    }
    let within = say_interval(&offset, common);
    common.step(
        "Bench height = height wanted on turf - offset",
        format!("{} - ({})", plain(target), plain(offset.belief.mean)),
        bench,
        "mm",
        "bench_height_definition",
    );
    advise_on_heights(target, bench, &inputs.evidence, common);
    cautions_of_setting(common);
    common.conclude("bench_height_mm", sentence("Set the bench at", bench, within, &offset));
    let (low, high) = (bench - within, bench + within);
    answer.bench_height_mm = Some(bench);
    answer.bench_height_low_mm = above_zero(low, &mut answer.common);
    answer.bench_height_high_mm = Some(high);
    answer.offset_mm = Some(offset.belief.mean);
    answer.offset_low_mm = Some(offset.belief.mean - within);
    answer.offset_high_mm = Some(offset.belief.mean + within);
    answer.reading_count = Some(offset.reading_count);
    answer.effective_reading_count = Some(offset.effective_reading_count);
    answer.degrees_of_freedom = Some(offset.belief.degrees);
    answer.measure_first = offset.measure_first;
    Ok(answer)
}

/// Height on turf to expect from a bench height.
pub fn effective_height(
    inputs: &EffectiveHeightInputs,
) -> Result<EffectiveHeightAnswer, SettingError> {
    let mut answer = EffectiveHeightAnswer::default();
    let common = &mut answer.common;
    let Some(bench) = check_given("bench_height_mm", inputs.bench_height_mm)? else {
        common.need("bench_height_mm", "mm", "the bench height that will be set");
        return Ok(answer);
    };
    let Some(offset) = offset_at(bench, &inputs.evidence, common)? else { return Ok(answer) };
    let effective = bench + offset.belief.mean;
    if effective <= 0.0 {
        return Err(SettingError::new(
            "bench_height_mm",
            plain(bench),
            format!(
                "the offset of {} mm would put the edge in the ground; read the offset again at \
                 this height",
                plain(offset.belief.mean)
            ),
        ));
    }
    let within = say_interval(&offset, common);
    let next = offset.belief.reading_within(offset.confidence);
    common.step(
        "Height on turf = bench height + offset",
        format!("{} + ({})", plain(bench), plain(offset.belief.mean)),
        effective,
        "mm",
        "bench_height_definition",
    );
    common.step(
        "Half the interval of one next reading",
        format!(
            "{} × √({} × (1 + 1 / {}))",
            plain(student_factor(offset.confidence, offset.belief.degrees)),
            plain(offset.belief.variance),
            plain(offset.belief.weight)
        ),
        next,
        "mm",
        "normal_model",
    );
    advise_on_heights(effective, bench, &inputs.evidence, common);
    let told = sentence("Expect a height on turf of", effective, within, &offset);
    common.conclude("effective_height_mm", told);
    answer.effective_height_mm = Some(effective);
    answer.effective_height_low_mm = above_zero(effective - within, &mut answer.common);
    answer.effective_height_high_mm = Some(effective + within);
    answer.next_reading_low_mm = Some(effective - next).filter(|&low| low > 0.0);
    answer.next_reading_high_mm = Some(effective + next);
    answer.offset_mm = Some(offset.belief.mean);
    answer.offset_low_mm = Some(offset.belief.mean - within);
    answer.offset_high_mm = Some(offset.belief.mean + within);
    answer.reading_count = Some(offset.reading_count);
    answer.effective_reading_count = Some(offset.effective_reading_count);
    answer.degrees_of_freedom = Some(offset.belief.degrees);
    answer.measure_first = offset.measure_first;
    Ok(answer)
}

/// Writes the interval down and returns half its width.
fn say_interval(offset: &Offset, common: &mut Common) -> f64 {
    let belief = &offset.belief;
    let within = belief.mean_within(offset.confidence);
    common.step(
        format!(
            "Half the {} % interval, Student's t with {} degrees of freedom",
            decimal(100.0 * offset.confidence, 1),
            decimal(belief.degrees, 1)
        ),
        format!(
            "{} × √({} / {})",
            plain(student_factor(offset.confidence, belief.degrees)),
            plain(belief.variance),
            plain(belief.weight)
        ),
        within,
        "mm",
        "normal_model",
    );
    within
}

fn sentence(opening: &str, height_mm: f64, within_mm: f64, offset: &Offset) -> String {
    let height = format!("{opening} {height_mm:.2} mm, give or take {within_mm:.2} mm");
    // So wide a figure says nothing.
    if offset.measure_first && within_mm >= WIDE * height_mm {
        format!(
            "Measure first: nothing is read on this area yet. To begin with: {}{} {height_mm:.2} mm; cut a strip, read it \
             with a prism or ruler at four places, and say the bench height and the readings.",
            opening[..1].to_lowercase(),
            &opening[1..],
        )
    } else if offset.measure_first {
        format!("Measure first; with no reading on this area, the best guess is: {height}.")
    } else {
        format!("{height}.")
    }
}

/// An end of an interval that no height can have is left out, and the answer says so.
fn above_zero(height_mm: f64, common: &mut Common) -> Option<f64> {
    if height_mm > 0.0 {
        return Some(height_mm);
    }
    common.advise(
        "interval_open_below",
        "The interval is wider than the height itself, so it has no lower end. Measure first.",
    );
    None
}

fn advise_on_heights(effective: f64, bench: f64, evidence: &HeightEvidence, common: &mut Common) {
    let readings = &evidence.effective_height_readings_mm;
    let lowest = readings.iter().copied().fold(effective, f64::min);
    if lowest <= PRISM_LIMIT_MM {
        common.cite("bench_and_actual_usga");
        common.advise(
            "prism_hard_to_read",
            "A prism gauge is hard to read at about 3 mm (0.120 in) and below; take more readings, \
             or judge by clippings and ball roll as well.",
        );
    }
    let measured_at = evidence.reading_bench_height_mm.filter(|_| !readings.is_empty());
    if let Some(measured_at) = measured_at
        && (bench - measured_at).abs() > FAR_FROM_READINGS * measured_at
    {
        common.advise(
            "far_from_readings",
            format!(
                "The readings were taken at a bench height of {} mm, far from {:.2} mm; the offset \
                 may differ there. Read again once it is set.",
                plain(measured_at),
                bench
            ),
        );
    }
}

fn cautions_of_setting(common: &mut Common) {
    for id in ["isolate_drive", "hands_clear_of_reel", "block_tipped_unit", "torque_from_manual"] {
        common.caution(id);
    }
    common.advise(
        "read_after_clamping",
        "Release the height clamps before turning an adjuster, and read the height again after \
         clamping: clamping moves it.",
    );
}

#[cfg(test)]
mod tests;
