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
/// Longest time for one call.
pub const CALL_TIME_MAX: Duration = Duration::from_secs(30);
/// How long a stopping server waits for calls to end.
pub const DRAIN_TIME_MAX: Duration = Duration::from_secs(5);
/// Silent connections are asked for a sign of life after this, and closed after the next.
pub const KEEPALIVE_INTERVAL: Duration = Duration::from_secs(60);
pub const KEEPALIVE_TIMEOUT: Duration = Duration::from_secs(20);
/// Resets of calls not yet accepted before a connection is closed.
pub const PENDING_RESETS_MAX: usize = 20;

/// How a server is to run.
#[derive(Clone, Debug)]
pub struct Config {
    pub listen: SocketAddr,
    pub data: PathBuf,
    pub knowledge: Option<PathBuf>,
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
