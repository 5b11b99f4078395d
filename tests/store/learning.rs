//! Counts of what fixes taught follow every record at once, and are the same in any order.

use sward_core::domain::records::detail::{FaultFixed, Observation};
use sward_core::domain::records::lesson::{Lesson, Topic};
use sward_core::domain::records::{Content, Detail, NewRecord, RequestId, SubjectName, Which};
use sward_core::store::{Store, StoreError};

use super::Place;
use crate::records::filled::{self, Dice, NOW, name};

fn fix(at: u64, cause: &str, fixed: bool) -> NewRecord {
    let present = Some(at.is_multiple_of(2));
    let observation = Observation { finding: "uncut_line".to_owned(), present };
    let content = Content::new(Detail::FaultFixed(FaultFixed {
        fault: "uncut line".to_owned(),
        cause: cause.to_owned(),
        procedure: "dress_nick".to_owned(),
        fixed: Some(fixed),
        observations: vec![observation],
        ..FaultFixed::default()
    }));
    NewRecord {
        subject: name("sites/home/machines/triplex/units/1"),
        time: Some(NOW),
        request_id: RequestId::of_content(format!("fix {at}").as_bytes()),
        supersedes: None,
        content,
    }
}

fn counted(store: &dyn Store, topic: &Topic) -> (u64, u64) {
    let home = SubjectName::home();
    let lessons = store.lessons(Some(home.site())).expect("counts");
    let found = lessons.iter().find(|lesson| lesson.topic == *topic);
    found.map_or((0, 0), |lesson| (lesson.yes, lesson.no))
}

#[test]
fn a_fix_counts_until_it_is_amended_or_withdrawn() {
    let place = Place::new();
    let store = &place.store;
    let remedy = Topic::Remedy("dress_nick".to_owned());
    let stored = store.append(vec![fix(0, "edge_damage", true)], NOW).expect("new").remove(0);
    assert_eq!(counted(store, &Topic::Confirmed), (1, 0));
    assert_eq!(counted(store, &remedy), (1, 0));
    let lessons = store.lessons(None).expect("counts");
    assert_eq!(lessons[0].place.unit_type, "greens reel");
    // A retry teaches nothing new.
    store.append(vec![fix(0, "edge_damage", true)], NOW).expect("a retry");
    assert_eq!(counted(store, &Topic::Confirmed), (1, 0));
    // It had not cured it after all.
    let mut amendment = fix(1, "edge_damage", false);
    amendment.supersedes = Some(Which::Name(stored.record.name));
    let stored = store.append(vec![amendment], NOW).expect("an amendment").remove(0);
    assert_eq!(counted(store, &Topic::Confirmed), (0, 0));
    assert_eq!(counted(store, &remedy), (0, 1));
    let mut withdrawal = fix(2, "edge_damage", false);
    withdrawal.supersedes = Some(Which::Name(stored.record.name));
    withdrawal.content.withdrawn = true;
    store.append(vec![withdrawal], NOW).expect("a withdrawal");
    assert_eq!(store.lessons(None).expect("counts"), []);
    assert_eq!(store.lessons(Some(name("sites/other").site())).expect("counts"), []);
}

#[test]
fn a_batch_that_fails_teaches_nothing() {
    let place = Place::new();
    let mut lost = filled::record(2);
    lost.subject = name("sites/home/machines/nobody");
    let failed = place.store.append(vec![fix(0, "edge_damage", true), lost], NOW);
    assert!(matches!(failed, Err(StoreError::Invalid(_))));
    assert_eq!(place.store.lessons(None).expect("counts"), []);
}

#[test]
fn counts_are_the_same_in_any_order_and_when_made_anew() {
    let causes = ["edge_damage", "other", "uncut_line"];
    let fixes: Vec<NewRecord> =
        (0..60).map(|at| fix(at, causes[at as usize % 3], at % 5 != 0)).collect();
    let mut told: Vec<Vec<Lesson>> = Vec::new();
    for seed in 0..3 {
        let mut dice = Dice::new(seed);
        let mut shuffled = fixes.clone();
        for at in (1..shuffled.len()).rev() {
            shuffled.swap(at, dice.below(at + 1));
        }
        let place = Place::new();
        for new in shuffled {
            place.store.append(vec![new], NOW).expect("new");
        }
        told.push(place.store.lessons(None).expect("counts"));
        place.store.recount_lessons().expect("counts");
        told.push(place.store.lessons(None).expect("counts"));
    }
    assert!(told.iter().all(|lessons| *lessons == told[0]));
    let yes: u64 = told[0].iter().filter(|l| l.topic == Topic::Confirmed).map(|l| l.yes).sum();
    assert_eq!(yes, 48);
}
