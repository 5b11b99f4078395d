//! `sward import`, `export`, `backup` and `restore`: many records at once.
//! Deliberately absent: understanding rows, which the server does and says row by row.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use sward_core::pb;
use sward_core::pb::import_records_request::Payload;
use sward_core::pb::records_service_client::RecordsServiceClient;

use crate::call::{self, Failure};
use crate::commands::{Globals, Output};
use crate::json;
use crate::page::Page;
use crate::records::{Client, full_name};

/// Rows sent in one call: enough to be fast, few enough that progress is seen.
const ROWS_PER_CALL: usize = 1_000;
const CHUNK_BYTES: usize = 1 << 20;

#[derive(Args)]
pub struct ImportArguments {
    /// A table: .csv with a line of column names, or .jsonl with an object on each line
    file: PathBuf,
    /// Store nothing; only say what would happen
    #[arg(long)]
    dry_run: bool,
    /// Write the rows that were rejected into this file, to mend and feed again
    #[arg(long, value_name = "FILE")]
    rejects: Option<PathBuf>,
    /// Add machines, units and areas that rows name and nobody has added
    #[arg(long)]
    create_missing: bool,
    /// A column that is called otherwise: THEIRS=OURS, or THEIRS= to leave it out; can be repeated
    #[arg(long = "column", value_name = "THEIRS=OURS")]
    columns: Vec<String>,
    /// A date such as 03/04/2026 has the day first
    #[arg(long, conflicts_with = "month_first")]
    day_first: bool,
    /// A date such as 03/04/2026 has the month first
    #[arg(long)]
    month_first: bool,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

/// A table as it was read: the line of names, and the rows with their text.
struct Table {
    columns: Vec<String>,
    rows: Vec<(pb::ImportRow, String)>,
}

fn cannot(doing: &str, path: &Path, error: impl std::fmt::Display) -> Failure {
    Failure::new(66, format!("{doing} {}: {error}", path.display()), "")
}

fn table(path: &Path) -> Result<Table, Failure> {
    if path.extension().is_some_and(|ending| ending == "jsonl") {
        let text = std::fs::read_to_string(path).map_err(|error| cannot("reading", path, error))?;
        let lines = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
        let rows = lines.map(|(number, line)| {
            let content = Some(pb::import_row::Content::Json(line.to_owned()));
            (pb::ImportRow { number, content }, format!("{line}\n"))
        });
        return Ok(Table { columns: Vec::new(), rows: rows.collect() });
    }
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_path(path)
        .map_err(|error| cannot("reading", path, error))?;
    let headers = reader.headers().map_err(|error| cannot("reading", path, error))?;
    let columns: Vec<String> = headers.iter().map(str::to_owned).collect();
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| cannot("reading", path, error))?;
        let number = record.position().map_or(0, csv::Position::line);
        let cells: Vec<String> = record.iter().map(str::to_owned).collect();
        let text = csv_line(&cells)?;
        let content = Some(pb::import_row::Content::Cells(pb::ImportCells { cells }));
        rows.push((pb::ImportRow { number, content }, text));
    }
    Ok(Table { columns, rows })
}

fn csv_line(cells: &[String]) -> Result<String, Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let failed = |error: String| Failure::new(70, error, "");
    writer.write_record(cells).map_err(|error| failed(error.to_string()))?;
    let bytes = writer.into_inner().map_err(|error| failed(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| failed(error.to_string()))
}

fn options(asked: &ImportArguments, columns: &[String]) -> Result<pb::ImportOptions, Failure> {
    let mut mapping = std::collections::HashMap::new();
    for pair in &asked.columns {
        let Some((theirs, ours)) = pair.split_once('=') else {
            let hint = "write THEIRS=OURS, or THEIRS= to leave it out";
            return Err(Failure::new(65, format!("--column is \"{pair}\""), hint));
        };
        mapping.insert(theirs.to_owned(), ours.to_owned());
    }
    let order = match (asked.day_first, asked.month_first) {
        (true, _) => pb::DateOrder::DayFirst,
        (_, true) => pb::DateOrder::MonthFirst,
        (false, false) => pb::DateOrder::Unspecified,
    };
    Ok(pb::ImportOptions {
        columns: columns.to_vec(),
        column_mapping: mapping,
        date_order: order.into(),
        dry_run: asked.dry_run,
        create_missing: asked.create_missing,
        ..pb::ImportOptions::default()
    })
}

pub async fn import(globals: &Globals, asked: &ImportArguments) -> Result<(), Failure> {
    let table = table(&asked.file)?;
    let options = options(asked, &table.columns)?;
    let mut client = RecordsServiceClient::new(call::line_to_records(globals).await?);
    let mut whole = pb::ImportRecordsResponse::default();
    let progress = progress(table.rows.len());
    for rows in table.rows.chunks(ROWS_PER_CALL) {
        match send(&mut client, &options, rows).await {
            Ok(reply) => join(&mut whole, reply),
            Err(failure) => return Err(broken_off(failure, &whole, asked.dry_run)),
        }
        progress.inc(rows.len() as u64);
    }
    progress.finish_and_clear();
    if let Some(rejects) = &asked.rejects {
        write_rejects(rejects, &table, &whole)?;
    }
    if asked.output == Output::Json {
        return json::print("ImportRecordsResponse", &whole);
    }
    report(asked, &whole)
}

/// Shown on a terminal only, on standard error.
fn progress(rows: usize) -> ProgressBar {
    let form = "{wide_bar} {human_pos} of {human_len} rows, {eta} left";
    let style = ProgressStyle::with_template(form).unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::new(rows as u64).with_style(style)
}

async fn send(
    client: &mut Client,
    options: &pb::ImportOptions,
    rows: &[(pb::ImportRow, String)],
) -> Result<pb::ImportRecordsResponse, Failure> {
    let rows = rows.iter().map(|(row, _)| Payload::Row(row.clone()));
    let messages: Vec<pb::ImportRecordsRequest> = [Payload::Options(options.clone())]
        .into_iter()
        .chain(rows)
        .map(|payload| pb::ImportRecordsRequest { payload: Some(payload) })
        .collect();
    Ok(client.import_records(tokio_stream::iter(messages)).await?.into_inner())
}

fn join(whole: &mut pb::ImportRecordsResponse, reply: pb::ImportRecordsResponse) {
    whole.stored_count += reply.stored_count;
    whole.already_there_count += reply.already_there_count;
    whole.rejected_count += reply.rejected_count;
    whole.results.extend(reply.results);
    whole.created.extend(reply.created);
}

/// What was stored before it broke off is stored, and is recognised when it comes again.
fn broken_off(failure: Failure, whole: &pb::ImportRecordsResponse, dry_run: bool) -> Failure {
    if dry_run || whole.results.is_empty() {
        return failure;
    }
    let text = format!(
        "{} rows are in, then it broke off; run the same command again to go on, nothing is doubled",
        whole.stored_count + whole.already_there_count
    );
    failure.with_hint(&text)
}

fn write_rejects(
    path: &Path,
    table: &Table,
    reply: &pb::ImportRecordsResponse,
) -> Result<(), Failure> {
    let mut text = String::new();
    if !table.columns.is_empty() {
        text.push_str(&csv_line(&table.columns)?);
    }
    for ((_, line), result) in table.rows.iter().zip(&reply.results) {
        if result.outcome() == pb::ImportOutcome::Rejected {
            text.push_str(line);
        }
    }
    std::fs::write(path, text).map_err(|error| cannot("writing", path, error))
}

fn report(asked: &ImportArguments, reply: &pb::ImportRecordsResponse) -> Result<(), Failure> {
    let mut page = Page::new();
    let would = if asked.dry_run { "would be " } else { "" };
    page.answer(&format!(
        "{} {would}stored, {} already there, {} rejected.",
        reply.stored_count, reply.already_there_count, reply.rejected_count
    ));
    for name in &reply.created {
        page.item(if asked.dry_run { "  would add " } else { "  added " }, name);
    }
    for result in &reply.results {
        for error in &result.errors {
            let first = format!("  row {}: ", result.number);
            let text = format!("{} is \"{}\": {}", error.column, error.value, error.remedy);
            page.item(&first, &text);
        }
    }
    match &asked.rejects {
        _ if reply.rejected_count == 0 => {}
        Some(file) => page.item(
            "",
            &format!("The rejected rows are in {}: mend them and import it.", file.display()),
        ),
        None => page.item("", "With --rejects FILE they are written into a file to mend."),
    }
    if asked.dry_run {
        page.item("", "Nothing was stored: this was a dry run.");
    }
    Ok(page.print()?)
}

#[derive(Args)]
pub struct ExportArguments {
    /// What the records are about; everything when left out
    #[arg(default_value = "sites/home")]
    subject: String,
    /// Write one JSON object on each line instead of CSV
    #[arg(long)]
    jsonl: bool,
    /// What was superseded or withdrawn too
    #[arg(long)]
    history: bool,
    /// Write the table into this new file instead of printing it
    #[arg(long, value_name = "FILE")]
    into: Option<PathBuf>,
    /// How to answer; json holds the table in a message
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

pub async fn export(globals: &Globals, asked: &ExportArguments) -> Result<(), Failure> {
    let format = if asked.jsonl { pb::TableFormat::Jsonl } else { pb::TableFormat::Csv };
    let request = pb::ExportRecordsRequest {
        parent: full_name(&asked.subject),
        show_history: asked.history,
        format: format.into(),
        ..pb::ExportRecordsRequest::default()
    };
    let mut client = RecordsServiceClient::new(call::line_to_records(globals).await?);
    let mut pieces = client.export_records(request).await?.into_inner();
    let mut file = asked.into.as_deref().map(new_file).transpose()?;
    let mut whole = pb::ExportRecordsResponse::default();
    while let Some(piece) = pieces.message().await? {
        whole.record_count += piece.record_count;
        match (&mut file, asked.output) {
            (Some(file), _) => file.write_all(piece.text.as_bytes())?,
            (None, Output::Json) => whole.text.push_str(&piece.text),
            (None, Output::Text) => std::io::stdout().lock().write_all(piece.text.as_bytes())?,
        }
    }
    if let Some(file) = file {
        file.sync_all()?;
    }
    if asked.output == Output::Json {
        return json::print("ExportRecordsResponse", &whole);
    }
    if let Some(path) = &asked.into {
        let mut page = Page::new();
        page.answer(&format!("Wrote {} records to {}.", whole.record_count, path.display()));
        page.print()?;
    }
    Ok(())
}

/// A file that is there already is somebody's.
fn new_file(path: &Path) -> Result<File, Failure> {
    File::create_new(path).map_err(|error| cannot("writing", path, error))
}

#[derive(Args)]
pub struct CopyArguments {
    /// The file of the copy
    file: PathBuf,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

pub async fn backup(globals: &Globals, asked: &CopyArguments) -> Result<(), Failure> {
    let path = &asked.file;
    let mut client = RecordsServiceClient::new(call::line_to_records(globals).await?);
    let mut pieces = client.backup_records(pb::BackupRecordsRequest {}).await?.into_inner();
    let mut file = new_file(path)?;
    let mut summary = pb::BackupSummary::default();
    let mut written = 0;
    while let Some(piece) = pieces.message().await? {
        summary = piece.summary.unwrap_or(summary);
        written += piece.chunk.len() as u64;
        file.write_all(&piece.chunk)?;
    }
    file.sync_all()?;
    if written != summary.file_bytes {
        let text = format!("{written} of {} bytes came", summary.file_bytes);
        return Err(Failure::new(74, text, "the copy is not whole; remove it and try again"));
    }
    if asked.output == Output::Json {
        return json::print("BackupSummary", &summary);
    }
    let mut page = Page::new();
    page.answer(&format!("Copied {} records to {}.", summary.record_count, path.display()));
    Ok(page.print()?)
}

pub async fn restore(globals: &Globals, asked: &CopyArguments) -> Result<(), Failure> {
    let path = &asked.file;
    let mut bytes = Vec::new();
    let mut file = File::open(path).map_err(|error| cannot("reading", path, error))?;
    file.read_to_end(&mut bytes)?;
    let chunks: Vec<pb::RestoreRecordsRequest> = bytes
        .chunks(CHUNK_BYTES)
        .map(|chunk| pb::RestoreRecordsRequest { chunk: chunk.to_vec() })
        .collect();
    let mut client = RecordsServiceClient::new(call::line_to_records(globals).await?);
    let reply = client.restore_records(tokio_stream::iter(chunks)).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("RestoreRecordsResponse", &reply);
    }
    let mut page = Page::new();
    let records = reply.summary.unwrap_or_default().record_count;
    page.answer(&format!("Restored {records} records."));
    page.item("", &format!("What was there before is kept in {}.", reply.kept_file));
    Ok(page.print()?)
}
