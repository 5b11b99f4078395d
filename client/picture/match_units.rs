//! How high does each end of each unit stand, and which ends are to be moved?

use sward_core::domain::units::decimal;
use sward_core::pb;

use super::Scale;
use super::chart::range_of;
use super::sheet::{Anchor, Pen, Sample, Sheet};
use crate::call::Failure;

const TOP: f64 = 90.0;
const FOOT: f64 = 400.0;
const LEFT: f64 = 100.0;
const STEP: f64 = 62.0;

pub fn draw(
    asked: &pb::MatchUnitsRequest,
    reply: &pb::MatchUnitsResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let (Some(target), Some(tolerance)) = (reply.target_height_mm, reply.tolerance_mm) else {
        return Ok(None);
    };
    let ends = &asked.unit_heights_mm;
    let heights = ends.iter().filter_map(|end| end.height_mm);
    let y = range_of(heights.chain([target - tolerance, target + tolerance]));
    let place = |height: f64| FOOT - (height - y.start) / (y.end - y.start) * (FOOT - TOP);
    let right = LEFT + STEP * (ends.len() as f64 + 0.5);
    let title = format!("Heights of the gang: target {}", scale.say(target));
    let tidy = format!(
        "within {} either way; spread {} now, {} after the moves",
        scale.say(tolerance),
        scale.say(reply.spread_mm.unwrap_or_default()),
        scale.say(reply.spread_after_mm.unwrap_or_default())
    );
    let mut sheet = Sheet::new((right + 40.0).max(760.0), 580.0, &title, &tidy);
    let (low, high) = (place(target - tolerance), place(target + tolerance));
    sheet.line((LEFT, TOP), (LEFT, FOOT), Pen::Thin);
    sheet.line((LEFT, FOOT), (right, FOOT), Pen::Thin);
    sheet.line((LEFT, low), (right, low), Pen::Dotted);
    sheet.line((LEFT, high), (right, high), Pen::Dotted);
    sheet.line((LEFT, place(target)), (right, place(target)), Pen::Dashed);
    for height in [y.start, target - tolerance, target, target + tolerance, y.end] {
        let text = decimal(scale.of(height), if scale.inches() { 3 } else { 2 });
        sheet.words((LEFT - 8.0, place(height) + 5.0), Anchor::End, 13, &text);
    }
    sheet.words((LEFT, TOP - 12.0), Anchor::Middle, 14, &format!("height, {}", scale.unit()));
    for (at, end) in ends.iter().enumerate() {
        let Some(height) = end.height_mm else { continue };
        let x = LEFT + STEP * (at as f64 + 0.75);
        sheet.dot((x, place(height)));
        sheet.words((x, FOOT + 20.0), Anchor::Middle, 13, &end.end);
        if at == 0 || ends[at - 1].unit != end.unit {
            let unit = format!("unit {}", end.unit);
            sheet.words((x + STEP / 2.0, FOOT + 40.0), Anchor::Middle, 14, &unit);
        }
        let mut moves = reply.end_moves_mm.iter();
        let wanted = moves.find(|one| one.unit == end.unit && one.end == end.end);
        if let Some(wanted) = wanted {
            sheet.arrow((x, place(height)), (x, place(height + wanted.move_mm)), false);
            let sign = if wanted.move_mm > 0.0 { "+" } else { "" };
            let move_text =
                decimal(scale.of(wanted.move_mm), if scale.inches() { 4 } else { 3 });
            let side = if wanted.move_mm > 0.0 { 20.0 } else { -12.0 };
            let at = (x, place(height) + side);
            sheet.words(at, Anchor::Middle, 13, &format!("{sign}{move_text}"));
        }
    }
    sheet.legend(&[
        (Sample::Dot, "height read"),
        (Sample::Arrow, &format!("move to make, {}", scale.unit())),
        (Sample::Line(Pen::Dashed), "target"),
        (Sample::Line(Pen::Dotted), "tolerance either way"),
    ]);
    Ok(Some(sheet.finish()))
}
