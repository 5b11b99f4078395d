//! What does one record teach? A fault that is gone, with its cause, counts for that cause and for
//! each finding that someone looked for; a remedy tried counts as cured or not.
//! Counts only add, so their order cannot matter, and a record that is superseded takes back what
//! it gave. Deliberately absent: what the counts are worth against the table, which is for
//! diagnosis to say.

use crate::domain::catalogue::Equipment;

use super::check::OTHER_CAUSE;
use super::detail::Detail;
use super::names::Id;
use super::{Content, Record};

/// Where a lesson belongs. Units without a type teach their shop only.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub site: Id,
    pub equipment: Equipment,
    pub unit_type: String,
    /// Cause of the catalogue, or `other` when it was none of them.
    pub cause: String,
}

/// What was counted.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// The cause was the one, and its fault is gone. Only ever counted as yes.
    Confirmed,
    /// The finding was there, or not, when the cause was the one.
    Finding(String),
    /// The procedure cured the cause, or did not.
    Remedy(String),
}

/// A count of yes and no.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lesson {
    pub place: Place,
    pub topic: Topic,
    pub yes: u64,
    pub no: u64,
}

/// What a stored record adds to the counts; nothing unless it is a fault fixed, or tried, whose
/// cause and equipment are known.
pub fn lessons(record: &Record) -> Vec<Lesson> {
    of_content(&record.content, record.name.subject.site(), &record.unit_type)
}

fn of_content(content: &Content, site: &Id, unit_type: &str) -> Vec<Lesson> {
    let Detail::FaultFixed(fault) = &content.detail else { return Vec::new() };
    let (Some(equipment), Some(fixed)) = (content.equipment, fault.fixed) else {
        return Vec::new();
    };
    if content.withdrawn || fault.cause.is_empty() {
        return Vec::new();
    }
    let place = Place {
        site: site.clone(),
        equipment,
        unit_type: unit_type.to_owned(),
        cause: fault.cause.clone(),
    };
    let count = |topic: Topic, yes: bool| Lesson {
        place: place.clone(),
        topic,
        yes: u64::from(yes),
        no: u64::from(!yes),
    };
    let mut lessons = Vec::new();
    if fixed {
        lessons.push(count(Topic::Confirmed, true));
    }
    // Which findings an unknown cause shows teaches nothing about the known ones.
    if fixed && fault.cause != OTHER_CAUSE {
        let seen = fault.observations.iter().filter_map(|observation| {
            let present = observation.present?;
            Some(count(Topic::Finding(observation.finding.clone()), present))
        });
        lessons.extend(seen);
    }
    if !fault.procedure.is_empty() {
        lessons.push(count(Topic::Remedy(fault.procedure.clone()), fixed));
    }
    lessons
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::detail::{FaultFixed, Hours, Observation};

    fn content(fixed: Option<bool>, cause: &str) -> Content {
        let observation = |finding: &str, present: bool| Observation {
            finding: finding.to_owned(),
            present: Some(present),
        };
        let mut content = Content::new(Detail::FaultFixed(FaultFixed {
            cause: cause.to_owned(),
            procedure: "dress_nick".to_owned(),
            fixed,
            observations: vec![observation("uncut_line", true), observation("all_units", false)],
            ..FaultFixed::default()
        }));
        content.equipment = Some(Equipment::ReelUnit);
        content
    }

    fn told(content: &Content) -> Vec<(Topic, u64, u64)> {
        let lessons = of_content(content, &Id::home(), "greens reel");
        lessons.into_iter().map(|lesson| (lesson.topic, lesson.yes, lesson.no)).collect()
    }

    #[test]
    fn a_confirmed_fix_counts_its_cause_findings_and_remedy() {
        assert_eq!(
            told(&content(Some(true), "edge_damage")),
            [
                (Topic::Confirmed, 1, 0),
                (Topic::Finding("uncut_line".to_owned()), 1, 0),
                (Topic::Finding("all_units".to_owned()), 0, 1),
                (Topic::Remedy("dress_nick".to_owned()), 1, 0),
            ]
        );
    }

    #[test]
    fn a_remedy_that_failed_confirms_no_cause() {
        assert_eq!(
            told(&content(Some(false), "edge_damage")),
            [(Topic::Remedy("dress_nick".to_owned()), 0, 1)]
        );
    }

    #[test]
    fn nothing_is_learnt_from_what_nobody_confirmed() {
        assert!(told(&content(None, "edge_damage")).is_empty());
        assert!(told(&content(Some(true), "")).is_empty());
        let mut without = content(Some(true), "edge_damage");
        without.equipment = None;
        assert!(told(&without).is_empty());
        let mut withdrawn = content(Some(true), "edge_damage");
        withdrawn.withdrawn = true;
        assert!(told(&withdrawn).is_empty());
        let mut hours = Content::new(Detail::Hours(Hours::default()));
        hours.equipment = Some(Equipment::ReelUnit);
        assert!(told(&hours).is_empty());
    }

    #[test]
    fn a_cause_outside_the_catalogue_counts_as_other_only() {
        let topics: Vec<Topic> =
            told(&content(Some(true), OTHER_CAUSE)).into_iter().map(|(topic, ..)| topic).collect();
        assert_eq!(topics, [Topic::Confirmed, Topic::Remedy("dress_nick".to_owned())]);
    }
}
