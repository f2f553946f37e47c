//! What a meter's load does to a point: the resistance of its source, worked out from a solution with the meter on it.

use super::{
    columns::Columns,
    grid::{Grid, Row},
    line::{HIGHEST, StateLine},
    table::{LOOKED_AT, allowed, looked_at},
};
use crate::{
    profile::MeterLoad,
    quantity::{Quantity, Resistance},
    receiver::{Load, MainsLead, Operation, Receiver, Spot, Straight},
    study::{
        Measure, Reading,
        fit::{METER_RANGES, meter_ohms, meter_spot},
        read, share,
    },
};

/// A meter on the leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeterOnLeads {
    /// So many ohms on every range.
    Ohms(f64),
    /// So many for each volt of its range.
    PerVolt(f64),
}

/// The meters of a page: a digital one, a good pointer, a plain one (customary; common practice, no source).
pub const METERS: [MeterOnLeads; 3] =
    [MeterOnLeads::Ohms(10e6), MeterOnLeads::PerVolt(20e3), MeterOnLeads::PerVolt(1e3)];

impl MeterOnLeads {
    /// Full scales, V: the smallest that holds the voltage is taken.
    pub fn ranges() -> [f64; 6] {
        METER_RANGES
    }

    /// Its load at a point of `volts`, Ω.
    pub fn ohms(self, volts: f64) -> f64 {
        let load = match self {
            MeterOnLeads::Ohms(ohms) => MeterLoad::Ohms(Resistance::from_si(ohms)),
            MeterOnLeads::PerVolt(ohms) => MeterLoad::PerVolt(Resistance::from_si(ohms)),
        };
        meter_ohms(Some(load), volts)
    }
}

/// The points of a set that a meter loads.
pub fn loaded(receiver: &Receiver, columns: &Columns) -> Vec<(usize, Measure, Spot)> {
    let known = read(receiver, receiver.at_design());
    let points = Measure::all(&known).into_iter().filter_map(|measure| {
        let spot = meter_spot(measure, &known, receiver.model())?;
        Some((columns.place(&measure.key(&known))?, measure, spot))
    });
    points.collect()
}

/// The set on a line behind a part, with a meter at one point.
pub fn with_meter(
    receiver: &Receiver,
    (line, lead, near): (f64, &dyn MainsLead, &Operation),
    (spot, ohms): (&Spot, f64),
) -> Option<Reading> {
    let load = Load { name: "meter".to_owned(), from: spot.clone(), ohms: Some(ohms), amps: 0.0 };
    let changed = receiver.run_changed(line, lead, near, |model| model.loads.push(load)).ok()?;
    Some(read(receiver, &changed))
}

/// Cells between lines on which the sources are worked out.
const CELLS: usize = 24;
/// Volts at a point below which no meter is put to it.
const LEAST_V: f64 = 0.05;
/// Share of what a figure may be off that a meter's may be where it is looked at.
const KEPT: f64 = 0.5;

/// What the points of a set are without a meter, and with each on each: volts, and the same and the source's ohms.
struct Loads {
    alone: Vec<f64>,
    with: Vec<f64>,
    ohms: Row,
}

/// Columns of the points that meters load, and the ohms of their sources against the volts at the set: for each meter, each
/// point. Nothing where no point is loaded.
pub fn table(
    receiver: &Receiver,
    columns: &Columns,
    line: StateLine,
) -> (Vec<usize>, Option<Grid>) {
    let points = loaded(receiver, columns);
    let places = points.iter().map(|(place, ..)| *place).collect();
    if points.is_empty() {
        return (places, None);
    }
    let (low, high) = (line.least, (HIGHEST * line.design).round());
    let even = |i: usize| (low + (high - low) * i as f64 / CELLS as f64).round();
    let volts: Vec<f64> = (0..=CELLS).map(even).collect();
    let looked: Vec<f64> = looked_at(&volts).collect();
    let solve = |volts: &f64| loads(receiver, &points, *volts);
    let (nodes, between) = (share::each(&volts, solve), share::each(&looked, solve));
    let rows: Vec<Row> = nodes.iter().map(|row| row.ohms.clone()).collect();
    let mut grid = Grid::of(volts, vec![0.0], &rows);
    let count = points.len();
    let fails = between.chunks(LOOKED_AT.len()).zip(looked.chunks(LOOKED_AT.len()));
    let fails = fails.map(|(rows, at)| {
        let mut fails = vec![false; METERS.len() * count];
        for (column, fails) in fails.iter_mut().enumerate() {
            let (meter, point) = (METERS[column / count], column % count);
            for (row, at) in rows.iter().zip(at) {
                let source = grid.row(*at, 0.0).map_or(f64::NAN, |row| row[column]);
                let own = meter.ohms(row.alone[point]);
                let shown = row.alone[point] * own / (own + source);
                let allowed = KEPT * allowed("V", row.with[column], at / line.design);
                *fails |= (shown - row.with[column]).abs() > allowed;
            }
        }
        fails
    });
    let fails: Vec<Vec<bool>> = fails.collect();
    grid.note_gaps(&fails);
    (places, Some(grid))
}

/// Every point of the set on a line, alone and with each meter.
fn loads(receiver: &Receiver, points: &[(usize, Measure, Spot)], volts: f64) -> Loads {
    let none = |count: usize| vec![f64::NAN; count];
    let all = METERS.len() * points.len();
    let Ok(near) = receiver.run_coarse(volts, &Straight, receiver.at_design()) else {
        return Loads { alone: none(points.len()), with: none(all), ohms: none(all) };
    };
    let bare = read(receiver, &near);
    let alone: Vec<f64> = points.iter().map(|(_, measure, _)| measure.value(&bare)).collect();
    let (mut with, mut ohms) = (Vec::with_capacity(all), Vec::with_capacity(all));
    for meter in METERS {
        for ((_, measure, spot), alone) in points.iter().zip(&alone) {
            let own = meter.ohms(*alone);
            let lead: &dyn MainsLead = &Straight;
            let loaded = with_meter(receiver, (volts, lead, &near), (spot, own));
            let shown = loaded.map_or(f64::NAN, |reading| measure.value(&reading));
            with.push(shown);
            // what is all but nothing tells of no source
            let source = own * (alone / shown - 1.0);
            let told = source.is_finite() && alone.abs() > LEAST_V;
            ohms.push(if told { source.max(0.0) } else { f64::NAN });
        }
    }
    Loads { alone, with, ohms }
}
