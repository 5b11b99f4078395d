//! What do the turns do? The unit from the side when its rollers were given, else the height on a
//! scale beside the turns.

use std::f64::consts::PI;

use sward_core::domain::units::decimal;
use sward_core::pb;

use super::Scale;
use super::sheet::{Anchor, Pen, Place, Sample, Sheet};
use crate::call::Failure;

pub fn draw(
    asked: &pb::AdjusterTurnsRequest,
    reply: &pb::AdjusterTurnsResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let (Some(turns), Some(change)) = (reply.turns_count, reply.height_change_mm) else {
        return Ok(None);
    };
    let view = View::of(asked, reply);
    Ok(Some(match view {
        Some(view) => side_view(&view, turns, change, scale),
        None => height_scale(asked, turns, change, scale),
    }))
}

fn caption(turns: f64, change: f64, scale: Scale) -> String {
    let way = if change < 0.0 { "down" } else { "up" };
    format!(
        "{} turns ({} flats) take the edge {way} by {}",
        decimal(turns, 2),
        decimal(6.0 * turns, 1),
        scale.say(change.abs())
    )
}

/// The unit as given and as it will stand, mm; x runs forward from the rear roller's centre.
struct View {
    front_radius: f64,
    rear_radius: f64,
    apart: f64,
    edge_ahead: f64,
    height: f64,
    after: f64,
    slot: f64,
    travel: f64,
    attitude: f64,
}

impl View {
    fn of(asked: &pb::AdjusterTurnsRequest, reply: &pb::AdjusterTurnsResponse) -> Option<View> {
        Some(View {
            front_radius: asked.front_roller_diameter_mm? / 2.0,
            rear_radius: asked.rear_roller_diameter_mm? / 2.0,
            apart: asked.roller_centre_distance_mm?,
            edge_ahead: asked.edge_to_rear_roller_mm?,
            height: asked.current_height_mm?,
            after: reply.resulting_height_mm?,
            slot: asked.slot_angle_deg.unwrap_or(0.0).to_radians(),
            travel: reply.roller_travel_mm?,
            attitude: reply.attitude_change_deg?.to_radians(),
        })
    }
}

fn side_view(view: &View, turns: f64, change: f64, scale: Scale) -> String {
    let mut sheet =
        Sheet::new(860.0, 590.0, "Cutting unit from the side", &caption(turns, change, scale));
    // Forward is to the left; the ground of now is level.
    let whole = view.apart + view.front_radius + view.rear_radius;
    let per_mm = (600.0 / whole).min(260.0 / (2.0 * view.front_radius.max(view.rear_radius)));
    let ground = 380.0;
    let rear_x = 430.0 + per_mm * (view.apart - view.front_radius + view.rear_radius) / 2.0;
    let at = |x: f64, y: f64| -> Place { (rear_x - per_mm * x, ground - per_mm * y) };
    let rear = (0.0, view.rear_radius);
    let front = (view.apart, view.front_radius);
    let moved = (
        front.0 + view.travel * view.slot.sin(),
        front.1 + view.travel * view.slot.cos(),
    );
    let (behind, ahead) = (-1.6 * view.rear_radius, view.apart + 1.8 * view.front_radius);
    sheet.line(at(behind, 0.0), at(ahead, 0.0), Pen::Thick);
    for (centre, radius, pen) in [
        (rear, view.rear_radius, Pen::Thick),
        (front, view.front_radius, Pen::Thick),
        (moved, view.front_radius, Pen::Dashed),
    ] {
        sheet.circle(at(centre.0, centre.1), per_mm * radius, pen);
    }
    // The new ground touches the rear roller and the moved one; seen from the unit, it turns.
    let (sine, cosine) = view.attitude.sin_cos();
    let touch = (view.rear_radius * sine, view.rear_radius - view.rear_radius * cosine);
    let along = |d: f64| at(touch.0 + d * cosine, touch.1 + d * sine);
    sheet.line(along(0.9 * behind), along(0.95 * ahead), Pen::Dashed);
    let reach = 1.7 * view.front_radius;
    let slot = |d: f64| at(front.0 + d * view.slot.sin(), front.1 + d * view.slot.cos());
    sheet.line(slot(-0.6 * reach), slot(reach), Pen::Dotted);
    let edge = at(view.edge_ahead, view.height);
    let bedknife = [(0.0, 0.0), (46.0, -4.0), (46.0, -16.0), (0.0, -7.0)];
    sheet.shape(&bedknife.map(|(right, down)| (edge.0 + right, edge.1 + down)), true);
    sheet.words((edge.0 + 6.0, edge.1 - 24.0), Anchor::Middle, 14, "edge");
    labels(&mut sheet, view, &at, scale);
    sheet.legend(&[
        (Sample::Line(Pen::Thick), "rollers and ground as they stand now"),
        (Sample::Line(Pen::Dashed), "front roller and ground after the turns, seen from the unit"),
        (Sample::Line(Pen::Dotted), "slot of the front roller"),
        (Sample::Hatch, "bedknife"),
    ]);
    sheet.finish()
}

fn labels(sheet: &mut Sheet, view: &View, at: &impl Fn(f64, f64) -> Place, scale: Scale) {
    let rear = at(0.0, view.rear_radius);
    let front = at(view.apart, view.front_radius);
    let low = at(0.0, 0.0).1 + 26.0;
    for (place, name, radius) in
        [(rear, "rear roller", view.rear_radius), (front, "front roller", view.front_radius)]
    {
        sheet.dot(place);
        sheet.words((place.0, low + 34.0), Anchor::Middle, 14, name);
        let size = format!("dia. {}", scale.say(2.0 * radius));
        sheet.words((place.0, low + 52.0), Anchor::Middle, 13, &size);
    }
    sheet.arrow((front.0, low), (rear.0, low), true);
    let apart = scale.say(view.apart);
    sheet.words((f64::midpoint(front.0, rear.0), low + 18.0), Anchor::Middle, 13, &apart);
    let top = 100.0;
    let mut lines = vec![
        format!("edge height now {}, after {}", scale.say(view.height), scale.say(view.after)),
        format!("front roller travels {} along its slot", scale.say(view.travel.abs())),
    ];
    let degrees = view.attitude * 180.0 / PI;
    let nose = if degrees < 0.0 { "nose up" } else { "nose down" };
    lines.push(format!("attitude changes {} deg {nose}", decimal(degrees.abs(), 2)));
    for (number, line) in lines.iter().enumerate() {
        sheet.words((40.0, top + 20.0 * number as f64), Anchor::Start, 14, line);
    }
    sheet.arrow((150.0, low + 10.0), (60.0, low + 10.0), false);
    sheet.words((105.0, low + 30.0), Anchor::Middle, 13, "forward");
}

/// A ruler of heights with the turns beside it, for when the unit's shape was not given.
fn height_scale(
    asked: &pb::AdjusterTurnsRequest,
    turns: f64,
    change: f64,
    scale: Scale,
) -> String {
    let mut sheet =
        Sheet::new(640.0, 520.0, "Turns of the adjuster", &caption(turns, change, scale));
    let (upper, lower) = (120.0, 400.0);
    let (from, to) = if change < 0.0 { (upper, lower) } else { (lower, upper) };
    let now = asked.current_height_mm.or(asked.target_height_mm.map(|target| target - change));
    let height = |part: f64| match now {
        Some(now) => scale.say(now + part * change),
        None if part * change > 0.0 => format!("+{}", scale.say(part * change)),
        None => scale.say(part * change),
    };
    let flats = (6.0 * turns.abs()).floor();
    // Too many flats to draw one by one are drawn by the turn.
    let (count, each) = if flats <= 30.0 { (flats, 6.0) } else { (turns.abs().floor(), 1.0) };
    let (count, each) = if count <= 60.0 { (count, each) } else { (0.0, each) };
    sheet.line((300.0, upper), (300.0, lower), Pen::Thick);
    let mut tick = 0.0;
    while tick <= count {
        let part = if turns == 0.0 { 0.0 } else { tick / each / turns.abs() };
        let y = from + part * (to - from);
        let whole = tick % each == 0.0;
        sheet.line((300.0, y), (300.0 + if whole { 22.0 } else { 12.0 }, y), Pen::Thin);
        tick += 1.0;
    }
    for (y, part, name) in [(from, 0.0, "now"), (to, 1.0, "after the turns")] {
        sheet.line((270.0, y), (330.0, y), Pen::Thick);
        sheet.words((258.0, y + 5.0), Anchor::End, 15, &format!("{name}: {}", height(part)));
    }
    sheet.arrow((380.0, from), (380.0, to), false);
    let middle = f64::midpoint(from, to);
    sheet.words((394.0, middle), Anchor::Start, 16, &format!("{} turns", decimal(turns, 2)));
    let flats = format!("{} flats", decimal(6.0 * turns, 1));
    sheet.words((394.0, middle + 22.0), Anchor::Start, 16, &flats);
    let marks = match each == 6.0 {
        true => "a short mark a flat, a long one a turn",
        false => "a mark a turn",
    };
    sheet.legend(&[(Sample::Line(Pen::Thin), marks), (Sample::Arrow, "the way the edge goes")]);
    sheet.finish()
}
