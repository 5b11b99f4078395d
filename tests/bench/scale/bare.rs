//! The libraries underneath by themselves, on the same data: SQLite with the same rows in the same
//! tables and indexes, tantivy with the same texts, stems and stored fields.

use std::collections::HashMap;
use std::path::Path;

use rusqlite::{Connection, params};
use sward_core::domain::records::export::json_line_of_new;
use sward_core::domain::records::{NewRecord, concerned};
use sward_core::index::Document;
use tantivy::collector::{Count, TopDocs};
use tantivy::query::QueryParser;
use tantivy::schema::{
    Field, IndexRecordOption, STORED, Schema, TextFieldIndexing, TextOptions, Value,
};
use tantivy::snippet::SnippetGenerator;
use tantivy::{IndexReader, IndexWriter, TantivyDocument};

use super::shop;
use crate::Failure;

/// SQLite alone.
pub struct Sqlite {
    connection: Connection,
    subjects: HashMap<String, i64>,
    next: i64,
}

/// A row as it goes in, made beforehand so that only the writing is timed.
pub struct Row {
    request_id: [u8; 16],
    time_us: i64,
    kind: String,
    text: String,
    concerns: Vec<i64>,
}

impl Sqlite {
    /// The tables are those of the store, made by it.
    pub fn open(data: &Path) -> Result<Sqlite, Failure> {
        drop(shop::open(data)?);
        let connection = Connection::open(data.join("records.sqlite3"))?;
        for (pragma, value) in [("journal_mode", "WAL"), ("synchronous", "FULL")] {
            connection.pragma_update(None, pragma, value)?;
        }
        let mut subjects = HashMap::new();
        {
            let mut statement = connection.prepare("SELECT name, id FROM subject")?;
            let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
            for row in rows {
                let (name, id) = row?;
                subjects.insert(name, id);
            }
        }
        let last: i64 = connection.query_row(
            "SELECT max((SELECT coalesce(max(number), 0) FROM record),
                        (SELECT max(version) FROM subject))",
            [],
            |row| row.get(0),
        )?;
        Ok(Sqlite { connection, subjects, next: last + 1 })
    }

    pub fn row(&self, new: &NewRecord) -> Row {
        use sward_core::domain::records::choices::Choice;
        let names = concerned(&new.subject, &new.content);
        Row {
            request_id: new.request_id.bytes(),
            time_us: new.time.map_or(0, |time| time.microseconds()),
            kind: new.content.kind().id().to_owned(),
            text: json_line_of_new(new),
            concerns: names.iter().map(|name| self.subjects[&name.to_string()]).collect(),
        }
    }

    /// All rows in one transaction, synced.
    pub fn write(&mut self, rows: &[Row]) -> Result<(), Failure> {
        let transaction = self.connection.transaction()?;
        {
            let mut record = transaction.prepare_cached(
                "INSERT INTO record VALUES (?1, 1, ?2, ?3, ?3, ?4, NULL, 0, '', 1, ?5, NULL)",
            )?;
            let mut concern =
                transaction.prepare_cached("INSERT INTO concern VALUES (?1, ?2, ?3, ?4)")?;
            for row in rows {
                let Row { request_id, time_us, kind, text, concerns } = row;
                record.execute(params![self.next, kind, time_us, request_id, text])?;
                for subject in concerns {
                    concern.execute(params![subject, time_us, self.next, kind])?;
                }
                self.next += 1;
            }
        }
        Ok(transaction.commit()?)
    }
}

/// Tantivy alone.
pub struct Tantivy {
    index: tantivy::Index,
    fields: [Field; 3],
}

impl Tantivy {
    pub fn open(folder: &Path) -> Result<Tantivy, Failure> {
        let mut builder = Schema::builder();
        let name = builder.add_text_field("name", STORED);
        let indexing = TextFieldIndexing::default()
            .set_tokenizer("en_stem")
            .set_index_option(IndexRecordOption::WithFreqs);
        let text = TextOptions::default().set_indexing_options(indexing).set_stored();
        let title = builder.add_text_field("title", text.clone());
        let body = builder.add_text_field("body", text);
        std::fs::create_dir_all(folder)?;
        let directory = tantivy::directory::MmapDirectory::open(folder)?;
        let index = tantivy::Index::open_or_create(directory, builder.build())?;
        Ok(Tantivy { index, fields: [name, title, body] })
    }

    /// One thread with the memory that ours has.
    pub fn writer(&self) -> Result<IndexWriter, Failure> {
        Ok(self.index.writer_with_num_threads(1, 32 << 20)?)
    }

    pub fn add(&self, writer: &IndexWriter, document: &Document) -> Result<(), Failure> {
        let mut out = TantivyDocument::default();
        let texts = [&document.name, &document.title, &document.body];
        for (field, text) in self.fields.iter().zip(texts) {
            out.add_text(*field, text);
        }
        writer.add_document(out)?;
        Ok(())
    }

    pub fn reader(&self) -> Result<IndexReader, Failure> {
        Ok(self.index.reader()?)
    }

    /// The ten best with their texts and how many there are; with `snippets`, marked too: what a
    /// page of search shows, but for the counts of kinds and causes and the repair of typing.
    pub fn search(
        &self,
        reader: &IndexReader,
        words: &str,
        snippets: bool,
    ) -> Result<usize, Failure> {
        let [_, title, body] = self.fields;
        let parser = QueryParser::for_index(&self.index, vec![title, body]);
        let (query, _) = parser.parse_query_lenient(words);
        let searcher = reader.searcher();
        let best = TopDocs::with_limit(10).order_by_score();
        let (hits, count) = searcher.search(&query, &(best, Count))?;
        let marker = snippets.then(|| SnippetGenerator::create(&searcher, &*query, body));
        let marker = marker.transpose()?;
        let mut length = 0;
        for (_, address) in hits {
            let document: TantivyDocument = searcher.doc(address)?;
            let text = document.get_first(body).and_then(|text| text.as_str()).unwrap_or_default();
            let marked = marker.as_ref().map(|marker| marker.snippet(text).highlighted().len());
            length += text.len() + marked.unwrap_or(0);
        }
        Ok(count + usize::from(length == 0))
    }

    /// The ten best alone, which lets the library leave most of what matches unread.
    pub fn search_best(&self, reader: &IndexReader, words: &str) -> Result<usize, Failure> {
        let [_, title, body] = self.fields;
        let parser = QueryParser::for_index(&self.index, vec![title, body]);
        let (query, _) = parser.parse_query_lenient(words);
        let best = TopDocs::with_limit(10).order_by_score();
        Ok(reader.searcher().search(&query, &best)?.len())
    }
}
