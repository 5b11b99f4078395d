//! Which cause explains what was found, and what is the next step that wastes the fewest minutes?
//! This file holds the model of one kind of equipment: causes, findings, how strongly each cause
//! shows as each finding (leaky noisy-OR, two layers), and what can be done at the bench.
//! Deliberately absent: reading files, words of a complaint, display text, clocks, stored records.
//!
//! Order of reading: evidence (what was heard or seen, as likelihoods) -> posterior (what is
//! probable), foretold (which findings that makes likely) -> problem, network_problem,
//! repair_order, plan (what to do next) -> optimum (how good the plan is) -> learning,
//! between_groups (what confirmed fixes change) -> score (how good the probabilities are).

// What is known, and what is probable.
pub mod evidence;
pub mod posterior;
pub mod foretold;

mod explained_sum;

mod cause_sets;

// What to do next, and how good that is.
pub mod problem;

pub mod network_problem;

pub mod repair_order;

pub mod plan;

pub mod optimum;

// What is learned, and how good the probabilities are.
pub mod learning;

pub mod between_groups;

pub mod score;

mod checked;

#[cfg(test)]
mod learning_properties;
#[cfg(test)]
mod plan_properties;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod refusals;

use std::collections::BTreeMap;

pub use checked::DiagnosisError;
use checked::{at_most, known, positive, refuse_twins, strictly_within, within};

/// Faults expected on one machine before anything is known, for `priors_from_weights`. Most that
/// are complained of have one fault; with 0.3, about one in five has two (from memory).
pub const EXPECTED_FAULTS: f64 = 0.3;

/// A fault that some repair cures.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    pub id: String,
    /// P(present) before anything is known, strictly between 0 and 1.
    pub prior: f64,
    /// Minutes of the repair and of proving it, once the opening is done.
    pub repair_minutes: f64,
    /// P(the repair cures it | this cause), above 0 and at most 1.
    pub success: f64,
    /// The preparation the repair needs, as an index into `Bench::openings`.
    pub opening: Option<usize>,
    /// Whether the cure is work for a specialist, so that no repair of ours is planned.
    pub specialist: bool,
    /// The procedure that cures it. Causes with the same remedy and opening are cured by one and
    /// the same piece of work; an empty string is a remedy of its own.
    pub remedy: String,
}

/// A yes/no fact that a complaint volunteers or a check reveals.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub id: String,
    /// P(present | none of our causes is), from 0 up to but not including 1.
    pub leak: f64,
    /// P(we hear it in the words | it is true); for a denial, P(we hear it denied | it is absent).
    pub sensitivity: f64,
    /// P(we hear it in the words | it is not true); for a denial, P(we hear it denied | present).
    pub false_alarm: f64,
    /// Findings of one group say the same thing twice and count once. Empty: a group of its own.
    pub group: String,
}

/// P(finding present | only this cause is present): what an expert states. It includes the leak.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    pub cause: String,
    pub finding: String,
    pub probability: f64,
}

/// An action that settles findings, yes or no.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    pub id: String,
    /// Minutes of the check itself, once the opening is done.
    pub minutes: f64,
    pub opening: Option<usize>,
    /// Indices into `Network::findings`.
    pub reveals: Vec<usize>,
}

/// Shared preparation: paid once, then done for every check and repair that needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    pub id: String,
    pub minutes: f64,
}

/// What can be done about one kind of equipment, besides the repairs of its causes.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench {
    /// In order of id.
    pub checks: Vec<Check>,
    /// In the order given, because causes and checks point into it.
    pub openings: Vec<Opening>,
    /// What it costs, in minutes of this shop's time, to hand the fault to a specialist, who cures
    /// all of them.
    pub specialist_minutes: f64,
}

/// The causes and findings of one kind of equipment. Both are in order of id, so that no result
/// depends on the order in which they were written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    pub causes: Vec<Cause>,
    pub findings: Vec<Finding>,
    /// For each cause its (finding, net strength), in order of finding, without strengths of 0.
    pub links: Vec<Vec<(usize, f64)>>,
    /// The group number of each finding.
    groups: Vec<usize>,
}

/// The strength of a cause without the leak, from the probability that includes it.
/// Stated 0.80 with a leak of 0.01 is a net 0.797980. Refused below the leak: a cause cannot make
/// a finding rarer than it is without the cause.
pub fn net_strength(compound: f64, leak: f64) -> Result<f64, DiagnosisError> {
    if !(0.0..=1.0).contains(&compound) {
        return Err(DiagnosisError::new("probability", compound, "give a number from 0 to 1"));
    }
    if compound < leak {
        return Err(DiagnosisError::new(
            "probability",
            compound,
            format!("raise it to the leak of the finding, {leak}, or more; or remove the row"),
        ));
    }
    Ok(1.0 - (1.0 - compound) / (1.0 - leak))
}

/// Priors in proportion to `weights` such that `expected_faults` faults are present on average.
pub fn priors_from_weights(
    weights: &[f64],
    expected_faults: f64,
) -> Result<Vec<f64>, DiagnosisError> {
    positive("expected_faults", expected_faults)?;
    let total: f64 = weights.iter().sum();
    if let Some(weight) = weights.iter().find(|weight| !(weight.is_finite() && **weight > 0.0)) {
        return Err(DiagnosisError::new("weight", weight, "give a number above 0"));
    }
    let priors: Vec<f64> = weights.iter().map(|weight| expected_faults * weight / total).collect();
    if let Some(prior) = priors.iter().find(|prior| **prior >= 1.0) {
        let remedy = "lower the expected number of faults or the largest weight";
        return Err(DiagnosisError::new("prior", prior, remedy));
    }
    Ok(priors)
}

impl Network {
    /// Builds the network from what experts state: links are compound probabilities.
    pub fn from_compound(
        causes: Vec<Cause>,
        findings: Vec<Finding>,
        links: &[Link],
    ) -> Result<Network, DiagnosisError> {
        Network::build(causes, findings, links, |link, finding| {
            net_strength(link.probability, finding.leak).map_err(|error| DiagnosisError {
                field: format!("{} of {} given {}", error.field, link.finding, link.cause),
                ..error
            })
        })
    }

    /// Builds the network from net strengths, which leave the leak out.
    pub fn from_net(
        causes: Vec<Cause>,
        findings: Vec<Finding>,
        links: &[Link],
    ) -> Result<Network, DiagnosisError> {
        Network::build(causes, findings, links, |link, _| {
            let field = format!("strength of {} given {}", link.finding, link.cause);
            within(&field, link.probability, 0.0, 1.0).map(|()| link.probability)
        })
    }

    fn build(
        mut causes: Vec<Cause>,
        mut findings: Vec<Finding>,
        links: &[Link],
        strength: impl Fn(&Link, &Finding) -> Result<f64, DiagnosisError>,
    ) -> Result<Network, DiagnosisError> {
        causes.sort_by(|a, b| a.id.cmp(&b.id));
        findings.sort_by(|a, b| a.id.cmp(&b.id));
        refuse_twins("cause", causes.iter().map(|cause| cause.id.as_str()))?;
        refuse_twins("finding", findings.iter().map(|finding| finding.id.as_str()))?;
        causes.iter().try_for_each(Cause::validate)?;
        findings.iter().try_for_each(Finding::validate)?;
        let groups = number_groups(&findings);
        let empty = vec![Vec::new(); causes.len()];
        let mut network = Network { causes, findings, links: empty, groups };
        for link in links {
            let cause = network.cause_index(&link.cause)?;
            let finding = network.finding_index(&link.finding)?;
            let net = strength(link, &network.findings[finding])?;
            network.links[cause].push((finding, net));
        }
        for cause in 0..network.causes.len() {
            let row = &mut network.links[cause];
            row.sort_by_key(|&(finding, _)| finding);
            if let Some(pair) = row.windows(2).find(|pair| pair[0].0 == pair[1].0) {
                let twin = &network.findings[pair[0].0].id;
                let field = format!("link from {}", network.causes[cause].id);
                return Err(DiagnosisError::new(field, twin, "state each pair once"));
            }
            row.retain(|&(_, net)| net > 0.0);
        }
        Ok(network)
    }

    pub fn cause_index(&self, id: &str) -> Result<usize, DiagnosisError> {
        self.causes.binary_search_by(|cause| cause.id.as_str().cmp(id)).map_err(|_| {
            DiagnosisError::new("cause", id, "use the id of a cause of this equipment")
        })
    }

    pub fn finding_index(&self, id: &str) -> Result<usize, DiagnosisError> {
        let remedy = "use the id of a finding of this equipment";
        self.findings
            .binary_search_by(|finding| finding.id.as_str().cmp(id))
            .map_err(|_| DiagnosisError::new("finding", id, remedy))
    }

    /// The net strength of a link; 0 when the cause does not show as the finding.
    pub fn strength(&self, cause: usize, finding: usize) -> f64 {
        let row = &self.links[cause];
        row.binary_search_by_key(&finding, |&(linked, _)| linked).map_or(0.0, |at| row[at].1)
    }

    /// Replaces a net strength; 0 removes the link.
    fn set_strength(&mut self, cause: usize, finding: usize, net: f64) {
        let row = &mut self.links[cause];
        match row.binary_search_by_key(&finding, |&(linked, _)| linked) {
            Ok(at) if net > 0.0 => row[at].1 = net,
            Ok(at) => drop(row.remove(at)),
            Err(at) if net > 0.0 => row.insert(at, (finding, net)),
            Err(_) => {}
        }
    }

    /// P(finding present | only this cause is present), leak included.
    pub fn compound(&self, cause: usize, finding: usize) -> f64 {
        with_leak(self.findings[finding].leak, self.strength(cause, finding))
    }

    /// The number shared by all findings that say the same thing as this one.
    pub fn group(&self, finding: usize) -> usize {
        self.groups[finding]
    }
}

/// The chance of a finding that its leak or a cause of this net strength turns on.
fn with_leak(leak: f64, net: f64) -> f64 {
    1.0 - (1.0 - leak) * (1.0 - net)
}

impl Bench {
    /// Checks the numbers and puts the checks in order of id.
    pub fn new(
        network: &Network,
        mut checks: Vec<Check>,
        openings: Vec<Opening>,
        specialist_minutes: f64,
    ) -> Result<Bench, DiagnosisError> {
        checks.sort_by(|a, b| a.id.cmp(&b.id));
        refuse_twins("check", checks.iter().map(|check| check.id.as_str()))?;
        positive("specialist_minutes", specialist_minutes)?;
        at_most("number of checks", checks.len(), problem::BITS)?;
        at_most("number of openings", openings.len(), problem::BITS)?;
        at_most("number of findings", network.findings.len(), problem::FACTS_MAX)?;
        for opening in &openings {
            within(&format!("minutes of opening {}", opening.id), opening.minutes, 0.0, f64::MAX)?;
        }
        for check in &mut checks {
            positive(&format!("minutes of check {}", check.id), check.minutes)?;
            known(&format!("opening of check {}", check.id), check.opening, openings.len())?;
            check.reveals.sort_unstable();
            check.reveals.dedup();
            let field = format!("reveals of check {}", check.id);
            known(&field, check.reveals.last().copied(), network.findings.len())?;
        }
        for cause in &network.causes {
            known(&format!("opening of cause {}", cause.id), cause.opening, openings.len())?;
        }
        Ok(Bench { checks, openings, specialist_minutes })
    }
}

impl Cause {
    fn validate(&self) -> Result<(), DiagnosisError> {
        let of = |what: &str| format!("{what} of cause {}", self.id);
        strictly_within(&of("prior"), self.prior, 0.0, 1.0)?;
        positive(&of("repair_minutes"), self.repair_minutes)?;
        positive(&of("success"), self.success)?;
        within(&of("success"), self.success, 0.0, 1.0)
    }
}

impl Finding {
    fn validate(&self) -> Result<(), DiagnosisError> {
        let of = |what: &str| format!("{what} of finding {}", self.id);
        within(&of("leak"), self.leak, 0.0, 1.0)?;
        if self.leak == 1.0 {
            let remedy = "give less than 1: a finding that is always present says nothing";
            return Err(DiagnosisError::new(of("leak"), self.leak, remedy));
        }
        within(&of("sensitivity"), self.sensitivity, 0.0, 1.0)?;
        within(&of("false_alarm"), self.false_alarm, 0.0, 1.0)?;
        if self.false_alarm >= self.sensitivity {
            let remedy = format!("give less than the sensitivity, {}", self.sensitivity);
            return Err(DiagnosisError::new(of("false_alarm"), self.false_alarm, remedy));
        }
        Ok(())
    }
}

/// Findings with the same non-empty group name share a number; each other finding has its own.
fn number_groups(findings: &[Finding]) -> Vec<usize> {
    let mut named: BTreeMap<&str, usize> = BTreeMap::new();
    let mut numbers = Vec::with_capacity(findings.len());
    for (index, finding) in findings.iter().enumerate() {
        let number = match finding.group.as_str() {
            "" => index,
            name => *named.entry(name).or_insert(index),
        };
        numbers.push(number);
    }
    numbers
}
