//! The store as a list in memory: what each call means, with nothing to make it fast or durable.
//! The SQLite store is held against it.

use std::path::Path;
use std::sync::Mutex;

use sward_core::domain::records::lesson::{Lesson, lessons};
use sward_core::domain::records::{
    Id, Moment, NewRecord, NewSubject, Record, RecordName, RequestId, Subject, SubjectKind,
    SubjectName, Superseded, Which, concerned,
};
use sward_core::store::{
    BackupReport, Change, DatabaseId, Order, Page, PageSize, RecordQuery, Store, StoreError,
    Stored, SubjectQuery,
};

use super::new_subject;

#[derive(Default)]
struct Shelf {
    subjects: Vec<Subject>,
    records: Vec<Record>,
    sequence: u64,
}

#[derive(Default)]
pub struct Model(Mutex<Shelf>);

impl Model {
    pub fn new() -> Model {
        let model = Model::default();
        model.shelf().add(new_subject(SubjectName::home()), super::NOW);
        model
    }

    fn shelf(&self) -> std::sync::MutexGuard<'_, Shelf> {
        self.0.lock().expect("one thread")
    }
}

fn not_found(name: &dyn std::fmt::Display) -> StoreError {
    StoreError::NotFound { name: name.to_string() }
}

impl Shelf {
    fn add(&mut self, new: NewSubject, now: Moment) -> Subject {
        self.sequence += 1;
        let NewSubject { name, label, facts, .. } = new;
        let version = self.sequence;
        let subject = Subject { name, label, facts, created: now, updated: now, version };
        self.subjects.push(subject.clone());
        subject
    }

    fn subject(&self, name: &SubjectName) -> Result<&Subject, StoreError> {
        self.subjects.iter().find(|s| s.name == *name).ok_or_else(|| not_found(name))
    }

    fn append(&mut self, new: NewRecord, now: Moment) -> Result<Stored, StoreError> {
        if let Some(record) = self.records.iter().find(|r| r.request_id == new.request_id) {
            return Ok(Stored { record: record.clone(), already_there: true });
        }
        let unit_type = self.subject(&new.subject)?.facts.unit_type().to_owned();
        let old = match &new.supersedes {
            None => None,
            Some(which) => {
                let old = self.records.iter_mut().find(|record| match which {
                    Which::Name(name) => record.name == *name,
                    Which::Request(id) => record.request_id == *id,
                });
                let old = old.ok_or_else(|| not_found(&"the record"))?;
                if old.superseded_by.is_some() {
                    return Err(not_found(&"a record to amend"));
                }
                Some(old)
            }
        };
        self.sequence += 1;
        let name = RecordName { subject: new.subject, number: self.sequence };
        let supersedes = old.map(|old| {
            old.superseded_by = Some(name.clone());
            Superseded { name: old.name.clone(), request_id: old.request_id }
        });
        let record = Record {
            name,
            time: new.time.unwrap_or(now),
            created: now,
            request_id: new.request_id,
            supersedes,
            superseded_by: None,
            unit_type,
            content: new.content,
        };
        self.records.push(record.clone());
        Ok(Stored { record, already_there: false })
    }
}

fn fits(record: &Record, query: &RecordQuery) -> bool {
    let cause = match &record.content.detail {
        sward_core::domain::records::Detail::FaultFixed(fault) => fault.cause.as_str(),
        _ => "",
    };
    concerned(&record.name.subject, &record.content).contains(&query.subject)
        && (query.kinds.is_empty() || query.kinds.contains(&record.content.kind()))
        && query.cause.as_ref().is_none_or(|wanted| wanted == cause)
        && query.from.is_none_or(|from| record.time >= from)
        && query.until.is_none_or(|until| record.time < until)
        && (query.history || record.stands())
}

impl Store for Model {
    fn database_id(&self) -> DatabaseId {
        DatabaseId([1; 16])
    }

    fn last_sequence(&self) -> u64 {
        self.shelf().sequence
    }

    fn add_subject(&self, new: NewSubject, now: Moment) -> Result<Subject, StoreError> {
        Ok(self.shelf().add(new, now))
    }

    fn change_subject(
        &self,
        new: NewSubject,
        _: Option<u64>,
        now: Moment,
    ) -> Result<Subject, StoreError> {
        let mut shelf = self.shelf();
        shelf.sequence += 1;
        let version = shelf.sequence;
        let found = shelf.subjects.iter_mut().find(|s| s.name == new.name);
        let subject = found.ok_or_else(|| not_found(&new.name))?;
        (subject.label, subject.facts) = (new.label, new.facts);
        (subject.updated, subject.version) = (now, version);
        Ok(subject.clone())
    }

    fn subject(&self, name: &SubjectName) -> Result<Subject, StoreError> {
        self.shelf().subject(name).cloned()
    }

    fn subjects(
        &self,
        q: &SubjectQuery,
        _: PageSize,
        _: &str,
    ) -> Result<Page<Subject>, StoreError> {
        let mut items: Vec<Subject> = self.shelf().subjects.clone();
        items.retain(|s| s.name.holder().as_ref() == Some(&q.parent) && s.name.kind() == q.kind);
        items.retain(|s| q.retired || !s.label.retired);
        items.sort_by_key(|s| s.name.to_string());
        Ok(Page { items, next_token: String::new() })
    }

    fn all_subjects(&self, site: &Id) -> Result<Vec<Subject>, StoreError> {
        let mut items: Vec<Subject> = self.shelf().subjects.clone();
        items.retain(|s| s.name.site() == site && s.name.kind() != SubjectKind::Site);
        items.sort_by_key(|s| s.name.to_string());
        Ok(items)
    }

    fn append(&self, records: Vec<NewRecord>, now: Moment) -> Result<Vec<Stored>, StoreError> {
        let mut shelf = self.shelf();
        records.into_iter().map(|new| shelf.append(new, now)).collect()
    }

    fn append_each(
        &self,
        records: Vec<NewRecord>,
        now: Moment,
    ) -> Result<Vec<Result<Stored, StoreError>>, StoreError> {
        let mut shelf = self.shelf();
        Ok(records.into_iter().map(|new| shelf.append(new, now)).collect())
    }

    fn record(&self, name: &RecordName) -> Result<Record, StoreError> {
        let shelf = self.shelf();
        let found = shelf.records.iter().find(|record| record.name.number == name.number);
        found.cloned().ok_or_else(|| not_found(name))
    }

    fn record_of_request(&self, id: RequestId) -> Result<Option<Record>, StoreError> {
        Ok(self.shelf().records.iter().find(|record| record.request_id == id).cloned())
    }

    fn record_count(&self) -> Result<u64, StoreError> {
        Ok(self.shelf().records.len() as u64)
    }

    /// All of them in one page.
    fn records(&self, q: &RecordQuery, _: PageSize, _: &str) -> Result<Page<Record>, StoreError> {
        let mut items: Vec<Record> = self.shelf().records.clone();
        items.retain(|record| fits(record, q));
        items.sort_by_key(|record| match q.order {
            Order::AsStored => (0, record.name.number),
            Order::NewestFirst | Order::OldestFirst => {
                (record.time.microseconds(), record.name.number)
            }
        });
        if q.order == Order::NewestFirst {
            items.reverse();
        }
        Ok(Page { items, next_token: String::new() })
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, StoreError> {
        let shelf = self.shelf();
        let subjects = shelf.subjects.iter().cloned().map(Box::new).map(Change::Subject);
        let records = shelf.records.iter().cloned().map(Box::new).map(Change::Record);
        let mut changes: Vec<Change> = subjects.chain(records).collect();
        changes.retain(|change| change.sequence() > sequence);
        changes.sort_by_key(Change::sequence);
        changes.truncate(limit);
        Ok(changes)
    }

    fn lessons(&self, site: Option<&Id>) -> Result<Vec<Lesson>, StoreError> {
        let mut counts: Vec<Lesson> = Vec::new();
        for lesson in self.shelf().records.iter().filter(|r| r.stands()).flat_map(lessons) {
            if site.is_some_and(|site| lesson.place.site != *site) {
                continue;
            }
            match counts.iter_mut().find(|c| c.place == lesson.place && c.topic == lesson.topic) {
                Some(count) => {
                    count.yes += lesson.yes;
                    count.no += lesson.no;
                }
                None => counts.push(lesson),
            }
        }
        counts.sort();
        Ok(counts)
    }

    fn recount_lessons(&self) -> Result<(), StoreError> {
        Ok(())
    }

    fn backup(&self, _: &Path) -> Result<BackupReport, StoreError> {
        Err(StoreError::Stopped)
    }

    fn restore(&self, _: &Path) -> Result<BackupReport, StoreError> {
        Err(StoreError::Stopped)
    }
}
