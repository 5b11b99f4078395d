//! How does the turf stand day by day, and where is the setting changed?

use sward_core::pb;

use super::Scale;
use super::chart::{Chart, Dash, Mark, Series, range_of};
use crate::call::Failure;

pub fn draw(
    asked: &pb::HeightPlanRequest,
    reply: &pb::HeightPlanResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let (Some(now), Some(target)) = (asked.current_height_mm, asked.target_height_mm) else {
        return Ok(None);
    };
    let Some(last) = reply.steps.last() else { return Ok(None) };
    let mut standing = vec![(0.0, scale.of(now))];
    for step in &reply.steps {
        standing.push((step.day, scale.of(step.standing_height_mm)));
        standing.push((step.day, scale.of(step.height_mm)));
    }
    let set: Vec<(f64, f64)> =
        reply.steps.iter().map(|step| (step.day, scale.of(step.height_mm))).collect();
    let fraction = asked.max_removed_fraction.unwrap_or(1.0 / 3.0);
    let lowest: Vec<(f64, f64)> = reply
        .steps
        .iter()
        .map(|step| (step.day, scale.of((1.0 - fraction) * step.standing_height_mm)))
        .collect();
    let days = range_of([0.0, last.day.max(1.0)]);
    let level = vec![(days.start, scale.of(target)), (days.end, scale.of(target))];
    let heights = standing.iter().chain(&lowest).chain(&level).map(|(_, y)| *y);
    // Room above for the legend.
    let y = range_of(heights);
    let y = y.start..y.end + 0.35 * (y.end - y.start);
    let late = if reply.reaches_target_in_time { "" } else { "; not in the time wanted" };
    let chart = Chart {
        title: format!("Height plan: {} to {}", scale.say(now), scale.say(target)),
        caption: format!("{} mowings{late}", reply.steps.len()),
        x_label: match asked.start_date.as_str() {
            "" => "days from today".to_owned(),
            date => format!("days from {date}"),
        },
        y_label: format!("height, {}", scale.unit()),
        x: days,
        y,
        series: vec![
            Series::line("turf as it stands", Dash::Solid, standing),
            Series::marks("height set", Mark::Dot, set),
            Series::marks("lowest that the rule allows then", Mark::Cross, lowest),
            Series::line(format!("target, {}", scale.say(target)), Dash::Dashed, level),
        ],
        legend_left: false,
        x_names: Vec::new(),
    };
    chart.draw().map(Some)
}
