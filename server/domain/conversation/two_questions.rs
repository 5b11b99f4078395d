//! Are two questions to the records asked at once: "who sharpened the blades last and did it hold"?
//! Then each is answered, the second of what the first named.
//! Deliberately absent: a second question that the answer to the first tells anyhow.

/// First words of the first.
const FIRST: &[&str] = &["who", "when", "what", "how", "which", "whats", "did", "has", "have", "was"];
/// Small words before the first.
const LEADS: &[&str] = &["so ", "So ", "ok ", "and ", "ok so "];
/// Beginnings of the second.
const SECOND: &[&str] = &[
    "did it", "did that", "did they", "did he", "has it", "has that", "have they", "is it due",
    "is it still", "was it due", "when is it due", "when is that due", "how many hours has",
    "how many hrs has", "how many hours have", "how long has it", "how long did", "how much came",
    "is it properly", "is it mended", "is it fixed", "is it sorted", "is that mended", "is that fixed", "is it cured",
    "are they mended", "are they fixed", "was it mended", "was it fixed", "is it really", "how many hours since", "how many hrs since", "how often", "how many times", "what cured",
    "what was done", "what did it", "who", "by whom", "when was", "when did", "what height",
];
/// Answered by when or who, too.
const OF_LAST: &[&str] = &["who", "by whom", "when", "how long did it take"];

/// The first and the second.
pub fn of(words: &str) -> Option<(&str, &str)> {
    let words = LEADS.iter().find_map(|lead| words.strip_prefix(lead)).unwrap_or(words);
    let first = words.split_whitespace().next()?.to_lowercase();
    if !FIRST.contains(&first.as_str()) {
        return None;
    }
    let lower = words.to_lowercase();
    // Letters that change their length in small letters move the places.
    if lower.len() != words.len() {
        return None;
    }
    let mut places = lower.match_indices(" and ");
    places.find_map(|(at, and)| {
        let (before, behind) = (words.get(..at)?, words.get(at + and.len()..)?);
        let second = lower.get(at + and.len()..)?;
        // What is worn is a question of its own beside any other.
        let worn = before.to_lowercase().ends_with(" wear") || before.to_lowercase().ends_with(" put on");
        let asks = second.split_whitespace().next().is_some_and(|word| FIRST.contains(&word));
        let begins = (worn && asks) || SECOND.iter().any(|start| second.starts_with(start));
        let told = matches!(first.as_str(), "when" | "who")
            && OF_LAST.iter().any(|start| second.starts_with(start));
        let long = before.split_whitespace().count() > 2;
        (begins && !told && long).then_some((before.trim_end_matches([',', ' ']), behind))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_questions_are_taken_apart_and_one_is_left_whole() {
        let both = of("who ground the fairway reels last and did it hold");
        assert_eq!(both, Some(("who ground the fairway reels last", "did it hold")));
        let hours = of("When was the brush changed, and how many hours has it done?");
        assert_eq!(hours, Some(("When was the brush changed", "how many hours has it done?")));
        let mended = of("what was wrong with the triplex in May and is it properly mended?");
        assert_eq!(mended, Some(("what was wrong with the triplex in May", "is it properly mended?")));
        assert_eq!(of("when was unit 2 lapped and who did it"), None);
        let worn = of("so what does he have to wear and whats the brush for");
        assert_eq!(worn, Some(("what does he have to wear", "whats the brush for")));
        assert_eq!(of("lapped unit 2 and did it again"), None);
        assert_eq!(of("what is the gap and taper of unit 2"), None);
    }
}
