//! What counts as evidence in a complaint? That somebody complains, what was heard and how surely,
//! what was left unsaid, what was observed.

use std::collections::BTreeMap;

use super::catalogue::Knowledge;
use super::complaint::{Question, QuestionError};
use super::diagnosis::Network;
use super::diagnosis::evidence::{Evidence, EvidenceKind};
use super::language::hearing::Heard;
use super::models::COMPLAINED_OF;
use super::pushed;

/// Of those whose machine shows a thing, the share that say so when they complain: of what is seen,
/// heard or felt in use, of where and when, and of what a check would reveal. Fitted with the other
/// two figures of this kind (`INCIDENTAL`, `models::STRETCH`) to the log loss of development cases.
const MENTIONED: f64 = 0.75;
const MENTIONED_CONTEXT: f64 = 0.3;
const MENTIONED_CHECK: f64 = 0.1;
/// What is there by itself, beside the fault complained of, is told this much less often.
const INCIDENTAL: f64 = 0.02;
/// The share of the findings of its kind that a complaint speaks of: mean of 930 development cases.
const SPOKEN_SHARE: f64 = 0.06;

/// What counts as evidence: that somebody complains, what was heard, what was left unsaid, what was
/// observed.
pub fn evidence(
    knowledge: &Knowledge,
    network: &Network,
    heard: &[Heard],
    question: &Question,
) -> Result<Vec<Evidence>, QuestionError> {
    let mut by_finding: BTreeMap<usize, Evidence> = BTreeMap::new();
    if !heard.is_empty() {
        by_finding.extend(unsaid(knowledge, network));
    }
    let finding = network.finding_index(COMPLAINED_OF)?;
    let complained = Evidence { finding, present: true, kind: EvidenceKind::Answered };
    by_finding.insert(finding, complained);
    // No tyre of a mower that is walked behind decides how it cuts, unless somebody says so.
    if pushed::is_pushed(&question.complaint)
        && let Ok(finding) = network.finding_index(pushed::TYRES)
    {
        let kind = EvidenceKind::Unsaid { mentioned: pushed::HAS_NONE };
        let none = Evidence { finding, present: false, kind };
        by_finding.insert(finding, none);
    }
    for item in heard {
        let finding = network.finding_index(&item.finding)?;
        let confidence = weight(item.confidence);
        let kind = EvidenceKind::Complained { confidence, incidental: INCIDENTAL };
        by_finding.insert(finding, Evidence { finding, present: item.present, kind });
    }
    for (at, (id, present)) in question.observations.iter().enumerate() {
        let finding = network.finding_index(id).map_err(|_| {
            let remedy = "it is no finding of the equipment understood; name the equipment";
            QuestionError::new(format!("observations[{at}].finding"), id, remedy)
        })?;
        let kind = EvidenceKind::Answered;
        by_finding.insert(finding, Evidence { finding, present: *present, kind });
    }
    leave_out_excluded(knowledge, network, &mut by_finding);
    Ok(by_finding.into_values().collect())
}

/// How far a reading counts. The chance that the ear gives starts from how seldom any one finding
/// is said; the network knows by itself how seldom things are there, and that is not to count
/// twice. So this is the share of true hearing, beside noise, that turns `SPOKEN_SHARE` into the
/// chance.
fn weight(chance: f64) -> f64 {
    let unlikelier = chance + SPOKEN_SHARE - 2.0 * chance * SPOKEN_SHARE;
    ((chance - SPOKEN_SHARE) / unlikelier).max(0.0)
}

/// Where one of two findings is there that exclude each other, that the other is not is no news.
fn leave_out_excluded(
    knowledge: &Knowledge,
    network: &Network,
    by_finding: &mut BTreeMap<usize, Evidence>,
) {
    for pair in &knowledge.exclusions {
        // A finding of another kind of equipment is not in the network.
        let index = |id: &str| network.finding_index(id).ok();
        let Some((one, other)) = index(&pair.one).zip(index(&pair.other)) else { continue };
        let there = |at: &usize| by_finding.get(at).is_some_and(|evidence| evidence.present);
        match (there(&one), there(&other)) {
            (true, false) => by_finding.remove(&other),
            (false, true) => by_finding.remove(&one),
            // Whoever says both is taken at his word.
            (true, true) | (false, false) => None,
        };
    }
}

/// Every finding as if nothing had been said of it: who tells of a fault tells most of what it
/// does to the turf, less of where and when, and little of what only a check shows.
fn unsaid<'a>(
    knowledge: &'a Knowledge,
    network: &'a Network,
) -> impl Iterator<Item = (usize, Evidence)> + 'a {
    network.findings.iter().enumerate().filter_map(|(at, finding)| {
        let traits = knowledge.ear.findings.get(&finding.id)?;
        let mentioned = match (traits.observable, traits.context) {
            (true, false) => MENTIONED,
            (true, true) => MENTIONED_CONTEXT,
            (false, _) => MENTIONED_CHECK,
        };
        let kind = EvidenceKind::Unsaid { mentioned };
        Some((at, Evidence { finding: at, present: false, kind }))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chance that is only what any finding has says nothing; certainty counts whole. In between
    /// by hand: odds of 0.74 are 2.846154, of 0.06 they are 0.063830, so 44.589744 times as likely;
    /// the share is one less over one more.
    #[test]
    fn a_chance_counts_against_how_seldom_things_are_said() {
        assert!(weight(SPOKEN_SHARE).abs() < 1e-12);
        assert!((weight(1.0) - 1.0).abs() < 1e-12);
        assert!((weight(0.74) - 43.589_744 / 45.589_744).abs() < 1e-6, "{}", weight(0.74));
        assert!(weight(0.0).abs() < 1e-12, "less than nothing is nothing");
    }
}
