//! Which records does an answer about the fleet rest on? All that stand of the site, page by page
//! into a ledger, so that the records themselves are never held together.

use tokio::sync::{Semaphore, mpsc};
use tokio_stream::wrappers::UnboundedReceiverStream;
use tonic::Status;

use crate::config;
use crate::domain::fleet::{Books, Entry, Ledger};
use crate::domain::records::{Moment, Record, SubjectKind, SubjectName};
use crate::pb;
use crate::service::records::keeping::{now, parent, waiting};
use crate::service::status::{invalid, not_found};
use crate::service::{Shop, gate};
use crate::store::{Order, PageSize, RecordQuery, Store};

/// Records in one page.
const PAGE_RECORDS: i32 = 1_000;
/// Progress is told after so many pages.
const PAGES_TOLD: u64 = 10;

pub type Sender<T> = mpsc::UnboundedSender<Result<T, Status>>;
/// The pieces of a long reply, as they are made.
pub type Made<T> = UnboundedReceiverStream<Result<T, Status>>;

/// What a question is about, and when now is.
pub struct Scope {
    pub parent: SubjectName,
    pub now: Moment,
}

impl Scope {
    /// Areas have no machines, so nothing is due on them.
    pub fn of(name: &str, as_of: Option<&prost_types::Timestamp>) -> Result<Scope, Status> {
        let parent = parent(name)?;
        if parent.kind() == SubjectKind::Area {
            return Err(invalid("parent", name, "give a site, a machine or a unit"));
        }
        Ok(Scope { parent, now: moment("as_of_time", as_of)?.unwrap_or_else(now) })
    }

    /// Whether the question is about this unit.
    pub fn holds(&self, name: &SubjectName) -> bool {
        match &self.parent {
            SubjectName::Site { .. } => true,
            SubjectName::Machine { .. } => name.machine() == self.parent.machine(),
            SubjectName::Unit { .. } | SubjectName::Area { .. } => *name == self.parent,
        }
    }
}

pub fn moment(
    field: &str,
    time: Option<&prost_types::Timestamp>,
) -> Result<Option<Moment>, Status> {
    let moment = time.map(|time| Moment::from_timestamp(field, time.seconds, time.nanos));
    Ok(moment.transpose()?)
}

/// Reads all that stands up to now; `told` hears of every few pages how many records were read.
pub fn read(shop: &Shop, scope: &Scope, told: impl FnMut(u64)) -> Result<Books, Status> {
    read_with(shop, scope, told, |_| {})
}

/// The same, and shows each record that stands, the oldest first.
pub fn read_each(
    shop: &Shop,
    scope: &Scope,
    seen: impl FnMut(&Record),
) -> Result<Books, Status> {
    read_with(shop, scope, |_| {}, seen)
}

fn read_with(
    shop: &Shop,
    scope: &Scope,
    mut told: impl FnMut(u64),
    mut seen: impl FnMut(&Record),
) -> Result<Books, Status> {
    let site = SubjectName::Site { site: scope.parent.site().clone() };
    let Some(store) = shop.store_if_any()? else {
        return nothing(scope);
    };
    let subjects = store.all_subjects(scope.parent.site())?;
    if subjects.is_empty() {
        return nothing(scope);
    }
    if scope.parent != site && !subjects.iter().any(|subject| subject.name == scope.parent) {
        return Err(unknown(&scope.parent));
    }
    let mut ledger = Ledger::new(&subjects, scope.now);
    let query = RecordQuery {
        // Up to and including now.
        until: Some(Moment::from_microseconds(scope.now.microseconds().saturating_add(1))),
        order: Order::OldestFirst,
        ..RecordQuery::about(site)
    };
    let (size, mut token) = (PageSize::new(PAGE_RECORDS)?, String::new());
    for page_number in 1.. {
        let page = store.records(&query, size, &token)?;
        for record in &page.items {
            ledger.read(Entry::from(record));
            seen(record);
        }
        token = page.next_token;
        if token.is_empty() {
            break;
        }
        if page_number % PAGES_TOLD == 0 {
            told(ledger.record_count());
        }
    }
    Ok(ledger.close())
}

/// Nobody has recorded anything here yet.
fn nothing(scope: &Scope) -> Result<Books, Status> {
    match &scope.parent {
        SubjectName::Site { .. } => Ok(Ledger::new(&[], scope.now).close()),
        other => Err(unknown(other)),
    }
}

pub fn unknown(name: &SubjectName) -> Status {
    let kind = name.kind().word();
    not_found(kind, &name.to_string(), &format!("add the {kind} first, or give another"))
}

/// A reply made from the books, on a thread that may wait. So many calls at once must not each hold
/// all that the records say, so they take turns.
pub async fn from_books<T: Send + 'static>(
    make: impl FnOnce() -> Result<T, Status> + Send + 'static,
) -> Result<T, Status> {
    static TURNS: Semaphore = Semaphore::const_new(config::BOOKS_AT_ONCE);
    let _turn = TURNS.acquire().await.map_err(|error| Status::internal(error.to_string()))?;
    waiting(make).await
}

/// The same in pieces. They wait for a slow reader while the books are closed and others have their
/// turn.
pub fn in_pieces<T: Send + 'static>(
    make: impl FnOnce(&Sender<T>) -> Result<(), Status> + Send + 'static,
) -> Made<T> {
    let (pieces, made) = mpsc::unbounded_channel();
    let errors = pieces.clone();
    let work = from_books(move || {
        // Nobody waits any more when the turn has come: then there is nothing to do.
        if pieces.is_closed() { Ok(()) } else { make(&pieces) }
    });
    tokio::spawn(gate::within(async move {
        if let Err(status) = work.await {
            // Whoever asked may have gone away.
            let _ = errors.send(Err(status));
        }
    }));
    UnboundedReceiverStream::new(made)
}

/// Sends a piece; an error ends the work, since whoever asked has gone away.
pub fn send<T>(pieces: &Sender<T>, piece: T) -> Result<(), Status> {
    pieces.send(Ok(piece)).map_err(|_| Status::cancelled("nobody waits for the answer"))
}

/// The ground of a due time in the contract.
pub fn ground(ground: crate::domain::fleet::due::Ground) -> pb::DueGround {
    use crate::domain::fleet::due::Ground;
    match ground {
        Ground::Wear => pb::DueGround::Wear,
        Ground::Failures => pb::DueGround::Failures,
        Ground::Habit => pb::DueGround::Habit,
        Ground::Inspection => pb::DueGround::Inspection,
        Ground::Usual => pb::DueGround::Usual,
        Ground::NotEnough => pb::DueGround::NotEnough,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    /// However many ask at once, no more books are open than may be.
    #[tokio::test(flavor = "multi_thread")]
    async fn books_are_open_by_turns() {
        static OPEN: AtomicUsize = AtomicUsize::new(0);
        static MOST: AtomicUsize = AtomicUsize::new(0);
        let one = || {
            from_books(|| {
                MOST.fetch_max(1 + OPEN.fetch_add(1, Ordering::SeqCst), Ordering::SeqCst);
                std::thread::sleep(std::time::Duration::from_millis(20));
                OPEN.fetch_sub(1, Ordering::SeqCst);
                Ok(())
            })
        };
        let asked: Vec<_> = (0..6).map(|_| tokio::spawn(one())).collect();
        for answer in asked {
            answer.await.expect("it ends").expect("it is answered");
        }
        let most = MOST.load(Ordering::SeqCst);
        assert!((1..=config::BOOKS_AT_ONCE).contains(&most), "{most} at once");
    }
}
