//! What are the gamma, chi-square and normal distributions worth at a point, and where does a
//! rising function cross zero? The few functions of mathematics that the statistics here rest on.
//! Student's t and anything about turf are deliberately absent.
//!
//! Series and continued fraction of the incomplete gamma function: NIST Digital Library of
//! Mathematical Functions 8.7.1 and 8.9.2 (from memory). Values in the tests: see each test.

/// Terms after which a series is taken not to converge; 2 % of it is enough for every input here.
const TERMS_MAX: u32 = 10_000;
/// Halvings that bring any bracket of two doubles down to neighbours.
const HALVINGS: u32 = 200;

/// Lanczos coefficients for g = 7, nine terms (from memory; good to 1e-14, tested).
const LANCZOS: [f64; 9] = [
    0.999_999_999_999_809_9,
    676.520_368_121_885_1,
    -1_259.139_216_722_402_8,
    771.323_428_777_653_1,
    -176.615_029_162_140_6,
    12.507_343_278_686_905,
    -0.138_571_095_265_720_12,
    9.984_369_578_019_572e-6,
    1.505_632_735_149_311_6e-7,
];

/// Natural logarithm of the gamma function, for x > 0.
pub fn ln_gamma(x: f64) -> f64 {
    debug_assert!(x > 0.0, "ln_gamma is used for positive arguments only");
    if x < 0.5 {
        // Reflection keeps the series in the half plane where it is accurate.
        let pi = std::f64::consts::PI;
        return (pi / (pi * x).sin()).ln() - ln_gamma(1.0 - x);
    }
    let shifted = x - 1.0;
    let base = shifted + 7.5;
    let mut sum = LANCZOS[0];
    let mut place = shifted;
    for coefficient in &LANCZOS[1..] {
        place += 1.0;
        sum += coefficient / place;
    }
    0.5 * (2.0 * std::f64::consts::PI).ln() + (shifted + 0.5) * base.ln() - base + sum.ln()
}

/// The gamma function, for x > 0.
pub fn gamma(x: f64) -> f64 {
    ln_gamma(x).exp()
}

/// Regularised lower incomplete gamma P(a, x): the chance that a gamma variable of shape `a` is
/// at most `x`.
pub fn gamma_p(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x < a + 1.0 {
        gamma_series(a, x)
    } else {
        1.0 - gamma_fraction(a, x)
    }
}

/// Regularised upper incomplete gamma Q(a, x) = 1 - P(a, x), accurate in its own tail.
pub fn gamma_q(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        1.0
    } else if x < a + 1.0 {
        1.0 - gamma_series(a, x)
    } else {
        gamma_fraction(a, x)
    }
}

/// The value below which a chi-square variable lies with chance `fraction` (0 < fraction < 1).
pub fn chi_square_quantile(fraction: f64, degrees: f64) -> f64 {
    let shape = degrees / 2.0;
    let mut high = shape.max(1.0);
    while gamma_p(shape, high) < fraction {
        high *= 2.0;
    }
    2.0 * rising_root(|x| gamma_p(shape, x) - fraction, 0.0, high)
}

/// The value below which a standard normal variable lies with chance `fraction`.
pub fn normal_quantile(fraction: f64) -> f64 {
    // The square of a standard normal variable is chi-square with one degree of freedom.
    let central = (2.0 * fraction - 1.0).abs();
    if central == 0.0 {
        return 0.0;
    }
    chi_square_quantile(central, 1.0).sqrt().copysign(fraction - 0.5)
}

/// Where a rising function crosses zero between `low` and `high`. The caller knows that it does.
pub fn rising_root(rising: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..HALVINGS {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if rising(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low + (high - low) / 2.0
}

fn gamma_series(a: f64, x: f64) -> f64 {
    let mut term = 1.0 / a;
    let mut sum = term;
    let mut place = a;
    for _ in 0..TERMS_MAX {
        place += 1.0;
        term *= x / place;
        sum += term;
        if term < sum * f64::EPSILON {
            break;
        }
    }
    sum * (a * x.ln() - x - ln_gamma(a)).exp()
}

/// The continued fraction for Q, evaluated forward (modified Lentz).
fn gamma_fraction(a: f64, x: f64) -> f64 {
    let tiny = f64::MIN_POSITIVE / f64::EPSILON;
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / tiny;
    let mut d = 1.0 / b;
    let mut product = d;
    for index in 1..=TERMS_MAX {
        let step = f64::from(index);
        let numerator = -step * (step - a);
        b += 2.0;
        d = numerator * d + b;
        d = 1.0 / if d.abs() < tiny { tiny } else { d };
        c = b + numerator / c;
        c = if c.abs() < tiny { tiny } else { c };
        let change = c * d;
        product *= change;
        if (change - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    product * (a * x.ln() - x - ln_gamma(a)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_close(got: f64, wanted: f64, relative: f64, what: &str) {
        let error = (got - wanted).abs() / wanted.abs().max(f64::MIN_POSITIVE);
        assert!(error <= relative, "{what}: got {got}, wanted {wanted}");
    }

    #[test]
    fn gamma_function_at_known_points() {
        // Exact: factorials, and sqrt(pi) at one half (geometry of the function itself).
        let root_pi = std::f64::consts::PI.sqrt();
        for (x, wanted) in [
            (1.0, 1.0),
            (2.0, 1.0),
            (5.0, 24.0),
            (11.0, 3_628_800.0),
            (0.5, root_pi),
            (0.25, 3.625_609_908_221_908), // scipy.special 1.17 gamma
        ] {
            assert_close(gamma(x), wanted, 1e-13, "gamma");
        }
    }

    #[test]
    fn incomplete_gamma_agrees_with_a_reference_library() {
        // scipy.special 1.17 gammainc / gammaincc.
        for (a, x, p, q) in [
            (0.5, 0.5, 0.682_689_492_137_086, 0.317_310_507_862_914),
            (3.0, 2.0, 0.323_323_583_816_936_6, 0.676_676_416_183_063_4),
            (10.0, 16.0, 0.956_701_684_058_134_2, 0.043_298_315_941_865_825),
            (0.01, 1e-6, 0.875_933_759_832_352_7, 0.124_066_240_167_646_7),
            (100.0, 150.0, 0.999_994_075_459_664_6, 5.924_540_335_483_916e-6),
        ] {
            assert_close(gamma_p(a, x), p, 1e-12, "P");
            assert_close(gamma_q(a, x), q, 1e-10, "Q");
        }
    }

    #[test]
    fn quantiles_agree_with_printed_tables() {
        // Chi-square and normal tables as printed in statistics textbooks (from memory).
        assert_close(chi_square_quantile(0.95, 1.0), 3.841_458_820_694_124, 1e-12, "chi2(1)");
        assert_close(chi_square_quantile(0.95, 6.0), 12.591_587_243_743_977, 1e-12, "chi2(6)");
        assert_close(chi_square_quantile(0.05, 4.0), 0.710_723_021_397_324_4, 1e-12, "chi2(4)");
        assert_close(normal_quantile(0.975), 1.959_963_984_540_054, 1e-12, "z 0.975");
        assert_close(normal_quantile(0.1), -1.281_551_565_544_600_4, 1e-12, "z 0.1");
        assert_eq!(normal_quantile(0.5), 0.0);
    }

    #[test]
    fn quantile_undoes_the_distribution() {
        for degrees in [1.0, 2.0, 7.0, 54.0] {
            for fraction in [0.001, 0.05, 0.3, 0.5, 0.9, 0.999] {
                let x = chi_square_quantile(fraction, degrees);
                assert_close(gamma_p(degrees / 2.0, x / 2.0), fraction, 1e-10, "round trip");
            }
        }
    }
}
