//! Which number goes to which field? Cues claim numbers for fields; of all ways to grant the claims
//! the one is taken that places most numbers by the strongest claims. A number that cannot be of a
//! field is never granted, and what no cue claims goes to the one field that its unit leaves.
//! Deliberately absent: which calculation or record the fields belong to.

use std::collections::BTreeSet;

use super::cues::Cue;
use super::matching::best;
use super::settle::{Settled, imperial, is_likely, likely, settle, unit_of_field};
use super::spoken::Spoken;
use super::understood::label;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::placing::Leanings;
use crate::domain::units::Kind;

/// A number that goes to a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Assigned {
    pub field: String,
    /// Index of the quantity.
    pub quantity: usize,
    pub settled: Settled,
    /// A cue said so, not only the unit.
    pub by_cue: bool,
}

/// The fields that numbers can go to.
#[derive(Clone, Copy, Debug)]
pub struct Fields<'a> {
    /// Fields of one number that may be filled by what the unit leaves.
    pub singles: &'a [&'a str],
    /// Fields of many numbers.
    pub lists: &'a [&'a str],
    /// The list that takes numbers no cue claims.
    pub catch_all: Option<&'a str>,
    /// What rows of readings fill, and no number by itself.
    pub rows: &'a [&'a str],
}

struct Claim {
    score: i32,
    word: usize,
    field: String,
}

/// Cue weights count tens, so that a gap of some words never outdoes a heavier cue.
const WEIGHT: i32 = 10;
/// Off a score when the number is unlikely for the field.
const UNLIKELY: i32 = 40;
/// On a score when the number's own unit is of the field's kind.
const FITTING_UNIT: i32 = 4;

/// What speaks for a field in a sentence: its cues, and what sentences like it taught.
#[derive(Clone, Copy, Debug)]
pub struct Signs<'a> {
    pub cues: &'a [Cue<'a>],
    /// What the ids of the cues begin with.
    pub prefixes: &'a [&'a str],
    pub learned: &'a Leanings<'a>,
}

impl Signs<'_> {
    /// What the words around a number teach of it, in log odds.
    pub fn lean(&self, spoken: &Spoken, index: usize, field: &str) -> f64 {
        let start = spoken.tokens[spoken.quantities[index].first].start;
        self.learned.lean(start, field)
    }

    /// Whether a number is surely of a row, or surely not.
    pub fn of_row(&self, spoken: &Spoken, index: usize, rows: &[&str]) -> Option<bool> {
        let lean = |field: &&str| self.lean(spoken, index, field);
        let best = rows.iter().map(lean).reduce(f64::max)?;
        let sure = if best > 0.0 { TAUGHT } else { NO_READING };
        (best.abs() > sure).then_some(best > 0.0)
    }
}

/// Assigns the numbers of a sentence. `taken` are quantities that are spoken for.
pub fn assign(
    spoken: &Spoken,
    signs: &Signs,
    fields: Fields,
    taken: &BTreeSet<usize>,
) -> Vec<Assigned> {
    let claims = claims(spoken, signs.cues, signs.prefixes);
    let mut out: Vec<Assigned> = Vec::new();
    let mut used = taken.clone();
    for (word, field, by_cue) in together(spoken, &claims, signs, fields, taken) {
        let certain = by_cue || fits_one(spoken, word, fields);
        grant(spoken, word, &field, (by_cue, certain), &mut used, &mut out);
    }
    by_unit(spoken, signs, fields, &mut used, &mut out);
    out.sort_by_key(|assigned| assigned.quantity);
    out
}

fn claims(spoken: &Spoken, cues: &[Cue], prefixes: &[&str]) -> Vec<Claim> {
    let mut out = Vec::new();
    for cue in cues.iter().filter(|cue| cue.family == "value") {
        let Some((prefix, names)) = cue.id.split_once('.') else { continue };
        if !prefixes.contains(&prefix) {
            continue;
        }
        let names: Vec<&str> = names.split(',').map(str::trim).collect();
        let numbers: Vec<usize> =
            cue.words.iter().copied().filter(|word| is_number(spoken, *word)).collect();
        if numbers.len() < names.len() {
            continue;
        }
        let base =
            WEIGHT * i32::try_from(cue.weight).unwrap_or(1) - i32::try_from(cue.gap()).unwrap_or(0);
        // A pattern of several numbers claims all of them or none.
        let scores: Option<Vec<i32>> =
            names.iter().zip(&numbers).map(|(name, word)| score(spoken, name, *word)).collect();
        let Some(scores) = scores else { continue };
        for ((name, word), score) in names.iter().zip(numbers).zip(scores) {
            out.push(Claim { score: base + score, word, field: (*name).to_owned() });
        }
    }
    out
}

/// What the number itself adds to a claim; `None` when it cannot be of the field.
fn score(spoken: &Spoken, field: &str, word: usize) -> Option<i32> {
    let index = *spoken.places[word].quantities.first()?;
    let bare = spoken.quantities[index].unit.is_none();
    if bare && matches!(field, "remaining_h" | "duration_min" | "duration_each_min") {
        return None;
    }
    let quantity = &spoken.quantities[index];
    if only_counts(spoken, index, field) {
        return None;
    }
    // "Took two tenths off" is no time.
    if bare && quantity.fraction && field.starts_with("duration") {
        return None;
    }
    // "A quarter at a time" is a share.
    if bare && field == "step_limit_mm" && quantity.fraction {
        return None;
    }
    // "12 thick": a number of a part counts it, unless it says so.
    let thick = || {
        let next = spoken.tokens.get(quantity.last + 1).map(|token| token.text.as_str());
        matches!(next, Some("thick" | "thickness"))
    };
    if bare && field == "thickness_mm" && !thick() {
        return None;
    }
    // Turns are said; unbalance is read off a balancer in its own unit.
    if bare && matches!(field, "measured_turns_count" | "unbalance_g_mm") {
        return None;
    }
    if bare && field == "working_width_mm" && counts_units(spoken, index) {
        return None;
    }
    // Seconds are no hours of a machine, though both are times.
    if field.ends_with("_h") && quantity.unit == Some("s") {
        return None;
    }
    let settled = settle(spoken, index, real_field(field))?;
    let unlikely = !is_likely(real_field(field), settled.value);
    // "What speed with a 25 mm cut": no machine is as narrow.
    if unlikely && field == "working_width_mm" {
        return None;
    }
    let fitting = spoken.quantities[index].unit.is_some();
    let unlikely = unlikely || is_guessed(spoken, index, &settled);
    Some(if unlikely { -UNLIKELY } else { 0 } + if fitting { FITTING_UNIT } else { 0 })
}

/// "One", "two": a small number in words without a unit counts things, and is of no field that needs
/// a unit.
fn only_counts(spoken: &Spoken, index: usize, field: &str) -> bool {
    let one = &spoken.quantities[index];
    let counts = one.unit.is_none() && one.in_words && one.value < SURELY_NO_COUNT;
    counts && needs_unit(field) && !may_lack_unit(spoken, field)
}

/// Hours run, and "seven degrees top, fifteen front": an angle beside one that has its unit.
fn may_lack_unit(spoken: &Spoken, field: &str) -> bool {
    let degrees = |quantity: &Quantity| quantity.unit == Some("deg");
    let angle = field.ends_with("_deg") && spoken.quantities.iter().any(degrees);
    field == "hours_run_h" || angle
}

/// "Five gang", "a 7 unit fairway mower": how many units, not how wide.
fn counts_units(spoken: &Spoken, index: usize) -> bool {
    let from = spoken.quantities[index].last + 1;
    let rest = spoken.tokens.get(from..).unwrap_or_default();
    let next = rest.iter().map(|token| token.text.as_str()).find(|word| *word != "-");
    matches!(next, Some("gang" | "gangs" | "unit" | "units" | "reel" | "reels" | "head" | "heads"))
}

/// "0.3" among millimetres is hardly inches.
fn is_guessed(spoken: &Spoken, index: usize, settled: &Settled) -> bool {
    settled.unit == "in" && settled.assumption.is_some() && guessed_inches(spoken, index)
}

/// Hours without their unit are whole, and more than a day or so.
fn counts_hours(quantity: &Quantity) -> bool {
    quantity.value.fract() == 0.0 && quantity.value >= SURELY_NO_COUNT
}

/// Whether inches are only a guess: nothing in the words is written as inches are.
fn guessed_inches(spoken: &Spoken, index: usize) -> bool {
    let quantity = &spoken.quantities[index];
    let written = |q: &Quantity| q.leading_point || q.fraction || q.unit == Some("in");
    quantity.unit.is_none() && !spoken.quantities.iter().any(written) && !imperial(spoken)
}

/// Begins the name of what was there before and is there no more: "from eleven blades to nines".
pub const FORMER: &str = "former_";

/// The field whose unit and bounds a helping field has.
pub fn real_field(field: &str) -> &str {
    match field {
        "added_load_kg" | "removed_load_kg" => "roller_load_kg",
        "height_rise_mm" | "height_drop_mm" => "height_change_mm",
        "mowings_per_week_count" => "passes_count",
        "measured_turns_count" => "calibration_turns_count",
        "thread_size_mm" => "current_height_mm",
        "lost_time_fraction" => "max_removed_fraction",
        other => other.strip_prefix(FORMER).unwrap_or(other),
    }
}

fn told(spoken: &Spoken, index: usize, field: &str, settled: &Settled) -> Settled {
    let written = spoken.written(&spoken.quantities[index]);
    let text = format!("{written} taken as the {}", label(field));
    Settled { assumption: settled.assumption.clone().or(Some(text)), ..settled.clone() }
}

/// A bare number is not taken for a time, a pressure or a turn unless a cue says so.
fn needs_unit(field: &str) -> bool {
    matches!(
        unit_of_field(real_field(field)).kind,
        Kind::Time | Kind::Pressure | Kind::Turn | Kind::Mass | Kind::Angle | Kind::Speed
    )
}

fn is_number(spoken: &Spoken, word: usize) -> bool {
    !spoken.places[word].quantities.is_empty()
}

/// From here on a number in words is no count of things.
const SURELY_NO_COUNT: f64 = 20.0;
/// What a placed number is worth beside the weight of its cue: most numbers placed wins over one
/// placed by a heavy cue.
const PLACED: i32 = 15;
/// Off a claim of a list to one number by itself.
const LONE: i32 = 15;
/// What each of the log odds is worth that the words around a number teach of it; from there on it
/// is as good as said; and what speaks so much against a field keeps it from what is left over.
/// (Looked at on three authors whom the model had not met; a half or twice as much loses one
/// sentence in a hundred.)
const PER_LEAN: f64 = 10.0;
const TAUGHT: f64 = 3.0;
const AGAINST: f64 = -1.0;
/// So much against a row keeps a number from it.
const NO_READING: f64 = 6.0;
/// What a number is worth that nothing but its unit places.
const BY_UNIT: i32 = 5;

/// The claims that are granted: word, field, and whether a cue says so. Of all ways that give no
/// field twice the one whose claims weigh most.
fn together(
    spoken: &Spoken,
    claims: &[Claim],
    signs: &Signs,
    fields: Fields,
    taken: &BTreeSet<usize>,
) -> Vec<(usize, String, bool)> {
    let free = |word: &usize| spoken.places[*word].quantities.iter().all(|q| !taken.contains(q));
    let words: Vec<usize> =
        (0..spoken.words.len()).filter(|word| is_number(spoken, *word)).filter(free).collect();
    // A column for each field of one number, and for each word with each list.
    let mut columns: Vec<(String, Option<usize>)> = Vec::new();
    let mut gains: Vec<Vec<Option<i64>>> = Vec::new();
    let mut by_cue: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (row, word) in words.iter().enumerate() {
        let mut gain: Vec<Option<i64>> = Vec::new();
        for (field, score, said) in wishes(spoken, *word, (claims, signs), fields) {
            let list = fields.lists.contains(&field.as_str());
            let key = (field, list.then_some(*word));
            let column = columns.iter().position(|known| *known == key).unwrap_or(columns.len());
            if column == columns.len() {
                columns.push(key);
            }
            gain.resize(gain.len().max(column + 1), None);
            if gain[column].is_none_or(|known| i64::from(score) > known) {
                gain[column] = Some(i64::from(score));
            }
            if said {
                by_cue.insert((row, column));
            }
        }
        gains.push(gain);
    }
    let found = best(&gains);
    let granted = found.into_iter().enumerate().filter_map(|(row, column)| {
        let column = column?;
        Some((words[row], columns[column].0.clone(), by_cue.contains(&(row, column))))
    });
    granted.collect()
}

/// Where a word of numbers may go: field, what that is worth, and whether its words say so.
fn wishes(
    spoken: &Spoken,
    word: usize,
    (claims, signs): (&[Claim], &Signs),
    fields: Fields,
) -> Vec<(String, i32, bool)> {
    let numbers = &spoken.places[word].quantities;
    let single = |field: &str| !fields.lists.contains(&field);
    let mut out: Vec<(String, i32, bool)> = claims
        .iter()
        .filter(|claim| claim.word == word)
        .filter(|claim| numbers.len() == 1 || !single(&claim.field))
        .map(|claim| {
            let lone = numbers.len() == 1 && !single(&claim.field);
            let score = claim.score - if lone { LONE } else { 0 };
            (claim.field.clone(), PLACED + score, true)
        })
        .collect();
    if let [index] = numbers[..]
        && spoken.quantities[index].unit.is_some()
    {
        for (nth, field) in fits(spoken, index, fields.singles).into_iter().enumerate() {
            if !out.iter().any(|(known, _, _)| known == field.0) {
                let later = i32::try_from(nth).unwrap_or(0).min(4);
                out.push((field.0.to_owned(), PLACED + BY_UNIT - later, false));
            }
        }
    }
    let lean = |field: &str| {
        let all = numbers.iter().map(|index| signs.lean(spoken, *index, field));
        all.sum::<f64>() / numbers.len() as f64
    };
    for field in signs.learned.fields().filter(|field| !fields.rows.contains(field)) {
        let known = out.iter().any(|(known, _, _)| known == field);
        let possible = numbers.len() == 1 || !single(field);
        if !known && possible && lean(field) > TAUGHT && can_be(spoken, numbers, field) {
            out.push((field.to_owned(), PLACED, false));
        }
    }
    let of_row = fields.rows.iter().map(|field| lean(field)).fold(0.0, f64::max);
    for (field, worth, said) in &mut out {
        let lean = lean(field) - of_row;
        *worth += (PER_LEAN * lean) as i32;
        *said = *said || lean > TAUGHT;
    }
    out.retain(|(_, worth, _)| *worth > 0);
    out
}

/// Whether every one of some numbers can be of a field, and is likely to be.
fn can_be(spoken: &Spoken, numbers: &[usize], field: &str) -> bool {
    let likely = |settled: Settled| is_likely(real_field(field), settled.value);
    let bare_part = |one: &Quantity| one.fraction && one.unit.is_none();
    let part = numbers.iter().any(|index| bare_part(&spoken.quantities[*index]));
    if field.starts_with("duration") && part {
        return false;
    }
    if numbers.iter().any(|index| only_counts(spoken, *index, field)) {
        return false;
    }
    numbers.iter().all(|index| settle(spoken, *index, real_field(field)).is_some_and(likely))
}

/// The fields of one number that a number is likely to be of, by its unit.
fn fits<'a>(spoken: &Spoken, index: usize, singles: &[&'a str]) -> Vec<(&'a str, Settled)> {
    let unit = spoken.quantities[index].unit;
    singles
        .iter()
        .filter(|field| **field != "overlap_mm" || !is_of_the_cut(spoken, index))
        .filter(|field| unit.is_some() || (!needs_unit(field) && **field != "unbalance_g_mm"))
        .filter_map(|field| {
            let settled = settle(spoken, index, field)?;
            let sure = likely(field).is_some() && is_likely(field, settled.value);
            sure.then_some((*field, settled))
        })
        .collect()
}

/// "A 25 mm cut": how high it cuts, and nothing that passes lie over each other.
fn is_of_the_cut(spoken: &Spoken, index: usize) -> bool {
    let next = spoken.tokens.get(spoken.quantities[index].last + 1);
    next.is_some_and(|next| matches!(next.text.as_str(), "cut" | "height" | "hoc" | "bench"))
}

/// Whether the unit of a number leaves it one field only.
fn fits_one(spoken: &Spoken, word: usize, fields: Fields) -> bool {
    let numbers = &spoken.places[word].quantities;
    numbers.iter().all(|index| fits(spoken, *index, fields.singles).len() <= 1)
}

fn grant(
    spoken: &Spoken,
    word: usize,
    field: &str,
    (by_cue, certain): (bool, bool),
    used: &mut BTreeSet<usize>,
    out: &mut Vec<Assigned>,
) {
    let numbers = &spoken.places[word].quantities;
    let settled: Option<Vec<Settled>> =
        numbers.iter().map(|index| settle(spoken, *index, real_field(field))).collect();
    let Some(settled) = settled else { return };
    for (index, mut settled) in numbers.iter().zip(settled) {
        used.insert(*index);
        if !certain {
            settled = told(spoken, *index, field, &settled);
        }
        out.push(Assigned { field: field.to_owned(), quantity: *index, settled, by_cue });
    }
}

/// What no cue claimed: to the one field that is left for its unit, units before bare numbers.
fn by_unit(
    spoken: &Spoken,
    signs: &Signs,
    fields: Fields,
    used: &mut BTreeSet<usize>,
    out: &mut Vec<Assigned>,
) {
    let mut order: Vec<usize> = (0..spoken.quantities.len()).collect();
    order.sort_by_key(|index| spoken.quantities[*index].unit.is_none());
    for index in order {
        let quantity = &spoken.quantities[index];
        let words = quantity.in_words && quantity.unit.is_none();
        let counts = words && quantity.value.fract() == 0.0 && quantity.value < SURELY_NO_COUNT;
        if used.contains(&index) || counts {
            continue;
        }
        let open = |field: &str| !out.iter().any(|assigned: &Assigned| assigned.field == field);
        let fit: Vec<(&str, Settled)> = fits(spoken, index, fields.singles)
            .into_iter()
            .filter(|(field, _)| open(field))
            .collect();
        let of_list = spoken
            .places
            .iter()
            .any(|place| place.quantities.len() > 1 && place.quantities.contains(&index));
        let catch = fields.catch_all.and_then(|field| {
            let settled = settle(spoken, index, field)?;
            let hours = field.ends_with("_h") && quantity.unit.is_none();
            let sound = !is_guessed(spoken, index, &settled) && (!hours || counts_hours(quantity));
            (sound && is_likely(field, settled.value)).then_some((field, settled))
        });
        let chosen = match (&fit[..], catch) {
            (_, Some(catch)) if of_list || fit.is_empty() => Some(catch),
            ([only], _) if !of_list => Some(only.clone()),
            // Of several that fit, the first is what is mostly given; that is told.
            ([(field, settled), ..], _) if !of_list && quantity.unit.is_some() => {
                Some((*field, told(spoken, index, field, settled)))
            }
            _ => None,
        };
        let against = |field: &str| signs.lean(spoken, index, field) < AGAINST;
        if let Some((field, settled)) = chosen.filter(|(field, _)| !against(field)) {
            used.insert(index);
            let field = field.to_owned();
            out.push(Assigned { field, quantity: index, settled, by_cue: false });
        }
    }
}
