//! Whole conversations, as data: each file of `tests/conversations` is spoken to the service inside
//! this process, and what comes back must say what the file says it does. Lines of a file:
//!
//! ```text
//! # what it is about              > words of conversation a        b> words of conversation b
//! < text the turn must hold       <! text it must not hold         = kinds of what came, in order
//! confirm N, decline N            acknowledge PROCEDURE STEP       cancel
//! drop: the call breaks off       return: it is gone on with       records N: stored since it began
//! new: another conversation a     machine NAME: the shop has it from then on
//! ```
//! `{text*N}` in words stands for the text N times.

use std::collections::HashMap;
use std::path::PathBuf;

use sward_core::pb;
use sward_core::pb::assistant_service_client::AssistantServiceClient;
use sward_core::pb::converse_request::Payload;
use sward_core::pb::converse_response::Payload as Told;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::service::{Shop, channel_to};
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::Channel;
use tonic::{Code, Status, Streaming};

/// One side of a conversation, as a client keeps it.
struct Talker {
    messages: mpsc::Sender<pb::ConverseRequest>,
    responses: Streaming<pb::ConverseResponse>,
    conversation: String,
    number: u64,
    arrived: u64,
    turn: Vec<pb::ConverseResponse>,
}

async fn call(
    channel: &Channel,
    start: pb::ConverseStart,
) -> Result<(mpsc::Sender<pb::ConverseRequest>, Streaming<pb::ConverseResponse>), Status> {
    let (messages, waiting) = mpsc::channel(16);
    let first = pb::ConverseRequest { number: 0, payload: Some(Payload::Start(start)) };
    messages.send(first).await.expect("room for one");
    let mut client = AssistantServiceClient::new(channel.clone());
    let responses = client.converse(ReceiverStream::new(waiting)).await?.into_inner();
    Ok((messages, responses))
}

impl Talker {
    async fn begin(channel: &Channel) -> Talker {
        let (messages, mut responses) =
            call(channel, pb::ConverseStart::default()).await.expect("a conversation");
        let first = responses.message().await.expect("open").expect("a greeting");
        let Some(Told::Started(started)) = first.payload else { panic!("{first:?}") };
        let conversation = started.conversation;
        Talker { messages, responses, conversation, number: 0, arrived: 1, turn: Vec::new() }
    }

    async fn send(&mut self, payload: Payload) {
        self.number += 1;
        let message = pb::ConverseRequest { number: self.number, payload: Some(payload) };
        self.messages.send(message).await.expect("the call is open");
    }

    /// Takes what comes until the turn ends.
    async fn listen(&mut self) {
        self.turn.clear();
        loop {
            let response = self.responses.message().await.expect("open").expect("an end");
            assert_eq!(response.sequence, self.arrived + 1, "without gaps: {response:?}");
            self.arrived = response.sequence;
            let ended = matches!(response.payload, Some(Told::TurnEnd(_)));
            self.turn.push(response);
            if ended && self.turn.last().is_some_and(|end| end.request_number == self.number) {
                return;
            }
        }
    }

    async fn say(&mut self, payload: Payload) {
        self.send(payload).await;
        self.listen().await;
    }

    /// The call breaks off and is gone on with; what had arrived does not come again.
    async fn go_on(&mut self, channel: &Channel) {
        let start = pb::ConverseStart {
            conversation: self.conversation.clone(),
            received_sequence: self.arrived,
            ..pb::ConverseStart::default()
        };
        let (messages, responses) = call(channel, start).await.expect("it is kept");
        (self.messages, self.responses) = (messages, responses);
        loop {
            let response = self.responses.message().await.expect("open").expect("a greeting");
            assert!(response.sequence > self.arrived, "{response:?} came before");
            self.arrived = response.sequence;
            if let Some(Told::Started(started)) = &response.payload {
                assert!(started.resumed);
                assert_eq!(started.last_request_number, self.number);
                return;
            }
        }
    }

    fn text(&self) -> String {
        let lines = self.turn.iter().flat_map(|response| &response.lines);
        lines.cloned().collect::<Vec<_>>().join("\n")
    }

    fn kinds(&self) -> String {
        let kind = |response: &pb::ConverseResponse| match &response.payload {
            Some(Told::Started(_)) => "started",
            Some(Told::Understood(_)) => "understood",
            Some(Told::Answer(_)) => "answer",
            Some(Told::Proposal(_)) => "proposal",
            Some(Told::Step(_)) => "step",
            Some(Told::Reading(_)) => "reading",
            Some(Told::Saved(_)) => "saved",
            Some(Told::Question(_)) => "question",
            Some(Told::Refusal(_)) => "refusal",
            Some(Told::Remark(_)) => "remark",
            Some(Told::TurnEnd(_)) | None => "",
        };
        let kinds = self.turn.iter().map(kind).filter(|kind| !kind.is_empty());
        kinds.collect::<Vec<_>>().join(" ")
    }
}

async fn records(channel: &Channel) -> usize {
    let mut client = RecordsServiceClient::new(channel.clone());
    let request = pb::ListRecordsRequest { page_size: 1_000, ..Default::default() };
    client.list_records(request).await.expect("a list").into_inner().records.len()
}

/// "{x*3}" is "xxx".
fn spelt_out(words: &str) -> String {
    let Some((before, rest)) = words.split_once('{') else { return words.to_owned() };
    let (inside, behind) = rest.split_once('}').expect("a bracket that closes");
    let (text, count) = inside.rsplit_once('*').expect("a count");
    format!("{before}{}{behind}", text.repeat(count.parse().expect("a number")))
}

struct Play<'a> {
    channel: &'a Channel,
    file: String,
    talkers: HashMap<char, Talker>,
    speaking: char,
    before: usize,
}

impl Play<'_> {
    async fn talker(&mut self, who: char) -> &mut Talker {
        self.speaking = who;
        if !self.talkers.contains_key(&who) {
            let talker = Talker::begin(self.channel).await;
            self.talkers.insert(who, talker);
        }
        self.talkers.get_mut(&who).expect("just begun")
    }

    async fn line(&mut self, number: usize, line: &str) {
        let place = format!("{}:{number}", self.file);
        let speaking = self.speaking;
        if let Some(words) = line.strip_prefix("> ").or_else(|| line.strip_prefix("a> ")) {
            return self.talker('a').await.say(Payload::Text(spelt_out(words))).await;
        }
        if let Some(words) = line.strip_prefix("b> ") {
            return self.talker('b').await.say(Payload::Text(spelt_out(words))).await;
        }
        let (verb, rest) = line.split_once(' ').unwrap_or((line, ""));
        match verb {
            "<" => {
                let text = self.talker(speaking).await.text();
                assert!(text.contains(rest), "{place}: \"{rest}\" is not in:\n{text}");
            }
            "<!" => {
                let text = self.talker(speaking).await.text();
                assert!(!text.contains(rest), "{place}: \"{rest}\" is in:\n{text}");
            }
            "=" => {
                let talker = self.talker(speaking).await;
                assert_eq!(talker.kinds(), rest, "{place}: {}", talker.text());
            }
            "confirm" => {
                let proposal = rest.parse().expect("a number");
                let payload = Payload::Confirm(pb::ConverseConfirm { proposal });
                self.talker(speaking).await.say(payload).await;
            }
            "decline" => {
                let proposal = rest.parse().expect("a number");
                let payload = Payload::Decline(pb::ConverseDecline { proposal });
                self.talker(speaking).await.say(payload).await;
            }
            "acknowledge" => {
                let (procedure, step) = rest.split_once(' ').expect("a procedure and a step");
                let payload = Payload::Acknowledge(pb::ConverseAcknowledge {
                    procedure: procedure.to_owned(),
                    step: step.parse().expect("a number"),
                });
                self.talker(speaking).await.say(payload).await;
            }
            "machine" => {
                let mut client = RecordsServiceClient::new(self.channel.clone());
                add_machine(&mut client, rest).await;
            }
            "cancel" => {
                let payload = Payload::Cancel(pb::ConverseCancel {});
                self.talker(speaking).await.say(payload).await;
            }
            "drop" => {
                let talker = self.talker(speaking).await;
                talker.messages = mpsc::channel(1).0;
            }
            "return" => {
                let channel = self.channel.clone();
                self.talker(speaking).await.go_on(&channel).await;
            }
            "new" => {
                self.talkers.remove(&'a');
            }
            "records" => {
                let wanted: usize = rest.parse().expect("a number");
                let stored = records(self.channel).await - self.before;
                assert_eq!(stored, wanted, "{place}: records stored");
            }
            _ => panic!("{place}: \"{line}\" is no line of a conversation"),
        }
    }
}

async fn add_machine(client: &mut RecordsServiceClient<Channel>, name: &str) {
    let machine = pb::Machine {
        display_name: name.to_owned(),
        equipment: pb::Equipment::ReelUnit.into(),
        ..pb::Machine::default()
    };
    let machine = pb::CreateMachineRequest { machine: Some(machine), ..Default::default() };
    client.create_machine(machine).await.expect("added");
}

async fn shop() -> (tempfile::TempDir, Channel) {
    let place = tempfile::tempdir().expect("a directory");
    let shop = Shop::open(&place.path().join("data"), None).expect("it opens");
    let channel = channel_to(shop).await.expect("it answers");
    let mut client = RecordsServiceClient::new(channel.clone());
    add_machine(&mut client, "Greens triplex").await;
    for unit in ["1", "2", "3", "4"] {
        let unit = pb::CuttingUnit {
            display_name: unit.to_owned(),
            equipment: pb::Equipment::ReelUnit.into(),
            blade_count: Some(11),
            height_change_per_turn_mm: (unit == "2").then_some(0.8),
            ..pb::CuttingUnit::default()
        };
        let request = pb::CreateCuttingUnitRequest {
            parent: "sites/home/machines/greens-triplex".to_owned(),
            cutting_unit: Some(unit),
            ..Default::default()
        };
        client.create_cutting_unit(request).await.expect("added");
    }
    (place, channel)
}

fn files() -> Vec<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/conversations");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder")
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "txt"))
        .collect();
    files.sort();
    files
}

/// Only files whose name holds `SWARD_CONVERSATION`, to look at one of them alone.
fn wanted(path: &std::path::Path) -> bool {
    let name = path.file_stem().map(|name| name.to_string_lossy().into_owned());
    let only = std::env::var("SWARD_CONVERSATION").unwrap_or_default();
    name.is_some_and(|name| name.contains(&only))
}

#[tokio::test]
async fn every_conversation_goes_as_its_file_says() {
    let all = files();
    assert!(all.len() >= 40, "{} conversations", all.len());
    for path in all.iter().filter(|path| wanted(path)) {
        // A shop of its own: what one conversation records is no news to the next.
        let (_place, channel) = shop().await;
        let text = std::fs::read_to_string(path).expect("a conversation");
        let mut play = Play {
            channel: &channel,
            file: path.file_name().expect("a name").to_string_lossy().into_owned(),
            talkers: HashMap::new(),
            speaking: 'a',
            before: records(&channel).await,
        };
        for (number, line) in (1..).zip(text.lines()) {
            let line = line.trim_end();
            if !line.is_empty() && !line.starts_with('#') {
                play.line(number, line).await;
            }
        }
    }
}

#[tokio::test]
async fn what_did_not_arrive_is_sent_again_and_a_repeated_message_is_taken_once() {
    let (_place, channel) = shop().await;
    let mut talker = Talker::begin(&channel).await;
    talker.say(Payload::Text("show set_height_of_cut".to_owned())).await;
    let arrived = talker.arrived;
    // The answer to this one is lost: nobody listens, then the call breaks off.
    talker.send(Payload::Text("ok".to_owned())).await;
    let lost = talker.responses.message().await.expect("open").expect("an answer");
    assert!(lost.sequence > arrived);
    talker.messages = mpsc::channel(1).0;
    let start = pb::ConverseStart {
        conversation: talker.conversation.clone(),
        received_sequence: arrived,
        ..pb::ConverseStart::default()
    };
    let (messages, mut responses) = call(&channel, start).await.expect("it is kept");
    // The person did not hear of it and says it again under the same number.
    let again = pb::ConverseRequest {
        number: talker.number,
        payload: Some(Payload::Text("ok".to_owned())),
    };
    messages.send(again).await.expect("open");
    let mut steps = 0;
    let mut next = arrived + 1;
    loop {
        let response = responses.message().await.expect("open").expect("an answer");
        assert_eq!(response.sequence, next, "{response:?}");
        next += 1;
        match response.payload {
            Some(Told::Step(step)) => {
                assert!(!step.acknowledgement_needed && step.step == 1, "{step:?}");
                steps += 1;
            }
            Some(Told::Started(started)) => {
                assert_eq!(started.last_request_number, talker.number);
                break;
            }
            _ => {}
        }
    }
    assert_eq!(steps, 1, "sent again, not done again");
}

#[tokio::test]
async fn another_call_takes_the_conversation_over() {
    let (_place, channel) = shop().await;
    let mut first = Talker::begin(&channel).await;
    first.say(Payload::Text("show set_clip".to_owned())).await;
    let start = pb::ConverseStart {
        conversation: first.conversation.clone(),
        received_sequence: first.arrived,
        ..pb::ConverseStart::default()
    };
    let (_messages, mut second) = call(&channel, start).await.expect("it is there");
    let greeting = second.message().await.expect("open").expect("a greeting");
    assert!(matches!(greeting.payload, Some(Told::Started(_))));
    let ended = first.responses.message().await.expect_err("it was taken over");
    assert_eq!(ended.code(), Code::Aborted);
}

#[tokio::test]
async fn a_call_that_cannot_begin_says_why() {
    let (_place, channel) = shop().await;
    let start = |conversation: &str, subject: &str, equipment: i32| pb::ConverseStart {
        conversation: conversation.to_owned(),
        subject: subject.to_owned(),
        equipment,
        ..pb::ConverseStart::default()
    };
    let rows = [
        (start("7c9e6679-7425-40de-944b-e07fc1f90ae7", "", 0), Code::NotFound, "an hour"),
        (start("mine", "", 0), Code::InvalidArgument, "conversation is \"mine\""),
        (start("", "unit 3", 0), Code::InvalidArgument, "unit 3"),
        (start("", "sites/home/machines/none", 0), Code::NotFound, "sward add"),
        (start("", "", 99), Code::InvalidArgument, "equipment is 99"),
    ];
    for (start, code, words) in rows {
        let error = call(&channel, start.clone()).await.expect_err("refused");
        assert_eq!(error.code(), code, "{start:?}: {error}");
        assert!(error.message().contains(words), "{start:?}: {error}");
    }
    let mut client = AssistantServiceClient::new(channel.clone());
    let text = pb::ConverseRequest { number: 1, payload: Some(Payload::Text("hello".into())) };
    let error = client.converse(tokio_stream::once(text)).await.expect_err("no start");
    assert_eq!(error.code(), Code::InvalidArgument, "{error}");
    assert!(error.message().contains("ConverseStart first"), "{error}");
}
