//! How far do units side by side overlap at each joint ("five units of 22 in cut 100 in in all"), how wide
//! do they cut, and what does another size of tyre do to the clip ("from 18 to 20 in")? Sums of one step
//! that say all their numbers.
//! Deliberately absent: the area an hour (`settings`), and how much overlap a turn takes.

use crate::domain::language::text::{Token, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{INCH_MM, convert, figures, plain};

/// More words than these tell more than a sum.
const WORDS_MAX: usize = 32;
/// A machine has so many units (common practice, no source).
const UNITS: std::ops::RangeInclusive<f64> = 2.0..=15.0;
/// An overlap is no more than this share of a unit (common practice, no source).
const OVERLAP_OF_UNIT: f64 = 0.5;
/// One tyre is no more than so many times another on the same machine (common practice, no source).
const TYRE_MAX: f64 = 2.0;
/// Driving wheels of mowers are of such a diameter, mm (common practice, no source).
const TYRE_MM: std::ops::RangeInclusive<f64> = 200.0..=1016.0;
/// Less than so much is neither an overlap nor a gap, mm (no tape reads it).
const TOUCH_MM: f64 = 0.5;
/// Clips are no longer, mm (common practice, no source).
const CLIP_MAX_MM: f64 = 60.0;
const TYRES: &[&str] = &["tyre", "tyres", "tire", "tires", "wheels", "wheel"];
const CLIPS: &[&str] = &["clip", "clips", "foc"];
/// Figures of an answer.
const FIGURES: i32 = 4;

/// The sum that the words ask for.
pub(super) fn worked_out(words: &str) -> Option<String> {
    let all = tokens(words);
    if all.len() > WORDS_MAX {
        return None;
    }
    let said = Said { said: quantities(&all), asks: asks(words, &all), all };
    said.at_each_joint().or_else(|| said.other_tyres())
}

fn asks(words: &str, all: &[Token]) -> bool {
    const ASKING: &[&str] = &["how", "what", "whats", "which"];
    words.trim_end().ends_with('?') || all.iter().any(|one| ASKING.contains(&one.text.as_str()))
}

struct Said {
    all: Vec<Token>,
    said: Vec<Quantity>,
    asks: bool,
}

impl Said {
    fn has(&self, list: &[&str]) -> bool {
        self.all.iter().any(|token| list.contains(&token.text.as_str()))
    }

    fn text(&self, at: usize) -> &str {
        self.all.get(at).map_or("", |token| token.text.as_str())
    }

    /// Whether one of these words stands in the few before or behind a number.
    fn beside(&self, one: &Quantity, list: &[&str], before: usize, behind: usize) -> bool {
        let from = one.first.saturating_sub(before);
        let mut near = (from..one.first).chain(one.last + 1..=one.last + behind);
        near.any(|at| list.contains(&self.text(at)))
    }

    fn at_each_joint(&self) -> Option<String> {
        const OF_UNITS: &[&str] = &[
            "units", "unit", "reels", "reel", "cylinders", "cylinder", "heads", "head", "decks", "deck", "gangs", "gang",
            "mowers", "cutters",
        ];
        const OVERLAPS: &[&str] = &["overlap", "overlaps", "overlapping", "overlapped", "joint", "joints"];
        const OTHER: &[&str] = &[
            "mph", "kph", "kmh", "speed", "acre", "acres", "hectare", "hectares", "ha", "hour", "hours", "rpm",
            "efficiency", "passes",
        ];
        if !self.asks || !self.has(OVERLAPS) || self.has(OTHER) {
            return None;
        }
        let count = self.said.iter().position(|one| {
            // "Three 22 in units".
            let names = (one.last + 1..=one.last + 3).any(|at| OF_UNITS.contains(&self.text(at)));
            one.unit.is_none() && one.value.fract() == 0.0 && UNITS.contains(&one.value) && names
        })?;
        // "At each of the four joints" counts as well.
        let joint = |one: &Quantity| one.unit.is_none() && self.beside(one, &["joint", "joints", "gaps"], 0, 1);
        let rest = self.said.iter().enumerate().filter(|(at, one)| *at != count && !joint(one));
        let rest: Vec<&Quantity> = rest.map(|(_, one)| one).collect();
        let [one, two] = rest[..] else { return None };
        let unit = one.unit.or(two.unit)?;
        let length = |one: &Quantity| convert(one.value, one.unit.unwrap_or(unit), "mm");
        let (a, b) = (length(one)?, length(two)?);
        let (small, large) = if a <= b { (a, b) } else { (b, a) };
        let count = self.said[count].value;
        let joints = count - 1.0;
        let shown = |mm: f64| match unit {
            "in" | "thou" | "ft" => {
                format!("{} in ({} mm)", figures(mm / INCH_MM, FIGURES), figures(mm, FIGURES))
            }
            _ => format!("{} mm", figures(mm, FIGURES)),
        };
        let of_turns = "That is straight ahead; in a turn and on a bank it is less, so look there.";
        // The smaller of the two is an overlap where it stands beside the word and is no unit.
        let smaller = if a <= b { one } else { two };
        let told = self.beside(smaller, OVERLAPS, 3, 2) && small < OVERLAP_OF_UNIT * large;
        if told && small * count < large {
            let total = count * large - joints * small;
            return Some(format!(
                "{} in all: {} x {} less {} overlap{} of {}. {of_turns}",
                shown(total), plain(count), shown(large), plain(joints), if joints > 1.0 { "s" } else { "" },
                shown(small)
            ));
        }
        let overlap = (count * small - large) / joints;
        if small <= 0.0 || overlap.abs() > OVERLAP_OF_UNIT * small {
            return None;
        }
        let sum = format!("({} x {} less {}) / {}", plain(count), shown(small), shown(large), plain(joints));
        let at_joints = match joints > 1.0 {
            true => format!("at each of the {} joints", plain(joints)),
            false => "at the joint".to_owned(),
        };
        Some(if overlap.abs() < TOUCH_MM {
            format!(
                "No overlap: they just touch {at_joints}, {sum}. In a turn and on a bank that leaves a strip; measure \
                 each unit's cut and the whole once more."
            )
        } else if overlap > 0.0 {
            format!("{} {at_joints}: {sum}. {of_turns}", shown(overlap))
        } else {
            format!(
                "No overlap: {} are missing {at_joints}, {sum}. They leave a strip; measure each unit's \
                 cut and the whole once more.",
                shown(-overlap)
            )
        })
    }

    /// Whether two numbers are sizes of tyres: those are named right behind ("from 18 to 20 in tyres"),
    /// or nearer before them than a clip is.
    fn is_of_tyres(&self, from: &Quantity, to: &Quantity) -> bool {
        const WHICH: &[&str] = &["front", "rear", "back", "drive", "driving", "traction", "new"];
        let named = |word: &&str| TYRES.contains(word) || CLIPS.contains(word);
        let last = (0..from.first).rev().map(|at| self.text(at)).find(named);
        let next = to.last + 1 + usize::from(WHICH.contains(&self.text(to.last + 1)));
        let pressed = from.first.checked_sub(1).is_some_and(|at| self.text(at) == "at");
        let before = last.is_some_and(|word| TYRES.contains(&word));
        !pressed && (before || TYRES.contains(&self.text(next)))
    }

    /// "Tyres went from 18 to 20 inch, clip was 4.6": a ratio, which needs no speed.
    fn other_tyres(&self) -> Option<String> {
        const OTHER: &[&str] = &[
            "psi", "bar", "kpa", "pressure", "pressures", "grind", "grinding", "gauge", "hose", "hoses", "pipe", "cable",
            "bolt", "bolts", "motor", "why", "wrong", "uneven",
        ];
        const CHANGED: &[&str] = &[
            "change", "changed", "changing", "went", "go", "goes", "going", "gone", "from", "new", "swap", "swapped",
            "fit", "fitted", "fitting", "bigger", "larger", "smaller", "replaced",
        ];
        if !self.has(TYRES) || !self.has(CLIPS) || !self.has(CHANGED) || self.has(OTHER) {
            return None;
        }
        let size = |one: &Quantity| one.unit.is_none_or(|unit| matches!(unit, "in" | "mm" | "cm" | "ft"));
        let pair = self.said.windows(2).find(|pair| {
            let to = (pair[0].last + 1..pair[1].first).any(|at| matches!(self.text(at), "to" | "into"));
            to && size(&pair[0]) && size(&pair[1]) && self.is_of_tyres(&pair[0], &pair[1])
        })?;
        let unit = pair[1].unit.or(pair[0].unit).unwrap_or(if pair[1].value < *TYRE_MM.start() { "in" } else { "mm" });
        let length = |one: &Quantity| convert(one.value, one.unit.unwrap_or(unit), "mm");
        let (from, to) = (length(&pair[0])?, length(&pair[1])?);
        if !TYRE_MM.contains(&from) || !TYRE_MM.contains(&to) {
            return None;
        }
        let sizes = [pair[0].first, pair[1].first];
        let others = self.said.iter().filter(|one| !sizes.contains(&one.first));
        let others: Vec<&Quantity> = others.collect();
        let clip = match others[..] {
            [] => None,
            [only] => {
                let mm = convert(only.value, only.unit.unwrap_or("mm"), "mm")?;
                Some(mm).filter(|mm| *mm > 0.0 && *mm <= CLIP_MAX_MM)
            }
            _ => return None,
        };
        let ratio = to / from;
        let likely = ratio.is_finite() && ratio > 0.0 && ratio.max(1.0 / ratio) <= TYRE_MAX;
        let likely = likely && from != to;
        if !likely || !(self.asks || clip.is_some()) || (!others.is_empty() && clip.is_none()) {
            return None;
        }
        let way = if ratio > 1.0 { "longer" } else { "shorter" };
        let becomes = clip.map_or_else(String::new, |clip| {
            format!(" {} mm becomes {} mm.", plain(clip), figures(clip * ratio, FIGURES))
        });
        Some(format!(
            "The clip gets {} % {way}: {} / {} = {} times what it was (geometry), where wheels \
             and reels turn as fast as before: the ground covered at each turn of the wheel goes \
             with its diameter.{becomes} At the same true ground speed it stays as it was. A \
             loaded tyre is smaller than its name, so time a measured distance.",
            figures((ratio - 1.0).abs() * 100.0, 3),
            plain(pair[1].value),
            plain(pair[0].value),
            figures(ratio, FIGURES),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: (5 x 22 - 100) / 4 = 2.5, 5 x 22 - 4 x 2.5 = 100, 20 / 18 = 1.111,
    /// 4.6 x 1.111 = 5.111.
    #[test]
    fn joints_and_tyres_are_worked_out() {
        for (words, wanted) in [
            ("Five units each 22 in with a total cut of 100 in, what overlap at each joint?",
                Some("2.5 in (63.5 mm) at each of the 4 joints")),
            ("what is the overlap if 3 reels 560 mm wide cut 1.6 m in all", Some("40 mm at each of the 2 joints")),
            ("how much overlap, 5 heads of 22 inches, 112 inches overall", Some("No overlap: 0.5 in")),
            ("five units of 22 in overlapping 2.5 in, what width do they cut in all?", Some("100 in (2540 mm) in all")),
            ("three 22 in units with an overlap of 2 in, how wide is the cut", Some("62 in")),
            ("how much overlap, 5 units 22 in, 110 in", Some("No overlap: they just touch at each of the 4 joints")),
            ("2 decks 36 in cut 68 in, what overlap", Some("4 in (101.6 mm) at the joint: ")),
            ("7 gangs of 30 in, overlap 3 in, how many acres an hour at 5 mph", None),
            ("overlap on unit 3 is 40 mm, is that ok", None),
            ("Tyres changed 18 to 20 in, reels same speed, by how much has the clip changed?",
                Some("The clip gets 11.1 % longer: 20 / 18 = 1.111")),
            ("Tyres went from 18 to 20 inch, clip was 4.6 mm", Some("The clip gets 11.1 % longer")),
            ("what happens to clip if tires go from 20 to 18 in", Some("The clip gets 10 % shorter")),
            ("tyres from 18 to 20 psi, what does it do to the clip", None),
            ("fitted new tyres, 18 to 20 in", None),
            ("what does going from 18 to 20 inch tyres do to the clip", Some("The clip gets 11.1 % longer")),
            ("how much longer is the clip with tyres from 460 to 510 mm", Some("The clip gets 10.9 % longer")),
            ("clip went from 4.6 to 5.1 after new tyres, why?", None),
            ("clip went from 4.6 to 5.1 after new tyres, how much is that?", None),
            ("fastened the hose clips on the wheel motor, 10 to 12 mm, is that ok?", None),
            ("clip on the wheel bolt is 10 to 12 mm, which is right?", None),
            ("tyre clips changed from 18 to 20, what size?", None),
            ("clip is uneven with front tyre at 10 to 12, what is wrong?", None),
            ("clip changed with the front tyre at 10 to 12, how much?", None),
        ] {
            let got = worked_out(words);
            let fits = match (wanted, &got) {
                (Some(wanted), Some(got)) => got.starts_with(wanted),
                (None, None) => true,
                _ => false,
            };
            assert!(fits, "{words}: {got:?}");
        }
        assert!(worked_out("tyres went from 18 to 20 inch, clip was 4.6 mm").unwrap().contains("4.6 mm becomes 5.111 mm"));
    }
}
