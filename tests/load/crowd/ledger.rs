//! What was acknowledged, kept outside the server, and held against what the server holds.

use std::collections::BTreeMap;

use prost::Message;
use sward_core::pb;
use tonic::Status;
use tonic::transport::Channel;

use super::Failure;
use crate::raw_call;

/// By request: the name that the record was given; none while nobody has acknowledged it.
#[derive(Default)]
pub struct Ledger {
    pub records: BTreeMap<String, Option<String>>,
    /// What is wrong with acknowledgements that came.
    pub wrong: Vec<String>,
}

impl Ledger {
    pub fn acknowledged(&self) -> usize {
        self.records.values().flatten().count()
    }

    /// Notes an acknowledgement. A second one must name the same record.
    pub fn note(&mut self, request: &str, name: &str) {
        let before = self.records.insert(request.to_owned(), Some(name.to_owned())).flatten();
        if let Some(before) = before.filter(|before| before != name) {
            self.wrong.push(format!("request {request} is stored as {before} and as {name}"));
        }
    }

    pub fn take_in(&mut self, other: Ledger) {
        self.records.extend(other.records);
        self.wrong.extend(other.wrong);
    }

    /// Reads every record back: each acknowledged one is there once under its name, and nothing is
    /// there that nobody asked for.
    pub async fn judge(&self, channel: &Channel, parent: &str) -> Result<Judgement, Failure> {
        let mut stored: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut page_token = String::new();
        loop {
            let request = pb::ListRecordsRequest {
                parent: parent.to_owned(),
                show_history: true,
                order_by: "create_time".to_owned(),
                page_size: 1_000,
                page_token,
                ..pb::ListRecordsRequest::default()
            };
            let page: pb::ListRecordsResponse =
                call(channel, "RecordsService", "ListRecords", &request).await?;
            for record in page.records {
                stored.entry(record.request_id).or_default().push(record.name);
            }
            page_token = page.next_page_token;
            if page_token.is_empty() {
                break;
            }
        }
        let mut judgement = Judgement { stored: stored.len(), ..Judgement::default() };
        for (request, name) in &self.records {
            let found = stored.remove(request).unwrap_or_default();
            judgement.doubled += found.len().saturating_sub(1);
            match name {
                Some(name) if found.is_empty() => {
                    judgement.lost += 1;
                    judgement.told.push(format!("{name} of request {request} is lost"));
                }
                Some(name) if found[0] != *name => {
                    judgement.told.push(format!("{name} is now {}", found[0]));
                }
                _ => {}
            }
        }
        judgement.strange = stored.len();
        judgement.told.extend(self.wrong.iter().cloned());
        Ok(judgement)
    }
}

#[derive(Debug, Default)]
pub struct Judgement {
    pub stored: usize,
    pub lost: usize,
    pub doubled: usize,
    /// There, and nobody asked for it.
    pub strange: usize,
    pub told: Vec<String>,
}

impl Judgement {
    pub fn is_sound(&self) -> bool {
        self.lost + self.doubled + self.strange == 0 && self.told.is_empty()
    }
}

/// One call with messages of the contract.
pub async fn call<A: Message + Default>(
    channel: &Channel,
    service: &str,
    method: &str,
    request: &impl Message,
) -> Result<A, Status> {
    let path = raw_call::path(service, method);
    let reply = raw_call::unary(channel, path, request.encode_to_vec().into()).await?;
    A::decode(reply).map_err(|error| Status::data_loss(format!("{method}: {error}")))
}
