//! What is drawn of the fleet? Bars, intervals and lines in black and white: told apart by
//! hatching, marks and dashes, with the numbers written beside them.

use sward_core::domain::units::decimal;
use sward_core::pb;

use super::document::date;
use crate::call::Failure;
use crate::picture::Scale;
use crate::picture::chart::{Chart, Dash, Mark, Series, range_of};
use crate::picture::sheet::{Anchor, Pen, Sample, Sheet};

/// Rows of one drawing; more cannot be read.
const ROWS_MAX: usize = 16;
const WIDTH: f64 = 860.0;
const TOP: f64 = 84.0;
const ROW: f64 = 30.0;
/// Intervals of one drawing, which take more room.
const INTERVALS_MAX: usize = 10;
/// Where labels end and bars begin, and where bars end.
const LEFT: f64 = 300.0;
const RIGHT: f64 = 730.0;

/// One bar: its label, its length, and what is written after it.
pub struct Bar {
    pub label: String,
    pub value: f64,
    pub text: String,
}

/// Hatched bars with a line at `mark`, if any; none without rows.
pub fn bars(title: &str, caption: &str, rows: &[Bar], mark: Option<(f64, &str)>) -> Option<String> {
    let rows = &rows[..rows.len().min(ROWS_MAX)];
    let longest = rows.iter().map(|row| row.value).fold(0.0, f64::max);
    let longest = longest.max(mark.map_or(0.0, |(at, _)| at));
    if rows.is_empty() || longest <= 0.0 {
        return None;
    }
    let foot = TOP + ROW * rows.len() as f64;
    let mut sheet = Sheet::new(WIDTH, foot + 44.0, title, caption);
    let place = |value: f64| LEFT + value / longest * (RIGHT - LEFT);
    for (number, row) in rows.iter().enumerate() {
        let y = TOP + ROW * number as f64;
        sheet.words((LEFT - 10.0, y + 19.0), Anchor::End, 14, &short(&row.label));
        let end = place(row.value.max(0.0));
        if end > LEFT {
            let corners = [(LEFT, y + 6.0), (end, y + 6.0), (end, y + 24.0), (LEFT, y + 24.0)];
            sheet.shape(&corners, true);
        }
        // A text on the line of the mark could not be read.
        let after = mark.map_or(end, |(at, _)| {
            let line = place(at);
            if end < line && line < end + 110.0 { line } else { end }
        });
        sheet.words((after + 8.0, y + 20.0), Anchor::Start, 14, &row.text);
    }
    sheet.line((LEFT, TOP), (LEFT, foot), Pen::Thin);
    if let Some((at, name)) = mark {
        sheet.line((place(at), TOP - 4.0), (place(at), foot + 6.0), Pen::Dashed);
        sheet.words((place(at), foot + 24.0), Anchor::Middle, 14, name);
    }
    Some(sheet.finish())
}

/// Labels longer than the room for them lose their middle.
fn short(label: &str) -> String {
    const ROOM: usize = 38;
    let count = label.chars().count();
    if count <= ROOM {
        return label.to_owned();
    }
    let head: String = label.chars().take(ROOM / 2 - 1).collect();
    let tail: String = label.chars().skip(count - ROOM / 2 + 2).collect();
    format!("{}...{}", head.trim_end(), tail.trim_start())
}

/// Intervals of what comes back, by unit.
pub fn returning(rows: &[pb::ReturningFault]) -> Option<String> {
    let rows: Vec<(&pb::ReturningFault, pb::RatePer100h)> = rows
        .iter()
        .filter_map(|row| Some((row, row.believed_per_100_h?)))
        .take(INTERVALS_MAX)
        .collect();
    let highest =
        rows.iter().map(|(row, rate)| rate.high.max(row.counted_per_100_h.unwrap_or_default()));
    let highest = highest.fold(0.0, f64::max);
    if rows.is_empty() || highest <= 0.0 {
        return None;
    }
    let (row_height, foot) = (44.0, TOP + 44.0 * rows.len() as f64);
    let mut sheet = Sheet::new(
        WIDTH,
        foot + 150.0,
        "What keeps coming back",
        "faults for each 100 h of the unit; lines are 90 % intervals",
    );
    let place = |rate: f64| LEFT + rate / highest * (RIGHT + 60.0 - LEFT);
    for (number, (row, rate)) in rows.iter().enumerate() {
        let y = TOP + row_height * number as f64 + 20.0;
        let title = if row.title.is_empty() { &row.cause } else { &row.title };
        sheet.words((LEFT - 16.0, y - 2.0), Anchor::End, 14, &short(title));
        sheet.words((LEFT - 16.0, y + 14.0), Anchor::End, 12, &short(&row.unit_title));
        sheet.line((place(rate.low), y), (place(rate.high), y), Pen::Thick);
        for end in [rate.low, rate.high] {
            sheet.line((place(end), y - 6.0), (place(end), y + 6.0), Pen::Thick);
        }
        sheet.dot((place(rate.rate), y));
        if let Some(counted) = row.counted_per_100_h {
            sheet.circle((place(counted), y), 8.0, Pen::Thin);
        }
        let mean = place(row.alike_per_100_h);
        sheet.line((mean, y - 14.0), (mean, y + 14.0), Pen::Dotted);
    }
    sheet.line((LEFT, foot + 4.0), (RIGHT + 60.0, foot + 4.0), Pen::Thin);
    for part in 0..=4 {
        let rate = highest * f64::from(part) / 4.0;
        sheet.line((place(rate), foot + 4.0), (place(rate), foot + 10.0), Pen::Thin);
        sheet.words((place(rate), foot + 27.0), Anchor::Middle, 13, &decimal(rate, 2));
    }
    sheet.legend(&[
        (Sample::Dot, "rate believed, drawn toward units that are alike"),
        (Sample::Ring, "rate as counted"),
        (Sample::Line(Pen::Thick), "90 % interval"),
        (Sample::Line(Pen::Dotted), "mean of the units that are alike"),
    ]);
    Some(sheet.finish())
}

/// Fault rates by month, with the limits within which chance keeps them.
pub fn months(rows: &[pb::MonthRecord]) -> Result<Option<String>, Failure> {
    let places = || rows.iter().enumerate().map(|(at, row)| (at as f64, row));
    let rates: Vec<(f64, f64)> =
        places().filter_map(|(at, row)| Some((at, row.faults_per_100_h?))).collect();
    if rates.len() < 2 {
        return Ok(None);
    }
    let high: Vec<(f64, f64)> =
        places().filter_map(|(at, row)| Some((at, row.limit_high_per_100_h?))).collect();
    let out: Vec<(f64, f64)> = places()
        .filter(|(_, row)| row.stands_out)
        .filter_map(|(at, row)| Some((at, row.faults_per_100_h?)))
        .collect();
    let inside: Vec<(f64, f64)> =
        rates.iter().filter(|point| !out.contains(point)).copied().collect();
    // A month with next to no hours has a limit that would flatten all others.
    let top_rate = rates.iter().map(|(_, rate)| *rate).fold(0.0, f64::max);
    let top = (1.35 * top_rate).max(1e-3);
    let high: Vec<(f64, f64)> = high.into_iter().map(|(at, limit)| (at, limit.min(top))).collect();
    let every = rows.len().div_ceil(12).max(1);
    let name = |at: usize, row: &pb::MonthRecord| {
        if at % every == 0 { row.month.clone() } else { String::new() }
    };
    let mut series = vec![
        Series::line("limit of chance (3 sigma)", Dash::Dashed, high),
        Series::marks("faults for each 100 h", Mark::Dot, inside),
    ];
    if !out.is_empty() {
        series.push(Series::marks("outside the limits", Mark::Triangle, out));
    }
    let chart = Chart {
        title: "Faults by month".to_owned(),
        caption: "over the hours of all machines".to_owned(),
        x_label: "month".to_owned(),
        y_label: "faults for each 100 h".to_owned(),
        x: -0.5..rows.len() as f64 - 0.5,
        y: 0.0..1.35 * top,
        series,
        legend_left: false,
        x_names: rows.iter().enumerate().map(|(at, row)| (at as f64, name(at, row))).collect(),
    };
    chart.draw().map(Some)
}

fn days(time: Option<&prost_types::Timestamp>, from: i64) -> f64 {
    time.map_or(0.0, |time| (time.seconds - from) as f64 / 86_400.0)
}

/// Bench heights one after the other, with target and limits.
pub fn heights(history: &pb::HeightHistory, scale: Scale) -> Result<Option<String>, Failure> {
    let Some(first) = history.points.first().and_then(|point| point.time) else { return Ok(None) };
    if history.points.len() < 2 {
        return Ok(None);
    }
    let point = |one: &pb::BenchHeightPoint| {
        (days(one.time.as_ref(), first.seconds), scale.of(one.height_mm))
    };
    let (out, inside): (Vec<_>, Vec<_>) = history.points.iter().partition(|one| one.stands_out);
    let all: Vec<(f64, f64)> = history.points.iter().map(point).collect();
    let x = range_of(all.iter().map(|(x, _)| *x));
    let level = |value: f64| vec![(x.start, scale.of(value)), (x.end, scale.of(value))];
    let mut series = vec![Series::marks(
        "mean of the ends, as read",
        Mark::Dot,
        inside.into_iter().map(point).collect(),
    )];
    if !out.is_empty() {
        let marks = out.into_iter().map(point).collect();
        series.push(Series::marks("outside the limits", Mark::Triangle, marks));
    }
    let mut values: Vec<f64> = all.iter().map(|(_, y)| *y).collect();
    if let Some(target) = history.target_height_mm {
        values.push(scale.of(target));
        series.push(Series::line(
            format!("target, {}", scale.say(target)),
            Dash::Dashed,
            level(target),
        ));
    }
    if let (Some(low), Some(high)) = (history.limit_low_mm, history.limit_high_mm) {
        values.extend([scale.of(low), scale.of(high)]);
        series.push(Series::line("limits of their own scatter", Dash::Dotted, level(low)));
        series.push(Series::line("", Dash::Dotted, level(high)));
    }
    let y = range_of(values);
    let chart = Chart {
        title: "Bench heights".to_owned(),
        caption: format!("{} readings", history.points.len()),
        x_label: format!("days from {}", date(Some(&first))),
        y_label: format!("height, {}", scale.unit()),
        x,
        // Room above for the legend.
        y: y.start..y.end + 0.45 * (y.end - y.start),
        series,
        legend_left: false,
        x_names: Vec::new(),
    };
    chart.draw().map(Some)
}

/// Diameters over the hours of the machine.
pub fn diameters(points: &[pb::DiameterPoint], scale: Scale) -> Result<Option<String>, Failure> {
    let known: Vec<(f64, f64, bool)> = points
        .iter()
        .filter_map(|one| {
            Some((one.machine_hours_h?, scale.of(one.diameter_mm), one.after_grinding))
        })
        .collect();
    if known.len() < 2 {
        return Ok(None);
    }
    let of = |after: bool| {
        known.iter().filter(|one| one.2 == after).map(|one| (one.0, one.1)).collect::<Vec<_>>()
    };
    let y = range_of(known.iter().map(|one| one.1));
    let chart = Chart {
        title: "Diameter".to_owned(),
        caption: format!("{} readings", known.len()),
        x_label: "machine hours, h".to_owned(),
        y_label: format!("diameter, {}", scale.unit()),
        x: range_of(known.iter().map(|one| one.0)),
        y: y.start..y.end + 0.3 * (y.end - y.start),
        series: vec![
            Series::line("", Dash::Dotted, known.iter().map(|one| (one.0, one.1)).collect()),
            Series::marks("as read", Mark::Dot, of(false)),
            Series::marks("after grinding", Mark::Ring, of(true)),
        ],
        legend_left: false,
        x_names: Vec::new(),
    };
    chart.draw().map(Some)
}
