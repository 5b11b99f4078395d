//! A machine is mended and runs on: are its failures coming closer together, and when is the
//! next one due? The power-law process (Crow-AMSAA): expected failures by time t = a·t^b, and so
//! the failure rate is a·b·t^(b-1). The estimator is the modified maximum likelihood of
//! NIST/SEMATECH handbook 8.4.5.2 (published); the plain one is computed beside it because it
//! gives another number from the same data. Counts grouped by period are deliberately absent.

use super::special_functions::{chi_square_quantile, gamma_q, normal_quantile};

/// The 5 % limit of the Cramer-von Mises statistic for many failures (published for large
/// numbers; it is smaller for few, so passing it proves little then).
pub const POOR_FIT_LIMIT: f64 = 0.22;

/// One estimate of the process.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    /// b: below 1 failures thin out, above 1 they crowd.
    pub growth_exponent: f64,
    /// a, in failures per hour^b.
    pub coefficient: f64,
    /// 1 / failure rate at the end of the watch.
    pub end_mtbf_h: f64,
}

/// Everything said about one repairable history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct History {
    pub modified: PowerLaw,
    pub plain: PowerLaw,
    pub mtbf_low_h: f64,
    pub mtbf_high_h: f64,
    /// Chance of a pattern at least this uneven if the rate were steady (two-sided).
    pub steady_rate_chance: f64,
    /// Cramer-von Mises distance of the power law from the failures.
    pub misfit: f64,
}

/// Fits the failures at `times_h` (running hours of the one machine, rising) watched until
/// `watched_h`, the last failure at the latest. `None` when fewer than three failures say anything
/// about the slope: the one that a watch ends on only says where the watch ended.
pub fn fit(times_h: &[f64], watched_h: f64, confidence: f64) -> Option<History> {
    let log_sum: f64 = times_h.iter().map(|time| (watched_h / time).ln()).sum();
    let ends_on_failure = times_h.last().is_some_and(|last| *last >= watched_h);
    let telling_h = &times_h[..times_h.len() - usize::from(ends_on_failure)];
    if telling_h.len() < 3 || log_sum <= 0.0 {
        return None;
    }
    let (count, telling) = (times_h.len() as f64, telling_h.len() as f64);
    let modified = power_law((telling - 1.0) / log_sum, count, watched_h);
    let plain = power_law(count / log_sum, count, watched_h);
    let (mtbf_low_h, mtbf_high_h) = mtbf_interval(modified.end_mtbf_h, count, confidence);
    // If the rate is steady, twice the sum of logarithms is chi-square with 2r degrees.
    let tail = gamma_q(telling, log_sum);
    Some(History {
        modified,
        plain,
        mtbf_low_h,
        mtbf_high_h,
        steady_rate_chance: (2.0 * tail.min(1.0 - tail)).min(1.0),
        misfit: misfit(telling_h, watched_h, modified.growth_exponent),
    })
}

impl PowerLaw {
    /// The running hours at which the chance of one more failure since `watched_h` reaches
    /// `chance`.
    pub fn next_failure_h(&self, watched_h: f64, chance: f64) -> f64 {
        let expected = -(-chance).ln_1p();
        let b = self.growth_exponent;
        // Divided by watched^b, so that nothing overflows: a·watched^b is the count so far.
        let so_far = self.coefficient * watched_h.powf(b);
        watched_h * (1.0 + expected / so_far).powf(1.0 / b)
    }

    /// The chance of at least one failure within `horizon_h` after `watched_h`.
    pub fn failure_chance(&self, watched_h: f64, horizon_h: f64) -> f64 {
        let b = self.growth_exponent;
        let expected = self.coefficient * ((watched_h + horizon_h).powf(b) - watched_h.powf(b));
        -(-expected).exp_m1()
    }
}

/// The two-sided interval for the mean time between failures at a steady rate, from `failures`
/// in `exposure_h` hours. NIST/SEMATECH handbook 8.4.5.1 (published). With no failure there is
/// no upper end.
pub fn steady_mtbf_interval_h(
    exposure_h: f64,
    failures: u32,
    confidence: f64,
) -> (f64, Option<f64>) {
    let tail = (1.0 - confidence) / 2.0;
    let r = f64::from(failures);
    if failures == 0 {
        // One-sided: all of the doubt is on the low side.
        return (exposure_h / -(1.0 - confidence).ln(), None);
    }
    let low = 2.0 * exposure_h / chi_square_quantile(1.0 - tail, 2.0 * r + 2.0);
    let high = 2.0 * exposure_h / chi_square_quantile(tail, 2.0 * r);
    (low, Some(high))
}

fn power_law(growth_exponent: f64, count: f64, watched_h: f64) -> PowerLaw {
    PowerLaw {
        growth_exponent,
        coefficient: count / watched_h.powf(growth_exponent),
        end_mtbf_h: watched_h / (count * growth_exponent),
    }
}

/// The approximate interval of NIST/SEMATECH handbook 8.4.5.2 for the modified estimate.
fn mtbf_interval(mtbf_h: f64, count: f64, confidence: f64) -> (f64, f64) {
    let z = normal_quantile(0.5 + confidence / 2.0);
    let top = mtbf_h * count * (count - 1.0);
    let low_root = count + z * z / 4.0 + (count * z * z / 2.0 + z.powi(4) / 16.0).sqrt();
    let high_root = count - (count / 2.0).sqrt() * z;
    let high = if high_root > 0.0 { top / (high_root * high_root) } else { f64::INFINITY };
    (top / (low_root * low_root), high)
}

fn misfit(times_h: &[f64], watched_h: f64, exponent: f64) -> f64 {
    let count = times_h.len() as f64;
    let mut sum = 1.0 / (12.0 * count);
    for (index, time) in times_h.iter().enumerate() {
        let expected = (2.0 * index as f64 + 1.0) / (2.0 * count);
        sum += ((time / watched_h).powf(exponent) - expected).powi(2);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop, prop_assert, proptest};

    #[test]
    fn too_little_is_no_fit() {
        assert!(fit(&[10.0, 20.0], 30.0, 0.9).is_none());
        assert!(fit(&[], 30.0, 0.9).is_none());
        assert!(fit(&[10.0, 20.0, 30.0], 30.0, 0.9).is_none(), "the last only ends the watch");
        assert!(fit(&[30.0, 30.0, 30.0], 30.0, 0.9).is_none());
    }

    #[test]
    fn a_watch_that_ends_on_a_failure_counts_it_once_less() {
        // Modified estimates: (r - 1) / sum when time ends the watch, (r - 2) / sum when a failure
        // does: NIST/SEMATECH handbook 8.4.5.2 (the second from memory).
        let times = [10.0, 40.0, 90.0, 160.0];
        let sum: f64 = times.iter().map(|time| (160.0f64 / time).ln()).sum();
        let history = fit(&times, 160.0, 0.9).expect("three that tell");
        assert!((history.modified.growth_exponent - 2.0 / sum).abs() < 1e-12);
        assert!((history.plain.growth_exponent - 4.0 / sum).abs() < 1e-12);
    }

    #[test]
    fn no_failures_gives_a_lower_end_only() {
        // NIST/SEMATECH handbook 8.4.5.1 (published): T / -ln(1 - confidence).
        let (low, high) = steady_mtbf_interval_h(500.0, 0, 0.9);
        assert!((low - 217.147_24).abs() < 1e-4);
        assert!(high.is_none());
    }

    proptest! {
        #[test]
        fn chance_of_the_next_failure_undoes_its_time(
            times in prop::collection::vec(1.0..1_000.0f64, 3..20),
            chance in 0.01..0.95f64,
        ) {
            let mut times = times;
            times.sort_by(f64::total_cmp);
            let watched = 1_001.0;
            let history = fit(&times, watched, 0.9).expect("three failures before the end");
            let next = history.modified.next_failure_h(watched, chance);
            let back = history.modified.failure_chance(watched, next - watched);
            prop_assert!((back - chance).abs() < 1e-6, "{back} {chance}");
        }

        #[test]
        fn exponent_does_not_depend_on_the_unit_of_time(
            times in prop::collection::vec(1.0..1_000.0f64, 3..20),
            factor in 0.01..100.0f64,
        ) {
            let mut times = times;
            times.sort_by(f64::total_cmp);
            let scaled: Vec<f64> = times.iter().map(|time| time * factor).collect();
            let one = fit(&times, 1_001.0, 0.9).expect("fit");
            let other = fit(&scaled, 1_001.0 * factor, 0.9).expect("fit");
            let ratio = one.modified.growth_exponent / other.modified.growth_exponent;
            prop_assert!((ratio - 1.0).abs() < 1e-9);
            let mtbf = one.modified.end_mtbf_h * factor / other.modified.end_mtbf_h;
            prop_assert!((mtbf - 1.0).abs() < 1e-9);
        }
    }
}
