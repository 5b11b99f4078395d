//! What can a record not do without, and did the words not say?

use crate::domain::records::{Content, Detail, SubjectKind, SubjectName};

/// What a record cannot do without.
pub fn missing(records: &[(SubjectName, Content)]) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    for (name, content) in records {
        if name.kind() == SubjectKind::Site && !out.iter().any(|(field, _)| *field == "parent") {
            out.push(("parent", "say which machine or area it was".to_owned()));
        }
        let empty = match &content.detail {
            Detail::PartReplaced(detail) if detail.parts.is_empty() => {
                Some(("parts", "say which part was replaced"))
            }
            Detail::HeightReading(detail) if detail.readings.is_empty() => {
                Some(("readings", "give the heights that were read"))
            }
            Detail::Hours(detail)
                if detail.hours_run_h.is_none()
                    && detail.since.is_empty()
                    && content.machine_hours_h.is_none() =>
            {
                Some(("hours_run_h", "give the hours"))
            }
            _ => None,
        };
        if let Some((field, why)) = empty
            && !out.iter().any(|(known, _)| *known == field)
        {
            out.push((field, why.to_owned()));
        }
    }
    out
}
