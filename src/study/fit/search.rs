//! The least-squares search itself, by a library, and what it leaves uncertain.

use super::super::StudyError;
use super::super::share;
use super::numbers;
use super::points::{self, Readings};
use crate::profile::Profile;
use crate::receiver::{Assumption, Model, Operation, Receiver, ReceiverError, Uncertain};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

/// Step of the differences, in standard deviations.
const STEP: f64 = 0.3;
/// The derivatives are taken anew when the point has moved by this many standard deviations, all numbers together.
const FAR: f64 = 1.0;
/// Standard deviation, as a logarithm, of a number that is set free.
const FREE: f64 = 1.5;
/// Evaluations allowed, in units of one more than the unknowns.
const PATIENCE: usize = 2;
/// Times the derivatives are taken anew in one search: each costs as much as an evaluation for every number.
const MOST_SLOPES: usize = 4;
/// Relative change of the sum of squares and of the point at which the search ends.
const ENOUGH: f64 = 1e-5;

/// What is searched: numbers of the set, and the line of each setting.
pub(super) struct Search<'a> {
    pub receiver: &'a Receiver,
    pub numbers: Vec<Uncertain>,
    pub readings: Readings,
}

/// Where a search ended.
pub(super) struct Solution {
    /// Logarithms of the factors: the numbers, then the lines.
    pub x: DVector<f64>,
    /// Covariance of these.
    pub covariance: DMatrix<f64>,
    /// Derivatives of the readings, in units of their uncertainty.
    pub slopes: DMatrix<f64>,
    /// Readings as the model has them at the start, meters included.
    pub first: Vec<f64>,
    /// At the end.
    pub last: Vec<f64>,
    /// What the meters do to them at the start.
    pub loads: Vec<f64>,
}

impl Solution {
    /// Standard deviation of the `i`-th logarithm.
    pub fn deviation(&self, i: usize) -> f64 {
        self.covariance[(i, i)].max(0.0).sqrt()
    }
}

impl<'a> Search<'a> {
    /// Prepares a search.
    ///
    /// # Errors
    /// [`StudyError::NoQuantity`] for a reading of a point the set does not have.
    pub fn new(
        receiver: &'a Receiver,
        assumed: &[Assumption],
        profile: &Profile,
    ) -> Result<Search<'a>, StudyError> {
        Ok(Search {
            receiver,
            numbers: numbers(receiver.model(), assumed),
            readings: Readings::of(profile, receiver)?,
        })
    }

    /// Standard deviations before the readings; `freed` may be anything.
    pub fn priors(&self, freed: Option<usize>) -> DVector<f64> {
        let limits = self.numbers.iter().map(|n| n.spread);
        let lines = self.readings.settings.iter().map(|s| s.line_spread);
        let mut list: Vec<f64> = limits.chain(lines).map(|l| l / 3f64.sqrt()).collect();
        if let Some(i) = freed {
            list[i] = FREE;
        }
        DVector::from_vec(list)
    }

    /// The model with factors on its numbers.
    pub fn model(&self, x: &DVector<f64>) -> Model {
        let mut model = self.receiver.model().clone();
        for (number, x) in self.numbers.iter().zip(x.iter()) {
            if *x != 0.0 {
                model = model.scaled(number.parameter, x.exp());
            }
        }
        model
    }

    /// The set at `x`, from `near` or from where the search began.
    fn at(&self, x: &DVector<f64>, near: Option<&At>) -> Result<At, ReceiverError> {
        let from = near.map_or(self.receiver, |near| &near.receiver);
        let receiver = Receiver::new(self.model(x), Some(from))?;
        let mut values = Vec::new();
        let mut operations = Vec::new();
        for (i, setting) in self.readings.settings.iter().enumerate() {
            let line = setting.line * x[self.numbers.len() + i].exp();
            let near = near.and_then(|n| n.operations.get(i));
            let (reading, operation) = points::plain(&receiver, line, near)?;
            values.extend(setting.points.iter().map(|p| p.measure.value(&reading)));
            operations.push(operation);
        }
        Ok(At { values, receiver, operations })
    }

    fn loads(&self, at: &At) -> Result<Vec<f64>, ReceiverError> {
        let settings = self.readings.settings.iter().zip(&at.operations);
        let all = settings.flat_map(|(s, o)| s.points.iter().map(move |p| (p, o)));
        all.map(|(p, o)| points::change_by_meter(&at.receiver, o, p)).collect()
    }

    /// Searches; `freed` may be anything.
    ///
    /// # Errors
    /// The set has no solution, or the search does not end.
    pub fn solve(&self, freed: Option<usize>) -> Result<Solution, StudyError> {
        let priors = self.priors(freed);
        let start = DVector::zeros(priors.len());
        let here = self.at(&start, None)?;
        let mut loads = self.loads(&here)?;
        let at_start = loads.clone();
        let first: Vec<f64> = here.values.iter().zip(&loads).map(|(v, l)| v + l).collect();
        let mut x = start;
        let mut slopes = None;
        // what a meter loads moves with the set: it is taken again once the set is nearly found
        for _ in 0..2 {
            let mut problem = Problem {
                search: self,
                priors: &priors,
                loads: &loads,
                x: x.clone(),
                residuals: None,
                slopes,
                failed: None,
                here: None,
                taken: 0,
            };
            problem.move_to(&x);
            let (problem, report) = LevenbergMarquardt::new()
                .with_ftol(ENOUGH)
                .with_xtol(ENOUGH)
                .with_gtol(ENOUGH)
                .with_patience(PATIENCE)
                .minimize(problem);
            if let Some(error) = problem.failed {
                return Err(error.into());
            }
            if !report.termination.was_successful() {
                return Err(StudyError::NotFitted(format!("{:?}", report.termination)));
            }
            (x, slopes) = (problem.x, problem.slopes);
            loads = self.loads(&self.at(&x, None)?)?;
        }
        let here = self.at(&x, None)?;
        let last = here.values.iter().zip(&loads).map(|(v, l)| v + l).collect();
        let slopes = self.slopes(&x, &priors, &here)?;
        let mut information = slopes.transpose() * &slopes;
        for (i, s) in priors.iter().enumerate() {
            information[(i, i)] += 1.0 / (s * s);
        }
        let covariance = information
            .cholesky()
            .ok_or_else(|| StudyError::NotFitted("its uncertainty has no value".to_owned()))?
            .inverse();
        Ok(Solution { x, covariance, slopes, first, last, loads: at_start })
    }

    /// Derivatives of the readings at `x`, where the set is `here`, in units of their uncertainty.
    fn slopes(
        &self,
        x: &DVector<f64>,
        priors: &DVector<f64>,
        here: &At,
    ) -> Result<DMatrix<f64>, ReceiverError> {
        let base = &here.values;
        let units: Vec<f64> = self.readings.points().map(|p| p.uncertainty).collect();
        let column = |j: usize| -> Result<Vec<f64>, ReceiverError> {
            // a freed number is stepped like another
            let h = STEP * priors[j].min(0.2);
            let mut moved = x.clone();
            moved[j] += h;
            let moved = self.at(&moved, Some(here))?;
            let change = moved.values.iter().zip(base).zip(&units);
            Ok(change.map(|((v, b), u)| (v - b) / h / u).collect())
        };
        let columns = share::all(x.len(), column)?;
        Ok(DMatrix::from_fn(base.len(), x.len(), |i, j| columns[j][i]))
    }
}

/// The set somewhere on the way.
struct At {
    /// Every reading, without meters.
    values: Vec<f64>,
    receiver: Receiver,
    /// One point for each setting of the line.
    operations: Vec<Operation>,
}

/// The problem as the library wants it: residuals of the readings, then of the priors.
struct Problem<'s, 'a> {
    search: &'s Search<'a>,
    priors: &'s DVector<f64>,
    loads: &'s [f64],
    x: DVector<f64>,
    residuals: Option<DVector<f64>>,
    /// Derivatives and the point they were taken at.
    slopes: Option<(DMatrix<f64>, DVector<f64>)>,
    failed: Option<ReceiverError>,
    /// Where the set last had a solution: the next step starts from there.
    here: Option<At>,
    /// How often the derivatives were taken.
    taken: usize,
}

impl Problem<'_, '_> {
    fn move_to(&mut self, x: &DVector<f64>) {
        self.x.copy_from(x);
        let here = match self.search.at(x, self.here.as_ref()) {
            // a step into a set without a solution is one the search takes back
            Err(error) => {
                self.failed = Some(error);
                self.residuals = None;
                return;
            }
            Ok(here) => here,
        };
        self.failed = None;
        let points = self.search.readings.points();
        let readings = points
            .zip(&here.values)
            .zip(self.loads)
            .map(|((p, v), l)| (v + l - p.measured) / p.uncertainty);
        let priors = x.iter().zip(self.priors.iter()).map(|(x, s)| x / s);
        self.residuals =
            Some(DVector::from_iterator(self.loads.len() + x.len(), readings.chain(priors)));
        let far = |from: &DVector<f64>| (x - from).component_div(self.priors).norm() > FAR;
        let stale = self.slopes.as_ref().is_none_or(|(_, from)| far(from));
        if stale && self.taken < MOST_SLOPES {
            self.taken += 1;
            self.slopes = match self.search.slopes(x, self.priors, &here) {
                Ok(slopes) => Some((slopes, x.clone())),
                Err(_) => self.slopes.take(),
            };
        }
        self.here = Some(here);
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_, '_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.move_to(x);
    }

    fn params(&self) -> DVector<f64> {
        self.x.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.residuals.clone()
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let (slopes, _) = self.slopes.as_ref()?;
        let (rows, columns) = slopes.shape();
        Some(DMatrix::from_fn(rows + columns, columns, |i, j| {
            if i < rows {
                slopes[(i, j)]
            } else if i - rows == j {
                1.0 / self.priors[j]
            } else {
                0.0
            }
        }))
    }
}
