//! One connection's bytes: plain, encrypted or local. It ends when it is told to, and when it says
//! nothing after it came in.

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpStream, UnixStream};
use tokio::time::Sleep;
use tokio_rustls::server::TlsStream;
use tonic::transport::server::Connected;

use super::{Connection, Place};

/// What every HTTP/2 client sends first: the preface and the head of its settings (RFC 9113, 3.4).
const GREETING_BYTES: usize = 24 + 9;

trait Stream: AsyncRead + AsyncWrite + Unpin + Send {}

impl<T: AsyncRead + AsyncWrite + Unpin + Send> Stream for T {}

pub struct Wire {
    stream: Box<dyn Stream>,
    connection: Arc<Connection>,
    closing: Pin<Box<dyn Future<Output = ()> + Send>>,
    /// Until the greeting is complete: the time for it, and its bytes so far.
    greeting: Option<(Pin<Box<Sleep>>, usize)>,
    _place: Place,
}

impl Wire {
    pub fn plain(
        stream: TcpStream,
        connection: Arc<Connection>,
        place: Place,
        greeting: Duration,
    ) -> Wire {
        Wire::new(Box::new(stream), connection, place, greeting)
    }

    pub fn encrypted(
        stream: TlsStream<TcpStream>,
        connection: Arc<Connection>,
        place: Place,
        greeting: Duration,
    ) -> Wire {
        Wire::new(Box::new(stream), connection, place, greeting)
    }

    pub fn local(
        stream: UnixStream,
        connection: Arc<Connection>,
        place: Place,
        greeting: Duration,
    ) -> Wire {
        Wire::new(Box::new(stream), connection, place, greeting)
    }

    fn new(
        stream: Box<dyn Stream>,
        connection: Arc<Connection>,
        place: Place,
        greeting: Duration,
    ) -> Wire {
        let told = Arc::clone(&connection);
        Wire {
            stream,
            connection,
            closing: Box::pin(async move { told.closing.notified().await }),
            greeting: Some((Box::pin(tokio::time::sleep(greeting)), 0)),
            _place: place,
        }
    }

    /// Why it must end now, if it must.
    fn end(&mut self, context: &mut Context<'_>) -> Option<io::Error> {
        if self.closing.as_mut().poll(context).is_ready() {
            // It stays told, however often it is asked.
            self.closing = Box::pin(std::future::poll_fn(|_| Poll::Ready(())));
            return Some(io::Error::new(io::ErrorKind::ConnectionAborted, "closed by the server"));
        }
        let (time, _) = self.greeting.as_mut()?;
        let over = time.as_mut().poll(context).is_ready();
        over.then(|| io::Error::new(io::ErrorKind::TimedOut, "the client says nothing"))
    }
}

impl Connected for Wire {
    type ConnectInfo = Arc<Connection>;

    fn connect_info(&self) -> Arc<Connection> {
        Arc::clone(&self.connection)
    }
}

impl AsyncRead for Wire {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if let Some(error) = self.end(context) {
            return Poll::Ready(Err(error));
        }
        let before = buffer.filled().len();
        let read = Pin::new(&mut self.stream).poll_read(context, buffer);
        if let Some((_, bytes)) = &mut self.greeting {
            *bytes += buffer.filled().len() - before;
            if *bytes >= GREETING_BYTES {
                self.greeting = None;
            }
        }
        read
    }
}

impl AsyncWrite for Wire {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        if let Some(error) = self.end(context) {
            return Poll::Ready(Err(error));
        }
        Pin::new(&mut self.stream).poll_write(context, bytes)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        pieces: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        if let Some(error) = self.end(context) {
            return Poll::Ready(Err(error));
        }
        Pin::new(&mut self.stream).poll_write_vectored(context, pieces)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
