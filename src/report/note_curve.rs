//! The curve of a note: heaters and B+ against the line, before and after.

use super::drawing::{
    Axis, Chart, ChartError, Drawing, Line, Mark, Panel, Shade, Stroke, paint_chart,
};
use super::figures::volts;
use crate::study::Note;

/// Draws it.
///
/// # Errors
/// Data that cannot be drawn.
pub(super) fn figure(note: &Note) -> Result<Drawing, ChartError> {
    let (curve, outlet) = (&note.curve, note.plan.outlet);
    let pairs = |values: &[f64]| -> Vec<(f64, f64)> {
        curve.line_v.iter().copied().zip(values.iter().copied()).collect()
    };
    let line = |name: &str, stroke: Stroke, values: &[f64]| Line {
        name: name.to_owned(),
        stroke,
        points: pairs(values),
    };
    let changed = note.choice != 0;
    let panel = |name: &str, before: &[f64], after: &[f64], spread: f64, horizontals: Vec<Mark>| {
        let mut lines = vec![line(if changed { "now" } else { "" }, Stroke::Solid, after)];
        if changed {
            lines.push(line("before", Stroke::Dashed, before));
        }
        let band =
            pairs(after).into_iter().map(|(x, y)| (x, y * (1.0 - spread), y * (1.0 + spread)));
        Panel {
            name: name.to_owned(),
            unit: "V",
            lines,
            bands: vec![Shade { name: String::new(), points: band.collect() }],
            verticals: vec![
                mark("low", outlet.low_v),
                mark("usual", outlet.usual_v),
                mark("high", outlet.high_v),
            ],
            horizontals,
        }
    };
    let rated = curve.heater_rated_v;
    let limits = vec![mark("+10 %", 1.1 * rated), mark("rated", rated), mark("−10 %", 0.9 * rated)];
    let heaters = panel(
        "heaters, RMS",
        &curve.heater_before_v,
        &curve.heater_after_v,
        curve.heater_spread,
        limits,
    );
    let b_plus = panel(
        "B+, DC",
        &curve.b_plus_before_v,
        &curve.b_plus_after_v,
        curve.b_plus_spread,
        Vec::new(),
    );
    let chart = Chart {
        low: false,
        title: String::new(),
        subtitle: String::new(),
        description: described(note),
        x: Axis { name: "outlet, RMS".to_owned(), unit: "V" },
        panels: vec![heaters, b_plus],
        foot: String::new(),
    };
    let drawing = paint_chart(&chart, 2, "curve")?;
    Ok(Drawing {
        title: "Heaters and B+ against the line (shaded: where a sound set may lie)".to_owned(),
        titled: false,
        ..drawing
    })
}

fn mark(name: &str, at: f64) -> Mark {
    Mark { name: name.to_owned(), at }
}

/// The curve in words: its ends.
fn described(note: &Note) -> String {
    let curve = &note.curve;
    let ends = |values: &[f64]| match (values.first(), values.last()) {
        (Some(first), Some(last)) => format!("{} to {}", volts(*first), volts(*last)),
        _ => String::new(),
    };
    let mut text = format!(
        "Against {} of line: heaters {}, B+ {}",
        ends(&curve.line_v),
        ends(&curve.heater_after_v),
        ends(&curve.b_plus_after_v)
    );
    if note.choice != 0 {
        text += &format!(
            "; before, heaters {}, B+ {}",
            ends(&curve.heater_before_v),
            ends(&curve.b_plus_before_v)
        );
    }
    text + "."
}
