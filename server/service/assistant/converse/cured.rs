//! What cures the complaint that is being looked into: "right, backed it off and it's good now"? The
//! record of it is about the unit of the complaint, keeps what was complained of beside what was
//! done, and names the cause whose remedy was advised first, to be seen before the yes.
//! Deliberately absent: work that is told while nothing is complained of.

use crate::domain::conversation::decide::{Meaning, Sense};
use crate::domain::records::bounds::PHRASE_CHARACTERS_MAX;
use crate::pb;
use crate::pb::command::Request as Command;

/// Small talk before what was done.
const BEFORE: &[&str] = &["right ", "right, ", "ok ", "ok, ", "yeah ", "yeah, ", "well ", "so ", "and "];

/// Puts the complaint beside the work that cured it.
pub(super) fn of_the_case(meaning: &mut Meaning<Command>, case: &pb::DiagnoseRequest, cause: &str) {
    let Sense::Write(Command::CreateRecord(request)) = &mut meaning.sense else { return };
    if !is_within(&request.parent, &case.unit) {
        return;
    }
    let Some(record) = &mut request.record else { return };
    let Some(pb::record::Detail::FaultFixed(fault)) = &mut record.detail else { return };
    // Who tells the fault again has told both.
    if !fault.action.is_empty() {
        return;
    }
    let mut done = fault.fault.as_str();
    while let Some(rest) = BEFORE.iter().find_map(|small| done.strip_prefix(small)) {
        done = rest;
    }
    fault.action = done.to_owned();
    fault.fault = case.complaint.chars().take(PHRASE_CHARACTERS_MAX).collect();
    if fault.cause.is_empty() && fault.fixed == Some(true) {
        cause.clone_into(&mut fault.cause);
    }
    if !case.unit.is_empty() {
        request.parent.clone_from(&case.unit);
        meaning.subject.clone_from(&case.unit);
    }
    let unit = super::turn::without_paths(&request.parent);
    meaning.understood = format!("Record fault fixed on {unit}: {}; {}.", fault.fault, fault.action);
    meaning.missing.clear();
}

/// Whether the work was on the unit, its machine, or nothing that was named.
fn is_within(parent: &str, unit: &str) -> bool {
    let machine = unit.split("/units/").next().unwrap_or_default();
    !unit.is_empty() && (parent == unit || parent == machine || !parent.contains("/machines/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_on_the_unit_its_machine_or_nothing_named_is_of_the_complaint() {
        let unit = "sites/home/machines/gang/units/2";
        for (parent, wanted) in [
            (unit, true),
            ("sites/home/machines/gang", true),
            ("sites/home", true),
            ("sites/home/machines/gang/units/3", false),
            ("sites/home/machines/bank", false),
        ] {
            assert_eq!(is_within(parent, unit), wanted, "{parent}");
        }
        assert!(!is_within("sites/home", ""));
    }
}
