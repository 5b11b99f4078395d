//! Questions whose answer does not depend on what is recorded meanwhile, as that of a search does,
//! since how rare a word is depends on all that can be found. Each is asked once while
//! nobody else asks; whatever happens later, the same question must give the same bytes.

use prost::Message as _;
use prost::bytes::Bytes;
use prost_reflect::DynamicMessage;
use serde_json::{Value, json};
use sward_core::embedded;
use tonic::transport::Channel;

use super::Failure;
use crate::raw_call;

const COMPLAINTS: &str = include_str!("../../cases/complaints.jsonl");
const OUTSIDE: &str = include_str!("../../cases/outside.jsonl");
const SETTINGS: &str = include_str!("../../cases/settings.jsonl");
const SAID: [&str; 2] = [
    include_str!("../../cases/interpret_settings.jsonl"),
    include_str!("../../cases/interpret_records.jsonl"),
];

pub struct Question {
    pub service: &'static str,
    pub method: String,
    pub body: Bytes,
    /// The reply, when nobody else asked.
    pub answer: Bytes,
}

/// Questions of every sort, at most so many, with the answers of a server that has nothing else to do.
pub async fn answered(channel: &Channel, most: usize) -> Result<Vec<Question>, Failure> {
    let all = asked()?;
    let step = all.len().div_ceil(most.max(1)).max(1);
    let mut questions: Vec<Question> = all.into_iter().step_by(step).collect();
    for question in &mut questions {
        question.answer = ask(channel, question)
            .await
            .map_err(|status| format!("{} {status}", question.method))?;
    }
    Ok(questions)
}

pub async fn ask(channel: &Channel, question: &Question) -> Result<Bytes, tonic::Status> {
    let path = raw_call::path(question.service, &question.method);
    raw_call::unary(channel, path, question.body.clone()).await
}

fn asked() -> Result<Vec<Question>, Failure> {
    let pool = sward_core::contract();
    let mut out = Vec::new();
    let mut add = |service: &'static str, method: &str, value: Value| {
        let name = format!("sward.v1.{method}Request");
        let Some(of) = pool.get_message_by_name(&name) else { return };
        // The cases write some tables in a short form of their own; those are left out.
        if let Ok(message) = DynamicMessage::deserialize(of, value) {
            let body = Bytes::from(message.encode_to_vec());
            let (method, answer) = (method.to_owned(), Bytes::new());
            out.push(Question { service, method, body, answer });
        }
    };
    for row in rows(COMPLAINTS).iter().chain(&rows(OUTSIDE)) {
        let words = row.get("complaint").or(row.get("utterance")).cloned().unwrap_or_default();
        add("DiagnosisService", "Diagnose", json!({ "complaint": words }));
    }
    for row in rows(SETTINGS) {
        let method = pascal(row["calculation"].as_str().unwrap_or_default());
        add("SettingsService", &method, row["inputs"].clone());
    }
    for row in SAID.iter().flat_map(|text| rows(text)) {
        let value = json!({
            "text": row["utterance"], "now": "2027-01-01T08:00:00Z", "timeZone": "Europe/London",
        });
        add("AssistantService", "Interpret", value);
    }
    for list in ["ListProcedures", "ListFindings", "ListCauses", "ListCautions"] {
        add("GuideService", list, json!({}));
    }
    for procedure in embedded::knowledge().procedures {
        add("GuideService", "GetProcedure", json!({ "procedure": procedure.id }));
    }
    Ok(out)
}

fn rows(text: &str) -> Vec<Value> {
    text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()
}

/// `clip_spacing` as the contract writes it: `ClipSpacing`.
fn pascal(name: &str) -> String {
    let words = name.split('_').map(|word| {
        let (first, rest) = word.split_at(word.len().min(1));
        first.to_uppercase() + rest
    });
    words.collect()
}
