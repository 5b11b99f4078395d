//! `sward compute`: flags -> request -> one rpc of `SettingsService` -> answer, working, cautions.
//! Deliberately absent: a list of the calculations. The contract's descriptors are that list.

mod answer;
mod arguments;
pub mod contract;
mod imperial;
mod rows;
pub mod values;
pub mod wire;

use std::io::Write as _;

use clap::ArgMatches;
use prost_reflect::{DynamicMessage, Kind, Value};
use tonic::Status;
use tonic_types::StatusExt;

use crate::call::{self, Failure};
use crate::commands::{Globals, Output};
use crate::page::Page;
use crate::{json, picture};
use contract::{Calculation, calculations};
use values::{Reader, listed};

pub use imperial::in_units_of;
pub use arguments::ComputeArguments;

pub async fn run(globals: &Globals, arguments: &ComputeArguments) -> Result<(), Failure> {
    let Some((calculation, given)) = &arguments.asked else { return list() };
    let mut reader = Reader::new(globals.units);
    let request = request(calculation, given, &mut reader)?;
    let line = call::line(globals).await?;
    let sent = wire::call(line, &calculation.method, request.clone()).await;
    let reply = sent.map_err(|status| failure(calculation, status))?;
    let output = given.get_one::<Output>("output").copied().unwrap_or_default();
    match output {
        Output::Json => {
            for assumption in &reader.assumptions {
                eprintln!("note: {assumption}");
            }
            writeln!(std::io::stdout().lock(), "{}", json::of_dynamic(&reply)?)?;
        }
        Output::Text => {
            answer::page(calculation, &reply, &reader.assumptions, globals.units).print()?;
        }
    }
    if picture::drawn(&calculation.name)
        && let Some(path) = given.get_one::<std::path::PathBuf>("picture")
    {
        picture::draw(&calculation.name, path, &request, &reply, globals.units)?;
    }
    Ok(())
}

/// `sward compute` by itself.
fn list() -> Result<(), Failure> {
    let mut page = Page::new();
    page.answer("What can be worked out: sward compute NAME --help shows what each takes.");
    page.blank();
    let width = calculations().iter().map(|one| one.name.len()).max().unwrap_or(0);
    for calculation in calculations() {
        page.item(&format!("  {:width$}  ", calculation.name), &calculation.about);
    }
    Ok(page.print()?)
}

fn request(
    calculation: &Calculation,
    given: &ArgMatches,
    reader: &mut Reader,
) -> Result<DynamicMessage, Failure> {
    let mut request = DynamicMessage::new(calculation.method.input());
    for flag in &calculation.flags {
        let field = &flag.field;
        let Some(texts) = given.get_many::<String>(field.name()) else { continue };
        let texts: Vec<&str> = texts.map(String::as_str).collect();
        let name = format!("--{}", flag.name);
        let value = match field.kind() {
            Kind::Message(row) => rows::read(reader, &name, &row, &texts)?,
            _ if field.is_list() => {
                let all: Vec<&str> = texts.iter().flat_map(|text| listed(text)).collect();
                Value::List(reader.many(&name, field, &all)?)
            }
            _ => reader.one(&name, field, texts[0])?,
        };
        request.set_field(field, value);
    }
    Ok(request)
}

/// A refusal names the field of the contract; the hint names the flag.
fn failure(calculation: &Calculation, status: Status) -> Failure {
    let details = status.get_details_bad_request();
    let field = details.and_then(|details| details.field_violations.into_iter().next());
    let flag = field.and_then(|violation| {
        let name = violation.field.split(['[', '.']).next().unwrap_or_default().to_owned();
        calculation.flags.iter().find(|flag| flag.field.name() == name)
    });
    match flag {
        Some(flag) => Failure::new(65, status.message(), &format!("the flag is --{}", flag.name)),
        None => Failure::from(status),
    }
}
