//! Which numbers beside grinding are diameters, and which tell of taper: "ground to 173.9", "124.7
//! to 124.2", "174.02 now", "taper 0.08 before and 0.02 after"? A number that no word names as hours
//! is none, whatever its size.
//! Deliberately absent: diameters by their name, which the cues place.

use std::collections::BTreeSet;

use super::assign::Assigned;
use super::record_kind::METERED;
use super::settle::settle;
use super::spoken::Spoken;
use crate::domain::records::RecordKind;
use crate::domain::said::numbers::Quantity;

/// What is done to a reel that takes metal off it.
const GRINDS: &[&str] = &["ground", "reground", "spun", "grind", "grinding", "spin"];
/// Before "ground" where it is the earth.
const EARTH: &[&str] = &[
    "the", "soft", "wet", "hard", "firm", "sports", "our", "cricket", "rough", "damp", "dry", "home",
];
/// Reels are as wide, mm (common practice, no source).
pub const WIDE_MM: std::ops::RangeInclusive<f64> = 60.0..=350.0;
/// Nothing that is ground is so narrow, mm (common practice, no source).
const NARROW_MM: f64 = 20.0;
/// Work takes no longer, and no part lasts as short, h (common practice, no source).
pub(super) const WORKED_H_MAX: f64 = 10.0;
/// What says that hours passed since a fault was put right, and are not those of the work.
const SINCE: &[&str] = &[
    "since", "after", "for", "later", "ago", "now", "ran", "run", "runs", "running", "lasted", "trouble", "bother", "peep",
    "without", "on", "still", "in", "with", "been", "going", "held", "holding",
];
/// What a fault shows itself by: none of it in a time that is told tells how long it has held.
const FAULTY: &[&str] = &[
    "noise", "noises", "rumble", "squeal", "knock", "rattle", "leak", "leaks", "vibration", "shake", "streak",
    "streaks", "streaking", "fault", "faults", "problem", "problems", "issue", "issues", "complaint", "complaints",
];
/// No taper is more, mm (common practice, no source).
const TAPER_MAX_MM: f64 = 5.0;

/// Tokens of what was ground.
pub(super) fn grindings(spoken: &Spoken) -> Vec<usize> {
    let is = |at: &usize| {
        let before = at.checked_sub(1).map_or("", |at| spoken.token(at));
        let earth = spoken.token(*at) == "ground" && EARTH.contains(&before);
        GRINDS.contains(&spoken.token(*at)) && !earth
    };
    (0..spoken.tokens.len()).filter(is).collect()
}

pub(super) fn grinds(spoken: &Spoken) -> bool {
    !grindings(spoken).is_empty()
}

/// "Taper 0.08 before": a number right behind the word.
pub(super) fn tells_taper(spoken: &Spoken) -> bool {
    spoken.quantities.iter().any(|one| is_taper(spoken, one))
}

/// Whether a number tells how much a reel tapers: within the words behind "taper".
pub(super) fn is_taper(spoken: &Spoken, one: &Quantity) -> bool {
    let said = |at: &usize| matches!(spoken.token(*at), "taper" | "tapered" | "tapers" | "cone" | "coned");
    let Some(at) = (0..one.first).rev().find(said) else { return false };
    let same = spoken.tokens[at].sentence == spoken.tokens[one.first].sentence;
    let length = matches!(one.unit, None | Some("mm" | "thou" | "in"));
    same && length && one.value < TAPER_MAX_MM
}

/// "Taper before: 0.08 mm", as the notes keep it.
pub(super) fn taper_note(spoken: &Spoken, one: &Quantity) -> Option<String> {
    if !is_taper(spoken, one) {
        return None;
    }
    let when = (one.last + 1..one.last + 3).map(|at| spoken.token(at));
    let when = when.filter(|word| matches!(*word, "before" | "after" | "now" | "left")).next();
    let unit = one.unit.unwrap_or("mm");
    let value = crate::domain::units::plain(one.value);
    Some(when.map_or_else(
        || format!("taper: {value} {unit}"),
        |when| format!("taper {when}: {value} {unit}"),
    ))
}

/// Puts the numbers of a record where they belong: no hours but what is said to be, no diameter of
/// a taper, and diameters where a reel was ground.
pub(super) fn put_right(spoken: &Spoken, kind: RecordKind, assigned: &mut Vec<Assigned>) {
    assigned.retain(|one| {
        let said = &spoken.quantities[one.quantity];
        let metered = one.field != "machine_hours_h" || kind == RecordKind::Hours || is_metered(spoken, said);
        let of_length = one.field.ends_with("_mm") && one.field != "end_play_mm";
        let named = |words: &[&str]| spoken.tokens.iter()
            .any(|token| words.contains(&token.text.as_str()));
        let angle = one.field != "relief_angle_deg" || said.unit.is_some()
            || named(&["relief", "angle", "degree", "degrees", "deg"]);
        // "Bench two did it".
        let before = said.first.checked_sub(1).map_or("", |at| spoken.token(at));
        // "Ground 1 to 5": no reel is so narrow in millimetres, and inches have to be said.
        let narrow = one.field.starts_with("diameter_") && said.unit.is_none() && !said.fraction
            && said.value.fract() == 0.0 && said.value < *WIDE_MM.start();
        // "2 was six thou": no reel is, in whatever unit.
        let narrow = narrow || (one.field.starts_with("diameter_") && one.settled.value < NARROW_MM);
        let person = said.in_words && said.unit.is_none() && before == "bench";
        let lasted = one.field != "life_h" || said.value > WORKED_H_MAX || said.unit != Some("h")
            || named(&["ran", "lasted", "life", "old", "had", "did", "run", "after", "since"]);
        let clause = spoken.tokens[said.first].segment;
        let since = one.field != "hours_since_h" || says_no_fault(spoken, said) || spoken.tokens.iter()
            .any(|token| token.segment == clause && SINCE.contains(&token.text.as_str()));
        let taper = of_length && is_taper(spoken, said);
        metered && angle && lasted && since && !person && !narrow && !taper
    });
    if kind == RecordKind::Sharpening && grinds(spoken) {
        diameters(spoken, assigned);
    }
    if kind != RecordKind::Hours {
        minutes(spoken, assigned);
    }
}

/// "12 hrs and no noise": right behind a time.
fn says_no_fault(spoken: &Spoken, one: &Quantity) -> bool {
    let and = usize::from(matches!(spoken.token(one.last + 1), "and" | "," | "&"));
    let at = one.last + 1 + and;
    let more = usize::from(matches!(spoken.token(at + 1), "more" | "further" | "new"));
    spoken.token(at) == "no" && FAULTY.contains(&spoken.token(at + 1 + more))
}

/// "124.7 to 124.2, 55 mins": the one time that nothing took is how long it took.
fn minutes(spoken: &Spoken, assigned: &mut Vec<Assigned>) {
    let timed = |one: &Assigned| one.field.starts_with("duration");
    let other = ["run", "ran", "warmed", "every", "each", "after", "soaked", "a"];
    let free = |index: &usize| {
        let one = &spoken.quantities[*index];
        let before = one.first.checked_sub(1).map_or("", |at| spoken.token(at));
        let alone = one.first == 0
            || spoken.tokens[one.first - 1].segment != spoken.tokens[one.first].segment
            || matches!(before, "," | ";" | "took" | "in");
        let taken = assigned.iter().any(|known| known.quantity == *index);
        let behind = spoken.token(one.last + 1);
        let time = one.unit == Some("min") || (one.unit == Some("h") && one.value <= WORKED_H_MAX);
        time && alone && !taken && !other.contains(&behind)
    };
    let found: Vec<usize> = (0..spoken.quantities.len()).filter(free).collect();
    let [only] = found[..] else { return };
    if assigned.iter().any(timed) {
        return;
    }
    let Some(settled) = settle(spoken, only, "duration_min") else { return };
    let field = "duration_min".to_owned();
    assigned.push(Assigned { field, quantity: only, settled, by_cue: false });
    assigned.sort_by_key(|one| one.quantity);
}

/// ".130 to .120 on walker 2": of numbers, one at least must be of hours.
pub(super) fn tells_hours(spoken: &Spoken) -> bool {
    let of_hours = |one: &Quantity| {
        matches!(one.unit, None | Some("h" | "min" | "days" | "weeks")) && !one.leading_point
    };
    let any = |said: &dyn Fn(&str) -> bool| spoken.tokens.iter().any(|token| said(&token.text));
    let named = any(&|word| METER_WORDS.contains(&word) || RAN.contains(&word));
    let long = |one: &Quantity| one.unit == Some("h") || (one.unit.is_none() && one.value >= METERED);
    // "He means 9.3 on 3": nothing that ran is spoken of.
    let spoken_of = named || spoken.quantities.iter().any(long);
    spoken.quantities.is_empty() || (spoken_of && spoken.quantities.iter().any(of_hours))
}

/// What says that a number is read off the meter of hours, or is hours.
const METER_WORDS: &[&str] = &[
    "hours", "hrs", "hour", "hr", "h", "meter", "meters", "clock", "clocked", "engine", "counter",
    "clocks", "odometer", "hobbs", "hourmeter", "metre",
];
/// What a machine did in its hours.
const RAN: &[&str] = &[
    "ran", "run", "runs", "did", "done", "mowed", "mowing", "mown", "worked", "logged", "log", "since", "cut",
    "cutting", "out", "running", "put", "days", "day", "used", "on", "had", "has", "got",
];

/// "3,390 on the clock", "at 1,210 hours": by its unit, or by a word beside it.
fn is_metered(spoken: &Spoken, one: &Quantity) -> bool {
    let segment = spoken.tokens[one.first].segment;
    let beside = spoken.tokens.iter().filter(|token| token.segment == segment);
    one.unit == Some("h") || beside.into_iter().any(|token| METER_WORDS.contains(&token.text.as_str()))
}

/// Wide numbers that nothing took: one is what it came down to, of two the first is what it was.
fn diameters(spoken: &Spoken, assigned: &mut Vec<Assigned>) {
    let placed = |field: &str| assigned.iter().any(|one| one.field == field);
    let (before, after) = (placed("diameter_before_mm"), placed("diameter_after_mm"));
    let taken: BTreeSet<usize> = assigned.iter().map(|one| one.quantity).collect();
    let wide = |index: &usize| {
        let one = &spoken.quantities[*index];
        let length = matches!(one.unit, None | Some("mm"));
        length && !one.in_words && WIDE_MM.contains(&one.value) && !taken.contains(index)
            && !is_other(spoken, one)
    };
    let free: Vec<usize> = (0..spoken.quantities.len()).filter(wide).collect();
    // One diameter is what it came down to, where nothing says that it was so before.
    let was = spoken.tokens.iter().any(|token| {
        matches!(token.text.as_str(), "was" | "from" | "before" | "down" | "to" | "started" | "off")
    });
    if before && !after && free.is_empty() && !was {
        for one in assigned.iter_mut().filter(|one| one.field == "diameter_before_mm") {
            "diameter_after_mm".clone_into(&mut one.field);
        }
    }
    let fields: &[&str] = match (before, after, free.len()) {
        (false, false, 2) => &["diameter_before_mm", "diameter_after_mm"],
        (_, false, 1) => &["diameter_after_mm"],
        (false, true, 1) => &["diameter_before_mm"],
        _ => return,
    };
    for (index, field) in free.into_iter().zip(fields) {
        let Some(settled) = settle(spoken, index, field) else { continue };
        let field = (*field).to_owned();
        assigned.push(Assigned { field, quantity: index, settled, by_cue: false });
    }
    assigned.sort_by_key(|one| one.quantity);
}

/// "120 grit", "at 300 rpm", "90 off": no diameter.
pub(super) fn is_other(spoken: &Spoken, one: &Quantity) -> bool {
    const BEHIND: &[&str] = &["grit", "rpm", "min", "mins", "minutes", "hours", "hrs", "passes", "off", "thou"];
    const BEFORE: &[&str] = &["grit", "took", "unit", "number", "at", "wheel"];
    let before = one.first.checked_sub(1).map_or("", |at| spoken.token(at));
    BEHIND.contains(&spoken.token(one.last + 1)) || BEFORE.contains(&before)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    fn spoken(words: &str) -> Spoken {
        Spoken::new(words, tokens(words), &[])
    }

    fn placed(words: &str) -> Vec<(String, f64)> {
        let spoken = spoken(words);
        let mut assigned = Vec::new();
        put_right(&spoken, RecordKind::Sharpening, &mut assigned);
        assigned.into_iter().map(|one| (one.field, one.settled.value)).collect()
    }

    #[test]
    fn a_time_without_the_fault_is_that_since() {
        for (words, wanted) in [
            ("fixed the rumble on triplex unit 1, new bearing, 12 hrs and no noise", true),
            ("new belt, 12 h, no more trouble, no leaks", false),
            ("new belt, 30 h no more leaks", true),
            ("fixed the rumble, 3 hrs, no help", false),
            ("fixed the noise, 3 hrs", false),
        ] {
            let spoken = spoken(words);
            let got = spoken.quantities.iter().any(|one| says_no_fault(&spoken, one));
            assert_eq!(got, wanted, "{words}");
        }
    }

    #[test]
    fn what_a_reel_was_ground_to_is_its_diameter() {
        for (words, wanted) in [
            ("reel ground to 171.9", vec![("diameter_after_mm", 171.9)]),
            ("ground the reel, 171.02 now", vec![("diameter_after_mm", 171.02)]),
            (
                "ground it today, 121.7 to 121.2",
                vec![("diameter_before_mm", 121.7), ("diameter_after_mm", 121.2)],
            ),
            ("ground it with 120 grit", vec![]),
            ("the ground was 90 soft", vec![]),
            ("lapped it, 121.7 now", vec![]),
        ] {
            let wanted: Vec<(String, f64)> =
                wanted.into_iter().map(|(field, value)| (field.to_owned(), value)).collect();
            assert_eq!(placed(words), wanted, "{words}");
        }
    }

    #[test]
    fn a_taper_is_noted_as_one() {
        let spoken = spoken("ground it, taper 0.07 before and 0.01 mm after");
        let notes: Vec<String> =
            spoken.quantities.iter().filter_map(|one| taper_note(&spoken, one)).collect();
        assert_eq!(notes, ["taper before: 0.07 mm", "taper after: 0.01 mm"]);
        assert_eq!(placed("ground it, taper 0.07 before and 0.01 mm after"), []);
    }
}
