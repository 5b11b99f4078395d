//! What answers what was asked last? Which of several ways to take the words is meant is told by
//! its number, by what only one is called, or by what it was not; what is said meanwhile never
//! drops it in silence.
//! Deliberately absent: which of two machines "the two" are (`the_two`).

use super::acts::{self, Act};
use super::decide::{Choice, Meaning, Sense};
use super::follow_up::{FollowUp, follow_up};
use super::in_turn::Joining;
use super::{Action, Actions, Asked, Conversation, ask, say};
use super::{in_turn, putting_right, safety, second_hand};
use crate::domain::catalogue::Knowledge;
use crate::domain::limits;
use crate::domain::wording::plain_words;

impl<C: Clone> Conversation<C> {
    /// Answers to what was asked last.
    pub(super) fn an_answer(
        &mut self,
        knowledge: &Knowledge,
        act: Option<&Act>,
        words: &str,
    ) -> Option<Actions<C>> {
        let asked = self.asked.take()?;
        match act {
            Some(Act::Cancel) => return Some(vec![say("Left open.")]),
            None if second_hand::was_mistaken(words) => {
                self.turn.unanswered = Some(asked);
                return self.asked_again().map(|again| vec![again]);
            }
            _ => {}
        }
        // "No. 1" and "walker 1" choose as "1" does.
        let numbered = number_chosen(words, &asked).map(Act::Choose);
        match (asked, numbered.as_ref().or(act)) {
            (Asked::Which(choices), Some(Act::Choose(number))) => {
                let Some(choice) = choices.get(number - 1).cloned() else {
                    let count = choices.len();
                    self.asked = Some(Asked::Which(choices));
                    return Some(vec![ask(format!("There are {count}; say a number of them."))]);
                };
                Some(self.chosen(knowledge, choice))
            }
            (Asked::More(before), None) => {
                if let Some(refusal) = safety::refused(knowledge, words) {
                    return Some(vec![refusal]);
                }
                // "No, 124.4": what was told is put right, and still lacks the same.
                if let Some(FollowUp::Words(whole)) = follow_up(words, &self.earlier, true) {
                    return Some(self.leaning(knowledge, FollowUp::Words(whole)));
                }
                let (before, name) = putting_right::name_instead(before, words);
                self.turn.joining = Some(Joining::Lacking(before));
                Some(vec![Action::InterpretAlone(name)])
            }
            (Asked::More(before), Some(Act::WhatWasStored)) => {
                let line = format!("Not stored yet: \"{before}\" still lacks what was asked for.");
                self.asked = Some(Asked::More(before));
                Some(vec![ask(line)])
            }
            (Asked::Findings { left, known }, Some(act)) => {
                self.finding_answered(left, known, act)
            }
            (Asked::Findings { left, known }, None) => {
                let asked = Asked::Findings { left: left.clone(), known: known.clone() };
                let answered = self.answered_in_words(knowledge, left, known, words);
                self.turn.unanswered = Some(asked).filter(|_| answered.is_none());
                answered
            }
            (asked @ (Asked::Subject | Asked::SignedBy | Asked::Fixed), _) => {
                let refusal = act.is_none().then(|| safety::refused(knowledge, words)).flatten();
                if let Some(refusal) = refusal {
                    self.asked = Some(asked);
                    return Some(vec![refusal]);
                }
                Some(self.closing_answer(knowledge, asked, act, words))
            }
            (asked, act) => self.left_unanswered(asked, act), // Something else was said.
        }
    }

    /// What was asked is not answered: which of several is asked again by a yes to all of them, and
    /// at the end of a turn that was of something else; a no drops it, and says so.
    pub(super) fn left_unanswered(
        &mut self,
        asked: Asked<C>,
        act: Option<&Act>,
    ) -> Option<Actions<C>> {
        use Act::{Acknowledge, Done, No, Unknown, Yes};
        // What is answered by itself and leaves the question as it was.
        let aside = matches!(
            act,
            None | Some(Act::Cautions | Act::Drafts | Act::Greeting | Act::Help | Act::WhatWasStored
                | Act::Why)
        );
        let said = act.is_none().then(|| self.turn.words.clone()).unwrap_or_default();
        match (asked, act) {
            (Asked::Which(choices), Some(Yes | Acknowledge | Done | Unknown)) => {
                Some(self.ask_which(choices))
            }
            (Asked::Which(_), Some(No)) => Some(vec![say("Dropped: nothing of it is recorded.")]),
            (Asked::Which(choices), None) if is_unsure(&said) => Some(self.ask_which(choices)),
            (Asked::Which(_), None) if is_none_of_them(&said) => {
                Some(vec![say("None of them: nothing of it is recorded. Tell it with the name of the machine.")])
            }
            (Asked::Which(choices), None) if is_all_of_them(&said) => {
                let mut asked = self.ask_which(choices);
                asked.insert(0, say("One at a time: say the number of one of them, and then tell the other by its name."));
                Some(asked)
            }
            (asked @ Asked::Which(_), _) if aside => {
                self.turn.told_before = (self.earlier.clone(), self.said.clone());
                self.turn.unanswered = Some(asked);
                None
            }
            _ => None,
        }
    }

    /// The same of which of several; what is chosen keeps the words it was told in.
    pub(super) fn chosen_is_asked_again(&mut self) -> Option<Action<C>> {
        (self.earlier, self.said) = std::mem::take(&mut self.turn.told_before);
        self.asked_again()
    }

    /// What is asked again where a turn ends without its words being understood: a thank, a sum.
    pub(super) fn choice_at_the_end(&mut self, actions: &mut Actions<C>) {
        let which = matches!(self.turn.unanswered, Some(Asked::Which(_)));
        let ends = actions.iter().all(|action| {
            use Action::{Cautions, Drafts, Refuse, Say, Turn};
            matches!(action, Say(_) | Refuse { .. } | Cautions(_) | Drafts | Turn(_))
        });
        if which && ends && self.asked.is_none() && self.proposal.is_none() {
            actions.extend(self.chosen_is_asked_again());
        }
    }

    /// Other work or a fault is told where it was asked which of several: what is dropped is said.
    pub(super) fn not_recorded(&mut self, meaning: &Meaning<C>) -> Option<Action<C>> {
        let Some(Asked::Which(choices)) = &self.turn.unanswered else { return None };
        let records = choices.iter().any(|one| matches!(one.sense, Sense::Write(_)));
        let same = matches!(meaning.sense, Sense::Write(_)) && !meaning.kind.is_empty()
            && choices.iter().any(|one| one.understood.to_lowercase().contains(&meaning.kind));
        let told = self.turn.told_before.0.words.trim_end_matches('.').to_owned();
        self.turn.unanswered = None;
        (records && !same && !told.is_empty()).then(|| {
            say(format!("Not recorded, since it was not said which: \"{told}\". Tell it again with the name."))
        })
    }

    /// Which of several was asked, and what is said leaves that as it is.
    pub(super) fn leaves_the_choice(&self, meaning: &Meaning<C>) -> bool {
        let which = matches!(self.turn.unanswered, Some(Asked::Which(_)));
        let other = match meaning.sense {
            Sense::Read { .. } => meaning.kind != in_turn::COMPLAINT,
            Sense::Unclear | Sense::OutOfScope | Sense::Refused => true,
            _ => false,
        };
        which && other && meaning.alternatives.is_empty() && meaning.missing.is_empty()
    }

    pub(super) fn ask_which(&mut self, mut choices: Vec<Choice<C>>) -> Actions<C> {
        choices.truncate(limits::CHOICES_MAX);
        let mut lines = vec!["Which do you mean? Say its number.".to_owned()];
        lines.extend(
            choices.iter().enumerate().map(|(at, one)| format!("  {}. {}", at + 1, one.understood)),
        );
        self.asked = Some(Asked::Which(choices));
        vec![Action::Ask(lines)]
    }

    pub(super) fn chosen(&mut self, knowledge: &Knowledge, choice: Choice<C>) -> Actions<C> {
        let mut actions = vec![Action::Understood {
            sentence: choice.understood.clone(),
            unheard: Vec::new(),
            assumed: Vec::new(),
        }];
        let kind = String::new();
        actions.extend(self.carry_out(knowledge, choice.sense, choice.understood, kind));
        actions
    }
}

/// The number of the one that is chosen by it or by what only it is called.
pub(super) fn number_chosen<C>(words: &str, asked: &Asked<C>) -> Option<usize> {
    let Asked::Which(choices) = asked else { return None };
    let called: Vec<&str> = choices.iter().map(|choice| choice.understood.as_str()).collect();
    let parts: Vec<String> = called.iter().flat_map(|called| plain_words(called)).collect();
    let named = |word: &str| OF_A_NAME.contains(&word) || parts.iter().any(|part| part == word);
    let said = only_one_called(words, &called).or_else(|| acts::number_alone(words, &named));
    said.or_else(|| other_of_two(words, &called, &named))
}

/// "It wasn't walker 2": of two the other one.
fn other_of_two(words: &str, called: &[&str], named: &dyn Fn(&str) -> bool) -> Option<usize> {
    const DENIES: &[&str] = &["not", "isnt", "wasnt", "aint", "isn't", "wasn't", "ain't"];
    let plain = words.trim().to_lowercase().replace('\u{2019}', "'");
    let denied = plain.split_whitespace().any(|word| DENIES.contains(&word));
    let rest = plain.split_whitespace().filter(|word| !DENIES.contains(word));
    let rest = rest.collect::<Vec<&str>>().join(" ");
    let numbered = || {
        let number = acts::number_alone(&rest, named)?;
        // "Wasn't the number 2", where one of them is called by it.
        let figure = number.to_string();
        let bears = |at: &usize| plain_words(called[*at]).contains(&figure);
        let mut fits = (0..called.len()).filter(bears).map(|at| at + 1);
        fits.next().filter(|_| fits.next().is_none()).or(Some(number))
    };
    let one = only_one_called(&rest, called).or_else(numbered);
    let two = denied && called.len() == 2 && !in_turn::asks(words);
    one.filter(|one| two && (1..=2).contains(one)).map(|one| 3 - one)
}

/// "Neither", "none of them".
fn is_none_of_them(words: &str) -> bool {
    let said = plain_words(words).join(" ");
    matches!(said.as_str(), "neither" | "neither of them" | "none" | "none of them" | "neither one" | "none of those" | "no neither")
}

/// "Both of them", "both", "all of them".
fn is_all_of_them(words: &str) -> bool {
    let said = plain_words(words).join(" ");
    let said = said.strip_prefix("it was ").unwrap_or(&said);
    matches!(said, "both" | "both of them" | "all" | "all of them" | "both of those" | "the both" | "both machines" | "the lot")
}

/// "Don't know which": what is asked is not known.
fn is_unsure(words: &str) -> bool {
    const WHICH: &[&str] = &["which", "which one", "which it was", "which one it was", "which of them", "which of the two"];
    acts::beginning(words).is_some_and(|(act, rest)| {
        let rest = rest.trim_end_matches(['.', '!']).to_lowercase();
        act == Act::Unknown && WHICH.contains(&rest.as_str())
    })
}

/// Words around the name of one of several that say nothing themselves.
const OF_A_NAME: &[&str] = &[
    "the", "its", "it's", "it", "is", "was", "on", "one", "i", "we", "mean", "meant", "that", "thats", "of", "for", "machine", "mower",
    "no", "number", "please", "sorry", "a", "an", "my", "our", "in", "ones", "yes", "yeah", "option",
];

/// "The number 2 walker", "its the deck one": the only one of several sentences that holds all words.
fn only_one_called(words: &str, sentences: &[&str]) -> Option<usize> {
    const NAME_WORDS_MAX: usize = 8;
    let said = plain_words(words);
    let own = said.iter().map(String::as_str).filter(|word| !OF_A_NAME.contains(word));
    let own: Vec<&str> = own.collect();
    let figure = |word: &&str| word.chars().all(|ch| ch.is_ascii_digit());
    if own.iter().all(|word| figure(word)) || said.len() > NAME_WORDS_MAX || in_turn::asks(words) {
        return None;
    }
    let holds = |sentence: &&str| {
        let lower = sentence.to_lowercase();
        let parts: Vec<&str> = lower.split(|ch: char| !ch.is_alphanumeric()).collect();
        own.iter().all(|word| {
            let one = if word.len() > 3 { word.trim_end_matches('s') } else { word };
            parts.iter().any(|part| part == word || *part == one)
        })
    };
    let mut fits = (0..sentences.len()).filter(|at| holds(&sentences[*at]));
    fits.next().filter(|_| fits.next().is_none()).map(|at| at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_that_is_called_so_is_chosen() {
        let belts = ["Record part replaced on walker-2, unit reel: belt.", "Record part replaced on walker-1, unit reel: belt."];
        for (words, wanted) in [
            ("The number 1 walker", Some(2)),
            ("its walker 2", Some(1)),
            ("the walker", None),
            ("not walker 2", None),
            ("1", None),
            ("which is walker 2", None),
            ("the deck one", None),
        ] {
            assert_eq!(only_one_called(words, &belts), wanted, "{words}");
        }
        let named = |word: &str| OF_A_NAME.contains(&word) || word == "walker";
        for (words, wanted) in [
            ("wasn't walker 2", Some(2)),
            ("it wasn't walker 1", Some(1)),
            ("wasn't the number 2", Some(2)),
            ("it isn't number 1", Some(1)),
            ("it did not streak on walker 2", None),
            ("lapped walker 2", None),
        ] {
            assert_eq!(other_of_two(words, &belts, &named), wanted, "{words}");
        }
        assert!(is_none_of_them("neither") && is_all_of_them("both of them") && is_unsure("don't know which"));
    }
}
