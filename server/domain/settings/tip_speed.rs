//! How fast does a rotary blade's tip run, against the published limit of 19,000 ft/min?
//! Deliberately absent: leave to raise a governed speed or to fit a longer blade; the machine's
//! manual and decal decide that, whatever this sum says.

use std::f64::consts::PI;

use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{convert, decimal, plain};

/// 19,000 ft/min, exactly 96.52 m/s. Minutes, not seconds: one circulated text has it wrong.
pub const TIP_SPEED_LIMIT_MPS: f64 = 19_000.0 * 0.3048 / 60.0;
/// Below 15,000 ft/min, 76.2 m/s, the cut suffers by the background of one patent.
pub const TIP_SPEED_POOR_CUT_MPS: f64 = 15_000.0 * 0.3048 / 60.0;
/// A speed worked back from the limit differs from it in the last digits of a double only.
const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RotaryTipSpeedInputs {
    pub blade_length_mm: Option<f64>,
    pub spindle_speed_rpm: Option<f64>,
    /// A limit to hold to; the published one when left out.
    pub max_tip_speed_mps: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RotaryTipSpeedAnswer {
    pub tip_speed_mps: Option<f64>,
    /// Absent once the answer is stop.
    pub max_spindle_speed_rpm: Option<f64>,
    pub tip_speed_limit_mps: Option<f64>,
    pub over_published_limit: bool,
    /// Only without a blade length.
    pub max_blade_length_mm: Option<f64>,
    pub common: Common,
}

pub fn rotary_tip_speed(
    inputs: &RotaryTipSpeedInputs,
) -> Result<RotaryTipSpeedAnswer, SettingError> {
    let length_mm = check_given("blade_length_mm", inputs.blade_length_mm)?;
    let speed_rpm = check_given("spindle_speed_rpm", inputs.spindle_speed_rpm)?;
    let wanted_mps = check_given("max_tip_speed_mps", inputs.max_tip_speed_mps)?;

    let mut answer = RotaryTipSpeedAnswer::default();
    if length_mm.is_none() && speed_rpm.is_none() {
        ask(&mut answer.common);
        return Ok(answer);
    }
    let limit_mps = wanted_mps.unwrap_or(TIP_SPEED_LIMIT_MPS);
    answer.common.cite("blade_tip_limit");
    if let (Some(length_mm), Some(speed_rpm)) = (length_mm, speed_rpm) {
        answer.tip_speed_mps = Some(tip_speed(&mut answer.common, length_mm, speed_rpm));
    }
    let highest_mps = answer.tip_speed_mps.unwrap_or(0.0).max(wanted_mps.unwrap_or(0.0));
    answer.over_published_limit = highest_mps > TIP_SPEED_LIMIT_MPS * (1.0 + ROUNDING);
    if answer.over_published_limit {
        stop(&mut answer, highest_mps);
    } else {
        answer.tip_speed_limit_mps = Some(limit_mps);
        solve_limits(&mut answer, length_mm, speed_rpm, limit_mps);
        conclude(&mut answer, limit_mps);
    }
    for caution in ["block_rotary_blade", "watch_blade_stop", "guards_in_place"] {
        answer.common.caution(caution);
    }
    Ok(answer)
}

fn tip_speed(common: &mut Common, length_mm: f64, speed_rpm: f64) -> f64 {
    let speed_mps = PI * length_mm * speed_rpm / 60_000.0;
    common.step(
        "tip speed = pi * blade length * spindle speed / 60000",
        format!("pi * {} * {} / 60000", plain(length_mm), plain(speed_rpm)),
        speed_mps,
        "m/s",
        "geometry",
    );
    let feet = feet_per_minute(speed_mps);
    common.step(
        "the same in ft/min",
        format!("{} / 0.00508", plain(speed_mps)),
        feet,
        "ft/min",
        "",
    );
    speed_mps
}

fn solve_limits(
    answer: &mut RotaryTipSpeedAnswer,
    length_mm: Option<f64>,
    speed_rpm: Option<f64>,
    limit_mps: f64,
) {
    let common = &mut answer.common;
    if let Some(length_mm) = length_mm {
        let most_rpm = 60_000.0 * limit_mps / (PI * length_mm);
        common.step(
            "spindle speed at which the tip reaches the limit",
            format!("60000 * {} / (pi * {})", plain(limit_mps), plain(length_mm)),
            most_rpm,
            "rpm",
            "blade_tip_limit",
        );
        answer.max_spindle_speed_rpm = Some(most_rpm);
    } else if let Some(speed_rpm) = speed_rpm {
        let longest_mm = 60_000.0 * limit_mps / (PI * speed_rpm);
        common.step(
            "blade length at which the tip reaches the limit",
            format!("60000 * {} / (pi * {})", plain(limit_mps), plain(speed_rpm)),
            longest_mm,
            "mm",
            "blade_tip_limit",
        );
        answer.max_blade_length_mm = Some(longest_mm);
    }
}

/// A stop gives no speed to aim at; only the manual does.
fn stop(answer: &mut RotaryTipSpeedAnswer, speed_mps: f64) {
    answer.tip_speed_limit_mps = Some(TIP_SPEED_LIMIT_MPS);
    let common = &mut answer.common;
    common.caution("tip_speed_limit");
    let solved =
        if answer.tip_speed_mps.is_some() { "tip_speed_mps" } else { "over_published_limit" };
    common.conclude(
        solved,
        format!(
            "Stop: {} is over the published limit of 96.5 m/s (19000 ft/min). Do not run the \
             blades until the spindle speed and the blade are those of the machine's manual.",
            in_words(speed_mps)
        ),
    );
    advise_always(common);
}

fn conclude(answer: &mut RotaryTipSpeedAnswer, limit_mps: f64) {
    let published = limit_mps >= TIP_SPEED_LIMIT_MPS;
    let limit = in_words(limit_mps);
    let name = if published { "published limit" } else { "limit you gave" };
    let common = &mut answer.common;
    if let Some(speed_mps) = answer.tip_speed_mps {
        let side = if speed_mps > limit_mps * (1.0 + ROUNDING) { "over" } else { "inside" };
        let share = decimal(100.0 * speed_mps / limit_mps, 0);
        let speed = in_words(speed_mps);
        common.conclude(
            "tip_speed_mps",
            format!("The tip runs at {speed}, {side} the {name}: {share} % of {limit}."),
        );
        if speed_mps < TIP_SPEED_POOR_CUT_MPS {
            common.cite("tip_speed_for_cut");
            common.advise(
                "tip_speed_low_for_cut",
                "Under about 15000 ft/min (76 m/s) a blade tends to tear rather than cut; look \
                 for a slow engine or a slipping belt.",
            );
        }
    } else if let Some(most_rpm) = answer.max_spindle_speed_rpm {
        let most = most_rpm.floor();
        common.conclude(
            "max_spindle_speed_rpm",
            format!("The tip reaches the {name} of {limit} at {most} rpm: never faster than that."),
        );
    } else if let Some(longest_mm) = answer.max_blade_length_mm {
        let longest = longest_mm.floor();
        common.conclude(
            "max_blade_length_mm",
            format!("A blade of {longest} mm reaches the {name} of {limit}: none longer."),
        );
    }
    advise_always(common);
}

fn advise_always(common: &mut Common) {
    common.advise(
        "manual_decides",
        "Measure the longest blade actually fitted, tip to tip. Never raise the governed speed or \
         fit a longer blade on the strength of this sum: the manual and the decal decide.",
    );
}

fn ask(common: &mut Common) {
    common.need("blade_length_mm", "mm", "Measure the longest blade fitted, tip to tip.");
    common.need(
        "spindle_speed_rpm",
        "rpm",
        "Measure it at full throttle with a tachometer that needs no contact.",
    );
}

fn feet_per_minute(speed_mps: f64) -> f64 {
    convert(speed_mps, "m/s", "ft/min").expect("both are units of speed")
}

fn in_words(speed_mps: f64) -> String {
    format!("{} m/s ({} ft/min)", decimal(speed_mps, 1), decimal(feet_per_minute(speed_mps), 0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop_assert, prop_assume, proptest};

    fn answered(
        blade_length_mm: Option<f64>,
        spindle_speed_rpm: Option<f64>,
        max_tip_speed_mps: Option<f64>,
    ) -> RotaryTipSpeedAnswer {
        let inputs = RotaryTipSpeedInputs { blade_length_mm, spindle_speed_rpm, max_tip_speed_mps };
        rotary_tip_speed(&inputs).expect("inside the bounds")
    }

    #[test]
    fn over_the_published_limit_is_a_stop_and_gives_no_speed_to_aim_at() {
        for answer in [
            answered(Some(558.8), Some(4_000.0), None),
            answered(Some(558.8), Some(4_000.0), Some(150.0)),
            answered(Some(558.8), Some(4_000.0), Some(50.0)),
            // Asking for a higher limit is refused whatever the blade does.
            answered(Some(558.8), None, Some(96.521)),
            answered(None, Some(3_000.0), Some(97.0)),
        ] {
            assert!(answer.over_published_limit);
            assert_eq!(answer.common.cautions[0], "tip_speed_limit");
            assert_eq!(answer.max_spindle_speed_rpm, None);
            assert_eq!(answer.max_blade_length_mm, None);
            assert!(answer.common.answer.starts_with("Stop"));
        }
    }

    #[test]
    fn a_lower_limit_of_ones_own_is_held_to_without_a_stop() {
        let answer = answered(Some(533.4), Some(3_100.0), Some(80.0));
        assert!(!answer.over_published_limit);
        assert!(answer.common.answer.contains("over the limit you gave"));
        assert!(!answer.common.cautions.contains(&"tip_speed_limit"));
    }

    #[test]
    fn a_slow_tip_is_named_and_nothing_is_asked_twice() {
        let answer = answered(Some(400.0), Some(3_000.0), None);
        assert!(answer.common.advisories.iter().any(|advice| advice.id == "tip_speed_low_for_cut"));
        let answer = answered(None, None, Some(90.0));
        let fields: Vec<_> = answer.common.missing.iter().map(|missing| missing.field).collect();
        assert_eq!(fields, ["blade_length_mm", "spindle_speed_rpm"]);
        assert!(answer.common.answer.is_empty());
    }

    #[test]
    fn absurd_numbers_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -0.0, -5.0] {
            for index in 0..3 {
                let mut given = [Some(500.0), Some(3_000.0), Some(90.0)];
                given[index] = Some(bad);
                let error = rotary_tip_speed(&RotaryTipSpeedInputs {
                    blade_length_mm: given[0],
                    spindle_speed_rpm: given[1],
                    max_tip_speed_mps: given[2],
                })
                .expect_err("out of bounds");
                let names = ["blade_length_mm", "spindle_speed_rpm", "max_tip_speed_mps"];
                assert_eq!(error.field, names[index]);
            }
        }
    }

    proptest! {
        #[test]
        fn the_limit_worked_back_is_not_over_it(length in 150.0..3_000.0f64) {
            let most = answered(Some(length), None, None).max_spindle_speed_rpm.expect("length");
            prop_assume!(most <= 20_000.0);
            let back = answered(Some(length), Some(most), None);
            prop_assert!(!back.over_published_limit);
            let share = back.tip_speed_mps.expect("both given") / TIP_SPEED_LIMIT_MPS;
            prop_assert!((share - 1.0).abs() < 1e-12);
            prop_assert!(answered(Some(length), Some(most * 1.000_1), None).over_published_limit);
            let longest = answered(None, Some(most), None).max_blade_length_mm.expect("speed");
            prop_assert!((longest / length - 1.0).abs() < 1e-12);
        }

        #[test]
        fn tip_speed_rises_with_length_and_speed(
            length in 100.0..1_000.0f64, speed in 100.0..2_000.0f64, factor in 1.001..1.5f64,
        ) {
            let of = |l: f64, n: f64| {
                answered(Some(l), Some(n), None).tip_speed_mps.expect("both given")
            };
            prop_assert!(of(length * factor, speed) > of(length, speed));
            let (longer, faster) = (of(length * factor, speed), of(length, speed * factor));
            prop_assert!((longer / faster - 1.0).abs() < 1e-12);
        }
    }
}
