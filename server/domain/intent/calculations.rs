//! Which calculation do the words ask for, with which numbers, and for which quantity?
//! Every calculation is tried: the one whose words are spoken and that finds a place for most of
//! the numbers wins. Deliberately absent: working anything out.

use std::collections::BTreeSet;

use super::assign::{Assigned, FORMER, Fields, Signs, assign};
use super::calculation_table::{CALCULATIONS, Calculation, Shape};
use super::cues::{Cue, heaviest, weight};
use super::filled::{Filled, Value};
use super::names::Label;
use super::settle::Settled;
use super::shapes::shaped;
use super::spoken::Spoken;
use super::{unknown, wanted};
use crate::domain::language::purpose::Purposes;
use crate::domain::said::placing::Placings;
use crate::domain::said::said_units::{CLICKS, OTHER};

/// A calculation that the words may ask for.
#[derive(Clone, Debug)]
pub struct Asked {
    pub calculation: &'static str,
    pub filled: Filled,
    pub solve_for: String,
    /// Quantity, field and value.
    pub placed: Vec<(usize, String, Settled)>,
    /// Quantities of what was there before.
    pub gone: Vec<usize>,
    /// The words that speak for it, of cues.
    pub words: BTreeSet<usize>,
    /// How well it fits, and how much of that is said in words rather than in numbers.
    pub score: f64,
    pub said: f64,
    /// A cue asks for one of its quantities.
    pub asks: bool,
    /// Everything is given that one of its quantities needs.
    pub complete: bool,
}

/// Most that the words about a calculation count, so that a long sentence does not decide alone.
const ABOUT_MAX: f64 = 14.0;
const PER_NUMBER_BY_CUE: f64 = 2.0;
const PER_NUMBER_BY_UNIT: f64 = 1.0;
const PER_NUMBER_LEFT: f64 = -3.0;
const FOR_ROWS: f64 = 6.0;
/// A calculation of rows without its rows is hardly meant.
const WITHOUT_ROWS: f64 = -6.0;
/// Everything is there to work something out.
const COMPLETE: f64 = 4.0;
/// A cue of this weight asks for its quantity, whatever else would follow (from memory).
const ASKED_OUTRIGHT: u32 = 5;
/// On the weight of a cue that asks for what follows from the numbers given.
const FOLLOWS: u32 = 5;
/// On each of the log odds that sentences like it asked for a calculation (tried on three authors
/// left out; anything from 1.5 to 3 does).
const LEARNED: f64 = 2.0;
/// Numbers of turns speak of an adjuster.
const IN_TURNS: f64 = 4.0;
/// Nothing of it is asked for.
const UNASKED: f64 = -2.0;

/// Every calculation with how well it fits, best first.
pub fn asked(
    spoken: &Spoken,
    cues: &[Cue],
    labels: &[Label],
    (purposes, placings): (&Purposes, &Placings),
) -> Vec<Asked> {
    let unknown = unknown::told(spoken);
    let fitted = |row: &'static Calculation| {
        let signs = Signs { cues, prefixes: &[row.id], learned: &placings.of(row.id) };
        fitted(row, spoken, (&signs, &unknown), labels)
    };
    let mut all: Vec<Asked> = CALCULATIONS.iter().map(fitted).collect();
    for one in &mut all {
        one.score += LEARNED * purposes.lean(one.calculation);
    }
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    all
}

fn fitted(
    row: &'static Calculation,
    spoken: &Spoken,
    (signs, unknown): (&Signs, &[bool]),
    labels: &[Label],
) -> Asked {
    let cues = signs.cues;
    let of_rows = row.shape.fields();
    let fields = Fields {
        singles: row.singles,
        lists: row.lists,
        catch_all: row.catch_all,
        rows: of_rows,
    };
    let cue_fields = Fields { singles: &[], catch_all: None, ..fields };
    let claimed: BTreeSet<usize> = assign(spoken, signs, cue_fields, &BTreeSet::new())
        .iter()
        .filter(|assigned| assigned.by_cue && !is_of_shape(row.shape, &assigned.field))
        .map(|assigned| assigned.quantity)
        .collect();
    let of_row = |index: &usize| signs.of_row(spoken, *index, of_rows);
    let all = || 0..spoken.quantities.len();
    let sure: BTreeSet<usize> = all().filter(|index| of_row(index) == Some(true)).collect();
    let no = |index: &usize| claimed.contains(index) || of_row(index) == Some(false);
    let free: Vec<usize> = all().filter(|index| !no(index)).collect();
    let rows = shaped(row.shape, spoken, labels, (&free, &sure));
    let taken: BTreeSet<usize> =
        rows.iter().flat_map(|rows| rows.placed.iter().map(|(index, _, _)| *index)).collect();
    let assigned = assign(spoken, signs, fields, &taken);
    let mut filled = rows.as_ref().map(|rows| rows.filled.clone()).unwrap_or_default();
    let mut placed = rows.as_ref().map(|rows| rows.placed.clone()).unwrap_or_default();
    // What is there no more is heard, and is no part of the sum.
    let former = |one: &&Assigned| one.field.starts_with(FORMER);
    let gone = assigned.iter().filter(former).map(|one| one.quantity).collect();
    for one in assigned.iter().filter(|one| !former(one)) {
        put(row, &mut filled, &mut placed, one);
    }
    placed.sort_by_key(|(index, _, _)| *index);
    super::finish::finish(row.id, spoken, &mut filled, &mut placed);
    let about = f64::from(weight(cues, "about", row.id));
    let ask = best_ask(row, cues, &filled, (about > 0.0, unknown));
    let complete = wanted::first(row.id, &filled).is_some();
    let turned = row.id == "adjuster_turns" && said_in_turns(spoken);
    let turns = if turned { IN_TURNS } else { 0.0 };
    let about = (about + turns).min(ABOUT_MAX);
    // Numbers alone make no sum of it.
    let spoken_of = about > 0.0 || ask.is_some();
    let asks = ask.as_ref().map_or(UNASKED, |(_, weight)| 1.5 * f64::from(*weight));
    let numbers = number_score(spoken, &placed, &assigned);
    let shape = match (&rows, row.shape) {
        (Some(_), _) if spoken_of => FOR_ROWS,
        (Some(_), _) => 0.0,
        (None, Shape::None | Shape::Diameters) => 0.0,
        (None, _) => WITHOUT_ROWS,
    };
    let solve_for = ask.as_ref().map_or_else(|| unasked(row, &filled), |(field, _)| field.clone());
    // What is asked for in passing, and does not follow, is hardly meant.
    let whole = about > 0.0 || wanted::follows(row.id, &solve_for, &filled);
    let whole = whole && complete && spoken_of;
    Asked {
        calculation: row.id,
        words: words_of(row, cues),
        filled,
        solve_for,
        placed,
        gone,
        score: about + asks + numbers + shape + if whole { COMPLETE } else { 0.0 },
        said: about - turns + asks,
        asks: ask.is_some(),
        complete,
    }
}

fn said_in_turns(spoken: &Spoken) -> bool {
    let turns = |unit: &str| matches!(unit, "turns" | "flats" | CLICKS);
    spoken.quantities.iter().any(|quantity| quantity.unit.is_some_and(turns))
}

/// Fields that rows fill, so that a cue for one of them does not keep a number out of the rows.
fn is_of_shape(shape: Shape, field: &str) -> bool {
    match shape {
        Shape::Diameters => matches!(field, "left_diameter_mm" | "right_diameter_mm"),
        Shape::Tips => field == "target_height_mm",
        _ => false,
    }
}

fn number_score(
    spoken: &Spoken,
    placed: &[(usize, String, Settled)],
    assigned: &[Assigned],
) -> f64 {
    let mut score = 0.0;
    for (index, quantity) in spoken.quantities.iter().enumerate() {
        let by_cue = assigned.iter().any(|one| one.quantity == index && one.by_cue);
        let found = by_cue || placed.iter().any(|(known, _, _)| *known == index);
        let counted = (quantity.in_words && quantity.unit.is_none())
            || quantity.unit == Some(OTHER);
        score += match (found, by_cue, counted) {
            (true, true, _) => PER_NUMBER_BY_CUE,
            (true, false, _) => PER_NUMBER_BY_UNIT,
            (false, _, true) => 0.0,
            (false, _, false) => PER_NUMBER_LEFT,
        };
    }
    score
}

fn put(
    row: &Calculation,
    filled: &mut Filled,
    placed: &mut Vec<(usize, String, Settled)>,
    one: &Assigned,
) {
    let field = if row.lists.contains(&one.field.as_str()) {
        let at = filled.push(&one.field, one.settled.value);
        format!("{}[{at}]", one.field)
    } else {
        filled.set(&one.field, Value::Number(one.settled.value));
        one.field.clone()
    };
    placed.push((one.quantity, field, one.settled.clone()));
}

/// The field that the heaviest cue asks for, of those not given; what follows from the numbers
/// given is likelier meant than what does not. `spoken_of`: other words speak of the calculation;
/// `unknown`: words that name what nobody knows.
fn best_ask(
    row: &Calculation,
    cues: &[Cue],
    filled: &Filled,
    (spoken_of, unknown): (bool, &[bool]),
) -> Option<(String, u32)> {
    let asked = |cue: &&Cue| cue.family == "ask" && field_asked(row, cue).is_some();
    let told = |cue: &&Cue| cue.words.iter().any(|word| unknown[*word]);
    let sure = cues.iter().filter(asked).any(|cue| !told(&cue));
    let mut best: Option<(String, u32, u32)> = None;
    for cue in cues.iter().filter(asked).filter(|cue| !sure || !told(cue)) {
        let Some(field) = field_asked(row, cue).filter(|field| !filled.has(field)) else {
            continue;
        };
        let sense = if wanted::follows(row.id, field, filled) { FOLLOWS } else { 0 };
        let weight = cue.weight + sense;
        if best.as_ref().is_none_or(|(_, _, known)| weight > *known) {
            best = Some((field.to_owned(), cue.weight, weight));
        }
    }
    let (field, said, _) = best?;
    // Asked for what cannot follow, while something else does.
    let sound = wanted::follows(row.id, &field, filled) || wanted::unknown(row.id, &field);
    // "How many hours are left? I cannot find the minimum": that is what is wanted.
    let missed = (sure && unknown.contains(&true)) || said >= ASKED_OUTRIGHT;
    match wanted::first(row.id, filled).filter(|_| !sound && !missed && spoken_of) {
        Some(other) => Some((other.to_owned(), said)),
        None => Some((field, said)),
    }
}

/// The field of a calculation that a cue asks for.
fn field_asked<'a>(row: &Calculation, cue: &Cue<'a>) -> Option<&'a str> {
    cue.id.strip_prefix(row.id)?.strip_prefix('.')
}

fn unasked(row: &Calculation, filled: &Filled) -> String {
    if let Some(field) = wanted::first(row.id, filled) {
        return field.to_owned();
    }
    let open = row.asked.iter().find(|field| !filled.has(field));
    open.or(row.asked.first()).map_or_else(String::new, |field| (*field).to_owned())
}

fn words_of(row: &Calculation, cues: &[Cue]) -> BTreeSet<usize> {
    let own = |cue: &&Cue| {
        let id = cue.id.split('.').next().unwrap_or_default();
        matches!(cue.family, "about" | "ask" | "value") && id == row.id
    };
    cues.iter().filter(own).flat_map(|cue| cue.words.iter().copied()).collect()
}

/// The heaviest cue that names a calculation outright, for words without numbers.
pub fn named(cues: &[Cue]) -> Option<(&'static str, u32)> {
    let named = |row: &Calculation| Some((row.id, heaviest(cues, "about", row.id)?.weight));
    CALCULATIONS
        .iter()
        .filter_map(named)
        .reduce(|best, one| if one.1 > best.1 { one } else { best })
}
