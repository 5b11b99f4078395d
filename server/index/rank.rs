//! Which of the documents that match come first? The measure is BM25 (Robertson and Zaragoza 2009,
//! section 3), over heading and text together, the heading counted `TITLE_TIMES` times. It is
//! worked out here, not in the search library, so that documents in memory and on disk are measured
//! alike.
//! Equals: the latest first, then by key.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use tantivy::fieldnorm::FieldNormReader;

use super::ask::Cursor;
use super::document::Kind;

/// How often the words of a heading count.
pub const TITLE_TIMES: u32 = 2;
/// Saturation of a repeated word, and how much a long text is held against a word in it; the
/// usual values.
const K1: f64 = 1.2;
const B: f64 = 0.75;

/// What a score depends on beside the document.
#[derive(Debug, Clone, Copy)]
pub struct Corpus {
    pub documents: u64,
    /// Terms of all documents together.
    pub terms: u64,
}

impl Corpus {
    /// Worth of a concept that so many documents hold.
    pub fn rarity(&self, holding: u64) -> f64 {
        let holding = holding.min(self.documents) as f64;
        (1.0 + (self.documents as f64 - holding + 0.5) / (holding + 0.5)).ln()
    }

    /// What the length of a document adds to the divisor, by the class of its length.
    pub fn length_costs(&self) -> [f64; 256] {
        let average = self.terms as f64 / self.documents.max(1) as f64;
        std::array::from_fn(|class| {
            let class = u8::try_from(class).expect("there are 256 classes");
            let length = f64::from(FieldNormReader::id_to_fieldnorm(class));
            K1 * (1.0 - B + B * length / average.max(1.0))
        })
    }
}

/// Class of a document's length, as it is kept on disk.
pub fn length_class(terms: u32) -> u8 {
    FieldNormReader::fieldnorm_to_id(terms)
}

/// What a term adds that stands so often in a document of this length.
pub fn saturated(times: u32, length_cost: f64) -> f64 {
    let times = f64::from(times);
    times * (K1 + 1.0) / (times + length_cost)
}

/// Share of what is looked for that must be there, each concept counting by its rarity: enough
/// that a document which holds only the common words is no answer.
pub const NEEDED_SHARE: f64 = 0.34;

/// A place in the order of hits, and where the hit is.
#[derive(Debug, Clone, Copy)]
pub struct Place<A> {
    pub score: f64,
    pub time: i64,
    pub key: u64,
    pub at: A,
}

/// `Less` comes first.
fn order(a: (f64, i64, u64), b: (f64, i64, u64)) -> Ordering {
    b.0.total_cmp(&a.0).then(b.1.cmp(&a.1)).then(a.2.cmp(&b.2))
}

impl<A> Place<A> {
    fn rank(&self) -> (f64, i64, u64) {
        (self.score, self.time, self.key)
    }
}

/// The best of what is shown to it, and how much there was.
pub struct Collected<A> {
    limit: usize,
    after: Option<(f64, i64, u64)>,
    best: Vec<Place<A>>,
    /// No hit below this score is among the best.
    least: f64,
    pub total: u64,
    pub kinds: BTreeMap<Kind, u64>,
    pub causes: BTreeMap<String, u64>,
}

impl<A: Copy> Collected<A> {
    /// One hit more than the limit is kept, to know whether another page follows.
    pub fn new(limit: usize, after: Option<&Cursor>) -> Collected<A> {
        Collected {
            limit: limit + 1,
            after: after.map(|cursor| (cursor.score, cursor.time, cursor.key)),
            best: Vec::new(),
            least: 0.0,
            total: 0,
            kinds: BTreeMap::new(),
            causes: BTreeMap::new(),
        }
    }

    /// Whether a hit of this score can be among the best at all.
    pub fn wants(&self, score: f64) -> bool {
        score >= self.least
    }

    pub fn offer(&mut self, place: Place<A>) {
        if self.after.is_some_and(|after| order(place.rank(), after) != Ordering::Greater) {
            return;
        }
        self.best.push(place);
        // Sorting now and then is cheaper than keeping order at each; twice the limit is enough.
        if self.best.len() >= 4 * self.limit {
            self.settle();
        }
    }

    fn settle(&mut self) {
        self.best.sort_by(|a, b| order(a.rank(), b.rank()));
        self.best.truncate(self.limit);
        if self.best.len() == self.limit {
            self.least = self.best[self.limit - 1].score;
        }
    }

    /// The best, in order, and whether there are more.
    pub fn finish(&mut self) -> (Vec<Place<A>>, bool) {
        self.settle();
        let more = self.best.len() == self.limit;
        let mut best = std::mem::take(&mut self.best);
        best.truncate(self.limit - 1);
        (best, more)
    }
}
