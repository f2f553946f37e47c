//! A sweep as a table, as CSV or as a chart.

use super::{
    caution,
    drawing::{Axis, Chart, Line, Mark, Panel, Stroke},
    marks,
    page::{Block, Page, fine, plain, table, text},
    words::{at_part, harmless},
};
use crate::study::{Caution, Column, Meter, Over, ReadingsReport, Sweep};
use std::iter::once;

fn head(sweep: &Sweep) -> (&'static str, &'static str) {
    match sweep.over {
        Over::Line => ("line", "V"),
        Over::Resistor => ("resistor", "Ω"),
    }
}

/// Name and unit of each column, that of what is swept first.
fn columns(sweep: &Sweep) -> impl Iterator<Item = (&str, &str)> {
    once(head(sweep)).chain(sweep.columns.iter().map(|c| (c.key.as_str(), c.unit)))
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

/// What holds for all of the sweep.
fn conditions(sweep: &Sweep) -> String {
    let fitted = super::fitted_to(sweep.readings_used);
    let contradict = sweep.readings.headline().map(str::to_owned);
    let fitted = fitted.or(contradict).map(|words| format!("; {words}")).unwrap_or_default();
    lead(sweep) + &fitted
}

/// What stands in the lead.
fn lead(sweep: &Sweep) -> String {
    match sweep.outlet_v {
        Some(volts) => format!("series resistor, outlet {volts:.1} V"),
        None => "the set straight on the line".to_owned(),
    }
}

/// A table for a terminal.
pub fn page(sweep: &Sweep) -> Page {
    let shown = |unit| if unit == "A" { "mA" } else { unit };
    let titles = columns(sweep).map(|(name, unit)| format!("{name}\n{}", shown(unit)));
    let rows = sweep.rows.iter().map(|row| {
        let cells = row.iter().zip(columns(sweep));
        cells.map(|(v, (_, unit))| plain(cell(*v, unit))).collect()
    });
    let mut page = caution::alarms(&sweep.cautions);
    page.extend([Block::Title(sweep.name.clone()), fine(conditions(sweep)), Block::Gap]);
    page.extend(super::readings::head(&sweep.readings));
    page.extend((page.len() > 3).then_some(Block::Gap));
    page.extend([table(titles, rows), Block::Gap, text(sweep.caution)]);
    page
}

/// The alarms, readings that contradict, and what holds for all of a study, in one line.
pub(super) fn foot(cautions: &[Caution], readings: &ReadingsReport, always: &[&str]) -> String {
    let alarms = cautions.iter().filter(|c| c.is_alarm()).map(ToString::to_string);
    let always = always.iter().map(|words| (*words).to_owned());
    alarms.chain(readings.reason()).chain(always).collect::<Vec<_>>().join(" ")
}

/// The same of a sweep.
fn cautions(sweep: &Sweep) -> String {
    foot(&sweep.cautions, &sweep.readings, &[sweep.caution])
}

/// CSV: SI units, named in the header; the cautions in a column of every row.
pub fn csv(sweep: &Sweep) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header = columns(sweep).map(|(name, unit)| {
        let unit = if unit.is_empty() { "1" } else { unit };
        harmless(format!("{name} [{unit}]"))
    });
    // writing to memory cannot fail
    let _ = writer.write_record(header.chain(["caution".to_owned()]));
    let words = cautions(sweep);
    for row in &sweep.rows {
        let figures = row.iter().map(|v| format!("{v:.6}"));
        let _ = writer.write_record(figures.chain([words.clone()]));
    }
    let body = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&body).into_owned()
}

/// The kind of volts and amperes a curve shows.
fn curve_unit(column: &Column) -> &'static str {
    match (column.unit, column.meter) {
        ("V", Meter::Ac) => "V RMS",
        ("V", _) => "V DC",
        ("A", Meter::Ac) => "mA RMS",
        ("A", _) => "mA DC",
        (unit, _) => unit,
    }
}

/// Curves: a panel for each quantity.
pub fn chart(sweep: &Sweep) -> Chart {
    let x = match sweep.over {
        Over::Line => marks::outlet_axis(),
        Over::Resistor => Axis { name: "series resistor".to_owned(), unit: "Ω" },
    };
    let (name, unit) = (x.name.clone(), x.unit);
    // a range may have been asked for that holds none of them
    let first = |row: Option<&Vec<f64>>| row.and_then(|row| row.first()).copied();
    let ends = first(sweep.rows.first()).zip(first(sweep.rows.last()));
    let within = |m: &Mark| ends.is_some_and(|(from, to)| (from..=to).contains(&m.at));
    let day = sweep.outlet.iter().flat_map(marks::day).chain([marks::design(sweep.design_line_v)]);
    let verticals: Vec<Mark> = match sweep.over {
        Over::Line => day.filter(within).collect(),
        Over::Resistor => Vec::new(),
    };
    let mut words = Vec::new();
    let mut panels = Vec::new();
    for (i, column) in sweep.columns.iter().enumerate() {
        let shown = if column.unit == "A" { 1e3 } else { 1.0 };
        let points: Vec<(f64, f64)> = sweep
            .rows
            .iter()
            .filter_map(|row| Some((*row.first()?, shown * row.get(i + 1)?)))
            .collect();
        let unit = curve_unit(column);
        if let (Some(first), Some(last)) = (points.first(), points.last()) {
            words.push(format!(
                "{} from {} to {} {unit}",
                column.name,
                cell(first.1, unit),
                cell(last.1, unit)
            ));
        }
        panels.push(Panel {
            name: at_part(&column.name, column.part.as_deref()),
            unit,
            verticals: verticals.clone(),
            horizontals: column.rated_v.map(marks::rated).unwrap_or_default(),
            lines: vec![Line { name: String::new(), stroke: Stroke::Solid, points }],
            ..Panel::default()
        });
    }
    let ends = |row: Option<&Vec<f64>>| {
        let value = row.and_then(|r| r.first()).copied().unwrap_or_default();
        cell(value, unit)
    };
    Chart {
        title: sweep.name.clone(),
        shows: format!("readings against {name}"),
        subtitle: conditions(sweep),
        description: format!(
            "Curves against the {name} from {} to {} {unit}: {}.",
            ends(sweep.rows.first()),
            ends(sweep.rows.last()),
            words.join("; ")
        ),
        x,
        panels,
        foot: cautions(sweep),
        ..Chart::default()
    }
}
