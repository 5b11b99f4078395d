//! Where do single words make another kind of record than all words together: heights that were
//! read and not set, parts that were greased and not replaced?
//! Deliberately absent: the weighing of the words (`record_kind`).

use super::clauses::{Clause, clauses};
use super::cues::Cue;
use super::deeds::{DEEDS, FOUND_SO};
use super::{grinding, measured};
use super::record_kind::REEL_MIN_MM;
use super::settle::{is_likely, settle};
use super::spoken::Spoken;
use crate::domain::records::RecordKind;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::CLICKS;

/// What is done to parts that stay where they are.
pub(super) const CARE: &[&str] = &[
    "greased", "oiled", "cleaned", "washed", "lubed", "lubricated", "hosed", "tightened",
];
/// No height of cut of a reel is more, mm (common practice, no source).
const LOW_MAX_MM: f64 = 40.0;
const LOOKED_AT: &[&str] = &["grease", "checked", "inspected"];
/// What is said where a part is another now.
const REPLACED: &[&str] = &[
    "replaced", "renewed", "changed", "swapped", "new", "fitted", "fit", "fitting", "installed", "put",
    "rebuilt", "fresh", "replacement", "change", "swap", "replace",
];

/// The kind that the words make after all.
pub(super) fn told_otherwise(spoken: &Spoken, kind: RecordKind) -> RecordKind {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    if kind == RecordKind::PartReplaced && (said(CARE) || said(LOOKED_AT)) && !said(REPLACED) {
        return RecordKind::Inspection;
    }
    if kind == RecordKind::Adjustment && puts_a_part_on(spoken) {
        return RecordKind::PartReplaced;
    }
    if kind == RecordKind::Adjustment && ground_to_a_diameter(spoken) {
        return RecordKind::Sharpening;
    }
    if kind == RecordKind::HeightReading && measured::is_other_than_height(spoken) {
        return RecordKind::Inspection;
    }
    if kind == RecordKind::Inspection && heights_by_side(spoken) {
        return RecordKind::HeightReading;
    }
    if kind == RecordKind::Adjustment && sets_and_reads(spoken) {
        return RecordKind::HeightReading;
    }
    let clicked = spoken.quantities.iter().any(|one| one.unit == Some(CLICKS));
    if kind == RecordKind::Inspection && clicked {
        return RecordKind::Adjustment;
    }
    // "Wet ground it on the bar first": no height stands in it.
    let bare = kind == RecordKind::HeightReading && spoken.quantities.is_empty();
    if (kind == RecordKind::Hours && grinds(spoken)) || (bare && ground_it(spoken)) {
        return RecordKind::Sharpening;
    }
    // "Greased everything, 3,390 on the clock": the care is the work, the meter stands beside it.
    if kind == RecordKind::Hours && said(CARE) {
        return RecordKind::Inspection;
    }
    if kind == RecordKind::FaultFixed && grinding::tells_taper(spoken) && grinding::grinds(spoken) {
        return RecordKind::Sharpening;
    }
    let units = if matches!(kind,
        RecordKind::Hours | RecordKind::Inspection) { units_read(spoken) } else { 0 };
    let read = units > 1 || (units == 1 && said(&["measured", "read", "reads", "bench"]));
    if read || (kind == RecordKind::Hours && cut_at(spoken)) {
        return RecordKind::HeightReading;
    }
    if only_reads_heights(spoken, kind) { RecordKind::HeightReading } else { kind }
}

/// "Set it to 9.5, got 9.48, 9.5 and 9.51": what was read after it was set.
fn sets_and_reads(spoken: &Spoken) -> bool {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let got = (1..spoken.tokens.len()).find(|at| {
        matches!(text(*at), "got" | "reads" | "read" | "measured" | "came") && text(*at + 1) != "it"
    });
    let height = |one: &&Quantity| {
        let low = matches!(one.unit, None | Some("mm")) && one.value <= LOW_MAX_MM;
        low && one.value > 1.0 && one.value.fract() != 0.0
    };
    let behind = |from: usize| spoken.quantities.iter().filter(move |one| one.first > from);
    let turned = spoken.quantities.iter().any(|one| matches!(one.unit, Some("turns" | "flats" | CLICKS)));
    !turned && got.is_some_and(|from| behind(from).filter(height).count() > 1)
}

/// "Measured 3.21 left, 3.35 right": no reel is so thin, and nothing says that a width was read.
pub(super) fn heights_by_side(spoken: &Spoken) -> bool {
    const OTHER: &[&str] = &[
        "diameter", "diameters", "dia", "dias", "diam", "gap", "gaps", "play", "land", "bedknife", "groomer", "brush", "roller",
        "rollers", "pressure", "tyre", "tyres", "psi", "thick", "thickness", "wide", "micrometer", "miked", "caliper",
        "calipers", "vernier", "taper", "inch", "inches", "in", "tapes", "taped", "deck", "blade", "blades", "tip", "tips", "lip", "clip", "drum",
    ];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let side = |at: usize| matches!(text(at), "left" | "right");
    let placed = |one: &Quantity| {
        let before = one.first.checked_sub(1).is_some_and(side);
        before || side(one.last + 1) || (text(one.last + 1) == "on" && side(one.last + 3))
    };
    let low = |one: &Quantity| {
        let length = one.unit.is_none() || one.unit == Some("mm");
        length && one.value > 0.0 && one.value <= LOW_MAX_MM && one.value.fract() != 0.0
    };
    let other = spoken.tokens.iter().any(|token| OTHER.contains(&token.text.as_str()));
    let sides = spoken.quantities.iter().filter(|one| placed(one)).count();
    let all = spoken.quantities.iter().filter(|one| placed(one)).all(low);
    sides >= 2 && all && !other
}

/// "Walker 2 checked .126 left": nothing but a name stands before what was looked at.
pub(super) fn begins_with_a_check(spoken: &Spoken, names: &[(usize, usize)]) -> bool {
    const CHECKED: &[&str] = &["checked", "measured", "read", "reads", "gauged", "barred", "checks"];
    let first = (0..spoken.words.len()).find(|at| {
        let small = matches!(spoken.word(*at), "i" | "we" | "just" | "the" | "on");
        !spoken.lies_within(*at, names) && !small
    });
    // "Scalping, bearing replaced, fixed": it was read, and then something was mended.
    const MENDED: &[&str] = &[
        "replaced", "renewed", "changed", "swapped", "swopped", "fitted", "fixed", "mended", "repaired", "cured", "sorted",
    ];
    let mended = (0..spoken.words.len()).any(|at| MENDED.contains(&spoken.word(at)));
    first.is_some_and(|at| CHECKED.contains(&spoken.word(at))) && !mended
}

/// "Greased everything on the gang": care and nothing else is told.
pub(super) fn is_care(spoken: &Spoken) -> bool {
    const FIRST_WORDS_MAX: usize = 3;
    (0..spoken.words.len().min(FIRST_WORDS_MAX)).any(|at| CARE.contains(&spoken.word(at)))
        || takes_off_and_cleans(spoken)
}

/// What is done to a part to clean it.
const WASHED: &[&str] = &["cleaned", "washed", "greased", "oiled", "hosed", "scrubbed", "scraped"];
/// What a part is taken off by.
const TAKEN: &[&str] = &["took", "taken", "pulled", "had", "got", "whipped", "lifted", "dropped"];

/// "Cleaned it and set it", "cleaned it, found a crack": another work, or what was found.
fn tells_more_than_care(spoken: &Spoken) -> bool {
    const BROKEN: &[&str] = &[
        "crack", "cracks", "cracked", "split", "broken", "bent", "play", "leak", "leaking", "level", "set",
    ];
    // What is dirty is cleaned.
    const DIRTY: &[&str] = &["caked", "packed", "dirty", "dry"];
    (0..spoken.words.len()).map(|at| (at, spoken.word(at))).any(|(at, word)| {
        let back = word == "put" && (at + 1..at + 4).any(|at| matches!(spoken.word(at), "back" | "on"));
        let care = WASHED.contains(&word) || TAKEN.contains(&word);
        let work = DEEDS.contains(&word) && !care && !back;
        let found = FOUND_SO.contains(&word) && !DIRTY.contains(&word);
        work || found || BROKEN.contains(&word)
    })
}

/// Whether what would be another work is the cleaning of a part, with nothing turned or set.
pub(super) fn only_cleans(spoken: &Spoken, kind: RecordKind) -> bool {
    let care = first_deed(spoken).is_some_and(|deed| WASHED.contains(&deed));
    let bare = kind == RecordKind::Adjustment && spoken.quantities.is_empty() && care;
    let bare = bare && !tells_more_than_care(spoken);
    let other = matches!(kind, RecordKind::FaultFixed | RecordKind::Adjustment);
    bare || (other && takes_off_and_cleans(spoken))
}

/// "Took the rear brush off and cleaned it": care of a part, for which it was taken off.
pub(super) fn takes_off_and_cleans(spoken: &Spoken) -> bool {
    const FIRST_WORDS_MAX: usize = 4;
    let timed = |one: &Quantity| matches!(one.unit, Some("min" | "h"));
    if tells_more_than_care(spoken) || !spoken.quantities.iter().all(timed) {
        return false;
    }
    let word = |at: usize| spoken.word(at);
    let taken = (0..spoken.words.len().min(FIRST_WORDS_MAX)).find(|at| TAKEN.contains(&word(*at)));
    let off = |from: usize| (from + 1..from + 7).find(|at| matches!(word(*at), "off" | "out" | "apart"));
    // "And cleaned it": nothing else stands between.
    taken.and_then(off).is_some_and(|off| {
        (off + 1..off + 7).any(|at| WASHED.contains(&word(at)) && matches!(word(at + 1), "it" | "them" | "her" | "him" | "all"))
    })
}

/// The deed that the words begin with: "I cleaned the roller".
pub(super) fn first_deed(spoken: &Spoken) -> Option<&str> {
    let at = usize::from(matches!(spoken.word(0), "i" | "we" | "just"));
    Some(spoken.word(at)).filter(|word| DEEDS.contains(word) || CARE.contains(word))
}

/// Words that begin why something was done.
pub(super) const BECAUSE: &[&str] = &["cos", "coz", "because", "cause", "since", "as"];

/// "It was leaving the cut high": a clause of what was so before.
pub(super) fn tells_what_was(spoken: &Spoken, clause: &Clause) -> bool {
    // "Cos it was cutting higher".
    let because = usize::from(BECAUSE.contains(&spoken.word(clause.first)));
    let first = clause.first + because;
    let it = usize::from(matches!(spoken.word(first), "it" | "they" | "that" | "which"));
    let was = matches!(spoken.word(first + it), "was" | "were" | "had" | "kept");
    was && clause.last > first + it
}

/// "I cleaned the back roller and now it's fine, it was leaving it high": what was done, that it is
/// well since, and what was wrong.
pub(super) fn is_fine_now(spoken: &Spoken) -> bool {
    const WELL: &[&str] = &["fine", "good", "ok", "okay", "right", "sweet", "quiet", "perfect", "great", "alright"];
    const NEAR: usize = 3;
    let word = |at: usize| spoken.word(at);
    let well = (0..spoken.words.len()).any(|at| {
        word(at) == "now" && (at + 1..=at + NEAR).any(|at| WELL.contains(&word(at)))
            && !(at + 1..=at + NEAR).any(|at| matches!(word(at), "not" | "no" | "never"))
    });
    let was = clauses(spoken).iter().skip(1).any(|clause| tells_what_was(spoken, clause));
    first_deed(spoken).is_some() && well && was && !spoken.is_question()
}

/// "Ground the reel and brought it down from 124.4 to 124.1": widths that only a reel has, where
/// one was ground or is named; a deck stands at no such height by its reel.
fn ground_to_a_diameter(spoken: &Spoken) -> bool {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let wide = |one: &Quantity| {
        let mm = match one.unit {
            None | Some("mm") => one.value,
            Some("in") => one.value * 25.4,
            _ => 0.0,
        };
        mm >= REEL_MIN_MM
    };
    let reel = grinding::grinds(spoken) || said(&["reel", "reels", "cylinder", "cylinders", "diameter"]);
    let other = said(&["deck", "rotary", "height", "hoc", "psi", "tyre", "tyres"]);
    reel && !other && spoken.quantities.iter().any(wide)
}

/// "Put a clutch cable on walker 1": a thing, and no turn of anything.
fn puts_a_part_on(spoken: &Spoken) -> bool {
    const NO_PART: &[&str] = &[
        "turn", "turns", "click", "clicks", "flat", "flats", "bit", "drop", "touch", "shim", "quarter", "half", "lot",
        "little", "notch", "full", "mark", "edge", "setting", "height", "gap", "more", "couple", "few", "thou", "mm",
        "grease", "oil", "groomer", "brush",
    ];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let timed = |one: &Quantity| matches!(one.unit, Some("min" | "h"));
    let put = (0..spoken.tokens.len()).any(|at| {
        let a = matches!(text(at + 1), "a" | "an" | "new" | "another" | "fresh");
        text(at) == "put" && a && !NO_PART.contains(&text(at + 2)) && !NO_PART.contains(&text(at + 3))
    });
    put && spoken.quantities.iter().all(timed)
}

/// "1 was 3.52 and 2 was 3.48": units that each have a reading as heights are, and nothing else is
/// told of.
pub(super) fn units_read(spoken: &Spoken) -> usize {
    const LINKS: &[&str] = &["is", "was", "at", "reads", "read", "=", ":", "says", "now"];
    const OTHER: &[&str] = &[
        "hours", "hrs", "meter", "clock", "ran", "run", "engine", "diameter", "dia", "psi", "bar", "gap",
        "play", "turns", "rpm", "bearing", "bearings", "blade", "blades", "groomer", "brush", "thick",
    ];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let other = spoken.tokens.iter().any(|token| OTHER.contains(&token.text.as_str()));
    let height = |index: usize| {
        let quantity = &spoken.quantities[index];
        let length = matches!(quantity.unit, None | Some("mm" | "in"));
        let fine = quantity.unit.is_some() || quantity.value.fract() != 0.0;
        length && settle(spoken, index, "height_mm").is_some_and(|one| is_likely("height_mm", one.value))
            && (fine || quantity.value < 60.0)
    };
    let of_unit = |index: &usize| {
        let first = spoken.quantities[*index].first;
        let links = (1..=3).take_while(|back| {
            first.checked_sub(*back).is_some_and(|at| LINKS.contains(&text(at)))
        });
        let number = first.checked_sub(links.count() + 1);
        let small = |at: usize| text(at).len() <= 2 && text(at).parse::<u32>().is_ok();
        let short = number.is_some_and(small);
        // "9.5 on 2 and 9.8 on 3".
        let last = spoken.quantities[*index].last;
        let skip = usize::from(matches!(text(last + 2), "unit" | "number"));
        let behind = text(last + 1) == "on" && small(last + 2 + skip);
        (short || behind) && height(*index)
    };
    if other { 0 } else { (0..spoken.quantities.len()).filter(of_unit).count() }
}

/// Something that was spoken of was ground.
fn ground_it(spoken: &Spoken) -> bool {
    let what = |word: &str| matches!(word, "it" | "them" | "both" | "one");
    spoken.tokens.windows(2).any(|pair| pair[0].text == "ground" && what(&pair[1].text))
}

/// "Hour and a half on the triplex reels, ground 1 and 3": how long it took, and no hours of mowing.
fn grinds(spoken: &Spoken) -> bool {
    const DEEDS: &[&str] = &["lapped", "backlapped", "spun", "sharpened", "reground", "ground"];
    const RAN: &[&str] = &["meter", "clock", "ran", "mowed", "cut", "mowing", "engine", "since", "run", "did"];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let noun = |at: usize| {
        let before = at.checked_sub(1).map_or("", text);
        text(at) == "ground" && matches!(before, "the" | "soft" | "wet" | "hard" | "sports" | "our" | "cricket")
    };
    let all = || 0..spoken.tokens.len();
    let short = spoken.quantities.iter().any(|one| one.unit == Some("h") && one.value <= 10.0);
    let ran = all().any(|at| RAN.contains(&text(at)));
    short && !ran && all().any(|at| DEEDS.contains(&text(at)) && !noun(at))
}

/// "Cut at 3.2", "mowing at 12": a height, where no unit says that it is a time.
fn cut_at(spoken: &Spoken) -> bool {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let [only] = &spoken.quantities[..] else { return false };
    let first = only.first;
    let at = first > 1 && text(first - 1) == "at"
        && matches!(text(first - 2), "cut" | "mown" | "mowing" | "cutting" | "mows" | "cuts");
    at && only.unit.is_none_or(|unit| matches!(unit, "mm" | "in"))
}

/// "Two fittings", and no "fitting a new belt".
pub(super) fn names_fitting(spoken: &Spoken, cue: &Cue) -> bool {
    let at = cue.last();
    let said = matches!(spoken.word(at), "fitting" | "fittings");
    said && !matches!(spoken.word(at + 1), "a" | "the" | "new" | "in" | "it" | "them" | "up" | "on")
}

/// "Walker 1 reads 0.130 both sides", "checked the heights, 3.5 on the nose": a height that was read,
/// where nothing was set to it.
fn only_reads_heights(spoken: &Spoken, kind: RecordKind) -> bool {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let length = |quantity: &Quantity| matches!(quantity.unit, None | Some("mm" | "in" | "thou"));
    let height = |index: usize| {
        let quantity = &spoken.quantities[index];
        let pointed = quantity.leading_point || quantity.value.fract() != 0.0;
        let fine = pointed || quantity.unit.is_some();
        let settled = settle(spoken, index, "height_mm");
        fine && length(quantity) && settled.is_some_and(|one| is_likely("height_mm", one.value))
    };
    let any = (0..spoken.quantities.len()).any(height);
    let set = said(&[
        "set", "reset", "adjusted", "raised", "lowered", "dropped", "moved", "gap", "groomer", "brush",
        "verticut", "diameter", "play", "clip", "turn", "turns", "tyre", "tyres", "pressure", "psi",
        "bar", "depth",
    ]);
    let of_reading = said(&["reads", "reading", "read"]);
    let of_height = said(&["hoc", "heights"]) || (said(&["height"]) && said(&["checked", "check"]));
    match kind {
        RecordKind::Adjustment => any && !set && of_reading,
        RecordKind::Inspection => any && !set && (of_reading || of_height),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn a_part_that_came_off_to_be_cleaned_is_care() {
        for (words, wanted) in [
            ("took the rear brush off and cleaned it its ok now", true),
            ("took the roller off the gang and greased it", true),
            ("pulled the reel out and ground it", false),
            ("took 2 mm off and cleaned up", false),
            ("took 2 mm off the bedknife and cleaned it", false),
            ("took the scraper off and cleaned it and set it 2 mm off the roller", false),
            ("took the belt off walker 1, tightened and cleaned it", false),
            ("took the grass box off and washed it, found a crack", false),
            ("took the brush off and cleaned it, the cable is frayed", false),
            ("took the brush off and cleaned it, put it back", true),
            ("took the brush off as it squealed", false),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            assert_eq!(takes_off_and_cleans(&spoken), wanted, "{words}");
        }
    }

    #[test]
    fn work_beside_the_care_is_that_work() {
        for (words, wanted) in [
            ("cleaned the roller", true),
            ("cleaned and set the reel to bedknife", false),
            ("cleaned and tightened the belt", false),
            ("washed it, raised the height a bit", false),
            ("greased and adjusted", false),
            ("oiled the chain on walker 1 and tightened it", false),
            ("greased the pivots, set the down pressure", false),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            assert_eq!(only_cleans(&spoken, RecordKind::Adjustment), wanted, "{words}");
        }
    }
}
