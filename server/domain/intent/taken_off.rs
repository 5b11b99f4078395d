//! How much came off each reel where one sentence tells of several: "took five thou off 1, six off 2
//! and five off 3"? No record has a field for it, so it stands in the notes of its own unit.
//! Deliberately absent: diameters, from which what came off is worked out (`grinding`).

use super::assign::Assigned;
use super::record::Builder;
use super::settle::{Settled, settle};
use super::spoken::Spoken;
use super::subjects::Named;
use crate::domain::records::{Content, RecordKind, SubjectName};
use crate::domain::said::numbers::Quantity;
use crate::domain::units::plain;

/// What goes to no field of a record, and to no other number either.
const TAKEN_OFF: &str = "taken_off_mm";
/// No grind takes more than an eighth of an inch, mm (common practice, no source).
const MOST_MM: f64 = 3.2;
/// Words that say that metal came off.
const TAKES: &[&str] = &["took", "taken", "take", "takes", "taking", "removed", "lost", "off"];
/// Between an amount and its unit, and between a unit and its amount.
const LINKS: &[&str] =
    &["on", "off", "from", "of", "no", "number", "unit", "reel", "the", "#", "at", "was", "had", "took", "lost"];

/// One amount: its quantity, and the number of the unit it came off; none where it is of all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Taken {
    quantity: usize,
    unit: Option<u32>,
}

/// The amounts that were taken off units of these numbers, where at least two units are told apart.
fn amounts(spoken: &Spoken, units: &[u32]) -> Vec<Taken> {
    let Some(start) = (0..spoken.tokens.len()).find(|at| TAKES.contains(&spoken.token(*at))) else {
        return Vec::new();
    };
    let all = &spoken.quantities;
    let number = |one: &Quantity| {
        let whole = one.unit.is_none() && !one.fraction && one.value.fract() == 0.0;
        (one.value as u32 as f64 == one.value && whole).then_some(one.value as u32)
    };
    let is_unit = |one: &Quantity| number(one).is_some_and(|value| units.contains(&value));
    let linked = |from: usize, to: usize| {
        to > from && (from..to).all(|at| LINKS.contains(&spoken.token(at)))
    };
    // Units whose numbers are names stand in the words, and not among the quantities.
    let named = |at: usize| spoken.token(at).parse::<u32>().ok().filter(|one| units.contains(one));
    let mut out: Vec<Taken> = Vec::new();
    let mut at = 0;
    while at < all.len() {
        let one = &all[at];
        if one.last < start.saturating_sub(1) {
            at += 1;
            continue;
        }
        // "Six on 2".
        let behind = (one.last + 1..one.last + 5).find(|at| !LINKS.contains(&spoken.token(*at)));
        let behind = behind.filter(|unit| linked(one.last + 1, *unit));
        let of = behind.and_then(|token| {
            let other = all.iter().position(|other| other.first == token);
            match other {
                Some(other) => number(&all[other]).filter(|_| is_unit(&all[other])),
                None => named(token),
            }
        });
        if let Some(unit) = of {
            out.push(Taken { quantity: at, unit: Some(unit) });
            let token = behind.unwrap_or(one.last);
            at += 1;
            at += usize::from(all.get(at).is_some_and(|next| next.first == token));
            continue;
        }
        // "Took five thou off all three, six on 2".
        if one.unit.is_some() || one.leading_point || one.fraction {
            out.push(Taken { quantity: at, unit: None });
        }
        at += 1;
    }
    let apart = out.iter().filter(|one| one.unit.is_some()).count();
    let of_all = out.iter().filter(|one| one.unit.is_none()).count();
    let told = apart > 1 || (apart == 1 && of_all == 1);
    if told && of_all <= 1 { out } else { Vec::new() }
}

/// The unit of one amount: its own, else inches where it is written as inches are, else that of the
/// amounts beside it: "six" beside "five thou" is thou.
fn unit_of(one: &Quantity, shared: Option<&'static str>) -> Option<&'static str> {
    let metric = shared == Some("mm");
    let inches = one.fraction || (one.leading_point && !metric);
    one.unit.or(inches.then_some("in")).or(shared)
}

fn unit_numbers(named: &Named) -> Vec<u32> {
    named.units.iter().filter_map(|unit| number_of(&unit.name)).collect()
}

/// Places the amounts of each unit, so that they are no other number of the record.
pub(super) fn taken_off(
    spoken: &Spoken,
    named: &Named,
    kind: RecordKind,
    assigned: &mut Vec<Assigned>,
) {
    if kind != RecordKind::Sharpening {
        return;
    }
    let all = amounts(spoken, &unit_numbers(named));
    let shared = all.iter().find_map(|one| spoken.quantities[one.quantity].unit);
    let settled = |one: &Taken| -> Option<Settled> {
        let mut spoken = spoken.clone();
        let unit = unit_of(&spoken.quantities[one.quantity], shared);
        spoken.quantities[one.quantity].unit = unit;
        settle(&spoken, one.quantity, TAKEN_OFF)
    };
    let each: Option<Vec<Settled>> = all.iter().map(settled).collect();
    let small = |each: &Vec<Settled>| each.iter().all(|one| one.value <= MOST_MM);
    let Some(each) = each.filter(small) else { return };
    assigned.retain(|one| all.iter().all(|off| off.quantity != one.quantity));
    for (one, settled) in all.iter().zip(each) {
        let field = TAKEN_OFF.to_owned();
        assigned.push(Assigned { field, quantity: one.quantity, settled, by_cue: true });
    }
    assigned.sort_by_key(|one| one.quantity);
}

impl Builder<'_> {
    /// Notes with each unit its own amount.
    pub(super) fn taken_of_each(&self, records: &mut [(SubjectName, Content)]) {
        let off = || self.assigned.iter().filter(|one| one.field == TAKEN_OFF);
        let is_told = |index: usize| off().any(|one| one.quantity == index);
        let all = amounts(self.spoken, &unit_numbers(self.named));
        let all: Vec<&Taken> = all.iter().filter(|one| is_told(one.quantity)).collect();
        let shared = all.iter().find_map(|one| self.spoken.quantities[one.quantity].unit);
        for (name, content) in records.iter_mut() {
            let unit = number_of(name);
            let own = all.iter().find(|one| one.unit.is_some() && one.unit == unit);
            let of_all = || all.iter().find(|one| one.unit.is_none());
            let Some(one) = own.or_else(of_all) else { continue };
            let said = &self.spoken.quantities[one.quantity];
            let symbol = unit_of(said, shared).unwrap_or("");
            let note = format!("taken off: {} {symbol}", plain(said.value)).trim_end().to_owned();
            let notes = [note.as_str(), content.notes.as_str()].into_iter();
            content.notes = notes.filter(|note| !note.is_empty()).collect::<Vec<_>>().join("; ");
        }
    }
}

/// "units/2" and "units/groomer-2" are of number 2.
fn number_of(name: &SubjectName) -> Option<u32> {
    let SubjectName::Unit { unit, .. } = name else { return None };
    unit.as_str().rsplit('-').next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn each_unit_has_its_own_amount() {
        for (words, wanted) in [
            ("took off five thou on 1, six on 2 and five on 3", vec![(5.0, 1), (6.0, 2), (5.0, 3)]),
            ("took 5 thou off 1, 6 off 2, 5 off 3", vec![(5.0, 1), (6.0, 2), (5.0, 3)]),
            ("took .005 on no 1 and .006 on no 2", vec![(0.005, 1), (0.006, 2)]),
            ("lost 0.1 mm on 1 and 0.2 mm on 2", vec![(0.1, 1), (0.2, 2)]),
            ("took 0.2 mm off unit 1 and 0.3 off unit 2", vec![(0.2, 1), (0.3, 2)]),
            ("took 5 thou off all three, six thou on 2", vec![(5.0, 0), (6.0, 2)]),
            ("took 1/16 off 1, 1/8 off 2", vec![(0.0625, 1), (0.125, 2)]),
            ("took 8 thou off each", vec![]),
            ("ground 1 to 124.2 and 2 to 124.3", vec![]),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            let found: Vec<(f64, u32)> = amounts(&spoken, &[1, 2, 3])
                .into_iter()
                .map(|one| (spoken.quantities[one.quantity].value, one.unit.unwrap_or(0)))
                .collect();
            assert_eq!(found, wanted, "{words}");
        }
    }

    #[test]
    fn a_part_of_one_is_of_an_inch() {
        for (words, shared, wanted) in [
            ("1/8", None, Some("in")),
            ("1/8", Some("thou"), Some("in")),
            (".006", Some("thou"), Some("in")),
            (".2", Some("mm"), Some("mm")),
            ("6", Some("thou"), Some("thou")),
            ("6", None, None),
        ] {
            let one = &crate::domain::said::numbers::quantities(&tokens(words))[0];
            assert_eq!(unit_of(one, shared), wanted, "{words}");
        }
    }
}
