//! Documents in files of the search library: their fields, and which of them match. A segment is
//! gone through in windows, concept by concept, so that every match is seen once: the total, the
//! counts and the best come from one pass.
//! Deliberately absent: who writes the files, and when.

use tantivy::columnar::{Column, StrColumn};
use tantivy::postings::{Postings, SegmentPostings};
use tantivy::schema::{
    FAST, Field, INDEXED, IndexRecordOption, STORED, STRING, Schema, SchemaBuilder,
    TextFieldIndexing, TextOptions, Value,
};
use tantivy::tokenizer::{PreTokenizedString, Token};
use tantivy::{
    DocAddress, DocId, DocSet, Searcher, SegmentReader, TERMINATED, TantivyDocument, TantivyError,
    Term,
};

use super::document::{Document, Kind};
use super::query::{Filter, Lexicon, Plan};
use super::rank::{Collected, Corpus, Place, saturated};
use super::snapshot::At;
use super::shelf::{Counted, Shelf};
use super::terms::is_word;
use super::typos::Nearest;
use crate::domain::records::Moment;

/// Changes whenever a field or the terms change.
pub const SCHEMA_NUMBER: u32 = 2;
/// Documents of a window: their scores fit a fast cache.
const WINDOW: u32 = 16_384;

/// The fields of a document.
#[derive(Debug, Clone, Copy)]
pub struct Fields {
    pub key: Field,
    kind: Field,
    name: Field,
    title: Field,
    body: Field,
    cause: Field,
    subject: Field,
    time: Field,
    text: Field,
}

pub fn schema() -> (Schema, Fields) {
    let mut builder = SchemaBuilder::new();
    let counted = TextFieldIndexing::default()
        .set_tokenizer("raw")
        .set_index_option(IndexRecordOption::WithFreqs);
    let fields = Fields {
        key: builder.add_u64_field("key", INDEXED | FAST | STORED),
        kind: builder.add_u64_field("kind", FAST | STORED),
        name: builder.add_text_field("name", STORED),
        title: builder.add_text_field("title", STORED),
        body: builder.add_text_field("body", STORED),
        cause: builder.add_text_field("cause", STRING | FAST | STORED),
        subject: builder.add_text_field("subject", STRING | STORED),
        time: builder.add_i64_field("time", FAST | STORED),
        text: builder.add_text_field("text", TextOptions::default().set_indexing_options(counted)),
    };
    (builder.build(), fields)
}

impl Fields {
    pub fn text(&self) -> Field {
        self.text
    }

    pub fn key_term(&self, key: u64) -> Term {
        Term::from_field_u64(self.key, key)
    }

    pub fn write(&self, counted: &Counted) -> TantivyDocument {
        let document = &counted.document;
        let mut out = TantivyDocument::default();
        out.add_u64(self.key, document.key);
        out.add_u64(self.kind, document.kind.number());
        out.add_text(self.name, &document.name);
        out.add_text(self.title, &document.title);
        out.add_text(self.body, &document.body);
        out.add_i64(self.time, counted.time());
        document.causes.iter().for_each(|cause| out.add_text(self.cause, cause));
        document.subjects.iter().for_each(|subject| out.add_text(self.subject, subject));
        let repeated = counted
            .counts
            .iter()
            .flat_map(|(text, times)| std::iter::repeat_n(text, *times as usize));
        let token = |text: &String| Token { text: text.clone(), position: 0, ..Token::default() };
        let tokens = repeated.map(token).collect();
        out.add_pre_tokenized_text(self.text, PreTokenizedString { text: String::new(), tokens });
        out
    }

    /// A document as it was written; nothing when a field is not there.
    fn read(&self, stored: &TantivyDocument) -> Option<Document> {
        let text = |field| stored.get_first(field).and_then(|v| v.as_str()).map(str::to_owned);
        let texts = |field| {
            stored.get_all(field).filter_map(|v| v.as_str()).map(str::to_owned).collect()
        };
        let number = |field| stored.get_first(field).and_then(|v| v.as_u64());
        let time = stored.get_first(self.time).and_then(|v| v.as_i64())?;
        Some(Document {
            key: number(self.key)?,
            kind: Kind::numbered(number(self.kind)?)?,
            name: text(self.name)?,
            title: text(self.title)?,
            body: text(self.body)?,
            also: String::new(),
            causes: texts(self.cause),
            subjects: texts(self.subject),
            time: (time != i64::MIN).then(|| Moment::from_microseconds(time)),
        })
    }
}

/// What the files held at one moment.
#[derive(Clone)]
pub struct Disk {
    pub searcher: Searcher,
    pub fields: Fields,
}

impl Disk {
    pub fn corpus(&self) -> Result<Corpus, TantivyError> {
        let mut corpus = Corpus { documents: 0, terms: 0 };
        for segment in self.searcher.segment_readers() {
            corpus.documents += u64::from(segment.num_docs());
            corpus.terms += segment.inverted_index(self.fields.text)?.total_num_tokens();
        }
        Ok(corpus)
    }

    pub fn document(&self, segment: u32, doc: DocId) -> Result<Document, TantivyError> {
        let stored: TantivyDocument = self.searcher.doc(DocAddress::new(segment, doc))?;
        self.fields.read(&stored).ok_or_else(|| {
            TantivyError::InternalError(format!("document {segment}:{doc} lacks a field"))
        })
    }

    /// Shows every match to `out`, but those that `shelf` says are gone.
    pub fn collect(
        &self,
        plan: &Plan,
        filter: &Filter,
        shelf: &Shelf,
        length_costs: &[f64; 256],
        out: &mut Collected<At>,
    ) -> Result<(), TantivyError> {
        for (number, reader) in (0..).zip(self.searcher.segment_readers()) {
            let mut segment = Segment::open(number, reader, &self.fields, plan, filter)?;
            segment.collect(filter, shelf, length_costs, out)?;
        }
        Ok(())
    }
}

impl Lexicon for Disk {
    fn holding(&self, term: &str) -> Result<u64, TantivyError> {
        self.searcher.doc_freq(&Term::from_field_text(self.fields.text, term))
    }

    fn show_words(&self, nearest: &mut Nearest<'_>) -> Result<(), TantivyError> {
        for segment in self.searcher.segment_readers() {
            let inverted = segment.inverted_index(self.fields.text)?;
            // Quantities come before the first letter.
            let mut terms = inverted.terms().range().ge("a").into_stream()?;
            while terms.advance() {
                let count = u64::from(terms.value().doc_freq);
                if let Ok(term) = std::str::from_utf8(terms.key())
                    && is_word(term)
                {
                    nearest.show(term, count);
                }
            }
        }
        Ok(())
    }
}

/// One segment of the files while it is gone through.
struct Segment<'a> {
    number: u32,
    reader: &'a SegmentReader,
    norms: tantivy::fieldnorm::FieldNormReader,
    concepts: Vec<Lists>,
    needed: f64,
    subject: Only,
    cause: Only,
    kinds: Column<u64>,
    times: Column<i64>,
    keys: Column<u64>,
    causes: Option<StrColumn>,
    cause_counts: Vec<u64>,
    kind_counts: [u64; Kind::ALL.len()],
}

/// The lists of a concept's terms, with their worth.
struct Lists {
    of_terms: Vec<(SegmentPostings, f64)>,
    rarity: f64,
}

/// A list that a document must stand in.
enum Only {
    Anything,
    Nothing,
    Of(Box<SegmentPostings>),
}

impl Only {
    fn of(
        reader: &SegmentReader,
        field: Field,
        word: Option<&String>,
    ) -> Result<Only, TantivyError> {
        let Some(word) = word else { return Ok(Only::Anything) };
        let term = Term::from_field_text(field, word);
        let list = reader.inverted_index(field)?.read_postings(&term, IndexRecordOption::Basic)?;
        Ok(list.map_or(Only::Nothing, |list| Only::Of(Box::new(list))))
    }

    /// Documents must be asked for in order.
    fn admits(&mut self, doc: DocId) -> bool {
        match self {
            Only::Anything => true,
            Only::Nothing => false,
            Only::Of(list) => {
                let at = if list.doc() < doc { list.seek(doc) } else { list.doc() };
                at == doc
            }
        }
    }
}

/// Scores of the documents of a window.
struct Window {
    first: DocId,
    scores: Vec<f64>,
    /// Rarity of the concepts that are there.
    matched: Vec<f64>,
    /// Best of the concept in hand, where it has several terms.
    best: Vec<f64>,
}

impl<'a> Segment<'a> {
    fn open(
        number: u32,
        reader: &'a SegmentReader,
        fields: &Fields,
        plan: &Plan,
        filter: &Filter,
    ) -> Result<Segment<'a>, TantivyError> {
        let inverted = reader.inverted_index(fields.text)?;
        let mut concepts = Vec::new();
        for sought in &plan.concepts {
            let mut of_terms = Vec::new();
            for (text, worth) in &sought.terms {
                let term = Term::from_field_text(fields.text, text);
                let list = inverted.read_postings(&term, IndexRecordOption::WithFreqs)?;
                of_terms.extend(list.map(|list| (list, *worth)));
            }
            concepts.push(Lists { of_terms, rarity: sought.rarity });
        }
        let columns = reader.fast_fields();
        let causes = columns.str("cause")?;
        let cause_counts = vec![0; causes.as_ref().map_or(0, |column| column.num_terms())];
        Ok(Segment {
            number,
            reader,
            norms: reader.get_fieldnorms_reader(fields.text)?,
            concepts,
            needed: plan.needed,
            subject: Only::of(reader, fields.subject, filter.subject.as_ref())?,
            cause: Only::of(reader, fields.cause, filter.cause.as_ref())?,
            kinds: columns.u64("kind")?,
            times: columns.i64("time")?,
            keys: columns.u64("key")?,
            causes,
            cause_counts,
            kind_counts: [0; Kind::ALL.len()],
        })
    }

    fn collect(
        &mut self,
        filter: &Filter,
        shelf: &Shelf,
        length_costs: &[f64; 256],
        out: &mut Collected<At>,
    ) -> Result<(), TantivyError> {
        let size = WINDOW.min(self.reader.max_doc()) as usize;
        let mut window = Window {
            first: 0,
            scores: vec![0.0; size],
            matched: vec![0.0; size],
            best: vec![0.0; size],
        };
        let mut first = 0;
        while first < self.reader.max_doc() {
            window.first = first;
            window.scores.fill(0.0);
            window.matched.fill(0.0);
            for concept in 0..self.concepts.len() {
                self.score(concept, length_costs, &mut window);
            }
            let end = (first + WINDOW).min(self.reader.max_doc());
            for doc in first..end {
                let at = (doc - first) as usize;
                if window.matched[at] >= self.needed {
                    self.take(doc, window.scores[at], filter, shelf, out);
                }
            }
            first = end;
        }
        for (kind, count) in Kind::ALL.into_iter().zip(self.kind_counts) {
            if count > 0 {
                *out.kinds.entry(kind).or_default() += count;
            }
        }
        self.count_causes(out)
    }

    fn score(&mut self, concept: usize, length_costs: &[f64; 256], window: &mut Window) {
        let end = window.first + WINDOW;
        let Lists { of_terms, rarity } = &mut self.concepts[concept];
        let single = of_terms.len() == 1;
        if !single {
            window.best.fill(0.0);
        }
        for (list, worth) in of_terms {
            let mut doc = list.doc();
            while doc < end {
                let at = (doc - window.first) as usize;
                let cost = length_costs[usize::from(self.norms.fieldnorm_id(doc))];
                let score = *worth * saturated(list.term_freq(), cost);
                if single {
                    window.scores[at] += score;
                    window.matched[at] += *rarity;
                } else {
                    window.best[at] = window.best[at].max(score);
                }
                doc = list.advance();
                if doc == TERMINATED {
                    break;
                }
            }
        }
        if !single {
            for (at, best) in window.best.iter().enumerate().filter(|(_, best)| **best > 0.0) {
                window.scores[at] += best;
                window.matched[at] += *rarity;
            }
        }
    }

    fn take(
        &mut self,
        doc: DocId,
        score: f64,
        filter: &Filter,
        shelf: &Shelf,
        out: &mut Collected<At>,
    ) {
        if self.reader.is_deleted(doc) || !self.subject.admits(doc) || !self.cause.admits(doc) {
            return;
        }
        let Some(kind) = self.kinds.first(doc).and_then(Kind::numbered) else { return };
        let wanted = out.wants(score);
        // Looking values up is dearer than all the rest, so only what matters is.
        let timed = wanted || filter.is_dated();
        let keyed = wanted || filter.is_keyed() || !shelf.gone.is_empty();
        let time = if timed { self.times.first(doc).unwrap_or(i64::MIN) } else { i64::MIN };
        let key = if keyed { self.keys.first(doc).unwrap_or(u64::MAX) } else { u64::MAX };
        if !filter.admits(kind, time, key) || shelf.gone.contains_key(&key) {
            return;
        }
        out.total += 1;
        self.kind_counts[kind as usize] += 1;
        if let Some(causes) = &self.causes {
            for cause in causes.ords().values_for_doc(doc) {
                if let Some(count) = usize::try_from(cause)
                    .ok()
                    .and_then(|cause| self.cause_counts.get_mut(cause))
                {
                    *count += 1;
                }
            }
        }
        if wanted {
            out.offer(Place { score, time, key, at: At::Disk(self.number, doc) });
        }
    }

    fn count_causes(&self, out: &mut Collected<At>) -> Result<(), TantivyError> {
        let Some(causes) = &self.causes else { return Ok(()) };
        let mut id = String::new();
        for (number, count) in (0..).zip(&self.cause_counts).filter(|(_, count)| **count > 0) {
            id.clear();
            causes.ord_to_str(number, &mut id)?;
            *out.causes.entry(id.clone()).or_default() += count;
        }
        Ok(())
    }
}
