//! `Converse`: one call of a conversation, from its start to its end. Messages are taken in turn; a
//! cancel is heard while an answer is worked out. A call that breaks off leaves the conversation
//! where it was, to be gone on with.
//! Order of reading: here -> hub (which conversations there are) -> talk (what is kept of one) ->
//! turn (one message taken), job, keeping, anew (its parts) -> meaning, execute, fleet, explain,
//! fields, measured, say (words to commands, commands to answers, answers to lines).

mod anew;
mod complained;
mod cured;
mod due_told;
mod execute;
mod explain;
mod fields;
mod fleet;
mod hub;
mod job;
mod keeping;
mod known_heights;
mod meaning;
mod measured;
mod say;
mod talk;
mod turn;
mod units;

use std::pin::Pin;
use std::sync::Arc;

use tokio::sync::{mpsc, watch};
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Request, Response, Status, Streaming};

use crate::config;
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;
use crate::service::gate::watched;
use crate::service::speech::{inches, southern};
use crate::service::status::invalid;
pub use hub::Hub;
use hub::Seat;
use turn::Turn;

pub type Responses = Pin<Box<dyn Stream<Item = Result<pb::ConverseResponse, Status>> + Send>>;

/// Messages that wait on either side before the other has to wait.
const WAITING_MAX: usize = 32;

/// How the caller wants to be spoken to.
#[derive(Clone)]
pub struct Manner {
    pub wording: Wording,
    pub american: bool,
    /// Seasons are those of the southern half of the earth.
    pub southern: bool,
    /// Lengths are read in inches.
    pub inches: bool,
}

/// Begins a call: its first message says which conversation.
pub async fn open(
    shop: &Arc<Shop>,
    request: Request<Streaming<pb::ConverseRequest>>,
) -> Result<Response<Responses>, Status> {
    let wording = shop.wording(&request);
    let (southern, inches) = (southern(&request), inches(&request));
    let manner = Manner { american: wording != Wording::british(), wording, southern, inches };
    let mut inbound = request.into_inner();
    let first = inbound.message().await?;
    let Some(pb::converse_request::Payload::Start(start)) = first.and_then(|one| one.payload)
    else {
        return Err(invalid("start", "empty", "send a ConverseStart first"));
    };
    let seat = hub::enter(shop, start).await?;
    let (out, responses) = mpsc::channel(WAITING_MAX);
    tokio::spawn(call(Arc::clone(shop), manner, seat, inbound, out));
    Ok(Response::new(Box::pin(watched(ReceiverStream::new(responses)))))
}

type Out = mpsc::Sender<Result<pb::ConverseResponse, Status>>;

/// The call until one side ends it.
async fn call(
    shop: Arc<Shop>,
    manner: Manner,
    mut seat: Seat,
    inbound: Streaming<pb::ConverseRequest>,
    out: Out,
) {
    let (cancels, cancelled) = watch::channel(0);
    let (taken_in, mut messages) = mpsc::channel(WAITING_MAX);
    let reader = tokio::spawn(read(inbound, cancels, taken_in));
    seat.greet(&out).await;
    loop {
        let message = tokio::select! {
            () = seat.taken_over() => {
                let text = "another call goes on with this conversation";
                let _ = out.send(Err(Status::aborted(text))).await;
                break;
            }
            () = out.closed() => break,
            message = messages.recv() => message,
        };
        let Some(message) = message else { break };
        let message = match message {
            Ok(message) => message,
            Err(status) => {
                let _ = out.send(Err(status)).await;
                break;
            }
        };
        let mut talk = seat.talk().await;
        if seat.is_taken_over() {
            continue;
        }
        let turn = Turn::new(&shop, &manner, &mut talk, &out, cancelled.clone());
        if let Err(status) = turn.take(message).await {
            let _ = out.send(Err(status)).await;
            break;
        }
    }
    reader.abort();
    seat.leave();
}

/// Reads what comes in, so that a cancel is noticed while an answer is worked out.
async fn read(
    mut inbound: Streaming<pb::ConverseRequest>,
    cancels: watch::Sender<u64>,
    taken_in: mpsc::Sender<Result<pb::ConverseRequest, Status>>,
) {
    loop {
        let message = match inbound.message().await {
            Ok(Some(message)) => message,
            // The person has left; what was asked is finished and kept.
            Ok(None) | Err(_) => return,
        };
        if let Some(pb::converse_request::Payload::Cancel(_)) = message.payload {
            cancels.send_modify(|count| *count += 1);
        }
        if taken_in.send(Ok(message)).await.is_err() {
            return;
        }
    }
}

/// Gives a response to the person, unless they have stopped listening; it is kept either way.
async fn give(out: &Out, response: pb::ConverseResponse) {
    // One that reads nothing for so long is gone; it gets the rest when it comes back.
    let _ = tokio::time::timeout(config::GIVE_TIME_MAX, out.send(Ok(response))).await;
}
