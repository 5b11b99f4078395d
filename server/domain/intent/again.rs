//! Is the last question to the records asked again, of another machine, of other days, or another
//! side of it: "and unit 3?", "just the tees mower", "and in 2025?", "who did it", "did it hold"?
//! Deliberately absent: questions that say themselves what they ask after.

use super::asked_first::{EVERYBODY, with_change};
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

/// Topic of how long what is due takes.
pub const MINUTES: &str = "due_minutes";
/// Longer words ask something of their own.
const WORDS_MAX: usize = 12;
/// Fewer ask of what was told without a word that points at it.
const SHORT: usize = 5;
/// Words that lean on what was asked before, at the beginning.
const LEANS: &[&str] = &[
    "and", "or", "just", "only", "what about", "how about", "same for", "the same for", "also",
    "but", "not", "then", "so", "ok and", "now", "how does that", "how does this", "give me",
    "total", "the total", "more", "less", "better", "worse", "is that", "is it", "was that",
    "how much of", "compared", "compare", "versus", "vs", "while",
];
/// Words that point at what was told.
const POINTS: &[&str] =
    &["it", "that", "they", "them", "those", "these", "this", "its", "their", "he", "him", "his"];
/// What is asked of what was told, by its first words.
const SIDES: &[(&[&str], Single)] = &[
    (&["how much came off", "how much did it take off", "how much was taken", "how much off",
        "how much did they take off"], Single::Last),
    (&["how many hours since", "how many hrs since", "hours since", "hrs since", "how long since",
        "how long ago", "how many hours ago"], Single::Hours),
    (&["how long between", "how far apart"], Single::Between),
    (&["who", "when", "by who", "by whom", "whose", "what date", "which day", "what day"],
        Single::Last),
    (&["how long do they last", "how long does it last", "how long did it last",
        "how long did they last", "how long do these last", "how long do those last",
        "how long did the last", "how long did last", "how long did the one", "how long did the old",
        "how long did the other", "how long did that one", "what did the last one"],
        Single::Life),
    (&["what are they supposed", "what is it supposed", "what should it be", "what should they be",
        "what is it set", "what are they set", "what was it set", "what were they set",
        "what is the target", "how high is it", "how high are they", "how high was it",
        "how high were they"], Single::Height),
    (&["how long", "time taken"], Single::Took),
    (&["how many hours", "how many hrs", "how much time", "how many man hours", "what did it cost",
        "what has it cost", "whats it cost", "what does it cost", "what is it cost",
        "what did that cost", "how much did it cost"], Single::Labour),
    (&["how many", "how often"], Single::Count),
    (&["did it hold", "did that hold", "did it work", "did that work", "did it come back",
        "did any", "has it come back", "is it fixed", "was it fixed", "was that fixed",
        "did they hold", "has it held", "did it last", "did they last", "which of them came",
        "which of those came", "which came back", "is it still", "did that last"], Single::Held),
    (&["what cured", "what fixed", "how did they fix", "how was it fixed", "what did they do",
        "what did we do", "what was done", "what was it"], Single::Cured),
    (&["did it stay", "has it stayed", "did that stay", "did they stay"], Single::Held),
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
    "longest", "summary", "less", "fewer", "lose", "lost", "cost", "costs", "usually", "normally",
];
/// Words that name the answer itself, with no work of their own.
const OF_WORK_DONE: &[&str] = &["lose", "lost", "take", "took", "cost", "spend", "spent", "labour",
    "labor", "work", "we", "worked"];
/// What went wrong is faults.
const WENT: &[&str] = &["went", "gone", "goes", "going"];
/// Whether something is worth keeping is asked with these.
const KEEPING: &[&str] = &["replace", "replacing", "scrap", "sell", "keep", "keeping", "renew"];
const WOULD: &[&str] = &["would", "should", "worth", "shall", "ought"];
/// First words of a question of its own.
const ASKING: &[&str] = &[
    "what", "whats", "how", "hows", "when", "whens", "which", "who", "whos", "where", "did", "has",
    "have", "is", "are", "was", "were", "does", "do",
];
/// Whether what is set, read or done is as it should be.
const ALRIGHT: &[&str] = &[
    "alright", "ok", "okay", "right", "fine", "good", "bad", "normal", "low", "high", "enough", "safe",
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
    /// The days asked about before are meant no longer.
    fresh: bool,
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
        if let Some(of_before) = self.of_what_came_first(before) {
            return Some(of_before);
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
        let back = came && self.points(POINTS);
        let side = side.map(|(_, asked)| *asked);
        let holds = says(&["hold", "holds", "holding", "held", "stick", "sticking"]) && self.points(POINTS);
        let side = (back || holds).then_some(Single::Held).or_else(|| self.cued_sure()).or(side);
        let first = tokens.first().map_or("", |token| token.text.as_str());
        let went_wrong = says(&["wrong"]) && (says(WENT) || first.starts_with("what"));
        // "Has it got worse" of what is read: one reading after the other.
        let changed = says(&["worse", "better", "longer", "slower", "changed"])
            && says(&["got", "getting", "gone", "become"]) && self.points(POINTS);
        let side = if went_wrong || changed { Some(Single::History) } else { side };
        // "Who set it", "what was it last December" of a height ask after heights.
        let side = match (side, before) {
            (Some(Single::Last | Single::Cured), Before::Single(past))
                if matches!(past.asked, Single::Height | Single::Longest) =>
            {
                Some(past.asked)
            }
            (side, _) => side,
        };
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
        // "Why do they keep coming back": which do, more than on units alike.
        if came && tokens.first().is_some_and(|token| token.text == "why") {
            let (subject, start, end) = match before {
                Before::Single(past) => {
                    (past.subjects.first().cloned(), past.start.clone(), past.end.clone())
                }
                Before::Whole(asked) => {
                    (asked.subject.clone(), asked.start.clone(), asked.end.clone())
                }
            };
            let subject = subject.filter(|name| name.kind() != SubjectKind::Area);
            let (part, machine, within_h, words) = (Part::Faults, None, None, String::new());
            let asked = Asked { part, subject, machine, start, end, within_h, words };
            let mut told = self.told_whole(asked, shape.periods.first());
            told.understood = format!("Why is not written. {}", told.understood);
            return Some(told);
        }
        let small = |word: &&str| {
            let set = *word == "set" && (who || self.points(POINTS));
            TOGETHER.contains(word) || OF_ASKING.contains(word) || set
        };
        let left: Vec<&str> = left.split_whitespace().filter(|word| !small(word)).collect();
        let matter = match went_wrong {
            true => "faults".to_owned(),
            false => self.trade_of(&left.join(" ")),
        };
        let together = says(TOGETHER);
        // Of a complaint it is one whatever was done about it.
        let of_signs = matches!(before, Before::Single(past) if past.has_signs())
            && self.points(POINTS);
        let foreign = !went_wrong && !of_signs && left.len() > matter.split_whitespace().count();
        let new = !subjects.is_empty() || !shape.periods.is_empty() || !shape.people.is_empty();
        let asks_itself = ASKING.contains(&first);
        let asks_of_it = asks_itself && self.points(POINTS);
        let leaning = leans && words < SHORT && !self.gives_numbers();
        let deed = self.heard.proof.deed && !leaning && !asks_of_it;
        // Of a complaint only other work, or a part, is something new.
        let matter = match before {
            Before::Single(past) if past.has_signs() => {
                matter.split_whitespace().filter(|word| is_other_work(word)).collect::<Vec<_>>().join(" ")
            }
            _ => matter,
        };
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
            && (self.points(POINTS) || went_wrong || (same_work && !new))
            && matter.split_whitespace().all(|word| work(word).is_some());
        let back = any_said_at(tokens, 0, BACK).is_some();
        if let (Before::Whole(asked), true) = (before, back) {
            let asked = Asked { part: Part::Faults, ..asked.clone() };
            return Some(self.told_whole(asked, shape.periods.first()));
        }
        // "How many times on walker 1" has to go on with what was counted.
        let worded = |past: &Past| !past.words.is_empty() || !past.findings.is_empty();
        let lacks = matches!(before, Before::Single(past) if worded(past))
            && matches!(
                side,
                Some(Single::Count | Single::Took | Single::Held | Single::Between | Single::Life)
            );
        // A whole question of another machine is read as what it says itself.
        let own = !leans && asks_itself && !subjects.is_empty() && shape.periods.is_empty()
            && words > 3;
        let whole = !leans && asks_itself && words > SHORT && !self.points(POINTS);
        if (own || whole) && side.is_none() && !together {
            return None;
        }
        if let Some(due) = self.due_follows(before, &matter, &subjects) {
            return Some(due);
        }
        // "How many hours has it done" of a part, not of those who changed it.
        let parts = match before {
            Before::Single(past) => past.words.split_whitespace().any(|w| Family::of(w).is_some()),
            Before::Whole(asked) => !asked.words.is_empty(),
        };
        let of_part = parts && says(&["it", "its", "they", "this", "that", "one"])
            && !says(OF_WORK_DONE);
        let side = match side {
            Some(Single::Labour) if of_part => Some(Single::Hours),
            other => other,
        };
        // "How long did the one before last", of the part that was spoken of.
        let of_one = says(&["one", "ones"]) && matches!(side, Some(Single::Life | Single::Hours));
        let bare = matter.is_empty() && side.is_none() && (new || together);
        let asks = side.is_some()
            && (matter.is_empty() || of_it)
            && (self.points(POINTS) || words <= SHORT || (new && (leans || lacks)) || (!new && of_one));
        let put = leans && (new || together || !matter.is_empty());
        if !(bare || asks || put) {
            return None;
        }
        // A question of its own, of another machine, says its own days or none.
        let height = side == Some(Single::Height)
            && !matches!(before, Before::Single(past) if past.asked == Single::Height);
        let fresh = own || height || says(&["now", "currently", "moment", "today"]) || says(&["present"]);
        let anew = Anew { side, subjects, shape, matter, together, fresh };
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
        let again = says(&["due", "overdue"]) && self.points(POINTS) && matter.is_empty();
        let about_due = matches!(before, Before::Whole(asked) if asked.part == Part::Due);
        let takes = matter.is_empty() && says(&["take", "takes", "need"]) && says(&["long", "time", "hours", "hrs"]);
        if let (Before::Whole(asked), true, true) = (before, about_due, takes)
            && asked.words.is_empty()
        {
            // How long all that takes.
            let asked = Asked { within_h: Some(0.0), ..asked.clone() };
            let mut told = self.told_whole(asked, None);
            MINUTES.clone_into(&mut told.topic);
            told.understood = "Add up how long what is due now takes.".to_owned();
            return Some(told);
        }
        let first = says(&["worst", "first", "most", "longest"]) && says(&["which", "what"]);
        if let (Before::Whole(asked), true, true) = (before, about_due && matter.is_empty(), first) {
            return Some(self.told_whole(Asked { within_h: Some(0.0), ..asked.clone() }, None));
        }
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

    /// "Why" after a rank, and "would you replace it": of the machine that was named first.
    fn of_what_came_first(&self, before: &Before) -> Option<Interpretation> {
        let says = |list: &[&str]| {
            self.spoken.tokens.iter().any(|token| list.contains(&token.text.as_str()))
        };
        let subject = match before {
            Before::Single(past) => past.subjects.first().cloned(),
            Before::Whole(asked) => asked.subject.clone(),
        };
        let short = self.spoken.words.len() <= SHORT + 2;
        let subject = subject.or_else(|| self.question.shop.spoken_of.clone());
        let which = self.spoken.tokens.first().is_some_and(|token| token.text == "which");
        if let Before::Single(past) = before
            && past.asked == Single::Hours && which && short && says(&["more", "most"])
        {
            // "Which has done more" of the hours of several.
            return Some(self.told_past(Past { by: Some(By::Machine), ..past.clone() }));
        }
        let subject = subject?;
        if says(WOULD) && says(KEEPING) && self.points(POINTS) && short {
            let (part, machine) = (Part::Costs, None);
            let (start, end, within_h, words) = (None, None, None, String::new());
            let subject = Some(subject).filter(|name| name.kind() != SubjectKind::Area);
            let asked = Asked { part, subject, machine, start, end, within_h, words };
            let mut told = self.told_whole(asked, None);
            told.understood = format!("That is for you to judge. {}", told.understood);
            return Some(told);
        }
        let Before::Single(past) = before else { return None };
        if past.asked == Single::Height && says(ALRIGHT) && self.points(POINTS) && !says(&["same"]) {
            let mut told = self.told_past(past.clone());
            let cannot = "Whether that suits the season the records cannot say; \"plan the heights \
                          of\" an area sets it out.";
            told.understood = format!("{cannot} {}", told.understood);
            return Some(told);
        }
        let why = self.spoken.tokens.first().is_some_and(|token| token.text == "why");
        let ranked = matches!(past.by, Some(By::Machine | By::Unit));
        (why && ranked && self.spoken.words.len() <= SHORT).then(|| {
            let (subjects, asked) = (vec![subject], Single::History);
            self.told_past(Past { subjects, asked, by: None, ..past.clone() })
        })
    }

    fn gives_numbers(&self) -> bool {
        !self.spoken.quantities.is_empty()
    }

    /// What is named now: a unit by its bare number is one of the machine before.
    fn meant_again(&self, before: &Before, leans: bool, shape: &mut Shape) -> Vec<SubjectName> {
        let named = self.machines_asked_about();
        let tokens = &self.spoken.tokens;
        if let (true, Some(other)) = (named.is_empty() && leans, self.the_other(before)) {
            return vec![other];
        }
        let number = tokens.iter().position(|token| token.kind == Kind::Number);
        let (true, Some(at), true) = (named.is_empty(), number, leans && tokens.len() <= SHORT + 1)
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
        // "And what about no 2" after walker 1: its sister.
        let sister = |known: &&Known| {
            let name = machine.as_ref().map(|machine| machine.id().as_str());
            let stem = |id: &str| id.trim_end_matches(|ch: char| ch.is_ascii_digit()).to_owned();
            let number = |id: &str| id.strip_prefix(&stem(id)).unwrap_or_default().to_owned();
            known.name.kind() == SubjectKind::Machine
                && name.is_some_and(|name| {
                    let id = known.name.id().as_str();
                    !number(name).is_empty() && stem(name) == stem(id)
                        && number(id) == tokens[at].text
                })
        };
        let subjects = &self.question.shop.subjects;
        let unit = subjects.iter().find(numbered).or_else(|| subjects.iter().find(sister));
        shape.taken.extend(unit.map(|_| (at, at)));
        unit.map(|known| known.name.clone()).into_iter().collect()
    }

    /// "And the other one": the only sister of the machine before.
    fn the_other(&self, before: &Before) -> Option<SubjectName> {
        let machine = match before {
            Before::Single(past) => past.subjects.first(),
            Before::Whole(asked) => asked.subject.as_ref(),
        }?;
        let says = self.spoken.tokens.iter().any(|token| token.text == "other");
        let stem = |name: &SubjectName| {
            let id = name.id().as_str();
            let stem = id.trim_end_matches(|ch: char| ch.is_ascii_digit());
            (stem.len() < id.len()).then(|| stem.to_owned())
        };
        let known = self.question.shop.subjects.iter().map(|known| &known.name);
        let mut sisters = known.filter(|name| {
            name.kind() == SubjectKind::Machine && *name != machine
                && stem(name).is_some() && stem(name) == stem(machine)
        });
        let only = sisters.next().filter(|_| says)?;
        sisters.next().is_none().then(|| only.clone())
    }

    fn single_again(&self, mut past: Past, anew: Anew) -> Interpretation {
        let Anew { side, subjects, shape, matter, together, fresh } = anew;
        past.passed_over = 0;
        if fresh && shape.periods.is_empty() {
            (past.start, past.end) = (None, None);
            past.spans.clear();
        }
        // "Is his work holding" is asked of all that he did.
        let his = |list: &[&str]| {
            self.spoken.words.iter().any(|word| list.contains(&word.text.as_str()))
        };
        if his(&["his", "her", "their"]) && his(&["work", "fixes", "repairs", "jobs", "mends"]) {
            past.words = String::new();
            (past.start, past.end) = (None, None);
            past.spans.clear();
        }
        // Of two stretches set side by side the first is gone on with.
        if let (Some(side), false, [first, ..]) = (side, past.spans.is_empty(), &past.spans[..])
            && side != past.asked && shape.periods.is_empty()
        {
            (past.start, past.end) = first.clone();
            past.spans.clear();
        }
        // What is asked of "it" after a rank is asked of what came first.
        let ranked = matches!(past.by, Some(By::Machine | By::Unit)) && shape.by.is_none();
        if ranked && side.is_some() && subjects.is_empty() {
            past.by = None;
            past.subjects = self.question.shop.spoken_of.iter().cloned().collect();
        }
        let first = self.spoken.words.first().map_or("", |word| word.text.as_str());
        let who = self.spoken.words.iter().take(3).any(|word| {
            matches!(word.text.as_str(), "who" | "whom" | "whose")
        });
        let each = self.spoken.words.iter().any(|word| OF_EACH.contains(&word.text.as_str()));
        let many = matches!(
            past.asked,
            Single::Count | Single::History | Single::Labour | Single::Held | Single::Cured
        );
        past.by = shape.by.or(past.by.filter(|_| side.is_none_or(|side| side == past.asked)));
        let of_last = past.asked == Single::Last && past.findings.is_empty();
        let last = his(&["last"]) && !each;
        let pace = his(&["quickest", "fastest", "slowest"]) && past.asked == Single::Took;
        if pace && who {
            past.by = Some(By::Person);
        } else if last && who && many {
            past.asked = Single::Last;
        } else if who && (many || (of_last && matter.is_empty()))
            && (each || side == Some(Single::Last))
        {
            past.by = Some(By::Person);
            past.asked = match past.asked {
                asked @ (Single::Labour | Single::Last) => asked,
                _ => Single::Count,
            };
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
        let compares = self.spoken.words.iter().any(|word| COMPARES.contains(&word.text.as_str()));
        match (compares, past.subjects.first()) {
            // "Compare it with the tees mower".
            (true, Some(known)) if !subjects.is_empty() && !subjects.contains(known) => {
                past.subjects.extend(subjects);
            }
            (true, None) if !subjects.is_empty() => {
                past.subjects = self.question.shop.spoken_of.iter().cloned().collect();
                past.subjects.extend(subjects);
                past.subjects.dedup();
                past.by = None;
            }
            _ if !subjects.is_empty() => past.subjects = subjects,
            _ => {}
        }
        if his(EVERYBODY) {
            past.people.clear();
        }
        if !shape.people.is_empty() {
            // "More than bench one's" sets him beside the one before.
            if !compares {
                past.people.clear();
            }
            past.people.extend(shape.people.iter().cloned());
            past.people.dedup();
            past.by = past.by.filter(|by| *by != By::Person);
        }
        if together {
            past.people.clear();
        }
        if !matter.is_empty() {
            past.findings.clear();
            past.words = put_in_words(&past.words, matter);
        }
        match (&shape.periods[..], past.start.is_some()) {
            // "Is that worse than last year" of all time: this year beside it.
            ([one], false) if compares => {
                let year = self.periods_in("this year");
                let year = year.first().map(|one| (one.start.clone(), one.end.clone()));
                past.spans = year.into_iter().collect();
                past.spans.push((one.start.clone(), one.end.clone()));
            }
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
        if past.asked == Single::Height {
            past.words = String::new();
        }
        self.told_past(past)
    }

    fn whole_again(&self, asked: &Asked, anew: Anew) -> Option<Interpretation> {
        let single = anew.side.is_some() || !anew.shape.people.is_empty();
        let of_one = matches!(asked.part, Part::Faults | Part::Remedies | Part::Costs)
            || matches!(asked.part, Part::Standing)
            || (asked.part == Part::Due && !asked.words.is_empty());
        if single && of_one {
            // What a report says of all is asked of single records.
            let words = if matches!(asked.part, Part::Faults) { "faults" } else { "" };
            let words = match asked.part {
                Part::Remedies => "fixes".to_owned(),
                // "How long did the last one last" of the belt that is due.
                Part::Due => with_change(&asked.words),
                _ => words.to_owned(),
            };
            let past = Past {
                asked: Single::History,
                subjects: asked.subject.iter().cloned().collect(),
                words,
                start: asked.start.clone(),
                end: asked.end.clone(),
                people: Vec::new(),
                spans: Vec::new(),
                by: None,
                passed_over: 0,
                findings: Vec::new(),
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

/// A part, or work that puts no fault right.
fn is_other_work(word: &str) -> bool {
    let deed = work(word).and_then(|(_, deed)| deed);
    Family::of(word).is_some() || deed.is_some_and(|deed| !matches!(deed, Deed::Fault | Deed::Cure))
}

/// Whether all work that is named now was named before.
fn same_work(before: &str, now: &str) -> bool {
    let deeds = |words: &str| -> Vec<Deed> {
        words.split_whitespace().filter_map(|word| work(word).and_then(|(_, deed)| deed)).collect()
    };
    let (before, now) = (deeds(before), deeds(now));
    !now.is_empty() && now.iter().all(|deed| before.contains(deed))
}
