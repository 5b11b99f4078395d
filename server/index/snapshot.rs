//! What was there after one change? Files and shelf together, as one question sees them; it does
//! not change while an answer, or the pages after it, are made.

use tantivy::TantivyError;

use super::disk::Disk;
use super::query::Lexicon;
use super::rank::Corpus;
use super::shelf::Shelf;
use super::typos::Nearest;

/// Where a hit lies in a snapshot.
#[derive(Debug, Clone, Copy)]
pub enum At {
    Memory(usize),
    /// Segment and document.
    Disk(u32, u32),
}

/// What there was after one change.
pub struct Snapshot {
    pub sequence: u64,
    pub disk: Option<Disk>,
    pub shelf: Shelf,
}

/// Files and shelf of a snapshot as one.
pub struct Both<'a>(pub &'a Snapshot);

impl Both<'_> {
    pub fn corpus(&self) -> Result<Corpus, TantivyError> {
        let mut corpus = self.0.shelf.corpus();
        if let Some(disk) = &self.0.disk {
            let on_disk = disk.corpus()?;
            corpus.documents += on_disk.documents;
            corpus.terms += on_disk.terms;
        }
        Ok(corpus)
    }
}

impl Lexicon for Both<'_> {
    fn holding(&self, term: &str) -> Result<u64, TantivyError> {
        let on_disk = self.0.disk.as_ref().map_or(Ok(0), |disk| disk.holding(term))?;
        Ok(on_disk + self.0.shelf.holding(term)?)
    }

    fn show_words(&self, nearest: &mut Nearest<'_>) -> Result<(), TantivyError> {
        self.0.shelf.show_words(nearest)?;
        self.0.disk.as_ref().map_or(Ok(()), |disk| disk.show_words(nearest))
    }
}
