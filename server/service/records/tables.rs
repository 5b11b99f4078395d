//! Records as a table: read in row by row, each with what became of it, and written out.

use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use prost::Message as _;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Status, Streaming};

use super::entries::{advisories, doubts_of, kinds};
use super::keeping::{Catalogue, now, parent, with_store};
use super::wire;
use crate::config::IMPORT_BYTES_MAX;
use crate::domain::records::bounds::IMPORT_ROWS_MAX;
use crate::domain::records::directory::Directory;
use crate::domain::records::import::{self, Reading};
use crate::domain::records::moment::DateOrder;
use crate::domain::records::row::{Header, Row, RowFault};
use crate::domain::records::{
    Moment, NewRecord, NewSubject, Record, RecordError, RecordName, RequestId, Subject,
    SubjectKind, SubjectName, Which, check, export,
};
use crate::pb;
use crate::service::Shop;
use crate::service::gate::{Watched, watched};
use crate::service::status::{invalid, refused};
use crate::store::{Order, PageSize, RecordQuery, SqliteStore, Store, StoreError};

/// Records stored in one transaction of an import.
const ROWS_AT_ONCE: usize = 500;
/// Records in one piece of a table.
const EXPORT_RECORDS: i32 = 500;

/// A row by its number, or what is wrong with it.
type Read<T> = Vec<(u64, Result<T, Vec<RecordError>>)>;

pub async fn import(
    shop: &Arc<Shop>,
    mut stream: Streaming<pb::ImportRecordsRequest>,
) -> Result<pb::ImportRecordsResponse, Status> {
    use pb::import_records_request::Payload;
    let mut options = None;
    let mut rows = Vec::new();
    let mut bytes = 0;
    while let Some(message) = stream.message().await? {
        bytes += message.encoded_len();
        if bytes > IMPORT_BYTES_MAX {
            let remedy = format!("send at most {IMPORT_BYTES_MAX} bytes in one call");
            return Err(invalid("row", "one more", &remedy));
        }
        match (message.payload, &options) {
            (Some(Payload::Options(given)), None) => options = Some(given),
            (Some(Payload::Row(row)), Some(_)) if rows.len() < IMPORT_ROWS_MAX => rows.push(row),
            (Some(Payload::Row(_)), Some(_)) => {
                let remedy = format!("send at most {IMPORT_ROWS_MAX} in one call");
                return Err(invalid("row", "one more", &remedy));
            }
            (Some(_), _) => {
                return Err(invalid("options", "misplaced", "send them once, before the rows"));
            }
            (None, _) => return Err(invalid("payload", "empty", "set options or a row")),
        }
    }
    let options = options.ok_or_else(|| invalid("options", "empty", "send them first"))?;
    with_store(shop, move |shop, store| {
        let reply = Import::new(shop, store, options)?.run(rows)?;
        shop.written();
        Ok(reply)
    })
    .await
}

struct Import<'a> {
    shop: &'a Shop,
    store: &'a SqliteStore,
    options: pb::ImportOptions,
    site: SubjectName,
    mapping: BTreeMap<String, String>,
    date_order: Option<DateOrder>,
    now: Moment,
    created: Vec<String>,
    /// Requests of rows before, in a dry run.
    seen: HashSet<RequestId>,
}

impl<'a> Import<'a> {
    fn new(
        shop: &'a Shop,
        store: &'a SqliteStore,
        options: pb::ImportOptions,
    ) -> Result<Import<'a>, Status> {
        let site = parent(&options.parent)?;
        if site.kind() != SubjectKind::Site {
            return Err(invalid("parent", &options.parent, "name a site, such as sites/home"));
        }
        let date_order = match pb::DateOrder::try_from(options.date_order) {
            Ok(pb::DateOrder::Unspecified) => None,
            Ok(pb::DateOrder::DayFirst) => Some(DateOrder::DayFirst),
            Ok(pb::DateOrder::MonthFirst) => Some(DateOrder::MonthFirst),
            Err(_) => {
                let value = options.date_order.to_string();
                return Err(invalid("date_order", &value, "use a value of sward.v1.DateOrder"));
            }
        };
        let mapping = options.column_mapping.clone().into_iter().collect();
        let (created, seen) = (Vec::new(), HashSet::new());
        Ok(Import { shop, store, options, site, mapping, date_order, now: now(), created, seen })
    }

    fn run(mut self, rows: Vec<pb::ImportRow>) -> Result<pb::ImportRecordsResponse, Status> {
        let read = self.rows(rows)?;
        let directory = self.directory(&read)?;
        let reading = Reading {
            site: self.site.clone(),
            directory: &directory,
            date_order: self.date_order,
        };
        let records: Read<NewRecord> = read
            .into_iter()
            .map(|(number, row)| (number, row.and_then(|row| self.record(&row, &reading))))
            .collect();
        let mut reply = pb::ImportRecordsResponse::default();
        for piece in records.chunks(ROWS_AT_ONCE) {
            let results = if self.options.dry_run { self.tried(piece)? } else { self.kept(piece)? };
            reply.results.extend(results);
        }
        for result in &reply.results {
            match result.outcome() {
                pb::ImportOutcome::Stored => reply.stored_count += 1,
                pb::ImportOutcome::AlreadyThere => reply.already_there_count += 1,
                pb::ImportOutcome::Rejected | pb::ImportOutcome::Unspecified => {
                    reply.rejected_count += 1;
                }
            }
        }
        reply.created = self.created;
        Ok(reply)
    }

    fn rows(&self, rows: Vec<pb::ImportRow>) -> Result<Read<Row>, Status> {
        use pb::import_row::Content;
        let columns = &self.options.columns;
        let header = if columns.is_empty() {
            None
        } else {
            Some(Header::read(columns, &self.mapping).map_err(|errors| refused(&errors))?)
        };
        let read = |row: pb::ImportRow| {
            let number = row.number;
            let read = match (row.content, &header) {
                (Some(Content::Json(line)), _) => {
                    Row::from_json(number, &line, &self.mapping).map_err(errors_of)
                }
                (Some(Content::Cells(cells)), Some(header)) => {
                    Row::from_cells(number, header, &cells.cells)
                        .map_err(|fault| vec![fault.error])
                }
                (Some(Content::Cells(_)), None) => {
                    let remedy = "name the columns in the options";
                    Err(vec![RecordError::new("columns", "", remedy)])
                }
                (None, _) => Err(vec![RecordError::new("row", "", "set json or cells")]),
            };
            (number, read)
        };
        Ok(rows.into_iter().map(read).collect())
    }

    /// The machines, units and areas of the site, with those that the rows bring.
    fn directory(&mut self, rows: &Read<Row>) -> Result<Directory, Status> {
        let mut known = match self.store.all_subjects(self.site.site()) {
            Err(StoreError::NotFound { .. }) => Vec::new(),
            known => known?,
        };
        if !self.options.create_missing {
            return Ok(Directory::new(known));
        }
        for new in self.needed(rows, &Directory::new(known.clone())) {
            let Ok(new) = check::subject(new) else { continue };
            self.created.push(new.name.to_string());
            known.push(if self.options.dry_run {
                would_be(new, self.now)
            } else {
                self.store.add_subject(new, self.now)?
            });
        }
        Ok(Directory::new(known))
    }

    /// What the sound rows need; a row that names what cannot be an id is rejected later, when its
    /// name is not found.
    fn needed(&self, rows: &Read<Row>, directory: &Directory) -> Vec<NewSubject> {
        let site = self.site.clone();
        let reading = Reading { site, directory, date_order: self.date_order };
        let sound: Vec<Row> = rows
            .iter()
            .filter_map(|(_, row)| row.as_ref().ok())
            .filter(|row| import::subjects_needed(std::slice::from_ref(*row), &reading).is_ok())
            .cloned()
            .collect();
        import::subjects_needed(&sound, &reading).unwrap_or_default()
    }

    fn record(&self, row: &Row, reading: &Reading<'_>) -> Result<NewRecord, Vec<RecordError>> {
        let new = import::record(row, reading).map_err(errors_of)?;
        check::record(new, &Catalogue(&self.shop.knowledge), self.now)
    }

    /// What would become of the rows.
    fn tried(
        &mut self,
        rows: &[(u64, Result<NewRecord, Vec<RecordError>>)],
    ) -> Result<Vec<pb::ImportRowResult>, Status> {
        let mut results = Vec::with_capacity(rows.len());
        for (number, row) in rows {
            results.push(match row {
                Err(errors) => rejected(*number, errors),
                Ok(new) => self.tried_one(*number, new)?,
            });
        }
        Ok(results)
    }

    fn tried_one(
        &mut self,
        number: u64,
        new: &NewRecord,
    ) -> Result<pb::ImportRowResult, Status> {
        let stored = self.store.record_of_request(new.request_id)?.is_some();
        if !self.seen.insert(new.request_id) || stored {
            return Ok(outcome(number, pb::ImportOutcome::AlreadyThere, ""));
        }
        if let Some(Which::Request(old)) = &new.supersedes
            && !self.seen.contains(old)
        {
            let remedy = match self.store.record_of_request(*old)? {
                None => "no record has this request id; bring that record first".to_owned(),
                Some(Record { superseded_by: Some(newer), .. }) => {
                    format!("{newer} has superseded it; amend that one")
                }
                Some(_) => String::new(),
            };
            if !remedy.is_empty() {
                let error = RecordError::new("supersedes", old, remedy);
                return Ok(rejected(number, &[error]));
            }
        }
        let advisories = self.doubts(new)?;
        Ok(pb::ImportRowResult { advisories, ..outcome(number, pb::ImportOutcome::Stored, "") })
    }

    /// What does not fit the records before it, when that was asked for.
    fn doubts(&self, new: &NewRecord) -> Result<Vec<pb::Advisory>, Status> {
        if !self.options.advise || new.content.withdrawn {
            return Ok(Vec::new());
        }
        Ok(advisories(doubts_of(self.store, new, self.now)?))
    }

    fn kept(
        &self,
        rows: &[(u64, Result<NewRecord, Vec<RecordError>>)],
    ) -> Result<Vec<pb::ImportRowResult>, Status> {
        let sound: Vec<NewRecord> =
            rows.iter().filter_map(|(_, row)| row.as_ref().ok()).cloned().collect();
        let doubted: Result<Vec<_>, Status> = sound.iter().map(|new| self.doubts(new)).collect();
        let stored = self.store.append_each(sound, self.now)?;
        let mut stored = stored.into_iter().zip(doubted?);
        let mut results = Vec::with_capacity(rows.len());
        for (number, row) in rows {
            results.push(match row {
                Err(errors) => rejected(*number, errors),
                Ok(_) => match stored.next().expect("one outcome for each sound row") {
                    (Ok(stored), _) if stored.already_there => {
                        let name = stored.record.name.to_string();
                        outcome(*number, pb::ImportOutcome::AlreadyThere, &name)
                    }
                    (Ok(stored), advisories) => {
                        let name = stored.record.name.to_string();
                        let kept = outcome(*number, pb::ImportOutcome::Stored, &name);
                        pb::ImportRowResult { advisories, ..kept }
                    }
                    (Err(StoreError::Conflict(error) | StoreError::Invalid(error)), _) => {
                        rejected(*number, &[error])
                    }
                    (Err(error), _) => {
                        let remedy = error.to_string();
                        rejected(*number, &[RecordError::new("row", *number, remedy)])
                    }
                },
            });
        }
        Ok(results)
    }
}

fn errors_of(faults: Vec<RowFault>) -> Vec<RecordError> {
    faults.into_iter().map(|fault| fault.error).collect()
}

fn would_be(new: NewSubject, now: Moment) -> Subject {
    let NewSubject { name, label, facts, .. } = new;
    Subject { name, label, facts, created: now, updated: now, version: 0 }
}

fn outcome(number: u64, outcome: pb::ImportOutcome, record: &str) -> pb::ImportRowResult {
    let (outcome, record) = (outcome.into(), record.to_owned());
    pb::ImportRowResult { number, outcome, record, ..pb::ImportRowResult::default() }
}

fn rejected(number: u64, errors: &[RecordError]) -> pb::ImportRowResult {
    let error = |error: &RecordError| pb::ImportError {
        column: error.field.clone(),
        value: error.value.clone(),
        remedy: error.remedy.clone(),
    };
    pb::ImportRowResult {
        errors: errors.iter().map(error).collect(),
        ..outcome(number, pb::ImportOutcome::Rejected, "")
    }
}

/// A record of the contract as the row of a table that would store it again.
pub fn row_of(record: &pb::Record) -> Result<String, Status> {
    let said = record.time.as_ref();
    let new = NewRecord {
        subject: RecordName::parse("name", &record.name)?.subject,
        time: wire::moment("time", said)?,
        request_id: RequestId::parse("request_id", &record.request_id)?,
        supersedes: None,
        content: wire::content(record)?,
    };
    Ok(export::json_line_of_new(&new))
}

pub type Exported = Watched<pb::ExportRecordsResponse>;

pub async fn export(
    shop: &Arc<Shop>,
    request: pb::ExportRecordsRequest,
) -> Result<Exported, Status> {
    let csv = match pb::TableFormat::try_from(request.format) {
        Ok(pb::TableFormat::Unspecified | pb::TableFormat::Csv) => true,
        Ok(pb::TableFormat::Jsonl) => false,
        Err(_) => {
            let value = request.format.to_string();
            return Err(invalid("format", &value, "use a value of sward.v1.TableFormat"));
        }
    };
    let query = RecordQuery {
        subject: parent(&request.parent)?,
        kinds: kinds(&request.kinds)?,
        cause: None,
        from: wire::moment("start_time", request.start_time.as_ref())?,
        until: wire::moment("end_time", request.end_time.as_ref())?,
        history: request.show_history,
        // What is superseded is read in before what supersedes it.
        order: Order::AsStored,
    };
    let subject = query.subject.clone();
    with_store(shop, move |_, store| Ok(store.subject(&subject).map(|_| ())?)).await?;
    let (pieces, exported) = mpsc::channel(2);
    let shop = Arc::clone(shop);
    tokio::task::spawn_blocking(move || {
        if let Err(status) = write_table(&shop, &query, csv, &pieces) {
            // Whoever asked may have gone away.
            let _ = pieces.blocking_send(Err(status));
        }
    });
    Ok(watched(ReceiverStream::new(exported)))
}

fn write_table(
    shop: &Shop,
    query: &RecordQuery,
    csv: bool,
    pieces: &mpsc::Sender<Result<pb::ExportRecordsResponse, Status>>,
) -> Result<(), Status> {
    let store = shop.store()?;
    let size = PageSize::new(EXPORT_RECORDS)?;
    let names = export::column_names(&query.kinds);
    let mut text = if csv { export::csv_header(&names) } else { String::new() };
    let mut token = String::new();
    loop {
        let page = store.records(query, size, &token)?;
        for record in &page.items {
            text.push_str(&if csv {
                export::csv_line(&names, record, query.history)
            } else {
                export::json_line(record, query.history)
            });
        }
        let record_count = u32::try_from(page.items.len()).expect("a page is small");
        let piece = pb::ExportRecordsResponse { text: std::mem::take(&mut text), record_count };
        if pieces.blocking_send(Ok(piece)).is_err() || page.next_token.is_empty() {
            return Ok(());
        }
        token = page.next_token;
    }
}

