//! One panel's plot, by `plotters`: grid, axes, ticks, bands, marks and curves. It draws in tenths of a unit,
//! since it knows whole pixels only.

use super::{
    data::{ChartError, MarkOf, Panel},
    scale::Scale,
    words::SMALL,
};
use plotters::{coord::Shift, prelude::*};
use std::iter::once;

/// Pixels of `plotters` for a unit of the drawing.
pub const FINE: f64 = 10.0;
/// Room below a plot for its ticks and their labels, units.
pub const TICK_ROOM: f64 = 22.0;
/// Size of the tick labels, units.
pub const TICK_TEXT: f64 = SMALL;
/// `plotters` divides the size it is given by this when it writes SVG.
const PLOTTERS_TEXT: f64 = 1.24;

const GRID: RGBColor = RGBColor(0xd0, 0xd0, 0xd0);
/// Thickness of a curve, units.
pub const CURVE: f64 = 1.6;

/// Thickness of the strokes that fill what lies between limits, and from one to the next, units.
pub const HATCH: f64 = 0.4;
const HATCH_PITCH: f64 = 8.0;

const SHADE: RGBColor = RGBColor(SHADE_GREY, SHADE_GREY, SHADE_GREY);
/// How light a band is, of 255.
pub const SHADE_GREY: u8 = 0xdf;

/// Units as whole pixels.
fn px(units: f64) -> i32 {
    (FINE * units).round() as i32
}

fn line(color: RGBColor, units: f64) -> ShapeStyle {
    ShapeStyle::from(&color).stroke_width(px(units).unsigned_abs())
}

/// Where a plot stands, units.
#[derive(Debug, Clone, Copy)]
pub struct Frame {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Room to the left for tick labels.
    pub label_room: f64,
}

impl Frame {
    /// The plot's right edge.
    pub fn right(&self) -> f64 {
        self.left + self.width
    }
}

/// An axis's range and the most ticks it may have.
pub type Ticked = (Scale, usize);

type Plotted<T> = Result<T, DrawingAreaErrorKind<std::io::Error>>;

/// Draws plots in a picture of that size, units; the marks without the `<svg>` round them.
pub fn plots<'p>(
    size: (f64, f64),
    x: Ticked,
    panels: impl IntoIterator<Item = (Frame, Ticked, &'p Panel)>,
) -> Result<String, ChartError> {
    let mut svg = String::new();
    let size = ((FINE * size.0) as u32, (FINE * size.1) as u32);
    let root = SVGBackend::with_string(&mut svg, size).into_drawing_area();
    let drawn: Plotted<()> =
        panels.into_iter().try_for_each(|(frame, y, panel)| plot(&root, frame, x, y, panel));
    drawn.and_then(|()| root.present()).map_err(|e| ChartError(e.to_string()))?;
    drop(root);
    // what stands between the tags of plotters' own <svg>
    let inner = svg.split_once('>').and_then(|(_, rest)| rest.rsplit_once("</svg>"));
    let inner = inner.map(|(inner, _)| inner.to_owned());
    inner.ok_or_else(|| ChartError("unexpected form of the plots".to_owned()))
}

/// Draws a panel's plot.
fn plot(
    root: &DrawingArea<SVGBackend, Shift>,
    frame: Frame,
    (x, x_most): Ticked,
    (y, y_most): Ticked,
    panel: &Panel,
) -> Plotted<()> {
    let room = frame.label_room;
    let area = root.clone().shrink(
        (px(frame.left - room), px(frame.top)),
        (px(frame.width + room), px(frame.height + TICK_ROOM)),
    );
    let mut chart = ChartBuilder::on(&area)
        .set_label_area_size(LabelAreaPosition::Left, px(room))
        .set_label_area_size(LabelAreaPosition::Bottom, px(TICK_ROOM))
        .build_cartesian_2d(x.lo..x.hi, y.lo..y.hi)?;
    for shade in &panel.bands {
        let sides = shade.points.iter().map(|p| (x.of(p.0), y.of(p.1), y.of(p.2)));
        for run in runs(sides, |p| p.0.is_finite() && p.1.is_finite() && p.2.is_finite()) {
            let low = run.iter().map(|p| (p.0, p.1));
            let outline = low.chain(run.iter().rev().map(|p| (p.0, p.2)));
            let outline: Vec<_> = outline.collect();
            chart.draw_series(once(Polygon::new(outline, SHADE.filled())))?;
        }
    }
    if let Some([low, high]) = panel.limits() {
        let [low, high] = [low, high].map(|v| y.of(v));
        let tall = frame.height * (high - low) / (y.hi - y.lo);
        let strokes = hatching(frame.width, tall).into_iter().map(|ends| {
            let at =
                |(right, up): (f64, f64)| (x.lo + right * (x.hi - x.lo), low + up * (high - low));
            PathElement::new(ends.map(at), line(BLACK, HATCH))
        });
        chart.draw_series(strokes)?;
    }
    let (x_ticks, y_ticks) = (x.ticks(x_most), y.ticks(y_most));
    chart
        .configure_mesh()
        .max_light_lines(0)
        .bold_line_style(line(GRID, 0.4))
        .axis_style(line(BLACK, 0.8))
        .set_all_tick_mark_size(px(4.0))
        // upwards, lest the text become smaller than meant
        .label_style(("sans-serif", (FINE * TICK_TEXT * PLOTTERS_TEXT).ceil() as i32))
        .x_labels(x_most)
        .y_labels(y_most)
        .x_label_formatter(&|v| Scale::label(&x_ticks, *v))
        .y_label_formatter(&|v| Scale::label(&y_ticks, *v))
        .draw()?;
    let upright = panel.verticals.iter().map(|m| (m.of, x.of(m.at)));
    let upright = upright.map(|(of, at)| (of, frame.height, [(at, y.lo), (at, y.hi)]));
    let level = panel.horizontals.iter().map(|m| (m.of, y.of(m.at)));
    let level = level.map(|(of, at)| (of, frame.width, [(x.lo, at), (x.hi, at)]));
    for (of, length, [a, b]) in upright.chain(level).filter(|(.., ends)| ends.iter().all(is_finite))
    {
        let style = line(BLACK, of.weight());
        let along = |share: f64| (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
        let strokes = strokes(of, length).into_iter();
        let strokes = strokes.map(|ends| PathElement::new(ends.map(along), style));
        chart.draw_series(strokes)?;
    }
    for curve in &panel.lines {
        let style = line(BLACK, CURVE);
        let points = curve.points.iter().map(|p| (x.of(p.0), y.of(p.1)));
        for run in runs(points, is_finite) {
            if let [dot] = run[..] {
                chart.draw_series(once(Circle::new(dot, px(2.5), BLACK.filled())))?;
            } else if let Some((dash, gap)) = curve.stroke.gaps() {
                chart.draw_series(DashedLineSeries::new(run, px(dash), px(gap), style))?;
            } else {
                chart.draw_series(LineSeries::new(run, style))?;
            }
        }
    }
    Ok(())
}

/// Where the strokes of a mark of that length begin and end, as shares of it.
fn strokes(of: MarkOf, length: f64) -> Vec<[f64; 2]> {
    let gaps = of.gaps();
    if gaps.is_empty() {
        return vec![[0.0, 1.0]];
    }
    let (mut at, mut list) = (0.0, Vec::new());
    for pair in gaps.chunks(2).cycle().take_while(|pair| pair.len() == 2) {
        list.push([at / length, ((at + pair[0]) / length).min(1.0)]);
        at += pair[0] + pair[1];
        if at >= length {
            break;
        }
    }
    list
}

/// Slanting strokes across what is so wide and so tall: where each begins and ends, as shares of both.
fn hatching(wide: f64, tall: f64) -> Vec<[(f64, f64); 2]> {
    let count = ((wide + tall) / HATCH_PITCH) as u32;
    let foot = |i| HATCH_PITCH * f64::from(i) - tall;
    let at = |foot: f64, right: f64| (right / wide, (right - foot) / tall);
    (1..=count).map(foot).map(|x| [at(x, x.max(0.0)), at(x, (x + tall).min(wide))]).collect()
}

fn is_finite(point: &(f64, f64)) -> bool {
    point.0.is_finite() && point.1.is_finite()
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
