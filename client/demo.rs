//! `sward demo`: an invented shop with two seasons of work, to try things out on before one's own
//! records are in. It goes through the contract like anybody's records, and a second time changes
//! nothing. Deliberately absent: the shop itself (`domain::demo`).

use clap::Args;
use sward_core::domain::demo;
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::export::json_line_of_new;
use sward_core::domain::records::{
    Facts, Id, Moment, NewRecord, NewSubject, RequestId, SubjectKind, SubjectName,
};
use sward_core::pb;
use sward_core::pb::import_records_request::Payload;

use crate::call::Failure;
use crate::commands::{Globals, Output};
use crate::page::Page;
use crate::records::{Client, client};
use crate::{call, diagnose, json};

/// The dice of the one shop that everybody gets.
const SEED: u64 = 1;

#[derive(Args)]
pub struct DemoArguments {
    /// Where to put it: "home" is what short names such as greens-triplex/2 mean
    #[arg(long, value_name = "SITE", default_value = "home")]
    site: String,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    output: Output,
}

pub async fn run(globals: &Globals, asked: &DemoArguments) -> Result<(), Failure> {
    let site = Id::parse("--site", &asked.site)
        .map_err(|error| Failure::new(65, error.to_string(), ""))?;
    let shop = demo::shop(&site, SEED);
    let mut client = client(globals).await?;
    refuse_to_mix(&mut client, &site, &shop).await?;
    for subject in &shop.subjects {
        add(&mut client, subject).await?;
    }
    // What lies ahead of today has not happened yet.
    let now = Moment::from_microseconds(jiff::Timestamp::now().as_microsecond());
    let records: Vec<&NewRecord> =
        shop.records.iter().filter(|record| record.time.is_none_or(|time| time <= now)).collect();
    let reply = store(&mut client, &site, &records).await?;
    if let Some(row) = reply.results.iter().find(|row| !row.errors.is_empty()) {
        let text = format!("record {} of the shop was refused: {:?}", row.number, row.errors);
        return Err(Failure::new(70, text, ""));
    }
    if asked.output == Output::Json {
        return json::print("ImportRecordsResponse", &reply);
    }
    let place = match &globals.server {
        Some(server) => format!("on {server}"),
        None => format!("in {}", call::data(globals).display()),
    };
    Ok(page(&site, &place, &shop, &reply).print()?)
}

/// An invented history among a shop's own would teach it things that never happened.
async fn refuse_to_mix(client: &mut Client, site: &Id, shop: &demo::Demo) -> Result<(), Failure> {
    let parent = SubjectName::Site { site: site.clone() }.to_string();
    let request = pb::ListRecordsRequest {
        parent: parent.clone(),
        show_history: true,
        order_by: "create_time".to_owned(),
        page_size: 1,
        ..pb::ListRecordsRequest::default()
    };
    let first = match client.list_records(request).await {
        Err(status) if status.code() == tonic::Code::NotFound => return Ok(()),
        reply => reply?.into_inner().records.into_iter().next(),
    };
    let ours = |id: &str| shop.records.iter().any(|record| record.request_id.to_string() == id);
    if let Some(first) = first {
        return if ours(&first.request_id) { Ok(()) } else { Err(taken(&parent, "records")) };
    }
    let request =
        pb::ListMachinesRequest { parent: parent.clone(), ..pb::ListMachinesRequest::default() };
    let machines = client.list_machines(request).await?.into_inner().machines;
    let invented = |name: &str| shop.subjects.iter().any(|new| new.name.to_string() == name);
    if machines.iter().all(|machine| invented(&machine.name)) {
        return Ok(());
    }
    Err(taken(&parent, "machines"))
}

fn taken(site: &str, what: &str) -> Failure {
    let text = format!("{site} has {what} of its own, and the invented shop would be mixed in");
    let hint = "sward demo --data DIR gives it a directory of its own; --site demo puts it beside";
    Failure::new(65, text, hint)
}

/// Adds a machine, unit or area, once.
async fn add(client: &mut Client, new: &NewSubject) -> Result<(), Failure> {
    let id = new.name.id().to_string();
    let parent = new.name.holder().map(|holder| holder.to_string()).unwrap_or_default();
    let request_id = RequestId::of_content(format!("demonstration {}", new.name).as_bytes());
    let request_id = request_id.to_string();
    let label = new.label.clone();
    let kind = |facts: &Facts| diagnose::equipment(facts.equipment().map(|kind| kind.id()));
    match &new.facts {
        Facts::Machine(facts) => {
            let machine = pb::Machine {
                display_name: label.display_name,
                other_names: label.other_names,
                notes: label.notes,
                equipment: kind(&new.facts)?.into(),
                working_width_mm: facts.working_width_mm,
                ..pb::Machine::default()
            };
            let machine = Some(machine);
            let request = pb::CreateMachineRequest { parent, machine_id: id, machine, request_id };
            client.create_machine(request).await?;
        }
        Facts::Unit(facts) => {
            let unit = pb::CuttingUnit {
                display_name: label.display_name,
                other_names: label.other_names,
                notes: label.notes,
                equipment: kind(&new.facts)?.into(),
                unit_type: facts.unit_type.clone(),
                position: facts.position,
                carried_by: facts.carried_by.as_ref().map(ToString::to_string).unwrap_or_default(),
                blade_count: facts.blade_count,
                width_mm: facts.width_mm,
                new_diameter_mm: facts.new_diameter_mm,
                minimum_diameter_mm: facts.minimum_diameter_mm,
                height_change_per_turn_mm: facts.height_change_per_turn_mm,
                ..pb::CuttingUnit::default()
            };
            let request = pb::CreateCuttingUnitRequest {
                parent,
                cutting_unit_id: id,
                cutting_unit: Some(unit),
                request_id,
            };
            client.create_cutting_unit(request).await?;
        }
        Facts::Area(facts) => {
            let mut area = pb::Area {
                display_name: label.display_name,
                other_names: label.other_names,
                notes: label.notes,
                area_ha: facts.area_ha,
                target_effective_height_mm: facts.target_effective_height_mm,
                ..pb::Area::default()
            };
            if let Some(surface) = facts.surface {
                let name = format!("AREA_SURFACE_{}", surface.id().to_uppercase());
                area.set_surface(pb::AreaSurface::from_str_name(&name).unwrap_or_default());
            }
            let area = Some(area);
            let request = pb::CreateAreaRequest { parent, area_id: id, area, request_id };
            client.create_area(request).await?;
        }
        Facts::Site => {}
    }
    Ok(())
}

async fn store(
    client: &mut Client,
    site: &Id,
    records: &[&NewRecord],
) -> Result<pb::ImportRecordsResponse, Failure> {
    let parent = SubjectName::Site { site: site.clone() }.to_string();
    let options = pb::ImportOptions { parent, ..pb::ImportOptions::default() };
    let row = |(number, record): (u64, &&NewRecord)| {
        let content = Some(pb::import_row::Content::Json(json_line_of_new(record)));
        Payload::Row(pb::ImportRow { number, content })
    };
    let messages: Vec<pb::ImportRecordsRequest> = [Payload::Options(options)]
        .into_iter()
        .chain((1..).zip(records).map(row))
        .map(|payload| pb::ImportRecordsRequest { payload: Some(payload) })
        .collect();
    Ok(client.import_records(tokio_stream::iter(messages)).await?.into_inner())
}

fn page(site: &Id, place: &str, shop: &demo::Demo, reply: &pb::ImportRecordsResponse) -> Page {
    let count = |kind: SubjectKind| {
        shop.subjects.iter().filter(|subject| subject.name.kind() == kind).count()
    };
    let records = reply.stored_count + reply.already_there_count;
    let already = if reply.stored_count == 0 { "was there already" } else { "is ready" };
    let mut page = Page::new();
    page.answer(&format!("An invented shop {already} {place}, as sites/{site}."));
    page.item(
        "",
        &format!(
            "{} machines, {} units, {} areas and {records} records of the seasons 2025 and 2026. \
             All of it is made up and evidence of nothing. Begin your own records in another \
             directory (--data DIR).",
            count(SubjectKind::Machine),
            count(SubjectKind::Unit),
            count(SubjectKind::Area),
        ),
    );
    page.heading("Try");
    // Short names are those of the home site.
    let (unit, within) = if *site == Id::home() {
        ("greens-triplex/2".to_owned(), String::new())
    } else {
        let unit = format!("sites/{site}/machines/greens-triplex/units/2");
        (unit, format!(" --unit sites/{site}"))
    };
    let find = "sward find \"streaks\" --since 2026-03-01 --until 2026-06-01";
    page.item("  ", &format!("{find}{within}"));
    page.item("  ", &format!("sward log {unit}"));
    page.item("  ", &format!("sward diagnose \"thin streak, same place every pass\" --unit {unit}"));
    page
}
