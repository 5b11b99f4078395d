//! What a conversation keeps: proposals and how they are stored, drafts of jobs left half way, and
//! which unit is meant. Every write here follows a yes.

use tonic::Status;

use super::say;
use super::turn::Turn;
use crate::domain::conversation::{Action, Proposal, Proposed, Walking};
use crate::domain::records::directory::Directory;
use crate::domain::records::{RecordError, RequestId, SubjectKind, SubjectName};
use crate::domain::walkthrough::Walk;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_response::Payload;
use crate::service::records::keeping::{now, parent, with_store};
use crate::service::records::{entries, wire};
use crate::store::Store;
use crate::store::drafts::Draft;

/// Drafts that a list shows.
const DRAFTS_SHOWN_MAX: usize = 20;

/// The requests that a proposal comes to.
fn requests(what: &Proposed<Command>) -> Vec<pb::CreateRecordRequest> {
    match what {
        Proposed::Command(Command::CreateRecord(request)) => vec![request.clone()],
        Proposed::Command(Command::BatchCreateRecords(batch)) => batch.requests.clone(),
        Proposed::Command(_) => Vec::new(),
        Proposed::Walk { subject, content } => vec![pb::CreateRecordRequest {
            parent: subject.clone(),
            record: Some(wire::record_said(content)),
            ..pb::CreateRecordRequest::default()
        }],
    }
}

/// A fault that was put right, as far as it is told.
fn puts_right(stored: &pb::CreateRecordResponse) -> bool {
    let detail = stored.record.as_ref().and_then(|record| record.detail.as_ref());
    matches!(detail, Some(pb::record::Detail::FaultFixed(fault)) if fault.fixed != Some(false))
}

impl Turn<'_> {
    pub(super) async fn show_proposal(&mut self) {
        let Some(open) = self.talk.conversation.proposal() else { return };
        let (number, sentence) = (open.number, open.understood.clone());
        let records = requests(&open.what);
        let mut lines = vec!["To be recorded:".to_owned()];
        lines.extend(records.iter().flat_map(say::record));
        lines.push("Store it? (yes or no; \"no, 3.2\" corrects a number)".to_owned());
        let proposal = pb::ConverseProposal {
            proposal: number,
            sentence,
            records,
            new_subjects: Vec::new(),
        };
        self.send(lines, Payload::Proposal(proposal)).await;
    }

    /// Stores a proposal that was confirmed. Tried again it stores nothing twice.
    pub(super) async fn write(&mut self, proposal: Proposal<Command>) -> Vec<Action<Command>> {
        let of_walk = matches!(proposal.what, Proposed::Walk { .. });
        let walk = self.talk.conversation.walking().map(|walking| walking.number);
        let walk = walk.filter(|_| of_walk);
        let mut asked = requests(&proposal.what);
        for (at, request) in asked.iter_mut().enumerate() {
            request.request_id = self.talk.request_of(proposal.number, at, walk).to_string();
        }
        match entries::create(self.shop, asked).await {
            Ok(stored) => {
                if stored.iter().any(puts_right) {
                    self.conversation().close_case();
                }
                self.saved(proposal.number, stored).await;
                if of_walk { self.conversation().recorded() } else { Vec::new() }
            }
            Err(status) => {
                let mut lines = vec![format!("Not stored: {}", status.message())];
                lines.push("It is still open: correct it, say \"yes\" again, or \"no\".".to_owned());
                self.conversation().not_stored(proposal);
                self.remark(lines).await;
                Vec::new()
            }
        }
    }

    async fn saved(&mut self, proposal: u64, stored: Vec<pb::CreateRecordResponse>) {
        let already_there = stored.iter().all(|one| one.already_there);
        let mut records = Vec::new();
        let mut advisories = Vec::new();
        for one in stored {
            records.extend(one.record);
            advisories.extend(one.advisories);
        }
        let word = if already_there { "Already stored" } else { "Stored" };
        let mut lines: Vec<String> =
            records.iter().map(|record| format!("{word}: {}", record.name)).collect();
        lines.extend(advisories.iter().map(|advisory| format!("  Note: {}", advisory.text)));
        let saved = pb::ConverseSaved { proposal, records, advisories, already_there };
        self.send(lines, Payload::Saved(saved)).await;
    }

    pub(super) async fn keep_draft(&mut self, walking: Walking) {
        let draft = Draft {
            id: self.talk.draft_of(walking.number),
            procedure: walking.walk.procedure().to_owned(),
            subject: walking.walk.subject.clone(),
            updated: now(),
            text: walking.walk.text(),
        };
        let kept = with_store(self.shop, move |_, store| Ok(store.keep_draft(draft)?)).await;
        self.told_if_failed("The draft could not be kept", kept).await;
    }

    pub(super) async fn drop_draft(&mut self, number: u64) {
        let id = self.talk.draft_of(number);
        let dropped = with_store(self.shop, move |_, store| Ok(store.drop_draft(id)?)).await;
        self.told_if_failed("The draft could not be thrown away", dropped).await;
    }

    async fn told_if_failed(&mut self, what: &str, outcome: Result<(), Status>) {
        if let Err(status) = outcome {
            self.remark(vec![format!("{what}: {}", status.message())]).await;
        }
    }

    /// Every draft, or why they cannot be read.
    async fn drafts(&mut self) -> Result<Vec<Draft>, Status> {
        if self.shop.store_if_any()?.is_none() {
            return Ok(Vec::new());
        }
        with_store(self.shop, |_, store| Ok(store.drafts()?)).await
    }

    pub(super) async fn list_drafts(&mut self) {
        let drafts = match self.drafts().await {
            Ok(drafts) => drafts,
            Err(status) => {
                let text = format!("Drafts cannot be read: {}", status.message());
                return self.remark(vec![text]).await;
            }
        };
        self.talk.listed = drafts.iter().map(|draft| draft.id).collect();
        if drafts.is_empty() {
            return self.remark(vec!["Nothing was left half way.".to_owned()]).await;
        }
        let mut lines = vec!["Left half way, the latest first:".to_owned()];
        for (number, draft) in (1..).zip(drafts.iter().take(DRAFTS_SHOWN_MAX)) {
            let row = self.shop.knowledge.procedure(&draft.procedure);
            let title = row.map_or(draft.procedure.as_str(), |row| row.title.as_str());
            let step = Walk::resume(&self.shop.knowledge, &draft.text);
            let step = step.map_or_else(String::new, |walk| format!(", step {}", walk.at().1));
            let subject = draft.subject.strip_prefix("sites/home/").unwrap_or(&draft.subject);
            let subject =
                if subject.is_empty() { String::new() } else { format!(", {subject}") };
            lines.push(format!("  {number}. {title}{step}{subject}"));
        }
        lines.push("\"resume 1\" takes the first up again, \"discard 1\" throws it away.".to_owned());
        self.remark(lines).await;
    }

    /// The draft of this number in the list shown last; 0 is the one touched last.
    async fn draft_numbered(&mut self, number: usize) -> Result<Draft, String> {
        let drafts = self.drafts().await.map_err(|status| status.message().to_owned())?;
        let none = || "There is no such draft; \"drafts\" lists them.".to_owned();
        if number == 0 || self.talk.listed.is_empty() {
            return drafts.into_iter().nth(number.max(1) - 1).ok_or_else(none);
        }
        let id: RequestId = *self.talk.listed.get(number - 1).ok_or_else(none)?;
        drafts.into_iter().find(|draft| draft.id == id).ok_or_else(none)
    }

    pub(super) async fn resume(&mut self, number: usize) -> Vec<Action<Command>> {
        let draft = match self.draft_numbered(number).await {
            Ok(draft) => draft,
            Err(why) => {
                self.remark(vec![why]).await;
                return Vec::new();
            }
        };
        let Some(walk) = Walk::resume(&self.shop.knowledge, &draft.text) else {
            let text = format!("{} is not in the knowledge any more.", draft.procedure);
            self.remark(vec![text]).await;
            return Vec::new();
        };
        let mut lines = vec![match self.shop.knowledge.procedure(&draft.procedure) {
            Some(row) => format!("Going on with: {}.", row.title),
            None => format!("Going on with: {}.", draft.procedure),
        }];
        match walk.readings.len() {
            0 => {}
            1 => lines.push("1 reading is kept from before.".to_owned()),
            count => lines.push(format!("{count} readings are kept from before.")),
        }
        self.remark(lines).await;
        let actions = self.conversation().resumed(walk);
        if let Some(number) = self.talk.conversation.walking().map(|walking| walking.number) {
            self.talk.took_up(number, draft.id);
        }
        actions
    }

    pub(super) async fn discard(&mut self, number: usize) {
        let draft = match self.draft_numbered(number).await {
            Ok(draft) => draft,
            Err(why) => return self.remark(vec![why]).await,
        };
        let id = draft.id;
        let dropped = with_store(self.shop, move |_, store| Ok(store.drop_draft(id)?)).await;
        match dropped {
            Ok(()) => self.remark(vec![format!("Thrown away: {}.", draft.procedure)]).await,
            Err(status) => self.remark(vec![status.message().to_owned()]).await,
        }
    }

    pub(super) async fn find_subject(&mut self, words: String) -> Vec<Action<Command>> {
        let site = self.talk.parent.clone();
        let found = with_store(self.shop, move |_, store| {
            let site = parent(&site)?;
            let directory = Directory::new(store.all_subjects(site.site())?);
            Ok(subject_of(&directory, &words).map_err(|error| error.remedy))
        })
        .await;
        let found = found.unwrap_or_else(|status| Err(status.message().to_owned()));
        let found = found.map(|name| name.to_string()).map_err(|why| upper_first(&why));
        let knowledge = &self.shop.knowledge;
        self.talk.conversation.subject_found(knowledge, found)
    }

    /// The facts of the unit that a walk is about, when they are known.
    pub(super) async fn unit_of(
        &self,
        subject: &str,
    ) -> Option<crate::domain::records::subject::Unit> {
        let name = SubjectName::parse("subject", subject).ok()?;
        self.shop.store_if_any().ok()??;
        let found = with_store(self.shop, move |_, store| Ok(store.subject(&name)?)).await.ok()?;
        match found.facts {
            crate::domain::records::Facts::Unit(unit) => Some(unit),
            _ => None,
        }
    }
}

/// A unit, machine or area by what people call it: "unit 2 of the greens triplex",
/// "greens-triplex/2", "6 green".
fn subject_of(directory: &Directory, words: &str) -> Result<SubjectName, RecordError> {
    let words = words.trim().trim_end_matches(['.', '!']);
    let bare = |text: &str| -> String {
        let lower = text.trim().to_lowercase();
        let lower = lower.strip_prefix("the ").unwrap_or(&lower);
        let lower = lower.strip_prefix("unit ").unwrap_or(lower);
        lower.strip_suffix(" unit").unwrap_or(lower).to_owned()
    };
    let parted = words
        .split_once('/')
        .map(|(machine, unit)| (unit, machine))
        .or_else(|| words.split_once(" of "))
        .or_else(|| words.split_once(" on "));
    if let Some((unit, machine)) = parted {
        let machine = directory.find("machine", SubjectKind::Machine, &bare(machine), None)?;
        let found = directory.find("unit", SubjectKind::Unit, &bare(unit), Some(&machine.name))?;
        return Ok(found.name.clone());
    }
    let unit = directory.find("unit", SubjectKind::Unit, &bare(words), None);
    let unit = match unit {
        Ok(found) => return Ok(found.name.clone()),
        Err(error) => error,
    };
    for kind in [SubjectKind::Machine, SubjectKind::Area] {
        if let Ok(found) = directory.find("subject", kind, words, None) {
            return Ok(found.name.clone());
        }
    }
    Err(unit)
}

fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
