//! Who gets in, and what may they do? Every rpc has its role, and over the wire it is held to; what
//! other machines reach is encrypted; a revoked token is worth nothing.

mod encrypted;

use std::collections::BTreeSet;
use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use jiff::Timestamp;
use prost::Message as _;
use prost::bytes::Bytes;
use prost_types::FileDescriptorSet;
use sward_core::DESCRIPTORS;
use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;
use sward_core::service::access::roles::{ROWS, Role, row_of};
use sward_core::service::access::tokens::{FILE_NAME, Tokens};
use tonic::codegen::http::uri::PathAndQuery;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};
use tonic_types::StatusExt as _;

use crate::raw_call::RawCodec;
use crate::running::{self, Running, refusal, with_token};

/// Every rpc that a server answers, as "package.Service/Method".
fn rpcs() -> BTreeSet<String> {
    let sets = [
        DESCRIPTORS,
        tonic_health::pb::FILE_DESCRIPTOR_SET,
        tonic_reflection::pb::v1::FILE_DESCRIPTOR_SET,
        tonic_reflection::pb::v1alpha::FILE_DESCRIPTOR_SET,
    ];
    let mut names = BTreeSet::new();
    for set in sets {
        for file in FileDescriptorSet::decode(set).expect("descriptors").file {
            for service in &file.service {
                for method in &service.method {
                    let (package, service) = (file.package(), service.name());
                    names.insert(format!("{package}.{service}/{}", method.name()));
                }
            }
        }
    }
    names
}

#[test]
fn every_rpc_has_a_row_and_every_row_names_an_rpc() {
    let served = rpcs();
    let rows: BTreeSet<String> = ROWS.iter().map(|row| row.rpc.to_owned()).collect();
    let missing: Vec<&String> = served.difference(&rows).collect();
    let stray: Vec<&String> = rows.difference(&served).collect();
    assert!(
        missing.is_empty(),
        "say who may call these: a row each in ROWS of server/service/access/roles.rs, in \
         alphabetical order: {missing:#?}"
    );
    assert!(stray.is_empty(), "rows of server/service/access/roles.rs name no rpc: {stray:#?}");
}

/// Who may what, in the words the rows were decided by.
#[test]
fn readers_read_mechanics_record_and_managers_do_the_rest() {
    for row in ROWS {
        let (_, method) = row.rpc.split_once('/').expect("a method");
        let reads = ["Get", "List", "Export"].iter().any(|verb| method.starts_with(verb));
        let changes = ["Amend", "Import", "Restore", "Backup", "Update", "CreateM", "CreateC",
            "CreateA"];
        if row.rpc.starts_with("grpc.") {
            assert!(row.least <= Role::Reader, "{}", row.rpc);
        } else if reads {
            assert_eq!(row.least, Role::Reader, "{}", row.rpc);
        } else if changes.iter().any(|verb| method.starts_with(verb)) {
            assert_eq!(row.least, Role::Manager, "{}", row.rpc);
        } else if method.ends_with("CreateRecord") || method == "BatchCreateRecords" {
            assert_eq!(row.least, Role::Mechanic, "{}", row.rpc);
        }
    }
}

struct Guarded {
    server: Running,
    /// Without a token, reader, mechanic, manager.
    callers: Vec<(Role, Option<String>)>,
}

async fn guarded() -> Guarded {
    let (place, mut config) = running::prepared();
    config.require_token = true;
    config.limits.calls_per_second = 10_000;
    let tokens = Tokens::of(&config.data);
    let mut callers = vec![(Role::Anyone, None)];
    for role in Role::OF_TOKENS {
        let token = tokens.add(role, "a test", Timestamp::UNIX_EPOCH).expect("a token");
        callers.push((role, Some(token)));
    }
    Guarded { server: running::serving(place, config).await, callers }
}

/// What an empty call comes to; a stream that stays open was let in.
async fn call(channel: &Channel, rpc: &str, token: Option<&str>) -> Result<(), Status> {
    let path = PathAndQuery::try_from(format!("/{rpc}")).expect("a path");
    let mut line = tonic::client::Grpc::new(channel.clone());
    line.ready().await.expect("a connection");
    let message = tokio_stream::once(Bytes::new());
    let request = match token {
        Some(token) => with_token(message, token),
        None => Request::new(message),
    };
    let answered = async {
        let mut replies = line.streaming(request, path, RawCodec).await?.into_inner();
        replies.message().await.map(|_| ())
    };
    tokio::time::timeout(Duration::from_secs(5), answered).await.unwrap_or(Ok(()))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn roles_are_held_to_on_every_rpc() {
    let guarded = guarded().await;
    let channel = guarded.server.channel().await;
    let mut calls = tokio::task::JoinSet::new();
    for rpc in rpcs() {
        for (role, token) in guarded.callers.clone() {
            let (channel, rpc) = (channel.clone(), rpc.clone());
            calls.spawn(async move {
                let outcome = call(&channel, &rpc, token.as_deref()).await;
                (rpc, role, outcome.err())
            });
        }
    }
    let mut refused = 0;
    while let Some(done) = calls.join_next().await {
        let (rpc, role, error) = done.expect("a call");
        let code = error.as_ref().map_or(Code::Ok, Status::code);
        let least = row_of(&format!("/{rpc}")).map(|row| row.least);
        let expected = match least {
            Some(least) if role >= least => {
                let turned_away = matches!(code, Code::PermissionDenied | Code::Unauthenticated);
                assert!(!turned_away, "{rpc} as {role}: {error:?}");
                continue;
            }
            _ if role == Role::Anyone => Code::Unauthenticated,
            Some(_) => Code::PermissionDenied,
            None => Code::Unimplemented,
        };
        assert_eq!(code, expected, "{rpc} as {role}: {error:?}");
        refused += 1;
    }
    assert!(refused > ROWS.len(), "{refused}");
}

async fn status_with(channel: &Channel, token: &str) -> Result<(), Status> {
    let mut client = GuideServiceClient::new(channel.clone());
    client.get_status(with_token(pb::GetStatusRequest {}, token)).await.map(|_| ())
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_revocation_holds_from_the_next_call_on() {
    let guarded = guarded().await;
    let channel = guarded.server.channel().await;
    let token = guarded.callers[1].1.clone().expect("a reader");
    status_with(&channel, &token).await.expect("let in");
    let tokens = Tokens::of(guarded.server.data());
    tokens.revoke(1, Timestamp::UNIX_EPOCH).expect("revoked");
    let error = refusal(status_with(&channel, &token).await);
    assert_eq!(error.code(), Code::Unauthenticated, "{error:?}");
    let reason = error.get_details_error_info().expect("a reason");
    assert_eq!(reason.reason, "TOKEN_NEEDED");
    assert!(error.message().contains("revoked"), "{error:?}");
    // And one made while the server runs is good at once.
    let fresh = tokens.add(Role::Reader, "another", Timestamp::UNIX_EPOCH).expect("a token");
    status_with(&channel, &fresh).await.expect("let in");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_wrong_token_is_refused_even_where_none_is_needed() {
    let server = running::start(|_| {}).await;
    let channel = server.channel().await;
    call(&channel, "sward.v1.GuideService/GetStatus", None).await.expect("the local user");
    for wrong in ["sward_guess", "", "sward_"] {
        let error = refusal(status_with(&channel, wrong).await);
        assert_eq!(error.code(), Code::Unauthenticated, "{wrong:?}: {error:?}");
    }
    let mut request = Request::new(pb::GetStatusRequest {});
    request.metadata_mut().insert("authorization", "Basic YTpi".parse().expect("a header"));
    let error = refusal(GuideServiceClient::new(channel).get_status(request).await);
    assert_eq!(error.code(), Code::Unauthenticated, "{error:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_role_that_is_missing_is_named() {
    let guarded = guarded().await;
    let channel = guarded.server.channel().await;
    let token = guarded.callers[2].1.clone().expect("a mechanic");
    let rpc = "sward.v1.RecordsService/AmendRecord";
    let error = refusal(call(&channel, rpc, Some(&token)).await);
    assert_eq!(error.code(), Code::PermissionDenied);
    assert!(error.message().contains(rpc) && error.message().contains("manager"), "{error:?}");
    assert_eq!(error.get_details_error_info().expect("a reason").metadata["role"], "manager");
}

/// Browsers speak HTTP/1.1 to ask whether a page may call; nothing here answers them.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_browser_is_not_invited() {
    let server = running::start(|_| {}).await;
    let address = server.address;
    let answer = tokio::task::spawn_blocking(move || {
        let mut stream = std::net::TcpStream::connect(address).expect("a connection");
        stream.set_read_timeout(Some(Duration::from_secs(5))).expect("set");
        let asked = "OPTIONS /sward.v1.GuideService/GetStatus HTTP/1.1\r\nHost: localhost\r\n\
                     Origin: https://page.example\r\nAccess-Control-Request-Method: POST\r\n\r\n";
        stream.write_all(asked.as_bytes()).expect("sent");
        let mut answer = Vec::new();
        // It may be cut off without a farewell.
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).to_lowercase()
    });
    let answer = answer.await.expect("asked");
    assert!(!answer.contains("http/1.1 2") && !answer.contains("access-control"), "{answer}");
}

fn swardd(data: &Path, arguments: &[&str]) -> std::process::Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_swardd"));
    command.args(arguments).arg("--data").arg(data).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn a_server_open_to_others_says_what_it_needs() {
    let place = tempfile::tempdir().expect("a directory");
    let open = |more: &[&str]| {
        let refused = swardd(place.path(), &[&["--listen", "0.0.0.0:0"], more].concat());
        assert!(!refused.status.success() && refused.stdout.is_empty());
        text(&refused.stderr)
    };
    let said = open(&[]);
    assert!(said.contains("swardd cert init") && said.contains("swardd token add"), "{said}");
    assert!(said.contains("127.0.0.1"), "{said}");
    let made = swardd(place.path(), &["cert", "init", "--host", "shop.example"]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    let said = open(&[]);
    assert!(said.contains("there is none") && said.contains("swardd token add"), "{said}");
    let said = open(&["--rate", "0"]);
    assert!(said.contains("--rate") && said.contains("1..=100000"), "{said}");
}

#[test]
fn tokens_are_made_listed_and_ended_on_the_command_line() {
    let place = tempfile::tempdir().expect("a directory");
    let made = swardd(place.path(), &["token", "add", "--role", "mechanic", "--label", "bench"]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    let token = text(&made.stdout).trim().to_owned();
    assert!(token.starts_with("sward_") && text(&made.stderr).contains("not shown again"));
    let listed = text(&swardd(place.path(), &["token", "list"]).stdout);
    assert!(listed.contains("mechanic") && listed.contains("bench"), "{listed}");
    let kept = std::fs::read_to_string(place.path().join(FILE_NAME)).expect("the file");
    for text in [&listed, &kept] {
        assert!(!text.contains(&token["sward_".len()..]), "{text}");
    }
    let ended = swardd(place.path(), &["token", "revoke", "1"]);
    assert!(ended.status.success(), "{}", text(&ended.stderr));
    let tokens = Tokens::of(place.path());
    assert_eq!(tokens.holder(&token).expect("read"), None);
    let unknown = swardd(place.path(), &["token", "revoke", "7"]);
    assert!(!unknown.status.success() && text(&unknown.stderr).contains("there is no token 7"));
    let wrong = swardd(place.path(), &["token", "add", "--role", "owner", "--label", "x"]);
    assert!(text(&wrong.stderr).contains("[possible values: reader, mechanic, manager]"));
    let roles = text(&swardd(place.path(), &["token", "roles"]).stdout);
    assert_eq!(roles.lines().count(), ROWS.len() + 1);
}
