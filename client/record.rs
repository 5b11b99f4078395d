//! `sward record KIND UNIT`: one record, and a line that confirms it.
//! A record goes as one row of a table, so that its flags are the columns of one and numbers may be
//! written with a unit. Deliberately absent: deciding what a name or a number means.

use std::sync::OnceLock;

use clap::{Arg, ArgMatches, Args, Command, FromArgMatches};
use sward_core::domain::records::RecordKind;
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::row_fields::{Column, FIRST_COLUMNS, LAST_COLUMNS, columns};
use sward_core::pb;
use sward_core::pb::import_records_request::Payload;

use crate::call::Failure;
use crate::commands::{Globals, Output};
use crate::json;
use crate::page::Page;
use crate::records::{Client, client, details, full_name, heading, short_name, site_of};

/// `sward record KIND WHAT` with a flag for each column of the kind.
pub struct RecordArguments {
    kind: RecordKind,
    given: ArgMatches,
}

impl FromArgMatches for RecordArguments {
    fn from_arg_matches(matches: &ArgMatches) -> Result<RecordArguments, clap::Error> {
        let said = matches.subcommand().and_then(|(name, given)| {
            Some(RecordArguments { kind: RecordKind::parse(name)?, given: given.clone() })
        });
        said.ok_or_else(|| clap::Error::new(clap::error::ErrorKind::MissingSubcommand))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = RecordArguments::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Args for RecordArguments {
    fn augment_args(command: Command) -> Command {
        let kinds = kinds_typed().iter().map(record_command);
        command.subcommand_required(true).arg_required_else_help(true).subcommands(kinds)
    }

    fn augment_args_for_update(command: Command) -> Command {
        RecordArguments::augment_args(command)
    }
}

/// Columns of a table that `sward record` says in its own way or not at all.
fn is_flag(column: &str) -> bool {
    column == "time" || !(FIRST_COLUMNS.contains(&column) || LAST_COLUMNS.contains(&column))
}

/// A column as a flag. `--words` chooses British or American for every command, so what was said
/// has another name.
fn flag_name(column: &str) -> String {
    match column {
        "words" => "said".to_owned(),
        "done_by" => "by".to_owned(),
        _ => column.replace('_', "-"),
    }
}

/// A kind of record as it is typed, with its flags.
struct KindTyped {
    kind: RecordKind,
    name: String,
    about: String,
    flags: Vec<Flag>,
}

/// A column of a table, as a flag.
pub struct Flag {
    column: String,
    name: String,
    help: String,
    unit: &'static str,
}

/// Made once: the parser wants names that stay.
fn kinds_typed() -> &'static [KindTyped] {
    static ALL: OnceLock<Vec<KindTyped>> = OnceLock::new();
    ALL.get_or_init(|| RecordKind::ALL.iter().map(|kind| kind_typed(*kind)).collect())
}

fn kind_typed(kind: RecordKind) -> KindTyped {
    let about = match kind {
        RecordKind::Sharpening => "An edge was made sharp again",
        RecordKind::Adjustment => "Something was set",
        RecordKind::PartReplaced => "A part was replaced",
        RecordKind::HeightReading => "Heights were read",
        RecordKind::Inspection => "Something was looked over or measured",
        RecordKind::FaultFixed => "A fault was looked for, and put right or not",
        RecordKind::Hours => "Hours were noted",
    };
    let name = kind.id().replace('_', "-");
    KindTyped { kind, name, about: about.to_owned(), flags: flags_of(&[kind]) }
}

/// The columns of these kinds as flags.
pub fn flags_of(kinds: &[RecordKind]) -> Vec<Flag> {
    let flags = columns(kinds).into_iter().filter(|column| is_flag(&column.name));
    let flag = |column: Column| Flag {
        name: flag_name(&column.name),
        help: help(&column),
        unit: if column.unit.is_empty() { "TEXT" } else { column.unit },
        column: column.name,
    };
    flags.map(flag).collect()
}

fn help(column: &Column) -> String {
    match column.name.as_str() {
        "time" => "When it was done, such as 2026-03-14 or 2026-03-14T09:30; now when left out",
        "words" => "What was said about it, word for word",
        "done_by" => "Who did it",
        "duration_min" => "Working time on the whole job, in minutes",
        "machine_hours_h" => "Reading of the machine's hour meter",
        "cause" => "Cause of the catalogue: sward guide causes lists them",
        "procedure" => "Procedure of the catalogue: sward guide procedures lists them",
        "fixed" => "Whether the fault is gone: yes or no",
        name if column.unit.is_empty() => {
            return format!("{}; members of a list are parted by |", name.replace('_', " "));
        }
        name => {
            let words = name.strip_suffix(&format!("_{}", column.unit.to_lowercase()));
            let words = words.unwrap_or(name).replace('_', " ");
            return format!("{words}, in {}, or with another unit behind the number", column.unit);
        }
    }
    .to_owned()
}

pub fn flag_arguments(flags: &'static [Flag]) -> impl Iterator<Item = Arg> {
    flags.iter().map(|flag| {
        Arg::new(flag.name.as_str())
            .long(flag.name.as_str())
            .allow_hyphen_values(true)
            .value_name(flag.unit)
            .help(flag.help.as_str())
    })
}

pub fn output_argument() -> Arg {
    Arg::new("output")
        .long("output")
        .value_parser(clap::value_parser!(Output))
        .default_value("text")
        .help("How to answer")
}

fn record_command(kind: &'static KindTyped) -> Command {
    let subject = Arg::new("subject")
        .value_name("UNIT")
        .required(true)
        .help("What it is about: greens-triplex/2, greens-triplex or areas/6-green");
    let request_id = Arg::new("request-id")
        .long("request-id")
        .value_name("UUID")
        .help("Send the same one again when trying again; nothing is stored twice");
    Command::new(kind.name.as_str())
        .about(kind.about.as_str())
        .args([subject, request_id, output_argument()])
        .args(flag_arguments(&kind.flags))
}

/// A row of a table by its columns.
pub type Row = serde_json::Map<String, serde_json::Value>;

/// Puts what was typed into a row; whether anything was.
pub fn put_flags(flags: &[Flag], given: &ArgMatches, row: &mut Row) -> bool {
    let mut any = false;
    for flag in flags {
        if let Some(value) = given.get_one::<String>(&flag.name) {
            any = true;
            if value.is_empty() {
                row.remove(&flag.column);
            } else {
                row.insert(flag.column.clone(), value.as_str().into());
            }
        }
    }
    any
}

pub async fn run(globals: &Globals, asked: &RecordArguments) -> Result<(), Failure> {
    let given = &asked.given;
    let text = |name: &str| given.get_one::<String>(name).cloned().unwrap_or_default();
    let mut row = Row::new();
    row.insert("kind".to_owned(), asked.kind.id().into());
    let typed = kinds_typed().iter().find(|typed| typed.kind == asked.kind);
    put_flags(typed.map_or(&[][..], |typed| &typed.flags), given, &mut row);
    row.entry("time").or_insert_with(|| jiff::Timestamp::now().to_string().into());
    let id = text("request-id");
    let id = if id.is_empty() { uuid::Uuid::new_v4().to_string() } else { id };
    row.insert("request_id".to_owned(), id.into());
    let subject = full_name(&text("subject"));
    put_subject(&subject, &mut row)?;
    let mut client = client(globals).await?;
    let kept = keep(&mut client, site_of(&subject), row).await?;
    tell(globals, given.get_one::<Output>("output").copied().unwrap_or_default(), &kept, "Stored")
}

/// Stores one row, and gives back what it became and what is doubtful about it.
pub async fn keep(
    client: &mut Client,
    site: String,
    row: Row,
) -> Result<pb::CreateRecordResponse, Failure> {
    let options = pb::ImportOptions { parent: site, advise: true, ..pb::ImportOptions::default() };
    let content = pb::import_row::Content::Json(serde_json::Value::Object(row).to_string());
    let row = pb::ImportRow { number: 1, content: Some(content) };
    let messages = [Payload::Options(options), Payload::Row(row)]
        .map(|payload| pb::ImportRecordsRequest { payload: Some(payload) });
    let reply = client.import_records(tokio_stream::iter(messages)).await?.into_inner();
    let result = reply.results.into_iter().next().unwrap_or_default();
    if !result.errors.is_empty() {
        let lines: Vec<String> = result.errors.iter().map(error_line).collect();
        return Err(Failure::new(65, lines.join("\n"), "nothing was stored"));
    }
    let request = pb::GetRecordRequest { name: result.record.clone() };
    let record = client.get_record(request).await?.into_inner().record;
    let already_there = result.outcome() == pb::ImportOutcome::AlreadyThere;
    Ok(pb::CreateRecordResponse { record, advisories: result.advisories, already_there })
}

/// Says what was stored, and what does not fit the records before it.
pub fn tell(
    globals: &Globals,
    output: Output,
    kept: &pb::CreateRecordResponse,
    verb: &str,
) -> Result<(), Failure> {
    if output == Output::Json {
        return json::print("CreateRecordResponse", kept);
    }
    let verb = if kept.already_there { "Already there" } else { verb };
    let mut page = Page::new();
    if let Some(record) = &kept.record {
        page.answer(&format!("{verb}: {}.", heading(record)));
        page.item("  ", &details(record, globals.units));
    }
    for advisory in &kept.advisories {
        page.item("  doubtful: ", &advisory.text);
    }
    if !kept.advisories.is_empty() {
        let name = kept.record.as_ref().map(|record| short_name(&record.name));
        let name = name.unwrap_or_default();
        page.item("  ", &format!("If that is a slip: sward amend {name} --help"));
    }
    Ok(page.print()?)
}

fn error_line(error: &pb::ImportError) -> String {
    let flag = flag_name(&error.column);
    if error.value.is_empty() {
        return format!("--{flag}: {}", error.remedy);
    }
    format!("--{flag} is \"{}\": {}", error.value, error.remedy)
}

/// Puts the parts of a full name into the columns of a row.
pub fn put_subject(name: &str, row: &mut Row) -> Result<(), Failure> {
    let parts: Vec<&str> = name.split('/').collect();
    let pairs: Vec<(&str, &str)> = match parts[..] {
        ["sites", _] => vec![],
        ["sites", _, "machines", machine] => vec![("machine", machine)],
        ["sites", _, "machines", machine, "units", unit] => {
            vec![("machine", machine), ("unit", unit)]
        }
        ["sites", _, "areas", area] => vec![("area", area)],
        _ => {
            let hint = "write greens-triplex/2, greens-triplex or areas/6-green";
            return Err(Failure::new(65, format!("UNIT is \"{name}\""), hint));
        }
    };
    for column in ["machine", "unit", "area"] {
        row.remove(column);
    }
    for (column, value) in pairs {
        row.insert(column.to_owned(), value.into());
    }
    Ok(())
}
