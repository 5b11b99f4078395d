//! Which fields can numbers of each calculation go to without a cue, and what is asked when nobody
//! says? In the order of the contract.

/// One calculation as a sentence can ask for it.
#[derive(Clone, Copy, Debug)]
pub struct Calculation {
    pub id: &'static str,
    /// Fields that a number may go to by its unit alone.
    pub singles: &'static [&'static str],
    /// Fields of many numbers.
    pub lists: &'static [&'static str],
    pub catch_all: Option<&'static str>,
    /// What is asked for: the first of these that was not given.
    pub asked: &'static [&'static str],
    /// How readings by unit, blade, place or hour are laid out.
    pub shape: Shape,
}

impl Shape {
    /// The fields that its rows fill.
    pub fn fields(self) -> &'static [&'static str] {
        match self {
            Shape::None => &[],
            Shape::Gaps => &["gap_mm"],
            Shape::UnitHeights => &["unit_heights_mm"],
            Shape::Tips => &["tip_heights_mm"],
            Shape::Diameters => &[
                "diameter_readings_mm", "reading_times_h", "left_diameter_mm", "right_diameter_mm",
            ],
        }
    }
}

/// Rows of readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    None,
    /// Gaps by blade and station.
    Gaps,
    /// Heights by unit and end.
    UnitHeights,
    /// Tip heights by corner.
    Tips,
    /// Diameters by hours, or by end.
    Diameters,
}

const HEIGHT_LISTS: &[&str] = &["effective_height_readings_mm", "sinkage_readings_mm"];

const fn plain(
    id: &'static str,
    singles: &'static [&'static str],
    asked: &'static [&'static str],
) -> Calculation {
    Calculation { id, singles, lists: &[], catch_all: None, asked, shape: Shape::None }
}

#[rustfmt::skip]
pub const CALCULATIONS: &[Calculation] = &[
    plain("clip_spacing",
        &["ground_speed_mps", "blade_count", "reel_speed_rpm", "clip_spacing_mm",
            "height_of_cut_mm"],
        &["clip_spacing_mm", "reel_speed_rpm", "ground_speed_mps", "blade_count"]),
    Calculation { id: "bench_height",
        singles: &["target_effective_height_mm", "reading_bench_height_mm"],
        lists: HEIGHT_LISTS, catch_all: Some("effective_height_readings_mm"),
        asked: &["bench_height_mm"], shape: Shape::None },
    Calculation { id: "effective_height",
        singles: &["bench_height_mm"],
        lists: HEIGHT_LISTS, catch_all: Some("effective_height_readings_mm"),
        asked: &["effective_height_mm"], shape: Shape::None },
    plain("sinkage_change",
        &["roller_load_kg", "new_roller_load_kg", "roller_diameter_mm", "new_roller_diameter_mm",
            "roller_width_mm", "new_roller_width_mm", "sinkage_mm"],
        &["new_sinkage_mm"]),
    plain("adjuster_turns",
        &["height_rise_mm", "thread_pitch_mm", "turns_count", "target_height_mm"],
        &["turns_count", "height_change_mm"]),
    Calculation { id: "paper_map", singles: &[], lists: &[], catch_all: None,
        asked: &["adjustment_mm"], shape: Shape::Gaps },
    Calculation { id: "match_units", singles: &["target_height_mm", "tolerance_mm"], lists: &[],
        catch_all: None, asked: &["end_moves_mm"], shape: Shape::UnitHeights },
    plain("height_plan",
        &["current_height_mm", "target_height_mm", "time_available_days", "max_removed_fraction"],
        &["step_heights_mm"]),
    Calculation { id: "reel_wear", singles: &["minimum_diameter_mm"],
        lists: &["grinding_times_h"], catch_all: None, asked: &["remaining_life_h"],
        shape: Shape::Diameters },
    plain("relief_grind",
        &["relief_angle_deg", "reel_diameter_mm", "finger_offset_mm", "land_width_mm",
            "blade_thickness_mm"],
        &["finger_offset_mm", "relief_angle_deg", "reel_diameter_mm"]),
    plain("wheel_speed",
        &["wheel_diameter_mm", "wheel_speed_rpm", "rated_surface_speed_mps"],
        &["surface_speed_mps"]),
    plain("groomer_depth",
        &["height_of_cut_mm", "penetration_below_cut_mm", "groomer_setting_mm",
            "blade_diameter_when_set_mm", "blade_diameter_mm"],
        &["groomer_setting_mm", "penetration_below_cut_mm"]),
    plain("brush_contact",
        &["brush_diameter_mm", "roller_diameter_mm", "centre_distance_mm", "brush_interference_mm",
            "brush_speed_rpm", "ground_speed_mps"],
        &["brush_interference_mm", "centre_distance_mm"]),
    plain("verticut",
        &["blade_thickness_mm", "blade_spacing_mm", "depth_mm", "shaft_speed_rpm",
            "points_per_blade_count", "ground_speed_mps", "target_surface_share_fraction"],
        &["surface_share_fraction"]),
    plain("rotary_tip_speed",
        &["blade_length_mm", "spindle_speed_rpm", "max_tip_speed_mps"],
        &["tip_speed_mps"]),
    Calculation { id: "rotary_level", singles: &["rake_front_low_mm", "target_height_mm"],
        lists: &[], catch_all: None, asked: &["hanger_corrections_mm"], shape: Shape::Tips },
    plain("blade_balance",
        &["blade_mass_kg", "spindle_speed_rpm", "balance_grade_mm_per_s", "heavy_mass_kg",
            "heavy_radius_mm", "unbalance_g_mm"],
        &["permissible_unbalance_g_mm"]),
    plain("field_capacity",
        &["working_width_mm", "overlap_mm", "ground_speed_mps", "field_efficiency_fraction",
            "area_ha", "time_h"],
        &["field_capacity_ha_per_h"]),
    plain("repair_cost",
        &["purchase_price", "machine_time_h", "start_time_h", "accumulated_repair_cost"],
        &["accumulated_repair_cost"]),
    Calculation { id: "service_interval", singles: &["survived_time_h", "horizon_h"],
        lists: &["failure_times_h", "still_running_times_h", "repair_times_h"],
        catch_all: Some("failure_times_h"), asked: &["next_due_h"], shape: Shape::None },
];
