//! One of the crowd: asks, records, looks up what it recorded, and tries again when it is told to.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, Instant};

use prost::Message as _;
use prost::bytes::Bytes;
use sward_core::pb;
use tokio::sync::watch;
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Status};
use tonic_types::StatusExt as _;

use super::ledger::{Ledger, call};
use super::questions::{Question, ask};
use crate::raw_call;

/// Calls go on for this long after the end, so that what was sent is acknowledged or refused.
const LAST_WORD: Duration = Duration::from_secs(60);
/// Wait when a server says nothing of when to come back.
const PAUSE: Duration = Duration::from_millis(200);
/// Longest time for one call.
const CALL_TIME: Duration = Duration::from_secs(40);
/// Acknowledged records that a client remembers for looking them up.
const REMEMBERED: usize = 50;

/// What a client has seen.
#[derive(Default)]
pub struct Seen {
    pub ledger: Ledger,
    /// Calls that were answered, by method.
    pub answered: BTreeMap<String, u64>,
    /// Calls that were not, by method and number of the code, with a message of each kind.
    pub refused: BTreeMap<(String, i32), (u64, String)>,
    pub wrong: Vec<String>,
    pub times: Vec<Duration>,
    /// Records stored at a moment far from the real one.
    pub far_off: u64,
    /// Amendments refused because their record lies ahead of the server's clock.
    pub ahead: u64,
}

pub struct Client {
    number: usize,
    channel: Channel,
    questions: Arc<Vec<Question>>,
    stop: watch::Receiver<bool>,
    state: u64,
    written: u64,
    mine: Vec<pb::Record>,
    seen: Seen,
}

/// Every client keeps to a unit of its own.
pub fn unit_of(number: usize) -> String {
    format!("sites/home/machines/m{}/units/{}", number / 10, number % 10)
}

impl Client {
    pub fn new(
        number: usize,
        url: &str,
        questions: Arc<Vec<Question>>,
        stop: watch::Receiver<bool>,
        seed: u64,
    ) -> Result<Client, tonic::transport::Error> {
        let endpoint = Endpoint::from_shared(url.to_owned())?.timeout(CALL_TIME).tcp_nodelay(true);
        Ok(Client {
            number,
            channel: endpoint.connect_lazy(),
            questions,
            stop,
            state: (seed << 20 | number as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1,
            written: 0,
            mine: Vec::new(),
            seen: Seen::default(),
        })
    }

    /// xorshift64*, from memory.
    fn below(&mut self, limit: usize) -> usize {
        self.state ^= self.state >> 12;
        self.state ^= self.state << 25;
        self.state ^= self.state >> 27;
        (self.state.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) as usize % limit.max(1)
    }

    pub async fn work(mut self) -> Seen {
        while !*self.stop.borrow() {
            match self.below(100) {
                0..70 => self.question().await,
                70..84 => self.create().await,
                84..87 => self.amend().await,
                87..91 => self.look_up().await,
                91..94 => self.list().await,
                94..97 => self.search_own().await,
                97 => self.diagnose_own().await,
                98 => self.read_out().await,
                _ => self.talk().await,
            }
        }
        self.seen
    }

    fn note<T>(&mut self, method: &str, start: Instant, outcome: &Result<T, Status>) {
        match outcome {
            Ok(_) => {
                *self.seen.answered.entry(method.to_owned()).or_default() += 1;
                self.seen.times.push(start.elapsed());
            }
            Err(status) => {
                let key = (method.to_owned(), i32::from(status.code()));
                let text = || (0, status.message().to_owned());
                self.seen.refused.entry(key).or_insert_with(text).0 += 1;
            }
        }
    }

    fn wrong(&mut self, what: String) {
        if self.seen.wrong.len() < 10 {
            self.seen.wrong.push(what);
        }
    }

    async fn question(&mut self) {
        let at = self.below(self.questions.len());
        let questions = Arc::clone(&self.questions);
        let question = &questions[at];
        let start = Instant::now();
        let reply = ask(&self.channel, question).await;
        self.note(&question.method, start, &reply);
        match reply {
            Ok(reply) if reply != question.answer => {
                self.wrong(format!("{} number {at}: another answer than alone", question.method));
            }
            Ok(_) => {}
            Err(status) => pause(&status).await,
        }
    }

    fn next_request(&mut self) -> String {
        self.written += 1;
        let id = uuid::Uuid::from_u64_pair(self.state, (self.number as u64) << 40 | self.written);
        self.seen.ledger.records.insert(id.to_string(), None);
        id.to_string()
    }

    /// A word that stands in this record and in no other.
    fn mark(&self) -> String {
        format!("mark{}x{}", in_letters(self.number), in_letters(self.written))
    }

    fn record(&mut self) -> pb::Record {
        let hours = f64::from(u32::try_from(self.written).unwrap_or(0)) / 4.0;
        let detail = match self.below(3) {
            0 => pb::record::Detail::Hours(pb::HoursDetail {
                hours_run_h: Some(hours.clamp(0.25, 24.0)),
                ..pb::HoursDetail::default()
            }),
            1 => pb::record::Detail::HeightReading(pb::HeightReadingDetail {
                method: pb::HeightMethod::Bench.into(),
                readings: vec![pb::HeightPoint {
                    height_mm: Some(3.0 + hours % 5.0),
                    ..pb::HeightPoint::default()
                }],
                ..pb::HeightReadingDetail::default()
            }),
            _ => pb::record::Detail::FaultFixed(pb::FaultFixedDetail {
                fault: "thin uncut line".to_owned(),
                cause: "edge_damage".to_owned(),
                fixed: Some(true),
                ..pb::FaultFixedDetail::default()
            }),
        };
        let notes = format!("Done on the bench, {}.", self.mark());
        pb::Record { detail: Some(detail), notes, ..pb::Record::default() }
    }

    /// Sends a write until it is acknowledged; gives up a while after the end.
    async fn write<A: prost::Message + Default>(
        &mut self,
        method: &str,
        request: &impl prost::Message,
    ) -> Option<A> {
        let mut patience: Option<Instant> = None;
        loop {
            let start = Instant::now();
            let reply = call(&self.channel, "RecordsService", method, request).await;
            self.note(method, start, &reply);
            match reply {
                Ok(reply) => return Some(reply),
                Err(status) if may_be_tried_again(status.code()) => pause(&status).await,
                Err(status) if method == "AmendRecord" && lies_ahead(&status) => {
                    self.seen.ahead += 1;
                    return None;
                }
                Err(status) => {
                    self.wrong(format!("{method}: {:?} {}", status.code(), status.message()));
                    return None;
                }
            }
            if *self.stop.borrow()
                && patience.get_or_insert_with(Instant::now).elapsed() > LAST_WORD
            {
                return None;
            }
        }
    }

    async fn create(&mut self) {
        let request_id = self.next_request();
        let parent = unit_of(self.number);
        let record = Some(self.record());
        let request = pb::CreateRecordRequest { parent, record, request_id };
        // One in eight is sent twice, as by somebody who did not see the answer.
        for _ in 0..=usize::from(self.below(8) == 0) {
            let reply: Option<pb::CreateRecordResponse> =
                self.write("CreateRecord", &request).await;
            self.stored(&request.request_id, reply.and_then(|reply| reply.record));
        }
    }

    async fn amend(&mut self) {
        if self.mine.is_empty() {
            return;
        }
        let at = self.below(self.mine.len());
        let old = self.mine.swap_remove(at);
        let request_id = self.next_request();
        let record = Some(self.record());
        let request = pb::AmendRecordRequest {
            name: old.name,
            record,
            request_id,
            ..pb::AmendRecordRequest::default()
        };
        let reply: Option<pb::AmendRecordResponse> = self.write("AmendRecord", &request).await;
        self.stored(&request.request_id, reply.and_then(|reply| reply.record));
    }

    fn stored(&mut self, request: &str, record: Option<pb::Record>) {
        let Some(record) = record else { return };
        self.seen.ledger.note(request, &record.name);
        let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
        let now = now.map_or(0, |since| since.as_secs() as i64);
        let created = record.create_time.as_ref().map_or(0, |time| time.seconds);
        self.seen.far_off += u64::from((created - now).abs() > 86_400);
        if self.mine.len() == REMEMBERED {
            let at = self.below(REMEMBERED);
            self.mine.swap_remove(at);
        }
        if !self.mine.iter().any(|mine| mine.name == record.name) {
            self.mine.push(record);
        }
    }

    /// What was acknowledged is there, as it was acknowledged.
    async fn look_up(&mut self) {
        let at = self.below(self.mine.len());
        let Some(mine) = self.mine.get(at).cloned() else { return };
        let request = pb::GetRecordRequest { name: mine.name.clone() };
        let start = Instant::now();
        let reply: Result<pb::GetRecordResponse, Status> =
            call(&self.channel, "RecordsService", "GetRecord", &request).await;
        self.note("GetRecord", start, &reply);
        match reply {
            Ok(reply) if reply.record.as_ref() != Some(&mine) => {
                self.wrong(format!("{} is not what was acknowledged", mine.name));
            }
            Ok(_) => {}
            Err(status) if status.code() == Code::NotFound => {
                self.wrong(format!("{} was acknowledged and is not there", mine.name));
            }
            Err(status) => pause(&status).await,
        }
    }

    async fn list(&mut self) {
        let parent = unit_of(self.number);
        let request = pb::ListRecordsRequest {
            parent,
            page_size: 20,
            ..pb::ListRecordsRequest::default()
        };
        let start = Instant::now();
        let reply: Result<pb::ListRecordsResponse, Status> =
            call(&self.channel, "RecordsService", "ListRecords", &request).await;
        self.note("ListRecords", start, &reply);
        if let Err(status) = reply {
            pause(&status).await;
        }
    }

    /// What was acknowledged is found by its words.
    async fn search_own(&mut self) {
        let at = self.below(self.mine.len());
        let Some(mine) = self.mine.get(at).cloned() else { return };
        let mark = mine.notes.rsplit(' ').next().unwrap_or_default().trim_end_matches('.');
        let request = pb::SearchRequest {
            query: mark.to_owned(),
            kinds: vec![pb::HitKind::Record.into()],
            ..pb::SearchRequest::default()
        };
        let start = Instant::now();
        let reply: Result<pb::SearchResponse, Status> =
            call(&self.channel, "SearchService", "Search", &request).await;
        self.note("Search of records", start, &reply);
        match reply {
            Ok(reply) if !reply.hits.iter().any(|hit| hit.name == mine.name) => {
                self.wrong(format!("{} was acknowledged and is not found by {mark}", mine.name));
            }
            Ok(_) => {}
            Err(status) => pause(&status).await,
        }
    }

    /// With the history of the unit, which grows meanwhile: sound, whatever it is.
    async fn diagnose_own(&mut self) {
        let request = pb::DiagnoseRequest {
            complaint: "thin uncut line, same place every pass".to_owned(),
            unit: unit_of(self.number),
            ..pb::DiagnoseRequest::default()
        };
        let start = Instant::now();
        let reply: Result<pb::DiagnoseResponse, Status> =
            call(&self.channel, "DiagnosisService", "Diagnose", &request).await;
        self.note("Diagnose with history", start, &reply);
        match reply {
            Ok(reply) if reply.causes.is_empty() => {
                self.wrong("a diagnosis with history names no cause".to_owned());
            }
            Ok(_) => {}
            Err(status) => pause(&status).await,
        }
    }

    /// Answers in pieces, about one's own unit, read to their end.
    async fn read_out(&mut self) {
        let parent = unit_of(self.number);
        let (service, method, body) = match self.below(3) {
            0 => {
                let request = pb::ListDueRequest { parent, ..Default::default() };
                ("FleetService", "ListDue", request.encode_to_vec())
            }
            1 => {
                let kind = pb::ReportKind::Unit.into();
                let request = pb::GetReportRequest { kind, parent, ..Default::default() };
                ("FleetService", "GetReport", request.encode_to_vec())
            }
            _ => {
                let request = pb::ExportRecordsRequest { parent, ..Default::default() };
                ("RecordsService", "ExportRecords", request.encode_to_vec())
            }
        };
        self.stream(service, method, vec![body]).await;
    }

    /// A short conversation that only asks.
    async fn talk(&mut self) {
        use pb::converse_request::Payload;
        let said = "what is the clip at 3.8 mph with 15 blades and 2200 rpm".to_owned();
        let turns = [Payload::Start(pb::ConverseStart::default()), Payload::Text(said)];
        let bodies = turns.into_iter().zip(1..).map(|(payload, number)| {
            pb::ConverseRequest { number, payload: Some(payload) }.encode_to_vec()
        });
        let replies = self.stream("AssistantService", "Converse", bodies.collect()).await;
        let ended = |reply: &Bytes| {
            let reply = pb::ConverseResponse::decode(reply.clone()).unwrap_or_default();
            matches!(reply.payload, Some(pb::converse_response::Payload::Answer(_)))
        };
        if replies.is_some_and(|replies| !replies.iter().any(ended)) {
            self.wrong("a conversation without an answer".to_owned());
        }
    }

    async fn stream(
        &mut self,
        service: &str,
        method: &str,
        bodies: Vec<Vec<u8>>,
    ) -> Option<Vec<Bytes>> {
        let bodies = bodies.into_iter().map(Bytes::from).collect();
        let path = raw_call::path(service, method);
        let start = Instant::now();
        let replies = raw_call::streamed(&self.channel, path, bodies, usize::MAX).await;
        self.note(method, start, &replies);
        match replies {
            Ok(replies) => Some(replies),
            Err(status) => {
                pause(&status).await;
                None
            }
        }
    }
}

/// What a retry may mend. The client's own library reports a connection that broke as unknown or
/// cancelled.
pub fn may_be_tried_again(code: Code) -> bool {
    matches!(
        code,
        Code::Unavailable
            | Code::ResourceExhausted
            | Code::DeadlineExceeded
            | Code::Cancelled
            | Code::Unknown
    )
}

/// The clock went back: a record stored before that keeps its moment, which is now to come.
fn lies_ahead(status: &Status) -> bool {
    status.code() == Code::InvalidArgument && status.message().contains("lies in the future")
}

/// Waits as long as the server says.
async fn pause(status: &Status) {
    let told = status.get_details_retry_info().and_then(|info| info.retry_delay);
    tokio::time::sleep(told.unwrap_or(PAUSE).min(Duration::from_secs(5))).await;
}

/// A number as a word, of which two are never a slip of the finger apart.
fn in_letters(number: impl ToString) -> String {
    let letter = |digit: u8| char::from(b"bcdfghjklm"[usize::from(digit - b'0')]);
    number.to_string().bytes().flat_map(|digit| [letter(digit); 3]).collect()
}
