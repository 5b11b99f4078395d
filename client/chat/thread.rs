//! The call behind a chat: messages are numbered, what arrived is noted, and after a lost
//! connection the conversation goes on where it was.

use std::time::Duration;

use sward_core::pb;
use sward_core::pb::assistant_service_client::AssistantServiceClient;
use sward_core::pb::converse_request::Payload;
use sward_core::pb::converse_response::Payload as Told;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Code, Status, Streaming};

use crate::call::{Failure, Line};

/// Messages that wait to be sent.
const WAITING_MAX: usize = 16;
/// Tries after a lost connection, each a little later than the one before.
const TRIES_MAX: u32 = 5;
const TRY_AFTER: Duration = Duration::from_millis(300);

pub struct Thread {
    start: pb::ConverseStart,
    messages: mpsc::Sender<pb::ConverseRequest>,
    responses: Streaming<pb::ConverseResponse>,
    number: u64,
    /// The message that is being answered.
    open: Option<pb::ConverseRequest>,
}

impl Thread {
    pub async fn begin(line: Line, start: pb::ConverseStart) -> Result<Thread, Failure> {
        let (messages, mut responses) = call(line, start.clone()).await?;
        let mut thread_start = start;
        let first = responses.message().await?;
        if let Some(Told::Started(started)) = first.and_then(|one| one.payload) {
            thread_start.conversation = started.conversation;
        }
        Ok(Thread { start: thread_start, messages, responses, number: 0, open: None })
    }

    /// Number of the message that was sent last.
    pub fn number(&self) -> u64 {
        self.number
    }

    pub async fn send(&mut self, payload: Payload) {
        self.number += 1;
        let message = pb::ConverseRequest { number: self.number, payload: Some(payload) };
        self.open = Some(message.clone());
        // A call that has ended says so when the next response is read.
        let _ = self.messages.send(message).await;
    }

    pub async fn cancel(&self) {
        let payload = Some(Payload::Cancel(pb::ConverseCancel {}));
        let _ = self.messages.send(pb::ConverseRequest { number: 0, payload }).await;
    }

    /// Tells what arrived.
    pub async fn received(&mut self) {
        self.open = None;
        let sequence = self.start.received_sequence;
        let payload = Some(Payload::Received(pb::ConverseReceived { sequence }));
        let _ = self.messages.send(pb::ConverseRequest { number: 0, payload }).await;
    }

    pub async fn next(&mut self) -> Result<pb::ConverseResponse, Status> {
        loop {
            let Some(response) = self.responses.message().await? else {
                return Err(Status::unavailable("the server ended the conversation"));
            };
            // Sent again after a lost connection, and here already.
            if response.sequence <= self.start.received_sequence {
                continue;
            }
            self.start.received_sequence = response.sequence;
            return Ok(response);
        }
    }

    /// Goes on after a lost connection. False: the conversation is not there any more.
    pub async fn again(&mut self, line: Line) -> Result<bool, Failure> {
        for attempt in 1..=TRIES_MAX {
            match call(line.clone(), self.start.clone()).await {
                Ok((messages, responses)) => {
                    (self.messages, self.responses) = (messages, responses);
                    // Taken once, whether or not it had arrived.
                    if let Some(open) = self.open.clone() {
                        let _ = self.messages.send(open).await;
                    }
                    return Ok(true);
                }
                Err(status) if status.code() == Code::NotFound => {
                    self.start.conversation.clear();
                    self.start.received_sequence = 0;
                    let begun = Thread::begin(line, self.start.clone()).await?;
                    *self = begun;
                    return Ok(false);
                }
                Err(status) if attempt == TRIES_MAX => return Err(status.into()),
                Err(_) => tokio::time::sleep(TRY_AFTER * attempt).await,
            }
        }
        Ok(false)
    }
}

async fn call(
    line: Line,
    start: pb::ConverseStart,
) -> Result<(mpsc::Sender<pb::ConverseRequest>, Streaming<pb::ConverseResponse>), Status> {
    let (messages, waiting) = mpsc::channel(WAITING_MAX);
    let first = pb::ConverseRequest { number: 0, payload: Some(Payload::Start(start)) };
    let _ = messages.send(first).await;
    let mut client = AssistantServiceClient::new(line);
    let responses = client.converse(ReceiverStream::new(waiting)).await?.into_inner();
    Ok((messages, responses))
}
