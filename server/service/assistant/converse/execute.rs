//! How is a command that reads carried out? By the very handler of its service, in this process; a
//! conversation has no second way to an answer.

use std::sync::Arc;

use prost::Message;
use prost_reflect::{DynamicMessage, Value};
use tonic::metadata::MetadataValue;
use tonic::{Request, Status};

use super::{Manner, complained, explain, fleet, say};
use crate::domain::fleet::parts::Family;
use crate::domain::recall::work_words::work;
use crate::domain::catalogue::{Equipment, RUNS_HOT};
use crate::domain::intent::leave::{LEAVE, RUNNING_ON};
use crate::domain::intent::why::TOLD;
use crate::domain::passages::form::Form;
use crate::domain::running_on;
use crate::domain::intent::guide;
use crate::domain::language::text::tokens;
use crate::domain::walkthrough::derived::WorkOut;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_answer::Response as Answer;
use crate::pb::diagnosis_service_server::DiagnosisService as _;
use crate::pb::guide_service_server::GuideService as _;
use crate::pb::search_service_server::SearchService as _;
use crate::pb::settings_service_server::SettingsService as _;
use crate::service::Shop;
use crate::service::diagnosis::Diagnoses;
use crate::service::guide::Guide;
use crate::service::records::keeping::waiting;
use crate::service::search::Searches;
use crate::service::settings::Settings;
use crate::service::speech::{WORDS_HEADER, equipment_asked};

/// Lines of the causes that stand under whether it may go on.
const RUNNING_LINES: usize = 2;

/// An answer with its lines, and the cautions that stand between them.
pub struct Done {
    pub answer: Answer,
    pub lines: Vec<String>,
    pub cautions: Vec<pb::Caution>,
    /// Behind the cautions: what it rests on.
    pub basis: Vec<String>,
    /// What is told when more is asked for.
    pub more: Vec<String>,
    /// What a sum notes of its figure.
    pub notes: Vec<String>,
}

impl Done {
    /// An answer that carries no cautions of its own.
    pub fn plain(answer: Answer, lines: Vec<String>) -> Done {
        let (cautions, basis, more, notes) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Done { answer, lines, cautions, basis, more, notes }
    }
}

/// A request as the caller would have sent it.
pub(super) fn asked<T>(message: T, manner: &Manner) -> Request<T> {
    let mut request = Request::new(message);
    if manner.american {
        request.metadata_mut().insert(WORDS_HEADER, MetadataValue::from_static("american"));
    }
    request
}

macro_rules! carry_out {
    ($shop:ident, $manner:ident, $topic:ident, $command:ident; $($variant:ident: $rpc:ident,)*) => {
        match $command {
            $(Command::$variant(message) => {
                let settings = Settings(Arc::clone($shop));
                let reply = settings.$rpc(asked(message, $manner)).await?.into_inner();
                let calculated = say::Calculated {
                    answer: &reply.answer,
                    working: &reply.working,
                    advisories: &reply.advisories,
                    missing: &reply.missing,
                };
                let told = say::calculation(&calculated, stringify!($variant));
                let mut basis = say::basis_of(&reply.references, &reply.missing);
                let mut more = told.working;
                if !more.is_empty() {
                    more.append(&mut basis);
                    basis.push(say::WORKING_HINT.to_owned());
                }
                let (lines, notes, cautions) = (told.lines, told.notes, reply.cautions.clone());
                Ok(Done { answer: Answer::$variant(reply), lines, cautions, basis, more, notes })
            })*
            other => look_up($shop, $manner, other, $topic).await,
        }
    };
}

/// Carries a command out. One that would store something is refused: that takes a yes. `topic`: the
/// part that is asked for.
pub async fn run(
    shop: &Arc<Shop>,
    manner: &Manner,
    command: Command,
    topic: &str,
) -> Result<Done, Status> {
    carry_out! { shop, manner, topic, command;
        ClipSpacing: clip_spacing,
        BenchHeight: bench_height,
        EffectiveHeight: effective_height,
        SinkageChange: sinkage_change,
        AdjusterTurns: adjuster_turns,
        PaperMap: paper_map,
        MatchUnits: match_units,
        HeightPlan: height_plan,
        ReelWear: reel_wear,
        ReliefGrind: relief_grind,
        WheelSpeed: wheel_speed,
        GroomerDepth: groomer_depth,
        BrushContact: brush_contact,
        Verticut: verticut,
        RotaryTipSpeed: rotary_tip_speed,
        RotaryLevel: rotary_level,
        BladeBalance: blade_balance,
        FieldCapacity: field_capacity,
        RepairCost: repair_cost,
        ServiceInterval: service_interval,
    }
}

async fn look_up(
    shop: &Arc<Shop>,
    manner: &Manner,
    command: Command,
    topic: &str,
) -> Result<Done, Status> {
    match command {
        Command::Diagnose(message) => {
            let diagnoses = Diagnoses(Arc::clone(shop));
            let (unit, complaint) = (message.unit.clone(), message.complaint.clone());
            let known = message.observations.iter().filter_map(|one| {
                let row = shop.knowledge.finding(&one.finding)?;
                Some((manner.wording.say(&row.title), one.present))
            });
            let known: Vec<(String, bool)> = known.collect();
            let reply = diagnoses.diagnose(asked(message, manner)).await?.into_inner();
            let here = own_faults(shop, unit, &complaint, &reply).await?;
            let complained::Told { first: mut lines, cautions, behind, more } =
                complained::told(&reply, &known, here);
            if topic == RUNNING_ON {
                // Where nothing is known yet, that it stops is the whole answer.
                let known = reply.outcome() == pb::Outcome::Diagnosed;
                lines.truncate(if known { RUNNING_LINES } else { 0 });
                lines.insert(0, going_on(shop, &reply));
            }
            let (answer, notes) = (Answer::Diagnose(reply), Vec::new());
            Ok(Done { answer, lines, cautions, basis: behind, more, notes })
        }
        Command::Search(message) => {
            let searches = Searches(Arc::clone(shop));
            let query = message.query.clone();
            let reply = searches.search(asked(message, manner)).await?.into_inner();
            let form = topic.strip_prefix(TOLD).unwrap_or(topic);
            let lines = match Form::from_id(form) {
                Some(form) => explain::told(&shop.knowledge, form, &query),
                None => say::found(&reply),
            };
            Ok(Done::plain(Answer::Search(reply), lines))
        }
        Command::AskRecords(asked) => {
            let words = asked.words.clone();
            // Nothing by somebody, or in some days, is no question to the notes.
            let narrow = !asked.people.is_empty() || !asked.spans.is_empty()
                || !asked.findings.is_empty() || asked.start_time.is_some() || asked.by != 0;
            let part = |word: &str| Family::of(word).is_some() || work(word).is_some();
            let narrow = narrow
                || (!asked.subjects.is_empty() && words.split_whitespace().all(part));
            let mut done = fleet::run(shop, manner, Command::AskRecords(asked), topic).await?;
            let none = matches!(&done.answer, Answer::AskRecords(reply) if reply.total_count == 0);
            let thing = words.split_whitespace().any(|word| work(word).is_none());
            if none && thing && !narrow {
                done.lines.extend(beside_the_records(shop, manner, topic, words).await?);
            }
            Ok(done)
        }
        Command::ListDue(_)
        | Command::GetReport(_)
        | Command::GetSettingCard(_)
        | Command::PlanHeights(_) => fleet::run(shop, manner, command, topic).await,
        other => of_guide(shop, manner, other, topic).await,
    }
}

/// The unit's own fault that came more than once and fits what was complained of, as a line.
async fn own_faults(
    shop: &Arc<Shop>,
    unit: String,
    complaint: &str,
    reply: &pb::DiagnoseResponse,
) -> Result<Option<String>, Status> {
    let kind = equipment_asked(reply.equipment)?;
    let (Some(kind), false) = (kind, unit.is_empty()) else { return Ok(None) };
    let heard = reply.heard.iter().filter(|heard| heard.present);
    let heard: Vec<String> = heard.map(|heard| heard.finding.clone()).collect();
    let (shop, words, told) = (Arc::clone(shop), complaint.to_owned(), reply.history.clone());
    waiting(move || shop.repeated(&unit, kind, &heard, &words, &told)).await
}

/// Whether it may go on working with what was found.
fn going_on(shop: &Arc<Shop>, reply: &pb::DiagnoseResponse) -> String {
    // What has to stop, a line of its own, answers it.
    if let Some(stop) = reply.message.lines().rev().nth(1) {
        return format!("No. {stop}");
    }
    let kind = equipment_asked(reply.equipment).ok().flatten().unwrap_or(Equipment::ReelUnit);
    let causes: Vec<(&str, f64)> =
        reply.causes.iter().map(|row| (row.cause.as_str(), row.probability)).collect();
    let known = reply.outcome() == pb::Outcome::Diagnosed;
    let hot = reply.heard.iter().any(|heard| heard.present && heard.finding == RUNS_HOT);
    running_on::answer(&shop.knowledge, kind, &causes, known, hot)
}

/// What the knowledge says where the records say nothing: how long a job takes, or notes about it.
async fn beside_the_records(
    shop: &Arc<Shop>,
    manner: &Manner,
    topic: &str,
    words: String,
) -> Result<Vec<String>, Status> {
    if topic == "took" {
        let known = guide::procedure(&shop.knowledge, &tokens(&words));
        let row = known.and_then(|id| shop.knowledge.procedure(id));
        let told = row.map(|row| {
            let minutes = crate::domain::units::plain(row.minutes);
            format!("By the knowledge, not by your records: {}, about {minutes} minutes.", row.title)
        });
        return Ok(told.into_iter().collect());
    }
    let search = pb::SearchRequest {
        query: words,
        kinds: vec![pb::HitKind::Note.into(), pb::HitKind::Procedure.into()],
        ..pb::SearchRequest::default()
    };
    let searches = Searches(Arc::clone(shop));
    let reply = searches.search(asked(search, manner)).await?.into_inner();
    if reply.hits.is_empty() {
        return Ok(Vec::new());
    }
    let mut lines = vec!["In the notes and procedures:".to_owned()];
    lines.extend(say::found(&reply));
    Ok(lines)
}

async fn of_guide(
    shop: &Arc<Shop>,
    manner: &Manner,
    command: Command,
    topic: &str,
) -> Result<Done, Status> {
    let guide = Guide(Arc::clone(shop));
    let about = explain::about(&shop.knowledge, topic);
    let (answer, lines) = match command {
        Command::GetProcedure(message) => {
            let reply = guide.get_procedure(asked(message, manner)).await?.into_inner();
            let lines = say::procedure(&reply);
            (Answer::GetProcedure(reply), lines)
        }
        Command::ListProcedures(message) => {
            let reply = guide.list_procedures(asked(message, manner)).await?.into_inner();
            let rows = reply.procedures.iter();
            let rows = rows.map(|row| (row.id.as_str(), row.title.as_str()));
            let lines = about.unwrap_or_else(|| say::listed(rows));
            (Answer::ListProcedures(reply), lines)
        }
        Command::ListFindings(message) => {
            let reply = guide.list_findings(asked(message, manner)).await?.into_inner();
            let rows = reply.findings.iter();
            let rows = rows.map(|row| (row.id.as_str(), row.title.as_str()));
            let lines = about.unwrap_or_else(|| say::listed(rows));
            (Answer::ListFindings(reply), lines)
        }
        Command::ListCauses(message) => {
            let reply = guide.list_causes(asked(message, manner)).await?.into_inner();
            let rows = reply.causes.iter();
            let rows = rows.map(|row| (row.id.as_str(), row.title.as_str()));
            let lines = about.unwrap_or_else(|| say::listed(rows));
            (Answer::ListCauses(reply), lines)
        }
        Command::ListCautions(message) => {
            let reply = guide.list_cautions(asked(message, manner)).await?.into_inner();
            let leave = topic.strip_prefix(LEAVE);
            if let Some((lines, ids)) = leave.and_then(|id| explain::leave(&shop.knowledge, id)) {
                let cautions = shop.cautions(&ids, &manner.wording);
                let answer = Answer::ListCautions(reply);
                return Ok(Done { cautions, ..Done::plain(answer, lines) });
            }
            let lines = say::cautions(&reply.cautions);
            (Answer::ListCautions(reply), lines)
        }
        _ => {
            let text = "that would store something; it is proposed first";
            return Err(Status::failed_precondition(text));
        }
    };
    Ok(Done::plain(answer, lines))
}

/// The command that asks a calculation with what a step knows; none when there is no such
/// calculation or field.
pub fn of_step(work: &WorkOut) -> Option<Command> {
    let kind = crate::contract().get_message_by_name("sward.v1.Command")?;
    let field = kind.get_field_by_name(&work.calculation)?;
    let prost_reflect::Kind::Message(request) = field.kind() else { return None };
    let mut message = DynamicMessage::new(request.clone());
    for (name, value) in &work.inputs {
        let of = request.get_field_by_name(name)?;
        let value = match of.kind() {
            // Counts are whole by their readings.
            prost_reflect::Kind::Int32 => Value::I32(*value as i32),
            prost_reflect::Kind::Double => Value::F64(*value),
            _ => return None,
        };
        message.set_field(&of, value);
    }
    let mut command = DynamicMessage::new(kind);
    command.set_field(&field, Value::Message(message));
    pb::Command::decode(command.encode_to_vec().as_slice()).ok()?.request
}
