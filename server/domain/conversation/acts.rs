//! Is this a word of the conversation itself: yes, no, ok, done, back, stop, help? Only whole
//! utterances count, whatever small talk stands around them (`loose_acts`). "Yes it was loud" is no
//! consent, and "stop" inside a sentence stops nothing.

use super::loose_acts;

/// What somebody does with a short utterance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act {
    Yes,
    No,
    /// "Don't know": a question is left open.
    Unknown,
    /// The cautions were read.
    Acknowledge,
    Done,
    Back,
    /// To the step of this number.
    GoTo(usize),
    /// To the first step again.
    Restart,
    Again,
    Skip,
    Why,
    /// Leaves the job; what was read is kept.
    Stop,
    /// Takes back what is proposed or asked.
    Cancel,
    /// Takes back what was stored last.
    Undo,
    /// What was stored here?
    WhatWasStored,
    Help,
    /// Shows the cautions of the last answer again.
    Cautions,
    /// Lists work left half way.
    Drafts,
    /// Takes up a draft: the one touched last, or the one of this number in the list.
    Resume(usize),
    /// Throws a draft away.
    Discard(usize),
    /// Records what was read so far.
    Record,
    /// Walks through what was advised last, or the one of this number.
    DoAdvised(usize),
    /// One of several that were offered.
    Choose(usize),
    /// Walks through this procedure.
    Walk(String),
    /// What comes is another complaint.
    Afresh,
    Greeting,
}

#[rustfmt::skip]
const ACTS: &[(Act, &[&str])] = &[
    (Act::Yes, &["y", "yes", "yep", "yeah", "yea", "aye", "yes please", "yes that is right",
        "that is right", "correct", "confirm", "save it", "store it", "record it", "yes save it",
        "yes store it", "yes record it", "go ahead", "yes go ahead", "please do", "yes do",
        "put it in", "put that in", "log it", "log that", "save that", "store that", "book it",
        "book it in", "book that", "book that in", "record that"]),
    (Act::No, &["n", "no", "nope", "nah", "no thanks", "no thank you", "no leave it",
        "nah leave it", "no do not", "no forget it", "nah forget it", "no scrap it", "no scrap that",
        "no cancel it", "no cancel that", "do not", "no leave that"]),
    (Act::Unknown, &["do not know", "i do not know", "not sure", "unknown", "no idea", "u",
        "cannot tell", "can not tell", "dunno", "no clue", "i have not looked", "have not looked",
        "not looked yet", "not checked", "not checked yet", "i have not checked", "could not say",
        "hard to say", "hard to tell", "i would have to look"]),
    (Act::Acknowledge, &["ok", "okay", "understood", "read", "i have read it", "i have read them",
        "i have read this", "got it", "right", "acknowledged", "got that", "got them", "got all that",
        "righto", "right o", "right you are", "alright", "all right", "will do", "makes sense",
        "okey dokey", "okie dokie", "fair enough"]),
    (Act::Done, &["done", "next", "that is done", "did it", "did that", "step done", "carry on",
        "continue", "finished", "ready"]),
    (Act::Back, &["back", "go back", "previous", "last step", "step back"]),
    (Act::Restart, &["start over", "start again", "begin again", "restart"]),
    (Act::Again, &["again", "repeat", "repeat that", "say again", "say that again", "go on",
        "where was i", "where were we", "where am i", "show the step", "pardon"]),
    (Act::Skip, &["skip", "skip it", "skip that", "skip this", "leave it out"]),
    (Act::Why, &["why", "why is that", "what for"]),
    (Act::Stop, &["stop", "leave", "pause", "put it away", "stop here", "enough", "quit",
        "leave it there", "later"]),
    (Act::Cancel, &["cancel", "cancel that", "forget it", "never mind", "nevermind", "scrap that",
        "do not save it", "do not record it", "drop it"]),
    (Act::Undo, &["undo", "undo it", "undo that", "take that back", "take it back", "delete it",
        "delete that", "delete that one", "delete the last one", "remove that", "withdraw that"]),
    (Act::WhatWasStored, &["what did you store", "what did we just store", "what was stored",
        "did you save that", "did you store that", "is it saved", "is that saved",
        "was that stored", "was it stored", "is that stored", "is it stored", "did that save",
        "did that go in", "is that booked", "did i book that", "did i book that already",
        "did i store that", "have you stored that", "have you got that", "is that in",
        "did that store", "did it store", "did i book it", "did i book it already",
        "have i booked that", "have i booked it", "have i booked that already", "is it booked",
        "is that booked in", "did that get booked", "did i log that", "did i log that already",
        "did i record that", "is that recorded", "did i put that in already", "did i put that in",
        "has that been booked", "has that been recorded", "has it been booked",
        "did we book that", "did we book that already"]),
    (Act::Help, &["help", "?", "what can you do", "what can i say", "what can i ask", "options"]),
    (Act::Cautions, &["cautions", "caution", "the cautions", "show cautions", "show the cautions",
        "show me the cautions", "cautions again", "what were the cautions"]),
    (Act::Drafts, &["drafts", "show drafts", "list drafts", "what did i leave", "what is open",
        "unfinished jobs"]),
    (Act::Resume(0), &["resume", "resume it", "take it up again", "pick it up again",
        "go on with the job"]),
    (Act::Record, &["record what i have", "record so far", "save what i have", "finish here",
        "record it as it is"]),
    (Act::DoAdvised(0), &["do it", "walk me through it", "walk me through that", "show me how",
        "how do i do that", "how do i do it", "how", "talk me through it", "take me through it",
        "let us do it", "what do i do about it", "what do i do", "what do i do now", "how do i fix it",
        "how do i fix that", "how do i cure it", "how do i mend it", "how do i put it right",
        "how do i sort it", "show me"]),
    (Act::Afresh, &["new fault", "new complaint", "new problem", "another fault",
        "another complaint", "another problem", "different fault", "different problem",
        "start afresh"]),
    (Act::Greeting, &["hello", "hi", "good morning", "morning", "hey", "good afternoon", "thanks",
        "thank you", "cheers", "ta"]),
];

/// The act, when the words are one and nothing else but small talk.
pub fn of(words: &str) -> Option<Act> {
    exactly(words).or_else(|| loose_acts::act(words))
}

/// The act, when the words are one as it stands in the table.
pub fn exactly(words: &str) -> Option<Act> {
    let plain = plain(words);
    if plain.is_empty() && words.trim() == "?" {
        return Some(Act::Help);
    }
    let known = ACTS.iter().find(|(_, said)| said.contains(&plain.as_str()));
    known.map(|(act, _)| act.clone()).or_else(|| numbered(&plain)).or_else(|| named(&plain, words))
}

/// Whether words ask for something to be stored, rather than only say yes.
pub fn of_storing(words: &str) -> bool {
    const STORING: &[&str] = &["store", "save", "record", "log", "put", "book"];
    words.to_lowercase().split(|ch: char| !ch.is_alphanumeric()).any(|word| STORING.contains(&word))
}

/// "No, don't store that, I want to know why": what is said behind the order not to store.
pub fn behind_not_storing(words: &str) -> Option<&str> {
    const WHAT: &[&str] = &["that", "it", "this", "them", "anything"];
    let end = words.match_indices([',', '.', ';']).map(|(at, _)| at);
    end.chain([words.len()]).find_map(|end| {
        let order = plain(&words[..end]);
        let order = order.strip_prefix("no ").unwrap_or(&order);
        let (verb, what) = order.strip_prefix("do not ")?.split_once(' ')?;
        let what = what.strip_suffix(" down").unwrap_or(what);
        let rest = words[end..].trim_start_matches([',', '.', ';', ' ']);
        let stores = of_storing(verb) || matches!(verb, "write" | "keep" | "note");
        (stores && WHAT.contains(&what)).then_some(rest)
    })
}

/// "No, it's a complaint not a job", "don't put that down, it's what's wrong": what was taken for work
/// is what ails.
pub fn says_it_ails(words: &str) -> bool {
    const AILS: &[&str] =
        &["complaint", "fault", "problem", "trouble", "symptom", "wrong", "complaining", "issue", "moan"];
    const BEGINS: &[&str] = &["no", "nah", "nope", "do", "not", "it", "that", "this", "its", "it's", "wait", "hang", "sorry"];
    const AROUND: &[&str] = &[
        "it's", "i'm", "no", "nah", "nope", "do", "not", "it", "that", "this", "is", "its", "thats", "what", "whats", "the", "a", "an", "job", "work",
        "record", "one", "put", "log", "store", "save", "book", "write", "note", "down", "in", "i", "am", "im", "was", "with",
        "telling", "told", "you", "said", "wait", "hang", "on", "sorry", "oh", "but", "and", "done", "anything", "just", "only", "of",
        "my", "our", "to", "be", "something", "recording", "them", "he", "they", "say", "saying",
    ];
    // "No, that's wrong" puts something right, and tells no fault.
    let plain = plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let what_is_wrong = plain.contains("what is wrong") || plain.contains("whats wrong");
    let ails = what_is_wrong || said.iter().any(|word| AILS.contains(word) && *word != "wrong");
    let begins = said.first().is_some_and(|word| BEGINS.contains(word));
    let asks = words.trim_end().ends_with('?');
    // "It is not a fault", "that was the fault", "no trouble", "my problem" deny it.
    let denies = |word: &str| matches!(word, "no" | "not" | "was" | "were" | "my");
    let fault = |word: &str| AILS.contains(&word) && !matches!(word, "wrong" | "complaint");
    let denied = said.windows(2).any(|two| denies(two[0]) && fault(two[1]))
        || said.windows(3).any(|three| {
            denies(three[0]) && matches!(three[1], "a" | "an" | "the") && AILS.contains(&three[2])
        });
    let no_work = said.windows(3).any(|three| {
        three[0] == "not" && (matches!(three[1], "done" | "work")
            || matches!(three[2], "job" | "work" | "record" | "done"))
    }) || said.windows(2).any(|two| two[0] == "not" && matches!(two[1], "done" | "work"));
    let not_stored = said.windows(3).any(|three| {
        three[0] == "do" && three[1] == "not" && (of_storing(three[2])
            || matches!(three[2], "write" | "note"))
    });
    let complains = what_is_wrong
        || said.iter().any(|word| matches!(*word, "complaint" | "complaining" | "moan"));
    let told = no_work || (not_stored && ails) || complains;
    ails && begins && !asks && !denied && told
        && said.iter().all(|word| AILS.contains(word) || AROUND.contains(word))
}

/// The yes or no that words begin with, and what is said behind it.
pub fn beginning(words: &str) -> Option<(Act, &str)> {
    const STARTS: &[(Act, &[&str])] = &[
        (Act::Yes, &["yes", "yep", "yeah", "yea", "yup", "aye", "y"]),
        (Act::No, &["no", "nope", "nah", "n"]),
        (Act::Unknown, &["don't know", "dont know", "dunno", "not sure", "no idea"]),
    ];
    let head = |start: &&&str| {
        let of = words.get(..start.len()).is_some_and(|head| head.eq_ignore_ascii_case(start));
        of && words[start.len()..].starts_with([',', ' ', '.', ';', '-'])
    };
    let longest = STARTS
        .iter()
        .flat_map(|(act, starts)| starts.iter().filter(head).map(move |start| (act, start.len())))
        .max_by_key(|(_, length)| *length);
    let (act, length) = longest?;
    let rest = words[length..].trim_start_matches([',', ' ', '.', ';', '-']);
    (!rest.is_empty()).then(|| (act.clone(), rest))
}

/// Lower case, contractions opened, no signs at the end.
pub(super) fn plain(words: &str) -> String {
    let lower = words.to_lowercase().replace('\u{2019}', "'");
    let mut text = lower.trim().trim_end_matches(['.', '!', ',', ';', '?']).trim().to_owned();
    for (short, long) in [
        ("that's", "that is"),
        ("don't", "do not"),
        ("i've", "i have"),
        ("can't", "cannot"),
        ("haven't", "have not"),
        ("couldn't", "could not"),
        ("let's", "let us"),
        ("what's", "what is"),
        ("dont", "do not"),
        (",", ""),
    ] {
        text = text.replace(short, long);
    }
    let opened = |word| match word {
        "whats" => "what is",
        "thats" => "that is",
        "wheres" => "where is",
        "hows" | "how's" => "how is",
        "long's" | "longs" => "long is",
        "reason's" => "reason is",
        "lets" => "let us",
        "ive" => "i have",
        "weve" | "we've" => "we have",
        "im" | "i'm" => "i am",
        "havent" => "have not",
        "cant" => "cannot",
        word => word,
    };
    text.split_whitespace().map(opened).collect::<Vec<_>>().join(" ")
}

/// "Resume 2", "discard 1", "do 2", "the second".
fn numbered(plain: &str) -> Option<Act> {
    let (verb, rest) = plain.split_once(' ').unwrap_or(("", plain));
    let number = number_of(rest);
    match (verb, number) {
        ("resume" | "continue", Some(number)) => Some(Act::Resume(number)),
        ("discard" | "delete", _) if rest == "draft" => Some(Act::Discard(1)),
        ("discard", Some(number)) => Some(Act::Discard(number)),
        ("do" | "walk", Some(number)) => Some(Act::DoAdvised(number)),
        ("the" | "number" | "option", Some(number)) => Some(Act::Choose(number)),
        ("", Some(number)) if rest.len() <= 2 || !rest.starts_with(char::is_numeric) => {
            Some(Act::Choose(number))
        }
        _ => None,
    }
}

/// "No. 1", "#2", "the walker 1", "the number 1 walker": a short name with one number in it, at its
/// end or before what it counts. `named`: whether another word of it is of a name.
pub(super) fn number_alone(words: &str, named: &dyn Fn(&str) -> bool) -> Option<usize> {
    const WORDS_MAX: usize = 5;
    const BEFORE_NUMBER: &[&str] = &["the", "number", "no", "no."];
    let plain = words.trim().trim_end_matches(['.', '!']).to_lowercase();
    let said: Vec<&str> = plain.split([' ', '#']).filter(|word| !word.is_empty()).collect();
    let counts = |three: &[&str]| {
        BEFORE_NUMBER.contains(&three[0]) && three[2].chars().all(char::is_alphabetic)
    };
    let last_three = said.len().checked_sub(3).map(|at| &said[at..]);
    let behind = usize::from(last_three.is_some_and(counts));
    let (number, name) = said[..said.len() - behind].split_last()?;
    let other = name.iter().chain(&said[said.len() - behind..]).any(|word| {
        let figure = word.contains(|ch: char| ch.is_ascii_digit());
        figure || !(BEFORE_NUMBER.contains(word) || named(word))
    });
    (said.len() <= WORDS_MAX && !other).then(|| number.parse().ok().filter(|at| *at > 0)).flatten()
}

pub(super) fn number_of(text: &str) -> Option<usize> {
    const NAMES: [[&str; 2]; 6] = [
        ["first", "first one"],
        ["second", "second one"],
        ["third", "third one"],
        ["fourth", "fourth one"],
        ["fifth", "fifth one"],
        ["sixth", "sixth one"],
    ];
    const COUNTS: [&str; 9] =
        ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
    let text = text.strip_prefix("draft ").unwrap_or(text);
    let counted = COUNTS.iter().position(|count| *count == text).map(|at| at + 1);
    let named = NAMES.iter().position(|names| names.contains(&text)).map(|at| at + 1);
    named.or(counted).or_else(|| text.parse().ok().filter(|number| (1..=99).contains(number)))
}

/// "Show set_clip", with the id as it stands in the knowledge.
fn named(plain: &str, words: &str) -> Option<Act> {
    let starts = ["show ", "walk ", "walk me through ", "start ", "do "];
    let id = starts.iter().rev().find_map(|start| plain.strip_prefix(start))?;
    let is_id = id.contains('_') && id.chars().all(|ch| ch.is_ascii_lowercase() || ch == '_');
    (is_id && words.contains('_')).then(|| Act::Walk(id.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_utterances_are_acts() {
        for (words, act) in [
            ("Yes.", Some(Act::Yes)),
            ("yes, please", Some(Act::Yes)),
            ("That's right!", Some(Act::Yes)),
            ("OK", Some(Act::Acknowledge)),
            ("Don't know", Some(Act::Unknown)),
            ("don\u{2019}t know", Some(Act::Unknown)),
            ("resume 2", Some(Act::Resume(2))),
            ("discard draft", Some(Act::Discard(1))),
            ("the second one", Some(Act::Choose(2))),
            ("2", Some(Act::Choose(2))),
            ("do 2", Some(Act::DoAdvised(2))),
            ("show secure_machine_for_work", Some(Act::Walk("secure_machine_for_work".into()))),
            ("?", Some(Act::Help)),
            ("yes please mate", Some(Act::Yes)),
            ("ok yes store it", Some(Act::Yes)),
            ("yes it was loud", None),
            ("yes but unit 3", None),
            ("yes, it was unit 2", None),
            ("stop the reel from rattling", None),
            ("no, 3.2", None),
            ("0.05", None),
            ("126", None),
            ("", None),
        ] {
            assert_eq!(of(words), act, "{words}");
        }
    }

    #[test]
    fn only_what_is_no_work_ails() {
        for (words, wanted) in [
            ("no its a complaint not a job", true),
            ("no, it's a fault not a job", true),
            ("don't put that down, it's what's wrong", true),
            ("do not log that, it's a problem", true),
            ("no trouble", false),
            ("it was no trouble", false),
            ("sorry, my problem", false),
            ("no, the problem is done", false),
            ("that was the problem", false),
            ("it was a fault", false),
            ("no, the fault was the job", false),
            ("that was the fault", false),
        ] {
            assert_eq!(says_it_ails(words), wanted, "{words}");
        }
    }

    #[test]
    fn a_yes_or_no_may_begin_more_words() {
        for (words, wanted) in [
            ("No, they're all the same", Some((Act::No, "they're all the same"))),
            ("yeah one is soft", Some((Act::Yes, "one is soft"))),
            ("no idea, not looked", Some((Act::Unknown, "not looked"))),
            ("nobody looked", None),
            ("none of them", None),
            ("yes", None),
            ("no.", None),
        ] {
            assert_eq!(beginning(words), wanted, "{words}");
        }
    }

    #[test]
    fn no_words_mean_two_acts() {
        let all: Vec<&str> = ACTS.iter().flat_map(|(_, said)| said.iter().copied()).collect();
        for (at, said) in all.iter().enumerate() {
            assert!(!all[..at].contains(said), "{said} stands twice");
            assert_eq!(&plain(said), if *said == "?" { "" } else { said }, "{said} is not plain");
        }
    }

    #[test]
    fn a_short_name_holds_one_number() {
        for (words, wanted) in [
            ("walker 1", Some(1)),
            ("No. 2", Some(2)),
            ("The number 1 walker", Some(1)),
            ("its the number 2 walker", Some(2)),
            ("10 mins", None),
            ("took 10 mins", None),
            ("not the number 1 walker", None),
            ("wasn't walker 2", None),
            ("lapped walker 2", None),
            ("walker 1 streaks", None),
            ("the walker", None),
        ] {
            let named = |word: &str| matches!(word, "walker" | "its");
            assert_eq!(number_alone(words, &named), wanted, "{words}");
        }
    }
}
