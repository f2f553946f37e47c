//! Drawings as SVG: what the eye takes in faster than a table.
//!
//! A wire carries `data-net`, a symbol `data-part` and `data-pins`, so that a test (or a reader's script) can follow
//! the connections. Sizes suit print: a circuit of 648 units is shown at 162 mm, one of 416 at 104 mm, a chart of 720 at 180 mm;
//! type of 12 units then has 8.5 points.

mod bench;
mod chart;
mod divider;
mod frame;
mod mains;
mod mains_branches;
mod mains_part;
mod mains_place;
mod mains_set;
mod mains_string;
mod pen;
mod source;
mod supply;
mod symbol;
mod text;
mod values;

pub use bench::{Bench, bench};
pub use mains::mains_side;
pub use supply::supply;

/// Width of a circuit, units of its viewBox.
const WIDTH: f64 = 648.0;
/// Width of a chart.
const CHART_WIDTH: f64 = 720.0;

pub use chart::{
    Axis, Chart, ChartError, Line, Mark, MarkOf, Panel, Shade, Stroke, paint as paint_chart,
};

/// A drawing, complete in itself: it can stand in an HTML page or be a file of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// Short title; user text in it is as it was written.
    pub title: String,
    /// True if the title is written in the drawing itself.
    pub titled: bool,
    /// What it shows, in words, for who cannot see it.
    pub description: String,
    /// A whole `<svg>` element, well-formed XML.
    pub svg: String,
}
