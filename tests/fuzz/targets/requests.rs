//! Every rpc of the contract with messages made by chance from the contract itself, and with those
//! messages spoilt: the answer is a sound message without a number that is none, or a clear refusal.
//! An input is the number of the rpc and its messages, each after its length.

use std::path::Path;
use std::sync::Arc;

use prost::bytes::Bytes;
use prost_reflect::{DynamicMessage, MethodDescriptor, Value};
use sward_core::service::{Shop, channel_to};
use tokio::runtime::Runtime;
use tonic::transport::Channel;
use tonic::{Code, Status};
use tonic_types::StatusExt as _;

use super::super::dice::{Dice, hash};
use super::super::messages::Maker;
use super::{Target, must};
use crate::raw_call;

/// Messages of one call at most.
const MESSAGES_MAX: usize = 6;
/// Messages read back at most: a copy of all records is long.
const REPLIES_MAX: usize = 50;
/// Inputs to begin with, for each rpc.
const EACH: usize = 8;

pub struct Requests {
    runtime: Runtime,
    channel: Channel,
    methods: Vec<MethodDescriptor>,
    maker: Maker,
}

impl Requests {
    pub fn new(data: &Path) -> Requests {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let shop: Arc<Shop> = Shop::open(&data.join("shop"), None).expect("a shop");
        let maker = Maker::new(&shop.knowledge);
        let channel = runtime.block_on(channel_to(shop)).expect("a channel");
        Requests { runtime, channel, methods: raw_call::methods(), maker }
    }

    fn input(&self, method: usize, dice: &mut Dice) -> Vec<u8> {
        let descriptor = &self.methods[method];
        let many = if descriptor.is_client_streaming() { 1 + dice.below(MESSAGES_MAX) } else { 1 };
        let mut input = (method as u16).to_le_bytes().to_vec();
        for _ in 0..many {
            let message = self.maker.message(&descriptor.input(), dice);
            let bytes = prost::Message::encode_to_vec(&message);
            input.extend(u16::try_from(bytes.len()).unwrap_or(u16::MAX).to_le_bytes());
            input.extend(bytes);
        }
        input
    }

    /// The rpc and the messages of an input, however broken.
    fn read(&self, input: &[u8]) -> Option<(&MethodDescriptor, Vec<Bytes>)> {
        let (number, mut rest) = input.split_at_checked(2)?;
        let number = usize::from(u16::from_le_bytes([number[0], number[1]]));
        let method = &self.methods[number % self.methods.len()];
        let mut messages = Vec::new();
        while let Some((length, after)) = rest.split_at_checked(2)
            && messages.len() < MESSAGES_MAX
        {
            let length = usize::from(u16::from_le_bytes([length[0], length[1]])).min(after.len());
            messages.push(Bytes::copy_from_slice(&after[..length]));
            rest = &after[length..];
        }
        if messages.is_empty() || !method.is_client_streaming() {
            messages.resize(1, Bytes::new());
        }
        Some((method, messages))
    }
}

/// A refusal that somebody can do something about. Nothing that was sent may break the server.
pub fn clear(status: &Status) -> Result<(), String> {
    let code = status.code();
    let text = status.message();
    // How the library says that the bytes are no message of that kind.
    let undecodable = code == Code::Internal && text.starts_with("failed to decode Protobuf");
    let broken = [Code::Internal, Code::Unknown, Code::DataLoss, Code::Cancelled];
    must(undecodable || !broken.contains(&code), || format!("{code:?}: {text}"))?;
    must(!text.is_empty(), || format!("{code:?} without a word"))?;
    if code == Code::InvalidArgument {
        let details = status.get_details_bad_request();
        let fields = details.map(|details| details.field_violations).unwrap_or_default();
        let named = fields.iter().any(|field| !field.field.is_empty());
        must(named, || format!("it names no field: {text}"))?;
    }
    Ok(())
}

/// No number of an answer is anything but a number; what is in it, as a shape.
fn sound(message: &DynamicMessage, shape: &mut u64) -> Result<(), String> {
    let unknown = message.unknown_fields().next().is_some();
    must(!unknown, || "a field that the contract does not know".to_owned())?;
    for (field, value) in message.fields() {
        *shape ^= hash(field.full_name().as_bytes());
        finite(field.full_name(), value, shape)?;
    }
    Ok(())
}

fn finite(field: &str, value: &Value, shape: &mut u64) -> Result<(), String> {
    match value {
        Value::F64(number) => must(number.is_finite(), || format!("{field} is {number}")),
        Value::F32(number) => must(number.is_finite(), || format!("{field} is {number}")),
        Value::Message(message) => sound(message, shape),
        Value::List(list) => list.iter().try_for_each(|value| finite(field, value, shape)),
        Value::Map(map) => map.values().try_for_each(|value| finite(field, value, shape)),
        _ => Ok(()),
    }
}

impl Target for Requests {
    fn name(&self) -> &'static str {
        "requests"
    }

    fn corpus(&self) -> Vec<Vec<u8>> {
        let mut dice = Dice::new(1);
        let each = (0..self.methods.len()).flat_map(|method| [method; EACH]);
        each.map(|method| self.input(method, &mut dice)).collect()
    }

    fn words(&self) -> Vec<Vec<u8>> {
        self.maker.texts.iter().map(|text| text.clone().into_bytes()).collect()
    }

    fn fresh(&self, dice: &mut Dice) -> Option<Vec<u8>> {
        let method = dice.below(self.methods.len());
        Some(self.input(method, dice))
    }

    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let Some((method, messages)) = self.read(input) else { return Ok(0) };
        let path = raw_call::path(method.parent_service().name(), method.name());
        let called = raw_call::streamed(&self.channel, path, messages, REPLIES_MAX);
        let mut shape = hash(method.full_name().as_bytes());
        match self.runtime.block_on(called) {
            Ok(replies) => {
                for reply in replies {
                    let message = DynamicMessage::decode(method.output(), reply)
                        .map_err(|error| format!("{}: {error}", method.name()))?;
                    sound(&message, &mut shape)
                        .map_err(|rule| format!("{}: {rule}", method.name()))?;
                }
            }
            Err(status) => {
                clear(&status).map_err(|rule| format!("{}: {rule}", method.name()))?;
                shape ^= status.code() as u64 ^ status.message().len() as u64;
            }
        }
        Ok(shape)
    }
}
