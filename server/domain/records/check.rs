//! May this be stored? Goes through every field and names each one that is out of bounds, too
//! long, not in the catalogue, or missing; all faults at once, so that they are mended at once.
//! Texts come back without blanks around them, minus zero as zero; nothing else is changed.
//! Deliberately absent: whether the machines and records named exist, which the store knows.

use crate::domain::limits::Bound;

use super::bounds::{
    LIST_ROWS_MAX, NAME_CHARACTERS_MAX, OTHER_NAMES_MAX, PHRASE_CHARACTERS_MAX,
    TEXT_CHARACTERS_MAX, bound,
};
use super::choices::Choice;
use super::detail::{Detail, Observation};
use super::fields::{CatalogueList, Fields, Length, Visitor};
use super::names::{SubjectKind, SubjectName};
use super::subject::{Label, NewSubject};
use super::{Content, Moment, NewRecord, RecordError, Which};

/// Cause of a fault that is none of the catalogue's.
pub const OTHER_CAUSE: &str = "other";

/// Which ids the catalogue has.
pub trait Vocabulary {
    fn has(&self, list: CatalogueList, id: &str) -> bool;
}

/// The record, if it may be stored at the moment `now`.
pub fn record(
    mut new: NewRecord,
    vocabulary: &dyn Vocabulary,
    now: Moment,
) -> Result<NewRecord, Vec<RecordError>> {
    let mut check = Check::new(vocabulary);
    if let Some(Err(error)) = new.time.map(|time| time.check("time", now)) {
        check.errors.push(error);
    }
    check.site = Some(new.subject.site().to_string());
    new.content.visit(&mut check);
    check.enough(&new.content);
    check.said_once(&new.content.detail);
    if new.content.withdrawn && new.supersedes.is_none() {
        check.fail("withdrawn", "true", "name the record that is withdrawn");
    }
    if let Some(Which::Name(old)) = &new.supersedes
        && old.subject.site() != new.subject.site()
    {
        check.fail("parent", &new.subject, "an amendment stays on the site of its record");
    }
    if check.errors.is_empty() { Ok(new) } else { Err(check.errors) }
}

/// The machine, unit or area, if it may be stored.
pub fn subject(mut new: NewSubject) -> Result<NewSubject, Vec<RecordError>> {
    let mut check = Check::new(&NoCatalogue);
    check.site = Some(new.name.site().to_string());
    label(&mut check, &mut new.label);
    if new.facts.kind() != new.name.kind() {
        let remedy = format!("it is not the name of a {}", new.facts.kind().word());
        check.fail("name", &new.name, remedy);
    }
    new.facts.visit(&mut check);
    if let super::Facts::Unit(unit) = &new.facts
        && unit.carried_by.as_ref() == Some(&new.name)
    {
        check.fail("carried_by", &new.name, "a unit does not carry itself");
    }
    if check.errors.is_empty() { Ok(new) } else { Err(check.errors) }
}

fn label(check: &mut Check<'_>, label: &mut Label) {
    check.text("display_name", Length::Name, &mut label.display_name);
    if label.display_name.is_empty() {
        check.fail("display_name", "", "say what it is called in the shop");
    }
    check.text("notes", Length::Text, &mut label.notes);
    if label.other_names.len() > OTHER_NAMES_MAX {
        let remedy = format!("give at most {OTHER_NAMES_MAX} other names");
        check.fail("other_names", label.other_names.len(), remedy);
    }
    for (at, name) in label.other_names.iter_mut().enumerate() {
        check.prefix = format!("other_names[{at}]");
        check.text("", Length::Name, name);
        if name.is_empty() {
            check.fail("", "", "leave an empty name out");
        }
    }
    check.prefix.clear();
}

/// Machines, units and areas name nothing of the catalogue.
struct NoCatalogue;

impl Vocabulary for NoCatalogue {
    fn has(&self, _: CatalogueList, _: &str) -> bool {
        false
    }
}

struct Check<'a> {
    vocabulary: &'a dyn Vocabulary,
    errors: Vec<RecordError>,
    /// Path of the list row that is being looked at.
    prefix: String,
    /// Whether the detail said anything at all so far.
    said: bool,
    site: Option<String>,
}

impl<'a> Check<'a> {
    fn new(vocabulary: &'a dyn Vocabulary) -> Check<'a> {
        Check { vocabulary, errors: Vec::new(), prefix: String::new(), said: false, site: None }
    }

    fn fail(&mut self, key: &str, value: impl ToString, remedy: impl Into<String>) {
        let field = match (self.prefix.is_empty(), key.is_empty()) {
            (true, _) => key.to_owned(),
            (false, true) => self.prefix.clone(),
            (false, false) => format!("{}.{key}", self.prefix),
        };
        self.errors.push(RecordError::new(field, value, remedy));
    }

    fn within(&mut self, bound: &Bound, value: f64) {
        if !value.is_finite() || !bound.holds(value) {
            let remedy = format!("it must be {} ({})", bound.range(), bound.why);
            self.fail(bound.field, value, remedy);
        }
    }

    /// Whether the record says what its kind is for.
    fn enough(&mut self, content: &Content) {
        if content.withdrawn {
            return;
        }
        let machine_hours_h = content.machine_hours_h;
        match &content.detail {
            Detail::Sharpening(sharpening) if sharpening.method.is_none() => {
                self.fail("method", "", "say how it was sharpened");
            }
            Detail::PartReplaced(replaced) if replaced.parts.is_empty() => {
                self.fail("parts", "", "say which part was replaced");
            }
            Detail::HeightReading(reading) => {
                if reading.method.is_none() {
                    self.fail("method", "", "say how it was read: bench, bar or prism");
                }
                if reading.readings.is_empty() {
                    self.fail("readings", "", "give at least one height");
                }
            }
            Detail::Hours(hours)
                if machine_hours_h.is_none()
                    && hours.hours_run_h.is_none()
                    && hours.since.is_empty() =>
            {
                self.fail("machine_hours_h", "", "give the meter's reading or the hours run");
            }
            Detail::FaultFixed(fixed)
                if fixed.fault.is_empty()
                    && fixed.cause.is_empty()
                    && fixed.observations.is_empty() =>
            {
                self.fail("fault", "", "say what the fault was");
            }
            Detail::Adjustment(_) | Detail::Inspection(_)
                if !self.said && content.words.is_empty() && content.notes.is_empty() =>
            {
                self.fail("detail", "", "say what was done or seen, in a field or in words");
            }
            Detail::Sharpening(_)
            | Detail::PartReplaced(_)
            | Detail::Hours(_)
            | Detail::Adjustment(_)
            | Detail::FaultFixed(_)
            | Detail::Inspection(_) => {}
        }
    }

    /// A finding is there or not; it is not both.
    fn said_once(&mut self, detail: &Detail) {
        let observations: &[Observation] = match detail {
            Detail::FaultFixed(fixed) => &fixed.observations,
            Detail::Inspection(inspection) => &inspection.observations,
            Detail::Sharpening(_)
            | Detail::Adjustment(_)
            | Detail::PartReplaced(_)
            | Detail::HeightReading(_)
            | Detail::Hours(_) => &[],
        };
        for (at, observation) in observations.iter().enumerate() {
            let earlier = &observations[..at];
            if earlier.iter().any(|other| other.finding == observation.finding) {
                self.prefix = format!("observations[{at}]");
                self.fail("finding", &observation.finding, "say it once");
                self.prefix.clear();
            }
        }
    }
}

impl Visitor for Check<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        if let Some(number) = value {
            // Adding zero turns minus zero into zero and leaves every other number as it is.
            *number += 0.0;
            self.within(bound(key), *number);
            self.said = true;
        }
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        if let Some(count) = *value {
            self.within(bound(key), f64::from(count));
            self.said = true;
        }
    }

    fn flag(&mut self, _: &'static str, value: &mut Option<bool>) {
        self.said |= value.is_some();
    }

    fn choice<C: Choice>(&mut self, _: &'static str, value: &mut Option<C>) {
        self.said |= value.is_some();
    }

    fn text(&mut self, key: &'static str, length: Length, value: &mut String) {
        *value = value.trim().to_owned();
        let limit = match length {
            Length::Name => NAME_CHARACTERS_MAX,
            Length::Phrase => PHRASE_CHARACTERS_MAX,
            Length::Text => TEXT_CHARACTERS_MAX,
        };
        let characters = value.chars().count();
        if characters > limit {
            let start: String = value.chars().take(40).collect();
            let remedy = format!("it has {characters} characters; {limit} are allowed");
            self.fail(key, format!("{start}..."), remedy);
        }
        if value.chars().any(|c| c.is_control() && c != '\n' && c != '\t' && c != '\r') {
            self.fail(key, value.escape_debug().to_string(), "take out the control characters");
        }
        self.said |= !value.is_empty();
    }

    fn id(&mut self, key: &'static str, list: CatalogueList, value: &mut String) {
        *value = value.trim().to_owned();
        let other = list == CatalogueList::Causes && value == OTHER_CAUSE;
        if !value.is_empty() && !other && !self.vocabulary.has(list, value) {
            let remedy = match list {
                CatalogueList::Findings => "no such finding; list them and take one's id",
                CatalogueList::Causes => "no such cause; list them, or write other",
                CatalogueList::Procedures => "no such procedure; list them and take one's id",
            };
            self.fail(key, value.clone(), remedy);
        }
        self.said |= !value.is_empty();
    }

    fn subject(&mut self, key: &'static str, kind: SubjectKind, value: &mut Option<SubjectName>) {
        let Some(name) = value else { return };
        if name.kind() != kind {
            self.fail(key, &*name, format!("name a {}", kind.word()));
        }
        let at_home = self.site.as_deref().is_none_or(|site| site == name.site().as_str());
        if !at_home {
            self.fail(key, &*name, "it is on another site");
        }
        self.said = true;
    }

    fn list<T: Fields + Default>(
        &mut self,
        key: &'static str,
        _: &'static str,
        value: &mut Vec<T>,
    ) {
        if value.len() > LIST_ROWS_MAX {
            let remedy = format!("give at most {LIST_ROWS_MAX}; write a second record");
            self.fail(key, value.len(), remedy);
            return;
        }
        for (at, row) in value.iter_mut().enumerate() {
            self.prefix = format!("{key}[{at}]");
            row.visit(self);
            if let Some((key, remedy)) = row.missing() {
                self.fail(key, "", remedy);
            }
        }
        self.prefix.clear();
        self.said |= !value.is_empty();
    }
}
