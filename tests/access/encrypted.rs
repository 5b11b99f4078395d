//! The whole way over an encrypted connection, with the programs as people run them.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use jiff::civil::date;
use sward_core::config::Encryption;
use sward_core::service::access::certificates;

use super::{Role, Running, Timestamp, Tokens, running, text};

/// `sward status` with these arguments, off the main threads.
async fn status(data: &Path, token: Option<&str>, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.arg("status").args(arguments).env("SWARD_DATA", data);
    for name in ["SWARD_SERVER", "SWARD_TOKEN", "SWARD_CA"] {
        command.env_remove(name);
    }
    if let Some(token) = token {
        command.env("SWARD_TOKEN", token);
    }
    let run = move || command.output().expect("the program runs");
    tokio::task::spawn_blocking(run).await.expect("run")
}

struct Encrypted {
    server: Running,
    token: String,
    elsewhere: tempfile::TempDir,
}

impl Encrypted {
    async fn start(client_authority: bool) -> Encrypted {
        let (place, mut config) = running::prepared();
        let hosts = ["localhost".to_owned(), "127.0.0.1".to_owned()];
        let today = jiff::ZonedDateTime::now().date();
        let authority = certificates::init(&config.data, &hosts, today).expect("certificates");
        let made = certificates::made(&config.data).expect("made");
        let client_authority = client_authority.then_some(authority);
        config.encryption = Some(Encryption { client_authority, ..made });
        config.require_token = true;
        let tokens = Tokens::of(&config.data);
        let token = tokens.add(Role::Reader, "a test", Timestamp::UNIX_EPOCH).expect("a token");
        let server = running::serving(place, config).await;
        Encrypted { server, token, elsewhere: tempfile::tempdir().expect("a directory") }
    }

    fn url(&self, host: &str) -> String {
        format!("https://{host}:{}", self.server.address.port())
    }

    fn file(&self, name: &str) -> PathBuf {
        self.server.data().join(certificates::FOLDER).join(name)
    }
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_encrypted_server_is_known_by_its_authority_and_knows_by_token() {
    let encrypted = Encrypted::start(false).await;
    let away = encrypted.elsewhere.path();
    let authority = encrypted.file(certificates::AUTHORITY);
    let ca = authority.to_str().expect("text");
    let token = Some(encrypted.token.as_str());
    for host in ["localhost", "127.0.0.1"] {
        let url = encrypted.url(host);
        let good = status(away, token, &["--server", &url, "--ca", ca]).await;
        assert_eq!(code(&good), 0, "{}", text(&good.stderr));
        assert!(text(&good.stdout).contains("knowledge version"));
        let strange = status(away, None, &["--server", &url, "--ca", ca]).await;
        assert_eq!(code(&strange), 77, "{}", text(&strange.stderr));
        assert!(text(&strange.stderr).contains("needs a token"));
    }
    let url = encrypted.url("localhost");
    let unknown = status(away, token, &["--server", &url]).await;
    assert_eq!(code(&unknown), 74, "{}", text(&unknown.stderr));
    assert!(text(&unknown.stderr).contains("--ca"));
    let other = tempfile::tempdir().expect("a directory");
    let wrong = certificates::init(other.path(), &["localhost".to_owned()], date(2026, 1, 1));
    let wrong = wrong.expect("another authority");
    let wrong = wrong.to_str().expect("text");
    let refused = status(away, token, &["--server", &url, "--ca", wrong]).await;
    assert_eq!(code(&refused), 69, "{}", text(&refused.stderr));
    let plain = format!("http://localhost:{}", encrypted.server.address.port());
    let refused = status(away, token, &["--server", &plain]).await;
    assert_eq!(code(&refused), 69, "{}", text(&refused.stderr));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_client_certificate_is_asked_for_where_it_is_wanted() {
    let encrypted = Encrypted::start(true).await;
    let away = encrypted.elsewhere.path();
    let authority = encrypted.file(certificates::AUTHORITY);
    let today = jiff::ZonedDateTime::now().date();
    let made = certificates::client(encrypted.server.data(), "tablet-1", today).expect("made");
    let [ca, certificate, key] =
        [&authority, &made.0, &made.1].map(|path| path.to_str().expect("text").to_owned());
    let url = encrypted.url("localhost");
    let common = ["--server", url.as_str(), "--ca", ca.as_str()];
    let token = Some(encrypted.token.as_str());
    let without = status(away, token, &common).await;
    assert_eq!(code(&without), 69, "{}", text(&without.stderr));
    let shown = ["--client-cert", certificate.as_str(), "--client-key", key.as_str()];
    let with = status(away, token, &[&common[..], &shown[..]].concat()).await;
    assert_eq!(code(&with), 0, "{}", text(&with.stderr));
    let strange = status(away, None, &[&common[..], &shown[..]].concat()).await;
    assert_eq!(code(&strange), 77, "{}", text(&strange.stderr));
}

#[tokio::test]
async fn a_token_is_not_sent_in_the_clear() {
    let away = tempfile::tempdir().expect("a directory");
    // RFC 5737: an address that is nobody's.
    let refused = status(away.path(), Some("sward_x"), &["--server", "http://192.0.2.1:7391"]).await;
    assert_eq!(code(&refused), 65, "{}", text(&refused.stderr));
    assert!(text(&refused.stderr).contains("could be read on the way"));
}

#[cfg(unix)]
#[test]
fn keys_are_their_owners_alone_and_an_authority_is_kept() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = tempfile::tempdir().expect("a directory");
    let hosts = ["shop.example".to_owned()];
    let authority = certificates::init(place.path(), &hosts, date(2026, 3, 1)).expect("made");
    let first = std::fs::read(&authority).expect("read");
    let server = certificates::made(place.path()).expect("made").certificate;
    let before = std::fs::read(&server).expect("read");
    certificates::init(place.path(), &hosts, date(2027, 3, 1)).expect("made again");
    assert_eq!(std::fs::read(&authority).expect("read"), first, "clients know the old one");
    assert_ne!(std::fs::read(&server).expect("read"), before, "the server has a new one");
    for entry in std::fs::read_dir(place.path().join(certificates::FOLDER)).expect("listed") {
        let entry = entry.expect("an entry");
        let mode = entry.metadata().expect("known").permissions().mode() & 0o777;
        assert_eq!(mode, 0o600, "{}", entry.path().display());
    }
    for wrong in ["", "Tablet", "../x", "a b"] {
        let error = certificates::client(place.path(), wrong, date(2026, 3, 1));
        assert!(error.expect_err(wrong).to_string().contains("cannot be used"));
    }
    let nowhere = tempfile::tempdir().expect("a directory");
    let error = certificates::client(nowhere.path(), "a", date(2026, 3, 1)).expect_err("no authority");
    assert!(error.to_string().contains("swardd cert init"), "{error}");
}
