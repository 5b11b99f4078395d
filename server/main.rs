//! `swardd`: config -> knowledge -> store -> index -> serve, and stop in good order.
//!
//! It prints nothing on standard output but, once serving, one line with its address.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;
use sward_core::config::{self, Config};
use sward_core::service::{Shop, serve};
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;
use tracing_subscriber::EnvFilter;

/// Serve the sward.v1 contract until SIGTERM.
#[derive(Parser)]
#[command(name = "swardd", version)]
struct Arguments {
    /// Address to listen on; port 0 takes a free one
    #[arg(long, default_value = config::LISTEN_DEFAULT)]
    listen: std::net::SocketAddr,
    /// Directory of records and index
    #[arg(long)]
    data: Option<PathBuf>,
    /// Use an edited copy of the knowledge files
    #[arg(long)]
    knowledge: Option<PathBuf>,
    /// Write logs as JSON lines
    #[arg(long)]
    log_json: bool,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    start_logs(arguments.log_json);
    let data =
        arguments.data.unwrap_or_else(|| config::default_data(|key| std::env::var(key).ok()));
    let config = Config { listen: arguments.listen, data, knowledge: arguments.knowledge };
    match run(&config) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("swardd: {error}");
            ExitCode::FAILURE
        }
    }
}

fn start_logs(json: bool) {
    let filter = EnvFilter::try_from_env("SWARD_LOG").unwrap_or_else(|_| EnvFilter::new("info"));
    let logs = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    if json { logs.json().init() } else { logs.init() }
}

fn run(config: &Config) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    if !config.listen.ip().is_loopback() {
        let text = format!(
            "{} is open to other machines, which needs TLS and tokens; listen on 127.0.0.1",
            config.listen
        );
        return Err(text.into());
    }
    std::fs::create_dir_all(&config.data)?;
    let shop = Shop::open(&config.data, config.knowledge.as_deref())?;
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(async {
        let (stop, stopping) = watch::channel(false);
        let (mut terminate, mut interrupt) =
            (signal(SignalKind::terminate())?, signal(SignalKind::interrupt())?);
        tokio::spawn(async move {
            tokio::select! { _ = terminate.recv() => {}, _ = interrupt.recv() => {} }
            tracing::info!("stopping");
            let _ = stop.send(true);
        });
        serve(shop, config, stopping, |address| {
            tracing::info!(%address, data = %config.data.display(), "serving");
            let mut out = std::io::stdout().lock();
            writeln!(out, "{address}")?;
            out.flush()
        })
        .await
    })
}
