//! What is the least and the most that any number, text or list in a record may be? Each bound is
//! wide enough for every machine of the trade; it stops slips of a decimal point or a unit, and
//! judges nothing. All are our own (common practice, no source). A field that is also an input of a
//! calculation keeps the bound it has there (`limits`), so that a record can always be computed on.

use crate::domain::limits::Bound;

/// Characters of a text said word for word, and of notes.
pub const TEXT_CHARACTERS_MAX: usize = 2_000;
/// Characters of a phrase: a result, a fault, what was found.
pub const PHRASE_CHARACTERS_MAX: usize = 400;
/// Characters of a name: of a machine, a person, a part.
pub const NAME_CHARACTERS_MAX: usize = 80;
/// Other names of one machine, unit or area.
pub const OTHER_NAMES_MAX: usize = 20;
/// Rows of any list in one record.
pub const LIST_ROWS_MAX: usize = 200;
/// Records in one request that are all stored or none.
pub const BATCH_RECORDS_MAX: usize = 200;
/// Rows in one call that imports.
pub const IMPORT_ROWS_MAX: usize = 10_000;

const fn closed(
    field: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    why: &'static str,
) -> Bound {
    Bound { field, unit, min, max, open_min: false, open_max: false, why }
}

const fn over(
    field: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    why: &'static str,
) -> Bound {
    Bound { field, unit, min, max, open_min: true, open_max: false, why }
}

/// Numbers that only records have, by field.
#[rustfmt::skip]
const BOUNDS: &[Bound] = &[
    over("duration_min", "min", 0.0, 10_080.0, "working time; a week at most"),
    over("duration_each_min", "min", 0.0, 10_080.0, "working time at each; a week at most"),
    closed("machine_hours_h", "h", 0.0, 200_000.0, "reading of the hour meter"),
    over("hours_run_h", "h", 0.0, 10_000.0, "hours run since the last entry"),
    closed("hours_h", "h", 0.0, 200_000.0, "hours since it was done"),
    closed("hours_since_h", "h", 0.0, 200_000.0, "hours run since"),
    closed("life_h", "h", 0.0, 200_000.0, "hours the old part had run"),
    closed("remaining_h", "h", 0.0, 200_000.0, "hours it is expected to last"),
    closed("grit", "", 8.0, 3_000.0, "grit number on the tin or wheel"),
    closed("diameter_before_mm", "mm", 20.0, 1_000.0, "diameter before grinding"),
    closed("diameter_after_mm", "mm", 20.0, 1_000.0, "diameter after grinding"),
    closed("bedknife_top_angle_deg", "deg", -20.0, 45.0, "angle of the bedknife's top face"),
    closed("bedknife_front_angle_deg", "deg", -20.0, 60.0, "angle of the bedknife's front face"),
    closed("sharpened_blade_count", "", 1.0, 1_000.0, "blades that were done"),
    over("mass_removed_g", "g", 0.0, 10_000.0, "metal taken off all blades together"),
    closed("turns", "turns", -100.0, 100.0, "turns of the adjuster"),
    closed("setting_mm", "mm", -100.0, 300.0, "the setting in millimetres"),
    closed("setting_before_mm", "mm", -100.0, 300.0, "the setting in millimetres"),
    over("movement_mm", "mm", 0.0, 1_000.0, "how far it moved; the direction is said apart"),
    closed("pressure_kpa", "kPa", 0.0, 1_000.0, "tyre pressure over that of the air"),
    closed("pressure_before_kpa", "kPa", 0.0, 1_000.0, "tyre pressure over that of the air"),
    closed("count", "", 1.0, 10_000.0, "how many alike"),
    closed("old_diameter_mm", "mm", 5.0, 1_000.0, "diameter left of the old part"),
    over("thickness_mm", "mm", 0.0, 100.0, "thickness of the new part"),
    closed("end_play_mm", "mm", 0.0, 50.0, "play of the reel or shaft"),
    closed("blade_stop_time_s", "s", 0.0, 300.0, "time until the blades stand still"),
    closed("position", "", 1.0, 100.0, "place in the gang, counted from 1"),
    over("width_mm", "mm", 0.0, 10_000.0, "width of the unit"),
    closed("new_diameter_mm", "mm", 10.0, 1_000.0, "diameter when new"),
];

/// The bound of a field of a record, a machine, a unit or an area.
pub fn bound(field: &str) -> &'static Bound {
    let own = BOUNDS.iter().find(|bound| bound.field == field);
    own.or_else(|| Bound::of(field)).expect("every number of a record has a bound")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_field_has_two_bounds() {
        for (at, bound) in BOUNDS.iter().enumerate() {
            assert!(bound.min < bound.max, "{}", bound.field);
            assert!(BOUNDS[..at].iter().all(|other| other.field != bound.field));
            assert!(Bound::of(bound.field).is_none(), "{} is bounded twice", bound.field);
        }
    }
}
