//! What do words mean that lean on the complaint that is looked into: "can he finish the hole and
//! bring it in", "is that one it keeps doing", "can I just file it out", "done, cuts paper, 20
//! minutes", "which way do I turn the screw"? Said whole, they are understood like any others.
//! Deliberately absent: whether it may, what was done before, and the remedy itself.

use super::asked_of_the_answer::{bare, core};
use super::{Actions, Conversation};
use crate::domain::catalogue::Knowledge;
use crate::domain::{danger, tried};

/// Whether it may go on working, whole.
pub(super) const GOES_ON: &str = "can i send it out";
/// What is to be done about it, whole.
const NEXT: &str = "what now";
/// How long its remedy takes, whole.
pub(super) const TIME: &str = "how long will it take";
/// Whether the fault is an old one, whole.
pub(super) const BEFORE: &str = "has it done this before";
/// Longer words tell of more.
const WORDS_MAX: usize = 18;
const SHORT_MAX: usize = 10;
/// So many words before the verb may be anybody's: "one of the lads says he".
const BEFORE_VERB_MAX: usize = 10;

const WAYS: &[&str] = &[
    "how", "what", "whats", "when", "who", "whos", "why", "which", "where", "hows", "did", "was",
];
/// What asks leave or tells what somebody means to do.
#[rustfmt::skip]
const CUES: &[&str] = &[
    "can", "could", "may", "might", "should", "shall", "will", "would", "safe", "ok", "okay",
    "alright", "fine", "wants", "want", "says", "reckons", "thinks", "allowed", "must", "need",
    "cant", "wont", "risk", "possible",
];
#[rustfmt::skip]
const VERBS: &[&str] = &[
    "run", "running", "use", "using", "used", "keep", "carry", "carrying", "finish", "finishing",
    "bring", "bringing", "drive", "driving", "limp", "nurse", "take", "taking", "send", "mow",
    "mowing", "cut", "cutting", "go", "last", "continue", "ride", "get", "do", "stop", "park",
    "walk", "push", "hold", "survive", "make", "wait",
];
/// Verbs that mean going on only where a place or a time stands with them.
#[rustfmt::skip]
const OF_A_PLACE: &[&str] = &[
    "finish", "finishing", "take", "taking", "mow", "mowing", "cut", "cutting", "last", "get",
    "drive", "driving", "walk", "push", "hold", "ride", "bring", "bringing", "limp", "nurse", "make",
    "do",
];
#[rustfmt::skip]
const TIMES: &[&str] = &[
    "tomorrow", "today", "tonight", "morning", "afternoon", "week", "weekend", "monday", "tuesday",
    "wednesday", "thursday", "friday", "saturday", "sunday", "till", "until", "hour", "hours",
    "day", "days", "longer", "month", "meantime", "winter", "evening", "again", "while",
];
#[rustfmt::skip]
const PLACES: &[&str] = &[
    "hole", "holes", "green", "greens", "fairway", "fairways", "tee", "tees", "rough", "edge",
    "round", "course", "pitch", "field", "outing", "match", "game", "tournament", "competition",
    "comp", "event", "rest", "lap", "strip", "nine", "shed", "shop", "workshop", "yard", "barn",
    "home", "back", "in", "pass", "collar", "surrounds", "apron", "medal", "wedding", "job",
    "area", "square", "outfield", "lawn",
];
#[rustfmt::skip]
const SMALL: &[&str] = &[
    "it", "that", "this", "them", "him", "her", "he", "she", "they", "i", "we", "me", "us", "the",
    "a", "an", "to", "on", "up", "of", "for", "and", "with", "like", "as", "is", "just", "then",
    "first", "still", "out", "under", "its", "own", "power", "steam", "one", "more", "another",
    "last", "only", "so", "please", "at", "by", "mate", "though", "going", "there", "safely",
    "slow", "slowly", "gently", "be", "all", "right", "way", "there", "through", "these", "now",
    "few", "two", "couple", "big", "next", "anyway", "even", "off", "working",
];
const MACHINES: &[&str] = &["mower", "machine", "unit", "deck", "thing"];
const ARTICLES: &[&str] = &["the", "this", "that", "a"];
/// Words behind these say how long, whatever they are.
const UNTIL: &[&str] = &["till", "until", "before"];
/// Beginnings of what is left alone.
const LEFT: &[&str] =
    &["never mind", "nevermind", "forget", "leave", "ok", "right", "so", "anyway"];

/// Whether a clause asks if work may go on.
fn asks_to_go_on(clause: &str) -> bool {
    let said: Vec<&str> = clause.split_whitespace().collect();
    let first = said.iter().find(|word| !matches!(**word, "so" | "and" | "ok" | "but" | "then"));
    if first.is_none_or(|word| WAYS.contains(word)) || said.len() > WORDS_MAX {
        return false;
    }
    let Some(cue) = said.iter().position(|word| CUES.contains(word)) else { return false };
    let behind_cue = said.iter().enumerate().skip(cue + 1);
    let Some((verb, _)) = behind_cue.clone().find(|(_, word)| VERBS.contains(word)) else {
        return false;
    };
    let subject = &said[cue..verb];
    let rest = &said[verb + 1..];
    let has = |list: &[&str]| rest.iter().any(|word| list.contains(word));
    let until = rest.iter().position(|word| UNTIL.contains(word)).unwrap_or(rest.len());
    let place = has(PLACES);
    let known = rest[..until].iter().enumerate().all(|(at, word)| {
        let article = at.checked_sub(1).is_some_and(|at| ARTICLES.contains(&rest[at]));
        let number = place && word.len() <= 4 && word.starts_with(|ch: char| ch.is_ascii_digit());
        let machine = MACHINES.contains(word) && article;
        let listed = [SMALL, TIMES, PLACES, VERBS].iter().any(|list| list.contains(word));
        listed || number || machine
    });
    let located = place || has(TIMES);
    let points = has(&["it", "that", "this", "them", "him", "machine", "mower", "deck", "unit"]);
    let whole = match said[verb] {
        // "Can I do it tomorrow" is of the job.
        "do" => has(&["rest", "another", "more", "round"]),
        "get" | "make" | "hold" => {
            located && (points || subject.contains(&"it")) && !has(&["out", "off"])
        }
        "last" => located || has(&["longer"]),
        "go" => has(&["on", "out", "back"]) && (located || subject.contains(&"it")),
        "keep" | "carry" | "carrying" => has(&["on", "going"]) || has(VERBS),
        // "Should I grind it or can it wait" asks what to do.
        "wait" => !subject.contains(&"or") && (located || subject.contains(&"it")),
        "stop" | "park" | "survive" | "continue" => true,
        "finish" | "finishing" => has(PLACES),
        verb if OF_A_PLACE.contains(&verb) => located && (points || has(PLACES)),
        _ => points || located || subject.contains(&"it"),
    };
    // "Run it off the battery", "work on it" are of something else.
    let other = has(&["off"]) && !has(&["finish"]);
    verb <= BEFORE_VERB_MAX && known && whole && !other
}

/// Whether it is asked if the same was there before.
fn asks_of_before(text: &str) -> bool {
    const SIGNS: &[&str] = &[
        "keeps doing", "keep doing", "keeps happening", "keep happening", "done this before",
        "done that before", "done it before", "happened before", "happen a lot", "happens a lot",
        "do this a lot", "do that a lot", "do it a lot", "does this a lot", "does it a lot",
        "do this often", "does this often", "do it often", "a regular thing", "a regular one",
        "a habit",
        "had this before", "had that before", "had it before", "seen this before",
        "seen that before", "seen it before", "always doing", "keeps coming back",
        "keep coming back", "repeat offender", "an old one", "first time it",
        "first time its", "first time this", "prone to", "a known one", "keeps getting",
        "keep getting", "comes back", "been here before", "usual one",
    ];
    const ASKS: &[&str] = &["is", "isnt", "has", "hasnt", "does", "have", "havent", "do", "did"];
    let first = text.split_whitespace().next().unwrap_or_default();
    let short = text.split_whitespace().count() <= SHORT_MAX;
    short && ASKS.contains(&first) && SIGNS.iter().any(|sign| text.contains(sign))
}

/// "No they're sharp, I told you I cut paper": without what only says that it was said before.
fn without_told_you(words: &str) -> Option<String> {
    const TOLD: &[&str] = &[
        "i already told you that ", "i already told you ", "i have told you ", "i've told you ", "ive told you ",
        "i told you that ", "i told you already ", "i told you ", "i already said that ", "i already said ",
        "like i said, ", "like i said ", "as i said, ", "as i said ",
    ];
    let lower = words.to_lowercase();
    let begins = |at: usize| at == 0 || lower[..at].ends_with([' ', ',', ';', '.']);
    let (at, said) = TOLD.iter().find_map(|said| {
        Some((lower.find(said).filter(|at| begins(*at))?, said))
    })?;
    let rest = [words.get(..at)?, words.get(at + said.len()..)?].concat();
    (lower.len() == words.len() && rest.trim().contains(' ')).then(|| rest.trim().to_owned())
}

/// What stands behind "done", where it tells that the fault is gone or how long it took.
fn told_as_done(words: &str) -> Option<&str> {
    const DONE: &[&str] = &[
        "all done", "thats done", "that's done", "done it", "done that", "did it", "did that",
        "done", "sorted it", "sorted", "all sorted", "finished", "did what you said", "did as you said",
        "done what you said", "done as you said", "did what it said", "did it all", "did all that",
    ];
    const LEADS: &[&str] = &["ok ", "ok, ", "right ", "right, ", "i've ", "ive ", "i ", "we ", "yeah ", "yes ", "yes, "];
    const GONE: &[&str] = &[
        "cuts paper", "cutting paper", "cuts clean", "cutting clean", "cuts fine", "no line",
        "no noise", "no streak", "no squeal", "no vibration", "gone", "cutting fine", "cuts it",
        "cuts all", "slices paper",
    ];
    let mut words = words;
    while let Some(rest) = LEADS.iter().find_map(|lead| {
        let head = words.get(..lead.len())?;
        head.eq_ignore_ascii_case(lead).then(|| &words[lead.len()..])
    }) {
        words = rest;
    }
    let lower = words.to_lowercase();
    if lower.len() != words.len() {
        return None;
    }
    let at = DONE.iter().filter(|done| lower.starts_with(**done)).map(|done| done.len()).max()?;
    let rest = words[at..].strip_prefix([',', '.', ';', ':', ' '])?.trim_start();
    // "Did it get fixed" asks; "I did it on unit 3" is of another one.
    const ASKED: &[&str] = &[
        "get", "go", "fix", "help", "was", "come", "stop", "do", "work", "happen", "cure", "sort", "ever", "really", "need",
    ];
    const UNITS: &[&str] = &["unit", "units", "reel", "walker", "triplex", "machine", "mower", "number", "deck"];
    let said: Vec<&str> = rest.split(|ch: char| !ch.is_alphanumeric()).collect();
    let asked = lower.starts_with("did ") && said.first().is_some_and(|word| ASKED.contains(word));
    let other = said.windows(2).any(|two| {
        let number = two[1].starts_with(|ch: char| ch.is_ascii_digit());
        (two[0] == "other") || (UNITS.contains(&two[0]) && number)
    });
    if asked || other || tried::is_trial(rest) {
        return None;
    }
    let bad = tried::goes_on(words);
    let rest = rest.strip_prefix("and ").unwrap_or(rest);
    let gone = tried::helped(rest) || GONE.iter().any(|sign| lower.contains(sign));
    (gone && !bad && !rest.ends_with('?')).then_some(rest)
}

impl<C: Clone> Conversation<C> {
    /// The words said whole, where they lean on the complaint that is looked into.
    pub(super) fn meant_of_the_case(&self, knowledge: &Knowledge, words: &str) -> Option<String> {
        let case = self.context.case.is_some();
        if self.proposal.is_some() || !(case || self.sign_said.is_some()) {
            return None;
        }
        if case && self.walking.is_none() && let Some(rest) = without_told_you(words) {
            return Some(rest);
        }
        // In a job such words may answer its step, and of a job that was left they are its own.
        let timed = words.to_lowercase().contains("min");
        // "Did that and it's good now": the fault is over, whatever step was shown.
        let over = words.trim_end_matches(['.', '!']).to_lowercase().ends_with(" now");
        let own = self.job_words.is_empty() && (self.walking.is_none() || timed || over);
        // Who was hurt at it, or what is still dangerous, comes first.
        let hurt = || {
            let danger = danger::heard(knowledge, &knowledge.ear.read(words));
            danger.stop.is_some() || danger.emergency.is_some()
                || tried::hurt_at_it(words)
        };
        if case && own && let Some(rest) = told_as_done(words).filter(|_| !hurt()) {
            return Some(format!("fixed it, {rest}"));
        }
        if self.walking.is_some() {
            return None;
        }
        // Without a complaint only what has to stop is gone on with.
        let stops = |said: &String| {
            danger::heard(knowledge, &knowledge.ear.read(said)).stop.is_some()
        };
        let told = case || self.sign_said.as_ref().is_some_and(stops);
        if told && self.goes_on_with_it(knowledge, words) {
            return Some(GOES_ON.to_owned());
        }
        let text = bare(words);
        let next = asks_whether_or_what(core(&text)) || asks_what_another_does(core(&text));
        if case && !self.advised.is_empty() && next {
            return Some(NEXT.to_owned());
        }
        if case && !self.advised.is_empty() && asks_the_time_of_it(&text) {
            return Some(TIME.to_owned());
        }
        if case && asks_of_before(core(&text)) {
            return Some(BEFORE.to_owned());
        }
        self.noun_put_in(knowledge, words)
    }

    /// One clause asks whether work may go on, and no other tells anything.
    fn goes_on_with_it(&self, knowledge: &Knowledge, words: &str) -> bool {
        let clauses = words.split([',', ';', '.', '?', '!']).map(bare);
        let clauses: Vec<String> = clauses.filter(|part| !part.is_empty()).collect();
        let Some(at) = clauses.iter().position(|part| asks_to_go_on(part)) else { return false };
        let tells = |part: &str| {
            let left = LEFT.iter().any(|start| part.starts_with(start));
            !left && !knowledge.ear.hear(&knowledge.ear.read(part)).heard.is_empty()
        };
        let others = clauses.iter().enumerate().filter(|(other, _)| *other != at);
        let hurt = |said: &String| {
            danger::heard(knowledge, &knowledge.ear.read(said)).emergency.is_some()
        };
        // Of somebody who was hurt it is asked whether he may go on; and a danger has its own no.
        let reading = knowledge.ear.read(words);
        let own = danger::heard(knowledge, &reading);
        let told = own.stop.is_some() || own.emergency.is_some();
        !told && !others.into_iter().any(|(_, part)| tells(part)) && !self.lately.iter().any(hurt)
    }

    /// "Can I just file it out", of a nick: "can I just file the nick out".
    fn noun_put_in(&self, knowledge: &Knowledge, words: &str) -> Option<String> {
        const WORKED: &[&str] =
            &["file", "filing", "dress", "stone", "hone", "rub", "emery", "stoning"];
        let kind = self.context.equipment.filter(|_| self.context.case.is_some())?;
        let (first, _) = self.last.ranked.first()?;
        let title = knowledge.cause(kind, first)?.title.to_lowercase();
        let noun = title.split(" or ").next().filter(|noun| !noun.contains(' '))?;
        let said: Vec<&str> = words.split_whitespace().collect();
        let leave = said.iter().any(|word| CUES.contains(&word.to_lowercase().as_str()));
        let at = said.windows(2).position(|two| {
            let verb = WORKED.contains(&two[0].to_lowercase().as_str());
            verb && matches!(two[1].trim_matches(['?', '.', ',']), "it" | "that" | "this")
        })?;
        let whole = super::follow_up::words_put_in(&said, at + 1..at + 2, &format!("the {noun}"));
        (leave && said.len() <= SHORT_MAX + 2).then_some(whole)
    }

    /// "How do I back it off", "which way do I turn the screw": the remedy that was advised.
    pub(super) fn remedy_asked(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        const HOW: &[&str] = &[
            "how do i ", "how do we ", "how do you ", "how would i ", "how can i ", "how should i ",
            "which way do ", "which way does ", "which way is ", "what way do ", "how far do i ",
            "how much do i ", "which screw do ", "which end do ", "whats the best way to ",
            "how does he ", "best way to ", "which bolt ", "where do i turn ",
        ];
        const VERBS: &[&str] = &[
            "back", "get", "turn", "dress", "file", "set", "adjust", "loosen", "tighten", "close",
            "open", "straighten", "release", "put", "free", "wind", "slacken", "ease", "level",
            "go", "move", "take", "reset", "knock", "rub",
        ];
        const BESIDE: &[&str] = &[
            "off", "out", "up", "down", "back", "again", "do", "does", "i", "you", "we", "he",
            "bit", "touch", "quarter", "in", "away", "it", "is", "loose", "right", "way", "which",
            "how", "what", "much", "far", "end", "best", "safely", "actually", "need",
        ];
        if self.proposal.is_some() || !self.context.heights.ends.is_empty() {
            return None;
        }
        let clause = last_clause(words);
        let asked = core(&clause);
        let said: Vec<&str> = asked.split_whitespace().collect();
        let figures = asked.contains(|ch: char| ch.is_ascii_digit());
        let how = HOW.iter().any(|start| asked.starts_with(start));
        let verb = said.iter().any(|word| VERBS.contains(word));
        if !how || !verb || figures || said.len() > SHORT_MAX {
            return None;
        }
        let likely = self.last.ranked.first().map(|(id, _)| id.as_str()).unwrap_or_default();
        let of = |wanted: &dyn Fn(&str) -> bool| {
            self.advised.iter().position(|one| !one.cause.is_empty() && wanted(&one.cause))
        };
        let at = of(&|cause| cause == likely).or_else(|| of(&|_| true))?;
        let row = knowledge.procedure(&self.advised[at].procedure)?;
        let mut held = row.title.to_lowercase();
        for step in &row.steps {
            held.push_str(&format!(" {} {}", step.title, step.text).to_lowercase());
        }
        let turned = said.iter().any(|word| matches!(*word, "turn" | "wind" | "screw" | "screws"));
        let adjusts = held.contains("adjuster");
        if turned && !adjusts {
            return None;
        }
        // What the verb is done to is a thing of that job, or what was named just now.
        let named = |word: &&&str| {
            let small = [VERBS, BESIDE, SMALL].iter().any(|list| list.contains(*word));
            let screw = adjusts && word.trim_end_matches('s') == "screw";
            !small && !screw && !held.contains(word.trim_end_matches('s'))
        };
        let elsewhere = said.iter().find(named).is_some();
        if elsewhere || self.safe_way_of_what_was_said(knowledge, words).is_some() {
            return None;
        }
        Some(self.begin_advised(knowledge, at + 1))
    }
}

/// The clause that was said last.
pub(super) fn last_clause(words: &str) -> String {
    let clauses = words.split([',', ';', '.', '?', '!']).map(bare);
    clauses.filter(|part| !part.is_empty()).last().unwrap_or_default()
}

/// "Raise it or what", "leave it or what do I do": what is to be done is asked, whatever was thought of.
fn asks_whether_or_what(text: &str) -> bool {
    const ENDS: &[&str] = &[
        " or what", " or what then", " or what do i do", " or what do we do", " or what else",
        " or something else", " or summat else",
    ];
    let short = text.split_whitespace().count() <= SHORT_MAX;
    let behind = ENDS.iter().find_map(|end| text.strip_suffix(end));
    // "Is it the bearing or what" asks for the cause.
    let cause = |rest: &str| rest.starts_with("is it") || rest.contains(" is it") || rest.contains("could it");
    short && behind.is_some_and(|rest| !cause(rest))
}

/// "What should I ask the workshop to look at": what is to be done is asked, by whomever.
fn asks_what_another_does(text: &str) -> bool {
    const MAY: &[&str] = &["should", "do", "shall", "would", "can", "must", "could"];
    const ASK: &[&str] = &["ask", "tell", "get", "have", "want"];
    const WHOM: &[&str] = &[
        "the", "my", "our", "workshop", "shop", "bench", "one", "two", "lad", "lads", "mechanic", "mechanics", "fitter",
        "technician", "technicians", "tech", "techs", "apprentice", "him", "her", "them", "boys", "guys", "team",
        "garage", "shed", "man", "fellow", "people",
    ];
    const DOES: &[&str] = &[
        "look at", "check", "do", "look for", "try", "look at first", "check first", "do first", "look into", "start with",
        "try first", "look for first", "do about it", "do next", "check for",
    ];
    let Some(rest) = text.strip_prefix("what ") else { return false };
    let Some((before, behind)) = rest.split_once(" to ") else { return false };
    let said: Vec<&str> = before.split_whitespace().collect();
    match said[..] {
        [may, "i" | "we" | "you", ask, ref whom @ ..] => {
            let whom = !whom.is_empty() && whom.iter().all(|word| WHOM.contains(word));
            MAY.contains(&may) && ASK.contains(&ask) && whom && DOES.contains(&behind)
        }
        _ => false,
    }
}

/// "So what's it gonna take, how long": the time of what was advised, and nothing else named.
fn asks_the_time_of_it(text: &str) -> bool {
    #[rustfmt::skip]
    const WORDS: &[&str] = &[
        "so", "whats", "what", "is", "it", "its", "that", "this", "going", "to", "take", "takes",
        "gonna", "how", "long", "will", "be", "does", "do", "would", "fix", "mend", "sort",
        "repair", "job", "the", "me", "us", "him", "roughly", "about", "then", "ok", "and", "right", "a",
        "are", "we", "talking", "looking", "at", "needed", "much", "time", "put", "cure", "get",
        "running", "again", "back", "for", "work", "longs", "hows", "minutes", "hours", "all",
        "in", "need", "needs", "done", "ballpark", "thing", "should", "i", "allow", "big", "of",
        "out",
    ];
    let said: Vec<&str> = text.split_whitespace().collect();
    const TIMES: &[&str] = &["long", "longs", "time", "take", "minutes", "hours"];
    let time = said.iter().any(|word| TIMES.contains(word));
    let asks = said.iter().any(|word| matches!(*word, "how" | "what" | "whats" | "hows"));
    time && asks && said.iter().all(|word| WORDS.contains(word)) && said.last() != Some(&"for")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn going_on_is_asked_in_many_ways() {
        for (words, wanted) in [
            ("is it safe to run it tomorrow for the outing", true),
            ("one guy says he can finish the hole and bring it in", true),
            ("can he finish the fairway edge first", true),
            ("he wants to bring it in under its own power", true),
            ("will it last till friday", true),
            ("can it wait till monday", true),
            ("should i grind it or can it wait", false),
            ("can we get away with it till the parts come", false),
            ("is it ok to carry on with it", true),
            ("could it do one more day", true),
            ("can he limp it back to the shed", true),
            ("should i park it up", true),
            ("can i take it out in the morning", true),
            ("can i take it out", false),
            ("can i run it backwards", false),
            ("can i do it tomorrow", false),
            ("how do i run it", false),
            ("can i use a file on it", false),
            ("can he finish the grinding tomorrow", false),
            ("should i turn it back", false),
        ] {
            assert_eq!(asks_to_go_on(&bare(words)), wanted, "{words}");
        }
    }

    #[test]
    fn what_another_is_to_do_is_what_is_to_be_done() {
        for (words, wanted) in [
            ("what should i ask the workshop to look at", true),
            ("what do we tell the lads to check first", true),
            ("what should i ask the workshop to order", false),
            ("what should i tell him", false),
            ("what did you tell him to do", false),
            ("what should i ask him to do with the engine running", false),
        ] {
            assert_eq!(asks_what_another_does(words), wanted, "{words}");
        }
    }

    #[test]
    fn that_it_was_said_before_adds_nothing() {
        for (words, wanted) in [
            ("no they're sharp, I told you I cut paper", Some("no they're sharp, I cut paper")),
            ("like I said it was dry", Some("it was dry")),
            ("I told you", None),
            ("who told you that", None),
        ] {
            assert_eq!(without_told_you(words).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn done_is_told_with_what_it_brought() {
        for (words, wanted) in [
            ("done, cuts paper all over, 20 mins", Some("cuts paper all over, 20 mins")),
            ("sorted, no line now", Some("no line now")),
            ("did that and its good now", Some("its good now")),
            ("ok I did what you said and they went", Some("they went")),
            ("done", None),
            ("done but still not cutting paper", None),
            ("donegal cuts paper", None),
            ("did it get fixed", None),
            ("did it go away and was it fixed by Sam last time", None),
            ("we did that last year, it was fixed", None),
            ("did that and it went, then came back", None),
            ("I did it on unit 3 and it's good now", None),
            ("we sorted the other one, its good now", None),
            ("done, sorted the bedknife, line has moved", None),
            ("did what you said and the switch is bypassed, good now", None),
        ] {
            assert_eq!(told_as_done(words), wanted, "{words}");
        }
    }

    #[test]
    fn whether_this_or_what_asks_for_what_is_to_be_done() {
        for (words, wanted) in [
            ("raise it or what", true),
            ("so leave it or what", true),
            ("do I grind it then or what do I do", true),
            ("is it the bearing or what", false),
            ("raise it or lower it", false),
        ] {
            assert_eq!(asks_whether_or_what(core(&bare(words))), wanted, "{words}");
        }
    }

    #[test]
    fn the_time_of_what_was_advised_is_asked_without_a_name() {
        assert!(asks_the_time_of_it("so whats it gonna take how long"));
        assert!(asks_the_time_of_it("how longs it going to take to fix"));
        assert!(!asks_the_time_of_it("how long did lapping take last time"));
        assert!(!asks_the_time_of_it("how long does a spin grind take"));
    }
}
