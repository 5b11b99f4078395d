//! How is a list of records asked of the database, and where does its next page begin?
//! Deliberately absent: running the statement, and reading its rows.

use crate::domain::records::{Moment, Record, RecordError};

use super::error::StoreError;
use super::{Order, RecordQuery};

/// What of a record stands outside its row: the names of its subject and of its neighbours.
pub const RECORD: &str =
    "SELECT r.number, s.name, r.kind, r.time_us, r.created_us, r.request_id, r.withdrawn,
            r.unit_type, r.format, r.text, r.supersedes, old.request_id, old_subject.name,
            newer.number, newer_subject.name";
pub const NEIGHBOURS: &str = "JOIN subject s ON s.id = r.subject
     LEFT JOIN record old ON old.number = r.supersedes
     LEFT JOIN subject old_subject ON old_subject.id = old.subject
     LEFT JOIN record newer ON newer.supersedes = r.number
     LEFT JOIN subject newer_subject ON newer_subject.id = newer.subject";

/// Where a page begins, and the number of the latest record that its list may show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    pub as_of: i64,
    pub time_us: i64,
    pub number: i64,
}

impl Place {
    /// Before everything that the query may show.
    pub fn first(query: &RecordQuery, last_number: u64) -> Place {
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

    pub fn after(last: &Record, as_of: i64) -> Place {
        Place { as_of, time_us: last.time.microseconds(), number: last.name.number as i64 }
    }

    pub fn bytes(self) -> Vec<u8> {
        [self.as_of, self.time_us, self.number].iter().flat_map(|n| n.to_be_bytes()).collect()
    }

    pub fn read(bytes: &[u8], token: &str) -> Result<Place, StoreError> {
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
pub fn statement_of(query: &RecordQuery) -> String {
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

#[cfg(test)]
mod tests {
    use rusqlite::Connection;

    use super::*;
    use crate::domain::records::SubjectName;
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
