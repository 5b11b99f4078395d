//! `sward diagnose --ask`: the suggested checks one at a time, until a repair is due.

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};

use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;

use crate::call::{Failure, Line};
use crate::diagnose;

/// What was typed in answer to a question.
enum Answer {
    Yes,
    No,
    Unknown,
    Quit,
}

pub async fn run(line: Line, mut request: pb::DiagnoseRequest) -> Result<(), Failure> {
    let findings = GuideServiceClient::new(line.clone())
        .list_findings(pb::ListFindingsRequest::default())
        .await?
        .into_inner()
        .findings;
    let questions: BTreeMap<String, String> =
        findings.into_iter().map(|finding| (finding.id, finding.question)).collect();
    let mut unknown: Vec<String> = Vec::new();
    loop {
        let reply = diagnose::send(line.clone(), request.clone()).await?;
        let next = reply.next_steps.first().filter(|step| {
            let fresh = |id: &&String| !unknown.contains(*id);
            step.kind() == pb::StepKind::Check && step.reveals_findings.iter().any(|id| fresh(&id))
        });
        let Some(step) = next.cloned() else {
            return Ok(diagnose::page(&request.complaint, &reply).print()?);
        };
        say(&format!("{}\n\nCheck ({:.0} min): {}\n  {}\n", reply.message, step.minutes, step.title, step.why))?;
        for caution in &step.cautions {
            say(&format!("  ! {}: {}\n", caution.title, caution.text))?;
        }
        // The kind understood from the words stays the kind while answers come in.
        request.equipment = reply.equipment;
        for finding in &step.reveals_findings {
            let question = questions.get(finding).map_or(finding.as_str(), String::as_str);
            match question_answer(question)? {
                Answer::Yes => observe(&mut request, finding, true),
                Answer::No => observe(&mut request, finding, false),
                Answer::Unknown => unknown.push(finding.clone()),
                Answer::Quit => return Ok(diagnose::page(&request.complaint, &reply).print()?),
            }
        }
        say("\n")?;
    }
}

fn observe(request: &mut pb::DiagnoseRequest, finding: &str, present: bool) {
    request.observations.retain(|known| known.finding != finding);
    request.observations.push(pb::Observation { finding: finding.to_owned(), present });
}

fn say(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}

/// Asks until it is answered; the end of the input is a quit.
fn question_answer(question: &str) -> io::Result<Answer> {
    loop {
        say(&format!("{question} [y]es / [n]o / [u]nknown / [q]uit: "))?;
        let mut typed = String::new();
        if io::stdin().lock().read_line(&mut typed)? == 0 {
            return Ok(Answer::Quit);
        }
        match typed.trim().to_lowercase().as_str() {
            "y" | "yes" => return Ok(Answer::Yes),
            "n" | "no" => return Ok(Answer::No),
            "u" | "unknown" | "" => return Ok(Answer::Unknown),
            "q" | "quit" => return Ok(Answer::Quit),
            other => say(&format!("\"{other}\" is no answer; type y, n, u or q\n"))?,
        }
    }
}
