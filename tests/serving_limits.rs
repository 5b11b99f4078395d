//! Every limit of the server, reached: what is over it is refused in words, and all is well after.
//!
//! `SWARD_CONNECTIONS=10000 cargo test --test main serving_limits::idle` is the long form of the
//! idle connections; it needs twice as many open files and some more (`ulimit -n 20100`).

mod frames;

use std::time::{Duration, Instant};

use sward_core::config;
use sward_core::pb;
use sward_core::pb::diagnosis_service_client::DiagnosisServiceClient;
use sward_core::pb::guide_service_client::GuideServiceClient;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::service::access::roles::Role;
use sward_core::service::access::tokens::Tokens;
use tokio::sync::mpsc;
use tokio::task::JoinSet;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};
use tonic_types::StatusExt as _;

use crate::running::{self, Running, refusal, with_token};
use frames::Rude;

const STATUS: &str = "/sward.v1.GuideService/GetStatus";
/// An answer of many kilobytes.
const LONG: &str = "/sward.v1.GuideService/ListProcedures";
const SOON: Duration = Duration::from_millis(200);
const PATIENCE: Duration = Duration::from_secs(5);

async fn status_of(server: &Running) -> pb::GetStatusResponse {
    let mut client = GuideServiceClient::new(server.channel().await);
    client.get_status(pb::GetStatusRequest {}).await.expect("all is well").into_inner()
}

fn assert_limited(error: &Status, limit: &str) {
    assert_eq!(error.code(), Code::ResourceExhausted, "{error:?}");
    let wait = error.get_details_retry_info().expect("when to try again").retry_delay;
    let wait = wait.expect("a time");
    assert!(wait > Duration::ZERO && wait <= Duration::from_secs(1), "{wait:?}");
    let reason = error.get_details_error_info().expect("a reason");
    assert_eq!((reason.reason.as_str(), reason.metadata["limit"].as_str()), ("LIMITED", limit));
}

/// How a short call is refused once the places are taken.
async fn turned_away(channel: Channel) -> Status {
    let mut client = GuideServiceClient::new(channel);
    let until = Instant::now() + PATIENCE;
    loop {
        match client.get_status(pb::GetStatusRequest {}).await {
            Err(error) => return error,
            Ok(_) => assert!(Instant::now() < until, "no call was ever refused"),
        }
    }
}

/// A call that goes on until it is told to end: a copy is being sent.
struct Lasting {
    pieces: mpsc::Sender<pb::RestoreRecordsRequest>,
    answer: tokio::task::JoinHandle<Result<(), Status>>,
}

fn lasting(channel: Channel) -> Lasting {
    let (pieces, sent) = mpsc::channel(1);
    let mut client = RecordsServiceClient::new(channel);
    let answer = tokio::spawn(async move {
        client.restore_records(ReceiverStream::new(sent)).await.map(|_| ())
    });
    Lasting { pieces, answer }
}

impl Lasting {
    /// Waits until the server reads it: each piece fills the window of the call, so a third is
    /// taken only after the handler has read of the first.
    async fn begun(&self) {
        for _ in 0..3 {
            let chunk = vec![b'x'; config::CALL_WINDOW_BYTES as usize];
            let piece = pb::RestoreRecordsRequest { chunk };
            self.pieces.send(piece).await.expect("read");
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_message_may_have_four_mebibytes() {
    let server = running::start(|_| {}).await;
    let mut client = DiagnosisServiceClient::new(server.channel().await);
    let request = |bytes: usize| pb::DiagnoseRequest {
        complaint: "x".repeat(bytes),
        ..pb::DiagnoseRequest::default()
    };
    let below = refusal(client.diagnose(request(config::REQUEST_BYTES_MAX - 100)).await);
    assert_eq!(below.code(), Code::InvalidArgument, "it was read, and the words are too many");
    let error = refusal(client.diagnose(request(config::REQUEST_BYTES_MAX + 1)).await);
    assert_eq!(error.code(), Code::OutOfRange, "{error:?}");
    assert_eq!(status_of(&server).await.limited_request_count, 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_header_may_have_sixteen_kibibytes() {
    let server = running::start(|_| {}).await;
    let mut client = GuideServiceClient::new(server.channel().await);
    for (bytes, passes) in [(12 << 10, true), (20 << 10, false)] {
        let mut request = Request::new(pb::GetStatusRequest {});
        let value = "x".repeat(bytes).parse().expect("a header");
        request.metadata_mut().insert("sward-note", value);
        assert_eq!(client.get_status(request).await.is_ok(), passes, "{bytes} bytes");
    }
    status_of(&server).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn calls_at_once_are_bounded_and_room_comes_back() {
    let server = running::start(|config| config.limits.calls = 1).await;
    let channel = server.channel().await;
    let long = lasting(channel.clone());
    long.begun().await;
    // Pieces may wait on this side: the call must have its place before another asks for it.
    tokio::time::sleep(5 * SOON).await;
    let error = turned_away(channel).await;
    assert_limited(&error, "calls");
    drop(long.pieces);
    let refused = refusal(long.answer.await.expect("ended"));
    assert_eq!(refused.code(), Code::InvalidArgument, "no copy: {refused:?}");
    assert_eq!(status_of(&server).await.limited_request_count, 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_call_whose_caller_went_away_leaves_its_place() {
    let server = running::start(|config| config.limits.calls = 1).await;
    let long = lasting(server.channel().await);
    long.begun().await;
    long.answer.abort();
    drop(long.pieces);
    let until = Instant::now() + PATIENCE;
    let mut client = GuideServiceClient::new(server.channel().await);
    while client.get_status(pb::GetStatusRequest {}).await.is_err() {
        assert!(Instant::now() < until, "the place was never left");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn overload_is_answered_at_once_and_passes() {
    let server = running::start(|config| config.limits.calls = 2).await;
    let channel = server.channel().await;
    let diagnose = |channel: Channel| async move {
        let complaint = "streaks of uncut grass, unit 3 only".to_owned();
        let request = pb::DiagnoseRequest { complaint, ..pb::DiagnoseRequest::default() };
        DiagnosisServiceClient::new(channel).diagnose(request).await.map(|_| ())
    };
    let (mut answered, mut limited) = (0, 0);
    // Half of the crowd comes while both places are taken, half when they are free again.
    let mut places = Some([lasting(channel.clone()), lasting(channel.clone())]);
    for place in places.iter().flatten() {
        place.begun().await;
    }
    for _ in 0..2 {
        let mut crowd = JoinSet::new();
        for _ in 0..50 {
            crowd.spawn(diagnose(channel.clone()));
        }
        while let Some(done) = crowd.join_next().await {
            match done.expect("a call") {
                Ok(()) => answered += 1,
                Err(error) => {
                    assert_limited(&error, "calls");
                    limited += 1;
                }
            }
        }
        for place in places.take().into_iter().flatten() {
            drop(place.pieces);
            refusal(place.answer.await.expect("ended"));
        }
    }
    assert!(answered > 0 && limited > 0, "{answered} answered, {limited} turned away");
    for _ in 0..10 {
        diagnose(channel.clone()).await.expect("the crowd has gone");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_rate_of_one_client_is_bounded_and_not_that_of_another() {
    let (place, mut config) = running::prepared();
    config.require_token = true;
    config.limits.calls_per_second = 2;
    let tokens = Tokens::of(&config.data);
    let add = |label| tokens.add(Role::Reader, label, jiff::Timestamp::UNIX_EPOCH).expect("added");
    let (first, second) = (add("first"), add("second"));
    let server = running::serving(place, config).await;
    let mut client = GuideServiceClient::new(server.channel().await);
    let mut passed = 0;
    let error = loop {
        match client.get_status(with_token(pb::GetStatusRequest {}, &first)).await {
            Ok(_) => passed += 1,
            Err(error) => break error,
        }
    };
    assert!((4..10).contains(&passed), "{passed}");
    assert_limited(&error, "rate");
    client.get_status(with_token(pb::GetStatusRequest {}, &second)).await.expect("another client");
    let wait = error.get_details_retry_info().expect("a time").retry_delay.expect("a time");
    tokio::time::sleep(wait).await;
    client.get_status(with_token(pb::GetStatusRequest {}, &first)).await.expect("waited");
    // Who guesses tokens is slowed down too, by address.
    let mut codes = Vec::new();
    for guess in 0..12 {
        let guess = with_token(pb::GetStatusRequest {}, &format!("sward_{guess}"));
        codes.push(refusal(client.get_status(guess).await).code());
    }
    assert_eq!(codes[0], Code::Unauthenticated);
    assert!(codes.contains(&Code::ResourceExhausted), "{codes:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_call_that_takes_too_long_is_told_so() {
    let server = running::start(|config| config.limits.table_time = SOON).await;
    let long = lasting(server.channel().await);
    long.begun().await;
    let error = refusal(long.answer.await.expect("ended"));
    assert_eq!(error.code(), Code::DeadlineExceeded, "{error:?}");
    assert!(error.message().contains("200ms"), "{error:?}");
    assert_eq!(error.get_details_error_info().expect("a reason").reason, "OUT_OF_TIME");
    assert_eq!(status_of(&server).await.limited_request_count, 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_table_read_in_has_a_size() {
    let server = running::start(|_| {}).await;
    let mut client = RecordsServiceClient::new(server.channel().await);
    let options = pb::import_records_request::Payload::Options(pb::ImportOptions {
        dry_run: true,
        ..pb::ImportOptions::default()
    });
    let row = |number: u64| {
        let json = pb::import_row::Content::Json("x".repeat(4_000_000));
        let row = pb::ImportRow { number, content: Some(json) };
        pb::import_records_request::Payload::Row(row)
    };
    let payloads = std::iter::once(options).chain((1..=17).map(row));
    let messages = payloads.map(|payload| pb::ImportRecordsRequest { payload: Some(payload) });
    let error = refusal(client.import_records(tokio_stream::iter(messages)).await);
    assert_eq!(error.code(), Code::InvalidArgument, "{error:?}");
    assert!(error.message().contains(&config::IMPORT_BYTES_MAX.to_string()), "{error:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_client_that_does_not_read_loses_its_connection() {
    for path in [LONG, "/sward.v1.RecordsService/BackupRecords"] {
        let server = running::start(|config| config.limits.stall_time = SOON).await;
        let mut rude = Rude::connect(server.address).await;
        let nothing_ahead = frames::greeting(&[(frames::INITIAL_WINDOW, 0)]);
        let asked = [nothing_ahead, frames::call(1, path, 0), frames::empty_message(1)].concat();
        rude.send(&asked).await.expect("sent");
        assert!(rude.until_closed(PATIENCE).await.is_some(), "{path}: it may wait for ever");
        assert_eq!(status_of(&server).await.limited_request_count, 1, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_client_that_says_nothing_is_let_go() {
    let server = running::start(|config| config.limits.greeting_time = SOON).await;
    let mut silent = Rude::connect(server.address).await;
    let mut halting = Rude::connect(server.address).await;
    halting.send(b"PRI * HTTP/2.0\r\n").await.expect("sent");
    for rude in [&mut silent, &mut halting] {
        assert!(rude.until_closed(PATIENCE).await.is_some(), "it may be silent for ever");
    }
    status_of(&server).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_client_that_gives_no_sign_of_life_is_let_go() {
    let server = running::start(|config| {
        config.limits.keepalive_interval = SOON;
        config.limits.keepalive_timeout = SOON;
    })
    .await;
    let mut dead = Rude::connect(server.address).await;
    dead.send(&frames::greeting(&[])).await.expect("sent");
    assert!(dead.until_closed(PATIENCE).await.is_some(), "it may be dead for ever");
    status_of(&server).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn calls_taken_back_in_a_burst_end_the_connection() {
    let server = running::start(|_| {}).await;
    let mut rude = Rude::connect(server.address).await;
    let mut burst = frames::greeting(&[]);
    for call in 0..2_000 {
        let stream = 2 * call + 1;
        burst.extend(frames::call(stream, STATUS, 0));
        burst.extend(frames::frame(frames::RESET, 0, stream, &frames::CANCEL.to_be_bytes()));
    }
    // It may stop listening before the end.
    let _ = rude.send(&burst).await;
    let kinds = rude.until_closed(PATIENCE).await.expect("it may go on for ever");
    assert!(kinds.contains(&frames::GOAWAY) || kinds.is_empty(), "{kinds:?}");
    status_of(&server).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn calls_at_once_on_one_connection_are_bounded() {
    let server = running::start(|_| {}).await;
    let mut rude = Rude::connect(server.address).await;
    rude.send(&frames::greeting(&[])).await.expect("sent");
    let mut refused = 0;
    let mut burst = Vec::new();
    // Calls that never end their request; one more than there may be.
    for call in 0..=config::STREAMS_MAX {
        burst.extend(frames::call(2 * call + 1, STATUS, 0));
    }
    rude.send(&burst).await.expect("sent");
    let read = async {
        while let Some((kind, _, payload)) = rude.frame().await {
            // RFC 9113, 7: REFUSED_STREAM is 7.
            if kind == frames::RESET && payload == 7_u32.to_be_bytes() {
                refused += 1;
                return;
            }
        }
    };
    tokio::time::timeout(PATIENCE, read).await.expect("an answer");
    assert_eq!(refused, 1);
    status_of(&server).await;
}

/// A connection that has greeted and is quiet.
async fn idle(server: &Running) -> Rude {
    let mut rude = Rude::connect(server.address).await;
    rude.send(&frames::greeting(&[])).await.expect("sent");
    // The settings of the server: it has been taken up. A closed one gives nothing.
    let _ = rude.frame().await;
    rude
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_connection_too_many_is_turned_away_or_the_quietest_makes_way() {
    let server = running::start(|config| {
        config.limits.connections = 4;
        config.limits.idle_time = SOON;
    })
    .await;
    let mut connections = Vec::new();
    for _ in 0..4 {
        connections.push(idle(&server).await);
    }
    // None has been quiet for long.
    let mut fifth = Rude::connect(server.address).await;
    assert!(fifth.until_closed(PATIENCE).await.is_some());
    tokio::time::sleep(2 * SOON).await;
    assert!(status_of(&server).await.limited_request_count >= 2);
    let first = connections[0].until_closed(PATIENCE).await;
    assert!(first.is_some(), "the one quiet the longest makes way");
    assert!(connections[3].until_closed(SOON).await.is_none(), "and no other");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn idle_connections_do_not_keep_others_out() {
    let asked = std::env::var("SWARD_CONNECTIONS").ok();
    let count: usize = asked.map_or(200, |text| text.parse().expect("a number"));
    let server = running::start(|config| config.limits.connections = count + 10).await;
    let mut connections = Vec::with_capacity(count);
    for _ in 0..count {
        connections.push(idle(&server).await);
    }
    let began = Instant::now();
    status_of(&server).await;
    println!("{count} idle connections; a call beside them took {:?}", began.elapsed());
    assert!(began.elapsed() < PATIENCE);
}
