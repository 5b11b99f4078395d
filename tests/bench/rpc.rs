//! What does a call cost, beside the same call of a server that does nothing, and beside the bare
//! libraries underneath? Servers are processes of their own; calls of ours and of the bare server
//! take turns, so that whatever else the machine does meets both.

pub mod bare;
mod domain;
mod pace;
mod many;
mod start;

use std::path::PathBuf;
use std::time::Duration;

use prost::Message as _;
use prost::bytes::Bytes;
use sward_core::pb;
use tonic::transport::{Channel, Endpoint};

use crate::Failure;
use crate::crowd::server::Server;
use crate::program;
use crate::raw_call;
use pace::{Pace, Turn};

/// Calls of each sort; a quarter as many come first and are not counted.
const CALLS: usize = 4_000;
/// Calls that wait for the disk.
const WRITES: usize = 400;
/// Notes of the shop that searches go through.
const NOTES: usize = 2_000;

/// A complaint of the usual length, with one finding denied and one place said.
pub const TYPICAL: &str =
    "no. 3 leaves a thin uncut line, same place every pass, the other two are fine";
const COMPLAINTS: &str = include_str!("../cases/complaints.jsonl");
const SEARCHES: [&str; 4] =
    ["uncut line", "streaks after topdressing", "bedknife nicked", "scalping on slopes"];

pub fn run(words: &[String]) -> Result<(), Failure> {
    if let [hidden] = words
        && hidden == "--bare-server"
    {
        return bare::serve();
    }
    if !words.is_empty() {
        return Err("bench rpc".into());
    }
    domain::print(TYPICAL)?;
    let server = program::server()?;
    start::print(&server)?;
    let place = tempfile::tempdir()?;
    let ours = Server::start(&server, &place.path().join("data"), &[])?;
    let bare = bare::Process::start()?;
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build()?;
    let lines = runtime.block_on(Lines::open(&ours, &bare))?;
    runtime.block_on(one_by_one(&lines, place.path()))?;
    many::print(&runtime, &lines, &ours, &bare)?;
    Ok(())
}

/// One connection to each server.
pub struct Lines {
    ours: Channel,
    bare: Channel,
}

impl Lines {
    async fn open(ours: &Server, bare: &bare::Process) -> Result<Lines, Failure> {
        let open = async |url: String| -> Result<Channel, Failure> {
            Ok(Endpoint::from_shared(url)?.tcp_nodelay(true).connect().await?)
        };
        Ok(Lines { ours: open(ours.url()).await?, bare: open(bare.url()).await? })
    }

    /// A call of ours, and one of the same sizes of the bare server.
    async fn pair(&self, name: &str, bodies: Vec<Bytes>) -> Result<[Turn; 2], Failure> {
        let (service, method) = name.split_once('/').ok_or("service/method")?;
        let path = raw_call::path(service, method);
        let mut same = Vec::new();
        for body in &bodies {
            let reply = raw_call::unary(&self.ours, path.clone(), body.clone()).await?;
            same.push(bare::request(body.len(), reply.len()));
        }
        let ours = Turn::new(&self.ours, path, bodies);
        Ok([ours, Turn::new(&self.bare, bare::path(), same)])
    }
}

/// Bodies of Diagnose: the typical complaint alone, or every complaint of the cases in turn.
fn complaints(all: bool) -> Vec<Bytes> {
    let ask = |complaint: &str| {
        let complaint = complaint.to_owned();
        pb::DiagnoseRequest { complaint, ..Default::default() }.encode_to_vec().into()
    };
    if !all {
        return vec![ask(TYPICAL)];
    }
    let rows = COMPLAINTS.lines().filter_map(|line| {
        let row: serde_json::Value = serde_json::from_str(line).ok()?;
        Some(ask(row.get("complaint")?.as_str()?))
    });
    rows.collect()
}

fn clip() -> Bytes {
    let question = pb::ClipSpacingRequest {
        ground_speed_mps: Some(1.7),
        blade_count: Some(11),
        reel_speed_rpm: Some(2_000.0),
        ..Default::default()
    };
    question.encode_to_vec().into()
}

fn searches() -> Vec<Bytes> {
    let ask = |query: &&str| {
        let query = (*query).to_owned();
        pb::SearchRequest { query, ..Default::default() }.encode_to_vec().into()
    };
    SEARCHES.iter().map(ask).collect()
}

/// A note of the shop, as long as people write them.
pub fn note(number: usize) -> String {
    let complaint = COMPLAINTS.lines().nth(number % COMPLAINTS.lines().count()).unwrap_or_default();
    let row: serde_json::Value = serde_json::from_str(complaint).unwrap_or_default();
    format!("{} ({number})", row["complaint"].as_str().unwrap_or_default())
}

fn record(number: usize) -> pb::CreateRecordRequest {
    let hours = pb::HoursDetail { hours_run_h: Some(4.0), ..Default::default() };
    let record = pb::Record {
        detail: Some(pb::record::Detail::Hours(hours)),
        notes: note(number),
        ..Default::default()
    };
    let request_id = uuid::Uuid::from_u64_pair(7, number as u64 + 1).to_string();
    pb::CreateRecordRequest { parent: String::new(), record: Some(record), request_id }
}

async fn one_by_one(lines: &Lines, place: &std::path::Path) -> Result<(), Failure> {
    let path = raw_call::path("RecordsService", "BatchCreateRecords");
    for first in (0..NOTES).step_by(200) {
        let requests = (first..first + 200).map(record).collect();
        let batch = pb::BatchCreateRecordsRequest { requests };
        raw_call::unary(&lines.ours, path.clone(), batch.encode_to_vec().into()).await?;
    }
    println!("\none call after the other, one connection   p50        p99   bare p50   bare p99   ratio");
    let asked = [
        ("Diagnose, a typical complaint", "DiagnosisService/Diagnose", complaints(false)),
        ("Diagnose, 160 complaints in turn", "DiagnosisService/Diagnose", complaints(true)),
        ("ClipSpacing", "SettingsService/ClipSpacing", vec![clip()]),
        ("GetStatus", "GuideService/GetStatus", vec![Bytes::new()]),
    ];
    for (title, name, bodies) in asked {
        let pair = lines.pair(name, bodies).await?;
        let [ours, bare] = pace::in_turn(pair, CALLS).await?;
        row(title, &ours, &bare);
    }
    let pair = lines.pair("SearchService/Search", searches()).await?;
    let [ours, bare] = pace::in_turn(pair, CALLS / 4).await?;
    row("Search", &ours, &bare);
    let tantivy = bare::tantivy(&(0..NOTES).map(note).collect::<Vec<_>>(), &SEARCHES, CALLS / 4)?;
    beside("  bare tantivy, same notes and queries", &tantivy, &ours, &bare);
    let bodies: Vec<Bytes> =
        (0..2 * WRITES).map(|at| record(NOTES + at).encode_to_vec().into()).collect();
    let pair = lines.pair("RecordsService/CreateRecord", bodies[..1].to_vec()).await?;
    let [_, same] = pair;
    let path = raw_call::path("RecordsService", "CreateRecord");
    let ours = Turn::new(&lines.ours, path, bodies[1..].to_vec());
    let [ours, bare] = pace::in_turn([ours, same], WRITES).await?;
    row("CreateRecord", &ours, &bare);
    let sqlite = bare::sqlite(place, &bodies[..WRITES])?;
    beside("  bare SQLite, same bytes, one row a transaction", &sqlite, &ours, &bare);
    Ok(())
}

fn micro(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

fn row(title: &str, ours: &Pace, bare: &Pace) {
    let (a, b) = (micro(ours.at(0.5)), micro(bare.at(0.5)));
    println!(
        "{title:<38} {a:>7.0} µs {:>7.0} µs {b:>7.0} µs {:>7.0} µs {:>6.2}x",
        micro(ours.at(0.99)),
        micro(bare.at(0.99)),
        a / b
    );
}

/// A library that does the work without a call: with the bare call, what ours could be at best.
fn beside(title: &str, library: &Pace, ours: &Pace, bare: &Pace) {
    let (own, best) = (micro(library.at(0.5)), micro(library.at(0.5)) + micro(bare.at(0.5)));
    println!(
        "{title:<48} {own:>7.0} µs; ours is {:.2}x that and a bare call",
        micro(ours.at(0.5)) / best
    );
}


/// A file that holds one message as gRPC frames it.
fn framed(directory: &std::path::Path, name: &str, body: &Bytes) -> Result<PathBuf, Failure> {
    let mut bytes = vec![0];
    bytes.extend(u32::try_from(body.len())?.to_be_bytes());
    bytes.extend(body);
    let path = directory.join(name);
    std::fs::write(&path, bytes)?;
    Ok(path)
}
