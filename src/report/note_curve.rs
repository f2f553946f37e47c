//! The curve of a note: heaters and B+ against the line, before and after.

use super::{
    drawing::{Chart, ChartError, Drawing, Line, Panel, Shade, Stroke, paint_chart},
    figures::volts,
    marks,
};
use crate::study::Note;

/// Draws it.
///
/// # Errors
/// Data that cannot be drawn.
pub fn figure(note: &Note) -> Result<Drawing, ChartError> {
    let (curve, outlet) = (&note.curve, note.plan.outlet);
    let line = |name: &str, stroke, values: &[f64]| {
        let points = curve.line_v.iter().copied().zip(values.iter().copied());
        Line { name: name.to_owned(), stroke, points: points.collect() }
    };
    let limits = marks::rated(curve.heater_rated_v);
    let c = curve;
    let panels = [
        ("heaters", "V RMS", &c.heater_before_v, &c.heater_after_v, c.heater_spread, limits),
        ("B+", "V DC", &c.b_plus_before_v, &c.b_plus_after_v, c.b_plus_spread, Vec::new()),
    ];
    let panels = panels.map(|(name, unit, before, after, spread, horizontals)| {
        let now = line("with the part", Stroke::Solid, after);
        let band = now.points.iter().map(|(x, y)| (*x, y * (1.0 - spread), y * (1.0 + spread)));
        Panel {
            name: name.to_owned(),
            unit,
            bands: vec![Shade { name: String::new(), points: band.collect() }],
            lines: vec![now, line("before", Stroke::Dashed, before)],
            verticals: marks::lines(&outlet, note.plan.set.design_line_v),
            horizontals,
        }
    });
    let chart = Chart {
        title: note.plan.set.name.clone(),
        shows: "heaters and B+ against the outlet voltage".to_owned(),
        untitled: true,
        description: described(note),
        x: marks::outlet_axis(),
        panels: panels.into(),
        ..Chart::default()
    };
    Ok(Drawing {
        title: "Heaters and B+ against the outlet voltage (shaded: where a sound set may lie; hatched: what heaters are rated for, ±10 %)"
            .to_owned(),
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
