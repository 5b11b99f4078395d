//! How fast is it once it is full: starting, searching, recording, and a diagnosis with history?

use std::path::Path;
use std::sync::Arc;

use sward_core::domain::records::NewRecord;
use sward_core::embedded;
use sward_core::index::{Ask, Index};
use sward_core::pb;
use sward_core::pb::diagnosis_service_client::DiagnosisServiceClient;
use sward_core::service::{Findable, Shop, channel_to};
use sward_core::store::{SqliteStore, Store};

use super::shop::{self, NOW};
use super::{bare, say};
use crate::Failure;
use crate::figures::{Times, memory_mib, timed};

/// Rounds through the questions, and how many questions and records are asked for and stored.
const ROUNDS: usize = 3;
const RECORDS: usize = 400;
const DIAGNOSES: usize = 60;
/// Dice of records that no filling has used.
const FRESH_SEED: u64 = 1_000_000;
/// What is looked for over records and notes; also used to judge how good search is.
const QUESTIONS: &str = include_str!("../../cases/search.jsonl");

pub fn run(data: &Path, records: usize) -> Result<(), Failure> {
    let knowledge = embedded::knowledge();
    let before = memory_mib("VmRSS");
    let folder = data.join("ours");
    let (store_us, store) = timed(|| Ok(Arc::new(shop::open(&folder)?)))?;
    let source = Arc::new(Findable(Arc::clone(&store)));
    let (index_us, index) =
        timed(|| Ok(Index::open(&folder.join("index"), &knowledge, source)?))?;
    let (sqlite_us, mut sqlite) = timed(|| bare::Sqlite::open(&data.join("bare")))?;
    let (tantivy_us, opened) = timed(|| {
        let tantivy = bare::Tantivy::open(&data.join("bare-index"))?;
        let reader = tantivy.reader()?;
        Ok((tantivy, reader))
    })?;
    let bare = (sqlite_us + tantivy_us) / 1e3;
    say("start: store and index opened", (store_us + index_us) / 1e3, Some(bare), "ms");
    search(&index, &opened)?;
    if let (Some(before), Some(after)) = (before, memory_mib("VmRSS")) {
        say("memory that store and index add", after - before, None, "MiB");
    }
    record(&store, &index, &mut sqlite)?;
    let (count_us, count) = timed(|| Ok(store.record_count()?))?;
    assert!(count >= records as u64, "{count} of {records} records are there");
    say("records counted for the first time", count_us / 1e3, None, "ms");
    drop((index, store));
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    runtime.block_on(diagnose(&folder))
}

fn questions() -> Result<Vec<String>, Failure> {
    let mut all = Vec::new();
    for line in QUESTIONS.lines().filter(|line| !line.trim().is_empty()) {
        let row: serde_json::Value = serde_json::from_str(line)?;
        all.push(row["query"].as_str().ok_or("a row without a query")?.to_owned());
    }
    Ok(all)
}

fn search(
    index: &Index,
    (tantivy, reader): &(bare::Tantivy, tantivy::IndexReader),
) -> Result<(), Failure> {
    let (mut ours, mut bare) = (Vec::new(), [Vec::new(), Vec::new(), Vec::new()]);
    for round in 0..=ROUNDS {
        for query in questions()? {
            let ask = Ask { query: query.clone(), limit: 10, ..Ask::default() };
            let of_ours = timed(|| Ok(index.search(&ask).map(|found| found.hits.len())?))?.0;
            let of_bare = [
                timed(|| tantivy.search(reader, &query, true))?.0,
                timed(|| tantivy.search(reader, &query, false))?.0,
                timed(|| tantivy.search_best(reader, &query))?.0,
            ];
            // The first round only warms up.
            if round > 0 {
                ours.push(of_ours);
                bare.iter_mut().zip(of_bare).for_each(|(times, one)| times.push(one));
            }
        }
    }
    let (ours, bare) = (Times::new(ours), bare.map(Times::new));
    let beside = [
        "search page, bare with snippets",
        "search page, bare without snippets",
        "search page, bare ten best alone",
    ];
    for (share, name) in [(0.5, "p50"), (0.99, "p99")] {
        for (what, bare) in beside.iter().zip(&bare) {
            let (what, bare) = (format!("{what}, {name}"), bare.at(share) / 1e3);
            say(&what, ours.at(share) / 1e3, Some(bare), "ms");
        }
    }
    Ok(())
}

/// One by one, each synced, in turns so that a busy moment hits both.
fn record(store: &SqliteStore, index: &Index, sqlite: &mut bare::Sqlite) -> Result<(), Failure> {
    let (mut ours, mut bare, mut found) = (Vec::new(), Vec::new(), Vec::new());
    let fresh = shop::history(FRESH_SEED).filter(|new| new.supersedes.is_none());
    for new in fresh.take(RECORDS) {
        let row = [sqlite.row(&new)];
        let record: Vec<NewRecord> = vec![new];
        ours.push(timed(|| Ok(store.append(record, NOW)?))?.0);
        bare.push(timed(|| sqlite.write(&row))?.0);
        found.push(timed(|| Ok(index.catch_up()?))?.0);
    }
    let (ours, bare) = (Times::new(ours), Times::new(bare));
    for (share, name) in [(0.5, "p50"), (0.99, "p99")] {
        let what = format!("one record, synced, {name}");
        say(&what, ours.at(share) / 1e3, Some(bare.at(share) / 1e3), "ms");
    }
    say("until it is found, p50", Times::new(found).at(0.5) / 1e3, None, "ms");
    Ok(())
}

async fn diagnose(data: &Path) -> Result<(), Failure> {
    let shop = Shop::open(data, None)?;
    let mut client = DiagnosisServiceClient::new(channel_to(shop).await?);
    let complaint = "thin streak behind the unit, same place every pass".to_owned();
    for unit in ["sites/home/machines/greens-triplex/units/2", ""] {
        let question = pb::DiagnoseRequest {
            complaint: complaint.clone(),
            unit: unit.to_owned(),
            equipment: pb::Equipment::ReelUnit.into(),
            ..pb::DiagnoseRequest::default()
        };
        let mut times = Vec::new();
        for _ in 0..DIAGNOSES {
            let start = std::time::Instant::now();
            client.diagnose(question.clone()).await?;
            times.push(start.elapsed().as_secs_f64() * 1e6);
        }
        let what = if unit.is_empty() { "without" } else { "with" };
        say(&format!("diagnosis {what} history, p50"), Times::new(times).at(0.5) / 1e3, None, "ms");
    }
    Ok(())
}
