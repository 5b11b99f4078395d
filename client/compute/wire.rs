//! One call of any rpc of the contract by its descriptor, so that no list of methods is kept here.

use prost::Message as _;
use prost_reflect::{DynamicMessage, MessageDescriptor, MethodDescriptor};
use tonic::client::Grpc;
use tonic::codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder};
use tonic::codegen::http::uri::PathAndQuery;
use tonic::{Request, Status};

use crate::call::Line;

pub async fn call(
    line: Line,
    method: &MethodDescriptor,
    request: DynamicMessage,
) -> Result<DynamicMessage, Status> {
    let path = format!("/{}/{}", method.parent_service().full_name(), method.name());
    let path = PathAndQuery::try_from(path).map_err(|error| Status::internal(error.to_string()))?;
    let mut grpc = Grpc::new(line);
    grpc.ready().await.map_err(|error| Status::unavailable(error.to_string()))?;
    let codec = Described { reply: method.output() };
    Ok(grpc.unary(Request::new(request), path, codec).await?.into_inner())
}

/// Messages known by their descriptor alone.
struct Described {
    reply: MessageDescriptor,
}

impl Codec for Described {
    type Encode = DynamicMessage;
    type Decode = DynamicMessage;
    type Encoder = Writer;
    type Decoder = Described;

    fn encoder(&mut self) -> Writer {
        Writer
    }

    fn decoder(&mut self) -> Described {
        Described { reply: self.reply.clone() }
    }
}

struct Writer;

impl Encoder for Writer {
    type Item = DynamicMessage;
    type Error = Status;

    fn encode(&mut self, item: DynamicMessage, out: &mut EncodeBuf<'_>) -> Result<(), Status> {
        item.encode(out).map_err(|error| Status::internal(error.to_string()))
    }
}

impl Decoder for Described {
    type Item = DynamicMessage;
    type Error = Status;

    fn decode(&mut self, from: &mut DecodeBuf<'_>) -> Result<Option<DynamicMessage>, Status> {
        let decoded = DynamicMessage::decode(self.reply.clone(), from);
        decoded.map(Some).map_err(|error| Status::internal(error.to_string()))
    }
}
