//! Is it a mower that somebody walks behind? It mows on its rollers or its drum, so no tyre decides
//! how it cuts. Deliberately absent: machines of the shop by their names.

use super::language::hearing::Heard;

/// What such a mower is called.
const CALLED: &[&str] = &[
    "walker", "walkers", "walk behind", "walk-behind", "walkbehind", "pedestrian mower", "hand mower",
    "push mower",
];
/// That its tyres differ.
const TYRES: &str = "tyre_pressure_unequal";
/// How sure it is that they do not (judgement): some carry it to the green and stay on.
const SURE: f64 = 0.97;

/// Where the words name one, in bytes.
fn named(words: &str) -> Option<(usize, usize)> {
    let lower = words.to_ascii_lowercase();
    let edge = |at: Option<char>| at.is_none_or(|ch| !ch.is_alphanumeric());
    let place = |called: &&str| {
        let places = lower.match_indices(*called).map(|(start, _)| (start, start + called.len()));
        places.into_iter().find(|(start, end)| {
            edge(lower[..*start].chars().next_back()) && edge(lower[*end..].chars().next())
        })
    };
    CALLED.iter().find_map(place)
}

/// The tyres of a mower that is walked behind do not differ, where nobody spoke of them.
pub fn without_tyres(words: &str, heard: &mut Vec<Heard>) {
    let Some((start, end)) = named(words) else { return };
    if heard.is_empty() || heard.iter().any(|one| one.finding == TYRES) {
        return;
    }
    heard.push(Heard {
        finding: TYRES.to_owned(),
        present: false,
        confidence: SURE,
        start,
        end,
        implied: true,
    });
    heard.sort_by(|one, other| one.finding.cmp(&other.finding));
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
            assert_eq!(named(words).is_some(), wanted, "{words}");
        }
    }
}
