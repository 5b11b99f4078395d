//! **sward**: a local assistant for the people who keep turf mowing equipment cutting cleanly.
//!
//! ```text
//! client ──► pb ◄── service ──► knowledge ─┐
//!                      │   ├──► index ─────┼──► domain ──► std and pure crates
//!                      │   └──► store ─────┘       ▲
//!                      └───────────────────────────┘
//! ```
//! In reading order: the trade (`domain`), its facts (`knowledge`, `embedded`), what is kept
//! (`store`), and the only part that knows gRPC (`service`). No logic here.

pub mod domain;
pub mod knowledge;
pub mod embedded;
pub mod store;
pub mod index;
pub mod config;
pub mod service;

/// The contract, as Rust: generated from `proto/sward/v1`.
#[allow(clippy::all, clippy::pedantic, missing_docs)]
pub mod pb {
    tonic::include_proto!("sward.v1");
}

/// The contract as a descriptor set, with its comments: for reflection, JSON and the command line.
pub const DESCRIPTORS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/descriptor.bin"));

/// The contract, to make and read its messages by name.
pub fn contract() -> &'static prost_reflect::DescriptorPool {
    static POOL: std::sync::OnceLock<prost_reflect::DescriptorPool> = std::sync::OnceLock::new();
    POOL.get_or_init(|| {
        prost_reflect::DescriptorPool::decode(DESCRIPTORS).expect("the build made the descriptors")
    })
}
