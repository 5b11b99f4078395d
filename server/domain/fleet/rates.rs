//! How often does it happen, how sure is that, and does one unit stand out? Counts over hours.
//! A rate by itself has the exact Poisson interval (Garwood 1936; NIST/SEMATECH handbook 8.4.5.1
//! gives the same ends as a time between failures). Units that are alike lend each other strength:
//! gamma-Poisson shrinkage with the prior's mean and variance by the method of moments (Marshall,
//! "Mapping disease and mortality rates using empirical Bayes estimators", Applied Statistics 40,
//! 1991; from memory). Two rates are compared by the share of all counts that fell on one side,
//! which is binomial (Przyborowski and Wilenski 1940; from memory), with the exact interval of
//! Clopper and Pearson.
//! Deliberately absent: tests that answer yes or no; an interval says more.

use crate::domain::settings::repairable::steady_mtbf_interval_h;
use crate::domain::settings::special_functions::{chi_square_quantile, rising_root};
use crate::domain::settings::student::beta_fraction_of;

/// Counts over the hours in which they could happen.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Counted {
    pub count: u32,
    pub exposure_h: f64,
}

impl Counted {
    /// For each hour; none without hours.
    pub fn rate(self) -> Option<f64> {
        (self.exposure_h > 0.0).then(|| f64::from(self.count) / self.exposure_h)
    }

    pub fn and(self, other: Counted) -> Counted {
        Counted { count: self.count + other.count, exposure_h: self.exposure_h + other.exposure_h }
    }
}

/// A rate an hour with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    pub rate: f64,
    pub low: f64,
    pub high: f64,
}

/// The rate with its exact interval. With no count all of the doubt lies above.
pub fn exact(counted: Counted, confidence: f64) -> Option<Rate> {
    let rate = counted.rate()?;
    let (low_h, high_h) = steady_mtbf_interval_h(counted.exposure_h, counted.count, confidence);
    Some(Rate { rate, low: high_h.map_or(0.0, |hours| 1.0 / hours), high: 1.0 / low_h })
}

/// What is believed of the rates of units that are alike, from all of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alike {
    /// Mean rate an hour.
    pub mean: f64,
    /// Variance of the true rates between units; zero when they scatter no more than chance.
    pub variance: f64,
    /// All of them together.
    pub pooled: Counted,
}

/// Fits the units; none when they have no hours.
pub fn alike(units: &[Counted]) -> Option<Alike> {
    let with_hours = || units.iter().filter(|unit| unit.exposure_h > 0.0);
    let pooled = with_hours().fold(Counted::default(), |sum, unit| sum.and(*unit));
    let mean = pooled.rate()?;
    let scatter: f64 = with_hours()
        .map(|unit| {
            let apart = f64::from(unit.count) / unit.exposure_h - mean;
            unit.exposure_h * apart * apart
        })
        .sum::<f64>()
        / pooled.exposure_h;
    let mean_hours = pooled.exposure_h / with_hours().count() as f64;
    Some(Alike { mean, variance: (scatter - mean / mean_hours).max(0.0), pooled })
}

impl Alike {
    /// What is believed of one of the units: its own rate drawn toward the mean, the more the fewer
    /// hours it has. With no variance between units all have the one rate, and its interval.
    pub fn of_unit(&self, unit: Counted, confidence: f64) -> Option<Rate> {
        if self.variance <= 0.0 || self.mean <= 0.0 {
            return exact(self.pooled, confidence);
        }
        let prior_h = self.mean / self.variance;
        let (shape, hours) =
            (self.mean * prior_h + f64::from(unit.count), prior_h + unit.exposure_h);
        let tail = (1.0 - confidence) / 2.0;
        let end = |share: f64| chi_square_quantile(share, 2.0 * shape) / (2.0 * hours);
        Some(Rate { rate: shape / hours, low: end(tail), high: end(1.0 - tail) })
    }

    /// The believed rate alone, which costs nothing.
    pub fn rate_of(&self, unit: Counted) -> f64 {
        if self.variance <= 0.0 || self.mean <= 0.0 {
            return self.mean;
        }
        let prior_h = self.mean / self.variance;
        (self.mean * prior_h + f64::from(unit.count)) / (prior_h + unit.exposure_h)
    }
}

/// How many times the rate before is the rate after, with its exact interval. `high` is infinite
/// when nothing was counted before.
pub fn ratio(before: Counted, after: Counted, confidence: f64) -> Option<Rate> {
    if before.exposure_h <= 0.0 || after.exposure_h <= 0.0 || before.count + after.count == 0 {
        return None;
    }
    let hours = before.exposure_h / after.exposure_h;
    let odds = |share: f64| hours * share / (1.0 - share);
    let (low, high) = share_interval(after.count, before.count + after.count, confidence);
    let rate = hours * f64::from(after.count) / f64::from(before.count);
    Some(Rate { rate, low: odds(low), high: odds(high) })
}

/// The exact interval of a share, from so many of so many (Clopper and Pearson 1934).
pub fn share_interval(some: u32, all: u32, confidence: f64) -> (f64, f64) {
    let tail = (1.0 - confidence) / 2.0;
    let (x, n) = (f64::from(some), f64::from(all));
    let below = |a: f64, b: f64, chance: f64| {
        rising_root(|share| beta_fraction_of(share, a, b) - chance, 0.0, 1.0)
    };
    let low = if some == 0 { 0.0 } else { below(x, n - x + 1.0, tail) };
    let high = if some == all { 1.0 } else { below(x + 1.0, n - x, 1.0 - tail) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop, prop_assert, proptest};

    fn counted(count: u32, exposure_h: f64) -> Counted {
        Counted { count, exposure_h }
    }

    #[test]
    fn units_that_scatter_by_chance_alone_are_one() {
        let units = [counted(2, 100.0), counted(2, 100.0), counted(2, 100.0)];
        let alike = alike(&units).expect("hours");
        assert_eq!(alike.variance, 0.0);
        let of_one = alike.of_unit(units[0], 0.9).expect("hours");
        assert_eq!(of_one, exact(counted(6, 300.0), 0.9).expect("hours"));
    }

    #[test]
    fn without_hours_there_is_no_rate() {
        assert_eq!(counted(3, 0.0).rate(), None);
        assert!(alike(&[counted(3, 0.0)]).is_none());
        assert!(ratio(counted(1, 0.0), counted(1, 5.0), 0.9).is_none());
        assert!(ratio(counted(0, 10.0), counted(0, 5.0), 0.9).is_none());
        let first = ratio(counted(0, 10.0), counted(3, 5.0), 0.9).expect("counts");
        assert!(first.high.is_infinite() && first.low > 0.0);
    }

    proptest! {
        #[test]
        fn shrinking_lies_between_own_rate_and_mean(
            units in prop::collection::vec((0u32..20, 1.0..500.0f64), 2..30),
        ) {
            let units: Vec<Counted> =
                units.into_iter().map(|(count, hours)| counted(count, hours)).collect();
            let alike = alike(&units).expect("hours");
            for unit in units {
                let own = unit.rate().expect("hours");
                let believed = alike.rate_of(unit);
                let (low, high) = (own.min(alike.mean), own.max(alike.mean));
                prop_assert!(believed >= low - 1e-12 && believed <= high + 1e-12);
                let told = alike.of_unit(unit, 0.9).expect("hours");
                prop_assert!(told.low <= told.high && told.low >= 0.0);
            }
        }

        #[test]
        fn more_counts_never_lower_the_interval(count in 0u32..40, hours in 1.0..1e4f64) {
            let (one, more) = (
                exact(counted(count, hours), 0.9).expect("hours"),
                exact(counted(count + 1, hours), 0.9).expect("hours"),
            );
            prop_assert!(one.low <= more.low && one.high < more.high);
        }
    }
}
