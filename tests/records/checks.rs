//! What may be stored is said with every fault at once, by field, value and remedy.

use sward_core::domain::records::bounds::NAME_CHARACTERS_MAX;
use sward_core::domain::records::check::{self, OTHER_CAUSE, Vocabulary};
use sward_core::domain::records::choices::SharpeningMethod;
use sward_core::domain::records::detail::{
    Adjustment, FaultFixed, HeightPoint, HeightReading, Hours, Inspection, Observation, Part,
    PartReplaced, Sharpening,
};
use sward_core::domain::records::fields::CatalogueList;
use sward_core::domain::records::{
    Content, Detail, NewRecord, RecordError, RequestId, SubjectName,
};

use super::filled::NOW;

struct Known;

impl Vocabulary for Known {
    fn has(&self, _: CatalogueList, id: &str) -> bool {
        ["uncut_line", "edge_damage", "dress_nick"].contains(&id)
    }
}

fn checked(content: Content) -> Result<NewRecord, Vec<RecordError>> {
    let new = NewRecord {
        subject: SubjectName::home(),
        time: None,
        request_id: RequestId::of_content(b"a record"),
        supersedes: None,
        content,
    };
    check::record(new, &Known, NOW)
}

fn faults(content: Content) -> Vec<RecordError> {
    checked(content).err().unwrap_or_default()
}

fn fields(detail: Detail) -> Vec<String> {
    faults(Content::new(detail)).into_iter().map(|error| error.field).collect()
}

fn sound() -> Sharpening {
    Sharpening { method: Some(SharpeningMethod::Backlap), ..Sharpening::default() }
}

#[test]
fn every_fault_is_named_at_once() {
    let sharpening = Sharpening {
        method: None,
        grit: Some(4),
        diameter_before_mm: Some(5.02),
        relief_angle_deg: Some(f64::NAN),
        ..Sharpening::default()
    };
    let errors = faults(Content::new(Detail::Sharpening(sharpening)));
    let named: Vec<&str> = errors.iter().map(|error| error.field.as_str()).collect();
    assert_eq!(named, ["grit", "diameter_before_mm", "relief_angle_deg", "method"]);
    assert_eq!(
        errors[1].to_string(),
        "diameter_before_mm is \"5.02\": it must be at least 20 and at most 1000 mm \
         (diameter before grinding)"
    );
}

#[test]
fn a_row_of_a_list_is_named_by_its_place() {
    let reading = HeightReading {
        readings: vec![
            HeightPoint { height_mm: Some(3.5), ..HeightPoint::default() },
            HeightPoint { height_mm: Some(350.0), ..HeightPoint::default() },
            HeightPoint::default(),
        ],
        ..HeightReading::default()
    };
    assert_eq!(
        fields(Detail::HeightReading(reading)),
        ["readings[1].height_mm", "readings[2].height_mm", "method"]
    );
}

#[test]
fn a_record_says_what_its_kind_is_for() {
    for (detail, field) in [
        (Detail::Sharpening(Sharpening::default()), "method"),
        (Detail::Inspection(Inspection::default()), "detail"),
        (Detail::PartReplaced(PartReplaced::default()), "parts"),
        (Detail::Hours(Hours::default()), "machine_hours_h"),
        (Detail::FaultFixed(FaultFixed::default()), "fault"),
    ] {
        assert_eq!(fields(detail), [field]);
    }
    let part = PartReplaced { parts: vec![Part::default()], ..PartReplaced::default() };
    assert_eq!(fields(Detail::PartReplaced(part)), ["parts[0].part"]);
    let mut seen = Content::new(Detail::Inspection(Inspection::default()));
    seen.words = "no leaks".to_owned();
    assert_eq!(faults(seen), []);
}

#[test]
fn findings_and_causes_are_those_of_the_catalogue() {
    let observation =
        |finding: &str| Observation { finding: finding.to_owned(), present: Some(true) };
    let fixed = |cause: &str, findings: &[&str]| {
        Detail::FaultFixed(FaultFixed {
            cause: cause.to_owned(),
            observations: findings.iter().map(|finding| observation(finding)).collect(),
            ..FaultFixed::default()
        })
    };
    assert!(fields(fixed("edge_damage", &["uncut_line"])).is_empty());
    assert!(fields(fixed(OTHER_CAUSE, &[])).is_empty());
    assert_eq!(fields(fixed("gremlins", &[])), ["cause"]);
    assert_eq!(fields(fixed("", &["other"])), ["observations[0].finding"]);
    assert_eq!(fields(fixed("", &["uncut_line", "uncut_line"])), ["observations[1].finding"]);
}

#[test]
fn texts_are_trimmed_and_bounded() {
    let mut content = Content::new(Detail::Sharpening(sound()));
    content.done_by = format!("  {} ", "a".repeat(NAME_CHARACTERS_MAX));
    assert_eq!(faults(content.clone()), []);
    content.done_by = "\u{e9}".repeat(NAME_CHARACTERS_MAX + 1);
    content.words = "bell\u{7}".to_owned();
    let named: Vec<String> = faults(content).into_iter().map(|error| error.field).collect();
    assert_eq!(named, ["done_by", "words"]);
}

#[test]
fn a_withdrawal_needs_its_record_and_nothing_else() {
    let mut content = Content::new(Detail::Sharpening(Sharpening::default()));
    content.withdrawn = true;
    let named: Vec<String> = faults(content).into_iter().map(|error| error.field).collect();
    assert_eq!(named, ["withdrawn"]);
}

#[test]
fn minus_zero_is_zero() {
    let adjustment = Adjustment { turns: Some(-0.0), ..Adjustment::default() };
    let new = checked(Content::new(Detail::Adjustment(adjustment))).expect("valid");
    let Detail::Adjustment(adjustment) = new.content.detail else { panic!("an adjustment") };
    assert!(adjustment.turns.expect("kept").is_sign_positive());
}
