//! What follows from values read before: the difference of two ends, a share, a speed; and what a
//! step that names a calculation can put into it. Plain arithmetic (geometry), each with its
//! working in words. Deliberately absent: the calculations themselves (`settings`).

use crate::domain::catalogue::Step;
use crate::domain::records::subject::Unit;
use crate::domain::units::plain;

/// How a value comes of others.
enum Rule {
    /// The larger less the smaller.
    Apart(&'static str, &'static str),
    /// The first less the second.
    Less(&'static str, &'static str),
    /// So many metres over the seconds read.
    SpeedOver(f64, &'static str),
    /// The largest distance of any from a value settled earlier, as a percentage of it.
    OffPercent(&'static [&'static str], &'static str),
    /// The part of the first that is gone in the second, as a percentage.
    GonePercent(&'static str, &'static str),
}

/// Readings that follow. One input at least is read in the same step, others may be settled in
/// another one.
#[rustfmt::skip]
const RULES: &[(&str, Rule)] = &[
    ("ends_differ_mm", Rule::Apart("clamped_leading_mm", "clamped_trailing_mm")),
    ("ends_differ_mm", Rule::Apart("tip_leading_mm", "tip_trailing_mm")),
    ("ends_differ_mm", Rule::Apart("set_leading_mm", "set_trailing_mm")),
    ("ends_differ_mm", Rule::Apart("depth_leading_mm", "depth_trailing_mm")),
    ("taper_mm", Rule::Apart("diameter_leading_mm", "diameter_trailing_mm")),
    ("difference_before_mm", Rule::Apart("height_leading_mm", "height_trailing_mm")),
    ("ends_alike_deg", Rule::Apart("attitude_leading_after_deg", "attitude_trailing_after_deg")),
    ("offset_mm", Rule::Less("effective_height_mm", "bench_height_mm")),
    ("ground_speed_mps", Rule::SpeedOver(50.0, "time_over_50_m_s")),
    ("off_target_percent",
        Rule::OffPercent(&["clamped_leading_mm", "clamped_trailing_mm"], "bar_setting_mm")),
    ("removed_percent", Rule::GonePercent("leaf_before_mm", "leaf_after_mm")),
];

/// The value of a reading that follows from others, and how.
/// `fresh`: what was read in the same step; `settled`: the latest of the other steps.
pub fn follows(
    asked: &str,
    fresh: &[(&str, f64)],
    settled: &[(&str, f64)],
) -> Option<(f64, String)> {
    let rules = RULES.iter().filter(|(id, _)| *id == asked);
    rules.map(|(_, rule)| rule).find_map(|rule| worked_out(rule, fresh, settled))
}

fn worked_out(
    rule: &Rule,
    fresh: &[(&str, f64)],
    settled: &[(&str, f64)],
) -> Option<(f64, String)> {
    let read = |id: &str| value_of(fresh, id);
    match rule {
        Rule::Apart(one, other) => {
            let fresh = read(one).or_else(|| read(other)).is_some();
            let of = |id: &str| read(id).or_else(|| value_of(settled, id)).filter(|_| fresh);
            let (one, other) = (of(one)?, of(other)?);
            let (high, low) = (one.max(other), one.min(other));
            Some((rounded(high - low), format!("{} - {}", plain(high), plain(low))))
        }
        Rule::Less(from, take) => {
            let (from, take) = (read(from)?, read(take).or_else(|| value_of(settled, take))?);
            Some((rounded(from - take), format!("{} - {}", plain(from), plain(take))))
        }
        Rule::SpeedOver(metres, seconds) => {
            let seconds = read(seconds).filter(|seconds| *seconds > 0.0)?;
            Some((rounded(metres / seconds), format!("{} / {}", plain(*metres), plain(seconds))))
        }
        Rule::OffPercent(values, target) => {
            let target = value_of(settled, target).filter(|target| *target > 0.0)?;
            let mut farthest: Option<f64> = None;
            for id in *values {
                let value = read(id)?;
                if farthest.is_none_or(|far| (value - target).abs() > (far - target).abs()) {
                    farthest = Some(value);
                }
            }
            let value = farthest?;
            let share = rounded((value - target).abs() / target * 100.0);
            Some((share, format!("{} against {} wanted", plain(value), plain(target))))
        }
        Rule::GonePercent(before, after) => {
            let (before, after) = (read(before).filter(|before| *before > 0.0)?, read(after)?);
            let share = rounded((before - after) / before * 100.0);
            Some((share, format!("({0} - {1}) / {0}", plain(before), plain(after))))
        }
    }
}

/// To six decimals, far finer than any gauge, so that 3.26 less 3.21 is 0.05.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn value_of(values: &[(&str, f64)], id: &str) -> Option<f64> {
    values.iter().find(|(known, _)| *known == id).map(|(_, value)| *value)
}

/// A calculation that a step names, with what is known for it.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkOut {
    /// Id of the calculation.
    pub calculation: String,
    /// What it is for: "leading end". Empty: the step as a whole.
    pub of: String,
    /// Fields of its request, each once.
    pub inputs: Vec<(String, f64)>,
}

/// Fields of requests that a fact of the unit or a reading of the same name fills.
#[rustfmt::skip]
const SAME_NAME: &[&str] = &[
    "ground_speed_mps", "reel_speed_rpm", "height_of_cut_mm", "blade_count", "blade_length_mm",
    "spindle_speed_rpm", "blade_diameter_mm", "brush_diameter_mm", "relief_angle_deg",
    "land_width_mm", "minimum_diameter_mm", "height_change_per_turn_mm", "bench_height_mm",
];

/// What the step's calculation can be asked with what was read and what is known of the unit.
/// Empty: the step names none, or nothing is known for it.
pub fn work_out(step: &Step, read: &[(&str, f64)], unit: Option<&Unit>) -> Vec<WorkOut> {
    let Some(calculation) = step.compute.as_deref() else { return Vec::new() };
    if calculation == "adjuster_turns" {
        return turns(read, unit);
    }
    let inputs = same_name(calculation, read, unit);
    if inputs.is_empty() {
        return Vec::new();
    }
    vec![WorkOut { calculation: calculation.to_owned(), of: String::new(), inputs }]
}

/// Turns at each end that is to move: from the height found to the height wanted.
fn turns(read: &[(&str, f64)], unit: Option<&Unit>) -> Vec<WorkOut> {
    let per_turn = unit.and_then(|unit| unit.height_change_per_turn_mm);
    let of = |end: &str, now: f64, wanted: f64| {
        let mut inputs = vec![
            ("current_height_mm".to_owned(), now),
            ("target_height_mm".to_owned(), wanted),
        ];
        inputs.extend(per_turn.map(|worth| ("height_change_per_turn_mm".to_owned(), worth)));
        WorkOut { calculation: "adjuster_turns".to_owned(), of: end.to_owned(), inputs }
    };
    let known = |id: &str| value_of(read, id);
    let latest = |ids: [&str; 2]| ids.into_iter().find_map(known);
    let ends = [
        ("leading end", latest(["clamped_leading_mm", "found_leading_mm"])),
        ("trailing end", latest(["clamped_trailing_mm", "found_trailing_mm"])),
    ];
    if let Some(wanted) = known("bar_setting_mm") {
        let moved = ends.into_iter().filter_map(|(end, now)| Some((end, now?)));
        return moved.map(|(end, now)| of(end, now, wanted)).collect();
    }
    // Rollers are brought parallel by moving the trailing end to the leading one's height.
    match (known("height_leading_mm"), known("height_trailing_mm")) {
        (Some(leading), Some(trailing)) => vec![of("trailing end", trailing, leading)],
        _ => Vec::new(),
    }
}

fn same_name(
    calculation: &str,
    read: &[(&str, f64)],
    unit: Option<&Unit>,
) -> Vec<(String, f64)> {
    let takes = |field: &str| FIELDS.iter().any(|(id, fields)| {
        *id == calculation && fields.contains(&field)
    });
    let of_unit = |field: &str| match field {
        "blade_count" => unit.and_then(|unit| unit.blade_count).map(f64::from),
        "minimum_diameter_mm" => unit.and_then(|unit| unit.minimum_diameter_mm),
        _ => None,
    };
    let mut inputs: Vec<(String, f64)> = Vec::new();
    for field in SAME_NAME.iter().copied().filter(|field| takes(field)) {
        if let Some(value) = value_of(read, field).or_else(|| of_unit(field)) {
            inputs.push((field.to_owned(), value));
        }
    }
    // Facts of the unit alone are no question.
    let asked = inputs.iter().any(|(field, _)| value_of(read, field).is_some());
    if asked { inputs } else { Vec::new() }
}

/// Which of those fields each calculation takes.
#[rustfmt::skip]
const FIELDS: &[(&str, &[&str])] = &[
    ("clip_spacing", &["ground_speed_mps", "reel_speed_rpm", "blade_count", "height_of_cut_mm"]),
    ("rotary_tip_speed", &["blade_length_mm", "spindle_speed_rpm"]),
    ("relief_grind", &["relief_angle_deg", "land_width_mm"]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_and_shares_follow_with_their_working() {
        let fresh = [("clamped_leading_mm", 3.26), ("clamped_trailing_mm", 3.21)];
        let settled = [("bar_setting_mm", 3.2), ("clamped_leading_mm", 9.0)];
        let found = follows("ends_differ_mm", &fresh, &settled);
        assert_eq!(found, Some((0.05, "3.26 - 3.21".to_owned())));
        let (share, how) = follows("off_target_percent", &fresh, &settled).expect("all is known");
        // (3.26 - 3.20) / 3.20 = 1.875 %, worked by hand.
        assert_eq!((share, how.as_str()), (1.875, "3.26 against 3.2 wanted"));
        let timed = follows("ground_speed_mps", &[("time_over_50_m_s", 25.0)], &[]);
        assert_eq!(timed, Some((2.0, "50 / 25".to_owned())));
        let gone = [("leaf_before_mm", 60.0), ("leaf_after_mm", 45.0)];
        assert_eq!(follows("removed_percent", &gone, &[]).map(|found| found.0), Some(25.0));
    }

    #[test]
    fn nothing_follows_from_half_or_stale_readings() {
        let one = [("clamped_leading_mm", 3.26)];
        assert_eq!(follows("ends_differ_mm", &one, &[("set_trailing_mm", 3.0)]), None);
        let elsewhere = [("clamped_trailing_mm", 3.0), ("clamped_leading_mm", 3.2)];
        assert_eq!(follows("ends_differ_mm", &[], &elsewhere), None, "nothing was read here");
        // Ends that are measured in steps of their own.
        let trailing = [("diameter_trailing_mm", 126.1)];
        let found = follows("taper_mm", &trailing, &[("diameter_leading_mm", 126.4)]);
        assert_eq!(found, Some((0.3, "126.4 - 126.1".to_owned())));
        // Rake is read again after locking; the tips read before are stale then.
        let stale = [("front_tip_mm", 50.0), ("rear_tip_mm", 54.0)];
        assert_eq!(follows("rake_mm", &[], &stale), None);
        assert_eq!(follows("ground_speed_mps", &[("time_over_50_m_s", 0.0)], &[]), None);
    }

    #[test]
    fn a_step_that_names_turns_is_asked_for_each_end() {
        let step = Step { compute: Some("adjuster_turns".to_owned()), ..Step::default() };
        let read =
            [("bar_setting_mm", 3.0), ("found_leading_mm", 3.2), ("found_trailing_mm", 3.1)];
        let unit = Unit { height_change_per_turn_mm: Some(0.8), ..Unit::default() };
        let asked = work_out(&step, &read, Some(&unit));
        assert_eq!(asked.len(), 2);
        assert_eq!(asked[0].of, "leading end");
        let named = |name: &str, value: f64| (name.to_owned(), value);
        let wanted = [
            named("current_height_mm", 3.2),
            named("target_height_mm", 3.0),
            named("height_change_per_turn_mm", 0.8),
        ];
        assert_eq!(asked[0].inputs, wanted);
        assert!(work_out(&step, &[], Some(&unit)).is_empty());
    }

    #[test]
    fn facts_of_the_unit_help_but_ask_nothing_by_themselves() {
        let step = Step { compute: Some("clip_spacing".to_owned()), ..Step::default() };
        let unit = Unit { blade_count: Some(11), ..Unit::default() };
        assert!(work_out(&step, &[], Some(&unit)).is_empty());
        let read = [("ground_speed_mps", 1.7), ("reel_speed_rpm", 2200.0)];
        let asked = work_out(&step, &read, Some(&unit));
        let fields: Vec<&str> = asked[0].inputs.iter().map(|(field, _)| field.as_str()).collect();
        assert_eq!(fields, ["ground_speed_mps", "reel_speed_rpm", "blade_count"]);
    }
}
