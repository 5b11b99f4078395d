//! The bare things ours is held against: a server that answers with as many bytes as it is asked
//! for, a search index and a database with nothing around them.

use std::convert::Infallible;
use std::future::{Ready, ready};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::task::{Context, Poll};

use prost::bytes::Bytes;
use tantivy::collector::TopDocs;
use tantivy::query::QueryParser;
use tantivy::schema::{STORED, Schema, TEXT, Value as _};
use tantivy::{Index, TantivyDocument, doc};
use tonic::body::Body;
use tonic::codegen::http::uri::PathAndQuery;
use tonic::codegen::{BoxFuture, Service, http};
use tonic::server::{Grpc, NamedService, UnaryService};
use tonic::transport::Server;
use tonic::transport::server::TcpIncoming;
use tonic::{Request, Response, Status};

use super::pace::Pace;
use crate::Failure;
use crate::raw_call::RawCodec;

const ZEROS: &[u8] = &[0; 1 << 20];

pub fn path() -> PathAndQuery {
    PathAndQuery::from_static("/bench.Bare/Call")
}

/// A request of so many bytes for a reply of so many bytes.
pub fn request(bytes: usize, reply_bytes: usize) -> Bytes {
    let mut body = (reply_bytes as u32).to_le_bytes().to_vec();
    body.resize(bytes.max(4), 0);
    body.into()
}

#[derive(Clone)]
struct Bare;

impl NamedService for Bare {
    const NAME: &'static str = "bench.Bare";
}

impl Service<http::Request<Body>> for Bare {
    type Response = http::Response<Body>;
    type Error = Infallible;
    type Future = BoxFuture<http::Response<Body>, Infallible>;

    fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        Poll::Ready(Ok(()))
    }

    fn call(&mut self, request: http::Request<Body>) -> Self::Future {
        Box::pin(async move { Ok(Grpc::new(RawCodec).unary(Bare, request).await) })
    }
}

impl UnaryService<Bytes> for Bare {
    type Response = Bytes;
    type Future = Ready<Result<Response<Bytes>, Status>>;

    fn call(&mut self, request: Request<Bytes>) -> Self::Future {
        let body = request.into_inner();
        let asked = body.first_chunk().map_or(0, |bytes| u32::from_le_bytes(*bytes) as usize);
        ready(Ok(Response::new(Bytes::from_static(&ZEROS[..asked.min(ZEROS.len())]))))
    }
}

/// Serves until whoever started it closes its input.
pub fn serve() -> Result<(), Failure> {
    // As many threads as ours has.
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
        println!("{}", listener.local_addr()?);
        std::io::stdout().flush()?;
        let incoming = TcpIncoming::from(listener).with_nodelay(Some(true));
        let (stop, stopped) = tokio::sync::oneshot::channel();
        std::thread::spawn(move || {
            let _ = std::io::stdin().lines().count();
            let _ = stop.send(());
        });
        let server = Server::builder().tcp_nodelay(true).add_service(Bare);
        server.serve_with_incoming_shutdown(incoming, async { drop(stopped.await) }).await?;
        Ok(())
    })
}

/// The bare server in a process of its own, as ours is.
pub struct Process {
    process: Child,
    pub address: String,
}

impl Process {
    pub fn start() -> Result<Process, Failure> {
        let mut process = Command::new(std::env::current_exe()?)
            .args(["rpc", "--bare-server"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()?;
        let mut address = String::new();
        let output = process.stdout.take().ok_or("no output")?;
        BufReader::new(output).read_line(&mut address)?;
        Ok(Process { process, address: address.trim().to_owned() })
    }

    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Ten hits of each query in an index of these notes, with the text of each.
pub fn tantivy(notes: &[String], queries: &[&str], times: usize) -> Result<Pace, Failure> {
    let mut schema = Schema::builder();
    let text = schema.add_text_field("text", TEXT | STORED);
    let index = Index::create_in_ram(schema.build());
    let mut writer = index.writer_with_num_threads(1, 20_000_000)?;
    for note in notes {
        writer.add_document(doc!(text => note.as_str()))?;
    }
    writer.commit()?;
    let searcher = index.reader()?.searcher();
    let parser = QueryParser::for_index(&index, vec![text]);
    Pace::measure(times, |at| {
        let query = parser.parse_query(queries[at % queries.len()])?;
        let hits = searcher.search(&query, &TopDocs::with_limit(10).order_by_score())?;
        for (_, address) in hits {
            let found: TantivyDocument = searcher.doc(address)?;
            std::hint::black_box(found.get_first(text).and_then(|value| value.as_str()).map(str::len));
        }
        Ok(())
    })
}

/// Each body as a row, safe on the disk before the next.
pub fn sqlite(place: &Path, bodies: &[Bytes]) -> Result<Pace, Failure> {
    let database = rusqlite::Connection::open(place.join("bare.sqlite3"))?;
    database.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
         CREATE TABLE row (number INTEGER PRIMARY KEY, body BLOB);",
    )?;
    let mut insert = database.prepare("INSERT INTO row (body) VALUES (?1)")?;
    Pace::measure(bodies.len(), |at| {
        insert.execute([&bodies[at % bodies.len()][..]])?;
        Ok(())
    })
}
