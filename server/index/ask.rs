//! What is looked for, and what an answer holds, as plain data.

use super::document::{Document, Kind};
use super::snippet::Piece;
use crate::domain::records::Moment;

pub const PAGE_HITS_DEFAULT: usize = 10;
pub const PAGE_HITS_MAX: usize = 100;

/// A question.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ask {
    pub query: String,
    /// Empty: every kind.
    pub kinds: Vec<Kind>,
    /// Name of a site, machine, unit or area.
    pub subject: Option<String>,
    pub cause: Option<String>,
    /// At or after.
    pub from: Option<Moment>,
    /// Before.
    pub until: Option<Moment>,
    /// Hits on a page.
    pub limit: usize,
    /// The last hit of the page before.
    pub after: Option<Cursor>,
}

/// Where a page ended: the hit's place in the order, and the last change that the first page saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cursor {
    pub sequence: u64,
    pub score: f64,
    /// Microseconds; the smallest when it has no time.
    pub time: i64,
    pub key: u64,
}

/// An answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    pub hits: Vec<Hit>,
    pub total: u64,
    /// Kinds found, in order.
    pub kinds: Vec<(Kind, u64)>,
    /// Causes found, most first, then by id.
    pub causes: Vec<(String, u64)>,
    /// Where the next page begins, when there is one.
    pub next: Option<Cursor>,
    pub repairs: Vec<Repair>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    pub document: Document,
    pub score: f64,
    pub snippet: Vec<Piece>,
}

/// A word that nothing holds, and what was looked for instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repair {
    pub written: String,
    pub meant: Vec<String>,
}
