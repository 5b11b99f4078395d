//! How wide does each blade stand at each station, and how does that compare with the gap wanted?

use sward_core::pb;

use super::Scale;
use super::chart::{Chart, DASHES, Dash, MARKS, Series, range_of};
use super::sheet::{Anchor, Sample, Sheet};
use crate::call::Failure;

pub fn draw(
    asked: &pb::PaperMapRequest,
    reply: &pb::PaperMapResponse,
    scale: Scale,
) -> Result<Option<String>, Failure> {
    let (Some(_), false) = (reply.mean_gap_mm, asked.gap_mm.is_empty()) else { return Ok(None) };
    if asked.gap_mm.iter().all(|reading| reading.gap_mm.is_some()) {
        profile(asked, reply, scale).map(Some)
    } else {
        Ok(Some(grid(asked, reply, scale)))
    }
}

/// Names in the order first read.
fn names(all: impl Iterator<Item = String>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in all {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

fn verdict(action: pb::PaperAction) -> &'static str {
    match action {
        pb::PaperAction::Unspecified => "not known yet",
        pb::PaperAction::None => "leave it: the setting is right",
        pb::PaperAction::Adjust => "turn the end adjusters",
        pb::PaperAction::GrindReel => "grind the reel",
        pb::PaperAction::GrindBedknife => "grind or reseat the bedknife",
        pb::PaperAction::CheckBearings => "look at the reel bearings first",
        pb::PaperAction::Sharpen => "sharpen: even and close, and does not cut",
    }
}

/// The first sentence of the answer, which is what fits on a line.
fn caption(reply: &pb::PaperMapResponse, scale: Scale) -> String {
    let first = reply.answer.split(". ").next().unwrap_or_default();
    scale.sentence(first.trim_end_matches('.'))
}

/// A line for each blade along the bedknife.
fn profile(
    asked: &pb::PaperMapRequest,
    reply: &pb::PaperMapResponse,
    scale: Scale,
) -> Result<String, Failure> {
    let stations = names(asked.gap_mm.iter().map(|row| row.station.clone()));
    let blades = names(asked.gap_mm.iter().map(|row| row.blade.clone()));
    let place = |row: &pb::GapReading| stations.iter().position(|name| *name == row.station);
    let positions = || asked.gap_mm.iter().filter_map(|row| row.station_position_mm);
    let measured = positions().next().is_some();
    let x_of = |row: &pb::GapReading| match (measured, place(row)) {
        (true, at) => asked
            .gap_mm
            .iter()
            .filter(|other| at.is_some() && place(other) == at)
            .find_map(|other| other.station_position_mm)
            .map(|position| scale.of(position)),
        (false, at) => at.map(|at| at as f64),
    };
    let mut series: Vec<Series> = Vec::new();
    for (number, blade) in blades.iter().enumerate() {
        let rows = asked.gap_mm.iter().filter(|row| row.blade == *blade);
        let mut points: Vec<(f64, f64)> =
            rows.filter_map(|row| Some((x_of(row)?, scale.of(row.gap_mm?)))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        series.push(Series {
            name: format!("blade {}", blade.trim_start_matches("blade_")),
            points,
            line: Some(DASHES[number / MARKS.len() % DASHES.len()]),
            mark: Some(MARKS[number % MARKS.len()]),
        });
    }
    let all = || series.iter().flat_map(|one| &one.points);
    let x = range_of(all().map(|(x, _)| *x));
    let target = scale.of(asked.target_gap_mm.unwrap_or(USUAL_GAP_MM));
    let top = range_of(all().map(|(_, y)| *y).chain([0.0, target])).end;
    // Room at the right for the legend.
    let x = x.start..x.end + 0.35 * (x.end - x.start);
    let level = vec![(x.start, target), (x.end, target)];
    let name = format!("gap wanted, {}", scale.say(asked.target_gap_mm.unwrap_or(USUAL_GAP_MM)));
    series.push(Series::line(name, Dash::Dotted, level));
    let x_names = match measured {
        true => Vec::new(),
        false => (0..).zip(&stations).map(|(at, name)| (f64::from(at), name.clone())).collect(),
    };
    let chart = Chart {
        title: format!("Gap between reel and bedknife: {}", verdict(reply.action())),
        caption: caption(reply, scale),
        x_label: match measured {
            true => format!("distance from the left end, {}", scale.unit()),
            false => "station along the bedknife".to_owned(),
        },
        y_label: format!("gap, {}", scale.unit()),
        x,
        y: 0.0..top,
        series,
        legend_left: false,
        x_names,
    };
    chart.draw()
}

/// The gap aimed for when none is named; the reply's advice says so too.
const USUAL_GAP_MM: f64 = 0.05;

/// What the strip did, blade by station.
fn grid(asked: &pb::PaperMapRequest, reply: &pb::PaperMapResponse, scale: Scale) -> String {
    let stations = names(asked.gap_mm.iter().map(|row| row.station.clone()));
    let blades = names(asked.gap_mm.iter().map(|row| row.blade.clone()));
    let (wide, high) = (120.0, 38.0);
    let width = (180.0 + wide * stations.len() as f64).max(760.0);
    let height = 200.0 + high * blades.len() as f64;
    let title = format!("Strip readings: {}", verdict(reply.action()));
    let mut sheet = Sheet::new(width, height, &title, &caption(reply, scale));
    let corner = |column: usize, row: usize| {
        (150.0 + wide * column as f64, 110.0 + high * row as f64)
    };
    for (column, station) in stations.iter().enumerate() {
        let (x, y) = corner(column, 0);
        sheet.words((x + wide / 2.0, y - 12.0), Anchor::Middle, 15, station);
    }
    for (row, blade) in blades.iter().enumerate() {
        let (x, y) = corner(0, row);
        let name = format!("blade {}", blade.trim_start_matches("blade_"));
        sheet.words((x - 14.0, y + 24.0), Anchor::End, 15, &name);
    }
    for reading in &asked.gap_mm {
        let column = stations.iter().position(|name| *name == reading.station).unwrap_or(0);
        let row = blades.iter().position(|name| *name == reading.blade).unwrap_or(0);
        let (x, y) = corner(column, row);
        let clean = reading.strip() == pb::StripResult::Cuts;
        let frame = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)];
        sheet.shape(&frame, false);
        if !clean {
            // Hatched along the foot alone, so that the word stays easy to read.
            let foot = [(x, y + 28.0), (x + wide, y + 28.0), (x + wide, y + high), (x, y + high)];
            sheet.shape(&foot, true);
        }
        let word = strip_word(reading.strip());
        sheet.words((x + wide / 2.0, y + 20.0), Anchor::Middle, 15, word);
    }
    sheet.legend(&[(Sample::Hatch, "does not cut cleanly there")]);
    sheet.finish()
}

fn strip_word(strip: pb::StripResult) -> &'static str {
    match strip {
        pb::StripResult::Unspecified => "-",
        pb::StripResult::Cuts => "cuts",
        pb::StripResult::Folds => "folds",
        pb::StripResult::Grips => "grips",
        pb::StripResult::Free => "free",
    }
}
