//! `sward due`: what is due on each unit, soonest first.

use clap::Args;
use sward_core::domain::units::decimal;
use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;

use super::document::{Document, Section, Table, data, date, moment, raw, shown, words};
use super::drawings::{Bar, bars};
use super::{Looks, given, merged};
use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::compute::in_units_of;

#[derive(Args)]
pub struct DueArguments {
    /// A machine or unit: greens-triplex, greens-triplex/2; everything when left out
    #[arg(value_name = "UNIT")]
    what: Option<String>,
    /// Only what is due within so many hours of the machine
    #[arg(long, value_name = "HOURS", allow_hyphen_values = true)]
    within: Option<String>,
    /// Also what nobody can tell yet, with what is lacking
    #[arg(long)]
    all: bool,
    /// Reckon as on this day, as 2026-03-14
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    #[command(flatten)]
    looks: Looks,
}

pub async fn run(globals: &Globals, asked: &DueArguments) -> Result<(), Failure> {
    let request = pb::ListDueRequest {
        parent: given::parent(asked.what.as_deref()),
        within_h: given::quantity("--within", "within_h", asked.within.as_deref())?,
        hide_unknown: false,
        as_of_time: given::day("--as-of", asked.as_of.as_deref())?,
    };
    let mut client = FleetServiceClient::new(call::line(globals).await?);
    let pieces = client.list_due(request).await?.into_inner();
    let reply = merged(pieces, |piece| piece.records_read).await?;
    let made = || Ok(document(&reply, asked.all, globals));
    asked.looks.write(globals, "ListDueResponse", &reply, made)
}

fn document(reply: &pb::ListDueResponse, all: bool, globals: &Globals) -> Document {
    let told: Vec<&pb::DueJob> = reply.jobs.iter().filter(|job| job.left_h.is_some()).collect();
    let unknown: Vec<&pb::DueJob> = reply.jobs.iter().filter(|job| job.left_h.is_none()).collect();
    let now = told.iter().filter(|job| is_now(job)).count();
    let mut document = Document {
        title: "What is due".to_owned(),
        about: format!(
            "As of {}, from {} records{}.",
            date(reply.as_of_time.as_ref()),
            reply.records_read,
            of_unit(&reply.jobs)
        ),
        ..Document::default()
    };
    document.lead.push(match (told.len(), unknown.len()) {
        (0, 0) => {
            "Nothing is recorded yet: sward add, sward record and sward import start it.".to_owned()
        }
        (0, _) => "Not enough readings to tell when anything is due.".to_owned(),
        _ => format!("{now} due now, {} later.", told.len() - now),
    });
    let drawing = drawn(&told);
    let mut section = Section::table("due", "Due, soonest first", table(&told, globals));
    section.drawing = drawing;
    document.sections.push(section);
    if all {
        let heading = "Not to be told yet";
        document.sections.push(Section::table("unknown", heading, table(&unknown, globals)));
    } else if !unknown.is_empty() {
        document.notes.push(format!(
            "Of {} more jobs nothing can be told yet; --all shows what is lacking.",
            unknown.len()
        ));
    }
    document
}

/// "; of Greens triplex, 2" when it is all about one unit.
fn of_unit(jobs: &[pb::DueJob]) -> String {
    match jobs {
        [first, rest @ ..] if rest.iter().all(|job| job.unit == first.unit) => {
            format!("; of {}", first.unit_title)
        }
        _ => String::new(),
    }
}

/// A table of jobs, as several commands show it; the unit only where there are several.
pub fn table(jobs: &[&pb::DueJob], globals: &Globals) -> Table {
    let several = jobs.iter().any(|job| job.unit != jobs[0].unit);
    let columns = vec![
        data("unit"),
        words("unit_title", if several { "Unit" } else { "" }),
        data("work"),
        words("job", "Job"),
        shown("Due"),
        shown("In hours"),
        data("left_h"),
        data("left_low_h"),
        data("left_high_h"),
        data("due_time"),
        shown("Every"),
        data("interval_h"),
        data("ground"),
        words("why", "Why"),
    ];
    let rows = jobs.iter().map(|job| {
        let every = job.interval_h.map_or(String::new(), |hours| decimal(hours, 0) + " h");
        vec![
            job.unit.clone(),
            job.unit_title.clone(),
            job.work.clone(),
            job.title.clone(),
            when(job),
            hours(job),
            raw(job.left_h),
            raw(job.left_low_h),
            raw(job.left_high_h),
            moment(job.due_time.as_ref()),
            every,
            raw(job.interval_h),
            ground(job.ground()).to_owned(),
            in_units_of(&job.why, globals.units),
        ]
    });
    Table::new(columns, rows)
}

/// Less than half an hour away is now, as its whole hours say.
pub fn is_now(job: &pb::DueJob) -> bool {
    job.left_h.is_some_and(|hours| hours < 0.5)
}

fn when(job: &pb::DueJob) -> String {
    match job.left_h {
        None => "?".to_owned(),
        Some(_) if is_now(job) => "NOW".to_owned(),
        Some(_) => date(job.due_time.as_ref()),
    }
}

/// "41", or "41 (12 to 80)" with its interval.
fn hours(job: &pb::DueJob) -> String {
    let Some(left_h) = job.left_h else { return "-".to_owned() };
    let whole = |hours: f64| decimal(hours, 0);
    match (job.left_low_h, job.left_high_h) {
        (Some(low), Some(high)) => format!("{} ({} to {})", whole(left_h), whole(low), whole(high)),
        (Some(low), None) => format!("{} (at least {})", whole(left_h), whole(low)),
        _ => whole(left_h),
    }
}

fn ground(ground: pb::DueGround) -> &'static str {
    match ground {
        pb::DueGround::Unspecified => "",
        pb::DueGround::Wear => "wear",
        pb::DueGround::Failures => "failures",
        pb::DueGround::Habit => "habit",
        pb::DueGround::Inspection => "inspection",
        pb::DueGround::Usual => "usual",
        pb::DueGround::NotEnough => "not enough readings",
    }
}

/// How far off the next jobs are.
fn drawn(jobs: &[&pb::DueJob]) -> Option<String> {
    let rows: Vec<Bar> = jobs
        .iter()
        .map(|job| {
            let left_h = job.left_h.unwrap_or_default().max(0.0);
            let text = match is_now(job) {
                true => "NOW".to_owned(),
                false => format!("{} h", decimal(left_h, 0)),
            };
            Bar { label: format!("{}: {}", job.unit_title, job.title), value: left_h, text }
        })
        .collect();
    bars("The next jobs", "hours of the machine until each is due", &rows, None)
}
