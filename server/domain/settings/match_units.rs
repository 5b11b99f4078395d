//! Which ends of a gang of units must move, and how far, so that all stand inside tolerance of one
//! height? Deliberately absent: readings on turf; these are bench heights, and two units benched
//! alike may still cut unlike (see `height`).

use super::clip::TurfSurface;
use super::{Common, SettingError};
use crate::domain::limits::{check, check_given, check_rows};
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct UnitEndHeight {
    pub unit: String,
    pub end: String,
    pub height_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct MatchUnitsInputs {
    pub unit_heights_mm: Vec<UnitEndHeight>,
    pub target_height_mm: Option<f64>,
    pub tolerance_mm: Option<f64>,
    pub thread_pitch_mm: Option<f64>,
    pub height_change_per_turn_mm: Option<f64>,
    pub surface: Option<TurfSurface>,
}

/// One end to move, over zero to raise.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitEndMove {
    pub unit: String,
    pub end: String,
    pub height_mm: f64,
    pub move_mm: f64,
    pub turns_count: Option<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct UnitSummary {
    pub unit: String,
    pub mean_height_mm: f64,
    /// Right end less left end, or the end named second less the one named first.
    pub slope_mm: f64,
    pub departure_mm: f64,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct MatchUnitsAnswer {
    pub end_moves_mm: Vec<UnitEndMove>,
    pub units: Vec<UnitSummary>,
    pub target_height_mm: Option<f64>,
    pub tolerance_mm: Option<f64>,
    pub mean_height_mm: Option<f64>,
    pub spread_mm: Option<f64>,
    pub spread_after_mm: Option<f64>,
    /// Three standard deviations of one end, from the mean difference of the two ends of a unit.
    pub natural_limit_mm: Option<f64>,
    pub common: Common,
}

/// Setting tolerance as a share of the height (common practice, no source).
const TOLERANCE_SHARE: f64 = 0.04;
/// A step between ends that shows on greens (0.010 in; common practice, no source).
const VISIBLE_STEP_MM: f64 = 0.25;
/// Two heights that differ by less than this are one: readings are to a hundredth at best, and
/// inches turned into millimetres carry rounding.
const SAME_HEIGHT_MM: f64 = 1e-6;

/// Mean range of two readings over their standard deviation (control-chart constant d2, n = 2,
/// published).
const RANGE_OVER_SD: f64 = 1.128;

/// A few units scatter by chance; with so many, scatter over so many tolerances is told.
const UNITS_TO_JUDGE: usize = 4;
const SCATTER_TO_TELL: f64 = 2.0;

/// A reading that has been checked.
struct Reading<'a> {
    unit: &'a str,
    end: &'a str,
    height: f64,
}

/// The moves that bring every end inside tolerance of the target, the fewest that do.
pub fn match_units(inputs: &MatchUnitsInputs) -> Result<MatchUnitsAnswer, SettingError> {
    let target = check_given("target_height_mm", inputs.target_height_mm)?;
    let tolerance = check_given("tolerance_mm", inputs.tolerance_mm)?;
    let per_turn = turn_worth(inputs)?;
    let readings = check_readings(&inputs.unit_heights_mm)?;
    let mut answer = MatchUnitsAnswer::default();
    let Some(ends) = know_ends(&readings, &mut answer.common)? else { return Ok(answer) };
    let tolerance_of = |height: f64| tolerance.unwrap_or(TOLERANCE_SHARE * height);
    let target = match target {
        Some(target) => target,
        None => common_height(&readings, tolerance_of, &mut answer.common),
    };
    let tolerance_mm = tolerance_of(target);
    if tolerance.is_none() {
        answer.common.step(
            "Tolerance, 4 % of the target",
            format!("0.04 × {}", plain(target)),
            tolerance_mm,
            "mm",
            "gauge_maker_note",
        );
    }
    answer.end_moves_mm = moves(&readings, target, tolerance_mm, per_turn, &mut answer.common);
    answer.units = summaries(&readings, &ends, target, &mut answer.common);
    let heights: Vec<f64> = readings.iter().map(|reading| reading.height).collect();
    let after: Vec<f64> = heights.iter().map(|&h| moved(h, target, tolerance_mm)).collect();
    let mean = heights.iter().sum::<f64>() / heights.len() as f64;
    let (before, after) = (spread(&heights), spread(&after));
    for (when, spread) in [("as read", &before), ("once the moves are made", &after)] {
        answer.common.step(
            format!("Spread of all ends {when}, highest less lowest"),
            format!("{} - {}", plain(spread.highest), plain(spread.lowest)),
            spread.width(),
            "mm",
            "",
        );
    }
    answer.natural_limit_mm = Some(natural_limit(&answer.units, tolerance_mm, &mut answer.common));
    answer.target_height_mm = Some(target);
    answer.tolerance_mm = Some(tolerance_mm);
    answer.mean_height_mm = Some(mean);
    answer.spread_mm = Some(before.width());
    answer.spread_after_mm = Some(after.width());
    let solved_for =
        if inputs.target_height_mm.is_some() { "end_moves_mm" } else { "target_height_mm" };
    let told = sentence(&answer.end_moves_mm, target, tolerance_mm);
    advise(after.width(), inputs.surface, per_turn.is_some(), &mut answer.common);
    answer.common.conclude(solved_for, told);
    Ok(answer)
}

/// Change of height in one turn, measured or by the bare thread.
fn turn_worth(inputs: &MatchUnitsInputs) -> Result<Option<f64>, SettingError> {
    let pitch = check_given("thread_pitch_mm", inputs.thread_pitch_mm)?;
    let measured = check_given("height_change_per_turn_mm", inputs.height_change_per_turn_mm)?;
    if measured == Some(0.0) {
        let remedy = "a turn that changes nothing tells nothing";
        return Err(SettingError::new("height_change_per_turn_mm", 0, remedy));
    }
    Ok(measured.or(pitch))
}

fn check_readings(given: &[UnitEndHeight]) -> Result<Vec<Reading<'_>>, SettingError> {
    check_rows("unit_heights_mm", given.len())?;
    let mut readings: Vec<Reading> = Vec::new();
    for (index, row) in given.iter().enumerate() {
        let field = |name: &str| format!("unit_heights_mm[{index}].{name}");
        let (unit, end) = (row.unit.trim(), row.end.trim());
        for (name, value) in [("unit", unit), ("end", end)] {
            if value.is_empty() {
                return Err(SettingError::new(field(name), "empty", "name the unit and its end"));
            }
        }
        let height = row.height_mm.ok_or_else(|| {
            SettingError::new(field("height_mm"), "missing", "give the height read there")
        })?;
        let height = check("height_mm", height)
            .map_err(|error| SettingError { field: field("height_mm"), ..error })?;
        if readings.iter().any(|other| other.unit == unit && other.end == end) {
            let remedy = format!("the {end} end of unit {unit} is read twice; give one reading");
            return Err(SettingError::new(field("end"), end, remedy));
        }
        readings.push(Reading { unit, end, height });
    }
    Ok(readings)
}

/// The two ends that every unit has, left or leading first; `None` when readings are missing.
fn know_ends(
    readings: &[Reading],
    common: &mut Common,
) -> Result<Option<[String; 2]>, SettingError> {
    let mut ends: Vec<&str> = Vec::new();
    for reading in readings {
        if !ends.contains(&reading.end) {
            ends.push(reading.end);
        }
    }
    if let Some(third) = ends.get(2) {
        let remedy = format!("a unit has two ends; {} and {} are already used", ends[0], ends[1]);
        return Err(SettingError::new("end", third, remedy));
    }
    ends.sort_by_key(|end| matches!(end.to_lowercase().as_str(), "right" | "trailing"));
    let [low, high] = ends[..] else {
        common.need("unit_heights_mm", "mm", "the height at both ends of every unit");
        return Ok(None);
    };
    for reading in readings {
        let other = if reading.end == low { high } else { low };
        if !readings.iter().any(|found| found.unit == reading.unit && found.end == other) {
            let why = format!("the height at the {other} end of unit {}", reading.unit);
            common.need("unit_heights_mm", "mm", why);
        }
    }
    let complete = common.missing.is_empty();
    Ok(complete.then(|| [low.to_owned(), high.to_owned()]))
}

/// The height that leaves most ends where they are: the middle of the fullest window two tolerances
/// wide, of equals the tightest, of those the lowest.
fn common_height(
    readings: &[Reading],
    tolerance_of: impl Fn(f64) -> f64,
    common: &mut Common,
) -> f64 {
    let mut heights: Vec<f64> = readings.iter().map(|reading| reading.height).collect();
    heights.sort_by(f64::total_cmp);
    let mut best = (0, f64::INFINITY, heights[0]);
    for (first, &low) in heights.iter().enumerate() {
        for (last, &high) in heights.iter().enumerate().skip(first) {
            let middle = f64::midpoint(low, high);
            if high - middle > tolerance_of(middle) + SAME_HEIGHT_MM {
                break;
            }
            let (count, width) = (last - first + 1, high - low);
            let tighter = count == best.0 && width < best.1 - SAME_HEIGHT_MM;
            if count > best.0 || tighter {
                best = (count, width, middle);
            }
        }
    }
    common.step(
        format!("Height that leaves most ends unmoved: {} of {}", best.0, heights.len()),
        "middle of the fullest window two tolerances wide",
        best.2,
        "mm",
        "geometry",
    );
    common.advise(
        "target_found",
        "No target was given: the units are matched to each other, with the fewest moves.",
    );
    best.2
}

fn outside(height: f64, target: f64, tolerance: f64) -> bool {
    (height - target).abs() > tolerance + SAME_HEIGHT_MM
}

fn moved(height: f64, target: f64, tolerance: f64) -> f64 {
    if outside(height, target, tolerance) { target } else { height }
}

fn moves(
    readings: &[Reading],
    target: f64,
    tolerance: f64,
    per_turn: Option<f64>,
    common: &mut Common,
) -> Vec<UnitEndMove> {
    let mut made = Vec::new();
    for reading in readings.iter().filter(|reading| outside(reading.height, target, tolerance)) {
        let move_mm = target - reading.height;
        common.step(
            format!("Unit {}, {} end: target less reading", reading.unit, reading.end),
            format!("{} - {}", plain(target), plain(reading.height)),
            move_mm,
            "mm",
            "",
        );
        let turns_count = per_turn.map(|per_turn| move_mm / per_turn);
        if let (Some(turns), Some(per_turn)) = (turns_count, per_turn) {
            let expression = format!("{} / {}", plain(move_mm), plain(per_turn));
            common.step("The same in turns", expression, turns, "turns", "geometry");
        }
        made.push(UnitEndMove {
            unit: reading.unit.to_owned(),
            end: reading.end.to_owned(),
            height_mm: reading.height,
            move_mm,
            turns_count,
        });
    }
    made
}

fn summaries(
    readings: &[Reading],
    [low, high]: &[String; 2],
    target: f64,
    common: &mut Common,
) -> Vec<UnitSummary> {
    let mut units: Vec<UnitSummary> = Vec::new();
    let at = |unit: &str, end: &str| {
        readings.iter().find(|r| r.unit == unit && r.end == end).map(|r| r.height)
    };
    for reading in readings {
        if units.iter().any(|known| known.unit == reading.unit) {
            continue;
        }
        let (Some(left), Some(right)) = (at(reading.unit, low), at(reading.unit, high)) else {
            continue;
        };
        let mean = f64::midpoint(left, right);
        common.step(
            format!(
                "Unit {}: mean, and {high} end less {low} end {} mm",
                reading.unit,
                plain(right - left)
            ),
            format!("({} + {}) / 2", plain(left), plain(right)),
            mean,
            "mm",
            "",
        );
        units.push(UnitSummary {
            unit: reading.unit.to_owned(),
            mean_height_mm: mean,
            slope_mm: right - left,
            departure_mm: mean - target,
        });
    }
    units
}

/// How far single ends scatter when they are set as these were, and whether the tolerance is wider.
fn natural_limit(units: &[UnitSummary], tolerance: f64, common: &mut Common) -> f64 {
    let mean = units.iter().map(|unit| unit.slope_mm.abs()).sum::<f64>() / units.len() as f64;
    let limit = 3.0 * mean / RANGE_OVER_SD;
    common.step(
        "Scatter to expect of one end = 3 × mean difference of the ends / 1.128",
        format!("3 × {} / {RANGE_OVER_SD}", plain(mean)),
        limit,
        "mm",
        "nist_control_charts",
    );
    if units.len() >= UNITS_TO_JUDGE && limit > SCATTER_TO_TELL * tolerance {
        common.advise(
            "setting_scatters",
            format!(
                "The ends of a unit differ by {} mm on the mean: set in the same way, single ends \
                 will scatter by up to {} mm, far over the tolerance. Look at clamps, gauge bar \
                 and roller bearings.",
                decimal(mean, 3),
                decimal(limit, 3)
            ),
        );
    }
    limit
}

/// The lowest and highest of some ends.
struct Spread {
    lowest: f64,
    highest: f64,
}

impl Spread {
    fn width(&self) -> f64 {
        self.highest - self.lowest
    }
}

fn spread(heights: &[f64]) -> Spread {
    Spread {
        lowest: heights.iter().copied().fold(f64::INFINITY, f64::min),
        highest: heights.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

fn sentence(moves: &[UnitEndMove], target: f64, tolerance: f64) -> String {
    let aim = format!("{} mm, give or take {} mm", decimal(target, 3), decimal(tolerance, 3));
    if moves.is_empty() {
        return format!("Every end is inside {aim}; move nothing.");
    }
    let told: Vec<String> = moves
        .iter()
        .map(|made| {
            let way = if made.move_mm > 0.0 { "up" } else { "down" };
            let turns = made
                .turns_count
                .map(|turns| format!(" ({} turns)", decimal(turns.abs(), 2)))
                .unwrap_or_default();
            let distance = decimal(made.move_mm.abs(), 3);
            format!("unit {} {} end {way} {distance} mm{turns}", made.unit, made.end)
        })
        .collect();
    format!("For {aim}: {}.", told.join("; "))
}

fn advise(spread_after: f64, surface: Option<TurfSurface>, turns_told: bool, common: &mut Common) {
    common.cite("visible_mismatch");
    if spread_after > VISIBLE_STEP_MM && surface != Some(TurfSurface::Longer) {
        common.advise(
            "step_shows_on_greens",
            format!(
                "After the moves the ends still differ by {} mm; on greens a step of about 0.25 mm \
                 (0.010 in) shows. Use a tighter tolerance.",
                decimal(spread_after, 3)
            ),
        );
    }
    if turns_told {
        common.advise(
            "turns_by_thread",
            "Turns take the height to change as much as stated for a turn; read again after the \
             first one.",
        );
    }
    common.advise(
        "read_both_ends_again",
        "Moving one end moves the other a little. Release the clamps first, clamp, read both ends \
         again, and use the gauge bar the same way round each time so that its own bend cancels.",
    );
    for id in ["isolate_drive", "hands_clear_of_reel", "block_tipped_unit", "torque_from_manual"] {
        common.caution(id);
    }
}

#[cfg(test)]
mod tests;
