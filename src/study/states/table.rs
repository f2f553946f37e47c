//! Nodes set where figures bend, until what lies between them agrees with fresh solutions.

use super::grid::{Grid, Row};
use crate::receiver::Operation;
use std::collections::BTreeMap;

/// How far an interpolated figure may be off, as a share: near the design line, and elsewhere.
pub const NEAR_DESIGN: f64 = 0.001;
pub const ELSEWHERE: f64 = 0.003;
/// What counts as near the design line, as shares of it.
const NEAR: std::ops::RangeInclusive<f64> = 0.9..=1.1;
/// Share of that which a cell may be off where it is looked at: elsewhere in it, it may be off by more.
const KEPT: f64 = 0.5;
/// Where in a cell it is looked at.
pub const LOOKED_AT: [f64; 3] = [0.25, 0.5, 0.75];
/// Cells along the volts to begin with, and the most of them.
const FIRST_CELLS: usize = 6;
const MOST_VOLTS: usize = 40;
/// Narrowest cell worth dividing, V.
const NARROWEST_V: f64 = 0.8;
/// Nodes along the ohms: so many, closer together at none.
const OHMS: usize = 14;
/// A figure that is less than this is told as nothing, or in tenths of that: what a unit's figures may be off whatever they
/// are.
fn floor(unit: &str) -> f64 {
    match unit {
        "V" | "W" => 0.005,
        "A" => 5e-6,
        "°C" => 0.05,
        _ => 0.001,
    }
}

/// How far a figure may be off.
pub fn allowed(unit: &str, value: f64, volts_over_design: f64) -> f64 {
    let share = if NEAR.contains(&volts_over_design) { NEAR_DESIGN } else { ELSEWHERE };
    (share * value.abs()).max(floor(unit))
}

/// A state solved afresh, from one nearby.
pub type Fresh<'a> = dyn Fn(f64, f64, Option<&Operation>) -> Option<(Operation, Row)> + Sync + 'a;

/// What a table is made of.
pub struct Maker<'a> {
    /// Solves a state on so many volts behind so many ohms.
    pub fresh: &'a Fresh<'a>,
    /// Units of the columns.
    pub units: &'a [&'static str],
    /// Lowest and highest line, V.
    pub span: (f64, f64),
    /// Design line, V.
    pub design: f64,
    /// Of each column below what a figure is told as nothing.
    pub nothing: &'a [f64],
}

/// Rows that are solved already, by the bits of their volts, which rise as these do.
type Known = BTreeMap<u64, Option<Row>>;

impl Maker<'_> {
    /// Adds which columns a grid misses at a point whose figures are `fresh`.
    fn miss(&self, grid: &Grid, at: (f64, f64), fresh: Option<&Row>, fails: &mut [bool]) {
        let (Some(row), Some(fresh)) = (grid.row(at.0, at.1), fresh) else {
            return fails.fill(true);
        };
        for (column, (got, wanted)) in row.iter().zip(fresh).enumerate() {
            let allowed = KEPT * allowed(self.units[column], *wanted, at.0 / self.design);
            // what neither has is no miss
            let both = |of: fn(f64) -> f64, than: f64| of(*got) < than && of(*wanted) < than;
            let met = got.is_nan() && wanted.is_nan()
                || both(f64::abs, self.nothing[column])
                || (got - wanted).abs() <= allowed;
            fails[column] |= !met;
        }
    }

    /// Solves what is not known of `volts` behind `ohms`, from the highest down: where one has no solution, those below have none.
    fn solve(&self, volts: &[f64], ohms: f64, known: &mut Known) {
        let mut near: Option<Operation> = None;
        for v in volts.iter().rev().filter(|v| v.is_finite()) {
            let ends = known.range(v.to_bits()..).next().is_some_and(|(_, row)| row.is_none());
            if known.contains_key(&v.to_bits()) {
                continue;
            }
            let found = (!ends).then(|| (self.fresh)(*v, ohms, near.as_ref())).flatten();
            let (operation, row) = found.unzip();
            near = operation.or(near);
            known.insert(v.to_bits(), row);
        }
    }

    /// A table without a resistance; nothing where the set has no solution in it.
    pub fn line(&self) -> Option<Grid> {
        let (low, high) = self.span;
        // whole volts, and halves of them, take few digits
        let even = |i: usize| (low + (high - low) * i as f64 / FIRST_CELLS as f64).round();
        let mut volts: Vec<f64> = (0..=FIRST_CELLS).map(even).collect();
        let mut known = Known::new();
        self.solve(&volts, 0.0, &mut known);
        volts.retain(|v| known[&v.to_bits()].is_some());
        if volts.len() < 2 {
            return None;
        }
        loop {
            let looked: Vec<f64> = looked_at(&volts).collect();
            self.solve(&looked, 0.0, &mut known);
            let rows = volts.iter().filter_map(|v| known[&v.to_bits()].clone());
            let mut grid = Grid::of(volts.clone(), vec![0.0], &rows.collect::<Vec<_>>());
            let fails = self.fails(&grid, &looked, &[(0.0, &known)]);
            let mut more = Vec::new();
            for (ends, fails) in volts.windows(2).zip(&fails) {
                let middle = 0.5 * (ends[0] + ends[1]);
                let there = known[&middle.to_bits()].is_some();
                if there && fails.contains(&true) && ends[1] - ends[0] > NARROWEST_V {
                    more.push(middle);
                }
            }
            more.truncate(MOST_VOLTS.saturating_sub(volts.len()));
            if more.is_empty() {
                grid.note_gaps(&fails);
                return Some(grid);
            }
            volts.extend(more);
            volts.sort_by(f64::total_cmp);
        }
    }

    /// Which columns fail in each cell of `grid`, of which all `looked` volts are known behind each of some ohms in its cells.
    fn fails(&self, grid: &Grid, looked: &[f64], known: &[(f64, &Known)]) -> Vec<Vec<bool>> {
        let mut all = Vec::new();
        for (ohms, known) in known {
            for points in looked.chunks(LOOKED_AT.len()) {
                let mut fails = vec![false; self.units.len()];
                for v in points {
                    self.miss(grid, (*v, *ohms), known[&v.to_bits()].as_ref(), &mut fails);
                }
                all.push(fails);
            }
        }
        all
    }

    /// A table behind any resistance up to `most` ohms, its volts those of `alike`.
    pub fn behind_ohms(&self, alike: &Grid, most: f64) -> Grid {
        let volts = alike.volts.clone();
        let share = |i: usize| i as f64 / (OHMS - 1) as f64;
        let ohms: Vec<f64> = (0..OHMS).map(|i| three_digits(most * share(i).powf(1.5))).collect();
        let none = vec![f64::NAN; self.units.len()];
        let mut rows: Vec<Row> = Vec::new();
        for r in &ohms {
            let mut known = Known::new();
            self.solve(&volts, *r, &mut known);
            rows.extend(known.into_values().map(|row| row.unwrap_or_else(|| none.clone())));
        }
        let mut grid = Grid::of(volts, ohms, &rows);
        let looked: Vec<f64> = looked_at(&grid.volts).collect();
        let between = grid.ohms.windows(2).map(|w| 0.5 * (w[0] + w[1]));
        let known: Vec<(f64, Known)> = between
            .map(|r| {
                let mut known = Known::new();
                self.solve(&looked, r, &mut known);
                (r, known)
            })
            .collect();
        let known: Vec<(f64, &Known)> = known.iter().map(|(r, known)| (*r, known)).collect();
        let fails = self.fails(&grid, &looked, &known);
        grid.note_gaps(&fails);
        grid
    }
}

/// A number in three digits.
fn three_digits(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// The points at which each cell between `volts` is looked at, in order.
pub fn looked_at(volts: &[f64]) -> impl Iterator<Item = f64> {
    volts.windows(2).flat_map(|ends| {
        LOOKED_AT.map(|share| match share {
            0.5 => 0.5 * (ends[0] + ends[1]),
            share => ends[0] + share * (ends[1] - ends[0]),
        })
    })
}
