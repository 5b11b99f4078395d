//! Which numbers of a sum are not what their unit alone says: the diameter of a reel in a question
//! of its clip ("reel 125 mm"), and so many of a size ("14 pitches of 7000 sq m"), which is their product?
//! Also which quantity is asked for outright ("which ground speed would give 4 mm").
//! Deliberately absent: numbers that cue words place (`assign`).

use super::filled::Filled;
use super::settle::Settled;
use super::spoken::Spoken;
use crate::domain::said::numbers::Quantity;
use crate::domain::units::{convert, decimal, plain};

type Placed = Vec<(usize, String, Settled)>;

/// A reel is set to no such height or clip, and is mostly so wide across (common practice, no
/// source).
const REEL_DIAMETER_MIN_MM: f64 = 90.0;
/// Smaller areas that are mown, of which there are several.
const OF_THEM: &[&str] = &[
    "pitches", "pitch", "greens", "fairways", "tees", "lawns", "fields", "areas", "courts", "squares",
    "plots", "holes", "verges", "banks", "strips", "paddocks",
];
/// Between the count and the size.
const EACH: &[&str] = &["of", "at", "each", "about", "a", "roughly", ",", "being", "with", "per", "x"];
/// What may be asked for outright, and its field in each sum that has it.
const WANTED: &[(&[&str], &[&str])] = &[
    (&["ground", "forward", "travel", "driving", "walking", "mowing"], &["ground_speed_mps"]),
    (&["reel", "cylinder"], &["reel_speed_rpm"]),
    (&["shaft", "rotor"], &["shaft_speed_rpm"]),
    (&["spindle", "blade"], &["max_spindle_speed_rpm"]),
];

/// What is no height of cut is taken out of a clip, and several areas are put together.
pub fn by_size(calculation: &str, spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    match calculation {
        "clip_spacing" => reel_diameter(filled, placed),
        "field_capacity" => so_many_of(spoken, filled, placed),
        _ => {}
    }
}

fn reel_diameter(filled: &mut Filled, placed: &mut Placed) {
    for field in ["height_of_cut_mm", "clip_spacing_mm"] {
        if filled.get_number(field).is_some_and(|length| length >= REEL_DIAMETER_MIN_MM) {
            filled.remove(field);
            placed.retain(|(_, known, _)| known != field);
        }
    }
}

fn so_many_of(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let area = |one: &Quantity| one.unit.and_then(|unit| convert(one.value, unit, "ha"));
    let pair = (0..spoken.quantities.len().saturating_sub(1)).find_map(|at| {
        let (count, size) = (&spoken.quantities[at], &spoken.quantities[at + 1]);
        let between: Vec<&str> = (count.last + 1..size.first).map(text).collect();
        let named = between.iter().any(|word| OF_THEM.contains(word));
        let plain = between.iter().all(|word| OF_THEM.contains(word) || EACH.contains(word));
        let whole = count.unit.is_none() && count.value.fract() == 0.0 && count.value > 1.0;
        Some((at, count.value, size, area(size)?)).filter(|_| named && plain && whole)
    });
    let Some((at, count, size, each_ha)) = pair else { return };
    let value = count * each_ha;
    filled.number("area_ha", value);
    placed.retain(|(index, field, _)| *index != at && *index != at + 1 && field != "area_ha");
    let unit = size.unit.unwrap_or("ha");
    let told = format!(
        "{} of {} {unit} are {} ha", plain(count), plain(size.value), decimal(value, 2)
    );
    let settled = Settled { value, unit: "ha", assumption: Some(told) };
    placed.push((at + 1, "area_ha".to_owned(), settled));
    placed.sort_by_key(|(index, ..)| *index);
}

/// "Which ground speed would give me", "what reel speed do I need for": the field that is wanted.
pub fn wanted_outright(spoken: &Spoken) -> Option<&'static str> {
    let words: Vec<&str> = spoken.tokens.iter().map(|token| token.text.as_str()).collect();
    let asks = words.iter().position(|word| matches!(*word, "which" | "what" | "whats"))?;
    let speed = (asks + 1..words.len().min(asks + 5)).find(|at| words[*at] == "speed")?;
    let of = words[asks + 1..speed].last().copied().unwrap_or_default();
    let wants = words[speed..].iter().any(|word| {
        matches!(*word, "give" | "gives" | "get" | "need" | "for" | "want" | "makes" | "make" | "brings")
    });
    let row = WANTED.iter().find(|(names, _)| names.contains(&of))?;
    row.1.first().copied().filter(|_| wants)
}
