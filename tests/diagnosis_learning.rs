//! Do learning and scoring agree with numbers worked out elsewhere? Each fixture names its source.
//! Lives with censoring (the handbook's ten failures) are tested with the service interval.

use sward_core::domain::diagnosis::between_groups::{
    Beta, Group, by_moments, fit, prior_of_groups,
};
use sward_core::domain::diagnosis::learning::{
    Confirmed, Counts, LevelStrengths, Prequential, Strengths, Whose, explain, shrunk,
};
use sward_core::domain::diagnosis::score;
use sward_core::domain::diagnosis::{Cause, Network};

fn near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, expected {expected}");
}

/// Tumours in 71 groups of rats, hits and group size (Gelman and others, Bayesian Data Analysis,
/// table 5.1, published; 267 of 1,739 in all). The last group is the current experiment.
#[rustfmt::skip]
const RATS: [(u64, u64); 71] = [
    (0, 20), (0, 20), (0, 20), (0, 20), (0, 20), (0, 20), (0, 20), (0, 19), (0, 19), (0, 19),
    (0, 19), (0, 18), (0, 18), (0, 17), (1, 20), (1, 20), (1, 20), (1, 20), (1, 19), (1, 19),
    (1, 18), (1, 18), (2, 25), (2, 24), (2, 23), (2, 20), (2, 20), (2, 20), (2, 20), (2, 20),
    (2, 20), (1, 10), (5, 49), (2, 19), (5, 46), (3, 27), (2, 17), (7, 49), (7, 47), (3, 20),
    (3, 20), (2, 13), (9, 48), (10, 50), (4, 20), (4, 20), (4, 20), (4, 20), (4, 20), (4, 20),
    (4, 20), (10, 48), (4, 19), (4, 19), (4, 19), (5, 22), (11, 46), (12, 49), (5, 20), (5, 20),
    (6, 23), (5, 19), (6, 22), (6, 20), (6, 20), (6, 20), (16, 52), (15, 47), (15, 46), (9, 24),
    (4, 14),
];

fn rats() -> Vec<Group> {
    RATS.iter().map(|&(hits, size)| Group { hits, misses: size - hits }).collect()
}

fn group(hits: u64, records: u64) -> Group {
    Group { hits, misses: records - hits }
}

/// Moments, then greatest likelihood (computed twice); shrunken rates follow from the Beta.
#[test]
fn l1_rates_of_many_groups() {
    let all = rats();
    let (hits, size) = RATS.iter().fold((0, 0), |sum, row| (sum.0 + row.0, sum.1 + row.1));
    assert_eq!((hits, size), (267, 1_739), "the table is the published one");

    let history = by_moments(&all[..70]).expect("rates differ");
    near(history.mean(), 0.136007, 1e-6, "mean of 70 rates");
    near(history.deviation(), 0.103492, 1e-6, "deviation of 70 rates");
    near(history.alpha, 1.356149, 1e-6, "alpha; the book rounds to 1.4");
    near(history.beta, 8.615058, 1e-6, "beta; the book rounds to 8.6");
    let current = Beta { alpha: 1.4, beta: 8.6 }.after(all[70]);
    near(current.mean(), 0.225, 1e-12, "mean of the current rate");
    near(current.deviation(), 0.08351647, 1e-8, "deviation of the current rate");

    let fitted = fit(&all).expect("groups differ");
    near(fitted.alpha, 2.341615, 1e-6, "alpha of greatest likelihood");
    near(fitted.beta, 14.114805, 1e-6, "beta of greatest likelihood");
    near(fitted.mean(), 0.142292, 1e-6, "mean");
    near(fitted.strength(), 16.456420, 2e-6, "strength");
    for (group, expected) in
        [(group(0, 20), 0.06423051), (group(4, 14), 0.20821930), (group(16, 52), 0.26793126)]
    {
        near(fitted.after(group).mean(), expected, 1e-8, "shrunken rate");
        let shrunk =
            shrunk(fitted.mean(), fitted.strength(), group.hits, group.hits + group.misses);
        near(shrunk, expected, 1e-8, "the same by mean and strength");
    }
}

/// The whole posterior over (alpha, beta) with density (alpha + beta)^(-5/2), on a grid of
/// ln(alpha / beta) and ln(alpha + beta): computed 2.4027, 14.3200 (the book has 2.4, 14.3).
#[test]
fn l1_the_likelihood_integrates_as_published() {
    let all = rats();
    let steps = 120;
    let along = |low: f64, high: f64, at: usize| low + (high - low) * at as f64 / steps as f64;
    let mut rows = Vec::new();
    for first in 0..=steps {
        for second in 0..=steps {
            let (ratio, sum) = (along(-2.6, -1.0, first).exp(), along(0.8, 5.5, second).exp());
            let beta = Beta { alpha: sum * ratio / (1.0 + ratio), beta: sum / (1.0 + ratio) };
            let prior = -2.5 * sum.ln() + (beta.alpha * beta.beta).ln();
            rows.push((beta, beta.log_likelihood(&all) + prior));
        }
    }
    let top = rows.iter().map(|row| row.1).fold(f64::NEG_INFINITY, f64::max);
    let (mut total, mut alpha, mut beta, mut current) = (0.0, 0.0, 0.0, 0.0);
    for (at, log_density) in rows {
        let weight = (log_density - top).exp();
        total += weight;
        alpha += weight * at.alpha;
        beta += weight * at.beta;
        current += weight * at.after(group(4, 14)).mean();
    }
    near(alpha / total, 2.4027, 0.03, "alpha");
    near(beta / total, 14.3200, 0.2, "beta");
    near(current / total, 0.210857, 0.0005, "rate of the current group");
}

/// Six shops. Computed. Six are too few to fit, so the fixed prior is used.
#[test]
fn l2_six_shops() {
    let shops = [(3, 4), (0, 2), (7, 10), (1, 6), (12, 15), (2, 2)].map(|(y, n)| group(y, n));
    let fitted = fit(&shops).expect("shops differ");
    near(fitted.strength(), 4.892927, 1e-6, "strength of greatest likelihood");
    near(fitted.mean(), 0.588192, 1e-6, "mean of greatest likelihood");
    let expected = [0.66097275, 0.41752689, 0.66326669, 0.35600921, 0.74790313, 0.70767940];
    for (shop, expected) in shops.iter().zip(expected) {
        near(fitted.after(*shop).mean(), expected, 1e-7, "by the fit");
    }
    let fixed = prior_of_groups(&shops, Beta { alpha: 3.0, beta: 2.0 });
    let expected = [0.66666667, 0.42857143, 0.66666667, 0.36363636, 0.75, 0.71428571];
    for (shop, expected) in shops.iter().zip(expected) {
        near(fixed.after(*shop).mean(), expected, 1e-8, "by the fixed prior");
    }
    let eight = [shops[0], shops[1], shops[2], shops[3], shops[4], shops[5], shops[0], shops[3]];
    let enough = prior_of_groups(&eight, Beta { alpha: 3.0, beta: 2.0 });
    assert_ne!(enough, fixed, "eight shops are enough to fit");
}

/// A mix of five causes worth ten records, and ten records. Computed. Predicting each record before
/// it is counted costs in sum the logarithm of the evidence, whatever the order.
#[test]
fn l3_a_mix_of_causes() {
    let mix = [0.40, 0.25, 0.20, 0.10, 0.05];
    let network = causes_in_shares(&mix);
    let ten = LevelStrengths { everyone: 10.0, shop: 10.0, unit_type: 10.0 };
    let strengths = Strengths { causes: ten, findings: ten };
    let whose = Whose { shop: "own".to_string(), unit_type: String::new() };
    let share = |counts: &Counts, cause: usize| {
        explain(&network, counts, &whose, &strengths).expect("valid").shares[cause].learned()
    };
    for order in [[0, 0, 1, 1, 1, 1, 1, 3, 4, 4], [4, 1, 0, 1, 3, 1, 4, 1, 0, 1]] {
        let mut counts = Counts::default();
        let mut losses = Prequential::default();
        for cause in order {
            losses.add(share(&counts, cause), mix[cause]).expect("probabilities");
            counts.record(&Confirmed {
                cause: format!("d{cause}"),
                shop: "own".to_string(),
                unit_type: String::new(),
                answers: Vec::new(),
            });
        }
        for (cause, expected) in [0.30, 0.375, 0.10, 0.10, 0.125].into_iter().enumerate() {
            near(share(&counts, cause), expected, 1e-12, "learned share");
        }
        near(losses.learned_loss, 16.58032514, 1e-8, "log evidence");
        let frozen: f64 = order.iter().map(|&cause| -mix[cause].ln()).sum();
        near(losses.frozen_loss, frozen, 1e-9, "the table's loss");
        near(losses.gain(), (frozen - 16.58032514) / 10.0, 1e-8, "gain per record");
    }
}

/// Causes whose odds are in the given shares.
fn causes_in_shares(shares: &[f64]) -> Network {
    let one = |(at, share): (usize, &f64)| Cause {
        id: format!("d{at}"),
        prior: share / (1.0 + share),
        repair_minutes: 10.0,
        success: 0.9,
        opening: None,
        specialist: false,
        remedy: String::new(),
    };
    let causes = shares.iter().enumerate().map(one).collect();
    Network::from_net(causes, Vec::new(), &[]).expect("valid")
}

/// Ten forecasts. Computed; the line by a statistics package. The error by bins changes with the
/// number of bins on the same forecasts.
#[test]
fn l5_scores_of_forecasts() {
    let chances = [0.95, 0.90, 0.80, 0.75, 0.60, 0.55, 0.40, 0.30, 0.20, 0.05];
    let happened = [true, true, true, false, true, false, true, false, false, false];
    let forecasts: Vec<(f64, bool)> = chances.into_iter().zip(happened).collect();
    near(score::brier(&forecasts).expect("valid"), 0.157, 1e-12, "Brier");
    near(score::log_loss(&forecasts).expect("valid"), 0.46228276, 1e-8, "log loss");
    let five = score::reliability(&forecasts, 5).expect("valid");
    near(five.calibration_error, 0.14, 1e-12, "error in 5 bins");
    near(five.calibration_error_max, 0.275, 1e-12, "largest error in 5 bins");
    near(five.reliability, 0.025, 1e-12, "reliability");
    near(five.resolution, 0.100, 1e-12, "resolution");
    near(five.uncertainty, 0.250, 1e-12, "uncertainty");
    let ten = score::reliability(&forecasts, 10).expect("valid");
    near(ten.calibration_error, 0.20, 1e-12, "error in 10 bins");
    near(ten.calibration_error_max, 0.60, 1e-12, "largest error in 10 bins");
    let line = score::calibration_line(&forecasts).expect("a best line");
    near(line.intercept, -0.37740574, 1e-8, "intercept");
    near(line.slope, 1.21965354, 1e-8, "slope");
}

/// Six cases of three classes. Computed.
#[test]
fn l6_temperature() {
    let rows: Vec<(Vec<f64>, usize)> = vec![
        (vec![0.90, 0.08, 0.02], 0),
        (vec![0.85, 0.10, 0.05], 0),
        (vec![0.70, 0.20, 0.10], 1),
        (vec![0.95, 0.03, 0.02], 1),
        (vec![0.60, 0.30, 0.10], 0),
        (vec![0.80, 0.15, 0.05], 0),
    ];
    near(score::log_loss_of_classes(&rows).expect("valid"), 1.01964074, 1e-8, "before");
    let temperature = score::temperature(&rows).expect("a best temperature");
    near(temperature, 1.940660, 1e-6, "temperature");
    let heated: Vec<(Vec<f64>, usize)> =
        rows.iter().map(|(row, truth)| (score::heat(row, temperature), *truth)).collect();
    near(score::log_loss_of_classes(&heated).expect("valid"), 0.89693536, 1e-8, "after");
}

/// Wilson 1927 (formula published; values computed), and the exact limit when nothing happened.
#[test]
fn l7_intervals_of_shares() {
    let table = [
        (51, 60, 0.738854, 0.919026),
        (85, 100, 0.767164, 0.906940),
        (170, 200, 0.793944, 0.892864),
        (340, 400, 0.811686, 0.881655),
    ];
    for (hits, count, low, high) in table {
        let (found_low, found_high) = score::wilson(hits, count).expect("valid");
        near(found_low, low, 1e-6, "low");
        near(found_high, high, 1e-6, "high");
    }
    near(score::upper_limit_of_none(60).expect("valid"), 0.048703, 1e-6, "0 in 60");
}

/// Worked by hand: grades 3 2 3 0 1 2 shown in that order, a usual teaching example (from memory),
/// with gain 2^grade - 1. Gains 7 3 7 0 1 3 against 7 7 3 3 1 0 at best.
#[test]
fn ranking_scores() {
    let grades = [3, 2, 3, 0, 1, 2];
    let discounted = |gains: [f64; 6]| -> f64 {
        gains.iter().enumerate().map(|(at, gain)| gain / (at as f64 + 2.0).log2()).sum()
    };
    let expected =
        discounted([7.0, 3.0, 7.0, 0.0, 1.0, 3.0]) / discounted([7.0, 7.0, 3.0, 3.0, 1.0, 0.0]);
    near(score::ndcg(&grades, &grades, 6).expect("relevant"), expected, 1e-12, "nDCG");
    near(score::ndcg(&grades, &grades, 6).expect("relevant"), 0.948811, 1e-6, "nDCG, digits");
    assert_eq!(score::ndcg(&[0, 0], &[0, 0], 10), None, "nothing relevant");
    near(score::ndcg(&[2, 0], &[2, 0], 10).expect("relevant"), 1.0, 1e-12, "best order");
    let ranks = [Some(1), Some(3), None, Some(2)];
    near(score::mean_reciprocal_rank(&ranks).expect("valid"), 11.0 / 24.0, 1e-12, "MRR");
}

/// Impossible input is refused with field, value and remedy, never put right.
#[test]
fn scores_refuse_what_is_not_a_forecast() {
    let refusals = [
        score::brier(&[]).map(|_| ()),
        score::log_loss(&[(1.2, true)]).map(|_| ()),
        score::calibration_line(&[(0.3, true), (0.8, true)]).map(|_| ()),
        score::calibration_line(&[(0.1, false), (0.2, false), (0.9, true)]).map(|_| ()),
        score::calibration_line(&[(1.0, true), (0.5, false)]).map(|_| ()),
        score::wilson(3, 2).map(|_| ()),
        score::wilson(0, 0).map(|_| ()),
        score::upper_limit_of_none(0).map(|_| ()),
        score::temperature(&[(vec![0.9, 0.3], 0)]).map(|_| ()),
        score::temperature(&[(vec![0.9, 0.1], 0)]).map(|_| ()),
        score::brier_of_classes(&[(vec![0.9, 0.1], 2)]).map(|_| ()),
        score::mean_reciprocal_rank(&[Some(0)]).map(|_| ()),
    ];
    for (row, refusal) in refusals.into_iter().enumerate() {
        let error = refusal.expect_err(&format!("row {row} is impossible"));
        assert!(!error.field.is_empty() && !error.remedy.is_empty(), "row {row}: {error}");
    }
}
