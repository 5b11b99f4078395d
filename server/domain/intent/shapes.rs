//! Which numbers of a sentence are rows of readings: gaps by blade and station, heights by unit and
//! end, tips by corner, diameters by hours?
//! Deliberately absent: single numbers such as a target or a limit, which cues find (`assign`).

use std::collections::BTreeSet;

use super::calculation_table::Shape;
use super::filled::{Filled, Value};
use super::names::{Label, Labelled};
use super::readings::{Reading, all_places, readings, stands_before};
use super::settle::{Settled, is_likely, settle};
use super::spoken::Spoken;
use crate::domain::language::text::Kind;
use crate::domain::said::numbers::stands;
use crate::domain::said::places::place_at;

/// A number that went into a row: quantity, field path, value.
pub type Placed = (usize, String, Settled);

/// Rows found in a sentence.
#[derive(Clone, Debug, Default)]
pub struct Shaped {
    pub filled: Filled,
    pub placed: Vec<Placed>,
}

/// Quantities that may be of a row, and those that surely are.
pub type Free<'a> = (&'a [usize], &'a BTreeSet<usize>);

/// The rows of a shape.
pub fn shaped(shape: Shape, spoken: &Spoken, labels: &[Label], free: Free) -> Option<Shaped> {
    match shape {
        Shape::None => None,
        Shape::Gaps => gaps(spoken, labels, free),
        Shape::UnitHeights => unit_heights(spoken, labels, free),
        Shape::Tips => tips(spoken, free.0),
        Shape::Diameters => diameters(spoken, free),
    }
}

fn fitting(spoken: &Spoken, (free, sure): Free, field: &str) -> Vec<(usize, Settled)> {
    free.iter()
        .filter(|index| sure.contains(index) || !counts(spoken, **index))
        .filter_map(|index| Some((*index, settle(spoken, *index, field)?)))
        .filter(|(_, settled)| is_likely(field, settled.value))
        .collect()
}

/// "Three blades", "two of them": a number in words that counts what follows it.
fn counts(spoken: &Spoken, index: usize) -> bool {
    let quantity = &spoken.quantities[index];
    let next = spoken.tokens.get(quantity.last + 1).filter(|next| next.kind == Kind::Word);
    let counted = next.is_some_and(|next| {
        next.segment == spoken.tokens[quantity.last].segment
            && !matches!(next.text.as_str(), "and" | "at" | "on" | "in" | "then")
            && place_at(&spoken.tokens, quantity.last + 1).is_none()
    });
    quantity.in_words && quantity.unit.is_none() && counted
}

/// Places named before the first number: the heading of a table.
fn heading(spoken: &Spoken, first_token: usize) -> Vec<String> {
    let before = all_places(&spoken.tokens).into_iter().take_while(|(at, _)| *at < first_token);
    longest_run(before.collect())
}

/// "..., going left to centre to right": the same, after the last number.
fn heading_after(spoken: &Spoken, last_token: usize) -> Vec<String> {
    let after = all_places(&spoken.tokens).into_iter().filter(|(at, _)| *at > last_token);
    longest_run(after.collect())
}

/// The longest run of places that stand near each other.
fn longest_run(places: Vec<(usize, String)>) -> Vec<String> {
    let mut run: Vec<(usize, String)> = Vec::new();
    let mut best: Vec<String> = Vec::new();
    for (at, name) in places {
        if run.last().is_some_and(|(last, _)| at - last > 3) {
            run.clear();
        }
        run.push((at, name));
        if run.len() >= 2 && run.len() >= best.len() {
            best = run.iter().map(|(_, name)| name.clone()).collect();
        }
    }
    best
}

fn station_names(count: usize) -> Vec<String> {
    let names: &[&str] = match count {
        2 => &["left", "right"],
        3 => &["left", "middle", "right"],
        _ => &[],
    };
    if names.is_empty() {
        return (1..=count).map(|number| number.to_string()).collect();
    }
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn gaps(spoken: &Spoken, labels: &[Label], free: Free) -> Option<Shaped> {
    let fit = fitting(spoken, free, "gap_mm");
    let indexes: Vec<usize> = fit.iter().map(|(index, _)| *index).collect();
    let found = readings(spoken, labels, &indexes);
    let mut heading = heading(spoken, spoken.quantities.get(*indexes.first()?)?.first);
    if heading.is_empty() {
        heading = heading_after(spoken, spoken.quantities.get(*indexes.last()?)?.last);
    }
    let cells = by_blade(spoken, labels, &found, &heading)
        .or_else(|| by_station(&readings(spoken, &[], &indexes)))
        .or_else(|| by_heading(&indexes, &heading))?;
    let mut out = Shaped::default();
    let mut rows = Vec::new();
    for (reading, blade, station) in cells {
        let (_, settled) = fit.iter().find(|(index, _)| *index == reading)?;
        let mut row = Filled::default();
        row.text("blade", &blade);
        row.text("station", &station);
        row.number("gap_mm", settled.value);
        out.placed.push((reading, format!("gap_mm[{}].gap_mm", rows.len()), settled.clone()));
        rows.push(row);
    }
    out.filled.set("gap_mm", Value::Rows(rows));
    Some(out)
}

/// Quantity, blade, station.
type Cell = (usize, String, String);

fn by_blade(
    spoken: &Spoken,
    labels: &[Label],
    found: &[Reading],
    heading: &[String],
) -> Option<Vec<Cell>> {
    let mut groups: Vec<(usize, Vec<&Reading>)> = Vec::new();
    for reading in found {
        let Some(label) = reading.label else { continue };
        match groups.last_mut() {
            Some((known, group)) if *known == label => group.push(reading),
            _ => groups.push((label, vec![reading])),
        }
    }
    let width = groups.iter().map(|(_, group)| group.len()).max()?;
    if groups.len() < 2 || width < 2 {
        return None;
    }
    let names = if heading.len() == width { heading.to_vec() } else { station_names(width) };
    let mut cells = Vec::new();
    for (label, mut group) in groups {
        if group.len() == 1 && repeats(spoken, group[0].quantity) {
            group = vec![group[0]; width];
        }
        let all = group.iter().all(|reading| reading.place.is_some());
        for (nth, reading) in group.into_iter().enumerate() {
            let station = reading.place.clone().filter(|_| all && heading.len() != width);
            let station = station.or_else(|| names.get(nth).cloned())?;
            cells.push((reading.quantity, labels[label].text.clone(), station));
        }
    }
    Some(cells)
}

/// "Left, middle, right: 0.02 0.03 0.05, then 0.02 0.03 0.05": the blades in the order read.
fn by_heading(indexes: &[usize], heading: &[String]) -> Option<Vec<Cell>> {
    let width = heading.len();
    let whole = width > 1 && indexes.len() > width && indexes.len().is_multiple_of(width);
    let cell = |(nth, index): (usize, &usize)| {
        (*index, (nth / width + 1).to_string(), heading[nth % width].clone())
    };
    whole.then(|| indexes.iter().enumerate().map(cell).collect())
}

/// "Left: 0.02 0.02 0.03, middle: ..., right: ...": the blades in the order read. The place may
/// stand after its numbers instead: "0.02 0.02 0.03 on the left, ...".
fn by_station(found: &[Reading]) -> Option<Vec<Cell>> {
    let after = found.first()?.place.is_none() && found.last()?.place.is_some();
    let mut found: Vec<&Reading> = found.iter().collect();
    if after {
        found.reverse();
    }
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for reading in found {
        match (&reading.place, groups.last_mut()) {
            (Some(place), Some((known, group))) if known == place => group.push(reading.quantity),
            (Some(place), _) => groups.push((place.clone(), vec![reading.quantity])),
            (None, Some((_, group))) => group.push(reading.quantity),
            (None, None) => return None,
        }
    }
    if after {
        groups.reverse();
        groups.iter_mut().for_each(|(_, group)| group.reverse());
    }
    let width = groups.first()?.1.len();
    if groups.len() < 2 || width < 2 || groups.iter().any(|(_, group)| group.len() != width) {
        return None;
    }
    let cells = groups.into_iter().flat_map(|(station, group)| {
        group
            .into_iter()
            .enumerate()
            .map(move |(nth, quantity)| (quantity, (nth + 1).to_string(), station.clone()))
    });
    Some(cells.collect())
}

fn unit_heights(spoken: &Spoken, labels: &[Label], free: Free) -> Option<Shaped> {
    let fit = fitting(spoken, free, "height_mm");
    let units: Vec<Label> =
        labels.iter().filter(|label| label.what == Labelled::Unit).cloned().collect();
    // "All five in a row: 12.0 12.1, ...": a number in words among figures only counts.
    let spelled = |index: &usize| spoken.quantities[*index].in_words;
    let figures = fit.iter().filter(|(index, _)| !spelled(index)).count();
    let counts = |index: &usize| figures >= 4 && spelled(index) && !free.1.contains(index);
    let indexes: Vec<usize> =
        fit.iter().map(|(index, _)| *index).filter(|index| !counts(index)).collect();
    let cells = labelled_ends(spoken, &units, &indexes)
        .or_else(|| ends_in_order(spoken, &indexes))
        .or_else(|| paired_ends(spoken, &indexes))?;
    let mut out = Shaped::default();
    let mut rows = Vec::new();
    for (quantity, unit, end) in cells {
        let (_, settled) = fit.iter().find(|(index, _)| *index == quantity)?;
        let mut row = Filled::default();
        row.text("unit", &unit);
        row.text("end", &end);
        row.number("height_mm", settled.value);
        let path = format!("unit_heights_mm[{}].height_mm", rows.len());
        out.placed.push((quantity, path, settled.clone()));
        rows.push(row);
    }
    out.filled.set("unit_heights_mm", Value::Rows(rows));
    Some(out)
}

fn ends(heading: &[String]) -> [String; 2] {
    match heading {
        [first, second] => [first.clone(), second.clone()],
        _ => ["left".to_owned(), "right".to_owned()],
    }
}

fn labelled_ends(spoken: &Spoken, units: &[Label], indexes: &[usize]) -> Option<Vec<Cell>> {
    let found = readings(spoken, units, indexes);
    let first = spoken.quantities.get(*indexes.first()?)?.first;
    let first = units.first().map_or(first, |label| first.min(label.first));
    let names = ends(&heading(spoken, first));
    let mut cells: Vec<Cell> = Vec::new();
    for (at, label) in units.iter().enumerate() {
        let group: Vec<&Reading> =
            found.iter().filter(|reading| reading.label == Some(at)).take(2).collect();
        let Some(one) = group.first() else { continue };
        let same = repeats(spoken, one.quantity);
        let Some(two) = group.get(1).or(group.first().filter(|_| same)) else { continue };
        let placed = one.place.is_some() && two.place.is_some() && one.place != two.place;
        for (nth, reading) in [one, two].into_iter().enumerate() {
            let end = reading.place.clone().filter(|_| placed);
            let end = end.unwrap_or_else(|| names[nth].clone());
            cells.push((reading.quantity, label.text.clone(), end));
        }
    }
    (cells.len() >= 4).then_some(cells)
}

/// "9.1 both ends", "two thou all along": one reading for every place of its row.
fn repeats(spoken: &Spoken, quantity: usize) -> bool {
    const SAID: &[&str] = &[
        "both ends", "both sides", "each end", "either end", "all along", "all the way", "all round",
        "right across", "all three", "throughout", "everywhere", "across", "at both ends",
        "on both ends", "all across", "both",
    ];
    let at = spoken.quantities[quantity].last + 1;
    SAID.iter().any(|words| stands(&spoken.tokens, at, words))
}

/// "Left ends 5.02, 5.10, 4.98, right ends 5.00, 5.04, 5.01": the units in the order read.
fn ends_in_order(spoken: &Spoken, indexes: &[usize]) -> Option<Vec<Cell>> {
    let cells = by_station(&readings(spoken, &[], indexes))?;
    let sides = cells.iter().all(|(_, _, end)| matches!(end.as_str(), "left" | "right"));
    sides.then_some(cells)
}

/// ".450/.451, .447/.452": units in the order read. Also a plain even list under a heading.
fn paired_ends(spoken: &Spoken, indexes: &[usize]) -> Option<Vec<Cell>> {
    let first = spoken.quantities.get(*indexes.first()?)?.first;
    let heading = heading(spoken, first);
    let names = ends(&heading);
    let between = |a: usize, b: usize| {
        let (a, b) = (&spoken.quantities[a], &spoken.quantities[b]);
        spoken.tokens.get(a.last + 1..b.first).unwrap_or_default()
    };
    // "25.0 25.2, 25.6 25.1": pairs that only their commas part.
    let commas = indexes.len() >= 4
        && indexes.len().is_multiple_of(2)
        && heading.len() == 2
        && indexes.windows(2).enumerate().all(|(nth, pair)| {
            let between = between(pair[0], pair[1]);
            if nth % 2 == 0 { between.is_empty() } else { !between.is_empty() }
        });
    let slashed = |a: usize, b: usize| {
        let between = between(a, b);
        let joins = |text: &str| matches!(text, "/" | "and" | "-");
        (between.is_empty() && commas) || (between.len() == 1 && joins(&between[0].text))
    };
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    let mut at = 0;
    while at + 1 < indexes.len() {
        if slashed(indexes[at], indexes[at + 1]) {
            pairs.push((indexes[at], indexes[at + 1]));
            at += 2;
        } else {
            at += 1;
        }
    }
    if pairs.len() < 2 {
        return None;
    }
    let cells = pairs.into_iter().enumerate().flat_map(|(nth, (one, two))| {
        let unit = (nth + 1).to_string();
        [(one, unit.clone(), names[0].clone()), (two, unit, names[1].clone())]
    });
    Some(cells.collect())
}

fn tips(spoken: &Spoken, free: &[usize]) -> Option<Shaped> {
    let fit: Vec<(usize, Settled)> = free
        .iter()
        .filter_map(|index| Some((*index, settle(spoken, *index, "tip_height_mm")?)))
        .filter(|(_, settled)| (10.0..=200.0).contains(&settled.value))
        .collect();
    let mut indexes: Vec<usize> = fit.iter().map(|(index, _)| *index).collect();
    let quantity = |at: usize| indexes.get(at).map(|index| &spoken.quantities[*index]);
    let heads = quantity(0).zip(quantity(1));
    if heads.is_some_and(|(first, second)| stands_before(spoken, first, second)) {
        indexes.remove(0);
    }
    let mut found = readings(spoken, &[], &indexes);
    under_sides(spoken, &mut found);
    let mut out = Shaped::default();
    let mut rows: Vec<Filled> = Vec::new();
    for (reading, place) in found.iter().flat_map(|reading| corners(spoken, reading)) {
        let known = rows.iter().any(|row| row.get("point") == Some(&Value::Text(place.clone())));
        if known {
            continue;
        }
        let (_, settled) = fit.iter().find(|(index, _)| *index == reading.quantity)?;
        let mut row = Filled::default();
        row.text("point", &place);
        row.number("height_mm", settled.value);
        let path = format!("tip_heights_mm[{}].height_mm", rows.len());
        out.placed.push((reading.quantity, path, settled.clone()));
        rows.push(row);
    }
    if rows.len() < 3 {
        return None;
    }
    out.filled.set("tip_heights_mm", Value::Rows(rows));
    Some(out)
}

/// The corners that a reading is of: "both fronts 60" is of two.
fn corners(spoken: &Spoken, reading: &Reading) -> Vec<(Reading, String)> {
    let Some(place) = reading.place.clone() else { return Vec::new() };
    let first = spoken.quantities[reading.quantity].first;
    let from = first.saturating_sub(4);
    let said = |words: &[&str]| {
        spoken.tokens[from..first].iter().any(|token| words.contains(&token.text.as_str()))
    };
    let both = said(&["both", "fronts", "rears", "backs"]);
    if both && matches!(place.as_str(), "front" | "rear") {
        let pair = ["left", "right"].map(|side| (reading.clone(), format!("{side}_{place}")));
        return pair.to_vec();
    }
    vec![(reading.clone(), place)]
}

/// "On the left 80 front and 84 rear, on the right 77 front and 83 rear": the side told once for
/// both of its ends, or an end for both sides.
fn under_sides(spoken: &Spoken, found: &mut [Reading]) {
    let places = all_places(&spoken.tokens);
    let side = |place: &str| matches!(place, "left" | "right");
    let end = |place: &str| matches!(place, "front" | "rear");
    let before = |first: usize, is: &dyn Fn(&str) -> bool| {
        places.iter().rev().find(|(at, name)| *at < first && is(name)).map(|(_, name)| name.clone())
    };
    for reading in found.iter_mut() {
        let quantity = &spoken.quantities[reading.quantity];
        let first = quantity.first;
        let Some(place) = reading.place.clone() else { continue };
        // "Rears read 71 left and 74 right".
        let after = place_at(&spoken.tokens, quantity.last + 1).filter(|(name, _)| side(name));
        if let Some((own, end)) = after.zip(before(first, &end)) {
            reading.place = Some(format!("{}_{end}", own.0));
            continue;
        }
        if corners(spoken, reading).len() > 1 {
            continue;
        }
        let pair = match place.as_str() {
            one if end(one) => before(first, &side).map(|side| format!("{side}_{one}")),
            one if side(one) => before(first, &end).map(|end| format!("{one}_{end}")),
            _ => None,
        };
        reading.place = pair.or(Some(place));
    }
}

/// "127.5 at 250 hours and 126.7 at 500": each diameter with its hours. "New" is hour 0.
fn in_pairs(spoken: &Spoken, (free, sure): Free) -> Option<Shaped> {
    let joins = |one: usize, two: usize| {
        let (one, two) = (&spoken.quantities[one], &spoken.quantities[two]);
        let between = spoken.tokens.get(one.last + 1..two.first).unwrap_or_default();
        let at = |token: &str| matches!(token, "at" | "@" | "after" | "by");
        matches!(between, [first, ..] if at(&first.text) && between.len() <= 2)
    };
    let mut rows: Vec<(usize, Settled, Option<(usize, Settled)>)> = Vec::new();
    let mut at = 0;
    while at < free.len() {
        let diameter = fitting(spoken, (&free[at..=at], sure), "diameter_readings_mm").pop();
        let hours = free.get(at + 1).filter(|next| joins(free[at], **next));
        let hours = hours.and_then(|next| fitting(spoken, (&[*next], sure), "reading_times_h").pop());
        match (diameter, hours) {
            (Some((index, settled)), Some(hours)) => {
                rows.push((index, settled, Some(hours)));
                at += 1;
            }
            (Some((index, settled)), None) if rows.is_empty() && is_new(spoken, index) => {
                rows.push((index, settled, None));
            }
            _ => {}
        }
        at += 1;
    }
    if rows.iter().filter(|(_, _, hours)| hours.is_some()).count() < 2 {
        return None;
    }
    let mut out = Shaped::default();
    for (index, settled, hours) in rows {
        let place = out.filled.push("diameter_readings_mm", settled.value);
        out.placed.push((index, format!("diameter_readings_mm[{place}]"), settled));
        let value = hours.as_ref().map_or(0.0, |(_, settled)| settled.value);
        let place = out.filled.push("reading_times_h", value);
        if let Some((index, settled)) = hours {
            out.placed.push((index, format!("reading_times_h[{place}]"), settled));
        }
    }
    Some(out)
}

/// A reel is scrapped before it has lost more (common practice, no source).
const LOST_MAX: f64 = 0.2;

/// "260, 4.965; 610, 4.915": hours and diameters by turns, one growing and one shrinking.
fn by_turns(spoken: &Spoken, (free, sure): Free) -> Option<Shaped> {
    if free.len() < 4 || free.len() % 2 > 0 {
        return None;
    }
    let of = |from: usize, field: &str| {
        let own: Vec<usize> = free.iter().skip(from).step_by(2).copied().collect();
        Some(fitting(spoken, (&own, sure), field)).filter(|found| found.len() == own.len())
    };
    let value = |one: &(usize, Settled)| one.1.value;
    let rows = |from: usize| {
        let (times, sizes) = (of(from, "reading_times_h")?, of(1 - from, "diameter_readings_mm")?);
        let whole = times.iter().all(|one| spoken.quantities[one.0].value.fract() == 0.0);
        let grow = times.windows(2).all(|pair| value(&pair[0]) < value(&pair[1]));
        let shrink = sizes.windows(2).all(|pair| value(&pair[0]) > value(&pair[1]));
        let lost = value(sizes.last()?) >= value(sizes.first()?) * (1.0 - LOST_MAX);
        (whole && grow && shrink && lost).then_some((times, sizes))
    };
    let (times, sizes) = rows(0).or_else(|| rows(1))?;
    let mut out = Shaped::default();
    for ((index, time), (other, size)) in times.into_iter().zip(sizes) {
        let place = out.filled.push("reading_times_h", time.value);
        out.placed.push((index, format!("reading_times_h[{place}]"), time));
        let place = out.filled.push("diameter_readings_mm", size.value);
        out.placed.push((other, format!("diameter_readings_mm[{place}]"), size));
    }
    Some(out)
}

/// What says that a reel had done no hours yet: "out of the crate", "as delivered".
const SAYS_NEW: &[&str] =
    &["new", "started", "began", "fresh", "crate", "crated", "box", "boxed", "delivered", "unused"];

/// "New at 5.000", "128.4 new", "started at 128.4".
fn is_new(spoken: &Spoken, index: usize) -> bool {
    let quantity = &spoken.quantities[index];
    let new = |at: usize| {
        let text = spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        SAYS_NEW.contains(&text)
    };
    (quantity.first.saturating_sub(4)..quantity.first).any(new)
        || (quantity.last + 1..quantity.last + 5).any(new)
}

fn diameters(spoken: &Spoken, free: Free) -> Option<Shaped> {
    if let Some(found) = in_pairs(spoken, free).or_else(|| by_turns(spoken, free)) {
        return Some(found);
    }
    let diameters: Vec<(usize, Settled)> = fitting(spoken, free, "diameter_readings_mm")
        .into_iter()
        .filter(|(index, _)| spoken.quantities[*index].unit != Some("h"))
        .collect();
    let is_diameter = |index: usize| diameters.iter().any(|(known, _)| *known == index);
    let rest: Vec<usize> = free.0.iter().copied().filter(|index| !is_diameter(*index)).collect();
    let mut times: Vec<(usize, Settled)> = fitting(spoken, (&rest, free.1), "reading_times_h");
    let new = new_at(spoken);
    if diameters.len() < 2 || times.is_empty() {
        return by_end(spoken, &diameters);
    }
    let mut out = Shaped::default();
    let first_is_new = new && times.len() + 1 == diameters.len();
    if first_is_new {
        out.filled.push("reading_times_h", 0.0);
    }
    let count = diameters.len() - usize::from(first_is_new);
    times.truncate(count);
    for (index, settled) in diameters.iter().take(times.len() + usize::from(first_is_new)) {
        let place = out.filled.push("diameter_readings_mm", settled.value);
        out.placed.push((*index, format!("diameter_readings_mm[{place}]"), settled.clone()));
    }
    for (index, settled) in times {
        let place = out.filled.push("reading_times_h", settled.value);
        out.placed.push((index, format!("reading_times_h[{place}]"), settled));
    }
    Some(out)
}

/// "New" or "started at" said of the first diameter.
fn new_at(spoken: &Spoken) -> bool {
    spoken
        .tokens
        .iter()
        .any(|token| token.text == "start" || SAYS_NEW.contains(&token.text.as_str()))
}

fn by_end(spoken: &Spoken, diameters: &[(usize, Settled)]) -> Option<Shaped> {
    let indexes: Vec<usize> = diameters.iter().map(|(index, _)| *index).collect();
    let mut out = Shaped::default();
    for reading in readings(spoken, &[], &indexes) {
        let field = match reading.place.as_deref() {
            Some("left" | "leading") => "left_diameter_mm",
            Some("right" | "trailing") => "right_diameter_mm",
            _ => continue,
        };
        if out.filled.has(field) {
            continue;
        }
        let (_, settled) = diameters.iter().find(|(index, _)| *index == reading.quantity)?;
        out.filled.number(field, settled.value);
        out.placed.push((reading.quantity, field.to_owned(), settled.clone()));
    }
    let both = out.filled.has("left_diameter_mm") && out.filled.has("right_diameter_mm");
    both.then_some(out)
}
