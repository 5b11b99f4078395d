//! Questions to the knowledge, as people ask them: does the passage about it answer, and not its
//! neighbour? The questions stand in `tests/cases/knowledge_questions.tsv`; half of them are held
//! back from tuning.

use sward_core::domain::catalogue::Knowledge;
use sward_core::domain::intent::leave::LEAVE;
use sward_core::domain::intent::why::TOLD;
use sward_core::domain::intent::{Command, Interpretation};
use sward_core::domain::passages::form::Form;
use sward_core::domain::passages::{Passages, told};
use sward_core::embedded;

use crate::interpret::ask;

/// So many in a hundred have to be right: of the half it was tuned on, and of the half held back.
const RIGHT_MIN: [usize; 2] = [60, 40];

/// What answers: ids of jobs and rows as they are, else the lines that are told.
fn answered(knowledge: &Knowledge, passages: &Passages, answer: &Interpretation) -> String {
    if let Some(id) = answer.topic.strip_prefix(LEAVE) {
        return format!("leave {id}");
    }
    if !answer.alternatives.is_empty() {
        let told: Vec<&str> = answer.alternatives.iter().map(|(_, told, _)| told.as_str()).collect();
        return told.join("; ");
    }
    match &answer.command {
        Command::Procedure(id) => format!("job {id}"),
        Command::Why(query) => {
            let form = answer.topic.strip_prefix(TOLD).and_then(Form::from_id);
            let form = form.unwrap_or(Form::Why);
            let told = told::answer(knowledge, passages, form, query)
                .or_else(|| told::answer(knowledge, passages, Form::Why, query));
            let lines = told.map_or_else(|| "nothing".to_owned(), |told| told.lines.join(" | "));
            format!("{} ({query}): {lines}", form.id())
        }
        other => format!("{:?} {}: {other:?}", answer.kind, answer.understood),
    }
}

/// What shows that a passage of this id answered: its id or its title, or a line of its caution.
fn shows(knowledge: &Knowledge, id: &str, text: &str) -> bool {
    if let Some(id) = id.strip_prefix("wear:") {
        let row = knowledge.caution(id).expect("a caution");
        let first = row.text.split(". ").next().unwrap_or_default();
        return text.starts_with("wear") && text.contains(first);
    }
    let titled = |title: &str| text.contains(title);
    text.contains(id)
        || knowledge.notes.iter().any(|row| row.id == id && titled(&row.title))
        || knowledge.procedure(id).is_some_and(|row| titled(&row.title))
        || knowledge.caution(id).is_some_and(|row| titled(&row.title))
}

#[test]
fn the_passage_about_it_answers() {
    let knowledge = embedded::knowledge();
    let passages = knowledge.passages();
    let (mut right, mut count) = ([0_usize; 2], [0_usize; 2]);
    for row in include_str!("cases/knowledge_questions.tsv").lines() {
        if row.starts_with('#') {
            continue;
        }
        let [half, question, wanted] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("three columns: {row}");
        };
        let half_at = usize::from(half == "held");
        let text = answered(&knowledge, passages, &ask(&knowledge, question));
        let fits = wanted.split(',').any(|id| shows(&knowledge, id, &text));
        count[half_at] += 1;
        right[half_at] += usize::from(fits);
        if !fits && half == "tuned" {
            println!("{question}\n    wanted {wanted}\n    {text}");
        }
    }
    println!("right: {right:?} of {count:?}");
    for ((right, count), least) in right.into_iter().zip(count).zip(RIGHT_MIN) {
        assert!(right * 100 >= count * least, "{right} of {count}");
    }
}
