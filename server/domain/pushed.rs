//! Is it a mower that somebody walks behind? It mows on its rollers or its drum, so no tyre decides
//! how it cuts. Deliberately absent: machines of the shop by their names.

use super::wording::plain;

/// What such a mower is called.
const CALLED: &[&str] = &[
    "walker", "walkers", "walk behind", "walk-behind", "walkbehind", "pedestrian mower", "hand mower",
    "push mower", "walk mower", "walk mowers", "walking mower", "walking mowers", "walk greens mower",
];
/// That its tyres differ.
pub const TYRES: &str = "tyre_pressure_unequal";
/// How sure it is that they do not (our own judgement, no source): on some they stay on while it
/// mows.
pub const HAS_NONE: f64 = 0.97;
/// Whether the words name one.
pub fn is_pushed(words: &str) -> bool {
    let said = plain(words);
    let edge = |at: Option<char>| at.is_none_or(|ch| !ch.is_alphanumeric());
    CALLED.iter().any(|called| {
        said.match_indices(called).any(|(start, _)| {
            let (before, behind) = (&said[..start], &said[start + called.len()..]);
            edge(before.chars().next_back()) && edge(behind.chars().next())
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mower_that_is_walked_behind_is_known_by_its_name() {
        for (words, wanted) in [
            ("walker 2's cutting one side lower", true),
            ("the walk-behind leaves a line", true),
            ("triplex leaves a line", false),
            ("the sidewalker trail", false),
        ] {
            assert_eq!(is_pushed(words), wanted, "{words}");
        }
    }
}
