//! `sward find`: what was written down about this? Notes, procedures and records in one list.

use clap::Args;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use sward_core::domain::wording::counted;
use sward_core::pb;
use sward_core::pb::search_service_client::SearchServiceClient;

use crate::call::{self, Failure};
use crate::commands::{Globals, Output};
use crate::json;
use crate::page::{MARK, Page, UNMARK};
use crate::records::{full_name, short_name};

/// Causes shown below the hits.
const CAUSES_SHOWN: usize = 5;

#[derive(Args)]
pub struct FindArguments {
    /// What to look for; may be left out when a filter is given
    #[arg(id = "query", value_name = "WORDS")]
    pub words: Vec<String>,
    /// Only this kind: note, procedure, record; can be repeated
    #[arg(long, value_name = "KIND")]
    pub kind: Vec<String>,
    /// Only records of this unit, machine, area or site: greens-triplex/2, greens-triplex,
    /// areas/6-green, sites/home
    #[arg(long, value_name = "UNIT", default_value = "", hide_default_value = true)]
    pub unit: String,
    /// Only what concerns this cause
    #[arg(long, value_name = "CAUSE")]
    pub cause: Option<String>,
    /// Only records of this day or later, as 2026-03-14
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
    /// Only records before this day, as 2026-06-01
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// Hits to show, 1 to 100
    #[arg(long, value_name = "N", default_value_t = 10)]
    #[arg(value_parser = clap::value_parser!(i32).range(1..=100))]
    pub limit: i32,
    /// Go on where an earlier page ended
    #[arg(long, value_name = "TOKEN", default_value = "")]
    pub page_token: String,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub output: Output,
}

pub async fn run(globals: &Globals, asked: FindArguments) -> Result<(), Failure> {
    let request = pb::SearchRequest {
        query: asked.words.join(" "),
        kinds: asked.kind.iter().map(|kind| hit_kind(kind)).collect::<Result<_, _>>()?,
        subject: full_name(&asked.unit),
        cause: asked.cause.clone().unwrap_or_default(),
        start_time: asked.since.as_deref().map(|day| start_of("--since", day)).transpose()?,
        end_time: asked.until.as_deref().map(|day| start_of("--until", day)).transpose()?,
        page_size: asked.limit,
        page_token: asked.page_token,
        read_times: true,
        // An offset is understood wherever the server is.
        time_zone: Timestamp::now().to_zoned_datetime(TimeZone::system()).strftime("%:z").to_string(),
    };
    let mut client = SearchServiceClient::new(call::line_to_records(globals).await?);
    let reply = client.search(request).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("SearchResponse", &reply);
    }
    Ok(page(&reply).print()?)
}

fn hit_kind(word: &str) -> Result<i32, Failure> {
    let kind = match word {
        "note" | "notes" => pb::HitKind::Note,
        "procedure" | "procedures" => pb::HitKind::Procedure,
        "record" | "records" => pb::HitKind::Record,
        _ => {
            let text = format!("--kind {word} is no kind");
            return Err(Failure::new(65, text, "use note, procedure or record"));
        }
    };
    Ok(kind.into())
}

/// The first moment of a day here, where the work is done.
pub fn start_of(flag: &str, day: &str) -> Result<prost_types::Timestamp, Failure> {
    let fail = || Failure::new(65, format!("{flag} {day} is no date"), "write it as 2026-03-14");
    let date: Date = day.trim().parse().map_err(|_| fail())?;
    let zoned = date.to_zoned_datetime(TimeZone::system()).map_err(|_| fail())?;
    Ok(prost_types::Timestamp { seconds: zoned.timestamp().as_second(), nanos: 0 })
}

fn page(reply: &pb::SearchResponse) -> Page {
    let mut page = Page::new();
    for repair in &reply.repairs {
        let (written, meant) = (plain(&repair.written), plain(&repair.meant.join(", ")));
        page.item("", &format!("Nothing says \"{written}\"; looked for {meant} instead."));
    }
    if let Some(period) = &reply.period {
        page.item("", &format!("Only records of {} (--since and --until say otherwise).", period.told));
    }
    if reply.hits.is_empty() {
        page.answer("Nothing was found.");
        return page;
    }
    for (at, hit) in reply.hits.iter().enumerate() {
        let first = format!("{:>2}. ", at + 1);
        page.item(&first, &format!("{}{}", when(hit), plain(&hit.title)));
        if let Some(snippet) = &hit.snippet {
            page.marked("    ", &highlighted(snippet));
        }
        page.item("    ", &how_to_read(hit));
    }
    page.blank();
    let kinds: Vec<String> = reply.kind_counts.iter().map(kind_count).collect();
    page.item("", &format!("{} found: {}.", reply.total_size, kinds.join(", ")));
    let causes: Vec<String> = reply
        .cause_counts
        .iter()
        .take(CAUSES_SHOWN)
        .map(|row| format!("{} {}", row.cause, row.count))
        .collect();
    if !causes.is_empty() {
        page.item("", &format!("Causes: {}.", causes.join(", ")));
    }
    if !reply.next_page_token.is_empty() {
        page.item("More: ", &format!("--page-token {}", reply.next_page_token));
    }
    page
}

/// The command that shows all of it.
fn how_to_read(hit: &pb::Hit) -> String {
    match (hit.kind(), hit.name.split_once('/')) {
        (pb::HitKind::Note, Some((_, id))) => format!("sward guide note {id}"),
        (pb::HitKind::Procedure, Some((_, id))) => format!("sward guide procedure {id}"),
        _ => format!("sward log {}", short_name(&hit.name)),
    }
}

fn kind_count(row: &pb::KindCount) -> String {
    let word = match row.kind() {
        pb::HitKind::Note => "note",
        pb::HitKind::Procedure => "procedure",
        pb::HitKind::Record => "record",
        pb::HitKind::Unspecified => "other",
    };
    counted(row.count, word)
}

/// "14 Mar 2026  " for a record.
fn when(hit: &pb::Hit) -> String {
    let time = hit.time.and_then(|time| Timestamp::from_second(time.seconds).ok());
    time.map_or_else(String::new, |time| {
        format!("{}  ", time.to_zoned_datetime(TimeZone::system()).strftime("%-d %b %Y"))
    })
}

fn highlighted(snippet: &pb::Snippet) -> String {
    let mut out = String::new();
    let mut at = 0;
    for highlight in &snippet.highlights {
        let (start, end) = (highlight.start as usize, highlight.end as usize);
        let (Some(before), Some(inside)) =
            (snippet.text.get(at..start), snippet.text.get(start..end))
        else {
            continue;
        };
        out.push_str(&plain(before));
        out.push(MARK);
        out.push_str(&plain(inside));
        out.push(UNMARK);
        at = end;
    }
    out.push_str(&plain(snippet.text.get(at..).unwrap_or_default()));
    out
}

/// Without signs that would steer the terminal: records hold what anyone typed.
fn plain(text: &str) -> String {
    text.chars().filter(|ch| !ch.is_control()).collect()
}
