//! Which of several units or ends does a setting, what stood before it or a turn belong to, when
//! one sentence tells of all? And which number is only what a click is worth?
//! Deliberately absent: heights that were read (`record_lists`).

use super::assign::Assigned;
use super::balanced;
use super::notes::height_set;
use super::record::Builder;
use super::settle::settle;
use super::spoken::Spoken;
use super::subjects::{Mention, Named};
use crate::domain::records::choices::{Direction, Place};
use crate::domain::records::{Content, Detail, SubjectName};
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::CLICKS;

/// Flats of a hexagon to one turn.
const FLATS: f64 = 6.0;

impl Builder<'_> {
    /// "Half a turn up left, quarter down right": a record for each end.
    pub(super) fn turns_of_each_end(&self, records: &mut Vec<(SubjectName, Content)>) {
        let turned = |one: &&Quantity| matches!(one.unit, Some("turns" | "flats"));
        let all: Vec<&Quantity> = self.spoken.quantities.iter().filter(turned).collect();
        let ([one, two], [_]) = (&all[..], &records[..]) else { return };
        let tokens = &self.spoken.tokens;
        let own = |of: &Quantity| -> Option<(Place, Option<Direction>, f64)> {
            let other = if of.first == one.first { two } else { one };
            let apart = tokens[of.first].segment != tokens[other.first].segment;
            let within = |at: &usize| apart && tokens[*at].segment == tokens[of.first].segment;
            let said = |word: &str| {
                (0..tokens.len()).filter(within).any(|at| tokens[at].text == word)
            };
            let end = match (said("left"), said("right")) {
                (true, false) => Place::Left,
                (false, true) => Place::Right,
                _ => return None,
            };
            let way = match (said("up"), said("down")) {
                (true, false) => Some(Direction::Up),
                (false, true) => Some(Direction::Down),
                _ => None,
            };
            let turns = if of.unit == Some("flats") { of.value / FLATS } else { of.value };
            Some((end, way, turns))
        };
        let (Some(first), Some(second)) = (own(one), own(two)) else { return };
        let Some((subject, content)) = records.pop() else { return };
        for (end, direction, turns) in [first, second] {
            let mut content = content.clone();
            content.notes.clear();
            if let Detail::Adjustment(detail) = &mut content.detail {
                (detail.end, detail.direction, detail.turns) = (Some(end), direction, Some(turns));
                detail.height_change_mm = None;
            }
            records.push((subject.clone(), content));
        }
    }

    /// "Set unit 1 at 3.5 and unit 2 at 3.6": each unit has its own.
    pub(super) fn setting_of_each(&self, records: &mut [(SubjectName, Content)]) {
        let units = &self.named.units;
        let quantities = &self.spoken.quantities;
        let turned = quantities.iter().any(|one| matches!(one.unit, Some("turns" | "flats")));
        let own = |at: usize| -> Option<f64> {
            let next = units.get(at + 1).map_or(usize::MAX, |next| next.first);
            let within = |one: &Quantity| one.first > units[at].last && one.first < next;
            let index = quantities.iter().position(within)?;
            let near = quantities[index].first - units[at].last <= 4;
            settle(self.spoken, index, "setting_mm").map(|settled| settled.value).filter(|_| near)
        };
        let each: Option<Vec<f64>> = (0..units.len()).map(own).collect();
        let Some(each) = each.filter(|each| each.len() > 1 && !turned) else { return };
        for (name, content) in records.iter_mut() {
            let of = units.iter().position(|unit| unit.name == *name);
            if let (Some(of), Detail::Adjustment(detail)) = (of, &mut content.detail) {
                (detail.setting_mm, detail.setting_before_mm) = (Some(each[of]), None);
                detail.turns = None;
                content.notes.clear();
            }
        }
    }

    /// "All to 9.5, 3 was at 9.8": where it stood before is said of one unit only.
    pub(super) fn before_of_one(&self, records: &mut [(SubjectName, Content)]) {
        let stood = self.assigned.iter().find(|one| one.field == "setting_before_mm");
        let Some(stood) = stood.filter(|_| records.len() > 1) else { return };
        let first = self.spoken.quantities[stood.quantity].first;
        let segment = |at: usize| self.spoken.tokens[at].segment;
        let other = |mention: &&Mention| {
            mention.last < first && segment(mention.first) == segment(first)
        };
        let Some(unit) = self.named.units.iter().rev().find(other) else { return };
        let alone = self.named.units.iter().filter(|one| other(one)).count() == 1;
        for (_, content) in records.iter_mut().filter(|(name, _)| alone && *name != unit.name) {
            if let Detail::Adjustment(detail) = &mut content.detail {
                detail.setting_before_mm = None;
            }
        }
    }
}

/// Takes out numbers that are no reading of the field they went to.
pub(super) fn without_strays(spoken: &Spoken, named: &Named, assigned: &mut Vec<Assigned>) {
    // Clicks of work are those of an adjuster, and no speed.
    assigned.retain(|one| {
        one.field != "ground_speed_mps" || spoken.quantities[one.quantity].unit != Some(CLICKS)
    });
    // "Unit 2 at 3.6" tells no turns.
    assigned.retain(|one| {
        let said = &spoken.quantities[one.quantity];
        let before = said.first.checked_sub(1).map_or("", |at| spoken.tokens[at].text.as_str());
        one.field != "turns" || said.unit.is_some() || !matches!(before, "at" | "to")
    });
    stood_at(spoken, named, assigned);
    assigned.retain(|one| {
        one.field != "sharpened_blade_count" || !balanced::counts(spoken, one.quantity)
    });
    // "One click 0.02": what a click is worth was not set.
    assigned.retain(|one| !one.field.ends_with("_mm") || !is_worth_of_click(spoken, one.quantity));
    // "New blades, set em at 80 thou": how deep they are set, and not how thick.
    assigned.retain(|one| one.field != "thickness_mm" || !is_set(spoken, one.quantity));
    // "New bedknife, set her at a hundred twenty five": the height of cut, and no reel is set so wide.
    assigned.retain(|one| !one.field.starts_with("diameter_")
        || height_set(spoken, &spoken.quantities[one.quantity]).is_none());
    // "Spun .02 off" tells no grams, nor does what lapping "took".
    let blades = spoken.tokens.iter().any(|token| matches!(token.text.as_str(), "blade" | "blades"));
    assigned.retain(|one| {
        let said = &spoken.quantities[one.quantity];
        one.field != "mass_removed_g" || said.unit.is_some() || (said.value >= 1.0 && blades)
    });
}

/// "Dropped to 3.0, then back up to 3.5": where it stood after each, and not how far it moved.
fn stood_at(spoken: &Spoken, named: &Named, assigned: &mut Vec<Assigned>) {
    const MOVES: &[&str] = &["height_drop_mm", "height_rise_mm"];
    let to = |one: &Assigned| {
        let first = spoken.quantities[one.quantity].first;
        let before = |back: usize| first.checked_sub(back).map_or("", |at| spoken.tokens[at].text.as_str());
        // "From 3.5 to 3.2" is a way of its own.
        MOVES.contains(&one.field.as_str()) && before(1) == "to" && before(3) != "from"
    };
    // "Walker 1 to 3.2 and raised walker 2 to 3.5": the second is that of the other machine.
    let other = |from: usize, to: usize| named.machines.iter().any(|one| {
        let between = spoken.quantities[from].last < one.first
            && one.last < spoken.quantities[to].first;
        let before = |known: &&Mention| known.name != one.name && known.last < one.first;
        between && named.machines.iter().any(|known| before(&known))
    });
    let first = assigned.iter().filter(|one| to(one)).map(|one| one.quantity).min();
    if let Some(first) = first {
        assigned.retain(|one| one.field != "setting_mm" || one.quantity < first
            || !other(first, one.quantity));
    }
    let moves: Vec<usize> = assigned.iter().filter(|one| to(one)).map(|one| one.quantity).collect();
    let set = assigned.iter().find(|one| one.field == "setting_mm").map(|one| one.quantity);
    // "To 3.8, then to 3.4 and back up to 3.6": the last before it is where it stood.
    let last = moves.iter().copied().filter(|at| set.is_some_and(|set| *at < set)).max();
    let earlier = |one: &Assigned| to(one) && last.is_some_and(|last| one.quantity < last);
    assigned.retain(|one| !earlier(one));
    for at in 0..assigned.len() {
        if !to(&assigned[at]) {
            continue;
        }
        let later = assigned.iter().any(|one| {
            one.field == "setting_mm" && one.quantity > assigned[at].quantity
        });
        let stands = assigned.iter().any(|one| one.field == "setting_mm");
        let before = assigned.iter().any(|one| one.field == "setting_before_mm");
        match (stands, later && !before) {
            (false, _) => "setting_mm".clone_into(&mut assigned[at].field),
            (true, true) => "setting_before_mm".clone_into(&mut assigned[at].field),
            (true, false) => {}
        }
    }
}

/// "Set em at 80 thou", "80 thou deep": a number that says where something was set.
pub(super) fn is_set(spoken: &Spoken, quantity: usize) -> bool {
    /// Tokens between "set" and its number: "set the heads at about".
    const NEAR: usize = 5;
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let one = &spoken.quantities[quantity];
    let said = |words: &[&str]| (0..spoken.tokens.len()).any(|at| {
        words.contains(&text(at)) && at > 0 && matches!(text(at - 1), "not" | "how")
    });
    if said(&["thick", "thickness"]) {
        return true;
    }
    // "New blade set 3 mm thick".
    if matches!(text(one.last + 1), "thick" | "thickness") {
        return false;
    }
    if matches!(text(one.last + 1), "deep" | "depth" | "down" | "below" | "under") {
        return true;
    }
    let segment = spoken.tokens[one.first].segment;
    let sets = |at: &usize| {
        // "A set of", "the set" is no setting.
        let noun = *at > 0 && matches!(text(*at - 1), "a" | "the" | "new" | "full" | "this" | "one");
        // "A blade set 3 mm"; a "brush set to 3 mm" was set.
        let of_parts = *at > 0 && matches!(text(*at - 1), "blade" | "knife" | "brush");
        let noun = noun || (of_parts && !matches!(text(*at + 1), "to" | "at"));
        text(*at) == "set" && text(*at + 1) != "of" && !noun && spoken.tokens[*at].segment == segment
    };
    (one.first.saturating_sub(NEAR)..one.first).any(|at| sets(&at))
}

/// "A click is 0.018", "0.018 a click".
fn is_worth_of_click(spoken: &Spoken, quantity: usize) -> bool {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let is_click = |at: usize| matches!(text(at), "click" | "notch");
    let one = &spoken.quantities[quantity];
    let small = |at: &usize| matches!(text(*at), "is" | "=" | "of" | "about" | "worth" | "closes" | "moves");
    let before = (one.first.saturating_sub(3)..one.first).rev().find(|at| !small(at));
    let each = matches!(text(one.last + 1), "a" | "per" | "each");
    before.is_some_and(is_click) || (each && is_click(one.last + 2))
}
