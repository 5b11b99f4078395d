//! What is thrown at, and what must hold of every answer?

mod conversation;
mod knowledge;
mod quantities;
mod requests;
mod tables;
mod words;

use super::dice::Dice;

/// A part of the program that reads what strangers write.
pub trait Target {
    fn name(&self) -> &'static str;

    /// Sound inputs to begin with.
    fn corpus(&self) -> Vec<Vec<u8>>;

    /// Pieces that mean something here.
    fn words(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    /// An input made from nothing, where that is possible.
    fn fresh(&self, _: &mut Dice) -> Option<Vec<u8>> {
        None
    }

    /// Works on one input. The number stands for the sort of the answer; an error says which rule
    /// the answer breaks.
    fn run(&mut self, input: &[u8]) -> Result<u64, String>;
}

pub const NAMES: &[&str] =
    &["words", "quantities", "tables", "knowledge", "requests", "conversation"];

/// The target of a name. `data`: a directory that it may fill.
pub fn target(name: &str, data: &std::path::Path) -> Option<Box<dyn Target>> {
    Some(match name {
        "words" => Box::new(words::Words::new()),
        "quantities" => Box::new(quantities::Quantities::new()),
        "tables" => Box::new(tables::Tables::new()),
        "knowledge" => Box::new(knowledge::Files::new(data)),
        "conversation" => Box::new(conversation::Conversation::new(data)),
        "requests" => Box::new(requests::Requests::new(data)),
        _ => return None,
    })
}

/// A rule that an answer must keep.
fn must(holds: bool, rule: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(rule()) }
}
