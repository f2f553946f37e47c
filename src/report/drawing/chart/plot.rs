//! One panel's plot, by `plotters`: grid, axes, ticks, bands, marks and curves. It draws in tenths of a unit,
//! since it knows whole pixels only.

use super::scale::Scale;
use super::{ChartError, Panel};
use plotters::coord::Shift;
use plotters::prelude::*;

/// Pixels of `plotters` for a unit of the drawing.
pub(super) const FINE: f64 = 10.0;
/// Room below a plot for its ticks and their labels, units.
pub(super) const TICK_ROOM: f64 = 22.0;
/// Size of the tick labels, units.
pub(super) const TICK_TEXT: f64 = 11.0;
/// `plotters` divides the size it is given by this when it writes SVG.
const PLOTTERS_TEXT: f64 = 1.24;

const GRID: RGBColor = RGBColor(0xd0, 0xd0, 0xd0);
/// Thickness of a curve and of a mark, units.
pub(super) const CURVE: f64 = 1.6;
pub(super) const MARK: f64 = 0.5;

const SHADE: RGBColor = RGBColor(SHADE_GREY, SHADE_GREY, SHADE_GREY);
/// How light a band is, of 255.
pub(super) const SHADE_GREY: u8 = 0xdf;

/// Units as whole pixels.
fn px(units: f64) -> i32 {
    (FINE * units).round() as i32
}

fn line(color: RGBColor, units: f64) -> ShapeStyle {
    ShapeStyle::from(&color).stroke_width(px(units).unsigned_abs())
}

/// Where a plot stands, units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Room to the left for tick labels.
    pub label_room: f64,
}

/// An axis's range and the most ticks it may have.
pub(super) type Ticked = (Scale, usize);

/// Draws a panel's plot.
pub(super) fn plot(
    root: &DrawingArea<SVGBackend, Shift>,
    frame: Frame,
    (x, x_most): Ticked,
    (y, y_most): Ticked,
    panel: &Panel,
) -> Result<(), ChartError> {
    let told = |e: DrawingAreaErrorKind<std::io::Error>| ChartError(e.to_string());
    let room = frame.label_room;
    let area = root.clone().shrink(
        (px(frame.left - room), px(frame.top)),
        (px(frame.width + room), px(frame.height + TICK_ROOM)),
    );
    let mut chart = ChartBuilder::on(&area)
        .set_label_area_size(LabelAreaPosition::Left, px(room))
        .set_label_area_size(LabelAreaPosition::Bottom, px(TICK_ROOM))
        .build_cartesian_2d(x.lo..x.hi, y.lo..y.hi)
        .map_err(told)?;
    for shade in &panel.bands {
        let sides = shade.points.iter().map(|p| (x.of(p.0), y.of(p.1), y.of(p.2)));
        for run in runs(sides, |p| p.0.is_finite() && p.1.is_finite() && p.2.is_finite()) {
            let low = run.iter().map(|p| (p.0, p.1));
            let high = run.iter().rev().map(|p| (p.0, p.2));
            let outline: Vec<_> = low.chain(high).collect();
            chart
                .draw_series(std::iter::once(Polygon::new(outline, SHADE.filled())))
                .map_err(told)?;
        }
    }
    let (x_ticks, y_ticks) = (x.ticks(x_most), y.ticks(y_most));
    // upwards, lest the text become smaller than meant
    let text = ("sans-serif", (FINE * TICK_TEXT * PLOTTERS_TEXT).ceil() as i32);
    chart
        .configure_mesh()
        .max_light_lines(0)
        .bold_line_style(line(GRID, 0.4))
        .axis_style(line(BLACK, 0.8))
        .set_all_tick_mark_size(px(4.0))
        .label_style(text)
        .x_labels(x_most)
        .y_labels(y_most)
        .x_label_formatter(&|v| Scale::label(&x_ticks, *v))
        .y_label_formatter(&|v| Scale::label(&y_ticks, *v))
        .draw()
        .map_err(told)?;
    let upright = panel.verticals.iter().map(|m| {
        let at = x.of(m.at);
        [(at, y.lo), (at, y.hi)]
    });
    let level = panel.horizontals.iter().map(|m| {
        let at = y.of(m.at);
        [(x.lo, at), (x.hi, at)]
    });
    let marks =
        upright.chain(level).filter(|ends| ends.iter().all(|p| p.0.is_finite() && p.1.is_finite()));
    chart.draw_series(marks.map(|ends| PathElement::new(ends, line(BLACK, MARK)))).map_err(told)?;
    for curve in &panel.lines {
        let style = line(BLACK, CURVE);
        let points = curve.points.iter().map(|p| (x.of(p.0), y.of(p.1)));
        for run in runs(points, |p| p.0.is_finite() && p.1.is_finite()) {
            let drawn = match run.as_slice() {
                [one] => {
                    let dot = Circle::new(*one, px(2.5), BLACK.filled());
                    chart.draw_series(std::iter::once(dot)).map(|_| ())
                }
                _ => match curve.stroke.gaps() {
                    None => chart.draw_series(LineSeries::new(run, style)).map(|_| ()),
                    Some((dash, gap)) => chart
                        .draw_series(DashedLineSeries::new(run, px(dash), px(gap), style))
                        .map(|_| ()),
                },
            };
            drawn.map_err(told)?;
        }
    }
    Ok(())
}

/// Stretches of points that can be drawn, broken where one cannot.
fn runs<T: Copy>(points: impl Iterator<Item = T>, sound: impl Fn(&T) -> bool) -> Vec<Vec<T>> {
    let mut list = vec![Vec::new()];
    for point in points {
        if !sound(&point) {
            list.push(Vec::new());
        } else if let Some(last) = list.last_mut() {
            last.push(point);
        }
    }
    list.retain(|run| !run.is_empty());
    list
}
