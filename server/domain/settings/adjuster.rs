//! How many turns of a height adjuster make a wanted change, or what change do given turns make?
//! Three ways, the best that the inputs allow: the exact side view of the unit, a measured turn, or
//! the bare thread taken one to one. Deliberately absent: which way to turn the screw (that differs
//! from machine to machine), and adjusters at the rear roller.

use super::side_view::{Moved, SideView};
use super::turn_worth::{Turn, know_turn};
use super::{Common, SettingError};
use crate::domain::limits::{Bound, check, check_given};
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct AdjusterTurnsInputs {
    pub height_change_mm: Option<f64>,
    pub current_height_mm: Option<f64>,
    pub target_height_mm: Option<f64>,
    pub thread_pitch_mm: Option<f64>,
    pub height_change_per_turn_mm: Option<f64>,
    pub calibration_turns_count: Option<f64>,
    pub calibration_height_before_mm: Option<f64>,
    pub calibration_height_after_mm: Option<f64>,
    pub front_roller_diameter_mm: Option<f64>,
    pub rear_roller_diameter_mm: Option<f64>,
    pub roller_centre_distance_mm: Option<f64>,
    pub edge_to_rear_roller_mm: Option<f64>,
    pub slot_angle_deg: Option<f64>,
    pub adjuster_travel_ratio: Option<f64>,
    pub turns_count: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct AdjusterTurnsAnswer {
    pub turns_count: Option<f64>,
    pub flats_count: Option<f64>,
    pub height_change_mm: Option<f64>,
    pub resulting_height_mm: Option<f64>,
    pub height_change_per_turn_mm: Option<f64>,
    pub roller_travel_mm: Option<f64>,
    pub linear_turns_count: Option<f64>,
    pub attitude_change_deg: Option<f64>,
    pub common: Common,
}

const FLATS_PER_TURN: f64 = 6.0;
/// Two statements of the same change that differ by more than this are told apart, mm.
const SAME_CHANGE_MM: f64 = 0.005;

/// What is wanted: a change of height, or the effect of some turns.
enum Wanted {
    Change(f64),
    Turns(f64),
}

/// Turns for a change of height, or the change from turns.
pub fn adjuster_turns(inputs: &AdjusterTurnsInputs) -> Result<AdjusterTurnsAnswer, SettingError> {
    let inputs = &check_inputs(inputs)?;
    let mut answer = AdjusterTurnsAnswer::default();
    let wanted = what_is_wanted(inputs, &mut answer.common)?;
    let turn = know_turn(inputs, &mut answer.common)?;
    let (Some(wanted), Some(turn)) = (wanted, turn) else { return Ok(answer) };
    let solved_for = match wanted {
        Wanted::Change(_) => "turns_count",
        Wanted::Turns(_) => "height_change_mm",
    };
    match turn {
        Turn::Seen { view, travel_per_turn } => {
            from_side_view(inputs, &wanted, &view, travel_per_turn, &mut answer)?;
        }
        Turn::Measured { per_turn, calibrated } => {
            from_one_turn(&wanted, per_turn, &mut answer);
            if calibrated {
                answer.common.advise(
                    "same_way_as_measured",
                    "Over zero: the same way as the measured turn; under zero: the other way.",
                );
            }
        }
        Turn::Thread { per_turn } => from_one_turn(&wanted, per_turn, &mut answer),
    }
    finish(inputs, solved_for, &mut answer)?;
    Ok(answer)
}

fn check_inputs(i: &AdjusterTurnsInputs) -> Result<AdjusterTurnsInputs, SettingError> {
    let before = i.calibration_height_before_mm;
    let checked = AdjusterTurnsInputs {
        height_change_mm: check_given("height_change_mm", i.height_change_mm)?,
        current_height_mm: check_given("current_height_mm", i.current_height_mm)?,
        target_height_mm: check_given("target_height_mm", i.target_height_mm)?,
        thread_pitch_mm: check_given("thread_pitch_mm", i.thread_pitch_mm)?,
        height_change_per_turn_mm: check_given(
            "height_change_per_turn_mm",
            i.height_change_per_turn_mm,
        )?,
        calibration_turns_count: check_given("calibration_turns_count", i.calibration_turns_count)?,
        calibration_height_before_mm: check_given("calibration_height_before_mm", before)?,
        calibration_height_after_mm: check_given(
            "calibration_height_after_mm",
            i.calibration_height_after_mm,
        )?,
        front_roller_diameter_mm: check_given(
            "front_roller_diameter_mm",
            i.front_roller_diameter_mm,
        )?,
        rear_roller_diameter_mm: check_given("rear_roller_diameter_mm", i.rear_roller_diameter_mm)?,
        roller_centre_distance_mm: check_given(
            "roller_centre_distance_mm",
            i.roller_centre_distance_mm,
        )?,
        edge_to_rear_roller_mm: check_given("edge_to_rear_roller_mm", i.edge_to_rear_roller_mm)?,
        slot_angle_deg: check_given("slot_angle_deg", i.slot_angle_deg)?,
        adjuster_travel_ratio: check_given("adjuster_travel_ratio", i.adjuster_travel_ratio)?,
        turns_count: check_given("turns_count", i.turns_count)?,
    };
    for (field, value) in [
        ("height_change_per_turn_mm", checked.height_change_per_turn_mm),
        ("calibration_turns_count", checked.calibration_turns_count),
    ] {
        if value == Some(0.0) {
            return Err(SettingError::new(field, 0, "a turn that changes nothing tells nothing"));
        }
    }
    Ok(checked)
}

fn what_is_wanted(
    i: &AdjusterTurnsInputs,
    common: &mut Common,
) -> Result<Option<Wanted>, SettingError> {
    let from_heights = i.current_height_mm.zip(i.target_height_mm).map(|(now, to)| to - now);
    if let (Some(stated), Some(worked_out)) = (i.height_change_mm, from_heights)
        && (stated - worked_out).abs() > SAME_CHANGE_MM
    {
        return Err(SettingError::new(
            "height_change_mm",
            plain(stated),
            format!("from the two heights it is {} mm; leave one of them out", plain(worked_out)),
        ));
    }
    let change = i.height_change_mm.or(from_heights);
    match (change, i.turns_count) {
        (Some(_), Some(turns)) => Err(SettingError::new(
            "turns_count",
            plain(turns),
            "give either the change wanted or the turns made, not both",
        )),
        (None, Some(turns)) => Ok(Some(Wanted::Turns(turns))),
        (Some(change), None) => {
            if let (None, Some((now, to))) =
                (i.height_change_mm, i.current_height_mm.zip(i.target_height_mm))
            {
                let expression = format!("{} - {}", plain(to), plain(now));
                common.step("Change wanted = target - height now", expression, change, "mm", "");
            }
            Ok(Some(Wanted::Change(change)))
        }
        (None, None) => {
            if i.target_height_mm.is_some() {
                common.need("current_height_mm", "mm", "the height now, to find the change");
            } else {
                common.need("height_change_mm", "mm", "the change wanted, minus to lower");
            }
            Ok(None)
        }
    }
}

fn from_one_turn(wanted: &Wanted, per_turn: f64, answer: &mut AdjusterTurnsAnswer) {
    let (change, turns) = match *wanted {
        Wanted::Change(change) => (change, change / per_turn),
        Wanted::Turns(turns) => (turns * per_turn, turns),
    };
    let common = &mut answer.common;
    match wanted {
        Wanted::Change(_) => common.step(
            "Turns = change wanted / change in one turn",
            format!("{} / {}", plain(change), plain(per_turn)),
            turns,
            "turns",
            "geometry",
        ),
        Wanted::Turns(_) => common.step(
            "Change = turns × change in one turn",
            format!("{} × {}", plain(turns), plain(per_turn)),
            change,
            "mm",
            "geometry",
        ),
    }
    answer.height_change_mm = Some(change);
    answer.turns_count = Some(turns);
    answer.height_change_per_turn_mm = Some(per_turn);
}

fn from_side_view(
    i: &AdjusterTurnsInputs,
    wanted: &Wanted,
    view: &SideView,
    travel_per_turn: f64,
    answer: &mut AdjusterTurnsAnswer,
) -> Result<(), SettingError> {
    let moved = move_roller(i, wanted, view, travel_per_turn)?;
    let change = moved.edge_height - view.edge_height;
    // The roller goes up into the unit to lower it, so the turns that raise move it down.
    let turns = -moved.travel / travel_per_turn + 0.0;
    let per_turn = travel_per_turn * view.fall_per_travel();
    let linear_turns = change / per_turn;
    let attitude = moved.attitude_change.to_degrees();
    say_side_view(view, &moved, turns, travel_per_turn, &mut answer.common);
    let common = &mut answer.common;
    common.step(
        "Check by the straight-line rule = change × L / (edge × travel in a turn × cos slot)",
        format!(
            "{} × {} / ({} × {} × cos {}°)",
            plain(change),
            plain(view.centre_distance),
            plain(view.edge_ahead),
            plain(travel_per_turn),
            plain(view.slot_angle.to_degrees())
        ),
        linear_turns,
        "turns",
        "geometry",
    );
    if i.slot_angle_deg.is_none() {
        common.advise("slot_taken_upright", "The adjuster's slot is taken as upright.");
    }
    answer.height_change_mm = Some(change);
    answer.turns_count = Some(turns);
    answer.height_change_per_turn_mm = Some(per_turn);
    answer.roller_travel_mm = Some(moved.travel);
    answer.linear_turns_count = Some(linear_turns);
    answer.attitude_change_deg = Some(attitude);
    Ok(())
}

fn move_roller(
    i: &AdjusterTurnsInputs,
    wanted: &Wanted,
    view: &SideView,
    travel_per_turn: f64,
) -> Result<Moved, SettingError> {
    match *wanted {
        Wanted::Turns(turns) => view.by_travel(-turns * travel_per_turn).ok_or_else(|| {
            let remedy =
                "so many turns would put the edge in the ground or the roller past the unit";
            SettingError::new("turns_count", plain(turns), remedy)
        }),
        Wanted::Change(change) => {
            let target = view.edge_height + change;
            let field =
                if i.target_height_mm.is_some() { "target_height_mm" } else { "height_change_mm" };
            let value = i.target_height_mm.unwrap_or(change);
            if target <= 0.0 {
                let remedy = "the edge would meet the ground; ask for less";
                return Err(SettingError::new(field, plain(value), remedy));
            }
            view.to_height(target).ok_or_else(|| {
                let remedy = "this unit cannot reach that height by its front roller; check the \
                              measurements, or change the rear roller or its bracket";
                SettingError::new(field, plain(value), remedy)
            })
        }
    }
}

fn say_side_view(
    view: &SideView,
    moved: &Moved,
    turns: f64,
    travel_per_turn: f64,
    common: &mut Common,
) {
    common.step(
        "Tilt of the unit that brings the edge there",
        format!(
            "atan(({h} - {r}) / {a}) - asin(({to} - {r}) / √({a}² + ({h} - {r})²))",
            h = plain(view.edge_height),
            r = plain(view.rear_radius),
            a = plain(view.edge_ahead),
            to = plain(moved.edge_height)
        ),
        moved.attitude_change.to_degrees(),
        "deg",
        "geometry",
    );
    let tilt = decimal(moved.attitude_change.to_degrees(), 4);
    common.step(
        "Travel of the front roller up its slot, both rollers on the ground",
        format!(
            "({} × sin {tilt}° + ({} - {}) × (1 - cos {tilt}°)) / cos({tilt}° + {}°)",
            plain(view.centre_distance),
            plain(view.front_radius),
            plain(view.rear_radius),
            plain(view.slot_angle.to_degrees())
        ),
        moved.travel,
        "mm",
        "geometry",
    );
    common.step(
        "Turns = travel / travel in one turn, over zero to raise",
        format!("-({}) / {}", plain(moved.travel), plain(travel_per_turn)),
        turns,
        "turns",
        "geometry",
    );
}

/// The result checked, told in a sentence and given its cautions.
fn finish(
    i: &AdjusterTurnsInputs,
    solved_for: &'static str,
    answer: &mut AdjusterTurnsAnswer,
) -> Result<(), SettingError> {
    let change = answer.height_change_mm.unwrap_or(0.0);
    let turns = answer.turns_count.unwrap_or(0.0);
    for (field, value) in [("turns_count", turns), ("height_change_mm", change)] {
        check(field, value).map_err(|_| {
            let range = Bound::of(field).map(Bound::range).unwrap_or_default();
            let remedy = format!("works out outside {range}; check the pitch and the heights");
            SettingError::new(field, plain(value), remedy)
        })?;
    }
    answer.flats_count = Some(turns * FLATS_PER_TURN);
    if let Some(now) = i.current_height_mm {
        let result = now + change;
        if result <= 0.0 {
            let remedy = "the edge would meet the ground; ask for less";
            return Err(SettingError::new(solved_for, plain(result), remedy));
        }
        answer.resulting_height_mm = Some(result);
    }
    let common = &mut answer.common;
    common.conclude(solved_for, sentence(i, solved_for, turns, change));
    common.cite("common_practice");
    if let Some(result) = answer.resulting_height_mm {
        common.doubt_a_low_height(result);
    }
    common.advise(
        "read_after_clamping",
        "Release the height clamps first, end the turn in the direction of the setting to take up \
         slack, clamp, and read the height again: clamping moves it.",
    );
    for id in ["isolate_drive", "hands_clear_of_reel", "block_tipped_unit", "torque_from_manual"] {
        common.caution(id);
    }
    Ok(())
}

/// The turns without a sign, and which way they go.
fn sentence(i: &AdjusterTurnsInputs, solved_for: &str, turns: f64, change: f64) -> String {
    let way = match (i.calibration_turns_count.is_some(), turns < 0.0) {
        (true, false) => "the same way as the measured turn",
        (true, true) => "the other way from the measured turn",
        (false, false) => "the way that raises",
        (false, true) => "the way that lowers",
    };
    // An eighth is said as it is, and not as 0.12.
    let eighths = (turns * 8.0).fract() == 0.0;
    let turned = format!(
        "{} turns ({} flats) {way}",
        decimal(turns.abs(), if eighths { 3 } else { 2 }),
        decimal((turns * FLATS_PER_TURN).abs(), if eighths { 2 } else { 1 })
    );
    let up_or_down = if change < 0.0 { "down" } else { "up" };
    let moved = format!("{} mm {up_or_down}", decimal(change.abs(), 3));
    if solved_for == "turns_count" {
        format!("Make {turned}, for {moved}.")
    } else {
        format!("{turned} bring it {moved}.")
    }
}

#[cfg(test)]
mod tests;
