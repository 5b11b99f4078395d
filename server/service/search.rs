//! `SearchService`: wire question -> `index::Index::search` -> wire answer. The index is opened by
//! the first search, since nothing else needs it.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError, TryLockError};
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use tonic::{Request, Response, Status};

use super::Shop;
use super::assistant::{timestamp_of, zoned_now};
use super::records::keeping::waiting;
use super::records::wire::timestamp;
use super::speech::southern;
use super::status::invalid;
use crate::domain::intent::periods::taken_out;
use crate::domain::records::check::OTHER_CAUSE;
use crate::domain::records::request::content_hash;
use crate::domain::records::{Moment, RecordError, SubjectName};
use crate::domain::wording::Wording;
use crate::index::{
    Ask, Cursor, Found, Hit, Index, IndexError, Kind, PAGE_HITS_DEFAULT, PAGE_HITS_MAX, Piece,
    Source, Ways, last_change, set_aside,
};
use crate::pb;
use crate::pb::search_service_server::SearchService;

/// Longest query.
const QUERY_CHARACTERS_MAX: usize = 400;
/// The folder of the index below the data directory.
const FOLDER: &str = "index";

/// How long a search waits while the index is made, and how long between two looks.
const OPENING_WAIT: Duration = Duration::from_secs(20);
const LOOK_INTERVAL: Duration = Duration::from_millis(20);

/// The index of a shop: opened when it is first needed, made again when it is damaged.
#[derive(Default)]
pub struct Finder {
    folder: PathBuf,
    records: OnceLock<Arc<dyn Source>>,
    opened: Mutex<Option<Arc<Index>>>,
    /// Held while the index is opened, which takes long when it must be made.
    opening: Mutex<()>,
}

impl Finder {
    pub fn new(data: &Path) -> Finder {
        Finder { folder: data.join(FOLDER), ..Finder::default() }
    }

    fn opened(&self) -> MutexGuard<'_, Option<Arc<Index>>> {
        // What it holds is replaced whole, so a panic elsewhere leaves nothing half done.
        self.opened.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn wait_to_open(&self) -> Result<MutexGuard<'_, ()>, IndexError> {
        let until = Instant::now() + OPENING_WAIT;
        loop {
            match self.opening.try_lock() {
                Ok(guard) => return Ok(guard),
                Err(TryLockError::Poisoned(error)) => return Ok(error.into_inner()),
                Err(TryLockError::WouldBlock) if Instant::now() < until => {
                    std::thread::sleep(LOOK_INTERVAL);
                }
                Err(TryLockError::WouldBlock) => {
                    let why = "it is being made from the records; try again in a minute";
                    let directory = self.folder.clone();
                    return Err(IndexError::Unusable { directory, why: why.to_owned() });
                }
            }
        }
    }
}

impl Shop {
    /// Says where the shop's records are kept, so that they are found. Without this, search knows
    /// notes and procedures only and creates no file. The first source stays.
    pub fn find_records_in(&self, source: Arc<dyn Source>) {
        if self.finder.records.set(source).is_ok() {
            // An index without the records may be open already.
            *self.finder.opened() = None;
        }
    }

    /// To be called after each acknowledged write. A search catches up by itself; this keeps what
    /// it has to catch up with small.
    pub fn index_changed(&self) {
        let open = self.finder.opened().clone();
        if let Some(index) = open
            && let Err(error) = index.catch_up()
        {
            tracing::warn!(%error, "search is behind the records");
        }
    }

    /// Changes of the records that the index has not taken in yet; it does so before it answers.
    pub(in crate::service) fn index_lag(&self) -> u64 {
        if let Some(index) = self.finder.opened().as_ref() {
            return index.behind();
        }
        let Some(records) = self.finder.records.get() else { return 0 };
        let version = &self.knowledge.version;
        let known = last_change(&self.finder.folder, version, records.database_id());
        records.last_sequence().saturating_sub(known)
    }

    /// The index; opened by whoever comes first, while writers go on and others wait.
    pub(in crate::service) fn index(&self) -> Result<Arc<Index>, IndexError> {
        let opened = self.finder.opened().clone();
        if let Some(index) = opened {
            return Ok(index);
        }
        let _opening = self.finder.wait_to_open()?;
        loop {
            if let Some(index) = self.finder.opened().as_ref() {
                return Ok(Arc::clone(index));
            }
            let source = self.finder.records.get();
            let index = match source {
                Some(source) => {
                    Index::open(&self.finder.folder, &self.knowledge, Arc::clone(source))?
                }
                None => Index::in_memory(&self.knowledge, Ways::ALL, None)?,
            };
            let mut opened = self.finder.opened();
            // The records may have been opened meanwhile.
            if source.is_some() || self.finder.records.get().is_none() {
                *opened = Some(Arc::new(index));
            }
        }
    }

    /// Searches, and once more with a new index when the old one turns out to be damaged.
    fn find(&self, ask: &Ask) -> Result<Found, IndexError> {
        let index = self.index()?;
        let found = index.search(ask);
        let Err(IndexError::Damaged(why)) = found else { return found };
        tracing::warn!(why, "the search index is made again");
        let folder = index.folder().map(Path::to_owned);
        {
            let mut opened = self.finder.opened();
            if opened.as_ref().is_some_and(|other| Arc::ptr_eq(other, &index)) {
                *opened = None;
            }
        }
        drop(index);
        if let Some(folder) = folder {
            set_aside(&folder).map_err(|error| unusable(&folder, &error))?;
        }
        self.index()?.search(ask)
    }
}

fn unusable(folder: &Path, error: &std::io::Error) -> IndexError {
    IndexError::Unusable { directory: folder.to_owned(), why: error.to_string() }
}

impl From<IndexError> for Status {
    fn from(error: IndexError) -> Status {
        match error {
            IndexError::Unusable { .. } => Status::unavailable(error.to_string()),
            IndexError::Damaged(_) | IndexError::Source(_) => Status::internal(error.to_string()),
        }
    }
}

pub struct Searches(pub Arc<Shop>);

#[tonic::async_trait]
impl SearchService for Searches {
    async fn search(
        &self,
        request: Request<pb::SearchRequest>,
    ) -> Result<Response<pb::SearchResponse>, Status> {
        let words = self.0.wording(&request);
        let southern = southern(&request);
        let mut request = request.into_inner();
        let question = question_of(&request);
        let period = period_of(&mut request, southern)?;
        let ask = self.0.ask(request, question)?;
        let shop = Arc::clone(&self.0);
        let found = waiting(move || {
            // Where something was recorded, the records are searched too.
            shop.store_if_any()?;
            Ok(shop.find(&ask)?)
        })
        .await?;
        let reply = self.0.found_reply(found, question, &words);
        Ok(Response::new(pb::SearchResponse { period, ..reply }))
    }
}

/// Takes the words that name a time out of the query and puts that time in their place.
fn period_of(
    request: &mut pb::SearchRequest,
    southern: bool,
) -> Result<Option<pb::PeriodRead>, Status> {
    let timed = request.start_time.is_some() || request.end_time.is_some();
    if !request.read_times || timed || request.query.chars().count() > QUERY_CHARACTERS_MAX {
        return Ok(None);
    }
    let now = zoned_now(&request.time_zone)?;
    let Some((period, query)) = taken_out(&request.query, &now, southern) else { return Ok(None) };
    request.start_time = period.start.as_ref().map(timestamp_of);
    request.end_time = period.end.as_ref().map(timestamp_of);
    request.query.clone_from(&query);
    Ok(Some(pb::PeriodRead {
        query,
        start_time: request.start_time,
        end_time: request.end_time,
        told: period.told(),
    }))
}

impl Shop {
    fn ask(&self, request: pb::SearchRequest, question: u64) -> Result<Ask, Status> {
        let length = request.query.chars().count();
        if length > QUERY_CHARACTERS_MAX {
            let remedy = format!("it has {length} characters; use at most {QUERY_CHARACTERS_MAX}");
            return Err(invalid("query", &request.query, &remedy));
        }
        let subject = match request.subject.as_str() {
            "" => None,
            name => Some(SubjectName::parse("subject", name).map_err(wrong)?.to_string()),
        };
        let cause = (!request.cause.is_empty()).then_some(request.cause);
        if let Some(cause) = &cause
            && cause != OTHER_CAUSE
            && !self.knowledge.causes.iter().any(|row| row.id == *cause)
        {
            return Err(invalid("cause", cause, "ListCauses gives them all"));
        }
        let from = request.start_time.map(|time| moment("start_time", &time)).transpose()?;
        let until = request.end_time.map(|time| moment("end_time", &time)).transpose()?;
        if let (Some(from), Some(until)) = (from, until)
            && until <= from
        {
            let remedy = format!("give a time after start_time, {from}");
            return Err(invalid("end_time", &until.to_string(), &remedy));
        }
        let filtered = subject.is_some() || cause.is_some() || from.is_some() || until.is_some();
        if request.query.trim().is_empty() && !filtered {
            return Err(invalid("query", "empty", "say what to look for, or give a filter"));
        }
        Ok(Ask {
            query: request.query,
            kinds: kinds(&request.kinds)?,
            subject,
            cause,
            from,
            until,
            limit: page_size(request.page_size)?,
            after: place(&request.page_token, question)?,
        })
    }

    fn found_reply(&self, found: Found, question: u64, words: &Wording) -> pb::SearchResponse {
        let count = |count: u64| i64::try_from(count).unwrap_or(i64::MAX);
        let title = |id: &str| {
            let row = self.knowledge.causes.iter().find(|row| row.id == id);
            row.map_or_else(String::new, |row| words.say(&row.title))
        };
        pb::SearchResponse {
            kind_counts: found
                .kinds
                .iter()
                .map(|(kind, many)| pb::KindCount {
                    kind: hit_kind(*kind).into(),
                    count: count(*many),
                })
                .collect(),
            cause_counts: found
                .causes
                .iter()
                .map(|(cause, many)| pb::CauseCount {
                    cause: cause.clone(),
                    title: title(cause),
                    count: count(*many),
                })
                .collect(),
            next_page_token: found.next.map_or_else(String::new, |next| token(question, &next)),
            total_size: count(found.total),
            hits: found.hits.into_iter().map(|hit| hit_reply(hit, words)).collect(),
            repairs: found
                .repairs
                .into_iter()
                .map(|repair| pb::SpellingRepair { written: repair.written, meant: repair.meant })
                .collect(),
            knowledge_version: self.knowledge.version.clone(),
            period: None,
        }
    }
}

fn hit_reply(hit: Hit, words: &Wording) -> pb::Hit {
    // The shop's own records are shown as they were written.
    let british = Wording::british();
    let words = if hit.document.kind == Kind::Record { &british } else { words };
    pb::Hit {
        kind: hit_kind(hit.document.kind).into(),
        title: words.say(&hit.document.title),
        snippet: Some(snippet(&hit.snippet, words)),
        score: hit.score,
        name: hit.document.name,
        causes: hit.document.causes,
        time: hit.document.time.map(timestamp),
    }
}

fn snippet(pieces: &[Piece], words: &Wording) -> pb::Snippet {
    let mut out = pb::Snippet::default();
    let byte = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    for piece in pieces {
        let start = out.text.len();
        out.text.push_str(&words.say(&piece.text));
        if piece.matched {
            let highlight = pb::Highlight { start: byte(start), end: byte(out.text.len()) };
            out.highlights.push(highlight);
        }
    }
    out
}

fn hit_kind(kind: Kind) -> pb::HitKind {
    match kind {
        Kind::Note => pb::HitKind::Note,
        Kind::Procedure => pb::HitKind::Procedure,
        Kind::Record => pb::HitKind::Record,
    }
}

fn kinds(asked: &[i32]) -> Result<Vec<Kind>, Status> {
    let kind = |value: &i32| match pb::HitKind::try_from(*value) {
        Ok(pb::HitKind::Note) => Ok(Kind::Note),
        Ok(pb::HitKind::Procedure) => Ok(Kind::Procedure),
        Ok(pb::HitKind::Record) => Ok(Kind::Record),
        Ok(pb::HitKind::Unspecified) | Err(_) => {
            let remedy = "use a kind of sward.v1.HitKind, or none for every kind";
            Err(invalid("kinds", &value.to_string(), remedy))
        }
    };
    asked.iter().map(kind).collect()
}

fn page_size(asked: i32) -> Result<usize, Status> {
    match usize::try_from(asked) {
        Ok(0) => Ok(PAGE_HITS_DEFAULT),
        Ok(size) if size <= PAGE_HITS_MAX => Ok(size),
        _ => Err(invalid("page_size", &asked.to_string(), "give 0 to 100; 0 means 10")),
    }
}

fn moment(field: &str, time: &prost_types::Timestamp) -> Result<Moment, Status> {
    Moment::from_timestamp(field, time.seconds, time.nanos).map_err(wrong)
}

fn wrong(error: RecordError) -> Status {
    invalid(&error.field, &error.value, &error.remedy)
}

/// What must be the same on every page: everything but the page itself.
fn question_of(request: &pb::SearchRequest) -> u64 {
    let question = pb::SearchRequest { page_size: 0, page_token: String::new(), ..request.clone() };
    let hash = content_hash(&prost::Message::encode_to_vec(&question)).to_be_bytes();
    let [a, b, c, d, e, f, g, h, ..] = hash;
    u64::from_be_bytes([a, b, c, d, e, f, g, h])
}

/// First byte of every token, so that the form may change.
const TOKEN_FORM: u8 = 1;

fn token(question: u64, cursor: &Cursor) -> String {
    let mut bytes = vec![TOKEN_FORM];
    bytes.extend(question.to_be_bytes());
    bytes.extend(cursor.sequence.to_be_bytes());
    bytes.extend(cursor.score.to_be_bytes());
    bytes.extend(cursor.time.to_be_bytes());
    bytes.extend(cursor.key.to_be_bytes());
    URL_SAFE_NO_PAD.encode(bytes)
}

fn place(token: &str, question: u64) -> Result<Option<Cursor>, Status> {
    if token.is_empty() {
        return Ok(None);
    }
    let foreign = "use the token of the page before as it came, or none for the first page";
    let fail = |remedy: &str| invalid("page_token", token, remedy);
    let bytes = URL_SAFE_NO_PAD.decode(token).map_err(|_| fail(foreign))?;
    let words: Vec<[u8; 8]> = match bytes.split_first() {
        Some((&TOKEN_FORM, rest)) if rest.len() == 40 => rest.as_chunks::<8>().0.to_vec(),
        _ => return Err(fail(foreign)),
    };
    let [asked, sequence, score, time, key] = words[..] else { return Err(fail(foreign)) };
    if u64::from_be_bytes(asked) != question {
        return Err(fail("it belongs to another question; ask the same one for each page"));
    }
    let score = f64::from_be_bytes(score);
    if !score.is_finite() {
        return Err(fail(foreign));
    }
    Ok(Some(Cursor {
        sequence: u64::from_be_bytes(sequence),
        score,
        time: i64::from_be_bytes(time),
        key: u64::from_be_bytes(key),
    }))
}
