//! `sward sheet UNIT`: the setting card to pin above the bench.

use clap::Args;
use sward_core::domain::units::decimal;
use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;

use super::document::{Document, Section, Table, data, date, moment, raw, shown, words};
use super::{Looks, due, given, side_view};
use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::compute::in_units_of;
use crate::picture::Scale;
use crate::records::full_name;

#[derive(Args)]
pub struct SheetArguments {
    /// The unit: greens-triplex/2
    #[arg(value_name = "UNIT")]
    unit: String,
    /// Front roller; with the sizes that follow the unit is drawn from the side, to scale
    #[arg(long, value_name = "MM")]
    front_roller_diameter: Option<String>,
    /// Rear roller
    #[arg(long, value_name = "MM")]
    rear_roller_diameter: Option<String>,
    /// Level distance of the roller centres
    #[arg(long, value_name = "MM")]
    roller_centre_distance: Option<String>,
    /// Level distance from the rear roller's centre forward to the edge
    #[arg(long, value_name = "MM")]
    edge_to_rear_roller: Option<String>,
    /// Lean of the front roller's slot from upright
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    slot_angle: Option<String>,
    /// Pitch of the adjuster's thread
    #[arg(long = "pitch", value_name = "MM")]
    thread_pitch: Option<String>,
    /// Reckon as on this day, as 2026-03-14
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    #[command(flatten)]
    looks: Looks,
}

pub async fn run(globals: &Globals, asked: &SheetArguments) -> Result<(), Failure> {
    let request = request(asked)?;
    let mut client = FleetServiceClient::new(call::line(globals).await?);
    let reply = client.get_setting_card(request).await?.into_inner();
    let made = || Ok(document(&reply, globals));
    asked.looks.write(globals, "GetSettingCardResponse", &reply, made)
}

fn request(asked: &SheetArguments) -> Result<pb::GetSettingCardRequest, Failure> {
    let quantity = |flag: &str, field: &str, text: &Option<String>| {
        given::quantity(flag, field, text.as_deref())
    };
    Ok(pb::GetSettingCardRequest {
        name: full_name(&asked.unit),
        as_of_time: given::day("--as-of", asked.as_of.as_deref())?,
        front_roller_diameter_mm: quantity(
            "--front-roller-diameter",
            "front_roller_diameter_mm",
            &asked.front_roller_diameter,
        )?,
        rear_roller_diameter_mm: quantity(
            "--rear-roller-diameter",
            "rear_roller_diameter_mm",
            &asked.rear_roller_diameter,
        )?,
        roller_centre_distance_mm: quantity(
            "--roller-centre-distance",
            "roller_centre_distance_mm",
            &asked.roller_centre_distance,
        )?,
        edge_to_rear_roller_mm: quantity(
            "--edge-to-rear-roller",
            "edge_to_rear_roller_mm",
            &asked.edge_to_rear_roller,
        )?,
        slot_angle_deg: quantity("--slot-angle", "slot_angle_deg", &asked.slot_angle)?,
        thread_pitch_mm: quantity("--pitch", "thread_pitch_mm", &asked.thread_pitch)?,
    })
}

fn document(reply: &pb::GetSettingCardResponse, globals: &Globals) -> Document {
    let scale = Scale::new(globals.units);
    let mut document = Document {
        title: format!("Setting card: {}", reply.unit_title),
        about: format!(
            "As of {}. The machine's manual stands above every number here.",
            date(reply.as_of_time.as_ref())
        ),
        lead: lead(reply, scale),
        compact: true,
        ..Document::default()
    };
    let table = settings(reply, scale);
    document.sections.push(Section::table("settings", "Settings", table));
    let mut side = Section { heading: "From the side".to_owned(), ..Section::default() };
    match &reply.side_view {
        Some(view) => side.drawing = Some(side_view::draw(view, &reply.unit_title, scale)),
        None => side.words = missing(&reply.missing_sizes),
    }
    document.sections.push(side);
    let jobs: Vec<&pb::DueJob> = reply.due.iter().filter(|job| job.left_h.is_some()).collect();
    document.sections.push(Section::table("due", "Due", due::table(&jobs, globals)));
    document.cautions =
        reply.cautions.iter().map(|one| (one.title.clone(), one.text.clone())).collect();
    for setting in &reply.settings {
        if let Some(reference) = &setting.reference {
            let note = format!("{}: {}", setting.title, reference.citation);
            if !document.notes.contains(&note) {
                document.notes.push(note);
            }
        }
    }
    document.notes.iter_mut().for_each(|note| *note = in_units_of(note, globals.units));
    document
}

fn lead(reply: &pb::GetSettingCardResponse, scale: Scale) -> Vec<String> {
    let mut lines = Vec::new();
    let outside: Vec<&str> = reply
        .settings
        .iter()
        .filter(|row| row.inside == Some(false))
        .map(|row| row.title.as_str())
        .collect();
    if !outside.is_empty() {
        lines.push(format!("OUT at the last reading: {}.", outside.join("; ")));
    }
    match (reply.height_change_per_turn_mm, reply.turns_per_mm) {
        (Some(per_turn), Some(turns)) => lines.push(format!(
            "One turn of the height adjuster: {} of height ({}); {} turns to the millimetre.",
            scale.say(per_turn.abs()),
            reply.turn_source,
            decimal(turns, 2)
        )),
        _ => lines.push(
            "One turn of the height adjuster: not known. Measure it: height, one turn, height \
             again; then store it with the unit."
                .to_owned(),
        ),
    }
    let state = reply.state.clone().unwrap_or_default();
    if let (Some(hours), Some(time)) = (state.since_ground_h, state.ground_time.as_ref()) {
        lines.push(format!("Ground {}, {} h ago.", date(Some(time)), decimal(hours, 0)));
    }
    for fault in &state.open_faults {
        lines.push(format!("Open since {}: {}.", date(fault.time.as_ref()), fault.fault));
    }
    lines
}

/// What to give for the drawing, by the flags of the command.
fn missing(sizes: &[String]) -> String {
    let flags: Vec<String> = sizes
        .iter()
        .map(|size| match size.strip_suffix("_mm") {
            Some(name) => format!("--{}", name.replace('_', "-")),
            None => size.clone(),
        })
        .collect();
    format!("Not drawn: its sizes are not known. Give {}.", flags.join(", "))
}

fn settings(reply: &pb::GetSettingCardResponse, scale: Scale) -> Table {
    let columns = vec![
        data("unit"),
        data("setting"),
        words("title", "Setting"),
        shown("Target"),
        shown("At least / at most"),
        data("target"),
        data("low"),
        data("high"),
        data("quantity_unit"),
        shown("Last"),
        data("last"),
        data("last_time"),
        words("verdict", "In?"),
        words("how", "How"),
    ];
    let rows = reply.settings.iter().map(|row| {
        let carried = row.unit != reply.unit;
        let title =
            if carried { format!("{}: {}", row.unit_title, row.title) } else { row.title.clone() };
        vec![
            row.unit.clone(),
            row.setting.clone(),
            title,
            row.target.map_or("-".to_owned(), |value| value_words(value, row, scale)),
            limits(row, scale),
            raw(row.target),
            raw(row.low),
            raw(row.high),
            row.quantity_unit.clone(),
            last(row, scale),
            raw(row.last),
            moment(row.last_time.as_ref()),
            match row.inside {
                Some(true) => "in".to_owned(),
                Some(false) => "OUT".to_owned(),
                None => "-".to_owned(),
            },
            in_units_of(&row.how, scale.units()),
        ]
    });
    Table::new(columns, rows)
}

fn value_words(value: f64, row: &pb::CardSetting, scale: Scale) -> String {
    match row.quantity_unit.as_str() {
        "mm" if value.abs() < 0.1 && !scale.inches() => format!("{} mm", decimal(value, 3)),
        "mm" => scale.say(value),
        "" => decimal(value, 2),
        unit => format!("{} {unit}", decimal(value, 1)),
    }
}

fn limits(row: &pb::CardSetting, scale: Scale) -> String {
    let say = |value: f64| value_words(value, row, scale);
    match (row.low, row.high) {
        (Some(0.0), Some(high)) => format!("at most {}", say(high)),
        (Some(low), Some(high)) => format!("{} to {}", say(low), say(high)),
        (Some(low), None) => format!("at least {}", say(low)),
        (None, Some(high)) => format!("at most {}", say(high)),
        (None, None) => "by the manual".to_owned(),
    }
}

fn last(row: &pb::CardSetting, scale: Scale) -> String {
    row.last.map_or("never read".to_owned(), |value| {
        format!("{}, {}", value_words(value, row, scale), date(row.last_time.as_ref()))
    })
}
