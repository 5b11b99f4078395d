//! Do words add to the complaint that is being looked into: a further sign, what a check showed,
//! the answer to what was asked? "Paper folds at the left end of it" says nothing by itself; after "unit
//! 2 leaves a line" it does.
//! Deliberately absent: what the sign is (`language`), and when a case is closed (`conversation`).

use super::doers::people_in;
use super::kind::{CommandKind, kind};
use super::{Command, Interpretation, Reader, never_told, understood};
use crate::domain::catalogue::Equipment;
use crate::domain::language::scope::Scope;
use crate::domain::language::text::Token;
use crate::domain::limits;
use crate::domain::passages::form::Form;
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::any_said_at;
use crate::domain::{ruled_out, tried};

/// A complaint that is being looked into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// All that was said of it.
    pub complaint: String,
    pub unit: Option<SubjectName>,
}

/// The place alone is told in no more words.
const PLACE_WORDS_MAX: usize = 12;
/// Words that begin a complaint of its own.
const AFRESH: &[&str] = &[
    "new fault", "new complaint", "new problem", "new one", "another fault", "another complaint",
    "another problem", "another one", "another thing", "another machine", "another mower",
    "another unit", "different fault", "different complaint", "different problem",
    "different machine", "different mower", "different unit", "next one", "next job", "next fault",
    "next complaint", "next problem", "next machine", "next mower", "something else", "separately",
    "separate fault", "separate problem", "other mower", "other machine",
];

/// "They're set at 12", "set to 2mm he says": how it stands, and no work that was done just now.
fn stands_at(words: &[&str]) -> bool {
    const BEFORE: &[&str] = &[
        "it", "its", "it's", "they", "they're", "theyre", "is", "are", "was", "were", "that", "that's", "thats",
        "all", "both", "units", "unit", "reels", "reel", "the", "height", "heights", "still", "currently", "and",
        "bench", "hoc", "mine", "ours", "this", "these", "those", "deck", "well", "s", "re",
    ];
    const STANDS: &[&str] = &["set", "sitting", "sat", "benched", "running", "cutting", "sits"];
    let at = words.iter().take_while(|word| BEFORE.contains(word)).count();
    let stands = words.get(at).is_some_and(|word| STANDS.contains(word));
    let placed = words.get(at + 1).is_some_and(|next| matches!(*next, "at" | "to" | "on"));
    stands && placed && !tells_of_work(&words[..at], words.get(at + 2..).unwrap_or_default())
}

/// "Set to 3.2 today and lapped it": when, by whom, how long and what else was done are told of work;
/// a day beside "it is" is not.
fn tells_of_work(before: &[&str], behind: &[&str]) -> bool {
    const OF_WORK: &[&str] = &[
        "took", "min", "mins", "minute", "minutes", "hour", "hours", "hr", "hrs", "by", "done", "logged", "greased",
    ];
    const IS: &[&str] = &[
        "it's", "its", "they're", "theyre", "that's", "thats", "is", "are", "was", "were", "still", "currently", "re", "s",
    ];
    const DAYS: &[&str] = &[
        "today", "yesterday", "tonight", "morning", "afternoon", "evening", "monday", "tuesday", "wednesday",
        "thursday", "friday", "saturday", "sunday", "earlier", "ago", "last",
    ];
    let said = |list: &[&str]| behind.iter().any(|word| list.contains(word));
    let people = people_in(behind).into_iter().any(|(first, last)| {
        behind[first..=last].iter().any(|word| !matches!(*word, "he" | "she" | "they"))
    });
    let dated = said(DAYS) && !before.iter().any(|word| IS.contains(word));
    said(OF_WORK) || said(super::deeds::DEEDS) || people || dated
}

impl Reader<'_> {
    /// The complaint asked again with these words added.
    pub(super) fn further(&self) -> Option<Interpretation> {
        let case = self.question.case.as_ref()?;
        if !self.adds_to(case) || self.is_cure_told() {
            return None;
        }
        // "I slowed down and they went": what helped, where the words alone make no record.
        let fixed = self.is_help_told().then(|| self.as_fixed()).flatten();
        fixed.or_else(|| self.added_to(case))
    }

    /// The complaint with these words added, or in their place.
    pub(super) fn added_to(&self, case: &Case) -> Option<Interpretation> {
        let again = self.takes_all_back();
        let complaint = match again {
            true => self.question.text.split_once(',').map_or(self.question.text, |(_, rest)| rest)
                .trim()
                .to_owned(),
            false => format!("{}. {}", case.complaint, ruled_out::parted(self.question.text)),
        };
        if complaint.chars().count() > limits::TEXT_CHARS_MAX {
            return None;
        }
        let own = self.diagnose();
        let Command::Diagnose { unit, .. } = &own.command else { return None };
        // Of a machine the unit is told now.
        let within = |unit: &&SubjectName| case.unit.as_ref().is_some_and(|of| of.holds(unit));
        let closer = unit.as_ref().filter(within);
        let of_case = closer.or(case.unit.as_ref()).or(unit.as_ref()).cloned();
        let of = of_case.as_ref().map_or_else(String::new, |unit| {
            format!(" on {}", understood::short(unit))
        });
        let told = match again {
            true => format!("Put this in the place of the complaint of before{of}."),
            false => format!("Add this to the complaint of before{of}."),
        };
        let equipment = self.heard.equipment.filter(|_| self.is_of_another_kind());
        let command = Command::Diagnose { complaint, unit: of_case, equipment, further: !again };
        Some(Interpretation { understood: told, command, ..own })
    }

    /// "We sanded last week", beside a complaint: a sign that is told, and no question to the records.
    pub(super) fn told_to_the_case(&self) -> Option<Interpretation> {
        let kind = kind(&self.heard.proof, &self.heard.scope);
        let asks = never_told::asks(self.spoken);
        let told = self.heard.proof.findings > 0 && !self.heard.proof.deed;
        let told = told && kind == CommandKind::Search;
        let told = told || self.tried_in_vain() || self.was_found();
        (told && !asks).then(|| self.further()).flatten()
    }

    /// "Backed it off a touch, no noise now": what was done about the complaint, and that it is gone.
    pub(super) fn is_cure_told(&self) -> bool {
        let gone = tried::tells_of_gone(self.question.text) && !never_told::asks(self.spoken);
        let told = self.question.case.is_some() && gone && self.begins_with_work();
        self.heard.recorded.is_some() && (told || self.is_help_told())
    }

    /// The words that a turn begins with.
    fn first_words(&self) -> impl Iterator<Item = &str> {
        const FIRST_WORDS_MAX: usize = 4;
        self.spoken.words.iter().take(FIRST_WORDS_MAX).map(|word| word.text.as_str())
    }

    fn begins_with_work(&self) -> bool {
        let mut words = self.first_words();
        words.any(|word| super::deeds::DEEDS.contains(&word) || tried::is_done(word))
    }

    /// "I slowed down and they went": what was done about the complaint helped, whether or not the words
    /// alone would make a record.
    pub(super) fn is_help_told(&self) -> bool {
        let deed = self.begins_with_work();
        let told = self.question.case.is_some();
        // "Turned it by hand, no noise": what was found by who looked.
        const LOOKED: &[&str] = &["checked", "looked", "listened", "measured", "felt", "found", "inspected"];
        let looked = self.first_words().any(|word| LOOKED.contains(&word));
        let looked = looked || self.question.text.to_lowercase().contains("by hand");
        let told = told && self.heard.danger.stop.is_none();
        let complaint = self.question.case.as_ref().map_or("", |case| case.complaint.as_str());
        let helped = tried::helped_with(complaint, self.question.text)
            && !never_told::asks(self.spoken);
        told && deed && !looked && helped
    }

    /// "Forget that, stragglers all over now".
    fn takes_all_back(&self) -> bool {
        const BEGINNINGS: &[&str] = &[
            "forget that", "forget it", "scrap that", "ignore that", "ignore what", "forget what",
            "no wait", "wait no", "not that", "disregard", "strike that", "my mistake",
        ];
        let text = self.question.text.trim().to_lowercase();
        BEGINNINGS.iter().any(|start| text.starts_with(start))
    }

    /// "Levelled it twice already", "nothing to do with the height": a remedy that was done with the
    /// complaint still there, or a cause that was ruled out.
    fn tried_in_vain(&self) -> bool {
        let Some(case) = &self.question.case else { return false };
        let kind = self.question.equipment.unwrap_or(Equipment::ReelUnit);
        let count = |words: &str| {
            let out = ruled_out::causes(self.knowledge, kind, words).len();
            tried::in_vain(self.knowledge, kind, words).len() + out
        };
        count(&format!("{}. {}", case.complaint, self.question.text)) > count(&case.complaint)
    }

    /// "Found a ding in the bottom blade": what somebody saw who looked, and no job.
    fn was_found(&self) -> bool {
        const LOOKED: &[&str] = &["found", "spotted", "noticed", "seen", "saw", "looked"];
        const FIRST_WORDS_MAX: usize = 4;
        let early = (0..self.spoken.words.len().min(FIRST_WORDS_MAX))
            .any(|at| LOOKED.contains(&self.spoken.word(at)));
        let proof = &self.heard.proof;
        early && self.tells_a_fault() && !proof.mended && !never_told::asks(self.spoken)
    }

    /// "It's No. 1 walker, I should have said": the machine of a complaint that had none.
    fn tells_the_place(&self, case: &Case) -> bool {
        let known = |name: &SubjectName| {
            matches!(name.kind(), SubjectKind::Machine | SubjectKind::Unit)
        };
        let named = self.heard.named.subject().is_some_and(known);
        let words = self.spoken.words.len() <= PLACE_WORDS_MAX;
        case.unit.is_none() && named && words && !self.heard.proof.deed && !self.heard.proof.told
    }

    /// "What's the attitude supposed to be at half an inch", "how deep should they be": what is right
    /// is asked for, and nothing is told.
    pub(super) fn asks_what_is_right(&self) -> bool {
        let asks = matches!(self.first_word(), "what" | "whats" | "what's" | "how" | "which" | "where");
        let should = self.says(&["supposed", "should", "ought", "meant"]);
        let size = self.first_word() != "how"
            || !matches!(self.spoken.tokens.get(self.at_first() + 1).map(|one| one.text.as_str()), Some("should"));
        let one = self.spoken.words.first().map(|word| word.segment)
            == self.spoken.words.last().map(|word| word.segment);
        let plain = one && self.heard.danger.stop.is_none();
        asks && should && size && plain && !self.says(&["but", "isn't", "isnt", "not", "do"])
    }

    /// What is known of what is asked; no sign of a fault is made of a question.
    pub(super) fn asked_or_ails(&self) -> Interpretation {
        if !self.asks_what_is_right() {
            return self.known_in_general().unwrap_or_else(|| self.diagnose());
        }
        let numbers = &self.spoken.quantities;
        let said = self.spoken.tokens.iter().enumerate().filter(|(at, _)| {
            !numbers.iter().any(|one| (one.first..=one.last).contains(at))
        });
        let said: Vec<Token> = said.map(|(_, token)| token.clone()).collect();
        let titled = self.note_titled_by(&said, 1);
        let known = titled.map(|query| self.asked_of_knowledge(Form::Why, query));
        let known = known.or_else(|| self.explained(CommandKind::Search));
        known.unwrap_or_else(|| self.nothing(CommandKind::Unclear))
    }

    fn adds_to(&self, case: &Case) -> bool {
        if self.asks_what_is_right() {
            return false;
        }
        let elsewhere = self.about_another(case);
        let tokens = &self.spoken.tokens;
        let afresh = (0..tokens.len()).any(|at| any_said_at(tokens, at, AFRESH).is_some());
        if elsewhere || afresh {
            return false;
        }
        if self.tried_in_vain() || self.was_found() || stands_at(&self.spoken.texts()) {
            return true;
        }
        let signs = self.heard.signs > 0;
        let proof = &self.heard.proof;
        match kind(&self.heard.proof, &self.heard.scope) {
            CommandKind::Diagnose => true,
            CommandKind::Unclear => {
                signs || self.tells_the_place(case) || self.is_of_another_kind()
            }
            CommandKind::Search => {
                self.heard.proof.findings > 0 && !never_told::asks(self.spoken)
            }
            // "Paper folds at the left end of it": nothing was done, and no number given.
            CommandKind::Record => !proof.told && !proof.deed && proof.recorded == 0,
            CommandKind::OutOfScope => {
                signs && matches!(self.heard.scope, Scope::OffTopic | Scope::OtherMachine)
            }
            _ => false,
        }
    }

    /// Whether more is heard than where and when it shows.
    pub(super) fn tells_a_fault(&self) -> bool {
        let ear = &self.knowledge.ear;
        let heard = ear.hear(&ear.read(self.question.text)).heard;
        let context = |id: &str| ear.findings.get(id).is_some_and(|of| of.context);
        heard.iter().any(|one| !one.implied && !context(&one.finding))
    }

    /// Whether the words, or those before them, are about another unit or another kind of machine.
    fn about_another(&self, case: &Case) -> bool {
        let spoken_of = self.question.shop.spoken_of.as_ref();
        let home = case.unit.as_ref().or(spoken_of);
        let apart = |name: &SubjectName| match home {
            Some(home) => !name.holds(home) && !home.holds(name),
            // The place is told now; how far it reaches goes with it: "fairway five, all of em".
            None => name.kind() == SubjectKind::Machine && self.tells_a_fault(),
        };
        let named = self.heard.named.subject().or(spoken_of);
        named.is_some_and(apart) || (self.is_of_another_kind() && self.tells_a_fault())
    }

    /// "We mow it with the rotary": a rotary deck, where none was spoken of before, or the other way
    /// round.
    fn is_of_another_kind(&self) -> bool {
        let rotary = |kind: Option<Equipment>| kind.map(|kind| kind == Equipment::RotaryDeck);
        let (said, before) = (rotary(self.heard.equipment), rotary(self.question.equipment));
        said.is_some() && before.is_some() && said != before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_it_stands_is_no_work() {
        for (words, wanted) in [
            ("they are set at 12", true),
            ("set to 2 mm he says", true),
            ("it is sitting at 3.5", true),
            ("set it to 12", false),
            ("unit set to 3.2 mm took 20 minutes", false),
            ("set to 3.2 today and lapped it", false),
            ("set to 3.2 and logged by kev", false),
            ("they are set at 12 today", true),
            ("he set them to 12", false),
            ("set the reel to the knife", false),
        ] {
            let texts: Vec<&str> = words.split(' ').collect();
            assert_eq!(stands_at(&texts), wanted, "{words}");
        }
    }
}
