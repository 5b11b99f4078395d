//! Is something asked that nobody keeps here: who is on, what the weather does? It is said plainly,
//! with what is kept instead.

use super::asked_of_the_answer::bare;

/// Longer words tell something of their own.
const WORDS_MAX: usize = 12;
const ROTA: &[&str] = &["rota", "rotas", "roster", "rosters"];
const WHEN: &[&str] = &[
    "today", "tomorrow", "tonight", "weekend", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday",
    "sunday", "week", "shift", "duty",
];
const WEATHER: &[&str] = &[
    "gonna rain", "going to rain", "will it rain", "is it raining", "gonna freeze", "going to freeze", "will it freeze",
    "gonna snow", "going to snow", "will it snow", "weather forecast", "the forecast", "the weather going", "whats the weather",
];
const WHO: &[&str] = &["whos on", "who is on", "who s on", "whos working", "who is working", "whos in", "who is in"];

/// What is said of it.
pub(super) fn not_kept(words: &str) -> Option<String> {
    let text = bare(words);
    let said: Vec<&str> = text.split_whitespace().collect();
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    // "It streaks when it is going to rain" tells something.
    let asks = said.iter().find(|word| !matches!(**word, "so" | "and" | "ok")).is_some_and(|word| {
        matches!(*word, "who" | "whos" | "what" | "whats" | "is" | "will" | "can" | "give" | "make" | "write" | "when")
    });
    let who = WHO.iter().any(|part| text.starts_with(part)) && has(WHEN);
    let rota = who || has(ROTA);
    let weather = WEATHER.iter().any(|part| text.contains(part));
    if !asks || said.len() > WORDS_MAX || !(rota || weather) {
        return None;
    }
    let what = match (rota, weather) {
        (true, true) => "Who is on, and what the weather does, is not known here.",
        (true, false) => "Who is on when is not known here.",
        _ => "What the weather does is not known here.",
    };
    Some(format!(
        "{what} I can tell what stands open on a machine (\"what is open on\" and its name), what is due, and who did \
         what."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_is_on_and_the_weather_are_not_known() {
        for (words, wanted) in [
            ("whos on tomorrow to cut greens & is it gonna rain", true),
            ("give me a rota for next week", true),
            ("will it rain tomorrow?", true),
            ("who's on tomorrow", true),
            ("who was on walker 1 last", false),
            ("who is on the triplex", false),
            ("is the shift cable ok to tape down", false),
            ("rain got in the bearing", false),
            ("it streaks when it is going to rain", false),
        ] {
            assert_eq!(not_kept(words).is_some(), wanted, "{words}");
        }
    }
}
