//! Does what was heard make sense beside everything else that was said?
//!
//! The ear judges each finding by its own words. Here it is judged once more, by a small network
//! that also knows how likely the finding is from all the others (`diagnosis::foretold`): people
//! tell what one fault does, and deny what might well have been. What makes no sense is dropped,
//! what was nearly heard and fits is taken up. The network names no finding, so that it holds for
//! new ones; `sense_weights.csv` is made by the example `sense`, which leaves each author out.

use std::sync::LazyLock;

use super::catalogue::Knowledge;
use super::complaint::{Question, QuestionError, evidence};
use super::diagnosis::Network;
use super::diagnosis::foretold::foretold;
use super::language::hearing::{Heard, Hearing, Candidate};
use super::language::verdict::log_odds;

/// A finding is taken for said from this chance on: half of the share that is heard right serves
/// that share best (Lipton and others 2014, from memory).
const SAID: f64 = 0.46;

/// What the judgement goes by, in the order of the columns of `sense_weights.csv`.
pub const SIGNS: [&str; 11] = [
    "heard", "foretold", "present", "leak", "extent", "observable", "context", "phrase", "others",
    "opposite", "lead",
];
pub type Signs = [f64; SIGNS.len()];

/// Units between the signs and the chance.
pub const UNITS: usize = 8;

/// A network with one hidden layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Sense {
    /// Of each unit: its bias, its weights of the signs, and what it adds to the log odds.
    pub units: [(f64, Signs, f64); UNITS],
    pub bias: f64,
}

static SENSE: LazyLock<Sense> =
    LazyLock::new(|| Sense::read(include_str!("sense_weights.csv")).expect("checked by a test"));

impl Sense {
    /// From rows of bias, weights and what is added; a last row with the bias of the whole.
    pub fn read(text: &str) -> Option<Sense> {
        let mut rows = text.lines().skip(1).map(|line| -> Option<Vec<f64>> {
            line.split(',').map(|cell| cell.trim().parse().ok()).collect()
        });
        let mut units = [(0.0, Signs::default(), 0.0); UNITS];
        for unit in &mut units {
            let row = rows.next()??;
            let [bias, weights @ .., adds] = &row[..] else { return None };
            *unit = (*bias, weights.try_into().ok()?, *adds);
        }
        let bias = *rows.next()??.first()?;
        Some(Sense { units, bias })
    }

    /// The table as [`Sense::read`] takes it.
    pub fn table(&self) -> String {
        let mut out = format!("bias,{},adds\n", SIGNS.join(","));
        for (bias, weights, adds) in &self.units {
            let cells = std::iter::once(bias).chain(weights).chain([adds]);
            let cells: Vec<String> = cells.map(|number| format!("{number:.4}")).collect();
            out.push_str(&(cells.join(",") + "\n"));
        }
        out + &format!("{:.4}\n", self.bias)
    }

    /// The chance that it was said.
    pub fn chance(&self, signs: &Signs) -> f64 {
        let adds = self.units.iter().map(|(bias, weights, adds)| {
            let sum: f64 = weights.iter().zip(signs).map(|(weight, sign)| weight * sign).sum();
            adds * (bias + sum).max(0.0)
        });
        1.0 / (1.0 + (-(self.bias + adds.sum::<f64>())).exp())
    }
}

/// Everything weighed that this kind of equipment can show, with its signs.
pub fn signs<'a>(
    knowledge: &Knowledge,
    network: &Network,
    hearing: &'a Hearing,
    question: &Question,
) -> Result<Vec<(&'a Candidate, Signs)>, QuestionError> {
    let of_kind = |heard: &&Heard| network.finding_index(&heard.finding).is_ok();
    let heard: Vec<Heard> = hearing.heard.iter().filter(of_kind).cloned().collect();
    let likely = foretold(network, &evidence(knowledge, network, &heard, question)?)?;
    let flag = |is: bool| f64::from(u8::from(is));
    let signs = |one: &Candidate| {
        let at = network.finding_index(&one.heard.finding).ok()?;
        let traits = knowledge.ear.findings.get(&one.heard.finding)?;
        Some([
            log_odds(one.heard.confidence),
            log_odds(likely[at]),
            flag(one.heard.present),
            network.findings[at].leak,
            flag(one.extent),
            flag(traits.observable),
            flag(traits.context),
            flag(one.phrase),
            one.others as f64,
            log_odds(one.opposite),
            one.lead,
        ])
    };
    Ok(hearing.candidates.iter().filter_map(|one| Some((one, signs(one)?))).collect())
}

/// What was heard, judged once more. What is taken up keeps the chance that the ear gave it: what
/// all else made of it is no evidence of its own.
pub fn sensible(
    knowledge: &Knowledge,
    network: &Network,
    hearing: &Hearing,
    question: &Question,
) -> Result<Vec<Heard>, QuestionError> {
    let judged = signs(knowledge, network, hearing, question)?;
    let judged = judged.into_iter().map(|(one, signs)| (one, SENSE.chance(&signs)));
    let (said, nearly): (Vec<_>, Vec<_>) = judged.partition(|(one, _)| one.is_said());
    let same = |one: &Candidate, heard: &Heard| one.heard.finding == heard.finding;
    let mut heard = hearing.heard.clone();
    heard.retain(|heard| {
        let senseless = said.iter().any(|(one, chance)| same(one, heard) && *chance < SAID);
        !heard.implied && !senseless
    });
    // Stated and denied, the likelier of the two is taken up.
    let mut nearly: Vec<_> = nearly.into_iter().filter(|(_, chance)| *chance >= SAID).collect();
    nearly.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    for (one, _) in nearly {
        if !heard.iter().any(|heard| same(one, heard)) {
            heard.push(one.heard.clone());
        }
    }
    knowledge.ear.imply(&mut heard);
    Ok(heard)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_read_as_it_was_written() {
        let text = include_str!("sense_weights.csv");
        let sense = Sense::read(text).expect("whole");
        assert_eq!(sense.table(), text);
        assert_eq!(Sense::read("bias\n1,2,3\n"), None);
    }

    /// By hand: one unit that adds twice what is over 1 of the first sign; 3 adds 4, less 1 is 3.
    #[test]
    fn a_chance_by_hand() {
        let mut sense = Sense { units: [(0.0, Signs::default(), 0.0); UNITS], bias: -1.0 };
        sense.units[0] = (-1.0, std::array::from_fn(|at| f64::from(u8::from(at == 0))), 2.0);
        let signs = |first: f64| std::array::from_fn(|at| if at == 0 { first } else { 5.0 });
        assert!((sense.chance(&signs(3.0)) - 1.0 / (1.0 + (-3.0_f64).exp())).abs() < 1e-12);
        assert!((sense.chance(&signs(-3.0)) - 1.0 / (1.0 + 1.0_f64.exp())).abs() < 1e-12);
    }

    /// What fits all else is likelier said, and what does not is likelier denied.
    #[test]
    fn what_fits_is_believed() {
        let signs = |foretold: f64, present: f64| {
            [log_odds(0.6), log_odds(foretold), present, 0.05, 0.0, 1.0, 0.0, 0.0, 3.0, -9.0, 2.0]
        };
        assert!(SENSE.chance(&signs(0.3, 1.0)) > 2.0 * SENSE.chance(&signs(0.01, 1.0)));
        assert!(SENSE.chance(&signs(0.3, 0.0)) > SENSE.chance(&signs(0.9, 0.0)));
    }
}
