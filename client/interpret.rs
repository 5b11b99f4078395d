//! `sward interpret "WORDS"`: what would these words do? Nothing is done.

use clap::Args;
use prost_reflect::{DynamicMessage, ReflectMessage as _, Value};
use sward_core::pb;
use sward_core::pb::assistant_service_client::AssistantServiceClient;
use sward_core::pb::command::Request;

use crate::call::{self, Failure};
use crate::commands::{Globals, Output};
use crate::compute::contract;
use crate::json;
use crate::page::Page;
use crate::records::{full_name, short_name};

#[derive(Args)]
pub struct InterpretArguments {
    /// What somebody says: a complaint, a sum, work done, a question
    #[arg(id = "text", value_name = "WORDS", required = true)]
    pub words: Vec<String>,
    /// The unit, machine or area spoken of: greens-triplex/2, greens-triplex, areas/6-green
    #[arg(long, value_name = "UNIT", default_value = "", hide_default_value = true)]
    pub unit: String,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub output: Output,
}

pub async fn run(globals: &Globals, asked: InterpretArguments) -> Result<(), Failure> {
    let context = (!asked.unit.is_empty()).then(|| pb::InterpretContext {
        subject: full_name(&asked.unit),
        ..pb::InterpretContext::default()
    });
    let request = pb::InterpretRequest {
        text: asked.words.join(" "),
        context,
        ..pb::InterpretRequest::default()
    };
    let mut client = AssistantServiceClient::new(call::line_to_records(globals).await?);
    let reply = client.interpret(request).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("InterpretResponse", &reply);
    }
    Ok(page(&reply).print()?)
}

fn page(reply: &pb::InterpretResponse) -> Page {
    let mut page = Page::new();
    page.answer(&reply.understood);
    if let Some(line) = reply.command.as_ref().and_then(typed) {
        page.item("As typed: ", &line);
    }
    for missing in &reply.missing {
        page.item("Missing: ", &format!("{}. {}", contract::label(&missing.field), missing.why));
    }
    for advisory in &reply.advisories {
        page.item("Note: ", &advisory.text);
    }
    let unused: Vec<&str> = reply
        .quantities
        .iter()
        .filter(|heard| heard.field.is_empty() && !is_for_words(reply))
        .map(|heard| heard.text.as_str())
        .chain(reply.unheard.iter().map(String::as_str))
        .collect();
    if !unused.is_empty() {
        page.item("Not used: ", &unused.join(", "));
    }
    for other in &reply.alternatives {
        page.item("Or: ", &other.understood);
    }
    for caution in &reply.cautions {
        page.item("Caution: ", &format!("{}. {}", caution.title, caution.text));
    }
    page
}

/// Commands that take the words as they are, numbers and all.
fn is_for_words(reply: &pb::InterpretResponse) -> bool {
    !matches!(reply.kind(), pb::CommandKind::Compute | pb::CommandKind::Record)
}

/// The command as it would be typed, when that is one short line.
fn typed(command: &pb::Command) -> Option<String> {
    Some(match command.request.as_ref()? {
        Request::Diagnose(asked) => format!("sward diagnose {:?}", asked.complaint),
        Request::Search(asked) => format!("sward find {:?}", asked.query),
        Request::GetProcedure(asked) => format!("sward guide procedure {}", asked.procedure),
        Request::ListProcedures(_) => "sward guide procedures".to_owned(),
        Request::ListFindings(_) => "sward guide findings".to_owned(),
        Request::ListCauses(_) => "sward guide causes".to_owned(),
        Request::ListCautions(_) => "sward guide cautions".to_owned(),
        Request::ListDue(asked) => joined("sward due", &asked.parent),
        Request::GetReport(asked) if asked.parent.contains("/units/") => {
            joined("sward report unit", &asked.parent)
        }
        Request::GetReport(asked) => joined("sward report fleet", &asked.parent),
        Request::GetSettingCard(asked) => joined("sward sheet", &asked.name),
        Request::AskRecords(_) => return None,
        Request::PlanHeights(asked) => joined("sward plan heights", &asked.name),
        Request::CreateRecord(_) | Request::BatchCreateRecords(_) => return None,
        _ => return computed(command),
    })
}

/// A command with the name of what it is about; the whole shop is not named.
fn joined(command: &str, name: &str) -> String {
    let whole = !name.contains("/machines/") && !name.contains("/areas/");
    if whole { command.to_owned() } else { format!("{command} {}", short_name(name)) }
}

/// `sward compute NAME --flag "VALUE UNIT"`; none when rows of readings would have to be typed.
fn computed(command: &pb::Command) -> Option<String> {
    let kind = sward_core::contract().get_message_by_name("sward.v1.Command")?;
    let mut whole = DynamicMessage::new(kind);
    whole.transcode_from(command).ok()?;
    let (calculation, value) = whole.fields().next()?;
    let Value::Message(request) = value else { return None };
    let mut line = format!("sward compute {}", calculation.name().replace('_', "-"));
    for (field, value) in request.fields() {
        let unit = contract::unit_of(field.name());
        let one = |number: f64| {
            let number = sward_core::domain::units::plain(number);
            if matches!(unit, "" | "fraction") { number } else { format!("{number} {unit}") }
        };
        let written = match value {
            Value::F64(number) => one(*number),
            Value::I32(number) => number.to_string(),
            Value::List(list) => {
                let numbers: Option<Vec<String>> =
                    list.iter().map(|value| value.as_f64().map(one)).collect();
                numbers?.join(",")
            }
            _ => return None,
        };
        let flag = contract::flag_name(field.name());
        let quoted = written.contains(' ');
        let written = if quoted { format!("\"{written}\"") } else { written };
        line.push_str(&format!(" --{flag} {written}"));
    }
    debug_assert!(request.descriptor().name().ends_with("Request"));
    Some(line)
}
