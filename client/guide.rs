//! `sward guide`: procedures, notes, findings, causes, cautions and references.

use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;

use crate::call::{self, Failure, Line};
use crate::commands::{Globals, GuideArguments, Output, Topic};
use crate::page::Page;
use crate::{diagnose, json};

pub async fn run(globals: &Globals, asked: GuideArguments) -> Result<(), Failure> {
    let equipment = diagnose::equipment(asked.equipment.as_deref())?.into();
    let mut client = GuideServiceClient::new(call::line(globals).await?);
    match asked.topic {
        Topic::Procedures => {
            let request = pb::ListProceduresRequest { equipment };
            let reply = client.list_procedures(request).await?.into_inner();
            show(asked.output, "ListProceduresResponse", &reply, |page| {
                for row in &reply.procedures {
                    page.item("", &format!("{} ({:.0} min)  {}", row.id, row.minutes, row.title));
                }
            })
        }
        Topic::Procedure { id } => procedure(&mut client, id, asked.output).await,
        Topic::Note { id } => {
            // As search shows it, or by its id alone.
            let note = id.strip_prefix("notes/").unwrap_or(&id).to_owned();
            let reply = client.get_note(pb::GetNoteRequest { note }).await?.into_inner();
            show(asked.output, "GetNoteResponse", &reply, |page| {
                note_page(&reply.note.clone().unwrap_or_default(), page);
            })
        }
        Topic::Findings => {
            let request = pb::ListFindingsRequest { equipment };
            let reply = client.list_findings(request).await?.into_inner();
            show(asked.output, "ListFindingsResponse", &reply, |page| {
                for row in &reply.findings {
                    page.item("", &format!("{}  {}", row.id, row.title));
                    page.item("    ", &row.question);
                }
            })
        }
        Topic::Causes => {
            let request = pb::ListCausesRequest { equipment };
            let reply = client.list_causes(request).await?.into_inner();
            show(asked.output, "ListCausesResponse", &reply, |page| {
                for row in &reply.causes {
                    page.item("", &format!("{}  {}", row.id, row.title));
                    page.item("    ", &format!("{} ({:.0} min)", row.remedy, row.minutes));
                }
            })
        }
        Topic::Cautions => {
            let request = pb::ListCautionsRequest {};
            let reply = client.list_cautions(request).await?.into_inner();
            show(asked.output, "ListCautionsResponse", &reply, |page| {
                for row in &reply.cautions {
                    page.item("", &format!("{}  {}: {}", row.id, row.title, row.text));
                    page.item("    ", &format!("source: {}", row.source));
                }
            })
        }
        Topic::Reference { id } => {
            let request = pb::GetReferenceRequest { reference: id };
            let reply = client.get_reference(request).await?.into_inner();
            show(asked.output, "GetReferenceResponse", &reply, |page| {
                let row = reply.reference.clone().unwrap_or_default();
                page.item("", &format!("{}  {} ({})", row.id, row.citation, basis(row.basis())));
            })
        }
    }
}

fn show(
    output: Output,
    name: &str,
    reply: &impl prost::Message,
    write: impl FnOnce(&mut Page),
) -> Result<(), Failure> {
    if output == Output::Json {
        return json::print(name, reply);
    }
    let mut page = Page::new();
    write(&mut page);
    Ok(page.print()?)
}

async fn procedure(
    client: &mut GuideServiceClient<Line>,
    id: String,
    output: Output,
) -> Result<(), Failure> {
    let id = id.strip_prefix("procedures/").unwrap_or(&id).to_owned();
    let request = pb::GetProcedureRequest { procedure: id };
    let reply = client.get_procedure(request).await?.into_inner();
    show(output, "GetProcedureResponse", &reply, |page| {
        procedure_page(&reply.procedure.clone().unwrap_or_default(), page);
    })
}

fn note_page(row: &pb::Note, page: &mut Page) {
    page.answer(&row.title);
    page.item("", &row.text);
    page.blank();
    if !row.causes.is_empty() {
        page.item("Causes: ", &row.causes.join(", "));
    }
    page.item("Basis: ", basis(row.basis()));
    for reference in &row.references {
        page.item("  ", &format!("{}: {}", reference.id, reference.citation));
    }
}

fn procedure_page(row: &pb::Procedure, page: &mut Page) {
    page.answer(&format!("{} ({:.0} min)", row.title, row.minutes));
    page.item("", &row.summary);
    if !row.tools.is_empty() {
        page.item("Tools: ", &row.tools.join("; "));
    }
    for step in &row.steps {
        page.heading(&format!("{}. {}", step.number, step.title));
        for caution in &step.cautions {
            let sign = if caution.stops_work { "   STOP " } else { "   ! " };
            page.item(sign, &format!("{}: {}", caution.title, caution.text));
        }
        page.item("   ", &step.text);
        for reading in &step.readings {
            page.item("   read: ", &wanted(reading));
        }
        if !step.calculation.is_empty() {
            let name = step.calculation.replace('_', "-");
            page.item("   compute: ", &format!("sward compute {name}"));
        }
        page.item("   why: ", &step.why);
    }
    page.blank();
    page.item("Basis: ", basis(row.basis()));
    for reference in &row.references {
        page.item("  ", &format!("{}: {}", reference.id, reference.citation));
    }
}

fn wanted(reading: &pb::ReadingWanted) -> String {
    let good = match (reading.accept_min, reading.accept_max) {
        (Some(min), Some(max)) => format!("{min} to {max} {}", reading.unit),
        _ => "yes".to_owned(),
    };
    let back = match reading.otherwise_step {
        0 => String::new(),
        step => format!("; otherwise back to step {step}"),
    };
    format!("{} (good: {good}{back})", reading.label)
}

fn basis(basis: pb::Basis) -> &'static str {
    match basis {
        pb::Basis::Published => "published",
        pb::Basis::CommonPractice => "common practice, no source",
        pb::Basis::FromMemory => "from memory",
        pb::Basis::Geometry => "geometry (own)",
        pb::Basis::Unspecified => "not said",
    }
}
