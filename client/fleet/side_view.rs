//! How does the unit stand, seen from the side? Drawn to one scale from its real sizes, with the
//! dimensions; what was never measured is not drawn.

use sward_core::pb;

use crate::picture::Scale;
use crate::picture::sheet::{Anchor, Pen, Place, Sample, Sheet};

const WIDTH: f64 = 860.0;
const GROUND: f64 = 320.0;

pub fn draw(side: &pb::SideView, title: &str, scale: Scale) -> String {
    let (rear, front) = (side.rear_roller_diameter_mm / 2.0, side.front_roller_diameter_mm / 2.0);
    let reel = side.reel_diameter_mm.map(|mm| mm / 2.0);
    let tallest = [2.0 * rear, 2.0 * front, reel.map_or(0.0, |r| 2.0 * r + side.edge_height_mm)];
    let tallest = tallest.into_iter().fold(0.0, f64::max);
    let whole = side.roller_centre_distance_mm + front + rear;
    let per_mm = (560.0 / whole).min(215.0 / tallest);
    let mut sheet =
        Sheet::new(WIDTH, 505.0, title, "from the side, to scale; forward is to the left");
    let rear_x = 430.0 + per_mm * (side.roller_centre_distance_mm - front + rear) / 2.0;
    let at = |x: f64, y: f64| -> Place { (rear_x - per_mm * x, GROUND - per_mm * y) };
    let ahead = side.roller_centre_distance_mm;
    sheet.line(at(-1.7 * rear, 0.0), at(ahead + 1.9 * front, 0.0), Pen::Thick);
    for (x, radius, name) in [(0.0, rear, "rear roller"), (ahead, front, "front roller")] {
        sheet.circle(at(x, radius), per_mm * radius, Pen::Thick);
        sheet.dot(at(x, radius));
        let low = at(x, 0.0);
        sheet.words((low.0, low.1 + 58.0), Anchor::Middle, 14, name);
        let size = format!("dia. {}", scale.say(2.0 * radius));
        sheet.words((low.0, low.1 + 76.0), Anchor::Middle, 13, &size);
    }
    let edge = at(side.edge_to_rear_roller_mm, side.edge_height_mm);
    if let Some(radius) = reel {
        // The reel stands on the edge, its axis over it.
        let axis = at(side.edge_to_rear_roller_mm, side.edge_height_mm + radius);
        sheet.circle(axis, per_mm * radius, Pen::Dashed);
        sheet.dot(axis);
        sheet.words((axis.0, axis.1 - 22.0), Anchor::Middle, 14, "reel");
        let size = format!("dia. {}", scale.say(2.0 * radius));
        sheet.words((axis.0, axis.1 - 6.0), Anchor::Middle, 13, &size);
    }
    let bedknife = [(0.0, 0.0), (46.0, -3.0), (46.0, -13.0), (0.0, -6.0)];
    sheet.shape(&bedknife.map(|(right, down)| (edge.0 + right, edge.1 + down)), true);
    dimensions(&mut sheet, side, &at, scale);
    let reel_line = "reel, at the diameter read last, over the edge";
    let mut legend = vec![
        (Sample::Line(Pen::Thick), "rollers and ground"),
        (Sample::Hatch, "bedknife (not to scale)"),
    ];
    if reel.is_some() {
        legend.insert(1, (Sample::Line(Pen::Dashed), reel_line));
    }
    sheet.legend(&legend);
    sheet.finish()
}

fn dimensions(
    sheet: &mut Sheet,
    side: &pb::SideView,
    at: &impl Fn(f64, f64) -> Place,
    scale: Scale,
) {
    let (rear_x, front_x) = (at(0.0, 0.0).0, at(side.roller_centre_distance_mm, 0.0).0);
    let low = GROUND + 100.0;
    sheet.arrow((front_x, low), (rear_x, low), true);
    let apart = format!("{} between centres", scale.say(side.roller_centre_distance_mm));
    sheet.words((f64::midpoint(front_x, rear_x), low + 17.0), Anchor::Middle, 13, &apart);
    let edge = at(side.edge_to_rear_roller_mm, side.edge_height_mm);
    sheet.line((edge.0, GROUND + 4.0), (edge.0, GROUND + 30.0), Pen::Thin);
    sheet.arrow((edge.0, GROUND + 24.0), (rear_x, GROUND + 24.0), true);
    let ahead = scale.say(side.edge_to_rear_roller_mm);
    sheet.words((f64::midpoint(edge.0, rear_x), GROUND + 41.0), Anchor::Middle, 13, &ahead);
    let lines = [
        format!("edge {} over the ground", scale.say(side.edge_height_mm)),
        format!(
            "front roller up {}: edge down {}",
            scale.say(1.0),
            scale.say(side.fall_per_travel_mm)
        ),
    ];
    for (number, line) in lines.iter().enumerate() {
        sheet.words((24.0, 92.0 + 20.0 * number as f64), Anchor::Start, 14, line);
    }
}
