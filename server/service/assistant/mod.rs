//! `AssistantService`: words -> `domain::intent` -> the request message that would do it.
//! Order of reading: asked (what comes with the words) -> command (a message, and back) ->
//! preview (what a calculation still misses) -> converse (conversations). Understanding carries
//! nothing out.

mod asked;
mod command;
pub mod converse;
mod preview;

pub use command::{records_asked, records_told_by};

pub(in crate::service) use asked::zoned_now;
pub(in crate::service) use command::timestamp_of;

use std::sync::Arc;

use tonic::{Request, Response, Status, Streaming};

use super::Shop;
use super::records::keeping::waiting;
use super::speech::southern;
use crate::domain::complaint;
use crate::domain::intent::kind::CommandKind;
use crate::domain::intent::{HeardNumber, Interpretation, Question, interpret};
use crate::domain::wording::Wording;
use crate::pb;
use crate::pb::assistant_service_server::AssistantService;

pub struct Assistant(pub Arc<Shop>);

#[tonic::async_trait]
impl AssistantService for Assistant {
    async fn interpret(
        &self,
        request: Request<pb::InterpretRequest>,
    ) -> Result<Response<pb::InterpretResponse>, Status> {
        let words = self.0.wording(&request);
        let southern = southern(&request);
        let request = request.into_inner();
        let shop = Arc::clone(&self.0);
        // The names of the shop are on the disk.
        let reply = waiting(move || shop.interpretation(&request, words, southern)).await?;
        Ok(Response::new(reply))
    }

    type ConverseStream = converse::Responses;

    async fn converse(
        &self,
        request: Request<Streaming<pb::ConverseRequest>>,
    ) -> Result<Response<converse::Responses>, Status> {
        converse::open(&self.0, request).await
    }
}

impl Shop {
    /// What words mean here. Also for whoever holds a conversation inside this server.
    pub(in crate::service) fn interpretation(
        self: &Arc<Self>,
        request: &pb::InterpretRequest,
        words: Wording,
        southern: bool,
    ) -> Result<pb::InterpretResponse, Status> {
        let asked = asked::parse(request)?;
        let names = asked::names(self, &asked.site, asked.subject, southern)?;
        let question = Question {
            text: &request.text,
            now: asked.now,
            site: asked.site,
            shop: &names,
            equipment: asked.equipment,
            previous: asked.previous,
            said_in: asked.said_in,
            case: asked.case,
            asked: asked.before,
        };
        let meant = interpret(&self.knowledge, &question);
        self.interpreted(meant, request, &question, words)
    }

    fn interpreted(
        self: &Arc<Self>,
        meant: Interpretation,
        request: &pb::InterpretRequest,
        question: &Question,
        words: Wording,
    ) -> Result<pb::InterpretResponse, Status> {
        let before = request.context.as_ref().and_then(|context| context.complaint.as_ref());
        let message = command::message(&meant.command, question, before);
        let mut reply = pb::InterpretResponse {
            kind: kind(meant.kind).into(),
            understood: words.say(&meant.understood),
            topic: meant.topic.clone(),
            quantities: meant.quantities.iter().map(heard).collect(),
            unheard: meant.unheard.clone(),
            knowledge_version: self.knowledge.version.clone(),
            subject: meant.subject.as_ref().map(ToString::to_string).unwrap_or_default(),
            ..pb::InterpretResponse::default()
        };
        if let crate::domain::intent::Command::Compute { calculation, solve_for, .. } =
            &meant.command
        {
            (*calculation).clone_into(&mut reply.calculation);
            reply.solve_for.clone_from(solve_for);
        }
        reply.alternatives = meant
            .alternatives
            .iter()
            .map(|(of, understood, command)| pb::Alternative {
                kind: kind(*of).into(),
                understood: words.say(understood),
                command: command::message(command, question, before),
            })
            .collect();
        reply.new_subjects = meant
            .new_subjects
            .iter()
            .map(|(name, called)| pb::NewSubject {
                name: name.to_string(),
                display_name: called.clone(),
            })
            .collect();
        reply.missing = meant
            .missing
            .iter()
            .map(|(field, why)| pb::MissingInput {
                field: (*field).to_owned(),
                unit: String::new(),
                why: words.say(why),
            })
            .collect();
        reply.advisories = advisories(&meant, &words);
        if matches!(meant.kind, CommandKind::Refused | CommandKind::OutOfScope) {
            self.turned_away(request, &mut reply, &words);
        }
        if let Some(request) = message.as_ref().and_then(|message| message.request.as_ref()) {
            preview::add(self, &words, request, &mut reply);
        }
        reply.command = message;
        Ok(reply)
    }

    /// The words and cautions with which a complaint of this kind is turned away.
    fn turned_away(
        &self,
        request: &pb::InterpretRequest,
        reply: &mut pb::InterpretResponse,
        words: &Wording,
    ) {
        let question =
            complaint::Question { complaint: request.text.clone(), ..Default::default() };
        let Ok(answer) = complaint::diagnose(&self.knowledge, &self.models, &question) else {
            return;
        };
        let away = [complaint::Outcome::RefusedUnsafe, complaint::Outcome::OutOfScope];
        if away.contains(&answer.outcome) {
            reply.understood = words.say(&answer.message);
            reply.cautions = self.cautions(&answer.cautions, words);
        }
    }
}

fn advisories(meant: &Interpretation, words: &Wording) -> Vec<pb::Advisory> {
    let assumed = meant
        .quantities
        .iter()
        .filter_map(|heard| heard.settled.as_ref()?.assumption.as_ref())
        .map(|text| pb::Advisory {
            id: "assumed".to_owned(),
            text: words.say(&format!("{text}.")),
        });
    let homeless = meant.homeless_units.iter().map(|unit| pb::Advisory {
        id: "unit_without_machine".to_owned(),
        text: words.say(&format!("Unit {unit} is named without its machine.")),
    });
    let new = meant.new_subjects.iter().map(|(name, _)| pb::Advisory {
        id: "not_in_the_shop".to_owned(),
        text: words.say(&format!("{name} is not in the shop yet.")),
    });
    assumed.chain(homeless).chain(new).collect()
}

fn heard(number: &HeardNumber) -> pb::HeardQuantity {
    let byte = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let settled = number.settled.as_ref();
    pb::HeardQuantity {
        text: number.text.clone(),
        value: number.value,
        unit: number.unit.to_owned(),
        field: number.field.clone(),
        field_value: settled.map(|settled| settled.value),
        span_start: byte(number.start),
        span_end: byte(number.end),
        assumption: settled.and_then(|settled| settled.assumption.clone()).unwrap_or_default(),
    }
}

fn kind(kind: CommandKind) -> pb::CommandKind {
    match kind {
        CommandKind::Diagnose => pb::CommandKind::Diagnose,
        CommandKind::Compute => pb::CommandKind::Compute,
        CommandKind::Record => pb::CommandKind::Record,
        CommandKind::Search => pb::CommandKind::Search,
        CommandKind::Procedure => pb::CommandKind::Procedure,
        CommandKind::Catalogue => pb::CommandKind::Catalogue,
        CommandKind::Refused => pb::CommandKind::Refused,
        CommandKind::OutOfScope => pb::CommandKind::OutOfScope,
        CommandKind::Unclear => pb::CommandKind::Unclear,
    }
}
