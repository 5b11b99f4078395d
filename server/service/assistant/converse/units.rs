//! Which units of the shop does somebody mean who takes some out of a record, or puts some in: "only 1
//! and 3", "not the right one"? The record that stands open becomes one for each of them.
//! Deliberately absent: reading the words (`conversation::units_meant`).

use super::keeping::requests;
use super::turn::Turn;
use crate::domain::conversation::Action;
use crate::domain::conversation::units_meant::UnitsMeant;
use crate::domain::records::SubjectKind;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::service::records::keeping::{parent, with_store};
use crate::store::Store;

/// The records of each kind on each of these subjects; a time is shared out alike.
pub(super) fn spread(
    requests: &[pb::CreateRecordRequest],
    about: &str,
    time_of_each: bool,
) -> Vec<pb::CreateRecordRequest> {
    let units: Vec<&str> = about.split(' ').collect();
    let kind = |request: &pb::CreateRecordRequest| {
        let record = request.record.as_ref();
        record.and_then(|record| record.detail.as_ref()).map(std::mem::discriminant)
    };
    let mut kinds: Vec<&pb::CreateRecordRequest> = Vec::new();
    for request in requests {
        if !kinds.iter().any(|known| kind(known) == kind(request)) {
            kinds.push(request);
        }
    }
    let mut out = Vec::new();
    for first in kinds {
        let alike = || requests.iter().filter(|one| kind(one) == kind(first));
        let minutes: f64 = alike().filter_map(|one| one.record.as_ref()?.duration_min).sum();
        for unit in &units {
            let mut request = first.clone();
            request.parent = (*unit).to_owned();
            let timed = |record: &&mut pb::Record| record.duration_min.is_some() && !time_of_each;
            if let Some(record) = request.record.as_mut().filter(timed) {
                let each = minutes / units.len() as f64;
                record.duration_min = Some((each * 100.0).round() / 100.0);
            }
            out.push(request);
        }
    }
    out
}

impl Turn<'_> {
    /// The record that stands open is of the units meant, where the machine has them.
    pub(super) async fn units(&mut self, meant: UnitsMeant) -> Vec<Action<Command>> {
        let open = self.talk.conversation.proposal().cloned();
        let asked = open.iter().flat_map(requests);
        let told: Vec<String> = asked.map(|request| request.parent).collect();
        let Some(first) = told.first().cloned() else { return self.conversation().no_such_units() };
        let machine = first.split("/units/").next().unwrap_or_default().to_owned();
        if !told.iter().all(|name| name.starts_with(&machine)) || !machine.contains("/machines/") {
            return self.conversation().no_such_units();
        }
        let mut lists = Vec::new();
        for said in [&meant.only, &meant.without, &meant.also] {
            let mut names = Vec::new();
            for one in said {
                let Some(name) = self.unit_called(one, &machine, &told).await else {
                    return self.conversation().no_such_units();
                };
                names.push(name);
            }
            lists.push(names);
        }
        let [only, without, also] = &mut lists[..] else { return Vec::new() };
        if meant.all {
            *only = self.units_like(&machine, &told).await;
            // "No, all three" of a machine that has five.
            if meant.count.is_some_and(|count| count != only.len()) {
                return self.conversation().no_such_units();
            }
        }
        let whole = told.iter().any(|name| *name == machine);
        // "Not 4, 3": one that was not told is put in the place of those that were.
        if only.is_empty() && also.is_empty() && !whole {
            let told = |name: &String| told.contains(name);
            (*without, *also) = std::mem::take(without).into_iter().partition(told);
        }
        let mut units: Vec<String> = match (only.is_empty(), whole) {
            (false, _) => only.clone(),
            // One that is put beside the whole machine was not meant to be in it before.
            (true, true) if !also.is_empty() => Vec::new(),
            (true, true) => {
                self.units_of_machine(&machine).await.into_iter().map(|(name, _)| name).collect()
            }
            (true, false) => told,
        };
        units.extend(also.iter().cloned());
        units.retain(|unit| !without.contains(unit));
        let mut seen: Vec<String> = Vec::new();
        units.retain(|unit| {
            let new = !seen.contains(unit);
            seen.push(unit.clone());
            new
        });
        match units.is_empty() {
            true => self.conversation().no_such_units(),
            false => self.conversation().units_put_right(units, meant.rest),
        }
    }

    /// "1", "the right one": the one unit of this machine that is called so.
    async fn unit_called(
        &mut self,
        said: &str,
        machine: &str,
        told: &[String],
    ) -> Option<String> {
        let mut all = self.units_of_machine(machine).await;
        // A unit that was named is one, whether the shop has it yet or not.
        for name in told {
            let id = name.rsplit_once("/units/").map(|(_, id)| id.to_owned());
            let new = !all.iter().any(|(known, _)| known == name);
            all.extend(id.filter(|_| new).map(|id| (name.clone(), vec![id])));
        }
        let same = |word: &str| match word {
            "middle" | "center" => "centre".to_owned(),
            "back" => "rear".to_owned(),
            other => other.to_lowercase(),
        };
        let wanted: Vec<String> = said.split(' ').map(same).collect();
        let called = |names: &[String]| names.iter().any(|name| {
            let words: Vec<String> = name.split([' ', '-']).map(same).collect();
            wanted.iter().all(|word| words.contains(word))
        });
        // "1" is unit 1, and not its groomer.
        let exact = |(name, _): &&(String, Vec<String>)| {
            name.rsplit_once("/units/").is_some_and(|(_, id)| id == wanted.join("-"))
        };
        if let Some((name, _)) = all.iter().find(exact) {
            return Some(name.clone());
        }
        let mut fits = all.iter().filter(|(_, names)| called(names)).map(|(name, _)| name.clone());
        fits.next().filter(|_| fits.next().is_none())
    }

    /// All units of a machine that are called as those that were told: by numbers, where these are.
    async fn units_like(&mut self, machine: &str, told: &[String]) -> Vec<String> {
        let numbered = |name: &String| {
            name.rsplit_once("/units/").is_some_and(|(_, id)| id.chars().all(|ch| ch.is_ascii_digit()))
        };
        let numbers = told.iter().all(numbered);
        let all = self.units_of_machine(machine).await.into_iter().map(|(name, _)| name);
        all.filter(|name| !numbers || numbered(name)).collect()
    }

    /// All units of a machine, each with what it is called.
    async fn units_of_machine(&mut self, machine: &str) -> Vec<(String, Vec<String>)> {
        let site = self.talk.parent.clone();
        let machine = format!("{machine}/");
        let there = with_store(self.shop, move |_, store| {
            let site = parent(&site)?;
            let all = store.all_subjects(site.site())?;
            let units = all.into_iter().filter(|known| known.name.kind() == SubjectKind::Unit);
            let called = units.map(|known| {
                let id = known.name.id().as_str().to_owned();
                (known.name.to_string(), vec![id, known.label.display_name])
            });
            Ok(called.filter(|(name, _)| name.starts_with(&machine)).collect::<Vec<_>>())
        });
        there.await.unwrap_or_default()
    }
}
