//! How does the clip follow the ground speed at this reel speed, and where does the answer stand?

use sward_core::domain::units::{convert, decimal};
use sward_core::pb;

use super::Scale;
use super::chart::{Chart, Dash, Mark, Series};
use crate::call::Failure;

pub fn draw(
    asked: &pb::ClipSpacingRequest,
    reply: &pb::ClipSpacingResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let (Some(clip), Some(speed), Some(blades), Some(rpm)) =
        (reply.clip_spacing_mm, reply.ground_speed_mps, reply.blade_count, reply.reel_speed_rpm)
    else {
        return Ok(None);
    };
    let speed_unit = if scale.inches() { "mph" } else { "km/h" };
    let shown = |mps: f64| convert(mps, "m/s", speed_unit).unwrap_or(mps);
    let most = reply
        .ground_speed_for_clip_equal_height_mps
        .map_or(speed, |equal| speed.max(equal.min(4.0 * speed)));
    let (right, top) = (shown(1.3 * most), scale.of(1.3 * most / speed * clip));
    let at = |x: f64| (x, x / shown(speed) * scale.of(clip));
    let mut series = vec![
        Series::line("clip at this reel speed", Dash::Solid, vec![at(0.0), at(right)]),
        Series::marks(
            format!("the answer: {} at {} {speed_unit}", scale.say(clip), decimal(shown(speed), 2)),
            Mark::Dot,
            vec![at(shown(speed))],
        ),
    ];
    if let Some(height) = asked.height_of_cut_mm {
        let level = |share: f64| {
            let y = scale.of(share * height);
            vec![(0.0, y), (right, y)]
        };
        let name = format!("height of cut, {}", scale.say(height));
        series.push(Series::line(name, Dash::Dashed, level(1.0)));
        series.push(Series::line("10 % either side of it", Dash::Dotted, level(0.9)));
        series.push(Series::line("", Dash::Dotted, level(1.1)));
    }
    let chart = Chart {
        title: format!("Clip spacing: {blades} blades, {} rpm", decimal(rpm, 0)),
        caption: "distance travelled between one blade's cut and the next".to_owned(),
        x_label: format!("ground speed, {speed_unit}"),
        y_label: format!("clip spacing, {}", scale.unit()),
        x: 0.0..right,
        // Room above for the legend.
        y: 0.0..1.3 * top.max(scale.of(1.1 * asked.height_of_cut_mm.unwrap_or(0.0))),
        series,
        legend_left: true,
        x_names: Vec::new(),
    };
    chart.draw().map(Some)
}
