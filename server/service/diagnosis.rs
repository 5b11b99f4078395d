//! `DiagnosisService`: wire question -> `domain::complaint::diagnose` -> wire answer.

use std::sync::Arc;

use tonic::{Request, Response, Status};

use super::Shop;
use super::speech::{equipment, equipment_asked};
use super::status::invalid;
use crate::domain::catalogue::Equipment;
use crate::domain::complaint::{self, Diagnosis, Outcome, Question, RankedCause};
use crate::domain::diagnosis::plan::StepKind;
use crate::domain::wording::Wording;
use crate::pb;
use crate::pb::diagnosis_service_server::DiagnosisService;

pub struct Diagnoses(pub Arc<Shop>);

#[tonic::async_trait]
impl DiagnosisService for Diagnoses {
    async fn diagnose(
        &self,
        request: Request<pb::DiagnoseRequest>,
    ) -> Result<Response<pb::DiagnoseResponse>, Status> {
        let words = self.0.wording(&request);
        let question = parse(request.into_inner())?;
        let shop = &self.0;
        let answer = complaint::diagnose(&shop.knowledge, &shop.models, None, &question)?;
        Ok(Response::new(shop.diagnosis_reply(answer, &words)))
    }
}

fn parse(request: pb::DiagnoseRequest) -> Result<Question, Status> {
    let max_causes = usize::try_from(request.max_causes)
        .map_err(|_| invalid("max_causes", &request.max_causes.to_string(), "give 0 to 100"))?;
    Ok(Question {
        complaint: request.complaint,
        equipment: equipment_asked(request.equipment)?,
        observations: request
            .observations
            .into_iter()
            .map(|observation| (observation.finding, observation.present))
            .collect(),
        max_causes,
    })
}

impl Shop {
    pub(super) fn diagnosis_reply(&self, answer: Diagnosis, words: &Wording) -> pb::DiagnoseResponse {
        let kind = answer.equipment.unwrap_or(Equipment::ReelUnit);
        pb::DiagnoseResponse {
            outcome: outcome(answer.outcome).into(),
            message: words.say(&answer.message),
            equipment: answer.equipment.map_or(pb::Equipment::Unspecified, equipment).into(),
            heard: answer.heard.iter().map(|heard| self.heard_reply(heard, words)).collect(),
            causes: answer.causes.iter().map(|cause| self.cause_reply(kind, cause, words)).collect(),
            other_cause_probability: answer.other,
            second_fault_probability: answer.several,
            next_steps: answer.steps.iter().map(|step| self.step_reply(kind, step, words)).collect(),
            cautions: self.cautions(&answer.cautions, words),
            unheard: answer.unheard,
            knowledge_version: self.knowledge.version.clone(),
            history: Vec::new(),
        }
    }

    fn heard_reply(
        &self,
        heard: &crate::domain::language::hearing::Heard,
        words: &Wording,
    ) -> pb::HeardFinding {
        let byte = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let title = self.knowledge.finding(&heard.finding).map_or("", |row| row.title.as_str());
        pb::HeardFinding {
            finding: heard.finding.clone(),
            present: heard.present,
            confidence: heard.confidence,
            span_start: byte(heard.start),
            span_end: byte(heard.end),
            title: words.say(title),
        }
    }

    fn cause_reply(&self, kind: Equipment, cause: &RankedCause, words: &Wording) -> pb::RankedCause {
        let row = self.knowledge.cause(kind, &cause.id);
        let cautions = complaint::step_cautions(&self.knowledge, kind, StepKind::Repair, &cause.id);
        pb::RankedCause {
            cause: cause.id.clone(),
            title: row.map_or_else(String::new, |row| words.say(&row.title)),
            probability: cause.probability,
            evidence: cause
                .evidence
                .iter()
                .map(|(finding, log_odds)| pb::Evidence {
                    finding: finding.clone(),
                    log_odds: *log_odds,
                })
                .collect(),
            remedy_procedure: row.map_or_else(String::new, |row| row.procedure.clone()),
            minutes: cause.minutes,
            cautions: self.cautions(&cautions, words),
            past_fixes: Vec::new(),
            remedy: row.map_or_else(String::new, |row| words.say(&row.remedy)),
        }
    }

    fn step_reply(
        &self,
        kind: Equipment,
        step: &complaint::NextStep,
        words: &Wording,
    ) -> pb::NextStep {
        let check = self.knowledge.check(&step.id).filter(|_| step.kind == StepKind::Check);
        let cause = self.knowledge.cause(kind, &step.id).filter(|_| step.kind == StepKind::Repair);
        let title = match (check, cause) {
            (Some(check), _) => check.title.as_str(),
            (None, Some(cause)) => cause.remedy.as_str(),
            (None, None) => "Hand it to a specialist",
        };
        let procedure = check
            .map(|row| row.procedure.as_str())
            .or(cause.map(|row| row.procedure.as_str()))
            .unwrap_or_default();
        let of_kind = |id: &&String| {
            self.knowledge.finding(id).is_some_and(|row| row.equipment.contains(&kind))
        };
        let reveals = check.map_or_else(Vec::new, |row| {
            row.reveals.iter().filter(of_kind).cloned().collect()
        });
        let cautions = complaint::step_cautions(&self.knowledge, kind, step.kind, &step.id);
        let why = check.map_or_else(
            || step.why.clone(),
            |row| format!("{} {}", row.why, step.why),
        );
        pb::NextStep {
            kind: step_kind(step.kind).into(),
            id: step.id.clone(),
            title: words.say(title),
            minutes: step.minutes,
            minutes_saved: step.minutes_saved,
            why: words.say(&why),
            reveals_findings: reveals,
            cautions: self.cautions(&cautions, words),
            procedure: procedure.to_owned(),
        }
    }
}

fn outcome(outcome: Outcome) -> pb::Outcome {
    match outcome {
        Outcome::Diagnosed => pb::Outcome::Diagnosed,
        Outcome::NeedMore => pb::Outcome::NeedMore,
        Outcome::OutOfScope => pb::Outcome::OutOfScope,
        Outcome::RefusedUnsafe => pb::Outcome::RefusedUnsafe,
    }
}

fn step_kind(kind: StepKind) -> pb::StepKind {
    match kind {
        StepKind::Check => pb::StepKind::Check,
        StepKind::Repair => pb::StepKind::Repair,
        StepKind::Specialist => pb::StepKind::Specialist,
    }
}
