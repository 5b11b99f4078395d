//! RING 0, the trade: pure, synchronous, deterministic. No clock, file, socket, contract type or
//! database is named here; facts, times and ids come in as arguments.

pub mod catalogue;
pub mod limits;
pub mod paper_said;
pub mod ruled_out;
pub mod said;
pub mod number_text;
pub mod typed_quantity;
pub mod units;
pub mod language;
pub mod diagnosis;
pub mod settings;
pub mod models;
pub mod spacing_said;
pub mod spoken_evidence;
pub mod sense;
mod unit_or_end;
pub mod danger;
mod danger_sound;
pub mod job_asked;
pub mod running_on;
mod stands_still;
pub mod tried;
pub mod pushed;
pub mod reported;
pub mod passages;
pub mod complaint;
pub mod past_fixes;
pub mod walkthrough;
pub mod conversation;
pub mod recall;
pub mod records;
pub mod intent;
pub mod demo;
pub mod fleet;
pub mod wording;
