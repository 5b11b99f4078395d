//! What cures the complaint that is being looked into: "right, backed it off and it's good now"? The
//! record of it is about the unit of the complaint, keeps what was complained of beside what was
//! done, and names the cause whose remedy was advised first, to be seen before the yes.
//! Deliberately absent: work that is told while nothing is complained of.

use crate::domain::conversation::decide::{Meaning, Sense};
use crate::domain::records::bounds::PHRASE_CHARACTERS_MAX;
use crate::domain::tried;
use crate::pb;
use crate::pb::command::Request as Command;

/// Small talk before what was done.
const BEFORE: &[&str] = &["right ", "right, ", "ok ", "ok, ", "yeah ", "yeah, ", "well ", "so ", "and "];

/// Puts the complaint beside the work that cured it.
pub(super) fn of_the_case(meaning: &mut Meaning<Command>, case: &pb::DiagnoseRequest, cause: &str) {
    if let Some((more, done)) = beside(meaning, case, cause) {
        meaning.understood = format!(
            "{} Fault fixed: {}; {done}.",
            meaning.understood,
            case.complaint.trim_end_matches('.')
        );
        meaning.kind = format!("{}, fault", meaning.kind);
        meaning.sense = Sense::Write(Command::BatchCreateRecords(more));
        return;
    }
    let Sense::Write(Command::CreateRecord(request)) = &mut meaning.sense else { return };
    if !is_within(&request.parent, &case.unit) {
        return;
    }
    let Some(record) = &mut request.record else { return };
    let Some(pb::record::Detail::FaultFixed(fault)) = &mut record.detail else { return };
    // Who tells the fault again has told both; "done it" tells none.
    if !fault.action.is_empty() && !only_done(&fault.fault) && !tried::helped(&fault.fault) {
        return;
    }
    let done = what_was_done(&record.words, &record.done_by);
    let told = if fault.action.is_empty() { fault.fault.clone() } else { fault.action.clone() };
    fault.action = if done.is_empty() { told } else { done };
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

/// "Done it", "did that": no fault.
fn only_done(fault: &str) -> bool {
    const WORDS: &[&str] = &["done", "did", "it", "that", "sorted", "fixed", "finished", "all", "right", "ok", "job", "yes", "yeah"];
    fault.split_whitespace().all(|word| {
        WORDS.contains(&word.trim_matches([',', '.', ';']).to_lowercase().as_str())
    })
}

/// As it was said, up to how long it took.
fn what_was_done(words: &str, who: &str) -> String {
    const ENDS: &[&str] = &[" and it's", " and it is", " and it ", " so it ", " and all", " and that", " its ", " it's ",
        " and they", " and no ", " and the noise", " and quiet", " and gone"];
    const ENDED: &[&str] = &["done it", "did it", "done that", "did that", "all done", "fixed it", "sorted it", "cured it", "fixed", "sorted", "done", "right", "ok", "all right", "alright", "okay"];
    const TOLD: &[&str] = &[" min", " hour", " hr", "gone", "good", "fine", "paper", "cuts", "now", "thanks", "please", "log it", "done by"];
    let of = |part: &str| -> Option<String> {
        let mut done = part.trim();
        let end = ENDS.iter().filter_map(|end| done.find(end)).min();
        done = &done[..end.unwrap_or(done.len())];
        while let Some(rest) = BEFORE.iter().find_map(|small| done.strip_prefix(small)) {
            done = rest;
        }
        done = done.strip_suffix(" and").unwrap_or(done);
        let lower = done.to_lowercase();
        let other = lower == "and" || ENDED.contains(&lower.as_str()) || TOLD.iter().any(|word| lower.contains(word));
        let other = other || lower.trim_end_matches('.') == who.to_lowercase();
        (!done.is_empty() && !other).then(|| done.to_owned())
    };
    let all: Vec<String> = words.split([',', ';']).filter_map(of).collect();
    all.join(", ").trim_end_matches('.').chars().take(PHRASE_CHARACTERS_MAX).collect()
}

/// "Dressed the nick out, cuts paper": work of its own kind that cured the complaint makes a record of
/// the fault beside it, and what was done in words.
fn beside(
    meaning: &Meaning<Command>,
    case: &pb::DiagnoseRequest,
    cause: &str,
) -> Option<(pb::BatchCreateRecordsRequest, String)> {
    use pb::record::Detail::{Adjustment, PartReplaced, Sharpening};
    let Sense::Write(Command::CreateRecord(request)) = &meaning.sense else { return None };
    let record = request.record.as_ref()?;
    let work = matches!(record.detail, Some(Adjustment(_) | PartReplaced(_) | Sharpening(_)));
    let lower = record.words.to_lowercase();
    let says = |signs: &[&str]| signs.iter().any(|sign| lower.contains(sign));
    let well = says(&["gone", "it is fine", "it's fine", "right now"]);
    let well = well && !tried::goes_on(&record.words) && !tried::is_trial(&record.words);
    let gone = well || tried::helped_with(&case.complaint, &record.words);
    let cured = work && gone && meaning.missing.is_empty();
    if !cured || !is_within(&request.parent, &case.unit) {
        return None;
    }
    let done = what_was_done(&record.words, &record.done_by);
    let fault = pb::FaultFixedDetail {
        fault: case.complaint.chars().take(PHRASE_CHARACTERS_MAX).collect(),
        action: done.clone(),
        cause: cause.to_owned(),
        fixed: Some(true),
        ..pb::FaultFixedDetail::default()
    };
    let mut second = request.clone();
    second.parent.clone_from(&case.unit);
    second.record = Some(pb::Record {
        detail: Some(pb::record::Detail::FaultFixed(fault)),
        // The time is that of the work, and is counted once.
        duration_min: None,
        machine_hours_h: None,
        notes: String::new(),
        ..record.clone()
    });
    let requests = vec![request.clone(), second];
    Some((pb::BatchCreateRecordsRequest { requests, ..pb::BatchCreateRecordsRequest::default() },
        done))
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

    #[test]
    fn what_was_done_is_kept_as_it_was_said() {
        for (words, wanted) in [
            ("right backed it off and it's good now, 10 min", "backed it off"),
            ("fixed it, dressed the nick out and lapped it", "dressed the nick out and lapped it"),
            ("filed it, 20 min, gone", "filed it"),
            ("done it, backed off, quiet now, Group B", "backed off"),
            ("All right, we eased the left end and it cuts now", "we eased the left end"),
        ] {
            assert_eq!(what_was_done(words, "Group B"), wanted);
        }
    }
}
