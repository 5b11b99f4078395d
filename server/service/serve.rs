//! How is the contract put on a socket, bounded, and taken off again in good order?

use std::io;
use std::path::Path;
use std::sync::Arc;

use hyper_util::rt::TokioIo;
use tokio::net::{TcpListener, UnixListener};
use tokio::sync::watch;
use tokio_stream::wrappers::UnixListenerStream;
use tonic::codec::CompressionEncoding;
use tonic::transport::server::{Router, TcpIncoming};
use tonic::transport::{Channel, Endpoint, Server, Uri};

use super::Shop;
use super::diagnosis::Diagnoses;
use super::fleet::Fleet;
use super::guide::Guide;
use super::records::Records;
use super::search::Searches;
use super::settings::Settings;
use crate::config;
use crate::pb::diagnosis_service_server::DiagnosisServiceServer;
use crate::pb::fleet_service_server::FleetServiceServer;
use crate::pb::guide_service_server::GuideServiceServer;
use crate::pb::records_service_server::RecordsServiceServer;
use crate::pb::search_service_server::SearchServiceServer;
use crate::pb::settings_service_server::SettingsServiceServer;
use crate::{DESCRIPTORS, config::Config};

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

fn builder() -> Server {
    Server::builder()
        .timeout(config::CALL_TIME_MAX)
        .http2_keepalive_interval(Some(config::KEEPALIVE_INTERVAL))
        .http2_keepalive_timeout(Some(config::KEEPALIVE_TIMEOUT))
        .max_concurrent_streams(Some(config::STREAMS_MAX))
        .concurrency_limit_per_connection(config::STREAMS_MAX as usize)
        .load_shed(true)
        .http2_max_pending_accept_reset_streams(Some(config::PENDING_RESETS_MAX))
        .http2_max_header_list_size(Some(config::HEADER_BYTES_MAX))
        .tcp_nodelay(true)
}

fn services(shop: &Arc<Shop>) -> Router {
    builder()
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
) -> Result<(Router, tonic_health::server::HealthReporter), Failure> {
    let (reporter, health) = tonic_health::server::health_reporter();
    reporter.set_serving::<DiagnosisServiceServer<Diagnoses>>().await;
    reporter.set_serving::<FleetServiceServer<Fleet>>().await;
    reporter.set_serving::<GuideServiceServer<Guide>>().await;
    reporter.set_serving::<RecordsServiceServer<Records>>().await;
    reporter.set_serving::<SearchServiceServer<Searches>>().await;
    reporter.set_serving::<SettingsServiceServer<Settings>>().await;
    let router = services(shop)
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
    let listener = TcpListener::bind(config.listen).await.map_err(|error| {
        io::Error::new(error.kind(), format!("cannot listen on {}: {error}", config.listen))
    })?;
    let address = listener.local_addr()?;
    let socket = config.data.join(config::SOCKET_NAME);
    let unix = unix_listener(&socket).await?;
    let (tcp_router, tcp_health) = router(&shop).await?;
    let (unix_router, unix_health) = router(&shop).await?;
    let incoming = TcpIncoming::from(listener).with_nodelay(Some(true));
    let over_tcp = tcp_router.serve_with_incoming_shutdown(incoming, changed(stop.clone()));
    let over_unix = unix_router
        .serve_with_incoming_shutdown(UnixListenerStream::new(unix), changed(stop.clone()));
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
        for health in [&tcp_health, &unix_health] {
            health.set_not_serving::<DiagnosisServiceServer<Diagnoses>>().await;
            health.set_not_serving::<FleetServiceServer<Fleet>>().await;
            health.set_not_serving::<GuideServiceServer<Guide>>().await;
            health.set_not_serving::<RecordsServiceServer<Records>>().await;
            health.set_not_serving::<SearchServiceServer<Searches>>().await;
            health.set_not_serving::<SettingsServiceServer<Settings>>().await;
        }
        // A client that never answers the farewell would hold the server for ever.
        tokio::time::sleep(config::DRAIN_TIME_MAX).await;
    };
    let served = async { tokio::try_join!(over_tcp, over_unix) };
    let outcome = tokio::select! {
        outcome = served => outcome.map(|_| ()).map_err(Failure::from),
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

/// A socket left by a server that was killed is probed, then replaced.
async fn unix_listener(path: &Path) -> io::Result<UnixListener> {
    if path.exists() {
        if tokio::net::UnixStream::connect(path).await.is_ok() {
            let text = format!("another server answers on {}; use it, or stop it", path.display());
            return Err(io::Error::new(io::ErrorKind::AddrInUse, text));
        }
        std::fs::remove_file(path)?;
    }
    UnixListener::bind(path)
}

/// A channel to this shop inside this process: the same services, no socket.
pub async fn channel_to(shop: Arc<Shop>) -> Result<Channel, Failure> {
    let (near, far) = tokio::io::duplex(256 << 10);
    let incoming = tokio_stream::once(Ok::<_, io::Error>(far));
    let router = services(&shop);
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
