//! What is seen of a server: measurements, traces, the log and the request ids; and what is not:
//! nothing that anybody wrote.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use prost::bytes::Bytes;
use sward_core::pb;
use sward_core::pb::diagnosis_service_client::DiagnosisServiceClient;
use sward_core::pb::guide_service_client::GuideServiceClient;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::pb::search_service_client::SearchServiceClient;
use tonic::codegen::http;
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Request, Status};
use tonic_types::StatusExt as _;

use crate::raw_call::RawCodec;
use crate::running::refusal;

/// Words that nothing but a person could have written.
const MARKER: &str = "zorkmid";

/// The program with its log.
struct Program {
    process: Child,
    address: SocketAddr,
    log: std::thread::JoinHandle<String>,
    _data: tempfile::TempDir,
}

impl Program {
    fn start(arguments: &[&str]) -> Program {
        let data = tempfile::tempdir().expect("a directory");
        let mut process = Command::new(env!("CARGO_BIN_EXE_swardd"))
            .args(["--listen", "127.0.0.1:0", "--data"])
            .arg(data.path())
            .args(arguments)
            .env_remove("SWARD_LOG")
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let mut log = process.stderr.take().expect("piped");
        let log = std::thread::spawn(move || {
            let mut text = String::new();
            log.read_to_string(&mut text).expect("text");
            text
        });
        let mut line = String::new();
        let stdout = process.stdout.take().expect("piped");
        BufReader::new(stdout).read_line(&mut line).expect("its address");
        let address = line.trim().parse().unwrap_or_else(|_| panic!("no address: {line:?}"));
        Program { process, address, log, _data: data }
    }

    async fn channel(&self) -> Channel {
        let endpoint = Endpoint::from_shared(format!("http://{}", self.address)).expect("a URL");
        endpoint.connect().await.expect("a connection")
    }

    /// Stops it as a system does, and gives its log.
    fn stop(mut self) -> String {
        let id = self.process.id().to_string();
        let told = Command::new("kill").args(["-TERM", &id]).status().expect("kill runs");
        assert!(told.success());
        assert!(self.process.wait().expect("it ends").success());
        self.log.join().expect("the log")
    }
}

/// A free port of this machine; nobody else takes it in the moment until it is used.
fn free() -> SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address")
}

fn page(address: SocketAddr, asked: &str) -> String {
    let mut stream = TcpStream::connect(address).expect("a connection");
    let asked = format!("{asked} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
    stream.write_all(asked.as_bytes()).expect("sent");
    let mut text = String::new();
    stream.read_to_string(&mut text).expect("text");
    text
}

fn named<T>(message: T, id: &str) -> Request<T> {
    let mut request = Request::new(message);
    request.metadata_mut().insert("x-request-id", id.parse().expect("a header"));
    request
}

/// One call of each kind, with words that must stay where they are; the error of one.
async fn calls_with_words(channel: &Channel) -> Status {
    let mut diagnosis = DiagnosisServiceClient::new(channel.clone());
    let complaint = format!("{MARKER} says unit 3 leaves streaks");
    let asked = pb::DiagnoseRequest { complaint, ..pb::DiagnoseRequest::default() };
    diagnosis.diagnose(asked.clone()).await.expect("answered");
    let observation = pb::Observation { finding: format!("{MARKER}_2"), present: true };
    let wrong = pb::DiagnoseRequest { observations: vec![observation], ..asked };
    let error = refusal(diagnosis.diagnose(named(wrong, "desk-42")).await);
    let mut records = RecordsServiceClient::new(channel.clone());
    let machine = pb::Machine { display_name: MARKER.to_owned(), ..pb::Machine::default() };
    let made = pb::CreateMachineRequest { machine: Some(machine), ..Default::default() };
    // Whether it is made or refused, its name stays out of the log.
    let _ = records.create_machine(made).await;
    let name = format!("sites/home/machines/{MARKER}-2");
    let missing = refusal(records.get_machine(pb::GetMachineRequest { name }).await);
    assert!(missing.message().contains(MARKER), "the caller is told: {missing:?}");
    let query = pb::SearchRequest { query: MARKER.to_owned(), ..pb::SearchRequest::default() };
    SearchServiceClient::new(channel.clone()).search(query).await.expect("searched");
    error
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_request_id_joins_an_error_to_the_log_and_no_words_are_logged() {
    let program = Program::start(&[]);
    let error = calls_with_words(&program.channel().await).await;
    assert_eq!(error.code(), Code::InvalidArgument, "{error:?}");
    assert_eq!(error.get_details_request_info().expect("an id").request_id, "desk-42");
    assert_eq!(error.metadata().get("x-request-id").expect("an id"), "desk-42");
    assert!(error.get_details_bad_request().is_some(), "the other details stay: {error:?}");
    let log = program.stop();
    let line = log.lines().find(|line| line.contains("desk-42")).expect("a line for the call");
    assert!(line.contains("DiagnosisService/Diagnose") && line.contains("INVALID_ARGUMENT"));
    assert!(!log.contains(MARKER), "what somebody wrote is in the log:\n{log}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_id_is_given_where_none_is_brought() {
    let server = crate::running::start(|_| {}).await;
    let mut client = GuideServiceClient::new(server.channel().await);
    let reply = client.get_status(pb::GetStatusRequest {}).await.expect("answered");
    let id = reply.metadata().get("x-request-id").expect("an id").to_str().expect("text");
    assert!(uuid::Uuid::parse_str(id).is_ok(), "{id}");
    let reply = client.get_status(named(pb::GetStatusRequest {}, "a b")).await.expect("answered");
    assert_ne!(reply.metadata().get("x-request-id").expect("an id"), "a b");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn measurements_are_read_on_this_machine_only() {
    let place = free();
    let program = Program::start(&["--metrics", &place.to_string()]);
    let channel = program.channel().await;
    calls_with_words(&channel).await;
    let ask = |asked: &'static str| tokio::task::spawn_blocking(move || page(place, asked));
    let text = ask("GET /metrics").await.expect("a page");
    assert!(text.starts_with("HTTP/1.1 200"), "{text}");
    // The text format of Prometheus: name{label="value"} number.
    let rpc = "rpc=\"sward.v1.DiagnosisService/Diagnose\"";
    for line in [
        &format!("sward_calls_total{{{rpc},code=\"OK\"}} 1"),
        &format!("sward_calls_total{{{rpc},code=\"INVALID_ARGUMENT\"}} 1"),
        &format!("sward_call_seconds_count{{{rpc}}} 2"),
        "sward_records 0",
        "sward_index_behind 0",
        "sward_connections 1",
        "# TYPE sward_uptime_seconds gauge",
    ] {
        assert!(text.lines().any(|found| found == line), "no line {line}:\n{text}");
    }
    assert!(!text.contains(MARKER), "{text}");
    let other = ask("GET /").await.expect("a page");
    assert!(other.starts_with("HTTP/1.1 404"), "{other}");
    program.stop();
    let data = tempfile::tempdir().expect("a directory");
    let refused = Command::new(env!("CARGO_BIN_EXE_swardd"))
        .args(["--listen", "127.0.0.1:0", "--metrics", "0.0.0.0:9", "--data"])
        .arg(data.path())
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(!refused.status.success() && said.contains("--metrics 0.0.0.0:9"), "{said}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_status_counts_what_was_turned_away() {
    let server = crate::running::start(|config| config.limits.calls = 1).await;
    let channel = server.channel().await;
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..50 {
        let mut client = GuideServiceClient::new(channel.clone());
        crowd.spawn(async move { client.list_causes(pb::ListCausesRequest::default()).await });
    }
    let mut limited = crowd.join_all().await.iter().filter(|outcome| outcome.is_err()).count();
    let mut client = GuideServiceClient::new(channel);
    // The place of the last call is given back a moment after its answer is read.
    let status = loop {
        match client.get_status(pb::GetStatusRequest {}).await {
            Ok(status) => break status.into_inner(),
            Err(refusal) => assert_eq!(refusal.code(), tonic::Code::ResourceExhausted),
        }
        limited += 1;
    };
    assert_eq!(status.limited_request_count, i64::try_from(limited).expect("few"));
    assert!(status.uptime_s > 0.0 && !status.version.is_empty());
    assert!(!status.knowledge_version.is_empty());
}

/// A collector of traces that keeps what it is sent.
async fn collector() -> (SocketAddr, Arc<Mutex<Vec<Bytes>>>) {
    let kept: Arc<Mutex<Vec<Bytes>>> = Arc::default();
    let keep = Arc::clone(&kept);
    let service = tower::service_fn(move |request: http::Request<tonic::body::Body>| {
        let keep = Arc::clone(&keep);
        async move {
            let take = tower::service_fn(move |message: Request<Bytes>| {
                keep.lock().expect("sound").push(message.into_inner());
                async { Ok::<_, Status>(tonic::Response::new(Bytes::new())) }
            });
            let reply = tonic::server::Grpc::new(RawCodec).unary(Taking(take), request).await;
            Ok::<_, std::convert::Infallible>(reply)
        }
    });
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("an address");
    let incoming = tonic::transport::server::TcpIncoming::from(listener);
    tokio::spawn(async move {
        let server = tonic::transport::Server::builder();
        server.serve_with_incoming(service, incoming).await.expect("served");
    });
    (address, kept)
}

/// A service of one call.
struct Taking<S>(S);

impl<S> tonic::server::UnaryService<Bytes> for Taking<S>
where
    S: tower::Service<Request<Bytes>, Response = tonic::Response<Bytes>, Error = Status>,
{
    type Response = Bytes;
    type Future = S::Future;

    fn call(&mut self, request: Request<Bytes>) -> S::Future {
        self.0.call(request)
    }
}

fn holds(message: &[u8], text: &str) -> bool {
    message.windows(text.len()).any(|window| window == text.as_bytes())
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn traces_go_to_the_collector_without_words() {
    let (address, kept) = collector().await;
    let program = Program::start(&["--traces", &format!("http://{address}")]);
    calls_with_words(&program.channel().await).await;
    // What is left is sent when it stops.
    let stopped = tokio::task::spawn_blocking(move || program.stop());
    tokio::time::timeout(Duration::from_secs(20), stopped).await.expect("it stops").expect("ends");
    let kept = kept.lock().expect("sound");
    let any = |text: &str| kept.iter().any(|message| holds(message, text));
    assert!(any("sward.v1.DiagnosisService/Diagnose"), "no span of the call in {}", kept.len());
    assert!(any("desk-42") && any("swardd"));
    assert!(!any(MARKER), "what somebody wrote is in a trace");
}

#[test]
fn examples_of_deployment_read_well() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/deploy");
    let unit = std::fs::read_to_string(folder.join("swardd.service")).expect("the unit");
    for hardening in ["NoNewPrivileges=true", "ProtectSystem=strict", "DynamicUser=true"] {
        assert!(unit.lines().any(|line| line == hardening), "{hardening}");
    }
    let verifier = Command::new("systemd-analyze").arg("--version").output();
    let present = verifier.is_ok_and(|output| output.status.success());
    if !present {
        println!("skipped: no systemd here to read the unit");
        return;
    }
    // The program it starts is not installed here; one that is stands for it.
    let place = tempfile::tempdir().expect("a directory");
    let copy = place.path().join("swardd.service");
    std::fs::write(&copy, unit.replace("/usr/local/bin/swardd", "/bin/true")).expect("written");
    let read = Command::new("systemd-analyze").arg("verify").arg(&copy).output().expect("it runs");
    let said = String::from_utf8_lossy(&read.stderr);
    assert!(!said.contains("swardd.service"), "{said}");
}
