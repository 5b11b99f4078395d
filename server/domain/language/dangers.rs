//! Does a whole sentence ask for something dangerous, tell of it, or of somebody hurt, and of what?
//!
//! A model fitted to the sentences of `knowledge/phrasings` whose label is `danger=ID`, where ID is
//! a row of `refusals.toml` or `none`. It hears in other people's words what no phrase holds.
//! Deliberately absent: what is answered, and when a phrase knows better (`domain::danger`).

use serde::{Deserialize, Serialize};

use super::hearing::Reading;
use super::model::Model;
use super::purpose::likeliest;

/// What stands before the row among the labels of a sentence.
pub const DANGER: &str = "danger=";

/// The row of a sentence that has dangerous words and no danger.
pub const NO_DANGER: &str = "none";

/// The name of any danger.
pub const DANGER_ANY: &str = "any";

/// The model of dangers.
pub type DangerModel = Model<64>;

/// The ear for danger.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct DangerEar {
    /// The rows, in the order of the columns of the model.
    pub names: Vec<String>,
    /// A model and no more, which is kept apart.
    #[serde(skip)]
    pub model: DangerModel,
}

/// How likely words are dangerous, and which row answers them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heard<'a> {
    /// The chance of any danger.
    pub any: f64,
    /// Rows with their chances, in the order of their names.
    pub rows: Vec<(&'a str, f64)>,
}

impl DangerEar {
    /// Hears a sentence.
    pub fn hear(&self, reading: &Reading) -> Heard<'_> {
        let chances = self.model.predict(&reading.stems()).into_iter().map(f64::from);
        let (any, rows) = self
            .names
            .iter()
            .map(String::as_str)
            .zip(chances)
            .partition::<Vec<_>, _>(|(name, _)| *name == DANGER_ANY);
        Heard { any: any.first().map_or(0.0, |(_, chance)| *chance), rows }
    }
}

impl<'a> Heard<'a> {
    /// The likeliest row and its chance; of two alike the first.
    pub fn likeliest(&self) -> Option<(&'a str, f64)> {
        likeliest(self.rows.iter().copied())
    }

    /// The chance of a row; one that was never learned has none.
    pub fn chance(&self, row: &str) -> f64 {
        self.rows.iter().find(|(known, _)| *known == row).map_or(0.0, |(_, chance)| *chance)
    }
}
