//! The index finds what was acknowledged, whatever happens to it: a record by the first search
//! after it was stored, everything after a stop without warning, the same from files as from
//! memory, and all of it again when its files are gone, cut short or of another make.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};
use std::time::{Duration, Instant};

use sward_core::domain::catalogue::{Equipment, Knowledge};
use sward_core::domain::records::detail::{Detail, FaultFixed, HeightPoint, HeightReading};
use sward_core::domain::records::{
    Content, Moment, Record, RecordName, RequestId, SubjectName, Superseded,
};
use sward_core::embedded;
use sward_core::index::{Ask, Change, Found, Index, IndexError, Kind, Source, Ways};

static KNOWN: LazyLock<Knowledge> = LazyLock::new(embedded::knowledge);

/// Records kept in memory, in place of a store.
#[derive(Default)]
struct Book {
    records: Mutex<Vec<Record>>,
    id: AtomicU8,
}

const UNITS: [&str; 3] = [
    "sites/home/machines/triplex/units/1",
    "sites/home/machines/triplex/units/2",
    "sites/home/machines/gang/units/1",
];
const DAY_S: i64 = 86_400;
/// 2026-03-01 in UTC.
const SPRING: Moment = Moment::from_microseconds(1_772_323_200_000_000);

impl Book {
    fn records(&self) -> std::sync::MutexGuard<'_, Vec<Record>> {
        self.records.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Writes a record of these words down and answers its number.
    fn write(&self, unit: &str, day: i64, cause: &str, words: &str) -> u64 {
        let mut content = Content::new(Detail::FaultFixed(FaultFixed {
            fault: words.to_owned(),
            cause: cause.to_owned(),
            ..FaultFixed::default()
        }));
        content.equipment = Some(Equipment::ReelUnit);
        self.write_content(unit, day, content, None)
    }

    fn write_content(&self, unit: &str, day: i64, content: Content, old: Option<u64>) -> u64 {
        let mut records = self.records();
        let number = records.len() as u64 + 1;
        let subject = SubjectName::parse("subject", unit).expect("a name");
        let name = RecordName { subject, number };
        let supersedes = old.map(|old| {
            let old = &mut records[old as usize - 1];
            old.superseded_by = Some(name.clone());
            Superseded { name: old.name.clone(), request_id: old.request_id }
        });
        let time = SPRING.plus_seconds(day * DAY_S);
        records.push(Record {
            name,
            time,
            created: time,
            request_id: RequestId::of_content(&number.to_be_bytes()),
            supersedes,
            superseded_by: None,
            unit_type: String::new(),
            content,
        });
        number
    }

    /// A season of plain faults.
    fn filled(count: i64) -> Arc<Book> {
        let book = Book::default();
        let faults = [
            ("edge_damage", "thin line of grass left in the same place"),
            ("bedknife_loose", "gap lost by noon, two bedknife screws loose"),
            ("tyre_pressure_wrong", "one side lower, left tyre soft"),
            ("reel_bearing_worn", "growl and end play at the drive side"),
            ("clip_too_long", "ripples across the travel"),
        ];
        for day in 0..count {
            let at = usize::try_from(day).expect("a small number");
            let (cause, words) = faults[at % faults.len()];
            book.write(UNITS[at % UNITS.len()], day, cause, words);
        }
        Arc::new(book)
    }
}

impl Source for Book {
    fn database_id(&self) -> [u8; 16] {
        [self.id.load(Ordering::SeqCst); 16]
    }

    fn last_sequence(&self) -> u64 {
        self.records().len() as u64
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, String> {
        let records = self.records();
        let later = records.iter().filter(|record| record.name.number > sequence).take(limit);
        let change = |record: &Record| Change {
            sequence: record.name.number,
            record: Some(Box::new(record.clone())),
        };
        Ok(later.map(change).collect())
    }
}

fn open(directory: &Path, book: &Arc<Book>) -> Result<Index, IndexError> {
    Index::open(directory, &KNOWN, Arc::clone(book) as Arc<dyn Source>)
}

fn in_memory(book: &Arc<Book>) -> Index {
    let source = Arc::clone(book) as Arc<dyn Source>;
    Index::in_memory(&KNOWN, Ways::ALL, Some(source)).expect("memory")
}

fn ask(query: &str) -> Ask {
    Ask { query: query.to_owned(), limit: 10, ..Ask::default() }
}

fn of_records(query: &str) -> Ask {
    Ask { kinds: vec![Kind::Record], ..ask(query) }
}

fn names(found: &Found) -> Vec<String> {
    found.hits.iter().map(|hit| hit.document.name.clone()).collect()
}

fn found(index: &Index, query: &str) -> Vec<String> {
    names(&index.search(&ask(query)).expect("an answer"))
}

/// Whether the record of this number is among what is found.
fn finds(index: &Index, query: &str, number: u64) -> bool {
    let found = index.search(&of_records(query)).expect("an answer");
    found.hits.iter().any(|hit| hit.document.key == number)
}

fn wait_until_committed(index: &Index) {
    let until = Instant::now() + Duration::from_secs(30);
    while index.uncommitted() > 0 {
        assert!(Instant::now() < until, "the changes were not committed");
        std::thread::sleep(Duration::from_millis(10));
    }
}

const QUERIES: [&str; 6] = [
    "bedknife screws loose",
    "thin line of uncut grass",
    "ripples",
    "soft tire",
    "growling bearing on the triplex",
    "3.2 mm",
];

#[test]
fn a_record_is_found_by_the_first_search_after_it_was_stored() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(20);
    for index in [open(place.path(), &book).expect("an index"), in_memory(&book)] {
        for round in 0..40 {
            let word = format!("marker{round}x{}", book.last_sequence());
            let number = book.write(UNITS[0], round, "edge_damage", &word);
            assert!(finds(&index, &word, number), "{word}");
        }
    }
}

#[test]
fn every_writer_finds_its_own_record_while_others_write() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(0);
    let index = open(place.path(), &book).expect("an index");
    std::thread::scope(|scope| {
        for writer in 0..4 {
            let (index, book) = (&index, &book);
            scope.spawn(move || {
                for round in 0..50 {
                    let word = format!("writer{writer}round{round}");
                    let number = book.write(UNITS[1], round, "edge_damage", &word);
                    assert!(finds(index, &word, number), "{word}");
                }
            });
        }
    });
    let all = Ask { subject: Some("sites/home".to_owned()), ..ask("") };
    assert_eq!(index.search(&all).expect("an answer").total, 200);
}

#[test]
fn what_was_not_committed_is_there_after_a_stop_without_warning() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(5);
    let mut last = 0;
    for round in 0..12 {
        let index = open(place.path(), &book).expect("an index");
        if round > 0 {
            assert!(finds(&index, &format!("stopped{}", round - 1), last), "round {round}");
        }
        last = book.write(UNITS[0], round, "edge_damage", &format!("stopped{round}"));
        assert!(finds(&index, &format!("stopped{round}"), last));
        // Some are stopped before the commit, some in the middle of it, some after it.
        std::thread::sleep(Duration::from_millis(u64::try_from(round).expect("small") * 20));
        drop(index);
    }
    let index = open(place.path(), &book).expect("an index");
    assert_eq!(index.search(&of_records("stopped7")).expect("an answer").total, 1);
    let all = Ask { subject: Some("sites/home".to_owned()), ..ask("") };
    assert_eq!(index.search(&all).expect("an answer").total, book.last_sequence());
}

#[test]
fn files_and_memory_answer_alike() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(90);
    let on_disk = open(place.path(), &book).expect("an index");
    wait_until_committed(&on_disk);
    let in_memory = in_memory(&book);
    for query in QUERIES {
        let (disk, memory) = (on_disk.search(&ask(query)), in_memory.search(&ask(query)));
        let (disk, memory) = (disk.expect("an answer"), memory.expect("an answer"));
        assert_eq!(names(&disk), names(&memory), "{query}");
        assert_eq!((disk.total, &disk.kinds), (memory.total, &memory.kinds), "{query}");
        assert_eq!(disk.causes, memory.causes, "{query}");
        for (a, b) in disk.hits.iter().zip(&memory.hits) {
            assert!((a.score - b.score).abs() < 1e-9, "{query}: {} {}", a.score, b.score);
            assert_eq!(a.snippet, b.snippet, "{query}");
        }
    }
}

#[test]
fn files_of_another_make_are_made_again_and_swept() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(10);
    let first = open(place.path(), &book).expect("an index");
    let first_folder = first.folder().expect("files").to_owned();
    drop(first);
    let other = Knowledge { version: "another".to_owned(), ..KNOWN.clone() };
    let second = Index::open(place.path(), &other, Arc::clone(&book) as Arc<dyn Source>);
    let second = second.expect("an index");
    let second_folder = second.folder().expect("files").to_owned();
    assert!(second_folder != first_folder && !first_folder.exists());
    // A database that was restored has an id of its own; the open index says so and the next one
    // is of the other records.
    book.id.store(9, Ordering::SeqCst);
    let error = second.search(&ask("ripples")).expect_err("other records");
    assert!(matches!(error, IndexError::Damaged(_)), "{error}");
    drop(second);
    let third = open(place.path(), &book).expect("an index");
    assert!(!second_folder.exists());
    assert!(finds(&third, "ripples", 5));
}

#[test]
fn files_ahead_of_the_records_are_made_again() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(30);
    let index = open(place.path(), &book).expect("an index");
    wait_until_committed(&index);
    drop(index);
    book.records().truncate(12);
    let index = open(place.path(), &book).expect("an index");
    let all = Ask { subject: Some("sites/home".to_owned()), ..ask("") };
    assert_eq!(index.search(&all).expect("an answer").total, 12);
}

/// The files of an index.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("a folder").flatten();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    files.retain(|path| !path.to_string_lossy().ends_with(".lock"));
    files.sort();
    files
}

#[test]
fn damaged_files_are_made_again() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(30);
    let expected: Vec<Vec<String>> = {
        let memory = in_memory(&book);
        QUERIES.iter().map(|query| found(&memory, query)).collect()
    };
    let index = open(place.path(), &book).expect("an index");
    wait_until_committed(&index);
    let folder = index.folder().expect("files").to_owned();
    drop(index);
    let endings: Vec<String> = files(&folder)
        .iter()
        .map(|path| path.extension().unwrap_or_default().to_string_lossy().into_owned())
        .collect();
    assert!(endings.len() > 5, "{endings:?}");
    type Harm = fn(&Path);
    let harms: [(&str, Harm); 3] = [
        ("cut to half", |path| {
            let bytes = fs::read(path).expect("a file");
            fs::write(path, &bytes[..bytes.len() / 2]).expect("written");
        }),
        ("emptied", |path| fs::write(path, b"").expect("written")),
        ("deleted", |path| fs::remove_file(path).expect("deleted")),
    ];
    // Every file is harmed in one way, and the list of them in every way.
    let each = (0..endings.len()).map(|at| (endings[at].clone(), harms[at % harms.len()]));
    for (ending, (name, harm)) in each.chain(harms.map(|harm| ("json".to_owned(), harm))) {
        let files = files(&folder);
        let found_path = files.iter().rev().find(|path| path.to_string_lossy().ends_with(&ending));
        let Some(path) = found_path else { continue };
        harm(path);
        let index = open(place.path(), &book).unwrap_or_else(|e| panic!("{name} {path:?}: {e}"));
        wait_until_committed(&index);
        for (query, expected) in QUERIES.iter().zip(&expected) {
            assert_eq!(&found(&index, query), expected, "{name} {path:?}: {query}");
        }
    }
    fs::remove_dir_all(&folder).expect("deleted");
    let index = open(place.path(), &book).expect("an index");
    assert_eq!(found(&index, QUERIES[0]), expected[0]);
}

#[test]
fn files_that_another_holds_are_left_alone() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(10);
    let index = open(place.path(), &book).expect("an index");
    wait_until_committed(&index);
    let folder = index.folder().expect("files").to_owned();
    let before = files(&folder);
    let error = open(place.path(), &book).err().expect("it is held");
    assert!(matches!(error, IndexError::Unusable { .. }), "{error}");
    assert_eq!(files(&folder), before);
    assert!(finds(&index, "ripples", 5));
}

#[test]
fn amended_and_withdrawn_records_are_found_as_they_stand() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(0);
    let index = open(place.path(), &book).expect("an index");
    let wrong = book.write(UNITS[0], 1, "edge_damage", "zebra mark");
    assert!(finds(&index, "zebra", wrong));
    for commit_first in [false, true] {
        if commit_first {
            wait_until_committed(&index);
        }
        let standing = book.last_sequence();
        let content = book.records()[standing as usize - 1].content.clone();
        let right = book.write_content(UNITS[0], 1, content, Some(standing));
        assert!(finds(&index, "zebra", right));
        assert_eq!(index.search(&of_records("zebra")).expect("an answer").total, 1);
    }
    wait_until_committed(&index);
    let standing = book.last_sequence();
    let mut content = book.records()[standing as usize - 1].content.clone();
    content.withdrawn = true;
    book.write_content(UNITS[0], 1, content, Some(standing));
    assert_eq!(index.search(&of_records("zebra")).expect("an answer").total, 0);
    wait_until_committed(&index);
    drop(index);
    let index = open(place.path(), &book).expect("an index");
    assert_eq!(index.search(&of_records("zebra")).expect("an answer").total, 0);
}

/// (what is asked, a note that must be found): own wording, common practice, no source.
#[test]
fn other_names_and_wrong_letters_find_the_same() {
    let memory = in_memory(&Book::filled(0));
    for (query, note) in [
        ("bottom blade screws", "notes/bedknife_screws_order"),
        ("bedknife screws", "notes/bedknife_screws_order"),
        ("bedknfie screws", "notes/bedknife_screws_order"),
        ("tire pressure", "notes/tyre_pressure_first"),
        ("tyre pressure", "notes/tyre_pressure_first"),
        ("cylinder worn to a cone", "notes/taper_cause"),
        ("spindel bearing", "notes/spindle_bearing_signs"),
        ("hydralic hoses", "notes/hydraulic_hose_inspection"),
        ("judder of the deck", "notes/deck_vibration"),
    ] {
        let hits = found(&memory, query);
        assert!(hits.iter().take(5).any(|hit| hit == note), "{query}: {hits:?}");
    }
    let reply = memory.search(&ask("hydralic hoses")).expect("an answer");
    assert!(reply.repairs.is_empty(), "trade words are repaired without a word");
    let reply = memory.search(&ask("opperator")).expect("an answer");
    assert_eq!(reply.repairs.len(), 1);
    assert_eq!(reply.repairs[0].meant, ["oper"]);
}

/// Part numbers are written with and without their signs, and in pieces (common practice, no
/// source). The numbers are invented.
#[test]
fn a_part_number_is_found_however_it_is_written() {
    let book = Book::filled(0);
    let belt = book.write(UNITS[0], 1, "edge_damage", "fitted belt 104-22B from the shelf");
    let other = book.write(UNITS[1], 1, "edge_damage", "fitted belt 104-23B, bolt M8x1.25");
    let index = in_memory(&book);
    for query in ["104-22b", "10422B", "belt 104-22b"] {
        let found = index.search(&of_records(query)).expect("an answer");
        assert_eq!(found.hits.first().map(|hit| hit.document.key), Some(belt), "{query}");
    }
    assert!(!finds(&index, "10422b", other));
    assert!(finds(&index, "m8x1.25", other));
    assert!(finds(&index, "104", belt), "a piece is better than nothing");
}

/// Conversions: 1 in = 25.4 mm exactly (international yard and pound agreement, 1959); 1 psi =
/// 6.894 757 kPa (NIST SP 811, from memory).
#[test]
fn a_quantity_is_found_in_any_unit() {
    let book = Book::filled(0);
    let written = [
        ("gap read at 3.175 mm", "1/8 in"),
        ("cut at 1/8 in", "3.2 mm"),
        ("shim of 2 thou", "0.05 mm"),
        ("set to .125\"", "3.18 mm"),
        ("tyres at 10 psi", "10 psi"),
        ("travel of 4 mph", "6.4 km/h"),
        ("between 12 and 15 mm", "12 mm"),
    ];
    let numbers: Vec<u64> =
        written.iter().map(|(words, _)| book.write(UNITS[0], 1, "edge_damage", words)).collect();
    let index = in_memory(&book);
    for ((words, query), number) in written.iter().zip(numbers) {
        assert!(finds(&index, query, number), "{words} <- {query}");
    }
    for far in ["3.3 mm", "1/4 in", "5 thou"] {
        let found = index.search(&of_records(far)).expect("an answer");
        assert_eq!(found.total, 0, "{far}: {:?}", names(&found));
    }
    let mut content = Content::new(Detail::HeightReading(HeightReading {
        readings: vec![HeightPoint { height_mm: Some(3.175), ..HeightPoint::default() }],
        ..HeightReading::default()
    }));
    content.words = "bench".to_owned();
    let number = book.write_content(UNITS[0], 2, content, None);
    assert!(finds(&index, "1/8 in bench", number), "a field is a quantity too");
}

#[test]
fn filters_keep_what_they_say() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(60);
    let on_disk = open(place.path(), &book).expect("an index");
    wait_until_committed(&on_disk);
    for index in [on_disk, in_memory(&book)] {
        let total = |ask: Ask| index.search(&ask).expect("an answer").total;
        let subject = |name: &str| Ask { subject: Some(name.to_owned()), ..ask("") };
        assert_eq!(total(subject("sites/home")), 60);
        assert_eq!(total(subject(UNITS[0])), 20);
        assert_eq!(total(subject("sites/home/machines/triplex")), 40);
        assert_eq!(total(subject("sites/home/machines/tri")), 0);
        let from = Some(SPRING.plus_seconds(10 * DAY_S));
        let until = Some(SPRING.plus_seconds(20 * DAY_S));
        assert_eq!(total(Ask { from, until, ..ask("") }), 10);
        assert_eq!(total(Ask { from, ..subject(UNITS[0]) }), 16);
        let cause = |cause: &str| Ask { cause: Some(cause.to_owned()), ..ask("") };
        let loose = index.search(&cause("bedknife_loose")).expect("an answer");
        assert_eq!(loose.kinds.iter().find(|(kind, _)| *kind == Kind::Record).unwrap().1, 12);
        assert!(loose.kinds.iter().any(|(kind, _)| *kind == Kind::Note));
        assert!(loose.kinds.iter().any(|(kind, _)| *kind == Kind::Procedure));
        let named = |causes: &[String]| causes.iter().any(|cause| cause == "bedknife_loose");
        assert!(loose.hits.iter().all(|hit| named(&hit.document.causes)));
        assert_eq!(total(Ask { kinds: vec![Kind::Note], ..ask("bedknife") }), {
            let all = index.search(&ask("bedknife")).expect("an answer");
            all.kinds.iter().find(|(kind, _)| *kind == Kind::Note).unwrap().1
        });
        let ripples = index.search(&of_records("ripples")).expect("an answer");
        assert_eq!(ripples.causes, [("clip_too_long".to_owned(), 12)]);
    }
}

#[test]
fn pages_neither_repeat_nor_skip_while_others_write() {
    let place = tempfile::tempdir().expect("a directory");
    let book = Book::filled(60);
    let on_disk = open(place.path(), &book).expect("an index");
    wait_until_committed(&on_disk);
    for index in [on_disk, in_memory(&book)] {
        for query in ["ripples", "bedknife screws loose", "mower cut grass"] {
            let whole = Ask { limit: 100, ..of_records(query) };
            let whole = names(&index.search(&whole).expect("an answer"));
            let mut paged = Vec::new();
            let mut after = None;
            loop {
                let page = Ask { limit: 3, after, ..of_records(query) };
                let page = index.search(&page).expect("an answer");
                paged.extend(names(&page));
                book.write(UNITS[2], 70, "clip_too_long", "ripples, bedknife screws loose, cut");
                after = page.next;
                if after.is_none() {
                    break;
                }
            }
            assert_eq!(paged, whole, "{query}");
        }
    }
}

#[test]
fn without_words_the_latest_comes_first_and_unknown_words_find_nothing() {
    let book = Book::filled(25);
    let index = in_memory(&book);
    let all = Ask { subject: Some("sites/home".to_owned()), ..ask("") };
    let found = index.search(&all).expect("an answer");
    let keys: Vec<u64> = found.hits.iter().map(|hit| hit.document.key).collect();
    assert_eq!(keys, (16..=25).rev().collect::<Vec<u64>>());
    for query in ["xqzzyw", "the and of", "%%%", "\u{1f600}"] {
        assert_eq!(index.search(&ask(query)).expect("an answer").total, 0, "{query}");
    }
}

#[test]
fn a_snippet_is_the_text_and_marks_what_was_sought() {
    let index = in_memory(&Book::filled(0));
    for query in QUERIES {
        for hit in index.search(&ask(query)).expect("an answer").hits {
            let marked = hit.snippet.iter().filter(|piece| piece.matched).count();
            let text: String = hit.snippet.iter().map(|piece| piece.text.as_str()).collect();
            let text = text.trim_start_matches("\u{2026} ").trim_end_matches(" \u{2026}");
            let body = hit.document.body.replace('\n', " ");
            assert!(body.contains(text), "{query}: {text}");
            assert!(text.len() <= 200, "{query}: {text}");
            let in_body = hit.document.body.to_lowercase().contains("bedknife screws");
            assert!(marked > 0 || !in_body, "{query}: {text}");
        }
    }
}
