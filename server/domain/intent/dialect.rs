//! Which words of a broad Scots voice are plain words here: "seven hunner an twa", "quarter o an
//! oor"?
//! Deliberately absent: words of faults, which the lexicon has.

use crate::domain::language::text::{Kind, Token, stem};

/// As said, and as meant (common practice, no source).
#[rustfmt::skip]
const MEANT: &[(&str, &str)] = &[
    ("hunner", "hundred"), ("hunder", "hundred"), ("hunnert", "hundred"), ("thoosand", "thousand"),
    ("oor", "hour"), ("oors", "hours"), ("twa", "two"), ("wan", "one"), ("yin", "one"),
    ("yins", "ones"), ("hauf", "half"), ("doon", "down"), ("oot", "out"), ("aboot", "about"),
    ("ower", "over"), ("nae", "no"), ("wis", "was"), ("whit", "what"), ("whits", "whats"),
    ("atween", "between"), ("ahint", "behind"), ("gaun", "going"), ("gied", "gave"),
    ("keekit", "looked"), ("sittin", "sitting"), ("roon", "round"), ("tae", "to"), ("noo", "now"),
    ("auchteen", "eighteen"), ("fower", "four"), ("nane", "none"), ("birling", "turning"),
    ("afore", "before"), ("maist", "most"), ("whaur", "where"), ("frae", "from"),
    ("waur", "worse"), ("oan", "on"), ("staun", "stand"),
];

/// Puts such words into plain ones; "an" after a hundred is "and", "o" before "the" is "of".
pub fn plain(tokens: &mut [Token]) {
    for at in 0..tokens.len() {
        if tokens[at].kind != Kind::Word {
            continue;
        }
        let before = at.checked_sub(1).map_or("", |before| tokens[before].text.as_str());
        let before = if before == "-" && at > 1 { tokens[at - 2].text.as_str() } else { before };
        let next = tokens.get(at + 1).map_or("", |next| next.text.as_str());
        let meant = match tokens[at].text.as_str() {
            "an" if matches!(before, "hundred" | "thousand") => Some("and"),
            "pit" if at == 0 && matches!(next, "a" | "the" | "new" | "in" | "on") => Some("put"),
            "o" if matches!(next, "the" | "a" | "an" | "'") => Some("of"),
            said => MEANT.iter().find(|(known, _)| *known == said).map(|(_, meant)| *meant),
        };
        if let Some(meant) = meant {
            meant.clone_into(&mut tokens[at].text);
            tokens[at].stem = stem(meant);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intent::numbers::quantities;
    use crate::domain::language::text::tokens;

    #[test]
    fn broad_words_make_the_numbers_they_mean() {
        // (words, value, unit): numerals as Scots says them, from memory; sentences of our own.
        let rows: &[(&str, f64, Option<&str>)] = &[
            ("five hunner an twa oors", 502.0, Some("h")),
            ("eighteen hunner", 1_800.0, None),
            ("quarter o an oor", 0.25, Some("h")),
            ("three thoosand", 3_000.0, None),
        ];
        for (text, value, unit) in rows {
            let mut said = tokens(text);
            plain(&mut said);
            let found = quantities(&said);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!((found[0].value - value).abs() < 1e-9, "{text}: {found:?}");
            assert_eq!(found[0].unit, *unit, "{text}");
        }
    }
}
