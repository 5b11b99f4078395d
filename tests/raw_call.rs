//! How does one call any rpc of the contract with nothing but bytes? For those who send what no
//! generated client can: requests made by chance, answers held against others byte by byte.
// Shared by programs that need different parts of it.
#![allow(dead_code)]

use prost::bytes::{Buf, BufMut, Bytes};
use prost_reflect::MethodDescriptor;
use tonic::codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder};
use tonic::codegen::http::uri::PathAndQuery;
use tonic::transport::Channel;
use tonic::{Request, Status};

/// Messages as they are.
#[derive(Clone, Copy, Default)]
pub struct RawCodec;

impl Codec for RawCodec {
    type Encode = Bytes;
    type Decode = Bytes;
    type Encoder = RawCodec;
    type Decoder = RawCodec;

    fn encoder(&mut self) -> RawCodec {
        RawCodec
    }

    fn decoder(&mut self) -> RawCodec {
        RawCodec
    }
}

impl Encoder for RawCodec {
    type Item = Bytes;
    type Error = Status;

    fn encode(&mut self, item: Bytes, buffer: &mut EncodeBuf<'_>) -> Result<(), Status> {
        buffer.put(item);
        Ok(())
    }
}

impl Decoder for RawCodec {
    type Item = Bytes;
    type Error = Status;

    fn decode(&mut self, buffer: &mut DecodeBuf<'_>) -> Result<Option<Bytes>, Status> {
        let length = buffer.remaining();
        Ok(Some(buffer.copy_to_bytes(length)))
    }
}

/// `/sward.v1.SettingsService/ClipSpacing` and its like.
pub fn path(service: &str, method: &str) -> PathAndQuery {
    let text = format!("/sward.v1.{service}/{method}");
    PathAndQuery::try_from(text).expect("names of a contract make a path")
}

/// One message there, one back.
pub async fn unary(channel: &Channel, path: PathAndQuery, body: Bytes) -> Result<Bytes, Status> {
    let mut line = tonic::client::Grpc::new(channel.clone());
    line.ready().await.map_err(gone)?;
    Ok(line.unary(Request::new(body), path, RawCodec).await?.into_inner())
}

/// As many messages there as wanted, and as many back as come, up to a bound.
pub async fn streamed(
    channel: &Channel,
    path: PathAndQuery,
    bodies: Vec<Bytes>,
    replies_max: usize,
) -> Result<Vec<Bytes>, Status> {
    let mut line = tonic::client::Grpc::new(channel.clone());
    line.ready().await.map_err(gone)?;
    let request = Request::new(tokio_stream::iter(bodies));
    let mut replies = line.streaming(request, path, RawCodec).await?.into_inner();
    let mut out = Vec::new();
    while out.len() < replies_max
        && let Some(reply) = replies.message().await?
    {
        out.push(reply);
    }
    Ok(out)
}

fn gone(error: tonic::transport::Error) -> Status {
    Status::unavailable(error.to_string())
}

/// Every rpc of the contract, in the order of its files.
pub fn methods() -> Vec<MethodDescriptor> {
    let services = sward_core::contract().services();
    services.flat_map(|service| service.methods().collect::<Vec<_>>()).collect()
}
