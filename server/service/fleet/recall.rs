//! `AskRecords`: a question to the records, and what they say. One pass over the records fills the
//! books and picks out what is meant.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use tonic::Status;

use super::books::{Scope, from_books, moment, read_each, unknown};
use super::rows::timestamp;
use crate::domain::catalogue::Knowledge;
use crate::domain::fleet::Books;
use crate::domain::fleet::due::due;
use crate::domain::fleet::parts::Family;
use crate::domain::language::hearing::EXTENT;
use crate::domain::limits;
use crate::domain::recall::answers::{Desk, answer, line, place};
use crate::domain::recall::cause_words::causes_named;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::side_by_side::side_by_side;
use crate::domain::recall::sieve::{Kept, Sieve, Wanted};
use crate::domain::recall::work_words::{is_of_the_trade, work};
use crate::domain::recall::{Answer, Asked, Query, Row, day};
use crate::domain::records::bounds::NAME_CHARACTERS_MAX;
use crate::domain::records::choices::{Choice as _, HeightMethod};
use crate::domain::records::detail::Detail;
use crate::domain::records::{Moment, Record, RecordName, SubjectKind, SubjectName};
use crate::domain::wording::{Wording, upper_first};
use crate::index::{Pipeline, Titles, Ways, of_record};
use crate::pb;
use crate::service::Shop;
use crate::service::assistant::{records_asked, records_told_by};
use crate::service::status::invalid;

/// Names that one question may be about.
const SUBJECTS_MAX: usize = 64;
/// People, or stretches of time, answered beside each other.
const SIDES_MAX: usize = 8;
const PASSED_OVER_MAX: usize = 1_000;
const FINDINGS_MAX: usize = 64;
const RECORDS_MAX: usize = 200;
/// The caution that names the limits of a stop, and rows among which a stop is looked for.
const BLADE_STOP: &str = "watch_blade_stop";
const STOPS_SHOWN: usize = 2;
/// Of more people not all are told.
const PEOPLE_TOLD_MAX: usize = 12;
/// Words for a height of cut.
const HEIGHT: &[&str] = &["height", "heights", "hoc", "bench"];

pub async fn ask(
    shop: &Arc<Shop>,
    request: pb::AskRecordsRequest,
    words: Wording,
) -> Result<pb::AskRecordsResponse, Status> {
    let scope = Scope::of(&request.parent, request.as_of_time.as_ref())?;
    let query = query(&request, &shop.knowledge)?;
    let sides = sides(&request, &query)?;
    let shop = Arc::clone(shop);
    from_books(move || {
        let pipeline = shop.pipeline.get_or_init(|| Pipeline::new(&shop.knowledge, Ways::ALL));
        let titles = Titles::new(&shop.knowledge);
        let mut ear = Ear { knowledge: &shop.knowledge, heard: HashMap::new() };
        let wanted = match request.findings.is_empty() {
            _ if !request.records.is_empty() => Vec::new(),
            true => wanted(pipeline, &shop.knowledge, &query, &request.words),
            false => vec![shows(&shop.knowledge, &request.findings)],
        };
        let wider = wider(&sides, &request);
        let at_any_time = at_any_time(&sides);
        let all = sides.iter().chain(&wider).chain(&at_any_time);
        let mut sieves: Vec<Sieve> =
            all.map(|side| Sieve::new(&side.query, wanted.clone())).collect();
        let terms_of = |text: &str| {
            pipeline.terms(text).into_iter().map(|term| term.text).collect::<HashSet<_>>()
        };
        let mut records_read = 0;
        let mut people: BTreeSet<String> = BTreeSet::new();
        let books = read_each(&shop, &scope, |record| {
            records_read += 1;
            if !people.contains(&record.content.done_by) {
                people.insert(record.content.done_by.clone());
            }
            for sieve in &mut sieves {
                let terms = || {
                    let document = of_record(record, &titles);
                    terms_of(&format!("{}. {}", document.title, document.body))
                };
                sieve.read(record, terms, || ear.shown(record), terms_of);
            }
        })?;
        all_known(&books, &query.subjects)?;
        let needs_due = matches!(
            query.asked,
            Asked::Ready | Asked::Order | Asked::Summary | Asked::Life
        );
        let usual = &shop.knowledge.usual_intervals;
        let due = if needs_due { due(&books, usual) } else { Vec::new() };
        let title = |id: &str| title_of(&titles, id);
        let kept = sieves.into_iter().map(Sieve::kept);
        let asked = sides.iter().chain(&wider).chain(&at_any_time);
        let mut all: Vec<(&Side, Kept)> = asked.zip(kept).collect();
        let before = all.split_off(sides.len() + wider.len()).pop();
        let of_wider = all.split_off(sides.len());
        let none = all.iter().all(|(_, kept)| kept.total == 0);
        let elsewhere = of_wider.into_iter().find(|(_, kept)| none && kept.total > 0);
        let widened = elsewhere.is_some();
        all = elsewhere.map_or(all, |found| vec![found]);
        let mut each = Vec::new();
        for (side, kept) in all {
            let query = &side.query;
            let desk = Desk { query, kept, books: &books, due: &due, title: &title };
            let name = match (&side.name[..], &query.subjects[..]) {
                ("", [only]) => place(&desk, only),
                (name, _) => name.to_owned(),
            };
            let told = stranger(&query.done_by, &people).unwrap_or_else(|| answer(&desk));
            each.push((name, told));
        }
        let where_ = each.first().map(|(name, _)| name.clone()).unwrap_or_default();
        let mut told = match each.len() {
            1 => each.pop().map(|(_, answer)| answer).unwrap_or_default(),
            _ => side_by_side(query.asked, each),
        };
        if let Some((side, kept)) = before.filter(|_| none && !widened) {
            let desk = Desk { query: &side.query, kept, books: &books, due: &due, title: &title };
            told.lines.extend(desk.kept.records.first().map(|newest| {
                format!("The last before that: {}.", line(&desk, newest))
            }));
        }
        told.notes.extend(stop_limits(&shop.knowledge, &told.rows));
        let kept = Kept::default();
        let desk = Desk { query: &query, kept, books: &books, due: &due, title: &title };
        if let (true, [only]) = (widened, &query.subjects[..]) {
            let line = format!("Never written of {}; this is of {where_}:", place(&desk, only));
            told.lines.insert(0, line);
        }
        Ok(reply(&desk, told, records_read, &words))
    })
    .await
}

/// What the catalogue calls a cause or job, in small letters.
fn title_of(titles: &Titles, id: &str) -> String {
    let title = titles.causes.get(id).or(titles.procedures.get(id));
    title.map_or_else(|| id.replace('_', " "), |title| title.to_lowercase())
}

/// What is said when nobody of that name ever did anything here; no figure of others.
fn stranger(person: &str, people: &BTreeSet<String>) -> Option<Answer> {
    let is = |known: &String| known.eq_ignore_ascii_case(person);
    if person.is_empty() || people.iter().any(is) {
        return None;
    }
    let known = people.iter().filter(|known| !known.is_empty());
    let known: Vec<&str> = known.take(PEOPLE_TOLD_MAX).map(String::as_str).collect();
    let there = match known.len() {
        0 => "nobody is named in them".to_owned(),
        _ => format!("there are {}", known.join(", ")),
    };
    let line = format!("No {} in the records; {there}.", upper_first(person));
    Some(Answer { lines: vec![line], ..Answer::default() })
}

/// Beside a time that blades took to stop: the limits, as the caution tells them.
fn stop_limits(knowledge: &Knowledge, rows: &[Row]) -> Option<String> {
    let timed = |row: &Row| match &row.record.content.detail {
        Detail::Inspection(seen) => seen.blade_stop_time_s.is_some(),
        _ => false,
    };
    let latest = !rows.is_empty() && rows.iter().take(STOPS_SHOWN).all(timed);
    let caution = knowledge.caution(BLADE_STOP).filter(|_| latest)?;
    Some(caution.text.clone())
}

/// Faults that show one of these findings are looked for.
fn shows(knowledge: &Knowledge, findings: &[String]) -> Wanted {
    let title = |id: &String| {
        let row = knowledge.finding(id);
        row.map_or_else(|| id.replace('_', " "), |row| row.title.to_lowercase())
    };
    let titles: Vec<String> = findings.iter().map(title).collect();
    let written = titles.join(" or ");
    Wanted { written, terms: Vec::new(), deed: None, part: false, trade: true }
}

fn all_known(books: &Books, subjects: &[SubjectName]) -> Result<(), Status> {
    for subject in subjects {
        let machine = books.machines.iter().any(|machine| machine.name == *subject);
        let area = books.areas.iter().any(|area| area.name == *subject);
        if !machine && !area && books.unit(subject).is_none() {
            return Err(unknown(subject));
        }
    }
    Ok(())
}

/// One of those that are answered beside each other.
struct Side {
    /// Empty: that of its one subject.
    name: String,
    query: Query,
}

/// Where else the signs of a complaint are looked for when its unit never showed them: on its
/// machine, then in the whole shop.
fn wider(sides: &[Side], request: &pb::AskRecordsRequest) -> Vec<Side> {
    let [only] = sides else { return Vec::new() };
    let [subject] = &only.query.subjects[..] else { return Vec::new() };
    // Hours and the longest of others are no answer.
    let figure = matches!(only.query.asked, Asked::Labour | Asked::Longest);
    if request.findings.is_empty() || !request.records.is_empty() || figure {
        return Vec::new();
    }
    let machine = (subject.kind() == SubjectKind::Unit).then(|| subject.holder()).flatten();
    let of = |subjects: Vec<SubjectName>, name: &str| Side {
        name: name.to_owned(),
        query: Query { subjects, ..only.query.clone() },
    };
    let machine = machine.map(|machine| of(vec![machine], ""));
    machine.into_iter().chain([of(Vec::new(), "the whole shop")]).collect()
}

/// What is looked for at any time, to tell the last of it when nothing is of the days asked about.
fn at_any_time(sides: &[Side]) -> Vec<Side> {
    let [only] = sides else { return Vec::new() };
    let asked = matches!(
        only.query.asked,
        Asked::Last | Asked::History | Asked::Count | Asked::Nobody
    );
    let days = only.query.from.is_some() || only.query.until.is_some();
    let query = Query { from: None, until: only.query.from, ..only.query.clone() };
    let worth = asked && days && query.until.is_some() && query.by.is_none();
    let worth = worth && only.query.records.is_empty();
    worth.then(|| Side { name: String::new(), query }).into_iter().collect()
}

/// The question for each person, stretch of time or subject that stands beside others.
fn sides(request: &pb::AskRecordsRequest, query: &Query) -> Result<Vec<Side>, Status> {
    for (field, count) in [("people", request.people.len()), ("spans", request.spans.len())] {
        if count > SIDES_MAX {
            return Err(invalid(field, &count.to_string(), &format!("give at most {SIDES_MAX}")));
        }
    }
    let mut sides = vec![Side { name: String::new(), query: query.clone() }];
    // Records that are named are answered as one.
    if !request.records.is_empty() {
        return Ok(sides);
    }
    let apart = matches!(
        query.asked,
        Asked::Height | Asked::Labour | Asked::Took | Asked::Life | Asked::Between | Asked::Summary
            | Asked::Hours | Asked::Count
    );
    if apart && (2..=SIDES_MAX).contains(&query.subjects.len()) && query.by.is_none() {
        let of = |subject: &SubjectName| Side {
            name: String::new(),
            query: Query { subjects: vec![subject.clone()], ..query.clone() },
        };
        sides = query.subjects.iter().map(of).collect();
    }
    if !request.people.is_empty() {
        for person in &request.people {
            checked_name("people", person)?;
        }
        sides = cross(&sides, &request.people, |side, person| Side {
            name: joined(&side.name, person),
            query: Query { done_by: person.trim().to_owned(), ..side.query.clone() },
        });
    }
    if !request.spans.is_empty() {
        let mut spans = Vec::new();
        for span in &request.spans {
            let from = moment("spans.start_time", span.start_time.as_ref())?;
            let until = moment("spans.end_time", span.end_time.as_ref())?;
            spans.push((from, until));
        }
        sides = cross(&sides, &spans, |side, (from, until)| Side {
            name: joined(&side.name, &span_name(*from, *until)),
            query: Query { from: *from, until: *until, ..side.query.clone() },
        });
    }
    Ok(sides)
}

fn cross<T>(sides: &[Side], all: &[T], made: impl Fn(&Side, &T) -> Side) -> Vec<Side> {
    sides.iter().flat_map(|side| all.iter().map(|one| made(side, one))).collect()
}

fn joined(name: &str, more: &str) -> String {
    if name.is_empty() { more.to_owned() } else { format!("{name}, {more}") }
}

/// "2025" for a whole year, else its first and last day.
fn span_name(from: Option<Moment>, until: Option<Moment>) -> String {
    let first = from.map_or_else(|| "the first record".to_owned(), day);
    let last = until.map_or_else(|| "now".to_owned(), |until| day(until.plus_seconds(-1)));
    match (first.strip_prefix("1 Jan "), last.strip_prefix("31 Dec ")) {
        (Some(year), Some(same)) if year == same => year.to_owned(),
        _ => format!("{first} to {last}"),
    }
}

fn checked_name(field: &str, name: &str) -> Result<(), Status> {
    let count = name.chars().count();
    if count > NAME_CHARACTERS_MAX {
        let remedy = format!("a name has at most {NAME_CHARACTERS_MAX} characters");
        return Err(invalid(field, &format!("{count} characters"), &remedy));
    }
    Ok(())
}

fn query(request: &pb::AskRecordsRequest, knowledge: &Knowledge) -> Result<Query, Status> {
    limits::complaint(&request.words)
        .map_err(|(value, remedy)| invalid("words", &value, remedy))?;
    if request.subjects.len() > SUBJECTS_MAX {
        let value = format!("{} names", request.subjects.len());
        return Err(invalid("subjects", &value, &format!("give at most {SUBJECTS_MAX}")));
    }
    checked_name("done_by", &request.done_by)?;
    if request.findings.len() > FINDINGS_MAX {
        let value = format!("{} ids", request.findings.len());
        return Err(invalid("findings", &value, &format!("give at most {FINDINGS_MAX}")));
    }
    for id in &request.findings {
        checked_name("findings", id)?;
    }
    if request.records.len() > RECORDS_MAX {
        let value = format!("{} names", request.records.len());
        return Err(invalid("records", &value, &format!("give at most {RECORDS_MAX}")));
    }
    let records = request.records.iter().map(|name| RecordName::parse("records", name));
    let subjects = request.subjects.iter().map(|name| SubjectName::parse("subjects", name));
    let asked = asked(request.question)?;
    let from = moment("start_time", request.start_time.as_ref())?;
    let until = moment("end_time", request.end_time.as_ref())?;
    if let (Some(from), Some(until)) = (from, until)
        && until <= from
    {
        return Err(invalid("end_time", &until.to_string(), &format!("give a time after {from}")));
    }
    let by = pb::RecordsBy::try_from(request.by)
        .map_err(|_| invalid("by", &request.by.to_string(), "use a value of sward.v1.RecordsBy"))?;
    let passed_over = usize::try_from(request.passed_over).ok();
    let passed_over = passed_over.filter(|over| *over <= PASSED_OVER_MAX).ok_or_else(|| {
        let remedy = format!("give 0 to {PASSED_OVER_MAX}");
        invalid("passed_over", &request.passed_over.to_string(), &remedy)
    })?;
    Ok(Query {
        asked,
        subjects: subjects.collect::<Result<_, _>>()?,
        from,
        until,
        done_by: request.done_by.trim().to_owned(),
        findings: match request.findings.is_empty() {
            _ if !request.records.is_empty() => Vec::new(),
            true => findings(asked, &request.words, knowledge),
            false => request.findings.clone(),
        },
        causes: if request.records.is_empty() { causes(&request.words) } else { Vec::new() },
        by: records_told_by(by),
        passed_over,
        records: records.collect::<Result<_, _>>()?,
    })
}

fn asked(question: i32) -> Result<Asked, Status> {
    let known = pb::RecordsQuestion::try_from(question);
    let remedy = "use a value of sward.v1.RecordsQuestion";
    known.map(records_asked).map_err(|_| invalid("question", &question.to_string(), remedy))
}

/// What the words look for.
fn wanted(
    pipeline: &Pipeline,
    knowledge: &Knowledge,
    query: &Query,
    words: &str,
) -> Vec<Wanted> {
    // A height that is asked about is any height of that machine, unless it is one on the turf.
    if query.asked == Asked::Height && words != HeightMethod::Prism.id() {
        return Vec::new();
    }
    let wanted = |concept: crate::index::Concept| {
        let mut terms: Vec<String> = concept.terms.into_iter().map(|(term, _)| term).collect();
        let lower = concept.written.to_lowercase();
        let work = work(&lower);
        let (more, deed) = work.unwrap_or_default();
        terms.extend(more.iter().map(|term| (*term).to_owned()));
        let trade = is_of_the_trade(knowledge, &lower);
        Wanted { written: concept.written, terms, deed, part: work.is_none(), trade }
    };
    let mut all: Vec<Wanted> = pipeline.concepts(words).into_iter().map(wanted).collect();
    // The brake of the blades is no blade.
    let brake = |one: &Wanted| {
        matches!(one.written.to_lowercase().as_str(), "brake" | "brakes" | "stopping")
    };
    if all.iter().any(brake) {
        all.retain(|one| Family::of(&one.written) != Some(Family::Blades));
    }
    // "Checked the heights": a check of something else is none.
    if all.iter().any(|one| one.deed == Some(Deed::Look)) {
        for one in &mut all {
            if HEIGHT.contains(&one.written.to_lowercase().as_str()) {
                one.deed = Some(Deed::Height);
            }
        }
    }
    all
}

/// The findings of a fault that is asked about.
fn findings(asked: Asked, words: &str, knowledge: &Knowledge) -> Vec<String> {
    if !matches!(asked, Asked::Cured | Asked::Held) {
        return Vec::new();
    }
    said(words, knowledge)
}

/// The causes that the words name, unless they name other work than putting a fault right.
fn causes(words: &str) -> Vec<&'static str> {
    let other = words.split_whitespace().filter_map(|word| work(word)?.1);
    let other = other.filter(|deed| !matches!(deed, Deed::Fault | Deed::Cure | Deed::Adjust));
    if other.count() > 0 { Vec::new() } else { causes_named(words) }
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
        named: answer.named.map(|name| name.to_string()).unwrap_or_default(),
    }
}
