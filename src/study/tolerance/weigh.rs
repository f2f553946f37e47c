//! What a cloud of draws says: percentiles, and which input moves an output most.

use nalgebra::{DMatrix, DVector};

/// Draws for each input below which a regression says nothing worth reading (common practice, no source).
const DRAWS_AN_INPUT: usize = 5;

/// The value that a share `p` (0 to 1) of a sorted, non-empty list lies below, between neighbours in a straight line
/// (R. J. Hyndman, Y. Fan, "Sample quantiles in statistical packages", American Statistician 50 (1996), 361-365,
/// definition 7 †). Not a number for an empty list.
pub fn percentile(sorted: &[f64], p: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else {
        return f64::NAN;
    };
    let place = p.clamp(0.0, 1.0) * last as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}

/// Average and standard deviation; zeros for an empty list.
pub fn moments(list: &[f64]) -> (f64, f64) {
    let n = list.len() as f64;
    if list.is_empty() {
        return (0.0, 0.0);
    }
    let mean = list.iter().sum::<f64>() / n;
    let squares: f64 = list.iter().map(|v| (v - mean).powi(2)).sum();
    (mean, (squares / (n - 1.0).max(1.0)).sqrt())
}

/// A linear model of one output.
#[derive(Debug, Clone, PartialEq)]
pub struct Regression {
    /// Standardized coefficient of each input: by how many of its own standard deviations the output rises when the
    /// input rises by one of its own. Zero for an input that stood still.
    pub coefficients: Vec<f64>,
    /// Share of the output's variance that the linear model explains, 0 to 1.
    pub r_squared: f64,
}

/// Regresses each of `outputs` on `inputs` by least squares, both standardized (J. C. Helton, F. J. Davis, "Latin
/// hypercube sampling and the propagation of uncertainty in analyses of complex systems", Reliability Engineering and
/// System Safety 81 (2003), 23-69 †; A. Saltelli et al., "Global sensitivity analysis: the primer", 2008 †).
/// For inputs that are independent the square of a coefficient is that input's share of the variance.
///
/// `inputs` has a row for each draw, `outputs` a list of as many values for each output. `None` for an output that stands
/// still, and for all where there are fewer than five draws for each input or two inputs move as one.
pub fn regress(inputs: &[Vec<f64>], outputs: &[Vec<f64>]) -> Vec<Option<Regression>> {
    let nothing = || vec![None; outputs.len()];
    let draws = inputs.len();
    let width = inputs.first().map_or(0, Vec::len);
    let columns: Vec<Vec<f64>> =
        (0..width).map(|i| inputs.iter().map(|row| row[i]).collect()).collect();
    let standard: Vec<_> = columns.iter().map(|c| standardized(c)).collect();
    let moving: Vec<usize> = (0..width).filter(|i| standard[*i].is_some()).collect();
    if moving.is_empty() || draws < DRAWS_AN_INPUT * moving.len() + 2 {
        return nothing();
    }
    let scale = (draws - 1) as f64;
    let flat = standard.iter().flatten().flatten().copied().collect();
    let matrix = DMatrix::from_vec(draws, moving.len(), flat);
    // correlations of the inputs among each other: nearly the unit matrix
    let Some(factored) = (matrix.transpose() * &matrix / scale).cholesky() else {
        return nothing();
    };
    let one = |values: &Vec<f64>| {
        let output = DVector::from_vec(standardized(values)?);
        let correlation = matrix.tr_mul(&output) / scale;
        let found = factored.solve(&correlation);
        let mut coefficients = vec![0.0; width];
        for (place, input) in moving.iter().enumerate() {
            coefficients[*input] = found[place];
        }
        Some(Regression { coefficients, r_squared: found.dot(&correlation).clamp(0.0, 1.0) })
    };
    outputs.iter().map(one).collect()
}

/// A list less its average, over its standard deviation; `None` for one that stands still.
fn standardized(list: &[f64]) -> Option<Vec<f64>> {
    let (mean, deviation) = moments(list);
    // what is left by rounding of a constant is no movement
    let moves = deviation > 1e-12 * mean.abs().max(1e-300);
    moves.then(|| list.iter().map(|v| (v - mean) / deviation).collect())
}
