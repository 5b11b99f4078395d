//! What does the shape of a question to the records say: of whom, of which days, told apart by what?
//! "Which month had the most faults" counts by month; "bench one or bench two" sets two people side
//! by side. A shape that is sure needs no sentences like it.
//! Deliberately absent: the single words of asking, which `knowledge/intent/asked.txt` holds.

use super::cues::weight;
use super::fleet::{PARTS, Part, id_and_told};
use super::past::Past;
use super::periods::{self, Period};
use super::{Interpretation, Reader, nicknames};
use crate::domain::language::text::{Kind, Token};
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};

/// From this weight on a cue of `asked` is sure by itself (as in `asked.txt`).
const SURE: u32 = 10;
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
/// Advice is asked for, which the records do not give.
const ADVICE: &[&str] = &["should", "must", "ought", "shall", "need"];
/// Words that set two beside each other.
pub(super) const COMPARES: &[&str] =
    &["compare", "compared", "comparison", "versus", "vs", "against", "than"];
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
        for person in &shop.people {
            if let Some(span) = said_of(tokens, person) {
                people.push(person.clone());
                taken.push(span);
            }
        }
        taken.extend(nicknames::several(tokens, shop).into_iter().map(|(at, _)| (at, at)));
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

    /// The machines, units or areas that are asked about. A surface is its mower, unless the hole is
    /// numbered; of several machines of a name all are meant.
    pub(super) fn machines_asked_about(&self) -> Vec<SubjectName> {
        let tokens = &self.spoken.tokens;
        let shop = self.question.shop;
        let mut names = self.named_here();
        let area = names.iter().all(|name| name.kind() == SubjectKind::Area);
        if area {
            let several = nicknames::several(tokens, shop);
            if !several.is_empty() {
                return several.into_iter().flat_map(|(_, names)| names).collect();
            }
        }
        if names.iter().any(|name| name.kind() == SubjectKind::Area) {
            for mention in self.heard.named.areas.iter().filter(|mention| mention.known) {
                let words = &tokens[mention.first..=mention.last];
                let numbered = words.iter().any(|token| token.kind == Kind::Number);
                if let Some(machine) = nicknames::of_surface(words, shop).filter(|_| !numbered) {
                    names.retain(|name| *name != mention.name);
                    names.push(machine);
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
        let tells = !proof.question && (proof.deed || self.gives_a_number());
        if proof.told || proof.is_sum() || tells {
            return None;
        }
        let says = |words: &[&str]| {
            self.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        let shape = self.shape();
        let cued = self.cued_sure();
        let asked = match (cued, shape.by) {
            (Some(single), None) => single,
            (_, Some(_)) if says(OF_PACE) => Single::Took,
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
        // "What causes a gap open at one end" tells of a sign.
        if asked == Single::Ready && proof.findings > 0 {
            return None;
        }
        if says(ADVICE) && asked != Single::Order && !says(&["tell", "show"]) {
            return None;
        }
        let (id, told) = id_and_told(Part::Single(asked));
        let mut answer = self.past(asked, id, told);
        if let super::Command::Past(past) = &mut answer.command {
            self.settled_shape(past, &shape);
            return Some(self.told_past(past.clone()));
        }
        Some(answer)
    }

    /// Whether words are left that name work or a part.
    fn asks_after_work(&self, shape: &Shape) -> bool {
        !self.trade_of(&self.matter_without("count", &shape.taken)).is_empty()
    }

    /// The words of these that are of the trade.
    pub(super) fn trade_of(&self, words: &str) -> String {
        let trade = words.split_whitespace().filter(|word| {
            crate::domain::recall::work_words::is_of_the_trade(self.knowledge, word)
        });
        trade.collect::<Vec<_>>().join(" ")
    }

    /// What the shape leaves open: a rank of nothing named counts faults, and what stands open or
    /// is summed up is of all work.
    fn settled_shape(&self, past: &mut Past, shape: &Shape) {
        let words = self.trade_of(&past.words);
        if matches!(past.asked, Single::Summary | Single::Ready | Single::Order) {
            past.words = String::new();
        } else if shape.by.is_some() {
            let faults = past.asked == Single::Count && words.is_empty();
            past.words = if faults { FAULTS.to_owned() } else { words };
        } else if matches!(past.asked, Single::Labour | Single::Longest) {
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
