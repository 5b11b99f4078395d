//! When is a part next due, from this shop's own failures and survivors, and how sure is that?
//! Three kinds of history: parts that end (Weibull), one machine that is mended and runs on (power
//! law), a bare count (steady rate). Deliberately absent: a guess where the readings are too few;
//! then the answer says so, or widens its interval.

mod ended_parts;
mod mended_machine;
mod steady_rate;

use super::life_table::Row;
use super::weibull::Lifetimes;
use super::{Common, SettingError};
use crate::domain::limits::{check_given, check_list};
use crate::domain::units::{decimal, plain};

/// From this many failures a fit stands by itself; under it a prior helps (common practice).
pub const FAILURES_FOR_A_FIT: usize = 5;
pub const USUAL_FAILURE_FRACTION: f64 = 0.10;
pub const USUAL_CONFIDENCE: f64 = 0.90;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct ServiceIntervalInputs {
    pub failure_times_h: Vec<f64>,
    pub still_running_times_h: Vec<f64>,
    pub survived_time_h: Option<f64>,
    pub horizon_h: Option<f64>,
    pub allowed_failure_fraction: Option<f64>,
    pub confidence_fraction: Option<f64>,
    pub repair_times_h: Vec<f64>,
    pub watched_time_h: Option<f64>,
    pub expected_life_h: Option<f64>,
    pub event_count: Option<f64>,
    pub exposure_h: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct ServiceIntervalAnswer {
    pub next_due_h: Option<f64>,
    pub next_due_low_h: Option<f64>,
    pub next_due_high_h: Option<f64>,
    pub b10_life_h: Option<f64>,
    pub shape: Option<f64>,
    pub scale_h: Option<f64>,
    pub mean_life_h: Option<f64>,
    pub failure_probability: Option<f64>,
    pub estimator: &'static str,
    pub failure_count: Option<u32>,
    pub mean_life_low_h: Option<f64>,
    pub mean_life_high_h: Option<f64>,
    pub survival_rows: Vec<Row>,
    pub growth_exponent: Option<f64>,
    pub growth_coefficient: Option<f64>,
    pub steady_rate_probability: Option<f64>,
    pub plain_mean_life_h: Option<f64>,
    pub common: Common,
}

/// What is asked of any history.
struct Question {
    survived_h: f64,
    horizon_h: Option<f64>,
    allowed: f64,
    confidence: f64,
    expected_life_h: Option<f64>,
}

pub fn service_interval(
    inputs: &ServiceIntervalInputs,
) -> Result<ServiceIntervalAnswer, SettingError> {
    let lifetimes = Lifetimes {
        failures_h: check_list("failure_times_h", &inputs.failure_times_h)?,
        survivors_h: check_list("still_running_times_h", &inputs.still_running_times_h)?,
    };
    let mut repairs_h = check_list("repair_times_h", &inputs.repair_times_h)?;
    repairs_h.sort_by(f64::total_cmp);
    let watched_h = check_given("watched_time_h", inputs.watched_time_h)?;
    let events = check_given("event_count", inputs.event_count)?;
    let exposure_h = check_given("exposure_h", inputs.exposure_h)?;
    let allowed = check_given("allowed_failure_fraction", inputs.allowed_failure_fraction)?;
    let confidence = check_given("confidence_fraction", inputs.confidence_fraction)?;
    let question = Question {
        survived_h: check_given("survived_time_h", inputs.survived_time_h)?.unwrap_or(0.0),
        horizon_h: check_given("horizon_h", inputs.horizon_h)?,
        allowed: allowed.unwrap_or(USUAL_FAILURE_FRACTION),
        confidence: confidence.unwrap_or(USUAL_CONFIDENCE),
        expected_life_h: check_given("expected_life_h", inputs.expected_life_h)?,
    };

    let ends = !lifetimes.failures_h.is_empty() || !lifetimes.survivors_h.is_empty();
    let mended = !repairs_h.is_empty() || watched_h.is_some();
    let counted = events.is_some() || exposure_h.is_some();
    if mended && (ends || counted) || ends && counted {
        let field = if mended { "repair_times_h" } else { "event_count" };
        let remedy = "give one kind of history: lives of parts, repairs of one machine, or a count";
        return Err(SettingError::new(field, "given beside another kind of history", remedy));
    }
    let mut answer = ServiceIntervalAnswer::default();
    if mended {
        mended_machine::answer(&mut answer, &question, &repairs_h, watched_h)?;
    } else if counted {
        steady_rate::answer_count(&mut answer, &question, events, exposure_h)?;
    } else if ends {
        ended_parts::answer(&mut answer, &question, &lifetimes);
    } else {
        let why =
            "Hours at which parts of this kind failed; hours of those still running count too.";
        answer.common.need("failure_times_h", "h", why);
    }
    Ok(answer)
}

/// Adds the chance of failing within the horizon, when it was asked.
fn say_chance(words: &mut String, chance: Option<f64>, horizon_h: Option<f64>) {
    if let (Some(chance), Some(horizon_h)) = (chance, horizon_h) {
        let share = decimal(100.0 * chance, 1);
        let hours = plain(horizon_h);
        words.push_str(&format!(" It fails within the next {hours} h with {share} % chance."));
    }
}

fn percent(fraction: f64) -> String {
    decimal(100.0 * fraction, 1)
}

#[cfg(test)]
mod tests;
