//! May a machine go on working with what is wrong with it? By the worst that the likely causes can
//! do; nothing that was not looked at gets a bare yes.

use super::catalogue::{Equipment, Knowledge, RUNS_HOT, RunningOn, WithFault};
use super::complaint::in_hundred;
use super::wording::{lower_first, upper_first};

/// A cause that is less likely does not decide.
const LIKELY: f64 = 0.05;

/// The answer in a sentence or two. `causes`: id and chance. `known`: they were ranked by signs.
/// `hot`: it is told to run hot.
pub fn answer(
    knowledge: &Knowledge,
    kind: Equipment,
    causes: &[(&str, f64)],
    known: bool,
    hot: bool,
) -> String {
    let row = |id: &str| knowledge.running_on.iter().find(|row| row.cause == id);
    if let Some(hot) = row(RUNS_HOT).filter(|_| hot && kind != Equipment::RotaryDeck) {
        return format!(
            "No: stop it now and let it cool. {}. Isolate it, back the reel off or free what drags, \
             and find the cause before it turns again.",
            upper_first(&hot.why)
        );
    }
    if !known {
        return "Not before it has been looked at: what is wrong is not known yet. Stop it, isolate \
                it, and say what it shows."
            .to_owned();
    }
    let likely = causes.iter().filter(|(_, chance)| *chance >= LIKELY);
    let mut worst: Option<(&WithFault, f64)> = None;
    for (id, chance) in likely {
        let Some(row) = row(id) else { continue };
        if worst.is_none_or(|(before, _)| row.answer > before.answer) {
            worst = Some((row, *chance));
        }
    }
    let Some((row, chance)) = worst else {
        return "It will hurt nobody by what is known so far, but the grass pays for every round. \
                Put it right at the next chance, and stop at once when the sound or the shaking \
                changes."
            .to_owned();
    };
    let title = knowledge.cause(kind, &row.cause).map_or(row.cause.as_str(), |row| &row.title);
    let of = format!("{} ({}): {}", lower_first(title), in_hundred(chance), row.why);
    match row.answer {
        RunningOn::Stop => format!("No, not before it is put right. It may be {of}."),
        RunningOn::Soon => format!(
            "Only to end the round if it must, and not for days. It may be {of}. Stop at once when \
             the sound or the shaking changes."
        ),
        RunningOn::Poor => format!("It hurts the grass, nobody else. It may be {of}."),
    }
}
