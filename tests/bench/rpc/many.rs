//! How many calls a second, over one connection, eight and sixty-four? Asked by a client that is not
//! ours (h2load) where it is installed, else by the client of the library.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use prost::bytes::Bytes;
use tokio::runtime::Runtime;
use tonic::codegen::http::uri::PathAndQuery;
use tonic::transport::Endpoint;

use super::{Lines, bare, clip, complaints, framed};
use crate::Failure;
use crate::crowd::server::Server;
use crate::raw_call;

const CONNECTIONS: [usize; 3] = [1, 8, 64];
const SECONDS: u64 = 5;
/// Runs of each server in turn; the middle one counts.
const RUNS: usize = 3;

/// One server, one call, as both clients need it.
struct Aim {
    url: String,
    path: PathAndQuery,
    body: Bytes,
}

impl Aim {
    fn of(url: String, path: PathAndQuery, body: Bytes) -> Aim {
        Aim { url, path, body }
    }
}

pub fn print(
    runtime: &Runtime,
    lines: &Lines,
    ours: &Server,
    bare: &bare::Process,
) -> Result<(), Failure> {
    let foreign = Command::new("h2load").arg("--version").output().is_ok();
    let client = if foreign { "h2load" } else { "the library's own client; h2load is not installed" };
    println!("\ncalls a second, asked by {client}");
    println!("                              connections      ours       bare   ratio");
    let place = tempfile::tempdir()?;
    let asked = [
        ("Diagnose, a typical complaint", "DiagnosisService", "Diagnose", complaints(false).remove(0)),
        ("ClipSpacing", "SettingsService", "ClipSpacing", clip()),
    ];
    for (title, service, method, body) in asked {
        let path = raw_call::path(service, method);
        let reply = raw_call::unary(&lines.ours, path.clone(), body.clone());
        let reply_bytes = runtime.block_on(reply)?.len();
        let same = bare::request(body.len(), reply_bytes);
        let aims =
            [Aim::of(ours.url(), path, body), Aim::of(bare.url(), bare::path(), same)];
        for connections in CONNECTIONS {
            let mut rates = [Vec::new(), Vec::new()];
            for _ in 0..RUNS {
                for (aim, rates) in aims.iter().zip(&mut rates) {
                    rates.push(if foreign {
                        by_h2load(aim, place.path(), connections)?
                    } else {
                        runtime.block_on(by_library(aim, connections))?
                    });
                }
            }
            let [ours, bare] = rates.map(|mut rates| {
                rates.sort_by(f64::total_cmp);
                rates[rates.len() / 2]
            });
            println!("{title:<34} {connections:>6} {ours:>9.0} {bare:>10.0} {:>6.2}x", ours / bare);
        }
    }
    Ok(())
}

fn by_h2load(aim: &Aim, place: &Path, connections: usize) -> Result<f64, Failure> {
    let file = framed(place, "body", &aim.body)?;
    let output = Command::new("h2load")
        .args(["--duration", &SECONDS.to_string(), "--warm-up-time", "1"])
        .args(["--clients", &connections.to_string(), "--max-concurrent-streams", "1"])
        .args(["--header", "content-type: application/grpc", "--header", "te: trailers"])
        .arg("--data")
        .arg(file)
        .arg(format!("{}{}", aim.url, aim.path))
        .output()?;
    let text = String::from_utf8_lossy(&output.stdout);
    let failed = text.lines().find(|line| line.starts_with("requests:"));
    let failed = failed.is_none_or(|line| !line.contains(" 0 failed, 0 errored"));
    let rate = text
        .lines()
        .find_map(|line| line.strip_prefix("finished in ")?.split(", ").nth(1)?.strip_suffix(" req/s"))
        .and_then(|rate| rate.parse().ok());
    match rate {
        Some(rate) if !failed => Ok(rate),
        _ => Err(format!("h2load: {text}{}", String::from_utf8_lossy(&output.stderr)).into()),
    }
}

async fn by_library(aim: &Aim, connections: usize) -> Result<f64, Failure> {
    let time = Duration::from_secs(SECONDS);
    let mut crowd = Vec::new();
    for _ in 0..connections {
        let channel = Endpoint::from_shared(aim.url.clone())?.tcp_nodelay(true).connect().await?;
        let (path, body) = (aim.path.clone(), aim.body.clone());
        crowd.push(tokio::spawn(async move {
            let start = Instant::now();
            let mut calls = 0_u64;
            while start.elapsed() < time {
                raw_call::unary(&channel, path.clone(), body.clone()).await?;
                calls += 1;
            }
            Ok::<u64, tonic::Status>(calls)
        }));
    }
    let mut calls = 0;
    for one in crowd {
        calls += one.await??;
    }
    Ok(calls as f64 / time.as_secs_f64())
}
