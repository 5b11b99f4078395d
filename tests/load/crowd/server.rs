//! A real server in a process of its own: started, looked into, killed, started again at the same
//! address.

use std::io::{BufRead as _, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::Failure;

/// How long a server may take to serve or to stop.
const PATIENCE: Duration = Duration::from_secs(60);

pub struct Server {
    program: PathBuf,
    pub data: PathBuf,
    pub address: SocketAddr,
    process: Child,
    environment: Vec<(String, String)>,
    /// From the start of the process to the line that says it serves.
    pub started_in: Duration,
}

/// Memory of a process, in KiB.
#[derive(Clone, Copy, Debug, Default)]
pub struct Memory {
    /// All that is in memory, files that are mapped among it.
    pub resident: u64,
    /// What the program itself asked for.
    pub own: u64,
}

impl Server {
    /// Starts a server on a free port of this machine.
    pub fn start(
        program: &Path,
        data: &Path,
        environment: &[(String, String)],
    ) -> Result<Server, Failure> {
        let free = SocketAddr::from(([127, 0, 0, 1], 0));
        let (process, address, started_in) = serve(program, data, free, environment)?;
        let (program, data) = (program.to_owned(), data.to_owned());
        let environment = environment.to_vec();
        Ok(Server { program, data, address, process, environment, started_in })
    }

    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    /// Ends it as nothing in it can prevent.
    pub fn kill(&mut self) -> Result<(), Failure> {
        self.process.kill()?;
        self.process.wait()?;
        Ok(())
    }

    /// Asks it to stop, and waits until it has.
    pub fn stop(&mut self) -> Result<(), Failure> {
        Command::new("kill").arg(self.process.id().to_string()).status()?;
        let since = Instant::now();
        while self.process.try_wait()?.is_none() {
            if since.elapsed() > PATIENCE {
                return Err("the server does not stop".into());
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        Ok(())
    }

    /// Starts it again where it was.
    pub fn start_again(&mut self) -> Result<(), Failure> {
        let (process, address, started_in) =
            serve(&self.program, &self.data, self.address, &self.environment)?;
        self.process = process;
        self.address = address;
        self.started_in = started_in;
        Ok(())
    }

    pub fn memory(&self) -> Memory {
        let path = format!("/proc/{}/status", self.process.id());
        let text = std::fs::read_to_string(path).unwrap_or_default();
        let field = |name: &str| {
            let line = text.lines().find_map(|line| line.strip_prefix(name));
            line.and_then(|line| line.split_whitespace().next()?.parse().ok()).unwrap_or(0)
        };
        Memory { resident: field("VmRSS:"), own: field("RssAnon:") }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn serve(
    program: &Path,
    data: &Path,
    address: SocketAddr,
    environment: &[(String, String)],
) -> Result<(Child, SocketAddr, Duration), Failure> {
    std::fs::create_dir_all(data)?;
    // What it says is kept beside its data, for whoever wants to know why a run failed.
    let log = std::fs::File::options()
        .create(true)
        .append(true)
        .open(data.with_extension("log"))?;
    let start = Instant::now();
    let mut process = Command::new(program)
        .arg("--listen")
        .arg(address.to_string())
        .arg("--data")
        .arg(data)
        .envs(environment.iter().map(|(key, value)| (key, value)))
        .stdout(Stdio::piped())
        .stderr(log)
        .spawn()
        .map_err(|error| format!("{}: {error}", program.display()))?;
    let mut line = String::new();
    let output = process.stdout.take().ok_or("no output")?;
    BufReader::new(output).read_line(&mut line)?;
    let started_in = start.elapsed();
    let said = line.trim();
    let served = said.parse().map_err(|_| {
        let _ = process.kill();
        format!("the server did not start; see {}", data.with_extension("log").display())
    })?;
    Ok((process, served, started_in))
}
