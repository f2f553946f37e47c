//! Charts: curves in small panels that share the x axis. Made for black ink: curves differ by their stroke and
//! are named at their ends, and nothing depends on a colour.

mod names;
mod plot;
mod scale;
mod words;

use super::Drawing;
use maud::{Markup, PreEscaped, html};
use names::{BESIDE, beside, end_names};
use plot::{FINE, Frame, TICK_ROOM, TICK_TEXT, Ticked, plot};
use plotters::drawing::IntoDrawingArea;
use plotters::prelude::SVGBackend;
use scale::Scale;
use words::{clean, cut, width, wrap};

/// A chart as data.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Title, one line; cut where it is too long.
    pub title: String,
    /// A line or two under the title: under which conditions the figures hold. May be empty.
    pub subtitle: String,
    /// What the chart shows, in words, for who cannot see it.
    pub description: String,
    /// The axis that all panels share.
    pub x: Axis,
    /// One panel for each quantity.
    pub panels: Vec<Panel>,
    /// Small print at the foot, such as a caution; never cut between words. May be empty.
    pub foot: String,
    /// True for plots of little height, where a sheet has little room.
    pub low: bool,
}

/// Height of such plots over that of others.
const LOW: f64 = 0.55;

/// An axis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    /// Name.
    pub name: String,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
}

/// A panel: one quantity against the shared axis. Values that are not finite are left out, and break a curve.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Panel {
    /// Name of the quantity.
    pub name: String,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
    /// Curves.
    pub lines: Vec<Line>,
    /// Shaded bands, behind the curves.
    pub bands: Vec<Shade>,
    /// Values of x worth a line, named above the plot.
    pub verticals: Vec<Mark>,
    /// Values of the quantity worth a line, named beside the plot.
    pub horizontals: Vec<Mark>,
}

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Name, set at the curve's end; empty where the panel's name says it.
    pub name: String,
    /// How it is drawn.
    pub stroke: Stroke,
    /// Points in their order along the curve.
    pub points: Vec<(f64, f64)>,
}

/// How a curve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// Without gaps.
    Solid,
    /// In dashes.
    Dashed,
    /// In dots.
    Dotted,
}

impl Stroke {
    /// Length of a dash and of a gap, units; `None` without gaps.
    fn gaps(self) -> Option<(f64, f64)> {
        match self {
            Stroke::Solid => None,
            Stroke::Dashed => Some((7.0, 4.0)),
            Stroke::Dotted => Some((1.6, 2.8)),
        }
    }
}

/// A band between two values.
#[derive(Debug, Clone, PartialEq)]
pub struct Shade {
    /// Name, set at the band's end.
    pub name: String,
    /// Points: x, low, high.
    pub points: Vec<(f64, f64, f64)>,
}

/// A single value.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Name.
    pub name: String,
    /// Value.
    pub at: f64,
}

/// A chart that could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the chart cannot be drawn: {0}")]
pub struct ChartError(String);

/// Width of every chart, units.
const WIDTH: f64 = 720.0;
/// Blank space at the edges.
const EDGE: f64 = 12.0;
const TITLE: f64 = 15.0;
const HEADING: f64 = 12.0;
const SMALL: f64 = 11.0;
/// From one line of small text to the next.
const PITCH: f64 = 14.0;
/// Largest share of a panel's width for the names beside its plot.
const MOST_NAMES: f64 = 0.36;
/// Most columns of panels; with more the text would have no room.
const MOST_COLUMNS: usize = 3;

/// Where everything goes that is the same for all panels.
struct Layout {
    columns: usize,
    cell: f64,
    /// From a cell's left edge to its plot.
    left: f64,
    /// From the plot's right edge to the cell's.
    right: f64,
    plot_width: f64,
    plot_height: f64,
    /// Lines of names of verticals above each plot.
    rows: usize,
    x: Ticked,
}

impl Layout {
    fn of(chart: &Chart, columns: usize, ys: &[Ticked]) -> Layout {
        let left = ys.iter().map(|y| label_width(*y)).fold(22.0, f64::max) + 10.0;
        let names = chart.panels.iter().flat_map(end_names);
        let named = names.map(|n| width(&clean(n), SMALL)).fold(0.0, f64::max);
        let wanted =
            if named > 0.0 { named.max(width("100 more", SMALL)) + BESIDE + 6.0 } else { 28.0 };
        // fewer columns where a panel would be mostly names
        let columns = columns.clamp(1, MOST_COLUMNS).min(chart.panels.len().max(1));
        let cell = |columns: usize| (WIDTH - 2.0 * EDGE) / columns as f64;
        let fits = |columns: &usize| wanted <= MOST_NAMES * cell(*columns);
        let columns = (1..=columns).rev().find(fits).unwrap_or(1);
        let cell = cell(columns);
        let right = wanted.min(MOST_NAMES * cell);
        let plot_width = cell - left - right;
        let xs = chart.panels.iter().flat_map(|p| {
            let lines = p.lines.iter().flat_map(|l| l.points.iter().map(|p| p.0));
            let bands = p.bands.iter().flat_map(|b| b.points.iter().map(|p| p.0));
            lines.chain(bands).chain(p.verticals.iter().map(|m| m.at))
        });
        let x = Scale::over(xs, 0.0);
        // as many ticks as have room for their labels
        let most = (2..=11).rev().find(|most| {
            let ticks = x.ticks(*most);
            let step = match ticks.as_slice() {
                [a, b, ..] => (b - a) / (x.hi - x.lo) * plot_width,
                _ => plot_width,
            };
            label_width((x, *most)) + 12.0 <= step
        });
        let mut layout = Layout {
            columns,
            cell,
            left,
            right,
            plot_width,
            plot_height: [210.0, 130.0, 120.0].get(columns - 1).copied().unwrap_or(120.0)
                * if chart.low { LOW } else { 1.0 },
            rows: 0,
            x: (x, most.unwrap_or(2)),
        };
        let rows = chart.panels.iter().flat_map(|p| layout.above(p, 0.0));
        layout.rows = rows.map(|name| name.row + 1).max().unwrap_or(0);
        layout
    }

    /// Height of a panel up to its tick labels.
    fn panel_height(&self) -> f64 {
        20.0 + PITCH * self.rows as f64 + self.plot_height + TICK_ROOM
    }

    /// Left edge and top of a panel's cell below `top`.
    fn corner(&self, index: usize, top: f64) -> (f64, f64) {
        let (row, column) = (index / self.columns, index % self.columns);
        (EDGE + self.cell * column as f64, top + (self.panel_height() + 12.0) * row as f64)
    }

    /// Names above a plot, in rows that keep them apart.
    fn above(&self, panel: &Panel, cell_left: f64) -> Vec<Above> {
        let mut list: Vec<Above> = Vec::new();
        let mut marks: Vec<&Mark> = panel.verticals.iter().filter(|m| m.at.is_finite()).collect();
        marks.sort_by(|a, b| a.at.total_cmp(&b.at));
        for mark in marks {
            let text = cut(&mark.name, SMALL, self.cell - 8.0);
            let half = 0.5 * width(&text, SMALL);
            if text.is_empty() {
                continue;
            }
            let x = cell_left + self.left + self.plot_width * self.x.0.share(mark.at);
            let x = x.clamp(cell_left + half, cell_left + self.cell - half);
            let taken =
                |row: usize| list.iter().any(|n| n.row == row && x - half < n.x + n.half + 8.0);
            let row = (0..list.len()).find(|row| !taken(*row)).unwrap_or(list.len());
            list.push(Above { text, x, half, row });
        }
        list
    }
}

/// A name above a plot: centre, half width, row from below.
struct Above {
    text: String,
    x: f64,
    half: f64,
    row: usize,
}

fn label_width((scale, most): Ticked) -> f64 {
    let ticks = scale.ticks(most);
    let widths = ticks.iter().map(|t| width(&Scale::label(&ticks, *t), TICK_TEXT));
    widths.fold(0.0, f64::max)
}

fn y_scale(panel: &Panel) -> Scale {
    let lines = panel.lines.iter().flat_map(|l| l.points.iter());
    let bands = panel.bands.iter().flat_map(|b| b.points.iter());
    let values = lines
        .filter(|p| p.0.is_finite())
        .map(|p| p.1)
        .chain(bands.filter(|p| p.0.is_finite()).flat_map(|p| [p.1, p.2]))
        .chain(panel.horizontals.iter().map(|m| m.at));
    Scale::over(values, 0.06)
}

/// Whether a panel has any point of a curve or band.
fn drawable(panel: &Panel) -> bool {
    let lines = panel.lines.iter().flat_map(|l| l.points.iter().map(|p| p.0 + p.1));
    let bands = panel.bands.iter().flat_map(|b| b.points.iter().map(|p| p.0 + p.1 + p.2));
    lines.chain(bands).any(f64::is_finite)
}

/// Paints a chart as a black-and-white SVG, 720 units wide, its panels in 1 to 3 `columns`, or fewer where
/// the names at the curves' ends need the room. `prefix` begins the ids within, so that several drawings can
/// stand in one page.
///
/// # Errors
/// The drawing library refuses; not known to happen.
pub fn paint(chart: &Chart, columns: usize, prefix: &str) -> Result<Drawing, ChartError> {
    let height_of_plots = match columns {
        _ if chart.low => 5,
        0 | 1 => 8,
        _ => 7,
    };
    let ys: Vec<Ticked> = chart.panels.iter().map(|p| (y_scale(p), height_of_plots)).collect();
    let layout = Layout::of(chart, columns, &ys);
    // bold letters are about a tenth wider
    let title = cut(&chart.title, TITLE, (WIDTH - 2.0 * EDGE) / 1.1);
    let under = wrap(&chart.subtitle, SMALL, WIDTH - 2.0 * EDGE);
    let foot = wrap(&chart.foot, SMALL, WIDTH - 2.0 * EDGE);

    let head = if title.is_empty() { 0.0 } else { EDGE + TITLE + 4.0 };
    let first = head
        + PITCH * under.len() as f64
        + if title.is_empty() && under.is_empty() { 2.0 } else { 12.0 };
    let grid = chart.panels.len().div_ceil(layout.columns);
    let under_panels = layout.corner(grid * layout.columns, first).1 + PITCH;
    let height = if foot.is_empty() {
        under_panels
    } else {
        under_panels + PITCH * foot.len() as f64 + EDGE
    }
    .ceil();

    let mut svg = String::new();
    let mut texts: Vec<Markup> = Vec::new();
    {
        let size = (FINE * WIDTH, FINE * height);
        let root =
            SVGBackend::with_string(&mut svg, (size.0 as u32, size.1 as u32)).into_drawing_area();
        for (index, (panel, y)) in chart.panels.iter().zip(&ys).enumerate() {
            let (cell_left, top) = layout.corner(index, first);
            let frame = Frame {
                left: cell_left + layout.left,
                top: top + 20.0 + PITCH * layout.rows as f64,
                width: layout.plot_width,
                height: layout.plot_height,
                label_room: layout.left,
            };
            plot(&root, frame, layout.x, *y, panel)?;
            let lowest = index + layout.columns >= chart.panels.len();
            texts.push(panel_texts(chart, panel, &layout, y.0, frame, (cell_left, top), lowest));
        }
        root.present().map_err(|e| ChartError(e.to_string()))?;
    }
    // what stands between the tags of plotters' own <svg>
    let inner = svg
        .split_once('>')
        .and_then(|(_, rest)| rest.rsplit_once("</svg>"))
        .map(|(inner, _)| inner)
        .ok_or_else(|| ChartError("unexpected form of the plots".to_owned()))?;

    let (title_id, description_id) = (format!("{prefix}-title"), format!("{prefix}-description"));
    let (name, description) = (clean(&chart.title), clean(&chart.description));
    let markup = html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {height}")) class="chart" role="img"
            aria-labelledby=(format!("{title_id} {description_id}")) {
            title id=(title_id) { (name) }
            desc id=(description_id) { (description) }
            rect width=(WIDTH) height=(height) fill="#fff" {}
            g transform=(format!("scale({})", 1.0 / FINE)) stroke-linejoin="round" { (PreEscaped(inner)) }
            g font-family="sans-serif" fill="#000" {
                (put(EDGE, EDGE + TITLE, "start", TITLE, &title))
                @for (i, line) in under.iter().enumerate() {
                    (put(EDGE, head + PITCH * (i + 1) as f64, "start", SMALL, line))
                }
                @for panel in &texts { (panel) }
                @for (i, line) in foot.iter().enumerate() {
                    (put(EDGE, under_panels + PITCH * (i + 1) as f64, "start", SMALL, line))
                }
            }
        }
    };
    Ok(Drawing { title: name, titled: true, description, svg: markup.into_string() })
}

/// A text on its baseline, bold where it is larger than small print; nothing where it is empty.
fn put(x: f64, y: f64, anchor: &str, size: f64, text: &str) -> Markup {
    let weight = (size > SMALL).then_some("bold");
    html! {
        @if !text.is_empty() {
            text x=(one(x)) y=(one(y)) text-anchor=(anchor) font-size=(size) font-weight=[weight] { (text) }
        }
    }
}

/// A coordinate to a tenth.
fn one(v: f64) -> String {
    format!("{v:.1}")
}

/// The texts of a panel: heading, names above and beside, the axis's name where it is the lowest of its column.
fn panel_texts(
    chart: &Chart,
    panel: &Panel,
    layout: &Layout,
    y: Scale,
    frame: Frame,
    (cell_left, top): (f64, f64),
    lowest: bool,
) -> Markup {
    // bold letters are about a tenth wider
    let heading = named(&panel.name, &y.unit(panel.unit), 1.1 * HEADING, layout.cell - 8.0);
    let axis = named(&chart.x.name, &layout.x.0.unit(chart.x.unit), SMALL, layout.cell - 8.0);
    let right = frame.left + frame.width;
    let beside = beside(panel, frame, layout.x.0, y, layout.right - BESIDE);
    let empty = !drawable(panel);
    let middle = frame.left + 0.5 * frame.width;
    let half = 0.5 * width(&axis, SMALL);
    let axis_x = middle.clamp(cell_left + half, cell_left + layout.cell - half);
    html! {
        (put(cell_left, top + HEADING, "start", HEADING, &heading))
        @for name in layout.above(panel, cell_left) {
            (put(name.x, frame.top - 5.0 - PITCH * name.row as f64, "middle", SMALL, &name.text))
        }
        @for name in &beside { (name.paint(right)) }
        @if empty {
            (put(middle, frame.top + 0.5 * frame.height, "middle", SMALL, "no figures"))
        }
        @if lowest {
            (put(axis_x, frame.top + frame.height + TICK_ROOM + 12.0, "middle", SMALL, &axis))
        }
    }
}

/// A name with its unit, the name cut where both do not fit.
fn named(name: &str, unit: &str, size: f64, room: f64) -> String {
    if unit.is_empty() {
        return cut(name, size, room);
    }
    if clean(name).is_empty() {
        return unit.to_owned();
    }
    let tail = format!(", {unit}");
    cut(name, size, room - width(&tail, size)) + &tail
}
