//! `sward diagnose`: words and observations -> `Diagnose` -> the answer, why, what next, cautions.

use std::io::Read as _;

use sward_core::pb;
use sward_core::pb::diagnosis_service_client::DiagnosisServiceClient;

use crate::call::{self, Failure, Line};
use crate::commands::{DiagnoseArguments, Globals, Output};
use crate::page::Page;
use crate::records::short_name;
use crate::{ask, json};

/// Bytes read from standard input: enough for 4,000 characters of any script.
const INPUT_BYTES_MAX: u64 = 64 << 10;

pub async fn run(globals: &Globals, asked: DiagnoseArguments) -> Result<(), Failure> {
    let request = request(&asked)?;
    let line = if request.unit.is_empty() {
        call::line(globals).await?
    } else {
        call::line_to_records(globals).await?
    };
    if asked.ask {
        return ask::run(line, request).await;
    }
    let reply = send(line, request.clone()).await?;
    match asked.output {
        Output::Json => json::print("DiagnoseResponse", &reply),
        Output::Text => Ok(page(&request.complaint, &reply).print()?),
    }
}

pub async fn send(
    line: Line,
    request: pb::DiagnoseRequest,
) -> Result<pb::DiagnoseResponse, Failure> {
    Ok(DiagnosisServiceClient::new(line).diagnose(request).await?.into_inner())
}

fn request(asked: &DiagnoseArguments) -> Result<pb::DiagnoseRequest, Failure> {
    let observation = |present: bool| {
        move |finding: &String| pb::Observation { finding: finding.clone(), present }
    };
    let found = asked.found.iter().map(observation(true));
    Ok(pb::DiagnoseRequest {
        complaint: complaint(asked)?,
        equipment: equipment(asked.equipment.as_deref())?.into(),
        observations: found.chain(asked.not_found.iter().map(observation(false))).collect(),
        unit: asked.unit.as_deref().map(crate::records::full_name).unwrap_or_default(),
        max_causes: asked.causes,
    })
}

fn complaint(asked: &DiagnoseArguments) -> Result<String, Failure> {
    if let [only] = asked.complaint.as_slice()
        && only == "-"
    {
        let mut bytes = Vec::new();
        std::io::stdin().lock().take(INPUT_BYTES_MAX + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > INPUT_BYTES_MAX {
            let text = format!("complaint is more than {INPUT_BYTES_MAX} bytes long");
            return Err(Failure::new(65, text, "say it in at most 4,000 characters"));
        }
        return utf8(bytes);
    }
    let words: Result<Vec<String>, Failure> = asked
        .complaint
        .iter()
        .map(|word| utf8(word.as_encoded_bytes().to_vec()))
        .collect();
    Ok(words?.join(" "))
}

fn utf8(bytes: Vec<u8>) -> Result<String, Failure> {
    String::from_utf8(bytes).map_err(|error| {
        let shown = String::from_utf8_lossy(error.as_bytes()).chars().take(60).collect::<String>();
        let text = format!("complaint is \"{shown}\", which is not UTF-8 text");
        Failure::new(65, text, "type it again, or save the file as UTF-8")
    })
}

/// The kind named on the command line.
pub fn equipment(name: Option<&str>) -> Result<pb::Equipment, Failure> {
    let Some(name) = name else { return Ok(pb::Equipment::Unspecified) };
    let full = format!("EQUIPMENT_{}", name.replace('-', "_").to_uppercase());
    pb::Equipment::from_str_name(&full).ok_or_else(|| {
        let text = format!("equipment is \"{name}\"");
        let hint = "use reel_unit, groomer, rear_roller_brush, verticut_reel or rotary_deck";
        Failure::new(65, text, hint)
    })
}

/// Steps that a page shows; the message has them all.
const STEPS_SHOWN: usize = 4;

/// The answer first, then why, then the next step, then the cautions.
pub fn page(complaint: &str, reply: &pb::DiagnoseResponse) -> Page {
    let mut page = Page::new();
    page.answer(&reply.message);
    if reply.outcome() == pb::Outcome::Diagnosed {
        causes(reply, &mut page);
        history(reply, &mut page);
    }
    heard(complaint, reply, &mut page);
    if reply.outcome() != pb::Outcome::OutOfScope {
        steps(reply, &mut page);
    }
    cautions(&cautions_of_steps(reply), &mut page);
    page
}

/// The cautions of the steps that are shown; all of them where there are no further steps.
fn cautions_of_steps(reply: &pb::DiagnoseResponse) -> Vec<pb::Caution> {
    if reply.next_steps.len() <= STEPS_SHOWN {
        return reply.cautions.clone();
    }
    let shown = &reply.next_steps[..STEPS_SHOWN];
    let needs = |caution: &&pb::Caution| {
        shown.iter().flat_map(|step| &step.cautions).any(|own| own.id == caution.id)
    };
    reply.cautions.iter().filter(needs).cloned().collect()
}

fn causes(reply: &pb::DiagnoseResponse, page: &mut Page) {
    page.heading("Causes");
    let title_of = |finding: &str| {
        let heard = reply.heard.iter().find(|heard| heard.finding == finding);
        match heard {
            Some(heard) if heard.present => heard.title.to_lowercase(),
            Some(heard) => format!("not {}", heard.title.to_lowercase()),
            None => finding.replace('_', " "),
        }
    };
    for cause in &reply.causes {
        let percent = format!("{:>4.0} %  ", cause.probability * 100.0);
        page.item(&percent, &format!("{} [{}]", cause.title, cause.cause));
        let side = |wanted: bool| -> Vec<String> {
            let of_side = cause.evidence.iter().filter(|item| (item.log_odds > 0.0) == wanted);
            of_side.take(3).map(|item| title_of(&item.finding)).collect()
        };
        let (pro, con) = (side(true), side(false));
        if !pro.is_empty() {
            page.item("        ", &format!("for: {}", pro.join("; ")));
        }
        if !con.is_empty() {
            page.item("        ", &format!("against: {}", con.join("; ")));
        }
    }
    let other = format!("{:>4.0} %  ", reply.other_cause_probability * 100.0);
    page.item(&other, "none of the known causes");
    if reply.second_fault_probability >= 0.2 {
        let chance = reply.second_fault_probability * 100.0;
        page.item("        ", &format!("two faults at once: {chance:.0} in 100"));
    }
}

/// What it was before, on this unit and in this shop.
fn history(reply: &pb::DiagnoseResponse, page: &mut Page) {
    if reply.history.is_empty() {
        return;
    }
    page.heading("Before");
    for line in &reply.history {
        page.item("  ", line);
    }
    if let Some(cause) = reply.causes.first().filter(|cause| !cause.past_fixes.is_empty()) {
        let names: Vec<String> = cause.past_fixes.iter().map(|name| short_name(name)).collect();
        let first = names.first().map_or("", String::as_str);
        page.item("  ", &format!("Fixed then: {}; sward log {first} shows how.", names.join(", ")));
    }
}

fn heard(complaint: &str, reply: &pb::DiagnoseResponse, page: &mut Page) {
    if !reply.heard.is_empty() {
        page.heading("Heard");
    }
    for heard in &reply.heard {
        let sign = if heard.present { "  + " } else { "  - not: " };
        let span = heard.span_start as usize..heard.span_end as usize;
        let quote = complaint.get(span).unwrap_or_default();
        page.item(sign, &format!("{}  \"{quote}\"", heard.title));
    }
    if !reply.unheard.is_empty() {
        page.item("  not used: ", &reply.unheard.join(" "));
    }
}

fn steps(reply: &pb::DiagnoseResponse, page: &mut Page) {
    if reply.next_steps.is_empty() {
        return;
    }
    page.heading("Next");
    for (number, step) in (1..).zip(reply.next_steps.iter().take(STEPS_SHOWN)) {
        let kind = match step.kind() {
            pb::StepKind::Check => "Check",
            pb::StepKind::Repair => "Repair",
            pb::StepKind::Specialist | pb::StepKind::Unspecified => "Otherwise",
        };
        let first = format!("  {number}. ");
        page.item(&first, &format!("{kind} ({:.0} min): {}", step.minutes, step.title));
        page.item("     ", &step.why);
        if !step.reveals_findings.is_empty() {
            let ids = step.reveals_findings.join(", ");
            page.item("     ", &format!("then say --found or --not-found: {ids}"));
        }
        if !step.procedure.is_empty() {
            page.item("     ", &format!("how: sward guide procedure {}", step.procedure));
        }
    }
}

pub fn cautions(cautions: &[pb::Caution], page: &mut Page) {
    if cautions.is_empty() {
        return;
    }
    page.heading("Cautions");
    for caution in cautions {
        let sign = if caution.stops_work { "  STOP " } else { "  ! " };
        page.item(sign, &format!("{}: {}", caution.title, caution.text));
    }
}
