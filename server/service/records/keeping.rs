//! When are the records opened, and who may wait for them? The store opens with the first call that
//! needs it, so that a question without history costs nothing; every call of it runs on a thread
//! that may wait.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

use tokio::sync::Semaphore;
use tonic::Status;

use crate::config;
use crate::domain::catalogue::Knowledge;
use crate::domain::records::check::Vocabulary;
use crate::domain::records::fields::CatalogueList;
use crate::domain::records::{Moment, RequestId, SubjectName};
use crate::index::{self, Source};
use crate::service::{Shop, gate};
use crate::store::{Change, DataDirectory, Options, SqliteStore, Store, StoreError};

/// The store of a shop, once it was needed.
#[derive(Default)]
pub struct Keeper {
    open: Mutex<Option<Arc<SqliteStore>>>,
}

/// The store, as the search index reads it.
pub struct Findable(pub Arc<SqliteStore>);

impl Source for Findable {
    fn database_id(&self) -> [u8; 16] {
        self.0.database_id().0
    }

    fn last_sequence(&self) -> u64 {
        self.0.last_sequence()
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<index::Change>, String> {
        let changes = self.0.changes_since(sequence, limit).map_err(|error| error.to_string())?;
        let seen = |change: Change| {
            let sequence = change.sequence();
            let record = match change {
                Change::Record(record) => Some(record),
                Change::Subject(_) => None,
            };
            index::Change { sequence, record }
        };
        Ok(changes.into_iter().map(seen).collect())
    }
}

impl Shop {
    /// The store; makes the data directory when there is none.
    pub(in crate::service) fn store(&self) -> Result<Arc<SqliteStore>, StoreError> {
        // What it holds is replaced whole, so a panic elsewhere leaves nothing half done.
        let mut open = self.keeper.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(store) = open.as_ref() {
            return Ok(Arc::clone(store));
        }
        let directory = DataDirectory::claim(&self.data, false)?;
        let store = Arc::new(SqliteStore::open(directory, Options::default(), now())?);
        self.find_records_in(Arc::new(Findable(Arc::clone(&store))));
        *open = Some(Arc::clone(&store));
        Ok(store)
    }

    /// Opens the records before the first call, where there are any, so that nobody comes between.
    pub fn hold(&self) -> Result<(), StoreError> {
        if DataDirectory::was_claimed(&self.data) {
            self.store()?;
        }
        Ok(())
    }

    /// To be called after each acknowledged write.
    pub(in crate::service) fn written(&self) {
        self.index_changed();
    }

    /// The store, unless nobody has recorded anything here yet.
    pub(in crate::service) fn store_if_any(&self) -> Result<Option<Arc<SqliteStore>>, StoreError> {
        let open = self.keeper.open.lock().unwrap_or_else(PoisonError::into_inner).clone();
        if open.is_some() || self.data.join(crate::store::data_directory::DATABASE_FILE).exists() {
            return self.store().map(Some);
        }
        Ok(None)
    }
}

/// Work on the store, on a thread that may wait for the disk.
pub async fn with_store<T: Send + 'static>(
    shop: &Arc<Shop>,
    work: impl FnOnce(&Shop, &SqliteStore) -> Result<T, Status> + Send + 'static,
) -> Result<T, Status> {
    let shop = Arc::clone(shop);
    waiting(move || {
        let store = shop.store()?;
        work(&shop, &store)
    })
    .await
}

/// Work that may wait. It keeps the place of its call until it is done, even when nobody waits any
/// more for the answer.
pub async fn waiting<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Status> + Send + 'static,
) -> Result<T, Status> {
    // Each thread keeps memory of its own: few threads that are always busy keep the least.
    static DISK: Semaphore = Semaphore::const_new(config::DISK_CALLS);
    let turn = DISK.acquire().await.map_err(|error| Status::internal(error.to_string()))?;
    let call = gate::current();
    let done = tokio::task::spawn_blocking(move || {
        let _places = (call, turn);
        work()
    });
    let done = done.await;
    done.map_err(|error| Status::internal(format!("the work broke off: {error}")))?
}

pub fn now() -> Moment {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Moment::from_microseconds(i64::try_from(since.as_micros()).unwrap_or(i64::MAX))
}

/// The id that a caller chose, or one drawn by chance.
pub fn request_id(text: &str) -> Result<RequestId, Status> {
    if text.is_empty() {
        let drawn = RequestId::from_bytes(*uuid::Uuid::new_v4().as_bytes());
        return Ok(drawn.expect("a UUID of version 4 is not all zeros"));
    }
    Ok(RequestId::parse("request_id", text)?)
}

/// What a request is about; a single shop need not say its site.
pub fn parent(text: &str) -> Result<SubjectName, Status> {
    if text.is_empty() { Ok(SubjectName::home()) } else { Ok(SubjectName::parse("parent", text)?) }
}

/// The ids that a record may name.
pub struct Catalogue<'a>(pub &'a Knowledge);

impl Vocabulary for Catalogue<'_> {
    fn has(&self, list: CatalogueList, id: &str) -> bool {
        match list {
            CatalogueList::Findings => self.0.finding(id).is_some(),
            CatalogueList::Causes => self.0.causes.iter().any(|cause| cause.id == id),
            CatalogueList::Procedures => self.0.procedure(id).is_some(),
        }
    }
}
