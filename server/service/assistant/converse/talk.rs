//! What is kept of one conversation: its turns, what was sent and not yet known to have arrived,
//! and which numbers were taken. All of it is bounded.

use std::collections::VecDeque;

use prost::Message;

use crate::domain::catalogue::Equipment;
use crate::domain::conversation::Conversation;
use crate::domain::records::RequestId;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_response::Payload;

/// Responses kept until they are known to have arrived: so many, and so many bytes of them.
const KEPT_MAX: usize = 400;
const KEPT_BYTES_MAX: usize = 2 << 20;
/// Walks whose drafts are remembered; an older one has to be taken up again to be gone on with.
const TAKEN_UP_MAX: usize = 32;

pub struct Talk {
    id: String,
    pub conversation: Conversation<Command>,
    pub parent: String,
    pub time_zone: String,
    /// Drafts as listed last.
    pub listed: Vec<RequestId>,
    /// Drafts of the walks of these numbers, which were taken up from them, the latest last.
    taken_up: VecDeque<(u64, RequestId)>,
    sequence: u64,
    last_request: u64,
    kept: VecDeque<pb::ConverseResponse>,
    kept_bytes: usize,
}

impl Talk {
    pub fn new(id: String, start: &pb::ConverseStart, equipment: Option<Equipment>) -> Talk {
        let mut conversation = Conversation::default();
        conversation.context.equipment = equipment;
        conversation.context.subject.clone_from(&start.subject);
        Talk {
            id,
            conversation,
            parent: start.parent.clone(),
            time_zone: start.time_zone.clone(),
            listed: Vec::new(),
            taken_up: VecDeque::new(),
            sequence: 0,
            last_request: 0,
            kept: VecDeque::new(),
            kept_bytes: 0,
        }
    }

    pub fn id(&self) -> &str {
        &self.id
    }

    pub fn last_request(&self) -> u64 {
        self.last_request
    }

    /// Whether a request of this number is new; it is taken then.
    pub fn takes(&mut self, number: u64) -> bool {
        if number == 0 {
            return true;
        }
        let new = number > self.last_request;
        self.last_request = self.last_request.max(number);
        new
    }

    /// The next response, numbered and kept.
    pub fn number(
        &mut self,
        request_number: u64,
        lines: Vec<String>,
        payload: Payload,
    ) -> pb::ConverseResponse {
        self.sequence += 1;
        let sequence = self.sequence;
        let payload = Some(payload);
        let response = pb::ConverseResponse { sequence, request_number, lines, payload };
        self.kept_bytes += response.encoded_len();
        self.kept.push_back(response.clone());
        while self.kept.len() > KEPT_MAX || self.kept_bytes > KEPT_BYTES_MAX {
            let Some(oldest) = self.kept.pop_front() else { break };
            self.kept_bytes -= oldest.encoded_len();
        }
        response
    }

    /// Everything up to this number arrived.
    pub fn received(&mut self, sequence: u64) {
        while self.kept.front().is_some_and(|oldest| oldest.sequence <= sequence) {
            let Some(oldest) = self.kept.pop_front() else { break };
            self.kept_bytes -= oldest.encoded_len();
        }
    }

    /// What is not known to have arrived.
    pub fn kept(&self) -> Vec<pb::ConverseResponse> {
        self.kept.iter().cloned().collect()
    }

    /// The id of the draft of a walk: the one it was taken up from, else one that follows from the
    /// conversation.
    pub fn draft_of(&self, walk: u64) -> RequestId {
        match self.taken_up.iter().find(|(number, _)| *number == walk) {
            Some((_, id)) => *id,
            None => RequestId::of_content(format!("{}/walk/{walk}", self.id).as_bytes()),
        }
    }

    pub fn took_up(&mut self, walk: u64, draft: RequestId) {
        self.taken_up.retain(|(number, _)| *number != walk);
        self.taken_up.push_back((walk, draft));
        if self.taken_up.len() > TAKEN_UP_MAX {
            self.taken_up.pop_front();
        }
    }

    /// The id of the request that stores a record of a proposal: the same for every try. A walk's
    /// follows from its draft, so that a draft is recorded once, whoever takes it up.
    pub fn request_of(&self, proposal: u64, at: usize, walk: Option<u64>) -> RequestId {
        let text = match walk {
            Some(walk) => format!("{}/record", self.draft_of(walk)),
            None => format!("{}/proposal/{proposal}/{at}", self.id),
        };
        RequestId::of_content(text.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn talk() -> Talk {
        Talk::new("a".to_owned(), &pb::ConverseStart::default(), None)
    }

    fn remark(talk: &mut Talk, bytes: usize) -> pb::ConverseResponse {
        let payload = Payload::Remark(pb::ConverseRemark {});
        talk.number(0, vec!["x".repeat(bytes)], payload)
    }

    #[test]
    fn what_did_not_arrive_is_kept_and_bounded() {
        let mut talk = talk();
        for _ in 0..5 {
            remark(&mut talk, 1);
        }
        talk.received(3);
        let left: Vec<u64> = talk.kept().iter().map(|response| response.sequence).collect();
        assert_eq!(left, [4, 5]);
        for _ in 0..2 * KEPT_MAX {
            remark(&mut talk, 1);
        }
        assert_eq!(talk.kept().len(), KEPT_MAX);
        for _ in 0..5 {
            remark(&mut talk, KEPT_BYTES_MAX / 3);
        }
        assert!(talk.kept_bytes <= KEPT_BYTES_MAX && talk.kept().len() == 2);
    }

    #[test]
    fn a_request_is_taken_once() {
        let mut talk = talk();
        assert!(talk.takes(1) && talk.takes(3) && !talk.takes(3) && !talk.takes(2));
        assert!(talk.takes(0) && talk.takes(0), "not counted");
        assert_eq!(talk.last_request(), 3);
    }

    #[test]
    fn a_draft_is_recorded_under_one_id_whoever_takes_it_up() {
        let mut first = talk();
        let id = first.request_of(9, 0, Some(2));
        let mut second = Talk::new("b".to_owned(), &pb::ConverseStart::default(), None);
        second.took_up(7, first.draft_of(2));
        assert_eq!(second.request_of(1, 0, Some(7)), id);
        assert_ne!(first.request_of(9, 0, None), first.request_of(9, 1, None));
        first.took_up(2, second.draft_of(1));
        assert_ne!(first.request_of(9, 0, Some(2)), id);
    }
}
