//! Which machine, unit or area do these words mean? By id, by what it is called, or by what else
//! people call it; letters of either case, and with or without "no." or "number".
//! Two that fit are a question, never a guess. Deliberately absent: misspellings. A name that is
//! not known is refused with the names that are.

use super::RecordError;
use super::names::{SubjectKind, SubjectName};
use super::subject::Subject;

/// Names that a message shows.
const NAMES_SHOWN_MAX: usize = 8;

/// The machines, units and areas of one site.
#[derive(Debug, Clone, Default)]
pub struct Directory {
    subjects: Vec<Subject>,
}

impl Directory {
    pub fn new(mut subjects: Vec<Subject>) -> Directory {
        subjects.sort_by(|a, b| a.name.cmp(&b.name));
        Directory { subjects }
    }

    /// The one that the words mean; a unit is looked for on `machine` when that is given.
    pub fn find(
        &self,
        field: &str,
        kind: SubjectKind,
        words: &str,
        machine: Option<&SubjectName>,
    ) -> Result<&Subject, RecordError> {
        let among: Vec<&Subject> = self
            .subjects
            .iter()
            .filter(|subject| subject.name.kind() == kind)
            .filter(|subject| machine.is_none_or(|machine| machine.holds(&subject.name)))
            .collect();
        let by_id: Vec<&Subject> =
            among.iter().copied().filter(|s| s.name.id().as_str() == words.trim()).collect();
        let fit = if by_id.is_empty() {
            let wanted = folded(words);
            among.iter().copied().filter(|subject| is_called(subject, &wanted)).collect()
        } else {
            by_id
        };
        match fit[..] {
            [only] => Ok(only),
            [] => Err(RecordError::new(field, words, unknown(kind, &among))),
            _ => Err(RecordError::new(field, words, format!("it may be {}", listed(&fit, " or ")))),
        }
    }
}

fn is_called(subject: &Subject, wanted: &str) -> bool {
    let label = &subject.label;
    !wanted.is_empty()
        && std::iter::once(label.display_name.as_str())
            .chain(label.other_names.iter().map(String::as_str))
            .chain(std::iter::once(subject.name.id().as_str()))
            .any(|name| folded(name) == wanted)
}

/// "No.2 Walker" and "number 2 walker" are both "2 walker".
fn folded(words: &str) -> String {
    let lower = words.to_lowercase();
    let parts: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|part| !["", "no", "number", "the"].contains(part))
        .collect();
    parts.join(" ")
}

fn unknown(kind: SubjectKind, among: &[&Subject]) -> String {
    let word = kind.word();
    if among.is_empty() {
        return format!("no {word} is known here yet; add it first");
    }
    format!("no {word} is called so; add it, or write one of: {}", listed(among, ", "))
}

fn listed(subjects: &[&Subject], between: &str) -> String {
    let mut names: Vec<String> = subjects
        .iter()
        .take(NAMES_SHOWN_MAX)
        .map(|subject| format!("{} ({})", subject.name.id(), subject.label.display_name))
        .collect();
    if subjects.len() > NAMES_SHOWN_MAX {
        names.push(format!("{} more", subjects.len() - NAMES_SHOWN_MAX));
    }
    names.join(between)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::Moment;
    use crate::domain::records::subject::{Facts, Label, Machine};

    fn machine(id: &str, display_name: &str, other_names: &[&str]) -> Subject {
        let moment = Moment::from_microseconds(0);
        Subject {
            name: SubjectName::parse("name", &format!("sites/home/machines/{id}")).expect(id),
            label: Label {
                display_name: display_name.to_owned(),
                other_names: other_names.iter().map(|&name| name.to_owned()).collect(),
                ..Label::default()
            },
            facts: Facts::Machine(Machine::default()),
            created: moment,
            updated: moment,
            version: 1,
        }
    }

    fn directory() -> Directory {
        Directory::new(vec![
            machine("walker-2", "No. 2 walker", &[]),
            machine("walker-3", "No. 3 walker", &["the old walker"]),
            machine("bess", "Fairway gang", &["Old Bess", "the old walker"]),
        ])
    }

    #[test]
    fn machines_are_found_by_what_people_call_them() {
        for (words, id) in [
            ("walker-2", "walker-2"),
            ("number 2 Walker", "walker-2"),
            ("No.2 walker", "walker-2"),
            ("old bess", "bess"),
            ("Fairway Gang", "bess"),
        ] {
            let directory = directory();
            let found = directory.find("machine", SubjectKind::Machine, words, None).expect(words);
            assert_eq!(found.name.id().as_str(), id, "{words}");
        }
    }

    #[test]
    fn what_fits_two_or_none_is_refused_with_the_names() {
        let directory = directory();
        let error = directory
            .find("machine", SubjectKind::Machine, "the old walker", None)
            .expect_err("two are called so");
        assert_eq!(error.remedy, "it may be bess (Fairway gang) or walker-3 (No. 3 walker)");
        for words in ["walker 9", "", "the"] {
            let error = directory
                .find("machine", SubjectKind::Machine, words, None)
                .expect_err("none is called so");
            assert!(error.remedy.contains("walker-2 (No. 2 walker)"), "{words}");
        }
        let error = directory
            .find("area", SubjectKind::Area, "6 green", None)
            .expect_err("no area is known");
        assert_eq!(error.remedy, "no area is known here yet; add it first");
    }
}
