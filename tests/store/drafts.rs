//! Work left half way is kept through a restart and a backup, replaced, thrown away, and bounded.

use sward_core::domain::limits::{DRAFT_BYTES_MAX, DRAFTS_MAX};
use sward_core::domain::records::{Moment, RequestId};
use sward_core::store::drafts::Draft;
use sward_core::store::{Store, StoreError};

use super::{Place, open};

fn draft(number: u8, at: i64) -> Draft {
    Draft {
        id: RequestId::from_bytes([number.max(1); 16]).expect("not all zero"),
        procedure: "set_height_of_cut".to_owned(),
        subject: String::new(),
        updated: Moment::from_microseconds(at),
        text: format!("{{\"number\":{number}}}"),
    }
}

#[test]
fn a_draft_outlives_a_restart_and_is_copied_with_the_rest() {
    let place = Place::new();
    let sequence = place.store.last_sequence();
    place.store.keep_draft(draft(1, 10)).expect("kept");
    place.store.keep_draft(draft(2, 20)).expect("kept");
    assert_eq!(place.store.last_sequence(), sequence, "a draft is no change to the records");
    let place = place.reopened();
    assert_eq!(place.store.drafts().expect("read"), [draft(2, 20), draft(1, 10)]);
    let copy = place.directory.path().join("copy.sqlite3");
    place.store.backup(&copy).expect("copied");
    place.store.drop_draft(draft(1, 0).id).expect("thrown away");
    place.store.drop_draft(draft(1, 0).id).expect("away already");
    assert_eq!(place.store.draft(draft(1, 0).id).expect("read"), None);
    place.store.restore(&copy).expect("put back");
    assert_eq!(place.store.draft(draft(1, 0).id).expect("read"), Some(draft(1, 10)));
}

#[test]
fn the_same_draft_is_replaced_and_their_number_is_bounded() {
    let place = Place::new();
    for number in 1..=DRAFTS_MAX {
        let number = u8::try_from(number).expect("a hundred fits");
        place.store.keep_draft(draft(number, i64::from(number))).expect("kept");
    }
    place.store.keep_draft(draft(7, 999)).expect("replaced");
    assert_eq!(place.store.drafts().expect("read")[0], draft(7, 999));
    let error = place.store.keep_draft(draft(200, 1)).expect_err("too many");
    assert!(matches!(error, StoreError::Invalid(_)), "{error}");
    assert!(error.to_string().contains("throw one away"), "{error}");
    let mut long = draft(7, 1);
    long.text = "x".repeat(DRAFT_BYTES_MAX + 1);
    assert!(place.store.keep_draft(long).is_err());
    drop(place.store);
    assert_eq!(open(place.directory.path()).expect("open").drafts().expect("read").len(), 100);
}
