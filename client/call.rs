//! Who answers, and what does a failure mean for the exit code?
//!
//! The server named by `--server`; else the one that answers on the socket of the data directory;
//! else the same service inside this program.

use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

use sward_core::config;
use sward_core::service::{OpenError, Shop, channel_to};
use sward_core::store::{DataDirectory, StoreError};
use tonic::metadata::{Ascii, MetadataValue};
use tonic::service::Interceptor;
use tonic::service::interceptor::InterceptedService;
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Request, Status};
use tonic_types::StatusExt;

use crate::commands::{Globals, Seasons, Units, Words};
use crate::remote;

/// How long to wait for a server that holds the records and does not answer yet, and how long
/// between two looks.
const STARTING_WAIT: Duration = Duration::from_secs(3);
const LOOK_INTERVAL: Duration = Duration::from_millis(50);

/// A channel that tells the server how to speak.
pub type Line = InterceptedService<Channel, Manner>;

#[derive(Clone)]
pub struct Manner {
    words: &'static str,
    seasons: &'static str,
    units: &'static str,
    token: Option<MetadataValue<Ascii>>,
}

impl Interceptor for Manner {
    fn call(&mut self, mut request: Request<()>) -> Result<Request<()>, Status> {
        request.metadata_mut().insert("sward-words", MetadataValue::from_static(self.words));
        let seasons = MetadataValue::from_static(self.seasons);
        request.metadata_mut().insert("sward-seasons", seasons);
        let units = MetadataValue::from_static(self.units);
        request.metadata_mut().insert("sward-units", units);
        if let Some(token) = &self.token {
            request.metadata_mut().insert("authorization", token.clone());
        }
        Ok(request)
    }
}

/// What went wrong: a message, a hint, and the exit code.
#[derive(Debug)]
pub struct Failure {
    message: String,
    hint: Option<String>,
    code: u8,
}

impl Failure {
    pub fn new(code: u8, message: impl Into<String>, hint: &str) -> Failure {
        let hint = (!hint.is_empty()).then(|| hint.to_owned());
        Failure { message: message.into(), hint, code }
    }

    /// The same failure with another hint.
    pub fn with_hint(self, hint: &str) -> Failure {
        Failure { hint: Some(hint.to_owned()), ..self }
    }

    /// Says it on standard error. A reader that went away is no failure.
    pub fn report(&self) -> ExitCode {
        if !self.message.is_empty() {
            eprintln!("sward: {}", self.message);
        }
        if let Some(hint) = &self.hint {
            eprintln!("hint: {hint}");
        }
        ExitCode::from(self.code)
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Failure {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Failure { message: String::new(), hint: None, code: 0 };
        }
        Failure::new(74, error.to_string(), "")
    }
}

impl From<OpenError> for Failure {
    fn from(error: OpenError) -> Failure {
        match error {
            OpenError::Knowledge(_) => Failure::new(65, error.to_string(), "mend the files named"),
            OpenError::Io(error) => Failure::from(error),
        }
    }
}

impl From<Status> for Failure {
    fn from(status: Status) -> Failure {
        // What a server answers has no cause here; a connection that fails has.
        if std::error::Error::source(&status).is_some() {
            let hint = "it may be stopping, or want https or a client certificate";
            let text = format!("the server does not answer: {}", reasons(&status));
            return Failure::new(69, text, hint);
        }
        let code = match status.code() {
            Code::InvalidArgument | Code::OutOfRange | Code::FailedPrecondition => 65,
            Code::AlreadyExists => 65,
            Code::NotFound => 66,
            Code::Unavailable => 69,
            Code::DeadlineExceeded | Code::ResourceExhausted | Code::Aborted => 75,
            Code::Cancelled => 75,
            Code::PermissionDenied | Code::Unauthenticated => 77,
            Code::Unimplemented => 69,
            Code::Internal | Code::DataLoss | Code::Unknown | Code::Ok => 70,
        };
        let mut hint = None;
        if status.code() == Code::Unimplemented {
            hint = Some("the server is older than this program; update it".to_owned());
        }
        if status.get_details_retry_info().is_some() {
            hint = Some("the server is busy; try again in a moment".to_owned());
        }
        Failure { message: status.message().to_owned(), hint, code }
    }
}

/// The data directory in force.
pub fn data(globals: &Globals) -> PathBuf {
    globals.data.clone().unwrap_or_else(|| config::default_data(|key| std::env::var(key).ok()))
}

/// Connects to whoever has the records. While another holds them and does not answer, it is
/// starting or just ending, so this waits a little; when nobody does, they are held from now on.
pub async fn line_to_records(globals: &Globals) -> Result<Line, Failure> {
    if globals.server.is_some() {
        return line(globals).await;
    }
    let data = data(globals);
    let until = Instant::now() + STARTING_WAIT;
    while Instant::now() < until {
        if let Some(channel) = over_socket(globals).await {
            return spoken(channel, globals);
        }
        if !DataDirectory::is_held(&data) {
            let shop = shop_here(globals)?;
            // Whoever is in use now was faster; any other fault is told by the call itself.
            if !matches!(shop.hold(), Err(StoreError::InUse { .. })) {
                return spoken(inside(shop).await?, globals);
            }
        }
        tokio::time::sleep(LOOK_INTERVAL).await;
    }
    line(globals).await
}

/// Connects to whoever answers.
pub async fn line(globals: &Globals) -> Result<Line, Failure> {
    spoken(channel(globals).await?, globals)
}

fn spoken(channel: Channel, globals: &Globals) -> Result<Line, Failure> {
    let words = match globals.words {
        Words::British => "british",
        Words::American => "american",
    };
    let seasons = match globals.seasons {
        Seasons::Northern => "northern",
        Seasons::Southern => "southern",
    };
    let units = match globals.units {
        Units::Mm => "mm",
        Units::In => "in",
    };
    let token = remote::token(globals)?;
    Ok(InterceptedService::new(channel, Manner { words, seasons, units, token }))
}

async fn channel(globals: &Globals) -> Result<Channel, Failure> {
    if let Some(server) = &globals.server {
        return named(server, globals).await;
    }
    if let Some(channel) = over_socket(globals).await {
        return Ok(channel);
    }
    inside(shop_here(globals)?).await
}

/// The shop inside this program. Learning somebody's own phrasings takes so long that it is told.
fn shop_here(globals: &Globals) -> Result<Arc<Shop>, Failure> {
    let knowledge = globals.knowledge.as_deref();
    let learning = || {
        let name = knowledge.unwrap_or(Path::new("")).display();
        eprintln!("sward: learns the phrasings of {name}; this takes a minute, once");
    };
    Ok(Shop::open_telling(&data(globals), knowledge, learning)?)
}

async fn inside(shop: Arc<Shop>) -> Result<Channel, Failure> {
    channel_to(shop).await.map_err(|error| Failure::new(70, error.to_string(), ""))
}

/// The server of the data directory, if one answers. It has its own knowledge, so another that is
/// named is not asked of it.
async fn over_socket(globals: &Globals) -> Option<Channel> {
    let socket = data(globals).join(config::SOCKET_NAME);
    if globals.knowledge.is_some() || !socket.exists() {
        return None;
    }
    unix(&socket.to_string_lossy()).await.ok()
}

async fn named(server: &str, globals: &Globals) -> Result<Channel, Failure> {
    let hint = "start swardd, or leave --server out to answer without one";
    if let Some(path) = server.strip_prefix("unix:") {
        return unix(path).await.map_err(|error| {
            Failure::new(69, format!("no server answers on {path}: {error}"), hint)
        });
    }
    let endpoint = remote::endpoint(server, globals)?;
    endpoint.connect().await.map_err(|error| {
        Failure::new(69, format!("no server answers at {server}: {}", reasons(&error)), hint)
    })
}

async fn unix(path: &str) -> Result<Channel, tonic::transport::Error> {
    Endpoint::try_from(format!("unix:{path}"))?.connect().await
}

/// An error with what caused it: the outermost alone says little.
fn reasons(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text.push_str(&format!(": {inner}"));
        cause = inner.source();
    }
    text
}
