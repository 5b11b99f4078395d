//! Records as plain data: every field survives every form it is written in, and the reports that
//! people make at the bench can all be written down.

pub mod filled;
mod checks;
mod tables;
mod reports;
mod contract;
