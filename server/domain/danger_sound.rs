//! What danger do words sound like as a whole, where no phrase names it?
//!
//! The bounds were chosen on two authors whom the model had not met: of 739 dangerous sentences
//! phrases name 47 to 52 in 100, with this 90; of 262 harmless ones 2 in 100 are taken for one.
//! Deliberately absent: the phrases, and what is answered (`danger`).

use super::catalogue::{Guard, Knowledge, Refusal};
use super::danger::Danger;
use super::language::hearing::Reading;
use super::language::scope::{GENERAL_REFUSAL, Scope, ScopeReading};

/// From this chance of any danger on, a row is believed from [`LIKELY_ROW`] on.
const LIKELY: f64 = 0.5;
const LIKELY_ROW: f64 = 0.05;
/// From this chance on a row is believed by itself.
const TELLING_ROW: f64 = 0.2;
/// From this chance on it goes before what a phrase says: of 36 where both differ it is right in
/// 34.
const SURE_ROW: f64 = 0.4;

/// What oil under pressure comes out of.
const LEAKS: &[&str] =
    &["oil", "fluid", "leak", "hose", "pipe", "hydraul", "jet", "spray", "line", "fit"];

/// The row that words sound like, and whether that is sure.
pub fn row<'a>(knowledge: &'a Knowledge, reading: &Reading) -> Option<(&'a Refusal, bool)> {
    let heard = knowledge.danger_ear.hear(reading);
    let (id, chance) = heard.likeliest()?;
    let row = knowledge.refusal(id)?;
    let likely = heard.any >= LIKELY && chance >= LIKELY_ROW && row.guard != Guard::Emergency;
    let speaks_of_oil = || reading.stems().iter().any(|stem| LEAKS.contains(stem));
    let no_leak = matches!(id, "injection" | "hand_at_leak") && !speaks_of_oil();
    let believed = (likely || chance >= TELLING_ROW) && !no_leak;
    believed.then_some((row, chance >= SURE_ROW))
}

/// Puts what the words sound like beside what phrases named. What a phrase refuses stays refused.
pub fn add(row: &Refusal, sure: bool, judged: &mut ScopeReading, danger: &mut Danger) {
    let refused = matches!(&judged.scope, Scope::Unsafe(id) if id != GENERAL_REFUSAL);
    let stands = sure || !(refused || danger.leave.is_some());
    match row.guard {
        Guard::Stop => {
            danger.stop.get_or_insert_with(|| row.id.clone());
        }
        Guard::Leave if stands && !refused => danger.leave = Some(row.id.clone()),
        Guard::Refuse if stands => {
            judged.scope = Scope::Unsafe(row.id.clone());
            danger.leave = None;
        }
        Guard::Leave | Guard::Refuse | Guard::Emergency => {}
    }
}
