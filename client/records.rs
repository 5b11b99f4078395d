//! `sward log` and `learn`: what was done, how a record reads, and what fixes taught.
//! Deliberately absent: making a record (`record`, `amend`) and tables of them (`tables`).

use clap::{Args, Subcommand};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use sward_core::domain::records::RecordKind;
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::row_fields::{Column, FIRST_COLUMNS, LAST_COLUMNS, columns};
use sward_core::domain::units::figures;
use sward_core::pb;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::service::row_of;

use crate::call::{self, Failure, Line};
use crate::commands::{Globals, Output, Units};
use crate::compute::contract::without_unit;
use crate::compute::in_units_of;
use crate::find::start_of;
use crate::json;
use crate::page::Page;
use crate::record::Row;

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

/// The full name of a record that was typed in short: `r17`.
pub fn full_record_name(typed: &str) -> String {
    if typed.contains('/') { typed.to_owned() } else { format!("sites/home/records/{typed}") }
}

/// `sites/{site}` of any name.
pub fn site_of(name: &str) -> String {
    name.split('/').take(2).collect::<Vec<_>>().join("/")
}

/// A name as short as it can be typed again: `greens-triplex/2`, `areas/6-green`, `r17`.
pub fn short_name(name: &str) -> String {
    match name.split('/').collect::<Vec<_>>()[..] {
        ["sites", "home", .., "records", record] => record.to_owned(),
        ["sites", site, .., "records", record] => format!("sites/{site}/records/{record}"),
        ["sites", "home", "machines", machine] => machine.to_owned(),
        ["sites", "home", "machines", machine, "units", unit] => format!("{machine}/{unit}"),
        ["sites", "home", "areas", area] => format!("areas/{area}"),
        _ => name.to_owned(),
    }
}

/// The last words of what a record is about.
fn about(name: &str) -> String {
    let subject = name.split("/records/").next().unwrap_or_default();
    short_name(subject)
}

/// When, what kind, about what, and its name: "2026-03-14 sharpening, greens-triplex/2, r17".
pub fn heading(record: &pb::Record) -> String {
    let kind = kind_of(record).map_or("", RecordKind::id).replace('_', " ");
    format!("{} {kind}, {}, {}", day(record), about(&record.name), short_name(&record.name))
}

fn day(record: &pb::Record) -> String {
    let seconds = record.time.as_ref().map_or(0, |time| time.seconds);
    let time = Timestamp::from_second(seconds).unwrap_or_default();
    time.to_zoned_datetime(TimeZone::UTC).strftime("%Y-%m-%d").to_string()
}

fn kind_of(record: &pb::Record) -> Option<RecordKind> {
    use pb::record::Detail;
    Some(match record.detail.as_ref()? {
        Detail::Sharpening(_) => RecordKind::Sharpening,
        Detail::Adjustment(_) => RecordKind::Adjustment,
        Detail::PartReplaced(_) => RecordKind::PartReplaced,
        Detail::HeightReading(_) => RecordKind::HeightReading,
        Detail::Inspection(_) => RecordKind::Inspection,
        Detail::FaultFixed(_) => RecordKind::FaultFixed,
        Detail::Hours(_) => RecordKind::Hours,
    })
}

/// What every kind says, which is told after what was done.
const COMMON: [&str; 5] = ["duration_min", "machine_hours_h", "done_by", "words", "notes"];

/// Everything else that it says: what was done in the order of a table's columns, then how long,
/// by whom, and the notes.
pub fn details(record: &pb::Record, shown_in: Units) -> String {
    let row = row_of(record).ok().and_then(|line| serde_json::from_str::<Row>(&line).ok());
    let (Some(row), Some(kind)) = (row, kind_of(record)) else { return String::new() };
    let columns = columns(&[kind]);
    let told = |column: &&Column| {
        let name = column.name.as_str();
        !FIRST_COLUMNS.contains(&name) && !LAST_COLUMNS.contains(&name) && name != "equipment"
    };
    let (common, own): (Vec<&Column>, Vec<&Column>) =
        columns.iter().filter(told).partition(|column| COMMON.contains(&column.name.as_str()));
    let of_fault = ["fault", "found", "action"].iter().any(|column| row.contains_key(*column));
    // What was said is said again by the fields of a fault.
    let common = common.into_iter().filter(|column| !(of_fault && column.name == "words"));
    let shown = |column: &Column| {
        let told = part(column, &row)?;
        Some(if is_said(&column.name) { told } else { in_units_of(&told, shown_in) })
    };
    let mut parts: Vec<String> = own.into_iter().filter_map(shown).collect();
    parts.extend(looked_for(record));
    parts.extend(common.filter_map(shown));
    if record.withdrawn {
        parts.push("withdrawn".to_owned());
    }
    if !record.superseded_by.is_empty() {
        parts.push(format!("superseded by {}", short_name(&record.superseded_by)));
    }
    parts.join("; ")
}

/// What is kept as somebody said it.
fn is_said(column: &str) -> bool {
    matches!(column, "words" | "notes" | "fault" | "found" | "action" | "result")
}

/// What was looked for: what was there, and what was not.
fn looked_for(record: &pb::Record) -> Vec<String> {
    use pb::record::Detail;
    let observations = match &record.detail {
        Some(Detail::FaultFixed(fault)) => &fault.observations,
        Some(Detail::Inspection(inspection)) => &inspection.observations,
        _ => return Vec::new(),
    };
    let findings = |present: bool| -> Vec<&str> {
        let rows = observations.iter().filter(|row| row.present == present);
        rows.map(|row| row.finding.as_str()).collect()
    };
    let sides = [("there: ", findings(true)), ("not there: ", findings(false))];
    let said = sides.into_iter().filter(|(_, ids)| !ids.is_empty());
    said.map(|(label, ids)| format!("{label}{}", ids.join(", "))).collect()
}

/// One cell of a row with its column in words: "diameter before 127.5 mm".
fn part(column: &Column, row: &Row) -> Option<String> {
    let name = column.name.as_str();
    if name.starts_with("finding") {
        return None;
    }
    let id = ["cause", "procedure", "finding"].iter().any(|ending| name.ends_with(ending));
    let value = said(row.get(name)?, id);
    if value.is_empty() {
        return None;
    }
    let label = without_unit(name).replace('_', " ");
    Some(match name {
        "fault" | "action" | "words" | "notes" | "method" | "target" => value,
        "done_by" => format!("by {value}"),
        "duration_min" => format!("took {value} min"),
        "fixed" => if value == "yes" { "fixed" } else { "not fixed" }.to_owned(),
        _ if column.unit.is_empty() => format!("{label} {value}"),
        _ => format!("{label} {value} {}", column.unit),
    })
}

/// A value in words; an id of the catalogue stays as it is typed.
fn said(value: &serde_json::Value, id: bool) -> String {
    use serde_json::Value;
    match value {
        Value::String(text) if id => text.clone(),
        Value::String(text) => text.replace('_', " "),
        Value::Bool(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => {
            number.as_f64().map_or_else(String::new, |number| figures(number, FIGURES))
        }
        Value::Array(members) => {
            members.iter().map(|one| said(one, id)).collect::<Vec<_>>().join(", ")
        }
        Value::Null | Value::Object(_) => String::new(),
    }
}

/// Figures of a number: more than any gauge or meter shows.
const FIGURES: i32 = 8;

#[derive(Args)]
pub struct LogArguments {
    /// greens-triplex/2, greens-triplex or areas/6-green; one record, as r17; everything when left
    /// out
    #[arg(default_value = "sites/home")]
    subject: String,
    /// Only this kind of record, such as fault_fixed or sharpening; can be repeated
    #[arg(long, value_name = "KIND")]
    kind: Vec<String>,
    /// Only faults that turned out to have this cause
    #[arg(long, value_name = "CAUSE", default_value = "", hide_default_value = true)]
    cause: String,
    /// Only work of this day or later, as 2026-03-14
    #[arg(long, value_name = "DATE")]
    since: Option<String>,
    /// Only work before this day, as 2026-06-01
    #[arg(long, value_name = "DATE")]
    until: Option<String>,
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

fn record_kind(typed: &str) -> Result<i32, Failure> {
    let full = format!("RECORD_KIND_{}", typed.replace('-', "_").to_uppercase());
    let kind = pb::RecordKind::from_str_name(&full);
    kind.map(Into::into).ok_or_else(|| {
        let hint = format!("use one of {}", RecordKind::all_ids());
        Failure::new(65, format!("--kind is \"{typed}\""), &hint)
    })
}

/// `r17`, or the full name of a record.
fn is_record(typed: &str) -> bool {
    let number = typed.strip_prefix('r').unwrap_or_default();
    let short = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
    short || typed.contains("/records/")
}

/// One record with everything it says.
async fn log_one(globals: &Globals, asked: &LogArguments) -> Result<(), Failure> {
    let request = pb::GetRecordRequest { name: full_record_name(&asked.subject) };
    let reply = client(globals).await?.get_record(request).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("GetRecordResponse", &reply);
    }
    let record = reply.record.unwrap_or_default();
    let mut page = Page::new();
    page.answer(&heading(&record));
    page.item("    ", &details(&record, globals.units));
    if !record.words.is_empty() {
        page.item("    said: ", &record.words);
    }
    if !record.supersedes.is_empty() {
        page.item("    supersedes ", &short_name(&record.supersedes));
    }
    page.item("    ", &record.name);
    Ok(page.print()?)
}

pub async fn log(globals: &Globals, asked: &LogArguments) -> Result<(), Failure> {
    if is_record(&asked.subject) {
        return log_one(globals, asked).await;
    }
    let request = pb::ListRecordsRequest {
        parent: full_name(&asked.subject),
        kinds: asked.kind.iter().map(|kind| record_kind(kind)).collect::<Result<_, _>>()?,
        cause: asked.cause.clone(),
        start_time: asked.since.as_deref().map(|day| start_of("--since", day)).transpose()?,
        end_time: asked.until.as_deref().map(|day| start_of("--until", day)).transpose()?,
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
        page.answer(&heading(record));
        page.item("    ", &details(record, globals.units));
    }
    if !reply.next_page_token.is_empty() {
        page.item("", "There is more; ask with a higher --limit.");
    }
    Ok(page.print()?)
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
