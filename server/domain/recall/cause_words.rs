//! Which causes do people name in their own words: "set too tight", "hard on the knife", "nicks"?
//! Of each row every group has to be said, in any of its ways, and none of the words that make it
//! another thing. Words of the trade, common practice, no source.
//! Deliberately absent: signs, which are heard as findings, and the words of the records.

use crate::domain::language::text::stem;

/// Causes, the groups of words that name them, and words beside which they do not.
type Words = &'static [&'static str];
pub type Row = (Words, &'static [Words], Words);

const TIGHT: &[&str] =
    &["tight", "tightly", "overtight", "hard", "heavy", "heavily", "close", "fierce"];
const WIDE: &[&str] = &["wide", "open", "loose", "slack", "wider", "clear"];
const REEL: &[&str] =
    &["reel", "cylinder", "knife", "bedknife", "gap", "clearance", "set", "setting", "sole", "bottom"];
const WORN: &[&str] =
    &["worn", "gone", "rough", "shot", "failed", "failure", "fault", "noisy", "collapsed", "knackered"];
const NICKS: &[&str] =
    &["nick", "nicks", "nicked", "ding", "dings", "dinged", "dent", "dents", "chip", "chipped",
      "gouge", "notch", "notched"];
const BUILT_UP: &[&str] =
    &["built", "build", "buildup", "caked", "packed", "clogged", "blocked", "plastered", "mud"];
const BENT: &[&str] = &["bent", "broken", "damaged", "missing", "buckled"];
const UNEVEN: &[&str] =
    &["uneven", "deeper", "heavier", "level", "unlevel", "end", "side", "lopsided", "tilted"];
const NOT_A_REEL: &[&str] =
    &["brush", "turn", "turning", "corner", "bearing", "bearings", "belt", "groomer", "verticut",
      "bolt", "nut", "chain", "ground", "roller", "tyre", "tyres", "deck", "spindle", "hose",
      "surface", "greased"];

/// Public for the test that holds them against the catalogue.
pub const ROWS: &[Row] = &[
    (&["gap_too_tight"], &[TIGHT, REEL], NOT_A_REEL),
    (&["gap_open_one_end", "gap_open_overall"], &[WIDE, REEL],
        &["brush", "belt", "groomer", "verticut", "bolt", "screw", "screws", "bearing", "bedbar"]),
    (&["bedknife_loose"], &[&["loose", "slack"], &["screw", "screws", "bedbar", "fixing"]], &[]),
    (&["edge_damage"], &[NICKS], &["groomer", "rotary", "tyre", "roller"]),
    (&["edges_dull", "rotary_blade_dull"], &[&["dull", "blunt", "bluntness"]], &[]),
    (&["reel_bearing_worn"], &[&["bearing", "bearings"], WORN],
        &["spindle", "groomer", "verticut", "roller"]),
    (&["spindle_bearing_worn"], &[&["spindle", "spindles"], WORN], &[]),
    (&["reel_tapered"], &[&["cone", "coned", "taper", "tapered"]], &[]),
    (&["hydraulic_leak"], &[&["leak", "leaks", "leaked", "leaking", "weep", "weeping", "drip"]], &[]),
    (&["tyre_pressure_wrong"],
        &[&["tyre", "tyres", "tire", "tires"], &["pressure", "soft", "flat", "low", "down", "unequal"]],
        &[]),
    (&["units_not_matched"], &[&["step", "steps", "mismatch", "mismatched", "unmatched"]], &[]),
    (&["height_clamp_not_holding"],
        &[&["clamp", "clamps", "adjuster", "height"],
          &["slip", "slipped", "slipping", "hold", "holding", "drift", "drifted", "wander"]],
        &[]),
    (&["roller_build_up"], &[&["roller", "rollers"], BUILT_UP], &["deck"]),
    (&["rollers_not_parallel"], &[&["roller", "rollers"], &["parallel", "square"]], &[]),
    (&["sand_in_cut"], &[&["sand", "sanded", "topdressing", "topdressed"]], &[]),
    (&["groomer_uneven"], &[&["groomer", "groomers"], UNEVEN], &[]),
    (&["groomer_blades_damaged"], &[&["groomer", "groomers"], BENT], &[]),
    (&["brush_set_clear"], &[&["brush", "brushes"], &["clear", "touching", "reach", "reaching"]], &[]),
    (&["brush_set_hard"], &[&["brush", "brushes"], TIGHT], &[]),
    (&["brush_worn_out"], &[&["brush", "brushes"], &["worn"]], &[]),
    (&["verticut_uneven"], &[&["verticut", "verticuts"], UNEVEN], &[]),
    (&["rotary_blade_bent"], &[&["bent", "buckled"], &["blade", "blades"]],
        &["groomer", "verticut", "reel"]),
    (&["deck_build_up"], &[&["deck", "decks"], BUILT_UP], &[]),
    (&["deck_out_of_level"], &[&["deck", "decks"], UNEVEN], &[]),
    (&["blade_speed_low"], &[&["belt", "belts"], &["slip", "slipping", "slack", "glazed", "loose"]],
        &[]),
];

/// The causes that these words name, without the little words that say nothing.
pub fn causes_named(words: &str) -> Vec<&'static str> {
    let lower = words.to_lowercase();
    let said: Vec<String> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(stem)
        .collect();
    let says = |group: &&[&str]| group.iter().any(|word| said.contains(&stem(word)));
    // "Squealing from being tight" names the reel by nothing: only such a word stands there.
    let alone = |groups: &[&[&str]]| said.len() == 1 && groups[0] == TIGHT && says(&groups[0]);
    let named = |(_, groups, not): &&Row| {
        (groups.iter().all(|group| says(group)) || alone(groups)) && !says(not)
    };
    ROWS.iter().filter(named).flat_map(|(causes, ..)| causes.iter().copied()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cause_is_named_in_words_of_people() {
        for (words, wanted) in [
            ("set tight", vec!["gap_too_tight"]),
            ("hard knife", vec!["gap_too_tight"]),
            ("tight", vec!["gap_too_tight"]),
            ("nicks", vec!["edge_damage"]),
            ("brush hard", vec!["brush_set_hard"]),
            ("bearings worn", vec!["reel_bearing_worn"]),
            ("weeping hose", vec!["hydraulic_leak"]),
            ("turn tight", vec![]),
            ("bedknife", vec![]),
        ] {
            let found = causes_named(words);
            assert!(wanted.iter().all(|one| found.contains(one)), "{words}: {found:?}");
            assert!(!wanted.is_empty() || found.is_empty(), "{words}: {found:?}");
        }
    }
}
