//! Drawings as SVG: what the eye takes in faster than a table.

mod chart;

pub use chart::{Axis, Chart, ChartError, Line, Mark, Panel, Shade, Stroke, paint as paint_chart};

/// A drawing, complete in itself: it can stand in an HTML page or be a file of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// Short title.
    pub title: String,
    /// What it shows, in words, for who cannot see it.
    pub description: String,
    /// A whole `<svg>` element, well-formed XML.
    pub svg: String,
}

pub fn mains_side(
    plan: &crate::study::Plan,
    _choice: &crate::study::Choice,
    _prefix: &str,
) -> Drawing {
    Drawing {
        title: String::new(),
        description: plan.set.name.clone(),
        svg: String::new(),
    }
}
pub fn supply(s: &crate::study::SupplySketch, _prefix: &str) -> Drawing {
    Drawing {
        title: String::new(),
        description: s.rectifier.clone(),
        svg: String::new(),
    }
}
