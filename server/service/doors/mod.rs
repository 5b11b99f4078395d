//! How does a connection come in? Over the network, encrypted or not, and over the Unix socket: as
//! many as there is room for, each on its own clock.

mod wire;

use std::collections::HashMap;
use std::io;
use std::net::IpAddr;
use std::path::Path;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::net::{TcpListener, TcpStream, UnixListener};
use tokio::sync::{Notify, mpsc};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::server::WebPkiClientVerifier;
use tokio_rustls::rustls::{RootCertStore, ServerConfig, crypto};

use super::access::private_file;
use super::observe::{Limit, Seen};
use crate::config::{Encryption, Limits};
pub use wire::Wire;

/// How long to wait when the system will not give another connection.
const ACCEPT_PAUSE: Duration = Duration::from_millis(50);

/// A connection as the calls over it see it.
pub struct Connection {
    /// The address at the other end; none over the Unix socket.
    pub peer: Option<IpAddr>,
    calls: AtomicUsize,
    quiet_since: Mutex<Instant>,
    closing: Notify,
}

impl Connection {
    fn new(peer: Option<IpAddr>) -> Arc<Connection> {
        Arc::new(Connection {
            peer,
            calls: AtomicUsize::new(0),
            quiet_since: Mutex::new(Instant::now()),
            closing: Notify::new(),
        })
    }

    /// The Unix socket is its owner's alone.
    pub fn over_network(&self) -> bool {
        self.peer.is_some()
    }

    pub fn call_began(&self) {
        self.calls.fetch_add(1, Ordering::Relaxed);
    }

    pub fn call_ended(&self) {
        *self.quiet_since.lock().unwrap_or_else(PoisonError::into_inner) = Instant::now();
        self.calls.fetch_sub(1, Ordering::Relaxed);
    }

    /// Ends it at once, whatever is under way.
    pub fn close(&self) {
        self.closing.notify_one();
    }

    fn quiet_for(&self, now: Instant) -> Option<Duration> {
        let since = *self.quiet_since.lock().unwrap_or_else(PoisonError::into_inner);
        (self.calls.load(Ordering::Relaxed) == 0).then(|| now.saturating_duration_since(since))
    }
}

/// All connections of one door.
pub struct Doors {
    most: usize,
    idle_time: Duration,
    next: AtomicU64,
    open: Mutex<HashMap<u64, Arc<Connection>>>,
    seen: Arc<Seen>,
}

/// The place of a connection; leaving it free is all that ends it.
pub struct Place {
    doors: Arc<Doors>,
    number: u64,
}

impl Drop for Place {
    fn drop(&mut self) {
        self.doors.seen.connections.dec();
        self.doors.open().remove(&self.number);
    }
}

impl Doors {
    pub fn new(limits: &Limits, seen: &Arc<Seen>) -> Arc<Doors> {
        Arc::new(Doors {
            most: limits.connections,
            idle_time: limits.idle_time,
            next: AtomicU64::new(0),
            open: Mutex::default(),
            seen: Arc::clone(seen),
        })
    }

    fn open(&self) -> std::sync::MutexGuard<'_, HashMap<u64, Arc<Connection>>> {
        // Every state of the map is a sound one, so a panic elsewhere leaves nothing half done.
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A place for one more. When all are taken, the connection quiet the longest makes way, if it
    /// has been quiet for the idle time; else the new one is turned away.
    fn enter(self: &Arc<Doors>, connection: &Arc<Connection>) -> Option<Place> {
        let mut open = self.open();
        if open.len() >= self.most {
            self.seen.limited(Limit::Connections);
            if !close_quietest(&mut open, self.idle_time) {
                return None;
            }
        }
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        open.insert(number, Arc::clone(connection));
        drop(open);
        self.seen.connections.inc();
        Some(Place { doors: Arc::clone(self), number })
    }

    fn make_way(&self) {
        self.seen.limited(Limit::Connections);
        close_quietest(&mut self.open(), self.idle_time);
    }
}

fn close_quietest(open: &mut HashMap<u64, Arc<Connection>>, idle_time: Duration) -> bool {
    let now = Instant::now();
    let quietest = open
        .iter()
        .filter_map(|(number, connection)| Some((connection.quiet_for(now)?, *number)))
        .filter(|(quiet, _)| *quiet >= idle_time)
        .max();
    let Some(connection) = quietest.and_then(|(_, number)| open.remove(&number)) else {
        return false;
    };
    connection.close();
    true
}

/// Where accepted connections go.
pub type Incoming = mpsc::Sender<io::Result<Wire>>;

/// Takes connections over the network until nobody wants them any more.
pub async fn take_network(
    listener: TcpListener,
    tls: Option<TlsAcceptor>,
    limits: Limits,
    doors: Arc<Doors>,
    give: Incoming,
) {
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = give.closed() => return,
        };
        let (stream, peer) = match accepted {
            Ok(accepted) => accepted,
            Err(error) => {
                pause(&doors, &error).await;
                continue;
            }
        };
        let connection = Connection::new(Some(peer.ip()));
        let Some(place) = doors.enter(&connection) else { continue };
        // Small answers should not wait for more; a refusal of the system does no harm.
        let _ = stream.set_nodelay(true);
        let greeting = limits.greeting_time;
        let Some(tls) = tls.clone() else {
            let wire = Wire::plain(stream, connection, place, greeting);
            if give.send(Ok(wire)).await.is_err() {
                return;
            }
            continue;
        };
        let give = give.clone();
        tokio::spawn(async move {
            match agree(&tls, stream, greeting).await {
                // Nobody wants it when the server is stopping.
                Ok(stream) => {
                    let wire = Wire::encrypted(stream, connection, place, greeting);
                    let _ = give.send(Ok(wire)).await;
                }
                Err(error) => tracing::debug!(%error, "no agreement on encryption"),
            }
        });
    }
}

async fn agree(
    tls: &TlsAcceptor,
    stream: TcpStream,
    time: Duration,
) -> io::Result<tokio_rustls::server::TlsStream<TcpStream>> {
    tokio::time::timeout(time, tls.accept(stream)).await?
}

/// Takes connections over the Unix socket until nobody wants them any more.
pub async fn take_socket(
    listener: UnixListener,
    greeting: Duration,
    doors: Arc<Doors>,
    give: Incoming,
) {
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = give.closed() => return,
        };
        match accepted {
            Ok((stream, _)) => {
                let connection = Connection::new(None);
                let Some(place) = doors.enter(&connection) else { continue };
                let wire = Wire::local(stream, connection, place, greeting);
                if give.send(Ok(wire)).await.is_err() {
                    return;
                }
            }
            Err(error) => pause(&doors, &error).await,
        }
    }
}

/// Mostly too many open files: one connection makes way, and the others get a moment.
async fn pause(doors: &Doors, error: &io::Error) {
    tracing::warn!(%error, "a connection could not be accepted");
    doors.make_way();
    tokio::time::sleep(ACCEPT_PAUSE).await;
}

/// Binds the Unix socket. One left by a server that was killed is probed, then replaced.
pub async fn bind_socket(path: &Path) -> io::Result<UnixListener> {
    if path.exists() {
        if tokio::net::UnixStream::connect(path).await.is_ok() {
            let text = format!("another server answers on {}; use it, or stop it", path.display());
            return Err(io::Error::new(io::ErrorKind::AddrInUse, text));
        }
        std::fs::remove_file(path)?;
    }
    let listener = UnixListener::bind(path)?;
    // Whoever may open it needs no token, so it is the owner's alone.
    let owner_only = std::os::unix::fs::PermissionsExt::from_mode(private_file::OWNER_ONLY);
    std::fs::set_permissions(path, owner_only)?;
    Ok(listener)
}

/// Reads the certificate and key of the server.
pub fn encryption(files: &Encryption) -> io::Result<TlsAcceptor> {
    private_file::check_private(&files.key).map_err(|error| named(&files.key, &error))?;
    let key = PrivateKeyDer::from_pem_file(&files.key).map_err(|error| named(&files.key, &error))?;
    let chain = certificates(&files.certificate)?;
    let provider = Arc::new(crypto::ring::default_provider());
    let config = ServerConfig::builder_with_provider(Arc::clone(&provider))
        .with_safe_default_protocol_versions()
        .map_err(io::Error::other)?;
    let config = match &files.client_authority {
        None => config.with_no_client_auth(),
        Some(path) => {
            let mut roots = RootCertStore::empty();
            for certificate in certificates(path)? {
                roots.add(certificate).map_err(|error| named(path, &error))?;
            }
            let verifier = WebPkiClientVerifier::builder_with_provider(roots.into(), provider);
            config.with_client_cert_verifier(verifier.build().map_err(|error| named(path, &error))?)
        }
    };
    let mut config = config
        .with_single_cert(chain, key)
        .map_err(|error| named(&files.certificate, &error))?;
    config.alpn_protocols.push(b"h2".to_vec());
    Ok(TlsAcceptor::from(Arc::new(config)))
}

fn certificates(path: &Path) -> io::Result<Vec<CertificateDer<'static>>> {
    let read = CertificateDer::pem_file_iter(path).and_then(Iterator::collect::<Result<Vec<_>, _>>);
    let chain = read.map_err(|error| named(path, &error))?;
    if chain.is_empty() {
        return Err(named(path, &"it holds no certificate"));
    }
    Ok(chain)
}

fn named(path: &Path, error: &dyn std::fmt::Display) -> io::Error {
    let text = format!("{} cannot be used: {error}", path.display());
    io::Error::new(io::ErrorKind::InvalidInput, text)
}
