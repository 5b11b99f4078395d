//! `sward add`: a machine, a unit of one, or an area of turf, with every fact that the contract
//! has a field for. Deliberately absent: a list of those facts; the descriptors are that list.

use std::sync::OnceLock;

use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, value_parser};
use prost_reflect::{DynamicMessage, MethodDescriptor, Value};

use crate::call::{self, Failure};
use crate::commands::{Globals, Output};
use crate::compute::contract::{Flag, flags_of};
use crate::compute::values::Reader;
use crate::compute::wire;
use crate::json;
use crate::page::Page;
use crate::records::full_name;

/// Fields that the server sets, or that stand in the command without a flag.
const NO_FLAGS: [&str; 6] =
    ["name", "display_name", "retired", "create_time", "update_time", "etag"];

/// Something that can be added.
struct Addable {
    /// As it is typed.
    name: &'static str,
    about: &'static str,
    /// Its field in the request, and with `_id` behind it the field of its id.
    field: &'static str,
    method: MethodDescriptor,
    flags: Vec<Flag>,
}

#[rustfmt::skip]
const ADDABLES: [(&str, &str, &str, &str); 3] = [
    ("machine", "machine", "CreateMachine",
     "Add a machine: sward add machine \"Greens triplex\" --equipment reel-unit"),
    ("unit", "cutting_unit", "CreateCuttingUnit",
     "Add a unit to a machine: sward add unit greens-triplex 2 --type \"greens reel\" --blades 11"),
    ("area", "area", "CreateArea", "Add an area of turf: sward add area \"6 green\" --surface green"),
];

/// Made once: the parser wants names that stay.
fn addables() -> &'static [Addable] {
    static ALL: OnceLock<Vec<Addable>> = OnceLock::new();
    ALL.get_or_init(|| ADDABLES.iter().map(|row| addable(*row)).collect())
}

fn addable(row: (&'static str, &'static str, &'static str, &'static str)) -> Addable {
    let (name, field, rpc, about) = row;
    let service = sward_core::contract().get_service_by_name("sward.v1.RecordsService");
    let method = service.and_then(|service| service.methods().find(|one| one.name() == rpc));
    let method = method.expect("it is in the contract");
    let of_request = method.input().get_field_by_name(field);
    let kind = of_request.map(|field| field.kind()).expect("it is in the contract");
    let message = kind.as_message().expect("it is a message").clone();
    let flags = flags_of(&message).into_iter();
    let mut flags: Vec<Flag> =
        flags.filter(|flag| !NO_FLAGS.contains(&flag.field.name())).collect();
    for flag in &mut flags {
        match flag.field.name() {
            "other_names" => "also".clone_into(&mut flag.name),
            "unit_type" => "type".clone_into(&mut flag.name),
            _ => {}
        }
    }
    Addable { name, about, field, method, flags }
}

/// `sward add WHAT NAME` with a flag for each fact.
pub struct AddArguments {
    what: &'static Addable,
    given: ArgMatches,
}

impl FromArgMatches for AddArguments {
    fn from_arg_matches(matches: &ArgMatches) -> Result<AddArguments, clap::Error> {
        let said = matches.subcommand().and_then(|(name, given)| {
            let what = addables().iter().find(|one| one.name == name)?;
            Some(AddArguments { what, given: given.clone() })
        });
        said.ok_or_else(|| clap::Error::new(clap::error::ErrorKind::MissingSubcommand))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = AddArguments::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Args for AddArguments {
    /// Put off until the command is asked for: other commands need not read the contract.
    fn augment_args(command: Command) -> Command {
        command.defer(|command| {
            let all = addables().iter().map(subcommand);
            command.subcommand_required(true).arg_required_else_help(true).subcommands(all)
        })
    }

    fn augment_args_for_update(command: Command) -> Command {
        AddArguments::augment_args(command)
    }
}

fn subcommand(what: &'static Addable) -> Command {
    let mut command = Command::new(what.name).about(what.about);
    if what.name == "unit" {
        let machine = Arg::new("machine").value_name("MACHINE").required(true);
        command = command.arg(machine.help("The machine that carries it"));
    }
    let name = Arg::new("display_name").value_name("NAME").required(true);
    let id = Arg::new("id").long("id").value_name("ID");
    let request_id = Arg::new("request-id").long("request-id").value_name("UUID");
    let output = Arg::new("output").long("output").value_parser(value_parser!(Output));
    command
        .arg(name.help("What it is called in the shop"))
        .arg(id.help("Last part of its full name; made of the name when left out"))
        .args(what.flags.iter().map(argument))
        .arg(request_id.help("Send the same one again when trying again; nothing is added twice"))
        .arg(output.default_value("text").help("How to answer"))
}

fn argument(flag: &'static Flag) -> Arg {
    let mut argument = Arg::new(flag.field.name())
        .long(flag.name.as_str())
        .visible_aliases(flag.alias)
        .allow_hyphen_values(true)
        .value_name(flag.value_name.trim_end_matches(",..."))
        .help(flag.help.as_str());
    if flag.field.is_list() {
        argument = argument.action(ArgAction::Append);
    }
    if flag.field.name() == "equipment" {
        // Its names are also written with underscores, as everywhere else.
        return argument.value_name("KIND").help(format!("One of {}", flag.choices.join(", ")));
    }
    if !flag.choices.is_empty() {
        let choices = flag.choices.iter().map(String::as_str);
        argument = argument.value_parser(PossibleValuesParser::new(choices));
    }
    argument
}

pub async fn run(globals: &Globals, asked: &AddArguments) -> Result<(), Failure> {
    let (what, given) = (asked.what, &asked.given);
    let text = |name: &str| given.get_one::<String>(name).cloned().unwrap_or_default();
    let mut reader = Reader::new(globals.units);
    let mut request = DynamicMessage::new(what.method.input());
    let machine = if what.name == "unit" { full_name(&text("machine")) } else { String::new() };
    let added = facts(what, given, &machine, &mut reader)?;
    request.set_field_by_name("parent", Value::String(machine));
    request.set_field_by_name(&format!("{}_id", what.field), Value::String(text("id")));
    request.set_field_by_name("request_id", Value::String(text("request-id")));
    request.set_field_by_name(what.field, Value::Message(added));
    let line = call::line_to_records(globals).await?;
    let reply = wire::call(line, &what.method, request).await?;
    if given.get_one::<Output>("output") == Some(&Output::Json) {
        println!("{}", json::of_dynamic(&reply)?);
        return Ok(());
    }
    let mut page = Page::new();
    page.answer(&format!("Added {}.", name_in(&reply, what.field)));
    for assumption in &reader.assumptions {
        page.item("  note: ", assumption);
    }
    Ok(page.print()?)
}

/// What was said about it.
fn facts(
    what: &Addable,
    given: &ArgMatches,
    machine: &str,
    reader: &mut Reader,
) -> Result<DynamicMessage, Failure> {
    let field = what.method.input().get_field_by_name(what.field).expect("it is in the contract");
    let kind = field.kind();
    let mut added = DynamicMessage::new(kind.as_message().expect("it is a message").clone());
    let called = given.get_one::<String>("display_name").cloned().unwrap_or_default();
    added.set_field_by_name("display_name", Value::String(called));
    for flag in &what.flags {
        let Some(texts) = given.get_many::<String>(flag.field.name()) else { continue };
        let texts: Vec<&str> = texts.map(String::as_str).collect();
        let name = format!("--{}", flag.name);
        let value = match flag.field.name() {
            "carried_by" => Value::String(unit_of(machine, texts[0])),
            _ if flag.field.is_list() => Value::List(reader.many(&name, &flag.field, &texts)?),
            _ => reader.one(&name, &flag.field, texts[0])?,
        };
        added.set_field(&flag.field, value);
    }
    Ok(added)
}

/// A unit of the same machine by its last word, or any unit by more of its name.
fn unit_of(machine: &str, typed: &str) -> String {
    if typed.contains('/') { full_name(typed) } else { format!("{machine}/units/{typed}") }
}

fn name_in(reply: &DynamicMessage, field: &str) -> String {
    let name = || {
        let added = reply.get_field_by_name(field)?;
        let name = added.as_message()?.get_field_by_name("name")?;
        Some(name.as_str()?.to_owned())
    };
    name().unwrap_or_default()
}
