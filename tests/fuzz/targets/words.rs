//! Complaints: whatever somebody says, the answer is a diagnosis, a refusal or a clear error.

use std::fmt::Write as _;

use sward_core::domain::catalogue::{Equipment, Knowledge};
use sward_core::domain::complaint::{Diagnosis, Models, Question, QuestionError, diagnose};
use sward_core::embedded;

use super::super::dice::{Dice, hash};
use super::{Target, must};

const CASES: &[&str] = &[
    include_str!("../../cases/complaints.jsonl"),
    include_str!("../../cases/negation.jsonl"),
    include_str!("../../cases/outside.jsonl"),
    include_str!("../../cases/search.jsonl"),
];

/// One answer in this many is asked for twice.
const TWICE_IN: u64 = 16;

pub struct Words {
    knowledge: Knowledge,
    models: Models,
}

impl Words {
    pub fn new() -> Words {
        let knowledge = embedded::knowledge();
        let models = Models::new(&knowledge).expect("the built-in knowledge is sound");
        Words { knowledge, models }
    }

    /// The words, with a kind of equipment and observations that depend on them.
    fn question(&self, input: &[u8]) -> Question {
        let mut dice = Dice::new(hash(input));
        let finding = |dice: &mut Dice| dice.one_of(&self.knowledge.findings).id.clone();
        Question {
            complaint: String::from_utf8_lossy(input).into_owned(),
            equipment: dice.once_in(2).then(|| *dice.one_of(&Equipment::ALL)),
            observations: (0..dice.below(12).saturating_sub(8))
                .map(|_| (finding(&mut dice), dice.once_in(2)))
                .collect(),
            max_causes: if dice.once_in(8) { dice.below(110) } else { 0 },
        }
    }

    fn judge(&self, question: &Question, answer: &Diagnosis) -> Result<(), String> {
        let chance = |value: f64| (0.0..=1.0 + 1e-9).contains(&value);
        for cause in &answer.causes {
            must(chance(cause.probability), || format!("a chance of {}", cause.probability))?;
            must(cause.minutes.is_finite(), || format!("{} minutes", cause.minutes))?;
            for (finding, change) in &cause.evidence {
                must(change.is_finite(), || format!("evidence of {change} by {finding}"))?;
            }
        }
        must(chance(answer.other), || format!("other causes {}", answer.other))?;
        must(chance(answer.several), || format!("several causes {}", answer.several))?;
        for heard in &answer.heard {
            let span = question.complaint.get(heard.start..heard.end);
            must(span.is_some_and(|words| !words.is_empty()), || {
                format!("{} heard in no words: {}..{}", heard.finding, heard.start, heard.end)
            })?;
            must(chance(heard.confidence), || format!("a confidence of {}", heard.confidence))?;
        }
        for step in &answer.steps {
            let sound = step.minutes.is_finite() && step.minutes_saved.is_finite();
            must(sound, || format!("a step of {} saves {}", step.minutes, step.minutes_saved))?;
        }
        for caution in &answer.cautions {
            must(self.knowledge.caution(caution).is_some(), || format!("no caution {caution}"))?;
        }
        must(!answer.message.is_empty(), || "no message".to_owned())
    }
}

fn told(error: &QuestionError) -> Result<(), String> {
    must(!error.field.is_empty() && !error.remedy.is_empty(), || format!("{error:?} is unclear"))
}

impl Target for Words {
    fn name(&self) -> &'static str {
        "words"
    }

    fn corpus(&self) -> Vec<Vec<u8>> {
        let lines = CASES.iter().flat_map(|text| text.lines());
        let row = |line: &str| serde_json::from_str::<serde_json::Value>(line).expect("a case");
        lines
            .filter_map(|line| {
                let row = row(line);
                let text = ["complaint", "utterance", "query"].iter().find_map(|key| row.get(key));
                Some(text?.as_str()?.as_bytes().to_vec())
            })
            .collect()
    }

    fn words(&self) -> Vec<Vec<u8>> {
        let findings = self.knowledge.findings.iter().map(|row| row.title.as_bytes().to_vec());
        let causes = self.knowledge.causes.iter().map(|row| row.title.as_bytes().to_vec());
        findings.chain(causes).collect()
    }

    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let question = self.question(input);
        let answer = diagnose(&self.knowledge, &self.models, &question);
        if hash(input).is_multiple_of(TWICE_IN) {
            let again = diagnose(&self.knowledge, &self.models, &question);
            must(answer == again, || "the same words, another answer".to_owned())?;
        }
        let mut sort = String::new();
        match &answer {
            Ok(answer) => {
                self.judge(&question, answer)?;
                let _ = write!(sort, "{:?} {:?}", answer.outcome, answer.equipment);
                for heard in &answer.heard {
                    let _ = write!(sort, " {} {}", heard.finding, heard.present);
                }
            }
            Err(error) => {
                told(error)?;
                let _ = write!(sort, "{} {}", error.field, error.remedy);
            }
        }
        Ok(hash(sort.as_bytes()))
    }
}
