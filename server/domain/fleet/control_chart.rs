//! Does this reading scatter like those before it, or has something changed? Individuals chart with
//! limits from the mean moving range (NIST/SEMATECH handbook 6.3.2.2, published), and the chart of
//! counts over unequal hours (u chart, NIST/SEMATECH handbook 6.3.3.1, published).
//! Deliberately absent: rules of runs; on a dozen readings they cry wolf.

use super::rates::Counted;

/// Mean moving range of two over the standard deviation (constant d2, n = 2, published).
const D2: f64 = 1.128;
/// Fewer readings than this set no limits.
pub const READINGS_MIN: usize = 5;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    pub mean: f64,
    pub low: f64,
    pub high: f64,
    pub mean_moving_range: f64,
}

impl Limits {
    pub fn hold(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// Limits of single readings in their order; none when they are too few.
pub fn individuals(values: &[f64]) -> Option<Limits> {
    if values.len() < READINGS_MIN {
        return None;
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let ranges: f64 = values.windows(2).map(|pair| (pair[1] - pair[0]).abs()).sum();
    let mean_moving_range = ranges / (values.len() - 1) as f64;
    let reach = 3.0 * mean_moving_range / D2;
    Some(Limits { mean, low: mean - reach, high: mean + reach, mean_moving_range })
}

/// Limits of the rate of one stretch of hours, when all stretches together have `mean` an hour.
pub fn of_counts(mean: f64, stretch: Counted) -> Option<Limits> {
    if stretch.exposure_h <= 0.0 {
        return None;
    }
    let reach = 3.0 * (mean / stretch.exposure_h).sqrt();
    Some(Limits { mean, low: (mean - reach).max(0.0), high: mean + reach, mean_moving_range: 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_readings_set_no_limits() {
        assert!(individuals(&[3.0, 3.1, 3.0, 3.2]).is_none());
        let steady = individuals(&[3.0; 6]).expect("enough");
        assert!(steady.hold(3.0) && !steady.hold(3.1));
        assert!(of_counts(0.1, Counted::default()).is_none());
    }
}
