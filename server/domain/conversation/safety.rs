//! Would what is asked for hurt someone? Asked of everything that is said, whatever it is about: in
//! a job, as a correction, as a question. The same ear as for a complaint decides.

use crate::domain::catalogue::{Guard, Knowledge, Refusal};
use crate::domain::danger::{self, Danger};
use crate::domain::job_asked;
use crate::domain::intent::leave::LEAVE;
use crate::domain::language::hearing::Reading;
use crate::domain::language::scope::Scope;
use crate::domain::wording::lower_first;

use super::{Action, Conversation, acts, in_turn};

/// What is said instead of an answer: the refusal of these words with the safe way to the same end,
/// or what to do now when somebody is hurt.
pub fn refused<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    refusal(knowledge, words).map(|(_, refused)| refused)
}

/// The same, with the id of what is refused.
pub fn refusal<C>(knowledge: &Knowledge, words: &str) -> Option<(String, Action<C>)> {
    let reading = knowledge.ear.read(words);
    let hearing = knowledge.ear.hear(&reading);
    let (judged, _) = danger::judged(knowledge, &reading, &hearing);
    let Scope::Unsafe(id) = judged.scope else { return None };
    let (text, cautions) = danger::told(knowledge, &id, words);
    Some((id, Action::Refuse { text, cautions }))
}

/// Somebody is hurt: what to do now, before anything else that was going on.
pub fn emergency<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    let id = danger::heard(knowledge, &knowledge.ear.read(words)).emergency?;
    let (text, cautions) = danger::told(knowledge, &id, words);
    Some(Action::Refuse { text, cautions })
}

/// "How do I get it out", after a stone in the reel: what holds for safety is told by both together.
pub fn of_what_was_said<C>(knowledge: &Knowledge, before: &str, words: &str) -> Option<Action<C>> {
    const POINTING: &[&str] = &["it", "that", "this", "them", "one", "him", "her", "there"];
    let plain = acts::plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let points = said.iter().any(|word| POINTING.contains(word));
    let reading = knowledge.ear.read(words);
    let own = danger::heard(knowledge, &reading).leave.is_some();
    let how = said.first() == Some(&"how");
    let asks = (danger::asks_leave(knowledge, &reading) || how) && reading.quantities.is_empty();
    if !points || own || !asks || said.len() > FURTHER_WORDS_MAX {
        return None;
    }
    let row = danger::told_with(knowledge, before, words)?;
    // Who asks how has asked for no leave, and none is refused.
    if how && row.guard == Guard::Refuse {
        return None;
    }
    Some(Action::Refuse { text: danger::answer_to(row, words), cautions: row.cautions.clone() })
}

/// What must be done now was told in two turns: first of all that.
pub fn arises<C>(knowledge: &Knowledge, before: &str, words: &str) -> Option<(Action<C>, bool)> {
    let row = danger::arises(knowledge, before, words)?;
    let (text, cautions) = (danger::answer(row), row.cautions.clone());
    Some(match row.guard {
        Guard::Emergency => (Action::Refuse { text, cautions }, true),
        _ => (Action::Say(vec![text]), false),
    })
}

/// Said before how a leak is looked for, after it hurt somebody.
const LEAK_FIRST: &str = "Not before whoever was hit is in hospital and the leak is found and mended.";
/// Turns that are kept for a danger told over several.
const LATELY_MAX: usize = 3;
/// So many turns after somebody was hurt, what is asked may be of that.
const HURT_TURNS: usize = 4;
/// Longer words are a question of their own.
const AFTER_WORDS_MAX: usize = 14;

impl<C: Clone> Conversation<C> {
    /// The last turns as one text, with no sign between them.
    pub(super) fn told_lately(&self) -> String {
        self.lately.join(" ")
    }

    pub(super) fn keep_lately(&mut self, knowledge: &Knowledge, words: &str, hurt: bool) {
        self.lately.push(words.trim_end_matches(['?', '.', '!', ',', ' ']).to_owned());
        if self.lately.len() > LATELY_MAX {
            self.lately.remove(0);
        }
        let leave = || danger::heard(knowledge, &knowledge.ear.read(words)).leave;
        let nearly = !hurt && leave().as_deref() == Some(danger::NEAR_MISS);
        self.hurt = match hurt || nearly {
            // What is told now is answered by itself.
            true => HURT_TURNS + 1,
            false => self.hurt.saturating_sub(1),
        };
    }

    /// "Can he carry on today", "do I write it down", after somebody was hurt or nearly.
    pub(super) fn after_hurt(&self, knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
        let now = self.hurt == HURT_TURNS + 1;
        let long = words.split_whitespace().count() > AFTER_WORDS_MAX;
        if self.hurt == 0 || now || long || !in_turn::asks(words) {
            return None;
        }
        let row = danger::after_hurt(knowledge, words)?;
        if let Some(leak) = self.of_the_leak(knowledge, row) {
            return Some(Action::Say(vec![format!("{LEAK_FIRST} {}", leak.safe_way)]));
        }
        let (text, cautions) = (danger::answer(row), row.cautions.clone());
        Some(Action::Refuse { text, cautions })
    }
}

impl<C: Clone> Conversation<C> {
    /// What has to change after oil went through a skin is how a leak is looked for, and not who
    /// turns a reel.
    fn of_the_leak<'a>(&self, knowledge: &'a Knowledge, row: &Refusal) -> Option<&'a Refusal> {
        let told = danger::heard(knowledge, &knowledge.ear.read(&self.told_lately())).emergency?;
        let oil = row.id == danger::NEAR_MISS && matches!(told.as_str(), "injection" | "hand_at_leak");
        oil.then(|| knowledge.refusal("hand_leak_search")).flatten()
    }

    /// "What has to be checked before it goes out again", of a machine that has to stand: why it stands,
    /// and then what the last answer would look at.
    pub(super) fn before_it_works(
        &self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Vec<Action<C>>> {
        // With a guard off or a hand in it that is refused.
        if !asks_what_comes_before(words) || danger::is_any(knowledge, words) {
            return None;
        }
        let told = [self.told_lately(), self.case_words.clone()];
        let told = told.into_iter().chain(self.sign_said.clone());
        let stop = told.into_iter().find_map(|said| {
            stop(knowledge, &danger::heard(knowledge, &knowledge.ear.read(&said)))
        });
        let of_case = self.context.case.is_some() && !self.last.more.is_empty();
        let more = of_case.then(|| Action::Say(self.last.more.clone()));
        let both: Vec<Action<C>> = stop.into_iter().chain(more).collect();
        (!both.is_empty()).then_some(both)
    }
}

/// What is to be looked at or done, and then that it works again.
fn asks_what_comes_before(words: &str) -> bool {
    const ASKS: &[&str] = &["what", "whats", "which", "anything"];
    /// Behind what is asked; "what height" asks for one thing.
    const NEXT: &[&str] = &[
        "to", "do", "does", "must", "should", "shall", "has", "have", "needs", "need", "is", "are", "else", "can", "i",
        "we", "about", "check", "checks", "things", "gets", "wants",
    ];
    const LOOKS: &[&str] = &[
        "check", "checked", "checking", "checks", "look", "looked", "looking", "inspect", "inspected", "test", "tested",
        "do", "done", "doing", "happen", "mend", "mended", "fix", "fixed", "fixing",
    ];
    const WORKS: &[&str] =
        &["go", "goes", "going", "run", "runs", "work", "works", "used", "use", "uses", "mow", "mows", "started", "back"];
    let plain = acts::plain(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let Some(before) = said.iter().rposition(|word| matches!(*word, "before" | "until" | "till")) else { return false };
    let has = |words: &[&str], list: &[&str]| words.iter().any(|word| list.contains(word));
    let (ahead, behind) = said.split_at(before);
    let points = has(behind, &["it", "they", "she", "machine", "mower", "that", "this", "we", "i", "he"]);
    let at = ahead.iter().take(4).position(|word| ASKS.contains(word));
    let Some(rest) = at.and_then(|at| ahead.get(at + 1..)) else { return false };
    let follows = rest.first().is_some_and(|next| NEXT.contains(next));
    // "What do I wear": its "do" looks at nothing.
    let looks = has(rest.get(1..).unwrap_or_default(), LOOKS) || has(&rest[..rest.len().min(1)], &["check", "checks"]);
    follows && looks && has(behind, WORKS) && points && said.len() <= AFTER_WORDS_MAX
}

/// A safety switch is tied down, which no diagnosis is of.
pub fn is_defeated(danger: &Danger) -> bool {
    danger.stop.as_deref() == Some(danger::DEFEATED)
}

/// A machine has to stop before it is looked into.
pub fn stop<C>(knowledge: &Knowledge, danger: &Danger) -> Option<Action<C>> {
    let id = danger.stop.as_ref()?;
    knowledge.refusal(id).map(|row| Action::Say(vec![danger::answer(row)]))
}

/// "Backed the reel off with the engine running": work is written down as it was done, and how it is
/// done safely is told with it.
pub fn done_wrongly<C>(
    knowledge: &Knowledge,
    reading: &Reading,
    danger: &Danger,
) -> Option<Action<C>> {
    let answer = danger::answer(danger::done_wrongly(knowledge, reading, danger)?);
    Some(Action::Say(vec![format!("Not again: {}", answer.trim_start_matches("No: "))]))
}

/// What was refused stays refused when it is only pushed for.
/// `role`: what the words do to it, where that is clear.
pub fn refused_again<C>(
    knowledge: &Knowledge,
    words: &str,
    before: &Refused,
    role: Option<&str>,
) -> Option<Action<C>> {
    let text = format!("It stays so. {}", before.text);
    let cautions = before.cautions.clone();
    let pushes = match role {
        Some(role) => role == "push",
        None => danger::pushes(knowledge, words),
    };
    let ear = &knowledge.ear;
    let tells_more = || {
        !ear.hear(&ear.read(words)).heard.is_empty() || danger::told_with(knowledge, "", words).is_some()
    };
    if appeals(words) && !tells_more() {
        return Some(Action::Refuse { text, cautions });
    }
    let again = (pushes && !leads_on(words)) || danger::asks_to_go_on(knowledge, words);
    (before.refuses && again).then_some(Action::Refuse { text, cautions })
}

/// "He says his old boss did it", "we always do it that way", "never had a problem": that others do
/// what was refused, or that it went well, and nothing else.
fn appeals(words: &str) -> bool {
    const DONE_SO: &[&str] = &[
        "did it", "does it", "done it", "do it", "did that", "does that", "done that", "do that",
        "did so", "do so", "did this", "does this", "done this", "did them", "does them",
    ];
    const OTHERS: &[&str] = &[
        "he", "she", "they", "boss", "everybody", "everyone", "always", "gaffer", "foreman", "mechanic",
        "others", "lads", "mate", "dad", "dealer", "rep", "years",
    ];
    /// Another way or case is judged by itself.
    const OTHER_WAY: &[&str] = &[
        "can", "could", "should", "will", "would", "if", "with", "without", "using", "instead", "when",
        "while", "then", "off", "not",
    ];
    const WENT_WELL: &[&str] = &[
        "never had a problem", "never had any", "never been a problem", "never hurt", "no harm done",
        "been fine", "was fine", "always fine", "no one got hurt", "nobody got hurt", "how i was taught",
        "how he was taught", "how we were taught", "taught me", "taught him", "showed me", "showed him",
        "years and never", "always have", "always has", "gets away with it", "got away with it",
    ];
    let plain = acts::plain(words);
    let padded = format!(" {plain} ");
    let has = |part: &&str| padded.contains(&format!(" {part} "));
    let said: Vec<&str> = plain.split_whitespace().collect();
    let says = |list: &[&str]| said.iter().any(|word| list.contains(word));
    // Work, a machine or a figure is told for itself.
    const TOLD: &[&str] = &[
        "lapped", "backlapped", "ground", "greased", "set", "changed", "fitted", "replaced", "sharpened",
        "adjusted", "height", "paper", "walker", "triplex", "fairway", "rotary", "tees", "verticut", "unit",
    ];
    let told = says(TOLD) || plain.contains(|ch: char| ch.is_ascii_digit());
    let others = DONE_SO.iter().any(has) && says(OTHERS) && !says(OTHER_WAY);
    let asks = in_turn::asks(words) || said.len() > FURTHER_WORDS_MAX || told;
    (others || WENT_WELL.iter().any(has)) && !asks
}

/// What was refused last, or what was said of safety.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    pub text: String,
    pub cautions: Vec<String>,
    /// What was asked.
    words: String,
    /// It was refused, and not only told how it is done safely.
    refuses: bool,
}

/// Beginnings of words that go on from what was said of safety.
const LEADS: &[&str] = &[
    "and ", "what about ", "how about ", "what if ", "even ", "with ", "on ", "just ", "so ", "if ",
    "then ", "or ", "but ", "why not ", "for ", "only ", "not even ", "using ", "by ", "ok ", "and with ",
];
/// Beginnings that name another way or case rather than push for the same.
const OTHER_WAYS: &[&str] = &[
    "what about ", "how about ", "with ", "and with ", "on ", "and on ", "using ",
    "and what about ",
];
/// Words of such a turn that name nothing.
#[rustfmt::skip]
const EMPTY: &[&str] = &[
    "and", "what", "about", "how", "if", "even", "with", "just", "then", "but", "for", "only", "the",
    "machine", "mower", "that", "this", "not", "can", "could", "will", "does", "are", "you", "they",
    "them", "him", "her", "his", "say", "tell", "lad", "lads", "apprentice", "using", "bit", "some",
    "still", "well", "when", "where", "there", "have", "has", "it's", "use", "one", "from", "its",
];
/// More words that tell a sign are a complaint: "if it is wet" is none.
const SIGN_WORDS_MAX: usize = 5;
/// Longer words are a question of their own.
const FURTHER_WORDS_MAX: usize = 12;
/// A bare addition is not longer.
const BARE_WORDS_MAX: usize = 3;
/// What is put on makes no yes of a no; another way to hold or turn it may.
const WORN: &[&str] = &["gloves", "glasses_and_shield", "dust_mask", "hearing"];
/// So many letters alike make "wood" and "wooden" one.
const ALIKE: usize = 4;

/// What asks for another way to the same end.
const INSTEAD: &[&str] = &[
    "instead", "what do i tell", "what should i tell", "what do i say", "what should he do",
    "what should they do", "what should i do", "what should we do", "how should he", "how should they",
    "what is the right way", "whats the right way", "safe way", "proper way", "how then",
    "what then", "what is first", "whats first", "what comes first", "what first", "where do i start",
    "where do we start", "where should i start", "where to start", "first thing",
];
/// Somebody else who does what was refused makes no yes of it.
const ANOTHER: &[&str] = &["someone", "somebody", "anyone", "anybody", "mate", "else", "another"];
/// What the cautions say of them.
const OTHERS: &str = "nobody else";
/// Of those, words that do nothing else.
const MAKES_LITTLE: &[&str] = &["only", "just", "reckons", "claims", "thought"];
/// What asks whether another way of it would be another matter.
const MATTERS: &[&str] =
    &["does it matter", "does that matter", "make a difference", "make any difference"];
/// Words that make little of what was refused.
const EXCUSES: &[&str] =
    &["only", "just", "says", "said", "reckons", "claims", "thought", "was", "were", "had"];

/// "Does it matter, it's only the rotary", "he only had it idling": the same is asked again. Where it
/// would be off, or which of several is taken, is another question.
fn makes_little(words: &str, plain: &str, said: &[&str]) -> bool {
    const WHICH: &[&str] = &["which", "what", "how", "who", "where"];
    const KEEPS: &[&str] = &["guard", "guards", "cover", "chute", "shield", "gloves", "glasses", "goggles", "brake"];
    const STANDS: &[&str] = &["off", "stopped", "isolated", "still"];
    let says = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let only = says(MAKES_LITTLE) && !in_turn::asks(words);
    let stands = says(STANDS) && !says(KEEPS);
    only || (asks_what_it_changes(plain) && !says(WHICH) && !stands)
}

/// "Does it make a difference if I switch it off": asked of what was refused.
fn asks_what_it_changes(plain: &str) -> bool {
    MATTERS.iter().any(|part| plain.contains(part))
}

/// "What do I tell him to do instead", "does it make a difference if I switch it off": the safe way to
/// the same end.
fn asks_the_way_instead(plain: &str, said: &[&str]) -> bool {
    let stopped = asks_what_it_changes(plain) && says_it_stands(said);
    stopped || INSTEAD.iter().any(|part| plain.contains(part))
}

fn leads_on(words: &str) -> bool {
    let lower = words.to_lowercase();
    OTHER_WAYS.iter().any(|start| lower.starts_with(start))
}

/// "Then how do I clear it", "so what do I put under it": the way is asked for, and no danger named.
fn asks_how(knowledge: &Knowledge, words: &str, plain: &str) -> bool {
    const BEFORE: &[&str] = &["so ", "then ", "ok ", "okay ", "right ", "and ", "well "];
    let mut rest = plain;
    while let Some(behind) = BEFORE.iter().find_map(|start| rest.strip_prefix(start)) {
        rest = behind;
    }
    let asks = ["how do i ", "how do we ", "how am i ", "how would i ", "how can i ", "how should i ",
        "what do i ", "what can i ", "what should i ", "what am i "];
    let own = danger::heard(knowledge, &knowledge.ear.read(words));
    asks.iter().any(|start| rest.starts_with(start)) && own.leave.is_none() && own.stop.is_none()
}

/// "So how do I dress the nick": shown with its own cautions, as if asked by itself.
fn job_by_its_name<C>(plain: &str) -> Option<Vec<Action<C>>> {
    let asked = plain.find("how ").map(|at| plain[at..].to_owned());
    asked.map(|asked| vec![Action::Interpret(asked)])
}

/// "Off then", "engine off", "switched off": what was refused of a running machine is asked of one that
/// stands. "Guard off" and "gloves off" are none of that.
fn says_it_stands(said: &[&str]) -> bool {
    const STANDS: &[&str] = &["stopped", "isolated"];
    const BEFORE_OFF: &[&str] = &[
        "it", "its", "is", "engine", "motor", "drive", "power", "everything", "all", "switched",
        "turned", "machine", "mower", "then", "once", "ok", "so", "and", "switch", "turn",
    ];
    const DENIED: &[&str] = &["not", "without", "before", "never", "no", "cannot", "or"];
    let off = |at: usize| {
        let before = at.checked_sub(1).map(|at| said[at]);
        // "Switch it off" and "the guard is off" apart.
        let of_it = at > 1 && before == Some("is") && !matches!(said[at - 2], "it" | "engine" | "machine" | "mower" | "drive");
        said[at] == "off" && before.is_none_or(|word| BEFORE_OFF.contains(&word)) && !of_it
    };
    let denied = said.iter().any(|word| DENIED.contains(word));
    !denied && (0..said.len()).any(|at| off(at) || STANDS.contains(&said[at]))
}

fn denies(line: &str) -> bool {
    const DENIES: &[&str] = &["not", "no", "never", "nor", "without"];
    let mut words = line.split(|ch: char| !ch.is_alphanumeric());
    words.any(|word| DENIES.contains(&word.to_lowercase().as_str()))
}

impl Refused {
    /// What these actions refuse.
    pub fn of<C>(actions: &[Action<C>], words: &str) -> Option<Refused> {
        actions.iter().find_map(|action| match action {
            Action::Refuse { text, cautions } => {
                let text = text.strip_prefix("It stays so. ").unwrap_or(text).to_owned();
                let (cautions, words) = (cautions.clone(), words.to_owned());
                Some(Refused { text, cautions, words, refuses: true })
            }
            _ => None,
        })
    }

    /// What is told of safety under this topic.
    pub fn told(knowledge: &Knowledge, topic: &str, words: &str) -> Option<Refused> {
        let row = knowledge.refusal(topic.strip_prefix(LEAVE)?)?;
        let (text, cautions) = (danger::answer_to(row, words), row.cautions.clone());
        Some(Refused { text, cautions, words: words.to_owned(), refuses: false })
    }

    /// What is left to do on a reel that was struck is told by the name of a job; after any other
    /// refusal its safe way comes first.
    fn is_of_a_struck_reel(&self, knowledge: &Knowledge) -> bool {
        let row = knowledge.refusal(danger::DAMAGED_REEL);
        row.is_some_and(|row| self.text.contains(&row.safe_way))
    }

    /// What holds for the same matter told otherwise: "and on just the latch", "and with a bit of
    /// wood". Judged by its own words and the matter before; else the sentence that names it.
    pub fn further<C>(
        &self,
        knowledge: &Knowledge,
        words: &str,
        role: Option<&str>,
    ) -> Option<Vec<Action<C>>> {
        let plain = acts::plain(words);
        let said: Vec<&str> = plain.split_whitespace().collect();
        let leads = LEADS.iter().any(|start| plain.starts_with(start));
        let reason = matches!(plain.as_str(), "why" | "why not" | "how come" | "why is that")
            || (self.refuses && !leads && role == Some("why"));
        let ear = &knowledge.ear;
        let signs = !ear.hear(&ear.read(words)).heard.is_empty() && said.len() > SIGN_WORDS_MAX;
        // "Gloves on?" after a no.
        let no = self.refuses && self.text.starts_with("No");
        let bare = no && said.len() <= BARE_WORDS_MAX && acts::of(words).is_none();
        let asks_way = role == Some("way") && !leads || asks_how(knowledge, words, &plain);
        let instead = self.refuses && (asks_way || asks_the_way_instead(&plain, &said));
        // "He only had the blades disengaged": what makes little of it is judged with it.
        let excuses = EXCUSES.iter().any(|word| said.contains(word)) && !signs && !leads;
        let excused = (self.refuses && excuses && !in_turn::asks(words))
            .then(|| danger::told_with(knowledge, &self.words, words))
            .flatten();
        let heard = !ear.hear(&ear.read(words)).heard.is_empty();
        if no && makes_little(words, &plain, &said) && !leads && excused.is_none() && !heard
            && said.len() <= FURTHER_WORDS_MAX
        {
            return Some(vec![Action::Say(vec![format!("It stays so. {}", self.text)])]);
        }
        if let Some(row) = excused.filter(|_| said.len() <= FURTHER_WORDS_MAX) {
            let (text, cautions) = (danger::answer(row), row.cautions.clone());
            return Some(vec![Action::Refuse { text, cautions }]);
        }
        if self.is_of_a_struck_reel(knowledge) && job_asked::is_plain(knowledge, &ear.read(words)) {
            return job_by_its_name(&plain);
        }
        if instead && said.len() <= FURTHER_WORDS_MAX {
            let way = self.text.split_once(". ").filter(|_| no).map_or(&*self.text, |(_, way)| way);
            return Some(vec![Action::Say(vec![way.to_owned()])]);
        }
        if !(leads || reason || bare) || said.len() > FURTHER_WORDS_MAX || signs {
            return None;
        }
        if no && ANOTHER.iter().any(|word| said.contains(word)) {
            return Some(vec![self.whoever_does_it(knowledge)]);
        }
        if reason {
            return self.reason(knowledge);
        }
        let own = danger::heard(knowledge, &ear.read(words));
        if own.leave.is_some() || own.emergency.is_some() || own.stop.is_some() {
            return None;
        }
        let content: Vec<&str> =
            said.iter().copied().filter(|word| word.len() > 2 && !EMPTY.contains(word)).collect();
        if content.is_empty() {
            return Some(vec![Action::Say(vec![self.text.clone()])]);
        }
        // "Off then, gloves?": what stands still is asked by itself.
        let stands = says_it_stands(&said);
        let still = stands.then(|| danger::told_with(knowledge, "", words)).flatten();
        if let Some(row) = still.filter(|row| row.guard == Guard::Leave) {
            return Some(vec![Action::Say(vec![danger::answer(row)])]);
        }
        // What holds of a machine that stands, too, stays refused.
        let told = still.or_else(|| danger::told_with(knowledge, &self.words, words));
        if let Some(line) = self.safe_way_named(&content).filter(|_| told.is_none()) {
            return Some(vec![Action::Say(vec![format!("Yes: {}", lower_first(line))])]);
        }
        // What was refused names it itself: "gloved or not".
        let worn = told.is_some_and(|row| WORN.contains(&row.id.as_str()));
        let own_words = no && (worn || told.is_none());
        let sentence = self.sentence_of(knowledge, &content);
        if let Some(line) = sentence.as_ref().filter(|_| own_words) {
            return Some(match denies(line) {
                true => vec![Action::Say(vec![format!("It stays a no. {line}")])],
                false => vec![Action::Say(vec![format!("It stays so. {}", self.text)])],
            });
        }
        if let Some(row) = told {
            let (text, cautions) = (danger::answer(row), row.cautions.clone());
            return Some(match row.guard {
                Guard::Refuse => vec![Action::Refuse { text, cautions }],
                _ if no && worn => vec![Action::Say(vec![format!("It stays a no. {text}")])],
                _ => vec![Action::Say(vec![text])],
            });
        }
        sentence.or((no && stands).then(|| format!("It stays so. {}", self.text))).map(|line| vec![Action::Say(vec![line])])
    }

    /// Why it is refused: its first caution.
    fn reason<C>(&self, knowledge: &Knowledge) -> Option<Vec<Action<C>>> {
        let row = self.cautions.first().and_then(|id| knowledge.caution(id))?;
        Some(vec![Action::Say(vec![row.text.clone()])])
    }

    /// "What if somebody else sits on it": what was refused, and what the cautions say of others.
    fn whoever_does_it<C>(&self, knowledge: &Knowledge) -> Action<C> {
        let texts = self.cautions.iter().filter_map(|id| knowledge.caution(id));
        let mut sentences = texts.flat_map(|row| row.text.split_inclusive(". "));
        let others = sentences.find(|line| line.to_lowercase().starts_with(OTHERS));
        let stays = format!("It stays so, whoever does it. {}", self.text);
        let others = others.map(|line| line.trim().to_owned());
        Action::Say(std::iter::once(stays).chain(others).collect())
    }

    /// "Long handled one?": the sentence of the safe way that holds all of these words, where what was
    /// refused holds none of them.
    fn safe_way_named(&self, content: &[&str]) -> Option<&str> {
        let (refused, way) = self.text.split_once(". ").filter(|_| self.refuses)?;
        let holds = |text: &str, word: &str| {
            let lower = text.to_lowercase();
            lower.split(|ch: char| !ch.is_alphanumeric()).any(|other| other == word)
        };
        const DENIES: &[&str] = &["not", "no", "never", "without", "out", "off", "until", "before"];
        let denies = |text: &str| DENIES.iter().any(|one| holds(text, one));
        // In one run: "hands in units" is not said by "hands out of all units".
        let run = |line: &str| {
            let lower = line.to_lowercase();
            let words = lower.split(|ch: char| !ch.is_alphanumeric());
            let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
            words.windows(content.len().max(1)).any(|some| some == content)
        };
        let is_way = |line: &&str| {
            run(line) && !content.iter().any(|word| holds(refused, word)) && !denies(line)
        };
        let line = way.split_inclusive(". ").map(str::trim).find(is_way)?;
        (content.len() > 1 && !content.iter().any(|word| denies(word))).then_some(line)
    }

    /// The sentence of the answer or its cautions that holds most of these words.
    fn sentence_of(&self, knowledge: &Knowledge, content: &[&str]) -> Option<String> {
        let alike = |one: &str, other: &str| {
            let count = one.len().min(ALIKE + 1);
            one == other || (one.len() >= ALIKE && other.get(..count) == one.get(..count))
        };
        let cautions = self.cautions.iter().filter_map(|id| knowledge.caution(id));
        let texts = cautions.map(|row| row.text.as_str());
        let texts = std::iter::once(self.text.as_str()).chain(texts);
        // Of two that hold as many, the shorter says it more plainly.
        let mut best: Option<(usize, &str)> = None;
        for sentence in texts.flat_map(|text| text.split_inclusive(". ")) {
            let lower = sentence.to_lowercase();
            let words: Vec<&str> = lower.split(|ch: char| !ch.is_alphanumeric()).collect();
            let held =
                content.iter().filter(|word| words.iter().any(|other| alike(word, other))).count();
            // What was refused says less of it than the safe way does.
            let rank = |text: &str| (text.starts_with("No: "), text.len());
            let shorter = |most: usize, other: &str| held == most && rank(sentence) < rank(other);
            if held > 0 && best.is_none_or(|(most, other)| held > most || shorter(most, other)) {
                best = Some((held, sentence.trim()));
            }
        }
        best.map(|(_, sentence)| sentence.to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_before_it_works_is_looked_at_or_done() {
        for (words, wanted) in [
            ("what has to be checked before it goes out again", true),
            ("what do I do before it goes out", true),
            ("anything to look at before he uses it", true),
            ("what must be done before I can run it", true),
            ("which checks before it goes back out", true),
            ("what height do I put it at before it goes out", false),
            ("what do i wear before i cut it out", false),
            ("what was done before it went out of cut", false),
        ] {
            assert_eq!(asks_what_comes_before(words), wanted, "{words}");
        }
    }

    #[test]
    fn what_makes_little_of_it_asks_the_same_again() {
        for (words, wanted) in [
            ("does it matter its only the rotary", true),
            ("does it matter if he is quick", true),
            ("does it matter if the guard is off", true),
            ("he only had it idling", true),
            ("does it make a difference if i switch it off", false),
            ("does it matter which stick i use once it is off", false),
            ("does it make a difference what grit", false),
        ] {
            let said: Vec<&str> = words.split(' ').collect();
            assert_eq!(makes_little(words, words, &said), wanted, "{words}");
        }
    }

    #[test]
    fn that_others_do_it_is_no_leave() {
        for (words, wanted) in [
            ("he says his old boss did it", true),
            ("everyone does it", true),
            ("we've always done it like that", true),
            ("never had a problem with it", true),
            ("it's how I was taught", true),
            ("he does it with a long brush", false),
            ("how does he do it", false),
            ("can he do it with the engine off", false),
        ] {
            assert_eq!(appeals(words), wanted, "{words}");
        }
    }

    #[test]
    fn what_stands_is_told_from_what_is_taken_off() {
        for (words, wanted) in [
            ("off then gloves", true),
            ("engine off and gloves", true),
            ("switched off first then", true),
            ("gloves off", false),
            ("guard off then", false),
            ("without it off", false),
            ("does it make a difference if i switch it off", true),
            ("does it matter if the guard is off", false),
        ] {
            let said: Vec<&str> = words.split(' ').collect();
            assert_eq!(says_it_stands(&said), wanted, "{words}");
        }
    }
}
