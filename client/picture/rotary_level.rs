//! Where do the blade tips stand under the deck, and which hanger goes up or down?

use sward_core::pb;

use super::Scale;
use super::chart::range_of;
use super::sheet::{Anchor, Pen, Place, Sample, Sheet};
use crate::call::Failure;

pub fn draw(
    asked: &pb::RotaryLevelRequest,
    reply: &pb::RotaryLevelResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    if reply.hanger_corrections_mm.is_empty() {
        return Ok(None);
    }
    let (Some(tilt), Some(rake)) = (reply.side_tilt_mm, reply.rake_mm) else { return Ok(None) };
    let caption = format!(
        "as read: right side {} higher than left, front {} lower than rear",
        scale.say(tilt),
        scale.say(rake)
    );
    let mut sheet = Sheet::new(760.0, 640.0, "Deck from above: blade tips and hangers", &caption);
    let tips: Vec<(String, Place)> = asked
        .tip_heights_mm
        .iter()
        .map(|tip| (tip.point.clone(), tip.x_mm.zip(tip.y_mm).unwrap_or_else(|| named(&tip.point))))
        .collect();
    let hangers: Vec<(String, Place)> = asked
        .hangers
        .iter()
        .map(|one| (one.hanger.clone(), one.x_mm.zip(one.y_mm).unwrap_or_default()))
        .collect();
    let places = || tips.iter().chain(&hangers).map(|(_, place)| place);
    let (x, y) = (range_of(places().map(|p| p.0)), range_of(places().map(|p| p.1)));
    let on_sheet = |(right, forward): Place| {
        (
            190.0 + (right - x.start) / (x.end - x.start) * 380.0,
            470.0 - (forward - y.start) / (y.end - y.start) * 330.0,
        )
    };
    sheet.shape(&[(150.0, 110.0), (610.0, 110.0), (610.0, 500.0), (150.0, 500.0)], false);
    sheet.arrow((80.0, 260.0), (80.0, 130.0), false);
    sheet.words((80.0, 284.0), Anchor::Middle, 15, "front");
    for ((name, place), tip) in tips.iter().zip(&asked.tip_heights_mm) {
        let (x, y) = on_sheet(*place);
        sheet.circle((x, y), 9.0, Pen::Thick);
        sheet.words((x, y - 36.0), Anchor::Middle, 14, &name.replace('_', " "));
        let height = scale.say(tip.height_mm.unwrap_or_default());
        sheet.words((x, y - 18.0), Anchor::Middle, 14, &height);
    }
    for correction in &reply.hanger_corrections_mm {
        let all = if hangers.is_empty() { &tips } else { &hangers };
        let Some((_, place)) = all.iter().find(|(name, _)| *name == correction.hanger) else {
            continue;
        };
        let (x, y) = on_sheet(*place);
        let (side, word) =
            if correction.move_mm > 0.0 { (1.0, "raise") } else { (-1.0, "lower") };
        let aside = x + if hangers.is_empty() { 26.0 } else { 0.0 };
        let rise = if correction.move_mm.abs() < 0.005 { 0.0 } else { 16.0 * side };
        let text = if rise == 0.0 {
            "leave".to_owned()
        } else {
            sheet.arrow((aside, y + rise), (aside, y - rise), false);
            format!("{word} {}", scale.say(correction.move_mm.abs()))
        };
        sheet.words((x, y + 36.0), Anchor::Middle, 14, &text);
        if !hangers.is_empty() {
            sheet.dot((x, y));
            sheet.words((x, y + 54.0), Anchor::Middle, 13, &correction.hanger.replace('_', " "));
        }
    }
    let mut legend = vec![
        (Sample::Ring, "blade tip, with its height above the floor"),
        (Sample::Arrow, "raise (up) or lower (down) the deck at the hanger"),
    ];
    if !hangers.is_empty() {
        legend.push((Sample::Dot, "hanger"));
    }
    sheet.legend(&legend);
    Ok(Some(sheet.finish()))
}

/// A place named by its side and end, on a square.
fn named(name: &str) -> Place {
    let has = |word: &str| name.to_lowercase().contains(word);
    let right = if has("right") { 1.0 } else if has("left") { -1.0 } else { 0.0 };
    let forward = if has("front") { 1.0 } else if has("rear") { -1.0 } else { 0.0 };
    (right, forward)
}
