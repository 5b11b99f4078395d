//! `DiagnosisService`: wire question -> `domain::complaint::diagnose` -> wire answer.

use std::sync::{Arc, MutexGuard, PoisonError};

use tonic::{Request, Response, Status};

use super::Shop;
use super::records::keeping::waiting;
use super::records::remembered::Remembered;
use super::speech::{equipment, equipment_asked};
use super::status::{invalid, not_found};
use crate::domain::catalogue::Equipment;
use crate::domain::complaint::{self, Diagnosis, Outcome, Question, RankedCause};
use crate::domain::diagnosis::learning::Whose;
use crate::domain::diagnosis::plan::StepKind;
use crate::domain::past_fixes::{self, PastFix};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::wording::{Wording, lower_first};
use crate::pb;
use crate::pb::diagnosis_service_server::DiagnosisService;
use crate::store::{Store, StoreError};

pub struct Diagnoses(pub Arc<Shop>);

#[tonic::async_trait]
impl DiagnosisService for Diagnoses {
    async fn diagnose(
        &self,
        request: Request<pb::DiagnoseRequest>,
    ) -> Result<Response<pb::DiagnoseResponse>, Status> {
        let words = self.0.wording(&request);
        let request = request.into_inner();
        let unit = request.unit.clone();
        let question = parse(request)?;
        let shop = Arc::clone(&self.0);
        if unit.is_empty() {
            let answer = complaint::diagnose(&shop.knowledge, &shop.models, &question)?;
            return Ok(Response::new(shop.diagnosis_reply(answer, &words)));
        }
        let name = unit_named(&unit)?;
        // History is on the disk, so this is done where waiting is allowed.
        let reply = waiting(move || shop.diagnose_unit(&name, question, &words)).await?;
        Ok(Response::new(reply))
    }
}

fn unit_named(unit: &str) -> Result<SubjectName, Status> {
    let name = SubjectName::parse("unit", unit)?;
    if matches!(name.kind(), SubjectKind::Unit | SubjectKind::Machine) {
        return Ok(name);
    }
    let remedy = "give the name of a unit or machine: sites/S/machines/M/units/U";
    Err(invalid("unit", unit, remedy))
}

/// What the records of a unit and its shop say.
struct History {
    kind: Option<Equipment>,
    /// It is a whole machine that is asked about.
    of_machine: bool,
    whose: Whose,
    of_unit: Arc<Vec<PastFix>>,
    of_shop: Arc<Vec<PastFix>>,
}

impl Shop {
    /// A diagnosis with what was learned, and what it was before on this unit and in this shop.
    fn diagnose_unit(
        &self,
        unit: &SubjectName,
        mut question: Question,
        words: &Wording,
    ) -> Result<pb::DiagnoseResponse, Status> {
        let remedy = "sward add unit adds it; leave it out to ask without history";
        let Some(store) = self.store_if_any()? else {
            return Err(not_found("unit", &unit.to_string(), remedy));
        };
        let history = self.history_of(&*store, unit).map_err(|error| match error {
            StoreError::NotFound { name } => not_found("unit", &name, remedy),
            error => Status::from(error),
        })?;
        question.equipment = question.equipment.or(history.kind);
        let table = complaint::diagnose(&self.knowledge, &self.models, &question)?;
        let Some(kind) = table.equipment.filter(|_| !table.causes.is_empty()) else {
            return Ok(self.diagnosis_reply(table, words));
        };
        let (network, _) = self.models.of(kind);
        let learned = self.remembered().learned(&*store, (kind, network), &history.whose)?;
        if learned.fixes == 0 {
            return Ok(self.told_with_history(kind, table, &history, Vec::new(), words));
        }
        let network = (kind, &learned.network);
        let answer =
            complaint::diagnose_learned(&self.knowledge, &self.models, network, &table, &question)?;
        let title = |id: &str| self.cause_title(kind, id);
        let changed = past_fixes::order_changed(&table, &answer, learned.fixes, title);
        Ok(self.told_with_history(kind, answer, &history, changed.into_iter().collect(), words))
    }

    pub(super) fn remembered(&self) -> MutexGuard<'_, Remembered> {
        // It hears of changes before it forgets that they came, so nothing is left half done.
        self.remembered.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn history_of(&self, store: &dyn Store, unit: &SubjectName) -> Result<History, StoreError> {
        let subject = store.subject(unit)?;
        let mut kind = subject.facts.equipment();
        match unit.kind() {
            // A machine may carry units of several kinds; the words tell which.
            SubjectKind::Machine => kind = None,
            _ => {
                if let (None, Some(machine)) = (kind, unit.holder()) {
                    kind = store.subject(&machine)?.facts.equipment();
                }
            }
        }
        let unit_type = subject.facts.unit_type().to_owned();
        let whose = Whose { shop: unit.site().to_string(), unit_type };
        let site = SubjectName::Site { site: unit.site().clone() };
        let mut remembered = self.remembered();
        let of_unit = remembered.fixes(store, unit)?;
        let of_shop = remembered.fixes(store, &site)?;
        let of_machine = unit.kind() == SubjectKind::Machine;
        Ok(History { kind, of_machine, whose, of_unit, of_shop })
    }

    /// The fault that came more than once on a unit and fits what is complained of, as a line; what
    /// `told` says already is left out.
    pub(super) fn repeated(
        &self,
        unit: &str,
        kind: Equipment,
        heard: &[String],
        complaint: &str,
        told: &[String],
    ) -> Result<Option<String>, Status> {
        let (Some(store), Ok(name)) = (self.store_if_any()?, SubjectName::parse("unit", unit))
        else {
            return Ok(None);
        };
        let Ok(history) = self.history_of(&*store, &name) else { return Ok(None) };
        let here = if history.of_machine { "On this machine" } else { "On this unit" };
        let fits = |id: &str| {
            past_fixes::fits(&self.knowledge, kind, id, heard, complaint)
                && !told.iter().any(|line| line.contains(&self.cause_title(kind, id)))
        };
        let title = |id: &str| self.cause_title(kind, id);
        Ok(past_fixes::repeated(here, &history.of_unit, fits, title))
    }

    fn cause_title(&self, kind: Equipment, id: &str) -> String {
        self.knowledge.cause(kind, id).map_or_else(|| id.to_owned(), |row| lower_first(&row.title))
    }

    fn told_with_history(
        &self,
        kind: Equipment,
        answer: Diagnosis,
        history: &History,
        changed: Vec<String>,
        words: &Wording,
    ) -> pb::DiagnoseResponse {
        let title = |id: &str| self.cause_title(kind, id);
        let (unit, shop) = (&history.of_unit, &history.of_shop);
        let here = if history.of_machine { "On this machine" } else { "On this unit" };
        let mut lines: Vec<String> =
            past_fixes::how_often(here, unit, &answer, title).into_iter().collect();
        // The shop's other units add something only when there are some.
        if shop.len() > unit.len() {
            lines.extend(past_fixes::how_often("In this shop", shop, &answer, title));
        }
        lines.extend(changed);
        let mut reply = self.diagnosis_reply(answer, words);
        reply.history = lines.iter().map(|line| words.say(line)).collect();
        for cause in &mut reply.causes {
            cause.past_fixes = past_fixes::named(shop, &cause.cause);
        }
        reply
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
    pub(super) fn diagnosis_reply(
        &self,
        answer: Diagnosis,
        words: &Wording,
    ) -> pb::DiagnoseResponse {
        let kind = answer.equipment.unwrap_or(Equipment::ReelUnit);
        pb::DiagnoseResponse {
            outcome: outcome(answer.outcome).into(),
            message: words.say(&answer.message),
            equipment: answer.equipment.map_or(pb::Equipment::Unspecified, equipment).into(),
            heard: answer.heard.iter().map(|heard| self.heard_reply(heard, words)).collect(),
            causes: answer
                .causes
                .iter()
                .map(|cause| self.cause_reply(kind, cause, words))
                .collect(),
            other_cause_probability: answer.other,
            second_fault_probability: answer.several,
            next_steps: answer
                .steps
                .iter()
                .map(|step| self.step_reply(kind, step, words))
                .collect(),
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

    fn cause_reply(
        &self,
        kind: Equipment,
        cause: &RankedCause,
        words: &Wording,
    ) -> pb::RankedCause {
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
        let reveals = check
            .map_or_else(Vec::new, |row| row.reveals.iter().filter(of_kind).cloned().collect());
        let cautions = complaint::step_cautions(&self.knowledge, kind, step.kind, &step.id);
        let why = check.map_or_else(|| step.why.clone(), |row| format!("{} {}", row.why, step.why));
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
