//! Which method, ends, result, fault and diameters do the words of a record tell?
//! Deliberately absent: numbers by the names of their fields, and lists of parts and readings.

use std::collections::BTreeSet;

use super::calculation_table::Shape;
use super::clauses::{Clause, clauses, without};
use super::cues::{Cue, heaviest};
use super::deeds::DEEDS;
use super::grinding::tells_taper;
use super::record::Builder;
use super::readings::all_places;
use super::record_kind::REEL_MIN_MM;
use super::record_lists::place;
use super::settle::settle;
use super::shapes::shaped;
use super::other_kind::{BECAUSE, CARE, first_deed, tells_what_was};
use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::{
    AdjustmentTarget, Choice as _, Condition, Direction, Place, SharpeningMethod,
};
use crate::domain::records::detail::{Adjustment, FaultFixed, Inspection, InspectionItem};
use crate::domain::said::numbers::stands;

/// Words from what is cut to the ends that it is cut at.
const CUTS_BEFORE: usize = 4;

/// No reel is set so far from its bedknife, mm (common practice, no source).
const GAP_MAX_MM: f64 = 1.0;
/// "Dropped it to 3.2", "set it at .500": where the height of cut stands now.
const MOVED: &[&str] =
    &["dropped", "raised", "lowered", "lifted", "took", "brought", "hoc", "set"];

impl Builder<'_> {
    fn is_word(&self, at: usize, words: &[&str]) -> bool {
        self.spoken.tokens.get(at).is_some_and(|token| words.contains(&token.text.as_str()))
    }

    pub(super) fn method(&self) -> SharpeningMethod {
        let order = [
            SharpeningMethod::Backlap,
            SharpeningMethod::ReliefGrind,
            SharpeningMethod::BedknifeGrind,
            SharpeningMethod::BladeGrind,
            SharpeningMethod::SpinGrind,
            SharpeningMethod::HandDress,
        ];
        let found = order.into_iter().find(|one| heaviest(self.cues, "method", one.id()).is_some());
        found.unwrap_or_else(|| self.method_by_what())
    }

    /// "Spun it down, put a relief grind on it, faced the knife": what else was ground, which the one
    /// method of a record does not hold.
    pub(super) fn methods_beside(&self, method: Option<SharpeningMethod>) -> Vec<&'static str> {
        let near = |words: &[&str], others: &[&str]| {
            (0..self.spoken.words.len()).any(|at| {
                let beside = (at + 1..=at + 2).chain(at.checked_sub(1));
                words.contains(&self.spoken.word(at))
                    && beside.into_iter().any(|other| others.contains(&self.spoken.word(other)))
            })
        };
        let undone = |at: usize| {
            (1..=2).filter_map(|back| at.checked_sub(back))
                .any(|at| matches!(self.spoken.word(at), "not" | "never" | "didn't" | "didnt" | "no"))
        };
        let mut out = Vec::new();
        // "Spun it down to round", and not "spun the reel round by hand".
        let spun = (0..self.spoken.words.len()).any(|at| {
            let so = (at + 1..=at + 3).any(|next| match self.spoken.word(next) {
                "down" | "true" | "ground" => true,
                "round" => self.spoken.word(next - 1) == "to",
                _ => false,
            });
            self.spoken.word(at) == "spun" && so && !undone(at)
        });
        if method == Some(SharpeningMethod::ReliefGrind) && (spun || near(&["spin"], &["ground", "grind"])) {
            out.push("spin ground as well");
        }
        let faced = near(&["faced", "fronted"], &["knife", "bedknife", "bedknives", "knives"]);
        let faced = faced && !(0..self.spoken.words.len())
            .any(|at| matches!(self.spoken.word(at), "faced" | "fronted") && undone(at));
        if faced && method != Some(SharpeningMethod::BedknifeGrind) {
            out.push("bedknife faced as well");
        }
        out
    }

    /// "Ground walker 1 reel 124.66 to 124.3", "blades sharp, 40 grams": by what was ground and what
    /// was read of it.
    fn method_by_what(&self) -> SharpeningMethod {
        let any = |words: &[&str]| words.iter().any(|word| self.said(word));
        let placed = |start: &str| self.assigned.iter().any(|one| one.field.starts_with(start));
        let ground = any(&["ground", "grind", "grinding", "reground", "spun", "spin"]);
        let wide = placed("diameter_before") || placed("diameter_after") || tells_taper(self.spoken);
        if any(&["spun"]) || (ground && wide) || (ground && any(&["reel", "reels", "cylinder", "cylinders"]))
        {
            return SharpeningMethod::SpinGrind;
        }
        let blades = any(&["blades", "blade"]);
        let sharp = any(&["sharp", "sharpened", "edged"]) || ground;
        if blades && (placed("mass_removed") || (self.balanced().is_some() && sharp)) {
            return SharpeningMethod::BladeGrind;
        }
        SharpeningMethod::Other
    }

    /// The end of the unit, and the hanger of the deck.
    pub(super) fn ends(&self, places: &[(usize, String)]) -> (Option<Place>, Option<Place>) {
        let free = |at: usize| !self.spans.iter().any(|(from, to)| (*from..=*to).contains(&at));
        // "Right across" is no end.
        let along = |at: usize| {
            let right = self.is_word(at, &["right"]);
            right && self.is_word(at + 1, &["across", "along", "round", "through", "now", "away", "up", "off"])
        };
        // "Put it back" is no end either.
        let put_back = |at: usize| {
            let far = ["one", "a", "two", "half", "quarter", "another"];
            // "Back up to 3.5", and not "raised the back up 0.2", "raised back up 0.2".
            let undoes = (0..at).any(|before| self.is_word(before, &[
                "lowered", "dropped", "took", "taken", "off", "out", "removed", "pulled", "stripped",
            ]));
            let moved = self.is_word(at + 1, &["up", "down", "in", "on"])
                && (undoes || self.is_word(at + 2, &["to"]));
            // "Dropped to 3.4 and back up to 3.6", and not "front to 3.4 and back up to 3.6".
            let front = (0..at).any(|before| self.is_word(before, &["front"]));
            let joined = self.is_word(at + 2, &["to"]) && moved && undoes && !front;
            let named = at > 0 && (self.is_word(at - 1, &["the", "at"])
                || (self.is_word(at - 1, &["and"]) && !joined));
            let again = (moved || self.is_word(at + 1, &["to", "again"])) && !named;
            (self.is_word(at, &["back"]) && (again || self.is_word(at + 1, &far))) || at > 0 && self.is_word(at, &["back"]) && self.is_word(at - 1, &["it", "them", "that", "put", "went", "came"])
        };
        // "Left it at a light contact".
        let left_it = |at: usize| {
            self.is_word(at, &["left"]) && self.is_word(at + 1, &["it", "them", "that", "him", "off", "out"])
        };
        let own = |at: usize| free(at) && !along(at) && !put_back(at) && !left_it(at);
        let end = places.iter().find(|(at, _)| own(*at));
        // "Down on right, now 12.1".
        let end = end.or_else(|| {
            let on = |at: usize| at > 0 && self.is_word(at - 1, &["on", "the"]) && self.is_word(at + 1, &["now"]);
            places.iter().find(|(at, _)| free(*at) && on(*at))
        });
        let found = end.and_then(|(_, name)| place(name));
        // "One click each side".
        let each = (0..self.spoken.tokens.len()).any(|at| {
            self.is_word(at, &["each", "either"]) && self.is_word(at + 1, &["side", "end"])
        });
        let both = each || (0..self.spoken.tokens.len()).any(|at| {
            // "Cuts paper at both ends" is what came of it.
            let cuts = (at.saturating_sub(CUTS_BEFORE)..at).any(|at| self.is_word(at, &["cuts", "cutting", "paper", "cut"]));
            let turned = places.iter().any(|(other, name)| *other < at && free(*other) && name != "both");
            self.is_word(at, &["both"]) && self.is_word(at + 1, &["ends", "sides", "end"]) && !(cuts && turned)
        });
        // "Right, now 12.1 both ends": both were read, and one was turned.
        let read = both && self.spoken.quantities.iter().any(|one| self.is_word(one.last + 1, &["both"]));
        if self.said("hanger") || self.said("hangers") {
            return (None, found);
        }
        (if both && !(read && found.is_some()) { Some(Place::Both) } else { found }, None)
    }

    /// "Bearings greased, no play in them": what was cared for, and what was not found.
    pub(super) fn cared_for(&self, detail: &mut Inspection) {
        let at = |list: &[&str]| {
            (0..self.spoken.words.len()).find(|at| list.contains(&self.spoken.word(*at)))
        };
        // "Took the brush off and cleaned it, it's ok now": no name of a thing begins so.
        detail.items.retain(|one| !one.item.contains(" off ") && !one.item.contains(" out "));
        // "Greased the whole tees mower and checked the tyres": the tyres were not greased.
        let care = at(CARE);
        let other = |cue: &&Cue| {
            let between = care.map(|care| care + 1..cue.first());
            between.is_some_and(|mut between| between.any(|at| self.is_other_care(at)))
        };
        let part = self.cues.iter().find(|cue| cue.family == "part" && !other(cue));
        let whole = at(&["everything", "all", "throughout", "machine", "whole"]).map_or("", |_| "everything");
        let looked = self.looked_at();
        let item = part.map_or_else(|| whole.to_owned(), |part| part.id.to_owned());
        let item = if item.is_empty() { looked.unwrap_or_default() } else { item };
        let item = if item.starts_with("whole ") { "everything".to_owned() } else { item };
        // "Checked the pivots, stiff": what was stiff is what was checked.
        for one in detail.items.iter_mut().filter(|one| one.found.starts_with(&one.item)) {
            if !item.is_empty() {
                one.item.clone_from(&item);
            }
        }
        // "Greased fairway five".
        let cares = at(CARE).is_some_and(|at| at < 3);
        let item = if item.is_empty() && cares { "whole machine".to_owned() } else { item };
        let told = |said: &str| {
            detail.items.iter().any(|one| one.found.contains(said) || one.item.contains(said))
        };
        let mut more = Vec::new();
        if let Some(done) = at(CARE).map(|at| self.spoken.word(at)).filter(|done| !told(done))
            && !item.is_empty()
        {
            let of = |item: &str| {
                let (item, found) = (item.to_owned(), done.to_owned());
                InspectionItem { item, found, ..InspectionItem::default() }
            };
            more.push(of(&item));
            more.extend(self.parts_beside(part).iter().map(|item| of(item)));
        }
        let play = at(&["play", "slack", "wear", "movement"]).filter(|at| *at > 0);
        let none = play.filter(|at| self.spoken.word(at - 1) == "no");
        if let Some(at) = none.filter(|_| !told("no ")) {
            more.push(InspectionItem {
                item: if item.is_empty() { self.spoken.word(at).to_owned() } else { item },
                found: format!("no {}", self.spoken.word(at)),
                condition: Some(Condition::Good),
                ..InspectionItem::default()
            });
        }
        detail.items.extend(more);
    }

    /// "Greased the spindles and the front castors": parts that are named in one row with the first.
    fn parts_beside(&self, first: Option<&Cue>) -> Vec<String> {
        const JOINS: &[&str] =
            &["and", "an", "plus", "the", "all", "both", "front", "rear", "back", "deck", "its", "also"];
        let last = |cue: &Cue| cue.words.iter().copied().max();
        let mut named: Vec<String> = first.map(|cue| cue.id.to_owned()).into_iter().collect();
        let mut end = first.and_then(last);
        let mut parts: Vec<&Cue> = self.cues.iter().filter(|cue| cue.family == "part").collect();
        parts.sort_by_key(|cue| cue.first());
        for cue in parts {
            let Some(from) = end.filter(|end| cue.first() > *end) else { continue };
            if !(from + 1..cue.first()).all(|at| JOINS.contains(&self.spoken.word(at))) {
                break;
            }
            if named.iter().all(|part| part != cue.id) {
                named.push(cue.id.to_owned());
            }
            end = last(cue);
        }
        named.into_iter().skip(1).collect()
    }

    /// A word of looking at something else, behind one of care.
    fn is_other_care(&self, at: usize) -> bool {
        let word = self.spoken.word(at);
        matches!(word, "checked" | "check" | "checking" | "looked" | "inspected" | "measured" | "read")
    }

    /// "Checked the pivots on unit 4": the thing that was looked at, as it was said.
    fn looked_at(&self) -> Option<String> {
        const LOOKED: &[&str] = &[
            "checked", "check", "inspected", "greased", "oiled", "cleaned", "lubed", "lubricated", "tightened",
            "washed", "hosed",
        ];
        const ENDS: &[&str] = &[
            "on", "of", "in", "at", "unit", "was", "were", "is", "are", "and", "all", "for", "today", "yesterday",
            "up", "off", "out", "down", "it", "them",
        ];
        const WORDS_MAX: usize = 3;
        let word = |at: usize| self.spoken.word(at);
        let verb = (0..self.spoken.words.len()).find(|at| LOOKED.contains(&word(*at)))?;
        let first = (verb + 1..self.spoken.words.len()).find(|at| !matches!(word(*at), "the" | "all" | "both" | "its"))?;
        let free = |at: &usize| {
            let place = &self.spoken.places[*at];
            let inside = |(from, to): &(usize, usize)| place.first <= *to && place.last >= *from;
            let named = self.spans.iter().any(inside);
            let same = self.spoken.words[*at].segment == self.spoken.words[verb].segment;
            same && !named && place.quantities.is_empty() && !ENDS.contains(&word(*at))
        };
        let last = (first..self.spoken.words.len().min(first + WORDS_MAX)).take_while(free).last()?;
        Some(self.spoken.phrase(first, last).trim().to_owned())
    }

    /// The last clause when it says what the work did.
    pub(super) fn result(&self) -> String {
        const RESULTS: &[&str] = &[
            "cuts", "cutting", "touching", "clean", "paper", "works", "runs", "running", "spins",
            "free", "sweet", "quiet", "fine",
        ];
        let all = clauses(self.spoken);
        let Some(last) = all.last().filter(|_| all.len() > 1) else { return self.paper() };
        let says = (last.first..=last.last)
            .any(|at| RESULTS.contains(&self.spoken.words[at].text.as_str()));
        if says { without(self.spoken, *last, self.spans) } else { self.paper() }
    }

    /// "Up 2 clicks paper good", "one turn and cuts paper": how paper was cut, wherever it is said.
    fn paper(&self) -> String {
        const HOW: &[&str] = &[
            "good", "clean", "cuts", "ok", "okay", "fine", "cutting", "perfect", "test", "cut", "nice",
            "sweet", "full", "across", "width",
        ];
        const CUTS: &[&str] = &["cuts", "cutting", "cut", "nips", "slices", "clean"];
        let how = |at: usize| HOW.contains(&self.spoken.word(at));
        let Some(paper) = (0..self.spoken.words.len()).find(|at| self.spoken.word(*at) == "paper") else {
            return String::new();
        };
        let before = paper > 0 && CUTS.contains(&self.spoken.word(paper - 1));
        let behind = (paper + 1..self.spoken.words.len()).take_while(|at| how(*at)).last();
        if !before && behind.is_none() {
            return String::new();
        }
        let first = if before { paper - 1 } else { paper };
        self.spoken.phrase(first, behind.unwrap_or(paper)).trim().to_owned()
    }

    /// A fault, what it turned out to be, and what was done, by clause.
    pub(super) fn fault(&self, detail: &mut FaultFixed) {
        detail.fixed = Some(true);
        let mut taken = self.spans.to_vec();
        for cue in self.cues.iter().filter(|cue| cue.family == "fixed") {
            let place = &self.spoken.places[cue.first()];
            taken.push((place.first, place.last));
        }
        let all = clauses(self.spoken);
        for clause in all.iter().copied() {
            let found = (clause.first..=clause.last).any(|at| {
                matches!(
                    self.spoken.words[at].text.as_str(),
                    "was"
                        | "were"
                        | "found"
                        | "bent"
                        | "loose"
                        | "worn"
                        | "broken"
                        | "cracked"
                        | "turned"
                )
            });
            let deed = DEEDS.contains(&self.spoken.words[clause.first].text.as_str())
                || (clause.first..=clause.last)
                    .any(|at| DEEDS.contains(&self.spoken.words[at].text.as_str()));
            let text = without(self.spoken, clause, &taken);
            let remedy = clause.first == 0 && self.begins_with_the_remedy(&all);
            // "Dropped the walker a quarter turn": the name is within what was done.
            let whole = || self.spoken.phrase(clause.first, clause.last).trim().to_owned();
            let cut = first_deed(self.spoken).is_some_and(|deed| !text.contains(deed));
            let text = if remedy && cut { whole() } else { text };
            let because = BECAUSE.iter();
            let because = because.filter_map(|word| text.strip_prefix(word)?.strip_prefix(' '));
            let because = because.into_iter().next();
            let because = because.filter(|_| tells_what_was(self.spoken, &clause));
            let text = because.unwrap_or(&text).to_owned();
            let slot = if remedy {
                &mut detail.action
            } else if detail.fault.is_empty() {
                &mut detail.fault
            } else if found && detail.found.is_empty() {
                &mut detail.found
            } else if deed && detail.action.is_empty() {
                &mut detail.action
            } else {
                continue;
            };
            *slot = text.chars().take(400).collect();
        }
    }

    /// "Cleaned the rear roller, it was leaving the cut high": what was done is told before what was
    /// wrong.
    fn begins_with_the_remedy(&self, all: &[Clause]) -> bool {
        const ENDED: &[&str] = &["fixed", "sorted", "cured", "mended", "repaired", "solved", "found"];
        let remedy = first_deed(self.spoken).is_some_and(|deed| !ENDED.contains(&deed));
        remedy && all.iter().skip(1).any(|clause| tells_what_was(self.spoken, clause))
    }

    /// What was adjusted, at which end, which way, and what came of it.
    pub(super) fn adjusted(&self, detail: &mut Adjustment) {
        let knife = self.moves_the_bedknife().then_some(AdjustmentTarget::ReelToBedknife);
        detail.target = knife.or_else(|| self.choice::<AdjustmentTarget>("target"));
        let places = all_places(&self.spoken.tokens);
        let (end, hanger) = self.ends(&places);
        detail.end = end;
        detail.hanger = hanger;
        if detail.target.is_none() && detail.setting_mm.is_some_and(|set| set >= 1.5)
            && MOVED.iter().any(|word| self.said(word))
        {
            detail.target = Some(AdjustmentTarget::HeightOfCut);
        }
        height_not_gap(detail);
        self.depth_not_height(detail);
        if detail.movement_mm.is_some() || detail.turns.is_some() {
            detail.direction = self.choice::<Direction>("direction");
        }
        detail.result = self.result();
    }

    /// "Verticut set to 2 mm": a reel that works below the cut has a depth, where no height is named.
    fn depth_not_height(&self, detail: &mut Adjustment) {
        const HEIGHT: &[&str] = &["height", "heights", "hoc", "cut", "bench", "roller", "rollers"];
        let depth = match self.equipment() {
            Some(Equipment::VerticutReel) => AdjustmentTarget::VerticutDepth,
            Some(Equipment::Groomer) => AdjustmentTarget::GroomerDepth,
            _ => return,
        };
        let height = HEIGHT.iter().any(|word| self.said(word));
        if detail.target == Some(AdjustmentTarget::HeightOfCut) && !height {
            detail.target = Some(depth);
        }
    }

    /// "Raised the bedknife one click": what was moved is the bedknife, and not the height of cut.
    fn moves_the_bedknife(&self) -> bool {
        const MOVES: &[&str] =
            &["raised", "lowered", "moved", "brought", "wound", "lifted", "dropped", "backed", "turned"];
        const NEAR: usize = 3;
        let word = |at: usize| self.spoken.word(at);
        let knife = |at: usize| {
            matches!(word(at), "bedknife" | "knife" | "bedbar") || (word(at) == "bottom" && word(at + 1) == "blade")
        };
        let other = ["attitude", "angle", "rake"].iter().any(|said| self.said(said));
        let moved = |at: usize| MOVES.contains(&word(at)) && (at + 1..=at + NEAR).any(knife);
        !other && (0..self.spoken.words.len()).any(moved)
    }

    /// Two diameters by end; "127.3 both ends" is both of them.
    pub(super) fn diameters(&self, detail: &mut Inspection) {
        let along = |at: usize| {
            let at = at + usize::from(self.is_word(at, &["at", "on", "the"]));
            ["both ends", "each end", "either end", "all along", "end to end", "throughout"]
                .iter()
                .any(|words| stands(&self.spoken.tokens, at, words))
        };
        let same = (0..self.spoken.quantities.len()).find_map(|index| {
            let settled = settle(self.spoken, index, "left_diameter_mm")?;
            let said = along(self.spoken.quantities[index].last + 1);
            (said && settled.value >= REEL_MIN_MM).then_some(settled.value)
        });
        if same.is_some() {
            (detail.left_diameter_mm, detail.right_diameter_mm) = (same, same);
            return;
        }
        let all: Vec<usize> = (0..self.spoken.quantities.len()).collect();
        let unsure = BTreeSet::new();
        if let Some(found) = shaped(Shape::Diameters, self.spoken, &[], (&all, &unsure)) {
            detail.left_diameter_mm = found.filled.get_number("left_diameter_mm");
            detail.right_diameter_mm = found.filled.get_number("right_diameter_mm");
        }
    }

    /// "R end +0.15 mm": a change, and no place to stand at.
    pub(super) fn has_plus(&self, quantity: usize) -> bool {
        let first = self.spoken.quantities[quantity].first;
        first.checked_sub(1).is_some_and(|before| self.spoken.tokens[before].text == "+")
    }

    /// "3/4 of a turn at the left, that's thirty thou": what the turn was worth.
    pub(super) fn tells_move(&self, quantity: usize) -> bool {
        let first = self.spoken.quantities[quantity].first;
        let before = |back: usize| {
            first.checked_sub(back).map_or("", |at| self.spoken.tokens[at].text.as_str())
        };
        let that = matches!(before(2), "that" | "which") && matches!(before(1), "is" | "was");
        that || matches!(before(1), "worth" | "makes" | "equals")
    }

    /// "Brought the groomer down 8 thou", "closed the gap by 2": the height of cut stays.
    pub(super) fn no_height_moved(&self) -> bool {
        let target = self.choice::<AdjustmentTarget>("target");
        matches!(
            target,
            Some(
                AdjustmentTarget::GroomerDepth
                    | AdjustmentTarget::BrushContact
                    | AdjustmentTarget::VerticutDepth
                    | AdjustmentTarget::ReelToBedknife
            )
        )
    }
}

/// "Set tees 1 to 9.5 and papered it": no reel stands so far from its bedknife.
fn height_not_gap(detail: &mut Adjustment) {
    let gap = detail.target == Some(AdjustmentTarget::ReelToBedknife);
    if gap && detail.setting_mm.is_some_and(|set| set >= GAP_MAX_MM) {
        detail.target = Some(AdjustmentTarget::HeightOfCut);
    }
}
