//! How do a question and what is there come together? An `Index` takes in every acknowledged change
//! before it answers, so that a record is found by the first search after it was stored. Answers
//! come from one snapshot of files and shelf; the pages of one answer come from the same snapshot.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use tantivy::TantivyError;

use super::ask::{Ask, Cursor, Found, Hit};
use super::disk::Disk;
use super::document::{Titles, of_knowledge, of_record};
use super::keeper::{self, COMMIT_CHANGES, Entry, Writer};
use super::query::{Filter, Plan};
use super::rank::{Collected, Place};
use super::shelf::{Counted, Shelf};
use super::snapshot::{At, Both, Snapshot};
use super::snippet::snippet;
use super::terms::{Pipeline, Ways};
use super::{Change, IndexError, Source, opening};
use crate::domain::catalogue::Knowledge;
use crate::domain::records::Record;

/// Changes read from the records at once.
const READ_CHANGES: usize = 1_000;
/// More changes than these are put into the files at start, fewer on the shelf.
const SHELF_CHANGES_MAX: u64 = 500;
/// Changes in one commit while the files are made.
const MAKING_CHANGES: usize = 50_000;
/// Changes that may wait for the keeper, and how long a search waits for it when it is behind.
const WAITING_MAX: usize = 4 * COMMIT_CHANGES;
const BEHIND_WAIT: Duration = Duration::from_millis(5);
const BEHIND_WAITS_MAX: usize = 400;
/// Answers whose next pages are kept as they were.
const PAGED_SNAPSHOTS_MAX: usize = 16;

/// The way to the keeper of the files; there is none where there are no files.
#[derive(Default)]
struct Feed {
    keeper: Option<SyncSender<Entry>>,
    /// What the keeper could not take yet. It goes before anything newer, or it would be missing
    /// from the files when the newer is in them.
    waiting: VecDeque<Entry>,
}

/// Everything that can be found.
pub struct Index {
    pipeline: Pipeline,
    titles: Titles,
    source: Option<Arc<dyn Source>>,
    /// Whose records these are.
    database: [u8; 16],
    folder: Option<PathBuf>,
    current: Arc<Mutex<Arc<Snapshot>>>,
    /// Held by whoever reads changes, so that each is read once and in order.
    feed: Mutex<Feed>,
    keeper: Option<JoinHandle<()>>,
    paged: Mutex<VecDeque<Arc<Snapshot>>>,
}

impl Index {
    /// Everything in memory: nothing is written, and nothing but the source outlasts it.
    pub fn in_memory(
        knowledge: &Knowledge,
        ways: Ways,
        source: Option<Arc<dyn Source>>,
    ) -> Result<Index, IndexError> {
        let pipeline = Pipeline::new(knowledge, ways);
        let shelf =
            Shelf { documents: knowledge_documents(knowledge, &pipeline), ..Shelf::default() };
        let snapshot = Snapshot { sequence: 0, disk: None, shelf };
        let index = Index {
            pipeline,
            titles: Titles::new(knowledge),
            database: source.as_ref().map_or([0; 16], |source| source.database_id()),
            source,
            folder: None,
            current: Arc::new(Mutex::new(Arc::new(snapshot))),
            feed: Mutex::default(),
            keeper: None,
            paged: Mutex::new(VecDeque::new()),
        };
        index.catch_up()?;
        Ok(index)
    }

    /// Opens the files below a directory that are of this knowledge and this database; makes them
    /// when there are none, or none that can be read.
    pub fn open(
        directory: &Path,
        knowledge: &Knowledge,
        source: Arc<dyn Source>,
    ) -> Result<Index, IndexError> {
        let folder = opening::folder(directory, &knowledge.version, source.database_id());
        match Index::open_folder(folder.clone(), knowledge, Arc::clone(&source)) {
            Err(IndexError::Damaged(why)) => {
                tracing::warn!(why, folder = %folder.display(), "search index is made again");
                opening::set_aside(&folder).map_err(|error| IndexError::Unusable {
                    directory: folder.clone(),
                    why: error.to_string(),
                })?;
                Index::open_folder(folder, knowledge, source)
            }
            other => other,
        }
    }

    fn open_folder(
        folder: PathBuf,
        knowledge: &Knowledge,
        source: Arc<dyn Source>,
    ) -> Result<Index, IndexError> {
        let pipeline = Pipeline::new(knowledge, Ways::ALL);
        let titles = Titles::new(knowledge);
        let files = opening::open(&folder)?;
        if files.sequence.is_some_and(|sequence| sequence > source.last_sequence()) {
            // The records went back to an earlier state under the same name.
            return Err(IndexError::Damaged("it is ahead of the records".to_owned()));
        }
        let of = |error: TantivyError| IndexError::of(&folder, error);
        let mut writer = Writer::new(files.index.clone(), files.fields).map_err(of)?;
        let mut sequence = files.sequence.unwrap_or(0);
        if files.sequence.is_none() {
            let documents = knowledge_documents(knowledge, &pipeline);
            let entry = |document| Entry { sequence: 0, document: Some(document), replaced: None };
            let entries: Vec<Entry> = documents.into_iter().map(entry).collect();
            writer.commit(entries.iter(), 0).map_err(of)?;
        }
        while source.last_sequence().saturating_sub(sequence) > SHELF_CHANGES_MAX {
            let entries = read(source.as_ref(), sequence, MAKING_CHANGES, &pipeline, &titles)?;
            let Some(last) = entries.last().map(|entry| entry.sequence) else { break };
            writer.commit(entries.iter(), last).map_err(of)?;
            sequence = last;
        }
        files.reader.reload().map_err(of)?;
        opening::sweep(&folder);
        let disk = Disk { searcher: files.reader.searcher(), fields: files.fields };
        let snapshot = Snapshot { sequence, disk: Some(disk), shelf: Shelf::default() };
        let current = Arc::new(Mutex::new(Arc::new(snapshot)));
        let (sender, receiver) = sync_channel(WAITING_MAX);
        let seen = Arc::clone(&current);
        let keeper = std::thread::Builder::new().name("search index".to_owned()).spawn(move || {
            keeper::keep(writer, &receiver, |last| committed(&files, &seen, last));
        });
        let keeper = keeper.map_err(|error| IndexError::Unusable {
            directory: folder.clone(),
            why: error.to_string(),
        })?;
        let index = Index {
            pipeline,
            titles,
            database: source.database_id(),
            source: Some(source),
            folder: Some(folder),
            current,
            feed: Mutex::new(Feed { keeper: Some(sender), waiting: VecDeque::new() }),
            keeper: Some(keeper),
            paged: Mutex::new(VecDeque::new()),
        };
        index.catch_up()?;
        Ok(index)
    }

    /// Where its files are, if it has any.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// Changes that were acknowledged and are not taken in yet.
    pub fn behind(&self) -> u64 {
        let sequence = locked(&self.current).sequence;
        self.source.as_ref().map_or(0, |source| source.last_sequence().saturating_sub(sequence))
    }

    /// Documents that are found but not in the files yet.
    pub fn uncommitted(&self) -> usize {
        let current = locked(&self.current);
        if current.disk.is_some() { current.shelf.documents.len() } else { 0 }
    }

    /// Takes in whatever was acknowledged since.
    pub fn catch_up(&self) -> Result<(), IndexError> {
        let Some(source) = &self.source else { return Ok(()) };
        if source.database_id() != self.database {
            return Err(IndexError::Damaged("the records were replaced by others".to_owned()));
        }
        if locked(&self.current).sequence >= source.last_sequence() {
            return Ok(());
        }
        let mut feed = locked(&self.feed);
        loop {
            // While the files are behind, the shelf does not grow.
            self.send(&mut feed)?;
            let from = locked(&self.current).sequence;
            let entries = read(source.as_ref(), from, READ_CHANGES, &self.pipeline, &self.titles)?;
            let Some(last) = entries.last().map(|entry| entry.sequence) else { return Ok(()) };
            // First on the shelf, then to the keeper, who may take it off the shelf.
            self.shelve(&entries, last);
            feed.waiting.extend(entries.into_iter().filter(Entry::matters));
        }
    }

    fn shelve(&self, entries: &[Entry], last: u64) {
        let mut current = locked(&self.current);
        let mut shelf = current.shelf.clone();
        for entry in entries.iter().filter(|entry| entry.matters()) {
            shelf.put(entry.sequence, entry.document.clone(), entry.replaced);
        }
        *current = Arc::new(Snapshot { sequence: last, disk: current.disk.clone(), shelf });
    }

    /// Hands over what waits, in order.
    fn send(&self, feed: &mut Feed) -> Result<(), IndexError> {
        let behind = |why: &str| IndexError::Unusable {
            directory: self.folder.clone().unwrap_or_default(),
            why: why.to_owned(),
        };
        let Some(keeper) = &feed.keeper else {
            feed.waiting.clear();
            return Ok(());
        };
        let mut waits = 0;
        while let Some(entry) = feed.waiting.pop_front() {
            match keeper.try_send(entry) {
                Ok(()) => waits = 0,
                Err(TrySendError::Full(entry)) => {
                    feed.waiting.push_front(entry);
                    if waits == BEHIND_WAITS_MAX {
                        let why = "it cannot be written fast enough; is there space on the disk?";
                        return Err(behind(why));
                    }
                    waits += 1;
                    std::thread::sleep(BEHIND_WAIT);
                }
                Err(TrySendError::Disconnected(_)) => return Err(behind("its writer has ended")),
            }
        }
        Ok(())
    }

    pub fn search(&self, ask: &Ask) -> Result<Found, IndexError> {
        self.catch_up()?;
        let current = Arc::clone(&locked(&self.current));
        let snapshot = ask.after.and_then(|cursor| self.paged_at(cursor.sequence));
        let snapshot = snapshot.unwrap_or(current);
        // A damaged file can make the library panic; that is damage like any other.
        let found =
            catch_unwind(AssertUnwindSafe(|| self.answer(ask, &snapshot))).unwrap_or_else(|_| {
                Err(TantivyError::InternalError("the library panicked".to_owned()))
            });
        let folder = self.folder.clone().unwrap_or_default();
        let found = found.map_err(|error| IndexError::of(&folder, error))?;
        if found.next.is_some() {
            self.keep_for_pages(snapshot);
        }
        Ok(found)
    }

    fn paged_at(&self, sequence: u64) -> Option<Arc<Snapshot>> {
        locked(&self.paged).iter().find(|kept| kept.sequence == sequence).cloned()
    }

    fn keep_for_pages(&self, snapshot: Arc<Snapshot>) {
        let mut paged = locked(&self.paged);
        if paged.iter().all(|kept| kept.sequence != snapshot.sequence) {
            paged.push_back(snapshot);
        }
        if paged.len() > PAGED_SNAPSHOTS_MAX {
            paged.pop_front();
        }
    }

    fn answer(&self, ask: &Ask, snapshot: &Snapshot) -> Result<Found, TantivyError> {
        let lexicon = Both(snapshot);
        let corpus = lexicon.corpus()?;
        let plan = Plan::new(&self.pipeline, &ask.query, &corpus, &lexicon)?;
        let filter = Filter::new(ask, ask.after.map(|cursor| cursor.sequence));
        let mut collected = Collected::new(ask.limit, ask.after.as_ref());
        // Words that nothing holds are not the same as no words.
        if ask.query.trim().is_empty() || !plan.concepts.is_empty() {
            let costs = corpus.length_costs();
            if let Some(disk) = &snapshot.disk {
                disk.collect(&plan, &filter, &snapshot.shelf, &costs, &mut collected)?;
            }
            snapshot.shelf.collect(&plan, &filter, &costs, &mut collected);
        }
        let (best, more) = collected.finish();
        let sequence = ask.after.map_or(snapshot.sequence, |cursor| cursor.sequence);
        let next = best.last().filter(|_| more).map(|last| Cursor {
            sequence,
            score: last.score,
            time: last.time,
            key: last.key,
        });
        let hits = best.iter().map(|place| self.hit(place, &plan, snapshot));
        let hits = hits.collect::<Result<Vec<Hit>, TantivyError>>()?;
        let mut causes: Vec<(String, u64)> = collected.causes.into_iter().collect();
        causes.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        let kinds = collected.kinds.into_iter().collect();
        Ok(Found { hits, total: collected.total, kinds, causes, next, repairs: plan.repairs })
    }

    fn hit(
        &self,
        place: &Place<At>,
        plan: &Plan,
        snapshot: &Snapshot,
    ) -> Result<Hit, TantivyError> {
        let document = match (place.at, &snapshot.disk) {
            (At::Disk(segment, doc), Some(disk)) => disk.document(segment, doc)?,
            (At::Disk(..), None) => {
                return Err(TantivyError::InternalError("a hit without its files".to_owned()));
            }
            (At::Memory(at), _) => snapshot.shelf.documents[at].document.clone(),
        };
        let snippet = snippet(&self.pipeline, &document.body, &plan.wanted());
        Ok(Hit { document, score: place.score, snippet })
    }
}

impl Drop for Index {
    fn drop(&mut self) {
        // Without a sender the keeper ends; what it has not committed is read again at next start.
        locked(&self.feed).keeper = None;
        if let Some(keeper) = self.keeper.take() {
            let _ = keeper.join();
        }
    }
}

impl Entry {
    /// Whether it changes anything that is found.
    fn matters(&self) -> bool {
        self.document.is_some() || self.replaced.is_some()
    }
}

/// Puts what the keeper committed in the place of what was on the shelf.
fn committed(
    files: &opening::Files,
    current: &Mutex<Arc<Snapshot>>,
    last: u64,
) -> Result<(), TantivyError> {
    files.reader.reload()?;
    let disk = Disk { searcher: files.reader.searcher(), fields: files.fields };
    let mut current = locked(current);
    let (sequence, shelf) = (current.sequence, current.shelf.after(last));
    *current = Arc::new(Snapshot { sequence, disk: Some(disk), shelf });
    Ok(())
}

fn knowledge_documents(knowledge: &Knowledge, pipeline: &Pipeline) -> Vec<Arc<Counted>> {
    let documents = of_knowledge(knowledge).into_iter();
    documents.map(|document| Arc::new(Counted::new(document, pipeline))).collect()
}

/// Changes after a number, ready to be found.
fn read(
    source: &dyn Source,
    from: u64,
    limit: usize,
    pipeline: &Pipeline,
    titles: &Titles,
) -> Result<Vec<Entry>, IndexError> {
    let changes = source.changes_since(from, limit).map_err(IndexError::Source)?;
    let entry = |change: Change| {
        let record: Option<Box<Record>> = change.record;
        let old = record.as_ref().and_then(|record| record.supersedes.as_ref());
        let replaced = old.map(|old| old.name.number);
        let standing = record.filter(|record| record.stands());
        let document =
            standing.map(|record| Arc::new(Counted::new(of_record(&record, titles), pipeline)));
        Entry { sequence: change.sequence, document, replaced }
    };
    Ok(changes.into_iter().map(entry).collect())
}

/// A lock whose holder panicked still holds whole values: they are replaced, never changed in part.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
