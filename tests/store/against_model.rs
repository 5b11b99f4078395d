//! Long runs of records, amendments, withdrawals, retries and changes, drawn by chance: whatever is
//! asked afterwards, before and after a restart, the database and a plain list say the same.

use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::lesson::Lesson;
use sward_core::domain::records::{NewRecord, Record, RecordKind, SubjectKind, SubjectName, Which};
use sward_core::store::{Change, Order, PageSize, RecordQuery, Store, SubjectQuery};

use super::model::Model;
use super::{Place, add_subjects, new_subject};
use crate::records::filled::{self, Dice, NOW, SUBJECTS, name};

/// Does the same thing to both and expects the same answer.
fn step(seed: u64, dice: &mut Dice, written: &mut Vec<Record>, stores: [&dyn Store; 2]) {
    let mut new = filled::record(seed);
    let told: Vec<_> = match dice.below(10) {
        // A retry of something stored before.
        0 if !written.is_empty() => {
            let old = written[dice.below(written.len())].clone();
            new = retried(&old);
            stores.iter().map(|store| store.append(vec![new.clone()], NOW)).collect()
        }
        // An amendment or withdrawal, some of them of what was superseded already.
        1..=3 if !written.is_empty() => {
            let old = &written[dice.below(written.len())];
            new.supersedes = Some(match dice.below(2) {
                0 => Which::Name(old.name.clone()),
                _ => Which::Request(old.request_id),
            });
            new.content.withdrawn = dice.below(3) == 0;
            stores.iter().map(|store| store.append(vec![new.clone()], NOW)).collect()
        }
        // A machine is renamed.
        4 => {
            let mut renamed = new_subject(name("sites/home/machines/gang"));
            renamed.label.display_name = format!("Gang {seed}");
            for store in stores {
                store.change_subject(renamed.clone(), None, NOW).expect("it is there");
            }
            return;
        }
        _ => stores.iter().map(|store| store.append(vec![new.clone()], NOW)).collect(),
    };
    match (&told[0], &told[1]) {
        (Ok(real), Ok(wanted)) => {
            assert_eq!(real, wanted, "seed {seed}");
            written.push(real[0].record.clone());
        }
        (Err(_), Err(_)) => {}
        (real, wanted) => panic!("seed {seed}: {real:?} and {wanted:?}"),
    }
}

/// What made a record.
pub fn retried(record: &Record) -> NewRecord {
    NewRecord {
        subject: record.name.subject.clone(),
        time: Some(record.time),
        request_id: record.request_id,
        supersedes: record.supersedes.as_ref().map(|old| Which::Name(old.name.clone())),
        content: record.content.clone(),
    }
}

/// All records of a query, page by page.
pub fn all_records(store: &dyn Store, query: &RecordQuery, size: i32) -> Vec<Record> {
    let size = PageSize::new(size).expect("a size");
    let mut found = Vec::new();
    let mut token = String::new();
    loop {
        let page = store.records(query, size, &token).expect("a page");
        assert!(page.items.len() <= size.items());
        found.extend(page.items);
        if page.next_token.is_empty() {
            return found;
        }
        token = page.next_token;
    }
}

fn queries() -> Vec<RecordQuery> {
    let mut queries = Vec::new();
    for subject in SUBJECTS.iter().map(|text| name(text)) {
        for order in [Order::NewestFirst, Order::OldestFirst, Order::AsStored] {
            let all = RecordQuery { order, ..RecordQuery::about(subject.clone()) };
            let history = RecordQuery { history: true, ..all.clone() };
            let kinds = RecordQuery {
                kinds: vec![RecordKind::Hours, RecordKind::FaultFixed],
                ..all.clone()
            };
            let span = RecordQuery {
                from: Some(NOW.plus_seconds(-700)),
                until: Some(NOW.plus_seconds(-300)),
                ..history.clone()
            };
            let cause = RecordQuery { cause: Some("edge_damage".to_owned()), ..span.clone() };
            queries.extend([all, history, kinds, span, cause]);
        }
    }
    queries
}

fn agree(real: &dyn Store, model: &dyn Store) {
    for query in queries() {
        let wanted = model.records(&query, PageSize::new(0).expect("a size"), "").expect("all");
        assert_eq!(all_records(real, &query, 23), wanted.items, "{query:?}");
    }
    for kind in [SubjectKind::Machine, SubjectKind::Area] {
        let query = SubjectQuery { parent: SubjectName::home(), kind, retired: true };
        let size = PageSize::new(100).expect("a size");
        let told = real.subjects(&query, size, "").expect("a page");
        assert_eq!(told, model.subjects(&query, size, "").expect("a page"));
    }
    let home = SubjectName::home();
    assert_eq!(real.all_subjects(home.site()).ok(), model.all_subjects(home.site()).ok());
    let lessons = |store: &dyn Store| -> Vec<Lesson> { store.lessons(None).expect("counts") };
    assert_eq!(lessons(real), lessons(model));
    assert_eq!(real.last_sequence(), model.last_sequence());
    let mut after = 0;
    loop {
        let changes: Vec<Change> = real.changes_since(after, 13).expect("changes");
        assert_eq!(changes, model.changes_since(after, 13).expect("changes"));
        let Some(last) = changes.last() else { break };
        after = last.sequence();
    }
}

#[test]
fn the_database_and_a_plain_list_say_the_same() {
    assert_eq!(RecordKind::ALL.len(), 7);
    let mut place = Place::new();
    let model = Model::new();
    add_subjects(&model);
    let mut dice = Dice::new(20_260_314);
    let mut written = Vec::new();
    for round in 0..3 {
        for seed in 0..150 {
            let seed = round * 1_000 + seed;
            step(seed, &mut dice, &mut written, [&place.store, &model]);
        }
        agree(&place.store, &model);
        place = place.reopened();
    }
    place.store.recount_lessons().expect("counts");
    agree(&place.store, &model);
    assert!(!model.lessons(None).expect("counts").is_empty(), "something was learnt");
}
