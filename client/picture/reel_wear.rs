//! How has the reel worn, when does it reach its least diameter, and how uneven are its ends?

use sward_core::domain::units::{decimal, figures};
use sward_core::pb;

use super::Scale;
use super::chart::{Chart, Dash, Mark, Series, range_of};
use super::sheet::{Anchor, Pen, Sample, Sheet};
use crate::call::Failure;

pub fn draw(
    asked: &pb::ReelWearRequest,
    reply: &pb::ReelWearResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    match reply.wear_rate_mm_per_h {
        Some(rate) => wear(asked, reply, rate, scale),
        None => Ok(taper(asked, reply, scale)),
    }
}

/// Hours and diameters, however they were given.
fn readings(asked: &pb::ReelWearRequest) -> Vec<(f64, f64)> {
    let times = asked.reading_times_h.iter().copied();
    let plain = times.zip(asked.diameter_readings_mm.iter().copied());
    let rows = asked.readings.iter().filter_map(|row| {
        let ends = row.left_diameter_mm.zip(row.right_diameter_mm);
        let mean = ends.map(|(left, right)| f64::midpoint(left, right));
        Some((row.time_h?, row.diameter_mm.or(mean)?))
    });
    plain.chain(rows).collect()
}

fn wear(
    asked: &pb::ReelWearRequest,
    reply: &pb::ReelWearResponse,
    rate: f64,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let readings = readings(asked);
    let Some(&(last_h, last_mm)) = readings.last() else { return Ok(None) };
    let first_h = readings[0].0;
    let shown: Vec<(f64, f64)> = readings.iter().map(|&(h, mm)| (h, scale.of(mm))).collect();
    let mut series = vec![Series::marks("readings", Mark::Dot, shown.clone())];
    let mut hours = vec![first_h, last_h];
    let mut sizes: Vec<f64> = shown.iter().map(|(_, size)| *size).collect();
    let end = match (asked.minimum_diameter_mm, reply.remaining_life_h) {
        (Some(least), Some(life)) => (last_h + life, least),
        _ => (last_h + 0.5 * (last_h - first_h), last_mm - 0.5 * rate * (last_h - first_h)),
    };
    hours.push(end.0);
    sizes.push(scale.of(end.1));
    let ahead = vec![(last_h, scale.of(last_mm)), (end.0, scale.of(end.1))];
    series.push(Series::line("as it goes on, grindings included", Dash::Dashed, ahead));
    if let Some(least) = asked.minimum_diameter_mm {
        let far = reply.remaining_life_high_h.filter(|h| *h <= 3.0 * (end.0 - first_h));
        let bounds = [reply.remaining_life_low_h, far];
        let bounds: Vec<(f64, f64)> =
            bounds.into_iter().flatten().map(|h| (last_h + h, scale.of(least))).collect();
        hours.extend(bounds.iter().map(|(h, _)| *h));
        let name = format!("least diameter, {}", scale.say(least));
        let over = range_of(hours.iter().copied());
        let level = vec![(over.start, scale.of(least)), (over.end, scale.of(least))];
        series.push(Series::line(name, Dash::Dotted, level));
        if !bounds.is_empty() {
            series.push(Series::marks("ends of the interval", Mark::Cross, bounds));
        }
    }
    let y = range_of(sizes);
    let x = range_of(hours);
    let grindings = grinding_lines(asked, &y);
    series.extend(grindings);
    let life = reply.remaining_life_h.map(|h| format!("; about {} h left", decimal(h, 0)));
    let chart = Chart {
        title: "Reel wear".to_owned(),
        caption: format!(
            "wears {} {} an hour of work, grinding apart{}",
            figures(scale.of(rate), 3),
            scale.unit(),
            life.unwrap_or_default()
        ),
        x_label: "machine hours, h".to_owned(),
        y_label: format!("diameter, {}", scale.unit()),
        x,
        // Room above for the legend.
        y: y.start..y.end + 0.3 * (y.end - y.start),
        series,
        legend_left: false,
        x_names: Vec::new(),
    };
    chart.draw().map(Some)
}

/// A short stroke at the foot of the chart for each grinding.
fn grinding_lines(asked: &pb::ReelWearRequest, y: &std::ops::Range<f64>) -> Vec<Series> {
    let rows = asked.readings.iter().filter(|row| row.after_grinding).filter_map(|row| row.time_h);
    let times: Vec<f64> = asked.grinding_times_h.iter().copied().chain(rows).collect();
    let low = y.start + 0.03 * (y.end - y.start);
    if times.is_empty() {
        return Vec::new();
    }
    let marks = times.into_iter().map(|h| (h, low)).collect();
    vec![Series::marks("grindings (along the foot)", Mark::Triangle, marks)]
}

/// The reel from the side, its taper drawn much too large so that it can be seen.
fn taper(
    asked: &pb::ReelWearRequest,
    reply: &pb::ReelWearResponse,
    scale: Scale,
) -> Option<String> {
    let (left, right) = asked.left_diameter_mm.zip(asked.right_diameter_mm)?;
    let taper = reply.taper_mm?;
    let mut sheet = Sheet::new(
        760.0,
        420.0,
        "Reel taper",
        &format!("left end less right end: {} (drawn much enlarged)", scale.say(taper)),
    );
    let (middle, half) = (200.0, 80.0);
    let lean = if taper == 0.0 { 0.0 } else { 22.0 * taper.signum() };
    let (left_half, right_half) = (half + lean / 2.0, half - lean / 2.0);
    sheet.shape(
        &[
            (150.0, middle - left_half),
            (610.0, middle - right_half),
            (610.0, middle + right_half),
            (150.0, middle + left_half),
        ],
        true,
    );
    sheet.line((90.0, middle), (670.0, middle), Pen::Dotted);
    for (x, half, anchor, at, name, size) in [
        (136.0, left_half, Anchor::End, 126.0, "left", left),
        (624.0, right_half, Anchor::Start, 634.0, "right", right),
    ] {
        sheet.arrow((x, middle - half), (x, middle + half), true);
        sheet.words((at, middle - 12.0), anchor, 15, name);
        sheet.words((at, middle + 22.0), anchor, 15, &scale.say(size));
    }
    sheet.legend(&[
        (Sample::Hatch, "reel, seen from behind"),
        (Sample::Line(Pen::Dotted), "its axis"),
        (Sample::Arrow, "diameter"),
    ]);
    Some(sheet.finish())
}
