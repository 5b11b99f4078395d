//! What does the speaker say that nobody knows: "nobody has timed how fast she travels", "not had the
//! tacho on it", "no idea of the centres"? What is named so is not asked for, and a sum that lacks it
//! is still the sum that is wanted.
//! Deliberately absent: what is asked for.

use super::spoken::Spoken;
use crate::domain::said::said_units::any_said_at;

/// Words that begin such a telling, contractions opened.
const BEGINS: &[&str] = &[
    "no idea", "not a clue", "no clue", "nobody has", "nobody knows", "noone knows", "noone has",
    "no one knows", "no one has", "none of us knows", "none of us know", "not had", "not got",
    "not measured", "not timed", "not checked", "not counted", "not settled", "not decided",
    "not been told", "not to hand", "never had", "never got", "never timed", "never measured",
    "never checked", "never counted", "do not know", "does not know", "did not get",
    "did not measure", "did not check", "did not write", "could not tell", "could not find",
    "could not read", "could not say", "can not tell", "can not find", "can not give",
    "can not read", "can not say", "can not remember", "can not see", "do not ask", "forgot the",
    "forgotten the", "lost the", "without knowing",
];

/// For each word, whether it is told as unknown: from such words to the end of their clause.
pub fn told(spoken: &Spoken) -> Vec<bool> {
    let mut out = vec![false; spoken.words.len()];
    for at in 0..spoken.tokens.len() {
        if any_said_at(&spoken.tokens, at, BEGINS).is_none() {
            continue;
        }
        let segment = spoken.tokens[at].segment;
        for (word, place) in spoken.places.iter().enumerate() {
            if place.first >= at && spoken.tokens[place.first].segment == segment {
                out[word] = true;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn what_nobody_knows_is_told_from_what_is_asked() {
        // (text, the words told as unknown): our own sentences.
        let rows: &[(&str, &str)] = &[
            ("what revs for a 5 mm clip, no idea how fast he walks", "no idea how fast he walks"),
            ("nobody has counted the blades. what clip?", "nobody has counted the blades"),
            ("what clip at 1,800 rpm?", ""),
        ];
        for (text, unknown) in rows {
            let spoken = Spoken::new(text, tokens(text), &[]);
            let told = told(&spoken);
            let words = spoken.words.iter().zip(&told).filter(|(_, told)| **told);
            let words: Vec<&str> = words.map(|(word, _)| word.text.as_str()).collect();
            assert_eq!(words.join(" "), *unknown, "{text}");
        }
    }
}
