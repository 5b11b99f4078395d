//! How does a command stand in the contract, and which calculation does a message of it hold?
//! Fields are set by their names, so that a calculation added to the contract needs nothing here.

use jiff::ZonedDateTime;
use tonic::Status;
use prost_reflect::{DynamicMessage, FieldDescriptor, Kind, ReflectMessage, Value as Wire};

use crate::domain::intent::filled::{Filled, Value};
use crate::domain::intent::again::Before;
use crate::domain::intent::asked_of_wear::{COST_RATE, MOST_LEFT, WEAR_RATE};
use crate::domain::intent::fleet::{Asked, PARTS, Part, several};
use crate::domain::intent::past::Past;
use crate::domain::intent::{Command, Question};
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{Content, Id, SubjectKind, SubjectName};
use crate::pb;
use crate::pb::command::Request;
use crate::service::records::wire::{dynamic, empty, record_said, typed};
use crate::service::speech::equipment;

/// Hits looked through for the reason of something: notes may stand behind many procedures.
const WHY_HITS: i32 = 40;

/// The command as a message; none when there is no command. `before`: the complaint that is being
/// looked into.
pub fn message(
    command: &Command,
    question: &Question,
    before: Option<&pb::DiagnoseRequest>,
) -> Option<pb::Command> {
    let kind = || question.equipment.map_or(pb::Equipment::Unspecified, equipment).into();
    let request = match command {
        Command::None => return None,
        Command::Compute { calculation, filled, .. } => return computed(calculation, filled),
        Command::Diagnose { complaint, unit, equipment: kind, further } => {
            let known = before.filter(|_| *further).cloned().unwrap_or_default();
            let kind = kind.map(equipment).map_or(known.equipment, Into::into);
            Request::Diagnose(pb::DiagnoseRequest {
                complaint: complaint.clone(),
                equipment: kind,
                unit: unit.as_ref().map(ToString::to_string).unwrap_or_default(),
                ..known
            })
        }
        Command::Record { records, time } => recorded(records, time.as_ref()),
        Command::Search { query, subject, start, end } => Request::Search(pb::SearchRequest {
            query: query.clone(),
            subject: subject.as_ref().map(ToString::to_string).unwrap_or_default(),
            start_time: start.as_ref().map(timestamp_of),
            end_time: end.as_ref().map(timestamp_of),
            ..pb::SearchRequest::default()
        }),
        Command::Why(query) => Request::Search(pb::SearchRequest {
            query: query.clone(),
            kinds: vec![pb::HitKind::Note.into(), pb::HitKind::Procedure.into()],
            page_size: WHY_HITS,
            ..pb::SearchRequest::default()
        }),
        Command::Fleet(asked) => fleet(asked, &question.site),
        Command::Past(past) => Request::AskRecords(pb::AskRecordsRequest {
            parent: format!("sites/{}", question.site),
            subjects: past.subjects.iter().map(ToString::to_string).collect(),
            question: records_question(past.asked).into(),
            words: past.words.clone(),
            start_time: past.start.as_ref().map(timestamp_of),
            end_time: past.end.as_ref().map(timestamp_of),
            people: past.people.clone(),
            spans: past.spans.iter().map(span).collect(),
            by: past.by.map_or(pb::RecordsBy::Unspecified, records_by).into(),
            passed_over: i32::try_from(past.passed_over).unwrap_or_default(),
            findings: past.findings.clone(),
            records: if past.of_told { past.told.clone() } else { Vec::new() },
            ..pb::AskRecordsRequest::default()
        }),
        Command::Procedure(procedure) => {
            Request::GetProcedure(pb::GetProcedureRequest { procedure: procedure.clone() })
        }
        Command::Procedures => {
            Request::ListProcedures(pb::ListProceduresRequest { equipment: kind() })
        }
        Command::Findings => Request::ListFindings(pb::ListFindingsRequest { equipment: kind() }),
        Command::Causes => Request::ListCauses(pb::ListCausesRequest { equipment: kind() }),
        Command::Cautions => Request::ListCautions(pb::ListCautionsRequest {}),
    };
    Some(pb::Command { request: Some(request) })
}

/// A question to the records, as it was asked. `topic`: what came with it.
pub fn question(request: &Request, topic: &str) -> Result<Option<Before>, Status> {
    let zoned = |time: &Option<prost_types::Timestamp>| {
        let time = time.as_ref().and_then(|time| jiff::Timestamp::from_second(time.seconds).ok());
        time.map(|time| time.to_zoned_datetime(jiff::tz::TimeZone::UTC))
    };
    let subject = |name: &str| -> Result<Option<SubjectName>, Status> {
        let name = match name {
            "" => return Ok(None),
            name => SubjectName::parse("context.question", name)?,
        };
        Ok(Some(name).filter(|name| name.kind() != SubjectKind::Site))
    };
    let (topic, names) = several(topic);
    let others = names.into_iter().map(|name| SubjectName::parse("context.question", name));
    let others: Vec<SubjectName> = others.collect::<Result<_, _>>()?;
    let of_topic = |fallback: Part| {
        let named = PARTS.iter().find(|(_, id, _)| *id == topic);
        match topic {
            WEAR_RATE | MOST_LEFT => Part::Wear,
            COST_RATE => Part::Costs,
            _ => named.map_or(fallback, |(part, ..)| *part),
        }
    };
    let words = topic.split_once(':').map_or("", |(_, words)| words).to_owned();
    let whole = |part, name: &str, start, end, within_h| -> Result<Option<Before>, Status> {
        let (subject, machine, words) = (subject(name)?, None, words.clone());
        let others = others.clone();
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        Ok(Some(Before::Whole(asked)))
    };
    match request {
        Request::AskRecords(asked) => {
            let subjects = asked.subjects.iter().map(|name| {
                SubjectName::parse("context.question.subjects", name)
            });
            Ok(Some(Before::Single(Past {
                asked: records_asked(asked.question()),
                subjects: subjects.collect::<Result<_, _>>()?,
                words: asked.words.clone(),
                start: zoned(&asked.start_time),
                end: zoned(&asked.end_time),
                people: asked.people.clone(),
                spans: asked
                    .spans
                    .iter()
                    .map(|span| (zoned(&span.start_time), zoned(&span.end_time)))
                    .collect(),
                by: records_told_by(asked.by()),
                passed_over: usize::try_from(asked.passed_over).unwrap_or_default(),
                findings: asked.findings.clone(),
                told: asked.records.clone(),
                of_told: false,
            })))
        }
        Request::ListDue(asked) => whole(Part::Due, &asked.parent, None, None, asked.within_h),
        Request::GetReport(asked) => {
            let (start, end) = (zoned(&asked.start_time), zoned(&asked.end_time));
            whole(of_topic(Part::Standing), &asked.parent, start, end, None)
        }
        Request::GetSettingCard(asked) => whole(Part::Card, &asked.name, None, None, None),
        _ => Ok(None),
    }
}

/// What a question of the contract asks.
pub fn records_asked(question: pb::RecordsQuestion) -> Single {
    match question {
        pb::RecordsQuestion::Last => Single::Last,
        pb::RecordsQuestion::Count => Single::Count,
        pb::RecordsQuestion::Unspecified | pb::RecordsQuestion::History => Single::History,
        pb::RecordsQuestion::Cured => Single::Cured,
        pb::RecordsQuestion::Held => Single::Held,
        pb::RecordsQuestion::Took => Single::Took,
        pb::RecordsQuestion::Hours => Single::Hours,
        pb::RecordsQuestion::Height => Single::Height,
        pb::RecordsQuestion::Never => Single::Never,
        pb::RecordsQuestion::Ready => Single::Ready,
        pb::RecordsQuestion::Life => Single::Life,
        pb::RecordsQuestion::Labour => Single::Labour,
        pb::RecordsQuestion::Between => Single::Between,
        pb::RecordsQuestion::Longest => Single::Longest,
        pb::RecordsQuestion::Summary => Single::Summary,
        pb::RecordsQuestion::Order => Single::Order,
        pb::RecordsQuestion::Nobody => Single::Nobody,
        pb::RecordsQuestion::Off => Single::Off,
    }
}

fn records_question(asked: Single) -> pb::RecordsQuestion {
    match asked {
        Single::Last => pb::RecordsQuestion::Last,
        Single::Count => pb::RecordsQuestion::Count,
        Single::History => pb::RecordsQuestion::History,
        Single::Cured => pb::RecordsQuestion::Cured,
        Single::Held => pb::RecordsQuestion::Held,
        Single::Took => pb::RecordsQuestion::Took,
        Single::Hours => pb::RecordsQuestion::Hours,
        Single::Height => pb::RecordsQuestion::Height,
        Single::Never => pb::RecordsQuestion::Never,
        Single::Ready => pb::RecordsQuestion::Ready,
        Single::Life => pb::RecordsQuestion::Life,
        Single::Labour => pb::RecordsQuestion::Labour,
        Single::Between => pb::RecordsQuestion::Between,
        Single::Longest => pb::RecordsQuestion::Longest,
        Single::Summary => pb::RecordsQuestion::Summary,
        Single::Order => pb::RecordsQuestion::Order,
        Single::Nobody => pb::RecordsQuestion::Nobody,
        Single::Off => pb::RecordsQuestion::Off,
    }
}

/// By what the contract tells records apart.
pub fn records_told_by(by: pb::RecordsBy) -> Option<By> {
    match by {
        pb::RecordsBy::Unspecified => None,
        pb::RecordsBy::Machine => Some(By::Machine),
        pb::RecordsBy::Unit => Some(By::Unit),
        pb::RecordsBy::Person => Some(By::Person),
        pb::RecordsBy::Month => Some(By::Month),
        pb::RecordsBy::Cause => Some(By::Cause),
    }
}

fn records_by(by: By) -> pb::RecordsBy {
    match by {
        By::Machine => pb::RecordsBy::Machine,
        By::Unit => pb::RecordsBy::Unit,
        By::Person => pb::RecordsBy::Person,
        By::Month => pb::RecordsBy::Month,
        By::Cause => pb::RecordsBy::Cause,
    }
}

fn span((start, end): &(Option<ZonedDateTime>, Option<ZonedDateTime>)) -> pb::RecordsSpan {
    let moment = |time: &Option<ZonedDateTime>| time.as_ref().map(timestamp_of);
    pb::RecordsSpan { start_time: moment(start), end_time: moment(end) }
}

/// A question to the records as a whole.
fn fleet(asked: &Asked, site: &Id) -> Request {
    let name = |name: &Option<SubjectName>| name.as_ref().map(ToString::to_string);
    let parent = name(&asked.subject).unwrap_or_else(|| format!("sites/{site}"));
    let report = |kind: pb::ReportKind| {
        Request::GetReport(pb::GetReportRequest {
            kind: kind.into(),
            parent: parent.clone(),
            start_time: asked.start.as_ref().map(timestamp_of),
            end_time: asked.end.as_ref().map(timestamp_of),
            ..pb::GetReportRequest::default()
        })
    };
    match asked.part {
        Part::Due => Request::ListDue(pb::ListDueRequest {
            parent,
            within_h: asked.within_h,
            ..pb::ListDueRequest::default()
        }),
        Part::Card => Request::GetSettingCard(pb::GetSettingCardRequest {
            name: name(&asked.subject).unwrap_or_default(),
            ..pb::GetSettingCardRequest::default()
        }),
        Part::Heights => Request::PlanHeights(pb::PlanHeightsRequest {
            name: name(&asked.subject).unwrap_or_default(),
            machine: name(&asked.machine).unwrap_or_default(),
            ..pb::PlanHeightsRequest::default()
        }),
        Part::Single(_)
        | Part::Standing
        | Part::Wear
        | Part::Faults
        | Part::Remedies
        | Part::Costs => {
            report(pb::ReportKind::Unspecified)
        }
    }
}

/// A moment on the wire, to the second.
pub fn timestamp_of(time: &ZonedDateTime) -> prost_types::Timestamp {
    prost_types::Timestamp { seconds: time.timestamp().as_second(), nanos: 0 }
}

fn recorded(records: &[(SubjectName, Content)], time: Option<&ZonedDateTime>) -> Request {
    let request = |(subject, content): &(SubjectName, Content)| pb::CreateRecordRequest {
        parent: subject.to_string(),
        record: Some(pb::Record { time: time.map(timestamp_of), ..record_said(content) }),
        request_id: String::new(),
    };
    match records {
        [only] => Request::CreateRecord(request(only)),
        several => Request::BatchCreateRecords(pb::BatchCreateRecordsRequest {
            requests: several.iter().map(request).collect(),
        }),
    }
}

fn computed(calculation: &str, filled: &Filled) -> Option<pb::Command> {
    let mut command = empty("Command");
    let field = command.descriptor().get_field_by_name(calculation)?;
    let Kind::Message(of) = field.kind() else { return None };
    let mut request = DynamicMessage::new(of);
    fill(&mut request, filled);
    command.set_field(&field, Wire::Message(request));
    Some(typed(&command))
}

fn fill(message: &mut DynamicMessage, filled: &Filled) {
    for (name, value) in &filled.0 {
        let Some(field) = message.descriptor().get_field_by_name(name) else { continue };
        if let Some(value) = wire(&field, value) {
            message.set_field(&field, value);
        }
    }
}

fn wire(field: &FieldDescriptor, value: &Value) -> Option<Wire> {
    match (value, field.kind()) {
        (Value::Number(number), Kind::Double) if !field.is_list() => Some(Wire::F64(*number)),
        (Value::Number(number), Kind::Int32) if !field.is_list() => whole(*number).map(Wire::I32),
        (Value::Number(number), Kind::Double) => Some(Wire::List(vec![Wire::F64(*number)])),
        (Value::Text(text), Kind::String) => Some(Wire::String(text.clone())),
        (Value::Numbers(list), Kind::Double) if field.is_list() => {
            Some(Wire::List(list.iter().map(|number| Wire::F64(*number)).collect()))
        }
        (Value::Rows(rows), Kind::Message(of)) if field.is_list() => {
            let row = |row: &Filled| {
                let mut message = DynamicMessage::new(of.clone());
                fill(&mut message, row);
                Wire::Message(message)
            };
            Some(Wire::List(rows.iter().map(row).collect()))
        }
        _ => None,
    }
}

fn whole(number: f64) -> Option<i32> {
    let inside = number.fract() == 0.0 && number.abs() < f64::from(i32::MAX);
    inside.then_some(number as i32)
}

/// The calculation that a command holds, with its fields.
pub fn calculation(command: &pb::Command) -> Option<(String, Filled)> {
    let command = dynamic("Command", command);
    let (field, value) = command.fields().next()?;
    let Wire::Message(request) = value else { return None };
    let settings = field
        .kind()
        .as_message()
        .is_some_and(|of| of.parent_file().name().ends_with("settings.proto"));
    settings.then(|| (field.name().to_owned(), unfilled(request)))
}

fn unfilled(message: &DynamicMessage) -> Filled {
    let mut out = Filled::default();
    for (field, value) in message.fields() {
        let value = match value {
            Wire::F64(number) => Value::Number(*number),
            Wire::I32(number) => Value::Number(f64::from(*number)),
            Wire::String(text) => Value::Text(text.clone()),
            Wire::List(list) => many(list),
            _ => continue,
        };
        out.set(field.name(), value);
    }
    out
}

fn many(list: &[Wire]) -> Value {
    let rows: Vec<Filled> = list
        .iter()
        .filter_map(|value| match value {
            Wire::Message(row) => Some(unfilled(row)),
            _ => None,
        })
        .collect();
    if !rows.is_empty() {
        return Value::Rows(rows);
    }
    Value::Numbers(list.iter().filter_map(Wire::as_f64).collect())
}
