//! Would what is asked for hurt someone? Asked of everything that is said, whatever it is about: in
//! a job, as a correction, as a question. The same ear as for a complaint decides.

use crate::domain::catalogue::Knowledge;
use crate::domain::danger;
use crate::domain::language::scope::Scope;

use super::Action;

/// What is said instead of an answer: the refusal of these words with the safe way to the same end,
/// or what to do now when somebody is hurt.
pub fn refused<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    let reading = knowledge.ear.read(words);
    let hearing = knowledge.ear.hear(&reading);
    let (judged, _) = danger::judged(knowledge, &reading, &hearing);
    let Scope::Unsafe(id) = judged.scope else { return None };
    let (text, cautions) = danger::told(knowledge, &id, words);
    Some(Action::Refuse { text, cautions })
}

/// Somebody is hurt: what to do now, before anything else that was going on.
pub fn emergency<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    let id = danger::heard(knowledge, &knowledge.ear.read(words)).emergency?;
    let (text, cautions) = danger::told(knowledge, &id, words);
    Some(Action::Refuse { text, cautions })
}

/// A machine has to stop before it is looked into.
pub fn stop<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    let id = danger::heard(knowledge, &knowledge.ear.read(words)).stop?;
    knowledge.refusal(&id).map(|row| Action::Say(vec![danger::answer(row)]))
}

/// What was refused stays refused when it is only pushed for.
pub fn refused_again<C>(knowledge: &Knowledge, words: &str, before: &Refused) -> Option<Action<C>> {
    let text = format!("It stays so. {}", before.text);
    let cautions = before.cautions.clone();
    danger::pushes(knowledge, words).then_some(Action::Refuse { text, cautions })
}

/// What was refused last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    pub text: String,
    pub cautions: Vec<String>,
}

impl Refused {
    /// What these actions refuse.
    pub fn of<C>(actions: &[Action<C>]) -> Option<Refused> {
        actions.iter().find_map(|action| match action {
            Action::Refuse { text, cautions } => {
                let text = text.strip_prefix("It stays so. ").unwrap_or(text).to_owned();
                Some(Refused { text, cautions: cautions.clone() })
            }
            _ => None,
        })
    }
}
