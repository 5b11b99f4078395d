//! Which cells were read along a reel and bedknife, and where does each station stand? Checks the
//! readings and puts strips and feeler gaps on one scale. Deliberately absent: what they mean; see
//! `gap_fit` and `paper_map`.

use super::SettingError;
use super::gap_fit::{Cell, Cells, Station};
use super::paper_map::{GapReading, StripResult};
use crate::domain::limits::{check, check_rows};

/// Gap that a strip result stands for, mm: the strip is about 0.10 mm thick (published); the rest
/// is common practice, no source.
fn strip_gap_mm(strip: StripResult) -> f64 {
    match strip {
        StripResult::Cuts => 0.05,
        StripResult::Folds => 0.08,
        StripResult::Grips => 0.10,
        StripResult::Free => 0.15,
    }
}

/// Checks every reading; true when they are strips.
pub fn check_readings(readings: &[GapReading]) -> Result<bool, SettingError> {
    check_rows("gap_mm", readings.len())?;
    let by_strip = readings.first().is_some_and(|reading| reading.strip.is_some());
    for (index, reading) in readings.iter().enumerate() {
        let field = |name: &str| format!("gap_mm[{index}].{name}");
        for (name, value) in [("blade", &reading.blade), ("station", &reading.station)] {
            if value.trim().is_empty() {
                return Err(SettingError::new(
                    field(name),
                    "empty",
                    "name every blade and station",
                ));
            }
        }
        let at = |error: SettingError| SettingError { field: field(&error.field), ..error };
        match (reading.gap_mm, reading.strip) {
            (Some(gap), None) => check("gap_mm", gap).map_err(at).map(|_| ())?,
            (None, Some(_)) => {}
            (Some(gap), Some(_)) => {
                let remedy = "give either the feeler gap or the strip result of a reading";
                return Err(SettingError::new(field("gap_mm"), gap, remedy));
            }
            (None, None) => {
                let remedy = "give the feeler gap or the strip result";
                return Err(SettingError::new(field("gap_mm"), "missing", remedy));
            }
        }
        if reading.strip.is_some() != by_strip {
            let remedy = "read all cells by feeler or all by strip; the two do not mix";
            return Err(SettingError::new(field("strip"), "mixed", remedy));
        }
        if let Some(position) = reading.station_position_mm {
            check("station_position_mm", position).map_err(at)?;
        }
    }
    Ok(by_strip)
}

/// Numbers blades and stations in the order first read, and places the stations.
pub fn place(readings: &[GapReading]) -> Result<Cells, SettingError> {
    let mut blades: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut cells = Vec::new();
    for reading in readings {
        let blade = number(&mut blades, reading.blade.trim());
        let station = number(&mut names, reading.station.trim());
        let from_strip = reading.strip.map(strip_gap_mm);
        let gap_mm = reading.gap_mm.or(from_strip).expect("one of the two was checked") + 0.0;
        cells.push(Cell { blade, station, gap_mm });
    }
    let positions = positions(readings, &names)?;
    let stations = names.into_iter().zip(positions).map(|(name, x)| Station { name, x }).collect();
    Ok(Cells { blades, stations, readings: cells })
}

fn number(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|known| known == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Places the stations from -1 to 1: by their distances, by their names, or evenly.
fn positions(readings: &[GapReading], names: &[String]) -> Result<Vec<f64>, SettingError> {
    let measured: Vec<f64> = names
        .iter()
        .filter_map(|name| readings.iter().find(|r| r.station.trim() == name))
        .filter_map(|reading| reading.station_position_mm)
        .collect();
    let known: Vec<f64> = names.iter().filter_map(|name| known_place(name)).collect();
    let places = if measured.len() == names.len() {
        spread(&measured)
    } else if !measured.is_empty() {
        let remedy = "give the distance of every station, at its first reading, or of none";
        return Err(SettingError::new("station_position_mm", "missing", remedy));
    } else if known.len() == names.len() {
        known
    } else {
        let order: Vec<f64> = (0..names.len()).map(|index| index as f64).collect();
        spread(&order)
    };
    for (index, place) in places.iter().enumerate() {
        if let Some(twin) = places[..index].iter().position(|other| other == place) {
            let remedy = format!("it stands at the same place as {}; use one name", names[twin]);
            return Err(SettingError::new("station", &names[index], remedy));
        }
    }
    Ok(places)
}

fn known_place(name: &str) -> Option<f64> {
    match name.to_lowercase().as_str() {
        "left" | "leading" => Some(-1.0),
        "middle" | "centre" | "center" => Some(0.0),
        "right" | "trailing" => Some(1.0),
        _ => None,
    }
}

/// The values moved and scaled to run from -1 to 1.
fn spread(values: &[f64]) -> Vec<f64> {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half = (high - low) / 2.0;
    let scaled = |value: &f64| if half > 0.0 { (value - low) / half - 1.0 } else { 0.0 };
    values.iter().map(scaled).collect()
}
