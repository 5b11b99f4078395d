//! How does a record read as text, to be found by its words? Every field that was filled in, in the
//! order of the contract, with the words of the catalogue for its ids. What was looked for and not
//! there is left out: nobody searches for what did not happen.

use super::document::Titles;
use crate::domain::records::choices::Choice;
use crate::domain::records::detail::Detail;
use crate::domain::records::fields::{CatalogueList, Fields, Length, Visitor};
use crate::domain::records::{Record, SubjectKind, SubjectName};
use crate::domain::units::{Unit, plain};
use crate::domain::wording::upper_first;

/// "Fault fixed, greens-triplex unit 3: thin streak left behind".
pub fn title(record: &Record) -> String {
    let content = &record.content;
    let kind = upper_first(&spaced(content.kind().id()));
    let about = subject_words(&record.name.subject);
    let what = match &content.detail {
        Detail::FaultFixed(fault) if fault.fault.is_empty() => fault.found.clone(),
        Detail::FaultFixed(fault) => fault.fault.clone(),
        Detail::PartReplaced(replaced) => {
            let names: Vec<&str> = replaced.parts.iter().map(|part| part.part.as_str()).collect();
            names.join(", ")
        }
        Detail::Sharpening(done) => done.method.map(|m| spaced(m.id())).unwrap_or_default(),
        Detail::Adjustment(done) => done.target.map(|t| spaced(t.id())).unwrap_or_default(),
        Detail::HeightReading(read) => read.method.map(|m| spaced(m.id())).unwrap_or_default(),
        Detail::Inspection(seen) => {
            let names: Vec<&str> = seen.items.iter().map(|item| item.item.as_str()).collect();
            names.join(", ")
        }
        Detail::Hours(_) => String::new(),
    };
    if what.is_empty() { format!("{kind}, {about}") } else { format!("{kind}, {about}: {what}") }
}

/// Everything it says, a sentence for each field.
pub fn body(record: &Record, titles: &Titles) -> String {
    let mut writer = Writer { titles, parts: Vec::new(), absent: false };
    let mut content = record.content.clone();
    // What was said comes first, and is what a reader wants to see of it.
    writer.text("words", Length::Text, &mut content.words);
    writer.text("notes", Length::Text, &mut content.notes);
    content.detail.visit(&mut writer);
    writer.text("done_by", Length::Name, &mut content.done_by);
    writer.choice("equipment", &mut content.equipment);
    writer.number("machine_hours_h", &mut content.machine_hours_h);
    writer.parts.join(". ")
}

fn subject_words(subject: &SubjectName) -> String {
    match subject {
        SubjectName::Site { site } => format!("site {site}"),
        SubjectName::Machine { machine, .. } => machine.to_string(),
        SubjectName::Unit { machine, unit, .. } => format!("{machine} unit {unit}"),
        SubjectName::Area { area, .. } => format!("area {area}"),
    }
}

fn spaced(id: &str) -> String {
    id.replace('_', " ")
}

/// The key without its unit, as words: `land_width_mm` is "land width".
fn key_words(key: &str, unit: &Unit) -> String {
    let ending = format!("_{}", unit.symbol.to_lowercase());
    let ending = if unit.symbol == "m/s" { "_mps" } else { ending.as_str() };
    spaced(key.strip_suffix(ending).unwrap_or(key))
}

struct Writer<'a> {
    titles: &'a Titles,
    parts: Vec<String>,
    /// The row of a list says that something was not there.
    absent: bool,
}

impl Visitor for Writer<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        if let Some(value) = value {
            let unit = Unit::of_field(key);
            let (words, number) = (key_words(key, unit), plain(*value));
            match unit.symbol {
                "number" => self.parts.push(format!("{words} {number}")),
                symbol => self.parts.push(format!("{words} {number} {symbol}")),
            }
        }
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        if let Some(value) = value {
            self.parts.push(format!("{} {value}", spaced(key)));
        }
    }

    fn flag(&mut self, key: &'static str, value: &mut Option<bool>) {
        match value {
            Some(true) if key != "present" => self.parts.push(spaced(key)),
            Some(false) if key == "present" => self.absent = true,
            Some(false) => self.parts.push(format!("not {}", spaced(key))),
            _ => {}
        }
    }

    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>) {
        if let Some(value) = value {
            self.parts.push(format!("{} {}", spaced(key), spaced(value.id())));
        }
    }

    fn text(&mut self, _: &'static str, _: Length, value: &mut String) {
        if !value.is_empty() {
            self.parts.push(value.clone());
        }
    }

    fn id(&mut self, _: &'static str, list: CatalogueList, value: &mut String) {
        if value.is_empty() {
            return;
        }
        let titles = match list {
            CatalogueList::Findings => &self.titles.findings,
            CatalogueList::Causes => &self.titles.causes,
            CatalogueList::Procedures => &self.titles.procedures,
        };
        // An id that the catalogue no longer has still has its words.
        self.parts.push(titles.get(value).cloned().unwrap_or_else(|| spaced(value)));
    }

    fn subject(&mut self, _: &'static str, _: SubjectKind, value: &mut Option<SubjectName>) {
        if let Some(subject) = value {
            self.parts.push(subject_words(subject));
        }
    }

    fn list<T: Fields + Default>(
        &mut self,
        _: &'static str,
        _: &'static str,
        value: &mut Vec<T>,
    ) {
        for row in value {
            let mut writer = Writer { titles: self.titles, parts: Vec::new(), absent: false };
            row.visit(&mut writer);
            if !writer.absent {
                self.parts.append(&mut writer.parts);
            }
        }
    }
}
