//! How many grinds are left in a reel ("124.4 now, scrap 118, 0.2 each"), and is a difference of
//! height too much ("3.53/3.49, is 0.04 too much", "how far apart should they be at most")?
//! How far does the bedknife follow a reel that was ground ("0.4 off the diameter")?
//! Sums of one step that say all their numbers. Deliberately absent: wear by the records.

use crate::domain::intent::lengths::{CUT_MM, in_mm};
use crate::domain::language::text::{Token, says, text_at, tokens};
use crate::domain::said::numbers::{Quantity, quantities};
use crate::domain::units::{convert, figures, plain};

const YEARS: &[&str] = &["year", "years", "yr", "yrs", "season", "seasons", "annually", "winter", "winters"];
/// More words than these tell more than a sum.
const WORDS_MAX: usize = 32;
/// A reel is scrap before it has lost more of its diameter (common practice, no source).
const LOST_MAX: f64 = 0.3;
/// Diameters from this on are in mm where no unit is said, smaller ones in inches (no source).
const IN_MM: f64 = 20.0;
/// Ends that differ by more were not read for this, mm (no source).
const APART_MAX_MM: f64 = 3.0;
/// Kept on greens, and where a step begins to show there, mm (note "What tolerance is kept between
/// units of one machine, and why"; common practice).
const KEPT_MM: f64 = 0.1;
const SHOWS_MM: f64 = 0.25;
/// Greens are cut no higher, mm (common practice, no source).
const GREENS_MM: f64 = 6.0;
/// Rounding of a difference that was worked out, mm.
const NEAR_MM: f64 = 1e-6;
const OF_NOTE: &str = "common practice; note \"What tolerance is kept between units of one machine, \
                       and why\"";

/// The sum that these words ask for.
pub(super) fn worked_out(words: &str) -> Option<String> {
    let sum = grinds_left(words).or_else(|| seasons_left(words));
    let sum = sum.or_else(|| steel_left(words)).or_else(|| difference(words));
    sum.or_else(|| apart_at_most(words)).or_else(|| bedknife_follows(words))
}

/// "Reel is 124.4, scrap is 118 and I take 0.2 off each grind, how many grinds left".
fn grinds_left(words: &str) -> Option<String> {
    let all = tokens(words);
    let grinds = says(&all, &["grind", "grinds", "grinding", "grindings", "regrinds", "regrind"]);
    let asks = says(&all, &["many", "left", "more", "remaining"]);
    let scrap = says(&all, &[
        "scrap", "scrapped", "minimum", "min", "limit", "smallest", "bin", "binned", "done", "end", "least",
        "to",
    ]);
    let hours = says(&all, &["hours", "hrs", "h", "hour"]);
    if !(grinds && asks && scrap) || hours || all.len() > WORDS_MAX {
        return None;
    }
    let said = said_of_size(&all);
    let whole = |one: &Quantity| one.value.fract() == 0.0 && one.value < IN_MM;
    let name = |one: &&Quantity| one.unit.is_none() && whole(one);
    // "New was 126" is not asked for.
    let new = |one: &&Quantity| is_new(&all, one);
    let lengths: Vec<&Quantity> =
        said.iter().filter(may_be_a_length).filter(|one| !name(one) && !new(one)).collect();
    let [_, _, _] = lengths[..] else { return None };
    let (unit, mm) = by_size(&lengths);
    let [each, scrap, now] = mm[..] else { return None };
    let left = now - scrap;
    let likely = each > 0.0 && left > 0.0 && left < now * LOST_MAX && each < left;
    if !likely {
        return None;
    }
    let whole = (left / each + 1e-6).floor();
    let shown = |mm: f64| shown(mm, unit);
    // "We grind 3 a year": how many years that is.
    let of_a_year = said.iter().find(|one| name(one) && a_year_behind(&all, one));
    let seasons = match (says(&all, YEARS), of_a_year) {
        (false, _) => String::new(),
        (true, Some(one)) => format!("{} seasons at {} a season: ", (whole / one.value).floor(), plain(one.value)),
        (true, None) => return None,
    };
    Some(format!(
        "{seasons}{whole} grinds: from {} to {} is {}, at {} each. The manual's smallest diameter wins, and one deep \
         nick takes the steel of several.",
        shown(now),
        shown(scrap),
        shown(left),
        shown(each)
    ))
}

/// "Worn to 4.905, we lose 28 thou a year, scraps at 4.49, how many seasons": what is left, by what
/// a year takes.
fn seasons_left(words: &str) -> Option<String> {
    const ENDS: &[&str] = &[
        "scrap", "scraps", "scrapped", "minimum", "min", "limit", "smallest", "bin", "until", "till", "to", "least", "end",
        "done", "before", "finished",
    ];
    let all = tokens(words);
    let asks = says(&all, &["how", "sum", "work", "many", "reckon", "when", "whats", "what"]);
    if !(asks && says(&all, YEARS) && says(&all, ENDS)) || all.len() > WORDS_MAX {
        return None;
    }
    let said = said_of_size(&all);
    let rate = said.iter().find(|one| a_year_behind(&all, one))?;
    let (new, rest): (Vec<&Quantity>, Vec<&Quantity>) =
        said.iter().filter(|one| one.first != rate.first).partition(|one| is_new(&all, one));
    // With a number of something else it is another sum.
    if new.len() > 1 || !rest.iter().all(may_be_a_length) {
        return None;
    }
    let lengths = rest;
    let (unit, mm) = by_size(&lengths);
    // The largest of three is the reel when new.
    let (scrap, now) = match mm[..] {
        [scrap, now] => (scrap, now),
        [scrap, now, _] if new.is_empty() => (scrap, now),
        _ => return None,
    };
    let each = convert(rate.value, rate.unit.unwrap_or(unit), "mm")?;
    let left = now - scrap;
    if !(each > 0.0 && each < left && left < now * LOST_MAX) {
        return None;
    }
    let count = left / each;
    let shown = |mm: f64| shown(mm, unit);
    Some(format!(
        "{} seasons: from {} to {} is {}, and at {} a season that is {}. {}",
        (count + 1e-6).floor(),
        shown(now),
        shown(scrap),
        shown(left),
        shown(each),
        figures(count, 3),
        match says(&all, &["thick", "thickness", "blade", "brush", "tine", "belt", "knife"]) {
            true => "The manual's limit wins.",
            false => {
                "The manual's smallest diameter wins, and one deep nick takes the steel of several."
            }
        },
    ))
}

/// The numbers; "114 min" beside diameters is the least, and no minutes.
fn said_of_size(all: &[Token]) -> Vec<Quantity> {
    let mut said = quantities(all);
    for one in said.iter_mut().filter(|one| one.unit == Some("min")) {
        one.unit = None;
    }
    said
}

/// What stands right before "a year", "every season".
fn a_year_behind(all: &[Token], one: &Quantity) -> bool {
    const LOSES: &[&str] =
        &["lose", "loses", "losing", "wear", "wears", "take", "takes", "comes", "goes", "drop", "drops", "at", "each", "every", "per", "a"];
    let behind = one.last + 1;
    LOSES.contains(&text_at(all, behind)) && YEARS.contains(&text_at(all, behind + 1))
}

/// Whether it has a unit of length, or none.
fn may_be_a_length(one: &&Quantity) -> bool {
    one.unit.is_none_or(|unit| convert(1.0, unit, "mm").is_some())
}

/// The lengths in mm, the smallest first, and the unit of the largest; those without one are
/// in that.
fn by_size(lengths: &[&Quantity]) -> (&'static str, Vec<f64>) {
    let largest = lengths.iter().map(|one| one.value).fold(0.0, f64::max);
    let unit = lengths.iter().find(|one| one.value == largest).and_then(|one| one.unit);
    let unit = unit.unwrap_or(if largest >= IN_MM { "mm" } else { "in" });
    let mm = lengths.iter().filter_map(|one| convert(one.value, one.unit.unwrap_or(unit), "mm"));
    let mut mm: Vec<f64> = mm.collect();
    mm.sort_by(f64::total_cmp);
    (unit, mm)
}

/// Millimetres in the unit that was said.
fn shown(mm: f64, unit: &str) -> String {
    match unit {
        "in" => format!("{} in", figures(convert(mm, "mm", "in").unwrap_or(mm), 4)),
        _ => format!("{} mm", figures(mm, 4)),
    }
}

/// Whether a diameter is that of the new reel: "new was 126", "126 when new".
fn is_new(all: &[Token], one: &Quantity) -> bool {
    const NEAR: usize = 4;
    let segment = all[one.first].segment;
    let said = |at: usize| all[at].text == "new" && all[at].segment == segment;
    (one.first.saturating_sub(NEAR)..one.first).any(said)
        || (one.last + 1..(one.last + 1 + NEAR).min(all.len())).any(said)
}

/// "Reel's 124.3 now, new it's 127, scrap's 114, how much have I got left": of what may be worn off.
fn steel_left(words: &str) -> Option<String> {
    let all = tokens(words);
    let scrap = says(&all, &["scrap", "scrapped", "minimum", "min", "smallest", "least"]);
    let asks = says(&all, &["how", "what", "much"]) && says(&all, &["left", "worn", "remaining", "used", "gone"]);
    let hours = says(&all, &["hours", "hrs", "h", "hour"]);
    let said = said_of_size(&all);
    let [_, _, _] = said[..] else { return None };
    if !(scrap && asks && says(&all, &["new"])) || hours || all.len() > WORDS_MAX {
        return None;
    }
    let unit = said.iter().find_map(|one| one.unit);
    let unit = unit.unwrap_or(if said.iter().all(|one| one.value >= IN_MM) { "mm" } else { "in" });
    let mut mm: Vec<f64> =
        said.iter().filter_map(|one| convert(one.value, one.unit.unwrap_or(unit), "mm")).collect();
    mm.sort_by(f64::total_cmp);
    let [scrap, now, new] = mm[..] else { return None };
    if scrap <= 0.0 || now <= scrap || new <= now || new - scrap > new * LOST_MAX {
        return None;
    }
    let shown = |mm: f64| match unit {
        "in" => format!("{} in", figures(convert(mm, "mm", "in").unwrap_or(mm), 4)),
        _ => format!("{} mm", figures(mm, 4)),
    };
    Some(format!(
        "{} of {} are left: {:.0} in 100 of it is gone. How many hours that is takes a second diameter with \
         its hours; how many grinds, what one grind takes. The manual's smallest diameter wins.",
        shown(now - scrap),
        shown(new - scrap),
        100.0 * (new - now) / (new - scrap),
    ))
}

/// "Took 0.4 off the reel diameter, how far does the bottom blade have to come up": half of it.
fn bedknife_follows(words: &str) -> Option<String> {
    let all = tokens(words);
    let ground = says(&all, &["diameter", "dia"]) && says(&all, &["off", "down", "less", "smaller", "lost"]);
    let follows = says(&all, &["bedknife", "knife"]) || words.to_lowercase().contains("bottom blade");
    let asks = says(&all, &["how", "what"]) && says(&all, &["far", "much", "move", "moves", "come", "comes", "go"]);
    if !(ground && follows && asks) || all.len() > WORDS_MAX {
        return None;
    }
    let [off] = &quantities(&all)[..] else { return None };
    let unit = off.unit.map_or("mm", |unit| if unit == "mil" { "mm" } else { unit });
    let off_mm = convert(off.value, unit, "mm").filter(|mm| (0.0..APART_MAX_MM).contains(mm))?;
    let half_mm = off_mm / 2.0;
    Some(format!(
        "{} mm ({} thou): half of the {} mm off the diameter, since each blade stands that much nearer to \
         the middle of the reel. Then set it to paper at both ends; grinding may have left a taper.",
        figures(half_mm, 4),
        figures(convert(half_mm, "mm", "thou")?, 3),
        plain(off_mm)
    ))
}

/// "3.53 left and 3.49 right, is 0.04 too much": held against the tolerance that is kept.
fn difference(words: &str) -> Option<String> {
    let all = tokens(words);
    let judged = says(&all, &["much", "ok", "okay", "alright", "fine", "allowed", "good", "acceptable", "bad"])
        && (says(&all, &["too", "is", "thats", "that"]) || words.trim_end().ends_with('?'));
    let much = words.to_lowercase().contains("too much");
    let asks = words.trim_end().ends_with('?') || says(&all, &["is", "thats", "are"]);
    let other = says(&all, &[
        "taper", "cone", "gap", "feeler", "turns", "diameter", "dia", "reel", "grind", "ground", "rotary",
        "tip", "tips", "blade", "clip", "overlap", "verticut", "groomer", "brush",
    ]);
    let ends = says(&all, &["left", "right", "end", "ends", "sides", "side", "/", "between", "apart", "different"]);
    if !(judged && asks && ends) || other || all.len() > WORDS_MAX {
        return None;
    }
    let said = quantities(&all);
    let mm = |one: &Quantity| {
        let whole = one.unit.is_none() && one.value.fract() == 0.0;
        in_mm(one).filter(|_| !whole)
    };
    let lengths: Vec<f64> = said.iter().filter_map(mm).collect();
    let heights: Vec<f64> = lengths.iter().copied().filter(|mm| CUT_MM.contains(mm)).collect();
    let small: Vec<f64> = lengths.iter().copied().filter(|mm| *mm < *CUT_MM.start()).collect();
    let (apart, height, higher) = match (&heights[..], &small[..]) {
        ([one, two], rest) if rest.len() <= 1 && (one - two).abs() < APART_MAX_MM => {
            // The difference that is said may be a slip of the sum.
            (((one - two).abs() * 1e4).round() / 1e4, Some(one.max(*two)), one > two)
        }
        ([], [only]) if much => (*only, None, false),
        _ => return None,
    };
    let sides: Vec<&str> = all
        .iter()
        .map(|token| token.text.as_str())
        .filter(|word| matches!(*word, "left" | "right"))
        .collect();
    let low = match (height, &sides[..]) {
        (Some(_), [first, second]) if apart > NEAR_MM => {
            format!(" The {} end is the lower.", if higher { second } else { first })
        }
        _ => String::new(),
    };
    let judged = match apart {
        apart if apart <= KEPT_MM + NEAR_MM => "within the 0.1 mm that is kept on greens: leave it",
        apart if height.is_some_and(|height| height > GREENS_MM) && apart < 2.0 * SHOWS_MM => {
            "less than the 0.5 mm or so where a step begins to show on fairways; set it at the next chance"
        }
        apart if apart < SHOWS_MM => {
            "over the 0.1 mm that is kept on greens, though a step only begins to show at about 0.25 mm: \
             set it right"
        }
        _ => "too much: from about 0.25 mm a step begins to show on greens, on fairways from twice that",
    };
    Some(format!("{} mm is {judged} ({OF_NOTE}).{low}", plain(apart)))
}

/// "How far apart should they be at most": of units and ends.
fn apart_at_most(words: &str) -> Option<String> {
    let all = tokens(words);
    let how_far = all.windows(2).any(|pair| {
        pair[0].text == "how" && matches!(pair[1].text.as_str(), "far" | "much" | "close" | "near")
    });
    let apart = says(&all, &["apart", "differ", "different", "together"]);
    let rule = says(&all, &["should", "may", "can", "most", "max", "maximum", "allowed", "least", "must"]);
    let things = says(&all, &["they", "units", "heights", "ends", "reels", "cylinders", "neighbours", "unit"]);
    let other = says(&all, &["we", "people", "stands", "hours", "days", "weeks", "blades", "grinds", "tyres"]);
    if !(how_far && apart && rule && things) || other || all.len() > WORDS_MAX / 2
        || !quantities(&all).is_empty()
    {
        return None;
    }
    Some(format!(
        "Units of one machine, and the two ends of each: within {} mm on greens. From about {} mm a step begins \
         to show; on fairways twice that ({OF_NOTE}).",
        plain(KEPT_MM),
        plain(SHOWS_MM)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn starts(words: &str, wanted: &str) {
        let got = worked_out(words).unwrap_or_default();
        assert!(got.starts_with(wanted), "{words}: {got}");
    }

    #[test]
    fn grinds_are_whole() {
        starts("if reel is 124.4 and scrap is 118 and i take 0.2 off each grind how many grinds left", "32 grinds");
        starts("grinds left: 124.4, scrap 118, 0.2 each", "32 grinds");
        starts("how many grinds left if 124.4 now and 118 is scrap at 0.2 each", "32 grinds");
        starts("5.02 in now, minimum 4.75, we take .010 a grind, how many more", "27 grinds");
        starts("we grind 3 a year, take 0.2 each, reel at 124, scrap at 114, how many seasons left",
            "16 seasons at 3 a season: 50 grinds");
        starts("reel now 124, new was 128, 114 min, lose 0.7 a season, how many seasons", "14 seasons");
        starts("brush was 100 new, 80 min, loses 5 a season, how many seasons, at 92 now", "2 seasons");
        assert_eq!(worked_out("reel 124, scrap 114, lose 0.7 a season, 20 acres, how many seasons"), None);
        starts("how many more grinds from 172 to 165 at 0.5 a go", "14 grinds");
        assert_eq!(worked_out("ground walker 1 from 124.4 to 124.2"), None);
        assert_eq!(worked_out("how many grinds left on walker 2"), None);
    }

    #[test]
    fn seasons_are_what_is_left_by_what_a_year_takes() {
        for words in [
            "5 inch reel worn to 4.905 and we lose about 28 thou a year, scraps at 4.49, how many seasons",
            "no its a sum, 4.905 down to 4.49 at .028 a year",
            "reel mikes 4.905, minimum 4.490, wears .028 per season, how many years left",
        ] {
            starts(words, "14 seasons: from 4.905 in to 4.49 in is 0.415 in, and at 0.028 in a season that is 14.8");
        }
        starts("124.3 now, scrap 114, 0.7 a season, how many seasons is that", "14 seasons");
        assert_eq!(worked_out("how many seasons until 4.49 on the tees"), None);
        assert_eq!(worked_out("ground it from 124.4 to 124.2 this year"), None);
    }

    /// Half of the diameter is the radius (geometry).
    #[test]
    fn the_bedknife_follows_by_half() {
        starts("I took 0.4 mil off the reel diameter, how far does bottom blade have to come up", "0.2 mm (7.87");
        starts("diameter down 0.010 in, how much does the bedknife move", "0.127 mm (5 thou)");
        assert_eq!(worked_out("took 0.4 off the reel and set the bedknife"), None);
    }

    #[test]
    fn a_difference_is_held_against_what_is_kept() {
        starts("3.53/3.49, is 0.04 too much", "0.04 mm is within the 0.1 mm");
        starts("unit 3 reads 3.53 left and 3.49 right, is 0.04 over the 560 wide too much", "0.04 mm is within");
        starts("its 0.04 different end to end, is that too much", "0.04 mm is within");
        starts("9.5 left 9.75 right, is that ok?", "0.25 mm is less than");
        starts("3.5 left 3.9 right is that alright", "0.4 mm is too much");
        assert_eq!(worked_out("3.53 left and 3.49 right on unit 3"), None);
        assert_eq!(worked_out("gap 0.05 left 0.12 right is that ok"), None);
        starts("how far apart should they be at most", "Units of one machine");
        starts("how much may the units differ", "Units of one machine");
    }
}
