//! Which fields of a kind of record can numbers go to, and how do they get there?
//! Deliberately absent: lists of parts, readings and items, which `record_lists` makes.

use std::collections::BTreeMap;

use super::assign::Fields;
use crate::domain::records::choices::Choice;
use crate::domain::records::fields::{CatalogueList, Fields as Visited, Length, Visitor};
use crate::domain::records::{RecordKind, SubjectKind, SubjectName};

const EVERY: [&str; 2] = ["duration_min", "machine_hours_h"];

/// The fields of a kind that a number may go to, by its unit alone or as one of many.
pub fn fields(kind: RecordKind) -> Fields<'static> {
    match kind {
        RecordKind::Sharpening => Fields {
            singles: &["duration_min", "machine_hours_h", "relief_angle_deg", "mass_removed_g"],
            lists: &[],
            catch_all: None,
            rows: &[],
        },
        RecordKind::Adjustment => Fields {
            singles: &["turns", "pressure_kpa", "setting_mm", "duration_min", "machine_hours_h"],
            lists: &[],
            catch_all: None,
            rows: &[],
        },
        RecordKind::PartReplaced => Fields {
            singles: &["duration_min", "machine_hours_h"],
            lists: &["count"],
            catch_all: None,
            rows: &[],
        },
        RecordKind::HeightReading => {
            Fields { singles: &EVERY, lists: &["height_mm"], catch_all: Some("height_mm"), rows: &[] }
        }
        RecordKind::Inspection => Fields {
            singles: &[
                "pressure_kpa",
                "blade_stop_time_s",
                "reel_speed_rpm",
                "ground_speed_mps",
                "duration_min",
                "machine_hours_h",
            ],
            lists: &["remaining_h"],
            catch_all: None,
            rows: &[],
        },
        RecordKind::FaultFixed => Fields {
            singles: &["duration_min", "machine_hours_h"],
            lists: &["count"],
            catch_all: None,
            rows: &[],
        },
        RecordKind::Hours => Fields {
            singles: &["machine_hours_h"],
            lists: &["hours_run_h", "since_h"],
            catch_all: Some("hours_run_h"),
            rows: &[],
        },
    }
}

/// Puts numbers into the fields of their names.
pub struct Fill<'a>(pub &'a BTreeMap<String, f64>);

impl Visitor for Fill<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        if let Some(number) = self.0.get(key) {
            *value = Some(*number);
        }
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        if let Some(number) = self.0.get(key).filter(|number| (0.0..1e9).contains(*number)) {
            *value = Some(*number as u32);
        }
    }

    fn flag(&mut self, _: &'static str, _: &mut Option<bool>) {}
    fn choice<C: Choice>(&mut self, _: &'static str, _: &mut Option<C>) {}
    fn text(&mut self, _: &'static str, _: Length, _: &mut String) {}
    fn id(&mut self, _: &'static str, _: CatalogueList, _: &mut String) {}
    fn subject(&mut self, _: &'static str, _: SubjectKind, _: &mut Option<SubjectName>) {}
    fn list<T: Visited + Default>(&mut self, _: &'static str, _: &'static str, _: &mut Vec<T>) {}
}
