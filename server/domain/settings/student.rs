//! What is Student's t worth at a point, and where does a wanted share of it lie? Degrees of
//! freedom need not be whole: a weighted reading counts for less than one.
//! Deliberately absent: tests of hypotheses; an interval says more to a mechanic.
//!
//! The distribution is an incomplete beta function, evaluated by its continued fraction (NIST
//! Digital Library of Mathematical Functions 8.17.22, from memory). Values in the tests: see each.

use super::special_functions::{ln_gamma, rising_root};

const TERMS_MAX: u32 = 10_000;

/// The chance that Student's t with so many degrees of freedom is at most `t`.
pub fn student_cdf(t: f64, degrees: f64) -> f64 {
    let tail = 0.5 * beta_fraction_of(degrees / (degrees + t * t), degrees / 2.0, 0.5);
    if t > 0.0 { 1.0 - tail } else { tail }
}

/// Half the width of the interval that holds `share` of Student's t: the factor beside a standard
/// error. The caller has checked 0 < share < 1 and degrees > 0.
pub fn student_factor(share: f64, degrees: f64) -> f64 {
    let tail = (1.0 - share) / 2.0;
    let excess = |t: f64| tail - student_cdf(-t, degrees);
    let mut high = 1.0;
    while excess(high) < 0.0 && high < f64::MAX / 4.0 {
        high *= 2.0;
    }
    rising_root(excess, 0.0, high)
}

/// Regularised incomplete beta I_x(a, b).
pub fn beta_fraction_of(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    let front = (a * x.ln() + b * (-x).ln_1p() + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b)).exp();
    // The fraction converges fast below the mean; above it the mirror image is used.
    if x < (a + 1.0) / (a + b + 2.0) {
        front * continued_fraction(x, a, b) / a
    } else {
        1.0 - front * continued_fraction(1.0 - x, b, a) / b
    }
}

/// The continued fraction, evaluated forward (modified Lentz).
fn continued_fraction(x: f64, a: f64, b: f64) -> f64 {
    let tiny = f64::MIN_POSITIVE / f64::EPSILON;
    let keep = |value: f64| if value.abs() < tiny { tiny } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / keep(1.0 - (a + b) * x / (a + 1.0));
    let mut product = d;
    for index in 1..=TERMS_MAX {
        let m = f64::from(index);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut change = 1.0;
        for term in [even, odd] {
            d = 1.0 / keep(1.0 + term * d);
            c = keep(1.0 + term / c);
            change = c * d;
            product *= change;
        }
        if (change - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    product
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_close(got: f64, wanted: f64, relative: f64, what: &str) {
        let error = (got - wanted).abs() / wanted.abs();
        assert!(error <= relative, "{what}: got {got}, wanted {wanted}");
    }

    /// The printed t table of statistics textbooks, two-sided 95 % (from memory).
    #[test]
    fn factors_agree_with_the_printed_table() {
        for (degrees, wanted) in [
            (1.0, 12.706),
            (2.0, 4.303),
            (3.0, 3.182),
            (4.0, 2.776),
            (5.0, 2.571),
            (10.0, 2.228),
            (30.0, 2.042),
            (120.0, 1.980),
        ] {
            let got = student_factor(0.95, degrees);
            assert!((got - wanted).abs() < 5e-4, "{degrees}: {got}");
        }
    }

    /// scipy.stats 1.17.1 t.ppf and t.cdf.
    #[test]
    fn values_agree_with_a_reference_library() {
        for (share, degrees, wanted) in [
            (0.95, 1.0, 12.706_204_736_174_694),
            (0.95, 2.0, 4.302_652_729_749_462),
            (0.95, 4.0, 2.776_445_105_197_793_4),
            (0.95, 8.0, 2.306_004_135_204_166),
            (0.90, 3.5, 2.222_433_493_649_6),
            (0.999, 5.0, 6.868_826_625_881_276),
            (0.95, 1_000.0, 1.962_339_080_826_408_3),
            (0.5, 0.7, 1.200_330_743_457_406),
        ] {
            assert_close(student_factor(share, degrees), wanted, 1e-11, "factor");
        }
        for (t, degrees, wanted) in [
            (1.0, 1.0, 0.75),
            (2.5, 4.0, 0.966_616_727_594_006),
            (-1.3, 7.25, 0.116_701_816_921_694_57),
            (-30.0, 3.0, 4.067_640_213_581_979e-5),
        ] {
            assert_close(student_cdf(t, degrees), wanted, 1e-12, "cdf");
        }
    }

    #[test]
    fn fewer_degrees_give_wider_intervals() {
        let mut last = f64::INFINITY;
        for degrees in [0.5, 1.0, 2.0, 5.0, 20.0, 200.0, 1e6] {
            let factor = student_factor(0.95, degrees);
            assert!(factor < last, "{degrees}");
            last = factor;
        }
        // The normal distribution is the limit: 1.959964 (printed tables, from memory).
        assert!((last - 1.959_964).abs() < 1e-5);
    }
}
