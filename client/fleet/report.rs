//! `sward report fleet|unit|season`: how things stand and what happened.
//! Deliberately absent here: the tables, which `report_tables` lays out.

use clap::{Args, Subcommand};
use sward_core::domain::units::decimal;
use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;

use super::document::{Document, Section, Table, date};
use super::drawings::{self, Bar, bars};
use super::report_tables as tables;
use super::{Looks, due, given, merged};
use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::picture::Scale;
use crate::records::full_name;

/// Jobs that a report shows; `sward due` shows all.
const DUE_SHOWN: usize = 15;

#[derive(Args)]
pub struct ReportArguments {
    #[command(subcommand)]
    what: Reported,
    /// Only faults, work and parts of this day or later, as 2026-03-14
    #[arg(long, global = true, value_name = "DATE")]
    since: Option<String>,
    /// Only those before this day
    #[arg(long, global = true, value_name = "DATE")]
    until: Option<String>,
    /// Compare faults before this day with faults after it
    #[arg(long, global = true, value_name = "DATE")]
    change: Option<String>,
    /// Reckon as on this day
    #[arg(long, global = true, value_name = "DATE")]
    as_of: Option<String>,
    /// What an hour of work costs, in any money
    #[arg(long, global = true, value_name = "MONEY", allow_negative_numbers = true)]
    labour_cost: Option<f64>,
    /// List price of a machine when new, as greens-triplex=42000; can be repeated
    #[arg(long = "price", global = true, value_name = "MACHINE=PRICE")]
    prices: Vec<String>,
    /// Price of a part as the records call it, as bedknife=60; can be repeated
    #[arg(long = "part-price", global = true, value_name = "PART=PRICE")]
    part_prices: Vec<String>,
    #[command(flatten)]
    looks: Looks,
}

#[derive(Subcommand)]
enum Reported {
    /// Everything: units, what comes back, remedies, costs, months, what is due
    Fleet {
        /// Only this machine
        #[arg(value_name = "MACHINE")]
        machine: Option<String>,
    },
    /// One unit: its heights and diameters too
    Unit {
        /// The unit: greens-triplex/2
        #[arg(value_name = "UNIT")]
        unit: String,
    },
    /// One year month by month, and what a change did
    Season {
        /// The year; from --since to --until when left out
        #[arg(value_name = "YEAR")]
        year: Option<i16>,
    },
}

pub async fn run(globals: &Globals, asked: &ReportArguments) -> Result<(), Failure> {
    let request = request(asked)?;
    let mut client = FleetServiceClient::new(call::line(globals).await?);
    let pieces = client.get_report(request).await?.into_inner();
    let reply = merged(pieces, |piece| piece.records_read).await?;
    let made = || document(&reply, globals);
    asked.looks.write(globals, "GetReportResponse", &reply, made)
}

fn request(asked: &ReportArguments) -> Result<pb::GetReportRequest, Failure> {
    let (kind, parent, year) = match &asked.what {
        Reported::Fleet { machine } => {
            (pb::ReportKind::Fleet, given::parent(machine.as_deref()), None)
        }
        Reported::Unit { unit } => (pb::ReportKind::Unit, full_name(unit), None),
        Reported::Season { year } => (pb::ReportKind::Season, String::new(), *year),
    };
    let first_of = |year: i16| format!("{year:04}-01-01");
    let since = asked.since.clone().or(year.map(first_of));
    let until = asked.until.clone().or(year.map(|year| first_of(year.saturating_add(1))));
    let machine_price = |text: &String| {
        let (machine, price) = given::priced("--price", text)?;
        Ok(pb::MachinePrice { machine: full_name(machine), price: Some(price) })
    };
    let part_price = |text: &String| {
        let (part, price) = given::priced("--part-price", text)?;
        Ok(pb::PartPrice { part: part.to_owned(), price: Some(price) })
    };
    Ok(pb::GetReportRequest {
        kind: kind.into(),
        parent,
        start_time: given::day("--since", since.as_deref())?,
        end_time: given::day("--until", until.as_deref())?,
        change_time: given::day("--change", asked.change.as_deref())?,
        as_of_time: given::day("--as-of", asked.as_of.as_deref())?,
        labour_cost_per_h: asked.labour_cost,
        machine_prices: asked.prices.iter().map(machine_price).collect::<Result<_, Failure>>()?,
        part_prices: asked.part_prices.iter().map(part_price).collect::<Result<_, Failure>>()?,
    })
}

fn document(reply: &pb::GetReportResponse, globals: &Globals) -> Result<Document, Failure> {
    let scale = Scale::new(globals.units);
    let head = reply.head.clone().unwrap_or_default();
    let kind = match head.kind() {
        pb::ReportKind::Season => "Season report",
        pb::ReportKind::Unit => "Unit report",
        pb::ReportKind::Fleet | pb::ReportKind::Unspecified => "Fleet report",
    };
    let mut document = Document {
        title: format!("{kind}: {}", head.title),
        about: format!(
            "{} to {}; as of {}, from {} records.",
            date(head.start_time.as_ref()),
            date(head.end_time.as_ref()),
            date(head.as_of_time.as_ref()),
            reply.records_read
        ),
        lead: lead(&head, reply),
        notes: reply.notes.clone(),
        ..Document::default()
    };
    let sections = &mut document.sections;
    sections.push(units(reply, scale));
    unit_drawings(reply, scale, sections)?;
    sections.push(due_section(reply, globals));
    sections.push(returning(reply));
    let causes = "Faults by cause, most time lost first";
    sections.push(Section::table("causes", causes, tables::causes(&reply.causes)));
    let remedies = "What was tried, and whether it held";
    sections.push(Section::table("remedies", remedies, tables::remedies(&reply.remedies)));
    sections.push(costs(reply));
    let mut months = Section::table("months", "Month by month", tables::months(&reply.months));
    months.drawing = drawings::months(&reply.months)?;
    sections.push(months);
    if let Some(all) = reply.changes.first() {
        let mut changes = Section::table(
            "changes",
            "Before the change and after it",
            tables::changes(&reply.changes),
        );
        changes.words = format!("All faults: {}.", all.verdict);
        sections.push(changes);
    }
    sections.retain(|one| !one.table.rows.is_empty() || one.drawing.is_some());
    Ok(document)
}

fn lead(head: &pb::ReportHead, reply: &pb::GetReportResponse) -> Vec<String> {
    if reply.records_read == 0 {
        return vec![
            "Nothing is recorded yet: sward add, sward record and sward import start it."
                .to_owned(),
        ];
    }
    let hours = decimal(head.machine_hours_h, 0);
    let mut lines = vec![format!(
        "{} machine(s), {} unit(s), {hours} machine hours, {} fault(s).",
        head.machine_count, head.unit_count, head.fault_count
    )];
    let now = reply.due.iter().filter(|job| due::is_now(job)).count();
    if now > 0 {
        lines.push(format!("{now} job(s) due now."));
    }
    for row in reply.returning.iter().filter(|row| row.comes_back).take(3) {
        let title = if row.title.is_empty() { &row.cause } else { &row.title };
        lines.push(format!(
            "Keeps coming back: {title}, on {}, {} times.",
            row.unit_title, row.count
        ));
    }
    lines
}

fn units(reply: &pb::GetReportResponse, scale: Scale) -> Section {
    let mut section =
        Section::table("units", "How each unit stands", tables::units(&reply.units, scale));
    let mut worn: Vec<&pb::UnitState> =
        reply.units.iter().filter(|unit| unit.wear_used_fraction.is_some()).collect();
    worn.sort_by(|a, b| b.wear_used_fraction.partial_cmp(&a.wear_used_fraction).expect("finite"));
    let rows: Vec<Bar> = worn
        .iter()
        .map(|unit| {
            let used = 100.0 * unit.wear_used_fraction.unwrap_or_default();
            Bar {
                label: unit.unit_title.clone(),
                value: used,
                text: format!("{} %", decimal(used, 0)),
            }
        })
        .collect();
    let caption = "share of what may be worn off between new and least diameter";
    section.drawing = bars("Diameter used up", caption, &rows, Some((100.0, "least diameter")));
    section
}

/// Heights and diameters of one unit; nothing in other reports.
fn unit_drawings(
    reply: &pb::GetReportResponse,
    scale: Scale,
    sections: &mut Vec<Section>,
) -> Result<(), Failure> {
    if let Some(history) = &reply.heights {
        let mut heights =
            Section::table("heights", "Bench heights", tables::heights(history, scale));
        heights.drawing = drawings::heights(history, scale)?;
        sections.push(heights);
    }
    if !reply.diameters.is_empty() {
        let table = tables::diameters(&reply.diameters, scale);
        let mut diameters = Section::table("diameters", "Diameters", table);
        diameters.drawing = drawings::diameters(&reply.diameters, scale)?;
        sections.push(diameters);
    }
    Ok(())
}

fn due_section(reply: &pb::GetReportResponse, globals: &Globals) -> Section {
    let jobs: Vec<&pb::DueJob> = reply.due.iter().collect();
    let table = Table { shown_max: Some(DUE_SHOWN), ..due::table(&jobs, globals) };
    Section::table("due", "Due, soonest first", table)
}

fn returning(reply: &pb::GetReportResponse) -> Section {
    let table = tables::returning(&reply.returning);
    let mut section = Section::table("returning", "What keeps coming back", table);
    "Rates for each 100 h of the unit. Small numbers are drawn toward units that are alike."
        .clone_into(&mut section.words);
    let again: Vec<pb::ReturningFault> =
        reply.returning.iter().filter(|row| row.count > 1).cloned().collect();
    section.drawing = drawings::returning(&again);
    section
}

fn costs(reply: &pb::GetReportResponse) -> Section {
    let table = tables::costs(&reply.costs);
    let mut section = Section::table("costs", "Time, parts and cost", table);
    let money = reply.costs.iter().any(|row| row.labour_cost.is_some());
    let mut words = Vec::new();
    if money {
        words.push("Own cost is labour at the price given and parts with a price.");
    } else {
        words.push("Give --labour-cost, --price and --part-price to see money.");
    }
    if reply.costs.iter().any(|row| row.published_cost.is_some()) {
        words.push(
            "The published curve is that of agricultural rotary mowers; none is published for golf \
             reel mowers, so take it as a guide.",
        );
    }
    section.words = words.join(" ");
    let rows: Vec<Bar> = reply
        .costs
        .iter()
        .filter(|row| row.minutes > 0.0)
        .map(|row| Bar {
            label: row.machine_title.clone(),
            value: row.minutes / 60.0,
            text: format!("{} h", decimal(row.minutes / 60.0, 1)),
        })
        .collect();
    section.drawing = bars("Working time by machine", "hours of work recorded", &rows, None);
    section
}
