//! What does one turn of a height adjuster do, as far as it is known? The side view of the unit
//! when it is complete, else a measured turn, else the bare thread. Deliberately absent: how many
//! turns to make; see `adjuster`.

use super::adjuster::AdjusterTurnsInputs;
use super::side_view::SideView;
use super::{Common, SettingError};
use crate::domain::units::plain;

/// The side view and a measured turn may differ by this share before it is told.
const TURN_DIFFERS: f64 = 0.05;

/// What one turn is known to do.
pub enum Turn {
    Seen { view: SideView, travel_per_turn: f64 },
    Measured { per_turn: f64, calibrated: bool },
    Thread { per_turn: f64 },
}

/// The best knowledge of what one turn does.
pub fn know_turn(
    i: &AdjusterTurnsInputs,
    common: &mut Common,
) -> Result<Option<Turn>, SettingError> {
    let measured = measured_turn(i, common)?;
    if common.missing.iter().any(|missing| missing.field.starts_with("calibration")) {
        return Ok(None);
    }
    let ratio = i.adjuster_travel_ratio.unwrap_or(1.0);
    let view = side_view(i)?;
    if let (Some(view), Some(pitch)) = (view, i.thread_pitch_mm) {
        let travel_per_turn = pitch * ratio;
        if let Some((per_turn, _)) = measured {
            compare_turns(travel_per_turn * view.fall_per_travel(), per_turn, common);
        }
        return Ok(Some(Turn::Seen { view, travel_per_turn }));
    }
    let absent = absent_from_view(i);
    let partly_seen = view.is_none() && absent.len() < VIEW_FIELDS;
    if let Some((per_turn, calibrated)) = measured {
        if partly_seen {
            say_incomplete(&absent, "the measured turn", common);
        }
        return Ok(Some(Turn::Measured { per_turn, calibrated }));
    }
    let Some(pitch) = i.thread_pitch_mm else {
        common.need(
            "thread_pitch_mm",
            "mm",
            "the adjuster's thread pitch, or how far one turn was measured to move it",
        );
        return Ok(None);
    };
    if partly_seen {
        say_incomplete(&absent, "the thread, taken one to one", common);
    } else {
        common.advise(
            "one_to_one_assumed",
            "The height is taken to change as much as the thread travels. Where the edge stands \
             between the rollers it changes less; make one turn, read the height, and give that.",
        );
    }
    common.cite("thread_ratio_practice");
    Ok(Some(Turn::Thread { per_turn: pitch * ratio }))
}

/// Change of height in one turn as measured, and whether from a calibration.
fn measured_turn(
    i: &AdjusterTurnsInputs,
    common: &mut Common,
) -> Result<Option<(f64, bool)>, SettingError> {
    if let Some(per_turn) = i.height_change_per_turn_mm {
        return Ok(Some((per_turn, false)));
    }
    let after = i.calibration_height_after_mm.or(i.current_height_mm);
    match (i.calibration_turns_count, i.calibration_height_before_mm, after) {
        (Some(turns), Some(before), Some(after)) => {
            let per_turn = (after - before) / turns;
            if per_turn == 0.0 {
                return Err(SettingError::new(
                    "calibration_height_before_mm",
                    plain(before),
                    "the height did not change in the measured turn; take up the slack and repeat",
                ));
            }
            common.step(
                "Change in one turn = (after - before) / turns made",
                format!("({} - {}) / {}", plain(after), plain(before), plain(turns)),
                per_turn,
                "mm",
                "",
            );
            Ok(Some((per_turn, true)))
        }
        (None, None, _) => Ok(None),
        (turns, before, after) => {
            for (absent, field, unit, why) in [
                (turns.is_none(), "calibration_turns_count", "turns", "turns of the measured turn"),
                (before.is_none(), "calibration_height_before_mm", "mm", "height before it"),
                (after.is_none(), "calibration_height_after_mm", "mm", "height after it"),
            ] {
                if absent {
                    common.need(field, unit, why);
                }
            }
            Ok(None)
        }
    }
}

/// Fields that the side view needs beside the pitch.
const VIEW_FIELDS: usize = 4;

fn absent_from_view(i: &AdjusterTurnsInputs) -> Vec<&'static str> {
    [
        ("front_roller_diameter_mm", i.front_roller_diameter_mm),
        ("rear_roller_diameter_mm", i.rear_roller_diameter_mm),
        ("roller_centre_distance_mm", i.roller_centre_distance_mm),
        ("edge_to_rear_roller_mm", i.edge_to_rear_roller_mm),
    ]
    .into_iter()
    .filter(|(_, value)| value.is_none())
    .map(|(field, _)| field)
    .collect()
}

fn say_incomplete(absent: &[&str], used: &str, common: &mut Common) {
    common.advise(
        "side_view_incomplete",
        format!("The side view also needs {}; {used} was used instead.", absent.join(", ")),
    );
}

/// The side view, when it is complete; refuses one that no unit can have.
fn side_view(i: &AdjusterTurnsInputs) -> Result<Option<SideView>, SettingError> {
    let (Some(front), Some(rear), Some(apart), Some(edge), Some(height)) = (
        i.front_roller_diameter_mm,
        i.rear_roller_diameter_mm,
        i.roller_centre_distance_mm,
        i.edge_to_rear_roller_mm,
        i.current_height_mm,
    ) else {
        return Ok(None);
    };
    let view = SideView {
        front_radius: front / 2.0,
        rear_radius: rear / 2.0,
        centre_distance: apart,
        edge_ahead: edge,
        edge_height: height,
        slot_angle: i.slot_angle_deg.unwrap_or(0.0).to_radians(),
    };
    if edge >= apart {
        return Err(SettingError::new(
            "edge_to_rear_roller_mm",
            plain(edge),
            format!("the edge must lie between the roller centres, {} mm apart", plain(apart)),
        ));
    }
    if !view.rollers_are_apart() {
        return Err(SettingError::new(
            "roller_centre_distance_mm",
            plain(apart),
            "rollers of these diameters would overlap; measure from centre to centre",
        ));
    }
    if !view.edge_is_clear() {
        return Err(SettingError::new(
            "edge_to_rear_roller_mm",
            plain(edge),
            "the edge would lie inside a roller; measure along the ground",
        ));
    }
    Ok(Some(view))
}

fn compare_turns(seen: f64, measured: f64, common: &mut Common) {
    if (measured.abs() / seen - 1.0).abs() > TURN_DIFFERS {
        common.advise(
            "measured_turn_differs",
            format!(
                "The measured turn moves the height {} mm, the side view says {} mm: look for \
                 slack, or for another thread or ratio.",
                plain(measured.abs()),
                plain(seen)
            ),
        );
    }
}
