//! `sward record KIND UNIT`: one record, and a line that confirms it.
//! A record goes as one row of a table, so that its flags are the columns of one and numbers may be
//! written with a unit. Deliberately absent: deciding what a name or a number means.

use std::sync::OnceLock;

use clap::{Arg, ArgMatches, Args, Command, FromArgMatches};
use sward_core::domain::records::RecordKind;
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::row_fields::{FIRST_COLUMNS, LAST_COLUMNS, columns};
use sward_core::pb;
use sward_core::pb::import_records_request::Payload;

use crate::call::Failure;
use crate::commands::{Globals, Output};
use crate::records::{client, full_name, record_line, told};

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
    flags: Vec<FlagTyped>,
}

struct FlagTyped {
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
    let flags = columns(&[kind]).into_iter().filter(|column| is_flag(&column.name));
    let flags = flags.map(|column| FlagTyped {
        name: flag_name(&column.name),
        help: if column.unit.is_empty() {
            format!("{}; members of a list are parted by |", column.name.replace('_', " "))
        } else {
            format!("in {}, or with another unit behind the number", column.unit)
        },
        unit: if column.unit.is_empty() { "TEXT" } else { column.unit },
        column: column.name,
    });
    KindTyped { kind, name: kind.id().replace('_', "-"), flags: flags.collect() }
}

fn record_command(kind: &'static KindTyped) -> Command {
    let output = Arg::new("output")
        .long("output")
        .value_parser(clap::value_parser!(Output))
        .default_value("text")
        .help("How to answer");
    let subject = Arg::new("subject")
        .value_name("UNIT")
        .required(true)
        .help("What it is about: greens-triplex/2, greens-triplex or areas/6-green");
    let request_id = Arg::new("request-id")
        .long("request-id")
        .value_name("UUID")
        .help("Send the same one again when trying again; nothing is stored twice");
    let flags = kind.flags.iter().map(|flag| {
        Arg::new(flag.name.as_str())
            .long(flag.name.as_str())
            .allow_hyphen_values(true)
            .value_name(flag.unit)
            .help(flag.help.as_str())
    });
    Command::new(kind.name.as_str())
        .about("Record one of these")
        .args([subject, request_id, output])
        .args(flags)
}

pub async fn run(globals: &Globals, asked: &RecordArguments) -> Result<(), Failure> {
    let given = &asked.given;
    let text = |name: &str| given.get_one::<String>(name).cloned().unwrap_or_default();
    let mut row = serde_json::Map::new();
    row.insert("kind".to_owned(), asked.kind.id().into());
    let typed = kinds_typed().iter().find(|typed| typed.kind == asked.kind);
    for flag in typed.map_or(&[][..], |typed| &typed.flags) {
        if let Some(value) = given.get_one::<String>(&flag.name) {
            row.insert(flag.column.clone(), value.as_str().into());
        }
    }
    row.entry("time").or_insert_with(|| jiff::Timestamp::now().to_string().into());
    let id = text("request-id");
    let id = if id.is_empty() { uuid::Uuid::new_v4().to_string() } else { id };
    row.insert("request_id".to_owned(), id.into());
    let subject = full_name(&text("subject"));
    let site = subject_columns(&subject, &mut row)?;
    let mut client = client(globals).await?;
    let options = pb::ImportOptions { parent: site, ..pb::ImportOptions::default() };
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
    let reply = client.get_record(request).await?.into_inner();
    let output = given.get_one::<Output>("output").copied().unwrap_or_default();
    let verb = match result.outcome() {
        pb::ImportOutcome::AlreadyThere => "Already there",
        _ => "Stored",
    };
    told(output, "GetRecordResponse", &reply, &format!("{verb}: {}.", line_of(&reply)))
}

fn error_line(error: &pb::ImportError) -> String {
    let flag = flag_name(&error.column);
    if error.value.is_empty() {
        return format!("--{flag}: {}", error.remedy);
    }
    format!("--{flag} is \"{}\": {}", error.value, error.remedy)
}

/// Puts the parts of a full name into the columns of a row; gives its site.
fn subject_columns(
    name: &str,
    row: &mut serde_json::Map<String, serde_json::Value>,
) -> Result<String, Failure> {
    let parts: Vec<&str> = name.split('/').collect();
    let (site, pairs): (&str, Vec<(&str, &str)>) = match parts[..] {
        ["sites", site] => (site, vec![]),
        ["sites", site, "machines", machine] => (site, vec![("machine", machine)]),
        ["sites", site, "machines", machine, "units", unit] => {
            (site, vec![("machine", machine), ("unit", unit)])
        }
        ["sites", site, "areas", area] => (site, vec![("area", area)]),
        _ => {
            let hint = "write greens-triplex/2, greens-triplex or areas/6-green";
            return Err(Failure::new(65, format!("UNIT is \"{name}\""), hint));
        }
    };
    for (column, value) in pairs {
        row.insert(column.to_owned(), value.into());
    }
    Ok(format!("sites/{site}"))
}

fn line_of(reply: &pb::GetRecordResponse) -> String {
    reply.record.as_ref().map(record_line).unwrap_or_default()
}
