//! Is one unit held against another, and not one end against the other? "Digs in on the left unit and
//! hardly marks on the right", "the left unit, not the left end": what is told of ends is then of
//! units.
//! Deliberately absent: which unit of the machine that is (`intent`).

use super::language::hearing::Heard;
use super::wording::plain_words;

/// Findings of one end against the other.
const OF_ENDS: &[&str] = &[
    "uncut_at_one_end", "slope_across_unit", "groove_uneven", "brush_works_one_end",
    "heights_differ_by_end", "groomer_depth_differs_by_end", "verticut_depth_differs_by_end",
    "brush_differs_by_end",
];
/// Findings of one unit against the others.
pub const ONE_UNIT: &str = "one_unit_only";
const ALL_UNITS: &str = "all_units";
const SIDES: &[&str] = &["left", "right", "lh", "rh", "middle", "centre", "center", "outer", "inner", "front", "rear"];
const MIDDLE: &[&str] = &["middle", "centre", "center"];
const UNITS: &[&str] = &["unit", "units", "head", "heads"];
/// "The left one" of a set that marks grooves is a unit; of a machine that is walked behind it is an end.
const ONES: &[&str] = &["one", "ones"];
const WALKED: &[&str] = &["walker", "walkers", "pedestrian"];
/// A groove that is one of these says which way it is off.
const GROOVES: &[&str] = &["groove_too_shallow", "groove_too_deep"];
const UNEVEN: &str = "groove_uneven";
const SHALLOW: &[&str] =
    &["hardly", "barely", "scarcely", "not", "shallow", "shallower", "faint", "nothing", "less", "higher"];
/// Parts that have a side within one unit.
const WITHIN: &[&str] = &["end", "ends", "side", "sides", "edge", "edges", "half", "bearing", "roller", "adjuster"];
/// So far before an end a negator denies it.
const REACH: usize = 4;

/// Whether the sides that are named are sides of the machine, with a unit on each; and whether an
/// end is denied in so many words.
fn units_compared(words: &str, grooves: bool) -> Option<bool> {
    let said = plain_words(words);
    let word = |at: usize| said.get(at).map_or("", String::as_str);
    let is = |list: &[&str], at: usize| list.contains(&word(at));
    // "Left hand unit".
    let behind = |at: usize| if word(at + 1) == "hand" { at + 2 } else { at + 1 };
    let sided = |list: &[&str]| (0..said.len()).find(|at| is(SIDES, *at) && is(list, behind(*at)));
    let one = || {
        let walked = (0..said.len()).any(|at| is(WALKED, at));
        sided(ONES).filter(|_| grooves && !walked && sided(WITHIN).is_none())
    };
    let unit = sided(UNITS).or_else(one)?;
    let denied = |at: usize| {
        let before = at.saturating_sub(REACH)..at;
        before.into_iter().any(|at| is(&["not", "isnt", "rather", "instead", "never"], at))
    };
    let (no, ends): (Vec<usize>, Vec<usize>) =
        (0..said.len()).filter(|at| is(&["end", "ends"], *at)).partition(|at| denied(*at));
    // "The left unit is low on its right side": within that unit.
    let within = (unit + 1..said.len())
        .any(|at| is(SIDES, at) && is(WITHIN, behind(at)) && !denied(behind(at)));
    // "The left unit slopes across" holds it against no other; "the centre unit digs on the left" and "the
    // right unit digs on the left and not on the right" tell of ends.
    let others: Vec<usize> =
        (0..said.len()).filter(|at| is(SIDES, *at) && at.abs_diff(unit) > 1).collect();
    let of_unit = |at: usize| is(UNITS, behind(at)) || is(ONES, behind(at));
    let against = match others[..] {
        [other] => word(other) != word(unit) && (!is(MIDDLE, unit) || of_unit(other)),
        _ => false,
    };
    let against = against || !no.is_empty() || (grooves && (0..unit).any(|at| is(&["side"], at)));
    let slopes = (0..said.len()).any(|at| is(&["slope", "slopes", "sloping", "tapers"], at));
    (against && ends.is_empty() && !within && !slopes).then_some(!no.is_empty())
}

/// Whether a complaint holds one unit against another.
pub fn names_units(complaint: &str) -> bool {
    units_compared(complaint, true).is_some()
}

/// Whether a finding is of one end against the other.
pub fn is_of_ends(finding: &str) -> bool {
    OF_ENDS.contains(&finding)
}

/// What was heard of the ends of one unit is of two units where these are named.
pub fn put_right(words: &str, heard: &mut Vec<Heard>) {
    let uneven = heard.iter().any(|one| one.present && one.finding == UNEVEN);
    let Some(denied) = units_compared(words, uneven) else { return };
    let of_ends = |one: &Heard| one.present && OF_ENDS.contains(&one.finding.as_str());
    let Some(first) = heard.iter().find(|one| of_ends(one)).cloned() else { return };
    match denied {
        true => heard.iter_mut().filter(|one| of_ends(one)).for_each(|one| one.present = false),
        false => heard.retain(|one| !of_ends(one)),
    }
    if uneven && !heard.iter().any(|one| GROOVES.contains(&one.finding.as_str())) {
        let shallow = plain_words(words).iter().any(|word| SHALLOW.contains(&word.as_str()));
        let finding = GROOVES[usize::from(!shallow)].to_owned();
        heard.push(Heard { finding, ..first.clone() });
    }
    if !heard.iter().any(|one| one.finding == ONE_UNIT) {
        heard.retain(|one| one.finding != ALL_UNITS);
        heard.push(Heard { finding: ONE_UNIT.to_owned(), present: true, ..first });
    }
    heard.sort_by(|one, other| one.finding.cmp(&other.finding));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_with_a_unit_on_it_is_no_end() {
        for (words, wanted) in [
            ("digs in on the left unit and hardly marks on the right", Some(false)),
            ("only marking one side. its the left unit not the left end", Some(true)),
            ("right hand unit brushes, the left one does nothing", Some(false)),
            ("the left unit leaves a slope across its cut", None),
            ("the left unit slopes, deeper on the right", None),
            ("the centre unit digs on the left and hardly marks", None),
            ("the centre unit digs, the left unit hardly marks", Some(false)),
            ("the right unit digs on the left and not on the right", None),
            ("the left unit is low on its right side", None),
            ("left unit cuts lower at one end", None),
            ("deeper on the left than on the right", None),
            ("unit 2 is low at the left end", None),
        ] {
            assert_eq!(units_compared(words, false), wanted, "{words}");
        }
        let one = "only marking one side, left one hardly touching";
        assert_eq!(units_compared(one, true), Some(false), "{one}");
        assert_eq!(units_compared(one, false), None, "{one}");
        assert_eq!(units_compared("the walker marks on one side, the left one", true), None);
    }
}
