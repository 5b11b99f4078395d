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
/// Rain to come, beside what is asked of mowing.
const RAIN: &[&str] = &["rain", "showers", "downpour"];
const COMES: &[&str] = &["coming", "forecast", "due", "says", "said", "giving", "expecting", "expected", "got", "reckons", "say", "saying", "going", "think", "thinks", "looks"];
/// Words of such a question: no machine, part, fault or work (common practice, no source).
#[rustfmt::skip]
const OF_MOWING: &[&str] = &[
    "cut", "cutting", "mow", "mowing", "raise", "height", "should", "shall", "better", "do", "i",
    "we", "you", "it", "or", "wait", "leave", "now", "this", "the", "a", "they", "boss", "gaffer",
    "he", "she", "is", "of", "for", "on", "by", "before", "early", "first", "get", "them", "be",
    "to", "in", "and", "so", "ok", "have", "weve", "fairways", "fairway", "greens", "green", "tees",
    "rough", "outfield", "pitch", "pitches", "square", "grass", "heavy", "theyve", "theres",
    "there", "all", "day", "morning", "afternoon", "evening", "after", "until", "till", "up",
    "next", "super", "superintendent",
];
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

/// "They got rain coming Thursday, should I raise the fairways or wait": and nothing else is told.
pub(super) fn before_rain(words: &str) -> Option<String> {
    let plain = bare(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let asks = said.windows(2).any(|pair| {
        matches!(pair[0], "should" | "shall" | "do" | "better") && matches!(pair[1], "i" | "we" | "you" | "to")
    });
    let known = |word: &&str| [RAIN, COMES, WHEN, OF_MOWING].iter().any(|list| list.contains(word));
    let coming = has(RAIN) && (has(COMES) || has(WHEN)) && has(&["cut", "cutting", "mow", "mowing", "raise"]);
    (asks && coming && said.iter().all(|word| known(&word))).then(|| BEFORE_RAIN.to_owned())
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

    #[test]
    fn rain_to_come_is_answered_where_nothing_else_is_told() {
        for (words, wanted) in [
            ("they got rain coming Thursday, should I raise the fairways or wait", true),
            ("boss says rain saturday should i cut friday or leave it", true),
            ("they say rain tonight, should I cut the greens today or wait till tomorrow", true),
            ("is it going to rain on friday, should I cut before the weekend", true),
            ("it leaves clumps after rain, should I raise it or wait", false),
            ("should i cut the greens at 4", false),
            ("rain coming should i mow with the hose leaking", false),
            ("lightning and a storm coming, should i cut", false),
            ("set walker 1 height to 4 mm, rain coming, do i log it", false),
        ] {
            assert_eq!(before_rain(words).is_some(), wanted, "{words}");
        }
    }
}
