//! How does a record read in a line: "spin grind, 174.8 to 174.45 mm", "torn tips: edges dull; lapped;
//! fixed"? Deliberately absent: its day, its subject and who did it, which stand before and behind.

use crate::domain::records::choices::Choice;
use crate::domain::records::detail::{
    Adjustment, FaultFixed, HeightReading, Hours, Inspection, Part, Sharpening,
};
use crate::domain::records::{Content, Detail};
use crate::domain::units::decimal;

/// Decimals of a length.
const LENGTH: usize = 3;

/// What was done, found or read. `title`: what the catalogue calls a cause or procedure.
pub fn what(content: &Content, title: &dyn Fn(&str) -> String) -> String {
    let text = match &content.detail {
        Detail::Sharpening(done) => sharpening(done),
        Detail::Adjustment(done) => adjustment(done),
        Detail::PartReplaced(done) => joined([parts(&done.parts), done.result.clone()]),
        Detail::HeightReading(read) => heights(read),
        Detail::Inspection(seen) => inspection(seen),
        Detail::FaultFixed(fault) => fault_told(fault, title),
        Detail::Hours(hours) => hours_told(hours, content.machine_hours_h),
    };
    match (text.is_empty(), content.words.is_empty(), content.notes.is_empty()) {
        (false, ..) => text,
        (true, false, _) => content.words.clone(),
        (true, true, false) => content.notes.clone(),
        (true, true, true) => spaced(content.kind()),
    }
}

fn spaced(choice: impl Choice) -> String {
    choice.id().replace('_', " ")
}

fn chosen<C: Choice>(choice: Option<C>) -> String {
    choice.map(spaced).unwrap_or_default()
}

/// The parts that say something, with commas.
fn joined(parts: impl IntoIterator<Item = String>) -> String {
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(", ")
}

fn mm(name: &str, value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| format!("{name}{} mm", decimal(value, LENGTH)))
}

/// "174.8 to 174.45 mm".
fn from_to(before: Option<f64>, after: Option<f64>, unit: &str) -> String {
    let number = |value| decimal(value, LENGTH);
    match (before, after) {
        (Some(before), Some(after)) => format!("{} to {} {unit}", number(before), number(after)),
        (None, Some(after)) => format!("to {} {unit}", number(after)),
        (Some(before), None) => format!("from {} {unit}", number(before)),
        (None, None) => String::new(),
    }
}

/// " (0.35 mm off)".
fn off(done: &Sharpening) -> String {
    let off = done.diameter_before_mm.zip(done.diameter_after_mm);
    let off = off.map(|(before, after)| before - after).filter(|off| *off > 0.0);
    off.map_or_else(String::new, |off| format!(" ({} mm off)", decimal(off, 2)))
}

fn sharpening(done: &Sharpening) -> String {
    let count = |value: Option<u32>, what: &str| {
        value.map_or_else(String::new, |value| format!("{value} {what}"))
    };
    joined([
        chosen(done.method),
        from_to(done.diameter_before_mm, done.diameter_after_mm, "mm") + &off(done),
        done.grit.map_or_else(String::new, |grit| format!("grit {grit}")),
        count(done.sharpened_blade_count, "blades"),
        done.mass_removed_g.map_or_else(String::new, |g| format!("{} g off", decimal(g, 1))),
        mm("land ", done.land_width_mm),
        done.relief_angle_deg.map_or_else(String::new, |deg| format!("{} deg", decimal(deg, 1))),
        done.result.clone(),
    ])
}

fn adjustment(done: &Adjustment) -> String {
    let end = done.end.or(done.hanger);
    joined([
        chosen(done.target),
        chosen(end),
        from_to(done.setting_before_mm, done.setting_mm, "mm"),
        mm("by ", done.height_change_mm),
        mm("moved ", done.movement_mm),
        done.turns.map_or_else(String::new, |turns| format!("{} turns", decimal(turns, 3))),
        from_to(done.pressure_before_kpa, done.pressure_kpa, "kPa"),
        chosen(done.direction),
        done.result.clone(),
    ])
}

fn parts(parts: &[Part]) -> String {
    joined(parts.iter().map(|part| {
        let count = part.count.filter(|count| *count > 1);
        let count = count.map_or_else(String::new, |count| format!("{count} "));
        let ran = part.life_h.map_or_else(String::new, |h| format!(" (ran {} h)", decimal(h, 1)));
        let why = part.reason.map_or_else(String::new, |why| format!(" {}", spaced(why)));
        format!("{count}{}{why}{ran}", part.part)
    }))
}

fn heights(read: &HeightReading) -> String {
    let point = |point: &crate::domain::records::detail::HeightPoint| {
        let place = point.unit.as_ref().or(point.area.as_ref());
        let place = place.map_or_else(String::new, |name| format!("{} ", name.id()));
        let end = point.end.map_or_else(String::new, |end| format!("{} ", spaced(end)));
        point.height_mm.map(|height| format!("{place}{end}{}", decimal(height, LENGTH)))
    };
    let readings: Vec<String> = read.readings.iter().filter_map(point).collect();
    let readings = if readings.is_empty() { String::new() } else { readings.join("; ") + " mm" };
    joined([
        chosen(read.method),
        readings,
        mm("at bench ", read.bench_height_mm),
        mm("target ", read.target_height_mm),
    ])
}

fn inspection(seen: &Inspection) -> String {
    let item = |item: &crate::domain::records::detail::InspectionItem| {
        let found = if item.found.is_empty() { chosen(item.condition) } else { item.found.clone() };
        format!("{} {found}", item.item).trim().to_owned()
    };
    let number = |name: &str, value: Option<f64>, unit: &str| {
        value.map_or_else(String::new, |value| format!("{name} {} {unit}", decimal(value, LENGTH)))
    };
    let measured = [
        mm("left ", seen.left_diameter_mm),
        mm("right ", seen.right_diameter_mm),
        mm("land ", seen.land_width_mm),
        mm("gap ", seen.gap_mm),
        mm("end play ", seen.end_play_mm),
        mm("clip ", seen.clip_spacing_mm),
        number("pressure", seen.pressure_kpa, "kPa"),
        number("blades stop in", seen.blade_stop_time_s, "s"),
        number("reel", seen.reel_speed_rpm, "rpm"),
        number("travel", seen.ground_speed_mps, "m/s"),
    ];
    joined(seen.items.iter().map(item).chain(measured))
}

fn fault_told(fault: &FaultFixed, title: &dyn Fn(&str) -> String) -> String {
    let found = match (fault.found.is_empty(), fault.cause.is_empty()) {
        (false, _) => fault.found.clone(),
        (true, false) => title(&fault.cause),
        (true, true) => String::new(),
    };
    let action = match (fault.action.is_empty(), fault.procedure.is_empty()) {
        (false, _) => fault.action.clone(),
        (true, false) => title(&fault.procedure),
        (true, true) => String::new(),
    };
    let fixed = match fault.fixed {
        Some(true) => "fixed",
        Some(false) => "not cured by it",
        None => "",
    };
    let all = [fault.fault.clone(), found, action, parts(&fault.parts), fixed.to_owned()];
    let all: Vec<String> = all.into_iter().filter(|part| !part.is_empty()).collect();
    all.join("; ")
}

fn hours_told(hours: &Hours, meter: Option<f64>) -> String {
    let h = |name: &str, value: Option<f64>| {
        value.map_or_else(String::new, |value| format!("{name} {} h", decimal(value, 1)))
    };
    let since = hours.since.iter().map(|since| h(&format!("since {}", since.since), since.hours_h));
    joined([h("meter", meter), h("ran", hours.hours_run_h)].into_iter().chain(since))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::choices::SharpeningMethod;

    #[test]
    fn a_record_reads_in_a_line() {
        let title = |id: &str| id.replace('_', " ");
        let ground = Content::new(Detail::Sharpening(Sharpening {
            method: Some(SharpeningMethod::SpinGrind),
            diameter_before_mm: Some(174.8),
            diameter_after_mm: Some(174.45),
            ..Sharpening::default()
        }));
        assert_eq!(what(&ground, &title), "spin grind, 174.8 to 174.45 mm (0.35 mm off)");
        let fault = Content::new(Detail::FaultFixed(FaultFixed {
            fault: "torn tips".to_owned(),
            cause: "edges_dull".to_owned(),
            action: "lapped".to_owned(),
            fixed: Some(true),
            ..FaultFixed::default()
        }));
        assert_eq!(what(&fault, &title), "torn tips; edges dull; lapped; fixed");
        let mut bare = Content::new(Detail::Hours(Hours::default()));
        bare.words = "2001.8 on the clock".to_owned();
        assert_eq!(what(&bare, &title), "2001.8 on the clock");
    }
}
