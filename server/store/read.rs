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
use super::rows;
use super::{Change, Order, RecordQuery, SubjectQuery};

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

const SUBJECT: &str =
    "SELECT id, name, kind, created_us, updated_us, version, format, text
     FROM subject";

/// What of a record stands outside `record`: the names of its subject and of its neighbours.
const RECORD: &str =
    "SELECT r.number, s.name, r.kind, r.time_us, r.created_us, r.request_id, r.withdrawn,
            r.unit_type, r.format, r.text, r.supersedes, old.request_id, old_subject.name,
            newer.number, newer_subject.name";
const NEIGHBOURS: &str =
    "JOIN subject s ON s.id = r.subject
     LEFT JOIN record old ON old.number = r.supersedes
     LEFT JOIN subject old_subject ON old_subject.id = old.subject
     LEFT JOIN record newer ON newer.supersedes = r.number
     LEFT JOIN subject newer_subject ON newer_subject.id = newer.subject";

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

    pub fn database_id(&self) -> Result<[u8; 16], StoreError> {
        self.connection
            .query_row("SELECT database_id FROM store", [], |row| row.get(0))
            .map_err(|cause| self.failed(cause))
    }

    pub fn subject(&self, name: &SubjectName) -> Result<Option<SubjectRow>, StoreError> {
        let sql = format!("{SUBJECT} WHERE name = ?1");
        Ok(self.rows(&sql, params![name.to_string()], subject_of)?.pop())
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
        let question = format!("{query:?}");
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
        let question = format!("{query:?}");
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

/// Where a page begins, and the number of the latest record that its list may show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Place {
    as_of: i64,
    time_us: i64,
    number: i64,
}

impl Place {
    /// Before everything that the query may show.
    fn first(query: &RecordQuery, last_number: u64) -> Place {
        let as_of = last_number as i64;
        let (time_us, number) = match query.order {
            // Records have numbers from 1, so nothing at `until` itself comes before it.
            Order::NewestFirst => match query.until {
                Some(until) => (until.microseconds(), 0),
                None => (i64::MAX, i64::MAX),
            },
            Order::OldestFirst => (query.from.map_or(i64::MIN, Moment::microseconds), 0),
            Order::AsStored => (0, 0),
        };
        Place { as_of, time_us, number }
    }

    fn after(last: &Record, as_of: i64) -> Place {
        Place { as_of, time_us: last.time.microseconds(), number: last.name.number as i64 }
    }

    fn bytes(self) -> Vec<u8> {
        [self.as_of, self.time_us, self.number].iter().flat_map(|n| n.to_be_bytes()).collect()
    }

    fn read(bytes: &[u8], token: &str) -> Result<Place, StoreError> {
        let numbers: Vec<i64> = bytes
            .chunks(8)
            .filter_map(|chunk| chunk.try_into().ok().map(i64::from_be_bytes))
            .collect();
        match numbers[..] {
            [as_of, time_us, number] if bytes.len() == 24 => Ok(Place { as_of, time_us, number }),
            _ => Err(StoreError::Invalid(RecordError::new(
                "page_token",
                token,
                "use the token of the page before as it came",
            ))),
        }
    }
}

/// The statement of a query. Its shape follows from the order and from whether a cause is asked
/// for, so there are six; the values are parameters.
fn statement_of(query: &RecordQuery) -> String {
    // By subject the index of concerns leads; by cause, or as stored, the records do.
    let by_concern = query.cause.is_none() && query.order != Order::AsStored;
    let (tables, time, number) = if by_concern {
        let tables = "FROM concern c CROSS JOIN record r ON r.number = c.record";
        (tables, "c.time_us", "c.record")
    } else {
        ("FROM record r", "r.time_us", "r.number")
    };
    let about = if by_concern {
        "c.subject = :subject"
    } else {
        "EXISTS (SELECT 1 FROM concern c WHERE c.subject = :subject
                 AND c.time_us = r.time_us AND c.record = r.number)"
    };
    let kind = if by_concern { "c.kind" } else { "r.kind" };
    // A statement names all parameters, also those that its shape has no use for.
    let cause = if query.cause.is_some() { "r.cause = :cause" } else { ":cause IS NULL" };
    let place = match query.order {
        Order::NewestFirst => format!("({time}, {number}) < (:time, :number)"),
        Order::OldestFirst => format!("({time}, {number}) > (:time, :number)"),
        Order::AsStored => format!("{number} > :number AND :time IS NOT NULL"),
    };
    let order = match query.order {
        Order::NewestFirst => format!("{time} DESC, {number} DESC"),
        Order::OldestFirst => format!("{time}, {number}"),
        Order::AsStored => number.to_owned(),
    };
    format!(
        "{RECORD} {tables} {NEIGHBOURS}
         WHERE {about} AND {cause} AND {place}
           AND {time} >= :from AND {time} < :until AND {number} <= :as_of
           AND (:kinds = '' OR instr(:kinds, '|' || {kind} || '|') > 0)
           AND (:history OR (r.withdrawn = 0 AND (newer.number IS NULL OR newer.number > :as_of)))
         ORDER BY {order} LIMIT :limit"
    )
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
    let (newer_number, newer_subject): (Option<i64>, Option<String>) =
        (row.get(13)?, row.get(14)?);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::schema;

    /// SQLite's own account of how it runs each shape of query: every step is a search of an
    /// index, never a scan of a table, and nothing is sorted afterwards.
    #[test]
    fn no_list_reads_all_records() {
        let mut connection = Connection::open_in_memory().expect("memory");
        schema::migrate(&mut connection, 0, schema::FORMAT).expect("a new database");
        for order in [Order::NewestFirst, Order::OldestFirst, Order::AsStored] {
            for cause in [None, Some("edge_damage".to_owned())] {
                let about = RecordQuery::about(SubjectName::home());
                let query = RecordQuery { order, cause: cause.clone(), ..about };
                let steps = plan_of(&connection, &statement_of(&query));
                let scans = steps.iter().filter(|step| step.starts_with("SCAN")).count();
                assert_eq!(scans, 0, "{order:?} {cause:?}: {steps:?}");
                // Fixes of one cause as they were stored are few, and are sorted.
                let sorted = steps.iter().any(|step| step.contains("TEMP B-TREE"));
                assert_eq!(sorted, order == Order::AsStored && cause.is_some(), "{steps:?}");
            }
        }
    }

    fn plan_of(connection: &Connection, sql: &str) -> Vec<String> {
        let mut plan = connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).expect("SQL");
        let mut rows = plan.raw_query();
        let mut steps = Vec::new();
        while let Some(row) = rows.next().expect("a step") {
            steps.push(row.get(3).expect("text"));
        }
        steps
    }
}
