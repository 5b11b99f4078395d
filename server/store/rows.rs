//! Which text is stored for a record, machine, unit or area? JSON with a format number beside it.
//! The keys below are on people's disks: a key is never given another meaning. A change that old
//! text cannot be read as takes a new format number, and its reader joins the match at the end.

use serde::{Deserialize, Serialize};

use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::{
    AdjustmentTarget, Condition, Direction, HeightMethod, Place, ReplacementReason,
    SharpeningMethod, Surface,
};
use crate::domain::records::detail::{
    Adjustment, Detail, FaultFixed, HeightPoint, HeightReading, Hours, HoursSince, Inspection,
    InspectionItem, Observation, Part, PartReplaced, Sharpening,
};
use crate::domain::records::subject::{Area, Facts, Label, Machine, Unit};
use crate::domain::records::{Content, RecordError, RecordKind, SubjectKind, SubjectName};

use super::row_format::{Kept, kept, says_nothing};

/// Format of the text that is written now.
pub const TEXT_FORMAT: i64 = 1;

kept! { SharpeningRow for Sharpening {
    "method": method: Option<SharpeningMethod>,
    "duration_each_min": duration_each_min: Option<f64>,
    "grit": grit: Option<u32>,
    "diameter_before_mm": diameter_before_mm: Option<f64>,
    "diameter_after_mm": diameter_after_mm: Option<f64>,
    "relief_angle_deg": relief_angle_deg: Option<f64>,
    "land_width_mm": land_width_mm: Option<f64>,
    "bedknife_top_angle_deg": bedknife_top_angle_deg: Option<f64>,
    "bedknife_front_angle_deg": bedknife_front_angle_deg: Option<f64>,
    "sharpened_blade_count": sharpened_blade_count: Option<u32>,
    "mass_removed_g": mass_removed_g: Option<f64>,
    "balanced": balanced: Option<bool>,
    "result": result: String,
} }

kept! { AdjustmentRow for Adjustment {
    "target": target: Option<AdjustmentTarget>,
    "end": end: Option<Place>,
    "hanger": hanger: Option<Place>,
    "height_change_mm": height_change_mm: Option<f64>,
    "turns": turns: Option<f64>,
    "setting_before_mm": setting_before_mm: Option<f64>,
    "setting_mm": setting_mm: Option<f64>,
    "movement_mm": movement_mm: Option<f64>,
    "direction": direction: Option<Direction>,
    "pressure_before_kpa": pressure_before_kpa: Option<f64>,
    "pressure_kpa": pressure_kpa: Option<f64>,
    "result": result: String,
} }

kept! { PartReplacedRow for PartReplaced {
    "parts": parts: Vec<Part>,
    "result": result: String,
} }

kept! { PartRow for Part {
    "part": part: String,
    "count": count: Option<u32>,
    "life_h": life_h: Option<f64>,
    "reason": reason: Option<ReplacementReason>,
    "old_diameter_mm": old_diameter_mm: Option<f64>,
    "thickness_mm": thickness_mm: Option<f64>,
} }

kept! { HeightReadingRow for HeightReading {
    "method": method: Option<HeightMethod>,
    "readings": readings: Vec<HeightPoint>,
    "bench_height_mm": bench_height_mm: Option<f64>,
    "target_height_mm": target_height_mm: Option<f64>,
} }

kept! { HeightPointRow for HeightPoint {
    "unit": unit: Option<SubjectName>,
    "area": area: Option<SubjectName>,
    "end": end: Option<Place>,
    "height_mm": height_mm: Option<f64>,
} }

kept! { InspectionRow for Inspection {
    "observations": observations: Vec<Observation>,
    "items": items: Vec<InspectionItem>,
    "left_diameter_mm": left_diameter_mm: Option<f64>,
    "right_diameter_mm": right_diameter_mm: Option<f64>,
    "land_width_mm": land_width_mm: Option<f64>,
    "gap_mm": gap_mm: Option<f64>,
    "end_play_mm": end_play_mm: Option<f64>,
    "clip_spacing_mm": clip_spacing_mm: Option<f64>,
    "pressure_kpa": pressure_kpa: Option<f64>,
    "blade_stop_time_s": blade_stop_time_s: Option<f64>,
    "reel_speed_rpm": reel_speed_rpm: Option<f64>,
    "ground_speed_mps": ground_speed_mps: Option<f64>,
} }

kept! { InspectionItemRow for InspectionItem {
    "item": item: String,
    "condition": condition: Option<Condition>,
    "found": found: String,
    "remaining_h": remaining_h: Option<f64>,
} }

kept! { ObservationRow for Observation {
    "finding": finding: String,
    "present": present: Option<bool>,
} }

kept! { FaultFixedRow for FaultFixed {
    "fault": fault: String,
    "found": found: String,
    "action": action: String,
    "cause": cause: String,
    "procedure": procedure: String,
    "fixed": fixed: Option<bool>,
    "hours_since_h": hours_since_h: Option<f64>,
    "observations": observations: Vec<Observation>,
    "parts": parts: Vec<Part>,
} }

kept! { HoursRow for Hours {
    "hours_run_h": hours_run_h: Option<f64>,
    "since": since: Vec<HoursSince>,
} }

kept! { HoursSinceRow for HoursSince {
    "since": since: String,
    "hours_h": hours_h: Option<f64>,
} }

kept! { MachineRow for Machine {
    "equipment": equipment: Option<Equipment>,
    "working_width_mm": working_width_mm: Option<f64>,
} }

kept! { UnitRow for Unit {
    "equipment": equipment: Option<Equipment>,
    "unit_type": unit_type: String,
    "position": position: Option<u32>,
    "carried_by": carried_by: Option<SubjectName>,
    "blade_count": blade_count: Option<u32>,
    "width_mm": width_mm: Option<f64>,
    "new_diameter_mm": new_diameter_mm: Option<f64>,
    "minimum_diameter_mm": minimum_diameter_mm: Option<f64>,
    "height_change_per_turn_mm": height_change_per_turn_mm: Option<f64>,
} }

kept! { AreaRow for Area {
    "surface": surface: Option<Surface>,
    "area_ha": area_ha: Option<f64>,
    "target_effective_height_mm": target_effective_height_mm: Option<f64>,
} }

kept! { LabelRow for Label {
    "display_name": display_name: String,
    "other_names": other_names: Vec<String>,
    "notes": notes: String,
    "retired": retired: bool,
} }

/// A record's content: what every kind has, and the detail of its kind.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ContentRow<D: Default + PartialEq> {
    #[serde(rename = "equipment", default, skip_serializing_if = "says_nothing")]
    equipment: Option<String>,
    #[serde(rename = "duration_min", default, skip_serializing_if = "says_nothing")]
    duration_min: Option<f64>,
    #[serde(rename = "machine_hours_h", default, skip_serializing_if = "says_nothing")]
    machine_hours_h: Option<f64>,
    #[serde(rename = "done_by", default, skip_serializing_if = "says_nothing")]
    done_by: String,
    #[serde(rename = "words", default, skip_serializing_if = "says_nothing")]
    words: String,
    #[serde(rename = "notes", default, skip_serializing_if = "says_nothing")]
    notes: String,
    #[serde(rename = "detail", default, skip_serializing_if = "says_nothing")]
    detail: D,
}

/// A subject's label, and the facts of its kind.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SubjectRow<F: Default + PartialEq> {
    label: LabelRow,
    #[serde(default, skip_serializing_if = "says_nothing")]
    facts: F,
}

/// The text of a record. Whether it is a withdrawal stands in a column of its own.
pub fn content_text(content: &Content) -> String {
    match &content.detail {
        Detail::Sharpening(detail) => content_row(content, detail),
        Detail::Adjustment(detail) => content_row(content, detail),
        Detail::PartReplaced(detail) => content_row(content, detail),
        Detail::HeightReading(detail) => content_row(content, detail),
        Detail::Inspection(detail) => content_row(content, detail),
        Detail::FaultFixed(detail) => content_row(content, detail),
        Detail::Hours(detail) => content_row(content, detail),
    }
}

fn content_row<D: Kept>(content: &Content, detail: &D) -> String {
    let Content {
        detail: _,
        equipment,
        duration_min,
        machine_hours_h,
        done_by,
        words,
        notes,
        withdrawn: _,
    } = content;
    json(&ContentRow {
        equipment: equipment.form(),
        duration_min: *duration_min,
        machine_hours_h: *machine_hours_h,
        done_by: done_by.clone(),
        words: words.clone(),
        notes: notes.clone(),
        detail: detail.form(),
    })
}

fn json<T: Serialize>(row: &T) -> String {
    serde_json::to_string(row).expect("rows have text keys and finite numbers")
}

/// The content of a record, from its stored text.
pub fn content(kind: RecordKind, format: i64, text: &str) -> Result<Content, RecordError> {
    only_format(format)?;
    match kind {
        RecordKind::Sharpening => content_of(text, Detail::Sharpening),
        RecordKind::Adjustment => content_of(text, Detail::Adjustment),
        RecordKind::PartReplaced => content_of(text, Detail::PartReplaced),
        RecordKind::HeightReading => content_of(text, Detail::HeightReading),
        RecordKind::Inspection => content_of(text, Detail::Inspection),
        RecordKind::FaultFixed => content_of(text, Detail::FaultFixed),
        RecordKind::Hours => content_of(text, Detail::Hours),
    }
}

fn content_of<D: Kept>(text: &str, detail: impl Fn(D) -> Detail) -> Result<Content, RecordError> {
    let row: ContentRow<D::Form> = serde_json::from_str(text).map_err(unreadable)?;
    Ok(Content {
        detail: detail(D::restored(row.detail)?),
        equipment: Kept::restored(row.equipment)?,
        duration_min: row.duration_min,
        machine_hours_h: row.machine_hours_h,
        done_by: row.done_by,
        words: row.words,
        notes: row.notes,
        withdrawn: false,
    })
}

pub fn subject_text(label: &Label, facts: &Facts) -> String {
    match facts {
        Facts::Site => json(&SubjectRow { label: label.form(), facts: () }),
        Facts::Machine(facts) => json(&SubjectRow { label: label.form(), facts: facts.form() }),
        Facts::Unit(facts) => json(&SubjectRow { label: label.form(), facts: facts.form() }),
        Facts::Area(facts) => json(&SubjectRow { label: label.form(), facts: facts.form() }),
    }
}

pub fn subject(kind: SubjectKind, format: i64, text: &str) -> Result<(Label, Facts), RecordError> {
    only_format(format)?;
    match kind {
        SubjectKind::Site => {
            let row: SubjectRow<()> = serde_json::from_str(text).map_err(unreadable)?;
            Ok((Label::restored(row.label)?, Facts::Site))
        }
        SubjectKind::Machine => subject_of(text, Facts::Machine),
        SubjectKind::Unit => subject_of(text, Facts::Unit),
        SubjectKind::Area => subject_of(text, Facts::Area),
    }
}

fn subject_of<F: Kept>(
    text: &str,
    facts: impl Fn(F) -> Facts,
) -> Result<(Label, Facts), RecordError> {
    let row: SubjectRow<F::Form> = serde_json::from_str(text).map_err(unreadable)?;
    Ok((Label::restored(row.label)?, facts(F::restored(row.facts)?)))
}

/// A format is written by a newer program only if the schema is newer too, which is refused when
/// the database is opened; so another number means damage.
fn only_format(format: i64) -> Result<(), RecordError> {
    match format {
        TEXT_FORMAT => Ok(()),
        _ => Err(RecordError::new("format", format, "no such format of stored text is known")),
    }
}

fn unreadable(error: serde_json::Error) -> RecordError {
    RecordError::new("text", error, "the stored text cannot be read")
}
