//! What would be stored of work that is told: a record for each unit it was done on, and what is
//! missing or doubtful? Deliberately absent: reading the words (`record`), and storing.

use super::each_reel;
use super::excepted;
use super::kind::CommandKind;
use super::record::Recorded;
use super::{
    Command, Interpretation, Question, Reader, guide, needed, numbers_heard, several, understood,
};
use crate::domain::records::{Content, Detail, SubjectKind, SubjectName};
use crate::domain::wording::{bare_word, upper_first};

impl Reader<'_> {
    pub(super) fn record(&self) -> Interpretation {
        let Some(recorded) = &self.heard.recorded else {
            return self.nothing(CommandKind::Unclear);
        };
        let mut records = recorded.records.clone();
        if let (Some(subject), [(name, _)]) = (&self.question.shop.spoken_of, &mut records[..])
            && name.kind() == SubjectKind::Site
        {
            name.clone_from(subject);
        }
        self.machine_of_number(&mut records);
        self.machine_of_area(&mut records);
        self.only_deck(&mut records);
        self.heights_in_order(&mut records);
        self.all_units(recorded, &mut records);
        each_reel::in_order(recorded, &mut records);
        self.one_unit(&mut records);
        // "The rotary, deck one": a machine and its only unit are one thing.
        let mut once = Vec::new();
        records.retain(|record| {
            let new = !once.contains(record);
            once.push(record.clone());
            new
        });
        for (_, content) in &mut records {
            self.stated_cause(content);
            content.equipment = content.equipment.or(self.question.equipment);
        }
        let units = recorded.named.units.iter();
        let homeless = units.filter(|mention| mention.name.kind() == SubjectKind::Site);
        let homeless = homeless.map(|mention| mention.display_name.as_str()).next();
        self.method_by_unit(recorded, &mut records);
        let which = excepted::which_is_asked(recorded, &records);
        let shared = self.share_time(recorded, &mut records);
        let mut told = understood::recorded(&records, recorded.time.as_ref(), &recorded.placed);
        if let Some(shared) = shared {
            told = format!("{} {}.", told, upper_first(&shared));
        }
        let mut answer = Interpretation {
            quantities: numbers_heard(&recorded.spoken, &recorded.placed),
            unheard: self.unheard(&recorded.spoken, &recorded.words, &recorded.spans),
            new_subjects: new_subjects(recorded, self.question),
            missing: needed::missing(&records, self.question.shop, homeless),
            ..self.answer(CommandKind::Record, told, Command::None)
        };
        // What turned out to be another machine is not new.
        let about = |name: &SubjectName| {
            let same = |(known, _): &(SubjectName, Content)| known.machine() == name.machine();
            name.machine().is_none() || records.iter().any(same)
        };
        answer.new_subjects.retain(|(name, _)| about(name));
        answer.missing.extend(which);
        // Who did it is kept, and no word of no use.
        let who = recorded.records.first().map(|(_, content)| content.done_by.to_lowercase());
        let who = who.unwrap_or_default();
        answer.unheard.retain(|word| !who.split(' ').any(|name| name == word.as_str()));
        let kept = records.iter().flat_map(|(_, content)| kept_words(content));
        let kept: Vec<String> = kept.collect();
        answer.unheard.retain(|word| !kept.contains(word));
        answer.homeless_units = recorded
            .named
            .units
            .iter()
            .filter(|mention| mention.name.kind() == SubjectKind::Site)
            .map(|mention| mention.display_name.clone())
            .collect();
        // What is missing is asked for first, and the words are then understood anew.
        if answer.missing.is_empty() {
            let shop = self.question.shop;
            answer.alternatives = self.meant(recorded, &records);
            answer.new_subjects.retain(|(name, _)| several::several(shop, name).is_empty());
        }
        answer.command = Command::Record { records, time: recorded.time.clone() };
        answer
    }

    /// A cause told in words, as the catalogue calls it.
    fn stated_cause(&self, content: &mut Content) {
        let equipment = content.equipment;
        if let Detail::FaultFixed(detail) = &mut content.detail {
            let stated = format!("{} {}", detail.found, detail.action);
            if let Some(cause) = guide::cause(self.knowledge, &stated, equipment) {
                cause.clone_into(&mut detail.cause);
            }
        }
    }
}

/// Words that a record keeps in one of its own texts.
fn kept_words(content: &Content) -> Vec<String> {
    let mut texts = vec![content.notes.clone()];
    match &content.detail {
        Detail::Inspection(detail) => texts.extend(
            detail.items.iter().flat_map(|one| [one.item.clone(), one.found.clone()]),
        ),
        Detail::FaultFixed(detail) => {
            texts.extend([detail.fault.clone(), detail.found.clone(), detail.action.clone()]);
        }
        Detail::Sharpening(detail) => texts.push(detail.result.clone()),
        Detail::Adjustment(detail) => texts.push(detail.result.clone()),
        Detail::PartReplaced(detail) => texts.push(detail.result.clone()),
        Detail::HeightReading(_) | Detail::Hours(_) => {}
    }
    let words = texts.iter().flat_map(|text| text.split(|ch: char| !ch.is_alphanumeric()));
    words.map(str::to_lowercase).collect()
}

/// What stands behind "book that", "log it", "put it down".
pub fn behind_booking(words: &str) -> Option<&str> {
    const BOOKING: &[&str] = &[
        "book that in", "book it in", "book that", "book it", "log that", "log it", "record that",
        "record it", "put that down", "put it down", "note that", "note it", "enter that", "write that down",
        "write it down",
    ];
    let start = BOOKING.iter().find(|start| {
        words.get(..start.len()).is_some_and(|head| head.eq_ignore_ascii_case(start))
    })?;
    let rest = words[start.len()..].trim_start_matches([',', ':', ' ', '.', '-']);
    let parted = words[start.len()..].starts_with([',', ':', ' ', '.', '-']);
    (parted && !rest.is_empty()).then_some(rest)
}

/// What stands before a question whether it is to be put down: "greased the five, do I put that in too?"
pub fn before_booking(words: &str) -> Option<&str> {
    const ASKS: &[&str] = &["do", "should", "shall", "i", "we", "you", "want", "need", "me", "to", "and"];
    const BOOKS: &[&str] = &["put", "enter", "log", "record", "write", "book", "note", "add"];
    const IT: &[&str] = &["that", "this", "it", "them", "in", "here", "too", "down", "up", "as", "well", "also"];
    let (before, question) = words.trim_end().rsplit_once(", ")?;
    let said: Vec<String> = question.split_whitespace().map(|word| {
        bare_word(word).trim_end_matches('?').to_lowercase()
    }).collect();
    let is = |list: &[&str], word: &String| list.contains(&word.as_str());
    let only = said.iter().all(|word| is(ASKS, word) || is(BOOKS, word) || is(IT, word));
    let asks = said.first().is_some_and(|word| is(ASKS, word));
    let asks = asks && said.iter().any(|word| is(BOOKS, word));
    let it = said.iter().any(|word| matches!(word.as_str(), "that" | "this" | "it" | "them"));
    (only && asks && it).then_some(before)
}

fn new_subjects(recorded: &Recorded, question: &Question) -> Vec<(SubjectName, String)> {
    let named = &recorded.named;
    let all = named.machines.iter().chain(&named.units).chain(&named.areas);
    let mut out: Vec<(SubjectName, String)> = Vec::new();
    for mention in all.filter(|mention| !mention.known && mention.name.kind() != SubjectKind::Site)
    {
        let there = question.shop.subjects.iter().any(|known| known.name == mention.name);
        if !there && !out.iter().any(|(name, _)| *name == mention.name) {
            out.push((mention.name.clone(), mention.display_name.clone()));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whether_it_is_to_be_put_down_is_no_part_of_what_is_told() {
        let told = before_booking("greased the five, do I put that in here too?");
        assert_eq!(told, Some("greased the five"));
        assert_eq!(before_booking("lapped unit 2, should I enter it"), Some("lapped unit 2"));
        assert_eq!(before_booking("it squeals, do I stop"), None);
        assert_eq!(before_booking("the chute is blocked, do I put my hand in"), None);
        assert_eq!(before_booking("it is chipped, should I put a new one in?"), None);
        assert_eq!(before_booking("how do I record this"), None);
    }
}
