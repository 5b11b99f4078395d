//! Which inch thread is named by its size and count: "1/2-13", "3/8 x 24"? Its threads to the inch.

use super::numbers::{Quantity, is_sign, word, written_fraction};
use super::said_units::THREADS_PER_INCH;
use crate::domain::language::text::{Kind, Token};

/// Inch threads as they are named: the size in parts of an inch, and the threads to the inch of the
/// coarse and the fine one (unified threads, from memory).
const INCH_THREADS: &[(f64, [f64; 2])] = &[
    (1.0 / 4.0, [20.0, 28.0]),
    (5.0 / 16.0, [18.0, 24.0]),
    (3.0 / 8.0, [16.0, 24.0]),
    (7.0 / 16.0, [14.0, 20.0]),
    (1.0 / 2.0, [13.0, 20.0]),
    (9.0 / 16.0, [12.0, 18.0]),
    (5.0 / 8.0, [11.0, 18.0]),
    (3.0 / 4.0, [10.0, 16.0]),
];

/// "1/2-13 bolt": an inch thread by its name, which says its threads to the inch.
pub(super) fn inch_thread(tokens: &[Token], at: usize) -> Option<Quantity> {
    let (size, last) = written_fraction(tokens, at)?;
    let dash = last + 1;
    let between = is_sign(tokens, dash, "-") || matches!(word(tokens, dash), Some("x" | "by"));
    let by = usize::from(between);
    let count = tokens.get(dash + by).filter(|token| by > 0 && token.kind == Kind::Number)?;
    let value: f64 = count.text.parse().ok()?;
    let (_, counts) = INCH_THREADS.iter().find(|(known, _)| *known == size)?;
    let only = Quantity {
        first: at,
        last: dash + by,
        value,
        unit: Some(THREADS_PER_INCH),
        number_last: dash + by,
        fraction: false,
        in_words: false,
        leading_point: false,
    };
    counts.contains(&value).then_some(only)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn a_thread_is_known_by_its_size_and_count() {
        for (words, wanted) in [
            ("1/2-13", Some(13.0)),
            ("3/8 x 24", Some(24.0)),
            ("1/4-20 bolt", Some(20.0)),
            ("1/2-12", None),
            ("1/2 13", None),
            ("1/2", None),
        ] {
            assert_eq!(inch_thread(&tokens(words), 0).map(|one| one.value), wanted, "{words}");
        }
    }
}
