//! What share of parts outlived each age at which one failed, with no curve assumed?
//! The product-limit (Kaplan-Meier) estimate with Greenwood's standard error. A part taken off
//! at the very age of a failure counts as still at risk for it. Source: NIST/SEMATECH handbook
//! 8.2.1.5 (published). Extrapolation past the last age is deliberately absent.

use super::weibull::Lifetimes;

/// One row: what is known once the failures at this age have been counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    pub age_h: f64,
    pub at_risk: usize,
    pub failed: usize,
    pub survival: f64,
    /// Greenwood's; zero once nobody survives.
    pub standard_error: f64,
}

/// The life table, one row for each distinct age at failure, in rising order.
pub fn rows(lifetimes: &Lifetimes) -> Vec<Row> {
    let mut ages = lifetimes.failures_h.clone();
    ages.sort_by(f64::total_cmp);
    ages.dedup();
    let mut survival = 1.0;
    let mut greenwood = 0.0;
    let mut rows = Vec::with_capacity(ages.len());
    for age_h in ages {
        let at_risk = lifetimes.all_h().filter(|age| *age >= age_h).count();
        let failed = lifetimes.failures_h.iter().filter(|age| **age == age_h).count();
        let (n, d) = (at_risk as f64, failed as f64);
        survival *= 1.0 - d / n;
        let standard_error = if at_risk == failed {
            0.0
        } else {
            greenwood += d / (n * (n - d));
            survival * f64::sqrt(greenwood)
        };
        rows.push(Row { age_h, at_risk, failed, survival, standard_error });
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop, prop_assert, proptest};

    #[test]
    fn nobody_left_is_nought_without_a_division_by_nought() {
        let lifetimes = Lifetimes { failures_h: vec![5.0, 5.0], survivors_h: vec![] };
        let table = rows(&lifetimes);
        assert_eq!(table.len(), 1);
        assert_eq!((table[0].survival, table[0].standard_error), (0.0, 0.0));
        assert!(rows(&Lifetimes { failures_h: vec![], survivors_h: vec![9.0] }).is_empty());
    }

    proptest! {
        #[test]
        fn without_survivors_it_is_the_share_still_running(
            ages in prop::collection::vec(1.0..1_000.0f64, 1..30),
        ) {
            let lifetimes = Lifetimes { failures_h: ages.clone(), survivors_h: vec![] };
            for row in rows(&lifetimes) {
                let running = ages.iter().filter(|age| **age > row.age_h).count() as f64;
                prop_assert!((row.survival - running / ages.len() as f64).abs() < 1e-12);
            }
        }
    }
}
