//! What is asked for another ("how do I explain to students why ..."), and what did somebody do whose
//! work another tells: "the apprentice tells me he ground it last week", "Alan says he changed it again
//! on Friday"? The words as he would have told them.
//! Deliberately absent: complaints at second hand, which are heard as they stand.

use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::intent::deeds::DEEDS;

const TELLS: &[&str] = &[
    "tells", "told", "says", "said", "reckons", "reports", "reported", "mentioned", "mentions", "thinks",
];
const SMALL: &[&str] = &["me", "us", "that", "he", "she", "they", "has", "have", "had", "just", "also", "only"];
/// Longer clauses tell something of their own.
const EXCUSE_WORDS_MAX: usize = 8;
/// Somebody is named in no more words.
const NAME_WORDS_MAX: usize = 4;

/// The question of another as he asks it; other words as they are. What is dangerous stays whole,
/// and so does what tells of a fault before the question.
pub(super) fn as_asked<'a>(knowledge: &Knowledge, words: &'a str) -> &'a str {
    let harmless = |_: &&str| !danger::is_any(knowledge, words);
    // What excuses a question takes no danger away, unless it names a learner.
    if let Some(question) = without_excuse(words).filter(|rest| !names_a_learner(words, rest)) {
        return question;
    }
    let question = without_excuse(words).or_else(|| without_record(words));
    let question = question.or_else(|| without_lesson(words));
    if let Some(question) = question.or_else(|| to_explain(words)).filter(harmless) {
        return question;
    }
    let Some(question) = asked_by(words) else { return words };
    let ear = &knowledge.ear;
    let lead = &words[..words.len() - question.len()];
    let danger = danger::heard(knowledge, &ear.read(words));
    // Who asks why asks no leave.
    let leave = (danger.leave.is_some() || danger.sound.is_some()) && !question.starts_with("why ");
    let dangerous = danger.emergency.is_some() || danger.stop.is_some() || leave;
    let sign = |section: usize| ear.findings.contains_key(&ear.lexicon.sections[section]);
    let signs = ear.read(lead).matches.iter().any(|found| sign(found.section));
    let tells = lead.contains([',', '.', ';', '!']) || signs;
    if dangerous || tells { words } else { question }
}

/// "I am no mechanic, what does clip mean": the question, without what excuses it.
fn without_excuse(words: &str) -> Option<&str> {
    const EXCUSES: &[&str] = &[
        "i am no ", "i'm no ", "im no ", "i am not a ", "i'm not a ", "im not a ", "i am not an ", "i'm not an ",
        "i am not technical", "i'm not technical", "i am only the ", "i'm only the ", "forgive my ", "excuse my ",
        "pardon my ", "i know nothing ", "silly question", "stupid question", "daft question", "simple question",
        "sorry to ask", "sorry if", "i am new ", "i'm new ", "i know little ",
    ];
    const QUESTION: &[&str] = &[
        "what ", "whats ", "what's ", "why ", "how ", "which ", "when ", "who ", "where ", "do ", "does ", "is ",
        "are ", "should ", "can ", "could ", "would ",
    ];
    let lower = words.to_lowercase();
    let starts = |start: &&str| lower.starts_with(*start);
    let excused = lower.len() == words.len() && EXCUSES.iter().any(starts);
    let at = lower.find([',', ':', ';', '.']).filter(|_| excused)?;
    let short = lower[..at].split_whitespace().count() <= EXCUSE_WORDS_MAX;
    let rest = words.get(at + 1..)?.trim_start();
    let rest = if rest.get(..4).is_some_and(|head| head.eq_ignore_ascii_case("but ")) { &rest[4..] } else { rest };
    let small = rest.to_lowercase();
    (short && QUESTION.iter().any(|start| small.starts_with(start))).then_some(rest)
}

/// "I'm only the apprentice, can I change it": who asks is a part of what is asked.
fn names_a_learner(words: &str, question: &str) -> bool {
    const LEARNERS: &[&str] = &[
        "apprentice", "trainee", "student", "lad", "learner", "beginner", "starter", "trained", "qualified", "allowed",
        "licence", "license", "ticket", "driver", "operator", "junior", "sixteen", "seventeen", "fifteen",
    ];
    let lead = words[..words.len() - question.len()].to_lowercase();
    let named = lead.split(|ch: char| !ch.is_alphanumeric()).any(|word| LEARNERS.contains(&word));
    named || lead.contains(|ch: char| ch.is_ascii_digit())
}

/// "Who sets the heights, is there a record of it?": who does.
fn without_record(words: &str) -> Option<&str> {
    const TAILS: &[&str] = &[
        "is there a record of it", "is there a record of that", "is there a record", "is there any record of it",
        "is there any record", "is it recorded", "is that recorded", "is it written down", "is that written down",
        "is it in the records", "is that in the records", "do we have a record of it", "do we have a record",
        "have we a record of it", "do the records say", "is it logged", "is that logged",
    ];
    let lower = words.to_lowercase();
    let bare = lower.trim_end().trim_end_matches(['?', '.', '!']);
    let tail = TAILS.iter().find_map(|tail| bare.strip_suffix(tail));
    let tail = tail.filter(|_| lower.len() == words.len())?;
    let before = tail.trim_end().strip_suffix([',', ';', '?', '-'])?.trim_end();
    (before.split_whitespace().count() > 2).then(|| words.get(..before.len())).flatten()
}

/// "How do I explain to students why it is done": why it is done.
fn to_explain(words: &str) -> Option<&str> {
    const LEADS: &[&str] = &["", "so ", "and ", "ok ", "right, ", "right ", "then "];
    const HOW: &[&str] = &[
        "how do i ", "how do we ", "how do you ", "how would i ", "how would we ", "how would you ", "how can i ",
        "how can we ", "how should i ", "how should we ", "how could i ", "what do i tell ", "can you help me ",
        "help me ", "i need to ", "i have to ",
    ];
    const EXPLAINS: &[&str] = &["explain ", "teach ", "describe ", "get across ", "put across "];
    const QUESTION: &[&str] = &[" why ", " what ", " when "];
    let lower = words.to_lowercase();
    let how = |lead: &&str| HOW.iter().find_map(|how| lower.strip_prefix(*lead)?.strip_prefix(how));
    let rest = LEADS.iter().find_map(how)?;
    let rest = EXPLAINS.iter().find_map(|verb| rest.strip_prefix(verb)).or_else(|| {
        lower.contains("what do i tell ").then_some(rest)
    })?;
    let padded = format!(" {rest}");
    let at = QUESTION.iter().filter_map(|part| padded.find(part)).min()?;
    let named = padded[..at].split_whitespace().count() <= NAME_WORDS_MAX;
    // What stands before it tells something of its own.
    let plain = !padded[..at].contains(['.', ',', ';']);
    let from = words.len().checked_sub(rest.len() - at)?;
    (lower.len() == words.len() && named && plain).then(|| words.get(from..)).flatten()
}

/// "..., and how would I demonstrate it in a lesson?": the question before it.
fn without_lesson(words: &str) -> Option<&str> {
    const JOINS: &[&str] = &[", and how ", " and how ", ", how ", "? how ", "? and how ", ". how "];
    const SHOWS: &[&str] = &["demonstrate", "show", "teach", "illustrate", "explain", "demo", "present"];
    const IT: &[&str] = &["it", "this", "that", "them", "those", "these"];
    const OF_A_LESSON: &[&str] = &[
        "in", "a", "an", "the", "my", "our", "half", "hour", "minute", "minutes", "short", "lesson", "lessons",
        "class", "classroom", "workshop", "course", "session", "to", "for", "students", "apprentices",
        "trainees", "learners", "lads", "them", "group", "best", "please", "simply", "clearly", "well", "properly",
    ];
    let lower = words.to_lowercase();
    let found = JOINS.iter().filter_map(|join| lower.rfind(join));
    let at = found.min().filter(|_| lower.len() == words.len())?;
    let tail = lower[at..].split(|ch: char| !ch.is_alphabetic());
    let tail: Vec<&str> = tail.filter(|word| !word.is_empty()).collect();
    let shows = tail.iter().position(|word| SHOWS.contains(word))?;
    let it = tail.get(shows + 1).is_some_and(|word| IT.contains(word));
    let near = tail.get(..shows)?.iter().all(|word| {
        ["and", "how", "do", "would", "should", "could", "can", "might", "i", "we", "you", "best"].contains(word)
    });
    // What else is told of the lesson is more than that.
    let lesson = tail.get(shows + 2..)?.iter().all(|word| OF_A_LESSON.contains(word));
    let before = words.get(..at).filter(|_| it && near && lesson)?;
    (before.split_whitespace().count() > 2).then_some(before)
}

/// "Apprentice wants to know why we don't just run it tight": the question, without who asks it.
fn asked_by(words: &str) -> Option<&str> {
    const ASKS: &[&str] = &[
        " wants to know ", " want to know ", " wanted to know ", " would like to know ", " was asking me ",
        " is asking me ", " keeps asking me ", " keeps asking ", " was asking ", " is asking ", " asked me ",
        " asks me ", " wonders ", " was wondering ", " is wondering ",
    ];
    const QUESTION: &[&str] =
        &["why ", "how ", "what ", "whats ", "what's ", "when ", "which ", "can ", "should ", "does ", "do "];
    let lower = words.to_lowercase();
    // Letters that change their length in small letters move the places.
    let same = lower.len() == words.len();
    // Of those that begin there the longest: "keeps asking me".
    let found = ASKS.iter().filter_map(|part| Some((lower.find(part)?, part)));
    let (at, part) = found.min_by_key(|(at, part)| (*at, usize::MAX - part.len()))?;
    let named = words.get(..at)?.split_whitespace().count() <= NAME_WORDS_MAX;
    let question = words.get(at + part.len()..)?;
    let asks = QUESTION.iter().any(|start| lower[at + part.len()..].starts_with(start));
    (same && named && asks).then_some(question)
}

/// The words without who told them.
pub(super) fn told_by(words: &str) -> Option<String> {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let bare = |at: usize| parts.get(at).map(|word| word.trim_matches([',', '.']).to_lowercase());
    let is = |at: usize, list: &[&str]| bare(at).is_some_and(|word| list.contains(&word.as_str()));
    if words.trim_end().ends_with('?') {
        return None;
    }
    let at = (1..parts.len().min(NAME_WORDS_MAX + 1)).find(|at| is(*at, TELLS))?;
    let mut next = at + 1;
    let mut named = false;
    while is(next, SMALL) {
        named |= is(next, &["he", "she", "they"]);
        next += 1;
    }
    let did = is(next, DEEDS) && named;
    let asks = is(0, &["who", "what", "when", "which", "how", "why", "where", "i", "we", "it", "he", "she", "they"]);
    if !did || asks {
        return None;
    }
    let first = usize::from(is(0, &["my", "our"]));
    let the = if first == 1 { "the " } else { "" };
    Some(format!("{the}{} {}", parts[first..at].join(" "), parts[next..].join(" ")))
}

/// "Tom thought it was dry but he was wrong": what another said is taken back, and it is not said what
/// is so.
pub(super) fn was_mistaken(words: &str) -> bool {
    const SAID: &[&str] = &["said", "says", "thought", "thinks", "reckoned", "reckons", "told"];
    let lower = words.to_lowercase();
    let plain = lower.trim().trim_end_matches(['.', '!']);
    let said = plain.split_whitespace().take(NAME_WORDS_MAX + 1).any(|word| SAID.contains(&word));
    let head = plain.strip_suffix(" wrong").or_else(|| plain.strip_suffix(" mistaken"));
    let head = head.map(|head| head.trim_end_matches(" it").trim_end_matches(" all"));
    said && head.is_some_and(|head| {
        let last: Vec<&str> = head.split_whitespace().rev().take(2).collect();
        let of_him = |word: &str| matches!(word, "he" | "she" | "they");
        let is = |word: &str| matches!(word, "was" | "were" | "is" | "are" | "got" | "had");
        let whole = matches!(last[..], [verb, who] if is(verb) && of_him(who));
        whole || last.first().is_some_and(|word| {
            matches!(*word, "he's" | "hes" | "she's" | "shes" | "they're" | "theyre")
        })
    })
}

/// What another said of what he saw, and how much of it left out: "Tom says it was quite dry" is that
/// it was dry. None where nothing is left out.
pub(super) fn plainly_told(words: &str) -> Option<String> {
    const SAYS: &[&str] = &["says", "said", "reckons", "reckoned", "thinks", "thought", "tells", "told"];
    const BEHIND: &[&str] = &["me", "us", "that"];
    const DEGREES: &[&str] = &[
        "quite", "rather", "pretty", "fairly", "really", "very", "perfectly", "completely", "totally", "absolutely", "bone",
    ];
    const SHORT_MAX: usize = 8;
    const NAME_WORDS_MAX: usize = 3;
    let plain = words.trim().trim_end_matches(['.', '!']);
    let said: Vec<&str> = plain.split_whitespace().collect();
    // "Cut like he said" tells no words of his.
    let says = |word: &&str| SAYS.contains(&word.to_lowercase().as_str());
    let at = said.iter().take(NAME_WORDS_MAX + 1).position(says);
    let from = at.filter(|at| (1..=NAME_WORDS_MAX).contains(at)).map_or(0, |at| {
        at + 1 + said[at + 1..].iter().take_while(|word| BEHIND.contains(word)).count()
    });
    let rest = said.get(from..).filter(|rest| !rest.is_empty() && rest.len() <= SHORT_MAX)?;
    let kept = rest.iter().filter(|word| !DEGREES.contains(&word.to_lowercase().as_str()));
    let told = kept.copied().collect::<Vec<&str>>().join(" ");
    (!told.is_empty() && told.len() < plain.len() && !plain.contains('?')).then_some(told)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_was_wrong_said_nothing_that_counts() {
        for (words, wanted) in [
            ("Tom thought it was dry but he was wrong", true),
            ("the lad said it was wet, but he got it wrong", true),
            ("Tom said the height is wrong", false),
            ("Tom thought it was dry", false),
            ("something was wrong", false),
        ] {
            assert_eq!(was_mistaken(words), wanted, "{words}");
        }
    }

    #[test]
    fn a_question_of_another_is_asked_as_his() {
        for (words, wanted) in [
            ("apprentice wants to know why we lap", Some("why we lap")),
            ("The new lad keeps asking me what a land is", Some("what a land is")),
            ("the boss wants to know it by Friday", None),
            ("why does he want to know", None),
        ] {
            assert_eq!(asked_by(words), wanted, "{words}");
        }
    }

    #[test]
    fn what_only_excuses_the_question_is_left_out() {
        for (words, wanted) in [
            ("I am no mechanic, what does clip mean?", Some("what does clip mean?")),
            ("Forgive my ignorance, but how is a reel ground?", Some("how is a reel ground?")),
            ("I'm not technical: is that bad?", Some("is that bad?")),
            ("I am no longer happy with unit 2, it streaks", None),
            ("the reel is no good, what now", None),
        ] {
            assert_eq!(without_excuse(words), wanted, "{words}");
        }
        assert!(names_a_learner("I'm only the apprentice, can I lap?", "can I lap?"));
        assert!(!names_a_learner("I am new here, can I lap?", "can I lap?"));
        let told = without_record("Who sets the heights, is there a record of it?");
        assert_eq!(told, Some("Who sets the heights"));
        assert_eq!(without_record("is there a record of it?"), None);
    }

    #[test]
    fn what_is_to_be_explained_is_asked() {
        for (words, wanted) in [
            ("How do I explain to students why a clip like that is best?", Some("why a clip like that is best?")),
            ("so how would you explain to the new lad what a land is", Some("what a land is")),
            ("how can I teach them when to stop lapping", Some("when to stop lapping")),
            ("how do I explain it to the boss", None),
            ("how do I tell the boss what happened", None),
            ("I need to tell you what happened, the blade hit a stone", None),
            ("how do I set the reel", None),
        ] {
            assert_eq!(to_explain(words), wanted, "{words}");
        }
        for (words, wanted) in [
            ("what is relief, and how would I demonstrate it in a half hour lesson?", Some("what is relief")),
            ("why do we lap and how do I teach it", Some("why do we lap")),
            ("what is wrong and how do I fix it", None),
            ("how do I show it", None),
        ] {
            assert_eq!(without_lesson(words), wanted, "{words}");
        }
    }

    #[test]
    fn work_told_by_another_is_told_as_his() {
        for (words, wanted) in [
            ("My apprentice tells me he ground the reel last week", Some("the apprentice ground the reel last week")),
            ("Pat says he changed it again on Friday.", Some("Pat changed it again on Friday.")),
            ("the lad told me that he has just greased it", Some("the lad greased it")),
            ("the lad says it is streaking", None),
            ("who said he changed it", None),
            ("Pat says he changed it?", None),
        ] {
            assert_eq!(told_by(words).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn what_another_saw_is_told_plainly() {
        for (words, wanted) in [
            ("Tom says it was quite dry", Some("it was dry")),
            ("the lad told me that it was very wet", Some("it was wet")),
            ("it was rather wet.", Some("it was wet")),
            ("it was dry", None),
            ("is it quite dry?", None),
        ] {
            assert_eq!(plainly_told(words).as_deref(), wanted, "{words}");
        }
    }
}
