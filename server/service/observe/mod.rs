//! What is the server doing? Counts and times for whoever watches, and traces for whoever collects
//! them. Nothing that was asked or recorded is in either.

pub mod page;
pub mod traces;

use std::fmt;
use std::time::Duration;

use prometheus_client::encoding::prometheus_text;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::Registry;
use tonic::Code;

/// Upper ends of the classes that durations are counted in, in seconds.
const DURATION_CLASSES_S: [f64; 12] =
    [0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.5, 1.0, 5.0, 30.0];

/// Which limit turned something away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Too many calls at once.
    Calls,
    /// Too many streams open at once.
    OpenStreams,
    /// Too many calls of one client.
    Rate,
    /// Too many connections.
    Connections,
    /// A call took too long.
    Time,
    /// A client did not read its answer.
    Stall,
    /// A message was too large.
    Message,
}

impl Limit {
    pub fn name(self) -> &'static str {
        match self {
            Limit::Calls => "calls",
            Limit::OpenStreams => "open_streams",
            Limit::Rate => "rate",
            Limit::Connections => "connections",
            Limit::Time => "time",
            Limit::Stall => "stall",
            Limit::Message => "message",
        }
    }
}

type Labels<const N: usize> = [(&'static str, &'static str); N];

/// Everything counted.
pub struct Seen {
    registry: Registry,
    calls: Family<Labels<2>, Counter>,
    durations: Family<Labels<1>, Histogram, fn() -> Histogram>,
    limits: Family<Labels<1>, Counter>,
    limited: Counter,
    pub calls_open: Gauge,
    pub connections: Gauge,
    records: Gauge,
    index_behind: Gauge,
    uptime_s: Gauge,
}

impl fmt::Debug for Seen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Seen").finish_non_exhaustive()
    }
}

/// What is asked of the shop when somebody looks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Stock {
    pub records: i64,
    pub index_behind: i64,
    pub uptime: Duration,
}

impl Seen {
    pub fn new(version: &'static str, knowledge_version: &str) -> Seen {
        let mut registry = Registry::with_prefix("sward");
        let durations: fn() -> Histogram = || Histogram::new(DURATION_CLASSES_S);
        let seen = Seen {
            calls: Family::default(),
            durations: Family::new_with_constructor(durations),
            limits: Family::default(),
            limited: Counter::default(),
            calls_open: Gauge::default(),
            connections: Gauge::default(),
            records: Gauge::default(),
            index_behind: Gauge::default(),
            uptime_s: Gauge::default(),
            registry: Registry::default(),
        };
        registry.register("calls", "Calls ended, by rpc and status code", seen.calls.clone());
        registry.register("call_seconds", "Time to the end of a call", seen.durations.clone());
        registry.register("limits_hit", "Work turned away, by limit", seen.limits.clone());
        registry.register("calls_open", "Calls not yet ended", seen.calls_open.clone());
        registry.register("connections", "Connections open", seen.connections.clone());
        registry.register("records", "Records kept", seen.records.clone());
        let behind = "Changes that search does not know yet";
        registry.register("index_behind", behind, seen.index_behind.clone());
        registry.register("uptime_seconds", "Time since the start", seen.uptime_s.clone());
        let built = prometheus_client::metrics::info::Info::new(vec![
            ("version", version.to_owned()),
            ("knowledge_version", knowledge_version.to_owned()),
        ]);
        registry.register("build", "What answers", built);
        Seen { registry, ..seen }
    }

    pub fn call_ended(&self, rpc: &'static str, code: Code, took: Duration) {
        self.calls.get_or_create(&[("rpc", rpc), ("code", code_name(code))]).inc();
        self.durations.get_or_create(&[("rpc", rpc)]).observe(took.as_secs_f64());
    }

    pub fn limited(&self, limit: Limit) {
        self.limited.inc();
        self.limits.get_or_create(&[("limit", limit.name())]).inc();
    }

    /// How often any limit turned something away.
    pub fn limited_total(&self) -> i64 {
        i64::try_from(self.limited.get()).unwrap_or(i64::MAX)
    }

    /// Everything in the text form that Prometheus reads.
    pub fn text(&self, stock: Stock) -> Result<String, fmt::Error> {
        self.records.set(stock.records);
        self.index_behind.set(stock.index_behind);
        self.uptime_s.set(i64::try_from(stock.uptime.as_secs()).unwrap_or(i64::MAX));
        let mut text = String::new();
        prometheus_text::encode(&mut text, &self.registry)?;
        Ok(text)
    }
}

/// Codes as the gRPC protocol names them.
pub fn code_name(code: Code) -> &'static str {
    match code {
        Code::Ok => "OK",
        Code::Cancelled => "CANCELLED",
        Code::Unknown => "UNKNOWN",
        Code::InvalidArgument => "INVALID_ARGUMENT",
        Code::DeadlineExceeded => "DEADLINE_EXCEEDED",
        Code::NotFound => "NOT_FOUND",
        Code::AlreadyExists => "ALREADY_EXISTS",
        Code::PermissionDenied => "PERMISSION_DENIED",
        Code::ResourceExhausted => "RESOURCE_EXHAUSTED",
        Code::FailedPrecondition => "FAILED_PRECONDITION",
        Code::Aborted => "ABORTED",
        Code::OutOfRange => "OUT_OF_RANGE",
        Code::Unimplemented => "UNIMPLEMENTED",
        Code::Internal => "INTERNAL",
        Code::Unavailable => "UNAVAILABLE",
        Code::DataLoss => "DATA_LOSS",
        Code::Unauthenticated => "UNAUTHENTICATED",
    }
}
