//! What offset, tilt, bow and blade errors do the readings along a reel and bedknife hold? Least
//! squares on gap = mean + tilt·x + bow·x² + blade, x from -1 at one end to 1 at the other.
//! Deliberately absent: what to do about it; see `paper_map`.

use super::least_squares::{Fit, NoFit, fit};

/// The readings, by blade and station in the order first read.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    pub blades: Vec<String>,
    pub stations: Vec<Station>,
    pub readings: Vec<Cell>,
}

/// A place along the bedknife, `x` from -1 at one end to 1 at the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    pub name: String,
    pub x: f64,
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    pub blade: usize,
    pub station: usize,
    pub gap_mm: f64,
}

/// A number and its standard error, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    pub value: f64,
    pub error: f64,
}

/// What the readings hold, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct GapFit {
    pub mean: f64,
    /// Fitted gap at the ends, over all blades.
    pub low_end: f64,
    pub high_end: f64,
    /// Gap at the high end less gap at the low end.
    pub tilt: Estimate,
    /// Gap in the middle less the line between the ends.
    pub bow: Estimate,
    /// Gap of each blade less the middle blade's.
    pub blades: Vec<Estimate>,
    pub residuals: Vec<f64>,
    pub residual_sd: f64,
    pub degrees_of_freedom: usize,
    /// Scatter between repeats of one cell.
    pub repeat_sd: Option<f64>,
    /// Mean residual at each station.
    pub station_residuals: Vec<f64>,
}

/// Columns before those of the blades.
const ALONG: usize = 3;

/// Fits the readings; `Err` when the cells read do not tell the parts from each other.
pub fn fit_gaps(cells: &Cells) -> Result<GapFit, NoFit> {
    let rows: Vec<Vec<f64>> = cells.readings.iter().map(|cell| columns(cells, cell)).collect();
    let gaps: Vec<f64> = cells.readings.iter().map(|cell| cell.gap_mm).collect();
    let fitted = fit(&rows, &gaps)?;
    let residual_sd = fitted.residual_sd().ok_or(NoFit::TooFewReadings)?;
    let [level, slope, curve] = [0, 1, 2].map(|column| fitted.coefficients[column]);
    let error = |column: usize| fitted.standard_error(column).unwrap_or(0.0);
    Ok(GapFit {
        mean: mean_over_stations(cells, &fitted),
        low_end: level - slope + curve,
        high_end: level + slope + curve,
        tilt: Estimate { value: 2.0 * slope, error: 2.0 * error(1) },
        bow: Estimate { value: -curve, error: error(2) },
        blades: blade_errors(cells, &fitted, residual_sd),
        station_residuals: station_means(cells, &fitted.residuals),
        repeat_sd: repeat_sd(cells),
        residual_sd,
        degrees_of_freedom: fitted.degrees_of_freedom,
        residuals: fitted.residuals,
    })
}

/// Blade columns sum to zero over the blades, so the rest describes the mean blade.
fn columns(cells: &Cells, cell: &Cell) -> Vec<f64> {
    let x = cells.stations[cell.station].x;
    let mut row = vec![1.0, x, x * x];
    row.extend(blade_columns(cells.blades.len(), cell.blade));
    row
}

fn blade_columns(count: usize, blade: usize) -> impl Iterator<Item = f64> {
    let last = blade == count - 1;
    (0..count - 1).map(move |column| match (last, column == blade) {
        (true, _) => -1.0,
        (false, true) => 1.0,
        (false, false) => 0.0,
    })
}

fn mean_over_stations(cells: &Cells, fitted: &Fit) -> f64 {
    let count = cells.stations.len() as f64;
    let x: f64 = cells.stations.iter().map(|station| station.x).sum::<f64>() / count;
    let square: f64 = cells.stations.iter().map(|station| station.x.powi(2)).sum::<f64>() / count;
    fitted.coefficients[0] + fitted.coefficients[1] * x + fitted.coefficients[2] * square
}

/// Each blade against the middle one: a single bad blade then stands alone, and does not make all
/// the others look bad by pulling the mean.
fn blade_errors(cells: &Cells, fitted: &Fit, residual_sd: f64) -> Vec<Estimate> {
    let count = cells.blades.len();
    let effects: Vec<Estimate> = (0..count)
        .map(|blade| {
            let mut combination = vec![0.0; ALONG];
            combination.extend(blade_columns(count, blade));
            Estimate {
                value: fitted.value_at(&combination),
                error: fitted.standard_error_of(&combination, residual_sd),
            }
        })
        .collect();
    let middle = median(effects.iter().map(|effect| effect.value).collect());
    effects.iter().map(|effect| Estimate { value: effect.value - middle, ..*effect }).collect()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let (low, high) = ((values.len() - 1) / 2, values.len() / 2);
    (values[low] + values[high]) / 2.0
}

fn station_means(cells: &Cells, residuals: &[f64]) -> Vec<f64> {
    (0..cells.stations.len())
        .map(|station| {
            let here: Vec<f64> = cells
                .readings
                .iter()
                .zip(residuals)
                .filter(|(cell, _)| cell.station == station)
                .map(|(_, residual)| *residual)
                .collect();
            here.iter().sum::<f64>() / here.len() as f64
        })
        .collect()
}

/// Pooled standard deviation inside the cells that were read more than once.
fn repeat_sd(cells: &Cells) -> Option<f64> {
    let (mut squares, mut spare) = (0.0, 0_usize);
    for blade in 0..cells.blades.len() {
        for station in 0..cells.stations.len() {
            let here: Vec<f64> = cells
                .readings
                .iter()
                .filter(|cell| cell.blade == blade && cell.station == station)
                .map(|cell| cell.gap_mm)
                .collect();
            let mean = here.iter().sum::<f64>() / here.len() as f64;
            squares += here.iter().map(|gap| (gap - mean).powi(2)).sum::<f64>();
            spare += here.len().saturating_sub(1);
        }
    }
    (spare > 0).then(|| (squares / spare as f64).sqrt())
}

/// Height of the one wave round the reel that fits the blade errors, and the share of them that it
/// explains. A bent shaft or a worn bearing makes such a wave; a bad blade does not.
pub fn wave_round_reel(blades: &[Estimate]) -> Option<(f64, f64)> {
    const BLADES_MIN: usize = 5;
    if blades.len() < BLADES_MIN {
        return None;
    }
    let step = std::f64::consts::TAU / blades.len() as f64;
    let rows: Vec<Vec<f64>> = (0..blades.len())
        .map(|blade| {
            let (sine, cosine) = (step * blade as f64).sin_cos();
            vec![1.0, sine, cosine]
        })
        .collect();
    let errors: Vec<f64> = blades.iter().map(|blade| blade.value).collect();
    let mean = errors.iter().sum::<f64>() / errors.len() as f64;
    let total: f64 = errors.iter().map(|error| (error - mean).powi(2)).sum();
    let fitted = fit(&rows, &errors).ok()?;
    let explained = 1.0 - fitted.sum_of_squares() / total;
    let height = fitted.coefficients[1].hypot(fitted.coefficients[2]);
    (total > 0.0).then_some((height, explained))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Builds readings from known parts and no scatter.
    fn cells(x: &[f64], blades: &[f64], gap: impl Fn(f64) -> f64) -> Cells {
        let stations =
            x.iter().map(|&x| Station { name: format!("{x}"), x }).collect::<Vec<Station>>();
        let mut readings = Vec::new();
        for (blade, error) in blades.iter().enumerate() {
            for (station, place) in stations.iter().enumerate() {
                readings.push(Cell { blade, station, gap_mm: gap(place.x) + error });
            }
        }
        let blades = (0..blades.len()).map(|blade| blade.to_string()).collect();
        Cells { blades, stations, readings }
    }

    #[test]
    fn known_parts_are_found_again() {
        let errors = [0.0, 0.0, 0.09, 0.0, 0.0];
        let cells = cells(&[-1.0, -0.4, 0.1, 1.0], &errors, |x| 0.05 + 0.02 * x - 0.03 * x * x);
        let fit = fit_gaps(&cells).expect("enough cells");
        let close = |got: f64, wanted: f64| assert!((got - wanted).abs() < 1e-14, "{got} {wanted}");
        close(fit.tilt.value, 0.04);
        close(fit.bow.value, 0.03);
        close(fit.high_end - fit.low_end, 0.04);
        for (estimate, error) in fit.blades.iter().zip(errors) {
            close(estimate.value, error);
        }
        assert!(fit.residual_sd < 1e-14);
        assert_eq!(fit.degrees_of_freedom, 20 - 7);
        assert_eq!(fit.repeat_sd, None);
    }

    #[test]
    fn cells_that_cannot_be_told_apart_are_refused() {
        // Blade 1 read at one station alone, blade 0 at the two others: bow and blade are one.
        let mut few = cells(&[-1.0, 0.0, 1.0], &[0.0, 0.0], |_| 0.05);
        few.readings.retain(|cell| (cell.blade == 0) != (cell.station == 1));
        assert!(fit_gaps(&few).is_err());
    }

    #[test]
    fn repeats_show_their_scatter() {
        let mut cells = cells(&[-1.0, 0.0, 1.0], &[0.0, 0.0], |_| 0.05);
        cells.readings.push(Cell { blade: 0, station: 0, gap_mm: 0.09 });
        let sd = fit_gaps(&cells).expect("enough cells").repeat_sd.expect("one repeat");
        assert!((sd - 0.04 / 2.0_f64.sqrt()).abs() < 1e-14, "{sd}");
    }

    #[test]
    fn one_wave_round_the_reel_is_told_from_one_bad_blade() {
        let estimates = |values: Vec<f64>| -> Vec<Estimate> {
            values.into_iter().map(|value| Estimate { value, error: 0.0 }).collect()
        };
        let wave = (0..11).map(|b| 0.05 * (f64::from(b) * std::f64::consts::TAU / 11.0).cos());
        let (height, share) = wave_round_reel(&estimates(wave.collect())).expect("11 blades");
        assert!((height - 0.05).abs() < 1e-12 && share > 0.999);
        let mut single = vec![0.0; 11];
        single[4] = 0.08;
        let (_, share) = wave_round_reel(&estimates(single)).expect("11 blades");
        assert!(share < 0.3, "{share}");
        assert_eq!(wave_round_reel(&estimates(vec![0.0, 0.1, 0.0])), None);
    }
}
