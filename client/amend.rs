//! `sward amend`: a record put right in any of its fields, or withdrawn. What it said before stays.
//! The old record goes back as a row of a table with the new words in it, so that a flag means here
//! what it means in `sward record`.

use std::sync::OnceLock;

use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches};
use sward_core::domain::records::RecordKind;
use sward_core::domain::records::choices::Choice;
use sward_core::pb;
use sward_core::service::row_of;

use crate::call::Failure;
use crate::commands::{Globals, Output};
use crate::record::{Flag, flag_arguments, flags_of, keep, output_argument, put_flags, tell};
use crate::records::{Client, client, full_record_name, site_of};

/// `sward amend RECORD` with a flag for each column of any kind.
pub struct AmendArguments {
    given: ArgMatches,
}

impl FromArgMatches for AmendArguments {
    fn from_arg_matches(matches: &ArgMatches) -> Result<AmendArguments, clap::Error> {
        Ok(AmendArguments { given: matches.clone() })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = AmendArguments::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Args for AmendArguments {
    fn augment_args(command: Command) -> Command {
        let record = Arg::new("record")
            .value_name("RECORD")
            .required(true)
            .help("The record as sward log shows it: r17");
        let withdraw = Arg::new("withdraw")
            .long("withdraw")
            .action(ArgAction::SetTrue)
            .help("It should not have been made; nothing takes its place");
        let subject = Arg::new("subject")
            .long("unit")
            .value_name("UNIT")
            .help("What it should have been about: greens-triplex/2, greens-triplex, areas/6-green");
        command
            .args([record, withdraw, subject, output_argument()])
            .args(flag_arguments(flags()))
            .after_help("A flag replaces what the record said there; an empty one (\"\") takes it out.")
    }

    fn augment_args_for_update(command: Command) -> Command {
        AmendArguments::augment_args(command)
    }
}

fn flags() -> &'static [Flag] {
    static ALL: OnceLock<Vec<Flag>> = OnceLock::new();
    ALL.get_or_init(|| flags_of(RecordKind::ALL))
}

pub async fn run(globals: &Globals, asked: &AmendArguments) -> Result<(), Failure> {
    let given = &asked.given;
    let text = |name: &str| given.get_one::<String>(name).cloned().unwrap_or_default();
    let name = full_record_name(&text("record"));
    let mut client = client(globals).await?;
    if given.get_flag("withdraw") {
        return withdraw(globals, &mut client, name, given).await;
    }
    let request = pb::GetRecordRequest { name: name.clone() };
    let old = client.get_record(request).await?.into_inner().record.unwrap_or_default();
    if !old.superseded_by.is_empty() {
        let text = format!("{name} has been superseded by {}", old.superseded_by);
        return Err(Failure::new(65, text, "amend that one"));
    }
    let mut row = row(&old)?;
    if !put_flags(flags(), given, &mut row) && text("subject").is_empty() {
        let hint = "give a flag for what was wrong, or --withdraw; sward amend --help lists them";
        return Err(Failure::new(65, format!("nothing is said to be wrong with {name}"), hint));
    }
    let id = std::mem::take(&mut row["request_id"]);
    row.insert("supersedes".to_owned(), id);
    row.insert("request_id".to_owned(), uuid::Uuid::new_v4().to_string().into());
    if !text("subject").is_empty() {
        crate::record::put_subject(&crate::records::full_name(&text("subject")), &mut row)?;
    }
    let kept = keep(&mut client, site_of(&old.name), row).await?;
    tell(globals, output(given), &kept, "Amended")
}

fn row(old: &pb::Record) -> Result<serde_json::Map<String, serde_json::Value>, Failure> {
    let failed = |error: serde_json::Error| Failure::new(70, error.to_string(), "");
    serde_json::from_str(&row_of(old)?).map_err(failed)
}

fn output(given: &ArgMatches) -> Output {
    given.get_one::<Output>("output").copied().unwrap_or_default()
}

async fn withdraw(
    globals: &Globals,
    client: &mut Client,
    name: String,
    given: &ArgMatches,
) -> Result<(), Failure> {
    let request = pb::AmendRecordRequest {
        name,
        withdraw: true,
        request_id: uuid::Uuid::new_v4().to_string(),
        ..pb::AmendRecordRequest::default()
    };
    let reply = client.amend_record(request).await?.into_inner();
    let kept = pb::CreateRecordResponse {
        record: reply.record,
        advisories: reply.advisories,
        already_there: reply.already_there,
    };
    tell(globals, output(given), &kept, "Withdrawn")
}
