//! Where is a groomer set for a wanted reach below the height of cut, and how far does worn blade
//! move it? All of it is sums of lengths. Deliberately absent: any reach below the soil line; that
//! is vertical cutting and belongs to `verticut`.

use super::{Common, SettingError};
use crate::domain::limits::{check, check_given};
use crate::domain::units::{decimal, plain};

/// To begin with a groomer reaches no deeper than this share of the height of cut (published).
pub const FIRST_REACH_FRACTION: f64 = 0.10;
/// Two settings closer than a gauge can show are the same setting.
const SAME_MM: f64 = 0.01;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct GroomerDepthInputs {
    pub height_of_cut_mm: Option<f64>,
    pub penetration_below_cut_mm: Option<f64>,
    /// Height of the blade tips above the bench.
    pub groomer_setting_mm: Option<f64>,
    pub blade_diameter_when_set_mm: Option<f64>,
    pub blade_diameter_mm: Option<f64>,
    /// Height on turf less bench height, signed.
    pub offset_mm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct GroomerDepthAnswer {
    pub groomer_setting_mm: Option<f64>,
    pub penetration_below_cut_mm: Option<f64>,
    pub penetration_fraction: Option<f64>,
    /// Change of the shaft's height that wear asks for; minus is down.
    pub setting_change_mm: Option<f64>,
    pub effective_tip_height_mm: Option<f64>,
    /// Only when solved for.
    pub height_of_cut_mm: Option<f64>,
    pub common: Common,
}

/// Height of cut, reach and setting, whichever of them was left out now filled in.
struct Setting {
    height_mm: f64,
    reach_mm: f64,
    setting_mm: f64,
    solved_for: &'static str,
}

pub fn groomer_depth(inputs: &GroomerDepthInputs) -> Result<GroomerDepthAnswer, SettingError> {
    let height_mm = check_given("height_of_cut_mm", inputs.height_of_cut_mm)?;
    let reach_mm = check_given("penetration_below_cut_mm", inputs.penetration_below_cut_mm)?;
    let setting_mm = check_given("groomer_setting_mm", inputs.groomer_setting_mm)?;
    let set_mm = check_given("blade_diameter_when_set_mm", inputs.blade_diameter_when_set_mm)?;
    let now_mm = check_given("blade_diameter_mm", inputs.blade_diameter_mm)?;
    let offset_mm = check_given("offset_mm", inputs.offset_mm)?;

    let mut answer = GroomerDepthAnswer::default();
    if let Some(setting) = solve(&mut answer.common, height_mm, reach_mm, setting_mm)? {
        describe_setting(&mut answer, &setting, offset_mm)?;
    }
    if let (Some(set_mm), Some(now_mm)) = (set_mm, now_mm) {
        describe_wear(&mut answer, set_mm, now_mm);
    }
    if answer.common.answer.is_empty() {
        let wear_only = set_mm.is_some() || now_mm.is_some();
        let settings_given = height_mm.is_some() || reach_mm.is_some() || setting_mm.is_some();
        if wear_only && !settings_given {
            ask_wear(&mut answer.common, set_mm, now_mm);
        } else {
            ask_setting(&mut answer.common, height_mm, reach_mm, setting_mm);
        }
        return Ok(answer);
    }
    for caution in ["isolate_drive", "cut_gloves_stationary", "block_tipped_unit"] {
        answer.common.caution(caution);
    }
    Ok(answer)
}

fn solve(
    common: &mut Common,
    height_mm: Option<f64>,
    reach_mm: Option<f64>,
    setting_mm: Option<f64>,
) -> Result<Option<Setting>, SettingError> {
    let setting = match (height_mm, reach_mm, setting_mm) {
        (Some(height_mm), Some(reach_mm), given) => {
            let setting_mm = check("groomer_setting_mm", height_mm - reach_mm)?;
            common.step(
                "setting = height of cut - reach below it",
                format!("{} - {}", plain(height_mm), plain(reach_mm)),
                setting_mm,
                "mm",
                "geometry",
            );
            if given.is_some_and(|given| (given - setting_mm).abs() > SAME_MM) {
                common.advise(
                    "setting_differs",
                    format!(
                        "The setting given, {} mm, is not the one worked out from height and \
                         reach, {} mm.",
                        plain(given.unwrap_or_default()),
                        plain(setting_mm)
                    ),
                );
            }
            Setting { height_mm, reach_mm, setting_mm, solved_for: "groomer_setting_mm" }
        }
        (Some(height_mm), None, Some(setting_mm)) => {
            let reach_mm = check("penetration_below_cut_mm", height_mm - setting_mm)?;
            common.step(
                "reach below the cut = height of cut - setting",
                format!("{} - {}", plain(height_mm), plain(setting_mm)),
                reach_mm,
                "mm",
                "geometry",
            );
            Setting { height_mm, reach_mm, setting_mm, solved_for: "penetration_below_cut_mm" }
        }
        (None, Some(reach_mm), Some(setting_mm)) => {
            let height_mm = check("height_of_cut_mm", setting_mm + reach_mm)?;
            common.step(
                "height of cut = setting + reach below it",
                format!("{} + {}", plain(setting_mm), plain(reach_mm)),
                height_mm,
                "mm",
                "geometry",
            );
            Setting { height_mm, reach_mm, setting_mm, solved_for: "height_of_cut_mm" }
        }
        _ => return Ok(None),
    };
    Ok(Some(setting))
}

/// Height of the tips on turf; a refusal where that is below the soil line.
fn tips_on_turf(setting: &Setting, offset_mm: Option<f64>) -> Result<f64, SettingError> {
    let on_turf_mm = setting.setting_mm + offset_mm.unwrap_or(0.0);
    if on_turf_mm >= 0.0 {
        return Ok(on_turf_mm);
    }
    let field = match setting.solved_for {
        "groomer_setting_mm" => "penetration_below_cut_mm",
        _ => "groomer_setting_mm",
    };
    let given = if field == "groomer_setting_mm" { setting.setting_mm } else { setting.reach_mm };
    let remedy = "the tips would run below the soil line; keep them above it, or ask for a \
                  verticut setting instead";
    Err(SettingError::new(field, given, remedy))
}

fn describe_setting(
    answer: &mut GroomerDepthAnswer,
    setting: &Setting,
    offset_mm: Option<f64>,
) -> Result<(), SettingError> {
    let common = &mut answer.common;
    let on_turf_mm = tips_on_turf(setting, offset_mm)?;
    let fraction = setting.reach_mm / setting.height_mm;
    common.step(
        "reach as a share of the height",
        format!("{} / {}", plain(setting.reach_mm), plain(setting.height_mm)),
        fraction,
        "",
        "groomer_first_setting",
    );
    if let Some(offset_mm) = offset_mm {
        common.step(
            "height of the tips on turf = setting + the area's offset",
            format!("{} + {}", plain(setting.setting_mm), plain(offset_mm)),
            on_turf_mm,
            "mm",
            "geometry",
        );
    } else {
        common.advise(
            "bench_not_turf",
            "Measured on the bench, by gauge bar, height clamps tight. On turf the unit sinks or \
             floats and the tips with it; give the area's offset to see where they run.",
        );
    }
    let side = if setting.reach_mm < 0.0 { "above" } else { "below" };
    let reach = format!(
        "{} mm {side} the cut, {} % of the height",
        decimal(setting.reach_mm.abs(), 2),
        decimal(100.0 * fraction.abs(), 0)
    );
    let tips = decimal(setting.setting_mm, 2);
    common.conclude(
        setting.solved_for,
        match setting.solved_for {
            "groomer_setting_mm" => {
                format!("Set the blade tips {tips} mm above the bench: {reach}.")
            }
            "height_of_cut_mm" => {
                let height = decimal(setting.height_mm, 2);
                format!("The height of cut is {height} mm; the tips reach {reach}.")
            }
            _ => format!("The tips reach {reach}."),
        },
    );
    if fraction > FIRST_REACH_FRACTION + 1e-9 {
        let first_mm = setting.height_mm * (1.0 - FIRST_REACH_FRACTION);
        common.advise(
            "first_setting_ten_percent",
            format!(
                "To begin with, reach no more than 10 % of the height below it: a setting of \
                 {} mm. Go deeper in steps, by what the turf shows.",
                decimal(first_mm, 2)
            ),
        );
    }
    answer.groomer_setting_mm = Some(setting.setting_mm);
    answer.penetration_below_cut_mm = Some(setting.reach_mm);
    answer.penetration_fraction = Some(fraction);
    answer.effective_tip_height_mm = offset_mm.map(|_| on_turf_mm);
    answer.height_of_cut_mm =
        (setting.solved_for == "height_of_cut_mm").then_some(setting.height_mm);
    Ok(())
}

fn describe_wear(answer: &mut GroomerDepthAnswer, set_mm: f64, now_mm: f64) {
    let common = &mut answer.common;
    let change_mm = (now_mm - set_mm) / 2.0;
    common.step(
        "change of the shaft's height = (diameter now - diameter when set) / 2",
        format!("({} - {}) / 2", plain(now_mm), plain(set_mm)),
        change_mm,
        "mm",
        "geometry",
    );
    answer.setting_change_mm = Some(change_mm);
    let verb = if change_mm < 0.0 { "Lower" } else { "Raise" };
    let words = if change_mm == 0.0 {
        "The blades have not worn: leave the shaft where it is.".to_owned()
    } else {
        let by = decimal(change_mm.abs(), 2);
        format!("{verb} the shaft {by} mm to put the tips back where they were.")
    };
    if common.answer.is_empty() {
        common.conclude("setting_change_mm", words);
    } else {
        common.advise("wear", words);
    }
    common.advise(
        "measure_several_blades",
        "Measure several blades along the shaft, and both ends: they wear unevenly, and the \
         largest sets the depth.",
    );
}

fn ask_wear(common: &mut Common, set_mm: Option<f64>, now_mm: Option<f64>) {
    if set_mm.is_none() {
        common.need(
            "blade_diameter_when_set_mm",
            "mm",
            "The blades' diameter when it was last set.",
        );
    }
    if now_mm.is_none() {
        common.need("blade_diameter_mm", "mm", "The blades' diameter now, by caliper.");
    }
}

fn ask_setting(
    common: &mut Common,
    height_mm: Option<f64>,
    reach_mm: Option<f64>,
    setting_mm: Option<f64>,
) {
    if height_mm.is_none() {
        common.need("height_of_cut_mm", "mm", "The height of cut the unit is set to on the bench.");
    }
    if reach_mm.is_none() && setting_mm.is_none() {
        let tenth = height_mm.map_or_else(String::new, |height_mm| {
            let reach_mm = FIRST_REACH_FRACTION * height_mm;
            format!(
                ", {} mm, which is a setting of {} mm",
                plain((reach_mm * 1e4).round() / 1e4),
                plain(((height_mm - reach_mm) * 1e4).round() / 1e4)
            )
        });
        let text = format!(
            "How far the tips are to reach below the cut; begin with a tenth of the height{tenth}."
        );
        common.need("penetration_below_cut_mm", "mm", &text);
    }
    if height_mm.is_none() && reach_mm.is_none() && setting_mm.is_none() {
        common.advise(
            "wear_alone",
            "For wear alone, give the blade diameter when it was set and the diameter now.",
        );
    }
}

#[cfg(test)]
mod tests;
