//! Where the panels of a chart stand, and the texts round their plots.

use super::{
    super::CHART_WIDTH as WIDTH,
    data::{Chart, Mark, Panel},
    names::{BESIDE, beside, end_names},
    plot::{Frame, TICK_ROOM, TICK_TEXT, Ticked},
    scale::Scale,
    words::{PITCH, SMALL, clean, cut, named, put, width},
};
use maud::{Markup, html};

/// Blank space at the edges.
pub const EDGE: f64 = 12.0;
/// Sizes of the title and of a panel's heading.
pub const TITLE: f64 = 15.0;
const HEADING: f64 = 13.0;
/// From a panel's top to its plot, names of verticals apart.
const HEAD: f64 = 23.0;
/// Height of low plots over that of others.
const LOW: f64 = 0.55;
/// Largest share of a panel's width for the names beside its plot.
const MOST_NAMES: f64 = 0.4;
/// Height of a plot by the number of columns; with more the text would have no room.
const HEIGHTS: [f64; 3] = [210.0, 110.0, 110.0];

/// Where everything goes.
pub struct Layout<'a> {
    chart: &'a Chart,
    /// Where the panels begin.
    top: f64,
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
    pub x: Ticked,
    ys: Vec<Ticked>,
}

/// A name above a plot: centre, half width, row from below.
struct Above {
    text: String,
    x: f64,
    half: f64,
    row: usize,
}

impl<'a> Layout<'a> {
    pub fn of(chart: &'a Chart, columns: usize, top: f64) -> Layout<'a> {
        let y_ticks = match columns {
            _ if chart.low => 5,
            0 | 1 => 8,
            _ => 7,
        };
        let ys: Vec<Ticked> = chart.panels.iter().map(|p| (y_scale(p), y_ticks)).collect();
        let left = ys.iter().map(|y| label_width(*y)).fold(22.0, f64::max) + 10.0;
        let names = chart.panels.iter().flat_map(end_names);
        let named = names.map(|n| width(&clean(n), SMALL)).fold(0.0, f64::max);
        let wanted =
            if named > 0.0 { named.max(width("100 more", SMALL)) + BESIDE + 6.0 } else { 28.0 };
        // fewer columns where a panel would be mostly names
        let columns = columns.clamp(1, HEIGHTS.len()).min(chart.panels.len().max(1));
        let cell = |columns: usize| (WIDTH - 2.0 * EDGE) / columns as f64;
        let fits = |columns: &usize| wanted <= MOST_NAMES * cell(*columns);
        let columns = (1..=columns).rev().find(fits).unwrap_or(1);
        let cell = cell(columns);
        let right = wanted.min(MOST_NAMES * cell);
        let plot_width = cell - left - right;
        let xs = chart
            .panels
            .iter()
            .flat_map(|p| p.points().map(|[x, ..]| x).chain(p.verticals.iter().map(|m| m.at)));
        let x = Scale::over(xs, 0.0);
        // as many ticks as have room for their labels
        let most = (2..=11).rev().find(|most| {
            let step = match x.ticks(*most)[..] {
                [a, b, ..] => (b - a) / (x.hi - x.lo) * plot_width,
                _ => plot_width,
            };
            label_width((x, *most)) + 12.0 <= step
        });
        let plot_height = HEIGHTS[columns - 1] * if chart.low { LOW } else { 1.0 };
        let x = (x, most.unwrap_or(2));
        let mut layout = Layout {
            chart,
            top,
            columns,
            cell,
            left,
            right,
            plot_width,
            plot_height,
            rows: 0,
            x,
            ys,
        };
        let rows = chart.panels.iter().flat_map(|p| layout.above(p, 0.0));
        layout.rows = rows.map(|name| name.row + 1).max().unwrap_or(0);
        layout
    }

    /// Left edge and top of a panel's cell.
    fn corner(&self, index: usize) -> (f64, f64) {
        let (row, column) = (index / self.columns, index % self.columns);
        let height = HEAD + PITCH * self.rows as f64 + self.plot_height + TICK_ROOM;
        (EDGE + self.cell * column as f64, self.top + (height + 12.0) * row as f64)
    }

    /// Where small print begins below all panels.
    pub fn foot(&self) -> f64 {
        let rows = self.chart.panels.len().div_ceil(self.columns);
        self.corner(rows * self.columns).1 + PITCH
    }

    fn frame(&self, index: usize) -> Frame {
        let (left, top) = self.corner(index);
        Frame {
            left: left + self.left,
            top: top + HEAD + PITCH * self.rows as f64,
            width: self.plot_width,
            height: self.plot_height,
            label_room: self.left,
        }
    }

    /// All plots, each where it stands.
    pub fn plots(&self) -> impl Iterator<Item = (Frame, Ticked, &Panel)> {
        let panels = self.chart.panels.iter().zip(&self.ys).enumerate();
        panels.map(|(index, (panel, y))| (self.frame(index), *y, panel))
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
                |row: &usize| list.iter().any(|n| n.row == *row && x - half < n.x + n.half + 8.0);
            let row = (0..list.len()).find(|row| !taken(row)).unwrap_or(list.len());
            list.push(Above { text, x, half, row });
        }
        list
    }

    /// The texts of a panel: heading, names above and beside, the axis's name where it is the lowest of its column.
    pub fn texts(&self, index: usize) -> Markup {
        let Layout { chart, cell, x: (x, _), .. } = *self;
        let ((cell_left, top), frame) = (self.corner(index), self.frame(index));
        let (panel, (y, _)) = (&chart.panels[index], self.ys[index]);
        // bold letters are about a tenth wider
        let heading = named(&panel.name, &y.unit(panel.unit), 1.1 * HEADING, cell - 8.0);
        let axis = named(&chart.x.name, &x.unit(chart.x.unit), SMALL, cell - 8.0);
        let beside = beside(panel, frame, x, y, self.right - BESIDE);
        let empty = !panel.points().any(|point| point.iter().all(|v| v.is_finite()));
        let (middle, foot) = (frame.left + 0.5 * frame.width, frame.top + frame.height);
        let half = 0.5 * width(&axis, SMALL);
        let axis_x = middle.clamp(cell_left + half, cell_left + cell - half);
        html! {
            (put(cell_left, top + HEADING, "start", HEADING, &heading))
            @for name in self.above(panel, cell_left) {
                (put(name.x, frame.top - 5.0 - PITCH * name.row as f64, "middle", SMALL, &name.text))
            }
            @for name in &beside { (name.paint(frame.right())) }
            @if empty {
                (put(middle, frame.top + 0.5 * frame.height, "middle", SMALL, "no figures"))
            }
            @if index + self.columns >= chart.panels.len() {
                (put(axis_x, foot + TICK_ROOM + 12.0, "middle", SMALL, &axis))
            }
        }
    }
}

fn label_width((scale, most): Ticked) -> f64 {
    let ticks = scale.ticks(most);
    let widths = ticks.iter().map(|t| width(&Scale::label(&ticks, *t), TICK_TEXT));
    widths.fold(0.0, f64::max)
}

fn y_scale(panel: &Panel) -> Scale {
    let points = panel.points().filter(|[x, ..]| x.is_finite());
    let marks = panel.horizontals.iter().map(|m| m.at);
    Scale::over(points.flat_map(|[_, low, high]| [low, high]).chain(marks), 0.06)
}
