//! A sweep as a table or as CSV.

use super::page::{Block, Page, Span, Table, Tone};
use crate::study::{Over, Sweep};

fn head(sweep: &Sweep) -> (&'static str, &'static str) {
    match sweep.over {
        Over::Line => ("line", "V"),
        Over::Resistor => ("resistor", "Ω"),
    }
}

fn cell(value: f64, unit: &str) -> String {
    let value = if unit == "A" { 1e3 * value } else { value };
    let digits = match value.abs() {
        v if v >= 100.0 => 1,
        v if v >= 10.0 => 2,
        _ => 3,
    };
    format!("{value:.digits$}")
}

/// A table for a terminal.
pub fn page(sweep: &Sweep) -> Page {
    let (name, unit) = head(sweep);
    let mut titles = vec![format!("{name}\n{unit}")];
    for c in &sweep.columns {
        let unit = if c.unit == "A" { "mA" } else { c.unit };
        titles.push(format!("{}\n{unit}", c.key));
    }
    let rows = sweep
        .rows
        .iter()
        .map(|row| {
            row.iter()
                .enumerate()
                .map(|(i, v)| {
                    let unit = if i == 0 {
                        unit
                    } else {
                        sweep.columns[i - 1].unit
                    };
                    Span::plain(cell(*v, unit))
                })
                .collect()
        })
        .collect();
    let what = match sweep.outlet_v {
        Some(volts) => format!("series resistor, outlet {volts:.1} V"),
        None => "the set straight on the line".to_owned(),
    };
    vec![
        Block::Title(sweep.name.clone()),
        Block::Text(vec![Span::new(what, Tone::Faint)]),
        Block::Gap,
        Block::Table(Table { titles, rows }),
        Block::Gap,
        Block::Text(vec![Span::plain(sweep.caution)]),
    ]
}

/// CSV: SI units, named in the header; a comment line of caution ahead.
pub fn csv(sweep: &Sweep) -> String {
    let (name, unit) = head(sweep);
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut header = vec![format!("{name} [{unit}]")];
    header.extend(sweep.columns.iter().map(|c| {
        format!(
            "{} [{}]",
            c.key,
            if c.unit.is_empty() { "1" } else { c.unit }
        )
    }));
    // writing to memory cannot fail
    let _ = writer.write_record(&header);
    for row in &sweep.rows {
        let _ = writer.write_record(row.iter().map(|v| format!("{v:.6}")));
    }
    let body = writer.into_inner().unwrap_or_default();
    format!("# {}\n{}", sweep.caution, String::from_utf8_lossy(&body))
}
