//! What of work left half way is kept, and for how long? Until it is recorded or thrown away. A
//! draft is a text that whoever left it can read again; here it has only an id, a name to be listed
//! under, and a moment. Deliberately absent: what the text means (`domain::walkthrough`).

use rusqlite::{OptionalExtension, Row, params};

use crate::domain::limits::{DRAFT_BYTES_MAX, DRAFTS_MAX};
use crate::domain::records::{Moment, RecordError, RequestId};

use super::error::StoreError;
use super::sqlite::SqliteStore;

/// Work that was left half way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    pub id: RequestId,
    pub procedure: String,
    /// Resource name of what is worked on; empty when nobody has said.
    pub subject: String,
    pub updated: Moment,
    pub text: String,
}

const DRAFT: &str = "SELECT id, procedure, subject, updated_us, text FROM draft";

impl SqliteStore {
    /// Keeps a draft in the place of an earlier one of the same id.
    pub fn keep_draft(&self, draft: Draft) -> Result<(), StoreError> {
        if draft.text.len() > DRAFT_BYTES_MAX {
            let remedy = format!("a draft has at most {DRAFT_BYTES_MAX} bytes; record it now");
            let value = format!("{} bytes", draft.text.len());
            return Err(StoreError::Invalid(RecordError::new("draft", value, remedy)));
        }
        self.writer.change(move |changes| {
            let connection = changes.reading.connection;
            let failed = |cause| changes.reading.failed(cause);
            let others = "SELECT count(*) FROM draft WHERE id <> ?1";
            let others: i64 = connection
                .prepare_cached(others)
                .and_then(|mut statement| {
                    statement.query_row(params![draft.id.bytes()], |row| row.get(0))
                })
                .map_err(failed)?;
            if usize::try_from(others).is_ok_and(|others| others >= DRAFTS_MAX) {
                let remedy = "record one, or throw one away";
                return Err(StoreError::Invalid(RecordError::new("drafts", others, remedy)));
            }
            let insert = "INSERT INTO draft (id, procedure, subject, updated_us, text)
                 VALUES (?1, ?2, ?3, ?4, ?5)
                 ON CONFLICT (id) DO UPDATE SET procedure = excluded.procedure,
                    subject = excluded.subject, updated_us = excluded.updated_us,
                    text = excluded.text";
            let Draft { id, procedure, subject, updated, text } = draft;
            let values = params![id.bytes(), procedure, subject, updated.microseconds(), text];
            connection
                .prepare_cached(insert)
                .and_then(|mut statement| statement.execute(values))
                .map(|_| ())
                .map_err(failed)
        })
    }

    /// Every draft, the one touched last first.
    pub fn drafts(&self) -> Result<Vec<Draft>, StoreError> {
        self.read(|reading| {
            let sql = format!("{DRAFT} ORDER BY updated_us DESC, id");
            let failed = |cause| reading.failed(cause);
            let mut statement = reading.connection.prepare_cached(&sql).map_err(failed)?;
            let rows = statement.query_map([], draft_of).map_err(failed)?;
            rows.map(|row| row.map_err(failed)).collect()
        })
    }

    pub fn draft(&self, id: RequestId) -> Result<Option<Draft>, StoreError> {
        self.read(|reading| {
            let sql = format!("{DRAFT} WHERE id = ?1");
            let mut statement = reading
                .connection
                .prepare_cached(&sql)
                .map_err(|cause| reading.failed(cause))?;
            let found = statement.query_row(params![id.bytes()], draft_of).optional();
            found.map_err(|cause| reading.failed(cause))
        })
    }

    /// Throws a draft away; one that is not there is away already.
    pub fn drop_draft(&self, id: RequestId) -> Result<(), StoreError> {
        self.writer.change(move |changes| {
            let delete = "DELETE FROM draft WHERE id = ?1";
            changes
                .reading
                .connection
                .prepare_cached(delete)
                .and_then(|mut statement| statement.execute(params![id.bytes()]))
                .map(|_| ())
                .map_err(|cause| changes.reading.failed(cause))
        })
    }
}

fn draft_of(row: &Row<'_>) -> rusqlite::Result<Draft> {
    let bytes: [u8; 16] = row.get(0)?;
    let id = RequestId::from_bytes(bytes).ok_or_else(|| {
        rusqlite::Error::IntegralValueOutOfRange(0, 0)
    })?;
    Ok(Draft {
        id,
        procedure: row.get(1)?,
        subject: row.get(2)?,
        updated: Moment::from_microseconds(row.get(3)?),
        text: row.get(4)?,
    })
}
