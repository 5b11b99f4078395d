//! How probable is each cause when so many findings are open that the exact sum would take too
//! long? Sets of up to three causes are enumerated; a fourth fault at the same time is left out.
//! Causes that touch no open finding are independent and stay exact.

use super::posterior::{Masses, Weighed};

/// P(evidence) and P(evidence, cause) over all sets of up to three linked causes.
pub(super) fn enumerate(weighed: &Weighed) -> Masses {
    let count = weighed.present.len();
    let linked: Vec<usize> = (0..count).filter(|&cause| !weighed.links[cause].is_empty()).collect();
    let mut scale = weighed.quiet;
    for cause in 0..count {
        scale *= if weighed.links[cause].is_empty() {
            weighed.absent[cause] + weighed.present[cause]
        } else {
            weighed.absent[cause]
        };
    }

    let mut sum = Sum { weighed, masses: vec![0.0; count], evidence: 0.0 };
    let alone = vec![1.0; weighed.open.len()];
    sum.add(&[], scale, &alone);
    for (first_at, &first) in linked.iter().enumerate() {
        let (weight, off) = sum.joined(first, scale, &alone);
        sum.add(&[first], weight, &off);
        for (second_at, &second) in linked.iter().enumerate().skip(first_at + 1) {
            let (weight, off) = sum.joined(second, weight, &off);
            sum.add(&[first, second], weight, &off);
            for &third in &linked[second_at + 1..] {
                let (weight, off) = sum.joined(third, weight, &off);
                sum.add(&[first, second, third], weight, &off);
            }
        }
    }

    let Sum { mut masses, evidence, .. } = sum;
    for (cause, mass) in masses.iter_mut().enumerate() {
        if weighed.links[cause].is_empty() {
            let both = weighed.absent[cause] + weighed.present[cause];
            *mass = evidence * weighed.present[cause] / both;
        }
    }
    Masses { evidence, causes: masses, exact: linked.len() <= 3 }
}

struct Sum<'a> {
    weighed: &'a Weighed,
    masses: Vec<f64>,
    evidence: f64,
}

impl Sum<'_> {
    /// The weight and the chances of staying off once one more cause is present.
    fn joined(&self, cause: usize, weight: f64, off: &[f64]) -> (f64, Vec<f64>) {
        let mut off = off.to_vec();
        for &(at, net) in &self.weighed.links[cause] {
            off[at] *= 1.0 - net;
        }
        (weight * self.weighed.present[cause] / self.weighed.absent[cause], off)
    }

    fn add(&mut self, set: &[usize], weight: f64, off: &[f64]) {
        let mut mass = weight;
        for (finding, off) in self.weighed.open.iter().zip(off) {
            mass *= finding.likelihood(*off);
        }
        self.evidence += mass;
        for &cause in set {
            self.masses[cause] += mass;
        }
    }
}
