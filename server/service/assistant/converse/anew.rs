//! What leans on a record or on heights told before: the same record for another unit, and how much
//! each end is to be turned. Deliberately absent: storing, which is `keeping`.

use super::execute::{self, Done};
use super::turn::{Cut, Turn};
use super::{keeping, say};
use crate::domain::conversation::turning::Heights;
use crate::domain::conversation::{Action, Proposal, Proposed};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_response::Payload;
use crate::service::records::keeping::waiting;
use std::sync::Arc;

const PITCH_WANTED: &str = "For the turns I need the pitch of the adjuster's thread, or what one turn \
    moves: say \"1.5 pitch\", \"M10\" or \"30 thou a turn\". Not known: make one whole turn, clamp, read the \
    height again, and say what it moved.";

fn kind_of(name: &str) -> Option<SubjectKind> {
    SubjectName::parse("subject", name).ok().map(|name| name.kind())
}

impl Turn<'_> {
    /// Proposes the record that is open, or was stored last, for what these words name.
    pub(super) async fn record_again(&mut self, words: String) -> Vec<Action<Command>> {
        let open = self.talk.conversation.proposal().cloned();
        let request = match open {
            Some(Proposal { what: Proposed::Walk { .. } | Proposed::Withdraw { .. }, .. }) => None,
            Some(open) => keeping::requests(&open).into_iter().next_back(),
            None => self.stored_latest().await,
        };
        let knowledge = &self.shop.knowledge;
        let Some(mut request) = request else {
            return self.talk.conversation.not_again(knowledge);
        };
        let before = request.parent.clone();
        let Some(subject) = self.subject_said(&words, &before).await else {
            return self.talk.conversation.not_again(knowledge);
        };
        let Some(record) = request.record.take() else { return Vec::new() };
        request.record = Some(of_other(record, &before, &subject));
        request.parent.clone_from(&subject);
        request.request_id = String::new();
        let kind = request.record.as_ref().map_or("record", say::kind);
        let short = subject.strip_prefix("sites/home/").unwrap_or(&subject);
        let understood = format!("Record {kind} on {short}.");
        let command = Command::CreateRecord(request);
        self.talk.conversation.again_for(command, &words, &subject, (understood, kind.to_owned()))
    }

    /// What these words name of the shop; of another machine, the unit that is called the same.
    pub(super) async fn subject_said(&mut self, words: &str, beside: &str) -> Option<String> {
        let request = pb::InterpretRequest {
            text: words.to_owned(),
            time_zone: self.talk.time_zone.clone(),
            parent: self.talk.parent.clone(),
            context: Some(pb::InterpretContext {
                subject: beside.to_owned(),
                ..pb::InterpretContext::default()
            }),
            ..pb::InterpretRequest::default()
        };
        let (shop, wording) = (Arc::clone(self.shop), self.manner.wording.clone());
        let southern = self.manner.southern;
        let heard = waiting(move || shop.interpretation(&request, wording, southern)).await.ok();
        let subject = heard.map(|heard| heard.subject).filter(|name| !name.is_empty());
        let Some(subject) = subject else { return self.named(words, beside).await };
        let machine = kind_of(&subject) == Some(SubjectKind::Machine);
        let of_unit = kind_of(beside) == Some(SubjectKind::Unit);
        if machine && of_unit {
            let unit = beside.rsplit('/').next().unwrap_or_default().to_owned();
            let unit = self.named(&unit, &format!("{subject}/units/x")).await;
            return Some(unit.filter(|unit| unit.starts_with(&subject)).unwrap_or(subject));
        }
        Some(subject)
    }

    /// How much each end is to be turned, the cautions once.
    pub(super) async fn turn_ends(&mut self, heights: Heights) -> Cut<Vec<Action<Command>>> {
        let Some(target) = heights.target_mm else { return Cut::Done(Vec::new()) };
        let mut lines = vec![heights.beside(target)];
        if heights.pitch_mm.is_none() {
            lines.push(PITCH_WANTED.to_owned());
            self.remark(lines).await;
            return Cut::Done(Vec::new());
        }
        let mut last: Option<Done> = None;
        for one in heights.ends.iter().filter(|one| (one.height_mm - target).abs() > 1e-9) {
            let command = Command::AdjusterTurns(pb::AdjusterTurnsRequest {
                current_height_mm: Some(one.height_mm),
                target_height_mm: Some(target),
                thread_pitch_mm: heights.pitch_mm,
                ..pb::AdjusterTurnsRequest::default()
            });
            let (shop, manner) = (Arc::clone(self.shop), self.manner.clone());
            let done = match self.unless_cancelled(execute::run(&shop, &manner, command, "")).await {
                Cut::Done(Some(done)) => done,
                Cut::Done(None) => return Cut::Done(Vec::new()),
                Cut::Cancelled => return Cut::Cancelled,
            };
            let answer = done.lines.first().cloned().unwrap_or_default();
            let end = if one.end.is_empty() { String::new() } else { format!("{} end: ", one.end) };
            lines.push(format!("  {end}{answer}"));
            last = Some(done);
        }
        let Some(mut last) = last else {
            self.remark(lines).await;
            return Cut::Done(Vec::new());
        };
        lines.extend(last.lines.drain(..).filter(|line| line.starts_with("  Note")));
        last.lines = lines;
        let lines = self.composed(&last);
        let answer = pb::ConverseAnswer { response: Some(last.answer) };
        self.send(lines, Payload::Answer(answer)).await;
        Cut::Done(Vec::new())
    }
}

/// The record as it is made for something else.
fn of_other(record: pb::Record, before: &str, subject: &str) -> pb::Record {
    let mut record = pb::Record {
        name: String::new(),
        create_time: None,
        request_id: String::new(),
        supersedes: String::new(),
        superseded_by: String::new(),
        withdrawn: false,
        unit_type: String::new(),
        ..record
    };
    let machine = |name: &str| name.split("/units/").next().map(str::to_owned);
    if machine(before) != machine(subject) {
        record.machine_hours_h = None;
    }
    if let Some(pb::record::Detail::HeightReading(detail)) = &mut record.detail {
        let unit = kind_of(subject) == Some(SubjectKind::Unit);
        for reading in detail.readings.iter_mut().filter(|_| unit) {
            subject.clone_into(&mut reading.unit);
        }
    }
    record
}
