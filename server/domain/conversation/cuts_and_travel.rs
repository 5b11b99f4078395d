//! Over how many cuts does a height come down ("from 12 to 6, how many goes"), and what is the clip of
//! a reel whose travel in one turn is known ("6 blades, 300 mm a turn of the reel")? Sums of one step
//! that say all their numbers.
//! Deliberately absent: a plan by days, and the clip from speeds (`settings`).

use crate::domain::intent::lengths::{CUT_MM, in_mm};
use crate::domain::language::text::{Token, says, text_at, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{INCH_MM, figures, plain};

/// More words than these tell more than a sum.
const WORDS_MAX: usize = 32;
/// No cut takes more than this of what stands (note "one_third_rule_in_the_shop").
const SHARE_MAX: f64 = 1.0 / 3.0;
/// More cuts than these are a plan (no source).
const CUTS_MAX: f64 = 12.0;
const ROUNDING: f64 = 1e-9;
const COUNTED: &[&str] = &["cuts", "cut", "goes", "mows", "mowings", "times", "cuttings"];
/// What is brought down in other ways, or counted.
const OTHER: &[&str] = &[
    "grind", "grinds", "reel", "cylinder", "diameter", "pass", "relief", "turn", "turns", "click", "clicks", "day",
    "days", "weeks", "week", "did", "was", "were", "gap", "groomer", "verticut", "hours", "sharpen", "lap", "lapped", "top",
    "dress", "bedknife", "knife", "thick", "last", "new", "seed", "seeded", "blade", "blades", "belt", "fuel", "bolt",
];
/// A reel has so many blades (common practice, no source).
const BLADES: std::ops::RangeInclusive<f64> = 2.0..=20.0;
/// No reel is set to clip longer, mm (common practice, no source).
const CLIP_MAX_MM: f64 = 30.0;
const FIGURES: i32 = 3;

/// The sum that the words ask for.
pub(super) fn worked_out(words: &str) -> Option<String> {
    let all = tokens(words);
    if all.len() > WORDS_MAX {
        return None;
    }
    cuts_down(&all).or_else(|| clip_of_travel(&all))
}

/// "If I cut at 12mm and want to get to 6, how many goes".
fn cuts_down(all: &[Token]) -> Option<String> {
    let asks = (0..all.len()).any(|at| {
        text_at(all, at) == "how" && text_at(all, at + 1) == "many" && COUNTED.contains(&text_at(all, at + 2))
    });
    let said = quantities(all);
    let [one, two] = &said[..] else { return None };
    if !asks || says(all, OTHER) {
        return None;
    }
    // Of two heights that are told together the unit is said once.
    let unit = one.unit.or(two.unit);
    let mm = |said: &Quantity| in_mm(&Quantity { unit: said.unit.or(unit), ..said.clone() });
    let (from, to) = (mm(one)?, mm(two)?);
    // Long grass that is brought down is a plan of its days.
    if from <= to || !CUT_MM.contains(&from) || !CUT_MM.contains(&to) {
        return None;
    }
    let count = ((to / from).ln() / (1.0 - SHARE_MAX).ln() - ROUNDING).ceil();
    if count > CUTS_MAX {
        return None;
    }
    let each = (to / from).powf(1.0 / count);
    let inches = matches!(unit, Some("in" | "thou")) || (unit.is_none() && one.leading_point);
    let shown = |mm: f64| match inches {
        true => figures(mm / INCH_MM, FIGURES),
        false => figures(mm, FIGURES),
    };
    let steps: Vec<String> = (0..=count as i32).map(|at| shown(from * each.powi(at))).collect();
    let cuts = if count > 1.0 { "cuts" } else { "cut" };
    Some(format!(
        "{count} {cuts} at least: {} {}, each taking {} in 100 of what stands, and no more than a third. One more is \
         kinder; let it grow on between them (note \"Why no more than a third of the leaf is cut at once\").",
        steps.join(", "),
        if inches { "in" } else { "mm" },
        (100.0 * (1.0 - each)).round(),
    ))
}

/// "A 6 blade reel goes 300 mm per turn of the reel, how far apart are the clips".
fn clip_of_travel(all: &[Token]) -> Option<String> {
    let said = quantities(all);
    let per = |at: usize| matches!(text_at(all, at), "per" | "each" | "every" | "a" | "one");
    let turn = |at: usize| matches!(text_at(all, at), "turn" | "rev" | "revolution" | "rotation");
    let of_turn = |one: &&Quantity| {
        let behind = one.last + 1..=one.last + 4;
        let turned = behind.into_iter().any(|at| per(at) && (turn(at + 1) || turn(at + 2)));
        in_mm(one).is_some() && one.unit.is_some() && turned
    };
    let of_blades = |one: &&Quantity| {
        let named = matches!(text_at(all, one.last + 1), "blade" | "blades" | "bladed" | "knives")
            || (text_at(all, one.last + 1) == "-" && text_at(all, one.last + 2).starts_with("blade"));
        one.unit.is_none() && named && BLADES.contains(&one.value) && one.value.fract() == 0.0
    };
    let travel = said.iter().find(of_turn)?;
    let blades = said.iter().find(of_blades)?.value;
    let asks = says(all, &["how", "what", "whats", "what's", "sum", "clip", "clips", "?", "spacing"]);
    let other = says(all, &[
        "adjuster", "screw", "nut", "thread", "pitch", "roller's", "rpm", "mph", "wheel", "drum", "times", "wear", "wears", "cost",
        "off", "over",
    ]);
    // The roller that goes so far in a turn is none of the reel's.
    let goes = |at: usize| matches!(text_at(all, at), "goes" | "moves" | "travels" | "does") && text_at(all, at - 1) == "roller";
    let rolls = (1..all.len()).any(goes) && !says(all, &["reel", "cylinder"]);
    let reels = says(all, &["reel", "reels", "cylinder", "clip", "clips", "sum"]);
    if !asks || other || rolls || !reels {
        return None;
    }
    let mm = in_mm(travel)?;
    let clip = mm / blades;
    let sum = format!("{} mm / {} blades = {} mm from cut to cut", figures(mm, 4), plain(blades), figures(clip, FIGURES));
    Some(match clip > CLIP_MAX_MM {
        false => format!("{sum}: each blade cuts once in a turn of the reel."),
        true => format!(
            "{sum}. No reel is set so: clips are a few mm, about the height of cut. So the travel is hardly that of \
             one turn of the reel; measure it: mark the reel, push the machine until it has \
             gone round once, and read how far the machine went."
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether the answer begins so, or there is none.
    fn assert_told(words: &str, wanted: Option<&str>) {
        let told = worked_out(words);
        let fits = match (&told, wanted) {
            (Some(told), Some(wanted)) => told.starts_with(wanted),
            (None, None) => true,
            _ => false,
        };
        assert!(fits, "{words}: {told:?}");
    }

    #[test]
    fn cuts_from_one_height_to_another() {
        // (words, beginning of the answer): ln(6/12) / ln(2/3) = 1.71; ln(12/40) / ln(2/3) = 2.97.
        for (words, wanted) in [
            ("if i cut at 12mm and want to get to 6 for the match strip how many goes", Some("2 cuts at least: 12, 8.49, 6 mm")),
            ("how many cuts from 40 mm to 12 mm", Some("3 cuts at least: 40, 26.8, 17.9, 12 mm")),
            ("grass is 90mm and i want 35 how many cuts to get it down", None),
            ("how many mows to get from .500 to .400", Some("1 cut at least: 0.5, 0.4 in")),
            ("how many cuts did we do at 12 and 6", None),
            ("how many cuts from 6 to 12 mm", None),
            ("how many passes from 126 to 125.5", None),
        ] {
            assert_told(words, wanted);
        }
    }

    #[test]
    fn the_clip_is_the_travel_of_a_turn_by_the_blades() {
        for (words, wanted) in [
            ("6 blade reel, it travels 30 mm per turn of the reel, what is the clip", Some("30 mm / 6 blades = 5 mm")),
            ("im asking the sum 6 blades 1.2m per turn", Some("1200 mm / 6 blades = 200 mm")),
            ("how far apart are the clips if its a 6 blade reel 125mm roller goes 1.2 metres per turn of the reel at 2.5",
                Some("1200 mm / 6 blades = 200 mm")),
            ("what does 1.25 mm per turn of the screw give", None),
            ("changed 3 blades, 2 mm a turn", None),
        ] {
            assert_told(words, wanted);
        }
    }
}
