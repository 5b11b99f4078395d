//! What was acknowledged is there, none of it twice, after the process is killed, the disk fills or
//! the power fails. What was acknowledged is noted outside the store, by the process that asked.
//!
//! The short form runs with the other tests. `SWARD_FAULT_ROUNDS=500 cargo test faults` runs on.
//! Faults that need a mount are skipped, with the reason printed, where mounting is not allowed.

mod child;
mod disk_full;
mod judge;
mod kill;
mod latency;
mod mounts;
mod network;
mod power_loss;

/// How often a fault is brought about.
fn rounds(short: usize) -> usize {
    let asked = std::env::var("SWARD_FAULT_ROUNDS").ok();
    asked.map_or(short, |text| text.parse().expect("SWARD_FAULT_ROUNDS is a number"))
}
