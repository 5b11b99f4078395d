//! Who writes the files, and when? One thread has the one writer. It takes what was put on the
//! shelf, commits it in batches with the number of the last change, and says when the shelf can be
//! cleared. It may be stopped, or killed, at any moment: what was not committed is read again from
//! the records. Deliberately absent: whoever waits for it; nobody does.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use tantivy::indexer::IndexWriterOptions;
use tantivy::{IndexWriter, TantivyDocument, TantivyError};

use super::disk::Fields;
use super::shelf::Counted;

/// How long changes are gathered before they are committed.
pub const COMMIT_DELAY: Duration = Duration::from_millis(100);
/// So many changes are committed at once, whatever the time.
pub const COMMIT_CHANGES: usize = 1_000;
/// How long to wait after a commit that failed, on a full disk for example.
const RETRY_DELAY: Duration = Duration::from_secs(1);
/// After so long without a change the writer is let go, since its buffers are most of what an idle
/// server holds.
const REST_AFTER: Duration = Duration::from_secs(3);
/// Below 15 MB for each thread the library makes a segment for every document.
const WRITER_BYTES: usize = 32 << 20;

/// A change that is to be in the files.
#[derive(Clone)]
pub struct Entry {
    pub sequence: u64,
    pub document: Option<std::sync::Arc<Counted>>,
    pub replaced: Option<u64>,
}

/// The writer of the files.
pub struct Writer {
    index: tantivy::Index,
    fields: Fields,
    writer: Option<IndexWriter>,
}

impl Writer {
    pub fn new(index: tantivy::Index, fields: Fields) -> Result<Writer, TantivyError> {
        let mut writer = Writer { index, fields, writer: None };
        writer.open()?;
        Ok(writer)
    }

    fn open(&mut self) -> Result<&mut IndexWriter, TantivyError> {
        if self.writer.is_none() {
            let options = IndexWriterOptions::builder()
                .num_worker_threads(1)
                .memory_budget_per_thread(WRITER_BYTES)
                .build();
            self.writer = Some(self.index.writer_with_options::<TantivyDocument>(options)?);
        }
        Ok(self.writer.as_mut().expect("it was opened just now"))
    }

    /// Lets the writer go until the next change, once its merges are done.
    fn rest(&mut self) {
        if let Some(writer) = self.writer.take()
            && let Err(error) = writer.wait_merging_threads()
        {
            tracing::warn!(%error, "pieces of the search index were not merged; they will be later");
        }
    }

    /// Puts changes into the files, with the number of the last.
    pub fn commit<'a>(
        &mut self,
        entries: impl Iterator<Item = &'a Entry>,
        last: u64,
    ) -> Result<(), TantivyError> {
        let fields = self.fields;
        let outcome = self.open().and_then(|writer| {
            for entry in entries {
                if let Some(key) = entry.replaced {
                    writer.delete_term(fields.key_term(key));
                }
                if let Some(counted) = &entry.document {
                    // The same change may be written again after a commit of doubtful outcome.
                    writer.delete_term(fields.key_term(counted.document.key));
                    writer.add_document(fields.write(counted))?;
                }
            }
            let mut commit = writer.prepare_commit()?;
            commit.set_payload(&last.to_string());
            commit.commit().map(|_| ())
        });
        if outcome.is_err() {
            // A writer that failed is dead; its lock must be free before another can be made.
            self.writer = None;
        }
        outcome
    }
}

/// Gathers changes and commits them until the sender is gone. `committed` is told the last change.
pub fn keep(
    mut writer: Writer,
    changes: &Receiver<Entry>,
    mut committed: impl FnMut(u64) -> Result<(), TantivyError>,
) {
    let mut batch: Vec<Entry> = Vec::new();
    while let Some(first) = batch.first().cloned().or_else(|| next(&mut writer, changes)) {
        if batch.is_empty() {
            batch.push(first);
        }
        if !gather(changes, &mut batch) {
            return;
        }
        let last = batch.last().map_or(0, |entry| entry.sequence);
        match writer.commit(batch.iter(), last).and_then(|()| committed(last)) {
            Ok(()) => batch.clear(),
            Err(error) => {
                tracing::warn!(%error, "the search index could not be written; trying again");
                match changes.recv_timeout(RETRY_DELAY) {
                    Ok(entry) => batch.push(entry),
                    Err(RecvTimeoutError::Timeout) => {}
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
        }
    }
}

/// The next change, however long it takes; `None` when nobody will send any more.
fn next(writer: &mut Writer, changes: &Receiver<Entry>) -> Option<Entry> {
    match changes.recv_timeout(REST_AFTER) {
        Ok(entry) => Some(entry),
        Err(RecvTimeoutError::Timeout) => {
            writer.rest();
            changes.recv().ok()
        }
        Err(RecvTimeoutError::Disconnected) => None,
    }
}

/// Takes what comes within the delay; false when nobody will send any more.
fn gather(changes: &Receiver<Entry>, batch: &mut Vec<Entry>) -> bool {
    let until = Instant::now() + COMMIT_DELAY;
    while batch.len() < COMMIT_CHANGES {
        match changes.recv_timeout(until.saturating_duration_since(Instant::now())) {
            Ok(entry) => batch.push(entry),
            Err(RecvTimeoutError::Timeout) => return true,
            Err(RecvTimeoutError::Disconnected) => return false,
        }
    }
    true
}
