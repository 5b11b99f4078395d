//! What is believed of a quantity whose readings scatter by an unknown amount, before and after
//! some readings? The conjugate normal model with unknown mean and variance; a reading may count
//! for less than one. Deliberately absent: what is believed to begin with; the caller says.
//!
//! Formulas: the normal-inverse-chi-square update of statistics textbooks (from memory). The
//! outside check integrates the same model numerically (tests/settings_a.rs).

use super::student::student_factor;

/// The mean is `mean`, as if seen in `weight` readings; the variance of one reading is about
/// `variance`, as if seen in `degrees` readings to spare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    pub mean: f64,
    pub weight: f64,
    pub variance: f64,
    pub degrees: f64,
}

/// A reading and what it counts for, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighted {
    pub value: f64,
    pub weight: f64,
}

/// Total weight of some readings.
pub fn total_weight(readings: &[Weighted]) -> f64 {
    readings.iter().map(|reading| reading.weight).sum()
}

/// Weighted mean of some readings; `None` without any.
pub fn weighted_mean(readings: &[Weighted]) -> Option<f64> {
    let weight = total_weight(readings);
    let sum: f64 = readings.iter().map(|reading| reading.weight * reading.value).sum();
    (weight > 0.0).then(|| sum / weight)
}

impl Belief {
    /// The belief after some readings.
    pub fn after(&self, readings: &[Weighted]) -> Belief {
        let Some(seen) = weighted_mean(readings) else { return *self };
        let added = total_weight(readings);
        let weight = self.weight + added;
        let degrees = self.degrees + added;
        let scatter: f64 =
            readings.iter().map(|reading| reading.weight * (reading.value - seen).powi(2)).sum();
        let apart = self.weight * added / weight * (seen - self.mean).powi(2);
        Belief {
            mean: (self.weight * self.mean + added * seen) / weight,
            weight,
            variance: (self.degrees * self.variance + scatter + apart) / degrees,
            degrees,
        }
    }

    /// Half the width of the interval of the mean that holds `share`.
    pub fn mean_within(&self, share: f64) -> f64 {
        student_factor(share, self.degrees) * (self.variance / self.weight).sqrt()
    }

    /// Half the width of the interval of one next reading that holds `share`.
    pub fn reading_within(&self, share: f64) -> f64 {
        let variance = self.variance * (1.0 + 1.0 / self.weight);
        student_factor(share, self.degrees) * variance.sqrt()
    }
}
