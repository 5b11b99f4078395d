//! May somebody go to another step of the job, and what is noted of it? Forward past steps they are
//! noted as left out; the first step, which makes the work safe, is never passed over. Cautions of
//! the step that is come to are read as always.

use super::{Event, Skipped, Walk};
use crate::domain::catalogue::Knowledge;

impl Walk {
    pub(super) fn go_to(&mut self, knowledge: &Knowledge, number: usize) -> Event {
        let place = self.place().clone();
        let count = knowledge.procedure(&place.procedure).map_or(0, |row| row.steps.len());
        if !(1..=count).contains(&number) {
            return Event::Refused(format!("There are {count} steps; say one of them."));
        }
        // The first step makes the work safe; only who has been further goes past it.
        let further = self.acknowledged.iter().any(|given| {
            given.procedure == place.procedure && given.step > 1 && given.holds
        });
        if number > place.step && place.step == 1 && !further {
            return Event::Refused(
                "The first step makes the work safe and is not left out. Say \"done\" when it is \
                 done."
                    .to_owned(),
            );
        }
        for step in place.step.max(2)..number {
            let procedure = place.procedure.clone();
            let left = Skipped { procedure, step, reading: String::new() };
            if !self.skipped.contains(&left) {
                self.skipped.push(left);
            }
        }
        self.finished = false;
        self.stand(knowledge, number);
        Event::Shown(Vec::new())
    }

    pub(super) fn restart(&mut self, knowledge: &Knowledge) -> Event {
        self.places.truncate(1);
        self.finished = false;
        self.readings.clear();
        self.skipped.clear();
        self.done.clear();
        self.stand(knowledge, 1);
        Event::Shown(Vec::new())
    }

    /// Whether nothing was acknowledged or read yet.
    pub fn untouched(&self) -> bool {
        self.acknowledged.is_empty() && self.readings.is_empty()
    }
}
