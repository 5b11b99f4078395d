//! What an interpretation means for a turn: reads, writes, jobs, and what is to be asked.

use crate::domain::conversation::decide::{Choice, Meaning, Sense};
use crate::domain::conversation::follow_up::HeardNumber;
use crate::domain::conversation::in_turn::COMPLAINT;
use crate::pb;
use crate::pb::CommandKind;
use crate::pb::command::Request as Command;

/// Said better by `not_known`.
const NOT_IN_THE_SHOP: &str = "not_in_the_shop";

pub fn of(heard: &pb::InterpretResponse, words: &str) -> Meaning<Command> {
    let command = heard.command.as_ref().and_then(|command| command.request.clone());
    let choice = |other: &pb::Alternative| {
        let command = other.command.as_ref().and_then(|command| command.request.clone())?;
        let sense = sense(other.kind(), Some(command), words);
        Some(Choice { understood: other.understood.clone(), sense })
    };
    Meaning {
        sense: sense(heard.kind(), command, words),
        understood: heard.understood.clone(),
        missing: super::say::still_needed(&heard.missing),
        alternatives: heard.alternatives.iter().filter_map(choice).collect(),
        numbers: heard.quantities.iter().filter_map(number).collect(),
        unheard: heard.unheard.clone(),
        assumed: assumed(heard),
        cautions: heard.cautions.iter().map(|caution| caution.id.clone()).collect(),
        subject: heard.subject.clone(),
        topic: heard.topic.clone(),
        kind: heard.command.as_ref().map(kind).unwrap_or_default(),
    }
}

/// The kind of record that a command would store; of several, that of each.
fn kind(command: &pb::Command) -> String {
    let of = |request: &pb::CreateRecordRequest| {
        request.record.as_ref().map_or("record", super::say::kind)
    };
    match &command.request {
        Some(Command::CreateRecord(request)) => of(request).to_owned(),
        Some(Command::BatchCreateRecords(batch)) => {
            batch.requests.iter().map(of).collect::<Vec<_>>().join(", ")
        }
        Some(Command::Diagnose(_)) => COMPLAINT.to_owned(),
        _ => String::new(),
    }
}

fn sense(kind: CommandKind, command: Option<Command>, words: &str) -> Sense<Command> {
    match (kind, command) {
        (CommandKind::Refused, _) => Sense::Refused,
        (CommandKind::OutOfScope, _) => Sense::OutOfScope,
        (_, Some(Command::GetProcedure(asked))) if !wants_it_whole(words) => {
            Sense::Walk(asked.procedure)
        }
        (_, Some(command @ (Command::CreateRecord(_) | Command::BatchCreateRecords(_)))) => {
            Sense::Write(command)
        }
        (kind, Some(command)) => {
            let question = matches!(
                command,
                Command::AskRecords(_)
                    | Command::ListDue(_)
                    | Command::GetReport(_)
                    | Command::GetSettingCard(_)
            );
            Sense::Read { command, calculation: kind == CommandKind::Compute, question }
        }
        (_, None) => Sense::Unclear,
    }
}

/// "Show all the steps of" asks for a page, not for a walk.
fn wants_it_whole(words: &str) -> bool {
    let lower = words.to_lowercase();
    ["all the steps", "all steps", "whole procedure", "in full", "print "]
        .iter()
        .any(|sign| lower.contains(sign))
}

fn number(heard: &pb::HeardQuantity) -> Option<HeardNumber> {
    if heard.field.is_empty() {
        return None;
    }
    let meant = heard.field.rsplit('.').next().unwrap_or_default().replace('_', " ");
    Some(HeardNumber {
        text: heard.text.clone(),
        unit: heard.unit.clone(),
        start: heard.span_start as usize,
        end: heard.span_end as usize,
        meant,
        value: heard.field_value,
    })
}

/// What to do about names that are not known comes first, then doubts and assumptions.
fn assumed(heard: &pb::InterpretResponse) -> Vec<String> {
    let told = heard.advisories.iter().filter(|advisory| advisory.id != NOT_IN_THE_SHOP);
    let mut lines: Vec<String> = heard.new_subjects.iter().map(not_known).collect();
    for advisory in told {
        if !lines.contains(&advisory.text) {
            lines.push(advisory.text.clone());
        }
    }
    lines
}

/// A machine, unit or area has to be there before something is recorded about it.
fn not_known(new: &pb::NewSubject) -> String {
    let how = match new.name.split('/').collect::<Vec<_>>()[..] {
        [.., "machines", machine, "units", _] => {
            format!("sward add unit {machine} \"{}\"", new.display_name)
        }
        [.., "areas", _] => format!("sward add area \"{}\"", new.display_name),
        _ => format!("sward add machine \"{}\"", new.display_name),
    };
    format!("\"{}\" is not known here yet; {how} adds it", new.display_name)
}
