//! Is it a mower that somebody walks behind? It mows on its rollers or its drum, so no tyre decides
//! how it cuts. Deliberately absent: machines of the shop by their names.

use super::language::hearing::Heard;
use super::wording::plain;

/// What such a mower is called.
const CALLED: &[&str] = &[
    "walker", "walkers", "walk behind", "walk-behind", "walkbehind", "pedestrian mower", "hand mower",
    "push mower",
];
/// That its tyres differ.
const TYRES: &str = "tyre_pressure_unequal";
/// How sure it is that they do not (judgement): some carry it to the green and stay on.
const SURE: f64 = 0.97;

/// Whether the words name one.
pub fn is_pushed(words: &str) -> bool {
    let said = format!(" {} ", plain(words));
    CALLED.iter().any(|called| said.contains(&format!(" {called} ")))
}

/// Its tyres do not differ, where nobody spoke of them.
pub fn without_tyres(heard: &mut Vec<Heard>) {
    if heard.is_empty() || heard.iter().any(|one| one.finding == TYRES) {
        return;
    }
    heard.push(Heard {
        finding: TYRES.to_owned(),
        present: false,
        confidence: SURE,
        start: 0,
        end: 0,
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
            assert_eq!(is_pushed(words), wanted, "{words}");
        }
    }
}
