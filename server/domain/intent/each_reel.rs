//! Which unit has which diameter, and which grit, where one sentence tells of several: diameters
//! behind "ground all five", "174.4 on unit 1 and 174.5 on 2", "120 grit, 80 grit on unit 3"?
//! Absent: heights (`record_lists`), settings (`each_unit`), what came off (`taken_off`).

use super::assign::Assigned;
use super::grinding::{WIDE_MM, is_other};
use super::record::{Builder, Recorded};
use super::settle::settle;
use super::spoken::Spoken;
use super::subjects::{Named, Shop};
use crate::domain::records::{Content, Detail, RecordKind, SubjectKind, SubjectName};
use crate::domain::said::numbers::Quantity;

const BEFORE: &str = "diameter_before_mm";
const AFTER: &str = "diameter_after_mm";
const GRIT: &str = "grit";
/// Tokens from a number to the unit it is of.
const REACH: usize = 4;

/// The units that are told of, each once, in the order they were named.
fn units(named: &Named) -> Vec<&SubjectName> {
    let mut out: Vec<&SubjectName> = Vec::new();
    for mention in named.units.iter().filter(|one| one.name.kind() == SubjectKind::Unit) {
        if !out.contains(&&mention.name) {
            out.push(&mention.name);
        }
    }
    out
}

/// Diameters as they stand, one or two joined by "to" for each reel.
fn diameters(spoken: &Spoken) -> Vec<Vec<usize>> {
    let wide = |index: &usize| {
        let one = &spoken.quantities[*index];
        let length = matches!(one.unit, None | Some("mm"));
        length && !one.in_words && WIDE_MM.contains(&one.value) && !is_other(spoken, one)
    };
    let mut out: Vec<Vec<usize>> = Vec::new();
    for index in (0..spoken.quantities.len()).filter(wide) {
        let first = spoken.quantities[index].first;
        // "124.5 to 124.1", "124.5 down to 124.1".
        let joins = |last: usize| match first.saturating_sub(last) {
            2 => spoken.token(last + 1) == "to",
            3 => spoken.token(last + 1) == "down" && spoken.token(last + 2) == "to",
            _ => false,
        };
        match out.last_mut() {
            Some(last) if last.len() == 1 && joins(spoken.quantities[last[0]].last) => {
                last.push(index);
            }
            _ => out.push(vec![index]),
        }
    }
    out
}

/// Whether diameters stand in one bare row, and no word around it says that they are something else
/// or one reel's: "124.5 before, 124.1 after", "minimum 115", "serials 101, 102".
fn in_a_row(spoken: &Spoken, groups: &[Vec<usize>]) -> bool {
    const BETWEEN: &[&str] = &[",", "and", "&", "mm", "then"];
    const OTHER: &[&str] = &[
        "serial", "serials", "invoice", "invoices", "job", "jobs", "scrap", "minimum", "min", "limit", "before", "were",
        "was", "started", "start", "need", "needs", "must", "should", "target", "from", "number", "numbers", "left",
        "right", "end", "ends", "if", "until", "till",
    ];
    let (Some(start), Some(end)) = (groups.first(), groups.last()) else { return false };
    let ends = |group: &[usize]| {
        (spoken.quantities[group[0]].first, spoken.quantities[group[group.len() - 1]].last)
    };
    let (first, last) = (ends(start).0, ends(end).1);
    let bare = groups.windows(2).all(|pair| {
        let between = ends(&pair[0]).1 + 1..ends(&pair[1]).0;
        between.into_iter().all(|at| BETWEEN.contains(&spoken.token(at)))
    });
    let same = |at: &usize, of: usize| spoken.tokens[*at].segment == spoken.tokens[of].segment;
    let before = (0..first).rev().take_while(|at| same(at, first));
    let behind = (last + 1..spoken.tokens.len()).take_while(|at| same(at, last));
    bare && !before.chain(behind).any(|at| OTHER.contains(&spoken.token(at)))
}

/// The unit that is named right before or right behind a number, in its clause.
fn beside<'a>(
    spoken: &Spoken,
    named: &'a Named,
    (first, last): (&Quantity, &Quantity),
    behind: bool,
) -> Option<&'a SubjectName> {
    let segment = |at: usize| spoken.tokens.get(at).map(|token| token.segment);
    let free = |from: usize, to: usize| {
        !spoken.quantities.iter().any(|one| one.first >= from && one.last < to)
    };
    let of = named.units.iter().filter(|one| one.name.kind() == SubjectKind::Unit);
    let near = |mention: &&super::subjects::Mention| match behind {
        true => mention.first > last.last && mention.first <= last.last + REACH
            && free(last.last + 1, mention.first) && segment(mention.first) == segment(last.last),
        false => mention.last < first.first && first.first <= mention.last + REACH
            && free(mention.last + 1, first.first),
    };
    let mut found = of.filter(near);
    let only = found.next()?;
    // "Units 1 to 5: 174.4, 174.5": a list of units is beside all of them.
    found.next().is_none().then_some(&only.name)
}

/// For each unit its own diameters, where the words tell them apart.
fn of_each(spoken: &Spoken, named: &Named) -> Vec<(SubjectName, Vec<usize>)> {
    let units = units(named);
    let groups = diameters(spoken);
    let alike = groups.windows(2).all(|pair| pair[0].len() == pair[1].len());
    if units.len() < 2 || groups.len() < 2 || !alike {
        return Vec::new();
    }
    let paired = |behind: bool| -> Option<Vec<(SubjectName, Vec<usize>)>> {
        let mut out: Vec<(SubjectName, Vec<usize>)> = Vec::new();
        for group in &groups {
            let ends = (&spoken.quantities[group[0]], &spoken.quantities[group[group.len() - 1]]);
            let unit = beside(spoken, named, ends, behind)?;
            if out.iter().any(|(known, _)| known == unit) {
                return None;
            }
            out.push((unit.clone(), group.clone()));
        }
        Some(out)
    };
    if let Some(pairs) = paired(false).or_else(|| paired(true)) {
        return pairs;
    }
    // As many as units, and no unit between them: in their order.
    if groups.len() != units.len() || !in_a_row(spoken, &groups) {
        return Vec::new();
    }
    let last = groups[groups.len() - 1][0];
    let (from, to) = (spoken.quantities[groups[0][0]].first, spoken.quantities[last].last);
    let inside = named.units.iter().any(|one| one.first > from && one.last < to);
    if inside { Vec::new() } else { units.into_iter().cloned().zip(groups).collect() }
}

/// The grit of one unit beside others: quantity and unit, which stands before it or behind it. One
/// without a unit is that of the rest.
fn grits(spoken: &Spoken, named: &Named) -> Vec<(usize, Option<SubjectName>)> {
    const LINKS: &[&str] = &["on", "for", "of", "in", "at", "the", "unit", "reel", "number", "no"];
    let is = |index: &usize| spoken.token(spoken.quantities[*index].last + 1) == GRIT;
    let all: Vec<usize> = (0..spoken.quantities.len()).filter(is).collect();
    let before = |index: usize| {
        let one = &spoken.quantities[index];
        beside(spoken, named, (one, one), false)
    };
    let behind = |index: usize| {
        let one = &spoken.quantities[index];
        // "80 grit on unit 3", and not "120 grit and unit 2".
        let last = Quantity { last: one.last + 1, ..one.clone() };
        let unit = beside(spoken, named, (one, &last), true)?;
        let of = |mention: &&super::subjects::Mention| {
            mention.name == *unit && mention.first > last.last
        };
        let mention = named.units.iter().find(of)?;
        (last.last + 1..mention.first).all(|at| LINKS.contains(&spoken.token(at))).then_some(unit)
    };
    let apart = |units: &[Option<&SubjectName>]| {
        let told: Vec<&SubjectName> = units.iter().copied().flatten().collect();
        let once = (0..told.len()).all(|at| !told[..at].contains(&told[at]));
        once && !told.is_empty() && told.len() + 1 >= units.len()
    };
    let whole = |units: &[Option<&SubjectName>]| units.iter().all(Option::is_some) && apart(units);
    let led: Vec<Option<&SubjectName>> = all.iter().map(|at| before(*at)).collect();
    let followed: Vec<Option<&SubjectName>> = all.iter().map(|at| behind(*at)).collect();
    // "120 grit on unit 1 and 80 grit on unit 2": the unit before the second is that of the first.
    let ends_open = followed.last().is_none_or(Option::is_none);
    let told = if whole(&led) && ends_open {
        led
    } else if whole(&followed) {
        followed
    } else {
        let pairs = led.into_iter().zip(followed);
        let agreed: Option<Vec<_>> = pairs.map(|(led, followed)| match (led, followed) {
            (Some(led), Some(followed)) if led != followed => None,
            (led, followed) => Some(followed.or(led)),
        }).collect();
        agreed.unwrap_or_default()
    };
    let several = units(named).len() > 1 || named.all_units;
    if all.len() < 2 || !several || !apart(&told) {
        return Vec::new();
    }
    all.into_iter().zip(told).map(|(index, unit)| (index, unit.cloned())).collect()
}

/// Diameters behind "all five", as many as the machine has units: in their order.
fn of_all(spoken: &Spoken, named: &Named, shop: &Shop) -> Vec<usize> {
    let all = named.all_units && named.units.is_empty();
    let Some(machine) = named.machines.first().filter(|_| all) else { return Vec::new() };
    let number = |name: &SubjectName| name.id().as_str().parse::<u32>().is_ok();
    let own = |name: &SubjectName| name.kind() == SubjectKind::Unit && machine.name.holds(name);
    let units = shop.subjects.iter().filter(|known| own(&known.name) && number(&known.name));
    let units = units.count();
    let groups = diameters(spoken);
    let single = groups.iter().all(|group| group.len() == 1);
    let row = single && in_a_row(spoken, &groups);
    if units < 2 || !row || groups.len() != units { Vec::new() } else { groups.concat() }
}

/// Gives the records of all units their diameters, in the order of their numbers.
pub(super) fn in_order(recorded: &Recorded, records: &mut [(SubjectName, Content)]) {
    let after = recorded.placed.iter().filter(|(_, field, _)| field == AFTER);
    let after: Vec<f64> = after.map(|(_, _, settled)| settled.value).collect();
    if after.len() < 2 || !of_each(&recorded.spoken, &recorded.named).is_empty() {
        return;
    }
    let number = |name: &SubjectName| name.id().as_str().parse::<u32>().ok();
    let mut units: Vec<usize> = (0..records.len())
        .filter(|at| matches!(records[*at].1.detail, Detail::Sharpening(_)))
        .filter(|at| number(&records[*at].0).is_some())
        .collect();
    units.sort_by_key(|at| number(&records[*at].0));
    let whole = units.len() == after.len();
    for (nth, at) in units.into_iter().enumerate() {
        if let Detail::Sharpening(detail) = &mut records[at].1.detail {
            detail.diameter_after_mm = after.get(nth).copied().filter(|_| whole);
        }
    }
}

/// Places the numbers that each unit has of its own, so that they go to no other field.
pub(super) fn place(
    spoken: &Spoken,
    (named, shop): (&Named, &Shop),
    kind: RecordKind,
    assigned: &mut Vec<Assigned>,
) {
    if kind != RecordKind::Sharpening {
        return;
    }
    let mut put = |index: usize, field: &str| {
        let Some(settled) = settle(spoken, index, field) else { return };
        assigned.retain(|one| one.quantity != index);
        assigned.push(Assigned { field: field.to_owned(), quantity: index, settled, by_cue: true });
    };
    for (_, group) in of_each(spoken, named) {
        match group[..] {
            [after] => put(after, AFTER),
            [before, after] => {
                put(before, BEFORE);
                put(after, AFTER);
            }
            _ => {}
        }
    }
    of_all(spoken, named, shop).into_iter().for_each(|index| put(index, AFTER));
    grits(spoken, named).into_iter().for_each(|(index, _)| put(index, GRIT));
    assigned.sort_by_key(|one| one.quantity);
}

impl Builder<'_> {
    /// Gives each unit its own diameters and its own grit.
    pub(super) fn reels_of_each(&self, records: &mut [(SubjectName, Content)]) {
        let value = |index: usize, field: &str| {
            let placed = |one: &&Assigned| one.quantity == index && one.field == field;
            self.assigned.iter().find(placed).map(|one| one.settled.value)
        };
        let each = of_each(self.spoken, self.named);
        let grits = grits(self.spoken, self.named);
        for (name, content) in records.iter_mut() {
            let Detail::Sharpening(detail) = &mut content.detail else { continue };
            if !each.is_empty() {
                let own = each.iter().find(|(unit, _)| unit == name);
                let own = own.map(|(_, group)| group.as_slice());
                let (before, after) = match own {
                    Some([after]) => (None, Some(*after)),
                    Some([before, after]) => (Some(*before), Some(*after)),
                    _ => (None, None),
                };
                detail.diameter_before_mm = before.and_then(|index| value(index, BEFORE));
                detail.diameter_after_mm = after.and_then(|index| value(index, AFTER));
            }
            let own = grits.iter().find(|(_, unit)| unit.as_ref() == Some(name));
            let own = own.or_else(|| grits.iter().find(|(_, unit)| unit.is_none()));
            if !grits.is_empty() {
                let told = own.and_then(|(index, _)| value(*index, GRIT));
                detail.grit = told.map(|grit| grit as u32);
            }
        }
    }
}
