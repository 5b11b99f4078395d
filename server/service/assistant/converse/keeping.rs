//! What a conversation keeps: proposals and how they are stored, drafts of jobs left half way, and
//! which unit is meant. Every write here follows a yes.

use tonic::Status;

use super::fields::refusal;
use super::say;
use super::turn::{Turn, without_paths};
use super::units;
use crate::domain::conversation::{Action, Proposal, Proposed, Walking};
use crate::domain::records::bounds::TEXT_CHARACTERS_MAX;
use crate::domain::records::directory::Directory;
use crate::domain::records::{RecordError, RequestId, SubjectKind, SubjectName};
use crate::domain::walkthrough::Walk;
use crate::domain::wording::{counted, upper_first};
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_response::Payload;
use crate::service::records::keeping::{now, parent, with_store};
use crate::service::records::{entries, wire};
use crate::store::Store;
use crate::store::drafts::Draft;

/// Drafts that a list shows.
const DRAFTS_SHOWN_MAX: usize = 20;

/// The requests that a proposal comes to. What they keep as words is what was said.
pub(super) fn requests(open: &Proposal<Command>) -> Vec<pb::CreateRecordRequest> {
    let mut requests = match &open.what {
        Proposed::Command(command) | Proposed::Amend { command, .. } => of_command(command),
        Proposed::Walk { subject, content } => {
            return vec![pb::CreateRecordRequest {
                parent: subject.clone(),
                record: Some(wire::record_said(content)),
                ..pb::CreateRecordRequest::default()
            }];
        }
        Proposed::Withdraw { .. } => Vec::new(),
    };
    for record in requests.iter_mut().filter_map(|request| request.record.as_mut()) {
        if !open.said.is_empty() && !record.words.is_empty() {
            record.words = open.said.chars().take(TEXT_CHARACTERS_MAX).collect();
        }
    }
    if open.about.contains(' ') || (requests.len() > 1 && !open.about.is_empty()) {
        return units::spread(&requests, &open.about, open.time_of_each());
    }
    if let [only] = &mut requests[..]
        && !open.about.is_empty()
    {
        only.parent.clone_from(&open.about);
    }
    requests
}

fn of_command(command: &Command) -> Vec<pb::CreateRecordRequest> {
    match command {
        Command::CreateRecord(request) => vec![request.clone()],
        Command::BatchCreateRecords(batch) => batch.requests.clone(),
        _ => Vec::new(),
    }
}

/// A fault that was put right, as far as it is told.
fn puts_right(stored: &pb::CreateRecordResponse) -> bool {
    let detail = stored.record.as_ref().and_then(|record| record.detail.as_ref());
    matches!(detail, Some(pb::record::Detail::FaultFixed(fault)) if fault.fixed != Some(false))
}

/// How many of the longer words of a title the words hold, endings aside.
fn words_shared(title: &str, words: &str) -> usize {
    let lower = words.to_lowercase();
    let stem = |word: &str| word.trim_end_matches("ting").trim_end_matches("ing").to_owned();
    let said: Vec<String> =
        lower.split(|ch: char| !ch.is_alphanumeric()).map(stem).collect();
    let title = title.to_lowercase();
    let of_title = title.split(|ch: char| !ch.is_alphanumeric()).map(stem);
    of_title.filter(|word| word.len() > 2 && *word != "the" && said.contains(word)).count()
}

fn names_of(stored: &[pb::CreateRecordResponse]) -> Vec<String> {
    stored.iter().filter_map(|one| Some(one.record.as_ref()?.name.clone())).collect()
}

fn one_of(requests: Vec<pb::CreateRecordRequest>) -> Option<pb::CreateRecordRequest> {
    <[pb::CreateRecordRequest; 1]>::try_from(requests).ok().map(|[only]| only)
}

/// The id of the machine that a unit or its machine belongs to.
fn machine_of_unit(name: &str) -> Option<String> {
    let mut parts = name.split('/').skip_while(|part| *part != "machines").skip(1);
    parts.next().map(str::to_owned)
}

impl Turn<'_> {
    pub(super) async fn show_proposal(&mut self) {
        let Some(open) = self.talk.conversation.proposal() else { return };
        let (number, sentence) = (open.number, open.understood.clone());
        let records = requests(open);
        let short = |name: &String| name.strip_prefix("sites/home/").unwrap_or(name).to_owned();
        let (heading, question) = match &open.what {
            Proposed::Command(_) | Proposed::Walk { .. } => {
                ("To be recorded:".to_owned(), "Store it? (yes or no; \"no, 3.2\" corrects a number)")
            }
            Proposed::Amend { names, .. } => {
                let names: Vec<String> = names.iter().map(short).collect();
                let heading = format!("In the place of {}:", names.join(", "));
                (heading, "Put it right so? (yes or no; what was stored before stays in the history)")
            }
            Proposed::Withdraw { names } => {
                let names: Vec<String> = names.iter().map(short).collect();
                let heading = format!("To be taken back: {}.", names.join(", "));
                (heading, "Take it back? (yes or no; it stays in the history)")
            }
        };
        let mut lines = vec![heading];
        if matches!(open.what, Proposed::Withdraw { .. }) {
            lines.push(format!("  {}", sentence.trim_start_matches("Take back: ")));
        }
        lines.extend(records.iter().flat_map(say::record));
        let replaced = match &open.what {
            Proposed::Amend { names, .. } => names.clone(),
            _ => Vec::new(),
        };
        lines.extend(self.doubted(records.clone(), number, replaced).await);
        lines.push(question.to_owned());
        let proposal = pb::ConverseProposal {
            proposal: number,
            sentence,
            records,
            new_subjects: Vec::new(),
        };
        self.send(lines, Payload::Proposal(proposal)).await;
    }

    /// What does not fit the records before, or can be in no record: told before the yes.
    async fn doubted(
        &mut self,
        mut asked: Vec<pb::CreateRecordRequest>,
        number: u64,
        replaced: Vec<String>,
    ) -> Vec<String> {
        for (at, request) in asked.iter_mut().enumerate() {
            request.request_id = self.talk.request_of(number, at, None).to_string();
        }
        let doubts = match entries::doubted(self.shop, asked, replaced).await {
            Ok(doubts) => doubts,
            Err(status) => vec![refusal(status.message())],
        };
        let mut told: Vec<String> = Vec::new();
        for doubt in doubts {
            let line = format!("  Can that be? {}", without_paths(&doubt));
            if !told.contains(&line) {
                told.push(line);
            }
        }
        told
    }

    /// Stores a proposal that was confirmed. Tried again it stores nothing twice.
    pub(super) async fn write(&mut self, proposal: Proposal<Command>) -> Vec<Action<Command>> {
        let names = match &proposal.what {
            Proposed::Amend { names, .. } | Proposed::Withdraw { names } => names.clone(),
            Proposed::Command(_) | Proposed::Walk { .. } => Vec::new(),
        };
        if !names.is_empty() {
            return self.write_anew(proposal, names).await;
        }
        let of_walk = matches!(proposal.what, Proposed::Walk { .. });
        let walk = self.talk.conversation.walking().map(|walking| walking.number);
        let walk = walk.filter(|_| of_walk);
        let mut asked = requests(&proposal);
        for (at, request) in asked.iter_mut().enumerate() {
            request.request_id = self.talk.request_of(proposal.number, at, walk).to_string();
        }
        match entries::create(self.shop, asked).await {
            Ok(stored) => {
                if stored.iter().any(puts_right) {
                    self.conversation().close_case();
                }
                let names = names_of(&stored);
                self.saved(proposal.number, stored, "Stored").await;
                let mut more =
                    if of_walk { self.conversation().recorded() } else { Vec::new() };
                more.extend(self.conversation().stored(names, &proposal.understood));
                more
            }
            Err(status) => self.not_stored(proposal, &status).await,
        }
    }

    async fn not_stored(
        &mut self,
        proposal: Proposal<Command>,
        status: &Status,
    ) -> Vec<Action<Command>> {
        let mut lines = vec![format!("Not stored: {}", refusal(status.message()))];
        lines.push("It is still open: correct it, say \"yes\" again, or \"no\".".to_owned());
        self.conversation().not_stored(proposal);
        self.remark(lines).await;
        Vec::new()
    }

    /// Amends or withdraws what this conversation stored. Tried again it changes nothing twice.
    async fn write_anew(
        &mut self,
        proposal: Proposal<Command>,
        names: Vec<String>,
    ) -> Vec<Action<Command>> {
        let withdraw = matches!(proposal.what, Proposed::Withdraw { .. });
        let mut anew = requests(&proposal);
        if !withdraw && anew.len() != names.len() {
            let text = format!(
                "{} stand in the place of {}; say which one is wrong, whole.",
                counted(anew.len(), "record"),
                names.len()
            );
            self.remark(vec![text]).await;
            return self.conversation().next_held();
        }
        anew.resize_with(names.len(), pb::CreateRecordRequest::default);
        let mut stored = Vec::new();
        for (at, (name, request)) in names.into_iter().zip(anew).enumerate() {
            let amended = pb::AmendRecordRequest {
                name,
                record: request.record.filter(|_| !withdraw),
                parent: if withdraw { String::new() } else { request.parent },
                withdraw,
                request_id: self.talk.request_of(proposal.number, at, None).to_string(),
            };
            match entries::amend(self.shop, amended).await {
                Ok(done) => stored.push(pb::CreateRecordResponse {
                    record: done.record,
                    advisories: done.advisories,
                    already_there: done.already_there,
                }),
                Err(status) => return self.not_stored(proposal, &status).await,
            }
        }
        let names = names_of(&stored);
        let done = if withdraw { "Taken back" } else { "Put right" };
        self.saved(proposal.number, stored, done).await;
        match withdraw {
            true => self.conversation().withdrawn(),
            false => self.conversation().stored(names, &proposal.understood),
        }
    }

    /// What these words name takes the place of the machine, unit or area that is proposed or was
    /// stored last.
    pub(super) async fn put_right(&mut self, words: String) -> Vec<Action<Command>> {
        let open = self.talk.conversation.proposal().cloned();
        let request = match open {
            Some(Proposal { what: Proposed::Walk { subject, .. }, .. }) => {
                return match self.named(&words, &subject).await {
                    Some(subject) => self.conversation().walk_put_right(subject),
                    None => self.conversation().not_put_right(),
                };
            }
            Some(open) => one_of(requests(&open)),
            None => self.stored_once().await,
        };
        let Some(mut request) = request else { return self.conversation().not_put_right() };
        let found = match self.named(&words, &request.parent).await {
            Some(found) => Some(found),
            None => self.subject_said(&words, &request.parent).await,
        };
        let Some(subject) = found else { return self.conversation().not_put_right() };
        let subject = self.same_unit(subject, &request.parent).await;
        request.parent.clone_from(&subject);
        let kind = request.record.as_ref().map_or("record", say::kind);
        let short = subject.strip_prefix("sites/home/").unwrap_or(&subject);
        let understood = format!("Record {kind} on {short}.");
        self.conversation().put_right(Command::CreateRecord(request), &subject, understood)
    }

    /// The unit of another machine that is called as the one before: the reel of a walker.
    async fn same_unit(&mut self, subject: String, before: &str) -> String {
        let Some((_, unit)) = before.split_once("/units/") else { return subject };
        if subject.contains("/units/") || !subject.contains("/machines/") {
            return subject;
        }
        let wanted = format!("{subject}/units/{unit}");
        let site = self.talk.parent.clone();
        let there = with_store(self.shop, move |_, store| {
            let site = parent(&site)?;
            let all = store.all_subjects(site.site())?;
            Ok(all.iter().any(|known| known.name.to_string() == wanted).then_some(wanted))
        });
        there.await.ok().flatten().unwrap_or(subject)
    }

    /// The one record that was stored last, as a request.
    async fn stored_once(&mut self) -> Option<pb::CreateRecordRequest> {
        let several = self.talk.conversation.stored_last()?.names.len() > 1;
        if several { None } else { self.stored_latest().await }
    }

    /// The last of the records that were stored last, as a request.
    pub(super) async fn stored_latest(&mut self) -> Option<pb::CreateRecordRequest> {
        let stored = self.talk.conversation.stored_last().cloned()?;
        let name = stored.names.last()?;
        let record = entries::get(self.shop, name).await.ok()?;
        Some(pb::CreateRecordRequest {
            parent: name.split("/records/").next().unwrap_or_default().to_owned(),
            record: Some(record),
            ..pb::CreateRecordRequest::default()
        })
    }

    /// What the words name in the shop; a unit without its machine is one of the same machine.
    pub(super) async fn named(&mut self, words: &str, beside: &str) -> Option<String> {
        let site = self.talk.parent.clone();
        let (words, machine) = (words.to_owned(), machine_of_unit(beside));
        let found = with_store(self.shop, move |_, store| {
            let site = parent(&site)?;
            let directory = Directory::new(store.all_subjects(site.site())?);
            let there = machine.map(|machine| format!("{words} of {machine}"));
            let there = there.and_then(|words| subject_of(&directory, &words).ok());
            let found = match there {
                Some(found) => Ok(found),
                None => subject_of(&directory, &words),
            };
            Ok(found.ok().map(|name| name.to_string()))
        });
        found.await.ok().flatten()
    }

    async fn saved(
        &mut self,
        proposal: u64,
        stored: Vec<pb::CreateRecordResponse>,
        done: &str,
    ) {
        let already_there = stored.iter().all(|one| one.already_there);
        let mut records = Vec::new();
        let mut advisories = Vec::new();
        for one in stored {
            records.extend(one.record);
            advisories.extend(one.advisories);
        }
        let word = if already_there { "Already stored" } else { done };
        // What was doubtful was told before the yes.
        let lines: Vec<String> =
            records.iter().map(|record| format!("{word}: {}", record.name)).collect();
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
        let kept = with_store(self.shop, move |shop, store| {
            // One of the same job that nobody had begun is replaced.
            for other in store.drafts()? {
                let same = other.procedure == draft.procedure && other.subject == draft.subject;
                let begun = Walk::resume(&shop.knowledge, &other.text)
                    .is_some_and(|walk| !walk.untouched());
                if same && !begun && other.id != draft.id {
                    store.drop_draft(other.id)?;
                }
            }
            Ok(store.keep_draft(draft)?)
        })
        .await;
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
        match self.draft_numbered(number).await {
            Ok(draft) => self.go_on_with(draft).await,
            Err(why) => {
                self.remark(vec![why]).await;
                Vec::new()
            }
        }
    }

    /// Goes on with the one draft that the words tell of; lists them when it cannot be told.
    pub(super) async fn resume_named(&mut self, words: &str) -> Vec<Action<Command>> {
        let drafts = self.drafts().await.unwrap_or_default();
        let told = |draft: &Draft| {
            let row = self.shop.knowledge.procedure(&draft.procedure);
            row.map_or(0, |row| words_shared(&row.title, words))
        };
        let most = drafts.iter().map(told).max().unwrap_or(0);
        let mut fit = drafts.iter().filter(|draft| told(draft) == most);
        let chosen = match (fit.next(), fit.next()) {
            (Some(only), None) => Some(only.clone()),
            _ => None,
        };
        match chosen {
            Some(draft) => self.go_on_with(draft).await,
            None => {
                self.list_drafts().await;
                Vec::new()
            }
        }
    }

    async fn go_on_with(&mut self, draft: Draft) -> Vec<Action<Command>> {
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
