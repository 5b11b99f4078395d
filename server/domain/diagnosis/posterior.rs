//! How probable is each cause, given everything heard and answered? Deliberately absent: the sums
//! themselves (see explained_sum, exact, and cause_sets, for when that would take too long), and
//! what to do about the causes (see plan).

use super::evidence::{Evidence, Settled, settle};
use super::{DiagnosisError, Network, cause_sets, explained_sum};

/// Slack allowed for rounding when a result is checked to be a probability.
const ROUNDING: f64 = 1e-9;

/// What is probable given the evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// P(cause present | evidence), one per cause; they need not sum to 1.
    pub marginals: Vec<f64>,
    /// P(none of the causes is present | evidence): the fault is something else.
    pub other: f64,
    /// P(two or more causes are present | evidence).
    pub several: f64,
    /// Natural logarithm of the probability of the evidence.
    pub log_evidence: f64,
    /// P(this cause alone | evidence, at most one cause present): the belief of the planner.
    pub single: Vec<f64>,
    /// P(no cause | evidence, at most one cause present).
    pub single_unknown: f64,
    /// False when sets of more than three causes were left out for want of time.
    pub exact: bool,
}

/// A finding that may be present: its likelihoods, leak and links.
#[derive(Debug, Clone)]
pub(super) struct OpenFinding {
    pub if_present: f64,
    pub if_absent: f64,
    pub leak: f64,
}

/// The evidence as the sums need it.
#[derive(Debug, Clone)]
pub(super) struct Weighed {
    pub open: Vec<OpenFinding>,
    /// For each cause, prior x P(all findings answered "no" stay off, and all that nothing was
    /// said of stay unsaid | this cause).
    pub present: Vec<f64>,
    /// For each cause, 1 - prior.
    pub absent: Vec<f64>,
    /// For each cause, its (open finding, net strength).
    pub links: Vec<Vec<(usize, f64)>>,
    /// P(no finding answered "no" arises by itself, none unsaid arises and is mentioned).
    pub quiet: f64,
}

impl Weighed {
    pub fn new(network: &Network, settled: &[Settled]) -> Weighed {
        let mut open = Vec::new();
        let mut place = vec![Place::Unseen; network.findings.len()];
        let mut quiet = 1.0;
        for item in settled {
            let leak = network.findings[item.finding].leak;
            let mentioned = 1.0 - item.if_present;
            if item.silent || item.if_present == 0.0 {
                place[item.finding] = Place::Off { mentioned };
                quiet *= 1.0 - mentioned * leak;
            } else {
                place[item.finding] = Place::Open(open.len());
                let (if_present, if_absent) = (item.if_present, item.if_absent);
                let leak = leak * item.leak_share;
                open.push(OpenFinding { if_present, if_absent, leak });
            }
        }
        let mut weighed = Weighed {
            open,
            present: Vec::with_capacity(network.causes.len()),
            absent: network.causes.iter().map(|cause| 1.0 - cause.prior).collect(),
            links: Vec::with_capacity(network.causes.len()),
            quiet,
        };
        for (cause, row) in network.causes.iter().zip(&network.links) {
            let mut present = cause.prior;
            let mut links = Vec::new();
            for &(finding, net) in row {
                match place[finding] {
                    Place::Unseen => {}
                    Place::Off { mentioned } => present *= 1.0 - mentioned * net,
                    Place::Open(at) => links.push((at, net)),
                }
            }
            weighed.present.push(present);
            weighed.links.push(links);
        }
        weighed
    }

    /// P(evidence, no cause present).
    pub(super) fn none(&self) -> f64 {
        let absent: f64 = self.absent.iter().product();
        let open: f64 = self.open.iter().map(|finding| finding.likelihood(1.0)).product();
        self.quiet * absent * open
    }

    /// P(evidence, this cause alone present), for each cause.
    pub(super) fn alone(&self) -> Vec<f64> {
        let absent: f64 = self.absent.iter().product();
        let mut off = vec![1.0; self.open.len()];
        let mut alone = Vec::with_capacity(self.present.len());
        for cause in 0..self.present.len() {
            off.fill(1.0);
            for &(at, net) in &self.links[cause] {
                off[at] = 1.0 - net;
            }
            let open: f64 =
                self.open.iter().zip(&off).map(|(finding, off)| finding.likelihood(*off)).product();
            let others = absent / self.absent[cause];
            alone.push(self.quiet * others * self.present[cause] * open);
        }
        alone
    }
}

#[derive(Debug, Clone, Copy)]
enum Place {
    Unseen,
    /// Answered "no" (1), or unsaid, with the chance that it would be mentioned.
    Off { mentioned: f64 },
    Open(usize),
}

impl OpenFinding {
    /// Likelihood of what was said when the causes present leave the finding off with
    /// probability `off`, before the leak.
    pub fn likelihood(&self, off: f64) -> f64 {
        let off = (1.0 - self.leak) * off;
        self.if_absent * off + self.if_present * (1.0 - off)
    }
}

/// P(evidence), and P(evidence, cause present) for each cause.
pub(super) struct Masses {
    pub evidence: f64,
    pub causes: Vec<f64>,
    pub exact: bool,
}

/// The posterior given all the evidence.
pub fn posterior(network: &Network, evidence: &[Evidence]) -> Result<Posterior, DiagnosisError> {
    posterior_of_settled(network, &settle(network, evidence)?)
}

pub(super) fn posterior_of_settled(
    network: &Network,
    settled: &[Settled],
) -> Result<Posterior, DiagnosisError> {
    let weighed = Weighed::new(network, settled);
    let masses = explained_sum::sum(&weighed).unwrap_or_else(|| cause_sets::enumerate(&weighed));
    if masses.evidence <= 0.0 {
        let remedy = "one answer contradicts the table for every cause: look again";
        return Err(DiagnosisError::new("evidence", "impossible", remedy));
    }
    let none = weighed.none();
    let alone = weighed.alone();
    let one: f64 = alone.iter().sum();
    let share = |mass: f64| probability(mass / masses.evidence);
    Ok(Posterior {
        marginals: masses.causes.iter().map(|mass| share(*mass)).collect(),
        other: share(none),
        several: share(masses.evidence - none - one),
        log_evidence: masses.evidence.ln(),
        single: alone.iter().map(|mass| mass / (none + one)).collect(),
        single_unknown: none / (none + one),
        exact: masses.exact,
    })
}

/// Takes off what rounding added; anything further from a probability is our own mistake.
fn probability(value: f64) -> f64 {
    assert!(
        (-ROUNDING..=1.0 + ROUNDING).contains(&value),
        "a posterior of {value} is not a probability"
    );
    value.clamp(0.0, 1.0)
}

/// For each cause, how much each finding of the evidence speaks for it: the log-odds of the cause
/// given all the evidence less its log-odds without that finding. One (finding, contributions)
/// per finding said or answered, in order of finding; contributions are in the order of `causes`.
pub fn contributions(
    network: &Network,
    evidence: &[Evidence],
    causes: &[usize],
) -> Result<Vec<(usize, Vec<f64>)>, DiagnosisError> {
    let settled = settle(network, evidence)?;
    let all = posterior_of_settled(network, &settled)?;
    let mut rows = Vec::with_capacity(settled.len());
    for (left_out, item) in settled.iter().enumerate().filter(|(_, item)| !item.silent) {
        let mut rest = settled.clone();
        rest.remove(left_out);
        let without = posterior_of_settled(network, &rest)?;
        let change =
            |&cause: &usize| log_odds(all.marginals[cause]) - log_odds(without.marginals[cause]);
        rows.push((item.finding, causes.iter().map(change).collect()));
    }
    Ok(rows)
}

/// Log-odds, kept finite: beyond 1e-12 of certainty nothing is worth telling apart.
fn log_odds(probability: f64) -> f64 {
    let bounded = probability.clamp(1e-12, 1.0 - 1e-12);
    (bounded / (1.0 - bounded)).ln()
}
