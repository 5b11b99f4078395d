//! Records one by one: storing, amending, reading and listing them.

use std::sync::Arc;

use tonic::Status;

use super::keeping::{Catalogue, now, parent, request_id, with_store};
use super::wire;
use crate::domain::records::bounds::BATCH_RECORDS_MAX;
use crate::domain::records::check::OTHER_CAUSE;
use crate::domain::records::choices::Choice;
use crate::domain::records::import::machine_of;
use crate::domain::records::{
    Content, Moment, NewRecord, RecordKind, RecordName, SubjectName, Which, check, doubts,
};
use crate::domain::settings::Advisory;
use crate::pb;
use crate::service::Shop;
use crate::service::status::{invalid, refused};
use crate::store::{Order, PageSize, RecordQuery, SqliteStore, Store, Stored};

/// Earlier records that a new one is held against.
const EARLIER_RECORDS: i32 = 200;

pub async fn create(
    shop: &Arc<Shop>,
    requests: Vec<pb::CreateRecordRequest>,
) -> Result<Vec<pb::CreateRecordResponse>, Status> {
    if requests.is_empty() || requests.len() > BATCH_RECORDS_MAX {
        let remedy = format!("give 1 to {BATCH_RECORDS_MAX}");
        return Err(invalid("requests", &requests.len().to_string(), &remedy));
    }
    let now = now();
    let new: Result<Vec<NewRecord>, Status> =
        requests.iter().map(|request| parsed(shop, request, now)).collect();
    let new = new?;
    with_store(shop, move |shop, store| {
        let doubted: Result<Vec<Vec<Advisory>>, Status> =
            new.iter().map(|record| doubts_of(store, record, now)).collect();
        let doubted = doubted?;
        let stored = store.append(new, now)?;
        shop.written();
        let replies = stored.iter().zip(doubted).map(|(stored, doubts)| {
            let (record, advisories) = told(stored, doubts);
            let already_there = stored.already_there;
            pb::CreateRecordResponse { record, advisories, already_there }
        });
        Ok(replies.collect())
    })
    .await
}

/// What would be doubtful, or refused, of records that are not stored yet. `replaced`: the records
/// in
/// whose place they would stand.
pub async fn doubted(
    shop: &Arc<Shop>,
    requests: Vec<pb::CreateRecordRequest>,
    replaced: Vec<String>,
) -> Result<Vec<String>, Status> {
    if requests.is_empty() || shop.store_if_any()?.is_none() {
        return Ok(Vec::new());
    }
    let now = now();
    let mut new: Vec<NewRecord> = Vec::new();
    let mut told: Vec<String> = Vec::new();
    for (at, request) in requests.iter().enumerate() {
        match parsed(shop, request, now) {
            Ok(mut record) => {
                let name = replaced.get(at).and_then(|name| RecordName::parse("name", name).ok());
                record.supersedes = name.map(Which::Name);
                new.push(record);
            }
            Err(status) => told.push(status.message().to_owned()),
        }
    }
    let doubts = with_store(shop, move |_, store| {
        let mut all = Vec::new();
        for record in &new {
            all.extend(doubts_of(store, record, now)?.into_iter().map(|doubt| doubt.text));
        }
        Ok(all)
    });
    told.extend(doubts.await?);
    Ok(told)
}

fn parsed(
    shop: &Shop,
    request: &pb::CreateRecordRequest,
    now: Moment,
) -> Result<NewRecord, Status> {
    let remedy = "say what was done";
    let record = request.record.as_ref().ok_or_else(|| invalid("record", "empty", remedy))?;
    let new = NewRecord {
        subject: parent(&request.parent)?,
        time: wire::moment("time", record.time.as_ref())?,
        request_id: request_id(&request.request_id)?,
        supersedes: None,
        content: wire::content(record)?,
    };
    checked(shop, new, now)
}

fn checked(shop: &Shop, new: NewRecord, now: Moment) -> Result<NewRecord, Status> {
    check::record(new, &Catalogue(&shop.knowledge), now).map_err(|errors| refused(&errors))
}

/// What does not fit the records before it. Only what belongs to a machine has a meter or a reel.
pub fn doubts_of(
    store: &SqliteStore,
    new: &NewRecord,
    now: Moment,
) -> Result<Vec<Advisory>, Status> {
    let about = machine_of(&new.subject).unwrap_or_else(|| new.subject.clone());
    let until = new.time.unwrap_or(now).plus_seconds(1);
    let query = RecordQuery { until: Some(until), ..RecordQuery::about(about) };
    let mut earlier = store.records(&query, PageSize::new(EARLIER_RECORDS)?, "")?.items;
    // What it puts right is not held against it.
    earlier.retain(|record| match &new.supersedes {
        Some(Which::Name(name)) => record.name.number != name.number,
        Some(Which::Request(id)) => record.request_id != *id,
        None => true,
    });
    Ok(doubts::doubts(new, now, &earlier))
}

/// A retry is not held against the record that it made itself.
fn told(stored: &Stored, doubts: Vec<Advisory>) -> (Option<pb::Record>, Vec<pb::Advisory>) {
    let doubts = if stored.already_there { Vec::new() } else { doubts };
    (Some(wire::record_reply(&stored.record)), advisories(doubts))
}

pub fn advisories(doubts: Vec<Advisory>) -> Vec<pb::Advisory> {
    let advisory = |doubt: Advisory| pb::Advisory { id: doubt.id.to_owned(), text: doubt.text };
    doubts.into_iter().map(advisory).collect()
}

pub async fn amend(
    shop: &Arc<Shop>,
    request: pb::AmendRecordRequest,
) -> Result<pb::AmendRecordResponse, Status> {
    let name = RecordName::parse("name", &request.name)?;
    if request.withdraw == request.record.is_some() {
        let remedy = "give the record as it should have been, or withdraw, and not both";
        return Err(invalid("record", if request.withdraw { "set" } else { "empty" }, remedy));
    }
    let now = now();
    with_store(shop, move |shop, store| {
        let old = store.record(&name)?;
        let content = match &request.record {
            Some(record) => wire::content(record)?,
            None => Content { withdrawn: true, ..old.content.clone() },
        };
        let said = request.record.as_ref().and_then(|record| record.time.as_ref());
        let subject = if request.parent.is_empty() {
            old.name.subject.clone()
        } else {
            SubjectName::parse("parent", &request.parent)?
        };
        let new = NewRecord {
            subject,
            // What is amended was done when it was done.
            time: Some(wire::moment("time", said)?.unwrap_or(old.time)),
            request_id: request_id(&request.request_id)?,
            supersedes: Some(Which::Name(old.name.clone())),
            content,
        };
        let new = checked(shop, new, now)?;
        let doubts =
            if new.content.withdrawn { Vec::new() } else { doubts_of(store, &new, now)? };
        let stored = store.append(vec![new], now)?.remove(0);
        shop.written();
        let (record, advisories) = told(&stored, doubts);
        let already_there = stored.already_there;
        Ok(pb::AmendRecordResponse { record, advisories, already_there })
    })
    .await
}

pub async fn get(shop: &Arc<Shop>, name: &str) -> Result<pb::Record, Status> {
    let name = RecordName::parse("name", name)?;
    with_store(shop, move |_, store| Ok(wire::record_reply(&store.record(&name)?))).await
}

pub async fn list(
    shop: &Arc<Shop>,
    request: pb::ListRecordsRequest,
) -> Result<pb::ListRecordsResponse, Status> {
    let size = PageSize::new(request.page_size)?;
    let query = RecordQuery {
        subject: parent(&request.parent)?,
        kinds: kinds(&request.kinds)?,
        cause: cause(shop, &request.cause)?,
        from: wire::moment("start_time", request.start_time.as_ref())?,
        until: wire::moment("end_time", request.end_time.as_ref())?,
        history: request.show_history,
        order: order(&request.order_by)?,
    };
    with_store(shop, move |_, store| {
        let page = store.records(&query, size, &request.page_token)?;
        let records = page.items.iter().map(wire::record_reply).collect();
        Ok(pb::ListRecordsResponse { records, next_page_token: page.next_token })
    })
    .await
}

fn cause(shop: &Shop, id: &str) -> Result<Option<String>, Status> {
    if id.is_empty() {
        return Ok(None);
    }
    if id != OTHER_CAUSE && !shop.knowledge.causes.iter().any(|cause| cause.id == id) {
        return Err(invalid("cause", id, "no such cause; ListCauses gives them all"));
    }
    Ok(Some(id.to_owned()))
}

/// The kinds of record that a request names.
pub fn kinds(numbers: &[i32]) -> Result<Vec<RecordKind>, Status> {
    let kind = |number: &i32| {
        let name = pb::RecordKind::try_from(*number).ok().map(|kind| kind.as_str_name());
        name.and_then(|name| RecordKind::parse(name.strip_prefix("RECORD_KIND_")?)).ok_or_else(
            || invalid("kinds", &number.to_string(), "use a value of sward.v1.RecordKind"),
        )
    };
    numbers.iter().map(kind).collect()
}

fn order(text: &str) -> Result<Order, Status> {
    match text.split_whitespace().collect::<Vec<_>>()[..] {
        [] | ["time", "desc"] => Ok(Order::NewestFirst),
        ["time"] | ["time", "asc"] => Ok(Order::OldestFirst),
        ["create_time"] | ["create_time", "asc"] => Ok(Order::AsStored),
        _ => Err(invalid("order_by", text, "write time desc, time or create_time")),
    }
}
