//! Where are the measurements read? One page over HTTP, on this machine only.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use prometheus_client::encoding::prometheus_text::CONTENT_TYPE;
use tokio::net::TcpListener;
use tonic::codegen::http::{Request, Response, StatusCode, header};
use tonic::transport::Server;
use tonic::transport::server::TcpIncoming;

use super::{Seen, Stock};

const PAGE: &str = "/metrics";
const TIME_MAX: Duration = Duration::from_secs(5);

/// Binds the page; it may not be seen from other machines, since it needs no token.
pub async fn bind(address: SocketAddr) -> io::Result<TcpListener> {
    if !address.ip().is_loopback() {
        let text = format!(
            "--metrics {address} could be read from other machines: give an address of this one, \
             such as 127.0.0.1:{}",
            address.port()
        );
        return Err(io::Error::new(io::ErrorKind::InvalidInput, text));
    }
    TcpListener::bind(address).await.map_err(|error| {
        io::Error::new(error.kind(), format!("cannot show measurements on {address}: {error}"))
    })
}

/// Serves the page until the server ends.
pub async fn serve<L, F>(listener: TcpListener, seen: Arc<Seen>, look: L)
where
    L: Fn() -> F + Clone + Send + Sync + 'static,
    F: Future<Output = Stock> + Send + 'static,
{
    let service = tower::service_fn(move |request: Request<tonic::body::Body>| {
        let (seen, look) = (Arc::clone(&seen), look.clone());
        async move {
            let found = request.method() == "GET" && request.uri().path() == PAGE;
            if !found {
                return reply(StatusCode::NOT_FOUND, format!("only GET {PAGE} is here\n"));
            }
            match seen.text(look().await) {
                Ok(text) => reply(StatusCode::OK, text),
                Err(_) => reply(StatusCode::INTERNAL_SERVER_ERROR, String::new()),
            }
        }
    });
    let server = Server::builder()
        .accept_http1(true)
        .timeout(TIME_MAX)
        .concurrency_limit_per_connection(1)
        .serve_with_incoming(service, TcpIncoming::from(listener));
    if let Err(error) = server.await {
        tracing::warn!(%error, "measurements are shown no longer");
    }
}

fn reply(code: StatusCode, text: String) -> Result<Response<String>, std::convert::Infallible> {
    let mut reply = Response::new(text);
    *reply.status_mut() = code;
    let kind = header::HeaderValue::from_static(CONTENT_TYPE);
    reply.headers_mut().insert(header::CONTENT_TYPE, kind);
    Ok(reply)
}
