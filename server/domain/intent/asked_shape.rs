//! What does the shape of a question to the records say: of whom, of what days, apart by what?
//! "Which month had the most faults" counts by month; "bench one or bench two" sets two people side
//! by side. A shape that is sure needs no sentences like it.
//! Deliberately absent: the single words of asking, which `knowledge/intent/asked.txt` holds.

use super::cues::weight;
use super::fleet::{PARTS, Part, id_and_told};
use super::past::Past;
use super::periods::{self, Period};
use super::{Interpretation, Reader, nicknames};
use crate::domain::language::text::{self, Kind, Token};
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};

/// From this weight on a cue of `asked` is sure by itself (as in `asked.txt`).
const SURE: u32 = 10;
/// From this chance on words that ask nothing are a complaint.
const COMPLAINED: f64 = 0.5;
/// Nouns by which records are told apart.
const NOUNS: &[(&[&str], By)] = &[
    (&["machine", "machines", "mower", "mowers"], By::Machine),
    (&["unit", "units", "reel", "reels", "head", "heads", "cylinder", "cylinders"], By::Unit),
    (&["month", "months"], By::Month),
    (&["person", "man", "mechanic", "people", "who", "whos", "lad", "lads"], By::Person),
];
/// Words that rank.
const RANKS: &[&str] = &[
    "most", "worst", "least", "fewest", "busiest", "ranked", "rank", "ranking", "quickest",
    "fastest", "slowest", "more",
];
/// Words before a noun that tell records apart by it.
const EACH: &[&str] = &["each", "per", "every", "by"];
/// Words that ask for one of several, at most so many words before the noun.
const WHICH: &[&str] = &["which", "what", "worst", "busiest", "whose"];
const WHICH_WORDS: usize = 4;
/// What else may be ranked, which no count of records tells.
const OF_OTHERS: &[&str] =
    &["worn", "wear", "wears", "life", "highest", "lowest", "due", "overdue", "ran", "run", "meter"];
/// What is ranked is time, or how quick.
const OF_TIME: &[&str] = &["hours", "hrs", "time", "work", "labour"];
const OF_PACE: &[&str] = &["quickest", "fastest", "slowest"];
/// Words that begin a question, whatever it sounds like.
const ASKS: &[&str] = &[
    "is", "are", "was", "were", "did", "does", "do", "has", "have", "what", "which", "who", "when",
    "how", "whats",
];
/// What is read or set, as it may be asked after by its name alone, in so many words at most.
const READ_OF: &[&str] = &["depth", "pressure", "contact", "stop", "stopping", "brake", "brakes"];
/// Of these there is one kind of machine only.
const STOPPING: &[&str] = &["stopping", "brake", "brakes"];
const READ: &[&str] = &["time", "times", "reading", "readings", "check", "checked", "test", "seconds"];
const BARE_MAX: usize = 9;
/// Behind "half": what was left so.
const HALF: &[&str] = &["finished", "done", "way", "mended", "fixed"];
/// Words that ask whether something known is to be seen to.
const WORRIES: &[&str] = &["worry", "worried", "worrying", "concern", "concerned", "urgent"];
/// What was out of the ordinary is a fault, and so is what was put right.
const ODD: &[&str] = &["unusual", "odd", "strange", "wrong"];
/// Advice is asked for, which the records do not give.
const ADVICE: &[&str] = &["should", "must", "ought", "shall", "need"];
/// Words that set two beside each other.
pub(super) const COMPARES: &[&str] =
    &["compare", "compared", "comparison", "versus", "vs", "against", "than"];
/// What those are called who learn the work, one word for the other (common practice, no source).
const YOUNG: &[&str] = &["lad", "apprentice", "trainee", "junior", "learner", "boy", "student"];
/// What is counted when a rank names nothing.
const FAULTS: &str = "faults";

/// What the words hold beside what they ask after.
pub(super) struct Shape {
    pub(super) by: Option<By>,
    pub(super) people: Vec<String>,
    pub(super) periods: Vec<Period>,
    /// Tokens that have a use, from the first to the last of each.
    pub(super) taken: Vec<(usize, usize)>,
}

impl Reader<'_> {
    pub(super) fn shape(&self) -> Shape {
        let tokens = &self.spoken.tokens;
        let shop = self.question.shop;
        let periods = periods::all_said(tokens, &self.question.now, shop.southern);
        let mut taken: Vec<(usize, usize)> =
            periods.iter().map(|period| (period.first, period.last)).collect();
        let mut people = Vec::new();
        for (person, span) in self.people_said() {
            people.push(person);
            taken.push(span);
        }
        if people.is_empty()
            && let Some((at, name)) = self.the_lad()
        {
            people.push(name);
            let young = matches!(tokens[at - 1].text.as_str(), "young" | "new");
            taken.push((at - usize::from(young), at));
        }
        // "Hours of Dave": he is asked about, though nobody of that name ever did anything here.
        if let Some((at, name)) = self.unknown_person().filter(|_| people.is_empty()) {
            people.push(name);
            taken.push((at, at));
        }
        taken.extend(self.attached_numbered().into_iter().map(|(_, span)| span));
        taken.extend(nicknames::several(tokens, shop).into_iter().map(|(at, _)| (at, at)));
        if self.named_here().is_empty() && !self.machines_asked_about().is_empty() {
            taken.extend(self.surface_named().map(|at| (at, at)));
        }
        let is = |at: usize, words: &[&str]| words.contains(&tokens[at].text.as_str());
        let any = |words: &[&str]| (0..tokens.len()).any(|at| is(at, words));
        let noun = |at: usize| {
            let row = NOUNS.iter().find(|(words, _)| is(at, words))?;
            let each = at > 0 && is(at - 1, EACH);
            let near = at.saturating_sub(WHICH_WORDS);
            let which = (near..at).any(|at| is(at, WHICH));
            let who = row.1 == By::Person && at < 2;
            (each || ((which || who) && any(RANKS))).then_some((at, row.1))
        };
        let by = (0..tokens.len()).find_map(noun);
        if let Some((at, _)) = by {
            taken.push((at, at));
            taken.extend((0..tokens.len()).filter(|at| is(*at, RANKS)).map(|at| (at, at)));
        }
        taken.extend((0..tokens.len()).filter(|at| is(*at, COMPARES)).map(|at| (at, at)));
        Shape { by: by.map(|(_, by)| by), people, periods, taken }
    }

    /// Those of the shop who are named, and where.
    pub(super) fn people_said(&self) -> Vec<(String, (usize, usize))> {
        let said = |person: &String| Some((person.clone(), said_of(&self.spoken.tokens, person)?));
        self.question.shop.people.iter().filter_map(said).collect()
    }

    /// "The lad", where one alone of those who work here is called so or in such a word: the
    /// apprentice.
    fn the_lad(&self) -> Option<(usize, String)> {
        let tokens = &self.spoken.tokens;
        let young = |word: &str| YOUNG.contains(&word);
        let at = (1..tokens.len()).find(|at| {
            young(&tokens[*at].text) && !EACH.contains(&tokens[*at - 1].text.as_str())
                && !WHICH.contains(&tokens[*at - 1].text.as_str())
        })?;
        let called = |person: &&String| {
            let lower = person.to_lowercase();
            lower.split_whitespace().any(young)
        };
        let mut all = self.question.shop.people.iter().filter(called);
        let only = all.next()?.clone();
        all.next().is_none().then_some((at, only))
    }

    /// Whom the words mean that no record names: "I", or a lad where several might be meant.
    pub(super) fn who_is_meant(&self) -> Option<&'static str> {
        let me = self.spoken.texts().windows(2).any(|pair| {
            matches!(pair[0], "have" | "did" | "had") && pair[1] == "i"
        });
        let lad = self.says(YOUNG) && !self.says(EACH) && !self.says(WHICH);
        match (me, lad) {
            (true, _) => Some("Who \"I\" is the records do not say, so this is of everybody."),
            (_, true) => Some("Which of those here is meant is not known, so this is of everybody."),
            _ => None,
        }
    }

    /// The machines, units or areas that are asked about. A surface is its mower, unless its hole
    /// has a number; of several machines of a name all are meant.
    pub(super) fn machines_asked_about(&self) -> Vec<SubjectName> {
        let tokens = &self.spoken.tokens;
        let shop = self.question.shop;
        let attached = self.attached_numbered();
        if !attached.is_empty() {
            return attached.into_iter().map(|(name, _)| name).collect();
        }
        let mut names = self.named_here();
        let area = names.iter().all(|name| name.kind() == SubjectKind::Area);
        if area {
            let several = nicknames::several(tokens, shop);
            if !several.is_empty() {
                return several.into_iter().flat_map(|(_, names)| names).collect();
            }
        }
        if names.is_empty() {
            let machine = |at: usize| nicknames::of_surface(&tokens[at..=at], shop);
            let machine = self.surface_named().and_then(machine);
            return machine.map(|machine| self.its_unit(machine)).into_iter().collect();
        }
        // "The triplex and the walkers".
        for (_, several) in nicknames::several(tokens, shop) {
            names.extend(several);
        }
        let mut seen = std::collections::BTreeSet::new();
        names.retain(|name| seen.insert(name.clone()));
        if names.iter().any(|name| name.kind() == SubjectKind::Area) {
            for mention in self.heard.named.areas.iter().filter(|mention| mention.known) {
                let words = &tokens[mention.first..=mention.last];
                let numbered = words.iter().any(|token| token.kind == Kind::Number);
                if let Some(machine) = nicknames::of_surface(words, shop).filter(|_| !numbered) {
                    names.retain(|name| *name != mention.name);
                    names.push(self.its_unit(machine));
                }
            }
        }
        // "On the triplex compared with the fairway".
        let machines = names.iter().any(|name| name.kind() == SubjectKind::Machine);
        if machines && tokens.iter().any(|token| COMPARES.contains(&token.text.as_str())) {
            for mention in self.heard.named.areas.iter().filter(|mention| mention.known) {
                let words = &tokens[mention.first..=mention.last];
                names.extend(nicknames::of_surface(words, shop));
            }
        }
        names
    }

    /// "Unit 3 fairway": of the mower of a surface the one unit that is named, where it has it.
    fn its_unit(&self, machine: SubjectName) -> SubjectName {
        let units = self.heard.named.units.iter();
        let homeless = units.filter(|unit| unit.name.kind() == SubjectKind::Site);
        let numbers: Vec<&Token> = homeless
            .flat_map(|unit| &self.spoken.tokens[unit.first..=unit.last])
            .filter(|token| token.kind == Kind::Number)
            .collect();
        let [only] = numbers[..] else { return machine };
        let known = self.question.shop.unit(&machine, &only.text).map(|known| known.name.clone());
        known.unwrap_or(machine)
    }

    /// A surface that stands alone, without the number of a hole.
    fn surface_named(&self) -> Option<usize> {
        let tokens = &self.spoken.tokens;
        let number = |at: usize| tokens.get(at).is_some_and(|token| token.kind == Kind::Number);
        let at = tokens.iter().position(|token| nicknames::is_a_surface(&token.text))?;
        (!number(at + 1) && !(at > 0 && number(at - 1))).then_some(at)
    }

    /// The part of the records that the words ask for by their form alone.
    pub(super) fn cued_sure(&self) -> Option<Single> {
        let single = |part: Part| match part {
            Part::Single(single) => Some(single),
            _ => None,
        };
        let of = |id: &str| weight(&self.heard.cues, "asked", id);
        let sure = PARTS.iter().filter(|(_, id, _)| of(id) >= SURE);
        let best = sure.reduce(|best, one| if of(one.1) > of(best.1) { one } else { best })?;
        single(best.0)
    }

    /// A question to the records whose shape alone tells what it asks.
    pub(super) fn shaped(&self) -> Option<Interpretation> {
        let proof = &self.heard.proof;
        let first = self.spoken.tokens.first().map_or("", |token| token.text.as_str());
        let asks = proof.asks_us || ASKS.contains(&first);
        let tells = !asks && (proof.deed || self.gives_a_number());
        // "Only unit 1, and only on the bank" says of how many something is wrong.
        let ails = !asks && (proof.findings > 0 || proof.purpose.complaint > COMPLAINED);
        if proof.told || proof.is_sum() || tells || ails {
            return None;
        }
        let says = |words: &[&str]| {
            self.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        let shape = self.shape();
        if let Some(due) = self.due_of_a_part() {
            return Some(due);
        }
        let cued = self.cued_sure().or_else(|| self.asked_in_passing());
        let asked = match (cued, shape.by) {
            (Some(single), None) => single,
            (_, Some(_)) if says(OF_PACE) => Single::Took,
            (None, Some(By::Machine)) if says(&["ran", "run", "meter"]) => Single::Hours,
            (None, Some(_)) if says(OF_OTHERS) => return None,
            (_, Some(By::Person)) if says(OF_TIME) => Single::Labour,
            (None, Some(_)) if says(&["hours", "time", "labour"]) => Single::Labour,
            (Some(single @ (Single::Labour | Single::Took | Single::Count)), Some(_)) => single,
            (_, Some(_)) => Single::Count,
            (None, None) if shape.periods.len() > 1 && says(COMPARES) => {
                let counts = says(&["many", "number", "count"]) || self.asks_after_work(&shape);
                if counts { Single::Count } else { Single::Summary }
            }
            (None, None) if shape.people.len() > 1 && says(RANKS) => {
                if says(OF_TIME) { Single::Labour } else { Single::Count }
            }
            (None, None) => return None,
        };
        // "What did we do last time it left different heights" is no height.
        if asked == Single::Height && says(&["did"]) && says(&["do"]) {
            return None;
        }
        // "What causes a gap open at one end" tells of a sign.
        if asked == Single::Ready && proof.findings > 0 {
            return None;
        }
        let own = matches!(asked, Single::Order | Single::Summary | Single::Ready);
        let own = own || (asked == Single::Between && self.every_so_many_hours());
        if says(ADVICE) && !own && !says(&["tell", "show"]) {
            return None;
        }
        let of_people = asked == Single::Hours && self.are_hours_of_people();
        let asked = if of_people { Single::Labour } else { asked };
        let (id, told) = id_and_told(Part::Single(asked));
        let mut answer = self.past(asked, id, told);
        if let super::Command::Past(past) = &mut answer.command {
            self.settled_shape(past, &shape);
            return Some(self.told_past(past.clone()));
        }
        Some(answer)
    }

    /// "Do we need to grind every 45 hours" asks how many hours lie between; "is that urgent" of a
    /// machine what stands open on it.
    fn asked_in_passing(&self) -> Option<Single> {
        let tokens = &self.spoken.tokens;
        let says = |words: &[&str]| {
            tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        let trade = !self.trade_of(&self.matter_without("between", &[])).is_empty();
        if self.every_so_many_hours() && trade && self.heard.proof.question {
            return Some(Single::Between);
        }
        let half = tokens.windows(2).any(|pair| {
            pair[0].text == "half" && HALF.contains(&pair[1].text.as_str())
        });
        if half && says(&["anything", "something", "what", "left"]) {
            return Some(Single::Ready);
        }
        let named = !self.machines_asked_about().is_empty() || self.pointed_at().is_some();
        let first = tokens.first().map_or("", |token| token.text.as_str());
        // "Is it fit to go out tomorrow", "what did I do last on unit 2".
        let out = first == "is" && says(&["fit", "ready"]) && says(&["out", "use", "go", "used"]);
        if named && (says(WORRIES) || out) {
            return Some(Single::Ready);
        }
        let last = tokens.windows(2).any(|pair| {
            pair[0].text == "last" && matches!(pair[1].text.as_str(), "on" | "to" | "with")
        });
        let done = says(&["do", "done", "did", "was", "were"]);
        if named && last && done && matches!(first, "what" | "whats") {
            return Some(Single::Last);
        }
        // "Groomer depth on the triplex", with nothing that was done or read.
        let bare = tokens.len() <= BARE_MAX && self.spoken.quantities.is_empty();
        let told = self.heard.proof.deed || self.heard.proof.findings > 0;
        let stops = says(STOPPING) && says(READ);
        ((named && !told && says(READ_OF)) || stops).then_some(Single::Last).filter(|_| bare)
    }

    /// "Why is the belt due", "how sure are you that the bedknife is overdue".
    pub(super) fn due_of_a_part(&self) -> Option<Interpretation> {
        let says = |words: &[&str]| {
            self.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        // "How many hours till the bedknife wants doing".
        let until = says(&["till", "until", "left"]) && says(&["hours", "hrs", "long"]);
        let asks = self.heard.proof.question && (says(&["due", "overdue"]) || until) && !says(ADVICE);
        if !asks || self.parts_named("").is_empty() {
            return None;
        }
        let machines = self.machines_asked_about().into_iter();
        let subject = machines.filter(|name| name.kind() != SubjectKind::Area).next();
        Some(self.told_due(subject, ""))
    }

    /// "Every 45 hours".
    fn every_so_many_hours(&self) -> bool {
        let every = self.spoken.tokens.iter().position(|token| token.text == "every");
        let hours = |at: usize| {
            self.spoken.quantities.iter().any(|one| one.unit == Some("h") && one.first == at + 1)
        };
        every.is_some_and(hours)
    }

    pub(super) fn this_season(&self) -> Vec<Period> {
        self.periods_in("this season")
    }

    pub(super) fn periods_in(&self, words: &str) -> Vec<Period> {
        let said = text::tokens(words);
        periods::all_said(&said, &self.question.now, self.question.shop.southern)
    }

    /// Whether words are left that name work or a part.
    fn asks_after_work(&self, shape: &Shape) -> bool {
        !self.trade_of(&self.matter_without("count", &shape.taken)).is_empty()
    }

    /// The words of these that are of the trade.
    pub(super) fn trade_of(&self, words: &str) -> String {
        let trade = words.split_whitespace().filter(|word| {
            !matches!(*word, "not" | "no") && crate::domain::recall::work_words::is_of_the_trade(self.knowledge, word)
        });
        trade.collect::<Vec<_>>().join(" ")
    }

    /// What the shape leaves open: a rank of nothing named counts faults, and what stands open or
    /// is summed up is of all work.
    fn settled_shape(&self, past: &mut Past, shape: &Shape) {
        let words = self.trade_of(&past.words);
        let says = |list: &[&str]| {
            self.spoken.tokens.iter().any(|token| list.contains(&token.text.as_str()))
        };
        if past.by == Some(By::Person) && !past.people.is_empty() {
            past.by = None;
        }
        let to_come = past.asked == Single::Ready && says(&["for"]);
        if past.asked == Single::Order || to_come {
            // "For the winter" says what for, and not when it was done.
            (past.start, past.end) = (None, None);
            past.spans.clear();
        }
        if past.asked == Single::Summary && past.start.is_none() && past.spans.is_empty() {
            past.put_in(&self.this_season());
        }
        if past.asked == Single::History && says(ODD) {
            past.words = FAULTS.to_owned();
        }
        if matches!(past.asked, Single::Summary | Single::Ready | Single::Order) {
            past.words = String::new();
        } else if shape.by.is_some() {
            // "Comes back to the bench" names no work.
            let returns = says(&["come", "comes", "came", "coming"]) && says(&["back", "in"]);
            let place = |word: &&str| !(returns && matches!(*word, "back" | "bench" | "in"));
            let words = words.split_whitespace().filter(place).collect::<Vec<_>>().join(" ");
            let faults = past.asked == Single::Count && words.is_empty();
            past.words = if faults { FAULTS.to_owned() } else { words };
        } else if past.asked == Single::Longest && words.is_empty() && says(&["right"]) {
            past.words = FAULTS.to_owned();
        } else if matches!(past.asked, Single::Labour | Single::Longest | Single::Between) {
            // "The hours on the streaks" are those of faults that showed them.
            past.findings = match words.is_empty() && past.asked != Single::Between {
                true => self.signs_in(&past.words),
                false => Vec::new(),
            };
            past.words = words;
        }
    }
}

/// Where a person is named: all words of the name, one after the other.
fn said_of(tokens: &[Token], person: &str) -> Option<(usize, usize)> {
    let lower = person.to_lowercase();
    let name: Vec<&str> = lower.split_whitespace().collect();
    if name.is_empty() {
        return None;
    }
    let plain = |text: &str| -> String {
        let text = text.trim_end_matches("'s").trim_end_matches("\u{2019}s");
        text.to_owned()
    };
    let at = (0..tokens.len().checked_sub(name.len() - 1)?).find(|at| {
        name.iter().enumerate().all(|(more, word)| {
            let said = plain(&tokens[at + more].text);
            said == **word || said.strip_suffix('s') == Some(*word)
        })
    })?;
    Some((at, at + name.len() - 1))
}
