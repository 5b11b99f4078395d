//! Which numbers of a sentence are marked as what? "`{Nine=blade_count}` blades at 6 mph": the words
//! of the number, and the field it goes to; "`{18=?}`" is for something that no field holds by itself.
//! Deliberately absent: which fields there are.

use std::ops::Range;

/// In place of a field: nothing is learned of the number.
pub const UNSURE: &str = "?";

/// A sentence without its marks, and the bytes of each marked number with its field.
pub type Unmarked<'a> = (String, Vec<(Range<usize>, &'a str)>);

/// Takes the marks out.
pub fn unmarked(sentence: &str) -> Result<Unmarked<'_>, String> {
    let mut plain = String::with_capacity(sentence.len());
    let mut marks = Vec::new();
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('{') {
        let (mark, after) =
            after.split_once('}').ok_or_else(|| "\"{\" that no \"}\" closes".to_owned())?;
        let (words, field) = mark
            .rsplit_once('=')
            .filter(|(words, field)| !words.is_empty() && !words.contains('{') && is_name(field))
            .ok_or_else(|| format!("\"{{{mark}}}\" is no number and its field"))?;
        plain.push_str(before);
        let start = plain.len();
        plain.push_str(words);
        marks.push((start..plain.len(), field));
        rest = after;
    }
    if rest.contains('}') {
        return Err("\"}\" that no \"{\" opens".to_owned());
    }
    plain.push_str(rest);
    Ok((plain, marks))
}

fn is_name(field: &str) -> bool {
    let part = |ch: char| ch.is_ascii_lowercase() || ch.is_ascii_digit() || ch == '_';
    field == UNSURE || (!field.is_empty() && field.chars().all(part))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_taken_out_and_kept() {
        let (plain, marks) = unmarked("{Nine=blade_count} blades, {6 mph=ground_speed_mps}?")
            .expect("two marks");
        assert_eq!(plain, "Nine blades, 6 mph?");
        assert_eq!(marks, [(0..4, "blade_count"), (13..18, "ground_speed_mps")]);
        assert_eq!(unmarked("nine blades"), Ok(("nine blades".to_owned(), Vec::new())));
    }

    #[test]
    fn a_mark_that_is_none_is_named() {
        for wrong in [
            "{nine blades", "nine} blades", "{nine} blades", "{=blade_count}", "{9=Blade}",
            "{9=blade_count blades, {6 mph=ground_speed_mps}",
        ] {
            assert!(unmarked(wrong).is_err(), "{wrong}");
        }
    }
}
