//! How is one change made, inside the writer's transaction? Each function finds out first whether
//! it was made before, then whether it can be, then makes it and numbers it.

use rusqlite::{named_params, params};

use crate::domain::records::choices::Choice;
use crate::domain::records::detail::Detail;
use crate::domain::records::lesson::lessons;
use crate::domain::records::subject::{Facts, Label};
use crate::domain::records::{
    Moment, NewRecord, NewSubject, Record, RecordError, RecordName, RequestId, Subject,
    SubjectKind, SubjectName, Superseded, Which, concerned,
};

use super::Stored;
use super::error::StoreError;
use super::learning::{self, Sign};
use super::read::{Reading, SubjectRow};
use super::rows;

/// A transaction that is open, and the number of the last change in it.
pub struct Changes<'a> {
    pub reading: Reading<'a>,
    pub sequence: u64,
}

impl Changes<'_> {
    /// Makes a change, or none of it when the request is at fault.
    pub fn attempt<T>(
        &mut self,
        change: impl FnOnce(&mut Self) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let before = self.sequence;
        self.control("SAVEPOINT attempt")?;
        let outcome = change(self);
        // After another fault the whole transaction goes, and with it the savepoint.
        if outcome.as_ref().is_err_and(StoreError::is_of_request) {
            self.sequence = before;
            self.control("ROLLBACK TO attempt")?;
        }
        if outcome.as_ref().err().is_none_or(StoreError::is_of_request) {
            self.control("RELEASE attempt")?;
        }
        outcome
    }

    fn control(&self, sql: &str) -> Result<(), StoreError> {
        let mut statement =
            self.reading.connection.prepare_cached(sql).map_err(|cause| self.failed(cause))?;
        statement.execute([]).map(|_| ()).map_err(|cause| self.failed(cause))
    }

    fn failed(&self, cause: rusqlite::Error) -> StoreError {
        StoreError::sqlite("writing", self.reading.path, cause)
    }

    fn next(&mut self) -> i64 {
        self.sequence += 1;
        i64::try_from(self.sequence).expect("a store of 2^63 changes does not fit any disk")
    }

    /// The site, which comes into being when it is first needed.
    pub fn site(&mut self, name: &SubjectName, now: Moment) -> Result<i64, StoreError> {
        if let Some(row) = self.reading.subject(name)? {
            return Ok(row.id);
        }
        let label = Label { display_name: name.id().to_string(), ..Label::default() };
        let site = NewSubject { name: name.clone(), request_id: None, label, facts: Facts::Site };
        self.insert_subject(&site, None, now).map(|(id, _)| id)
    }

    pub fn add_subject(&mut self, new: NewSubject, now: Moment) -> Result<Subject, StoreError> {
        if let Some(id) = new.request_id
            && let Some(row) = self.reading.subject_of_request(id)?
        {
            let same = row.subject.name == new.name;
            return if same { Ok(row.subject) } else { Err(reused(id, &row.subject.name)) };
        }
        if self.reading.subject(&new.name)?.is_some() {
            return Err(StoreError::AlreadyExists { name: new.name.to_string() });
        }
        let holder = new.name.holder().ok_or_else(|| {
            StoreError::Invalid(RecordError::new(
                "parent",
                &new.name,
                "a site comes into being by itself; add its machines and areas",
            ))
        })?;
        let holder = match holder.kind() {
            SubjectKind::Site => self.site(&holder, now)?,
            SubjectKind::Machine | SubjectKind::Unit | SubjectKind::Area => {
                self.known("parent", &holder)?.id
            }
        };
        self.carrier_is_known(&new.facts)?;
        self.insert_subject(&new, Some(holder), now).map(|(_, subject)| subject)
    }

    fn insert_subject(
        &mut self,
        new: &NewSubject,
        holder: Option<i64>,
        now: Moment,
    ) -> Result<(i64, Subject), StoreError> {
        let version = self.next();
        let insert = "INSERT INTO subject (name, holder, kind, retired, created_us, updated_us,
                version, request_id, format, text)
             VALUES (:name, :holder, :kind, :retired, :now, :now, :version, :request_id,
                :format, :text)";
        let params = named_params! {
            ":name": new.name.to_string(),
            ":holder": holder,
            ":kind": new.name.kind().word(),
            ":retired": new.label.retired,
            ":now": now.microseconds(),
            ":version": version,
            ":request_id": new.request_id.map(RequestId::bytes),
            ":format": rows::TEXT_FORMAT,
            ":text": rows::subject_text(&new.label, &new.facts),
        };
        let id = self
            .reading
            .connection
            .prepare_cached(insert)
            .and_then(|mut statement| statement.insert(params))
            .map_err(|cause| self.failed(cause))?;
        Ok((id, subject_of(new, now, now, version.unsigned_abs())))
    }

    pub fn change_subject(
        &mut self,
        new: NewSubject,
        version: Option<u64>,
        now: Moment,
    ) -> Result<Subject, StoreError> {
        let found = self.reading.subject(&new.name)?;
        let old = found.ok_or_else(|| StoreError::NotFound { name: new.name.to_string() })?;
        let (old_version, created) = (old.subject.version, old.subject.created);
        if version.is_some_and(|version| version != old_version) {
            return Err(StoreError::Conflict(RecordError::new(
                "etag",
                version.unwrap_or_default(),
                format!("it was changed since, to {old_version}; read it again and repeat"),
            )));
        }
        self.carrier_is_known(&new.facts)?;
        let version = self.next();
        let update = "UPDATE subject SET retired = ?2, updated_us = ?3, version = ?4, format = ?5,
                text = ?6 WHERE id = ?1";
        let text = rows::subject_text(&new.label, &new.facts);
        let retired = new.label.retired;
        self.reading
            .connection
            .prepare_cached(update)
            .and_then(|mut statement| {
                let us = now.microseconds();
                statement.execute(params![old.id, retired, us, version, rows::TEXT_FORMAT, text])
            })
            .map_err(|cause| self.failed(cause))?;
        Ok(subject_of(&new, created, now, version.unsigned_abs()))
    }

    fn carrier_is_known(&self, facts: &Facts) -> Result<(), StoreError> {
        match facts {
            Facts::Unit(unit) => {
                let carrier = unit.carried_by.as_ref();
                carrier.map_or(Ok(()), |carrier| self.known("carried_by", carrier).map(|_| ()))
            }
            Facts::Site | Facts::Machine(_) | Facts::Area(_) => Ok(()),
        }
    }

    fn known(&self, field: &str, name: &SubjectName) -> Result<SubjectRow, StoreError> {
        self.reading.subject(name)?.ok_or_else(|| {
            let remedy = format!("there is no such {}; add it first", name.kind().word());
            StoreError::Invalid(RecordError::new(field, name, remedy))
        })
    }

    pub fn append(&mut self, mut new: NewRecord, now: Moment) -> Result<Stored, StoreError> {
        if let Some(record) = self.reading.record_of_request(new.request_id)? {
            return already(record, &new);
        }
        let subject = self.known("parent", &new.subject)?;
        self.fill_in_equipment(&mut new, &subject.subject)?;
        let old = new.supersedes.as_ref().map(|which| self.superseded(which, &new)).transpose()?;
        let record = Record {
            name: RecordName { subject: new.subject, number: self.next().unsigned_abs() },
            time: new.time.unwrap_or(now),
            created: now,
            request_id: new.request_id,
            supersedes: old
                .as_ref()
                .map(|old| Superseded { name: old.name.clone(), request_id: old.request_id }),
            superseded_by: None,
            unit_type: subject.subject.facts.unit_type().to_owned(),
            content: new.content,
        };
        self.insert_record(&record, subject.id)?;
        self.insert_concerns(&record)?;
        for lesson in old.iter().flat_map(lessons) {
            learning::count(self.reading, &lesson, Sign::TakeBack)?;
        }
        for lesson in lessons(&record) {
            learning::count(self.reading, &lesson, Sign::Learn)?;
        }
        Ok(Stored { record, already_there: false })
    }

    /// What the record is about says which equipment, where the record does not. It is written
    /// down with the record, so that what it taught does not change when the machine does.
    fn fill_in_equipment(&self, new: &mut NewRecord, subject: &Subject) -> Result<(), StoreError> {
        if new.content.equipment.is_some() {
            return Ok(());
        }
        new.content.equipment = subject.facts.equipment();
        if new.content.equipment.is_none()
            && subject.name.kind() == SubjectKind::Unit
            && let Some(holder) = subject.name.holder()
        {
            new.content.equipment = self.known("parent", &holder)?.subject.facts.equipment();
        }
        Ok(())
    }

    /// The record that the new one replaces, if it may.
    fn superseded(&self, which: &Which, new: &NewRecord) -> Result<Record, StoreError> {
        let old = match which {
            Which::Name(name) => self.reading.record_named(name)?,
            Which::Request(id) => self.reading.record_of_request(*id)?.ok_or_else(|| {
                let remedy = "no record has this request id; bring that record first";
                StoreError::Invalid(RecordError::new("supersedes", id, remedy))
            })?,
        };
        if old.name.subject.site() != new.subject.site() {
            let remedy = "an amendment stays on the site of its record";
            return Err(StoreError::Invalid(RecordError::new("parent", &new.subject, remedy)));
        }
        match &old.superseded_by {
            None => Ok(old),
            Some(newer) => {
                let remedy = format!("{newer} has superseded it; amend that one");
                Err(StoreError::Conflict(RecordError::new("name", &old.name, remedy)))
            }
        }
    }

    fn insert_record(&self, record: &Record, subject: i64) -> Result<(), StoreError> {
        let cause = match &record.content.detail {
            Detail::FaultFixed(fault) if !fault.cause.is_empty() => Some(&fault.cause),
            _ => None,
        };
        let insert = "INSERT INTO record (number, subject, kind, time_us, created_us, request_id,
                supersedes, withdrawn, unit_type, format, text, cause)
             VALUES (:number, :subject, :kind, :time, :created, :request_id, :supersedes,
                :withdrawn, :unit_type, :format, :text, :cause)";
        let params = named_params! {
            ":number": record.name.number as i64,
            ":subject": subject,
            ":kind": record.content.kind().id(),
            ":time": record.time.microseconds(),
            ":created": record.created.microseconds(),
            ":request_id": record.request_id.bytes(),
            ":supersedes": record.supersedes.as_ref().map(|old| old.name.number as i64),
            ":withdrawn": record.content.withdrawn,
            ":unit_type": record.unit_type,
            ":format": rows::TEXT_FORMAT,
            ":text": rows::content_text(&record.content),
            ":cause": cause,
        };
        self.reading
            .connection
            .prepare_cached(insert)
            .and_then(|mut statement| statement.execute(params))
            .map(|_| ())
            .map_err(|cause| self.failed(cause))
    }

    fn insert_concerns(&self, record: &Record) -> Result<(), StoreError> {
        let insert = "INSERT INTO concern (subject, time_us, record, kind) VALUES (?1, ?2, ?3, ?4)";
        let (time_us, number) = (record.time.microseconds(), record.name.number as i64);
        let kind = record.content.kind().id();
        for name in concerned(&record.name.subject, &record.content) {
            let Some(subject) = self.reading.subject_id(&name)? else {
                let remedy = format!("there is no such {}; add it first", name.kind().word());
                return Err(StoreError::Invalid(RecordError::new("readings", name, remedy)));
            };
            self.reading
                .connection
                .prepare_cached(insert)
                .and_then(|mut statement| {
                    statement.execute(params![subject, time_us, number, kind])
                })
                .map_err(|cause| self.failed(cause))?;
        }
        Ok(())
    }
}

fn subject_of(new: &NewSubject, created: Moment, updated: Moment, version: u64) -> Subject {
    Subject {
        name: new.name.clone(),
        label: new.label.clone(),
        facts: new.facts.clone(),
        created,
        updated,
        version,
    }
}

fn reused(id: RequestId, stored: &dyn std::fmt::Display) -> StoreError {
    let remedy = format!("another request used it and made {stored}; use a new id");
    StoreError::Conflict(RecordError::new("request_id", id, remedy))
}

/// The answer to a request that was carried out before: what it made then. The same id with
/// another content is a slip of the caller, who must hear of it.
fn already(record: Record, new: &NewRecord) -> Result<Stored, StoreError> {
    let mut content = new.content.clone();
    if content.equipment.is_none() {
        content.equipment = record.content.equipment;
    }
    let supersedes = match (&record.supersedes, &new.supersedes) {
        (None, None) => true,
        (Some(old), Some(Which::Name(name))) => old.name.number == name.number,
        (Some(old), Some(Which::Request(id))) => old.request_id == *id,
        (Some(_), None) | (None, Some(_)) => false,
    };
    let same = record.name.subject == new.subject
        && new.time.is_none_or(|time| time == record.time)
        && supersedes
        && content == record.content;
    if same {
        Ok(Stored { record, already_there: true })
    } else {
        Err(reused(new.request_id, &record.name))
    }
}
