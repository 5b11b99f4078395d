//! One call, from the moment it is let in until the last of its answer was taken.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use tokio::sync::OwnedSemaphorePermit;
use tokio::sync::mpsc::{self, error::SendTimeoutError};
use tokio::task::AbortHandle;
use tokio_stream::wrappers::ReceiverStream;
use tokio_stream::{Stream, StreamExt as _};
use tonic::{Code, Status};

use super::{Arrival, Caller, Gate, deadline};
use crate::service::access::roles::{Row, Span};
use crate::service::doors::Connection;
use crate::service::observe::{Limit, code_name};
use crate::service::status;

tokio::task_local! {
    /// The call that is being answered.
    pub static CURRENT: Arc<Call>;
}

/// The call that is being answered. Whoever works on after the answer keeps it, and so its place
/// among the calls worked on at once.
pub fn current() -> Option<Arc<Call>> {
    CURRENT.try_with(Arc::clone).ok()
}

/// Work that goes on in the name of the call that is being answered.
pub fn within<F: Future>(work: F) -> impl Future<Output = F::Output> {
    let call = current();
    async move {
        match call {
            Some(call) => CURRENT.scope(call, work).await,
            None => work.await,
        }
    }
}

/// An answer a little before the caller stops waiting, so that the caller hears the reason.
const ANSWER_AHEAD: Duration = Duration::from_millis(2);
/// How often an open stream looks whether its token is still good.
const LOOK_INTERVAL: Duration = Duration::from_secs(1);

pub struct Call {
    pub id: String,
    rpc: &'static str,
    gate: Arc<Gate>,
    caller: Caller,
    connection: Option<Arc<Connection>>,
    began: Instant,
    deadline: tokio::time::Instant,
    /// The time it was given, and whether the caller set it.
    given: (Duration, bool),
    ended: AtomicBool,
    streams: AtomicBool,
    reader_watch: OnceLock<AbortHandle>,
    _place: OwnedSemaphorePermit,
}

impl Call {
    pub(super) fn begin(
        gate: &Arc<Gate>,
        arrival: &Arrival<'_>,
        caller: Caller,
        row: Option<&'static Row>,
        place: OwnedSemaphorePermit,
    ) -> Result<Arc<Call>, Status> {
        let given = given_time(gate, arrival, row)?;
        let connection = arrival.connection.cloned();
        if let Some(connection) = &connection {
            connection.call_began();
        }
        gate.seen.calls_open.inc();
        Ok(Arc::new(Call {
            id: arrival.id.clone(),
            rpc: row.map_or("unknown", |row| row.rpc),
            gate: Arc::clone(gate),
            caller,
            connection,
            began: Instant::now(),
            deadline: tokio::time::Instant::now() + given.0.saturating_sub(ANSWER_AHEAD),
            given,
            ended: AtomicBool::new(false),
            streams: AtomicBool::new(false),
            reader_watch: OnceLock::new(),
            _place: place,
        }))
    }

    pub fn rpc(&self) -> &'static str {
        self.rpc
    }

    pub(super) fn deadline(&self) -> tokio::time::Instant {
        self.deadline
    }

    pub(super) fn out_of_time(&self) -> Status {
        self.gate.seen.limited(Limit::Time);
        status::out_of_time(self.given.0, self.given.1)
    }

    pub(super) fn failed(&self, error: &Status) {
        if error.code() == Code::OutOfRange {
            // Only the transport says so: a message was over the limit.
            self.gate.seen.limited(Limit::Message);
        }
        if matches!(error.code(), Code::Internal | Code::DataLoss | Code::Unknown) {
            tracing::error!(request_id = self.id, rpc = self.rpc, "{}", error.message());
        }
        self.end(error.code());
    }

    /// The answer is ready, and waits to be taken.
    pub(super) fn answered(self: &Arc<Call>) {
        if !self.streams.load(Ordering::Relaxed) {
            self.end(Code::Ok);
            self.watch_reader();
        }
    }

    /// A reader that does not take what is ready loses its connection: else it would keep a place
    /// here for as long as it likes.
    fn watch_reader(self: &Arc<Call>) {
        let Some(connection) = self.connection.clone() else { return };
        let (stall_time, seen) = (self.gate.limits.stall_time, Arc::clone(&self.gate.seen));
        let watch = tokio::spawn(async move {
            tokio::time::sleep(stall_time).await;
            seen.limited(Limit::Stall);
            connection.close();
        });
        // Set once: a call is answered once.
        let _ = self.reader_watch.set(watch.abort_handle());
    }

    fn stalled(&self) {
        self.gate.seen.limited(Limit::Stall);
        self.end(Code::ResourceExhausted);
        if let Some(connection) = &self.connection {
            connection.close();
        }
    }

    fn still_allowed(&self) -> bool {
        match self.caller {
            Caller::Holder(holder) => self.gate.tokens.holds(holder).unwrap_or(false),
            Caller::Local | Caller::Stranger => true,
        }
    }

    fn end(&self, code: Code) {
        if !self.ended.swap(true, Ordering::Relaxed) {
            let took = self.began.elapsed();
            self.gate.seen.call_ended(self.rpc, code, took);
            log(self.rpc, &self.id, code, took);
        }
    }
}

impl Drop for Call {
    fn drop(&mut self) {
        // Whoever asked went away before there was an answer.
        self.end(Code::Cancelled);
        self.gate.seen.calls_open.dec();
        if let Some(watch) = self.reader_watch.get() {
            watch.abort();
        }
        if let Some(connection) = &self.connection {
            connection.call_ended();
        }
    }
}

/// A line for a call that ended. Nothing of what was asked or answered is in it; what was turned
/// away for want of room is counted, not written, or an overload would fill the disk too.
pub(super) fn log(rpc: &str, request_id: &str, code: Code, took: Duration) {
    let (status, ms) = (code_name(code), took.as_secs_f64() * 1e3);
    match code {
        Code::Ok | Code::Cancelled | Code::ResourceExhausted => {
            tracing::debug!(rpc, request_id, status, ms, "call");
        }
        Code::Internal | Code::DataLoss | Code::Unknown => {
            tracing::error!(rpc, request_id, status, ms, "call");
        }
        _ => tracing::info!(rpc, request_id, status, ms, "call"),
    }
}

/// The shorter of what the caller and the server allow, and whether it is the caller's.
fn given_time(
    gate: &Gate,
    arrival: &Arrival<'_>,
    row: Option<&Row>,
) -> Result<(Duration, bool), Status> {
    let ours = match row.map_or(Span::Call, |row| row.span) {
        Span::Call => gate.limits.call_time,
        Span::Table => gate.limits.table_time,
        Span::Open => gate.limits.conversation_time,
    };
    let Some(value) = arrival.headers.get("grpc-timeout") else { return Ok((ours, false)) };
    let text = String::from_utf8_lossy(value.as_bytes());
    let theirs = deadline::parse(&text).ok_or_else(|| {
        let remedy = "write up to eight digits and one of H M S m u n, such as 500m";
        status::invalid("grpc-timeout", &text, remedy)
    })?;
    Ok(if theirs < ours { (theirs, true) } else { (ours, false) })
}

/// A stream of answers that the limits hold for.
pub type Watched<T> = ReceiverStream<Result<T, Status>>;

/// Sends a stream on: until it ends, the time of the call is over, its token is revoked, or the
/// reader does not read.
pub fn watched<T, S>(stream: S) -> Watched<T>
where
    T: Send + 'static,
    S: Stream<Item = Result<T, Status>> + Send + 'static,
{
    let (give, taken) = mpsc::channel(1);
    let call = current();
    if let Some(call) = &call {
        call.streams.store(true, Ordering::Relaxed);
    }
    tokio::spawn(async move {
        match call {
            Some(call) => call.pump(stream, give).await,
            None => pass(stream, give).await,
        }
    });
    ReceiverStream::new(taken)
}

type Give<T> = mpsc::Sender<Result<T, Status>>;

async fn pass<T, S: Stream<Item = Result<T, Status>>>(stream: S, give: Give<T>) {
    let mut stream = std::pin::pin!(stream);
    while let Some(item) = stream.next().await {
        if give.send(item).await.is_err() {
            return;
        }
    }
}

impl Call {
    async fn pump<T, S>(self: Arc<Call>, stream: S, give: Give<T>)
    where
        S: Stream<Item = Result<T, Status>>,
    {
        let mut stream = std::pin::pin!(stream);
        let mut over = std::pin::pin!(tokio::time::sleep_until(self.deadline));
        let mut look = tokio::time::interval(LOOK_INTERVAL);
        loop {
            let item = tokio::select! {
                item = stream.next() => item,
                () = &mut over => Some(Err(self.out_of_time())),
                _ = look.tick() => {
                    if self.still_allowed() {
                        continue;
                    }
                    Some(Err(status::unauthenticated("the token was revoked")))
                }
                () = give.closed() => return,
            };
            let Some(item) = item else {
                self.end(Code::Ok);
                break;
            };
            let failure = item.as_ref().err().map(Status::code);
            let item = item.map_err(|error| status::with_request_id(error, &self.id));
            match give.send_timeout(item, self.gate.limits.stall_time).await {
                Ok(()) => {}
                Err(SendTimeoutError::Closed(_)) => return,
                Err(SendTimeoutError::Timeout(_)) => return self.stalled(),
            }
            if let Some(code) = failure {
                self.end(code);
                break;
            }
        }
        self.watch_reader();
    }
}
