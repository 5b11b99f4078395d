//! Times of many runs, and where in them a share lies.

use std::time::Instant;

use crate::Failure;

/// Times in order, in microseconds.
pub struct Times(Vec<f64>);

impl Times {
    pub fn new(mut us: Vec<f64>) -> Times {
        us.sort_by(f64::total_cmp);
        Times(us)
    }

    /// The time that this share of the runs kept to: 0.5 is the median.
    pub fn at(&self, share: f64) -> f64 {
        self.0[((self.0.len() - 1) as f64 * share) as usize]
    }
}

/// One run in microseconds, and what came of it.
pub fn timed<T>(work: impl FnOnce() -> Result<T, Failure>) -> Result<(f64, T), Failure> {
    let start = Instant::now();
    let done = work()?;
    Ok((start.elapsed().as_secs_f64() * 1e6, done))
}

/// Memory of this process in MiB as the system counts it: `VmRSS` now, `VmHWM` at its highest.
/// Nothing where the system does not say.
pub fn memory_mib(which: &str) -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with(which))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}
