//! One record at a time: retries, amendments, what is refused, and many writers at once.

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::records::{NewRecord, Record, RecordName, RequestId, SubjectName, Which};
use sward_core::store::{RecordQuery, Store, StoreError};

use super::against_model::{all_records, retried};
use super::{Place, new_subject};
use crate::records::filled::{self, NOW, name};

fn one(store: &dyn Store, new: NewRecord) -> Result<Record, StoreError> {
    store.append(vec![new], NOW).map(|mut stored| stored.remove(0).record)
}

fn field_of(error: &StoreError) -> &str {
    match error {
        StoreError::Conflict(error) | StoreError::Invalid(error) => &error.field,
        _ => "",
    }
}

#[test]
fn a_retry_gives_the_first_record_and_another_content_is_refused() {
    let place = Place::new();
    let mut new = filled::record(1);
    new.time = None;
    let first = place.store.append(vec![new.clone()], NOW).expect("new").remove(0);
    assert!(!first.already_there);
    let later = NOW.plus_seconds(3_600);
    let again = place.store.append(vec![new.clone()], later).expect("a retry").remove(0);
    assert!(again.already_there);
    assert_eq!(again.record, first.record);
    let place = place.reopened();
    new.content.words = "something else".to_owned();
    let error = one(&place.store, new).expect_err("the id was used");
    assert!(matches!(error, StoreError::Conflict(_)));
    assert_eq!(field_of(&error), "request_id");
    assert_eq!(all_records(&place.store, &RecordQuery::about(SubjectName::home()), 10).len(), 1);
}

#[test]
fn an_amendment_leaves_what_it_amends_and_is_the_only_one() {
    let place = Place::new();
    let old = one(&place.store, filled::record(1)).expect("new");
    let mut amendment = filled::record(2);
    amendment.supersedes = Some(Which::Name(old.name.clone()));
    let newer = one(&place.store, amendment.clone()).expect("an amendment");
    let kept = place.store.record(&old.name).expect("history stays");
    assert_eq!(kept.superseded_by.as_ref(), Some(&newer.name));
    assert_eq!(Record { superseded_by: None, ..kept }, old);
    // The same again is a retry; another amendment of the old one is not.
    assert_eq!(one(&place.store, amendment.clone()).expect("a retry"), newer);
    amendment.request_id = filled::record(3).request_id;
    let error = one(&place.store, amendment).expect_err("it is superseded");
    let StoreError::Conflict(error) = error else { panic!("{error}") };
    assert!(error.remedy.contains(&newer.name.to_string()), "{error}");
}

#[test]
fn a_batch_is_stored_whole_or_not_at_all() {
    let place = Place::new();
    let mut lost = filled::record(2);
    lost.subject = name("sites/home/machines/nobody");
    let error = place.store.append(vec![filled::record(1), lost.clone()], NOW).expect_err("lost");
    assert_eq!(field_of(&error), "parent");
    assert_eq!(place.store.record_of_request(filled::record(1).request_id).expect("read"), None);
    let each = place
        .store
        .append_each(vec![filled::record(1), lost, filled::record(3)], NOW)
        .expect("each by itself");
    let stored: Vec<bool> = each.iter().map(Result::is_ok).collect();
    assert_eq!(stored, [true, false, true]);
    // What was refused left no gap.
    let numbers: Vec<u64> = each.iter().flatten().map(|one| one.record.name.number).collect();
    assert_eq!(numbers[1], numbers[0] + 1);
}

#[test]
fn what_does_not_exist_or_is_there_already_is_named() {
    let place = Place::new();
    let store = &place.store;
    let gone = RecordName { subject: SubjectName::home(), number: 99_999 };
    assert!(matches!(store.record(&gone), Err(StoreError::NotFound { .. })));
    let again = store.add_subject(new_subject(name("sites/home/machines/gang")), NOW);
    assert!(matches!(again, Err(StoreError::AlreadyExists { .. })));
    let orphan = store.add_subject(new_subject(name("sites/home/machines/none/units/1")), NOW);
    assert_eq!(field_of(&orphan.expect_err("no such machine")), "parent");
    let stale = store.change_subject(new_subject(name("sites/home/areas/6-green")), Some(1), NOW);
    assert_eq!(field_of(&stale.expect_err("changed since")), "etag");
    let mut amendment = filled::record(1);
    amendment.supersedes = Some(Which::Request(filled::record(9).request_id));
    assert_eq!(field_of(&one(store, amendment).expect_err("none to amend")), "supersedes");
}

#[test]
fn a_machine_asked_for_twice_is_added_once() {
    let place = Place::new();
    let mut new = new_subject(name("sites/home/machines/new"));
    new.request_id = Some(RequestId::of_content(b"add it"));
    let first = place.store.add_subject(new.clone(), NOW).expect("new");
    assert_eq!(place.store.add_subject(new.clone(), NOW).expect("a retry"), first);
    new.name = name("sites/home/machines/other");
    assert_eq!(field_of(&place.store.add_subject(new, NOW).expect_err("reused")), "request_id");
}

#[test]
fn a_name_with_any_holder_finds_the_record() {
    let place = Place::new();
    let mut new = filled::record(1);
    new.subject = name("sites/home/machines/triplex/units/1");
    let record = one(&place.store, new).expect("new");
    for (holder, found) in [
        ("sites/home", true),
        ("sites/home/machines/triplex", true),
        ("sites/home/machines/gang", false),
        ("sites/home/machines/triplex/units/2", false),
    ] {
        let asked = RecordName { subject: name(holder), number: record.name.number };
        assert_eq!(place.store.record(&asked).is_ok(), found, "{holder}");
    }
}

#[test]
fn equipment_that_was_not_said_is_that_of_the_machine_then() {
    let place = Place::new();
    let mut new = filled::record(1);
    new.subject = name("sites/home/machines/triplex/units/1");
    new.content.equipment = None;
    let record = one(&place.store, new.clone()).expect("new");
    assert_eq!(record.content.equipment, Some(Equipment::ReelUnit));
    assert_eq!(record.unit_type, "greens reel");
    assert_eq!(one(&place.store, new).expect("a retry"), record);
    assert_eq!(place.store.record(&record.name).expect("stored"), record);
}

#[test]
fn many_writers_at_once_lose_and_double_nothing() {
    const WRITERS: u64 = 8;
    const EACH: u64 = 40;
    let place = Place::new();
    let before = place.store.last_sequence();
    let store = &place.store;
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            scope.spawn(move || {
                for at in 0..EACH {
                    // Every other record is written by two of them at once.
                    let seed = if at % 2 == 0 {
                        writer / 2 * 1_000 + at
                    } else {
                        100_000 + writer * 1_000 + at
                    };
                    let record = one(store, filled::record(seed)).expect("stored");
                    // What was acknowledged can be read.
                    let read = store.record(&record.name).expect("stored");
                    assert_eq!(retried(&read), filled::record(seed));
                }
            });
        }
    });
    let distinct = WRITERS * EACH / 2 + WRITERS / 2 * EACH / 2;
    let place = place.reopened();
    let home = RecordQuery { history: true, ..RecordQuery::about(SubjectName::home()) };
    assert_eq!(all_records(&place.store, &home, 1_000).len() as u64, distinct);
    assert_eq!(place.store.last_sequence(), before + distinct);
}
