//! What holds for every network and all evidence: random small networks against the definition.

use proptest::prelude::{Strategy, any, prop, prop_assert, prop_assert_eq, proptest};

use super::evidence::{Evidence, EvidenceKind, settle};
use super::posterior::{Masses, Posterior, Weighed, contributions, posterior};
use super::{Cause, Finding, Link, Network, cause_sets, explained_sum};

/// A network as plain numbers, and evidence about it.
#[derive(Debug, Clone)]
struct Drawn {
    priors: Vec<f64>,
    leaks: Vec<f64>,
    /// Net strengths by cause and finding; 0 is no link.
    strengths: Vec<Vec<f64>>,
    said: Vec<Said>,
}

/// What was said about one finding: nothing, heard, or answered.
#[derive(Debug, Clone, Copy)]
struct Said {
    kind: u8,
    present: bool,
    confidence: f64,
}

fn drawn(causes_max: usize, findings_max: usize) -> impl Strategy<Value = Drawn> {
    (1..=causes_max, 1..=findings_max).prop_flat_map(|(causes, findings)| {
        let strength = (any::<bool>(), 0.02..0.98).prop_map(|(on, net)| if on { net } else { 0.0 });
        let said = (0u8..4, any::<bool>(), 0.0..=1.0)
            .prop_map(|(kind, present, confidence)| Said { kind, present, confidence });
        (
            prop::collection::vec(0.001..0.6, causes),
            prop::collection::vec(0.001..0.5, findings),
            prop::collection::vec(prop::collection::vec(strength, findings), causes),
            prop::collection::vec(said, findings),
        )
            .prop_map(|(priors, leaks, strengths, said)| Drawn {
                priors,
                leaks,
                strengths,
                said,
            })
    })
}

impl Drawn {
    fn parts(&self) -> (Vec<Cause>, Vec<Finding>, Vec<Link>) {
        let cause = |(at, prior): (usize, &f64)| Cause {
            id: format!("d{at:02}"),
            prior: *prior,
            repair_minutes: 10.0,
            success: 0.9,
            opening: None,
            specialist: false,
            remedy: String::new(),
        };
        let finding = |(at, leak): (usize, &f64)| Finding {
            id: format!("f{at:02}"),
            leak: *leak,
            sensitivity: 0.8,
            false_alarm: 0.03,
            group: String::new(),
        };
        let mut links = Vec::new();
        for (cause, row) in self.strengths.iter().enumerate() {
            for (finding, net) in row.iter().enumerate().filter(|(_, net)| **net > 0.0) {
                let (cause, finding) = (format!("d{cause:02}"), format!("f{finding:02}"));
                links.push(Link { cause, finding, probability: *net });
            }
        }
        (
            self.priors.iter().enumerate().map(cause).collect(),
            self.leaks.iter().enumerate().map(finding).collect(),
            links,
        )
    }

    fn network(&self) -> Network {
        let (causes, findings, links) = self.parts();
        Network::from_net(causes, findings, &links).expect("drawn within bounds")
    }

    fn evidence(&self) -> Vec<Evidence> {
        let mut evidence = Vec::new();
        for (finding, said) in self.said.iter().enumerate() {
            let kind = match said.kind {
                0 => continue,
                1 => EvidenceKind::Heard { confidence: said.confidence },
                _ => EvidenceKind::Answered,
            };
            evidence.push(Evidence { finding, present: said.present, kind });
        }
        evidence
    }
}

/// The definition: every set of causes, weighed one by one.
fn by_definition(network: &Network, evidence: &[Evidence]) -> Posterior {
    let settled = settle(network, evidence).expect("valid");
    let count = network.causes.len();
    let (mut total, mut none, mut one) = (0.0, 0.0, 0.0);
    let mut marginals = vec![0.0; count];
    let mut single = vec![0.0; count];
    for set in 0u32..1 << count {
        let present: Vec<usize> = (0..count).filter(|cause| set & (1 << cause) != 0).collect();
        let mut mass = 1.0;
        for (cause, known) in network.causes.iter().enumerate() {
            mass *= if present.contains(&cause) { known.prior } else { 1.0 - known.prior };
        }
        for item in &settled {
            let mut off = 1.0 - network.findings[item.finding].leak;
            for &cause in &present {
                off *= 1.0 - network.strength(cause, item.finding);
            }
            mass *= item.if_absent * off + item.if_present * (1.0 - off);
        }
        total += mass;
        present.iter().for_each(|&cause| marginals[cause] += mass);
        match present[..] {
            [] => none += mass,
            [cause] => {
                one += mass;
                single[cause] = mass;
            }
            _ => {}
        }
    }
    Posterior {
        marginals: marginals.iter().map(|mass| mass / total).collect(),
        other: none / total,
        several: (total - none - one) / total,
        log_evidence: total.ln(),
        single: single.iter().map(|mass| mass / (none + one)).collect(),
        single_unknown: none / (none + one),
        exact: true,
    }
}

/// The classic alternating sum over subsets of the positive findings (Heckerman 1989, published).
fn quickscore(network: &Network, positive: &[usize], negative: &[usize]) -> f64 {
    let mut sum = 0.0;
    for subset in 0u32..1 << positive.len() {
        let chosen = positive.iter().enumerate().filter(|(at, _)| subset & (1 << at) != 0);
        let off: Vec<usize> =
            negative.iter().copied().chain(chosen.map(|(_, finding)| *finding)).collect();
        let mut term: f64 = off.iter().map(|&f| 1.0 - network.findings[f].leak).product();
        for (cause, known) in network.causes.iter().enumerate() {
            let stays: f64 = off.iter().map(|&f| 1.0 - network.strength(cause, f)).product();
            term *= known.prior * stays + 1.0 - known.prior;
        }
        sum += if subset.count_ones() % 2 == 0 { term } else { -term };
    }
    sum
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-10 * (1.0 + a.abs().max(b.abs()))
}

fn all_close(a: &Posterior, b: &Posterior) -> bool {
    a.marginals.iter().zip(&b.marginals).all(|(a, b)| close(*a, *b))
        && a.single.iter().zip(&b.single).all(|(a, b)| close(*a, *b))
        && close(a.other, b.other)
        && close(a.several, b.several)
        && close(a.log_evidence, b.log_evidence)
        && close(a.single_unknown, b.single_unknown)
}

/// Every number as bits, so that "the same" means the same bytes.
fn bytes(posterior: &Posterior) -> Vec<u64> {
    let rest = [posterior.other, posterior.several, posterior.log_evidence];
    let all = posterior.marginals.iter().chain(&posterior.single).chain(&rest);
    all.chain([&posterior.single_unknown]).map(|value| value.to_bits()).collect()
}

fn relative(masses: &Masses) -> Vec<f64> {
    masses.causes.iter().map(|mass| mass / masses.evidence).collect()
}

proptest! {
    #[test]
    fn posterior_is_the_definition(drawn in drawn(6, 8)) {
        let (network, evidence) = (drawn.network(), drawn.evidence());
        let found = posterior(&network, &evidence).expect("leaks make all possible");
        prop_assert!(found.exact);
        let expected = by_definition(&network, &evidence);
        prop_assert!(all_close(&found, &expected), "{found:?} is not {expected:?}");
    }

    #[test]
    fn chances_sum_properly(drawn in drawn(6, 8)) {
        let (network, evidence) = (drawn.network(), drawn.evidence());
        let found = posterior(&network, &evidence).expect("possible");
        let single: f64 = found.single.iter().sum();
        prop_assert!(close(single + found.single_unknown, 1.0));
        let at_least_one: f64 = found.marginals.iter().sum();
        prop_assert!(at_least_one >= 1.0 - found.other - 1e-9);
        prop_assert!(found.marginals.iter().all(|p| (0.0..=1.0).contains(p)));
        // The expected number of faults is P(one) + 2 P(two) + 3 P(three) and so on.
        let one = 1.0 - found.other - found.several;
        prop_assert!(at_least_one >= one + 2.0 * found.several - 1e-9);
    }

    #[test]
    fn the_classic_sum_agrees(drawn in drawn(6, 7)) {
        let network = drawn.network();
        let answered = |wanted: bool| -> Vec<usize> {
            (0..drawn.said.len())
                .filter(|&f| drawn.said[f].kind > 1 && drawn.said[f].present == wanted)
                .collect()
        };
        let (positive, negative) = (answered(true), answered(false));
        let mut evidence = drawn.evidence();
        evidence.retain(|item| item.kind == EvidenceKind::Answered);
        let found = posterior(&network, &evidence).expect("possible").log_evidence.exp();
        let classic = quickscore(&network, &positive, &negative);
        // The classic sum has lost digits to cancellation; ours has not.
        prop_assert!((found - classic).abs() <= 1e-13, "{found} against {classic}");
    }

    #[test]
    fn sets_of_three_are_exact_for_three_causes(drawn in drawn(3, 8)) {
        let network = drawn.network();
        let settled = settle(&network, &drawn.evidence()).expect("valid");
        let weighed = Weighed::new(&network, &settled);
        let (sum, sets) =
            (explained_sum::sum(&weighed).expect("narrow"), cause_sets::enumerate(&weighed));
        prop_assert!(sets.exact && close(sum.evidence.ln(), sets.evidence.ln()));
        for (a, b) in relative(&sum).iter().zip(relative(&sets)) {
            prop_assert!(close(*a, b));
        }
    }

    #[test]
    fn order_changes_no_byte(drawn in drawn(5, 6), turn in 0usize..30) {
        let (mut causes, mut findings, mut links) = drawn.parts();
        let plain = Network::from_net(causes.clone(), findings.clone(), &links).expect("valid");
        let (causes_len, findings_len) = (causes.len(), findings.len());
        causes.rotate_left(turn % causes_len);
        findings.reverse();
        findings.rotate_left(turn % findings_len);
        links.reverse();
        let turned = Network::from_net(causes, findings, &links).expect("valid");
        let mut evidence = drawn.evidence();
        let expected = posterior(&plain, &evidence).expect("possible");
        let reasons = contributions(&plain, &evidence, &[0]).expect("possible");
        evidence.reverse();
        let len = evidence.len().max(1);
        evidence.rotate_left(turn % len);
        let found = posterior(&turned, &evidence).expect("possible");
        prop_assert_eq!(bytes(&found), bytes(&expected));
        prop_assert_eq!(contributions(&turned, &evidence, &[0]).expect("possible"), reasons);
    }

    #[test]
    fn silence_says_nothing(drawn in drawn(5, 6)) {
        let evidence = drawn.evidence();
        let expected = posterior(&drawn.network(), &evidence).expect("possible");
        let mut more = drawn.clone();
        more.leaks.push(0.3);
        more.strengths.iter_mut().for_each(|row| row.push(0.7));
        let found = posterior(&more.network(), &evidence).expect("possible");
        prop_assert_eq!(bytes(&found), bytes(&expected));
    }

    #[test]
    fn a_reading_without_confidence_says_nothing(drawn in drawn(5, 6)) {
        let network = drawn.network();
        let mut evidence = drawn.evidence();
        evidence.retain(|item| item.finding != 0);
        let expected = posterior(&network, &evidence).expect("possible");
        let kind = EvidenceKind::Heard { confidence: 0.0 };
        evidence.push(Evidence { finding: 0, present: true, kind });
        let found = posterior(&network, &evidence).expect("possible");
        for (a, b) in found.marginals.iter().zip(&expected.marginals) {
            prop_assert!(close(*a, *b));
        }
    }

    #[test]
    fn a_larger_leak_makes_us_less_sure(drawn in drawn(5, 5), add in 0.01..0.4) {
        let mut leaky = drawn.clone();
        leaky.leaks[0] += add;
        let mut evidence = drawn.evidence();
        evidence.retain(|item| item.finding != 0);
        let seen = Evidence { finding: 0, present: true, kind: EvidenceKind::Answered };
        evidence.push(seen);
        let tight = posterior(&drawn.network(), &evidence).expect("possible").other;
        let loose = posterior(&leaky.network(), &evidence).expect("possible").other;
        prop_assert!(loose >= tight - 1e-12, "{loose} with the leak, {tight} without");
        let linked = drawn.strengths.iter().any(|row| row[0] > 0.0);
        prop_assert!(!linked || loose > tight);
    }

    #[test]
    fn a_cause_apart_is_not_argued_for(drawn in drawn(4, 5)) {
        let mut apart = drawn.clone();
        apart.priors.push(0.2);
        apart.strengths.push(vec![0.0; drawn.leaks.len()]);
        let network = apart.network();
        let lonely = network.causes.len() - 1;
        let rows = contributions(&network, &apart.evidence(), &[lonely]).expect("possible");
        for (_, changes) in rows {
            prop_assert!(changes[0].abs() < 1e-9, "{changes:?}");
        }
        let found = posterior(&network, &apart.evidence()).expect("possible");
        prop_assert!(close(found.marginals[lonely], 0.2));
    }
}

/// Fourteen findings of 1 in 1,000 each, each by its leak alone: the classic sum would have to find
/// 1e-42 among terms near 1. Worked by hand: the product of the leaks, and the prior unmoved.
#[test]
fn rare_findings_do_not_cancel() {
    let drawn = Drawn {
        priors: vec![0.02, 0.05],
        leaks: vec![0.001; 14],
        strengths: vec![vec![0.0; 14]; 2],
        said: vec![Said { kind: 2, present: true, confidence: 1.0 }; 14],
    };
    let found = posterior(&drawn.network(), &drawn.evidence()).expect("possible");
    assert!((found.log_evidence - 14.0 * 0.001_f64.ln()).abs() < 1e-12);
    assert!((found.marginals[0] - 0.02).abs() < 1e-15);
    let classic = quickscore(&drawn.network(), &(0..14).collect::<Vec<usize>>(), &[]);
    assert!((classic / 1e-42 - 1.0).abs() > 1.0, "{classic} is no better than ours");
}

/// Twenty findings of which each cause shows all: too wide for the exact sum, so sets of three.
#[test]
fn too_many_open_findings_fall_back_to_sets_of_causes() {
    let said = Said { kind: 1, present: true, confidence: 1.0 };
    let drawn = Drawn {
        priors: vec![0.03; 6],
        leaks: vec![0.02; 20],
        strengths: (0..6).map(|cause| vec![0.15 * (cause + 1) as f64; 20]).collect(),
        said: vec![said; 20],
    };
    let (network, evidence) = (drawn.network(), drawn.evidence());
    let found = posterior(&network, &evidence).expect("possible");
    assert!(!found.exact, "sets of four or more were left out");
    let expected = by_definition(&network, &evidence);
    for (a, b) in found.marginals.iter().zip(&expected.marginals) {
        assert!((a - b).abs() < 0.01, "{a} against {b}");
    }
}
