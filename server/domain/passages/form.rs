//! What does a question to the knowledge want: the reason, what a word means, how a thing looks,
//! the tools of a job? The cue words stand in `knowledge/intent/questions.txt`.

use std::collections::BTreeSet;

use crate::domain::catalogue::Knowledge;
use crate::domain::language::hearing::Reading;
use crate::domain::language::patterns::Match;
use crate::domain::language::text::Token;

/// What is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Why,
    Define,
    Use,
    Looks,
    Signs,
    Wrong,
    Differ,
    Long,
    Tools,
    Order,
    Good,
    Cautions,
    Sheet,
    Quiz,
    /// What to put on for a job.
    Wear,
    /// How something is worked out.
    Method,
    Often,
    /// A training sheet with all that is on it, and the answers to its questions.
    Whole,
    Answers,
    /// Whether a value is good.
    Judge,
    /// What a certain note says: its title, then the words that ask.
    Named,
}

/// Every form and its section; of two that fit, the earlier is meant.
const FORMS: &[(Form, &str)] = &[
    (Form::Quiz, "quiz"),
    (Form::Sheet, "sheet"),
    (Form::Whole, "whole"),
    (Form::Answers, "answers"),
    (Form::Wear, "wear"),
    (Form::Cautions, "cautions"),
    (Form::Tools, "tools"),
    (Form::Method, "method"),
    (Form::Often, "often"),
    (Form::Order, "order"),
    (Form::Looks, "looks"),
    (Form::Signs, "signs"),
    (Form::Wrong, "wrong"),
    (Form::Differ, "differ"),
    (Form::Long, "long"),
    (Form::Good, "good"),
    (Form::Use, "use"),
    (Form::Define, "define"),
    (Form::Why, "why"),
    (Form::Judge, "judge"),
    (Form::Named, "named"),
];

impl Form {
    pub fn id(self) -> &'static str {
        FORMS.iter().find(|(form, _)| *form == self).map_or("why", |(_, id)| id)
    }

    pub fn from_id(id: &str) -> Option<Form> {
        FORMS.iter().find(|(_, known)| *known == id).map(|(form, _)| *form)
    }

    /// It is asked of a job, not of a passage.
    pub fn of_a_job(self) -> bool {
        matches!(
            self,
            Form::Tools
                | Form::Long
                | Form::Cautions
                | Form::Sheet
                | Form::Quiz
                | Form::Wear
                | Form::Whole
                | Form::Answers
        )
    }
}

/// Words of matter that are a cue besides ("what torque", "how tight").
#[rustfmt::skip]
const KEPT: &[&str] = &[
    "torque", "clearance", "angle", "gap", "pressure", "thickness", "clip", "balance", "tight",
    "thick", "thin", "deep", "hot", "wide", "parts", "grinding", "speed", "land",
    "rake", "taper", "depth", "spacing", "grit", "slope", "oil", "grease", "close", "test", "steep",
];

/// A form that fits, with the words it was told by.
#[derive(Clone, Debug)]
pub struct Asked {
    pub form: Form,
    cue: BTreeSet<usize>,
}

/// The forms that fit, the likeliest first; and whether the records are asked.
pub fn heard(knowledge: &Knowledge, reading: &Reading) -> (Vec<Asked>, bool) {
    let found = knowledge.cues(reading);
    let section =
        |one: &Match| knowledge.intent.sections[one.section].strip_prefix("asks:").unwrap_or("");
    // "How do I know when to stop" asks no record for a time.
    let late = |one: &Match| {
        let texts = one.words.iter().filter_map(|at| reading.words.get(*at));
        one.first() > 0 && texts.clone().all(|word| matches!(word.text.as_str(), "when" | "who"))
    };
    let records = found.iter().any(|one| section(one) == "records" && !late(one));
    let forms = FORMS.iter().filter_map(|(form, id)| {
        let of: Vec<&Match> = found.iter().filter(|one| section(one) == *id).collect();
        let cue: BTreeSet<usize> = of.iter().flat_map(|one| one.words.clone()).collect();
        (!of.is_empty()).then_some(Asked { form: *form, cue })
    });
    (forms.collect(), records)
}

impl Asked {
    /// The first word of the asking.
    pub fn first(&self) -> usize {
        self.cue.first().copied().unwrap_or_default()
    }

    /// Two things are held against each other by more than an "or".
    pub fn compares(&self) -> bool {
        self.form == Form::Differ && self.cue.len() > 1
    }

    /// The tokens that are not of the asking.
    pub fn rest(&self, reading: &Reading) -> Vec<Token> {
        let inside = |at: usize| {
            let of = |word: &usize| {
                reading.spans.get(*word).is_some_and(|(first, last)| (*first..=*last).contains(&at))
            };
            self.cue.iter().any(of)
        };
        let kept = |token: &Token| {
            self.form == Form::Good && KEPT.contains(&token.text.as_str())
        };
        let rest = reading.tokens.iter().enumerate();
        let rest = rest.filter(|(at, token)| !inside(*at) || kept(token));
        rest.map(|(_, token)| token.clone()).collect()
    }
}
