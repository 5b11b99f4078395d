//! How are records, machines, units and areas read back? Every query goes through an index, so
//! that its time follows the page asked for and not the number of records stored.
//! The writer reads through here too, inside its transaction.

use std::path::Path;

use rusqlite::{Connection, Params, Row, named_params, params};

use crate::domain::records::choices::Choice;
use crate::domain::records::{
    Id, Moment, Record, RecordError, RecordKind, RecordName, RequestId, Subject, SubjectKind,
    SubjectName, Superseded,
};

use super::error::StoreError;
use super::page::{self, Page, PageSize};
use super::record_list::{NEIGHBOURS, Place, RECORD, statement_of};
use super::rows;
use super::{Change, RecordQuery, SubjectQuery};

/// A connection, and the path that errors name.
#[derive(Clone, Copy)]
pub struct Reading<'a> {
    pub connection: &'a Connection,
    pub path: &'a Path,
}

/// A subject and its row.
pub struct SubjectRow {
    pub id: i64,
    pub subject: Subject,
}

const SUBJECT: &str = "SELECT id, name, kind, created_us, updated_us, version, format, text
     FROM subject";

impl Reading<'_> {
    pub fn failed(&self, cause: rusqlite::Error) -> StoreError {
        StoreError::sqlite("reading", self.path, cause)
    }

    fn damaged(&self, error: RecordError) -> StoreError {
        StoreError::Corrupt { path: self.path.to_owned(), detail: error.to_string() }
    }

    /// The rows of a query, read by `read`, which fails only on what cannot have been written.
    fn rows<T>(
        &self,
        sql: &str,
        params: impl Params,
        read: impl Fn(&Row<'_>) -> rusqlite::Result<Result<T, RecordError>>,
    ) -> Result<Vec<T>, StoreError> {
        let failed = |cause| self.failed(cause);
        let mut statement = self.connection.prepare_cached(sql).map_err(failed)?;
        let rows = statement.query_map(params, read).map_err(failed)?;
        rows.map(|row| row.map_err(failed)?.map_err(|error| self.damaged(error))).collect()
    }

    fn number(&self, sql: &str) -> Result<u64, StoreError> {
        let number: Option<i64> = self
            .connection
            .prepare_cached(sql)
            .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
            .map_err(|cause| self.failed(cause))?;
        Ok(number.map_or(0, i64::unsigned_abs))
    }

    pub fn last_sequence(&self) -> Result<u64, StoreError> {
        let record = self.number("SELECT max(number) FROM record")?;
        Ok(record.max(self.number("SELECT max(version) FROM subject")?))
    }

    /// How many records came after one of them, and which is the last.
    pub fn counted_after(&self, number: u64) -> Result<(u64, u64), StoreError> {
        let Ok(number) = i64::try_from(number) else { return Ok((0, number)) };
        self.connection
            .prepare_cached("SELECT count(*), max(number) FROM record WHERE number > ?1")
            .and_then(|mut statement| {
                statement.query_row(params![number], |row| {
                    let (count, last): (i64, Option<i64>) = (row.get(0)?, row.get(1)?);
                    Ok((count.unsigned_abs(), last.unwrap_or(number).unsigned_abs()))
                })
            })
            .map_err(|cause| self.failed(cause))
    }

    pub fn database_id(&self) -> Result<[u8; 16], StoreError> {
        self.connection
            .prepare_cached("SELECT database_id FROM store")
            .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
            .map_err(|cause| self.failed(cause))
    }

    /// What a page token is bound to: the query, and the database it was asked of.
    fn question(&self, query: &dyn std::fmt::Debug) -> Result<String, StoreError> {
        Ok(format!("{query:?} of {:?}", self.database_id()?))
    }

    pub fn subject(&self, name: &SubjectName) -> Result<Option<SubjectRow>, StoreError> {
        let sql = format!("{SUBJECT} WHERE name = ?1");
        Ok(self.rows(&sql, params![name.to_string()], subject_of)?.pop())
    }

    /// Its row alone, for what only points to it.
    pub fn subject_id(&self, name: &SubjectName) -> Result<Option<i64>, StoreError> {
        let sql = "SELECT id FROM subject WHERE name = ?1";
        Ok(self.rows(sql, params![name.to_string()], |row| row.get(0).map(Ok))?.pop())
    }

    pub fn subject_of_request(&self, id: RequestId) -> Result<Option<SubjectRow>, StoreError> {
        let sql = format!("{SUBJECT} WHERE request_id = ?1");
        Ok(self.rows(&sql, params![id.bytes()], subject_of)?.pop())
    }

    pub fn subjects(
        &self,
        query: &SubjectQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Subject>, StoreError> {
        let question = self.question(query)?;
        let after = page::place(&question, token)?.unwrap_or_default();
        let holder = self.subject(&query.parent)?;
        let holder = holder.ok_or(StoreError::NotFound { name: query.parent.to_string() })?.id;
        let sql = format!(
            "{SUBJECT} WHERE holder = ?1 AND kind = ?2 AND name > ?3 AND (?4 OR retired = 0)
             ORDER BY name LIMIT ?5"
        );
        let after = String::from_utf8_lossy(&after).into_owned();
        let limit = size.items() + 1;
        let params = params![holder, query.kind.word(), after, query.retired, as_i64(limit)];
        let found = self.rows(&sql, params, subject_of)?;
        let subjects = found.into_iter().map(|row| row.subject).collect();
        Ok(page::cut(subjects, size, |last: &Subject| {
            page::token(&question, last.name.to_string().as_bytes())
        }))
    }

    pub fn all_subjects(&self, site: &Id) -> Result<Vec<Subject>, StoreError> {
        // Names of one site lie together in the index of names: "0" is the sign after "/".
        let sql = format!("{SUBJECT} WHERE name > ?1 AND name < ?2 ORDER BY name");
        let bounds = params![format!("sites/{site}/"), format!("sites/{site}0")];
        let found = self.rows(&sql, bounds, subject_of)?;
        Ok(found.into_iter().map(|row| row.subject).collect())
    }

    pub fn record(&self, number: u64) -> Result<Option<Record>, StoreError> {
        let sql = format!("{RECORD} FROM record r {NEIGHBOURS} WHERE r.number = ?1");
        let Ok(number) = i64::try_from(number) else { return Ok(None) };
        Ok(self.rows(&sql, params![number], record_of)?.pop())
    }

    pub fn record_named(&self, name: &RecordName) -> Result<Record, StoreError> {
        let found = self.record(name.number)?;
        found
            .filter(|record| name.subject.holds(&record.name.subject))
            .ok_or_else(|| StoreError::NotFound { name: name.to_string() })
    }

    pub fn record_of_request(&self, id: RequestId) -> Result<Option<Record>, StoreError> {
        let sql = format!("{RECORD} FROM record r {NEIGHBOURS} WHERE r.request_id = ?1");
        Ok(self.rows(&sql, params![id.bytes()], record_of)?.pop())
    }

    pub fn records(
        &self,
        query: &RecordQuery,
        size: PageSize,
        token: &str,
    ) -> Result<Page<Record>, StoreError> {
        let question = self.question(query)?;
        let place = page::place(&question, token)?;
        let place = match place.as_deref() {
            None => Place::first(query, self.number("SELECT max(number) FROM record")?),
            Some(bytes) => Place::read(bytes, token)?,
        };
        let subject = self.subject(&query.subject)?;
        let subject = subject.ok_or(StoreError::NotFound { name: query.subject.to_string() })?.id;
        let kinds: Vec<&str> = query.kinds.iter().map(|kind| kind.id()).collect();
        let params = named_params! {
            ":subject": subject,
            ":kinds": if kinds.is_empty() { String::new() } else {
                format!("|{}|", kinds.join("|"))
            },
            ":cause": query.cause,
            ":from": query.from.map_or(i64::MIN, Moment::microseconds),
            ":until": query.until.map_or(i64::MAX, Moment::microseconds),
            ":history": query.history,
            ":as_of": place.as_of,
            ":time": place.time_us,
            ":number": place.number,
            ":limit": as_i64(size.items() + 1),
        };
        let found = self.rows(&statement_of(query), params, record_of)?;
        Ok(page::cut(found, size, |last: &Record| {
            page::token(&question, &Place::after(last, place.as_of).bytes())
        }))
    }

    pub fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, StoreError> {
        let Ok(after) = i64::try_from(sequence) else { return Ok(Vec::new()) };
        let params = params![after, as_i64(limit)];
        let sql = format!("{SUBJECT} WHERE version > ?1 ORDER BY version LIMIT ?2");
        let subjects = self.rows(&sql, params, subject_of)?;
        let sql = format!(
            "{RECORD} FROM record r {NEIGHBOURS} WHERE r.number > ?1 ORDER BY r.number LIMIT ?2"
        );
        let records = self.rows(&sql, params, record_of)?;
        let mut changes: Vec<Change> =
            subjects.into_iter().map(|row| Change::Subject(Box::new(row.subject))).collect();
        changes.extend(records.into_iter().map(Box::new).map(Change::Record));
        changes.sort_by_key(Change::sequence);
        changes.truncate(limit);
        Ok(changes)
    }

    /// Every standing record that names a cause, one after the other.
    pub fn each_fix(
        &self,
        mut visit: impl FnMut(&Record) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let failed = |cause| self.failed(cause);
        let sql = format!(
            "{RECORD} FROM record r {NEIGHBOURS}
             WHERE r.cause IS NOT NULL AND r.withdrawn = 0 AND newer.number IS NULL"
        );
        let mut statement = self.connection.prepare(&sql).map_err(failed)?;
        let mut rows = statement.query([]).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let record = record_of(row).map_err(failed)?.map_err(|error| self.damaged(error))?;
            visit(&record)?;
        }
        Ok(())
    }
}

fn subject_of(row: &Row<'_>) -> rusqlite::Result<Result<SubjectRow, RecordError>> {
    let (id, version): (i64, i64) = (row.get(0)?, row.get(5)?);
    let (name, kind): (String, String) = (row.get(1)?, row.get(2)?);
    let (created, updated) = (moment(row, 3)?, moment(row, 4)?);
    let (format, text): (i64, String) = (row.get(6)?, row.get(7)?);
    let read = || {
        let name = SubjectName::parse("name", &name)?;
        let kind = SubjectKind::ALL
            .into_iter()
            .find(|one| one.word() == kind)
            .ok_or_else(|| RecordError::new("kind", &kind, "no such kind is known"))?;
        let (label, facts) = rows::subject(kind, format, &text)?;
        let version = version.unsigned_abs();
        let subject = Subject { name, label, facts, created, updated, version };
        Ok(SubjectRow { id, subject })
    };
    Ok(read())
}

fn record_of(row: &Row<'_>) -> rusqlite::Result<Result<Record, RecordError>> {
    let (number, subject): (i64, String) = (row.get(0)?, row.get(1)?);
    let kind: String = row.get(2)?;
    let (time, created) = (moment(row, 3)?, moment(row, 4)?);
    let request_id: [u8; 16] = row.get(5)?;
    let (withdrawn, unit_type): (bool, String) = (row.get(6)?, row.get(7)?);
    let (format, text): (i64, String) = (row.get(8)?, row.get(9)?);
    let (old_number, old_subject): (Option<i64>, Option<String>) = (row.get(10)?, row.get(12)?);
    let old_request: Option<[u8; 16]> = row.get(11)?;
    let (newer_number, newer_subject): (Option<i64>, Option<String>) = (row.get(13)?, row.get(14)?);
    let read = || {
        let kind = RecordKind::parse(&kind)
            .ok_or_else(|| RecordError::new("kind", &kind, "no such kind is known"))?;
        let mut content = rows::content(kind, format, &text)?;
        content.withdrawn = withdrawn;
        let supersedes = match name_of(old_number, old_subject)? {
            Some(name) => Some(Superseded { name, request_id: request(old_request)? }),
            None => None,
        };
        Ok(Record {
            name: RecordName {
                subject: SubjectName::parse("name", &subject)?,
                number: number.unsigned_abs(),
            },
            time,
            created,
            request_id: request(Some(request_id))?,
            supersedes,
            superseded_by: name_of(newer_number, newer_subject)?,
            unit_type,
            content,
        })
    };
    Ok(read())
}

fn moment(row: &Row<'_>, at: usize) -> rusqlite::Result<Moment> {
    row.get(at).map(Moment::from_microseconds)
}

fn request(bytes: Option<[u8; 16]>) -> Result<RequestId, RecordError> {
    let id = bytes.and_then(RequestId::from_bytes);
    id.ok_or_else(|| RecordError::new("request_id", "", "a record has none"))
}

fn name_of(
    number: Option<i64>,
    subject: Option<String>,
) -> Result<Option<RecordName>, RecordError> {
    let (Some(number), Some(subject)) = (number, subject) else { return Ok(None) };
    let subject = SubjectName::parse("name", &subject)?;
    Ok(Some(RecordName { subject, number: number.unsigned_abs() }))
}

/// Limits are far below what overflows.
fn as_i64(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}
