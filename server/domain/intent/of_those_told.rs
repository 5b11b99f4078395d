//! What is asked in a few words of the very records that the answer before told: who did it the
//! first time, what they come to altogether, which took longest, what came off in all, which
//! machine has most of them, why so many, which of them is due first? Their names are kept with the
//! question (`Past::told`), so that no figure is of other records.
//! Deliberately absent: the question before asked of something else (`again`), and the sums.

use super::again::Before;
use super::fleet::{Asked, Part};
use super::past::Past;
use super::{Interpretation, Reader};
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{RecordName, SubjectKind, SubjectName};

/// Longer words ask something of their own.
const WORDS_MAX: usize = 14;
/// Words that may stand in any such question and name nothing.
#[rustfmt::skip]
const SMALL: &[&str] = &[
    "and", "so", "but", "then", "ok", "okay", "right", "well", "now", "please", "mate", "it", "its", "that",
    "thats", "they", "them", "those", "these", "this", "the", "of", "all", "us", "we", "you", "he", "she",
    "i", "did", "do", "does", "was", "were", "is", "are", "be", "been", "has", "have", "had", "in", "on",
    "for", "to", "a", "with", "there", "one", "ones", "job", "jobs", "work", "works", "just", "here",
    "altogether", "together", "total", "told", "combined", "sum", "their", "would",
];
/// Words that ask.
const ASKING: &[&str] =
    &["what", "whats", "which", "who", "whos", "whom", "when", "how", "by", "much", "many", "come", "came"];
/// Of the whole of them, in one word or in two.
const ALTOGETHER: &[&str] = &["altogether", "together", "total", "combined", "sum"];
const ALTOGETHER_PAIRS: &[(&str, &str)] =
    &[("in", "all"), ("all", "told"), ("all", "together"), ("of", "them")];
/// What points at what was told.
const POINTS: &[&str] =
    &["it", "that", "they", "them", "those", "these", "this", "its", "their", "ones", "one", "all"];
/// What takes or costs.
const TAKING: &[&str] = &[
    "take", "took", "taken", "takes", "taking", "cost", "costs", "spend", "spent", "put", "into", "lose", "lost",
    "use", "used", "last",
];
const HOURS: &[&str] = &[
    "hours", "hrs", "hour", "time", "minutes", "mins", "min", "long", "labour", "labor", "man", "working",
    "bench", "workshop",
];
const OFF: &[&str] = &["off", "ground", "grind", "grinding", "metal", "steel", "mm", "away", "diameter"];
const FIRST: &[&str] = &["first", "earliest", "originally", "time", "done", "happened", "doing", "whom", "back"];
const LONGEST: &[&str] = &["longest", "most", "time", "single", "each"];
const MACHINES: &[&str] = &["machine", "machines", "mower", "mowers"];
/// What a machine does with what was counted (common practice, no source).
#[rustfmt::skip]
const HAVING: &[&str] = &[
    "most", "more", "use", "uses", "used", "using", "get", "gets", "got", "go", "goes", "gone", "went", "going",
    "through", "needed", "take", "takes", "took", "eat", "eats", "ate", "eating", "hardest",
    "worst", "heaviest", "account", "accounts", "wanted",
];
const WHY: &[&str] = &["why", "often", "need", "needed", "get", "got", "go", "went", "through", "use", "used"];
const DUE: &[&str] =
    &["due", "next", "first", "soonest", "soon", "wants", "doing", "two", "both", "comes", "up", "again"];

const WITHOUT: &[&str] = &[
    "not", "never", "without", "missed", "missing", "yet", "done", "looked", "at", "over", "inspected", "checked",
    "had", "still", "far",
];

/// What is asked of the records told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Measure {
    First,
    Sum,
    Longest,
    Off,
    ByMachine,
    Why,
    DueFirst,
    /// How long what stands open would take.
    WouldTake,
    /// Which had it not.
    Without,
}

/// What these words ask, where every one of them belongs to the asking.
fn measure(said: &[&str]) -> Option<Measure> {
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let only = |more: &[&[&str]]| {
        said.iter().all(|word| {
            let listed = more.iter().any(|list| list.contains(word));
            listed || SMALL.contains(word) || ASKING.contains(word)
        })
    };
    let pair = |(a, b): &(&str, &str)| said.windows(2).any(|two| two[0] == *a && two[1] == *b);
    let together = has(ALTOGETHER) || ALTOGETHER_PAIRS.iter().any(pair);
    let points = has(POINTS);
    let asks = has(ASKING);
    let off = has(&["off", "away"]) && has(&["take", "took", "taken", "come", "came", "ground", "was", "lost"]);
    if off && together && asks && only(&[OFF, TAKING]) {
        return Some(Measure::Off);
    }
    let would = has(&["would", "will"]) && has(&["long", "hours", "time"]) && has(&["take", "need"]);
    if would && points && only(&[HOURS, TAKING, &["will", "need"]]) {
        return Some(Measure::WouldTake);
    }
    // How long it lasted is no labour.
    let lasts = has(&["last", "lasts", "lasted"]);
    if has(&["longest"]) && !lasts && asks && only(&[LONGEST, TAKING]) {
        return Some(Measure::Longest);
    }
    let long = has(&["how", "total", "sum", "what", "whats"])
        && has(&["hours", "hrs", "hour", "time", "minutes", "mins", "long", "labour", "labor"]);
    let cost = has(&["cost", "costs", "spend", "spent", "come", "lose", "lost"]) && points;
    if long && (together || cost) && !has(&["last", "longest", "most"]) && only(&[HOURS, TAKING, ALTOGETHER]) {
        return Some(Measure::Sum);
    }
    if has(&["due"]) && has(&["which", "what", "whats"]) && has(&["first", "next", "soonest"])
        && has(&["them", "those", "these", "two", "one", "ones"]) && only(&[DUE])
    {
        return Some(Measure::DueFirst);
    }
    let which = has(&["which", "what"]) && has(&["ones", "machine", "machines", "mower", "mowers", "them"]);
    if which && has(&["not", "never", "without", "missed", "missing"]) && only(&[MACHINES, WITHOUT]) {
        return Some(Measure::Without);
    }
    let ahead = has(&["to", "due", "should"]) || has(&["is"]) && has(&["do", "doing"]);
    let past = has(&["time", "one", "job"]) || (has(&["was", "were", "did"]) && !has(&["is", "are"]));
    let at_first = has(&["earliest", "originally"]) || (has(&["first"]) && past);
    if at_first && !ahead && asks && only(&[FIRST]) && !has(&["much", "many"]) {
        return Some(Measure::First);
    }
    if has(MACHINES) && has(&["which", "what"]) && has(&["most", "more", "hardest", "worst", "heaviest"])
        && only(&[MACHINES, HAVING])
    {
        return Some(Measure::ByMachine);
    }
    let many = said.windows(2).any(|two| {
        matches!(two[0], "so" | "that" | "as") && matches!(two[1], "many" | "often" | "much")
    });
    let why = has(&["why"]) || said.windows(2).any(|two| two == ["how", "come"]);
    (why && many && only(&[WHY])).then_some(Measure::Why)
}

/// Whether records of these answers are told as such, so that they can be asked of.
fn tells_records(asked: Single) -> bool {
    use Single::{Between, Count, Cured, Held, History, Labour, Last, Life, Longest, Off, Took};
    matches!(
        asked,
        Last | Count | History | Cured | Held | Took | Labour | Longest | Off | Between | Life
    )
}

impl Past {
    /// Asked of the very records that the answer told; where they were too many to be named, of all
    /// that the question meant.
    fn of_those(&self, asked: Single) -> Past {
        let of_told = !self.told.is_empty();
        let past = if of_told { self.clone() } else { self.one_stretch() };
        Past { asked, by: None, passed_over: 0, of_told, spans: Vec::new(), ..past }
    }

    /// Of two stretches of time set side by side, the first is gone on with.
    fn one_stretch(&self) -> Past {
        let mut past = self.clone();
        if let Some(first) = past.spans.first().cloned() {
            (past.start, past.end) = first;
            past.told.clear();
            past.spans.clear();
        }
        past
    }

    /// The machines of the records told, the newest first.
    fn machines_told(&self) -> Vec<SubjectName> {
        let mut all: Vec<SubjectName> = Vec::new();
        for name in self.told.iter().filter_map(|name| RecordName::parse("told", name).ok()) {
            let of = name.subject;
            let machine = if of.kind() == SubjectKind::Unit { of.holder() } else { Some(of) };
            let is_new = |one: &SubjectName| {
                one.kind() == SubjectKind::Machine && !all.contains(one)
            };
            let machine = machine.filter(is_new);
            all.extend(machine);
        }
        all
    }
}

/// Whether nothing but when is asked: "with the blades turning", "before I chock it" ask how, and are
/// never for somebody to judge.
fn asks_when_only(said: &[&str], part: &str) -> bool {
    const WHEN: &[&str] = &[
        "should", "shall", "would", "change", "changing", "replace", "grind", "renew", "fit", "lap", "new", "first", "now",
        "before", "straight", "already", "away", "goes", "going", "go", "out", "today", "anyway",
    ];
    let of_part = |word: &str| {
        let one = word.trim_end_matches('s');
        part.split_whitespace().any(|part| part.trim_end_matches('s') == one)
    };
    let before = |at: usize| {
        let who = said.get(at + 1).is_some_and(|word| matches!(*word, "it" | "that" | "they" | "this"));
        who && said.get(at + 2).is_some_and(|word| matches!(*word, "goes" | "going" | "go" | "is"))
    };
    let known = |word: &str| {
        SMALL.contains(&word) || WHEN.contains(&word) || of_part(word)
            || !word.starts_with(char::is_alphanumeric)
    };
    (0..said.len()).all(|at| known(said[at]) && (said[at] != "before" || before(at)))
        && !said.contains(&"with")
}

/// What is due on what was looked up.
fn open_on(past: &Past) -> Asked {
    let mut all = past.subjects.iter().cloned();
    let (subject, others) = (all.next(), all.collect());
    let (part, machine, start, end, within_h) = (Part::Due, None, None, None, None);
    Asked { part, subject, others, machine, start, end, within_h, words: String::new() }
}

impl Reader<'_> {
    /// What a few words ask of the records told, before anything else is made of them.
    pub(super) fn of_those_told(&self) -> Option<Interpretation> {
        let Some(Before::Single(past)) = self.question.asked.as_ref() else { return None };
        if let Some(told) = self.part_first(past) {
            return Some(told);
        }
        let said = self.spoken.texts();
        let free = self.heard.danger.stop.is_none() && said.len() <= WORDS_MAX;
        let measure = measure(&said).filter(|_| free && self.machines_asked_about().is_empty())?;
        if measure == Measure::WouldTake {
            let ready = past.asked == Single::Ready;
            return ready.then(|| self.minutes_of_due(open_on(past)));
        }
        // "How long did it take in all" of the last time is asked of that time (`again`).
        let of_one = past.asked == Single::Last && past.passed_over == 0 && measure == Measure::Sum;
        if of_one {
            return None;
        }
        if measure == Measure::Without {
            // Of no work that is named nothing can be lacking; asked of one unit it is asked of
            // those beside it.
            let mut past = Past { asked: Single::Never, by: None, passed_over: 0, ..past.clone() };
            for subject in past.subjects.iter_mut().filter(|one| one.kind() == SubjectKind::Unit) {
                if let Some(machine) = subject.holder() {
                    *subject = machine;
                }
            }
            past.subjects.dedup();
            return (!past.words.is_empty()).then(|| self.told_past(past));
        }
        if !tells_records(past.asked) {
            return None;
        }
        if past.asked == Single::Life && measure == Measure::Longest {
            return None;
        }
        // A fault is looked for by its signs, whatever is asked of it.
        let mut past = past.clone();
        if past.findings.is_empty() && matches!(past.asked, Single::Cured | Single::Held) {
            past.findings = self.signs_in(&past.words);
        }
        let past = &past;
        let asked = match measure {
            Measure::Off => past.of_those(Single::Off),
            Measure::Longest => past.of_those(Single::Longest),
            Measure::Sum => past.of_those(Single::Labour),
            Measure::First => {
                // Too many to be named: all of them, the newest first.
                let asked = if past.told.is_empty() { Single::History } else { Single::Last };
                let passed_over = past.told.len().saturating_sub(1);
                Past { passed_over, ..past.of_those(asked) }
            }
            Measure::ByMachine => {
                let asked = match past.asked {
                    Single::Labour | Single::Took => Single::Labour,
                    Single::Off => Single::Off,
                    _ => Single::Count,
                };
                Past { by: Some(By::Machine), ..past.one_stretch().of_those(asked) }
            }
            Measure::Why => self.reasons(past),
            Measure::DueFirst => {
                let all = past.machines_told();
                return (!all.is_empty()).then(|| self.told_due_of(all, &past.words));
            }
            Measure::WouldTake | Measure::Without => return None,
        };
        let mut told = self.told_past(asked);
        if measure == Measure::Why {
            told.understood = format!("The records say what each was for. {}", told.understood);
        }
        Some(told)
    }

    /// "Would you change the bedknife first, then?" of what stands open: when it is due, and why.
    fn part_first(&self, past: &Past) -> Option<Interpretation> {
        let asks = matches!(self.first_word(), "would" | "should" | "shall" | "do");
        let first = self.says(&["first", "now", "before", "straight", "already"]);
        let does = self.says(&["change", "replace", "grind", "renew", "do", "fit", "lap"]);
        let open = past.asked == Single::Ready && self.spoken.words.len() <= WORDS_MAX;
        let danger = &self.heard.danger;
        let free = danger.stop.is_none() && danger.leave.is_none() && danger.sound.is_none();
        let part = self.parts_named("");
        if !asks_when_only(&self.spoken.texts(), &part) {
            return None;
        }
        if !(asks && first && does && open && free) || part.is_empty() {
            return None;
        }
        let named = self.machines_asked_about();
        let all = if named.is_empty() { past.subjects.clone() } else { named };
        let mut told = self.told_due_of(all, &part);
        told.understood = format!("That is for you to judge; this is when it is due. {}", told.understood);
        Some(told)
    }

    /// Told apart by what each was for; after a rank, of what came first.
    fn reasons(&self, past: &Past) -> Past {
        let ranked = past.by == Some(By::Machine) || past.by == Some(By::Unit);
        let mut of = past.one_stretch();
        let first = self.question.shop.spoken_of.clone().filter(|_| ranked);
        if let Some(first) = first {
            of.subjects = vec![first];
            of.told.clear();
        }
        Past { by: Some(By::Cause), ..of.of_those(Single::Count) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_it_is_done_is_not_when() {
        for (words, part, wanted) in [
            ("would you change the bedknife first then", "bedknife", true),
            ("should i change the bedknife before it goes out", "bedknife", true),
            ("should i change the belt now with the blades turning", "belt", false),
            ("should i replace the bedknife now while its running", "bedknife", false),
            ("should i chock the wheels before i change the bedknife", "bedknife", false),
            ("should i lower it on blocks before i change the bedknife", "bedknife", false),
            ("do i grind the reel first or turn it with the starter", "reel", false),
            ("should i grind the bedknife first with it running", "bedknife", false),
        ] {
            let said: Vec<&str> = words.split_whitespace().collect();
            assert_eq!(asks_when_only(&said, part), wanted, "{words}");
        }
    }

    #[test]
    fn what_is_asked_of_the_records_told_is_known_by_its_form() {
        use Measure::{ByMachine, DueFirst, First, Longest, Off, Sum, Why, Without, WouldTake};
        for (words, wanted) in [
            ("who did the work the first time", Some(First)),
            ("and when was the first one", Some(First)),
            ("so how many hours did that cost us altogether", Some(Sum)),
            ("how long did that take in all", Some(Sum)),
            ("what is the total time on those", Some(Sum)),
            ("how much time was that all told", Some(Sum)),
            ("what took the longest", Some(Longest)),
            ("which of them took longest", Some(Longest)),
            ("how much did they take off all together", Some(Off)),
            ("how much came off in total", Some(Off)),
            ("which machine uses the most", Some(ByMachine)),
            ("and which mower goes through the most of them", Some(ByMachine)),
            ("and why so many", Some(Why)),
            ("how come there were so many", Some(Why)),
            ("which of them is due first", Some(DueFirst)),
            ("how long would that take", Some(WouldTake)),
            ("which ones have not been looked at", Some(Without)),
            ("which machines were missed", Some(Without)),
            ("which ones have not been ground", None),
            ("which was the first", Some(First)),
            ("and who did it first", Some(First)),
            ("which one is due next", Some(DueFirst)),
            ("which is the first one to do", None),
            ("which ones last the longest", None),
            ("which machine needs the most work", None),
            // Other work, other things and what is to be done are asked for themselves.
            ("how many hours did the grinding take altogether", None),
            ("which machine is worn the most", None),
            ("what should i do first", None),
            ("which belt lasted longest", None),
            ("how long did that take", None),
            ("how much came off", None),
            ("why does it come back", None),
            ("how long does it take", None),
            ("how many hours are left on it", None),
        ] {
            let said: Vec<&str> = words.split_whitespace().collect();
            assert_eq!(measure(&said), wanted, "{words}");
        }
    }
}
