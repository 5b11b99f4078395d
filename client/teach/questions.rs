//! What should somebody be able to say who has learnt this procedure? Questions made of its whys,
//! its acceptances and its cautions; the answer to each is on the sheet.

use sward_core::pb;

/// Questions asked at most; a sheet has one page.
const QUESTIONS_MAX: usize = 5;

/// A question and the step that answers it.
pub struct Question {
    pub text: String,
    pub step: i32,
}

/// Safety first, then what to do with a reading that is not good, then the whys.
pub fn of(row: &pb::Procedure) -> Vec<Question> {
    let mut found = Vec::new();
    if let Some(first) = row.steps.first() {
        found.push(Question {
            text: "What makes this work safe before a hand goes near, and what does not?".into(),
            step: first.number,
        });
    }
    let failing = row.steps.iter().find_map(|step| {
        let reading = step.readings.iter().rfind(|reading| reading.otherwise_step > 0)?;
        Some((step.number, reading))
    });
    if let Some((step, reading)) = failing {
        let label = reading.label.split(" (").next().unwrap_or_default();
        let text = format!("\"{label}\": what is good, and what do you do when it is not?");
        found.push(Question { text, step });
    }
    // The whys of steps spread over the whole job, so that its end is asked about too.
    let steps: Vec<&pb::ProcedureStep> =
        row.steps.iter().skip(1).filter(|step| !step.why.is_empty()).collect();
    let wanted = QUESTIONS_MAX - found.len();
    let stride = steps.len().div_ceil(wanted.max(1)).max(1);
    for step in steps.into_iter().step_by(stride).take(wanted) {
        let text = format!("Why is step {} (\"{}\") done?", step.number, step.title);
        found.push(Question { text, step: step.number });
    }
    found
}
