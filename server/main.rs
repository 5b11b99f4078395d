//! `swardd`: config -> knowledge -> store -> index -> serve, and stop in good order.
//!
//! It prints nothing on standard output but, once serving, one line with its address.

mod operate;

use std::io::Write as _;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser};
use opentelemetry_sdk::trace::SdkTracerProvider;
use sward_core::config::{self, Config, Encryption, Limits, Setting};
use sward_core::service::access::certificates;
use sward_core::service::observe::traces;
use sward_core::service::{self, Shop};
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::layer::{Layer as _, SubscriberExt as _};
use tracing_subscriber::util::SubscriberInitExt as _;

type Failure = Box<dyn std::error::Error + Send + Sync>;

/// Serve the sward.v1 contract until SIGTERM.
#[derive(Parser)]
#[command(name = "swardd", version, args_conflicts_with_subcommands = true)]
struct Arguments {
    #[command(flatten)]
    serving: Serving,
    #[command(subcommand)]
    work: Option<operate::Work>,
}

#[derive(Args)]
struct Serving {
    /// Address to listen on; port 0 takes a free one
    #[arg(long, default_value = config::LISTEN_DEFAULT)]
    listen: SocketAddr,
    /// Directory of records and index
    #[arg(long)]
    data: Option<PathBuf>,
    /// Use an edited copy of the knowledge files
    #[arg(long)]
    knowledge: Option<PathBuf>,
    /// Certificate of this server, when not the one that "swardd cert init" made
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// Key of the certificate
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// Ask clients for a certificate of this authority too
    #[arg(long, value_name = "FILE")]
    client_ca: Option<PathBuf>,
    /// Ask callers on this machine for a token too; the Unix socket stays its owner's
    #[arg(long)]
    require_token: bool,
    /// Calls worked on at once
    #[arg(long, value_name = "N", default_value_t = config::CALLS.default, value_parser = within(config::CALLS))]
    calls: u32,
    /// Streams open at once, such as conversations
    #[arg(long, value_name = "N", default_value_t = config::OPEN_STREAMS.default, value_parser = within(config::OPEN_STREAMS))]
    open_streams: u32,
    /// Calls a second of one client; twice as many may come at once
    #[arg(long, value_name = "N", default_value_t = config::RATE.default, value_parser = within(config::RATE))]
    rate: u32,
    /// Connections at once
    #[arg(long, value_name = "N", default_value_t = config::CONNECTIONS.default, value_parser = within(config::CONNECTIONS))]
    connections: u32,
    /// Show measurements for Prometheus at this address of this machine, under /metrics
    #[arg(long, value_name = "ADDRESS")]
    metrics: Option<SocketAddr>,
    /// Send traces to this collector, as OTLP over gRPC
    #[arg(long, value_name = "URL")]
    traces: Option<String>,
    /// Write logs as JSON lines
    #[arg(long)]
    log_json: bool,
}

fn within(setting: Setting) -> clap::builder::RangedI64ValueParser<u32> {
    clap::value_parser!(u32).range(setting.range())
}

/// The data directory in force.
fn data_or_default(named: Option<PathBuf>) -> PathBuf {
    named.unwrap_or_else(|| config::default_data(|key| std::env::var(key).ok()))
}

impl Serving {
    fn config(self) -> Config {
        let data = data_or_default(self.data);
        let client_authority = self.client_ca;
        let files = match (self.tls_cert, self.tls_key) {
            (Some(certificate), Some(key)) => {
                Some(Encryption { certificate, key, client_authority: None })
            }
            // What was made here is used where it is needed.
            _ if !self.listen.ip().is_loopback() || client_authority.is_some() => {
                certificates::made(&data)
            }
            _ => None,
        };
        Config {
            knowledge: self.knowledge,
            require_token: self.require_token,
            encryption: files.map(|files| Encryption { client_authority, ..files }),
            limits: Limits {
                calls: self.calls as usize,
                open_streams: self.open_streams as usize,
                calls_per_second: self.rate,
                connections: self.connections as usize,
                ..Limits::default()
            },
            metrics: self.metrics,
            ..Config::new(self.listen, data)
        }
    }
}

fn main() -> ExitCode {
    let Arguments { serving, work } = Arguments::parse();
    let outcome = match work {
        Some(work) => operate::run(work),
        None => run(serving),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("swardd: {error}");
            ExitCode::FAILURE
        }
    }
}

/// Starts the log, and the traces where somebody collects them.
fn start_logs(json: bool, collector: Option<&str>) -> Result<Option<SdkTracerProvider>, Failure> {
    let filter = EnvFilter::try_from_env("SWARD_LOG").unwrap_or_else(|_| EnvFilter::new("info"));
    let lines = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    let lines = if json { lines.json().boxed() } else { lines.boxed() };
    let traced = collector.map(traces::exporter).transpose()?;
    let (provider, tracer) = traced.unzip();
    let spans = tracer.map(|tracer| tracing_opentelemetry::layer().with_tracer(tracer));
    tracing_subscriber::registry().with(spans).with(lines.with_filter(filter)).init();
    std::panic::set_hook(Box::new(|fault| {
        // Where, but not the message: it may quote what somebody wrote.
        let place = fault.location().map(ToString::to_string).unwrap_or_default();
        tracing::error!(place, "a fault of the program");
        tracing::debug!("{fault}");
    }));
    Ok(provider)
}

fn run(serving: Serving) -> Result<(), Failure> {
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let (json, collector) = (serving.log_json, serving.traces.clone());
    let provider = runtime.block_on(async { start_logs(json, collector.as_deref()) })?;
    let config = serving.config();
    let outcome = start(&runtime, &config);
    if let Some(provider) = provider
        && let Err(error) = provider.shutdown()
    {
        tracing::warn!(%error, "the last traces were not taken");
    }
    outcome
}

fn start(runtime: &tokio::runtime::Runtime, config: &Config) -> Result<(), Failure> {
    service::check(config)?;
    std::fs::create_dir_all(&config.data)?;
    let shop = Shop::open(&config.data, config.knowledge.as_deref())?;
    runtime.block_on(async {
        let (stop, stopping) = watch::channel(false);
        let (mut terminate, mut interrupt) =
            (signal(SignalKind::terminate())?, signal(SignalKind::interrupt())?);
        tokio::spawn(async move {
            tokio::select! { _ = terminate.recv() => {}, _ = interrupt.recv() => {} }
            tracing::info!("stopping");
            let _ = stop.send(true);
        });
        service::serve(shop, config, stopping, |address| {
            tracing::info!(%address, "serving");
            let mut out = std::io::stdout().lock();
            writeln!(out, "{address}")?;
            out.flush()
        })
        .await
    })
}
