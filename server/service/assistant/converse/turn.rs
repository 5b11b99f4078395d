//! One message of a person taken: what the turn decides is carried out in order, and each part of
//! it sent. A cancel ends what only reads; what was confirmed is stored to its end.

use std::collections::VecDeque;
use std::sync::Arc;

use tokio::sync::watch;
use tonic::Status;

use super::execute::Done;
use super::talk::Talk;
use super::{
    Manner, Out, complained, cured, execute, explain, give, known_heights, meaning, measured, say,
};
use crate::domain::conversation::{Action, Advised, Conversation};
use crate::domain::intent::leave::RUNNING_ON;
use crate::domain::walkthrough::sheet;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_request::Payload as Said;
use crate::pb::converse_answer::Response;
use crate::pb::converse_response::Payload;
use crate::service::Shop;
use crate::service::records::keeping::waiting;
use crate::service::speech::{equipment, equipment_asked};
use crate::service::status::invalid;

/// Actions of one turn at most: each leads to few others, so more are a mistake of ours.
const ACTIONS_MAX: usize = 64;

pub struct Turn<'a> {
    pub(super) shop: &'a Arc<Shop>,
    pub(super) manner: &'a Manner,
    pub(super) talk: &'a mut Talk,
    out: &'a Out,
    cancelled: watch::Receiver<u64>,
    number: u64,
    /// What was told in it.
    told: Vec<String>,
}

/// A number of an earlier calculation: its field, and the unit it was said in.
fn said_before((field, unit): &(String, String)) -> pb::HeardQuantity {
    let (field, unit) = (field.clone(), unit.clone());
    pb::HeardQuantity { field, unit, ..pb::HeardQuantity::default() }
}

/// The work of an action that may be cut off by a cancel.
pub(super) enum Cut<T> {
    Done(T),
    Cancelled,
}

/// A message with machines and units as people call them: "greens-triplex/2" and no resource name.
pub(super) fn without_paths(message: &str) -> String {
    let shown = |word: &str| {
        let Some(at) = word.find("sites/") else { return word.to_owned() };
        let (before, path) = word.split_at(at);
        let parts: Vec<&str> = path.split('/').skip(2).collect();
        let ids: Vec<&str> = parts.chunks(2).filter_map(|pair| pair.get(1).copied()).collect();
        match ids.is_empty() {
            true => format!("{before}the shop"),
            false => format!("{before}{}", ids.join("/")),
        }
    };
    message.split(' ').map(shown).collect::<Vec<_>>().join(" ")
}

impl<'a> Turn<'a> {
    pub fn new(
        shop: &'a Arc<Shop>,
        manner: &'a Manner,
        talk: &'a mut Talk,
        out: &'a Out,
        mut cancelled: watch::Receiver<u64>,
    ) -> Turn<'a> {
        // Cancels up to here were of answers before this one.
        cancelled.mark_unchanged();
        Turn { shop, manner, talk, out, cancelled, number: 0, told: Vec::new() }
    }

    /// Takes a message. An error ends the call; the conversation stays.
    pub async fn take(mut self, message: pb::ConverseRequest) -> Result<(), Status> {
        self.number = message.number;
        let Some(said) = message.payload else {
            return Err(invalid("payload", "empty", "set exactly one of its fields"));
        };
        if !self.talk.takes(message.number) {
            return Ok(());
        }
        let knowledge = &self.shop.knowledge;
        let talk = &mut self.talk.conversation;
        talk.context.inches = self.manner.inches;
        let actions = match said {
            Said::Start(_) => {
                return Err(invalid("start", "set", "it stands first in a call, and only there"));
            }
            Said::Received(received) => {
                self.talk.received(received.sequence);
                return Ok(());
            }
            // What it would have stopped has ended already.
            Said::Cancel(_) => Vec::new(),
            Said::Text(words) => talk.hear(knowledge, &words),
            Said::Confirm(confirm) => talk.confirm(confirm.proposal),
            Said::Decline(decline) => talk.decline_number(decline.proposal),
            Said::Acknowledge(given) => {
                let step = usize::try_from(given.step).map_err(|_| {
                    invalid("step", &given.step.to_string(), "give the number shown")
                })?;
                talk.acknowledge(knowledge, &given.procedure, step)
            }
        };
        let cancelled = self.carry_out(actions).await;
        let told = std::mem::take(&mut self.told);
        self.conversation().keep_lines(told);
        if let Some(line) = self.conversation().still_open() {
            self.remark(vec![line]).await;
        }
        let end = pb::ConverseTurnEnd { cancelled };
        self.send(Vec::new(), Payload::TurnEnd(end)).await;
        Ok(())
    }

    pub(super) fn conversation(&mut self) -> &mut Conversation<Command> {
        &mut self.talk.conversation
    }

    pub(super) async fn send(&mut self, lines: Vec<String>, payload: Payload) {
        self.told.extend(lines.iter().cloned());
        let lines = lines.iter().map(|line| self.manner.wording.say(line)).collect();
        let response = self.talk.number(self.number, lines, payload);
        give(self.out, response).await;
    }

    pub(super) async fn remark(&mut self, lines: Vec<String>) {
        self.send(lines, Payload::Remark(pb::ConverseRemark {})).await;
    }

    /// Does the actions in order, with those that they lead to. True: it was cancelled.
    async fn carry_out(&mut self, actions: Vec<Action<Command>>) -> bool {
        let mut waiting: VecDeque<Action<Command>> = actions.into();
        for _ in 0..ACTIONS_MAX {
            let Some(action) = waiting.pop_front() else { return false };
            match self.act(action).await {
                Cut::Done(more) => {
                    for action in more.into_iter().rev() {
                        waiting.push_front(action);
                    }
                }
                Cut::Cancelled => {
                    self.remark(vec!["Stopped.".to_owned()]).await;
                    return true;
                }
            }
        }
        tracing::error!("a turn did not come to its end");
        false
    }

    async fn act(&mut self, action: Action<Command>) -> Cut<Vec<Action<Command>>> {
        if let Action::Tell { .. } | Action::Refuse { .. } | Action::Propose | Action::Opening(_) =
            &action
        {
            // "More" and "why" are no more of the answer before.
            self.conversation().last.more.clear();
        }
        match action {
            Action::Say(lines) => self.remark(lines).await,
            Action::Ask(lines) => {
                self.send(lines, Payload::Question(pb::ConverseQuestion {})).await;
            }
            Action::Understood { sentence, unheard, assumed } => {
                self.understood(sentence, unheard, assumed).await;
            }
            Action::Interpret(words) => return self.interpret(words, false).await,
            Action::InterpretAlone(words) => return self.interpret(words, true).await,
            Action::PutRight(words) => return Cut::Done(self.put_right(words).await),
            Action::Units(meant) => return Cut::Done(self.units(meant).await),
            Action::Run(command) => return self.run(command).await,
            Action::Tell { form, query } => {
                let lines = explain::told(&self.shop.knowledge, form, &query);
                self.remark(lines).await;
            }
            Action::Turn(heights) => return self.turn_ends(heights).await,
            Action::RecordAgain(words) => return Cut::Done(self.record_again(words).await),
            Action::Know(known) => self.know(known),
            Action::Observe(known) => {
                self.know(known);
                return self.observe().await;
            }
            Action::Propose => self.show_proposal().await,
            Action::Write(proposal) => return Cut::Done(self.write(proposal).await),
            Action::Checked(checked) => self.show_readings(checked).await,
            Action::Opening(id) => {
                let row = self.shop.knowledge.procedure(&id);
                let lines = row.map(sheet::opening_lines).unwrap_or_default();
                self.remark(lines).await;
            }
            Action::Step => self.show_step(sheet::step_lines).await,
            Action::Opened => self.show_step(sheet::opened_lines).await,
            Action::NextReading => self.show_step(sheet::next_reading_lines).await,
            Action::Cautions(ids) => {
                let cautions = self.shop.cautions(&ids, &self.manner.wording);
                self.remark(say::cautions(&cautions)).await;
            }
            Action::Refuse { text, cautions } => {
                self.conversation().cautions.in_full(&cautions);
                let cautions = self.shop.cautions(&cautions, &self.manner.wording);
                let mut lines = vec![text.clone()];
                lines.extend(say::cautions(&cautions));
                let text = self.manner.wording.say(&text);
                let refusal = pb::ConverseRefusal { text, cautions };
                self.send(lines, Payload::Refusal(refusal)).await;
            }
            Action::KeepDraft(walking) => self.keep_draft(walking).await,
            Action::DropDraft(number) => self.drop_draft(number).await,
            Action::Drafts => self.list_drafts().await,
            Action::Resume(number) => return Cut::Done(self.resume(number).await),
            Action::ResumeNamed(words) => return Cut::Done(self.resume_named(&words).await),
            Action::Discard(number) => self.discard(number).await,
            Action::FindSubject(words) => return Cut::Done(self.find_subject(words).await),
        }
        Cut::Done(Vec::new())
    }

    async fn understood(
        &mut self,
        sentence: String,
        unheard: Vec<String>,
        assumptions: Vec<String>,
    ) {
        let mut lines = vec![format!("Understood: {sentence}")];
        lines.extend(assumptions.iter().map(|line| format!("  Assumed: {line}")));
        if !unheard.is_empty() {
            lines.push(format!("  Not used: {}", unheard.join(" ")));
        }
        let understood = pb::ConverseUnderstood { sentence, unheard, assumptions };
        self.send(lines, Payload::Understood(understood)).await;
    }

    /// Waits for work that only reads, or for a cancel.
    pub(super) async fn unless_cancelled<T>(
        &mut self,
        work: impl Future<Output = Result<T, Status>>,
    ) -> Cut<Option<T>> {
        let mut cancelled = self.cancelled.clone();
        let outcome = tokio::select! {
            outcome = work => outcome,
            // When nobody can cancel any more, the work goes on.
            () = async {
                if cancelled.changed().await.is_err() {
                    std::future::pending::<()>().await;
                }
            } => return Cut::Cancelled,
        };
        match outcome {
            Ok(done) => Cut::Done(Some(done)),
            Err(status) => {
                let why = without_paths(status.message());
                self.remark(vec![format!("That cannot be done: {why}")]).await;
                Cut::Done(None)
            }
        }
    }

    async fn interpret(&mut self, words: String, alone: bool) -> Cut<Vec<Action<Command>>> {
        let context = &self.talk.conversation.context;
        let asked = context.question.clone();
        let topic = asked.as_ref().map_or_else(String::new, |(_, topic)| topic.clone());
        let request = pb::InterpretRequest {
            text: words.clone(),
            now: None,
            time_zone: self.talk.time_zone.clone(),
            parent: self.talk.parent.clone(),
            context: Some(pb::InterpretContext {
                equipment: context.equipment.map_or(pb::Equipment::Unspecified, equipment).into(),
                subject: context.subject.clone(),
                previous: context.previous.clone().map(|one| pb::Command { request: Some(one) }),
                complaint: self.complaint(),
                question: asked.map(|(one, _)| pb::Command { request: Some(one) }),
                question_topic: topic,
                previous_quantities: context.said_in.iter().map(said_before).collect(),
            }),
        };
        let (shop, wording) = (Arc::clone(self.shop), self.manner.wording.clone());
        let southern = self.manner.southern;
        let work = waiting(move || shop.interpretation(&request, wording, southern));
        let heard = match self.unless_cancelled(work).await {
            Cut::Done(Some(heard)) => heard,
            Cut::Done(None) => return Cut::Done(Vec::new()),
            Cut::Cancelled => return Cut::Cancelled,
        };
        let mut meaning = meaning::of(&heard, &words);
        if let Some(case) = self.complaint() {
            cured::of_the_case(&mut meaning, &case, self.talk.conversation.likely_cause());
        } else if let Some((Command::Diagnose(case), cause)) = self.talk.conversation.cured() {
            cured::of_the_case(&mut meaning, case, cause);
        }
        let knowledge = &self.shop.knowledge;
        let talk = &mut self.talk.conversation;
        Cut::Done(match alone {
            true => talk.alone(knowledge, &words, meaning),
            false => talk.decide(knowledge, &words, meaning),
        })
    }

    async fn run(&mut self, command: Command) -> Cut<Vec<Action<Command>>> {
        let (shop, manner) = (Arc::clone(self.shop), self.manner.clone());
        let topic = self.talk.conversation.context.topic.clone();
        let words = self.talk.conversation.earlier_words();
        let put_in = known_heights::put_in(&shop, &self.talk.parent, words, command.clone());
        let (filled, told) = put_in.await;
        let work = execute::run(&shop, &manner, filled, &topic);
        let mut done = match self.unless_cancelled(work).await {
            Cut::Done(Some(mut done)) => {
                done.lines.splice(done.lines.len().min(1)..done.lines.len().min(1), told);
                done
            }
            Cut::Done(None) => return Cut::Done(Vec::new()),
            Cut::Cancelled => return Cut::Cancelled,
        };
        let mut command = command;
        if let Some(kept) = self.signs_dropped(&command, &done) {
            command = kept;
            let work = execute::run(&shop, &manner, command.clone(), &topic);
            done = match self.unless_cancelled(work).await {
                Cut::Done(Some(done)) => done,
                Cut::Done(None) => return Cut::Done(Vec::new()),
                Cut::Cancelled => return Cut::Cancelled,
            };
        }
        let mut more = Vec::new();
        self.keep_answer(&command, &mut done);
        let lines = self.composed(&done);
        if let (Command::Diagnose(asked), Response::Diagnose(reply)) =
            (command, &done.answer)
        {
            more = self.after_diagnosis(asked, reply);
        }
        if let Response::AskRecords(reply) = &done.answer {
            self.keep_records_told(reply);
        }
        if let Some(answered) = measured::of(&done.answer) {
            self.conversation().context.answered = Some(answered);
        }
        let answer = pb::ConverseAnswer { response: Some(done.answer) };
        self.send(lines, Payload::Answer(answer)).await;
        Cut::Done(more)
    }

    /// Keeps which records were told, for what is asked of them next.
    fn keep_records_told(&mut self, reply: &pb::AskRecordsResponse) {
        let context = &mut self.conversation().context;
        // "It" is from now on what the answer named first.
        if !reply.named.is_empty() {
            context.subject.clone_from(&reply.named);
        }
        let all = usize::try_from(reply.total_count).is_ok_and(|all| all == reply.records.len());
        if let Some((Command::AskRecords(asked), _)) = &mut context.question
            && all && !reply.records.is_empty()
        {
            asked.records = reply.records.iter().map(|row| row.record.clone()).collect();
        }
    }

    /// A further sign drops none of those before: the complaint with the signs that were heard
    /// before these words were added, and are neither heard nor denied now.
    fn signs_dropped(&self, asked: &Command, done: &Done) -> Option<Command> {
        let last = &self.talk.conversation.last;
        let (Command::Diagnose(asked), Response::Diagnose(reply)) = (asked, &done.answer) else {
            return None;
        };
        let further = !last.complaint.is_empty() && asked.complaint != last.complaint
            && asked.complaint.starts_with(&last.complaint);
        let kind = equipment_asked(reply.equipment).ok().flatten()?;
        let of_kind = |id: &String| {
            self.shop.knowledge.finding(id).is_some_and(|row| row.equipment.contains(&kind))
        };
        let known = |id: &String| {
            reply.heard.iter().any(|heard| heard.finding == *id)
                || asked.observations.iter().any(|one| one.finding == *id)
        };
        let dropped: Vec<&String> =
            last.heard.iter().filter(|id| further && of_kind(id) && !known(id)).collect();
        let mut asked = asked.clone();
        asked.observations.extend(dropped.iter().map(|id| {
            pb::Observation { finding: (*id).clone(), present: true }
        }));
        (!dropped.is_empty()).then_some(Command::Diagnose(asked))
    }

    /// Keeps what is asked of this answer; one that says what the one before said is told in short.
    fn keep_answer(&mut self, asked: &Command, done: &mut Done) {
        let of_case = self.complaint().is_some();
        let running = self.talk.conversation.context.topic == RUNNING_ON;
        let shop = Arc::clone(self.shop);
        let last = &mut self.conversation().last;
        let before = std::mem::take(&mut last.mark);
        last.more.clone_from(&done.more);
        last.notes.clone_from(&done.notes);
        last.of_a_sum = !done.more.is_empty() && !matches!(done.answer, Response::Diagnose(_));
        if of_case && !matches!(done.answer, Response::Diagnose(_)) {
            // What the complaint came to stays, to be asked of.
            return;
        }
        let likely = last.ranked.first().map(|of| of.1);
        last.ranked.clear();
        last.heard.clear();
        let (Response::Diagnose(reply), Command::Diagnose(asked)) = (&done.answer, asked) else {
            return;
        };
        last.complaint.clone_from(&asked.complaint);
        last.mark = complained::mark(reply, &asked.unit);
        let heard = reply.heard.iter().filter(|heard| heard.present);
        last.heard = heard.map(|heard| heard.finding.clone()).collect();
        let observed = asked.observations.iter().filter(|one| one.present);
        last.heard.extend(observed.map(|one| one.finding.clone()));
        if reply.outcome() == pb::Outcome::Diagnosed {
            last.ranked =
                reply.causes.iter().map(|row| (row.cause.clone(), row.probability)).collect();
        }
        last.why = match last.ranked.is_empty() {
            false => complained::why(reply, &shop.knowledge),
            true => Vec::new(),
        };
        let alike = complained::about_as_likely(reply, likely);
        if of_case && before == last.mark && alike && !running {
            let heard = done.lines.iter().filter(|line| line.starts_with("Heard")).cloned();
            done.lines = complained::unchanged(reply).into_iter().chain(heard).collect();
            done.basis.clear();
        }
    }

    /// The lines of an answer with its cautions: in full the first time, then by their names.
    pub(super) fn composed(&mut self, done: &Done) -> Vec<String> {
        let mut lines = done.lines.clone();
        let ids: Vec<(&str, bool)> =
            done.cautions.iter().map(|one| (one.id.as_str(), one.stops_work)).collect();
        let full = self.talk.conversation.cautions.tell(&ids);
        let of = |wanted: bool| {
            let all = done.cautions.iter().zip(&full);
            all.filter(move |(_, full)| **full == wanted).map(|(caution, _)| caution)
        };
        match &done.answer {
            // Of a complaint, of safety, of a sum on paper: the answer says what matters.
            Response::Diagnose(_) | Response::ListCautions(_) | Response::ClipSpacing(_)
            | Response::RotaryTipSpeed(_) | Response::BladeBalance(_) => {
                lines.extend(say::cautions_in_short(&of(true).collect::<Vec<_>>()));
            }
            _ => lines.extend(of(true).map(say::caution)),
        }
        let again: Vec<&str> = of(false).map(|caution| caution.title.as_str()).collect();
        lines.extend(say::cautions_again(&again));
        lines.extend(done.basis.iter().cloned());
        lines
    }

    /// What the diagnosis asks next, and which jobs it advises.
    fn after_diagnosis(
        &mut self,
        mut asked: pb::DiagnoseRequest,
        reply: &pb::DiagnoseResponse,
    ) -> Vec<Action<Command>> {
        asked.equipment = reply.equipment;
        let known: Vec<String> =
            asked.observations.iter().map(|known| known.finding.clone()).collect();
        let advised = reply.next_steps.iter().filter(|step| !step.procedure.is_empty());
        let advised = advised
            .map(|step| Advised {
                procedure: step.procedure.clone(),
                cause: match step.kind() {
                    pb::StepKind::Repair => step.id.clone(),
                    _ => String::new(),
                },
            })
            .collect();
        let first = reply.next_steps.first();
        let check = first.filter(|step| step.kind() == pb::StepKind::Check);
        let questions = check.map_or_else(Vec::new, |step| {
            let fresh = step.reveals_findings.iter().filter(|id| !known.contains(id));
            fresh
                .filter_map(|id| {
                    let row = self.shop.knowledge.finding(id)?;
                    Some((id.clone(), row.question.clone()))
                })
                .collect()
        });
        let kind = equipment_asked(reply.equipment).ok().flatten();
        self.talk.conversation.diagnosed(Command::Diagnose(asked), kind, advised, questions)
    }

    /// The complaint that is being looked into.
    fn complaint(&self) -> Option<pb::DiagnoseRequest> {
        match &self.talk.conversation.context.case {
            Some(Command::Diagnose(asked)) => Some(asked.clone()),
            _ => None,
        }
    }

    fn know(&mut self, known: Vec<(String, bool)>) {
        let case = &mut self.conversation().context.case;
        let Some(Command::Diagnose(asked)) = case else { return };
        for (finding, present) in known {
            asked.observations.retain(|one| one.finding != finding);
            asked.observations.push(pb::Observation { finding, present });
        }
    }

    async fn observe(&mut self) -> Cut<Vec<Action<Command>>> {
        // What was asked of it before, such as whether it may go on, is answered.
        self.conversation().context.topic.clear();
        match self.complaint() {
            Some(asked) => self.run(Command::Diagnose(asked)).await,
            None => Cut::Done(Vec::new()),
        }
    }
}
