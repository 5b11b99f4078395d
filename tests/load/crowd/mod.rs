//! What do many clients at once see of a server that is left running, and that things happen to?
//! Every answer is held against the answer given to somebody alone, every acknowledged write is
//! looked for at the end, and the memory of the server is watched.

mod client;
mod faults;
mod ledger;
mod questions;
mod report;
pub mod server;

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use sward_core::pb;
use tokio::runtime::Runtime;
use tokio::sync::watch;
use tonic::transport::{Channel, Endpoint};

use client::{Client, Seen, unit_of};
use faults::Stage;
use ledger::{Ledger, call};
pub use report::Report;
use server::{Memory, Server};

pub type Failure = Box<dyn std::error::Error + Send + Sync>;

/// Memory is looked at this often in the whole run.
const LOOKS: u32 = 100;

pub struct Plan {
    pub clients: usize,
    /// Different questions at most; each is asked three times by somebody alone.
    pub questions: usize,
    pub time: Duration,
    pub faults: bool,
    pub seed: u64,
}

/// Lets the crowd work on a server of this program, and tells what came of it.
pub fn run(program: &Path, plan: &Plan) -> Result<Report, Failure> {
    let mut stage = if plan.faults { Stage::with_faults()? } else { Stage::calm()? };
    let mut server = Server::start(program, &stage.data(), &stage.environment())?;
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let alone = runtime.block_on(connected(&server))?;
    let questions = Arc::new(runtime.block_on(prepared(&alone, plan))?);
    let (stop, stopping) = watch::channel(false);
    let mut crowd = Vec::new();
    for number in 0..plan.clients {
        // A channel that connects when it is needed wants a runtime to do it in.
        let _inside = runtime.enter();
        let questions = Arc::clone(&questions);
        let client =
            Client::new(number, &server.url(), questions, stopping.clone(), plan.seed)?;
        crowd.push(runtime.spawn(client.work()));
    }
    let mut memory = Vec::new();
    if plan.faults {
        memory.push(server.memory());
        stage.play(&mut server, plan.time)?;
        memory.push(server.memory());
    } else {
        memory = watched(&server, plan.time);
    }
    stop.send(true)?;
    let mut seen = Vec::new();
    for client in crowd {
        seen.push(runtime.block_on(client)?);
    }
    let mut ledger = Ledger::default();
    let seen: Vec<Seen> = seen
        .into_iter()
        .map(|mut seen| {
            ledger.take_in(std::mem::take(&mut seen.ledger));
            seen
        })
        .collect();
    let mut report = Report::new(plan, seen, &memory, &stage);
    report.judged(runtime.block_on(judged(&server, &ledger, &questions))?);
    server.stop()?;
    server.start_again()?;
    report.judged(runtime.block_on(judged(&server, &ledger, &questions))?);
    report.acknowledged = ledger.acknowledged();
    finish(runtime);
    Ok(report)
}

fn finish(runtime: Runtime) {
    runtime.shutdown_timeout(Duration::from_secs(5));
}

async fn connected(server: &Server) -> Result<Channel, Failure> {
    Ok(Endpoint::from_shared(server.url())?.connect().await?)
}

/// A unit for each client, and the questions with the answers given while nobody else asks.
async fn prepared(channel: &Channel, plan: &Plan) -> Result<Vec<questions::Question>, Failure> {
    for machine in 0..plan.clients.div_ceil(10) {
        let request = pb::CreateMachineRequest {
            machine_id: format!("m{machine}"),
            machine: Some(pb::Machine {
                display_name: format!("Number {machine}"),
                equipment: pb::Equipment::ReelUnit.into(),
                ..pb::Machine::default()
            }),
            ..pb::CreateMachineRequest::default()
        };
        let _: pb::CreateMachineResponse =
            call(channel, "RecordsService", "CreateMachine", &request).await?;
    }
    for client in 0..plan.clients {
        let name = unit_of(client);
        let (machine, unit) = name.split_once("/units/").ok_or("a unit of a machine")?;
        let request = pb::CreateCuttingUnitRequest {
            parent: machine.to_owned(),
            cutting_unit_id: unit.to_owned(),
            cutting_unit: Some(pb::CuttingUnit {
                display_name: unit.to_owned(),
                ..pb::CuttingUnit::default()
            }),
            ..pb::CreateCuttingUnitRequest::default()
        };
        let _: pb::CreateCuttingUnitResponse =
            call(channel, "RecordsService", "CreateCuttingUnit", &request).await?;
    }
    questions::answered(channel, plan.questions).await
}

fn watched(server: &Server, time: Duration) -> Vec<Memory> {
    let start = Instant::now();
    let mut looks = Vec::new();
    for look in 1..=LOOKS {
        std::thread::sleep((time * look / LOOKS).saturating_sub(start.elapsed()));
        looks.push(server.memory());
    }
    looks
}

/// The ledger held against the records, and every question asked once more.
async fn judged(
    server: &Server,
    ledger: &Ledger,
    questions: &[questions::Question],
) -> Result<ledger::Judgement, Failure> {
    let channel = connected(server).await?;
    let mut judgement = ledger.judge(&channel, "sites/home").await?;
    for (at, question) in questions.iter().enumerate() {
        if questions::ask(&channel, question).await? != question.answer {
            let told = format!("{} number {at}: another answer afterwards", question.method);
            judgement.told.push(told);
        }
    }
    Ok(judgement)
}
