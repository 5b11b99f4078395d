//! How good are the probabilities and the rankings? Used by the evaluation, never by an answer.
//! Deliberately absent: running the cases, and printing.
//!
//! Report the log loss and the calibration line first. Binned calibration error changes with the
//! number of bins (0.14 or 0.20 on the same ten forecasts in the tests), so it is only a picture.

use super::DiagnosisError;

/// z for a two-sided interval of 95 %.
const Z_95: f64 = 1.959_963_984_540_054;
const NEWTON_STEPS_MAX: usize = 100;
const HALVINGS: usize = 200;

/// Mean squared difference between forecast and outcome; 0 is best.
pub fn brier(forecasts: &[(f64, bool)]) -> Result<f64, DiagnosisError> {
    refuse_bad_forecasts(forecasts)?;
    let squares = forecasts.iter().map(|(p, happened)| (p - outcome(*happened)).powi(2));
    Ok(squares.sum::<f64>() / forecasts.len() as f64)
}

/// Mean over cases of the squared differences summed over classes.
pub fn brier_of_classes(rows: &[(Vec<f64>, usize)]) -> Result<f64, DiagnosisError> {
    refuse_bad_rows(rows)?;
    let squares = rows.iter().map(|(row, truth)| -> f64 {
        row.iter().enumerate().map(|(class, p)| (p - outcome(class == *truth)).powi(2)).sum()
    });
    Ok(squares.sum::<f64>() / rows.len() as f64)
}

/// Mean -ln P(what happened); infinite when something given no chance happened.
pub fn log_loss(forecasts: &[(f64, bool)]) -> Result<f64, DiagnosisError> {
    refuse_bad_forecasts(forecasts)?;
    let losses = forecasts.iter().map(|(p, happened)| -(if *happened { *p } else { 1.0 - p }).ln());
    Ok(losses.sum::<f64>() / forecasts.len() as f64)
}

/// Mean -ln P(true class).
pub fn log_loss_of_classes(rows: &[(Vec<f64>, usize)]) -> Result<f64, DiagnosisError> {
    refuse_bad_rows(rows)?;
    let losses = rows.iter().map(|(row, truth)| -row[*truth].ln());
    Ok(losses.sum::<f64>() / rows.len() as f64)
}

/// One bin of forecasts: how many, how sure on average, how often right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    pub count: usize,
    pub mean_forecast: f64,
    pub frequency: f64,
}

/// Forecasts in bins of equal width; empty bins are left out.
pub fn bins(forecasts: &[(f64, bool)], count: usize) -> Result<Vec<Bin>, DiagnosisError> {
    refuse_bad_forecasts(forecasts)?;
    if count == 0 {
        return Err(DiagnosisError::new("bins", count, "give at least 1"));
    }
    let mut sums = vec![(0usize, 0.0, 0.0); count];
    for (p, happened) in forecasts {
        // Right-closed bins, as is usual: 0.2 belongs to the bin from 0 to 0.2.
        let at = ((p * count as f64 - 1e-9).ceil() as usize).clamp(1, count) - 1;
        sums[at].0 += 1;
        sums[at].1 += p;
        sums[at].2 += outcome(*happened);
    }
    let filled = sums.into_iter().filter(|(count, _, _)| *count > 0);
    Ok(filled
        .map(|(count, forecast, hits)| Bin {
            count,
            mean_forecast: forecast / count as f64,
            frequency: hits / count as f64,
        })
        .collect())
}

/// What the bins say: expected and largest calibration error, and Murphy's parts of the Brier
/// score of the binned forecasts (reliability - resolution + uncertainty).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reliability {
    pub calibration_error: f64,
    pub calibration_error_max: f64,
    pub reliability: f64,
    pub resolution: f64,
    pub uncertainty: f64,
}

pub fn reliability(forecasts: &[(f64, bool)], count: usize) -> Result<Reliability, DiagnosisError> {
    let bins = bins(forecasts, count)?;
    let total = forecasts.len() as f64;
    let hits = forecasts.iter().filter(|(_, happened)| *happened).count();
    let base = hits as f64 / total;
    let mut found = Reliability {
        calibration_error: 0.0,
        calibration_error_max: 0.0,
        reliability: 0.0,
        resolution: 0.0,
        uncertainty: base * (1.0 - base),
    };
    for bin in &bins {
        let share = bin.count as f64 / total;
        let error = (bin.mean_forecast - bin.frequency).abs();
        found.calibration_error += share * error;
        found.calibration_error_max = found.calibration_error_max.max(error);
        found.reliability += share * error * error;
        found.resolution += share * (bin.frequency - base).powi(2);
    }
    Ok(found)
}

/// The line logit P(happened) = intercept + slope x logit(forecast). Slope 1 and intercept 0 are
/// best; a slope under 1 means forecasts too sure of themselves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CalibrationLine {
    pub intercept: f64,
    pub slope: f64,
}

/// Fits the line by maximum likelihood (Newton's method). Refused when no finite line is best:
/// one outcome only, or forecasts that separate the outcomes without error.
pub fn calibration_line(forecasts: &[(f64, bool)]) -> Result<CalibrationLine, DiagnosisError> {
    refuse_bad_forecasts(forecasts)?;
    if let Some((p, _)) = forecasts.iter().find(|(p, _)| *p <= 0.0 || *p >= 1.0) {
        return Err(DiagnosisError::new("forecast", p, "give numbers between 0 and 1 only"));
    }
    let points: Vec<(f64, f64)> =
        forecasts.iter().map(|(p, happened)| ((p / (1.0 - p)).ln(), outcome(*happened))).collect();
    let mut line = CalibrationLine { intercept: 0.0, slope: 0.0 };
    for _ in 0..NEWTON_STEPS_MAX {
        let (mut g0, mut g1, mut h00, mut h01, mut h11) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (x, y) in &points {
            let fitted = 1.0 / (1.0 + (-(line.intercept + line.slope * x)).exp());
            let weight = fitted * (1.0 - fitted);
            g0 += y - fitted;
            g1 += (y - fitted) * x;
            h00 += weight;
            h01 += weight * x;
            h11 += weight * x * x;
        }
        let determinant = h00 * h11 - h01 * h01;
        let step0 = (h11 * g0 - h01 * g1) / determinant;
        let step1 = (h00 * g1 - h01 * g0) / determinant;
        line.intercept += step0;
        line.slope += step1;
        if !(line.intercept.is_finite() && line.slope.is_finite()) {
            break;
        }
        if step0.abs() + step1.abs() < 1e-12 {
            return Ok(line);
        }
    }
    let remedy = "add cases: these forecasts leave the line without a best fit";
    Err(DiagnosisError::new("forecasts", forecasts.len(), remedy))
}

/// Wilson's 95 % interval for a share of `hits` in `count`.
pub fn wilson(hits: usize, count: usize) -> Result<(f64, f64), DiagnosisError> {
    if count == 0 || hits > count {
        let remedy = format!("give a number of cases above 0 that is not under the {hits} hits");
        return Err(DiagnosisError::new("count", count, remedy));
    }
    let n = count as f64;
    let share = hits as f64 / n;
    let z2 = Z_95 * Z_95;
    let centre = share + z2 / (2.0 * n);
    let spread = Z_95 * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
    let scale = 1.0 + z2 / n;
    Ok((((centre - spread) / scale).max(0.0), ((centre + spread) / scale).min(1.0)))
}

/// The most that a rate may be, with 95 % confidence, when nothing happened in `count` cases.
pub fn upper_limit_of_none(count: usize) -> Result<f64, DiagnosisError> {
    if count == 0 {
        return Err(DiagnosisError::new("count", count, "give at least one case"));
    }
    Ok(1.0 - 0.05_f64.powf(1.0 / count as f64))
}

/// The temperature T for which the classes of softmax(ln p / T) have the least log loss. Above 1:
/// the probabilities are too sure of themselves.
pub fn temperature(rows: &[(Vec<f64>, usize)]) -> Result<f64, DiagnosisError> {
    refuse_bad_rows(rows)?;
    // The loss is convex in 1/T, so its derivative crosses zero once.
    let slope = |inverse: f64| -> f64 {
        rows.iter()
            .map(|(row, truth)| {
                let heated = heat(row, 1.0 / inverse);
                let expected: f64 = row
                    .iter()
                    .zip(&heated)
                    .filter(|(p, _)| **p > 0.0)
                    .map(|(p, q)| q * p.ln())
                    .sum();
                expected - row[*truth].ln()
            })
            .sum()
    };
    let (mut low, mut high) = (1e-3, 1e3);
    if !(slope(low) < 0.0 && slope(high) > 0.0) {
        let remedy = "add cases: no finite temperature is best for these";
        return Err(DiagnosisError::new("rows", rows.len(), remedy));
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if slope(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(2.0 / (low + high))
}

/// softmax(ln p / temperature).
pub fn heat(row: &[f64], temperature: f64) -> Vec<f64> {
    let largest = row.iter().copied().fold(0.0, f64::max);
    let raised: Vec<f64> = row.iter().map(|p| (p / largest).powf(1.0 / temperature)).collect();
    let total: f64 = raised.iter().sum();
    raised.into_iter().map(|value| value / total).collect()
}

/// Normalised discounted cumulative gain of the first `depth` results. `grades` are the grades of
/// the results in the order shown; `all_grades` those of everything that could have been shown.
/// Gain 2^grade - 1, discount log2(rank + 1). 1 is best; `None` when nothing relevant exists.
pub fn ndcg(grades: &[u8], all_grades: &[u8], depth: usize) -> Option<f64> {
    let gain = |grades: &[u8]| -> f64 {
        grades
            .iter()
            .take(depth)
            .enumerate()
            .map(|(at, grade)| (f64::from(*grade).exp2() - 1.0) / (at as f64 + 2.0).log2())
            .sum()
    };
    let mut ideal = all_grades.to_vec();
    ideal.sort_unstable_by(|a, b| b.cmp(a));
    let best = gain(&ideal);
    (best > 0.0).then(|| gain(grades) / best)
}

/// Mean of 1 / rank of the first right result; a case without one counts 0. Ranks start at 1.
pub fn mean_reciprocal_rank(ranks: &[Option<usize>]) -> Result<f64, DiagnosisError> {
    if ranks.is_empty() || ranks.contains(&Some(0)) {
        let remedy = "give at least one rank; ranks start at 1";
        return Err(DiagnosisError::new("ranks", format!("{ranks:?}"), remedy));
    }
    let sum: f64 = ranks.iter().map(|rank| rank.map_or(0.0, |rank| 1.0 / rank as f64)).sum();
    Ok(sum / ranks.len() as f64)
}

fn outcome(happened: bool) -> f64 {
    f64::from(u8::from(happened))
}

fn refuse_bad_forecasts(forecasts: &[(f64, bool)]) -> Result<(), DiagnosisError> {
    if forecasts.is_empty() {
        return Err(DiagnosisError::new("forecasts", 0, "give at least one"));
    }
    match forecasts.iter().find(|(p, _)| !(0.0..=1.0).contains(p)) {
        Some((p, _)) => Err(DiagnosisError::new("forecast", p, "give a number from 0 to 1")),
        None => Ok(()),
    }
}

fn refuse_bad_rows(rows: &[(Vec<f64>, usize)]) -> Result<(), DiagnosisError> {
    if rows.is_empty() {
        return Err(DiagnosisError::new("rows", 0, "give at least one"));
    }
    for (row, truth) in rows {
        if *truth >= row.len() {
            let remedy = format!("give an index below {}", row.len());
            return Err(DiagnosisError::new("true class", truth, remedy));
        }
        let total: f64 = row.iter().sum();
        let bad = row.iter().any(|p| !(0.0..=1.0).contains(p)) || (total - 1.0).abs() > 1e-6;
        if bad {
            let remedy = "give probabilities that sum to 1";
            return Err(DiagnosisError::new("row", format!("{row:?}"), remedy));
        }
    }
    Ok(())
}
