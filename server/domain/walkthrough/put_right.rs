//! Which values were typed in a job, and how is one of them taken back? What was read after it is
//! asked for again, since it may follow from it.

use super::reading::Value;
use super::{Read, Walk};
use crate::domain::catalogue::{Knowledge, StepReading};

impl Walk {
    /// The values that were typed in this procedure, by their place, with what was asked.
    pub fn typed<'a>(&self, knowledge: &'a Knowledge) -> Vec<(usize, &'a StepReading)> {
        let here = &self.place().procedure;
        let typed = self.readings.iter().enumerate();
        let typed = typed.filter(|(_, read)| read.worked_out.is_empty() && read.procedure == *here);
        typed
            .filter_map(|(at, read)| {
                let row = knowledge.procedure(&read.procedure)?;
                let step = row.steps.get(read.step.checked_sub(1)?)?;
                Some((at, step.readings.iter().find(|asked| asked.id == read.id)?))
            })
            .collect()
    }

    /// The last typed value, with what was asked.
    pub fn last_value<'a>(&self, knowledge: &'a Knowledge) -> Option<(&'a StepReading, Value)> {
        let (at, asked) = self.typed(knowledge).pop()?;
        Some((asked, self.readings[at].value.clone()))
    }

    /// Takes every value back from this place on; its step asks for it again.
    pub fn back_to_reading(&mut self, knowledge: &Knowledge, at: usize) -> bool {
        let typed = |read: &Read| read.worked_out.is_empty();
        let before = self.clone();
        while self.readings.len() > at + 1 {
            if self.readings[at + 1..].iter().any(typed) {
                if !self.take_back(knowledge) {
                    *self = before;
                    return false;
                }
            } else {
                self.readings.truncate(at + 1);
            }
        }
        let back = self.take_back(knowledge);
        if !back {
            *self = before;
        }
        back
    }
}
