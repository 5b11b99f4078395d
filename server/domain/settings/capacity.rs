//! How much is mown in an hour, how long does an area take, and what width, speed or efficiency
//! would a time need? Rate = 0.36 * speed * (width - overlap) * efficiency, in hectares an hour.
//! Deliberately absent: a default efficiency; it differs too much from a green to a fairway.

use super::{Common, SettingError};
use crate::domain::limits::{check, check_given};
use crate::domain::units::{decimal, plain};

/// One metre a second over one metre of width: 3600 m2 in an hour, 0.36 ha.
const HECTARES_PER_HOUR: f64 = 0.36;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct FieldCapacityInputs {
    pub working_width_mm: Option<f64>,
    pub overlap_mm: Option<f64>,
    pub ground_speed_mps: Option<f64>,
    pub field_efficiency_fraction: Option<f64>,
    pub area_ha: Option<f64>,
    pub time_h: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct FieldCapacityAnswer {
    pub field_capacity_ha_per_h: Option<f64>,
    pub time_h: Option<f64>,
    pub area_ha: Option<f64>,
    /// Only when solved for.
    pub ground_speed_mps: Option<f64>,
    /// Only when solved for.
    pub working_width_mm: Option<f64>,
    /// Only when solved for.
    pub field_efficiency_fraction: Option<f64>,
    pub common: Common,
}

pub fn field_capacity(inputs: &FieldCapacityInputs) -> Result<FieldCapacityAnswer, SettingError> {
    let given = FieldCapacityInputs {
        working_width_mm: check_given("working_width_mm", inputs.working_width_mm)?,
        overlap_mm: check_given("overlap_mm", inputs.overlap_mm)?,
        ground_speed_mps: check_given("ground_speed_mps", inputs.ground_speed_mps)?,
        field_efficiency_fraction: check_given(
            "field_efficiency_fraction",
            inputs.field_efficiency_fraction,
        )?,
        area_ha: check_given("area_ha", inputs.area_ha)?,
        time_h: check_given("time_h", inputs.time_h)?,
    };
    let mut answer = FieldCapacityAnswer::default();
    let net_m = net_width_m(&mut answer.common, &given)?;
    match (net_m, given.ground_speed_mps, given.field_efficiency_fraction) {
        (Some(net_m), Some(speed_mps), Some(efficiency)) => {
            forward(&mut answer, &given, net_m, speed_mps, efficiency);
        }
        (net_m, speed_mps, efficiency) => {
            let unknown = [net_m, speed_mps, efficiency].iter().filter(|one| one.is_none()).count();
            match (unknown, given.area_ha, given.time_h) {
                (1, Some(area_ha), Some(time_h)) => {
                    let rate = needed_rate(&mut answer, area_ha, time_h);
                    backward(&mut answer, &given, net_m, rate)?;
                }
                _ => ask(&mut answer.common, &given, net_m),
            }
        }
    }
    if !answer.common.answer.is_empty() && given.overlap_mm.is_none() {
        answer.common.advise(
            "no_overlap",
            "No overlap was given, so none is taken off the width. Most work loses some.",
        );
    }
    Ok(answer)
}

fn net_width_m(
    common: &mut Common,
    given: &FieldCapacityInputs,
) -> Result<Option<f64>, SettingError> {
    let Some(width_mm) = given.working_width_mm else {
        return Ok(None);
    };
    let overlap_mm = given.overlap_mm.unwrap_or(0.0);
    if overlap_mm >= width_mm {
        let remedy = format!("it must be under the working width, {} mm", plain(width_mm));
        return Err(SettingError::new("overlap_mm", overlap_mm, remedy));
    }
    let net_m = (width_mm - overlap_mm) / 1_000.0;
    common.step(
        "width that counts = working width - overlap",
        format!("({} - {}) / 1000", plain(width_mm), plain(overlap_mm)),
        net_m,
        "m",
        "geometry",
    );
    Ok(Some(net_m))
}

fn forward(
    answer: &mut FieldCapacityAnswer,
    given: &FieldCapacityInputs,
    net_m: f64,
    speed_mps: f64,
    efficiency: f64,
) {
    let common = &mut answer.common;
    let rate = HECTARES_PER_HOUR * speed_mps * net_m * efficiency;
    common.step(
        "rate = 0.36 * speed * width * efficiency",
        format!("0.36 * {} * {} * {}", plain(speed_mps), plain(net_m), plain(efficiency)),
        rate,
        "ha/h",
        "asabe_ep496",
    );
    answer.field_capacity_ha_per_h = Some(rate);
    let hourly = format!("{} ha an hour", decimal(rate, 3));
    match (given.area_ha, given.time_h) {
        (Some(area_ha), limit_h) => {
            let time_h = time_for(common, area_ha, rate);
            answer.time_h = Some(time_h);
            answer.area_ha = Some(area_ha);
            let enough = limit_h.map_or(String::new(), |limit_h| {
                let fits = if time_h <= limit_h { "inside" } else { "over" };
                format!(" That is {fits} the {} h given.", decimal(limit_h, 2))
            });
            let words = format!(
                "It takes {} to mow {} ha, at {hourly}.{enough}",
                clock(time_h),
                decimal(area_ha, 2)
            );
            common.conclude("time_h", words);
        }
        (None, Some(time_h)) => {
            let area_ha = rate * time_h;
            common.step(
                "area = rate * time",
                format!("{} * {}", plain(rate), plain(time_h)),
                area_ha,
                "ha",
                "",
            );
            answer.area_ha = Some(area_ha);
            answer.time_h = Some(time_h);
            let words = format!("{} mows {} ha, at {hourly}.", clock(time_h), decimal(area_ha, 2));
            common.conclude("area_ha", words);
        }
        (None, None) => {
            common.conclude("field_capacity_ha_per_h", format!("It mows {hourly}."));
        }
    }
}

fn time_for(common: &mut Common, area_ha: f64, rate: f64) -> f64 {
    let time_h = area_ha / rate;
    common.step(
        "time = area / rate",
        format!("{} / {}", plain(area_ha), plain(rate)),
        time_h,
        "h",
        "",
    );
    time_h
}

fn needed_rate(answer: &mut FieldCapacityAnswer, area_ha: f64, time_h: f64) -> f64 {
    let rate = area_ha / time_h;
    answer.common.step(
        "rate needed = area / time",
        format!("{} / {}", plain(area_ha), plain(time_h)),
        rate,
        "ha/h",
        "asabe_ep496",
    );
    answer.field_capacity_ha_per_h = Some(rate);
    answer.area_ha = Some(area_ha);
    answer.time_h = Some(time_h);
    rate
}

fn too_little_time(given: &FieldCapacityInputs) -> SettingError {
    let remedy = "no mower could do the area in that time; allow more time, or give a wider or \
                  faster machine";
    SettingError::new("time_h", given.time_h.unwrap_or_default(), remedy)
}

/// Solves for the one of width, speed and efficiency that was left out.
fn backward(
    answer: &mut FieldCapacityAnswer,
    given: &FieldCapacityInputs,
    net_m: Option<f64>,
    rate: f64,
) -> Result<(), SettingError> {
    let too_much = |_: SettingError| too_little_time(given);
    let common = &mut answer.common;
    match (net_m, given.ground_speed_mps, given.field_efficiency_fraction) {
        (None, Some(speed_mps), Some(efficiency)) => {
            let overlap_mm = given.overlap_mm.unwrap_or(0.0);
            let net = rate / (HECTARES_PER_HOUR * speed_mps * efficiency);
            let width = check("working_width_mm", 1_000.0 * net + overlap_mm).map_err(too_much)?;
            common.step(
                "width = 1000 * rate / (0.36 * speed * efficiency) + overlap",
                format!(
                    "1000 * {} / (0.36 * {} * {}) + {}",
                    plain(rate),
                    plain(speed_mps),
                    plain(efficiency),
                    plain(overlap_mm)
                ),
                width,
                "mm",
                "asabe_ep496",
            );
            answer.working_width_mm = Some(width);
            let words = format!("A working width of {} mm is needed.", decimal(width, 0));
            common.conclude("working_width_mm", words);
        }
        (Some(net_m), None, Some(efficiency)) => {
            let speed = rate / (HECTARES_PER_HOUR * net_m * efficiency);
            let speed = check("ground_speed_mps", speed).map_err(too_much)?;
            common.step(
                "speed = rate / (0.36 * width * efficiency)",
                format!("{} / (0.36 * {} * {})", plain(rate), plain(net_m), plain(efficiency)),
                speed,
                "m/s",
                "asabe_ep496",
            );
            answer.ground_speed_mps = Some(speed);
            let kmh = decimal(3.6 * speed, 1);
            let words = format!("Drive at {} m/s ({kmh} km/h).", decimal(speed, 2));
            common.conclude("ground_speed_mps", words);
            common.advise(
                "speed_and_cut",
                "A faster reel mower cuts further apart: check the clip before driving faster.",
            );
        }
        (Some(net_m), Some(speed_mps), None) => {
            let efficiency = rate / (HECTARES_PER_HOUR * speed_mps * net_m);
            let efficiency = check("field_efficiency_fraction", efficiency).map_err(too_much)?;
            common.step(
                "efficiency = rate / (0.36 * speed * width)",
                format!("{} / (0.36 * {} * {})", plain(rate), plain(speed_mps), plain(net_m)),
                efficiency,
                "",
                "asabe_ep496",
            );
            answer.field_efficiency_fraction = Some(efficiency);
            let share = decimal(100.0 * efficiency, 0);
            let words = format!("The machine mowed at full width for {share} % of the time.");
            common.conclude("field_efficiency_fraction", words);
        }
        _ => {}
    }
    Ok(())
}

/// Between these the published rows of farm mowers lie (from memory).
const FARM_MOWERS: (f64, f64) = (0.75, 0.90);

/// What it comes to with no time lost and as farm mowers run, where only the efficiency lacks.
fn without_efficiency(given: &FieldCapacityInputs, net_m: Option<f64>) -> Option<String> {
    let rate = HECTARES_PER_HOUR * given.ground_speed_mps? * net_m?;
    let told = |share: f64| match (given.area_ha, given.time_h) {
        (Some(area_ha), _) => clock(area_ha / (rate * share)),
        (None, Some(time_h)) => format!("{} ha", decimal(rate * share * time_h, 2)),
        (None, None) => format!("{} ha an hour", decimal(rate * share, 2)),
    };
    let (low, high) = FARM_MOWERS;
    let (least, most) = (told(high), told(low));
    Some(format!(
        "With no time lost it comes to {}; at the {} to {} of farm mowers (from memory of the \
         published rows) {least} to {most}. Turning, emptying and greens lose far more.",
        told(1.0),
        decimal(high, 2),
        decimal(low, 2)
    ))
}

fn ask(common: &mut Common, given: &FieldCapacityInputs, net_m: Option<f64>) {
    if given.working_width_mm.is_none() {
        common.need("working_width_mm", "mm", "The width of all units or blades together.");
    }
    if given.ground_speed_mps.is_none() {
        common.need("ground_speed_mps", "m/s", "Time the machine over a measured distance.");
    }
    if given.field_efficiency_fraction.is_none() {
        common.cite("asabe_d497");
        let known = without_efficiency(given, net_m).unwrap_or_else(|| {
            "Farm mowers run at 0.75 to 0.90 (from memory of the published rows); turning, emptying \
             and greens bring it far lower."
                .to_owned()
        });
        let why = format!("The share of the time spent mowing at full width. {known}");
        common.need("field_efficiency_fraction", "", why);
    }
}

/// Hours and minutes, as a day is planned.
fn clock(time_h: f64) -> String {
    let minutes = (60.0 * time_h).round();
    let (hours, minutes) = ((minutes / 60.0).floor(), minutes % 60.0);
    if hours == 0.0 { format!("{minutes} min") } else { format!("{hours} h {minutes} min") }
}

#[cfg(test)]
mod tests;
