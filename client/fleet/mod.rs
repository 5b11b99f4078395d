//! `sward due`, `report`, `sheet` and `plan`: reply -> a document -> terminal, CSV, HTML or JSON.
//! Deliberately absent: deciding anything. What is due, late or outside is said by the reply.
//!
//! Order of reading: document (titles, tables, drawings) -> text, web, comma (how it looks) ->
//! due, report, sheet, plan (one command each) -> drawings, side_view (what is drawn).

mod comma;
mod document;
mod drawings;
mod due;
mod given;
mod plan;
mod report;
mod report_tables;
mod sheet;
mod side_view;
mod text;
mod web;

use std::io::{IsTerminal, Write as _};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressStyle};
use prost::Message;

use crate::call::Failure;
use crate::commands::{Globals, Output};
use crate::json;
use document::Document;

pub use due::{DueArguments, run as due};
pub use plan::{PlanArguments, run as plan};
pub use report::{ReportArguments, run as report};
pub use sheet::{SheetArguments, run as sheet};

/// How the answer is written.
#[derive(Args)]
pub struct Looks {
    /// How to answer
    #[arg(long, global = true, value_enum, default_value_t)]
    output: Output,
    /// Write a table, or one page to print
    #[arg(long, global = true, value_enum, value_name = "FORMAT", conflicts_with = "output")]
    format: Option<Format>,
    /// Which table to write with --format csv; the first when left out
    #[arg(long, global = true, value_name = "NAME")]
    table: Option<String>,
    /// Write into this file instead of to standard output
    #[arg(long, global = true, value_name = "FILE")]
    file: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// One table, RFC 4180, lengths in mm
    Csv,
    /// One file with its drawings, for A4 or Letter, in black and white
    Html,
}

impl Looks {
    /// Writes a reply, as asked: JSON of the message, or its document.
    fn write(
        &self,
        globals: &Globals,
        message: &str,
        reply: &impl Message,
        document: impl FnOnce() -> Result<Document, Failure>,
    ) -> Result<(), Failure> {
        if self.output == Output::Json {
            return self.put(&(json::text(message, reply)? + "\n"));
        }
        let document = document()?;
        if self.table.is_some() && self.format != Some(Format::Csv) {
            return Err(Failure::new(2, "--table goes with --format csv", ""));
        }
        match self.format {
            None if self.file.is_none() => Ok(text::page(&document).print()?),
            None => self.put(&text::plain(&document)),
            Some(Format::Csv) => self.put(&comma::table(&document, self.table.as_deref())?),
            Some(Format::Html) => self.put(&web::page(&document, globals.words)),
        }
    }

    fn put(&self, text: &str) -> Result<(), Failure> {
        let Some(path) = &self.file else {
            return Ok(std::io::stdout().lock().write_all(text.as_bytes())?);
        };
        std::fs::write(path, text).map_err(|error| {
            Failure::new(74, format!("cannot write {}: {error}", path.display()), "")
        })?;
        eprintln!("wrote {}", path.display());
        Ok(())
    }
}

/// A line on a terminal that counts the records read; nothing in a pipe.
struct Progress(Option<ProgressBar>);

impl Progress {
    fn start() -> Progress {
        if !std::io::stderr().is_terminal() {
            return Progress(None);
        }
        let bar = ProgressBar::new_spinner();
        let style = ProgressStyle::with_template("{spinner} {pos} records read");
        bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_spinner()));
        Progress(Some(bar))
    }

    fn at(&self, records: u64) {
        if let Some(bar) = &self.0 {
            bar.set_position(records);
        }
    }

    fn end(self) {
        if let Some(bar) = self.0 {
            bar.finish_and_clear();
        }
    }
}

/// Puts the pieces of a reply together: lists one after the other, the last word on the rest.
async fn merged<M: Message + Default>(
    mut pieces: tonic::Streaming<M>,
    records_read: impl Fn(&M) -> u64,
) -> Result<M, Failure> {
    let progress = Progress::start();
    let mut whole = M::default();
    while let Some(piece) = pieces.message().await? {
        progress.at(records_read(&piece));
        whole
            .merge(piece.encode_to_vec().as_slice())
            .map_err(|error| Failure::new(70, error.to_string(), ""))?;
    }
    progress.end();
    Ok(whole)
}
