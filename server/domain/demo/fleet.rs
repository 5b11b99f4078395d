//! What does the invented shop have? A triplex and two walkers for greens, a five-gang machine for
//! fairways, a triplex for tees, a front rotary for rough, and a set of verticut units.
//! Sizes are plausible round figures (common practice, no source).

use crate::domain::catalogue::Equipment;
use crate::domain::records::choices::Surface;
use crate::domain::records::subject::{Area, Facts, Label, Machine, NewSubject, Unit};
use crate::domain::records::{Id, SubjectKind, SubjectName};

use super::named;

/// A machine, and how it is worked.
pub struct MachineRow {
    pub id: &'static str,
    pub display_name: &'static str,
    pub other_names: &'static [&'static str],
    pub equipment: Equipment,
    pub working_width_mm: f64,
    /// Reading of its meter on the first day.
    pub first_hours_h: f64,
    pub hours_per_week_h: f64,
    /// Bench height, for reels; depth for verticut units.
    pub setting_mm: f64,
    pub units: &'static [UnitRow],
}

pub struct UnitRow {
    pub id: &'static str,
    pub display_name: &'static str,
    pub unit_type: &'static str,
    pub equipment: Equipment,
    /// Id of the unit that carries it; empty when none does.
    pub carried_by: &'static str,
    pub blade_count: Option<u32>,
    pub width_mm: f64,
    pub new_diameter_mm: f64,
    pub minimum_diameter_mm: f64,
}

const fn reel(
    id: &'static str,
    display_name: &'static str,
    unit_type: &'static str,
    blades: u32,
    width_mm: f64,
    diameters_mm: (f64, f64),
) -> UnitRow {
    UnitRow {
        id,
        display_name,
        unit_type,
        equipment: Equipment::ReelUnit,
        carried_by: "",
        blade_count: Some(blades),
        width_mm,
        new_diameter_mm: diameters_mm.0,
        minimum_diameter_mm: diameters_mm.1,
    }
}

const fn carried(
    id: &'static str,
    display_name: &'static str,
    equipment: Equipment,
    carried_by: &'static str,
    diameters_mm: (f64, f64),
) -> UnitRow {
    UnitRow {
        id,
        display_name,
        unit_type: "greens attachment",
        equipment,
        carried_by,
        blade_count: None,
        width_mm: 530.0,
        new_diameter_mm: diameters_mm.0,
        minimum_diameter_mm: diameters_mm.1,
    }
}

const GREENS: (f64, f64) = (128.0, 114.0);
const FAIRWAY: (f64, f64) = (178.0, 165.0);
const VERTICUT: (f64, f64) = (130.0, 100.0);

const fn verticut(id: &'static str, display_name: &'static str) -> UnitRow {
    UnitRow {
        equipment: Equipment::VerticutReel,
        blade_count: None,
        ..reel(id, display_name, "verticut unit", 0, 530.0, VERTICUT)
    }
}

#[rustfmt::skip]
pub const MACHINES: &[MachineRow] = &[
    MachineRow {
        id: "greens-triplex", display_name: "Greens triplex", other_names: &["Marigold"],
        equipment: Equipment::ReelUnit, working_width_mm: 1_500.0, first_hours_h: 1_204.0,
        hours_per_week_h: 14.0, setting_mm: 3.5,
        units: &[
            reel("1", "1 left front", "greens reel", 11, 530.0, GREENS),
            reel("2", "2 right front", "greens reel", 11, 530.0, GREENS),
            reel("3", "3 centre", "greens reel", 11, 530.0, GREENS),
            carried("groomer-1", "groomer of 1", Equipment::Groomer, "1", (60.0, 52.0)),
            carried("groomer-2", "groomer of 2", Equipment::Groomer, "2", (60.0, 52.0)),
            carried("groomer-3", "groomer of 3", Equipment::Groomer, "3", (60.0, 52.0)),
            carried("brush-3", "brush of 3", Equipment::RearRollerBrush, "3", (70.0, 58.0)),
        ],
    },
    MachineRow {
        id: "walker-1", display_name: "No. 1 walker", other_names: &["the odd one"],
        equipment: Equipment::ReelUnit, working_width_mm: 530.0, first_hours_h: 655.0,
        hours_per_week_h: 6.0, setting_mm: 3.2,
        units: &[reel("reel", "reel", "walker reel", 11, 530.0, GREENS)],
    },
    MachineRow {
        id: "walker-2", display_name: "No. 2 walker", other_names: &[],
        equipment: Equipment::ReelUnit, working_width_mm: 530.0, first_hours_h: 702.0,
        hours_per_week_h: 5.0, setting_mm: 3.2,
        units: &[
            reel("reel", "reel", "walker reel", 11, 530.0, GREENS),
            carried("brush", "rear roller brush", Equipment::RearRollerBrush, "reel", (70.0, 58.0)),
        ],
    },
    MachineRow {
        id: "fairway-five", display_name: "Fairway five", other_names: &["Juniper", "the gang"],
        equipment: Equipment::ReelUnit, working_width_mm: 2_500.0, first_hours_h: 2_310.0,
        hours_per_week_h: 18.0, setting_mm: 12.0,
        units: &[
            reel("1", "1 centre front", "fairway reel", 8, 560.0, FAIRWAY),
            reel("2", "2 left front", "fairway reel", 8, 560.0, FAIRWAY),
            reel("3", "3 right front", "fairway reel", 8, 560.0, FAIRWAY),
            reel("4", "4 left rear", "fairway reel", 8, 560.0, FAIRWAY),
            reel("5", "5 right rear", "fairway reel", 8, 560.0, FAIRWAY),
        ],
    },
    MachineRow {
        id: "tees-mower", display_name: "Tees mower", other_names: &["Bramble"],
        equipment: Equipment::ReelUnit, working_width_mm: 1_800.0, first_hours_h: 1_777.0,
        hours_per_week_h: 9.0, setting_mm: 9.5,
        units: &[
            reel("1", "1", "tees reel", 8, 660.0, FAIRWAY),
            reel("2", "2", "tees reel", 8, 660.0, FAIRWAY),
            reel("3", "3", "tees reel", 8, 660.0, FAIRWAY),
        ],
    },
    MachineRow {
        id: "front-rotary", display_name: "Front rotary", other_names: &["the 60", "rough deck"],
        equipment: Equipment::RotaryDeck, working_width_mm: 1_520.0, first_hours_h: 903.0,
        hours_per_week_h: 16.0, setting_mm: 50.0,
        units: &[UnitRow {
            equipment: Equipment::RotaryDeck, blade_count: Some(3),
            ..reel("deck", "deck", "front deck", 3, 1_520.0, (520.0, 480.0))
        }],
    },
    MachineRow {
        id: "verticut-set", display_name: "Verticut set", other_names: &[],
        equipment: Equipment::VerticutReel, working_width_mm: 1_500.0, first_hours_h: 118.0,
        hours_per_week_h: 2.0, setting_mm: 3.0,
        units: &[
            verticut("1", "1 left"),
            verticut("2", "2 right"),
            verticut("3", "3 centre"),
        ],
    },
];

/// Areas: id, what it is called, what it is, size, height wanted, how far a unit sinks in there.
#[rustfmt::skip]
pub const AREAS: &[(&str, &str, Surface, f64, f64, f64)] = &[
    ("1-green", "1 green", Surface::Green, 0.05, 3.2, 0.30),
    ("2-green", "2 green", Surface::Green, 0.06, 3.2, 0.25),
    ("3-green", "3 green", Surface::Green, 0.05, 3.2, 0.32),
    ("4-green", "4 green", Surface::Green, 0.04, 3.2, 0.28),
    ("5-green", "5 green", Surface::Green, 0.06, 3.2, 0.35),
    ("6-green", "6 green", Surface::Green, 0.05, 3.2, 0.55),
    ("7-green", "7 green", Surface::Green, 0.05, 3.2, 0.27),
    ("8-green", "8 green", Surface::Green, 0.07, 3.2, 0.33),
    ("9-green", "9 green", Surface::Green, 0.06, 3.2, 0.29),
    ("tees", "Tees", Surface::Tee, 0.4, 9.0, 0.5),
    ("fairways", "Fairways", Surface::Fairway, 9.0, 11.0, 0.8),
    ("rough", "Rough", Surface::Rough, 14.0, 50.0, 2.0),
];

/// Everything the shop has, holders before what they hold.
pub fn subjects(site: &Id) -> Vec<NewSubject> {
    let site = SubjectName::Site { site: site.clone() };
    let mut subjects = Vec::new();
    for row in MACHINES {
        let machine = named(&site, SubjectKind::Machine, row.id);
        let facts = Machine {
            equipment: Some(row.equipment),
            working_width_mm: Some(row.working_width_mm),
        };
        let other_names = row.other_names.iter().map(|&name| name.to_owned()).collect();
        let label = Label { other_names, ..label(row.display_name) };
        subjects.push(NewSubject {
            name: machine.clone(),
            request_id: None,
            label,
            facts: Facts::Machine(facts),
        });
        subjects.extend(row.units.iter().zip(1..).map(|(row, at)| unit(&machine, row, at)));
    }
    subjects.extend(AREAS.iter().map(|&(id, called, surface, area_ha, wanted_mm, _)| NewSubject {
        name: named(&site, SubjectKind::Area, id),
        request_id: None,
        label: label(called),
        facts: Facts::Area(Area {
            surface: Some(surface),
            area_ha: Some(area_ha),
            target_effective_height_mm: Some(wanted_mm),
        }),
    }));
    subjects
}

fn unit(machine: &SubjectName, row: &UnitRow, position: u32) -> NewSubject {
    let carried_by =
        (!row.carried_by.is_empty()).then(|| named(machine, SubjectKind::Unit, row.carried_by));
    NewSubject {
        name: named(machine, SubjectKind::Unit, row.id),
        request_id: None,
        label: label(row.display_name),
        facts: Facts::Unit(Unit {
            equipment: Some(row.equipment),
            unit_type: row.unit_type.to_owned(),
            position: row.carried_by.is_empty().then_some(position),
            carried_by,
            blade_count: row.blade_count,
            width_mm: Some(row.width_mm),
            new_diameter_mm: Some(row.new_diameter_mm),
            minimum_diameter_mm: Some(row.minimum_diameter_mm),
            height_change_per_turn_mm: None,
        }),
    }
}

fn label(display_name: &str) -> Label {
    let notes = "Invented, for trying things out.".to_owned();
    Label { display_name: display_name.to_owned(), notes, ..Label::default() }
}
