//! What do heights that were told a moment ago serve for: how far is each from the height wanted,
//! how much is the adjuster to be turned, is that good? Heights, target and pitch are kept from
//! what was said; the sum itself is that of the adjuster.
//! Deliberately absent: heights of the shop's older records, which are asked for by name.

use super::decide::{Meaning, Sense};
use super::follow_up::side_of;
use super::measures::{asks_to_judge, converted, in_measure, thread_named, coarse_pitch, told_as};
use super::{Action, Actions, Conversation, say};
use crate::domain::language::text::{Token, says, text_at, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{convert, figures, plain};

/// Heights as they were told last, and what they are wanted to be.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heights {
    pub ends: Vec<End>,
    pub target_mm: Option<f64>,
    pub pitch_mm: Option<f64>,
    /// Symbol of the unit they were told in; empty: none was said nor assumed.
    pub unit: String,
}

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// "left"; empty where no end was said.
    pub end: String,
    pub height_mm: f64,
}

/// Kind of the records that tell heights.
const HEIGHTS: &str = "height reading";
/// More words than these ask for something else.
const WORDS_MAX: usize = 20;
const SHORT_MAX: usize = 8;
/// Cuts are no higher, mm (common practice, no source).
const HEIGHT_MAX_MM: f64 = 150.0;
/// Inches from here on are no heights of cut (common practice, no source).
const INCHES_BELOW: f64 = 1.0;

impl<C: Clone> Conversation<C> {
    /// Keeps the heights of words that were understood.
    pub(super) fn note_heights(&mut self, words: &str, meaning: &Meaning<C>) {
        if !matches!(meaning.sense, Sense::Write(_)) {
            return;
        }
        self.note_clicks(words);
        self.note_turns(words, meaning);
        let heights = &mut self.context.heights;
        if meaning.kind != HEIGHTS {
            *heights = Heights::default();
            return;
        }
        let of = |what: &'static str| meaning.numbers.iter().filter(move |one| one.meant == what);
        let ends = of("height mm").filter_map(|one| {
            let end = side_of(words, one).unwrap_or_default().to_owned();
            Some(End { end, height_mm: one.value? })
        });
        let target_mm = of("target height mm").find_map(|one| one.value);
        let unit = of("height mm").map(|one| one.unit.clone()).next().unwrap_or_default();
        *heights = Heights { ends: ends.collect(), target_mm, pitch_mm: None, unit };
    }

    /// Keeps how far an adjuster was turned, minus for down.
    fn note_turns(&mut self, words: &str, meaning: &Meaning<C>) {
        let down = tokens(words).iter().any(|token| {
            matches!(token.text.as_str(), "down" | "dropped" | "lowered" | "drop" | "lower")
        });
        let turns = meaning.numbers.iter().find(|one| one.meant == "turns").and_then(|one| one.value);
        self.context.turned = turns.map(|turns| if down { -turns.abs() } else { turns });
    }

    /// "How much is that at 1.25 pitch", of turns that a record told: the words of the sum.
    pub(super) fn turns_told(&self, words: &str) -> Option<String> {
        let turns = self.context.turned?;
        let all = tokens(words);
        let has = |said: &[&str]| all.iter().any(|token| said.contains(&token.text.as_str()));
        let asks = has(&["how", "what", "whats"]) && has(&["that", "much", "far", "it", "thats"]);
        let pitch = pitch(words, &all).filter(|_| asks && all.len() <= WORDS_MAX)?;
        let way = if turns < 0.0 { "down" } else { "up" };
        Some(format!(
            "how far does {} turns {way} move it with {} mm pitch",
            plain(turns.abs()),
            plain(pitch)
        ))
    }

    /// What is answered from the last answer, or from heights told a moment ago.
    pub(super) fn from_before(&mut self, words: &str) -> Option<Actions<C>> {
        if let Some(told) = converted(words, self.context.measured_in) {
            self.context.measured_in = Some(told.unit);
            return Some(vec![say(told.line)]);
        }
        if let Some(last) = &self.context.answered
            && let Some(line) = in_measure(words, last)
        {
            return Some(vec![say(line)]);
        }
        let told = Heights::told_in(words).map(Some).or_else(|| from_and_to(words));
        match told {
            Some(Some(heights)) => {
                self.context.heights = heights.clone();
                return Some(vec![Action::Turn(heights)]);
            }
            Some(None) => return Some(vec![say(ONLY_HEIGHTS)]),
            None => {}
        }
        if let Some(turned) = self.to_turn(words) {
            return Some(turned);
        }
        asks_to_judge(words).then(|| self.judged()).flatten()
    }

    /// "Is that ok": by the target that was told, or by what the last answer said of itself.
    fn judged(&self) -> Option<Actions<C>> {
        let heights = &self.context.heights;
        if let (false, Some(target)) = (heights.ends.is_empty(), heights.target_mm) {
            let mut lines = vec![heights.beside(target)];
            lines.extend(heights.between_ends());
            return Some(vec![Action::Say(lines)]);
        }
        if !heights.ends.is_empty() {
            let mut lines: Vec<String> = heights.between_ends().into_iter().collect();
            lines.push(
                "No target was told, so I cannot say whether the height is right: say \"target is \
                 3.5\"."
                    .to_owned(),
            );
            return Some(vec![Action::Say(lines)]);
        }
        if self.proposal.is_some() && !self.context.summed {
            return Some(vec![say(
                "Nothing told here says what it should be, so I cannot judge it. Ask for the limit by \
                 its name, or say the target.",
            )]);
        }
        let last = self.context.answered.as_ref()?;
        let now = told_as(last.value, &last.field);
        Some(vec![Action::Say(match &last.notes[..] {
            [] => vec![format!(
                "{now}: that answer holds no limit or target to judge it by. Say what it should be, \
                 and I compare."
            )],
            notes => std::iter::once(format!("{now}. What is said of it:"))
                .chain(notes.iter().map(|note| format!("  {note}")))
                .collect(),
        })])
    }

    /// "How much do I turn to get it to 3.5", "target is 3.5", "1.5 pitch", "which way": with
    /// heights told a moment ago.
    fn to_turn(&mut self, words: &str) -> Option<Actions<C>> {
        let heights = &self.context.heights;
        let all = tokens(words);
        if heights.ends.is_empty() || tells_distance(&all) || puts_right(words) {
            return None;
        }
        let has = |said: &[&str]| all.iter().any(|token| said.contains(&token.text.as_str()));
        let count = all.len();
        let asks = has(&["how", "what", "which", "whats"]) && count <= WORDS_MAX;
        let turn = asks && has(&["turn", "turns", "wind", "move", "adjust", "far"]);
        let turn = turn || (asks && has(&["much"]) && has(&["level", "even"]));
        let wants = count <= SHORT_MAX
            && has(&["target", "want", "wanted", "wants", "should", "supposed", "meant", "need"]);
        let way = count <= SHORT_MAX && (has(&["way"]) || (has(&["up"]) && has(&["down"])));
        let pitch = pitch(words, &all).filter(|_| count <= SHORT_MAX || turn);
        let bare_how = count <= 3 && has(&["how"]) && has(&["much"]);
        let target = self.target(&all).filter(|_| turn || wants);
        let known = target.or(heights.target_mm);
        if wants && target.is_none() && !turn {
            return None;
        }
        let more = turn || wants || pitch.is_some() || way || bare_how;
        let level = turn && has(&["level", "same", "even", "match", "equal"]) && target.is_none();
        let one_end = level.then(|| self.context.heights.levelled(&all)).flatten();
        let heights = &mut self.context.heights;
        heights.pitch_mm = pitch.or(heights.pitch_mm);
        if let Some(one_end) = one_end {
            return Some(vec![Action::Turn(Heights { pitch_mm: heights.pitch_mm, ..one_end })]);
        }
        let target = known.filter(|_| more)?;
        heights.target_mm = Some(target);
        Some(vec![Action::Turn(heights.clone())])
    }

    /// "Target is 3.5", and "it should be 3.5" of more than one: what is wanted, and no correction.
    pub(super) fn wants_a_height(&mut self, words: &str) -> Option<Actions<C>> {
        let lower = words.to_lowercase();
        let says = |signs: &[&str]| signs.iter().any(|sign| lower.contains(sign));
        let several = self.context.heights.ends.len() > 1;
        let wants = says(&["target", "want", "supposed"]) || (several && says(&["should be"]));
        let corrects = ["no", "sorry", "wait"].iter().any(|cue| lower.starts_with(cue));
        if wants && !corrects { self.to_turn(words) } else { None }
    }

    /// The height that is wanted, in the unit that the others were told in.
    fn target(&self, all: &[Token]) -> Option<f64> {
        let said = quantities(all);
        let of_pitch = |one: &Quantity| {
            let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
            let behind = matches!(text(one.last + 1), "pitch" | "a" | "per" | "thread");
            let before = one.first.checked_sub(1).is_some_and(|at| matches!(text(at), "pitch" | "m"));
            // "If a turn is 1.5 mm".
            let turn = |back: usize| one.first.checked_sub(back).is_some_and(|at| text(at) == "turn");
            let worth = turn(1) || turn(2) || (turn(3) && !matches!(text(one.first - 1), "to" | "at"));
            behind || before || worth || one.unit.is_some_and(|unit| unit == "turns")
        };
        let mut heights = said.iter().filter(|one| !of_pitch(one)).filter_map(|one| {
            let unit = match one.unit {
                Some(unit) => unit,
                None if one.leading_point => "in",
                None if self.context.heights.unit == "in" && one.value < INCHES_BELOW => "in",
                None => "mm",
            };
            convert(one.value, unit, "mm").filter(|mm| *mm > 0.5 && *mm <= HEIGHT_MAX_MM)
        });
        heights.next()
    }
}

/// "Bring the left down 0.02", "up by 0.1": how far, and not to what height.
fn tells_distance(all: &[Token]) -> bool {
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    quantities(all).iter().any(|one| {
        let before = one.first.checked_sub(1).map_or("", text);
        let way = matches!(before, "down" | "up" | "by" | "drop" | "lower" | "raise" | "lift");
        way && !matches!(one.unit, Some("turns" | "flats"))
    })
}

/// "Meant unit 1 3.45, not 3.52": another number in the place of one that was told.
fn puts_right(words: &str) -> bool {
    let figure = |word: &str| word.starts_with(|ch: char| ch.is_ascii_digit());
    let lower = words.to_lowercase();
    lower.split_once(" not ").is_some_and(|(right, wrong)| {
        figure(wrong.trim()) && right.split_whitespace().any(figure)
    })
}

/// The pitch that is told: "1.5 pitch", "pitch of 1.25", "30 thou a turn", "M10", "24 to the inch".
fn pitch(words: &str, all: &[Token]) -> Option<f64> {
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    let thread = thread_named(words);
    let speaks = all.iter().any(|token| matches!(token.text.as_str(), "pitch" | "thread" | "turn"));
    let said = quantities(all);
    let size = thread.map(|(size, _)| size);
    let told = said.iter().filter(|one| Some(one.value) != size).find_map(|one| {
        let inch = (one.last + 1..one.last + 4).any(|at| matches!(text(at), "inch" | "tpi"));
        let near = |at: usize| matches!(text(at), "pitch" | "thread" | "turn");
        let behind = (one.last + 1..one.last + 4).any(near);
        let before = (one.first.saturating_sub(3)..one.first).any(near);
        if one.unit.is_none() && inch {
            return Some(25.4 / one.value);
        }
        let mm = convert(one.value, one.unit.unwrap_or("mm"), "mm")?;
        ((behind || before || thread.is_some()) && (0.2..=10.0).contains(&mm)).then_some(mm)
    });
    let of_thread = || thread.and_then(|(size, pitch)| pitch.or_else(|| coarse_pitch(size)));
    told.filter(|_| speaks || thread.is_some()).or_else(of_thread)
}

/// "Want 8 mm on the tees, it's at 9.5 now", "from 9.5 down to 8, don't know the pitch": what it is set
/// at and what it is to be, where nothing is said of days or steps. Inside none: so much of
/// something that no adjuster sets, or one of both is denied.
fn from_and_to(words: &str) -> Option<Option<Heights>> {
    const WANTED: &[&str] = &["want", "wanted", "wants", "need", "needs", "target"];
    let all = tokens(words);
    let said = quantities(&all);
    let [one, two] = &said[..] else { return None };
    if says(&all, OVER_TIME) || all.len() > WORDS_MAX {
        return None;
    }
    let before = |one: &Quantity, cues: &[&str], far: usize| {
        (one.first.saturating_sub(far)..one.first).any(|at| cues.contains(&text_at(&all, at)))
    };
    // "It's at 9.5", "9.5 now".
    let stands = |one: &Quantity| {
        before(one, &["at", "is", "reads", "cutting"], 1) || matches!(text_at(&all, one.last + 1), "now" | "at")
    };
    let wanted = |one: &Quantity| before(one, WANTED, 3) && !stands(one);
    let turns = says(&all, &["pitch", "thread", "turn", "turns"]);
    let from_to = turns && before(one, &["from"], 1) && before(two, &["to"], 1);
    let (now, target) = match (wanted(one), wanted(two)) {
        _ if from_to => (one, two),
        (true, false) if stands(two) => (two, one),
        (false, true) if stands(one) => (one, two),
        _ => return None,
    };
    let unit = one.unit.or(two.unit);
    let inches = one.leading_point || two.leading_point;
    let unit = unit.unwrap_or(if inches { "in" } else { "mm" });
    let mm = |one: &Quantity| {
        let mm = convert(one.value, one.unit.unwrap_or(unit), "mm")?;
        (0.5..=HEIGHT_MAX_MM).contains(&mm).then_some(mm)
    };
    let (Some(height_mm), Some(target_mm)) = (mm(now), mm(target)) else { return None };
    let own = |at: usize| said.iter().any(|one| (one.first..=one.last).contains(&at));
    let known = |at: usize| {
        let word = text_at(&all, at);
        [BESIDE_HEIGHTS, OF_HEIGHTS, WANTED].iter().any(|list| list.contains(&word))
    };
    // "Don't know the pitch" denies no height.
    let unsure = |at: usize| text_at(&all, at) == "not" && text_at(&all, at + 1) == "know";
    let length = |one: &Quantity| {
        let bare = one.unit.is_none() && (one.leading_point || one.value.fract() != 0.0);
        bare || one.unit.is_some()
    };
    let sure = (0..all.len()).all(|at| own(at) || known(at) || unsure(at))
        && (says(&all, OF_HEIGHTS) || said.iter().any(length));
    let ends = vec![End { end: String::new(), height_mm }];
    let (target_mm, unit) = (Some(target_mm), unit.to_owned());
    Some(sure.then_some(Heights { ends, target_mm, pitch_mm: None, unit }))
}

/// Said of it.
const ONLY_HEIGHTS: &str = "What I can set one against the other is a height of cut that is wanted and the one it is \
     set at, such as \"want 8 mm on the tees, it is at 9.5 now\". I cannot tell that from those words, so nothing \
     was worked out.";
const OVER_TIME: &[&str] = &[
    "day", "days", "week", "weeks", "month", "months", "step", "steps", "plan", "schedule", "stages", "monday", "by",
    "tournament", "spring", "friday", "saturday", "sunday", "event", "when", "was", "were", "mow", "mowing",
    "grass", "turf", "sward", "start", "starts", "cut", "cuts",
    // What else is so many and not set by an adjuster.
    "psi", "hours", "hrs", "h", "gap", "depth", "groomer", "verticut", "brush", "pressure", "speed", "deep", "ground",
    "grind", "grinds", "diameter", "belt", "clip", "blades", "rpm", "left", "right", "clicks", "click",
];
/// With any other word it is so many of something that no adjuster sets.
const BESIDE_HEIGHTS: &[&str] = &[
    "it", "its", "is", "at", "now", "on", "the", "i", "we", "to", "be", "am", "are", "from", "down", "up", "go", "going",
    "and", "but", "of", "in", "a", "reads", "currently", "how", "many", "much", "what", "turns", "turn", "do", "dunno",
    "know", "idea", "please", "our", "my", "that", "for", "them", "they", "s", "-", ",", ".", ":", ";", "?", "!", "'",
];
const OF_HEIGHTS: &[&str] = &[
    "height", "hoc", "set", "bench", "tees", "tee", "greens", "green", "fairways", "fairway", "collars", "collar", "approach",
    "approaches", "triplex", "walker", "mower", "unit", "reel", "pitch", "thread", "screw", "adjuster",
];

impl Heights {
    /// "Reads 3.62 left 3.50 right, want 3.50 both, 1 mm pitch, how many turns": both ends in the question.
    fn told_in(words: &str) -> Option<Heights> {
        const SIDES: &[&str] = &["left", "right"];
        const WANTED: &[&str] = &["want", "wanted", "wants", "need", "needs", "target", "should", "to"];
        let all = tokens(words);
        let has = |said: &[&str]| all.iter().any(|token| said.contains(&token.text.as_str()));
        let asks = has(&["how", "which", "what"]) && has(&["turn", "turns", "way"]);
        let pitch_mm = pitch(words, &all).filter(|_| asks && all.len() <= WORDS_MAX * 2);
        let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
        let said = quantities(&all);
        let mm = |one: &Quantity| convert(one.value, one.unit.unwrap_or("mm"), "mm");
        let side_behind = |one: &&Quantity| SIDES.contains(&text(one.last + 1));
        let side_before = |one: &&Quantity| one.first > 0 && SIDES.contains(&text(one.first - 1));
        // "3.62 left 3.50 right" or "left 3.62 right 3.50": told one way throughout.
        let first = said.first()?;
        let behind = !side_before(&first);
        let beside = |one: &&Quantity| if behind { side_behind(one) } else { side_before(one) };
        let sided = said.iter().filter(beside);
        let end = |one: &Quantity| {
            let at = if behind { one.last + 1 } else { one.first - 1 };
            Some(End { end: text(at).to_owned(), height_mm: mm(one)? })
        };
        let ends: Vec<End> = sided.filter_map(end).collect();
        let wanted = |one: &&Quantity| {
            (one.first.saturating_sub(3)..one.first).any(|at| WANTED.contains(&text(at)))
        };
        let target_mm = said.iter().find(wanted).and_then(mm).filter(|mm| *mm <= HEIGHT_MAX_MM);
        let apart = ends.len() == 2 && ends[0].end != ends[1].end;
        (apart && target_mm.is_some() && pitch_mm.is_some())
            .then(|| Heights { ends, target_mm, pitch_mm, unit: String::new() })
    }

    /// "Left 3.52 mm is 0.02 mm over 3.5 mm; right 3.48 mm is 0.02 mm under."
    pub fn beside(&self, target: f64) -> String {
        let told = |one: &End| {
            let off = one.height_mm - target;
            let end = if one.end.is_empty() { String::new() } else { format!("{} ", one.end) };
            let is = match off {
                off if off.abs() < 0.000_5 => "is right on it".to_owned(),
                off if off > 0.0 => format!("is {} mm over", figures(off, 2)),
                off => format!("is {} mm under", figures(-off, 2)),
            };
            format!("{end}{} mm {is}", plain(one.height_mm))
        };
        let all: Vec<String> = self.ends.iter().map(told).collect();
        format!("Wanted {} mm: {}.", plain(target), all.join("; "))
    }

    /// "On the right hand to get that level": the end that is named, brought to the other.
    fn levelled(&self, all: &[Token]) -> Option<Heights> {
        let [one, two] = &self.ends[..] else { return None };
        let named = |end: &End| {
            !end.end.is_empty() && all.iter().any(|token| token.text == end.end)
        };
        let (moved, stays) = match (named(one), named(two)) {
            (true, false) => (one, two),
            (false, true) => (two, one),
            _ => return None,
        };
        let target_mm = Some(stays.height_mm);
        Some(Heights { ends: vec![moved.clone()], target_mm, ..self.clone() })
    }

    fn between_ends(&self) -> Option<String> {
        let heights = || self.ends.iter().map(|one| one.height_mm);
        let apart = heights().fold(f64::MIN, f64::max) - heights().fold(f64::MAX, f64::min);
        (self.ends.len() > 1).then(|| format!("They differ by {} mm.", figures(apart, 2)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_is_heard_however_it_is_told() {
        for (words, wanted) in [
            ("its M10 1.5 pitch", Some(1.5)),
            ("M10", Some(1.5)),
            ("pitch is 1.25", Some(1.25)),
            ("30 thou pitch one turn", Some(0.762)),
            ("30 thou a turn", Some(0.762)),
            ("to 3.5", None),
        ] {
            let got = pitch(words, &tokens(words));
            let same = match (got, wanted) {
                (Some(got), Some(wanted)) => (got - wanted as f64).abs() < 1e-6,
                (None, None) => true,
                _ => false,
            };
            assert!(same, "{words}: {got:?}");
        }
    }

    #[test]
    fn both_ends_told_in_the_question_are_turned_by_themselves() {
        for (words, wanted) in [
            (
                "unit reads 3.62 left 3.50 right want 3.50 both, screw's 1mm pitch how many turns",
                Some([("left", 3.62), ("right", 3.5)]),
            ),
            ("left 3.4 right 3.5, how many turns to get 3.5, pitch 1.25", Some([("left", 3.4), ("right", 3.5)])),
            ("reads 3.62 want 3.50, 1mm pitch how many turns", None),
            ("3.62 left 3.50 right", None),
        ] {
            let told = Heights::told_in(words);
            let ends = told.as_ref().map(|one| {
                let [left, right] = &one.ends[..] else { panic!("{words}") };
                [(left.end.as_str(), left.height_mm), (right.end.as_str(), right.height_mm)]
            });
            assert_eq!(ends, wanted, "{words}");
        }
    }

    #[test]
    fn what_it_is_at_and_what_is_wanted_are_two_heights() {
        for (words, wanted) in [
            ("want 8mm on the tees its at 9.5 now", Some((9.5, 8.0))),
            ("it's at 9.5 mm now, want 8", Some((9.5, 8.0))),
            ("dunno the pitch. i want to go from 9.5 down to 8", Some((9.5, 8.0))),
            ("i need .125, it is at .140 now", Some((3.556, 3.175))),
            ("we start at .500 and want .400", None),
            ("grass is 90mm and i want 35 how many cuts to get it down", None),
            ("want 8 mm by the tournament, its at 9.5 now", None),
            ("tyres are at 12 now, want 10 psi", None),
            ("from 9.5 down to 8", None),
            ("want 8 mm on the tees its not at 9.5 now", None),
            ("I don't want 8, it's at 9.5 now", None),
            ("oil temp at 90 now, want 80", None),
            ("battery is at 12.4 now, need 12.6", None),
            ("fuel is at 20 now need 40", None),
            ("its at 20 now, need 40", None),
            ("the overlap is at 50 now, need 60", None),
            ("want 8 units done, its at 3 now", None),
        ] {
            let told = from_and_to(words).flatten();
            let told = told.map(|one| (one.ends[0].height_mm, one.target_mm.unwrap_or_default()));
            let same = match (told, wanted) {
                (Some(told), Some(wanted)) => {
                    let wanted: (f64, f64) = wanted;
                    (told.0 - wanted.0).abs() < 1e-6 && (told.1 - wanted.1).abs() < 1e-6
                }
                (told, wanted) => told.is_none() && wanted.is_none(),
            };
            assert!(same, "{words}: {told:?}");
        }
    }

    #[test]
    fn heights_stand_beside_the_one_wanted() {
        let end = |end: &str, height_mm: f64| End { end: end.to_owned(), height_mm };
        let heights = Heights { ends: vec![end("left", 3.52), end("right", 3.48)], ..Heights::default() };
        assert_eq!(
            heights.beside(3.5),
            "Wanted 3.5 mm: left 3.52 mm is 0.02 mm over; right 3.48 mm is 0.02 mm under."
        );
    }
}
