//! The curve of a note: heaters and B+ against the line, before and after.

use super::{
    drawing::{Axis, Chart, ChartError, Drawing, Line, Mark, Panel, Shade, Stroke, paint_chart},
    figures::volts,
};
use crate::study::Note;

/// Draws it.
///
/// # Errors
/// Data that cannot be drawn.
pub fn figure(note: &Note) -> Result<Drawing, ChartError> {
    let (curve, outlet) = (&note.curve, note.plan.outlet);
    let mark = |name: &str, at| Mark { name: name.to_owned(), at };
    let line = |name: &str, stroke, values: &[f64]| {
        let points = curve.line_v.iter().copied().zip(values.iter().copied());
        Line { name: name.to_owned(), stroke, points: points.collect() }
    };
    let rated = curve.heater_rated_v;
    let limits = vec![mark("+10 %", 1.1 * rated), mark("rated", rated), mark("−10 %", 0.9 * rated)];
    let c = curve;
    let panels = [
        ("heaters, RMS", &c.heater_before_v, &c.heater_after_v, c.heater_spread, limits),
        ("B+, DC", &c.b_plus_before_v, &c.b_plus_after_v, c.b_plus_spread, Vec::new()),
    ];
    let panels = panels.map(|(name, before, after, spread, horizontals)| {
        let now = line("with the part", Stroke::Solid, after);
        let band = now.points.iter().map(|(x, y)| (*x, y * (1.0 - spread), y * (1.0 + spread)));
        Panel {
            name: name.to_owned(),
            unit: "V",
            bands: vec![Shade { name: String::new(), points: band.collect() }],
            lines: vec![now, line("before", Stroke::Dashed, before)],
            verticals: vec![
                mark("low", outlet.low_v),
                mark("usual", outlet.usual_v),
                mark("high", outlet.high_v),
            ],
            horizontals,
        }
    });
    let chart = Chart {
        low: false,
        title: String::new(),
        subtitle: String::new(),
        description: described(note),
        x: Axis { name: "outlet, RMS".to_owned(), unit: "V" },
        panels: panels.into(),
        foot: String::new(),
    };
    Ok(Drawing {
        title: "Heaters and B+ against the line (shaded: where a sound set may lie)".to_owned(),
        titled: false,
        ..paint_chart(&chart, 2, "curve")?
    })
}

/// The curve in words: its ends.
fn described(note: &Note) -> String {
    let curve = &note.curve;
    let ends = |values: &[f64]| match values {
        [first, .., last] => format!("{} to {}", volts(*first), volts(*last)),
        _ => String::new(),
    };
    let before = (note.choice != 0).then(|| {
        let [heaters, b_plus] = [&curve.heater_before_v, &curve.b_plus_before_v].map(|v| ends(v));
        format!("; before, heaters {heaters}, B+ {b_plus}")
    });
    format!(
        "Against {} of line: heaters {}, B+ {}{}.",
        ends(&curve.line_v),
        ends(&curve.heater_after_v),
        ends(&curve.b_plus_after_v),
        before.unwrap_or_default()
    )
}
