//! By what steps may the height go from here to there without taking too much of the leaf at once,
//! and what is the first day it can be there? Deliberately absent: whether the turf will bear the
//! target at all; heights by species are in `knowledge/`.
//!
//! The one-third rule (published, a guide and not a law): no mowing takes more than a third of the
//! standing height, so the next height is at least 2/3 of what stands.

use super::calendar::Date;
use super::{Common, SettingError};
use crate::domain::limits::check_given;
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightPlanInputs {
    pub current_height_mm: Option<f64>,
    pub target_height_mm: Option<f64>,
    pub time_available_days: Option<f64>,
    pub max_removed_fraction: Option<f64>,
    pub mowing_interval_days: Option<f64>,
    pub growth_mm_per_day: Option<f64>,
    pub step_limit_mm: Option<f64>,
    /// YYYY-MM-DD; empty when the steps carry no dates.
    pub start_date: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct HeightStep {
    pub day: f64,
    /// Empty without a start date.
    pub date: String,
    pub standing_height_mm: f64,
    pub height_mm: f64,
    pub removed_fraction: f64,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightPlanAnswer {
    pub step_heights_mm: Vec<f64>,
    pub steps: Vec<HeightStep>,
    pub reaches_target_in_time: bool,
    pub earliest_day: Option<f64>,
    /// Empty without a start date.
    pub earliest_date: String,
    pub lowest_next_height_mm: Option<f64>,
    pub mow_before_height_mm: Option<f64>,
    pub common: Common,
}

const THIRD: f64 = 1.0 / 3.0;
/// Turf kept at or under this is stepped gently, like a green (common practice, no source).
const GREENS_HEIGHT_MM: f64 = 6.0;
/// A gentle step, 0.010 in, and the least days between two of them (common practice, no source).
const GENTLE_STEP_MM: f64 = 0.25;
const GENTLE_DAYS: f64 = 2.0;
/// A plan of more mowings than this is no plan.
const STEPS_MAX: usize = 1_000;
/// Less than this is no change, mm: nothing on a machine can be set so fine.
const NO_CHANGE_MM: f64 = 1e-6;

/// The checked inputs with their defaults.
struct Rules {
    current: f64,
    target: f64,
    time_available: Option<f64>,
    fraction: f64,
    interval: f64,
    growth: f64,
    step_limit: Option<f64>,
    start: Option<Date>,
}

impl Rules {
    fn growth_between(&self) -> f64 {
        self.growth * self.interval
    }

    /// The heights set in turn when each step goes as low as the fraction and `step_limit` allow.
    /// `None` when they stall above the target or there is no end of them.
    fn go_down(&self, step_limit: f64) -> Option<Vec<f64>> {
        let mut heights = Vec::new();
        let (mut set, mut standing) = (self.current, self.current);
        while heights.len() < STEPS_MAX {
            let lowest = ((1.0 - self.fraction) * standing).max(set - step_limit);
            // A hair, so that the rounding of two thirds does not add a step of nothing.
            if lowest <= self.target * (1.0 + 1e-12) {
                heights.push(self.target);
                return Some(heights);
            }
            if lowest > set - NO_CHANGE_MM {
                return None;
            }
            heights.push(lowest);
            set = lowest;
            standing = set + self.growth_between();
        }
        None
    }

    /// The steps that reach the target in `count` mowings with the least largest step.
    fn even_steps(&self, count: usize, fastest: &[f64]) -> Vec<f64> {
        let reaches = |step: f64| self.go_down(step).filter(|heights| heights.len() <= count);
        let drop = self.current - self.target;
        // A hair over an equal share, so that rounding does not add a step of nothing.
        let equal = drop / count as f64 * (1.0 + 1e-12);
        if let Some(heights) = reaches(equal) {
            return heights;
        }
        let (mut low, mut high) = (equal, self.step_limit.unwrap_or(drop));
        let mut best = fastest.to_vec();
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            match reaches(middle) {
                Some(heights) => (best, high) = (heights, middle),
                None => low = middle,
            }
        }
        best
    }
}

/// Safe steps from the height now to the target.
pub fn height_plan(inputs: &HeightPlanInputs) -> Result<HeightPlanAnswer, SettingError> {
    let mut answer = HeightPlanAnswer::default();
    let Some(rules) = check_rules(inputs, &mut answer.common)? else { return Ok(answer) };
    say_rule(&rules, &mut answer);
    answer.common.doubt_a_low_height(rules.target);
    if rules.target >= rules.current {
        raise(&rules, &mut answer);
        return Ok(answer);
    }
    let Some(fastest) = rules.go_down(rules.step_limit.unwrap_or(f64::INFINITY)) else {
        cannot_reach(&rules, &mut answer)?;
        return Ok(answer);
    };
    let earliest_day = (fastest.len() - 1) as f64 * rules.interval;
    let mowings = rules.time_available.map(|days| (days / rules.interval + 1e-9).floor() + 1.0);
    let in_time = mowings.is_none_or(|mowings| fastest.len() as f64 <= mowings);
    let count = step_count(&rules, fastest.len(), mowings);
    let heights = rules.even_steps(count, &fastest);
    let spacing = spacing(&rules, heights.len(), mowings.filter(|_| in_time));
    lay_out(&rules, &heights, spacing, &mut answer);
    answer.reaches_target_in_time = in_time;
    answer.earliest_day = Some(earliest_day);
    answer.earliest_date = date_of(&rules, earliest_day);
    let told = sentence(&rules, &answer);
    answer.common.conclude("step_heights_mm", told);
    if heights.len() > fastest.len() {
        advise_fewest(&fastest, &heights, spacing, &mut answer.common);
    }
    if inputs.mowing_interval_days.is_none() && spacing <= 1.0 && heights.len() > 1 {
        answer.common.advise(
            "interval_not_given",
            "A cut every day was taken; say how often it is mown for other days, such as \
             \"every other day\".",
        );
    }
    advise(inputs, &rules, &mut answer.common);
    Ok(answer)
}

fn check_rules(
    inputs: &HeightPlanInputs,
    common: &mut Common,
) -> Result<Option<Rules>, SettingError> {
    let current = check_given("current_height_mm", inputs.current_height_mm)?;
    let target = check_given("target_height_mm", inputs.target_height_mm)?;
    let time_available = check_given("time_available_days", inputs.time_available_days)?;
    let fraction = check_given("max_removed_fraction", inputs.max_removed_fraction)?;
    let interval = check_given("mowing_interval_days", inputs.mowing_interval_days)?;
    let growth = check_given("growth_mm_per_day", inputs.growth_mm_per_day)?.unwrap_or(0.0);
    let step_limit = check_given("step_limit_mm", inputs.step_limit_mm)?;
    let start = match inputs.start_date.as_str() {
        "" => None,
        text => Some(Date::parse("start_date", text)?),
    };
    if current.is_none() {
        common.need("current_height_mm", "mm", "the height the turf stands at now");
    }
    if target.is_none() {
        common.need("target_height_mm", "mm", "the height wanted");
    }
    if interval.is_none() && growth > 0.0 {
        common.need("mowing_interval_days", "days", "with growth, how often it is mown");
    }
    let (Some(current), Some(target)) = (current, target) else { return Ok(None) };
    if !common.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Rules {
        current,
        target,
        time_available,
        fraction: fraction.unwrap_or(THIRD),
        interval: interval.unwrap_or(1.0),
        growth,
        step_limit,
        start,
    }))
}

fn say_rule(rules: &Rules, answer: &mut HeightPlanAnswer) {
    let left = 1.0 - rules.fraction;
    let lowest = left * rules.current;
    let mow_before = rules.target / left;
    // Who goes up does not ask how low he may go.
    if rules.target < rules.current {
        answer.common.step(
            format!(
                "Lowest setting allowed now, taking at most {} of what stands",
                decimal(rules.fraction, 3)
            ),
            format!("(1 - {}) × {}", plain(rules.fraction), plain(rules.current)),
            lowest,
            "mm",
            "one_third_rule",
        );
    }
    answer.common.step(
        "At the target, mow before it stands at",
        format!("{} / (1 - {})", plain(rules.target), plain(rules.fraction)),
        mow_before,
        "mm",
        "one_third_rule",
    );
    answer.lowest_next_height_mm = Some(lowest);
    answer.mow_before_height_mm = Some(mow_before);
}

/// A height that rises needs no steps: nothing is cut off.
fn raise(rules: &Rules, answer: &mut HeightPlanAnswer) {
    lay_out(rules, &[rules.target], 0.0, answer);
    answer.reaches_target_in_time = true;
    answer.earliest_day = Some(0.0);
    answer.earliest_date = date_of(rules, 0.0);
    if rules.growth > 0.0 && rules.target > rules.current {
        answer.common.step(
            "Days for the grass to grow into it",
            format!(
                "({} - {}) / {}",
                plain(rules.target),
                plain(rules.current),
                plain(rules.growth)
            ),
            (rules.target - rules.current) / rules.growth,
            "days",
            "geometry",
        );
    }
    let told = format!("Set {} mm at once: a rise needs no steps.", decimal(rules.target, 2));
    answer.common.conclude("step_heights_mm", told);
}

/// How many steps to take: gentle ones on greens where the time allows, else the fewest.
fn step_count(rules: &Rules, fewest: usize, mowings: Option<f64>) -> usize {
    let gentle = rules.step_limit.is_none() && rules.target <= GREENS_HEIGHT_MM;
    if !gentle {
        return fewest;
    }
    let wanted = ((rules.current - rules.target) / GENTLE_STEP_MM - 1e-9).ceil();
    let allowed = wanted.min(mowings.unwrap_or(f64::INFINITY)).min(STEPS_MAX as f64);
    // Whole and between 0 and STEPS_MAX.
    fewest.max(allowed as usize)
}

/// Days from one step to the next, a whole number of mowings.
fn spacing(rules: &Rules, steps: usize, mowings: Option<f64>) -> f64 {
    let gaps = steps.saturating_sub(1).max(1) as f64;
    let apart = match mowings {
        Some(mowings) => ((mowings - 1.0) / gaps).floor().max(1.0),
        None if rules.step_limit.is_none()
            && rules.target <= GREENS_HEIGHT_MM
            && rules.time_available.is_none() =>
        {
            (GENTLE_DAYS / rules.interval).ceil()
        }
        None => 1.0,
    };
    apart * rules.interval
}

fn lay_out(rules: &Rules, heights: &[f64], spacing: f64, answer: &mut HeightPlanAnswer) {
    let mut standing = rules.current;
    for (index, &height) in heights.iter().enumerate() {
        let day = index as f64 * spacing;
        let removed = ((standing - height) / standing).max(0.0);
        if height < standing {
            answer.common.step(
                format!(
                    "Day {}: set {} mm; share taken of {} mm standing",
                    plain(day),
                    decimal(height, 2),
                    decimal(standing, 2)
                ),
                format!("({0} - {1}) / {0}", plain(standing), plain(height)),
                removed,
                "",
                "",
            );
        }
        answer.steps.push(HeightStep {
            day,
            date: date_of(rules, day),
            standing_height_mm: standing,
            height_mm: height,
            removed_fraction: removed,
        });
        standing = height + rules.growth_between();
    }
    answer.step_heights_mm = heights.to_vec();
}

fn date_of(rules: &Rules, day: f64) -> String {
    // Days are inside the bounds of the inputs times STEPS_MAX, far from the ends of i64.
    let after = day.floor() as i64;
    rules.start.map(|start| start.plus_days(after).written()).unwrap_or_default()
}

/// Says why the target is out of reach, and what would put it in reach.
fn cannot_reach(rules: &Rules, answer: &mut HeightPlanAnswer) -> Result<(), SettingError> {
    let per_mowing = rules.fraction / (1.0 - rules.fraction);
    let stalls_at = rules.growth_between() / per_mowing;
    if stalls_at < rules.target {
        let (field, value) = match rules.step_limit {
            Some(limit) => ("step_limit_mm", limit),
            None => ("max_removed_fraction", rules.fraction),
        };
        let remedy =
            format!("so small steps would take over {STEPS_MAX} mowings; allow larger ones");
        return Err(SettingError::new(field, plain(value), remedy));
    }
    let days = per_mowing * rules.target / rules.growth;
    let common = &mut answer.common;
    common.step(
        "Height below which growth between mowings is more than the rule may take",
        format!(
            "(1 - {0}) × {1} × {2} / {0}",
            plain(rules.fraction),
            plain(rules.growth),
            plain(rules.interval)
        ),
        stalls_at,
        "mm",
        "one_third_rule",
    );
    common.step(
        "Longest time between mowings at the target",
        format!(
            "{0} × {1} / ((1 - {0}) × {2})",
            plain(rules.fraction),
            plain(rules.target),
            plain(rules.growth)
        ),
        days,
        "days",
        "one_third_rule",
    );
    common.conclude(
        "step_heights_mm",
        format!(
            "It cannot be reached at this growth, mowing every {} days. Mow more often than every \
             {} days.",
            plain(rules.interval),
            decimal(days, 1)
        ),
    );
    Ok(())
}

fn sentence(rules: &Rules, answer: &HeightPlanAnswer) -> String {
    const SHOWN: usize = 12;
    let shown = |step: &HeightStep| format!("day {}: {:.2} mm", plain(step.day), step.height_mm);
    let mut told: Vec<String> = answer.steps.iter().take(SHOWN).map(shown).collect();
    if let Some(last) = answer.steps.get(SHOWN..).and_then(|rest| rest.last()) {
        told.push(format!("... {}", shown(last)));
    }
    let steps = format!("{} step(s): {}.", answer.steps.len(), told.join(", "));
    if answer.reaches_target_in_time {
        return steps;
    }
    let earliest = answer.earliest_day.unwrap_or(0.0);
    let date = match answer.earliest_date.as_str() {
        "" => String::new(),
        date => format!(" ({date})"),
    };
    format!(
        "Not by day {}: the earliest inside the rules is day {}{date}. {steps}",
        plain(rules.time_available.unwrap_or(0.0)),
        plain(earliest)
    )
}

/// What the rule alone would allow, where gentler steps are shown.
fn advise_fewest(fastest: &[f64], shown: &[f64], spacing: f64, common: &mut Common) {
    let heights: Vec<String> = fastest.iter().map(|height| decimal(*height, 2)).collect();
    let step = match shown {
        [first, second, ..] => first - second,
        _ => return,
    };
    common.advise(
        "fewest_steps",
        format!(
            "The rule alone would allow {} step(s), to {} mm. Shown are steps of {} mm, {} days \
             apart, as is usual on greens; say how much a step may be for others, such as \"1 mm at \
             a time\".",
            fastest.len(),
            heights.join("; "),
            decimal(step, 2),
            plain(spacing),
        ),
    );
}

fn advise(inputs: &HeightPlanInputs, rules: &Rules, common: &mut Common) {
    common.cite("one_third_origin");
    common.advise(
        "rule_is_a_guide",
        "The one-third rule comes from greenhouse work on pasture grass; it is a guide, not a law. \
         Stop stepping down when the turf thins or browns.",
    );
    if inputs.growth_mm_per_day.is_none() {
        common.advise(
            "growth_not_given",
            "No growth was reckoned between mowings; in strong growth the steps must be smaller.",
        );
    }
    if inputs.step_limit_mm.is_none() && rules.target <= GREENS_HEIGHT_MM {
        common.cite("green_steps");
        common.advise(
            "gentle_steps",
            "Greens are usually lowered 0.13 to 0.25 mm (0.005 to 0.010 in) at a time, days apart, \
             with grooming and light topdressing.",
        );
    }
}

#[cfg(test)]
mod tests;
