//! Which number did a calculation come to, and what did it say of it? Read from the answer by its
//! `solved_for`, so that a calculation added to the contract needs nothing here.

use prost_reflect::{DynamicMessage, Value};

use crate::domain::conversation::measures::Answered;
use crate::pb;
use crate::pb::converse_answer::Response as Answer;
use crate::service::records::wire;

/// None for what is no calculation, and where something is missing.
pub fn of(answer: &Answer) -> Option<Answered> {
    if matches!(answer, Answer::Diagnose(_) | Answer::Search(_) | Answer::AskRecords(_)) {
        return None;
    }
    let whole = pb::ConverseAnswer { response: Some(answer.clone()) };
    let whole = wire::dynamic("ConverseAnswer", &whole);
    let (_, value) = whole.fields().next()?;
    let reply = value.as_message()?;
    let solved_for = text(reply, "solved_for")?;
    let value = match reply.get_field_by_name(&solved_for)?.as_ref() {
        Value::F64(value) => *value,
        Value::I32(value) => f64::from(*value),
        _ => return None,
    };
    let advisories = reply.get_field_by_name("advisories")?;
    let notes = advisories.as_list().into_iter().flatten().filter_map(|row| {
        text(row.as_message()?, "text")
    });
    Some(Answered { field: solved_for, value, notes: notes.collect() })
}

fn text(message: &DynamicMessage, field: &str) -> Option<String> {
    let value = message.get_field_by_name(field)?;
    value.as_str().filter(|text| !text.is_empty()).map(str::to_owned)
}
