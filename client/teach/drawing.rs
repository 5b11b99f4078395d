//! A plain drawing of what the procedure works on, seen from the side or from above, with the names
//! of its parts. It is a scheme, not to scale: shapes and words only.

use sward_core::pb;

use crate::picture::sheet::{Anchor, Pen, Sheet};

const WIDTH: f64 = 520.0;
const HEIGHT: f64 = 330.0;
/// Line of the bench or the turf.
const GROUND: f64 = 280.0;

/// The drawing for the first kind of equipment of the procedure.
pub fn of(row: &pb::Procedure) -> String {
    let kind = row.equipment.first().and_then(|kind| pb::Equipment::try_from(*kind).ok());
    match kind.unwrap_or(pb::Equipment::ReelUnit) {
        pb::Equipment::Groomer => with_rotor("Groomer, seen from the side", "groomer blades", 196.0),
        pb::Equipment::RearRollerBrush => brush(),
        pb::Equipment::VerticutReel => verticut(),
        pb::Equipment::RotaryDeck => deck(),
        pb::Equipment::ReelUnit | pb::Equipment::Unspecified => reel_unit(),
    }
}

fn blank(title: &str) -> Sheet {
    let mut sheet = Sheet::new(WIDTH, HEIGHT, title, "a scheme, not to scale");
    sheet.line((20.0, GROUND), (WIDTH - 20.0, GROUND), Pen::Thick);
    sheet.arrow((150.0, 312.0), (60.0, 312.0), false);
    sheet.words((160.0, 317.0), Anchor::Start, 14, "direction of travel");
    sheet
}

/// A circle with its name outside it and a line to it.
fn named(sheet: &mut Sheet, centre: (f64, f64), radius: f64, name: &str, label: (f64, f64)) {
    sheet.circle(centre, radius, Pen::Thick);
    sheet.dot(centre);
    let anchor = if label.0 < centre.0 { Anchor::End } else { Anchor::Start };
    sheet.line((label.0, label.1 + 4.0), centre, Pen::Thin);
    sheet.words(label, anchor, 15, name);
}

/// Rollers, reel, bedknife and the height of cut, which every kind on a reel unit shares.
fn unit(sheet: &mut Sheet) {
    named(sheet, (110.0, 250.0), 30.0, "front roller", (120.0, 150.0));
    named(sheet, (420.0, 245.0), 35.0, "rear roller", (430.0, 150.0));
    sheet.circle((285.0, 165.0), 70.0, Pen::Dashed);
    sheet.dot((285.0, 165.0));
    for spoke in 0..8 {
        let angle = std::f64::consts::PI * f64::from(spoke) / 4.0;
        let (x, y) = (285.0 + 70.0 * angle.cos(), 165.0 + 70.0 * angle.sin());
        sheet.line((285.0, 165.0), (x, y), Pen::Thin);
    }
    sheet.words((285.0, 84.0), Anchor::Middle, 15, "reel");
    // The edge lies below and a little behind the middle of the reel.
    let edge = (302.0, 236.0);
    sheet.shape(&[edge, (380.0, 226.0), (380.0, 238.0), (304.0, 246.0)], true);
    sheet.words((386.0, 208.0), Anchor::Start, 15, "bedknife");
    sheet.arrow((262.0, 244.0), (262.0, GROUND), true);
    sheet.words((254.0, 268.0), Anchor::End, 15, "height of cut");
}

fn reel_unit() -> String {
    let mut sheet = blank("Reel unit, seen from the side");
    unit(&mut sheet);
    sheet.words((316.0, 256.0), Anchor::Start, 13, "gap of reel and bedknife: at the edge");
    sheet.finish()
}

fn with_rotor(title: &str, name: &str, x: f64) -> String {
    let mut sheet = blank(title);
    unit(&mut sheet);
    named(&mut sheet, (x, 232.0), 34.0, name, (170.0, 112.0));
    sheet.finish()
}

fn brush() -> String {
    let mut sheet = blank("Rear roller brush, seen from the side");
    unit(&mut sheet);
    named(&mut sheet, (478.0, 205.0), 32.0, "brush", (484.0, 112.0));
    sheet.finish()
}

fn verticut() -> String {
    let mut sheet = blank("Verticut reel, seen from the side");
    named(&mut sheet, (110.0, 250.0), 30.0, "front roller", (120.0, 150.0));
    named(&mut sheet, (420.0, 245.0), 35.0, "rear roller", (430.0, 150.0));
    let centre = (270.0, 200.0);
    for point in 0..12 {
        let angle = std::f64::consts::PI * f64::from(point) / 6.0 + 0.2;
        let at = |radius: f64| (centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin());
        sheet.line(at(40.0), at(94.0), Pen::Thick);
    }
    sheet.circle(centre, 40.0, Pen::Thick);
    sheet.dot(centre);
    sheet.words((270.0, 96.0), Anchor::Middle, 15, "verticut blades");
    sheet.line((250.0, 294.0), (372.0, 294.0), Pen::Dashed);
    sheet.arrow((364.0, GROUND), (364.0, 294.0), true);
    sheet.words((372.0, 302.0), Anchor::Start, 15, "depth");
    sheet.finish()
}

fn deck() -> String {
    let mut sheet = blank("Rotary deck, seen from the side");
    sheet.shape(
        &[(80.0, 120.0), (440.0, 120.0), (440.0, 226.0), (432.0, 226.0), (432.0, 128.0),
            (88.0, 128.0), (88.0, 226.0), (80.0, 226.0)],
        true,
    );
    sheet.words((260.0, 84.0), Anchor::Middle, 15, "deck");
    sheet.shape(&[(250.0, 128.0), (270.0, 128.0), (270.0, 206.0), (250.0, 206.0)], false);
    sheet.words((280.0, 170.0), Anchor::Start, 15, "spindle");
    sheet.line((104.0, 214.0), (416.0, 210.0), Pen::Thick);
    sheet.words((120.0, 200.0), Anchor::Start, 15, "blade");
    sheet.arrow((112.0, 216.0), (112.0, GROUND), true);
    sheet.words((120.0, 262.0), Anchor::Start, 15, "tip height, front");
    sheet.arrow((408.0, 212.0), (408.0, GROUND), true);
    sheet.words((400.0, 262.0), Anchor::End, 15, "tip height, rear");
    sheet.finish()
}
