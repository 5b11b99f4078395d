//! What does each thing heard or answered say about a finding, as a pair of likelihoods?
//! An answered check is hard evidence. A finding heard in words is virtual evidence: people say
//! what is not so and leave out what is. Silence about a finding is never a "no"; where people who
//! see a thing would often say so, their silence is weak evidence, and else it has no entry here at
//! all. Deliberately absent: how words are recognised.

use super::checked::within;
use super::{DiagnosisError, Network};

/// One thing known about one finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    pub finding: usize,
    pub present: bool,
    pub kind: EvidenceKind,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EvidenceKind {
    /// Read out of the words of a complaint, with the confidence of the reading, 0 to 1.
    Heard { confidence: f64 },
    /// The same, read out of a complaint of the fault itself: what is there by chance is told of
    /// `incidental` times as often as what the fault does, so that much of the leak remains.
    Complained { confidence: f64, incidental: f64 },
    /// Seen by someone who looked: taken as certain.
    Answered,
    /// Not among the words of a complaint; of those who have it, this share would have said so.
    Unsaid { mentioned: f64 },
}

/// What counts about one finding once all that was said about it is settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    pub finding: usize,
    /// Likelihood of what was said if the finding is present.
    pub if_present: f64,
    /// Likelihood of what was said if the finding is absent.
    pub if_absent: f64,
    /// Nothing was said: each cause that shows as the finding would have had it mentioned by
    /// itself, so that silence costs the sums no more than an answered "no".
    pub silent: bool,
    /// How much of the leak of the finding could have led to what was said.
    pub leak_share: f64,
}

impl Settled {
    /// Whether a check has settled the finding for certain.
    pub fn is_hard(&self) -> bool {
        !self.silent && (self.if_present == 0.0 || self.if_absent == 0.0)
    }
}

/// Turns evidence into at most one pair of likelihoods per group of findings, in order of finding.
///
/// Within a group the strongest stays: an answer before hearsay, then the larger change of odds,
/// silence last, then a "yes" before a "no" (a thing seen says more than its twin not seen), then
/// the lower id.
/// The rule is a total order, so the order in which evidence arrives cannot matter.
pub fn settle(network: &Network, evidence: &[Evidence]) -> Result<Vec<Settled>, DiagnosisError> {
    let mut ranked: Vec<(usize, &Evidence, Settled)> = Vec::with_capacity(evidence.len());
    for item in evidence {
        let settled = likelihoods(network, item)?;
        ranked.push((network.group(item.finding), item, settled));
    }
    refuse_contradictions(network, evidence)?;
    ranked.sort_by(|a, b| {
        a.0.cmp(&b.0)
            .then_with(|| strength(&b.2).total_cmp(&strength(&a.2)))
            .then_with(|| b.1.present.cmp(&a.1.present))
            .then_with(|| a.1.finding.cmp(&b.1.finding))
    });
    ranked.dedup_by_key(|(group, _, _)| *group);
    let mut settled: Vec<Settled> = ranked.into_iter().map(|(_, _, settled)| settled).collect();
    settled.sort_by_key(|item| item.finding);
    Ok(settled)
}

fn likelihoods(network: &Network, item: &Evidence) -> Result<Settled, DiagnosisError> {
    let Some(finding) = network.findings.get(item.finding) else {
        let remedy = format!("give an index below {}", network.findings.len());
        return Err(DiagnosisError::new("finding", item.finding, remedy));
    };
    let (agrees, differs) = match item.kind {
        EvidenceKind::Unsaid { mentioned } => {
            within(&format!("chance of finding {} being said", finding.id), mentioned, 0.0, 1.0)?;
            return Ok(Settled {
                finding: item.finding,
                if_present: 1.0 - mentioned,
                if_absent: 1.0,
                silent: true,
                leak_share: 1.0,
            });
        }
        EvidenceKind::Answered => (1.0, 0.0),
        EvidenceKind::Heard { confidence } | EvidenceKind::Complained { confidence, .. } => {
            within(&format!("confidence of finding {}", finding.id), confidence, 0.0, 1.0)?;
            // A doubtful reading is part true hearing, part noise that says nothing either way.
            let noise = (1.0 - confidence) * (finding.sensitivity + finding.false_alarm) / 2.0;
            (confidence * finding.sensitivity + noise, confidence * finding.false_alarm + noise)
        }
    };
    let (if_present, if_absent) = if item.present { (agrees, differs) } else { (differs, agrees) };
    let leak_share = match item.kind {
        EvidenceKind::Complained { incidental, .. } if item.present => {
            within(&format!("incidental share of {}", finding.id), incidental, 0.0, 1.0)?;
            incidental
        }
        _ => 1.0,
    };
    Ok(Settled { finding: item.finding, if_present, if_absent, silent: false, leak_share })
}

/// How far the evidence moves the odds of its finding; infinite for an answer, and less than all
/// else for silence.
fn strength(settled: &Settled) -> f64 {
    if settled.silent {
        return -1.0;
    }
    if settled.is_hard() {
        return f64::INFINITY;
    }
    (settled.if_present / settled.if_absent).ln().abs()
}

fn refuse_contradictions(network: &Network, evidence: &[Evidence]) -> Result<(), DiagnosisError> {
    let mut answers: Vec<(usize, bool)> = evidence
        .iter()
        .filter(|item| item.kind == EvidenceKind::Answered)
        .map(|item| (item.finding, item.present))
        .collect();
    answers.sort_unstable();
    answers.dedup();
    match answers.windows(2).find(|pair| pair[0].0 == pair[1].0) {
        Some(pair) => {
            let field = format!("finding {}", network.findings[pair[0].0].id);
            let remedy = "look again and send one answer";
            Err(DiagnosisError::new(field, "answered both yes and no", remedy))
        }
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::diagnosis::Finding;

    fn network(groups: &[&str]) -> Network {
        let one = |(at, group): (usize, &&str)| Finding {
            id: format!("f{at}"),
            leak: 0.1,
            sensitivity: 0.8,
            false_alarm: 0.1,
            group: (*group).to_string(),
        };
        let findings = groups.iter().enumerate().map(one).collect();
        Network::from_net(Vec::new(), findings, &[]).expect("valid")
    }

    fn heard(finding: usize, present: bool, confidence: f64) -> Evidence {
        Evidence { finding, present, kind: EvidenceKind::Heard { confidence } }
    }

    fn answered(finding: usize, present: bool) -> Evidence {
        Evidence { finding, present, kind: EvidenceKind::Answered }
    }

    /// One row: what was said, and (finding, likelihood if present, if absent) of what counts.
    fn check(groups: &[&str], said: &[Evidence], expected: &[(usize, f64, f64)]) {
        let mut said = said.to_vec();
        for _ in 0..2 {
            let settled = settle(&network(groups), &said).expect("valid");
            let found: Vec<(usize, f64, f64)> = settled
                .iter()
                .map(|item| (item.finding, item.if_present, item.if_absent))
                .collect();
            assert_eq!(found, expected, "{said:?}");
            said.reverse();
        }
    }

    #[test]
    fn hearing_is_likelihood_and_answers_are_certain() {
        check(&[""], &[heard(0, true, 1.0)], &[(0, 0.8, 0.1)]);
        check(&[""], &[heard(0, false, 1.0)], &[(0, 0.1, 0.8)]);
        check(&[""], &[heard(0, true, 0.5)], &[(0, 0.625, 0.275)]);
        check(&[""], &[answered(0, true)], &[(0, 1.0, 0.0)]);
        check(&[""], &[answered(0, false)], &[(0, 0.0, 1.0)]);
        check(&["", ""], &[], &[]);
    }

    #[test]
    fn silence_counts_least() {
        let unsaid = |finding: usize, mentioned: f64| Evidence {
            finding,
            present: false,
            kind: EvidenceKind::Unsaid { mentioned },
        };
        check(&[""], &[unsaid(0, 0.25)], &[(0, 0.75, 1.0)]);
        check(&["wet", "wet"], &[unsaid(0, 1.0), heard(1, true, 0.0)], &[(1, 0.45, 0.45)]);
        check(&["wet", "wet"], &[unsaid(0, 1.0), answered(1, true)], &[(1, 1.0, 0.0)]);
    }

    #[test]
    fn one_of_a_group_counts() {
        let twins = ["wet", "", "wet"];
        let [weak, strong] = [heard(0, true, 0.5), heard(2, true, 1.0)];
        check(&twins, &[weak, strong], &[(2, 0.8, 0.1)]);
        check(&twins, &[strong, answered(0, false)], &[(0, 0.0, 1.0)]);
        check(&twins, &[answered(0, false), answered(2, true)], &[(2, 1.0, 0.0)]);
        check(&twins, &[answered(0, false), answered(2, false)], &[(0, 0.0, 1.0)]);
        check(&twins, &[strong, heard(1, true, 1.0)], &[(1, 0.8, 0.1), (2, 0.8, 0.1)]);
        check(&[""], &[heard(0, true, 1.0), answered(0, false)], &[(0, 0.0, 1.0)]);
    }
}
