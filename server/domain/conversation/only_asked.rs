//! Does a turn only say that no fault was told, and what does it ask instead: "no, I'm asking how it
//! works", "not a problem, I want to know if it can go out"? The question, without what leads to it.

use super::acts;

/// Longer words tell more than that they only ask.
const WORDS_MAX: usize = 20;
/// What is said of having been taken wrongly, before the question.
#[rustfmt::skip]
const LEADS: &[&str] = &[
    "no", "nope", "nah", "not", "isn't", "isnt", "ain't", "aint", "sorry", "well", "so", "wait", "but", "it", "is",
    "it's", "its", "this", "that", "that's", "thats", "a", "an", "the", "any", "complaint", "complaining", "fault",
    "problem", "symptom", "i", "i'm", "im", "am", "we", "we're", "just", "only", "really", "actually", "was", "were",
    "simply", "asking", "asked", "wondering", "want", "wanted", "wish", "would", "like", "need", "to", "know", "ask",
    "question", "for", "my", "test", "exam", "study", "class", "lesson", "in", "general",
];
const DENIES: &[&str] = &["no", "nope", "nah", "not", "isn't", "isnt", "ain't", "aint"];
const ASKING: &[&str] = &["asking", "asked", "wondering", "know", "ask", "question"];
const QUESTION: &[&str] = &[
    "what", "how", "why", "who", "whose", "when", "where", "which", "if", "whether", "can", "could", "may", "should",
    "shall", "will", "is", "are", "was", "does", "do", "did", "has", "have",
];
/// That a thing works, or what it does, is asked of no machine that ails.
const IN_GENERAL: &[&str] = &[
    "how it works", "how that works", "how this works", "how does it work", "how does that work", "what it does",
    "what that does", "what this does", "what does it do", "what it is for", "what that is for", "what it means",
];
/// What is asked of a fault by its name alone.
const OF_THE_CASE: &[&str] = &["cause", "causes", "reason", "remedy", "cure", "fix", "order"];
/// What is said behind the question again.
const TAILS: &[&str] = &[
    " not a complaint", " not a fault", " not a problem", " no complaint", " no fault", " in general", " for my test",
    " for my exam", " please",
];
#[rustfmt::skip]
const WHO: &[&str] = &["it", "i", "we", "he", "she", "they", "you", "that", "this"];
const VERBS: &[&str] = &[
    "can", "could", "may", "might", "should", "shall", "will", "would", "must", "is", "are", "was", "were", "has",
    "have", "does", "did",
];

/// "No, I'm asking how it works, not a complaint": nothing is asked but that.
pub(super) fn only_asks(words: &str) -> bool {
    let asked = behind_its_leads(words);
    asked.is_some_and(|asked| asked.is_empty() || IN_GENERAL.contains(&asked.as_str()))
}

/// "No, I want to know if it can wait": the question itself, "can it wait".
pub(super) fn asked_instead(words: &str) -> Option<String> {
    let asked = behind_its_leads(words)?;
    let said: Vec<&str> = asked.split_whitespace().collect();
    // "I want to know the cause".
    if let ["the", one] = said[..]
        && OF_THE_CASE.contains(&one)
    {
        return Some(format!("what is the {one}"));
    }
    let is_question = said.first().is_some_and(|first| QUESTION.contains(first));
    (is_question && !IN_GENERAL.contains(&asked.as_str())).then(|| turned(&said))
}

/// What stands behind words that deny a fault and say that something is asked.
fn behind_its_leads(words: &str) -> Option<String> {
    let plain = acts::plain(words).replace(',', " ");
    let mut text = plain.trim();
    while let Some(rest) = TAILS.iter().find_map(|tail| text.strip_suffix(tail)) {
        text = rest.trim_end();
    }
    let said: Vec<&str> = text.split_whitespace().collect();
    // "Is it" begins a question once it was said that one is asked.
    let mut asks = false;
    let lead = said.iter().take_while(|word| {
        let begins = asks && matches!(**word, "is" | "was");
        asks |= ASKING.contains(word);
        LEADS.contains(word) && !begins && !(asks && **word == "the")
    });
    let lead = lead.count();
    let lead_words = &said[..lead];
    let has = |list: &[&str]| lead_words.iter().any(|word| list.contains(word));
    let all: Vec<&str> = plain.split_whitespace().collect();
    let denied = |two: &[&str]| DENIES.contains(&two[0]) && LEADS.contains(&two[1]);
    let denies = has(DENIES) || all.windows(2).any(denied);
    let fits = has(ASKING) && denies && all.len() <= WORDS_MAX;
    fits.then(|| said[lead..].join(" "))
}

/// "If it can wait" as "can it wait", "how long it can run" as "how long can it run".
fn turned(said: &[&str]) -> String {
    let said = match said {
        ["if" | "whether", rest @ ..] => rest,
        said => said,
    };
    let is_pair = |two: &[&str]| WHO.contains(&two[0]) && VERBS.contains(&two[1]);
    let pair = said.windows(2).take(4).position(is_pair);
    let Some(at) = pair else { return said.join(" ") };
    let mut turned = said.to_vec();
    turned.swap(at, at + 1);
    turned.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_only_asks_says_so() {
        for (words, wanted) in [
            ("no i'm asking how it works, not a complaint", true),
            ("not a fault, i just want to know what it does", true),
            ("no, just a question, it's for my test", true),
            ("it's not a complaint about the left", false),
            ("no, the reel is fine", false),
            ("how does it work", false),
            ("no i am asking how long it can run", false),
            ("no, i want to know what to do first", false),
            ("no streaks on 3, I want to know why only 2", false),
        ] {
            assert_eq!(only_asks(words), wanted, "{words}");
        }
    }

    #[test]
    fn what_is_asked_instead_is_the_question() {
        for (words, wanted) in [
            ("no i am asking how long it can run", Some("how long can it run")),
            ("not a problem, just asking can it go out", Some("can it go out")),
            ("no I want to know if it can wait till Monday", Some("can it wait till monday")),
            ("no, i want to know if it is safe to carry on", Some("is it safe to carry on")),
            ("no i'm asking when unit 2 was lapped last", Some("when unit 2 was lapped last")),
            ("not a fault, I want to know who ground it", Some("who ground it")),
            ("no I want to know the cause", Some("what is the cause")),
            ("no i'm asking how it works, not a complaint", None),
            ("no, it is not the left one", None),
            ("I want to know who ground it", None),
            ("no, the reel is fine", None),
        ] {
            assert_eq!(asked_instead(words).as_deref(), wanted, "{words}");
        }
    }
}
