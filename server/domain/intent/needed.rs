//! What can a record not do without, and did the words not say?

use super::subjects::{Known, Shop};
use crate::domain::records::{Content, Detail, SubjectKind, SubjectName};

/// More machines than these are not listed.
const MACHINES_MAX: usize = 8;

/// What a record cannot do without. `unit`: what was called the unit, when its machine was not
/// said.
pub fn missing(
    records: &[(SubjectName, Content)],
    shop: &Shop,
    unit: Option<&str>,
) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    for (name, content) in records {
        if name.kind() == SubjectKind::Site && !out.iter().any(|(field, _)| *field == "parent") {
            out.push(("parent", which_machine(shop, unit)));
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

/// "Say which machine or area it was: Meadow quint, Bank rotary", those that have such a unit.
fn which_machine(shop: &Shop, unit: Option<&str>) -> String {
    let has = |machine: &Known| {
        unit.is_none_or(|unit| {
            let wanted = unit.to_lowercase().replace(' ', "-");
            shop.unit(&machine.name, &wanted).is_some()
        })
    };
    let machines = shop.subjects.iter().filter(|known| known.name.kind() == SubjectKind::Machine);
    let called = |known: &Known| known.names.first().cloned().unwrap_or_default();
    let all: Vec<String> = machines.filter(|known| has(known)).map(called).collect();
    match all.len() {
        1..=MACHINES_MAX => format!("say which machine or area it was: {}", all.join(", ")),
        _ => "say which machine or area it was".to_owned(),
    }
}
