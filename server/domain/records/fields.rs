//! Which fields does each kind of record have, in which order, and under which key? Said once here
//! and used by everything that goes through all of them: the check of bounds, the columns of a
//! table, reading a row and writing one.
//!
//! A key is the field's name in the contract. Inside a list the column of a table is the list's
//! column name and the key: `part` and `life_h` make `part_life_h`.

use super::Content;
use super::choices::Choice;
use super::detail::{
    Adjustment, Detail, FaultFixed, HeightPoint, HeightReading, Hours, HoursSince, Inspection,
    InspectionItem, Observation, Part, PartReplaced, Sharpening,
};
use super::names::{SubjectKind, SubjectName};

/// Lists of ids in the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CatalogueList {
    Findings,
    Causes,
    Procedures,
}

/// How long a text may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Length {
    Name,
    Phrase,
    Text,
}

/// Something that goes through the fields one by one, and may change them.
pub trait Visitor {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>);
    fn count(&mut self, key: &'static str, value: &mut Option<u32>);
    fn flag(&mut self, key: &'static str, value: &mut Option<bool>);
    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>);
    fn text(&mut self, key: &'static str, length: Length, value: &mut String);
    /// An id of the catalogue.
    fn id(&mut self, key: &'static str, list: CatalogueList, value: &mut String);
    fn subject(&mut self, key: &'static str, kind: SubjectKind, value: &mut Option<SubjectName>);
    /// A list; `column` begins the names of its columns in a table.
    fn list<T: Fields + Default>(
        &mut self,
        key: &'static str,
        column: &'static str,
        value: &mut Vec<T>,
    );
}

/// Something that has fields.
pub trait Fields {
    fn visit<V: Visitor>(&mut self, visitor: &mut V);

    /// The key without which a row of a list says nothing, and what to do, when it is missing.
    fn missing(&self) -> Option<(&'static str, &'static str)> {
        None
    }
}

/// The fields that every kind has, and then those of the kind.
impl Fields for Content {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.choice("equipment", &mut self.equipment);
        visitor.number("duration_min", &mut self.duration_min);
        visitor.number("machine_hours_h", &mut self.machine_hours_h);
        visitor.text("done_by", Length::Name, &mut self.done_by);
        visitor.text("words", Length::Text, &mut self.words);
        visitor.text("notes", Length::Text, &mut self.notes);
        self.detail.visit(visitor);
    }
}

impl Fields for Detail {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        match self {
            Detail::Sharpening(detail) => detail.visit(visitor),
            Detail::Adjustment(detail) => detail.visit(visitor),
            Detail::PartReplaced(detail) => detail.visit(visitor),
            Detail::HeightReading(detail) => detail.visit(visitor),
            Detail::Inspection(detail) => detail.visit(visitor),
            Detail::FaultFixed(detail) => detail.visit(visitor),
            Detail::Hours(detail) => detail.visit(visitor),
        }
    }
}

impl Fields for Sharpening {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.choice("method", &mut self.method);
        visitor.number("duration_each_min", &mut self.duration_each_min);
        visitor.count("grit", &mut self.grit);
        visitor.number("diameter_before_mm", &mut self.diameter_before_mm);
        visitor.number("diameter_after_mm", &mut self.diameter_after_mm);
        visitor.number("relief_angle_deg", &mut self.relief_angle_deg);
        visitor.number("land_width_mm", &mut self.land_width_mm);
        visitor.number("bedknife_top_angle_deg", &mut self.bedknife_top_angle_deg);
        visitor.number("bedknife_front_angle_deg", &mut self.bedknife_front_angle_deg);
        visitor.count("sharpened_blade_count", &mut self.sharpened_blade_count);
        visitor.number("mass_removed_g", &mut self.mass_removed_g);
        visitor.flag("balanced", &mut self.balanced);
        visitor.text("result", Length::Phrase, &mut self.result);
    }
}

impl Fields for Adjustment {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.choice("target", &mut self.target);
        visitor.choice("end", &mut self.end);
        visitor.choice("hanger", &mut self.hanger);
        visitor.number("height_change_mm", &mut self.height_change_mm);
        visitor.number("turns", &mut self.turns);
        visitor.number("setting_before_mm", &mut self.setting_before_mm);
        visitor.number("setting_mm", &mut self.setting_mm);
        visitor.number("movement_mm", &mut self.movement_mm);
        visitor.choice("direction", &mut self.direction);
        visitor.number("pressure_before_kpa", &mut self.pressure_before_kpa);
        visitor.number("pressure_kpa", &mut self.pressure_kpa);
        visitor.text("result", Length::Phrase, &mut self.result);
    }
}

impl Fields for PartReplaced {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.list("parts", "part", &mut self.parts);
        visitor.text("result", Length::Phrase, &mut self.result);
    }
}

impl Fields for Part {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.text("part", Length::Name, &mut self.part);
        visitor.count("count", &mut self.count);
        visitor.number("life_h", &mut self.life_h);
        visitor.choice("reason", &mut self.reason);
        visitor.number("old_diameter_mm", &mut self.old_diameter_mm);
        visitor.number("thickness_mm", &mut self.thickness_mm);
    }

    fn missing(&self) -> Option<(&'static str, &'static str)> {
        self.part.is_empty().then_some(("part", "say which part"))
    }
}

impl Fields for HeightReading {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.choice("method", &mut self.method);
        visitor.list("readings", "reading", &mut self.readings);
        visitor.number("bench_height_mm", &mut self.bench_height_mm);
        visitor.number("target_height_mm", &mut self.target_height_mm);
    }
}

impl Fields for HeightPoint {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.subject("unit", SubjectKind::Unit, &mut self.unit);
        visitor.subject("area", SubjectKind::Area, &mut self.area);
        visitor.choice("end", &mut self.end);
        visitor.number("height_mm", &mut self.height_mm);
    }

    fn missing(&self) -> Option<(&'static str, &'static str)> {
        self.height_mm.is_none().then_some(("height_mm", "give the height"))
    }
}

impl Fields for Inspection {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.list("observations", "finding", &mut self.observations);
        visitor.list("items", "item", &mut self.items);
        visitor.number("left_diameter_mm", &mut self.left_diameter_mm);
        visitor.number("right_diameter_mm", &mut self.right_diameter_mm);
        visitor.number("land_width_mm", &mut self.land_width_mm);
        visitor.number("gap_mm", &mut self.gap_mm);
        visitor.number("end_play_mm", &mut self.end_play_mm);
        visitor.number("clip_spacing_mm", &mut self.clip_spacing_mm);
        visitor.number("pressure_kpa", &mut self.pressure_kpa);
        visitor.number("blade_stop_time_s", &mut self.blade_stop_time_s);
        visitor.number("reel_speed_rpm", &mut self.reel_speed_rpm);
        visitor.number("ground_speed_mps", &mut self.ground_speed_mps);
    }
}

impl Fields for Observation {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.id("finding", CatalogueList::Findings, &mut self.finding);
        visitor.flag("present", &mut self.present);
    }

    fn missing(&self) -> Option<(&'static str, &'static str)> {
        if self.finding.is_empty() {
            return Some(("finding", "say which finding"));
        }
        self.present.is_none().then_some(("present", "say whether it was there"))
    }
}

impl Fields for InspectionItem {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.text("item", Length::Name, &mut self.item);
        visitor.choice("condition", &mut self.condition);
        visitor.text("found", Length::Phrase, &mut self.found);
        visitor.number("remaining_h", &mut self.remaining_h);
    }

    fn missing(&self) -> Option<(&'static str, &'static str)> {
        self.item.is_empty().then_some(("item", "say what was looked at"))
    }
}

impl Fields for FaultFixed {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.text("fault", Length::Phrase, &mut self.fault);
        visitor.text("found", Length::Phrase, &mut self.found);
        visitor.text("action", Length::Phrase, &mut self.action);
        visitor.id("cause", CatalogueList::Causes, &mut self.cause);
        visitor.id("procedure", CatalogueList::Procedures, &mut self.procedure);
        visitor.flag("fixed", &mut self.fixed);
        visitor.number("hours_since_h", &mut self.hours_since_h);
        visitor.list("observations", "finding", &mut self.observations);
        visitor.list("parts", "part", &mut self.parts);
    }
}

impl Fields for Hours {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.number("hours_run_h", &mut self.hours_run_h);
        visitor.list("since", "since", &mut self.since);
    }
}

impl Fields for HoursSince {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        visitor.text("since", Length::Phrase, &mut self.since);
        visitor.number("hours_h", &mut self.hours_h);
    }

    fn missing(&self) -> Option<(&'static str, &'static str)> {
        if self.since.is_empty() {
            return Some(("since", "say what was done then"));
        }
        self.hours_h.is_none().then_some(("hours_h", "give the hours"))
    }
}

// Machines, units and areas.
impl Fields for super::subject::Facts {
    fn visit<V: Visitor>(&mut self, visitor: &mut V) {
        use super::subject::Facts;
        match self {
            Facts::Site => {}
            Facts::Machine(machine) => {
                visitor.choice("equipment", &mut machine.equipment);
                visitor.number("working_width_mm", &mut machine.working_width_mm);
            }
            Facts::Unit(unit) => {
                visitor.choice("equipment", &mut unit.equipment);
                visitor.text("unit_type", Length::Name, &mut unit.unit_type);
                visitor.count("position", &mut unit.position);
                visitor.subject("carried_by", SubjectKind::Unit, &mut unit.carried_by);
                visitor.count("blade_count", &mut unit.blade_count);
                visitor.number("width_mm", &mut unit.width_mm);
                visitor.number("new_diameter_mm", &mut unit.new_diameter_mm);
                visitor.number("minimum_diameter_mm", &mut unit.minimum_diameter_mm);
                visitor.number("height_change_per_turn_mm", &mut unit.height_change_per_turn_mm);
            }
            Facts::Area(area) => {
                visitor.choice("surface", &mut area.surface);
                visitor.number("area_ha", &mut area.area_ha);
                visitor.number("target_effective_height_mm", &mut area.target_effective_height_mm);
            }
        }
    }
}
