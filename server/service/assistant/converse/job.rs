//! A job step by step on the wire: the step as it may be shown, readings that were checked, and
//! what the step's calculation comes to with what is known.

use super::execute;
use super::turn::Turn;
use crate::domain::catalogue::{Acceptance, Knowledge, StepReading};
use crate::domain::walkthrough::derived::{WorkOut, work_out};
use crate::domain::walkthrough::reading::{Judgement, Value};
use crate::domain::walkthrough::{Checked, View, sheet};
use crate::pb;
use crate::pb::converse_answer::Response as Answer;
use crate::pb::converse_response::Payload;

impl Turn<'_> {
    /// Shows the step; `lines` says how much of it.
    pub(super) async fn show_step(
        &mut self,
        lines: fn(&Knowledge, &View<'_>) -> Vec<String>,
    ) {
        let Some(walking) = self.talk.conversation.walking().cloned() else { return };
        let shop = self.shop.clone();
        let Some(view) = walking.walk.view(&shop.knowledge) else { return };
        let lines = lines(&shop.knowledge, &view);
        let step = self.step_of(&view);
        self.conversation().cautions.in_full(&view.step.cautions);
        self.send(lines, Payload::Step(step)).await;
        if !view.open {
            return;
        }
        let unit = self.unit_of(&walking.walk.subject).await;
        let read = walking.walk.latest(&view.procedure.id);
        for work in work_out(view.step, &read, unit.as_ref()) {
            self.show_work(&work).await;
        }
    }

    /// What the calculation of a step comes to; what it lacks can be said next.
    async fn show_work(&mut self, work: &WorkOut) {
        let Some(command) = execute::of_step(work) else { return };
        let (shop, manner) = (self.shop.clone(), self.manner.clone());
        let done = match execute::run(&shop, &manner, command.clone(), "").await {
            Ok(done) => done,
            Err(status) => {
                let text = format!("This cannot be worked out: {}", status.message());
                return self.remark(vec![text]).await;
            }
        };
        self.conversation().context.previous = Some(command);
        let mut lines = self.composed(&done);
        let lacks = match &done.answer {
            Answer::AdjusterTurns(reply) => !reply.missing.is_empty(),
            _ => false,
        };
        if lacks {
            let of = if work.of.is_empty() { String::new() } else { format!(" ({})", work.of) };
            lines = vec![format!(
                "Turns{of}: say what one turn is worth, such as \"one turn is 0.9 mm\", and they \
                 are worked out."
            )];
        } else if !work.of.is_empty() && !lines.is_empty() {
            lines[0] = format!("Worked out for the {}: {}", work.of, lines[0]);
        }
        let answer = pb::ConverseAnswer { response: Some(done.answer) };
        self.send(lines, Payload::Answer(answer)).await;
    }

    fn step_of(&self, view: &View<'_>) -> pb::ConverseStep {
        let words = &self.manner.wording;
        let number = |count: usize| i32::try_from(count).unwrap_or(i32::MAX);
        let shown = |text: &str| if view.open { words.say(text) } else { String::new() };
        pb::ConverseStep {
            procedure: view.procedure.id.clone(),
            step: number(view.number),
            step_count: number(view.procedure.steps.len()),
            title: words.say(&view.step.title),
            cautions: self.shop.cautions(&view.step.cautions, words),
            acknowledgement_needed: !view.open,
            text: shown(&self.shop.knowledge.with_titles(&view.step.text)),
            why: shown(&view.step.why),
            reading: view.asked.map(|asked| pb::ReadingWanted {
                label: words.say(&asked.label),
                ..wanted(asked)
            }),
            procedures_within: if view.open {
                view.within.iter().map(|row| row.id.clone()).collect()
            } else {
                Vec::new()
            },
        }
    }

    pub(super) async fn show_readings(&mut self, checked: Vec<Checked>) {
        for one in checked {
            let line = sheet::checked_line(&one);
            let (value, yes) = match one.read.value {
                Value::Number(number) => (Some(number), None),
                Value::Yes => (None, Some(true)),
                Value::No => (None, Some(false)),
            };
            let reading = pb::ConverseReading {
                reading: one.read.id.clone(),
                label: self.manner.wording.say(&one.label),
                value,
                unit: if yes.is_some() { String::new() } else { one.unit.clone() },
                yes,
                good: one.judgement == Judgement::Good,
                back_to_step: one.back_to.map_or(0, |step| i32::try_from(step).unwrap_or(0)),
                worked_out: one.read.worked_out.clone(),
            };
            self.send(vec![line], Payload::Reading(reading)).await;
        }
    }
}

fn wanted(asked: &StepReading) -> pb::ReadingWanted {
    let (accept_min, accept_max) = match asked.accept {
        Acceptance::Range { min, max } => (Some(min), Some(max)),
        Acceptance::Yes => (None, None),
    };
    pb::ReadingWanted {
        id: asked.id.clone(),
        unit: asked.unit.clone(),
        label: asked.label.clone(),
        accept_min,
        accept_max,
        otherwise_step: asked.otherwise_step.map_or(0, |at| i32::try_from(at).unwrap_or(0)),
    }
}
