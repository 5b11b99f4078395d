//! `sward plan heights AREA`: the heights of a season, step by step and unit by unit.

use clap::{Args, Subcommand};
use sward_core::domain::units::decimal;
use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;

use super::document::{Document, Section, Table, data, date, length, numbers, raw, shown, words};
use super::{Looks, given};
use crate::call::{self, Failure};
use crate::commands::Globals;
use crate::compute::in_units_of;
use crate::picture::{Scale, height_plan};
use crate::records::full_name;

#[derive(Args)]
pub struct PlanArguments {
    #[command(subcommand)]
    what: Planned,
}

#[derive(Subcommand)]
enum Planned {
    /// Plan the heights of an area: sward plan heights 6-green --machine greens-triplex
    Heights(Box<HeightsArguments>),
}

#[derive(Args)]
struct HeightsArguments {
    /// The area: 6-green
    #[arg(value_name = "AREA")]
    area: String,
    /// The machine that mows it; the one that its readings name when left out
    #[arg(long, value_name = "MACHINE")]
    machine: Option<String>,
    /// Height on turf wanted; what the area says when left out
    #[arg(long, value_name = "MM")]
    target: Option<String>,
    /// Height on turf now; its latest reading when left out
    #[arg(long, value_name = "MM")]
    current: Option<String>,
    /// Days from the start by which it is wanted
    #[arg(long, value_name = "DAYS")]
    within: Option<String>,
    /// Days between mowings
    #[arg(long, value_name = "DAYS")]
    mowing_interval: Option<String>,
    /// Growth of the turf
    #[arg(long, value_name = "MM/DAY")]
    growth: Option<String>,
    /// Most of the standing height that one mowing may take; one third when left out
    #[arg(long, value_name = "SHARE")]
    max_removed: Option<String>,
    /// Most that one step may lower the setting
    #[arg(long, value_name = "MM")]
    step_limit: Option<String>,
    /// First day, as 2026-03-14; today when left out
    #[arg(long, value_name = "DATE", default_value = "")]
    start: String,
    /// Reel speed of all units; what was measured on each when left out
    #[arg(long, value_name = "RPM")]
    reel_speed: Option<String>,
    /// Ground speed; what was measured on each when left out
    #[arg(long, value_name = "SPEED")]
    ground_speed: Option<String>,
    /// Reckon as on this day, as 2026-03-14
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    #[command(flatten)]
    looks: Looks,
}

pub async fn run(globals: &Globals, asked: &PlanArguments) -> Result<(), Failure> {
    let Planned::Heights(asked) = &asked.what;
    let request = request(asked)?;
    let mut client = FleetServiceClient::new(call::line(globals).await?);
    let reply = client.plan_heights(request.clone()).await?.into_inner();
    let made = || document(&request, &reply, globals);
    asked.looks.write(globals, "PlanHeightsResponse", &reply, made)
}

fn request(asked: &HeightsArguments) -> Result<pb::PlanHeightsRequest, Failure> {
    let name = match asked.area.as_str() {
        area if area.contains('/') => full_name(area),
        area => format!("sites/home/areas/{area}"),
    };
    let quantity = |flag: &str, field: &str, text: &Option<String>| {
        given::quantity(flag, field, text.as_deref())
    };
    let field = "target_effective_height_mm";
    Ok(pb::PlanHeightsRequest {
        name,
        machine: given::parent(asked.machine.as_deref()),
        target_height_mm: quantity("--target", field, &asked.target)?,
        current_height_mm: quantity("--current", field, &asked.current)?,
        time_available_days: quantity("--within", "time_available_days", &asked.within)?,
        mowing_interval_days: quantity(
            "--mowing-interval",
            "mowing_interval_days",
            &asked.mowing_interval,
        )?,
        growth_mm_per_day: quantity("--growth", "growth_mm_per_day", &asked.growth)?,
        max_removed_fraction: quantity(
            "--max-removed",
            "max_removed_fraction",
            &asked.max_removed,
        )?,
        step_limit_mm: quantity("--step-limit", "step_limit_mm", &asked.step_limit)?,
        start_date: asked.start.clone(),
        reel_speed_rpm: quantity("--reel-speed", "reel_speed_rpm", &asked.reel_speed)?,
        ground_speed_mps: quantity("--ground-speed", "ground_speed_mps", &asked.ground_speed)?,
        as_of_time: given::day("--as-of", asked.as_of.as_deref())?,
    })
}

fn document(
    request: &pb::PlanHeightsRequest,
    reply: &pb::PlanHeightsResponse,
    globals: &Globals,
) -> Result<Document, Failure> {
    let scale = Scale::new(globals.units);
    let read = reply
        .read_time
        .as_ref()
        .map_or(String::new(), |time| format!(" (read {})", date(Some(time))));
    let mut document = Document {
        title: format!("Heights of {}", reply.area_title),
        about: format!(
            "On turf {} now{read}, {} wanted; {} reading(s) of this area with their bench height.",
            length(reply.current_height_mm, scale),
            length(reply.target_height_mm, scale),
            reply.reading_count
        ),
        ..Document::default()
    };
    if !reply.answer.is_empty() {
        document.lead.push(in_units_of(&reply.answer, globals.units));
    }
    for missing in &reply.missing {
        document.lead.push(format!("To give: {} - {}", flag_of(&missing.field), missing.why));
    }
    if let Some(mow_before) = reply.mow_before_height_mm {
        let height = scale.say(mow_before);
        document.lead.push(format!("At the target, mow before the turf stands at {height}."));
    }
    let mut steps = Section::table("steps", "Steps on turf", steps_table(reply, scale));
    steps.drawing = drawn(request, reply, scale)?;
    document.sections.push(steps);
    if reply.steps.iter().any(|step| !step.units.is_empty()) {
        let heading = format!("What to set on {}", reply.machine_title);
        let mut units = Section::table("units", &heading, units_table(reply, scale));
        units.words = measure_first(reply);
        document.sections.push(units);
    }
    document.cautions =
        reply.cautions.iter().map(|one| (one.title.clone(), one.text.clone())).collect();
    document.notes =
        reply.advisories.iter().map(|one| in_units_of(&one.text, globals.units)).collect();
    Ok(document)
}

fn flag_of(field: &str) -> &str {
    match field {
        "current_height_mm" => "--current",
        "target_height_mm" => "--target",
        "machine" => "--machine",
        "mowing_interval_days" => "--mowing-interval",
        other => other,
    }
}

fn measure_first(reply: &pb::PlanHeightsResponse) -> String {
    let mut units = reply.steps.iter().flat_map(|step| &step.units);
    if units.any(|unit| unit.measure_first) {
        return "Nothing was read on this area: these bench heights rest on the shop's other areas. \
                Measure the height on turf first."
            .to_owned();
    }
    "Bench heights give the height on turf by this area's own readings; in brackets the 95 % \
     interval."
        .to_owned()
}

fn steps_table(reply: &pb::PlanHeightsResponse, scale: Scale) -> Table {
    let columns = vec![
        numbers("day", "Day"),
        words("date", "Date"),
        shown("Turf stands at"),
        data("standing_height_mm"),
        shown("Mow at"),
        data("height_mm"),
        shown("Taken"),
        data("removed_fraction"),
    ];
    let rows = reply.steps.iter().map(|step| {
        vec![
            decimal(step.day, 1),
            step.date.clone(),
            scale.say(step.standing_height_mm),
            step.standing_height_mm.to_string(),
            scale.say(step.height_mm),
            step.height_mm.to_string(),
            format!("{} %", decimal(100.0 * step.removed_fraction, 0)),
            step.removed_fraction.to_string(),
        ]
    });
    Table::new(columns, rows)
}

fn units_table(reply: &pb::PlanHeightsResponse, scale: Scale) -> Table {
    let columns = vec![
        words("date", "Date"),
        data("height_mm"),
        data("unit"),
        words("unit_title", "Unit"),
        shown("Bench height"),
        data("bench_height_mm"),
        data("bench_height_low_mm"),
        data("bench_height_high_mm"),
        shown("Drive at"),
        data("ground_speed_mps"),
        shown("Clip now"),
        data("clip_spacing_mm"),
        words("lacking", "Lacking"),
    ];
    let mut rows = Vec::new();
    for step in &reply.steps {
        for unit in &step.units {
            rows.push(vec![
                step.date.clone(),
                step.height_mm.to_string(),
                unit.unit.clone(),
                unit.unit_title.clone(),
                bench(unit, scale),
                raw(unit.bench_height_mm),
                raw(unit.bench_height_low_mm),
                raw(unit.bench_height_high_mm),
                unit.ground_speed_mps.map_or("-".to_owned(), |speed| {
                    format!("{} m/s ({} km/h)", decimal(speed, 2), decimal(3.6 * speed, 1))
                }),
                raw(unit.ground_speed_mps),
                length(unit.clip_spacing_mm, scale),
                raw(unit.clip_spacing_mm),
                unit.lacking.clone(),
            ]);
        }
    }
    Table::new(columns, rows)
}

/// "3.52 mm (3.38 to 3.67)".
fn bench(unit: &pb::UnitHeight, scale: Scale) -> String {
    let Some(mm) = unit.bench_height_mm else { return "-".to_owned() };
    let decimals = if scale.inches() { 4 } else { 2 };
    match (unit.bench_height_low_mm, unit.bench_height_high_mm) {
        (Some(low), Some(high)) => format!(
            "{} ({} to {})",
            scale.say(mm),
            decimal(scale.of(low), decimals),
            decimal(scale.of(high), decimals)
        ),
        _ => scale.say(mm),
    }
}

fn drawn(
    request: &pb::PlanHeightsRequest,
    reply: &pb::PlanHeightsResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let asked = pb::HeightPlanRequest {
        current_height_mm: reply.current_height_mm,
        target_height_mm: reply.target_height_mm,
        max_removed_fraction: request.max_removed_fraction,
        start_date: reply.steps.first().map(|step| step.date.clone()).unwrap_or_default(),
        ..pb::HeightPlanRequest::default()
    };
    let steps = reply.steps.iter().map(|step| pb::HeightStep {
        day: step.day,
        date: step.date.clone(),
        standing_height_mm: step.standing_height_mm,
        height_mm: step.height_mm,
        removed_fraction: step.removed_fraction,
    });
    let planned = pb::HeightPlanResponse {
        steps: steps.collect(),
        reaches_target_in_time: reply.reaches_target_in_time,
        ..pb::HeightPlanResponse::default()
    };
    height_plan::draw(&asked, &planned, scale)
}
