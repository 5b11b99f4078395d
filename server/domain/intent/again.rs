//! Is the last question to the records asked again, of another machine, of other days, or another
//! side of it: "and unit 3?", "just the tees mower", "and in 2025?", "who did it", "did it hold"?
//! Deliberately absent: questions that say themselves what they ask after.

use super::fleet::{Asked, Part, id_and_told};
use super::past::Past;
use super::{Interpretation, Reader};
use crate::domain::recall::Asked as Single;
use crate::domain::said::said_units::any_said_at;

/// The question before.
#[derive(Clone, Debug, PartialEq)]
pub enum Before {
    Single(Past),
    Whole(Asked),
}

/// Longer words ask something of their own.
const WORDS_MAX: usize = 9;
/// Words that lean on what was asked before, at the beginning.
const LEANS: &[&str] = &[
    "and", "or", "just", "only", "what about", "how about", "same for", "the same for", "also",
    "but", "not", "then", "so",
];
/// Words that point at what was told.
const POINTS: &[&str] = &["it", "that", "they", "them", "those", "these", "this"];
/// What is asked of what was told, by its first words.
const SIDES: &[(&[&str], Single)] = &[
    (&["who", "when", "by who", "by whom", "whose", "what date", "which day", "what day"],
        Single::Last),
    (&["how long", "time taken"], Single::Took),
    (&["how many", "how often"], Single::Count),
    (&["did it hold", "did that hold", "did it work", "did that work", "did it come back",
        "did any", "has it come back", "is it fixed", "was it fixed", "was that fixed",
        "did they hold", "has it held"], Single::Held),
    (&["what cured", "what fixed", "how did they fix", "how was it fixed", "what did they do",
        "what did we do", "what was done", "what was it"], Single::Cured),
    (&["show me", "list them", "which ones", "which one", "which machine", "which unit",
        "tell me more"], Single::History),
];

impl Reader<'_> {
    /// The question before with the new part put in.
    pub(super) fn again(&self) -> Option<Interpretation> {
        let before = self.question.asked.as_ref()?;
        let words = self.spoken.words.len();
        let tokens = &self.spoken.tokens;
        if words == 0 || words > WORDS_MAX || self.heard.proof.told || self.heard.proof.deed {
            return None;
        }
        let subjects = self.named_here();
        let period = self.period();
        let side = SIDES.iter().find(|(starts, _)| {
            (0..tokens.len().min(2)).any(|at| any_said_at(tokens, at, starts).is_some())
        });
        let side = side.map(|(_, asked)| *asked);
        let leans = any_said_at(tokens, 0, LEANS).is_some();
        let points = tokens.iter().any(|token| POINTS.contains(&token.text.as_str()));
        let id = match (side, before) {
            (Some(asked), _) => id_and_told(Part::Single(asked)).0,
            (None, Before::Single(past)) => id_and_told(Part::Single(past.asked)).0,
            (None, Before::Whole(asked)) => id_and_told(asked.part).0,
        };
        let matter = self.left_over(id, period.as_ref().map(|said| (said.first, said.last)));
        let bare = matter == 0 && side.is_none() && (!subjects.is_empty() || period.is_some());
        let asks = side.is_some() && (points || words <= 3);
        if matter > 0 || !(bare || asks || (leans && (!subjects.is_empty() || period.is_some()))) {
            return None;
        }
        Some(match before {
            Before::Single(past) => {
                let mut past = past.clone();
                past.asked = side.unwrap_or(past.asked);
                if !subjects.is_empty() {
                    past.subjects = subjects;
                }
                if let Some(period) = &period {
                    (past.start, past.end) = (period.start.clone(), period.end.clone());
                }
                self.told_past(past)
            }
            Before::Whole(asked) => {
                // "Who did it" of a report has no answer of its own.
                if side.is_some() && subjects.is_empty() && period.is_none() {
                    return None;
                }
                let mut asked = asked.clone();
                asked.subject = subjects.into_iter().next().or(asked.subject);
                if let Some(period) = &period {
                    (asked.start, asked.end) = (period.start.clone(), period.end.clone());
                }
                self.told_whole(asked, period.as_ref())
            }
        })
    }

    /// Words that are no name, no day and no asking of this part.
    fn left_over(&self, id: &str, period: Option<(usize, usize)>) -> usize {
        self.matter_without(id, period).split_whitespace().count()
    }
}
