//! On which units was work done that was told of several at once, or of a machine as a whole: "triplex
//! 1 and 3", "all three", "both walkers", "walker 1" that has but one reel?
//! Deliberately absent: names by number and place (`names`, `placed_units`).

use super::excepted::{excepted, own_minutes};
use super::record::Recorded;
use super::settle::settle;
use super::spoken::Spoken;
use super::subject_words::HEADS;
use super::subjects::{Known, Mention, Named, Shop};
use super::{Reader, nicknames, several};
use crate::domain::catalogue::Equipment;
use crate::domain::language::text::{Kind, Token};
use crate::domain::records::choices::{AdjustmentTarget, HeightMethod, Place};
use crate::domain::records::detail::HeightPoint;
use crate::domain::records::{Content, Detail, SubjectKind, SubjectName};
use crate::domain::said::numbers::Quantity;

/// Records, each with what it is about.
type Records = Vec<(SubjectName, Content)>;

/// Parts that are of the machine, whatever units it has.
const OF_THE_MACHINE: &[&str] = &[
    "battery", "oil filter", "tyre", "hydraulic hose", "spring", "height adjuster", "fitting",
];
/// Units that a deck, a groomer or a brush is named with.
const SEVERAL: &[&str] = &["both", "all", "the", "two", "three", "other"];

/// "Both walkers": every machine of the shop that the word fits, in the place of one.
pub(super) fn both_machines(tokens: &[Token], shop: &Shop, named: &mut Named) {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    for at in 1..tokens.len() {
        let word = text(at);
        let plural = word.strip_suffix('s').filter(|one| HEADS.contains(one));
        let Some(one) = plural else { continue };
        // "Greased the walkers": all that there are.
        // "One of the walkers" is not all of them.
        let some = at > 1 && text(at - 2) == "of" && !(at > 2 && matches!(text(at - 3), "all" | "both"));
        let all = matches!(text(at - 1), "both" | "all") || (matches!(text(at - 1), "the" | "our") && !some);
        let both = all
            || (at > 1 && SEVERAL.contains(&text(at - 1)) && matches!(text(at - 2), "both" | "all" | "the"));
        let fits: Vec<Mention> = shop
            .subjects
            .iter()
            .filter(|known| known.name.kind() == SubjectKind::Machine)
            .filter(|known| nicknames::is_called(known, one))
            .map(|known| Mention {
                name: known.name.clone(),
                display_name: known.names.first().cloned().unwrap_or_default(),
                known: true,
                first: at - 1,
                last: at,
            })
            .collect();
        if both && fits.len() > 1 {
            named.machines.retain(|mention| mention.known && mention.last < at - 1);
            named.machines.extend(fits);
        }
    }
}

/// "Reel 2 on tees": the unit of the one machine that is called by the area and has such a unit.
/// `read`: heights were read there, which are of the area.
pub(super) fn units_of_area(tokens: &[Token], shop: &Shop, named: &mut Named, read: bool) {
    let homeless = |mention: &Mention| mention.name.kind() == SubjectKind::Site;
    let all = !read && all_of_area(tokens, named);
    if !named.machines.is_empty() || (named.units.is_empty() && !all)
        || !(all || named.units.iter().all(homeless))
    {
        return;
    }
    let words = |area: &Mention| -> Vec<String> {
        let inside = tokens.iter().take(area.last + 1).skip(area.first);
        inside.map(|token| token.text.trim_end_matches('s').to_owned()).collect()
    };
    let [area] = &named.areas[..] else { return };
    let said = words(area);
    let id = |mention: &Mention| mention.display_name.replace(' ', "-");
    let has = |machine: &SubjectName, unit: &Mention| shop.unit(machine, &id(unit));
    let mut fits = shop.subjects.iter().filter(|known| {
        known.name.kind() == SubjectKind::Machine
            && said.iter().all(|word| nicknames::is_called(known, word))
            && named.units.iter().all(|unit| has(&known.name, unit).is_some())
    });
    let (Some(machine), None) = (fits.next(), fits.next()) else { return };
    for unit in &mut named.units {
        if let Some(known) = has(&machine.name, unit) {
            unit.name.clone_from(&known.name);
            unit.known = true;
        }
    }
    if all {
        let (first, last) = (area.first, area.last);
        let others = shop.subjects.iter().filter(|known| {
            known.name.kind() == SubjectKind::Unit
                && machine.name.holds(&known.name)
                && (known.equipment.is_none() || known.equipment == machine.equipment)
        });
        let mention = |known: &Known| Mention {
            name: known.name.clone(),
            display_name: known.names.first().cloned().unwrap_or_default(),
            known: true,
            first,
            last,
        };
        let mut units: Vec<Mention> = others.map(mention).collect();
        units.append(&mut named.units);
        named.units = units;
    }
}

/// "Set all tees to 9.5": the units that mow there.
fn all_of_area(tokens: &[Token], named: &Named) -> bool {
    let [area] = &named.areas[..] else { return false };
    let before = (area.first.saturating_sub(2)..area.first).any(|at| {
        matches!(tokens[at].text.as_str(), "all" | "every")
    });
    let one = area.first == area.last;
    before && one
}

impl Named {
    /// The machine that all units named belong to.
    pub(super) fn machine_of_units(&self) -> Option<SubjectName> {
        let machine = |mention: &Mention| match &mention.name {
            SubjectName::Unit { site, machine, .. } => {
                Some(SubjectName::Machine { site: site.clone(), machine: machine.clone() })
            }
            _ => None,
        };
        let first = machine(self.units.first()?)?;
        self.units.iter().all(|unit| machine(unit).as_ref() == Some(&first)).then_some(first)
    }
}

impl Named {
    /// Machines that one word names together, or that only "and" joins.
    pub(super) fn machines_together(&self, tokens: &[Token]) -> Vec<SubjectName> {
        let joins = |token: &Token| matches!(token.text.as_str(), "and" | "," | "&" | "the" | "number");
        let together = self.machines.windows(2).all(|pair| {
            let same = (pair[0].first, pair[0].last) == (pair[1].first, pair[1].last);
            let between = tokens.get(pair[0].last + 1..pair[1].first);
            same || between.is_some_and(|between| between.iter().all(joins))
        });
        let known = self.machines.iter().all(|machine| machine.known);
        let names = self.machines.iter().map(|machine| machine.name.clone());
        if together && known && self.machines.len() > 1 { names.collect() } else { Vec::new() }
    }
}

/// "All three", "all 3 on the triplex": how many, with nothing else counted.
pub(super) fn all_counted(tokens: &[Token], at: usize) -> bool {
    const AFTER: &[&str] = &[
        "on", "of", "at", "to", "today", "yesterday", "again", "this", "with", "for", "now", "and",
        "same", "done", "took", "reads", "read", "are", "were", "by", "in", "from", "checked", "set",
        "level", "good", "ground", "lapped", "sharpened", "greased",
    ];
    const COUNTS: &[&str] = &["two", "three", "four", "five", "six", "seven", "nine"];
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let counted = |token: &&Token| {
        COUNTS.contains(&token.text.as_str())
            || (token.kind == Kind::Number && token.text.len() == 1)
    };
    let all = matches!(text(at), "all" | "both");
    let count = usize::from(text(at) == "all");
    let number = count == 0 || tokens.get(at + 1).filter(counted).is_some();
    let next = tokens.get(at + 1 + count);
    let ends = next.is_none_or(|next| {
        next.kind == Kind::Sign || AFTER.contains(&next.text.as_str())
    });
    // "Cuts on both", "both of them": of whatever was said before.
    all && number && ends && (count == 1 || text(at + 1) != "of")
}

impl Reader<'_> {
    /// "All three reels": a record for each unit that the shop has on the machine; of heights, a
    /// reading for each.
    pub(super) fn all_units(&self, recorded: &Recorded, records: &mut Records) {
        // "New blades all three heads, set .080 deep": two works, each on all of them.
        let several = records.len() > 1 && records.iter().all(|(name, content)| {
            *name == records[0].0 && !matches!(content.detail, Detail::HeightReading(_))
        });
        if several {
            let each = std::mem::take(records).into_iter().flat_map(|one| {
                let mut own = vec![one];
                self.all_units(recorded, &mut own);
                own
            });
            *records = each.collect();
            return;
        }
        // "Ran the five 6 hours apart from unit 3": hours are of the machine.
        if let [(name, content), ..] = &mut records[..]
            && matches!(content.detail, Detail::Hours(_)) && name.kind() == SubjectKind::Unit
            && excepted(&recorded.spoken, &recorded.named.units).is_some()
            && let Some(machine) = name.holder()
        {
            *name = machine;
            records.truncate(1);
            return;
        }
        // "Lapped all five except 2 and 4": those named are the ones left out.
        if records.len() > 1
            && let Some((unit, content)) = records.first()
            && records.iter().all(|(name, _)| name.holder() == unit.holder())
            && let Some(all) = self.all_except(recorded, unit, content)
        {
            *records = all;
            return;
        }
        let [(machine, content)] = &mut records[..] else { return };
        // "Bench 3.5 all three, unit 3 at 3.6": the height of all is one that was read.
        if let Detail::HeightReading(detail) = &mut content.detail
            && recorded.named.all_units && !detail.readings.is_empty()
            && detail.readings.iter().all(|one| one.unit.is_some())
            && detail.method == Some(HeightMethod::Bench)
            && let Some(bench) = detail.bench_height_mm.take()
        {
            let all = HeightPoint { height_mm: Some(bench), ..HeightPoint::default() };
            detail.readings.insert(0, all);
        }
        // "All three at 3.5, unit 3 at 3.6": one of them was named beside them all.
        if let Detail::HeightReading(detail) = &content.detail
            && detail.readings.len() > 1 && machine.kind() == SubjectKind::Unit
            && recorded.named.all_units && let Some(holder) = machine.holder()
        {
            *machine = holder;
        }
        let all = self.all_except(recorded, machine, content);
        if let Some(all) = all.or_else(|| self.all_but_one(recorded, machine, content)) {
            *records = all;
            return;
        }
        if !recorded.named.all_units || machine.kind() != SubjectKind::Machine {
            return;
        }
        let units = self.units_of(machine, content.equipment);
        // "Greased the whole tees mower": one look over it, and none at each unit.
        let care = matches!(content.detail, Detail::Inspection(_)) && !of_a_unit(&content.detail);
        if units.is_empty() || (care && self.says(&["whole"])) {
            return;
        }
        if let Detail::HeightReading(detail) = &mut content.detail {
            let (own, all): (Vec<HeightPoint>, Vec<HeightPoint>) =
                detail.readings.iter().cloned().partition(|reading| reading.unit.is_some());
            let other = |unit: &SubjectName| {
                !own.iter().any(|reading| reading.unit.as_ref() == Some(unit))
            };
            if matches!(all.len(), 1 | 2) {
                let each = |unit: &SubjectName| -> Vec<HeightPoint> {
                    let of = |reading: &HeightPoint| HeightPoint {
                        unit: Some(unit.clone()),
                        ..reading.clone()
                    };
                    all.iter().map(of).collect()
                };
                let others = units.iter().filter(|unit| other(unit));
                let mut readings: Vec<HeightPoint> = others.flat_map(each).collect();
                readings.extend(own.iter().cloned());
                readings.sort_by(|one, two| one.unit.cmp(&two.unit));
                detail.readings = readings;
            }
            return;
        }
        let content = content.clone();
        *records = units.into_iter().map(|unit| (unit, content.clone())).collect();
    }

    /// "Set all three to 3.5, unit 2 at 3.6": the others have what was told of all.
    fn all_but_one(
        &self,
        recorded: &Recorded,
        unit: &SubjectName,
        content: &Content,
    ) -> Option<Records> {
        let machine = unit.holder().filter(|_| unit.kind() == SubjectKind::Unit)?;
        let (own, told): (f64, Vec<f64>) = match &content.detail {
            Detail::Adjustment(detail) => {
                // The "three" of "all three" is no setting.
                let counts = |index: &usize| {
                    let first = recorded.spoken.quantities[*index].first;
                    let before = first.checked_sub(1).map(|at| &recorded.spoken.tokens[at].text);
                    before.is_some_and(|word| matches!(word.as_str(), "all" | "both"))
                };
                let all = (0..recorded.spoken.quantities.len()).filter(|index| !counts(index));
                let settled: Vec<(usize, f64)> = all.filter_map(|index| {
                    Some((index, settle(&recorded.spoken, index, "setting_mm")?.value))
                }).collect();
                // What stands next to the one unit is its own.
                let of = recorded.named.units.first()?;
                let far = |one: &&(usize, f64)| away(&recorded.spoken, of, one.0);
                let own = settled.iter().min_by_key(far);
                let own = own.map_or(detail.setting_mm?, |(_, value)| *value);
                (own, settled.into_iter().map(|(_, value)| value).collect())
            }
            // "Lapped all three with 120 grit, 80 grit on unit 3".
            Detail::Sharpening(detail) => {
                // "15 min, 80 grit on unit 3 for 20 min": neither is the time of all.
                let time = |one: &&Quantity| matches!(one.unit, Some("min" | "h"));
                if recorded.spoken.quantities.iter().filter(time).count() > 1 {
                    return None;
                }
                let grits = recorded.placed.iter().filter(|(_, field, _)| field == "grit");
                (f64::from(detail.grit?), grits.map(|(_, _, settled)| settled.value).collect())
            }
            _ => return None,
        };
        let others: Vec<f64> =
            told.into_iter().filter(|value| (value - own).abs() > 1e-9).collect();
        let [other] = others[..] else { return None };
        if !recorded.named.all_units || recorded.named.units.len() != 1 {
            return None;
        }
        let units = self.units_of(&machine, content.equipment);
        let of = |name: SubjectName| {
            let mut content = content.clone();
            let value = if name == *unit { own } else { other };
            match &mut content.detail {
                Detail::Adjustment(detail) => {
                    content.notes.clear();
                    detail.setting_before_mm = None;
                    detail.setting_mm = Some(value);
                }
                Detail::Sharpening(detail) => detail.grit = Some(value as u32),
                _ => {}
            }
            (name, content)
        };
        (units.len() > 1 && units.contains(unit)).then(|| units.into_iter().map(of).collect())
    }

    /// "Lapped all five ten minutes each, except number 4 that one I gave fifteen": the others as it was
    /// told of all, and those excepted only with a time of their own. Where it is not clear what is
    /// told of whom, it is asked (`which_is_asked`).
    fn all_except(
        &self,
        recorded: &Recorded,
        unit: &SubjectName,
        content: &Content,
    ) -> Option<Records> {
        let machine = unit.holder().filter(|_| unit.kind() == SubjectKind::Unit)?;
        let (named, spoken) = (&recorded.named, &recorded.spoken);
        let out = excepted(spoken, &named.units).filter(|out| out.clear)?;
        let last = out.last;
        // "The fairway five apart from unit 4" is all of its units but that one, "all" said or not.
        use Detail::{FaultFixed, HeightReading, Hours};
        if matches!(content.detail, HeightReading(_) | FaultFixed(_) | Hours(_)) {
            return None;
        }
        let left = |name: &SubjectName| out.names.contains(name);
        let units = self.units_of(&machine, content.equipment);
        let (left, others): (Vec<_>, Vec<_>) = units.into_iter().partition(left);
        if left.is_empty() || others.is_empty() {
            return None;
        }
        let each = recorded.placed.iter().find(|(index, field, _)| {
            field == "duration_each_min" && spoken.quantities[*index].last < last
        });
        let each = each.map(|(_, _, settled)| settled.value);
        // "All but 4, 10 minutes each": the only time that is told is that of the others.
        let timed = |one: &&Quantity| matches!(one.unit, Some("min" | "h"));
        let times = spoken.quantities.iter().filter(timed).count();
        let behind = spoken.quantities.iter().position(|one| one.first > last);
        let own = match behind {
            Some(_) if each.is_none() && times == 1 && !out.pointed => None,
            // "Set them to 3.5 except unit 2 at 3.6": the last is its own.
            Some(index) if !out.plain && times == 0 => {
                let only = index == 0 && !matches!(content.detail, Detail::Adjustment(_));
                only.then_some(None)?
            }
            Some(index) => Some(own_minutes(spoken, last, index).filter(|_| each.is_some())?),
            None => None,
        };
        let with = |name: SubjectName, value: Option<f64>| {
            let mut content = content.clone();
            if let Detail::Sharpening(detail) = &mut content.detail
                && let Some(value) = value
            {
                detail.duration_each_min = Some(value);
                content.duration_min = None;
            }
            // Which note is of the one alone is not known.
            if own.is_some() {
                content.notes.clear();
            }
            (name, content)
        };
        let sharpened = matches!(content.detail, Detail::Sharpening(_));
        if own.is_some() && !sharpened {
            return None;
        }
        let mut told: Records = others.into_iter().map(|name| with(name, each)).collect();
        told.extend(left.into_iter().filter(|_| own.is_some()).map(|name| with(name, own)));
        told.sort_by(|one, two| one.0.cmp(&two.0));
        Some(told)
    }

    /// The units of the machine that are of its kind, or of the kind named.
    fn units_of(&self, machine: &SubjectName, kind: Option<Equipment>) -> Vec<SubjectName> {
        let subjects = &self.question.shop.subjects;
        let known = self.question.shop.known(machine);
        let own = kind.or(known.and_then(|known| known.equipment));
        subjects
            .iter()
            .filter(|known| known.name.kind() == SubjectKind::Unit && machine.holds(&known.name))
            // What it carries beside its units is not lapped with them.
            .filter(|known| own.is_none() || known.equipment.is_none() || known.equipment == own)
            .map(|known| known.name.clone())
            .collect()
    }

    /// "I have done that belt": the one deck of the shop, where no machine is named.
    pub(super) fn only_deck(&self, records: &mut Records) {
        const OF_A_DECK: &[&str] = &["belt", "deck belt", "blade belt", "spindle", "deck blades"];
        let subjects = &self.question.shop.subjects;
        let mut decks = subjects.iter().filter(|known| {
            known.name.kind() == SubjectKind::Unit && known.equipment == Some(Equipment::RotaryDeck)
        });
        let (Some(only), None) = (decks.next(), decks.next()) else { return };
        for (name, content) in records.iter_mut()
            .filter(|(name, _)| name.kind() == SubjectKind::Site) {
            let Detail::PartReplaced(detail) = &content.detail else { continue };
            let of_deck = |part: &str| OF_A_DECK.contains(&part);
            if !detail.parts.is_empty() && detail.parts.iter().all(|one| of_deck(&one.part)) {
                name.clone_from(&only.name);
            }
        }
    }

    /// "The walker this morning, no. 1": the machine of that number, and no unit.
    pub(super) fn machine_of_number(&self, records: &mut Records) {
        let shop = self.question.shop;
        for (name, _) in records.iter_mut() {
            let SubjectName::Unit { unit, .. } = &*name else { continue };
            let unknown = |machine: &SubjectName| shop.known(machine).is_none();
            let Some(machine) = name.holder().filter(unknown) else { continue };
            let numbered = format!("-{}", unit.as_str());
            let mut fits = several::several(shop, &machine).into_iter()
                .filter(|one| one.id().as_str().ends_with(&numbered));
            if let (Some(one), None) = (fits.next(), fits.next()) {
                *name = one;
            }
        }
    }

    /// "Changed the bedknives on tees": the one machine that is called so, where the work is of none
    /// but a machine.
    pub(super) fn machine_of_area(&self, records: &mut Records) {
        let subjects = &self.question.shop.subjects;
        for (name, content) in records.iter_mut() {
            if name.kind() != SubjectKind::Area
                || !matches!(content.detail, Detail::PartReplaced(_) | Detail::Sharpening(_)) {
                continue;
            }
            let id = name.id().as_str().to_owned();
            let word = id.trim_end_matches('s');
            let mut fits = subjects.iter().filter(|known| {
                known.name.kind() == SubjectKind::Machine && nicknames::is_called(known, word)
            });
            if let (Some(machine), None) = (fits.next(), fits.next()) {
                name.clone_from(&machine.name);
            }
        }
    }

    /// Six bare heights of a machine of three units: left and right of each, in their order, as the
    /// records of the shop are laid out; three are one of each.
    pub(super) fn heights_in_order(&self, records: &mut Records) {
        for (machine, content) in records.iter_mut()
            .filter(|(name, _)| name.kind() == SubjectKind::Machine) {
            let mut units = self.units_of(machine, content.equipment);
            units.sort();
            let Detail::HeightReading(detail) = &mut content.detail else { continue };
            let bare = detail.readings.iter().all(|one| one.unit.is_none() && one.end.is_none()
                && one.area.is_none());
            let each = detail.readings.len() / units.len().max(1);
            let exact = units.len() > 1 && each * units.len() == detail.readings.len();
            // "Left centre right" behind all of them: the ends of each unit, in their order.
            let ends: Vec<Option<Place>> = detail.readings.iter().map(|one| one.end).collect();
            let round = ends.iter().take(each);
            let once = round.enumerate().all(|(at, end)| {
                end.is_some() && !ends[..at].contains(end)
            });
            let loose = detail.readings.iter().all(|one| one.unit.is_none() && one.area.is_none());
            if exact && each > 1 && once && loose
                && ends.iter().enumerate().all(|(at, end)| *end == ends[at % each]) {
                for (nth, reading) in detail.readings.iter_mut().enumerate() {
                    reading.unit = units.get(nth / each).cloned();
                }
                continue;
            }
            let whole = exact && (1..=2).contains(&each);
            if !bare || !whole {
                continue;
            }
            for (nth, reading) in detail.readings.iter_mut().enumerate() {
                reading.unit = units.get(nth / each).cloned();
                let end = if nth % each == 0 { Place::Left } else { Place::Right };
                reading.end = (each == 2).then_some(end);
            }
        }
    }

    /// "Ground walker 1 reel": the one unit that the machine has, where the work is of a unit.
    pub(super) fn one_unit(&self, records: &mut Records) {
        for (name, content) in records {
            if name.kind() != SubjectKind::Machine || !of_a_unit(&content.detail) {
                continue;
            }
            let units = self.units_of(name, content.equipment);
            let [only] = &units[..] else { continue };
            let known = self.question.shop.known(only);
            if known.is_some_and(|known| known.equipment.is_some()) {
                name.clone_from(only);
            }
        }
    }
}

/// How far a number stands from a unit: in another clause, by tokens, before it.
fn away(spoken: &Spoken, unit: &Mention, index: usize) -> (bool, usize, bool) {
    let one = &spoken.quantities[index];
    let (of, own) = (&spoken.tokens[unit.last], &spoken.tokens[one.first]);
    let apart = (of.sentence, of.segment) != (own.sentence, own.segment);
    let before = one.last < unit.first;
    let far = if before { unit.first - one.last } else { one.first.saturating_sub(unit.last) };
    (apart, far, before)
}

/// Whether work of this kind is done to a unit, and not to what carries it.
fn of_a_unit(detail: &Detail) -> bool {
    match detail {
        Detail::Sharpening(_) | Detail::HeightReading(_) => true,
        Detail::Adjustment(detail) => !matches!(
            detail.target,
            Some(AdjustmentTarget::TyrePressure | AdjustmentTarget::WeightTransfer
                | AdjustmentTarget::Speed)
        ),
        Detail::PartReplaced(detail) => {
            let parts = &detail.parts;
            !parts.is_empty()
                && parts.iter().all(|part| !OF_THE_MACHINE.contains(&part.part.as_str()))
        }
        Detail::Inspection(detail) => {
            detail.left_diameter_mm.or(detail.right_diameter_mm).or(detail.end_play_mm).is_some()
        }
        Detail::FaultFixed(_) | Detail::Hours(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn all_is_heard_where_nothing_else_is_counted() {
        for (words, wanted) in [
            ("backlapped all three on the triplex", true),
            ("checked all 3, no play", true),
            ("lapped the triplex, all three", true),
            ("changed all three blades", false),
            ("all the bolts", false),
            ("cuts paper both ends", false),
        ] {
            let tokens = tokens(words);
            let got = (0..tokens.len()).any(|at| all_counted(&tokens, at));
            assert_eq!(got, wanted, "{words}");
        }
    }
}
