//! What was measured that is no height of cut: the gap by feeler, how far blades overlap, the depth
//! of grooves, the pressure of two tyres? It is an inspection, and what has no field of its own is
//! noted with its name and side.
//! Deliberately absent: one number that has a field (`record_fields`).

use super::assign::Assigned;
use super::readings::all_places;
use super::spoken::Spoken;
use crate::domain::said::numbers::Quantity;
use crate::domain::units::plain;

/// Words that name what was measured, what it is called in a note, and the units it is read in.
const THINGS: &[(&[&str], &str, &[&str])] = &[
    (&["feeler", "feelers", "gap", "gaps", "clearance"], "gap", LENGTHS),
    (&["overlap", "overlaps", "overlapping"], "overlap", LENGTHS),
    (&["groove", "grooves", "slit", "slits"], "groove depth", LENGTHS),
    (&["tyre", "tyres", "tire", "tires", "pressure", "pressures"], "tyre pressure", &["kPa", "psi", "bar"]),
];
const LENGTHS: &[&str] = &["mm", "in", "thou"];
/// What says that it is the height that was read all the same.
const OF_HEIGHT: &[&str] = &[
    "height", "heights", "hoc", "bench", "benched", "prism", "bar", "cut", "cutting", "cuts", "set", "mowing",
];

/// Tokens from a number to the side that it was read at.
const BEHIND: usize = 3;

fn says(spoken: &Spoken, words: &[&str]) -> bool {
    spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
}

/// What the words name, with the units that it is read in.
fn thing(spoken: &Spoken) -> Option<(&'static str, &'static [&'static str])> {
    let row = THINGS.iter().find(|(words, _, _)| says(spoken, words))?;
    Some((row.1, row.2))
}

/// Whether lengths that were read are of something else than the height of cut.
pub(super) fn is_other_than_height(spoken: &Spoken) -> bool {
    let of_length = thing(spoken).is_some_and(|(_, units)| units == LENGTHS);
    of_length && !says(spoken, OF_HEIGHT) && !spoken.quantities.is_empty()
}

/// "67 kPa left and 58 right": the second of two sides is in the unit of the first.
pub(super) fn share_unit_by_side(spoken: &mut Spoken) {
    let side = |one: &Quantity| {
        let behind = spoken.tokens.get(one.last + 1).map_or("", |token| token.text.as_str());
        matches!(behind, "left" | "right" | "front" | "rear")
    };
    let [first, second] = &spoken.quantities[..] else { return };
    let unit = first.unit.filter(|_| second.unit.is_none() && side(first) && side(second));
    if unit.is_some() {
        spoken.quantities[1].unit = unit;
    }
}

/// The sides of one thing that were read: which number, and how it is noted. Empty where fewer than
/// two were, or where a number is of something else.
fn sides(spoken: &Spoken) -> Vec<(usize, String)> {
    let Some((name, units)) = thing(spoken) else { return Vec::new() };
    let places = all_places(&spoken.tokens);
    let side = |(index, one): (usize, &Quantity)| {
        let unit = one.unit.filter(|unit| units.contains(unit))?;
        let behind = |(at, _): &&(usize, String)| *at > one.last && *at <= one.last + BEHIND;
        let place = places.iter().find(behind)?.1.replace('_', " ");
        Some((index, format!("{name} {place}: {} {unit}", plain(one.value))))
    };
    let all = spoken.quantities.iter().enumerate();
    let found: Vec<(usize, String)> = all.filter_map(side).collect();
    let all = found.len() == spoken.quantities.len();
    if all && found.len() > 1 { found } else { Vec::new() }
}

/// Two sides of one thing go to no field, which would hold but one of them.
pub(super) fn keep_for_notes(spoken: &Spoken, assigned: &mut Vec<Assigned>) {
    let sides = sides(spoken);
    assigned.retain(|one| !sides.iter().any(|(index, _)| *index == one.quantity));
}

/// "Gap left: 4 thou; gap right: 1 thou", where no field took them.
pub(super) fn noted(spoken: &Spoken, assigned: &[Assigned]) -> String {
    let free = |index: &usize| !assigned.iter().any(|one| one.quantity == *index);
    let notes = sides(spoken).into_iter().filter(|(index, _)| free(index)).map(|(_, note)| note);
    notes.collect::<Vec<_>>().join("; ")
}
