//! How long until a server serves and the command line has answered, and what does a server hold
//! while it waits?

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::TYPICAL;
use super::pace::Pace;
use crate::Failure;
use crate::crowd::server::Server;

const STARTS: usize = 11;
/// A server has come to rest after this.
const REST: Duration = Duration::from_secs(2);

pub fn print(program: &Path) -> Result<(), Failure> {
    let mut starts = Vec::new();
    for _ in 0..STARTS {
        let place = tempfile::tempdir()?;
        starts.push(Server::start(program, &place.path().join("data"), &[])?.started_in);
    }
    let starts = Pace::of(starts);
    println!("\na server serves after {:.1?} (middle of {STARTS} starts)", starts.at(0.5));
    let place = tempfile::tempdir()?;
    let mut server = Server::start(program, &place.path().join("data"), &[])?;
    std::thread::sleep(REST);
    let memory = server.memory();
    println!(
        "it holds {:.1} MB while it waits, {:.1} MB of it its own",
        memory.resident as f64 / 1_024.0,
        memory.own as f64 / 1_024.0
    );
    server.stop()?;
    let mut answers = Vec::new();
    for _ in 0..STARTS {
        let place = tempfile::tempdir()?;
        let start = Instant::now();
        let answered = Command::new(program.with_file_name("sward"))
            .args(["diagnose", TYPICAL, "--data"])
            .arg(place.path().join("data"))
            .env_remove("SWARD_SERVER")
            .stdout(Stdio::null())
            .status()?;
        answers.push(start.elapsed());
        if !answered.success() {
            return Err("sward diagnose failed".into());
        }
    }
    println!("sward diagnose answers after {:.1?}, without a server", Pace::of(answers).at(0.5));
    Ok(())
}
