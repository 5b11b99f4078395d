//! A client that keeps no rules: HTTP/2 frames written by hand (RFC 9113; header fields as in RFC
//! 7541, without compression).

use std::io;
use std::net::SocketAddr;
use std::time::Duration;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

pub const DATA: u8 = 0;
pub const HEADERS: u8 = 1;
pub const RESET: u8 = 3;
pub const SETTINGS: u8 = 4;
pub const GOAWAY: u8 = 7;
/// Flags: end of the stream, end of its header, acknowledgement.
pub const END_STREAM: u8 = 1;
pub const END_HEADERS: u8 = 4;
/// Setting 4: bytes of a stream that may be sent ahead.
pub const INITIAL_WINDOW: u16 = 4;
pub const CANCEL: u32 = 8;

/// One frame.
pub fn frame(kind: u8, flags: u8, stream: u32, payload: &[u8]) -> Vec<u8> {
    let length = u32::try_from(payload.len()).expect("short").to_be_bytes();
    let mut bytes = length[1..].to_vec();
    bytes.extend([kind, flags]);
    bytes.extend(stream.to_be_bytes());
    bytes.extend(payload);
    bytes
}

/// The preface, and settings.
pub fn greeting(settings: &[(u16, u32)]) -> Vec<u8> {
    let mut payload = Vec::new();
    for (name, value) in settings {
        payload.extend(name.to_be_bytes());
        payload.extend(value.to_be_bytes());
    }
    [b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_vec(), frame(SETTINGS, 0, 0, &payload)].concat()
}

fn text(bytes: &mut Vec<u8>, text: &str) {
    // Lengths below 127 fit the seven bits of one byte.
    bytes.push(u8::try_from(text.len()).expect("short"));
    bytes.extend(text.as_bytes());
}

/// The header of a call.
pub fn call(stream: u32, path: &str, flags: u8) -> Vec<u8> {
    // Indexed fields of the static table: ":method: POST" is 3, ":scheme: http" is 6.
    let mut fields = vec![0x83, 0x86];
    // Literals without indexing: ":path" has the name of entry 4, ":authority" that of 1.
    fields.push(0x04);
    text(&mut fields, path);
    fields.push(0x01);
    text(&mut fields, "localhost");
    for (name, value) in [("content-type", "application/grpc"), ("te", "trailers")] {
        fields.push(0x00);
        text(&mut fields, name);
        text(&mut fields, value);
    }
    frame(HEADERS, flags | END_HEADERS, stream, &fields)
}

/// An empty message, and the end of the request.
pub fn empty_message(stream: u32) -> Vec<u8> {
    frame(DATA, END_STREAM, stream, &[0; 5])
}

pub struct Rude {
    stream: TcpStream,
}

impl Rude {
    pub async fn connect(address: SocketAddr) -> Rude {
        Rude { stream: TcpStream::connect(address).await.expect("a connection") }
    }

    /// A server that has had enough may stop listening in the middle.
    pub async fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.stream.write_all(bytes).await
    }

    /// The next frame; nothing when the connection has ended.
    pub async fn frame(&mut self) -> Option<(u8, u8, Vec<u8>)> {
        let mut head = [0; 9];
        self.stream.read_exact(&mut head).await.ok()?;
        let [a, b, c, kind, flags, ..] = head;
        let mut payload = vec![0; u32::from_be_bytes([0, a, b, c]) as usize];
        self.stream.read_exact(&mut payload).await.ok()?;
        Some((kind, flags, payload))
    }

    /// The kinds of all frames until the server ends the connection, or nothing when it does not.
    pub async fn until_closed(&mut self, within: Duration) -> Option<Vec<u8>> {
        let read = async {
            let mut kinds = Vec::new();
            while let Some((kind, _, _)) = self.frame().await {
                kinds.push(kind);
            }
            kinds
        };
        tokio::time::timeout(within, read).await.ok()
    }
}
