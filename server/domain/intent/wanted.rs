//! Which quantity can be worked out from those given? When words leave open what is asked, or ask
//! for what cannot follow, the answer is what follows from everything said.
//! Deliberately absent: the formulas, which `settings` has; here stands only what each needs.

use super::filled::Filled;

/// Calculation, quantity, and the fields it needs: one of those parted by `|`. Within a calculation
/// the first that everything is given for is what is mostly meant.
#[rustfmt::skip]
const NEEDS: &[(&str, &str, &[&str])] = &[
    ("clip_spacing", "clip_spacing_mm", &["ground_speed_mps", "blade_count", "reel_speed_rpm"]),
    ("clip_spacing", "reel_speed_rpm", &["ground_speed_mps", "blade_count", "clip_spacing_mm"]),
    ("clip_spacing", "ground_speed_mps", &["blade_count", "reel_speed_rpm", "clip_spacing_mm"]),
    ("clip_spacing", "blade_count", &["ground_speed_mps", "reel_speed_rpm", "clip_spacing_mm"]),
    ("bench_height", "bench_height_mm", &["target_effective_height_mm",
        "effective_height_readings_mm|sinkage_readings_mm|sinkage_mm"]),
    ("effective_height", "effective_height_mm", &["bench_height_mm",
        "effective_height_readings_mm|sinkage_readings_mm|sinkage_mm"]),
    ("sinkage_change", "new_sinkage_mm", &["sinkage_mm",
        "new_roller_load_kg|new_roller_diameter_mm|new_roller_width_mm|ground_firmness_ratio"]),
    ("sinkage_change", "sinkage_ratio",
        &["new_roller_load_kg|new_roller_diameter_mm|new_roller_width_mm|ground_firmness_ratio"]),
    ("adjuster_turns", "height_change_mm",
        &["turns_count", "thread_pitch_mm|height_change_per_turn_mm"]),
    ("adjuster_turns", "turns_count", &["height_change_mm|target_height_mm",
        "thread_pitch_mm|height_change_per_turn_mm|calibration_turns_count"]),
    ("paper_map", "adjustment_mm", &["gap_mm"]),
    ("paper_map", "blade_error_mm", &["gap_mm"]),
    ("match_units", "end_moves_mm", &["unit_heights_mm"]),
    ("height_plan", "step_heights_mm", &["current_height_mm", "target_height_mm"]),
    ("reel_wear", "remaining_life_h",
        &["diameter_readings_mm", "reading_times_h", "minimum_diameter_mm"]),
    ("reel_wear", "taper_mm", &["left_diameter_mm", "right_diameter_mm"]),
    ("reel_wear", "wear_rate_mm_per_h", &["diameter_readings_mm", "reading_times_h"]),
    ("relief_grind", "finger_offset_mm", &["relief_angle_deg", "reel_diameter_mm"]),
    ("relief_grind", "relief_angle_deg", &["finger_offset_mm", "reel_diameter_mm"]),
    ("relief_grind", "land_width_mm", &["relief_angle_deg", "pass_depth_mm"]),
    ("wheel_speed", "surface_speed_mps", &["wheel_diameter_mm", "wheel_speed_rpm"]),
    ("wheel_speed", "max_wheel_speed_rpm", &["wheel_diameter_mm", "rated_surface_speed_mps"]),
    ("groomer_depth", "groomer_setting_mm", &["height_of_cut_mm", "penetration_below_cut_mm"]),
    ("groomer_depth", "penetration_below_cut_mm", &["height_of_cut_mm", "groomer_setting_mm"]),
    ("groomer_depth", "setting_change_mm",
        &["blade_diameter_mm", "blade_diameter_when_set_mm"]),
    ("brush_contact", "brush_interference_mm",
        &["brush_diameter_mm", "roller_diameter_mm", "centre_distance_mm"]),
    ("brush_contact", "centre_distance_mm",
        &["brush_diameter_mm", "roller_diameter_mm", "brush_interference_mm"]),
    ("brush_contact", "surface_speed_ratio",
        &["brush_diameter_mm", "brush_speed_rpm", "ground_speed_mps"]),
    ("brush_contact", "brush_speed_rpm",
        &["brush_diameter_mm", "surface_speed_ratio", "ground_speed_mps"]),
    ("brush_contact", "setting_change_mm", &["brush_diameter_mm", "brush_diameter_when_set_mm"]),
    ("verticut", "passes_for_target_count", &["target_surface_share_fraction",
        "blade_thickness_mm|hole_diameter_mm", "blade_spacing_mm|hole_spacing_across_mm"]),
    ("verticut", "surface_share_fraction", &["blade_thickness_mm|hole_diameter_mm",
        "blade_spacing_mm|hole_spacing_across_mm|holes_per_m2"]),
    ("verticut", "cut_pitch_mm",
        &["points_per_blade_count", "shaft_speed_rpm", "ground_speed_mps"]),
    ("verticut", "ground_speed_mps",
        &["points_per_blade_count", "shaft_speed_rpm", "cut_pitch_mm"]),
    ("verticut", "shaft_speed_rpm",
        &["points_per_blade_count", "ground_speed_mps", "cut_pitch_mm"]),
    ("rotary_tip_speed", "tip_speed_mps", &["blade_length_mm", "spindle_speed_rpm"]),
    ("rotary_tip_speed", "max_spindle_speed_rpm", &["blade_length_mm", "max_tip_speed_mps"]),
    ("rotary_tip_speed", "max_blade_length_mm", &["spindle_speed_rpm", "max_tip_speed_mps"]),
    ("rotary_tip_speed", "max_spindle_speed_rpm", &["blade_length_mm"]),
    ("rotary_level", "hanger_corrections_mm", &["tip_heights_mm"]),
    ("blade_balance", "permissible_unbalance_g_mm",
        &["blade_mass_kg", "spindle_speed_rpm", "balance_grade_mm_per_s"]),
    ("blade_balance", "unbalance_force_n",
        &["heavy_mass_kg", "heavy_radius_mm", "spindle_speed_rpm"]),
    ("blade_balance", "unbalance_force_n", &["unbalance_g_mm", "spindle_speed_rpm"]),
    ("blade_balance", "permissible_unbalance_g_mm", &["blade_mass_kg", "spindle_speed_rpm"]),
    ("field_capacity", "time_h", &["area_ha", "working_width_mm", "ground_speed_mps"]),
    ("field_capacity", "ground_speed_mps", &["area_ha", "working_width_mm", "time_h"]),
    ("field_capacity", "working_width_mm", &["area_ha", "ground_speed_mps", "time_h"]),
    ("field_capacity", "area_ha", &["working_width_mm", "ground_speed_mps", "time_h"]),
    ("field_capacity", "field_capacity_ha_per_h", &["working_width_mm", "ground_speed_mps"]),
    ("repair_cost", "cost_in_period", &["purchase_price", "machine_time_h", "start_time_h"]),
    ("repair_cost", "accumulated_repair_cost", &["purchase_price", "machine_time_h"]),
    ("repair_cost", "machine_time_h", &["purchase_price", "accumulated_repair_cost"]),
    ("service_interval", "failure_probability",
        &["failure_times_h|event_count", "survived_time_h", "horizon_h"]),
    ("service_interval", "mean_life_h", &["event_count", "exposure_h"]),
    ("service_interval", "next_due_h", &["failure_times_h|repair_times_h"]),
];

/// Whether everything that a quantity needs is given; never when it is given itself.
pub fn follows(calculation: &str, field: &str, filled: &Filled) -> bool {
    following(calculation, filled).any(|quantity| quantity == field)
}

/// Whether nothing is known of what a quantity needs.
pub fn unknown(calculation: &str, field: &str) -> bool {
    !NEEDS.iter().any(|(of, quantity, _)| *of == calculation && *quantity == field)
}

/// The first quantity of a calculation that follows from what is given.
pub fn first(calculation: &str, filled: &Filled) -> Option<&'static str> {
    following(calculation, filled).next()
}

/// The quantities of a calculation that are not given, but all that they need.
fn following(calculation: &str, filled: &Filled) -> impl Iterator<Item = &'static str> {
    let given = |need: &str| need.split('|').any(|field| filled.has(field));
    NEEDS
        .iter()
        .filter(move |(of, field, needs)| {
            *of == calculation && !filled.has(field) && needs.iter().all(|need| given(need))
        })
        .map(|(_, field, _)| *field)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intent::calculation_table::CALCULATIONS;

    #[test]
    fn every_calculation_says_what_it_needs() {
        for row in CALCULATIONS {
            assert!(NEEDS.iter().any(|(of, _, _)| *of == row.id), "{}", row.id);
        }
        assert!(NEEDS.iter().all(|(of, _, _)| CALCULATIONS.iter().any(|row| row.id == *of)));
    }

    #[test]
    fn what_follows_is_what_was_not_given() {
        let mut filled = Filled::default();
        filled.number("wheel_diameter_mm", 150.0);
        assert_eq!(first("wheel_speed", &filled), None);
        filled.number("rated_surface_speed_mps", 33.0);
        assert_eq!(first("wheel_speed", &filled), Some("max_wheel_speed_rpm"));
        assert!(!follows("wheel_speed", "surface_speed_mps", &filled));
    }
}
