//! What can be recorded about? Machines, their cutting units and attachments, and areas of turf,
//! each with the few facts that a calculation or a diagnosis can use. A site is only a name.
//! Deliberately absent: makes and models. What a machine is called in the shop is enough.

use crate::domain::catalogue::Equipment;

use super::choices::Surface;
use super::moment::Moment;
use super::names::{SubjectKind, SubjectName};
use super::request::RequestId;

/// What every machine, unit and area has.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Label {
    /// What it is called in the shop: "Greens triplex".
    pub display_name: String,
    /// What else people call it: "Old Bess", "number 2".
    pub other_names: Vec<String>,
    pub notes: String,
    /// No longer in use; its history stays.
    pub retired: bool,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Machine {
    /// What it mainly carries.
    pub equipment: Option<Equipment>,
    /// Width of all units together.
    pub working_width_mm: Option<f64>,
}

/// One cutting unit, groomer, brush, verticut reel or deck of a machine.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Unit {
    pub equipment: Option<Equipment>,
    /// Units that are alike share this word, so that what is learned on one serves the others.
    pub unit_type: String,
    /// Place in the gang, counted from 1 as the shop counts.
    pub position: Option<u32>,
    /// The cutting unit that carries it, for a groomer or a brush.
    pub carried_by: Option<SubjectName>,
    pub blade_count: Option<u32>,
    pub width_mm: Option<f64>,
    pub new_diameter_mm: Option<f64>,
    /// Diameter at which the reel, blade or brush is scrapped.
    pub minimum_diameter_mm: Option<f64>,
    /// Change of height in one turn of the adjuster.
    pub height_change_per_turn_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Area {
    pub surface: Option<Surface>,
    pub area_ha: Option<f64>,
    /// Height on turf that is wanted.
    pub target_effective_height_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Facts {
    Site,
    Machine(Machine),
    Unit(Unit),
    Area(Area),
}

impl Facts {
    pub fn kind(&self) -> SubjectKind {
        match self {
            Facts::Site => SubjectKind::Site,
            Facts::Machine(_) => SubjectKind::Machine,
            Facts::Unit(_) => SubjectKind::Unit,
            Facts::Area(_) => SubjectKind::Area,
        }
    }

    pub fn equipment(&self) -> Option<Equipment> {
        match self {
            Facts::Machine(machine) => machine.equipment,
            Facts::Unit(unit) => unit.equipment,
            Facts::Site | Facts::Area(_) => None,
        }
    }

    pub fn unit_type(&self) -> &str {
        match self {
            Facts::Unit(unit) => &unit.unit_type,
            Facts::Site | Facts::Machine(_) | Facts::Area(_) => "",
        }
    }
}

/// A machine, unit or area that is to be stored.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSubject {
    pub name: SubjectName,
    pub request_id: Option<RequestId>,
    pub label: Label,
    pub facts: Facts,
}

/// A site, machine, unit or area as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Subject {
    pub name: SubjectName,
    pub label: Label,
    pub facts: Facts,
    pub created: Moment,
    pub updated: Moment,
    /// Number of its latest change. A change is refused when it was made to an older one.
    pub version: u64,
}
