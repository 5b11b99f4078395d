//! Which record comes of a walk? Its kind by the procedure, the values before and after, every
//! reading, the cautions that were acknowledged, what was left out, and who signs it. It is a
//! draft: somebody confirms it before it is stored.
//! Deliberately absent: anything that was not read. A value that nobody gave stays empty.

use crate::domain::catalogue::{Knowledge, StepReading};
use crate::domain::records::bounds::{LIST_ROWS_MAX, PHRASE_CHARACTERS_MAX, TEXT_CHARACTERS_MAX};
use crate::domain::records::choices::{AdjustmentTarget, Condition, HeightMethod, SharpeningMethod};
use crate::domain::records::detail::{
    Adjustment, FaultFixed, HeightPoint, HeightReading, Inspection, InspectionItem, Part,
    PartReplaced, Sharpening,
};
use crate::domain::records::{Content, Detail};

use super::reading::{Value, value_text};
use super::{Read, Walk};

/// What kind of work a procedure is.
enum Work {
    Set(AdjustmentTarget),
    Sharpen(SharpeningMethod),
    Replace(&'static str),
    ReadHeight,
}

/// Procedures whose record is more than an inspection or a general adjustment.
#[rustfmt::skip]
const WORK: &[(&str, Work)] = &[
    ("set_reel_to_bedknife", Work::Set(AdjustmentTarget::ReelToBedknife)),
    ("set_height_of_cut", Work::Set(AdjustmentTarget::HeightOfCut)),
    ("raise_height_for_contour", Work::Set(AdjustmentTarget::HeightOfCut)),
    ("match_units", Work::Set(AdjustmentTarget::HeightOfCut)),
    ("set_attitude", Work::Set(AdjustmentTarget::BedknifeAttitude)),
    ("set_rollers_parallel", Work::Set(AdjustmentTarget::Rollers)),
    ("set_groomer_depth", Work::Set(AdjustmentTarget::GroomerDepth)),
    ("level_groomer", Work::Set(AdjustmentTarget::GroomerDepth)),
    ("set_rear_roller_brush", Work::Set(AdjustmentTarget::BrushContact)),
    ("set_verticut_depth", Work::Set(AdjustmentTarget::VerticutDepth)),
    ("level_verticut", Work::Set(AdjustmentTarget::VerticutDepth)),
    ("level_deck", Work::Set(AdjustmentTarget::DeckLevel)),
    ("set_deck_pins", Work::Set(AdjustmentTarget::DeckLevel)),
    ("set_deck_rake", Work::Set(AdjustmentTarget::DeckRake)),
    ("set_weight_transfer", Work::Set(AdjustmentTarget::WeightTransfer)),
    ("set_tyre_pressure", Work::Set(AdjustmentTarget::TyrePressure)),
    ("set_clip", Work::Set(AdjustmentTarget::Speed)),
    ("steady_ground_speed", Work::Set(AdjustmentTarget::Speed)),
    ("correct_blade_speed_over_limit", Work::Set(AdjustmentTarget::Speed)),
    ("restore_blade_speed", Work::Set(AdjustmentTarget::Speed)),
    ("restore_reel_drive", Work::Set(AdjustmentTarget::Speed)),
    ("backlap_reel", Work::Sharpen(SharpeningMethod::Backlap)),
    ("spin_grind_reel", Work::Sharpen(SharpeningMethod::SpinGrind)),
    ("relief_grind_reel", Work::Sharpen(SharpeningMethod::ReliefGrind)),
    ("grind_bedknife", Work::Sharpen(SharpeningMethod::BedknifeGrind)),
    ("sharpen_and_balance_rotary_blade", Work::Sharpen(SharpeningMethod::BladeGrind)),
    ("dress_nick", Work::Sharpen(SharpeningMethod::HandDress)),
    ("replace_bedknife", Work::Replace("bedknife")),
    ("replace_brush", Work::Replace("rear roller brush")),
    ("replace_groomer_bearings", Work::Replace("groomer bearings")),
    ("replace_groomer_blades", Work::Replace("groomer blades")),
    ("replace_reel", Work::Replace("reel")),
    ("replace_reel_bearings", Work::Replace("reel bearings")),
    ("replace_roller", Work::Replace("roller")),
    ("replace_rotary_blade", Work::Replace("rotary blade")),
    ("replace_spindle", Work::Replace("spindle")),
    ("replace_spindle_bearings", Work::Replace("spindle bearings")),
    ("replace_verticut_bearings", Work::Replace("verticut bearings")),
    ("replace_verticut_blades", Work::Replace("verticut blades")),
    ("measure_effective_height", Work::ReadHeight),
];

/// Beginnings of the names of procedures that only look or measure.
const LOOKS: &[&str] = &["inspect_", "check_", "measure_", "test_", "choose_", "swap_"];

/// Readings of the state before and after, by the beginning of their id.
const BEFORE: &[&str] = &["found_leading_mm", "found_trailing_mm", "found_depth_mm"];
const AFTER: &[&str] = &[
    "clamped_leading_mm", "clamped_trailing_mm", "set_leading_mm", "set_trailing_mm",
    "set_depth_mm", "gap_leading_mm", "gap_trailing_mm", "new_height_mm", "clearance_set_mm",
    "rake_mm",
];

/// The record of a walk, finished or not.
pub fn content(knowledge: &Knowledge, walk: &Walk) -> Content {
    let mut content = Content::new(detail(knowledge, walk));
    let title = title_of(knowledge, walk.procedure());
    content.words = if walk.finished() {
        format!("Walked through: {title}")
    } else {
        format!("Walked through in part: {title}")
    };
    content.done_by = walk.signed_by.clone();
    content.notes = notes(knowledge, walk);
    content
}

fn title_of(knowledge: &Knowledge, id: &str) -> String {
    knowledge.procedure(id).map_or_else(|| id.to_owned(), |row| row.title.clone())
}

fn detail(knowledge: &Knowledge, walk: &Walk) -> Detail {
    let id = walk.procedure();
    if !walk.cause.is_empty() {
        return Detail::FaultFixed(FaultFixed {
            action: title_of(knowledge, id),
            cause: walk.cause.clone(),
            procedure: id.to_owned(),
            ..FaultFixed::default()
        });
    }
    let work = WORK.iter().find(|(procedure, _)| *procedure == id).map(|(_, work)| work);
    match work {
        Some(Work::Set(target)) => adjustment(walk, *target),
        Some(Work::Sharpen(method)) => sharpening(walk, *method),
        Some(Work::Replace(part)) => {
            let part = Part { part: (*part).to_owned(), ..Part::default() };
            Detail::PartReplaced(PartReplaced { parts: vec![part], result: result(walk) })
        }
        Some(Work::ReadHeight) => heights(knowledge, walk),
        None if LOOKS.iter().any(|look| id.starts_with(look)) => inspection(knowledge, walk),
        None => adjustment(walk, AdjustmentTarget::Other),
    }
}

/// The latest value of each reading, those that were skipped or read again left behind.
fn latest<'a>(walk: &'a Walk) -> Vec<&'a Read> {
    let mut latest: Vec<&Read> = Vec::new();
    for read in &walk.readings {
        let same = |other: &&Read| other.procedure == read.procedure && other.id == read.id;
        latest.retain(|other| !same(other));
        latest.push(read);
    }
    latest
}

fn number(walk: &Walk, id: &str) -> Option<f64> {
    let own = |read: &&Read| read.id == id && read.procedure == walk.procedure();
    latest(walk).into_iter().find(own).and_then(|read| match read.value {
        Value::Number(number) => Some(number),
        Value::Yes | Value::No => None,
    })
}

fn mean(walk: &Walk, ids: &[&str]) -> Option<f64> {
    let known: Vec<f64> = ids.iter().filter_map(|id| number(walk, id)).collect();
    // Thousandths of a millimetre are finer than any gauge here.
    let mean = known.iter().sum::<f64>() / known.len() as f64;
    (!known.is_empty()).then(|| (mean * 1e3).round() / 1e3)
}

fn adjustment(walk: &Walk, target: AdjustmentTarget) -> Detail {
    let speed = matches!(target, AdjustmentTarget::Speed | AdjustmentTarget::TyrePressure);
    let of = |ids: &[&str]| if speed { None } else { mean(walk, ids) };
    let (before, after) = (of(BEFORE), of(AFTER));
    let rollers = target == AdjustmentTarget::Rollers;
    Detail::Adjustment(Adjustment {
        target: Some(target),
        setting_before_mm: if rollers { number(walk, "difference_before_mm") } else { before },
        setting_mm: if rollers { number(walk, "difference_after_mm") } else { after },
        result: result(walk),
        ..Adjustment::default()
    })
}

fn sharpening(walk: &Walk, method: SharpeningMethod) -> Detail {
    Detail::Sharpening(Sharpening {
        method: Some(method),
        diameter_before_mm: mean(
            walk,
            &["diameter_leading_before_mm", "diameter_trailing_before_mm"],
        ),
        diameter_after_mm: mean(walk, &["diameter_leading_mm", "diameter_trailing_mm"]),
        relief_angle_deg: number(walk, "relief_angle_deg"),
        land_width_mm: number(walk, "land_width_mm"),
        result: result(walk),
        ..Sharpening::default()
    })
}

fn heights(knowledge: &Knowledge, walk: &Walk) -> Detail {
    let Some(height) = number(walk, "effective_height_mm") else {
        return inspection(knowledge, walk);
    };
    Detail::HeightReading(HeightReading {
        method: Some(HeightMethod::Prism),
        readings: vec![HeightPoint { height_mm: Some(height), ..HeightPoint::default() }],
        bench_height_mm: number(walk, "bench_height_mm"),
        target_height_mm: None,
    })
}

fn inspection(knowledge: &Knowledge, walk: &Walk) -> Detail {
    let items = latest(walk).into_iter().take(LIST_ROWS_MAX).map(|read| {
        let asked = asked(knowledge, read);
        let unit = asked.map_or("", |asked| asked.unit.as_str());
        let condition = if read.good { Condition::Good } else { Condition::Bad };
        InspectionItem {
            item: cut(&asked.map_or(read.id.as_str(), |asked| asked.label.as_str()), 80),
            condition: Some(condition),
            found: value_text(&read.value, unit),
            remaining_h: None,
        }
    });
    Detail::Inspection(Inspection {
        items: items.collect(),
        land_width_mm: number(walk, "land_width_mm"),
        end_play_mm: number(walk, "end_play_mm"),
        blade_stop_time_s: number(walk, "stop_time_s"),
        reel_speed_rpm: number(walk, "reel_speed_rpm"),
        ground_speed_mps: number(walk, "ground_speed_mps"),
        ..Inspection::default()
    })
}

fn asked<'a>(knowledge: &'a Knowledge, read: &Read) -> Option<&'a StepReading> {
    let step = knowledge.procedure(&read.procedure)?.steps.get(read.step.checked_sub(1)?)?;
    step.readings.iter().find(|asked| asked.id == read.id)
}

/// What came of it, in a phrase.
fn result(walk: &Walk) -> String {
    let latest = latest(walk);
    let bad: Vec<&str> =
        latest.iter().filter(|read| !read.good).map(|read| read.id.as_str()).collect();
    let text = match (latest.len(), bad.len()) {
        (0, _) => "no values were read".to_owned(),
        (count, 0) => format!("all {count} readings good"),
        (count, _) => format!("{} of {count} readings not good: {}", bad.len(), bad.join(", ")),
    };
    cut(&text, PHRASE_CHARACTERS_MAX)
}

/// Readings, cautions and what was left out, within the length of notes. The cautions come first:
/// they are never the part that is cut.
fn notes(knowledge: &Knowledge, walk: &Walk) -> String {
    let mut parts = vec![acknowledged(walk)];
    let said = |read: &Read| {
        let unit = asked(knowledge, read).map_or("", |asked| asked.unit.as_str());
        let worked = if read.worked_out.is_empty() {
            String::new()
        } else {
            format!(" (worked out: {})", read.worked_out)
        };
        format!("{} {}{worked}", read.id, value_text(&read.value, unit))
    };
    let kept: Vec<String> = latest(walk).into_iter().map(said).collect();
    if !kept.is_empty() {
        parts.push(format!("Readings: {}.", kept.join("; ")));
    }
    let skipped: Vec<String> = walk
        .skipped
        .iter()
        .map(|left| match left.reading.as_str() {
            "" => format!("step {} of {}", left.step, left.procedure),
            reading => format!("{reading} in step {}", left.step),
        })
        .collect();
    if !skipped.is_empty() {
        parts.push(format!("Left out: {}.", skipped.join("; ")));
    }
    if !walk.done.is_empty() {
        parts.push(format!("Gone through within: {}.", walk.done.join(", ")));
    }
    let earlier: Vec<String> =
        walk.readings.iter().filter(|read| !read.good).map(said).collect();
    if !earlier.is_empty() {
        parts.push(format!("Not good when read: {}.", earlier.join("; ")));
    }
    cut(&parts.join("\n"), TEXT_CHARACTERS_MAX)
}

fn acknowledged(walk: &Walk) -> String {
    let mut ids: Vec<&str> = Vec::new();
    for given in &walk.acknowledged {
        for id in &given.cautions {
            if !ids.contains(&id.as_str()) {
                ids.push(id);
            }
        }
    }
    if ids.is_empty() {
        return "No cautions were acknowledged.".to_owned();
    }
    let mut steps: Vec<String> = Vec::new();
    for given in &walk.acknowledged {
        let step = if given.procedure == walk.procedure() {
            given.step.to_string()
        } else {
            format!("{} {}", given.procedure, given.step)
        };
        if !steps.contains(&step) {
            steps.push(step);
        }
    }
    format!("Cautions acknowledged at steps {}: {}.", steps.join(", "), ids.join(", "))
}

/// The text, or as much as fits with a sign that more was there.
fn cut(text: &str, characters_max: usize) -> String {
    if text.chars().count() <= characters_max {
        return text.to_owned();
    }
    let kept: String = text.chars().take(characters_max - 4).collect();
    format!("{kept} ...")
}
