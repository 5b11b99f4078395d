//! Was it really said? The phrase that was found and what the model makes of the words around it
//! are weighed together into one chance.
//!
//! Two small logistic regressions, one for findings a phrase spoke of and one for the model alone.
//! Fitted to complaints of three authors, each heard by a model and a lexicon that had not met
//! them; deliberately few signs, and none that names a finding, so that it holds for new ones.

/// A finding is taken for said (or denied) from this chance on.
pub const SAID: f64 = 0.5;
/// What the model gives less than this is not worth weighing.
pub const WORTH_WEIGHING: f64 = 0.02;
/// Chances nearer to 0 or 1 than this are all alike.
const SUREST: f64 = 1e-4;

/// What speaks for a finding being stated, or being denied.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signs {
    /// The model's best chance in any clause, and in any whole sentence.
    pub in_clause: f64,
    pub in_sentence: f64,
    /// Words of the best clause.
    pub clause_words: usize,
    /// Nothing else is likelier in that clause.
    pub likeliest: bool,
    /// A phrase was found.
    pub phrase: Option<Phrase>,
    /// A phrase says the opposite.
    pub opposed: bool,
    /// Says behind how many units it shows.
    pub extent: bool,
    /// Seen, heard or felt in use.
    pub observable: bool,
    /// Says where or when.
    pub context: bool,
    /// Stated rather than denied.
    pub present: bool,
}

/// What the model makes of the words in and around a phrase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phrase {
    /// The chance of what the phrase says.
    pub support: f64,
    /// The chance of its opposite, where a negator next to the phrase turned it round: the model
    /// may well hear the matter and miss the negator.
    pub turned: f64,
}

impl Signs {
    /// The chance that it was said.
    pub fn chance(&self) -> f64 {
        let flag = |is: bool| f64::from(u8::from(is));
        let sum = match self.phrase {
            Some(phrase) => {
                1.785 + 0.165 * log_odds(self.in_clause)
                    + 0.246 * log_odds(self.in_sentence)
                    + 0.207 * log_odds(phrase.support)
                    + 0.028 * log_odds(phrase.turned)
                    - 0.436 * flag(self.observable)
                    + 0.231 * flag(self.context)
                    + 0.630 * flag(self.extent)
                    + 0.074 * flag(self.present)
                    - 1.232 * flag(self.opposed)
            }
            None => {
                -1.521 + 0.474 * log_odds(self.in_clause)
                    + 0.364 * log_odds(self.in_sentence)
                    + 0.692 * flag(self.likeliest)
                    + 0.239 * (1.0 + self.clause_words as f64).ln()
                    - 0.051 * flag(self.observable)
                    - 0.183 * flag(self.context)
                    + 1.232 * flag(self.extent)
                    - 0.450 * flag(self.present)
                    - 2.461 * flag(self.opposed)
            }
        };
        1.0 / (1.0 + (-sum).exp())
    }
}

/// Log odds of a chance, kept from 0 and 1.
pub fn log_odds(chance: f64) -> f64 {
    (chance.max(SUREST) / (1.0 - chance).max(SUREST)).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sum by hand: all log odds are 0 at one half, so the constants alone are left.
    #[test]
    fn a_phrase_weighs_more_than_the_model_alone() {
        let half = Signs { in_clause: 0.5, in_sentence: 0.5, present: true, ..Signs::default() };
        let phrase = Some(Phrase { support: 0.5, turned: 0.5 });
        let by_phrase = Signs { phrase, ..half }.chance();
        assert!((by_phrase - 1.0 / (1.0 + (-1.859_f64).exp())).abs() < 1e-12);
        assert!((half.chance() - 1.0 / (1.0 + 1.971_f64.exp())).abs() < 1e-12);
        assert!(Signs { opposed: true, phrase, ..half }.chance() < by_phrase);
    }

    /// Nothing is certain, however sure the model.
    #[test]
    fn chances_stay_within_bounds() {
        for chance in [0.0, 1.0] {
            let signs = Signs { in_clause: chance, in_sentence: chance, ..Signs::default() };
            assert!(signs.chance() > 0.0 && signs.chance() < 1.0);
        }
    }
}
