//! What completes a word that was begun: names of units and machines, findings and procedures.

use rustyline::completion::Completer;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::validate::Validator;
use rustyline::{Context, Helper};
use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;
use sward_core::pb::records_service_client::RecordsServiceClient;

use crate::call::Line;

/// Names of one kind that are fetched.
const NAMES_MAX: i32 = 200;

/// Everything that can be completed, in order. What cannot be fetched is left out: completion is a
/// help and no condition.
pub async fn words(line: Line) -> Vec<String> {
    let mut words = units(line.clone()).await;
    let mut guide = GuideServiceClient::new(line);
    if let Ok(reply) = guide.list_procedures(pb::ListProceduresRequest::default()).await {
        words.extend(reply.into_inner().procedures.into_iter().map(|row| row.id));
    }
    if let Ok(reply) = guide.list_findings(pb::ListFindingsRequest::default()).await {
        words.extend(reply.into_inner().findings.into_iter().map(|row| row.id));
    }
    words.sort();
    words.dedup();
    words
}

async fn units(line: Line) -> Vec<String> {
    let mut client = RecordsServiceClient::new(line);
    let mut names = Vec::new();
    let request = pb::ListMachinesRequest { page_size: NAMES_MAX, ..Default::default() };
    let Ok(reply) = client.list_machines(request).await else { return names };
    for machine in reply.into_inner().machines {
        names.push(machine.display_name);
        let request = pb::ListCuttingUnitsRequest {
            parent: machine.name,
            page_size: NAMES_MAX,
            ..Default::default()
        };
        let Ok(reply) = client.list_cutting_units(request).await else { continue };
        let units = reply.into_inner().cutting_units.into_iter();
        names.extend(units.map(|unit| short(&unit.name)));
    }
    names
}

/// "greens-triplex/2" of the full name.
fn short(name: &str) -> String {
    let rest = name.strip_prefix("sites/home/machines/").unwrap_or(name);
    rest.replace("/units/", "/")
}

/// Completes the word before the cursor.
pub struct Completion {
    words: Vec<String>,
}

impl Completion {
    pub fn new(words: Vec<String>) -> Completion {
        Completion { words }
    }

    /// Where the word begins, and what it may become.
    fn of(&self, line: &str, at: usize) -> (usize, Vec<String>) {
        let before = line.get(..at).unwrap_or(line);
        let start = before.rfind([' ', ',', '"']).map_or(0, |blank| blank + 1);
        let begun = before[start..].to_lowercase();
        if begun.is_empty() {
            return (start, Vec::new());
        }
        let fit = self.words.iter().filter(|word| word.to_lowercase().starts_with(&begun));
        (start, fit.cloned().collect())
    }
}

impl Completer for Completion {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        at: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(self.of(line, at))
    }
}

impl Hinter for Completion {
    type Hint = String;
}

impl Highlighter for Completion {}
impl Validator for Completion {}
impl Helper for Completion {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_before_the_cursor_is_completed() {
        let words = ["Greens triplex", "greens-triplex/2", "set_clip", "set_attitude"];
        let completion = Completion::new(words.map(str::to_owned).to_vec());
        let (start, fit) = completion.of("show set_a", 10);
        assert_eq!((start, fit), (5, vec!["set_attitude".to_owned()]));
        assert_eq!(completion.of("gre", 3).1.len(), 2);
        assert!(completion.of("show ", 5).1.is_empty());
        assert_eq!(short("sites/home/machines/greens-triplex/units/2"), "greens-triplex/2");
    }
}
