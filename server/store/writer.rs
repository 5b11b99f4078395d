//! How do many callers write at once? One thread owns the connection that writes. It takes all
//! changes that wait, makes them in one transaction, syncs once, and only then answers each caller.
//! So an answer means that the change is on the disk, and a sync serves as many as were waiting.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread::JoinHandle;

use rusqlite::{Connection, TransactionBehavior};

use super::changes::Changes;
use super::error::StoreError;
use super::read::Reading;

/// Changes that share one transaction at most: a bound on how long the first waits for the last.
const GROUP_MAX: usize = 256;
/// Changes that may wait before callers wait to hand theirs in.
const WAITING_MAX: usize = 1_024;

/// A change with the caller that waits for it.
trait Job: Send {
    /// Makes the change. An error other than one of the request undoes the whole group.
    fn make(&mut self, changes: &mut Changes<'_>) -> Result<(), StoreError>;

    /// Answers the caller, once the group is on the disk or has failed.
    fn answer(self: Box<Self>, group: &Result<(), StoreError>);
}

struct Waiting<T, C> {
    change: Option<C>,
    made: Option<Result<T, StoreError>>,
    caller: Sender<Result<T, StoreError>>,
}

impl<T, C> Job for Waiting<T, C>
where
    T: Send,
    C: FnOnce(&mut Changes<'_>) -> Result<T, StoreError> + Send,
{
    fn make(&mut self, changes: &mut Changes<'_>) -> Result<(), StoreError> {
        let change = self.change.take().expect("a job is made once");
        let made = change(changes);
        let of_group = match &made {
            Err(error) if !error.is_of_request() => Err(error.clone()),
            _ => Ok(()),
        };
        self.made = Some(made);
        of_group
    }

    fn answer(self: Box<Self>, group: &Result<(), StoreError>) {
        let answer = match (group, self.made) {
            (Err(error), _) => Err(error.clone()),
            (Ok(()), Some(made)) => made,
            (Ok(()), None) => Err(StoreError::Stopped),
        };
        // A caller that has gone away has no use for the answer; the change stands.
        let _ = self.caller.send(answer);
    }
}

/// Work that needs the connection to itself, outside any transaction.
type Alone = Box<dyn FnOnce(&mut Connection) + Send>;

enum Task {
    Change(Box<dyn Job>),
    Alone(Alone),
}

/// The thread that writes. Dropping it lets the thread finish what it has and end.
pub struct Writer {
    tasks: Option<SyncSender<Task>>,
    thread: Option<JoinHandle<()>>,
    committed: Arc<AtomicU64>,
}

impl Writer {
    pub fn start(connection: Connection, path: PathBuf) -> Result<Writer, StoreError> {
        let sequence = Reading { connection: &connection, path: &path }.last_sequence()?;
        let committed = Arc::new(AtomicU64::new(sequence));
        let (tasks, waiting) = sync_channel(WAITING_MAX);
        let loops = Loop { connection, path, committed: Arc::clone(&committed) };
        let thread = std::thread::Builder::new()
            .name("store-writer".to_owned())
            .spawn(move || loops.run(&waiting))
            .map_err(|error| StoreError::failed("starting the writer", error))?;
        Ok(Writer { tasks: Some(tasks), thread: Some(thread), committed })
    }

    /// Number of the last change on the disk.
    pub fn last_sequence(&self) -> u64 {
        self.committed.load(Ordering::Acquire)
    }

    /// Makes a change, or none of it, and waits until it is on the disk.
    pub fn change<T: Send + 'static>(
        &self,
        change: impl FnOnce(&mut Changes<'_>) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        self.several(move |changes| changes.attempt(change))
    }

    /// Makes several changes, each of them in an attempt of its own, and waits until they are on
    /// the disk. (An attempt around all of them would be slow: SQLite goes through everything that
    /// the outer one may have to take back whenever an inner one ends.)
    pub fn several<T: Send + 'static>(
        &self,
        change: impl FnOnce(&mut Changes<'_>) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let (caller, answer) = channel();
        let job = Waiting { change: Some(change), made: None, caller };
        self.send(Task::Change(Box::new(job)))?;
        answer.recv().unwrap_or(Err(StoreError::Stopped))
    }

    /// Does something with the connection alone, after all changes handed in before it.
    pub fn alone<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let (caller, answer) = channel();
        self.send(Task::Alone(Box::new(move |connection| {
            let _ = caller.send(work(connection));
        })))?;
        answer.recv().unwrap_or(Err(StoreError::Stopped))
    }

    fn send(&self, task: Task) -> Result<(), StoreError> {
        let tasks = self.tasks.as_ref().ok_or(StoreError::Stopped)?;
        tasks.send(task).map_err(|_| StoreError::Stopped)
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        self.tasks = None;
        if let Some(thread) = self.thread.take() {
            // A writer that panicked has told so already.
            let _ = thread.join();
        }
    }
}

struct Loop {
    connection: Connection,
    path: PathBuf,
    committed: Arc<AtomicU64>,
}

impl Loop {
    fn run(mut self, waiting: &Receiver<Task>) {
        while let Ok(first) = waiting.recv() {
            let mut next = Some(first);
            while let Some(task) = next.take() {
                match task {
                    Task::Alone(work) => self.alone(work),
                    Task::Change(job) => next = self.group(job, waiting),
                }
            }
        }
    }

    /// Work alone may replace everything, so the count of changes is read anew.
    fn alone(&mut self, work: Alone) {
        work(&mut self.connection);
        let reading = Reading { connection: &self.connection, path: &self.path };
        if let Ok(sequence) = reading.last_sequence() {
            self.committed.store(sequence, Ordering::Release);
        }
    }

    /// Makes a job and all that wait behind it; gives back a task that does not belong to them.
    fn group(&mut self, first: Box<dyn Job>, waiting: &Receiver<Task>) -> Option<Task> {
        let mut jobs = vec![first];
        let mut other = None;
        while jobs.len() < GROUP_MAX {
            match waiting.try_recv() {
                Ok(Task::Change(job)) => jobs.push(job),
                Ok(task) => {
                    other = Some(task);
                    break;
                }
                Err(_) => break,
            }
        }
        let outcome = self.commit(&mut jobs);
        if let Ok(sequence) = &outcome {
            self.committed.store(*sequence, Ordering::Release);
        }
        let outcome = outcome.map(|_| ());
        for job in jobs {
            job.answer(&outcome);
        }
        other
    }

    /// All jobs in one transaction; the number of the last change when it is on the disk.
    fn commit(&mut self, jobs: &mut [Box<dyn Job>]) -> Result<u64, StoreError> {
        let sequence = self.committed.load(Ordering::Acquire);
        let path = &self.path;
        let failed = |cause| StoreError::sqlite("writing", path, cause);
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        let reading = Reading { connection: &transaction, path };
        let mut changes = Changes { reading, sequence };
        for job in jobs {
            job.make(&mut changes)?;
        }
        let sequence = changes.sequence;
        transaction.commit().map_err(failed)?;
        Ok(sequence)
    }
}
