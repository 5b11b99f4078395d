//! `sward teach`: one procedure as a training sheet for one sheet of paper, with the why of each
//! step, the cautions above the step they belong to, readings to fill in, and questions.

mod drawing;
mod html;
mod markdown;
mod questions;

use std::io::Write as _;
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;

use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::compute::in_units_of;

#[derive(Args)]
pub struct TeachArguments {
    /// Id of the procedure; sward guide procedures lists them
    #[arg(value_name = "PROCEDURE")]
    pub procedure: String,
    /// Markdown, or HTML with drawings in one file that needs no other
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// Write it to this file instead of standard output
    #[arg(long, value_name = "FILE")]
    pub file: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    #[default]
    Markdown,
    Html,
}

pub async fn run(globals: &Globals, asked: TeachArguments) -> Result<(), Failure> {
    let mut client = GuideServiceClient::new(call::line(globals).await?);
    let request = pb::GetProcedureRequest { procedure: asked.procedure };
    let reply = client.get_procedure(request).await?.into_inner();
    let row = reply.procedure.unwrap_or_default();
    let text = match asked.format {
        Format::Markdown => markdown::sheet(&row, &reply.knowledge_version),
        Format::Html => html::sheet(&row, &reply.knowledge_version),
    };
    let lines = text.split('\n').map(|line| in_units_of(line, globals.units));
    let text = lines.collect::<Vec<_>>().join("\n");
    match asked.file {
        None => Ok(std::io::stdout().lock().write_all(text.as_bytes())?),
        Some(path) => std::fs::write(&path, text).map_err(|error| {
            Failure::new(74, format!("cannot write {}: {error}", path.display()), "")
        }),
    }
}

/// Every caution of the procedure once, in the order it is first needed, with its letter.
fn lettered(row: &pb::Procedure) -> Vec<(String, &pb::Caution)> {
    let mut found: Vec<&pb::Caution> = Vec::new();
    for caution in row.steps.iter().flat_map(|step| &step.cautions) {
        if !found.iter().any(|other| other.id == caution.id) {
            found.push(caution);
        }
    }
    found.into_iter().enumerate().map(|(at, caution)| (letter(at), caution)).collect()
}

/// A to Z, then AA, AB and so on.
fn letter(at: usize) -> String {
    let own = char::from(b'A' + u8::try_from(at % 26).unwrap_or(0));
    if at < 26 { own.to_string() } else { format!("{}{own}", letter(at / 26 - 1)) }
}

fn letter_of(letters: &[(String, &pb::Caution)], id: &str) -> String {
    let found = letters.iter().find(|(_, caution)| caution.id == id);
    found.map_or_else(String::new, |(letter, _)| letter.clone())
}

/// What is good for a reading: "0 to 0.08 mm" or "yes".
fn good(reading: &pb::ReadingWanted) -> String {
    match (reading.accept_min, reading.accept_max) {
        (Some(min), Some(max)) => format!("{min} to {max} {}", shown_unit(&reading.unit)),
        _ => "yes".to_owned(),
    }
    .trim_end()
    .to_owned()
}

fn shown_unit(unit: &str) -> &str {
    if unit == "count" { "" } else { unit }
}

fn basis(row: &pb::Procedure) -> &'static str {
    match row.basis() {
        pb::Basis::Published => "published",
        pb::Basis::Geometry => "geometry (own)",
        pb::Basis::FromMemory => "from memory",
        pb::Basis::CommonPractice | pb::Basis::Unspecified => "common practice, no source",
    }
}

/// Said on every sheet.
const ABOVE_ALL: &str =
    "The machine's own manual, local rules and licensed practice stand above this sheet.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let letters: Vec<String> = [0, 25, 26, 27, 52].into_iter().map(letter).collect();
        assert_eq!(letters, ["A", "Z", "AA", "AB", "BA"]);
    }
}
