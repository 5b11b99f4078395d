//! What does a turn of a talk do to the complaint, or to the answer from the records, that stands
//! open, where the form of its words was taken for something else? The model of turns tells
//! (`language::turns`): "just checked, there's a nick a quarter inch wide" is no reading of a width.
//! Deliberately absent: turns that a conversation answers without their words (`conversation`).

use super::again::Before;
use super::fleet::Part;
use super::kind::CommandKind;
use super::leave::LEAVE;
use super::sounds::part_of;
use super::{Command, Interpretation, Question, Reader, interpret};
use crate::domain::language::text::Kind;
use crate::domain::limits;
use crate::domain::recall::Asked as Single;
use crate::domain::records::Detail;
use crate::domain::tried;

/// Longer words ask something of their own.
const OF_IT_WORDS_MAX: usize = 6;

/// Said where it is asked whether an answer from the records is much or good.
pub const NOT_JUDGED: &str =
    "The records say what was, not whether that is much. Ask the same of another machine or of last \
     year to hold them side by side, or \"what is due\" for what the intervals say.";

impl Reader<'_> {
    pub(super) fn by_role(&self, answer: &Interpretation) -> Option<Interpretation> {
        let of_records = self.to_the_records(answer).or_else(|| self.turned_round(answer));
        of_records.or_else(|| self.to_the_complaint(answer))
    }

    /// The question before asked again, of something else or after another side.
    fn to_the_records(&self, answer: &Interpretation) -> Option<Interpretation> {
        let before = self.question.asked.as_ref()?;
        let role = self.heard.sounds.to_records?;
        let told = part_of(&answer.command);
        let was = match before {
            Before::Single(past) => Part::Single(past.asked),
            Before::Whole(asked) => asked.part,
        };
        let single = |list: &[Single]| {
            matches!(told, Some(Part::Single(asked)) if list.contains(&asked))
        };
        // A whole question of its own is none of the answer.
        let own = told.is_some_and(|told| told != was) && self.spoken.words.len() > OF_IT_WORDS_MAX;
        if own && role != "again" {
            return None;
        }
        let fits = match role {
            "again" => told == Some(was),
            "who" | "when" | "what" => {
                told == Some(was) || single(&[Single::Last, Single::History, Single::Cured])
            }
            "took" => single(&[Single::Took, Single::Labour, Single::Longest]),
            "list" => told == Some(was) || single(&[Single::History]),
            // Whether all is ready stands by itself.
            "good" if single(&[Single::Ready]) => return None,
            // "Is it getting worse": one reading after the other.
            "good" if self.asks_a_trend() && matches!(before, Before::Single(_)) => {
                return self.again_as(Some("list"));
            }
            "good" if !self.asks_for_one_thing() => return self.not_judged(answer),
            _ => return None,
        };
        (!fits).then(|| self.again_as(Some(role))).flatten()
    }

    /// "Who normally does the bearings": one thing of the records, and no judgement.
    fn asks_for_one_thing(&self) -> bool {
        matches!(self.spoken.word(0), "who" | "when" | "which" | "where")
    }

    /// Whether it is asked how a reading has gone with time.
    fn asks_a_trend(&self) -> bool {
        self.says(&["worse", "better", "longer", "shorter", "slower", "quicker"])
            && self.says(&["getting", "got", "gone", "going", "become", "becoming"])
    }

    /// Whether an answer is much, or good: that is for people, unless something is known of it.
    fn not_judged(&self, answer: &Interpretation) -> Option<Interpretation> {
        let of_knowledge = matches!(answer.command, Command::Why(_));
        (!of_knowledge).then(|| Interpretation {
            understood: NOT_JUDGED.to_owned(),
            ..self.nothing(CommandKind::Unclear)
        })
    }

    /// Another value of the sum before: "what about 1 mm a time" is no question of how long it took.
    pub(super) fn sum_in_its_turn(&self) -> Option<Interpretation> {
        let fresh = self.question.asked.is_none() && self.question.case.is_none();
        let turn = matches!(self.heard.sounds.to_sum, Some("again" | "given"));
        let again = || (turn || self.asks_for_another_value()).then(|| self.sum_again()).flatten();
        fresh.then(|| self.read_again().or_else(again)).flatten()
    }

    /// "So what do I set for 3.0": the same sum for another value.
    fn asks_for_another_value(&self) -> bool {
        const SETS: &[&str] = &["set", "need", "want", "get", "bench", "use", "put"];
        let [only] = &self.spoken.quantities[..] else { return false };
        let before = only.first.checked_sub(1).map_or("", |at| self.spoken.tokens[at].text.as_str());
        let last = only.last + 1 >= self.spoken.tokens.len()
            || self.spoken.tokens[only.last + 1..].iter().all(|token| token.kind == Kind::Sign);
        let asks = self.spoken.texts().iter().take(3).any(|word| matches!(*word, "what" | "whats" | "how"));
        asks && last && matches!(before, "for" | "at" | "to") && self.says(SETS)
    }

    /// The sum before turned round: what one of its values has to be for this answer.
    fn turned_round(&self, answer: &Interpretation) -> Option<Interpretation> {
        let (calculation, before) = self.question.previous.as_ref()?;
        // "Slow down to 5" gives a value, and asks for none.
        let gives = matches!(self.spoken.word(0), "slow" | "make" | "try" | "go" | "use" | "call" | "say");
        let fresh = self.question.asked.is_none() && answer.kind != CommandKind::Refused && !gives;
        if !fresh || self.heard.sounds.to_sum != Some("back") {
            return None;
        }
        self.sum_back(calculation, before)
    }

    /// The complaint with more told of it, or what cured it.
    fn to_the_complaint(&self, answer: &Interpretation) -> Option<Interpretation> {
        let case = self.question.case.as_ref()?;
        let further = matches!(answer.command, Command::Diagnose { further: true, .. });
        // Leave that is asked has its own answer.
        let further = further || answer.topic.starts_with(LEAVE);
        // "I slowed down and they went" sounds like one more sign.
        let sign = matches!(answer.kind, CommandKind::Diagnose | CommandKind::Unclear);
        let helped = self.is_help_told();
        if helped && answer.kind == CommandKind::Record {
            return None;
        }
        // "Pulled the guard off and it went": one more thing that is known of it.
        let trial = self.only_fixed() && tried::is_trial(self.question.text);
        if answer.kind == CommandKind::Record && trial {
            return self.added_to(case);
        }
        if let Some(fixed) = (sign && helped).then(|| self.as_fixed()).flatten() {
            return Some(fixed);
        }
        match self.heard.sounds.to_complaint? {
            "sign" | "machine" | "vain" if !further && !self.asks_what_is_right() => {
                self.added_to(case)
            }
            "fixed" if answer.kind != CommandKind::Record => self.as_fixed(),
            _ => None,
        }
    }

    /// Nothing but a fault that was put right is recorded.
    fn only_fixed(&self) -> bool {
        let all = self.heard.recorded.as_ref().map(|one| &one.records);
        all.is_some_and(|all| {
            all.iter().all(|(_, content)| matches!(content.detail, Detail::FaultFixed(_)))
        })
    }

    /// Told as what put the complaint right.
    pub(super) fn as_fixed(&self) -> Option<Interpretation> {
        const FIXED: &str = "fixed it, ";
        let text = self.question.text;
        let long = text.chars().count() + FIXED.len() > limits::TEXT_CHARS_MAX;
        // What was tried or defeated is no remedy, and who was hurt at it comes first.
        let other = tried::is_trial(text) || tried::hurt_at_it(text);
        if long || other || text.to_lowercase().starts_with(FIXED.trim_end()) {
            return None;
        }
        let text = format!("{FIXED}{text}");
        let told = interpret(self.knowledge, &Question { text: &text, ..self.question.clone() });
        (told.kind == CommandKind::Record).then_some(told)
    }
}
