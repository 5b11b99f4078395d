//! British or American words, millimetres or inches? Texts are written in British words; the
//! American form is made by a table of word pairs, so that each text exists once.

use std::fmt::Display;

/// "1 unit", "2 units".
pub fn counted<N: PartialEq + Display + From<u8>>(count: N, what: &str) -> String {
    let ending = if count == N::from(1) { "" } else { "s" };
    format!("{count} {what}{ending}")
}

/// With its first letter small: "Nothing is recorded" inside a sentence.
pub fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// With its first letter big, as a sentence, a name or a month begins.
pub fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Small, and without apostrophes: "isn't" is "isnt".
pub fn plain(text: &str) -> String {
    text.to_lowercase().replace(['\'', '\u{2019}'], "")
}

/// The words of that, without signs; a point stays within a number.
pub fn plain_words(text: &str) -> Vec<String> {
    let plain = plain(text);
    let words = plain.split(|ch: char| !ch.is_alphanumeric() && ch != '.');
    let words = words.map(|word| word.trim_matches('.')).filter(|word| !word.is_empty());
    words.map(str::to_owned).collect()
}

/// A word without the signs around it.
pub fn bare_word(word: &str) -> &str {
    word.trim_matches([',', '.', ';', ':', '!'])
}

/// The same where the word may be a number that begins with its point.
pub fn bare_number(word: &str) -> &str {
    word.trim_matches([',', ';', ':']).trim_end_matches('.')
}

/// How to speak to this person.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wording {
    /// British words with their American form; empty for British.
    pairs: Vec<(String, String)>,
}

impl Wording {
    pub fn british() -> Wording {
        Wording::default()
    }

    /// `pairs`: British word or words, American form; all lower-case.
    pub fn american(pairs: &[(String, String)]) -> Wording {
        let mut pairs = pairs.to_vec();
        // Longer first, so that "millimetre" is not half changed by "metre".
        pairs.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.cmp(b)));
        Wording { pairs }
    }

    /// The text in this person's words; capitals at the start of a word are kept.
    pub fn say(&self, text: &str) -> String {
        if self.pairs.is_empty() {
            return text.to_owned();
        }
        let lower = text.to_ascii_lowercase();
        let mut out = String::with_capacity(text.len());
        let mut at = 0;
        while at < text.len() {
            match self.pair_at(&lower, at) {
                Some((british, american)) => {
                    let capital = text[at..].chars().next().is_some_and(char::is_uppercase);
                    push_cased(&mut out, american, capital);
                    at += british.len();
                }
                None => {
                    let ch = text[at..].chars().next().expect("at stands on a character");
                    out.push(ch);
                    at += ch.len_utf8();
                }
            }
        }
        out
    }

    fn pair_at(&self, lower: &str, at: usize) -> Option<&(String, String)> {
        let part = |ch: char| ch.is_alphanumeric() || ch == '_';
        if lower[..at].chars().next_back().is_some_and(part) {
            return None;
        }
        self.pairs.iter().find(|(british, _)| {
            lower[at..].starts_with(british.as_str())
                && !lower[at + british.len()..].chars().next().is_some_and(part)
        })
    }
}

fn push_cased(out: &mut String, word: &str, capital: bool) {
    let mut chars = word.chars();
    match chars.next() {
        Some(first) if capital => {
            out.extend(first.to_uppercase());
            out.push_str(chars.as_str());
        }
        _ => out.push_str(word),
    }
}

/// The first sentence of a text; all of it when it is one.
pub fn first_sentence(text: &str) -> &str {
    let ends = text.match_indices(". ").map(|(at, _)| at + 1);
    let begins = |at: &usize| text[*at..].trim_start().starts_with(|ch: char| ch.is_uppercase());
    ends.filter(begins).map(|at| &text[..at]).next().unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_change_and_capitals_stay() {
        let pairs = [("tyre", "tire"), ("metre", "meter"), ("millimetre", "millimeter")];
        let pairs: Vec<(String, String)> =
            pairs.iter().map(|(b, a)| ((*b).to_owned(), (*a).to_owned())).collect();
        let american = Wording::american(&pairs);
        assert_eq!(american.say("Tyre wear, a millimetre"), "Tire wear, a millimeter");
        assert_eq!(american.say("tyre_pressure_unequal"), "tyre_pressure_unequal");
        assert_eq!(Wording::british().say("Tyre"), "Tyre");
    }
}
