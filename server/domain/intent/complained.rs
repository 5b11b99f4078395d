//! What is a complaint about: which unit, which kind of equipment, and which words only name them?
//! Deliberately absent: hearing the findings (`language`) and weighing causes (`diagnosis`).

use super::kind::CommandKind;
use super::{Command, Interpretation, Reader, subjects, understood};
use crate::domain::catalogue::Equipment;
use crate::domain::records::{SubjectKind, SubjectName};

/// Words of asking and pointing, which matter to no cause.
const SAYS_NOTHING: &[&str] = &["the", "why", "what", "can", "could", "cause", "causes", "please", "complaint", "problem"];

/// "Complaint: the tees are ragged": what stands behind a word that says that it ails.
pub(super) fn named_a_complaint(text: &str) -> Option<&str> {
    const HEADS: &[&str] = &["complaint:", "complaint -", "problem:"];
    let head = |start: &&&str| {
        text.get(..start.len()).is_some_and(|head| head.eq_ignore_ascii_case(start))
    };
    let start = HEADS.iter().find(head)?;
    Some(text[start.len()..].trim()).filter(|rest| !rest.is_empty())
}

impl Reader<'_> {
    /// What is called a complaint is looked into, whatever work is told with it.
    pub(super) fn called_a_complaint(&self) -> Option<Interpretation> {
        // "Problem: none, ground unit 2 in 1 hour" is work, whatever stands before it.
        let proof = &self.heard.proof;
        let ails = proof.findings > 0 || !proof.deed || self.gives_no_number();
        named_a_complaint(self.question.text).filter(|_| ails).map(|_| self.diagnose())
    }

    pub(super) fn diagnose(&self) -> Interpretation {
        let named = &self.heard.named;
        let (unit, equipment) = self.ill(named);
        let text = self.question.text;
        let complaint = named_a_complaint(text).unwrap_or(text).to_owned();
        let told = match &unit {
            Some(unit) => {
                format!("Find out what causes this complaint on {}.", understood::short(unit))
            }
            None => "Find out what causes this complaint.".to_owned(),
        };
        let command = Command::Diagnose { complaint, unit, equipment, further: false };
        let mut unheard = self.heard.unheard.clone();
        unheard.retain(|word| !self.names_something(named, word));
        Interpretation { unheard, ..self.answer(CommandKind::Diagnose, told, command) }
    }

    /// The unit a complaint is about and its kind of equipment. Words that speak of another kind of
    /// equipment are not about the unit spoken of before.
    fn ill(&self, named: &subjects::Named) -> (Option<SubjectName>, Option<Equipment>) {
        let spoken_of = self.question.shop.spoken_of.as_ref();
        let kind_of = |name: &SubjectName| self.question.shop.known(name)?.equipment;
        let told = self.heard.equipment;
        let mut units = named.units.iter().filter(|mention| mention.known);
        // "Lapped 1 and 3, unit 3 still folds paper": the one that is named with the fault.
        let beside = units.clone().find(|mention| self.is_beside_fault(mention.first));
        let known = beside.or_else(|| units.next()).map(|mention| &mention.name);
        // "The groomer on number 2" is the groomer that unit 2 carries.
        let carried = |name| told.and_then(|kind| self.carried(name, kind)).unwrap_or(name);
        let known = known.map(carried);
        let before = || {
            let alike = |name: &&SubjectName| {
                told.is_none() || kind_of(name).is_none() || kind_of(name) == told
            };
            let free = named.machines.is_empty() && named.units.is_empty();
            spoken_of.filter(|name| free && name.kind() == SubjectKind::Unit).filter(alike)
        };
        let machine = named.machines.iter().find(|mention| mention.known);
        let only = || machine.and_then(|machine| self.only_unit(&machine.name, told));
        let whole = || machine.map(|machine| &machine.name);
        let unit = known.or_else(before).or_else(only).or_else(whole).cloned();
        let of_name = unit.as_ref().and_then(kind_of);
        let of_name = of_name.or_else(|| machine.and_then(|mention| kind_of(&mention.name)));
        let equipment = match (told, of_name) {
            // The words say it themselves.
            (Some(_), _) => None,
            (None, Some(kind)) => Some(kind),
            (None, None) => self.question.equipment,
        };
        (unit, equipment)
    }

    /// Whether a fault that shows in use was heard in the clause of this token.
    fn is_beside_fault(&self, token: usize) -> bool {
        let segment = self.spoken.tokens[token].segment;
        let clause = || self.spoken.tokens.iter().filter(|token| token.segment == segment);
        let ends = clause().next().zip(clause().last());
        ends.is_some_and(|(first, last)| {
            self.heard.shown.iter().any(|fault| (first.start..last.end).contains(fault))
        })
    }

    /// The attachment of this kind that a unit carries.
    fn carried(&self, unit: &SubjectName, kind: Equipment) -> Option<&SubjectName> {
        let subjects = &self.question.shop.subjects;
        let own = self.question.shop.known(unit)?;
        if own.equipment.is_none_or(|own| own == kind) {
            return None;
        }
        let (machine, text) = (unit.holder()?, unit.to_string());
        let end = format!("-{}", text.rsplit('/').next()?);
        let mut alike = subjects.iter().filter(|known| {
            known.equipment == Some(kind) && known.name != machine && machine.holds(&known.name)
        });
        let of_unit = alike.clone().find(|known| known.name.to_string().ends_with(&end));
        let first = alike.next();
        let only = first.filter(|_| alike.next().is_none());
        of_unit.or(only).map(|known| &known.name)
    }

    /// "Walker 1": the unit of a machine that has one of its kind only; `told`: the kind spoken of.
    fn only_unit(&self, machine: &SubjectName, told: Option<Equipment>) -> Option<&SubjectName> {
        let subjects = &self.question.shop.subjects;
        let own = self.question.shop.known(machine)?.equipment;
        let kind = told.or(own)?;
        let mut units = subjects.iter().filter(|known| {
            known.name.kind() == SubjectKind::Unit
                && machine.holds(&known.name)
                && known.equipment == Some(kind)
        });
        let only = units.next()?;
        units.next().is_none().then_some(&only.name)
    }

    /// Whether a word only names a machine, unit or area, or joins such names.
    fn names_something(&self, named: &subjects::Named, word: &str) -> bool {
        let spans = named.spans();
        let inside = |at: usize| spans.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let mut stands = (0..self.spoken.tokens.len())
            .filter(|at| self.spoken.tokens[*at].text == word)
            .peekable();
        SAYS_NOTHING.contains(&word) || (stands.peek().is_some() && stands.all(inside))
    }
}
