//! How likely is each finding from everything else that was said? What is said of the finding
//! itself is left out, so that it can be asked whether hearing it makes sense. Of findings that say
//! the same thing twice the one that counts stays for the others.
//!
//! At most one cause is taken to be there, as in the belief of the planner: then the share of one
//! finding in the weight of a cause can be divided out, and all findings cost one pass.

use super::evidence::{Evidence, Settled, settle};
use super::posterior::{OpenFinding, Weighed};
use super::{DiagnosisError, Network, with_leak};

/// P(finding present | the evidence but its own), one per finding of the network.
pub fn foretold(network: &Network, evidence: &[Evidence]) -> Result<Vec<f64>, DiagnosisError> {
    let settled = settle(network, evidence)?;
    let weighed = Weighed::new(network, &settled);
    let (alone, none) = (weighed.alone(), weighed.none());
    let mut own: Vec<Option<&Settled>> = vec![None; network.findings.len()];
    for item in &settled {
        own[item.finding] = Some(item);
    }
    Ok((0..network.findings.len())
        .map(|finding| {
            let leak = network.findings[finding].leak;
            let weight = |mass: f64, net: f64| match own[finding] {
                Some(item) => divided(mass, said(item, leak, net)),
                None => mass,
            };
            let mut all = weight(none, 0.0);
            let mut present = all * leak;
            for (cause, mass) in alone.iter().enumerate() {
                let net = network.strength(cause, finding);
                let mass = weight(*mass, net);
                all += mass;
                present += mass * with_leak(leak, net);
            }
            divided(present, all)
        })
        .collect())
}

/// The likelihood of what was said of a finding when a cause of this net strength is alone there.
fn said(item: &Settled, leak: f64, net: f64) -> f64 {
    if item.silent || item.if_present == 0.0 {
        let mentioned = 1.0 - item.if_present;
        return (1.0 - mentioned * leak) * (1.0 - mentioned * net);
    }
    let open = OpenFinding {
        if_present: item.if_present,
        if_absent: item.if_absent,
        leak: leak * item.leak_share,
    };
    open.likelihood(1.0 - net)
}

/// Nothing is nothing, however small the whole.
fn divided(part: f64, whole: f64) -> f64 {
    if part > 0.0 { part / whole } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::super::evidence::EvidenceKind;
    use super::super::posterior::posterior;
    use super::super::{Cause, Finding, Link};
    use super::*;

    fn network() -> Network {
        let cause = |id: &str, prior| Cause {
            id: id.to_owned(),
            prior,
            repair_minutes: 10.0,
            success: 1.0,
            opening: None,
            specialist: false,
            remedy: String::new(),
        };
        let finding = |id: &str, leak| Finding {
            id: id.to_owned(),
            leak,
            sensitivity: 0.9,
            false_alarm: 0.05,
            group: String::new(),
        };
        let causes = vec![cause("blunt", 0.2), cause("loose", 0.1)];
        let findings = vec![finding("torn", 0.05), finding("noise", 0.02), finding("shake", 0.01)];
        let link = |cause: &str, finding: &str, probability| Link {
            cause: cause.to_owned(),
            finding: finding.to_owned(),
            probability,
        };
        let links = [
            link("blunt", "torn", 0.8),
            link("blunt", "noise", 0.1),
            link("loose", "noise", 0.6),
            link("loose", "shake", 0.7),
        ];
        Network::from_net(causes, findings, &links).expect("valid")
    }

    /// The same the long way: the belief without what was said of the finding, cause by cause.
    #[test]
    fn what_is_said_of_a_finding_does_not_foretell_it() {
        let network = network();
        let evidence = [
            Evidence {
                finding: 0,
                present: true,
                kind: EvidenceKind::Complained { confidence: 0.8, incidental: 0.05 },
            },
            Evidence { finding: 1, present: false, kind: EvidenceKind::Unsaid { mentioned: 0.6 } },
            Evidence { finding: 2, present: false, kind: EvidenceKind::Heard { confidence: 0.9 } },
        ];
        let all = foretold(&network, &evidence).expect("valid");
        for (finding, likely) in all.iter().enumerate() {
            let rest: Vec<Evidence> =
                evidence.iter().copied().filter(|item| item.finding != finding).collect();
            let belief = posterior(&network, &rest).expect("valid");
            let leak = network.findings[finding].leak;
            let by_cause = belief.single.iter().enumerate();
            let shown = by_cause.map(|(cause, mass)| mass * network.compound(cause, finding));
            let expected = belief.single_unknown * leak + shown.sum::<f64>();
            assert!((likely - expected).abs() < 1e-12, "{finding}: {likely} {expected}");
        }
    }
}
