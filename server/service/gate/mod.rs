//! May this call come in? One layer around every service: who calls, how often, how many at once,
//! for how long, under which request id, and how it ended.
//! Deliberately absent: what any call means.

mod call;
mod deadline;
mod rate;

use std::ops::{Deref, DerefMut};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use std::time::Instant;

use tokio::sync::Semaphore;
use tonic::body::Body;
use tonic::codegen::{BoxFuture, http};
use tonic::{Code, Status};
use tower::{Layer, Service};
use tracing::Instrument as _;

use super::access::roles::{self, Role, Row, Span};
use super::access::tokens::{Holder, Tokens};
use super::doors::Connection;
use super::observe::{Limit, Seen, traces};
use super::status;
use crate::config::{Config, Limits, REQUEST_ID_CHARACTERS_MAX};
pub use call::{Call, Watched, current, watched, within};
use rate::{Client, Rates};

/// The header that names a call, in both directions.
const REQUEST_ID: &str = "x-request-id";

/// What every call is checked against.
pub struct Gate {
    tokens: Tokens,
    needs_token: bool,
    limits: Limits,
    calls: Arc<Semaphore>,
    open_streams: Arc<Semaphore>,
    rates: Rates,
    seen: Arc<Seen>,
}

/// Who calls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Caller {
    /// The user of this machine.
    Local,
    Holder(Holder),
    /// Nobody we know.
    Stranger,
}

impl Caller {
    fn may(self, row: &Row) -> bool {
        match self {
            Caller::Local => true,
            Caller::Holder(holder) => holder.role >= row.least,
            Caller::Stranger => row.least == Role::Anyone,
        }
    }
}

impl Gate {
    pub fn new(config: &Config, seen: Arc<Seen>) -> Arc<Gate> {
        let limits = config.limits.clone();
        Arc::new(Gate {
            tokens: Tokens::of(&config.data),
            needs_token: config.needs_token(),
            calls: Arc::new(Semaphore::new(limits.calls)),
            open_streams: Arc::new(Semaphore::new(limits.open_streams)),
            rates: Rates::new(limits.calls_per_second),
            limits,
            seen,
        })
    }

    /// Lets a call in, or says why not.
    fn admit(self: &Arc<Gate>, arrival: &Arrival<'_>) -> Result<Arc<Call>, Status> {
        let caller = self.caller(arrival)?;
        self.take_rate(caller, arrival)?;
        let row = self.row(caller, arrival)?;
        let (places, limit) = match row.map_or(Span::Call, |row| row.span) {
            Span::Call | Span::Table => (&self.calls, Limit::Calls),
            Span::Open => (&self.open_streams, Limit::OpenStreams),
        };
        let Ok(place) = Arc::clone(places).try_acquire_owned() else {
            self.seen.limited(limit);
            let text = match limit {
                Limit::OpenStreams => "too many streams are open",
                _ => "too many calls at once",
            };
            return Err(status::limited(limit.name(), text, status::RETRY_AFTER));
        };
        Call::begin(self, arrival, caller, row, place)
    }

    fn caller(&self, arrival: &Arrival<'_>) -> Result<Caller, Status> {
        let Some(shown) = arrival.headers.get(http::header::AUTHORIZATION) else {
            let local = arrival.connection.is_none_or(|connection| !connection.over_network());
            return Ok(if local || !self.needs_token { Caller::Local } else { Caller::Stranger });
        };
        let token = shown.to_str().ok().and_then(|text| text.strip_prefix("Bearer "));
        let holder = token.map_or(Ok(None), |token| self.tokens.holder(token));
        let holder = holder.map_err(|error| {
            tracing::error!(%error, "the tokens cannot be read; nobody with a token is let in");
            status::unauthenticated("the tokens of this server cannot be read")
        })?;
        match holder {
            Some(holder) => Ok(Caller::Holder(holder)),
            None => {
                self.take_rate(Caller::Stranger, arrival)?;
                Err(status::unauthenticated("the token is not known here, or was revoked"))
            }
        }
    }

    fn take_rate(&self, caller: Caller, arrival: &Arrival<'_>) -> Result<(), Status> {
        let client = match caller {
            Caller::Local => return Ok(()),
            Caller::Holder(holder) => Client::Token(holder.id),
            Caller::Stranger => match arrival.connection.and_then(|connection| connection.peer) {
                Some(address) => Client::at(address),
                None => return Ok(()),
            },
        };
        self.rates.take(client, Instant::now()).map_err(|wait| {
            self.seen.limited(Limit::Rate);
            let text = format!("more than {} calls a second", self.limits.calls_per_second);
            status::limited(Limit::Rate.name(), &text, wait)
        })
    }

    /// The row of an rpc that the caller may call. One without a row is left to the local user.
    fn row(
        &self,
        caller: Caller,
        arrival: &Arrival<'_>,
    ) -> Result<Option<&'static Row>, Status> {
        match roles::row_of(arrival.path) {
            Some(row) if caller.may(row) => Ok(Some(row)),
            None if caller == Caller::Local => Ok(None),
            _ if caller == Caller::Stranger => {
                Err(status::unauthenticated("this server needs a token"))
            }
            Some(row) => Err(status::not_allowed(row.rpc, row.least.name())),
            None => Err(status::no_such_rpc(arrival.path)),
        }
    }
}

/// What a call brings along.
struct Arrival<'a> {
    id: String,
    path: &'a str,
    headers: &'a http::HeaderMap,
    connection: Option<&'a Arc<Connection>>,
}

impl<'a> Arrival<'a> {
    fn of(request: &'a http::Request<Body>) -> Arrival<'a> {
        let headers = request.headers();
        Arrival {
            id: request_id(headers),
            path: request.uri().path(),
            headers,
            connection: request.extensions().get::<Arc<Connection>>(),
        }
    }
}

/// The caller's own id where it is one, else a new one.
fn request_id(headers: &http::HeaderMap) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._:".contains(&byte);
    let given = headers.get(REQUEST_ID).and_then(|id| id.to_str().ok());
    match given {
        Some(id)
            if (1..=REQUEST_ID_CHARACTERS_MAX).contains(&id.len()) && id.bytes().all(plain) =>
        {
            id.to_owned()
        }
        _ => uuid::Uuid::new_v4().to_string(),
    }
}

/// Puts the gate around services.
#[derive(Clone)]
pub struct GateLayer(pub Arc<Gate>);

impl<S> Layer<S> for GateLayer {
    type Service = Gated<S>;

    fn layer(&self, inner: S) -> Gated<S> {
        Gated { gate: Arc::clone(&self.0), inner }
    }
}

/// Services behind the gate.
#[derive(Clone)]
pub struct Gated<S> {
    gate: Arc<Gate>,
    inner: S,
}

type Reply = http::Response<Body>;

impl<S> Service<http::Request<Body>> for Gated<S>
where
    S: Service<http::Request<Body>, Response = Reply>,
    S::Future: Send + 'static,
    S::Error: Send + 'static,
{
    type Response = Reply;
    type Error = S::Error;
    type Future = BoxFuture<Reply, S::Error>;

    fn poll_ready(&mut self, context: &mut Context<'_>) -> Poll<Result<(), S::Error>> {
        self.inner.poll_ready(context)
    }

    fn call(&mut self, request: http::Request<Body>) -> Self::Future {
        let arrival = Arrival::of(&request);
        let call = match self.gate.admit(&arrival) {
            Ok(call) => call,
            Err(refusal) => {
                let Arrival { id, path, .. } = arrival;
                let reply = self.gate.refuse(&id, path, refusal);
                return Box::pin(async { Ok(reply) });
            }
        };
        let span = traces::span(call.rpc(), &call.id, request.headers());
        let work = caught(self.inner.call(request));
        // Made here, not when first polled, so that it ends before the timer of the transport does.
        let out_of_time = Box::pin(tokio::time::sleep_until(call.deadline()));
        let held = Arc::clone(&call);
        let answered = call::CURRENT.scope(call, async move {
            let reply = tokio::select! {
                biased;
                outcome = work => match outcome {
                    Some(reply) => reply?,
                    None => status::broke_off().into_http(),
                },
                () = out_of_time => held.out_of_time().into_http(),
            };
            Ok(finish(&held, reply))
        });
        Box::pin(answered.instrument(span))
    }
}

impl Gate {
    fn refuse(&self, id: &str, path: &str, refusal: Status) -> Reply {
        let rpc = roles::row_of(path).map_or("unknown", |row| row.rpc);
        self.seen.call_ended(rpc, refusal.code(), std::time::Duration::ZERO);
        call::log(rpc, id, refusal.code(), std::time::Duration::ZERO);
        named(status::with_request_id(refusal, id).into_http(), id)
    }
}

/// What a call answers in the end: an error with its details, or the held answer.
fn finish(call: &Arc<Call>, reply: Reply) -> Reply {
    let error = Status::from_header_map(reply.headers()).filter(|error| error.code() != Code::Ok);
    if let Some(error) = error {
        call.failed(&error);
        return named(status::with_request_id(error, &call.id).into_http(), &call.id);
    }
    call.answered();
    let body = |body| Body::new(Pin::new(Held { body, _call: Arc::clone(call) }));
    named(reply.map(body), &call.id)
}

fn named(mut reply: Reply, id: &str) -> Reply {
    if let Ok(value) = http::HeaderValue::from_str(id) {
        reply.headers_mut().insert(REQUEST_ID, value);
    }
    reply
}

/// An answer on its way: the call is over when the last of it was taken.
struct Held {
    body: Body,
    _call: Arc<Call>,
}

impl Deref for Held {
    type Target = Body;

    fn deref(&self) -> &Body {
        &self.body
    }
}

impl DerefMut for Held {
    fn deref_mut(&mut self) -> &mut Body {
        &mut self.body
    }
}

/// The outcome of the work, or nothing when it panicked: a fault of the program ends one call only.
async fn caught<F: Future>(work: F) -> Option<F::Output> {
    let mut work = Box::pin(work);
    std::future::poll_fn(move |context| {
        let poll = || work.as_mut().poll(context);
        match std::panic::catch_unwind(std::panic::AssertUnwindSafe(poll)) {
            Ok(polled) => Poll::Ready(Some(ready!(polled))),
            Err(_) => Poll::Ready(None),
        }
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id_for(given: &str) -> String {
        let mut headers = http::HeaderMap::new();
        headers.insert(REQUEST_ID, given.parse().expect("a header"));
        request_id(&headers)
    }

    #[test]
    fn a_sane_request_id_is_kept_and_any_other_replaced() {
        for kept in ["7", "a-b_c.d:1", &"x".repeat(64)] {
            assert_eq!(id_for(kept), kept);
        }
        for replaced in ["", "a b", "a\"b", "<a>", &"x".repeat(65)] {
            assert!(uuid::Uuid::parse_str(&id_for(replaced)).is_ok(), "{replaced}");
        }
    }
    /// A gate around a service that does what the test says.
    async fn through<F>(timeout: Option<&str>, limits: Limits, work: fn() -> F) -> Status
    where
        F: Future<Output = ()> + Send + 'static,
    {
        let here = "127.0.0.1:0".parse().expect("an address");
        let config = Config { limits, ..Config::new(here, std::path::PathBuf::from("nowhere")) };
        let gate = Gate::new(&config, Arc::new(Seen::new("0", "0")));
        let mut gated = GateLayer(gate).layer(tower::service_fn(move |_| async move {
            work().await;
            Ok::<_, std::convert::Infallible>(Status::new(Code::Ok, "").into_http())
        }));
        let mut request = http::Request::new(Body::empty());
        *request.uri_mut() = http::Uri::from_static("/sward.v1.GuideService/GetStatus");
        request.headers_mut().insert(REQUEST_ID, http::HeaderValue::from_static("id-1"));
        if let Some(timeout) = timeout {
            let value = timeout.parse().expect("a header");
            request.headers_mut().insert("grpc-timeout", value);
        }
        let Ok(reply) = gated.call(request).await;
        assert_eq!(reply.headers()[REQUEST_ID], "id-1");
        Status::from_header_map(reply.headers()).expect("a status")
    }

    fn for_ever() -> std::future::Pending<()> {
        std::future::pending()
    }

    #[tokio::test]
    async fn the_time_of_the_caller_and_our_own_are_kept_and_told() {
        use tonic_types::StatusExt as _;
        let soon = Limits { call_time: std::time::Duration::from_millis(30), ..Limits::default() };
        for (timeout, limits, said) in [
            (Some("20m"), Limits::default(), "within the 20ms that the caller allows"),
            (Some("1S"), soon.clone(), "within 30ms, the most that this server allows"),
            (None, soon, "within 30ms, the most that this server allows"),
        ] {
            let status = through(timeout, limits, for_ever).await;
            assert_eq!(status.code(), Code::DeadlineExceeded, "{status:?}");
            assert!(status.message().contains(said), "{status:?}");
            assert_eq!(status.get_details_request_info().expect("an id").request_id, "id-1");
        }
    }

    #[tokio::test]
    async fn a_timeout_that_is_none_is_refused() {
        let status = through(Some("soon"), Limits::default(), for_ever).await;
        assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
        assert!(status.message().contains("grpc-timeout is soon"), "{status:?}");
    }

    #[tokio::test]
    async fn a_fault_of_the_program_ends_one_call() {
        let panics = || async { panic!("a word that somebody wrote") };
        let status = through(None, Limits::default(), panics).await;
        assert_eq!(status.code(), Code::Internal, "{status:?}");
        assert!(!status.message().contains("somebody"), "{status:?}");
        let fine = through(None, Limits::default(), || async {}).await;
        assert_eq!(fine.code(), Code::Ok);
    }
}
