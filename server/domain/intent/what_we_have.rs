//! Which machines does the shop have, and which units has one of them? "What mowers have we got", "how
//! many units on the fairway five": told from its list, and no question to the records.
//! Deliberately absent: what was done to them, and what is due (`fleet`).

use super::kind::CommandKind;
use super::{Interpretation, Reader};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::wording::counted;

/// Topic of what is told from the shop's own list.
pub const HELD_HERE: &str = "held_here";
/// What is had, as people call it (common practice, no source).
const MACHINES: &[&str] =
    &["machine", "machines", "mower", "mowers", "kit", "fleet", "equipment", "gear"];
const UNITS: &[&str] =
    &["unit", "units", "reel", "reels", "head", "heads", "cylinder", "cylinders", "deck", "decks"];
/// Words that ask for a list, and those that may stand beside them: nothing else is asked.
const ASKS: &[&str] = &["what", "which", "whats", "list", "how", "name", "show", "tell"];
const HAD: &[&str] = &["have", "has", "had", "got", "own", "keep", "kept", "list", "name", "many", "there", "books"];
const BESIDE: &[&str] = &[
    "all", "many", "other", "do", "does", "we", "i", "you", "they", "have", "has", "had", "got", "get",
    "own", "keep", "kept", "run", "is", "are", "there", "on", "in", "at", "of", "the", "a", "our", "my",
    "your", "me", "us", "to", "here", "shop", "shed", "yard", "workshop", "books", "list", "know",
    "about", "and", "its", "it", "please", "for", "now", "then", "so", "ok", "exactly", "s", "?",
];

impl Reader<'_> {
    pub(super) fn what_we_have(&self) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let spans = self.heard.named.spans();
        let named = |at: usize| spans.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let known = |at: usize| {
            let word = tokens[at].text.as_str();
            [ASKS, BESIDE, MACHINES, UNITS].iter().any(|list| list.contains(&word))
        };
        let asks = ASKS.contains(&self.first_word());
        if !asks || !self.says(HAD) || !(0..tokens.len()).all(|at| named(at) || known(at)) {
            return None;
        }
        let machines = self.machines_asked_about();
        let machines: Vec<&SubjectName> =
            machines.iter().filter(|name| name.kind() == SubjectKind::Machine).collect();
        let told = match &machines[..] {
            [] if self.says(MACHINES) => self.all_machines(),
            [only] if self.says(UNITS) => self.listed_units(only)?,
            _ => return None,
        };
        let (topic, understood) = (HELD_HERE.to_owned(), told);
        Some(Interpretation { topic, understood, ..self.nothing(CommandKind::Unclear) })
    }

    fn titled(&self, name: &SubjectName) -> String {
        let known = self.question.shop.known(name);
        let title = known.and_then(|known| known.names.first());
        title.cloned().unwrap_or_else(|| name.id().to_string())
    }

    fn held_by(&self, machine: &SubjectName) -> Vec<&SubjectName> {
        let all = self.question.shop.subjects.iter().map(|known| &known.name);
        all.filter(|name| name.kind() == SubjectKind::Unit && machine.holds(name)).collect()
    }

    fn all_machines(&self) -> String {
        let all = self.question.shop.subjects.iter().map(|known| &known.name);
        let all = all.filter(|name| name.kind() == SubjectKind::Machine);
        let told = |name: &SubjectName| match self.held_by(name).len() {
            0 => format!("{} (no unit entered)", self.titled(name)),
            units => format!("{} ({})", self.titled(name), counted(units as u64, "unit")),
        };
        let told: Vec<String> = all.map(told).collect();
        match told.len() {
            0 => "No machine is entered yet; one is entered with the first record of it.".to_owned(),
            many => format!("{}: {}.", counted(many as u64, "machine"), told.join(", ")),
        }
    }

    fn listed_units(&self, machine: &SubjectName) -> Option<String> {
        let units: Vec<String> =
            self.held_by(machine).into_iter().map(|name| self.titled(name)).collect();
        let count = counted(units.len() as u64, "unit");
        (!units.is_empty())
            .then(|| format!("{} has {count}: {}.", self.titled(machine), units.join(", ")))
    }
}
