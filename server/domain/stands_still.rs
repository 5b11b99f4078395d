//! What is told to have to stop is said first, and a machine that may come apart is not driven to
//! find out why.
//! Deliberately absent: which words tell it (`danger`), whether it may go on (`running_on`).

use super::catalogue::{Equipment, Knowledge};
use super::complaint::{Diagnosis, NextStep, step_cautions};
use super::danger::Danger;
use super::diagnosis::plan::StepKind;
use super::language::hearing::Heard;

/// The finding that a machine shakes.
const VIBRATES: &str = "vibrates";
/// What is shown only by driving carries this caution.
const OVER_TURF: &str = "slopes";
/// The same, though it carries none.
const UNDER_LOAD: &str = "measure_engine_speed";

/// What has to stop before anything is looked into is said first.
pub(super) fn stop_first(knowledge: &Knowledge, danger: &Danger, answer: &mut Diagnosis) {
    let Some(row) = danger.stop.as_ref().and_then(|id| knowledge.refusal(id)) else { return };
    answer.message = format!("{}\n{}", row.safe_way, answer.message);
    let first = row.cautions.iter().filter(|id| !answer.cautions.contains(id)).cloned();
    answer.cautions = first.chain(answer.cautions.clone()).collect();
}

/// That a deck shakes is kept as it was told, however seldom it goes with what else was told.
pub(super) fn keep_shaking(kind: Equipment, said: &[Heard], heard: &mut Vec<Heard>) {
    let told = |list: &[Heard]| list.iter().find(|one| one.finding == VIBRATES).cloned();
    let shakes = told(said).filter(|one| one.present && kind == Equipment::RotaryDeck);
    if let Some(shakes) = shakes.filter(|_| told(heard).is_none()) {
        heard.push(shakes);
    }
}

/// Steps that drive a deck which shakes come behind those that look at it while it stands.
pub(super) fn put_off_driving(
    knowledge: &Knowledge,
    kind: Equipment,
    heard: &[Heard],
    steps: &mut [NextStep],
) {
    let shakes = heard.iter().any(|one| one.present && one.finding == VIBRATES);
    if !shakes || kind != Equipment::RotaryDeck {
        return;
    }
    let drives = |step: &NextStep| {
        let cautions = step_cautions(knowledge, kind, step.kind, &step.id);
        step.id == UNDER_LOAD || cautions.iter().any(|id| id == OVER_TURF)
    };
    // Handing over comes before what may hurt somebody.
    steps.sort_by_key(|step| match step.kind {
        StepKind::Specialist => 1,
        _ => 2 * u8::from(drives(step)),
    });
}
