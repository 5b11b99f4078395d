//! Which network, and what work at the bench, belong to each kind of equipment?
//!
//! The tables of the knowledge become one model for each kind. Deliberately absent: any complaint.

use std::collections::BTreeMap;

use super::catalogue::{Equipment, Knowledge};
use super::diagnosis::{self, Bench, DiagnosisError, Network};

/// That somebody complains is evidence too: a finding that every cause shows as, and that seldom
/// arises by itself. Without it a single vague sign would be put down to nothing at all.
pub const COMPLAINED_OF: &str = "complained_of";
/// Puts one complaint in ten down to something none of our causes explains (a usual first guess,
/// from memory), beside `diagnosis::EXPECTED_FAULTS`.
const COMPLAINT_LEAK: f64 = 0.037;
const COMPLAINT_GIVEN_CAUSE: f64 = 0.95;
/// People state chances too near the middle: the log odds of what a cause shows are stretched so
/// much. Fitted to the log loss of development cases; 1 would take the table as written.
const STRETCH: f64 = 1.8;
/// Minutes of this shop's time to hand a fault to a specialist: preparing, carrying, testing.
const SPECIALIST_MINUTES: f64 = 120.0;
/// The remedy that is specialist work.
const SPECIALIST_PROCEDURE: &str = "refer_turf_health";

/// The network and the bench of each kind of equipment.
#[derive(Clone, Debug)]
pub struct Models {
    by_kind: BTreeMap<Equipment, (Network, Bench)>,
}

impl Models {
    /// Builds the models of all kinds from the tables.
    pub fn new(knowledge: &Knowledge) -> Result<Models, DiagnosisError> {
        let mut by_kind = BTreeMap::new();
        for kind in Equipment::ALL {
            by_kind.insert(kind, model(knowledge, kind)?);
        }
        Ok(Models { by_kind })
    }

    pub fn of(&self, kind: Equipment) -> (&Network, &Bench) {
        let (network, bench) = &self.by_kind[&kind];
        (network, bench)
    }

    /// The network of one kind.
    pub fn network(&self, kind: Equipment) -> &Network {
        &self.by_kind[&kind].0
    }
}

fn model(knowledge: &Knowledge, kind: Equipment) -> Result<(Network, Bench), DiagnosisError> {
    let openings: Vec<diagnosis::Opening> = knowledge
        .openings
        .iter()
        .map(|row| diagnosis::Opening { id: row.id.clone(), minutes: row.minutes })
        .collect();
    let opening = |id: &str| openings.iter().position(|row| row.id == id && row.minutes > 0.0);
    let rows: Vec<_> = knowledge.causes.iter().filter(|row| row.equipment == kind).collect();
    let weights: Vec<f64> = rows.iter().map(|row| row.weight).collect();
    let priors = diagnosis::priors_from_weights(&weights, diagnosis::EXPECTED_FAULTS)?;
    let causes = rows
        .iter()
        .zip(priors)
        .map(|(row, prior)| diagnosis::Cause {
            id: row.id.clone(),
            prior,
            repair_minutes: row.minutes,
            success: row.success,
            opening: opening(&row.opening),
            specialist: row.procedure == SPECIALIST_PROCEDURE,
            remedy: row.procedure.clone(),
        })
        .collect();
    let complained_of = diagnosis::Finding {
        id: COMPLAINED_OF.to_owned(),
        leak: COMPLAINT_LEAK,
        sensitivity: 0.9,
        false_alarm: 0.1,
        group: String::new(),
    };
    let findings = knowledge
        .findings
        .iter()
        .filter(|row| row.equipment.contains(&kind))
        .map(|row| diagnosis::Finding {
            id: row.id.clone(),
            leak: row.leak,
            sensitivity: row.sensitivity,
            false_alarm: row.false_alarm,
            group: row.group.clone(),
        })
        .chain([complained_of])
        .collect();
    let complained = rows.iter().map(|row| diagnosis::Link {
        cause: row.id.clone(),
        finding: COMPLAINED_OF.to_owned(),
        probability: COMPLAINT_GIVEN_CAUSE,
    });
    let leak_of = |id: &str| knowledge.finding(id).map_or(0.0, |row| row.leak);
    let links: Vec<diagnosis::Link> = knowledge
        .table
        .iter()
        .filter(|row| row.equipment == kind)
        .map(|row| diagnosis::Link {
            cause: row.cause.clone(),
            finding: row.finding.clone(),
            probability: stretched(row.probability, leak_of(&row.finding)),
        })
        .chain(complained)
        .collect();
    let network = Network::from_compound(causes, findings, &links)?;
    let checks = knowledge
        .checks
        .iter()
        .filter(|row| row.equipment.contains(&kind))
        .map(|row| diagnosis::Check {
            id: row.id.clone(),
            minutes: row.minutes,
            opening: opening(&row.opening),
            reveals: row.reveals.iter().filter_map(|id| network.finding_index(id).ok()).collect(),
        })
        .filter(|check| !check.reveals.is_empty())
        .collect();
    let bench = Bench::new(&network, checks, openings, SPECIALIST_MINUTES)?;
    Ok((network, bench))
}

/// The chance that a finding is present when only the cause is, with the log odds of the cause's
/// own part stretched; the leak stays as it is, so that the answer is never below it.
fn stretched(compound: f64, leak: f64) -> f64 {
    let net = (compound - leak) / (1.0 - leak);
    if net <= 0.0 || net >= 1.0 {
        return compound;
    }
    let odds = (net / (1.0 - net)).powf(STRETCH);
    1.0 - (1.0 - leak) / (1.0 + odds)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: net 0.75 has odds of 3, and 3 to the power 1.8 is 7.224674.
    #[test]
    fn chances_are_stretched_away_from_the_middle() {
        assert!((stretched(0.75, 0.0) - 7.224_674 / 8.224_674).abs() < 1e-6);
        assert!((stretched(0.5, 0.0) - 0.5).abs() < 1e-12);
        for (compound, leak) in [(0.02, 0.02), (1.0, 0.3), (0.1, 0.04), (0.96, 0.04)] {
            let found = stretched(compound, leak);
            assert!((leak..=1.0).contains(&found), "{compound} over {leak} became {found}");
        }
    }
}
