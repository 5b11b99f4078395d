//! `sward status`: who answers, with which knowledge.

use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;

use crate::call::{self, Failure};
use crate::commands::{Globals, Output, StatusArguments};
use crate::json;
use crate::page::Page;

pub async fn run(globals: &Globals, asked: &StatusArguments) -> Result<(), Failure> {
    let mut client = GuideServiceClient::new(call::line_to_records(globals).await?);
    let reply = client.get_status(pb::GetStatusRequest {}).await?.into_inner();
    if asked.output == Output::Json {
        return json::print("GetStatusResponse", &reply);
    }
    let mut page = Page::new();
    page.item("version            ", &reply.version);
    page.item("knowledge version  ", &reply.knowledge_version);
    page.item(
        "knowledge          ",
        &format!(
            "{} findings, {} causes, {} checks, {} procedures, {} notes",
            reply.finding_count,
            reply.cause_count,
            reply.check_count,
            reply.procedure_count,
            reply.note_count
        ),
    );
    page.item("records            ", &reply.record_count.to_string());
    page.item("index behind by    ", &reply.index_lag_count.to_string());
    page.item("serving for        ", &format!("{:.0} s", reply.uptime_s));
    page.item("calls turned away  ", &reply.limited_request_count.to_string());
    Ok(page.print()?)
}
