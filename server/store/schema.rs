//! What is on the disk, and how does an older database become this one? One SQLite file in WAL
//! mode. `application_id` says that it is ours, `user_version` which format it has.
//!
//! A table is never changed where it stands: a new format is one more step in `STEPS`, tried from
//! every earlier format by a test. What tables mean:
//!
//! * `subject`: sites, machines, units and areas. `version` is the sequence of the latest change.
//! * `record`: one row for each record, never changed and never deleted; triggers see to that. Its
//!   number is its sequence. A record that supersedes another names it.
//! * `concern`: under which names a record is found, in order of time.
//! * `lesson`: counts of what fixes taught, kept in the same transaction as the records.
//! * `draft`: work that was left half way, until it is recorded or thrown away. Not a record.

use rusqlite::{Connection, Transaction, params};

/// "SWRD".
pub const APPLICATION_ID: i64 = 0x5357_5244;

/// The format that this version of the program writes.
pub const FORMAT: i64 = 3;

/// Step `n` makes format `n + 1` of format `n`; format 0 is an empty file.
const STEPS: [&str; FORMAT as usize] = [
    "
    CREATE TABLE store (
        only_row INTEGER PRIMARY KEY CHECK (only_row = 1),
        database_id BLOB NOT NULL CHECK (length(database_id) = 16)
    ) STRICT;

    CREATE TABLE subject (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL UNIQUE,
        holder INTEGER REFERENCES subject (id),
        kind TEXT NOT NULL CHECK (kind IN ('site', 'machine', 'unit', 'area')),
        retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
        created_us INTEGER NOT NULL,
        updated_us INTEGER NOT NULL,
        version INTEGER NOT NULL UNIQUE,
        request_id BLOB UNIQUE CHECK (length(request_id) = 16),
        format INTEGER NOT NULL,
        text TEXT NOT NULL
    ) STRICT;
    CREATE INDEX subject_held ON subject (holder, kind, name);

    CREATE TABLE record (
        number INTEGER PRIMARY KEY,
        subject INTEGER NOT NULL REFERENCES subject (id),
        kind TEXT NOT NULL,
        time_us INTEGER NOT NULL,
        created_us INTEGER NOT NULL,
        request_id BLOB NOT NULL UNIQUE CHECK (length(request_id) = 16),
        supersedes INTEGER REFERENCES record (number),
        withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
        unit_type TEXT NOT NULL,
        format INTEGER NOT NULL,
        text TEXT NOT NULL
    ) STRICT;
    CREATE UNIQUE INDEX record_superseded_once ON record (supersedes)
        WHERE supersedes IS NOT NULL;
    CREATE TRIGGER record_is_not_changed BEFORE UPDATE ON record
        BEGIN SELECT RAISE (ABORT, 'a record is never changed; amend it'); END;
    CREATE TRIGGER record_is_not_deleted BEFORE DELETE ON record
        BEGIN SELECT RAISE (ABORT, 'a record is never deleted; withdraw it'); END;

    CREATE TABLE concern (
        subject INTEGER NOT NULL REFERENCES subject (id),
        time_us INTEGER NOT NULL,
        record INTEGER NOT NULL REFERENCES record (number),
        kind TEXT NOT NULL,
        PRIMARY KEY (subject, time_us, record)
    ) STRICT, WITHOUT ROWID;

    CREATE TABLE lesson (
        site TEXT NOT NULL,
        equipment TEXT NOT NULL,
        unit_type TEXT NOT NULL,
        cause TEXT NOT NULL,
        topic TEXT NOT NULL CHECK (topic IN ('confirmed', 'finding', 'remedy')),
        item TEXT NOT NULL,
        yes INTEGER NOT NULL CHECK (yes >= 0),
        no INTEGER NOT NULL CHECK (no >= 0),
        PRIMARY KEY (site, equipment, unit_type, cause, topic, item)
    ) STRICT, WITHOUT ROWID;
    ",
    // The cause in a column, so that past fixes of a cause are found without reading all records.
    "
    DROP TRIGGER record_is_not_changed;
    ALTER TABLE record ADD COLUMN cause TEXT;
    UPDATE record SET cause = text ->> '$.detail.cause' WHERE kind = 'fault_fixed';
    CREATE INDEX record_cause ON record (cause, time_us, number) WHERE cause IS NOT NULL;
    CREATE TRIGGER record_is_not_changed BEFORE UPDATE ON record
        BEGIN SELECT RAISE (ABORT, 'a record is never changed; amend it'); END;
    ",
    // Work left half way.
    "
    CREATE TABLE draft (
        id BLOB PRIMARY KEY CHECK (length(id) = 16),
        procedure TEXT NOT NULL,
        subject TEXT NOT NULL,
        updated_us INTEGER NOT NULL,
        text TEXT NOT NULL
    ) STRICT, WITHOUT ROWID;
    ",
];

/// What a file is, before anything is done with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    /// Nothing in it yet.
    Empty,
    /// A database of ours of this format.
    Format(i64),
    /// A database of another program.
    Foreign,
}

pub fn look(connection: &Connection) -> rusqlite::Result<Found> {
    let pragma = |name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let tables: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    Ok(match (pragma("application_id")?, pragma("user_version")?, tables) {
        (0, 0, 0) => Found::Empty,
        (APPLICATION_ID, format, _) if format >= 1 => Found::Format(format),
        _ => Found::Foreign,
    })
}

/// Brings a database from a format to another, all steps or none.
pub fn migrate(connection: &mut Connection, from: i64, to: i64) -> rusqlite::Result<()> {
    let transaction = connection.transaction()?;
    for format in from..to {
        step(&transaction, format)?;
    }
    transaction.commit()
}

fn step(transaction: &Transaction<'_>, format: i64) -> rusqlite::Result<()> {
    let step = usize::try_from(format).ok().and_then(|at| STEPS.get(at));
    transaction.execute_batch(step.expect("formats run from 0 up to the newest"))?;
    if format == 0 {
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        set_new_database_id(transaction)?;
    }
    transaction.pragma_update(None, "user_version", format + 1)
}

/// Gives the database an id that no other has.
pub fn set_new_database_id(connection: &Connection) -> rusqlite::Result<()> {
    let id = uuid::Uuid::new_v4().into_bytes();
    connection.execute(
        "INSERT INTO store (only_row, database_id) VALUES (1, ?1)
         ON CONFLICT (only_row) DO UPDATE SET database_id = excluded.database_id",
        params![id],
    )?;
    Ok(())
}
