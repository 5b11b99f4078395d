//! A conversation: every line of an input is a turn. Whatever is said, what is understood is a
//! sentence, with numbers that stand in the words; and the conversation goes on to its end.

use std::path::Path;

use prost::Message as _;
use sward_core::pb;
use sward_core::pb::command::Request as Asked;
use sward_core::pb::converse_request::Payload;
use sward_core::service::{Shop, channel_to};
use tokio::runtime::Runtime;
use tonic::transport::Channel;
use tonic::{Code, Status};

use super::super::dice::hash;
use super::requests::clear;
use super::{Target, must};
use crate::raw_call;

const CASES: &[&str] = &[
    include_str!("../../cases/interpret_settings.jsonl"),
    include_str!("../../cases/interpret_records.jsonl"),
    include_str!("../../cases/outside.jsonl"),
    include_str!("../../cases/complaints.jsonl"),
];
/// Turns that follow another.
const THEN: &[&str] = &[
    "and at 5 km/h?", "what about 11 blades", "yes", "no, unit 2\nyes", "half of that", "why", "y",
    "n", "next", "stop", "how do I set the reel to the bedknife\nnext\n0.05 mm\nback",
];
const TURNS_MAX: usize = 6;
/// Messages of one conversation read at most.
const REPLIES_MAX: usize = 400;
/// The first of January 2027.
const NOW_S: i64 = 1_798_761_600;

pub struct Conversation {
    runtime: Runtime,
    channel: Channel,
}

impl Conversation {
    pub fn new(data: &Path) -> Conversation {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let shop = Shop::open(&data.join("shop"), None).expect("a shop");
        let channel = runtime.block_on(channel_to(shop)).expect("a channel");
        Conversation { runtime, channel }
    }

    /// The same turns as one conversation: it answers message by message, none left out.
    fn converse(&self, said: &str) -> Result<u64, String> {
        let time_zone = "Europe/London".to_owned();
        let start = Payload::Start(pb::ConverseStart { time_zone, ..Default::default() });
        let turns = said.split('\n').take(TURNS_MAX).map(|text| match text {
            "y" => Payload::Confirm(pb::ConverseConfirm { proposal: 1 }),
            "n" => Payload::Decline(pb::ConverseDecline { proposal: 1 }),
            "stop" => Payload::Cancel(pb::ConverseCancel {}),
            text => Payload::Text(text.to_owned()),
        });
        let messages = std::iter::once(start).chain(turns).zip(1..).map(|(payload, number)| {
            pb::ConverseRequest { number, payload: Some(payload) }.encode_to_vec().into()
        });
        let path = raw_call::path("AssistantService", "Converse");
        let called = raw_call::streamed(&self.channel, path, messages.collect(), REPLIES_MAX);
        let replies = match self.runtime.block_on(called) {
            Ok(replies) => replies,
            Err(status) => {
                clear(&status)?;
                return Ok(status.code() as u64);
            }
        };
        let mut sort = 0_u64;
        for (reply, sequence) in replies.into_iter().zip(1..) {
            let reply = pb::ConverseResponse::decode(reply).map_err(|error| error.to_string())?;
            let found = reply.sequence;
            must(found == sequence, || format!("message {sequence} is numbered {found}"))?;
            let kind = reply.payload.as_ref().map(std::mem::discriminant);
            must(kind.is_some(), || format!("message {sequence} is empty"))?;
            sort = sort.rotate_left(5) ^ hash(format!("{kind:?}").as_bytes());
        }
        Ok(sort)
    }

    fn say(&self, request: &pb::InterpretRequest) -> Result<pb::InterpretResponse, Status> {
        let path = raw_call::path("AssistantService", "Interpret");
        let called = raw_call::unary(&self.channel, path, request.encode_to_vec().into());
        let reply = self.runtime.block_on(called)?;
        pb::InterpretResponse::decode(reply).map_err(|error| Status::data_loss(error.to_string()))
    }
}

fn judge(text: &str, reply: &pb::InterpretResponse) -> Result<(), String> {
    must(!reply.understood.is_empty(), || "nothing is understood, and not said so".to_owned())?;
    let mut from = 0;
    for quantity in &reply.quantities {
        let (start, end) = (quantity.span_start as usize, quantity.span_end as usize);
        let stands = text.get(start..end).is_some_and(|words| words == quantity.text);
        must(stands && from <= start, || format!("{quantity:?} does not stand in the words"))?;
        let finite = quantity.value.is_finite() && quantity.field_value.is_none_or(f64::is_finite);
        must(finite, || format!("{quantity:?} is no number"))?;
        from = end;
    }
    for other in &reply.alternatives {
        must(!other.understood.is_empty(), || "an alternative without a sentence".to_owned())?;
    }
    let refused = reply.kind() == pb::CommandKind::Refused;
    let command = reply.command.as_ref().and_then(|command| command.request.as_ref());
    must(!refused || command.is_none(), || "what is refused is a command all the same".to_owned())
}

impl Target for Conversation {
    fn name(&self) -> &'static str {
        "conversation"
    }

    fn corpus(&self) -> Vec<Vec<u8>> {
        let lines = CASES.iter().flat_map(|text| text.lines());
        let said = lines.filter_map(|line| {
            let row: serde_json::Value = serde_json::from_str(line).ok()?;
            let text = row.get("utterance").or(row.get("complaint"))?.as_str()?.to_owned();
            Some(text)
        });
        said.zip(THEN.iter().cycle()).map(|(text, then)| format!("{text}\n{then}").into()).collect()
    }

    fn words(&self) -> Vec<Vec<u8>> {
        let words = ["clip", "blades", "rpm", "yesterday", "last Tuesday", "unit 2", "five thou",
            "height of cut", "on the 31st", "29 February", "at 25:61", "both ends", "all five"];
        words.iter().map(|word| word.as_bytes().to_vec()).collect()
    }

    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let said = String::from_utf8_lossy(input);
        let mut previous: Option<pb::Command> = None;
        let mut sort = 0_u64;
        for text in said.split('\n').take(TURNS_MAX) {
            let context = previous.clone().map(|previous| pb::InterpretContext {
                previous: Some(previous),
                ..pb::InterpretContext::default()
            });
            let request = pb::InterpretRequest {
                text: text.to_owned(),
                now: Some(prost_types::Timestamp { seconds: NOW_S, nanos: 0 }),
                time_zone: "Europe/London".to_owned(),
                context,
                ..pb::InterpretRequest::default()
            };
            match self.say(&request) {
                Ok(reply) => {
                    judge(text, &reply)?;
                    if hash(text.as_bytes()).is_multiple_of(8) {
                        let again = self.say(&request).map_err(|status| status.to_string())?;
                        must(again == reply, || "the same words, another reply".to_owned())?;
                    }
                    sort = sort.rotate_left(9) ^ hash(reply.calculation.as_bytes());
                    sort ^= (reply.kind as u64) << 8 | reply.quantities.len() as u64;
                    previous = reply.command.filter(|command| settles(command));
                }
                Err(status) if status.code() == Code::Unimplemented => {
                    return Err("nobody listens".to_owned());
                }
                Err(status) => {
                    clear(&status)?;
                    sort = sort.rotate_left(9) ^ status.code() as u64;
                }
            }
        }
        Ok(sort ^ self.converse(&said)?.rotate_left(1))
    }
}

/// A calculation can be gone on from.
fn settles(command: &pb::Command) -> bool {
    !matches!(command.request, None | Some(Asked::Diagnose(_) | Asked::CreateRecord(_)))
}
