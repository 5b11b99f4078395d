//! What does somebody want with a whole sentence: a certain sum, a certain record, a cure?
//!
//! A model fitted to whole sentences of `knowledge/phrasings` whose label is `command=NAME`. It
//! knows which words go together with which command; which number goes where it does not know.
//! Deliberately absent: the names themselves, which `domain::intent` checks in its tests.

use serde::{Deserialize, Serialize};

use super::hearing::Reading;
use super::model::Model;
use super::turns::TURN;
use super::verdict::log_odds;

/// What stands before the name of a command among the labels of a sentence.
pub const COMMAND: &str = "command=";

/// What stands before the name of a question to the records.
pub const ASKED: &str = "asked_";

/// The name of any question to the records.
pub const ASKED_ANY: &str = "asked";

/// What stands before the passage that answers it in the name of a question of the trade.
pub const KNOWN: &str = "known_";

/// The name of any question of the trade.
pub const KNOWN_ANY: &str = "known";

/// The name of a complaint.
pub const COMPLAINT: &str = "complaint";

/// The name under which sentences stand that ask for nothing of ours.
pub const NO_COMMAND: &str = "outside";

/// The model of whole sentences.
pub type PurposeModel = Model<128>;

/// The ear for what a sentence asks for.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct PurposeEar {
    /// The commands, in the order of the columns of the model.
    pub names: Vec<String>,
    /// A model and no more, which is kept apart.
    #[serde(skip)]
    pub model: PurposeModel,
}

/// How likely a sentence asks for each command.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Purposes<'a>(Vec<(&'a str, f64)>);

/// The likeliest of names with their chances; of two alike the first.
pub(super) fn likeliest<'a>(
    all: impl Iterator<Item = (&'a str, f64)>,
) -> Option<(&'a str, f64)> {
    all.reduce(|best, one| if one.1 > best.1 { one } else { best })
}

impl PurposeEar {
    /// Hears a sentence.
    pub fn hear(&self, reading: &Reading) -> Purposes<'_> {
        let chances = self.model.predict(&reading.stems()).into_iter().map(f64::from);
        Purposes(self.names.iter().map(String::as_str).zip(chances).collect())
    }
}

impl Purposes<'_> {
    /// The chance of a command; one that was never learned has none.
    pub fn chance(&self, name: &str) -> f64 {
        self.0.iter().find(|(known, _)| *known == name).map_or(0.0, |(_, chance)| *chance)
    }

    /// What the chance of a command adds for it beside what its cue words say: nothing for one
    /// that is as likely as not.
    pub fn lean(&self, name: &str) -> f64 {
        log_odds(self.chance(name))
    }

    /// The commands whose names begin so, without that, each with its chance.
    pub fn all_of(&self, start: &str) -> impl Iterator<Item = (&str, f64)> {
        self.0.iter().filter_map(move |(name, chance)| Some((name.strip_prefix(start)?, *chance)))
    }

    /// The likeliest of the commands whose names begin so, without that, and its chance; of two
    /// alike the first.
    pub fn likeliest_of(&self, start: &str) -> Option<(&str, f64)> {
        likeliest(self.all_of(start))
    }

    /// So many of the likeliest of them, the likeliest first; of two alike by their names.
    pub fn first_of(&self, start: &str, count: usize) -> Vec<(String, f64)> {
        let mut all: Vec<(&str, f64)> = self.all_of(start).collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
        all.truncate(count);
        all.into_iter().map(|(name, chance)| (name.to_owned(), chance)).collect()
    }

    /// The chance of the likeliest of all whose names do not begin so.
    pub fn likeliest_beside(&self, start: &str) -> f64 {
        let others = self.0.iter().filter(|(name, _)| !name.starts_with(start));
        others.map(|(_, chance)| *chance).fold(0.0, f64::max)
    }

    /// The likeliest command and its chance; what a turn of a talk does is none.
    pub fn likeliest(&self) -> Option<(&str, f64)> {
        likeliest(self.0.iter().copied().filter(|(name, _)| !name.starts_with(TURN)))
    }
}
