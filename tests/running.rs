//! A server inside the test, as a test wants it, on a free port and a directory of its own.

use std::net::SocketAddr;
use std::path::Path;

use sward_core::config::Config;
use sward_core::service::{Shop, serve};
use tokio::sync::{oneshot, watch};
use tonic::transport::{Channel, Endpoint};
use tonic::{Request, Status};

pub struct Running {
    pub address: SocketAddr,
    pub place: tempfile::TempDir,
    _stop: watch::Sender<bool>,
}

/// A data directory of its own, and the defaults for it.
pub fn prepared() -> (tempfile::TempDir, Config) {
    let place = tempfile::tempdir().expect("a directory");
    let any = "127.0.0.1:0".parse().expect("an address");
    let config = Config::new(any, place.path().to_owned());
    (place, config)
}

/// Starts with changes to the defaults.
pub async fn start(change: impl FnOnce(&mut Config)) -> Running {
    let (place, mut config) = prepared();
    change(&mut config);
    serving(place, config).await
}

pub async fn serving(place: tempfile::TempDir, config: Config) -> Running {
    let shop = Shop::open(&config.data, None).expect("a shop");
    let (stop, stopping) = watch::channel(false);
    let (say, said) = oneshot::channel();
    tokio::spawn(async move {
        let ready = |address| {
            say.send(address).map_err(|_| std::io::Error::other("nobody waits"))
        };
        serve(shop, &config, stopping, ready).await.expect("served");
    });
    let address = said.await.expect("the server says its address");
    Running { address, place, _stop: stop }
}

impl Running {
    pub fn data(&self) -> &Path {
        self.place.path()
    }

    pub async fn channel(&self) -> Channel {
        let endpoint = Endpoint::from_shared(format!("http://{}", self.address)).expect("a URL");
        endpoint.connect().await.expect("a connection")
    }
}

/// A request with the token of a caller.
pub fn with_token<T>(message: T, token: &str) -> Request<T> {
    let mut request = Request::new(message);
    let value = format!("Bearer {token}").parse().expect("a header");
    request.metadata_mut().insert("authorization", value);
    request
}

/// The refusal that was expected.
pub fn refusal<T>(outcome: Result<T, Status>) -> Status {
    outcome.err().expect("it should have been refused")
}
