//! Do the words point at what was spoken of before: "it", "this unit", "that machine"?
//! Deliberately absent: what was spoken of (`shop`).

use super::Reader;
use crate::domain::records::SubjectName;

impl Reader<'_> {
    /// "It", "this unit", "that machine": what was spoken of before.
    pub(super) fn pointed_at(&self) -> Option<SubjectName> {
        const POINTING: &[&str] = &["it", "its", "this", "that", "them", "these"];
        let points = self.points(POINTING);
        self.question.shop.spoken_of.clone().filter(|_| points)
    }

    /// Whether one of these words points at something: "this" of "this year" does not.
    pub(super) fn points(&self, words: &[&str]) -> bool {
        const DAYS: &[&str] = &[
            "year", "yr", "month", "week", "season", "morning", "afternoon", "summer", "winter",
            "spring", "autumn", "time", "fall",
        ];
        let tokens = &self.spoken.tokens;
        (0..tokens.len()).any(|at| {
            let of_days = matches!(tokens[at].text.as_str(), "this" | "that" | "these" | "those")
                && tokens.get(at + 1).is_some_and(|next| DAYS.contains(&next.text.as_str()));
            words.contains(&tokens[at].text.as_str()) && !of_days
        })
    }
}
