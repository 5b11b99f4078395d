//! Is it asked whether something may be done? Leave that has its own answer is answered by it;
//! going on with a fault is answered by what the fault can do.
//! Deliberately absent: what is refused outright (`domain::danger`).

use super::kind::CommandKind;
use super::{Command, Interpretation, Reader};
use crate::domain::danger;
use crate::domain::limits;
use crate::domain::wording::lower_first;

/// Stands before the row that answers, in the topic.
pub const LEAVE: &str = "leave:";
/// The row that answers whether to run on with work overdue.
pub const OVERDUE: &str = "work_overdue";
/// The topic of a question whether a machine may go on working.
pub const RUNNING_ON: &str = "running_on";

impl Reader<'_> {
    /// "Do I need gloves?", "is it ok to file it in the machine?"
    pub(super) fn leave(&self) -> Option<Interpretation> {
        let id = self.heard.danger.leave.as_ref()?;
        let row = self.knowledge.refusal(id)?;
        let proof = &self.heard.proof;
        // Work that was done, and sums, ask no leave.
        // "What do I need to change the blades" names work, and asks for it.
        let asked = id == danger::NEAR_MISS || danger::asks_the_way(self.question.text);
        let work = (proof.deed || proof.told) && !asked && !self.asks_leave_first();
        // "What do I put on for lapping" only sounds like it.
        let sounds = self.heard.danger.sound.is_some() && self.asks_for_a_sheet();
        // Whether it may go on with what was complained of is no question of hours.
        let goes_on = self.heard.danger.running_on && self.question.case.is_some();
        let of_the_case = goes_on && id == OVERDUE;
        if work || sounds || of_the_case || self.heard.danger.stop.is_some() {
            return None;
        }
        let told = format!("Look up what holds for safety: {}.", lower_first(&row.title));
        Some(Interpretation {
            topic: format!("{LEAVE}{id}"),
            ..self.answer(CommandKind::Catalogue, told, Command::Cautions)
        })
    }

    /// "May I put the lad on that job" names work, and asks for leave all the same.
    fn asks_leave_first(&self) -> bool {
        const FIRST: &[&str] =
            &["may", "can", "could", "should", "shall", "is", "are", "would", "do", "does"];
        const KEPT: &[&str] = &["record", "log", "book", "note", "store", "enter"];
        let words = &self.spoken.words;
        let first = words.first().is_some_and(|word| FIRST.contains(&word.text.as_str()));
        first && !words.iter().any(|word| KEPT.contains(&word.text.as_str()))
    }

    /// "Can I run it till Friday?", of a complaint that is told with it or was told before.
    pub(super) fn going_on(&self) -> Option<Interpretation> {
        let heard = self.heard;
        if !heard.danger.running_on || heard.proof.deed || heard.proof.told {
            return None;
        }
        let own = heard.signs > 0 || heard.danger.stop.is_some();
        let before = self.question.case.as_ref();
        let (complaint, further) = match before {
            Some(case) if own => (format!("{}. {}", case.complaint, self.question.text), true),
            Some(case) => (case.complaint.clone(), true),
            None if own => (self.question.text.to_owned(), false),
            None => return None,
        };
        if complaint.chars().count() > limits::TEXT_CHARS_MAX {
            return None;
        }
        let asked = self.diagnose();
        let Command::Diagnose { unit, equipment, .. } = asked.command else { return None };
        let unit = before.and_then(|case| case.unit.clone()).or(unit);
        let told = "Find out whether it may go on working with that.".to_owned();
        Some(Interpretation {
            topic: RUNNING_ON.to_owned(),
            unheard: Vec::new(),
            ..self.answer(
                CommandKind::Diagnose,
                told,
                Command::Diagnose { complaint, unit, equipment, further },
            )
        })
    }
}
