//! The least-squares search itself, by a library, and what it leaves uncertain.

use super::points::{self, Point, Setting};
use crate::{
    profile::Profile,
    receiver::{Assumption, Model, Number, Operation, Receiver, Straight, Uncertain, uncertain},
    study::{Result, StudyError, share},
};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, storage::Owned};

/// Step of the differences, in standard deviations.
const STEP: f64 = 0.3;
/// The derivatives are taken anew when the point has moved by this many standard deviations, all numbers together.
const FAR: f64 = 1.0;
/// Standard deviation, as a logarithm, of a number that is set free.
const FREE: f64 = 1.5;
/// Standard deviation by which a number that is set free is stepped.
const WIDEST: f64 = 0.2;
/// Evaluations allowed, in units of one more than the unknowns.
const PATIENCE: usize = 2;
/// Times the derivatives are taken anew in one search: each costs as much as an evaluation for every number.
const MOST_SLOPES: usize = 4;
/// Relative change of the sum of squares and of the point at which the search ends.
const ENOUGH: f64 = 1e-5;

/// Residual of a point at which the set has no solution: beyond any that has one, so that the step is taken back.
const NOWHERE: f64 = 1e9;

/// What is searched: numbers of the set, and the line of each setting.
pub struct Search {
    pub receiver: Receiver,
    pub numbers: Vec<Uncertain>,
    pub settings: Vec<Setting>,
    pub points: Vec<Point>,
}

/// What a search leaves out of account.
#[derive(Clone, Copy, PartialEq)]
pub enum Without {
    /// Nothing.
    Nothing,
    /// What was known before of an unknown: a number of the set, or behind these the line of a setting.
    Prior(usize),
    /// A reading, by its row.
    Reading(usize),
}

/// The set as the profile has it, where every search begins.
pub struct Start {
    here: At,
    /// What the meters do to each reading.
    pub loads: Vec<f64>,
    /// That as a solution.
    pub unmoved: Solution,
}

/// Where a search ended.
#[derive(Clone)]
pub struct Solution {
    /// Logarithms of the factors: the numbers, then the lines.
    pub x: DVector<f64>,
    /// Covariance of these.
    pub covariance: DMatrix<f64>,
    /// Derivatives of the readings, in units of their uncertainty.
    pub slopes: DMatrix<f64>,
    /// Readings as the model has them at the end, meters included.
    pub last: Vec<f64>,
    /// Sum of squares of all residuals, those of what was known before among them.
    pub misfit: f64,
}

impl Solution {
    /// Standard deviation of the `i`-th logarithm.
    pub fn deviation(&self, i: usize) -> f64 {
        self.covariance[(i, i)].max(0.0).sqrt()
    }
}

impl Search {
    /// Prepares a search through `model`, which is that of `profile`.
    ///
    /// # Errors
    /// [`StudyError::Reading`] for a reading of a point the set does not have; a set that has no solution.
    pub fn new(model: Model, assumed: &[Assumption], profile: &Profile) -> Result<Search> {
        let receiver = Receiver::new(model, None)?;
        let (settings, points) = points::readings(profile, &receiver)?;
        Ok(Search { numbers: numbers(receiver.model(), assumed), receiver, settings, points })
    }

    /// Standard deviations before the readings.
    pub fn priors(&self, without: Without) -> DVector<f64> {
        let limits = self.numbers.iter().map(|n| n.spread);
        let lines = self.settings.iter().map(|s| s.line_spread);
        let mut list: Vec<f64> = limits.chain(lines).map(|l| l / 3f64.sqrt()).collect();
        if let Without::Prior(i) = without {
            list[i] = FREE;
        }
        DVector::from_vec(list)
    }

    /// The model with factors on its numbers.
    pub fn model(&self, x: &DVector<f64>) -> Model {
        let mut model = self.receiver.model().clone();
        for (j, number) in self.numbers.iter().enumerate() {
            if x[j] != 0.0 {
                model = model.scaled(number.parameter, self.factor(x, j));
            }
        }
        model
    }

    /// The factor on a number at `x`; that of a measured one nears its limits and never passes them.
    pub fn factor(&self, x: &DVector<f64>, j: usize) -> f64 {
        let Uncertain { held, spread, .. } = self.numbers[j];
        let limit = spread.ln_1p();
        if held { (limit * (x[j] / limit).tanh()).exp() } else { x[j].exp() }
    }

    /// The set at `x`, from `near` or from where the search began.
    fn at(&self, x: &DVector<f64>, near: Option<&At>) -> Result<At> {
        let from = near.map_or(&self.receiver, |near| &near.receiver);
        let receiver = Receiver::new(self.model(x), Some(from))?;
        let there = |(i, setting): (usize, &Setting)| {
            let line = setting.line * x[self.numbers.len() + i].exp();
            points::plain(&receiver, line, near.and_then(|n| n.operations.get(i)))
        };
        let there = self.settings.iter().enumerate().map(there).collect::<Result<Vec<_>>>()?;
        let values = self.points.iter().map(|p| p.value(&there[p.setting].0)).collect();
        let operations = there.into_iter().map(|(_, operation)| operation).collect();
        Ok(At { values, receiver, operations })
    }

    fn loads(&self, at: &At) -> Result<Vec<f64>> {
        let load = |p: &Point| {
            points::change_by_meter(&at.receiver, &Straight, &at.operations[p.setting], p)
        };
        self.points.iter().map(load).collect()
    }

    /// The set as the profile has it.
    ///
    /// # Errors
    /// [`StudyError::Reading`] at a line on which the set has no solution.
    pub fn start(&self) -> Result<Start> {
        let unsolved = |s: &&Setting| points::plain(&self.receiver, s.line, None).is_err();
        if let Some(setting) = self.settings.iter().find(unsolved) {
            return Err(setting.nowhere(self.receiver.model()));
        }
        let x = DVector::zeros(self.numbers.len() + self.settings.len());
        let here = self.at(&x, None)?;
        let loads = self.loads(&here)?;
        let priors = self.priors(Without::Nothing);
        let (slopes, last) = (self.slopes(&x, &priors, &here)?, here.read(&loads));
        let misfit = self.residuals(&last, Without::Nothing).iter().map(|r| r * r).sum();
        let covariance = DMatrix::from_diagonal(&priors.component_mul(&priors));
        Ok(Start { here, loads, unmoved: Solution { x, covariance, slopes, last, misfit } })
    }

    /// Searches.
    ///
    /// # Errors
    /// The set has no solution, or the search does not end.
    pub fn solve(&self, start: &Start, without: Without) -> Result<Solution> {
        let priors = self.priors(without);
        let mut loads = start.loads.clone();
        let mut x = start.unmoved.x.clone();
        let mut slopes = (start.unmoved.slopes.clone(), x.clone());
        // what a meter loads moves with the set: it is taken again once the set is nearly found
        for _ in 0..2 {
            let mut problem = Problem {
                search: self,
                priors: &priors,
                without,
                loads: &loads,
                x: x.clone(),
                residuals: DVector::zeros(0),
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
                return Err(error);
            }
            if !report.termination.was_successful() {
                return Err(StudyError::NotFitted(format!("{:?}", report.termination)));
            }
            (x, slopes) = (problem.x, problem.slopes);
            loads = self.loads(&self.at(&x, Some(&start.here))?)?;
        }
        let here = self.at(&x, Some(&start.here))?;
        let last = here.read(&loads);
        let slopes = self.slopes(&x, &priors, &here)?;
        let residuals = self.residuals(&last, without);
        let mut counted = slopes.clone();
        if let Without::Reading(i) = without {
            counted.row_mut(i).fill(0.0);
        }
        let mut information = counted.transpose() * &counted;
        for (i, s) in priors.iter().enumerate() {
            information[(i, i)] += 1.0 / (s * s);
        }
        let covariance = information
            .cholesky()
            .ok_or_else(|| StudyError::NotFitted("its uncertainty has no value".to_owned()))?
            .inverse();
        let misfit =
            residuals.iter().map(|r| r * r).sum::<f64>() + x.component_div(&priors).norm_squared();
        Ok(Solution { x, covariance, slopes, last, misfit })
    }

    /// Residuals of the readings in units of their uncertainty, where the model has `values`.
    pub fn residuals(&self, values: &[f64], without: Without) -> Vec<f64> {
        let all = self.points.iter().zip(values).enumerate();
        all.map(|(i, (p, v))| match without {
            Without::Reading(out) if out == i => 0.0,
            _ => (v - p.measured) / p.uncertainty,
        })
        .collect()
    }

    /// Derivatives of the readings at `x`, where the set is `here`, in units of their uncertainty.
    fn slopes(&self, x: &DVector<f64>, priors: &DVector<f64>, here: &At) -> Result<DMatrix<f64>> {
        // a freed number is stepped like another
        let units = priors.map(|s| s.min(WIDEST));
        let columns = stepped(x, &units, x.len(), |moved| self.at(moved, Some(here)))?;
        Ok(DMatrix::from_fn(self.points.len(), x.len(), |i, j| {
            let (there, h) = &columns[j];
            (there.values[i] - here.values[i]) / h / self.points[i].uncertainty
        }))
    }
}

/// What `at` makes of `x` with each of its first `count` unknowns stepped by itself, a part of its unit, and the step.
pub fn stepped<T: Send>(
    x: &DVector<f64>,
    units: &DVector<f64>,
    count: usize,
    at: impl Fn(&DVector<f64>) -> Result<T> + Sync,
) -> Result<Vec<(T, f64)>> {
    share::all(count, |j| {
        let by = |h| {
            let mut moved = x.clone();
            moved[j] += h;
            at(&moved).map(|there| (there, h))
        };
        // at the edge of what can be (watts at no load against volts times amperes) only one way leads on
        by(STEP * units[j]).or_else(|_| by(-STEP * units[j]))
    })
}

/// The set somewhere on the way.
struct At {
    /// Every reading, without meters.
    values: Vec<f64>,
    receiver: Receiver,
    /// One point for each setting of the line.
    operations: Vec<Operation>,
}

impl At {
    /// Every reading with what its meter does to it.
    fn read(&self, loads: &[f64]) -> Vec<f64> {
        self.values.iter().zip(loads).map(|(v, l)| v + l).collect()
    }
}

/// The problem as the library wants it: residuals of the readings, then of the priors.
struct Problem<'s> {
    search: &'s Search,
    priors: &'s DVector<f64>,
    without: Without,
    loads: &'s [f64],
    x: DVector<f64>,
    residuals: DVector<f64>,
    /// Derivatives and the point they were taken at.
    slopes: (DMatrix<f64>, DVector<f64>),
    failed: Option<StudyError>,
    /// Where the set last had a solution: the next step starts from there.
    here: Option<At>,
    /// How often the derivatives were taken.
    taken: usize,
}

impl Problem<'_> {
    fn move_to(&mut self, x: &DVector<f64>) {
        self.x.copy_from(x);
        let count = self.loads.len() + x.len();
        let here = match self.search.at(x, self.here.as_ref()) {
            Err(error) => {
                self.failed = Some(error);
                self.residuals = DVector::from_element(count, NOWHERE);
                return;
            }
            Ok(here) => here,
        };
        self.failed = None;
        let readings = self.search.residuals(&here.read(self.loads), self.without).into_iter();
        let priors = x.iter().zip(self.priors.iter()).map(|(x, s)| x / s);
        self.residuals = DVector::from_iterator(count, readings.chain(priors));
        // a freed number has moved far where another would have
        let units = self.priors.map(|s| s.min(WIDEST));
        let stale = (x - &self.slopes.1).component_div(&units).norm() > FAR;
        if stale && self.taken < MOST_SLOPES {
            self.taken += 1;
            if let Ok(slopes) = self.search.slopes(x, self.priors, &here) {
                self.slopes = (slopes, x.clone());
            }
        }
        self.here = Some(here);
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
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
        Some(self.residuals.clone())
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let (slopes, _) = &self.slopes;
        let (rows, columns) = slopes.shape();
        Some(DMatrix::from_fn(rows + columns, columns, |i, j| match i.checked_sub(rows) {
            None if self.without != Without::Reading(i) => slopes[(i, j)],
            Some(prior) if prior == j => 1.0 / self.priors[j],
            _ => 0.0,
        }))
    }
}

/// Every number that may move.
fn numbers(model: &Model, assumed: &[Assumption]) -> Vec<Uncertain> {
    let mut list = uncertain(model, assumed);
    // the mains have one frequency or the other, and no meter reading moves them; what is off one way more than the other
    // is no logarithm about nothing
    list.retain(|n| {
        n.parameter.what != Number::Frequency
            && n.parameter.value(model).is_some_and(|(v, _)| v > 0.0)
            && n.spread < 1.0
            && n.middle == 0.0
    });
    list
}
