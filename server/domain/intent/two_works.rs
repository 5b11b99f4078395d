//! Which second work does a sentence tell beside the first: "bedknife changed and reel ground to
//! 171.9", "swapped the bedknife and ground it in"? Each is a record of its own, and what was greased
//! beside other work is kept in the notes.
//! Deliberately absent: the first work, which `record` reads, and a second sentence.

use std::collections::BTreeSet;

use super::assign::{Assigned, Signs, assign};
use super::cues::Cue;
use super::each_unit::is_set;
use super::grinding::{self, grindings};
use super::other_kind::CARE;
use super::record::Builder;
use super::record_fields::fields;
use super::record_lists::word_of;
use super::settle::settle;
use super::spoken::Spoken;
use crate::domain::records::choices::Choice as _;
use crate::domain::records::{Content, Detail, RecordKind, SubjectName};
use crate::domain::said::placing::Placings;

/// How long the second work took; the field is no field of the first.
const SECOND_MIN: &str = "lapping_min";
/// What is done where a part is another now.
const REPLACED: &[&str] = &[
    "replaced", "renewed", "changed", "swapped", "swopped", "fitted", "installed", "replace", "swap",
];
/// What is done to a reel beside it.
const LAPPED: &[&str] = &["lapped", "backlapped"];
/// What is done to blades beside it.
const SHARPENED: &[&str] = &["sharpened", "resharpened", "edged"];
/// What ends one work of several told in a row.
const JOINS: &[&str] = &["and", "then", "&", "plus", "but", "n"];
/// Words from what was done to what it was not.
const NOT_REACH: usize = 4;
/// Words between a grind and what was ground.
const NEAR: usize = 3;

/// What a second work adds.
#[derive(Default)]
pub(super) struct More {
    pub records: Vec<(SubjectName, Content)>,
    pub assigned: Vec<Assigned>,
}

impl Builder<'_> {
    /// The records of another work than that of `kind`, on what the first ones are about.
    pub(super) fn other_work(
        &self,
        kind: RecordKind,
        first: &[(SubjectName, Content)],
        placings: &Placings,
    ) -> More {
        let Some(other) = self.other_kind(kind) else { return More::default() };
        let cues: Vec<Cue> = match other {
            RecordKind::PartReplaced => self.cues_of_parts(),
            _ => self.cues.to_vec(),
        };
        let ids = ["record", other.id()];
        let leanings = placings.of(other.id());
        let signs = Signs { cues: &cues, prefixes: &ids, learned: &leanings };
        let mut assigned = assign(self.spoken, &signs, fields(other), &BTreeSet::new());
        grinding::put_right(self.spoken, other, &mut assigned);
        // What the first one took stays there.
        let taken = |one: &Assigned| self.assigned.iter()
            .any(|known| known.quantity == one.quantity);
        let diameter = |one: &Assigned| one.field.starts_with("diameter_");
        let said = |one: &Assigned| one.by_cue
            && self.spoken.quantities[one.quantity].unit.is_some();
        let set = |one: &Assigned| one.field == "setting_mm" && is_set(self.spoken, one.quantity);
        assigned.retain(|one| !taken(one) && (diameter(one) || said(one) || set(one)));
        let builder = Builder { cues: &cues, assigned: &assigned, done_by: self.done_by.clone(),
            ..*self };
        let mut content = builder.content(other);
        let own = self.assigned.iter().find(|one| one.field == SECOND_MIN);
        content.duration_min = own.map(|one| one.settled.value);
        content.machine_hours_h = None;
        if let Detail::PartReplaced(detail) = &content.detail
            && detail.parts.is_empty()
        {
            return More::default();
        }
        if let Detail::Adjustment(detail) = &content.detail
            && (detail.target.is_none() || detail.setting_mm.is_none())
        {
            return More::default();
        }
        content.notes.clear();
        let records = first.iter().map(|(subject, _)| (subject.clone(), content.clone())).collect();
        More { records, assigned }
    }

    fn other_kind(&self, kind: RecordKind) -> Option<RecordKind> {
        let ground = grindings(self.spoken);
        let lapped = self.spoken.tokens.iter().any(|token| LAPPED.contains(&token.text.as_str()));
        let parts = self.cues_of_parts();
        // "Ground it, new bedknife in as well".
        let new = parts.iter().filter(|cue| cue.family == "part").any(|cue| {
            let before = cue.first().checked_sub(1).map_or("", |at| self.spoken.word(at));
            matches!(before, "new" | "fresh") && cue.first() > 2
        });
        // "Sharpened, not changed".
        let denied = |at: usize| at > 0 && matches!(self.spoken.word(at - 1), "not" | "never");
        let replaced = new || (0..self.spoken.words.len())
            .any(|at| REPLACED.contains(&self.spoken.word(at)) && !denied(at));
        // "Sharpened the spares", "old ones sharpened": not those that are on it now.
        let aside = |at: usize| (at.saturating_sub(NEAR)..=at + NEAR).any(|near| {
            let word = self.spoken.words.get(near).map_or("", |_| self.spoken.word(near));
            matches!(word, "spare" | "spares" | "old" | "other" | "others")
        });
        let sharpened = (0..self.spoken.words.len())
            .any(|at| sharpens(self.spoken, at) && !aside(at));
        match kind {
            RecordKind::PartReplaced if !ground.is_empty() || lapped || sharpened => {
                Some(RecordKind::Sharpening)
            }
            // "New verticut blades, set em at 80 thou".
            RecordKind::PartReplaced if self.sets_a_length() => Some(RecordKind::Adjustment),
            RecordKind::Sharpening if replaced && parts.iter().any(|cue| cue.family == "part") => {
                Some(RecordKind::PartReplaced)
            }
            _ => None,
        }
    }

    fn sets_a_length(&self) -> bool {
        let length = |index: &usize| {
            let one = &self.spoken.quantities[*index];
            one.leading_point || matches!(one.unit, Some("mm" | "in" | "thou"))
        };
        (0..self.spoken.quantities.len()).filter(length).any(|index| is_set(self.spoken, index))
    }

    /// Without what was only ground: the "reel" of "ground the reel" and "reel ground to".
    pub(super) fn cues_of_parts(&self) -> Vec<Cue<'_>> {
        let part = |cue: &&Cue| cue.family == "part";
        // "The blades were sharpened, not changed": nor were they where they were told before.
        let instead = |cue: &&Cue| {
            part(cue) && is_ground(self.spoken, cue) && not_replaced(self.spoken, cue)
        };
        let instead: Vec<&str> = self.cues.iter().filter(instead).map(|cue| cue.id).collect();
        let kept = |cue: &&Cue| {
            !part(cue) || !(is_ground(self.spoken, cue) || instead.contains(&cue.id))
        };
        self.cues.iter().filter(kept).cloned().collect()
    }
}

/// "New bedknife, 1.5 hr, lapped 5 min": the time behind the second work is that of it alone, and the
/// other one that of the first.
pub(super) fn times(spoken: &Spoken, kind: RecordKind, assigned: &mut Vec<Assigned>) {
    if kind != RecordKind::PartReplaced {
        return;
    }
    // "At 3380 h", "ran 283 h", "280 h old": what a part or the meter ran is no work.
    const RAN: &[&str] = &["ran", "run", "did", "done", "after", "old", "at", "since", "lasted", "on"];
    let ran = |index: usize| {
        let one = &spoken.quantities[index];
        let near = one.first.checked_sub(1).into_iter().chain([one.last + 1]);
        let said = near.into_iter().filter_map(|at| spoken.tokens.get(at));
        let meter = assigned.iter().any(|known| known.quantity == index
            && (known.field == "machine_hours_h" || known.field == "life_h"
                || known.field.starts_with("hours_")));
        let long = one.unit == Some("h") && one.value > grinding::WORKED_H_MAX;
        meter || long || said.into_iter().any(|token| RAN.contains(&token.text.as_str()))
    };
    let time = |index: &usize| {
        matches!(spoken.quantities[*index].unit, Some("min" | "h")) && !ran(*index)
    };
    let all: Vec<usize> = (0..spoken.quantities.len()).filter(time).collect();
    let lapping = |index: &usize| {
        let first = spoken.quantities[*index].first;
        let from = first.saturating_sub(NEAR);
        (from..first).any(|at| {
            let (token, time) = (&spoken.tokens[at], &spoken.tokens[first]);
            LAPPED.contains(&token.text.as_str()) && token.segment == time.segment
        })
    };
    let [one, two] = all[..] else { return };
    let (first, second) = match (lapping(&one), lapping(&two)) {
        (false, true) => (one, two),
        (true, false) => (two, one),
        _ => return,
    };
    assigned.retain(|known| known.quantity != first && known.quantity != second);
    for (index, field) in [(first, "duration_min"), (second, SECOND_MIN)] {
        let Some(settled) = settle(spoken, index, field) else { continue };
        assigned.push(Assigned { field: field.to_owned(), quantity: index, settled, by_cue: true });
    }
    assigned.sort_by_key(|one| one.quantity);
}

/// "Blades sharpened", "sharpened the blades", and not "fitted the sharpened blades".
fn sharpens(spoken: &Spoken, at: usize) -> bool {
    const OF_A_PART: &[&str] =
        &["the", "a", "new", "fresh", "freshly", "with", "for", "spare", "to", "not", "some", "newly"];
    let before = at.checked_sub(1).map_or("", |at| spoken.word(at));
    let fitted = OF_A_PART.contains(&before) || REPLACED.contains(&before);
    // "Edged the fairways" is turf.
    let blade = |near: usize| spoken.words.get(near).is_some_and(|_| {
        matches!(spoken.word(near), "blade" | "blades" | "knife" | "knives")
    });
    let edged = spoken.word(at) == "edged" && !(at.saturating_sub(2)..=at + 2).any(blade);
    SHARPENED.contains(&spoken.word(at)) && !fitted && !edged
}

/// Whether it is said behind a part that it was not changed.
fn not_replaced(spoken: &Spoken, cue: &Cue) -> bool {
    let end = (cue.last() + 1 + NOT_REACH).min(spoken.words.len());
    let not = |at: &usize| spoken.word(*at) == "not" && REPLACED.contains(&spoken.word(at + 1));
    (cue.last() + 1..end).any(|at| not(&at))
}

/// Whether a part is what was ground, lapped or greased, and nothing was changed nearer to it.
pub(super) fn is_ground(spoken: &Spoken, cue: &Cue) -> bool {
    let word = |at: usize| spoken.word(at);
    let (first, last) = (cue.first(), cue.last());
    let grinds = |at: usize| {
        let place = spoken.places.get(at).map(|place| place.first);
        let ground = place.is_some_and(|token| grindings(spoken).contains(&token));
        let sharp = sharpens(spoken, at);
        ground || sharp || LAPPED.contains(&word(at)) || CARE.contains(&word(at))
    };
    let changes = |at: usize| REPLACED.contains(&word(at));
    let before = (1..=NEAR).filter_map(|back| first.checked_sub(back)).find(|at| grinds(*at)
        || changes(*at));
    // "Reel ground to", "bedknife changed".
    let joins = |at: &usize| JOINS.contains(&word(*at));
    let behind = (last + 1..last + 1 + 2).take_while(|at| !joins(at));
    let behind = behind.into_iter().find(|at| grinds(*at) || changes(*at));
    match (behind, before) {
        (Some(at), _) => grinds(at),
        (None, Some(at)) => grinds(at),
        (None, None) => false,
    }
}

/// "One of them bent so binned it": what was thrown out beside the work, as it was said.
pub(super) fn scrapped_note(spoken: &Spoken, kind: RecordKind) -> Option<String> {
    const SCRAPPED: &[&str] = &["binned", "scrapped", "chucked", "skipped", "dumped"];
    if matches!(kind, RecordKind::PartReplaced | RecordKind::FaultFixed) {
        return None;
    }
    let at = (0..spoken.words.len()).find(|at| SCRAPPED.contains(&spoken.word(*at)))?;
    let same = |other: &usize| spoken.words[*other].sentence == spoken.words[at].sentence;
    let segment = spoken.words[at].segment;
    let lone = |first: usize| at - first < 2;
    let first = (0..=at).rev().take_while(|other| spoken.words[*other].segment == segment).last()?;
    // "One bent, binned it".
    let before = first.checked_sub(1).filter(|before| same(before) && lone(first))
        .map(|before| spoken.words[before].segment);
    let first = match before {
        Some(segment) => {
            (0..first).find(|other| spoken.words[*other].segment == segment && same(other))
        }
        None => Some(first),
    }?;
    let own = |other: &usize| spoken.words[*other].segment == segment;
    let last = (at..spoken.words.len()).take_while(own).last()?;
    Some(spoken.phrase(first, last).trim().to_owned())
}

/// "And greased the pivots": care beside other work, as it was said.
pub(super) fn care_note(spoken: &Spoken, kind: RecordKind) -> Option<String> {
    if matches!(kind, RecordKind::Inspection | RecordKind::FaultFixed) {
        return None;
    }
    // "Filed it out, lapped it": dressed by hand first.
    const DRESSED: &[&str] = &["filed", "stoned", "dressed"];
    let said = |words: &[&str]| (0..spoken.words.len()).any(|at| words.contains(&spoken.word(at)));
    let dressed = kind == RecordKind::Sharpening && (said(LAPPED) || grinding::grinds(spoken));
    // "New bedknife, faced it".
    let faced = kind == RecordKind::PartReplaced && said(&["bedknife", "knife", "bedknives", "knives"]);
    let is = |at: usize| {
        CARE.contains(&spoken.word(at)) || (dressed && DRESSED.contains(&spoken.word(at)))
            || (faced && spoken.word(at) == "faced")
    };
    let at = (0..spoken.words.len()).find(|at| is(*at))?;
    let segment = spoken.words[at].segment;
    let joins = |at: &usize| {
        spoken.words[*at].segment == segment && !matches!(spoken.word(*at), "and" | "then" | "on")
    };
    let numbers = |at: usize| (0..spoken.quantities.len())
        .any(|index| word_of(spoken, index) == at);
    let last = (at..spoken.words.len()).take_while(|at| joins(at) && !numbers(*at)).last()?;
    Some(spoken.phrase(at, last).trim().to_owned())
}
