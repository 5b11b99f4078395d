//! What belongs on the card above the bench? Every setting of a unit and of what it carries:
//! target, tolerance, last reading, and whether it lies inside; what a turn of its adjuster does;
//! its cautions; and its shape from the side, when its sizes are known.
//! Deliberately absent: numbers for a machine that only its manual has.

use super::books::{Books, UnitBook};
use super::state::{HeightState, UnitState, states};
use crate::domain::catalogue::{Basis, Equipment, SettingTarget};
use crate::domain::limits::check_given;
use crate::domain::records::Moment;
use crate::domain::records::choices::AdjustmentTarget;
use crate::domain::settings::SettingError;
use crate::domain::settings::side_view::SideView;

/// Sizes that the records do not hold.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Geometry {
    pub front_roller_diameter_mm: Option<f64>,
    pub rear_roller_diameter_mm: Option<f64>,
    pub roller_centre_distance_mm: Option<f64>,
    pub edge_to_rear_roller_mm: Option<f64>,
    pub slot_angle_deg: Option<f64>,
    pub thread_pitch_mm: Option<f64>,
}

/// One line of the card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardRow {
    /// Place of the unit it belongs to: the unit of the card, or what it carries.
    pub unit: usize,
    pub setting: String,
    pub title: String,
    /// None where a range is all there is.
    pub target: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub quantity_unit: String,
    pub last: Option<(Moment, f64)>,
    pub how: String,
    pub basis: Basis,
}

impl CardRow {
    /// Whether the last reading lies inside; none without one or without limits.
    pub fn inside(&self) -> Option<bool> {
        let (_, last) = self.last?;
        if self.low.is_none() && self.high.is_none() {
            return None;
        }
        // A hair, so that a reading on the limit is inside whatever its last binary figure.
        let hair = 1e-9 * (1.0 + last.abs());
        let over = self.low.is_none_or(|low| last >= low - hair);
        Some(over && self.high.is_none_or(|high| last <= high + hair))
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    pub unit: usize,
    pub rows: Vec<CardRow>,
    /// Height in one turn of the adjuster, measured or from the geometry.
    pub per_turn_mm: Option<f64>,
    /// How that is known; empty when it is not.
    pub per_turn_from: &'static str,
    pub state: UnitState,
    /// The unit from the side; none while a size is missing, which `missing` names.
    pub side: Option<SideView>,
    pub missing: Vec<&'static str>,
    pub reel_diameter_mm: Option<f64>,
    pub cautions: &'static [&'static str],
}

pub fn card(
    books: &Books,
    unit: usize,
    targets: &[SettingTarget],
    geometry: Geometry,
) -> Result<Card, SettingError> {
    let geometry = checked(geometry)?;
    let mut all = states(books);
    let mut rows = Vec::new();
    for at in with_carried(books, unit) {
        rows_of(books, at, unit, targets, &all, &mut rows);
    }
    let state = all.swap_remove(unit);
    let (side, missing) = side_view(geometry, state.height)?;
    let measured = books.units[unit].facts.height_change_per_turn_mm;
    let of_thread =
        side.zip(geometry.thread_pitch_mm).map(|(side, pitch)| pitch * side.fall_per_travel());
    let per_turn_from = match (measured, of_thread) {
        (Some(_), _) => "measured",
        (None, Some(_)) => "thread and geometry",
        (None, None) => "",
    };
    Ok(Card {
        unit,
        rows,
        per_turn_mm: measured.or(of_thread),
        per_turn_from,
        reel_diameter_mm: state.wear.last.map(|(_, mm)| mm),
        state,
        side,
        missing,
        cautions: cautions(books.units[unit].equipment),
    })
}

fn checked(geometry: Geometry) -> Result<Geometry, SettingError> {
    Ok(Geometry {
        front_roller_diameter_mm: check_given(
            "front_roller_diameter_mm",
            geometry.front_roller_diameter_mm,
        )?,
        rear_roller_diameter_mm: check_given(
            "rear_roller_diameter_mm",
            geometry.rear_roller_diameter_mm,
        )?,
        roller_centre_distance_mm: check_given(
            "roller_centre_distance_mm",
            geometry.roller_centre_distance_mm,
        )?,
        edge_to_rear_roller_mm: check_given(
            "edge_to_rear_roller_mm",
            geometry.edge_to_rear_roller_mm,
        )?,
        slot_angle_deg: check_given("slot_angle_deg", geometry.slot_angle_deg)?,
        thread_pitch_mm: check_given("thread_pitch_mm", geometry.thread_pitch_mm)?,
    })
}

/// The unit, then what it carries.
fn with_carried(books: &Books, unit: usize) -> Vec<usize> {
    let name = &books.units[unit].name;
    let carried = books.units.iter().enumerate();
    let carried = carried.filter(|(_, other)| other.facts.carried_by.as_ref() == Some(name));
    std::iter::once(unit).chain(carried.map(|(at, _)| at)).collect()
}

fn rows_of(
    books: &Books,
    at: usize,
    carrier: usize,
    targets: &[SettingTarget],
    states: &[UnitState],
    rows: &mut Vec<CardRow>,
) {
    let unit = &books.units[at];
    let wanted_mm = states[carrier].height.and_then(|height| height.target_mm);
    for target in targets.iter().filter(|row| Some(row.equipment) == unit.equipment) {
        let height = wanted_mm.filter(|_| target.share_of_height);
        let of_height = |share: f64| height.map(|mm| share * mm);
        let around = target.setting == "height_of_cut";
        let limit = |value: f64| match target.share_of_height {
            false => Some(value),
            true => of_height(if around { 1.0 + value } else { value }),
        };
        rows.push(CardRow {
            unit: at,
            setting: target.setting.clone(),
            title: target.title.clone(),
            target: height.filter(|_| around),
            low: limit(target.low),
            high: limit(target.high),
            quantity_unit: target.unit.clone(),
            last: last_reading(unit, &states[at], &target.setting),
            how: target.how.clone(),
            basis: target.basis.clone(),
        });
    }
    bare_rows(unit, at, &states[at], rows);
}

fn last_reading(unit: &UnitBook, state: &UnitState, setting: &str) -> Option<(Moment, f64)> {
    let of_height = |value: fn(&HeightState) -> Option<f64>| {
        state.height.and_then(|height| Some((height.time, value(&height)?)))
    };
    match setting {
        "height_of_cut" => of_height(|height| Some(height.mean_mm)),
        "end_difference" => of_height(|height| height.end_difference_mm.map(f64::abs)),
        "neighbour_difference" => of_height(|height| height.neighbour_difference_mm.map(f64::abs)),
        "reel_to_bedknife_gap" => unit.measured.gap_mm,
        "reel_taper" => state
            .wear
            .last
            .and_then(|(time, _)| state.wear.taper_mm.map(|taper| (time, taper.abs()))),
        "blade_land_width" => unit.measured.land_width_mm.or_else(|| {
            let ground = unit.sharpenings.iter().rev();
            ground.into_iter().find_map(|one| Some((one.time, one.land_width_mm?)))
        }),
        "clip_over_height" => clip_over_height(unit, state),
        "groomer_depth" => set(unit, AdjustmentTarget::GroomerDepth),
        "blade_stop_time" => unit.measured.blade_stop_time_s,
        _ => None,
    }
}

/// The setting as it was last made, in mm.
fn set(unit: &UnitBook, target: AdjustmentTarget) -> Option<(Moment, f64)> {
    let made = unit.settings.iter().find(|one| one.target == target)?;
    Some((made.time, made.adjustment.setting_mm?))
}

/// The clip measured, or the one of the speeds measured, over the height read.
fn clip_over_height(unit: &UnitBook, state: &UnitState) -> Option<(Moment, f64)> {
    let height = state.height?;
    let of_speeds = || {
        let (time, speed_mps) = unit.measured.ground_speed_mps?;
        let (_, reel_rpm) = unit.measured.reel_speed_rpm?;
        let blades = f64::from(unit.facts.blade_count?);
        Some((time, 60_000.0 * speed_mps / (blades * reel_rpm)))
    };
    let (time, clip_mm) = unit.measured.clip_spacing_mm.or_else(of_speeds)?;
    Some((time, clip_mm / height.mean_mm))
}

/// What has a last reading and no target but that of the manual.
fn bare_rows(unit: &UnitBook, at: usize, state: &UnitState, rows: &mut Vec<CardRow>) {
    let mut put = |setting: &str, title: &str, low, quantity_unit: &str, last| {
        rows.push(CardRow {
            unit: at,
            setting: setting.to_owned(),
            title: title.to_owned(),
            target: None,
            low,
            high: None,
            quantity_unit: quantity_unit.to_owned(),
            last,
            how: "Target from the machine's manual.".to_owned(),
            basis: Basis::CommonPractice,
        });
    };
    match unit.equipment {
        Some(Equipment::ReelUnit) => {
            let least = unit.facts.minimum_diameter_mm;
            put("reel_diameter", "Reel diameter, at least", least, "mm", state.wear.last);
            if let Some(play) = unit.measured.end_play_mm {
                put("end_play", "End play of the reel", None, "mm", Some(play));
            }
        }
        Some(Equipment::RearRollerBrush) => {
            let contact = set(unit, AdjustmentTarget::BrushContact);
            put("brush_contact", "Brush contact with the roller", None, "mm", contact);
        }
        Some(Equipment::VerticutReel) => {
            let depth = set(unit, AdjustmentTarget::VerticutDepth);
            put("verticut_depth", "Verticut depth", None, "mm", depth);
        }
        Some(Equipment::Groomer | Equipment::RotaryDeck) | None => {}
    }
    if let Some(pressure) = unit.measured.pressure_kpa.filter(|_| unit.facts.carried_by.is_none()) {
        put("tyre_pressure", "Tyre pressure, left and right alike", None, "kPa", Some(pressure));
    }
}

/// The unit from the side, or which sizes are missing.
fn side_view(
    geometry: Geometry,
    height: Option<HeightState>,
) -> Result<(Option<SideView>, Vec<&'static str>), SettingError> {
    let sizes = [
        ("front_roller_diameter_mm", geometry.front_roller_diameter_mm),
        ("rear_roller_diameter_mm", geometry.rear_roller_diameter_mm),
        ("roller_centre_distance_mm", geometry.roller_centre_distance_mm),
        ("edge_to_rear_roller_mm", geometry.edge_to_rear_roller_mm),
        ("a bench height on record", height.map(|height| height.mean_mm)),
    ];
    let missing: Vec<&str> =
        sizes.iter().filter(|(_, size)| size.is_none()).map(|(name, _)| *name).collect();
    let known: Vec<f64> = sizes.iter().filter_map(|(_, size)| *size).collect();
    let [front_mm, rear_mm, distance_mm, ahead_mm, edge_mm] = known[..] else {
        return Ok((None, missing));
    };
    let side = SideView {
        front_radius: front_mm / 2.0,
        rear_radius: rear_mm / 2.0,
        centre_distance: distance_mm,
        edge_ahead: ahead_mm,
        edge_height: edge_mm,
        slot_angle: geometry.slot_angle_deg.unwrap_or(0.0).to_radians(),
    };
    if !side.rollers_are_apart() {
        let remedy = "the rollers would cut into each other; measure their centres again";
        return Err(SettingError::new("roller_centre_distance_mm", distance_mm, remedy));
    }
    if ahead_mm > distance_mm || !side.edge_is_clear() {
        let remedy = "the edge would lie outside the rollers or in one; measure it again";
        return Err(SettingError::new("edge_to_rear_roller_mm", ahead_mm, remedy));
    }
    Ok((Some(side), missing))
}

fn cautions(equipment: Option<Equipment>) -> &'static [&'static str] {
    match equipment {
        Some(Equipment::RotaryDeck) => &[
            "isolate_drive",
            "support_raised_machine",
            "block_rotary_blade",
            "watch_blade_stop",
            "torque_from_manual",
        ],
        Some(
            Equipment::ReelUnit
            | Equipment::Groomer
            | Equipment::RearRollerBrush
            | Equipment::VerticutReel,
        )
        | None => &[
            "isolate_drive",
            "block_tipped_unit",
            "hands_clear_of_reel",
            "turn_reel_by_tool",
            "cut_gloves_stationary",
            "torque_from_manual",
        ],
    }
}
