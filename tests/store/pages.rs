//! Pages neither repeat nor skip, whatever is stored between them.

use sward_core::domain::records::{SubjectName, Which};
use sward_core::store::{Order, PageSize, RecordQuery, Store, StoreError};

use super::Place;
use super::against_model::all_records;
use crate::records::filled::{self, NOW, name};

#[test]
fn pages_show_what_was_there_when_the_first_was_asked_for() {
    let place = Place::new();
    let store = &place.store;
    for order in [Order::NewestFirst, Order::OldestFirst, Order::AsStored] {
        let base = store.last_sequence();
        let records: Vec<_> = (0..30).map(|at| filled::record(base * 1_000 + at)).collect();
        store.append(records, NOW).expect("new");
        let query = RecordQuery { order, ..RecordQuery::about(SubjectName::home()) };
        let wanted = all_records(store, &query, 1_000);
        let size = PageSize::new(4).expect("a size");
        let (mut seen, mut token, mut at) = (Vec::new(), String::new(), 0);
        loop {
            let page = store.records(&query, size, &token).expect("a page");
            seen.extend(page.items.into_iter().map(|record| record.name));
            if page.next_token.is_empty() {
                break;
            }
            token = page.next_token;
            // A new record, and an amendment of one on a later page.
            let mut amendment = filled::record(base * 1_000 + 500 + at);
            at += 1;
            let later = wanted.iter().rev().find(|record| {
                !seen.contains(&record.name)
                    && store.record(&record.name).is_ok_and(|now| now.superseded_by.is_none())
            });
            amendment.supersedes = later.map(|record| Which::Name(record.name.clone()));
            store.append(vec![amendment], NOW).expect("new");
        }
        let wanted: Vec<_> = wanted.into_iter().map(|record| record.name).collect();
        assert_eq!(seen, wanted, "{order:?}");
        assert!(at > 5);
    }
}

#[test]
fn a_token_of_another_list_is_refused() {
    let place = Place::new();
    place.store.append((0..9).map(filled::record).collect(), NOW).expect("new");
    let home = RecordQuery::about(SubjectName::home());
    let size = PageSize::new(2).expect("a size");
    let token = place.store.records(&home, size, "").expect("a page").next_token;
    assert!(!token.is_empty());
    let other = RecordQuery { history: true, ..home.clone() };
    for (query, token) in [(&other, token.as_str()), (&home, "x"), (&home, &token[..10])] {
        let error = place.store.records(query, size, token).expect_err("not its token");
        assert!(matches!(&error, StoreError::Invalid(e) if e.field == "page_token"), "{error}");
    }
    let nobody = RecordQuery::about(name("sites/home/machines/nobody"));
    assert!(matches!(place.store.records(&nobody, size, ""), Err(StoreError::NotFound { .. })));
}
