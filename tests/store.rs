//! The store keeps what it was given: through reopening, retries, amendments, pages asked for while
//! others write, older formats, damage, a second server, and a backup that is put back.

mod model;
pub mod against_model;
mod records;
mod pages;
mod learning;
mod opening;
mod copies;
mod drafts;
mod demo;

use std::path::Path;

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::records::subject::{Area, Facts, Label, Machine, Unit};
use sward_core::domain::records::{NewSubject, Subject, SubjectKind, SubjectName};
use sward_core::store::{DataDirectory, Options, SqliteStore, Store, StoreError};

use crate::records::filled::{NOW, SUBJECTS, name};

/// A store in a directory that goes with it.
pub struct Place {
    pub store: SqliteStore,
    pub directory: tempfile::TempDir,
}

impl Place {
    pub fn new() -> Place {
        let directory = tempfile::tempdir().expect("a directory");
        let store = open(directory.path()).expect("a new store");
        add_subjects(&store);
        Place { store, directory }
    }

    /// Closes the store and opens it again, as a restart does.
    pub fn reopened(self) -> Place {
        let Place { store, directory } = self;
        drop(store);
        let store = open(directory.path()).expect("the store as it was");
        Place { store, directory }
    }
}

pub fn open(path: &Path) -> Result<SqliteStore, StoreError> {
    SqliteStore::open(DataDirectory::claim(path, false)?, Options { check: true }, NOW)
}

/// The machines, units and areas that filled records are about.
pub fn add_subjects(store: &dyn Store) -> Vec<Subject> {
    let mut names: Vec<SubjectName> = SUBJECTS.iter().map(|text| name(text)).collect();
    names.push(name("sites/home/machines/gang"));
    names.sort();
    names.retain(|name| name.kind() != SubjectKind::Site);
    names.into_iter().map(|name| store.add_subject(new_subject(name), NOW).expect("new")).collect()
}

pub fn new_subject(name: SubjectName) -> NewSubject {
    let facts = match name.kind() {
        SubjectKind::Site => Facts::Site,
        SubjectKind::Machine => {
            Facts::Machine(Machine { equipment: Some(Equipment::ReelUnit), ..Machine::default() })
        }
        SubjectKind::Unit => {
            Facts::Unit(Unit { unit_type: "greens reel".to_owned(), ..Unit::default() })
        }
        SubjectKind::Area => Facts::Area(Area::default()),
    };
    let label = Label { display_name: name.id().to_string(), ..Label::default() };
    NewSubject { name, request_id: None, label, facts }
}
