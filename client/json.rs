//! The canonical proto3 JSON of a message, by its descriptor.

use std::io::Write as _;

use prost::Message;
use prost_reflect::{DynamicMessage, SerializeOptions};

use sward_core::contract;

use crate::call::Failure;

/// Prints a message of type `sward.v1.NAME` as one JSON line.
pub fn print(name: &str, message: &impl Message) -> Result<(), Failure> {
    let text = text(name, message)?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "{text}")?;
    Ok(())
}

/// A message of type `sward.v1.NAME` as JSON.
pub fn text(name: &str, message: &impl Message) -> Result<String, Failure> {
    let full = format!("sward.v1.{name}");
    let kind = contract().get_message_by_name(&full).expect("every reply is of the contract");
    let dynamic = DynamicMessage::decode(kind, message.encode_to_vec().as_slice())
        .map_err(|error| Failure::new(70, error.to_string(), ""))?;
    of_dynamic(&dynamic)
}

/// A dynamic message as JSON; fields at their default are left out, as the mapping has it.
pub fn of_dynamic(message: &DynamicMessage) -> Result<String, Failure> {
    let mut out = Vec::new();
    let mut serializer = serde_json::Serializer::new(&mut out);
    message
        .serialize_with_options(&mut serializer, &SerializeOptions::new())
        .map_err(|error| Failure::new(70, error.to_string(), ""))?;
    String::from_utf8(out).map_err(|error| Failure::new(70, error.to_string(), ""))
}
