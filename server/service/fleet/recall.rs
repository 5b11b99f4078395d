//! `AskRecords`: a question to the records, and what they say. One pass over the records fills the
//! books and picks out what is meant.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use tonic::Status;

use super::books::{Scope, from_books, moment, read_each, unknown};
use super::rows::timestamp;
use crate::domain::catalogue::Knowledge;
use crate::domain::fleet::due::due;
use crate::domain::language::hearing::EXTENT;
use crate::domain::language::text::stem;
use crate::domain::limits;
use crate::domain::recall::answers::{Desk, answer, place};
use crate::domain::recall::sieve::{Sieve, Wanted};
use crate::domain::recall::work_words::work_terms;
use crate::domain::recall::{Answer, Asked, Query, Row};
use crate::domain::records::bounds::NAME_CHARACTERS_MAX;
use crate::domain::records::detail::Detail;
use crate::domain::records::{Record, SubjectName};
use crate::domain::wording::Wording;
use crate::index::{Pipeline, Titles, Ways, of_record};
use crate::pb;
use crate::service::Shop;
use crate::service::assistant::records_asked;
use crate::service::status::invalid;

/// Names that one question may be about.
const SUBJECTS_MAX: usize = 64;

pub async fn ask(
    shop: &Arc<Shop>,
    request: pb::AskRecordsRequest,
    words: Wording,
) -> Result<pb::AskRecordsResponse, Status> {
    let scope = Scope::of(&request.parent, request.as_of_time.as_ref())?;
    let query = query(&request, &shop.knowledge)?;
    let shop = Arc::clone(shop);
    from_books(move || {
        let pipeline = shop.pipeline.get_or_init(|| Pipeline::new(&shop.knowledge, Ways::ALL));
        let titles = Titles::new(&shop.knowledge);
        let mut ear = Ear { knowledge: &shop.knowledge, heard: HashMap::new() };
        let mut sieve = Sieve::new(&query, wanted(pipeline, &request.words));
        let mut records_read = 0;
        let books = read_each(&shop, &scope, |record| {
            records_read += 1;
            let terms = || {
                let document = of_record(record, &titles);
                let said = format!("{}. {}", document.title, document.body);
                pipeline.terms(&said).into_iter().map(|term| term.text).collect::<HashSet<_>>()
            };
            sieve.read(record, terms, || ear.shown(record));
        })?;
        for subject in &query.subjects {
            let machine = books.machines.iter().any(|machine| machine.name == *subject);
            let area = books.areas.iter().any(|area| area.name == *subject);
            if !machine && !area && books.unit(subject).is_none() {
                return Err(unknown(subject));
            }
        }
        let due = match query.asked {
            Asked::Ready => due(&books, &shop.knowledge.usual_intervals),
            _ => Vec::new(),
        };
        let title = |id: &str| {
            let procedure = titles.procedures.get(id);
            let title = titles.causes.get(id).or(procedure).map(|title| title.to_lowercase());
            title.unwrap_or_else(|| id.replace('_', " "))
        };
        let kept = sieve.kept();
        let desk = Desk { query: &query, kept, books: &books, due: &due, title: &title };
        let answer = answer(&desk);
        Ok(reply(&desk, answer, records_read, &words))
    })
    .await
}

fn query(request: &pb::AskRecordsRequest, knowledge: &Knowledge) -> Result<Query, Status> {
    limits::complaint(&request.words)
        .map_err(|(value, remedy)| invalid("words", &value, remedy))?;
    if request.subjects.len() > SUBJECTS_MAX {
        let value = format!("{} names", request.subjects.len());
        return Err(invalid("subjects", &value, &format!("give at most {SUBJECTS_MAX}")));
    }
    let count = request.done_by.chars().count();
    if count > NAME_CHARACTERS_MAX {
        let remedy = format!("a name has at most {NAME_CHARACTERS_MAX} characters");
        return Err(invalid("done_by", &format!("{count} characters"), &remedy));
    }
    let subjects = request.subjects.iter().map(|name| SubjectName::parse("subjects", name));
    let asked = asked(request.question)?;
    let from = moment("start_time", request.start_time.as_ref())?;
    let until = moment("end_time", request.end_time.as_ref())?;
    if let (Some(from), Some(until)) = (from, until)
        && until <= from
    {
        return Err(invalid("end_time", &until.to_string(), &format!("give a time after {from}")));
    }
    Ok(Query {
        asked,
        subjects: subjects.collect::<Result<_, _>>()?,
        from,
        until,
        done_by: request.done_by.trim().to_owned(),
        findings: findings(asked, &request.words, knowledge),
    })
}

fn asked(question: i32) -> Result<Asked, Status> {
    let known = pb::RecordsQuestion::try_from(question);
    let remedy = "use a value of sward.v1.RecordsQuestion";
    known.map(records_asked).map_err(|_| invalid("question", &question.to_string(), remedy))
}

/// What the words look for.
fn wanted(pipeline: &Pipeline, words: &str) -> Vec<Wanted> {
    let wanted = |concept: crate::index::Concept| {
        let mut terms: Vec<String> = concept.terms.into_iter().map(|(term, _)| term).collect();
        let work = work_terms(&stem(&concept.written.to_lowercase()));
        terms.extend(work.unwrap_or_default().iter().map(|term| (*term).to_owned()));
        let lap = terms.iter().any(|term| term == "backlap");
        let (written, part) = (concept.written, work.is_none());
        Wanted { written, terms, work: !part || lap, part }
    };
    pipeline.concepts(words).into_iter().map(wanted).collect()
}

/// The findings of a fault that is asked about.
fn findings(asked: Asked, words: &str, knowledge: &Knowledge) -> Vec<String> {
    if !matches!(asked, Asked::Cured | Asked::Held) {
        return Vec::new();
    }
    said(words, knowledge)
}

fn said(words: &str, knowledge: &Knowledge) -> Vec<String> {
    let heard = knowledge.ear.hear(&knowledge.ear.read(words)).heard;
    let there = heard.into_iter().filter(|heard| heard.present && !heard.implied);
    there.map(|heard| heard.finding).filter(|id| !EXTENT.contains(&id.as_str())).collect()
}

/// Hears what faults of records were, each wording once.
struct Ear<'a> {
    knowledge: &'a Knowledge,
    heard: HashMap<String, Vec<String>>,
}

impl Ear<'_> {
    /// The findings of a fault: those that were looked for, and those that were told.
    fn shown(&mut self, record: &Record) -> Vec<String> {
        let Detail::FaultFixed(fault) = &record.content.detail else { return Vec::new() };
        let seen = fault.observations.iter().filter(|one| one.present == Some(true));
        let mut shown: Vec<String> = seen.map(|one| one.finding.clone()).collect();
        let knowledge = self.knowledge;
        let told = self.heard.entry(fault.fault.clone());
        shown.extend_from_slice(told.or_insert_with(|| said(&fault.fault, knowledge)));
        shown
    }
}

fn reply(
    desk: &Desk,
    answer: Answer,
    records_read: u64,
    words: &Wording,
) -> pb::AskRecordsResponse {
    let say = |lines: Vec<String>| lines.iter().map(|line| words.say(line)).collect();
    let record = |row: &Row| {
        let record = &row.record;
        pb::RecalledRecord {
            record: record.name.to_string(),
            subject: record.name.subject.to_string(),
            subject_title: place(desk, &record.name.subject),
            time: Some(timestamp(record.time)),
            what: words.say(&row.what),
            done_by: record.content.done_by.clone(),
            duration_min: record.content.duration_min,
            machine_hours_h: record.content.machine_hours_h,
            remark: row.remark.clone(),
        }
    };
    pb::AskRecordsResponse {
        answer: say(answer.lines),
        records: answer.rows.iter().map(record).collect(),
        total_count: i64::try_from(answer.total).unwrap_or(i64::MAX),
        notes: say(answer.notes),
        records_read,
    }
}
