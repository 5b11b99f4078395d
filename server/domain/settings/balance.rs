//! How far out of balance may a blade be, how far is it, and what force does that put on the
//! spindle? Deliberately absent: a balance grade for mower blades; none is published, so the grade
//! is an assumption and every answer says so.

use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{decimal, plain};

/// Grade for agricultural and crushing parts in published lists; taken for blades by analogy.
pub const ASSUMED_GRADE_MM_PER_S: f64 = 16.0;
/// Standard gravity, exact (NIST SP 811).
const GRAVITY_MPS2: f64 = 9.806_65;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct BladeBalanceInputs {
    pub blade_mass_kg: Option<f64>,
    pub spindle_speed_rpm: Option<f64>,
    pub balance_grade_mm_per_s: Option<f64>,
    pub heavy_mass_kg: Option<f64>,
    pub heavy_radius_mm: Option<f64>,
    /// As a balancing machine reads it, in place of the two above.
    pub unbalance_g_mm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct BladeBalanceAnswer {
    pub permissible_unbalance_g_mm: Option<f64>,
    pub unbalance_g_mm: Option<f64>,
    pub unbalance_force_n: Option<f64>,
    /// Only when a distance is given.
    pub permissible_mass_g: Option<f64>,
    pub unbalance_ratio: Option<f64>,
    /// The grade that the unbalance found amounts to.
    pub achieved_grade_mm_per_s: Option<f64>,
    pub common: Common,
}

pub fn blade_balance(inputs: &BladeBalanceInputs) -> Result<BladeBalanceAnswer, SettingError> {
    let given = BladeBalanceInputs {
        blade_mass_kg: check_given("blade_mass_kg", inputs.blade_mass_kg)?,
        spindle_speed_rpm: check_given("spindle_speed_rpm", inputs.spindle_speed_rpm)?,
        balance_grade_mm_per_s: check_given(
            "balance_grade_mm_per_s",
            inputs.balance_grade_mm_per_s,
        )?,
        heavy_mass_kg: check_given("heavy_mass_kg", inputs.heavy_mass_kg)?,
        heavy_radius_mm: check_given("heavy_radius_mm", inputs.heavy_radius_mm)?,
        unbalance_g_mm: check_given("unbalance_g_mm", inputs.unbalance_g_mm)?,
    };
    if let (Some(unbalance), Some(_)) = (given.unbalance_g_mm, given.heavy_mass_kg) {
        let remedy = "give the unbalance as read, or the heavy mass and its distance, not both";
        return Err(SettingError::new("unbalance_g_mm", unbalance, remedy));
    }
    let mut answer = BladeBalanceAnswer::default();
    permissible(&mut answer, &given);
    found(&mut answer, &given);
    compare(&mut answer, &given);
    conclude(&mut answer);
    if answer.common.answer.is_empty() {
        answer = BladeBalanceAnswer::default();
        ask(&mut answer.common, &given);
        return Ok(answer);
    }
    for caution in ["block_rotary_blade", "cut_gloves_stationary", "scrap_bent_blade"] {
        answer.common.caution(caution);
    }
    Ok(answer)
}

/// Turns a second times 2 pi.
fn angular_speed(speed_rpm: f64) -> f64 {
    speed_rpm * std::f64::consts::TAU / 60.0
}

fn permissible(answer: &mut BladeBalanceAnswer, given: &BladeBalanceInputs) {
    let (Some(mass_kg), Some(speed_rpm)) = (given.blade_mass_kg, given.spindle_speed_rpm) else {
        return;
    };
    let common = &mut answer.common;
    let grade = given.balance_grade_mm_per_s.unwrap_or(ASSUMED_GRADE_MM_PER_S);
    common.cite("balance_grades");
    common.advise(
        "grade_assumed",
        match given.balance_grade_mm_per_s {
            None => {
                "No balance grade is published for mower blades: 16 mm/s, the grade of \
                     agricultural parts, is taken by analogy. 6.3 would be stricter."
            }
            Some(_) => {
                "No balance grade is published for mower blades: the one you gave is an \
                        assumption like any other."
            }
        },
    );
    let allowed = 1_000.0 * grade * mass_kg / angular_speed(speed_rpm);
    common.step(
        "unbalance allowed = 9549.3 * grade * mass / speed",
        format!("9549.3 * {} * {} / {}", plain(grade), plain(mass_kg), plain(speed_rpm)),
        allowed,
        "g mm",
        "iso_21940_11",
    );
    answer.permissible_unbalance_g_mm = Some(allowed);
    if let Some(radius_mm) = given.heavy_radius_mm {
        let mass_g = allowed / radius_mm;
        common.step(
            "mass allowed at that distance = unbalance allowed / distance",
            format!("{} / {}", plain(allowed), plain(radius_mm)),
            mass_g,
            "g",
            "geometry",
        );
        answer.permissible_mass_g = Some(mass_g);
    }
}

fn found(answer: &mut BladeBalanceAnswer, given: &BladeBalanceInputs) {
    let common = &mut answer.common;
    if let (Some(mass_kg), Some(radius_mm)) = (given.heavy_mass_kg, given.heavy_radius_mm) {
        let unbalance = 1_000.0 * mass_kg * radius_mm;
        common.step(
            "unbalance found = heavy mass * its distance",
            format!("{} g * {}", plain(1_000.0 * mass_kg), plain(radius_mm)),
            unbalance,
            "g mm",
            "geometry",
        );
        answer.unbalance_g_mm = Some(unbalance);
    } else {
        answer.unbalance_g_mm = given.unbalance_g_mm;
    }
    if let (Some(unbalance), Some(speed_rpm)) = (answer.unbalance_g_mm, given.spindle_speed_rpm) {
        let omega = angular_speed(speed_rpm);
        // Grams and millimetres to kilograms and metres: a millionth.
        let force_n = unbalance * 1e-6 * omega * omega;
        common.step(
            "force = unbalance * (2 * pi * speed / 60)^2",
            format!("{} * 1e-6 * (2 * pi * {} / 60)^2", plain(unbalance), plain(speed_rpm)),
            force_n,
            "N",
            "geometry",
        );
        answer.unbalance_force_n = Some(force_n);
    }
}

fn compare(answer: &mut BladeBalanceAnswer, given: &BladeBalanceInputs) {
    let (Some(allowed), Some(unbalance)) =
        (answer.permissible_unbalance_g_mm, answer.unbalance_g_mm)
    else {
        return;
    };
    let common = &mut answer.common;
    let ratio = unbalance / allowed;
    common.step(
        "unbalance found / unbalance allowed",
        format!("{} / {}", plain(unbalance), plain(allowed)),
        ratio,
        "",
        "",
    );
    answer.unbalance_ratio = Some(ratio);
    answer.achieved_grade_mm_per_s =
        Some(ratio * given.balance_grade_mm_per_s.unwrap_or(ASSUMED_GRADE_MM_PER_S));
}

fn conclude(answer: &mut BladeBalanceAnswer) {
    let at = |mass: Option<f64>| {
        mass.map_or(String::new(), |mass_g| {
            format!(" That is {} g at the distance given.", decimal(mass_g, 2))
        })
    };
    let force = answer.unbalance_force_n.map_or(String::new(), |force_n| {
        format!(
            "It pulls on the spindle with {} N, as {} kg would, turning with the blade.",
            decimal(force_n, 0),
            decimal(force_n / GRAVITY_MPS2, 1)
        )
    });
    let common = &mut answer.common;
    match (answer.unbalance_ratio, answer.permissible_unbalance_g_mm, answer.unbalance_g_mm) {
        (Some(ratio), Some(allowed), Some(unbalance)) => {
            let verdict =
                if ratio > 1.0 { "Balance it before use" } else { "Inside what is allowed" };
            common.conclude(
                "unbalance_ratio",
                format!(
                    "{verdict}: {} g mm found, {} g mm allowed.{} {force}",
                    decimal(unbalance, 0),
                    decimal(allowed, 1),
                    at(answer.permissible_mass_g)
                ),
            );
        }
        (_, Some(allowed), _) => common.conclude(
            "permissible_unbalance_g_mm",
            format!(
                "The blade may be {} g mm out of balance.{}",
                decimal(allowed, 1),
                at(answer.permissible_mass_g)
            ),
        ),
        (_, _, Some(unbalance)) if answer.unbalance_force_n.is_some() => common.conclude(
            "unbalance_force_n",
            format!("{force} The unbalance is {} g mm.", decimal(unbalance, 0)),
        ),
        _ => return,
    }
    common.advise(
        "grind_the_heavy_end",
        "Take metal from the heavy end's back, never from its length or the sail, and prove it on \
         a balancing pin. A blade that is bent, cracked or thin is scrap: balancing hides nothing.",
    );
}

fn ask(common: &mut Common, given: &BladeBalanceInputs) {
    if given.spindle_speed_rpm.is_none() {
        common.need("spindle_speed_rpm", "rpm", "Measure the spindle at full throttle.");
    }
    let about_force = given.heavy_mass_kg.is_some() || given.unbalance_g_mm.is_some();
    if about_force && given.unbalance_g_mm.is_none() && given.heavy_radius_mm.is_none() {
        common.need("heavy_radius_mm", "mm", "From the spindle's middle to the heavy place.");
    }
    if !about_force && given.blade_mass_kg.is_none() {
        common.need("blade_mass_kg", "kg", "Weigh the blade.");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop_assert, proptest};

    fn allowed(mass: f64, speed: f64, grade: Option<f64>) -> BladeBalanceAnswer {
        blade_balance(&BladeBalanceInputs {
            blade_mass_kg: Some(mass),
            spindle_speed_rpm: Some(speed),
            balance_grade_mm_per_s: grade,
            ..BladeBalanceInputs::default()
        })
        .expect("inside the bounds")
    }

    #[test]
    fn the_grade_is_called_an_assumption_given_or_not() {
        for grade in [None, Some(16.0), Some(6.3)] {
            let answer = allowed(1.4, 3_000.0, grade);
            assert!(answer.common.advisories.iter().any(|advice| advice.id == "grade_assumed"));
        }
        assert_eq!(
            allowed(1.4, 3_000.0, None).permissible_unbalance_g_mm,
            allowed(1.4, 3_000.0, Some(16.0)).permissible_unbalance_g_mm
        );
    }

    #[test]
    fn found_against_allowed_gives_a_verdict_and_the_grade_reached() {
        let of = |heavy_kg| {
            blade_balance(&BladeBalanceInputs {
                blade_mass_kg: Some(0.9),
                spindle_speed_rpm: Some(3_000.0),
                heavy_mass_kg: Some(heavy_kg),
                heavy_radius_mm: Some(250.0),
                ..BladeBalanceInputs::default()
            })
            .expect("inside")
        };
        assert!(of(0.01).common.answer.starts_with("Balance it"));
        assert!(of(0.000_1).common.answer.starts_with("Inside"));
        let at_limit = of(of(0.01).permissible_mass_g.expect("distance given") / 1_000.0);
        assert!((at_limit.achieved_grade_mm_per_s.expect("all given") - 16.0).abs() < 1e-9);
    }

    #[test]
    fn too_little_asks_for_what_fits_the_question() {
        let fields = |inputs: BladeBalanceInputs| {
            let answer = blade_balance(&inputs).expect("inside");
            answer.common.missing.iter().map(|missing| missing.field).collect::<Vec<_>>()
        };
        let none = BladeBalanceInputs::default;
        assert_eq!(fields(none()), ["spindle_speed_rpm", "blade_mass_kg"]);
        assert_eq!(
            fields(BladeBalanceInputs { heavy_mass_kg: Some(0.01), ..none() }),
            ["spindle_speed_rpm", "heavy_radius_mm"]
        );
        assert_eq!(
            fields(BladeBalanceInputs { unbalance_g_mm: Some(10.0), ..none() }),
            ["spindle_speed_rpm"]
        );
    }

    #[test]
    fn absurd_and_doubled_numbers_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -0.0, -1.0] {
            for index in 0..6 {
                let mut given =
                    [Some(1.4), Some(3_000.0), Some(16.0), Some(0.01), Some(250.0), None];
                given[index] = Some(bad);
                if index == 5 {
                    given[3] = None;
                }
                let result = blade_balance(&BladeBalanceInputs {
                    blade_mass_kg: given[0],
                    spindle_speed_rpm: given[1],
                    balance_grade_mm_per_s: given[2],
                    heavy_mass_kg: given[3],
                    heavy_radius_mm: given[4],
                    unbalance_g_mm: given[5],
                });
                assert!(result.is_err(), "field {index} at {bad}");
            }
        }
        let doubled = BladeBalanceInputs {
            heavy_mass_kg: Some(0.01),
            unbalance_g_mm: Some(10.0),
            ..BladeBalanceInputs::default()
        };
        assert_eq!(blade_balance(&doubled).expect_err("twice").field, "unbalance_g_mm");
    }

    proptest! {
        #[test]
        fn allowed_rises_with_mass_and_grade_and_falls_with_speed(
            mass in 0.1..10.0f64, speed in 500.0..5_000.0f64, grade in 1.0..40.0f64,
            factor in 1.01..3.0f64,
        ) {
            let of = |m: f64, n: f64, g: f64| {
                allowed(m, n, Some(g)).permissible_unbalance_g_mm.expect("given")
            };
            let base = of(mass, speed, grade);
            prop_assert!((of(mass * factor, speed, grade) / base - factor).abs() < 1e-9);
            prop_assert!((of(mass, speed, grade * factor) / base - factor).abs() < 1e-9);
            prop_assert!((of(mass, speed * factor, grade) * factor / base - 1.0).abs() < 1e-9);
        }

        #[test]
        fn force_rises_with_the_square_of_speed(
            unbalance in 1.0..5_000.0f64, speed in 500.0..5_000.0f64, factor in 1.01..3.0f64,
        ) {
            let of = |n: f64| blade_balance(&BladeBalanceInputs {
                unbalance_g_mm: Some(unbalance),
                spindle_speed_rpm: Some(n),
                ..BladeBalanceInputs::default()
            }).expect("inside").unbalance_force_n.expect("given");
            prop_assert!((of(speed * factor) / of(speed) / factor / factor - 1.0).abs() < 1e-9);
        }
    }
}
