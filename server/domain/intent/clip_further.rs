//! What is asked of the clip that was worked out last ("is that alright for 3.2", "what rpm gets it
//! down to 3.5"), and which sums are told and not asked: a plan of heights with its day (".140 to
//! .115 by June 1"), the bench height that gives a height on the turf?
//! Deliberately absent: numbers that take the place of others (`sum_again`).

use super::calculations::Asked;
use super::dates::is_day_name;
use super::events;
use super::lengths::{CUT_MM, in_mm};
use super::settle::{Settled, settle};
use super::{Interpretation, Reader};
use crate::domain::said::numbers::Quantity;
use crate::domain::units::{Unit, convert};

const CLIP: &str = "clip_spacing";
/// More words tell something of their own.
const WORDS_MAX: usize = 16;
/// Words that ask whether something is good.
const JUDGED: &[&str] = &[
    "ok", "okay", "alright", "right", "good", "fine", "enough", "long", "short", "much", "suit", "suits", "works",
    "acceptable", "bad",
];
/// Words that ask for the speed of the reel, and for that of the machine.
const REEL_SPEED: &[&str] = &["rpm", "revs", "reel", "cylinder"];
/// Other things that are set from one length to another.
const OTHER_SETTINGS: &[&str] = &["verticut", "groomer", "gap", "brush", "diameter", "pitch", "turn", "turns", "relief"];
const GROUND_SPEED: &[&str] = &["mph", "kph", "kmh", "walk", "drive", "ground", "travel", "mow"];

impl Reader<'_> {
    /// All of them, the surest first.
    pub(super) fn sums_told(&self) -> Option<Interpretation> {
        if self.spoken.words.len() > WORDS_MAX {
            return None;
        }
        let of_clip = self.clip_for_a_height().or_else(|| self.speed_for_a_clip());
        of_clip.or_else(|| self.plan_by_a_day()).or_else(|| self.bench_for_the_turf())
    }

    /// The only number of the words that is a length like a height of cut.
    fn only_height(&self) -> Option<(usize, f64)> {
        let [only] = &self.spoken.quantities[..] else { return None };
        in_mm(only).filter(|mm| CUT_MM.contains(mm)).map(|mm| (0, mm))
    }

    fn before(&self, quantity: &Quantity) -> &str {
        quantity.first.checked_sub(1).map_or("", |at| self.spoken.tokens[at].text.as_str())
    }

    /// The clip before with another field in it, and what is to be worked out.
    fn clip_with(
        &self,
        (index, field, mm): (usize, &str, f64),
        solve_for: &str,
    ) -> Option<Interpretation> {
        let (calculation, before) = self.question.previous.as_ref()?;
        let own = self.heard.asked.iter().find(|asked| asked.calculation == calculation)?;
        let mut asked: Asked = own.clone();
        asked.filled = before.clone();
        asked.filled.remove(solve_for);
        asked.filled.number(field, mm);
        solve_for.clone_into(&mut asked.solve_for);
        let symbol = self.spoken.quantities[index].unit.and_then(Unit::named);
        let unit = symbol.map_or("mm", |unit| unit.symbol);
        let value = if unit == "mm" { mm } else { convert(mm, "mm", unit).unwrap_or(mm) };
        let settled = settle(self.spoken, index, field);
        let settled = settled.unwrap_or(Settled { value, unit, assumption: None });
        asked.placed = vec![(index, field.to_owned(), Settled { value: mm, ..settled })];
        Some(self.computed(&asked))
    }

    fn is_clip_before(&self) -> bool {
        self.question.previous.as_ref().is_some_and(|(id, _)| id == CLIP)
    }

    /// "Is that alright for 3.2": the clip is held against the height of cut.
    fn clip_for_a_height(&self) -> Option<Interpretation> {
        let (index, mm) = self.only_height().filter(|_| self.is_clip_before())?;
        let before = self.before(&self.spoken.quantities[index]);
        let cut = self.says(&["height", "hoc", "cut"]);
        let of_height = matches!(before, "for" | "at" | "with" | "cutting" | "suit" | "suits") || cut;
        let asks = self.says(&["is", "that", "thats", "it", "will", "does", "too"]) && self.says(JUDGED);
        // "What does that do to the cut at .125".
        let asks = asks || (self.says(&["what"]) && self.says(&["that", "it"]) && self.says(&["do", "mean"]));
        let other = self.says(&["rpm", "mph", "kph", "blades", "blade", "speed"]);
        (of_height && asks && !other && !self.heard.proof.deed)
            .then(|| self.clip_with((index, "height_of_cut_mm", mm), "clip_spacing_mm"))
            .flatten()
    }

    /// "What rpm do I want to get it down to 3.5 then": the number is the clip that is wanted.
    fn speed_for_a_clip(&self) -> Option<Interpretation> {
        let (index, mm) = self.only_height().filter(|_| self.is_clip_before())?;
        let asks = self.says(&["what", "whats", "which", "how"]);
        let gives = self.says(&["get", "gets", "give", "gives", "down", "bring", "brings", "makes", "make"])
            && self.says(&["it", "that", "me", "clip", "us"]);
        let set = self.says(&["height", "hoc", "bench", "units"]);
        let solve_for = match () {
            () if self.says(REEL_SPEED) => "reel_speed_rpm",
            // "What speed gets me to .125": what is driven, which is what can be chosen on the way.
            () if self.says(GROUND_SPEED) || self.says(&["speed"]) => "ground_speed_mps",
            () => return None,
        };
        (asks && gives && !set)
            .then(|| self.clip_with((index, "clip_spacing_mm", mm), solve_for))
            .flatten()
    }

    /// ".140 to .115 by June 1": nothing was done yet; the steps are counted back from that day.
    fn plan_by_a_day(&self) -> Option<Interpretation> {
        let [from, to] = &self.spoken.quantities[..] else { return self.plan_with_its_day() };
        // "We start at .500 and want .400": no day is said.
        let starts = self.says(&["start", "starting"]) && self.says(&["want", "need", "target", "reach"]);
        let done = self.heard.proof.deed || self.heard.proof.told || !self.says_nothing_done();
        let heights = [from, to].into_iter().all(is_height);
        if starts && heights && !done && !self.says(OTHER_SETTINGS) {
            return self.plan_of_the_two();
        }
        // "9.5 to 9.3 by Friday".
        let word = |at: usize| self.spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        let joined = to.first == from.last + 2 && word(from.last + 1) == "to";
        let by = matches!(word(to.last + 1), "by" | "before") && is_day_name(word(to.last + 2));
        if joined && by && heights && !done && !self.says(OTHER_SETTINGS) {
            return self.plan_of_the_two();
        }
        self.plan_from(from, to)
    }

    /// The same where the day was heard as a number as well.
    fn plan_with_its_day(&self) -> Option<Interpretation> {
        let [from, to, day] = &self.spoken.quantities[..] else { return None };
        let event = events::named(&self.spoken.tokens, &self.question.now)?;
        (event.first..=event.last).contains(&day.first).then(|| self.plan_from(from, to)).flatten()
    }

    fn plan_from(&self, from: &Quantity, to: &Quantity) -> Option<Interpretation> {
        let event = events::named(&self.spoken.tokens, &self.question.now)?;
        let joined = (from.last + 1..to.first)
            .all(|at| matches!(self.spoken.tokens[at].text.as_str(), "to" | "down" | "up"));
        let row = joined && to.first > from.last + 1 && event.first > to.last;
        let by = self.spoken.tokens[event.first.saturating_sub(1)..=event.first]
            .iter()
            .any(|token| matches!(token.text.as_str(), "by" | "before"));
        let done = self.heard.proof.deed || self.heard.proof.told || !self.says_nothing_done();
        if !(row && by) || done {
            return None;
        }
        self.plan_of_the_two()
    }

    /// A plan from the first number to the second.
    fn plan_of_the_two(&self) -> Option<Interpretation> {
        let own = self.heard.asked.iter().find(|asked| asked.calculation == "height_plan")?;
        let mut asked = own.clone();
        asked.placed.clear();
        for (index, field) in [(0, "current_height_mm"), (1, "target_height_mm")] {
            let settled = settle(self.spoken, index, field)?;
            asked.filled.number(field, settled.value);
            asked.placed.push((index, field.to_owned(), settled));
        }
        asked.filled.remove("time_available_days");
        "step_heights_mm".clone_into(&mut asked.solve_for);
        Some(self.computed(&asked))
    }

    fn says_nothing_done(&self) -> bool {
        !self.says(&["went", "took", "dropped", "lowered", "raised", "moved", "was", "were", "done", "ground"])
    }

    /// "What do we bench the triplex at to get .118 on the green".
    fn bench_for_the_turf(&self) -> Option<Interpretation> {
        let [only] = &self.spoken.quantities[..] else { return None };
        let asks = matches!(self.first_word(), "what" | "whats" | "where" | "how" | "which");
        let bench = self.says(&["bench", "benched"]);
        let gives = self.says(&["get", "gets", "give", "gives", "for", "have", "cut", "true", "actual", "effective"]);
        let turf = self.says(&[
            "green", "greens", "turf", "grass", "fairway", "fairways", "tee", "tees", "ground", "effective",
            "actual", "true", "prism",
        ]);
        let likely = is_height(only);
        let before = matches!(self.before(only), "for" | "get" | "to" | "have" | "give" | "cut" | "of" | "a" | "at");
        let reads = self.says(&["last", "was", "were", "reads", "turns", "screw", "when", "who", "did"]);
        if !(asks && bench && gives && turf && likely && before) || reads {
            return None;
        }
        let own = self.heard.asked.iter().find(|asked| asked.calculation == "bench_height")?;
        let mut asked = own.clone();
        let field = "target_effective_height_mm";
        let settled = settle(self.spoken, 0, field)?;
        asked.filled = super::filled::Filled::default();
        asked.filled.number(field, settled.value);
        asked.placed = vec![(0, field.to_owned(), settled)];
        "bench_height_mm".clone_into(&mut asked.solve_for);
        Some(self.computed(&asked))
    }
}

/// Whether a length may be a height of cut, or a clip, of a reel.
fn is_height(said: &Quantity) -> bool {
    in_mm(said).is_some_and(|mm| CUT_MM.contains(&mm))
}
