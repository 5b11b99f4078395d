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
/// Weather to come, beside what is asked of mowing.
const TO_COME: &[&str] = &["rain", "raining", "storm", "storms", "wet", "showers", "downpour", "thunder"];
const COMES: &[&str] = &["coming", "forecast", "due", "says", "say", "said", "giving", "expecting", "expected", "reckons", "gonna", "going", "got"];
const MOWS: &[&str] = &["cut", "cutting", "mow", "mowing", "raise", "lower", "height"];
const COMING_WORDS_MAX: usize = 20;
/// Said of it (notes worse_when_wet and one_third_rule_in_the_shop).
const BEFORE_RAIN: &str = "What the weather does is not known here. Where it can be, cut while the leaf is dry: \
     cut wet it tears, clumps and is rolled flat. If it will stand long before the next dry day, \
     raise rather than take more than a third off at once afterwards, and come down again in steps. \"Is it bad to mow wet\" tells more.";
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
    let asks_leave = said.windows(2).any(|pair| {
        matches!(pair[0], "should" | "shall" | "do" | "can" | "is" | "better") && matches!(pair[1], "i" | "we" | "you" | "it" | "he" | "to")
    });
    let coming = has(TO_COME) && (has(COMES) || has(WHEN)) && has(MOWS) && asks_leave;
    let told = has(&["after", "since", "leaves", "leaving", "streaks", "stopped"]);
    if coming && !told && said.len() <= COMING_WORDS_MAX {
        return Some(BEFORE_RAIN.to_owned());
    }
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
            ("they got rain coming Thursday, should I raise the fairways or wait", true),
            ("boss says rain saturday should i cut friday or leave it", true),
            ("it leaves clumps after rain, should I raise it or wait", false),
            ("should i cut the greens at 4", false),
            ("it streaks when it is going to rain", false),
        ] {
            assert_eq!(not_kept(words).is_some(), wanted, "{words}");
        }
    }
}
