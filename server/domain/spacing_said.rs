//! How far apart are the ripples that somebody tells of? Ripples of the clip stand no further apart
//! than 5 cm; what is further is a wave of the machine or of the ground.
//! Deliberately absent: whether the spacing is that of the clip, which a check measures.

use super::language::hearing::Heard;
use super::language::text::tokens;
use super::said::numbers::quantities;
use super::units::convert;

/// Ripples of the clip are at most so far apart, mm: the trade tells them by a pitch of 2 in or
/// less, and waves of the machine by 6 to 8 in (common practice, no source).
const CLIP_MAX_MM: f64 = 52.0;
/// No wave of a mower is longer, mm (common practice, no source).
const WAVE_MAX_MM: f64 = 1_500.0;
/// What says that a length is a spacing, and so far behind it.
const APART: &[&str] = &["apart", "between", "spacing", "spaced", "pitch", "centres", "peak", "crest"];
const NEAR: usize = 3;

/// The spacing told, mm.
fn spacing_mm(words: &str) -> Option<f64> {
    let all = tokens(words);
    let apart = |first: usize, last: usize| {
        let reach = first.saturating_sub(NEAR)..(last + 1 + NEAR).min(all.len());
        reach.into_iter().any(|at| APART.contains(&all[at].text.as_str()))
    };
    quantities(&all).iter().filter(|one| apart(one.first, one.last)).find_map(|one| {
        convert(one.value, one.unit?, "mm").filter(|mm| (0.5..WAVE_MAX_MM).contains(mm))
    })
}

/// Ripples that are too far apart for the clip are long waves.
pub fn put_right(words: &str, heard: &mut Vec<Heard>) {
    const RIPPLE: &str = "clip_ripple";
    const WAVE: &str = "long_wave";
    let told = |heard: &[Heard], finding: &str| {
        heard.iter().position(|one| one.present && one.finding == finding)
    };
    let Some(ripple) = told(heard, RIPPLE) else { return };
    if spacing_mm(words).is_none_or(|mm| mm <= CLIP_MAX_MM) {
        return;
    }
    let ripple = heard.remove(ripple);
    if told(heard, WAVE).is_none() {
        heard.retain(|one| one.finding != WAVE);
        heard.push(Heard { finding: WAVE.to_owned(), ..ripple });
    }
    heard.sort_by(|one, other| one.finding.cmp(&other.finding));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spacing_is_told_by_a_word_beside_it() {
        for (words, wanted) in [
            ("ridges 60 mm apart at 12 mm", Some(60.0)),
            ("ripples about 2 inch apart", Some(50.8)),
            ("spaced 15 cm, across the line", Some(150.0)),
            ("ripples, cut at 12 mm", None),
            ("two machines apart from that", None),
        ] {
            assert_eq!(spacing_mm(words), wanted, "{words}");
        }
    }
}
