//! Which answers can be drawn, and how does a drawing reach its file? Drawings carry their units
//! and a legend, and are told apart by dashes, hatching and marks, never by colour.

pub mod chart;
pub mod sheet;
mod clip_spacing;
mod adjuster_turns;
mod paper_map;
mod match_units;
mod rotary_level;
pub mod height_plan;
mod reel_wear;

use std::path::Path;

use prost::Message;
use prost_reflect::DynamicMessage;
use sward_core::domain::units::decimal;

use crate::call::Failure;
use crate::commands::Units;
use crate::compute::in_units_of;

/// Draws a reply to a request as the text of an SVG file; none when there is nothing to draw yet.
type Draw = fn(&DynamicMessage, &DynamicMessage, Scale) -> Result<Option<String>, Failure>;

const PICTURES: &[(&str, Draw)] = &[
    ("clip-spacing", |asked, reply, scale| {
        clip_spacing::draw(&typed(asked)?, &typed(reply)?, scale)
    }),
    ("adjuster-turns", |asked, reply, scale| {
        adjuster_turns::draw(&typed(asked)?, &typed(reply)?, scale)
    }),
    ("paper-map", |asked, reply, scale| paper_map::draw(&typed(asked)?, &typed(reply)?, scale)),
    ("match-units", |asked, reply, scale| match_units::draw(&typed(asked)?, &typed(reply)?, scale)),
    ("height-plan", |asked, reply, scale| height_plan::draw(&typed(asked)?, &typed(reply)?, scale)),
    ("reel-wear", |asked, reply, scale| reel_wear::draw(&typed(asked)?, &typed(reply)?, scale)),
    ("rotary-level", |asked, reply, scale| {
        rotary_level::draw(&typed(asked)?, &typed(reply)?, scale)
    }),
];

/// The unit in which lengths are drawn.
#[derive(Clone, Copy)]
pub struct Scale {
    units: Units,
}

impl Scale {
    pub fn new(units: Units) -> Scale {
        Scale { units }
    }

    /// A length in millimetres, in the unit drawn.
    pub fn of(self, length_mm: f64) -> f64 {
        match self.units {
            Units::Mm => length_mm,
            Units::In => length_mm / 25.4,
        }
    }

    pub fn unit(self) -> &'static str {
        match self.units {
            Units::Mm => "mm",
            Units::In => "in",
        }
    }

    /// A length with its unit.
    pub fn say(self, length_mm: f64) -> String {
        let decimals = match self.units {
            Units::Mm => 2,
            Units::In => 4,
        };
        format!("{} {}", decimal(self.of(length_mm), decimals), self.unit())
    }

    /// A sentence of the answer, its lengths in the unit drawn.
    pub fn sentence(self, text: &str) -> String {
        in_units_of(text, self.units)
    }

    pub fn units(self) -> Units {
        self.units
    }

    pub fn inches(self) -> bool {
        self.units == Units::In
    }
}

/// Whether answers of this calculation can be drawn.
pub fn drawn(calculation: &str) -> bool {
    PICTURES.iter().any(|(name, _)| *name == calculation)
}

/// Draws an answer into a file.
pub fn draw(
    calculation: &str,
    path: &Path,
    request: &DynamicMessage,
    reply: &DynamicMessage,
    units: Units,
) -> Result<(), Failure> {
    let Some((_, draw)) = PICTURES.iter().find(|(name, _)| *name == calculation) else {
        return Ok(());
    };
    let Some(text) = draw(request, reply, Scale { units })? else {
        let text = format!("there is nothing to draw: {} was not written", path.display());
        return Err(Failure::new(65, text, "give what the answer asks for"));
    };
    std::fs::write(path, text).map_err(|error| {
        Failure::new(74, format!("cannot write {}: {error}", path.display()), "")
    })
}

fn typed<M: Message + Default>(message: &DynamicMessage) -> Result<M, Failure> {
    message.transcode_to().map_err(|error| Failure::new(70, error.to_string(), ""))
}
