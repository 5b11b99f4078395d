//! Lines and marks over two axes, with a legend. Series differ by dash and mark, so that a chart
//! printed in black and white loses nothing.

use std::ops::Range;

use plotters::backend::SVGBackend;
use plotters::chart::{ChartBuilder, ChartContext, SeriesLabelPosition};
use plotters::coord::Shift;
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::types::RangedCoordf64;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{
    Circle, Cross, Drawable, DynElement, IntoDynElement, PointCollection, TriangleMarker,
};
use plotters::series::{DashedLineSeries, LineSeries};
use plotters::style::{BLACK, Color, IntoFont, RGBColor, ShapeStyle, WHITE};
use plotters_backend::{DrawingBackend, DrawingErrorKind};
use sward_core::domain::units::plain;

use crate::call::Failure;

const SIZE: (u32, u32) = (900, 560);
const LEGEND_WIDTH: i32 = 32;
const GRID: RGBColor = RGBColor(225, 225, 225);

pub struct Chart {
    pub title: String,
    /// Told under the title.
    pub caption: String,
    pub x_label: String,
    pub y_label: String,
    pub x: Range<f64>,
    pub y: Range<f64>,
    pub series: Vec<Series>,
    /// The legend stands at the upper left, where lines that rise leave room.
    pub legend_left: bool,
    /// Names of places along x, in place of numbers.
    pub x_names: Vec<(f64, String)>,
}

pub struct Series {
    pub name: String,
    pub points: Vec<(f64, f64)>,
    pub line: Option<Dash>,
    pub mark: Option<Mark>,
}

#[derive(Clone, Copy)]
pub enum Dash {
    Solid,
    Dashed,
    Dotted,
}

#[derive(Clone, Copy)]
pub enum Mark {
    Dot,
    Ring,
    Cross,
    Triangle,
}

pub const DASHES: [Dash; 3] = [Dash::Solid, Dash::Dashed, Dash::Dotted];
pub const MARKS: [Mark; 4] = [Mark::Dot, Mark::Ring, Mark::Cross, Mark::Triangle];

impl Series {
    pub fn line(name: impl Into<String>, dash: Dash, points: Vec<(f64, f64)>) -> Series {
        Series { name: name.into(), points, line: Some(dash), mark: None }
    }

    pub fn marks(name: impl Into<String>, mark: Mark, points: Vec<(f64, f64)>) -> Series {
        Series { name: name.into(), points, line: None, mark: Some(mark) }
    }
}

/// A range that holds all the values with some room at both ends.
pub fn range_of(values: impl IntoIterator<Item = f64>) -> Range<f64> {
    let (low, high) = values
        .into_iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    if !(low.is_finite() && high.is_finite()) {
        return 0.0..1.0;
    }
    let room = if high > low { 0.12 * (high - low) } else { 0.1 * high.abs().max(1e-3) };
    low - room..high + room
}

impl Chart {
    pub fn draw(&self) -> Result<String, Failure> {
        let mut text = String::new();
        let area = SVGBackend::with_string(&mut text, SIZE).into_drawing_area();
        self.draw_on(&area)
            .and_then(|()| area.present().map_err(|error| error.to_string()))
            .map_err(|error| Failure::new(70, format!("cannot draw: {error}"), ""))?;
        drop(area);
        Ok(text)
    }

    fn draw_on(&self, area: &DrawingArea<SVGBackend<'_>, Shift>) -> Result<(), String> {
        let fault = |error: &dyn std::fmt::Display| error.to_string();
        area.fill(&WHITE).map_err(|error| fault(&error))?;
        let area = area
            .margin(10, 0, 0, 0)
            .titled(&self.title, ("sans-serif", 22).into_font())
            .and_then(|area| area.titled(&self.caption, ("sans-serif", 15).into_font()))
            .map_err(|error| fault(&error))?;
        let mut chart = ChartBuilder::on(&area)
            .margin(14)
            .x_label_area_size(46)
            .y_label_area_size(70)
            .build_cartesian_2d(self.x.clone(), self.y.clone())
            .map_err(|error| fault(&error))?;
        let x_text = |x: &f64| match self.x_names.is_empty() {
            true => plain(*x),
            false => self.name_at(*x),
        };
        let mut mesh = chart.configure_mesh();
        mesh.x_desc(&self.x_label)
            .y_desc(&self.y_label)
            .x_label_formatter(&x_text)
            .y_label_formatter(&|y| plain(*y))
            .label_style(("sans-serif", 14))
            .axis_desc_style(("sans-serif", 16))
            .light_line_style(WHITE)
            .bold_line_style(GRID);
        if !self.x_names.is_empty() {
            // Names stand at their own places, so the grid keeps to whole steps between them.
            mesh.x_labels(2 * self.x_names.len() + 1);
        }
        mesh.draw().map_err(|error| fault(&error))?;
        for series in &self.series {
            plot(&mut chart, series)?;
        }
        chart
            .configure_series_labels()
            .position(match self.legend_left {
                true => SeriesLabelPosition::UpperLeft,
                false => SeriesLabelPosition::UpperRight,
            })
            .margin(12)
            .legend_area_size(40)
            .background_style(WHITE.filled())
            .border_style(BLACK)
            .label_font(("sans-serif", 14))
            .draw()
            .map_err(|error| fault(&error))
    }

    fn name_at(&self, x: f64) -> String {
        let close = self.x_names.iter().find(|(at, _)| (at - x).abs() < 1e-6);
        close.map_or_else(String::new, |(_, name)| name.clone())
    }
}

type Axes<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

fn plot<'a, 'b: 'a>(chart: &mut Axes<'a, 'b>, series: &Series) -> Result<(), String> {
    let pen: ShapeStyle = BLACK.stroke_width(2);
    let (line, mark) = (series.line, series.mark);
    let fault = |error: &dyn std::fmt::Display| error.to_string();
    let points = series.points.iter().copied();
    let drawn = match line {
        Some(Dash::Solid) => chart.draw_series(LineSeries::new(points, pen)),
        Some(Dash::Dashed) => chart.draw_series(DashedLineSeries::new(points, 9, 6, pen)),
        Some(Dash::Dotted) => chart.draw_series(DashedLineSeries::new(points, 2, 5, pen)),
        None => chart.draw_series(points.filter_map(|at| mark.map(|mark| marker(mark, at)))),
    };
    let annotation = drawn.map_err(|error| fault(&error))?;
    if !series.name.is_empty() {
        annotation.label(&series.name).legend(move |at| Legend { at, line, mark });
    }
    if line.is_some() && let Some(mark) = mark {
        let marks = series.points.iter().map(|at| marker(mark, *at));
        chart.draw_series(marks).map_err(|error| fault(&error))?;
    }
    Ok(())
}

fn marker<'a, C: Clone + 'static>(mark: Mark, at: C) -> DynElement<'static, SVGBackend<'a>, C> {
    match mark {
        Mark::Dot => Circle::new(at, 5, BLACK.filled()).into_dyn(),
        Mark::Ring => Circle::new(at, 6, BLACK.stroke_width(2)).into_dyn(),
        Mark::Cross => Cross::new(at, 6, BLACK.stroke_width(2)).into_dyn(),
        Mark::Triangle => TriangleMarker::new(at, 7, BLACK.filled()).into_dyn(),
    }
}

/// The sample before a name in the legend: the line, the mark, or the mark on its line.
struct Legend {
    at: (i32, i32),
    line: Option<Dash>,
    mark: Option<Mark>,
}

impl<'a> PointCollection<'a, (i32, i32)> for &'a Legend {
    type Point = &'a (i32, i32);
    type IntoIter = std::iter::Once<&'a (i32, i32)>;

    fn point_iter(self) -> Self::IntoIter {
        std::iter::once(&self.at)
    }
}

impl<B: DrawingBackend> Drawable<B> for Legend {
    fn draw<I: Iterator<Item = (i32, i32)>>(
        &self,
        mut places: I,
        backend: &mut B,
        _parent: (u32, u32),
    ) -> Result<(), DrawingErrorKind<B::ErrorType>> {
        let Some((x, y)) = places.next() else { return Ok(()) };
        let pen: ShapeStyle = BLACK.stroke_width(2);
        let stroke = |backend: &mut B, from: (i32, i32), to: (i32, i32)| {
            backend.draw_line((x + from.0, y + from.1), (x + to.0, y + to.1), &pen)
        };
        let (dash, gap) = match self.line {
            None => (0, LEGEND_WIDTH + 1),
            Some(Dash::Solid) => (LEGEND_WIDTH, 1),
            Some(Dash::Dashed) => (9, 6),
            Some(Dash::Dotted) => (2, 5),
        };
        let mut from = 0;
        while dash > 0 && from < LEGEND_WIDTH {
            stroke(backend, (from, 0), ((from + dash).min(LEGEND_WIDTH), 0))?;
            from += dash + gap;
        }
        let middle = (x + LEGEND_WIDTH / 2, y);
        match self.mark {
            None => Ok(()),
            Some(Mark::Dot) => backend.draw_circle(middle, 5, &BLACK, true),
            Some(Mark::Ring) => backend.draw_circle(middle, 6, &pen, false),
            Some(Mark::Cross) => {
                let (left, right) = (LEGEND_WIDTH / 2 - 6, LEGEND_WIDTH / 2 + 6);
                stroke(backend, (left, -6), (right, 6))?;
                stroke(backend, (left, 6), (right, -6))
            }
            Some(Mark::Triangle) => {
                let corners = [(0, -7), (6, 4), (-6, 4)];
                let corners = corners.map(|(dx, dy)| (middle.0 + dx, middle.1 + dy));
                backend.fill_polygon(corners, &BLACK)
            }
        }
    }
}
