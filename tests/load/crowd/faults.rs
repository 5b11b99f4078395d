//! What goes wrong in the middle of the work: the server is killed, the index is deleted, the disk
//! fills up, the clock jumps.

use std::fs;
use std::io::ErrorKind::{DirectoryNotEmpty, NotFound};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use super::Failure;
use super::server::Server;

/// How a server is started where it is left running.
const UNIT_FILE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/deploy/swardd.service"));
const YEAR_S: i64 = 365 * 86_400;
const DISK_BYTES: u64 = 1 << 30;

/// Faults and when they come, as a share of the whole time.
const SCHEDULE: &[(f64, Fault)] = &[
    (0.15, Fault::Kill),
    (0.25, Fault::LoseIndex),
    (0.35, Fault::FillDisk),
    (0.45, Fault::FreeDisk),
    (0.55, Fault::Clock(YEAR_S)),
    (0.65, Fault::Clock(-YEAR_S)),
    (0.72, Fault::Clock(0)),
    (0.78, Fault::LoseIndexAndKill),
    (0.88, Fault::Kill),
];

#[derive(Clone, Copy, Debug)]
enum Fault {
    Kill,
    LoseIndex,
    LoseIndexAndKill,
    FillDisk,
    FreeDisk,
    Clock(i64),
}

/// Where the server works: what can be broken there, and what cannot and why.
pub struct Stage {
    directory: tempfile::TempDir,
    mounted: bool,
    clock: Option<(PathBuf, PathBuf)>,
    pub skipped: Vec<String>,
    pub done: Vec<String>,
}

impl Stage {
    /// A place with no faults.
    pub fn calm() -> Result<Stage, Failure> {
        let directory = tempfile::tempdir()?;
        let (skipped, done) = (Vec::new(), Vec::new());
        Ok(Stage { directory, mounted: false, clock: None, skipped, done })
    }

    /// A small disk in memory and a clock that can be turned, as far as this machine allows.
    pub fn with_faults() -> Result<Stage, Failure> {
        let mut stage = Stage::calm()?;
        let disk = stage.disk();
        fs::create_dir(&disk)?;
        let size = format!("size={DISK_BYTES}");
        match run("mount", &["-t", "tmpfs", "-o", &size, "tmpfs", &disk.to_string_lossy()]) {
            Ok(()) => stage.mounted = true,
            Err(why) => stage.skipped.push(format!("the disk fills up: {why}")),
        }
        match stage.make_clock() {
            Ok(clock) => stage.clock = Some(clock),
            Err(why) => stage.skipped.push(format!("the clock jumps: {why}")),
        }
        Ok(stage)
    }

    fn disk(&self) -> PathBuf {
        self.directory.path().join("disk")
    }

    pub fn data(&self) -> PathBuf {
        if self.mounted { self.disk().join("data") } else { self.directory.path().join("data") }
    }

    fn make_clock(&self) -> Result<(PathBuf, PathBuf), String> {
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/load/crowd/clock_shift.c");
        let library = self.directory.path().join("clock_shift.so");
        let arguments = ["-shared", "-fPIC", "-O1", "-o"];
        let (library_path, source) = (library.to_string_lossy(), source.to_string_lossy());
        run("cc", &[&arguments[..], &[&library_path, &source, "-ldl"]].concat())?;
        let shift = self.directory.path().join("shift");
        fs::write(&shift, 0_i64.to_ne_bytes()).map_err(|error| error.to_string())?;
        Ok((library, shift))
    }

    /// What the server is started with: what the unit file sets, and a clock that can be turned.
    pub fn environment(&self) -> Vec<(String, String)> {
        let set = UNIT_FILE.lines().filter_map(|line| line.strip_prefix("Environment="));
        let mut all: Vec<(String, String)> = set
            .filter_map(|pair| pair.split_once('='))
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect();
        if let Some((library, shift)) = &self.clock {
            all.push(("LD_PRELOAD".to_owned(), library.display().to_string()));
            all.push(("SWARD_CLOCK_SHIFT".to_owned(), shift.display().to_string()));
        }
        all
    }

    /// Lets things go wrong until the time is up.
    pub fn play(&mut self, server: &mut Server, time: Duration) -> Result<(), Failure> {
        let start = Instant::now();
        for (share, fault) in SCHEDULE {
            let due = time.mul_f64(*share);
            std::thread::sleep(due.saturating_sub(start.elapsed()));
            self.happen(*fault, server)?;
        }
        std::thread::sleep(time.saturating_sub(start.elapsed()));
        Ok(())
    }

    fn happen(&mut self, fault: Fault, server: &mut Server) -> Result<(), Failure> {
        let index = server.data.join("index");
        let ballast = self.disk().join("ballast");
        let told = match fault {
            Fault::Kill => {
                server.kill()?;
                server.start_again()?;
                format!("killed, serving again {:.0?} later", server.started_in)
            }
            Fault::LoseIndex => {
                delete_under(&index)?;
                "the index is deleted under the server".to_owned()
            }
            Fault::LoseIndexAndKill => {
                server.kill()?;
                delete_under(&index)?;
                server.start_again()?;
                "killed, the index deleted, started again".to_owned()
            }
            Fault::FillDisk | Fault::FreeDisk if !self.mounted => return Ok(()),
            Fault::FillDisk => format!("the disk is full after {} more bytes", fill(&ballast)?),
            Fault::FreeDisk => {
                fs::remove_file(&ballast)?;
                "there is space again".to_owned()
            }
            Fault::Clock(shift_s) => {
                let Some((_, file)) = &self.clock else { return Ok(()) };
                // In place: the server looks at these very bytes.
                let mut file = fs::File::options().write(true).open(file)?;
                file.write_all(&shift_s.to_ne_bytes())?;
                format!("the clock is {} days off", shift_s / 86_400)
            }
        };
        self.done.push(told);
        Ok(())
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        if self.mounted
            && let Err(why) = run("umount", &["-l", &self.disk().to_string_lossy()])
        {
            eprintln!("{} is still mounted: {why}", self.disk().display());
        }
    }
}

/// Deletes a directory that somebody goes on writing into: what appears or vanishes meanwhile is
/// no reason to stop.
fn delete_under(index: &Path) -> Result<(), Failure> {
    const TIMES: usize = 1_000;
    for _ in 0..TIMES {
        match fs::remove_dir_all(index) {
            Ok(()) => return Ok(()),
            Err(_) if !index.exists() => return Ok(()),
            Err(error) if matches!(error.kind(), NotFound | DirectoryNotEmpty) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err("the index is written faster than it can be deleted".into())
}

/// Writes until nothing more goes in.
fn fill(ballast: &Path) -> Result<u64, Failure> {
    let mut file = fs::File::create(ballast)?;
    let mut bytes = 0;
    for size in [1 << 20, 4 << 10, 1] {
        let piece = vec![0_u8; size];
        while file.write_all(&piece).is_ok() {
            bytes += size as u64;
        }
    }
    Ok(bytes)
}

fn run(program: &str, arguments: &[&str]) -> Result<(), String> {
    let output = Command::new(program)
        .args(arguments)
        .output()
        .map_err(|error| format!("{program}: {error}"))?;
    if output.status.success() {
        return Ok(());
    }
    Err(format!("{program}: {}", String::from_utf8_lossy(&output.stderr).trim()))
}
