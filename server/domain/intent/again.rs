//! Is the last question to the records asked again, of another machine, of other days, or another
//! side of it: "and unit 3?", "just the tees mower", "and in 2025?", "who did it", "did it hold"?
//! Deliberately absent: questions that say themselves what they ask after.

use super::asked_first::{EVERYBODY, with_change};
use super::asked_shape::{COMPARES, Shape};
use super::fleet::{Asked, Part, id_and_told};
use super::past::{PRISM, Past};
use super::{Interpretation, Reader};
use crate::domain::fleet::parts::Family;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::SubjectName;
use crate::domain::said::said_units::any_said_at;

/// The side of an answer that a turn asks after.
fn side_of_role(role: &str) -> Option<Single> {
    match role {
        "who" | "when" | "what" => Some(Single::Last),
        "took" => Some(Single::Took),
        "list" => Some(Single::History),
        _ => None,
    }
}

/// The question before.
#[derive(Clone, Debug, PartialEq)]
pub enum Before {
    Single(Past),
    Whole(Asked),
}

impl Before {
    /// What it was asked of first.
    pub(super) fn subject(&self) -> Option<&SubjectName> {
        match self {
            Before::Single(past) => past.subjects.first(),
            Before::Whole(asked) => asked.subject.as_ref(),
        }
    }
}

/// Topic of how long what is due takes.
pub const MINUTES: &str = "due_minutes";
/// Longer words ask something of their own.
const WORDS_MAX: usize = 12;
/// Fewer ask of what was told without a word that points at it.
pub(super) const SHORT: usize = 5;
/// Words that lean on what was asked before, at the beginning.
const LEANS: &[&str] = &[
    "and", "or", "just", "only", "what about", "how about", "same for", "the same for", "also",
    "but", "not", "then", "so", "ok and", "now", "how does that", "how does this", "give me",
    "total", "the total", "more", "less", "better", "worse", "is that", "is it", "was that",
    "how much of", "compared", "compare", "versus", "vs", "while", "i mean", "i meant", "no i mean",
    "no i meant", "sorry i meant",
];
/// Words that point at what was told.
pub(super) const POINTS: &[&str] =
    &["it", "that", "they", "them", "those", "these", "this", "its", "their", "he", "him", "his", "she",
      "her"];
/// What is asked of what was told, by its first words.
const SIDES: &[(&[&str], Single)] = &[
    (&["how much came off", "how much did it take off", "how much was taken", "how much off",
        "how much did they take off"], Single::Last),
    (&["how many hours since", "how many hrs since", "hours since", "hrs since", "how long since",
        "how long ago", "how many hours ago"], Single::Hours),
    (&["how long between", "how far apart"], Single::Between),
    (&["what with", "with what", "using what", "what grit", "which grit", "what did he use",
        "what did they use", "what did we use", "how deep", "to what depth", "what depth", "to what"],
        Single::Last),
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
        "did any", "has it come back", "is it fixed", "was it fixed", "was that fixed", "is it mended",
        "is it sorted", "is it properly", "is it really", "is it cured", "was it mended", "was it sorted", "are they mended", "are they fixed",
        "did they hold", "has it held", "did it last", "did they last", "which of them came",
        "which of those came", "which came back", "is it still", "did that last"], Single::Held),
    (&["what cured", "what fixed", "how did they fix", "how was it fixed", "what did they do",
        "what did we do", "what was done", "what was it"], Single::Cured),
    (&["did it stay", "has it stayed", "did that stay", "did they stay"], Single::Held),
    (&["has anything been done", "was anything done", "anything done since", "what has been done",
        "has anybody done", "has anyone done"], Single::History),
    // What is written of each says why it went.
    (&["what made", "what caused"], Single::History),
    (&["show me", "list them", "which ones", "which one", "which machine", "which unit",
        "tell me more", "what were they"], Single::History),
];
/// Of everybody and everything that was asked about.
const TOGETHER: &[&str] = &["total", "together", "altogether", "everybody", "everyone", "combined"];
/// What keeps coming back of what a report was about.
const BACK: &[&str] =
    &["what came back", "what comes back", "what keeps coming", "anything come back",
      "which one keeps", "which ones keep", "which keeps coming", "which comes back",
      "does any keep", "what comes up again"];
/// Words of asking that name nothing.
const OF_ASKING: &[&str] = &[
    "labour", "labor", "spent", "hours", "hrs", "due", "overdue", "sure", "certain", "interval",
    "longest", "summary", "less", "fewer", "order", "buy", "deep", "grit",
    "use", "used", "using", "mean", "meant", "made", "caused", "lose", "lost", "cost", "costs", "usually", "normally",
];
/// Words that name the answer itself, with no work of their own.
const OF_WORK_DONE: &[&str] =
    &["lose", "lost", "take", "took", "cost", "spend", "spent", "labour", "labor", "work", "we", "worked"];
/// What went wrong is faults.
const WENT: &[&str] = &["went", "gone", "goes", "going"];
/// Of more words than these a question of another machine stands by itself.
const OWN_WORDS: usize = 3;
/// Words of what is so now.
const NOW: &[&str] = &["now", "currently", "moment", "today", "present"];
/// First words of a question of its own.
const ASKING: &[&str] = &[
    "what", "whats", "how", "hows", "when", "whens", "which", "who", "whos", "where", "did", "has",
    "have", "is", "are", "was", "were", "does", "do",
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
        let few = (1..=WORDS_MAX).contains(&self.spoken.words.len());
        (few && (self.asks_a_share() || !self.heard.proof.told))
            .then(|| self.again_as(None)).flatten()
    }

    /// The same, of words that are known to ask it again so (`language::turns`).
    pub(super) fn again_as(&self, role: Option<&str>) -> Option<Interpretation> {
        let before = self.question.asked.as_ref()?;
        let words = self.spoken.words.len();
        let tokens = &self.spoken.tokens;
        let of_before = self.of_what_came_first(before).or_else(|| self.why_back(before));
        if of_before.is_some() {
            return of_before;
        }
        if let Some(told) = self.and_last(before) {
            return Some(told);
        }
        if let Some(told) = self.one_before(before) {
            return Some(told);
        }
        let leans = role == Some("again") || any_said_at(tokens, 0, LEANS).is_some();
        let (side, went_wrong) = self.side_again(before);
        let side = role.and_then(side_of_role).or(side);
        let mut shape = self.shape();
        let subjects = self.meant_again(before, leans, &mut shape);
        let (matter, foreign) = self.matter_again(before, side, &shape, went_wrong);
        let together = self.says(TOGETHER);
        if let Some((at, name)) = self.other_person(before).filter(|_| shape.people.is_empty()) {
            shape.people.push(name);
            shape.taken.push((at, at));
        }
        let apart = shape.by.is_some();
        let new = !subjects.is_empty() || !shape.periods.is_empty() || !shape.people.is_empty();
        let new = new || apart;
        // Work that is told of a machine is no question.
        let form = role.is_none();
        if form && (self.tells_of_work(leans) || (foreign && !(leans && new))) {
            return None;
        }
        if any_said_at(tokens, 0, BACK).is_some() {
            return Some(self.back_of(before, &shape));
        }
        // A whole question of another machine is read as what it says itself.
        let own = !leans && self.asks_itself() && !subjects.is_empty() && shape.periods.is_empty()
            && words > OWN_WORDS;
        let whole = !leans && self.asks_itself() && words > SHORT && !self.points(POINTS);
        if form && (own || whole) && side.is_none() && !together {
            return None;
        }
        if let Some(due) = self.due_follows(before, &matter, &subjects) {
            return Some(due);
        }
        let side = self.of_hours(before, side);
        // A question of its own, of another machine, says its own days or none.
        let height = side == Some(Single::Height)
            && !matches!(before, Before::Single(past) if past.asked == Single::Height);
        let fresh = own || height || self.says(NOW);
        let anew = Anew { side, subjects, shape, matter, together, fresh };
        let asks = !form && (anew.side.is_some() || new || !anew.matter.is_empty());
        if !asks && !self.goes_on(before, &anew, (leans, went_wrong)) {
            return None;
        }
        match before {
            Before::Single(past) => Some(self.single_again(past.clone(), anew)),
            Before::Whole(asked) => self.whole_again(asked, anew),
        }
    }

    /// "And last?" after this year: the year before.
    fn and_last(&self, before: &Before) -> Option<Interpretation> {
        let said: Vec<&str> = self.spoken.texts();
        let Before::Single(past) = before else { return None };
        let start = past.start.as_ref().filter(|start| start.day_of_year() == 1)?;
        let years = match said[..] {
            ["and" | "or" | "what", "last"] | ["and", "last", "one"] => "last year",
            ["and", "this"] if start.year() < self.question.now.year() => "this year",
            _ => return None,
        };
        let mut past = past.clone();
        past.put_in(&self.periods_in(years));
        Some(self.told_past(past))
    }

    /// Whether the words ask the question before again: something new is named and nothing else,
    /// another side of it is asked, or they lean on it.
    fn goes_on(&self, before: &Before, anew: &Anew, (leans, went_wrong): (bool, bool)) -> bool {
        let Anew { side, subjects, shape, matter, together, .. } = anew;
        let new = !subjects.is_empty() || !shape.periods.is_empty() || !shape.people.is_empty();
        // "Who fixed them", "when was it fitted": the work is named again.
        // "How long between grinds" after grinds goes on with them.
        let same_work = match before {
            Before::Single(past) => same_work(&past.words, matter),
            Before::Whole(_) => false,
        };
        let of_it = !matter.is_empty()
            && (self.points(POINTS) || went_wrong || (same_work && !new))
            && matter.split_whitespace().all(|word| work(word).is_some());
        // "How many times on walker 1" has to go on with what was counted.
        let worded = |past: &Past| !past.words.is_empty() || past.has_signs();
        let lacks = matches!(before, Before::Single(past) if worded(past))
            && matches!(
                side,
                Some(Single::Count | Single::Took | Single::Held | Single::Between | Single::Life)
            );
        // "How long did the one before last", of the part that was spoken of.
        let of_one = self.says(&["one", "ones"])
            && matches!(side, Some(Single::Life | Single::Hours | Single::History));
        let new = new || shape.by.is_some();
        let bare = matter.is_empty() && side.is_none() && (new || *together);
        let short = self.spoken.words.len() <= SHORT;
        let asks = side.is_some()
            && (matter.is_empty() || of_it)
            && (self.points(POINTS) || short || (new && (leans || lacks)) || (!new && of_one));
        let put = leans && (new || *together || !matter.is_empty());
        bare || asks || put
    }

    /// The side of what was told that is asked after, and whether it is what went wrong.
    fn side_again(&self, before: &Before) -> (Option<Single>, bool) {
        let tokens = &self.spoken.tokens;
        let side = SIDES.iter().find(|(starts, _)| {
            (0..tokens.len().min(3)).any(|at| any_said_at(tokens, at, starts).is_some())
        });
        let side = side.map(|(_, asked)| *asked);
        // "How many of them came back".
        let back = self.came_back() && self.points(POINTS);
        let holds = self.says(&["hold", "holds", "holding", "held", "stick", "sticking"])
            && self.points(POINTS);
        // "How long did all that take me" is the whole of it.
        let sum = any_said_at(tokens, 0, &["how long", "how much time", "and how long", "how many hours"]);
        let sum = sum.is_some() && self.says(&["all", "altogether", "together"]) && self.points(POINTS);
        let side = (back || holds).then_some(Single::Held).or(sum.then_some(Single::Labour))
            .or_else(|| self.cued_sure()).or(side);
        let first = tokens.first().map_or("", |token| token.text.as_str());
        let went_wrong = self.says(&["wrong"]) && (self.says(WENT) || first.starts_with("what"));
        // "Has it got worse" of what is read: one reading after the other.
        let changed = self.says(&["worse", "better", "longer", "slower", "changed"])
            && self.says(&["got", "getting", "gone", "become"]) && self.points(POINTS);
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
        (side, went_wrong)
    }

    fn came_back(&self) -> bool {
        self.says(&["came", "come", "comes", "coming"]) && self.says(&["back"])
    }

    fn asks_itself(&self) -> bool {
        let first = self.spoken.tokens.first();
        first.is_some_and(|token| ASKING.contains(&token.text.as_str()))
    }

    fn tells_of_work(&self, leans: bool) -> bool {
        let leaning = leans && self.spoken.words.len() < SHORT && !self.gives_numbers();
        let asks_of_it = self.asks_itself() && self.points(POINTS);
        self.heard.proof.deed && !leaning && !asks_of_it
    }

    /// Words of the trade that are said anew, and whether others are said that mean something.
    fn matter_again(
        &self,
        before: &Before,
        side: Option<Single>,
        shape: &Shape,
        went_wrong: bool,
    ) -> (String, bool) {
        let id = match (side, before) {
            (Some(asked), _) => id_and_told(Part::Single(asked)).0,
            (None, Before::Single(past)) => id_and_told(Part::Single(past.asked)).0,
            (None, Before::Whole(asked)) => id_and_told(asked.part).0,
        };
        if went_wrong {
            return ("faults".to_owned(), false);
        }
        // "Who set it each time" says no more than "who did it".
        let who = self.spoken.tokens.first().is_some_and(|token| token.text == "who");
        let small = |word: &&str| {
            let set = *word == "set" && (who || self.points(POINTS));
            TOGETHER.contains(word) || OF_ASKING.contains(word) || set
        };
        let left = self.matter_without(id, &shape.taken);
        let left: Vec<&str> = left.split_whitespace().filter(|word| !small(word)).collect();
        let matter = self.trade_of(&left.join(" "));
        let signs = matches!(before, Before::Single(past) if past.has_signs());
        // Of a complaint it is one whatever was done about it.
        let foreign = left.len() > matter.split_whitespace().count();
        let foreign = foreign && !(signs && self.points(POINTS));
        if !signs {
            return (matter, foreign);
        }
        // Only other work, or a part, is something new of it.
        let other = matter.split_whitespace().filter(|word| is_other_work(word));
        (other.collect::<Vec<_>>().join(" "), foreign)
    }

    /// "How many hours has it done" of a part, not of those who changed it.
    fn of_hours(&self, before: &Before, side: Option<Single>) -> Option<Single> {
        let parts = match before {
            Before::Single(past) => past.words.split_whitespace().any(|w| Family::of(w).is_some()),
            Before::Whole(asked) => !asked.words.is_empty(),
        };
        let of_part = parts && self.says(&["it", "its", "they", "this", "that", "one"])
            && !self.says(OF_WORK_DONE);
        match side {
            Some(Single::Labour) if of_part => Some(Single::Hours),
            other => other,
        }
    }

    fn gives_numbers(&self) -> bool {
        !self.spoken.quantities.is_empty()
    }

    fn single_again(&self, mut past: Past, anew: Anew) -> Interpretation {
        let Anew { side, subjects, shape, matter, together, fresh } = anew;
        past.passed_over = 0;
        // "Is his work holding" is asked of all that he did.
        let of_all = self.says(&["his", "her", "their"])
            && self.says(&["work", "fixes", "repairs", "jobs", "mends"]);
        if of_all {
            past.words = String::new();
        }
        if of_all || (fresh && shape.periods.is_empty()) {
            (past.start, past.end) = (None, None);
            past.spans.clear();
        }
        // Of two stretches set side by side the first is gone on with.
        if let (Some(side), Some(first)) = (side, past.spans.first().cloned())
            && side != past.asked && shape.periods.is_empty()
        {
            (past.start, past.end) = first;
            past.spans.clear();
        }
        // What is asked of "it" after a rank is asked of what came first.
        let ranked = matches!(past.by, Some(By::Machine | By::Unit)) && shape.by.is_none();
        // "Those" after two that were ranked are both.
        let both = past.subjects.len() > 1
            && self.says(&["those", "them", "these", "both", "all", "they", "each"]);
        if ranked && both && side.is_some() {
            past.by = None;
        } else if ranked && side.is_some() && subjects.is_empty() {
            past.by = None;
            past.subjects = self.question.shop.spoken_of.iter().cloned().collect();
        }
        // Told apart by machine or person, what was done is counted.
        if shape.by.is_some() && side.is_none()
            && matches!(past.asked, Single::History | Single::Cured | Single::Last)
        {
            past.asked = Single::Count;
        }
        past.by = shape.by.or(past.by.filter(|_| side.is_none_or(|side| side == past.asked)));
        self.asked_anew(&mut past, side, &matter);
        if side == Some(Single::History) && self.says(&["been", "anything"]) {
            // Whatever was done there since, by anybody.
            past.people.clear();
            let parts = past.words.split_whitespace().filter(|word| Family::of(word).is_some());
            past.words = parts.collect::<Vec<_>>().join(" ");
        }
        self.named_anew(&mut past, subjects);
        let compares = self.says(COMPARES);
        if together || self.says(EVERYBODY) || (!compares && !shape.people.is_empty()) {
            past.people.clear();
        }
        // "More than bench one's" sets him beside the one before.
        if !together && !shape.people.is_empty() {
            past.people.extend(shape.people.iter().cloned());
            past.people.dedup();
            past.by = past.by.filter(|by| *by != By::Person);
        }
        if !matter.is_empty() {
            past.findings.clear();
            past.words = put_in_words(&past.words, matter);
        }
        self.days_anew(&mut past, &shape);
        if past.asked == Single::Height {
            let prism = past.words.split_whitespace().any(|word| PRISM.contains(&word));
            let bench = self.says(&["bar", "bench"]);
            past.words = if prism && !bench { PRISM[0].to_owned() } else { String::new() };
        }
        self.told_past(past)
    }

    /// What is asked now.
    fn asked_anew(&self, past: &mut Past, side: Option<Single>, matter: &str) {
        let first = self.spoken.words.first().map_or("", |word| word.text.as_str());
        let who = self.spoken.words.iter().take(3).any(|word| {
            matches!(word.text.as_str(), "who" | "whom" | "whose")
        });
        let each = self.says(OF_EACH);
        let many = matches!(
            past.asked,
            Single::Count | Single::History | Single::Labour | Single::Held | Single::Cured
        );
        let of_last = past.asked == Single::Last && past.findings.is_empty() && matter.is_empty();
        let pace = self.says(&["quickest", "fastest", "slowest"]) && past.asked == Single::Took;
        if pace && who {
            past.by = Some(By::Person);
        } else if who && self.says(&["most"]) && past.asked != Single::Labour {
            past.asked = Single::Count;
            past.by = Some(By::Person);
        } else if who && many && self.says(&["last"]) && !each {
            past.asked = Single::Last;
        } else if who && (many || of_last) && (each || side == Some(Single::Last)) {
            past.by = Some(By::Person);
            past.asked = match past.asked {
                asked @ (Single::Labour | Single::Last) => asked,
                _ => Single::Count,
            };
        } else if let Some(side) = side {
            // "How long did it take in all" of the last time: of that time.
            let of_last = past.asked == Single::Last && side == Single::Labour;
            past.asked = if of_last { Single::Took } else { side };
            // "How long do they last" after what was done at all: the parts that were changed.
            if side == Single::Life && matches!(past.words.as_str(), "" | "serviced") {
                "changed".clone_into(&mut past.words);
            }
        } else if matches!(past.asked, Single::Last) && first == "only" {
            past.asked = Single::History;
        }
    }

    /// What it is asked of now.
    fn named_anew(&self, past: &mut Past, subjects: Vec<SubjectName>) {
        if subjects.is_empty() {
            return;
        }
        match (self.says(COMPARES), past.subjects.first()) {
            // "Compare it with the tees mower".
            (true, Some(known)) if !subjects.contains(known) => past.subjects.extend(subjects),
            (true, None) => {
                past.subjects = self.question.shop.spoken_of.iter().cloned().collect();
                past.subjects.extend(subjects);
                past.subjects.dedup();
                past.by = None;
            }
            _ => past.subjects = subjects,
        }
    }

    /// The days it is asked of now.
    fn days_anew(&self, past: &mut Past, shape: &Shape) {
        let compares = self.says(COMPARES);
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
                subjects: asked.subject.iter().cloned().collect(),
                words,
                start: asked.start.clone(),
                end: asked.end.clone(),
                ..self.blank(Single::History)
            };
            return Some(self.single_again(past, anew));
        }
        // "Who did it" of what is due has no answer of its own.
        if anew.side.is_some() && anew.subjects.is_empty() && anew.shape.periods.is_empty() {
            return None;
        }
        let mut asked = asked.clone();
        let mut subjects = anew.subjects.into_iter();
        if let Some(first) = subjects.next() {
            (asked.subject, asked.others) = (Some(first), subjects.collect());
        }
        if asked.part == Part::Due && !asked.words.is_empty() {
            let all = asked.subject.into_iter().chain(asked.others).collect();
            return Some(self.told_due_of(all, &asked.words));
        }
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
    let of_things = |word| matches!(deed(word), Some(Deed::Change | Deed::Look | Deed::Inspect));
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
