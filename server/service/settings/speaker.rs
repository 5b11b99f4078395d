//! What does every answer carry beside its results, and in whose words?

use std::sync::Arc;

use crate::domain::settings::{Advisory, Common, Missing, Working};
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;

/// Puts the common part of an answer into the caller's words.
pub struct Speaker {
    pub shop: Arc<Shop>,
    pub words: Wording,
}

impl Speaker {
    pub fn say(&self, text: &str) -> String {
        self.words.say(text)
    }

    pub fn working(&self, common: &Common) -> Vec<pb::WorkingStep> {
        let step = |step: &Working| pb::WorkingStep {
            text: self.say(&step.text),
            expression: step.expression.clone(),
            value: step.value,
            unit: step.unit.to_owned(),
            reference: step.reference.to_owned(),
        };
        common.working.iter().map(step).collect()
    }

    pub fn advisories(&self, common: &Common) -> Vec<pb::Advisory> {
        let advice = |advice: &Advisory| pb::Advisory {
            id: advice.id.to_owned(),
            text: self.say(&advice.text),
        };
        common.advisories.iter().map(advice).collect()
    }

    pub fn cautions(&self, common: &Common) -> Vec<pb::Caution> {
        self.shop.cautions(&common.cautions, &self.words)
    }

    pub fn references(&self, common: &Common) -> Vec<pb::Reference> {
        self.shop.references(&common.references)
    }

    pub fn missing(&self, common: &Common) -> Vec<pb::MissingInput> {
        let missing = |missing: &Missing| pb::MissingInput {
            field: missing.field.to_owned(),
            unit: missing.unit.to_owned(),
            why: self.say(&missing.why),
        };
        common.missing.iter().map(missing).collect()
    }
}

/// A reply from an answer: the fields of the same name, then those that change form, then what
/// every reply carries. The compiler sees to it that no field of the contract is forgotten.
macro_rules! reply {
    ($speaker:ident, $answer:ident => $reply:ident { $($same:ident),* $(,)? }
        $({ $($name:ident: $value:expr),* $(,)? })?) => {
        pb::$reply {
            answer: $speaker.say(&$answer.common.answer),
            solved_for: $answer.common.solved_for.to_owned(),
            working: $speaker.working(&$answer.common),
            advisories: $speaker.advisories(&$answer.common),
            cautions: $speaker.cautions(&$answer.common),
            references: $speaker.references(&$answer.common),
            missing: $speaker.missing(&$answer.common),
            $($($name: $value,)*)?
            $($same: $answer.$same,)*
        }
    };
}

/// Inputs, or a row of them, from the fields of the same name and those that change form.
macro_rules! take {
    ($from:ident => $to:ident { $($same:ident),* $(,)? }
        $({ $($name:ident: $value:expr),* $(,)? })?) => {
        $to { $($($name: $value,)*)? $($same: $from.$same,)* }
    };
}
