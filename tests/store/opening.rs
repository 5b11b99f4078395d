//! What is found when a store is opened: an older format, a newer one, a file of another program,
//! damage, or another server.

use std::fs;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use sward_core::domain::records::SubjectName;
use sward_core::domain::records::export::json_line;
use sward_core::store::{DataDirectory, FORMAT, Order, RecordQuery, Store, StoreError};

use super::against_model::all_records;
use super::{Place, open};
use crate::records::filled::{self, NOW, name};

fn database(directory: &Path) -> PathBuf {
    directory.join("records.sqlite3")
}

/// A closed store of sixty records, and what its lists said.
fn written() -> (tempfile::TempDir, Vec<sward_core::domain::records::Record>) {
    let place = Place::new();
    place.store.append((0..60).map(filled::record).collect(), NOW).expect("new");
    let home = RecordQuery::about(SubjectName::home());
    let records = all_records(&place.store, &home, 100);
    let Place { store, directory } = place;
    drop(store);
    (directory, records)
}

/// A database as format 1 wrote it, by hand, and how each of its records stands in a table.
const FORMAT_1: &str = include_str!("format_1.sql");
const FORMAT_1_RECORDS: &str = include_str!("format_1.jsonl");
/// What made format 2 of it.
const FORMAT_2: &str = include_str!("format_2.sql");

fn lines(store: &dyn Store, query: RecordQuery) -> String {
    let query = RecordQuery { history: true, order: Order::AsStored, ..query };
    all_records(store, &query, 100).iter().map(|record| json_line(record, true)).collect()
}

#[test]
fn every_earlier_format_is_brought_up_with_all_it_holds() {
    assert_eq!(FORMAT, 3, "a new format needs its earlier ones here");
    brought_up(1, &[FORMAT_1]);
    brought_up(2, &[FORMAT_1, FORMAT_2]);
}

fn brought_up(format: i64, made_by: &[&str]) {
    let older = tempfile::tempdir().expect("a directory");
    let path = database(older.path());
    for sql in made_by {
        Connection::open(&path).expect("open").execute_batch(sql).expect("an older format");
    }
    let store = open(older.path()).expect("brought up to date");
    assert_eq!(lines(&store, RecordQuery::about(SubjectName::home())), FORMAT_1_RECORDS);
    // The cause became a column, so fixes are found by it.
    let about = RecordQuery::about(SubjectName::home());
    let damaged = RecordQuery { cause: Some("edge_damage".to_owned()), ..about };
    let fixes: Vec<&str> =
        FORMAT_1_RECORDS.lines().filter(|line| line.contains("edge_damage")).collect();
    assert_eq!(lines(&store, damaged).lines().collect::<Vec<_>>(), fixes);
    // The counts that were kept are those that the records give.
    let lessons = store.lessons(None).expect("counts");
    assert_eq!(lessons.len(), 3);
    store.recount_lessons().expect("counts");
    assert_eq!(store.lessons(None).expect("counts"), lessons);
    let mut new = (0..)
        .map(filled::record)
        .find(|new| new.content.detail.named_subjects().is_empty())
        .expect("most name none");
    new.subject = name("sites/home/machines/old-bess/units/3");
    store.append(vec![new], NOW).expect("it goes on");
    drop(store);

    // The old file was kept, sound and in its own format.
    let kept = older.path().join(format!("records.format-{format}.sqlite3"));
    let kept = Connection::open(kept).expect("kept");
    let found: i64 =
        kept.pragma_query_value(None, "user_version", |row| row.get(0)).expect("a format");
    assert_eq!(found, format);
    // What came of it has the same tables as a new one.
    let (today, _) = written();
    assert_eq!(tables(&path), tables(&database(today.path())));
}

/// The statements that made a database, each with its blanks drawn together.
fn tables(path: &Path) -> Vec<String> {
    let connection = Connection::open(path).expect("open");
    let mut statement = connection
        .prepare("SELECT coalesce(sql, name) FROM sqlite_schema ORDER BY name")
        .expect("SQL");
    let rows = statement.query_map([], |row| row.get::<_, String>(0)).expect("rows");
    rows.map(|sql| {
        let sql = sql.expect("text");
        sql.split_whitespace().collect::<Vec<_>>().join(" ")
    })
    .collect()
}

#[test]
fn a_newer_format_is_left_alone() {
    let (directory, _) = written();
    let path = database(directory.path());
    let connection = Connection::open(&path).expect("open");
    connection.pragma_update(None, "user_version", FORMAT + 1).expect("a newer format");
    drop(connection);
    let before = fs::read(&path).expect("bytes");
    let error = open(directory.path()).err().expect("too new");
    assert!(matches!(error, StoreError::TooNew { found, .. } if found == FORMAT + 1), "{error}");
    assert_eq!(fs::read(&path).expect("bytes"), before);
}

#[test]
fn a_file_of_another_program_is_left_alone() {
    for content in ["sqlite", "text"] {
        let directory = tempfile::tempdir().expect("a directory");
        let path = database(directory.path());
        if content == "sqlite" {
            let connection = Connection::open(&path).expect("open");
            connection.execute_batch("CREATE TABLE theirs (a)").expect("SQL");
        } else {
            fs::write(&path, "To whom it may concern: these are my notes.\n".repeat(50))
                .expect("written");
        }
        let before = fs::read(&path).expect("bytes");
        let error = open(directory.path()).err().expect("not ours");
        assert!(matches!(error, StoreError::Corrupt { .. }), "{content}: {error}");
        assert_eq!(fs::read(&path).expect("bytes"), before, "{content}");
    }
}

/// Every page of the file in turn is overwritten in its middle. Each time the damage is told when
/// the store is opened with a check, or it is harmless: then all records are as they were.
#[test]
fn damage_is_told_or_harmless() {
    let (directory, records) = written();
    let path = database(directory.path());
    let sound = fs::read(&path).expect("bytes");
    let mut told = 0;
    let pages = sound.len() / 4_096;
    for page in 0..pages {
        let mut file = fs::File::options().write(true).open(&path).expect("open");
        file.seek(SeekFrom::Start(page as u64 * 4_096)).expect("a page");
        file.write_all(&[0xa5; 64]).expect("damaged");
        drop(file);
        match open(directory.path()) {
            Err(StoreError::Corrupt { .. }) => told += 1,
            Err(error) => panic!("page {page}: {error}"),
            Ok(store) => {
                let home = RecordQuery::about(SubjectName::home());
                assert_eq!(all_records(&store, &home, 100), records, "page {page}");
            }
        }
        for leftover in ["records.sqlite3-wal", "records.sqlite3-shm"] {
            let _ = fs::remove_file(directory.path().join(leftover));
        }
        fs::write(&path, &sound).expect("mended");
    }
    assert!(told + 1 >= pages, "{told} of {pages}");
    assert_eq!(
        all_records(
            &open(directory.path()).expect("mended"),
            &RecordQuery::about(SubjectName::home()),
            100
        ),
        records
    );
}

#[test]
fn a_second_server_is_told_who_has_the_directory() {
    let place = Place::new();
    let error = DataDirectory::claim(place.directory.path(), false).expect_err("it is taken");
    let message = error.to_string();
    assert!(matches!(error, StoreError::InUse { .. }), "{message}");
    assert!(message.contains(&format!("process {}", std::process::id())), "{message}");
    place.reopened();
}

#[test]
fn a_record_is_never_changed_or_deleted_behind_our_back() {
    let (directory, _) = written();
    let connection = Connection::open(database(directory.path())).expect("open");
    for sql in ["UPDATE record SET kind = 'hours'", "DELETE FROM record"] {
        let error = connection.execute(sql, []).expect_err("a trigger stands before it");
        assert!(error.to_string().contains("a record is never"), "{error}");
    }
}

#[test]
fn only_the_owner_can_read_the_records() {
    let parent = tempfile::tempdir().expect("a directory");
    let path = parent.path().join("data");
    drop(open(&path).expect("new"));
    let mode =
        std::os::unix::fs::PermissionsExt::mode(&fs::metadata(&path).expect("there").permissions());
    assert_eq!(mode & 0o077, 0);
    let mut lock = String::new();
    fs::File::open(path.join("lock")).expect("there").read_to_string(&mut lock).expect("text");
    assert!(lock.starts_with("process "));
}
