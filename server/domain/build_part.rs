//! The part of the trade that the build needs, to check and fit the knowledge; see `build.rs`.

pub mod catalogue;
pub mod language;
pub mod said;
