//! Is the last question to the records asked again, of another machine, of other days, or another
//! side of it: "and unit 3?", "just the tees mower", "and in 2025?", "who did it", "did it hold"?
//! Deliberately absent: questions that say themselves what they ask after.

use super::asked_shape::{COMPARES, Shape};
use super::fleet::{Asked, Part, id_and_told};
use super::past::Past;
use super::subjects::Known;
use super::{Interpretation, Reader};
use crate::domain::language::text::Kind;
use crate::domain::fleet::parts::Family;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::any_said_at;

/// The question before.
#[derive(Clone, Debug, PartialEq)]
pub enum Before {
    Single(Past),
    Whole(Asked),
}

/// Longer words ask something of their own.
const WORDS_MAX: usize = 12;
/// Fewer ask of what was told without a word that points at it.
const SHORT: usize = 5;
/// Words that lean on what was asked before, at the beginning.
const LEANS: &[&str] = &[
    "and", "or", "just", "only", "what about", "how about", "same for", "the same for", "also",
    "but", "not", "then", "so", "ok and", "now", "how does that", "how does this", "give me",
    "total", "the total",
];
/// Words that point at what was told.
const POINTS: &[&str] =
    &["it", "that", "they", "them", "those", "these", "this", "its", "their", "he", "him", "his"];
/// What is asked of what was told, by its first words.
const SIDES: &[(&[&str], Single)] = &[
    (&["how much came off", "how much did it take off", "how much was taken", "how much off",
        "how much did they take off"], Single::Last),
    (&["how long between", "how far apart"], Single::Between),
    (&["who", "when", "by who", "by whom", "whose", "what date", "which day", "what day"],
        Single::Last),
    (&["how long do they last", "how long does it last", "how long did it last",
        "how long did they last", "how long do these last", "how long do those last"],
        Single::Life),
    (&["what are they supposed", "what is it supposed", "what should it be", "what should they be",
        "what is it set", "what are they set", "what was it set", "what were they set",
        "what is the target", "how high is it", "how high are they"], Single::Height),
    (&["how long", "time taken"], Single::Took),
    (&["how many hours", "how much time", "how many man hours"], Single::Labour),
    (&["how many", "how often"], Single::Count),
    (&["did it hold", "did that hold", "did it work", "did that work", "did it come back",
        "did any", "has it come back", "is it fixed", "was it fixed", "was that fixed",
        "did they hold", "has it held", "did it last", "did they last", "which of them came",
        "which of those came", "which came back", "is it still", "did that last"], Single::Held),
    (&["what cured", "what fixed", "how did they fix", "how was it fixed", "what did they do",
        "what did we do", "what was done", "what was it"], Single::Cured),
    (&["has anything been done", "was anything done", "anything done since", "what has been done",
        "has anybody done", "has anyone done"], Single::History),
    (&["show me", "list them", "which ones", "which one", "which machine", "which unit",
        "tell me more", "what were they"], Single::History),
];
/// The newest but one.
const BEFORE_THAT: &[&str] = &[
    "the one before", "and before that", "before that", "the time before", "and the one before",
    "the last but one", "the previous one", "what about before that",
];
/// Of everybody and everything that was asked about.
const TOGETHER: &[&str] = &["total", "together", "altogether", "everybody", "everyone", "combined"];
/// What keeps coming back of what a report was about.
const BACK: &[&str] =
    &["what came back", "what comes back", "what keeps coming", "anything come back"];
/// Words of asking that name nothing.
const OF_ASKING: &[&str] = &[
    "labour", "labor", "spent", "hours", "hrs", "due", "overdue", "sure", "certain", "interval",
    "longest", "summary",
];
/// Who did what was counted.
const OF_EACH: &[&str] = &["them", "those", "these", "most", "each", "all"];

/// What is said anew.
struct Anew {
    side: Option<Single>,
    subjects: Vec<SubjectName>,
    shape: Shape,
    /// Words of the trade.
    matter: String,
    together: bool,
}

impl Reader<'_> {
    /// The question before with the new part put in.
    pub(super) fn again(&self) -> Option<Interpretation> {
        let before = self.question.asked.as_ref()?;
        let words = self.spoken.words.len();
        let tokens = &self.spoken.tokens;
        if words == 0 || words > WORDS_MAX || self.heard.proof.told {
            return None;
        }
        let before_that = any_said_at(tokens, 0, BEFORE_THAT).is_some();
        if let (Before::Single(past), true) = (before, before_that) {
            let passed_over = past.passed_over + 1;
            return Some(self.told_past(Past { asked: Single::Last, passed_over, ..past.clone() }));
        }
        let leans = any_said_at(tokens, 0, LEANS).is_some();
        let says = |list: &[&str]| tokens.iter().any(|token| list.contains(&token.text.as_str()));
        let side = SIDES.iter().find(|(starts, _)| {
            (0..tokens.len().min(3)).any(|at| any_said_at(tokens, at, starts).is_some())
        });
        // "How many of them came back".
        let came = says(&["came", "come", "comes", "coming"]) && says(&["back"]);
        let back = came && says(POINTS);
        let side = side.map(|(_, asked)| *asked);
        let side = back.then_some(Single::Held).or_else(|| self.cued_sure()).or(side);
        let mut shape = self.shape();
        let subjects = self.meant_again(before, leans, &mut shape);
        let id = match (side, before) {
            (Some(asked), _) => id_and_told(Part::Single(asked)).0,
            (None, Before::Single(past)) => id_and_told(Part::Single(past.asked)).0,
            (None, Before::Whole(asked)) => id_and_told(asked.part).0,
        };
        let left = self.matter_without(id, &shape.taken);
        // "Who set it each time" says no more than "who did it".
        let who = tokens.first().is_some_and(|token| token.text == "who");
        let small = |word: &&str| {
            TOGETHER.contains(word) || OF_ASKING.contains(word) || (who && *word == "set")
        };
        let left: Vec<&str> = left.split_whitespace().filter(|word| !small(word)).collect();
        let matter = self.trade_of(&left.join(" "));
        let together = says(TOGETHER);
        let foreign = left.len() > matter.split_whitespace().count();
        let new = !subjects.is_empty() || !shape.periods.is_empty() || !shape.people.is_empty();
        let deed = self.heard.proof.deed && !(leans && words < SHORT && !self.gives_numbers());
        // Work that is told of a machine is no question.
        if deed || (foreign && !(leans && new)) {
            return None;
        }
        // "Who fixed them", "when was it fitted": the work is named again.
        // "How long between grinds" after grinds goes on with them.
        let same_work = match before {
            Before::Single(past) => same_work(&past.words, &matter),
            Before::Whole(_) => false,
        };
        let of_it = !matter.is_empty()
            && (says(POINTS) || (same_work && !new))
            && matter.split_whitespace().all(|word| work(word).is_some());
        let back = any_said_at(tokens, 0, BACK).is_some();
        if let (Before::Whole(asked), true) = (before, back) {
            let asked = Asked { part: Part::Faults, ..asked.clone() };
            return Some(self.told_whole(asked, shape.periods.first()));
        }
        // "How many times on walker 1" has to go on with what was counted.
        let lacks = matches!(before, Before::Single(past) if !past.words.is_empty())
            && matches!(
                side,
                Some(Single::Count | Single::Took | Single::Held | Single::Between | Single::Life)
            );
        if let Some(due) = self.due_follows(before, &matter, &subjects) {
            return Some(due);
        }
        // "How many hours has it done" of a part, not of those who changed it.
        let of_part = says(&["it", "its", "they"]) && !says(&["labour", "labor", "work", "we"]);
        let side = match side {
            Some(Single::Labour) if of_part => Some(Single::Hours),
            other => other,
        };
        let bare = matter.is_empty() && side.is_none() && (new || together);
        let asks = side.is_some()
            && (matter.is_empty() || of_it)
            && (says(POINTS) || words <= SHORT || (new && (leans || lacks)));
        let put = leans && (new || together || !matter.is_empty());
        if !(bare || asks || put) {
            return None;
        }
        let anew = Anew { side, subjects, shape, matter, together };
        match before {
            Before::Single(past) => Some(self.single_again(past.clone(), anew)),
            Before::Whole(asked) => self.whole_again(asked, anew),
        }
    }

    /// "When is it due again", "how sure are you about the belt" after what is due.
    fn due_follows(
        &self,
        before: &Before,
        matter: &str,
        subjects: &[SubjectName],
    ) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let says = |list: &[&str]| tokens.iter().any(|token| list.contains(&token.text.as_str()));
        let again = says(&["due", "overdue"]) && says(POINTS) && matter.is_empty();
        let about_due = matches!(before, Before::Whole(asked) if asked.part == Part::Due);
        let doubted = says(&["sure", "certain", "why"]) && !self.parts_named("").is_empty();
        (again || (about_due && doubted)).then(|| self.due_again(before, subjects))
    }

    /// When what was told is due again.
    fn due_again(&self, before: &Before, subjects: &[SubjectName]) -> Interpretation {
        let (known, words) = match before {
            Before::Single(past) => (past.subjects.first().cloned(), past.words.clone()),
            Before::Whole(asked) => (asked.subject.clone(), String::new()),
        };
        let subject = subjects.first().cloned().or(known);
        let subject = subject.filter(|name| name.kind() != SubjectKind::Area);
        self.told_due(subject, &words)
    }

    fn gives_numbers(&self) -> bool {
        !self.spoken.quantities.is_empty()
    }

    /// What is named now: a unit by its bare number is one of the machine before.
    fn meant_again(&self, before: &Before, leans: bool, shape: &mut Shape) -> Vec<SubjectName> {
        let named = self.machines_asked_about();
        let tokens = &self.spoken.tokens;
        let number = tokens.iter().position(|token| token.kind == Kind::Number);
        let (true, Some(at), true) = (named.is_empty(), number, leans && tokens.len() <= SHORT)
        else {
            return named;
        };
        let before = match before {
            Before::Single(past) => past.subjects.first(),
            Before::Whole(asked) => asked.subject.as_ref(),
        };
        let machine = match before {
            Some(name) if name.kind() == SubjectKind::Unit => name.holder(),
            Some(name) => Some(name.clone()),
            None => self.question.shop.machine_spoken_of(),
        };
        let numbered = |known: &&Known| {
            known.name.kind() == SubjectKind::Unit
                && machine.as_ref().is_some_and(|machine| machine.holds(&known.name))
                && known.name.id().as_str() == tokens[at].text
        };
        let unit = self.question.shop.subjects.iter().find(numbered);
        shape.taken.extend(unit.map(|_| (at, at)));
        unit.map(|known| known.name.clone()).into_iter().collect()
    }

    fn single_again(&self, mut past: Past, anew: Anew) -> Interpretation {
        let Anew { side, subjects, shape, matter, together } = anew;
        past.passed_over = 0;
        let first = self.spoken.words.first().map_or("", |word| word.text.as_str());
        let who = self.spoken.words.iter().take(2).any(|word| word.text == "who");
        let each = self.spoken.words.iter().any(|word| OF_EACH.contains(&word.text.as_str()));
        let many = matches!(
            past.asked,
            Single::Count | Single::History | Single::Labour | Single::Held | Single::Cured
        );
        past.by = shape.by.or(past.by.filter(|_| side.is_none_or(|side| side == past.asked)));
        if who && each && many {
            past.by = Some(By::Person);
            past.asked = if past.asked == Single::Labour { past.asked } else { Single::Count };
        } else if let Some(side) = side {
            // "How long did it take in all" of the last time: of that time.
            let of_last = past.asked == Single::Last && side == Single::Labour;
            past.asked = if of_last { Single::Took } else { side };
        } else if matches!(past.asked, Single::Last) && first == "only" {
            past.asked = Single::History;
        }
        let since = side == Some(Single::History)
            && self.spoken.words.iter().any(|word| matches!(word.text.as_str(), "been" | "anything"));
        if since {
            // Whatever was done there since, by anybody.
            past.people.clear();
            let parts = past.words.split_whitespace().filter(|word| Family::of(word).is_some());
            past.words = parts.collect::<Vec<_>>().join(" ");
        }
        if !subjects.is_empty() {
            past.subjects = subjects;
        }
        if !shape.people.is_empty() {
            past.people.clone_from(&shape.people);
        }
        if together {
            past.people.clear();
        }
        if !matter.is_empty() {
            past.words = put_in_words(&past.words, matter);
        }
        let compares = self.spoken.words.iter().any(|word| COMPARES.contains(&word.text.as_str()));
        match (&shape.periods[..], past.start.is_some()) {
            ([one], true) if compares => {
                past.spans = vec![
                    (past.start.clone(), past.end.clone()),
                    (one.start.clone(), one.end.clone()),
                ];
            }
            (periods, _) => {
                past.put_in(periods);
            }
        }
        self.told_past(past)
    }

    fn whole_again(&self, asked: &Asked, anew: Anew) -> Option<Interpretation> {
        let single = anew.side.is_some() || !anew.shape.people.is_empty();
        let of_one = matches!(asked.part, Part::Faults | Part::Remedies | Part::Costs)
            || matches!(asked.part, Part::Standing);
        if single && of_one {
            // What a report says of all is asked of single records.
            let words = if matches!(asked.part, Part::Faults) { "faults" } else { "" };
            let words = if asked.part == Part::Remedies { "fixes" } else { words };
            let past = Past {
                asked: Single::History,
                subjects: asked.subject.iter().cloned().collect(),
                words: words.to_owned(),
                start: asked.start.clone(),
                end: asked.end.clone(),
                people: Vec::new(),
                spans: Vec::new(),
                by: None,
                passed_over: 0,
            };
            return Some(self.single_again(past, anew));
        }
        // "Who did it" of what is due has no answer of its own.
        if anew.side.is_some() && anew.subjects.is_empty() && anew.shape.periods.is_empty() {
            return None;
        }
        let mut asked = asked.clone();
        asked.subject = anew.subjects.into_iter().next().or(asked.subject);
        let period = anew.shape.periods.first();
        if let Some(period) = period {
            (asked.start, asked.end) = (period.start.clone(), period.end.clone());
        }
        Some(self.told_whole(asked, period))
    }
}

/// The words asked about with new ones put in: work takes the place of work ("and ground?" after
/// laps), a part of a part; that a fault was fixed says nothing new of it.
fn put_in_words(before: &str, new: String) -> String {
    let deed = |word: &str| work(word).and_then(|(_, deed)| deed);
    let of_faults = |word: &str| matches!(deed(word), Some(Deed::Fault | Deed::Cure));
    if !before.is_empty() && new.split_whitespace().all(|word| deed(word) == Some(Deed::Cure)) {
        return before.to_owned();
    }
    if new.split_whitespace().any(of_faults) || new.split_whitespace().any(|w| deed(w).is_none()) {
        return new;
    }
    let things = before.split_whitespace().filter(|word| work(word).is_none());
    let of_things = |word| matches!(deed(word), Some(Deed::Change | Deed::Look));
    let changes = new.split_whitespace().any(of_things);
    let kept = things.filter(|_| changes).collect::<Vec<_>>().join(" ");
    format!("{kept} {new}").trim().to_owned()
}

/// Whether all work that is named now was named before.
fn same_work(before: &str, now: &str) -> bool {
    let deeds = |words: &str| -> Vec<Deed> {
        words.split_whitespace().filter_map(|word| work(word).and_then(|(_, deed)| deed)).collect()
    };
    let (before, now) = (deeds(before), deeds(now));
    !now.is_empty() && now.iter().all(|deed| before.contains(deed))
}
