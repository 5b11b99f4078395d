//! Which answers can be drawn, and how does a drawing reach its file? Drawings carry their units
//! and a legend, and are told apart by dashes, hatching and marks, never by colour.

use std::path::Path;

use prost_reflect::DynamicMessage;

use crate::call::Failure;
use crate::commands::Units;

/// Draws a reply to a request as the text of an SVG file; none when there is nothing to draw yet.
type Draw = fn(&DynamicMessage, &DynamicMessage, Units) -> Result<Option<String>, Failure>;

const PICTURES: &[(&str, Draw)] = &[];

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
    let Some(text) = draw(request, reply, units)? else {
        let text = format!("nothing to draw: {} was not written", path.display());
        return Err(Failure::new(65, text, "give what the answer asks for"));
    };
    std::fs::write(path, text).map_err(|error| {
        Failure::new(74, format!("cannot write {}: {error}", path.display()), "")
    })
}
