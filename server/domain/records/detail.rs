//! What exactly was done, read or found? One type for each kind of record.
//! A number that was not said is absent, never zero. Lengths are millimetres whatever unit was
//! spoken. Deliberately absent: bounds and keys, which stand beside each field in `fields`.

use super::choices::{
    AdjustmentTarget, Condition, Direction, HeightMethod, Place, RecordKind, ReplacementReason,
    SharpeningMethod,
};
use super::names::SubjectName;

#[derive(Debug, Clone, PartialEq)]
pub enum Detail {
    Sharpening(Sharpening),
    Adjustment(Adjustment),
    PartReplaced(PartReplaced),
    HeightReading(HeightReading),
    Inspection(Inspection),
    FaultFixed(FaultFixed),
    Hours(Hours),
}

impl Detail {
    pub fn kind(&self) -> RecordKind {
        match self {
            Detail::Sharpening(_) => RecordKind::Sharpening,
            Detail::Adjustment(_) => RecordKind::Adjustment,
            Detail::PartReplaced(_) => RecordKind::PartReplaced,
            Detail::HeightReading(_) => RecordKind::HeightReading,
            Detail::Inspection(_) => RecordKind::Inspection,
            Detail::FaultFixed(_) => RecordKind::FaultFixed,
            Detail::Hours(_) => RecordKind::Hours,
        }
    }

    /// A detail of this kind that says nothing yet.
    pub fn empty(kind: RecordKind) -> Detail {
        match kind {
            RecordKind::Sharpening => Detail::Sharpening(Sharpening::default()),
            RecordKind::Adjustment => Detail::Adjustment(Adjustment::default()),
            RecordKind::PartReplaced => Detail::PartReplaced(PartReplaced::default()),
            RecordKind::HeightReading => Detail::HeightReading(HeightReading::default()),
            RecordKind::Inspection => Detail::Inspection(Inspection::default()),
            RecordKind::FaultFixed => Detail::FaultFixed(FaultFixed::default()),
            RecordKind::Hours => Detail::Hours(Hours::default()),
        }
    }

    /// The units and areas that its readings name.
    pub fn named_subjects(&self) -> Vec<&SubjectName> {
        match self {
            Detail::HeightReading(reading) => reading
                .readings
                .iter()
                .flat_map(|point| point.unit.iter().chain(&point.area))
                .collect(),
            Detail::Sharpening(_)
            | Detail::Adjustment(_)
            | Detail::PartReplaced(_)
            | Detail::Inspection(_)
            | Detail::FaultFixed(_)
            | Detail::Hours(_) => Vec::new(),
        }
    }
}

/// An edge was made sharp again.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sharpening {
    pub method: Option<SharpeningMethod>,
    /// Time at each unit or blade, where several were done alike.
    pub duration_each_min: Option<f64>,
    pub grit: Option<u32>,
    pub diameter_before_mm: Option<f64>,
    pub diameter_after_mm: Option<f64>,
    pub relief_angle_deg: Option<f64>,
    /// Land left on the blade.
    pub land_width_mm: Option<f64>,
    pub bedknife_top_angle_deg: Option<f64>,
    pub bedknife_front_angle_deg: Option<f64>,
    /// Rotary blades that were done.
    pub sharpened_blade_count: Option<u32>,
    /// Metal taken off all blades together.
    pub mass_removed_g: Option<f64>,
    pub balanced: Option<bool>,
    /// What it did then: "cuts paper full width".
    pub result: String,
}

/// Something was set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Adjustment {
    pub target: Option<AdjustmentTarget>,
    /// End of the unit.
    pub end: Option<Place>,
    /// Hanger of the deck.
    pub hanger: Option<Place>,
    /// Change of height; minus when lowered.
    pub height_change_mm: Option<f64>,
    /// Turns of the adjuster.
    pub turns: Option<f64>,
    pub setting_before_mm: Option<f64>,
    pub setting_mm: Option<f64>,
    /// How far a part was moved, whichever way `direction` says.
    pub movement_mm: Option<f64>,
    pub direction: Option<Direction>,
    pub pressure_before_kpa: Option<f64>,
    pub pressure_kpa: Option<f64>,
    pub result: String,
}

/// One part, or several alike, that were replaced.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Part {
    /// What it is, in the shop's words: "bedknife", "deck belt".
    pub part: String,
    pub count: Option<u32>,
    /// Hours that the old one had run.
    pub life_h: Option<f64>,
    pub reason: Option<ReplacementReason>,
    /// Diameter that was left of the old one.
    pub old_diameter_mm: Option<f64>,
    /// Thickness of the new one.
    pub thickness_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartReplaced {
    pub parts: Vec<Part>,
    pub result: String,
}

/// One height at one place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightPoint {
    /// The unit it was read on; left out, it is the record's own subject.
    pub unit: Option<SubjectName>,
    /// The area it was read on, for a height on turf.
    pub area: Option<SubjectName>,
    pub end: Option<Place>,
    pub height_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightReading {
    pub method: Option<HeightMethod>,
    pub readings: Vec<HeightPoint>,
    /// Bench height at which the turf that was read had been mown.
    pub bench_height_mm: Option<f64>,
    pub target_height_mm: Option<f64>,
}

/// A finding of the catalogue that someone looked for, and whether it was there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Observation {
    pub finding: String,
    pub present: Option<bool>,
}

/// One thing looked at, in the shop's words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InspectionItem {
    pub item: String,
    pub condition: Option<Condition>,
    pub found: String,
    /// Hours that it is expected to last yet.
    pub remaining_h: Option<f64>,
}

/// Something was looked over or measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inspection {
    pub observations: Vec<Observation>,
    pub items: Vec<InspectionItem>,
    pub left_diameter_mm: Option<f64>,
    pub right_diameter_mm: Option<f64>,
    pub land_width_mm: Option<f64>,
    pub gap_mm: Option<f64>,
    pub end_play_mm: Option<f64>,
    pub clip_spacing_mm: Option<f64>,
    pub pressure_kpa: Option<f64>,
    pub blade_stop_time_s: Option<f64>,
    pub reel_speed_rpm: Option<f64>,
    pub ground_speed_mps: Option<f64>,
}

/// A fault was looked for and, it is hoped, put right.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FaultFixed {
    /// The fault in the shop's words: "uncut line".
    pub fault: String,
    /// What it turned out to be.
    pub found: String,
    /// What was done.
    pub action: String,
    /// Cause of the catalogue, or `other` when it is none of them.
    pub cause: String,
    /// Procedure of the catalogue that was followed.
    pub procedure: String,
    /// Whether the fault is gone; left out, nobody has said yet.
    pub fixed: Option<bool>,
    /// Hours run since without trouble.
    pub hours_since_h: Option<f64>,
    /// Findings that someone looked for, yes or no. What was only heard is not among them.
    pub observations: Vec<Observation>,
    pub parts: Vec<Part>,
}

/// Hours since something was done.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HoursSince {
    /// What was done then: "grind", "new blades".
    pub since: String,
    pub hours_h: Option<f64>,
}

/// Hours run. The meter's own reading stands in the record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hours {
    /// Hours run in this job or on this day.
    pub hours_run_h: Option<f64>,
    pub since: Vec<HoursSince>,
}
