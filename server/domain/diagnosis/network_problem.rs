//! What does the planner have to decide about this machine, after this evidence? Turns network,
//! bench and posterior into a problem: the likely causes become hypotheses, their remedies repairs,
//! and the checks that bring news questions.

use super::evidence::Settled;
use super::posterior::Posterior;
use super::problem::{Answer, Problem, Question, Repair, agree};
use super::{Bench, Check, DiagnosisError, Network, with_leak};

/// Causes kept apart in a plan; the rest count as unknown.
pub const LIVE_CAUSES_MAX: usize = 24;
/// A cause with a smaller share of the belief counts as unknown in a plan.
pub const LIVE_SHARE_MIN: f64 = 0.002;
/// A problem taken from a network, and what its numbers stand for there.
#[derive(Debug, Clone, PartialEq)]
pub struct NetworkProblem {
    pub problem: Problem,
    /// The causes behind the hypotheses, in order of index; the unknown fault has none.
    pub hypotheses: Vec<usize>,
    /// The check behind each question.
    pub questions: Vec<usize>,
}

impl NetworkProblem {
    /// The problem that remains after the evidence.
    pub fn new(
        network: &Network,
        bench: &Bench,
        posterior: &Posterior,
        settled: &[Settled],
    ) -> Result<NetworkProblem, DiagnosisError> {
        let hypotheses = live_causes(&posterior.single);
        let mut belief: Vec<f64> =
            hypotheses.iter().map(|&cause| posterior.single[cause]).collect();
        // Everything not kept apart is unknown; summing what is left avoids a difference.
        let kept = |cause: &usize| hypotheses.binary_search(cause).is_ok();
        let rest: Vec<usize> =
            (0..posterior.single.len()).filter(|cause| !kept(cause)).collect();
        let mut unknown = posterior.single_unknown;
        for &cause in &rest {
            unknown += posterior.single[cause];
        }
        belief.push(unknown);
        let rows = Rows {
            network,
            posterior,
            settled,
            hypotheses: &hypotheses,
            rest,
            unknown,
            strengths: strengths(network),
        };
        let mut facts: Vec<usize> = Vec::new();
        let mut questions = Vec::new();
        let mut asked = Vec::new();
        for (index, check) in bench.checks.iter().enumerate() {
            let answers = rows.answers(check, &belief, &mut facts);
            if answers.is_empty() {
                continue;
            }
            let (minutes, opening) = (check.minutes, check.opening);
            questions.push(Question { minutes, opening, answers });
            asked.push(index);
        }
        let problem = Problem::new(
            belief,
            repairs(network, &hypotheses),
            questions,
            opening_minutes(network, bench, settled),
            bench.specialist_minutes,
        )?;
        Ok(NetworkProblem { problem, hypotheses, questions: asked })
    }
}

impl NetworkProblem {
    /// The most probable of the causes that a repair cures.
    pub fn likeliest_cause(&self, repair: usize) -> usize {
        let belief = &self.problem.belief;
        let mut cures = self.problem.repairs[repair].cures.iter().map(|&(at, _)| at);
        let first = cures.next().expect("a repair of a network cures the cause it was made for");
        self.hypotheses[cures.fold(first, |a, b| if belief[b] > belief[a] { b } else { a })]
    }
}

/// Minutes of each opening that is still to be done. A finding that only an opened machine can
/// show was answered, so that opening is done and is not paid for again.
fn opening_minutes(network: &Network, bench: &Bench, settled: &[Settled]) -> Vec<f64> {
    let mut minutes: Vec<f64> = bench.openings.iter().map(|opening| opening.minutes).collect();
    for item in settled.iter().filter(|item| item.is_hard()) {
        let group = network.group(item.finding);
        let shows =
            |check: &&Check| check.reveals.iter().any(|&finding| network.group(finding) == group);
        let mut openings = bench.checks.iter().filter(shows).map(|check| check.opening);
        if let Some(Some(opening)) = openings.next()
            && openings.all(|other| other == Some(opening))
        {
            minutes[opening] = 0.0;
        }
    }
    minutes
}

/// The most probable causes, in order of index.
fn live_causes(single: &[f64]) -> Vec<usize> {
    let mut live: Vec<usize> =
        (0..single.len()).filter(|&cause| single[cause] >= LIVE_SHARE_MIN).collect();
    live.sort_by(|&a, &b| single[b].total_cmp(&single[a]).then(a.cmp(&b)));
    live.truncate(LIVE_CAUSES_MAX);
    live.sort_unstable();
    live
}

/// One repair per remedy and opening. It cures each of its causes, and takes as long as the
/// longest of them.
fn repairs(network: &Network, hypotheses: &[usize]) -> Vec<Repair> {
    let mut repairs: Vec<Repair> = Vec::new();
    let mut remedies: Vec<&str> = Vec::new();
    for (hypothesis, &index) in hypotheses.iter().enumerate() {
        let cause = &network.causes[index];
        if cause.specialist {
            continue;
        }
        let same = repairs.iter().zip(&remedies).position(|(repair, remedy)| {
            !remedy.is_empty() && *remedy == cause.remedy && repair.opening == cause.opening
        });
        match same {
            Some(at) => {
                repairs[at].minutes = repairs[at].minutes.max(cause.repair_minutes);
                repairs[at].cures.push((hypothesis, cause.success));
            }
            None => {
                repairs.push(Repair {
                    minutes: cause.repair_minutes,
                    opening: cause.opening,
                    cures: vec![(hypothesis, cause.success)],
                });
                remedies.push(&cause.remedy);
            }
        }
    }
    repairs
}

/// The net strength of every cause for every finding, by finding.
fn strengths(network: &Network) -> Vec<f64> {
    let count = network.causes.len();
    let mut strengths = vec![0.0; count * network.findings.len()];
    for (cause, links) in network.links.iter().enumerate() {
        for &(finding, net) in links {
            strengths[finding * count + cause] = net;
        }
    }
    strengths
}

/// What the rows of likelihoods are worked out from.
struct Rows<'a> {
    network: &'a Network,
    posterior: &'a Posterior,
    settled: &'a [Settled],
    hypotheses: &'a [usize],
    /// The causes that are not kept apart, and the mass of all that is unknown.
    rest: Vec<usize>,
    unknown: f64,
    /// As `strengths` tells.
    strengths: Vec<f64>,
}

impl Rows<'_> {
    /// The news a check brings, one answer per group of findings; `facts` numbers the groups. Of
    /// twins, the one that tells the hypotheses apart best is kept.
    fn answers(&self, check: &Check, belief: &[f64], facts: &mut Vec<usize>) -> Vec<Answer> {
        let mut answers: Vec<Answer> = Vec::new();
        for &finding in &check.reveals {
            let Some(yes) = self.row(finding).filter(|row| !agree(row, belief)) else { continue };
            let group = self.network.group(finding);
            let fact = facts.iter().position(|known| *known == group).unwrap_or_else(|| {
                facts.push(group);
                facts.len() - 1
            });
            match answers.iter_mut().find(|answer| answer.fact == fact) {
                None => answers.push(Answer { fact, yes }),
                Some(twin) if spread(&yes, belief) > spread(&twin.yes, belief) => twin.yes = yes,
                Some(_) => {}
            }
        }
        answers
    }

    /// P(finding present | hypothesis, what was said), or nothing when it is settled already.
    fn row(&self, finding: usize) -> Option<Vec<f64>> {
        let group = self.network.group(finding);
        let said = self.settled.iter().find(|item| self.network.group(item.finding) == group);
        if said.is_some_and(Settled::is_hard) {
            return None;
        }
        // What was said about a finding, or about its twin, already moved its chance.
        let tilt = |p: f64| match said {
            Some(said) => {
                let (present, absent) = (said.if_present * p, said.if_absent * (1.0 - p));
                if present + absent > 0.0 { present / (present + absent) } else { p }
            }
            None => p,
        };
        let leak = self.network.findings[finding].leak;
        let count = self.network.causes.len();
        let strengths = &self.strengths[finding * count..(finding + 1) * count];
        let chance = |cause: usize| tilt(with_leak(leak, strengths[cause]));
        let mut row: Vec<f64> = self.hypotheses.iter().map(|&cause| chance(cause)).collect();
        let mut unknown = self.posterior.single_unknown * tilt(leak);
        for &cause in &self.rest {
            unknown += self.posterior.single[cause] * chance(cause);
        }
        row.push(if self.unknown > 0.0 { unknown / self.unknown } else { tilt(leak) });
        Some(row)
    }
}

/// Variance of the chance of a yes over the belief: how well a finding tells hypotheses apart.
pub(super) fn spread(yes: &[f64], belief: &[f64]) -> f64 {
    let total: f64 = belief.iter().sum();
    let mean = yes.iter().zip(belief).map(|(yes, mass)| yes * mass).sum::<f64>() / total;
    yes.iter().zip(belief).map(|(yes, mass)| mass * (yes - mean).powi(2)).sum::<f64>() / total
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::diagnosis::evidence::{Evidence, EvidenceKind, settle};
    use crate::domain::diagnosis::posterior::posterior_of_settled;
    use crate::domain::diagnosis::{Cause, Finding, Link, Opening};

    fn cause(id: &str, remedy: &str, minutes: f64, specialist: bool) -> Cause {
        Cause {
            id: id.to_string(),
            prior: 0.1,
            repair_minutes: minutes,
            success: 0.9,
            opening: Some(0),
            specialist,
            remedy: remedy.to_string(),
        }
    }

    /// A gap at one end or everywhere is one setting; a worn edge another; the last is not ours.
    /// Findings: 0 ragged, 1 wet_by_eye and 2 wet_by_hand (twins), 3 under (seen once opened).
    fn workshop() -> (Network, Bench) {
        let causes = vec![
            cause("a_gap_end", "set", 15.0, false),
            cause("b_gap_all", "set", 20.0, false),
            cause("c_edge", "grind", 60.0, false),
            cause("d_turf", "refer", 10.0, true),
        ];
        let finding = |id: &str, group: &str| Finding {
            id: id.to_string(),
            leak: 0.02,
            sensitivity: 0.9,
            false_alarm: 0.02,
            group: group.to_string(),
        };
        let findings = vec![
            finding("ragged", ""),
            finding("seen_wet", "wet"),
            finding("touched_wet", "wet"),
            finding("under", ""),
        ];
        let link = |cause: &str, finding: &str, probability: f64| Link {
            cause: cause.to_string(),
            finding: finding.to_string(),
            probability,
        };
        let links = [
            link("a_gap_end", "ragged", 0.7),
            link("b_gap_all", "ragged", 0.8),
            link("c_edge", "ragged", 0.8),
            link("c_edge", "under", 0.9),
            link("d_turf", "ragged", 0.5),
            link("d_turf", "seen_wet", 0.4),
            link("d_turf", "touched_wet", 0.9),
        ];
        let network = Network::from_compound(causes, findings, &links).expect("valid");
        let check = |id: &str, opening: Option<usize>, reveals: &[usize]| Check {
            id: id.to_string(),
            minutes: 4.0,
            opening,
            reveals: reveals.to_vec(),
        };
        let checks = vec![check("feel", None, &[1, 2]), check("look_under", Some(0), &[3])];
        let openings = vec![Opening { id: "tip".to_string(), minutes: 5.0 }];
        let bench = Bench::new(&network, checks, openings, 240.0).expect("valid");
        (network, bench)
    }

    fn problem_after(evidence: &[Evidence]) -> NetworkProblem {
        let (network, bench) = workshop();
        let settled = settle(&network, evidence).expect("valid");
        let posterior = posterior_of_settled(&network, &settled).expect("possible");
        NetworkProblem::new(&network, &bench, &posterior, &settled).expect("valid")
    }

    fn ragged() -> Evidence {
        let kind = EvidenceKind::Heard { confidence: 1.0 };
        Evidence { finding: 0, present: true, kind }
    }

    fn answered(finding: usize, present: bool) -> Evidence {
        Evidence { finding, present, kind: EvidenceKind::Answered }
    }

    #[test]
    fn one_remedy_is_one_repair_and_the_specialist_has_none() {
        let found = problem_after(&[ragged()]);
        assert_eq!(found.hypotheses, [0, 1, 2, 3]);
        let repairs = &found.problem.repairs;
        assert_eq!(repairs.len(), 2);
        assert_eq!(repairs[0].cures, [(0, 0.9), (1, 0.9)]);
        assert_eq!(repairs[0].minutes, 20.0, "as long as the longest of them");
        assert_eq!(repairs[1].cures, [(2, 0.9)]);
        assert_eq!(found.likeliest_cause(0), 1);
        let total: f64 = found.problem.belief.iter().sum();
        assert!((total - 1.0).abs() < 1e-12);
    }

    #[test]
    fn twins_bring_one_answer_and_the_telling_one() {
        let found = problem_after(&[ragged()]);
        assert_eq!(found.questions, [0, 1]);
        let answers = &found.problem.questions[0].answers;
        assert_eq!(answers.len(), 1);
        assert!((answers[0].yes[3] - 0.9).abs() < 1e-12, "the touch tells more than the look");
    }

    #[test]
    fn what_is_settled_is_not_asked_again() {
        assert_eq!(problem_after(&[ragged(), answered(1, false)]).questions, [1]);
        assert_eq!(problem_after(&[ragged(), answered(3, false)]).questions, [0]);
    }

    #[test]
    fn an_opening_is_done_once_its_findings_are_answered() {
        assert_eq!(problem_after(&[ragged()]).problem.opening_minutes, [5.0]);
        let looked = problem_after(&[ragged(), answered(3, false)]);
        assert_eq!(looked.problem.opening_minutes, [0.0]);
        let felt = problem_after(&[ragged(), answered(2, true)]);
        assert_eq!(felt.problem.opening_minutes, [5.0], "no opening is needed to feel the leaf");
    }

    /// What was heard already moved the chance of a finding: Bayes by hand, 0.9 of 0.9 x p.
    #[test]
    fn hearsay_tilts_the_chance_of_a_yes() {
        let kind = EvidenceKind::Heard { confidence: 1.0 };
        let heard = Evidence { finding: 3, present: true, kind };
        let found = problem_after(&[ragged(), heard]);
        let look = found.problem.questions.last().expect("the look under");
        let edge = found.hypotheses.iter().position(|&cause| cause == 2).expect("likely");
        let expected = 0.9 * 0.9 / (0.9 * 0.9 + 0.02 * 0.1);
        assert!((look.answers[0].yes[edge] - expected).abs() < 1e-12);
    }
}
