//! Rates, shrinkage, ratios, limits and the share that holds, each against a value from outside.

use sward_core::domain::fleet::Period;
use sward_core::domain::fleet::control_chart::{individuals, of_counts};
use sward_core::domain::fleet::rates::{Counted, alike, exact, ratio, share_interval};
use sward_core::domain::fleet::remedies::remedies;

use super::books::{START, Written, day, machine};

fn close(got: f64, wanted: f64, relative: f64, what: &str) {
    let apart = (got - wanted).abs();
    assert!(apart <= relative * wanted.abs().max(1e-12), "{what}: got {got}, wanted {wanted}");
}

fn counted(count: u32, exposure_h: f64) -> Counted {
    Counted { count, exposure_h }
}

/// (count, hours, low, high) at 90 %. The first is NIST/SEMATECH handbook 8.4.5.1 (2 failures in
/// 800 h: 127.1 to 2251 h between failures, turned over); the others are chi-square quantiles of
/// scipy 1.17: chi2.ppf(.05, 2k)/2h and chi2.ppf(.95, 2k + 2)/2h (Garwood).
const RATES: &[(u32, f64, f64, f64)] = &[
    (2, 800.0, 1.0 / 2251.2, 1.0 / 127.07),
    (2, 800.0, 0.000_444_201_888_4, 0.007_869_742_027),
    (10, 62.88, 0.086_281_897_22, 0.269_755_395),
];

#[test]
fn rates_have_the_exact_interval() {
    for &(count, hours, low, high) in RATES {
        let rate = exact(counted(count, hours), 0.9).expect("hours");
        close(rate.low, low, 1e-4, "low");
        close(rate.high, high, 1e-4, "high");
        close(rate.rate, f64::from(count) / hours, 1e-12, "rate");
    }
    let none = exact(counted(0, 800.0), 0.9).expect("hours");
    // All of the doubt above: 1 - exp(-800 rate) = 0.9.
    close(none.high, -(0.1_f64.ln()) / 800.0, 1e-12, "no failure");
    assert_eq!(none.low, 0.0);
}

/// Failures of ten pumps and their thousands of hours (Gaver and O'Muircheartaigh, Technometrics
/// 29, 1987; from memory), and the global empirical Bayes rates of a general library on them:
/// esda 2.9.0, smoothing.Empirical_Bayes (after Marshall 1991).
const PUMPS: [(u32, f64, f64); 10] = [
    (5, 94.320, 0.055_394_723_91),
    (1, 15.720, 0.076_055_461_90),
    (5, 62.880, 0.082_482_451_73),
    (14, 125.760, 0.112_468_677_6),
    (3, 5.240, 0.496_339_300_6),
    (19, 31.440, 0.587_524_649_5),
    (1, 1.048, 0.529_083_399_7),
    (1, 1.048, 0.529_083_399_7),
    (4, 2.096, 1.225_580_350),
    (22, 10.480, 1.874_981_160),
];

/// Place among the pumps, and the ends of 90 %: gamma quantiles of scipy 1.17 with shape
/// 0.303223422 + count and rate 1.415172012 + hours.
const PUMP_ENDS: [(usize, f64, f64); 3] = [
    (0, 0.022_577_77, 0.099_957_55),
    (6, 0.048_361_8, 1.445_382_08),
    (9, 1.273_097_47, 2.572_216_25),
];

#[test]
fn small_numbers_are_drawn_toward_their_like() {
    let units: Vec<Counted> = PUMPS.iter().map(|&(count, h, _)| counted(count, h)).collect();
    let alike = alike(&units).expect("hours");
    close(alike.mean, 0.214_266_124_2, 1e-9, "mean");
    close(alike.variance, 0.151_406_417_3, 1e-9, "variance");
    for (unit, &(_, _, wanted)) in units.iter().zip(&PUMPS) {
        close(alike.rate_of(*unit), wanted, 1e-9, "rate of a pump");
    }
    for (at, low, high) in PUMP_ENDS {
        let rate = alike.of_unit(units[at], 0.9).expect("hours");
        close(rate.low, low, 1e-5, "low");
        close(rate.high, high, 1e-5, "high");
    }
}

/// (some, all, low, high) at 90 %: scipy 1.17, binomtest(k, n).proportion_ci(0.9, "exact").
const SHARES: [(u32, u32, f64, f64); 4] = [
    (0, 10, 0.0, 0.258_865_550_9),
    (3, 10, 0.087_264_433_91, 0.606_624_216_1),
    (10, 10, 0.741_134_449_1, 1.0),
    (7, 40, 0.085_132_504_59, 0.303_705_667_0),
];

#[test]
fn shares_and_ratios_have_exact_intervals() {
    for (some, all, low, high) in SHARES {
        let (got_low, got_high) = share_interval(some, all, 0.9);
        close(got_low, low, 1e-6, "low");
        close(got_high, high, 1e-6, "high");
    }
    // 12 in 800 h before, 5 in 700 h after: the same, by the odds of the share 5 of 17.
    let after = ratio(counted(12, 800.0), counted(5, 700.0), 0.9).expect("counts");
    close(after.rate, 0.476_190_476_2, 1e-9, "ratio");
    close(after.low, 0.161_433_210_1, 1e-6, "low");
    close(after.high, 1.247_645_761, 1e-6, "high");
}

/// NIST/SEMATECH handbook 6.3.2.2, flow rate by batch: mean 50.81, moving range 1.8778, limits
/// 55.8041 and 45.8159.
#[test]
fn single_readings_have_the_limits_of_the_handbook() {
    let flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    let limits = individuals(&flow).expect("ten readings");
    close(limits.mean, 50.81, 1e-9, "mean");
    close(limits.mean_moving_range, 1.8778, 1e-4, "moving range");
    close(limits.high, 55.8041, 1e-5, "upper limit");
    close(limits.low, 45.8159, 1e-5, "lower limit");
}

/// NIST/SEMATECH handbook 6.3.3.1 (from memory): u chart, mean +- 3 sqrt(mean / size). With mean
/// 0.04 an hour over 100 h that is 0.04 +- 0.06, cut off at zero.
#[test]
fn counts_have_limits_by_their_hours() {
    let limits = of_counts(0.04, counted(4, 100.0)).expect("hours");
    close(limits.high, 0.10, 1e-12, "upper limit");
    assert_eq!(limits.low, 0.0);
}

/// NIST/SEMATECH handbook 8.2.1.5: 20 on test, failures at 10 32 56 98 122 181 h, removed at 50 100
/// 125 150 h, the rest watched to 200 h; 0.7941 hold for 98 h and more. A cure is put on test; the
/// same cause found again is its failure. Greenwood's error by hand from the same table.
#[test]
fn the_share_that_holds_is_that_of_the_handbook() {
    let mut written = Written::default();
    written.meter("sites/home/machines/m", day(0.0), 0.0);
    written.meter("sites/home/machines/m", day(200.0), 200.0);
    let unit = |at: usize| format!("sites/home/machines/m/units/{at}");
    let again = [10.0, 32.0, 56.0, 98.0, 122.0, 181.0];
    for (at, hours) in again.into_iter().enumerate() {
        written.fault(&unit(at + 1), day(0.0), "edges_dull", Some(true));
        written.fault(&unit(at + 1), day(hours), "edges_dull", None);
    }
    // Watched from later on to the same end.
    for (at, watched) in [50.0, 100.0, 125.0, 150.0].into_iter().enumerate() {
        written.fault(&unit(at + 7), day(200.0 - watched), "edges_dull", Some(true));
    }
    for at in 11..=20 {
        written.fault(&unit(at), day(0.0), "edges_dull", Some(true));
    }
    let books = written.books(&machine(20), day(200.0));
    let period = Period { from: START, until: day(201.0) };
    let rows = remedies(&books, period);
    assert_eq!(rows.len(), 1);
    let row = &rows[0];
    assert_eq!((row.cured, row.came_back, row.watched), (20, 6, 20));
    close(row.held_fraction.expect("watched"), 0.7941, 1e-4, "share that holds");
    let greenwood =
        1.0 / (20.0 * 19.0) + 1.0 / (19.0 * 18.0) + 1.0 / (17.0 * 16.0) + 1.0 / (16.0 * 15.0);
    let error = row.held_standard_error.expect("watched");
    close(error, 0.794_117_647 * f64::sqrt(greenwood), 1e-6, "standard error");
}
