//! How fast does a grinding wheel's surface move, against the maximum marked on it? The answer is
//! a refusal or "read the label". Deliberately absent: any speed at which a wheel is called safe;
//! that belongs to the mark, the ring test and whoever is appointed to mount wheels.

use std::f64::consts::PI;

use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{convert, decimal, plain};

/// A speed worked back from the mark differs from it in the last digits of a double only.
const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct WheelSpeedInputs {
    pub wheel_diameter_mm: Option<f64>,
    pub wheel_speed_rpm: Option<f64>,
    /// Marked on the wheel as its maximum.
    pub rated_surface_speed_mps: Option<f64>,
    /// Marked on the wheel as its maximum.
    pub rated_wheel_speed_rpm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct WheelSpeedAnswer {
    pub surface_speed_mps: Option<f64>,
    /// What the marks come to at the spindle; absent once the answer is stop.
    pub max_wheel_speed_rpm: Option<f64>,
    /// Over 1: stop.
    pub speed_to_rated_ratio: Option<f64>,
    pub over_marked_maximum: bool,
    /// Only without a wheel diameter.
    pub max_wheel_diameter_mm: Option<f64>,
    pub common: Common,
}

pub fn wheel_speed(inputs: &WheelSpeedInputs) -> Result<WheelSpeedAnswer, SettingError> {
    let diameter_mm = check_given("wheel_diameter_mm", inputs.wheel_diameter_mm)?;
    let speed_rpm = check_given("wheel_speed_rpm", inputs.wheel_speed_rpm)?;
    let rated_mps = check_given("rated_surface_speed_mps", inputs.rated_surface_speed_mps)?;
    let rated_rpm = check_given("rated_wheel_speed_rpm", inputs.rated_wheel_speed_rpm)?;

    let mut answer = WheelSpeedAnswer::default();
    let common = &mut answer.common;
    if let (Some(diameter_mm), Some(speed_rpm)) = (diameter_mm, speed_rpm) {
        answer.surface_speed_mps = Some(surface_speed(common, diameter_mm, speed_rpm));
    }
    let max_rpm = marked_maximum_rpm(common, diameter_mm, rated_mps, rated_rpm);
    if let (Some(speed_rpm), Some(max_rpm)) = (speed_rpm, max_rpm) {
        let ratio = speed_rpm / max_rpm;
        common.step(
            "share of the marked maximum",
            format!("{} / {}", plain(speed_rpm), plain(max_rpm)),
            ratio,
            "",
            "osha_1910_215_d_1",
        );
        answer.speed_to_rated_ratio = Some(ratio);
        answer.over_marked_maximum = ratio > 1.0 + ROUNDING;
    }
    if !answer.over_marked_maximum {
        answer.max_wheel_speed_rpm = max_rpm;
        if let (None, Some(speed_rpm), Some(rated_mps)) = (diameter_mm, speed_rpm, rated_mps) {
            let largest_mm = 60_000.0 * rated_mps / (PI * speed_rpm);
            common.step(
                "largest wheel that the mark allows at this spindle speed",
                format!("60000 * {} / (pi * {})", plain(rated_mps), plain(speed_rpm)),
                largest_mm,
                "mm",
                "geometry",
            );
            answer.max_wheel_diameter_mm = Some(largest_mm);
        }
    }
    conclude(&mut answer, diameter_mm, speed_rpm);
    Ok(answer)
}

fn surface_speed(common: &mut Common, diameter_mm: f64, speed_rpm: f64) -> f64 {
    let speed_mps = PI * diameter_mm * speed_rpm / 60_000.0;
    common.step(
        "surface speed = pi * diameter * speed / 60000",
        format!("pi * {} * {} / 60000", plain(diameter_mm), plain(speed_rpm)),
        speed_mps,
        "m/s",
        "geometry",
    );
    speed_mps
}

/// The lower of the two marks, as a spindle speed.
fn marked_maximum_rpm(
    common: &mut Common,
    diameter_mm: Option<f64>,
    rated_mps: Option<f64>,
    rated_rpm: Option<f64>,
) -> Option<f64> {
    let from_surface = diameter_mm.zip(rated_mps).map(|(diameter_mm, rated_mps)| {
        let rpm = 60_000.0 * rated_mps / (PI * diameter_mm);
        common.step(
            "the marked surface speed as a spindle speed",
            format!("60000 * {} / (pi * {})", plain(rated_mps), plain(diameter_mm)),
            rpm,
            "rpm",
            "geometry",
        );
        rpm
    });
    if from_surface.is_some() && rated_rpm.is_some() {
        common.note("Two marks are given; the lower one holds.", "osha_1910_215_d_1");
    }
    match (from_surface, rated_rpm) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

fn conclude(answer: &mut WheelSpeedAnswer, diameter_mm: Option<f64>, speed_rpm: Option<f64>) {
    let common = &mut answer.common;
    // A stop stands before every other caution.
    if answer.over_marked_maximum {
        common.caution("wheel_speed_limit");
    }
    let surface = answer.surface_speed_mps.map(in_words);
    if answer.over_marked_maximum {
        let speed = surface.map_or(String::new(), |words| format!(", {words}"));
        common.conclude(
            if speed.is_empty() { "speed_to_rated_ratio" } else { "surface_speed_mps" },
            format!(
                "Stop: {} rpm{speed} is over the maximum marked on the wheel. Do not run it.",
                plain(speed_rpm.unwrap_or_default())
            ),
        );
    } else if let Some(words) = surface {
        let share = answer.speed_to_rated_ratio.map_or(String::new(), |ratio| {
            format!(", {} % of the marked maximum", decimal(100.0 * ratio, 0))
        });
        common.conclude(
            "surface_speed_mps",
            format!(
                "The surface runs at {words}{share}. The mark on the wheel decides, not this sum."
            ),
        );
    } else if let Some(ratio) = answer.speed_to_rated_ratio {
        let share = decimal(100.0 * ratio, 0);
        common.conclude(
            "speed_to_rated_ratio",
            format!("The spindle runs at {share} % of the marked maximum. The mark decides."),
        );
    } else if let (Some(rpm), Some(_)) = (answer.max_wheel_speed_rpm, diameter_mm) {
        common.conclude(
            "max_wheel_speed_rpm",
            format!(
                "The marks come to {} rpm at the spindle: never faster, and no leave to run it \
                 before the wheel has passed its checks.",
                rpm.floor()
            ),
        );
    } else if let Some(largest_mm) = answer.max_wheel_diameter_mm {
        common.conclude(
            "max_wheel_diameter_mm",
            format!(
                "At this spindle speed the mark is reached by a wheel of {} mm: fit none larger, \
                 and none that the grinder's manual does not name.",
                largest_mm.floor()
            ),
        );
    } else {
        *answer = WheelSpeedAnswer::default();
        ask(&mut answer.common, diameter_mm, speed_rpm);
        return;
    }
    advise(answer, speed_rpm);
}

fn advise(answer: &mut WheelSpeedAnswer, speed_rpm: Option<f64>) {
    let marked = answer.max_wheel_speed_rpm.is_some() || answer.max_wheel_diameter_mm.is_some();
    let common = &mut answer.common;
    if !marked && !answer.over_marked_maximum {
        common.advise(
            "read_the_label",
            "Read the maximum speed marked on the wheel, and give it here: the spindle must not \
             run faster.",
        );
    } else if speed_rpm.is_none() {
        common.cite("osha_1910_215_d_1");
        common.advise(
            "spindle_against_mark",
            "Before mounting, check that the grinder's spindle turns no faster than this.",
        );
    }
    common.advise(
        "tachometer",
        "Measure a variable-speed grinder with a tachometer whenever a wheel is fitted. A worn \
         wheel runs slower at its surface; its marked speed still holds.",
    );
    for caution in ["mounted_wheel", "guards_in_place", "eye_and_face", "grinding_dust"] {
        common.caution(caution);
    }
}

fn ask(common: &mut Common, diameter_mm: Option<f64>, speed_rpm: Option<f64>) {
    if diameter_mm.is_none() {
        common.need("wheel_diameter_mm", "mm", "Measure across the wheel, or read its label.");
    }
    if speed_rpm.is_none() {
        common.need(
            "wheel_speed_rpm",
            "rpm",
            "Read the motor's plate, or measure the spindle with a tachometer.",
        );
    }
}

fn in_words(speed_mps: f64) -> String {
    let feet = convert(speed_mps, "m/s", "ft/min").expect("both are units of speed");
    format!("{} m/s ({} ft/min)", decimal(speed_mps, 1), decimal(feet, 0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop_assert, prop_assert_eq, proptest};

    fn answered(
        wheel_diameter_mm: Option<f64>,
        wheel_speed_rpm: Option<f64>,
        rated_surface_speed_mps: Option<f64>,
        rated_wheel_speed_rpm: Option<f64>,
    ) -> WheelSpeedAnswer {
        let inputs = WheelSpeedInputs {
            wheel_diameter_mm,
            wheel_speed_rpm,
            rated_surface_speed_mps,
            rated_wheel_speed_rpm,
        };
        wheel_speed(&inputs).expect("inside the bounds")
    }

    #[test]
    fn over_the_mark_is_a_stop_and_gives_no_speed_to_aim_at() {
        for answer in [
            answered(Some(200.0), Some(3_450.0), Some(35.0), None),
            answered(Some(200.0), Some(3_450.0), None, Some(3_449.0)),
            answered(None, Some(3_450.0), None, Some(3_000.0)),
            // The lower of two marks holds, whichever it is.
            answered(Some(150.0), Some(3_450.0), Some(35.0), Some(3_000.0)),
            answered(Some(200.0), Some(3_450.0), Some(35.0), Some(6_000.0)),
        ] {
            assert!(answer.over_marked_maximum);
            assert_eq!(answer.common.cautions[0], "wheel_speed_limit");
            assert_eq!(answer.max_wheel_speed_rpm, None);
            assert!(answer.common.answer.starts_with("Stop"), "{}", answer.common.answer);
        }
    }

    #[test]
    fn without_a_mark_it_says_read_the_label() {
        let answer = answered(Some(152.4), Some(3_450.0), None, None);
        assert_eq!(answer.max_wheel_speed_rpm, None);
        assert!(answer.common.advisories.iter().any(|advice| advice.id == "read_the_label"));
        assert!(!answer.common.cautions.contains(&"wheel_speed_limit"));
        assert!(answer.common.cautions.contains(&"mounted_wheel"));
    }

    #[test]
    fn too_little_asks_for_the_rest() {
        let fields = |answer: &WheelSpeedAnswer| {
            answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
        };
        assert_eq!(
            fields(&answered(None, None, None, None)),
            ["wheel_diameter_mm", "wheel_speed_rpm"]
        );
        assert_eq!(fields(&answered(None, Some(3_450.0), None, None)), ["wheel_diameter_mm"]);
        assert_eq!(fields(&answered(Some(150.0), None, None, None)), ["wheel_speed_rpm"]);
        assert_eq!(
            fields(&answered(None, None, Some(35.0), None)),
            ["wheel_diameter_mm", "wheel_speed_rpm"]
        );
    }

    proptest! {
        #[test]
        fn the_marked_speed_worked_back_is_not_over_it(
            diameter in 10.0..1_000.0f64,
            rated in 1.0..150.0f64,
        ) {
            let Some(most) = answered(Some(diameter), None, Some(rated), None).max_wheel_speed_rpm
            else { return Ok(()) };
            if most > 60_000.0 { return Ok(()) }
            let back = answered(Some(diameter), Some(most), Some(rated), None);
            prop_assert!(!back.over_marked_maximum);
            let speed = back.surface_speed_mps.expect("both given");
            prop_assert!((speed / rated - 1.0).abs() < 1e-12);
            let largest = answered(None, Some(most), Some(rated), None).max_wheel_diameter_mm;
            prop_assert!((largest.expect("no diameter given") / diameter - 1.0).abs() < 1e-12);
        }

        #[test]
        fn surface_speed_rises_with_both_and_scales_with_each(
            diameter in 10.0..400.0f64, speed in 1.0..20_000.0f64, factor in 1.001..2.0f64,
        ) {
            let of = |d: f64, n: f64| {
                answered(Some(d), Some(n), None, None).surface_speed_mps.expect("both given")
            };
            prop_assert!(of(diameter * factor, speed) > of(diameter, speed));
            let (wider, faster) = (of(diameter * factor, speed), of(diameter, speed * factor));
            prop_assert!((wider / faster - 1.0).abs() < 1e-12);
        }

        #[test]
        fn absurd_numbers_are_refused(index in 0usize..4, which in 0usize..5) {
            let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -0.0][which];
            let mut given = [Some(100.0), Some(1_000.0), Some(30.0), Some(3_000.0)];
            given[index] = Some(bad);
            let error = wheel_speed(&WheelSpeedInputs {
                wheel_diameter_mm: given[0],
                wheel_speed_rpm: given[1],
                rated_surface_speed_mps: given[2],
                rated_wheel_speed_rpm: given[3],
            })
            .expect_err("out of bounds");
            let names = ["wheel_diameter_mm", "wheel_speed_rpm", "rated_surface_speed_mps",
                "rated_wheel_speed_rpm"];
            prop_assert_eq!(error.field, names[index]);
        }
    }
}
