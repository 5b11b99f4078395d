//! `GuideService`: the knowledge as typed answers.

use std::sync::Arc;

use tonic::{Request, Response, Status};

use super::observe::Stock;
use super::records::keeping::waiting;
use super::speech::{basis, equipment, equipment_asked};
use super::status::not_found;
use super::{Shop, VERSION};
use crate::domain::catalogue::{self, Acceptance, FindingKind};
use crate::domain::wording::Wording;
use crate::pb;
use crate::pb::guide_service_server::GuideService;
use crate::store::{Store, StoreError};

pub struct Guide(pub Arc<Shop>);

#[tonic::async_trait]
impl GuideService for Guide {
    async fn get_procedure(
        &self,
        request: Request<pb::GetProcedureRequest>,
    ) -> Result<Response<pb::GetProcedureResponse>, Status> {
        let words = self.0.wording(&request);
        let id = request.into_inner().procedure;
        let row = self.0.knowledge.procedure(&id).ok_or_else(|| {
            not_found("procedure", &id, "ListProcedures gives them all")
        })?;
        Ok(Response::new(pb::GetProcedureResponse {
            procedure: Some(self.0.procedure_reply(row, true, &words)),
            knowledge_version: self.0.knowledge.version.clone(),
        }))
    }

    async fn list_procedures(
        &self,
        request: Request<pb::ListProceduresRequest>,
    ) -> Result<Response<pb::ListProceduresResponse>, Status> {
        let words = self.0.wording(&request);
        let kind = equipment_asked(request.into_inner().equipment)?;
        let rows = self.0.knowledge.procedures.iter();
        let procedures = rows
            .filter(|row| kind.is_none_or(|kind| row.equipment.contains(&kind)))
            .map(|row| self.0.procedure_reply(row, false, &words))
            .collect();
        Ok(Response::new(pb::ListProceduresResponse { procedures }))
    }

    async fn list_findings(
        &self,
        request: Request<pb::ListFindingsRequest>,
    ) -> Result<Response<pb::ListFindingsResponse>, Status> {
        let words = self.0.wording(&request);
        let kind = equipment_asked(request.into_inner().equipment)?;
        let rows = self.0.knowledge.findings.iter();
        let findings = rows
            .filter(|row| kind.is_none_or(|kind| row.equipment.contains(&kind)))
            .map(|row| self.0.finding_reply(row, &words))
            .collect();
        Ok(Response::new(pb::ListFindingsResponse { findings }))
    }

    async fn list_causes(
        &self,
        request: Request<pb::ListCausesRequest>,
    ) -> Result<Response<pb::ListCausesResponse>, Status> {
        let words = self.0.wording(&request);
        let kind = equipment_asked(request.into_inner().equipment)?;
        let rows = self.0.knowledge.causes.iter();
        let causes = rows
            .filter(|row| kind.is_none_or(|kind| row.equipment == kind))
            .map(|row| self.0.cause_row_reply(row, &words))
            .collect();
        Ok(Response::new(pb::ListCausesResponse { causes }))
    }

    async fn list_cautions(
        &self,
        request: Request<pb::ListCautionsRequest>,
    ) -> Result<Response<pb::ListCautionsResponse>, Status> {
        let words = self.0.wording(&request);
        let ids: Vec<&str> = self.0.knowledge.cautions.iter().map(|row| row.id.as_str()).collect();
        let cautions = self.0.cautions(&ids, &words);
        Ok(Response::new(pb::ListCautionsResponse { cautions }))
    }

    async fn get_reference(
        &self,
        request: Request<pb::GetReferenceRequest>,
    ) -> Result<Response<pb::GetReferenceResponse>, Status> {
        let id = request.into_inner().reference;
        let reference = self.0.reference(&id).ok_or_else(|| {
            not_found("reference", &id, "use the id that an answer names")
        })?;
        Ok(Response::new(pb::GetReferenceResponse { reference: Some(reference) }))
    }

    async fn get_note(
        &self,
        request: Request<pb::GetNoteRequest>,
    ) -> Result<Response<pb::GetNoteResponse>, Status> {
        let words = self.0.wording(&request);
        let id = request.into_inner().note;
        let row = self.0.knowledge.note(&id);
        let row = row.ok_or_else(|| not_found("note", &id, "Search finds notes by their words"))?;
        let note = Some(self.0.note_reply(row, &words));
        Ok(Response::new(pb::GetNoteResponse { note }))
    }

    async fn get_status(
        &self,
        _request: Request<pb::GetStatusRequest>,
    ) -> Result<Response<pb::GetStatusResponse>, Status> {
        let shop = Arc::clone(&self.0);
        let stock = waiting(move || Ok(shop.stock()?)).await?;
        let knowledge = &self.0.knowledge;
        let count = |length: usize| i32::try_from(length).unwrap_or(i32::MAX);
        Ok(Response::new(pb::GetStatusResponse {
            version: VERSION.to_owned(),
            knowledge_version: knowledge.version.clone(),
            uptime_s: stock.uptime.as_secs_f64(),
            finding_count: count(knowledge.findings.len()),
            cause_count: count(knowledge.causes.len()),
            check_count: count(knowledge.checks.len()),
            procedure_count: count(knowledge.procedures.len()),
            note_count: count(knowledge.notes.len()),
            record_count: stock.records,
            index_lag_count: stock.index_behind,
            limited_request_count: self.0.seen.limited_total(),
        }))
    }
}

impl Shop {
    /// How much is kept, how far search is behind it, and for how long this has been running.
    pub(super) fn stock(&self) -> Result<Stock, StoreError> {
        let uptime = self.started.elapsed();
        // Looking makes no data directory.
        let Some(store) = self.store_if_any()? else {
            return Ok(Stock { uptime, ..Stock::default() });
        };
        let whole = |count: u64| i64::try_from(count).unwrap_or(i64::MAX);
        let (records, index_behind) = (whole(store.record_count()?), whole(self.index_lag()));
        Ok(Stock { records, index_behind, uptime })
    }

    fn note_reply(&self, row: &catalogue::Note, words: &Wording) -> pb::Note {
        pb::Note {
            id: row.id.clone(),
            title: words.say(&row.title),
            equipment: row.equipment.iter().map(|kind| equipment(*kind).into()).collect(),
            text: words.say(&row.text),
            findings: row.findings.clone(),
            causes: row.causes.clone(),
            references: row.references.iter().filter_map(|id| self.reference(id)).collect(),
            basis: basis(&row.basis).into(),
        }
    }

    pub(super) fn procedure_reply(
        &self,
        row: &catalogue::Procedure,
        with_steps: bool,
        words: &Wording,
    ) -> pb::Procedure {
        let steps = if with_steps {
            (1..).zip(&row.steps).map(|(number, step)| self.step_of(number, step, words)).collect()
        } else {
            Vec::new()
        };
        pb::Procedure {
            id: row.id.clone(),
            title: words.say(&row.title),
            equipment: row.equipment.iter().map(|kind| equipment(*kind).into()).collect(),
            minutes: row.minutes,
            tools: row.tools.iter().map(|tool| words.say(tool)).collect(),
            summary: words.say(&row.summary),
            steps,
            references: self.references(&row.references),
            basis: basis(&row.basis).into(),
        }
    }

    fn step_of(&self, number: i32, step: &catalogue::Step, words: &Wording) -> pb::ProcedureStep {
        pb::ProcedureStep {
            number,
            title: words.say(&step.title),
            cautions: self.cautions(&step.cautions, words),
            text: words.say(&self.knowledge.with_titles(&step.text)),
            why: words.say(&step.why),
            readings: step.readings.iter().map(|reading| reading_reply(reading, words)).collect(),
            calculation: step.compute.clone().unwrap_or_default(),
        }
    }

    fn finding_reply(&self, row: &catalogue::Finding, words: &Wording) -> pb::Finding {
        let checks = self.knowledge.checks.iter();
        pb::Finding {
            id: row.id.clone(),
            equipment: row.equipment.iter().map(|kind| equipment(*kind).into()).collect(),
            revealed_by_check: row.kind == FindingKind::Check,
            title: words.say(&row.title),
            question: words.say(&row.question),
            checks: checks
                .filter(|check| check.reveals.contains(&row.id))
                .map(|check| check.id.clone())
                .collect(),
        }
    }

    fn cause_row_reply(&self, row: &catalogue::Cause, words: &Wording) -> pb::Cause {
        let mut signs: Vec<&catalogue::TableRow> = self
            .knowledge
            .table
            .iter()
            .filter(|sign| sign.cause == row.id && sign.equipment == row.equipment)
            .collect();
        signs.sort_by(|a, b| {
            b.probability.total_cmp(&a.probability).then(a.finding.cmp(&b.finding))
        });
        pb::Cause {
            id: row.id.clone(),
            equipment: equipment(row.equipment).into(),
            title: words.say(&row.title),
            remedy: words.say(&row.remedy),
            procedure: row.procedure.clone(),
            minutes: row.minutes,
            signs: signs
                .into_iter()
                .map(|sign| pb::CauseSign {
                    finding: sign.finding.clone(),
                    probability: sign.probability,
                    basis: basis(&sign.basis).into(),
                })
                .collect(),
            cautions: self.cautions(&row.cautions, words),
        }
    }
}

fn reading_reply(reading: &catalogue::StepReading, words: &Wording) -> pb::ReadingWanted {
    let (accept_min, accept_max) = match reading.accept {
        Acceptance::Range { min, max } => (Some(min), Some(max)),
        Acceptance::Yes => (None, None),
    };
    pb::ReadingWanted {
        id: reading.id.clone(),
        unit: reading.unit.clone(),
        label: words.say(&reading.label),
        accept_min,
        accept_max,
        otherwise_step: reading.otherwise_step.map_or(0, |at| i32::try_from(at).unwrap_or(0)),
    }
}
