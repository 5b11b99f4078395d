//! What do clicks of an adjuster come to ("one click is 0.018, how many to close 0.1"), how many passes
//! of a grind ("0.1 a pass, how many for 0.35"), and when is a reel too small ("min dia for a 178 reel")?
//! Sums of one step that say all their numbers, or lean on the one before.
//! Deliberately absent: turns of a thread and all that has a calculation of its own (`settings`).

use super::{Actions, Conversation, cuts_and_travel, joints, lengths_apart, reel_sums, say};
use crate::domain::intent::lengths::CUT_MM;
use crate::domain::intent::stored::behind_booking;
use crate::domain::language::text::{Token, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::said::said_units::CLICKS;
use crate::domain::units::{convert, figures, plain};

/// The last sum of clicks: what one is worth and what was to be closed, in mm, and how many were
/// made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clicks {
    pub worth_mm: Option<f64>,
    pub gap_mm: Option<f64>,
    pub count: Option<f64>,
    /// What was told of work in it: "took it up 3 clicks".
    pub told: String,
}

/// More words than these tell more than a sum.
const WORDS_MAX: usize = 24;
const SHORT_MAX: usize = 9;
/// Whole numbers up to this may be the names of units.
const UNITS_MAX: f64 = 30.0;
/// A click is worth no more than this, mm (common practice, no source).
const CLICK_MAX_MM: f64 = 0.5;
/// Where the manual is silent, a reel may wear to this share of new (common practice, no source).
const SMALLEST_OF_NEW: f64 = 0.9;
/// Reels are no wider and no smaller, new, mm (common practice, no source).
const NEW_REEL_MM: std::ops::RangeInclusive<f64> = 100.0..=300.0;
/// Between the ends of a reel in service, and right after grinding, mm (workshop manuals, common
/// practice).
const TAPER_MAX_MM: f64 = 0.25;
const TAPER_GROUND_MM: f64 = 0.025;
/// Figures of an answer.
const FIGURES: i32 = 3;

impl<C: Clone> Conversation<C> {
    /// The sum that these words ask for or go on with.
    pub(super) fn small_sum(&mut self, words: &str) -> Option<Actions<C>> {
        let heights = self.context.answered.as_ref().is_some_and(|one| one.field.contains("height"))
            || !self.context.heights.ends.is_empty();
        let one_step = || {
            let wear = passes(words).or_else(|| smallest(words));
            wear.or_else(|| clip_wanted(words, heights)).or_else(|| taper(words))
                .or_else(|| fewer_blades(words)).or_else(|| reel_sums::worked_out(words))
                .or_else(|| lengths_apart::worked_out(words)).or_else(|| joints::worked_out(words))
                .or_else(|| cuts_and_travel::worked_out(words))
        };
        // The lengths of the last turn that told any, of those kept.
        let told = |told: &String| lengths_apart::of_those_told(words, told);
        let lines = self.clicks(words).or_else(one_step);
        let lines = lines.or_else(|| self.lately.iter().rev().find_map(told))?;
        self.context.answered = None;
        Some(vec![say(lines)])
    }

    /// Keeps the clicks of work that was told.
    pub(super) fn note_clicks(&mut self, words: &str) {
        let said = quantities(&tokens(words));
        let count = said.iter().find(|one| one.unit == Some(CLICKS)).map(|one| one.value);
        if count.is_some() {
            self.context.clicks = Clicks { count, ..Clicks::default() };
        }
    }

    fn clicks(&mut self, words: &str) -> Option<String> {
        let said = heard(words)?;
        let before = std::mem::take(&mut self.context.clicks);
        let joined = said.joined(&before);
        let Some((joined, line)) = joined else {
            self.context.clicks = before;
            return None;
        };
        self.context.clicks = joined;
        Some(line)
    }

    /// "Book that on 2, both ends, cuts paper now", after a sum of clicks that told of work: the words
    /// of the record.
    pub(super) fn books_the_clicks(&mut self, words: &str) -> Option<String> {
        let told = self.context.clicks.told.clone();
        let rest = behind_booking(words).filter(|_| !told.is_empty())?;
        self.context.clicks.told.clear();
        Some(format!("{told} {rest}"))
    }
}

/// What words say of clicks.
#[derive(Debug, Default)]
struct Heard {
    names_clicks: bool,
    begins_on: bool,
    asks: bool,
    short: bool,
    clicks: Clicks,
    /// Lengths that were said of nothing.
    bare: Option<f64>,
}

impl Heard {
    /// With what was said before where this leans on it: the sum, and its answer.
    fn joined(&self, before: &Clicks) -> Option<(Clicks, String)> {
        let new = &self.clicks;
        let known = before.worth_mm.is_some();
        // "It is 0.018 a click", of those that a record told.
        let of_work = before.count.is_some() && self.names_clicks && self.clicks.worth_mm.is_some();
        let goes_on = self.short && ((known && (self.names_clicks || self.begins_on)) || of_work);
        let worth_mm = new.worth_mm.or(before.worth_mm.filter(|_| goes_on))?;
        let gap = new.gap_mm.or(self.bare.filter(|_| self.names_clicks || goes_on));
        let nothing_new = gap.is_none() && new.count.is_none();
        let kept = |one: Option<f64>| one.filter(|_| goes_on && nothing_new);
        let count = new.count.or(kept(before.count.filter(|_| before.gap_mm.is_none())));
        let gap_mm = gap.or(kept(before.gap_mm));
        if !(self.asks || goes_on) || (new.worth_mm.is_none() && nothing_new) {
            return None;
        }
        let told = if new.told.is_empty() { before.told.clone() } else { new.told.clone() };
        let sum = Clicks { worth_mm: Some(worth_mm), gap_mm, count, told };
        let line = match (gap_mm, count) {
            (Some(gap), _) => how_many(gap, worth_mm),
            (None, Some(count)) => worth_of(count, worth_mm),
            (None, None) => return None,
        };
        Some((sum, line))
    }
}

/// "5.56, so 5 to 6 clicks: 0.1 mm at 0.018 mm a click."
fn how_many(gap: f64, worth: f64) -> String {
    let count = gap / worth;
    let near = (count - count.round()).abs() < 0.02;
    let whole = match near {
        true => format!("{} clicks", count.round()),
        false => format!("{}, so {} to {} clicks", figures(count, FIGURES), count.floor(), count.ceil()),
    };
    format!(
        "{whole}: {} mm / {} mm a click. Take the last one only if paper still asks for it.",
        plain(gap),
        plain(worth)
    )
}

fn worth_of(count: f64, worth: f64) -> String {
    let mm = count * worth;
    let thou = convert(mm, "mm", "thou").map(|thou| format!(" ({} thou)", figures(thou, FIGURES)));
    format!(
        "{} mm{}: {} clicks of {} mm.",
        plain(mm),
        thou.unwrap_or_default(),
        plain(count),
        plain(worth)
    )
}

fn heard(words: &str) -> Option<Heard> {
    let all = tokens(words);
    if all.len() > WORDS_MAX {
        return None;
    }
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let said = quantities(&all);
    let is_click = |at: usize| matches!(text(at), "click" | "clicks" | "notch" | "notches");
    let names_clicks = (0..all.len()).any(is_click);
    let length = |one: &Quantity| match one.unit {
        None if one.leading_point || (one.value < 2.0 && one.value.fract() != 0.0) => {
            Some(one.value)
        }
        None => None,
        Some(unit) => convert(one.value, unit, "mm"),
    };
    // "A click is 0.018", "0.018 a click": nothing of its own between the two.
    let small = |at: usize| matches!(
        text(at),
        "is" | "of" | "worth" | "moves" | "closes" | "gives" | "does" | "a" | "per" | "each" | "=" | "at"
            | "about" | "one" | "every" | "it" | "was" | "being" | "makes" | "roughly" | "takes" | "the"
    );
    let beside = |one: &Quantity| {
        let back = (one.first.saturating_sub(4)..one.first).rev().find(|at| !small(*at));
        let each = |at: usize| (at + 1..one.first).any(|at| matches!(text(at), "one" | "each" | "every"));
        let before = back.is_some_and(|at| is_click(at) || (names_clicks && each(at)));
        let after = text(one.last + 1) != "," && !matches!(text(one.last + 1), "" | "and")
            && matches!(text(one.last + 1), "a" | "per" | "each" | "every" | "the")
            && is_click(one.last + 2);
        before || after
    };
    let worth = said.iter().position(|one| {
        one.unit != Some(CLICKS) && beside(one) && length(one).is_some_and(|mm| mm <= CLICK_MAX_MM)
    });
    // "Went up 2 clicks, how much is that at 0.018".
    let clicked = said.iter().any(|one| one.unit == Some(CLICKS));
    let at_worth = || said.iter().position(|one| {
        let at = one.first.checked_sub(1).is_some_and(|at| matches!(text(at), "at" | "@"));
        at && clicked && one.unit != Some(CLICKS)
            && length(one).is_some_and(|mm| mm <= CLICK_MAX_MM)
    });
    let worth = worth.or_else(at_worth);
    let others = || {
        said.iter().enumerate().filter(|(at, _)| Some(*at) != worth).map(|(_, one)| one)
    };
    let count = others().filter(|one| one.unit == Some(CLICKS)).find(|one| {
        // "One click is 0.018": the one that is worth it.
        let of_worth = worth.is_some_and(|at| {
            let first = said[at].first;
            one.value == 1.0 && one.last < first && first - one.last <= 4
        });
        !of_worth
    });
    let gap = others().find_map(|one| length(one).filter(|_| one.unit != Some(CLICKS)));
    // A number that is no length makes another sum of it.
    let name = |one: &Quantity| {
        one.unit.is_none() && one.value.fract() == 0.0 && one.value <= UNITS_MAX
    };
    let strange = others().any(|one| {
        one.unit != Some(CLICKS) && length(one).is_none() && !name(one)
    });
    if strange || others().filter(|one| one.unit != Some(CLICKS) && !name(one)).count() > 1 {
        return None;
    }
    let told = count.map_or_else(String::new, |one| told_of_work(words, &all, one));
    let first = all.first().map_or("", |first| first.text.as_str());
    Some(Heard {
        names_clicks,
        begins_on: matches!(first, "and" | "what" | "so" | "for" | "then") && gap.is_some(),
        asks: has(&["how", "what", "whats", "many"]) || words.trim_end().ends_with('?')
            || (worth.is_some() && count.is_none() && has(&["need", "want", "needs", "close", "wants", "needed"])),
        short: all.len() <= SHORT_MAX,
        clicks: Clicks {
            worth_mm: worth.and_then(|at| length(&said[at])),
            gap_mm: gap.filter(|_| names_clicks && worth.is_some()),
            count: count.map(|one| one.value),
            told,
        },
        bare: gap,
    })
}

/// The clause around the clicks, when something was done with them.
fn told_of_work(words: &str, all: &[Token], clicks: &Quantity) -> String {
    const DONE: &[&str] = &[
        "took", "went", "gave", "turned", "wound", "put", "brought", "moved", "closed", "opened", "nipped",
        "tightened", "backed", "eased", "adjusted",
    ];
    let segment = all[clicks.first].segment;
    let own: Vec<&Token> = all.iter().filter(|token| token.segment == segment).collect();
    let done = own.iter().any(|token| DONE.contains(&token.text.as_str()));
    match (own.first(), own.last()) {
        (Some(first), Some(last)) if done => {
            words.get(first.start..last.end).unwrap_or_default().trim_end_matches(',').to_owned()
        }
        _ => String::new(),
    }
}

/// "0.1 a pass, how many passes for 0.35".
fn passes(words: &str) -> Option<String> {
    let all = tokens(words);
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    let is_pass = |at: usize| matches!(text(at), "pass" | "passes" | "cut" | "cuts" | "time" | "go" | "goes");
    let said = quantities(&all);
    let asks = all.windows(2).any(|pair| pair[0].text == "how" && pair[1].text == "many");
    let speaks = all.iter().any(|token| matches!(token.text.as_str(), "pass" | "passes"));
    let lengths: Vec<&Quantity> = said
        .iter()
        .filter(|one| one.unit.is_none_or(|unit| convert(1.0, unit, "mm").is_some()))
        .filter(|one| one.unit.is_some() || one.leading_point || one.value.fract() != 0.0)
        .collect();
    let [one, two] = lengths[..] else { return None };
    if !asks || !speaks || said.len() > 2 || all.len() > WORDS_MAX {
        return None;
    }
    let each = |one: &Quantity| {
        let behind = matches!(text(one.last + 1), "a" | "per" | "each" | "every" | "at" | "/")
            && (is_pass(one.last + 2) || (text(one.last + 2) == "a" && is_pass(one.last + 3)));
        let before = (1..=3).any(|back| one.first.checked_sub(back).is_some_and(is_pass))
            && (1..=3).any(|back| one.first.checked_sub(back).is_some_and(|at| {
                matches!(text(at), "a" | "each" | "every" | "one" | "per")
            }));
        behind || before
    };
    let (each, whole) = match (each(one), each(two)) {
        (true, false) => (one, two),
        (false, true) => (two, one),
        _ => return None,
    };
    let unit = each.unit.or(whole.unit).unwrap_or("mm");
    let mm = |one: &Quantity| convert(one.value, one.unit.unwrap_or(unit), "mm");
    let (each, whole) = (mm(each)?, mm(whole)?);
    let count = whole / each;
    if !(count.is_finite() && each > 0.0 && whole > 0.0) {
        return None;
    }
    let full = (count + 1e-9).floor();
    let rest = whole - full * each;
    let rest = if rest > each * 1e-6 {
        format!(", {full} of {} mm and a last one of {} mm", plain(each), figures(rest, FIGURES))
    } else {
        String::new()
    };
    let needed = (count - 1e-9).ceil();
    let exact = if rest.is_empty() { String::new() } else { format!("{}, so ", figures(count, FIGURES)) };
    Some(format!(
        "{exact}{needed} passes{rest}: {} mm / {} mm a pass. Passes that only clean up at the end take next \
         to nothing off.",
        plain(whole),
        plain(each)
    ))
}

/// "What's min dia for a 178 reel before it is scrap".
fn smallest(words: &str) -> Option<String> {
    let all = tokens(words);
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let least = has(&["min", "minimum", "smallest", "scrap", "scrapped"]);
    let reel = has(&["reel", "cylinder", "reels", "cylinders"]);
    let of = has(&["dia", "diameter", "small", "size", "wear", "scrap", "down", "smallest"]);
    let asks = has(&["what", "whats", "how", "when"]) || words.trim_end().ends_with('?');
    let work = has(&["hours", "hrs", "h", "ground", "minimum is", "from"]);
    let said = quantities(&all);
    let [only] = &said[..] else { return None };
    let mm = convert(only.value, only.unit.unwrap_or("mm"), "mm").filter(|mm| NEW_REEL_MM.contains(mm))?;
    if !(least && reel && of && asks) || work || all.len() > WORDS_MAX {
        return None;
    }
    Some(format!(
        "About {} mm for a reel that was {} mm new: nine tenths of new is common practice, no source; the \
         machine's manual wins where it gives a figure (note \"When a reel is too small to go on\").",
        (mm * SMALLEST_OF_NEW).round(),
        plain(mm)
    ))
}

/// "At 3.5 what clip should I be aiming for": by the height of cut. `heights`: of those was spoken.
fn clip_wanted(words: &str, heights: bool) -> Option<String> {
    let all = tokens(words);
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let clip = has(&["clip", "clips"]);
    const AIMS: &[&str] = &[
        "aim", "aiming", "aimed", "should", "ideal", "want", "wanted", "target", "right", "best", "good", "need", "needs",
        "needed",
    ];
    // "So what clip at 3.5", after a height; "is the clip ok at 3.5" asks of the one it has.
    let which = all.windows(2).any(|pair| {
        matches!(pair[0].text.as_str(), "what" | "which") && pair[1].text == "clip"
    });
    // Clips that hold something.
    let held = has(&[
        "hose", "hoses", "pipe", "pipes", "tube", "cable", "cables", "wire", "wires", "bolt", "bolts", "spring", "springs",
        "pin", "pins", "shaft", "many",
    ]);
    let aims = (heights && which) || has(AIMS);
    let asks = has(&["what", "whats", "which", "how"]) || words.trim_end().ends_with('?');
    let sum = has(&["blade", "blades", "bladed", "rpm", "revs", "speed", "kph", "mph", "slow", "fast"]);
    let said = quantities(&all);
    let [only] = &said[..] else { return None };
    let height = convert(only.value, only.unit.unwrap_or("mm"), "mm").filter(|mm| CUT_MM.contains(mm))?;
    let before = only.first.checked_sub(1).map_or("", |at| all[at].text.as_str());
    let at = matches!(before, "at" | "on" | "cutting" | "height" | "of" | "for" | "hoc");
    if !(clip && aims && asks && at) || sum || held || all.len() > WORDS_MAX {
        return None;
    }
    Some(format!(
        "About the height of cut: {} mm give or take a tenth ({} to {} mm) on fairways; greens are looser and \
         found by trial (note \"How to shorten a clip that is too long\", geometry). Say the blades, reel speed \
         and ground speed, and I work out the clip you have.",
        plain(height),
        figures(height * 0.9, FIGURES),
        figures(height * 1.1, FIGURES)
    ))
}

/// "From an 11 blade reel to 8 at the same speed, what happens to clip": a ratio, which needs no speed.
fn fewer_blades(words: &str) -> Option<String> {
    const BLADES: std::ops::RangeInclusive<f64> = 3.0..=20.0;
    let all = tokens(words);
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let text = |at: usize| all.get(at).map_or("", |token| token.text.as_str());
    let said: Vec<Quantity> = quantities(&all)
        .into_iter()
        .filter(|one| !(one.in_words && matches!(text(one.first), "a" | "an" | "one")))
        .collect();
    let [from, to] = &said[..] else { return None };
    let count = |one: &Quantity| one.unit.is_none() && one.value.fract() == 0.0
        && BLADES.contains(&one.value);
    let of_blades = has(&["blade", "blades", "bladed"]) && has(&["clip", "clips"]) && count(from) && count(to);
    let to_it = (from.last + 1..to.first).any(|at| matches!(text(at), "to" | "into"));
    if !of_blades || !to_it || from.value == to.value || has(&["rpm", "mm", "mph", "kph"]) || all.len() > 2 * WORDS_MAX {
        return None;
    }
    let ratio = from.value / to.value;
    let percent = ((ratio - 1.0) * 100.0).abs().round();
    let way = if ratio > 1.0 { "longer" } else { "shorter" };
    Some(format!(
        "The clip gets {percent} % {way}: {} / {} = {} times what it is, at the same ground and reel speed \
         (geometry).",
        plain(from.value),
        plain(to.value),
        figures(ratio, FIGURES)
    ))
}

/// "What taper is too much": the usual limit.
fn taper(words: &str) -> Option<String> {
    let all = tokens(words);
    let has = |list: &[&str]| all.iter().any(|token| list.contains(&token.text.as_str()));
    let of = has(&["taper", "cone", "coned", "tapered"]);
    let limit = has(&["much", "limit", "allowed", "ok", "okay", "acceptable", "max", "maximum", "most", "tolerance"]);
    let asks = has(&["what", "whats", "how", "is"]) || words.trim_end().ends_with('?');
    let hours = has(&["hours", "hrs", "h", "left", "right", "end", "ends"]);
    if !(of && limit && asks) || hours || all.len() > WORDS_MAX {
        return None;
    }
    Some(format!(
        "More than about {} mm between the ends, whatever the width: then grind it and look for the cause. A \
         good shop leaves it within {} mm after grinding. Common practice from workshop manuals; \
         the machine's manual wins (note \"Why a reel wears to a cone\").",
        TAPER_MAX_MM, TAPER_GROUND_MM
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum(words: &str, before: &Clicks) -> Option<String> {
        heard(words)?.joined(before).map(|(_, line)| line)
    }

    #[test]
    fn clicks_are_a_measure_of_their_own() {
        let none = Clicks::default();
        let starts = |words: &str, wanted: &str| {
            let got = sum(words, &none).unwrap_or_default();
            assert!(got.starts_with(wanted), "{words}: {got}");
        };
        starts("one click is 0.018 how many to close 0.1 gap", "5.56, so 5 to 6 clicks");
        starts("one click 0.018 close 0.1mm how many clicks", "5.56, so 5 to 6 clicks");
        starts("0.02 a click, how many clicks for 0.08 mm", "4 clicks");
        starts("how much is 3 clicks if one is 15 thou", "1.143 mm");
        starts("went up 2 clicks on fairway 3, how much is that at 0.018", "0.036 mm");
        starts("each click closes 0.015, need to take up 0.06", "4 clicks");
        starts("took it up 3 clicks, one click 0.018, thats what in mm", "0.054 mm");
        assert_eq!(sum("took it up 3 clicks on unit 2", &none), None);
        assert_eq!(sum("what speed for a 5 mm clip", &none), None);
    }

    #[test]
    fn a_further_number_goes_to_the_sum_of_clicks_before() {
        let (before, _) =
            heard("one click 0.018 close 0.1mm how many clicks").unwrap().joined(&Clicks::default()).unwrap();
        assert!(sum("and if click is 0.02", &before).unwrap().starts_with("5 clicks"));
        assert!(sum("and for 0.15", &before).unwrap().starts_with("8.33"));
        assert_eq!(sum("left end is low", &before), None);
    }

    #[test]
    fn work_in_a_sum_is_booked_with_what_follows() {
        let said = heard("took it up 3 clicks, one click 0.018, thats what in mm").unwrap();
        assert_eq!(said.clicks.told, "took it up 3 clicks");
        assert_eq!(behind_booking("book that on 2, both ends"), Some("on 2, both ends"));
        assert_eq!(behind_booking("bookings on 2"), None);
    }

    #[test]
    fn passes_are_whole() {
        let got = passes("grind went off, spark wheel, 0.1 a pass how many passes for 0.35").unwrap();
        assert!(got.starts_with("3.5, so 4 passes, 3 of 0.1 mm and a last one of 0.05 mm"), "{got}");
        assert!(passes("how many passes at 0.05 a pass to take 0.2 off").unwrap().starts_with("4 passes"));
        assert_eq!(passes("took 3 passes at 0.05"), None);
    }

    #[test]
    fn a_reel_may_wear_to_nine_tenths() {
        assert!(smallest("whats min dia for a 178 reel before its scrap").unwrap().starts_with("About 160 mm"));
        assert_eq!(smallest("reel is 178, ground today"), None);
    }

    #[test]
    fn what_is_aimed_at_is_told_by_the_knowledge() {
        let got = clip_wanted("triplex at 3.5 what clip should i be aiming for", false).unwrap();
        assert!(got.contains("3.15 to 3.85 mm"), "{got}");
        assert_eq!(clip_wanted("what clip at 6 kph", true), None);
        assert!(clip_wanted("what clip would we need at 2.8", false).unwrap().contains("2.8 mm give or take"));
        assert!(clip_wanted("so what clip at 3.5", true).is_some());
        for words in [
            "which hose clips do we need for 12 mm pipe",
            "how many clips do i need for 6 mm cable?",
            "so is the clip ok at 3.5 mm?",
        ] {
            assert_eq!(clip_wanted(words, true), None, "{words}");
        }
        assert_eq!(clip_wanted("so what clip at 3.5", false), None);
        assert!(taper("reel 124.3 what taper is too much across 560mm").is_some());
        assert_eq!(taper("taper 0.1 left end 126.2"), None);
    }
}
