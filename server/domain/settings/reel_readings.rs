//! What was measured of a reel, in one list, whichever way it was given? Checks the readings and
//! counts the grindings before each. Deliberately absent: what follows from them; see `reel_wear`.

use super::SettingError;
use super::reel_wear::{DiameterReading, ReelWearInputs};
use crate::domain::limits::{check, check_given, check_list, check_rows};
use crate::domain::units::plain;

/// A diameter may read larger than the one before by this much from the measuring alone, mm
/// (common practice, no source).
const RISE_MM: f64 = 0.05;

/// One reading, with the grindings since the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    pub time_h: f64,
    /// Mean of the ends where both were read.
    pub diameter_mm: f64,
    /// Left end less right end.
    pub taper_mm: Option<f64>,
    pub grindings: u32,
}

/// All readings by hour, and the hour of the last grinding.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    pub rows: Vec<Reading>,
    pub last_grinding_h: Option<f64>,
}

impl Readings {
    /// The readings after the last grinding.
    pub fn since_grinding(&self) -> Vec<Reading> {
        let last = self.rows.last().map_or(0, |row| row.grindings);
        self.rows.iter().filter(|row| row.grindings == last).copied().collect()
    }

    /// Recorded grindings over the hours between the first reading and the last. Those of the first
    /// hour end a time that was not watched, so they do not count, unless there are no others.
    pub fn grindings_per_h(&self) -> f64 {
        let (Some(first), Some(last)) = (self.rows.first(), self.rows.last()) else { return 0.0 };
        let span = last.time_h - first.time_h;
        let of_first_hour = self.rows.iter().take_while(|row| row.time_h <= first.time_h).last();
        let before = of_first_hour.map_or(0, |row| row.grindings);
        let watched = last.grindings - before;
        let counted = if watched == 0 { last.grindings.min(1) } else { watched };
        if span > 0.0 { f64::from(counted) / span } else { 0.0 }
    }
}

/// Checks and gathers the readings.
pub fn gather(inputs: &ReelWearInputs) -> Result<Readings, SettingError> {
    let listed = !inputs.diameter_readings_mm.is_empty() || !inputs.reading_times_h.is_empty();
    if listed && !inputs.readings.is_empty() {
        let remedy = "give the readings as the two lists or as rows, not both";
        return Err(SettingError::new("readings", "both", remedy));
    }
    let readings =
        if inputs.readings.is_empty() { from_lists(inputs)? } else { from_rows(inputs)? };
    refuse_rise(&readings.rows)?;
    Ok(readings)
}

fn from_lists(inputs: &ReelWearInputs) -> Result<Readings, SettingError> {
    let diameters = check_list("diameter_readings_mm", &inputs.diameter_readings_mm)?;
    let times = check_list("reading_times_h", &inputs.reading_times_h)?;
    let mut grindings = check_list("grinding_times_h", &inputs.grinding_times_h)?;
    if diameters.len() != times.len() {
        let told = format!("{} hours for {} diameters", times.len(), diameters.len());
        let remedy = "give the hours of every diameter";
        return Err(SettingError::new("reading_times_h", told, remedy));
    }
    refuse_falling(&times, "reading_times_h")?;
    grindings.sort_by(f64::total_cmp);
    let first = times.first().copied().unwrap_or(0.0);
    let since_first = |time: f64| {
        grindings.iter().filter(|&&grinding| grinding > first && grinding <= time).count()
    };
    let row = |(&time_h, &diameter_mm): (&f64, &f64)| Reading {
        time_h,
        diameter_mm,
        taper_mm: None,
        // At most ROWS_MAX.
        grindings: since_first(time_h) as u32,
    };
    let last = times.last().copied().unwrap_or(0.0);
    let last_grinding_h = grindings.iter().copied().rfind(|&grinding| grinding <= last);
    Ok(Readings { rows: times.iter().zip(&diameters).map(row).collect(), last_grinding_h })
}

fn from_rows(inputs: &ReelWearInputs) -> Result<Readings, SettingError> {
    check_rows("readings", inputs.readings.len())?;
    if let Some(grinding) = inputs.grinding_times_h.first() {
        let remedy = "mark the readings after a grinding with after_grinding instead";
        return Err(SettingError::new("grinding_times_h", grinding, remedy));
    }
    let mut readings = Readings::default();
    let mut grindings = 0;
    for (index, reading) in inputs.readings.iter().enumerate() {
        let at = |error: SettingError| SettingError {
            field: format!("readings[{index}].{}", error.field),
            ..error
        };
        let time = reading.time_h.ok_or_else(|| {
            SettingError::new("time_h", "missing", "give the machine hours of the reading")
        });
        let time_h = time.and_then(|time| check("reel_wear.time_h", time)).map_err(at)?;
        let (diameter_mm, taper_mm) = diameter_of(reading).map_err(at)?;
        if reading.after_grinding {
            grindings += u32::from(index > 0);
            readings.last_grinding_h = Some(time_h);
        }
        readings.rows.push(Reading { time_h, diameter_mm, taper_mm, grindings });
    }
    let times: Vec<f64> = readings.rows.iter().map(|row| row.time_h).collect();
    refuse_falling(&times, "readings")?;
    Ok(readings)
}

/// The diameter of a row, and its taper when both ends were read.
fn diameter_of(reading: &DiameterReading) -> Result<(f64, Option<f64>), SettingError> {
    let diameter = check_given("diameter_mm", reading.diameter_mm)?;
    let left = check_given("left_diameter_mm", reading.left_diameter_mm)?;
    let right = check_given("right_diameter_mm", reading.right_diameter_mm)?;
    match (diameter, left, right) {
        (None, Some(left), Some(right)) => Ok((f64::midpoint(left, right), Some(left - right))),
        (Some(diameter), None, None) => Ok((diameter, None)),
        (Some(diameter), _, _) => {
            let remedy = "give one diameter or those of both ends, not a mixture";
            Err(SettingError::new("diameter_mm", diameter, remedy))
        }
        _ => {
            let remedy = "give one diameter, or those of both ends";
            Err(SettingError::new("diameter_mm", "missing", remedy))
        }
    }
}

fn refuse_falling(times: &[f64], field: &str) -> Result<(), SettingError> {
    match times.windows(2).position(|pair| pair[1] < pair[0]) {
        None => Ok(()),
        Some(index) => {
            let remedy = format!(
                "it is less than the hours before it, {}; give the readings in \
                                  the order they were taken",
                plain(times[index])
            );
            let field = format!("{field}[{}]", index + 1);
            Err(SettingError::new(field, plain(times[index + 1]), remedy))
        }
    }
}

/// A reel does not grow.
fn refuse_rise(rows: &[Reading]) -> Result<(), SettingError> {
    match rows.windows(2).position(|pair| pair[1].diameter_mm > pair[0].diameter_mm + RISE_MM) {
        None => Ok(()),
        Some(index) => {
            let remedy = format!(
                "it is larger than the {} mm before it; a reel does not grow, so start again from \
                 the new reel's first reading, or measure again",
                plain(rows[index].diameter_mm)
            );
            let field = format!("diameter_readings_mm[{}]", index + 1);
            Err(SettingError::new(field, plain(rows[index + 1].diameter_mm), remedy))
        }
    }
}

/// Taper at the last reading, or from the two ends given by themselves.
pub fn taper_now(
    inputs: &ReelWearInputs,
    readings: &Readings,
) -> Result<Option<f64>, SettingError> {
    let left = check_given("left_diameter_mm", inputs.left_diameter_mm)?;
    let right = check_given("right_diameter_mm", inputs.right_diameter_mm)?;
    let given = left.zip(right).map(|(left, right)| left - right);
    Ok(given.or_else(|| readings.rows.last().and_then(|row| row.taper_mm)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ground at the hours given, each time read before and after.
    fn ground_at(hours: &[f64]) -> Readings {
        let mut rows = Vec::new();
        for (nth, time_h) in hours.iter().enumerate() {
            for after in 0..2 {
                let grindings = nth as u32 + after;
                let (time_h, diameter_mm) = (*time_h, 126.0);
                rows.push(Reading { time_h, diameter_mm, taper_mm: None, grindings });
            }
        }
        Readings { rows, last_grinding_h: hours.last().copied() }
    }

    #[test]
    fn three_grindings_make_two_intervals() {
        // Counting by hand: two grindings in the 400 h behind the first.
        assert_eq!(ground_at(&[100.0, 300.0, 500.0]).grindings_per_h(), 2.0 / 400.0);
        assert_eq!(ground_at(&[100.0]).grindings_per_h(), 0.0, "no hours between");
        let mut one = ground_at(&[100.0]);
        one.rows.push(Reading { time_h: 300.0, ..one.rows[1] });
        assert_eq!(one.grindings_per_h(), 1.0 / 200.0, "the only one stands for an interval");
    }
}
