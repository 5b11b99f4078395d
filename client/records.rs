//! `sward amend`, `log` and `learn`: what was done, put right, and what that taught.
//! Deliberately absent: making a record (`record`) and tables of them (`tables`).

use clap::{Args, Subcommand};
use sward_core::pb;
use sward_core::pb::records_service_client::RecordsServiceClient;

use crate::call::{self, Failure, Line};
use crate::commands::{Globals, Output};
use crate::page::Page;
use crate::json;

pub type Client = RecordsServiceClient<Line>;

pub async fn client(globals: &Globals) -> Result<Client, Failure> {
    Ok(RecordsServiceClient::new(call::line_to_records(globals).await?))
}

/// The full name of a machine, unit or area that was typed in short: `greens-triplex/2`,
/// `greens-triplex` or `areas/6-green`.
pub fn full_name(typed: &str) -> String {
    match typed.split('/').collect::<Vec<_>>()[..] {
        ["sites", ..] | [""] => typed.to_owned(),
        ["areas", area] => format!("sites/home/areas/{area}"),
        [machine, "units", unit] | [machine, unit] => {
            format!("sites/home/machines/{machine}/units/{unit}")
        }
        [machine] => format!("sites/home/machines/{machine}"),
        _ => typed.to_owned(),
    }
}

/// Prints a reply: as JSON, or one line that confirms it.
pub fn told(
    output: Output,
    message: &str,
    reply: &impl prost::Message,
    line: &str,
) -> Result<(), Failure> {
    if output == Output::Json {
        return json::print(message, reply);
    }
    let mut page = Page::new();
    page.answer(line);
    Ok(page.print()?)
}

/// One line for one record: when, which, what.
pub fn record_line(record: &pb::Record) -> String {
    use pb::record::Detail;
    let what = match &record.detail {
        Some(Detail::Sharpening(_)) => "sharpening",
        Some(Detail::Adjustment(_)) => "adjustment",
        Some(Detail::PartReplaced(_)) => "part replaced",
        Some(Detail::HeightReading(_)) => "height reading",
        Some(Detail::Inspection(_)) => "inspection",
        Some(Detail::FaultFixed(_)) => "fault fixed",
        Some(Detail::Hours(_)) => "hours",
        None => "",
    };
    let seconds = record.time.as_ref().map_or(0, |time| time.seconds);
    let day = jiff::Timestamp::from_second(seconds).map(|time| time.to_string());
    let day = day.unwrap_or_default();
    let day = day.split('T').next().unwrap_or_default();
    let mut line = format!("{day} {what} {}", record.name);
    if let Some(Detail::FaultFixed(fault)) = &record.detail {
        for said in [&fault.fault, &fault.found, &fault.action, &fault.cause] {
            if !said.is_empty() {
                line.push_str(&format!("; {said}"));
            }
        }
    }
    for said in [&record.words, &record.notes] {
        if !said.is_empty() {
            line.push_str(&format!("; {said}"));
        }
    }
    if record.withdrawn {
        line.push_str("; withdrawn");
    }
    if !record.superseded_by.is_empty() {
        line.push_str(&format!("; superseded by {}", record.superseded_by));
    }
    line
}

#[derive(Args)]
pub struct LogArguments {
    /// What it is about: greens-triplex/2, greens-triplex, areas/6-green; everything when left out
    #[arg(default_value = "sites/home")]
    subject: String,
    /// What was superseded or withdrawn too
    #[arg(long)]
    history: bool,
    /// The most records to show
    #[arg(long, value_name = "N", default_value_t = 50)]
    limit: i32,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

pub async fn log(globals: &Globals, asked: &LogArguments) -> Result<(), Failure> {
    let request = pb::ListRecordsRequest {
        parent: full_name(&asked.subject),
        show_history: asked.history,
        page_size: asked.limit,
        ..pb::ListRecordsRequest::default()
    };
    let reply = client(globals).await?.list_records(request).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("ListRecordsResponse", &reply);
    }
    let mut page = Page::new();
    if reply.records.is_empty() {
        page.answer("Nothing is recorded about it yet.");
    }
    for record in &reply.records {
        page.item("", &record_line(record));
    }
    if !reply.next_page_token.is_empty() {
        page.answer("There is more; ask with a higher --limit.");
    }
    Ok(page.print()?)
}

#[derive(Args)]
pub struct AmendArguments {
    /// The record to supersede, as `sward log` shows it
    record: String,
    /// It should not have been made
    #[arg(long)]
    withdraw: bool,
    /// What the notes should have said
    #[arg(long, value_name = "TEXT")]
    notes: Option<String>,
    /// Cause of the catalogue that it turned out to be
    #[arg(long, value_name = "CAUSE")]
    cause: Option<String>,
    /// Whether the fault is gone
    #[arg(long, value_name = "true|false")]
    fixed: Option<bool>,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

pub async fn amend(globals: &Globals, asked: AmendArguments) -> Result<(), Failure> {
    let mut client = client(globals).await?;
    let mut request = pb::AmendRecordRequest {
        name: asked.record.clone(),
        withdraw: asked.withdraw,
        request_id: uuid::Uuid::new_v4().to_string(),
        ..pb::AmendRecordRequest::default()
    };
    if !asked.withdraw {
        let old = client.get_record(pb::GetRecordRequest { name: asked.record.clone() }).await?;
        let mut record = old.into_inner().record.unwrap_or_default();
        record.notes = asked.notes.unwrap_or(record.notes);
        if let Some(pb::record::Detail::FaultFixed(fault)) = &mut record.detail {
            fault.cause = asked.cause.unwrap_or(std::mem::take(&mut fault.cause));
            fault.fixed = asked.fixed.or(fault.fixed);
        } else if asked.cause.is_some() || asked.fixed.is_some() {
            let text = format!("{} is no fault that was fixed", asked.record);
            return Err(Failure::new(65, text, "amend its notes, or withdraw it"));
        }
        request.record = Some(record);
    }
    let reply = client.amend_record(request).await?.into_inner();
    let line = reply.record.as_ref().map(record_line).unwrap_or_default();
    told(asked.output, "AmendRecordResponse", &reply, &format!("Stored: {line}."))
}

#[derive(Args)]
pub struct LearnArguments {
    #[command(subcommand)]
    what: Learned,
    /// How to answer
    #[arg(long, global = true, value_enum, default_value_t)]
    output: Output,
}

#[derive(Subcommand)]
enum Learned {
    /// Show how often each cause was the one, and how it showed
    Show,
}

pub async fn learn(globals: &Globals, asked: &LearnArguments) -> Result<(), Failure> {
    let Learned::Show = asked.what;
    let request = pb::ListLessonsRequest::default();
    let reply = client(globals).await?.list_lessons(request).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("ListLessonsResponse", &reply);
    }
    let mut page = Page::new();
    if reply.lessons.is_empty() {
        page.answer("Nothing is learned yet: a fault recorded as fixed, with its cause, teaches.");
    }
    for lesson in &reply.lessons {
        let on = if lesson.unit_type.is_empty() { "any unit" } else { &lesson.unit_type };
        page.answer(&format!("{} on {on}: {} confirmed", lesson.cause, lesson.confirmed_count));
        for seen in &lesson.findings {
            let (yes, no) = (seen.present_count, seen.absent_count);
            page.item("  ", &format!("{}: there {yes}, not there {no}", seen.finding));
        }
        for tried in &lesson.remedies {
            let (yes, no) = (tried.cured_count, tried.not_cured_count);
            page.item("  ", &format!("{}: cured {yes}, not cured {no}", tried.procedure));
        }
    }
    Ok(page.print()?)
}
