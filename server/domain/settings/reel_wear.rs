//! How fast does a reel wear, how tapered is it, how long until it is scrapped, and when is it next
//! ground? Wear by hours is told apart from what each grinding takes. Deliberately absent: the
//! diameter at which a reel is scrapped; that is in the machine's manual.

use super::least_squares::{Fit, NoFit, fit};
use super::reel_readings::{Readings, gather, taper_now};
use super::reel_taper::{describe_taper, next_grind};
use super::special_functions::rising_root;
use super::student::student_factor;
use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct DiameterReading {
    pub time_h: Option<f64>,
    pub diameter_mm: Option<f64>,
    pub left_diameter_mm: Option<f64>,
    pub right_diameter_mm: Option<f64>,
    /// The reel was ground after the reading before and before this one.
    pub after_grinding: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReelWearInputs {
    pub diameter_readings_mm: Vec<f64>,
    pub reading_times_h: Vec<f64>,
    pub grinding_times_h: Vec<f64>,
    pub readings: Vec<DiameterReading>,
    pub minimum_diameter_mm: Option<f64>,
    pub left_diameter_mm: Option<f64>,
    pub right_diameter_mm: Option<f64>,
    pub taper_limit_mm: Option<f64>,
    pub grinding_interval_h: Option<f64>,
    pub confidence_fraction: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReelWearAnswer {
    pub wear_rate_mm_per_h: Option<f64>,
    pub wear_rate_standard_error_mm_per_h: Option<f64>,
    pub grinding_loss_mm: Option<f64>,
    pub remaining_life_h: Option<f64>,
    pub remaining_life_low_h: Option<f64>,
    pub remaining_life_high_h: Option<f64>,
    pub taper_mm: Option<f64>,
    pub next_grind_h: Option<f64>,
    pub residual_sd_mm: Option<f64>,
    pub degrees_of_freedom: Option<usize>,
    pub common: Common,
}

const SHARE_DEFAULT: f64 = 0.95;
/// Taper at which a reel is ground (0.010 in; from memory, agrees with trade texts).
const TAPER_LIMIT_MM: f64 = 0.25;
/// Hours beyond which an end of an interval says nothing.
const HOURS_MAX: f64 = 1e6;

/// The fitted wear. Hours run from the last reading, so they are under zero in the data.
struct Wear {
    fit: Fit,
    /// Grindings an hour from now on; `None` when grinding is not told apart from wear.
    grindings_per_h: Option<f64>,
    confidence: f64,
    /// Student's factor times the scatter; `None` with nothing to spare.
    reach: Option<f64>,
}

impl Wear {
    fn new(fit: Fit, grindings_per_h: Option<f64>, confidence: f64) -> Wear {
        let degrees = fit.degrees_of_freedom as f64;
        let reach = fit.residual_sd().map(|sd| sd * student_factor(confidence, degrees));
        Wear { fit, grindings_per_h, confidence, reach }
    }

    /// The columns of a moment so many hours after the last reading.
    fn row(&self, hours: f64) -> Vec<f64> {
        let mut row = vec![1.0, hours];
        row.extend(self.grindings_per_h.map(|per_h| per_h * hours));
        row
    }

    fn diameter(&self, hours: f64) -> f64 {
        self.fit.value_at(&self.row(hours))
    }

    /// Change of diameter in an hour, grinding included.
    fn slope(&self) -> f64 {
        self.diameter(1.0) - self.diameter(0.0)
    }

    /// Half the prediction interval of one reading; `None` with nothing to spare.
    fn within(&self, hours: f64) -> Option<f64> {
        Some(self.reach? * (1.0 + self.fit.leverage(&self.row(hours))).sqrt())
    }

    /// Hours until the diameter, moved by `side` half intervals, is down to the minimum.
    fn hours_to(&self, minimum: f64, side: f64) -> Option<f64> {
        let left = |hours: f64| {
            let within = if side == 0.0 { 0.0 } else { self.within(hours)? };
            Some(self.diameter(hours) + side * within - minimum)
        };
        if left(0.0)? <= 0.0 {
            return Some(0.0);
        }
        let mut high = 1.0;
        while left(high)? > 0.0 {
            high *= 2.0;
            if high > HOURS_MAX {
                return None;
            }
        }
        Some(rising_root(|hours| -left(hours).unwrap_or(0.0), 0.0, high))
    }
}

/// Wear, taper, remaining life and next grinding from a reel's diameters.
pub fn reel_wear(inputs: &ReelWearInputs) -> Result<ReelWearAnswer, SettingError> {
    let minimum = check_given("minimum_diameter_mm", inputs.minimum_diameter_mm)?;
    let limit = check_given("taper_limit_mm", inputs.taper_limit_mm)?.unwrap_or(TAPER_LIMIT_MM);
    let interval = check_given("grinding_interval_h", inputs.grinding_interval_h)?;
    let confidence = check_given("confidence_fraction", inputs.confidence_fraction)?;
    let readings = gather(inputs)?;
    let taper_mm = taper_now(inputs, &readings)?;
    let mut answer = ReelWearAnswer { taper_mm, ..Default::default() };
    let wear = fit_wear(&readings, interval, confidence.unwrap_or(SHARE_DEFAULT), &mut answer)?;
    if wear.is_none() && answer.taper_mm.is_none() {
        name_missing(&readings, inputs, &mut answer.common);
        return Ok(answer);
    }
    if let Some(wear) = &wear {
        describe_wear(wear, &mut answer);
        match minimum {
            Some(minimum) => remaining_life(wear, minimum, &mut answer),
            None => answer.common.advise(
                "minimum_not_given",
                "Give the diameter at which the reel is scrapped, from the machine's manual, to be \
                 told the hours left.",
            ),
        }
    }
    describe_taper(limit, &mut answer);
    next_grind(&readings, interval, limit, &mut answer);
    conclude(minimum, limit, &mut answer);
    Ok(answer)
}

/// Fits the wear when there are readings enough; `None` when there are not.
fn fit_wear(
    readings: &Readings,
    interval: Option<f64>,
    confidence: f64,
    answer: &mut ReelWearAnswer,
) -> Result<Option<Wear>, SettingError> {
    let Some(last) = readings.rows.last() else { return Ok(None) };
    let diameters: Vec<f64> = readings.rows.iter().map(|row| row.diameter_mm).collect();
    let plain_rows: Vec<Vec<f64>> =
        readings.rows.iter().map(|row| vec![1.0, row.time_h - last.time_h]).collect();
    let same_hour = || {
        let remedy = "all readings are of the same hour; wear needs readings hours apart";
        SettingError::new("reading_times_h", plain(last.time_h), remedy)
    };
    if readings.rows.len() < 2 {
        return Ok(None);
    }
    if last.grindings > 0 {
        let with_grinding: Vec<Vec<f64>> = plain_rows
            .iter()
            .zip(&readings.rows)
            .map(|(row, reading)| {
                let grindings = f64::from(reading.grindings) - f64::from(last.grindings);
                vec![row[0], row[1], grindings]
            })
            .collect();
        match fit(&with_grinding, &diameters) {
            Ok(fit) => {
                let per_h =
                    interval.map_or_else(|| readings.grindings_per_h(), |hours| 1.0 / hours);
                return Ok(Some(Wear::new(fit, Some(per_h), confidence)));
            }
            Err(NoFit::Dependent { column: 1 }) => return Err(same_hour()),
            Err(_) => answer.common.advise(
                "grinding_not_told_apart",
                "Wear and grinding cannot be told apart from these readings, so the loss an hour \
                 includes both. Read the diameter before and after a grinding.",
            ),
        }
    }
    match fit(&plain_rows, &diameters) {
        Ok(fit) => Ok(Some(Wear::new(fit, None, confidence))),
        Err(_) => Err(same_hour()),
    }
}

fn name_missing(readings: &Readings, inputs: &ReelWearInputs, common: &mut Common) {
    if inputs.left_diameter_mm.is_some() {
        common.need("right_diameter_mm", "mm", "the diameter at the right end, for the taper");
    } else if inputs.right_diameter_mm.is_some() {
        common.need("left_diameter_mm", "mm", "the diameter at the left end, for the taper");
    } else {
        let count = readings.rows.len();
        let why = format!("diameters at two or more different hours; there are {count}");
        common.need("diameter_readings_mm", "mm", why);
        common.need("reading_times_h", "h", "the machine hours of those diameters");
    }
}

fn describe_wear(wear: &Wear, answer: &mut ReelWearAnswer) {
    // A rate of exactly zero is written without a sign.
    let rate = -wear.fit.coefficients[1] + 0.0;
    let common = &mut answer.common;
    common.step(
        "Diameter lost in an hour of work (slope of the straight line through the readings)",
        format!("least squares over {} readings", wear.fit.residuals.len()),
        rate,
        "mm/h",
        "geometry",
    );
    answer.wear_rate_mm_per_h = Some(rate);
    answer.wear_rate_standard_error_mm_per_h = wear.fit.standard_error(1);
    answer.residual_sd_mm = wear.fit.residual_sd();
    answer.degrees_of_freedom = Some(wear.fit.degrees_of_freedom);
    if let Some(per_h) = wear.grindings_per_h {
        let loss = -wear.fit.coefficients[2] + 0.0;
        common.step("Diameter lost to one grinding", "least squares", loss, "mm", "geometry");
        common.step(
            "Loss in an hour with grinding shared out = wear + loss × grindings an hour",
            format!("{} + {} × {}", plain(rate), plain(loss), plain(per_h)),
            -wear.slope(),
            "mm/h",
            "",
        );
        answer.grinding_loss_mm = Some(loss);
    }
    if let Some(sd) = answer.residual_sd_mm {
        let text =
            format!("Scatter about the line, {} degree(s) of freedom", wear.fit.degrees_of_freedom);
        let squares = plain(wear.fit.sum_of_squares());
        let expression = format!("√({squares} / {})", wear.fit.degrees_of_freedom);
        common.step(text, expression, sd, "mm", "");
    } else {
        common.advise(
            "no_interval",
            "With as many unknowns as readings nothing tells how sure the line is; another reading \
             will.",
        );
    }
}

fn remaining_life(wear: &Wear, minimum: f64, answer: &mut ReelWearAnswer) {
    let now = wear.diameter(0.0);
    let slope = wear.slope();
    let common = &mut answer.common;
    if now <= minimum {
        answer.remaining_life_h = Some(0.0);
        common.step(
            "Diameter left above the minimum",
            format!("{} - {}", plain(now), plain(minimum)),
            now - minimum,
            "mm",
            "",
        );
        return;
    }
    if slope >= 0.0 {
        common.advise(
            "no_wear_shows",
            "The readings show no wear, so no end of life can be told from them.",
        );
        return;
    }
    let hours = (now - minimum) / -slope;
    common.step(
        "Hours left = (diameter on the line now - minimum) / loss in an hour",
        format!("({} - {}) / {}", plain(now), plain(minimum), plain(-slope)),
        hours,
        "h",
        "geometry",
    );
    answer.remaining_life_h = Some(hours);
    answer.remaining_life_low_h = wear.hours_to(minimum, -1.0);
    answer.remaining_life_high_h = wear.hours_to(minimum, 1.0);
    let share = decimal(100.0 * wear.confidence, 1);
    if let (Some(reach), Some(sd)) = (wear.reach, wear.fit.residual_sd()) {
        let factor = student_factor(wear.confidence, wear.fit.degrees_of_freedom as f64);
        common.step(
            format!("Student's t for {share} % × scatter"),
            format!("{} × {}", plain(factor), plain(sd)),
            reach,
            "mm",
            "normal_model",
        );
    }
    let reach = plain(wear.reach.unwrap_or(0.0));
    if let Some(low) = answer.remaining_life_low_h {
        common.step(
            format!("Lower end: where the {share} % prediction interval first meets the minimum"),
            format!("line - {reach} × √(1 + leverage) = {}", plain(minimum)),
            low,
            "h",
            "normal_model",
        );
    }
    match answer.remaining_life_high_h {
        Some(high) => common.step(
            "Upper end: where it last meets the minimum",
            format!("line + {reach} × √(1 + leverage) = {}", plain(minimum)),
            high,
            "h",
            "normal_model",
        ),
        None if wear.fit.degrees_of_freedom > 0 => common.advise(
            "life_open_above",
            "The readings are too few or too scattered to set an upper end to the life.",
        ),
        None => {}
    }
}

fn conclude(minimum: Option<f64>, limit: f64, answer: &mut ReelWearAnswer) {
    for id in ["isolate_drive", "turn_reel_by_tool", "hands_clear_of_reel", "cut_gloves_stationary"]
    {
        answer.common.caution(id);
    }
    if let Some(hours) = answer.remaining_life_h {
        let told = match (answer.remaining_life_low_h, answer.remaining_life_high_h) {
            _ if hours == 0.0 => format!(
                "The reel is at or under its minimum of {} mm: replace it.",
                plain(minimum.unwrap_or(0.0))
            ),
            (Some(low), Some(high)) => format!(
                "About {} hours left, between {} and {}.",
                decimal(hours, 0),
                decimal(low, 0),
                decimal(high, 0)
            ),
            (Some(low), None) => {
                format!("About {} hours left, at least {}.", decimal(hours, 0), decimal(low, 0))
            }
            _ => format!("About {} hours left; nothing tells how sure.", decimal(hours, 0)),
        };
        answer.common.conclude("remaining_life_h", told);
    } else if let Some(rate) = answer.wear_rate_mm_per_h {
        let told = format!("The reel loses {} mm in 100 hours of work.", decimal(100.0 * rate, 3));
        answer.common.conclude("wear_rate_mm_per_h", told);
    } else if let Some(taper) = answer.taper_mm {
        let verdict = if taper.abs() > limit { "over" } else { "inside" };
        let told = format!(
            "The taper is {} mm, {verdict} the limit of {} mm.",
            decimal(taper.abs(), 3),
            decimal(limit, 3)
        );
        answer.common.conclude("taper_mm", told);
    }
}

#[cfg(test)]
mod tests;
