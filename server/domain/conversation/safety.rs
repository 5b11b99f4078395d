//! Would what is asked for hurt someone? Asked of everything that is said, whatever it is about: in
//! a job, as a correction, as a question. The same ear as for a complaint decides.

use crate::domain::catalogue::Knowledge;
use crate::domain::language::scope::{GENERAL_REFUSAL, Scope, scope};

use super::Action;

/// The refusal of these words, with the safe way to the same end.
pub fn refused<C>(knowledge: &Knowledge, words: &str) -> Option<Action<C>> {
    let reading = knowledge.ear.read(words);
    let hearing = knowledge.ear.hear(&reading);
    let judged = scope(&knowledge.ear, &knowledge.scope_ear, &reading, &hearing);
    let Scope::Unsafe(id) = judged.scope else { return None };
    let row = knowledge.refusal(&id).or_else(|| knowledge.refusal(GENERAL_REFUSAL));
    Some(match row {
        Some(row) => Action::Refuse {
            text: format!("No: {}. {}", lower_first(&row.title), row.safe_way),
            cautions: row.cautions.clone(),
        },
        None => Action::Refuse {
            text: "No: that would hurt someone. Stop the machine and isolate it before any hand \
                   goes near."
                .to_owned(),
            cautions: Vec::new(),
        },
    })
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
