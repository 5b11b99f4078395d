//! When will the next part fail, if fewer failures have been seen than a fit can stand on?
//! A Weibull whose rate has a gamma prior and whose shape is not pinned down but weighed over a
//! grid: the answer then averages over everything the readings leave open, so that few readings
//! give a wide interval by themselves. A point estimate of the shape is deliberately absent.
//!
//! Conjugacy of the gamma prior for the rate at a given shape: any text on Bayesian reliability
//! (from memory). The shape's prior is this project's assumption and is named in every answer.

use super::special_functions::{gamma, gamma_q, ln_gamma, rising_root};
use super::weibull::Lifetimes;

/// Middle of the shape's prior: wear rather than chance, as rolling bearings (10/9 to 3/2) do.
/// From memory; an assumption.
pub const SHAPE_PRIOR_MEDIAN: f64 = 1.5;
/// Spread of the natural logarithm of the shape: 95 % of the prior lies between 0.46 and 4.9.
pub const SHAPE_PRIOR_LOG_SPREAD: f64 = 0.6;
/// How many failures a stated expected life is worth.
pub const EXPECTED_LIFE_WORTH: f64 = 1.0;

const GRID_COUNT: u32 = 400;
/// The grid spans this many spreads on either side of the middle.
const GRID_SPREADS: f64 = 5.0;

/// What is believed about the life after the readings.
#[derive(Debug, Clone)]
pub struct Belief {
    /// Shape of the gamma belief in the rate; the same at every shape of the life.
    strength: f64,
    unit_h: f64,
    points: Vec<Point>,
}

#[derive(Debug, Clone, Copy)]
struct Point {
    shape: f64,
    weight: f64,
    /// Rate of the gamma belief: prior plus sum of (age / unit)^shape.
    exposure: f64,
}

/// Weighs every shape by the readings. `None` when there is neither a failure nor an expected
/// life: then nothing says how long a life is.
pub fn weigh(lifetimes: &Lifetimes, expected_life_h: Option<f64>) -> Option<Belief> {
    let count = lifetimes.failure_count();
    if count == 0.0 && expected_life_h.is_none() {
        return None;
    }
    let unit_h = lifetimes.longest_h().max(expected_life_h.unwrap_or(0.0));
    let worth = if expected_life_h.is_some() { EXPECTED_LIFE_WORTH } else { 0.0 };
    let strength = worth + count;

    let mut points = Vec::with_capacity(GRID_COUNT as usize);
    let mut logs = Vec::with_capacity(GRID_COUNT as usize);
    for index in 0..GRID_COUNT {
        let along = f64::from(index) / f64::from(GRID_COUNT - 1);
        let spreads = GRID_SPREADS * (2.0 * along - 1.0);
        let shape = SHAPE_PRIOR_MEDIAN * (SHAPE_PRIOR_LOG_SPREAD * spreads).exp();
        // The prior mean of the rate is that of a life whose mean is the expected one. Without
        // an expected life the prior is flat in the logarithm of the scale (weight none).
        let prior = expected_life_h
            .map_or(0.0, |life_h| worth * (life_h / gamma(1.0 + 1.0 / shape) / unit_h).powf(shape));
        let exposure = prior + lifetimes.power_sum(shape, unit_h);
        let log_prior = if worth > 0.0 { worth * prior.ln() - ln_gamma(worth) } else { 0.0 };
        logs.push(
            -spreads * spreads / 2.0
                + log_prior
                + count * shape.ln()
                + (shape - 1.0) * lifetimes.log_sum(unit_h)
                - strength * exposure.ln(),
        );
        points.push(Point { shape, weight: 0.0, exposure });
    }
    let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = logs.iter().map(|log| (log - highest).exp()).sum();
    for (point, log) in points.iter_mut().zip(&logs) {
        point.weight = (log - highest).exp() / total;
    }
    Some(Belief { strength, unit_h, points })
}

impl Belief {
    /// The chance that a new part outlives `age_h`.
    pub fn survival(&self, age_h: f64) -> f64 {
        self.points
            .iter()
            .map(|point| {
                let hazard = (age_h / self.unit_h).powf(point.shape);
                point.weight * (-self.strength * (hazard / point.exposure).ln_1p()).exp()
            })
            .sum()
    }

    /// The age by which a new part has failed with the given chance.
    pub fn life_h(&self, failed_fraction: f64) -> f64 {
        self.root_h(|age_h| 1.0 - failed_fraction - self.survival(age_h))
    }

    /// The interval that holds, with the given confidence, the age by which `failed_fraction` of
    /// all such parts have failed.
    pub fn life_interval_h(&self, failed_fraction: f64, confidence: f64) -> (f64, f64) {
        let hazard_at_life = -(-failed_fraction).ln_1p();
        let chance_life_below = |age_h: f64| -> f64 {
            self.points
                .iter()
                .map(|point| {
                    let rate = hazard_at_life / (age_h / self.unit_h).powf(point.shape);
                    point.weight * gamma_q(self.strength, rate * point.exposure)
                })
                .sum()
        };
        let tail = (1.0 - confidence) / 2.0;
        let low_h = self.root_h(|age_h| chance_life_below(age_h) - tail);
        let high_h = self.root_h(|age_h| chance_life_below(age_h) - (1.0 - tail));
        (low_h, high_h)
    }

    /// The chance that a part not among the readings, now at `age_h`, fails within `horizon_h`.
    pub fn failure_chance(&self, age_h: f64, horizon_h: f64) -> f64 {
        let now = self.survival(age_h);
        if now > 0.0 { 1.0 - self.survival(age_h + horizon_h) / now } else { 1.0 }
    }

    /// The weighted mean of the shape: above 1 speaks for wear, near 1 for chance.
    pub fn mean_shape(&self) -> f64 {
        self.points.iter().map(|point| point.weight * point.shape).sum()
    }

    fn root_h(&self, rising: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (self.unit_h, self.unit_h);
        while rising(low) > 0.0 && low > f64::MIN_POSITIVE {
            low /= 2.0;
        }
        while rising(high) < 0.0 && high < f64::MAX / 4.0 {
            high *= 2.0;
        }
        rising_root(rising, low, high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{ProptestConfig, prop, prop_assert, proptest};

    fn lifetimes(failures_h: &[f64], survivors_h: &[f64]) -> Lifetimes {
        Lifetimes { failures_h: failures_h.to_vec(), survivors_h: survivors_h.to_vec() }
    }

    #[test]
    fn agrees_with_the_same_integral_in_a_reference_library() {
        // numpy/scipy 1.17: 2,000-point grid over the shape, gamma tail, Brent's root.
        let belief = weigh(&lifetimes(&[310.0, 420.0, 385.0], &[290.0]), None).expect("failures");
        assert!((belief.life_h(0.1) - 204.243).abs() < 0.05, "{}", belief.life_h(0.1));
        let (low, high) = belief.life_interval_h(0.1, 0.9);
        assert!((low - 100.359).abs() < 0.05, "{low}");
        assert!((high - 325.584).abs() < 0.05, "{high}");
    }

    #[test]
    fn weights_sum_to_one_and_the_expected_life_counts_as_one_failure() {
        let belief = weigh(&lifetimes(&[100.0], &[]), Some(200.0)).expect("expected life");
        let weights: f64 = belief.points.iter().map(|point| point.weight).sum();
        assert!((weights - 1.0).abs() < 1e-12);
        assert_eq!(belief.strength, 2.0);
        assert!((belief.survival(0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn says_nothing_about_a_life_nobody_has_seen_end() {
        assert!(weigh(&lifetimes(&[], &[400.0, 500.0]), None).is_none());
        assert!(weigh(&lifetimes(&[], &[400.0, 500.0]), Some(600.0)).is_some());
        assert!(weigh(&lifetimes(&[], &[]), Some(600.0)).is_some());
    }

    #[test]
    fn an_expected_life_alone_gives_back_about_that_life() {
        let belief = weigh(&lifetimes(&[], &[]), Some(1_000.0)).expect("expected life");
        let middle = belief.life_h(0.5);
        assert!((400.0..1_600.0).contains(&middle), "{middle}");
    }

    proptest! {
        // Each case walks the whole grid; a quarter of the usual number is plenty.
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn scales_with_the_unit_of_time(
            failures in prop::collection::vec(10.0..1_000.0f64, 1..5),
            factor in 0.01..100.0f64,
        ) {
            let scaled: Vec<f64> = failures.iter().map(|age| age * factor).collect();
            let one = weigh(&lifetimes(&failures, &[50.0]), None).expect("failures");
            let other = weigh(&lifetimes(&scaled, &[50.0 * factor]), None).expect("failures");
            prop_assert!((one.life_h(0.1) * factor / other.life_h(0.1) - 1.0).abs() < 1e-6);
        }

        #[test]
        fn survival_never_rises_and_the_interval_has_two_ends(
            failures in prop::collection::vec(10.0..1_000.0f64, 1..5),
            earlier in 1.0..2_000.0f64,
            gap in 0.0..2_000.0f64,
        ) {
            let belief = weigh(&lifetimes(&failures, &[]), None).expect("failures");
            prop_assert!(belief.survival(earlier + gap) <= belief.survival(earlier) + 1e-12);
            let (low, high) = belief.life_interval_h(0.1, 0.9);
            prop_assert!(low < high);
        }
    }
}
