//! Do words add to the complaint that is being looked into: a further sign, what a check showed,
//! the answer to what was asked? "Paper folds at the left end of it" says nothing by itself; after "unit
//! 2 leaves a line" it does.
//! Deliberately absent: what the sign is (`language`), and when a case is closed (`conversation`).

use super::kind::{CommandKind, kind};
use super::{Command, Interpretation, Reader, understood};
use crate::domain::catalogue::Equipment;
use crate::domain::language::scope::Scope;
use crate::domain::limits;
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::any_said_at;

/// A complaint that is being looked into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// All that was said of it.
    pub complaint: String,
    pub unit: Option<SubjectName>,
}

/// Words that begin a complaint of its own.
const AFRESH: &[&str] = &[
    "new fault", "new complaint", "new problem", "new one", "another fault", "another complaint",
    "another problem", "another one", "another thing", "another machine", "another mower",
    "another unit", "different fault", "different complaint", "different problem",
    "different machine", "different mower", "different unit", "next one", "next job", "next fault",
    "next complaint", "next problem", "next machine", "next mower", "something else", "separately",
    "separate fault", "separate problem", "other mower", "other machine",
];

impl Reader<'_> {
    /// The complaint asked again with these words added.
    pub(super) fn further(&self) -> Option<Interpretation> {
        let case = self.question.case.as_ref()?;
        if !self.adds_to(case) {
            return None;
        }
        let complaint = format!("{}. {}", case.complaint, self.question.text);
        if complaint.chars().count() > limits::TEXT_CHARS_MAX {
            return None;
        }
        let of = case.unit.as_ref().map_or_else(String::new, |unit| {
            format!(" on {}", understood::short(unit))
        });
        let told = format!("Add this to the complaint of before{of}.");
        let own = self.diagnose();
        let Command::Diagnose { unit, .. } = &own.command else { return None };
        let command = Command::Diagnose {
            complaint,
            unit: case.unit.clone().or_else(|| unit.clone()),
            equipment: None,
            further: true,
        };
        Some(Interpretation { understood: told, command, ..own })
    }

    fn adds_to(&self, case: &Case) -> bool {
        let elsewhere = self.about_another(case);
        let tokens = &self.spoken.tokens;
        let afresh = (0..tokens.len()).any(|at| any_said_at(tokens, at, AFRESH).is_some());
        if elsewhere || afresh {
            return false;
        }
        let signs = self.heard.signs > 0;
        match kind(&self.heard.proof, &self.heard.scope) {
            CommandKind::Diagnose => true,
            CommandKind::Unclear => signs,
            CommandKind::OutOfScope => signs && self.heard.scope == Scope::OffTopic,
            _ => false,
        }
    }

    /// Whether the words, or those before them, are about another unit or another kind of machine.
    fn about_another(&self, case: &Case) -> bool {
        let spoken_of = self.question.shop.spoken_of.as_ref();
        let home = case.unit.as_ref().or(spoken_of);
        let apart = |name: &SubjectName| match home {
            Some(home) => !name.holds(home) && !home.holds(name),
            // The place is told now.
            None => name.kind() == SubjectKind::Machine && self.heard.proof.findings > 0,
        };
        let named = self.heard.named.subject().or(spoken_of);
        let rotary = |kind: Option<Equipment>| kind.map(|kind| kind == Equipment::RotaryDeck);
        let (said, before) = (rotary(self.heard.equipment), rotary(self.question.equipment));
        named.is_some_and(apart) || (said.is_some() && before.is_some() && said != before)
    }
}
