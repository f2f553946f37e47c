//! Columns of figures on a grid of points: interpolated as the page's script does it, and judged against fresh solutions.

/// Steps of the code that figures are carried in, and the code of what has no figure.
pub const CODE: u16 = u16::MAX - 1;
pub const NONE: u16 = u16::MAX;

/// What is known at one point: a figure of each column; not a number where there is none.
pub type Row = Vec<f64>;

/// Figures on lines at one or several resistances, as they are carried.
#[derive(Debug, Clone)]
pub struct Grid {
    /// Line volts, rising.
    pub volts: Vec<f64>,
    /// Ohms in the lead, rising; one where nothing is varied.
    pub ohms: Vec<f64>,
    /// Of each column its lowest and highest figure; nothing where there is none anywhere.
    pub spans: Vec<Option<(f64, f64)>>,
    /// Of each column that has a span, of each of the ohms, of each of the volts: 0 for the lowest to the most for the highest.
    pub codes: Vec<u16>,
    /// Cells in which a column holds no figure: column, first and last cell, counted along the volts of the first ohms on.
    pub gaps: Vec<(usize, usize, usize)>,
}

/// Nodes that a figure is interpolated from.
const NODES: usize = 6;

/// The nodes about a cell, as many on either side of it, or as many as there are.
fn about(nodes: usize, cell: usize) -> std::ops::Range<usize> {
    let from = (cell + 1).saturating_sub(NODES / 2).min(nodes.saturating_sub(NODES));
    from..(from + NODES).min(nodes)
}

/// The cell of `nodes` in which `x` lies; none outside of them.
fn cell(nodes: &[f64], x: f64) -> Option<usize> {
    let (first, last) = (*nodes.first()?, *nodes.last()?);
    if !(first..=last).contains(&x) {
        return None;
    }
    let next = nodes.iter().position(|node| *node > x).unwrap_or(nodes.len() - 1);
    Some(next.saturating_sub(1))
}

/// Weights of the nodes about `x` (Lagrange: the polynomial through all of them).
fn weights(nodes: &[f64], x: f64) -> [f64; NODES] {
    let mut weights = [0.0; NODES];
    for (i, (weight, at)) in weights.iter_mut().zip(nodes).enumerate() {
        let others = nodes.iter().enumerate().filter(|(j, _)| *j != i);
        *weight = others.map(|(_, other)| (x - other) / (at - other)).product();
    }
    weights
}

/// Where a figure between the nodes comes from.
struct Place {
    volts: (std::ops::Range<usize>, [f64; NODES]),
    ohms: (std::ops::Range<usize>, [f64; NODES]),
}

impl Grid {
    /// The grid of rows at each of `ohms` for each of `volts`, without gaps.
    pub fn of(volts: Vec<f64>, ohms: Vec<f64>, rows: &[Row]) -> Grid {
        let columns = rows.first().map_or(0, Vec::len);
        let span = |column: usize| {
            let figures = || rows.iter().map(|row| row[column]).filter(|v| v.is_finite());
            let low = figures().fold(f64::INFINITY, f64::min);
            low.is_finite().then(|| (low, figures().fold(low, f64::max)))
        };
        let spans: Vec<_> = (0..columns).map(span).collect();
        let mut codes = Vec::new();
        for (column, span) in spans.iter().enumerate() {
            let Some((low, high)) = *span else { continue };
            let width = (high - low).max(f64::MIN_POSITIVE);
            let code = |v: f64| (f64::from(CODE) * (v - low) / width).round() as u16;
            codes.extend(
                rows.iter()
                    .map(|row| if row[column].is_finite() { code(row[column]) } else { NONE }),
            );
        }
        Grid { volts, ohms, spans, codes, gaps: Vec::new() }
    }

    /// The codes of a column; none for one without figures.
    pub fn codes_of(&self, column: usize) -> Option<&[u16]> {
        self.spans[column]?;
        let before = self.spans[..column].iter().flatten().count();
        let nodes = self.volts.len() * self.ohms.len();
        self.codes.get(before * nodes..(before + 1) * nodes)
    }

    fn place(&self, volts: f64, ohms: f64) -> Option<Place> {
        let along = |nodes: &[f64], x: f64| {
            let cell = cell(nodes, x)?;
            let range = about(nodes.len(), cell);
            let weights = weights(&nodes[range.clone()], x);
            Some((range, weights))
        };
        Some(Place { volts: along(&self.volts, volts)?, ohms: along(&self.ohms, ohms)? })
    }

    /// Figures of all columns between the nodes, gaps left out of account; none outside of the grid.
    pub fn row(&self, volts: f64, ohms: f64) -> Option<Row> {
        let place = self.place(volts, ohms)?;
        let nodes = self.volts.len() * self.ohms.len();
        let mut from = 0;
        let figure = |span: &Option<(f64, f64)>| {
            let Some((low, high)) = *span else { return f64::NAN };
            let codes = &self.codes[from..from + nodes];
            from += nodes;
            let mut sum = 0.0;
            for (r, by) in place.ohms.0.clone().zip(place.ohms.1) {
                for (v, weight) in place.volts.0.clone().zip(place.volts.1) {
                    let code = codes[r * self.volts.len() + v];
                    sum += if code == NONE { f64::NAN } else { by * weight * f64::from(code) };
                }
            }
            low + sum / f64::from(CODE) * (high - low)
        };
        Some(self.spans.iter().map(figure).collect())
    }

    /// Notes the cells in which a column fails: `fails` says of each cell which columns do.
    pub fn note_gaps(&mut self, fails: &[Vec<bool>]) {
        for column in 0..self.spans.len() {
            for (cell, failing) in fails.iter().enumerate() {
                if !failing[column] {
                    continue;
                }
                match self.gaps.last_mut() {
                    Some((of, _, last)) if *of == column && *last + 1 == cell => *last = cell,
                    _ => self.gaps.push((column, cell, cell)),
                }
            }
        }
    }
}
