//! What is the least and the most that any number in the program may be? One table of bounds for
//! the inputs of calculations, and constants for everything else that is limited.
//! Deliberately absent: what a limit of the trade means (tip speed, marked wheel speed); those are
//! answers, not refusals, and live with their calculation.

use crate::domain::settings::SettingError;

/// Rows that one repeated input may have.
pub const ROWS_MAX: usize = 1_000;

/// Characters of a complaint or any other free text that is to be understood.
pub const TEXT_CHARS_MAX: usize = 4_000;

/// Observations of one question.
pub const OBSERVATIONS_MAX: usize = 200;

/// Causes of one answer.
pub const CAUSES_MAX: usize = 100;

/// Procedures that may be walked through within each other.
pub const WALK_DEPTH_MAX: usize = 4;

/// Values that one walk keeps.
pub const WALK_READINGS_MAX: usize = 200;

/// Drafts of work left half way that a shop keeps.
pub const DRAFTS_MAX: usize = 100;

/// Bytes of one draft: far more than a walk of the most values takes.
pub const DRAFT_BYTES_MAX: usize = 256 << 10;

/// Choices, questions or procedures that one turn of a conversation offers.
pub const CHOICES_MAX: usize = 8;

/// Free text within its bounds. The error is the value as it can be shown, and the remedy.
pub fn complaint(text: &str) -> Result<(), (String, &'static str)> {
    let count = text.chars().count();
    if count > TEXT_CHARS_MAX {
        return Err((format!("{count} characters long"), "say it in at most 4,000 characters"));
    }
    let control = |ch: &char| ch.is_control() && !matches!(ch, '\n' | '\r' | '\t');
    if let Some(ch) = text.chars().find(control) {
        let value = format!("text with the control character U+{:04X}", u32::from(ch));
        return Err((value, "remove it; use plain text, tabs and line ends only"));
    }
    Ok(())
}

/// The most that a typed number may be, in whatever unit: far over any measure, far under where
/// arithmetic overflows.
pub const TYPED_MAX: f64 = 1e15;

/// The least that an input may be that is over zero, in whatever unit, where nothing is under zero.
pub const LEAST_OVER_ZERO: f64 = 1e-9;

/// The range of one input. An open end is not itself allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Name of the field; `calculation.field` where one calculation is stricter than the others.
    pub field: &'static str,
    pub unit: &'static str,
    pub min: f64,
    pub max: f64,
    pub open_min: bool,
    pub open_max: bool,
    /// Why the range is so, and what to do about a number outside it.
    pub why: &'static str,
}

/// A range that includes both ends.
const fn closed(
    field: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    why: &'static str,
) -> Bound {
    Bound { field, unit, min, max, open_min: false, open_max: false, why }
}

/// A range that starts just over `min`.
const fn over(
    field: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    why: &'static str,
) -> Bound {
    Bound { field, unit, min, max, open_min: true, open_max: false, why }
}

/// Every bound on an input, by calculation in reading order. A field that means the same thing in
/// several calculations has one row.
#[rustfmt::skip]
pub const BOUNDS: &[Bound] = &[
    // Clip.
    over("ground_speed_mps", "m/s", 0.0, 15.0, "mowing speed; no mower works faster"),
    closed("blade_count", "", 2.0, 30.0, "blades on the reel; count them"),
    over("reel_speed_rpm", "rpm", 0.0, 10_000.0, "reel speed; measure it with a tachometer"),
    over("clip_spacing_mm", "mm", 0.0, 500.0, "distance from one cut to the next"),
    over("height_of_cut_mm", "mm", 0.0, 200.0, "height of cut"),
    // Heights.
    over("target_effective_height_mm", "mm", 0.0, 200.0, "height wanted on turf"),
    over("reading_bench_height_mm", "mm", 0.0, 200.0, "bench height at the readings"),
    over("effective_height_readings_mm", "mm", 0.0, 200.0, "height measured on turf"),
    over("bench_height_mm", "mm", 0.0, 200.0, "height set on the bench"),
    over("effective_height_mm", "mm", 0.0, 200.0, "height measured on turf"),
    closed("sinkage_readings_mm", "mm", -50.0, 50.0, "bench height less height on turf"),
    closed("sinkage_mm", "mm", -50.0, 50.0, "bench height less height on turf"),
    closed("reading_age_days", "days", 0.0, 36_500.0, "age of the readings"),
    closed("age_days", "days", 0.0, 36_500.0, "age of the reading"),
    closed("confidence_fraction", "", 0.5, 0.999, "share of the interval, such as 0.95"),
    // Sinkage.
    over("roller_load_kg", "kg", 0.0, 5_000.0, "load on the roller; weigh the unit"),
    over("new_roller_load_kg", "kg", 0.0, 5_000.0, "load on the roller after the change"),
    closed("roller_diameter_mm", "mm", 10.0, 1_000.0, "roller diameter"),
    closed("new_roller_diameter_mm", "mm", 10.0, 1_000.0, "roller diameter after the change"),
    closed("roller_width_mm", "mm", 10.0, 10_000.0, "width of the roller on the ground"),
    closed("new_roller_width_mm", "mm", 10.0, 10_000.0, "roller width after the change"),
    over("ground_firmness_ratio", "", 0.0, 100.0, "firmness after over before; 1 is no change"),
    over("sinkage_change.sinkage_mm", "mm", 0.0, 50.0, "sinkage now; a ratio needs some sinkage"),
    over("new_sinkage_mm", "mm", 0.0, 50.0, "sinkage after the change"),
    closed("sinkage_exponent", "", 0.1, 1.3, "the exponents measured on soils"),
    // Adjuster.
    closed("height_change_mm", "mm", -100.0, 100.0, "change of height, minus to lower"),
    over("current_height_mm", "mm", 0.0, 1_000.0, "height now"),
    over("target_height_mm", "mm", 0.0, 1_000.0, "height wanted"),
    closed("thread_pitch_mm", "mm", 0.2, 10.0, "pitch of the thread; measure ten threads"),
    closed("height_change_per_turn_mm", "mm", -20.0, 20.0, "change of height in one turn"),
    closed("calibration_turns_count", "turns", -100.0, 100.0, "turns made in the measured turn"),
    over("calibration_height_before_mm", "mm", 0.0, 200.0, "height before the measured turn"),
    over("calibration_height_after_mm", "mm", 0.0, 200.0, "height after the measured turn"),
    closed("front_roller_diameter_mm", "mm", 10.0, 1_000.0, "front roller diameter"),
    closed("rear_roller_diameter_mm", "mm", 10.0, 1_000.0, "rear roller diameter"),
    over("roller_centre_distance_mm", "mm", 0.0, 2_000.0, "level distance of roller centres"),
    over("edge_to_rear_roller_mm", "mm", 0.0, 2_000.0, "level distance, rear roller to edge"),
    closed("slot_angle_deg", "deg", -80.0, 80.0, "lean of the slot from upright"),
    over("adjuster_travel_ratio", "", 0.0, 10.0, "roller travel over thread travel"),
    closed("turns_count", "turns", -100.0, 100.0, "turns of the adjuster"),
    // Reel-to-bedknife map.
    closed("gap_mm", "mm", 0.0, 5.0, "gap by feeler"),
    closed("station_position_mm", "mm", 0.0, 10_000.0, "distance from the left end"),
    closed("target_gap_mm", "mm", 0.0, 0.5, "gap wanted along the bedknife"),
    over("gap_per_flat_mm", "mm", 0.0, 1.0, "change of gap for one flat or click"),
    // Gang.
    over("height_mm", "mm", 0.0, 200.0, "height read at one end of one unit"),
    over("tolerance_mm", "mm", 0.0, 20.0, "allowed departure either way"),
    // Height plan.
    closed("time_available_days", "days", 0.0, 3_650.0, "days from today"),
    over("max_removed_fraction", "", 0.0, 0.5, "share one mowing may take; a third is the rule"),
    closed("mowing_interval_days", "days", 0.25, 365.0, "days between mowings"),
    closed("growth_mm_per_day", "mm/day", 0.0, 50.0, "growth in a day; grass does not shrink"),
    over("step_limit_mm", "mm", 0.0, 200.0, "most that one step may lower the setting"),
    // Reel wear.
    closed("diameter_readings_mm", "mm", 20.0, 500.0, "reel diameter"),
    closed("reading_times_h", "h", 0.0, 200_000.0, "machine hours"),
    closed("grinding_times_h", "h", 0.0, 200_000.0, "machine hours"),
    closed("diameter_mm", "mm", 20.0, 500.0, "reel diameter"),
    closed("reel_wear.time_h", "h", 0.0, 200_000.0, "machine hours"),
    closed("left_diameter_mm", "mm", 20.0, 500.0, "reel diameter at the left end"),
    closed("right_diameter_mm", "mm", 20.0, 500.0, "reel diameter at the right end"),
    closed("minimum_diameter_mm", "mm", 20.0, 500.0, "diameter at which the reel is scrapped"),
    over("taper_limit_mm", "mm", 0.0, 5.0, "taper at which the reel is ground"),
    over("grinding_interval_h", "h", 0.0, 20_000.0, "hours between grindings"),
    // Relief grinding.
    closed("relief_angle_deg", "deg", 5.0, 50.0, "relief angle; reels are ground at 15 to 45"),
    closed("reel_diameter_mm", "mm", 20.0, 500.0, "reel diameter"),
    over("finger_offset_mm", "mm", 0.0, 250.0, "offset from the line through the reel's centre"),
    closed("land_width_mm", "mm", 0.0, 25.0, "land left on the blade"),
    over("blade_thickness_mm", "mm", 0.0, 25.0, "thickness of the blade"),
    over("pass_depth_mm", "mm", 0.0, 25.0, "depth ground off at the heel"),
    closed("radius_wear_mm", "mm", 0.0, 25.0, "wear of the radius since the relief was ground"),
    // Grinding wheel.
    closed("wheel_diameter_mm", "mm", 10.0, 1_000.0, "wheel diameter"),
    over("wheel_speed_rpm", "rpm", 0.0, 60_000.0, "spindle speed of the grinder"),
    over("rated_surface_speed_mps", "m/s", 0.0, 150.0, "surface speed marked on the wheel"),
    over("rated_wheel_speed_rpm", "rpm", 0.0, 60_000.0, "speed marked on the wheel"),
    // Groomer.
    closed("penetration_below_cut_mm", "mm", -50.0, 50.0, "reach of the tips below the cut"),
    closed("groomer_setting_mm", "mm", -50.0, 200.0, "height of the tips above the bench"),
    closed("blade_diameter_when_set_mm", "mm", 10.0, 500.0, "blade diameter when it was set"),
    closed("blade_diameter_mm", "mm", 10.0, 500.0, "blade diameter now"),
    closed("offset_mm", "mm", -50.0, 50.0, "height on turf less bench height"),
    // Brush.
    closed("brush_diameter_mm", "mm", 10.0, 500.0, "brush diameter"),
    over("centre_distance_mm", "mm", 0.0, 1_000.0, "distance between the shafts"),
    closed("brush_interference_mm", "mm", -50.0, 50.0, "overlap of bristle and roller"),
    over("brush_speed_rpm", "rpm", 0.0, 20_000.0, "brush speed"),
    closed("minimum_brush_diameter_mm", "mm", 10.0, 500.0, "brush diameter at its limit"),
    closed("brush_diameter_when_set_mm", "mm", 10.0, 500.0, "brush diameter when it was set"),
    over("surface_speed_ratio", "", 0.0, 100.0, "brush surface speed over the roller's"),
    // Verticut.
    over("blade_spacing_mm", "mm", 0.0, 500.0, "distance between blades"),
    over("depth_mm", "mm", 0.0, 500.0, "working depth"),
    over("profile_depth_mm", "mm", 0.0, 1_000.0, "depth of the layer"),
    over("hole_diameter_mm", "mm", 0.0, 100.0, "hole diameter"),
    over("hole_spacing_across_mm", "mm", 0.0, 500.0, "hole spacing across travel"),
    over("hole_spacing_along_mm", "mm", 0.0, 500.0, "hole spacing along travel"),
    over("holes_per_m2", "1/m2", 0.0, 100_000.0, "holes in a square metre"),
    closed("passes_count", "", 1.0, 1_000.0, "passes made"),
    over("target_surface_share_fraction", "", 0.0, 1.0, "share of surface wanted"),
    over("shaft_speed_rpm", "rpm", 0.0, 20_000.0, "shaft speed"),
    closed("points_per_blade_count", "", 1.0, 60.0, "cutting points on one blade"),
    over("cut_pitch_mm", "mm", 0.0, 5_000.0, "distance between cuts along travel"),
    // Rotary.
    over("blade_length_mm", "mm", 0.0, 3_000.0, "blade length from tip to tip"),
    over("spindle_speed_rpm", "rpm", 0.0, 20_000.0, "spindle speed"),
    over("max_tip_speed_mps", "m/s", 0.0, 200.0, "limit of tip speed"),
    closed("x_mm", "mm", -5_000.0, 5_000.0, "distance to the right of the deck's middle"),
    closed("y_mm", "mm", -5_000.0, 5_000.0, "distance forward of the deck's middle"),
    over("rotary_level.height_mm", "mm", 0.0, 300.0, "tip height above a level floor"),
    closed("rake_front_low_mm", "mm", 0.0, 50.0, "how much lower the front is to be"),
    over("rotary_level.target_height_mm", "mm", 0.0, 300.0, "mean height wanted"),
    // Balance.
    over("blade_mass_kg", "kg", 0.0, 100.0, "mass of the blade; weigh it"),
    over("balance_grade_mm_per_s", "mm/s", 0.0, 4_000.0, "balance grade"),
    over("heavy_mass_kg", "kg", 0.0, 10.0, "mass that is heavy at one end"),
    over("heavy_radius_mm", "mm", 0.0, 2_000.0, "its distance from the spindle"),
    over("unbalance_g_mm", "g mm", 0.0, 1e7, "unbalance as a balancing machine reads it"),
    // Work and cost.
    over("working_width_mm", "mm", 0.0, 30_000.0, "width of all units together"),
    closed("overlap_mm", "mm", 0.0, 10_000.0, "width lost to overlap"),
    over("field_efficiency_fraction", "", 0.0, 1.0, "share of the time spent mowing"),
    over("area_ha", "ha", 0.0, 100_000.0, "area to mow"),
    over("time_h", "h", 0.0, 100_000.0, "time to mow it in"),
    over("purchase_price", "", 0.0, 1e9, "price when new"),
    closed("within_h", "h", 0.0, 200_000.0, "hours of the machine ahead"),
    over("labour_cost_per_h", "", 0.0, 1e6, "what an hour of work costs"),
    closed("part_price", "", 0.0, 1e9, "price of one part"),
    closed("machine_time_h", "h", 0.0, 100_000.0, "hours of use"),
    closed("start_time_h", "h", 0.0, 100_000.0, "hours already behind it"),
    over("accumulated_repair_cost", "", 0.0, 1e12, "repairs so far, in the price's currency"),
    // Life.
    over("failure_times_h", "h", 0.0, 200_000.0, "hours at failure"),
    over("still_running_times_h", "h", 0.0, 200_000.0, "hours reached without failing"),
    closed("survived_time_h", "h", 0.0, 200_000.0, "hours reached by this part"),
    over("horizon_h", "h", 0.0, 200_000.0, "hours ahead"),
    closed("allowed_failure_fraction", "", 0.001, 0.9, "share of parts allowed to fail"),
    over("repair_times_h", "h", 0.0, 200_000.0, "running hours at the repair"),
    over("watched_time_h", "h", 0.0, 200_000.0, "running hours to which repairs were noted"),
    over("expected_life_h", "h", 0.0, 200_000.0, "mean life to expect"),
    closed("event_count", "", 0.0, 100_000.0, "failures counted in the exposure"),
    over("exposure_h", "h", 0.0, 1e8, "running hours of all parts together"),
];

const _: () = assert!(BOUNDS.len() < 1_000, "the table is searched row by row");

impl Bound {
    /// The row of a field.
    pub fn of(field: &str) -> Option<&'static Bound> {
        BOUNDS.iter().find(|bound| bound.field == field)
    }

    /// Whether a finite number is inside.
    pub fn holds(&self, value: f64) -> bool {
        let above = if self.open_min { value > self.min } else { value >= self.min };
        let above = above && !self.is_too_small(value);
        let below = if self.open_max { value < self.max } else { value <= self.max };
        above && below
    }

    /// Over zero by less than anything could be measured: to divide by it would go past all
    /// numbers.
    fn is_too_small(&self, value: f64) -> bool {
        self.min == 0.0 && value > 0.0 && value < LEAST_OVER_ZERO
    }

    /// The range in words: "over 0 and at most 15 m/s".
    pub fn range(&self) -> String {
        let low = if self.open_min { "over" } else { "at least" };
        let high = if self.open_max { "under" } else { "at most" };
        let range = format!("{low} {} and {high} {} {}", self.min, self.max, self.unit);
        range.trim_end().to_owned()
    }
}

/// The number, if it may be used for this field. Minus zero becomes zero.
pub fn check(field: &str, value: f64) -> Result<f64, SettingError> {
    let bound = Bound::of(field).expect("every input of a calculation has its row in BOUNDS");
    // A qualified row names the field as the caller knows it.
    let name = field.rsplit('.').next().unwrap_or(field);
    if !value.is_finite() {
        let remedy = format!("give a number {} ({})", bound.range(), bound.why);
        return Err(SettingError::new(name, value, remedy));
    }
    // Adding zero turns minus zero into zero and leaves every other number as it is.
    let value = value + 0.0;
    if bound.holds(value) {
        Ok(value)
    } else {
        let small = match (bound.is_too_small(value), bound.open_min) {
            (false, _) => "",
            (true, true) => "too small to be measured; ",
            (true, false) => "too small to be measured, write 0 for none; ",
        };
        let remedy = format!("{small}it must be {} ({})", bound.range(), bound.why);
        Err(SettingError::new(name, value, remedy))
    }
}

/// The same for an input that may be left out.
pub fn check_given(field: &str, value: Option<f64>) -> Result<Option<f64>, SettingError> {
    value.map(|value| check(field, value)).transpose()
}

/// The same for every row of a list; an error names the row, counted from 0.
pub fn check_list(field: &str, values: &[f64]) -> Result<Vec<f64>, SettingError> {
    check_rows(field, values.len())?;
    let checked = values.iter().enumerate().map(|(index, &value)| {
        check(field, value).map_err(|error| SettingError {
            field: format!("{}[{index}]", error.field),
            ..error
        })
    });
    checked.collect()
}

/// That a repeated input is not too long.
pub fn check_rows(field: &str, rows: usize) -> Result<(), SettingError> {
    if rows <= ROWS_MAX {
        return Ok(());
    }
    let remedy = format!("give at most {ROWS_MAX}; leave out the oldest");
    Err(SettingError::new(field, format!("{rows} rows"), remedy))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_hardly_over_zero_is_refused_and_told_why() {
        let refused = check("ground_speed_mps", 1e-300).expect_err("too small");
        assert!(refused.remedy.starts_with("too small to be measured; it must be over 0"));
        assert!(check("ground_speed_mps", LEAST_OVER_ZERO).is_ok());
        let refused = check("growth_mm_per_day", 1e-307).expect_err("neither none nor some");
        assert!(refused.remedy.starts_with("too small to be measured, write 0 for none; it must"));
    }

    #[test]
    fn every_row_is_refused_at_its_edge_and_accepted_just_inside() {
        for bound in BOUNDS {
            let name = bound.field;
            let least = if bound.min == 0.0 { LEAST_OVER_ZERO } else { bound.min.next_up() };
            assert!(check(name, least).is_ok(), "{name} just over its least");
            assert!(check(name, bound.max.next_down()).is_ok(), "{name} just under its most");
            assert_eq!(check(name, bound.min).is_ok(), !bound.open_min, "{name} at its least");
            assert_eq!(check(name, bound.max).is_ok(), !bound.open_max, "{name} at its most");
            assert!(check(name, bound.min.next_down()).is_err(), "{name} under its least");
            assert!(check(name, bound.max.next_up()).is_err(), "{name} over its most");
        }
    }

    #[test]
    fn numbers_that_are_not_numbers_are_refused_everywhere() {
        for bound in BOUNDS {
            for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1e308] {
                let error = check(bound.field, value).expect_err("no bound reaches so far");
                assert!(!error.remedy.is_empty());
                assert_eq!(error.value, value.to_string());
            }
        }
    }

    #[test]
    fn minus_zero_is_zero() {
        for bound in BOUNDS {
            match check(bound.field, -0.0) {
                Ok(value) => assert!(value.is_sign_positive(), "{}", bound.field),
                Err(_) => assert!(check(bound.field, 0.0).is_err(), "{}", bound.field),
            }
        }
    }

    #[test]
    fn rows_are_sound_and_fields_are_listed_once() {
        for (index, bound) in BOUNDS.iter().enumerate() {
            assert!(bound.min < bound.max && bound.min.is_finite() && bound.max.is_finite());
            assert!(!bound.why.is_empty());
            let twice = BOUNDS[..index].iter().any(|other| other.field == bound.field);
            assert!(!twice, "{} has two rows", bound.field);
        }
    }

    #[test]
    fn an_error_names_field_value_and_remedy() {
        let error = check("ground_speed_mps", -3.0).expect_err("speed is over zero");
        assert_eq!(error.field, "ground_speed_mps");
        assert_eq!(error.value, "-3");
        assert!(error.remedy.contains("over 0 and at most 15 m/s"), "{}", error.remedy);
        let error = check("sinkage_change.sinkage_mm", 0.0).expect_err("open at zero");
        assert_eq!(error.field, "sinkage_mm");
        let error = check_list("reading_times_h", &[0.0, -1.0]).expect_err("hours");
        assert_eq!(error.field, "reading_times_h[1]");
    }

    #[test]
    fn a_list_may_not_be_too_long() {
        assert!(check_list("reading_times_h", &vec![1.0; ROWS_MAX]).is_ok());
        assert!(check_list("reading_times_h", &vec![1.0; ROWS_MAX + 1]).is_err());
    }
}
