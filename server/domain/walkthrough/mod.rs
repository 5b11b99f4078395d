//! Where does somebody stand who is walked through a procedure, and what comes next?
//!
//! A state machine without a clock or a store: a `Walk` and a `Move` give the next `Event`. The
//! text of a hazardous step exists only in a view whose cautions were acknowledged; every view
//! carries its cautions. What was read and acknowledged stays in the walk, which is plain data, so
//! that it can be put away half done and taken up again.
//! Deliberately absent: understanding words (`conversation`), and storing anything.
//!
//! Order of reading: here -> moving (to another step) -> put_right (a value that was wrong) ->
//! reading (what was typed for a value, and
//! is it good) -> spoken (the value in a sentence) -> derived (what follows from values read
//! before) -> draft (the record of it all) -> sheet (how it looks).

pub mod derived;
pub mod draft;
mod moving;
mod put_right;
pub mod reading;
pub mod sheet;
pub mod spoken;

use serde::{Deserialize, Serialize};

use super::catalogue::{Acceptance, Knowledge, Procedure, Step, StepReading};
use super::limits::{WALK_DEPTH_MAX, WALK_READINGS_MAX};
use reading::{Judgement, Value};

/// Somebody on the way through a procedure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Walk {
    /// Resource name of what is worked on; empty while it is not known.
    pub subject: String,
    /// Who does it; empty while nobody has said.
    pub signed_by: String,
    /// The cause that this is the remedy of, when a diagnosis led here; else empty.
    pub cause: String,
    /// Where they are: the procedure asked for, then those done within it.
    places: Vec<Place>,
    pub acknowledged: Vec<Acknowledged>,
    pub readings: Vec<Read>,
    /// Steps, or readings of them, that were left out.
    pub skipped: Vec<Skipped>,
    /// Procedures finished within this one, in order.
    pub done: Vec<String>,
    finished: bool,
}

/// A step of a procedure, counted from 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Place {
    procedure: String,
    step: usize,
    stage: Stage,
    /// Readings of it that were given before the work was put away.
    #[serde(default)]
    kept: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
enum Stage {
    /// The cautions wait to be acknowledged.
    Cautions,
    /// The step may be worked on; this many of its readings were given.
    Open(usize),
}

/// Cautions that somebody said they had read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Acknowledged {
    pub procedure: String,
    pub step: usize,
    pub cautions: Vec<String>,
    /// False after the work was put away and taken up again: it is asked for anew.
    holds: bool,
}

/// A value that was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Read {
    pub procedure: String,
    pub step: usize,
    pub id: String,
    pub value: Value,
    pub good: bool,
    /// It was not typed; it follows from values read before, in this way.
    pub worked_out: String,
}

/// What was left out: a step, or one reading of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Skipped {
    pub procedure: String,
    pub step: usize,
    /// Empty: the whole step.
    pub reading: String,
}

/// What somebody does.
#[derive(Clone, Debug, PartialEq)]
pub enum Move {
    /// They have read the cautions of this step.
    Acknowledge { procedure: String, step: usize },
    /// The step is done.
    Done,
    /// The value of the reading asked for.
    Read(Value),
    Back,
    /// To a step of the same procedure; those that are passed over are noted as left out.
    GoTo(usize),
    /// To the first step of all; what was read is forgotten.
    Restart,
    Again,
    Skip,
    /// Go through this procedure first.
    Into(String),
}

/// The step as it may be shown now.
#[derive(Clone, Debug)]
pub struct View<'a> {
    pub procedure: &'a Procedure,
    /// From 1.
    pub number: usize,
    pub step: &'a Step,
    /// Whether the step itself may be shown; its cautions always are.
    pub open: bool,
    /// The reading that is asked for now.
    pub asked: Option<&'a StepReading>,
    /// Procedures that the step sends to and that were not gone through yet.
    pub within: Vec<&'a Procedure>,
    /// How many procedures are open around this one.
    pub depth: usize,
}

/// What came of a move.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// They are shown a step; after a reading, with what was found about it.
    Shown(Vec<Checked>),
    /// The last step is done.
    Finished(Vec<Checked>),
    /// The move cannot be made; the text says why and what can be.
    Refused(String),
}

/// A reading held against what is good.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    pub read: Read,
    pub label: String,
    pub unit: String,
    /// The least and the most that is good, of a number.
    pub accepted: Option<(f64, f64)>,
    pub judgement: Judgement,
    /// The step to go back to.
    pub back_to: Option<usize>,
}

impl Walk {
    /// At the first step of a procedure.
    pub fn begin(knowledge: &Knowledge, procedure: &str) -> Option<Walk> {
        let row = knowledge.procedure(procedure).filter(|row| !row.steps.is_empty())?;
        let mut walk = Walk {
            subject: String::new(),
            signed_by: String::new(),
            cause: String::new(),
            places: Vec::new(),
            acknowledged: Vec::new(),
            readings: Vec::new(),
            skipped: Vec::new(),
            done: Vec::new(),
            finished: false,
        };
        walk.enter(row);
        Some(walk)
    }

    /// A walk from its text, if the knowledge still has what it goes through. Cautions are asked
    /// for anew: nobody knows what happened to the machine in between.
    pub fn resume(knowledge: &Knowledge, text: &str) -> Option<Walk> {
        let mut walk: Walk = serde_json::from_str(text).ok()?;
        let known = |place: &Place| {
            let row = knowledge.procedure(&place.procedure);
            row.is_some_and(|row| (1..=row.steps.len()).contains(&place.step))
        };
        if walk.places.is_empty() || !walk.places.iter().all(known) {
            return None;
        }
        for given in &mut walk.acknowledged {
            given.holds = false;
        }
        for at in 0..walk.places.len() {
            let place = walk.places[at].clone();
            let readings = match place.stage {
                Stage::Open(count) => count,
                Stage::Cautions => 0,
            };
            let step = step_at(knowledge, &place)?;
            let stage = walk.stage_of(&place.procedure, place.step, step);
            let readings = readings.max(place.kept).min(step.readings.len());
            // A step that asks for its cautions anew does not ask again for what was read.
            walk.places[at].kept = readings;
            walk.places[at].stage = match stage {
                Stage::Cautions if !walk.finished => Stage::Cautions,
                _ => Stage::Open(readings),
            };
        }
        Some(walk)
    }

    /// The walk as text.
    pub fn text(&self) -> String {
        serde_json::to_string(self).expect("plain data is always JSON")
    }

    /// The procedure asked for.
    pub fn procedure(&self) -> &str {
        &self.places[0].procedure
    }

    /// Procedure and number of the step they are at.
    pub fn at(&self) -> (&str, usize) {
        let place = self.place();
        (&place.procedure, place.step)
    }

    pub fn finished(&self) -> bool {
        self.finished
    }

    fn place(&self) -> &Place {
        self.places.last().expect("a walk is always somewhere")
    }

    fn place_mut(&mut self) -> &mut Place {
        self.places.last_mut().expect("a walk is always somewhere")
    }

    /// The step they are at.
    pub fn view<'a>(&self, knowledge: &'a Knowledge) -> Option<View<'a>> {
        let place = self.place();
        let procedure = knowledge.procedure(&place.procedure)?;
        let step = procedure.steps.get(place.step - 1)?;
        let (open, asked) = match place.stage {
            Stage::Cautions => (false, None),
            Stage::Open(given) => (true, step.readings.get(given)),
        };
        let depth = self.places.len() - 1;
        let within = sent_to(&step.text)
            .filter(|id| !self.done.iter().any(|done| done == id))
            .filter(|id| !self.places.iter().any(|place| place.procedure == *id))
            .filter_map(|id| knowledge.procedure(id))
            .collect();
        Some(View { procedure, number: place.step, step, open, asked, within, depth })
    }

    /// Makes a move. `None`: the knowledge no longer has the procedure.
    pub fn make(&mut self, knowledge: &Knowledge, made: &Move) -> Option<Event> {
        let place = self.place().clone();
        let step = step_at(knowledge, &place)?;
        let moves = matches!(made, Move::Back | Move::GoTo(_) | Move::Restart | Move::Again);
        if self.finished && !moves {
            return Some(Event::Refused("Every step is done; what is left is to record it.".into()));
        }
        Some(match made {
            Move::Acknowledge { procedure, step: number } => {
                self.acknowledge(knowledge, procedure, *number)
            }
            Move::Again => Event::Shown(Vec::new()),
            Move::Back => self.back(knowledge),
            Move::Into(id) => self.into(knowledge, id),
            Move::GoTo(number) => self.go_to(knowledge, *number),
            Move::Restart => self.restart(knowledge),
            Move::Done | Move::Skip | Move::Read(_) if place.stage == Stage::Cautions => {
                Event::Refused(format!(
                    "First read the cautions of step {} and say \"ok\"; they cannot be skipped.",
                    place.step
                ))
            }
            Move::Done => self.done(knowledge, step),
            Move::Skip => self.skip(knowledge, step),
            Move::Read(value) => self.read(knowledge, step, value),
        })
    }

    fn acknowledge(&mut self, knowledge: &Knowledge, procedure: &str, number: usize) -> Event {
        let place = self.place().clone();
        if place.procedure != procedure || place.step != number {
            return Event::Refused(format!(
                "That is not where you are: step {} of {} waits.",
                place.step, place.procedure
            ));
        }
        if let Stage::Open(_) = place.stage {
            return Event::Shown(Vec::new());
        }
        let Some(step) = step_at(knowledge, &place) else { return Event::Shown(Vec::new()) };
        let cautions = step.cautions.clone();
        let (procedure, step) = (place.procedure, place.step);
        self.acknowledged.push(Acknowledged { procedure, step, cautions, holds: true });
        self.place_mut().stage = Stage::Open(place.kept);
        let checked = self.work_out(knowledge);
        self.after_readings(knowledge, checked)
    }

    fn done(&mut self, knowledge: &Knowledge, step: &Step) -> Event {
        if let Stage::Open(given) = self.place().stage
            && let Some(asked) = step.readings.get(given)
        {
            return Event::Refused(format!(
                "This step asks for a value first: {}. Give it, or say \"skip\" to leave it out.",
                reading::wanted(asked)
            ));
        }
        self.advance(knowledge);
        self.shown(Vec::new())
    }

    fn skip(&mut self, knowledge: &Knowledge, step: &Step) -> Event {
        let place = self.place().clone();
        let Stage::Open(given) = place.stage else { return Event::Shown(Vec::new()) };
        let skipped = |reading: &str| Skipped {
            procedure: place.procedure.clone(),
            step: place.step,
            reading: reading.to_owned(),
        };
        if let Some(asked) = step.readings.get(given) {
            self.skipped.push(skipped(&asked.id));
            self.place_mut().stage = Stage::Open(given + 1);
            let checked = self.work_out(knowledge);
            return self.after_readings(knowledge, checked);
        }
        if place.step == 1 {
            return Event::Refused(
                "The first step makes the work safe and is not left out. Say \"done\" when it is \
                 done."
                    .to_owned(),
            );
        }
        self.skipped.push(skipped(""));
        self.advance(knowledge);
        self.shown(Vec::new())
    }

    fn read(&mut self, knowledge: &Knowledge, step: &Step, value: &Value) -> Event {
        let Stage::Open(given) = self.place().stage else { return Event::Shown(Vec::new()) };
        let Some(asked) = step.readings.get(given) else {
            return Event::Refused(
                "No value is asked for here. Say \"done\" when the step is done.".to_owned(),
            );
        };
        if let Err(remedy) = reading::fits(asked, value) {
            return Event::Refused(remedy);
        }
        if self.readings.len() >= WALK_READINGS_MAX {
            return Event::Refused(format!(
                "{WALK_READINGS_MAX} values are the most one job keeps. Say \"stop\", record it, \
                 and begin again."
            ));
        }
        let mut checked = vec![self.keep(asked, value, String::new())];
        checked.extend(self.work_out(knowledge));
        self.after_readings(knowledge, checked)
    }

    /// Notes a value and moves on, or back.
    fn keep(&mut self, asked: &StepReading, value: &Value, worked_out: String) -> Checked {
        let place = self.place().clone();
        let judgement = reading::judge(asked, value);
        let good = judgement == Judgement::Good;
        let read = Read {
            procedure: place.procedure.clone(),
            step: place.step,
            id: asked.id.clone(),
            value: value.clone(),
            good,
            worked_out,
        };
        self.readings.push(read.clone());
        let back_to = asked.otherwise_step.filter(|_| !good);
        if let Stage::Open(given) = place.stage {
            self.place_mut().stage = Stage::Open(given + 1);
        }
        let (label, unit) = (asked.label.clone(), asked.unit.clone());
        let accepted = match asked.accept {
            Acceptance::Range { min, max } => Some((min, max)),
            Acceptance::Yes => None,
        };
        Checked { read, label, unit, accepted, judgement, back_to }
    }

    /// Takes the readings that follow from those before them.
    fn work_out(&mut self, knowledge: &Knowledge) -> Vec<Checked> {
        let mut found: Vec<Checked> = Vec::new();
        loop {
            if found.last().is_some_and(|checked| checked.back_to.is_some()) {
                return found;
            }
            let place = self.place().clone();
            let Stage::Open(given) = place.stage else { return found };
            let Some(step) = step_at(knowledge, &place) else { return found };
            let Some(asked) = step.readings.get(given) else { return found };
            if self.readings.len() >= WALK_READINGS_MAX {
                return found;
            }
            let fresh = self.of_this_visit(&place, given);
            // What this step reads itself is stale from an earlier visit.
            let mut settled = self.latest(&place.procedure);
            settled.retain(|(id, _)| !step.readings.iter().any(|asked| asked.id == *id));
            let Some((value, how)) = derived::follows(&asked.id, &fresh, &settled) else {
                return found;
            };
            found.push(self.keep(asked, &Value::Number(value), how));
        }
    }

    /// After values were given: back to the step that mends them, or on.
    fn after_readings(&mut self, knowledge: &Knowledge, checked: Vec<Checked>) -> Event {
        if let Some(step) = checked.iter().find_map(|checked| checked.back_to) {
            self.stand(knowledge, step);
            return self.shown(checked);
        }
        let place = self.place().clone();
        let readings = step_at(knowledge, &place).map_or(0, |step| step.readings.len());
        if let Stage::Open(given) = place.stage
            && readings > 0
            && given >= readings
        {
            self.advance(knowledge);
        }
        self.shown(checked)
    }

    /// The reading that the last typed value was given for.
    pub fn last_asked<'a>(&self, knowledge: &'a Knowledge) -> Option<&'a StepReading> {
        let read = self.readings.iter().rfind(|read| read.worked_out.is_empty())?;
        let step = knowledge.procedure(&read.procedure)?.steps.get(read.step.checked_sub(1)?)?;
        step.readings.iter().find(|asked| asked.id == read.id)
    }

    /// Takes the last typed value back, and what followed from it; its step asks for it again.
    /// False: there is none, or it belongs to a procedure that was left.
    pub fn take_back(&mut self, knowledge: &Knowledge) -> bool {
        let Some(at) = self.readings.iter().rposition(|read| read.worked_out.is_empty()) else {
            return false;
        };
        let read = self.readings[at].clone();
        let known = knowledge.procedure(&read.procedure);
        let step = known.and_then(|row| row.steps.get(read.step.checked_sub(1)?));
        let Some(step) = step.filter(|_| self.place().procedure == read.procedure) else {
            return false;
        };
        let Some(asked) = step.readings.iter().position(|one| one.id == read.id) else {
            return false;
        };
        // Taken up again, the job asks for its cautions before anything else.
        if self.stage_of(&read.procedure, read.step, step) == Stage::Cautions {
            return false;
        }
        self.readings.truncate(at);
        self.finished = false;
        let place = self.place_mut();
        (place.step, place.stage, place.kept) = (read.step, Stage::Open(asked), 0);
        true
    }

    fn shown(&self, checked: Vec<Checked>) -> Event {
        if self.finished { Event::Finished(checked) } else { Event::Shown(checked) }
    }

    fn back(&mut self, knowledge: &Knowledge) -> Event {
        if std::mem::take(&mut self.finished) {
            let step = self.place().step;
            self.stand(knowledge, step);
            return Event::Shown(Vec::new());
        }
        let step = self.place().step;
        if step > 1 {
            self.stand(knowledge, step - 1);
        } else if self.places.len() > 1 {
            self.places.pop();
        } else {
            return Event::Refused("This is the first step.".to_owned());
        }
        Event::Shown(Vec::new())
    }

    fn into(&mut self, knowledge: &Knowledge, id: &str) -> Event {
        let Some(row) = knowledge.procedure(id).filter(|row| !row.steps.is_empty()) else {
            return Event::Refused(format!("There is no procedure {id}."));
        };
        if self.places.iter().any(|place| place.procedure == id) {
            return Event::Refused(format!("You are in {id} already."));
        }
        if self.places.len() >= WALK_DEPTH_MAX {
            return Event::Refused(format!(
                "{WALK_DEPTH_MAX} jobs within each other are the most; finish one first."
            ));
        }
        self.enter(row);
        Event::Shown(Vec::new())
    }

    fn enter(&mut self, row: &Procedure) {
        let stage = self.stage_of(&row.id, 1, &row.steps[0]);
        self.places.push(Place { procedure: row.id.clone(), step: 1, stage, kept: 0 });
    }

    /// To a step of the same procedure.
    fn stand(&mut self, knowledge: &Knowledge, number: usize) {
        let procedure = self.place().procedure.clone();
        let Some(row) = knowledge.procedure(&procedure) else { return };
        let Some(step) = number.checked_sub(1).and_then(|at| row.steps.get(at)) else { return };
        let stage = self.stage_of(&procedure, number, step);
        let place = self.place_mut();
        (place.step, place.stage, place.kept) = (number, stage, 0);
    }

    /// To the next step, or out of a procedure that has no more.
    fn advance(&mut self, knowledge: &Knowledge) {
        let place = self.place().clone();
        let count = knowledge.procedure(&place.procedure).map_or(0, |row| row.steps.len());
        if place.step < count {
            return self.stand(knowledge, place.step + 1);
        }
        if self.places.len() == 1 {
            self.finished = true;
            return;
        }
        self.places.pop();
        self.done.push(place.procedure);
    }

    fn stage_of(&self, procedure: &str, number: usize, step: &Step) -> Stage {
        let held = |given: &Acknowledged| {
            given.holds
                && given.procedure == procedure
                && given.step == number
                && given.cautions == step.cautions
        };
        let clear = step.cautions.is_empty() || self.acknowledged.iter().any(held);
        if clear { Stage::Open(0) } else { Stage::Cautions }
    }

    /// The numbers read in this step since it was opened last; older ones are stale.
    fn of_this_visit(&self, place: &Place, given: usize) -> Vec<(&str, f64)> {
        let here = |read: &&Read| read.procedure == place.procedure && read.step == place.step;
        let fresh = self.readings.iter().rev().take_while(here).take(given);
        fresh
            .filter_map(|read| match read.value {
                Value::Number(number) => Some((read.id.as_str(), number)),
                Value::Yes | Value::No => None,
            })
            .collect()
    }

    /// The latest number read under each id of a procedure.
    pub fn latest(&self, procedure: &str) -> Vec<(&str, f64)> {
        let mut latest: Vec<(&str, f64)> = Vec::new();
        for read in self.readings.iter().filter(|read| read.procedure == procedure) {
            let Value::Number(number) = read.value else { continue };
            latest.retain(|(id, _)| *id != read.id);
            latest.push((&read.id, number));
        }
        latest
    }
}

fn step_at<'a>(knowledge: &'a Knowledge, place: &Place) -> Option<&'a Step> {
    knowledge.procedure(&place.procedure)?.steps.get(place.step.checked_sub(1)?)
}

/// The names in backticks.
pub fn sent_to(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

#[cfg(test)]
mod tests;
