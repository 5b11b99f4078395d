//! Which numbers without a unit are hours or heights, in a record of such?
//! Deliberately absent: numbers that a word names, which the cues place (`assign`).

use super::assign::Assigned;
use super::settle::{is_likely, settle};
use super::spoken::Spoken;

/// "Meter: 3,412", "engine seven hundred and two": numbers of a record of hours need no unit; what
/// no day is as long as is what the meter reads. One number, or one for each of the machines.
pub(super) fn bare_hours(spoken: &Spoken, machines: usize, assigned: &mut Vec<Assigned>) {
    let free = |index: usize| !assigned.iter().any(|one| one.quantity == index);
    let open: Vec<usize> = (0..spoken.quantities.len())
        .filter(|index| free(*index) && spoken.quantities[*index].unit.is_none())
        .collect();
    let metered = assigned.iter().any(|one| one.field == "machine_hours_h");
    let alone = assigned.is_empty();
    // "The rough mower did five and a half hours and the rotary three".
    let run = assigned.iter().filter(|one| one.field == "hours_run_h").count();
    let all = machines > 1 && !assigned.is_empty() && open.len() + assigned.len() == machines;
    let each = all && run == assigned.len();
    // "F1 1,210, F2 1,185, F3 990 hours".
    let read = all && assigned.iter().all(|one| one.field == "machine_hours_h");
    if open.len() != 1 && !(alone && open.len() == machines) && !each && !read {
        return;
    }
    for index in open {
        let long = !is_likely("hours_run_h", spoken.quantities[index].value);
        let field = match (long, metered && !read, alone || each) {
            (true, false, _) => "machine_hours_h",
            (false, _, true) => "hours_run_h",
            _ => continue,
        };
        assign_bare(spoken, index, field, assigned);
    }
    assigned.sort_by_key(|one| one.quantity);
}

/// Nothing runs longer on one day, in hours.
const RAN_H_MAX: f64 = 24.0;

/// "Log hours on the verticut; 2 hours": no meter reads so little, where none is spoken of.
pub(super) fn hours_of_a_day(spoken: &Spoken, assigned: &mut [Assigned]) {
    const METER: &[&str] = &[
        "meter", "clock", "reads", "reading", "engine", "counter", "at", "new", "total", "hourmeter",
    ];
    let said = |at: usize| spoken.token(at);
    let meter = (0..spoken.tokens.len())
        .any(|at| METER.contains(&said(at)) || (said(at) == "machine" && said(at + 1) == "hours"));
    let run = assigned.iter().any(|one| one.field == "hours_run_h");
    if meter || run {
        return;
    }
    for one in assigned.iter_mut().filter(|one| one.field == "machine_hours_h") {
        if one.settled.value <= RAN_H_MAX {
            one.field = "hours_run_h".to_owned();
        }
    }
}

/// Takes a bare number for a field, where it is a likely one.
fn assign_bare(spoken: &Spoken, index: usize, field: &str, assigned: &mut Vec<Assigned>) {
    let settled = settle(spoken, index, field).filter(|one| is_likely(field, one.value));
    assigned.extend(settled.map(|settled| Assigned {
        field: field.to_owned(),
        quantity: index,
        settled,
        by_cue: false,
    }));
}

/// "Unit 1 9.00, unit 2 9.05, unit 3 8.95 on the bench": where all of them were read, and no
/// setting beside heights that a prism read.
pub(super) fn read_on_the_bench(spoken: &Spoken, turf: bool, assigned: &mut [Assigned]) {
    let others = assigned.iter().any(|one| one.field == "height_mm");
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let sited = |one: &Assigned| {
        let last = spoken.quantities[one.quantity].last;
        text(last + 1) == "on" && text(last + 2) == "the"
    };
    // "On the bench: 19.7 mm at the left": what is read at an end is no setting.
    let at_end = |one: &Assigned| {
        let last = spoken.quantities[one.quantity].last;
        (last + 1..last + 4).any(|at| matches!(text(at), "left" | "right"))
    };
    let read = |one: &Assigned| sited(one) || at_end(one);
    for one in assigned.iter_mut().filter(|one| others && !turf && read(one)) {
        if one.field == "bench_height_mm" {
            "height_mm".clone_into(&mut one.field);
        }
    }
}

/// Heights without a word for them, and what was wanted before they were read.
pub(super) fn heights_told(spoken: &Spoken, assigned: &mut Vec<Assigned>) {
    bare_heights(spoken, assigned);
    wanted_first(spoken, assigned);
}

/// "Set it to 9.5, got 9.48 left 9.52 right": what was wanted stands before what was read.
fn wanted_first(spoken: &Spoken, assigned: &mut [Assigned]) {
    const READ: &[&str] = &[
        "got", "get", "read", "reads", "reading", "came", "measured", "checked", "bar", "shows", "showed", "says", "said",
        "gave", "now",
    ];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let heights = || assigned.iter().filter(|one| one.field == "height_mm");
    let (Some(first), Some(second)) = (heights().next(), heights().nth(1)) else { return };
    let (from, next) = (&spoken.quantities[first.quantity], &spoken.quantities[second.quantity]);
    let to = from.first.checked_sub(1).is_some_and(|at| matches!(text(at), "to" | "for" | "at"));
    let set = (0..from.first).any(|at| matches!(text(at), "set" | "reset" | "wanted" | "aimed" | "want" | "target"));
    let read = (from.last + 1..next.first).any(|at| READ.contains(&text(at)));
    let quantity = first.quantity;
    let named = assigned.iter().any(|one| one.field == "target_height_mm");
    let told = to && set && read && !named;
    for one in assigned.iter_mut().filter(|one| told && one.quantity == quantity) {
        "target_height_mm".clone_into(&mut one.field);
    }
}

/// "Eighteen and a half left, eighteen right", "twelve point oh": a whole number in words is a
/// height, and no count, where its end is said, its point, or another number beside it.
fn bare_heights(spoken: &Spoken, assigned: &mut Vec<Assigned>) {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let side = |at: usize| matches!(text(at), "left" | "right" | "centre" | "center" | "middle");
    let heights: Vec<usize> = assigned
        .iter()
        .filter(|one| one.field == "height_mm")
        .map(|one| one.quantity)
        .collect();
    for (index, quantity) in spoken.quantities.iter().enumerate() {
        let free = !assigned.iter().any(|one| one.quantity == index);
        let (first, last) = (quantity.first, quantity.last);
        let on_the = text(last + 1) == "on" && text(last + 2) == "the" && side(last + 3);
        let placed = side(last + 1) || on_the || first.checked_sub(1).is_some_and(side);
        let pointed = (first..=last).any(|at| text(at) == "point");
        let beside = |other: &usize| {
            let other = &spoken.quantities[*other];
            other.last + 1 == first || last + 1 == other.first
        };
        let stands = pointed || placed || heights.iter().any(beside);
        let alone = heights.is_empty() && !pointed;
        if !free || quantity.unit.is_some() || !quantity.in_words || alone || !stands {
            continue;
        }
        assign_bare(spoken, index, "height_mm", assigned);
    }
    assigned.sort_by_key(|one| one.quantity);
}
