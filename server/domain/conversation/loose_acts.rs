//! Which act is meant by words that say it in their own way: "got that done", "ok what's next",
//! "stop here for today, lunch"? Words that carry nothing are left out; what is left has to be one
//! of a few sets of words, whatever their order. One word that is not known, and it is no act.

use super::acts::{self, Act};

/// Words that carry nothing of the act.
const SMALL: &[&str] = &[
    "the", "a", "an", "this", "that", "it", "its", "is", "are", "am", "i", "we", "you", "me", "us",
    "my", "our", "have", "has", "had", "got", "been", "was", "were", "did", "do", "be", "to", "of",
    "on", "up", "in", "at", "for", "one", "here", "there", "please", "just", "now", "then", "so",
    "well", "oh", "ah", "ok", "okay", "right", "alright", "mate", "thanks", "thank", "ta", "cheers",
    "all", "can", "could", "would", "will", "shall", "let", "want", "like", "go", "going", "bit",
    "job", "and", "them", "these", "those", "as", "think", "reckon", "good", "great", "sure", "fine",
    "hang", "hold", "gotta", "need", "i'll", "ill", "we'll", "gonna", "must", "actually", "lovely", "cool", "nice", "perfect", "grand",
    "brilliant", "lads", "boss",
];

/// First words of questions that are no act.
const QUESTIONS: &[&str] =
    &["is", "are", "was", "were", "does", "should", "must", "when", "who", "why", "how", "which"];

/// Words that may stand beside a yes and change nothing.
const BESIDE_YES: &[&str] =
    &["please", "thanks", "thank", "you", "ta", "cheers", "mate", "ok", "okay", "right", "oh", "well"];

/// Words that thank, and what stands with them where nothing else is said. Words that may answer
/// a question ("it's fine, thanks") are none of these.
const THANKS: &[&str] = &["thanks", "thank", "thankyou", "thanx", "ta", "cheers", "appreciated", "appreciate"];
const BESIDE_THANKS: &[&str] = &[
    "you", "mate", "lads", "boss", "pal", "that", "is", "the", "a", "very", "much", "so", "lot", "lots", "many", "for",
    "your", "help", "again", "great", "grand", "lovely", "brilliant", "perfect", "cool", "nice", "spot", "on",
    "champion", "really", "ever", "ok", "okay", "oh", "ah", "well", "all", "that's", "thats", "just", "what", "needed",
    "i", "big", "bye", "awesome", "excellent", "super", "top", "wonderful", "helpful", "job", "man",
];
/// A thank begins among so many first words.
const THANKS_AMONG: usize = 2;

/// "Thanks mate that's grand": nothing but a thank.
pub(super) fn thanks(words: &str) -> bool {
    let plain = acts::plain(words);
    let between = |ch: char| !(ch.is_alphanumeric() || ch == '\'');
    let said: Vec<&str> = plain.split(between).filter(|word| !word.is_empty()).collect();
    let thank = |word: &&str| THANKS.contains(word);
    said.iter().take(THANKS_AMONG).any(thank)
        && said.iter().all(|word| thank(word) || BESIDE_THANKS.contains(word))
        && !words.trim_end().ends_with('?')
}

/// Words that end the work for now, and the reasons people give.
const STOPPING: &[&str] = &[
    "stop", "stopped", "stopping", "pause", "enough", "break", "knock", "knocking", "pack", "packing",
    "today", "tomorrow", "tonight", "lunch", "dinner", "tea", "brew",
];
const REASONS: &[&str] = &[
    "off", "home", "time", "later", "morning", "monday", "back", "after", "until", "till", "finish",
    "hour", "hours", "minutes", "few", "rest", "carry", "leave", "rain", "raining", "day", "half", "more", "resume", "come", "again",
    "minute", "phone", "called", "away", "week", "afternoon", "evening",
];

/// Sets of words, each with its act.
#[rustfmt::skip]
const SETS: &[(Act, &[&str])] = &[
    (Act::Done, &["done", "next", "next step", "done step", "done next", "finished", "finished step",
        "finished next", "sorted", "complete", "completed", "step complete", "what next",
        "what next step", "move next", "move next step", "onto next", "onto next step", "ready next",
        "ready next step", "carry", "continue"]),
    (Act::Acknowledge, &["read", "read cautions", "read every word", "understood",
        "read understood", "understand",
        "understood cautions", "understand cautions", "seen cautions", "noted", "noted cautions",
        "acknowledged", "acknowledged cautions", "acknowledge"]),
    (Act::Skip, &["skip", "skip step", "skip reading", "leave out", "leave step out", "miss out",
        "pass"]),
    (Act::Back, &["back", "back step", "previous step", "step before", "last step", "back before",
        "back previous", "previous", "back last"]),
    (Act::Restart, &["start over", "start again", "begin again", "start from beginning",
        "start from top", "start again from top", "start again from beginning", "from top", "from beginning", "from start", "back start",
        "back beginning", "back first step", "start over again", "restart"]),
    (Act::Again, &["again", "repeat", "repeat step", "say again", "show again", "show step",
        "show step again", "step again", "where", "what step", "where get", "where again"]),
    (Act::Resume(0), &["resume", "pick where left off", "pick where left", "carry where left off",
        "carry where left", "pick again", "resume draft"]),
    (Act::Cancel, &["cancel", "scrap", "forget", "never mind"]),
    (Act::Undo, &["undo", "undo last", "take back", "delete", "delete last", "delete record",
        "delete last record", "delete entry", "delete last entry", "remove", "remove last",
        "remove record", "withdraw", "withdraw last", "withdraw record", "undo record",
        "take last back", "scrap last"]),
    (Act::WhatWasStored, &["what record", "what recorded", "what store", "what stored", "what save",
        "what saved", "what you record", "save", "saved", "stored"]),
];

/// The act, whatever small talk stands around it.
pub fn act(words: &str) -> Option<Act> {
    let mut found: Option<Act> = None;
    let mut stops = false;
    let mut reasons = false;
    let lower = words.to_lowercase();
    for clause in lower.split([',', ';', '.', '!', '?']).filter(|part| !part.trim().is_empty()) {
        let plain = acts::plain(clause);
        let said: Vec<&str> = plain.split_whitespace().collect();
        let one = match of_clause(&said) {
            Clause::Nothing => continue,
            Clause::Reason => {
                reasons = true;
                continue;
            }
            Clause::Act(one) => one,
            Clause::Else => return thanks(words).then_some(Act::Greeting),
        };
        stops |= one == Act::Stop;
        found = Some(match found {
            None => one,
            Some(before) => both(before, one)?,
        });
    }
    // "Lunch" alone is a reason to stop; "in the morning" alone is none.
    if reasons && !stops {
        return None;
    }
    let thanked = || thanks(words).then_some(Act::Greeting);
    let act = found.or_else(thanked)?;
    let beside = |word: &str| {
        BESIDE_YES.contains(&word) || acts::exactly(word).is_some_and(|one| one == Act::Yes)
    };
    let plain_yes = || {
        let said = acts::plain(words);
        let mut said: Vec<&str> = said.split_whitespace().collect();
        while said.len() > 1 && said.last().is_some_and(|last| BESIDE_YES.contains(last)) {
            said.pop();
        }
        let said = match said.iter().position(|word| !BESIDE_YES.contains(word)) {
            Some(first) => &said[first..],
            None => return false,
        };
        let yes = |words: &[&str]| acts::exactly(&words.join(" ")) == Some(Act::Yes);
        yes(said) || (yes(&said[..1]) && yes(&said[1..])) || said.iter().all(|word| beside(word))
    };
    match act {
        Act::Yes => plain_yes().then_some(act),
        // "Yes, right."
        Act::Acknowledge if plain_yes() && acts::beginning(words).is_some() => Some(Act::Yes),
        act => Some(act),
    }
}

/// What two clauses come to. Two that say different things are no act.
fn both(before: Act, one: Act) -> Option<Act> {
    match (before, one) {
        (before, one) if before == one => Some(before),
        // "Yep, read that".
        (Act::Yes, Act::Acknowledge) => Some(Act::Acknowledge),
        (Act::Acknowledge | Act::Greeting, one) => Some(one),
        (before, Act::Acknowledge | Act::Greeting) => Some(before),
        (Act::Yes, one @ (Act::Done | Act::Skip | Act::Back | Act::Stop)) => Some(one),
        // "Skip it, we did that", "that's it for today, finished".
        (first @ (Act::Skip | Act::Stop), Act::Done) => Some(first),
        (Act::Done | Act::Cancel, last @ (Act::Stop | Act::Undo | Act::Skip)) => Some(last),
        (first @ Act::Undo, Act::Cancel) => Some(first),
        _ => None,
    }
}

enum Clause {
    Act(Act),
    /// Small talk only.
    Nothing,
    /// Why somebody stops.
    Reason,
    Else,
}

fn of_clause(said: &[&str]) -> Clause {
    if let Some(act) = acts::exactly(&said.join(" ")) {
        return Clause::Act(act);
    }
    if let Some(act) = to_a_step(said) {
        return Clause::Act(act);
    }
    if said.first().is_some_and(|first| QUESTIONS.contains(first)) && said != ["where"] {
        return Clause::Else;
    }
    // "What is this step for" asks why, and not for the step again.
    if said.first() == Some(&"what") && said.last() == Some(&"for") {
        return Clause::Else;
    }
    if let [before @ .., last] = said
        && !before.is_empty()
        && SMALL.contains(last)
        && let Some(act) = acts::exactly(&before.join(" "))
    {
        return Clause::Act(act);
    }
    // "Yep done", "ok yes": the rest says what is meant.
    if let [first, rest @ ..] = said
        && !rest.is_empty()
        && (SMALL.contains(first) || acts::exactly(first) == Some(Act::Yes))
    {
        let rest = of_clause(rest);
        let yes = acts::exactly(first) == Some(Act::Yes);
        match rest {
            Clause::Act(act) if yes && act != Act::No => {
                return both(Act::Yes, act).map_or(Clause::Else, Clause::Act);
            }
            // "Ok ta" says ok; "in the morning" greets nobody.
            Clause::Act(Act::Greeting) | Clause::Nothing if !yes => {
                let said = acts::exactly(first).filter(|act| *act == Act::Acknowledge);
                return said.map_or(Clause::Nothing, Clause::Act);
            }
            Clause::Act(act) if !yes => return Clause::Act(act),
            Clause::Nothing if yes => return Clause::Act(Act::Yes),
            _ => {}
        }
    }
    let content: Vec<&str> =
        said.iter().copied().filter(|word| !SMALL.contains(word)).collect();
    if content.is_empty() {
        return Clause::Nothing;
    }
    let same = |set: &&str| {
        let mut words = set.split_whitespace();
        words.clone().count() == content.len() && words.all(|word| content.contains(&word))
    };
    if let Some((act, _)) = SETS.iter().find(|(_, sets)| sets.iter().any(|set| same(&set))) {
        return Clause::Act(act.clone());
    }
    let stops = content.iter().any(|word| STOPPING.contains(word));
    let known = |word: &&str| STOPPING.contains(word) || REASONS.contains(word);
    match (content.iter().all(known), stops) {
        (true, true) => Clause::Act(Act::Stop),
        (true, false) => Clause::Reason,
        (false, _) => Clause::Else,
    }
}

/// "Go to step 4", "back to step two".
fn to_a_step(said: &[&str]) -> Option<Act> {
    const BESIDE: &[&str] = &["jump", "skip", "ahead", "show", "take", "back", "forward", "number"];
    let at = said.iter().position(|word| *word == "step")?;
    let number = acts::number_of(said.get(at + 1)?)?;
    let rest = said.iter().enumerate().filter(|(place, _)| *place != at && *place != at + 1);
    let known = |word: &&str| SMALL.contains(word) || BESIDE.contains(word);
    let plain = rest.map(|(_, word)| word).all(known);
    plain.then_some(Act::GoTo(number))
}

/// Whether the words say that something was read or understood: "ok next", "got it, what now".
pub fn says_read(words: &str) -> bool {
    let lower = words.to_lowercase();
    lower.split([',', ';', '.', '!', '?']).any(|clause| {
        let plain = acts::plain(clause);
        let said: Vec<&str> = plain.split_whitespace().collect();
        let starts = (1..=said.len().min(3)).any(|count| {
            acts::exactly(&said[..count].join(" ")) == Some(Act::Acknowledge)
        });
        starts || matches!(of_clause(&said), Clause::Act(Act::Acknowledge))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thank_is_nothing_but_a_thank() {
        for (words, wanted) in [
            ("thanks mate thats grand", true),
            ("ok cheers lads, that's great", true),
            ("much appreciated", true),
            ("thanks, it's fine", false),
            ("thanks, it still leaves a line", false),
            ("that's not right thanks", false),
            ("thanks, all that?", false),
        ] {
            assert_eq!(thanks(words), wanted, "{words}");
        }
    }

    /// Invented turns, as people in a job say them.
    #[test]
    fn acts_are_heard_in_other_words() {
        for (words, wanted) in [
            ("got that done", Some(Act::Done)),
            ("done ta", Some(Act::Done)),
            ("all done", Some(Act::Done)),
            ("right, that's that done mate", Some(Act::Done)),
            ("whats next", Some(Act::Done)),
            ("what's the next step?", Some(Act::Done)),
            ("ok next", Some(Act::Done)),
            ("yep done", Some(Act::Done)),
            ("back a step", Some(Act::Back)),
            ("can we go back a step please", Some(Act::Back)),
            ("go to step 4", Some(Act::GoTo(4))),
            ("back to step two", Some(Act::GoTo(2))),
            ("ok where was i", Some(Act::Again)),
            ("skip it, we did that", Some(Act::Skip)),
            ("we did that, skip it", Some(Act::Skip)),
            ("sure i've read them", Some(Act::Acknowledge)),
            ("yep store it", Some(Act::Yes)),
            ("yep read that", Some(Act::Acknowledge)),
            ("yes ok", Some(Act::Yes)),
            ("actually delete that", Some(Act::Undo)),
            ("actually yes it was loud", None),
            ("scrap that one, delete it", Some(Act::Undo)),
            ("stop here for today, lunch", Some(Act::Stop)),
            ("thats it for today", Some(Act::Stop)),
            ("that's it for today, finish tomorrow", Some(Act::Stop)),
            ("i've stopped for dinner", Some(Act::Stop)),
            ("can we start over", Some(Act::Restart)),
            ("lets start again from the top", Some(Act::Restart)),
            ("read and understood", Some(Act::Acknowledge)),
            ("read it", Some(Act::Acknowledge)),
            ("ok i've read them all", Some(Act::Acknowledge)),
            ("delete the last record", Some(Act::Undo)),
            ("what did you record just now", Some(Act::WhatWasStored)),
            ("is that done?", None),
            ("not done", None),
            ("i have not read it", None),
            ("in the morning", None),
            ("ok ta", Some(Act::Acknowledge)),
            ("thanks a lot, very helpful", Some(Act::Greeting)),
            ("thanks mate, spot on", Some(Act::Greeting)),
            ("thanks, it still leaves a line", None),
            ("got it mate", Some(Act::Acknowledge)),
            ("back off both adjusters", None),
            ("done by the apprentice", None),
            ("yes done but it still squeals", None),
            ("next unit is worse", None),
            ("the step between units 2 and 3", None),
        ] {
            assert_eq!(acts::of(words), wanted, "{words}");
        }
    }

    #[test]
    fn only_words_of_reading_say_that_it_was_read() {
        for words in ["ok next", "got it, what's next", "right, done", "read that"] {
            assert!(says_read(words), "{words}");
        }
        for words in ["done", "next", "skip it", "all done", "what's next"] {
            assert!(!says_read(words), "{words}");
        }
    }
}
