//! What may a user set, what is it when nobody does, and within which bounds?

use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

/// Where a server listens when not told: this machine only.
pub const LISTEN_DEFAULT: &str = "127.0.0.1:7391";
/// The Unix socket below the data directory.
pub const SOCKET_NAME: &str = "swardd.sock";
/// The file below the data directory that names the address served.
pub const ADDRESS_NAME: &str = "swardd.address";

/// Largest request and reply, in bytes.
pub const REQUEST_BYTES_MAX: usize = 4 << 20;
pub const REPLY_BYTES_MAX: usize = 16 << 20;
/// Largest request header, in bytes.
pub const HEADER_BYTES_MAX: u32 = 16 << 10;
/// Calls at once on one connection.
pub const STREAMS_MAX: u32 = 128;
/// Bytes of one call, and of one connection, that a sender may be ahead of the receiver.
pub const CALL_WINDOW_BYTES: u32 = 1 << 20;
pub const CONNECTION_WINDOW_BYTES: u32 = 4 << 20;
/// How long a stopping server waits for calls to end.
pub const DRAIN_TIME_MAX: Duration = Duration::from_secs(5);
/// Calls that work with the disk at the same time; the others wait for their turn.
pub const DISK_CALLS: usize = 16;
/// Answers about the whole fleet worked out at the same time: each holds what all records say.
pub const BOOKS_AT_ONCE: usize = 2;
/// How long a conversation is kept after its last call ended, and how many are kept at once.
pub const CONVERSATION_KEPT: Duration = Duration::from_secs(60 * 60);
pub const CONVERSATIONS_MAX: usize = 256;
/// How long a response of a conversation waits for a client that does not read.
pub const GIVE_TIME_MAX: Duration = Duration::from_secs(30);
/// Resets of calls not yet accepted, and resets after errors, before a connection is closed.
pub const PENDING_RESETS_MAX: usize = 20;
pub const ERROR_RESETS_MAX: usize = 100;
/// Largest table that one call reads in, and largest copy that is put back, in bytes.
pub const IMPORT_BYTES_MAX: usize = 64 << 20;
pub const COPY_BYTES_MAX: u64 = 8 << 30;
/// Clients whose rates are remembered; beyond, those that have been quiet are forgotten first.
pub const CLIENTS_MAX: usize = 4_096;
/// Tokens kept, those revoked included.
pub const TOKENS_MAX: usize = 1_000;
/// Longest label of a token, and longest request id taken from a caller, in characters.
pub const LABEL_CHARACTERS_MAX: usize = 80;
pub const REQUEST_ID_CHARACTERS_MAX: usize = 64;

/// A whole number that a user may set, by its flag.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    pub flag: &'static str,
    pub default: u32,
    pub least: u32,
    pub most: u32,
}

impl Setting {
    pub fn range(self) -> std::ops::RangeInclusive<i64> {
        i64::from(self.least)..=i64::from(self.most)
    }
}

/// Calls worked on at once, over all connections.
pub const CALLS: Setting = Setting { flag: "calls", default: 256, least: 1, most: 10_000 };
/// Streams that stay open, such as conversations, over all connections.
pub const OPEN_STREAMS: Setting =
    Setting { flag: "open-streams", default: 128, least: 1, most: 10_000 };
/// Calls a second of one client; twice as many may come at once.
pub const RATE: Setting = Setting { flag: "rate", default: 100, least: 1, most: 100_000 };
/// Connections at once.
pub const CONNECTIONS: Setting =
    Setting { flag: "connections", default: 1_000, least: 1, most: 20_000 };

/// How much one server takes on, and how long it waits.
#[derive(Clone, Debug)]
pub struct Limits {
    pub calls: usize,
    pub open_streams: usize,
    pub calls_per_second: u32,
    pub connections: usize,
    /// Longest time for one call.
    pub call_time: Duration,
    /// Longest time for a call that carries a whole table or copy.
    pub table_time: Duration,
    /// Longest time for a conversation.
    pub conversation_time: Duration,
    /// How long a finished answer waits for a client that does not read.
    pub stall_time: Duration,
    /// How long a new connection may say nothing, and take to agree on encryption.
    pub greeting_time: Duration,
    /// A connection without calls for this long makes way when there are too many.
    pub idle_time: Duration,
    /// Silent connections are asked for a sign of life after this, and closed after the next.
    pub keepalive_interval: Duration,
    pub keepalive_timeout: Duration,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            calls: CALLS.default as usize,
            open_streams: OPEN_STREAMS.default as usize,
            calls_per_second: RATE.default,
            connections: CONNECTIONS.default as usize,
            call_time: Duration::from_secs(30),
            table_time: Duration::from_secs(10 * 60),
            conversation_time: Duration::from_secs(8 * 60 * 60),
            stall_time: Duration::from_secs(30),
            greeting_time: Duration::from_secs(10),
            idle_time: Duration::from_secs(10),
            keepalive_interval: Duration::from_secs(60),
            keepalive_timeout: Duration::from_secs(20),
        }
    }
}

/// Where the certificate and key of an encrypted server are.
#[derive(Clone, Debug)]
pub struct Encryption {
    pub certificate: PathBuf,
    pub key: PathBuf,
    /// Clients must show a certificate of this authority.
    pub client_authority: Option<PathBuf>,
}

/// How a server is to run.
#[derive(Clone, Debug)]
pub struct Config {
    pub listen: SocketAddr,
    pub data: PathBuf,
    pub knowledge: Option<PathBuf>,
    /// A caller on this machine needs a token too.
    pub require_token: bool,
    pub encryption: Option<Encryption>,
    pub limits: Limits,
    /// Where measurements are read, on this machine only.
    pub metrics: Option<SocketAddr>,
}

impl Config {
    /// The defaults, on an address and a data directory.
    pub fn new(listen: SocketAddr, data: PathBuf) -> Config {
        Config {
            listen,
            data,
            knowledge: None,
            require_token: false,
            encryption: None,
            limits: Limits::default(),
            metrics: None,
        }
    }

    /// Whether a caller over the network socket must show a token.
    pub fn needs_token(&self) -> bool {
        self.require_token || !self.listen.ip().is_loopback()
    }
}

/// The data directory when none is named: `$SWARD_DATA`, else the user's data home.
pub fn default_data(environment: impl Fn(&str) -> Option<String>) -> PathBuf {
    let named = |key: &str| environment(key).filter(|value| !value.is_empty());
    if let Some(data) = named("SWARD_DATA") {
        return PathBuf::from(data);
    }
    if let Some(home) = named("XDG_DATA_HOME") {
        return PathBuf::from(home).join("sward");
    }
    match named("HOME") {
        Some(home) => PathBuf::from(home).join(".local/share/sward"),
        None => PathBuf::from("sward-data"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn defaults_are_within_their_bounds() {
        for setting in [CALLS, OPEN_STREAMS, RATE, CONNECTIONS] {
            assert!(setting.range().contains(&i64::from(setting.default)), "--{}", setting.flag);
        }
        let limits = Limits::default();
        assert!(limits.call_time < limits.table_time);
        assert!(limits.table_time < limits.conversation_time);
    }

    #[test]
    fn other_machines_need_a_token() {
        let needs = |listen: &str, asked: bool| {
            let listen = listen.parse().expect("an address");
            Config { require_token: asked, ..Config::new(listen, PathBuf::new()) }.needs_token()
        };
        assert!(!needs("127.0.0.1:1", false) && !needs("[::1]:1", false));
        assert!(needs("127.0.0.1:1", true));
        assert!(needs("0.0.0.0:1", false) && needs("192.0.2.7:1", false) && needs("[::]:1", false));
    }

    #[test]
    fn the_data_directory_follows_the_environment() {
        let of = |pairs: &'static [(&'static str, &'static str)]| {
            default_data(|key| {
                pairs.iter().find(|(name, _)| *name == key).map(|(_, value)| (*value).to_owned())
            })
        };
        assert_eq!(of(&[("SWARD_DATA", "d"), ("HOME", "h")]), PathBuf::from("d"));
        assert_eq!(of(&[("XDG_DATA_HOME", "x"), ("HOME", "h")]), PathBuf::from("x/sward"));
        assert_eq!(of(&[("HOME", "h")]), PathBuf::from("h/.local/share/sward"));
        assert_eq!(of(&[]), PathBuf::from("sward-data"));
    }
}
