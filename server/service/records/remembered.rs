//! What of the shop's past is kept in memory, so that a diagnosis need not read it again? The fixes
//! of a unit or a site, and the networks that were learned. It is never stale: before anything is
//! taken from it, it hears of every change since, and forgets what the change touches.
//! Deliberately absent: what the past means for a diagnosis (`domain::past_fixes`, `learning`).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use tonic::Status;

use super::learned::counts;
use crate::domain::catalogue::Equipment;
use crate::domain::complaint::QuestionError;
use crate::domain::diagnosis::Network;
use crate::domain::diagnosis::learning::{self, Strengths, Whose};
use crate::domain::past_fixes::{self, PastFix};
use crate::domain::records::{Detail, Id, Record, RecordKind, SubjectName, concerned};
use crate::store::{Change, DatabaseId, PageSize, RecordQuery, Store, StoreError};

/// Faults read back of a unit and of its shop, newest first.
const FIXES_READ: i32 = 200;
/// Latest records of a site that say who works there.
const PEOPLE_READ: i32 = 1_000;
/// After more changes than these it is cheaper to begin anew.
const CHANGES_HEARD_MAX: usize = 200;
/// Units and sites, and learned networks, kept at most.
const SUBJECTS_MAX: usize = 256;
const NETWORKS_MAX: usize = 64;

/// A network that fixes changed, and how many fixes there were.
pub struct Learned {
    pub network: Network,
    pub fixes: u64,
}

/// What was read of the past, up to one change.
#[derive(Default)]
pub struct Remembered {
    /// Which database, and its last change that was heard of.
    heard: Option<(DatabaseId, u64)>,
    fixes: BTreeMap<SubjectName, Arc<Vec<PastFix>>>,
    networks: Vec<(Equipment, Whose, Arc<Learned>)>,
    /// By site: who did the latest work.
    people: BTreeMap<Id, BTreeSet<String>>,
}

impl Remembered {
    /// The confirmed fixes among the latest faults of a unit or a site, newest first.
    pub fn fixes(
        &mut self,
        store: &dyn Store,
        about: &SubjectName,
    ) -> Result<Arc<Vec<PastFix>>, StoreError> {
        self.catch_up(store)?;
        if let Some(fixes) = self.fixes.get(about) {
            return Ok(Arc::clone(fixes));
        }
        let kinds = vec![RecordKind::FaultFixed];
        let query = RecordQuery { kinds, ..RecordQuery::about(about.clone()) };
        let size = PageSize::new(FIXES_READ).map_err(StoreError::Invalid)?;
        let fixes = Arc::new(past_fixes::of_records(&store.records(&query, size, "")?.items));
        if self.fixes.len() >= SUBJECTS_MAX {
            self.fixes.clear();
        }
        self.fixes.insert(about.clone(), Arc::clone(&fixes));
        Ok(fixes)
    }

    /// Who did the latest work of a site, as the records write them.
    pub fn people(&mut self, store: &dyn Store, site: &Id) -> Result<Vec<String>, StoreError> {
        self.catch_up(store)?;
        if !self.people.contains_key(site) {
            let query = RecordQuery::about(SubjectName::Site { site: site.clone() });
            let size = PageSize::new(PEOPLE_READ).map_err(StoreError::Invalid)?;
            let latest = store.records(&query, size, "")?.items;
            let people = latest.into_iter().map(|record| record.content.done_by);
            let people = people.filter(|person| !person.is_empty()).collect();
            self.people.insert(site.clone(), people);
        }
        Ok(self.people.get(site).into_iter().flatten().cloned().collect())
    }

    /// The table's network of a kind with all that fixes taught.
    pub fn learned(
        &mut self,
        store: &dyn Store,
        (kind, table): (Equipment, &Network),
        whose: &Whose,
    ) -> Result<Arc<Learned>, Status> {
        self.catch_up(store)?;
        let known = self.networks.iter().find(|known| known.0 == kind && known.1 == *whose);
        if let Some((_, _, learned)) = known {
            return Ok(Arc::clone(learned));
        }
        let counts = counts(&store.lessons(None)?, kind);
        let network = learning::apply(table, &counts, whose, &Strengths::default())
            .map_err(QuestionError::from)?;
        let learned = Arc::new(Learned { network, fixes: counts.records() });
        if self.networks.len() >= NETWORKS_MAX {
            self.networks.clear();
        }
        self.networks.push((kind, whose.clone(), Arc::clone(&learned)));
        Ok(learned)
    }

    /// Forgets what the changes touch that came since. What is read afterwards may be newer than
    /// the last change heard of; it is then forgotten once more than it need be.
    fn catch_up(&mut self, store: &dyn Store) -> Result<(), StoreError> {
        let (database, last) = (store.database_id(), store.last_sequence());
        match self.heard {
            Some((known, sequence)) if known == database && sequence <= last => {
                if sequence == last {
                    return Ok(());
                }
                let changes = store.changes_since(sequence, CHANGES_HEARD_MAX)?;
                if changes.len() == CHANGES_HEARD_MAX {
                    *self = Remembered::default();
                } else {
                    changes.iter().for_each(|change| self.forget(change));
                }
            }
            _ => *self = Remembered::default(),
        }
        self.heard = Some((database, last));
        Ok(())
    }

    fn forget(&mut self, change: &Change) {
        let Change::Record(record) = change else { return };
        let record: &Record = record;
        if let Some(people) = self.people.get_mut(record.name.subject.site())
            && !record.content.done_by.is_empty()
        {
            people.insert(record.content.done_by.clone());
        }
        if record.supersedes.is_some() {
            // What it replaces may have been about anything.
            self.fixes.clear();
            self.networks.clear();
        } else if matches!(record.content.detail, Detail::FaultFixed(_)) {
            self.networks.clear();
            for subject in concerned(&record.name.subject, &record.content) {
                self.fixes.remove(&subject);
            }
        }
    }
}
