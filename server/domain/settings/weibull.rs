//! What Weibull life fits these ages at failure and these ages still running, and how sure is it?
//! The estimator is maximum likelihood with right censoring, and only that. Rank regression is
//! deliberately absent: it gives other numbers from the same data, so an answer must name which.
//! Source: NIST/SEMATECH handbook 8.4.1.3 (published), the test's own numbers beside it.

use super::special_functions::{chi_square_quantile, gamma, rising_root};

/// A shape above this means that the ages are all but equal; no such part exists.
const SHAPE_MAX: f64 = 10_000.0;

/// The ages seen so far. Every age is positive and finite; the caller has checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Lifetimes {
    /// Ages at which a part failed, in hours.
    pub failures_h: Vec<f64>,
    /// Ages which a part reached without failing: still running, or taken off for another reason.
    pub survivors_h: Vec<f64>,
}

/// A Weibull life: survival = exp(-(t / scale)^shape).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    pub shape: f64,
    pub scale_h: f64,
}

impl Lifetimes {
    pub fn all_h(&self) -> impl Iterator<Item = f64> + '_ {
        self.failures_h.iter().chain(&self.survivors_h).copied()
    }

    pub fn failure_count(&self) -> f64 {
        self.failures_h.len() as f64
    }

    pub fn longest_h(&self) -> f64 {
        self.all_h().fold(0.0, f64::max)
    }

    /// Sum of ln(age at failure / unit).
    pub fn log_sum(&self, unit_h: f64) -> f64 {
        self.failures_h.iter().map(|age| (age / unit_h).ln()).sum()
    }

    /// Sum of (age / unit)^shape over all ages: the exposure that a shape sees.
    pub fn power_sum(&self, shape: f64, unit_h: f64) -> f64 {
        self.all_h().map(|age| (age / unit_h).powf(shape)).sum()
    }
}

impl Weibull {
    pub fn survival(&self, age_h: f64) -> f64 {
        (-self.cumulative_hazard(age_h)).exp()
    }

    /// The age by which the given fraction has failed; 0.1 gives the B10 life.
    pub fn life_h(&self, failed_fraction: f64) -> f64 {
        self.scale_h * (-(-failed_fraction).ln_1p()).powf(1.0 / self.shape)
    }

    pub fn mean_h(&self) -> f64 {
        self.scale_h * gamma(1.0 + 1.0 / self.shape)
    }

    pub fn standard_deviation_h(&self) -> f64 {
        let first = gamma(1.0 + 1.0 / self.shape);
        let second = gamma(1.0 + 2.0 / self.shape);
        self.scale_h * (second - first * first).max(0.0).sqrt()
    }

    /// The chance of failing within `horizon_h` more hours, having reached `age_h`.
    pub fn failure_chance(&self, age_h: f64, horizon_h: f64) -> f64 {
        let past = self.cumulative_hazard(age_h);
        if past.is_infinite() {
            // So far past its life that no double tells its survival from nought.
            return 1.0;
        }
        -(past - self.cumulative_hazard(age_h + horizon_h)).exp_m1()
    }

    pub fn log_likelihood(&self, lifetimes: &Lifetimes) -> f64 {
        let density: f64 = lifetimes
            .failures_h
            .iter()
            .map(|age| {
                (self.shape / self.scale_h).ln() + (self.shape - 1.0) * (age / self.scale_h).ln()
            })
            .sum();
        density - lifetimes.power_sum(self.shape, self.scale_h)
    }

    fn cumulative_hazard(&self, age_h: f64) -> f64 {
        (age_h / self.scale_h).powf(self.shape)
    }
}

/// The maximum-likelihood fit. `None` when the likelihood has no maximum: no failure at all, or
/// every failure at the one longest age.
pub fn fit(lifetimes: &Lifetimes) -> Option<Weibull> {
    let count = lifetimes.failure_count();
    if count == 0.0 {
        return None;
    }
    // Ages are taken relative to the longest, so that no power overflows.
    let unit_h = lifetimes.longest_h();
    let mean_log = lifetimes.log_sum(unit_h) / count;
    let score = |shape: f64| {
        let (mut powers, mut weighted) = (0.0, 0.0);
        for age in lifetimes.all_h() {
            let power = (age / unit_h).powf(shape);
            powers += power;
            weighted += power * (age / unit_h).ln();
        }
        weighted / powers - 1.0 / shape - mean_log
    };
    let mut high = 1.0;
    while score(high) < 0.0 {
        high *= 2.0;
        if high > SHAPE_MAX {
            return None;
        }
    }
    let shape = rising_root(score, 0.0, high);
    let scale_h = unit_h * (lifetimes.power_sum(shape, unit_h) / count).powf(1.0 / shape);
    Some(Weibull { shape, scale_h })
}

/// The likelihood-ratio interval for the age by which `failed_fraction` has failed. It needs no
/// symmetry and no large sample, which a standard error would.
pub fn life_interval_h(
    lifetimes: &Lifetimes,
    fitted: &Weibull,
    failed_fraction: f64,
    confidence: f64,
) -> (f64, f64) {
    let best_h = fitted.life_h(failed_fraction);
    let allowed_drop = chi_square_quantile(confidence, 1.0) / 2.0;
    let floor = fitted.log_likelihood(lifetimes) - allowed_drop;
    let excess = |life_h: f64| floor - profile_log_likelihood(lifetimes, life_h, failed_fraction);

    let mut low = best_h / 2.0;
    while excess(low) < 0.0 {
        low /= 2.0;
    }
    let mut high = best_h * 2.0;
    while excess(high) < 0.0 {
        high *= 2.0;
    }
    let low_h = rising_root(|life_h| -excess(life_h), low, best_h);
    let high_h = rising_root(excess, best_h, high);
    (low_h, high_h)
}

/// The highest log-likelihood of any Weibull whose life at `failed_fraction` is `life_h`.
fn profile_log_likelihood(lifetimes: &Lifetimes, life_h: f64, failed_fraction: f64) -> f64 {
    let hazard_at_life = -(-failed_fraction).ln_1p();
    let slope = |shape: f64| {
        let pull: f64 =
            lifetimes.all_h().map(|age| (age / life_h).powf(shape) * (age / life_h).ln()).sum();
        let count = lifetimes.failure_count();
        count / shape + lifetimes.log_sum(life_h) - hazard_at_life * pull
    };
    // The log-likelihood is concave in the shape, so its slope falls through zero once.
    let mut high = 1.0;
    while slope(high) > 0.0 && high < SHAPE_MAX {
        high *= 2.0;
    }
    let shape = rising_root(|shape| -slope(shape), 0.0, high);
    let scale_h = life_h / hazard_at_life.powf(1.0 / shape);
    Weibull { shape, scale_h }.log_likelihood(lifetimes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{ProptestConfig, prop, prop_assert, prop_assume, proptest};

    fn handbook() -> Lifetimes {
        // NIST/SEMATECH handbook 8.4.1.3 (published).
        Lifetimes {
            failures_h: vec![54., 187., 216., 240., 244., 335., 361., 373., 375., 386.],
            survivors_h: vec![500.0; 10],
        }
    }

    #[test]
    fn life_interval_agrees_with_a_reference_library() {
        // scipy 1.17: bounded minimiser over the shape, root of the likelihood ratio, 90 %.
        let fitted = fit(&handbook()).expect("ten distinct failures have a maximum");
        let (low, high) = life_interval_h(&handbook(), &fitted, 0.1, 0.9);
        assert!((low - 74.833_57).abs() < 1e-3, "{low}");
        assert!((high - 254.761_83).abs() < 1e-3, "{high}");
    }

    #[test]
    fn a_part_far_past_its_life_fails_for_certain_and_not_for_no_number() {
        let life = Weibull { shape: 5_000.0, scale_h: 100.0 };
        assert_eq!(life.failure_chance(200_000.0, 1.0), 1.0);
        assert_eq!(life.failure_chance(99.0, 200_000.0), 1.0);
    }

    #[test]
    fn no_maximum_is_no_fit() {
        let none = |failures_h: &[f64], survivors_h: &[f64]| {
            let lifetimes =
                Lifetimes { failures_h: failures_h.to_vec(), survivors_h: survivors_h.to_vec() };
            fit(&lifetimes).is_none()
        };
        assert!(none(&[], &[500.0, 200.0]), "no failure");
        assert!(none(&[300.0; 6], &[120.0]), "every failure at the one longest age");
        assert!(!none(&[300.0; 6], &[320.0]), "a longer survivor pins the shape");
    }

    proptest! {
        // Each case is several searches by halving; a quarter of the usual number is plenty.
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn fit_scales_with_the_unit_of_time(
            failures in prop::collection::vec(10.0..1_000.0f64, 3..12),
            survivors in prop::collection::vec(10.0..1_500.0f64, 0..8),
            factor in 0.01..100.0f64,
        ) {
            let one = Lifetimes { failures_h: failures, survivors_h: survivors };
            let other = Lifetimes {
                failures_h: one.failures_h.iter().map(|age| age * factor).collect(),
                survivors_h: one.survivors_h.iter().map(|age| age * factor).collect(),
            };
            let (Some(a), Some(b)) = (fit(&one), fit(&other)) else { return Ok(()) };
            prop_assume!(a.shape < 500.0);
            prop_assert!((a.shape / b.shape - 1.0).abs() < 1e-6);
            prop_assert!((a.scale_h * factor / b.scale_h - 1.0).abs() < 1e-6);
        }

        #[test]
        fn fit_is_the_highest_point_nearby(
            failures in prop::collection::vec(10.0..1_000.0f64, 3..12),
            survivors in prop::collection::vec(10.0..1_500.0f64, 0..8),
        ) {
            let lifetimes = Lifetimes { failures_h: failures, survivors_h: survivors };
            let Some(best) = fit(&lifetimes) else { return Ok(()) };
            prop_assume!(best.shape < 500.0);
            let top = best.log_likelihood(&lifetimes);
            for (shape, scale) in [(1.01, 1.0), (0.99, 1.0), (1.0, 1.01), (1.0, 0.99)] {
                let near = Weibull { shape: best.shape * shape, scale_h: best.scale_h * scale };
                prop_assert!(near.log_likelihood(&lifetimes) <= top);
            }
        }

        #[test]
        fn interval_holds_the_estimate_and_widens_with_confidence(
            failures in prop::collection::vec(10.0..1_000.0f64, 5..12),
        ) {
            let lifetimes = Lifetimes { failures_h: failures, survivors_h: vec![500.0; 3] };
            let Some(best) = fit(&lifetimes) else { return Ok(()) };
            prop_assume!(best.shape < 100.0);
            let life = best.life_h(0.1);
            let (low_80, high_80) = life_interval_h(&lifetimes, &best, 0.1, 0.8);
            let (low_95, high_95) = life_interval_h(&lifetimes, &best, 0.1, 0.95);
            prop_assert!(low_95 < low_80 && low_80 < life && life < high_80 && high_80 < high_95);
        }

        #[test]
        fn life_undoes_survival(
            shape in 0.3..8.0f64, scale in 1.0..5_000.0f64, p in 0.001..0.99f64,
        ) {
            let life = Weibull { shape, scale_h: scale };
            prop_assert!((life.survival(life.life_h(p)) - (1.0 - p)).abs() < 1e-10);
        }
    }
}
