//! How is the contract put on a socket, bounded, and taken off again in good order?

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use hyper_util::rt::TokioIo;
use tokio::net::TcpListener;
use tokio::sync::{mpsc, watch};
use tokio_stream::wrappers::ReceiverStream;
use tonic::codec::CompressionEncoding;
use tonic::transport::server::Router;
use tonic::transport::{Channel, Endpoint, Server, Uri};
use tower::layer::util::{Identity, Stack};

use super::access::tokens::Tokens;
use super::assistant::Assistant;
use super::diagnosis::Diagnoses;
use super::doors::Doors;
use super::fleet::Fleet;
use super::gate::{Gate, GateLayer};
use super::guide::Guide;
use super::observe::Stock;
use super::records::Records;
use super::records::keeping::waiting;
use super::search::Searches;
use super::settings::Settings;
use super::{Shop, doors, observe};
use crate::DESCRIPTORS;
use crate::config::{self, Config, Limits};
use crate::pb::assistant_service_server::AssistantServiceServer;
use crate::pb::diagnosis_service_server::DiagnosisServiceServer;
use crate::pb::fleet_service_server::FleetServiceServer;
use crate::pb::guide_service_server::GuideServiceServer;
use crate::pb::records_service_server::RecordsServiceServer;
use crate::pb::search_service_server::SearchServiceServer;
use crate::pb::settings_service_server::SettingsServiceServer;

/// Connections accepted and not yet taken up.
const WAITING_CONNECTIONS: usize = 64;

type Failure = Box<dyn std::error::Error + Send + Sync>;

/// Sets the limits that every service shares.
macro_rules! bounded {
    ($server:ident, $service:expr) => {
        $server::new($service)
            .accept_compressed(CompressionEncoding::Gzip)
            .max_decoding_message_size(config::REQUEST_BYTES_MAX)
            .max_encoding_message_size(config::REPLY_BYTES_MAX)
    };
}

type Gated = Stack<GateLayer, Identity>;

fn builder(gate: Arc<Gate>, limits: &Limits) -> Server<Gated> {
    Server::builder()
        .http2_keepalive_interval(Some(limits.keepalive_interval))
        .http2_keepalive_timeout(Some(limits.keepalive_timeout))
        .max_concurrent_streams(Some(config::STREAMS_MAX))
        .http2_max_pending_accept_reset_streams(Some(config::PENDING_RESETS_MAX))
        .http2_max_local_error_reset_streams(Some(config::ERROR_RESETS_MAX))
        .http2_max_header_list_size(Some(config::HEADER_BYTES_MAX))
        .initial_stream_window_size(Some(config::CALL_WINDOW_BYTES))
        .initial_connection_window_size(Some(config::CONNECTION_WINDOW_BYTES))
        .layer(GateLayer(gate))
}

fn services(shop: &Arc<Shop>, config: &Config) -> Router<Gated> {
    builder(Gate::new(config, shop.seen.clone()), &config.limits)
        .add_service(bounded!(AssistantServiceServer, Assistant(shop.clone())))
        .add_service(bounded!(DiagnosisServiceServer, Diagnoses(shop.clone())))
        .add_service(bounded!(FleetServiceServer, Fleet(shop.clone())))
        .add_service(bounded!(GuideServiceServer, Guide(shop.clone())))
        .add_service(bounded!(RecordsServiceServer, Records(shop.clone())))
        .add_service(bounded!(SearchServiceServer, Searches(shop.clone())))
        .add_service(bounded!(SettingsServiceServer, Settings(shop.clone())))
}

fn reflection() -> tonic_reflection::server::Builder<'static> {
    tonic_reflection::server::Builder::configure()
        .register_encoded_file_descriptor_set(DESCRIPTORS)
        .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
        .register_encoded_file_descriptor_set(tonic_types::pb::FILE_DESCRIPTOR_SET)
}

/// The services with health checking and both versions of reflection.
async fn router(
    shop: &Arc<Shop>,
    config: &Config,
) -> Result<(Router<Gated>, tonic_health::server::HealthReporter), Failure> {
    let (reporter, health) = tonic_health::server::health_reporter();
    reporter.set_serving::<AssistantServiceServer<Assistant>>().await;
    reporter.set_serving::<DiagnosisServiceServer<Diagnoses>>().await;
    reporter.set_serving::<FleetServiceServer<Fleet>>().await;
    reporter.set_serving::<GuideServiceServer<Guide>>().await;
    reporter.set_serving::<RecordsServiceServer<Records>>().await;
    reporter.set_serving::<SearchServiceServer<Searches>>().await;
    reporter.set_serving::<SettingsServiceServer<Settings>>().await;
    let router = services(shop, config)
        .add_service(health)
        .add_service(reflection().build_v1()?)
        .add_service(reflection().build_v1alpha()?);
    Ok((router, reporter))
}

/// Serves on the address and on the Unix socket of the data directory until `stop` changes.
/// `ready` is told the address once calls are taken.
pub async fn serve(
    shop: Arc<Shop>,
    config: &Config,
    stop: watch::Receiver<bool>,
    ready: impl FnOnce(std::net::SocketAddr) -> io::Result<()>,
) -> Result<(), Failure> {
    // A second server on the same records is told so before it takes its first call.
    let keeping = shop.clone();
    tokio::task::spawn_blocking(move || keeping.store()).await??;
    check(config)?;
    let tls = config.encryption.as_ref().map(doors::encryption).transpose()?;
    let metrics = match config.metrics {
        Some(address) => Some(observe::page::bind(address).await?),
        None => None,
    };
    let listener = TcpListener::bind(config.listen).await.map_err(|error| {
        io::Error::new(error.kind(), format!("cannot listen on {}: {error}", config.listen))
    })?;
    let address = listener.local_addr()?;
    let socket = config.data.join(config::SOCKET_NAME);
    let unix = doors::bind_socket(&socket).await?;
    let (router, health) = router(&shop, config).await?;
    let limits = &config.limits;
    let (give, incoming) = mpsc::channel(WAITING_CONNECTIONS);
    let network = Doors::new(limits, &shop.seen);
    tokio::spawn(doors::take_network(listener, tls, limits.clone(), network, give.clone()));
    let local = Doors::new(limits, &shop.seen);
    tokio::spawn(doors::take_socket(unix, limits.greeting_time, local, give));
    if let Some(listener) = metrics {
        tokio::spawn(show_metrics(listener, shop.clone()));
    }
    let incoming = ReceiverStream::new(incoming);
    let served = router.serve_with_incoming_shutdown(incoming, changed(stop.clone()));
    ready(address)?;
    // The first search need not wait for the index, nor the server for it when it stops.
    let searching = shop.clone();
    std::thread::Builder::new().name("search index opens".to_owned()).spawn(move || {
        if let Err(error) = searching.index() {
            tracing::warn!(%error, "search is not ready");
        }
    })?;
    let drained = async {
        changed(stop).await;
        health.set_not_serving::<AssistantServiceServer<Assistant>>().await;
        health.set_not_serving::<DiagnosisServiceServer<Diagnoses>>().await;
        health.set_not_serving::<FleetServiceServer<Fleet>>().await;
        health.set_not_serving::<GuideServiceServer<Guide>>().await;
        health.set_not_serving::<RecordsServiceServer<Records>>().await;
        health.set_not_serving::<SearchServiceServer<Searches>>().await;
        health.set_not_serving::<SettingsServiceServer<Settings>>().await;
        // A client that never answers the farewell would hold the server for ever.
        tokio::time::sleep(config::DRAIN_TIME_MAX).await;
    };
    let outcome = tokio::select! {
        outcome = served => outcome.map_err(Failure::from),
        () = drained => {
            tracing::warn!("calls were still open after the drain time; stopping all the same");
            Ok(())
        }
    };
    // The socket is ours; leaving it would make the next start look taken.
    let _ = std::fs::remove_file(&socket);
    outcome
}

async fn changed(mut stop: watch::Receiver<bool>) {
    // An error means that nobody can ask us to stop any more, which is a reason to stop.
    let _ = stop.wait_for(|asked| *asked).await;
}

/// What other machines may reach is encrypted and asks for a token; else there is no start.
pub fn check(config: &Config) -> Result<(), Failure> {
    let open = !config.listen.ip().is_loopback();
    if open && config.encryption.is_none() {
        let text = format!(
            "{} is open to other machines, which needs encryption and tokens: run \"swardd cert \
             init --host NAME\" and \"swardd token add --role manager --label WHERE\", or listen \
             on 127.0.0.1",
            config.listen
        );
        return Err(text.into());
    }
    if config.needs_token() && !Tokens::of(&config.data).any()? {
        let text = "callers need a token, and there is none: run \"swardd token add --role manager \
                    --label WHERE\" first";
        return Err(text.into());
    }
    Ok(())
}

async fn show_metrics(listener: TcpListener, shop: Arc<Shop>) {
    let seen = shop.seen.clone();
    let look = move || {
        let shop = shop.clone();
        async move {
            let stock = waiting(move || Ok(shop.stock()?)).await;
            stock.unwrap_or_else(|error| {
                tracing::warn!(%error, "the records cannot be counted");
                Stock::default()
            })
        }
    };
    observe::page::serve(listener, seen, look).await;
}

/// A channel to this shop inside this process: the same services, no socket.
pub async fn channel_to(shop: Arc<Shop>) -> Result<Channel, Failure> {
    let (near, far) = tokio::io::duplex(256 << 10);
    let incoming = tokio_stream::once(Ok::<_, io::Error>(far));
    let here = SocketAddr::from(([127, 0, 0, 1], 0));
    let router = services(&shop, &Config::new(here, shop.data.clone()));
    tokio::spawn(async move {
        if let Err(error) = router.serve_with_incoming(incoming).await {
            tracing::error!(%error, "the service inside this program failed");
        }
    });
    let mut near = Some(near);
    let connector = tower::service_fn(move |_: Uri| {
        let stream = near.take();
        async move {
            let gone = || io::Error::other("the service inside this program has ended");
            stream.map(TokioIo::new).ok_or_else(gone)
        }
    });
    Ok(Endpoint::from_static("http://inside").connect_with_connector(connector).await?)
}
